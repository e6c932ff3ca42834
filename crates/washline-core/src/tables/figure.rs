//! A figure with its interval.

use serde::{Deserialize, Serialize};

/// A figure with the interval that holds it in 95 % of cases; `low` and `high` are empty where none is worked
/// out. The interval is about the expectation, which need not be the figure computed with usual values: most
/// London dry gin is 43 % vol, but there is more room above than below.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Figure {
    /// The value; empty where the figure has no meaning (a ratio without acid).
    pub value: Option<f64>,
    /// Lower end of the interval.
    pub low: Option<f64>,
    /// Upper end of the interval.
    pub high: Option<f64>,
    /// Standard uncertainty; empty where it is not worked out.
    pub standard_uncertainty: Option<f64>,
}

impl Figure {
    /// A figure without an interval. What is not finite has no value.
    #[must_use]
    pub fn of(value: impl Into<Option<f64>>) -> Figure {
        Figure {
            value: value.into().filter(|v: &f64| v.is_finite()),
            ..Figure::default()
        }
    }
}

/// How far one figure lies above another as both are printed: 17.6 and 17.9 are 0.3 apart, whatever was rounded away.
#[must_use]
pub fn difference_as_printed(from: f64, to: f64, decimals: usize) -> f64 {
    let printed = |value: f64| format!("{value:.decimals$}").parse().unwrap_or(value);
    printed(to) - printed(from)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_is_that_of_what_stands_beside_it() {
        for (from, to, decimals, wanted) in [
            (17.551, 17.949, 1, "0.3"),
            (17.649, 17.851, 1, "0.3"),
            (0.005, 0.994, 0, "1"),
            (-0.04, 0.04, 1, "0.0"),
            (12.0, 11.96, 1, "0.0"),
        ] {
            let apart = difference_as_printed(from, to, decimals);
            assert_eq!(format!("{apart:.decimals$}"), wanted, "{from} {to}");
        }
    }
}
