use std::path::PathBuf;

use clap::Args;

use super::Call;
use super::only::{self, Asked};
use crate::drink_source::Found;
use crate::error::CliError;
use crate::output::Output;
use crate::render;

/// Which of your drinks pour lime and no egg, cost less than 2.50, were changed since the first of the month?
///
/// A question is tests joined by `and`, `or`, `not` and brackets: a thing that can be asked for and what is said of it.
/// `pours gin` finds every gin by name and by kind, in preparations too; figures are compared by their usual value.
/// Words by themselves are words of names, notes and garnishes; a test that names nothing takes the thing before it
/// (`pours gin or vodka`). --fields lists all that can be asked for.
///
/// What nobody knows (a price, an allergen, a tasting) is neither yes nor no: those drinks are named apart, with why.
/// Other commands take the same question after --where.
///
/// Example: washline find "pours lime and not egg" fixtures/books/lantern-halt.md
#[derive(Debug, Args)]
pub struct Find {
    /// What is asked, in quotes: `"strength < 14 and structure sour"`, `"garnish cherry or pours maraschino"`.
    #[arg(value_name = "QUESTION", required_unless_present = "fields")]
    question: Option<String>,

    /// Books to look in; `-` for standard input. Without any, the house.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,

    /// List what can be asked for.
    #[arg(long, conflicts_with_all = ["question", "files"])]
    fields: bool,
}

impl Find {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let Some(question) = self.question.filter(|_| !self.fields) else {
            let out = if call.json {
                render::written(&washline_view::find::Found::fields())
            } else {
                render::find::fields_text()
            };
            return Ok(Output::of(out));
        };
        let query = only::read(&question, call)?;
        let Found {
            mut drink_source,
            mut faults,
            sources,
        } = Found::open(call.house.as_deref(), &self.files)?;
        faults.extend(drink_source.refresh()?);
        let facts = only::facts(&query, call, &drink_source)?;
        let Asked { drinks, told, all } = Asked::of(&query, &facts, call, &drink_source)?;
        let mut output = Output {
            faulty: !faults.is_empty(),
            ..Output::default()
        };
        if call.json {
            output.out = render::written(&washline_view::find::Found::of(
                &drinks, all, &query, &told, &faults,
            ));
        } else {
            output.notes = render::faults(&faults, &sources);
            output.out = render::find::text(&drinks, all, &query, &told, &facts);
        }
        Ok(output)
    }
}
