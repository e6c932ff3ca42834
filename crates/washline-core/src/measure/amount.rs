//! Amounts as written: exact rationals.
//!
//! `1/3 oz` three times is `1 oz`, to the last digit: an amount stays a ratio of integers until
//! the physics asks for millilitres, and [`Amount::to_f64`] is the one place where that happens.

use std::fmt;
use std::ops::{Add, Mul};
use std::str::FromStr;

use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, Zero};
use rust_decimal::Decimal;
use serde::{Deserialize, Serialize};

/// An exact, non-negative amount without a unit, in the range 0 to [`Amount::MOST`].
///
/// ```
/// use washline_core::measure::Amount;
/// let third: Amount = "1/3".parse().unwrap();
/// assert_eq!((third + third + third).to_string(), "1");
/// assert_eq!("22.5".parse::<Amount>().unwrap(), "22 1/2".parse().unwrap());
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Amount(Ratio<i128>);

/// Why a text is not an amount.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AmountError {
    /// A fraction over zero.
    #[error("a fraction cannot have 0 below the line")]
    ZeroDenominator,
    /// Not digits, one decimal point, or a fraction.
    #[error("`{0}` is not an amount: digits with one decimal point, or a fraction such as 3/4 or 1 1/2")]
    NotANumber(String),
    /// More digits than any bar amount has.
    #[error("`{0}` has more digits than an amount can carry (9 before the point, 6 after it)")]
    TooManyDigits(String),
    /// Larger than [`Amount::MOST`].
    #[error("the amount is larger than {} can be", Amount::MOST)]
    TooLarge,
}

impl Amount {
    /// Nothing.
    pub const ZERO: Amount = Amount(Ratio::new_raw(0, 1));
    /// One.
    pub const ONE: Amount = Amount(Ratio::new_raw(1, 1));
    /// The largest amount that is taken: a thousand million.
    pub const MOST: i128 = 1_000_000_000;

    /// The ratio `numerator / denominator`.
    ///
    /// # Errors
    /// When the denominator is zero or the value lies outside 0 to [`Amount::MOST`].
    pub fn ratio(numerator: i128, denominator: i128) -> Result<Amount, AmountError> {
        if denominator == 0 {
            return Err(AmountError::ZeroDenominator);
        }
        Amount(Ratio::new(numerator, denominator)).checked()
    }

    /// A ratio known at compile time to be sound, for tables.
    #[must_use]
    pub const fn raw(numerator: i128, denominator: i128) -> Amount {
        assert!(numerator >= 0 && denominator > 0);
        Amount(Ratio::new_raw(numerator, denominator))
    }

    /// A decimal such as `22.5` or `.75`: digits and at most one point.
    ///
    /// # Errors
    /// On anything else: scientific notation, signs and separators are not bar amounts.
    pub fn decimal(text: &str) -> Result<Amount, AmountError> {
        let bad = || AmountError::NotANumber(text.to_owned());
        let (whole, part) = text.split_once('.').unwrap_or((text, ""));
        let digits = |s: &str| s.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !digits(part) || (whole.is_empty() && part.is_empty()) {
            return Err(bad());
        }
        if whole.len() > 9 || part.len() > 6 {
            return Err(AmountError::TooManyDigits(text.to_owned()));
        }
        let scale = 10_i128.pow(u32::try_from(part.len()).map_err(|_| bad())?);
        let number = |s: &str| {
            if s.is_empty() {
                Ok(0)
            } else {
                s.parse::<i128>().map_err(|_| bad())
            }
        };
        Amount::ratio(number(whole)? * scale + number(part)?, scale)
    }

    fn checked(self) -> Result<Amount, AmountError> {
        if self.0 < Ratio::zero() || self.0 > Ratio::from_integer(Amount::MOST) {
            return Err(AmountError::TooLarge);
        }
        Ok(self)
    }

    /// The sum, exact.
    ///
    /// # Errors
    /// When it passes [`Amount::MOST`].
    pub fn plus(self, other: Amount) -> Result<Amount, AmountError> {
        self.0
            .checked_add(&other.0)
            .map(Amount)
            .ok_or(AmountError::TooLarge)?
            .checked()
    }

    /// The product, exact.
    ///
    /// # Errors
    /// When it passes [`Amount::MOST`].
    pub fn times(self, other: Amount) -> Result<Amount, AmountError> {
        self.0
            .checked_mul(&other.0)
            .map(Amount)
            .ok_or(AmountError::TooLarge)?
            .checked()
    }

    /// The quotient, exact.
    ///
    /// # Errors
    /// When `other` is nothing, or the quotient passes [`Amount::MOST`].
    pub fn over(self, other: Amount) -> Result<Amount, AmountError> {
        if other.is_zero() {
            return Err(AmountError::ZeroDenominator);
        }
        self.0
            .checked_div(&other.0)
            .map(Amount)
            .ok_or(AmountError::TooLarge)?
            .checked()
    }

