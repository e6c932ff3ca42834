//! How many a recipe is for.

use serde_json::Value;

use super::find::{one_line, texts};

/// How many serves a recipe says it is for.
pub(super) enum Yield {
    Serves(i128),
    Unsaid,
    /// A span, or two numbers that differ: the readings.
    Unclear(Vec<i128>),
    /// Something else than serves: `750 ml`, `1 pitcher`.
    Other,
}

/// The number of serves in a yield: `4 servings`, `Serves 4`, `4`, `makes two drinks`.
pub(super) fn serves(said: &[String]) -> Yield {
    const WORDS: [&str; 10] = [
        "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    ];
    /// What a number in a yield can be of and still be serves.
    const SERVES: [&str; 30] = [
        "serving",
        "servings",
        "serve",
        "serves",
        "drink",
        "drinks",
        "cocktail",
        "cocktails",
        "person",
        "persons",
        "people",
        "glass",
        "glasses",
        "portion",
        "portions",
        "guest",
        "guests",
        "makes",
        "yield",
        "yields",
        "about",
        "approximately",
        "for",
        "approx",
        "small",
        "large",
        "of",
        "a",
        "the",
        "mocktails",
    ];
    let mut counts: Vec<i128> = Vec::new();
    let mut other = false;
    for text in said {
        let folded = text.to_lowercase();
        let words: Vec<&str> = folded
            .split(|c: char| !c.is_alphanumeric() && c != '.')
            .filter(|w| !w.is_empty())
            .collect();
        let number = |word: &str| -> Option<i128> {
            match WORDS.iter().position(|w| *w == word) {
                Some(at) => i128::try_from(at + 1).ok(),
                None => word
                    .trim_end_matches('.')
                    .parse()
                    .ok()
                    .filter(|n| (1..=500).contains(n)),
            }
        };
        let strange =
            |w: &&str| number(w).is_none() && !SERVES.contains(&w.trim_end_matches('.')) && *w != "to";
        if words.iter().any(strange) {
            other = true;
        } else {
            counts.extend(words.iter().filter_map(|w| number(w)));
        }
    }
    counts.sort_unstable();
    counts.dedup();
    match counts.as_slice() {
        [one] => Yield::Serves(*one),
        [] if other => Yield::Other,
        [] => Yield::Unsaid,
        several => Yield::Unclear(several.to_vec()),
    }
}

/// The yields a value says: text, number, a quantity with its unit.
pub(super) fn yields(value: Option<&Value>) -> Vec<String> {
    match value {
        Some(Value::Object(fields)) => {
            let part = |k: &str| {
                fields
                    .get(k)
                    .map(|v| texts(Some(v)).join(" "))
                    .unwrap_or_default()
            };
            let span = [part("minValue"), part("maxValue")];
            let span = span
                .iter()
                .filter(|s| !s.is_empty())
                .cloned()
                .collect::<Vec<_>>()
                .join(" to ");
            let said = one_line(&format!("{} {span} {}", part("value"), part("unitText")));
            if said.is_empty() { texts(value) } else { vec![said] }
        }
        Some(Value::Array(all)) => all.iter().flat_map(|v| yields(Some(v))).collect(),
        other => texts(other).into_iter().filter(|t| !t.is_empty()).collect(),
    }
}
