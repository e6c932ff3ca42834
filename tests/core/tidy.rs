//! A book in its clean form: the same drinks, every word, and as a person would hand it over.

use std::collections::HashSet;

use washline_core::computed::{Bar, Checked, ComputedDrink, look_at, tidy};
use washline_core::names::key;
use washline_core::spec::{self, Entry, Source};

fn read(text: &str) -> Checked {
    look_at(&[Source::new("t", text)], &Bar::default())
}

/// The clean form of a text.
fn tidied(text: &str) -> String {
    tidy(&Source::new("t", text), &Bar::default()).text
}

/// The clean form of a drink of this body, without its heading.
fn drink(body: &str) -> String {
    let text = tidied(&format!("## D\n{body}\n"));
    text.strip_prefix("## D\n").unwrap().to_owned()
}

fn fixture(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../fixtures/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap()
}

/// Every figure of a drink with what is poured, as far as arithmetic tells them apart.
fn facts(drink: &ComputedDrink) -> String {
    let figures = drink.evaluation.figures.named().map(|(name, f)| {
        let round = |v: Option<f64>| v.map(|v| (v * 1e6).round() / 1e6);
        format!(
            "{name} {:?} {:?} {:?}",
            round(f.value),
            round(f.low),
            round(f.high)
        )
    });
    let pours: Vec<String> = drink
        .pours()
        .iter()
        .map(|p| format!("{:?} {} {:.6}", p.place, p.ingredient, p.volume_ml))
        .collect();
    let glass = drink.resolved.glass.as_ref().map(|g| g.capacity_ml);
    format!(
        "{figures:?} {pours:?} {:?} {glass:?} {:?} {}",
        drink.evaluation.structure,
        drink.resolved.serves,
        drink.drink.garnishes().count()
    )
}

/// What a list of pours typed on a phone becomes.
#[test]
fn a_bare_number_gets_the_unit_it_was_computed_in() {
    assert_eq!(
        drink("2 gin\n1 lemon\n3/4 simple\nshake, coupe, lemon twist"),
        "glass: coupe\n\n- 2 oz gin\n- 1 oz lemon juice\n- 3/4 oz simple\n- shake\n- garnish lemon twist\n"
    );
    assert_eq!(
        drink("50 gin 25 lemon 20 sugar 1 eggwhite, dry shake then shake, coupe"),
        "glass: coupe\n\n- 50 ml gin\n- 25 ml lemon juice\n- 20 ml sugar syrup\n- 1 egg white\n- dry shake\n- shake\n"
    );
}

/// What the house decides is not written into the drink: which rum, how strong a simple syrup, how large a dash.
#[test]
fn what_is_taken_for_granted_of_the_house_stays_open() {
    let clean = drink("60 rum\n20 lime\n15 simple\n2 dash bitters\nshake");
    for line in [
        "- 60 ml rum\n",
        "- 20 ml lime juice\n",
        "- 15 ml simple\n",
        "- 2 dashes bitters\n",
    ] {
        assert!(clean.contains(line), "{clean}");
    }
}

/// What no step carries is kept as the writer typed it.
#[test]
fn words_that_no_step_carries_are_notes() {
    for (body, note) in [
        (
            "15 coffee liqueur 15 irish cream 15 overproof rum, layered",
            "> layered",
        ),
        (
            "60 ml gin\nstir, strain. Keep in the freezer.",
            "> Keep in the freezer",
        ),
        (
            "60 ml gin\n20 ml milk\nshake\npour the mix on the milk",
            "> pour the mix on the milk",
        ),
        ("60 ml gin\nstir\nno garnish", "> no garnish"),
        (
            "60 ml gin\nstir, filter through coffee paper",
            "> filter through coffee paper",
        ),
    ] {
        let clean = drink(body);
        assert!(clean.lines().any(|line| line == note), "{body}:\n{clean}");
    }
}

/// Comments, notes, headings and order are kept, and so is what does not read.
#[test]
fn nothing_of_a_book_is_dropped() {
    let text = "# Halt\nounce: 30 ml\n\n<!-- autumn -->\n\n## One\n> the first\n2 oz gin <!-- the old bottle -->\nstir\nglass: coupe\n\n## Two\n- 50 ml gim\n- shake\n\n## Cordial\nmakes: an ingredient\n- 500 g sugar\n- 500 ml water\n\n## Brine\nis: an ingredient\nsugar: 10 g/l\nsource: label\n";
    let clean = tidied(text);
    assert_eq!(
        clean,
        "# Halt\n\nounce: 30 ml\n\n<!-- autumn -->\n\n## One\nglass: coupe\n\n> the first\n<!-- the old bottle -->\n- 2 oz gin\n- stir\n\n## Two\n- 50 ml gim\n- shake\n\n## Cordial\nmakes: an ingredient\n\n- 500 g sugar\n- 500 ml water\n\n## Brine\nis: an ingredient\nsugar: 10 g/l\nsource: label\n"
    );
    let told = tidy(&Source::new("t", text), &Bar::default());
    assert_eq!(told.left.len(), 1);
    assert!(told.left[0].unread && told.left[0].name == "Two" && told.left[0].line == 12);
    assert_eq!(told.faults.len(), 1);
}

/// A text without headings gets them.
#[test]
fn a_text_without_headings_gets_them() {
    let clean =
        tidied("Fog Bell\n50 ml gin\n25 ml lemon\nshake\n\n60 rum / 22 lime / 15 2:1 - shake - coupe\n");
    assert_eq!(
        clean,
        "## Fog Bell\n- 50 ml gin\n- 25 ml lemon juice\n- shake\n\n## line 6\nglass: coupe\n\n- 60 ml rum\n- 22 ml lime juice\n- 15 ml 2:1\n- shake\n"
    );
}

