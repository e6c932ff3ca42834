//! What a book sets for all its drinks, and the small values its `key: value` lines hold.

use crate::names::Expected;
use std::collections::BTreeMap;
use std::str::FromStr;

use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

use super::cold::Cold;
use crate::ingredient::{Bought, Convention, Package};
use crate::measure::{Amount, Currency, Dimension, Measures, Ounce, Unit};

/// The settings of a book. What it leaves out, the house's own settings fill in, and then the defaults.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Settings {
    /// The currency of its prices.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub currency: Option<Currency>,
    /// Which ounce its amounts are in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ounce: Option<Ounce>,
    /// Which convention its juices are counted in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub convention: Option<Convention>,
    /// The country whose standard drink is counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub country: Option<String>,
    /// The serve before ice that parts are shares of, ml.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub serve_ml: Option<Amount>,
    /// Sizes of measures the house has found, ml (g for a pinch).
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub measures: BTreeMap<Unit, Amount>,
    /// Brimful capacities of its glasses, ml, by folded name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub glasses: BTreeMap<String, Amount>,
    /// What words with several meanings are taken for: folded word → ingredient.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub meanings: BTreeMap<String, String>,
    /// The sizes of its jiggers, ml, smallest first; one alone is a step. Empty for the usual steps.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub jigger_set: Vec<Amount>,
    /// The bar's ice, tins and room.
    #[serde(default, skip_serializing_if = "Cold::is_empty")]
    pub cold: Cold,
    /// When its drinks are poured, words between commas: theirs where they say nothing else.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub season: Option<String>,
    /// Words on its drinks, between commas, beside those of each.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tags: Option<String>,
    /// What the house and the book call their own, beside the library: a text is read in the light of it.
    #[serde(skip)]
    pub own_names: super::OwnNames,
}

/// Whether a bar may say how large its own is: a measure that is no fixed volume.
fn is_settable(unit: Unit) -> bool {
    unit.facts().size.is_some_and(|s| s.span.is_some())
        || matches!(unit, Unit::Teaspoon | Unit::Tablespoon | Unit::Cup | Unit::Bottle)
}

/// A size above nothing and at most `most`.
fn within(amount: Amount, most: Amount, is_mass: bool) -> Result<(), Expected> {
    if amount.is_zero() || amount > most {
        return Err(Expected::new(format!(
            "expected a size above 0 and at most {}",
            large(most, is_mass)
        )));
    }
    Ok(())
}

/// The ingredient that a word of several meanings is to be taken for: `honey: 2:1` is the syrup.
fn what_is_meant(said: &str, value: &str) -> Result<String, Expected> {
    let stock = crate::ingredient::library();
    let tried = [
        value.to_owned(),
        format!("{said} {value}"),
        format!("rich syrup {value}"),
    ];
    let Some(target) = tried.iter().find(|name| stock.usual(name).is_some()) else {
        let near = stock.nearest(&tried[1]);
        return Err(Expected::new(format!(
            "expected an ingredient it is to be taken for{}",
            near.first()
                .map(|n| format!(", such as `{n}`"))
                .unwrap_or_default()
        )));
    };
    Ok(stock
        .usual(target)
        .map_or_else(|| target.clone(), |i| i.name.clone()))
}

impl Settings {
    /// These settings, with what they leave open taken from `others`.
    #[must_use]
    pub fn over(&self, others: &Settings) -> Settings {
        fn join<K: Clone + Ord, V: Clone>(own: &BTreeMap<K, V>, others: &BTreeMap<K, V>) -> BTreeMap<K, V> {
            let mut joined = others.clone();
            joined.extend(own.iter().map(|(k, v)| (k.clone(), v.clone())));
            joined
        }
        Settings {
            currency: self.currency.or(others.currency),
            ounce: self.ounce.or(others.ounce),
            convention: self.convention.or(others.convention),
            country: self.country.clone().or_else(|| others.country.clone()),
            serve_ml: self.serve_ml.or(others.serve_ml),
            // Of this list and no other.
            season: self.season.clone(),
            tags: self.tags.clone(),
            cold: self.cold.over(&others.cold),
            own_names: if self.own_names == super::OwnNames::default() {
                others.own_names.clone()
            } else {
                self.own_names.clone()
            },
            measures: join(&self.measures, &others.measures),
            glasses: join(&self.glasses, &others.glasses),
            meanings: join(&self.meanings, &others.meanings),
            jigger_set: if self.jigger_set.is_empty() {
                others.jigger_set.clone()
            } else {
                self.jigger_set.clone()
            },
        }
    }

    /// The measures they come to.
    #[must_use]
    pub fn to_measures(&self) -> Measures {
        Measures {
            ounce: self.ounce.unwrap_or_default(),
            own: self.measures.clone(),
        }
    }

