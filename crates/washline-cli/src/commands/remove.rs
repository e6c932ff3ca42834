use clap::{Args, ValueEnum};
use washline_core::store::{NotRearranged, Rearranged, Sort, Which};

use super::Call;
use crate::error::CliError;
use crate::output::{NOTHING_CHANGED, Output};
use crate::render::undo::{rearranged, to_take_back};
use crate::{inputs, keys};

/// What is removed, renamed or put back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Thing {
    /// A drink; its versions, tastings and weighings are kept.
    Drink,
    /// A list, with all that stands on it.
    List,
    /// An ingredient of the house, or one that a list defines.
    Ingredient,
    /// A syrup or whatever else is made for drinks.
    Preparation,
    /// A tasting of a drink.
    Tasting,
    /// A note in the text of a drink.
    Note,
}

impl Thing {
    pub fn sort(self) -> Sort {
        match self {
            Thing::Drink => Sort::Drink,
            Thing::List => Sort::List,
            Thing::Ingredient => Sort::Ingredient,
            Thing::Preparation => Sort::Preparation,
            Thing::Tasting => Sort::Tasting,
            Thing::Note => Sort::Note,
        }
    }
}

/// Off the list with it: a drink, a whole list, an ingredient, a preparation, a tasting or a note.
///
/// It says first what goes and what still pours it, and asks. Without a terminal it only says so; `--yes` does it
/// unasked. A drink keeps its versions and tastings: `washline restore` puts it back, and so does `washline undo`.
///
/// Example: washline remove drink "Platform Fog"
#[derive(Debug, Args)]
pub struct Remove {
    /// What it is.
    #[arg(value_name = "WHAT", value_enum)]
    thing: Thing,

    /// Its name; of a tasting or a note that of the drink.
    #[arg(value_name = "NAME")]
    name: String,

    /// Which, where there are several: of a tasting its day or who tasted, of a note some of its words.
    #[arg(value_name = "WORDS", default_value = "")]
    words: String,

    /// The list it stands on, where more than one has a thing of that name; of a drink that stands on several, that list
    /// alone.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,

    /// Do it, and do not ask.
    #[arg(long)]
    yes: bool,
}

impl Remove {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let asked = Asked {
            call,
            which: Which {
                sort: self.thing.sort(),
                name: &self.name,
                list: self.book.as_deref(),
                words: &self.words,
            },
            yes: Some(self.yes),
            question: "Remove it?",
            telling: "behind the name",
        };
        asked.done(|house, which, try_only| house.remove(which, try_only))
    }
}

/// A change of what the house has that is told before it is done.
pub struct Asked<'a> {
    pub call: &'a Call,
    pub which: Which<'a>,
    /// Whether it is done unasked; `None` where nobody has to be asked.
    pub yes: Option<bool>,
    pub question: &'a str,
    /// How one of several is told from the others.
    pub telling: &'a str,
}

impl Asked<'_> {
    /// Say what it would do, ask, and do it.
    pub fn done(
        &self,
        change: impl Fn(
            &mut washline_core::store::House,
            Which<'_>,
            bool,
        ) -> Result<Result<Rearranged, NotRearranged>, washline_core::store::StoreError>,
    ) -> Result<Output, CliError> {
        let json = self.call.json;
        let mut output = Output::default();
        // A house that is not there is not made for this.
        drop(inputs::to_read(self.call.house.as_deref())?);
        let mut house = inputs::to_write(self.call.house.as_deref(), &mut output.notes)?;
        let refused = |why: &NotRearranged| refused(self.which, self.telling, why);
        let mut told = false;
        if let Some(yes) = self.yes
            && !yes
        {
            let plan = change(&mut house, self.which, true)?.map_err(|why| refused(&why))?;
            if json || !keys::can_ask() {
                output.out = rearranged(&plan, json);
                if !json {
                    output
                        .out
                        .push_str(&format!("{NOTHING_CHANGED}: with `--yes` it is done\n"));
                }
                return Ok(output);
            }
            if !keys::yes(&rearranged(&plan, false), self.question).map_err(CliError::internal)? {
                output.out = format!("{NOTHING_CHANGED}\n");
                return Ok(output);
            }
            told = true;
        }
        let done = change(&mut house, self.which, false)?.map_err(|why| refused(&why))?;
        // What it does is told once.
        output.out = if told {
            to_take_back(&done)
        } else {
            rearranged(&done, json)
        };
        Ok(output)
    }
}

/// Why it is not done, and what to do about it; `how` tells one of several from the others.
fn refused(which: Which<'_>, how: &str, why: &NotRearranged) -> CliError {
    let what = format!("{} `{}`", which.sort.word(), which.name);
    match why {
        NotRearranged::None(near) => match which.sort {
            Sort::Tasting | Sort::Note => {
                let kept = near.join("; ");
                let error = CliError::input(format!("no such {} of `{}`", which.sort.word(), which.name));
                if kept.is_empty() { error } else { error.hint(kept) }
            }
            _ => CliError::input(format!("no {what} here")).near(near),
        },
        NotRearranged::SeveralLists(titles) => CliError::input(format!(
            "{what} stands on {} lists; expected --book TITLE",
            titles.len()
        ))
        .hint(titles.join("; ")),
        NotRearranged::Several(all) => {
            CliError::input(format!("several fit; expected some of the words of one, {how}"))
                .hint(all.join("\n      "))
        }
        NotRearranged::TakenBefore(name) => {
            CliError::input(why.to_string()).hint(format!("washline restore \"{name}\""))
        }
        NotRearranged::ListGone(title) => {
            CliError::input(why.to_string()).hint(format!("washline restore \"{title}\""))
        }
        NotRearranged::NoVersion(last) => {
            CliError::input(format!("{what}: {why}; expected one from 1 to {last}"))
        }
        other => CliError::input(format!("{what}: {other}")),
    }
}
