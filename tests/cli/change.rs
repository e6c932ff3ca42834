//! One line of a spec changed, and a spec edited: looked at first, kept where that is asked, nothing lost.

use std::path::Path;
use std::process::Output;

use crate::json::told;

fn with_editor(folder: &Path, editor: Option<&str>, arguments: &[&str]) -> Output {
    let mut command = crate::washline(folder);
    if let Some(editor) = editor {
        command.env("VISUAL", editor);
    }
    command.env("TMPDIR", folder).env("PATH", "/usr/bin:/bin");
    let output = command
        .args(arguments)
        .stdin(std::process::Stdio::null())
        .output()
        .unwrap();
    let notes = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(!notes.contains("panicked"), "{arguments:?}: {notes}");
    output
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    with_editor(folder, None, arguments)
}

fn done(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    assert!(output.status.success(), "{arguments:?}: {}", notes(&output));
    String::from_utf8(output.stdout).unwrap()
}

fn notes(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn house() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let book = crate::project().join("fixtures/books/lantern-halt.md");
    std::fs::copy(book, folder.path().join("halt.md")).unwrap();
    done(folder.path(), &["add", "halt.md"]);
    folder
}

fn text(folder: &Path) -> String {
    done(folder, &["export"])
}

const LINE: [&str; 2] = ["22.5 ml lemon juice", "20 ml lemon juice"];

#[test]
fn a_change_is_shown_first_and_kept_as_a_version_where_that_is_asked() {
    let folder = house();
    let folder = folder.path();
    let before = text(folder);
    let look = told(
        folder,
        &["change", "branch line rain", LINE[0], LINE[1]],
        "",
        0,
        "change",
    );
    assert_eq!(look["kept"], serde_json::Value::Null);
    assert_eq!(text(folder), before, "looking keeps nothing");
    let acid = |which: &str| {
        look[which]["figures"]["acid_g_per_100ml"]["value"]
            .as_f64()
            .unwrap()
    };
    assert!(acid("after") < acid("before"));
    let shown = done(folder, &["change", "branch line rain", LINE[0], LINE[1]]);
    for word in [
        "was  - 22.5 ml lemon juice",
        "is  - 20 ml lemon juice",
        "tartness",
        "water gained",
        "verdict",
        "--keep",
    ] {
        assert!(shown.contains(word), "{word}: {shown}");
    }
    let kept = told(
        folder,
        &["change", "branch line", LINE[0], LINE[1], "--keep"],
        "",
        0,
        "change",
    );
    assert_eq!(
        kept["kept"],
        serde_json::json!({ "from_version": 1, "version": 2 })
    );
    assert_eq!(kept["after"]["figures"], look["after"]["figures"]);
    let shows = told(folder, &["show", "branch line rain"], "", 0, "show");
    assert_eq!(
        shows["drinks"][0]["figures"], look["after"]["figures"],
        "what was shown is what is poured"
    );
    // Of the whole book only that line is another.
    let after = text(folder);
    let differs: Vec<(&str, &str)> = before
        .lines()
        .zip(after.lines())
        .filter(|(a, b)| a != b)
        .collect();
    assert_eq!(differs, [("- 22.5 ml lemon juice", "- 20 ml lemon juice")]);
    done(
        folder,
        &[
            "change",
            "branch line rain",
            "--set",
            "glass=nick and nora",
            "--add",
            "2 dashes orange bitters",
            "--drop",
            "fine strain",
            "--add",
            "strain",
            "--keep",
        ],
    );
    let shows = told(folder, &["show", "branch line rain"], "", 0, "show");
    assert_eq!(
        (
            &shows["drinks"][0]["version"],
            &shows["drinks"][0]["glass"]["name"]
        ),
        (&3.into(), &"nick and nora".into())
    );
}

#[test]
fn a_book_file_is_changed_in_its_place_and_keeps_its_mark_and_line_ends() {
    let folder = house();
    let folder = folder.path();
    let path = folder.join("crlf.md");
    let typed = format!(
        "\u{feff}{}",
        std::fs::read_to_string(folder.join("halt.md"))
            .unwrap()
            .replace('\n', "\r\n")
    );
    std::fs::write(&path, &typed).unwrap();
    let arguments = [
        "change",
        "branch line rain",
        LINE[0],
        LINE[1],
        "--book",
        "crlf.md",
    ];
    told(folder, &arguments, "", 0, "change");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), typed);
    let mut write = arguments.to_vec();
    write.push("--write");
    let written = told(folder, &write, "", 0, "change");
    assert!(written["written"].as_str().unwrap().ends_with("crlf.md"));
    let at = typed.find("## Branch Line Rain").unwrap();
    let wanted = format!("{}{}", &typed[..at], typed[at..].replacen(LINE[0], LINE[1], 1));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), wanted);
}

