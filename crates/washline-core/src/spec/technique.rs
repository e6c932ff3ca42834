//! Times of work.

use super::tokens::Token;
use super::{Unplaced, amounts};
use crate::measure::Amount;

/// A time in seconds: `12 s`, `2 min`, `24 h`, `2 days`, `12"`.
pub(super) fn time(tokens: &[Token]) -> Option<Result<(Amount, usize), Unplaced>> {
    let phrase = match amounts::phrase(tokens, 0)? {
        Ok(phrase) => phrase,
        Err(wrong) => return Some(Err(wrong)),
    };
    let unit = tokens.get(phrase.next)?;
    let seconds = match seconds_in(&unit.word()) {
        Some(seconds) => seconds,
        None if unit.is_mark('"') => 1,
        None => return None,
    };
    Some(Ok((
        phrase.extent.nominal * Amount::raw(seconds, 1),
        phrase.next + 1,
    )))
}

/// How many seconds a unit of time has.
fn seconds_in(unit: &str) -> Option<i128> {
    Some(match unit {
        "s" | "sec" | "secs" | "second" | "seconds" | "secondes" | "sekunden" | "segundos" | "secondi" => 1,
        "min" | "mins" | "minute" | "minutes" | "minuten" | "minutos" | "minuti" => 60,
        "h" | "hr" | "hrs" | "hour" | "hours" => 3600,
        "day" | "days" => 86_400,
        "week" | "weeks" => 604_800,
        _ => return None,
    })
}

/// Whether a word is a unit of time.
pub(super) fn is_time(word: &str) -> bool {
    seconds_in(word).is_some()
}
