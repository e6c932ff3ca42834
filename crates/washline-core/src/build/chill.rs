//! The ice that a drink meets, and how cold it gets: the spec's own where it says, else the book's, else the
//! handbook's.

use super::{Balanced, Built, Variation};
use crate::ingredient::NORMAL_95;
use crate::liquid::{Family, Liquid, thermal};
use crate::melt::heat::{self, Conditions, FREEZER_C, Method, ROOM_C};
use crate::melt::{self, MeltModel, Relation};
use crate::resolve::{Resolved, ResolvedStep, ResolvedWork};
use crate::spec::Technique;
use crate::tables::Figure;

/// Degrees by which a mix has to be off room temperature before the curve's conditions no longer hold: what
/// mixing alone warms it by.
const ROOM_SLACK_C: f64 = 2.5;

impl Balanced {
    /// The balance's answer in the place of `curve`, for the mix it was made for or one near it.
    pub(super) fn relation(&self, curve: &Relation) -> Relation {
        Relation {
            share: (curve.share + self.share - self.curve.share).max(0.0),
            half_width: self.half_width,
            fitted_pct: None,
            in_range: true,
            source: "conservation of energy, rates fitted to the handbook's curves",
        }
    }
}

/// What a drink meets in one step of work.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Met {
    pub method: Method,
    pub conditions: Conditions,
    pub seconds: f64,
    /// Whether anything of it is other than in the handbook's trials.
    pub stated: bool,
}

impl Met {
    /// What `work` on a mix of `mix_c` °C meets; `None` of work without ice.
    pub(crate) fn of(drink: &Resolved, work: &ResolvedWork, mix_c: f64) -> Option<Met> {
        let method = Method::of(work.technique)?;
        let cold = &drink.cold;
        let mut conditions = Conditions::usual(work.technique);
        let ice_c = if work.freezer_ice {
            Some(FREEZER_C)
        } else {
            cold.ice_c
        };
        let (ice_g, tin_c) = (work.ice_g.or(cold.ice_g), work.tin_c.or(cold.tin_c));
        if let Some(ice_c) = ice_c.filter(|c| *c < 0.0) {
            // Ice below freezing is dry.
            (conditions.ice.temperature_c, conditions.ice.film_um) = (ice_c, 0.0);
        }
        conditions.ice.grams = ice_g.unwrap_or(conditions.ice.grams);
        conditions.ice.piece_mm = cold.ice_mm.unwrap_or(conditions.ice.piece_mm);
        conditions.room_c = cold.room_c.unwrap_or(conditions.room_c);
        conditions.vessel.temperature_c = tin_c.unwrap_or(conditions.room_c);
        conditions.drink_c = mix_c + conditions.room_c - ROOM_C;
        let stated = ice_c.is_some()
            || ice_g.is_some()
            || tin_c.is_some()
            || cold.ice_mm.is_some()
            || (conditions.drink_c - ROOM_C).abs() > ROOM_SLACK_C;
        Some(Met {
            method,
            conditions,
            // Half a minute on large cubes is a quarter on the handbook's small ones: a time says something only
            // of ice whose size is known.
            seconds: work
                .seconds
                .filter(|_| cold.ice_mm.is_some())
                .unwrap_or(method.seconds),
            stated,
        })
    }
}

