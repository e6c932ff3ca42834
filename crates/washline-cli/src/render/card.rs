//! Spec cards: Markdown, a page to print, JSON.

use std::fmt::Write as _;

use minijinja::value::Serde;
use minijinja::{Environment, context};
use serde::Serialize;
use serde_json::{Value, json};
use washline_core::service::card::{Card, CardAmount, CardLine};
use washline_core::service::cost::Costing;
use washline_core::spec::Fault;

use super::fit::{self, MARGIN_MM};
use super::json::text;
use super::plain;
use crate::asked::{Paper, Units};
use crate::error::CliError;
use crate::visible;

/// A card, with what the drink costs where that is asked for.
pub struct Page {
    pub card: Card,
    pub costing: Option<Costing>,
}

/// A line as it stands on a card.
#[derive(Clone, Debug, Default, Serialize)]
pub struct Row {
    /// Work; then nothing else.
    pub work: Option<String>,
    /// The amount in the first column.
    pub amount: String,
    /// That in the second.
    pub second: String,
    /// Whether the amount takes both columns.
    pub span: bool,
    /// Of what.
    pub name: String,
}

/// Something that stands below the lines.
#[derive(Clone, Debug, Serialize)]
pub struct Item {
    pub word: &'static str,
    pub words: String,
    pub list: Vec<String>,
}

/// An amount in the measures asked for: first column, second column, whether it takes both.
fn amount(amount: &CardAmount, units: Units) -> (String, String, bool) {
    let ml = amount.ml.clone().unwrap_or_default();
    let oz = amount.oz.as_ref().map(|oz| {
        if oz.exact {
            oz.text.clone()
        } else {
            format!("≈ {}", oz.text)
        }
    });
    match (&amount.written, &amount.ml, units) {
        // Parts, and numbers without a unit, with what they come to.
        (Some(written), Some(ml), _) => (format!("{written} ({ml} ml)"), String::new(), true),
        (Some(written), None, _) => (written.clone(), String::new(), true),
        (None, _, Units::Ml) => (format!("{ml} ml"), String::new(), false),
        (None, _, Units::Oz) => match oz {
            Some(oz) => (format!("{oz} oz"), String::new(), false),
            None => (format!("{ml} ml"), String::new(), false),
        },
        (None, _, Units::Both) => (ml, oz.unwrap_or_default(), false),
    }
}

fn rows(card: &Card, units: Units) -> Vec<Row> {
    card.lines
        .iter()
        .map(|line| match line {
            CardLine::Work(words) => Row {
                work: Some(plain(words)),
                ..Row::default()
            },
            CardLine::Pour { amount: of, name } => {
                let (first, second, span) = amount(of, units);
                Row {
                    work: None,
                    amount: plain(&first),
                    second,
                    span: span && units == Units::Both,
                    name: plain(name),
                }
            }
        })
        .collect()
}

/// What a costing says in a line.
fn cost(costing: &Costing) -> String {
    let code = costing.currency.map_or("", |c| c.code());
    if !costing.has_any_price() {
        return "not priced".to_owned();
    }
    let mut words = format!("{} {code}", costing.rounded(costing.cost.value))
        .trim_end()
        .to_owned();
    if !costing.is_complete() {
        let names: Vec<&str> = costing.unpriced().map(|(line, _)| line.name.as_str()).collect();
        let _ = write!(
            words,
            " and what is not priced: {} ({:.0} % of what is poured)",
            names.join(", "),
            costing.unpriced_pct
        );
    }
    if let Some(sale) = costing.price.and_then(|p| costing.at(p, None)) {
        let least = if costing.is_complete() { "" } else { "at least " };
        let pct = washline_core::measure::rounded(sale.pour_cost_pct.value, 1);
        let _ = write!(
            words,
            "; sells for {} {code}, pour cost {least}{pct} %",
            costing.rounded(sale.price)
        );
    }
    words
}

fn below(page: &Page) -> Vec<Item> {
    let card = &page.card;
    let item = |word, words: String| Item {
        word,
        words: plain(&words),
        list: Vec::new(),
    };
    let mut items = Vec::new();
    if !card.garnishes.is_empty() {
        items.push(item("Garnish", card.garnishes.join("; ")));
    }
    for (word, words) in [("Season", &card.seasons), ("Tags", &card.tags)] {
        if !words.is_empty() {
            items.push(item(word, words.join(", ")));
        }
    }
    if !card.taste.is_empty() {
        items.push(Item {
            word: "By taste",
            words: String::new(),
            list: card.taste.iter().map(|t| plain(&t.to_string())).collect(),
        });
    }
    items.extend(page.costing.as_ref().map(|c| item("Cost", cost(c))));
    items.extend(card.notes.iter().map(|note| item("Note", note.clone())));
    items
}

