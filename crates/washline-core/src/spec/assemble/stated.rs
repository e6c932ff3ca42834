//! The unit that a line states for all amounts: `everything in cl`, `(amounts in grams)`, `weights, not volumes`.

use super::Part;
use crate::ingredient::{Convention, library};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::line::Item;
use crate::spec::{Assumption, Entry, Pour, PourAmount};

/// What the amounts of a list are called, in the languages that are read.
const AMOUNTS: [&str; 40] = [
    "all",
    "everything",
    "amount",
    "amounts",
    "measure",
    "measures",
    "measurement",
    "measurements",
    "quantity",
    "quantities",
    "volume",
    "volumes",
    "weight",
    "weights",
    "unit",
    "units",
    "recipe",
    "spec",
    "specs",
    "numbers",
    "figures",
    "pours",
    "list",
    "throughout",
    "todo",
    "todas",
    "cantidades",
    "medidas",
    "alles",
    "angaben",
    "mengen",
    "masse",
    "tout",
    "quantites",
    "mesures",
    "tutto",
    "quantita",
    "dosi",
    "tudo",
    "quantidades",
];

/// The small words about them.
const ABOUT: [&str; 40] = [
    "in",
    "is",
    "are",
    "as",
    "by",
    "of",
    "the",
    "this",
    "these",
    "here",
    "below",
    "above",
    "given",
    "listed",
    "written",
    "only",
    "unless",
    "stated",
    "noted",
    "otherwise",
    "said",
    "if",
    "not",
    "per",
    "serve",
    "serving",
    "drink",
    "for",
    "one",
    "liquid",
    "our",
    "en",
    "las",
    "los",
    "les",
    "sont",
    "le",
    "sind",
    "scale",
    "weighed",
];

/// Give the amounts without a unit the one that a line states for all of them.
pub(super) fn in_the_stated_unit(mut parts: Vec<Part>) -> Vec<Part> {
    let Some((text, unit)) = parts.iter().find_map(|part| {
        let text = match part {
            Part::Line(line) if line.found.iter().any(|f| matches!(f.item, Item::Pours(_))) => return None,
            Part::Line(line) => &line.text,
            Part::Entry(Entry::Note(text)) => text,
            Part::Entry(_) => return None,
        };
        stated(text).map(|unit| (text.trim().to_owned(), unit))
    }) else {
        return parts;
    };
    for part in &mut parts {
        let Part::Line(line) = part else { continue };
        for found in &mut line.found {
            let Item::Pours(pours) = &mut found.item else {
                continue;
            };
            for (pour, said) in pours {
                let PourAmount::Of(extent, None) = &pour.measure else {
                    continue;
                };
                let (extent, amount) = (*extent, extent.nominal);
                if is_counted(pour, amount, unit) {
                    continue;
                }
                pour.measure = PourAmount::Of(extent, Some(unit));
                let written = unit.facts().written.0;
                said.push(Assumption::new(
                    format!("amounts without a unit: {written}"),
                    format!("`{text}` says so"),
                    "write the unit",
                ));
            }
        }
    }
    parts
}

/// The unit that a sentence of a line states, where it says that and nothing else.
fn stated(text: &str) -> Option<Unit> {
    if text.contains(|c: char| c.is_ascii_digit()) {
        return None;
    }
    text.split(['.', ';', '(', ')', '*', '|']).find_map(|sentence| {
        let (mut unit, mut of_amounts, mut by_weight) = (None, false, false);
        for word in sentence
            .split(|c: char| !c.is_alphanumeric())
            .filter(|w| !w.is_empty())
        {
            let folded = key(word);
            by_weight |= matches!(folded.as_str(), "weight" | "weights" | "weighed" | "scale");
            let is_of_amounts = AMOUNTS.contains(&folded.as_str());
            match Unit::spelt(word) {
                Some(spelt) if !is_of_amounts && is_stated(spelt) => unit = unit.or(Some(spelt)),
                _ if is_of_amounts => of_amounts = true,
                _ if ABOUT.contains(&folded.as_str()) => {}
                _ => return None,
            }
        }
        // `weights, not volumes`
        unit.or(by_weight.then_some(Unit::Gram)).filter(|_| of_amounts)
    })
}

/// Whether all amounts of a list may be in a unit.
fn is_stated(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Millilitre | Unit::Centilitre | Unit::Litre | Unit::Ounce | Unit::Gram | Unit::Part
    )
}

/// Whether an amount counts things, whatever the others are in: `1 egg white`; `2 bitters`, but where all are so small.
fn is_counted(pour: &Pour, amount: Amount, unit: Unit) -> bool {
    let ingredient = pour
        .choices
        .first()
        .and_then(|named| library().usual(&named.name));
    match ingredient.and_then(|i| i.counted_in(amount, Convention::default())) {
        Some(Unit::Dash) => !matches!(unit, Unit::Millilitre | Unit::Gram | Unit::Part),
        counted => counted.is_some(),
    }
}
