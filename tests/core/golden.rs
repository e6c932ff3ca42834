//! The figures of the demo house, kept: none changes without somebody meaning it, and without the mark of the model that
//! makes every house work its drinks out anew.

use std::fmt::Write as _;

use washline_core::computed::{Bar, look_at};
use washline_core::spec::Source;
use washline_core::store::MODEL;

const KEPT: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/../../fixtures/cases/demo_house_figures.csv"
);

/// Every figure of every drink as computed, to nine digits: more than any change of the model can hide in, fewer than two
/// processors differ by.
fn figures() -> String {
    let book = include_str!("../../fixtures/books/lantern-halt.md");
    let looked = look_at(
        &[Source::new("lantern-halt.md", book.to_owned())],
        &Bar::default(),
    );
    assert!(looked.faults.is_empty(), "{:?}", looked.faults);
    let mut text = String::from("drink,figure,value\n");
    for drink in &looked.drinks {
        for (name, figure) in drink.evaluation.figures.named() {
            let value = figure.value.map_or_else(String::new, |v| format!("{v:.8e}"));
            let _ = writeln!(text, "{},{name},{value}", drink.name());
        }
    }
    text
}

#[test]
fn no_figure_of_the_demo_house_changes_unnoticed() {
    let now = format!("# model {MODEL}\n{}", figures());
    if std::env::var_os("WASHLINE_WRITE_GOLDEN").is_some() {
        std::fs::write(KEPT, now).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(KEPT).unwrap();
    let (kept_model, kept_figures) = kept.split_once('\n').unwrap();
    let (model, figures) = now.split_once('\n').unwrap();
    let changed: Vec<(&str, &str)> = kept_figures
        .lines()
        .zip(figures.lines())
        .filter(|(a, b)| a != b)
        .collect();
    assert!(
        kept_figures == figures || kept_model != model,
        "figures of the demo house have changed, and {model} has not: houses would keep the old ones. Raise MODEL in \
         store/results.rs (not where only a value of the library did it), then write the table anew with \
         WASHLINE_WRITE_GOLDEN=1. First of {}: {:?}",
        changed.len(),
        changed.first()
    );
    assert_eq!(
        kept, now,
        "{model} stands in the code: write the table anew with WASHLINE_WRITE_GOLDEN=1"
    );
}
