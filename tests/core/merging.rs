//! Books leaving the house, another house taken in, copies, and the look at whether a file is sound.

use std::path::{Path, PathBuf};

use rusqlite::Connection;
use washline_core::balance::{BalanceFigure, Structure};
use washline_core::ingredient::{Defined, Origin};
use washline_core::spec::Source;
use washline_core::store::merge::{Choice, Kind, MergeOutcome, Merged, Share, Side};
use washline_core::store::{Access, House, StoreError, examine};
use washline_core::tables::When;

const EARLY: &str = "2024-01-01T00:00:00Z";
const LATE: &str = "2025-06-01T00:00:00Z";

const HALT: &str = "\
# Halt
ounce: 30 ml

## Owl
- 60 ml dry gin
- 10 ml dry vermouth
- stir
- strain

## Wren
- 60 ml white rum
- 22.5 ml lime juice
- 22.5 ml simple syrup 1:1 by mass
- shake
- strain
";

struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    fn new() -> Place {
        Place {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// A house with books, each added at a time.
    fn house(&self, name: &str, books: &[(&str, &str)]) -> House {
        let mut house = House::open(&self.path(name), Access::Write).unwrap().0;
        for (text, at) in books {
            if let Some(when) = When::of(at) {
                house.at(when);
            }
            house.add(&Source::new("halt.md", *text)).unwrap().unwrap();
        }
        house.refresh().unwrap();
        house
    }
}

/// Every row of every table that is not worked out, the library aside.
fn rows(path: &Path) -> Vec<String> {
    let db = Connection::open(path).unwrap();
    let tables: Vec<String> = db
        .prepare_cached("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT IN ('ingredient_value', 'result', 'figure', 'finding', 'verdict', 'assumption', 'pour', 'preparation_result', 'preparation_part') AND name NOT LIKE 'sqlite%' ORDER BY name")
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    let mut all = Vec::new();
    for table in tables {
        let mut select = db.prepare_cached(&format!("SELECT * FROM {table}")).unwrap();
        let names: Vec<String> = select.column_names().into_iter().map(str::to_owned).collect();
        let mut found = select.query([]).unwrap();
        while let Some(row) = found.next().unwrap() {
            let cells: Vec<String> = names
                .iter()
                .enumerate()
                .map(|(i, n)| format!("{n}={:?}", row.get::<_, rusqlite::types::Value>(i).unwrap()))
                .collect();
            let row = format!("{table}: {}", cells.join(" "));
            if !row.contains("Text(\"library\")") {
                all.push(row);
            }
        }
    }
    all.sort();
    all
}

fn merge(house: &mut House, other: &Path, choice: &Choice) -> Merged {
    house.at(crate::when(LATE));
    house.merge(other, choice, false).unwrap()
}

fn taking(side: Side) -> Choice {
    Choice {
        side: Some(side),
        ..Choice::default()
    }
}

fn outcome(merged: &Merged, name: &str) -> MergeOutcome {
    let found: Vec<MergeOutcome> = merged
        .items
        .iter()
        .filter(|i| i.name == name)
        .map(|i| i.outcome)
        .collect();
    assert_eq!(found.len(), 1, "{name}: {:?}", merged.items);
    found[0]
}

fn poured(house: &House, name: &str) -> String {
    house.spec_text(name, "Halt").unwrap().unwrap()
}

fn versions(path: &Path, name: &str) -> Vec<(i64, Option<String>)> {
    let db = Connection::open(path).unwrap();
    let mut select = db
        .prepare_cached("SELECT version, s.added_at FROM spec_version s JOIN drink d ON d.id = s.drink_id WHERE d.name = ?1 ORDER BY version")
        .unwrap();
    let rows = select.query_map([name], |r| Ok((r.get(0)?, r.get(1)?))).unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn a_book_leaves_as_it_came() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/books");
    for entry in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        for text in [text.clone(), text.replace('\n', "\r\n"), format!("{text}\n\n")] {
            let mut house = House::in_memory().unwrap();
            house.add(&Source::new("b.md", text.clone())).unwrap().unwrap();
            let title = house.titles().unwrap().remove(0);
            assert_eq!(house.shelved(&title).unwrap().unwrap().text, text);
        }
    }
    let house = House::in_memory().unwrap();
    assert_eq!(house.shelved("Nowhere").unwrap(), None);
}

