use clap::{Args, CommandFactory};
use clap_complete::Shell;
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate};
use clap_complete::env::Shells;

use super::{Arguments, Call};
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;

/// Print completions for a shell: of commands and options, and of the drinks, lists and ingredients of the house.
///
/// The script asks the program itself, each time, so that a name is completed from the moment on that it is kept. The
/// house is that of `WASHLINE_HOUSE`, else that of the platform's data folder.
///
/// Example: washline completions bash > ~/.local/share/bash-completion/completions/washline
#[derive(Debug, Args)]
pub struct Completions {
    /// Which shell.
    #[arg(value_enum)]
    shell: Shell,
}

/// What the script says the shell with, so that the program completes and does nothing else.
const ASKED: &str = "WASHLINE_COMPLETE";

impl Completions {
    pub fn run(self, _: &Call) -> Result<Output, CliError> {
        let mut script = Vec::new();
        let shells = Shells::builtins();
        let shell = shells
            .completer(&self.shell.to_string())
            .ok_or_else(|| CliError::internal("a shell without completions"))?;
        shell
            .write_registration(ASKED, "washline", "washline", "washline", &mut script)
            .map_err(CliError::internal)?;
        Ok(Output {
            out: String::from_utf8_lossy(&script).into_owned(),
            exact: true,
            ..Output::default()
        })
    }
}

/// Complete and end, where a shell asks for that.
pub fn complete() {
    clap_complete::CompleteEnv::with_factory(|| named(Arguments::command(), Sort::Drinks))
        .var(ASKED)
        .bin("washline")
        .complete();
}

/// What goes by a name.
#[derive(Clone, Copy)]
enum Sort {
    Drinks,
    Lists,
    Ingredients,
    Everything,
}

/// The command with the names that its arguments can have: those of its drinks, or of what it is about.
fn named(command: clap::Command, names: Sort) -> clap::Command {
    let sort = match command.get_name() {
        "ingredient" => Sort::Ingredients,
        "rename" | "remove" | "restore" | "history" => Sort::Everything,
        _ => names,
    };
    command
        .mut_args(|argument| {
            let called = argument
                .get_value_names()
                .and_then(|names| names.first())
                .map(ToString::to_string);
            match called.as_deref() {
                Some("NAME" | "NAME|FILE" | "FIRST" | "SECOND") => {
                    argument.add(ArgValueCompleter::new(move |typed: &std::ffi::OsStr| {
                        candidates(sort, typed)
                    }))
                }
                Some("TITLE") => argument.add(ArgValueCompleter::new(|typed: &std::ffi::OsStr| {
                    candidates(Sort::Lists, typed)
                })),
                Some("INGREDIENT" | "OLD" | "NEW") => {
                    argument.add(ArgValueCompleter::new(|typed: &std::ffi::OsStr| {
                        candidates(Sort::Ingredients, typed)
                    }))
                }
                _ => argument,
            }
        })
        .mut_subcommands(|below| named(below, sort))
}

/// The names of a sort that begin as is typed; none where there is no house to read.
fn candidates(sort: Sort, typed: &std::ffi::OsStr) -> Vec<CompletionCandidate> {
    let Ok(house) = inputs::to_read(None) else {
        return Vec::new();
    };
    let mut names: Vec<String> = Vec::new();
    if matches!(sort, Sort::Drinks | Sort::Everything) {
        names.extend(house.list().into_iter().flatten().map(|drink| drink.name));
    }
    if matches!(sort, Sort::Lists | Sort::Everything) {
        names.extend(house.titles().into_iter().flatten());
    }
    if matches!(sort, Sort::Ingredients | Sort::Everything) {
        let own = house.book_ingredients().into_iter().flatten();
        names.extend(own.map(|(_, ingredient)| ingredient.name));
        if let (Ok(pantry), Sort::Ingredients) = (house.pantry(), sort) {
            names.extend(pantry.iter().map(|ingredient| ingredient.name.clone()));
        }
    }
    begun(names, typed)
}

/// Each name once that begins as is typed, capitals aside; what no terminal should be given is left out.
fn begun(mut names: Vec<String>, typed: &std::ffi::OsStr) -> Vec<CompletionCandidate> {
    let typed = typed.to_string_lossy().to_lowercase();
    names.retain(|name| name.to_lowercase().starts_with(&typed) && !name.chars().any(char::is_control));
    names.sort_unstable();
    names.dedup();
    names.into_iter().map(CompletionCandidate::new).collect()
}
