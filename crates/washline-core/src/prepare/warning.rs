//! What there is to say about a preparation, with the numbers in it; the words in one place.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::resolve::rounded;

/// Something to look at.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, strum::IntoStaticStr, strum::VariantNames)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Warning {
    /// As much sucrose as dissolves at room temperature, or more.
    Saturated {
        /// Sucrose in 100 g of sucrose and water, g.
        sucrose_g_per_100g: f64,
        /// What dissolves at 20 °C, g per 100 g.
        dissolves_g_per_100g: f64,
        /// What dissolves at 4 °C, g per 100 g.
        dissolves_cold_g_per_100g: f64,
    },
    /// More sucrose than dissolves in a fridge.
    CrystallisesCold {
        /// Sucrose in 100 g of sucrose and water, g.
        sucrose_g_per_100g: f64,
        /// What dissolves at 4 °C, g per 100 g.
        dissolves_cold_g_per_100g: f64,
    },
    /// The measured yield is a little more than what goes in comes to.
    YieldsMore {
        /// As measured.
        measured: f64,
        /// As computed.
        computed: f64,
        /// ml or g.
        unit: String,
    },
    /// The loss that is stated and the yield that was measured are not of one batch.
    LossesDisagree {
        /// Lost in straining as stated, ml.
        stated_ml: f64,
        /// Lost as the yield has it, ml.
        measured_ml: f64,
    },
    /// It is said to keep longer than something in it.
    OutlivesPart {
        /// How long it is said to keep, in the writer's words.
        keeps: String,
        /// The part.
        part: String,
        /// How long that keeps.
        part_keeps: String,
    },
    /// Nobody says how long it keeps.
    KeepingNotStated {
        /// How long such things are usually held.
        usual: String,
        /// Why it counts as that.
        because: String,
        /// Who says so.
        source: String,
    },
    /// Fermenting is not worked out.
    Fermenting,
}

impl Warning {
    /// Its kind, as the database and JSON have it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        self.into()
    }

    /// Whether it is only a note: something left unsaid, not something off.
    #[must_use]
    pub fn is_note(&self) -> bool {
        matches!(self, Warning::KeepingNotStated { .. })
    }
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Warning::Saturated {
                sucrose_g_per_100g: has,
                dissolves_g_per_100g: room,
                dissolves_cold_g_per_100g: cold,
            } => write!(
                f,
                "saturated: {has:.1} g of sucrose in 100 g, and {room:.1} g dissolve at 20 °C, {cold:.1} g at 4 °C; it will \
                 crystallise in the fridge"
            ),
            Warning::CrystallisesCold {
                sucrose_g_per_100g: has,
                dissolves_cold_g_per_100g: cold,
            } => write!(
                f,
                "{has:.1} g of sucrose in 100 g, and {cold:.1} g dissolve at 4 °C: it may crystallise in the fridge"
            ),
            Warning::YieldsMore {
                measured,
                computed,
                unit,
            } => write!(
                f,
                "a yield of {} {unit}, and what goes in comes to {} {unit}: measure it again",
                rounded(*measured),
                rounded(*computed)
            ),
            Warning::LossesDisagree {
                stated_ml,
                measured_ml,
            } => write!(
                f,
                "{} ml are said to be lost in straining, and the yield leaves {} ml: the yield counts",
                rounded(*stated_ml),
                rounded(*measured_ml)
            ),
            Warning::OutlivesPart {
                keeps,
                part,
                part_keeps,
            } => write!(f, "said to keep {keeps}, and the {part} in it keeps {part_keeps}"),
            Warning::KeepingNotStated {
                usual,
                because,
                source,
            } => write!(f, "how long it keeps is not said; usual for {because}: {usual} ({source})"),
            Warning::Fermenting => f.write_str(
                "it ferments: sugar turns into alcohol, acid and gas, which is not worked out; measure its strength, sugar and \
                 acid, and never close it tight",
            ),
        }
    }
}
