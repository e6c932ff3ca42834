//! What a check of one drink finds, as an audit tells it.

use std::fmt;

use super::super::facts::DrinkAt;
use super::{Todo, Told, first};
use crate::balance::{Finding, Severity};
use crate::tables::Remedy;

impl Told for Finding {
    fn todo(&self) -> Todo {
        match self {
            Finding::OffBalance { .. } | Finding::TooClose { .. } => Todo::Balance,
            Finding::GlassOverflows { .. }
            | Finding::GlassBrimming { .. }
            | Finding::GlassHalfEmpty { .. }
            | Finding::NoRoomForTop { .. } => Todo::Glass,
            _ => Todo::Build,
        }
    }

    fn severity(&self) -> Severity {
        Finding::severity(self)
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {self}", first(drinks))
    }

    fn cure(&self, drinks: &[DrinkAt]) -> Remedy {
        match self {
            Finding::OffBalance { .. } => Remedy::Mend {
                drink: first(drinks).to_owned(),
            },
            Finding::TooClose {
                settled_by, input, ..
            } => format!("{input}: {settled_by}").into(),
            Finding::GlassOverflows { .. } | Finding::GlassBrimming { .. } | Finding::NoRoomForTop { .. } => {
                "a larger glass, or a smaller serve".into()
            }
            Finding::GlassHalfEmpty { .. } => "a smaller glass, or a larger serve".into(),
            _ => "change the steps of the spec".into(),
        }
    }
}
