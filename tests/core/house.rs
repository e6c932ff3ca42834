//! The house database from outside: what is kept, what is recomputed, and which files are refused.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::types::ValueRef;
use washline_core::balance::{BalanceFigure, Evaluation, Severity, Structure, Verdict};
use washline_core::computed::{ComputedDrink, FoundIn, PourFigures};
use washline_core::ingredient::{Convention, Defined, Ingredient, Origin, library};
use washline_core::spec::Source;
use washline_core::store::{Access, House, StoreError, schema_version};

fn source(text: &str) -> Source {
    Source::new("halt.md", text)
}

const TWO: &str = "\
# Halt

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
const UNREAD: &str = "# Unread\n\n## Jay\n\n- 60 ml dry gin\n- stir\n\n## Tern\n\n- 60 ml dry ginn\n- stir\n";

/// A folder with a house file in it.
struct Place {
    _folder: tempfile::TempDir,
    path: PathBuf,
}

impl Place {
    fn new() -> Place {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("house.db");
        Place {
            _folder: folder,
            path,
        }
    }

    /// With these books in it, worked out.
    fn with(books: &[Source]) -> Place {
        let place = Place::new();
        let mut house = place.open();
        house.at(crate::when("2001-02-03T04:05:06Z"));
        house.add_books(books).unwrap().unwrap();
        house.refresh().unwrap();
        place
    }

    fn open(&self) -> House {
        House::open(&self.path, Access::Write).unwrap().0
    }

    /// As any other program would open it.
    fn plain(&self) -> Connection {
        Connection::open(&self.path).unwrap()
    }

    /// Every row of every table.
    fn rows(&self) -> BTreeMap<String, Vec<String>> {
        let db = self.plain();
        names(&db, "SELECT name FROM sqlite_schema WHERE type = 'table'")
            .into_iter()
            .map(|table| {
                let rows = names(&db, &format!("SELECT * FROM {table}"));
                (table, rows)
            })
            .collect()
    }

    fn bytes(&self) -> Vec<u8> {
        std::fs::read(&self.path).unwrap()
    }

    fn files(&self) -> BTreeSet<String> {
        std::fs::read_dir(self.path.parent().unwrap())
            .unwrap()
            .map(|f| f.unwrap().file_name().into_string().unwrap())
            .collect()
    }
}

/// The rows of a query, each as one text.
fn names(db: &Connection, sql: &str) -> Vec<String> {
    let mut select = db.prepare_cached(sql).unwrap();
    let columns = select.column_count();
    let rows = select.query_map([], |row| {
        let cells = (0..columns).map(|i| match row.get_ref(i).unwrap() {
            ValueRef::Null => "null".to_owned(),
            ValueRef::Integer(n) => n.to_string(),
            ValueRef::Real(n) => format!("{n:?}"),
            ValueRef::Text(t) => String::from_utf8(t.to_vec()).unwrap(),
            ValueRef::Blob(b) => format!("{b:?}"),
        });
        Ok(cells.collect::<Vec<_>>().join(" | "))
    });
    rows.unwrap().map(Result::unwrap).collect()
}

fn count(db: &Connection, table: &str) -> i64 {
    db.query_row(&format!("SELECT count(*) FROM {table}"), [], |r| r.get(0))
        .unwrap()
}

/// A known ingredient with another figure.
fn amended(house: &House, name: &str, figure: &str, value: &str) -> Ingredient {
    let pantry = house.pantry().unwrap();
    let mut defined = Defined::default();
    defined.set(figure, value).unwrap();
    defined.set("source", "label").unwrap();
    defined
        .amend(pantry.get(name).unwrap(), Convention::Handbook)
        .unwrap()
}

fn made(name: &str, figures: &[(&str, &str)]) -> Ingredient {
    let mut defined = Defined::default();
    figures
        .iter()
        .chain(&[("source", "label")])
        .for_each(|(figure, value)| defined.set(figure, value).unwrap());
    defined.ingredient(name, Origin::House).unwrap()
}

fn recomputed(house: &mut House) -> BTreeSet<String> {
    let refreshed = house.refresh().unwrap();
    assert_eq!(refreshed.broken, []);
    refreshed.recomputed.into_iter().map(|(drink, _)| drink).collect()
}

// ---- Keeping.

#[test]
fn a_book_is_kept_whole_or_not_at_all() {
    let place = Place::new();
    for house in [&mut House::in_memory().unwrap(), &mut place.open()] {
        let faults = house.add(&source(UNREAD)).unwrap().unwrap_err();
        assert_eq!((faults.len(), faults[0].line, faults[0].column), (1, 10, 9));
        let faults = house
            .add_books(&[source(TWO), source(UNREAD)])
            .unwrap()
            .unwrap_err();
        assert_eq!(faults.len(), 1);
        assert!(house.list().unwrap().is_empty() && house.drinks().unwrap().is_empty());

        let added = house.add(&source(TWO)).unwrap().unwrap();
        assert_eq!(
            (
                added.book.as_str(),
                added.new,
                added.changed,
                added.unchanged,
                added.removed
            ),
            (
                "Halt",
                vec!["Owl".to_owned(), "Wren".to_owned()],
                vec![],
                vec![],
                vec![]
            )
        );
        house
            .add_books(&[source(TWO), source(UNREAD)])
            .unwrap()
            .unwrap_err();
        let listed: Vec<String> = house
            .list()
            .unwrap()
            .into_iter()
            .map(|l| format!("{} {} {}", l.book, l.name, l.version))
            .collect();
        assert_eq!(listed, ["Halt Owl 1", "Halt Wren 1"]);
    }
}

