//! The drinks that a question finds, and those of which it cannot be told.

use std::collections::HashMap;
use std::fmt::Write as _;

use washline_core::computed::ComputedDrink;
use washline_core::find::{Facts, Field, Query, Told, fields};
use washline_core::service::cost::drink_cost;
use washline_core::store::InShort;

pub use washline_core::find::QUESTION;

use super::style::{DIM, NAME};
use super::{aside, count, list_with, paragraph, plain, table, wrapped};
use washline_core::tables::FigureName;
use washline_core::tables::cautions::USUAL_PRODUCTS;

/// So many drinks of which it cannot be told are named on a screen.
const NAMED: usize = 12;

/// Figures that every list shows.
const SHOWN: [FigureName; 4] = [
    FigureName::Volume,
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
];

/// What a question asks for of a drink that a list does not always show: `energy 658 kJ, cost 2.31`.
fn asked_of(query: &Query, drink: &ComputedDrink, facts: &Facts) -> String {
    let mut said: Vec<String> = Vec::new();
    for test in query.tests() {
        let word = test.field.facts().word;
        let one = match test.field {
            Field::Figure(f) if !SHOWN.contains(&f.which) => {
                match drink.evaluation.figures.get(f.which).value {
                    Some(value) => format!("{word} {}", f.printed(value)),
                    None => continue,
                }
            }
            Field::Price => match &drink.drink.price {
                Some(price) => format!("{word} {price}"),
                None => continue,
            },
            Field::Cost => match facts.prices.as_ref().map(|prices| drink_cost(drink, prices)) {
                Some(costing) if costing.has_any_price() => {
                    let sum = costing.rounded(costing.cost.value);
                    let more = if costing.is_complete() { "" } else { "more than " };
                    let money = costing.currency.map_or_else(String::new, |c| format!(" {c}"));
                    format!("{word} {more}{sum}{money}")
                }
                _ => continue,
            },
            _ => continue,
        };
        if !said.contains(&one) {
            said.push(one);
        }
    }
    plain(&said.join(", "))
}

/// `all`: how many there are of which it was asked; those that were ruled out at once are not among `drinks`.
pub fn text(drinks: &[ComputedDrink], all: usize, query: &Query, told: &[Told], facts: &Facts) -> String {
    let found: Vec<&ComputedDrink> = drinks
        .iter()
        .zip(told)
        .filter(|(_, told)| **told == Told::Yes)
        .map(|(drink, _)| drink)
        .collect();
    let short: Vec<InShort> = found.iter().map(|d| InShort::of(d)).collect();
    let asked: HashMap<(&str, &str), String> = found
        .iter()
        .map(|d| ((d.found_in.book.as_str(), d.name()), asked_of(query, d, facts)))
        .collect();
    let mut out = if found.is_empty() {
        format!(
            "{} of {}\n",
            if all == 0 { "no drinks" } else { "none" },
            count(all, "drink", "drinks")
        )
    } else {
        list_with(&short, &|d| {
            asked
                .get(&(d.book.as_str(), d.name.as_str()))
                .cloned()
                .unwrap_or_default()
        })
    };
    out.push_str(&untold(drinks, told));
    out.push('\n');
    out.push_str(&aside(&format!("asked: {}", plain(&query.to_string()))));
    if let Some(hint) = pours_hint(query, &found) {
        out.push_str(&aside(&hint));
    }
    if query.asks_for(Field::Contains) {
        out.push_str(&aside(&format!("{USUAL_PRODUCTS}, and traces are not counted.")));
    }
    out
}

/// The drinks of which it cannot be told, by why: what is true of all of them is said once.
fn untold(drinks: &[ComputedDrink], told: &[Told]) -> String {
    let mut by_reason: Vec<(String, Vec<&str>)> = Vec::new();
    let mut all = 0;
    for (drink, told) in drinks.iter().zip(told) {
        let Told::Unknown(why) = told else { continue };
        all += 1;
        let why = why.join("; ");
        match by_reason.iter_mut().find(|(known, _)| *known == why) {
            Some((_, names)) => names.push(drink.name()),
            None => by_reason.push((why, vec![drink.name()])),
        }
    }
    let mut out = String::new();
    if all == 0 {
        return out;
    }
    let heading = format!("cannot be told of {}", count(all, "drink", "drinks"));
    if let [(why, _)] = by_reason.as_slice()
        && all > 1
    {
        let _ = write!(
            out,
            "\n{}",
            wrapped(&plain(&format!("{heading}: {why}")), "", "  ")
        );
        return out;
    }
    let _ = writeln!(out, "\n{heading}");
    let mut named = 0;
    for (why, names) in &by_reason {
        if named >= NAMED {
            break;
        }
        named += names.len();
        let names: Vec<String> = names.iter().map(|name| plain(name)).collect();
        let first = format!("  {NAME}{}{NAME:#}: ", names.join(", "));
        out.push_str(&wrapped(&plain(why), &first, "    "));
    }
    if all > named {
        let _ = writeln!(out, "  {DIM}and {} more; --json names all{DIM:#}", all - named);
    }
    out
}

/// Words that were looked for in names only, and are also what is poured.
fn pours_hint(query: &Query, found: &[&ComputedDrink]) -> Option<String> {
    let said = query.tests().find_map(|test| match &test.is {
        washline_core::find::Is::Said(said) if test.field == Field::Words => Some(said),
        _ => None,
    })?;
    let is_known = washline_core::ingredient::as_kind(washline_core::ingredient::library(), said).is_some()
        || washline_core::ingredient::library().has(said);
    (is_known && found.len() < 50).then(|| {
        format!(
            "words of names, notes and garnishes; `pours {}` asks what goes into a drink",
            plain(said)
        )
    })
}

/// What a command that is asked for a part of the drinks says of those of which it cannot be told.
pub fn left_out(drinks: &[ComputedDrink], told: &[Told]) -> String {
    const SHOWN: usize = 3;
    let untold: Vec<String> = drinks
        .iter()
        .zip(told)
        .filter_map(|(drink, told)| match told {
            Told::Unknown(why) => Some(format!("{} ({})", drink.name(), why.join("; "))),
            _ => None,
        })
        .collect();
    if untold.is_empty() {
        return String::new();
    }
    let more = untold.len().saturating_sub(SHOWN);
    let mut said = format!(
        "left out, because it cannot be told of {}: {}",
        count(untold.len(), "drink", "drinks"),
        untold[..untold.len() - more].join(", ")
    );
    if more > 0 {
        let _ = write!(
            said,
            ", and {more} more; `washline find` with the same question names them"
        );
    }
    wrapped(&plain(&said), "", "  ")
}

/// Everything that can be asked for.
pub fn fields_text() -> String {
    let mut rows = table(&["ask for", "such as"]);
    for facts in fields() {
        rows.add_row([facts.word, facts.example]);
        let also = match facts.also {
            [] => String::new(),
            also => format!(" (also: {})", also.join(", ")),
        };
        rows.note(format!("{}{also}", facts.asks));
    }
    let mut out = rows.lines();
    let rest = "Tests are joined by `and`, `or`, `not` and brackets. A figure is compared with <, <=, >, >=, =, or in words: under, over, at least, at most, 5 to 8; in its own unit unless another is given. Quotation marks make words of what would be read otherwise.";
    let _ = write!(out, "\n{DIM}{}{DIM:#}", paragraph(rest));
    out
}