    /// Read one setting. `Ok(None)` when `key` is no setting; the written key and value when it is.
    ///
    /// # Errors
    /// When the value is not one the setting can have: what was expected.
    pub fn set(&mut self, key: &str, value: &str) -> Result<Option<(String, String)>, Expected> {
        let folded = crate::names::key(key);
        let written = |k: &str, v: String| Ok(Some((k.to_owned(), v)));
        match folded.as_str() {
            "currency" => {
                let currency = Currency::named(value)?;
                self.currency = Some(currency);
                written("currency", currency.code().to_owned())
            }
            "ounce" | "oz" => {
                let ounce = Ounce::named(value).ok_or("expected `US`, `UK` or `30 ml`")?;
                self.ounce = Some(ounce);
                written("ounce", ounce.written().to_owned())
            }
            "acid convention" | "convention" => {
                let convention = Convention::from_word(value).ok_or("expected `handbook` or `assay`")?;
                self.convention = Some(convention);
                written("acid convention", convention.word().to_owned())
            }
            "country" => {
                let country = crate::tables::StandardDrink::of_country(value).ok_or_else(|| {
                    let known: Vec<&str> = crate::tables::StandardDrink::all()
                        .map(|s| s.country.as_str())
                        .collect();
                    format!(
                        "expected a country whose standard drink is known: {}",
                        known.join(", ")
                    )
                })?;
                self.country = Some(country.country.to_owned());
                written("country", country.country.to_owned())
            }
            "serve" => {
                let (amount, text) = self.vessel(value)?;
                self.serve_ml = Some(amount);
                written("serve", text)
            }
            "season" | "seasons" => {
                let words = words_between_commas(value)?;
                self.season = Some(words.clone());
                written("season", words)
            }
            "tags" | "tag" => {
                let words = words_between_commas(value)?;
                self.tags = Some(words.clone());
                written("tags", words)
            }
            "jigger set" => {
                let (sizes, text) = jigger_set(value, self.ounce)?;
                self.jigger_set = sizes;
                written("jigger set", text)
            }
            _ => {
                if let Some(set) = self.cold.set(&folded, value) {
                    return set.map(Some);
                }
                if let Some(unit) = Unit::spelt(key).filter(|u| is_settable(*u)) {
                    let text = self.set_measure(unit, value)?;
                    return written(unit.facts().written.0, text);
                }
                if crate::tables::Glass::known(&folded).is_some() {
                    let (amount, text) = self.vessel(value)?;
                    self.glasses.insert(folded, amount);
                    return written(key.trim(), text);
                }
                if crate::ingredient::library()
                    .meanings()
                    .any(|(said, _)| said == folded)
                {
                    let meant = what_is_meant(key.trim(), value.trim())?;
                    self.meanings.insert(folded, meant);
                    return written(key.trim(), value.trim().to_owned());
                }
                Ok(None)
            }
        }
    }

    /// A volume of at most the largest vessel, and as it is written.
    fn vessel(&self, value: &str) -> Result<(Amount, String), Expected> {
        let (amount, text) = volume(value, self.ounce)?;
        within(amount, LARGEST_VESSEL, false)?;
        Ok((amount, text))
    }

    /// Set the size of a bar's measure, and say how it is written.
    fn set_measure(&mut self, unit: Unit, value: &str) -> Result<String, Expected> {
        let (amount, text) = if unit == Unit::Pinch {
            mass(value)?
        } else {
            volume(value, self.ounce)?
        };
        let span = unit.facts().size.and_then(|s| s.span);
        let most = span.map_or(LARGEST_VESSEL, |(_, high)| high * MEASURE_TIMES);
        within(amount, most, unit == Unit::Pinch)?;
        self.measures.insert(unit, amount);
        Ok(text)
    }

    /// The keys a book can set, for suggestions.
    #[must_use]
    pub fn keys() -> Vec<String> {
        let mut keys: Vec<String> = [
            "currency",
            "ounce",
            "acid convention",
            "country",
            "serve",
            "jigger set",
            "season",
            "tags",
        ]
        .iter()
        .map(|&k| k.to_owned())
        .collect();
        keys.extend(Cold::keys().map(str::to_owned));
        keys.extend(
            crate::measure::UNITS
                .iter()
                .filter(|u| u.size.is_some_and(|s| s.span.is_some()) || u.unit.said_of_many_sizes().is_some())
                .map(|u| u.written.0.to_owned()),
        );
        keys.extend(crate::tables::Glass::all().map(|g| g.name.clone()));
        keys.extend(
            crate::ingredient::library()
                .meanings()
                .map(|(said, _)| said.to_owned()),
        );
        keys
    }
}

