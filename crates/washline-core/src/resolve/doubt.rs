//! What a pour is not exactly known in: each input with how it spreads and what it does to the pour.
//!
//! Inputs are compared by what they are about, not by where they stand: the lime juice poured twice is
//! one lime juice, the dash of two bitters is one dash, and so what they do to the figures is correlated.

use std::fmt;
use std::sync::Arc;

use crate::ingredient::{Quantity, Spread};
use crate::liquid::{Component, Family, Liquid};
use crate::measure::Unit;
use crate::spec::Technique;

/// Something that a figure depends on and that is not exactly known.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub enum Input {
    /// A value of an ingredient: how strong this gin is.
    Value(Arc<str>, Quantity),
    /// All the sugar or all the acid of what one delivery brings, as a factor of it: how sour these limes are. Limes,
    /// pressed or cut, of one delivery share it; the next delivery differs, by what the assays found between their
    /// samples (Penniston et al., J. Endourol., 2008). That one delivery is alike is common practice, no source.
    Total(Arc<str>, Family),
    /// How that total is shared among its sugars or acids.
    Split(Arc<str>, Family),
    /// The size of a measure: how large a dash is.
    Measure(Unit),
    /// How much of the pour at this step there is, and its words.
    Amount(usize, Arc<str>),
    /// Which of several ingredients is poured at this step.
    Choice(usize, Arc<str>),
    /// The water gained on ice.
    Melt(Technique),
    /// The water that the spec gives.
    WaterGiven,
    /// How wet the ice is.
    WaterOnIce,
    /// How much heat the tin or glass brings.
    VesselHeat,
    /// The temperature itself: freezing points, a reading.
    Thermometer,
    /// How warm what is poured without ice is.
    PourTemperature,
    /// How much of the glass the ice takes.
    IceInGlass,
    /// How large the glass is.
    GlassSize,
}

impl Input {
    /// What would settle it, as one would say it at the bar.
    #[must_use]
    pub fn settled_by(&self) -> &'static str {
        match self {
            Input::Value(_, Quantity::Strength) => "read its label",
            Input::Value(_, Quantity::Part(part)) => match part.facts().family {
                Family::Acid => "titrate it",
                Family::Sugar => "read its label or a refractometer",
                _ => "read its label",
            },
            Input::Total(_, Family::Acid) => "titrate it",
            Input::Total(..) => "read its label or a refractometer",
            Input::Split(..) => "have it assayed",
            Input::Value(_, Quantity::JuicePerFruit) => "measure the juice",
            Input::Value(..) => "weigh it",
            Input::Measure(_) => "measure yours and set its size in the book",
            Input::Amount(..) => "write and pour an exact amount",
            Input::Choice(..) => "decide which",
            Input::Melt(_) => "weigh the drink before and after ice",
            Input::WaterGiven => "weigh it again",
            Input::WaterOnIce => "drain it, or set `water on the ice:` in the book",
            Input::VesselHeat => "chill it and set `tin:` in the book",
            Input::Thermometer | Input::PourTemperature => "read a thermometer",
            Input::IceInGlass => "weigh the ice, or write the volume of the top",
            Input::GlassSize => "write its size",
        }
    }
}

impl fmt::Display for Input {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Input::Value(name, Quantity::Strength) => write!(f, "strength of {name}"),
            Input::Value(name, Quantity::Part(part)) => match (part.facts().family, part) {
                (Family::Acid, _) => write!(f, "acid of {name}"),
                (Family::Sugar, _) => write!(f, "sugar of {name}"),
                (_, Component::Fat) => write!(f, "fat of {name}"),
                _ => write!(f, "extract of {name}"),
            },
            Input::Value(name, quantity) => write!(f, "{} of {name}", quantity.name()),
            Input::Total(name, Family::Acid) => write!(f, "acid of {name}"),
            Input::Total(name, _) => write!(f, "sugar of {name}"),
            Input::Split(name, Family::Acid) => write!(f, "sort of acid of {name}"),
            Input::Split(name, _) => write!(f, "sort of sugar of {name}"),
            Input::Measure(unit) => write!(f, "size of a {}", unit.facts().written.0),
            Input::Amount(_, words) => write!(f, "amount of {words}"),
            Input::Choice(_, words) => write!(f, "choice of {words}"),
            Input::Melt(technique) => write!(f, "melt of the {}", technique.written()),
            Input::WaterGiven => f.write_str("water given"),
            Input::WaterOnIce => f.write_str("water on the ice"),
            Input::VesselHeat => f.write_str("heat of the tin or glass"),
            Input::Thermometer => f.write_str("freezing points"),
            Input::PourTemperature => f.write_str("temperature of the pours"),
            Input::IceInGlass => f.write_str("ice in the glass"),
            Input::GlassSize => f.write_str("size of the glass"),
        }
    }
}

/// What an input does to a pour.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "most are another liquid")]
pub enum Effect {
    /// There is more or less of it: the spread is a factor of what is computed.
    Amount,
    /// It is another liquid: in place of what is computed it brings one of these.
    Liquid {
        /// A standard uncertainty below the expectation.
        below: Liquid,
        /// A standard uncertainty above it.
        above: Liquid,
    },
}

/// An input of a pour, with what it does to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Doubt {
    /// What is not exactly known.
    pub input: Input,
    /// How it spreads: a value in its own unit, an amount as a factor of what is computed.
    pub spread: Spread,
    /// What it does to the pour.
    pub effect: Effect,
}
