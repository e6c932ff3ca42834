//! The journal of a house: every write leaves one entry, and every entry can be taken back to the byte, and back again.

use std::collections::BTreeMap;

use rusqlite::Connection;
use rusqlite::types::Value;
use washline_core::spec::Source;
use washline_core::store::{Access, House, NewTasting, NotUndone, examine};
use washline_core::tables::When;

use crate::dump::{DERIVED, Dump, but_the_library, dump, input_tables};

/// A folder with a house file in it.
pub struct Place {
    _folder: tempfile::TempDir,
    pub path: std::path::PathBuf,
}

impl Place {
    pub fn new() -> Place {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("house.db");
        Place {
            _folder: folder,
            path,
        }
    }

    pub fn with(text: &str) -> Place {
        let place = Place::new();
        place.open().add(&Source::new("list.md", text)).unwrap().unwrap();
        place
    }

    pub fn open(&self) -> House {
        let mut house = House::open(&self.path, Access::Write).unwrap().0;
        house.at(crate::when("2026-11-20"));
        house
    }

    pub fn plain(&self) -> Connection {
        let db = Connection::open(&self.path).unwrap();
        db.pragma_update(None, "foreign_keys", true).unwrap();
        db
    }

    pub fn dump(&self) -> Dump {
        dump(&self.plain())
    }
}

pub const LIST: &str = "\
# Winter lsit
currency: EUR

## Honey syrup
makes: an ingredient
- 300 g honey
- 300 g water

## House limes
is: an ingredient
kind: juice
acid: 56 g/l
sugar: 16 g/l
allergens: none
source: titration, 3 November

## Owl
glass: coupe
price: 12.50
garnish: lemon twist

- 60 ml dry gin
- 22.5 ml lemon juice
- 20 ml Honey syrup
- shake
- fine strain

## Wren
- 60 ml white rum
- 22.5 ml House limes
- 20 ml simple syrup 1:1 by mass
- shake
- fine strain
";

#[test]
fn every_table_that_people_fill_writes_into_the_journal() {
    let place = Place::with(LIST);
    let db = place.plain();
    for table in input_tables(&db) {
        let columns: Vec<String> = db
            .prepare_cached(&format!("SELECT name FROM pragma_table_info('{table}')"))
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<rusqlite::Result<_>>()
            .unwrap();
        for event in ["insert", "update", "rekeyed", "delete"] {
            let sql: String = db
                .query_row(
                    "SELECT sql FROM sqlite_schema WHERE type = 'trigger' AND tbl_name = ?1 AND name = ?2",
                    [&table, &format!("journal_{table}_{event}")],
                    |row| row.get(0),
                )
                .unwrap_or_else(|_| panic!("{table} has no journal_{table}_{event}"));
            // Nothing of a row is left out.
            for column in &columns {
                assert!(
                    sql.contains(&format!("'{column}', ")),
                    "{table} {event}: {column}"
                );
                if event == "update" {
                    for side in ["OLD", "NEW"] {
                        let found = sql.matches(&format!("{side}.{column}")).count();
                        assert!(found >= 2, "{table} {event}: {side}.{column}");
                    }
                }
            }
        }
    }
}

#[test]
fn a_list_under_a_mistyped_title_goes_in_one_step_and_comes_back_in_another() {
    let place = Place::new();
    let before = {
        place.open();
        place.dump()
    };
    let mut house = place.open();
    house.add(&Source::new("winter.md", LIST)).unwrap().unwrap();
    let with = place.dump();
    let last = house.last_entry().unwrap().unwrap();
    assert_eq!(
        (last.what.as_str(), &last.at),
        ("add \"Winter lsit\": 3 new", &Some(crate::when("2026-11-20")))
    );
    // Tried, it says what it would do and does nothing.
    let tried = house.undo(last.number, true).unwrap().unwrap();
    assert_eq!(
        tried.effects,
        [
            "takes 2 drinks off \"Winter lsit\": Owl; Wren",
            "takes 1 preparation off \"Winter lsit\": Honey syrup",
            "takes the list \"Winter lsit\" out of the house",
            "takes the ingredient \"House limes\" of \"Winter lsit\" out",
        ]
    );
    assert_eq!((tried.by, place.dump()), (None, with.clone()));
    let undone = house.undo(last.number, false).unwrap().unwrap();
    assert_eq!(undone.effects, tried.effects);
    assert_eq!(place.dump(), before);
    assert!(house.list().unwrap().is_empty());
    assert!(house.last_entry().unwrap().is_none());
    // The right list goes in meanwhile; the first can come back all the same.
    let other = Source::new("other.md", LIST.replace("lsit", "list"));
    house.add(&other).unwrap().unwrap();
    let again = house.undo(undone.by.unwrap(), false).unwrap().unwrap();
    assert_eq!(again.effects[0], "puts 2 drinks on \"Winter lsit\": Owl; Wren");
    let listed = house.list().unwrap();
    assert_eq!(listed.len(), 2);
    assert!(listed.iter().all(|l| l.also_on.len() == 1));
    let words: Vec<String> = house.journal().unwrap().into_iter().map(|e| e.what).collect();
    assert_eq!(
        words,
        [
            "again: add \"Winter lsit\": 3 new",
            "add \"Winter list\": 3 new",
            "undo: add \"Winter lsit\": 3 new",
            "add \"Winter lsit\": 3 new",
        ]
    );
    // And the whole of it to the byte, once the other list is gone again.
    let other = house.journal().unwrap()[1].number;
    house.undo(other, false).unwrap().unwrap();
    assert_eq!(place.dump(), with);
    drop(house);
    assert!(examine(&place.path).unwrap().is_sound());
}

