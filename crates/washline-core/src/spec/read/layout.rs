//! How a text is laid out: its headings, its bullets, the lines that a page broke, the talk that is no list.

use crate::names::key;
use crate::spec::Source;
use crate::spec::lexicon::OwnNames;
use std::ops::Range;

use super::particular_named;

/// What a line that only heads a part of a spec says of the lines under it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Heading {
    /// They are for the reader: allergens, the story.
    Aside,
    /// They are put on the drink.
    Garnish,
    /// They are read as any other.
    Steps,
}

impl Heading {
    /// The heading that a line is, where it is nothing else.
    pub(super) fn of(line: &str) -> Option<Heading> {
        let words = line
            .trim_matches(|c: char| !c.is_alphabetic())
            .trim_end_matches(':');
        // `2. Method` is numbered; of `garnish 1` somebody wants one.
        let counts = line.starts_with(|c: char| c.is_ascii_digit()) && !line.contains('.')
            || line.ends_with(char::is_numeric);
        if counts || words.len() > 24 {
            return None;
        }
        Some(match key(words).as_str() {
            "allergens"
            | "allergen"
            | "allergen information"
            | "story"
            | "the story"
            | "inspiration"
            | "history"
            | "notes"
            | "note"
            | "mise en place"
            | "allergens declared"
            | "item code"
            | "comments"
            | "remarks"
            | "equipment"
            | "tools"
            | "description"
            | "purpose"
            | "tasting notes"
            | "storage"
            | "shelf life"
            | "backstory"
            | "about the drink"
            | "category"
            | "style"
            | "drink type"
            | "menu section"
            | "about"
            | "reminder"
            | "remember"
            | "tip"
            | "tips"
            | "fyi"
            | "nb"
            | "service note"
            | "service notes"
            | "training note"
            | "training notes"
            | "concept" => Heading::Aside,
            "garnish" | "decoration" | "to garnish" | "finish" => Heading::Garnish,
            "ingredients" | "method" | "glass" | "glassware" | "procedure" | "preparation" | "directions"
            | "serve" | "service" | "spec" | "recipe" | "technique" => Heading::Steps,
            _ => return None,
        })
    }
}

/// The shortest line, in bytes, that a page may have broken.
pub(super) const BROKEN_FROM: usize = 52;

/// The shortest line, in bytes, whose last word may join it to the next: shorter ones are notes to oneself.
pub(super) const SHORTEST_BROKEN: usize = 24;

/// The longest line of a page that breaks its sentences, in bytes.
pub(super) const WIDEST_PAGE: usize = 90;

/// Whether the sentence of line `at` goes on in the next one, broken there to fit a page: the line is long, ends with no
/// stop, and ends with a word that joins, or every line above it in its paragraph is as long and the next begins small.
pub(super) fn goes_on(source: &Source, lines: &[Range<usize>], at: usize) -> bool {
    let text = |i: usize| lines.get(i).map_or("", |range| source.text[range.clone()].trim());
    let (line, next) = (text(at), text(at + 1));
    let marked = |t: &str| t.is_empty() || t.starts_with(['#', '>', '|', '<', '*']) || bullet(t).is_some();
    if line.len() < SHORTEST_BROKEN || marked(next) || line.starts_with(['#', '>', '|', '<']) {
        return false;
    }
    let labelled = next
        .split_once(':')
        .is_some_and(|(label, _)| label.split(' ').count() < 3);
    if labelled || line.ends_with(['.', ';', ':', '!', '?', ')', '|']) {
        return false;
    }
    let last = line.rsplit(' ').next().unwrap_or_default();
    let joins = matches!(
        key(last.trim_end_matches(',')).as_str(),
        "a" | "an"
            | "the"
            | "of"
            | "and"
            | "or"
            | "with"
            | "in"
            | "into"
            | "on"
            | "over"
            | "to"
            | "from"
            | "for"
            | "by"
            | "at"
            | "upon"
            | "your"
            | "its"
            | "until"
            | "some"
            | "add"
    );
    // `… fill with imported Ginger` / `Ale.`: a name that the page broke in two.
    let first = next.split(' ').next().unwrap_or_default();
    let broken = line.len() >= BROKEN_FROM
        && line.len() <= WIDEST_PAGE
        && crate::ingredient::library()
            .usual(&format!("{last} {}", first.trim_end_matches(['.', ',', ';'])))
            .is_some();
    if broken {
        return true;
    }
    let long_above = (0..=at)
        .rev()
        .map(text)
        .take_while(|t| !marked(t))
        .all(|t| t.len() >= BROKEN_FROM);
    let small = next.starts_with(char::is_lowercase) && line.len() >= BROKEN_FROM;
    joins && next.starts_with(char::is_alphanumeric) || small && long_above && line.len() <= WIDEST_PAGE
}

/// Whether a text has no headings at all.
pub(super) fn is_loose(source: &Source) -> bool {
    source
        .lines()
        .all(|range| !source.text[range].trim_start().starts_with('#'))
}

/// `60 rum / 22 lime / 15 2:1 - shake - coupe`: begins with an amount and has slashes.
pub(super) fn is_spec_line(text: &str) -> bool {
    let body = bullet(text).map_or(text, |at| &text[at..]);
    body.contains(" / ")
        && body
            .trim_start()
            .starts_with(|c: char| c.is_ascii_digit() || c == '.' || "½¼¾⅓⅔".contains(c))
}

/// `Change log`, `Previous spec`: what is said of it was once so, and nothing of it is poured.
pub(super) fn is_a_log(label: &str) -> bool {
    let folded = key(label);
    [
        "change log",
        "changelog",
        "changes",
        "previous",
        "old spec",
        "last version",
    ]
    .iter()
    .any(|word| folded == *word || folded.starts_with(&format!("{word} ")))
}

/// Whether people talk a drink over, line by line behind their names: `K: 20 lime?`, `R: make it 25`.
pub(super) fn is_a_talk(text: &str) -> bool {
    let lines: Vec<&str> = text
        .lines()
        .skip(1)
        .map(str::trim)
        .filter(|l| !l.is_empty())
        .collect();
    let speakers: Vec<&str> = lines
        .iter()
        .filter_map(|line| {
            let (label, said) = line.split_once(':')?;
            let name = label.len() <= 12
                && !label.contains(' ')
                && label.chars().all(char::is_alphabetic)
                && !said.is_empty()
                && !is_heading_word(label)
                && Heading::of(label).is_none()
                && particular_named(label).is_none()
                && !crate::spec::lexicon::begins_work(label)
                && !crate::spec::lexicon::names_anything(label, &OwnNames::default());
            name.then_some(label)
        })
        .collect();
    let again = speakers
        .iter()
        .enumerate()
        .any(|(i, who)| speakers[..i].contains(who));
    again && speakers.len() > 2 && 2 * speakers.len() > lines.len()
}

/// Words that head a part of a spec and say nothing themselves.
pub(super) fn is_heading_word(word: &str) -> bool {
    matches!(
        key(word).as_str(),
        "ingredients"
            | "method"
            | "directions"
            | "instructions"
            | "preparation"
            | "steps"
            | "build order"
            | "for the drink"
    )
}

/// Where the words of a list item begin.
pub(super) fn bullet(text: &str) -> Option<usize> {
    for mark in ["- ", "* ", "+ ", "• ", "‣ ", "◦ ", "– "] {
        if text.starts_with(mark) {
            return Some(mark.len());
        }
    }
    if matches!(text, "-" | "*" | "•") {
        return Some(text.len());
    }
    None
}
