use clap::Args;
use washline_core::balance::{Severity, Standing};

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
        // What the bar makes is poured too; flagged are the drinks.
        let preparations = if self.flagged {
            Vec::new()
        } else {
            house.preparations()?
        };
        let out = if call.json {
            let reports = if self.flagged {
                house.flagged(Severity::Outside)?
            } else {
                house.refresh()?;
                house.drinks()?
            };
            json::check(&reports, &preparations, &[])
        } else {
            let mut drinks = house.in_short()?;
            drinks.retain(|d| !self.flagged || d.standing <= Standing::Outside);
            render::list(&drinks) + &render::preparation::preparations(&preparations)
        };
        Ok(Outcome {
            out,
            ..Outcome::default()
        })
    }
}
