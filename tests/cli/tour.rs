//! The README's tour: every command in it is run as typed, and prints what the README says.
//!
//! A block marked `console` is a session: a line that begins with `$ ` is given to a shell in an empty
//! folder that has the project's `fixtures` beside it; the lines after it are what it prints, both streams
//! together. `WASHLINE_WRITE_TOUR=1 cargo test -p washline-cli --test cli tour` writes the README anew.

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

#[test]
fn the_readme_says_what_the_program_prints() {
    let readme = project().join("README.md");
    let text = std::fs::read_to_string(&readme).unwrap();
    let folder = tempfile::tempdir().unwrap();
    std::os::unix::fs::symlink(project().join("fixtures"), folder.path().join("fixtures")).unwrap();

    let mut renewed = String::new();
    let mut in_session = false;
    let mut commands = 0;
    for line in text.lines() {
        if line.starts_with("```") {
            in_session = line == "```console";
        } else if in_session {
            let Some(command) = line.strip_prefix("$ ") else {
                continue;
            };
            commands += 1;
            renewed.push_str(line);
            renewed.push('\n');
            renewed.push_str(&printed(command, folder.path()));
            continue;
        }
        renewed.push_str(line);
        renewed.push('\n');
    }
    assert!(commands >= 10, "the tour has {commands} commands");
    if std::env::var_os("WASHLINE_WRITE_TOUR").is_some() {
        std::fs::write(&readme, renewed).unwrap();
        return;
    }
    for (number, (said, prints)) in text.lines().zip(renewed.lines()).enumerate() {
        assert_eq!(said, prints, "README.md, line {}", number + 1);
    }
    assert_eq!(text, renewed);
}
