use clap::Args;
use washline_core::names::key;
use washline_core::store::{Sort, Which};

use super::Call;
use super::remove::Asked;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;

/// That one again: put back what was taken off a list, or pour an old version of a drink or preparation once more.
///
/// What was removed stands at the end of its list again; a list comes back with all that went with it. With `--version`
/// the old spec is kept as a new version: nothing between is lost.
///
/// Example: washline restore "Platform Fog" --version 1
#[derive(Debug, Args)]
pub struct Restore {
    /// The drink, the preparation or the list.
    #[arg(value_name = "NAME")]
    name: String,

    /// The version to pour again, as `washline history` gives it.
    #[arg(long, value_name = "N")]
    version: Option<i64>,

    /// The list it stands or stood on, where more than one has it.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,
}

impl Restore {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let sort = self.sort(call)?;
        let asked = Asked {
            call,
            which: Which {
                sort,
                name: &self.name,
                list: self.book.as_deref(),
                words: "",
            },
            yes: None,
            question: "",
            telling: "with --book",
        };
        match self.version {
            Some(version) => asked.done(|house, which, try_only| house.restore(which, version, try_only)),
            None => asked.done(|house, which, try_only| house.put_back(which, try_only)),
        }
    }

    /// What has that name.
    fn sort(&self, call: &Call) -> Result<Sort, CliError> {
        let house = inputs::to_read(call.house.as_deref())?;
        let on_the_list = self.book.as_deref().map(key);
        let wanted = |list: &str, removed: bool| {
            on_the_list.as_ref().is_none_or(|book| *book == key(list)) && (self.version.is_some() || removed)
        };
        let drinks = house.drink_history(&self.name)?;
        if drinks.iter().any(|d| wanted(&d.list, d.is_removed)) {
            return Ok(Sort::Drink);
        }
        let preparations = house.preparation_history(&self.name)?;
        if preparations.iter().any(|p| wanted(&p.list, p.is_removed)) {
            return Ok(Sort::Preparation);
        }
        if self.version.is_none()
            && house
                .removed_lists()?
                .iter()
                .any(|title| key(title) == key(&self.name))
        {
            return Ok(Sort::List);
        }
        if !drinks.is_empty() || !preparations.is_empty() {
            return Err(CliError::input(format!("`{}` is on its list", self.name)).hint(format!(
                "an old version of it: `washline history \"{0}\"`, then `washline restore \"{0}\" --version N`",
                self.name
            )));
        }
        Ok(if self.version.is_some() {
            Sort::Drink
        } else {
            Sort::List
        })
    }
}
