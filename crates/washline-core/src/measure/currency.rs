//! Currencies: ISO 4217 codes, and how finely each is counted.

use crate::names::Expected;
use std::fmt;

use rust_decimal::{Decimal, RoundingStrategy};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A currency of ISO 4217. Two of them are never added.
///
/// ```
/// use washline_core::measure::Currency;
/// assert_eq!(Currency::named("eur").unwrap().minor_units(), 2);
/// assert_eq!(Currency::named("JPY").unwrap().minor_units(), 0);
/// assert!(Currency::named("EURO").is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency(iso_currency::Currency);

impl Currency {
    /// The currency of a code, case aside.
    ///
    /// # Errors
    /// What was expected, where ISO 4217 has no such code.
    pub fn named(code: &str) -> Result<Currency, Expected> {
        let code = code.trim().to_uppercase();
        iso_currency::Currency::from_code(&code)
            .map(Currency)
            .ok_or(Expected::new(
                "expected an ISO 4217 code of three letters such as EUR",
            ))
    }

    /// Its code: three capital letters.
    #[must_use]
    pub fn code(self) -> &'static str {
        self.0.code()
    }

    /// Digits behind the point in which it is paid: 2 for EUR, 0 for JPY, 3 for KWD. Where the standard
    /// gives none (gold), 2.
    #[must_use]
    pub fn minor_units(self) -> u32 {
        self.0.exponent().map_or(2, u32::from)
    }

    /// A sum as it is paid: rounded to the minor unit, halves away from zero.
    #[must_use]
    pub fn rounded(self, sum: Decimal) -> Decimal {
        self.to_digits(sum, 0)
    }

    /// A sum written with `more` digits than it is paid in: what a dash costs is less than a cent.
    #[must_use]
    pub fn to_digits(self, sum: Decimal, more: u32) -> Decimal {
        let digits = self.minor_units() + more;
        rounded(sum, digits)
    }
}

/// A sum or a percentage with so many decimals, halves away from zero: the one way they are rounded.
#[must_use]
pub fn rounded(value: Decimal, decimals: u32) -> Decimal {
    let mut rounded = value.round_dp_with_strategy(decimals, RoundingStrategy::MidpointAwayFromZero);
    rounded.rescale(decimals);
    rounded
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl Serialize for Currency {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.code())
    }
}

impl<'de> Deserialize<'de> for Currency {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Currency, D::Error> {
        let code = String::deserialize(deserializer)?;
        Currency::named(&code).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_are_rounded_to_what_is_paid() {
        let sum = |text: &str| text.parse::<Decimal>().unwrap();
        let rounded = |code: &str, text: &str| Currency::named(code).unwrap().rounded(sum(text)).to_string();
        assert_eq!(rounded("EUR", "10.9375"), "10.94");
        assert_eq!(rounded("EUR", "0.125"), "0.13");
        assert_eq!(rounded("EUR", "7.8"), "7.80");
        assert_eq!(rounded("JPY", "812.5"), "813");
        assert_eq!(rounded("KWD", "1.23456"), "1.235");
    }
}
