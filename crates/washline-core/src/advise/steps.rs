//! The amounts a bar can measure of something, in the unit its line is written in: the grid of every answer.
//!
//! | written in | steps |
//! |---|---|
//! | ml, cl, dl | 1.25 ml, then every 2.5 ml to 30 ml, every 5 ml from there |
//! | oz | 1/8 oz, then every 1/4 oz |
//! | dashes, barspoons, drops, splashes, cubes | whole ones |
//! | teaspoons, tablespoons, jiggers, ponies, shots, fruits | halves |
//! | parts, cups | quarters |
//! | g | every gram to 20 g, every 5 g from there |
//!
//! A house that sets its jiggers has its own steps for ml, cl, dl and oz: a single size is a step, several are
//! poured one, two or three times over; below the smallest it measures with a spoon, by 2.5 ml. An amount as
//! written is always kept as a choice, on the steps or off them.
//!
//! How far: a written pour is never cut below a third or more than doubled, for then it would be another drink; a
//! small one may grow by 15 ml, a counted one by two (common practice, no source). An open pour goes from nothing to
//! 60 ml, or to six of what is counted.

use crate::measure::{Amount, Ounce, Unit};

/// A pour below this may always grow by as much, ml: doubling a barspoon would be no room at all.
const ROOM_ML: f64 = 15.0;
/// How many more of something counted there may be.
const ROOM_COUNTED: f64 = 2.0;
/// The most of an open pour, ml.
const OPEN_ML: f64 = 60.0;
/// The most of an open pour that is counted.
const OPEN_COUNTED: f64 = 6.0;
/// Steps of a spoon below the smallest jigger, ml.
const SPOON_ML: Amount = Amount::raw(5, 2);

/// Steps of a unit: a smallest amount below them, if there is one, fine ones to some amount, coarse ones beyond.
struct Ladder {
    smallest: Option<Amount>,
    fine: Amount,
    to: Amount,
    coarse: Amount,
}

const fn even(step: Amount) -> Ladder {
    Ladder {
        smallest: None,
        fine: step,
        to: Amount::ZERO,
        coarse: step,
    }
}

/// Whether amounts of it are measured in jiggers.
fn is_jiggered(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Millilitre | Unit::Centilitre | Unit::Decilitre | Unit::Ounce
    )
}

/// The usual steps of a unit; `None` where a bar does not measure a serve in it.
fn usual(unit: Unit) -> Option<Ladder> {
    let metric = |per: i128| Ladder {
        smallest: Some(Amount::raw(5, 4 * per)),
        fine: Amount::raw(5, 2 * per),
        to: Amount::raw(30, per),
        coarse: Amount::raw(5, per),
    };
    Some(match unit {
        Unit::Millilitre => metric(1),
        Unit::Centilitre => metric(10),
        Unit::Decilitre => metric(100),
        Unit::Ounce => Ladder {
            smallest: Some(Amount::raw(1, 8)),
            ..even(Amount::raw(1, 4))
        },
        Unit::Dash | Unit::Barspoon | Unit::Drop | Unit::Splash | Unit::Cube => even(Amount::ONE),
        Unit::Teaspoon | Unit::Tablespoon | Unit::Jigger | Unit::Pony | Unit::Shot | Unit::Fruit => {
            even(Amount::raw(1, 2))
        }
        Unit::Part | Unit::Cup => even(Amount::raw(1, 4)),
        Unit::Gram => Ladder {
            smallest: None,
            fine: Amount::ONE,
            to: Amount::raw(20, 1),
            coarse: Amount::raw(5, 1),
        },
        _ => return None,
    })
}

fn times(step: Amount, n: i128) -> Amount {
    step * Amount::raw(n, 1)
}

