//! Houses from strangers: each script of `fixtures/hostile` makes one out of a good house, and says in its second line
//! what it is told by. Every command is given every one of them.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use crate::common::at_rest;
use crate::washline;

const HALT: &str =
    "# Halt\n\n## Owl\nglass: coupe, 150 ml\n\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n";

/// Every command that reads or writes a house, with what it needs.
const COMMANDS: &[&[&str]] = &[
    &["add", "halt.md"],
    &["list"],
    &["show", "Owl"],
    &["compare", "Owl", "Owl"],
    &["change", "Owl", "--add", "1 dash absinthe", "--keep"],
    &["edit", "Owl"],
    &["find", "pours lime or tasted right or changed since 2020-01-01"],
    &["audit"],
    &["mend", "Owl"],
    &["swap", "Owl", "dry gin", "vodka"],
    &["travel", "Owl", "--robust"],
    &["cost"],
    &["label"],
    &["card"],
    &["batch", "Owl", "--serves", "4"],
    &["ingredient", "list"],
    &["ranges", "show"],
    &["report", "page.html"],
    &["settings", "show"],
    &["settings", "set", "ounce", "30 ml"],
    &["taste", "Owl", "--verdict", "right"],
    &["export"],
    &["backup", "copy.db"],
    &["merge", "good.db"],
    &["verify"],
    &["weigh", "Owl", "--before", "100 g", "--after", "130 g"],
    &["history", "Owl"],
    &["undo", "--yes"],
    &["restore", "Owl", "--version", "1"],
    &["rename", "drink", "Owl", "Wren"],
    &["remove", "list", "Halt", "--yes"],
];

fn scripts() -> Vec<(String, String, String)> {
    let mut all: Vec<PathBuf> = std::fs::read_dir(crate::project().join("fixtures/hostile"))
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "sql"))
        .collect();
    all.sort();
    all.into_iter()
        .map(|path| {
            let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
            let text = std::fs::read_to_string(&path).unwrap();
            let told = text.lines().find_map(|l| l.strip_prefix("-- Told: ")).unwrap();
            (name, told.to_owned(), text.clone())
        })
        .collect()
}

/// A folder with a good house, and a copy of it for every script, made hostile.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    std::fs::write(path.join("halt.md"), HALT).unwrap();
    let made = washline(path)
        .args(["add", "halt.md", "--house", "good.db"])
        .output()
        .unwrap();
    assert!(made.status.success(), "{made:?}");
    for (name, _, script) in scripts() {
        let house = path.join(format!("{name}.db"));
        std::fs::copy(path.join("good.db"), &house).unwrap();
        let db = rusqlite::Connection::open(&house).unwrap();
        db.execute_batch("PRAGMA journal_mode = DELETE; PRAGMA foreign_keys = OFF;")
            .unwrap();
        db.execute_batch(&script)
            .unwrap_or_else(|e| panic!("{name}: {e}"));
        drop(db);
        at_rest(&house);
    }
    folder
}

/// Status, everything said, and how long it took.
fn run(folder: &Path, arguments: &[&str]) -> (i32, String, Duration) {
    let begun = Instant::now();
    // An editor that is closed again at once.
    let output = washline(folder)
        .args(arguments)
        .env("EDITOR", "true")
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned();
    assert!(!said.contains("panicked"), "{arguments:?}: {said}");
    (output.status.code().unwrap_or(-1), said, begun.elapsed())
}

#[test]
fn every_command_refuses_every_hostile_house() {
    let folder = folder();
    let folder = folder.path();
    let mut wrong = Vec::new();
    for (name, told, _) in scripts() {
        let house = format!("{name}.db");
        let bytes = std::fs::read(folder.join(&house)).unwrap();
        for command in COMMANDS {
            let (status, said, took) = run(folder, &[command, &["--house", &house][..]].concat());
            // A text beyond all bounds is refused by what reads it, and by nothing else.
            let bounded = name == "text-too-long" && status == 0 && command != &["verify"];
            let looked = command == &["verify"] && status == 1;
            if !((status == 2 || looked) && said.contains(&told)) && !bounded {
                wrong.push(format!("{name}: {command:?}: status {status}: {said}"));
            }
            if took > Duration::from_secs(20) {
                wrong.push(format!("{name}: {command:?} took {took:?}"));
            }
            if said.chars().count() > 2_000 && !bounded {
                wrong.push(format!("{name}: {command:?} says {} characters", said.len()));
            }
        }
        let _ = std::fs::remove_file(folder.join("copy.db"));
        let _ = std::fs::remove_file(folder.join("page.html"));
        if name != "text-too-long" && std::fs::read(folder.join(&house)).unwrap() != bytes {
            wrong.push(format!("{name}: the file was changed"));
        }
    }
    assert!(wrong.is_empty(), "{} wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn nothing_of_a_hostile_house_is_taken() {
    let folder = folder();
    let folder = folder.path();
    let good = std::fs::read(folder.join("good.db")).unwrap();
    for (name, told, _) in scripts() {
        let house = format!("{name}.db");
        let (status, said, _) = run(folder, &["merge", &house, "--house", "good.db"]);
        assert!(
            status == 2 && said.contains(&told),
            "{name}: status {status}: {said}"
        );
    }
    assert!(std::fs::read(folder.join("good.db")).unwrap() == good);
    let (status, said, _) = run(folder, &["verify", "--house", "good.db"]);
    assert_eq!(status, 0, "{said}");
}

/// The list above is every command: a new one has to be given hostile houses too.
#[test]
fn no_command_is_left_out() {
    let help = run(Path::new("."), &["--help"]).1;
    // These keep nothing and ask no house.
    let apart = [
        "tidy",
        "settle",
        "check",
        "adjust",
        "blend",
        "import",
        "completions",
        "help",
    ];
    let commands: Vec<&str> = help
        .split("Options:")
        .next()
        .unwrap()
        .lines()
        .filter_map(|l| {
            l.strip_prefix("  ")
                .filter(|l| l.starts_with(|c: char| c.is_ascii_lowercase()))
        })
        .filter_map(|l| l.split_whitespace().next())
        .collect();
    assert!(commands.len() > 20, "{commands:?}");
    for command in commands {
        assert!(
            apart.contains(&command) || COMMANDS.iter().any(|c| c[0] == command),
            "{command} is given no hostile house"
        );
    }
}
