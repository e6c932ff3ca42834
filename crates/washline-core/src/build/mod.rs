//! The walk through the steps: pour, work, strain, top, float, to what is in the glass.
//!
//! Order matters. What is in the tin when it is shaken is diluted; what is topped, floated or dashed
//! on afterwards is not.

mod chill;
mod over_time;
mod techniques;

pub(crate) use chill::temperature;
pub use chill::worked_on;
pub use over_time::{Moment, OverTime, over_time};
use techniques::Techniques;

use crate::liquid::Liquid;
use crate::melt::{self, MeltModel, Relation};
use crate::resolve::{Input, Resolved, ResolvedPour, ResolvedStep, ResolvedWork};
use crate::spec::{Assumption, Place, Technique, WaterGiven};
use crate::tables::{BUILT_SHORT_ML, Service, Structure, TOPPED_SHARE};

/// What a build came to.
#[derive(Clone, Debug)]
pub struct Built {
    /// Everything poured, before any ice.
    pub before: Liquid,
    /// What went to the ice: the mix that water gained is a share of.
    pub worked: Liquid,
    /// What is there to drink.
    pub glass: Liquid,
    /// Water gained, g.
    pub water_g: f64,
    /// Where the water comes from.
    pub melt_model: MeltModel,
    /// The relation used, where a model gave the water by one.
    pub relation: Option<(Technique, Relation)>,
    /// Where the heat balance answered in its place: the handbook's curve, and how cold the balance leaves the mix.
    pub balanced: Option<Balanced>,
    /// The place of the step that gave the water, where it is one.
    pub worked_at: Option<usize>,
    /// What sort of drink it is; `None` where the method is missing.
    pub structure: Option<Structure>,
    /// Whether it is served on ice.
    pub on_ice: bool,
    /// The pour that filled the glass, where one did.
    pub fill: Option<Fill>,
    /// Carbonated things that were in a shaken or blended tin: places among the steps.
    pub shaken_fizz: Vec<usize>,
    /// Egg or a foamer in a drink that is not shaken or blended: places among the steps.
    pub unshaken_foam: Vec<usize>,
    /// Worked on ice more than once: the deeper melt counts, not the sum.
    pub chilled_twice: bool,
}

/// An answer of the heat balance, where the handbook's curve does not hold: outside the strengths it was fitted on, or
/// with other ice, other temperatures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balanced {
    /// What the curve would say.
    pub curve: Relation,
    /// Water gained over the volume before ice, by energy.
    pub share: f64,
    /// Half-width of that, taken as the others are: anywhere in it is as likely.
    pub half_width: f64,
    /// Temperature of the mix after the work, °C.
    pub temperature_c: f64,
    /// 95 % half-width of that, °C.
    pub half_width_c: f64,
    /// Whether the spec or the book states its ice or temperatures, so that the curve's own do not hold.
    pub stated: bool,
    /// Whether the rates are the house's own fit.
    pub house: bool,
}

/// A pour that filled the glass to its washline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// What it came to, mL.
    pub volume_ml: f64,
    /// Share of the glass that ice was taken to fill; `None` where the glass is not known and the volume is a
    /// usual one.
    pub ice_share: Option<f64>,
}

impl Built {
    /// What a pour of the drink brought: the liquid, its volume at 20 °C in mL, and its mass in g. One that fills the
    /// glass brought what the glass left room for.
    #[must_use]
    pub fn brought(&self, pour: &ResolvedPour) -> (Liquid, f64, f64) {
        if !pour.fills {
            return (pour.liquid, pour.volume_ml, pour.mass_g);
        }
        let volume_ml = self.fill.map_or(pour.volume_ml, |fill| fill.volume_ml);
        let liquid = pour.liquid.times(volume_ml).unwrap_or_default();
        (liquid, volume_ml, liquid.mass_g())
    }

    /// What the water gained depends on besides the pours, where ice or the writer gives it.
    #[must_use]
    pub fn melt_input(&self) -> Option<Input> {
        match (self.melt_model, &self.relation) {
            (MeltModel::Given | MeltModel::Weighed, _) => Some(Input::WaterGiven),
            (_, Some((technique, _))) => Some(Input::Melt(*technique)),
            _ => None,
        }
    }

