//! One drink, what may be changed of it, what it is to come to, and the limits that hold whatever is changed.

use crate::build::{LEAST_ICE, WASHLINE_SHARE};
use crate::spec::{PourAmount, Step};
use crate::tables::Structure;

use super::candidate::{Candidate, Evaluated};
use super::subject::{Adjustable, Ask, Origin, Subject};
use super::target::Target;

/// What the glass holds.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct GlassLimit {
    pub name: String,
    pub capacity_ml: f64,
    /// Up to its washline, ml.
    pub holds_ml: f64,
}

pub(super) struct Problem<'a> {
    pub subject: Subject<'a>,
    pub adjustables: Vec<Adjustable>,
    pub targets: Vec<Target>,
    pub structure: Option<Structure>,
    pub glass: Option<GlassLimit>,
    /// All that is poured by the spec as written, ml; what is open or fills the glass is left out.
    pub poured_ml: f64,
    /// By how much all that is poured may shrink (negative) and grow, ml.
    pub serve_change_ml: (f64, f64),
    pub trial: Candidate,
    /// What it comes to as it is.
    pub start: Evaluated,
}

/// How a trial stands to what is wanted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Deviation {
    /// Of each target in order: how far outside, in its half-widths; 0 inside.
    pub gaps: [f64; 3],
    /// How far over the washline, ml; 0 below it.
    pub over_ml: f64,
    /// Whether it is still the same sort of drink, and a pour that fills the glass still has room.
    pub same_sort: bool,
}

/// What is known of the fit of an outcome that is only estimated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Settled {
    /// It is in every target, below the washline and the same sort of drink.
    Met,
    /// Something is outside, and surely so.
    Off,
    /// The estimate does not settle it.
    Open,
}

impl Deviation {
    pub fn met(&self) -> bool {
        self.same_sort && self.over_ml <= 0.0 && self.gaps.iter().all(|g| g.abs() <= 0.0)
    }

    /// Whether a target that was met before is missed now, or the glass runs over that did not.
    pub fn breaks(&self, before: &Deviation) -> bool {
        let missed = self
            .gaps
            .iter()
            .zip(&before.gaps)
            .any(|(now, then)| now.abs() > 0.0 && then.abs() <= 0.0);
        missed || self.over_ml > 0.0 && before.over_ml <= 0.0
    }

    /// How many targets are missed, the glass counting as one.
    pub fn misses(&self) -> u32 {
        let targets = self.gaps.iter().filter(|g| g.abs() > 0.0).count();
        u32::try_from(targets).unwrap_or(u32::MAX) + u32::from(self.over_ml > 0.0)
    }

    /// How far off altogether: squares of the gaps, and of the overflow by the centilitre.
    pub fn distance(&self) -> f64 {
        self.gaps.iter().map(|g| g * g).sum::<f64>() + (self.over_ml / 10.0).powi(2)
    }
}

