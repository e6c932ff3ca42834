//! What a drink meets when it is worked on ice, and the one state that it comes to: water gained and temperature
//! together, by conservation of energy.
//!
//! The handbook's curves say what a mix of their volumes gains on their ice. They tell how the work goes there (for
//! how long, on how wet an ice: [`heat::hand`]), and the balance carries the same work to the ice, volume and
//! temperatures that this drink meets. Under the curve's own conditions the two are the same.

use super::{Built, Variation, ice};
use crate::ingredient::{Form, NORMAL_95};
use crate::liquid::{Family, Liquid, thermal};
use crate::melt::heat::{
    self, Conditions, FILM_HALF_WIDTH_UM, Hand, Method, Point, ROOM_C, Told, VESSEL_HALF_WIDTH,
};
use crate::melt::{self, MeltModel, Relation};
use crate::resolve::{Input, Portion, Resolved, ResolvedStep, ResolvedWork};
use crate::spec::Technique;

/// What is not known of a melt, each in half-widths of what is usual: −1 the least, 1 the most.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Off {
    /// How far the melt is from what the curve says.
    pub melt: f64,
    /// How wet the ice is; what the curve says of the water stays.
    pub wet: f64,
    /// How much heat the vessel brings; what the curve says of the water stays.
    pub vessel: f64,
}

impl Off {
    /// Ice and vessel as they are then.
    fn of(&self, mut conditions: Conditions, wet_is_said: bool) -> Conditions {
        if !wet_is_said && conditions.ice.film_um > 0.0 {
            let film = conditions.ice.film_um + self.wet * FILM_HALF_WIDTH_UM;
            conditions.ice.film_um = film.max(0.0);
        }
        conditions.vessel.grams *= (1.0 + self.vessel * VESSEL_HALF_WIDTH).max(0.0);
        conditions
    }
}

/// A drink off its ice: what it met, for how long, and where that left it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Melted {
    /// Drink, ice, vessel and room as they met.
    pub conditions: Conditions,
    /// For how long, in the balance's own time, s.
    pub seconds: f64,
    /// Where it stands then.
    pub point: Point,
    /// Whether all the ice ends in the drink, melted or not.
    pub whole: bool,
}

/// An answer of the balance where the handbook's curve by itself does not hold: outside the strengths and volumes it was
/// fitted on, or with other ice, other temperatures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balanced {
    /// What the curve would say.
    pub curve: Relation,
    /// Water gained over the volume before ice, by energy; below 0 where water froze on to the ice.
    pub share: f64,
    /// Half-width of that, taken as the others are: anywhere in it is as likely.
    pub half_width: f64,
    /// Whether the spec or the book states its ice or temperatures, so that the curve's own do not hold.
    pub stated: bool,
    /// Whether the rates are the house's own fit.
    pub house: bool,
    /// The state that the share belongs to; `None` where a law is held to for slopes only.
    pub melted: Option<Melted>,
}

impl Balanced {
    /// The balance's answer in the place of `curve`, for the mix it was made for or one near it.
    pub(super) fn relation(&self, curve: &Relation) -> Relation {
        Relation {
            share: curve.share + self.share - self.curve.share,
            half_width: self.half_width,
            fitted_pct: None,
            fitted_ml: None,
            in_range: true,
            source: "conservation of energy, calibrated by the handbook's curve",
        }
    }

    /// The most water there is to gain, g: all the ice with what clings to it.
    pub(super) fn most_g(&self) -> f64 {
        self.melted.map_or(f64::MAX, |melted| {
            melted.conditions.ice.grams + melted.conditions.pooled_water_g
        })
    }
}

/// What a drink meets in one step of work.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Met {
    pub method: Method,
    pub conditions: Conditions,
    /// How long, s.
    pub seconds: f64,
    /// Whether anything of it is other than in the handbook's trials.
    pub stated: bool,
    /// Whether the book says how wet its ice is.
    wet_is_said: bool,
}

