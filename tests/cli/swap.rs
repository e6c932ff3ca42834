//! Swapping, adjusting and blending on the command line: what is printed, kept and written, and what is refused.

use std::path::Path;

use serde_json::Value;

use crate::common::{done, left};
use crate::json::{passed, told};

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let ran = left(folder, arguments);
    assert_eq!(
        (ran.status, ran.out.as_str()),
        (2, ""),
        "{arguments:?}: {}",
        ran.err
    );
    ran.err
}

const BOOK: &str = "# List\r\nounce: 30 ml\r\ncurrency: EUR\r\n\r\n<!-- Shaken -->\r\n\r\n## Wren\r\nglass: coupe, 240 ml\r\n- 60 ml rye whiskey  <!-- the old bottle -->\r\n* 22.5 ml fresh lemon juice\r\n- 22.5 ml simple syrup 1:1 by mass\r\n- shake\r\n- strain\r\n\r\n## Owl\r\n- 60 ml London dry gin\r\n- 10 ml simple syrup 1:1 by mass\r\n- 2 dashes orange bitters\r\n- stir\r\n- strain\r\n\r\n## Each\r\n- 60 ml gin\r\n- 20 ml each lime juice, simple syrup 1:1 by mass\r\n- shake\r\n- strain\r\n\r\n## Rye cordial\r\nmakes: an ingredient\r\n- 100 ml rye whiskey\r\n- 100 ml simple syrup 1:1 by mass\r\n- stir\r\n";

const SYRUPS: [&str; 2] = ["simple syrup 1:1 by mass", "rich syrup 2:1 by mass"];

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("list.md"), BOOK).unwrap();
    folder
}

fn wren<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec!["swap", "Wren", "syrup", SYRUPS[1], "--hold", "sweetness"];
    arguments.extend(more);
    arguments
}

#[test]
fn before_and_after_stand_side_by_side_and_nothing_is_stored() {
    let folder = folder();
    let folder = folder.path();
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let before = std::fs::read(folder.join("h.db")).unwrap();
    let out = done(
        folder,
        &[
            "--house",
            "h.db",
            "swap",
            "wren",
            "syrup",
            SYRUPS[1],
            "--hold",
            "sweetness",
        ],
    );
    for part in [
        "Wren  shaken sour, List (version 1)\n",
        "  22.5 ml simple syrup 1:1 by mass → 15 ml rich syrup 2:1 by mass  exactly 15.64 ml\n",
        "  holds sweetness: 13.83 g of sugar in 22.5 ml; 13.27 g in what is measured\n",
        "less comes in: pour 7.5 ml of water with it",
        "now  exact  measured  + 7.5 ml water\n",
    ] {
        assert!(out.contains(part), "{part}\n{out}");
    }
    assert!(
        out.contains("allergens EU: ") && out.contains("local law decides"),
        "{out}"
    );
    assert_eq!(std::fs::read(folder.join("h.db")).unwrap(), before);
    assert_eq!(std::fs::read_to_string(folder.join("list.md")).unwrap(), BOOK);
    // A book says the same.
    assert_eq!(done(folder, &wren(&["--book", "list.md"])), out);
}

#[test]
fn what_is_impossible_is_refused_with_the_figure() {
    let folder = folder();
    let folder = folder.path();
    let arguments = [
        "swap",
        "Wren",
        "lemon",
        "orange juice",
        "--hold",
        "tartness",
        "--book",
        "list.md",
    ];
    let ran = left(folder, &arguments);
    assert_eq!(ran.status, 0);
    assert!(
        ran.out.contains("it would take 168.") && ran.out.contains("washline adjust \"orange juice\""),
        "{}",
        ran.out
    );
    let mut strict = arguments.to_vec();
    strict.push("--strict");
    assert_eq!(left(folder, &strict).status, 1);
    let json = told(folder, &arguments, "", 0, "swap");
    let drink = &json["drinks"][0];
    assert!(
        (drink["refused"]["needed_ml"].as_f64().unwrap() - 168.75).abs() < 0.1,
        "{drink}"
    );
    assert_eq!(
        (&drink["after"], &drink["amount_ml"]),
        (&Value::Null, &Value::Null)
    );
    // Nothing of it is written.
    let mut write = arguments.to_vec();
    write.extend(["--write", "list.md"]);
    assert!(refused(folder, &write).contains("nothing was stored"));
    assert_eq!(std::fs::read_to_string(folder.join("list.md")).unwrap(), BOOK);
}

