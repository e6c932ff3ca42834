//! What is crossed out in a line, and the amount that another stands in the place of: `~~1 oz~~ 3/4 oz lime`,
//! `limoncello 20 -> 15`.

use std::ops::Range;

use super::Assumption;
use super::rewritten::Rewritten;

/// The line without what is crossed out; `None` where nothing is.
pub(super) fn without(text: &str) -> Option<Rewritten> {
    let mut all: Vec<(Range<usize>, Option<Range<usize>>)> =
        crossed(text).into_iter().map(|crossed| (crossed, None)).collect();
    all.extend(changed(text).into_iter().map(|(whole, last)| (whole, Some(last))));
    if all.is_empty() {
        return None;
    }
    all.sort_by_key(|(whole, _)| whole.start);
    let mut kept = Rewritten::default();
    let mut at = 0;
    for (whole, last) in all {
        // Within what is crossed out, or of three numbers in a row.
        if whole.start < at {
            continue;
        }
        kept.copy(text, at..whole.start);
        match last {
            Some(last) => kept.change(
                whole.clone(),
                &text[last],
                Some(Assumption::new(
                    format!("`{}`", &text[whole.clone()]),
                    "the last amount is poured",
                    "keep the amount that is poured",
                )),
            ),
            None => kept.leave(whole.clone()),
        }
        at = whole.end;
    }
    kept.copy(text, at..text.len());
    Some(kept)
}

/// What stands between two tildes and two more.
fn crossed(text: &str) -> Vec<Range<usize>> {
    let marks: Vec<usize> = text.match_indices("~~").map(|(at, _)| at).collect();
    marks.chunks_exact(2).map(|pair| pair[0]..pair[1] + 2).collect()
}

/// Each two numbers with an arrow between them, and where the second stands.
fn changed(text: &str) -> Vec<(Range<usize>, Range<usize>)> {
    let is_number = |c: char| c.is_numeric() || matches!(c, '.' | ',' | '/');
    let arrows = ["->", "=>", "→", "⇒"]
        .iter()
        .flat_map(|arrow| text.match_indices(arrow));
    arrows
        .filter_map(|(at, arrow)| {
            let before = text[..at].trim_end();
            let from = before.len()
                - before
                    .chars()
                    .rev()
                    .take_while(|c| is_number(*c))
                    .map(char::len_utf8)
                    .sum::<usize>();
            let after = text[at + arrow.len()..].trim_start();
            let to = text.len() - after.len();
            let length: usize = after
                .chars()
                .take_while(|c| is_number(*c))
                .map(char::len_utf8)
                .sum();
            let number = |range: Range<usize>| text[range].contains(char::is_numeric);
            (number(from..before.len()) && number(to..to + length))
                .then_some((from..to + length, to..to + length))
        })
        .collect()
}