impl Met {
    /// What `work` on a mix of `mix_c` °C meets; `None` of work without ice.
    pub(crate) fn of(drink: &Resolved, work: &ResolvedWork, at: usize, mix_c: f64) -> Option<Met> {
        let method = Method::of(work.technique)?;
        let cold = &drink.cold;
        let usual = Conditions::usual(work.technique);
        let mut conditions = usual;
        conditions.ice = if work.technique.in_glass() {
            match ice::served_on(drink) {
                None => usual.ice,
                Some(_) => ice::in_the_glass(drink).0,
            }
        } else {
            ice::in_the_tin(drink, at, work, usual.ice)
        };
        let sized =
            conditions.ice.piece_mm.to_bits() != usual.ice.piece_mm.to_bits() || cold.ice_mm.is_some();
        conditions.room_c = cold.room_c.unwrap_or(conditions.room_c);
        let vessel_c = if work.technique.in_glass() {
            drink.glass.as_ref().and_then(|glass| glass.said_c)
        } else {
            work.tin_c.or(cold.tin_c)
        };
        conditions.vessel.temperature_c = vessel_c.unwrap_or(conditions.room_c);
        conditions.drink_c = mix_c + conditions.room_c - ROOM_C;
        // Half a minute on large cubes is a quarter on the handbook's small ones: a time says something only of ice
        // whose size is known.
        let seconds = work.seconds.filter(|_| sized).unwrap_or(method.seconds);
        Some(Met {
            method,
            conditions,
            seconds,
            stated: conditions != usual || seconds.to_bits() != method.seconds.to_bits(),
            wet_is_said: cold.wet_pct.is_some(),
        })
    }

    /// Where `mix` ends that is worked so by this hand.
    fn melted(&self, mix: &Liquid, hand: Hand, off: &Off) -> Option<Melted> {
        let mut conditions = off.of(self.conditions, true);
        // Only wet ice is as wet as in the trials; what the book says of it stands.
        if !self.wet_is_said && conditions.ice.film_um > 0.0 {
            conditions.ice.film_um = hand.film_um;
        }
        let seconds = hand.seconds * self.seconds / self.method.seconds;
        let point = heat::reached(mix, &self.method, &conditions, seconds).ok()?;
        Some(Melted {
            conditions,
            seconds,
            point,
            whole: false,
        })
    }
}

/// Which of the two a technique's melt tells: shaking ends near rest.
fn told(technique: Technique) -> Told {
    match technique {
        Technique::Shake => Told::Wetness,
        _ => Told::Time,
    }
}

/// Temperature of what is poured before the step at `until`, °C, the warmth of mixing left out: the handbook's mixes
/// are taken to be at room temperature once mixed. `fill_ml` is what fills the glass of a drink that is built in it.
pub(super) fn mix_c(drink: &Resolved, variation: &Variation<'_>, until: usize, fill_ml: Option<f64>) -> f64 {
    let pours: Vec<(Liquid, f64)> = drink.steps[..until]
        .iter()
        .enumerate()
        .filter_map(|(at, step)| match step {
            ResolvedStep::Pour(pour) => {
                let liquid = variation.liquid(at, pour);
                let liquid = if pour.fills() {
                    liquid.times(fill_ml?).ok()?
                } else {
                    liquid
                };
                Some((liquid, pour.temperature_c))
            }
            _ => None,
        })
        .collect();
    if pours.iter().all(|(_, c)| (c - ROOM_C).abs() < 0.5) {
        return ROOM_C;
    }
    let at_room: Vec<(Liquid, f64)> = pours.iter().map(|(liquid, _)| (*liquid, ROOM_C)).collect();
    match (thermal::poured(&pours), thermal::poured(&at_room)) {
        (Some((_, mixed)), Some((_, room))) => ROOM_C + mixed - room,
        _ => ROOM_C,
    }
}

