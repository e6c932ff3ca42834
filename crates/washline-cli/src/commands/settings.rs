use clap::Subcommand;
use washline_core::names::nearest;
use washline_core::spec;

use super::Call;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render;

/// What holds for all books of the house: its ounce, its dash, its glasses, what "simple" means there.
///
/// A book's own settings stand over them. Keys are those of a book: `ounce`, `currency`, `acid convention`,
/// `country`, `serve`, a measure (`dash`, `barspoon` …), a glass (`coupe` …), or a word with several meanings.
#[derive(Debug, Subcommand)]
pub enum Settings {
    /// What is set, and the measures that follow, each with its published span.
    ///
    /// Example: washline settings show
    Show,
    /// Set something; every drink it changes is worked out anew.
    ///
    /// Example: washline settings set dash "0.8 ml"
    Set {
        /// What to set.
        key: String,
        /// To what.
        value: String,
    },
    /// Take a setting away again.
    ///
    /// Example: washline settings unset dash
    Unset {
        /// Which.
        key: String,
    },
}

impl Settings {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let path = inputs::path(call.house.as_deref())?;
        let mut output = Output::default();
        let house = match self {
            Settings::Show => inputs::if_any(call.house.as_deref())?,
            Settings::Set { key, value } => {
                // Tried before a house is made for it.
                match spec::Settings::default().set(&key, &value) {
                    Ok(Some(_)) => {}
                    Ok(None) => {
                        let keys = spec::Settings::keys();
                        let near = nearest(&key, keys.iter().map(|k| (k.as_str(), k.as_str())), 3);
                        return Err(CliError::usage(format!("`{key}` is no setting")).near(&near));
                    }
                    Err(expected) => {
                        return Err(CliError::usage(expected.of(&value, &key)));
                    }
                }
                let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
                house.set(&key, &value)?.map_err(CliError::usage)?;
                Some(house)
            }
            Settings::Unset { key } => {
                let none = || CliError::input(format!("the house does not set `{key}`"));
                if !path.exists() {
                    return Err(none());
                }
                let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
                if !house.unset(&key)? {
                    return Err(none());
                }
                Some(house)
            }
        };
        let (written, settings) = match house {
            Some(house) => (house.settings_written()?, house.settings()?),
            None => (Vec::new(), spec::Settings::default()),
        };
        output.out = if call.json {
            render::written(&washline_view::settings::Settings::of(&written, &settings))
        } else {
            render::settings(&written, &settings)
        };
        Ok(output)
    }
}
