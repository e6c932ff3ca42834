use clap::Args;
use washline_core::store::Which;

use super::Call;
use super::remove::{Asked, Thing};
use crate::error::CliError;
use crate::output::Output;

/// A better name: for a drink, a list, an ingredient or a preparation; better words for a note or a tasting.
///
/// A drink keeps its versions, tastings and weighings. Where an ingredient or a preparation is poured, it is written by
/// its new name, as a new version; it says where. A note of a drink, and what a tasting says besides its verdict, are put
/// in the new words. `washline undo` takes it back.
///
/// Example: washline rename drink "Platform Fog" "Platform Mist"
#[derive(Debug, Args)]
pub struct Rename {
    /// What it is.
    #[arg(value_name = "WHAT", value_enum)]
    thing: Thing,

    /// Its name; of a tasting or a note that of the drink.
    #[arg(value_name = "NAME")]
    name: String,

    /// Its new name, or the new words.
    #[arg(value_name = "NEW")]
    new: String,

    /// The list it stands on, where more than one has a thing of that name; of a drink that stands on several, that list
    /// alone.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,

    /// Which, where there are several: of a tasting its day or who tasted, of a note some of its words.
    #[arg(long, value_name = "WORDS", default_value = "")]
    which: String,
}

impl Rename {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let asked = Asked {
            call,
            which: Which {
                sort: self.thing.sort(),
                name: &self.name,
                list: self.book.as_deref(),
                words: &self.which,
            },
            yes: None,
            question: "",
            telling: "with --which",
        };
        asked.done(|house, which, try_only| house.rename(which, &self.new, try_only))
    }
}
