//! Allergens that a name says by itself: "butter-washed rum" holds milk, whatever else is known of it.
//!
//! What is distilled from a grain, from whey or from nuts is exempt (Regulation (EU) 1169/2011, Annex II, 1, 7 and 8);
//! what is added after distilling is not: "rye whiskey" names nothing, "sourdough-washed rye whiskey" names gluten.

use crate::names::Expected;
use std::sync::OnceLock;

use serde::Deserialize;

use super::phrases::{Phrases, words};
use super::{AllergenList, Declaration};

const TABLE: &str = include_str!("../../../../fixtures/reference/allergen_words.csv");

/// An allergen that a word of a name means.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct NamedAllergen {
    /// The group, in the words of [`AllergenList::Eu`].
    pub group: &'static str,
    /// The words that mean it, as the table has them.
    pub words: String,
    /// Whether it is certainly in it; else in some products of that name.
    pub certain: bool,
    /// What there is to know about the word; empty for nothing.
    pub note: String,
}

/// What a phrase says: the groups it means, and those it says are not in it ("dairy-free").
#[derive(Debug, Default)]
struct Says {
    means: Vec<NamedAllergen>,
    denies: Vec<&'static str>,
}

/// A row: groups as a declaration writes them (`milk; nuts?`), `none` of a false friend, `-milk` of a word that denies.
#[derive(Debug, Deserialize)]
struct Row {
    words: String,
    groups: String,
    note: String,
}

fn table() -> &'static Phrases<Says> {
    static READ: OnceLock<Phrases<Says>> = OnceLock::new();
    READ.get_or_init(|| match read(TABLE) {
        Ok(table) => table,
        Err(error) => panic!("the table of allergen words: {error}"),
    })
}

/// Every word of the table.
pub(super) fn allergen_words() -> impl Iterator<Item = String> {
    table().words().map(str::to_owned)
}

fn read(text: &str) -> Result<Phrases<Says>, Expected> {
    let mut table = Phrases::default();
    for row in csv::Reader::from_reader(text.as_bytes()).deserialize() {
        let row: Row = row.map_err(|e| Expected::new(e.to_string()))?;
        for words in row.words.split(';') {
            let mut says = Says::default();
            for group in row.groups.split(';').map(str::trim).filter(|g| *g != "none") {
                let (group, denied) = group.strip_prefix('-').map_or((group, false), |g| (g, true));
                let (group, certain) = group.strip_suffix('?').map_or((group, true), |g| (g, false));
                let known = AllergenList::Eu.words().iter().find(|w| **w == group);
                let group = *known.ok_or_else(|| format!("`{words}`: no group `{group}`"))?;
                if denied {
                    says.denies.push(group);
                } else {
                    says.means.push(NamedAllergen {
                        group,
                        words: words.to_owned(),
                        certain,
                        note: row.note.clone(),
                    });
                }
            }
            if table.put(words, says).is_some() {
                return Err(Expected::new(format!("`{words}` stands twice")));
            }
        }
    }
    Ok(table)
}

/// The allergens that the words of a name mean, each group once: whole words and phrases, case, accents, hyphens and
/// plurals aside. A claim ("dairy-free cream") makes it possible and not certain: the label says.
///
/// ```
/// use washline_core::ingredient::allergens_named;
/// assert_eq!(allergens_named("brown-butter-washed rum")[0].group, "milk");
/// assert!(allergens_named("coconut water").is_empty());
/// ```
#[must_use]
pub fn allergens_named(name: &str) -> Vec<NamedAllergen> {
    let words = words(name);
    let found = table().find(&words);
    let denied: Vec<&str> = found.iter().flat_map(|(_, s)| s.denies.iter().copied()).collect();
    let mut named: Vec<NamedAllergen> = Vec::new();
    let meant = found.iter().flat_map(|(range, says)| {
        let claimed = words.get(range.end).is_some_and(|next| next == "free");
        says.means.iter().map(move |meant| (meant, claimed))
    });
    for (meant, claimed) in meant {
        let certain = meant.certain && !claimed && !denied.contains(&meant.group);
        match named.iter_mut().find(|n| n.group == meant.group) {
            Some(before) if certain && !before.certain => *before = meant.clone(),
            Some(_) => {}
            None => named.push(NamedAllergen {
                certain,
                ..meant.clone()
            }),
        }
    }
    named
}

