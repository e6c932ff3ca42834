//! The pour grid: every amount a bar can measure, tried on the model itself in order of what it costs.
//!
//! The search is exhaustive. What it leaves out cannot be an answer: amounts that cost more than one already found,
//! and amounts whose alcohol, sugar and acid stand in a proportion to each other that no volume of water brings
//! into all the bands at once (masses add, so these proportions are exact whatever the ice does).

use crate::balance::BalanceFigure;
use crate::liquid::Liquid;
use crate::measure::Unit;

use super::problem::{Deviation, Problem, Settled};
use super::subject::Origin;

/// An objective is the smaller one if it is so by more than this: the rest is rounding.
pub(super) const SAME: f64 = 1e-9;

/// The most pours that an answer changes.
pub const MOST_CHANGES: usize = 3;

/// An amount that a pour could be changed to.
#[derive(Clone, Copy, Debug)]
struct Candidate {
    /// Its place among the amounts of the pour.
    index: usize,
    units: f64,
    cost: f64,
    /// What it adds to all that is poured, ml.
    adds_ml: f64,
}

/// Amounts on the grid, and what they come to.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// For each adjustable pour that differs from the start (or was open): its place, and the place of its amount.
    pub picks: Vec<(usize, usize)>,
    pub objective: f64,
    /// How many targets are missed; 0 for an answer.
    pub misses: u32,
    /// How far off altogether; 0 for an answer.
    pub distance: f64,
    pub off_middle: f64,
}

/// What is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wanted {
    /// Everything met at the least cost.
    Answer,
    /// The fewest targets missed, then as near as can be, then at the least cost.
    Closest,
}

pub(super) struct Search<'p, 'a> {
    problem: &'p mut Problem<'a>,
    /// For each adjustable pour, cheapest first, without the amount it has.
    candidates: Vec<Vec<Candidate>>,
    open: Vec<usize>,
    /// Pours that cost something to change.
    costly: Vec<usize>,
    proportions: Option<Proportions>,
    /// How the drink stands as it is.
    start: Deviation,
    wanted: Wanted,
    /// Answers have to cost less than this.
    below: f64,
    best: Option<Found>,
    /// The amount of every pour that is being tried.
    units: Vec<f64>,
    picks: Vec<(usize, usize)>,
}

impl<'p, 'a> Search<'p, 'a> {
    pub fn new(problem: &'p mut Problem<'a>) -> Search<'p, 'a> {
        let candidates: Vec<Vec<Candidate>> = problem
            .adjustables
            .iter()
            .enumerate()
            .map(|(which, a)| {
                let each = problem.serve_ml_each(which);
                let mut all: Vec<Candidate> = a
                    .amounts
                    .iter()
                    .enumerate()
                    .map(|(index, amount)| {
                        let units = amount.to_f64();
                        Candidate {
                            index,
                            units,
                            cost: a.cost(units),
                            adds_ml: (units - a.start) * each,
                        }
                    })
                    .filter(|c| a.origin == Origin::Open || c.cost > 0.0)
                    .collect();
                all.sort_by(|x, y| x.cost.total_cmp(&y.cost));
                all
            })
            .collect();
        let of = |open: bool| -> Vec<usize> {
            (0..problem.adjustables.len())
                .filter(|i| (problem.adjustables[*i].origin == Origin::Open) == open)
                .collect()
        };
        let (open, costly) = (of(true), of(false));
        let units = problem.adjustables.iter().map(|a| a.start).collect();
        Search {
            proportions: Proportions::of(problem),
            start: problem.deviation(&problem.start),
            problem,
            candidates,
            open,
            costly,
            wanted: Wanted::Answer,
            below: f64::INFINITY,
            best: None,
            units,
            picks: Vec::new(),
        }
    }

    /// The cheapest answer that changes exactly `count` written pours and costs less than `below`.
    pub fn answer(&mut self, count: usize, below: f64) -> Option<Found> {
        self.wanted = Wanted::Answer;
        self.below = below;
        self.best = None;
        self.each_choice(count);
        self.best.take()
    }

