//! A drink with some of its pours changed, worked out by the model itself: what every search tries on.
//!
//! Where the handbook's curve gives the melt, working a drink out takes under a microsecond. Where the heat balance
//! has to, it takes some hundreds: there a trial is first estimated from one that was worked out near it
//! ([`build_near`]), and worked out itself only where the estimate does not settle the matter.

use crate::balance::{Figures, Structure, nominal};
use crate::build::{Built, build, build_near};
use crate::liquid::Liquid;
use crate::measure::Unit;
use crate::resolve::{Brought, Portion, Resolved, ResolvedStep};

use super::subject::{Adjustable, Origin, Subject};

/// How far an estimate's figures may be off, as a share of them. A test finds less than half of this: the most (4.3 %) for
/// stirred drinks well over the strengths of the handbook's curve, whose slope there is not that of the balance.
pub(super) const ESTIMATE_SPREAD: f64 = 0.09;
/// How far the mix of a trial may be from the one it is estimated from: in strength, % vol, or in volume, as the
/// logarithm of a share.
const NEAR: (f64, f64) = (1.0, 0.25);

/// A drink whose adjustable pours can be set.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    resolved: Resolved,
    variables: Vec<Variable>,
    /// Parts are shares of one serve: to change one is to change them all.
    parts: Vec<Part>,
    /// Trials that the heat balance answered for.
    known: Vec<(Mix, Built)>,
}

/// What tells how near one trial's melt is to another's.
#[derive(Clone, Copy, Debug)]
struct Mix {
    strength_pct: f64,
    volume_ml: f64,
}

impl Mix {
    fn of(built: &Built) -> Mix {
        Mix {
            strength_pct: built.worked.abv_pct().unwrap_or(0.0),
            volume_ml: built.worked.volume_ml().max(f64::MIN_POSITIVE),
        }
    }

    /// How far from another, 1 being as far as an estimate goes.
    fn from(self, other: Mix) -> f64 {
        (self.strength_pct - other.strength_pct).abs() / NEAR.0
            + (self.volume_ml / other.volume_ml).ln().abs() / NEAR.1
    }
}

/// A pour that is set by a number of units.
#[derive(Clone, Debug)]
struct Variable {
    at: usize,
    one: Liquid,
    ml_each: f64,
    g_each: f64,
    /// Which of the parts it is, where it is one.
    part: Option<usize>,
}

#[derive(Clone, Debug)]
struct Part {
    at: usize,
    /// One part of it while the parts are as written.
    one: Liquid,
    ml_each: f64,
    written: f64,
    now: f64,
}

/// What a trial comes to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Evaluated {
    pub figures: Figures,
    pub structure: Option<Structure>,
    /// In the glass, ml.
    pub volume_ml: f64,
    /// What a pour that fills the glass came to, ml.
    pub fill_ml: Option<f64>,
    pub on_ice: bool,
    /// How far its figures may be off, as a share of them: nothing where it was worked out.
    pub spread: f64,
}

impl Evaluated {
    fn of(drink: &Resolved, built: &Built, spread: f64) -> Evaluated {
        let figures = nominal(drink, built);
        Evaluated {
            figures,
            structure: built.structure,
            volume_ml: figures.volume_ml.value.unwrap_or(0.0),
            fill_ml: built.fill.map(|f| f.volume_ml),
            on_ice: built.on_ice,
            spread,
        }
    }
}

impl Candidate {
    /// `parts` are the places of the pours written in parts, with how many parts each is.
    pub fn new(subject: &Subject<'_>, adjustables: &[Adjustable], parts: &[(usize, f64)]) -> Candidate {
        let mut resolved = subject.resolved.clone();
        let added: Vec<&Adjustable> = adjustables.iter().filter(|a| a.origin == Origin::Added).collect();
        let shift = |at: usize| match added.first() {
            Some(first) if at >= first.at => at + added.len(),
            _ => at,
        };
        let parts: Vec<Part> = parts
            .iter()
            .filter_map(|&(at, written)| match resolved.steps.get(at) {
                Some(ResolvedStep::Pour(pour)) if written > 0.0 => Some(Part {
                    at: shift(at),
                    one: pour.some().times(1.0 / written).ok()?,
                    ml_each: pour.usual().volume_ml / written,
                    written,
                    now: written,
                }),
                _ => None,
            })
            .collect();
        let mut next = added.first().map_or(0, |first| first.at);
        let variables: Vec<Variable> = adjustables
            .iter()
            .map(|a| {
                let at = if a.origin == Origin::Added {
                    next += 1;
                    next - 1
                } else {
                    shift(a.at)
                };
                Variable {
                    at,
                    one: a.one,
                    ml_each: a.ml_each,
                    g_each: a.g_each,
                    part: (a.unit == Unit::Part)
                        .then(|| parts.iter().position(|p| p.at == at))
                        .flatten(),
                }
            })
            .collect();
        // Something poured as nothing stands where each addition would be poured.
        for (variable, a) in variables
            .iter()
            .zip(adjustables)
            .filter(|(_, a)| a.origin == Origin::Added)
        {
            let mut pour = a.pour.clone();
            pour.portion = Portion::Fixed(Brought::default());
            resolved.steps.insert(variable.at, ResolvedStep::Pour(pour));
        }
        let mut trial = Candidate {
            resolved,
            variables,
            parts,
            known: Vec::new(),
        };
        trial.remember(subject.built);
        trial
    }

