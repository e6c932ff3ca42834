//! Batches and events as they are asked for on the command line.

use std::path::Path;

use serde_json::{Value, json};

use crate::common::{done, run};
use crate::json::{passed, told};

const BOOK: &str = "\
# Halt
currency: EUR

## Owl
glass: coupe, 180 ml
garnish: lemon zest
- 60 ml dry gin
- 20 ml Thin syrup
- 2 dashes orange bitters
- stir
- strain

## Wren
glass: highball, 300 ml
- 50 ml white rum
- 20 ml lime juice
- 1 egg white
- shake
- strain
- top 90 ml soda water

## Thin syrup
makes: an ingredient
keeps: 9 days
- 300 g caster sugar
- 700 g water
";

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("halt.md"), BOOK).unwrap();
    folder
}

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    String::from_utf8(output.stderr).unwrap()
}

#[test]
fn a_batch_says_everything_it_takes() {
    let folder = folder();
    let text = done(
        folder.path(),
        &[
            "batch", "owl", "--serves", "20", "--into", "3 l", "--book", "halt.md",
        ],
    );
    for words in [
        "Owl  20 serves, water in it, poured ready; Halt",
        "into the vessel",
        "Thin syrup",
        "to 50.3 ml by the size of the measure",
        "water, for the melt",
        "in 3000 ml,",
        "made by itself",
        "1. make first: Thin syrup (400 ml)",
        "so it is poured and not stirred again",
        "in the coupe, garnish lemon zest",
        "2 × 750 ml *",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // The order of the list: what costs least first, bitters last.
    let at = |words: &str| text.find(words).unwrap();
    assert!(
        at("Thin syrup") < at("london dry gin") && at("london dry gin") < at("orange bitters"),
        "{text}"
    );
    let wren = done(
        folder.path(),
        &["batch", "Wren", "--serves", "10", "--book", "halt.md"],
    );
    for words in [
        "no water in it, shake to order",
        "egg goes in to order",
        "it fizzes",
        "within 6 h of pressing",
    ] {
        assert!(wren.contains(words), "{words}\n{wren}");
    }
    let frozen = done(
        folder.path(),
        &[
            "batch",
            "Owl",
            "--from-bottle",
            "700 ml dry gin",
            "--freezer",
            "--book",
            "halt.md",
        ],
    );
    assert!(
        frozen.contains("°C") && frozen.contains("freeze at -18 °C"),
        "{frozen}"
    );
    let colder = done(
        folder.path(),
        &[
            "batch",
            "Owl",
            "--serves",
            "5",
            "--freezer=-24",
            "--book",
            "halt.md",
        ],
    );
    assert!(colder.contains("freeze at -24 °C"), "{colder}");
}

#[test]
fn json_of_a_batch_and_of_an_event() {
    let folder = folder();
    let at = folder.path();
    told(at, &["add", "halt.md"], "", 0, "add");
    for price in [
        &["dry gin", "--package", "700 ml", "--price", "18.50"][..],
        &["caster sugar", "--package", "1 kg", "--price", "1.20"],
    ] {
        let mut arguments = vec!["ingredient", "price"];
        arguments.extend(price);
        arguments.extend(["--currency", "EUR", "--source", "invoice"]);
        done(at, &arguments);
    }
    let owl = told(
        at,
        &["batch", "owl", "--serves", "20", "--freezer", "--into", "3 l"],
        "",
        0,
        "batch",
    );
    assert_eq!((&owl["serves"], &owl["vessel_ml"]), (&json!(20), &json!(3000.0)));
    assert_eq!(owl["lines"][0]["ingredient"], "Thin syrup");
    assert_eq!(owl["lines"][0]["when"], "batch");
    assert_eq!(owl["lines"][0]["volume_ml"], 400.0);
    let gin = |of: &Value| {
        of["buy"]
            .as_array()
            .unwrap()
            .iter()
            .find(|b| b["ingredient"] == "london dry gin")
            .unwrap()
            .clone()
    };
    assert_eq!(
        gin(&owl),
        json!({
            "ingredient": "london dry gin", "volume_ml": 1200.0, "mass_g": gin(&owl)["mass_g"], "packages": 2, "package": "700 ml",
            "assumed": false, "left_over": { "amount": 200.0, "unit": "ml" }, "cost": "37",
        })
    );
    assert_eq!(
        owl["bill"],
        json!({ "currency": "EUR", "total": "38.2", "unpriced": ["orange bitters"] })
    );
    assert_eq!(owl["make"][0]["preparation"], "Thin syrup");
    let value = |of: &Value, name: &str| of[name]["value"].as_f64().unwrap();
    for figure in ["abv_pct", "sugar_g_per_100ml", "volume_ml"] {
        let (one, many) = (
            value(&owl["figures"]["single"], figure),
            value(&owl["figures"]["glass"], figure),
        );
        assert!((one - many).abs() < 0.005 * one, "{figure} {one} {many}");
    }
    let event = told(
        at,
        &[
            "batch", "--menu", "--guests", "40", "--each", "2", "--weight", "Owl=3",
        ],
        "",
        0,
        "batch",
    );
    assert_eq!(event["serves"], 80);
    assert_eq!(event["drinks"][0]["serves"], 60);
    assert_eq!(gin(&event)["packages"], 6);
    assert!(event["ice"]["used_kg"].as_f64().unwrap() > 3.0);
    // One drink an hour for every guest.
    let hours = told(
        at,
        &["batch", "--menu", "Wren", "--guests", "40", "--hours", "3"],
        "",
        0,
        "batch",
    );
    assert_eq!((&hours["serves"], &hours["each"]), (&json!(120), &json!(3.0)));
    let text = done(at, &["batch", "--menu", "--guests", "40", "--each", "2"]);
    for words in [
        "40 guests, 2 drinks each",
        "Make",
        "Buy",
        "Ice",
        "Wren, to each serve:",
        "what is priced costs",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    // The schema objects to every change.
    let keg = told(
        at,
        &[
            "batch",
            "wren",
            "--from-bottle",
            "700 ml",
            "--keg",
            "--bitters",
            "0.5",
        ],
        "",
        0,
        "batch",
    );
    let open = |what: &str| {
        what.ends_with("nothing for text")
            && ["why", "in_place_of", "keeps", "package", "cost", "currency"]
                .iter()
                .any(|w| what.contains(&format!("{w}/")))
            || what.contains("temperature_c")
            || what.contains("/water_")
            || what.contains("onset_c/value")
            || what.contains("freezer/celsius")
            || what.contains("freezer/onset_c")
    };
    for value in [&owl, &event, &keg] {
        let slipped: Vec<String> = passed("batch", value)
            .into_iter()
            .filter(|what| !open(what))
            .collect();
        assert_eq!(slipped, Vec::<String>::new());
    }
}

#[test]
fn everything_wrong_is_told_in_one_run() {
    let folder = folder();
    let at = folder.path();
    let all = refused(
        at,
        &[
            "batch",
            "owl",
            "wren",
            "--serves",
            "0",
            "--into",
            "5",
            "--hold",
            "x",
            "--bitters",
            "-1",
            "--head",
            "99",
            "--book",
            "halt.md",
        ],
    );
    for words in [
        "--into 5:",
        "--hold x:",
        "--bitters -1:",
        "--head 99:",
        "--serves 0:",
        "expected one NAME",
    ] {
        assert!(all.contains(words), "{words}\n{all}");
    }
    for (arguments, words) in [
        (&["batch", "owl", "--book", "halt.md"][..], "how much?"),
        (
            &["batch", "--serves", "10", "--book", "halt.md"],
            "a batch of what?",
        ),
        (
            &["batch", "owk", "--serves", "10", "--book", "halt.md"],
            "nearest: Owl",
        ),
        (
            &["batch", "owl", "--into", "50 ml", "--book", "halt.md"],
            "no whole serve",
        ),
        (
            &["batch", "owl", "--from-bottle", "700 ml gn", "--book", "halt.md"],
            "nothing called `gn`",
        ),
        (
            &["batch", "owl", "--from-bottle", "gin", "--book", "halt.md"],
            "expected a bottle",
        ),
        (
            &["batch", "owl", "--serves", "1000000", "--book", "halt.md"],
            "at most 100000 l",
        ),
        (
            &["batch", "--menu", "--guests", "10", "--book", "halt.md"],
            "expected --each N or --hours H",
        ),
        (
            &[
                "batch", "--menu", "--guests", "10", "--each", "2", "--weight", "Owk=2", "--book", "halt.md",
            ],
            "no drink `Owk`",
        ),
        (
            &[
                "batch", "--menu", "--guests", "10", "--each", "2", "--weight", "Owl", "--book", "halt.md",
            ],
            "expected a drink and its share",
        ),
        (
            &[
                "batch", "owl", "--serves", "10", "--of", "Nowhere", "--book", "halt.md",
            ],
            "no list `Nowhere`",
        ),
        (&["batch", "--menu", "--book", "halt.md"], "--guests"),
    ] {
        let err = refused(at, arguments);
        assert!(err.contains(words), "{arguments:?}: {words}\n{err}");
    }
    assert_eq!(
        told(at, &["batch", "owl", "--book", "halt.md"], "", 2, "error")["error"]["kind"],
        "usage"
    );
    // A name in two lists is asked about.
    std::fs::write(
        at.join("other.md"),
        BOOK.replace("# Halt", "# Other\n\nconvention: assay"),
    )
    .unwrap();
    done(at, &["add", "halt.md", "other.md"]);
    let err = refused(at, &["batch", "owl", "--serves", "3"]);
    assert!(
        err.contains("2 lists have a drink of that name") && err.contains("--of"),
        "{err}"
    );
    assert!(done(at, &["batch", "owl", "--serves", "3", "--of", "other"]).contains("Other"));
}

#[test]
fn control_characters_of_a_batch_never_reach_the_terminal() {
    let folder = folder();
    let at = folder.path();
    std::fs::write(
        at.join("odd.md"),
        "# O\u{9b}31m\n\n## D\u{9b}31m\ngarnish: zest\u{202e}\n- 50 ml gin\n- 20 ml S\u{9b}x\n- stir\n\n## S\u{9b}x\nmakes: an ingredient\nkeeps: 2 days\u{202e}\n- 100 g sugar\n- 100 g water\n",
    )
    .unwrap();
    for arguments in [
        &[
            "batch", "--menu", "--guests", "3", "--each", "2", "--book", "odd.md",
        ][..],
        &["batch", "D\u{9b}31m", "--serves", "3", "--book", "odd.md"],
    ] {
        let output = run(at, arguments);
        let all = String::from_utf8(output.stdout).unwrap() + &String::from_utf8(output.stderr).unwrap();
        assert!(
            !all.chars().any(|c| matches!(c, '\u{9b}' | '\u{202e}')),
            "{all:?}"
        );
    }
}
