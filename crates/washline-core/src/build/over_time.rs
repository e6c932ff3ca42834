//! From the first second on ice to the last sip: how a drink goes on changing.

use super::ice::in_the_glass as ice_in_the_glass;
use super::{Built, Melted, Off, Shift, melted, temperature};
use crate::liquid::Liquid;
use crate::melt;
use crate::melt::heat::{Conditions, Course, FRIDGE_C, Ice, Method, ROOM_C, Vessel, in_the_glass, run};
use crate::resolve::{Resolved, ResolvedStep};
use crate::tables::Service;

/// A drink at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Since it met the ice, or since it was served, s.
    pub seconds: f64,
    /// Water gained since then, ml.
    pub water_ml: f64,
    /// Volume at 20 °C, ml.
    pub volume_ml: f64,
    /// Strength, % vol.
    pub abv_pct: f64,
    /// Sugar, g/100 ml.
    pub sugar_g_per_100ml: f64,
    /// Titratable acid as citric, g/100 ml.
    pub acid_g_per_100ml: f64,
    /// Temperature, °C.
    pub temperature_c: f64,
}

impl Moment {
    fn of(liquid: &Liquid, seconds: f64, water_g: f64, temperature_c: f64) -> Option<Moment> {
        let all = super::with_water(liquid, water_g);
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

/// The heat of the work: what drink, ice and vessel brought and how they parted. With the temperature of the drink and the
/// water it gained, what one lost the others have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeatAccount {
    /// Temperature of the mix before it met the ice, the warmth of mixing left out, °C.
    pub drink_before_c: f64,
    /// Ice with the water on it, g.
    pub ice_g: f64,
    /// How much of that is water on it, g.
    pub water_on_ice_g: f64,
    /// Temperature of the ice, °C.
    pub ice_c: f64,
    /// What is left of it, g.
    pub ice_left_g: f64,
    /// Temperature of what is left, °C.
    pub ice_left_c: f64,
    /// Heat capacity of the tin or glass, as far as it follows the drink, J/K.
    pub vessel_j_per_k: f64,
    /// Its temperature before, °C.
    pub vessel_before_c: f64,
    /// Its temperature after, °C.
    pub vessel_after_c: f64,
    /// Heat that came from room, hands and work, J.
    pub from_outside_j: f64,
}

impl HeatAccount {
    fn of(built: &Built, state: &Melted) -> HeatAccount {
        let (met, end) = (&state.conditions, &state.point);
        HeatAccount {
            drink_before_c: met.drink_c,
            ice_g: met.ice.grams,
            water_on_ice_g: met.ice.surface_water_g(),
            ice_c: met.ice.temperature_c,
            ice_left_g: (met.ice.grams + met.pooled_water_g - built.water_g).max(0.0),
            ice_left_c: end.ice_c,
            vessel_j_per_k: met.vessel.capacity_j_per_k(),
            vessel_before_c: met.vessel.temperature_c,
            vessel_after_c: end.vessel_c,
            from_outside_j: end.from_outside_j,
        }
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
    /// Where its heat went; `None` where it met no ice.
    pub account: Option<HeatAccount>,
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
    let state = melted(drink, built, &Off::default());
    told.account = state.as_ref().map(|state| HeatAccount::of(built, state));
    if let (Some(at), Some(state)) = (built.worked_at, &state)
        && let ResolvedStep::Work(work) = &drink.steps[at]
        && let Some(method) = Method::of(work.technique)
        && let Ok(course) = run(&built.worked, &method, &state.conditions, 2.0 * state.seconds)
    {
        // The clock of the bar: its own time is what the handbook, or the line, says.
        let said = work.seconds.unwrap_or(method.seconds);
        let pace = if state.seconds > 0.0 {
            said / state.seconds
        } else {
            1.0
        };
        told.worked_seconds = said;
        told.worked = moments(&built.worked, &course, built, state, pace);
    }
    let served_c = temperature(drink, built, state.as_ref(), &Shift::default()).unwrap_or(ROOM_C);
    let (ice, stands) = if built.on_ice {
        let (ice, form) = ice_in_the_glass(drink);
        (ice, form.written())
    } else {
        (Ice::NONE, "no ice")
    };
    let stemmed = matches!(
        drink.glass.as_ref().and_then(|g| g.service),
        Some(Service::Up | Service::Sparkling)
    );
    let room_c = drink.cold.room_c.unwrap_or(ROOM_C);
    // What a drink is served up in is chilled where nobody says how warm it is.
    let said_c = drink.glass.as_ref().and_then(|g| g.said_c);
    let glass = if stemmed {
        Vessel::stem(said_c.unwrap_or(FRIDGE_C))
    } else {
        Vessel::glass(said_c.unwrap_or(room_c))
    };
    let warmth = match glass.temperature_c {
        c if c < 0.0 => "frozen",
        c if c <= FRIDGE_C => "chilled",
        _ => "room-warm",
    };
    told.stands = format!("{stands}, in a {warmth} glass");
    let conditions = Conditions {
        room_c,
        ..Conditions::in_a_glass(served_c, ice, glass)
    };
    if let Ok(course) = in_the_glass(&built.glass, &conditions, &MINUTES) {
        told.served = course
            .points
            .iter()
            .filter_map(|p| Moment::of(&built.glass, p.seconds, p.water_g, p.temperature_c))
            .collect();
    }
    told
}

/// The moments of the work, on the bar's clock, through the water that the figures give at its end.
fn moments(liquid: &Liquid, course: &Course, built: &Built, state: &Melted, pace: f64) -> Vec<Moment> {
    let scale = if state.point.water_g.abs() > f64::MIN_POSITIVE {
        built.water_g / state.point.water_g
    } else {
        1.0
    };
    course
        .points
        .iter()
        .filter_map(|p| Moment::of(liquid, pace * p.seconds, scale * p.water_g, p.temperature_c))
        .collect()
}
