//! A name is found as people say it, and what is at fault hides nothing else.

use std::path::Path;

use serde_json::{Value, json};

fn run(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    let output = crate::washline(folder).args(arguments).output().unwrap();
    (
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
        output.status.code().unwrap(),
    )
}

/// A house with two lists of the demo house.
fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for book in ["lantern-halt.md", "lantern-halt-mise.md"] {
        let path = crate::project().join("fixtures/books").join(book);
        let (_, notes, status) = run(folder.path(), &["add", path.to_str().unwrap()]);
        assert_eq!(status, 0, "{notes}");
    }
    folder
}

#[test]
fn a_unique_start_is_a_name() {
    let folder = house();
    let folder = folder.path();
    for arguments in [
        &["show", "waiting"][..],
        &["cost", "waiting"],
        &["compare", "waiting", "points"],
        &["label", "waiting room"],
        &["travel", "waiting", "--to", "imperial.md"],
        &["batch", "waiting", "--serves", "8"],
        &["check", "waiting room sun"],
        &["check", "waiting"],
    ] {
        if arguments[0] == "travel" {
            std::fs::write(folder.join("imperial.md"), "# Imperial\n\nounce: UK\n").unwrap();
        }
        let (out, notes, status) = run(folder, arguments);
        assert!(
            status == 0 && out.contains("Waiting Room Sun"),
            "{arguments:?}: {status} {notes}"
        );
    }
    // What begins two names is none.
    let (_, notes, status) = run(folder, &["show", "b"]);
    assert!(status == 2 && notes.contains("no drink `b`"), "{notes}");
    let (_, notes, status) = run(folder, &["taste", "waiting", "--verdict", "right"]);
    assert_eq!(status, 0, "{notes}");
}

#[test]
fn a_preparation_where_a_drink_is_expected_is_said() {
    let folder = house();
    let (_, notes, status) = run(folder.path(), &["cost", "Bay leaf syrup"]);
    assert_eq!(status, 2);
    assert!(
        notes.contains("`Bay leaf syrup` is made for drinks") && notes.contains("washline show"),
        "{notes}"
    );
    assert!(!notes.contains("nearest: Bay leaf syrup"), "{notes}");
}

#[test]
fn a_drink_where_a_file_is_expected_is_said() {
    let folder = house();
    let (_, notes, status) = run(folder.path(), &["tidy", "Waiting Room Sun"]);
    assert!(status == 2 || notes.contains("washline show"), "{status} {notes}");
    let (_, notes, status) = run(folder.path(), &["audit", "Waiting Room Sun"]);
    assert!(status == 2 && notes.contains("washline show"), "{notes}");
}

#[test]
fn what_the_house_makes_is_an_ingredient_of_every_command() {
    let folder = house();
    let folder = folder.path();
    let (out, notes, status) = run(folder, &["blend", "Butter-washed bourbon", "water", "--to", "40"]);
    assert!(status == 0 && out.contains("Butter-washed bourbon"), "{notes}");
    let (out, notes, status) = run(
        folder,
        &["adjust", "Sharpened orange juice", "--to", "lime juice"],
    );
    assert!(status == 0 && out.contains("Sharpened orange juice"), "{notes}");
    let (out, notes, status) = run(
        folder,
        &["swap", "Bay Window", "Bay leaf syrup", "Platform syrup"],
    );
    assert!(status == 0 && out.contains("Platform syrup"), "{notes}");
    // One new name, and the usage says so.
    let (help, ..) = run(folder, &["swap", "--help"]);
    assert!(help.contains("<NAME> <OLD> <NEW>\n"), "{help}");
}

#[test]
fn quarts_gallons_and_pounds_are_units_in_options_too() {
    let folder = tempfile::tempdir().unwrap();
    for (volume, ml) in [
        ("5 gal", 18_927.0),
        ("2 quarts", 1_893.0),
        ("1 pint", 473.0),
        ("1 gallon", 3_785.0),
    ] {
        let (out, notes, status) = run(
            folder.path(),
            &["blend", "57", "40", "--to", "50", "--volume", volume, "--json"],
        );
        assert_eq!(status, 0, "{volume}: {notes}");
        let told: Value = serde_json::from_str(&out).unwrap();
        let text = told.to_string();
        let close = |v: f64| (v - ml).abs() < 1.0;
        let found = text
            .split(|c: char| !c.is_ascii_digit() && c != '.')
            .filter_map(|n| n.parse().ok())
            .any(close);
        assert!(found, "{volume}: {text}");
    }
}

