use clap::{Args, ValueEnum};
use washline_core::advise::{By, CannotAdjust, SwapError, adjust, one_ml};
use washline_core::ingredient::{Portion, SoldBy, Stock, library};
use washline_core::liquid::Component;
use washline_core::measure::Ounce;
use washline_core::spec::{OwnNames, Settings};

use super::Call;
use super::named::convention_named;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::convert as render;

/// Orange juice as tart as lime: how much acid powder goes into it?
///
/// By total, one acid until both titrate alike; by profile, of citric, malic and tartaric acid what the other juice
/// has more of. Powder takes up room, so that the juice gets longer: the grams that reach the strength in the end are
/// told, and beside them the rule of thumb that leaves this out. Juices differ: taste it, and titrate where you can.
///
/// Example: washline adjust "orange juice" --to "lime juice" --by profile --volume "500 ml"
#[derive(Debug, Args)]
pub struct Adjust {
    /// The juice there is.
    #[arg(value_name = "JUICE")]
    juice: String,

    /// The juice it is to be as tart as.
    #[arg(long, value_name = "JUICE")]
    to: String,

    /// By all the acid as it titrates, or acid by acid.
    #[arg(long, value_enum, default_value_t)]
    by: Way,

    /// The powder of an adjustment by total: citric, malic or tartaric.
    #[arg(long, value_name = "ACID", default_value = "citric")]
    with: String,

    /// How much juice there is.
    #[arg(long, value_name = "VOLUME", default_value = "1 l")]
    volume: String,

    /// How much there is to be in the end, in the place of --volume.
    #[arg(long, value_name = "VOLUME", conflicts_with = "volume")]
    makes: Option<String>,

    /// How juices are counted; without it as the house does.
    #[arg(long, value_name = "CONVENTION")]
    convention: Option<String>,
}

/// What is made alike.
#[derive(Clone, Copy, Debug, Default, ValueEnum)]
pub enum Way {
    /// All the acid as it titrates.
    #[default]
    Total,
    /// Acid by acid.
    Profile,
}

impl Adjust {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let (stock, mut settings) = stock(call)?;
        if let Some(word) = &self.convention {
            settings.convention = Some(convention_named(word)?);
        }
        let ounce = settings.ounce.unwrap_or_default();
        let (juice, own) = named(&self.juice, &stock, &settings)?;
        let (to, like) = named(&self.to, &stock, &settings)?;
        let powder = Component::named(&format!(
            "{} acid",
            self.with.trim().trim_end_matches(" acid").to_lowercase()
        ))
        .ok_or_else(|| {
            CliError::usage(format!(
                "--with {}: expected citric, malic or tartaric",
                self.with
            ))
        })?;
        let by = match self.by {
            Way::Total => By::Total(powder),
            Way::Profile => By::Profile,
        };
        let volume_ml = volume("volume", &self.volume, ounce)?;
        let refused = |e: CannotAdjust| CliError::input(format!("{juice} to {to}: {e}"));
        let mut adjusted = adjust(&own, &like, by, volume_ml).map_err(refused)?;
        if let Some(makes) = &self.makes {
            let ml = volume("makes", makes, ounce)?;
            adjusted = adjusted
                .making(ml)
                .ok_or_else(|| refused(CannotAdjust::Nothing))?;
        }
        let told = render::Adjusting {
            juice: &juice,
            to: &to,
            own: &own,
            like: &like,
            profile: by == By::Profile,
            convention: settings.convention.unwrap_or_default(),
            adjusted: &adjusted,
        };
        Ok(Output::of(if call.json {
            crate::render::written(&washline_view::convert::Adjust::from(&told))
        } else {
            render::adjust_text(&told)
        }))
    }
}

/// What there is to pour and the settings it is poured under: of the house where there is one, else of the library.
pub(super) fn stock(call: &Call) -> Result<(Stock, Settings), CliError> {
    let asked = call.house.is_some() || std::env::var_os("WASHLINE_HOUSE").is_some_and(|h| !h.is_empty());
    if asked || inputs::path(None).is_ok_and(|path| path.exists()) {
        let house = inputs::to_read(call.house.as_deref())?;
        let (mut stock, mut settings) = (house.pantry()?, house.settings()?);
        // What a book of the house defines or makes is poured as well.
        for (_, own) in house.book_ingredients()? {
            stock.put(own);
        }
        settings.own_names = OwnNames::of(&stock);
        Ok((stock, settings))
    } else {
        Ok((library().clone(), Settings::default()))
    }
}

/// An ingredient by name: its full name and a millilitre of it.
pub(super) fn named(
    name: &str,
    stock: &Stock,
    settings: &Settings,
) -> Result<(String, washline_core::liquid::Liquid), CliError> {
    one_ml(name, stock, settings).map_err(|error| {
        let near = match &error {
            SwapError::NotAName { near, .. } => near.clone(),
            SwapError::Same { .. } => Vec::new(),
        };
        CliError::usage(error.to_string()).near(&near)
    })
}

/// A volume such as `500 ml`, ml; above nothing.
pub(super) fn volume(option: &str, text: &str, ounce: Ounce) -> Result<f64, CliError> {
    let portion = Portion::read(text, ounce).ok().filter(|p| p.by == SoldBy::Volume);
    let ml = portion.map(|p| p.amount.to_f64()).filter(|ml| *ml > 0.0);
    ml.ok_or_else(|| CliError::usage(format!("--{option} {text}: expected a volume such as `500 ml`")))
}