    /// How much a pour that fills the glass was taken to be, and how much ice was taken to be there.
    #[must_use]
    pub fn assumption(&self, drink: &Resolved) -> Option<Assumption> {
        let fill = self.fill?;
        let name = drink.steps.iter().find_map(|s| match s {
            ResolvedStep::Pour(p) if p.fills => Some(p.ingredient.as_str()),
            _ => None,
        })?;
        let volume = fill.volume_ml;
        let taken = match (fill.ice_share, &drink.glass) {
            (Some(0.0), Some(glass)) => {
                format!(
                    "{volume:.0} ml: the {} of {:.0} ml to {:.0} %",
                    glass.name,
                    glass.capacity_ml,
                    100.0 * WASHLINE_SHARE
                )
            }
            (Some(ice), Some(glass)) => format!(
                "{volume:.0} ml: the {} of {:.0} ml to {:.0} %, {:.0} % of that ice (common practice, no source)",
                glass.name,
                glass.capacity_ml,
                100.0 * WASHLINE_SHARE,
                100.0 * ice
            ),
            _ => format!("{volume:.0} ml (between 30 and 120 ml), the glass not being known"),
        };
        Some(Assumption::new(
            format!("a top of {name}"),
            taken,
            "write its volume",
        ))
    }
}

/// How much of a glass's brimful volume a drink fills to its washline, without ice.
/// Common practice, no source: 10 to 15 % is left free.
pub const WASHLINE_SHARE: f64 = 0.88;
/// How much of a glass's volume packed ice takes: random packing of cubes 0.50 to 0.60, from memory.
pub const ICE_PACKING: f64 = 0.55;
/// The least ice that makes an iced drink, as a share of the glass: common practice, no source.
pub const LEAST_ICE: f64 = 0.25;

/// A top smaller than this is none: common practice, no source.
const LEAST_TOP_ML: f64 = 30.0;

/// How far the water that a spec gives is off from one shake to the next, as a share of the mix either way:
/// from memory.
const GIVEN_SPREAD: f64 = 0.03;

/// What is other than computed, to see what it does.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Variation<'a> {
    /// What each step brings in place of its liquid; none for as computed.
    pub liquids: &'a [Liquid],
    /// What fills a glass that is not known, mL.
    pub fill_ml: Option<f64>,
    /// How far the melt is from its figure, in half-widths of what is usually seen.
    pub melt: f64,
    /// A build near by, whose law of melting is kept: the handbook's curve, or what the heat balance said of it.
    pub near: Option<&'a Built>,
}

impl Variation<'_> {
    fn liquid(&self, at: usize, pour: &ResolvedPour) -> Liquid {
        self.liquids.get(at).copied().unwrap_or(pour.liquid)
    }
}

/// Where the liquid is while the steps are walked.
#[derive(Clone, Copy, Default)]
struct Walk {
    /// How far the melt is from its figure, in half-widths.
    melt: f64,
    vessel: Liquid,
    before: Liquid,
    worked: Liquid,
    water_g: f64,
    relation: Option<(Technique, Relation)>,
    balanced: Option<Balanced>,
    worked_at: Option<usize>,
    chillings: u32,
}

/// Walk through a resolved drink.
#[must_use]
pub fn build(drink: &Resolved) -> Built {
    build_varied(drink, &Variation::default())
}

/// The same as [`build_near`], where the melt is `half_widths` of what is usually seen off its figure: −1 the least
/// that is usual, 1 the most.
#[must_use]
pub fn build_melting(drink: &Resolved, known: &Built, half_widths: f64) -> Built {
    let variation = Variation {
        melt: half_widths,
        near: Some(known),
        ..Variation::default()
    };
    build_varied(drink, &variation)
}

/// The same for a drink near one that was built before: where the heat balance answered for that one, its distance
/// from the handbook's curve is kept, so that a search need not run it anew for every trial.
#[must_use]
pub fn build_near(drink: &Resolved, known: &Built) -> Built {
    let variation = Variation {
        near: Some(known),
        ..Variation::default()
    };
    build_varied(drink, &variation)
}

