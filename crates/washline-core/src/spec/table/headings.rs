//! What the headings of a table say of its columns.

use crate::measure::Unit;
use crate::names::key;

/// What a column holds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Column {
    Name,
    /// How much goes into one drink, in this unit where its heading has one.
    Amount(Option<Unit>),
    /// How much goes into several, and into how many where its heading says so.
    Batch(Option<u32>, Option<Unit>),
    Unit,
    /// Of the row's ingredient, % vol.
    Strength,
    Notes,
    /// Costs, shares, codes: for the reader.
    Unread,
    /// Without a heading.
    Blank,
}

// The words of headings, folded.
const NAMES: &str = "ingredient ingredients item items component components name product what liquid article material \
    zutat zutaten ingrediente ingredientes ingredienti produkt produit";
const AMOUNTS: &str = "amount qty quantity measure spec serve single each volume vol weight dose pour drink per one x1 1x 1 \
    recipe portion glass used fl menge quantite cantidad quantita";
const UNITS: &str = "unit units uom einheit unite unidad unita";
const NOTES: &str = "note notes comment comments remark remarks detail details prep brand how bemerkung";
const STRENGTHS: &str = "abv alc alcohol strength";
const PERCENT: &str = "% pct percent";
const VOLUME: &str = "vol volume";
/// A percentage is of these, not a strength.
const WHOLE: &str = "of total share";
const BATCHES: &str = "batch bulk total jug keg";
const SEVERAL: &str = "serves drinks covers portions glasses for x";
const NOT_POURED: &str = "cost price eur usd gbp € £ $ value margin % pct percent share brix ph kcal code sku supplier stock \
    step no nr number order id # bin allergen allergens";
/// How the name of a total begins.
const TOTALS: &str = "total totals sum subtotal summe gesamt totale";

/// Whether a list of words has this one.
pub(in crate::spec) fn has(list: &str, word: &str) -> bool {
    list.split_whitespace().any(|w| w == word)
}

/// What a heading says of its column. `None` where it says nothing known.
pub(super) fn column(heading: &str) -> Option<Column> {
    let folded = key(&heading.replace('*', " "));
    let words: Vec<&str> = folded
        .split(|c: char| c.is_whitespace() || "()[].,:/".contains(c))
        .filter(|w| !w.is_empty())
        // Folding joins `vol %`.
        .flat_map(|w| match w.strip_suffix('%') {
            Some("") | None => vec![w],
            Some(word) => vec![word, "%"],
        })
        .collect();
    if words.is_empty() {
        return Some(Column::Blank);
    }
    let any = |list: &str| words.iter().any(|w| has(list, w));
    let unit = words.iter().find_map(|w| Unit::spelt(w));
    let percent = any(PERCENT);
    if any(STRENGTHS) || percent && any(VOLUME) && !any(WHOLE) {
        return Some(Column::Strength);
    }
    let counts: Vec<u32> = words
        .iter()
        .filter_map(|w| w.trim_matches('x').parse().ok())
        .collect();
    let several = any(BATCHES)
        || words
            .iter()
            .any(|w| w.len() > 1 && (w.starts_with('x') || w.ends_with('x')))
        || any(SEVERAL);
    if !any(NOT_POURED) && (any(BATCHES) || several && counts.iter().any(|n| *n > 1)) {
        return Some(Column::Batch(counts.iter().copied().find(|n| *n > 1), unit));
    }
    if any(NOT_POURED) {
        return Some(Column::Unread);
    }
    if words.iter().all(|w| has(NAMES, w)) {
        return Some(Column::Name);
    }
    if words.iter().all(|w| has(UNITS, w)) {
        return Some(Column::Unit);
    }
    let amount = |w: &&str| has(AMOUNTS, w) || Unit::spelt(w).is_some();
    if words.iter().all(amount) {
        return Some(Column::Amount(unit_of_amounts(&words)));
    }
    words.iter().all(|w| has(NOTES, w)).then_some(Column::Notes)
}

/// Whether a heading of amounts says that they are those of one drink.
pub(super) fn is_of_one(heading: &str) -> bool {
    key(heading).split(|c: char| !c.is_alphanumeric()).any(|w| {
        matches!(
            w,
            "serve" | "serving" | "drink" | "each" | "single" | "glass" | "one" | "x1" | "1x"
        )
    })
}

/// Whether a line says how many drinks a sheet is for: `yields 20 serves`.
pub(super) fn is_for_many(line: &str) -> bool {
    let folded = key(line);
    let mut words = folded.split(|c: char| !c.is_alphanumeric());
    words.clone().any(|w| w.parse::<u32>().is_ok_and(|n| n > 1))
        && words.any(|w| has("serves servings portions yields makes drinks covers", w))
}

/// The unit of a heading such as `Amount (oz)`; `Measure`, `Dose` and the like head a column of amounts.
fn unit_of_amounts(words: &[&str]) -> Option<Unit> {
    words
        .iter()
        .filter(|w| !has(AMOUNTS, w))
        .find_map(|w| Unit::spelt(w))
}

/// Whether a row of this name adds up those above it.
pub(super) fn is_total(name: &str) -> bool {
    key(name)
        .split(|c: char| !c.is_alphabetic())
        .next()
        .is_some_and(|w| has(TOTALS, w))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headings_say_what_their_columns_hold() {
        for (heading, expected) in [
            ("Ingredient", Column::Name),
            ("**Item**", Column::Name),
            ("Amount (oz)", Column::Amount(Some(Unit::Ounce))),
            ("Qty", Column::Amount(None)),
            ("measure", Column::Amount(None)),
            ("g", Column::Amount(Some(Unit::Gram))),
            ("x1", Column::Amount(None)),
            ("x10", Column::Batch(Some(10), None)),
            ("Batch 20 (ml)", Column::Batch(Some(20), Some(Unit::Millilitre))),
            ("12 serves", Column::Batch(Some(12), None)),
            ("% vol", Column::Strength),
            ("vol.-%", Column::Strength),
            ("abv_pct", Column::Strength),
            ("% of the whole", Column::Unread),
            ("% of total volume", Column::Unread),
            ("Cost (EUR)", Column::Unread),
            ("stock_code", Column::Unread),
            ("Unit", Column::Unit),
            ("Notes", Column::Notes),
            ("", Column::Blank),
        ] {
            assert_eq!(column(heading), Some(expected), "{heading}");
        }
        assert_eq!(column("Gin"), None);
    }
}
