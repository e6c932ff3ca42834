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