#[test]
fn the_same_book_again_changes_no_row() {
    let definition = "\n## night syrup\nis: an ingredient\nsugar: 600 g/l\nsource: label\n";
    let book = source(&format!(
        "{TWO}\n## Tern\n\n- 50 ml dry gin\n- 10 ml night syrup\n- stir\n{definition}"
    ));
    let place = Place::with(std::slice::from_ref(&book));
    let before = place.rows();
    let mut house = place.open();
    house.at(crate::when("2009-09-09T09:09:09Z"));
    let added = house.add(&book).unwrap().unwrap();
    assert_eq!(
        (
            added.unchanged.len(),
            added.new.len() + added.changed.len() + added.removed.len()
        ),
        (3, 0)
    );
    assert!(recomputed(&mut house).is_empty());
    drop(house);
    assert_eq!(place.rows(), before);
}

#[test]
fn every_version_is_kept() {
    let place = Place::with(&[source(TWO)]);
    let mut house = place.open();
    let versions = || {
        names(
            &place.plain(),
            "SELECT d.name, s.version, s.spec_text LIKE '%70 ml%', s.added_at FROM spec_version s JOIN drink d ON d.id = s.drink_id ORDER BY d.name, s.version",
        )
    };

    let more = source(&TWO.replace("60 ml dry gin", "70 ml dry gin"));
    house.at(crate::when("2002-01-01T00:00:00Z"));
    let added = house.add(&more).unwrap().unwrap();
    assert_eq!(
        (added.changed, added.unchanged),
        (vec!["Owl".to_owned()], vec!["Wren".to_owned()])
    );
    assert_eq!(recomputed(&mut house), BTreeSet::from(["Owl".to_owned()]));
    assert_eq!(
        versions(),
        [
            "Owl | 1 | 0 | 2001-02-03T04:05:06Z",
            "Owl | 2 | 1 | 2002-01-01T00:00:00Z",
            "Wren | 1 | 0 | 2001-02-03T04:05:06Z"
        ]
    );
    assert_eq!(house.drinks_named("owl").unwrap()[0].found_in.version, 2);
    assert!(
        house
            .spec_text("OWL", "Halt")
            .unwrap()
            .unwrap()
            .contains("70 ml dry gin")
    );
    assert_eq!(
        count(&place.plain(), "drink_balance"),
        2,
        "one row a drink, of the version that is poured"
    );

    // Taken out of the book it is poured no longer; its versions stay.
    let without = source(TWO.split("## Wren").next().unwrap());
    let added = house.add(&without).unwrap().unwrap();
    assert_eq!(
        (added.changed, added.removed),
        (vec!["Owl".to_owned()], vec!["Wren".to_owned()])
    );
    assert_eq!(versions().len(), 4);
    assert_eq!(house.drinks().unwrap().len(), 1);
    assert!(
        house.drinks_named("Wren").unwrap().is_empty() && house.spec_text("Wren", "Halt").unwrap().is_none()
    );

    // Back again it is new, and its old version is the one poured.
    let added = house.add(&source(TWO)).unwrap().unwrap();
    assert_eq!(
        (added.new, added.unchanged),
        (vec!["Wren".to_owned()], vec!["Owl".to_owned()])
    );
    assert_eq!(versions().len(), 4);
    assert_eq!(house.drinks().unwrap().len(), 2);
}

#[test]
fn a_name_may_stand_in_two_books() {
    let mut house = House::in_memory().unwrap();
    house
        .add_books(&[
            source(TWO),
            source(&TWO.replace("# Halt", "# Siding\n\nconvention: assay")),
        ])
        .unwrap()
        .unwrap();
    let books: Vec<String> = house
        .drinks_named("wren")
        .unwrap()
        .into_iter()
        .map(|r| r.found_in.book)
        .collect();
    assert_eq!(books, ["Halt", "Siding"]);
}

/// A write that fails half way leaves the file as it was, and the house as it was open.
#[test]
fn a_write_that_stops_half_way_leaves_the_file_as_it_was() {
    let stop = |place: &Place, table: &str, when: &str| {
        place.plain().execute_batch(&format!("CREATE TRIGGER stop BEFORE INSERT ON {table} WHEN {when} BEGIN SELECT RAISE(ABORT, 'stopped'); END")).unwrap();
    };
    let go_on = |place: &Place| place.plain().execute_batch("DROP TRIGGER stop").unwrap();
    let place = Place::with(&[source(TWO)]);
    let mut house = place.open();

    // The second of two books, after one drink of it is in.
    let other =
        source("# Other\n\n## Jay\n\n- 60 ml dry gin\n- stir\n\n## Tern\n\n- 60 ml dry gin\n- stir\n");
    stop(&place, "drink", "new.name = 'Tern'");
    let before = place.rows();
    let changed = source(&TWO.replace("60 ml dry gin", "70 ml dry gin"));
    assert!(matches!(
        house.add_books(&[changed.clone(), other.clone()]),
        Err(StoreError::Sqlite(..))
    ));
    assert_eq!(place.rows(), before);
    go_on(&place);
    house.add_books(&[changed, other]).unwrap().unwrap();
    recomputed(&mut house);

    // An ingredient, after the old one is out.
    house
        .keep_ingredient(&amended(&house, "dry gin", "strength", "45 %"))
        .unwrap();
    recomputed(&mut house);
    stop(&place, "ingredient_value", "new.value > 49");
    let before = place.rows();
    assert!(
        house
            .keep_ingredient(&amended(&house, "dry gin", "strength", "50 %"))
            .is_err()
    );
    assert_eq!(place.rows(), before);
    go_on(&place);

    // Results, after the first of several: then what they are of is not kept either.
    stop(
        &place,
        "figure",
        "(SELECT count(*) FROM result) > 0 AND new.stage = 'glass' AND new.figure = 'energy_kj' AND EXISTS (SELECT 1 FROM result r JOIN current_spec c ON c.id = r.spec_version_id WHERE r.id = new.result_id AND c.drink = 'Tern')",
    );
    let before = place.rows();
    assert!(
        house
            .keep_ingredient(&amended(&house, "dry gin", "strength", "42 %"))
            .is_err(),
        "a spec and its result are one write"
    );
    assert_eq!(place.rows(), before);
    go_on(&place);
    house
        .keep_ingredient(&amended(&house, "dry gin", "strength", "42 %"))
        .unwrap();
    assert_eq!(
        recomputed(&mut house),
        ["Jay", "Owl", "Tern"].map(str::to_owned).into()
    );
}

