//! Where each measure lies in its bands, and whether it is known well enough to say so.
//!
//! A verdict is given where at least three quarters of the figure's distribution stand behind it, and else
//! it is too close to call (a decision rule in the sense of JCGM 106:2012; the three to one is ours: common
//! practice, no source). What is outside by less than that, but surely beyond the usual range, is at the
//! edge.

use super::coverage::Coverage;
use super::doubt::Known;
use super::{Band, Figures, Finding, Measured, Ranges, Side, Span, Structure, Verdict};

/// The share of a figure's distribution that has to stand behind a verdict.
pub const SURE: f64 = 0.75;

/// Strength below which a drink counts as without alcohol, % vol: 0.5 is where most law draws the line.
pub(super) const NO_ALCOHOL_PCT: f64 = 0.5;

/// The verdict of each measure; what there is to say about it goes to `findings`. No verdict without a band;
/// none on a drink without alcohol, for no published range is about those; none on a measure the drink does
/// not have at all, unless the structure is made of it.
pub(super) fn verdicts(
    structure: Option<Structure>,
    figures: &Figures,
    known: &Known,
    ranges: &Ranges,
    findings: &mut Vec<Finding>,
) -> [Verdict; 3] {
    let mut verdicts = [Verdict::NoBand; 3];
    let Some(structure) = structure else {
        return verdicts;
    };
    if figures.abv_pct.value.unwrap_or(0.0) < NO_ALCOHOL_PCT {
        return verdicts;
    }
    for measure in Measured::ALL {
        let figure = figures.measured(measure);
        let Some(value) = figure.value else {
            continue;
        };
        let band = ranges.band(structure, measure);
        let none_at_all = value < 0.5 * 10_f64.powi(-i32::from(measure.decimals()));
        if none_at_all && !structure.is_sour() {
            continue;
        }
        let (computed, off) = place(value, band);
        let coverage = known.measured[measure as usize].as_ref();
        let sure = coverage.map_or(computed, |coverage| called(coverage, computed, off, band));
        verdicts[measure as usize] = sure;
        match (sure, off, coverage) {
            (Verdict::TooClose, _, Some(coverage)) => {
                let Some(usual) = band.core.as_ref().or(band.outer.as_ref()) else {
                    continue;
                };
                let (below, within) = (below(coverage, usual), within(coverage, usual));
                let doubt = known.budget.iter().find(|b| b.measure == measure);
                findings.push(Finding::TooClose {
                    measure,
                    side: off.unwrap_or(if below > 1.0 - within - below {
                        Side::Below
                    } else {
                        Side::Above
                    }),
                    value,
                    low: figure.low.unwrap_or(value),
                    high: figure.high.unwrap_or(value),
                    computed,
                    structure,
                    within_pct: 100.0 * within,
                    usual: usual.printed(),
                    input: doubt.map(|b| b.input.clone()).unwrap_or_default(),
                    share_pct: doubt.map_or(0.0, |b| 100.0 * b.share),
                    settled_by: doubt.map(|b| b.settled_by.clone()).unwrap_or_default(),
                });
            }
            (_, Some(side), _) => findings.push(Finding::OffBalance {
                measure,
                side,
                value,
                structure,
                verdict: sure,
                usual: band.core.as_ref().map(Span::printed),
                seen: band.outer.as_ref().map(Span::printed_with_count),
            }),
            _ => {}
        }
    }
    verdicts
}

/// The share of a distribution below a span, at the precision the span is printed with.
fn below(coverage: &Coverage, span: &Span) -> f64 {
    coverage.below(span.low - half_a_digit(span))
}

/// The share within it.
pub(super) fn within(coverage: &Coverage, span: &Span) -> f64 {
    coverage.below(span.high + half_a_digit(span)) - below(coverage, span)
}

fn half_a_digit(span: &Span) -> f64 {
    0.5 * 10_f64.powi(-i32::from(span.decimals))
}

/// What can be called, of a figure that lies at `computed`, off to a side of its bands.
fn called(coverage: &Coverage, computed: Verdict, off: Option<Side>, band: &Band) -> Verdict {
    let beyond = |span: &Span, side: Side| match side {
        Side::Below => below(coverage, span),
        Side::Above => 1.0 - below(coverage, span) - within(coverage, span),
    };
    let reach = band.reach();
    match (computed, off) {
        (Verdict::In, _) => match band.core.as_ref().or(band.outer.as_ref()) {
            Some(usual) if within(coverage, usual) < SURE => Verdict::TooClose,
            _ => Verdict::In,
        },
        (Verdict::Outside, Some(side)) => {
            // The house's own range alone has no edge: beyond it is outside.
            let outside = reach
                .as_ref()
                .or(band.core.as_ref())
                .map_or(1.0, |span| beyond(span, side));
            let off = band.core.as_ref().map_or(0.0, |core| beyond(core, side));
            if outside >= SURE {
                Verdict::Outside
            } else if off >= SURE {
                Verdict::Edge
            } else {
                Verdict::TooClose
            }
        }
        (Verdict::Edge, Some(side)) if band.core.as_ref().is_some_and(|core| beyond(core, side) < SURE) => {
            Verdict::TooClose
        }
        (other, _) => other,
    }
}

/// The verdict of a value in its bands, and on which side it is off.
pub(super) fn place(value: f64, band: &Band) -> (Verdict, Option<Side>) {
    use std::cmp::Ordering::{Equal, Greater, Less};
    let core = band.core.as_ref().map(|s| s.place(value));
    let outer = band.place_in_reach(value);
    let side = |o| match o {
        Less => Some(Side::Below),
        Greater => Some(Side::Above),
        Equal => None,
    };
    match (core, outer) {
        (None, None) => (Verdict::NoBand, None),
        (Some(Equal), _) => (Verdict::In, None),
        // Inside what is seen, with no handbook to say where the middle is: nothing to flag.
        (None, Some(Equal)) => (Verdict::In, None),
        (Some(off), Some(Equal)) => (Verdict::Edge, side(off)),
        // Beyond the house's own range is outside, where nothing else says how far drinks go.
        (Some(off), None) if band.core.as_ref().is_some_and(|c| c.own) => (Verdict::Outside, side(off)),
        // A core band alone is narrow: beyond it is the edge, for nothing says where outside begins.
        (Some(off), None) => (Verdict::Edge, side(off)),
        (_, Some(off)) => (Verdict::Outside, side(off)),
    }
}
