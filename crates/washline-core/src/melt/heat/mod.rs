//! Water gained and temperature by conservation of energy, in time.
//!
//! A drink of some temperature meets ice of some size and temperature, in a vessel, in a room. Every gram
//! that melts takes its heat from the drink, the vessel and the room, dilutes the drink, and so moves its
//! freezing point, to which ice and drink come to rest. Mixing melt with ethanol gives off heat too, which
//! melts a sixth more.
//!
//! | question | function |
//! |---|---|
//! | how much water, how cold, after so many seconds | [`after`] |
//! | the whole way there | [`run`] |
//! | where it ends if one waits | [`equilibrium`] |
//! | how it was worked, if the water gained is known | [`hand()`] |
//! | first sip to last sip | [`in_the_glass`] |
//! | a batch in the freezer | [`freezer`] |
//!
//! What is taken for granted stands in [`Conditions`] (what the drink meets) and [`Method`] (how it is
//! worked), each value with its source. Rates are fitted to the handbook's two curves and to the
//! time a shake takes; everything else is measured against published observations without a further
//! fit (`melt_observations.csv` beside the tests).
//!
//! ```
//! use washline_core::liquid::{Component, Liquid};
//! use washline_core::melt::heat::{self, Conditions, Method};
//!
//! // 60 ml of 40 % spirit, 22.5 ml lime juice, 22.5 ml simple syrup, shaken for ten seconds
//! let sour = Liquid::from_strength(40.0)?
//!     .of_volume(60.0)?
//!     .plus(&Liquid::of(&[
//!         (Component::Water, 36.0),
//!         (Component::Sucrose, 13.8),
//!         (Component::Citric, 1.35),
//!     ])?);
//! let end = heat::after(&sour, &Method::SHAKE, &Conditions::default(), 10.0)?;
//! assert!(end.water_g > 50.0 && end.water_g < 60.0);
//! assert!(end.temperature_c > -7.0 && end.temperature_c < -5.0);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bath;
mod conditions;
mod freezer;
mod hand;
mod method;
mod pieces;
mod rest;
mod step;
mod time;

pub use conditions::{
    Conditions, FILM_HALF_WIDTH_UM, FILM_UM, FREEZER_C, FRIDGE_C, Ice, MOST_CLINGING, ROOM_C,
    VESSEL_HALF_WIDTH, Vessel,
};
pub use freezer::{Freezing, freezer};
pub use hand::{Hand, Told, hand};
pub use method::{Method, relative_rate};
pub use pieces::{CUBE_MM, Piece};
pub use rest::{Rest, equilibrium};
pub use time::{Course, End, Point, after, in_the_glass, reached, run};

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum HeatError {
    /// A value that is not a number, or outside what the physics here holds for.
    #[error("{what} is {value} {unit}; it must lie between {low} and {high}")]
    OutOfRange {
        /// Which value.
        what: &'static str,
        /// Its unit.
        unit: &'static str,
        /// What was given.
        value: f64,
        /// The smallest that is taken.
        low: f64,
        /// The largest that is taken.
        high: f64,
    },
    /// There is no liquid to cool.
    #[error("there is no drink to cool")]
    NoDrink,
}
