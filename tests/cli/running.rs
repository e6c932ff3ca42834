//! The program as it is run: exit statuses, streams, bytes that are no text, where the house is.

use std::path::Path;
use std::process::{Command, Stdio};

use crate::common::{Ran, at_rest, done, finished, put};

fn fed(folder: &Path, arguments: &[&str], input: &[u8]) -> Ran {
    finished(crate::washline(folder).args(arguments), input)
}

fn run(folder: &Path, arguments: &[&str]) -> Ran {
    fed(folder, arguments, b"")
}

const SOUND: &str = "# Halt\n\n## Owl\n\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n";
/// Twice the sugar of any sour.
const OUTSIDE: &str = "# Sweet\n\n## Wren\n\n- 60 ml white rum\n- 22.5 ml lime juice\n- 60 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
const AT_FAULT: &str =
    "# Fizz\n\n## Rook\n\n- 60 ml dry gin\n- 22.5 ml lemon juice\n- 60 ml soda water\n- shake\n";
const UNREAD: &str = "# Unread\n\n## Jay\n\n- 60 ml dry ginn\n- stir\n\n## Tern\n\n- 60 ml dry gin\n- stir\n";

#[test]
fn exit_statuses() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    for (name, text) in [
        ("sound.md", SOUND),
        ("outside.md", OUTSIDE),
        ("at-fault.md", AT_FAULT),
        ("unread.md", UNREAD),
        ("empty.md", ""),
    ] {
        put(folder, name, text);
    }
    put(
        folder,
        "no-house.db",
        "what is in here is none of the program's business\n",
    );
    at_rest(&folder.join("no-house.db"));
    for (arguments, status) in [
        (&["check", "sound.md"][..], 0),
        (&["check", "sound.md", "--strict"], 0),
        (&["check", "outside.md"], 0),
        (&["check", "outside.md", "--strict"], 1),
        (&["check", "at-fault.md"], 0),
        (&["check", "at-fault.md", "--strict"], 1),
        (&["check", "sound.md", "at-fault.md", "--strict"], 1),
        (&["check", "unread.md"], 2),
        (&["check", "unread.md", "outside.md", "--strict"], 2),
        (&["check", "empty.md"], 2),
        (&["check", "missing.md"], 2),
        (&["check", "sound.md", "missing.md"], 2),
        (&["check", "."], 2),
        (&["check"], 2),
        (&["check", "-", "-"], 2),
        (&["add"], 2),
        (&["add", "unread.md"], 2),
        (&["add", "sound.md"], 0),
        (&["check"], 0),
        (&["check", "--strict"], 0),
        (&["add", "outside.md"], 0),
        (&["check"], 0),
        (&["check", "--strict"], 1),
        (&["list"], 0),
        (&["list", "--flagged"], 0),
        (&["show", "owl"], 0),
        (&["show", "Heron"], 2),
        (&["show"], 2),
        (&["compare", "Owl", "Heron"], 2),
        (&["compare", "--by", "colour"], 2),
        (&["ingredient", "show", "moon dust"], 2),
        (&["ingredient", "add", "night syrup", "--sugar", "600"], 2),
        (
            &[
                "ingredient",
                "add",
                "night syrup",
                "--sugar",
                "-5",
                "--source",
                "label",
            ],
            2,
        ),
        (
            &[
                "ingredient",
                "add",
                "night syrup",
                "--sugar",
                "600",
                "--source",
                " ",
            ],
            2,
        ),
        (
            &[
                "ranges", "set", "stirred", "strength", "nan", "30", "--source", "tasting",
            ],
            2,
        ),
        (
            &[
                "ranges", "set", "stirred", "strength", "30", "20", "--source", "tasting",
            ],
            2,
        ),
        (
            &[
                "ranges", "set", "stirred", "strength", "20", "inf", "--source", "tasting",
            ],
            2,
        ),
        (&["ranges", "show", "triangular"], 2),
        (&["list", "--house", "no-house.db"], 2),
        (&["list", "--house", "nowhere.db"], 2),
        (&["add", "sound.md", "--house", "no-house.db"], 2),
        (&["--colour", "sometimes", "list"], 2),
        (&["frobnicate"], 2),
        (&[], 0),
        (&["--version"], 0),
        (&["--help"], 0),
    ] {
        let ran = run(folder, arguments);
        assert_eq!(ran.status, status, "{arguments:?}: {}{}", ran.out, ran.err);
        if status == 2 {
            assert!(!ran.err.is_empty(), "{arguments:?} says why");
        }
    }
    assert!(
        std::fs::read_to_string(folder.join("no-house.db"))
            .unwrap()
            .ends_with("business\n"),
        "left as it is"
    );
}

/// A wrong path for the house is the caller's, not a fault of the program (which would be 70).
#[test]
fn a_folder_is_no_house() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "sound.md", SOUND);
    for arguments in [&["list"][..], &["add", "sound.md"], &["ranges", "show"]] {
        let ran = finished(
            crate::washline(folder.path()).args(arguments).arg("--house=."),
            b"",
        );
        assert_eq!(ran.status, 2, "{arguments:?}: {}", ran.err);
    }
}

