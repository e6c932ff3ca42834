//! The words and constants that everybody needs: each list stands here, once and typed.

pub mod cautions;
mod day;
mod family;
mod figure;
mod figures;
mod glass;
mod ice;
mod ingredient_kind;
pub mod printed;
mod remedy;
mod standard_drink;
mod structure;
mod technique;
mod when;

pub(crate) use day::day;
pub use day::day_text;
pub use family::Family;
pub use figure::{Figure, difference_as_printed};
pub use figures::{FIGURES, FigureFacts, FigureName};
pub use glass::{Glass, Service, WASHLINE_SHARE};
pub use ice::{Ice, IceForm};
pub use ingredient_kind::IngredientKind;
pub use remedy::Remedy;
pub use standard_drink::StandardDrink;
pub use structure::{BUILT_SHORT_ML, CREAMY_FAT_G_PER_100ML, SOUR_ACID_G_PER_100ML, Structure, TOPPED_SHARE};
pub use technique::Technique;
pub use when::{When, when_text};

/// Density of ethanol at 20 °C, kg/m³, as OIML R 22 fixes it: the bridge from mass to volume of alcohol.
pub const ETHANOL_KG_PER_M3: f64 = 789.24;

/// Room temperature, °C, where none is given: common practice, no source.
pub const ROOM_C: f64 = 20.0;
/// A bottle from the fridge, °C: common practice, no source.
pub const FRIDGE_C: f64 = 4.0;
/// A bottle, or ice, from the freezer, °C: common practice, no source.
pub const FREEZER_C: f64 = -18.0;

/// The texts of the tables that drinks depend on: glasses and standard drinks.
#[cfg(feature = "store")]
pub(crate) const TEXTS: [&str; 2] = [glass::TEXT, standard_drink::TEXT];

/// Rows of a table that is part of the program; a test reads every one.
pub(crate) fn rows<T: serde::de::DeserializeOwned>(file: &str, text: &str) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap_or_else(|error| panic!("{file}: {error}")))
        .collect()
}
