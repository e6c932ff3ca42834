//! The front door: a text, and what a bar has, to computed drinks or to every fault of the text.

use std::collections::{HashSet, VecDeque};
use std::fmt;
use std::sync::Arc;

use jiff::civil::Date;

use super::apart::each;
use super::{ComputedDrink, Context, FoundIn, Prepared, RangesOfBoth, context, read_books};
use crate::balance::Ranges;
use crate::ingredient::{Convention, Ingredient, Origin, Price, Prices, Stock, library};
use crate::melt::OwnMelt;
use crate::melt::fitted::MeltFit;
use crate::names::key;
use crate::spec::{Book, Drink, Fault, Section, Settings, Source};

/// What a bar has, and how it measures and judges. [`Bar::default`] has the reference library and the published
/// ranges, and sets nothing.
#[derive(Clone, Debug)]
pub struct Bar {
    /// Settings that hold where a book sets nothing else.
    pub settings: Settings,
    /// What it pours from; a book's own ingredients stand over them.
    pub stock: Stock,
    /// Its own melt, of each technique that it has fitted.
    pub fits: Vec<MeltFit>,
    ranges: RangesOfBoth,
}

impl Default for Bar {
    fn default() -> Bar {
        Bar {
            settings: Settings::default(),
            stock: library().clone(),
            fits: Vec::new(),
            ranges: [Convention::Handbook, Convention::Assay].map(|c| Arc::new(Ranges::published(c))),
        }
    }
}

impl Bar {
    /// The ranges that it judges by.
    #[must_use]
    pub fn ranges(&self, convention: Convention) -> &Ranges {
        &self.ranges[convention as usize]
    }
}

/// Every fault of a text, at least one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Faults(pub Vec<Fault>);

impl fmt::Display for Faults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (at, fault) in self.0.iter().enumerate() {
            if at > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{fault}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Faults {}

/// What a look at books found: what reads is worked out, the rest are faults.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    /// The drinks, by book and place in it.
    pub drinks: Vec<ComputedDrink>,
    /// The preparations that could be made, by book and place in it.
    pub preparations: Vec<Prepared>,
    /// What the books define or make for their own drinks, each with the title of its book.
    pub ingredients: Vec<(String, Ingredient)>,
    priced: Vec<(String, Price)>,
    /// Every fault, by place.
    pub faults: Vec<Fault>,
}

impl Checked {
    /// The prices of the books that hold on a day; without one, the latest.
    #[must_use]
    pub fn prices(&self, on: Option<Date>) -> Prices {
        let mut held: Vec<&(String, Price)> = self
            .priced
            .iter()
            .filter(|(_, price)| on.is_none_or(|day| price.since <= Some(day)))
            .collect();
        held.sort_by_key(|(_, price)| price.since);
        let mut prices = Prices::default();
        for (book, price) in held {
            prices.put(Some(book), price.clone());
        }
        prices
    }
}

/// Work out the drinks of a book, poured from the reference library and judged by the published ranges.
///
/// # Errors
/// Every fault of the text: what cannot be read, what no ingredient is called, what has no method.
pub fn check(text: &str) -> Result<Vec<ComputedDrink>, Faults> {
    check_with(text, &Bar::default())
}

/// Work out the drinks of a book as a bar pours and judges them.
///
/// # Errors
/// As [`check`].
pub fn check_with(text: &str, bar: &Bar) -> Result<Vec<ComputedDrink>, Faults> {
    let checked = look_at(&[Source::new("text", text)], bar);
    if checked.faults.is_empty() {
        Ok(checked.drinks)
    } else {
        Err(Faults(checked.faults))
    }
}

/// Look at books: everything of them that reads worked out, and every fault of the rest.
#[must_use]
pub fn look_at(sources: &[Source], bar: &Bar) -> Checked {
    let mut look = Look::new(sources, bar);
    let drinks = look.by_ref().collect();
    Checked {
        drinks,
        ..look.rest()
    }
}

/// So many drinks are worked out at a time: enough for every core, few enough to hold.
const AT_A_TIME: usize = 256;

/// Books that are looked at: gives their drinks one after the other, worked out as they are asked for, by book and place
/// in it. All of a large book as computed take hundreds of times the room of its text.
pub struct Look<'a> {
    bar: &'a Bar,
    /// The books to come, with their texts.
    books: Vec<(Book, &'a Source)>,
    now: Option<Within<'a>>,
    ready: VecDeque<ComputedDrink>,
    /// What there is besides the drinks, so far.
    checked: Checked,
}

/// The book that is looked at.
struct Within<'a> {
    title: String,
    source: &'a Source,
    context: Context,
    left: std::vec::IntoIter<Drink>,
}

