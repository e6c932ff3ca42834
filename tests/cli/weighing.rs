//! Weighing as it is done at the bar: kept, listed, fitted, taken back, and what is refused.

use crate::json::{run, told};

fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let mut book = String::from("# Bar\n");
    for (i, spirit) in [30, 40, 50, 60, 70, 80, 90].iter().enumerate() {
        book.push_str(&format!(
            "\n## Drink {i}\n- {spirit} ml gin (40 %)\n- 30 ml lime juice\n- 30 ml simple syrup 1:1 by mass\n- shake\n- strain\n"
        ));
    }
    told(folder.path(), &["add", "-", "--house", "bar.db"], &book, 0, "add");
    folder
}

fn weigh(folder: &std::path::Path, drink: &str, before: &str, after: &str) -> serde_json::Value {
    told(
        folder,
        &[
            "weigh",
            drink,
            "--before",
            before,
            "--after",
            after,
            "--house",
            "bar.db",
            "--at",
            "2026-11-25",
        ],
        "",
        0,
        "weigh",
    )
}

#[test]
fn a_house_weighs_fits_and_takes_back() {
    let folder = house();
    let first = weigh(folder.path(), "drink 0", "97.4", "134");
    assert_eq!(first["recomputed"][0]["drink"], "Drink 0");
    assert_eq!(first["weighings"][0]["before_g"], "97.4");
    let few = told(
        folder.path(),
        &["weigh", "--fit", "shake", "--house", "bar.db"],
        "",
        2,
        "error",
    );
    assert!(
        few["error"]["message"]
            .as_str()
            .unwrap()
            .contains("a fit needs 6"),
        "{few}"
    );
    for (i, (before, after)) in [
        ("107", "151"),
        ("116", "167"),
        ("126", "184"),
        ("135", "200"),
        ("145", "217"),
        ("154", "232"),
    ]
    .iter()
    .enumerate()
    {
        weigh(folder.path(), &format!("Drink {}", i + 1), before, after);
    }
    let fitted = told(
        folder.path(),
        &["weigh", "--fit", "shake", "--keep", "--house", "bar.db"],
        "",
        0,
        "weigh",
    );
    assert_eq!(
        (&fitted["fit"]["version"], &fitted["fit"]["weighings"]),
        (&1.into(), &7.into())
    );
    let (text, status) = run(
        folder.path(),
        &["weigh", "--fit", "shake", "--house", "bar.db"],
        "",
    );
    assert_eq!(status, 0);
    assert!(text.contains("\"residuals\""), "{text}");
    let undone = told(
        folder.path(),
        &["weigh", "--undo", "shake", "--house", "bar.db"],
        "",
        0,
        "weigh",
    );
    assert!(undone["fit"].is_null());
}

#[test]
fn what_is_no_weighing_is_refused_and_nothing_kept() {
    let folder = house();
    for (arguments, said) in [
        (
            vec!["weigh", "drink 0", "--before", "140", "--after", "97"],
            "less than",
        ),
        (
            vec!["weigh", "drink 0", "--before", "0", "--after", "97"],
            "expected grams",
        ),
        (
            vec!["weigh", "drink 0", "--before", "1e3", "--after", "97"],
            "expected grams",
        ),
        (
            vec![
                "weigh", "drink 0", "--before", "97", "--after", "140", "--temp", "200",
            ],
            "expected -40 to 60",
        ),
        (
            vec!["weigh", "drink 9", "--before", "97", "--after", "140"],
            "no drink",
        ),
        (vec!["weigh", "--forget", "7"], "no weighing 7"),
        (vec!["weigh", "--undo", "stir"], "no fit"),
    ] {
        let mut arguments = arguments.clone();
        arguments.extend(["--house", "bar.db"]);
        let told = told(folder.path(), &arguments, "", 2, "error");
        assert!(
            told["error"]["message"].as_str().unwrap().contains(said),
            "{arguments:?}: {told}"
        );
    }
    for when in ["last summer", "2025-02-30", "25:00"] {
        let arguments = [
            "weigh", "drink 0", "--before", "97", "--after", "140", "--at", when, "--house", "bar.db",
        ];
        let told = told(folder.path(), &arguments, "", 2, "error");
        let said = told["error"]["message"].as_str().unwrap();
        assert!(said.contains("expected a day such as"), "{when}: {said}");
    }
    let kept = told(
        folder.path(),
        &["weigh", "--list", "--house", "bar.db"],
        "",
        0,
        "weigh",
    );
    assert_eq!(kept["weighings"].as_array().unwrap().len(), 0);
}

#[test]
fn a_drink_that_was_weighed_is_mended_and_kept() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let book = "# Bar\n\n## Sun\n- 60 ml gin (40 %)\n- 22.5 ml lemon juice\n- 35 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
    told(folder, &["add", "-", "--house", "bar.db"], book, 0, "add");
    weigh(folder, "Sun", "120", "170");
    let said = crate::common::done(folder, &["mend", "Sun", "--keep", "--house", "bar.db"]);
    assert!(said.contains("kept in the house: version 2"), "{said}");
    assert!(
        said.contains("water from ice as the old spec was weighed"),
        "{said}"
    );
    let said = crate::common::done(
        folder,
        &["change", "Sun", "--set", "garnish=mint", "--house", "bar.db"],
    );
    assert!(
        !said.contains("weigh the new one"),
        "of version 2 there is no weighing: {said}"
    );
}
