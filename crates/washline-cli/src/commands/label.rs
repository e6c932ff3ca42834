use std::path::PathBuf;

use clap::Args;
use washline_core::balance::StandardDrink;
use washline_core::names::nearest;
use washline_core::service::label::{Label, label};

use super::{Call, show};
use crate::asked::Lists;
use crate::error::CliError;
use crate::output::Output;
use crate::render;

/// What does a menu have to say of each drink: strength, units, energy, allergens, what must be named, cautions?
///
/// Strength is given as served, once ice has melted, and as poured. Allergens come through every pour, choice,
/// preparation and garnish; what nobody has said is unknown, which is not "none". Local law decides.
///
/// Example: washline label "Platform Fog" --country UK
#[derive(Debug, Args)]
pub struct Labels {
    /// The drinks to label; without any, all of them.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// Whose standard drinks to count; without it, those of the book.
    #[arg(long, value_name = "COUNTRY")]
    country: Option<String>,

    /// Which list of allergens to show; JSON has both.
    #[arg(long, value_enum, default_value_t)]
    allergens: Lists,
}

impl Labels {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let country = self.country.as_deref().map(country).transpose()?;
        let opened = show::open(call, self.book.as_ref())?;
        let (opened, worked) = show::drinks_of(opened, &self.names)?;
        let labels: Vec<Label> = worked.iter().map(|w| label(w, country)).collect();
        let out = if call.json {
            render::written(&washline_view::label::Labels::of(&labels, &opened.faults))
        } else if self.names.is_empty() {
            render::label::list(&labels, self.allergens)
        } else {
            render::label::in_full(&labels, self.allergens)
        };
        Ok(opened.leave(out))
    }
}

fn country(name: &str) -> Result<&'static StandardDrink, CliError> {
    StandardDrink::of_country(name).ok_or_else(|| {
        let all: Vec<&str> = StandardDrink::all().map(|s| s.country.as_str()).collect();
        let near = nearest(name, all.iter().map(|c| (*c, *c)), 3);
        CliError::usage(format!(
            "no standard drink is known of `{name}`; expected one of: {}",
            all.join(", ")
        ))
        .near(&near)
    })
}
