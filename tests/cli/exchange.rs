//! Data in and out as it is asked for on the command line: books out and in again, sheets and pages of others,
//! another house, copies, and the notebook reader's example.

use std::path::Path;
use std::process::Command;

use serde_json::{Value, json};

use crate::common::{done, folder_with, put, run};
use crate::json::{checked, passed, run as run_json, told};

/// What a run that ends with status 2 says.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    String::from_utf8(output.stderr).unwrap()
}

fn fixture(name: &str) -> String {
    std::fs::read_to_string(crate::project().join("fixtures").join(name)).unwrap()
}

/// A folder with a house that has two books of the fixtures.
fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for book in ["lantern-halt.md", "worked.md"] {
        put(folder.path(), book, fixture(&format!("books/{book}")));
    }
    done(folder.path(), &["add", "lantern-halt.md", "worked.md"]);
    folder
}

const HALT: &str = "Lantern Halt, autumn list";

/// Out in each format that claims it, and into another house: the books are the ones that are there.
#[test]
fn out_and_in_again_nothing_is_lost() {
    let folder = house();
    let folder = folder.path();
    assert_eq!(
        done(folder, &["export", "--book", HALT]),
        fixture("books/lantern-halt.md")
    );
    let before = told(folder, &["list"], "", 0, "check");
    for (format, file) in [("json", "all.json"), ("csv", "all.csv")] {
        done(folder, &["export", "--format", format, "--out", file]);
        // Into the same house: every drink is as it was.
        let again = told(folder, &["import", file, "--add"], "", 0, "import");
        for book in again["added"]["books"].as_array().unwrap() {
            assert_eq!(
                (&book["new"], &book["changed"], &book["removed"]),
                (&json!([]), &json!([]), &json!([])),
                "{format}: {book}"
            );
        }
        // Typed in another way here and there, it comes to the same.
        let figures = told(folder, &["list"], "", 0, "check");
        for (now, before) in figures["drinks"]
            .as_array()
            .unwrap()
            .iter()
            .zip(before["drinks"].as_array().unwrap())
        {
            assert_eq!(
                (&now["name"], &now["figures"]),
                (&before["name"], &before["figures"])
            );
        }
        // Into another one, and out of it: the same file, to the byte.
        let other = format!("{format}.db");
        done(folder, &["import", file, "--add", "--house", &other]);
        let twice = done(folder, &["export", "--format", format, "--house", &other]);
        assert_eq!(
            twice,
            std::fs::read_to_string(folder.join(file)).unwrap(),
            "{format}"
        );
    }
    // A spreadsheet that writes semicolons and needs a byte-order mark.
    done(
        folder,
        &[
            "export",
            "--format",
            "csv",
            "--delimiter",
            ";",
            "--bom",
            "--out",
            "bom.csv",
        ],
    );
    assert!(
        std::fs::read(folder.join("bom.csv"))
            .unwrap()
            .starts_with(b"\xef\xbb\xbfbook;line;")
    );
    let read = told(folder, &["import", "bom.csv"], "", 0, "import");
    assert_eq!(read["books"].as_array().unwrap().len(), 2);
    assert_eq!(read["added"], Value::Null);
}