    /// Whether it is nothing at all.
    #[must_use]
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// The nearest `f64`: where written amounts enter the physics.
    #[must_use]
    #[expect(
        clippy::cast_precision_loss,
        reason = "the physics is f64; both parts are far below 2^53 for bar amounts"
    )]
    pub fn to_f64(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }

    /// The amount as a decimal of 28 digits: where written amounts meet money. `None` for a ratio whose parts
    /// have more digits than that, which no bar amount has.
    #[must_use]
    pub fn to_decimal(self) -> Option<Decimal> {
        let part = |n: i128| Decimal::try_from_i128_with_scale(n, 0).ok();
        part(*self.0.numer())?.checked_div(part(*self.0.denom())?)
    }

    /// Whether it has no part behind the point.
    #[must_use]
    pub fn is_whole(self) -> bool {
        self.0.is_integer()
    }

    /// The amount as a decimal with at most six places, where that is exact.
    #[must_use]
    pub fn exact_decimal(self) -> Option<String> {
        let scale = 1_000_000_i128;
        let scaled = self.0 * Ratio::from_integer(scale);
        if !scaled.is_integer() {
            return None;
        }
        let n = scaled.to_integer();
        let text = format!("{}.{:06}", n / scale, n % scale);
        Some(text.trim_end_matches('0').trim_end_matches('.').to_owned())
    }

    /// The amount as a mixed fraction: `1 1/2`, `3/4`, `2`.
    #[must_use]
    pub fn mixed_fraction(self) -> String {
        let whole = self.0.to_integer();
        let rest = self.0 - Ratio::from_integer(whole);
        match (whole, rest.is_zero()) {
            (w, true) => w.to_string(),
            (0, false) => format!("{}/{}", rest.numer(), rest.denom()),
            (w, false) => format!("{w} {}/{}", rest.numer(), rest.denom()),
        }
    }
}

impl Add for Amount {
    type Output = Amount;
    /// Exact; saturates at [`Amount::MOST`], which no sum of bar amounts reaches.
    fn add(self, other: Amount) -> Amount {
        self.plus(other)
            .unwrap_or(Amount(Ratio::from_integer(Amount::MOST)))
    }
}

impl Mul for Amount {
    type Output = Amount;
    /// Exact; saturates at [`Amount::MOST`].
    fn mul(self, other: Amount) -> Amount {
        self.times(other)
            .unwrap_or(Amount(Ratio::from_integer(Amount::MOST)))
    }
}

impl fmt::Display for Amount {
    /// A decimal where that is exact in six places, else a mixed fraction.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.exact_decimal().unwrap_or_else(|| self.mixed_fraction()))
    }
}

impl FromStr for Amount {
    type Err = AmountError;

    /// `3`, `22.5`, `3/4` or `1 1/2`: the forms that [`Amount`] itself writes. What people write
    /// is read by [`crate::spec::read`].
    fn from_str(text: &str) -> Result<Amount, AmountError> {
        let bad = || AmountError::NotANumber(text.to_owned());
        let fraction = |s: &str| -> Result<Amount, AmountError> {
            let (n, d) = s.split_once('/').ok_or_else(bad)?;
            let part = |s: &str| match s {
                s if s.is_empty() || s.len() > 9 || !s.bytes().all(|b| b.is_ascii_digit()) => Err(bad()),
                s => s.parse::<i128>().map_err(|_| bad()),
            };
            Amount::ratio(part(n)?, part(d)?)
        };
        match text.split_once(' ') {
            Some((whole, rest)) => Amount::decimal(whole)?.plus(fraction(rest)?),
            None if text.contains('/') => fraction(text),
            None => Amount::decimal(text),
        }
    }
}

impl Serialize for Amount {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Amount {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Amount, D::Error> {
        String::deserialize(deserializer)?
            .parse()
            .map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_are_exact() {
        let third = Amount::ratio(1, 3).unwrap();
        assert_eq!(third + third + third, Amount::ONE);
        assert_eq!(third.to_string(), "1/3");
        assert_eq!(Amount::ratio(4, 3).unwrap().to_string(), "1 1/3");
    }

    #[test]
    fn texts_that_are_not_amounts() {
        for text in [
            "", ".", "1e3", "nan", "inf", "1_5", "-1", "+1", "1.2.3", "1/0", "1/", "/2", "1 2", "½",
        ] {
            assert!(text.parse::<Amount>().is_err(), "{text:?} was taken");
        }
        assert!("1000000001".parse::<Amount>().is_err());
    }

    #[test]
    fn written_and_read_again() {
        for text in ["0", "1", "0.75", "22.5", "1/3", "1 1/3", "0.000001"] {
            let amount: Amount = text.parse().unwrap();
            assert_eq!(amount.to_string(), text);
        }
    }
}
