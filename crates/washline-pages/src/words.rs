//! How numbers, verdicts and counts are printed, on a page as on a screen.

use std::fmt::Display;

use rust_decimal::Decimal;
use washline_core::balance::{BalanceFigure, Figure, GlassFill, Severity, Standing, Structure, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::measure::Currency;
use washline_core::service::cost::Costing;
use washline_core::tables::printed::{range, trimmed};

pub use washline_core::tables::printed::{NONE, change, none, number};

/// One of a few things that can be asked for by a word.
pub trait Choice: Copy + 'static {
    /// The word for it.
    fn word(self) -> &'static str;
    /// What it is, in a line.
    fn about(self) -> &'static str;
}

/// "1 fault", "3 faults".
#[must_use]
pub fn count(n: usize, one: &str, several: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { several })
}

/// The mark before a finding.
#[must_use]
pub fn mark_of(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => "!",
        Severity::Outside => "◆",
        Severity::Edge => "○",
        Severity::Note => NONE,
    }
}

/// The same in words.
#[must_use]
pub fn grade(severity: Severity) -> &'static str {
    match severity {
        Severity::Fault => Standing::Fault.words(),
        Severity::Outside => "to mend",
        Severity::Edge => "to look at",
        Severity::Note => "to know",
    }
}

/// A text in which words between backticks stand between quotation marks: a page is not read by a terminal.
#[must_use]
pub fn quoted(text: &str) -> String {
    let parts: Vec<&str> = text.split('`').collect();
    let mut whole = String::with_capacity(text.len());
    for (at, part) in parts.iter().enumerate() {
        let mark = match (at, at % 2) {
            (0, _) => "",
            (_, 1) => "“",
            _ => "”",
        };
        whole.push_str(mark);
        whole.push_str(part);
    }
    whole
}

/// A number with at most four decimals and no trailing zeros.
#[must_use]
pub fn short(value: f64) -> String {
    trimmed(value, 4)
}

/// `14.9 to 17.7`; `None` of a figure without an interval.
#[must_use]
pub fn interval(figure: Figure, decimals: usize) -> Option<String> {
    Some(range(figure.low?, figure.high?, decimals))
}

/// ` (140 to 156)`, after a value; nothing where both ends are the same as they are printed.
#[must_use]
pub fn in_brackets<T: Display + PartialEq>(low: T, high: T) -> String {
    if low == high {
        String::new()
    } else {
        format!(" ({low} to {high})")
    }
}

/// `148 (140 to 156)`.
#[must_use]
pub fn figure(figure: Figure, decimals: usize) -> String {
    let told = match (figure.low, figure.high) {
        (Some(low), Some(high)) => in_brackets(number(low, decimals), number(high, decimals)),
        _ => String::new(),
    };
    format!("{}{told}", number(figure.value, decimals))
}

/// `148 ml (140 to 156)`.
#[must_use]
pub fn with_interval(of: Figure, decimals: usize, unit: &str) -> String {
    let told = figure(of, decimals);
    match told.split_once(' ') {
        Some((value, interval)) => format!("{value} {unit} {interval}"),
        None => format!("{told} {unit}"),
    }
}

/// What sort of drink it is.
#[must_use]
pub fn structure(structure: Option<Structure>) -> &'static str {
    structure.map_or("method missing", Structure::name)
}

/// What is said of a drink into which no ice melts.
pub const NO_ICE_MELTS: &str = "no ice melts into it";

/// How full a drink makes its glass: `68 % of the coupe of 140 ml`.
#[must_use]
pub fn fill(drink: &ComputedDrink) -> String {
    drink
        .evaluation
        .glass
        .as_ref()
        .map_or_else(|| "glass not known".to_owned(), GlassFill::words)
}

/// What the doubt about a measure is made of, the largest share first: at most so many inputs, from a share on.
#[must_use]
pub fn doubts(drink: &ComputedDrink, measure: BalanceFigure, most: usize, from_share: f64) -> Vec<String> {
    let budget = &drink.evaluation.budget;
    budget
        .iter()
        .filter(|part| part.measure == measure && part.share >= from_share)
        .take(most)
        .map(|part| format!("{:.0} % {} ({})", 100.0 * part.share, part.input, part.settled_by))
        .collect()
}

/// The code of the currency of a drink; empty where nothing in it has a price.
#[must_use]
pub fn currency(costing: &Costing) -> &'static str {
    costing.currency.map_or("", Currency::code)
}

/// A sum in the currency of the drink: `2.31 EUR`.
#[must_use]
pub fn money(costing: &Costing, sum: Decimal) -> String {
    format!("{} {}", costing.rounded(sum), currency(costing))
        .trim_end()
        .to_owned()
}

/// What stands before a cost and before what is earned, where something is not priced: the one is a least, the other a
/// most.
#[must_use]
pub fn bounds(costing: &Costing) -> (&'static str, &'static str) {
    match costing.is_complete() {
        true => ("", ""),
        false => ("at least ", "at most "),
    }
}

/// The same in signs, for a cell.
#[must_use]
pub fn bound_signs(costing: &Costing) -> (&'static str, &'static str) {
    match costing.is_complete() {
        true => ("", ""),
        false => ("≥ ", "≤ "),
    }
}

/// The names of what is not priced of a drink.
#[must_use]
pub fn unpriced(costing: &Costing) -> String {
    let names: Vec<&str> = costing.unpriced().map(|(line, _)| line.name.as_str()).collect();
    names.join(", ")
}

/// What is not priced of a drink: `honey syrup, lemon zest (14 % of what is poured)`; empty where all is.
#[must_use]
pub fn not_priced(costing: &Costing) -> String {
    match costing.is_complete() {
        true => String::new(),
        false => format!(
            "{} ({:.0} % of what is poured)",
            unpriced(costing),
            costing.unpriced_pct
        ),
    }
}

/// The mark of a verdict, told apart by shape.
#[must_use]
pub fn mark(verdict: Verdict) -> char {
    match verdict {
        Verdict::In => '●',
        Verdict::Edge => '○',
        Verdict::Outside => '◆',
        Verdict::TooClose => '◐',
        Verdict::NoBand => '·',
    }
}

/// A text of at most so many characters, an ellipsis in the place of the rest.
#[must_use]
pub fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_a_list_stand_between_quotation_marks() {
        assert_eq!(quoted("`dash:` in the book"), "“dash:” in the book");
        assert_eq!(quoted("or `a` or `b`"), "or “a” or “b”");
    }

    #[test]
    fn what_is_too_long_says_so() {
        assert_eq!(cut("abcdef", 4), "abc…");
        assert_eq!(cut("abcd", 4), "abcd");
    }
}
