//! A drink that stands on two lists, as it is told and changed at the command line.

use crate::common::{done, done_at, folder_with, put};

const OWL: &str = "## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n";

fn house() -> tempfile::TempDir {
    let winter = format!(
        "# Winter list\nseason: winter\n\n{OWL}\n## Wren\n- 50 ml white rum\n- 20 ml lime juice\n- 20 ml simple syrup\n- shake\n- strain\n"
    );
    let folder = folder_with("winter.md", &winter);
    let spring = format!(
        "# Spring list\ntags: terrace\n\n{OWL}\n## Wren\n- 50 ml white rum\n- 25 ml lime juice\n- 20 ml simple syrup\n- shake\n- strain\n"
    );
    put(folder.path(), "spring.md", spring);
    folder
}

#[test]
fn it_is_told_where_it_stands() {
    let folder = house();
    let at = folder.path();
    done(at, &["add", "winter.md"]);
    let added = done(at, &["add", "spring.md"]);
    assert!(
        added.contains("the same drink as on \"Winter list\" (1): Owl")
            && added.contains("another drink of that name on \"Winter list\" (1): Wren"),
        "{added}"
    );
    for columns in [60, 80, 120] {
        let list = done_at(at, &["list"], columns);
        assert_eq!(list.matches("Owl").count(), 1, "{list}");
        assert!(
            list.contains("season winter; tags terrace; also on Spring list"),
            "{list}"
        );
        assert!(list.contains("3 drinks"), "{list}");
        assert!(list.lines().all(|line| line.chars().count() <= columns), "{list}");
    }
    let found = done(at, &["find", "on \"spring list\""]);
    assert!(found.contains("Owl") && found.contains("2 drinks"), "{found}");
    let shown = done(at, &["show", "owl"]);
    assert!(
        shown.contains("Winter list and Spring list (version 1)"),
        "{shown}"
    );
    let costed = done(at, &["cost"]);
    assert_eq!(costed.matches("Owl").count(), 1, "{costed}");
    let page = done(at, &["report", "-"]);
    assert_eq!(page.matches("<article").count(), 3);
}

#[test]
fn it_is_changed_and_batched_on_both() {
    let folder = house();
    let at = folder.path();
    done(at, &["add", "winter.md", "spring.md"]);
    let change = [
        "change",
        "owl",
        "10 ml dry vermouth",
        "15 ml dry vermouth",
        "--keep",
    ];
    assert!(done(at, &change).contains("Winter list and Spring list"));
    for title in ["Winter list", "Spring list"] {
        let text = done(at, &["export", "--format", "book", "--book", title]);
        assert!(text.contains("15 ml dry vermouth"), "{text}");
    }
    let batch = |list: &str| done(at, &["batch", "owl", "--serves", "3", "--of", list]);
    assert!(batch("spring list").contains("Owl") && batch("winter list").contains("Owl"));
    let gone = done(at, &["remove", "list", "winter list", "--yes"]);
    assert!(gone.contains("1 of them stays on \"Spring list\""), "{gone}");
    assert!(done(at, &["show", "owl"]).contains("15 ml dry vermouth"));
}
