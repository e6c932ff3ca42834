//! The figures of a drink, before melt and in the glass.

use serde::{Deserialize, Serialize};

use super::Measured;
use crate::liquid::{Liquid, ratio};
pub use crate::tables::Figure;

/// What is known of a liquid that is drunk.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Figures {
    /// Volume at 20 °C, ml.
    pub volume_ml: Figure,
    /// Alcoholic strength by volume, % vol.
    pub abv_pct: Figure,
    /// Sugar, g/100 ml.
    pub sugar_g_per_100ml: Figure,
    /// Titratable acid as citric, g/100 ml.
    pub acid_g_per_100ml: Figure,
    /// Sugar over acid, by mass; empty where there is no acid to speak of.
    pub sugar_to_acid: Figure,
    /// Water gained from ice, ml.
    pub water_gained_ml: Figure,
    /// Water gained, % of the volume of the mix that went to the ice.
    pub water_pct_of_mix: Figure,
    /// Water gained, % of the volume of the finished drink.
    pub water_pct_of_finished: Figure,
    /// Ethanol, g.
    pub ethanol_g: Figure,
    /// Standard drinks of the country set.
    pub standard_drinks: Figure,
    /// Energy, kJ, Regulation (EU) 1169/2011 Annex XIV.
    pub energy_kj: Figure,
    /// Temperature as it is served, °C; the only figure that may be below 0.
    pub temperature_c: Figure,
}

/// Acid below which a ratio to it means nothing, g/100 ml: half the last printed digit.
const NO_ACID_G_PER_100ML: f64 = 0.005;

impl Figures {
    /// The figures of a liquid that has gained `water_ml` in a mix of `mix_ml`.
    #[must_use]
    pub fn of(liquid: &Liquid, water_ml: f64, mix_ml: f64, standard_drinks: f64) -> Figures {
        let volume = liquid.volume_ml();
        let per_100ml = |grams: f64| ratio(100.0 * grams, volume);
        let (sugar, acid) = (per_100ml(liquid.sugar_g()), per_100ml(liquid.acid_as_citric_g()));
        let to_acid = match (sugar, acid) {
            (Some(sugar), Some(acid)) if acid >= NO_ACID_G_PER_100ML => Some(sugar / acid),
            _ => None,
        };
        Figures {
            volume_ml: Figure::of(volume),
            abv_pct: Figure::of(per_100ml(liquid.ethanol_ml())),
            sugar_g_per_100ml: Figure::of(sugar),
            acid_g_per_100ml: Figure::of(acid),
            sugar_to_acid: Figure::of(to_acid),
            water_gained_ml: Figure::of(water_ml),
            water_pct_of_mix: Figure::of(ratio(100.0 * water_ml, mix_ml)),
            water_pct_of_finished: Figure::of(ratio(100.0 * water_ml, volume)),
            ethanol_g: Figure::of(liquid.ethanol_g()),
            standard_drinks: Figure::of(standard_drinks),
            energy_kj: Figure::of(liquid.energy_kj()),
            temperature_c: Figure::default(),
        }
    }

    /// The figure a band is about.
    #[must_use]
    pub fn measured(&self, measure: Measured) -> Figure {
        match measure {
            Measured::Strength => self.abv_pct,
            Measured::Sweetness => self.sugar_g_per_100ml,
            Measured::Tartness => self.acid_g_per_100ml,
        }
    }

    /// How many figures there are.
    pub const COUNT: usize = 12;

    /// Every figure with its name in the database and in JSON, in order.
    #[must_use]
    pub fn named(&self) -> [(&'static str, Figure); Figures::COUNT] {
        [
            ("volume_ml", self.volume_ml),
            ("abv_pct", self.abv_pct),
            ("sugar_g_per_100ml", self.sugar_g_per_100ml),
            ("acid_g_per_100ml", self.acid_g_per_100ml),
            ("sugar_to_acid", self.sugar_to_acid),
            ("water_gained_ml", self.water_gained_ml),
            ("water_pct_of_mix", self.water_pct_of_mix),
            ("water_pct_of_finished", self.water_pct_of_finished),
            ("ethanol_g", self.ethanol_g),
            ("standard_drinks", self.standard_drinks),
            ("energy_kj", self.energy_kj),
            ("temperature_c", self.temperature_c),
        ]
    }

    /// The figure of that name, to be set.
    pub(crate) fn by_name(&mut self, name: &str) -> Option<&mut Figure> {
        Some(match name {
            "volume_ml" => &mut self.volume_ml,
            "abv_pct" => &mut self.abv_pct,
            "sugar_g_per_100ml" => &mut self.sugar_g_per_100ml,
            "acid_g_per_100ml" => &mut self.acid_g_per_100ml,
            "sugar_to_acid" => &mut self.sugar_to_acid,
            "water_gained_ml" => &mut self.water_gained_ml,
            "water_pct_of_mix" => &mut self.water_pct_of_mix,
            "water_pct_of_finished" => &mut self.water_pct_of_finished,
            "ethanol_g" => &mut self.ethanol_g,
            "standard_drinks" => &mut self.standard_drinks,
            "energy_kj" => &mut self.energy_kj,
            "temperature_c" => &mut self.temperature_c,
            _ => return None,
        })
    }
}
