//! A preparation that has been made, as others ask for it.

use super::{Perishables, Warning};
use crate::ingredient::{Convention, Ingredient};
use crate::liquid::Liquid;
use crate::spec::{Assumption, Drink, Keeping};

/// A preparation that has been made.
#[derive(Clone, Debug)]
pub struct Made {
    /// As it is written.
    pub preparation: Drink,
    /// The line its heading stands in in its book, from 1.
    pub line: usize,
    /// What it makes, to be poured.
    pub ingredient: Ingredient,
    /// All there is of it in the end, as one liquid, in the convention of its book.
    pub liquid: Liquid,
    /// How its juices were counted.
    pub convention: Convention,
    /// What there is of it in the end, ml: as measured where the writer did.
    pub yield_ml: f64,
    /// The same, g.
    pub yield_g: f64,
    /// Whether the writer measured it.
    pub measured: bool,
    /// What went in, in order.
    pub parts: Vec<Brought>,
    /// What left.
    pub lost: Lost,
    /// How long it keeps: as stated, else as long as the first of its stated parts.
    pub keeps: Option<Keeping>,
    /// The part that decides how long it keeps, where the writer does not say.
    pub keeps_as: Option<String>,
    /// What decides how long such a thing is usually held.
    pub perishables: Perishables,
    /// What there is to look at.
    pub warnings: Vec<Warning>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
    /// Cautions, those of its parts among them.
    pub cautions: Vec<String>,
}

/// Something that went in.
#[derive(Clone, Debug, PartialEq)]
pub struct Brought {
    /// Its place among the steps, from 0.
    pub position: usize,
    /// The ingredient.
    pub ingredient: String,
    /// The amount as written.
    pub written: String,
    /// Volume of what is poured, ml at 20 °C; 0 of a solid that only gives its flavour.
    pub volume_ml: f64,
    /// Mass put in, g.
    pub mass_g: f64,
    /// What of it joined the liquid.
    pub joined: Liquid,
}

/// What left on the way.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lost {
    /// Water driven off, g.
    pub evaporated_g: f64,
    /// Ethanol driven off, g.
    pub alcohol_g: f64,
    /// Liquid kept back by sieve and solids, ml.
    pub strained_ml: f64,
    /// Solids taken out, g: what of them has not joined.
    pub solids_g: f64,
    /// Fat and protein that left as curd, g.
    pub curds_g: f64,
}

impl Made {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.ingredient.name
    }

    /// Alcoholic strength by volume, % vol; none of what has no volume.
    #[must_use]
    pub fn abv_pct(&self) -> f64 {
        self.liquid.abv_pct().unwrap_or(0.0)
    }

    /// Sugar, g in 100 g: degrees Brix where nothing but sugar is dissolved in water.
    #[must_use]
    pub fn brix(&self) -> f64 {
        self.liquid.brix().unwrap_or(0.0)
    }

    /// Sugar, g/L.
    #[must_use]
    pub fn sugar_g_per_l(&self) -> f64 {
        10.0 * self.liquid.sugar_g_per_100ml().unwrap_or(0.0)
    }

    /// Titratable acid as citric, g/L.
    #[must_use]
    pub fn acid_g_per_l(&self) -> f64 {
        10.0 * self.liquid.acid_g_per_100ml().unwrap_or(0.0)
    }

    /// What makes up `ml` of it: ingredient, ml of it and g of it.
    pub fn made_of(&self, ml: f64) -> impl Iterator<Item = (&str, f64, f64)> {
        let share = if self.yield_ml > 0.0 {
            ml / self.yield_ml
        } else {
            0.0
        };
        self.parts
            .iter()
            .map(move |p| (p.ingredient.as_str(), share * p.volume_ml, share * p.mass_g))
    }
}