#[test]
fn what_is_asked_wrongly_is_said() {
    let folder = folder();
    let folder = folder.path();
    let swap = |words: &[&'static str]| {
        let mut arguments = vec!["swap", "--book", "list.md"];
        arguments.extend(words);
        refused(folder, &arguments)
    };
    assert!(swap(&["Wren", "lemon"]).contains("--everywhere"));
    assert!(swap(&["--everywhere", "Wren", "lemon", "lime"]).contains("and no drink"));
    assert!(swap(&["Wrem", "lemon", "lime"]).contains("nearest: Wren"));
    assert!(swap(&["Wren", "mezcal", "gin"]).contains("it pours rye whiskey, lemon juice"));
    assert!(swap(&["Wren", "lemon", "lemn"]).contains("nearest: lemon juice"));
    assert!(swap(&["Wren", "lemon", "lemon juice"]).contains("are the same"));
    assert!(swap(&["Wren", "lemon", "lime", "--hold", "fizz"]).contains("sweetness-equivalent"));
    assert!(swap(&["--everywhere", "mezcal", "gin"]).contains("no drink here pours"));
    assert!(swap(&["Wren", "lemon", "lime", "--keep"]).contains("cannot be used with"));
}

#[test]
fn keep_makes_a_version_and_write_changes_the_line_alone() {
    let folder = folder();
    let folder = folder.path();
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let out = done(
        folder,
        &wren(&["--house", "h.db", "--keep", "--write", "list.md", "--with-water"]),
    );
    assert!(
        out.contains("kept in the house: version 2, made from version 1\n"),
        "{out}"
    );
    assert!(out.contains("written into "), "{out}");
    let after = std::fs::read_to_string(folder.join("list.md")).unwrap();
    let line = "- 22.5 ml simple syrup 1:1 by mass\r\n- shake";
    assert_eq!(
        after,
        BOOK.replace(
            line,
            "- 15 ml rich syrup 2:1 by mass\r\n- 7.5 ml water\r\n- shake"
        )
    );
    // The book says now what the house says.
    let added = done(folder, &["--house", "h.db", "add", "list.md"]);
    assert!(added.contains("unchanged"), "{added}");
    let shown = done(folder, &["--house", "h.db", "show", "Wren"]);
    assert!(
        shown.contains("7.5 ml water") && shown.contains("15 ml rich syrup"),
        "{shown}"
    );
}

