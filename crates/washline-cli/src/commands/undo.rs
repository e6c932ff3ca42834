use clap::Args;
use washline_core::store::{Entry, NotUndone};

use super::Call;
use crate::error::CliError;
use crate::output::{NOTHING_CHANGED, Output};
use crate::render::undo::{listed, planned, taken_back};
use crate::{inputs, keys};

/// That was a slip: take back the last thing that was done to the house, or a particular one.
///
/// It says first what that does, and asks. Without a terminal it only says so; `--yes` does it unasked. Nothing is lost:
/// what was taken back is had again by undoing that entry (`washline undo N`). What a later entry stands on is not taken
/// from under it.
///
/// Example: washline undo --list
#[derive(Debug, Args)]
pub struct Undo {
    /// The number of the entry, as `--list` gives it; the last one that stands where none is given.
    #[arg(value_name = "N")]
    entry: Option<i64>,

    /// What was done to the house, the latest first.
    #[arg(long, conflicts_with_all = ["entry", "yes"])]
    list: bool,

    /// Do it, and do not ask.
    #[arg(long)]
    yes: bool,
}

impl Undo {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let mut output = Output::default();
        if self.list {
            let house = inputs::to_read(call.house.as_deref())?;
            output.out = listed(&house.journal()?, call.json);
            return Ok(output);
        }
        // A house that is not there is not made to undo something in it.
        drop(inputs::to_read(call.house.as_deref())?);
        let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
        let number = match self.entry {
            Some(number) => number,
            None => {
                house
                    .last_entry()?
                    .ok_or_else(|| CliError::input("there is nothing to take back"))?
                    .number
            }
        };
        let plan = house.undo(number, true)?.map_err(|why| refused(number, &why))?;
        // What it does is told once.
        let (mut does_it, mut told) = (self.yes, false);
        if !does_it && !call.json && keys::can_ask() {
            output.notes.clear();
            if !keys::yes(&planned(&plan, false), "Take it back?").map_err(CliError::internal)? {
                output.out = format!("{NOTHING_CHANGED}\n");
                return Ok(output);
            }
            (does_it, told) = (true, true);
        }
        if !does_it {
            output.out = planned(&plan, call.json);
            if !call.json {
                output.out.push_str(&format!(
                    "{NOTHING_CHANGED}: `washline undo {number} --yes` does it\n"
                ));
            }
            return Ok(output);
        }
        let done = house.undo(number, false)?.map_err(|why| refused(number, &why))?;
        let refreshed = house.refresh()?;
        output.out = if told {
            taken_back(&done)
        } else {
            planned(&done, call.json)
        };
        output
            .notes
            .push_str(&crate::render::faults(&refreshed.broken, &[]));
        Ok(output)
    }
}

/// Why an entry is not taken back, and what to do about it.
fn refused(number: i64, why: &NotUndone) -> CliError {
    let error = CliError::input(match why {
        NotUndone::NoEntry(_) | NotUndone::Already(..) => why.to_string(),
        NotUndone::Later(_) | NotUndone::InTheWay(_) => format!("entry {number} cannot be taken back: {why}"),
    });
    match why {
        NotUndone::NoEntry(_) => error.hint("`washline undo --list` gives the numbers"),
        NotUndone::Already(_, by) => error.hint(format!("`washline undo {by}` does it again")),
        NotUndone::Later(later) => match later.last() {
            Some(Entry { number, .. }) => error.hint(format!("first `washline undo {number}`")),
            None => error,
        },
        NotUndone::InTheWay(_) => error,
    }
}
