//! Results that other readers of the file see: fresh after every write, whoever wrote, and not looked at again where
//! nothing was changed.

use rusqlite::Connection;
use rust_decimal::Decimal;
use washline_core::ingredient::{Defined, Origin};
use washline_core::spec::Source;
use washline_core::store::{Access, House, PreparedInShort, Scale, examine};

const BOOK: &str = "# Halt\n\n## Owl\n- 60 ml dry gin\n- 22.5 ml lemon juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- fine strain\n\n## Wren\n- 60 ml white rum\n- 22.5 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- fine strain\n";

struct Kept {
    _folder: tempfile::TempDir,
    path: std::path::PathBuf,
}

impl Kept {
    fn new() -> Kept {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("house.db");
        let mut house = House::open(&path, Access::Write).unwrap().0;
        house.add(&Source::new("halt.md", BOOK)).unwrap().unwrap();
        Kept {
            _folder: folder,
            path,
        }
    }

    fn open(&self) -> House {
        House::open(&self.path, Access::Write).unwrap().0
    }

    /// Any other client of SQLite.
    fn plain(&self) -> Connection {
        let db = Connection::open(&self.path).unwrap();
        db.pragma_update(None, "foreign_keys", true).unwrap();
        db
    }

    /// What another reader is told of a drink.
    fn figure(&self, drink: &str, figure: &str) -> Option<f64> {
        self.plain()
            .query_row(
                "SELECT value FROM intervals WHERE drink = ?1 AND figure = ?2",
                [drink, figure],
                |row| row.get(0),
            )
            .unwrap()
    }
}

#[test]
fn a_book_that_is_added_has_its_results_at_once() {
    let kept = Kept::new();
    assert!(kept.figure("Owl", "abv_pct").unwrap() > 10.0);
    assert!(kept.figure("Wren", "abv_pct").unwrap() > 10.0);
}

#[test]
fn a_setting_leaves_nothing_stale() {
    let kept = Kept::new();
    let before = kept.figure("Wren", "acid_g_per_100ml").unwrap();
    kept.open()
        .set("acid convention", "assay")
        .unwrap()
        .unwrap()
        .unwrap();
    let after = kept.figure("Wren", "acid_g_per_100ml").unwrap();
    assert!(after < 0.9 * before, "{before} {after}");
    assert!(kept.open().unset("acid convention").unwrap());
    assert_eq!(kept.figure("Wren", "acid_g_per_100ml"), Some(before));
}

/// The trigger that marks a spec stale, to be put back: a house without it is none of ours.
fn trigger(db: &Connection) -> String {
    let sql = "SELECT sql FROM sqlite_schema WHERE name = 'stale_spec_version_update'";
    db.query_row(sql, [], |row| row.get(0)).unwrap()
}

#[test]
fn where_nothing_was_changed_nothing_is_read() {
    let kept = Kept::new();
    // Behind the back of the triggers: only reading the specs again would find it.
    let db = kept.plain();
    let trigger = trigger(&db);
    db.execute_batch(
        "DROP TRIGGER stale_spec_version_update;
         UPDATE spec_version SET spec_text = '## Owl' || char(10) || '- 60 ml no such thing' WHERE spec_text LIKE '%gin%';",
    )
    .unwrap();
    db.execute_batch(&trigger).unwrap();
    let refreshed = kept.open().refresh().unwrap();
    assert_eq!((refreshed.recomputed, refreshed.broken), (vec![], vec![]));
    // Who asks for the drink is told what stands there; who looks through the file reads all of it.
    assert!(kept.open().drinks_named("Owl").unwrap().is_empty());
    assert_eq!(examine(&kept.path).unwrap().unread.len(), 1);
}

#[test]
fn what_another_program_writes_is_seen() {
    let kept = Kept::new();
    let owl = kept.figure("Owl", "sugar_g_per_100ml");
    kept.plain()
        .execute(
            "UPDATE spec_version SET spec_text = replace(spec_text, '20 ml simple', '40 ml simple') WHERE spec_text LIKE '%rum%'",
            [],
        )
        .unwrap();
    let refreshed = kept.open().refresh().unwrap();
    assert_eq!(refreshed.recomputed, [("Wren".to_owned(), "Halt".to_owned())]);
    assert!(kept.figure("Wren", "sugar_g_per_100ml").unwrap() > 10.0);
    assert_eq!(kept.figure("Owl", "sugar_g_per_100ml"), owl);
    for change in [
        "INSERT INTO setting (name, value) VALUES ('country', 'UK')",
        "INSERT INTO house_range (structure, measure, low, high, decimals, source) VALUES ('shaken sour', 'abv_pct', 1, 2, 1, 'x')",
        "UPDATE house_range SET high = 3",
        "DELETE FROM house_range",
        "UPDATE book SET settings_json = json_set(settings_json, '$.country', 'Japan')",
    ] {
        kept.plain().execute_batch(change).unwrap();
        assert_eq!(kept.open().refresh().unwrap().recomputed.len(), 2, "{change}");
        assert_eq!(kept.open().refresh().unwrap().recomputed.len(), 0, "{change}");
    }
}

