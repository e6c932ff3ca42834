//! Where the drinks of a command come from: the house, or books that are named in its place.

use std::path::{Path, PathBuf};

use washline_core::balance::Ranges;
use washline_core::computed::{Bar, Checked, ComputedDrink, Look, Prepared, Summary, look_at};
use washline_core::find::Query;
use washline_core::ingredient::{Convention, Ingredient, Prices, Stock};
use washline_core::names::{key, meant};
use washline_core::spec::{Fault, Settings, Source};
use washline_core::store::{Held, House, StoreError, Tasting};

use crate::error::CliError;
use crate::inputs;

/// The house, or books by themselves, worked out as the reference library pours them.
#[expect(clippy::large_enum_variant, reason = "there is one of it")]
pub enum DrinkSource {
    House(House),
    Books(Bar, Checked),
}

/// A drink_source, with what of the books does not read and their texts.
pub struct Found {
    pub drink_source: DrinkSource,
    pub faults: Vec<Fault>,
    pub sources: Vec<Source>,
}

impl Found {
    /// The books that are named, else the house.
    pub fn open(house: Option<&Path>, books: &[PathBuf]) -> Result<Found, CliError> {
        if books.is_empty() {
            return Ok(Found {
                drink_source: DrinkSource::House(inputs::to_read(house)?),
                faults: Vec::new(),
                sources: Vec::new(),
            });
        }
        let sources = inputs::texts(books)?;
        let bar = Bar::default();
        let mut checked = look_at(&sources, &bar);
        Ok(Found {
            faults: std::mem::take(&mut checked.faults),
            drink_source: DrinkSource::Books(bar, checked),
            sources,
        })
    }
}

/// The drinks of the house, or of books in its place, one after the other: none is held longer than it is looked at.
pub struct Passing<'a> {
    drinks: Drinks<'a>,
    faults: Vec<Fault>,
    with_preparations: bool,
}

#[expect(clippy::large_enum_variant, reason = "there is one of it")]
enum Drinks<'a> {
    House(&'a House, Vec<Held>),
    Books(Look<'a>),
}

/// What belongs to a list besides its drinks.
#[derive(Default)]
pub struct Rest {
    pub preparations: Vec<Prepared>,
    pub faults: Vec<Fault>,
}

impl<'a> Passing<'a> {
    /// Drinks of a house, with what of it cannot be worked out.
    pub fn of_house(house: &'a House, held: Vec<Held>, faults: Vec<Fault>) -> Passing<'a> {
        Passing {
            drinks: Drinks::House(house, held),
            faults,
            with_preparations: true,
        }
    }

    pub fn of_books(look: Look<'a>) -> Passing<'a> {
        Passing {
            drinks: Drinks::Books(look),
            faults: Vec::new(),
            with_preparations: true,
        }
    }

    /// The drinks alone.
    #[must_use]
    pub fn without_preparations(mut self) -> Passing<'a> {
        self.with_preparations = false;
        self
    }

    /// The convention of all of them, or "mixed".
    pub fn convention(&self) -> &'static str {
        let mut all: Vec<Convention> = match &self.drinks {
            Drinks::House(_, held) => held.iter().map(|held| held.convention).collect(),
            Drinks::Books(look) => look.conventions(),
        };
        all.dedup();
        match all.as_slice() {
            [] => Convention::default().word(),
            [one] => one.word(),
            _ => "mixed",
        }
    }

    /// What each comes to: of a house as it is kept.
    pub fn summaries(
        &mut self,
    ) -> Result<Box<dyn Iterator<Item = Result<Summary, StoreError>> + '_>, StoreError> {
        Ok(match &mut self.drinks {
            Drinks::House(house, held) => Box::new(house.summaries(std::mem::take(held))?),
            Drinks::Books(look) => Box::new(look.map(|drink| Ok(drink.summary()))),
        })
    }

    /// Each worked out.
    pub fn worked_out(
        &mut self,
    ) -> Result<Box<dyn Iterator<Item = Result<ComputedDrink, StoreError>> + '_>, StoreError> {
        Ok(match &mut self.drinks {
            Drinks::House(house, held) => Box::new(house.each_worked_out(std::mem::take(held))?),
            Drinks::Books(look) => Box::new(look.map(Ok)),
        })
    }

    /// What there is besides the drinks, once they have passed.
    pub fn rest(mut self) -> Result<Rest, StoreError> {
        let mut rest = match &mut self.drinks {
            Drinks::House(house, _) => Rest {
                preparations: match self.with_preparations {
                    true => house.preparations()?,
                    false => Vec::new(),
                },
                faults: Vec::new(),
            },
            Drinks::Books(look) => {
                let checked = look.rest();
                Rest {
                    preparations: checked.preparations,
                    faults: checked.faults,
                }
            }
        };
        rest.faults.extend(self.faults);
        Ok(rest)
    }
}

