use std::path::PathBuf;

use clap::Args;
use washline_core::names::{key, nearest};
use washline_core::store::House;

use super::Call;
use crate::error::CliError;
use crate::render::{self, json};
use crate::{Outcome, house};

/// What exactly is in this one, step by step, and why these figures?
///
/// Example: washline show "Platform Fog"
#[derive(Debug, Args)]
pub struct Show {
    /// The drink.
    #[arg(value_name = "NAME")]
    name: String,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

impl Show {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let (mut house, notes) = open(call, self.book.as_ref())?;
        let reports = house.reports_named(&self.name)?;
        if reports.is_empty() {
            return Err(unknown(&house, &self.name, notes)?);
        }
        let mut outcome = Outcome {
            notes,
            ..Outcome::default()
        };
        if call.json {
            outcome.out = json::show(&reports);
        } else {
            let specs = reports
                .iter()
                .map(|r| Ok(house.spec_text(&r.name, &r.found_in.book)?.unwrap_or_default()))
                .collect::<Result<Vec<_>, CliError>>()?;
            outcome.out = render::in_full(&reports, &specs);
        }
        Ok(outcome)
    }
}

/// The house, or a book in a house in memory, with notes on what could not be read or worked out.
pub fn open(call: &Call, book: Option<&PathBuf>) -> Result<(House, String), CliError> {
    let Some(book) = book else {
        let mut house = house::to_read(call.house.as_deref())?;
        let broken = house.refresh()?.broken;
        return Ok((house, render::faults(&broken, &[])));
    };
    let sources = house::texts(std::slice::from_ref(book))?;
    let mut house = House::in_memory()?;
    let faults = house.take_what_reads(&sources)?;
    Ok((house, render::faults(&faults, &sources)))
}

/// No figures for a drink of that name: because it could not be read or worked out, as `notes` say, or
/// because there is none; then the nearest ones.
pub fn unknown(house: &House, name: &str, notes: String) -> Result<CliError, CliError> {
    let listed = house.list()?;
    if listed.iter().any(|l| key(&l.name) == key(name)) {
        return Ok(CliError::input(format!("`{name}` cannot be worked out")).after(notes));
    }
    let near = nearest(name, listed.iter().map(|l| (l.name.as_str(), l.name.as_str())), 3);
    let error = CliError::input(format!("no drink `{name}` here")).near(&near);
    Ok(if notes.is_empty() {
        error
    } else {
        error
            .hint("the faults above keep drinks from being read")
            .after(notes)
    })
}
