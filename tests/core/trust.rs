//! What is said of a house is so: a file that is called in order is one that shows what was put into it, whatever bits,
//! pages or rows of it were changed behind the program's back.

use std::path::Path;

use rand::rngs::StdRng;
use rand::{RngExt as _, SeedableRng as _};
use rusqlite::Connection;
use washline_core::spec::Source;
use washline_core::store::{Access, Examined, House, examine, repair};

use crate::at_rest;

const AT: &str = "2025-06-01T00:00:00Z";

const HALT: &str = "\
# Halt
ounce: 30 ml

## Owl
glass: coupe, 150 ml
price: 12.50 EUR
garnish: lemon zest

- 60 ml dry gin
- 10 ml dry vermouth
- stir
- strain

## Wren
- 60 ml white rum
- 22.5 ml lime juice
- 22.5 ml bay syrup
- shake
- strain

## Bay syrup
makes: an ingredient
- 500 g sugar
- 400 g water
- stir

## Tern
- 60 ml white rum
- 30 ml lime juice
- 60 ml simple syrup 1:1 by mass
- shake
- strain
";

/// A house at rest in one file.
fn house(path: &Path) {
    let mut house = House::open(path, Access::Write).unwrap().0;
    house.at(crate::when(AT));
    house.add(&Source::new("halt.md", HALT)).unwrap().unwrap();
    house.refresh().unwrap();
}

fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    house(&folder.path().join("h.db"));
    folder
}

/// Change a file as another program would, without its constraints.
fn change(path: &Path, sql: &str) {
    let db = Connection::open(path).unwrap();
    db.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON;")
        .unwrap();
    db.execute_batch(sql).unwrap();
    db.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        .unwrap();
}

/// Where two texts part.
fn part(a: &str, b: &str) -> String {
    let at = a.bytes().zip(b.bytes()).take_while(|(a, b)| a == b).count();
    let about = |text: &str| {
        String::from_utf8_lossy(&text.as_bytes()[at.saturating_sub(60)..(at + 60).min(text.len())])
            .into_owned()
    };
    format!("{:?} is shown as {:?}", about(a), about(b))
}

/// Numbers as they are shown at most, with six decimals: the last bits are another machine's rounding as well.
fn rounded(text: &str) -> String {
    let is_number = |c: char| c.is_ascii_digit() || c == '.';
    let mut all = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(is_number) {
        all.push_str(&rest[..at]);
        let length = rest[at..].find(|c| !is_number(c)).unwrap_or(rest.len() - at);
        let number = &rest[at..at + length];
        match number.parse::<f64>() {
            Ok(x) if number.contains('.') => all.push_str(&format!("{x:.6}")),
            _ => all.push_str(number),
        }
        rest = &rest[at + length..];
    }
    all + rest
}

/// Everything that a house shows of its drinks; `None` where it does not open or cannot be read. The name that a book's
/// file had is taken as it stands: nothing says what else it could be.
fn shown(path: &Path) -> Option<String> {
    let mut house = House::open(path, Access::Read).ok()?.0;
    house.refresh().ok()?;
    let drinks: Vec<String> = house
        .drinks()
        .ok()?
        .iter()
        .map(|d| format!("{} {:?}", d.name(), d.evaluation))
        .collect();
    let made: Vec<String> = house
        .preparations()
        .ok()?
        .iter()
        .map(|p| p.name().to_owned())
        .collect();
    let list = house.list().ok()?;
    drop(house);
    // What other readers are shown.
    let db = Connection::open(path).ok()?;
    let mut select = db
        .prepare_cached("SELECT b.*, f.message FROM drink_balance b LEFT JOIN flagged f USING (drink, book)")
        .ok()?;
    let width = select.column_count();
    let stored: Vec<String> = select
        .query_map([], |row| {
            (0..width)
                .map(|i| row.get::<_, rusqlite::types::Value>(i))
                .collect::<rusqlite::Result<Vec<_>>>()
        })
        .ok()?
        .map(|row| row.map(|row| format!("{row:?}")))
        .collect::<rusqlite::Result<_>>()
        .ok()?;
    Some(rounded(&format!("{list:?}\n{drinks:#?}\n{made:?}\n{stored:#?}")))
}

#[test]
fn a_sound_house_is_in_order() {
    let folder = folder();
    let found = examine(&folder.path().join("h.db")).unwrap();
    assert!(found.is_sound(), "{found:?}");
    assert!(found.drinks == 3 && found.preparations > 0 && found.beside.is_empty());
}