/// How the work goes in the handbook's trials: with the nearest mix that its curve holds for, on its ice.
fn calibrated(technique: Technique, mix: &Liquid, curve: &Relation, off: &Off) -> Option<Hand> {
    let method = Method::of(technique)?;
    let nearest = nearest(mix, curve)?;
    let share = match curve.fitted_pct {
        Some(_) => melt::handbook(technique, &nearest)?.share,
        None => curve.share,
    };
    let conditions = off.of(Conditions::usual(technique), false);
    let usual_um = conditions.ice.film_um;
    let water_g = melt::water_g((share + off.melt * super::reach(curve, mix)).max(0.0) * nearest.volume_ml());
    let hand = heat::hand(&nearest, &method, &conditions, water_g, told(technique)).ok()?;
    // What the curve has over usual ice, or under it, is so much of the drink: it goes with its size.
    let proportion = mix.volume_ml() / nearest.volume_ml();
    Some(Hand {
        film_um: (usual_um + (hand.film_um - usual_um) * proportion).max(0.0),
        ..hand
    })
}

/// How far the balance's own share of a change is off, taken as anywhere either way: of what is carried to other ice,
/// other volumes and other temperatures, this share of the difference. From memory: what the two curves leave over the
/// balance (2.5 points of volume) is a sixth of what the balance makes of them.
const CARRIED: f64 = 0.2;

/// What energy says of a mix that is worked where the curve does not hold for it by itself. `None` where it does.
pub(super) fn balance(
    drink: &Resolved,
    variation: &Variation<'_>,
    at: usize,
    work: &ResolvedWork,
    (mix, fill_ml): (&Liquid, Option<f64>),
    curve: &Relation,
) -> Option<Balanced> {
    let off = &variation.off;
    let met = Met::of(drink, work, at, mix_c(drink, variation, at, fill_ml))?;
    let volume = mix.volume_ml();
    if let Some(fit) = drink.own_melt.fit(work.technique) {
        let mut conditions = met.conditions;
        let own = fit.reckon(mix, &conditions, met.seconds)?;
        let method = fit.method()?;
        if conditions.ice.temperature_c >= 0.0 {
            conditions.ice.film_um = fit.film_um();
        }
        let point = heat::reached(mix, &method, &conditions, met.seconds).ok()?;
        let to_volume = |share_of_mass: f64| melt::water_ml(share_of_mass * mix.mass_g()) / volume;
        let (share, half_width) = (
            to_volume(own.share_of_mass),
            3.0_f64.sqrt() * to_volume(own.standard),
        );
        return (share.is_finite() && half_width.is_finite()).then_some(Balanced {
            curve: *curve,
            share: share + off.melt * half_width,
            half_width,
            stated: true,
            house: true,
            melted: Some(Melted {
                conditions,
                seconds: met.seconds,
                point,
                whole: false,
            }),
        });
    }
    if curve.holds(mix) && !met.stated {
        return None;
    }
    let melted = met.melted(mix, calibrated(work.technique, mix, curve, off)?, off)?;
    let share = melt::water_ml(melted.point.water_g) / volume;
    let half_width = super::reach(curve, mix) + CARRIED * (share - curve.share).abs();
    (share.is_finite() && half_width.is_finite()).then_some(Balanced {
        curve: *curve,
        share,
        half_width,
        stated: met.stated,
        house: false,
        melted: Some(melted),
    })
}

/// The state a drink was in off its ice, where something is off what is usual: what it met, the water it gained and the
/// temperature that belongs to that water. `None` where it met no ice.
#[must_use]
pub fn melted(drink: &Resolved, built: &Built, off: &Off) -> Option<Melted> {
    melted_varied(drink, &Variation::default(), built, off)
}