#[test]
fn files_that_are_there_are_not_written_over() {
    let folder = house();
    let folder = folder.path();
    put(folder, "mine.csv", "mine");
    let said = refused(folder, &["export", "--format", "csv", "--out", "mine.csv"]);
    assert!(
        said.contains("mine.csv is there already") && said.contains("--replace"),
        "{said}"
    );
    assert_eq!(std::fs::read_to_string(folder.join("mine.csv")).unwrap(), "mine");
    done(
        folder,
        &["export", "--format", "csv", "--out", "mine.csv", "--replace"],
    );
    assert_ne!(std::fs::read_to_string(folder.join("mine.csv")).unwrap(), "mine");

    // A folder takes a file for each book: all of them or none.
    let out = done(folder, &["export", "--out", "lists/"]);
    assert_eq!(out.lines().count(), 2);
    assert_eq!(
        std::fs::read_to_string(folder.join("lists/lantern-halt-autumn-list.md")).unwrap(),
        fixture("books/lantern-halt.md")
    );
    std::fs::remove_file(folder.join("lists/lantern-halt-autumn-list.md")).unwrap();
    refused(folder, &["export", "--out", "lists/"]);
    assert!(!folder.join("lists/lantern-halt-autumn-list.md").exists());
    for (arguments, word) in [
        (&["export"][..], "--book TITLE or --out FOLDER/"),
        (&["export", "--out", "both.md"], "--book TITLE or --out FOLDER/"),
        (
            &["export", "--book", "Lantern"],
            "nearest: Lantern Halt, autumn list",
        ),
        (
            &["export", "--format", "xml"],
            "expected one of: csv, json, book, recipe-json-ld",
        ),
        (
            &["export", "--format", "csv", "--delimiter", ";;"],
            "expected one mark",
        ),
        (
            &["export", "--format", "csv", "--json"],
            "expected one of them, or --out",
        ),
    ] {
        let output = run(folder, arguments);
        let said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
        assert!(
            said.contains(word) && output.status.code() == Some(2),
            "{arguments:?}: {said}"
        );
    }
    // Books can be turned without a house.
    let csv = done(
        folder,
        &[
            "export",
            "lantern-halt.md",
            "--format",
            "csv",
            "--house",
            "none.db",
        ],
    );
    assert!(csv.starts_with("book,line,name,what,key,amount,unit,ingredient,text\r\n"));
    assert!(!folder.join("none.db").exists());
}

/// The invented sheet of the fixtures: asked about, mapped, shown, kept.
#[test]
fn a_sheet_of_others() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "list.csv", fixture("exchange/porter-list.csv"));
    // The words may be wrapped.
    let asked = refused(folder, &["import", "list.csv"]);
    let asked = asked.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        asked.contains("--map \"Zutat=…,Menge=…,Einheit=…,Preis/L=…\""),
        "{asked}"
    );
    let map = "Zutat=ingredient,Menge=amount,Einheit=unit,Preis/L=price per litre";
    let text = done(
        folder,
        &["import", "list.csv", "--map", map, "--book", "The porter's list"],
    );
    assert!(text.starts_with(
        "# The porter's list\n\n## Nachtzug\n- 5 cl dry gin\n<!-- price per litre of dry gin: 18.50 -->\n"
    ));
    // What is shown can be kept as it is.
    put(folder, "list.md", &text);
    done(folder, &["check", "list.md"]);
    let notes =
        String::from_utf8(run(folder, &["import", "list.csv", "--map", map, "--add"]).stderr).unwrap();
    assert!(notes.contains("column `Menge`: decimal commas"), "{notes}");
    assert!(done(folder, &["list"]).contains("Kofferträger"));

    // One with the usual headings needs none, and is kept as it is.
    put(folder, "night.csv", fixture("exchange/night-list.csv"));
    let kept = told(folder, &["import", "night.csv", "--add"], "", 0, "import");
    assert_eq!(
        kept["added"]["books"][0]["new"],
        json!(["Sleeper Car", "Ticket Punch"])
    );
    assert!(done(folder, &["show", "Ticket Punch"]).contains("3/4 oz sweet red vermouth"));

    // Several maps, columns by number, a decimal mark that is said, a tab.
    put(
        folder,
        "tab.tsv",
        "A\tB\tC\nOwl\t1,500\tdry gin\nOwl\t2,250\torgeat\n",
    );
    let tab = &[
        "import",
        "tab.tsv",
        "--map",
        "1=drink",
        "--map",
        "2=amount,3=ingredient",
    ];
    assert!(refused(folder, tab).contains("--decimal comma"));
    let text = done(
        folder,
        &[tab, &["--decimal", "comma", "--decimal-columns", "B"][..]].concat(),
    );
    assert!(text.contains("- 1.5 dry gin\n- 2.25 orgeat\n"), "{text}");
    for (arguments, word) in [
        (&["import", "tab.tsv", "--map", "A"][..], "expected HEADING=field"),
        (&["import", "tab.tsv", "--map", "D=drink"], "no column `D`"),
        (
            &["import", "tab.tsv", "--decimal", "dot"],
            "expected point or comma",
        ),
        (&["import", "missing.csv"], "cannot be read"),
        (
            &["import", "list.csv", "--map", map, "--format", "json"],
            "not books as JSON",
        ),
    ] {
        let said = refused(folder, arguments);
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
}

