//! One file a command; the doc comment of its arguments is its help.

mod add;
mod check;
mod compare;
mod completions;
mod ingredient;
mod list;
mod ranges;
mod settings;
mod show;

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use crate::error::CliError;
use crate::{Colour, Outcome};

/// What is really in the glass: strength, sweetness and tartness of a drink once ice has melted into it.
///
/// Figures are estimates: a palate and local law decide. Never use them to judge who may drive.
#[derive(Debug, Parser)]
#[command(
    name = "washline",
    version,
    arg_required_else_help = true,
    infer_long_args = true
)]
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
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    Check(check::Check),
    Add(add::Add),
    List(list::List),
    Show(show::Show),
    Compare(compare::Compare),
    #[command(subcommand)]
    Ingredient(ingredient::Ingredient),
    #[command(subcommand)]
    Ranges(ranges::Ranges),
    #[command(subcommand)]
    Settings(settings::Settings),
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
pub fn run(arguments: Arguments) -> Result<Outcome, CliError> {
    let call = Call {
        house: arguments.house,
        json: arguments.json,
    };
    match arguments.command {
        Command::Check(command) => command.run(&call),
        Command::Add(command) => command.run(&call),
        Command::List(command) => command.run(&call),
        Command::Show(command) => command.run(&call),
        Command::Compare(command) => command.run(&call),
        Command::Ingredient(command) => command.run(&call),
        Command::Ranges(command) => command.run(&call),
        Command::Settings(command) => command.run(&call),
        Command::Completions(command) => Ok(command.run()),
    }
}
