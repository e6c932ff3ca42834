//! Tests of the program as it is run: the README's tour, JSON against its schemas, exit statuses, bad input.
#![allow(missing_docs, clippy::unwrap_used)]

mod agreement;
mod audit;
mod bands;
mod batch;
mod browser;
mod card;
mod change;
mod common;
mod compare;
mod cost;
#[path = "../dump.rs"]
mod dump;
mod exchange;
mod files;
mod find;
#[path = "../floors.rs"]
mod floors;
#[allow(dead_code, reason = "the command tree is held against the rest of it")]
mod forms;
mod glance;
mod hostile;
mod json;
mod label;
mod lists;
#[cfg(target_os = "linux")]
mod memory;
mod mend;
mod names;
mod pages;
mod preparations;
mod progress;
mod readable;
mod report;
mod running;
mod swap;
mod tasting;
mod tidy;
mod tour;
mod travel;
mod undo;
mod walks;
mod weighing;

pub use common::{project, washline};

/// Where the modules of the crate are listed.
const HEAD: &str = "main.rs";

/// Every file beside this one is a module of it: a forgotten test file is a test that never runs.
#[test]
fn no_test_file_is_forgotten() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/cli");
    let main = std::fs::read_to_string(format!("{folder}/main.rs")).unwrap();
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let Some(module) = name.strip_suffix(".rs").filter(|m| *m != "main") else {
            continue;
        };
        assert!(
            main.contains(&format!("mod {module};")),
            "tests/cli/{name} is in no module list"
        );
    }
}

/// Chromium, where this machine has it.
pub fn chromium() -> Result<&'static str, &'static str> {
    [
        "/usr/bin/chromium",
        "/usr/bin/chromium-browser",
        "/usr/bin/google-chrome",
    ]
    .into_iter()
    .find(|path| std::path::Path::new(path).exists())
    .ok_or("no Chromium on this machine: apt-get install chromium")
}

/// A test that needs what this machine has not says that it is skipped; on the machine that decides what is merged it
/// may not be.
#[expect(clippy::print_stdout, reason = "a test that is skipped says so")]
pub fn skipped(missing: &str) {
    assert!(std::env::var_os("CI").is_none(), "{missing}");
    println!("skipped: {missing}, and run it again");
}
