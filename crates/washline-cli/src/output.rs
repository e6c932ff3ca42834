//! What a command leaves, and how it is coloured.

use anstream::ColorChoice;

/// What a command leaves: text for each stream, and whether there is something to mend.
#[derive(Debug, Default)]
pub struct Output {
    /// Data: what was asked for.
    pub out: String,
    /// Notes: what happened besides.
    pub notes: String,
    /// What is in `out` is data for a file or another program, to the byte.
    pub exact: bool,
    /// Findings under `--strict`.
    pub found: bool,
    /// Something could not be read; what could is in `out`.
    pub faulty: bool,
    /// Of data that was written as it was made, and is not in `out`: what kept it from being written.
    pub unwritten: Option<std::io::Error>,
}

/// What is said where nothing was done.
pub const NOTHING_CHANGED: &str = "nothing was changed";

impl Output {
    /// Data, and nothing else to say.
    pub fn of(out: String) -> Output {
        Output {
            out,
            ..Output::default()
        }
    }
}

/// When to colour.
#[derive(Clone, Copy, Debug, Default, clap::ValueEnum)]
pub enum Colour {
    /// On a terminal, unless `NO_COLOR` is set.
    #[default]
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

impl Colour {
    pub fn choice(self) -> ColorChoice {
        match self {
            Colour::Auto => ColorChoice::Auto,
            Colour::Always => ColorChoice::AlwaysAnsi,
            Colour::Never => ColorChoice::Never,
        }
    }
}
