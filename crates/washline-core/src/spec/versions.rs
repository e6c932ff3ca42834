//! Several versions of a drink in one spec, one below the other: that which is poured is read, the others are for the
//! reader. It is the one that is said to be it (`FINAL`, `v2 (use this one)`, `going with B`), else the last.

use std::collections::HashMap;
use std::ops::Range;

use super::rewritten::Rewritten;
use super::table::{Row, has};
use super::{Assumption, Source, Unplaced};
use crate::measure::Unit;
use crate::names::key;

/// A line that heads a version.
struct Head {
    /// Its line, counted in the section.
    at: usize,
    /// What it is called by: `3`, `b`, `14 feb`, `final`.
    id: String,
    /// Where its label stands in the line, with what parts it from the rest.
    label: Range<usize>,
    /// Whether it is told by a letter.
    lettered: bool,
    /// Whether it is said to be the one.
    chosen: bool,
}

/// Words that number versions.
const NUMBERED: &str =
    "v ver version round take attempt try test trial iteration draft rev revision mk mark spec recipe";

/// Words that say which one is poured.
const CHOSEN: &str = "final locked current approved chosen winner signed keeper";

/// Words of a version that is told by what changed, by themselves and before `to`.
const CHANGED: &str = "swap swapped drop dropped added bumped reduced replace replaced";
const CHANGED_TO: &str = "back down up";

/// Words that letters stand behind.
const OPTIONS: &str = "option variant";

const MONTHS: &str = "jan feb mar apr may jun jul aug sep sept oct nov dec january february march april june july august \
    september october november december";

/// What the lines that head or belong to versions stand for, by their number, from 0.
pub(super) fn rows(source: &Source, loose: bool) -> HashMap<usize, Row> {
    let mut rows = HashMap::new();
    for body in source.bodies(loose) {
        read_body(&body, &mut rows);
    }
    rows
}

fn read_body(lines: &[(usize, &str)], rows: &mut HashMap<usize, Row>) {
    let heads: Vec<Head> = lines
        .iter()
        .enumerate()
        .filter_map(|(at, (_, line))| head(at, line))
        .collect();
    let one_sort = heads.iter().all(|h| h.lettered) || heads.iter().all(|h| !h.lettered);
    if heads.len() < 2 || !one_sort {
        return;
    }
    let ends: Vec<usize> = heads
        .iter()
        .enumerate()
        .map(|(i, head)| end(lines, head, heads.get(i + 1)))
        .collect();
    let amounts: Vec<usize> = heads
        .iter()
        .zip(&ends)
        .map(|(head, end)| {
            let first = amounts_in(&lines[head.at].1[head.label.end..]);
            first
                + lines[head.at + 1..*end]
                    .iter()
                    .map(|(_, line)| amounts_in(line))
                    .sum::<usize>()
        })
        .collect();
    if amounts.iter().filter(|n| **n > 1).count() < 2 {
        return;
    }
    let Some(poured) = which(lines, &heads) else {
        return;
    };
    let head = &heads[poured];
    let (number, line) = lines[head.at];
    let others: Vec<String> = heads
        .iter()
        .filter(|other| other.at != head.at)
        .map(|other| format!("`{}`", label(lines[other.at].1, other)))
        .collect();
    let called = label(line, head);
    // `v3: back to rye, amaro down to 15`: what it is cannot be told from what changed.
    let text = lines[head.at..ends[poured]]
        .iter()
        .map(|(_, line)| *line)
        .collect::<Vec<_>>()
        .join(" ");
    let folded = key(&text);
    let words: Vec<&str> = folded
        .split(|c: char| !c.is_alphabetic())
        .filter(|w| !w.is_empty())
        .collect();
    let changed = words.iter().any(|w| has(CHANGED, w))
        || words.windows(2).any(|w| has(CHANGED_TO, w[0]) && w[1] == "to");
    let fewer = amounts.iter().any(|n| *n > amounts[poured]) && amounts[poured] < 3;
    if changed && fewer {
        let message = format!("`{called}` tells what changed; expected all of it, as it is poured");
        rows.insert(
            number,
            Row::Ask(Unplaced::ask(head.label.clone(), message, Vec::new())),
        );
        return;
    }
    for (i, other) in heads.iter().enumerate().filter(|(i, _)| *i != poured) {
        for (number, line) in &lines[other.at..ends[i]] {
            if !line.trim().is_empty() {
                rows.insert(*number, Row::Note(line.trim().to_owned()));
            }
        }
    }
    let said = Assumption::new(
        others.join(", "),
        format!("not poured: `{called}` is"),
        "keep the version that is poured",
    );
    begin(&lines[head.at..], head, said, rows);
}

