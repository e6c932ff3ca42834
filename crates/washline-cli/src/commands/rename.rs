use clap::Args;
use washline_core::store::Which;

use super::Call;
use super::remove::{Asked, Thing};
use crate::error::CliError;
use crate::outcome::Outcome;

/// A better name: for a drink, a list, an ingredient or a preparation; everything kept of it goes along.
///
/// A drink keeps its versions, tastings and weighings. Where an ingredient or a preparation is poured, it is written by
/// its new name, as a new version; it says where. `washline undo` takes it back.
///
/// Example: washline rename drink "Platform Fog" "Platform Mist"
#[derive(Debug, Args)]
pub struct Rename {
    /// What it is.
    #[arg(value_name = "WHAT", value_enum)]
    thing: Thing,

    /// Its name.
    #[arg(value_name = "NAME")]
    name: String,

    /// Its new name.
    #[arg(value_name = "NEW")]
    new: String,

    /// The list it stands on, where more than one has it.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,
}

impl Rename {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let asked = Asked {
            call,
            which: Which {
                sort: self.thing.sort(),
                name: &self.name,
                list: self.book.as_deref(),
                words: "",
            },
            yes: None,
            question: "",
        };
        asked.done(|house, which, try_only, at| house.rename(which, &self.new, try_only, at))
    }
}