/// Every book of the project, and every spec and line as people type them, comes to the same in its clean form, and
/// its clean form is its own.
#[test]
fn the_clean_form_comes_to_the_same() {
    let mut texts: Vec<(String, String)> = [
        "books/classics.md",
        "books/lantern-halt.md",
        "books/lantern-halt-mise.md",
        "books/lantern-halt-winter.md",
        "books/worked.md",
        "books/stock-assay-limes.md",
        "books/stock-by-the-cup.md",
        "cases/typed_specs.md",
    ]
    .iter()
    .map(|name| ((*name).to_owned(), fixture(name)))
    .collect();
    let lines = fixture("cases/typed_lines.csv");
    let mut book = String::from("# Lines\n");
    for (at, record) in csv::Reader::from_reader(lines.as_bytes()).records().enumerate() {
        let line = record.unwrap()[0].replace('\\', "\n");
        if !line.contains('#') && !line.contains("<!--") {
            book.push_str(&format!("\n## Line {at}\n{line}\nstir\n"));
        }
    }
    texts.push(("cases/typed_lines.csv".to_owned(), book));
    for (name, text) in &texts {
        let before = read(text);
        let told = tidy(&Source::new("t", text.as_str()), &Bar::default());
        assert_eq!(tidied(&told.text), told.text, "{name}");
        let after = read(&told.text);
        assert_eq!(before.drinks.len(), after.drinks.len(), "{name}");
        for (a, b) in before.drinks.iter().zip(&after.drinks) {
            assert_eq!(a.name(), b.name(), "{name}");
            assert_eq!(
                facts(a),
                facts(b),
                "{name}: {}\n{}\n{}",
                a.name(),
                a.source.text,
                b.source.text
            );
        }
        for (a, b) in before.preparations.iter().zip(&after.preparations) {
            assert_eq!(a.made.ingredient, b.made.ingredient, "{name}: {}", a.name());
        }
        // The clean form of few would read otherwise: they are left, and that is said.
        let otherwise = told.left.iter().filter(|l| !l.unread).count();
        assert!(
            otherwise * 12 <= before.drinks.len(),
            "{name}: {otherwise} of {} left as typed: {:?}",
            before.drinks.len(),
            told.left
        );
    }
}

/// Whatever a writer types that is no word of work, unit or number stands in the clean form too.
#[test]
fn no_word_is_dropped() {
    let text = fixture("cases/typed_specs.md");
    let told = tidy(&Source::new("t", text.as_str()), &Bar::default());
    let reading = spec::read(&Source::new("t", told.text.as_str()));
    let words = |text: &str| -> HashSet<String> {
        key(text)
            .split(|c: char| !c.is_alphabetic())
            .filter(|w| w.len() > 3)
            .map(|w| w.trim_end_matches('s').to_owned())
            .collect()
    };
    // Said in other words: verbs of work and serving, units, numbers, words that join, slips put right.
    let otherwise = [
        "strain",
        "shake",
        "shaken",
        "stir",
        "stirred",
        "double",
        "into",
        "over",
        "with",
        "then",
        "from",
        "pour",
        "serve",
        "garnish",
        "garnished",
        "built",
        "build",
        "teaspoon",
        "teaspoonful",
        "ounce",
        "dashe",
        "half",
        "quarter",
        "equal",
        "part",
        "glas",
        "ingredient",
        "method",
        "drink",
        "each",
        "three",
        "four",
        "five",
        "twelve",
        "fifteen",
        "twenty",
        "fifty",
        "hundred",
        "seconds",
        "second",
        "minute",
        "this",
        "that",
        "your",
        "everything",
        "else",
        "which",
        "them",
        "straight",
        // `without ice`, of the glass: neat.
        "without",
        "litre",
        "millilitre",
        "barspoon",
        "bottle",
        "spoon",
        "tablespoonful",
        "dash",
        "unit",
        "mil",
        "third",
        "eight",
        "forty",
        "sixty",
        "take",
        "finish",
        "complete",
        "fill",
        "dump",
        "ladle",
        "rinsed",
        "about",
        "until",
        "before",
        "spec",
    ];
    // Slips and shortenings, with the word that stands in their place.
    let put_right = [
        ("eggwhite", "white"),
        ("liquor", "liqueur"),
        ("liquer", "liqueur"),
        ("sirup", "syrup"),
        ("lemmon", "lemon"),
        ("bourbn", "bourbon"),
        ("honney", "honey"),
        ("wiskey", "whiskey"),
        ("biter", "bitter"),
        ("absinth", "absinthe"),
        ("verm", "vermouth"),
    ];
    let mut dropped = Vec::new();
    for section in text.split("\n## ").skip(1) {
        let (name, body) = section.split_once('\n').unwrap();
        let Some(read) = reading.book.drinks().find(|d| d.name == name) else {
            continue;
        };
        let mut kept = words(&read.text);
        for entry in &read.entries {
            if let Entry::Particular(_, value) = entry {
                kept.extend(words(value));
            }
        }
        for word in words(body) {
            let right = put_right
                .iter()
                .any(|(typed, meant)| *typed == word && kept.contains(*meant));
            if !otherwise.contains(&word.as_str()) && !kept.contains(&word) && !right {
                dropped.push(format!("{name}: {word}"));
            }
        }
    }
    assert!(dropped.is_empty(), "{}\n{}", dropped.len(), dropped.join("\n"));
}