#[test]
fn a_result_of_another_program_version_is_worked_out_again() {
    let kept = Kept::new();
    let db = kept.plain();
    db.execute_batch("UPDATE worked_by SET mark = 'an earlier one'; UPDATE result SET fingerprint = 'x'")
        .unwrap();
    assert_eq!(kept.open().refresh().unwrap().recomputed.len(), 2);
}

#[test]
fn an_ingredient_of_the_house_concerns_what_may_pour_it() {
    let kept = Kept::new();
    let mut house = kept.open();
    let pantry = house.pantry().unwrap();
    let mut juice = pantry.get("lime juice").unwrap().clone();
    for value in &mut juice.values {
        value.value *= 0.9;
        value.low = value.low.min(value.value);
    }
    house.keep_ingredient(&juice).unwrap();
    assert_eq!(
        house.refresh().unwrap().recomputed,
        [("Wren".to_owned(), "Halt".to_owned())]
    );
    // Under another name that a spec goes by.
    let mut gin = pantry.get("london dry gin").unwrap().clone();
    "house gin".clone_into(&mut gin.name);
    gin.aliases = vec!["dry gin".to_owned()];
    house.keep_ingredient(&gin).unwrap();
    let owl = &house.drinks_named("Owl").unwrap()[0];
    let of_file: String = kept
        .plain()
        .query_row(
            "SELECT ingredient FROM pours WHERE drink = 'Owl' AND position = 0",
            [],
            |r| r.get(0),
        )
        .unwrap();
    assert_eq!(owl.pours()[0].ingredient, of_file);
    assert_eq!(examine(&kept.path).unwrap().stale, []);
}

#[test]
fn a_list_is_of_the_kept_results_and_reads_no_spec() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.db");
    let mut house = House::open(&path, Access::Write).unwrap().0;
    for file in ["lantern-halt.md", "lantern-halt-winter.md", "classics.md"] {
        let book = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/books/");
        let text = std::fs::read_to_string(format!("{book}{file}")).unwrap();
        house.add(&Source::new(file, text)).unwrap().unwrap();
    }
    // It says what the drinks come to.
    let listed = house.in_short().unwrap();
    let drinks = house.drinks().unwrap();
    assert_eq!(listed.len(), drinks.len());
    for (short, drink) in listed.iter().zip(&drinks) {
        let (name, figures) = (drink.name(), &drink.evaluation.figures);
        assert_eq!((short.name.as_str(), &short.book), (name, &drink.found_in.book));
        assert_eq!(short.structure, drink.evaluation.structure, "{name}");
        assert_eq!(short.convention, drink.convention(), "{name}");
        assert_eq!(short.standing, drink.evaluation.standing(), "{name}");
        assert_eq!(
            [
                short.volume_ml,
                short.abv_pct,
                short.sugar_g_per_100ml,
                short.acid_g_per_100ml
            ],
            [
                figures.volume_ml,
                figures.abv_pct,
                figures.sugar_g_per_100ml,
                figures.acid_g_per_100ml
            ]
            .map(|f| f.value),
            "{name}"
        );
    }
    let prepared = house.preparations_in_short().unwrap();
    let made: Vec<PreparedInShort> = house
        .preparations()
        .unwrap()
        .iter()
        .map(PreparedInShort::of)
        .collect();
    assert!(prepared == made && !made.is_empty(), "{prepared:?} {made:?}");
    // Texts that would not read, and nothing that says that they were changed: a list does not look at them.
    Connection::open(&path)
        .unwrap()
        .execute_batch(
            "UPDATE spec_version SET spec_text = 'no spec'; UPDATE preparation_version SET spec_text = 'no spec';
             DELETE FROM stale",
        )
        .unwrap();
    assert_eq!(house.in_short().unwrap(), listed);
    assert_eq!(house.preparations_in_short().unwrap(), prepared);
    assert_eq!(house.drinks().unwrap().len(), 0);
}

