//! The page of one drink, before and after, the sheet for a tasting: what stands on each, that nothing from outside is markup,
//! and how they hold in a browser.

use crate::common::{done, folder_with, project, run};

pub fn lantern() -> String {
    std::fs::read_to_string(project().join("fixtures/books/lantern-halt.md")).unwrap()
}

#[test]
fn a_drink_has_a_page_of_its_own() {
    let folder = folder_with("book.md", &lantern());
    let page = |name: &str| done(folder.path(), &["show", name, "--book", "book.md", "--html", "-"]);
    let html = page("waiting room sun");
    for what in [
        "<h1>Waiting Room Sun</h1>",
        "<b>45 ml</b> <span>dark rum</span>",
        "class=\"gl\"",
        "class=\"gb\"",
        "temperature, °C",
        "Nearest published drinks",
        "acid of lime",
        "titrate it",
        "version 1",
        "garnish candied ginger",
    ] {
        assert!(html.contains(what), "{what}");
    }
    assert_eq!(html.matches("<svg class=\"b\"").count(), 3);
    for what in ["<script", "http:", "https:", "<link", "@import", "NaN"] {
        assert!(!html.contains(what), "{what}");
    }
    // Written to a file: over an earlier page, over nothing else, and never over a book.
    let write = |file: &str| {
        run(
            folder.path(),
            &["show", "waiting room sun", "--book", "book.md", "--html", file],
        )
    };
    assert!(write("sun.html").status.success() && write("sun.html").status.success());
    std::fs::write(folder.path().join("mine.html"), "<!doctype html><p>mine</p>").unwrap();
    for file in ["mine.html", "book.md"] {
        assert_eq!(write(file).status.code(), Some(2), "{file}");
    }
    assert_eq!(
        std::fs::read_to_string(folder.path().join("book.md")).unwrap(),
        lantern()
    );
}

/// The day, as the clock of this machine has it before and after.
fn days() -> [String; 2] {
    let day = || jiff::ZonedDateTime::now().date().to_string();
    [day(), day()]
}

#[test]
fn every_page_has_the_day_of_the_clock_unless_another_is_said() {
    let folder = folder_with("book.md", &lantern());
    let stock = project().join("fixtures/books/stock-by-the-cup.md");
    std::fs::copy(stock, folder.path().join("stock.md")).unwrap();
    for arguments in [
        &["report", "-", "book.md"][..],
        &["show", "waiting room sun", "--book", "book.md", "--html", "-"],
        &["mend", "waiting room sun", "--book", "book.md", "--html", "-"],
        &[
            "swap",
            "branch line rain",
            "lemon juice",
            "lime juice",
            "--book",
            "book.md",
            "--html",
            "-",
        ],
        &[
            "travel",
            "steam over the sidings",
            "--to",
            "stock.md",
            "--book",
            "book.md",
            "--html",
            "-",
        ],
        &["card", "waiting room sun", "--book", "book.md", "--html"],
        &["card", "--book", "book.md", "--mise", "--html"],
        &["card", "--book", "book.md", "--tasting", "--html"],
    ] {
        let said = done(folder.path(), &[arguments, &["--today", "2031-05-06"]].concat());
        // On the paper as a string of the style, or in the text.
        let has = |html: &str, day: &str| html.contains(day) || html.contains(&day.replace('-', "\\2d "));
        assert!(has(&said, "2031-05-06"), "{arguments:?}");
        let [early, late] = days();
        let html = done(folder.path(), arguments);
        let [_, after] = days();
        assert!(
            [early, late, after].iter().any(|day| has(&html, day)),
            "{arguments:?}"
        );
    }
    let odd = run(
        folder.path(),
        &["card", "--book", "book.md", "--html", "--today", "soon"],
    );
    assert_eq!(odd.status.code(), Some(2));
    // A day is for a page.
    let bare = run(
        folder.path(),
        &["card", "--book", "book.md", "--today", "2031-05-06"],
    );
    assert_eq!(bare.status.code(), Some(2));
}

#[test]
fn a_change_too_small_for_an_arrow_has_none() {
    let folder = folder_with("book.md", &lantern());
    let page = |arguments: &[&str]| {
        done(
            folder.path(),
            &[arguments, &["--book", "book.md", "--html", "-"]].concat(),
        )
    };
    // By the handbook both juices are as tart: nothing moves, and nothing points.
    let still = page(&["swap", "branch line rain", "lemon juice", "lime juice"]);
    assert!(
        still.contains("in one place") && !still.contains("marker-end"),
        "{still}"
    );
    assert!(
        still.contains("<rect class=\"u\"") && still.contains("half of the published drinks"),
        "{still}"
    );
    let moved = page(&["mend", "waiting room sun"]);
    assert!(moved.contains("marker-end") && moved.contains("Ring before, disc after"));
}

#[test]
fn a_mend_a_swap_and_a_travel_are_shown_before_and_after() {
    let folder = folder_with("book.md", &lantern());
    let stock = project().join("fixtures/books/stock-by-the-cup.md");
    std::fs::copy(stock, folder.path().join("stock.md")).unwrap();
    let page = |arguments: &[&str]| {
        done(
            folder.path(),
            &[arguments, &["--book", "book.md", "--html", "-"]].concat(),
        )
    };
    let mended = page(&["mend", "waiting room sun"]);
    assert_eq!(mended.matches("<svg class=\"glass\"").count(), 2);
    assert!(
        mended.contains("marker-end")
            && mended.contains("20 ml rich syrup")
            && mended.contains("ml rich syrup 2:1 by mass</b>"),
        "{mended}"
    );
    let swapped = page(&["swap", "branch line rain", "lemon juice", "lime juice"]);
    assert!(
        swapped.contains("lime juice for lemon juice") && swapped.contains("22.5 ml lemon juice"),
        "{swapped}"
    );
    let there = page(&["travel", "steam over the sidings", "--to", "stock.md"]);
    assert!(
        there.contains("poured as written at Tin Lamp") && there.contains("House syrup by the cup"),
        "{there}"
    );
}

#[test]
fn a_sheet_for_a_tasting_has_the_words_that_are_typed_back() {
    let folder = folder_with("book.md", &lantern());
    let sheet = done(
        folder.path(),
        &[
            "card",
            "branch line rain",
            "points failure",
            "--book",
            "book.md",
            "--tasting",
        ],
    );
    for what in [
        "## 1. Branch Line Rain",
        "## 2. Points Failure",
        "[ ] right",
        "[ ] too tart",
        "[ ] flat",
        "washline taste",
    ] {
        assert!(sheet.contains(what), "{what}: {sheet}");
    }
    // No figures: who has read them tastes them.
    assert!(!sheet.contains("% vol") && !sheet.contains("g/100"));
}
