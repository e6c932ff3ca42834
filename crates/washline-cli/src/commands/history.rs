use clap::Args;
use washline_core::names::{key, meant, nearest};
use washline_core::store::House;

use super::Call;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::history::{Told, text};
use crate::render::written;
use washline_view::history::History as Kept;

/// How did this come to be what it is? Every version of a drink, what changed line by line, and what that did.
///
/// Each version is worked out with the ingredients, settings and ranges of today, so that only the spec is another; its
/// tastings and weighings stand with it. Of a preparation, an ingredient, a price or a setting it tells what was done to
/// it and when. `washline show NAME --version N` shows an old version in full, `washline compare NAME@2 NAME@5` lays two
/// side by side, `washline restore NAME --version N` pours it again.
///
/// Example: washline history "Platform Fog"
#[derive(Debug, Args)]
pub struct History {
    /// A drink, a preparation, an ingredient, something that has a price, or a setting.
    #[arg(value_name = "NAME")]
    name: String,

    /// The list, where more than one has it.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,
}

impl History {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let house = inputs::to_read(call.house.as_deref())?;
        let mut told = of(&house, &self.name)?;
        if told.is_empty() {
            let listed = house.list()?;
            if let Some(full) = meant(&self.name, listed.iter().map(|l| l.name.as_str())) {
                told = of(&house, full)?;
            }
        }
        if let Some(book) = &self.book {
            told.drinks.retain(|d| {
                std::iter::once(&d.list)
                    .chain(&d.also_on)
                    .any(|list| key(list) == key(book))
            });
            told.preparations.retain(|p| key(&p.list) == key(book));
        }
        if told.is_empty() {
            return Err(unknown(&house, &self.name)?);
        }
        Ok(Output::of(if call.json {
            written(&Kept::from(&told))
        } else {
            text(&told)
        }))
    }
}

/// Everything that is kept under a name.
fn of(house: &House, name: &str) -> Result<Told, CliError> {
    Ok(Told {
        drinks: house.drink_history(name)?,
        preparations: house.preparation_history(name)?,
        ingredient: house.ingredient_events(name)?,
        price: house.price_events(name)?,
        setting: house.setting_events(name)?,
    })
}

fn unknown(house: &House, name: &str) -> Result<CliError, CliError> {
    let pantry = house.pantry()?;
    if pantry.iter().any(|i| key(&i.name) == key(name)) {
        return Ok(CliError::input(format!(
            "nothing was done to `{name}` in this house: it is as the reference library has it"
        )));
    }
    let listed = house.list()?;
    let preparations = house.preparations_in_short()?;
    let names = listed
        .iter()
        .map(|l| l.name.as_str())
        .chain(preparations.iter().map(|p| p.name.as_str()));
    let near = nearest(name, names.map(|n| (n, n)), 3);
    Ok(CliError::input(format!("nothing called `{name}` here")).near(&near))
}