/// Walk through a resolved drink of which something is other than computed.
pub(crate) fn build_varied(drink: &Resolved, variation: &Variation<'_>) -> Built {
    let mut walk = Walk {
        melt: variation.melt,
        ..Walk::default()
    };
    let mut techniques = Techniques::default();
    let mut on_ice = false;
    let mut neat = false;
    let mut hot = false;
    let mut filled = None;
    let mut top = Liquid::NOTHING;
    let mut foamer_worked = false;
    let mut shaken_fizz = Vec::new();
    let mut foams = Vec::new();
    // Solids wait in the vessel until something presses them.
    let mut unpressed: Vec<Liquid> = Vec::new();
    // A top that fills the glass is sized after everything else.
    let mut fill: Option<(usize, &ResolvedPour)> = None;

    // Egg white counts when anything shakes it: a reverse dry shake adds it after the ice.
    let shakes = |s: &ResolvedStep| {
        matches!(
            s,
            ResolvedStep::Work(ResolvedWork {
                technique: Technique::Shake | Technique::WhipShake | Technique::DryShake,
                ..
            })
        )
    };
    let last_shake = drink.steps.iter().rposition(shakes);
    let last_work = drink
        .steps
        .iter()
        .rposition(|s| matches!(s, ResolvedStep::Work(..)));

    for (at, step) in drink.steps.iter().enumerate() {
        match step {
            ResolvedStep::Pour(pour) => {
                hot |= pour.hot;
                if pour.fills {
                    fill = Some((at, pour));
                    continue;
                }
                if pour.egg || pour.foamer {
                    foams.push(at);
                }
                let liquid = variation.liquid(at, pour);
                if pour.needs_pressing {
                    unpressed.push(liquid);
                    continue;
                }
                // What joins after the last of the work lengthens, whether the line says "top" or not.
                if pour.place == Place::Top || last_work.is_some_and(|work| at > work) && techniques.iced() {
                    top = top.plus(&liquid);
                }
                walk.vessel = walk.vessel.plus(&liquid);
                walk.before = walk.before.plus(&liquid);
                foamer_worked |= pour.foamer && last_shake.is_some_and(|shake| at < shake);
            }
            ResolvedStep::Work(work) => {
                let technique = work.technique;
                if matches!(
                    technique,
                    Technique::Muddle
                        | Technique::Shake
                        | Technique::WhipShake
                        | Technique::Blend
                        | Technique::DryShake
                ) {
                    for solid in unpressed.drain(..) {
                        walk.vessel = walk.vessel.plus(&solid);
                        walk.before = walk.before.plus(&solid);
                    }
                }
                if matches!(
                    technique,
                    Technique::Shake | Technique::WhipShake | Technique::Blend | Technique::DryShake
                ) {
                    let fizz = drink.steps[..at].iter().enumerate().filter_map(|(i, s)| match s {
                        ResolvedStep::Pour(p) if p.carbonated && p.place == Place::In => Some(i),
                        _ => None,
                    });
                    for i in fizz {
                        if !shaken_fizz.contains(&i) {
                            shaken_fizz.push(i);
                        }
                    }
                }
                techniques.note(technique);
                on_ice |= matches!(technique, Technique::Build | Technique::Swizzle);
                // A built drink's melt depends on what comes on top of it: it is worked out at the end.
                if technique != Technique::Build {
                    walk.work(drink, variation, at, work, foamer_worked);
                }
            }
            ResolvedStep::OverIce(_) => on_ice = true,
            ResolvedStep::Neat => neat = true,
            ResolvedStep::Strain | ResolvedStep::Unstrained | ResolvedStep::Other => {}
        }
    }

    let built = techniques.built || (on_ice && !techniques.iced());
    if let Some((at, pour)) = fill {
        let iced = on_ice
            || matches!(
                drink.glass.as_ref().and_then(|g| g.service),
                Some(Service::Ice | Service::Crushed)
            ) && !neat
                && !hot;
        let poured = walk.vessel.volume_ml();
        let sized = drink.glass.as_ref().map(|glass| {
            let fitting = |brimful: f64| {
                let spare = |ice: f64| (brimful * WASHLINE_SHARE * (1.0 - ice) - poured).max(0.0);
                // A glass packed with ice that leaves no room for the top would be given less ice.
                match iced {
                    false => (spare(0.0), 0.0),
                    true if spare(ICE_PACKING) >= LEAST_TOP_ML => (spare(ICE_PACKING), ICE_PACKING),
                    true if on_ice || spare(LEAST_ICE) >= LEAST_TOP_ML => {
                        (spare(LEAST_ICE).min(LEAST_TOP_ML), LEAST_ICE)
                    }
                    // Nobody said ice, and there is no room for it.
                    true => (spare(0.0), 0.0),
                }
            };
            let usual = fitting(glass.capacity_ml);
            match glass.assumed_ml {
                // A size that is only assumed is the largest usual one before it is too small.
                Some((_, largest)) if usual.0 < LEAST_TOP_ML => fitting(largest),
                _ => usual,
            }
        });
        let fill = Fill {
            volume_ml: sized.map_or(variation.fill_ml.unwrap_or(pour.volume_ml), |(ml, _)| ml),
            ice_share: sized.map(|(_, ice)| ice),
        };
        let liquid = variation
            .liquid(at, pour)
            .times(fill.volume_ml)
            .unwrap_or_default();
        filled = Some(fill);
        top = top.plus(&liquid);
        walk.vessel = walk.vessel.plus(&liquid);
        walk.before = walk.before.plus(&liquid);
    }
    let lengthened = |vessel: &Liquid| {
        let volume = vessel.volume_ml();
        volume > 0.0 && top.volume_ml() / volume >= TOPPED_SHARE
    };
    if built && !techniques.iced() {
        walk.built(drink, variation, lengthened(&walk.vessel));
    }
    // What never went to ice is its own mix.
    if walk.worked == Liquid::NOTHING {
        walk.worked = walk.before;
    }
    let mut melt_model = match walk.balanced {
        _ if walk.water_g <= 0.0 => MeltModel::None,
        Some(balanced) if balanced.house => MeltModel::House,
        Some(_) => MeltModel::HeatBalance,
        None => MeltModel::Handbook,
    };
    if let (None, Some(weighed), true) = (drink.water, drink.own_melt.weighed, walk.water_g > 0.0) {
        // What is uncertain of it is taken as the others are: anywhere in a half-width.
        let share = weighed.share_of_mass + variation.melt * 3.0_f64.sqrt() * weighed.standard;
        walk.water_g = (share * walk.worked.mass_g()).max(0.0);
        walk.vessel = walk
            .before
            .plus(&Liquid::water_g(walk.water_g).unwrap_or_default());
        walk.relation = None;
        walk.balanced = None;
        melt_model = MeltModel::Weighed;
    }
    if let Some(given) = drink.water {
        let spread = melt::water_g(variation.melt * GIVEN_SPREAD * walk.worked.volume_ml());
        let grams = (given_g(given, &walk.worked) + spread).max(0.0);
        walk.vessel = walk.before.plus(&Liquid::water_g(grams).unwrap_or_default());
        walk.water_g = grams;
        walk.relation = None;
        walk.balanced = None;
        melt_model = match given {
            WaterGiven::Weighed { .. } => MeltModel::Weighed,
            _ => MeltModel::Given,
        };
    }
    let structure = drink
        .structure
        .or_else(|| techniques.structure(&walk, lengthened(&walk.vessel), foamer_worked, built, neat, hot));
    Built {
        before: walk.before,
        worked: walk.worked,
        glass: walk.vessel,
        water_g: walk.water_g,
        melt_model,
        relation: walk.relation,
        balanced: walk.balanced,
        worked_at: walk.worked_at,
        structure,
        on_ice,
        fill: filled,
        shaken_fizz,
        unshaken_foam: if techniques.shaken() || techniques.blended {
            Vec::new()
        } else {
            foams
        },
        chilled_twice: walk.chillings > 1,
    }
}

