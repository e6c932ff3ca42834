//! A serve with more alcohol than the house pours.

use std::fmt;

use serde::Serialize;

use super::super::facts::DrinkAt;
use super::{Todo, Told, first};
use crate::balance::Severity;
use crate::tables::Remedy;
use crate::tables::printed::trimmed;

/// More alcohol in a drink than the house serves.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ServingSize {
    /// Ethanol, g.
    pub ethanol_g: f64,
    /// Lower end of its interval, g.
    pub low_g: Option<f64>,
    /// Upper end of its interval, g.
    pub high_g: Option<f64>,
    /// The house's limit, g.
    pub most_g: f64,
    /// Standard drinks of the country set.
    pub standard_drinks: f64,
    /// Whether the limit lies within the interval.
    pub too_close: bool,
}

impl Told for ServingSize {
    fn todo(&self) -> Todo {
        Todo::Serve
    }

    fn severity(&self) -> Severity {
        if self.too_close {
            Severity::Edge
        } else {
            Severity::Outside
        }
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {:.1} g of alcohol", first(drinks), self.ethanol_g)?;
        if let (Some(low), Some(high)) = (self.low_g, self.high_g) {
            write!(f, " (between {low:.1} and {high:.1})")?;
        }
        let stands = if self.too_close {
            "too close to call against"
        } else {
            "over"
        };
        write!(
            f,
            ", {stands} the house limit of {} g; {:.1} standard drinks",
            trimmed(self.most_g, 2),
            self.standard_drinks
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "pour less, or say it on the menu; what may be served in one drink is for your local law".into()
    }
}
