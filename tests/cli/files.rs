//! Files beside the house: whole or as they were, each book in a file of its own, and never over what is being read.

use std::path::{Path, PathBuf};
use std::process::Output;

use crate::common::{done, put, run};
use crate::washline;

fn bytes(folder: &Path, name: &str) -> Vec<u8> {
    std::fs::read(folder.join(name)).unwrap()
}

fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = run(folder, arguments);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{arguments:?}: {said}");
    said
}

/// The names in a folder, sorted: what a failure leaves behind shows here.
fn names(folder: &Path) -> Vec<String> {
    let mut all: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    all.sort();
    all
}

fn list(title: &str, drink: &str) -> String {
    format!("# {title}\n\n## {drink}\n\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n")
}

/// A house of two books whose titles come to one file name.
fn alike() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "one.md", list("Early/Late", "Owl"));
    put(folder.path(), "two.md", list("Early-Late", "Wren"));
    done(folder.path(), &["add", "one.md", "two.md"]);
    folder
}

/// The program under a limit on the size of what it may write, in blocks of 512 bytes: the writes beyond it fail as
/// they do on a full disk, or kill it in the middle of one.
#[cfg(unix)]
fn cramped(folder: &Path, blocks: u32, killed: bool, arguments: &[&str]) -> Output {
    let shell = format!(
        "{}ulimit -f {blocks}; exec \"$0\" \"$@\"",
        if killed { "" } else { "trap '' XFSZ; " }
    );
    let program = washline(folder).get_program().to_owned();
    let mut command = std::process::Command::new("/bin/sh");
    command
        .arg("-c")
        .arg(shell)
        .arg(program)
        .args(arguments)
        .current_dir(folder)
        .env_clear()
        .env("HOME", folder)
        .env("COLUMNS", "100");
    command.output().unwrap()
}

#[test]
fn titles_that_come_to_one_name_have_files_apart() {
    let folder = alike();
    let folder = folder.path();
    done(folder, &["export", "--out", "lists/"]);
    assert_eq!(names(&folder.join("lists")), ["early-late-2.md", "early-late.md"]);
    let both = [
        bytes(folder, "lists/early-late.md"),
        bytes(folder, "lists/early-late-2.md"),
    ];
    assert_eq!(both, [bytes(folder, "one.md"), bytes(folder, "two.md")]);

    done(folder, &["export", "--format", "csv", "--out", "all.csv"]);
    done(folder, &["import", "all.csv", "--to", "back"]);
    assert_eq!(names(&folder.join("back")), ["early-late-2.md", "early-late.md"]);
}

/// The name of a file has room for so many bytes, a title for more.
#[test]
fn a_long_title_has_a_file_too() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let long = "ä very long list ".repeat(40);
    put(folder, "one.md", list(&format!("{long}a"), "Owl"));
    put(folder, "two.md", list(&format!("{long}b"), "Wren"));
    done(folder, &["add", "one.md", "two.md"]);
    done(folder, &["export", "--out", "lists/"]);
    assert_eq!(names(&folder.join("lists")).len(), 2);
}

#[test]
fn several_files_are_written_all_or_none() {
    let folder = alike();
    let folder = folder.path();
    // The second file cannot be written: a folder has its name.
    std::fs::create_dir_all(folder.join("lists/early-late-2.md")).unwrap();
    put(folder, "lists/early-late.md", "as it was");
    refused(folder, &["export", "--out", "lists/", "--replace"]);
    assert_eq!(bytes(folder, "lists/early-late.md"), b"as it was");
    assert_eq!(names(&folder.join("lists")), ["early-late-2.md", "early-late.md"]);

    done(folder, &["export", "--format", "csv", "--out", "all.csv"]);
    std::fs::create_dir_all(folder.join("back/early-late-2.md")).unwrap();
    refused(folder, &["import", "all.csv", "--to", "back"]);
    assert_eq!(names(&folder.join("back")), ["early-late-2.md"]);
}

#[test]
#[cfg(unix)]
fn a_rewrite_that_fails_leaves_the_good_file() {
    let folder = alike();
    let folder = folder.path();
    done(folder, &["report", "menu.html"]);
    done(folder, &["export", "--format", "json", "--out", "out.json"]);
    let good = [bytes(folder, "menu.html"), bytes(folder, "out.json")];
    let before = names(folder);
    for killed in [false, true] {
        let page = cramped(
            folder,
            8,
            killed,
            &["report", "menu.html", "--house", "house.db", "one.md", "two.md"],
        );
        assert!(!page.status.success(), "{page:?}");
        let sheet = cramped(
            folder,
            1,
            killed,
            &[
                "export",
                "one.md",
                "two.md",
                "--format",
                "json",
                "--out",
                "out.json",
                "--replace",
            ],
        );
        assert!(!sheet.status.success(), "{sheet:?}");
        if !killed {
            assert_eq!((page.status.code(), sheet.status.code()), (Some(2), Some(2)));
            assert_eq!(names(folder), before);
        }
        assert_eq!(
            [bytes(folder, "menu.html"), bytes(folder, "out.json")],
            good,
            "killed: {killed}"
        );
    }
}