/// Strength outside the range of a fit at which it is taken to be twice as far off, % vol.
const TWICE_AS_FAR_PCT: f64 = 15.0;

/// How far a relation is off for a mix, either way, as a share of its volume: the further outside the range it
/// was fitted on the more, up to twice as far.
fn reach(relation: &Relation, mix: &Liquid) -> f64 {
    let outside = relation.fitted_pct.map_or(0.0, |(from, to)| {
        let strength = mix.abv_pct().unwrap_or(0.0);
        (from - strength).max(strength - to).max(0.0) / TWICE_AS_FAR_PCT
    });
    relation.half_width * (1.0 + outside.min(1.0))
}

/// Water, g, that the writer gives.
fn given_g(given: WaterGiven, mix: &Liquid) -> f64 {
    match given {
        WaterGiven::Volume(ml) => melt::water_g(ml.to_f64()),
        WaterGiven::OfMix(pct) => melt::water_g(pct.to_f64() / 100.0 * mix.volume_ml()),
        // As the trade reckons it: a share s of the finish is s/(1−s) added to the mix, the small shrinkage
        // left out. Of the volume that is really there it is then a few tenths of a percent more.
        WaterGiven::OfFinished(pct) => {
            let share = pct.to_f64() / 100.0;
            melt::water_g(share / (1.0 - share) * mix.volume_ml())
        }
        WaterGiven::Weighed { before_g, after_g } => {
            // What was weighed may be another batch: the share counts.
            let (before, after) = (before_g.to_f64(), after_g.to_f64());
            (after - before) / before * mix.mass_g()
        }
    }
}