impl Ladder {
    /// Every amount of it up to `most`, smallest first.
    fn up_to(&self, most: f64) -> Vec<Amount> {
        let fine = (1..).map(|n| times(self.fine, n)).take_while(|a| *a <= self.to);
        let coarse = (1..)
            .map(|n| times(self.coarse, n))
            .skip_while(|a| *a <= self.to)
            .take_while(|a| a.to_f64() <= most * (1.0 + 1e-12));
        let mut all: Vec<Amount> = self.smallest.into_iter().chain(fine).chain(coarse).collect();
        all.retain(|a| a.to_f64() <= most * (1.0 + 1e-12));
        all
    }
}

/// What a jigger set measures up to `most` ml, smallest first.
fn jiggered(set: &[Amount], most: f64) -> Vec<Amount> {
    let within = |a: &Amount| a.to_f64() <= most * (1.0 + 1e-12);
    if let [step] = set {
        return (1..).map(|n| times(*step, n)).take_while(within).collect();
    }
    let mut all = vec![Amount::ZERO];
    for _ in 0..3 {
        let once_more: Vec<Amount> = all.iter().flat_map(|a| set.iter().map(|b| *a + *b)).collect();
        all.extend(once_more);
    }
    if let Some(smallest) = set.first() {
        all.extend((1..).map(|n| times(SPOON_ML, n)).take_while(|a| a < smallest));
    }
    all.retain(|a| !a.is_zero() && within(a));
    all.sort_unstable();
    all.dedup();
    all
}

/// What a jigger set measures up to `most` of a unit; empty where none of it can be written in that unit.
fn in_unit(set: &[Amount], unit: Unit, ounce: Ounce, most: f64) -> Vec<Amount> {
    // A quarter of a millilitre, an eighth of an ounce: what a line would still be written in.
    let metric = |per: i128| -> Vec<Amount> {
        let quarters = |a: &Amount| {
            (*a * Amount::raw(4, 1))
                .exact_decimal()
                .is_some_and(|d| !d.contains('.'))
        };
        jiggered(set, most * Amount::raw(per, 1).to_f64())
            .into_iter()
            .filter(quarters)
            .map(|ml| ml * Amount::raw(1, per))
            .collect()
    };
    match unit {
        Unit::Millilitre => metric(1),
        Unit::Centilitre => metric(10),
        Unit::Decilitre => metric(100),
        Unit::Ounce => {
            let measured = jiggered(set, most * ounce.ml().to_f64());
            (1..)
                .map(|n| Amount::raw(n, 8))
                .take_while(|a| a.to_f64() <= most * (1.0 + 1e-12))
                .filter(|a| measured.contains(&(*a * ounce.ml())))
                .collect()
        }
        _ => Vec::new(),
    }
}

/// What a bar measures of something up to `most` units, smallest first, whatever is written.
pub(super) fn measured(unit: Unit, most: f64, ounce: Ounce, jigger_set: &[Amount]) -> Vec<Amount> {
    let jiggers = if is_jiggered(unit) {
        in_unit(jigger_set, unit, ounce, most)
    } else {
        Vec::new()
    };
    match usual(unit) {
        Some(ladder) if jiggers.is_empty() => ladder.up_to(most),
        _ => jiggers,
    }
}

