//! Floors: a module of a crate uses only modules that stand before it in the list at the head of the crate. The `use`
//! paths are read, so that neither a look back nor a circle can creep in.

use std::path::{Path, PathBuf};

#[path = "circles.rs"]
mod circles;

/// The modules named in the numbered list at the head of a crate, in order.
pub fn listed(head: &str) -> Vec<String> {
    head.lines()
        .filter_map(|line| {
            let item = line.strip_prefix("//! ")?.trim_start();
            let (number, rest) = item.split_once(". ")?;
            number.parse::<usize>().ok()?;
            let name = rest.trim_start_matches('[').strip_prefix('`')?;
            Some(name.split('`').next()?.to_owned())
        })
        .collect()
}

/// The modules that the head of a crate declares.
pub fn declared(head: &str) -> Vec<String> {
    let mut all: Vec<String> = head
        .lines()
        .filter_map(|line| {
            let name = line.trim_start_matches("pub ").strip_prefix("mod ")?;
            Some(name.strip_suffix(';')?.to_owned())
        })
        .collect();
    all.sort();
    all
}

/// The modules of its own crate that a file names in its code, `depth` folders below the head.
pub fn used(code: &str, depth: usize) -> Vec<String> {
    let code: String = code
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| format!("{line}\n"))
        .collect();
    let root = format!("{}::", vec!["super"; depth].join("::"));
    let mut found = Vec::new();
    for head in ["crate::", root.as_str()] {
        for (at, _) in code.match_indices(head) {
            // Not the end of a longer path: `super::super::` holds `super::`.
            let before = &code[..at];
            if before.ends_with("::") || before.ends_with(|c: char| c.is_alphanumeric() || c == '_') {
                continue;
            }
            let rest = &code[at + head.len()..];
            let word = |text: &str| -> String {
                let text = text.trim_start();
                text.chars()
                    .take_while(|c| c.is_alphanumeric() || *c == '_')
                    .collect()
            };
            match rest.strip_prefix('{') {
                // The first names of a group; what stands in an inner group belongs to one of them.
                Some(group) => {
                    let mut level = 0_u32;
                    let mut start = 0;
                    for (i, c) in group.char_indices() {
                        match c {
                            '{' => level += 1,
                            '}' if level == 0 => {
                                found.push(word(&group[start..i]));
                                break;
                            }
                            '}' => level -= 1,
                            ',' if level == 0 => {
                                found.push(word(&group[start..i]));
                                start = i + 1;
                            }
                            _ => {}
                        }
                    }
                }
                None => found.push(word(rest)),
            }
        }
    }
    found
}

/// Every look back in a crate: file, and what it names that stands after it.
pub fn looks_back(src: &Path, floors: &[String]) -> Vec<String> {
    let mut found = Vec::new();
    for (inside, code) in circles::sources(src) {
        let parts: Vec<&str> = inside.iter().map(|p| p.to_str().unwrap()).collect();
        let own = parts[0].trim_end_matches(".rs");
        let Some(floor) = floors.iter().position(|f| f == own) else {
            continue;
        };
        let depth = parts.len() - usize::from(parts.last() == Some(&"mod.rs"));
        for name in used(&code, depth) {
            let other = floors.iter().position(|f| *f == name);
            if other.is_some_and(|other| other > floor) {
                found.push(format!("{} looks back to {name}", inside.display()));
            }
        }
    }
    found.sort();
    found.dedup();
    found
}

/// The list at the head of a crate is all of its modules and stands in DEVELOPERS.md too; and nothing looks back.
pub fn hold(head_file: &str) {
    let project = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let head = std::fs::read_to_string(src.join(head_file)).unwrap();
    let floors = listed(&head);
    let mut sorted = floors.clone();
    sorted.sort();
    assert_eq!(
        sorted,
        declared(&head),
        "the list of floors is the list of modules"
    );
    let chain: Vec<String> = floors.iter().map(|f| format!("`{f}`")).collect();
    let developers = std::fs::read_to_string(project.join("DEVELOPERS.md")).unwrap();
    let flowing = developers.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flowing.contains(&chain.join(" → ")),
        "DEVELOPERS.md: {}",
        chain.join(" → ")
    );
    let back = looks_back(&src, &floors);
    assert!(back.is_empty(), "{}", back.join("\n"));
}

#[test]
fn the_floors_hold() {
    hold(crate::HEAD);
}

#[test]
fn a_look_back_is_seen_however_it_is_written() {
    let code = "// use crate::hidden::It;\nuse crate::store::House;\nuse crate::{names, spec::{Drink, Step}, melt};\nfn f() { super::super::advise::g(); super::near(); }\n";
    assert_eq!(used(code, 2), ["store", "names", "spec", "melt", "advise"]);
    assert_eq!(used("use super::store::It;", 1), ["store"]);
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("low")).unwrap();
    std::fs::write(folder.path().join("low/mod.rs"), "use crate::high::It;").unwrap();
    std::fs::write(folder.path().join("high.rs"), "use crate::low::It;").unwrap();
    let floors = ["low", "high"].map(str::to_owned);
    assert_eq!(
        looks_back(folder.path(), &floors),
        ["low/mod.rs looks back to high"]
    );
}