fn melted_varied(drink: &Resolved, variation: &Variation<'_>, built: &Built, off: &Off) -> Option<Melted> {
    if built.melt_model == MeltModel::None {
        return None;
    }
    let mix = &built.worked;
    let at = built.worked_at.unwrap_or(drink.steps.len());
    let work = match built.worked_at.map(|at| &drink.steps[at]) {
        Some(ResolvedStep::Work(work)) => work.clone(),
        _ => ResolvedWork::plain(Technique::Build),
    };
    let fill_ml = built.fill.map(|fill| fill.volume_ml);
    let mut met = Met::of(drink, &work, at, mix_c(drink, variation, at, fill_ml))?;
    // Water that is given, off by so much more than it was when the drink was built.
    let given_g = || {
        let further = (off.melt - built.off_melt) * built.half_width();
        (built.water_g + melt::water_g(further * mix.volume_ml())).max(0.0)
    };
    if matches!(work.technique, Technique::Blend | Technique::WhipShake) {
        // All the ice ends in the drink.
        met.conditions.ice.grams = given_g();
        let conditions = off.of(met.conditions, met.wet_is_said);
        let point = heat::reached(mix, &met.method, &conditions, met.seconds).ok()?;
        return Some(Melted {
            conditions,
            seconds: met.seconds,
            point,
            whole: true,
        });
    }
    let known = match (&built.relation, built.melt_model) {
        (Some((_, relation)), MeltModel::Handbook) if relation.fitted_pct.is_some() => Some(*relation),
        (_, MeltModel::HeatBalance) => built.balanced.map(|balanced| balanced.curve),
        (_, MeltModel::House) => return built.balanced.and_then(|balanced| balanced.melted),
        _ => None,
    };
    match known {
        Some(curve) => met.melted(mix, calibrated(work.technique, mix, &curve, off)?, off),
        // Where the water is given, how the work went follows from it, on this drink's own ice.
        None => {
            let water_g = given_g();
            met.conditions.ice.grams = met.conditions.ice.grams.max(water_g);
            let conditions = off.of(met.conditions, met.wet_is_said);
            let hand = heat::hand(mix, &met.method, &conditions, water_g, Told::Time).ok()?;
            let mut conditions = conditions;
            conditions.ice.film_um = hand.film_um;
            let point = heat::reached(mix, &met.method, &conditions, hand.seconds).ok()?;
            Some(Melted {
                conditions,
                seconds: hand.seconds,
                point,
                whole: false,
            })
        }
    }
}

/// Share of the ice of which nobody says that it is left: what a strainer loses.
const CRUMBS: f64 = 0.03;

/// The ice that the drink needs, g, where all it met has melted; `None` where some is left, or where all of it is meant to
/// end in the drink.
#[must_use]
pub fn ice_needed_g(built: &Built, drink: &Resolved, state: &Melted) -> Option<f64> {
    let technique = match built.worked_at.map(|at| &drink.steps[at]) {
        Some(ResolvedStep::Work(work)) => work.technique,
        _ => Technique::Build,
    };
    let there = state.conditions.ice.grams;
    if state.point.ice_g > CRUMBS * there
        || there <= 0.0
        || matches!(technique, Technique::Blend | Technique::WhipShake)
    {
        return None;
    }
    let method = Method::of(technique)?;
    let mut conditions = state.conditions;
    // A quarter more at a time, to the next ten grams.
    for _ in 0..40 {
        conditions.ice.grams = 10.0 * (1.25 * conditions.ice.grams / 10.0).ceil();
        let point = heat::reached(&built.worked, &method, &conditions, state.seconds).ok()?;
        if point.ice_g > CRUMBS * conditions.ice.grams {
            return Some(conditions.ice.grams);
        }
    }
    None
}

/// How far a melt is from what is computed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Shift {
    /// More water, g.
    pub water_g: f64,
    /// Warmer off the ice, K.
    pub kelvin: f64,
    /// Warmer pours that meet no ice, K.
    pub poured_kelvin: f64,
}

impl Shift {
    /// Between this below and `above` by `z` standard uncertainties, in two straight lines.
    #[must_use]
    pub fn at(below: &Shift, above: &Shift, z: f64) -> Shift {
        let (of, by) = if z < 0.0 { (below, -z) } else { (above, z) };
        Shift {
            water_g: by * of.water_g,
            kelvin: by * of.kelvin,
            poured_kelvin: by * of.poured_kelvin,
        }
    }

