use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, Look};
use washline_core::spec::{Fault, Source};

use super::Call;
use crate::error::CliError;
use crate::outcome::Outcome;
use crate::render::{self, json, plain};
use crate::{clock, house};

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

/// Keep books in the house and say what that did; after notes that were made before.
pub fn keep(call: &Call, sources: &[Source], notes: String) -> Result<Outcome, CliError> {
    let mut outcome = Outcome {
        notes,
        ..Outcome::default()
    };
    let path = house::path(call.house.as_deref())?;
    if !path.exists() {
        // A book that does not read makes no house.
        let bar = Bar::default();
        let look = Look::new(sources, &bar);
        if !look.faults().is_empty() {
            return Ok(refused(call, look.faults(), sources, outcome));
        }
    }
    let mut house = house::to_write(call.house.as_deref(), &mut outcome.notes)?;
    let now = clock::now();
    let added = match house.add_books(sources, &now)? {
        Ok(added) => added,
        Err(faults) => return Ok(refused(call, &faults, sources, outcome)),
    };
    let refreshed = house.refresh()?;
    if call.json {
        outcome.out = json::added(&added, &refreshed);
        return Ok(outcome);
    }
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

fn refused(call: &Call, faults: &[Fault], sources: &[Source], mut outcome: Outcome) -> Outcome {
    outcome.faulty = true;
    if call.json {
        outcome.out = json::faults(faults);
    } else {
        outcome.notes.push_str(&render::faults(faults, sources));
        let _ = writeln!(
            outcome.notes,
            "nothing was stored: {} to mend",
            render::count(faults.len(), "fault", "faults")
        );
    }
    outcome
}
