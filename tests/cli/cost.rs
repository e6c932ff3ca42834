//! Prices and costs as they are asked for on the command line.

use std::path::Path;

use serde_json::{Value, json};

use crate::common::{done, run};
use crate::json::{passed, told};

/// Standard error of a run that ends with status 2 and stores nothing.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let before = done(folder, &["ingredient", "price"]);
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    assert_eq!(done(folder, &["ingredient", "price"]), before, "{arguments:?}");
    String::from_utf8(output.stderr).unwrap()
}

const BOOK: &str = "\
# Halt
currency: EUR

## Owl
price: 12.00
garnish: lime wheel
- 60 ml white rum
- 22.5 ml lime juice
- 22.5 ml simple syrup 1:1 by mass
- shake
- strain

## Wren
price: 9.00
- 50 ml white rum
- 1 dash orange bitters
- neat
";

/// A house with a book and some prices.
fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    std::fs::write(at.join("halt.md"), BOOK).unwrap();
    done(at, &["add", "halt.md"]);
    done(at, &["settings", "set", "currency", "EUR"]);
    for price in [
        &[
            "white rum",
            "--package",
            "700 ml",
            "--price",
            "14.00",
            "--tax",
            "20",
            "--tax-included",
            "no",
        ][..],
        &[
            "lime juice",
            "--package",
            "20 fruit",
            "--price",
            "8.00",
            "--yield",
            "30 ml per fruit, 20 to 40",
            "--waste",
            "5 %, 0 to 10",
        ],
        &[
            "ice",
            "--package",
            "1 kg",
            "--price",
            "0.40",
            "--portion",
            "300 g",
        ],
        &["simple syrup 1:1 by mass", "--free"],
    ] {
        let mut arguments = vec!["ingredient", "price"];
        arguments.extend(price);
        arguments.extend(["--source", "invoice", "--at", "2026-01-05"]);
        done(at, &arguments);
    }
    folder
}

#[test]
fn a_drink_is_costed_line_by_line() {
    let folder = house();
    let at = folder.path();
    let text = done(
        at,
        &["cost", "owl", "--target", "20 %", "--tax", "20", "--tax-included"],
    );
    for part in [
        "11.7, whole 11",
        "1.200",
        "0.316  (0.225 to 0.500)",
        "free",
        "lime wheel",
        "what is priced of it costs 1.64 EUR",
        "not priced: 1 of 5 lines, 0.0 % of what is poured: lime wheel",
        "sells for 12.00 EUR, 10.00 net: pour cost at least 16.4 %",
        "for a pour cost of 20 %: at least 9.81 EUR",
        "Selling prices hold 20 % of tax",
    ] {
        assert!(text.contains(part), "{part}:\n{text}");
    }
    // Another price, and nothing said of tax.
    let text = done(at, &["cost", "Owl", "--price", "8.20"]);
    assert!(text.contains("at 8.20 EUR: pour cost at least 19.9 %"), "{text}");
    assert!(text.contains("whether they hold a tax is not stated"), "{text}");
    // A margin is the rest of a pour cost.
    let by_margin = done(at, &["cost", "Owl", "--margin", "80"]);
    assert!(
        by_margin.contains("for a pour cost of 20 %: at least 8.18 EUR"),
        "{by_margin}"
    );
}