impl Walk {
    /// The share that a relation gives, as far off as the melt is taken to be.
    fn share(&self, relation: &Relation, mix: &Liquid) -> f64 {
        (relation.share + self.melt * reach(relation, mix)).max(0.0)
    }

    /// Work on ice: the water it gains, counted to what this technique brings it to in all. A mix
    /// worked twice has the deeper of the two melts and not their sum: it is cold already.
    fn work(
        &mut self,
        drink: &Resolved,
        variation: &Variation<'_>,
        at: usize,
        work: &ResolvedWork,
        foamer: bool,
    ) {
        let dry = self.before;
        if dry == Liquid::NOTHING {
            return;
        }
        let technique = work.technique;
        let Some(curve) = melt::handbook(technique, &dry, foamer) else {
            return;
        };
        let whole = work
            .ice_g
            .filter(|_| matches!(technique, Technique::Blend | Technique::WhipShake));
        let balanced = match (whole, variation.near) {
            (Some(_), _) => None,
            (None, Some(known)) => known.balanced,
            (None, None) => chill::balance(drink, variation, at, work, &dry, (&curve, foamer)),
        };
        let relation = balanced.map_or(curve, |balanced| balanced.relation(&curve));
        let target = match whole {
            // Measured ice that is blended or whipped in melts whole.
            Some(grams) => self.water_g + grams,
            None => melt::water_g(self.share(&relation, &dry) * dry.volume_ml()),
        };
        self.chillings += 1;
        self.worked = dry;
        if target > self.water_g {
            self.water_g = target;
            self.relation = whole.is_none().then_some((technique, relation));
            self.balanced = balanced;
            self.worked_at = Some(at);
        }
        self.vessel = dry.plus(&Liquid::water_g(self.water_g).unwrap_or_default());
    }

    /// A drink built on ice: short ones by the handbook's constant, long ones by the share of their
    /// alcoholic pours, since a lengthener comes cold.
    fn built(&mut self, drink: &Resolved, variation: &Variation<'_>, lengthened: bool) {
        let short = melt::handbook(Technique::Build, &self.before, false).unwrap_or_else(melt::built_long);
        let volume = self.before.volume_ml();
        let (relation, base) = if !lengthened && volume * (1.0 + short.share) < BUILT_SHORT_ML {
            (short, self.before)
        } else {
            let spirits =
                drink
                    .steps
                    .iter()
                    .enumerate()
                    .fold(Liquid::NOTHING, |sum, (at, step)| match step {
                        ResolvedStep::Pour(p) if !p.fills && !p.carbonated && p.liquid.ethanol_g() > 0.0 => {
                            sum.plus(&variation.liquid(at, p))
                        }
                        _ => sum,
                    });
            (melt::built_long(), spirits)
        };
        self.water_g = melt::water_g(self.share(&relation, &base) * base.volume_ml());
        self.worked = self.before;
        self.relation = Some((Technique::Build, relation));
        self.chillings = 1;
        self.vessel = self
            .before
            .plus(&Liquid::water_g(self.water_g).unwrap_or_default());
    }
}
