//! What a swap keeps as it was.

use crate::names::Expected;
use std::str::FromStr;

use crate::liquid::Liquid;

/// What of the old pour the new one is to bring as much of.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    Hash,
    strum::IntoStaticStr,
    strum::VariantArray,
    strum::VariantNames,
)]
#[strum(serialize_all = "kebab-case")]
pub enum Hold {
    /// As many millilitres.
    #[default]
    Volume,
    /// As many grams of sugar, whatever their kind.
    Sweetness,
    /// As much sweetness, each sugar weighed by how sweet it is: grams of sucrose.
    SweetnessEquivalent,
    /// As much titratable acid, as grams of citric acid.
    Tartness,
    /// As many grams of ethanol.
    Alcohol,
}

impl Hold {
    /// All of them, in order.
    pub const ALL: &'static [Hold] = <Hold as strum::VariantArray>::VARIANTS;

    /// Their words.
    pub const WORDS: &'static [&'static str] = <Hold as strum::VariantNames>::VARIANTS;

    /// Its word.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// What exactly is held, in words.
    #[must_use]
    pub fn what(self) -> &'static str {
        match self {
            Hold::Volume => "volume",
            Hold::Sweetness => "sugar",
            Hold::SweetnessEquivalent => "sweetness as sucrose",
            Hold::Tartness => "acid as citric",
            Hold::Alcohol => "ethanol",
        }
    }

    /// The unit it is counted in.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self {
            Hold::Volume => "ml",
            _ => "g",
        }
    }

    /// The name of the quantity in JSON, with its unit.
    #[must_use]
    pub fn quantity(self) -> &'static str {
        match self {
            Hold::Volume => "volume_ml",
            Hold::Sweetness => "sugar_g",
            Hold::SweetnessEquivalent => "sweetness_as_sucrose_g",
            Hold::Tartness => "acid_as_citric_g",
            Hold::Alcohol => "ethanol_g",
        }
    }

    /// How much of it a liquid brings, in [`Hold::unit`].
    #[must_use]
    pub fn of(self, liquid: &Liquid) -> f64 {
        match self {
            Hold::Volume => liquid.volume_ml(),
            Hold::Sweetness => liquid.sugar_g(),
            Hold::SweetnessEquivalent => liquid.sweetness_as_sucrose_g(),
            Hold::Tartness => liquid.acid_as_citric_g(),
            Hold::Alcohol => liquid.ethanol_g(),
        }
    }
}

impl FromStr for Hold {
    type Err = Expected;

    fn from_str(text: &str) -> Result<Hold, Expected> {
        let typed = text.trim().to_lowercase().replace(' ', "-");
        let hold = Hold::ALL.iter().copied().find(|hold| hold.word() == typed);
        hold.ok_or_else(|| Expected::from(format!("expected one of {}", Hold::WORDS.join(", "))))
    }
}
