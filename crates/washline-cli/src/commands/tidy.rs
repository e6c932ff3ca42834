use std::path::PathBuf;

use clap::Args;
use washline_core::computed::{Bar, tidy};

use super::Call;
use super::book_file::BookFile;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render;

/// What was typed on a phone becomes a spec to hand over: a book in its clean form, as it was read.
///
/// Amounts come first and have their units, each pour has a line of its own, glass and serves stand under the name;
/// comments, notes, order and every word are kept. What is taken for granted of the house (how large a dash is, which rum)
/// stays open. A drink that does not read stays as it is typed, and so does one that would read otherwise.
///
/// Example: washline tidy fixtures/books/lantern-halt.md
#[derive(Debug, Args)]
pub struct Tidy {
    /// The book; `-` for standard input.
    #[arg(value_name = "FILE")]
    file: PathBuf,

    /// Put the clean form in the file, in the place of what is there.
    #[arg(long)]
    write: bool,
}

impl Tidy {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let from_input = self.file.as_os_str() == "-";
        if self.write && from_input {
            return Err(CliError::usage("standard input is no file to write in")
                .hint("leave out --write, and put what is printed where you want it"));
        }
        let file = if from_input {
            None
        } else {
            Some(BookFile::read(&self.file)?)
        };
        let source = match &file {
            Some(file) => file.source.clone(),
            None => inputs::texts(std::slice::from_ref(&self.file))?.remove(0),
        };
        let tidied = tidy(&source, &Bar::default());
        let changed = tidied.text != source.text;
        if let Some(file) = file.filter(|_| self.write && changed) {
            file.replace(call, &tidied.text)?;
        }
        let mut output = Output {
            faulty: !tidied.faults.is_empty(),
            exact: true,
            ..Output::default()
        };
        if call.json {
            output.out = render::written(&washline_view::files::TidyBook::of(
                &source.file,
                &tidied,
                changed,
                self.write && changed,
            ));
            return Ok(output);
        }
        output.notes = render::faults(&tidied.faults, std::slice::from_ref(&source));
        output.notes.push_str(&render::tidy::left(&tidied));
        if self.write {
            output.exact = false;
            output.out = render::tidy::written(&source.file, changed);
        } else {
            output.out = tidied.text;
        }
        Ok(output)
    }
}
