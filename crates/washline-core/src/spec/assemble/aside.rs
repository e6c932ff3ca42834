//! What stands beside a drink and is not poured: how a thing is made, the story, what heads a list.

use super::Part;
use super::named::{content, same};
use crate::measure::Unit;
use crate::names::key;
use crate::spec::lexicon;
use crate::spec::line::{Found, Item, LineRead};
use crate::spec::{Entry, PourAmount, PourMethod};

/// Whether more stands behind the colon of a line than an amount: `watermelon juice: approx 3 melons, blitz, sieve`.
pub(super) fn says_more(line: &LineRead) -> bool {
    let words = behind_the_label(line).split_whitespace().filter(|w| {
        w.chars().any(char::is_alphabetic)
            && Unit::spelt(w.trim_matches(|c: char| !c.is_alphanumeric())).is_none()
    });
    words.count() >= 3
}

/// What stands behind the label of a line.
pub(super) fn behind_the_label(line: &LineRead) -> &str {
    match line.text.split_once(':') {
        Some((_, value)) => value.trim_start(),
        None => line.text.trim_start(),
    }
}

/// Whether an amount stands right behind the label of a line.
pub(super) fn begins_with_an_amount(line: &LineRead) -> bool {
    behind_the_label(line).starts_with(|c: char| c.is_numeric() || c == '.')
}

/// What a line says, but for what joins it.
pub(super) fn said(line: &LineRead) -> impl Iterator<Item = &Item> {
    line.found
        .iter()
        .map(|f| &f.item)
        .filter(|i| !matches!(i, Item::Joint))
}

/// Whether a part is a line that measures one pour and says nothing else.
pub(super) fn is_of_a_list(part: &Part) -> bool {
    let Part::Line(line) = part else { return false };
    let mut said = said(line);
    match (said.next(), said.next()) {
        (Some(Item::Pours(pours)), None) => {
            pours.iter().all(|(p, _)| matches!(p.measure, PourAmount::Of(..)))
        }
        _ => false,
    }
}

/// Whether a line is prose: work, or words, beside what else it holds.
pub(super) fn is_prose(line: &LineRead) -> bool {
    // A line that begins with a pour is one of the list, whatever stands behind it.
    // So is one that begins with an amount of what nobody knows.
    let listed = matches!(said(line).next(), Some(Item::Pours(_) | Item::Unread(_)));
    let does = said(line).any(|item| {
        matches!(
            item,
            Item::Work(_)
                | Item::Step(_)
                | Item::Words
                | Item::Serves(_)
                | Item::ServeOf(_)
                | Item::Total(_)
                | Item::Glass(..)
                | Item::Header
                | Item::Hot
        )
    });
    does && !listed && said(line).count() > 1
}

/// `(egg)`, `(contains dairy)`: a line in brackets that neither measures nor works is for the reader.
pub(super) fn is_in_brackets(line: &LineRead) -> bool {
    let text = line.text.trim();
    text.starts_with('(')
        && text.ends_with(')')
        && !text.contains(|c: char| c.is_ascii_digit())
        && line.found.iter().all(|f| match &f.item {
            Item::Joint | Item::Words | Item::Mention(_) => true,
            Item::Pours(pours) => pours
                .iter()
                .all(|(p, _)| matches!(p.measure, PourAmount::Of(_, None)) && p.place == PourMethod::In),
            _ => false,
        })
}

/// The label of a line that says how something is made, as typed: what stands before its colon or bracket.
pub(super) fn label_text(text: &str) -> &str {
    let label = text.split([':', '(', ',', '=']).next().unwrap_or_default();
    label.trim_matches(|c: char| !c.is_alphanumeric())
}

/// The words of such a label that say what it is.
pub(super) fn label_of(text: &str) -> Vec<String> {
    content(label_text(text))
}

