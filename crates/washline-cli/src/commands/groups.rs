//! The commands by what a bar does with them, as the help lists them.

use clap::Command;
use unicode_width::UnicodeWidthStr;

use crate::render::{count, wrapped};

/// Groups of commands in the order of the work; every command stands in one.
const GROUPS: [(&str, &[&str]); 6] = [
    ("Write", &["check", "tidy", "settle", "add", "change", "edit"]),
    ("Look", &["list", "find", "show", "compare", "audit", "history"]),
    (
        "Put right",
        &["mend", "swap", "adjust", "blend", "travel", "taste", "weigh"],
    ),
    (
        "Hand over",
        &["cost", "label", "card", "batch", "report", "export"],
    ),
    ("Stock and usage", &["ingredient", "ranges", "settings"]),
    (
        "Keep",
        &[
            "undo",
            "restore",
            "remove",
            "rename",
            "import",
            "backup",
            "merge",
            "verify",
            "completions",
            "help",
        ],
    ),
];

/// The command line, with its commands listed in groups.
pub fn grouped(command: Command) -> Command {
    let listed = listed(&command);
    command
        .before_help(listed)
        .help_template("{about-with-newline}\n{usage-heading} {usage}\n\n{before-help}Options:\n{options}")
}

/// The groups with a line or two on each command.
fn listed(command: &Command) -> String {
    const INDENT: &str = "  ";
    let longest = command.get_subcommands().map(|c| c.get_name().width()).max();
    let room = longest.unwrap_or(0) + INDENT.len() + 2;
    let mut text = String::new();
    for (group, names) in GROUPS {
        text.push_str(&format!("{group}:\n"));
        for name in names {
            let about = match command.find_subcommand(name).and_then(Command::get_about) {
                Some(about) => about.to_string(),
                None if *name == "help" => "This, or what `help COMMAND` says of one command".to_owned(),
                None => continue,
            };
            let first = format!("{INDENT}{name}{}", " ".repeat(room - INDENT.len() - name.width()));
            text.push_str(&wrapped(&about, &first, &" ".repeat(room)));
        }
        text.push('\n');
    }
    text
}

/// What is said where nothing is asked: how to begin, or what the house holds.
pub fn opening(books: &[(String, usize)]) -> String {
    let mut text = String::new();
    for (book, drinks) in books {
        text.push_str(&format!(
            "{}: {}\n",
            crate::plain::plain(book),
            count(*drinks, "drink", "drinks")
        ));
    }
    let lines: &[(&str, &str)] = if books.is_empty() {
        &[
            (
                "washline check list.md",
                "reads a list as you would write it down; nothing is kept",
            ),
            ("washline add list.md", "keeps it in a house"),
            ("washline --help", "says the rest"),
        ]
    } else {
        &[
            ("washline list", "shows them"),
            ("washline audit", "tells what to look at first"),
            ("washline --help", "says the rest"),
        ]
    };
    for (typed, does) in lines {
        text.push_str(&wrapped(does, &format!("{typed:<24}"), &" ".repeat(24)));
    }
    text
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use clap::CommandFactory;

    use super::*;
    use crate::commands::Arguments;

    #[test]
    fn every_command_stands_in_one_group() {
        let mut grouped: Vec<&str> = GROUPS
            .iter()
            .flat_map(|(_, names)| names.iter().copied())
            .collect();
        let n = grouped.len();
        grouped.sort_unstable();
        grouped.dedup();
        assert_eq!(grouped.len(), n, "a command stands in two groups");
        let command = Arguments::command();
        let commands: BTreeSet<&str> = command
            .get_subcommands()
            .map(Command::get_name)
            .chain(["help"])
            .collect();
        let grouped: BTreeSet<&str> = grouped.into_iter().collect();
        assert_eq!(grouped, commands);
    }
}