#[test]
fn what_a_later_entry_changed_is_not_taken_back_under_it() {
    let place = Place::with(LIST);
    let mut house = place.open();
    let added = house.last_entry().unwrap().unwrap().number;
    house
        .taste(&NewTasting {
            drink: "Owl",
            book: None,
            version: None,
            verdict: &washline_core::balance::Palate::read("too sweet").unwrap(),
            note: "",
            taster: "the porter",
            at: crate::when("2026-11-21"),
        })
        .unwrap()
        .unwrap();
    let tasted = house.last_entry().unwrap().unwrap();
    let kept = place.dump();
    let Err(NotUndone::Later(later)) = house.undo(added, false).unwrap() else {
        panic!("undone under a tasting");
    };
    assert_eq!(later, std::slice::from_ref(&tasted));
    assert_eq!(place.dump(), kept);
    // In their order they go.
    let undone = house.undo(tasted.number, false).unwrap().unwrap();
    assert_eq!(
        undone.effects,
        ["takes the tasting of \"Owl\" (too sweet, 2026-11-21, the porter) away"]
    );
    house.undo(added, false).unwrap().unwrap();
    assert!(matches!(
        house.undo(added, false).unwrap(),
        Err(NotUndone::Already(..))
    ));
    assert!(matches!(
        house.undo(99, false).unwrap(),
        Err(NotUndone::NoEntry(99))
    ));
    // The tasting cannot come back without its drink, and says what took that.
    let tasting_back = undone.by.unwrap();
    assert!(matches!(
        house.undo(tasting_back, false).unwrap(),
        Err(NotUndone::Later(_))
    ));
}

#[test]
fn settings_are_undone_one_after_the_other() {
    let place = Place::new();
    let mut house = place.open();
    for value in ["0.8 ml", "0.9 ml", "1 ml"] {
        house.set("dash", value).unwrap().unwrap();
    }
    // The same once more changes nothing, and leaves no entry.
    house.set("dash", "1 ml").unwrap().unwrap();
    assert_eq!(house.journal().unwrap().len(), 3);
    assert!(matches!(house.undo(2, true).unwrap(), Err(NotUndone::Later(_))));
    let undone = house.undo(3, false).unwrap().unwrap();
    assert_eq!(undone.effects, ["dash 1 ml → 0.9 ml"]);
    // What was taken back stands in nobody's way.
    house.undo(2, false).unwrap().unwrap();
    house.undo(1, false).unwrap().unwrap();
    assert!(house.settings_written().unwrap().is_empty());
    // Back up the same way.
    let by = |house: &House, n: i64| {
        let all = house.journal().unwrap();
        all.into_iter()
            .find(|e| e.number == n)
            .unwrap()
            .undone_by
            .unwrap()
    };
    for n in [1, 2, 3] {
        let undo = by(&house, n);
        house.undo(undo, false).unwrap().unwrap();
    }
    assert_eq!(
        house.settings_written().unwrap(),
        [("dash".to_owned(), "1 ml".to_owned())]
    );
    assert_eq!(house.last_entry().unwrap().unwrap().number, 3);
}

#[test]
fn what_another_program_writes_is_an_entry_of_its_own() {
    let place = Place::with(LIST);
    let before = place.dump();
    let bits = [
        0.1,
        2.0 / 3.0,
        f64::MIN_POSITIVE,
        5e-324,
        1.797_693_134_862_315_7e308,
    ];
    {
        let db = place.plain();
        db.execute("INSERT INTO setting (name, value) VALUES ('country', 'UK')", [])
            .unwrap();
        for (i, low) in bits.iter().enumerate() {
            db.execute(
                "INSERT INTO house_range (structure, measure, low, high, decimals, source) VALUES (?1, 'abv_pct', ?2, 1.8e308 / 1.1, 1, 'the ''house''' || char(10))",
                rusqlite::params![format!("a {i}"), low],
            )
            .unwrap();
        }
    }
    let written = place.dump();
    let mut house = place.open();
    let last = house.last_entry().unwrap().unwrap();
    assert_eq!(last.what, "written by another program");
    assert!(matches!(last.at, Some(When::Moment(_))), "{last:?}");
    // What this program writes then is not theirs, nor what they write after it.
    house.set("dash", "0.8 ml").unwrap().unwrap();
    place
        .plain()
        .execute("DELETE FROM setting WHERE name = 'country'", [])
        .unwrap();
    let whats: Vec<String> = house.journal().unwrap().into_iter().map(|e| e.what).collect();
    assert_eq!(whats.len(), 4, "{whats:?}");
    for entry in house.journal().unwrap().into_iter().take(2) {
        house.undo(entry.number, false).unwrap().unwrap();
    }
    assert_eq!(place.dump(), written);
    let undone = house.undo(last.number, false).unwrap().unwrap();
    assert_eq!(place.dump(), before);
    house.undo(undone.by.unwrap(), false).unwrap().unwrap();
    assert_eq!(place.dump(), written);
}

