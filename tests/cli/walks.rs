//! Random walks through the command line: whatever is written to a house and taken back, drawn from every command that
//! writes, the house ends where a model of it says.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Mutex;

use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};

use crate::common::{self, Ran};
use crate::dump::{Dump, dump};
use crate::forms::{By, Form, WRITES, chosen};

const WINTER: &str = "\
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

## Tern
- 60 ml bourbon
- 15 ml lemon juice
- 7.5 ml simple syrup 1:1 by mass
- shake
- strain
";

/// What the commands of [`WRITES`] read.
pub fn put_files(folder: &Path) {
    common::put(folder, "winter.md", WINTER);
    common::put(
        folder,
        "later.md",
        WINTER
            .replace("30 ml Honey", "22 ml Honey")
            .replace("300 g water", "310 g water"),
    );
    common::put(
        folder,
        "summer.md",
        WINTER
            .replace("Winter lsit", "Summer")
            .replace("## Owl", "## Robin")
            .replace("## Wren", "## Plover")
            .replace("## Tern", "## Gull"),
    );
    common::put(
        folder,
        "open.md",
        "# Open\n\n## Swift\n- 50 ml dry gin\n- 20 ml vermouth\n- stir\n",
    );
    common::put(
        folder,
        "other.md",
        "# Other\n\n## Jay\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n",
    );
    common::put(
        folder,
        "sheet.csv",
        "name,ingredient,amount,unit,method\nSwift,dry gin,60,ml,stir\n,dry vermouth,10,ml,\n",
    );
    common::done(folder, &["add", "other.md", "--house", "other.db"]);
    common::done(
        folder,
        &["settings", "set", "dash", "0.85 ml", "--house", "other.db"],
    );
}

/// Do it, with each choice drawn.
pub fn typed(folder: &Path, form: &Form, draw: &mut dyn FnMut(usize) -> usize) -> Ran {
    let words: Vec<String> = form.words.iter().map(|word| chosen(word, draw)).collect();
    let mut command = common::washline(folder);
    command.args(&words);
    match form.by {
        By::Words => common::finished(&mut command, b""),
        By::Editor(script) => {
            let editor = format!("sed -i '{}'", chosen(script, draw));
            common::finished(command.env("EDITOR", editor), b"")
        }
        By::Keys(keys) => common::at_a_terminal(&mut command, &chosen(keys, draw)),
    }
}

/// Something that somebody does.
#[derive(Clone, Debug)]
enum Act {
    /// One of [`WRITES`], with numbers that choose its words.
    Write(usize, [u8; 3]),
    /// Take the last back that stands.
    Undo,
    /// Take any entry back, and at once have it again.
    UndoAndAgain(u8),
}

/// Fifty acts: every way of writing once, in an order more or less far from the one in which each has something to do,
/// and as many undoings between them as there is room for.
fn walks() -> impl Strategy<Value = Vec<Act>> {
    const LENGTH: usize = 50;
    let all: Vec<usize> = (0..WRITES.len())
        .filter(|n| WRITES[*n].words[0] != "undo")
        .collect();
    let rest = LENGTH.saturating_sub(all.len()).max(3);
    let step = (any::<[u8; 3]>(), 0.0..1.0_f64);
    (
        prop::sample::select(vec![0.05, 1.0]),
        prop::collection::vec(step, all.len()),
        prop::collection::vec((prop::option::of(any::<u8>()), 0.0..1.0_f64), rest),
    )
        .prop_map(move |(astray, steps, undoings)| {
            let there = all.len() as f64;
            let writes =
                all.iter().zip(steps).enumerate().map(|(at, (n, (choice, off)))| {
                    (at as f64 + astray * there * off, Act::Write(*n, choice))
                });
            let undoings = undoings.into_iter().map(|(n, at)| {
                (
                    at * there * (1.0 + astray),
                    n.map_or(Act::Undo, Act::UndoAndAgain),
                )
            });
            let mut placed: Vec<(f64, Act)> = writes.chain(undoings).collect();
            placed.sort_by(|a, b| a.0.total_cmp(&b.0));
            placed.into_iter().map(|(_, act)| act).collect()
        })
}

/// The house that walks begin in, in a folder of its own.
struct Place(tempfile::TempDir);

impl Place {
    const HOUSE: &str = ".local/share/washline/house.db";