// ---- Recomputing.

#[test]
fn an_ingredient_recomputes_the_drinks_that_pour_it_and_no_others() {
    let place = Place::with(&[crate::book("lantern-halt.md")]);
    let mut house = place.open();
    assert!(recomputed(&mut house).is_empty(), "nothing to do");
    for (name, figure, value) in [
        ("lemon juice", "acid", "52 g/l"),
        ("london dry gin", "strength", "47 %"),
        ("egg white", "sugar", "3 g/l"),
    ] {
        let pouring: BTreeSet<String> = names(
            &place.plain(),
            &format!("SELECT DISTINCT drink FROM pours WHERE ingredient = '{name}'"),
        )
        .into_iter()
        .collect();
        let others = format!(
            "SELECT r.*, f.* FROM result r JOIN figure f ON f.result_id = r.id JOIN current_spec c ON c.id = r.spec_version_id
             WHERE c.drink NOT IN (SELECT drink FROM pours WHERE ingredient = '{name}')"
        );
        let before = names(&place.plain(), &others);
        assert!(!pouring.is_empty() && !before.is_empty(), "{name}");
        house
            .keep_ingredient(&amended(&house, name, figure, value))
            .unwrap();
        assert_eq!(recomputed(&mut house), pouring, "{name}");
        assert!(recomputed(&mut house).is_empty(), "{name} a second time");
        assert_eq!(
            names(&place.plain(), &others),
            before,
            "{name}: the others are untouched"
        );
    }
    house
        .keep_ingredient(&made("moonlight cordial", &[("sugar", "300")]))
        .unwrap();
    assert!(recomputed(&mut house).is_empty(), "nothing pours it");
}

#[test]
fn what_a_book_defines_stands_over_the_house() {
    let text = |book: &str, definition: &str| {
        source(&format!(
            "# {book}\n\n## {book} Owl\n\n- 50 ml dry gin\n- 10 ml night syrup\n- stir\n{definition}"
        ))
    };
    let mut house = House::in_memory().unwrap();
    house
        .keep_ingredient(&made("night syrup", &[("sugar", "300")]))
        .unwrap();
    let own = "\n## night syrup\nis: an ingredient\nsugar: 600 g/l\nsource: label\n";
    house
        .add_books(&[text("Own", own), text("Shared", "")])
        .unwrap()
        .unwrap();
    let sugar = |house: &mut House| {
        house
            .drinks()
            .unwrap()
            .into_iter()
            .map(|r| (r.pours()[1].sugar_g * 10.0).round() / 10.0)
            .collect::<Vec<f64>>()
    };
    assert_eq!(sugar(&mut house), [6.0, 3.0]);
    house.refresh().unwrap();
    house
        .keep_ingredient(&made("night syrup", &[("sugar", "400")]))
        .unwrap();
    assert_eq!(recomputed(&mut house), BTreeSet::from(["Shared Owl".to_owned()]));
    assert_eq!(sugar(&mut house), [6.0, 4.0]);
    // Another definition in the book is another drink, though its spec is the same.
    let added = house
        .add(&text("Own", &own.replace("600", "700")))
        .unwrap()
        .unwrap();
    assert_eq!(added.unchanged, ["Own Owl"]);
    assert_eq!(recomputed(&mut house), BTreeSet::from(["Own Owl".to_owned()]));
    assert_eq!(sugar(&mut house), [7.0, 4.0]);
    // And without one the house's own holds.
    house.add(&text("Own", "")).unwrap().unwrap();
    assert_eq!(sugar(&mut house), [4.0, 4.0]);
}

#[test]
fn settings_of_a_book_recompute_its_drinks() {
    let mut house = House::in_memory().unwrap();
    let text = "# Halt\nacid convention: handbook\n\n## Wren\n\n- 60 ml white rum\n- 22.5 ml lime juice\n- 2 dashes aromatic bitters\n- shake\n";
    house
        .add_books(&[source(text), source(&text.replace("Halt", "Siding"))])
        .unwrap()
        .unwrap();
    house.refresh().unwrap();
    for (from, to) in [
        ("handbook", "assay"),
        ("acid convention: handbook", "country: Japan"),
        ("handbook", "handbook\ndash: 0.6 ml"),
    ] {
        let added = house.add(&source(&text.replace(from, to))).unwrap().unwrap();
        assert_eq!(added.unchanged, ["Wren"], "{to}");
        assert_eq!(
            house.refresh().unwrap().recomputed,
            [("Wren".to_owned(), "Halt".to_owned())],
            "{to}"
        );
        assert!(recomputed(&mut house).is_empty(), "{to}");
    }
}

