//! From the first second on ice to the last sip: how a drink goes on changing.

use super::chill::{Met, mix_c, temperature};
use super::{Built, ICE_PACKING, Variation};
use crate::liquid::Liquid;
use crate::melt;
use crate::melt::heat::{Conditions, Course, FRIDGE_C, Ice, ROOM_C, Vessel, in_the_glass, run};
use crate::resolve::{Resolved, ResolvedStep};
use crate::tables::Service;

/// A drink at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since it met the ice, or since it was served, s.
    pub seconds: f64,
    /// Water gained since then, mL.
    pub water_ml: f64,
    /// Volume at 20 °C, mL.
    pub volume_ml: f64,
    /// Strength, % vol.
    pub abv_pct: f64,
    /// Sugar, g/100 mL.
    pub sugar_g_per_100ml: f64,
    /// Titratable acid as citric, g/100 mL.
    pub acid_g_per_100ml: f64,
    /// Temperature, °C.
    pub temperature_c: f64,
}

impl Moment {
    fn of(liquid: &Liquid, seconds: f64, water_g: f64, temperature_c: f64) -> Option<Moment> {
        // Water that froze on to very cold ice is taken out again.
        let all = if water_g < 0.0 {
            let out = Liquid::water_g(-water_g).ok()?;
            liquid.moved(&Liquid::NOTHING, &out, -1.0)
        } else {
            liquid.plus(&Liquid::water_g(water_g).ok()?)
        };
        Some(Moment {
            seconds,
            water_ml: melt::water_ml(water_g),
            volume_ml: all.volume_ml(),
            abv_pct: all.abv_pct()?,
            sugar_g_per_100ml: all.sugar_g_per_100ml()?,
            acid_g_per_100ml: all.acid_g_per_100ml()?,
            temperature_c,
        })
    }
}

/// How a drink changes with time.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct OverTime {
    /// On the ice it is worked with; empty where it is worked on none. Passes through the melt that the figures
    /// give at the moment they give it for.
    pub worked: Vec<Moment>,
    /// When the work is over, s.
    pub worked_seconds: f64,
    /// In its glass, from serving on.
    pub served: Vec<Moment>,
    /// What it stands on in the glass, in words.
    pub stands: String,
}

/// When a drink is looked at in its glass, minutes.
pub const MINUTES: [f64; 6] = [1.0, 2.0, 5.0, 10.0, 15.0, 20.0];

/// How a drink changes, in the tin and in its glass. Empty where energy cannot tell.
#[must_use]
pub fn over_time(drink: &Resolved, built: &Built) -> OverTime {
    let mut told = OverTime::default();
    if let (Some(at), true) = (built.worked_at, built.water_g > 0.0)
        && let ResolvedStep::Work(work) = &drink.steps[at]
        && let Some(met) = Met::of(drink, work, mix_c(drink, &Variation::default(), at))
        && let Ok(course) = run(&built.worked, &met.method, &met.conditions, 2.0 * met.seconds)
    {
        let reckoned = course.at(met.seconds).water_g;
        let scale = if reckoned > 0.0 {
            built.water_g / reckoned
        } else {
            1.0
        };
        told.worked_seconds = met.seconds;
        told.worked = moments(&built.worked, &course, scale);
    }
    let served_c = temperature(drink, built).and_then(|f| f.value).unwrap_or(ROOM_C);
    let (ice, stands) = ice_in_the_glass(drink, built);
    let stemmed = matches!(
        drink.glass.as_ref().and_then(|g| g.service),
        Some(Service::Up | Service::Sparkling)
    );
    let room_c = drink.cold.room_c.unwrap_or(ROOM_C);
    let glass = if stemmed {
        Vessel::stem(FRIDGE_C)
    } else {
        Vessel::glass(room_c)
    };
    told.stands = format!(
        "{stands}, in a {} glass",
        if stemmed { "chilled" } else { "room-warm" }
    );
    let conditions = Conditions {
        room_c,
        ..Conditions::in_a_glass(served_c, ice, glass)
    };
    if let Ok(course) = in_the_glass(&built.glass, &conditions, &MINUTES) {
        told.served = moments(&built.glass, &course, 1.0);
    }
    told
}

fn moments(liquid: &Liquid, course: &Course, scale: f64) -> Vec<Moment> {
    course
        .points
        .iter()
        .filter_map(|p| Moment::of(liquid, p.seconds, scale * p.water_g, p.temperature_c))
        .collect()
}

/// Ice in a glass of unknown size, g: common practice, no source.
const USUAL_ICE_G: f64 = 150.0;

/// The ice a drink is served on, and what it is in words.
fn ice_in_the_glass(drink: &Resolved, built: &Built) -> (Ice, &'static str) {
    if !built.on_ice {
        return (Ice::NONE, "no ice");
    }
    let form = drink.steps.iter().find_map(|step| match step {
        ResolvedStep::OverIce(ice) => Some(ice.form),
        _ => None,
    });
    let form = form.unwrap_or_default();
    let capacity = drink.glass.as_ref().map(|g| g.capacity_ml);
    // A packed glass: the drink fills the gaps.
    let grams = capacity.map_or(USUAL_ICE_G, |ml| 0.9167 * ICE_PACKING * ml);
    let mut ice = match form {
        form if form.is_fine() => Ice::wet(grams, 8.0),
        form if form.is_large() => Ice::cubes(1.0, 50.0),
        _ => Ice::wet(grams, drink.cold.ice_mm.unwrap_or(32.0)),
    };
    if let Some(celsius) = drink.cold.ice_c.filter(|c| *c < 0.0) {
        (ice.temperature_c, ice.film_um) = (celsius, 0.0);
    }
    (ice, form.written())
}
