//! What is read at a glance: one line a drink on any screen, what wants looking at first, the rest on request.

use crate::common::{done_at, finished, folder_with, washline};

const LIST: &str = "# Screens

## A quiet sour
60 ml white rum, 22.5 ml lime juice, 20 ml simple syrup, shake, coupe

## The extraordinarily long name of a drink
60 ml white rum, 22.5 ml lime juice, 45 ml simple syrup, shake, coupe

## Stirred and right
60 ml rye whiskey, 25 ml sweet red vermouth, 2 dashes aromatic bitters, stir, coupe
";

#[test]
fn no_row_breaks_on_any_screen() {
    let folder = folder_with("list.md", LIST);
    for columns in [60, 80, 100, 120] {
        let text = done_at(folder.path(), &["check", "list.md"], columns);
        for line in text.lines() {
            assert!(line.chars().count() <= columns, "{columns}: {line:?}");
        }
        // Every drink's name stands whole, and its three figures in one line.
        for name in [
            "A quiet sour",
            "The extraordinarily long name of a drink",
            "Stirred and right",
        ] {
            assert!(text.contains(name), "{columns}: {text}");
        }
        // A row: the word of a verdict, then the three figures.
        let figures = |row: &str| {
            row.split_whitespace()
                .filter(|w| w.parse::<f64>().is_ok())
                .count()
        };
        let rows: Vec<&str> = text
            .lines()
            .filter(|l| l.contains("in balance  ") || l.contains("too sweet  "))
            .collect();
        assert_eq!(rows.len(), 3, "{columns}: {text}");
        assert!(rows.iter().all(|row| figures(row) >= 3), "{columns}: {text}");
    }
}

#[test]
fn what_is_told_on_request_keeps_to_the_screen_too() {
    let folder = folder_with("list.md", LIST);
    done_at(folder.path(), &["add", "list.md", "--house", "h.db"], 100);
    for columns in [60, 80, 100, 120] {
        for arguments in [
            &["check", "list.md", "--why"][..],
            &["check", "list.md", "--full"],
            &["check", "list.md", "--explain"],
            &["show", "the extraordinarily", "--book", "list.md"],
            &["mend", "the extraordinarily", "--book", "list.md"],
            &["audit", "list.md"],
            &["ranges", "show"],
            &["batch", "a quiet", "--book", "list.md", "--serves", "20"],
            &["ingredient", "show", "lime juice"],
            &["cost", "--house", "h.db"],
        ] {
            let mut command = washline(folder.path());
            command.args(arguments).env("COLUMNS", columns.to_string());
            let ran = finished(&mut command, b"");
            assert!(ran.status <= 1, "{arguments:?}: {}", ran.err);
            // A spec is shown as it was typed.
            for line in ran.out.lines().filter(|l| !LIST.contains(l.trim())) {
                assert!(
                    line.chars().count() <= columns,
                    "{columns} {arguments:?}: {line:?}"
                );
            }
        }
    }
}

#[test]
fn the_marks_of_an_audit_are_those_of_its_legend() {
    let folder = folder_with("list.md", LIST);
    let text = done_at(folder.path(), &["audit", "list.md"], 100);
    let legend = text
        .lines()
        .find(|l| l.contains("what would put it right"))
        .unwrap_or_else(|| panic!("{text}"));
    for line in text
        .lines()
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
    {
        let mark = line.trim_start().split(' ').next().unwrap();
        if mark.chars().count() == 1 && !mark.chars().all(char::is_alphanumeric) {
            assert!(legend.contains(&format!("{mark} ")), "{mark}: {legend}");
        }
    }
    assert!(
        text.contains("  ◆ ") && legend.starts_with("! fault in the build"),
        "{text}"
    );
}

#[test]
fn what_wants_looking_at_comes_first_with_its_one_reason() {
    let folder = folder_with("list.md", LIST);
    let text = done_at(folder.path(), &["check", "list.md"], 100);
    let at = |words: &str| text.find(words).unwrap_or_else(|| panic!("{words} in {text}"));
    assert!(at("too sweet") < at("A quiet sour"), "{text}");
    assert_eq!(text.matches("too sweet for a sour").count(), 1, "{text}");
}

#[test]
fn what_is_taken_for_granted_is_counted_and_told_on_request() {
    let folder = folder_with("list.md", LIST);
    let short = done_at(folder.path(), &["check", "list.md"], 100);
    assert!(short.contains("taken for granted"), "{short}");
    assert!(!short.contains("a dash:"), "{short}");
    let why = done_at(folder.path(), &["check", "list.md", "--why"], 100);
    assert!(why.contains("a dash:"), "{why}");
}

#[test]
fn a_list_of_the_house_names_each_book_once() {
    let folder = folder_with("list.md", LIST);
    done_at(folder.path(), &["add", "list.md", "--house", "h.db"], 100);
    for columns in [60, 80, 100, 120] {
        let text = done_at(folder.path(), &["list", "--house", "h.db"], columns);
        assert_eq!(text.matches("Screens").count(), 1, "{text}");
        for line in text.lines() {
            assert!(line.chars().count() <= columns, "{columns}: {line:?}");
        }
    }
}

#[test]
fn without_a_command_it_says_how_to_begin_or_what_the_house_holds() {
    let folder = folder_with("list.md", LIST);
    let begin = done_at(folder.path(), &["--house", "h.db"], 80);
    assert_eq!(begin.lines().count(), 3, "{begin}");
    assert!(
        begin.contains("washline check") && begin.contains("washline add"),
        "{begin}"
    );
    assert!(!folder.path().join("h.db").exists());
    done_at(folder.path(), &["add", "list.md", "--house", "h.db"], 80);
    let held = done_at(folder.path(), &["--house", "h.db"], 80);
    assert!(held.contains("Screens: 3 drinks"), "{held}");
}
