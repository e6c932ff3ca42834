//! One file a command; the doc comment of its arguments is its help.

mod add;
mod adjust;
mod audit;
mod backup;
mod batch;
mod blend;
mod book_file;
pub mod card;
mod change;
mod check;
pub mod compare;
pub mod completions;
pub mod cost;
mod dated;
mod edit;
mod export;
mod find;
mod groups;
mod history;
mod import;
mod ingredient;
pub mod label;
mod learn;
mod list;
pub mod mend;
mod merge;
mod named;
mod only;
mod price;
mod ranges;
mod remove;
mod rename;
mod report;
mod restore;
mod revise;
mod settings;
mod settle;
mod show;
pub mod swap;
mod taste;
mod tidy;
mod travel;
mod undo;
mod verify;
mod weigh;

use std::path::PathBuf;

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use crate::error::CliError;
use crate::inputs;
use crate::output::{Colour, Output};

/// What is really in the glass: strength, sweetness and tartness of a drink once ice has melted into it.
///
/// Figures are estimates: a palate and local law decide. Never use them to judge who may drive.
#[derive(Debug, Parser)]
#[command(name = "washline", version, infer_long_args = true)]
pub struct Arguments {
    /// The house database (else `WASHLINE_HOUSE`, else the platform's data folder).
    #[arg(long, global = true, value_name = "FILE")]
    pub house: Option<PathBuf>,

    /// Print JSON instead of text.
    #[arg(long, global = true)]
    pub json: bool,

    /// When to colour.
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t,
        value_name = "WHEN",
        visible_alias = "color"
    )]
    pub colour: Colour,

    #[command(subcommand)]
    command: Option<Command>,
}

impl Arguments {
    /// What was typed, with help that lists the commands in groups.
    pub fn typed() -> Result<Arguments, clap::Error> {
        let matches = match Arguments::command().try_get_matches() {
            // The groups are laid out only for who asks for help.
            Err(error) if error.kind() == clap::error::ErrorKind::DisplayHelp => {
                groups::grouped(Arguments::command()).try_get_matches()?
            }
            matches => matches?,
        };
        Arguments::from_arg_matches(&matches)
    }
}

/// The commands, each with its arguments, which run it.
macro_rules! commands {
    ($($(#[$attribute:meta])* $name:ident($arguments:ty)),+ $(,)?) => {
        #[derive(Debug, Subcommand)]
        enum Command {
            $($(#[$attribute])* $name($arguments)),+
        }

        impl Command {
            fn run(self, call: &Call) -> Result<Output, CliError> {
                match self {
                    $(Command::$name(arguments) => arguments.run(call)),+
                }
            }
        }
    };
}

commands! {
    Tidy(tidy::Tidy),
    Settle(settle::Settle),
    Check(check::Check),
    Add(add::Add),
    Change(change::Change),
    Edit(edit::Edit),
    List(list::List),
    Show(show::Show),
    Compare(compare::Compare),
    Find(find::Find),
    Audit(audit::Audit),
    Mend(mend::Mend),
    Swap(swap::Swap),
    Adjust(adjust::Adjust),
    Blend(blend::Blend),
    Travel(travel::Travel),
    Cost(cost::Cost),
    Label(label::Labels),
    Card(card::Cards),
    Batch(batch::Batches),
    #[command(subcommand)]
    Ingredient(ingredient::Ingredient),
    #[command(subcommand)]
    Ranges(ranges::Ranges),
    Report(report::Reports),
    #[command(subcommand)]
    Settings(settings::Settings),
    Taste(taste::Taste),
    History(history::History),
    Restore(restore::Restore),
    Remove(remove::Remove),
    Rename(rename::Rename),
    Undo(undo::Undo),
    Export(export::Export),
    Import(import::Import),
    Backup(backup::Backup),
    Merge(merge::Merge),
    Verify(verify::Verify),
    Weigh(weigh::Weigh),
    Completions(completions::Completions),
}

/// What every command may need to know of the call.
#[derive(Clone, Debug)]
pub struct Call {
    /// The house named, if one is.
    pub house: Option<PathBuf>,
    /// Whether JSON is asked for.
    pub json: bool,
}

/// Run a command.
pub fn run(arguments: Arguments) -> Result<Output, CliError> {
    let call = Call {
        house: arguments.house,
        json: arguments.json,
    };
    let Some(command) = arguments.command else {
        return opening(&call);
    };
    command.run(&call)
}

/// What is said where no command is.
fn opening(call: &Call) -> Result<Output, CliError> {
    if call.json {
        return Err(CliError::usage("no command: `washline --help` lists them"));
    }
    let mut books: Vec<(String, usize)> = Vec::new();
    if let Some(house) = inputs::if_any(call.house.as_deref())? {
        for drink in house.in_short()? {
            match books.last_mut().filter(|(book, _)| *book == drink.book) {
                Some((_, n)) => *n += 1,
                None => books.push((drink.book, 1)),
            }
        }
    }
    Ok(Output::of(groups::opening(&books)))
}

/// What the tests of the program try, and draw in walks.
#[cfg(test)]
#[path = "../../../../tests/cli/forms.rs"]
#[allow(dead_code, reason = "here only the words are asked for")]
mod forms;

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    /// Every command that does something, by the words it is typed with.
    fn leaves(of: &clap::Command, above: &str) -> Vec<(String, clap::Command)> {
        of.get_subcommands()
            .filter(|command| command.get_name() != "help")
            .flat_map(|command| {
                let name = format!("{above}{}", command.get_name());
                if command.has_subcommands() {
                    leaves(command, &format!("{name} "))
                } else {
                    vec![(name, command.clone())]
                }
            })
            .collect()
    }

    #[test]
    fn every_way_of_writing_to_a_house_is_tried_and_drawn_in_walks() {
        let mut unknown: Vec<String> = Vec::new();
        let mut known: BTreeSet<String> = BTreeSet::new();
        for (name, command) in leaves(&Arguments::command(), "") {
            known.insert(name.clone());
            let words: Vec<&str> = name.split(' ').collect();
            let forms: Vec<&[&str]> = forms::WRITES
                .iter()
                .map(|form| form.words)
                .filter(|typed| typed.starts_with(&words))
                .collect();
            let reads = forms::READS.iter().any(|typed| typed.starts_with(&words));
            if forms.is_empty() && !reads && !forms::OTHERS.contains(&name.as_str()) {
                unknown.push(format!("does `{name}` write?"));
            }
            let drawn = |word: &str| forms.iter().any(|typed| typed.contains(&word));
            for argument in command.get_arguments() {
                if let Some(long) = argument.get_long() {
                    if !forms::PLAIN.contains(&long) && !drawn(&format!("--{long}")) {
                        unknown.push(format!("does `{name} --{long}` write?"));
                    }
                } else if !forms.is_empty() {
                    // Whatever can be removed or renamed.
                    for value in argument.get_possible_values() {
                        if !drawn(value.get_name()) {
                            unknown.push(format!("is `{name} {}` ever drawn?", value.get_name()));
                        }
                    }
                }
            }
        }
        for other in forms::OTHERS {
            if !known.contains(*other) {
                unknown.push(format!("`{other}` is no command"));
            }
        }
        assert!(
            unknown.is_empty(),
            "put each in a list of tests/cli/forms.rs:\n{}",
            unknown.join("\n")
        );
    }
}