#[test]
fn what_cannot_be_changed_is_told_and_nothing_is_kept() {
    let folder = house();
    let folder = folder.path();
    let before = text(folder);
    for (arguments, says) in [
        (
            &["22 ml lemon juice", "20 ml lemon juice"][..],
            "22.5 ml lemon juice",
        ),
        (&["shake", "20 ml frobnitz"], "frobnitz"),
        (&["--set", "colour=red"], "no particular"),
        (&["--set", "glass"], "expected a particular"),
        (&["--set", "price=dear"], "price"),
        (&["--drop", "no such line"], "no line"),
        (&[], "change what?"),
        (&[LINE[0], LINE[0]], "nothing changes"),
    ] {
        let mut all = vec!["change", "branch line rain", "--keep"];
        all.extend(arguments);
        let output = run(folder, &all);
        assert_eq!(output.status.code(), Some(2), "{all:?}");
        assert!(notes(&output).contains(says), "{all:?}: {}", notes(&output));
        told(folder, &all, "", 2, "error");
    }
    let nobody = run(folder, &["change", "branch lime rain", LINE[0], LINE[1]]);
    assert!(
        notes(&nobody).contains("nearest: Branch Line Rain"),
        "{}",
        notes(&nobody)
    );
    assert_eq!(text(folder), before);
    // Two lists with a drink of that name.
    let other = "# Other\n\n## Branch Line Rain\n- 50 ml dry gin\n- stir\n";
    std::fs::write(folder.join("other.md"), other).unwrap();
    done(folder, &["add", "other.md"]);
    let several = run(folder, &["change", "branch line rain", "stir", "shake"]);
    assert!(notes(&several).contains("--of TITLE"), "{}", notes(&several));
    done(
        folder,
        &[
            "change",
            "branch line rain",
            "stir",
            "shake",
            "--of",
            "Other",
            "--keep",
        ],
    );
}

#[test]
fn an_edit_is_kept_only_if_it_reads_and_nothing_typed_is_lost() {
    let folder = house();
    let folder = folder.path();
    let before = text(folder);
    let edit = ["edit", "branch line rain"];
    assert!(notes(&run(folder, &edit)).contains("VISUAL"));
    // Nothing is changed, and no draft is left.
    let same = with_editor(folder, Some("true"), &edit);
    assert!(same.status.success() && String::from_utf8_lossy(&same.stdout).contains("nothing was changed"));
    let drafts = || -> Vec<std::path::PathBuf> {
        let all = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path());
        all.filter(|p| p.file_name().unwrap().to_str().unwrap().starts_with("washline-"))
            .collect()
    };
    assert!(drafts().is_empty());
    // What reads is kept.
    let kept = with_editor(folder, Some("sed -i 's/22.5 ml lemon/20 ml lemon/'"), &edit);
    assert!(kept.status.success(), "{}", notes(&kept));
    assert!(String::from_utf8_lossy(&kept.stdout).contains("version 2, made from version 1"));
    assert!(drafts().is_empty());
    assert_eq!(
        text(folder),
        before
            .replacen("## Branch Line Rain", "\u{0}", 1)
            .replacen("\u{0}", "## Branch Line Rain", 1)
            .lines()
            .scan(false, |in_it, line| {
                *in_it = if line.starts_with("## ") {
                    line == "## Branch Line Rain"
                } else {
                    *in_it
                };
                Some(if *in_it {
                    line.replace("22.5 ml lemon", "20 ml lemon")
                } else {
                    line.to_owned()
                })
            })
            .map(|l| l + "\n")
            .collect::<String>()
    );
    // What does not is told, and left where it can be gone on with.
    let now = text(folder);
    let bad = with_editor(folder, Some("sed -i 's/London dry gin/frobnitz/'"), &edit);
    assert_eq!(bad.status.code(), Some(2));
    assert!(
        notes(&bad).contains("_frobnitz_") && notes(&bad).contains("--from"),
        "{}",
        notes(&bad)
    );
    assert_eq!(text(folder), now);
    let [draft] = drafts().try_into().unwrap();
    assert!(std::fs::read_to_string(&draft).unwrap().contains("frobnitz"));
    let from = draft.to_str().unwrap();
    let mended = with_editor(
        folder,
        Some("sed -i 's/frobnitz/genever/'"),
        &["edit", "branch line rain", "--from", from],
    );
    assert!(mended.status.success(), "{}", notes(&mended));
    assert!(text(folder).contains("genever"));
    // Another name is another drink.
    let renamed = with_editor(folder, Some("sed -i 's/## Branch/## Twig/'"), &edit);
    assert!(
        renamed.status.code() == Some(2) && notes(&renamed).contains("name"),
        "{}",
        notes(&renamed)
    );
    // An editor that fails keeps nothing.
    let failed = with_editor(folder, Some("false"), &edit);
    assert_eq!(failed.status.code(), Some(2));
    // A book file.
    let book = ["edit", "branch line rain", "--book", "halt.md"];
    let typed = std::fs::read_to_string(folder.join("halt.md")).unwrap();
    assert!(
        with_editor(folder, Some("sed -i 's/^- shake$/- shake 10 s/'"), &book)
            .status
            .success()
    );
    let at = typed.find("## Branch Line Rain").unwrap();
    let wanted = format!(
        "{}{}",
        &typed[..at],
        typed[at..].replacen("- shake\n", "- shake 10 s\n", 1)
    );
    assert_eq!(std::fs::read_to_string(folder.join("halt.md")).unwrap(), wanted);
}

#[test]
fn a_printed_difference_is_that_of_the_printed_figures() {
    let folder = house();
    let folder = folder.path();
    let mut told = 0;
    for ml in ["19", "20.5", "21", "23", "24.5", "26", "27.5", "28"] {
        let shown = done(
            folder,
            &[
                "change",
                "branch line rain",
                LINE[0],
                &format!("{ml} ml lemon juice"),
            ],
        );
        for row in shown.lines() {
            let cells: Vec<f64> = row
                .split_whitespace()
                .filter_map(|cell| cell.parse().ok())
                .collect();
            if let [.., before, after, change] = cells[..]
                && row
                    .split_whitespace()
                    .last()
                    .is_some_and(|cell| cell.starts_with(['+', '-']))
            {
                assert!((after - before - change).abs() < 1e-9, "{row}");
                told += 1;
            }
        }
    }
    assert!(told > 30, "{told}");
}
