//! What is in the vessel, and how fast heat and water move in it.
//!
//! Ice melts at its surface, which is at the freezing point of the drink around it. Heat comes to the
//! surface from the drink, as fast as the method passes it; some of it goes on into the core of the
//! piece, or comes out of it (ice at 0 °C is warmer than a drink's freezing point); the rest melts ice. Where the
//! core of cold ice takes more than the drink brings, water freezes on.
//!
//! The state is masses and heats, and the drink's heat is what is left of the whole: so neither can be
//! lost, whatever the time step.

use std::f64::consts::PI;

use super::conditions::ICE_G_PER_ML;
use super::method::{rate_at, rate_curve};
use super::{Conditions, Method};
use crate::liquid::Liquid;
use crate::liquid::freezing::Dissolved;
use crate::liquid::thermal::{
    Heats, LATENT_J_PER_G, Mix, ice_sensible_j_per_g, ice_temperature_c, latent_j_per_g,
};

/// Heat capacity of ice, J/(g K), and thermal diffusivity, mm²/s, for what passes inside a piece: 2.2 W/(m K) over 917
/// kg/m³ over 2.06 J/(g K). From memory.
const CORE: (f64, f64) = (2.06, 1.16);

/// No ice gets colder, °C: [`super::Ice`] starts above, and drinks freeze above.
const COLDEST_C: f64 = -80.0;

/// Ice, g; its heat over ice at 0 °C, J; the vessel's heat over 0 °C, J; heat and work from outside so far, J.
pub(super) type State = [f64; 4];

/// What a state looks like to a thermometer and a scale.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen {
    pub water_g: f64,
    pub drink_c: f64,
    pub ice_c: f64,
    pub vessel_c: f64,
    pub freezing_c: f64,
}

/// What follows from how much of the water is ice: composition, freezing point, surface.
#[derive(Clone, Copy, Debug)]
pub(super) struct Makeup {
    ice_g: f64,
    pub heats: Heats,
    /// How well this mix passes heat to ice, by temperature.
    rate: [f64; 3],
    /// Temperature of the ice's surface, °C, and what ice of that temperature holds over ice at 0 °C, J/g.
    surface_c: f64,
    surface_sensible: f64,
    /// Heat of melting there, J/g.
    latent: f64,
    ice_w_per_k: f64,
    core_w_per_k: f64,
    /// 1, and 0 when the last of the water is freezing.
    freezable: f64,
}

/// A drink on ice in a vessel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Bath {
    mix: Mix,
    dissolved: Dissolved,
    method: Method,
    /// Water, liquid or ice, g.
    pub all_water_g: f64,
    /// Heat of everything at the start, J.
    heat_j: f64,
    vessel_j_per_k: f64,
    room_w_per_k: f64,
    room_c: f64,
    /// Cube root of the number of pieces.
    pieces: f64,
    pub start: State,
    /// What errors are measured by: the mass of the drink, g, or a hundredth of everything, if that is more.
    pub scale_g: f64,
    /// Water of the drink before any ice, g.
    pub water_before_g: f64,
}

impl Bath {
    pub fn new(liquid: &Liquid, method: &Method, conditions: &Conditions) -> Bath {
        let (ice, vessel) = (&conditions.ice, &conditions.vessel);
        let before = Mix::of(liquid);
        let clinging = ice.surface_water_g();
        let frozen = ice.grams - clinging;
        let water = before.water_g + clinging + conditions.pooled_water_g;
        let sensible = frozen * ice_sensible_j_per_g(ice.temperature_c);
        let vessel_j = vessel.capacity_j_per_k() * vessel.temperature_c;
        // Water on the ice and in the tin is at 0 °C: it brings no heat on this scale.
        let heat_j =
            before.heats().heat_j(conditions.drink_c) + sensible - LATENT_J_PER_G * frozen + vessel_j;
        let drink_g = before.mass_g() + clinging + conditions.pooled_water_g;
        let edge = ice.piece_mm.min(method.breaks_to_mm);
        Bath {
            mix: before.with_water(water),
            dissolved: Dissolved::of(liquid),
            method: *method,
            all_water_g: water + frozen,
            heat_j,
            vessel_j_per_k: vessel.capacity_j_per_k(),
            room_w_per_k: vessel.room_w_per_k,
            room_c: conditions.room_c,
            pieces: (1000.0 * frozen / ICE_G_PER_ML).cbrt() / edge,
            start: [frozen, sensible, vessel_j, 0.0],
            scale_g: drink_g.max(0.01 * (drink_g + frozen + vessel.capacity_j_per_k())),
            water_before_g: before.water_g,
        }
    }