    /// The drink as it is.
    pub fn start(&self, subject: &Subject<'_>) -> Evaluated {
        Evaluated::of(subject.resolved, subject.built, 0.0)
    }

    /// Pour so many units of one of the adjustable pours.
    pub fn set(&mut self, which: usize, units: f64) {
        let variable = &self.variables[which];
        if let Some(part) = variable.part {
            self.parts[part].now = units;
            return;
        }
        let (liquid, ml, grams) = (
            variable.one.times(units.max(0.0)).unwrap_or_default(),
            variable.ml_each * units,
            variable.g_each * units,
        );
        if let ResolvedStep::Pour(pour) = &mut self.resolved.steps[variable.at] {
            pour.portion = Portion::Fixed(Brought {
                liquid,
                volume_ml: ml,
                mass_g: grams,
            });
        }
    }

    /// How much of one of the adjustable pours goes in, ml: another number than its units say where it is a part.
    pub fn poured_ml(&self, which: usize) -> f64 {
        match &self.resolved.steps[self.variables[which].at] {
            ResolvedStep::Pour(pour) => pour.usual().volume_ml,
            _ => 0.0,
        }
    }

    /// Work it out.
    pub fn work_out(&mut self) -> Evaluated {
        self.share_out();
        let built = build(&self.resolved);
        self.remember(&built);
        Evaluated::of(&self.resolved, &built, 0.0)
    }

    /// Work it out where that is quick or nothing near it is known, else estimate it.
    pub fn estimate(&mut self) -> Evaluated {
        self.share_out();
        let Some((_, any)) = self.known.last() else {
            return self.work_out();
        };
        let near = build_near(&self.resolved, any);
        let mix = Mix::of(&near);
        // Within the strengths the curve was fitted on it answers itself, unless the ice is another or the house has
        // a fit of its own.
        let curve_holds = any.balanced.is_some_and(|b| {
            let within = |range: Option<(f64, f64)>, at: f64| {
                range.is_none_or(|(low, high)| (low..=high).contains(&at))
            };
            !b.stated
                && !b.house
                && within(b.curve.fitted_pct, mix.strength_pct)
                && within(b.curve.fitted_ml, mix.volume_ml)
        });
        let nearest = self
            .known
            .iter()
            .enumerate()
            .min_by(|(_, (a, _)), (_, (b, _))| mix.from(*a).total_cmp(&mix.from(*b)));
        match nearest {
            // Two works on ice may differ in which of them the curve holds for.
            Some((which, (known_mix, known)))
                if !curve_holds && !near.chilled_twice && mix.from(*known_mix) <= 1.0 =>
            {
                let near = if which + 1 == self.known.len() {
                    near
                } else {
                    build_near(&self.resolved, known)
                };
                Evaluated::of(&self.resolved, &near, ESTIMATE_SPREAD)
            }
            _ => self.work_out(),
        }
    }

    /// Around the amounts that are set, the outcome of others as far as the melt's law stays the same: for slopes.
    pub fn around(&mut self) -> Around {
        self.share_out();
        let mut built = build(&self.resolved);
        if let (None, Some((_, relation))) = (built.balanced, built.relation) {
            // Held to the curve, so that no slope is taken over the place where another law begins.
            built.balanced = Some(crate::build::Balanced {
                curve: relation,
                share: relation.share,
                half_width: relation.half_width,
                stated: false,
                house: false,
                melted: None,
            });
        }
        Around(built)
    }

