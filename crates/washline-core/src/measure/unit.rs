//! The units a bar measures in: one table of names, spellings, sizes and published spans.

use serde::{Deserialize, Serialize};

use super::Amount;

/// A unit as people write it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
#[expect(missing_docs, reason = "the table below says what each one is")]
pub enum Unit {
    Millilitre,
    Centilitre,
    Decilitre,
    Litre,
    Ounce,
    Teaspoon,
    Tablespoon,
    Cup,
    Pint,
    Quart,
    Gallon,
    Jigger,
    Pony,
    Shot,
    Bottle,
    Part,
    Dash,
    Drop,
    Barspoon,
    Splash,
    Gram,
    Kilogram,
    Pinch,
    Handful,
    Piece,
    Leaf,
    Sprig,
    Slice,
    Wheel,
    Wedge,
    Cube,
    Fruit,
    Spray,
    Wineglass,
    Nip,
    Finger,
    Dose,
    SpiritMeasure,
    Can,
    Scoop,
    Knob,
    Pound,
    WeightOunce,
    Gill,
    Dessertspoon,
    FluidDram,
    Dram,
    Glassful,
}

/// What a unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// A volume of liquid (or of a dry solid, through its bulk density).
    Volume,
    /// A mass.
    Mass,
    /// A share of the serve: needs to know how large the serve is.
    Share,
    /// A count of things whose size the ingredient knows.
    Count,
}

/// How large a unit is, in millilitres (or grams), and how far published sizes spread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    /// Nominal size, exact: ml for a volume, g for a mass.
    pub nominal: Amount,
    /// Smallest and largest published size, or `None` where the unit is defined exactly.
    pub span: Option<(Amount, Amount)>,
    /// Who says so.
    pub source: &'static str,
}

/// A row of the table of units.
#[derive(Clone, Copy, Debug)]
pub struct UnitFacts {
    /// The unit.
    pub unit: Unit,
    /// How it is written in a book: one of it, several of it.
    pub written: (&'static str, &'static str),
    /// Other spellings, lower case, without trailing full stop.
    pub spellings: &'static [&'static str],
    /// What it measures.
    pub dimension: Dimension,
    /// Its size where that does not depend on the ingredient, the ounce or the serve.
    pub size: Option<Size>,
    /// Whether amounts of it are written as fractions (`3/4 oz`) and not decimals (`22.5 ml`).
    pub in_fractions: bool,
}

const fn exact(n: i128, d: i128, source: &'static str) -> Option<Size> {
    Some(Size {
        nominal: Amount::raw(n, d),
        span: None,
        source,
    })
}

/// Sizes in hundredths of a millilitre.
const fn about(nominal: i128, low: i128, high: i128, source: &'static str) -> Option<Size> {
    Some(Size {
        nominal: Amount::raw(nominal, 100),
        span: Some((Amount::raw(low, 100), Amount::raw(high, 100))),
        source,
    })
}

const SI: &str = "SI";

