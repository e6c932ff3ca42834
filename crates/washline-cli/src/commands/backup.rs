use std::path::PathBuf;

use clap::Args;

use super::Call;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::exchange::backed_up;

/// Before the list changes: a copy of the house in one file, whole at one moment, whoever is writing.
///
/// The file must not exist. `washline verify --house FILE` looks whether the copy is sound; `--house FILE` uses it.
///
/// Example: washline backup house-before.db
#[derive(Debug, Args)]
pub struct Backup {
    /// The file to write.
    #[arg(value_name = "FILE")]
    file: PathBuf,
}

impl Backup {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let house = inputs::to_read(call.house.as_deref())?;
        let bytes = house.back_up(&self.file)?;
        Ok(Output::of(backed_up(&self.file, bytes, call.json)))
    }
}