/// Another encoding is offered with a preview, and taken when it is named.
#[test]
fn windows_1252_is_offered_and_not_guessed() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(
        folder,
        "old.csv",
        b"drink;ingredient\nCaf\xe9;60 ml cr\xe8me de cacao\n",
    );
    let said = refused(folder, &["import", "old.csv"]);
    assert!(
        said.contains("byte 0xe9 in line 2") && said.contains("`Café;60 ml crème de cacao`"),
        "{said}"
    );
    let output = run(folder, &["import", "old.csv", "--encoding", "windows-1252"]);
    assert_eq!(
        String::from_utf8(output.stdout).unwrap(),
        "# old\n\n## Café\n- 60 ml crème de cacao\n"
    );
    assert_eq!(
        String::from_utf8(output.stderr).unwrap(),
        "old.csv: decoded as windows-1252\n"
    );
    refused(folder, &["import", "old.csv", "--encoding", "utf-9"]);
}

/// A page saved to disk: what reads is shown, what does not is told with its place; with a fault nothing is kept.
#[test]
fn a_page_of_others() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "page.html", fixture("exchange/station-kitchen.html"));
    let output = run(folder, &["import", "page.html", "--serves", "6"]);
    let (text, notes) = (
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    );
    assert_eq!(output.status.code(), Some(2));
    // The page's own yields stand; the pitcher is for six.
    assert!(
        text.contains("- 2 oz white rum\n") && text.contains("- 1/3 oz rye whiskey\n"),
        "{text}"
    );
    assert!(
        notes.contains("page.html\n  line 73  ") && notes.contains("a block of JSON-LD that is no JSON"),
        "{notes}"
    );
    let refusal = refused(folder, &["import", "page.html", "--serves", "6", "--add"]);
    assert!(
        refusal.contains("nothing was stored: 1 fault to mend"),
        "{refusal}"
    );
    assert!(!folder.join(".local").exists());

    // Without the broken block all of it reads; one name is none of the library's, and that keeps all of it out.
    let whole = fixture("exchange/station-kitchen.html");
    let whole: String = whole
        .lines()
        .filter(|l| !l.contains("Broken block"))
        .map(|l| format!("{l}\n"))
        .collect();
    put(folder, "whole.html", &whole);
    let refusal = refused(folder, &["import", "whole.html", "--serves", "6", "--add"]);
    assert!(
        refusal.contains("patience") && refusal.contains("whole.html, as a book"),
        "{refusal}"
    );
    put(
        folder,
        "known.html",
        whole.replace("a good handful of patience", "1 cup black tea"),
    );
    done(folder, &["import", "known.html", "--serves", "6", "--add"]);
    assert!(done(folder, &["list"]).contains("Last Train Punch"));
    // Two pages go into one book, or into one each.
    put(
        folder,
        "two.html",
        whole
            .replace("Last Train Punch", "First Train Punch")
            .replace("a good handful of patience", "1 cup black tea")
            .replace("<title>Signal &amp; Sidings", "<title>Other"),
    );
    let several = refused(folder, &["import", "known.html", "two.html", "--serves", "6"]);
    assert!(several.contains("2 books come of this"), "{several}");
    let one = done(
        folder,
        &[
            "import",
            "known.html",
            "two.html",
            "--serves",
            "6",
            "--book",
            "Both",
        ],
    );
    assert!(
        one.contains("## Last Train Punch")
            && one.contains("## First Train Punch")
            && one.contains("## Buffer Stop (2)")
    );
    done(
        folder,
        &[
            "import",
            "known.html",
            "two.html",
            "--serves",
            "6",
            "--to",
            "made",
        ],
    );
    assert_eq!(std::fs::read_dir(folder.join("made")).unwrap().count(), 2);
}

