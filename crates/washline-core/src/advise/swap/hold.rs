//! What a swap keeps as it was.

use crate::names::Expected;
use std::str::FromStr;

use crate::liquid::Liquid;

/// What of the old pour the new one is to bring as much of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
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
    /// All of them.
    pub const ALL: [Hold; 5] = [
        Hold::Volume,
        Hold::Sweetness,
        Hold::SweetnessEquivalent,
        Hold::Tartness,
        Hold::Alcohol,
    ];

    /// Its word on the command line and in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Hold::Volume => "volume",
            Hold::Sweetness => "sweetness",
            Hold::SweetnessEquivalent => "sweetness-equivalent",
            Hold::Tartness => "tartness",
            Hold::Alcohol => "alcohol",
        }
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
        Hold::ALL
            .into_iter()
            .find(|hold| hold.word() == typed)
            .ok_or_else(|| {
                let words = Hold::ALL.map(Hold::word);
                Expected::from(format!("expected one of {}", words.join(", ")))
            })
    }
}