/// A drink that was changed in the house stands in the text as it is now, and nothing else moves.
#[test]
fn a_changed_drink_leaves_changed() {
    let place = Place::new();
    let text = HALT.replace("## Wren", "<!-- about the wren -->\n\n## Wren");
    let mut house = place.house("h.db", &[(&text, EARLY)]);
    let worked = house.drinks_named("Owl").unwrap().remove(0);
    let changed = "## Owl\n- 50 ml dry gin\n- 15 ml dry vermouth\n- stir\n- strain\n";
    house.amend(&worked, changed).unwrap().unwrap();
    let out = house.shelved("halt").unwrap().unwrap();
    let expected = text.replace(
        "## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n\n<!-- about the wren -->\n\n",
        &format!("{changed}\n"),
    );
    assert_eq!(out.text, expected);
    // Added again it is the book that is there already.
    let again = house.add(&Source::new("halt.md", out.text)).unwrap().unwrap();
    assert_eq!((again.changed, again.unchanged.len()), (vec![], 2));
}

/// What a house of an older program has: no text of its books.
#[test]
fn a_book_whose_text_was_not_kept_is_put_together() {
    let place = Place::new();
    let mut house = place.house("h.db", &[(HALT, EARLY)]);
    let db = Connection::open(place.path("h.db")).unwrap();
    db.execute("DELETE FROM book_text", []).unwrap();
    let out = house.shelved("Halt").unwrap().unwrap().text;
    assert_eq!(
        house
            .add(&Source::new("halt.md", out))
            .unwrap()
            .unwrap()
            .unchanged
            .len(),
        2
    );
    let defining = format!("{HALT}\n## odd cordial\nis: an ingredient\nsugar: 300 g/l\nsource: label\n");
    house.add(&Source::new("halt.md", defining)).unwrap().unwrap();
    db.execute("DELETE FROM book_text", []).unwrap();
    let refused = house.shelved("Halt").unwrap_err().to_string();
    assert!(refused.contains("add its file once more"), "{refused}");
}

#[test]
fn a_new_book_is_taken_with_all_its_versions() {
    let place = Place::new();
    let changed = HALT.replace("60 ml dry gin", "50 ml dry gin");
    let theirs = place.house("theirs.db", &[(HALT, EARLY), (&changed, LATE)]);
    drop(theirs);
    Connection::open(place.path("theirs.db"))
        .unwrap()
        .execute_batch("INSERT INTO weighing (drink_id, version, before_g, after_g, note) VALUES (1, 1, '96', '148', '')")
        .unwrap();
    let before = rows(&place.path("theirs.db"));
    let mut ours = place.house("ours.db", &[]);
    let merged = merge(&mut ours, &place.path("theirs.db"), &Choice::default());
    assert!(merged.done, "{merged:?}");
    assert_eq!(outcome(&merged, "Halt"), MergeOutcome::New);
    assert_eq!(rows(&place.path("theirs.db")), before);
    // Everything of every version, whatever the numbers of the rows.
    let of_spec = |name: &str| -> Vec<String> {
        let db = Connection::open(place.path(name)).unwrap();
        let mut select = db
            .prepare_cached(
                "SELECT concat_ws('|', b.title, b.file, b.opening_text, b.settings_json, b.added_at, t.book_text, d.name, d.position, d.line,
                     s.version, s.spec_text, s.written_text, s.added_at, p.position, p.sort, p.step_text, p.amount, p.unit, p.ingredient)
                 FROM book b JOIN book_text t ON t.book_id = b.id JOIN drink d ON d.book_id = b.id JOIN spec_version s ON s.drink_id = d.id
                 JOIN step p ON p.spec_version_id = s.id ORDER BY d.name, s.version, p.position",
            )
            .unwrap();
        select
            .query_map([], |r| r.get(0))
            .unwrap()
            .map(Result::unwrap)
            .collect()
    };
    assert!(of_spec("ours.db").len() > 10);
    assert_eq!(of_spec("ours.db"), of_spec("theirs.db"));
    assert_eq!(ours.drinks().unwrap().len(), 2);
    assert_eq!(ours.shelved("Halt").unwrap().unwrap().text, changed);
    // What the other house has weighed is of its ice and hands, and stays there.
    let weighed = |name: &str| -> i64 {
        let db = Connection::open(place.path(name)).unwrap();
        db.query_row("SELECT count(*) FROM weighing", [], |r| r.get(0))
            .unwrap()
    };
    assert_eq!((weighed("theirs.db"), weighed("ours.db")), (1, 0));
    // Once more there is nothing to take.
    let again = merge(&mut ours, &place.path("theirs.db"), &Choice::default());
    assert!(
        again.items.iter().all(|i| i.outcome == MergeOutcome::Same),
        "{:?}",
        again.items
    );
}

