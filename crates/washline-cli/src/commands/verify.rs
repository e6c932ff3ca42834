use clap::Args;
use washline_core::store::examine;

use super::Call;
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render::exchange::verified;

/// Is the file of the house sound, does every spec still read, is every stored figure current?
///
/// Looks and mends nothing; nothing is written to the file. Exit status 1 if something is wrong.
///
/// Example: washline verify
#[derive(Debug, Args)]
pub struct Verify {}

impl Verify {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let path = house::path(call.house.as_deref())?;
        let examined = examine(&path)?;
        Ok(Outcome {
            out: verified(&path, &examined, call.json),
            found: !examined.is_sound(),
            ..Outcome::default()
        })
    }
}
