use clap::Args;
use washline_core::store::{examine, repair};

use super::Call;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::exchange::verified;

/// Is the file of the house sound and yours, does every spec still read, is every figure what its spec comes to?
///
/// Everything is looked through in a copy, and every figure worked out once more; nothing is written to the file. Exit
/// status 1 if something is wrong.
///
/// --repair works every figure out anew from the specs and builds the indexes again, all of it or nothing, and says
/// what it could not mend. What was typed is never touched. Make a backup first.
///
/// Example: washline verify
#[derive(Debug, Args)]
pub struct Verify {
    /// Mend what the specs are there to mend from.
    #[arg(long)]
    repair: bool,
}

impl Verify {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let path = inputs::path(call.house.as_deref())?;
        let (rebuilt, examined) = if self.repair {
            let repaired = repair(&path)?;
            (Some(repaired.rebuilt), repaired.left)
        } else {
            (None, examine(&path)?)
        };
        Ok(Output {
            out: verified(&path, &examined, rebuilt, call.json),
            found: !examined.is_sound(),
            ..Output::default()
        })
    }
}
