//! What a liquid is made of, and what each of it does: one table.
//!
//! Apparent specific volume is the volume at 20 °C, ml, that a gram adds to a drink. Energy is by
//! Regulation (EU) 1169/2011, Annex XIV. Titratable acidity as citric is the mass ratio at equal
//! equivalents, all acidic protons counted (phosphoric acid: two), from the molar masses.
//! Sweetness is relative to sucrose, by weight, cold, at 5 to 10 %.

use serde::{Deserialize, Serialize};

/// One thing that a [`super::Liquid`] holds a mass of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Component {
    /// Water, including the water in juices, syrups and melted ice.
    Water,
    /// Ethanol.
    Ethanol,
    /// Cane or beet sugar.
    Sucrose,
    /// Dextrose.
    Glucose,
    /// Fruit sugar.
    Fructose,
    /// Milk sugar.
    Lactose,
    /// Malt sugar.
    Maltose,
    /// Sugars whose kind no source tells.
    SugarsUnspecified,
    /// The acid of lemons and limes.
    Citric,
    /// The acid of apples, and a part of limes.
    Malic,
    /// The acid of grapes.
    Tartaric,
    /// The acid of soured milk and softened wine.
    Lactic,
    /// The acid of vinegar.
    Acetic,
    /// The acid of cola.
    Phosphoric,
    /// Acids whose kind no source tells, given as citric acid.
    AcidUnspecifiedAsCitric,
    /// Fat.
    Fat,
    /// Protein.
    Protein,
    /// Carbohydrate that is not sugar: starch, dextrins.
    OtherCarbohydrate,
    /// Sodium chloride.
    Salt,
    /// Gum, minerals, coffee solids and whatever else takes up room.
    OtherExtract,
    /// A polyol without energy.
    Erythritol,
    /// A polyol.
    Xylitol,
    /// A sugar that is hardly burnt.
    Allulose,
    /// A sweetener some hundred times as sweet as sugar.
    Sucralose,
    /// What sweetens in stevia.
    SteviolGlycosides,
}

/// The family a [`Component`] belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Family {
    /// Water and ethanol: their mixture shrinks, so they are weighed up together.
    Solvent,
    /// Counted as sweetness.
    Sugar,
    /// Counted as tartness.
    Acid,
    /// Takes up room and carries energy.
    Extract,
}

/// What the table says of one component.
#[derive(Clone, Copy, Debug)]
pub struct Facts {
    /// Which component the row is about.
    pub component: Component,
    /// Its name in library files and on screens.
    pub name: &'static str,
    /// Its family.
    pub family: Family,
    /// Apparent specific volume at 20 °C, ml/g. Sugars have sucrose's, from its density equation.
    pub apparent_ml_per_g: Option<f64>,
    /// Energy, kJ/g, Regulation (EU) 1169/2011 Annex XIV.
    pub energy_kj_per_g: f64,
    /// Grams of citric acid that a gram titrates like.
    pub as_citric: f64,
    /// Grams of sucrose that a gram is as sweet as.
    pub as_sucrose: f64,
    /// Where the volume, acid and sweetness figures come from. Energy has one source for all rows.
    pub source: &'static str,
}

impl Facts {
    /// Energy, kcal/g: Annex XIV gives it beside the kilojoules, rounded by itself.
    #[must_use]
    pub fn energy_kcal_per_g(&self) -> f64 {
        if self.energy_kj_per_g <= 0.0 {
            return 0.0;
        }
        match (self.component, self.family) {
            (Component::Ethanol, _) => 7.0,
            (Component::Fat, _) => 9.0,
            (Component::Protein | Component::OtherCarbohydrate, _) | (_, Family::Sugar) => 4.0,
            // Polyols have a factor of their own.
            (Component::Xylitol, _) => 2.4,
            (_, Family::Acid) => 3.0,
            // What else is dissolved is counted as fibre.
            (_, Family::Extract | Family::Solvent) => 2.0,
        }
    }
}

#[expect(
    clippy::too_many_arguments,
    reason = "a row of the table below, column by column"
)]
const fn row(
    component: Component,
    name: &'static str,
    family: Family,
    apparent_ml_per_g: Option<f64>,
    energy_kj_per_g: f64,
    as_citric: f64,
    as_sucrose: f64,
    source: &'static str,
) -> Facts {
    Facts {
        component,
        name,
        family,
        apparent_ml_per_g,
        energy_kj_per_g,
        as_citric,
        as_sucrose,
        source,
    }
}

const SUGAR: &str = "volume: sucrose, ICUMSA (Bubník et al. 1995, p. 164); sweetness: reviews of relative sweetness, READ, spread 10-20 %";
const ACID: &str =
    "equivalents: molar masses, COMPUTED; volume: 10 % by mass in the CRC concentrative tables, from memory";
const SWEETENER: &str = "sweetness: Public Health Nutr. 2022, 26(5), 952-964, table 2, READ (itself secondary), level not stated; strong sweeteners lose potency as the level rises; volume: density of the pure substance, from memory";
const EXTRACT: &str = "volume: density of the pure substance, from memory";