#[test]
fn nothing_stale_is_shown() {
    let place = Place::with(&[source(TWO)]);
    let mut house = place.open();
    let acid = |house: &mut House| {
        house.drinks().unwrap()[1]
            .evaluation
            .figures
            .acid_g_per_100ml
            .value
            .unwrap()
    };
    let before = acid(&mut house);
    assert_eq!(
        house.drinks_named("Wren").unwrap()[0].evaluation.verdicts[2],
        Verdict::In
    );
    house
        .keep_ingredient(&amended(&house, "lime juice", "acid", "90 g/l"))
        .unwrap();
    let after = acid(&mut house);
    assert!((after / before - 1.5).abs() < 0.01, "{before} {after}");

    // By name, and in what is flagged, without anything else asked before.
    house
        .keep_ingredient(&amended(&house, "lime juice", "acid", "120 g/l"))
        .unwrap();
    assert_eq!(
        house.drinks_named("Wren").unwrap()[0].evaluation.verdicts[2],
        Verdict::Outside
    );
    house
        .keep_ingredient(&amended(&house, "lime juice", "acid", "60 g/l"))
        .unwrap();
    assert!(
        house
            .flagged(Severity::Outside)
            .unwrap()
            .iter()
            .all(|r| r.name() != "Wren")
    );
    house
        .keep_ingredient(&amended(&house, "lime juice", "acid", "120 g/l"))
        .unwrap();
    assert!(
        house
            .flagged(Severity::Outside)
            .unwrap()
            .iter()
            .any(|r| r.name() == "Wren")
    );

    // And by whoever opens the file next.
    house
        .keep_ingredient(&amended(&house, "lime juice", "acid", "60 g/l"))
        .unwrap();
    drop(house);
    let mut house = House::open(&place.path, Access::Read).unwrap().0;
    assert!((acid(&mut house) / before - 1.0).abs() < 0.01);
}

#[test]
fn a_range_of_the_houses_own_holds_until_it_is_taken_away() {
    let place = Place::with(&[crate::book("lantern-halt.md")]);
    let mut house = place.open();
    let (structure, measure) = (Structure::ShakenSour, BalanceFigure::Sweetness);
    let verdicts = |house: &mut House| -> Vec<Verdict> {
        house
            .drinks()
            .unwrap()
            .iter()
            .filter(|r| r.evaluation.structure == Some(structure))
            .map(|r| r.evaluation.verdicts[1])
            .collect()
    };
    let published = verdicts(&mut house);
    let of_structure: BTreeSet<String> = house
        .drinks()
        .unwrap()
        .into_iter()
        .filter(|r| r.evaluation.structure == Some(structure))
        .map(|r| r.name().to_owned())
        .collect();
    assert!(published.contains(&Verdict::In) && !house.unset_range(structure, measure).unwrap());

    house.set_range(structure, measure, 0.0, 0.1, "tasting").unwrap();
    assert!(recomputed(&mut house).is_superset(&of_structure));
    assert!(recomputed(&mut house).is_empty());
    assert!(verdicts(&mut house).iter().all(|v| *v != Verdict::In));
    let core = house
        .ranges(Convention::Assay)
        .unwrap()
        .band(structure, measure)
        .core
        .clone()
        .unwrap();
    assert_eq!(
        (core.source.as_str(), core.status.as_str()),
        ("tasting", "the house's own")
    );

    house.set_range(structure, measure, 0.0, 50.0, "tasting").unwrap();
    assert!(verdicts(&mut house).iter().all(|v| *v == Verdict::In), "at once");
    assert!(house.unset_range(structure, measure).unwrap());
    assert_eq!(verdicts(&mut house), published);
    assert_eq!(count(&place.plain(), "house_range"), 0);
}

#[test]
fn a_drink_that_cannot_be_worked_out_has_no_result_until_it_can() {
    let mut house = House::in_memory().unwrap();
    house
        .keep_ingredient(&made("night liqueur", &[("strength", "20"), ("sugar", "100")]))
        .unwrap();
    house
        .add(&source(&format!(
            "{TWO}\n## Tern\n\n- 60 ml night liqueur (80 %)\n- stir\n"
        )))
        .unwrap()
        .unwrap();
    assert_eq!(house.drinks().unwrap().len(), 3);
    house.refresh().unwrap();
    house
        .keep_ingredient(&made("night liqueur", &[("strength", "20"), ("sugar", "900")]))
        .unwrap();
    let refreshed = house.refresh().unwrap();
    assert_eq!(refreshed.recomputed, []);
    let broken: Vec<_> = refreshed
        .broken
        .iter()
        .map(|f| (f.file.as_str(), f.line, f.column))
        .collect();
    assert_eq!(broken, [("halt.md", 20, 3)]);
    assert!(house.drinks().unwrap().iter().all(|r| r.name() != "Tern"));
    house
        .keep_ingredient(&made("night liqueur", &[("strength", "20"), ("sugar", "100")]))
        .unwrap();
    assert_eq!(recomputed(&mut house), BTreeSet::from(["Tern".to_owned()]));
}

/// A drink is read again by itself when it is worked out: what its book sets has to reach it.
#[test]
fn the_ounce_of_a_book_is_the_ounce_of_its_glasses() {
    let mut house = House::in_memory().unwrap();
    let text = "# Oz\nounce: 30 ml\n\n## Owl\nglass: coupe, 6 oz\ndilution: 1 oz\n\n- 2 oz dry gin\n- stir\n\n## Tern\nserve: 3 oz\n\n- 2 parts dry gin\n- 1 part dry vermouth\n- stir\n";
    house.add(&source(text)).unwrap().unwrap();
    let reports = house.drinks().unwrap();
    let owl = &reports[0];
    let found = [
        owl.pours()[0].volume_ml,
        owl.evaluation.glass.as_ref().unwrap().capacity_ml,
        owl.evaluation.figures.water_gained_ml.value.unwrap(),
        reports[1].pours()[0].volume_ml,
    ];
    // Two ounces poured, six of glass, one of water, two thirds of a serve of three.
    assert_eq!(
        found.map(|ml| format!("{ml:.2}")),
        ["60.00", "180.00", "30.00", "60.00"]
    );
}

// ---- Files.