#[test]
fn conflicts_are_listed_and_nothing_is_taken_until_all_are_decided() {
    let place = Place::new();
    let their_text = HALT
        .replace("60 ml dry gin", "55 ml dry gin")
        .replace("22.5 ml lime", "25 ml lime")
        + "\n## Kite\n- 50 ml dry gin\n- stir\n";
    place.house("theirs.db", &[(&their_text, LATE)]);
    let our_text = HALT.replace("60 ml white rum", "50 ml white rum");
    let mut ours = place.house("ours.db", &[(&our_text, EARLY)]);
    let before = rows(&place.path("ours.db"));

    let merged = merge(&mut ours, &place.path("theirs.db"), &Choice::default());
    assert!(!merged.done);
    assert_eq!(
        merged.undecided().map(|i| i.name.as_str()).collect::<Vec<_>>(),
        ["Owl", "Wren"]
    );
    assert_eq!(outcome(&merged, "Kite"), MergeOutcome::New);
    let owl = merged.undecided().next().unwrap();
    assert!(owl.ours.contains("60 ml dry gin") && owl.theirs.contains("55 ml dry gin"));
    assert_eq!(
        (&owl.ours_at, &owl.theirs_at),
        (&Some(crate::when(EARLY)), &Some(crate::when(LATE)))
    );
    assert_eq!(rows(&place.path("ours.db")), before);

    // Decided by name, each its own way.
    let choice = Choice {
        ours: vec!["owl".to_owned()],
        theirs: vec!["WREN".to_owned()],
        ..Choice::default()
    };
    let tried = ours.merge(&place.path("theirs.db"), &choice, true).unwrap();
    assert!(!tried.done && tried.undecided().next().is_none());
    assert_eq!(rows(&place.path("ours.db")), before);
    let merged = merge(&mut ours, &place.path("theirs.db"), &choice);
    assert!(merged.done, "{merged:?}");
    assert!(poured(&ours, "Owl").contains("60 ml dry gin"));
    assert!(poured(&ours, "Wren").contains("25 ml lime juice"));
    assert!(poured(&ours, "Kite").contains("50 ml dry gin"));
    assert_eq!(
        versions(&place.path("ours.db"), "Wren"),
        [(1, Some(EARLY.to_owned())), (2, Some(LATE.to_owned()))]
    );
    // The text of the book has what is poured now, in its place.
    let text = ours.shelved("Halt").unwrap().unwrap().text;
    assert_eq!(
        text,
        our_text
            .replace("50 ml white rum", "60 ml white rum")
            .replace("22.5 ml lime", "25 ml lime")
            + "\n## Kite\n- 50 ml dry gin\n- stir\n"
    );
}

#[test]
fn whose_is_taken_by_side() {
    let place = Place::new();
    place.house(
        "theirs.db",
        &[(&HALT.replace("60 ml dry gin", "55 ml dry gin"), LATE)],
    );
    for (side, gin) in [
        (Side::Ours, "60 ml"),
        (Side::Theirs, "55 ml"),
        (Side::Newer, "55 ml"),
    ] {
        let name = format!("{side:?}.db");
        let mut ours = place.house(&name, &[(HALT, EARLY)]);
        assert!(merge(&mut ours, &place.path("theirs.db"), &taking(side)).done);
        assert!(poured(&ours, "Owl").contains(gin), "{side:?}");
    }
    // Nobody says when: the newer one cannot be told.
    let mut ours = place.house("undated.db", &[(HALT, "")]);
    let merged = merge(&mut ours, &place.path("theirs.db"), &taking(Side::Newer));
    assert_eq!(
        (merged.done, outcome(&merged, "Owl")),
        (false, MergeOutcome::Undecided)
    );
}