#[test]
fn one_drink_is_worked_out_alone() {
    let kept = Kept::new();
    kept.plain()
        .execute_batch("UPDATE spec_version SET spec_text = 'no spec' WHERE spec_text LIKE '%gin%'")
        .unwrap();
    let house = kept.open();
    assert_eq!(house.drinks_named("wren").unwrap().len(), 1);
    assert_eq!(house.drinks_named("Owl").unwrap().len(), 0);
}

/// A word leads to the same thing in the singular and in the plural, however short it is.
#[test]
fn short_names_in_the_plural_are_concerned_too() {
    let mut seen = 0;
    for (poured, alias) in [
        ("rums", "rum"),
        ("teas", "tea"),
        ("ryes", "rye"),
        ("rum", "rums"),
        ("cherries", "cherry"),
    ] {
        let kept = Kept::new();
        let mut house = kept.open();
        let text = BOOK.replace("white rum", poured).replace("# Halt", "# Hall");
        house.add(&Source::new("hall.md", text)).unwrap().unwrap();
        let mut defined = Defined::default();
        for (what, value) in [("strength", "60"), ("sugar", "300 g/l"), ("source", "label")] {
            defined.set(what, value).unwrap();
        }
        let mut own = defined.ingredient("pantry no 7", Origin::House).unwrap();
        own.aliases = vec![alias.to_owned()];
        house.keep_ingredient(&own).unwrap();
        let db = kept.plain();
        let by_marks = told(&db);
        db.execute_batch("INSERT OR IGNORE INTO stale (scope, what) VALUES ('all', '')")
            .unwrap();
        house.refresh().unwrap();
        assert_eq!(by_marks, told(&db), "{poured} by {alias}");
        seen += usize::from(by_marks.iter().any(|row| row.contains("pantry no 7")));
    }
    assert!(seen >= 2, "{seen}");
}

/// Two lists with one drink, weighed on the first; a preparation on each; an ingredient of the house.
fn shared() -> Kept {
    let kept = Kept::new();
    let mut house = kept.open();
    let made = "\n## House cordial\nmakes: an ingredient\n- 200 g sugar\n- 200 g water\n";
    let poured =
        "\n## Kite\n- 50 ml dry gin\n- 25 ml House cordial\n- 20 ml pantry drops\n- shake\n- strain\n";
    for (name, of) in [("pantry drops", "acid"), ("other drops", "sugar")] {
        let mut defined = Defined::default();
        defined.set(of, "40 g/l").unwrap();
        defined.set("source", "label").unwrap();
        house
            .keep_ingredient(&defined.ingredient(name, Origin::House).unwrap())
            .unwrap();
    }
    for (title, made) in [
        ("Halt", made.to_owned()),
        ("Hall", made.replace("200 g sugar", "300 g sugar")),
    ] {
        let text = format!("{}{poured}{made}", BOOK.replace("# Halt", &format!("# {title}")));
        house.add(&Source::new("list.md", text)).unwrap().unwrap();
    }
    let scale = Scale {
        before_g: Decimal::from(100),
        after_g: Decimal::from(170),
        temperature_c: None,
        seconds: None,
        ice_g: None,
        at: None,
        note: "",
    };
    house.weigh("Owl", "Halt", &scale).unwrap().unwrap();
    kept
}