    /// What comes closest with up to three written pours changed, within the limits that are no targets and without
    /// spoiling what is in order; `None` where nothing comes closer than the drink as it is.
    pub fn closest(&mut self) -> Option<Found> {
        self.wanted = Wanted::Closest;
        self.below = f64::INFINITY;
        self.best = None;
        for count in 0..=MOST_CHANGES {
            self.each_choice(count);
        }
        let start = self.start;
        let closer = |found: &Found| {
            found.misses < start.misses()
                || found.misses == start.misses() && found.distance < start.distance() - SAME
                || !self.open.is_empty()
        };
        self.best.take().filter(closer)
    }

    /// Every choice of `count` of the pours that cost something.
    fn each_choice(&mut self, count: usize) {
        let all = self.costly.clone();
        if count > all.len() {
            return;
        }
        let mut places: Vec<usize> = (0..count).collect();
        loop {
            let chosen: Vec<usize> = places.iter().map(|p| all[*p]).collect();
            self.walk(&chosen, 0, 0.0, 0.0);
            // The next choice in order: the last place that can still move on.
            let Some(moving) = (0..count).rev().find(|i| places[*i] < all.len() - count + i) else {
                break;
            };
            places[moving] += 1;
            for i in moving + 1..count {
                places[i] = places[i - 1] + 1;
            }
        }
    }

    /// What an answer may cost at most to be looked at.
    fn limit(&self) -> f64 {
        match (self.wanted, &self.best) {
            (Wanted::Answer, Some(best)) => best.objective + SAME,
            (Wanted::Answer, None) => self.below - SAME,
            (Wanted::Closest, _) => f64::INFINITY,
        }
    }

    fn walk(&mut self, chosen: &[usize], depth: usize, cost: f64, adds_ml: f64) {
        let Some(&which) = chosen.get(depth) else {
            self.try_on(chosen, cost, adds_ml);
            return;
        };
        // The pours still to be chosen cost at least their cheapest change.
        let rest: f64 = chosen[depth + 1..]
            .iter()
            .filter_map(|w| self.candidates[*w].first())
            .map(|c| c.cost)
            .sum();
        for i in 0..self.candidates[which].len() {
            let candidate = self.candidates[which][i];
            if cost + candidate.cost + rest > self.limit() {
                break;
            }
            self.units[which] = candidate.units;
            self.picks.push((which, candidate.index));
            self.walk(
                chosen,
                depth + 1,
                cost + candidate.cost,
                adds_ml + candidate.adds_ml,
            );
            self.picks.pop();
        }
        self.units[which] = self.problem.adjustables[which].start;
    }

    /// Try the amounts that are set, with every amount of the open pours.
    fn try_on(&mut self, chosen: &[usize], cost: f64, adds_ml: f64) {
        if !self.problem.serve_allows(adds_ml) {
            return;
        }
        if self.ruled_out() {
            return;
        }
        for &which in chosen {
            self.problem.trial.set(which, self.units[which]);
        }
        self.open_amounts(chosen, 0, cost, adds_ml);
        for &which in chosen {
            let start = self.problem.adjustables[which].start;
            self.problem.trial.set(which, start);
        }
    }

    /// Whether the proportions of what is poured rule out that these amounts are the best, whatever the ice does.
    fn ruled_out(&self) -> bool {
        let Some(proportions) = &self.proportions else {
            return false;
        };
        match (self.wanted, &self.best) {
            (Wanted::Answer, _) => !proportions.allow(&self.units),
            (Wanted::Closest, best) => match (proportions.bound(&self.units), best) {
                (None, _) => true,
                (Some(_), None) => false,
                (Some((misses, distance)), Some(best)) => {
                    misses > best.misses || misses == best.misses && distance > best.distance + SAME
                }
            },
        }
    }