impl DrinkSource {
    /// The house, where that is what is read.
    pub fn house(&self) -> Option<&House> {
        match self {
            DrinkSource::House(house) => Some(house),
            DrinkSource::Books(..) => None,
        }
    }

    /// Bring the results that the house keeps up to date. Gives what of it cannot be worked out; of books that is said
    /// when they are read.
    pub fn refresh(&mut self) -> Result<Vec<Fault>, StoreError> {
        match self {
            DrinkSource::House(house) => Ok(house.refresh()?.broken),
            DrinkSource::Books(..) => Ok(Vec::new()),
        }
    }

    pub fn drinks(&self) -> Result<Vec<ComputedDrink>, StoreError> {
        match self {
            DrinkSource::House(house) => house.drinks(),
            DrinkSource::Books(_, checked) => Ok(checked.drinks.clone()),
        }
    }

    /// The drinks that a question may hold of, and how many there are in all: what the house keeps rules the others out.
    pub fn drinks_that_may(&self, query: &Query) -> Result<(Vec<ComputedDrink>, usize), StoreError> {
        match self {
            DrinkSource::House(house) => Ok((house.drinks_of(&[], None, Some(query))?, house.count()?)),
            DrinkSource::Books(_, checked) => Ok((checked.drinks.clone(), checked.drinks.len())),
        }
    }

    /// The drinks that have one of these names (any, where none is given), that stand on that list, where one is named, and
    /// of which a question may hold, where one is asked: of a house no others are worked out.
    pub fn drinks_of(
        &self,
        names: &[String],
        list: Option<&str>,
        query: Option<&Query>,
    ) -> Result<Vec<ComputedDrink>, StoreError> {
        match self {
            DrinkSource::House(house) => house.drinks_of(names, list, query),
            DrinkSource::Books(_, checked) => {
                let is_named = |d: &&ComputedDrink| {
                    names.is_empty() || names.iter().any(|name| key(name) == key(d.name()))
                };
                let is_on = |d: &&ComputedDrink| list.is_none_or(|list| d.found_in.is_on(list));
                let all = checked.drinks.iter().filter(is_named).filter(is_on);
                Ok(all.cloned().collect())
            }
        }
    }

    /// Whether there is a list of that title.
    pub fn has_list(&self, title: &str) -> Result<bool, StoreError> {
        match self {
            DrinkSource::House(house) => Ok(house.titles()?.iter().any(|known| key(known) == key(title))),
            DrinkSource::Books(_, checked) => Ok(checked.drinks.iter().any(|d| d.found_in.is_on(title))),
        }
    }

    /// The full name of the drink or the preparation that a person means: the one so called, else the only one that
    /// begins so. What nothing is called stays as it is.
    pub fn called(&self, said: &str) -> Result<String, StoreError> {
        let mut names = self.names()?;
        let exact = names.iter().any(|name| key(name) == key(said));
        if !exact && self.preparations_so_called(said)?.is_empty() {
            names.extend(self.preparation_names()?);
            if let Some(name) = meant(said, names.iter().map(String::as_str)) {
                return Ok(name.to_owned());
            }
        }
        Ok(said.to_owned())
    }

    /// The drinks that a person means by a name.
    pub fn drinks_named(&self, name: &str) -> Result<Vec<ComputedDrink>, StoreError> {
        let exact = self.drinks_so_called(name)?;
        if !exact.is_empty() {
            return Ok(exact);
        }
        self.drinks_so_called(&self.called(name)?)
    }