/// Words between commas as they are kept: `low, house`.
pub(super) fn words_between_commas(text: &str) -> Result<String, Expected> {
    let words: Vec<&str> = between_commas(text).collect();
    if words.is_empty() || words.iter().any(|w| w.len() > 60) {
        return Err(Expected::new(
            "expected words such as `autumn`, or several with commas between",
        ));
    }
    Ok(words.join(", "))
}

/// Each of several words or phrases that have commas between them.
pub(super) fn between_commas(text: &str) -> impl Iterator<Item = &str> {
    text.split([',', ';'])
        .map(str::trim)
        .filter(|word| word.chars().any(char::is_alphanumeric))
}

/// The largest glass, cup, bottle or serve that can be set, ml: what is larger is a slip of the unit.
const LARGEST_VESSEL: Amount = Amount::raw(20_000, 1);

/// So many times the largest size that is published of a measure is a slip too: a barspoon of a tenth of a litre.
const MEASURE_TIMES: Amount = Amount::raw(20, 1);

fn large(most: Amount, is_mass: bool) -> String {
    format!("{most} {}", if is_mass { "g" } else { "ml" })
}

/// A volume with its unit, exact, in ml, and as it is written.
pub(super) fn volume(text: &str, ounce: Option<Ounce>) -> Result<(Amount, String), Expected> {
    let (amount, unit) = amount_and_unit(text).ok_or("expected a volume such as `90 ml`")?;
    let measures = Measures {
        ounce: ounce.unwrap_or_default(),
        own: BTreeMap::new(),
    };
    let size = match unit.facts().dimension {
        Dimension::Mass => None,
        _ => measures.size(unit),
    };
    let size = size.ok_or("expected a volume such as `90 ml`")?;
    Ok((
        amount * size.nominal,
        format!("{} {}", unit.amount_text(amount), unit.written_after(amount)),
    ))
}

/// The sizes of a jigger set, exact, in ml, smallest first, and as they are written.
fn jigger_set(text: &str, ounce: Option<Ounce>) -> Result<(Vec<Amount>, String), Expected> {
    const EXPECTED: &str =
        "expected the sizes of your jiggers such as `20 ml, 25 ml, 50 ml`, or one step such as `2.5 ml`";
    /// A jigger set has few sizes, and none as large as a tin.
    const MOST: (usize, Amount) = (12, Amount::raw(250, 1));
    let mut sizes = text
        .split(',')
        .map(|size| volume(size.trim(), ounce).map_err(|_| Expected::new(EXPECTED)))
        .collect::<Result<Vec<_>, _>>()?;
    if sizes.len() > MOST.0 || sizes.iter().any(|(ml, _)| ml.is_zero() || *ml > MOST.1) {
        return Err(Expected::new(EXPECTED));
    }
    sizes.sort_by_key(|(ml, _)| *ml);
    sizes.dedup_by_key(|(ml, _)| *ml);
    let (sizes, written): (Vec<Amount>, Vec<String>) = sizes.into_iter().unzip();
    Ok((sizes, written.join(", ")))
}

/// A mass with its unit, exact, in g, and as it is written.
pub(super) fn mass(text: &str) -> Result<(Amount, String), Expected> {
    let read = amount_and_unit(text).and_then(|(amount, unit)| {
        let facts = unit.facts();
        // A pinch is no measure to weigh by.
        let exact = facts
            .size
            .filter(|size| facts.dimension == Dimension::Mass && size.span.is_none());
        Some((
            amount * exact?.nominal,
            format!("{amount} {}", unit.written_after(amount)),
        ))
    });
    read.ok_or(Expected::new("expected a mass such as `96 g`"))
}

/// An amount and a unit, and nothing else.
fn amount_and_unit(text: &str) -> Option<(Amount, Unit)> {
    let tokens = super::tokens::tokens(text, 0);
    let phrase = super::amounts::phrase(&tokens, 0)?.ok()?;
    let words: Vec<String> = tokens[phrase.next..]
        .iter()
        .map(|t| text[t.span.clone()].to_owned())
        .collect();
    Some((phrase.extent.nominal, Unit::spelt(&words.join(" "))?))
}

/// A glass as a drink names it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct GlassNamed {
    /// Its name.
    pub name: String,
    /// Its brimful capacity as the line gives it, ml.
    pub capacity_ml: Option<Amount>,
}

/// Read `18.50 per 700 ml`, `18,50 EUR per 6 x 700 ml`: how a book says what an ingredient is bought for.
///
/// # Errors
/// What was expected.
pub fn price_per_package(text: &str, ounce: Ounce) -> Result<Bought, Expected> {
    const EXPECTED: &str = "expected a price and a package such as `18.50 per 700 ml`";
    let (money, package) = text.split_once(" per ").ok_or(EXPECTED)?;
    let money: Money = money.trim().parse()?;
    Ok(Bought::plain(
        Package::read(package, ounce)?,
        money.amount,
        money.currency,
    ))
}

