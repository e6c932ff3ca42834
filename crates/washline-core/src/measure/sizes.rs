//! How large this house's measures are: which ounce, which dash, which spoon.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::{Amount, Dimension, Unit};

/// Which ounce a book is written in. One a book: mixing two breaks the ratios of a spec.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Ounce {
    /// US fluid ounce, 29.5735295625 ml exactly (231 cubic inches in a gallon of 128; NIST Handbook 44).
    #[default]
    Us,
    /// UK fluid ounce, 28.4130625 ml exactly (gallon of 4.54609 L in 160).
    Uk,
    /// The metric bar's ounce, 30 ml.
    Bar30,
}

impl Ounce {
    /// Its size in ml, exact.
    #[must_use]
    pub fn ml(self) -> Amount {
        match self {
            Ounce::Us => Amount::raw(473_176_473, 16_000_000),
            Ounce::Uk => Amount::raw(454_609, 16_000),
            Ounce::Bar30 => Amount::raw(30, 1),
        }
    }

    /// How a book names it: `US`, `UK` or `30 ml`.
    #[must_use]
    pub fn written(self) -> &'static str {
        match self {
            Ounce::Us => "US",
            Ounce::Uk => "UK",
            Ounce::Bar30 => "30 ml",
        }
    }

    /// The ounce a book names, in the ways people name it.
    #[must_use]
    pub fn named(text: &str) -> Option<Ounce> {
        match text.trim().to_lowercase().replace(' ', "").as_str() {
            "us" | "american" | "29.57ml" | "29.5735ml" => Some(Ounce::Us),
            "uk" | "imperial" | "28.41ml" | "28.4131ml" => Some(Ounce::Uk),
            "30ml" | "30" | "bar" | "metric" => Some(Ounce::Bar30),
            _ => None,
        }
    }
}

/// A measure's size with its span.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sized {
    /// Nominal size: ml, or g for a mass.
    pub nominal: Amount,
    /// Smallest and largest it may be; equal to the nominal size where the unit is exact.
    pub low: Amount,
    /// See [`Sized::low`].
    pub high: Amount,
    /// Who says so.
    pub source: String,
    /// Whether this is an assumption to be shown.
    pub assumed: bool,
}

/// The measures of a house or a book: its ounce, its serve for parts, and its own sizes for the
/// inexact ones.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Measures {
    /// Which ounce.
    pub ounce: Ounce,
    /// Sizes the house has measured, ml (g for a pinch).
    pub own: BTreeMap<Unit, Amount>,
}

impl Measures {
    /// How large one of `unit` is here, or `None` for a share or a count, whose size the serve or
    /// the ingredient decides.
    #[must_use]
    pub fn size(&self, unit: Unit) -> Option<Sized> {
        let facts = unit.facts();
        if let Some(&own) = self.own.get(&unit) {
            let source = "the house's own measure".to_owned();
            return Some(Sized {
                nominal: own,
                low: own,
                high: own,
                source,
                assumed: false,
            });
        }
        let exact = |nominal: Amount, source: &str, assumed: bool| Sized {
            nominal,
            low: nominal,
            high: nominal,
            source: source.to_owned(),
            assumed,
        };
        let ounces = |n: i128, d: i128| self.ounce.ml() * Amount::raw(n, d);
        let us = self.ounce == Ounce::Us;
        // Spoons are metric unless the book counts in US ounces; cups and pints follow the ounce.
        Some(match unit {
            // A jigger and a pony are one and a half ounces and one, of the ounce the book counts in.
            Unit::Jigger | Unit::Pony if !us => {
                let ounces = if unit == Unit::Jigger {
                    ounces(3, 2)
                } else {
                    ounces(1, 1)
                };
                exact(ounces, "1.5 oz and 1 oz, of the book's ounce", true)
            }
            // An eighth of a fluid ounce, of whichever ounce.
            Unit::FluidDram => exact(ounces(1, 8), "1/8 fl oz (NIST Handbook 44, app. C)", false),
            Unit::Ounce => exact(self.ounce.ml(), "one ounce a book, set by `ounce:`", false),
            Unit::Teaspoon if us => exact(ounces(1, 6), "1/6 US fl oz", true),
            Unit::Teaspoon => exact(Amount::raw(5, 1), "metric teaspoon, convention", true),
            Unit::Tablespoon if us => exact(ounces(1, 2), "1/2 US fl oz; 20 ml in Australia", true),
            Unit::Tablespoon => exact(Amount::raw(15, 1), "metric tablespoon; 20 ml in Australia", true),
            Unit::Cup if us => exact(ounces(8, 1), "8 US fl oz", true),
            Unit::Cup => exact(Amount::raw(250, 1), "metric cup, convention", true),
            Unit::Pint if us => exact(ounces(16, 1), "16 US fl oz", true),
            Unit::Quart if us => exact(ounces(32, 1), "32 US fl oz", true),
            Unit::Gallon if us => exact(ounces(128, 1), "128 US fl oz", true),
            Unit::Pint => exact(Amount::raw(4_546_090, 8000), "UK pint", true),
            Unit::Quart => exact(Amount::raw(4_546_090, 4000), "UK quart", true),
            Unit::Gallon => exact(Amount::raw(4_546_090, 1000), "UK gallon, exact by law", true),
            _ if matches!(facts.dimension, Dimension::Share | Dimension::Count) => return None,
            _ => {
                let size = facts.size?;
                let (low, high) = size.span.unwrap_or((size.nominal, size.nominal));
                Sized {
                    nominal: size.nominal,
                    low,
                    high,
                    source: size.source.to_owned(),
                    assumed: size.span.is_some(),
                }
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ounces_are_exact() {
        assert_eq!(
            Ounce::Us.ml(),
            "29.573529".parse::<Amount>().unwrap() + Amount::raw(5625, 10_000_000_000)
        );
        assert_eq!(Ounce::Uk.ml().to_string(), "28 6609/16000");
        let measures = Measures::default();
        let third = Amount::raw(1, 3) * measures.size(Unit::Ounce).unwrap().nominal;
        assert_eq!(third + third + third, Ounce::Us.ml());
        // 1 US teaspoon, 4.92892159375 ml (1/6 fl oz)
        assert!((measures.size(Unit::Teaspoon).unwrap().nominal.to_f64() - 4.928_921_593_75).abs() < 1e-12);
    }
}
