use clap::Args;

use super::Call;
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render::{self, json};

/// What do we pour? Every drink of the house with its figures in short.
///
/// Example: washline list --flagged
#[derive(Debug, Args)]
pub struct List {
    /// Only drinks outside their range or with a fault in the build.
    #[arg(long)]
    flagged: bool,
}

impl List {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let mut house = house::to_read(call.house.as_deref())?;
        let reports = if self.flagged {
            house.flagged(washline_core::balance::Severity::Outside)?
        } else {
            house.refresh()?;
            house.drinks()?
        };
        // What the bar makes is poured too; flagged are the drinks.
        let preparations = if self.flagged {
            Vec::new()
        } else {
            house.preparations()?
        };
        let out = if call.json {
            json::check(&reports, &preparations, &[])
        } else {
            render::list(&reports) + &render::preparation::preparations(&preparations)
        };
        Ok(Outcome {
            out,
            ..Outcome::default()
        })
    }
}