/// One row a unit. Inexact units have the span of the published sizes; a house can set its own.
#[rustfmt::skip]
pub const UNITS: [UnitFacts; 48] = {
    use Dimension::{Count, Mass, Share, Volume};
    use Unit as U;
    const fn row(unit: Unit, written: (&'static str, &'static str), spellings: &'static [&'static str], dimension: Dimension, size: Option<Size>, in_fractions: bool) -> UnitFacts {
        UnitFacts { unit, written, spellings, dimension, size, in_fractions }
    }
    [
    row(U::Millilitre, ("ml", "ml"), &["mls", "mil", "mils", "cc", "millilitre", "millilitres", "milliliter", "milliliters"], Volume, exact(1, 1, SI), false),
    row(U::Centilitre, ("cl", "cl"), &["cls", "centilitre", "centilitres", "centiliter", "centiliters"], Volume, exact(10, 1, SI), false),
    row(U::Decilitre,  ("dl", "dl"), &["decilitre", "decilitres", "deciliter", "deciliters"], Volume, exact(100, 1, SI), false),
    row(U::Litre,      ("l", "l"), &["lt", "ltr", "litre", "litres", "liter", "liters"], Volume, exact(1000, 1, SI), false),
    row(U::Ounce,      ("oz", "oz"), &["ozs", "fl oz", "fl. oz", "floz", "ounce", "ounces", "fluid ounce", "fluid ounces"], Volume, None, true),
    row(U::Teaspoon,   ("tsp", "tsp"), &["tsps", "t", "teasp", "teasps", "teaspn", "tspn", "teaspoonful", "teaspoonfuls", "teaspoon", "teaspoons", "tea spoon", "tea spoons"], Volume, None, true),
    row(U::Tablespoon, ("tbsp", "tbsp"), &["tbsps", "tbs", "tablesp", "tblspn", "tbspn", "tablespn", "tblsp", "tablespoonful", "tablespoonfuls", "tablespoon", "tablespoons", "table spoon", "table spoons"], Volume, None, true),
    row(U::Cup,        ("cup", "cups"), &[], Volume, None, true),
    row(U::Pint,       ("pint", "pints"), &["pt", "pts"], Volume, None, true),
    row(U::Quart,      ("quart", "quarts"), &["qt", "qts"], Volume, None, true),
    row(U::Gallon,     ("gallon", "gallons"), &["gal", "gals"], Volume, None, true),
    row(U::Jigger,     ("jigger", "jiggers"), &["jig"], Volume, about(4436, 4436, 4500, "1.5 US fl oz, open bartending glossary table, READ; old books differ"), true),
    row(U::Pony,       ("pony", "ponies"), &["ponys"], Volume, about(2957, 2957, 3000, "1 US fl oz, open bartending glossary table, READ"), true),
    row(U::Shot,       ("shot", "shots"), &["sht", "shts"], Volume, about(3000, 2000, 4436, "about 30 ml for coffee; 20 to 44 ml by country for spirits: common practice, no source"), true),
    row(U::Bottle,     ("bottle", "bottles"), &["btl", "btls", "bot", "bots"], Volume, None, true),
    row(U::Part,       ("part", "parts"), &[], Share, None, true),
    row(U::Dash,       ("dash", "dashes"), &["dashs", "dsh", "dshs", "ds", "d", "dshes", "dses"], Volume, about(92, 40, 125, "1/32 US fl oz; published sizes 0.4 to 1.25 ml, READ"), true),
    row(U::Drop,       ("drop", "drops"), &["gtt", "dr", "drp"], Volume, about(5, 2, 5, "20 drops a millilitre; 41 with a fine pipette, READ"), true),
    row(U::Barspoon,   ("barspoon", "barspoons"), &["bsp", "bs", "b/s", "bar spoon", "bar spoons", "bar-spoon", "bar-spoons", "barsp", "bar sp", "b spoon", "b spoons", "barspoonful", "barspoonfuls", "spoon", "spoons"], Volume, about(500, 250, 500, "published sizes 2.5 to 5 ml, READ"), true),
    row(U::Splash,     ("splash", "splashes"), &["squirt", "squirts", "glug", "glugs", "slosh", "sloshes"], Volume, about(300, 200, 750, "published sizes 2 to 7.5 ml, READ"), true),
    row(U::Gram,       ("g", "g"), &["gr", "gm", "gms", "grs", "gram", "grams", "gramme", "grammes"], Mass, exact(1, 1, SI), false),
    row(U::Kilogram,   ("kg", "kg"), &["kgs", "kilo", "kilos", "kilogram", "kilograms"], Mass, exact(1000, 1, SI), false),
    row(U::Pinch,      ("pinch", "pinches"), &["knife tip", "knife tips", "knifepoint", "grind", "grinds", "grating", "gratings", "scrape", "scrapes", "stroke", "strokes"], Mass, Some(Size { nominal: Amount::raw(3, 10), span: Some((Amount::raw(1, 10), Amount::raw(1, 2))), source: "common practice, no source" }), true),
    row(U::Handful,    ("handful", "handfuls"), &["bunch", "fistful", "fistfuls"], Count, None, true),
    row(U::Piece,      ("piece", "pieces"), &["pc", "pcs"], Count, None, true),
    row(U::Leaf,       ("leaf", "leaves"), &["leafs", "lvs", "lf"], Count, None, true),
    row(U::Sprig,      ("sprig", "sprigs"), &["spr", "sprg", "sprgs"], Count, None, true),
    row(U::Slice,      ("slice", "slices"), &[], Count, None, true),
    row(U::Wheel,      ("wheel", "wheels"), &["whl", "whls"], Count, None, true),
    row(U::Wedge,      ("wedge", "wedges"), &["wdg", "wdgs"], Count, None, true),
    row(U::Cube,       ("cube", "cubes"), &["lump", "lumps"], Count, None, true),
    row(U::Fruit,      ("fruit", "fruits"), &[], Count, None, true),
    row(U::Spray,      ("spray", "sprays"), &["spritz", "atomiser spray", "pump"], Volume, about(15, 10, 30, "common practice, no source"), true),
    row(U::Wineglass,  ("wineglass", "wineglasses"), &["wine-glass", "wine glass", "wine glasses", "wineglassful", "wine-glasses"], Volume, about(5915, 5915, 12000, "2 US fl oz in bar books before 1935; a small modern glass 120 ml: common practice, no source"), true),
    row(U::Nip,        ("nip", "nips"), &[], Volume, about(3000, 2500, 3500, "common practice, no source"), true),
    row(U::Finger,     ("finger", "fingers"), &[], Volume, about(2500, 2000, 3500, "common practice, no source"), true),
    row(U::Dose,       ("dose", "doses"), &[], Volume, about(4000, 2000, 6000, "common practice, no source"), true),
    row(U::SpiritMeasure, ("measure", "measures"), &["tot", "tots", "single measure"], Volume, about(2500, 2500, 5000, "25 or 35 ml for spirits in Britain, 50 ml a double: common practice, no source"), true),
    row(U::Can,        ("can", "cans"), &["tin of"], Volume, about(33000, 15000, 35500, "common practice, no source"), true),
    row(U::Scoop,      ("scoop", "scoops"), &[], Volume, about(6000, 4000, 8000, "common practice, no source"), true),
    row(U::Knob,       ("knob", "knobs"), &["pat"], Mass, Some(Size { nominal: Amount::raw(10, 1), span: Some((Amount::raw(5, 1), Amount::raw(15, 1))), source: "common practice, no source" }), true),
    row(U::Pound,      ("lb", "lb"), &["lbs", "pound", "pounds"], Mass, exact(45_359_237, 100_000, "avoirdupois pound, 453.592 37 g (NIST SP 811, app. B)"), false),
    row(U::WeightOunce, ("oz by weight", "oz by weight"), &["weight ounce", "weight ounces", "ounce by weight", "ounces by weight", "oz weight", "oz wt"], Mass, exact(45_359_237, 1_600_000, "avoirdupois ounce, 28.349 523 125 g (NIST SP 811, app. B)"), false),
    row(U::Gill,       ("gill", "gills"), &["noggin", "noggins"], Volume, about(13018, 11829, 14207, "4 US fl oz in the United States, 5 imperial fl oz in Britain: common practice, no source"), true),
    row(U::Dessertspoon, ("dessertspoon", "dessertspoons"), &["dsp", "dssp", "dstspn", "dessertspoonful", "dessertspoonfuls", "dessert spoon", "dessert spoons", "dessert-spoon", "dessert-spoons", "dessert-spoonful", "dessert-spoonfuls"], Volume, about(1000, 700, 1200, "two teaspoons: common practice, no source"), true),
    row(U::FluidDram,  ("fluid dram", "fluid drams"), &["fl dram", "fl dr", "fl drs", "drachm", "drachms", "fluid drachm", "fluid drachms"], Volume, None, true),
    row(U::Dram,       ("dram", "drams"), &[], Volume, None, true),
    row(U::Glassful,   ("glassful", "glassfuls"), &[], Share, None, true),
    ]
};

