//! The ways of working a drink.

use serde::{Deserialize, Serialize};

/// The ways of working a drink.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Serialize,
    Deserialize,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the trade's own words")]
#[strum(serialize_all = "snake_case")]
pub enum Technique {
    Muddle,
    DryShake,
    Shake,
    WhipShake,
    Stir,
    Build,
    Roll,
    Throw,
    Swizzle,
    Blend,
}

impl Technique {
    /// How a book writes it.
    #[must_use]
    pub fn written(self) -> &'static str {
        match self {
            Technique::Muddle => "muddle",
            Technique::DryShake => "dry shake",
            Technique::Shake => "shake",
            Technique::WhipShake => "whip shake",
            Technique::Stir => "stir",
            Technique::Build => "build",
            Technique::Roll => "roll",
            Technique::Throw => "throw",
            Technique::Swizzle => "swizzle",
            Technique::Blend => "blend",
        }
    }

    /// Whether it is done on ice.
    #[must_use]
    pub fn on_ice(self) -> bool {
        !matches!(self, Technique::Muddle | Technique::DryShake)
    }

    /// Whether it is done in the glass that the drink is served in.
    #[must_use]
    pub fn in_glass(self) -> bool {
        matches!(self, Technique::Build | Technique::Swizzle)
    }
}
