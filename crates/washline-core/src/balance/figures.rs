//! The figures of a drink, before melt and in the glass.

use serde::{Deserialize, Serialize};

use super::BalanceFigure;
use crate::liquid::{Liquid, ratio};
pub use crate::tables::Figure;
use crate::tables::{FIGURES, FigureName};

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
    pub fn measured(&self, measure: BalanceFigure) -> Figure {
        self.get(measure.which())
    }

    /// How many figures there are.
    pub const COUNT: usize = FigureName::ALL.len();

    /// One of them.
    #[must_use]
    pub fn get(&self, which: FigureName) -> Figure {
        // Of a copy: so there is one list of places.
        let mut all = *self;
        *all.place(which)
    }

    /// Where one of them stands.
    pub(crate) fn place(&mut self, which: FigureName) -> &mut Figure {
        match which {
            FigureName::Volume => &mut self.volume_ml,
            FigureName::Strength => &mut self.abv_pct,
            FigureName::Sweetness => &mut self.sugar_g_per_100ml,
            FigureName::Tartness => &mut self.acid_g_per_100ml,
            FigureName::SugarToAcid => &mut self.sugar_to_acid,
            FigureName::WaterGained => &mut self.water_gained_ml,
            FigureName::WaterOfMix => &mut self.water_pct_of_mix,
            FigureName::WaterOfFinished => &mut self.water_pct_of_finished,
            FigureName::Alcohol => &mut self.ethanol_g,
            FigureName::StandardDrinks => &mut self.standard_drinks,
            FigureName::Energy => &mut self.energy_kj,
            FigureName::Temperature => &mut self.temperature_c,
        }
    }

    /// Every figure with its name in the database and in JSON, in order.
    #[must_use]
    pub fn named(&self) -> [(&'static str, Figure); Figures::COUNT] {
        let mut all = *self;
        FigureName::ALL.map(|which| (which.facts().name, *all.place(which)))
    }

    /// The figure of that name, to be set.
    pub(crate) fn by_name(&mut self, name: &str) -> Option<&mut Figure> {
        let facts = FIGURES.iter().find(|facts| facts.name == name)?;
        Some(self.place(facts.which))
    }
}