#[test]
fn everywhere_is_every_drink_that_pours_it() {
    let folder = folder();
    let folder = folder.path();
    let arguments = [
        "swap",
        "--everywhere",
        SYRUPS[0],
        SYRUPS[1],
        "--hold",
        "sweetness",
        "--book",
        "list.md",
    ];
    let json = told(folder, &arguments, "", 0, "swap");
    let names: Vec<&str> = json["drinks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| d["drink"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["Wren", "Owl", "Each"]);
    assert_eq!(json["also_in"][0], "Rye cordial");
    let out = done(folder, &arguments);
    assert!(
        out.contains("also made with it, and not changed: Rye cordial"),
        "{out}"
    );
    assert!(out.contains("Owl    10 ml    7.5 ml"), "{out}");
    // One of them stands in a line of several of one amount: it is given its own there.
    let mut write = arguments.to_vec();
    write.extend(["--write", "list.md"]);
    done(folder, &write);
    let written = std::fs::read_to_string(folder.join("list.md")).unwrap();
    assert!(
        written.contains("- 20 ml each lime juice, 15 ml rich syrup 2:1 by mass"),
        "{written}"
    );
    // With a line for each all the others are, each in its place, and kept likewise.
    let book = BOOK.replace(
        "- 20 ml each lime juice, simple syrup 1:1 by mass",
        "- 20 ml lime juice\r\n- 20 ml simple syrup 1:1 by mass",
    );
    std::fs::write(folder.join("list.md"), &book).unwrap();
    done(folder, &["--house", "h.db", "add", "list.md"]);
    let kept = [
        "--house",
        "h.db",
        "swap",
        "--everywhere",
        SYRUPS[0],
        SYRUPS[1],
        "--hold",
        "sweetness",
        "--keep",
        "--write",
        "list.md",
    ];
    let out = done(folder, &kept);
    assert_eq!(
        out.matches("kept in the house: version 2, made from version 1")
            .count(),
        3,
        "{out}"
    );
    let after = std::fs::read_to_string(folder.join("list.md")).unwrap();
    assert_eq!(after.matches("rich syrup 2:1 by mass").count(), 3, "{after}");
    assert!(after.contains("- 100 ml simple syrup 1:1 by mass"), "{after}");
    assert!(done(folder, &["--house", "h.db", "add", "list.md"]).contains("unchanged"));
}

#[test]
fn money_before_and_after() {
    let folder = folder();
    let folder = folder.path();
    let priced = "\r\n## London dry gin\r\nis: an ingredient\r\nprice: 24.00 per 700 ml\r\nsource: invoice\r\n\r\n## simple syrup 1:1 by mass\r\nis: an ingredient\r\nprice: 3.50 per 1 l\r\nsource: invoice\r\n\r\n## rich syrup 2:1 by mass\r\nis: an ingredient\r\nprice: 5.00 per 1 l\r\nsource: invoice\r\n\r\n## orange bitters\r\nis: an ingredient\r\nprice: 12.00 per 100 ml\r\nsource: invoice\r\n";
    std::fs::write(folder.join("list.md"), format!("{BOOK}{priced}")).unwrap();
    let arguments = [
        "swap",
        "Owl",
        "syrup",
        SYRUPS[1],
        "--hold",
        "sweetness",
        "--book",
        "list.md",
    ];
    // Ice has no price yet: what the swap costs is known all the same.
    let change = told(folder, &arguments, "", 0, "swap")["drinks"][0]["cost"].clone();
    assert_eq!(change["before"], Value::Null);
    // 10 ml at 3.50 a litre are 0.035; 6.951 ml at 5.00 are 0.03475, 7.5 ml 0.0375.
    let money = |cost: &Value, name: &str| {
        cost[name]
            .as_str()
            .unwrap_or_else(|| panic!("{cost}"))
            .parse::<f64>()
            .unwrap()
    };
    assert!(money(&change, "change").abs() < 0.001, "{change}");
    assert!(
        (money(&change, "measured_change") - 0.0025).abs() <= 0.0006,
        "{change}"
    );
    assert!(done(folder, &arguments).contains("cost change EUR"));
    done(folder, &["--house", "h.db", "add", "list.md"]);
    done(
        folder,
        &[
            "--house",
            "h.db",
            "ingredient",
            "price",
            "ice",
            "--free",
            "--source",
            "the machine",
        ],
    );
    let mut house = vec!["--house", "h.db"];
    house.extend(&arguments[..6]);
    let cost = told(folder, &house, "", 0, "swap")["drinks"][0]["cost"].clone();
    assert_eq!(cost["currency"], "EUR");
    assert!(
        (money(&cost, "measured") - money(&cost, "before") - 0.0025).abs() <= 0.0011,
        "{cost}"
    );
    assert!(done(folder, &house).contains("    cost EUR"));
    // Not all of the other is priced.
    let wren = told(folder, &wren(&["--book", "list.md"]), "", 0, "swap");
    assert_eq!(wren["drinks"][0]["cost"]["before"], Value::Null);
    assert!(
        done(folder, &self::wren(&["--book", "list.md"]))
            .contains("no cost, not priced: ice (shake), lemon juice, rye whiskey")
    );
}

#[test]
fn juices_are_adjusted_and_strengths_blended() {
    let folder = folder();
    let folder = folder.path();
    let out = done(folder, &["adjust", "orange juice", "--to", "lemon juice"]);
    assert!(out.contains("citric acid  54.0") && out.contains("52.0"), "{out}");
    let adjusted = told(
        folder,
        &[
            "adjust",
            "orange juice",
            "--to",
            "lime",
            "--by",
            "profile",
            "--makes",
            "500 ml",
        ],
        "",
        0,
        "adjust",
    );
    assert!(
        (adjusted["made_ml"].as_f64().unwrap() - 500.0).abs() < 1e-3,
        "{adjusted}"
    );
    assert_eq!(adjusted["powders"].as_array().unwrap().len(), 2);
    let wanted = adjusted["wanted"]["acid_as_citric_g_per_l"].as_f64().unwrap();
    assert!((adjusted["after"]["acid_as_citric_g_per_l"].as_f64().unwrap() - wanted).abs() < 1e-4);
    for (arguments, part) in [
        (
            &["adjust", "lime juice", "--to", "orange juice"][..],
            "powder takes none out",
        ),
        (&["adjust", "limme", "--to", "orange juice"], "nearest: "),
        (
            &["adjust", "orange juice", "--to", "lime", "--volume", "a lot"],
            "such as `500 ml`",
        ),
        (
            &["adjust", "orange juice", "--to", "lime", "--with", "acetic"],
            "not sold as powder",
        ),
        (
            &["adjust", "orange juice", "--to", "lime", "--with", "battery"],
            "citric, malic or tartaric",
        ),
        (
            &["adjust", "orange juice", "--to", "lime", "--convention", "mine"],
            "handbook or assay",
        ),
        (
            &["blend", "57", "40", "--to", "60"],
            "60 % vol lies outside 40.0 to 57.0",
        ),
        (&["blend", "57", "57", "--to", "57"], "every blend of them is"),
        (&["blend", "57", "40", "--to", "x"], "from 0 to 100"),
        (&["blend", "57", "vdka", "--to", "50"], "nearest: vodka"),
        (
            &["blend", "57", "40", "--to", "50", "--volume", "0 ml"],
            "such as `500 ml`",
        ),
    ] {
        let said = refused(folder, arguments);
        assert!(said.contains(part), "{arguments:?}: {said}");
    }
    let out = done(folder, &["blend", "57", "40", "--to", "50", "--volume", "700 ml"]);
    assert!(
        out.starts_with("700.0 ml at 50.00 % vol\n") && out.contains("shrink by 0.8 ml"),
        "{out}"
    );
    let blended = told(
        folder,
        &[
            "blend",
            "overproof rum 63 %",
            "water",
            "--to",
            "40",
            "--have",
            "300 ml",
        ],
        "",
        0,
        "blend",
    );
    assert!((blended["first"]["ml"].as_f64().unwrap() - 300.0).abs() < 1e-3);
    assert!((blended["made"]["strength_pct"].as_f64().unwrap() - 40.0).abs() < 1e-4);
    assert!(blended["shrinks_ml"].as_f64().unwrap() > 4.0);
}

#[test]
fn the_json_is_as_its_schema_says() {
    let folder = folder();
    let folder = folder.path();
    let swapped = told(folder, &wren(&["--book", "list.md"]), "", 0, "swap");
    let drink = &swapped["drinks"][0];
    let figure = |name: &str| drink[name].as_f64().unwrap();
    assert!(
        (figure("amount_ml") - 15.64).abs() < 0.03 && (figure("water_ml") + 6.93).abs() < 0.03,
        "{drink}"
    );
    assert!((drink["held"]["value"].as_f64().unwrap() - 13.83).abs() < 0.02);
    assert_eq!(drink["held"]["quantity"], "sugar_g");
    assert_eq!(
        (&drink["pours"][0]["from"], &drink["pours"][0]["to"]),
        (&"22.5 ml".into(), &"15 ml".into())
    );
    assert_eq!(drink["with_water"]["amount"], "7.5 ml");
    // A schema that lets a change pass is none.
    for (value, schema) in [
        (&swapped, "swap"),
        (
            &told(folder, &["blend", "57", "40", "--to", "50"], "", 0, "blend"),
            "blend",
        ),
        (
            &told(
                folder,
                &["adjust", "orange juice", "--to", "lime juice"],
                "",
                0,
                "adjust",
            ),
            "adjust",
        ),
    ] {
        let passed: Vec<String> = passed(schema, value)
            .into_iter()
            // What may be missing or below 0 by its meaning: a currency, water that goes missing, a temperature, an acid.
            .filter(|what| {
                let below = [
                    "water_ml/below 0",
                    "temperature_c/value/below 0",
                    "temperature_c/low/below 0",
                    "temperature_c/high/below 0",
                    "shrinks_ml/below 0",
                ];
                let open = [
                    "structure/before/nothing for text",
                    "structure/after/nothing for text",
                    "convention/nothing for text",
                    "cost/currency/nothing for text",
                ];
                !(below.iter().chain(&open).any(|end| what.ends_with(end))
                    || what.contains("acids_g_per_l/without")
                    || what.contains("/water_") && what.ends_with("/below 0"))
            })
            .collect();
        assert!(passed.is_empty(), "{schema}: {passed:#?}");
    }
}
