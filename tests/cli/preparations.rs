//! House preparations as they are asked for on the command line.

use serde_json::{Value, json};

use crate::common::{done, run};
use crate::json::{passed, told};

const MISE: &str = "\
# Mise

## Rich syrup
makes: an ingredient
- 1 kg caster sugar
- 500 g water
- heat to 60 °C

## Spiced rum base
makes: an ingredient
keeps: 3 weeks, refrigerated
yield: 560 ml
- 500 ml dark rum
- 100 ml Rich syrup
- 12 g cinnamon stick
- steep 24 h
- fine strain

## Night Owl
glass: coupe, 200 ml
- 60 ml Spiced rum base
- 20 ml lime juice
- shake
- fine strain
";

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("mise.md"), MISE).unwrap();
    folder
}

#[test]
fn a_check_shows_what_the_house_makes() {
    let folder = folder();
    let text = done(folder.path(), &["check", "mise.md", "--why"]);
    let block: Vec<&str> = text
        .lines()
        .skip_while(|l| !l.starts_with("Preparations"))
        .take(5)
        .collect();
    assert_eq!(
        block,
        [
            "Preparations  Mise",
            "                   ml   °Bx sugar g/L  % vol acid g/L  keeps",
            "Rich syrup       1131  66.5       882    0.0      0.0  not said",
            "    ○ saturated: 66.5 g of sucrose in 100 g, and 66.7 g dissolve at 20 °C, 64.8 g at 4 °C; it will",
            "      crystallise in the fridge",
        ]
    );
    assert!(text.contains("Spiced rum base   560"), "{text}");
    // The cautions of what is in it stand with the drinks'.
    assert!(
        text.contains("coumarin") && text.contains("sold as food"),
        "{text}"
    );
    let full = done(folder.path(), &["check", "mise.md", "--full"]);
    assert!(full.contains("made here, Mise (version 1)"), "{full}");
}

#[test]
fn one_is_shown_in_full_and_as_json() {
    let folder = folder();
    let at = folder.path();
    let text = done(at, &["show", "spiced rum base", "--book", "mise.md"]);
    for words in [
        "Spiced rum base  infusion, made here, Mise (version 1)",
        "12 g     cinnamon stick    0.0   12.0      0.0",
        "leaves: 12.0 g of solids",
        "yields          560 ml",
        "as measured",
        "3 weeks, refrigerated",
        "cinnamon stick: steeped",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    let shown = told(
        at,
        &["show", "spiced rum base", "--book", "mise.md"],
        "",
        0,
        "show",
    );
    assert_eq!(shown["drinks"], json!([]));
    let base = &shown["preparations"][0];
    assert_eq!(base["yield_ml"], 560.0);
    assert_eq!(
        base["keeps"],
        json!({ "words": "3 weeks, refrigerated", "hours": 504.0, "as": null })
    );
    assert_eq!(base["made_of"][1]["ingredient"], "Rich syrup");
    assert_eq!(base["warnings"], json!([]));
    let checked = told(at, &["check", "mise.md"], "", 0, "check");
    let of_check = &checked["preparations"];
    assert_eq!(of_check[1], *base);
    assert_eq!(of_check[0]["warnings"][0]["kind"], "saturated");
    assert_eq!(of_check[0]["keeps"], Value::Null);
    // The drinks beside them are as they were.
    assert_eq!(checked["drinks"][0]["name"], "Night Owl");
    // The schema objects to every change of it.
    let open = |what: &str| {
        what.ends_with("keeps/as/nothing for text")
            || what.contains("/drinks/")
            || what.starts_with("drinks/")
    };
    let slipped: Vec<String> = passed("show", &shown)
        .into_iter()
        .filter(|what| !open(what))
        .collect();
    assert_eq!(slipped, Vec::<String>::new());
}

#[test]
fn a_house_lists_them_with_what_it_pours() {
    let folder = folder();
    let at = folder.path();
    let added = told(at, &["add", "mise.md"], "", 0, "add");
    assert_eq!(
        added["books"][0]["new"],
        json!(["Night Owl", "Rich syrup", "Spiced rum base"])
    );
    assert_eq!(added["recomputed"].as_array().unwrap().len(), 1);
    let listed = done(at, &["list"]);
    assert!(
        listed.contains("Night Owl") && listed.contains("Spiced rum base"),
        "{listed}"
    );
    assert!(!done(at, &["list", "--flagged"]).contains("Rich syrup"));
    let own = told(at, &["ingredient", "list", "--own"], "", 0, "ingredient");
    let names: Vec<&str> = own["ingredients"]
        .as_array()
        .unwrap()
        .iter()
        .map(|i| i["name"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["Rich syrup", "Spiced rum base"]);
    assert_eq!(own["ingredients"][1]["origin"], "book");
    assert_eq!(own["ingredients"][1]["values"][0]["status"], "computed");
    let shown = done(at, &["ingredient", "show", "spiced rum base"]);
    assert!(
        shown.contains("made here: 500 ml dark rum, 100 ml Rich syrup, 12 g cinnamon stick; yield 560 ml"),
        "{shown}"
    );
    // An ingredient below them recomputes the drink above them.
    let set = told(
        at,
        &[
            "ingredient",
            "set",
            "caster sugar",
            "--sugar",
            "900",
            "--source",
            "label",
        ],
        "",
        0,
        "ingredient",
    );
    assert_eq!(
        set["recomputed"],
        json!([{ "drink": "Night Owl", "book": "Mise" }])
    );
    let set = told(
        at,
        &[
            "ingredient",
            "set",
            "demerara sugar",
            "--sugar",
            "900",
            "--source",
            "label",
        ],
        "",
        0,
        "ingredient",
    );
    assert_eq!(set["recomputed"], json!([]));
}

#[test]
fn a_circle_is_shown_and_nothing_is_stored() {
    let folder = folder();
    let at = folder.path();
    let round = "# Round\n\n## Alpha\nmakes: an ingredient\n- 100 ml Beta\n\n## Beta\nmakes: an ingredient\n- 100 ml Alpha\n";
    std::fs::write(at.join("round.md"), round).unwrap();
    let output = run(at, &["add", "round.md"]);
    assert_eq!(output.status.code(), Some(2));
    let err = String::from_utf8(output.stderr).unwrap();
    assert!(
        err.contains("made of itself: `Alpha` pours `Beta` (line 5), `Beta` pours `Alpha` (line 9)"),
        "{err}"
    );
    assert!(err.contains("nothing was stored"), "{err}");
    assert!(!at.join(".local").exists(), "no house was made");
    let near = run(at, &["show", "rich sirup", "--book", "mise.md"]);
    assert_eq!(near.status.code(), Some(2));
    assert!(String::from_utf8(near.stderr).unwrap().contains("Rich syrup"));
}

#[test]
fn control_characters_of_a_preparation_never_reach_the_terminal() {
    let folder = folder();
    let at = folder.path();
    std::fs::write(at.join("odd.md"), "# O\n\n## S\u{9b}31myrup\nmakes: an ingredient\nkeeps: 3 days, \u{202e}cold\n- 100 g sugar\n- 100 g water\n").unwrap();
    for arguments in [&["check", "odd.md"][..], &["check", "odd.md", "--full"]] {
        let output = run(at, arguments);
        let all = String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap();
        assert!(
            !all.chars().any(|c| matches!(c, '\u{9b}' | '\u{202e}')),
            "{all:?}"
        );
    }
}
