//! Tasting and learning as they are asked for on the command line.

use std::path::Path;

use serde_json::{Value, json};

use crate::common::{done, run};
use crate::json::{passed, told};

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert_eq!(output.status.code(), Some(2), "{arguments:?}");
    String::from_utf8(output.stderr).unwrap()
}

/// A house with nine stirred drinks and one shaken.
fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mut text = String::from(
        "# Halt\n\n## Wren\n- 60 ml white rum\n- 22.5 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain\n",
    );
    for n in 1..=9 {
        text.push_str(&format!(
            "\n## Owl {n}\n- 60 ml dry gin\n- {} ml dry vermouth\n- stir\n- strain\n",
            10 + n
        ));
    }
    std::fs::write(folder.path().join("halt.md"), text).unwrap();
    done(folder.path(), &["add", "halt.md"]);
    folder
}

#[test]
fn trials_are_kept_and_listed() {
    let folder = house();
    let folder = folder.path();
    let kept = done(
        folder,
        &[
            "taste",
            "wren",
            "--verdict",
            "Too tart, weak",
            "--note",
            "after the second sip",
            "--by",
            "the porter",
            "--at",
            "2025-11-20",
        ],
    );
    assert_eq!(
        kept,
        "Wren (Halt)\n  too tart; too weak  2025-11-20, the porter; version 1\n    after the second sip\n"
    );
    done(
        folder,
        &[
            "taste",
            "Wren",
            "--verdict",
            "right",
            "--at",
            "2025-11-21T18:30:00+01:00",
        ],
    );
    let listed = told(folder, &["taste", "Wren", "--list"], "", 0, "taste");
    assert_eq!(listed["tastings"][0]["at"], "2025-11-21T17:30:00Z");
    assert_eq!(listed["tastings"][1]["verdict"], json!(["too tart", "too weak"]));
    assert_eq!(passed("taste", &listed), [] as [&str; 0]);
    let text = done(folder, &["taste", "--list", "Wren"]);
    assert!(
        text.starts_with("Wren (Halt): 2 trials\n  right  2025-11-21; version 1\n"),
        "{text}"
    );
    assert_eq!(
        done(folder, &["taste", "--list", "Owl 1"]),
        "Owl 1: not tasted yet\n"
    );
    // Now, where nobody says when.
    let now = told(
        folder,
        &["taste", "Owl 1", "--verdict", "smells of rain"],
        "",
        0,
        "taste",
    );
    let at = now["tastings"][0]["at"].as_str().unwrap();
    assert!(
        at.len() == 20 && at.ends_with('Z') && at.starts_with("20"),
        "{at}"
    );
    // Readers of the file find them in a view.
    let asked = std::process::Command::new("sqlite3")
        .arg(folder.join(".local/share/washline/house.db"))
        .arg("SELECT drink, verdict, is_current FROM tastings WHERE drink = 'Wren'")
        .output()
        .unwrap();
    assert_eq!(
        String::from_utf8(asked.stdout).unwrap(),
        "Wren|too tart; too weak|1\nWren|right|1\n"
    );
}