/// What a file gives to other modules whose error is a text: a text cannot be matched on, and is no `Error`.
pub fn errors_that_are_texts(code: &str) -> Vec<String> {
    let code: String = code
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .map(|line| format!("{line}\n"))
        .collect();
    // Only what a test needs stands behind it.
    let code = format!("\n{}", code.split("#[cfg(test)]").next().unwrap_or_default());
    let mut found = Vec::new();
    for (at, _) in code.match_indices("fn ") {
        let line = &code[code[..at].rfind('\n').map_or(0, |end| end + 1)..at];
        let in_a_trait = code[..at].rfind("\nimpl").is_some_and(|from| {
            code[from..at]
                .lines()
                .nth(1)
                .is_some_and(|head| head.contains(" for "))
        });
        if !(line.trim_start().starts_with("pub") || in_a_trait) {
            continue;
        }
        let rest = &code[at..];
        let head = &rest[..rest.find(['{', ';']).unwrap_or(rest.len())];
        let gives: String = head
            .rsplit("->")
            .next()
            .unwrap_or_default()
            .split_whitespace()
            .collect();
        if head.contains("->") && gives.contains("Result<") && gives.ends_with(",String>") {
            found.push(head.split_whitespace().collect::<Vec<_>>().join(" "));
        }
    }
    found
}

/// What `look` finds in the sources of the crate, each with its file.
pub fn found_in_sources(look: impl Fn(&str) -> Vec<String>) -> Vec<String> {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let in_file = |(inside, code): (PathBuf, String)| {
        let all = look(&code).into_iter();
        all.map(move |found| format!("{}: {found}", inside.display()))
    };
    circles::sources(&src).into_iter().flat_map(in_file).collect()
}

/// The lines of code that name a command of the program (`washline mend …`) or an option (`--map`).
pub fn commands_named(code: &str) -> Vec<String> {
    let named = |line: &str, mark: &str| {
        line.match_indices(mark).any(|(at, _)| {
            let rest = &line[at + mark.len()..];
            !line[..at].ends_with('-') && rest.starts_with(|c: char| c.is_ascii_lowercase())
        })
    };
    code.lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .filter(|line| named(line, "--") || named(line, "washline "))
        .map(|line| line.trim().to_owned())
        .collect()
}

/// What helps is data; only a command line, and what words it for one, names a command or an option.
#[test]
fn the_sources_name_no_command_and_no_option() {
    let found = found_in_sources(commands_named);
    let may = matches!(env!("CARGO_PKG_NAME"), "washline-cli" | "washline-view");
    assert!(may || found.is_empty(), "{}", found.join("\n"));
    let named =
        "f(\"washline mend\");\n// washline mend\nf(\"--map\");\nf(\"<!-- a -->\", \"---\", \"a washline\");";
    assert_eq!(commands_named(named), ["f(\"washline mend\");", "f(\"--map\");"]);
}

#[test]
fn no_error_between_modules_is_a_text() {
    let found = found_in_sources(errors_that_are_texts);
    assert!(found.is_empty(), "{}", found.join("\n"));
    for text in [
        "pub fn a(x: &str) -> Result<u8, String> {",
        "pub(super) fn b(\n    x: &str,\n) -> Result<\n    Vec<u8>,\n    String> {",
        "impl FromStr for C {\n    fn from_str(x: &str) -> Result<C, String> {",
    ] {
        assert_eq!(errors_that_are_texts(text).len(), 1, "{text}");
    }
    assert!(
        errors_that_are_texts("fn own() -> Result<u8, String> {}\npub fn a() -> Result<String, Expected> {}")
            .is_empty()
    );
}

/// The most lines that a function has, from `fn` to its closing brace.
const MOST_LINES: usize = 100;

/// Functions of more lines than that: where each begins, and how many it has. Laid out by rustfmt, a function ends at
/// the first brace that stands as far in as it does, and one without a body at a semicolon.
pub fn long_functions(code: &str) -> Vec<String> {
    let lines: Vec<&str> = code.lines().collect();
    let mut found = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let code = line.trim_start();
        let Some((before, head)) = code.split_once("fn ") else {
            continue;
        };
        let is_head = before
            .split_whitespace()
            .all(|word| word.starts_with("pub") || matches!(word, "const" | "async" | "unsafe" | "in"));
        if !is_head || !head.starts_with(|c: char| c.is_ascii_lowercase()) {
            continue;
        }
        let indent = &line[..line.len() - code.len()];
        let ends = |line: &&str| {
            let rest = line.strip_prefix(indent).unwrap_or(" ");
            rest == "}" || !rest.starts_with(' ') && rest.ends_with([';', '}'])
        };
        let rows = lines[at..].iter().position(ends).map_or(0, |end| end + 1);
        if rows > MOST_LINES {
            found.push(format!("line {}: {rows} lines: {code}", at + 1));
        }
    }
    found
}

#[test]
fn no_function_is_longer_than_is_read_at_once() {
    let found = found_in_sources(long_functions);
    assert!(found.is_empty(), "{}", found.join("\n"));
    let of = |head: &str, rows: usize| {
        let indent = &head[..head.len() - head.trim_start().len()];
        format!(
            "{head}\n{}{indent}}}\n",
            format!("{indent}    work();\n").repeat(rows)
        )
    };
    for head in [
        "fn long() {",
        "    pub(super) const fn long(\n        x: u8,\n    ) -> u8 {",
    ] {
        let about = head.lines().count() + 1;
        assert_eq!(long_functions(&of(head, MOST_LINES - about)).len(), 0, "{head}");
        assert_eq!(
            long_functions(&of(head, MOST_LINES + 1 - about)).len(),
            1,
            "{head}"
        );
    }
    // What has no body, or stands in one line, ends there.
    let short = "    fn a();\n    fn b() {}\n".to_owned() + &of("    fn c() {", MOST_LINES - 2);
    assert_eq!(long_functions(&short).len(), 0);
}
