//! An answer written into the text of a book: only the text of the changed amounts is replaced, where it stands.

use std::ops::Range;

use crate::balance::nominal;
use crate::build::build;
use crate::names::key;
use crate::resolve::resolve;
use crate::spec::{Drink, Line, Source, amount_edit, read_under};

use super::mend::{Answer, Change};
use super::subject::{Origin, Subject};

/// Why a change cannot be written into a text as it stands.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CannotRewrite {
    /// The amount does not stand in the line by itself.
    #[error(
        "line {line}: the amount of {ingredient} does not stand by itself in `{typed}`; write a line for each pour, each with one amount, then mend again"
    )]
    Line {
        /// Its line in the source, from 1.
        line: usize,
        /// What is poured.
        ingredient: String,
        /// The line as typed.
        typed: String,
    },
    /// There is no line to put a new pour after.
    #[error("no line of its own to put {ingredient} after; write a line for each pour, then mend again")]
    NoPlace {
        /// What is added.
        ingredient: String,
    },
    /// With the amounts in it the text reads as something else than the answer.
    #[error("with the new amounts in it the text of {drink} does not read as the answer{}", why.as_ref().map(|w| format!(": {w}")).unwrap_or_default())]
    ReadsOtherwise {
        /// The drink.
        drink: String,
        /// What is wrong with it, where it does not read at all.
        why: Option<String>,
    },
}

/// The text of `source` with an answer for `drink`, which was read from it, written in; read again to make sure that
/// it comes to exactly the figures of the answer.
///
/// # Errors
/// When an amount does not stand by itself, or the new text would not read as the answer.
pub fn answer_written(
    subject: &Subject<'_>,
    source: &Source,
    drink: &Drink,
    answer: &Answer,
) -> Result<String, CannotRewrite> {
    let text = rewritten(source, drink, &answer.changes)?;
    let otherwise = |why: Option<String>| CannotRewrite::ReadsOtherwise {
        drink: drink.name.clone(),
        why,
    };
    let again = Source::new(source.file.clone(), text);
    let reading = read_under(&again, subject.settings);
    // Other drinks of the book may have faults of their own; this one may not.
    let read = reading
        .book
        .drinks()
        .find(|d| key(&d.name) == key(&drink.name))
        .ok_or_else(|| otherwise(reading.faults.first().map(|f| f.message.clone())))?;
    let mut resolved = resolve(read, subject.stock, subject.settings, &again)
        .map_err(|faults| otherwise(faults.first().map(|f| f.message.clone())))?;
    // What the house knows of the melt stands behind the answer, and so behind this.
    resolved.own_melt.clone_from(&subject.resolved.own_melt);
    let figures = nominal(&resolved, &build(&resolved));
    let same = figures
        .named()
        .iter()
        .zip(answer.figures.named())
        .all(|((_, a), (_, b))| match (a.value, b.value) {
            (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * b.abs().max(1.0),
            (a, b) => a.is_none() && b.is_none(),
        });
    if same {
        Ok(again.text)
    } else {
        Err(otherwise(None))
    }
}

/// The text of `source` with changes of `drink`, which was read from it, written in: the amounts are replaced where
/// they stand, an added pour gets a line of its own, and everything else stays as it was typed.
///
/// # Errors
/// When an amount does not stand by itself.
pub fn rewritten(source: &Source, drink: &Drink, changes: &[Change]) -> Result<String, CannotRewrite> {
    let lines: Vec<&Line> = drink.lines().collect();
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    for change in changes {
        if change.origin == Origin::Added {
            edits.push(new_line(source, &lines, change)?);
            continue;
        }
        let unit = change.unit_written.then_some(change.unit);
        let edit = lines
            .get(change.at)
            .and_then(|line| amount_edit(source, line, change.to, unit))
            .ok_or_else(|| cannot(source, &lines, change))?;
        edits.push(edit);
    }
    // From the end, so that places before an edit stay where they are; of two at one place the later stays later.
    edits.reverse();
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut text = source.text.clone();
    for (span, new) in edits {
        text.replace_range(span, &new);
    }
    Ok(text)
}

fn cannot(source: &Source, lines: &[&Line], change: &Change) -> CannotRewrite {
    let span = lines.get(change.at).map_or(0..0, |l| l.span.clone());
    CannotRewrite::Line {
        line: source.position(span.start).0,
        ingredient: change.ingredient.clone(),
        typed: source.text.get(span).unwrap_or_default().to_owned(),
    }
}

/// A line for a pour that is added, after the line of the step before it.
fn new_line(
    source: &Source,
    lines: &[&Line],
    change: &Change,
) -> Result<(Range<usize>, String), CannotRewrite> {
    let no_place = || CannotRewrite::NoPlace {
        ingredient: change.ingredient.clone(),
    };
    let before = change
        .at
        .checked_sub(1)
        .and_then(|at| lines.get(at))
        .ok_or_else(no_place)?;
    let whole = source
        .lines()
        .find(|l| l.start <= before.span.start && before.span.end <= l.end)
        .ok_or_else(no_place)?;
    let mark = &source.text[whole.start..before.span.start];
    // `- `, `* ` or nothing: anything else holds more than one step.
    let is_mark = matches!(mark.trim(), "" | "-" | "*" | "+" | "•" | "‣" | "◦" | "–");
    let alone = lines.iter().filter(|l| whole.contains(&l.span.start)).count() == 1;
    if !is_mark || !alone {
        return Err(no_place());
    }
    let end = match &source.text.as_bytes()[whole.end..] {
        [b'\r', b'\n', ..] => "\r\n",
        [b'\r', ..] => "\r",
        _ => "\n",
    };
    let text = format!("{end}{mark}{} {}", change.to_text(), change.ingredient);
    Ok((whole.end..whole.end, text))
}