/// What is poured begins behind the label of its version, or in the next line.
fn begin(lines: &[(usize, &str)], head: &Head, said: Assumption, rows: &mut HashMap<usize, Row>) {
    let (number, line) = lines[0];
    let rest = line[head.label.end..].trim_start();
    let (number, line, from) = match rest.is_empty() {
        false => (number, line, line.len() - rest.len()),
        true => {
            rows.insert(number, Row::Note(line.trim().to_owned()));
            let next = lines[1..]
                .iter()
                .find(|(n, l)| !l.trim().is_empty() && !rows.contains_key(n));
            let Some((number, line)) = next else { return };
            (*number, *line, line.len() - line.trim_start().len())
        }
    };
    let mut poured = Rewritten::default();
    poured.leave(line.len() - line.trim_start().len()..from);
    // The first word by itself, so that what is said belongs to the pour that it begins.
    let word = from
        + line[from..]
            .find(char::is_whitespace)
            .unwrap_or(line.len() - from);
    poured.copy(line, from..word);
    poured.copy(line, word..line.trim_end().len());
    poured.say(said);
    rows.insert(number, Row::Pour(poured));
}

/// The label of a version as it is typed, without what parts it from the rest.
fn label(line: &str, head: &Head) -> String {
    let label = line[head.label.clone()].trim();
    label
        .trim_matches(|c: char| !c.is_alphanumeric() && c != ')')
        .to_owned()
}

/// Where a version ends: at the next one, or, where it stands in its own line, at a line that neither measures anything
/// nor stands in: what is done with whichever is poured.
fn end(lines: &[(usize, &str)], head: &Head, next: Option<&Head>) -> usize {
    let inline = !lines[head.at].1[head.label.end..].trim().is_empty();
    let end = next.map_or(lines.len(), |next| next.at);
    let stands_in = |line: &str| line.starts_with(|c: char| c.is_whitespace() || "-*•>".contains(c));
    let is_of_all = |at: &usize| {
        let line = lines[*at].1;
        line.trim().is_empty() || !stands_in(line) && amounts_in(line) == 0
    };
    let of_all = (head.at + 1..end).find(is_of_all);
    of_all.filter(|_| inline).unwrap_or(end)
}

/// The version that is poured. `None` where two are told by letters and none is said to be it.
fn which(lines: &[(usize, &str)], heads: &[Head]) -> Option<usize> {
    for (_, line) in lines {
        let folded = key(line);
        let words: Vec<&str> = folded
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
            .collect();
        for (i, word) in words.iter().enumerate() {
            let called = |at: usize| {
                let said = words.get(at).copied().unwrap_or_default();
                let number = said.strip_prefix('v').unwrap_or(said);
                heads.iter().position(|h| h.id == said || h.id == number)
            };
            let goes_with = matches!(*word, "going" | "went" | "go") && words.get(i + 1) == Some(&"with");
            if goes_with && let Some(one) = called(i + 2) {
                return Some(one);
            }
            // `v3 it is`, `B wins`
            let wins = words
                .get(i + 1..)
                .is_some_and(|w| w.starts_with(&["it", "is"]) || w.starts_with(&["wins"]));
            if wins && let Some(one) = called(i) {
                return Some(one);
            }
        }
    }
    let chosen = heads.iter().rposition(|h| h.chosen);
    let last = (!heads.iter().any(|h| h.lettered)).then(|| heads.len() - 1);
    chosen.or(last)
}

/// How many amounts a text may hold.
fn amounts_in(text: &str) -> usize {
    text.split_whitespace()
        .filter(|w| {
            w.trim_start_matches(['(', '~', '.'])
                .starts_with(|c: char| c.is_numeric())
        })
        .count()
}

