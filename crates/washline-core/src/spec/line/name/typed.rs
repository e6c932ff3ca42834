//! A name as typed, its slips as they were meant.

use super::Reader;
use super::words::Core;
use crate::spec::tokens::Kind;

impl Reader<'_> {
    /// The words of a core as typed, those that were mistyped as they were meant.
    pub(super) fn typed(&self, from: usize, core: &Core) -> String {
        typed_of(self, from, core.end, core)
    }
}

/// The tokens `from..to` as typed, those that were mistyped as they were meant.
pub(super) fn typed_of(reader: &Reader, from: usize, to: usize, core: &Core) -> String {
    // `IT. VERMOUTH`: the full stop of a shortening is no part of a name.
    let short = (from..to.saturating_sub(1))
        .any(|i| matches!(reader.tokens[i].kind, Kind::Word(_)) && reader.tokens[i].stops());
    if core.meant.is_empty() && !short {
        return bare(reader.raw(from, to)).to_owned();
    }
    let mut text = String::new();
    for i in from..to {
        let token = &reader.tokens[i];
        if !text.is_empty() {
            text.push_str(match (token.joined, token.spaced) {
                (true, _) => "-",
                (_, true) => " ",
                _ => "",
            });
        }
        match core.meant.iter().find(|(at, _)| *at == i) {
            // `passion fruit` is not `passion fruit fruit`.
            Some((_, meant))
                if i + 1 < to && meant.ends_with(&format!(" {}", reader.words[i + 1].folded)) =>
            {
                text.push_str(reader.raw(i, i + 1));
            }
            Some((_, meant)) => text.push_str(meant),
            None if matches!(token.kind, Kind::Word(_)) => {
                text.push_str(reader.raw(i, i + 1).trim_end_matches('.'));
            }
            None => text.push_str(reader.raw(i, i + 1)),
        }
    }
    bare(&text).to_owned()
}

/// A name without the full stop behind it and the marks it is set in: `` `bourbon` ``.
fn bare(typed: &str) -> &str {
    typed.trim_end_matches('.').trim_matches('`').trim()
}

/// Two runs of words, with a space between where both say something.
pub(super) fn join(a: &str, b: &str) -> String {
    match (a.trim(), b.trim()) {
        ("", b) => b.to_owned(),
        (a, "") => a.to_owned(),
        (a, b) => format!("{a} {b}"),
    }
}