/// One change of each sort, and the list it has to be told in.
#[test]
fn each_sort_of_change_is_told_as_what_it_is() {
    type Told = fn(&Examined) -> Vec<String>;
    let cases: [(&str, Told, &str); 13] = [
        (
            "UPDATE figure SET value = 9e999 WHERE figure = 'abv_pct'",
            |e| e.at_odds.clone(),
            "no finite number",
        ),
        (
            "UPDATE figure SET value = value + 1 WHERE figure = 'abv_pct'",
            |e| e.wrong.clone(),
            "figure value",
        ),
        (
            "UPDATE figure SET value = NULL WHERE figure = 'abv_pct'",
            |e| e.wrong.clone(),
            "nothing stored",
        ),
        ("DELETE FROM finding", |e| e.wrong.clone(), "of finding stored"),
        (
            "UPDATE pour SET mass_g = mass_g * 2",
            |e| e.wrong.clone(),
            "pour mass_g",
        ),
        (
            "UPDATE preparation_result SET abv_pct = 50",
            |e| e.wrong.clone(),
            "preparation_result abv_pct",
        ),
        (
            "UPDATE verdict SET verdict = 'fine'",
            |e| e.damage.clone(),
            "CHECK constraint failed in verdict",
        ),
        (
            "UPDATE result SET fingerprint = 'x'",
            |e| e.stale.iter().map(|s| s.0.clone()).collect(),
            "Wren",
        ),
        (
            "UPDATE drink SET name = 'Wran' WHERE name_key = 'wren'",
            |e| e.at_odds.clone(),
            "is found by `wren`",
        ),
        (
            "UPDATE drink SET position = position + 1",
            |e| e.at_odds.clone(),
            "by the text it is number",
        ),
        (
            "UPDATE drink SET removed_at = '' WHERE name_key = 'wren'",
            |e| e.at_odds.clone(),
            "not among the drinks",
        ),
        (
            "UPDATE spec_version SET version = version + 3",
            |e| e.at_odds.clone(),
            "the last is number",
        ),
        (
            "UPDATE ingredient_value SET value = high WHERE value < high",
            |e| e.wrong.clone(),
            "reference library",
        ),
    ];
    for (sql, told, word) in cases {
        let folder = folder();
        let path = folder.path().join("h.db");
        change(&path, sql);
        let bytes = std::fs::read(&path).unwrap();
        let found = examine(&path).unwrap();
        let said = told(&found).join("\n");
        assert!(!found.is_sound() && said.contains(word), "{sql}: {found:?}");
        assert!(
            std::fs::read(&path).unwrap() == bytes,
            "{sql}: the file was changed"
        );
    }
}

#[test]
fn an_empty_or_partial_file_is_never_in_order() {
    let folder = folder();
    let path = folder.path().join("h.db");
    let whole = std::fs::read(&path).unwrap();
    let part = folder.path().join("part.db");
    for length in [
        0,
        1,
        16,
        100,
        512,
        4095,
        4096,
        8192,
        whole.len() / 2,
        whole.len() - 1,
    ] {
        at_rest(&part, &whole[..length]);
        match examine(&part) {
            Ok(found) => assert!(!found.damage.is_empty(), "{length} bytes: {found:?}"),
            Err(error) => assert!(
                error.to_string().contains("not a house"),
                "{length} bytes: {error}"
            ),
        }
    }
    // One that was begun and has no table yet.
    std::fs::remove_file(&part).unwrap();
    Connection::open(&part)
        .unwrap()
        .execute_batch("PRAGMA journal_mode = WAL")
        .unwrap();
    assert!(!examine(&part).unwrap().is_sound());
}

#[test]
fn what_lies_beside_a_file_is_named() {
    let folder = folder();
    let path = folder.path().join("h.db");
    let mut open = House::open(&path, Access::Write).unwrap().0;
    open.set("ounce", "30 ml").unwrap().unwrap();
    let found = examine(&path).unwrap();
    assert_eq!(found.beside.len(), 1, "{found:?}");
    assert!(found.beside[0].0.ends_with("h.db-wal"));
}