#[test]
fn costs_as_json_keep_to_their_schema() {
    let folder = house();
    let at = folder.path();
    let all = told(at, &["cost", "--target", "20", "--tax", "10"], "", 0, "cost");
    let owl = &all["drinks"][0];
    assert_eq!(owl["cost"]["value"], "1.635789");
    assert_eq!(owl["complete"], false);
    assert_eq!(owl["unpriced"], json!(["lime wheel"]));
    assert_eq!(owl["lines"][0]["whole_pours_per_pack"], "11");
    assert_eq!(owl["lines"][2]["state"], "free");
    assert_eq!(owl["sale"]["markup_pct"], "633.59");
    assert_eq!(all["tax"], json!({ "pct": "10", "included": false }));
    assert_eq!(all["drinks"][1]["unpriced"], json!(["orange bitters"]));
    assert_eq!(all["one_of_each"], json!([]));
    // What may be nothing: a drink may have no currency, no price, no cost; a free line no source is none.
    let open = |what: &String| {
        what.ends_with("/nothing for text")
            && [
                "currency",
                "price",
                "price_for_target",
                "target_pct",
                "markup_pct",
                "pours_per_pack",
            ]
            .iter()
            .any(|key| what.contains(key))
    };
    let let_through: Vec<String> = passed("cost", &all).into_iter().filter(|w| !open(w)).collect();
    assert_eq!(let_through, Vec::<String>::new());

    let list = told(at, &["ingredient", "price"], "", 0, "prices");
    assert_eq!(list["prices"].as_array().unwrap().len(), 4);
    let let_through: Vec<String> = passed("prices", &list)
        .into_iter()
        .filter(|w| !(w.ends_with("currency/nothing for text")))
        .collect();
    assert_eq!(let_through, Vec::<String>::new());
    let limes = list["prices"]
        .as_array()
        .unwrap()
        .iter()
        .find(|p| p["name"] == "lime juice")
        .unwrap();
    assert_eq!(limes["unit_cost"]["value"], "0.01403509");
    assert_eq!(limes["yield"]["low"], "20");

    // A book on the command line is costed at the house's prices, and at its own over them.
    let book = BOOK.replace(
        "## Owl",
        "## white rum\nis: an ingredient\nprice: 28.00 per 700 ml\nsource: list\n\n## Owl",
    );
    let priced = told(at, &["cost", "Wren", "--book", "-"], &book, 0, "cost");
    assert_eq!(priced["drinks"][0]["cost"]["value"], "2");
    assert_eq!(priced["drinks"][0]["lines"][0]["source"], "list");
    // Without any house there is nothing to price by, and that is no error.
    let bare = tempfile::tempdir().unwrap();
    let unpriced = told(bare.path(), &["cost", "--book", "-"], BOOK, 0, "cost");
    assert_eq!(unpriced["drinks"][0]["cost"], Value::Null);
    assert_eq!(unpriced["drinks"][0]["unpriced_volume_pct"], 100.0);
    told(at, &["cost", "Jay"], "", 2, "error");
    told(at, &["cost", "--margin", "100"], "", 2, "error");
}

#[test]
fn a_list_shows_what_is_not_priced_and_strict_minds() {
    let folder = house();
    let at = folder.path();
    let text = done(at, &["cost", "--target", "20"]);
    assert!(text.contains("≥ 1.64"), "{text}");
    assert!(
        text.contains("lime wheel") && text.contains("orange bitters"),
        "{text}"
    );
    let strict = |more: &[&str]| {
        let mut arguments = vec!["cost", "--strict"];
        arguments.extend(more);
        run(at, &arguments).status.code()
    };
    assert_eq!(strict(&[]), Some(1));
    let price = |name: &str, more: &[&str]| {
        let mut arguments = vec!["ingredient", "price", name, "--source", "invoice"];
        arguments.extend(more);
        done(at, &arguments)
    };
    price(
        "lime wheel",
        &[
            "--garnish",
            "--package",
            "1 fruit",
            "--price",
            "0.40",
            "--yield",
            "8 pieces per fruit",
        ],
    );
    price("orange bitters", &["--package", "100 ml", "--price", "12.00"]);
    assert_eq!(strict(&[]), Some(0));
    let text = done(at, &["cost"]);
    assert!(
        !text.contains('≥') && text.contains("One of each of the 2 drinks priced in full"),
        "{text}"
    );
    // Sold below its cost, and in another currency.
    assert_eq!(strict(&["--price", "1.50"]), Some(1));
    assert!(done(at, &["cost", "Owl", "--price", "1.50"]).contains("every one sold is a loss"));
    price("orange bitters", &["--package", "100 ml", "--price", "12.00 USD"]);
    assert_eq!(strict(&[]), Some(1));
    let text = done(at, &["cost", "Wren"]);
    assert!(text.contains("priced in USD"), "{text}");
    assert!(refused(at, &["cost", "--price", "8.00 GBP"]).contains("never compared"));
}