/// Where one house's text is an earlier version of the other's nobody has to decide.
#[test]
fn a_later_version_follows_an_earlier_one() {
    let place = Place::new();
    let second = HALT.replace("60 ml dry gin", "55 ml dry gin");
    let third = HALT.replace("60 ml dry gin", "50 ml dry gin");
    place.house("behind.db", &[(HALT, EARLY)]);
    place.house("ahead.db", &[(HALT, EARLY), (&second, LATE), (&third, LATE)]);
    let mut ours = place.house("ours.db", &[(HALT, EARLY)]);
    let merged = merge(&mut ours, &place.path("ahead.db"), &Choice::default());
    assert_eq!(
        (merged.done, outcome(&merged, "Owl")),
        (true, MergeOutcome::Later)
    );
    assert!(poured(&ours, "Owl").contains("50 ml dry gin"));
    assert_eq!(versions(&place.path("ours.db"), "Owl").len(), 3);
    let merged = merge(&mut ours, &place.path("behind.db"), &Choice::default());
    assert_eq!(
        (merged.done, outcome(&merged, "Owl")),
        (true, MergeOutcome::Earlier)
    );
    assert!(poured(&ours, "Owl").contains("50 ml dry gin"));
}

fn cordial(sugar: &str) -> washline_core::ingredient::Ingredient {
    let mut defined = Defined::default();
    defined.set("sugar", sugar).unwrap();
    defined.set("source", "label").unwrap();
    defined.ingredient("odd cordial", Origin::House).unwrap()
}

#[test]
fn ingredients_settings_and_ranges_are_taken_or_asked_about() {
    let place = Place::new();
    let mut theirs = place.house("theirs.db", &[]);
    theirs.keep_ingredient(&cordial("300 g/l")).unwrap();
    theirs.set("dash", "0.8 ml").unwrap().unwrap();
    theirs
        .set_range(
            Structure::ShakenSour,
            BalanceFigure::Sweetness,
            5.0,
            7.0,
            "their tasting",
        )
        .unwrap();
    drop(theirs);
    let path = place.path("theirs.db");
    let mut ours = place.house("ours.db", &[]);
    ours.keep_ingredient(&cordial("250 g/l")).unwrap();

    let merged = merge(&mut ours, &path, &Choice::default());
    let undecided: Vec<(Kind, &str)> = merged.undecided().map(|i| (i.kind, i.name.as_str())).collect();
    assert_eq!(
        undecided,
        [
            (Kind::Setting, "dash"),
            (Kind::Ingredient, "odd cordial"),
            (Kind::Range, "shaken sour sweetness")
        ]
    );
    let cordials = merged.items.iter().find(|i| i.kind == Kind::Ingredient).unwrap();
    assert!(
        cordials.ours.contains("250") && cordials.theirs.contains("300"),
        "{cordials:?}"
    );

    let only = Choice {
        only: vec![Share::Ingredients],
        ..taking(Side::Theirs)
    };
    let merged = merge(&mut ours, &path, &only);
    assert!(merged.done && merged.items.len() == 1);
    let sugar = |house: &House| {
        let pantry = house.pantry().unwrap();
        let found = pantry.get("odd cordial").unwrap();
        found.values.iter().map(|v| v.value).fold(0.0, f64::max)
    };
    approx::assert_relative_eq!(sugar(&ours), 300.0);
    assert_eq!(ours.settings_written().unwrap(), []);

    assert!(merge(&mut ours, &path, &taking(Side::Theirs)).done);
    assert_eq!(
        ours.settings_written().unwrap(),
        [("dash".to_owned(), "0.8 ml".to_owned())]
    );
    let band = ours
        .ranges(washline_core::ingredient::Convention::Handbook)
        .unwrap();
    let core = band
        .band(Structure::ShakenSour, BalanceFigure::Sweetness)
        .core
        .clone()
        .unwrap();
    assert_eq!(
        (core.low, core.high, core.source.as_str()),
        (5.0, 7.0, "their tasting")
    );
}

