use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, Look};
use washline_core::spec::{Fault, Source};

use super::Call;
use crate::error::CliError;
use crate::outcome::Outcome;
use crate::render::{self, plain};
use crate::{clock, house};
use washline_core::store::{Added, Refreshed};
use washline_view::books as shapes;

/// Keep books in the house, all or nothing; says what is new, changed and unchanged.
///
/// A book of the same title stands in the place of the old one; every version of every spec is kept.
/// With a fault anywhere nothing is stored.
///
/// Example: washline add autumn.md
#[derive(Debug, Args)]
pub struct Add {
    /// Books to keep; `-` for standard input.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,
}

impl Add {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let sources = house::texts(&self.files)?;
        keep(call, &sources, String::new())
    }
}

/// What keeping books came to, or every fault that kept them out.
pub type Stored = Result<(Vec<Added>, Refreshed), Vec<Fault>>;

/// Keep books in the house.
pub fn stored(call: &Call, sources: &[Source], notes: &mut String) -> Result<Stored, CliError> {
    let path = house::path(call.house.as_deref())?;
    if !path.exists() {
        // A book that does not read makes no house.
        let bar = Bar::default();
        let look = Look::new(sources, &bar);
        if !look.faults().is_empty() {
            return Ok(Err(look.faults().to_vec()));
        }
    }
    let mut house = house::to_write(call.house.as_deref(), notes)?;
    Ok(match house.add_books(sources, &clock::now())? {
        Ok(added) => Ok((added, house.refresh()?)),
        Err(faults) => Err(faults),
    })
}

/// The same for a program.
pub fn shape(stored: &Stored) -> shapes::Added<'_> {
    match stored {
        Ok((added, refreshed)) => shapes::Added::of(added, refreshed),
        Err(faults) => shapes::Added::nothing(faults),
    }
}

/// Keep books in the house and say what that did; after notes that were made before.
pub fn keep(call: &Call, sources: &[Source], notes: String) -> Result<Outcome, CliError> {
    let mut outcome = Outcome {
        notes,
        ..Outcome::default()
    };
    let stored = stored(call, sources, &mut outcome.notes)?;
    outcome.faulty = stored.is_err();
    if call.json {
        outcome.out = render::written(&shape(&stored));
        return Ok(outcome);
    }
    let (added, refreshed) = match stored {
        Ok(stored) => stored,
        Err(faults) => {
            outcome.notes.push_str(&render::faults(&faults, sources));
            outcome.notes.push_str(&render::not_stored(faults.len()));
            return Ok(outcome);
        }
    };
    for book in &added {
        let _ = writeln!(outcome.out, "{}", plain(&book.book));
        for (word, names) in [
            ("new", &book.new),
            ("changed", &book.changed),
            ("unchanged", &book.unchanged),
            ("no longer in it", &book.removed),
        ] {
            if word == "unchanged" && names.len() > 3 {
                let _ = writeln!(outcome.out, "  {word}: {} drinks", names.len());
            } else if !names.is_empty() {
                let head = format!("  {word} ({}): ", names.len());
                outcome
                    .out
                    .push_str(&render::wrapped(&plain(&names.join("; ")), &head, "    "));
            }
        }
    }
    let _ = writeln!(outcome.out, "worked out: {}", refreshed.recomputed.len());
    outcome.notes.push_str(&render::faults(&refreshed.broken, &[]));
    Ok(outcome)
}
