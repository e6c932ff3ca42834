use std::io;

use clap::Args;
use washline_core::balance::{Severity, Standing};
use washline_core::computed::ComputedDrink;
use washline_core::store::{House, InShort};

use super::Call;
use super::only::Only;
use crate::drink_source::{DrinkSource, Passing};
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::streamed::{self, Stopped};
use crate::render::{self, json};

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
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        // A question that does not read is told before anything is opened.
        self.only.query(call)?;
        let mut house = inputs::to_read(call.house.as_deref())?;
        if self.only.is_a_part() {
            return self.part(call, house);
        }
        if call.json {
            return self.json(&mut house);
        }
        let mut drinks = house.in_short()?;
        drinks.retain(|d| !self.flagged || d.standing <= Standing::Outside);
        // What the bar makes is poured too; flagged are the drinks.
        let preparations = if self.flagged {
            Vec::new()
        } else {
            house.preparations_in_short()?
        };
        Ok(Output::of(
            render::list(&drinks) + &render::preparation::preparations(&preparations),
        ))
    }

    fn json(&self, house: &mut House) -> Result<Output, CliError> {
        let held = if self.flagged {
            house.held_flagged(Severity::Outside)?
        } else {
            house.held()?.0
        };
        let mut passing = Passing::of_house(house, held, Vec::new());
        if self.flagged {
            passing = passing.without_preparations();
        }
        match streamed::check(io::stdout().lock(), passing, |_| {}) {
            Ok(_) => Ok(Output::default()),
            Err(Stopped::Store(error)) => Err(error.into()),
            Err(Stopped::Output(error)) => Ok(Output {
                unwritten: Some(error),
                ..Output::default()
            }),
        }
    }

    /// The drinks of which a question holds.
    fn part(&self, call: &Call, mut house: House) -> Result<Output, CliError> {
        house.refresh()?;
        let drink_source = DrinkSource::House(house);
        let shown = |d: &ComputedDrink| !self.flagged || d.evaluation.standing() <= Standing::Outside;
        let (drinks, notes) = self.only.drinks_that_are(call, &drink_source, shown)?;
        let out = if call.json {
            json::drinks_alone(&drinks)
        } else {
            let short: Vec<InShort> = drinks.iter().map(InShort::of).collect();
            render::list(&short)
        };
        Ok(Output {
            out,
            notes,
            ..Output::default()
        })
    }
}