#[test]
fn standard_input_is_a_book() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "outside.md", OUTSIDE);
    let ran = fed(folder.path(), &["check", "-"], SOUND.as_bytes());
    assert!(ran.status == 0 && ran.out.contains("Owl"), "{}", ran.err);
    let ran = fed(folder.path(), &["check", "outside.md", "-"], SOUND.as_bytes());
    assert!(ran.out.contains("Owl") && ran.out.contains("Wren") && ran.out.contains("2 drinks"));
    assert!(
        fed(folder.path(), &["show", "Owl", "--book", "-"], SOUND.as_bytes())
            .out
            .contains("Owl")
    );
    assert_eq!(fed(folder.path(), &["add", "-"], SOUND.as_bytes()).status, 0);
    assert!(done(folder.path(), &["list"]).contains("Owl"));
    let ran = fed(folder.path(), &["check", "-"], UNREAD.as_bytes());
    assert!(
        ran.status == 2
            && ran
                .err
                .contains("<standard input>\nJay\n  line 5  - 60 ml _dry ginn_\n"),
        "{}",
        ran.err
    );
}

/// What a text is saved as makes no difference to what it says.
#[test]
fn any_way_of_saving_utf_8() {
    let folder = tempfile::tempdir().unwrap();
    let text = "# Café\n\n## Crème Brûlée Owl\nglass: coupe\n\n- 45 ml cognac\n- 15 ml crème de cacao\n- 10 ml curaçao\n- stir\n- strain\n";
    let decomposed = text
        .replace('é', "e\u{301}")
        .replace('è', "e\u{300}")
        .replace('û', "u\u{302}")
        .replace('ç', "c\u{327}");
    let told = |bytes: &[u8]| {
        let ran = fed(folder.path(), &["check", "-", "--json"], bytes);
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran.out
    };
    let plain = told(text.as_bytes());
    assert_eq!(
        told(format!("\u{feff}{text}").as_bytes()),
        plain,
        "byte-order mark"
    );
    assert_eq!(told(text.replace('\n', "\r\n").as_bytes()), plain, "CRLF");
    assert_eq!(
        told(format!("\u{feff}{}", text.replace('\n', "\r\n")).as_bytes()),
        plain,
        "both"
    );
    assert_eq!(told(text.replace('\n', "\r").as_bytes()), plain, "CR");
    assert_eq!(told(text.trim_end().as_bytes()), plain, "no line end at the end");
    let folded: String = told(decomposed.as_bytes())
        .replace("e\u{301}", "é")
        .replace("e\u{300}", "è")
        .replace("u\u{302}", "û")
        .replace("c\u{327}", "ç");
    assert_eq!(folded, plain, "decomposed: shown as typed, found all the same");

    // In the house the composed and the decomposed name are one drink.
    assert_eq!(fed(folder.path(), &["add", "-"], text.as_bytes()).status, 0);
    for name in [
        "Crème Brûlée Owl",
        "Cre\u{300}me Bru\u{302}le\u{301}e Owl",
        "creme brulee owl",
        "CRÈME-BRÛLÉE OWL",
    ] {
        assert!(done(folder.path(), &["show", name]).contains("Owl"), "{name}");
    }
    let again = fed(folder.path(), &["add", "-", "--json"], decomposed.as_bytes()).out;
    assert!(again.contains("\"new\": []"), "{again}");
}

#[test]
fn text_that_is_not_utf_8_is_refused_with_its_first_bad_byte() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(
        folder,
        "latin.md",
        b"# Owl\n\n## Cr\xe8me\n\n- 60 ml dry gin\n- stir\n",
    );
    let utf16 = |mark: [u8; 2], bytes: fn(u16) -> [u8; 2]| {
        mark.into_iter()
            .chain(SOUND.encode_utf16().flat_map(bytes))
            .collect::<Vec<u8>>()
    };
    put(folder, "le.md", utf16([0xff, 0xfe], u16::to_le_bytes));
    put(folder, "be.md", utf16([0xfe, 0xff], u16::to_be_bytes));
    put(folder, "cut.md", b"# Owl\n\n## Cr\xc3");
    for (name, byte, utf16) in [
        ("latin.md", "0xe8", false),
        ("le.md", "0xff", true),
        ("be.md", "0xfe", true),
        ("cut.md", "0xc3", false),
    ] {
        for command in ["check", "add"] {
            let ran = run(folder, &[command, name]);
            assert!(ran.status == 2 && ran.out.is_empty(), "{name}");
            assert!(
                ran.err.contains(name) && ran.err.contains(byte),
                "{name}: {}",
                ran.err
            );
            assert_eq!(ran.err.contains("UTF-16"), utf16, "{name}: {}", ran.err);
        }
    }
    insta::assert_snapshot!(run(folder, &["check", "latin.md"]).err, @r#"
    error: latin.md is not UTF-8: byte 0xe8 at offset 12 (line 3)
    hint: save the file as UTF-8 (many editors: "Save with encoding")
    "#);
    assert!(!folder.join(".local").exists(), "no house was made");
}

