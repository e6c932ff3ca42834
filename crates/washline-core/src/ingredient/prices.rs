//! The prices that hold, by name: the house's, and over them what a book says for its own drinks.

use std::collections::BTreeMap;

use super::{Offer, Price};
use crate::names::key;

/// Prices by folded name. A later one stands in the place of an earlier.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prices {
    house: BTreeMap<String, Price>,
    books: BTreeMap<String, BTreeMap<String, Price>>,
}

impl Prices {
    /// Put a price in: of the house, or of the book of that title. One that is withdrawn takes the earlier away.
    pub fn put(&mut self, book: Option<&str>, price: Price) {
        let prices = match book {
            None => &mut self.house,
            Some(title) => self.books.entry(key(title)).or_default(),
        };
        if price.offer == Offer::Withdrawn {
            prices.remove(&key(&price.name));
        } else {
            prices.insert(key(&price.name), price);
        }
    }

    /// The price of something in a drink of that book.
    #[must_use]
    pub fn of(&self, book: &str, name: &str) -> Option<&Price> {
        let name = key(name);
        self.books
            .get(&key(book))
            .and_then(|own| own.get(&name))
            .or_else(|| self.house.get(&name))
    }

    /// These prices, and where they have none those of `others`' house.
    #[must_use]
    pub fn over(mut self, others: Prices) -> Prices {
        for (name, price) in others.house {
            self.house.entry(name).or_insert(price);
        }
        self
    }

    /// The house's own, by name.
    pub fn house(&self) -> impl Iterator<Item = &Price> {
        self.house.values()
    }

    /// Those that books give, with the folded title of the book.
    pub fn of_books(&self) -> impl Iterator<Item = (&str, &Price)> {
        self.books
            .iter()
            .flat_map(|(book, prices)| prices.values().map(move |price| (book.as_str(), price)))
    }

    /// Whether there are none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.house.is_empty() && self.books.is_empty()
    }
}
