//! The walk through the steps: pour, work, strain, top, float, to what is in the glass.
//!
//! Order matters. What is in the tin when it is shaken is diluted; what is topped, floated or dashed
//! on afterwards is not.

mod chill;
mod fill;
mod ice;
mod over_time;
mod steps;
mod techniques;

pub(crate) use chill::temperature_varied;
pub use chill::{
    Balanced, MeltDoubt, Melted, Off, Shift, ice_needed_g, melt_doubts, melted, temperature, worked_on,
};
pub use fill::{Fill, LEAST_ICE, PACKING_HALF_WIDTH, Room, WASHLINE_SHARE, fill_doubts};
pub use ice::{FINE_PACKING, ICE_G_PER_ML, packing};
pub use over_time::{HeatAccount, Moment, OverTime, over_time};
use steps::Steps;
use techniques::Techniques;

use crate::liquid::Liquid;
use crate::melt::{self, MeltModel, Relation};
use crate::resolve::{Brought, Input, Resolved, ResolvedPour, ResolvedStep, ResolvedWork};
use crate::spec::{Technique, WaterGiven};
use crate::tables::{BUILT_SHORT_ML, Service, Structure};

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
    /// Half-width of the water that the writer or a scale gives, as a share of the mix; 0 where neither does.
    pub given_half_width: f64,
    /// How far off the melt was taken to be, in half-widths.
    pub(crate) off_melt: f64,
    /// Water that a variation put on top of what is computed, g.
    pub(crate) shifted_g: f64,
    /// Whether it met ice at all.
    pub met_ice: bool,
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

impl Built {
    /// What a pour of the drink brought. One that fills the glass brought what the glass left room for.
    #[must_use]
    pub fn brought(&self, pour: &ResolvedPour) -> Brought {
        pour.portion.of(self.fill.map(|fill| fill.volume_ml))
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

    /// How far the water gained is off, as a share of the mix either way: anywhere in it is as likely.
    pub(crate) fn half_width(&self) -> f64 {
        match &self.relation {
            Some((_, relation)) => reach(relation, &self.worked),
            None => self.given_half_width,
        }
    }

    /// That half-width over what the curve itself has there: what the balance carries elsewhere is less sure.
    #[must_use]
    pub fn carried(&self) -> f64 {
        match &self.balanced {
            Some(balanced) => {
                let curve = reach(&balanced.curve, &self.worked);
                if curve > 0.0 {
                    balanced.half_width / curve
                } else {
                    1.0
                }
            }
            None => 1.0,
        }
    }
}

/// How much of a glass's volume ice takes that is filled up with it. Cubes poured loose are 0.50 to 0.60 far from walls
/// (random packing, from memory); in a glass two or three of them wide they leave more: a glass of 355 ml takes 90 to
/// 150 ml of a mixer on 60 ml of spirit (common practice, no source), which is 0.33 to 0.52.
pub const ICE_PACKING: f64 = 0.43;

/// How far the water that a spec gives is off from one shake to the next, as a share of the mix either way:
/// from memory.
const GIVEN_SPREAD: f64 = 0.03;

/// What is other than computed, to see what it does.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Variation<'a> {
    /// What each step brings in place of its liquid; none for as computed.
    pub liquids: &'a [Liquid],
    /// What fills a glass that is not known, ml.
    pub fill_ml: Option<f64>,
    /// What is off of the melt's own unknowns: the balance is worked out anew under it.
    pub off: Off,
    /// How far the melt is from what is computed.
    pub shift: Shift,
    /// How far the ice and the size of the glass are from what is taken, in half-widths.
    pub room: Room,
    /// A build near by, whose law of melting is kept: the handbook's curve, or what the heat balance said of it.
    pub near: Option<&'a Built>,
}

impl Variation<'_> {
    fn liquid(&self, at: usize, pour: &ResolvedPour) -> Liquid {
        self.liquids.get(at).copied().unwrap_or_else(|| pour.some())
    }
}