    /// Water that is left unfrozen whatever happens, g: the drink needs some to have a temperature.
    pub fn last_water_g(&self) -> f64 {
        1e-3 * self.scale_g
    }

    fn mix(&self, ice_g: f64) -> Mix {
        self.mix.with_water((self.all_water_g - ice_g).max(0.0))
    }

    /// Heat of the drink, J: what is not in the ice or the vessel.
    fn drink_j(&self, state: &State) -> f64 {
        let [ice, sensible, vessel, outside] = *state;
        self.heat_j + outside - vessel - (sensible - LATENT_J_PER_G * ice)
    }

    fn vessel_c(&self, vessel_j: f64, drink_c: f64) -> f64 {
        if self.vessel_j_per_k > 0.0 {
            vessel_j / self.vessel_j_per_k
        } else {
            drink_c
        }
    }

    pub fn seen(&self, state: &State, guess_c: f64) -> Seen {
        let mix = self.mix(state[0]);
        let drink_c = mix.heats().temperature_c(self.drink_j(state), guess_c);
        let freezing_c = self.dissolved.freezing_c(mix.water_g);
        Seen {
            water_g: mix.water_g,
            drink_c,
            ice_c: if state[0] > 0.0 {
                ice_temperature_c(state[1] / state[0])
            } else {
                freezing_c
            },
            vessel_c: self.vessel_c(state[2], drink_c),
            freezing_c,
        }
    }

    /// What follows from the mass of ice alone.
    pub fn makeup(&self, ice_g: f64) -> Makeup {
        let mix = self.mix(ice_g);
        let surface_c = self.dissolved.freezing_c(mix.water_g);
        let side_of_all = (1000.0 * ice_g.max(0.0) / ICE_G_PER_ML).cbrt();
        let side = side_of_all / self.pieces;
        let there = (mix.water_g - self.last_water_g()).max(0.0);
        Makeup {
            ice_g,
            heats: mix.heats(),
            rate: rate_curve(mix.ethanol_fraction()),
            surface_c,
            surface_sensible: ice_sensible_j_per_g(surface_c),
            latent: latent_j_per_g(surface_c),
            ice_w_per_k: self.method.ice_w_per_m2_k * 6e-6 * self.pieces * side_of_all * side_of_all,
            // The first and slowest way that a cube of that side evens out: 3 π² a / side².
            core_w_per_k: if side > 0.0 {
                ice_g * CORE.0 * 3.0 * PI * PI * CORE.1 / (side * side)
            } else {
                0.0
            },
            // Nothing freezes that is not there.
            freezable: there / (there + 3e-3 * self.scale_g),
        }
    }

    /// Temperature of the drink, °C, from `guess_c` not far off: two steps of Newton are exact to 1e-8 K.
    pub fn drink_c(&self, makeup: &Makeup, state: &State, guess_c: f64) -> f64 {
        let drink_j = self.drink_j(state);
        makeup
            .heats
            .nearer_c(drink_j, makeup.heats.nearer_c(drink_j, guess_c))
    }

    /// How fast the state moves, per second, with the drink at `drink_c`.
    pub fn rates(&self, makeup: &Makeup, state: &State, drink_c: f64) -> State {
        let [_, sensible, vessel, _] = *state;
        let (mut melting, mut core, mut joining) = (0.0, 0.0, 0.0);
        if makeup.ice_g > 0.0 {
            // A step tried too far may ask for ice that cannot be.
            let ice_c = ice_temperature_c(sensible / makeup.ice_g).clamp(COLDEST_C, -COLDEST_C);
            let to_surface =
                makeup.ice_w_per_k * rate_at(&makeup.rate, drink_c) * (drink_c - makeup.surface_c);
            core = makeup.core_w_per_k * (makeup.surface_c - ice_c);
            let left = to_surface - core;
            if left >= 0.0 {
                joining = ice_sensible_j_per_g(ice_c);
                melting = left / (makeup.latent + makeup.surface_sensible - joining);
            } else {
                joining = makeup.surface_sensible;
                melting = makeup.freezable * left / makeup.latent;
                core = to_surface - makeup.freezable * left;
            }
        }

        let vessel_c = self.vessel_c(vessel, drink_c);
        let room = self.room_w_per_k * (self.room_c - vessel_c);
        let from_vessel = if self.vessel_j_per_k > 0.0 {
            self.method.vessel_w_per_k * (vessel_c - drink_c)
        } else {
            room
        };
        [
            -melting,
            core - melting * joining,
            room - from_vessel,
            room + self.method.work_w,
        ]
    }

    /// The same with no ice left: what remains of a last crumb has melted.
    pub fn without_ice(&self, state: &State) -> State {
        [0.0, 0.0, state[2], state[3]]
    }
}
