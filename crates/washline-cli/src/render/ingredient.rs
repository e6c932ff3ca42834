//! Ingredients on the screen.

use std::fmt::Write as _;

use washline_core::ingredient::{Convention, Declaration, Ingredient, Origin, Quantity, Shape};
use washline_core::liquid::Liquid;
use washline_core::tables::cautions::UNKNOWN_IS_NOT_NONE;

use super::style::{DIM, NAME};
use super::{count, item, number, plain, short, table, width, wrapped};

/// What is said of something under a word; nothing where there is nothing to say.
pub(super) fn said(word: &str, what: &str) -> String {
    if what.is_empty() {
        return String::new();
    }
    wrapped(&plain(what), &format!("  {word:<11}"), "             ")
}

/// What holds of an ingredient, bought or made: other names, its kinds where they are told, fizz, allergens.
pub(super) fn of_ingredient(ingredient: &Ingredient, kinds: Option<&[String]>) -> String {
    let fizzes = match ingredient.carbonated {
        true => "yes: top with it, never shake it",
        false => "",
    };
    let allergens = Declaration::of_both_lists(&ingredient.allergens_eu, &ingredient.allergens_us);
    [
        said("also", &ingredient.aliases.join(", ")),
        said("kinds", &kinds.unwrap_or_default().join(", ")),
        said("fizzes", fizzes),
        said("allergens", &allergens),
    ]
    .concat()
}

/// One ingredient with every value it has.
pub fn ingredient(ingredient: &Ingredient) -> String {
    let mut text = format!(
        "{NAME}{}{NAME:#}  {}, {}\n",
        plain(&ingredient.name),
        plain(ingredient.kind.word()),
        origin(ingredient.origin)
    );
    text.push_str(&of_ingredient(ingredient, Some(&ingredient.groups)));
    text.push_str(&said("caution", &ingredient.caution));
    text.push_str(&said("note", &ingredient.note));
    let mut values = table(&["", ">value", "span", "unit", "spread", "convention", "status"]);
    for v in &ingredient.values {
        let span = match v.shape {
            Shape::Exact => String::new(),
            Shape::Normal | Shape::Rectangular => format!("{} to {}", short(v.low), short(v.high)),
        };
        values.add_row([
            format!("  {}", v.quantity.name()),
            short(v.value),
            span,
            v.quantity.unit(ingredient.basis).to_owned(),
            v.shape.word().to_owned(),
            v.convention.map_or("both", Convention::word).to_owned(),
            v.status.word().to_owned(),
        ]);
        values.note(plain(&v.source));
    }
    text.push_str(&values.lines());
    let both = [Convention::Handbook, Convention::Assay]
        .map(|c| ingredient.liquid(c, None).ok().and_then(|l| per_litre(&l)));
    if let Some(handbook) = &both[0] {
        let apart = both[1].as_ref().filter(|assay| *assay != handbook);
        let by = if apart.is_some() {
            " (handbook convention)"
        } else {
            ""
        };
        text.push_str(&item(&format!("comes to{by}: {handbook}")));
        if let Some(assay) = apart {
            text.push_str(&item(&format!("comes to (assay convention): {assay}")));
        }
    }
    text
}

/// What a liquid comes to, in a line.
fn per_litre(liquid: &Liquid) -> Option<String> {
    let volume = liquid.volume_ml();
    let g_per_l = |grams: f64| grams / volume * 1000.0;
    Some(format!(
        "{} % vol, sugar {:.0} g/L ({:.1} g/100 g), acid as citric {:.1} g/L, density {:.4} g/ml, {:.0} kJ/100 ml",
        number(liquid.abv_pct(), 1),
        g_per_l(liquid.sugar_g()),
        liquid.brix()?,
        g_per_l(liquid.acid_as_citric_g()),
        liquid.density_g_per_ml()?,
        g_per_l(liquid.energy_kj()) / 10.0
    ))
}

fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::Library => "from the reference library",
        Origin::House => "the house's own",
        Origin::Book => "defined in its book",
    }
}

/// Many ingredients in short: one a line.
pub fn ingredients(chosen: &[&Ingredient]) -> String {
    // How many of its values are from memory is told where there is room for it.
    let all = width() >= 100;
    let mut headings = vec!["ingredient", "kind", ">% vol", ">sugar g/L", ">acid g/L"];
    headings.extend(all.then_some(">from memory"));
    headings.push("allergens (EU)");
    let mut rows = table(&headings);
    for ingredient in chosen {
        let Ok(liquid) = ingredient.liquid(Convention::Handbook, None) else {
            continue;
        };
        let litre = liquid.of_volume(1000.0).unwrap_or_default();
        let memory = ingredient
            .values
            .iter()
            .filter(|v| v.status.word() == "memory")
            .count();
        let own = if ingredient.origin == Origin::Library {
            ""
        } else {
            " *"
        };
        let strength = ingredient.figure(Quantity::Strength, Convention::Handbook);
        let mut cells = vec![
            format!("{}{own}", plain(&ingredient.name)),
            plain(ingredient.kind.word()),
            strength.map_or_else(String::new, |s| format!("{s:.1}")),
            format!("{:.0}", litre.sugar_g()),
            format!("{:.1}", litre.acid_as_citric_g()),
        ];
        cells.extend(all.then(|| format!("{memory} of {}", ingredient.values.len())));
        cells.push(ingredient.allergens_eu.written());
        rows.add_row(cells);
    }
    let mut text = rows.lines();
    let _ = writeln!(
        text,
        "\n{DIM}{}; * the house's own; acid as citric in the handbook convention; {UNKNOWN_IS_NOT_NONE}{DIM:#}",
        count(chosen.len(), "ingredient", "ingredients")
    );
    text
}
