//! Mending by trying every amount of every pour: slow, and too plain to be wrong. Its own check of every rule, on
//! the public face of the library; shared by the tests and the bench.

use washline_core::advise::{Adjustable, Ask, Origin, Subject, Target};
use washline_core::balance::{Figures, Structure, nominal};
use washline_core::build::{LEAST_ICE, WASHLINE_SHARE, build};
use washline_core::resolve::{Portion, Resolved, ResolvedStep};

/// What a drink comes to.
struct Came {
    figures: Figures,
    structure: Option<Structure>,
    volume_ml: f64,
    on_ice: bool,
}

fn work_out(drink: &Resolved) -> Came {
    let built = build(drink);
    let figures = nominal(drink, &built);
    Came {
        figures,
        structure: built.structure,
        volume_ml: figures.volume_ml.value.unwrap(),
        on_ice: built.on_ice,
    }
}

pub struct BruteForce<'a> {
    subject: Subject<'a>,
    targets: &'a [Target],
    pub adjustables: Vec<Adjustable>,
    structure: Option<Structure>,
    holds_ml: Option<f64>,
    serve_ml: (f64, f64),
    changed: Resolved,
    /// How many drinks were worked out.
    pub tried: usize,
}

impl<'a> BruteForce<'a> {
    /// For drinks whose pours are all written in the spec: none open, none to be added, none in parts.
    pub fn new(subject: Subject<'a>, ask: &Ask, targets: &'a [Target]) -> BruteForce<'a> {
        let adjustables = subject.adjustables(ask).unwrap();
        let start = work_out(subject.resolved);
        let holds_ml = subject.resolved.glass.as_ref().map(|g| {
            let brimful = g.assumed_ml.map_or(g.capacity_ml, |(_, largest)| largest);
            brimful
                * if start.on_ice {
                    WASHLINE_SHARE - LEAST_ICE
                } else {
                    WASHLINE_SHARE
                }
        });
        let poured: f64 = subject
            .resolved
            .steps
            .iter()
            .filter_map(|s| match s {
                ResolvedStep::Pour(p) => Some(p.fixed()?.volume_ml),
                _ => None,
            })
            .sum();
        let within = ask.serve_within_pct / 100.0;
        let over = holds_ml.is_some_and(|holds| start.volume_ml > holds);
        let least = if over { 0.0 } else { poured * (1.0 - within) };
        BruteForce {
            changed: subject.resolved.clone(),
            subject,
            targets,
            adjustables,
            structure: start.structure,
            holds_ml,
            serve_ml: (least - poured - 1e-6, poured * within + 1e-6),
            tried: 0,
        }
    }

    /// Whether everything but the serve is as it should be with these amounts, in units.
    fn comes_right(&mut self, changes: &[(usize, f64)]) -> (bool, Came) {
        for (which, a) in self.adjustables.iter().enumerate() {
            let units = changes
                .iter()
                .find(|(w, _)| *w == which)
                .map_or(a.start, |(_, units)| *units);
            let (Some(ResolvedStep::Pour(pour)), ResolvedStep::Pour(written)) = (
                self.changed.steps.get_mut(a.at),
                &self.subject.resolved.steps[a.at],
            ) else {
                panic!("no pour at {}", a.at)
            };
            assert_eq!(pour.ingredient, a.ingredient);
            let factor = units / a.start;
            pour.portion = Portion::Fixed(written.fixed().unwrap().times(factor).unwrap());
        }
        self.tried += 1;
        let came = work_out(&self.changed);
        let inside = self.targets.iter().all(|t| {
            t.span
                .place(came.figures.measured(t.measure).value.unwrap())
                .is_eq()
        });
        let fits = self.holds_ml.is_none_or(|holds| came.volume_ml <= holds);
        (inside && fits && came.structure == self.structure, came)
    }

    fn serve_allows(&self, changes: &[(usize, f64)]) -> bool {
        let change: f64 = changes
            .iter()
            .map(|&(which, units)| (units - self.adjustables[which].start) * self.adjustables[which].ml_each)
            .sum();
        (self.serve_ml.0..=self.serve_ml.1).contains(&change)
    }

    /// Whether each change is for the sake of something its pour may be used for.
    fn each_is_needed(&mut self, changes: &[(usize, f64)]) -> bool {
        (0..changes.len()).all(|i| {
            let mut without = changes.to_vec();
            let (which, _) = without.remove(i);
            let (right, came) = self.comes_right(&without);
            let roles = self.adjustables[which].roles;
            let serve_broken = roles.lengthens && !self.serve_allows(&without);
            if right {
                return serve_broken;
            }
            let measure_off = self.targets.iter().any(|t| {
                roles.serve(t.measure)
                    && t.span
                        .place(came.figures.measured(t.measure).value.unwrap())
                        .is_ne()
            });
            measure_off
                || self.holds_ml.is_some_and(|holds| came.volume_ml > holds)
                || came.structure != self.structure
                || serve_broken
        })
    }

    fn cost(&self, which: usize, units: f64) -> f64 {
        let a = &self.adjustables[which];
        assert!(matches!(a.origin, Origin::Written(_)));
        let change_ml = (units - a.start) * a.ml_each;
        (change_ml / (a.start * a.ml_each).max(5.0)).powi(2)
    }

    /// The least objective of changing exactly `count` pours, with the changes.
    pub fn best(&mut self, count: usize) -> Option<(f64, Vec<(usize, f64)>)> {
        let mut best = None;
        self.deeper(count, 0, &mut Vec::new(), 0.0, &mut best);
        best
    }

    fn deeper(
        &mut self,
        count: usize,
        from: usize,
        changes: &mut Vec<(usize, f64)>,
        cost: f64,
        best: &mut Option<(f64, Vec<(usize, f64)>)>,
    ) {
        if count == 0 {
            let better = best.as_ref().is_none_or(|(b, _)| cost < *b);
            if better
                && self.serve_allows(changes)
                && self.comes_right(changes).0
                && self.each_is_needed(changes)
            {
                *best = Some((cost, changes.clone()));
            }
            return;
        }
        for which in from..self.adjustables.len() {
            for i in 0..self.adjustables[which].amounts.len() {
                let units = self.adjustables[which].amounts[i].to_f64();
                let more = self.cost(which, units);
                if more > 0.0 {
                    changes.push((which, units));
                    self.deeper(count - 1, which + 1, changes, cost + more, best);
                    changes.pop();
                }
            }
        }
    }
}
