//! Standard drinks of countries.

use std::sync::LazyLock;

use serde::Deserialize;

use super::{ETHANOL_KG_PER_M3, rows};
use crate::names::key;

/// How much ethanol a country counts as one standard drink. Sources are secondary and change: a
/// house can name another country; local guidance decides.
#[derive(Clone, Debug, Deserialize)]
pub struct StandardDrink {
    /// The country, or WHO.
    pub country: String,
    /// Its code of two letters, ISO 3166-1; empty of WHO.
    pub code: String,
    /// Ethanol, g.
    pub ethanol_g: f64,
    /// How far to trust it.
    pub status: String,
    /// What else the source says.
    pub note: String,
}

pub(super) const TEXT: &str = include_str!("../../../../fixtures/reference/standard_drinks.csv");

static STANDARD_DRINKS: LazyLock<Vec<StandardDrink>> = LazyLock::new(|| rows("standard_drinks.csv", TEXT));

impl StandardDrink {
    /// The country whose standard drink is counted when nobody names one.
    pub const DEFAULT_COUNTRY: &str = "WHO";

    /// All countries known.
    pub fn all() -> impl Iterator<Item = &'static StandardDrink> {
        STANDARD_DRINKS.iter()
    }

    /// The row of a country, by its name or its code.
    #[must_use]
    pub fn of_country(country: &str) -> Option<&'static StandardDrink> {
        let wanted = key(country);
        let wanted = match wanted.as_str() {
            "united kingdom" | "gb" | "britain" | "great britain" => "uk",
            "united states" | "usa" | "america" => "us",
            other => other,
        };
        let is =
            |s: &&StandardDrink| key(&s.country) == wanted || !s.code.is_empty() && key(&s.code) == wanted;
        STANDARD_DRINKS.iter().find(is)
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

    /// How many of them a mass of ethanol comes to. A UK unit is 10 ml of ethanol, of which "8 g" is the rounding.
    #[must_use]
    pub fn count(&self, ethanol_g: f64) -> f64 {
        if self.country == "UK" {
            ethanol_g / ETHANOL_KG_PER_M3 * 100.0
        } else {
            ethanol_g / self.ethanol_g
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads() {
        assert!(StandardDrink::all().all(|s| s.ethanol_g > 5.0));
        assert!(StandardDrink::of_country(StandardDrink::DEFAULT_COUNTRY).is_some());
        for named in ["Ireland", "ireland", "IE", "ie"] {
            assert_eq!(
                StandardDrink::of_country(named).unwrap().country,
                "Ireland",
                "{named}"
            );
        }
        assert_eq!(StandardDrink::of_country("GB").unwrap().country, "UK");
        assert!(StandardDrink::of_country("").is_none());
    }
}
