//! Published tables built into the program: glasses, standard drinks.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::names::key;

/// Rows of a table that is part of the program; a test reads every one.
pub(crate) fn rows<T: serde::de::DeserializeOwned>(file: &str, text: &str) -> Vec<T> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap_or_else(|error| panic!("{file}: {error}")))
        .collect()
}

/// How a glass is used, which decides how much of it the ice takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Service {
    /// Without ice.
    Up,
    /// On cubes.
    Ice,
    /// On crushed ice.
    #[serde(rename = "crushed ice")]
    Crushed,
    /// For sparkling drinks, without ice.
    Sparkling,
    /// For hot drinks.
    Hot,
    /// A measure of its own.
    Neat,
}

/// A sort of glass with its usual capacity.
#[derive(Clone, Debug, Deserialize)]
pub struct Glass {
    /// Its name.
    pub name: String,
    /// Usual brimful capacity, mL.
    pub capacity_ml: f64,
    /// Smallest usual, mL.
    pub low_ml: f64,
    /// Largest usual, mL.
    pub high_ml: f64,
    /// How it is used.
    pub service: Service,
    /// Other names, `;` between them.
    pub also: String,
    /// Who says so.
    pub source: String,
    /// How far to trust it.
    pub status: String,
}

static GLASSES: LazyLock<Vec<Glass>> = LazyLock::new(|| {
    rows(
        "glasses.csv",
        include_str!("../../../../fixtures/reference/glasses.csv"),
    )
});

/// The same by every folded name: every line of work asks whether it ends in one.
static GLASSES_BY_KEY: LazyLock<HashMap<String, &'static Glass>> = LazyLock::new(|| {
    let names = |g: &'static Glass| std::iter::once(g.name.as_str()).chain(g.also.split(';'));
    GLASSES
        .iter()
        .flat_map(|g| names(g).map(move |name| (key(name), g)))
        .collect()
});

impl Glass {
    /// All known sorts.
    pub fn all() -> impl Iterator<Item = &'static Glass> {
        GLASSES.iter()
    }

    /// The sort of that name, by its own name or another.
    #[must_use]
    pub fn known(name: &str) -> Option<&'static Glass> {
        let wanted = key(name);
        let bare = wanted.strip_suffix(" glass").unwrap_or(&wanted);
        GLASSES_BY_KEY
            .get(&wanted)
            .or_else(|| GLASSES_BY_KEY.get(bare))
            .copied()
    }
}

/// How much ethanol a country counts as one standard drink. Sources are secondary and change: a
/// house can name another country; local guidance decides.
#[derive(Clone, Debug, Deserialize)]
pub struct StandardDrink {
    /// The country, or WHO.
    pub country: String,
    /// Ethanol, g.
    pub ethanol_g: f64,
    /// How far to trust it.
    pub status: String,
    /// What else the source says.
    pub note: String,
}

static STANDARD_DRINKS: LazyLock<Vec<StandardDrink>> = LazyLock::new(|| {
    rows(
        "standard_drinks.csv",
        include_str!("../../../../fixtures/reference/standard_drinks.csv"),
    )
});

impl StandardDrink {
    /// The country whose standard drink is counted when nobody names one.
    pub const DEFAULT_COUNTRY: &str = "WHO";

    /// All countries known.
    pub fn all() -> impl Iterator<Item = &'static StandardDrink> {
        STANDARD_DRINKS.iter()
    }

    /// The row of a country.
    #[must_use]
    pub fn of_country(country: &str) -> Option<&'static StandardDrink> {
        let wanted = key(country);
        let wanted = match wanted.as_str() {
            "united kingdom" | "gb" | "britain" | "great britain" => "uk",
            "united states" | "usa" | "america" => "us",
            other => other,
        };
        STANDARD_DRINKS.iter().find(|s| key(&s.country) == wanted)
    }

    /// What one is called there.
    #[must_use]
    pub fn unit(&self) -> String {
        if self.country == "UK" {
            "UK units".to_owned()
        } else {
            format!("{} standard drinks", self.country)
        }
    }

    /// How many of them a mass of ethanol comes to. A UK unit is 10 mL of ethanol, of which "8 g" is the rounding.
    #[must_use]
    pub fn count(&self, ethanol_g: f64) -> f64 {
        if self.country == "UK" {
            ethanol_g / crate::liquid::alcoholometry::ETHANOL_KG_PER_M3 * 100.0
        } else {
            ethanol_g / self.ethanol_g
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tables_read_and_names_are_unique() {
        let mut seen = std::collections::HashSet::new();
        for glass in Glass::all() {
            assert!(
                glass.low_ml <= glass.capacity_ml && glass.capacity_ml <= glass.high_ml,
                "{}",
                glass.name
            );
            for name in std::iter::once(glass.name.as_str()).chain(glass.also.split(';')) {
                assert!(seen.insert(key(name)), "{name}");
            }
        }
        assert_eq!(Glass::known("Coupe Glass").unwrap().name, "coupe");
        assert!(StandardDrink::all().all(|s| s.ethanol_g > 5.0));
        assert!(StandardDrink::of_country(StandardDrink::DEFAULT_COUNTRY).is_some());
    }
}
