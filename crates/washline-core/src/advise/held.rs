//! A drink that was worked out, as a text holds it: what is changed there is what was looked at, or nothing is.

use crate::names::key;
use crate::spec::{Drink, Settings, Source, format_drink, read_under};

/// Why a text is left as it is.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotHeld {
    /// The text has no such drink that reads.
    #[error("{file} holds no drink {drink} that reads")]
    NoDrink {
        /// The text.
        file: String,
        /// The drink.
        drink: String,
    },
    /// The text has another spec of the drink.
    #[error("{file} has another spec of {drink} than the one that was worked out; nothing was written")]
    OtherSpec {
        /// The text.
        file: String,
        /// The drink.
        drink: String,
    },
}

/// The drink as `source` has it.
///
/// # Errors
/// When the text has no such drink, or another spec of it.
pub fn held(source: &Source, settings: &Settings, drink: &Drink) -> Result<Drink, NotHeld> {
    let (file, name) = (source.file.clone(), drink.name.clone());
    match named(source, settings, &name) {
        None => Err(NotHeld::NoDrink { file, drink: name }),
        Some(own) if !is_same_spec(&own, drink) => Err(NotHeld::OtherSpec { file, drink: name }),
        Some(own) => Ok(own),
    }
}

/// The drink of that name in a text.
pub(super) fn named(source: &Source, settings: &Settings, name: &str) -> Option<Drink> {
    let reading = read_under(source, settings);
    let mut drinks = reading.book.drinks();
    drinks.find(|d| key(&d.name) == key(name)).cloned()
}

/// Whether two drinks are written alike, whatever they are called.
pub(super) fn is_same_spec(a: &Drink, b: &Drink) -> bool {
    let (a, b) = (format_drink(a), format_drink(b));
    a.lines().skip(1).eq(b.lines().skip(1))
}
