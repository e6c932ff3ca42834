//! Circles: the modules of one folder know each other one way only. A child may use what its parent's own file holds,
//! and a parent its children; of two siblings one stands above the other.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The path of a module from the head of its crate; that of the head is empty.
type Module = Vec<String>;

/// What of a source text counts here: words and marks, without comments, texts and what only tests see.
fn tokens(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = code;
    while let Some(c) = rest.chars().next() {
        let past = |end: &str, from: usize| {
            rest[from..]
                .find(end)
                .map_or(rest.len(), |at| from + at + end.len())
        };
        let hashes = rest
            .trim_start_matches('r')
            .chars()
            .take_while(|c| *c == '#')
            .count();
        let step = if rest.starts_with("//") {
            past("\n", 0)
        } else if rest.starts_with("/*") {
            past("*/", 0)
        } else if rest.starts_with('r') && rest[1 + hashes..].starts_with('"') {
            past(&format!("\"{}", "#".repeat(hashes)), 2 + hashes)
        } else if c == '"' {
            let mut escaped = false;
            let end = rest[1..].find(|c| {
                let ends = c == '"' && !escaped;
                escaped = c == '\\' && !escaped;
                ends
            });
            end.map_or(rest.len(), |at| at + 2)
        } else if c == '\'' {
            // A character, and not a lifetime.
            let said = rest[1..].chars().next().map_or(0, char::len_utf8);
            match rest[1..].starts_with('\\') {
                true => past("'", 3),
                false if rest[1 + said..].starts_with('\'') => said + 2,
                false => 1,
            }
        } else if c.is_alphanumeric() || c == '_' {
            let end = rest
                .find(|c: char| !(c.is_alphanumeric() || c == '_'))
                .unwrap_or(rest.len());
            found.push(rest[..end].to_owned());
            end
        } else if rest.starts_with("::") {
            found.push("::".to_owned());
            2
        } else {
            if !c.is_whitespace() {
                found.push(c.to_string());
            }
            c.len_utf8()
        };
        rest = &rest[step..];
    }
    without_tests(found)
}

/// The same without the items that stand behind `#[cfg(test)]`.
fn without_tests(tokens: Vec<String>) -> Vec<String> {
    const MARK: [&str; 7] = ["#", "[", "cfg", "(", "test", ")", "]"];
    let mut left = Vec::with_capacity(tokens.len());
    let mut at = 0;
    while at < tokens.len() {
        if !tokens[at..].iter().map(String::as_str).take(MARK.len()).eq(MARK) {
            left.push(tokens[at].clone());
            at += 1;
            continue;
        }
        at += MARK.len();
        let mut level = 0_u32;
        while let Some(token) = tokens.get(at) {
            at += 1;
            match token.as_str() {
                "{" => level += 1,
                "}" if level == 1 => break,
                "}" => level -= 1,
                ";" if level == 0 => break,
                _ => {}
            }
        }
    }
    left
}

fn is_word(token: &str) -> bool {
    token.starts_with(|c: char| c.is_alphabetic() || c == '_')
}

/// Every path that one `use` names behind `before`: `a::{b, c::d}` two of them. Gives where it ends.
fn tree(tokens: &[String], mut at: usize, before: &[String], paths: &mut Vec<Vec<String>>) -> usize {
    let mut path = before.to_vec();
    while let Some(token) = tokens.get(at) {
        match token.as_str() {
            "{" => {
                at += 1;
                while tokens.get(at).is_some_and(|t| t != "}") {
                    at = tree(tokens, at, &path, paths);
                    at += usize::from(tokens.get(at).is_some_and(|t| t == ","));
                }
                return at + 1;
            }
            "as" => at += 2,
            "}" | "," | ";" => break,
            word if is_word(word) => {
                path.push(word.to_owned());
                at += 1;
            }
            _ => at += 1,
        }
    }
    paths.push(path);
    at
}

/// Every path in a module's code, those of `use` and those written where they are used, each with the module that it
/// stands in: that of the file, or one inside it.
fn paths(code: &str, file: &Module) -> Vec<(Module, Vec<String>)> {
    let tokens = tokens(code);
    let is = |at: usize, what: &str| tokens.get(at).is_some_and(|t| t == what);
    let mut found = Vec::new();
    let mut inside: Vec<(String, u32)> = Vec::new();
    let mut level = 0_u32;
    let mut at = 0;
    while at < tokens.len() {
        let here = || {
            file.iter()
                .chain(inside.iter().map(|(name, _)| name))
                .cloned()
                .collect::<Module>()
        };
        match tokens[at].as_str() {
            // And not the `use<>` of a type.
            "use" if !is(at + 1, "<") => {
                let mut named = Vec::new();
                at = tree(&tokens, at + 1, &[], &mut named);
                found.extend(named.into_iter().map(|path| (here(), path)));
            }
            "mod" if is(at + 2, "{") => {
                level += 1;
                inside.push((tokens[at + 1].clone(), level));
                at += 3;
            }
            "{" => {
                level += 1;
                at += 1;
            }
            "}" => {
                inside.pop_if(|(_, own)| *own == level);
                level = level.saturating_sub(1);
                at += 1;
            }
            word if is_word(word) && is(at + 1, "::") && !(at > 0 && is(at - 1, "::")) => {
                let mut path = vec![word.to_owned()];
                while is(at + 1, "::") && tokens.get(at + 2).is_some_and(|t| is_word(t)) {
                    path.push(tokens[at + 2].clone());
                    at += 2;
                }
                found.push((here(), path));
                at += 1;
            }
            _ => at += 1,
        }
    }
    found
}