    /// What the amounts that are set come to, close to where `around` was taken.
    pub fn close_to(&mut self, around: &Around) -> Evaluated {
        self.share_out();
        let built = build_near(&self.resolved, &around.0);
        Evaluated::of(&self.resolved, &built, 0.0)
    }

    fn remember(&mut self, built: &Built) {
        let mix = Mix::of(built);
        if built.balanced.is_some() && !self.known.iter().any(|(known, _)| mix.from(*known) < 0.5) {
            self.known.push((mix, built.clone()));
        }
    }

    /// The parts as shares of the serve again.
    fn share_out(&mut self) {
        let sum = |of: fn(&Part) -> f64| self.parts.iter().map(of).sum::<f64>();
        let (written, now) = (sum(|p| p.written), sum(|p| p.now));
        if now <= 0.0 {
            return;
        }
        for part in &self.parts {
            let units = part.now * written / now;
            if let ResolvedStep::Pour(pour) = &mut self.resolved.steps[part.at] {
                let liquid = part.one.times(units).unwrap_or_default();
                pour.portion = Portion::Fixed(Brought {
                    volume_ml: part.ml_each * units,
                    ..Brought::all_of(liquid)
                });
            }
        }
    }
}

/// A drink that was worked out, for others close to it.
#[derive(Clone, Debug)]
pub(super) struct Around(Built);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::advise::Ask;
    use crate::balance::{BalanceFigure, Ranges};
    use crate::ingredient::library;
    use crate::resolve::resolve;
    use crate::spec::{Settings, Source, read};

    /// The largest share by which an estimate of strength, sweetness, tartness or volume is off, over a lattice of
    /// amounts, and how many of them were estimates.
    fn worst(lines: &str) -> (f64, usize) {
        let source = Source::new("t", format!("# T\n\n## D\n{lines}"));
        let reading = read(&source);
        let drink = reading.book.drinks().next().unwrap();
        let settings = Settings::default();
        let resolved = resolve(drink, library(), &settings, &source).unwrap();
        let built = build(&resolved);
        let subject = Subject {
            drink,
            resolved: &resolved,
            built: &built,
            ranges: &Ranges::none(),
            stock: library(),
            settings: &settings,
        };
        let adjustables = subject.adjustables(&Ask::default()).unwrap();
        let mut trial = Candidate::new(&subject, &adjustables, &[]);
        let (mut worst, mut estimates) = (0.0_f64, 0);
        let factors = [0.75, 0.9, 1.0, 1.2];
        for (i, first) in factors.iter().enumerate() {
            for (j, second) in factors.iter().enumerate() {
                let factor = |which: usize| [*first, *second, factors[(i + 2 * j) % 4]][which.min(2)];
                for (which, a) in adjustables.iter().enumerate() {
                    trial.set(which, a.start * factor(which));
                }
                let estimate = trial.estimate();
                if estimate.spread > 0.0 {
                    estimates += 1;
                    let truly = trial.work_out();
                    let mut off = |a: f64, b: f64| worst = worst.max((a - b).abs() / b);
                    off(estimate.volume_ml, truly.volume_ml);
                    for measure in BalanceFigure::ALL {
                        if let (Some(a), Some(b)) = (
                            estimate.figures.measured(measure).value,
                            truly.figures.measured(measure).value,
                        ) && b > 0.0
                        {
                            off(a, b);
                        }
                    }
                }
            }
        }
        (worst, estimates)
    }

    #[test]
    fn an_estimate_is_well_within_its_spread() {
        let mut estimates = 0;
        for lines in [
            "- 30 ml gin\n- 40 ml sake\n- 20 ml dry vermouth\n- stir\n- strain\n",
            "- 60 ml overproof rum\n- 20 ml lime juice\n- 20 ml rich syrup 2:1 by mass\n- shake\n- strain\n",
            "- 35 ml white rum\n- 30 ml lime juice\n- 40 ml simple syrup 1:1 by mass\n- shake\n- strain\n",
            "- 70 ml overproof rum\n- 15 ml sweet red vermouth\n- stir\n- strain\n",
        ] {
            let (worst, some) = worst(lines);
            assert!(worst < 0.5 * ESTIMATE_SPREAD, "{worst}: {lines}");
            estimates += some;
        }
        assert!(estimates > 15, "{estimates}");
    }

    #[test]
    fn where_the_curve_holds_nothing_is_estimated() {
        let (worst, estimates) = worst(
            "- 60 ml white rum\n- 22.5 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- swizzle\n- strain\n",
        );
        assert_eq!(estimates, 0);
        assert!(worst <= 0.0);
    }
}
