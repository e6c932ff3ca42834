//! A line cut into the cells of a row.

use std::ops::Range;

use super::super::amounts;
use super::super::tokens::tokens;
use crate::measure::Unit;

/// What parts the cells of a row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Mark {
    Tab,
    Pipe,
    Semicolon,
    /// Two spaces or more.
    Gap,
    Comma,
    /// `Gin ....... 50 ml`.
    Dots,
}

/// What a cell holds.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Sort {
    /// A number by itself.
    Number,
    /// A number with its unit.
    Measured,
    Words,
}

pub(super) fn sort(cell: &str) -> Sort {
    let tokens = tokens(cell, 0);
    if !cell.contains(char::is_numeric) {
        return Sort::Words;
    }
    if cell
        .bytes()
        .all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','))
    {
        return Sort::Number;
    }
    match amounts::phrase(&tokens, 0) {
        Some(Ok(phrase)) => match tokens.get(phrase.next) {
            None => Sort::Number,
            Some(unit) if Unit::spelt(cell[unit.span.start..].trim()).is_some() => Sort::Measured,
            Some(_) => Sort::Words,
        },
        _ => Sort::Words,
    }
}

/// `-----`, `|---|:--:|`.
pub(super) fn is_rule(line: &str) -> bool {
    let line = line.trim();
    line.len() > 2
        && line.contains(['-', '=', '_', '─', '—'])
        && line.chars().all(|c| "-=_─—:|+;, \t".contains(c))
}

/// A place of a line in characters.
pub(super) fn in_characters(line: &str, bytes: &Range<usize>) -> Range<usize> {
    let from = line[..bytes.start].chars().count();
    from..from + line[bytes.clone()].chars().count()
}

/// The cells of a line, without the space around them; `None` where it has fewer than two.
pub(super) fn cells(line: &str, mark: Mark) -> Option<Vec<Range<usize>>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    let mut push = |from: usize, to: usize| {
        let cell = &line[from..to];
        let lead = cell.len() - cell.trim_start().len();
        let inner = cell.trim();
        // `"lime juice, fresh"`: quotes keep the mark in the cell.
        let quotes = usize::from(inner.len() > 1 && inner.starts_with('"') && inner.ends_with('"'));
        let start = from + lead + quotes;
        found.push(start..(start + inner.len()).saturating_sub(2 * quotes).max(start));
    };
    let end = line.trim_end_matches([' ', '\r']).len();
    let separator = match mark {
        Mark::Tab => '\t',
        Mark::Pipe => '|',
        Mark::Semicolon => ';',
        Mark::Comma => ',',
        Mark::Gap => {
            if line.contains(['\t', '|', ';']) {
                return None;
            }
            let mut from = 0;
            while from < end {
                let rest = &line[from..end];
                let to = from + rest.find("  ").unwrap_or(rest.len());
                push(from, to);
                from = to + line[to..end].len() - line[to..end].trim_start().len();
            }
            return (found.len() > 1).then_some(found);
        }
        Mark::Dots => {
            let from = line.find("...")?;
            let to = from + line[from..].find(|c| c != '.' && c != ' ')?;
            push(0, from);
            push(to, end);
            return Some(found);
        }
    };
    let (mut from, mut end) = (0, end);
    if mark == Mark::Pipe {
        let lead = line.len() - line.trim_start().len();
        if line[lead..].starts_with('|') {
            from = lead + 1;
        }
        if end > from && line[..end].ends_with('|') {
            end -= 1;
        }
    }
    let mut quoted = false;
    for (at, c) in line[from..end]
        .char_indices()
        .map(|(i, c)| (from + i, c))
        .collect::<Vec<_>>()
    {
        quoted ^= c == '"' && matches!(mark, Mark::Comma | Mark::Semicolon);
        if c == separator && !quoted {
            push(from, at);
            from = at + 1;
        }
    }
    push(from, end);
    (found.len() > 1).then_some(found)
}