/// One row a component, in the order of the enum.
#[rustfmt::skip]
pub const TABLE: [Facts; Component::COUNT] = {
    use Component as C;
    use Family as F;
    [
    //  component                    name                          family       ml/g         kJ/g  citric  sucrose
    row(C::Water,                   "water",                       F::Solvent,  None,         0.0, 0.0,    0.0,  "OIML R 22 (1975)"),
    row(C::Ethanol,                 "ethanol",                     F::Solvent,  None,        29.0, 0.0,    0.0,  "OIML R 22 (1975)"),
    row(C::Sucrose,                 "sucrose",                     F::Sugar,    None,        17.0, 0.0,    1.0,  SUGAR),
    row(C::Glucose,                 "glucose",                     F::Sugar,    None,        17.0, 0.0,    0.70, SUGAR),
    row(C::Fructose,                "fructose",                    F::Sugar,    None,        17.0, 0.0,    1.20, SUGAR),
    row(C::Lactose,                 "lactose",                     F::Sugar,    None,        17.0, 0.0,    0.20, SUGAR),
    row(C::Maltose,                 "maltose",                     F::Sugar,    None,        17.0, 0.0,    0.40, SUGAR),
    row(C::SugarsUnspecified,       "sugars unspecified",          F::Sugar,    None,        17.0, 0.0,    1.0,  SUGAR),
    row(C::Citric,                  "citric acid",                 F::Acid,     Some(0.62),  13.0, 1.0,    0.0,  ACID),
    row(C::Malic,                   "malic acid",                  F::Acid,     Some(0.61),  13.0, 0.9552, 0.0,  ACID),
    row(C::Tartaric,                "tartaric acid",               F::Acid,     Some(0.55),  13.0, 0.8534, 0.0,  ACID),
    row(C::Lactic,                  "lactic acid",                 F::Acid,     Some(0.79),  13.0, 0.7110, 0.0,  ACID),
    row(C::Acetic,                  "acetic acid",                 F::Acid,     Some(0.86),  13.0, 1.0664, 0.0,  ACID),
    row(C::Phosphoric,              "phosphoric acid",             F::Acid,     Some(0.48),   0.0, 1.3070, 0.0,  ACID),
    row(C::AcidUnspecifiedAsCitric, "acid unspecified as citric",  F::Acid,     Some(0.62),  13.0, 1.0,    0.0,  ACID),
    row(C::Fat,                     "fat",                         F::Extract,  Some(1.087), 37.0, 0.0,    0.0,  EXTRACT),
    row(C::Protein,                 "protein",                     F::Extract,  Some(0.73),  17.0, 0.0,    0.0,  EXTRACT),
    row(C::OtherCarbohydrate,       "other carbohydrate",          F::Extract,  Some(0.62),  17.0, 0.0,    0.0,  EXTRACT),
    row(C::Salt,                    "salt",                        F::Extract,  Some(0.33),   0.0, 0.0,    0.0,  EXTRACT),
    row(C::OtherExtract,            "other extract",               F::Extract,  Some(0.60),   8.0, 0.0,    0.0,  "volume: common practice, no source; energy: as fibre"),
    row(C::Erythritol,              "erythritol",                  F::Extract,  Some(0.69),   0.0, 0.0,    0.70, SWEETENER),
    row(C::Xylitol,                 "xylitol",                     F::Extract,  Some(0.66),  10.0, 0.0,    1.0,  SWEETENER),
    row(C::Allulose,                "allulose",                    F::Sugar,    None,        17.0, 0.0,    0.70, "sweetness: trade, secondary; energy: a sugar by law"),
    row(C::Sucralose,               "sucralose",                   F::Extract,  Some(0.59),   0.0, 0.0,  600.0,  SWEETENER),
    row(C::SteviolGlycosides,       "steviol glycosides",          F::Extract,  Some(0.70),   0.0, 0.0,  300.0,  SWEETENER),
    ]
};

/// The level at which the published factor of a strong sweetener is taken to hold, g/100 ml as sucrose; its source does not
/// say. Common practice, no source.
pub const FACTOR_LEVEL_G_PER_100ML: f64 = 5.0;

impl Component {
    /// How many components there are.
    pub const COUNT: usize = 25;

    /// All of them, in order.
    pub fn all() -> impl Iterator<Item = Component> {
        TABLE.iter().map(|facts| facts.component)
    }

    /// Its place in [`TABLE`].
    #[must_use]
    pub const fn index(self) -> usize {
        self as usize
    }

    /// Its row in [`TABLE`].
    #[must_use]
    pub fn facts(self) -> &'static Facts {
        &TABLE[self.index()]
    }

    /// Whether it sweetens without being an ordinary sugar, so that grams of sugar say nothing of it; then between what its
    /// sweetness is published, as grams of sucrose a gram.
    #[must_use]
    pub const fn sweetens_as(self) -> Option<(f64, f64)> {
        match self {
            // One figure each is published for these two: as far either way as those for sugars differ, a fifth.
            Component::Erythritol => Some((0.56, 0.84)),
            Component::Xylitol => Some((0.80, 1.20)),
            Component::Allulose => Some((0.60, 0.75)),
            Component::Sucralose => Some((550.0, 750.0)),
            Component::SteviolGlycosides => Some((250.0, 350.0)),
            _ => None,
        }
    }

    /// Where the sweetness of a strong sweetener levels off, g/100 ml as sucrose: it follows R = Rm C/(Kd + C), as sweetness
    /// of sugars and polyols does not (DuBois et al., Int. J. Pharm. Sci. Res., concentration/response functions, abstract,
    /// READ). The Rm are those of DuBois et al. in Sweeteners: Discovery, Molecular Design, and Chemoreception, 1991, from
    /// memory.
    #[must_use]
    pub const fn levels_off_at(self) -> Option<f64> {
        match self {
            Component::Sucralose => Some(14.7),
            Component::SteviolGlycosides => Some(10.0),
            _ => None,
        }
    }

    /// The component of that name, as library files spell it.
    #[must_use]
    pub fn named(name: &str) -> Option<Component> {
        TABLE
            .iter()
            .find(|facts| facts.name == name)
            .map(|facts| facts.component)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_enum() {
        for (i, facts) in TABLE.iter().enumerate() {
            assert_eq!(facts.component.index(), i, "{}", facts.name);
            assert_eq!(Component::named(facts.name), Some(facts.component));
        }
    }
}
