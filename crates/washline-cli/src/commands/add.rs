use std::collections::{BTreeMap, HashMap};
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
use crate::inputs;
use crate::output::Output;
use crate::render::{self, plain};

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
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let sources = inputs::texts(&self.files)?;
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
    let path = inputs::path(call.house.as_deref())?;
    if !path.exists() {
        // A book that does not read makes no house.
        let bar = Bar::default();
        let look = Look::new(sources, &bar);
        if !look.faults().is_empty() {
            return Ok(Err(look.faults().to_vec()));
        }
    }
    let mut house = inputs::to_write(call.house.as_deref(), notes)?;
    Ok(match house.add_books(sources)? {
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
pub fn keep(call: &Call, sources: &[Source], notes: String) -> Result<Output, CliError> {
    let mut output = Output {
        notes,
        ..Output::default()
    };
    let stored = stored(call, sources, &mut output.notes)?;
    output.faulty = stored.is_err();
    if call.json {
        output.out = render::written(&shape(&stored));
        return Ok(output);
    }
    let Kept {
        added,
        refreshed,
        listed,
    } = match stored {
        Ok(kept) => kept,
        Err(faults) => {
            output.notes.push_str(&render::faults(&faults, sources));
            output.notes.push_str(&render::not_stored(faults.len()));
            return Ok(output);
        }
    };
    for book in &added {
        let _ = writeln!(output.out, "{}", plain(&book.book));
        for (word, names) in [
            ("new", &book.new),
            ("changed", &book.changed),
            ("unchanged", &book.unchanged),
            ("no longer in it", &book.removed),
        ] {
            if word == "unchanged" && names.len() > 3 {
                let _ = writeln!(output.out, "  {word}: {} drinks", names.len());
            } else if !names.is_empty() {
                let head = format!("  {word} ({}): ", names.len());
                output
                    .out
                    .push_str(&render::wrapped(&plain(&names.join("; ")), &head, "    "));
            }
        }
        for (head, names) in on_other_lists(&book.book, &listed) {
            let head = format!("  {} ({}): ", plain(&head), names.len());
            output
                .out
                .push_str(&render::wrapped(&plain(&names.join("; ")), &head, "    "));
        }
    }
    let _ = writeln!(output.out, "worked out: {}", refreshed.recomputed.len());
    output.notes.push_str(&render::faults(&refreshed.broken, &[]));
    Ok(output)
}

/// The drinks of a list that other lists have too: as the same drink, and as another of that name.
fn on_other_lists(title: &str, listed: &[Listed]) -> Vec<(String, Vec<String>)> {
    let lists = |l: &Listed| -> Vec<String> {
        let all = std::iter::once(&l.book).chain(&l.also_on);
        all.cloned().collect()
    };
    let mut by_name: HashMap<String, Vec<&Listed>> = HashMap::new();
    for drink in listed {
        by_name.entry(key(&drink.name)).or_default().push(drink);
    }
    let (mut same, mut other) = (Told::new(), Told::new());
    for drink in listed.iter().filter(|l| lists(l).iter().any(|on| on == title)) {
        for list in lists(drink).into_iter().filter(|on| on != title) {
            same.entry(list).or_default().push(drink.name.clone());
        }
        let namesakes = by_name.get(&key(&drink.name)).into_iter().flatten();
        for namesake in namesakes.filter(|l| !lists(l).iter().any(|on| on == title)) {
            for list in lists(namesake) {
                other.entry(list).or_default().push(drink.name.clone());
            }
        }
    }
    let same = same
        .into_iter()
        .map(|(list, names)| (format!("the same drink as on \"{list}\""), names));
    let other = other
        .into_iter()
        .map(|(list, names)| (format!("another drink of that name on \"{list}\""), names));
    same.chain(other).collect()
}

/// Names of drinks by the title of a list.
type Told = BTreeMap<String, Vec<String>>;
