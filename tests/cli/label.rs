//! Labels as they are asked for on the command line.

use serde_json::json;

use crate::json::{passed, told};

const BOOK: &str = "\
# Halt
country: UK

## Owl
garnish: gold leaf
- 60 ml dry gin
- 20 ml dry vermouth
- 1 egg white
- 15 ml orgeat
- shake
- strain
- top 60 ml tonic water

## Wren
- 150 ml apple juice
- neat
";

fn text(arguments: &[&str]) -> String {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("halt.md"), BOOK).unwrap();
    let mut all = vec!["label", "--book", "halt.md"];
    all.extend(arguments);
    let output = crate::washline(folder.path()).args(all).output().unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_label_says_what_brings_what() {
    let owl = text(&["owl"]);
    let flat = owl.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "% vol as served, once ice has melted",
        "% vol as poured",
        "UK units",
        "eggs (egg white)",
        "sulphites (dry vermouth)",
        "dry vermouth 20.0 ml",
        "quinine (tonic water)",
        "unknown gold leaf: read the label, ask the maker",
        "Raw egg: tell the guest.",
        "not in pregnancy",
        "Local law decides",
        "allergens marked unknown are not \"none\"",
    ] {
        assert!(flat.contains(part), "{part}:\n{owl}");
    }
    assert!(text(&["Owl", "--country", "US"]).contains("US standard drinks"));
    let both = text(&["Owl", "--allergens", "both"]);
    assert!(
        both.contains("EU contains") && both.contains("US contains"),
        "{both}"
    );
    let wren = text(&["Wren"]);
    assert!(
        wren.contains("none of the list usual") && !wren.contains('!'),
        "{wren}"
    );
}

#[test]
fn a_list_has_every_drink() {
    let list = text(&[]);
    for part in [
        "Owl",
        "Wren",
        "UK units",
        "contains eggs",
        "raw egg",
        "quinine",
        "unknown: gold leaf",
    ] {
        assert!(list.contains(part), "{part}:\n{list}");
    }
}

#[test]
fn labels_as_json_keep_to_their_schema() {
    let folder = tempfile::tempdir().unwrap();
    let all = told(folder.path(), &["label", "--book", "-"], BOOK, 0, "label");
    let owl = &all["drinks"][0];
    assert_eq!(owl["country"], "UK");
    assert_eq!(owl["raw_egg"], json!(["egg white"]));
    assert_eq!(
        owl["named"],
        json!([{ "word": "quinine", "from": ["tonic water"] }])
    );
    assert_eq!(owl["allergens"]["eu"]["unknown"], json!(["gold leaf"]));
    assert_eq!(owl["sulphites"]["sure"][0]["ingredient"], "dry vermouth");
    assert_eq!(all["drinks"][1]["sulphites"], json!(null));
    assert_eq!(passed("label", &all), Vec::<String>::new());
    let us = told(
        folder.path(),
        &["label", "--book", "-", "--country", "usa"],
        BOOK,
        0,
        "label",
    );
    assert_eq!(us["drinks"][0]["country"], "US");
    told(
        folder.path(),
        &["label", "--book", "-", "--country", "Atlantis"],
        BOOK,
        2,
        "error",
    );
    told(folder.path(), &["label", "Jay", "--book", "-"], BOOK, 2, "error");
}