/// What stands at the foot: `Lantern Halt, autumn list, version 1 · 148 ml at 17.6 % vol`.
fn foot(card: &Card) -> String {
    plain(&format!(
        "{}, version {} · {:.0} ml at {:.1} % vol{}",
        card.book,
        card.version,
        card.volume_ml,
        card.abv_pct,
        card.structure.map_or_else(String::new, |s| format!(", {s}"))
    ))
}

fn ounce_note(card: &Card, units: Units) -> Option<String> {
    let ounces = || {
        card.lines.iter().filter_map(|line| match line {
            CardLine::Pour { amount, .. } => amount.oz.as_ref(),
            CardLine::Work(_) => None,
        })
    };
    (units != Units::Ml && ounces().next().is_some()).then(|| {
        let size = super::short(card.ounce_ml.to_f64());
        let near = if ounces().all(|oz| oz.exact) {
            ""
        } else {
            "; ≈ the nearest mark of a jigger"
        };
        format!("oz of {size} ml{near}")
    })
}

// ---- Markdown

/// Text from a book as it stands in Markdown: nothing of it is markup.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in plain(text).chars() {
        match c {
            '\n' => safe.push(' '),
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '!' => {
                safe.push('\\');
                safe.push(c);
            }
            c => safe.push(c),
        }
    }
    safe
}

/// Cards as Markdown, a rule between two.
pub fn markdown(pages: &[Page], units: Units) -> String {
    let mut text = String::new();
    for (at, page) in pages.iter().enumerate() {
        if at > 0 {
            text.push_str("\n---\n\n");
        }
        let card = &page.card;
        let _ = writeln!(text, "# {}\n", escaped(&card.name));
        let _ = writeln!(
            text,
            "**Glass:** {}  ",
            escaped(card.glass.as_deref().unwrap_or("not said"))
        );
        if let Some(washline) = &card.washline {
            let _ = writeln!(text, "**Washline:** {}  ", escaped(&washline.to_string()));
        }
        text.push('\n');
        match units {
            Units::Both => text.push_str("| ml | oz | |\n|---:|---:|:---|\n"),
            Units::Ml | Units::Oz => text.push_str("| | |\n|---:|:---|\n"),
        }
        for row in rows(card, units) {
            let _ = match (&row.work, units) {
                (Some(work), Units::Both) => writeln!(text, "| | | **{}** |", escaped(work)),
                (Some(work), _) => writeln!(text, "| | **{}** |", escaped(work)),
                (None, Units::Both) => {
                    writeln!(
                        text,
                        "| {} | {} | {} |",
                        escaped(&row.amount),
                        row.second,
                        escaped(&row.name)
                    )
                }
                (None, _) => writeln!(text, "| {} | {} |", escaped(&row.amount), escaped(&row.name)),
            };
        }
        text.push('\n');
        for item in below(page) {
            if item.list.is_empty() {
                let _ = writeln!(text, "**{}:** {}\n", item.word, escaped(&item.words));
            } else {
                let _ = writeln!(text, "**{}:**\n", item.word);
                for words in &item.list {
                    let _ = writeln!(text, "- {}", escaped(words));
                }
                text.push('\n');
            }
        }
        for caution in &card.cautions {
            let _ = writeln!(text, "> {}  ", escaped(caution));
        }
        let _ = writeln!(text, "\n{}", escaped(&foot(card)));
        if let Some(note) = ounce_note(card, units) {
            let _ = writeln!(text, "\n{}", escaped(&note));
        }
    }
    text
}

// ---- HTML

/// A card as the template takes it.
#[derive(Clone, Debug, Serialize)]
struct Printed {
    name: String,
    first: bool,
    glass: String,
    washline: String,
    fill_words: String,
    fill_pct: Option<f64>,
    /// Where the level and its ends are in the picture of the glass.
    level: f64,
    left: f64,
    right: f64,
    scale: f64,
    name_em: f64,
    second: bool,
    columns: usize,
    heading: bool,
    lines: Vec<Row>,
    below: Vec<Item>,
    cautions: Vec<String>,
    foot: String,
    page: String,
}

/// Cards as a page to print. What does not fit a card at the smallest type goes on to another.
pub fn html(pages: &[Page], units: Units, paper: Paper) -> Result<String, CliError> {
    let printed: Vec<Printed> = pages.iter().flat_map(|page| print(page, units)).collect();
    let per_sheet = match paper {
        Paper::A6 => 1,
        Paper::A4 => 4,
    };
    let sheets: Vec<&[Printed]> = printed.chunks(per_sheet).collect();
    let title = match pages {
        [one] => plain(&one.card.name),
        _ => "Spec cards".to_owned(),
    };
    let mut environment = Environment::new();
    environment.set_formatter(visible::formatter);
    environment
        .add_template("card.html", include_str!("../../templates/card.html"))
        .map_err(CliError::internal)?;
    let paper = if paper == Paper::A6 { "a6" } else { "a4" };
    environment
        .get_template("card.html")
        .and_then(|template| {
            template.render(context! {
                title, paper, sheets => Serde(&sheets), base_pt => fit::BASE_PT, leading => fit::LEADING, margin_mm => MARGIN_MM,
                alone_em => fit::ALONE_EM, first_em => fit::FIRST_EM, second_em => fit::SECOND_EM,
            })
        })
        .map_err(CliError::internal)
}