/// Standard error with only the nearest of the nearest names: the others come and go with the library.
fn nearest_alone(text: &str) -> String {
    let lines = text.lines().map(|line| match line.split_once("nearest: ") {
        Some((before, names)) => format!("{before}nearest: {} …\n", names.split(',').next().unwrap()),
        None => format!("{line}\n"),
    });
    lines.collect()
}

#[test]
fn every_fault_of_every_book_in_one_run() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(
        folder,
        "two.md",
        "# Two\ncurrency: EURO\n\n## Owl\n\n- 60 ml dry ginn\n- 1 lime juice\n- stir\n\n## Tern\n\n- 60 ml dry gin\n- stir\n",
    );
    put(
        folder,
        "crlf.md",
        "# Crème\r\n\r\n## Wren\r\n\r\n- 60 ml frøbnitz\r\n- stir\r\n",
    );
    let ran = run(folder, &["check", "two.md"]);
    assert_eq!(ran.status, 2);
    assert!(
        ran.out.contains("Tern") && !ran.out.contains("Owl"),
        "what reads is worked out: {}",
        ran.out
    );
    insta::assert_snapshot!(nearest_alone(&ran.err), @r#"
    two.md
      line 2  currency: _EURO_
              `EURO` for `currency`: expected an ISO 4217 code of three letters such as EUR
    Owl
      line 6  - 60 ml _dry ginn_
              no ingredient `dry ginn`
              nearest: london dry gin …
      line 7  - _1 lime juice_
              which? 1 oz lime juice | juice of 1 lime (no unit for `lime juice`)

    What nobody lists is said once: in the book (`## its name`, `is: an ingredient`, `strength: 20 %`,
      `sugar: 180 g/L`, `source: label`, or `makes: an ingredient` and what goes into it), or with
      `washline ingredient add`.
    "#);
    let ran = run(folder, &["check", "crlf.md", "two.md"]);
    for place in [
        "crlf.md\nWren\n  line 5  - 60 ml _frøbnitz_\n",
        "two.md\n  line 2  currency: _EURO_\n",
        "\nOwl\n  line 6  - 60 ml _dry ginn_\n",
    ] {
        assert!(ran.err.contains(place), "{place}: {}", ran.err);
    }
}

/// A fault is said as a person marks it: once, in three lines, the word underlined without colour too, and what helps
/// with all of its sort at the end.
#[test]
fn a_fault_is_marked_as_a_person_marks_it() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let mut text = "# Many\n".to_owned();
    for drink in ["Owl", "Tern", "Wren"] {
        text.push_str(&format!("\n## {drink}\n- 60 ml gim\n- 20 ml vermouth\n- stir\n"));
    }
    put(folder, "many.md", &text);
    let said = run(folder, &["check", "many.md"]).err;
    assert_eq!(said.matches("gim").count(), 2, "typed once, said once: {said}");
    assert!(
        said.contains("_gim_") && said.contains("(also lines 9, 14)"),
        "{said}"
    );
    assert_eq!(said.matches("which?").count(), 1, "{said}");
    assert_eq!(said.matches("is: an ingredient").count(), 1, "{said}");
    assert!(
        !said.contains('^') && !said.contains("-->") && !said.contains(" | \n"),
        "{said}"
    );
    let faults = said.split("\n\n").next().unwrap();
    assert!(faults.lines().count() <= 2 + 3 + 3, "{said}");
    // A long line is shown round the word.
    let long = format!(
        "## Long\n{}50 ml gim, shake\n",
        "2 dashes orange bitters, ".repeat(12)
    );
    put(folder, "long.md", &long);
    let said = run(folder, &["check", "long.md"]).err;
    let line = said.lines().find(|line| line.contains("_gim_")).unwrap();
    assert!(line.chars().count() <= 100 && line.contains('…'), "{line}");
}

/// What a book cannot read of itself is said whoever asks, and a drink in it is not simply unknown.
#[test]
fn a_drink_with_a_fault_is_not_simply_unknown() {
    let folder = tempfile::tempdir().unwrap();
    for arguments in [["show", "Jay", "--book", "-"], ["compare", "Jay", "--book", "-"]] {
        let ran = fed(folder.path(), &arguments, UNREAD.as_bytes());
        assert_eq!(ran.status, 2);
        assert!(ran.err.contains("dry ginn"), "{arguments:?}: {}", ran.err);
    }
}

/// Two books of one title are two books to a check.
#[test]
fn books_of_one_title_are_both_checked() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "spring.md", SOUND);
    put(folder.path(), "autumn.md", SOUND.replace("Owl", "Tern"));
    let out = done(folder.path(), &["check", "spring.md", "autumn.md"]);
    assert!(out.contains("Owl") && out.contains("Tern"), "{out}");
}

/// The text without the escape sequences of colour, which the program itself writes.
fn without_colour(text: &str) -> String {
    let mut plain = String::new();
    let mut rest = text;
    while let Some(at) = rest.find("\u{1b}[") {
        plain.push_str(&rest[..at]);
        let after = &rest[at + 2..];
        let length = after
            .bytes()
            .take_while(|b| b.is_ascii_digit() || *b == b';')
            .count();
        if after[length..].starts_with('m') {
            rest = &after[length + 1..];
        } else {
            plain.push_str("\u{1b}[");
            rest = after;
        }
    }
    plain + rest
}

