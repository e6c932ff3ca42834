//! The README and the guide: every command in them is run as typed, and prints what they say.
//!
//! A block marked `console` is a session: a line that begins with `$ ` is given to a shell in an empty
//! folder that has the project's `fixtures` beside it; the lines after it are what it prints, both streams
//! together. `WASHLINE_WRITE_TOUR=1 cargo test -p washline-cli --test cli tour` writes both anew.

use std::path::Path;
use std::process::Command;

use crate::project;

/// What a command of the tour prints, as a person at a terminal without colour sees it.
fn printed(command: &str, folder: &Path) -> String {
    let program = Path::new(env!("CARGO_BIN_EXE_washline"));
    let path = format!(
        "{}:{}",
        program.parent().unwrap().display(),
        std::env::var("PATH").unwrap()
    );
    let command = command.replace("cargo run --release -- ", "washline ");
    let output = Command::new("sh")
        .args(["-c", &format!("{{ {command}; }} 2>&1")])
        .current_dir(folder)
        .env_clear()
        .env("PATH", path)
        .env("HOME", folder)
        .env("COLUMNS", "120")
        .output()
        .unwrap();
    String::from_utf8(output.stdout).unwrap()
}

/// A text of the project, as it says and as it would say if it said what the program prints now.
fn walked(page: &Path) -> (String, String) {
    let text = std::fs::read_to_string(page).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(project().join("fixtures"), folder.path().join("fixtures")).unwrap();

    let mut renewed = String::new();
    let mut in_session = false;
    for line in text.lines() {
        if line.starts_with("```") {
            in_session = line == "```console";
        } else if in_session {
            let Some(command) = line.strip_prefix("$ ") else {
                continue;
            };
            renewed.push_str(line);
            renewed.push('\n');
            renewed.push_str(&printed(command, folder.path()));
            continue;
        }
        renewed.push_str(line);
        renewed.push('\n');
    }
    (text, renewed)
}

fn says_what_is_printed(name: &str) {
    let page = project().join(name);
    let (text, renewed) = walked(&page);
    assert!(text.contains("\n$ washline "), "{name} shows no command");
    if std::env::var_os("WASHLINE_WRITE_TOUR").is_some() {
        std::fs::write(&page, renewed).unwrap();
        return;
    }
    for (number, (said, prints)) in text.lines().zip(renewed.lines()).enumerate() {
        assert_eq!(said, prints, "{name}, line {}", number + 1);
    }
    assert_eq!(text, renewed);
}

#[test]
fn the_readme_says_what_the_program_prints() {
    says_what_is_printed("README.md");
}

#[test]
fn the_guide_says_what_the_program_prints() {
    says_what_is_printed("crates/washline-cli/GUIDE.md");
}

#[test]
fn the_readme_fits_one_sitting() {
    let lines = std::fs::read_to_string(project().join("README.md"))
        .unwrap()
        .lines()
        .count();
    assert!(lines <= 150, "{lines} lines");
}

/// Every option and command named in a text stands in the program's help, outside sessions too.
#[test]
fn no_option_is_named_that_is_none() {
    let program = env!("CARGO_BIN_EXE_washline");
    let help = |of: &[&str]| {
        let output = Command::new(program).args(of).arg("--help").output().unwrap();
        String::from_utf8(output.stdout).unwrap()
    };
    let top = help(&[]);
    let mut known = top.clone();
    for command in names_of_commands(&top) {
        let one = help(&[&command]);
        known.push_str(&one);
        for deeper in names_of_commands(&one) {
            known.push_str(&help(&[&command, &deeper]));
        }
    }
    for page in [
        "README.md",
        "crates/washline-cli/GUIDE.md",
        "crates/washline-cli/TWO_BARS.md",
        "crates/washline-cli/SECURITY.md",
        "crates/washline-core/src/spec/reading.md",
    ] {
        let text = std::fs::read_to_string(project().join(page)).unwrap();
        for (number, line) in text.lines().enumerate() {
            // Cargo's own options are not ours.
            if line.contains("cargo ") || line.contains("apt-get") || line.contains("sqlite3") {
                continue;
            }
            for word in line.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-')) {
                let option =
                    word.starts_with("--") && word.len() > 3 && word.as_bytes()[2].is_ascii_lowercase();
                assert!(
                    !option || known.contains(word),
                    "{page}, line {}: {word} is no option",
                    number + 1
                );
            }
        }
    }
}

/// The commands that a help lists.
fn names_of_commands(help: &str) -> Vec<String> {
    help.lines()
        .filter_map(|line| line.strip_prefix("  "))
        .filter(|line| line.starts_with(|c: char| c.is_ascii_lowercase()))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|word| *word != "help" && word.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
        .map(str::to_owned)
        .collect()
}
