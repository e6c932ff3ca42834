//! What to have ready before a list is poured, as a page to tick off.

use jiff::civil::Date;
use std::fmt::Write as _;

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::service::mise::{Ready, ReadyItem};

use crate::card::escaped;
use crate::template::{PageError, css_text, page};
use crate::visible::visible as plain;

/// Drinks that are named beside a thing; of more only their number is said.
const MOST_NAMED: usize = 4;

/// One thing on the list.
#[derive(Serialize)]
struct Item {
    name: String,
    keeps: String,
    /// What asks for it.
    drinks: String,
}

#[derive(Serialize)]
struct Section {
    title: &'static str,
    all: Vec<Item>,
}

fn asked_by(drinks: &[String]) -> String {
    if drinks.len() <= MOST_NAMED {
        drinks.join(", ")
    } else {
        format!("{} drinks", drinks.len())
    }
}

fn sections(all: &[ReadyItem]) -> Vec<Section> {
    Ready::ALL
        .iter()
        .copied()
        .map(|ready| Section {
            title: ready.words(),
            all: all
                .iter()
                .filter(|item| item.ready == ready)
                .map(|item| Item {
                    name: plain(&item.name),
                    keeps: plain(&item.keeps),
                    drinks: plain(&asked_by(&item.drinks)),
                })
                .collect(),
        })
        .filter(|section| !section.all.is_empty())
        .collect()
}

/// The titles of the lists that the drinks stand in, each once.
fn title(books: &[&str]) -> String {
    let mut titles: Vec<String> = books.iter().map(|book| plain(book)).collect();
    titles.dedup();
    if titles.is_empty() {
        "No drinks".to_owned()
    } else {
        titles.join("; ")
    }
}

/// What to have ready, as Markdown with a box to tick before each thing. `books` are the lists that the drinks stand in.
#[must_use]
pub fn markdown(books: &[&str], all: &[ReadyItem]) -> String {
    let mut text = format!("# Have ready: {}\n", escaped(&title(books)));
    for section in sections(all) {
        let _ = writeln!(text, "\n## {}\n", section.title);
        for item in section.all {
            let keeps = if item.keeps.is_empty() {
                String::new()
            } else {
                format!(", keeps {}", escaped(&item.keeps))
            };
            let _ = writeln!(
                text,
                "- [ ] {}{keeps} ({})",
                escaped(&item.name),
                escaped(&item.drinks)
            );
        }
    }
    text
}

/// The same as a page to print, with the day that stands on it.
///
/// # Errors
/// Where the template does not hold.
pub fn html(books: &[&str], all: &[ReadyItem], today: Date) -> Result<String, PageError> {
    let title = title(books);
    page(
        "mise.html",
        include_str!("../templates/mise.html"),
        context! {
        on_paper => css_text(&title), today_on_paper => css_text(&today.to_string()), today => today.to_string(), title, sections => Serde(sections(all)) },
    )
}
