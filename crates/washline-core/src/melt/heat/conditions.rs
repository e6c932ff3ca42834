//! Under which conditions a drink meets ice: how warm, how much ice, in what.

use super::HeatError;

/// Ice as it goes in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ice {
    /// Its mass, g, with the water that clings to it.
    pub grams: f64,
    /// Edge of a piece, mm: a piece counts as a cube of that edge.
    pub piece_mm: f64,
    /// Its temperature, °C, 0 or below.
    pub temperature_c: f64,
    /// Thickness of the water that clings to it, µm. Ice from a freezer has none.
    pub film_um: f64,
}

/// Thickness of the water on wet bar ice, µm: fitted with the rates to the handbook's curves at 90 ml of mix (see
/// [`super::Method`]); none to twice as much is as likely ([`FILM_HALF_WIDTH_UM`]). 120 g of 6 mm cubes carry 4 g of
/// it; 6 to 10 ml on 120 to 150 g of small ice is what is recalled of ice that has stood (from memory).
pub const FILM_UM: f64 = 30.2;
/// Half-width of [`FILM_UM`], µm, anywhere in which is as likely: how wet ice is differs from well to well.
pub const FILM_HALF_WIDTH_UM: f64 = FILM_UM;

/// The most water that clings to ice before it runs off, as a share of the mass of both: from memory.
pub const MOST_CLINGING: f64 = 1.0 / 3.0;

/// Density of ice at 0 °C, g/ml. Source: handbook constant, from memory.
pub(crate) const ICE_G_PER_ML: f64 = 0.9167;

impl Ice {
    /// No ice at all.
    pub const NONE: Ice = Ice::wet(0.0, 25.0);

    /// Wet ice at 0 °C from a bar's well: `grams` of pieces of `piece_mm`.
    #[must_use]
    pub const fn wet(grams: f64, piece_mm: f64) -> Ice {
        Ice {
            grams,
            piece_mm,
            temperature_c: 0.0,
            film_um: FILM_UM,
        }
    }

    /// Dry ice cubes straight from a freezer at −18 °C.
    #[must_use]
    pub const fn from_the_freezer(grams: f64, piece_mm: f64) -> Ice {
        Ice {
            grams,
            piece_mm,
            temperature_c: -18.0,
            film_um: 0.0,
        }
    }

    /// The ice of the handbook's measured curves: 120 g of quarter-inch (6 mm) cubes at 0 °C. Source: Arnold,
    /// Liquid Intelligence, 2014, p. 123 (secondary transcription).
    #[must_use]
    pub const fn handbook() -> Ice {
        Ice::wet(120.0, 6.0)
    }

    /// `count` pieces from moulds of `edge_mm`, wet.
    #[must_use]
    pub fn cubes(count: f64, edge_mm: f64) -> Ice {
        Ice::wet(count * ICE_G_PER_ML * edge_mm.powi(3) / 1000.0, edge_mm)
    }

    /// Surface, m².
    pub(crate) fn area_m2(&self) -> f64 {
        if self.grams > 0.0 {
            6.0 * (self.grams / ICE_G_PER_ML) / self.piece_mm / 1000.0
        } else {
            0.0
        }
    }

    /// Water that clings to it, g: at most a third of the mass.
    #[must_use]
    pub fn surface_water_g(&self) -> f64 {
        // a µm on a m² is a g
        (self.film_um * self.area_m2()).min(MOST_CLINGING * self.grams)
    }

    /// The same ice with so much of its mass as water on it, as a share: 0 to a third.
    #[must_use]
    pub fn holding_water(self, share: f64) -> Ice {
        let area = self.area_m2();
        Ice {
            film_um: if area > 0.0 {
                share.clamp(0.0, MOST_CLINGING) * self.grams / area
            } else {
                0.0
            },
            ..self
        }
    }
}

/// What the drink stands in: the part of it that warms and cools with the drink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Vessel {
    /// Mass that takes part, g.
    pub grams: f64,
    /// Heat capacity of what it is made of, J/(g K).
    pub j_per_g_k: f64,
    /// Its temperature, °C.
    pub temperature_c: f64,
    /// Heat that reaches it from room and hands, W per °C that it is colder.
    pub room_w_per_k: f64,
}

impl Vessel {
    /// A steel shaking or stirring tin: 120 g of its 200 to 400 g follow the drink, 0.50 J/(g K); 0.3 W/K from hands
    /// and air. From memory; half-width [`VESSEL_HALF_WIDTH`].
    #[must_use]
    pub const fn tin(temperature_c: f64) -> Vessel {
        Vessel {
            grams: 120.0,
            j_per_g_k: 0.50,
            temperature_c,
            room_w_per_k: 0.3,
        }
    }

