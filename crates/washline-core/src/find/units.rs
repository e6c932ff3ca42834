//! Numbers that a figure is compared with, in the units that are natural for it.

use crate::names::Expected;
use std::fmt;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::Field;
use crate::computed::ComputedDrink;
use crate::measure::{Currency, Measures, Unit};
use crate::names::key;

/// A number with its unit, as a question gives it.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// The number.
    pub number: Decimal,
    /// Its unit; `None` where the question gives none, and the figure's own is meant.
    pub unit: Option<LimitUnit>,
}

/// A unit that a number can have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LimitUnit {
    /// The unit that the figure is printed in.
    Own(&'static str),
    /// A volume.
    Volume(Unit),
    /// Grams in a litre.
    GramsPerLitre,
    /// Kilocalories, counted by their own factors.
    Kilocalories,
    /// Degrees Fahrenheit.
    Fahrenheit,
    /// Money.
    Money(Currency),
}

/// Ways to say the unit of each figure, the printed one first.
const OWN: [(&str, &[&str]); 7] = [
    ("% vol", &["%", "% abv", "abv", "%vol", "vol", "percent"]),
    ("g/100 ml", &["g/100ml", "g per 100 ml", "g in 100 ml"]),
    ("ml", &[]),
    ("%", &["percent"]),
    ("g", &["grams", "gram"]),
    ("kJ", &[]),
    ("°C", &["c", "degrees", "degrees c"]),
];

impl LimitUnit {
    /// The unit of that spelling for a field; what was expected where it has none such.
    fn read(field: Field, said: &str) -> Result<LimitUnit, Expected> {
        let folded = key(said);
        let figure = match field {
            Field::Price | Field::Cost => {
                let currency = Currency::named(said)
                    .map_err(|_| Expected::new("expected no unit, or a currency such as EUR"))?;
                return Ok(LimitUnit::Money(currency));
            }
            Field::Figure(facts) => facts,
            _ => return Err(Expected::new("expected no unit")),
        };
        let own = OWN
            .iter()
            .find(|(unit, _)| *unit == figure.unit)
            .filter(|(unit, also)| key(unit) == folded || also.contains(&folded.as_str()));
        if let Some((unit, _)) = own {
            return Ok(LimitUnit::Own(unit));
        }
        let (other, expected) = match figure.unit {
            "ml" => (
                Unit::spelt(said)
                    .filter(|unit| {
                        matches!(
                            unit,
                            Unit::Millilitre | Unit::Centilitre | Unit::Decilitre | Unit::Litre | Unit::Ounce
                        )
                    })
                    .map(LimitUnit::Volume),
                "expected ml, cl, l or oz".to_owned(),
            ),
            "g/100 ml" => (
                matches!(folded.as_str(), "g/l" | "g per l" | "g per litre")
                    .then_some(LimitUnit::GramsPerLitre),
                "expected g/100 ml or g/L".to_owned(),
            ),
            "kJ" => (
                matches!(folded.as_str(), "kcal" | "calories" | "cal").then_some(LimitUnit::Kilocalories),
                "expected kJ or kcal".to_owned(),
            ),
            "°C" => (
                matches!(folded.as_str(), "°f" | "f" | "degrees f").then_some(LimitUnit::Fahrenheit),
                "expected °C or °F".to_owned(),
            ),
            "" => (None, "expected a number without a unit".to_owned()),
            unit => (None, format!("expected {unit}")),
        };
        other.ok_or(Expected::from(expected))
    }
}

impl fmt::Display for LimitUnit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LimitUnit::Own(unit) => f.write_str(unit),
            LimitUnit::Volume(unit) => f.write_str(unit.facts().written.0),
            LimitUnit::GramsPerLitre => f.write_str("g/L"),
            LimitUnit::Kilocalories => f.write_str("kcal"),
            LimitUnit::Fahrenheit => f.write_str("°F"),
            LimitUnit::Money(currency) => f.write_str(currency.code()),
        }
    }
}

impl Limit {
    /// Read `14`, `2,50 EUR`, `5 oz`, `14%` as a limit of a field.
    ///
    /// # Errors
    /// What was expected.
    pub(super) fn read(field: Field, said: &str) -> Result<Limit, Expected> {
        const EXPECTED: &str = "expected a number";
        let said = said.trim();
        let end = said
            .char_indices()
            .find(|(at, c)| {
                !(c.is_ascii_digit() || matches!(c, '.' | ',') || *at == 0 && matches!(c, '-' | '−'))
            })
            .map_or(said.len(), |(at, _)| at);
        let (number, unit) = said.split_at(end);
        let number = number.replace(',', ".").replace('−', "-");
        let digits = number.trim_start_matches('-');
        if digits.is_empty()
            || digits.len() > 12
            || !digits.starts_with(|c: char| c.is_ascii_digit() || c == '.')
        {
            return Err(Expected::new(EXPECTED));
        }
        let number: Decimal = number.parse().map_err(|_| Expected::new(EXPECTED))?;
        let unit = unit.trim();
        let unit = if unit.is_empty() {
            None
        } else {
            Some(LimitUnit::read(field, unit)?)
        };
        Ok(Limit { number, unit })
    }

    /// The number by itself, where it is said in no other unit than that of the figure.
    #[cfg(feature = "store")]
    pub(super) fn plain(&self) -> Option<f64> {
        match self.unit {
            None | Some(LimitUnit::Own(_)) => self.number.to_f64(),
            Some(_) => None,
        }
    }

    /// In the unit that the figure is printed in, for a drink: an ounce is that of its book.
    pub(super) fn of(&self, drink: &ComputedDrink) -> f64 {
        let number = self.number.to_f64().unwrap_or_default();
        match self.unit {
            Some(LimitUnit::Volume(unit)) => {
                let measures = Measures {
                    ounce: drink.context.settings.ounce.unwrap_or_default(),
                    own: Default::default(),
                };
                number * measures.size(unit).map_or(1.0, |size| size.nominal.to_f64())
            }
            Some(LimitUnit::GramsPerLitre) => number / 10.0,
            Some(LimitUnit::Fahrenheit) => (number - 32.0) / 1.8,
            Some(LimitUnit::Own(_) | LimitUnit::Kilocalories | LimitUnit::Money(_)) | None => number,
        }
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.number)?;
        match &self.unit {
            Some(unit) => write!(f, " {unit}"),
            None => Ok(()),
        }
    }
}
