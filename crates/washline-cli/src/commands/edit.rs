use std::ffi::OsString;
use std::io::{BufRead, IsTerminal, Write as _};
use std::path::{Path, PathBuf};
use std::process::Command;

use clap::Args;

use super::Call;
use super::revise::Subject;
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::output::{NOTHING_CHANGED, Output};
use crate::progress;
use crate::render::{self, plain};

/// Write at a spec in your own editor; it is kept only if it reads.
///
/// Opens the text of the drink in the editor that `VISUAL`, else `EDITOR` names. What reads is kept as a new version of
/// the house, or written into its book, and shown beside what it was. What does not read is told line by line and offered
/// again; nothing typed is lost: the text stays in a file whose name is told, and --from goes on with it.
///
/// Example: washline edit "Platform Fog"
#[derive(Debug, Args)]
pub struct Edit {
    /// The drink.
    #[arg(value_name = "NAME")]
    name: String,

    /// The drink stands in this book, and not in the house.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// The list the drink stands in, where several have one of that name.
    #[arg(long, value_name = "TITLE")]
    of: Option<String>,

    /// Go on with the text in this file, in which an earlier one was left.
    #[arg(long, value_name = "FILE")]
    from: Option<PathBuf>,
}

impl Edit {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let editor = editor()?;
        let subject = Subject::open(call, &self.name, self.book.as_ref(), self.of.as_deref())?;
        let before = subject.spec();
        let draft = match &self.from {
            Some(file) => file.clone(),
            None => new_draft(&subject, &before)?,
        };
        loop {
            if let Err(error) = opened_in(&editor, &draft) {
                return Err(left(error, &self, &draft, &before));
            }
            let typed = std::fs::read_to_string(&draft)
                .map_err(|e| CliError::input(format!("{} cannot be read: {e}", draft.display())))?;
            if typed == before {
                self.discard(&draft);
                return Ok(Output::of(if call.json {
                    render::written(&washline_view::change::Changed::default())
                } else {
                    format!("{NOTHING_CHANGED}\n")
                }));
            }
            let text = subject.with_spec(&typed)?;
            match subject.revised(call, text)? {
                Ok(revised) => {
                    let done = match subject.carry_out(call, &revised) {
                        Ok(done) => done,
                        Err(error) => return Err(left(error, &self, &draft, &before)),
                    };
                    self.discard(&draft);
                    return Ok(Output::of(if call.json {
                        render::written(&render::change::shape(&revised, &done))
                    } else {
                        render::change::text(&revised, &done, "")
                    }));
                }
                Err((faults, source)) => {
                    let told = render::faults(&faults, &[source]);
                    if !again(&told) {
                        let error = CliError::input("it does not read; nothing was kept").after(told);
                        return Err(left(error, &self, &draft, &before));
                    }
                }
            }
        }
    }

    /// Take the draft away, where this run made it.
    fn discard(&self, draft: &Path) {
        if self.from.is_none() {
            // What cannot be taken away does no harm where it lies.
            let _ = std::fs::remove_file(draft);
        }
    }
}

/// The editor with its own options, by `VISUAL` and then `EDITOR`.
fn editor() -> Result<OsString, CliError> {
    ["VISUAL", "EDITOR"]
        .into_iter()
        .filter_map(std::env::var_os)
        .find(|named| !named.is_empty())
        .ok_or_else(|| {
            CliError::usage("no editor is named").hint(
                "set VISUAL or EDITOR to one, or use `washline change`; `washline export` gives the text to edit anywhere",
            )
        })
}

/// A file of its own for the text of a spec.
fn new_draft(subject: &Subject, text: &str) -> Result<PathBuf, CliError> {
    let name = washline_core::files::names(&[subject.drink.name()], "md")
        .pop()
        .unwrap_or_default();
    let folder = std::env::temp_dir();
    for number in 1..1000 {
        let number = if number == 1 {
            String::new()
        } else {
            format!("{number}-")
        };
        let path = folder.join(format!("washline-{number}{name}"));
        if path.exists() {
            continue;
        }
        files::put(&[(&path, text)], false, &Kept::none())?;
        return Ok(path);
    }
    Err(CliError::input(format!("{} is full of drafts", folder.display())).hint("take them away"))
}

/// Let the editor do its work; an error where it cannot be run, or says that it failed.
fn opened_in(editor: &OsString, draft: &Path) -> Result<(), CliError> {
    progress::end();
    // `EDITOR="code --wait"`: words of its own, as a shell reads them.
    let status = if cfg!(unix) {
        let mut line = editor.clone();
        line.push(" \"$1\"");
        Command::new("sh")
            .arg("-c")
            .arg(line)
            .arg("sh")
            .arg(draft)
            .status()
    } else {
        let named = editor.to_string_lossy().into_owned();
        let mut words = named.split_whitespace();
        Command::new(words.next().unwrap_or_default())
            .args(words)
            .arg(draft)
            .status()
    };
    let editor = editor.to_string_lossy();
    match status {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(CliError::input(format!(
            "the editor `{editor}` failed ({status}); nothing was kept"
        ))),
        Err(error) => Err(CliError::input(format!(
            "the editor `{editor}` cannot be run: {error}"
        ))),
    }
}

/// Whether to offer the text again: asked at a terminal, never elsewhere.
fn again(faults: &str) -> bool {
    if !std::io::stdin().is_terminal() || !std::io::stderr().is_terminal() {
        return false;
    }
    let mut screen = anstream::stderr().lock();
    let asked = writeln!(
        screen,
        "{}it does not read yet: return edits it again, q leaves it",
        washline_pages::visible::visible_styled(faults)
    )
    .and_then(|()| screen.flush());
    let mut answer = String::new();
    asked.is_ok()
        && std::io::stdin()
            .lock()
            .read_line(&mut answer)
            .is_ok_and(|read| read > 0)
        && !answer.trim().eq_ignore_ascii_case("q")
}

/// The same error, with where the text was left: nothing typed is lost.
fn left(error: CliError, edit: &Edit, draft: &Path, before: &str) -> CliError {
    if std::fs::read_to_string(draft).is_ok_and(|text| text == before) {
        edit.discard(draft);
        return error;
    }
    let book = edit
        .book
        .as_ref()
        .map_or_else(String::new, |b| format!(" --book \"{}\"", b.display()));
    error.hint(format!(
        "what you typed is in {}: `washline edit \"{}\"{book} --from {}` goes on with it",
        plain(&draft.display().to_string()),
        plain(&edit.name),
        plain(&draft.display().to_string())
    ))
}
