//! How much of a measure's distribution stands behind its verdict and within its usual range.

use super::doubt::{self, Budget};
use super::verdict::{Judged, verdicts, within};
use super::{BalanceFigure, Figures, Ranges, Span, Verdict, nominal};
use crate::build::Built;
use crate::resolve::Resolved;

/// How well one measure of a drink holds over everything that is not exactly known of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Robustness {
    /// Which measure.
    pub measure: BalanceFigure,
    /// The figure as computed.
    pub value: f64,
    /// Its interval.
    pub interval: (f64, f64),
    /// Where it lies as computed.
    pub computed: Verdict,
    /// The range it is held against: the house's own, else what nine tenths of the published drinks span.
    pub usual: Span,
    /// The share of cases within that range, 0 to 1.
    pub within: f64,
    /// The share of cases that have the verdict as computed, 0 to 1.
    pub keeps: f64,
    /// What the doubt hangs on most; `None` where nothing is in doubt.
    pub hangs_on: Option<Budget>,
}

/// How well each measure that is judged holds, in order: against the house's own range where it has one, else against
/// what nine tenths of the published drinks of its family span.
#[must_use]
pub fn robustness(drink: &Resolved, built: &Built, ranges: &Ranges) -> Vec<Robustness> {
    let mut figures = nominal(drink, built);
    let mut before = Figures::of(&built.before, 0.0, built.before.volume_ml(), 0.0);
    let known = doubt::propagate(drink, built, &mut figures, &mut before);
    let Some(structure) = built.structure else {
        return Vec::new();
    };
    let judged = Judged {
        drink,
        built,
        figures: &figures,
        known: &known,
        ranges,
    };
    let (verdicts, Some(placed)) = verdicts(&judged, &mut Vec::new()) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for measure in BalanceFigure::ALL {
        let figure = figures.measured(measure);
        let (Some(value), Some(coverage)) = (figure.value, &known.measured[measure as usize]) else {
            continue;
        };
        let band = ranges.band(structure, measure);
        let published = placed.band(measure, None);
        let own = band.core.as_ref().filter(|core| core.own);
        let Some(usual) = own.or(published.outer.as_ref()) else {
            continue;
        };
        if verdicts[measure as usize] == Verdict::NoBand {
            continue;
        }
        let inside = usual.place(value) == std::cmp::Ordering::Equal;
        let in_usual = within(coverage, usual).clamp(0.0, 1.0);
        all.push(Robustness {
            measure,
            value,
            interval: (figure.low.unwrap_or(value), figure.high.unwrap_or(value)),
            computed: if inside { Verdict::In } else { Verdict::Outside },
            usual: usual.clone(),
            within: in_usual,
            keeps: if inside { in_usual } else { 1.0 - in_usual },
            hangs_on: known.budget.iter().find(|b| b.measure == measure).cloned(),
        });
    }
    all
}