#[test]
fn another_house_is_taken_in() {
    let folder = house();
    let folder = folder.path();
    let theirs = fixture("books/lantern-halt.md").replace("37.5 ml lemon juice", "25 ml lemon juice")
        + "\n## Ticket Stub\n- 50 ml dry gin\n- stir\n";
    put(folder, "theirs.md", theirs);
    done(folder, &["add", "theirs.md", "--house", "theirs.db"]);
    done(
        folder,
        &["settings", "set", "dash", "0.8 ml", "--house", "theirs.db"],
    );
    let before = std::fs::read(folder.join("theirs.db")).unwrap();

    let undecided = refused(folder, &["merge", "theirs.db"]);
    assert!(
        undecided.contains("nothing was taken: 2 conflicts to decide"),
        "{undecided}"
    );
    let shown = done(folder, &["merge", "theirs.db", "--dry-run"]);
    assert!(
        shown.contains("    - - 37.5 ml lemon juice") && shown.contains("    + - 25 ml lemon juice"),
        "{shown}"
    );
    assert!(
        shown.contains("setting dash: theirs 0.8 ml, ours not set"),
        "{shown}"
    );
    assert!(!done(folder, &["list"]).contains("Ticket Stub"));
    let taken = done(
        folder,
        &[
            "merge",
            "theirs.db",
            "--theirs",
            "points failure",
            "--ours",
            "dash",
        ],
    );
    assert!(taken.contains("taken: 2"), "{taken}");
    assert!(done(folder, &["show", "Points Failure"]).contains("25 ml lemon juice"));
    assert!(done(folder, &["list"]).contains("Ticket Stub"));
    assert_eq!(
        told(folder, &["settings", "show"], "", 0, "settings")["settings"],
        json!([])
    );
    assert_eq!(std::fs::read(folder.join("theirs.db")).unwrap(), before);
    done(folder, &["verify"]);

    // Prices: the other house's history with it, or ours, as it is decided.
    let price = |of: &str, amount: &str, since: &str, house: &str| {
        let words = [
            "ingredient",
            "price",
            of,
            "--package",
            "700 ml",
            "--price",
            amount,
            "--currency",
            "EUR",
            "--at",
            since,
            "--source",
            "invoice",
            "--house",
            house,
        ];
        done(folder, &words);
    };
    done(folder, &["backup", "priced.db"]);
    price("dry gin", "18.00", "2025-01-01", "theirs.db");
    price("dry gin", "21.00", "2025-06-01", "theirs.db");
    price("sake", "25.00", "2025-06-01", "theirs.db");
    price("dry gin", "19.50", "2025-09-01", "priced.db");
    let only = ["merge", "theirs.db", "--only", "prices", "--house", "priced.db"];
    let undecided = run(folder, &only);
    assert_eq!(undecided.status.code(), Some(2));
    let said = String::from_utf8(undecided.stdout).unwrap();
    assert!(
        said.contains("theirs 700 ml for 21.00 EUR, ours 700 ml for 19.50 EUR"),
        "{said}"
    );
    done(folder, &[&only[..], &["--take", "newer"]].concat());
    let prices = |name: &str| done(folder, &["ingredient", "price", name, "--house", "priced.db"]);
    assert!(prices("dry gin").contains("19.50") && !prices("dry gin").contains("21.00"));
    assert!(prices("sake").contains("25.00"));
    done(folder, &[&only[..], &["--take", "theirs"]].concat());
    assert!(prices("dry gin").contains("21.00") && prices("dry gin").contains("18.00"));

    // Where there is no house yet, a merge starts one; one that cannot be done does not.
    refused(folder, &["merge", "theirs.db", "--house", "new.db"]);
    assert!(!folder.join("new.db").exists());
    done(
        folder,
        &["merge", "theirs.db", "--house", "new.db", "--take", "theirs"],
    );
    assert!(done(folder, &["list", "--house", "new.db"]).contains("Ticket Stub"));
    for (arguments, word) in [
        (
            &["merge", "theirs.db", "--take", "mine"][..],
            "expected ours, theirs or newer",
        ),
        (
            &["merge", "theirs.db", "--only", "drinks"],
            "expected some of: specs",
        ),
        (
            &["merge", "theirs.db", "--house", "theirs.db"],
            "is this house itself",
        ),
        (
            &["merge", "theirs.db", "--theirs", "Point Failure"],
            "nearest: dash, Points Failure",
        ),
        (&["merge", "none.db"], "does not exist"),
        (&["merge", "theirs.md"], "is not a house of this program"),
    ] {
        let said = refused(folder, arguments);
        let word = if word.starts_with("nearest") {
            "is nothing that there is to decide about"
        } else {
            word
        };
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
}

#[test]
fn a_copy_and_a_look_at_the_file() {
    let folder = house();
    let folder = folder.path();
    assert!(done(folder, &["backup", "copy.db"]).starts_with("copied to copy.db ("));
    assert!(refused(folder, &["backup", "copy.db"]).contains("copy.db is there already"));
    assert_eq!(
        done(folder, &["list", "--house", "copy.db"]),
        done(folder, &["list"])
    );
    let sound = done(folder, &["verify", "--house", "copy.db"]);
    assert_eq!(sound.matches("in order").count(), 7, "{sound}");
    let changed = Command::new("sqlite3")
        .arg(folder.join("copy.db"))
        .arg("UPDATE spec_version SET spec_text = replace(spec_text, '60 ml rye', '50 ml rye')")
        .status();
    assert!(changed.unwrap().success());
    let output = run(folder, &["verify", "--house", "copy.db"]);
    let said = String::from_utf8(output.stdout).unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(
        said.contains("at fault  every result is current") && said.contains("Points Failure"),
        "{said}"
    );
    // Reading it brings it up to date.
    done(folder, &["list", "--house", "copy.db"]);
    done(folder, &["verify", "--house", "copy.db"]);
    assert!(refused(folder, &["verify", "--house", "none.db"]).contains("does not exist"));
}

/// What programs are told, and that the schemas see every change of it.
#[test]
fn json_keeps_to_its_schemas() {
    let folder = house();
    let folder = folder.path();
    let books = told(folder, &["export"], "", 0, "export");
    assert_eq!(books["books"].as_array().unwrap().len(), 2);
    // The same by its format, without the flag.
    let text = done(folder, &["export", "--format", "json"]);
    checked("export", &text, "export --format json");
    put(
        folder,
        "small.md",
        "# T\ndash: 0.8 ml\n\n## A\nglass: coupe\n<!-- c -->\n> n\n\n- 60 ml dry gin\n- 2 dashes orange bitters\n- top 30 ml soda water\n- stir\n\n## B\n- 60 ml dry ginn\n",
    );
    let small = fixture("books/lantern-halt.md");
    let small: String = small.lines().take(24).map(|l| format!("{l}\n")).collect();
    put(folder, "first.md", small);
    let first = told(folder, &["export", "first.md"], "", 0, "export");
    let open =
        |what: &str| what.ends_with("amount/nothing for text") || what.ends_with("unit/nothing for text");
    let slipped: Vec<String> = passed("export", &first)
        .into_iter()
        .filter(|w| !open(w))
        .collect();
    assert_eq!(slipped, [] as [&str; 0]);
    told(folder, &["export", "small.md"], "", 2, "add");

    let import = told(folder, &["import", "small.md", "--book", "X"], "", 0, "import");
    assert!(import["books"][0]["text"].as_str().unwrap().contains("dry ginn"));
    put(folder, "list.csv", fixture("exchange/porter-list.csv"));
    let import = told(
        folder,
        &["import", "list.csv", "--map", "2=ingredient,3=amount,4=unit,5=-"],
        "",
        0,
        "import",
    );
    assert_eq!(passed("import", &import), [] as [&str; 0]);
    let refused = told(folder, &["import", "small.md", "--add"], "", 2, "import");
    assert!(
        refused["added"]["faults"][0]["message"]
            .as_str()
            .unwrap()
            .contains("dry ginn")
    );
    let (_, status) = run_json(folder, &["import", "list.csv"], "");
    assert_eq!(status, 2);

    let written = told(
        folder,
        &["export", "--format", "csv", "--out", "o.csv"],
        "",
        0,
        "written",
    );
    assert_eq!(passed("written", &written), [] as [&str; 0]);
    let copied = told(folder, &["backup", "b.db"], "", 0, "backup");
    assert_eq!(
        copied["bytes"].as_u64().unwrap(),
        std::fs::metadata(folder.join("b.db")).unwrap().len()
    );
    let looked = told(folder, &["verify"], "", 0, "verify");
    assert_eq!((&looked["sound"], &looked["books"]), (&json!(true), &json!(2)));
    assert_eq!(passed("verify", &looked), [] as [&str; 0]);

    put(
        folder,
        "other.md",
        fixture("books/lantern-halt.md").replace("37.5 ml lemon juice", "25 ml lemon juice"),
    );
    done(folder, &["add", "other.md", "--house", "other.db"]);
    let merged = told(folder, &["merge", "other.db"], "", 2, "merge");
    assert_eq!(merged["done"], json!(false));
    let tried = told(
        folder,
        &["merge", "other.db", "--dry-run", "--take", "theirs"],
        "",
        0,
        "merge",
    );
    assert_eq!((&tried["done"], &tried["dry_run"]), (&json!(false), &json!(true)));
    let merged = told(folder, &["merge", "other.db", "--take", "theirs"], "", 0, "merge");
    assert_eq!(merged["done"], json!(true));
    assert_eq!(merged["recomputed"].as_array().unwrap().len(), 1);
    let open = |what: &str| {
        ["book", "ours_at", "theirs_at"]
            .iter()
            .any(|k| what.ends_with(&format!("{k}/nothing for text")))
    };
    let slipped: Vec<String> = passed("merge", &merged)
        .into_iter()
        .filter(|w| !open(w))
        .collect();
    assert_eq!(slipped, [] as [&str; 0]);
}

/// Text from outside reaches no terminal raw.
#[test]
fn words_of_others_are_made_visible() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "evil.csv", "drink,\u{1b}[31mred\nOwl,60 ml gin\n");
    let said = refused(folder, &["import", "evil.csv"]);
    assert!(!said.contains('\u{1b}'), "{said:?}");
    put(
        folder,
        "evil.html",
        "<title>x</title><script type=\"application/ld+json\">{\"@type\": \"Recipe\", \"name\": \"A\", \"recipeIngredient\": [\"2 oz gin\"], \"recipeInstructions\": \"Say \\u001b[31mred to it\"}</script>",
    );
    let output = run(folder, &["import", "evil.html"]);
    assert!(!String::from_utf8(output.stderr).unwrap().contains('\u{1b}'));
}