/// Killed in the middle, a backup leaves no file of that name: what has the name is whole.
#[test]
#[cfg(unix)]
fn a_backup_that_is_killed_has_no_name() {
    let folder = alike();
    let folder = folder.path();
    let house = ["--house", "house.db"];
    done(folder, &["add", "one.md", "two.md", house[0], house[1]]);
    let blocks = u32::try_from(bytes(folder, "house.db").len() / 512).unwrap();
    for part in [0, 1, 3, blocks / 4, blocks / 2, blocks - 9] {
        for killed in [false, true] {
            let run = cramped(folder, part, killed, &["backup", "copy.db", house[0], house[1]]);
            assert!(
                !run.status.success(),
                "{part} of {blocks} blocks, killed {killed}: {run:?}"
            );
            for name in ["copy.db", "copy.db-wal", "copy.db-journal", "copy.db-shm"] {
                assert!(
                    !folder.join(name).exists(),
                    "{name} at {part} of {blocks}, killed {killed}"
                );
            }
        }
    }
    done(folder, &["backup", "copy.db", house[0], house[1]]);
    done(folder, &["verify", "--house", "copy.db"]);
}

#[test]
fn nothing_is_written_over_the_house_or_what_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "one.md", list("One", "Owl"));
    put(folder, "page.html", list("Page", "Jay"));
    for house in ["three.db", "house.html", "other.db"] {
        done(folder, &["add", "one.md", "--house", house]);
    }
    let mut cases: Vec<(Vec<&str>, &str)> = vec![
        (
            vec![
                "export",
                "--replace",
                "--format",
                "csv",
                "--out",
                "three.db",
                "--house",
                "three.db",
            ],
            "three.db",
        ),
        (
            vec![
                "export",
                "--replace",
                "--out",
                "./three.db",
                "--house",
                "three.db",
            ],
            "three.db",
        ),
        (
            vec![
                "export",
                "one.md",
                "--replace",
                "--out",
                "three.db",
                "--house",
                "three.db",
            ],
            "three.db",
        ),
        (
            vec![
                "export",
                "one.md",
                "--replace",
                "--out",
                "other.db",
                "--house",
                "three.db",
            ],
            "other.db",
        ),
        (
            vec!["report", "house.html", "--replace", "--house", "house.html"],
            "house.html",
        ),
        (
            vec![
                "export",
                "one.md",
                "--replace",
                "--format",
                "csv",
                "--out",
                "one.md",
            ],
            "one.md",
        ),
        (vec!["report", "page.html", "page.html", "--replace"], "page.html"),
        // A book that the house was made of, by the name it had.
        (
            vec![
                "export",
                "--replace",
                "--format",
                "csv",
                "--out",
                "one.md",
                "--house",
                "three.db",
            ],
            "one.md",
        ),
    ];
    if cfg!(unix) {
        #[cfg(unix)]
        {
            std::os::unix::fs::symlink("three.db", folder.join("link.csv")).unwrap();
            std::fs::hard_link(folder.join("one.md"), folder.join("same.md")).unwrap();
        }
        cases.push((
            vec!["export", "--replace", "--out", "link.csv", "--house", "three.db"],
            "three.db",
        ));
        cases.push((
            vec!["export", "one.md", "--replace", "--out", "same.md"],
            "one.md",
        ));
    }
    for (arguments, file) in cases {
        let before = bytes(folder, file);
        let said = refused(folder, &arguments);
        assert!(bytes(folder, file) == before, "{arguments:?} changed {file}");
        assert!(said.contains("left as it is"), "{arguments:?}: {said}");
    }
    done(folder, &["list", "--house", "three.db"]);
}