    /// Lists, and enough weighings for a fit.
    fn new() -> Place {
        let folder = tempfile::tempdir().unwrap();
        put_files(folder.path());
        common::done(folder.path(), &["add", "winter.md"]);
        for (drink, after) in ["Owl", "Wren", "Tern"]
            .into_iter()
            .flat_map(|d| [(d, "161"), (d, "164")])
        {
            common::done(
                folder.path(),
                &["weigh", drink, "--before", "110", "--after", after],
            );
        }
        Place(folder)
    }

    fn again(&self) {
        let path = self.0.path().join(Place::HOUSE);
        for beside in ["", "-wal", "-shm"] {
            let _ = std::fs::remove_file(format!("{}{beside}", path.display()));
        }
        std::fs::copy(self.0.path().join("begun.db"), path).unwrap();
    }

    fn db(&self) -> rusqlite::Connection {
        rusqlite::Connection::open(self.0.path().join(Place::HOUSE)).unwrap()
    }

    fn dump(&self) -> Dump {
        dump(&self.db())
    }

    fn entries(&self) -> usize {
        let count = |db: rusqlite::Connection| {
            db.query_row("SELECT count(*) FROM journal_entry", [], |row| {
                row.get::<_, i64>(0)
            })
        };
        usize::try_from(count(self.db()).unwrap()).unwrap()
    }

    /// Whether an entry was taken back.
    fn undo(&self, number: Option<usize>) -> bool {
        let number = number.map(|n| n.to_string());
        let words: Vec<&str> = ["undo", "--yes"].into_iter().chain(number.as_deref()).collect();
        let ran = common::left(self.0.path(), &words);
        assert!(matches!(ran.status, 0 | 2), "{words:?}: {}{}", ran.out, ran.err);
        ran.status == 0
    }
}

#[test]
fn any_fifty_writes_and_undos_end_where_a_model_of_the_house_says() {
    let place = Place::new();
    common::done(place.0.path(), &["backup", "begun.db"]);
    let wrote: Mutex<BTreeSet<usize>> = Mutex::new(BTreeSet::new());
    let config = Config {
        // A walk takes its time; with more of them it is a search: PROPTEST_CASES=100.
        cases: std::env::var_os("PROPTEST_CASES").map_or(2, |_| Config::default().cases),
        failure_persistence: None,
        max_shrink_iters: 12,
        ..Config::default()
    };
    TestRunner::new(config)
        .run(&walks(), |walk| {
            place.again();
            // The model: what stood before each entry that stands.
            let mut stood: Vec<Dump> = Vec::new();
            let mut now = place.dump();
            let first = place.entries();
            for act in &walk {
                let entries = place.entries();
                match act {
                    Act::Undo => {
                        if let Some(before) = stood.pop() {
                            prop_assert!(place.undo(None));
                            now = before;
                        }
                    }
                    Act::UndoAndAgain(n) => {
                        if entries > first {
                            let number = first + 1 + usize::from(*n) % (entries - first);
                            if place.undo(Some(number)) {
                                prop_assert!(place.undo(Some(entries + 1)), "{number} again");
                            }
                        }
                    }
                    Act::Write(n, choices) => {
                        let form = &WRITES[*n];
                        let mut choices = choices.iter().cycle();
                        // The first choice of a word half of the time.
                        let mut draw =
                            |of: usize| usize::from(choices.next().unwrap().saturating_sub(127)) % of;
                        let ran = typed(place.0.path(), form, &mut draw);
                        let after = place.dump();
                        // One entry where something changed, and none where nothing did.
                        let more = place.entries() - entries;
                        prop_assert_eq!(
                            more,
                            usize::from(after != now),
                            "{:?}: {}{}",
                            form,
                            ran.out,
                            ran.err
                        );
                        if more == 1 {
                            stood.push(now);
                            wrote.lock().unwrap().insert(*n);
                        }
                        now = after;
                    }
                }
                prop_assert_eq!(&place.dump(), &now, "{:?}", act);
            }
            let said = common::done(place.0.path(), &["verify"]);
            while let Some(before) = stood.pop() {
                prop_assert!(place.undo(None), "{}", said);
                prop_assert_eq!(place.dump(), before);
            }
            Ok(())
        })
        .unwrap();
    let idle: Vec<&[&str]> = (0..WRITES.len())
        .filter(|n| WRITES[*n].words[0] != "undo" && !wrote.lock().unwrap().contains(n))
        .map(|n| WRITES[n].words)
        .collect();
    // Each is tried by itself elsewhere; here most find something to do, or the walks would walk on the spot.
    assert!(
        idle.len() * 4 <= WRITES.len(),
        "drawn, and had nothing to do in any walk: {idle:?}"
    );
}
