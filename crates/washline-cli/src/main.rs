//! `washline`: the command line of the library. Arguments in, text or JSON out; everything that
//! computes or stores lives in `washline-core`.
//!
//! Each module uses only those above it in this list:
//!
//! 1. `plain`: text from outside, made safe to show.
//! 2. `style`: what a reader should notice.
//! 3. `output`: what a command leaves.
//! 4. `error`: what goes wrong, and the exit status.
//! 5. `clock`: what time it is.
//! 6. `progress`: a bar, where something takes its time.
//! 7. `keys`: one key at a time, where somebody sits at a terminal.
//! 8. `inputs`: which file is the house, and reading texts.
//! 9. `files`: writing files, and what is never written over.
//! 10. `drink_source`: the house, or books in its place.
//! 11. `asked`: what is asked of a command and told by it.
//! 12. `render`: how things look.
//! 13. `commands`: arguments, and what is done with them.

mod asked;
mod clock;
mod commands;
mod drink_source;
mod error;
mod files;
mod inputs;
mod keys;
mod output;
mod plain;
mod progress;
mod render;
mod style;

use std::io::{self, Write};
use std::process::ExitCode;

use anstream::AutoStream;
use commands::Arguments;
use error::CliError;
use output::Output;

fn main() -> ExitCode {
    commands::completions::complete();
    let arguments = match Arguments::typed() {
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
                let _ = write(io::stdout().lock(), &render::written(&said.shape()));
            } else {
                let said = plain::visible_styled(&error.render().ansi().to_string());
                let _ = write(AutoStream::auto(io::stderr().lock()), &said);
            }
            return ExitCode::from(2);
        }
    };
    let choice = arguments.colour.choice();
    let json = arguments.json;
    if !json {
        progress::begin();
    }
    let ended = commands::run(arguments);
    progress::end();
    let (output, status) = match ended {
        Ok(output) => {
            let status = if output.faulty { 2 } else { u8::from(output.found) };
            (output, status)
        }
        Err(error) => {
            let output = if json {
                Output::of(render::written(&error.shape()))
            } else {
                Output {
                    notes: error.rendered(),
                    ..Output::default()
                }
            };
            (output, error.status())
        }
    };
    // Whatever a command has let through is held here, but for data that is handed over as it is.
    let notes = plain::visible_styled(&output.notes);
    let out = if output.exact {
        output.out
    } else {
        plain::visible_styled(&output.out)
    };
    if write(AutoStream::new(io::stderr().lock(), choice), &notes).is_err() {
        return ExitCode::from(error::INTERNAL);
    }
    let written = match output.unwritten {
        Some(error) => Err(error),
        None => write(AutoStream::new(io::stdout().lock(), choice), &out),
    };
    match written {
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
