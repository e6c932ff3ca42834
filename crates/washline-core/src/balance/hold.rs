//! How much of a measure's distribution stands behind its verdict and within its usual range.

use super::doubt::{self, Budget};
use super::verdict::{NO_ALCOHOL_PCT, place, within};
use super::{Figures, Measured, Ranges, Span, Verdict, nominal};
use crate::build::Built;
use crate::resolve::Resolved;

/// How well one measure of a drink holds over everything that is not exactly known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Hold {
    /// Which measure.
    pub measure: Measured,
    /// The figure as computed.
    pub value: f64,
    /// Its interval.
    pub interval: (f64, f64),
    /// Where it lies as computed.
    pub computed: Verdict,
    /// The range it is held against: the usual one, else what is seen.
    pub usual: Span,
    /// The share of cases within that range, 0 to 1.
    pub within: f64,
    /// The share of cases that have the verdict as computed, 0 to 1.
    pub keeps: f64,
    /// What the doubt hangs on most; `None` where nothing is in doubt.
    pub hangs_on: Option<Budget>,
}

/// How well each measure that has a range holds, in order. Measures have none where a verdict has none.
#[must_use]
pub fn holds(drink: &Resolved, built: &Built, ranges: &Ranges) -> Vec<Hold> {
    let mut figures = nominal(drink, built);
    let mut before = Figures::of(&built.before, 0.0, built.before.volume_ml(), 0.0);
    let known = doubt::propagate(drink, built, &mut figures, &mut before);
    let Some(structure) = built.structure else {
        return Vec::new();
    };
    if figures.abv_pct.value.unwrap_or(0.0) < NO_ALCOHOL_PCT {
        return Vec::new();
    }
    let mut all = Vec::new();
    for measure in Measured::ALL {
        let figure = figures.measured(measure);
        let (Some(value), Some(coverage)) = (figure.value, &known.measured[measure as usize]) else {
            continue;
        };
        let none_at_all = value < 0.5 * 10_f64.powi(-i32::from(measure.decimals()));
        let band = ranges.band(structure, measure);
        let (computed, _) = place(value, band);
        let Some(usual) = band.core.as_ref().or(band.outer.as_ref()) else {
            continue;
        };
        if none_at_all && !structure.is_sour() {
            continue;
        }
        let in_usual = within(coverage, usual);
        let in_reach = band.reach().map(|reach| within(coverage, &reach));
        let keeps = match (computed, in_reach) {
            (Verdict::Edge, Some(reach)) => reach - in_usual,
            (Verdict::Edge, None) => 1.0 - in_usual,
            (Verdict::Outside, reach) => 1.0 - reach.unwrap_or(in_usual),
            _ => in_usual,
        };
        all.push(Hold {
            measure,
            value,
            interval: (figure.low.unwrap_or(value), figure.high.unwrap_or(value)),
            computed,
            usual: usual.clone(),
            within: in_usual.clamp(0.0, 1.0),
            keeps: keeps.clamp(0.0, 1.0),
            hangs_on: known.budget.iter().find(|b| b.measure == measure).cloned(),
        });
    }
    all
}