#[test]
fn trials_that_are_none_are_refused() {
    let folder = house();
    let folder = folder.path();
    for (arguments, word) in [
        (&["taste", "Wrem", "--verdict", "right"][..], "nearest: Wren"),
        (&["taste", "--list", "Wrem"], "nearest: Wren"),
        (
            &["taste", "Wren", "--book", "Hall", "--verdict", "right"],
            "no drink `Wren` in `Hall`",
        ),
        (
            &["taste", "Wren", "--verdict", "right, too sweet"],
            "expected `right`, or what is off",
        ),
        (
            &["taste", "Wren", "--verdict", " "],
            "expected `right`, or what is off",
        ),
        (
            &["taste", "Wren", "--verdict", "right", "--at", "yesterday"],
            "expected a day such as 2025-11-24",
        ),
        (
            &["taste", "Wren", "--verdict", "right", "--at", "2025-13-01"],
            "expected a day such as 2025-11-24",
        ),
        (
            &["taste", "Wren", "--verdict", "right", "--version", "7"],
            "expected one from 1 to 1",
        ),
        (&["taste", "Wren"], "--verdict"),
        (
            &["taste", "Wren", "--list", "--verdict", "right"],
            "cannot be used with",
        ),
        (
            &["taste", "Wren", "--verdict", "right", "--house", "none.db"],
            "does not exist",
        ),
    ] {
        let said = refused(folder, arguments);
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
    assert_eq!(
        done(folder, &["taste", "--list", "Wren"]),
        "Wren: not tasted yet\n"
    );
    assert!(!folder.join("none.db").exists());
}

#[test]
fn ranges_are_learned_from_what_was_tasted_right() {
    let folder = house();
    let folder = folder.path();
    let said = refused(folder, &["ranges", "learn"]);
    assert!(
        said.contains("nothing to learn: 0 drinks tasted right; a structure needs at least 8"),
        "{said}"
    );
    for n in 1..=9 {
        let verdict = if n == 9 { "flat" } else { "right" };
        done(
            folder,
            &[
                "taste",
                &format!("Owl {n}"),
                "--verdict",
                verdict,
                "--at",
                "2025-11-20",
            ],
        );
    }
    let learned = told(folder, &["ranges", "learn"], "", 0, "learn");
    assert_eq!((&learned["drinks"], &learned["kept"]), (&json!(8), &json!(false)));
    let open =
        |what: &str| what.ends_with("/from/nothing for text") || what.ends_with("/to/nothing for text");
    let slipped: Vec<String> = passed("learn", &learned)
        .into_iter()
        .filter(|w| !open(w))
        .collect();
    assert_eq!(slipped, [] as [&str; 0]);
    let text = done(folder, &["ranges", "learn"]);
    assert!(
        text.starts_with("from 8 drinks tasted right\n\nstirred  8 drinks\n"),
        "{text}"
    );
    assert!(
        text.contains("not kept: --keep makes them the house's own"),
        "{text}"
    );
    assert!(!done(folder, &["ranges", "show", "stirred"]).contains("learned"));

    let kept = told(
        folder,
        &["ranges", "learn", "--keep", "--structure", "stirred"],
        "",
        0,
        "learn",
    );
    assert_eq!(kept["kept"], json!(true));
    let shown = told(folder, &["ranges", "show", "stirred"], "", 0, "ranges");
    for (of, measure) in kept["learned"]
        .as_array()
        .unwrap()
        .iter()
        .map(|l| (l, l["measure"].as_str().unwrap()))
    {
        let core = &shown["structures"][0]["bands"][measure]["core"];
        assert_eq!(
            (&core["low"], &core["high"]),
            (&of["low"], &of["high"]),
            "{measure}"
        );
        assert!(
            core["source"]
                .as_str()
                .unwrap()
                .starts_with("learned from 8 drinks tasted right, 20")
        );
    }
    // The house's own until now is shown beside what is learned again.
    let again = told(folder, &["ranges", "learn"], "", 0, "learn");
    assert_eq!(again["learned"][0]["usual"]["own"], json!(true));
}

#[test]
fn ranges_are_learned_from_all_from_a_book_or_from_a_list() {
    let folder = house();
    let folder = folder.path();
    let all = told(folder, &["ranges", "learn", "--from", "all"], "", 0, "learn");
    assert_eq!(all["drinks"], json!(10));
    // One sour is enough beside the published ones: it shifts the range gently.
    assert_eq!(all["too_few"], json!([]));
    let sour = |l: &&Value| l["structure"] == "shaken sour" && l["measure"] == "sugar_g_per_100ml";
    let of = all["learned"].as_array().unwrap().iter().find(sour).unwrap();
    assert_eq!(of["drinks"], json!(1));
    assert!(of["published"].as_u64().unwrap() >= 20);
    let names: String = (1..=9).map(|n| format!("- owl {n}\n")).collect();
    std::fs::write(folder.join("good.txt"), format!("# what we like\n\n{names}")).unwrap();
    let listed = told(folder, &["ranges", "learn", "--from", "good.txt"], "", 0, "learn");
    assert_eq!((&listed["drinks"], &listed["too_few"]), (&json!(9), &json!([])));
    let book = told(
        folder,
        &["ranges", "learn", "--from", "halt.md", "--house", "none.db"],
        "",
        0,
        "learn",
    );
    assert_eq!(book["learned"], all["learned"]);
    // A wider share is a wider range.
    let wide = told(
        folder,
        &["ranges", "learn", "--from", "all", "--share", "95"],
        "",
        0,
        "learn",
    );
    let low = |told: &Value| told["learned"][0]["low_percentile"]["value"].as_f64().unwrap();
    assert!(low(&wide) < low(&all));
    std::fs::write(folder.join("bad.txt"), "Owl 1\nOwll 2\n").unwrap();
    for (arguments, word) in [
        (
            &["ranges", "learn", "--from", "bad.txt"][..],
            "`Owll 2`: nearest Owl 2",
        ),
        (&["ranges", "learn", "--from", "none.txt"], "cannot be read"),
        (&["ranges", "learn", "--share", "99"], "expected 50 to 95"),
        (&["ranges", "learn", "--structure", "stired"], "nearest: stirred"),
    ] {
        let said = refused(folder, arguments);
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
}
