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
    let state = melted(drink, built, &Off::default());
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
