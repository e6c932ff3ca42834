use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, Look};
use washline_core::names::key;
use washline_core::spec::{Fault, Source};
use washline_core::store::{Added, Listed, Refreshed};
use washline_view::books as shapes;

use super::Call;
use crate::error::CliError;
use crate::outcome::Outcome;
use crate::render::{self, plain};
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

/// What keeping books came to, or every fault that kept them out.
pub type Stored = Result<Kept, Vec<Fault>>;

pub struct Kept {
    pub added: Vec<Added>,
    pub refreshed: Refreshed,
    /// Every drink of the house, with the lists it stands on.
    pub listed: Vec<Listed>,
}

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
        Ok(added) => Ok(Kept {
            added,
            refreshed: house.refresh()?,
            listed: house.list()?,
        }),
        Err(faults) => Err(faults),
    })
}

/// The same for a program.
pub fn shape(stored: &Stored) -> shapes::Added<'_> {
    match stored {
        Ok(kept) => shapes::Added::of(&kept.added, &kept.refreshed),
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
    let Kept {
        added,
        refreshed,
        listed,
    } = match stored {
        Ok(kept) => kept,
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
    for (head, told) in on_other_lists(&added, &listed) {
        let head = format!("{head} ({}): ", told.len());
        outcome
            .out
            .push_str(&render::wrapped(&plain(&told.join("; ")), &head, "  "));
    }
    let _ = writeln!(outcome.out, "worked out: {}", refreshed.recomputed.len());
    outcome.notes.push_str(&render::faults(&refreshed.broken, &[]));
    Ok(outcome)
}

/// The drinks of these books that stand on other lists too: as the same drink, and as another of that name.
fn on_other_lists(added: &[Added], listed: &[Listed]) -> Vec<(&'static str, Vec<String>)> {
    let is_added = |title: &str| added.iter().any(|book| book.book == title);
    let lists = |l: &Listed| -> Vec<String> {
        let all = std::iter::once(&l.book).chain(&l.also_on);
        all.cloned().collect()
    };
    let mut by_name: HashMap<String, Vec<&Listed>> = HashMap::new();
    for drink in listed {
        by_name.entry(key(&drink.name)).or_default().push(drink);
    }
    let (mut same, mut other) = (Vec::new(), Vec::new());
    for drink in listed {
        let on = lists(drink);
        if !on.iter().any(|title| is_added(title)) {
            continue;
        }
        if !drink.also_on.is_empty() {
            same.push(format!("{} ({})", drink.name, on.join(", ")));
        }
        let namesakes = by_name.remove(&key(&drink.name)).unwrap_or_default();
        if namesakes.len() > 1 {
            let each: Vec<String> = namesakes.iter().map(|l| lists(l).join(", ")).collect();
            other.push(format!("{} ({})", drink.name, each.join(" / ")));
        }
    }
    let told = [
        ("one drink on several lists", same),
        ("the same name for different drinks", other),
    ];
    told.into_iter().filter(|(_, names)| !names.is_empty()).collect()
}
