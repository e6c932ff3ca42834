//! Solutions by their percentage: `saline 20 % w/v`, `acid solution 6 % w/w`; and a strength that counts mass.

use crate::names::Expected;
use std::borrow::Cow;
use std::ops::Range;

use super::Resolver;
use crate::ingredient::{Basis, Convention, Ingredient, Quantity};
use crate::liquid::alcoholometry;
use crate::measure::Amount;
use crate::names::key;
use crate::spec::{Per, Unplaced, is_brix};
use crate::tables::IngredientKind;

impl<'a> Resolver<'a> {
    /// The same thing at the percentage that a line gives: what the library lists, else the same solutes in other
    /// proportion to their water. Bottles, whose percentage is a strength, and what is no solution stay as they are.
    pub(super) fn at_percentage(
        &mut self,
        ingredient: Cow<'a, Ingredient>,
        percentage: Amount,
        per: Option<Per>,
        span: &Range<usize>,
    ) -> Result<Cow<'a, Ingredient>, Unplaced> {
        if ingredient.is_alcoholic() {
            return Ok(ingredient);
        }
        let stem = stem(&ingredient.name);
        // What is listed with a percentage is made by mass: so many grams in 100 g.
        if per.is_none_or(|per| per == Per::Mass)
            && let Some(listed) = self.stock.get(&format!("{stem} {percentage} %"))
        {
            return Ok(Cow::Borrowed(listed));
        }
        if !is_solution(&ingredient) {
            return Ok(ingredient);
        }
        if per == Some(Per::Volume) {
            let expected = format!(
                "`{}` is a solid in water; expected its percentage by mass, `{percentage} % w/w`, or in volume, `{percentage} % w/v`",
                ingredient.name
            );
            return Err(Unplaced::reject(span.clone(), expected));
        }
        let counted = per.unwrap_or(Per::Mass);
        let Some(made) = dissolved(&ingredient, &stem, percentage, counted, self.convention) else {
            return Ok(ingredient);
        };
        if per.is_none() {
            self.assume(
                format!("{stem} {percentage} %"),
                format!("{percentage} g in 100 g, as solutions are made on a scale"),
                format!("`{percentage} % w/w`, or `{percentage} % w/v` for {percentage} g in 100 ml"),
            );
        }
        Ok(Cow::Owned(made))
    }
}

/// The degrees Brix that a line gives beside a name: `65 °Bx`, `50 brix`; 1 to 85.
pub(super) fn brix_in(note: &str) -> Option<f64> {
    let folded = note.to_lowercase().replace(['°', 'º'], " ").replace(',', ".");
    let words: Vec<&str> = folded
        .split(|c: char| c.is_whitespace() || c == '(' || c == ')')
        .filter(|w| !w.is_empty())
        .collect();
    words
        .windows(2)
        .find(|pair| is_brix(pair[1].trim_end_matches('.')))
        .and_then(|pair| pair[0].parse::<f64>().ok())
        .or_else(|| {
            words.iter().find_map(|w| {
                w.strip_suffix("brix")
                    .or_else(|| w.strip_suffix("bx"))?
                    .parse()
                    .ok()
            })
        })
        .filter(|brix| (1.0..=85.0).contains(brix))
}

/// The name without a percentage.
fn stem(name: &str) -> String {
    let before = name.split_once('%').map_or(name, |(head, _)| {
        head.trim_end()
            .trim_end_matches(|c: char| c.is_ascii_digit() || c == '.')
            .trim_end()
    });
    before.to_owned()
}

/// Whether it is something dissolved in water, or what is dissolved so: salts, acids, plain syrups.
fn is_solution(ingredient: &Ingredient) -> bool {
    let sort = matches!(
        ingredient.kind,
        IngredientKind::Seasoning | IngredientKind::Acid | IngredientKind::Syrup | IngredientKind::Sugar
    );
    let salty = |i: &Ingredient| {
        i.values
            .iter()
            .any(|v| v.quantity == Quantity::Part(crate::liquid::Component::Salt))
            || i.kind != IngredientKind::Seasoning
    };
    sort && salty(ingredient)
}

/// The same solutes at another percentage. `None` where no such liquid can be.
fn dissolved(
    ingredient: &Ingredient,
    stem: &str,
    percentage: Amount,
    per: Per,
    convention: Convention,
) -> Option<Ingredient> {
    let parts: f64 = ingredient
        .values_in(convention)
        .filter(|v| matches!(v.quantity, Quantity::Part(_)))
        .map(|v| v.value)
        .sum();
    let (basis, wanted) = match per {
        Per::Mass => (Basis::Mass, percentage.to_f64()),
        _ => (Basis::Litre, 10.0 * percentage.to_f64()),
    };
    let factor = wanted / parts;
    if !factor.is_finite() || factor <= 0.0 {
        return None;
    }
    let named = if key(stem).contains("solution") || ingredient.kind == IngredientKind::Syrup {
        stem.to_owned()
    } else {
        format!("{stem} solution")
    };
    let mut made = Ingredient {
        name: format!("{named} {percentage} % {}", per.written()),
        basis,
        aliases: Vec::new(),
        ..ingredient.clone()
    };
    made.values.retain(|v| matches!(v.quantity, Quantity::Part(_)));
    for value in &mut made.values {
        value.value *= factor;
        // What is weighed out is as sure as the scale; how it is shared out stays as unsure as it was.
        value.low *= factor;
        value.high *= factor;
    }
    made.liquid(convention, None).ok()?;
    Some(made)
}

/// A percentage of alcohol as % vol, whatever the line counts it by.
///
/// # Errors
/// What was expected: a percentage by mass of a bottle with more in it than water and alcohol does not tell a strength.
pub(super) fn strength_pct_vol(
    percentage: f64,
    per: Option<Per>,
    ingredient: &Ingredient,
    convention: Convention,
) -> Result<f64, Expected> {
    match per {
        None | Some(Per::Volume) => Ok(percentage),
        Some(Per::MassInVolume) => Ok(1000.0 * percentage / alcoholometry::ETHANOL_KG_PER_M3),
        Some(Per::Mass) => {
            let plain = ingredient
                .values_in(convention)
                .all(|v| !matches!(v.quantity, Quantity::Part(_)) || v.value < 1.0);
            if plain {
                Ok(alcoholometry::strength_pct_vol(percentage / 100.0))
            } else {
                Err(Expected::new(format!(
                    "{percentage} % w/w of `{}`, which holds more than water and alcohol; expected its strength by volume, as its label has it",
                    ingredient.name
                )))
            }
        }
    }
}
