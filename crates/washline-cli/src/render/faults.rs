//! Faults as a person marks them: the line as typed with the word underlined, one sentence, the cure.
//!
//! A word is underlined as it is in a plain letter, `_so_`, and on a terminal with a line under it besides, so that it
//! is marked without colour and in a pipe. What serves every fault of a sort is said once, at the end.

use std::fmt::Write as _;
use std::ops::Range;

use anstyle::Style;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};
use washline_core::find::QUESTION;
use washline_core::spec::{Cure, Fault, FaultKind, Source};

use super::{plain, style, width, wrapped};

/// So many lines of the same fault are named.
const MOST_LINES: usize = 12;

/// Every fault once, under the drink it is in; the sources are those they came from, where they are at hand.
pub fn faults(faults: &[Fault], sources: &[Source]) -> String {
    let mut text = String::new();
    let mut heading = (String::new(), None);
    let mut told: Vec<&Fault> = Vec::new();
    for fault in faults {
        if told.iter().any(|t| says_the_same(t, fault)) {
            continue;
        }
        told.push(fault);
        let again: Vec<String> = faults
            .iter()
            .filter(|f| says_the_same(f, fault) && f.line != fault.line)
            .map(|f| f.line.to_string())
            .collect();
        let source = sources
            .iter()
            .find(|s| s.file == fault.file && s.text.get(fault.span.clone()).is_some());
        let (name, dim) = (style::NAME, style::DIM);
        let drink = source.and_then(|source| source.heading_of(fault.line));
        if heading.0 != fault.file {
            let _ = writeln!(text, "{dim}{}{dim:#}", plain(&fault.file));
        }
        if let Some(drink) = drink.filter(|_| heading != (fault.file.clone(), drink)) {
            let _ = writeln!(text, "{name}{}{name:#}", plain(drink));
        }
        heading = (fault.file.clone(), drink);
        one(&mut text, fault, source, &again);
    }
    let mut cures: Vec<Cure> = faults.iter().filter_map(|f| f.cure).collect();
    cures.sort_unstable();
    cures.dedup();
    if !text.is_empty() {
        text.push('\n');
    }
    for cure in &cures {
        text.push_str(&wrapped(washline_view::remedy::of_faults(*cure), "", "  "));
    }
    if !cures.is_empty() {
        text.push('\n');
    }
    text
}

fn says_the_same(a: &Fault, b: &Fault) -> bool {
    a.file == b.file && a.kind == b.kind && a.message == b.message && a.suggestions == b.suggestions
}

/// The line as typed, what is wrong with it, and the cure.
fn one(text: &mut String, fault: &Fault, source: Option<&Source>, again: &[String]) {
    let dim = style::DIM;
    let mark = match fault.kind {
        FaultKind::Ask => style::LOOK,
        FaultKind::Reject => style::BAD,
    };
    // A question is one line.
    let place = match fault.file.as_str() {
        QUESTION => String::new(),
        _ => format!("line {}  ", fault.line),
    };
    let indent = " ".repeat(place.len() + 2);
    let mut first = format!(
        "  {dim}{}{dim:#}{}",
        place.trim_end(),
        " ".repeat(place.len() - place.trim_end().len())
    );
    if let Some(typed) = source.and_then(|source| typed(fault, source, mark, indent.len())) {
        let _ = writeln!(text, "{first}{typed}");
        first.clone_from(&indent);
    }
    // A question's cure is its choices.
    let parted = match fault.kind {
        FaultKind::Ask => "; expected",
        FaultKind::Reject => "; ",
    };
    let (sentence, cure) = match fault.message.split_once(parted) {
        Some((sentence, cure)) => (sentence, Some(cure.to_owned())),
        None => (fault.message.as_str(), None),
    };
    let also = match again {
        [] => String::new(),
        [line] => format!(" (also line {line})"),
        lines if lines.len() > MOST_LINES => format!(
            " (also lines {} and {} more)",
            lines[..MOST_LINES].join(", "),
            lines.len() - MOST_LINES
        ),
        lines => format!(" (also lines {})", lines.join(", ")),
    };
    let (said, cure) = match (fault.kind, fault.suggestions.as_slice()) {
        (FaultKind::Ask, choices @ [_, ..]) => {
            // The word that is underlined need not be said again.
            let word = source
                .and_then(|s| s.text.get(fault.span.clone()))
                .unwrap_or_default();
            let sentence = sentence.strip_prefix(&format!("`{word}`: ")).unwrap_or(sentence);
            let _ = write!(first, "{mark}which?{mark:#} ");
            (format!("{} ({sentence}){also}", choices.join(" | ")), None)
        }
        (FaultKind::Reject, near @ [_, ..]) => {
            let near = format!("nearest: {}", near.join(", "));
            let cure = cure.map_or_else(|| near.clone(), |cure| format!("{cure}; {near}"));
            (format!("{sentence}{also}"), Some(cure))
        }
        (_, []) => (format!("{sentence}{also}"), cure),
    };
    text.push_str(&wrapped(&plain(&said), &first, &indent));
    if let Some(cure) = cure {
        text.push_str(&wrapped(&plain(&cure), &indent, &indent));
    }
}

/// The line that a fault stands in, its word underlined; of a long line the part round the word.
fn typed(fault: &Fault, source: &Source, mark: Style, indent: usize) -> Option<String> {
    let line = source
        .lines()
        .find(|line| (line.start..=line.end).contains(&fault.span.start))?;
    let whole = &source.text[line.clone()];
    if whole.trim().is_empty() {
        return None;
    }
    let word = fault.span.start..fault.span.end.clamp(fault.span.start, line.end);
    let room = width().saturating_sub(indent + 2);
    let shown = part_of(whole, word.start - line.start..word.end - line.start, room);
    let (from, to) = (line.start + shown.start, line.start + shown.end);
    let before = plain(source.text[from..word.start].trim_start());
    let after = plain(source.text[word.end..to].trim_end());
    let marked = plain(&source.text[word.clone()]);
    let (left, right) = (
        if shown.start > 0 { "…" } else { "" },
        if shown.end < whole.len() { "…" } else { "" },
    );
    let under = mark.underline();
    let marked = if marked.is_empty() {
        String::new()
    } else {
        format!("_{under}{marked}{under:#}_")
    };
    Some(format!("{left}{before}{marked}{after}{right}"))
}

/// The part of a line that is shown: all of it where there is room, else as much round the word as there is room for.
fn part_of(line: &str, word: Range<usize>, room: usize) -> Range<usize> {
    if line.trim().width() <= room {
        return 0..line.len();
    }
    let (mut from, mut to) = (word.start, word.end.max(word.start));
    let mut taken = line[word].width() + 2;
    let (mut left, mut right) = (true, true);
    while (left || right) && taken < room {
        if left {
            match line[..from].chars().next_back() {
                Some(c) => {
                    from -= c.len_utf8();
                    taken += c.width().unwrap_or(0);
                }
                None => left = false,
            }
        }
        if right && taken < room {
            match line[to..].chars().next() {
                Some(c) => {
                    to += c.len_utf8();
                    taken += c.width().unwrap_or(0);
                }
                None => right = false,
            }
        }
    }
    from..to
}