/// What would not read here is not taken: a drink that pours what only the other house knows.
#[test]
fn nothing_is_taken_that_would_not_read_here() {
    let place = Place::new();
    let text = HALT.replace("10 ml dry vermouth", "10 ml quibble");
    let mut theirs = House::open(&place.path("theirs.db"), Access::Write).unwrap().0;
    let mut defined = Defined::default();
    defined.set("sugar", "300 g/l").unwrap();
    defined.set("source", "label").unwrap();
    theirs
        .keep_ingredient(&defined.ingredient("quibble", Origin::House).unwrap())
        .unwrap();
    theirs.add(&Source::new("halt.md", text)).unwrap().unwrap();
    drop(theirs);
    let path = place.path("theirs.db");
    for existing in [&[][..], &[(HALT, EARLY)]] {
        let name = format!("ours{}.db", existing.len());
        let mut ours = place.house(&name, existing);
        let before = rows(&place.path(&name));
        let specs = Choice {
            only: vec![Share::Specs],
            ..taking(Side::Theirs)
        };
        let merged = merge(&mut ours, &path, &specs);
        assert!(!merged.done);
        assert!(
            merged.faults[0].message.contains("quibble"),
            "{:?}",
            merged.faults
        );
        assert_eq!(rows(&place.path(&name)), before);
        assert!(merge(&mut ours, &path, &taking(Side::Theirs)).done);
        assert!(poured(&ours, "Owl").contains("quibble"));
    }
}

#[test]
fn openings_definitions_and_preparations_are_taken_into_a_book() {
    let place = Place::new();
    let syrup = |g: u32| {
        format!("\n## halt syrup\nmakes: an ingredient\n\n- {g} g sugar\n- 400 g water\n- heat to 60 °C\n")
    };
    let shrub = |g: u32| format!("\n## halt shrub\nis: an ingredient\nsugar: {g} g/l\nsource: label\n");
    let text = |ounce: &str, g: u32| {
        format!(
            "{}{}{}",
            HALT.replace("30 ml\n", &format!("{ounce}\n")),
            syrup(g),
            shrub(g)
        )
    };
    place.house("theirs.db", &[(&text("UK", 500), LATE)]);
    let mut ours = place.house("ours.db", &[(&text("30 ml", 400), EARLY)]);
    let merged = merge(&mut ours, &place.path("theirs.db"), &Choice::default());
    let undecided: Vec<(Kind, &str)> = merged.undecided().map(|i| (i.kind, i.name.as_str())).collect();
    assert_eq!(
        undecided,
        [
            (Kind::Opening, "Halt"),
            (Kind::Definition, "halt shrub"),
            (Kind::Preparation, "halt syrup")
        ]
    );
    let merged = merge(&mut ours, &place.path("theirs.db"), &taking(Side::Theirs));
    assert!(merged.done, "{merged:?}");
    let now = ours.shelved("Halt").unwrap().unwrap().text;
    assert_eq!(now, text("UK", 500));
    let db = Connection::open(place.path("ours.db")).unwrap();
    let count = |sql: &str| db.query_row(sql, [], |r| r.get::<_, i64>(0)).unwrap();
    assert_eq!(count("SELECT count(*) FROM preparation_version"), 2);
    assert_eq!(count("SELECT count(*) FROM ingredient WHERE origin = 'book'"), 1);
    ours.refresh().unwrap();
    assert!(examine(&place.path("ours.db")).unwrap().is_sound());
}

#[test]
fn names_that_nothing_has_are_told() {
    let place = Place::new();
    place.house(
        "theirs.db",
        &[(&HALT.replace("60 ml dry gin", "55 ml dry gin"), LATE)],
    );
    let mut ours = place.house("ours.db", &[(HALT, EARLY)]);
    let choice = Choice {
        theirs: vec!["Owll".to_owned()],
        ..taking(Side::Theirs)
    };
    let merged = merge(&mut ours, &place.path("theirs.db"), &choice);
    assert_eq!(merged.unknown, [("Owll".to_owned(), vec!["Owl".to_owned()])]);
    assert!(!merged.done && poured(&ours, "Owl").contains("60 ml dry gin"));
}