impl<'a> Problem<'a> {
    pub fn new(
        subject: Subject<'a>,
        adjustables: Vec<Adjustable>,
        targets: Vec<Target>,
        ask: &Ask,
    ) -> Problem<'a> {
        let trial = Candidate::new(&subject, &adjustables, &parts(&subject));
        let start = trial.start(&subject);
        let glass = subject.resolved.glass.as_ref().map(|glass| {
            // A size that is only assumed is the largest usual one, as a check has it.
            let capacity_ml = glass.assumed_ml.map_or(glass.capacity_ml, |(_, largest)| largest);
            let share = if start.on_ice {
                WASHLINE_SHARE - LEAST_ICE
            } else {
                WASHLINE_SHARE
            };
            GlassLimit {
                name: glass.name.clone(),
                capacity_ml,
                holds_ml: capacity_ml * share,
            }
        });
        let open: Vec<usize> = adjustables
            .iter()
            .filter(|a| a.origin == Origin::Open)
            .map(|a| a.at)
            .collect();
        let poured_ml = subject
            .pours()
            .filter(|(at, pour)| !pour.fills() && !open.contains(at))
            .map(|(_, pour)| pour.usual().volume_ml)
            .sum::<f64>();
        let spare = poured_ml * ask.serve_within_pct / 100.0;
        // What runs over has to shrink as far as the glass needs it to.
        let overflows = glass.as_ref().is_some_and(|g| start.volume_ml > g.holds_ml);
        let serve_change_ml = (if overflows { -poured_ml } else { -spare }, spare);
        Problem {
            structure: start.structure,
            subject,
            adjustables,
            targets,
            glass,
            poured_ml,
            serve_change_ml,
            trial,
            start,
        }
    }

    /// How an outcome stands to the targets and the glass.
    pub fn deviation(&self, outcome: &Evaluated) -> Deviation {
        let mut gaps = [0.0; 3];
        for (gap, target) in gaps.iter_mut().zip(&self.targets) {
            *gap = target.gap(outcome.figures.measured(target.measure).value.unwrap_or(0.0));
        }
        let over_ml = self
            .glass
            .as_ref()
            .map_or(0.0, |g| (outcome.volume_ml - g.holds_ml).max(0.0));
        // A top that has no room left is no top: a check says so below one millilitre.
        let has_room = outcome
            .fill_ml
            .is_none_or(|ml| ml >= 1.0 || self.start.fill_ml.is_some_and(|before| before < 1.0));
        Deviation {
            gaps,
            over_ml,
            same_sort: outcome.structure == self.structure && has_room,
        }
    }

    /// What is surely so of an outcome, as far as its figures are known.
    pub fn settled(&self, outcome: &Evaluated) -> Settled {
        if outcome.spread <= 0.0 {
            return if self.deviation(outcome).met() {
                Settled::Met
            } else {
                Settled::Off
            };
        }
        let sides = |value: f64, low: f64, high: f64| {
            let (least, most) = (value * (1.0 - outcome.spread), value * (1.0 + outcome.spread));
            (most < low || least > high, least >= low && most <= high)
        };
        let (mut off, mut all_in) = (false, true);
        for target in &self.targets {
            let (low, high) = target.edges();
            let value = outcome.figures.measured(target.measure).value.unwrap_or(0.0);
            let (outside, inside) = sides(value, low, high);
            off |= outside;
            all_in &= inside;
        }
        if let Some(glass) = &self.glass {
            let (outside, inside) = sides(outcome.volume_ml, 0.0, glass.holds_ml);
            off |= outside;
            all_in &= inside;
        }
        match (off, all_in && self.deviation(outcome).same_sort) {
            (true, _) => Settled::Off,
            (false, true) => Settled::Met,
            (false, false) => Settled::Open,
        }
    }

    /// The outcome of the amounts that are set, known well enough to say of each target whether it is met.
    pub fn judged(&mut self) -> Evaluated {
        let estimate = self.trial.estimate();
        match estimate.spread > 0.0 && !self.each_is_plain(&estimate) {
            true => self.trial.work_out(),
            false => estimate,
        }
    }

    /// Whether an estimate says of each target and of the glass which side of its ends it is on.
    fn each_is_plain(&self, outcome: &Evaluated) -> bool {
        let plain = |value: f64, end: f64| (value - end).abs() > value * outcome.spread;
        let targets = self.targets.iter().all(|target| {
            let (low, high) = target.edges();
            let value = outcome.figures.measured(target.measure).value.unwrap_or(0.0);
            plain(value, low) && plain(value, high)
        });
        targets
            && self
                .glass
                .as_ref()
                .is_none_or(|g| plain(outcome.volume_ml, g.holds_ml))
    }

    /// How far the figures lie from the middle of their targets: what settles between amounts that cost the same.
    pub fn off_middle(&self, outcome: &Evaluated) -> f64 {
        self.targets
            .iter()
            .map(|t| {
                t.off_middle(outcome.figures.measured(t.measure).value.unwrap_or(0.0))
                    .powi(2)
            })
            .sum()
    }

    /// Whether what is poured may change by so much altogether, ml.
    pub fn serve_allows(&self, change_ml: f64) -> bool {
        let slack = 1e-9 * self.poured_ml.max(1.0);
        change_ml >= self.serve_change_ml.0 - slack && change_ml <= self.serve_change_ml.1 + slack
    }

    /// Set every adjustable pour, in units.
    pub fn set_all(&mut self, units: &[f64]) {
        for (which, units) in units.iter().enumerate() {
            self.trial.set(which, *units);
        }
    }

    /// Set every adjustable pour back to where it started.
    pub fn set_back(&mut self) {
        for (which, adjustable) in self.adjustables.iter().enumerate() {
            self.trial.set(which, adjustable.start);
        }
    }

    /// By how much a pour changes what is poured altogether, ml a unit: nothing where it is a share of a serve, or
    /// where the spec did not say how much.
    pub fn serve_ml_each(&self, which: usize) -> f64 {
        let adjustable = &self.adjustables[which];
        if adjustable.origin == Origin::Open || adjustable.unit == crate::measure::Unit::Part {
            0.0
        } else {
            adjustable.ml_each
        }
    }
}

/// The pours written in parts, with how many.
fn parts(subject: &Subject<'_>) -> Vec<(usize, f64)> {
    subject
        .drink
        .lines()
        .enumerate()
        .filter_map(|(at, line)| match &line.step {
            Step::Pour(pour) => match &pour.measure {
                PourAmount::Of(extent, Some(crate::measure::Unit::Part)) => {
                    Some((at, extent.nominal.to_f64()))
                }
                _ => None,
            },
            _ => None,
        })
        .collect()
}