    /// Both at once.
    #[must_use]
    pub fn plus(&self, other: &Shift) -> Shift {
        Shift {
            water_g: self.water_g + other.water_g,
            kelvin: self.kelvin + other.kelvin,
            poured_kelvin: self.poured_kelvin + other.poured_kelvin,
        }
    }
}

/// Something that is not known of a melt, with what it does a standard uncertainty either side.
#[derive(Clone, Debug, PartialEq)]
pub struct MeltDoubt {
    /// What.
    pub input: Input,
    /// Its shape.
    pub form: Form,
    /// A standard uncertainty below.
    pub below: Shift,
    /// A standard uncertainty above.
    pub above: Shift,
}

/// Freezing points are known within this, K, 95 %: tables of different authors.
const FREEZING_K: f64 = 0.3;
/// How far a pour that meets no ice is off the temperature it is taken to have, °C, 95 %: common practice, no source.
const POURED_HALF_WIDTH_C: f64 = 4.0;

/// Everything that is not known of how a drink is chilled.
#[must_use]
pub fn melt_doubts(drink: &Resolved, built: &Built, state: Option<&Melted>) -> Vec<MeltDoubt> {
    let mut doubts = Vec::new();
    let even = |kelvin: f64, input: Input| MeltDoubt {
        input,
        form: Form::Normal,
        below: Shift {
            kelvin: -kelvin,
            ..Shift::default()
        },
        above: Shift {
            kelvin,
            ..Shift::default()
        },
    };
    if let Some(input) = built.melt_input() {
        let standard = 1.0 / 3.0_f64.sqrt();
        let water_g = melt::water_g(standard * built.half_width() * built.worked.volume_ml());
        let measured = measured_c(drink, built);
        let kelvin = |off: Off| match (state, measured) {
            (Some(state), None) => {
                let own = melted(drink, built, &off)
                    .map_or(0.0, |m| m.point.temperature_c - state.point.temperature_c);
                no_surer(own, in_the_trials(built, &off))
            }
            _ => 0.0,
        };
        // All the ice has melted: more or less of it is no question.
        let left = state.is_none_or(|state| state.point.ice_g > 0.0) || built.balanced.is_none();
        let side = |sign: f64| Shift {
            water_g: if left { sign * water_g } else { 0.0 },
            kelvin: kelvin(Off {
                melt: sign * standard * built.carried(),
                ..Off::default()
            }),
            poured_kelvin: 0.0,
        };
        let form = Form::Rectangular {
            low: -3.0_f64.sqrt(),
            high: 3.0_f64.sqrt(),
        };
        doubts.push(MeltDoubt {
            input,
            form,
            below: side(-1.0),
            above: side(1.0),
        });
        if let (Some(_), None) = (state, measured) {
            for (input, off) in [
                (
                    Input::WaterOnIce,
                    (|z| Off {
                        wet: z,
                        ..Off::default()
                    }) as fn(f64) -> Off,
                ),
                (Input::VesselHeat, |z| Off {
                    vessel: z,
                    ..Off::default()
                }),
            ] {
                let side = |sign: f64| {
                    let off = off(sign * standard);
                    Shift {
                        water_g: carried_water(drink, built, state, &off),
                        kelvin: kelvin(off),
                        poured_kelvin: 0.0,
                    }
                };
                doubts.push(MeltDoubt {
                    input,
                    form,
                    below: side(-1.0),
                    above: side(1.0),
                });
            }
        }
        let standard_c = match (measured, built.melt_model) {
            (Some((_, standard)), _) => standard,
            (None, MeltModel::House) => house_standard_c(drink, built).unwrap_or(FREEZING_K / NORMAL_95),
            (None, _) => FREEZING_K / NORMAL_95,
        };
        doubts.push(even(standard_c, Input::Thermometer));
    }
    let poured = POURED_HALF_WIDTH_C / NORMAL_95;
    doubts.push(MeltDoubt {
        input: Input::PourTemperature,
        form: Form::Normal,
        below: Shift {
            poured_kelvin: -poured,
            ..Shift::default()
        },
        above: Shift {
            poured_kelvin: poured,
            ..Shift::default()
        },
    });
    doubts
}

