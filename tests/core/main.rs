//! Tests of the library from outside: published figures, laws, reading, the house database.
#![allow(missing_docs, clippy::unwrap_used)]
// `!(difference <= tolerance)` is what catches a NaN.
#![allow(clippy::neg_cmp_op_on_partial_ord)]

mod audit;
mod batch;
mod brute_force;
mod change;
mod corpus;
mod cost;
#[path = "../dump.rs"]
mod dump;
mod exchange;
mod find;
#[path = "../floors.rs"]
mod floors;
mod freshness;
mod fuzz;
mod golden;
mod heat_laws;
mod house;
mod journal;
mod label;
mod laws;
mod library;
mod lists;
mod mend;
mod merging;
mod one_balance;
mod preparations;
mod published_drinks;
mod published_heat;
mod published_liquids;
mod reading;
mod rearranging;
mod serial;
mod solutions;
mod steps;
mod summaries;
mod swap;
mod tables_typed;
mod tasting;
mod tidy;
mod trade;
mod travel;
mod trust;
mod typed;
mod uncertainty;
mod verdicts;
mod voices;
mod walks;
mod weighing;

/// Where the modules of the crate are listed.
const HEAD: &str = "lib.rs";

/// Every file beside this one is a module of it: a forgotten test file is a test that never runs.
#[test]
fn no_test_file_is_forgotten() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/core");
    let main = std::fs::read_to_string(format!("{folder}/main.rs")).unwrap();
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let Some(module) = name.strip_suffix(".rs").filter(|m| *m != "main") else {
            continue;
        };
        assert!(
            main.contains(&format!("mod {module};")),
            "tests/core/{name} is in no module list"
        );
    }
}

/// A file of the project's own reference tables.
pub fn reference(name: &str) -> String {
    std::fs::read_to_string(format!(
        "{}/../../fixtures/reference/{name}",
        env!("CARGO_MANIFEST_DIR")
    ))
    .unwrap()
}

/// A book of the fixtures.
pub fn book(name: &str) -> washline_core::spec::Source {
    let path = format!("{}/../../fixtures/books/{name}", env!("CARGO_MANIFEST_DIR"));
    washline_core::spec::Source::decode(name, std::fs::read(path).unwrap()).unwrap()
}

/// A file that nobody is just writing: one that was written this moment is looked at again, in case it is.
pub fn at_rest(path: &std::path::Path, bytes: &[u8]) {
    std::fs::write(path, bytes).unwrap();
    let long_ago = std::time::UNIX_EPOCH + std::time::Duration::from_secs(1_700_000_000);
    let file = std::fs::File::options().write(true).open(path).unwrap();
    file.set_modified(long_ago).unwrap();
}

/// When something is done.
pub fn when(text: &str) -> washline_core::tables::When {
    washline_core::tables::When::of(text).unwrap()
}

/// Keep books in a house. Gives their faults; where there are any, nothing is kept.
pub fn take(
    house: &mut washline_core::store::House,
    sources: &[washline_core::spec::Source],
) -> Vec<washline_core::spec::Fault> {
    house.add_books(sources).unwrap().err().unwrap_or_default()
}
