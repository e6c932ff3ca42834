use clap::Args;
use washline_core::balance::{Severity, Standing};
use washline_core::find::Query;
use washline_core::store::{House, InShort};

use super::Call;
use super::only::{self, Only};
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render::{self, json};
use crate::shelf::Shelf;

/// What do we pour? Every drink of the house with its figures in short.
///
/// Example: washline list --flagged
#[derive(Debug, Args)]
pub struct List {
    /// Only drinks outside their range or with a fault in the build.
    #[arg(long)]
    flagged: bool,

    #[command(flatten)]
    only: Only,
}

impl List {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let query = self.only.query(call)?;
        let mut house = house::to_read(call.house.as_deref())?;
        if let Some(query) = query {
            return self.part(&query, call, house);
        }
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

    /// The drinks of which a question holds.
    fn part(&self, query: &Query, call: &Call, mut house: House) -> Result<Outcome, CliError> {
        house.refresh()?;
        let mut drinks = house.drinks()?;
        drinks.retain(|d| !self.flagged || d.evaluation.standing() <= Standing::Outside);
        let facts = only::facts(query, call, &Shelf::House(house))?;
        let notes = only::keep(query, &facts, call, &mut drinks)?;
        let out = if call.json {
            json::check(&drinks, &[], &[])
        } else {
            let short: Vec<InShort> = drinks.iter().map(InShort::of).collect();
            render::list(&short)
        };
        Ok(Outcome {
            out,
            notes,
            ..Outcome::default()
        })
    }
}
