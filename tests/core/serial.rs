//! Several programs that write to one house at once come to what they would have come to one after the other.

use std::io::Write as _;
use std::path::Path;
use std::process::Command;

use rusqlite::Connection;
use washline_core::spec::Source;
use washline_core::store::{Access, House, StoreError, examine};
use washline_core::tables::When;

/// How many processes, and how many operations each.
fn size() -> (usize, usize) {
    let said = std::env::var("WASHLINE_OPERATIONS")
        .ok()
        .and_then(|n| n.parse().ok());
    said.map_or((4, 15), |operations| (8, operations))
}

fn book(process: usize, operation: usize) -> String {
    format!(
        "# Shared\n\n## Owl\n- {}.{operation:05} ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n\n## Wren of {process}\n- {}.{operation:05} ml white rum\n- 20 ml lime juice\n- shake\n- strain\n",
        40 + process,
        40 + process
    )
}

/// What one of the processes does: it adds its book again and again, and writes down which version that was. Run by the
/// test below, and nothing by itself.
#[test]
fn one_of_several() {
    let Ok(told) = std::env::var("WASHLINE_ONE_OF_SEVERAL") else {
        return;
    };
    let mut parts = told.splitn(3, ':');
    let process: usize = parts.next().unwrap().parse().unwrap();
    let operations: usize = parts.next().unwrap().parse().unwrap();
    let path = Path::new(parts.next().unwrap());
    let mut log = std::fs::File::create(path.with_extension(format!("{process}.log"))).unwrap();
    // Others may be at the house for longer than anyone waits, from the first moment.
    let mut house = loop {
        match House::open(path, Access::Write) {
            Ok((house, _)) => break house,
            Err(StoreError::Locked(_)) => continue,
            Err(other) => panic!("{other}"),
        }
    };
    for operation in 0..operations {
        let source = Source::new(format!("{process}.md"), book(process, operation));
        // A writer that has waited for long says so and has stored nothing: it tries again.
        house.at(When::Other(format!("{process}-{operation}")));
        loop {
            match house.add(&source) {
                Ok(done) => {
                    done.unwrap();
                    break;
                }
                Err(StoreError::Locked(_)) => continue,
                Err(other) => panic!("{other}"),
            }
        }
        writeln!(log, "{operation}").unwrap();
    }
}

#[test]
fn what_several_write_is_what_one_after_the_other_would() {
    let (processes, operations) = size();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("h.db");
    let children: Vec<_> = (0..processes)
        .map(|process| {
            Command::new(std::env::current_exe().unwrap())
                .args(["--exact", "serial::one_of_several", "--nocapture"])
                .env(
                    "WASHLINE_ONE_OF_SEVERAL",
                    format!("{process}:{operations}:{}", path.display()),
                )
                .stdout(std::process::Stdio::null())
                .spawn()
                .unwrap()
        })
        .collect();
    for mut child in children {
        assert!(child.wait().unwrap().success());
    }
    let db = Connection::open(&path).unwrap();
    let mut select = db
        .prepare_cached(
            "SELECT s.version, s.added_at, s.spec_text FROM spec_version s JOIN drink d ON d.id = s.drink_id WHERE d.name = 'Owl' ORDER BY s.version",
        )
        .unwrap();
    let versions: Vec<(i64, String, String)> = select
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    // Every operation made one version, and the versions are one row without a gap.
    assert_eq!(versions.len(), processes * operations);
    let mut last = vec![None; processes];
    for (at, (version, by, text)) in versions.iter().enumerate() {
        assert_eq!(*version, i64::try_from(at).unwrap() + 1);
        let (process, operation) = by.split_once('-').unwrap();
        let (process, operation): (usize, usize) = (process.parse().unwrap(), operation.parse().unwrap());
        // What is kept under a version is what the operation wrote, and each process's come in its order.
        assert!(
            book(process, operation).contains(text.trim_end()),
            "version {version}: {text}"
        );
        assert_eq!(
            last[process].map_or(0, |n: usize| n + 1),
            operation,
            "process {process}"
        );
        last[process] = Some(operation);
    }
    // The book is as the last of them left it: its drink is there, those of the others are removed.
    let (by, _) = versions
        .last()
        .map(|(_, by, _)| by.split_once('-').unwrap())
        .unwrap();
    let poured: Vec<String> = House::open(&path, Access::Read)
        .unwrap()
        .0
        .list()
        .unwrap()
        .into_iter()
        .map(|l| l.name)
        .collect();
    assert_eq!(poured, ["Owl".to_owned(), format!("Wren of {by}")]);
    let mut house = House::open(&path, Access::Read).unwrap().0;
    house.refresh().unwrap();
    drop((select, house));
    let found = examine(&path).unwrap();
    assert!(found.is_sound(), "{found:?}");
}