/// A sum of money as written: exact, with its currency where the line names one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Money {
    /// How much.
    pub amount: Decimal,
    /// In what; `None` for the book's own currency.
    pub currency: Option<Currency>,
}

impl FromStr for Money {
    type Err = Expected;

    /// `13.50`, `13,50` or `13.50 EUR`: digits with at most one decimal mark and four decimals.
    fn from_str(text: &str) -> Result<Money, Expected> {
        const EXPECTED: &str = "expected a price such as `13.50` or `13.50 EUR`";
        let mut currency = None;
        let mut number = None;
        for word in text.trim_start_matches(['$', '€', '£', '¥']).split_whitespace() {
            if word.len() == 3 && word.bytes().all(|b| b.is_ascii_alphabetic()) && currency.is_none() {
                currency = Some(Currency::named(word)?);
            } else if number.replace(word.replace(',', ".")).is_some() {
                return Err(Expected::new(EXPECTED));
            }
        }
        let number = number.ok_or(EXPECTED)?;
        let (whole, part) = number.split_once('.').unwrap_or((&number, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if whole.is_empty() || whole.len() > 9 || part.len() > 4 || !digits(whole) || !digits(part) {
            return Err(Expected::new(EXPECTED));
        }
        let amount = Decimal::from_str_exact(number.trim_end_matches('.')).map_err(|_| EXPECTED)?;
        Ok(Money { amount, currency })
    }
}

impl std::fmt::Display for Money {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.currency {
            Some(currency) => write!(f, "{} {currency}", self.amount),
            None => write!(f, "{}", self.amount),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_jigger_set_is_sizes_or_a_step() {
        let mut settings = Settings::default();
        let said = settings
            .set("jigger set", "50 ml, 25 ml,25 ml , 2 cl")
            .unwrap()
            .unwrap();
        assert_eq!(said.1, "2 cl, 25 ml, 50 ml");
        assert_eq!(settings.jigger_set, [20, 25, 50].map(|ml| Amount::raw(ml, 1)));
        // A jigger is a measure of its own; its set is another matter.
        settings.set("jigger", "45 ml").unwrap();
        assert_eq!(settings.jigger_set.len(), 3);
        assert_eq!(Settings::default().over(&settings).jigger_set.len(), 3);
        for bad in ["", "0 ml", "25", "25 ml, cup of tea", "1 l", "25 g"] {
            assert!(settings.set("jigger set", bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_size_is_of_a_size_that_there_can_be() {
        let mut settings = Settings::default();
        for (key, good, bad) in [
            ("barspoon", "5 ml", "2000000 ml"),
            ("dash", "1 ml", "1 l"),
            ("bottle", "15 l", "21 l"),
            ("coupe", "150 ml", "150 l"),
            ("serve", "90 ml", "90 l"),
            ("pinch", "0.3 g", "300 g"),
        ] {
            assert!(settings.set(key, good).unwrap().is_some(), "{key}: {good}");
            let said = settings.set(key, bad).unwrap_err().to_string();
            assert!(said.contains("at most"), "{key}: {bad}: {said}");
        }
    }

    #[test]
    fn a_price_is_of_a_package() {
        let gin = price_per_package("18,50 eur per 6 x 700 ml", Ounce::Us).unwrap();
        assert_eq!(
            (gin.price.to_string(), gin.package.amount()),
            ("18.50".to_owned(), Amount::raw(4200, 1))
        );
        assert_eq!(gin.currency.map(Currency::code), Some("EUR"));
        for bad in [
            "18.50",
            "18.50 per",
            "18.50 XYZ per 700 ml",
            "per 700 ml",
            "18.50 per bottle",
        ] {
            assert!(price_per_package(bad, Ounce::Us).is_err(), "{bad}");
        }
    }

    #[test]
    fn words_of_a_list_are_its_own() {
        let mut list = Settings::default();
        assert_eq!(list.set("tag", " low ;house,").unwrap().unwrap().1, "low, house");
        list.set("season", "autumn").unwrap();
        assert!(list.set("season", " , ").is_err());
        let mut house = Settings::default();
        house.set("tags", "old").unwrap();
        assert_eq!(list.over(&house).tags.as_deref(), Some("low, house"));
        assert_eq!(Settings::default().over(&house).tags, None);
    }

    #[test]
    fn money_is_exact_and_strict() {
        assert_eq!("13.50".parse::<Money>().unwrap().to_string(), "13.50");
        assert_eq!("13,50 eur".parse::<Money>().unwrap().to_string(), "13.50 EUR");
        for bad in ["", "1e3", "12.34567", "-3", "1.2.3", "twelve", "5 6", "13.50 EVR"] {
            assert!(bad.parse::<Money>().is_err(), "{bad}");
        }
    }
}