fn assert_no_control(what: &str, ran: &Ran) {
    for text in [&ran.out, &ran.err] {
        let plain = without_colour(text);
        let raw = plain.chars().find(|c| {
            c.is_control() && *c != '\n'
                || matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{e0000}'..='\u{e0fff}')
        });
        assert!(
            raw.is_none(),
            "{what}: {:?} reaches the terminal: {plain:?}",
            raw.unwrap()
        );
    }
}

/// Clears the screen, sets a title, rings, turns the writing round, and an 8-bit escape.
/// Marks of direction, spaces without width, a joiner, a soft hyphen, a tag.
const CONTROL: &str = "a\u{1b}[2J\u{1b}]0;b\u{7}\u{202e}\u{9b}2J\u{7f}c\u{200e}\u{200f}\u{200b}d\u{2060}\u{ad}e\u{feff}f\u{2028}\u{e0041}";

#[test]
fn control_characters_of_a_book_never_reach_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    for book in [
        format!("# {CONTROL}\n\n## Owl\n- 60 ml dry gin\n- stir\n"),
        format!("## {CONTROL}\n- 60 ml dry gin\n- stir\n"),
        format!("## Owl\n- 60 ml {CONTROL}\n- stir\n"),
        format!("## Owl\n- 60 ml dry gin\n- stir {CONTROL}\n"),
        format!("## Owl\nglass: {CONTROL}, 100 ml\n- 60 ml dry gin\n- stir\n"),
        format!("## Owl\n- 60 ml dry gin\n- stir\n<!-- {CONTROL} -->\n"),
        format!("## Owl\n- 60 ml dry gin\n- stir\n<!-- \n{CONTROL}\n -->\n"),
        format!("## Owl\n> {CONTROL}\n- 60 ml dry gin\n- stir\n"),
        format!("{CONTROL}: b\n## Owl\n- 60 ml dry gin\n- stir\n"),
        "## Owl\u{202e}\nglass: cou\u{202e}pe\n- 60 ml dry gin, so\u{202e}so\n- stir\n".to_owned(),
        "## Owl\u{202e}\n- 60 ml dry gi\u{202e}nn\n- stir\n".to_owned(),
    ] {
        for arguments in [
            &["check", "-"][..],
            &["check", "-", "--full"],
            &["show", "Owl", "--book", "-"],
            &["show", "Owl\u{202e}", "--book", "-"],
            &["compare", "--book", "-"],
            &["card", "--book", "-"],
            &["card", "--book", "-", "--html"],
            &["report", "-", "-"],
            &["label", "--book", "-"],
            &["check", "-", "--json"],
            &["audit", "-"],
        ] {
            let ran = finished(
                crate::washline(folder.path())
                    .args(arguments)
                    .arg("--colour=always"),
                book.as_bytes(),
            );
            assert_no_control(&format!("{arguments:?} of {book:?}"), &ran);
        }
    }
}

#[test]
fn control_characters_of_a_call_never_reach_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "sound.md", SOUND);
    for arguments in [
        &["show", CONTROL, "--book", "sound.md"][..],
        &["check", CONTROL],
        &["ingredient", "show", CONTROL],
        &[
            "ingredient",
            "add",
            CONTROL,
            "--sugar",
            "100",
            "--source",
            CONTROL,
            "--also",
            CONTROL,
            "--kind",
            CONTROL,
        ],
        &["ingredient", "list", "--own"],
        &["ingredient", "show", CONTROL],
        &["ingredient", "add", "x", "--sugar", CONTROL, "--source", "label"],
        &[
            "ranges", "set", "stirred", "strength", "20", "30", "--source", CONTROL,
        ],
        &["ranges", "show", "stirred"],
        &["ranges", "show", CONTROL],
        &[
            "ranges", "set", "stirred", CONTROL, "20", "30", "--source", "label",
        ],
        &["list", "--house", CONTROL],
        // What the reading of arguments says by itself.
        &[CONTROL],
        &["list", CONTROL],
        &["card", &format!("--{CONTROL}")],
        &["card", "--units", CONTROL],
        &["export", "--format", CONTROL],
        &["batch", "Owl", "--serves", CONTROL],
        &["settings", "set", CONTROL, CONTROL],
        &["merge", CONTROL],
        &["backup", CONTROL],
        &["import", CONTROL],
        &["card", "Owl", "--book", "sound.md", "--units", CONTROL, "--json"],
        &["verify", "--house", CONTROL],
    ] {
        let ran = finished(
            crate::washline(folder).args(arguments).arg("--colour=always"),
            b"",
        );
        assert_no_control(&format!("{arguments:?}"), &ran);
    }
}

#[test]
#[cfg(unix)]
fn control_characters_of_a_path_never_reach_the_terminal() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), CONTROL, UNREAD);
    put(folder.path(), "sound.md", SOUND);
    for arguments in [
        &["check", CONTROL][..],
        &["add", CONTROL],
        &["add", "sound.md", "--house", &format!("{CONTROL}.db")],
    ] {
        let ran = finished(
            crate::washline(folder.path())
                .args(arguments)
                .arg("--colour=always"),
            b"",
        );
        assert_no_control(&format!("{arguments:?}"), &ran);
    }
}

