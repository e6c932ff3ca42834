//! A book put into its clean form, on the screen or in its file.

use std::path::Path;

fn run(folder: &Path, arguments: &[&str]) -> (String, String, i32) {
    let output = crate::washline(folder).args(arguments).output().unwrap();
    (
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
        output.status.code().unwrap(),
    )
}

const TYPED: &str = "# Phone\n\n## Fog Bell\n2 gin, 1 lemon, 3/4 honey syrup, shake, coupe, lemon twist\n";
const CLEAN: &str = "# Phone\n\n## Fog Bell\nglass: coupe\n\n- 2 oz gin\n- 1 oz lemon juice\n- 3/4 oz honey syrup\n- shake\n- garnish lemon twist\n";

#[test]
fn it_is_printed_and_the_file_left_alone() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("phone.md");
    std::fs::write(&book, TYPED).unwrap();
    let (out, notes, status) = run(folder.path(), &["tidy", "phone.md"]);
    assert_eq!((out.as_str(), notes.as_str(), status), (CLEAN, "", 0));
    assert_eq!(std::fs::read_to_string(&book).unwrap(), TYPED);
}

#[test]
fn it_is_put_in_the_file_where_that_is_asked() {
    let folder = tempfile::tempdir().unwrap();
    let book = folder.path().join("phone.md");
    std::fs::write(&book, format!("\u{feff}{TYPED}")).unwrap();
    let (out, _, status) = run(folder.path(), &["tidy", "phone.md", "--write"]);
    assert_eq!(
        (out.as_str(), status),
        ("phone.md: written in its clean form\n", 0)
    );
    assert_eq!(
        std::fs::read_to_string(&book).unwrap(),
        format!("\u{feff}{CLEAN}")
    );
    let (out, _, status) = run(folder.path(), &["tidy", "phone.md", "--write"]);
    assert_eq!((out.as_str(), status), ("phone.md: is in its clean form\n", 0));
    let (_, notes, status) = run(folder.path(), &["tidy", "-", "--write"]);
    assert!(notes.contains("standard input") && status == 2, "{notes}");
}

#[test]
fn what_does_not_read_is_left_and_said() {
    let folder = tempfile::tempdir().unwrap();
    let text = "## One\n2 oz gin\nstir\n\n## Two\n50 ml gim\nshake\n";
    std::fs::write(folder.path().join("b.md"), text).unwrap();
    let (out, notes, status) = run(folder.path(), &["tidy", "b.md"]);
    assert_eq!(out, "## One\n- 2 oz gin\n- stir\n\n## Two\n50 ml gim\nshake\n");
    assert_eq!(status, 2);
    assert!(notes.contains("left as typed until it reads: Two"), "{notes}");
}

/// A drink's name where a file is expected: what to ask instead is said, by whatever reads a book.
#[test]
fn a_drink_in_the_place_of_a_file_is_told() {
    let folder = tempfile::tempdir().unwrap();
    for command in ["tidy", "settle", "check", "add", "audit"] {
        let (_, said, status) = run(folder.path(), &[command, "fog bell"]);
        assert_eq!(status, 2, "{command}: {said}");
        let asked = command == "check" || said.contains("`washline show \"fog bell\"`");
        assert!(asked, "{command}: {said}");
    }
}
