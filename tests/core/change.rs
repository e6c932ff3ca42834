//! One line of a spec changed: that line and nothing else.

use washline_core::spec::{CannotChange, Edit, Settings, Source, changed, read};

const OWL: &str = "# Halt\ncurrency: EUR\n\n<!-- the first -->\n## Owl\nglassware: coupe\nprice: 12\n\n- 50 ml  Dry Gin\n- 22,5 ml lemon juice (strained)\n* 2 dashes orange bitters\n<!-- 22.5 ml lime juice -->\n- shake\n- strain\n- top 30 ml soda water\n\n## Wren\n- 50 ml dry gin\n- stir\n";

fn of(text: &str, drink: &str, edits: &[Edit]) -> Result<String, CannotChange> {
    changed(&Source::new("t", text), drink, edits, &Settings::default())
}

fn replace(old: &str, new: &str) -> Edit {
    Edit::Replace {
        old: old.to_owned(),
        new: new.to_owned(),
    }
}

fn set(key: &str, value: &str) -> Edit {
    Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    }
}

#[test]
fn a_line_is_found_by_its_words_and_only_it_is_changed() {
    for (old, new, was, is) in [
        (
            "50 ml dry gin",
            "45 ml dry gin",
            "- 50 ml  Dry Gin\n- 22,5",
            "- 45 ml dry gin\n- 22,5",
        ),
        (
            "- 22,5 ml lemon juice (strained)",
            "- 20 ml lemon juice",
            "22,5 ml lemon juice (strained)",
            "20 ml lemon juice",
        ),
        (
            "2 dashes orange bitters",
            "3 dashes orange bitters",
            "* 2 dashes",
            "* 3 dashes",
        ),
        ("price: 12", "price: 13", "price: 12", "price: 13"),
    ] {
        assert_eq!(
            of(OWL, "owl", &[replace(old, new)]).unwrap(),
            OWL.replacen(was, is, 1),
            "{old}"
        );
        // So with the line ends of another system.
        let crlf = OWL.replace('\n', "\r\n");
        let (was, is) = (was.replace('\n', "\r\n"), is.replace('\n', "\r\n"));
        assert_eq!(
            of(&crlf, "owl", &[replace(old, new)]).unwrap(),
            crlf.replacen(&was, &is, 1),
            "{old}"
        );
    }
    // A step of a line of several.
    let loose = "60 rum / 22 lime / 15 2:1 - shake - coupe";
    assert_eq!(
        of(loose, "", &[replace("22 lime", "25 lime")]).unwrap(),
        loose.replace("22 lime", "25 lime")
    );
}

#[test]
fn lines_come_go_and_particulars_are_set() {
    let with = |edit: Edit| of(OWL, "Owl", &[edit]).unwrap();
    // A pour behind the pours, in their way of marking; a top and a step at the end.
    assert_eq!(
        with(Edit::Add("1 barspoon absinthe".to_owned())),
        OWL.replace("orange bitters\n", "orange bitters\n* 1 barspoon absinthe\n")
    );
    // A particular among the particulars, as if it had been set.
    assert_eq!(
        with(Edit::Add("tags: low, dry".to_owned())),
        with(set("tags", "low, dry"))
    );
    assert_eq!(
        with(Edit::Add("- garnish lemon zest".to_owned())),
        OWL.replace("soda water\n", "soda water\n- garnish lemon zest\n")
    );
    assert_eq!(
        with(Edit::Drop("strain".to_owned())),
        OWL.replace("- strain\n", "")
    );
    assert_eq!(
        with(set("glass", "rocks glass")),
        OWL.replace(": coupe", ": rocks glass")
    );
    assert_eq!(
        with(set("garnish", "lemon zest")),
        OWL.replace("price: 12\n", "price: 12\ngarnish: lemon zest\n")
    );
    assert_eq!(with(set("price", "")), OWL.replace("price: 12\n", ""));
    // Where there is none yet, under the name.
    assert_eq!(
        of(OWL, "wren", &[set("glass", "coupe")]).unwrap(),
        OWL.replace("## Wren\n", "## Wren\nglass: coupe\n")
    );
    // Several, one after the other; the last line of a text without an end.
    let short = "## Wren\n- 50 ml dry gin\n- stir";
    assert_eq!(
        of(
            short,
            "wren",
            &[Edit::Drop("stir".to_owned()), Edit::Add("neat".to_owned())]
        )
        .unwrap(),
        "## Wren\n- 50 ml dry gin\n- neat"
    );
}

#[test]
fn what_is_not_one_line_of_it_changes_nothing() {
    let twice = "## Owl\n- 50 ml dry gin\n- 10 ml lemon juice\n- shake\n- 10 ml Lemon  juice\n";
    assert_eq!(
        of(twice, "owl", &[replace("10 ml lemon juice", "5 ml lemon juice")]),
        Err(CannotChange::Several {
            line: "10 ml lemon juice".to_owned(),
            numbers: vec![3, 5]
        })
    );
    let missing = of(OWL, "owl", &[replace("22.5 ml lemon juice", "20 ml lemon juice")]).unwrap_err();
    assert!(
        missing.to_string().contains("22,5 ml lemon juice (strained)"),
        "{missing}"
    );
    // What stands in a comment is no line.
    assert!(matches!(
        of(OWL, "owl", &[Edit::Drop("22.5 ml lime juice".to_owned())]),
        Err(CannotChange::NoLine { .. })
    ));
    let loose = "60 rum / 22 lime / 15 2:1 - shake - coupe";
    assert!(matches!(
        of(loose, "", &[Edit::Drop("22 lime".to_owned())]),
        Err(CannotChange::Shared { .. })
    ));
    assert!(matches!(
        of(OWL, "rook", &[Edit::Drop("shake".to_owned())]),
        Err(CannotChange::NoDrink { .. })
    ));
    assert!(matches!(
        of(OWL, "owl", &[set("colour", "red")]),
        Err(CannotChange::NoParticular { .. })
    ));
    assert!(matches!(
        of(OWL, "owl", &[set("note", "")]),
        Err(CannotChange::NothingSet { .. })
    ));
    assert_eq!(of(OWL, "owl", &[set("price", "12")]), Err(CannotChange::Nothing));
    for bad in ["", "a\nb", "## Wren"] {
        assert!(
            matches!(
                of(OWL, "owl", &[replace("shake", bad)]),
                Err(CannotChange::NotALine(_))
            ),
            "{bad}"
        );
    }
}

/// Every line of every drink of the demo house: another one in its place, and every other byte as it was.
#[test]
fn every_line_of_a_book_can_be_changed_and_no_other_is() {
    let text = include_str!("../../fixtures/books/lantern-halt.md");
    let book = read(&Source::new("t", text)).book;
    let mut changes = 0;
    for drink in book.drinks() {
        for line in drink.lines() {
            let old = &text[line.span.clone()];
            if drink.lines().filter(|l| text[l.span.clone()] == *old).count() > 1 {
                continue;
            }
            let new = of(text, &drink.name, &[replace(old, "1 drop salt water")]).unwrap();
            let mut wanted = text.to_owned();
            wanted.replace_range(line.span.clone(), "1 drop salt water");
            assert_eq!(new, wanted, "{}: {old}", drink.name);
            changes += 1;
        }
    }
    assert!(changes > 100, "{changes}");
}