#[test]
fn add_stores_all_of_it_or_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "sound.md", SOUND);
    put(folder, "outside.md", OUTSIDE);
    put(folder, "unread.md", UNREAD);
    for books in [
        &["unread.md"][..],
        &["sound.md", "unread.md"],
        &["unread.md", "sound.md"],
        &["sound.md", "missing.md"],
    ] {
        let ran = run(folder, &[&["add"], books].concat());
        assert!(ran.status == 2 && ran.out.is_empty(), "{books:?}: {}", ran.out);
        assert!(!folder.join(".local").exists(), "{books:?} make no house");
    }
    assert!(
        run(folder, &["add", "unread.md"])
            .err
            .contains("nothing was stored: 1 fault to mend")
    );
    done(folder, &["add", "sound.md"]);
    let before = done(folder, &["list"]);
    let ran = run(folder, &["add", "outside.md", "unread.md"]);
    assert!(ran.status == 2 && ran.err.contains("nothing was stored"));
    assert_eq!(done(folder, &["list"]), before);
}

#[test]
fn a_book_added_again_keeps_every_version() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let add = |text: &str| {
        put(folder, "halt.md", text);
        done(folder, &["add", "halt.md"])
    };
    let two = format!("{SOUND}\n## Tern\n\n- 60 ml dry gin\n- 20 ml dry vermouth\n- stir\n");
    assert!(add(&two).contains("new (2): Owl; Tern"));
    let again = add(&two);
    assert!(
        again.contains("unchanged (2): Owl; Tern")
            && again.contains("worked out: 0")
            && !again.contains("new"),
        "{again}"
    );
    let spaced = add(&two.replace("- stir", "-   stir"));
    assert!(spaced.contains("unchanged (2)"), "spacing is no change: {spaced}");
    assert!(add(&two).contains("unchanged (2)"));
    let changed = add(&two.replace("20 ml dry", "25 ml dry"));
    assert!(
        changed.contains("changed (1): Tern") && changed.contains("worked out: 1"),
        "{changed}"
    );
    assert!(
        done(folder, &["show", "Tern"]).contains("(version 2)")
            && done(folder, &["show", "Owl"]).contains("(version 1)")
    );
    let back = add(&two);
    assert!(back.contains("changed (1): Tern"), "{back}");
    assert!(done(folder, &["show", "Tern"]).contains("(version 3)"));
    let gone = add(SOUND);
    assert!(gone.contains("no longer in it (1): Tern"), "{gone}");
    assert!(!done(folder, &["list"]).contains("Tern"));
    assert_eq!(run(folder, &["show", "Tern"]).status, 2);
    let returned = add(&two);
    assert!(returned.contains("new (1): Tern"), "{returned}");
}

#[test]
fn which_house() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    put(folder, "sound.md", SOUND);
    let with = |variables: &[(&str, &str)], arguments: &[&str]| {
        let ran = finished(
            crate::washline(folder)
                .envs(variables.iter().copied())
                .args(arguments),
            b"",
        );
        assert_eq!(ran.status, 0, "{}", ran.err);
        ran
    };
    // By option, over the environment.
    let ran = with(
        &[("WASHLINE_HOUSE", "b.db")],
        &["add", "sound.md", "--house", "deep/in/a.db"],
    );
    assert!(folder.join("deep/in/a.db").exists() && !folder.join("b.db").exists());
    assert!(
        ran.err.contains("deep/in/a.db") && !ran.out.contains("a.db"),
        "a new house is told on standard error: {}",
        ran.err
    );
    assert!(
        with(&[], &["--house", "deep/in/a.db", "list"])
            .out
            .contains("Owl"),
        "before the command as well"
    );
    assert!(
        with(&[], &["add", "sound.md", "--house", "deep/in/a.db"])
            .err
            .is_empty(),
        "told once"
    );
    // By environment.
    let ran = with(&[("WASHLINE_HOUSE", "b.db")], &["add", "sound.md"]);
    assert!(folder.join("b.db").exists() && ran.err.contains("b.db"));
    assert!(!folder.join(".local").exists());
    // Else the platform's data folder.
    if cfg!(unix) {
        let home = folder.join(".local/share/washline/house.db");
        let ran = with(&[], &["add", "sound.md"]);
        assert!(
            home.exists() && ran.err.contains(&home.display().to_string()),
            "{}",
            ran.err
        );
        let elsewhere = folder.join("data");
        let ran = with(
            &[("XDG_DATA_HOME", elsewhere.to_str().unwrap())],
            &[
                "ingredient",
                "set",
                "dry gin",
                "--strength",
                "45",
                "--source",
                "label",
            ],
        );
        assert!(
            elsewhere.join("washline/house.db").exists() && ran.err.contains("data/washline/house.db"),
            "{}",
            ran.err
        );
    }
}

