//! Words that stand for one thing of a list: structures, families, verdicts, allergens.

use crate::balance::{Evaluation, Finding, Standing, word};
#[cfg(test)]
use crate::ingredient::AllergenList;
use crate::names::Expected;
use crate::names::{key, nearest};
use crate::service::label::Label;
use crate::tables::{Family, Structure};

/// Why words stand for nothing on a list: what was expected, and what is near.
pub(super) struct NotListed {
    pub expected: String,
    pub near: Vec<String>,
}

fn not_listed(said: &str, words: &[&str], what: &str) -> NotListed {
    NotListed {
        expected: format!("expected {what}: {}", words.join(", ")),
        near: nearest(said, words.iter().map(|w| (*w, *w)), 3),
    }
}

/// The structures that words stand for: the one so called, else those that the words are a part of; sours are those with
/// egg white too.
pub(super) fn structures(said: &str) -> Result<Vec<Structure>, NotListed> {
    if let Some(one) = Structure::named(said) {
        return Ok(vec![one]);
    }
    let wanted = key(said);
    let is_part = |name: &str| {
        let positive = name.split(" not ").next().unwrap_or(name);
        !wanted.is_empty() && format!(" {positive} ").contains(&format!(" {wanted} "))
    };
    let found: Vec<Structure> = Structure::all()
        .filter(|s| {
            if matches!(wanted.as_str(), "sour" | "sours") {
                s.is_sour()
            } else {
                is_part(s.name())
            }
        })
        .collect();
    if found.is_empty() {
        let words: Vec<&str> = Structure::all().map(Structure::name).collect();
        return Err(not_listed(said, &words, "a structure"));
    }
    Ok(found)
}

/// The family so called.
pub(super) fn family(said: &str) -> Result<Family, NotListed> {
    Family::named(said).ok_or_else(|| {
        let words: Vec<&str> = Family::all().map(Family::name).collect();
        not_listed(said, &words, "a family")
    })
}

/// What can be asked of the verdict on a drink.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stands {
    /// It stands there.
    At(Standing),
    /// It is outside its range or its build is at fault.
    Flagged,
    /// A fault is said of it: `too sweet`, `thin`.
    Off(&'static str),
}

/// Words of a verdict beside those of [`Standing`], with what they stand for.
const STANDS: [(&str, Stands); 12] = [
    ("fault", Stands::At(Standing::Fault)),
    ("edge", Stands::At(Standing::Edge)),
    ("too close", Stands::At(Standing::TooClose)),
    ("no range", Stands::At(Standing::NoRange)),
    ("flagged", Stands::Flagged),
    ("too sweet", Stands::Off("sweet")),
    ("too dry", Stands::Off("dry")),
    ("too tart", Stands::Off("tart")),
    ("too flat", Stands::Off("flat")),
    ("too strong", Stands::Off("hot")),
    ("too thin", Stands::Off("thin")),
    ("too weak", Stands::Off("thin")),
];

/// The verdict that words stand for; `sweet` is `too sweet`.
pub(super) fn stands(said: &str) -> Result<Stands, NotListed> {
    let wanted = key(said);
    let standing = Standing::ALL.iter().copied().find(|s| s.words() == wanted);
    standing
        .map(Stands::At)
        .or_else(|| {
            let is = |words: &str| words == wanted || words.strip_prefix("too ") == Some(&wanted);
            STANDS
                .iter()
                .find(|(words, _)| is(words))
                .map(|(_, stands)| *stands)
        })
        .ok_or_else(|| {
            let mut words: Vec<&str> = Standing::WORDS.to_vec();
            words.extend(
                STANDS
                    .iter()
                    .skip_while(|(w, _)| *w != "flagged")
                    .map(|(w, _)| *w),
            );
            not_listed(said, &words, "a verdict")
        })
}

impl Stands {
    /// Whether it is so of a drink.
    pub fn holds(self, evaluation: &Evaluation) -> bool {
        let off = |finding: &Finding| match finding {
            Finding::OffBalance { measure, side, .. } => Some(word(*measure, *side)),
            _ => None,
        };
        match self {
            Stands::At(standing) => evaluation.standing() == standing,
            Stands::Flagged => evaluation.standing() <= Standing::Outside,
            Stands::Off(fault) => evaluation.findings.iter().any(|f| off(f) == Some(fault)),
        }
    }
}

