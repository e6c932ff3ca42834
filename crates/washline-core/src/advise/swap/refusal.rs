//! Why a swap is not done, with the figure that shows it.

use std::fmt;

use super::Hold;
use crate::spec::Fault;

/// Why a swap cannot hold what it is to hold.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The old pour brings none of it.
    NothingToHold {
        /// What was to be held.
        hold: Hold,
        /// What is poured now.
        ingredient: String,
    },
    /// The new ingredient has none of it.
    HasNone {
        /// What was to be held.
        hold: Hold,
        /// What was to be poured.
        ingredient: String,
        /// How much of it the old pour brings.
        wanted: f64,
    },
    /// It would take so much that it is another drink.
    TooMuch {
        /// What was to be held.
        hold: Hold,
        /// What was to be poured.
        ingredient: String,
        /// How much of it that would take, ml.
        needed_ml: f64,
        /// How much of the old there is, ml.
        from_ml: f64,
        /// What the new one has of it in 100 ml.
        per_100ml: f64,
        /// What the old one has of it in 100 ml.
        old_per_100ml: f64,
    },
    /// The drink would run over the brim of its glass.
    NoRoom {
        /// What was to be poured.
        ingredient: String,
        /// How much of it that would take, ml.
        needed_ml: f64,
        /// What the drink would come to, ml.
        drink_ml: f64,
        /// The glass.
        glass: String,
        /// What it holds to the brim, ml.
        capacity_ml: f64,
    },
    /// The line gives no amount to hold anything by.
    NoAmount {
        /// What was to be held.
        hold: Hold,
        /// What is poured now.
        ingredient: String,
    },
    /// The parts of the drink leave no room for it.
    PartsFull {
        /// How much of it that would take, ml.
        needed_ml: f64,
        /// The whole serve, ml.
        serve_ml: f64,
    },
    /// The new ingredient cannot be poured in the place of the old.
    NotPoured {
        /// What is wrong with it there.
        why: String,
    },
}

impl Refusal {
    /// The first of what is wrong with the drink as it would be.
    pub(super) fn first_of(faults: Vec<Fault>) -> Refusal {
        Refusal::NotPoured {
            why: faults.into_iter().next().map_or_else(String::new, |f| f.message),
        }
    }

    /// How much of the new ingredient it would take, ml, where that is the reason.
    #[must_use]
    pub fn needed_ml(&self) -> Option<f64> {
        match self {
            Refusal::TooMuch { needed_ml, .. }
            | Refusal::NoRoom { needed_ml, .. }
            | Refusal::PartsFull { needed_ml, .. } => Some(*needed_ml),
            _ => None,
        }
    }
}

/// A volume that no one measures finer than a millilitre, but an impossible one is told as it is.
fn ml(volume: f64) -> String {
    if volume < 1000.0 {
        format!("{volume:.1} ml")
    } else {
        format!("{:.1} litres", volume / 1000.0)
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::NothingToHold { hold, ingredient } => {
                write!(
                    f,
                    "{ingredient} brings 0 {} of {}: there is nothing to hold",
                    hold.unit(),
                    hold.what()
                )
            }
            Refusal::HasNone {
                hold,
                ingredient,
                wanted,
            } => write!(
                f,
                "{} cannot be held: {wanted:.2} {} of {} are wanted, and {ingredient} has none",
                hold.word(),
                hold.unit(),
                hold.what()
            ),
            Refusal::TooMuch {
                hold,
                ingredient,
                needed_ml,
                from_ml,
                per_100ml,
                old_per_100ml,
            } => write!(
                f,
                "it would take {} of {ingredient} in the place of {}: {per_100ml:.2} {unit} of {what} in 100 ml against {old_per_100ml:.2} {unit}",
                ml(*needed_ml),
                ml(*from_ml),
                unit = hold.unit(),
                what = hold.what(),
            ),
            Refusal::NoRoom {
                ingredient,
                needed_ml,
                drink_ml,
                glass,
                capacity_ml,
            } => write!(
                f,
                "it would take {} of {ingredient}: the drink would be {drink_ml:.0} ml, and the {glass} holds {capacity_ml:.0} ml to the brim",
                ml(*needed_ml)
            ),
            Refusal::NoAmount { hold, ingredient } => write!(
                f,
                "{ingredient} is poured without an amount: only its volume can be held, not {} (write an amount, or `mend` for one that is to taste)",
                hold.word()
            ),
            Refusal::PartsFull { needed_ml, serve_ml } => {
                write!(
                    f,
                    "it would take {} of a serve of {serve_ml:.0} ml",
                    ml(*needed_ml)
                )
            }
            Refusal::NotPoured { why } => f.write_str(why),
        }
    }
}