#[test]
fn prices_have_a_history() {
    let folder = house();
    let at = folder.path();
    let rum = [
        "ingredient",
        "price",
        "white rum",
        "--package",
        "700 ml",
        "--source",
        "invoice",
    ];
    let dated = |paid: &str, day: &str| {
        let mut arguments = rum.to_vec();
        arguments.extend(["--price", paid, "--at", day]);
        done(at, &arguments)
    };
    dated("15.40", "2026-03-01");
    let text = dated("15.50", "2026-03-01");
    assert!(text.contains("stands in the place"), "{text}");
    let history = told(at, &["ingredient", "price", "light rum"], "", 0, "prices");
    let paid: Vec<&str> = history["prices"]
        .as_array()
        .unwrap()
        .iter()
        .map(|p| p["price"].as_str().unwrap())
        .collect();
    assert_eq!(paid, ["15.50", "14.00"]);
    let on = |day: &str| told(at, &["cost", "Wren", "--on", day], "", 0, "cost")["drinks"][0]["cost"].clone();
    assert_eq!(on("2026-02-28")["value"], "1");
    assert_eq!(on("2026-03-01")["value"], "1.107143");
    assert_eq!(on("2025-01-01"), Value::Null);
    done(
        at,
        &[
            "ingredient",
            "price",
            "white rum",
            "--unset",
            "--at",
            "2026-04-01",
        ],
    );
    assert_eq!(on("2026-04-02"), Value::Null);
    assert_eq!(on("2026-03-31")["value"], "1.107143");
    let again = refused(at, &["ingredient", "price", "white rum", "--unset"]);
    assert!(again.contains("no price of white rum"), "{again}");
}

#[test]
fn wrong_prices_are_said_at_once_and_nothing_is_kept() {
    let folder = house();
    let at = folder.path();
    let said = refused(
        at,
        &[
            "ingredient",
            "price",
            "dry gin",
            "--package",
            "700",
            "--price",
            "12x",
            "--tax",
            "20",
            "--waste",
            "100",
            "--yield",
            "some",
            "--at",
            "soon",
        ],
    );
    for part in [
        "--source",
        "--package 700",
        "--price 12x",
        "--tax:",
        "--waste 100",
        "--yield some",
        "--at soon",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    for (arguments, part) in [
        (&["dry ginn", "--free", "--source", "x"][..], "nearest"),
        (
            &[
                "dry gin",
                "--package",
                "700 ml",
                "--price",
                "20 USD",
                "--currency",
                "EUR",
                "--source",
                "x",
            ],
            "expected one currency",
        ),
        (
            &[
                "dry gin",
                "--package",
                "700 ml",
                "--price",
                "20",
                "--currency",
                "EURO",
                "--source",
                "x",
            ],
            "ISO 4217",
        ),
        (
            &[
                "dry gin",
                "--package",
                "700 ml",
                "--price",
                "20",
                "--deposit",
                "25",
                "--source",
                "x",
            ],
            "deposit is more",
        ),
        (
            &[
                "lime juice",
                "--package",
                "1 kg",
                "--price",
                "20",
                "--yield",
                "30 ml per fruit",
                "--source",
                "x",
            ],
            "the package is in g",
        ),
        (
            &["dry gin", "--package", "700 ml", "--price", "20", "--source", " "],
            "--source",
        ),
        (&["dry gin", "--package", "700 ml", "--source", "x"], "--price"),
        (&["dry gin", "--source", "x"], "nothing to keep"),
        (&["--free", "--source", "x"], "a price of what?"),
        (&["vermouth", "--free", "--source", "x"], "could be"),
        (
            &[
                "dry gin",
                "--free",
                "--price",
                "2",
                "--package",
                "1 l",
                "--source",
                "x",
            ],
            "cannot be used with",
        ),
        (&["quartz"], "no ingredient"),
    ] {
        let mut all = vec!["ingredient", "price"];
        all.extend(arguments);
        let said = refused(at, &all);
        assert!(said.contains(part), "{arguments:?}: {said}");
    }
    // A refused first price makes no house.
    let bare = tempfile::tempdir().unwrap();
    let output = run(bare.path(), &["ingredient", "price", "dry gin", "--free"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(std::fs::read_dir(bare.path()).unwrap().count(), 0);
}