    fn drinks_so_called(&self, name: &str) -> Result<Vec<ComputedDrink>, StoreError> {
        match self {
            DrinkSource::House(house) => house.drinks_named(name),
            DrinkSource::Books(_, checked) => Ok(checked
                .drinks
                .iter()
                .filter(|d| key(d.name()) == key(name))
                .cloned()
                .collect()),
        }
    }

    pub fn drinks_before(&self) -> Result<Vec<ComputedDrink>, StoreError> {
        match self {
            DrinkSource::House(house) => house.drinks_before(),
            DrinkSource::Books(..) => Ok(Vec::new()),
        }
    }

    /// The names of all drinks, those that cannot be worked out among them.
    pub fn names(&self) -> Result<Vec<String>, StoreError> {
        match self {
            DrinkSource::House(house) => Ok(house.list()?.into_iter().map(|l| l.name).collect()),
            DrinkSource::Books(_, checked) => {
                Ok(checked.drinks.iter().map(|d| d.name().to_owned()).collect())
            }
        }
    }

    /// The names of all preparations that can be made.
    pub fn preparation_names(&self) -> Result<Vec<String>, StoreError> {
        Ok(match self {
            DrinkSource::House(house) => {
                let all = house.preparations_in_short()?;
                all.into_iter().map(|p| p.name).collect()
            }
            DrinkSource::Books(_, checked) => {
                checked.preparations.iter().map(|p| p.name().to_owned()).collect()
            }
        })
    }

    pub fn preparations(&self) -> Result<Vec<Prepared>, StoreError> {
        match self {
            DrinkSource::House(house) => house.preparations(),
            DrinkSource::Books(_, checked) => Ok(checked.preparations.clone()),
        }
    }

    /// The preparations that a person means by a name.
    pub fn preparations_named(&self, name: &str) -> Result<Vec<Prepared>, StoreError> {
        let exact = self.preparations_so_called(name)?;
        if !exact.is_empty() {
            return Ok(exact);
        }
        self.preparations_so_called(&self.called(name)?)
    }

    fn preparations_so_called(&self, name: &str) -> Result<Vec<Prepared>, StoreError> {
        match self {
            DrinkSource::House(house) => house.preparations_named(name),
            DrinkSource::Books(_, checked) => Ok(checked
                .preparations
                .iter()
                .filter(|p| p.is_called(name))
                .cloned()
                .collect()),
        }
    }

    pub fn book_ingredients(&self) -> Result<Vec<(String, Ingredient)>, StoreError> {
        match self {
            DrinkSource::House(house) => house.book_ingredients(),
            DrinkSource::Books(_, checked) => Ok(checked.ingredients.clone()),
        }
    }

    pub fn settings(&self) -> Result<Settings, StoreError> {
        match self {
            DrinkSource::House(house) => house.settings(),
            DrinkSource::Books(bar, _) => Ok(bar.settings.clone()),
        }
    }

    pub fn pantry(&self) -> Result<Stock, StoreError> {
        match self {
            DrinkSource::House(house) => house.pantry(),
            DrinkSource::Books(bar, _) => Ok(bar.stock.clone()),
        }
    }

    pub fn ranges(&self, convention: Convention) -> Result<Ranges, StoreError> {
        match self {
            DrinkSource::House(house) => house.ranges(convention),
            DrinkSource::Books(bar, _) => Ok(bar.ranges(convention).clone()),
        }
    }

    pub fn tastings(&self, name: &str) -> Result<Vec<Tasting>, StoreError> {
        match self {
            DrinkSource::House(house) => house.tastings(name),
            DrinkSource::Books(..) => Ok(Vec::new()),
        }
    }

    /// The prices that hold on a day, the latest where none is named. Of books: their own, over the price list of the
    /// house where there is one.
    pub fn prices(&self, named: Option<&Path>, on: Option<jiff::civil::Date>) -> Result<Prices, CliError> {
        match self {
            DrinkSource::House(house) => Ok(house.prices(on)?),
            DrinkSource::Books(_, checked) => Ok(match inputs::if_any(named)? {
                Some(house) => checked.prices(on).over(house.prices(on)?),
                None => checked.prices(on),
            }),
        }
    }
}
