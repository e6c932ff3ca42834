use std::path::PathBuf;

use clap::Args;
use washline_core::computed::Faults;
use washline_core::spec::{CannotChange, Edit, changed};

use super::Call;
use super::revise::Subject;
use crate::asked::Done;
use crate::error::CliError;
use crate::output::{NOTHING_CHANGED, Output};
use crate::render;

/// One line of a spec put differently, one more, one less: what does that do to the drink?
///
/// Shows figures, verdict and cost before and after. Everything else in the text stays as it was typed, to the byte.
/// Nothing is stored without --keep, which makes it a new version of the house, and no file is changed without --write.
///
/// A line is named by its words as they stand, its bullet aside; where it stands twice, or not at all, nothing is changed
/// and the lines are told.
///
/// Example: washline change "Platform Fog" "10 ml dry vermouth" "15 ml dry vermouth"
#[derive(Debug, Args)]
#[command(
    override_usage = "washline change [OPTIONS] <NAME> <OLD> <NEW>\n       washline change [OPTIONS] <NAME> --add LINE | --drop LINE | --set KEY=VALUE"
)]
pub struct Change {
    /// The drink.
    #[arg(value_name = "NAME")]
    name: String,

    /// The line as it stands: `"22.5 ml lemon juice"`.
    #[arg(value_name = "OLD", requires = "new")]
    old: Option<String>,

    /// What is to stand there.
    #[arg(value_name = "NEW")]
    new: Option<String>,

    /// One more line: a pour behind the other pours, anything else at the end.
    #[arg(long, value_name = "LINE")]
    add: Vec<String>,

    /// A line taken away.
    #[arg(long, value_name = "LINE")]
    drop: Vec<String>,

    /// A particular: `glass=coupe`, `price=14`, `"garnish=lemon zest"`; with nothing behind the sign it is taken away.
    #[arg(long, value_name = "KEY=VALUE")]
    set: Vec<String>,

    /// The drink stands in this book, and not in the house.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// The list the drink stands in, where several have one of that name.
    #[arg(long, value_name = "TITLE")]
    of: Option<String>,

    /// Keep it in the house as a new version of the spec.
    #[arg(long, conflicts_with = "book")]
    keep: bool,

    /// Write it into the book.
    #[arg(long, requires = "book")]
    write: bool,
}

impl Change {
    /// What is to be changed, in the order of the options: lines put differently, taken away, added, particulars.
    fn edits(&self) -> Result<Vec<Edit>, CliError> {
        let mut edits = Vec::new();
        if let (Some(old), Some(new)) = (&self.old, &self.new) {
            edits.push(Edit::Replace {
                old: old.clone(),
                new: new.clone(),
            });
        }
        edits.extend(self.drop.iter().cloned().map(Edit::Drop));
        edits.extend(self.add.iter().cloned().map(Edit::Add));
        for said in &self.set {
            let Some((key, value)) = said.split_once(['=', ':']) else {
                return Err(CliError::usage(format!(
                    "--set {said}: expected a particular and its value such as `glass=coupe`"
                )));
            };
            edits.push(Edit::Set {
                key: key.trim().to_owned(),
                value: value.trim().to_owned(),
            });
        }
        if edits.is_empty() {
            return Err(
                CliError::usage("change what? expected OLD and NEW, --add, --drop or --set").hint(
                    "washline change \"branch line rain\" \"22.5 ml lemon juice\" \"20 ml lemon juice\"",
                ),
            );
        }
        Ok(edits)
    }

    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let edits = self.edits()?;
        let subject = Subject::open(call, &self.name, self.book.as_ref(), self.of.as_deref())?;
        let text = changed(
            subject.source(),
            subject.drink.name(),
            &edits,
            &subject.drink.context.settings,
        )
        .map_err(refused)?;
        let revised = match subject.revised(call, text)? {
            Ok(revised) => revised,
            Err((faults, source)) => {
                let said = format!("with that change the spec does not read; {NOTHING_CHANGED}");
                if call.json {
                    return Err(CliError::input(format!("{said}: {}", Faults(faults))));
                }
                return Err(CliError::input(said).after(render::faults(&faults, &[source])));
            }
        };
        let done = if self.keep || self.write {
            subject.carry_out(call, &revised)?
        } else {
            Done::default()
        };
        let how = if self.book.is_some() { "--write" } else { "--keep" };
        Ok(Output::of(if call.json {
            render::written(&render::change::shape(&revised, &done))
        } else {
            render::change::text(&revised, &done, how)
        }))
    }
}

fn refused(error: CannotChange) -> CliError {
    CliError::input(error.to_string())
}