    fn open_amounts(&mut self, chosen: &[usize], depth: usize, cost: f64, adds_ml: f64) {
        let Some(&which) = self.open.get(depth) else {
            self.weigh_up(chosen, cost, adds_ml);
            return;
        };
        for i in 0..self.candidates[which].len() {
            let candidate = self.candidates[which][i];
            self.problem.trial.set(which, candidate.units);
            self.picks.push((which, candidate.index));
            self.open_amounts(chosen, depth + 1, cost, adds_ml);
            self.picks.pop();
        }
        let start = self.problem.adjustables[which].start;
        self.problem.trial.set(which, start);
    }

    fn weigh_up(&mut self, chosen: &[usize], cost: f64, adds_ml: f64) {
        let mut outcome = self.problem.trial.estimate();
        if self.wanted == Wanted::Answer {
            if self.problem.settled(&outcome) == Settled::Off {
                return;
            }
            if outcome.spread > 0.0 {
                outcome = self.problem.trial.work_out();
            }
        }
        let fit = self.problem.deviation(&outcome);
        match self.wanted {
            Wanted::Answer if !fit.met() => return,
            Wanted::Closest if !fit.same_sort || fit.breaks(&self.start) => return,
            Wanted::Answer | Wanted::Closest => {}
        }
        let (misses, distance) = (fit.misses(), fit.distance());
        let off_middle = self.problem.off_middle(&outcome);
        let better = match &self.best {
            None => true,
            Some(best) => {
                let order = |a: f64, b: f64| if (a - b).abs() <= SAME { 0.0 } else { a - b };
                [
                    f64::from(misses) - f64::from(best.misses),
                    order(distance, best.distance),
                    order(cost, best.objective),
                    order(off_middle, best.off_middle),
                ]
                .into_iter()
                .find(|o| o.abs() > 0.0)
                .is_some_and(|o| o < 0.0)
            }
        };
        if !better || !chosen.iter().all(|&which| self.is_needed(which, adds_ml)) {
            return;
        }
        self.best = Some(Found {
            picks: self.picks.clone(),
            objective: cost,
            misses,
            distance,
            off_middle,
        });
    }

    /// Whether a changed pour is changed for the sake of something it may be used for: put back, a measure it
    /// serves is outside its target, or the glass or the sort of drink breaks, or the serve where it lengthens.
    fn is_needed(&mut self, which: usize, adds_ml: f64) -> bool {
        let (start, units) = (self.problem.adjustables[which].start, self.units[which]);
        let each = self.problem.serve_ml_each(which);
        // Nobody pours more gin to fill a glass up: the serve is made up by what lengthens.
        if self.problem.adjustables[which].roles.lengthens
            && !self.problem.serve_allows(adds_ml - (units - start) * each)
        {
            return true;
        }
        self.problem.trial.set(which, start);
        let outcome = self.problem.judged();
        self.problem.trial.set(which, units);
        let fit = self.problem.deviation(&outcome);
        serves(self.problem, which, &fit).next().is_some() || fit.over_ml > 0.0 || !fit.same_sort
    }
}

/// The measures that a pour may be used for and that are outside their targets.
pub(super) fn serves<'f>(
    problem: &'f Problem<'_>,
    which: usize,
    fit: &'f Deviation,
) -> impl Iterator<Item = BalanceFigure> + use<'f> {
    let roles = problem.adjustables[which].roles;
    problem
        .targets
        .iter()
        .zip(&fit.gaps)
        .filter(move |(target, gap)| gap.abs() > 0.0 && roles.serve(target.measure))
        .map(|(target, _)| target.measure)
}

/// What the proportions of alcohol, sugar and acid rule out.
struct Proportions {
    /// Millilitres of ethanol, grams of sugar, grams of acid as citric: of the drink as it is, then a unit of each
    /// adjustable pour.
    start: [f64; 3],
    each: Vec<[f64; 3]>,
    units: Vec<f64>,
    /// For each target: which of the three it is about, its edges and its half-width.
    targets: Vec<(usize, f64, f64, f64)>,
    /// The targets that may not be missed, as bits.
    kept: u32,
}

