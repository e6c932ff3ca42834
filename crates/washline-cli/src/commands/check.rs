use std::path::PathBuf;

use clap::Args;
use washline_core::balance::Severity;
use washline_core::computed::ComputedDrink;
use washline_core::spec::Fault;

use super::{Call, show};
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render::{self, Reasons, json};
use crate::shelf::Found;

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
        let files = if names.is_empty() {
            self.files.as_slice()
        } else {
            &[]
        };
        let Found {
            mut shelf,
            mut faults,
            sources,
        } = Found::open(call.house.as_deref(), files)?;
        faults.extend(shelf.refresh()?);
        let mut reports = shelf.drinks()?;
        let mut preparations = shelf.preparations()?;
        if !names.is_empty() {
            let opened = show::Opened {
                shelf,
                faults: std::mem::take(&mut faults),
                notes: String::new(),
                sources: Vec::new(),
            };
            show::only_named(opened, &names, &mut reports, ComputedDrink::name)?;
            preparations.clear();
        }
        let mut outcome = Outcome {
            found: self.strict && to_mend(&reports),
            faulty: !faults.is_empty(),
            ..Outcome::default()
        };
        if call.json {
            outcome.out = json::check(&reports, &preparations, &faults);
            return Ok(outcome);
        }
        outcome.notes = render::faults(&faults, &sources);
        outcome.out = if self.explain {
            let mut text = String::new();
            for report in &reports {
                text.push_str(&render::explained(report));
            }
            text
        } else if self.full {
            render::drinks_in_full(&reports)
        } else {
            render::glance(&reports, if self.why { Reasons::All } else { Reasons::Gravest })
        };
        outcome.out.push_str(&if self.full {
            render::preparation::in_full(&preparations)
        } else {
            render::preparation::preparations(&preparations)
        });
        outcome
            .out
            .push_str(&closing(&reports, &faults, self.why || self.full || self.explain));
        Ok(outcome)
    }
}

/// Whether a drink is outside its range or its build at fault.
fn to_mend(reports: &[ComputedDrink]) -> bool {
    reports
        .iter()
        .flat_map(|r| &r.evaluation.findings)
        .any(|f| f.severity() >= Severity::Outside)
}

/// The count at the end, and the cautions that belong to any list of figures; the rest in full or only counted.
fn closing(reports: &[ComputedDrink], faults: &[Fault], in_full: bool) -> String {
    if in_full {
        render::assumptions(reports) + &render::counts(reports, faults.len()) + &render::cautions(reports)
    } else {
        let aside = render::set_aside(reports);
        render::counts(reports, faults.len()) + "\n" + &aside + &render::estimates()
    }
}