/// `show --json` of a drink that does not read gives its faults, and those of no other.
#[test]
fn a_drink_that_does_not_read_gives_its_faults() {
    let folder = tempfile::tempdir().unwrap();
    let text = "# T\n\n## One\n- 50 ml gim\n- stir\n\n## Two\n- 50 ml gin\n- stir\n\n## Three\n- 20 ml vermouth\n- stir\n";
    std::fs::write(folder.path().join("b.md"), text).unwrap();
    let show = |name: &str| {
        let (out, _, status) = run(folder.path(), &["show", name, "--book", "b.md", "--json"]);
        (crate::json::checked("show", &out, name), status)
    };
    let (one, status) = show("One");
    assert_eq!((status, &one["drinks"]), (2, &json!([])));
    assert_eq!(one["faults"].as_array().unwrap().len(), 1);
    assert_eq!(one["faults"][0]["line"], 4);
    let (two, _) = show("Two");
    assert_eq!(two["drinks"][0]["name"], "Two");
    let (three, _) = show("three");
    assert_eq!(three["faults"][0]["kind"], "ask");
    let (_, notes, status) = run(folder.path(), &["show", "One", "--book", "b.md"]);
    assert!(
        status == 2 && notes.contains("_gim_") && !notes.contains("vermouth"),
        "{notes}"
    );
}

#[test]
fn a_country_goes_by_its_code() {
    let folder = tempfile::tempdir().unwrap();
    for country in ["IE", "Ireland", "ie"] {
        let (out, notes, status) = run(folder.path(), &["settings", "set", "country", country]);
        assert!(status == 0 && out.contains("Ireland"), "{country}: {out} {notes}");
    }
}

/// What no list knows and its kind answers for is bought, mended, swapped and counted like anything else.
#[test]
fn what_is_answered_as_its_kind_vanishes_from_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let list = "# Stave\ncurrency: EUR\n\n## Cooper\nglass: coupe\nprice: 14\n- 45 ml heather-washed gin\n- 30 ml lemon juice\n- 15 ml smoked pear syrup\n- shake\n- fine strain\n";
    std::fs::write(folder.join("stave.md"), list).unwrap();
    let done = |arguments: &[&str]| {
        let (out, notes, status) = run(folder, arguments);
        assert_eq!(status, 0, "{arguments:?}: {out}{notes}");
        out
    };
    done(&["add", "stave.md"]);
    for (name, package, price) in [
        ("heather-washed gin", "700 ml", "30"),
        ("smoked pear syrup", "1 l", "12"),
        ("lemon juice", "1 l", "6"),
    ] {
        done(&[
            "ingredient",
            "price",
            name,
            "--package",
            package,
            "--price",
            price,
            "--currency",
            "EUR",
            "--source",
            "invoice",
        ]);
    }
    for command in [
        &["cost", "Cooper"][..],
        &["batch", "Cooper", "--serves", "10"],
        &["card", "Cooper"],
        &["label", "Cooper"],
        &["show", "Cooper"],
        &["ingredient", "show", "heather-washed gin"],
        &["swap", "Cooper", "heather-washed gin", "vodka"],
    ] {
        let out = done(command);
        assert!(out.contains("heather-washed gin"), "{command:?}: {out}");
    }
    let cost = crate::json::told(folder, &["cost", "Cooper"], "", 0, "cost");
    let lines = cost["drinks"][0]["lines"].as_array().unwrap();
    for name in ["heather-washed gin", "smoked pear syrup", "lemon juice"] {
        let line = lines
            .iter()
            .find(|line| line["ingredient"] == name || line["name"] == name);
        assert!(line.is_some_and(|line| !line["cost"].is_null()), "{name}: {cost}");
    }
    let bought = crate::json::told(folder, &["batch", "Cooper", "--serves", "10"], "", 0, "batch");
    let bought = bought.to_string();
    assert!(bought.contains("\"heather-washed gin\""), "{bought}");
    // Too little of the gin is mended with more of it, and the change has its price.
    let mended = done(&["mend", "Cooper", "--aim", "strength 16 to 20"]);
    assert!(
        mended.contains("heather-washed gin 45 ml →") && !mended.contains("no prices"),
        "{mended}"
    );
    let audited = done(&["audit"]);
    assert!(
        audited.contains("heather-washed gin") && audited.contains("base: spirit 1"),
        "{audited}"
    );
}
