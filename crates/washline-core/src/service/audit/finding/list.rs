//! The list as a whole: what is uneven in it, and what stands in it twice under two names.

use std::fmt::{self, Display};

use serde::Serialize;

use super::super::facts::DrinkAt;
use super::{Todo, Told, first, names};
use crate::balance::{Severity, Structure};
use crate::service::comparison::FigureFacts;
use crate::tables::Remedy;
use crate::tables::printed::trimmed;

/// What is uneven in a list.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum Uneven {
    /// Nothing between two neighbours.
    Gap {
        /// In what: a word for the measure.
        measure: String,
        /// The lower neighbour.
        from: f64,
        /// The upper neighbour.
        to: f64,
        /// How much of the whole range that is, %.
        share_pct: f64,
    },
    /// Most of the list in a small part of its range.
    Crowding {
        /// In what.
        measure: String,
        /// From.
        from: f64,
        /// To.
        to: f64,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// Most drinks are strong.
    Strong {
        /// Above this, % vol.
        above_pct: f64,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// No drink is light.
    NoLow {
        /// Below this, % vol.
        below_pct: f64,
        /// The weakest there is with alcohol, % vol.
        weakest_pct: f64,
    },
    /// No drink is without alcohol.
    NoneFree {
        /// Up to this, % vol.
        up_to_pct: f64,
    },
    /// Nearly everything is sour.
    AllSour {
        /// From this acidity, g/100 ml.
        from_g_per_100ml: f64,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// More than half of the list is built one way.
    OneStructure {
        /// Which.
        structure: String,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// More than half of the drinks with alcohol stand on one base.
    OneBase {
        /// Which.
        base: String,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
}

/// Two drinks that are nearly one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NearTwins {
    /// What both are.
    pub structure: Structure,
    /// How far apart; see `alike`.
    pub distance: f64,
    /// By what is in the glass, in band widths.
    pub by_figures: f64,
    /// By what is poured, 0 to 1.
    pub by_pours: f64,
    /// Twins up to this distance.
    pub limit: f64,
}

impl Display for Uneven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Uneven::Gap {
                measure,
                from,
                to,
                share_pct,
            } => write!(
                f,
                "a gap in {measure}: nothing between {} and {}, {share_pct:.0} % of the whole range",
                in_unit(measure, *from, false),
                in_unit(measure, *to, true)
            ),
            Uneven::Crowding {
                measure,
                from,
                to,
                count,
                of,
            } => write!(
                f,
                "crowded in {measure}: {count} of {of} drinks lie between {} and {}",
                in_unit(measure, *from, false),
                in_unit(measure, *to, true)
            ),
            Uneven::Strong { above_pct, count, of } => {
                write!(
                    f,
                    "{count} of {of} drinks are over {} % vol in the glass",
                    trimmed(*above_pct, 2)
                )
            }
            Uneven::NoLow {
                below_pct,
                weakest_pct,
            } => write!(
                f,
                "no drink low in alcohol: none below {} % vol in the glass, the lightest has {weakest_pct:.1}",
                trimmed(*below_pct, 2)
            ),
            Uneven::NoneFree { up_to_pct } => {
                write!(
                    f,
                    "no drink without alcohol: none of {} % vol or less",
                    trimmed(*up_to_pct, 2)
                )
            }
            Uneven::AllSour {
                from_g_per_100ml,
                count,
                of,
            } => write!(
                f,
                "nearly everything is sour: {count} of {of} drinks have {} g/100 ml of acid or more",
                trimmed(*from_g_per_100ml, 2)
            ),
            Uneven::OneStructure { structure, count, of } => {
                write!(f, "{count} of {of} drinks are of one structure: {structure}")
            }
            Uneven::OneBase { base, count, of } => {
                write!(f, "{count} of {of} drinks with alcohol stand on one base: {base}")
            }
        }
    }
}

/// A value of a measure of the spread, with its unit at the end of a phrase.
fn in_unit(measure: &str, value: f64, with_unit: bool) -> String {
    match FigureFacts::named(measure) {
        Some(facts) if with_unit => facts.printed(value),
        Some(facts) => {
            let d = usize::from(facts.decimals);
            format!("{value:.d$}")
        }
        // A price, in whatever currency the list is in.
        None => format!("{value:.2}"),
    }
}

impl Told for Uneven {
    fn todo(&self) -> Todo {
        Todo::List
    }

    fn severity(&self) -> Severity {
        if matches!(self, Uneven::NoneFree { .. }) {
            Severity::Edge
        } else {
            Severity::Note
        }
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self}")?;
        if drinks.is_empty() {
            Ok(())
        } else {
            write!(f, ": {}", names(drinks))
        }
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        match self {
            Uneven::Gap { .. } => "a drink between the two, if guests ask for one",
            Uneven::NoLow { .. } => "a lighter one: sherry, vermouth, or a small spirit made long",
            Uneven::NoneFree { .. } => "a drink without alcohol that is made with as much care",
            _ => "the next new drink elsewhere",
        }
        .into()
    }
}

impl Told for NearTwins {
    fn todo(&self) -> Todo {
        Todo::List
    }

    fn sentence(&self, drinks: &[DrinkAt], f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} and {} are nearly one drink ({}): {:.2} apart (twins up to {}), {:.2} band widths in the glass, {:.0} % of the pours shared",
            first(drinks),
            drinks.get(1).map_or("", |d| d.name.as_str()),
            self.structure,
            self.distance,
            self.limit,
            self.by_figures,
            100.0 * (1.0 - self.by_pours)
        )
    }

    fn cure(&self, _: &[DrinkAt]) -> Remedy {
        "keep the better one, or pull them apart".into()
    }
}