/// Whatever a house is called, what was kept in it is found again.
#[test]
#[cfg(unix)]
fn a_house_is_the_file_that_is_named() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "sound.md", SOUND);
    let mut lost = Vec::new();
    for name in [
        "of the house.db",
        "häuser.db",
        "a%41?b#c.db",
        "-dash.db",
        ":memory:",
        "file:x.db",
        "file:y.db?mode=memory",
    ] {
        let house = format!("--house={name}");
        let added = run(folder.path(), &["add", "sound.md", &house]);
        let listed = run(folder.path(), &["list", &house]);
        let found = folder.path().join(name).exists() && listed.status == 0 && listed.out.contains("Owl");
        if added.status != 0 || !found {
            lost.push(format!(
                "{name}: add ended with {} {}, list with {} {}",
                added.status, added.err, listed.status, listed.err
            ));
        }
    }
    assert!(lost.is_empty(), "{}", lost.join("\n"));
}

/// To read, or to fail, makes no house.
#[test]
fn only_keeping_makes_a_house() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "sound.md", SOUND);
    for arguments in [
        &["list"][..],
        &["check"],
        &["show", "Owl"],
        &["check", "sound.md"],
        &["show", "Owl", "--book", "sound.md"],
        &["ingredient", "list"],
        &["ingredient", "show", "dry gin"],
        &["ingredient", "show", "moon dust"],
        &[
            "ingredient",
            "set",
            "moon dust",
            "--sugar",
            "1",
            "--source",
            "label",
        ],
        &[
            "ingredient",
            "add",
            "dry gin",
            "--strength",
            "41",
            "--source",
            "label",
        ],
        &["ranges", "show"],
        &["ranges", "span", "sound.md"],
        &["ranges", "unset", "stirred", "strength"],
    ] {
        run(folder.path(), &[arguments, &["--house", "h.db"]].concat());
        assert!(!folder.path().join("h.db").exists(), "{arguments:?}");
    }
}

/// A figure that takes a drink's footing away is told where it is set.
/// The same figure set twice: nothing comes to anything else, and that is all that is said of the drinks.
#[test]
fn what_changes_nothing_is_told_as_that() {
    let folder = tempfile::tempdir().unwrap();
    let book = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../fixtures/books/lantern-halt.md"
    );
    done(folder.path(), &["add", book]);
    let set = [
        "ingredient",
        "set",
        "lime juice",
        "--acid",
        "56",
        "--source",
        "titration",
    ];
    assert!(done(folder.path(), &set).contains("worked out anew ("));
    assert!(done(folder.path(), &set).ends_with("no drink comes to anything else\n"));
}

#[test]
fn what_an_ingredient_breaks_is_told() {
    let folder = tempfile::tempdir().unwrap();
    done(
        folder.path(),
        &[
            "ingredient",
            "add",
            "night liqueur",
            "--strength",
            "20",
            "--sugar",
            "100",
            "--source",
            "label",
        ],
    );
    assert_eq!(
        fed(
            folder.path(),
            &["add", "-"],
            b"# H\n\n## Owl\n\n- 60 ml night liqueur (80 %)\n- stir\n"
        )
        .status,
        0
    );
    let ran = run(
        folder.path(),
        &[
            "ingredient",
            "set",
            "night liqueur",
            "--sugar",
            "900",
            "--source",
            "label",
        ],
    );
    assert!(
        ran.err.contains("night liqueur at 80 % vol"),
        "{}{}",
        ran.out,
        ran.err
    );
    assert!(
        !ran.out.contains("no drink comes to anything else"),
        "{}",
        ran.out
    );
    let ran = run(folder.path(), &["show", "Owl"]);
    assert!(
        ran.status == 2 && !ran.err.contains("no drink `Owl`"),
        "{}",
        ran.err
    );
}

/// `washline … | head`: the reader may leave when it has seen enough.
#[test]
fn a_reader_that_leaves_early_is_no_error() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "sound.md", SOUND);
    done(folder.path(), &["add", "sound.md"]);
    for arguments in [
        &["list"][..],
        &["list", "--json"],
        &["check"],
        &["show", "Owl"],
        &["ingredient", "list", "--json"],
        &["completions", "bash"],
        &["check", "--help"],
    ] {
        let mut child = crate::washline(folder.path())
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let output = child.wait_with_output().unwrap();
        let notes = String::from_utf8(output.stderr).unwrap();
        assert!(
            output.status.code() == Some(0) && notes.is_empty(),
            "{arguments:?}: {:?} {notes}",
            output.status
        );
    }
}

/// A disk that is full is not success.
#[test]
#[cfg(target_os = "linux")]
fn output_that_cannot_be_written_is_told() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "sound.md", SOUND);
    let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
    let output = crate::washline(folder.path())
        .args(["check", "sound.md"])
        .stdout(full)
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
        .wait_with_output()
        .unwrap();
    let notes = String::from_utf8(output.stderr).unwrap();
    assert!(
        !matches!(output.status.code(), Some(0 | 101) | None),
        "{:?}",
        output.status
    );
    assert!(
        notes.contains("cannot be written") && !notes.contains("panicked"),
        "{notes}"
    );
}

