//! Drinks in other bars, as it is asked for on the command line.

use std::path::Path;

use crate::common::run;
use crate::json::checked;

fn ended(folder: &Path, status: i32, arguments: &[&str]) -> (String, String) {
    let output = run(folder, arguments);
    let (out, notes) = (
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    );
    assert_eq!(output.status.code(), Some(status), "{arguments:?}: {out}{notes}");
    (out, notes)
}

/// A folder with the demo house and both invented bars.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in ["lantern-halt.md", "stock-by-the-cup.md", "stock-assay-limes.md"] {
        std::fs::copy(
            crate::project().join("fixtures/books").join(name),
            folder.path().join(name),
        )
        .unwrap();
    }
    folder
}

const CUP: [&str; 4] = ["--book", "lantern-halt.md", "--to", "stock-by-the-cup.md"];

#[test]
fn one_drink_in_full_and_a_list_in_short() {
    let folder = folder();
    let at = folder.path();
    let (one, _) = ended(at, 0, &[&["travel", "steam over the sidings"][..], &CUP].concat());
    for words in [
        "1 move within their verdict",
        "sugar 615 → 553 g/L",
        "100 % of the whole shift",
        "22.5 ml House syrup by the cup",
        "(written 20 ml)",
    ] {
        assert!(one.contains(words), "{words}: {one}");
    }
    let (many, _) = ended(
        at,
        0,
        &[&["travel", "--all", "--to", "stock-assay-limes.md"][..], &CUP].concat(),
    );
    for words in [
        "Salt Wharf",
        "Tin Lamp",
        "As at home",
        "Another verdict",
        "Pour there",
        "assay convention",
    ] {
        assert!(many.contains(words), "{words}: {many}");
    }
    // A book by itself is as good as --book.
    let (book, _) = ended(
        at,
        0,
        &["travel", "lantern-halt.md", "--to", "stock-by-the-cup.md"],
    );
    assert!(book.contains("22 drinks"), "{book}");
    let (_, unknown) = ended(
        at,
        2,
        &[&["travel", "steam over the sidewalk"][..], &CUP].concat(),
    );
    assert!(unknown.contains("Steam over the Sidings"), "{unknown}");
}

#[test]
fn the_json_is_what_the_schema_says() {
    let folder = folder();
    let at = folder.path();
    let (out, _) = ended(
        at,
        0,
        &[&["travel", "--json", "--to", "stock-assay-limes.md"][..], &CUP].concat(),
    );
    let value = checked("travel", &out, "travel");
    assert_eq!(value["bars"].as_array().unwrap().len(), 2);
    let steam = value["bars"][1]["drinks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|d| d["drink"] == "Steam over the Sidings")
        .unwrap();
    assert_eq!(steam["cause"]["kind"], "ingredient");
    assert_eq!(steam["verdicts_changed"], serde_json::json!([]));
    assert_eq!(steam["outcome"], "restored");
    // The other bar's gin is stronger, and its limes are counted otherwise.
    let changed = value["bars"][0]["drinks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|d| d["drink"] == "Points Failure")
        .unwrap();
    assert_eq!(changed["verdicts_changed"][0]["measure"], "abv_pct");
    let (out, _) = ended(at, 0, &["travel", "lantern-halt.md", "--robust", "--json"]);
    let value = checked("travel", &out, "travel --robust");
    assert_eq!(value["robustness"].as_array().unwrap().len(), 22);
}

#[test]
fn a_note_for_each_bar_is_printed_or_written_once() {
    let folder = folder();
    let at = folder.path();
    let note = [&["travel", "Steam over the Sidings", "--note"][..], &CUP].concat();
    let (out, _) = ended(at, 0, &note);
    assert!(
        out.starts_with("# Lantern Halt, autumn list at Tin Lamp\n"),
        "{out}"
    );
    for words in [
        "- **22.5 ml House syrup by the cup** (written 20 ml)",
        "- dry shake",
        "Allergens (EU list): ",
        "eggs",
        "Glass: coupe, 250 ml",
    ] {
        assert!(out.contains(words), "{words}: {out}");
    }
    let write = [&["travel", "Steam over the Sidings", "--notes", "away"][..], &CUP].concat();
    ended(at, 0, &write);
    assert_eq!(
        std::fs::read_to_string(at.join("away/stock-by-the-cup-note.md")).unwrap(),
        out
    );
    std::fs::write(at.join("away/stock-by-the-cup-note.md"), "mine").unwrap();
    let (_, refused) = ended(at, 2, &write);
    assert!(refused.contains("is there already"), "{refused}");
    assert_eq!(
        std::fs::read_to_string(at.join("away/stock-by-the-cup-note.md")).unwrap(),
        "mine"
    );
}

#[test]
fn bad_sheets_and_bad_calls_are_refused() {
    let folder = folder();
    let at = folder.path();
    let (_, said) = ended(at, 2, &["travel", "lantern-halt.md", "--to", "lantern-halt.md"]);
    assert!(
        said.contains("`Guard's Last Lantern` is a drink, and a stock sheet has none"),
        "{said}"
    );
    let (out, _) = ended(
        at,
        2,
        &["travel", "lantern-halt.md", "--to", "lantern-halt.md", "--json"],
    );
    checked("error", &out, "a sheet with drinks");
    ended(at, 2, &["travel", "lantern-halt.md"]);
    ended(at, 2, &["travel", "lantern-halt.md", "--to", "nowhere.md"]);
    ended(at, 2, &["travel", "-", "--to", "-"]);
    ended(
        at,
        2,
        &[
            "travel",
            "lantern-halt.md",
            "--robust",
            "--to",
            "stock-by-the-cup.md",
        ],
    );
}

#[test]
fn strict_tells_by_its_status() {
    let folder = folder();
    let at = folder.path();
    ended(
        at,
        1,
        &[
            "travel",
            "Points Failure",
            "--strict",
            "--book",
            "lantern-halt.md",
            "--to",
            "stock-assay-limes.md",
        ],
    );
    ended(
        at,
        0,
        &[&["travel", "Guard's Last Lantern", "--strict"][..], &CUP].concat(),
    );
    let (out, _) = ended(at, 1, &["travel", "lantern-halt.md", "--robust", "--strict"]);
    for words in ["fragile", "hangs on", "Without a range"] {
        assert!(out.contains(words), "{words}: {out}");
    }
}