#[test]
fn a_number_keeps_every_bit_on_its_way_through_the_journal() {
    use rand::{RngExt as _, SeedableRng as _};
    let place = Place::new();
    place.open();
    let mut rng = rand::rngs::StdRng::seed_from_u64(19);
    let db = place.plain();
    db.execute_batch("BEGIN").unwrap();
    for i in 0..5000_u64 {
        let bits: u64 = rng.random::<u64>() & 0x7fff_ffff_ffff_ffff;
        let x = f64::from_bits(bits);
        if x.is_finite() {
            db.execute(
                "INSERT INTO house_range (structure, measure, low, high, decimals, source) VALUES (?1, 'abv_pct', 0, ?2, 1, 'x')",
                rusqlite::params![i.to_string(), x],
            )
            .unwrap();
        }
    }
    db.execute_batch("COMMIT").unwrap();
    drop(db);
    let kept = place.dump();
    assert!(kept["house_range"].len() > 4000);
    let mut house = place.open();
    // What is written after that is another entry.
    house.set("dash", "1 ml").unwrap().unwrap();
    place.plain().execute("DELETE FROM house_range", []).unwrap();
    let gone = house.last_entry().unwrap().unwrap().number;
    house.undo(gone, false).unwrap().unwrap();
    assert_eq!(place.dump()["house_range"], kept["house_range"]);
}

/// A house as the program of schema 8 left it: two versions, tastings, a weighing, prices, settings, a range, a drink
/// that was taken off the list. Kept small: the copy of the library, which every program makes for itself, is left out.
#[test]
fn a_house_of_the_schema_before_keeps_its_data() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.db");
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/houses/schema-008.db");
    std::fs::copy(kept, &path).unwrap();
    // Every cell by its column, of every table that is still there; columns that came since aside.
    let cells = |columns: &BTreeMap<String, Vec<String>>| -> Dump {
        let db = Connection::open(&path).unwrap();
        columns
            .iter()
            .map(|(table, columns)| {
                let aside = but_the_library(table);
                let mut rows: Vec<String> = db
                    .prepare_cached(&format!("SELECT {} FROM {table} {aside}", columns.join(", ")))
                    .unwrap()
                    .query_map([], |row| {
                        let row: Vec<String> = (0..columns.len())
                            .map(|i| format!("{:?}", row.get::<_, Value>(i).unwrap()))
                            .collect();
                        Ok(row.join(" | "))
                    })
                    .unwrap()
                    .collect::<rusqlite::Result<_>>()
                    .unwrap();
                rows.sort();
                (table.clone(), rows)
            })
            .collect()
    };
    let columns: BTreeMap<String, Vec<String>> = {
        let db = Connection::open(&path).unwrap();
        assert_eq!(
            db.query_row("PRAGMA user_version", [], |r| r.get::<_, i64>(0))
                .unwrap(),
            8
        );
        let mut select = db
            .prepare_cached("SELECT s.name, c.name FROM sqlite_schema s JOIN pragma_table_info(s.name) c WHERE s.type = 'table' ORDER BY 1, c.cid")
            .unwrap();
        let mut all: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut rows = select.query([]).unwrap();
        while let Some(row) = rows.next().unwrap() {
            let table: String = row.get(0).unwrap();
            if !DERIVED.contains(&table.as_str()) {
                all.entry(table).or_default().push(row.get(1).unwrap());
            }
        }
        all
    };
    let before = cells(&columns);
    assert_eq!(
        (
            before["spec_version"].len(),
            before["price"].len(),
            before["weighing"].len()
        ),
        (4, 2, 1)
    );
    let mut house = House::open(&path, Access::Write).unwrap().0;
    assert_eq!(cells(&columns), before);
    assert!(examine(&path).unwrap().dangling.is_empty());
    // It goes on from there: its versions are its history, what is done now can be taken back.
    assert!(house.journal().unwrap().is_empty());
    let clock = &house.drink_history("Platform Clock").unwrap()[0];
    assert_eq!(clock.versions.len(), 2);
    assert_eq!(
        (
            clock.versions[1].tastings.len(),
            clock.versions[1].weighings.len()
        ),
        (1, 1)
    );
    let lamp = &house.drink_history("Lamp Oil").unwrap()[0];
    assert!(lamp.removed_at.is_some());
    let input = dump(&Connection::open(&path).unwrap());
    house.set("dash", "1 ml").unwrap().unwrap();
    let last = house.last_entry().unwrap().unwrap().number;
    house.undo(last, false).unwrap().unwrap();
    assert_eq!(dump(&Connection::open(&path).unwrap()), input);
}