fn print(page: &Page, units: Units) -> Vec<Printed> {
    let card = &page.card;
    let both = units == Units::Both;
    let mut foot_words = foot(card);
    if let Some(note) = ounce_note(card, units) {
        foot_words = format!("{foot_words}; {note}");
    }
    let content = fit::Content {
        name: fit::cut(&plain(&card.name), 160),
        under: std::iter::once(plain(card.glass.as_deref().unwrap_or("")))
            .chain(card.washline.as_ref().map(|w| plain(&w.to_string())))
            .map(|words| fit::cut(&words, 300))
            .collect(),
        drawn: card.washline.is_some(),
        both,
        rows: rows(card, units)
            .into_iter()
            .map(|mut row| {
                row.work = row.work.map(|w| fit::cut(&w, 300));
                row.name = fit::cut(&row.name, 300);
                row.amount = fit::cut(&row.amount, 60);
                row
            })
            .collect(),
        below: below(page),
        cautions: card.cautions.iter().map(|c| plain(c)).collect(),
        foot: fit::cut(&foot_words, 300),
    };
    let fill_pct = card
        .washline
        .as_ref()
        .map(|w| w.level_pct.unwrap_or(w.glass.fill_pct).clamp(0.0, 100.0));
    // The glass in the picture is 34 high, 20 wide at the brim and 16 at the base.
    let share = fill_pct.unwrap_or(0.0) / 100.0;
    let parts = fit::fitted(&content);
    let count = parts.len();
    parts
        .into_iter()
        .enumerate()
        .map(|(at, part)| Printed {
            name: content.name.clone(),
            first: at == 0,
            glass: content.under.first().cloned().unwrap_or_default(),
            washline: content.under.get(1).cloned().unwrap_or_default(),
            fill_words: fill_pct.map_or_else(String::new, |pct| format!("filled to {pct:.0} % of the brim")),
            fill_pct,
            level: round(35.0 - 34.0 * share),
            left: round(5.0 - 2.0 * share),
            right: round(21.0 + 2.0 * share),
            scale: part.scale,
            name_em: part.name_em,
            second: both,
            columns: if both { 3 } else { 2 },
            heading: both && part.rows.iter().any(|r| r.work.is_none()),
            lines: part.rows,
            below: part.below,
            cautions: part.cautions,
            foot: content.foot.clone(),
            page: if count > 1 {
                format!("{} of {count}", at + 1)
            } else {
                String::new()
            },
        })
        .collect()
}

fn round(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

// ---- JSON

fn line_json(line: &CardLine) -> Value {
    match line {
        CardLine::Work(words) => json!({ "work": words }),
        CardLine::Pour { amount, name } => json!({
            "name": name, "written": amount.written, "ml": amount.ml,
            "oz": amount.oz.as_ref().map(|oz| json!({ "text": oz.text, "exact": oz.exact })),
        }),
    }
}

/// Cards for programs.
pub fn json(pages: &[Page], faults: &[Fault]) -> String {
    let rounded = |v: f64| (v * 1e6).round() / 1e6;
    let cards: Vec<Value> = pages
        .iter()
        .map(|page| {
            let card = &page.card;
            json!({
                "name": card.name,
                "book": card.book,
                "version": card.version,
                "structure": card.structure,
                "glass": card.glass,
                "washline": card.washline.as_ref().map(|w| json!({
                    "capacity_ml": rounded(w.glass.capacity_ml), "fill_pct": rounded(w.glass.fill_pct), "on_ice": w.on_ice,
                    "level_pct": w.level_pct.map(rounded), "message": w.to_string(),
                })),
                "volume_ml": rounded(card.volume_ml),
                "abv_pct": rounded(card.abv_pct),
                "ounce_ml": rounded(card.ounce_ml.to_f64()),
                "lines": card.lines.iter().map(line_json).collect::<Vec<_>>(),
                "garnishes": card.garnishes,
                "seasons": card.seasons,
                "tags": card.tags,
                "taste": card.taste.iter().map(ToString::to_string).collect::<Vec<_>>(),
                "cautions": card.cautions,
                "notes": card.notes,
                "cost": page.costing.as_ref().map(cost),
            })
        })
        .collect();
    text(&json!({ "schema": 1, "cards": cards, "faults": faults }))
}
