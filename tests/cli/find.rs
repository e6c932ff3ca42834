//! Questions as they are asked on the command line: of a house and of files alike, by `find` and by `--where`.

use std::path::Path;
use std::process::Output;

use serde_json::Value;

use crate::json::told;

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let output = crate::washline(folder).args(arguments).output().unwrap();
    let notes = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!notes.contains("panicked"), "{arguments:?}: {notes}");
    output
}

fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    let notes = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{arguments:?}: {notes}");
    String::from_utf8(output.stdout).unwrap()
}

/// Two lists and what the bar makes, as files and in a house that prices and tastes.
fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let books = crate::project().join("fixtures/books");
    for book in BOOKS {
        std::fs::copy(books.join(book), folder.path().join(book)).unwrap();
    }
    let mut add = vec!["add"];
    add.extend(BOOKS);
    done(folder.path(), &add);
    folder
}

const BOOKS: [&str; 3] = [
    "lantern-halt.md",
    "lantern-halt-winter.md",
    "lantern-halt-mise.md",
];

fn of_house(folder: &Path, question: &str) -> Value {
    told(folder, &["find", question], "", 0, "find")
}

fn of_files(folder: &Path, question: &str) -> Value {
    let mut arguments = vec!["find", question];
    arguments.extend(BOOKS);
    told(folder, &arguments, "", 0, "find")
}

fn names(told: &Value, which: &str) -> Vec<(String, String)> {
    let text = |v: &Value| v.as_str().unwrap().to_owned();
    told[which]
        .as_array()
        .unwrap()
        .iter()
        .map(|d| (text(&d["book"]), text(&d["name"])))
        .collect()
}

#[test]
fn a_house_and_its_files_give_the_same_answer() {
    let folder = house();
    let folder = folder.path();
    for (ingredient, price) in [("vodka", "1"), ("coffee liqueur", "3")] {
        done(
            folder,
            &[
                "ingredient",
                "price",
                ingredient,
                "--package",
                "700 ml",
                "--price",
                price,
                "--currency",
                "EUR",
                "--source",
                "invoice",
            ],
        );
    }
    for question in [
        "pours lime and not egg",
        "pours gin",
        "pours sugar",
        "strength < 14 and structure sour",
        "contains milk",
        "not contains milk",
        "cost < 2.50",
        "not on \"winter list\"",
        "garnish \"lemon zest\" or note manager",
        "lantern",
        "verdict flagged",
        "volume <= 5 oz and energy < 200 kcal",
    ] {
        let (house, files) = (of_house(folder, question), of_files(folder, question));
        for which in ["drinks", "untold"] {
            let (mut a, mut b) = (names(&house, which), names(&files, which));
            a.sort();
            b.sort();
            assert_eq!(a, b, "{question}: {which}");
        }
        assert_eq!(house["looked_at"], files["looked_at"], "{question}");
        let found = names(&house, "drinks").len() + names(&house, "untold").len();
        assert!(
            found > 0 && house["asked"].as_str().is_some_and(|a| !a.is_empty()),
            "{question}"
        );
    }
    // What only a house keeps: files say that they cannot tell.
    done(
        folder,
        &[
            "taste",
            "branch line rain",
            "--verdict",
            "right",
            "--book",
            "Lantern Halt, autumn list",
        ],
    );
    for question in ["tasted right", "changed since 2020-01-01", "not tasted right"] {
        let files = of_files(folder, question);
        assert_eq!(names(&files, "drinks"), [], "{question}");
        assert_eq!(
            names(&files, "untold").len(),
            files["looked_at"].as_u64().unwrap() as usize,
            "{question}"
        );
        assert_eq!(names(&of_house(folder, question), "untold"), [], "{question}");
    }
    assert_eq!(
        names(&of_house(folder, "tasted right"), "drinks"),
        [(
            "Lantern Halt, autumn list".to_owned(),
            "Branch Line Rain".to_owned()
        )]
    );
    let all = of_house(folder, "changed since 2020-01-01");
    assert_eq!(
        names(&all, "drinks").len(),
        all["looked_at"].as_u64().unwrap() as usize
    );
    assert_eq!(
        names(&of_house(folder, "changed before 2020-01-01"), "drinks"),
        []
    );
}

