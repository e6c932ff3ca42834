//! Books read against what a bar has: every fault of them, and what is sound.

use std::collections::HashSet;

use crate::ingredient::{Found, Stock};
use crate::names::key;
use crate::prepare::{self, Written};
use crate::resolve;
use crate::spec::{Book, Drink, Fault, Section, Settings, Source, Unplaced, read_each};

/// Read books under the settings of a house and against its stock. What has a fault is left out of the books. Of a drink
/// only its outline is kept ([`Drink::outline`]): what it was read as is dropped as soon as it is seen to be sound, and
/// [`each_drink`] reads it again.
pub(crate) fn read_books(sources: &[Source], house: &Settings, pantry: &Stock) -> (Vec<Book>, Vec<Fault>) {
    let mut all_faults = Vec::new();
    let mut books = Vec::new();
    for source in sources {
        let mut reading = read_each(source, house, &mut |section, _| {
            Some(match section {
                Section::Drink(drink) => Section::Drink(drink.outline()),
                other => other,
            })
        });
        let mut stock = pantry.clone();
        reading.book.ingredients().for_each(|i| stock.put(i.clone()));
        let mut faults = reading.faults;
        faults.extend(name_prices(&mut reading.book, &stock, source));
        let settings = reading.book.settings.over(house);
        let unsound = reading.faulty.iter().filter(|d| d.makes.is_some());
        let written: Vec<Written<'_>> = reading
            .book
            .preparations()
            .map(|preparation| (preparation, true))
            .chain(unsound.map(|preparation| (preparation, false)))
            .map(|(preparation, sound)| Written {
                preparation,
                source,
                line: preparation.line,
                sound,
            })
            .collect();
        let preparations = prepare::make(&written, &mut stock, &settings);
        faults.extend(preparations.faults.iter().cloned());
        let mut unresolved: HashSet<usize> = HashSet::new();
        // A drink that did not read may have names that are not known: they are said in the same run.
        each_drink(source, house, |drink, sound| {
            let missing = match resolve::resolve(&drink, &stock, &settings, source) {
                Ok(resolved) if sound => preparations.missing_in(&resolved, source),
                Ok(_) => Vec::new(),
                Err(unresolved) => unresolved,
            };
            if !missing.is_empty() {
                unresolved.insert(drink.span.start);
                faults.extend(missing);
            }
        });
        reading.book.sections.retain(|section| match section {
            Section::Ingredient(_) => true,
            Section::Preparation(p) => !preparations.failed.iter().any(|(name, _)| *name == p.name),
            Section::Drink(drink) => !unresolved.contains(&drink.span.start),
        });
        faults.sort_by_key(|f| (f.line, f.column));
        all_faults.extend(faults);
        if reading.book.title.is_empty() {
            reading.book.title.clone_from(&source.file);
        }
        books.push(reading.book);
    }
    (books, all_faults)
}

/// The drinks of a book one after the other as they are read, each with whether it reads: none is kept.
pub(crate) fn each_drink(source: &Source, house: &Settings, mut take: impl FnMut(Drink, bool)) {
    read_each(source, house, &mut |section, sound| {
        if let Section::Drink(drink) = section {
            take(drink, sound);
        }
        None
    });
}

/// Bring the prices that a book gives to the names of the ingredients they are of: those it defines, and those
/// that are known. What is neither is a fault, and its price is left out.
fn name_prices(book: &mut Book, stock: &Stock, source: &Source) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut priced = HashSet::new();
    book.sections.retain_mut(|section| {
        let Section::Ingredient(definition) = section else {
            return true;
        };
        let Some(price) = &mut definition.price else {
            return true;
        };
        let (message, near) = match stock.find(&price.name) {
            Found::Sure(ingredient) | Found::Taken(ingredient, _) => {
                price.name.clone_from(&ingredient.name);
                if priced.insert(key(&price.name)) {
                    return true;
                }
                let message = format!("a second price of {}; expected one a book", ingredient.name);
                (message, Vec::new())
            }
            // Poured as its kind, and bought under its own name.
            Found::Unknown if stock.poured(&price.name).is_some() => {
                if priced.insert(key(&price.name)) {
                    return true;
                }
                let message = format!("a second price of {}; expected one a book", price.name);
                (message, Vec::new())
            }
            found @ (Found::Ask(..) | Found::Unknown) => {
                let near = match found {
                    Found::Ask(near, _) => near,
                    _ => stock.nearest(&price.name),
                };
                let message = format!(
                    "a price of `{}`, which is no ingredient; expected a known name, or its figures",
                    price.name
                );
                (message, near)
            }
        };
        let span = definition.span.clone();
        faults.push(Unplaced::reject(span, message).with(near).at(source));
        false
    });
    faults
}