#[test]
fn a_missing_house_is_made_to_write_and_missed_to_read() {
    let place = Place::new();
    assert!(matches!(House::open(&place.path, Access::Read), Err(StoreError::Missing(p)) if p == place.path));
    assert!(place.files().is_empty());
    let (_, created) = House::open(&place.path, Access::Write).unwrap();
    let (_, again) = House::open(&place.path, Access::Write).unwrap();
    assert!(created && !again);
    let deep = place.path.with_file_name("a").join("b").join("house.db");
    assert!(House::open(&deep, Access::Write).unwrap().1 && deep.exists());
    assert!(
        matches!(
            House::open(&place.path.join("house.db"), Access::Write),
            Err(StoreError::Folder(..) | StoreError::Unopened(..) | StoreError::ReadOnly(_))
        ),
        "a file in the way"
    );
}

/// What is not a house of ours is refused for either access, and left as it is to the byte.
#[test]
fn a_file_that_is_no_house_of_ours_is_left_alone() {
    let written = Place::with(&[source(TWO)]);
    let house = written.bytes();
    let made_by = |sql: &str| {
        let place = Place::new();
        place.plain().execute_batch(sql).unwrap();
        place.bytes()
    };
    let newer = {
        let place = Place::with(&[]);
        place
            .plain()
            .pragma_update(None, "user_version", schema_version() + 1)
            .unwrap();
        place.bytes()
    };
    let mut damaged = house.clone();
    let middle = damaged.len() / 4096 / 2 * 4096;
    damaged[middle..middle + 8192].fill(0xa5);
    let cases: Vec<(&str, Vec<u8>, &str)> = vec![
        ("text", b"a shopping list\n".repeat(500), "not ours"),
        ("a short text", b"gin".to_vec(), "not ours"),
        (
            "another database",
            made_by("CREATE TABLE t (x); INSERT INTO t VALUES (1)"),
            "not ours",
        ),
        (
            "one with another mark",
            made_by("PRAGMA application_id = 7; CREATE TABLE t (x)"),
            "not ours",
        ),
        ("a newer house", newer, "too new"),
        ("half a house", house[..house.len() / 2].to_vec(), "damaged"),
        (
            "a house less one page",
            house[..house.len() - 4096].to_vec(),
            "damaged",
        ),
        ("the head of a house", house[..150].to_vec(), "any"),
        ("one page of a house", house[..4096].to_vec(), "damaged"),
        ("a house with two pages of noise", damaged, "damaged"),
    ];
    for (what, bytes, expected) in cases {
        for access in [Access::Read, Access::Write] {
            for read_only in [false, true] {
                let place = Place::new();
                crate::at_rest(&place.path, &bytes);
                set_read_only(&place.path, read_only);
                let error = House::open(&place.path, access).map(|_| ()).expect_err(what);
                let fits = match &error {
                    StoreError::ReadOnly(_) => read_only && access == Access::Write,
                    StoreError::NotOurs(_) => matches!(expected, "not ours" | "any"),
                    StoreError::TooNew { found, known, .. } => {
                        expected == "too new" && *found == known + 1 && *known == schema_version()
                    }
                    StoreError::Damaged(..) => matches!(expected, "damaged" | "any"),
                    _ => false,
                };
                assert!(fits, "{what}, {access:?}: {error:?}");
                assert!(error.to_string().contains("house.db"), "{error}");
                assert!(place.bytes() == bytes, "{what}, {access:?}: changed");
                set_read_only(&place.path, false);
            }
        }
    }
}

/// A byte of a page that is gone reads as 0, and no check of the pages sees it: the length does.
#[test]
fn a_house_that_is_cut_within_a_page_is_damaged() {
    let house = Place::with(&[source(TWO)]).bytes();
    for less in [1, 100, 4095] {
        let place = Place::new();
        crate::at_rest(&place.path, &house[..house.len() - less]);
        let opened = House::open(&place.path, Access::Read);
        assert!(
            matches!(opened, Err(StoreError::Damaged(..))),
            "{less} bytes less: {opened:?}"
        );
    }
}

/// To look at a file that cannot be written, or is not to be, leaves nothing beside it.
#[test]
fn looking_leaves_nothing_beside_the_file() {
    let house = Place::with(&[source(TWO)]);
    let newer = Place::with(&[]);
    newer
        .plain()
        .pragma_update(None, "user_version", schema_version() + 1)
        .unwrap();
    let mut left = Vec::new();
    for (what, bytes, read_only) in [
        ("read-only", house.bytes(), true),
        ("newer", newer.bytes(), false),
    ] {
        let place = Place::new();
        crate::at_rest(&place.path, &bytes);
        set_read_only(&place.path, read_only);
        let opened = House::open(&place.path, Access::Read);
        assert_eq!(opened.is_ok(), read_only, "{what}");
        drop(opened);
        if place.files().len() > 1 {
            left.push((what, place.files()));
        }
    }
    assert!(left.is_empty(), "{left:?}");
}

fn set_read_only(path: &Path, read_only: bool) {
    let mut permissions = std::fs::metadata(path).unwrap().permissions();
    #[cfg(unix)]
    std::os::unix::fs::PermissionsExt::set_mode(&mut permissions, if read_only { 0o444 } else { 0o644 });
    #[cfg(not(unix))]
    permissions.set_readonly(read_only);
    std::fs::set_permissions(path, permissions).unwrap();
}

