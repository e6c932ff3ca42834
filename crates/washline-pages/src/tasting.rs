//! A sheet to carry to a tasting: the drinks by number, and room for what the palate says, in the words in which it is typed
//! back. No figures stand on it: a palate that has read them is none.

use jiff::civil::Date;
use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::balance::Palate;
use washline_core::computed::ComputedDrink;

use crate::card::escaped;
use crate::template::{PageError, css_text, page};
use crate::visible::visible as plain;

/// What can be ticked: the words that a verdict is typed in.
fn verdicts() -> [String; 6] {
    [
        Palate::Right,
        Palate::TooStrong,
        Palate::TooWeak,
        Palate::TooSweet,
        Palate::TooTart,
        Palate::Flat,
    ]
    .map(|palate| palate.to_string())
}

/// What is marked on a line from none to very.
const MARKED: [&str; 3] = ["strong", "sweet", "tart"];

#[derive(Serialize)]
struct Row {
    number: usize,
    name: String,
    version: i64,
}

fn rows(drinks: &[ComputedDrink]) -> Vec<Row> {
    let row = |(i, drink): (usize, &ComputedDrink)| Row {
        number: i + 1,
        name: plain(drink.name()),
        version: drink.found_in.version,
    };
    drinks.iter().enumerate().map(row).collect()
}

fn title(drinks: &[ComputedDrink]) -> String {
    let mut titles: Vec<String> = drinks.iter().map(|d| plain(&d.found_in.book)).collect();
    titles.dedup();
    titles.join("; ")
}

/// The sheet as Markdown; `typed` is how what was written on it is typed back.
#[must_use]
pub fn markdown(drinks: &[ComputedDrink], typed: &str) -> String {
    let mut text = format!(
        "# Tasting: {}\n\nTaster: ____________  Day: ____________\n",
        escaped(&title(drinks))
    );
    for row in rows(drinks) {
        let ticks: Vec<String> = verdicts().iter().map(|v| format!("[ ] {v}")).collect();
        let marks: Vec<String> = MARKED
            .iter()
            .map(|m| format!("{m} 0 – – – – 5 – – – – 10"))
            .collect();
        text.push_str(&format!(
            "\n## {}. {} (version {})\n\n{}\n\n{}\n\nWords: ________________________________________\n",
            row.number,
            escaped(&row.name),
            row.version,
            ticks.join("  "),
            marks.join("\n")
        ));
    }
    text.push_str(&format!("\nTyped back, a drink at a time: `{typed}`\n"));
    text
}

/// The sheet as a page to print; `typed` is how what was written on it is typed back, `today` the day it is printed.
///
/// # Errors
/// Where the template does not hold.
pub fn html(drinks: &[ComputedDrink], typed: &str, today: Date) -> Result<String, PageError> {
    let title = title(drinks);
    page(
        "tasting.html",
        include_str!("../templates/tasting.html"),
        context! {
            on_paper => css_text(&title), today_on_paper => css_text(&today.to_string()), title, rows => Serde(rows(drinks)), verdicts => verdicts(), marked => MARKED, typed,
        },
    )
}
