//! What every command that writes leaves in the journal of the house, and taking it back from the command line.

const LIST: &str = "\
# Winter lsit
currency: EUR

## Honey syrup
makes: an ingredient
- 300 g honey
- 300 g water

## Owl
glass: coupe, 180 ml
price: 12.50
- 60 ml dry gin
- 22.5 ml lemon juice
- 30 ml Honey syrup
- shake
- fine strain

## Wren
- 60 ml white rum
- 22.5 ml lime juice
- 20 ml simple syrup 1:1 by mass
- shake
- fine strain
";

#[test]
fn a_mistyped_list_goes_in_one_command_and_comes_back_in_another() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::write(folder.join("winter.md"), LIST).unwrap();
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
        told.contains("takes 2 drinks off \"Winter lsit\": Owl; Wren"),
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
    assert!(listed.contains("add \"Winter lsit\": 3 new"), "{listed}");
    assert!(listed.contains("taken back by 3"), "{listed}");
}
