//! What is to be said of drinks.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::service::label;

use crate::parts::{Text, Version, one_of, texts};
use crate::shared::{BothLists, EuAllergen, Fault, Figure, UsAllergen, each};

/// What is to be said of drinks: strength, alcohol, energy, allergens with what brings them, what must be named, cautions.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline label")]
pub struct Labels<'a> {
    pub schema: Version,
    pub drinks: Vec<Label<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Labels<'a> {
    pub fn of(labels: &'a [label::Label], faults: &'a [washline_core::spec::Fault]) -> Labels<'a> {
        Labels {
            schema: Version,
            drinks: each(labels),
            faults: each(faults),
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "drink")]
pub struct Label<'a> {
    pub name: Text<'a>,
    pub book: Text<'a>,
    /// As served, ice melted into it, % vol.
    pub abv_pct: Figure,
    /// Before any ice, % vol.
    pub poured_abv_pct: Figure,
    /// What there is to drink, at 20 °C.
    pub volume_ml: Figure,
    pub ethanol_g: Figure,
    /// Of `country`.
    pub standard_drinks: Figure,
    pub country: Text<'a>,
    /// Of the whole drink.
    pub energy: Energy,
    pub energy_per_100ml: Option<Energy>,
    /// In the whole drink.
    pub sugar_g: f64,
    pub allergens: BothLists<Declared<'a, EuAllergen<'a>>, Declared<'a, UsAllergen<'a>>>,
    /// Where they may come from; how much there is is not known.
    pub sulphites: Option<Sulphites<'a>>,
    pub named: Vec<Named<'a>>,
    pub raw_egg: Vec<Text<'a>>,
    pub cautions: Vec<Text<'a>>,
}

impl<'a> From<&'a label::Label> for Label<'a> {
    fn from(label: &'a label::Label) -> Label<'a> {
        let lines = [label.egg_line(), label.alcohol_line()];
        Label {
            name: (&label.name).into(),
            book: (&label.book).into(),
            abv_pct: label.abv_pct.into(),
            poured_abv_pct: label.poured_abv_pct.into(),
            volume_ml: label.volume_ml.into(),
            ethanol_g: label.ethanol_g.into(),
            standard_drinks: label.standard_drinks.into(),
            country: (&label.country.country).into(),
            energy: label.energy.into(),
            energy_per_100ml: label.energy_per_100ml.map(Energy::from),
            sugar_g: label.sugar_g,
            allergens: BothLists {
                eu: (&label.eu).into(),
                us: (&label.us).into(),
            },
            sulphites: label.sulphites.as_ref().map(Sulphites::from),
            named: each(&label.named),
            raw_egg: texts(&label.raw_egg),
            cautions: lines
                .into_iter()
                .filter(|line| !line.is_empty())
                .chain(label.cautions.iter().map(String::as_str))
                .map(Text::from)
                .collect(),
        }
    }
}

/// Regulation (EU) 1169/2011, Annex XIV: each by its own factors.
#[derive(Clone, Copy, Debug, Serialize, JsonSchema)]
#[schemars(rename = "energy")]
pub struct Energy {
    pub kj: f64,
    pub kcal: f64,
}

impl From<label::Energy> for Energy {
    fn from(energy: label::Energy) -> Energy {
        Energy {
            kj: energy.kj,
            kcal: energy.kcal,
        }
    }
}

/// An allergen with what brings it.
#[derive(Debug, Serialize, JsonSchema)]
pub struct Brought<'a, A> {
    pub allergen: A,
    #[schemars(length(min = 1))]
    pub from: Vec<Text<'a>>,
}

impl<'a, A: From<&'a String>> From<&'a label::Allergen> for Brought<'a, A> {
    fn from(allergen: &'a label::Allergen) -> Brought<'a, A> {
        Brought {
            allergen: (&allergen.word).into(),
            from: texts(&allergen.from),
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
pub struct Declared<'a, A> {
    pub contains: Vec<Brought<'a, A>>,
    pub may_contain: Vec<Brought<'a, A>>,
    /// Of which nobody has said: not none.
    pub unknown: Vec<Text<'a>>,
}

impl<'a, A: From<&'a String>> From<&'a label::Declared> for Declared<'a, A> {
    fn from(declared: &'a label::Declared) -> Declared<'a, A> {
        Declared {
            contains: each(&declared.contains),
            may_contain: each(&declared.may_contain),
            unknown: texts(&declared.unknown),
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "sulphites")]
pub struct Sulphites<'a> {
    pub sure: Vec<SureOf<'a>>,
    pub perhaps: Vec<Text<'a>>,
    /// What is sure, % of the volume of the drink.
    pub share_pct: f64,
    pub message: Text<'a>,
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "sure_of")]
pub struct SureOf<'a> {
    pub ingredient: Text<'a>,
    pub volume_ml: f64,
}

impl<'a> From<&'a label::Sulphites> for Sulphites<'a> {
    fn from(sulphites: &'a label::Sulphites) -> Sulphites<'a> {
        let sure = |(name, ml): &'a (String, f64)| SureOf {
            ingredient: name.into(),
            volume_ml: *ml,
        };
        Sulphites {
            sure: sulphites.sure.iter().map(sure).collect(),
            perhaps: texts(&sulphites.perhaps),
            share_pct: sulphites.share_pct,
            message: sulphites.to_string().into(),
        }
    }
}

one_of!(
    /// What must be named beside the allergens.
    ToName = "to_name": "quinine", "caffeine"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "named")]
pub struct Named<'a> {
    pub word: ToName<'a>,
    #[schemars(length(min = 1))]
    pub from: Vec<Text<'a>>,
}

impl<'a> From<&'a label::Named> for Named<'a> {
    fn from(named: &'a label::Named) -> Named<'a> {
        Named {
            word: ToName(named.word),
            from: texts(&named.from),
        }
    }
}
