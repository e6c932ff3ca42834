use std::path::PathBuf;

use clap::Args;
use washline_core::balance::Structure;
use washline_core::computed::ComputedDrink;
use washline_core::names::key;
use washline_core::service::beside::beside;

use super::ranges::structure_named;
use super::{Call, show};
use crate::asked::By;
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render;

/// Which of these is stronger, sweeter, dearer, and can that be told at all? Two drinks go pour by pour.
///
/// Sorts and filters by any figure. Intervals hold a figure in 95 % of cases; `≈` marks a drink that cannot be told
/// from the one above it in what is sorted by. Drinks of one bar share their limes, so what counts as apart is
/// counted with care: what is told apart is apart.
///
/// Example: washline compare --by tartness --where "strength < 20"
#[derive(Debug, Args)]
pub struct Compare {
    /// The drinks to compare; without any, all of them. Two are laid side by side. `NAME@2` is the second version of one.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// What to sort by, the most first: `strength`, `sweetness`, `tartness`, `volume`, `alcohol`, `energy`, `price`,
    /// `name`, or any figure by its name in JSON.
    #[arg(long, default_value = "strength", value_name = "FIGURE", value_parser = By::read)]
    by: By,

    /// The least first.
    #[arg(long)]
    least_first: bool,

    /// Only drinks of which this holds: `strength < 20`, `price >= 12`, `sugar to acid > 8`. Several must all hold.
    #[arg(long = "where", value_name = "CONDITION", value_parser = Condition::read)]
    conditions: Vec<Condition>,

    /// Only drinks of this structure.
    #[arg(long, value_name = "NAME")]
    structure: Option<String>,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

/// A comparison.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Test {
    Below,
    UpTo,
    Above,
    From,
}

/// Something that must hold of a drink.
#[derive(Clone, Copy, Debug)]
struct Condition {
    by: By,
    test: Test,
    value: f64,
}

impl Condition {
    fn read(text: &str) -> Result<Condition, String> {
        const EXPECTED: &str = "expected a figure, <, <=, > or >=, and a number, such as `strength < 20`";
        let at = text.find(['<', '>']).ok_or(EXPECTED)?;
        let (what, rest) = text.split_at(at);
        let (test, number) = match (rest.strip_prefix("<="), rest.strip_prefix(">=")) {
            (Some(number), _) => (Test::UpTo, number),
            (_, Some(number)) => (Test::From, number),
            _ if rest.starts_with('<') => (Test::Below, &rest[1..]),
            _ => (Test::Above, &rest[1..]),
        };
        let by = By::read(what)?;
        if by == By::Name {
            return Err(EXPECTED.to_owned());
        }
        // A unit after the number is for the reader.
        let number = number.trim();
        let end = number
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-')))
            .unwrap_or(number.len());
        let value = number[..end]
            .replace(',', ".")
            .parse::<f64>()
            .map_err(|_| EXPECTED.to_owned())?;
        Ok(Condition { by, test, value })
    }

    /// Whether it holds, by the figure as it is printed; what has no value fails.
    fn holds(&self, report: &ComputedDrink) -> bool {
        let scale = 10_f64.powi(i32::from(self.by.decimals()));
        self.by.of(report).value.is_some_and(|value| {
            let value = (value * scale).round() / scale;
            match self.test {
                Test::Below => value < self.value,
                Test::UpTo => value <= self.value,
                Test::Above => value > self.value,
                Test::From => value >= self.value,
            }
        })
    }
}

/// `NAME@N`: a drink and a version of it.
fn version_of(name: &str) -> Option<(&str, i64)> {
    let (name, version) = name.rsplit_once('@')?;
    Some((name.trim(), version.trim().parse().ok().filter(|n| *n > 0)?))
}

impl Compare {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let structure = self.structure.as_deref().map(structure_named).transpose()?;
        let opened = show::open(call, self.book.as_ref())?;
        let mut reports = opened.shelf.drinks()?;
        let versions: Vec<(&str, i64)> = self.names.iter().filter_map(|n| version_of(n)).collect();
        let plain: Vec<String> = self
            .names
            .iter()
            .filter(|n| version_of(n).is_none())
            .cloned()
            .collect();
        let opened = show::only_named(opened, &plain, &mut reports, |r| r.name())?;
        if plain.is_empty() && !versions.is_empty() {
            reports.clear();
        }
        if !versions.is_empty() {
            if self.book.is_some() {
                return Err(CliError::usage(
                    "a book has no versions: NAME@N is a drink of the house",
                ));
            }
            let house = house::to_read(call.house.as_deref())?;
            for (name, version) in versions {
                for mut drink in show::at_version(&house, name, version)? {
                    drink.drink.name = format!("{}@{version}", drink.drink.name);
                    reports.push(drink);
                }
            }
        }
        reports.retain(|r| {
            structure.is_none_or(|s: Structure| r.evaluation.structure == Some(s))
                && self.conditions.iter().all(|c| c.holds(r))
        });
        reports.sort_by(|a, b| {
            let (of_a, of_b) = (self.by.of(a).value, self.by.of(b).value);
            let order = match (of_a, of_b) {
                (Some(a), Some(b)) if self.least_first => a.total_cmp(&b),
                (Some(a), Some(b)) => b.total_cmp(&a),
                // What has no value stands last.
                (a, b) => b.is_some().cmp(&a.is_some()),
            };
            order.then_with(|| key(a.name()).cmp(&key(b.name())))
        });
        if self.by == By::Name && self.least_first {
            reports.reverse();
        }
        // Two that are laid side by side stand as they are named.
        if let [first, _] = self.names.as_slice() {
            reports.sort_by_key(|r| key(r.name()) != key(first));
        }
        let beside = match (self.names.len(), reports.as_slice()) {
            // Two by name, or one that stands in two books.
            (1 | 2, [a, b]) => Some(beside(a, b)),
            _ => None,
        };
        let out = if call.json {
            render::compare::json(&reports, self.by, beside.as_ref(), &opened.faults)
        } else {
            render::compare::text(&reports, self.by, beside.as_ref())
        };
        Ok(Outcome {
            out,
            faulty: !opened.faults.is_empty(),
            notes: opened.notes,
            ..Outcome::default()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_as_people_write_them() {
        let of = |text: &str| Condition::read(text).map(|c| (c.by.word(), c.test, c.value));
        assert_eq!(of("strength < 20"), Ok(("strength", Test::Below, 20.0)));
        assert_eq!(of("sugar to acid>=8,5"), Ok(("sugar to acid", Test::From, 8.5)));
        assert_eq!(of("acid <= 0.8 g/100 mL"), Ok(("tartness", Test::UpTo, 0.8)));
        assert_eq!(of("price>12"), Ok(("price", Test::Above, 12.0)));
        assert_eq!(of("temperature < -2"), Ok(("temperature", Test::Below, -2.0)));
        for wrong in [
            "strength",
            "strength < ",
            "colour < 3",
            "name > 3",
            "< 3",
            "strength = 3",
            "strength < x",
        ] {
            assert!(of(wrong).is_err(), "{wrong}");
        }
    }
}
