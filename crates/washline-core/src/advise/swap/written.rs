//! A swap written into the text of a book: the line of the old pour is put anew, everything else stays as typed.

use std::ops::Range;

use crate::advise::held::{NotHeld, held, is_same_spec, named};
use crate::spec::{Drink, Line, Pour, Settings, Source};

use super::{Version, with_pours};

/// Why a swap cannot be written into a text as it stands.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotWritten {
    /// The pour does not stand in a line of its own.
    #[error(
        "line {line}: {pour} does not stand by itself in `{typed}`; write a line for each pour, then swap again"
    )]
    Line {
        /// Its line in the source, from 1.
        line: usize,
        /// The new pour.
        pour: String,
        /// The line as typed.
        typed: String,
    },
    /// The text does not hold the drink that was worked out.
    #[error(transparent)]
    NotHeld(#[from] NotHeld),
    /// With the new line in it the text reads as something else.
    #[error("with the new line in it the text of {drink} does not read as what was worked out")]
    ReadsOtherwise {
        /// The drink.
        drink: String,
    },
}

/// The text of `source` with `before`, a drink of it, made into `after`: the lines of the pours that change are written
/// anew, water that is poured back gets a line of its own. The text is read again to make sure that it is what was
/// worked out.
///
/// # Errors
/// When the text does not hold `before`, a pour does not stand by itself, or the new text would not read as `after`.
pub fn swapped_text(
    source: &Source,
    settings: &Settings,
    before: &Drink,
    after: &Version,
) -> Result<String, NotWritten> {
    let own = held(source, settings, before)?;
    let lines: Vec<&Line> = own.lines().collect();
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    for (at, pour) in &after.pours {
        if let Some(line) = lines.get(*at) {
            edits.push((line.span.clone(), pour.to_string()));
        }
    }
    if let (Some(water), Some(line)) = (
        &after.water,
        after.pours.last().and_then(|(at, _)| lines.get(*at)),
    ) {
        edits.push(new_line(source, line, water)?);
    }
    // From the end, so that places before an edit stay where they are.
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut text = source.text.clone();
    for (span, new) in &edits {
        text.replace_range(span.clone(), new);
    }
    let again = Source::new(source.file.clone(), text);
    let wanted = with_pours(&own, &after.pours, after.water.as_ref());
    if named(&again, settings, &before.name).is_some_and(|read| is_same_spec(&read, &wanted)) {
        return Ok(again.text);
    }
    Err(
        match after
            .pours
            .first()
            .and_then(|(at, pour)| Some((lines.get(*at)?, pour)))
        {
            Some((line, pour)) => not_alone(source, line, pour),
            None => NotWritten::ReadsOtherwise {
                drink: before.name.clone(),
            },
        },
    )
}

fn not_alone(source: &Source, line: &Line, pour: &Pour) -> NotWritten {
    NotWritten::Line {
        line: source.position(line.span.start).0,
        pour: pour.to_string(),
        typed: source
            .text
            .get(physical(source, line.span.start))
            .unwrap_or_default()
            .trim()
            .to_owned(),
    }
}

fn physical(source: &Source, at: usize) -> Range<usize> {
    source
        .lines()
        .find(|l| l.start <= at && at <= l.end)
        .unwrap_or(at..at)
}

/// A line for a pour that is added, after the line of `before`.
fn new_line(source: &Source, before: &Line, pour: &Pour) -> Result<(Range<usize>, String), NotWritten> {
    let whole = physical(source, before.span.start);
    let mark = source
        .text
        .get(whole.start..before.span.start)
        .unwrap_or_default();
    if !matches!(mark.trim(), "" | "-" | "*" | "+" | "•" | "‣" | "◦" | "–") {
        return Err(not_alone(source, before, pour));
    }
    let end = match source.text.as_bytes().get(whole.end..) {
        Some([b'\r', b'\n', ..]) => "\r\n",
        Some([b'\r', ..]) => "\r",
        _ => "\n",
    };
    Ok((whole.end..whole.end, format!("{end}{mark}{pour}")))
}
