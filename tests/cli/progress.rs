//! What takes its time says so at a terminal and nowhere else, and can be broken off with nothing half done.
#![cfg(unix)]

use std::fmt::Write as _;

use crate::common;

/// A list that takes some seconds.
fn long_list() -> String {
    let mut text = String::from("# Long list\n");
    for n in 0..1500 {
        let _ = write!(
            text,
            "\n## Drink {n}\n- {} ml dry gin\n- {} ml lemon juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- fine strain\n",
            40 + n % 30,
            15 + n % 17
        );
    }
    text
}

/// A folder with that list and with one that is over in a moment.
fn lists() -> tempfile::TempDir {
    let folder = common::folder_with("long.md", &long_list());
    common::put(
        folder.path(),
        "short.md",
        "# Short\n\n## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n",
    );
    folder
}

#[test]
fn a_bar_is_shown_at_a_terminal_and_nowhere_else() {
    let folder = lists();
    let folder = folder.path();
    // What is over in a moment is not seen.
    let ran = common::at_a_terminal(common::washline(folder).args(["check", "short.md"]), "");
    assert_eq!((ran.status, ran.err.as_str()), (0, ""));
    let shown = common::at_a_terminal(
        common::washline(folder)
            .args(["check", "long.md"])
            .env("TERM", "xterm"),
        "",
    );
    assert!(shown.err.contains("of 1500 drinks"), "{}", shown.err);
    for silent in [
        common::at_a_terminal(common::washline(folder).args(["check", "long.md", "--json"]), "").err,
        common::left(folder, &["check", "long.md"]).err,
    ] {
        assert!(!silent.contains("drinks  "), "{silent}");
    }
}

#[test]
fn what_is_broken_off_leaves_nothing_half_done() {
    let folder = lists();
    let folder = folder.path();
    common::done(folder, &["add", "short.md"]);
    common::put(folder, "page.html", "a page of mine");
    for arguments in [
        &["add", "long.md"][..],
        &["report", "page.html", "long.md", "--replace"],
    ] {
        let mut child = common::washline(folder)
            .args(arguments)
            .stdin(std::process::Stdio::null())
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(900));
        let id = child.id().to_string();
        assert!(
            std::process::Command::new("kill")
                .args(["-INT", &id])
                .status()
                .unwrap()
                .success()
        );
        assert!(!child.wait().unwrap().success(), "{arguments:?} was over before");
    }
    assert_eq!(
        std::fs::read_to_string(folder.join("page.html")).unwrap(),
        "a page of mine"
    );
    let listed = common::done(folder, &["list"]);
    assert!(listed.contains("Owl") && !listed.contains("Drink 1"), "{listed}");
    common::done(folder, &["verify"]);
    let left: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| !matches!(name.as_str(), "long.md" | "short.md" | "page.html" | ".local"))
        .collect();
    assert_eq!(left, [""; 0], "left behind");
}