#[test]
fn the_same_question_is_asked_with_where() {
    let folder = house();
    let folder = folder.path();
    let question = "pours lime and not egg and on \"autumn list\"";
    let found = names(&of_house(folder, question), "drinks");
    assert_eq!(found.len(), 5);
    let with = |arguments: &[&str], schema: &str, list: &str| {
        let mut all = arguments.to_vec();
        all.extend(["--where", question]);
        let told = told(folder, &all, "", 0, schema);
        let mut names: Vec<String> = told[list]
            .as_array()
            .unwrap()
            .iter()
            .map(|d| d["name"].as_str().or(d["drink"].as_str()).unwrap().to_owned())
            .collect();
        names.sort();
        let mut wanted: Vec<String> = found.iter().map(|(_, name)| name.clone()).collect();
        wanted.sort();
        assert_eq!(names, wanted, "{arguments:?}");
    };
    with(&["compare"], "compare", "drinks");
    with(&["list"], "check", "drinks");
    with(&["card"], "card", "cards");
    with(
        &["batch", "--menu", "--guests", "10", "--each", "2"],
        "batch",
        "drinks",
    );
    let report = told(
        folder,
        &["report", "menu.html", "--where", question],
        "",
        0,
        "report",
    );
    assert_eq!(report["drinks"], 5);
    let audit = told(folder, &["audit", "--where", question], "", 0, "audit").to_string();
    assert!(
        audit.contains("Waiting Room Sun") && !audit.contains("Points Failure"),
        "{audit}"
    );
    // An export holds those drinks and no others, the rest of the text to the byte.
    let text = done(folder, &["export", "--where", question]);
    let headings: Vec<&str> = text.lines().filter_map(|l| l.strip_prefix("## ")).collect();
    let wanted: Vec<&str> = found.iter().map(|(_, name)| name.as_str()).collect();
    assert_eq!(headings, wanted);
    let whole = std::fs::read_to_string(folder.join("lantern-halt.md")).unwrap();
    assert!(
        text.lines().all(|line| whole.lines().any(|l| l == line)),
        "{text}"
    );
    assert_eq!(
        text,
        done(folder, &["export", "lantern-halt.md", "--where", question])
    );
    // Several must all hold.
    let both = told(
        folder,
        &[
            "compare",
            "--where",
            "pours lime or lemon",
            "--where",
            "strength < 14",
            "--book",
            "lantern-halt.md",
        ],
        "",
        0,
        "compare",
    );
    assert!(
        both["drinks"]
            .as_array()
            .unwrap()
            .iter()
            .all(|d| d["figures"]["abv_pct"]["value"].as_f64().unwrap() < 14.0)
    );
    assert!(!both["drinks"].as_array().unwrap().is_empty());
}

#[test]
fn what_cannot_be_told_is_left_out_and_said_so() {
    let folder = house();
    let output = run(
        folder.path(),
        &["compare", "--where", "cost < 2.50", "--book", "lantern-halt.md"],
    );
    let notes = String::from_utf8(output.stderr).unwrap();
    assert!(
        output.status.success() && notes.contains("cannot be told of 22 drinks"),
        "{notes}"
    );
    let text = done(folder.path(), &["find", "tasted right", "lantern-halt.md"]);
    assert!(
        text.contains("cannot be told of 22 drinks: a book keeps no tastings"),
        "{text}"
    );
}

#[test]
fn a_fault_is_shown_at_its_word_and_is_bad_usage() {
    let folder = house();
    for arguments in [
        &["find", "strenght < 14"][..],
        &["compare", "--where", "strenght < 14"],
        &["list", "--where", "strenght < 14"],
        &["audit", "--where", "strenght < 14"],
        &["export", "--where", "strenght < 14"],
    ] {
        let output = run(folder.path(), arguments);
        let notes = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(2), "{notes}");
        assert!(
            notes.contains("_strenght_ < 14") && notes.contains("nearest: strength"),
            "{notes}"
        );
        let error = told(folder.path(), arguments, "", 2, "error");
        assert_eq!(error["error"]["kind"], "usage");
        assert!(
            error["error"]["message"].as_str().unwrap().contains("strenght"),
            "{error}"
        );
    }
    let output = run(folder.path(), &["find", "not pours eg"]);
    let notes = String::from_utf8(output.stderr).unwrap();
    assert!(
        output.status.code() == Some(2) && notes.contains("not pours _eg_"),
        "{notes}"
    );
    assert_eq!(run(folder.path(), &["find"]).status.code(), Some(2));
}

#[test]
fn what_can_be_asked_is_listed() {
    let folder = tempfile::tempdir().unwrap();
    let listed = told(folder.path(), &["find", "--fields"], "", 0, "find");
    let text = done(folder.path(), &["find", "--fields"]);
    for field in listed["fields"].as_array().unwrap() {
        let word = field["word"].as_str().unwrap();
        assert!(text.contains(word), "{word}");
    }
}

