//! Which drinks keep their verdict over the usual spread of limes, syrups, strengths and melt, and which are fragile.

use crate::balance::{Robustness, SURE, robustness};
use crate::tables::Structure;

use super::super::Subject;

/// How well a drink holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Robust {
    /// The drink.
    pub drink: String,
    /// What sort of drink it is.
    pub structure: Option<Structure>,
    /// Each measure that has a range, the one that holds least first; empty where none has.
    pub holds: Vec<Robustness>,
}

impl Robust {
    /// The measure most often outside its usual range.
    #[must_use]
    pub fn weakest(&self) -> Option<&Robustness> {
        self.holds.first()
    }

    /// The share of cases in which that measure is in its usual range, 0 to 1; the drink as a whole cannot be in
    /// balance more often.
    #[must_use]
    pub fn within(&self) -> Option<f64> {
        self.weakest().map(|h| h.within)
    }

    /// The measure whose verdict is least sure.
    #[must_use]
    pub fn least_sure(&self) -> Option<&Robustness> {
        self.holds.iter().min_by(|a, b| a.keeps.total_cmp(&b.keeps))
    }

    /// Whether one of its verdicts holds in fewer than three of four cases.
    #[must_use]
    pub fn is_fragile(&self) -> bool {
        self.holds.iter().any(|h| h.keeps < SURE)
    }
}

/// How well drinks hold, the least first; those without a range come last.
#[must_use]
pub fn robust(drinks: &[Subject<'_>]) -> Vec<Robust> {
    let mut all: Vec<Robust> = drinks
        .iter()
        .map(|subject| {
            let mut holds = robustness(subject.resolved, subject.built, subject.ranges);
            holds.sort_by(|a, b| a.within.total_cmp(&b.within));
            Robust {
                drink: subject.drink.name.clone(),
                structure: subject.built.structure,
                holds,
            }
        })
        .collect();
    let of = |r: &Robust| r.within().unwrap_or(f64::INFINITY);
    all.sort_by(|a, b| of(a).total_cmp(&of(b)));
    all
}
