//! What every command that writes leaves in the journal of the house, and taking it back from the command line.

use std::collections::BTreeSet;
use std::path::Path;

use crate::common;

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
> keep it cold

## Wren
- 60 ml white rum
- 22.5 ml lime juice
- 20 ml simple syrup 1:1 by mass
- shake
- fine strain
";

/// The commands that a help lists.
fn commands(folder: &Path, above: &[&str]) -> Vec<String> {
    let help = common::done(folder, &[above, &["--help"]].concat());
    let list = help.split("Options:").next().unwrap();
    let list = list.split_once("Commands:").map_or(list, |(_, list)| list);
    list.lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .filter(|word| *word != "help" && word.chars().all(|c| c.is_ascii_lowercase() || c == '-'))
        .map(str::to_owned)
        .collect()
}

/// Every command that does something, with the one it stands under.
fn leaves(folder: &Path) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for command in commands(folder, &[]) {
        let help = common::done(folder, &[&command, "--help"]);
        if help.contains("<COMMAND>") {
            let below = commands(folder, &[&command]);
            all.extend(below.into_iter().map(|below| format!("{command} {below}")));
        } else {
            all.insert(command);
        }
    }
    all
}

/// What writes to the house, in an order in which it can: each line is one command, and one entry.
const WRITES: &[&[&str]] = &[
    &["add", "winter.md"],
    &["settings", "set", "dash", "0.8 ml"],
    &["settings", "unset", "dash"],
    &["taste", "Owl", "--verdict", "too sweet", "--by", "the porter"],
    &["taste", "Owl", "--verdict", "right", "--by", "the guard"],
    &["weigh", "Owl", "--before", "110", "--after", "160"],
    &["weigh", "--forget", "1"],
    &[
        "ingredient",
        "add",
        "signal gin",
        "--kind",
        "gin",
        "--strength",
        "43 %",
        "--source",
        "label",
    ],
    &[
        "ingredient",
        "set",
        "lemon juice",
        "--acid",
        "52",
        "--source",
        "titration",
    ],
    &[
        "ingredient",
        "price",
        "lemon juice",
        "--package",
        "1 kg",
        "--price",
        "3.20",
        "--currency",
        "EUR",
        "--source",
        "invoice",
    ],
    &[
        "ranges",
        "set",
        "shaken sour",
        "sweetness",
        "5.5",
        "8",
        "--source",
        "tasting",
    ],
    &["ranges", "unset", "shaken sour", "sweetness"],
    &[
        "change",
        "Wren",
        "22.5 ml lime juice",
        "20 ml lime juice",
        "--keep",
    ],
    &["mend", "Owl", "--keep"],
    &["change", "Owl", "--add", "1 dash absinthe", "--keep"],
    &["swap", "Wren", "white rum", "dark rum", "--keep"],
    &["restore", "Wren", "--version", "1"],
    &["rename", "drink", "Wren", "Jenny Wren"],
    &["rename", "preparation", "Honey syrup", "Heather syrup"],
    &["rename", "list", "Winter lsit", "Winter list"],
    &["rename", "ingredient", "signal gin", "lamp gin"],
    &["remove", "tasting", "Owl", "guard", "--yes"],
    &["remove", "note", "Owl", "cold", "--yes"],
    &["remove", "drink", "Jenny Wren", "--yes"],
    &["restore", "Jenny Wren"],
    &["remove", "ingredient", "lamp gin", "--yes"],
    &["remove", "preparation", "Heather syrup", "--yes"],
    &["undo", "--yes"],
    &["remove", "list", "Winter list", "--yes"],
    &["restore", "Winter list"],
    &["merge", "other.db", "--take", "theirs"],
    &["import", "sheet.csv", "--add"],
];

/// What leaves the house as it is: each once, after all that.
const READS: &[&[&str]] = &[
    &["list"],
    &["check"],
    &["show", "Owl"],
    &["history", "Owl"],
    &["find", "pours gin or changed since 2020-01-01"],
    &["change", "Owl", "--drop", "fine strain", "--add", "strain"],
    &["undo"],
    &["undo", "--list"],
    &["audit"],
    &["settings", "show"],
    &["ingredient", "list"],
    &["ingredient", "show", "lime juice"],
    &["ranges", "show"],
    &["verify"],
    &["add", "other.md"],
    &["remove", "drink", "Owl"],
];

/// What never writes to the house, or only where somebody sits at a terminal (`settle`, `edit`), or has tasted more than stands
/// here (`ranges learn`).
const OTHERS: &[&str] = &[
    "adjust",
    "backup",
    "batch",
    "blend",
    "card",
    "check",
    "compare",
    "completions",
    "cost",
    "export",
    "label",
    "ranges learn",
    "ranges span",
    "ranges test",
    "report",
    "settle",
    "tidy",
    "travel",
    "find",
    "edit",
    "tags",
];

#[test]
fn each_command_that_writes_is_one_entry_and_no_other_is_any() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    common::put(folder, "winter.md", LIST);
    common::put(
        folder,
        "other.md",
        "# Other\n\n## Jay\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n",
    );
    common::put(
        folder,
        "sheet.csv",
        "name,ingredient,amount,unit,method\nTern,dry gin,60,ml,stir\n,dry vermouth,10,ml,\n",
    );
    common::done(folder, &["add", "other.md", "--house", "other.db"]);
    let named: BTreeSet<String> = WRITES
        .iter()
        .chain(READS)
        .flat_map(|words| [words[0].to_owned(), words[..2.min(words.len())].join(" ")])
        .chain(OTHERS.iter().map(|words| (*words).to_owned()))
        .collect();
    for command in leaves(folder) {
        assert!(
            named.contains(&command),
            "does `{command}` write? put it in a list of this test"
        );
    }
    let count = || -> usize {
        let all = crate::json::told(folder, &["undo", "--list"], "", 0, "undo");
        all["entries"].as_array().unwrap().len()
    };
    let mut before = 0;
    for words in WRITES {
        common::done(folder, words);
        let after = count();
        assert_eq!(after, before + 1, "{words:?}");
        before = after;
    }
    for words in READS {
        common::done(folder, words);
        assert_eq!(count(), before, "{words:?}");
    }
}

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
