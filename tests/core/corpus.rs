//! The corpus of published drinks can be audited: every drink reads as it stands, and says who gave it.

use std::collections::HashSet;

use washline_core::computed::{Bar, look_at};

use crate::{book, reference};

/// A row of the table of published drinks.
#[derive(serde::Deserialize)]
struct Row {
    book: String,
    drink: String,
    author: String,
    year: Option<u16>,
    page: Option<u16>,
    status: String,
    era: String,
    family: String,
}

fn rows() -> Vec<Row> {
    csv::Reader::from_reader(reference("published_drinks.csv").as_bytes())
        .deserialize()
        .collect::<Result<_, _>>()
        .unwrap()
}

#[test]
fn every_published_drink_reads_and_carries_its_provenance() {
    let rows = rows();
    assert!(rows.len() >= 400, "{}", rows.len());
    let mut seen = HashSet::new();
    for row in &rows {
        let name = format!("{} of {}", row.drink, row.book);
        assert!(seen.insert((&row.book, &row.drink)), "{name} stands twice");
        assert!(!row.author.is_empty() && !row.family.is_empty(), "{name}");
        assert!(matches!(row.status.as_str(), "READ" | "MEMORY"), "{name}");
        assert!(matches!(row.era.as_str(), "early" | "modern"), "{name}");
        assert!(row.year.is_none_or(|y| (1700..=2026).contains(&y)), "{name}");
        // An early book is one from before 1935; what is recalled has no page.
        assert!(
            row.era == "modern" || row.year.is_some_and(|y| y < 1935),
            "{name}"
        );
        assert!(row.status == "READ" || row.page.is_none(), "{name}");
    }
    let mut books: Vec<&str> = rows.iter().map(|r| r.book.as_str()).collect();
    books.dedup();
    for name in books {
        let source = book(&format!("{name}.md"));
        let checked = look_at(std::slice::from_ref(&source), &Bar::default());
        assert_eq!(checked.faults, [], "{name}");
        let read: HashSet<String> = checked.drinks.iter().map(|d| d.name().to_owned()).collect();
        let listed: HashSet<String> = rows
            .iter()
            .filter(|r| r.book == name)
            .map(|r| r.drink.clone())
            .collect();
        assert_eq!(read, listed, "{name}");
    }
}
