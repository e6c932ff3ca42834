//! What a menu or a bottle has to say of a drink: strength, alcohol, energy, allergens, what must be named, cautions.
//!
//! Figures are those of the drink once ice has melted into it. Allergens come through every pour, every other
//! choice that a line leaves, every preparation and every garnish; what nobody has said is unknown, which is
//! not "none". Local law decides what must stand where, and a bottle's own label goes before any of this.

use std::fmt;

use crate::balance::{Figure, StandardDrink};
use crate::computed::ComputedDrink;
use crate::ingredient::{AllergenList, Declaration, Found, Ingredient, Origin};
use crate::liquid::{Liquid, ratio};
use crate::names::key;
use crate::service::garnish;
use crate::tables::IngredientKind;

/// What is to be said of a drink.
#[derive(Clone, Debug)]
pub struct Label {
    /// Its name.
    pub name: String,
    /// The book it stands in.
    pub book: String,
    /// Strength as it is served, ice melted into it, % vol at 20 °C.
    pub abv_pct: Figure,
    /// Strength as it is poured, before any ice, % vol at 20 °C.
    pub poured_abv_pct: Figure,
    /// What there is to drink, ml at 20 °C.
    pub volume_ml: Figure,
    /// Ethanol, g.
    pub ethanol_g: Figure,
    /// Standard drinks of [`Label::country`].
    pub standard_drinks: Figure,
    /// Whose standard drinks are counted.
    pub country: &'static StandardDrink,
    /// Energy of the whole drink.
    pub energy: Energy,
    /// Energy of 100 ml of it; `None` of nothing.
    pub energy_per_100ml: Option<Energy>,
    /// Sugars in the whole drink, g.
    pub sugar_g: f64,
    /// The 14 of the European list.
    pub eu: Declared,
    /// The 9 of the United States.
    pub us: Declared,
    /// Where sulphites may come from; `None` where nothing declares any.
    pub sulphites: Option<Sulphites>,
    /// What must be named beside the allergens.
    pub named: Vec<Named>,
    /// Raw egg in it, by ingredient.
    pub raw_egg: Vec<String>,
    /// Other cautions of its ingredients, each once.
    pub cautions: Vec<String>,
}

/// Energy by the factors of Regulation (EU) 1169/2011, Annex XIV: kJ and kcal each by their own.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Energy {
    /// Kilojoules.
    pub kj: f64,
    /// Kilocalories.
    pub kcal: f64,
}

impl Energy {
    /// The energy of a liquid.
    #[must_use]
    pub fn of(liquid: &Liquid) -> Energy {
        Energy {
            kj: liquid.energy_kj(),
            kcal: liquid.energy_kcal(),
        }
    }
}

/// An allergen with what brings it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Allergen {
    /// The word of the list.
    pub word: String,
    /// The ingredients and garnishes that bring it.
    pub from: Vec<String>,
}

/// What is declared of a drink on one list, with what brings it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Declared {
    /// Which list.
    pub list: AllergenList,
    /// Certainly in it.
    pub contains: Vec<Allergen>,
    /// In some products of what is poured, or in another choice that a line leaves.
    pub may_contain: Vec<Allergen>,
    /// Ingredients and garnishes of which nobody has said.
    pub unknown: Vec<String>,
}

impl Declared {
    fn nothing(list: AllergenList) -> Declared {
        Declared {
            list,
            contains: Vec::new(),
            may_contain: Vec::new(),
            unknown: Vec::new(),
        }
    }

    /// Take in what an ingredient declares; where it is only one choice of several, it may be in the drink.
    fn take(&mut self, from: &str, declared: &Declaration, certain: bool) {
        for word in &declared.contains {
            note(
                if certain {
                    &mut self.contains
                } else {
                    &mut self.may_contain
                },
                word,
                from,
            );
        }
        for word in &declared.may_contain {
            note(&mut self.may_contain, word, from);
        }
        if declared.unknown {
            self.unknown_of(from);
        }
    }

