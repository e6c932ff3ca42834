//! How much memory the program takes: no more than the promise for the largest book that is read.

use std::fmt::Write as _;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::Duration;

use crate::common::{put, washline};

/// What any input below the largest size may take, kB: what SECURITY.md promises.
const MOST_KB: usize = 256_000;
/// The most drinks of one book.
const MOST_DRINKS: usize = 25_000;

/// A book of so many sours and stirred drinks, no two alike.
fn book(drinks: usize) -> String {
    let mut text = String::from("# Large\nounce: 30 ml\n\n");
    for i in 0..drinks {
        let (a, b) = (40 + i % 25, 15 + i % 12);
        let spec = match i % 2 {
            0 => format!(
                "- {a} ml white rum\n- {b} ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n"
            ),
            _ => format!(
                "- {a} ml rye whiskey\n- {b} ml sweet red vermouth\n- 2 dashes aromatic bitters\n- stir\n"
            ),
        };
        let _ = write!(text, "## Drink {i}\nglass: coupe, 210 ml\n{spec}- strain\n\n");
    }
    text
}

/// The most memory that a process has held at once so far, kB.
fn peak_kb(child: &Child) -> Option<usize> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", child.id())).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().strip_suffix("kB")?.trim().parse().ok()
}

/// Run to a good end; the most memory that was held, kB.
fn held_kb(folder: &Path, arguments: &[&str]) -> usize {
    let out = std::fs::File::create(folder.join("out")).unwrap();
    let mut child = washline(folder)
        .args(arguments)
        .stdout(out)
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut most = 0;
    let status = loop {
        most = most.max(peak_kb(&child).unwrap_or(0));
        if let Some(status) = child.try_wait().unwrap() {
            break status;
        }
        std::thread::sleep(Duration::from_millis(1));
    };
    assert!(status.success(), "{arguments:?}");
    assert!(most > 0, "{arguments:?}");
    most
}

/// Of two books of which one is the larger by so many drinks, each command may take as much more memory for the larger
/// as leaves the largest book there can be below the promise. Both are larger than what is read ahead of the printing:
/// below that the readers' own buffers still grow, and what grows no further would be counted for 25,000 drinks.
#[test]
fn the_largest_book_takes_no_more_than_is_promised() {
    const FEW: usize = 500;
    const MANY: usize = 1_100;
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "few.md", book(FEW));
    put(folder.path(), "many.md", book(MANY));
    for command in [
        &["check"][..],
        &["check", "--json"],
        &["add"],
        &["list"],
        &["list", "--json"],
        &["check", "--house"],
        &["check", "--json", "--house"],
    ] {
        let with = |name: &str| {
            let (file, house) = (format!("{name}.md"), format!("{name}.db"));
            let mut all = command.to_vec();
            let of_house = command[0] == "list" || command.ends_with(&["--house"]);
            all.retain(|word| *word != "--house");
            if !of_house {
                all.push(&file);
            }
            if of_house || command[0] == "add" {
                all.extend(["--house", &house]);
            }
            held_kb(folder.path(), &all)
        };
        let (few, many) = (with("few"), with("many"));
        let each = many.saturating_sub(few).div_ceil(MANY - FEW);
        let largest = few + each * (MOST_DRINKS - FEW);
        assert!(
            largest < MOST_KB,
            "{command:?}: {few} kB for {FEW} drinks and {many} for {MANY} make {largest} kB for {MOST_DRINKS}"
        );
    }
}