/// Where the liquid is while the steps are walked.
#[derive(Clone, Copy, Default)]
struct Walk {
    /// How far the melt is from what the curve says, in half-widths.
    melt: f64,
    shift_g: f64,
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

/// The same as [`build_near`], where the melt and the room in the glass are so far from what is computed.
#[must_use]
pub fn build_shifted(drink: &Resolved, known: &Built, shift: Shift, room: Room) -> Built {
    let variation = Variation {
        shift,
        room,
        near: Some(known),
        ..Variation::default()
    };
    build_varied(drink, &variation)
}

/// The same as [`build`], where the melt's unknowns are off: all is worked out anew.
#[must_use]
pub fn build_off(drink: &Resolved, off: Off, room: Room) -> Built {
    let variation = Variation {
        off,
        room,
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
    let mut steps = Steps::of(drink, variation);
    for (at, step) in drink.steps.iter().enumerate() {
        steps.take(at, step);
    }
    steps.end()
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

/// A liquid with so much more water; where water froze out of it, with less.
pub(crate) fn with_water(liquid: &Liquid, grams: f64) -> Liquid {
    let water = Liquid::water_g(grams.abs()).unwrap_or_default();
    if grams < 0.0 {
        liquid.moved(&Liquid::NOTHING, &water, -1.0)
    } else {
        liquid.plus(&water)
    }
}

/// Whether a stir is done in the glass that the drink is served in: nothing is strained after it, and before it the drink
/// was built there, or ice or something that fizzes went in.
fn stays_in_the_glass(drink: &Resolved, at: usize) -> bool {
    let strained = drink.steps[at..]
        .iter()
        .any(|s| matches!(s, ResolvedStep::Strain { .. } | ResolvedStep::OverIce(_)));
    !strained
        && drink.steps[..at].iter().any(|s| match s {
            ResolvedStep::OverIce(_) => true,
            ResolvedStep::Work(work) => work.technique == Technique::Build,
            ResolvedStep::Pour(pour) => pour.carbonated,
            _ => false,
        })
        && !drink.steps[..at]
            .iter()
            .any(|s| matches!(s, ResolvedStep::Strain { .. }))
}

/// Temperature of a mix from which on it is served hot, °C: what is brewed or heated is 80, and a spirit in it brings
/// that down. Common practice, no source.
const HOT_MIX_C: f64 = 45.0;

/// Where no ice is: a drink that is hot, poured neat, or built in a glass that has none, unless a line says ice.
struct WithoutIce {
    hot: bool,
    neat: bool,
    up: bool,
    says_ice: bool,
}

impl WithoutIce {
    fn of(drink: &Resolved) -> WithoutIce {
        let says_ice = drink.steps.iter().any(|step| match step {
            ResolvedStep::OverIce(_) | ResolvedStep::Ice(_) => true,
            ResolvedStep::Work(work) => work.ice.is_some(),
            _ => false,
        });
        let mix_c = chill::mix_c(drink, &Variation::default(), drink.steps.len(), None);
        WithoutIce {
            // What fills the glass is sized at the end: where that is hot, so is the drink.
            hot: drink.structure == Some(Structure::Hot)
                || mix_c >= HOT_MIX_C
                || drink.pours().any(|(_, pour)| pour.fills() && pour.hot),
            neat: drink.steps.iter().any(|s| matches!(s, ResolvedStep::Neat)),
            up: matches!(
                drink.glass.as_ref().and_then(|g| g.service),
                Some(Service::Up | Service::Sparkling | Service::Hot | Service::Neat)
            ),
            says_ice,
        }
    }

    /// Whether that work is done without ice here.
    fn of_work(&self, technique: Technique) -> bool {
        let in_glass = technique.in_glass();
        match technique {
            Technique::Shake | Technique::WhipShake | Technique::Blend => false,
            _ if self.says_ice => false,
            _ => self.hot || in_glass && (self.neat || self.up),
        }
    }
}

impl Walk {
    /// Work on ice: the water it gains, counted to what this technique brings it to in all. A mix
    /// worked twice has the deeper of the two melts and not their sum: it is cold already.
    fn work(&mut self, drink: &Resolved, variation: &Variation<'_>, at: usize, work: &ResolvedWork) {
        let dry = self.before;
        if dry == Liquid::NOTHING {
            return;
        }
        let technique = work.technique;
        let Some(curve) = melt::handbook(technique, &dry) else {
            return;
        };
        let measured = work.ice.as_ref().and_then(|ice| ice.mass_g);
        let whole = measured
            .map(crate::measure::Amount::to_f64)
            .filter(|_| matches!(technique, Technique::Blend | Technique::WhipShake));
        let balanced = match (whole, variation.near) {
            (Some(_), _) => None,
            (None, Some(known)) => known.balanced,
            (None, None) => chill::balance(drink, variation, at, work, (&dry, None), &curve),
        };
        let relation = balanced.map_or(curve, |balanced| balanced.relation(&curve));
        let target = match whole {
            // Measured ice that is blended or whipped in melts whole.
            Some(grams) => self.water_g + grams,
            None => self.gained(&relation, balanced.as_ref(), &dry),
        };
        self.chillings += 1;
        self.worked = dry;
        if self.chillings == 1 || target > self.water_g {
            self.water_g = target;
            self.relation = whole.is_none().then_some((technique, relation));
            self.balanced = balanced;
            self.worked_at = Some(at);
        }
        self.vessel = with_water(&dry, self.water_g);
    }

    /// Water that `mix` gains by a relation, g. Never more than there was ice; where more freezes on than melts, less than
    /// none, but never the drink's last water.
    fn gained(&self, relation: &Relation, balanced: Option<&Balanced>, mix: &Liquid) -> f64 {
        let off = match balanced {
            // The balance was worked out as far off.
            Some(_) => 0.0,
            None => self.melt * reach(relation, mix),
        };
        let water_g = melt::water_g((relation.share + off) * mix.volume_ml()) + self.shift_g;
        let least = balanced.map_or(0.0, |_| -0.9 * mix.grams(crate::liquid::Component::Water));
        water_g
            .max(least)
            .min(balanced.map_or(f64::MAX, Balanced::most_g))
    }

    /// A drink built on ice: short ones by the handbook's constant, long ones by the share of their
    /// alcoholic pours, since a lengthener comes cold.
    fn built(&mut self, drink: &Resolved, variation: &Variation<'_>, lengthened: bool, fill_ml: Option<f64>) {
        let mix = self.before;
        let short = melt::handbook(Technique::Build, &mix).unwrap_or_else(melt::built_long);
        let volume = mix.volume_ml();
        let curve = if !lengthened && volume * (1.0 + short.share) < BUILT_SHORT_ML {
            short
        } else {
            let spirits =
                drink
                    .steps
                    .iter()
                    .enumerate()
                    .fold(Liquid::NOTHING, |sum, (at, step)| match step {
                        ResolvedStep::Pour(p)
                            if !p.fills() && !p.carbonated && p.some().ethanol_g() > 0.0 =>
                        {
                            sum.plus(&variation.liquid(at, p))
                        }
                        _ => sum,
                    });
            let long = melt::built_long();
            // A share of the spirits, as one of the whole.
            let part = if volume > 0.0 {
                spirits.volume_ml() / volume
            } else {
                0.0
            };
            Relation {
                share: part * long.share,
                half_width: part * long.half_width,
                ..long
            }
        };
        let at = drink
            .steps
            .iter()
            .position(|s| matches!(s, ResolvedStep::Work(work) if work.technique == Technique::Build));
        let work = match at.map(|at| &drink.steps[at]) {
            Some(ResolvedStep::Work(work)) => work.clone(),
            _ => ResolvedWork::plain(Technique::Build),
        };
        let balanced = match variation.near {
            Some(known) => known.balanced,
            None => chill::balance(
                drink,
                variation,
                drink.steps.len(),
                &work,
                (&mix, fill_ml),
                &curve,
            ),
        };
        let relation = balanced.map_or(curve, |balanced| balanced.relation(&curve));
        self.water_g = self.gained(&relation, balanced.as_ref(), &mix);
        self.worked = mix;
        self.relation = Some((Technique::Build, relation));
        self.balanced = balanced;
        self.chillings = 1;
        self.vessel = with_water(&mix, self.water_g);
    }
}
