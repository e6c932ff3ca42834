//! The steps of a drink, taken one after the other: what joins where, what it is worked on, and what that comes to.

use super::fill::{self, Fill};
use super::{
    Built, GIVEN_SPREAD, Techniques, Variation, Walk, WithoutIce, given_g, stays_in_the_glass, with_water,
};
use crate::liquid::Liquid;
use crate::melt::{self, MeltModel};
use crate::resolve::{Portion, Resolved, ResolvedPour, ResolvedStep, ResolvedWork};
use crate::spec::{PourMethod, Technique, WaterGiven};
use crate::tables::{Service, Structure, TOPPED_SHARE};

/// A drink on its way from the first step to the glass.
pub(super) struct Steps<'a> {
    drink: &'a Resolved,
    variation: &'a Variation<'a>,
    walk: Walk,
    techniques: Techniques,
    no_ice: WithoutIce,
    /// The last step that shakes: egg white counts when anything shakes it, and a reverse dry shake adds it after the ice.
    last_shake: Option<usize>,
    last_work: Option<usize>,
    on_ice: bool,
    neat: bool,
    hot: bool,
    top: Liquid,
    foamer_worked: bool,
    foams: Vec<usize>,
    shaken_fizz: Vec<usize>,
    /// Solids wait in the vessel until something presses them.
    unpressed: Vec<Liquid>,
    /// A pour that fills the glass is sized after everything else.
    fill: Option<(usize, &'a ResolvedPour, f64)>,
    filled: Option<Fill>,
}