#[test]
fn colour_where_it_is_wanted() {
    let folder = tempfile::tempdir().unwrap();
    put(
        folder.path(),
        "both.md",
        format!("{OUTSIDE}\n## Jay\n\n- 60 ml dry ginn\n"),
    );
    let coloured = |variables: &[(&str, &str)], more: &[&str]| {
        let ran = finished(
            crate::washline(folder.path())
                .envs(variables.iter().copied())
                .args(["check", "both.md"])
                .args(more),
            b"",
        );
        let escaped = [ran.out.contains('\u{1b}'), ran.err.contains('\u{1b}')];
        assert_eq!(escaped[0], escaped[1], "both streams alike");
        escaped[0]
    };
    assert!(!coloured(&[], &[]), "not into a pipe");
    assert!(coloured(&[], &["--colour", "always"]) && coloured(&[], &["--color=always"]));
    assert!(!coloured(&[], &["--colour", "never"]));
    assert!(coloured(&[("CLICOLOR_FORCE", "1")], &[]), "as on a terminal");
    assert!(!coloured(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "1")], &[]));
    assert!(
        coloured(&[("CLICOLOR_FORCE", "1"), ("NO_COLOR", "")], &[]),
        "empty is not set"
    );
    assert!(!coloured(&[("CLICOLOR_FORCE", "1")], &["--colour=never"]));
    assert!(
        coloured(&[("NO_COLOR", "1")], &["--colour=always"]),
        "the call has the last word"
    );
    // Nothing is said by colour alone.
    let with = finished(
        crate::washline(folder.path()).args(["check", "both.md", "--colour=always"]),
        b"",
    );
    let without = run(folder.path(), &["check", "both.md"]);
    assert_eq!(
        (without_colour(&with.out), without_colour(&with.err)),
        (without.out, without.err)
    );
}

#[test]
fn completions_for_every_shell() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "autumn.md", SOUND);
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = done(folder.path(), &["completions", shell]);
        assert!(script.contains("WASHLINE_COMPLETE"), "{shell}");
    }
    // What a shell is answered: commands, options, and the names of the house.
    done(folder.path(), &["add", "autumn.md"]);
    let asked = |typed: &[&str]| {
        let mut command = crate::washline(folder.path());
        command
            .env("WASHLINE_COMPLETE", "fish")
            .args(["--", "washline"])
            .args(typed);
        finished(&mut command, b"").out
    };
    for (typed, wanted) in [
        (&["ing"][..], "ingredient"),
        (&["list", "--fl"], "--flagged"),
        (&["show", "ow"], "Owl"),
        (&["taste", "Owl", "--book", ""], "Halt"),
        (&["ingredient", "show", "lime j"], "lime juice"),
        (&["remove", "drink", "O"], "Owl"),
    ] {
        let out = asked(typed);
        assert!(
            out.lines().any(|line| line.starts_with(wanted)),
            "{typed:?}: {out}"
        );
    }
    assert_eq!(run(folder.path(), &["completions", "abacus"]).status, 2);
}

/// Every command and its sub-commands, as the help lists them.
fn commands() -> Vec<Vec<String>> {
    fn below(of: &[String], all: &mut Vec<Vec<String>>) {
        let help = help(of);
        // In groups or under one heading, they stand before the options.
        let listed = help.split("\nOptions:\n").next().unwrap();
        for name in listed.lines().filter_map(|l| {
            l.strip_prefix("  ")
                .filter(|l| l.starts_with(|c: char| c.is_ascii_lowercase()))
        }) {
            let name = name.split(' ').next().unwrap().to_owned();
            if name != "help" {
                let command = [of, &[name]].concat();
                all.push(command.clone());
                below(&command, all);
            }
        }
    }
    let mut all = Vec::new();
    below(&[], &mut all);
    all
}

fn help(command: &[String]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let words: Vec<&str> = command.iter().map(String::as_str).chain(["--help"]).collect();
    done(folder.path(), &words)
}

#[test]
fn every_help_opens_with_its_purpose_and_has_an_example() {
    let commands = commands();
    assert!(commands.len() >= 16, "{commands:?}");
    for command in &commands {
        let help = help(command);
        let what = command.join(" ");
        let purpose = help.split("\n\n").next().unwrap().replace('\n', " ");
        assert!(
            (20..=120).contains(&purpose.len()) && !purpose.starts_with("Usage"),
            "{what}: {purpose}"
        );
        let has_commands = help.contains("\nCommands:\n");
        let example = help.lines().find_map(|l| l.strip_prefix("Example: "));
        match example {
            Some(example) => assert!(
                example.starts_with(&format!("washline {what}")),
                "{what}: {example}"
            ),
            None => assert!(has_commands, "{what} has no example"),
        }
    }
}

/// What the help gives as examples can be typed.
#[test]
#[cfg(unix)]
fn the_examples_of_the_help_run() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::os::unix::fs::symlink(crate::project().join("fixtures"), folder.join("fixtures")).unwrap();
    std::fs::create_dir_all(folder.join(".local/share/bash-completion/completions")).unwrap();
    put(folder, "autumn.md", SOUND.replace("Owl", "Platform Fog"));
    let program = Path::new(env!("CARGO_BIN_EXE_washline")).parent().unwrap();
    for command in commands() {
        let help = help(&command);
        let Some(example) = help.lines().find_map(|l| l.strip_prefix("Example: ")) else {
            continue;
        };
        let path = format!("{}:/usr/bin:/bin", program.display());
        let ran = finished(
            Command::new("sh")
                .args(["-c", example])
                .current_dir(folder)
                .env_clear()
                .env("HOME", folder)
                .env("PATH", path)
                // An editor that is closed again at once.
                .env("EDITOR", "true"),
            b"",
        );
        assert_eq!(ran.status, 0, "{example}: {}", ran.err);
    }
}

