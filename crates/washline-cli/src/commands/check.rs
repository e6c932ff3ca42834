use std::io;
use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, Look};
use washline_core::spec::Source;

use super::{Call, show};
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render::streamed::{self, Stopped};
use crate::render::{self, Glance, Reasons, Tally};
use crate::shelf::{Passing, Rest, Shelf};

/// Before anyone tastes: is each drink in balance, does it fit its glass, is anything wrong in the build?
///
/// Reads books (or standard input with `-`), or checks the house where no file is named. Every fault of
/// a book is shown in one run; the drinks that read are worked out all the same.
///
/// Example: washline check fixtures/books/lantern-halt.md
#[derive(Debug, Args)]
pub struct Check {
    /// Books to check, or drinks of the house; `-` for standard input. Without any, the house.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,

    /// Exit with status 1 if a drink is outside its range or its build is at fault.
    #[arg(long)]
    strict: bool,

    /// Tell everything found in every drink, what was taken for granted and where to change it, and the cautions.
    #[arg(long)]
    why: bool,

    /// Show every figure of every drink.
    #[arg(long, conflicts_with = "explain")]
    full: bool,

    /// Show how each line was read: the line, the amount and ingredient it came to, what was taken for granted.
    #[arg(long)]
    explain: bool,
}

impl Check {
    /// The arguments as names of drinks, where none of them is a file and there is a house to look in.
    fn names(&self, call: &Call) -> Result<Vec<String>, CliError> {
        let is_name =
            |file: &PathBuf| file.as_os_str() != "-" && file.extension().is_none() && !file.exists();
        let asked = !self.files.is_empty() && self.files.iter().all(is_name);
        if !asked || !house::path(call.house.as_deref())?.exists() {
            return Ok(Vec::new());
        }
        Ok(self.files.iter().map(|f| f.display().to_string()).collect())
    }

    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let names = self.names(call)?;
        if self.files.is_empty() || !names.is_empty() {
            return self.house(call, &names);
        }
        let sources = house::texts(&self.files)?;
        let bar = Bar::default();
        self.tell(call, Passing::of_books(Look::new(&sources, &bar)), &sources)
    }

    /// The house, or the drinks of it that have one of these names.
    fn house(&self, call: &Call, names: &[String]) -> Result<Outcome, CliError> {
        let mut house = house::to_read(call.house.as_deref())?;
        let (mut held, mut faults) = house.held()?;
        if names.is_empty() {
            return self.tell(call, Passing::of_house(&house, held, faults), &[]);
        }
        let opened = show::Opened {
            shelf: Shelf::House(house),
            faults: std::mem::take(&mut faults),
            notes: String::new(),
            sources: Vec::new(),
        };
        let opened = show::only_named(opened, names, &mut held, |held| &held.name)?;
        match opened.shelf.house() {
            Some(house) => {
                let passing = Passing::of_house(house, held, faults).without_preparations();
                self.tell(call, passing, &[])
            }
            None => Ok(Outcome::default()),
        }
    }

    /// Tell of the drinks as they pass; `sources` are the texts they stand in, where that is no house.
    fn tell(&self, call: &Call, mut passing: Passing<'_>, sources: &[Source]) -> Result<Outcome, CliError> {
        let mut tally = Tally::default();
        let mut outcome = Outcome::default();
        if call.json {
            match streamed::check(io::stdout().lock(), passing, |drink| tally.put(drink)) {
                Ok(faults) => outcome.faulty = faults > 0,
                Err(Stopped::Store(error)) => return Err(error.into()),
                Err(Stopped::Output(error)) => outcome.unwritten = Some(error),
            }
            outcome.found = self.strict && tally.to_mend();
            return Ok(outcome);
        }
        if self.full || self.explain {
            let told = if self.explain {
                render::explained
            } else {
                render::drink_in_full
            };
            for drink in passing.worked_out()? {
                let drink = drink?;
                tally.put(&drink.summary());
                outcome.out.push_str(&told(&drink));
            }
        } else {
            let mut glance = Glance::new(if self.why { Reasons::All } else { Reasons::Gravest });
            for drink in passing.summaries()? {
                let drink = drink?;
                tally.put(&drink);
                glance.put(&drink);
            }
            outcome.out = glance.text();
        }
        let Rest { preparations, faults } = passing.rest()?;
        outcome.found = self.strict && tally.to_mend();
        outcome.faulty = !faults.is_empty();
        outcome.notes = render::faults(&faults, sources);
        outcome.out.push_str(&if self.full {
            render::preparation::in_full(&preparations)
        } else {
            render::preparation::preparations(&preparations)
        });
        // The count at the end, and the cautions that belong to any list of figures; the rest in full or only counted.
        let counts = tally.counts(faults.len());
        outcome.out += &if self.why || self.full || self.explain {
            tally.taken.text() + &counts + &tally.cautioned.text()
        } else {
            counts + "\n" + &tally.set_aside() + &render::estimates()
        };
        Ok(outcome)
    }
}
