use std::io;
use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, Look};
use washline_core::spec::Source;
use washline_core::store::PreparedInShort;

use super::{Call, show};
use crate::drink_source::{DrinkSource, Passing, Rest};
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::streamed::{self, Stopped};
use crate::render::{self, Glance, Reasons, Tally};

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
        if !asked || !inputs::path(call.house.as_deref())?.exists() {
            return Ok(Vec::new());
        }
        Ok(self.files.iter().map(|f| f.display().to_string()).collect())
    }

    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let names = self.names(call)?;
        if self.files.is_empty() || !names.is_empty() {
            return self.house(call, &names);
        }
        let sources = inputs::texts(&self.files)?;
        let bar = Bar::default();
        self.tell(call, Passing::of_books(Look::new(&sources, &bar)), &sources)
    }

    /// The house, or the drinks of it that have one of these names.
    fn house(&self, call: &Call, names: &[String]) -> Result<Output, CliError> {
        let mut house = inputs::to_read(call.house.as_deref())?;
        let (mut held, mut faults) = house.held()?;
        if names.is_empty() {
            return self.tell(call, Passing::of_house(&house, held, faults), &[]);
        }
        let opened = show::Opened {
            drink_source: DrinkSource::House(house),
            faults: std::mem::take(&mut faults),
            notes: String::new(),
            sources: Vec::new(),
        };
        let opened = show::only_named(opened, names, &mut held, |held| &held.name)?;
        match opened.drink_source.house() {
            Some(house) => {
                let passing = Passing::of_house(house, held, faults).without_preparations();
                self.tell(call, passing, &[])
            }
            None => Ok(Output::default()),
        }
    }

    /// Tell of the drinks as they pass; `sources` are the texts they stand in, where that is no house.
    fn tell(&self, call: &Call, mut passing: Passing<'_>, sources: &[Source]) -> Result<Output, CliError> {
        let mut tally = Tally::default();
        let mut output = Output::default();
        if call.json {
            match streamed::check(io::stdout().lock(), passing, |drink| tally.put(drink)) {
                Ok(faults) => output.faulty = faults > 0,
                Err(Stopped::Store(error)) => return Err(error.into()),
                Err(Stopped::Output(error)) => output.unwritten = Some(error),
            }
            output.found = self.strict && tally.to_mend();
            return Ok(output);
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
                output.out.push_str(&told(&drink));
            }
        } else {
            let mut glance = Glance::new(if self.why { Reasons::All } else { Reasons::Gravest });
            for drink in passing.summaries()? {
                let drink = drink?;
                tally.put(&drink);
                glance.put(&drink);
            }
            output.out = glance.text();
        }
        let Rest { preparations, faults } = passing.rest()?;
        output.found = self.strict && tally.to_mend();
        output.faulty = !faults.is_empty();
        output.notes = render::faults(&faults, sources);
        output.out.push_str(&if self.full {
            render::preparation::in_full(&preparations)
        } else {
            let short: Vec<PreparedInShort> = preparations.iter().map(PreparedInShort::of).collect();
            render::preparation::preparations(&short)
        });
        // The count at the end, and the cautions that belong to any list of figures; the rest in full or only counted.
        let counts = tally.counts(faults.len());
        output.out += &if self.why || self.full || self.explain {
            tally.taken.text() + &counts + &tally.cautioned.text()
        } else {
            counts + "\n" + &tally.set_aside() + &render::estimates()
        };
        Ok(output)
    }
}