/// A difference that is never less than another: what is carried away from the trials is known no better than they are.
fn no_surer(own: f64, there: Option<f64>) -> f64 {
    there.filter(|there| there.abs() > own.abs()).unwrap_or(own)
}

/// What the same unknowns do to the temperature, K, in the trials nearest to this drink; `None` where it is one of them.
fn in_the_trials(built: &Built, off: &Off) -> Option<f64> {
    let balanced = built.balanced.filter(|balanced| !balanced.house)?;
    let technique = built.relation?.0;
    let method = Method::of(technique)?;
    let curve = &balanced.curve;
    let nearest = nearest(&built.worked, curve)?;
    let end = |off: &Off| {
        let hand = calibrated(technique, &nearest, curve, off)?;
        let mut conditions = off.of(Conditions::usual(technique), true);
        conditions.ice.film_um = hand.film_um;
        heat::reached(&nearest, &method, &conditions, hand.seconds).ok()
    };
    Some(end(off)?.temperature_c - end(&Off::default())?.temperature_c)
}

/// What another wetness or vessel does to the water: nothing where the curve gives it, something where the balance has
/// carried it elsewhere.
fn carried_water(drink: &Resolved, built: &Built, state: Option<&Melted>, off: &Off) -> f64 {
    match (state, built.melt_model) {
        (Some(state), MeltModel::HeatBalance) => {
            melted(drink, built, off).map_or(0.0, |m| m.point.water_g - state.point.water_g)
        }
        _ => 0.0,
    }
}

/// Standard uncertainty of the temperature by the house's own fit, °C.
fn house_standard_c(drink: &Resolved, built: &Built) -> Option<f64> {
    let (technique, melted) = (built.relation?.0, built.balanced?.melted?);
    let fit = drink.own_melt.fit(technique)?;
    let own = fit.reckon(&built.worked, &melted.conditions, melted.seconds)?;
    Some(own.standard_c)
}

/// What a drink was worked on, for a weighing of it to be fitted by: its technique, ice and tin, and for how long.
/// `None` of a drink that is not shaken or stirred.
#[must_use]
pub fn worked_on(drink: &Resolved, built: &Built) -> Option<(Technique, Conditions, f64)> {
    let at = built.worked_at?;
    let ResolvedStep::Work(work) = drink.steps.get(at)? else {
        return None;
    };
    if !matches!(work.technique, Technique::Shake | Technique::Stir) {
        return None;
    }
    let met = Met::of(drink, work, at, mix_c(drink, &Variation::default(), at, None))?;
    Some((work.technique, met.conditions, met.seconds))
}

/// The mix that a curve holds for which is nearest to this one: as much of everything dissolved a millilitre, at the
/// nearest strength and volume.
fn nearest(mix: &Liquid, curve: &Relation) -> Option<Liquid> {
    let (strength, volume) = (mix.abv_pct()?, mix.volume_ml());
    let to_ml = curve
        .fitted_ml
        .map_or(volume, |(from, to)| volume.clamp(from, to));
    let Some((from, to)) = curve
        .fitted_pct
        .filter(|(from, to)| !(*from..=*to).contains(&strength))
    else {
        return mix.times(to_ml / volume).ok();
    };
    let per_litre = 1000.0 / volume;
    let dissolved: Vec<_> = mix
        .parts()
        .filter(|(part, grams)| part.facts().family != Family::Solvent && *grams > 0.0)
        .map(|(part, grams)| (part, grams * per_litre))
        .collect();
    Liquid::litre(strength.clamp(from, to), &dissolved)
        .ok()?
        .of_volume(to_ml)
        .ok()
}