impl Unit {
    /// Its row in the table.
    #[must_use]
    pub fn facts(self) -> &'static UnitFacts {
        &UNITS[self as usize]
    }

    /// The unit so spelt. Case matters for one pair only: `t` is a teaspoon, `T` a tablespoon.
    #[must_use]
    pub fn spelt(text: &str) -> Option<Unit> {
        let text = text.trim_end_matches('.');
        if text == "T" {
            return Some(Unit::Tablespoon);
        }
        let lower = text.to_lowercase();
        UNITS
            .iter()
            .find(|f| f.written.0 == lower || f.written.1 == lower || f.spellings.contains(&lower.as_str()))
            .map(|f| f.unit)
    }

    /// How the unit is written after `amount` in a book.
    #[must_use]
    pub fn written_after(self, amount: Amount) -> &'static str {
        let (one, several) = self.facts().written;
        if amount <= Amount::ONE { one } else { several }
    }

    /// What is to be known of a unit that means one size here and another there: asked, unless the book sets it.
    #[must_use]
    pub fn said_of_many_sizes(self) -> Option<(&'static str, &'static [&'static str])> {
        match self {
            Unit::Dram => Some((
                "a dram of what size? an eighth of an ounce by measure, or a pour of a spirit",
                &["3.7 ml", "30 ml"],
            )),
            _ => None,
        }
    }

    /// `amount` as it is written in a book before this unit: fractions for ounces and spoons,
    /// decimals for metric amounts where they are exact.
    #[must_use]
    pub fn amount_text(self, amount: Amount) -> String {
        if self.facts().in_fractions {
            amount.mixed_fraction()
        } else {
            amount.to_string()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_enum_and_spellings_are_unique() {
        let mut seen = std::collections::HashSet::new();
        for (i, f) in UNITS.iter().enumerate() {
            assert_eq!(f.unit as usize, i);
            for spelling in [f.written.0].iter().chain(f.spellings) {
                assert!(seen.insert(*spelling), "{spelling} twice");
                assert_eq!(Unit::spelt(spelling), Some(f.unit), "{spelling}");
            }
        }
    }

    #[test]
    fn t_and_capital_t_differ() {
        assert_eq!(Unit::spelt("t"), Some(Unit::Teaspoon));
        assert_eq!(Unit::spelt("T"), Some(Unit::Tablespoon));
        assert_eq!(Unit::spelt("OZ."), Some(Unit::Ounce));
    }
}