/// A file of an older program is brought up to date in memory; one of a newer, one that is none, and none at all
/// are refused. The other file is never written to.
#[test]
fn other_files_are_read_or_refused_and_never_written() {
    let place = Place::new();
    let mut ours = place.house("ours.db", &[]);
    let refused = |ours: &mut House, path: &Path| ours.merge(path, &Choice::default(), false).unwrap_err();
    assert!(matches!(
        refused(&mut ours, &place.path("none.db")),
        StoreError::Missing(_)
    ));
    std::fs::write(
        place.path("other.db"),
        "nothing like a house, and long enough to look for a header in it",
    )
    .unwrap();
    assert!(matches!(
        refused(&mut ours, &place.path("other.db")),
        StoreError::NotOurs(_)
    ));

    place.house("newer.db", &[]);
    let db = Connection::open(place.path("newer.db")).unwrap();
    db.pragma_update(None, "user_version", 99).unwrap();
    drop(db);
    assert!(matches!(
        refused(&mut ours, &place.path("newer.db")),
        StoreError::TooNew { .. }
    ));

    // As the first version of this program left it: its schema, one book.
    let old = Connection::open(place.path("old.db")).unwrap();
    old.execute_batch(include_str!("../../migrations/001_house.sql"))
        .unwrap();
    old.execute_batch(
        "PRAGMA user_version = 1;
         INSERT INTO book (id, title, title_key, file, opening_text, settings_json) VALUES (1, 'Old', 'old', 'old.md', '# Old', '{}');
         INSERT INTO drink (id, book_id, name, name_key, position, line) VALUES (1, 1, 'Owl', 'owl', 0, 3);
         INSERT INTO spec_version (drink_id, version, spec_text, written_text) VALUES (1, 1, '## Owl
- 60 ml dry gin
- stir
', '## Owl
- 60 ml dry gin
- stir
');",
    )
    .unwrap();
    drop(old);
    let bytes = std::fs::read(place.path("old.db")).unwrap();
    let merged = merge(&mut ours, &place.path("old.db"), &Choice::default());
    assert!(merged.done, "{merged:?}");
    assert_eq!(std::fs::read(place.path("old.db")).unwrap(), bytes);
    assert_eq!(ours.drinks().unwrap()[0].name(), "Owl");
}

/// A row hangs on one other row only: what is copied along the keys is copied once. The journal is not copied: nothing of
/// it hangs on what is.
#[test]
fn every_table_hangs_on_one_other_at_most() {
    let place = Place::new();
    place.house("h.db", &[]);
    let db = Connection::open(place.path("h.db")).unwrap();
    let several: Vec<String> = db
        .prepare_cached(
            "SELECT s.name FROM sqlite_schema s JOIN pragma_foreign_key_list(s.name) f WHERE s.type = 'table'
             AND s.name <> 'journal_entry' GROUP BY s.name HAVING count(*) > 1",
        )
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert_eq!(several, [] as [String; 0], "copying has to learn about these");
}

#[test]
fn a_backup_is_the_house_of_one_moment() {
    let place = Place::new();
    let house = place.house("h.db", &[(HALT, EARLY)]);
    let bytes = house.back_up(&place.path("copy.db")).unwrap();
    assert_eq!(bytes, std::fs::metadata(place.path("copy.db")).unwrap().len());
    assert_eq!(rows(&place.path("copy.db")), rows(&place.path("h.db")));
    for beside in ["copy.db-wal", "copy.db-shm", "copy.db-journal"] {
        assert!(!place.path(beside).exists(), "{beside}");
    }
    assert!(examine(&place.path("copy.db")).unwrap().is_sound());
    // Nothing is written over, and nothing is left of what cannot be written.
    std::fs::write(place.path("there.txt"), "mine").unwrap();
    assert_eq!(
        house.back_up(&place.path("there.txt")).unwrap_err(),
        StoreError::Exists(place.path("there.txt"))
    );
    assert_eq!(std::fs::read_to_string(place.path("there.txt")).unwrap(), "mine");
    let nowhere = place.path("there.txt/copy.db");
    assert!(matches!(
        house.back_up(&nowhere).unwrap_err(),
        StoreError::Unwritten(..)
    ));
}

/// A backup taken while another connection writes is whole: what it has is what stood there at one moment.
#[test]
fn a_backup_while_others_write_is_whole() {
    let place = Place::new();
    let house = place.house("h.db", &[(HALT, EARLY)]);
    let path = place.path("h.db");
    let writer = std::thread::spawn(move || {
        let mut other = House::open(&path, Access::Write).unwrap().0;
        for n in 0..20 {
            let text = HALT.replace("60 ml", &format!("{} ml", 40 + n));
            other.add(&Source::new("halt.md", text)).unwrap().unwrap();
        }
    });
    for n in 0..5 {
        let copy = place.path(&format!("copy{n}.db"));
        house.back_up(&copy).unwrap();
        let db = Connection::open(&copy).unwrap();
        // Both drinks of the book were changed by each write.
        let pair: (i64, i64) = db
            .query_row(
                "SELECT max(version) FILTER (WHERE name = 'Owl'), max(version) FILTER (WHERE name = 'Wren') FROM spec_version s JOIN drink d ON d.id = s.drink_id",
                [],
                |r| Ok((r.get(0)?, r.get(1)?)),
            )
            .unwrap();
        assert_eq!(pair.0, pair.1);
    }
    writer.join().unwrap();
}

#[test]
fn what_is_wrong_with_a_file_is_found_and_nothing_is_written() {
    let place = Place::new();
    let path = place.path("h.db");
    drop(place.house("h.db", &[(HALT, EARLY)]));
    let sound = examine(&path).unwrap();
    assert!(sound.is_sound(), "{sound:?}");
    assert_eq!((sound.books, sound.drinks, sound.versions), (1, 2, 2));

    let change = |sql: &str| {
        let db = Connection::open(&path).unwrap();
        db.pragma_update(None, "foreign_keys", false).unwrap();
        db.execute_batch(sql).unwrap();
        db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
            .unwrap();
    };
    // A result that is not what the spec comes to.
    change("UPDATE spec_version SET spec_text = replace(spec_text, '60 ml dry gin', '50 ml dry gin')");
    let bytes = std::fs::read(&path).unwrap();
    let stale = examine(&path).unwrap();
    assert_eq!(stale.stale, [("Owl".to_owned(), "Halt".to_owned())]);
    assert!(!stale.is_sound() && stale.damage.is_empty());
    assert_eq!(std::fs::read(&path).unwrap(), bytes);
    // A spec that does not read.
    change("UPDATE spec_version SET spec_text = replace(spec_text, 'dry vermouth', 'frobnitz')");
    let unread = examine(&path).unwrap();
    assert!(unread.unread[0].message.contains("frobnitz"), "{unread:?}");
    // A row that points nowhere.
    change("DELETE FROM book");
    assert!(examine(&path).unwrap().dangling[0].contains("points at book"));
    // Pages that are no pages.
    let mut broken = std::fs::read(&path).unwrap();
    let half = broken.len() / 2;
    broken[half..half + 5000].fill(0x55);
    std::fs::write(place.path("broken.db"), broken).unwrap();
    let damaged = examine(&place.path("broken.db")).unwrap();
    assert!(!damaged.damage.is_empty(), "{damaged:?}");
    assert!(matches!(
        examine(&place.path("none.db")).unwrap_err(),
        StoreError::Missing(_)
    ));
}

/// Names of columns and tables of a received house are words of a stranger: none of them becomes a statement here.
#[test]
fn names_in_a_received_house_do_nothing_here() {
    let columns = "removed_at\") VALUES (?1, ?2, 'wren', ?4, ?5, ?7, ?6) ON CONFLICT (book_id, name_key) DO UPDATE SET removed_at = 'gone' --";
    for crafted in [
        format!("ALTER TABLE drink ADD COLUMN \"{}\" TEXT", columns.replace('"', "\"\"")),
        "CREATE TABLE \"x\"\" WHERE 0; DELETE FROM drink --\" (id INTEGER PRIMARY KEY, drink_id INTEGER REFERENCES drink)".to_owned(),
        "CREATE TABLE more (\"drink\"\"id\" INTEGER REFERENCES drink)".to_owned(),
    ] {
        let place = Place::new();
        let mut ours = place.house("ours.db", &[(HALT, EARLY)]);
        let theirs = HALT.replace("## Wren", "## Tern");
        drop(place.house("theirs.db", &[(&theirs, EARLY)]));
        Connection::open(place.path("theirs.db"))
            .unwrap()
            .execute_batch(&crafted)
            .unwrap();
        let before = rows(&place.path("ours.db"));
        match ours.merge(&place.path("theirs.db"), &Choice::default(), false) {
            Ok(_) => {
                let listed: Vec<String> = ours.list().unwrap().into_iter().map(|l| l.name).collect();
                assert_eq!(listed, ["Owl", "Wren", "Tern"], "{crafted}");
            }
            Err(StoreError::Sqlite(_, why)) => panic!("{crafted}: {why}"),
            Err(_) => assert_eq!(rows(&place.path("ours.db")), before, "{crafted}"),
        }
    }
}
