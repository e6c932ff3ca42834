//! What is off about a drink beside the published ones of its family, and whether it is known well enough to say so.
//!
//! A verdict is given where at least three quarters of the figure's distribution stand behind it, and else
//! it is too close to call (a decision rule in the sense of JCGM 106:2012; the three to one is ours: common
//! practice, no source). What is outside by less than that, but surely beyond the usual range, is at the
//! edge.

use super::coverage::Coverage;
use super::doubt::Known;
use super::family::Kin;
use super::moves::{Imbalance, Moves, Point, point};
use super::placed::Placed;
use super::published::region;
use super::region::{EDGE_PCT, OUTSIDE_PCT, Region};
use super::{BalanceFigure, Band, Family, Figures, Finding, Ranges, Side, Span, Structure, Verdict};
use crate::build::Built;
use crate::resolve::Resolved;
use crate::tables::printed::range;

/// The share of a figure's distribution that has to stand behind a verdict.
pub const SURE: f64 = 0.75;

/// A drink that is to be judged.
pub(super) struct Judged<'a> {
    pub drink: &'a Resolved,
    pub built: &'a Built,
    pub figures: &'a Figures,
    pub known: &'a Known,
    pub ranges: &'a Ranges,
}

/// The verdict of each measure, and where the drink lies among the published ones; what there is to say goes to
/// `findings`. None on a drink without alcohol, for no published range is about those, and none where too few published
/// drinks are known of its family. Where the house has a range of its own, that decides.
pub(super) fn verdicts(of: &Judged<'_>, findings: &mut Vec<Finding>) -> ([Verdict; 3], Option<Placed>) {
    let mut verdicts = [Verdict::NoBand; 3];
    let (Some(structure), Some(kin)) = (of.built.structure, Kin::of(of.drink, of.built, of.figures)) else {
        return (verdicts, None);
    };
    let convention = of.drink.convention;
    if kin.family == Family::ZeroProof {
        let placed = Placed::of(kin, &point(of.figures, &of.built.glass), None, None, convention);
        return (verdicts, Some(placed));
    }
    // What a sweetener is worth as sugar is known within a span only, and is this drink's own.
    let volume = of.built.glass.volume_ml();
    let sweetener = of.built.glass.sweetening_doubt_g();
    let mut doubts = of.known.own.clone();
    if sweetener > 0.0 && volume > 0.0 {
        doubts.push([0.0, 100.0 * sweetener / volume / 3.0_f64.sqrt(), 0.0, 0.0]);
    }
    let region = region(kin.family, convention);
    let moves = region.map(|_| Moves::of(of.drink, of.built, of.figures));
    let gains = region.zip(moves.as_ref()).map(|(r, m)| r.shape.gains(m));
    for measure in BalanceFigure::ALL {
        let Some(value) = of.figures.measured(measure).value else {
            continue;
        };
        let band = of.ranges.band(structure, measure);
        if band.core.as_ref().is_some_and(|core| core.own) {
            verdicts[measure as usize] =
                by_the_house(of, structure, kin, measure, value, band, region, findings);
        }
    }
    if let (Some(region), Some(moves), Some(gains)) = (region, &moves, &gains) {
        for measure in BalanceFigure::ALL {
            let own = of
                .ranges
                .band(structure, measure)
                .core
                .as_ref()
                .is_some_and(|core| core.own);
            // A measure that no amount in it moves is nothing to judge.
            if own || !moves.undone.iter().any(|(fault, _)| fault.measure == measure) {
                continue;
            }
            let most = gains.iter().find(|(fault, _)| fault.measure == measure);
            let call = most.map_or(Call::IN, |(fault, gain)| {
                Call::of(region, moves, &doubts, *fault, *gain)
            });
            verdicts[measure as usize] = call.verdict;
        }
        // The worst fault is said first.
        for (fault, gain) in gains {
            let verdict = verdicts[fault.measure as usize];
            let said = findings.iter().any(|f| f.measure() == Some(fault.measure));
            if said || matches!(verdict, Verdict::In | Verdict::NoBand) {
                continue;
            }
            let own = of
                .ranges
                .band(structure, fault.measure)
                .core
                .as_ref()
                .is_some_and(|c| c.own);
            if own {
                continue;
            }
            let call = Call::of(region, moves, &doubts, *fault, *gain);
            findings.push(call.finding(of, structure, kin.family, *fault, region));
        }
    }
    let score = gains.as_ref().map(|g| g.first().map_or(0.0, |(_, gain)| *gain));
    let placed = Placed::of(
        kin,
        &point(of.figures, &of.built.glass),
        region,
        score,
        convention,
    );
    (verdicts, Some(placed))
}

/// What is called of one fault.
struct Call {
    verdict: Verdict,
    computed: Verdict,
    /// How likely it is that nothing is off, 0 to 1.
    right: f64,
}

impl Call {
    const IN: Call = Call {
        verdict: Verdict::In,
        computed: Verdict::In,
        right: 1.0,
    };