/// The same as a declaration on the European list.
#[must_use]
pub fn declared_by_name(name: &str) -> Declaration {
    let mut declared = Declaration::default();
    for allergen in allergens_named(name) {
        let list = if allergen.certain {
            &mut declared.contains
        } else {
            &mut declared.may_contain
        };
        list.push(allergen.group.to_owned());
    }
    declared.contains.sort();
    declared.may_contain.sort();
    declared
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(name: &str) -> String {
        declared_by_name(name).written()
    }

    #[test]
    fn the_table_reads_and_names_all_fourteen() {
        read(TABLE).unwrap();
        let one_each = [
            ("barley malt", "gluten"),
            ("prawn shells", "crustaceans"),
            ("yolk", "eggs"),
            ("anchovies", "fish"),
            ("peanut", "peanuts"),
            ("edamame", "soya"),
            ("ghee", "milk"),
            ("walnuts", "nuts"),
            ("celeriac", "celery"),
            ("mustard seeds", "mustard"),
            ("tahini", "sesame"),
            ("red wine", "sulphites"),
            ("lupin", "lupin"),
            ("oyster shell", "molluscs"),
        ];
        assert_eq!(one_each.len(), AllergenList::Eu.words().len());
        for (name, group) in one_each {
            let named = allergens_named(name);
            assert_eq!(
                named.iter().map(|n| n.group).collect::<Vec<_>>(),
                [group],
                "{name}"
            );
        }
    }

    #[test]
    fn what_is_added_after_distilling_counts() {
        assert_eq!(said("brown-butter-washed rum"), "milk");
        assert_eq!(said("toasted sourdough whisky"), "gluten");
        assert_eq!(said("sesame-oil-washed whisky"), "sesame");
        assert_eq!(said("peanut-butter bourbon"), "peanuts");
        assert_eq!(said("pistachio-infused vodka"), "nuts");
        assert_eq!(said("oat-washed gin"), "gluten");
        assert_eq!(said("milk-washed rye whiskey"), "milk");
        assert_eq!(said("toasted barley gin"), "gluten");
    }

    #[test]
    fn what_is_distilled_does_not() {
        for name in [
            "rye whiskey",
            "rye",
            "single malt whisky",
            "peated malt whisky",
            "wheat vodka",
            "grain whisky",
            "barley shochu",
            "gin",
        ] {
            assert_eq!(said(name), "none", "{name}");
        }
    }

    #[test]
    fn false_friends_name_nothing() {
        for name in [
            "coconut milk",
            "coconut cream",
            "cream of coconut",
            "coconut water",
            "nutmeg",
            "butternut squash",
            "water chestnut",
            "cream of tartar",
            "cream soda",
            "cocoa butter",
            "butterfly pea tea",
            "milk thistle",
            "tiger nuts",
            "pine nut",
            "buckwheat honey",
            "ginger beer",
            "root beer",
            "eggplant",
            "egg plant",
            "creme de cassis",
            "apple butter",
            "kola nut syrup",
            "oyster mushroom",
            "fig",
        ] {
            assert_eq!(said(name), "none", "{name}");
        }
        assert_eq!(said("cream sherry"), "sulphites");
        assert_eq!(said("oat milk"), "gluten");
        assert_eq!(said("almond milk"), "nuts");
        assert_eq!(said("soya milk"), "soya");
        assert_eq!(said("peanut butter"), "peanuts");
    }

    #[test]
    fn a_claim_makes_it_possible_and_no_more() {
        assert_eq!(said("dairy-free cream"), "milk?");
        assert_eq!(said("gluten-free beer"), "gluten?");
        assert_eq!(said("clam-free tomato juice"), "molluscs?");
        assert_eq!(said("vegan cream"), "gluten?; milk?; nuts?; soya?");
        assert_eq!(said("miso caramel"), "soya; gluten?; milk?");
    }

    #[test]
    fn groups_are_named_once_and_certainly_where_one_word_is_certain() {
        assert_eq!(said("butter and cream caramel"), "milk");
        assert_eq!(
            said("Worcestershire-style sauce"),
            "fish; celery?; gluten?; mustard?; soya?"
        );
        assert_eq!(said("sesame orgeat"), "sesame");
    }
}