impl<'a> Steps<'a> {
    pub(super) fn of(drink: &'a Resolved, variation: &'a Variation<'a>) -> Steps<'a> {
        let no_ice = WithoutIce::of(drink);
        let shakes = |s: &ResolvedStep| {
            matches!(
                s,
                ResolvedStep::Work(ResolvedWork {
                    technique: Technique::Shake | Technique::WhipShake | Technique::DryShake,
                    ..
                })
            )
        };
        Steps {
            drink,
            variation,
            walk: Walk {
                melt: variation.off.melt,
                shift_g: variation.shift.water_g,
                ..Walk::default()
            },
            techniques: Techniques::default(),
            last_shake: drink.steps.iter().rposition(shakes),
            last_work: drink
                .steps
                .iter()
                .rposition(|s| matches!(s, ResolvedStep::Work(..))),
            on_ice: false,
            neat: false,
            hot: no_ice.hot,
            no_ice,
            top: Liquid::NOTHING,
            foamer_worked: false,
            foams: Vec::new(),
            shaken_fizz: Vec::new(),
            unpressed: Vec::new(),
            fill: None,
            filled: None,
        }
    }

    pub(super) fn take(&mut self, at: usize, step: &'a ResolvedStep) {
        match step {
            ResolvedStep::Pour(pour) => self.pour(at, pour),
            ResolvedStep::Work(work) => self.work(at, work),
            ResolvedStep::OverIce(_) => self.on_ice = true,
            ResolvedStep::Neat => self.neat = true,
            ResolvedStep::Ice(_)
            | ResolvedStep::Strain { .. }
            | ResolvedStep::Unstrained
            | ResolvedStep::Rest(_)
            | ResolvedStep::Garnish(_)
            | ResolvedStep::Prepare(_) => {}
        }
    }

    fn pour(&mut self, at: usize, pour: &'a ResolvedPour) {
        self.hot |= pour.hot;
        if let Portion::Fills { usual_ml, .. } = pour.portion {
            self.fill = Some((at, pour, usual_ml));
            return;
        }
        if pour.egg || pour.foamer {
            self.foams.push(at);
        }
        let liquid = self.variation.liquid(at, pour);
        if pour.needs_pressing {
            self.unpressed.push(liquid);
            return;
        }
        // What joins after the last of the work lengthens, whether the line says "top" or not.
        let is_late = self.last_work.is_some_and(|work| at > work) && self.techniques.iced();
        if pour.place == PourMethod::Top || is_late {
            self.top = self.top.plus(&liquid);
        }
        self.joins(&liquid);
        self.foamer_worked |= pour.foamer && self.last_shake.is_some_and(|shake| at < shake);
    }

    fn joins(&mut self, liquid: &Liquid) {
        self.walk.vessel = self.walk.vessel.plus(liquid);
        self.walk.before = self.walk.before.plus(liquid);
    }

    fn work(&mut self, at: usize, work: &ResolvedWork) {
        let technique = work.technique;
        let agitates = matches!(
            technique,
            Technique::Shake | Technique::WhipShake | Technique::Blend | Technique::DryShake
        );
        if agitates || technique == Technique::Muddle {
            for solid in std::mem::take(&mut self.unpressed) {
                self.joins(&solid);
            }
        }
        if agitates {
            let fizz = self.drink.pours().filter(|(i, p)| {
                *i < at && p.carbonated && p.place == PourMethod::In && !self.shaken_fizz.contains(i)
            });
            let fizz: Vec<usize> = fizz.map(|(i, _)| i).collect();
            self.shaken_fizz.extend(fizz);
        }
        let without_ice = self.no_ice.of_work(technique);
        // Stirred in its glass on the ice it is served on: built, and mixed there.
        let technique = if technique == Technique::Stir && stays_in_the_glass(self.drink, at) {
            Technique::Build
        } else {
            technique
        };
        // Stirring what is hot chills nothing: the drink is none that is stirred on ice.
        if technique == Technique::Build || !without_ice {
            self.techniques.note(technique);
        }
        if !without_ice {
            self.on_ice |= technique.in_glass();
            // A built drink's melt depends on what comes on top of it: it is worked out at the end.
            if technique != Technique::Build {
                self.walk.work(self.drink, self.variation, at, work);
            }
        }
    }

    /// Every step is taken: what it came to.
    pub(super) fn end(mut self) -> Built {
        let over_ice = |s: &ResolvedStep| matches!(s, ResolvedStep::OverIce(_));
        // Hot tea that is strained over ice is served hot no more.
        self.hot &= !self.drink.steps.iter().any(over_ice);
        let built = self.techniques.built || (self.on_ice && !self.techniques.iced());
        self.fill_up();
        if built && !self.techniques.iced() && self.on_ice {
            let lengthened = self.is_lengthened();
            let filled_ml = self.filled.as_ref().map(|fill| fill.volume_ml);
            self.walk.built(self.drink, self.variation, lengthened, filled_ml);
        }
        // What never went to ice is its own mix.
        if self.walk.worked == Liquid::NOTHING {
            self.walk.worked = self.walk.before;
        }
        let (melt_model, given_half_width) = self.water_as_known();
        let structure = self.structure(built);
        Built {
            before: self.walk.before,
            worked: self.walk.worked,
            glass: self.walk.vessel,
            water_g: self.walk.water_g,
            melt_model,
            relation: self.walk.relation,
            balanced: self.walk.balanced,
            worked_at: self.walk.worked_at,
            given_half_width,
            off_melt: self.variation.off.melt,
            shifted_g: self.variation.shift.water_g,
            met_ice: self.walk.chillings > 0,
            structure,
            on_ice: self.on_ice,
            fill: self.filled,
            shaken_fizz: self.shaken_fizz,
            unshaken_foam: if self.techniques.shaken() || self.techniques.blended {
                Vec::new()
            } else {
                self.foams
            },
            chilled_twice: self.walk.chillings > 1,
        }
    }

    /// Size what fills the glass, where something does, and pour it.
    fn fill_up(&mut self) {
        let Some((at, pour, usual_ml)) = self.fill else {
            return;
        };
        let service = self.drink.glass.as_ref().and_then(|g| g.service);
        let served_on_ice = matches!(service, Some(Service::Ice | Service::Crushed));
        let iced = self.on_ice || served_on_ice && !self.neat && !self.hot;
        let volume_ml = self.walk.vessel.volume_ml();
        let sized = fill::room(self.drink, volume_ml, self.on_ice, iced, &self.variation.room);
        let fill = Fill {
            volume_ml: sized.map_or(self.variation.fill_ml.unwrap_or(usual_ml), |(ml, _)| ml),
            ice_share: sized.map(|(_, ice)| ice),
        };
        let liquid = self
            .variation
            .liquid(at, pour)
            .times(fill.volume_ml)
            .unwrap_or_default();
        self.filled = Some(fill);
        self.top = self.top.plus(&liquid);
        self.joins(&liquid);
    }

    fn is_lengthened(&self) -> bool {
        let volume = self.walk.vessel.volume_ml();
        volume > 0.0 && self.top.volume_ml() / volume >= TOPPED_SHARE
    }

    /// Where the water comes from, and how far it is off either way as a share of the mix; where it was weighed or is
    /// given, that stands in the place of what was worked out.
    fn water_as_known(&mut self) -> (MeltModel, f64) {
        let met_ice = self.walk.chillings > 0;
        if let Some(given) = self.drink.water {
            let off = self.variation.off.melt * GIVEN_SPREAD;
            let spread_g = melt::water_g(off * self.walk.worked.volume_ml());
            self.take_water(given_g(given, &self.walk.worked) + spread_g);
            let model = match given {
                WaterGiven::Weighed { .. } => MeltModel::Weighed,
                _ => MeltModel::Given,
            };
            return (model, GIVEN_SPREAD);
        }
        if let (Some(weighed), true) = (self.drink.own_melt.weighed, met_ice) {
            // What is uncertain of it is taken as the others are: anywhere in a half-width.
            let half_width = 3.0_f64.sqrt() * weighed.standard;
            let share = weighed.share_of_mass + self.variation.off.melt * half_width;
            let mass_g = self.walk.worked.mass_g();
            self.take_water(share * mass_g);
            let of_mix =
                melt::water_ml(half_width * mass_g) / self.walk.worked.volume_ml().max(f64::MIN_POSITIVE);
            return (MeltModel::Weighed, of_mix);
        }
        let model = match self.walk.balanced {
            _ if !met_ice => MeltModel::None,
            Some(balanced) if balanced.house => MeltModel::House,
            Some(_) => MeltModel::HeatBalance,
            None => MeltModel::Handbook,
        };
        (model, 0.0)
    }

    fn take_water(&mut self, grams: f64) {
        self.walk.water_g = (grams + self.variation.shift.water_g).max(0.0);
        self.walk.vessel = with_water(&self.walk.before, self.walk.water_g);
        self.walk.relation = None;
        self.walk.balanced = None;
    }

    fn structure(&self, built: bool) -> Option<Structure> {
        self.drink.structure.or_else(|| {
            self.techniques.structure(
                &self.walk,
                self.is_lengthened(),
                self.foamer_worked,
                built,
                self.neat,
                self.hot,
            )
        })
    }
}
