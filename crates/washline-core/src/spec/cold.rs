//! The bar's ice, tins and room, where a book sets them: what the melt is reckoned from by energy and not by
//! the handbook's curves.

use crate::names::Expected;
use serde::{Deserialize, Serialize};

use crate::tables::{FREEZER_C, FRIDGE_C};

/// What a book or house says of its ice, tins and room; what it leaves out is as in the handbook's trials.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Cold {
    /// `ice temperature: -18 °C`: −40 to 0 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ice_c: Option<f64>,
    /// `ice size: 32 mm`: edge of a piece, 2 to 120 mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ice_mm: Option<f64>,
    /// `ice in the tin: 150 g`: 20 to 1000 g.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ice_g: Option<f64>,
    /// `water on the ice: 8 %`, `ice: wet`: share of the stated mass of ice that is water on it, 0 to 30 %. The mass of
    /// ice is always that of both.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wet_pct: Option<f64>,
    /// `tin: chilled`, `tin: 4 °C`: −30 to 40 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tin_c: Option<f64>,
    /// `room temperature: 24 °C`: 0 to 45 °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room_c: Option<f64>,
}

/// Water on ice that is called wet, % of its mass: 6 to 10 ml on 120 to 150 g of small ice that has stood (Arnold, Liquid
/// Intelligence, 2014, from memory).
const WET_PCT: f64 = 6.0;

/// Each key with its unit, range and an example.
const KEYS: [(&str, &str, f64, f64, &str); 7] = [
    ("ice temperature", "°c", -40.0, 0.0, "-18 °C"),
    ("ice size", "mm", 2.0, 120.0, "32 mm"),
    ("ice in the tin", "g", 20.0, 1000.0, "150 g"),
    ("water on the ice", "%", 0.0, 30.0, "8 %"),
    ("ice", "%", 0.0, 30.0, "wet` or `dry"),
    ("tin", "°c", -30.0, 40.0, "chilled` or `4 °C"),
    ("room temperature", "°c", 0.0, 45.0, "24 °C"),
];

impl Cold {
    /// Whether nothing is set.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Cold::default()
    }

    /// These, with what they leave open taken from `others`.
    #[must_use]
    pub fn over(&self, others: &Cold) -> Cold {
        Cold {
            ice_c: self.ice_c.or(others.ice_c),
            ice_mm: self.ice_mm.or(others.ice_mm),
            ice_g: self.ice_g.or(others.ice_g),
            wet_pct: self.wet_pct.or(others.wet_pct),
            tin_c: self.tin_c.or(others.tin_c),
            room_c: self.room_c.or(others.room_c),
        }
    }

    /// The keys it knows.
    pub(super) fn keys() -> impl Iterator<Item = &'static str> {
        KEYS.iter().map(|(key, ..)| *key)
    }

    /// Set one of them from its text. `None` when `key` (folded) is none of them; else the key and value as they
    /// are written.
    ///
    /// # Errors
    /// What was expected.
    pub(super) fn set(&mut self, key: &str, value: &str) -> Option<Result<(String, String), Expected>> {
        let (name, unit, low, high, example) = *KEYS.iter().find(|(name, ..)| *name == key)?;
        let word = crate::names::key(value);
        let figure = match (name, word.as_str()) {
            ("tin" | "ice temperature", "freezer" | "frozen" | "from the freezer") => Some(FREEZER_C),
            ("tin", "chilled" | "cold" | "fridge" | "from the fridge") => Some(FRIDGE_C),
            ("ice temperature", "wet" | "bar ice" | "melting") => Some(0.0),
            ("water on the ice" | "ice", "wet" | "melting") => Some(WET_PCT),
            ("water on the ice" | "ice", "dry" | "drained" | "none") => Some(0.0),
            // `ice: 8 %` would not say of what.
            ("ice", _) => None,
            _ => number(value, unit),
        };
        let Some(figure) = figure.filter(|f| (low..=high).contains(f)) else {
            return Some(Err(Expected::new(format!(
                "expected `{example}` or the like, {low} to {high}"
            ))));
        };
        let place = match name {
            "ice temperature" => &mut self.ice_c,
            "ice size" => &mut self.ice_mm,
            "ice in the tin" => &mut self.ice_g,
            "water on the ice" | "ice" => &mut self.wet_pct,
            "tin" => &mut self.tin_c,
            _ => &mut self.room_c,
        };
        *place = Some(figure);
        let name = if name == "ice" { "water on the ice" } else { name };
        let unit = if unit == "°c" { "°C" } else { unit };
        Some(Ok((name.to_owned(), format!("{figure} {unit}"))))
    }
}

/// A number and this unit; the unit may be left out, and a degree sign is a matter of taste.
fn number(text: &str, unit: &str) -> Option<f64> {
    let text = text.trim().to_lowercase().replace('−', "-").replace(',', ".");
    let bare = text
        .trim_end_matches(unit)
        .trim_end_matches(if unit == "°c" { 'c' } else { ' ' })
        .trim();
    // Two decimals are more than any of these is known to; anything longer is a slip.
    let digits = bare.trim_start_matches('-');
    let plain =
        !digits.is_empty() && digits.len() <= 6 && digits.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    plain.then(|| bare.parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn temperatures_sizes_and_masses_are_read_and_written() {
        let mut cold = Cold::default();
        for (key, value, written) in [
            ("ice temperature", "−18 °C", "-18 °C"),
            ("ice temperature", "-7.5", "-7.5 °C"),
            ("ice size", "32mm", "32 mm"),
            ("ice in the tin", "150 g", "150 g"),
            ("tin", "chilled", "4 °C"),
            ("room temperature", "24 C", "24 °C"),
        ] {
            assert_eq!(
                cold.set(key, value),
                Some(Ok((key.to_owned(), written.to_owned()))),
                "{key}: {value}"
            );
            // Written as it is read.
            assert_eq!(
                cold.set(key, written),
                Some(Ok((key.to_owned(), written.to_owned())))
            );
        }
        assert_eq!(cold.ice_c, Some(-7.5));
        for (key, value) in [
            ("ice temperature", "5 °C"),
            ("ice size", "0"),
            ("tin", "warm"),
            ("room temperature", "1e1"),
            ("ice size", "nan mm"),
        ] {
            assert!(matches!(cold.set(key, value), Some(Err(_))), "{key}: {value}");
        }
        assert_eq!(cold.set("glass", "coupe"), None);
    }
}
