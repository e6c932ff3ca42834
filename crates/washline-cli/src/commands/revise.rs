//! A spec put in other words: looked at beside what it was, and kept or written where that is asked.

use std::path::{Path, PathBuf};

use washline_core::computed::{Bar, ComputedDrink, look_at};
use washline_core::names::key;
use washline_core::service::cost::{Costing, drink_cost};
use washline_core::spec::{Fault, Source, read_under};
use washline_core::store::House;

use super::book_file::BookFile;
use super::{Call, show};
use crate::asked::{Done, Revised};
use crate::drink_source::{DrinkSource, Found};
use crate::error::CliError;
use crate::{clock, inputs};

/// The drink that is to be changed, and where its text stands.
pub struct Subject {
    /// As it is.
    pub drink: ComputedDrink,
    place: Location,
    costing: Option<Costing>,
}

#[expect(clippy::large_enum_variant, reason = "there is one of it")]
enum Location {
    House(House),
    File(BookFile, Bar),
}

impl Subject {
    /// The drink of that name in the house, or in the book named.
    pub fn open(
        call: &Call,
        name: &str,
        book: Option<&PathBuf>,
        of: Option<&str>,
    ) -> Result<Subject, CliError> {
        if book.is_some_and(|book| book.as_os_str() == "-") {
            return Err(CliError::usage("standard input cannot be changed").hint("name the file"));
        }
        let opened = show::open_for_one(call, book)?;
        let mut drinks = opened.drink_source.drinks_named(name)?;
        if let Some(title) = of {
            drinks.retain(|d| d.found_in.is_on(title));
        }
        let drink = match drinks.len() {
            0 => {
                return Err(match of {
                    Some(title) => show::not_on(name, title),
                    None => show::unknown(opened, name)?,
                });
            }
            1 => drinks.remove(0),
            _ => return Err(show::on_several(&drinks)),
        };
        let prices = opened.prices(call)?;
        let costing = Some(drink_cost(&drink, &prices)).filter(Costing::has_any_price);
        let place = match (opened.drink_source, book) {
            (DrinkSource::House(house), _) => Location::House(house),
            (DrinkSource::Books(bar, _), Some(book)) => Location::File(BookFile::read(book)?, bar),
            (DrinkSource::Books(..), None) => return Err(CliError::internal("books without a name")),
        };
        Ok(Subject {
            drink,
            place,
            costing,
        })
    }

    /// The text that is changed: the spec by itself, or the whole book.
    pub fn source(&self) -> &Source {
        match &self.place {
            Location::House(_) => &self.drink.source,
            Location::File(file, _) => &file.source,
        }
    }

    /// The spec by itself, as it stands.
    pub fn spec(&self) -> String {
        match &self.place {
            Location::House(_) => self.drink.source.text.clone(),
            Location::File(file, _) => self
                .section()
                .map_or_else(String::new, |range| file.source.text[range].to_owned()),
        }
    }

    /// The text that is changed, with another spec in it.
    pub fn with_spec(&self, spec: &str) -> Result<String, CliError> {
        match &self.place {
            Location::House(_) => Ok(spec.to_owned()),
            Location::File(file, _) => {
                let range = self
                    .section()
                    .ok_or_else(|| CliError::internal("a drink stands in no section of its book"))?;
                let mut text = file.source.text.clone();
                // What follows begins on a line of its own, as it did.
                let end = if range.end < text.len() && !spec.ends_with('\n') {
                    "\n"
                } else {
                    ""
                };
                text.replace_range(range, &format!("{spec}{end}"));
                Ok(text)
            }
        }
    }

    /// Where the drink stands in its book.
    fn section(&self) -> Option<std::ops::Range<usize>> {
        let source = self.source();
        let reading = read_under(source, &self.drink.context.settings);
        let wanted = key(self.drink.name());
        let typed = reading.sections.iter().find(|s| key(&s.name) == wanted)?;
        let start = source.text[..typed.range.start]
            .rfind('\n')
            .map_or(0, |at| at + 1);
        Some(start.min(typed.range.start)..typed.range.end)
    }

