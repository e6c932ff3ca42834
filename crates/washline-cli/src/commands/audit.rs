use std::collections::BTreeSet;
use std::io::Read;
use std::path::{Path, PathBuf};
use washline_core::names::Expected;

use clap::Args;
use washline_core::balance::Severity;
use washline_core::computed::ComputedDrink;
use washline_core::find::Facts;
use washline_core::service::audit::{Audited, audit};
use washline_core::store::{Access, House};

use super::Call;
use super::only::{self, Only};
use super::price::{OptionFaults, date};
use crate::clock;
use crate::drink_source::{DrinkSource, Found};
use crate::error::CliError;
use crate::output::Output;
use crate::render;

/// Before a list goes to print: what is wrong with it as a whole, grouped by what to do, most serious first.
///
/// Looks at every drink (balance, glass, build) and at what lies between them: amounts no jigger measures, two
/// ounces, gaps and crowding, near twins, ingredients that one drink alone pours, one ingredient under two names,
/// what nobody has written down, and specs that have drifted from another book, list or version.
///
/// Example: washline audit fixtures/books/lantern-halt.md --most "20 g"
#[derive(Debug, Args)]
pub struct Audit {
    /// Books to audit as one list; `-` for standard input, `house` or nothing for the house.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,

    /// Another list to look at beside it, a book or a house: what has drifted, what it lacks.
    #[arg(long, value_name = "OTHER")]
    against: Option<PathBuf>,

    /// What day it is, `2026-11-25`: measurements and prices are old by it. Without it, today.
    #[arg(long, value_name = "DATE")]
    today: Option<String>,

    /// The most alcohol the house serves in one drink: `20 g`.
    #[arg(long, value_name = "GRAMS")]
    most: Option<String>,

    #[command(flatten)]
    only: Only,

    /// Exit with status 1 if anything is outside its range or at fault.
    #[arg(long)]
    strict: bool,
}

impl Audit {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let mut wrongs = OptionFaults::default();
        let most_g = wrongs.maybe("most", self.most.as_ref(), grams);
        let day = match &self.today {
            Some(text) => wrongs.take("today", text, date(text)),
            None => Some(clock::today()),
        };
        wrongs.done()?;
        let of_house =
            self.files.is_empty() || self.files == [Path::new("house")] && !Path::new("house").exists();
        let books: &[PathBuf] = if of_house { &[] } else { &self.files };
        let Found {
            drink_source: mut list,
            mut faults,
            sources,
        } = Found::open(call.house.as_deref(), books)?;
        // A drink that cannot be worked out is said to be so, and the rest is audited all the same.
        faults.extend(list.refresh()?);
        let mut other = self.against.as_ref().map(other).transpose()?;
        let prices = list.prices(call.house.as_deref(), day)?;
        let (drinks, left_out) = self.only.drinks(call, &list)?;
        let query = self.only.query(call)?;
        // A part of a list does not tell what nobody pours.
        let (prepared, defined) = match query {
            None => (list.preparations()?, list.book_ingredients()?),
            Some(_) => Default::default(),
        };
        let earlier = list.drinks_before()?;
        // The same part of the other list, or it would lack the rest.
        if let (Some(other), Some(query)) = (&mut other, &query) {
            only::keep(query, &Facts::default(), call, &mut other.drinks)?;
        }
        let audited = audit(&Audited {
            drinks: &drinks,
            prepared: &prepared,
            defined: &defined,
            earlier: &earlier,
            against: other.as_ref().map(|o| (o.called.as_str(), o.drinks.as_slice())),
            prices,
            today: day,
            most_g,
        });
        let mut notes = left_out;
        if !call.json {
            notes.push_str(&render::faults(&faults, &sources));
            if let Some(other) = &other {
                notes.push_str(&other.notes);
            }
        }
        if let Some(other) = other {
            faults.extend(other.faults);
        }
        Ok(Output {
            out: if call.json {
                render::written(&washline_view::audit::Audited::of(&audited, &faults))
            } else {
                render::audit::text(&audited, most_g)
            },
            found: self.strict && audited.gravest() >= Some(Severity::Outside),
            faulty: !faults.is_empty(),
            notes,
            ..Output::default()
        })
    }
}

/// `20 g`, `20`: grams of ethanol.
fn grams(text: &str) -> Result<f64, Expected> {
    let number = text.trim().trim_end_matches(['g', ' ']).replace(',', ".");
    let plain = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    match number.parse::<f64>() {
        Ok(grams) if plain && grams > 0.0 && grams <= 1000.0 => Ok(grams),
        _ => Err(Expected::new("expected grams of alcohol above 0 such as `20 g`")),
    }
}

/// The other list.
struct Other {
    /// The title of its only book, else its file.
    called: String,
    drinks: Vec<ComputedDrink>,
    faults: Vec<washline_core::spec::Fault>,
    notes: String,
}

/// Read the other list: a house, or a book.
fn other(path: &PathBuf) -> Result<Other, CliError> {
    let file = path.display().to_string();
    let found = if is_database(path) {
        let mut drink_source = DrinkSource::House(House::open(path, Access::Read)?.0);
        Found {
            faults: drink_source.refresh()?,
            drink_source,
            sources: Vec::new(),
        }
    } else {
        Found::open(None, std::slice::from_ref(path))?
    };
    let drinks = found.drink_source.drinks()?;
    let titles: BTreeSet<&str> = drinks.iter().map(|d| d.found_in.book.as_str()).collect();
    let called = match titles.first() {
        Some(only) if titles.len() == 1 => (*only).to_owned(),
        _ => file,
    };
    Ok(Other {
        called,
        drinks,
        notes: render::faults(&found.faults, &found.sources),
        faults: found.faults,
    })
}

/// Whether a file begins as SQLite's do.
fn is_database(path: &Path) -> bool {
    let mut head = [0; 16];
    std::fs::File::open(path)
        .and_then(|mut file| file.read_exact(&mut head))
        .is_ok_and(|()| &head == b"SQLite format 3\0")
}