    /// Of a fault that gains so much, with what of the drink's own is not exactly known.
    fn of(region: &Region, moves: &Moves, own: &[Point], fault: Imbalance, gain: f64) -> Call {
        let (edge, outside) = (region.limit(EDGE_PCT), region.limit(OUTSIDE_PCT));
        // To first order, as the figures themselves are propagated.
        let variance: f64 = own
            .iter()
            .map(|by| {
                let less = by.map(|v| -v);
                let gain = |by: Point| region.shape.gain(&moves.shifted(by), fault);
                (0.5 * (gain(*by) - gain(less))).powi(2)
            })
            .sum();
        let above = |limit: f64| match variance.sqrt() {
            _ if limit.is_infinite() => 0.0,
            spread if spread > 1e-9 => 0.5 * libm::erfc((limit - gain) / (spread * std::f64::consts::SQRT_2)),
            _ => f64::from(u8::from(gain > limit)),
        };
        let computed = if gain > outside {
            Verdict::Outside
        } else if gain > edge {
            Verdict::Edge
        } else {
            Verdict::In
        };
        let verdict = match computed {
            Verdict::Outside if above(outside) >= SURE => Verdict::Outside,
            Verdict::Outside | Verdict::Edge if above(edge) >= SURE => Verdict::Edge,
            Verdict::In if 1.0 - above(edge) >= SURE => Verdict::In,
            _ => Verdict::TooClose,
        };
        Call {
            verdict,
            computed,
            right: 1.0 - above(edge),
        }
    }

    fn finding(
        &self,
        of: &Judged<'_>,
        structure: Structure,
        family: Family,
        fault: Imbalance,
        region: &Region,
    ) -> Finding {
        let Imbalance { measure, side } = fault;
        let figure = of.figures.measured(measure);
        let as_sucrose = measure == BalanceFigure::Sweetness && of.built.glass.sweetening_doubt_g() > 0.0;
        let value = if as_sucrose {
            point(of.figures, &of.built.glass)[measure as usize]
        } else {
            figure.value.unwrap_or(0.0)
        };
        let d = usize::from(measure.decimals());
        let (low, high) = region.seen[measure as usize];
        let seen = range(low, high, d);
        let core = of.ranges.band(structure, measure).core.as_ref();
        if self.verdict == Verdict::TooClose {
            let doubt = of.known.budget.iter().find(|b| b.measure == measure);
            return Finding::TooClose {
                measure,
                side,
                value,
                low: figure.low.unwrap_or(value).min(value),
                high: figure.high.unwrap_or(value).max(value),
                computed: self.computed,
                structure,
                family: Some(family),
                within_pct: 100.0 * self.right,
                usual: seen,
                input: doubt.map(|b| b.input.clone()).unwrap_or_default(),
                share_pct: doubt.map_or(0.0, |b| 100.0 * b.share),
                settled_by: doubt.map(|b| b.settled_by.clone()).unwrap_or_default(),
            };
        }
        Finding::OffBalance {
            measure,
            side,
            value,
            structure,
            family: Some(family),
            verdict: self.verdict,
            usual: core.map(Span::printed),
            usual_by: core.map(|_| "the handbook".to_owned()),
            seen: Some(format!("{seen} in {} drinks", region.count)),
            beside: (low..=high).contains(&value),
            as_sucrose,
            apart: core.is_some_and(|core| !core.meets(low, high)),
        }
    }
}

/// The verdict by the house's own range.
#[expect(clippy::too_many_arguments, reason = "one measure of one drink")]
fn by_the_house(
    of: &Judged<'_>,
    structure: Structure,
    kin: Kin,
    measure: BalanceFigure,
    value: f64,
    band: &Band,
    region: Option<&'static Region>,
    findings: &mut Vec<Finding>,
) -> Verdict {
    let figure = of.figures.measured(measure);
    let none_at_all = value < 0.5 * 10_f64.powi(-i32::from(measure.decimals()));
    if none_at_all && !structure.is_sour() {
        return Verdict::NoBand;
    }
    let (computed, off) = place(value, band);
    let coverage = of.known.measured[measure as usize].as_ref();
    let sure = coverage.map_or(computed, |coverage| called(coverage, computed, off, band));
    match (sure, off, coverage) {
        (Verdict::TooClose, _, Some(coverage)) => {
            let Some(usual) = band.core.as_ref().or(band.outer.as_ref()) else {
                return sure;
            };
            let (below, within) = (below(coverage, usual), within(coverage, usual));
            let doubt = of.known.budget.iter().find(|b| b.measure == measure);
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
                family: Some(kin.family),
                within_pct: 100.0 * within,
                usual: usual.printed(),
                input: doubt.map(|b| b.input.clone()).unwrap_or_default(),
                share_pct: doubt.map_or(0.0, |b| 100.0 * b.share),
                settled_by: doubt.map(|b| b.settled_by.clone()).unwrap_or_default(),
            });
        }
        (_, Some(side), _) => {
            let d = usize::from(measure.decimals());
            let seen_apart = region.zip(band.core.as_ref()).is_some_and(|(r, core)| {
                let (low, high) = r.seen[measure as usize];
                !core.meets(low, high)
            });
            let seen = region.map(|r| {
                let (low, high) = r.seen[measure as usize];
                format!("{} in {} drinks", range(low, high, d), r.count)
            });
            findings.push(Finding::OffBalance {
                measure,
                side,
                value,
                structure,
                family: Some(kin.family),
                verdict: sure,
                usual: band.core.as_ref().map(Span::printed),
                usual_by: Some("the house".to_owned()),
                seen,
                beside: false,
                as_sucrose: false,
                apart: seen_apart,
            });
        }
        _ => {}
    }
    sure
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
