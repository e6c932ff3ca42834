//! A line with another amount in it: only the text of the amount is replaced, wherever it stands.
//!
//! What to replace is found by trying: every run of words in the line is a candidate, the shortest first, and one
//! is taken when the line then reads as the same pour with the amount that was wanted. So no form of a line needs
//! a rule of its own, and what is written back is what will be read.

use std::ops::Range;

use super::line;
use super::tokens::{Token, tokens};
use super::{Extent, Line, Pour, PourAmount, Source, Step};
use crate::measure::{Amount, Unit};

/// The longest amount with its unit in words: `1 1/2 fl oz`, `a couple of bar spoons`.
const LONGEST: usize = 6;

/// What to write where, so that `line` of `source` pours `amount` of `unit` (`None` for a bare number). `None`
/// where the amount does not stand in this line by itself: a line of several pours, an amount given twice.
pub(crate) fn amount_edit(
    source: &Source,
    line: &Line,
    amount: Amount,
    unit: Option<Unit>,
) -> Option<(Range<usize>, String)> {
    let Step::Pour(pour) = &line.step else { return None };
    let typed = source.text.get(line.span.clone())?;
    let wanted = Pour {
        measure: PourAmount::Of(Extent::exact(amount), unit),
        ..pour.clone()
    };
    let tokens = tokens(typed, 0);
    // With its unit first where the unit's word would be wrong beside the new number: `1 dash`, `2 dashes`.
    let word_changes = match (&pour.measure, unit) {
        (PourAmount::Of(old, _), Some(unit)) => unit.written_after(old.high) != unit.written_after(amount),
        _ => true,
    };
    for with_unit in [word_changes, !word_changes] {
        for length in 1..=LONGEST.min(tokens.len()) {
            for run in tokens.windows(length) {
                let span = span(run);
                let text = text(&typed[span.clone()], amount, unit, with_unit);
                let changed = format!("{}{text}{}", &typed[..span.start], &typed[span.end..]);
                if reads_as(&changed, &wanted, line.assumptions.len()) {
                    return Some((line.span.start + span.start..line.span.start + span.end, text));
                }
            }
        }
    }
    None
}

/// The amount in the way the old one is typed, by itself or with its unit.
fn text(typed: &str, amount: Amount, unit: Option<Unit>, with_unit: bool) -> String {
    let number = match unit {
        Some(unit) if !typed.contains(['.', ',']) => unit.amount_text(amount),
        _ => amount.to_string(),
    };
    let number = if typed.contains(',') {
        number.replace('.', ",")
    } else {
        number
    };
    match unit.filter(|_| with_unit) {
        Some(unit) => format!("{number} {}", unit.written_after(amount)),
        None => number,
    }
}

/// Whether a line reads as this one pour, whatever its names' places, and without more to take for granted than
/// before: a second amount in brackets would contradict the new one.
fn reads_as(text: &str, wanted: &Pour, assumptions: usize) -> bool {
    let context = line::Context {
        preparing: false,
        own: &super::OwnNames::default(),
    };
    let read = line::read(text, 0, context);
    let [
        line::Found {
            item: line::Item::Pours(pours),
            ..
        },
    ] = read.found.as_slice()
    else {
        return false;
    };
    let [(pour, said)] = pours.as_slice() else {
        return false;
    };
    let same = |a: &Pour, b: &Pour| {
        a.measure == b.measure
            && a.place == b.place
            && a.strength_pct == b.strength_pct
            && a.per == b.per
            && a.note == b.note
            && a.choices.len() == b.choices.len()
            && a.choices
                .iter()
                .zip(&b.choices)
                .all(|(x, y)| x.name == y.name && x.full == y.full && x.any == y.any)
    };
    said.len() <= assumptions && same(pour, wanted)
}

fn span(run: &[Token]) -> Range<usize> {
    run.first().map_or(0, |t| t.span.start)..run.last().map_or(0, |t| t.span.end)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spec::read;

    /// The line of a drink after an edit, or `None` where it cannot be edited.
    fn edited(typed: &str, amount: &str, unit: Option<Unit>) -> Option<String> {
        let source = Source::new("t", format!("# T\n\n## D\n- {typed}\n- 60 ml gin\n- stir\n"));
        let reading = read(&source);
        let line = reading.book.drinks().next()?.lines().next()?.clone();
        let (span, text) = amount_edit(&source, &line, amount.parse().unwrap(), unit)?;
        let mut whole = source.text.clone();
        whole.replace_range(span, &text);
        Some(whole.lines().nth(3)?.strip_prefix("- ")?.to_owned())
    }

    #[test]
    fn only_the_amount_is_replaced_wherever_it_stands() {
        use Unit::{Barspoon, Dash, Millilitre, Ounce};
        for (typed, amount, unit, after) in [
            (
                "22.5 ml fresh lime juice",
                "25",
                Some(Millilitre),
                "25 ml fresh lime juice",
            ),
            (
                "22,5ml  lime juice",
                "27.5",
                Some(Millilitre),
                "27,5ml  lime juice",
            ),
            ("3/4 oz lime juice", "1", Some(Ounce), "1 oz lime juice"),
            ("¾ oz. lime juice", "1 1/4", Some(Ounce), "1 1/4 oz. lime juice"),
            ("0.75 oz lime juice", "1.25", Some(Ounce), "1.25 oz lime juice"),
            ("lime juice 20 ml", "15", Some(Millilitre), "lime juice 15 ml"),
            (
                "top 60 ml soda water",
                "90",
                Some(Millilitre),
                "top 90 ml soda water",
            ),
            ("1 dash absinthe", "3", Some(Dash), "3 dashes absinthe"),
            (
                "2 barspoons maraschino liqueur",
                "1",
                Some(Barspoon),
                "1 barspoon maraschino liqueur",
            ),
            ("to taste lime juice", "20", Some(Millilitre), "20 ml lime juice"),
            ("? ml lime juice", "20", Some(Millilitre), "20 ml lime juice"),
            ("20-30 ml lime juice", "25", Some(Millilitre), "25 ml lime juice"),
            (
                "20 ml lime juice (strained twice)",
                "25",
                Some(Millilitre),
                "25 ml lime juice (strained twice)",
            ),
            ("45 ml gin 47 %", "50", Some(Millilitre), "50 ml gin 47 %"),
            ("60 ml vodka or gin", "50", Some(Millilitre), "50 ml vodka or gin"),
            ("1 oz rum + 1 oz rye", "2", Some(Ounce), "2 oz rum + 1 oz rye"),
        ] {
            assert_eq!(edited(typed, amount, unit).as_deref(), Some(after), "{typed}");
        }
    }

    #[test]
    fn what_holds_several_pours_is_not_edited() {
        assert_eq!(
            edited(
                "30 ml each gin, lemon juice, triple sec",
                "25",
                Some(Unit::Millilitre)
            ),
            None
        );
        assert_eq!(
            edited("2:1:1 gin / lemon juice / triple sec", "3", Some(Unit::Part)),
            None
        );
        // The ounces in brackets would be wrong beside other millilitres.
        assert_eq!(
            edited("40 ml lime juice (1 1/3 oz)", "25", Some(Unit::Millilitre)),
            None
        );
    }
}