/// A hair of room, so that rounding rules nothing out.
const HAIR: f64 = 1e-9;

fn amounts(liquid: &Liquid) -> [f64; 3] {
    [liquid.ethanol_ml(), liquid.sugar_g(), liquid.acid_as_citric_g()]
}

impl Proportions {
    /// `None` where what is in the glass is no sum of the pours: parts of a serve, a top that fills the glass with
    /// something in it, pours left open.
    fn of(problem: &Problem<'_>) -> Option<Proportions> {
        let adjustables = &problem.adjustables;
        let fills = problem
            .subject
            .pours()
            .any(|(_, p)| p.fills() && amounts(&p.some()).iter().any(|a| *a > 0.0));
        if fills
            || adjustables
                .iter()
                .any(|a| a.origin == Origin::Open || a.unit == Unit::Part)
        {
            return None;
        }
        let start = problem.deviation(&problem.start);
        let kept = (0..problem.targets.len())
            .filter(|i| start.gaps[*i].abs() <= 0.0)
            .map(|i| 1 << i)
            .sum();
        Some(Proportions {
            start: amounts(&problem.subject.built.glass),
            each: adjustables.iter().map(|a| amounts(&a.one)).collect(),
            units: adjustables.iter().map(|a| a.start).collect(),
            targets: problem
                .targets
                .iter()
                .map(|t| {
                    let (low, high) = t.edges();
                    (t.measure as usize, low, high, t.half_width())
                })
                .collect(),
            kept,
        })
    }

    /// What is in a drink of these amounts.
    fn sums(&self, units: &[f64]) -> [f64; 3] {
        let mut sums = self.start;
        for ((now, before), each) in units.iter().zip(&self.units).zip(&self.each) {
            let change = now - before;
            for (sum, each) in sums.iter_mut().zip(each) {
                *sum += change * each;
            }
        }
        sums
    }

    /// The volumes of the drink, in 100 ml, that bring these targets in: from, to.
    fn volumes(&self, sums: &[f64; 3], targets: u32) -> (f64, f64) {
        let mut volumes: (f64, f64) = (0.0, f64::INFINITY);
        for (i, &(about, low, high, _)) in self.targets.iter().enumerate() {
            if targets & (1 << i) != 0 {
                volumes.0 = volumes.0.max(sums[about] / high * (1.0 - HAIR));
                if low > 0.0 {
                    volumes.1 = volumes.1.min(sums[about] / low * (1.0 + HAIR));
                }
            }
        }
        volumes
    }

    /// Whether there is a volume that brings every target in.
    fn allow(&self, units: &[f64]) -> bool {
        let (from, to) = self.volumes(&self.sums(units), (1 << self.targets.len()) - 1);
        from <= to
    }

    /// The fewest targets that must be missed, and how far off they are then at least, without missing one that
    /// may not be.
    fn bound(&self, units: &[f64]) -> Option<(u32, f64)> {
        let sums = self.sums(units);
        let all: u32 = (1 << self.targets.len()) - 1;
        (0..=all)
            .filter(|met| met & self.kept == self.kept)
            .filter_map(|met| {
                let (from, to) = self.volumes(&sums, met);
                if from > to {
                    return None;
                }
                let distance: f64 = (0..self.targets.len())
                    .filter(|i| met & (1 << i) == 0)
                    .map(|i| {
                        let (about, low, high, half_width) = self.targets[i];
                        // At those volumes the figure lies between these.
                        let least = if to.is_finite() && to > 0.0 {
                            sums[about] / to
                        } else {
                            0.0
                        };
                        let most = if from > 0.0 {
                            sums[about] / from
                        } else {
                            f64::INFINITY
                        };
                        let gap = (low - most).max(least - high).max(0.0) / half_width;
                        gap * gap
                    })
                    .sum();
                Some(((all & !met).count_ones(), distance * (1.0 - HAIR)))
            })
            .min_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)))
    }
}