/// Everything that is kept for readers.
fn told(db: &Connection) -> Vec<String> {
    let mut select = db
        .prepare_cached(
            "SELECT concat_ws('|', drink, book, figure, value, low, high) FROM intervals
             UNION ALL SELECT concat_ws('|', drink, book, position, ingredient, volume_ml) FROM pours ORDER BY 1",
        )
        .unwrap();
    let rows = select.query_map([], |row| row.get(0)).unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn what_another_program_moves_concerns_both_ends() {
    const FIRST: &str = "(SELECT d.id FROM drink d JOIN book b ON b.id = d.book_id WHERE d.name = 'Owl' AND b.title = 'Halt')";
    for change in [
        &format!("DELETE FROM drink WHERE id = {FIRST}"),
        "DELETE FROM book WHERE title = 'Halt'",
        &format!("DELETE FROM spec_version WHERE drink_id = {FIRST}"),
        &format!("UPDATE spec_version SET version = 5 WHERE drink_id = {FIRST}"),
        &format!("DELETE FROM weighing WHERE drink_id = {FIRST}"),
        &format!(
            "UPDATE weighing SET drink_id = (SELECT min(id) FROM drink WHERE name = 'Wren') WHERE drink_id = {FIRST}"
        ),
        "UPDATE ingredient_value SET ingredient_id = (SELECT id FROM ingredient WHERE name = 'other drops')
         WHERE ingredient_id = (SELECT id FROM ingredient WHERE name = 'pantry drops') AND quantity LIKE '%acid%'",
        "UPDATE preparation SET name = 'Gone cordial', name_key = 'gone cordial', book_id = (SELECT id FROM book WHERE title = 'Hall')
         WHERE book_id = (SELECT id FROM book WHERE title = 'Halt')",
        "UPDATE setting SET name = 'barspoon' WHERE name = 'dash'",
    ] {
        let kept = shared();
        kept.open().set("dash", "2 ml").unwrap().unwrap();
        let db = kept.plain();
        db.execute_batch(change).unwrap();
        assert!(db.changes() > 0, "{change}");
        kept.open().refresh().unwrap();
        let by_marks = told(&db);
        db.execute_batch("INSERT OR IGNORE INTO stale (scope, what) VALUES ('all', '')")
            .unwrap();
        kept.open().refresh().unwrap();
        assert_eq!(by_marks, told(&db), "{change}");
    }
}

/// On which lists a drink stands is told by what is kept: whoever asks for it by name has that brought up to date first,
/// and nothing else.
#[test]
fn a_drink_that_another_program_made_another_is_told_apart_at_once() {
    let kept = shared();
    let titles = |house: &House, name: &str| -> Vec<(String, Vec<String>)> {
        let of = |d: washline_core::computed::ComputedDrink| (d.found_in.book, d.found_in.also_on);
        house.drinks_named(name).unwrap().into_iter().map(of).collect()
    };
    let on_both = [("Halt".to_owned(), vec!["Hall".to_owned()])];
    let apart = ["Halt", "Hall"].map(|title| (title.to_owned(), vec![]));
    assert_eq!(titles(&kept.open(), "Wren"), on_both);
    let set = |country: &str| {
        let sql =
            "UPDATE book SET settings_json = json_set(settings_json, '$.country', ?1) WHERE title = 'Hall'";
        kept.plain().execute(sql, [country]).unwrap();
    };
    set("Japan");
    let house = kept.open();
    assert_eq!(titles(&house, "Wren"), apart);
    let marks: Vec<String> = {
        let db = kept.plain();
        let mut select = db.prepare_cached("SELECT scope FROM stale").unwrap();
        let rows = select.query_map([], |row| row.get(0)).unwrap();
        rows.map(Result::unwrap).collect()
    };
    assert!(
        marks.contains(&"book".to_owned()),
        "the rest is as it was: {marks:?}"
    );
    assert_eq!(kept.open().drinks().unwrap().len(), 6);
    assert_eq!(titles(&house, "Owl"), apart);
    let by_marks = told(&kept.plain());
    kept.plain()
        .execute_batch("INSERT OR IGNORE INTO stale (scope, what) VALUES ('all', '')")
        .unwrap();
    kept.open().refresh().unwrap();
    assert_eq!(by_marks, told(&kept.plain()));
}

#[test]
fn a_result_that_another_program_takes_away_is_worked_out_again() {
    for (keys, taken) in [
        (true, "DELETE FROM result"),
        (false, "DELETE FROM result"),
        (true, "DELETE FROM preparation_result"),
        (false, "DELETE FROM preparation_result"),
        (
            false,
            "DELETE FROM result; DELETE FROM preparation_result; DELETE FROM drink WHERE name = 'Kite'",
        ),
    ] {
        let kept = shared();
        let listed = |name: &str| -> usize {
            let drinks = kept.open().in_short().unwrap();
            drinks.iter().filter(|d| d.name != name).count()
        };
        let (before, prepared) = (listed("Kite"), kept.open().preparations_in_short().unwrap());
        let db = kept.plain();
        db.pragma_update(None, "foreign_keys", keys).unwrap();
        db.execute_batch(taken).unwrap();
        assert_eq!(listed("Kite"), before, "{taken}");
        assert_eq!(kept.open().preparations_in_short().unwrap(), prepared, "{taken}");
    }
}