    fn unknown_of(&mut self, from: &str) {
        if !self.unknown.iter().any(|u| u == from) {
            self.unknown.push(from.to_owned());
        }
    }

    /// What is certain is not said to be possible too; by the order of the list.
    fn settle(&mut self) {
        let contains = &self.contains;
        self.may_contain
            .retain(|a| contains.iter().all(|c| c.word != a.word));
        let words = self.list.words();
        let place = |a: &Allergen| words.iter().position(|w| *w == a.word);
        self.contains.sort_by_key(place);
        self.may_contain.sort_by_key(place);
    }

    /// The same without what brings it.
    #[must_use]
    pub fn declaration(&self) -> Declaration {
        let words = |all: &[Allergen]| all.iter().map(|a| a.word.clone()).collect();
        Declaration {
            contains: words(&self.contains),
            may_contain: words(&self.may_contain),
            unknown: !self.unknown.is_empty(),
        }
    }
}

fn note(all: &mut Vec<Allergen>, word: &str, from: &str) {
    let at = all.iter().position(|a| a.word == word).unwrap_or_else(|| {
        all.push(Allergen {
            word: word.to_owned(),
            from: Vec::new(),
        });
        all.len() - 1
    });
    if !all[at].from.iter().any(|f| f == from) {
        all[at].from.push(from.to_owned());
    }
}

/// Sulphur dioxide above which sulphites are declared, mg/L in the drink as served: Regulation (EU) 1169/2011,
/// Annex II, 12; 10 ppm in the United States.
pub const SULPHITES_MG_PER_L: f64 = 10.0;

/// Where sulphites may come from. How much there is of them no label says, so it is not worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct Sulphites {
    /// What holds them for sure, wine for the most part: ingredient and ml in the drink.
    pub sure: Vec<(String, f64)>,
    /// What some products of hold.
    pub perhaps: Vec<String>,
    /// What is sure, % of the volume of the finished drink.
    pub share_pct: f64,
}

impl fmt::Display for Sulphites {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names = |all: &[(String, f64)]| {
            all.iter()
                .map(|(name, ml)| match ml {
                    ml if *ml >= 0.05 => format!("{name} {ml:.1} ml"),
                    _ => name.clone(),
                })
                .collect::<Vec<_>>()
                .join(", ")
        };
        if self.sure.is_empty() {
            return write!(
                f,
                "some products of {} hold sulphites: declared above {SULPHITES_MG_PER_L:.0} mg/L in the drink as served; read the label",
                self.perhaps.join(", ")
            );
        }
        let share = if self.share_pct >= 0.05 {
            format!(" ({} % of the drink)", crate::resolve::rounded(self.share_pct))
        } else {
            String::new()
        };
        write!(
            f,
            "from {}{share}: the amount is not known, and it is declared above {SULPHITES_MG_PER_L:.0} mg/L in the drink as served",
            names(&self.sure)
        )
    }
}

/// Something that must be named on a list of ingredients, or that guests ask for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// `quinine` or `caffeine`.
    pub word: &'static str,
    /// What brings it.
    pub from: Vec<String>,
}

/// Words of an ingredient's caution that must be named: quinine (US 21 CFR 172.575; Reg. (EU) 1169/2011) and
/// caffeine (Reg. (EU) 1169/2011, Annex III, from memory).
const NAMED: [&str; 2] = ["quinine", "caffeine"];

/// Strength, % vol, from which a drink is alcoholic to most law (Reg. (EU) 1169/2011 asks for the strength of
/// drinks above 1.2; many a country calls alcohol-free what is at most 0.5).
pub const ALCOHOL_FREE_PCT: f64 = 0.5;

impl Label {
    /// Whether there is alcohol in it to speak of.
    #[must_use]
    pub fn is_alcoholic(&self) -> bool {
        self.abv_pct.value.is_some_and(|v| v > ALCOHOL_FREE_PCT)
    }

