//! Drinks as recipes, for others to read.

use serde_json::{Map, Value, json};

use super::{SEASON, TAGS};
use crate::computed::{seasons, tags};
use crate::exchange::Shelved;
use crate::spec::{Drink, Entry, Pour, PourMethod, Step};
use crate::tables::{Family, Structure};

/// Drinks as a graph of recipes.
pub(in crate::exchange) fn write(books: &[Shelved]) -> String {
    let graph: Vec<Value> = books
        .iter()
        .flat_map(|shelved| shelved.book.drinks().map(|drink| recipe(drink, shelved)))
        .collect();
    let whole = json!({ "@context": "https://schema.org", "@graph": graph });
    let mut text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    text.push('\n');
    text
}

fn recipe(drink: &Drink, shelved: &Shelved) -> Value {
    let mut fields = Map::new();
    let mut put = |name: &str, value: Value| fields.insert(name.to_owned(), value);
    put("@type", "Recipe".into());
    put("name", drink.name.clone().into());
    put(
        "isPartOf",
        json!({ "@type": "CreativeWork", "name": shelved.title }),
    );
    put("recipeCategory", "drink".into());
    put("recipeYield", "1 serving".into());
    let notes: Vec<&str> = drink
        .entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Note(words) => Some(words.as_str()),
            Entry::Particular(key, words) if key == "note" => Some(words.as_str()),
            _ => None,
        })
        .collect();
    if !notes.is_empty() {
        put("description", notes.join("\n").into());
    }
    let list = &shelved.book.settings;
    let told = (drink.structure.map(Structure::name).into_iter()).chain(drink.family.map(Family::name));
    let keywords: Vec<Value> = told
        .map(Value::from)
        .chain(tags(drink, list).into_iter().map(|tag| term(TAGS, tag)))
        .chain(
            seasons(drink, list)
                .into_iter()
                .map(|season| term(SEASON, season)),
        )
        .collect();
    if !keywords.is_empty() {
        put("keywords", keywords.into());
    }
    if let Some(source) = drink.particular("source") {
        put("creditText", source.into());
    }
    if let Some(glass) = drink.particular("glass") {
        put("tool", json!([{ "@type": "HowToTool", "name": glass }]));
    }
    if let Some(price) = &drink.price {
        let currency = price.currency.or(shelved.book.settings.currency);
        let mut offer = json!({ "@type": "Offer", "price": price.amount.to_string() });
        if let Some(currency) = currency {
            offer["priceCurrency"] = currency.code().into();
        }
        put("offers", offer);
    }
    let pours: Vec<String> = drink
        .lines()
        .filter_map(|line| match &line.step {
            Step::Pour(pour) => Some(bare(pour)),
            _ => None,
        })
        .collect();
    put("recipeIngredient", pours.into());
    let steps: Vec<Value> = instructions(drink)
        .into_iter()
        .enumerate()
        .map(|(i, text)| json!({ "@type": "HowToStep", "position": i + 1, "text": text }))
        .collect();
    put("recipeInstructions", steps.into());
    Value::Object(fields)
}

/// A word that belongs to a set of words, so that it comes back as what it was.
fn term(set: &str, word: &str) -> Value {
    json!({
        "@type": "DefinedTerm",
        "name": word,
        "inDefinedTermSet": { "@type": "DefinedTermSet", "name": set },
    })
}

/// A pour without its place, which the instructions say.
fn bare(pour: &Pour) -> String {
    let mut pour = pour.clone();
    pour.place = PourMethod::In;
    pour.to_string()
}

/// The work in order, with the names of what goes in between.
fn instructions(drink: &Drink) -> Vec<String> {
    let mut steps: Vec<String> = Vec::new();
    let mut adding: Vec<String> = Vec::new();
    let flush = |adding: &mut Vec<String>, steps: &mut Vec<String>| {
        if !adding.is_empty() {
            steps.push(format!("add {}", std::mem::take(adding).join(", ")));
        }
    };
    for line in drink.lines() {
        match &line.step {
            Step::Pour(pour) => {
                let name = pour.choices.first().map(|n| n.name.clone()).unwrap_or_default();
                let verb = match pour.place {
                    PourMethod::In => {
                        adding.push(name);
                        continue;
                    }
                    PourMethod::Top => "top with",
                    PourMethod::Float => "float",
                    PourMethod::Rinse => "rinse with",
                    PourMethod::Mist => "mist with",
                };
                flush(&mut adding, &mut steps);
                steps.push(format!("{verb} {name}"));
            }
            step => {
                flush(&mut adding, &mut steps);
                steps.push(step.to_string());
            }
        }
    }
    flush(&mut adding, &mut steps);
    if let Some(garnish) = drink.particular("garnish") {
        steps.push(format!("garnish {garnish}"));
    }
    steps
}