/// An allergen by its word on the European list, on that of the United States, and as it is also said.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Allergen {
    eu: Option<&'static str>,
    us: Option<&'static str>,
    also: &'static [&'static str],
}

const fn allergen(
    eu: Option<&'static str>,
    us: Option<&'static str>,
    also: &'static [&'static str],
) -> Allergen {
    Allergen { eu, us, also }
}

/// Every word of either list. Gluten is that of more cereals than wheat, and so is another thing.
static ALLERGENS: [Allergen; 15] = [
    allergen(Some("gluten"), None, &[]),
    allergen(None, Some("wheat"), &[]),
    allergen(Some("crustaceans"), Some("crustacean shellfish"), &["crustacean"]),
    allergen(Some("eggs"), Some("egg"), &[]),
    allergen(Some("fish"), Some("fish"), &[]),
    allergen(Some("peanuts"), Some("peanuts"), &["peanut"]),
    allergen(Some("soya"), Some("soybeans"), &["soy", "soybean"]),
    allergen(Some("milk"), Some("milk"), &["dairy", "lactose"]),
    allergen(Some("nuts"), Some("tree nuts"), &["nut", "tree nut"]),
    allergen(Some("celery"), None, &[]),
    allergen(Some("mustard"), None, &[]),
    allergen(Some("sesame"), Some("sesame"), &[]),
    allergen(Some("sulphites"), None, &["sulfites", "sulphite", "sulfite"]),
    allergen(Some("lupin"), None, &[]),
    allergen(Some("molluscs"), None, &["mollusc", "mollusks"]),
];

/// The allergen that words stand for.
pub(super) fn allergen_named(said: &str) -> Result<&'static Allergen, NotListed> {
    let wanted = key(said);
    let is = |a: &&Allergen| {
        a.eu == Some(wanted.as_str()) || a.us == Some(wanted.as_str()) || a.also.contains(&wanted.as_str())
    };
    ALLERGENS.iter().find(is).ok_or_else(|| {
        let words: Vec<&str> = ALLERGENS.iter().filter_map(|a| a.eu.or(a.us)).collect();
        not_listed(said, &words, "an allergen")
    })
}

impl Allergen {
    /// Whether a label declares it; `Err` says who may bring it, or of what nobody has said.
    pub fn in_label(&self, label: &Label) -> Result<bool, Expected> {
        let both = [(self.eu, &label.eu), (self.us, &label.us)];
        let asked = || {
            both.iter()
                .filter_map(|(word, declared)| Some(((*word)?, *declared)))
        };
        if asked().any(|(word, d)| d.contains.iter().any(|a| a.word == word)) {
            return Ok(true);
        }
        for (word, declared) in asked() {
            if let Some(maybe) = declared.may_contain.iter().find(|a| a.word == word) {
                return Err(Expected::new(format!(
                    "some {} holds {word}",
                    maybe.from.join(", ")
                )));
            }
        }
        match asked().find(|(_, d)| !d.unknown.is_empty()) {
            Some((_, declared)) => Err(Expected::new(format!(
                "allergens unknown of {}",
                declared.unknown.join(", ")
            ))),
            None => Ok(false),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_of_both_lists_is_an_allergen() {
        for (list, of) in [
            (
                AllergenList::Eu,
                (|a: &Allergen| a.eu) as fn(&Allergen) -> Option<&'static str>,
            ),
            (AllergenList::Us, |a: &Allergen| a.us),
        ] {
            for word in list.words() {
                assert_eq!(allergen_named(word).ok().and_then(of), Some(*word), "{word}");
            }
        }
        assert!(allergen_named("egg").is_ok_and(|a| a.eu == Some("eggs")));
        assert!(allergen_named("mlik").is_err_and(|e| e.near == ["milk"]));
    }

    #[test]
    fn a_sour_is_shaken_sour_with_egg_white_or_without() {
        let of =
            |said: &str| structures(said).map(|all| all.into_iter().map(Structure::name).collect::<Vec<_>>());
        assert_eq!(
            of("sour").ok(),
            Some(vec!["shaken sour", "shaken with egg white"])
        );
        assert_eq!(of("built").ok(), Some(vec!["built short", "built long"]));
        assert_eq!(of("shaken, not sour").ok(), Some(vec!["shaken not sour"]));
        assert_eq!(of("shaken").ok().map(|all| all.len()), Some(4));
        assert!(of("soor").is_err());
    }
}