    /// The line of caution about alcohol.
    #[must_use]
    pub fn alcohol_line(&self) -> &'static str {
        if self.is_alcoholic() {
            "Alcohol: not for minors, not in pregnancy, not before driving."
        } else if self.ethanol_g.value.is_some_and(|g| g > 0.005) {
            "At most 0.5 % vol: what may be called alcohol-free differs by country."
        } else {
            ""
        }
    }

    /// What is to be said where there is raw egg, and by whose advice.
    #[must_use]
    pub fn egg_line(&self) -> &'static str {
        if self.raw_egg.is_empty() {
            return "";
        }
        match self.country.country.as_str() {
            "UK" => {
                "Raw egg: tell the guest. Eggs under an assurance scheme may be served raw to all but the severely immunocompromised (FSA 2017)."
            }
            "US" => {
                "Raw egg: a consumer advisory is asked for; use pasteurised egg for the elderly, the very young and the ill (FDA Food Code, from memory)."
            }
            _ => {
                "Raw egg: tell the guest; not for infants, the elderly, the pregnant or the ill unless it is pasteurised. Local law decides."
            }
        }
    }
}

/// What is to be said of a drink, its alcohol counted in the standard drinks of a country (its own where none
/// is given).
#[must_use]
pub fn label(worked: &ComputedDrink, country: Option<&'static StandardDrink>) -> Label {
    let country = country.unwrap_or(worked.resolved.standard_drink);
    let evaluation = &worked.evaluation;
    let glass = &worked.built.glass;
    let ethanol_g = evaluation.figures.ethanol_g;
    let counted = |grams: Option<f64>| grams.map(|g| country.count(g));
    let mut parts = Parts::new();
    for (_, pour) in worked.resolved.pours() {
        let volume_ml = worked.built.brought(pour).volume_ml;
        if let Some(ingredient) = worked.context.ingredient(&pour.ingredient) {
            parts.take(&pour.ingredient, &ingredient, true);
            parts.wine(worked, &pour.ingredient, volume_ml, &mut Vec::new());
        }
        for other in others(worked, &pour.typed) {
            parts.take(&other.name, other, false);
        }
    }
    for words in garnish::items(worked) {
        match garnish::ingredient(worked, words) {
            Some(ingredient) => {
                parts.take(words, ingredient, true);
                parts.wine(worked, &ingredient.name, 0.0, &mut Vec::new());
            }
            None => {
                parts.eu.unknown_of(words);
                parts.us.unknown_of(words);
            }
        }
    }
    parts.eu.settle();
    parts.us.settle();
    // Declared of a preparation itself, and of none of its parts.
    if parts.sulphites.is_empty() {
        let declared = parts.eu.contains.iter().find(|a| a.word == "sulphites");
        parts.sulphites = declared
            .into_iter()
            .flat_map(|a| a.from.iter().map(|from| (from.clone(), 0.0)))
            .collect();
    }
    let volume = glass.volume_ml();
    let sure: f64 = parts.sulphites.iter().map(|(_, ml)| ml).sum();
    let perhaps: Vec<String> = parts
        .eu
        .may_contain
        .iter()
        .filter(|a| a.word == "sulphites")
        .flat_map(|a| a.from.iter().cloned())
        .collect();
    let energy = Energy::of(glass);
    Label {
        name: worked.drink.name.clone(),
        book: worked.found_in.book.clone(),
        abv_pct: evaluation.figures.abv_pct,
        poured_abv_pct: evaluation.before.abv_pct,
        volume_ml: evaluation.figures.volume_ml,
        ethanol_g,
        standard_drinks: Figure {
            value: counted(ethanol_g.value),
            low: counted(ethanol_g.low),
            high: counted(ethanol_g.high),
            standard_uncertainty: counted(ethanol_g.standard_uncertainty),
        },
        country,
        energy,
        energy_per_100ml: ratio(100.0, volume).map(|share| Energy {
            kj: energy.kj * share,
            kcal: energy.kcal * share,
        }),
        sugar_g: glass.sugar_g(),
        sulphites: (!parts.sulphites.is_empty() || !perhaps.is_empty()).then(|| Sulphites {
            share_pct: ratio(100.0 * sure, volume).unwrap_or(0.0),
            sure: parts.sulphites,
            perhaps,
        }),
        eu: parts.eu,
        us: parts.us,
        named: parts.named.into_iter().filter(|n| !n.from.is_empty()).collect(),
        raw_egg: parts.raw_egg,
        cautions: parts.cautions,
    }
}

