//! Amounts as written, the units they are written in, and how large those are in this house.

mod amount;
mod currency;
mod sizes;
mod unit;

pub use amount::{Amount, AmountError};
pub use currency::{Currency, rounded};
pub use sizes::{Measures, Ounce, Sized};
pub use unit::{Dimension, Size, UNITS, Unit, UnitFacts};