#[test]
#[cfg(unix)]
fn a_link_and_a_mode_are_kept() {
    use std::os::unix::fs::PermissionsExt;
    let folder = alike();
    let folder = folder.path();
    std::fs::create_dir(folder.join("far")).unwrap();
    put(folder, "far/list.json", "old");
    std::fs::set_permissions(folder.join("far/list.json"), PermissionsExt::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("far/list.json", folder.join("list.json")).unwrap();
    done(
        folder,
        &["export", "--format", "json", "--out", "list.json", "--replace"],
    );
    assert!(folder.join("list.json").is_symlink());
    let real = folder.join("far/list.json");
    assert_ne!(std::fs::read(&real).unwrap(), b"old");
    assert_eq!(
        std::fs::metadata(&real).unwrap().permissions().mode() & 0o777,
        0o640
    );
    assert_eq!(names(&folder.join("far")), ["list.json"]);
    // What may not be written is not replaced either.
    std::fs::set_permissions(&real, PermissionsExt::from_mode(0o444)).unwrap();
    let good = std::fs::read(&real).unwrap();
    let said = refused(
        folder,
        &[
            "export",
            "--format",
            "book",
            "--book",
            "Early/Late",
            "--out",
            "list.json",
            "--replace",
        ],
    );
    assert!(said.contains("read-only"), "{said}");
    assert_eq!(std::fs::read(&real).unwrap(), good);
    // A link that points nowhere yet is written through.
    std::os::unix::fs::symlink("far/new.json", folder.join("new.json")).unwrap();
    done(folder, &["export", "--format", "json", "--out", "new.json"]);
    assert!(folder.join("new.json").is_symlink() && folder.join("far/new.json").is_file());
    // A stream is written to as it is.
    done(
        folder,
        &["export", "--format", "json", "--out", "/dev/null", "--replace"],
    );
}

#[test]
fn notes_for_several_bars_are_written_all_or_none() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let book = crate::project().join("fixtures/books/lantern-halt.md");
    let (book, stock) = (
        book.to_str().unwrap().to_owned(),
        "ounce: US\njigger set: 25 ml, 50 ml\n",
    );
    put(folder, "north.md", format!("# North\n{stock}"));
    put(folder, "south.md", format!("# South\n{stock}"));
    std::fs::create_dir_all(folder.join("notes/south-note.md")).unwrap();
    let to: Vec<&str> = vec!["--to", "north.md", "--to", "south.md", "--notes", "notes"];
    refused(folder, &[&["travel", "--book", &book], &to[..]].concat());
    assert_eq!(names(&folder.join("notes")), ["south-note.md"]);
}

/// Code with what it imports in a group spelt out below it: `io::copy` of `use std::io::{self, copy}`.
fn spelt_out(code: &str) -> String {
    let mut all = code.to_owned();
    for module in ["fs::", "io::"] {
        for (at, _) in code.match_indices(&format!("{module}{{")) {
            let group = code[at + module.len() + 1..].split('}').next().unwrap();
            for name in group.split(',') {
                all.push_str(&format!("\n{module}{}", name.trim()));
            }
        }
    }
    all
}

/// Each place in the sources where one of some words stands, tests of modules left out.
fn sources_with(words: &[&str], but: &[&str]) -> Vec<(PathBuf, String)> {
    let mut found: Vec<(PathBuf, String)> = Vec::new();
    let mut folders = vec![crate::project().join("crates")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs")
                && !but.iter().any(|but| path.ends_with(but))
            {
                let text = std::fs::read_to_string(&path).unwrap();
                let code = spelt_out(text.split("#[cfg(test)]").next().unwrap_or_default());
                for word in words {
                    found.extend(code.matches(word).map(|word| (path.clone(), word.to_owned())));
                }
            }
        }
    }
    found
}

/// Ways to write a file.
const WAYS: [&str; 9] = [
    "fs::write",
    "File::create",
    "File::options",
    "OpenOptions",
    "fs::rename",
    "fs::copy",
    "io::copy",
    "NamedTempFile",
    ".persist(",
];

/// Every file that the program writes beside the house goes through one function.
#[test]
fn one_function_writes_files() {
    let mut found = sources_with(&WAYS, &["washline-core/src/files.rs"]);
    found.sort();
    // A house that cannot be read where it lies is copied into a folder of this process.
    let of_a_house = crate::project().join("crates/washline-core/src/store/open.rs");
    let allowed = ["File::options", "io::copy"].map(|way| (of_a_house.clone(), way.to_owned()));
    assert_eq!(found, allowed);
    // In the one place there is something to find, and what is found here is found anywhere.
    assert!(!sources_with(&WAYS, &["store/open.rs"]).is_empty());
    let has = |code: &str| WAYS.iter().any(|way| spelt_out(code).contains(way));
    for code in [
        "std::fs::write(path, text)?;",
        "let file = File::create_new(path)?;",
        "let file = std::fs::File::options().append(true).open(path)?;",
        "OpenOptions::new().write(true).open(path)?;",
        "fs::rename(old, new)?;",
        "std::fs::copy(from, to)?;",
        "std::io::copy(&mut from, &mut to)?;",
        "use std::io::{self, Read, copy};",
        "use std::{fs::{\n    read, write,\n}, path::Path};",
        "tempfile::NamedTempFile::new()?;",
        "place.persist(path)?;",
    ] {
        assert!(has(code), "{code}");
    }
    for code in [
        "fs::read(path)?;",
        "use std::io::{self, Read};",
        "File::open(path)?;",
    ] {
        assert!(!has(code), "{code}");
    }
}

/// What stands where there is no number is one mark, kept in one place.
#[test]
fn one_place_says_what_stands_for_nothing() {
    let found = sources_with(&["\"–\""], &["washline-core/src/tables/printed.rs"]);
    let reads = [
        "find/read.rs",
        "advise/rewrite.rs",
        "swap/written.rs",
        "ingredient/define.rs",
    ];
    let printed: Vec<_> = found
        .iter()
        .filter(|(path, _)| !reads.iter().any(|reads| path.ends_with(reads)))
        .collect();
    assert!(printed.is_empty(), "{printed:?}");
}