/// The module that a path in `from` leads into, as far down as there are modules; `None` where it leads out of the crate.
fn leads_to(path: &[String], from: &Module, all: &BTreeMap<Module, String>) -> Option<Module> {
    let (head, rest) = path.split_first()?;
    let mut whole: Module = match head.as_str() {
        "crate" => rest.to_vec(),
        "self" => from.iter().chain(rest).cloned().collect(),
        "super" => {
            let up = path.iter().take_while(|word| *word == "super").count();
            let parent = &from[..from.len().checked_sub(up)?];
            parent.iter().chain(&path[up..]).cloned().collect()
        }
        _ => {
            let child: Module = from.iter().chain([head]).cloned().collect();
            all.contains_key(&child)
                .then(|| from.iter().chain(path).cloned().collect())?
        }
    };
    while !all.contains_key(&whole) {
        whole.pop()?;
    }
    Some(whole)
}

/// Every file of a folder of sources, by its place in it, with its code.
pub fn sources(src: &Path) -> Vec<(PathBuf, String)> {
    let mut all = Vec::new();
    let mut folders = vec![src.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let code = std::fs::read_to_string(&path).unwrap();
                all.push((path.strip_prefix(src).unwrap().to_owned(), code));
            }
        }
    }
    all
}

/// The modules of a folder of sources, each with its code.
fn modules(src: &Path) -> BTreeMap<Module, String> {
    let module = |(inside, code): (PathBuf, String)| {
        let inside = inside.with_extension("");
        let mut module: Module = inside.iter().map(|p| p.to_str().unwrap().to_owned()).collect();
        module.pop_if(|last| matches!(last.as_str(), "mod" | "lib" | "main"));
        (module, code)
    };
    sources(src).into_iter().map(module).collect()
}

/// Every circle between modules of one folder: the folder, and its modules that lead back to themselves.
pub fn circles(all: &BTreeMap<Module, String>) -> Vec<String> {
    // By folder: which of its modules names which other, by anything that stands in or below it.
    let mut names: BTreeMap<Module, BTreeMap<String, BTreeSet<String>>> = BTreeMap::new();
    for (file, code) in all {
        for (from, path) in paths(code, file) {
            let Some(to) = leads_to(&path, &from, all) else {
                continue;
            };
            let shared = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
            if let (Some(one), Some(other)) = (from.get(shared), to.get(shared)) {
                let folder = names.entry(from[..shared].to_vec()).or_default();
                folder.entry(one.clone()).or_default().insert(other.clone());
            }
        }
    }
    let mut found = Vec::new();
    for (folder, names) in names {
        let reach = |from: &str| {
            let mut seen = BTreeSet::new();
            let mut next = vec![from];
            while let Some(module) = next.pop() {
                for other in names.get(module).into_iter().flatten() {
                    if seen.insert(other.as_str()) {
                        next.push(other);
                    }
                }
            }
            seen
        };
        let round: Vec<&str> = names
            .keys()
            .map(String::as_str)
            .filter(|m| reach(m).contains(m))
            .collect();
        if !round.is_empty() {
            found.push(format!("{}: {}", folder.join("/"), round.join(" ")));
        }
    }
    found
}

#[test]
fn no_modules_of_one_folder_stand_in_a_circle() {
    let found = circles(&modules(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src")));
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_circle_is_seen_however_it_is_written() {
    let of = |files: &[(&str, &str)]| {
        let folder = tempfile::tempdir().unwrap();
        for (path, code) in files {
            let path = folder.path().join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, code).unwrap();
        }
        circles(&modules(folder.path()))
    };
    let head = ("lib.rs", "mod a;\nmod b;\nmod c;");
    // By `use`, by a group in a group, by the path where it is used, from a folder below, from a module inside the file.
    for back in [
        "use super::a::It;",
        "use crate::{c::Other, a::{self, It as That}};",
        "fn f<'a>(c: char) -> &'a str { if c == '\"' { \"\" } else { super::a::f() } }",
        "pub mod inner { use super::super::a::It; }",
    ] {
        assert_eq!(
            of(&[head, ("a.rs", "use crate::b::It;"), ("b.rs", back)]),
            [": a b"],
            "{back}"
        );
        let below = back
            .replace("super::", "super::super::")
            .replace("super::super::super::super", "super::super::super");
        let files = [
            head,
            ("a.rs", "use crate::b::It;"),
            ("b/mod.rs", "mod c;"),
            ("b/c.rs", &below),
        ];
        assert_eq!(of(&files), [": a b"], "{below}");
    }
    // Three in a circle, in a folder.
    let three = [
        ("x/mod.rs", "mod a; mod b; mod c;"),
        ("x/a.rs", "use super::b;"),
        ("x/b.rs", "use super::c::It;"),
        ("x/c.rs", "fn f() { crate::x::a::f(); }"),
    ];
    assert_eq!(of(&three), ["x: a b c"]);
    // What is said, what only a test sees and what the parent holds make none.
    for none in [
        "// use super::a::It;\n/* super::a::f() */ fn f() { g(\"super::a::f()\", r#\"super::a::\"#, '\"'); }",
        "#[cfg(test)]\nuse super::a::It;\n#[cfg(test)]\nmod tests { use super::super::a::It; }",
        "use super::It;\nuse std::a::B;",
    ] {
        assert_eq!(
            of(&[head, ("a.rs", "use crate::b::It;"), ("b.rs", none)]),
            [""; 0],
            "{none}"
        );
    }
}