/// No brand stands in the help: every word with a capital begins a sentence or is one of these.
#[test]
fn no_help_names_a_brand() {
    // Letter is a paper (ANSI/ASME Y14.1).
    const KNOWN: [&str; 6] = ["European", "March", "Brix", "Bx", "Markdown", "Letter"];
    let folder = tempfile::tempdir().unwrap();
    let mut texts = vec![done(folder.path(), &["--help"])];
    texts.extend(commands().iter().map(|c| help(c)));
    for text in texts {
        for line in text.lines().filter(|l| !l.starts_with("Example: ")) {
            let words: Vec<&str> = line.split_whitespace().collect();
            for (i, word) in words.iter().enumerate() {
                let bare = word.trim_matches(|c: char| !c.is_alphanumeric() && c != '_');
                let capital = bare.chars().next().is_some_and(char::is_uppercase);
                let whole =
                    bare.chars().all(|c| c.is_uppercase() || !c.is_alphabetic()) || word.contains('<');
                // After two spaces or a full stop a sentence begins; what is all capitals is a unit or stands for a value.
                let begins = i == 0
                    || words[i - 1].ends_with(['.', ':', '?', '…', ']'])
                    || line.contains(&format!("  {word}"));
                assert!(
                    !capital || begins || whole || KNOWN.contains(&bare),
                    "`{bare}` in: {line}"
                );
            }
        }
    }
}

/// Killed at any moment, a program leaves the house whole: all of the book or nothing of it.
#[test]
#[cfg(unix)]
fn a_kill_leaves_the_house_whole() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    std::fs::copy(
        crate::project().join("fixtures/books/lantern-halt.md"),
        folder.join("book.md"),
    )
    .unwrap();
    let start = std::time::Instant::now();
    done(folder, &["add", "book.md", "--house", "whole.db"]);
    let takes = start.elapsed();
    let drinks = |house: &str| {
        let ran = run(folder, &["list", "--json", "--house", house]);
        if ran.status != 0 {
            return Err(ran.out);
        }
        let told: serde_json::Value = serde_json::from_str(&ran.out).unwrap();
        Ok(told["drinks"].as_array().unwrap().len())
    };
    let all = drinks("whole.db").unwrap();
    // Every so often while the file is being made, and over the whole of the run.
    let moments = (0..10)
        .map(|i| (true, std::time::Duration::from_millis(2) * i))
        .chain((1..10).map(|i| (false, takes * i / 10)));
    let mut broken = Vec::new();
    for (i, (made, moment)) in moments.enumerate() {
        let house = format!("{i}.db");
        let mut child = crate::washline(folder)
            .args(["add", "book.md", "--house", &house])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        while made && !folder.join(&house).exists() && child.try_wait().unwrap().is_none() {}
        std::thread::sleep(moment);
        child.kill().unwrap();
        child.wait().unwrap();
        if folder.join(&house).exists() {
            match drinks(&house) {
                Ok(left) if left == 0 || left == all => {}
                left => broken.push(format!("{moment:?}, once the file is there: {made}: {left:?}")),
            }
        }
    }
    assert!(broken.is_empty(), "of {all} drinks:\n{}", broken.join("\n"));
}

/// Several programs that start a house at once all succeed: one makes it, the others wait.
#[test]
fn many_programs_may_start_one_house() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "sound.md", SOUND);
    for round in 0..4 {
        let house = format!("--house={round}.db");
        let children: Vec<_> = (0..4)
            .map(|_| {
                crate::washline(folder.path())
                    .args(["add", "sound.md", &house])
                    .stdout(Stdio::piped())
                    .stderr(Stdio::piped())
                    .spawn()
                    .unwrap()
            })
            .collect();
        for child in children {
            let output = child.wait_with_output().unwrap();
            assert_eq!(
                output.status.code(),
                Some(0),
                "{}",
                String::from_utf8_lossy(&output.stderr)
            );
        }
        assert!(done(folder.path(), &["list", &house]).contains("1 drink"));
    }
}

/// A file without an end, and one that is too large, are refused and not read to the end of memory.
#[test]
#[cfg(unix)]
fn a_file_has_a_largest_size() {
    let folder = tempfile::tempdir().unwrap();
    put(folder.path(), "large.md", "- 60 ml dry gin\n".repeat(700_000));
    for file in ["/dev/zero", "large.md"] {
        for command in [
            &["check", file][..],
            &["add", file, "--house", "h.db"],
            &["import", file],
        ] {
            let ran = run(folder.path(), command);
            assert!(
                ran.status == 2 && ran.err.contains("larger than 10000000 bytes"),
                "{command:?}: {}",
                ran.err
            );
        }
    }
    assert!(!folder.path().join("h.db").exists());
}