#[test]
fn a_read_only_house_is_read_and_not_written() {
    let place = Place::with(&[source(TWO)]);
    {
        // Left out of date: to be shown up to date all the same.
        let mut house = place.open();
        house
            .keep_ingredient(&amended(&house, "lime juice", "acid", "90 g/l"))
            .unwrap();
    }
    let bytes = place.bytes();
    set_read_only(&place.path, true);
    assert!(
        matches!(House::open(&place.path, Access::Write), Err(StoreError::ReadOnly(p)) if p == place.path)
    );
    let (mut house, created) = House::open(&place.path, Access::Read).unwrap();
    assert!(!created);
    let reports = house.drinks().unwrap();
    assert_eq!(reports.len(), 2);
    let acid = reports[1].evaluation.figures.acid_g_per_100ml.value.unwrap();
    assert!((acid / 1.27 - 1.0).abs() < 0.01, "{acid}");
    assert!(matches!(house.add(&source(TWO)), Err(StoreError::ReadOnly(_))));
    assert!(matches!(
        house.keep_ingredient(&made("night syrup", &[("sugar", "300")])),
        Err(StoreError::ReadOnly(_))
    ));
    assert!(matches!(
        house.set_range(Structure::Stirred, BalanceFigure::Strength, 1.0, 2.0, "x"),
        Err(StoreError::ReadOnly(_))
    ));
    assert!(matches!(
        house.unset_range(Structure::Stirred, BalanceFigure::Strength),
        Err(StoreError::ReadOnly(_))
    ));
    drop(house);
    assert!(place.bytes() == bytes, "changed");
    set_read_only(&place.path, false);
    assert!(House::open(&place.path, Access::Write).is_ok());
}

/// A copy taken while the house is open has its latest changes in the write-ahead file beside it.
#[test]
fn a_copy_of_an_open_house_has_its_latest_changes() {
    let place = Place::with(&[]);
    let mut open = place.open();
    open.add(&source(TWO)).unwrap().unwrap();
    open.refresh().unwrap();
    for read_only in [false, true] {
        let copy = Place::new();
        std::fs::copy(&place.path, &copy.path).unwrap();
        std::fs::copy(
            place.path.with_file_name("house.db-wal"),
            copy.path.with_file_name("house.db-wal"),
        )
        .unwrap();
        set_read_only(&copy.path, read_only);
        let reports = House::open(&copy.path, Access::Read).unwrap().0.drinks().unwrap();
        assert_eq!(
            told(&reports),
            told(&open.drinks().unwrap()),
            "read-only: {read_only}"
        );
    }
}

#[test]
fn a_house_that_another_program_writes_to_is_read_and_not_written() {
    let place = Place::with(&[source(TWO)]);
    let mut open = place.open();
    let other = place.plain();
    other
        .execute_batch("BEGIN EXCLUSIVE; UPDATE drink SET line = 99")
        .unwrap();
    // Readers see what was, and are not kept waiting.
    let start = std::time::Instant::now();
    let reader = House::open(&place.path, Access::Read).unwrap().0;
    assert_eq!(reader.drinks().unwrap()[0].found_in.line, 3);
    assert_eq!(open.drinks().unwrap().len(), 2);
    assert!(start.elapsed().as_secs() < 4);
    // Writers wait a while, and then say why.
    let error = open
        .keep_ingredient(&made("night syrup", &[("sugar", "300")]))
        .unwrap_err();
    assert_eq!(error, StoreError::Locked(place.path.clone()));
    other.execute_batch("ROLLBACK").unwrap();
    open.keep_ingredient(&made("night syrup", &[("sugar", "300")]))
        .unwrap();
    assert_eq!(open.drinks().unwrap()[0].found_in.line, 3);
}

/// A writer waits for another that is soon done.
#[test]
fn a_writer_waits_its_turn() {
    let place = Place::with(&[source(TWO)]);
    let other = place.plain();
    other
        .execute_batch("BEGIN IMMEDIATE; UPDATE drink SET line = 99")
        .unwrap();
    std::thread::scope(|scope| {
        let waiting = scope.spawn(|| {
            place
                .open()
                .add(&source(&TWO.replace("Halt", "Siding")))
                .unwrap()
                .unwrap()
        });
        std::thread::sleep(std::time::Duration::from_millis(300));
        other.execute_batch("ROLLBACK").unwrap();
        assert_eq!(waiting.join().unwrap().new.len(), 2);
    });
}

#[test]
fn several_may_start_one_house_at_once() {
    const AT_ONCE: usize = 4;
    for round in 0..10 {
        let place = Place::new();
        let start = std::sync::Barrier::new(AT_ONCE);
        let created: usize = std::thread::scope(|scope| {
            let openers: Vec<_> = (0..AT_ONCE)
                .map(|i| {
                    let (place, start) = (&place, &start);
                    scope.spawn(move || {
                        start.wait();
                        let (mut house, created) = House::open(&place.path, Access::Write)
                            .unwrap_or_else(|e| panic!("round {round}: {e}"));
                        house
                            .add(&source(&TWO.replace("Halt", &format!("Halt {i}"))))
                            .unwrap()
                            .unwrap();
                        house.refresh().unwrap();
                        usize::from(created)
                    })
                })
                .collect();
            openers.into_iter().map(|o| o.join().unwrap()).sum()
        });
        assert!(created >= 1);
        let drinks = place.open().drinks().unwrap();
        assert_eq!(drinks.len(), 2);
        assert!(drinks.iter().all(|d| d.found_in.lists().count() == AT_ONCE));
        assert_eq!(
            usize::try_from(count(&place.plain(), "ingredient")).unwrap(),
            library().len()
        );
    }
}

/// An empty file, and a database with nothing in it: where a program was killed that made a house.
#[test]
fn an_empty_file_becomes_a_house() {
    let place = Place::new();
    std::fs::write(&place.path, "").unwrap();
    place.open().add(&source(TWO)).unwrap().unwrap();
    assert_eq!(place.open().drinks().unwrap().len(), 2);
}

#[test]
fn an_empty_database_becomes_a_house() {
    let place = Place::new();
    place.plain().pragma_update(None, "journal_mode", "wal").unwrap();
    place.open().add(&source(TWO)).unwrap().unwrap();
    assert_eq!(place.open().drinks().unwrap().len(), 2);
}

