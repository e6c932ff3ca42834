//! What must never go into a drink, and what goes in with care: words in a name, each with its source. One list for
//! pours, preparations and whatever is answered as its kind.
//!
//! A list of words is a net and no laboratory: what it does not know is not thereby safe, and local food-safety law
//! decides.

use crate::names::Expected;
use std::sync::OnceLock;

use serde::Deserialize;

use super::phrases::{Phrases, words};
use super::value::words as named;

const TABLE: &str = include_str!("../../../../fixtures/reference/hazards.csv");

/// How grave it is.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    PartialOrd,
    Ord,
    Deserialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[strum(serialize_all = "snake_case")]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Said with every drink that pours it.
    Caution,
    /// It never goes in.
    Refuse,
}

named!(Severity);

/// A word of a name that means harm.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Hazard {
    /// The words as the table has them.
    pub words: String,
    /// How grave it is.
    pub severity: Severity,
    /// What it does, and the usual care.
    pub message: String,
    /// Who says so.
    pub source: String,
}

/// A row; severity `none` is a name that only sounds like one ("tobacco barn").
#[derive(Debug, Deserialize)]
struct Row {
    words: String,
    severity: String,
    message: String,
    source: String,
}

fn table() -> &'static Phrases<Option<Hazard>> {
    static READ: OnceLock<Phrases<Option<Hazard>>> = OnceLock::new();
    READ.get_or_init(|| match read(TABLE) {
        Ok(table) => table,
        Err(error) => panic!("the table of hazards: {error}"),
    })
}

/// Every word of the table.
pub(super) fn hazard_words() -> impl Iterator<Item = String> {
    table().words().map(str::to_owned)
}

fn read(text: &str) -> Result<Phrases<Option<Hazard>>, Expected> {
    let mut table = Phrases::default();
    for row in csv::Reader::from_reader(text.as_bytes()).deserialize() {
        let row: Row = row.map_err(|e| Expected::new(e.to_string()))?;
        for words in row.words.split(';') {
            let hazard = Severity::from_word(&row.severity).map(|severity| Hazard {
                words: words.to_owned(),
                severity,
                message: row.message.clone(),
                source: row.source.clone(),
            });
            if hazard.is_none() && row.severity != "none" {
                return Err(Expected::new(format!(
                    "severity is refuse, caution or none, not `{}`",
                    row.severity
                )));
            }
            if hazard.is_some() && (row.message.is_empty() || row.source.is_empty()) {
                return Err(Expected::new(format!("`{words}` says not why, or by whom")));
            }
            if table.put(words, hazard).is_some() {
                return Err(Expected::new(format!("`{words}` stands twice")));
            }
        }
    }
    Ok(table)
}

/// What is harmful about something of that name, the gravest first: whole words and phrases, case, accents, hyphens
/// and plurals aside.
///
/// ```
/// use washline_core::ingredient::{Severity, hazards};
/// assert_eq!(hazards("tobacco-infused rum")[0].severity, Severity::Refuse);
/// assert!(hazards("white rum").is_empty());
/// ```
#[must_use]
pub fn hazards(name: &str) -> Vec<&'static Hazard> {
    let mut found: Vec<&'static Hazard> = Vec::new();
    for (_, hazard) in table().find(&words(name)) {
        if let Some(hazard) = hazard
            && !found.iter().any(|h| h.message == hazard.message)
        {
            found.push(hazard);
        }
    }
    found.sort_by_key(|h| std::cmp::Reverse(h.severity));
    found
}

/// Why something of that name never goes into a drink, where it never does.
#[must_use]
pub fn never(name: &str) -> Option<&'static str> {
    let worst = hazards(name).into_iter().next()?;
    (worst.severity == Severity::Refuse).then_some(worst.message.as_str())
}

/// What is said of something that never goes into a drink, where `typed` is such a thing.
#[must_use]
pub fn refusal(typed: &str) -> Option<String> {
    never(typed).map(|why| format!("`{typed}` never goes into a drink: {why}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn worst(name: &str) -> Option<Severity> {
        hazards(name).first().map(|h| h.severity)
    }

    #[test]
    fn the_table_reads() {
        read(TABLE).unwrap();
    }

    #[test]
    fn poisons_are_refused_by_whole_words() {
        for name in [
            "pipe tobacco",
            "tobacco-infused rum",
            "cigar leaf bourbon",
            "nicotine",
            "Apricot kernels",
            "bitter almonds",
            "foxglove cordial",
            "oleander honey",
            "cherry-laurel leaf vodka",
            "raw kidney beans",
            "activated charcoal lemonade",
            "tonka-bean syrup",
            "borax",
            "lily of the valley gin",
            "calamus bitters",
            "deadly nightshade liqueur",
            "sassafras syrup",
            "castor beans",
            "methanol",
        ] {
            assert_eq!(worst(name), Some(Severity::Refuse), "{name}");
        }
    }

    #[test]
    fn what_only_sounds_like_one_is_not() {
        for name in [
            "yellow herbal liqueur",
            "tobacco barn rum",
            "charcoal-mellowed whiskey",
            "charcoal-filtered vodka",
            "bay laurel syrup",
            "white rum",
            "kidney",
            "almond milk",
            "apricot liqueur",
            "elderflower cordial",
            "new york sour mix",
        ] {
            assert_ne!(worst(name), Some(Severity::Refuse), "{name}");
        }
    }

    /// The library holds nothing that is refused, but for what is food in some countries and none in others.
    #[test]
    fn the_library_is_not_refused() {
        let stock = crate::ingredient::library();
        let mut refused: Vec<&str> = stock
            .iter()
            .filter(|i| {
                std::iter::once(&i.name)
                    .chain(&i.aliases)
                    .any(|name| never(name).is_some())
            })
            .map(|i| i.name.as_str())
            .collect();
        refused.dedup();
        assert_eq!(refused, ["tonka bean"]);
    }

    #[test]
    fn what_needs_care_is_said() {
        for name in [
            "egg white",
            "quinine tincture",
            "cinchona syrup",
            "liquorice root",
            "CBD tincture",
            "garlic oil",
            "grapefruit juice",
            "grated nutmeg",
            "wormwood tincture",
            "rue sprig",
            "dry ice",
            "liquid nitrogen",
            "unpasteurised milk",
        ] {
            assert_eq!(worst(name), Some(Severity::Caution), "{name}");
        }
    }

    #[test]
    fn the_gravest_comes_first_and_once() {
        let both = hazards("tobacco and tobacco leaf with egg white");
        assert_eq!(both[0].severity, Severity::Refuse);
        assert_eq!(both.len(), 2);
        assert_eq!(never("egg white"), None);
        assert!(never("cigarette tobacco").is_some_and(|why| why.contains("nicotine")));
    }
}