/// What a pour of something can be changed to, smallest first: `written` is what stands in the line (`None` for an
/// open pour), `ml_each` how much one of `unit` is. Empty where a bar has no steps for it.
pub(super) fn amounts(
    unit: Unit,
    written: Option<Amount>,
    ml_each: f64,
    ounce: Ounce,
    jigger_set: &[Amount],
) -> Vec<Amount> {
    let Some(ladder) = usual(unit) else {
        return Vec::new();
    };
    if ml_each <= 0.0 {
        return Vec::new();
    }
    let counted = !is_jiggered(unit);
    let most = match written {
        Some(amount) if counted => {
            let amount = amount.to_f64();
            (2.0 * amount).max(amount + ROOM_COUNTED)
        }
        Some(amount) => {
            let amount = amount.to_f64();
            (2.0 * amount).max(amount + ROOM_ML / ml_each)
        }
        None if counted => OPEN_COUNTED,
        None => OPEN_ML / ml_each,
    };
    let mut all = if counted || jigger_set.is_empty() {
        Vec::new()
    } else {
        in_unit(jigger_set, unit, ounce, most)
    };
    if all.is_empty() {
        all = ladder.up_to(most);
    }
    let least = written.map_or(0.0, |amount| amount.to_f64() / 3.0 * (1.0 - 1e-12));
    all.retain(|a| a.to_f64() >= least);
    all.push(written.unwrap_or(Amount::ZERO));
    all.sort_unstable();
    all.dedup();
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(unit: Unit, written: Option<&str>, ml_each: f64, set: &[i128]) -> String {
        let set: Vec<Amount> = set.iter().map(|ml| Amount::raw(*ml, 1)).collect();
        let written = written.map(|w| w.parse().unwrap());
        amounts(unit, written, ml_each, Ounce::Bar30, &set)
            .iter()
            .map(|a| unit.amount_text(*a))
            .collect::<Vec<_>>()
            .join(" ")
    }

    #[test]
    fn the_usual_steps() {
        assert_eq!(
            said(Unit::Millilitre, Some("5"), 1.0, &[]),
            "2.5 5 7.5 10 12.5 15 17.5 20"
        );
        assert_eq!(
            said(Unit::Millilitre, Some("22.5"), 1.0, &[]),
            "7.5 10 12.5 15 17.5 20 22.5 25 27.5 30 35 40 45"
        );
        // What is written is kept though it is on no step.
        assert!(said(Unit::Millilitre, Some("37.5"), 1.0, &[]).contains("30 35 37.5 40"));
        assert_eq!(
            said(Unit::Centilitre, Some("1"), 10.0, &[]),
            "0.5 0.75 1 1.25 1.5 1.75 2 2.25 2.5"
        );
        assert_eq!(
            said(Unit::Ounce, Some("3/4"), 30.0, &[]),
            "1/4 1/2 3/4 1 1 1/4 1 1/2"
        );
        assert_eq!(said(Unit::Dash, Some("2"), 0.92, &[]), "1 2 3 4");
        assert_eq!(said(Unit::Barspoon, Some("1"), 5.0, &[]), "1 2 3");
        assert_eq!(said(Unit::Barspoon, None, 5.0, &[]), "0 1 2 3 4 5 6");
        assert_eq!(said(Unit::Fruit, Some("1/2"), 30.0, &[]), "1/2 1 1 1/2 2 2 1/2");
        assert_eq!(
            said(Unit::Gram, Some("19"), 0.6, &[]),
            "7 8 9 10 11 12 13 14 15 16 17 18 19 20 25 30 35"
        );
        assert_eq!(said(Unit::Leaf, Some("8"), 0.1, &[]), "");
        assert!(said(Unit::Millilitre, None, 1.0, &[]).starts_with("0 1.25 2.5 5"));
        assert!(said(Unit::Millilitre, None, 1.0, &[]).ends_with("55 60"));
    }

    #[test]
    fn the_jiggers_of_a_house() {
        assert_eq!(said(Unit::Millilitre, Some("20"), 1.0, &[10]), "10 20 30 40");
        // 25 and 50, and with a spoon below them.
        assert_eq!(
            said(Unit::Millilitre, Some("25"), 1.0, &[25, 50]),
            "10 12.5 15 17.5 20 22.5 25 50"
        );
        assert_eq!(
            said(Unit::Millilitre, Some("60"), 1.0, &[20, 25]),
            "20 25 40 45 50 60 65 70 75"
        );
        // 15 ml is half a 30 ml ounce; 2.5 ml is no eighth of one.
        assert_eq!(said(Unit::Ounce, Some("1"), 30.0, &[15, 30]), "1/2 1 1 1/2 2");
        // Jiggers that cannot be written in a line's unit leave it its usual steps.
        assert_eq!(said(Unit::Ounce, Some("1/2"), 30.0, &[7]), "1/4 1/2 3/4 1");
        // What is counted is not measured in jiggers.
        assert_eq!(said(Unit::Dash, Some("2"), 0.92, &[25]), "1 2 3 4");
    }
}