/// Whether a line may head a version, by its first two words as they are typed: most lines of a book are pours.
fn may_head(text: &str) -> bool {
    let mut words = text
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty());
    let any = |list: &str, word: &str| list.split_whitespace().any(|w| w.eq_ignore_ascii_case(word));
    let name = words
        .next()
        .unwrap_or_default()
        .trim_end_matches(|c: char| c.is_ascii_digit());
    match name.len() {
        0 => words.next().is_some_and(|word| any(MONTHS, word)),
        1 => true,
        _ => [NUMBERED, CHOSEN, OPTIONS, MONTHS]
            .iter()
            .any(|list| any(list, name)),
    }
}

/// The head of a version that a line is.
fn head(at: usize, line: &str) -> Option<Head> {
    let lead = line.len()
        - line
            .trim_start_matches(|c: char| c.is_whitespace() || "-*•".contains(c))
            .len();
    let text = &line[lead..];
    if !may_head(text) {
        return None;
    }
    // Up to what parts the label from the rest.
    let parted = text
        .char_indices()
        .find(|(i, c)| {
            matches!(c, ':' | '=' | '–' | '—' | ')')
                || *c == '-' && text[..*i].ends_with(' ')
                || *c == '.' && text[*i + 1..].starts_with(' ')
        })
        .map(|(i, c)| (i, i + c.len_utf8()));
    let (mut until, mut end) = parted.unwrap_or((text.len(), text.len()));
    // `v2 (use this one): …`
    if text[..until].contains('(') && text[until..].starts_with(')') {
        let colon = text[end..].find([':', '-', '–', '='])?;
        (until, end) = (
            end + colon,
            end + colon + text[end + colon..].chars().next()?.len_utf8(),
        );
    }
    if until > 40 {
        return None;
    }
    let folded = key(&text[..until]);
    let words: Vec<&str> = folded
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .collect();
    let (first, rest) = words.split_first()?;
    let number = |word: &str| word.len() < 3 && !word.is_empty() && word.chars().all(|c| c.is_ascii_digit());
    let glued = first.trim_start_matches(char::is_alphabetic);
    let name = &first[..first.len() - glued.len()];
    let says_so = |words: &[&str]| {
        words.iter().any(|w| has(CHOSEN, w))
            || words
                .windows(2)
                .any(|w| w == ["this", "one"] || w == ["use", "this"])
    };
    let made = |id: String, lettered: bool, chosen: bool| {
        Some(Head {
            at,
            id,
            label: lead..lead + end,
            lettered,
            chosen,
        })
    };
    // `take 2 oz gin` heads nothing: what stands behind the number ends there, or is no amount.
    let ends = |behind: &[&str]| match parted {
        Some(_) => !behind
            .iter()
            .any(|w| Unit::spelt(w).is_some() || w.starts_with(|c: char| c.is_numeric())),
        None => behind.is_empty() || says_so(behind),
    };
    // `v3`, `V3 FINAL`
    if has(NUMBERED, name) && number(glued) && ends(rest) {
        return made(glued.to_owned(), false, says_so(rest));
    }
    // `Round 2`, `version 3 (use this one)`
    if let [count, behind @ ..] = rest
        && has(NUMBERED, first)
        && number(count)
        && ends(behind)
    {
        return made((*count).to_owned(), false, says_so(behind));
    }
    // `FINAL:`, `LOCKED 10/2:`
    if has(CHOSEN, first)
        && (parted.is_some() || rest.len() < 3)
        && rest
            .iter()
            .all(|w| matches!(*w, "spec" | "version" | "one" | "in" | "off") || number(w))
    {
        return made((*first).to_owned(), false, true);
    }
    // `14 Feb: …`, `Mar 3 - …`
    let dated = match words.as_slice() {
        [day, month] | [day, month, _] if number(day) && has(MONTHS, month) => true,
        [month, day] | [month, day, _] if number(day) && has(MONTHS, month) => true,
        _ => false,
    };
    if dated && parted.is_some() {
        return made(folded.clone(), false, false);
    }
    // `A) …`, `B: …`
    let letter = first.len() == 1 && first.chars().all(|c| matches!(c, 'a'..='d')) && rest.is_empty();
    let option = has(OPTIONS, first) && rest.len() == 1 && rest[0].len() == 1;
    if (letter || option) && parted.is_some() {
        let id = if option { rest[0] } else { first };
        return made(id.to_owned(), true, false);
    }
    None
}