/// The label of a footnote or of a line of preparation: `*Homemade: pear cordial - 500 g …`, `Prep: brown butter bourbon
/// = 100 g …`. What stands before the dash or the equals sign, behind the word that heads it.
pub(super) fn footnote_label(text: &str) -> Option<String> {
    let text = text.trim_start_matches(|c: char| !c.is_alphanumeric());
    let headed = text.split_once(':').filter(|(head, _)| {
        lexicon::heads_a_recipe(head)
            || matches!(
                key(head).as_str(),
                "homemade"
                    | "home made"
                    | "house made"
                    | "housemade"
                    | "to make"
                    | "batch recipe"
                    | "in house"
                    | "house"
                    | "infusion"
                    | "syrup"
                    | "cordial"
                    | "note"
                    | "prep note"
            )
    });
    let text = headed.map_or(text, |(_, rest)| rest.trim_start());
    let at = [" - ", " – ", " — ", "=", ":"]
        .iter()
        .filter_map(|mark| text.find(mark))
        .min()?;
    let label = text[..at].trim();
    (!label.is_empty() && !label.contains(|c: char| c.is_ascii_digit())).then(|| label.to_owned())
}

/// Whether a label names what is made in the house: more than the one word of a kind of bottle.
pub(super) fn is_made(text: &str) -> bool {
    let label = label_of(text);
    let words = label_text(text).split_whitespace().count();
    // `PRE-BATCH: 900 ml vodka, 400 ml lemon`: that is the drink itself.
    if label.iter().any(|w| lexicon::has_tag(w, lexicon::Tag::Batch)) {
        return false;
    }
    words > 1 || label.len() > 1 || label.iter().any(|w| lexicon::has_tag(w, lexicon::Tag::Made))
}

/// Lines that say how something is made which other lines pour are for the reader: `syrup: 200 g sugar, 100 ml water`,
/// or its name on a line and its list below it.
pub(super) fn set_recipes_aside(mut parts: Vec<Part>) -> Vec<Part> {
    let measured = |line: &LineRead| {
        let measured = |f: &&Found| match &f.item {
            Item::Pours(pours) => pours
                .iter()
                .any(|(p, _)| matches!(p.measure, PourAmount::Of(_, Some(_)))),
            _ => false,
        };
        line.found.iter().filter(measured).count()
    };
    // What every part pours, by its words.
    let poured: Vec<Vec<Vec<String>>> = parts
        .iter()
        .map(|part| match part {
            Part::Line(line) => line
                .found
                .iter()
                .filter_map(|f| match &f.item {
                    Item::Pours(pours) => Some(pours.iter()),
                    _ => None,
                })
                .flatten()
                .filter_map(|(pour, _)| Some(content(&pour.choices.first()?.name)))
                .collect(),
            Part::Entry(_) => Vec::new(),
        })
        .collect();
    let elsewhere = |label: &[String], own: &[usize]| {
        !label.is_empty()
            && poured
                .iter()
                .enumerate()
                .any(|(at, names)| !own.contains(&at) && names.iter().any(|name| same(name, label)))
    };
    let mut aside: Vec<(usize, String)> = Vec::new();
    let mut at = 0;
    while at < parts.len() {
        match &parts[at] {
            Part::Line(line) if measured(line) > 1 || line.label.is_some() && says_more(line) => {
                let labels = line.label.clone().into_iter().chain(footnote_label(&line.text));
                let label = labels.into_iter().find(|label| {
                    let made = is_made(label) || says_more(line) && !begins_with_an_amount(line);
                    made && elsewhere(&label_of(label), &[at])
                });
                aside.extend(label.map(|label| (at, label)));
            }
            // `Oolong syrup`, on a line of its own over how it is made.
            Part::Line(line) if is_title(&line.text) => {
                let below: Vec<usize> = (at..parts.len())
                    .take_while(|&i| matches!(parts[i], Part::Line(_)))
                    .collect();
                let told = below.get(1).is_some_and(|&i| match &parts[i] {
                    Part::Line(l) => measured(l) > 1 && l.text.split_whitespace().count() > 5,
                    Part::Entry(_) => false,
                });
                let title = title_text(&line.text);
                if told && is_made(title) && elsewhere(&label_of(title), &below) {
                    let label = title_text(&line.text).to_owned();
                    aside.extend(below.into_iter().map(|i| (i, label.clone())));
                }
            }
            Part::Entry(Entry::Note(text)) if text.ends_with(':') => {
                let below: Vec<usize> = (at + 1..parts.len())
                    .take_while(|&i| matches!(parts[i], Part::Line(_)))
                    .collect();
                let lists = below
                    .iter()
                    .filter(|&&i| matches!(&parts[i], Part::Line(l) if measured(l) > 0))
                    .count();
                if lists > 1 && is_made(text) && elsewhere(&label_of(text), &below) {
                    let label = text.trim_end_matches(':').to_owned();
                    aside.extend(below.into_iter().map(|i| (i, label.clone())));
                }
            }
            _ => {}
        }
        at += 1;
    }
    for (at, label) in aside {
        if let Part::Line(line) = &mut parts[at]
            && let (Some(first), Some(last)) = (line.found.first(), line.found.last())
        {
            let text = line.text.clone();
            let whole = Found::recipe(label, text, first.span.start..last.span.end);
            for account in &mut line.account {
                account.role = crate::spec::Role::Note;
            }
            line.found = vec![whole];
        }
    }
    parts
}

