//! What every command that writes leaves in the journal of the house, and taking it back from the command line.

use crate::common;
use crate::forms::{READS, WRITES};
use crate::walks;

#[test]
fn each_command_that_writes_is_one_entry_and_no_other_is_any() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    walks::put_files(folder);
    let count = || -> usize {
        let all = crate::json::told(folder, &["undo", "--list"], "", 0, "undo");
        all["entries"].as_array().unwrap().len()
    };
    let mut before = 0;
    for form in WRITES {
        // A fit of the melt takes more weighings than one.
        if form.words.contains(&"--fit") {
            for (drink, after) in ["Owl", "Wren", "Tern"]
                .into_iter()
                .flat_map(|d| [(d, "161"), (d, "164")])
            {
                common::done(folder, &["weigh", drink, "--before", "110", "--after", after]);
                before += 1;
            }
        }
        let ran = walks::typed(folder, form, &mut |_| 0);
        assert_eq!(ran.status, 0, "{form:?}: {}{}", ran.out, ran.err);
        let after = count();
        assert_eq!(after, before + 1, "{form:?}: {}{}", ran.out, ran.err);
        before = after;
    }
    for words in READS {
        common::done(folder, words);
    }
    // No entry is ever taken away: one that any of them made would be there.
    assert_eq!(count(), before, "one of {READS:?}");
}

#[test]
fn a_mistyped_list_goes_in_one_command_and_comes_back_in_another() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    walks::put_files(folder);
    let said = |arguments: &[&str], status: i32| {
        let output = crate::washline(folder).args(arguments).output().unwrap();
        let (out, notes) = (
            String::from_utf8(output.stdout).unwrap(),
            String::from_utf8(output.stderr).unwrap(),
        );
        assert_eq!(output.status.code(), Some(status), "{arguments:?}: {out}{notes}");
        out + &notes
    };
    assert!(said(&["undo"], 2).contains("does not exist"));
    said(&["add", "winter.md", "--house", "h.db"], 0);
    let house = ["--house", "h.db"];
    // Without a terminal nothing is done unasked.
    let told = said(&[&["undo"][..], &house].concat(), 0);
    assert!(
        told.contains("takes 3 drinks off \"Winter lsit\": Owl; Wren; Tern"),
        "{told}"
    );
    assert!(
        told.contains("nothing was changed: `washline undo 1 --yes` does it"),
        "{told}"
    );
    assert!(said(&[&["list"][..], &house].concat(), 0).contains("Owl"));
    let told = said(&[&["undo", "--yes"][..], &house].concat(), 0);
    assert!(told.contains("to have it again: `washline undo 2`"), "{told}");
    assert!(!said(&[&["list"][..], &house].concat(), 0).contains("Owl"));
    assert!(said(&[&["undo"][..], &house].concat(), 2).contains("nothing to take back"));
    said(&[&["undo", "2", "--yes"][..], &house].concat(), 0);
    assert!(said(&[&["list"][..], &house].concat(), 0).contains("Owl"));
    // Under a later tasting it stays, and says why.
    said(&[&["taste", "Owl", "--verdict", "right"][..], &house].concat(), 0);
    let told = said(&[&["undo", "1", "--yes"][..], &house].concat(), 2);
    assert!(
        told.contains("4, taste \"Owl\": right") && told.contains("first `washline undo 4`"),
        "{told}"
    );
    let listed = said(&[&["undo", "--list"][..], &house].concat(), 0);
    assert!(listed.contains("add \"Winter lsit\": 4 new"), "{listed}");
    assert!(listed.contains("taken back by 3"), "{listed}");
}
