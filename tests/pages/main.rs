//! Tests of the pages from outside.
#![allow(missing_docs, clippy::unwrap_used)]

#[path = "../floors.rs"]
mod floors;

/// Where the modules of the crate are listed.
const HEAD: &str = "lib.rs";

/// What helps is data; only a command line words it as a command.
#[test]
fn the_sources_name_no_command_and_no_option() {
    let found = floors::found_in_sources(floors::commands_named);
    assert!(found.is_empty(), "{}", found.join("\n"));
    let named =
        "f(\"washline mend\");\n// washline mend\nf(\"--map\");\nf(\"<!-- a -->\", \"---\", \"a washline\");";
    assert_eq!(
        floors::commands_named(named),
        ["f(\"washline mend\");", "f(\"--map\");"]
    );
}