/// A title without the word that heads it: `brown butter bourbon` of `Prep / brown butter bourbon`.
fn title_text(text: &str) -> &str {
    text.split_once(['/', '|', '–', '-'])
        .filter(|(head, _)| lexicon::heads_a_recipe(head))
        .map_or(text, |(_, title)| title)
        .trim()
}

/// Whether a line is a few words without a number or a stop, as over a list.
fn is_title(text: &str) -> bool {
    let words = title_text(text).split_whitespace().count();
    (1..=4).contains(&words) && !text.contains(|c: char| c.is_numeric() || matches!(c, '.' | ',' | ';' | ':'))
}

/// Sentences over a list that has a heading of its own are the drink's story: nothing of them is poured.
pub(super) fn set_the_story_aside(mut parts: Vec<Part>) -> Vec<Part> {
    const A_SENTENCE: usize = 7;
    let heads_the_list = |part: &Part| match part {
        Part::Entry(Entry::Note(text)) => heads_a_list(text),
        Part::Line(line) => {
            line.found.iter().any(|f| matches!(f.item, Item::Header))
                && said(line).all(|i| matches!(i, Item::Header))
                && heads_a_list(&line.text)
        }
        Part::Entry(_) => false,
    };
    let Some(list) = parts.iter().position(heads_the_list) else {
        return parts;
    };
    for part in &mut parts[..list] {
        let Part::Line(line) = part else { continue };
        let serves = said(line).any(|i| {
            matches!(
                i,
                Item::Serves(_) | Item::ServeOf(_) | Item::Total(_) | Item::PartIs(_)
            )
        });
        let measures = said(line).any(|i| match i {
            Item::Pours(pours) => pours.iter().any(|(p, _)| {
                matches!(
                    p.measure,
                    PourAmount::Of(
                        _,
                        Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce | Unit::Gram)
                    )
                )
            }),
            _ => false,
        });
        if serves || measures || line.text.split_whitespace().count() < A_SENTENCE {
            continue;
        }
        for account in &mut line.account {
            account.role = crate::spec::Role::Note;
        }
        if let (Some(first), Some(last)) = (line.found.first(), line.found.last()) {
            let span = first.span.start..last.span.end;
            line.found = vec![Found::words(line.text.clone(), span)];
        }
    }
    parts
}

/// Whether words head the list of what is poured.
pub(super) fn heads_a_list(text: &str) -> bool {
    matches!(
        key(text.trim_matches(|c: char| !c.is_alphanumeric())).as_str(),
        "ingredients"
            | "ingredient"
            | "recipe"
            | "the recipe"
            | "spec"
            | "specs"
            | "you will need"
            | "what you need"
            | "for the drink"
            | "components"
            | "what goes in"
    )
}