/// A program that was killed in a write leaves a journal to roll back: the next one to open does so.
#[test]
fn a_house_whose_writer_was_killed_is_rolled_back() {
    let place = Place::with(&[source(TWO)]);
    let before = place.rows();
    let db = place.plain();
    // With hardly any cache the pages of a write reach the file before it is committed.
    db.execute_batch("PRAGMA journal_mode = delete; PRAGMA cache_size = 1; BEGIN; UPDATE ingredient SET note = note || 'unfinished'").unwrap();
    for access in [Access::Read, Access::Write] {
        let killed = Place::new();
        std::fs::copy(&place.path, &killed.path).unwrap();
        std::fs::copy(
            place.path.with_file_name("house.db-journal"),
            killed.path.with_file_name("house.db-journal"),
        )
        .unwrap();
        let house = House::open(&killed.path, access)
            .unwrap_or_else(|e| panic!("{access:?}: {e}"))
            .0;
        assert_eq!(house.drinks().unwrap().len(), 2);
        drop(house);
        assert_eq!(killed.rows(), before);
    }
}

/// The same of another program's database: rolled back or not, it is not taken for a house.
#[test]
fn another_database_whose_writer_was_killed_is_left_alone() {
    let place = Place::new();
    let db = place.plain();
    db.execute_batch(
        "CREATE TABLE t (x); WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 9999)
         INSERT INTO t SELECT hex(i) FROM n; PRAGMA cache_size = 1; BEGIN; UPDATE t SET x = x || 'unfinished'",
    )
    .unwrap();
    for access in [Access::Read, Access::Write] {
        let killed = Place::new();
        for name in ["house.db", "house.db-journal"] {
            std::fs::copy(place.path.with_file_name(name), killed.path.with_file_name(name)).unwrap();
        }
        let opened = House::open(&killed.path, access);
        assert!(
            matches!(opened, Err(StoreError::NotOurs(_))),
            "{access:?}: {opened:?}"
        );
        let found = killed.plain();
        assert_eq!(
            names(&found, "SELECT name FROM sqlite_schema"),
            ["t"],
            "{access:?}"
        );
        assert_eq!(names(&found, "PRAGMA journal_mode"), ["delete"], "{access:?}");
        assert_eq!(
            names(&found, "SELECT count(*) FROM t WHERE x LIKE '%unfinished'"),
            ["0"]
        );
    }
}

// ---- For readers with any other client.

#[test]
fn the_file_says_whose_it_is_and_is_sound() {
    let place = Place::with(&[crate::book("lantern-halt.md")]);
    place
        .open()
        .keep_ingredient(&made("night syrup", &[("sugar", "300")]))
        .unwrap();
    let db = place.plain();
    let pragma = |name: &str| {
        db.query_row(&format!("PRAGMA {name}"), [], |r| r.get::<_, i64>(0))
            .unwrap()
    };
    assert_eq!(pragma("application_id"), 0x5741_5348);
    assert_eq!(pragma("user_version"), schema_version());
    assert_eq!(names(&db, "PRAGMA integrity_check"), ["ok"]);
    assert!(names(&db, "PRAGMA foreign_key_check").is_empty());
    assert_eq!(names(&db, "PRAGMA journal_mode"), ["wal"]);
    let tables = names(
        &db,
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'",
    );
    assert!(tables.len() >= 14, "{tables:?}");
    let lax = names(
        &db,
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND strict = 0 AND name NOT LIKE 'sqlite_%'",
    );
    assert!(lax.is_empty(), "not STRICT: {lax:?}");
    for wrong in [
        "UPDATE figure SET value = 'much'",
        "UPDATE verdict SET verdict = 'fine'",
        "UPDATE finding SET severity = 'dire'",
        "UPDATE ingredient_value SET low = value + 1",
        "UPDATE ingredient_value SET source = ''",
        "INSERT INTO house_range VALUES ('stirred', 'abv_pct', 2, 1, 0, 'x')",
        "INSERT INTO step VALUES (999999, 0, 'pour', 'x', NULL, NULL, NULL)",
        "INSERT INTO drink (book_id, name, name_key, position, line) VALUES (999999, 'a', 'a', 0, 1)",
        "UPDATE book SET settings_json = '{'",
    ] {
        db.pragma_update(None, "foreign_keys", true).unwrap();
        assert!(db.execute(wrong, []).is_err(), "{wrong}");
    }
    // What belongs to a book goes with it.
    db.execute("DELETE FROM book", []).unwrap();
    for table in [
        "drink",
        "spec_version",
        "step",
        "result",
        "figure",
        "verdict",
        "finding",
        "assumption",
        "pour",
    ] {
        assert_eq!(count(&db, table), 0, "{table}");
    }
}

#[test]
fn an_ingredient_kept_again_leaves_nothing_behind() {
    let place = Place::with(&[]);
    let mut house = place.open();
    let rows = || {
        (
            count(&place.plain(), "ingredient"),
            count(&place.plain(), "ingredient_value"),
        )
    };
    let before = rows();
    for sugar in ["300", "310", "320"] {
        house
            .keep_ingredient(&made("Night  Syrup", &[("sugar", sugar)]))
            .unwrap();
        house
            .keep_ingredient(&made("night syrup", &[("sugar", sugar), ("acid", "5")]))
            .unwrap();
    }
    assert_eq!(rows(), (before.0 + 1, before.1 + 2));
    assert_eq!(house.pantry().unwrap().len(), library().len() + 1);
}

