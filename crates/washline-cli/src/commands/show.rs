use std::path::PathBuf;

use clap::Args;
use washline_core::build::over_time;
use washline_core::names::{key, nearest};
use washline_core::spec::Fault;
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
    /// The drink, or the preparation.
    #[arg(value_name = "NAME")]
    name: String,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// How it goes on changing: on the ice it is worked with, and in its glass from the first sip to the last.
    #[arg(long)]
    over_time: bool,
}

impl Show {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let opened = open(call, self.book.as_ref())?;
        let reports = opened.house.drinks_named(&self.name)?;
        let preparations = opened.house.preparations_named(&self.name)?;
        if reports.is_empty() && preparations.is_empty() {
            return Err(unknown(opened, &self.name)?);
        }
        let told = if self.over_time {
            opened
                .house
                .drinks_named(&self.name)?
                .iter()
                .map(|w| over_time(&w.resolved, &w.built))
                .collect()
        } else {
            Vec::new()
        };
        let out = if call.json {
            json::show(&reports, &told, &preparations, &opened.faults)
        } else if self.over_time {
            let mut text = String::new();
            for (report, told) in reports.iter().zip(&told) {
                text.push_str(&render::over_time::text(&report.name(), told));
            }
            text + &render::cautions(&reports)
        } else {
            let specs = reports
                .iter()
                .map(|r| {
                    Ok(opened
                        .house
                        .spec_text(&r.name(), &r.found_in.book)?
                        .unwrap_or_default())
                })
                .collect::<Result<Vec<_>, CliError>>()?;
            let drinks = if reports.is_empty() {
                String::new()
            } else {
                render::in_full(&reports, &specs)
            };
            let tastings = opened.house.tastings(&self.name)?;
            let tasted = if tastings.is_empty() || reports.is_empty() {
                String::new()
            } else {
                format!("\nTasted\n{}", render::taste::lines(&tastings))
            };
            drinks + &tasted + &render::preparation::in_full(&preparations)
        };
        Ok(Outcome {
            out,
            faulty: !opened.faults.is_empty(),
            notes: opened.notes,
            ..Outcome::default()
        })
    }
}

/// A house, or a book in a house in memory, with what could not be read or worked out.
pub struct Opened {
    pub house: House,
    pub faults: Vec<Fault>,
    /// The faults for a reader.
    pub notes: String,
}

/// Open the house, or the book that is named in its place.
pub fn open(call: &Call, book: Option<&PathBuf>) -> Result<Opened, CliError> {
    let (mut house, mut faults, sources) = house::or_books(
        call.house.as_deref(),
        book.map(std::slice::from_ref).unwrap_or_default(),
    )?;
    if book.is_none() {
        faults = house.refresh()?.broken;
    }
    let notes = if call.json {
        String::new()
    } else {
        render::faults(&faults, &sources)
    };
    Ok(Opened { house, faults, notes })
}

/// Leave of what was opened only what has one of these names; all of it where none is given.
pub fn only_named<T>(
    opened: Opened,
    names: &[String],
    all: &mut Vec<T>,
    name_of: impl Fn(&T) -> &str,
) -> Result<Opened, CliError> {
    if names.is_empty() {
        return Ok(opened);
    }
    let wanted: Vec<String> = names.iter().map(|n| key(n)).collect();
    for (name, wanted) in names.iter().zip(&wanted) {
        if !all.iter().any(|one| key(name_of(one)) == *wanted) {
            return Err(unknown(opened, name)?);
        }
    }
    all.retain(|one| wanted.contains(&key(name_of(one))));
    Ok(opened)
}

/// No figures for a drink of that name: because it could not be read or worked out, or because there is
/// none; then the nearest ones.
pub fn unknown(opened: Opened, name: &str) -> Result<CliError, CliError> {
    let listed = opened.house.list()?;
    if listed.iter().any(|l| key(&l.name) == key(name)) {
        return Ok(CliError::input(format!("`{name}` cannot be worked out")).after(opened.notes));
    }
    let preparations = opened.house.preparations()?;
    let names = listed
        .iter()
        .map(|l| l.name.as_str())
        .chain(preparations.iter().map(|p| p.name()));
    let near = nearest(name, names.map(|n| (n, n)), 3);
    let error = CliError::input(format!("no drink `{name}` here")).near(&near);
    Ok(match opened.faults.len() {
        0 => error,
        n => error
            .hint(format!(
                "{} of the book keep drinks from being read",
                render::count(n, "fault", "faults")
            ))
            .after(opened.notes),
    })
}
