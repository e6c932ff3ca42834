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
use super::{Conditions, Method, relative_rate};
use crate::liquid::Liquid;
use crate::liquid::freezing::Dissolved;
use crate::liquid::thermal::{
    LATENT_J_PER_G, Mix, ice_heat_j_per_g, ice_sensible_j_per_g, ice_temperature_c, latent_j_per_g,
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
        let heat_j = before.heats().heat_j(conditions.drink_c) + sensible - LATENT_J_PER_G * frozen + vessel_j;
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

    /// Water that is left unfrozen whatever happens, g.
    pub fn last_water_g(&self) -> f64 {
        1e-7 * self.all_water_g
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

    /// How fast the state moves, per second. `guess_c` is the drink's temperature or near it.
    pub fn rates(&self, state: &State, guess_c: f64) -> State {
        let [ice, sensible, vessel, _] = *state;
        let mix = self.mix(ice);
        let heats = mix.heats();
        let drink_j = self.drink_j(state);
        // Two steps of Newton from a neighbouring temperature are exact to 1e-8 K.
        let drink_c = heats.nearer_c(drink_j, heats.nearer_c(drink_j, guess_c));

        let (mut melting, mut core) = (0.0, 0.0);
        let mut joining = 0.0;
        if ice > 0.0 {
            let surface_c = self.dissolved.freezing_c(mix.water_g);
            // A step tried too far may ask for ice that cannot be.
            let ice_c = ice_temperature_c(sensible / ice).clamp(COLDEST_C, -COLDEST_C);
            let side_of_all = (1000.0 * ice / ICE_G_PER_ML).cbrt();
            let area_m2 = 6e-6 * self.pieces * side_of_all * side_of_all;
            let side = side_of_all / self.pieces;
            let to_surface = self.method.ice_w_per_m2_k
                * relative_rate(mix.ethanol_fraction(), drink_c)
                * area_m2
                * (drink_c - surface_c);
            // The first and slowest way that a cube of that side evens out: 3 π² a / side².
            let core_w_per_k = ice * CORE.0 * 3.0 * PI * PI * CORE.1 / (side * side);
            core = core_w_per_k * (surface_c - ice_c);
            let left = to_surface - core;
            let ice_sensible = ice_sensible_j_per_g(ice_c);
            if left >= 0.0 {
                joining = ice_sensible;
                melting = left
                    / (latent_j_per_g(surface_c) + ice_heat_j_per_g(surface_c) - ice_heat_j_per_g(ice_c));
            } else {
                // Nothing freezes that is not there.
                let there = (mix.water_g - self.last_water_g()).max(0.0);
                let some = there / (there + 1e-4 * self.all_water_g);
                joining = ice_sensible_j_per_g(surface_c);
                melting = some * left / latent_j_per_g(surface_c);
                core = to_surface - some * left;
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