/// What can be worked out is mended; what was typed is left, and told.
#[test]
fn a_repair_rebuilds_results_and_says_what_it_could_not() {
    for (sql, whole) in [
        ("UPDATE figure SET value = 9e999", true),
        ("UPDATE verdict SET verdict = 'fine'", true),
        ("DELETE FROM figure; DELETE FROM preparation_part", true),
        (
            "UPDATE result SET structure = 'nothing we know', allergens_eu = 'moonlight'",
            true,
        ),
        ("UPDATE ingredient_value SET value = high", true),
        ("UPDATE drink SET name = 'Wran' WHERE name_key = 'wren'", false),
        (
            "UPDATE spec_version SET spec_text = replace(spec_text, 'dry vermouth', 'frobnitz')",
            false,
        ),
    ] {
        let folder = folder();
        let path = folder.path().join("h.db");
        let typed = "SELECT group_concat(name || spec_text || book_text) FROM drink JOIN spec_version ON drink_id = drink.id JOIN book_text USING (book_id)";
        let before = shown(&path);
        change(&path, sql);
        let read = |path: &Path| -> String {
            Connection::open(path)
                .unwrap()
                .query_row(typed, [], |r| r.get(0))
                .unwrap()
        };
        let as_typed = read(&path);
        let repaired = repair(&path).unwrap();
        assert_eq!(repaired.left.is_sound(), whole, "{sql}: {repaired:?}");
        assert_eq!(read(&path), as_typed, "{sql}");
        if whole {
            assert!(repaired.rebuilt > 2, "{sql}: {repaired:?}");
            assert_eq!(shown(&path), before, "{sql}");
        }
    }
}

/// So many changes of bits, cuts and swaps; more of them where the environment says so.
fn times(usual: usize) -> usize {
    let said = std::env::var("WASHLINE_FAULTS").ok().and_then(|n| n.parse().ok());
    said.unwrap_or(usual)
}

/// A file is called in order only where it shows what it showed before.
#[test]
#[allow(clippy::print_stdout)]
fn what_is_called_in_order_shows_what_was_put_in() {
    let folder = folder();
    let path = folder.path().join("h.db");
    let good = shown(&path).unwrap();
    let whole = std::fs::read(&path).unwrap();
    // Most of a small house is the copy of the library: every other change is made elsewhere.
    let elsewhere: Vec<usize> = {
        let db = Connection::open(&path).unwrap();
        let mut select = db
            .prepare_cached("SELECT pageno FROM dbstat WHERE name NOT LIKE 'ingredient%' AND name NOT LIKE 'sqlite_autoindex_ingredient%'")
            .unwrap();
        let pages = select.query_map([], |r| r.get::<_, i64>(0)).unwrap();
        pages.map(|p| usize::try_from(p.unwrap()).unwrap() - 1).collect()
    };
    drop(std::fs::remove_file(folder.path().join("h.db-wal")));
    let page = 4096;
    let mut random = StdRng::seed_from_u64(19);
    let (mut missed, mut told, mut harmless) = (Vec::new(), 0, 0);
    for n in 0..times(60) {
        let mut bytes = whole.clone();
        let at = if n % 2 == 0 {
            random.random_range(0..bytes.len())
        } else {
            elsewhere[random.random_range(0..elsewhere.len())] * page + random.random_range(0..page)
        };
        let what = match n % 10 {
            7 => {
                bytes.truncate(at);
                format!("cut at {at}")
            }
            8 => {
                let (a, b) = (
                    at / page * page,
                    random.random_range(0..bytes.len() / page) * page,
                );
                for i in 0..page {
                    bytes.swap(a + i, b + i);
                }
                format!("pages at {a} and {b} swapped")
            }
            9 => {
                let a = at / 512 * 512;
                bytes[a..a + 512].fill(0);
                format!("sector at {a} lost")
            }
            _ => {
                let bit = random.random_range(0..8);
                bytes[at] ^= 1 << bit;
                format!("bit {bit} at {at} turned")
            }
        };
        let copy = folder.path().join("bad.db");
        at_rest(&copy, &bytes);
        let sound = examine(&copy).is_ok_and(|e| e.is_sound());
        match (sound, shown(&copy)) {
            (true, Some(now)) if now == good => harmless += 1,
            (true, None) => missed.push(format!("{what}: is refused")),
            (true, Some(now)) => missed.push(format!("{what}: {}", part(&good, &now))),
            (false, _) => told += 1,
        }
        for beside in ["bad.db-wal", "bad.db-shm", "bad.db-journal"] {
            let _ = std::fs::remove_file(folder.path().join(beside));
        }
    }
    println!(
        "{told} told, {harmless} in free space or without effect, {} missed",
        missed.len()
    );
    assert!(missed.is_empty(), "called in order:\n{}", missed.join("\n"));
}