/// Temperature of what is poured before the step at `until`, °C, the warmth of mixing left out: the handbook's mixes
/// are taken to be at room temperature once mixed.
pub(super) fn mix_c(drink: &Resolved, variation: &Variation<'_>, until: usize) -> f64 {
    let pours: Vec<(Liquid, f64)> = drink.steps[..until]
        .iter()
        .enumerate()
        .filter_map(|(at, step)| match step {
            ResolvedStep::Pour(pour) if !pour.fills => Some((variation.liquid(at, pour), pour.temperature_c)),
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

/// What energy says of a mix that is worked, where the handbook's curve does not hold for it: shaken or stirred
/// at a strength it was not fitted on, or with ice or temperatures that are stated. `None` where the curve holds.
///
/// The curve was measured and the balance only reckons, so the balance tells the difference: between this mix under
/// these conditions and the nearest mix that the curve holds for, under the curve's own. The two meet at the end of
/// the fitted range.
pub(super) fn balance(
    drink: &Resolved,
    variation: &Variation<'_>,
    at: usize,
    work: &ResolvedWork,
    mix: &Liquid,
    (curve, foamer): (&Relation, bool),
) -> Option<Balanced> {
    if !matches!(work.technique, Technique::Shake | Technique::Stir) {
        return None;
    }
    let met = Met::of(drink, work, mix_c(drink, variation, at))?;
    let volume = mix.volume_ml();
    if let Some(fit) = drink.own_melt.fit(work.technique) {
        let own = fit.reckon(mix, &met.conditions, met.seconds)?;
        let to_volume = |share_of_mass: f64| melt::water_ml(share_of_mass * mix.mass_g()) / volume;
        let (share, half_width) = (
            to_volume(own.share_of_mass),
            3.0_f64.sqrt() * to_volume(own.standard),
        );
        return (share.is_finite() && half_width.is_finite()).then_some(Balanced {
            curve: *curve,
            share: share.max(0.0),
            half_width,
            temperature_c: own.temperature_c,
            half_width_c: NORMAL_95 * own.standard_c,
            stated: true,
            house: true,
        });
    }
    if curve.in_range && !met.stated {
        return None;
    }
    let end = heat::after(mix, &met.method, &met.conditions, met.seconds).ok()?;
    let nearest = at_strength(mix, curve.fitted_pct?)?;
    let measured = melt::handbook(work.technique, &nearest, foamer)?;
    let there = heat::reached(
        &nearest,
        &met.method,
        &Conditions::usual(work.technique),
        met.method.seconds,
    )
    .ok()?;
    let share = measured.share + melt::water_ml(end.water_g - there.water_g) / volume;
    let half_width = melt::water_ml(end.water_half_width_g) / volume / NORMAL_95 * 3.0_f64.sqrt();
    (share.is_finite() && half_width.is_finite()).then_some(Balanced {
        curve: *curve,
        share: share.max(0.0),
        half_width,
        temperature_c: end.temperature_c,
        half_width_c: end.half_width_c,
        stated: met.stated,
        house: false,
    })
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
    let met = Met::of(drink, work, mix_c(drink, &Variation::default(), at))?;
    Some((work.technique, met.conditions, met.seconds))
}

/// As much of a mix with all that is dissolved in it, at the strength within a range that is nearest to its own.
fn at_strength(mix: &Liquid, (from, to): (f64, f64)) -> Option<Liquid> {
    let (strength, volume) = (mix.abv_pct()?, mix.volume_ml());
    if (from..=to).contains(&strength) {
        return Some(*mix);
    }
    let per_litre = 1000.0 / volume;
    let dissolved: Vec<_> = mix
        .parts()
        .filter(|(part, grams)| part.facts().family != Family::Solvent && *grams > 0.0)
        .map(|(part, grams)| (part, grams * per_litre))
        .collect();
    Liquid::litre(strength.clamp(from, to), &dissolved)
        .ok()?
        .of_volume(volume)
        .ok()
}

/// How cold (or hot) the drink is as it is served, °C, with its 95 % interval: the mix off its ice, and what joins it
/// afterwards at its own temperature. `None` where it cannot be told.
pub(crate) fn temperature(drink: &Resolved, built: &Built) -> Option<Figure> {
    let everything = Variation::default();
    let pours = |from: usize, to: usize| {
        drink.steps[from..to]
            .iter()
            .enumerate()
            .filter_map(move |(at, step)| match step {
                ResolvedStep::Pour(pour) if pour.fills => {
                    let volume = built.fill.map_or(pour.volume_ml, |fill| fill.volume_ml);
                    Some((pour.liquid.times(volume).ok()?, pour.temperature_c))
                }
                ResolvedStep::Pour(pour) => Some((everything.liquid(from + at, pour), pour.temperature_c)),
                _ => None,
            })
    };
    let steps = drink.steps.len();
    let (mut parts, half_width_c): (Vec<(Liquid, f64)>, f64) = if built.water_g <= 0.0 {
        (Vec::new(), POURED_HALF_WIDTH_C)
    } else {
        let worked = built.worked.plus(&Liquid::water_g(built.water_g).ok()?);
        let (celsius, half_width) = worked_temperature(drink, built)?;
        (vec![(worked, celsius)], half_width)
    };
    let from = match (built.water_g > 0.0, built.worked_at) {
        (false, _) => 0,
        (true, Some(at)) => at,
        // A drink built on ice is all in it.
        (true, None) => steps,
    };
    let chilled_g: f64 = parts.iter().map(|(liquid, _)| liquid.mass_g()).sum();
    parts.extend(pours(from, steps));
    let (all, celsius) = thermal::poured(&parts)?;
    // What joins is taken to be at its own temperature: what is not known of the mix counts by its share.
    let share = if chilled_g > 0.0 {
        chilled_g / all.mass_g()
    } else {
        1.0
    };
    let half_width = half_width_c * share;
    let mut figure = Figure::of(celsius);
    if half_width.is_finite() && figure.value.is_some() {
        figure.low = Some(celsius - half_width);
        figure.high = Some(celsius + half_width);
        figure.standard_uncertainty = Some(half_width / NORMAL_95);
    }
    Some(figure)
}

/// How far a drink that meets no ice is off what its pours are taken to be, °C: common practice, no source.
const POURED_HALF_WIDTH_C: f64 = 4.0;

/// Temperature of the mix off its ice, °C, and its 95 % half-width.
fn worked_temperature(drink: &Resolved, built: &Built) -> Option<(f64, f64)> {
    if let (MeltModel::HeatBalance | MeltModel::House, Some(balanced)) = (built.melt_model, built.balanced) {
        return Some((balanced.temperature_c, balanced.half_width_c));
    }
    let weighed = drink
        .own_melt
        .weighed
        .filter(|_| built.melt_model == MeltModel::Weighed);
    if let Some((celsius, standard)) = weighed.and_then(|w| w.temperature_c) {
        return Some((celsius, NORMAL_95 * standard));
    }
    let work = match built.worked_at.map(|at| &drink.steps[at]) {
        Some(ResolvedStep::Work(work)) => *work,
        _ => ResolvedWork::plain(Technique::Build),
    };
    let until = built.worked_at.unwrap_or(drink.steps.len());
    let met = Met::of(drink, &work, mix_c(drink, &Variation::default(), until))?;
    let share = match (&built.relation, weighed) {
        (Some((_, relation)), _) => super::reach(relation, &built.worked),
        (None, Some(weighed)) => 3.0_f64.sqrt() * weighed.standard,
        (None, None) => super::GIVEN_SPREAD,
    };
    let water_half_width_g = melt::water_g(share * built.worked.volume_ml()) / 3.0_f64.sqrt() * NORMAL_95;
    let known = heat::temperature_for_melt(
        &built.worked,
        &met.method,
        &met.conditions,
        met.seconds,
        built.water_g,
        water_half_width_g,
    )
    .ok()?;
    Some((known.temperature_c, known.half_width_c))
}
