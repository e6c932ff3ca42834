//! The audit as it is asked for on the command line.

use serde_json::{Value, json};

use crate::common::{done, run};
use crate::json::{passed, told};

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for book in [
        "lantern-halt.md",
        "lantern-halt-winter.md",
        "lantern-halt-mise.md",
    ] {
        std::fs::copy(
            crate::project().join("fixtures/books").join(book),
            folder.path().join(book),
        )
        .unwrap();
    }
    folder
}

const TODAY: [&str; 2] = ["--today", "2026-11-25"];

#[test]
fn findings_are_grouped_by_what_to_do() {
    let folder = folder();
    let text = done(
        folder.path(),
        &["audit", "lantern-halt.md", TODAY[0], TODAY[1], "--most", "20 g"],
    );
    let at = |heading: &str| {
        text.find(&format!("{heading}\n"))
            .unwrap_or_else(|| panic!("{heading}\n{text}"))
    };
    let headings = [
        "Put the build right",
        "Fit drink and glass",
        "Bring into balance",
        "Look at the serve",
        "Find out and write down",
        "Look at the list as a whole",
        "Tidy the shelf",
    ];
    assert!(
        headings.windows(2).all(|pair| at(pair[0]) < at(pair[1])),
        "{text}"
    );
    for part in [
        "  ! Carriage Window Mist: soda water is carbonated",
        "     → washline mend \"Points Failure\"\n",
        "over the house limit of 20 g",
        "       Cinder Path Squall: agave mix 1:1 by volume, mezcal, orange curaçao, tequila blanco\n",
        "The list  22 drinks\n",
        "4 over 25 % vol, 2 light (below 10), 1 without alcohol",
        "is for your local law",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
}

#[test]
fn an_audit_as_json_keeps_to_its_schema() {
    let folder = folder();
    let at = folder.path();
    let winter = told(
        at,
        &[
            "audit",
            "lantern-halt-winter.md",
            "--against",
            "lantern-halt.md",
            TODAY[0],
            TODAY[1],
            "--most",
            "20",
        ],
        "",
        0,
        "audit",
    );
    let findings = winter["findings"].as_array().unwrap();
    let of = |kind: &str| -> Vec<&Value> { findings.iter().filter(|f| f["kind"] == kind).collect() };
    for kind in [
        "drift",
        "only_in_one",
        "near_twins",
        "lonely_ingredient",
        "two_names",
        "near_names",
        "missing_fact",
        "old_measurement",
        "spread",
        "two_ounces",
        "mixed_units",
        "unpoured_amount",
        "unpoured_preparation",
        "serving_size",
        "off_balance",
    ] {
        assert!(!of(kind).is_empty(), "{kind}");
    }
    // Which of the demo house is too close to call moves with what has been published: the classics always have some.
    let classics = crate::common::project().join("fixtures/books/classics.md");
    let judged = told(
        at,
        &["audit", classics.to_str().unwrap(), TODAY[0], TODAY[1]],
        "",
        0,
        "audit",
    );
    let close = |f: &&Value| f["kind"] == "too_close";
    assert!(judged["findings"].as_array().unwrap().iter().any(|f| close(&f)));
    // From the other list to this one.
    let drift = of("drift")[0];
    assert_eq!(
        drift["drinks"][0],
        json!({ "name": "Hoarfrost Junction", "book": "Lantern Halt, autumn list" })
    );
    assert_eq!(
        drift["figures"]["pours"][0],
        json!({ "ingredient": "london dry gin", "a": "60 ml", "b": "75 ml" })
    );
    assert_eq!(drift["severity"], "edge");
    let twins = of("near_twins")[0];
    assert_eq!(twins["figures"]["limit"], 0.25);
    assert!(twins["figures"]["distance"].as_f64().unwrap() < 0.25);
    // What may be nothing or any words: sides of a drift, a currency, usual and seen ranges, prices and packages.
    let open = |what: &String| {
        ["/a/", "/b/", "currency", "holds", "package", "usual", "seen", "family", "below", "above", "unit", "book", "low_g", "high_g"]
            .iter()
            .any(|part| format!("{what}/").contains(part))
            && what.ends_with("nothing for text")
            // A difference may be below nothing.
            || what.ends_with("difference/below 0")
    };
    let let_through: Vec<String> = passed("audit", &winter)
        .into_iter()
        .filter(|w| !open(w))
        .collect();
    assert_eq!(let_through, Vec::<String>::new());
    told(
        at,
        &["audit", "lantern-halt.md", "lantern-halt-mise.md", "--strict"],
        "",
        1,
        "audit",
    );
}

#[test]
fn strict_ends_with_status_1_only_when_something_is_outside() {
    let folder = folder();
    let at = folder.path();
    let fine = "# Halt\n## Owl\nglass: coupe, 180 ml\nprice: 9\ngarnish: lemon\n- 60 ml dry gin\n- 30 ml white vermouth\n- 1 barspoon green herbal liqueur\n- 2 dashes orange bitters\n- stir\n- strain\n";
    std::fs::write(at.join("fine.md"), fine).unwrap();
    assert_eq!(run(at, &["audit", "fine.md", "--strict"]).status.code(), Some(0));
    assert_eq!(
        run(at, &["audit", "fine.md", "--strict", "--most", "10 g"])
            .status
            .code(),
        Some(1)
    );
    assert_eq!(run(at, &["audit", "lantern-halt.md"]).status.code(), Some(0));
    assert_eq!(
        run(at, &["audit", "lantern-halt.md", "--strict"]).status.code(),
        Some(1)
    );
}

#[test]
fn a_house_is_audited_and_compared_with_another() {
    let folder = folder();
    let at = folder.path();
    assert_eq!(
        run(at, &["audit"]).status.code(),
        Some(2),
        "there is no house yet"
    );
    done(at, &["add", "lantern-halt-winter.md"]);
    done(at, &["add", "lantern-halt.md", "--house", "autumn.db"]);
    done(
        at,
        &[
            "ingredient",
            "price",
            "overproof rum",
            "--package",
            "700 ml",
            "--price",
            "24.00",
            "--currency",
            "EUR",
            "--source",
            "invoice",
            "--at",
            "2026-10-01",
        ],
    );
    let text = done(at, &["audit", TODAY[0], TODAY[1]]);
    assert!(
        text.contains("overproof rum (700 ml on the shelf holds 24.00 EUR)"),
        "{text}"
    );
    assert!(
        text.contains("as far as prices are known, that holds 24.00 EUR, one package of each"),
        "{text}"
    );
    assert_eq!(done(at, &["audit", "house", TODAY[0], TODAY[1]]), text);
    let against = done(at, &["audit", "--against", "autumn.db", TODAY[0], TODAY[1]]);
    assert!(
        against.contains("Lantern Halt, autumn list → Lantern Halt, winter list"),
        "{against}"
    );
    // A book on the command line has the prices of the house.
    let book = done(at, &["audit", "lantern-halt-winter.md", TODAY[0], TODAY[1]]);
    assert!(
        book.contains("overproof rum (700 ml on the shelf holds 24.00 EUR)"),
        "{book}"
    );
    // A year and a day later the price is old.
    let later = done(at, &["audit", "--today", "2027-10-02"]);
    assert!(
        later.contains("price of overproof rum is of 2026-10-01, 366 days old"),
        "{later}"
    );
}

#[test]
fn what_does_not_read_is_said_and_the_rest_is_audited() {
    let folder = folder();
    let at = folder.path();
    std::fs::write(
        at.join("faulty.md"),
        "# F\n## Owl\n- 60 ml dry ginn\n- stir\n## Wren\n- 60 ml dry gin\n- stir\n",
    )
    .unwrap();
    let output = run(at, &["audit", "faulty.md"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("dry ginn"));
    assert!(String::from_utf8_lossy(&output.stdout).contains("The list  1 drink\n"));
    let said = told(
        at,
        &["audit", "lantern-halt.md", "--against", "faulty.md"],
        "",
        2,
        "audit",
    );
    assert_eq!(said["faults"].as_array().unwrap().len(), 1);
    for arguments in [
        &["audit", "lantern-halt.md", "--most", "much"][..],
        &["audit", "lantern-halt.md", "--most", "0"],
        &["audit", "lantern-halt.md", "--today", "yesterday"],
        &["audit", "lantern-halt.md", "--against", "nowhere.md"],
    ] {
        assert_eq!(run(at, arguments).status.code(), Some(2), "{arguments:?}");
    }
    // Everything wrong with a call in one run.
    let wrong = run(
        at,
        &[
            "audit",
            "lantern-halt.md",
            "--most",
            "much",
            "--today",
            "yesterday",
        ],
    );
    let wrong = String::from_utf8_lossy(&wrong.stderr).into_owned();
    assert!(
        wrong.contains("--most much") && wrong.contains("--today yesterday"),
        "{wrong}"
    );
}

#[test]
fn control_characters_never_reach_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let book = "# H\u{1b}[31m\n## Owl\u{1b}[31m\nglass: cou\u{7}pe\n- 61 ml dry gin\n- 3 oz dry vermouth\n- stir\n## Wren\u{7}\n- 60 ml vodka\n- stir\n## Tern\n- 60 ml white rum\n- stir\n";
    std::fs::write(folder.path().join("h.md"), book).unwrap();
    for colour in ["never", "always"] {
        let output = run(folder.path(), &["audit", "h.md", "--colour", colour]);
        let text = String::from_utf8(output.stdout).unwrap();
        assert!(!text.contains("\u{1b}[31mO") && !text.contains('\u{7}'), "{text}");
    }
}