/// Seasons and tags, of a drink or of its list: found, listed, shown, put on cards and reports, carried out and in again.
#[test]
fn seasons_and_tags_go_wherever_the_drink_goes() {
    const BOOK: &str = "# Yard list\ncurrency: EUR\nseason: autumn\ntags: house\n\n## Owl\ntags: low, short walk\n- 40 ml dry vermouth\n- 40 ml sweet red vermouth\n- stir\n\n## Wren\nseason: winter\n- 50 ml dry gin\n- 20 ml dry vermouth\n- stir\n";
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("yard.md"), BOOK).unwrap();
    done(folder, &["add", "yard.md"]);
    for (question, wanted) in [
        ("season autumn", &["Owl"][..]),
        ("season winter", &["Wren"]),
        ("tag low", &["Owl"]),
        ("tag house and not tag low", &["Wren"]),
        ("not season winter", &["Owl"]),
    ] {
        for files in [&[][..], &["yard.md"]] {
            let mut arguments = vec!["find", question];
            arguments.extend(files);
            let found = names(&told(folder, &arguments, "", 0, "find"), "drinks");
            let found: Vec<&str> = found.iter().map(|(_, name)| name.as_str()).collect();
            assert_eq!(found, wanted, "{question}");
        }
    }
    let shown = told(folder, &["show", "owl"], "", 0, "show");
    assert_eq!(shown["drinks"][0]["seasons"], serde_json::json!(["autumn"]));
    assert_eq!(
        shown["drinks"][0]["tags"],
        serde_json::json!(["low", "short walk", "house"])
    );
    assert!(done(folder, &["show", "owl"]).contains("of its list: season autumn; tags house"));
    let listed = done(folder, &["list"]);
    assert!(
        listed.contains("season autumn; tags low, short walk, house"),
        "{listed}"
    );
    assert!(listed.contains("season winter; tags house"), "{listed}");
    assert!(done(folder, &["card", "wren"]).contains("**Season:** winter"));
    done(folder, &["report", "yard.html"]);
    assert!(
        std::fs::read_to_string(folder.join("yard.html"))
            .unwrap()
            .contains("short walk")
    );
    // Written clean as it was typed, and out and in again by every format that loses nothing.
    assert!(done(folder, &["tidy", "yard.md"]).contains("tags: low, short walk\n"));
    for format in ["book", "json", "csv"] {
        let file = format!("yard-out.{}", if format == "book" { "md" } else { format });
        done(folder, &["export", "--format", format, "--out", &file]);
        let back = format!("{format}.db");
        done(folder, &["import", &file, "--add", "--house", &back]);
        let found = told(
            folder,
            &["find", "season autumn and tag low", "--house", &back],
            "",
            0,
            "find",
        );
        assert_eq!(names(&found, "drinks").len(), 1, "{format}");
    }
    // A list's word is no setting of the house.
    let refused = run(folder, &["settings", "set", "season", "autumn"]);
    assert_eq!(refused.status.code(), Some(2));
    // A change sets it.
    done(folder, &["change", "wren", "--set", "season=spring", "--keep"]);
    assert_eq!(names(&of_house(folder, "season spring"), "drinks").len(), 1);
}

/// What is kept of a drink says something else than it comes to: that it is not asked for tells that it was not worked out.
#[test]
fn drinks_that_are_ruled_out_by_what_is_kept_are_not_worked_out() {
    const ASKED: &str = "Waiting Room Sun";
    const OTHER: &str = "Platform Fog";
    let folder = house();
    let folder = folder.path();
    done(folder, &["list"]);
    let db = rusqlite::Connection::open(folder.join(".local/share/washline/house.db")).unwrap();
    let changed = db
        .execute(
            "UPDATE figure SET value = 90 WHERE figure = 'abv_pct' AND result_id NOT IN
                 (SELECT r.id FROM result r JOIN current_spec c ON c.id = r.spec_version_id WHERE c.drink = ?1)",
            [ASKED],
        )
        .unwrap();
    assert!(changed > 10);
    drop(db);
    for command in [
        &["find", "strength < 50"][..],
        &["list", "--where", "strength < 50"],
        &["compare", "--where", "strength < 50"],
        &["card", "--where", "strength < 50"],
        &["report", "-", "--where", "strength < 50"],
        &["export", "--where", "strength < 50"],
        &["audit", "--where", "strength < 50"],
        &[
            "batch",
            "--menu",
            "--guests",
            "10",
            "--each",
            "2",
            "--where",
            "strength < 50",
        ],
    ] {
        let text = done(folder, command);
        assert!(
            text.contains(ASKED) && !text.contains(OTHER),
            "{command:?}: {text}"
        );
    }
}
