//! Allergens to declare: the 14 of Regulation (EU) 1169/2011, Annex II, and the 9 of the United States
//! (Food Allergen Labeling and Consumer Protection Act, with sesame since 2023).
//!
//! "Unknown" is not "none": a product that may differ from bottle to bottle says so, and so does
//! every drink that pours it. Local law decides what a menu must say.

use crate::names::Expected;
use serde::{Deserialize, Serialize};

/// Which list a declaration follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AllergenList {
    /// Regulation (EU) 1169/2011, Annex II: 14.
    Eu,
    /// United States: 9.
    Us,
}

impl AllergenList {
    /// The words of the list, as library files and screens have them.
    #[must_use]
    pub fn words(self) -> &'static [&'static str] {
        match self {
            AllergenList::Eu => &[
                "gluten",
                "crustaceans",
                "eggs",
                "fish",
                "peanuts",
                "soya",
                "milk",
                "nuts",
                "celery",
                "mustard",
                "sesame",
                "sulphites",
                "lupin",
                "molluscs",
            ],
            AllergenList::Us => &[
                "milk",
                "egg",
                "fish",
                "crustacean shellfish",
                "tree nuts",
                "peanuts",
                "wheat",
                "soybeans",
                "sesame",
            ],
        }
    }
}

/// What is declared of an ingredient or a drink on one list.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Declaration {
    /// Certainly in it.
    pub contains: Vec<String>,
    /// In some products or bottles of it.
    pub may_contain: Vec<String>,
    /// Nobody has said, for at least a part of it.
    pub unknown: bool,
}

/// What is said where a list of allergens names nothing.
pub const NONE_USUAL: &str = "none of the list usual";

impl Declaration {
    /// Read the words of a library cell: `milk; nuts?`, `none` or `unknown`.
    ///
    /// # Errors
    /// Names the first word that is not on the list.
    pub fn read(list: AllergenList, text: &str) -> Result<Declaration, Expected> {
        let mut declared = Declaration::default();
        for word in text.split(';').map(str::trim).filter(|w| !w.is_empty()) {
            let (name, maybe) = word.strip_suffix('?').map_or((word, false), |n| (n.trim(), true));
            match name {
                "none" => {}
                "unknown" => declared.unknown = true,
                _ if !list.words().contains(&name) => {
                    return Err(Expected::new(format!(
                        "`{name}` is not on the list: {}",
                        list.words().join(", ")
                    )));
                }
                _ if maybe => declared.may_contain.push(name.to_owned()),
                _ => declared.contains.push(name.to_owned()),
            }
        }
        if text.trim().is_empty() {
            declared.unknown = true;
        }
        Ok(declared)
    }

    /// The declaration of both together.
    pub fn join(&mut self, other: &Declaration) {
        for word in &other.contains {
            if !self.contains.contains(word) {
                self.contains.push(word.clone());
            }
        }
        for word in &other.may_contain {
            if !self.may_contain.contains(word) {
                self.may_contain.push(word.clone());
            }
        }
        let contains = &self.contains;
        self.may_contain.retain(|w| !contains.contains(w));
        self.contains.sort();
        self.may_contain.sort();
        self.unknown |= other.unknown;
    }

    /// In the words of a library cell, the inverse of [`Declaration::read`].
    #[must_use]
    pub fn written(&self) -> String {
        let mut words: Vec<String> = self.contains.clone();
        words.extend(self.may_contain.iter().map(|w| format!("{w}?")));
        if self.unknown {
            words.push("unknown".to_owned());
        }
        if words.is_empty() {
            "none".to_owned()
        } else {
            words.join("; ")
        }
    }

    /// What both lists say: "EU list: contains eggs; US list: contains egg"; said once where it is the same.
    #[must_use]
    pub fn of_both_lists(eu: &Declaration, us: &Declaration) -> String {
        let (eu, us) = (eu.sentence(), us.sentence());
        if eu == us {
            format!("EU list and US list: {eu}")
        } else {
            format!("EU list: {eu}; US list: {us}")
        }
    }

    /// A line for a screen: "contains eggs; may contain nuts; unknown for a part of it".
    #[must_use]
    pub fn sentence(&self) -> String {
        let mut parts = Vec::new();
        if !self.contains.is_empty() {
            parts.push(format!("contains {}", self.contains.join(", ")));
        }
        if !self.may_contain.is_empty() {
            parts.push(format!("may contain {}", self.may_contain.join(", ")));
        }
        if self.unknown {
            parts.push("unknown for a part of it".to_owned());
        }
        if parts.is_empty() {
            NONE_USUAL.to_owned()
        } else {
            parts.join("; ")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unknown_is_not_none() {
        let eu = |t| Declaration::read(AllergenList::Eu, t).unwrap();
        assert!(eu("").unknown && eu("unknown").unknown && !eu("none").unknown);
        let mut drink = eu("eggs; nuts?");
        drink.join(&eu("nuts"));
        drink.join(&eu("unknown"));
        assert_eq!(drink.sentence(), "contains eggs, nuts; unknown for a part of it");
        assert_eq!(eu(&drink.written()), drink);
        assert!(Declaration::read(AllergenList::Eu, "almond").is_err());
    }
}