#[test]
fn the_library_stands_in_the_file_for_readers() {
    let place = Place::with(&[]);
    let in_file = || {
        let db = place.plain();
        let of = |sql: &str| -> usize {
            db.query_row(sql, [], |r| r.get::<_, i64>(0))
                .unwrap()
                .try_into()
                .unwrap()
        };
        (
            of("SELECT count(*) FROM ingredient WHERE origin = 'library'"),
            of("SELECT count(*) FROM ingredient_values WHERE origin = 'library'"),
        )
    };
    let known = (library().len(), library().iter().map(|i| i.values.len()).sum());
    assert_eq!(in_file(), known);
    // Of another program's library, it is brought in step on opening; the house's own stays.
    place
        .open()
        .keep_ingredient(&made("night syrup", &[("sugar", "300")]))
        .unwrap();
    place
        .plain()
        .execute_batch("PRAGMA foreign_keys = ON; DELETE FROM ingredient WHERE origin = 'library' AND id % 3 = 0; UPDATE setting SET value = 'older' WHERE name = 'library'")
        .unwrap();
    assert_ne!(in_file(), known);
    let house = place.open();
    assert_eq!(in_file(), known);
    assert!(house.pantry().unwrap().has("night syrup"));
}

#[test]
fn the_views_have_the_columns_that_are_documented() {
    let place = Place::with(&[crate::book("lantern-halt.md")]);
    let reports = place.open().drinks().unwrap();
    let db = place.plain();
    for (view, columns) in [
        (
            "current_spec",
            "id drink_id version spec_text written_text glass garnish price price_currency added_at drink drink_key drink_position line book book_id",
        ),
        (
            "drink_balance",
            "drink book structure melt_model convention volume_ml abv_pct sugar_g_per_100ml acid_g_per_100ml sugar_to_acid water_gained_ml ethanol_g standard_drinks standard_drinks_of energy_kj temperature_c strength_verdict sweetness_verdict tartness_verdict glass glass_capacity_ml glass_fill_pct price price_currency allergens_eu allergens_us",
        ),
        ("flagged", "drink book severity kind measure message"),
        (
            "pours",
            "drink book position place written ingredient volume_ml mass_g ethanol_g sugar_g acid_g",
        ),
        (
            "ingredient_values",
            "ingredient origin kind quantity value low high unit shape convention source status",
        ),
        (
            "intervals",
            "drink book figure value low high standard_uncertainty",
        ),
        ("doubts", "drink book measure input share settled_by"),
    ] {
        let select = db.prepare_cached(&format!("SELECT * FROM {view}")).unwrap();
        assert_eq!(select.column_names().join(" "), columns, "{view}");
        assert!(count(&db, view) > 0, "{view}");
    }
    // Views of what nobody has kept here yet.
    for (view, columns) in [
        (
            "weighings",
            "drink book version before_g after_g temperature_c seconds ice_g weighed_at note",
        ),
        (
            "price_list",
            "name offer package packs each_amount sold_by price currency tax_pct tax_included deposit yield_text waste_pct loss_pct portion source since book",
        ),
        (
            "tastings",
            "drink book version verdict note taster tasted_at is_current",
        ),
    ] {
        let select = db.prepare_cached(&format!("SELECT * FROM {view}")).unwrap();
        assert_eq!(select.column_names().join(" "), columns, "{view}");
    }

    let mut by_name: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for row in names(
        &db,
        "SELECT drink, structure, abv_pct, acid_g_per_100ml, standard_drinks, strength_verdict, tartness_verdict, glass_capacity_ml, price FROM drink_balance",
    ) {
        by_name
            .entry(row.split(" | ").next().unwrap().to_owned())
            .or_default()
            .push(row);
    }
    assert_eq!(by_name.len(), reports.len());
    for report in &reports {
        let e = &report.evaluation;
        let real = |v: Option<f64>| v.map_or_else(|| "null".to_owned(), |v| format!("{v:?}"));
        let expected = [
            report.name().to_owned(),
            e.structure.map_or("null", Structure::name).to_owned(),
            real(e.figures.abv_pct.value),
            real(e.figures.acid_g_per_100ml.value),
            real(e.figures.standard_drinks.value),
            e.verdicts[0].word().to_owned(),
            e.verdicts[2].word().to_owned(),
            real(e.glass.as_ref().map(|g| g.capacity_ml)),
            report
                .drink
                .price
                .as_ref()
                .map_or_else(|| "null".to_owned(), |price| price.amount.to_string()),
        ];
        assert_eq!(by_name[report.name()], [expected.join(" | ")]);
    }
    let pours: usize = reports.iter().map(|r| r.pours().len()).sum();
    let findings: usize = reports.iter().map(|r| r.evaluation.findings.len()).sum();
    assert_eq!(count(&db, "pours"), i64::try_from(pours).unwrap());
    assert_eq!(count(&db, "flagged"), i64::try_from(findings).unwrap());
    let severities = names(&db, "SELECT severity FROM flagged");
    let rank = |s: &String| {
        ["fault", "outside", "edge", "note"]
            .iter()
            .position(|r| r == s)
            .unwrap()
    };
    assert!(
        severities.windows(2).all(|w| rank(&w[0]) <= rank(&w[1])),
        "the gravest first: {severities:?}"
    );

    // A house in memory comes to the same as one in a file, and one read again to the same as before.
    let mut memory = House::in_memory().unwrap();
    memory.add(&crate::book("lantern-halt.md")).unwrap().unwrap();
    assert_eq!(told(&memory.drinks().unwrap()), told(&reports));
    let again = House::open(&place.path, Access::Read).unwrap().0;
    assert_eq!(told(&again.drinks().unwrap()), told(&reports));
}

/// All that is told of drinks, to be compared.
fn told(drinks: &[ComputedDrink]) -> Vec<(FoundIn, String, Evaluation, Vec<PourFigures>)> {
    drinks
        .iter()
        .map(|d| {
            (
                d.found_in.clone(),
                d.source.text.clone(),
                d.evaluation.clone(),
                d.pours(),
            )
        })
        .collect()
}
