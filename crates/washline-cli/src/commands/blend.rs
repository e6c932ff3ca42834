use clap::Args;
use washline_core::advise::{CannotBlend, blend};
use washline_core::ingredient::Stock;
use washline_core::liquid::Liquid;
use washline_core::measure::Amount;
use washline_core::spec::Settings;

use super::Call;
use super::adjust::{named, stock, volume};
use crate::error::CliError;
use crate::output::Output;
use crate::render::convert as render;

/// Two bottles of different strength: how much of each makes one in between?
///
/// Worked out by mass through the OIML tables, so that the shrinking of spirit and water is counted: parts by volume
/// are a little off. `0` or `water` reduces a spirit. A strength outside the two is refused.
///
/// Example: washline blend 57 40 --to 50 --volume "700 ml"
#[derive(Debug, Args)]
pub struct Blend {
    /// The one: a strength in % vol, or an ingredient with its strength where that matters.
    #[arg(value_name = "FIRST")]
    first: String,

    /// The other.
    #[arg(value_name = "SECOND")]
    second: String,

    /// The strength to come to, % vol.
    #[arg(long, value_name = "PCT")]
    to: String,

    /// How much there is to be in the end.
    #[arg(long, value_name = "VOLUME", default_value = "1 l")]
    volume: String,

    /// Use up so much of the first, in the place of --volume.
    #[arg(long, value_name = "VOLUME", conflicts_with = "volume")]
    have: Option<String>,
}

impl Blend {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let (stock, settings) = stock(call)?;
        let ounce = settings.ounce.unwrap_or_default();
        let (first, one) = bottle(&self.first, &stock, &settings)?;
        let (second, other) = bottle(&self.second, &stock, &settings)?;
        let to_pct = strength(&self.to).ok_or_else(|| {
            CliError::usage(format!(
                "--to {}: expected a strength from 0 to 100 % vol",
                self.to
            ))
        })?;
        let refused = |e: CannotBlend| CliError::input(format!("{first} and {second}: {e}"));
        let litre = blend(&one, &other, to_pct).map_err(refused)?;
        let blended = match &self.have {
            None => litre.making(volume("volume", &self.volume, ounce)?),
            Some(have) => litre.with_first(volume("have", have, ounce)?),
        };
        let blended = blended
            .ok_or_else(|| CliError::input(format!("a blend of {to_pct} % vol has none of {first} in it")))?;
        let names = [first.as_str(), second.as_str()];
        Ok(Output::of(if call.json {
            crate::render::written(&washline_view::convert::Blend::of(names, &blended))
        } else {
            render::blend_text(names, &blended)
        }))
    }
}

/// `57`, `57 %`, `57,5 % vol`.
fn strength(text: &str) -> Option<f64> {
    let bare = text
        .trim()
        .trim_end_matches("vol")
        .trim()
        .trim_end_matches('%')
        .trim()
        .replace(',', ".");
    let pct = Amount::decimal(&bare).ok()?.to_f64();
    (0.0..=100.0).contains(&pct).then_some(pct)
}

/// What is blended: a strength, or something of the stock.
fn bottle(text: &str, stock: &Stock, settings: &Settings) -> Result<(String, Liquid), CliError> {
    if let Some(pct) = strength(text) {
        let liquid = Liquid::from_strength(pct).map_err(|e| CliError::usage(e.to_string()))?;
        let name = if pct == 0.0 {
            "water".to_owned()
        } else {
            format!("{pct} % vol")
        };
        return Ok((name, liquid));
    }
    let (name, liquid) = named(text, stock, settings)?;
    let pct = liquid.abv_pct().unwrap_or(0.0);
    Ok((
        if pct > 0.0 {
            format!("{name} ({pct:.1} %)")
        } else {
            name
        },
        liquid,
    ))
}
