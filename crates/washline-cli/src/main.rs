//! `washline`: the command line of the library. Arguments in, text or JSON out; everything that
//! computes or stores lives in `washline-core`.

mod commands;
mod error;
mod files;
mod house;
mod render;

use std::io::{self, Write};
use std::process::ExitCode;

use anstream::{AutoStream, ColorChoice};
use clap::Parser;

use commands::Arguments;
use error::CliError;

/// What a command leaves: text for each stream, and whether there is something to mend.
#[derive(Debug, Default)]
pub struct Outcome {
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
}

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version go to standard output and are no error.
            if !error.use_stderr() {
                let _ = error.print();
                return ExitCode::SUCCESS;
            }
            // Not `args`, which ends the program at the first argument that is no text.
            if std::env::args_os().any(|argument| argument == "--json") {
                let said = CliError::usage(error.render().to_string().trim().trim_start_matches("error: "));
                let _ = write(io::stdout().lock(), &render::json::error(&said));
            } else {
                let said = render::visible::visible_styled(&error.render().ansi().to_string());
                let _ = write(AutoStream::auto(io::stderr().lock()), &said);
            }
            return ExitCode::from(2);
        }
    };
    let choice = arguments.colour.choice();
    let json = arguments.json;
    let (outcome, status) = match commands::run(arguments) {
        Ok(outcome) => {
            let status = if outcome.faulty {
                2
            } else {
                u8::from(outcome.found)
            };
            (outcome, status)
        }
        Err(error) => {
            let outcome = if json {
                Outcome {
                    out: render::json::error(&error),
                    ..Outcome::default()
                }
            } else {
                Outcome {
                    notes: error.rendered(),
                    ..Outcome::default()
                }
            };
            (outcome, error.status())
        }
    };
    // Whatever a command has let through is held here, but for data that is handed over as it is.
    let notes = render::visible::visible_styled(&outcome.notes);
    let out = if outcome.exact {
        outcome.out
    } else {
        render::visible::visible_styled(&outcome.out)
    };
    if write(AutoStream::new(io::stderr().lock(), choice), &notes).is_err() {
        return ExitCode::from(error::INTERNAL);
    }
    match write(AutoStream::new(io::stdout().lock(), choice), &out) {
        Ok(()) => ExitCode::from(status),
        // `washline list | head` closes the pipe early: that is the reader's right.
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => ExitCode::SUCCESS,
        Err(error) => {
            let _ = writeln!(io::stderr(), "error: the output cannot be written: {error}");
            ExitCode::from(CliError::internal(error).status())
        }
    }
}

fn write(mut stream: impl Write, text: &str) -> io::Result<()> {
    stream.write_all(text.as_bytes())?;
    stream.flush()
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
    fn choice(self) -> ColorChoice {
        match self {
            Colour::Auto => ColorChoice::Auto,
            Colour::Always => ColorChoice::AlwaysAnsi,
            Colour::Never => ColorChoice::Never,
        }
    }
}