/// The example for readers with a notebook: Python's own sqlite3 for the figures, matplotlib for the plot. Where
/// `WASHLINE_PYTHON` names a Python (as the project's checks do), it has to have matplotlib; else the plot is either
/// made or refused with a word on what is missing.
#[test]
fn the_notebook_example_reads_and_plots() {
    let folder = house();
    let folder = folder.path();
    let named = std::env::var("WASHLINE_PYTHON").ok();
    let python = named.clone().unwrap_or_else(|| "python3".to_owned());
    let example = crate::project().join("crates/washline-core/examples/notebook.py");
    let ask = |more: &[&str]| {
        Command::new(&python)
            .arg(&example)
            .arg(folder.join(".local/share/washline/house.db"))
            .args(more)
            .env("PYTHONDONTWRITEBYTECODE", "1")
            .env("MPLCONFIGDIR", folder)
            .output()
            .unwrap_or_else(|e| panic!("{python}: {e}; the example needs Python 3"))
    };
    let read = ask(&[]);
    let table = String::from_utf8(read.stdout).unwrap();
    assert!(read.status.success(), "{}", String::from_utf8_lossy(&read.stderr));
    let listed = told(folder, &["list"], "", 0, "check");
    let with_method = listed["drinks"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|d| !d["structure"].is_null());
    let mut seen = 0;
    for drink in with_method {
        let line = table
            .lines()
            .find(|l| l.starts_with(drink["name"].as_str().unwrap()))
            .unwrap();
        let strength = drink["figures"]["abv_pct"]["value"].as_f64().unwrap();
        assert!(line.contains(&format!("{strength:5.1}")), "{line}: {strength}");
        seen += 1;
    }
    assert_eq!(table.lines().count(), seen + 1);

    let plotted = ask(&[folder.join("map.png").to_str().unwrap()]);
    let said = String::from_utf8_lossy(&plotted.stderr).into_owned();
    if plotted.status.success() {
        let bytes = std::fs::read(folder.join("map.png")).unwrap();
        assert!(bytes.starts_with(b"\x89PNG") && bytes.len() > 10_000);
    } else {
        assert!(named.is_none(), "{said}");
        assert!(said.contains("python3 -m pip install matplotlib"), "{said}");
        assert!(!folder.join("map.png").exists());
    }
}

/// Each book is a file of its own, by its title.
#[test]
fn files_of_one_title_are_not_exported_together() {
    let folder = folder_with(
        "a.md",
        "# Halt\n\n## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n",
    );
    std::fs::copy(folder.path().join("a.md"), folder.path().join("b.md")).unwrap();
    let output = run(folder.path(), &["export", "a.md", "b.md", "--out", "out/"]);
    assert_eq!(output.status.code(), Some(2));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(said.contains("b.md: a second book called `Halt`"), "{said}");
    assert!(!folder.path().join("out").exists());
}