    /// What it would be with `text` in the place of what is there; or every fault of it, with the text they are in.
    pub fn revised(
        &self,
        call: &Call,
        text: String,
    ) -> Result<Result<Revised, (Vec<Fault>, Source)>, CliError> {
        let source = Source::new(self.source().file.clone(), text.clone());
        let after = match &self.place {
            Location::House(house) => house.if_it_were(&self.drink, &text)?,
            Location::File(_, bar) => {
                let checked = look_at(std::slice::from_ref(&source), bar);
                let named = |d: &ComputedDrink| key(d.name()) == key(self.drink.name());
                let mut drinks = checked.drinks;
                match drinks.iter().position(named) {
                    Some(at) => Ok(drinks.swap_remove(at)),
                    None => Err(self.own_faults(checked.faults, &source)),
                }
            }
        };
        let after = match after {
            Ok(after) => after,
            Err(faults) => return Ok(Err((faults, source))),
        };
        let costs = match &self.costing {
            None => None,
            Some(before) => {
                let prices = match &self.place {
                    Location::House(house) => house.prices(Some(clock::today()))?,
                    Location::File(..) => {
                        let found = Found::open(None, &[PathBuf::from(&self.source().file)])?;
                        found
                            .drink_source
                            .prices(call.house.as_deref(), Some(clock::today()))?
                    }
                };
                Some((before.clone(), drink_cost(&after, &prices)))
            }
        };
        Ok(Ok(Revised {
            before: self.drink.clone(),
            after,
            text,
            costs,
        }))
    }

    /// The faults of the drink; where none of them is its own, all of them; where there are none, that it is gone.
    fn own_faults(&self, faults: Vec<Fault>, source: &Source) -> Vec<Fault> {
        let own: Vec<Fault> = faults
            .iter()
            .filter(|f| {
                source
                    .heading_of(f.line)
                    .is_some_and(|h| key(h) == key(self.drink.name()))
            })
            .cloned()
            .collect();
        if !own.is_empty() {
            return own;
        }
        if !faults.is_empty() {
            return faults;
        }
        vec![Fault {
            file: source.file.clone(),
            line: self.drink.found_in.line,
            column: 1,
            span: 0..0,
            kind: washline_core::spec::FaultKind::Reject,
            message: format!(
                "{} no longer stands here; expected the spec under its own name",
                self.drink.name()
            ),
            suggestions: Vec::new(),
            cure: None,
        }]
    }

    /// Keep it as a new version of the house, or write it into its book.
    pub fn carry_out(self, call: &Call, revised: &Revised) -> Result<Done, CliError> {
        let mut done = Done::default();
        match self.place {
            Location::File(file, _) => {
                file.replace(call, &revised.text)?;
                done.written = Some(file.path.display().to_string());
            }
            Location::House(open) => {
                let path: PathBuf = open.path().to_owned();
                // Read and written through one door after the other: a version kept in between is told.
                drop(open);
                done.kept = Some(keep(&path, &self.drink, &revised.text)?);
            }
        }
        Ok(done)
    }
}

/// Keep a text as the new version of a drink in the house at that place. Gives from which version, and as which.
pub fn keep(path: &Path, drink: &ComputedDrink, text: &str) -> Result<(i64, i64), CliError> {
    let mut house = inputs::to_write(Some(path), &mut String::new())?;
    let amended = house.amend(drink, text)?.map_err(|faults| not_kept(&faults))?;
    house.refresh()?;
    Ok((amended.from_version, amended.version))
}

/// What is said where a spec that was put anew does not read.
pub fn not_kept(faults: &[Fault]) -> CliError {
    CliError::input("the new spec does not read; nothing was stored")
        .after(crate::render::faults(faults, &[]))
}