    /// A tumbler or highball: 200 g follow the drink, 0.84 J/(g K); 0.2 W/K from a still room, which on a chilled drink
    /// melts 0.5 to 1 g a minute, as is recalled of highballs. From memory.
    #[must_use]
    pub const fn glass(temperature_c: f64) -> Vessel {
        Vessel {
            grams: 200.0,
            j_per_g_k: 0.84,
            temperature_c,
            room_w_per_k: 0.2,
        }
    }

    /// A thin stemmed glass: 120 g, less room heat through less surface. From memory.
    #[must_use]
    pub const fn stem(temperature_c: f64) -> Vessel {
        Vessel {
            grams: 120.0,
            j_per_g_k: 0.84,
            temperature_c,
            room_w_per_k: 0.15,
        }
    }

    /// Neither mass nor room heat: for what is reckoned without a vessel.
    pub const NONE: Vessel = Vessel {
        grams: 0.0,
        j_per_g_k: 0.0,
        temperature_c: 20.0,
        room_w_per_k: 0.0,
    };

    /// Heat capacity, J/K.
    #[must_use]
    pub fn capacity_j_per_k(&self) -> f64 {
        self.grams * self.j_per_g_k
    }
}

/// Half-width of the heat a vessel gives, as a share of it, anywhere in which is as likely: from none (a tin that comes
/// cold, of which nobody says so) to twice as much; how much of the metal follows the drink is a guess.
pub const VESSEL_HALF_WIDTH: f64 = 1.0;

pub use crate::tables::{FREEZER_C, FRIDGE_C, ROOM_C};

/// Everything but the liquid, the method and the time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Conditions {
    /// Temperature of the mix before ice, °C. Of pours of several temperatures, see
    /// [`crate::liquid::thermal::poured`]. The published curves give no temperature of the room: 20 °C is taken.
    pub drink_c: f64,
    /// The ice.
    pub ice: Ice,
    /// Water at 0 °C that is in the vessel already, g: ice that has stood in the tin. Not in the ice's mass.
    pub pooled_water_g: f64,
    /// The tin or glass.
    pub vessel: Vessel,
    /// Air and hands, °C.
    pub room_c: f64,
}

impl Default for Conditions {
    /// The handbook's: 120 g of 6 mm cubes at 0 °C, in a tin, everything else at 20 °C.
    fn default() -> Self {
        Conditions {
            drink_c: ROOM_C,
            ice: Ice::handbook(),
            pooled_water_g: 0.0,
            vessel: Vessel::tin(ROOM_C),
            room_c: ROOM_C,
        }
    }
}

impl Conditions {
    /// A drink of `drink_c` poured over `ice` into `glass`, in a room at 20 °C.
    #[must_use]
    pub fn in_a_glass(drink_c: f64, ice: Ice, glass: Vessel) -> Conditions {
        Conditions {
            drink_c,
            ice,
            pooled_water_g: 0.0,
            vessel: glass,
            room_c: ROOM_C,
        }
    }

    /// # Errors
    /// When a value is not a number or outside what the physics here holds for; the first such is named.
    pub(crate) fn check(&self) -> Result<(), HeatError> {
        within("the drink's temperature", "°C", self.drink_c, -60.0, 120.0)?;
        within("the mass of ice", "g", self.ice.grams, 0.0, 1e7)?;
        within("the size of the ice", "mm", self.ice.piece_mm, 0.1, 1000.0)?;
        within("the ice's temperature", "°C", self.ice.temperature_c, -80.0, 0.0)?;
        within("the water on the ice", "µm", self.ice.film_um, 0.0, 10_000.0)?;
        within("the water in the tin", "g", self.pooled_water_g, 0.0, 1e7)?;
        within("the vessel's mass", "g", self.vessel.grams, 0.0, 1e7)?;
        within(
            "the vessel's heat capacity",
            "J/(g K)",
            self.vessel.j_per_g_k,
            0.0,
            10.0,
        )?;
        within(
            "the vessel's temperature",
            "°C",
            self.vessel.temperature_c,
            -80.0,
            120.0,
        )?;
        within("the room's heat", "W/K", self.vessel.room_w_per_k, 0.0, 1e4)?;
        within("the room's temperature", "°C", self.room_c, -80.0, 120.0)
    }
}

/// A value in its range.
pub(crate) fn within(
    what: &'static str,
    unit: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<(), HeatError> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(HeatError::OutOfRange {
            what,
            unit,
            value,
            low,
            high,
        })
    }
}