impl<'a> Look<'a> {
    /// Read the books, and work nothing out yet.
    #[must_use]
    pub fn new(sources: &'a [Source], bar: &'a Bar) -> Look<'a> {
        let (mut books, faults) = read_books(sources, &bar.settings, &bar.stock);
        let mut titles = HashSet::new();
        for (book, source) in books.iter_mut().zip(sources) {
            // Two lists of one title are two lists to a check.
            while !titles.insert(key(&book.title)) {
                book.title = format!("{} ({})", book.title, source.file);
            }
        }
        let mut books: Vec<(Book, &Source)> = books.into_iter().zip(sources).collect();
        books.reverse();
        Look {
            bar,
            books,
            now: None,
            ready: VecDeque::new(),
            checked: Checked {
                faults,
                ..Checked::default()
            },
        }
    }

    /// What was found in reading the books, before anything of them is worked out.
    #[must_use]
    pub fn faults(&self) -> &[Fault] {
        &self.checked.faults
    }

    /// How the books that have drinks count their juices, each way once.
    #[must_use]
    pub fn conventions(&self) -> Vec<Convention> {
        let of = |book: &Book| {
            book.settings
                .over(&self.bar.settings)
                .convention
                .unwrap_or_default()
        };
        let all = self.books.iter().map(|(book, _)| book);
        let mut all: Vec<Convention> = all.filter(|b| b.drinks().next().is_some()).map(of).collect();
        all.dedup();
        all
    }

    /// What there is besides the drinks. Those that nobody has asked for are worked out all the same, for their faults.
    pub fn rest(&mut self) -> Checked {
        self.by_ref().for_each(drop);
        std::mem::take(&mut self.checked)
    }

    /// Work some more out; whether there were any.
    fn go_on(&mut self) -> bool {
        let Some(within) = &mut self.now else {
            return false;
        };
        let drinks: Vec<Drink> = within.left.by_ref().take(AT_A_TIME).collect();
        let computed = each(&drinks, |drink| {
            let own = OwnMelt {
                weighed: None,
                fits: self.bar.fits.clone(),
            };
            ComputedDrink::of(
                Source::new(within.source.file.clone(), drink.text.as_str()),
                found_in(&within.title, within.source, drink.line),
                within.context.clone(),
                &self.bar.ranges,
                own,
            )
        });
        for (drink, computed) in drinks.iter().zip(computed) {
            match computed {
                Ok(mut computed) => {
                    // A spec without a name is called by its line, which its text by itself does not tell.
                    computed.drink.name.clone_from(&drink.name);
                    computed.resolved.name.clone_from(&drink.name);
                    self.ready.push_back(computed);
                }
                Err(faults) => self.checked.faults.extend(super::moved(faults, drink.line)),
            }
        }
        !drinks.is_empty()
    }

    /// Make what a book makes for its drinks, and begin with them.
    fn begin(&mut self, book: Book, source: &'a Source) {
        let mut stock = self.bar.stock.clone();
        book.ingredients().for_each(|i| stock.put(i.clone()));
        let text = |section: &str| Source::new(source.file.clone(), section);
        let preparations = book.preparations().map(|p| (text(&p.text), p.line)).collect();
        let context = context(stock, book.settings.over(&self.bar.settings), preparations);
        let Context {
            stock, preparations, ..
        } = &context;
        let checked = &mut self.checked;
        checked.ingredients.extend(
            stock
                .iter()
                .filter(|i| {
                    i.origin == Origin::Book && !preparations.failed.iter().any(|(name, _)| *name == i.name)
                })
                .map(|i| (book.title.clone(), i.clone())),
        );
        for price in book.definitions().filter_map(|d| d.price.as_ref()) {
            checked.priced.push((book.title.clone(), price.clone()));
        }
        for made in &preparations.made {
            let typed = book.preparations().find(|p| p.line == made.line);
            checked.preparations.push(Prepared {
                found_in: found_in(&book.title, source, made.line),
                text: typed.map_or_else(String::new, |p| p.text.clone()),
                made: made.clone(),
            });
        }
        let drinks: Vec<Drink> = book
            .sections
            .into_iter()
            .filter_map(Section::into_drink)
            .collect();
        super::progress::expect(drinks.len());
        self.now = Some(Within {
            title: book.title,
            source,
            context,
            left: drinks.into_iter(),
        });
    }
}

impl Iterator for Look<'_> {
    type Item = ComputedDrink;

    fn next(&mut self) -> Option<ComputedDrink> {
        loop {
            if let Some(drink) = self.ready.pop_front() {
                return Some(drink);
            }
            if !self.go_on() {
                let (book, source) = self.books.pop()?;
                self.begin(book, source);
            }
        }
    }
}

fn found_in(title: &str, source: &Source, line: usize) -> FoundIn {
    FoundIn {
        book: title.to_owned(),
        also_on: Vec::new(),
        file: source.file.clone(),
        line,
        version: 1,
    }
}