/// The other ingredients that a line leaves to choose.
fn others<'a>(worked: &'a ComputedDrink, written: &crate::spec::Pour) -> Vec<&'a Ingredient> {
    let stock = &worked.context.stock;
    let mut others = Vec::new();
    for (at, named) in written.choices.iter().enumerate() {
        if named.any {
            others.extend(stock.group(&named.name));
        } else if at > 0
            && let Found::Sure(ingredient) | Found::Taken(ingredient, _) = stock.find(&named.name)
        {
            others.push(ingredient);
        }
    }
    others
}

/// What the parts of a drink say, as far as they have been looked at.
struct Parts {
    eu: Declared,
    us: Declared,
    sulphites: Vec<(String, f64)>,
    named: [Named; 2],
    raw_egg: Vec<String>,
    cautions: Vec<String>,
}

impl Parts {
    fn new() -> Parts {
        Parts {
            eu: Declared::nothing(AllergenList::Eu),
            us: Declared::nothing(AllergenList::Us),
            sulphites: Vec::new(),
            named: NAMED.map(|word| Named {
                word,
                from: Vec::new(),
            }),
            raw_egg: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// What of so much of an ingredient holds sulphites for sure: of what is made here, the parts that do.
    fn wine(&mut self, worked: &ComputedDrink, name: &str, volume_ml: f64, within: &mut Vec<String>) {
        if let Some(made) = worked.context.preparations.named(name)
            && !within.contains(&key(made.name()))
        {
            within.push(key(made.name()));
            for (part, ml, _) in made.made_of(volume_ml) {
                self.wine(worked, part, ml, within);
            }
            within.pop();
            return;
        }
        let known = worked.context.ingredient(name);
        if known.is_some_and(|i| i.allergens_eu.contains.iter().any(|w| w == "sulphites")) {
            match self.sulphites.iter_mut().find(|(other, _)| other == name) {
                Some((_, ml)) => *ml += volume_ml,
                None => self.sulphites.push((name.to_owned(), volume_ml)),
            }
        }
    }

    fn take(&mut self, from: &str, ingredient: &Ingredient, certain: bool) {
        self.eu.take(from, &ingredient.allergens_eu, certain);
        self.us.take(from, &ingredient.allergens_us, certain);
        let caution = ingredient.caution.as_str();
        for named in &mut self.named {
            if caution.contains(named.word) && !named.from.iter().any(|f| f == from) {
                named.from.push(from.to_owned());
            }
        }
        // The library says which egg is raw; of the house's own it is taken to be, unless its name says otherwise.
        let own_egg = ingredient.origin != Origin::Library && ingredient.kind == IngredientKind::Egg;
        let raw_egg = caution.contains("raw egg") || own_egg && !key(&ingredient.name).contains("pasteuri");
        if raw_egg && !self.raw_egg.iter().any(|f| f == from) {
            self.raw_egg.push(from.to_owned());
        }
        // What only names the thing has been said.
        let said = NAMED
            .iter()
            .any(|word| caution == *word || caution == format!("{word}: must be named"));
        if !caution.is_empty() && !said && !raw_egg {
            let caution = format!("{from}: {caution}");
            if !self.cautions.contains(&caution) {
                self.cautions.push(caution);
            }
        }
    }
}
