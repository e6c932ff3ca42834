//! How numbers, differences and ranges are printed on every screen, page and card.
//!
//! - A number below nothing has the hyphen of the keyboard, `-2`: it can be copied into a sheet or a command as it stands,
//!   and is what JSON and tables of values have.
//! - What rounds to nothing has no sign.
//! - A range is `4.9 to 5.6`; in a narrow cell `4.9–5.6`, unless it reaches below nothing, where a dash before a hyphen
//!   could not be read.

use std::fmt::Display;

/// What stands where there is no number.
pub const NONE: &str = "–";

/// The same, owned.
#[must_use]
pub fn none() -> String {
    NONE.to_owned()
}

/// A number with so many decimals; a dash where there is none, or none that is finite.
#[must_use]
pub fn number(value: impl Into<Option<f64>>, decimals: usize) -> String {
    let Some(value) = value.into().filter(|v: &f64| v.is_finite()) else {
        return none();
    };
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        _ => text,
    }
}

/// A number with at most so many decimals and no trailing zeros: `29.57`, `0.5`, `3`.
#[must_use]
pub fn trimmed(value: f64, decimals: usize) -> String {
    let text = number(value, decimals);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// A change with its sign; `=` where, so printed, nothing changes.
#[must_use]
pub fn change(by: impl Into<Option<f64>>, decimals: usize) -> String {
    let text = number(by, decimals);
    if text == NONE || text.starts_with('-') {
        text
    } else if text.chars().all(|c| matches!(c, '0' | '.')) {
        "=".to_owned()
    } else {
        format!("+{text}")
    }
}

/// `18.7 → 17.9`; once where, so printed, nothing changes.
#[must_use]
pub fn moved(before: &str, now: &str) -> String {
    if before == now {
        now.to_owned()
    } else {
        from_to(before, now)
    }
}

/// `30 ml → 25 ml`: what it was, and what it is.
#[must_use]
pub fn from_to(before: impl Display, now: impl Display) -> String {
    format!("{before} → {now}")
}

/// A share of 1 in whole per cent: `68 %`.
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{} %", number(100.0 * share, 0))
}

/// `4.9 to 5.6`.
#[must_use]
pub fn range(low: f64, high: f64, decimals: usize) -> String {
    format!("{} to {}", number(low, decimals), number(high, decimals))
}

/// `4.9–5.6`, for a cell of a table.
#[must_use]
pub fn range_in_a_cell(low: f64, high: f64, decimals: usize) -> String {
    let low = number(low, decimals);
    let between = if low.starts_with('-') { " to " } else { NONE };
    format!("{low}{between}{}", number(high, decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_they_are_printed() {
        assert_eq!(number(-2.6, 0), "-3");
        assert_eq!(number(-0.04, 1), "0.0");
        assert_eq!(number(f64::NAN, 1), "–");
        assert_eq!(number(None, 1), "–");
        assert_eq!(trimmed(29.574, 2), "29.57");
        assert_eq!(trimmed(0.5, 4), "0.5");
        assert_eq!(trimmed(30.0, 2), "30");
        assert_eq!(trimmed(30.0, 0), "30");
        assert_eq!(trimmed(-0.001, 2), "0");
        assert_eq!(change(0.6, 1), "+0.6");
        assert_eq!(change(-0.6, 1), "-0.6");
        assert_eq!(change(-0.04, 1), "=");
        assert_eq!(change(0.04, 1), "=");
        assert_eq!(moved("0.9", "0.9"), "0.9");
        assert_eq!(moved("0.9", "1.0"), from_to("0.9", "1.0"));
        assert_eq!(percent(0.684), "68 %");
        assert_eq!(range(-2.0, -0.04, 1), "-2.0 to 0.0");
        assert_eq!(range_in_a_cell(4.9, 5.6, 1), "4.9–5.6");
        assert_eq!(range_in_a_cell(-2.0, 0.5, 1), "-2.0 to 0.5");
    }
}