/// The temperature that was read off this drink, °C, with its standard uncertainty.
fn measured_c(drink: &Resolved, built: &Built) -> Option<(f64, f64)> {
    drink
        .own_melt
        .weighed
        .filter(|_| built.melt_model == MeltModel::Weighed)?
        .temperature_c
}

/// Temperature of the mix off its ice, °C: by the energy of its state, for the very drink or one near it.
fn worked_c(
    drink: &Resolved,
    variation: &Variation<'_>,
    built: &Built,
    state: Option<&Melted>,
) -> Option<f64> {
    if let Some((celsius, _)) = measured_c(drink, built) {
        return Some(celsius + variation.shift.kelvin);
    }
    let Melted {
        conditions,
        point,
        whole,
        ..
    } = state?;
    if *whole {
        return Some(point.temperature_c + variation.shift.kelvin);
    }
    let mix = &built.worked;
    let at = built.worked_at.unwrap_or(drink.steps.len());
    let fill_ml = built.fill.map(|fill| fill.volume_ml);
    let mixed_c = mix_c(drink, variation, at, fill_ml) + conditions.room_c - ROOM_C;
    let water_g = built.water_g - built.shifted_g;
    let (ice, vessel) = (&conditions.ice, &conditions.vessel);
    let frozen = ice.grams - ice.surface_water_g();
    let left = (ice.grams + conditions.pooled_water_g - water_g).max(0.0);
    let heat_j = thermal::heat_j(mix, mixed_c)
        + frozen * thermal::ice_heat_j_per_g(ice.temperature_c)
        + vessel.capacity_j_per_k() * (vessel.temperature_c - point.vessel_c)
        + point.from_outside_j
        - left * thermal::ice_heat_j_per_g(point.ice_c);
    let celsius = thermal::temperature_c(&super::with_water(mix, water_g), heat_j)?;
    Some(celsius + variation.shift.kelvin)
}

/// How cold (or hot) the drink is as it is served, °C: the mix off its ice, and what joins it afterwards at its own
/// temperature; so much warmer as the shift has it. `None` where it cannot be told.
#[must_use]
pub fn temperature(drink: &Resolved, built: &Built, state: Option<&Melted>, shift: &Shift) -> Option<f64> {
    let variation = Variation {
        shift: *shift,
        ..Variation::default()
    };
    temperature_varied(drink, &variation, built, state)
}

pub(crate) fn temperature_varied(
    drink: &Resolved,
    variation: &Variation<'_>,
    built: &Built,
    state: Option<&Melted>,
) -> Option<f64> {
    let warmer = variation.shift.poured_kelvin;
    let pours = |from: usize, to: usize| {
        drink.steps[from..to]
            .iter()
            .enumerate()
            .filter_map(move |(at, step)| match step {
                ResolvedStep::Pour(pour) => {
                    let liquid = variation.liquid(from + at, pour);
                    let liquid = match &pour.portion {
                        Portion::Fixed(_) => liquid,
                        Portion::Fills { usual_ml, .. } => {
                            let ml = built.fill.map_or(*usual_ml, |fill| fill.volume_ml);
                            liquid.times(ml).ok()?
                        }
                    };
                    Some((liquid, pour.temperature_c + warmer))
                }
                _ => None,
            })
    };
    let steps = drink.steps.len();
    let chilled = built.melt_model != MeltModel::None;
    let mut parts: Vec<(Liquid, f64)> = if chilled {
        let worked = super::with_water(&built.worked, built.water_g);
        vec![(worked, worked_c(drink, variation, built, state)?)]
    } else {
        Vec::new()
    };
    let from = match (chilled, built.worked_at) {
        (false, _) => 0,
        (true, Some(at)) => at,
        // A drink built on ice is all in it.
        (true, None) => steps,
    };
    parts.extend(pours(from, steps));
    thermal::poured(&parts).map(|(_, celsius)| celsius)
}
