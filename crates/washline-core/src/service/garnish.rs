//! Garnishes: words of a spec that may be an ingredient, or so much of one.

use crate::computed::ComputedDrink;
use crate::ingredient::Ingredient;
use crate::resolve::{ResolvedPour, ResolvedStep, resolve};
use crate::spec::{Pour, Source, Step, read_under};

/// Words before a thing that say nothing of what it is.
const SMALL: [&str; 9] = [
    "served ", "over ", "on ", "with ", "in ", "a ", "an ", "one ", "the ",
];

/// The thing that words are about: `over a large cube` is a large cube.
pub(crate) fn bare(words: &str) -> &str {
    let mut words = words.trim();
    while let Some(rest) = SMALL.iter().find_map(|small| {
        words
            .get(..small.len())
            .filter(|head| head.eq_ignore_ascii_case(small))
            .map(|_| &words[small.len()..])
    }) {
        words = rest.trim_start();
    }
    words
}

/// Every garnish of a drink in the writer's words, `;` between several of one line.
pub(crate) fn items(worked: &ComputedDrink) -> impl Iterator<Item = &str> {
    worked
        .drink
        .garnishes()
        .flat_map(|g| g.split(';'))
        .map(str::trim)
        .filter(|g| !g.is_empty())
}

/// A garnish read as a line of a spec: one of it, or as many as it says; with the line and what it brings.
pub(crate) fn read<'a>(
    worked: &'a ComputedDrink,
    words: &str,
) -> Option<(&'a Ingredient, Pour, ResolvedPour)> {
    let line = if words.starts_with(|c: char| c.is_ascii_digit()) {
        words.to_owned()
    } else {
        format!("1 {}", bare(words))
    };
    let source = Source::new("garnish", format!("## garnish\n- {line}\n- neat\n"));
    let (stock, settings) = (&worked.context.stock, &worked.context.settings);
    let drink = read_under(&source, settings).book.take_drink()?;
    let resolved = resolve(&drink, stock, settings, &source).ok()?;
    let Step::Pour(written) = &drink.lines().next()?.step else {
        return None;
    };
    let ResolvedStep::Pour(pour) = resolved.steps.into_iter().next()? else {
        return None;
    };
    Some((stock.get(&pour.ingredient)?, written.clone(), pour))
}

/// The ingredient that a garnish is, as far as it can be told: by its words, by those before or after a comma
/// (`nutmeg, grated`), or as so much of something (`lime wheel`).
pub(crate) fn ingredient<'a>(worked: &'a ComputedDrink, words: &str) -> Option<&'a Ingredient> {
    let stock = &worked.context.stock;
    let known = |words: &str| stock.get(words.trim()).or_else(|| stock.get(bare(words)));
    known(words)
        .or_else(|| words.split(',').find_map(known))
        .or_else(|| read(worked, words.split(',').next()?).map(|(ingredient, ..)| ingredient))
}
