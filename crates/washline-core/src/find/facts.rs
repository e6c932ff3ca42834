//! What is known beside a drink that its text does not tell: prices, and what a house has kept of it.

use std::collections::HashMap;

use crate::balance::Palate;
use crate::ingredient::Prices;
use crate::names::key;

/// What a house has kept of a drink.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// The day or moment its spec was kept, ISO 8601; empty where nobody said.
    pub changed: String,
    /// What the last tasting of that spec said, and the note with it; `None` where there was none.
    pub tasted: Option<(Vec<Palate>, String)>,
}

/// What is known beside the drinks. Without any of it, a question that asks for it cannot be told.
#[derive(Clone, Debug, Default)]
pub struct Facts {
    /// The prices that hold.
    pub prices: Option<Prices>,
    kept: Option<HashMap<(String, String), Kept>>,
}

impl Facts {
    /// With the prices that hold.
    #[must_use]
    pub fn with_prices(mut self, prices: Prices) -> Facts {
        self.prices = Some(prices);
        self
    }

    /// With what a house has kept of its drinks: (book, drink, what).
    #[must_use]
    pub fn with_kept(mut self, all: impl IntoIterator<Item = (String, String, Kept)>) -> Facts {
        let kept = all
            .into_iter()
            .map(|(book, drink, kept)| ((key(&book), key(&drink)), kept));
        self.kept = Some(kept.collect());
        self
    }

    /// What a house has kept of a drink; `None` where no house is asked, or it does not know of it.
    pub(super) fn kept(&self, book: &str, drink: &str) -> Option<&Kept> {
        self.kept.as_ref()?.get(&(key(book), key(drink)))
    }
}
