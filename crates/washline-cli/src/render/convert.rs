//! Conversions: a juice adjusted with acid powder, two strengths blended.

use serde_json::{Value, json};
use washline_core::advise::{Adjusted, Blended, Powder};
use washline_core::ingredient::Convention;
use washline_core::liquid::{Component, Liquid};

use super::style::{LOOK, NAME};
use super::{json as shapes, plain, table, wrapped};

/// A juice that is adjusted, with what it is adjusted to.
pub struct Adjusting<'a> {
    pub juice: &'a str,
    pub to: &'a str,
    /// A millilitre of each.
    pub own: &'a Liquid,
    pub like: &'a Liquid,
    /// Acid by acid, and not by total.
    pub profile: bool,
    pub convention: Convention,
    pub adjusted: &'a Adjusted,
}

fn acid_g_per_l(liquid: &Liquid) -> f64 {
    10.0 * liquid.acid_g_per_100ml().unwrap_or(0.0)
}

fn sugar_g_per_l(liquid: &Liquid) -> f64 {
    10.0 * liquid.sugar_g_per_100ml().unwrap_or(0.0)
}

fn of_acid(liquid: &Liquid, acid: Component) -> f64 {
    let unknown = if acid == Component::Citric {
        liquid.grams(Component::AcidUnspecifiedAsCitric)
    } else {
        0.0
    };
    1000.0 * (liquid.grams(acid) + unknown) / liquid.volume_ml()
}

/// Acids with something of them in any of the three, in order.
fn acids(told: &Adjusting<'_>) -> Vec<Component> {
    use Component::{Acetic, Citric, Lactic, Malic, Phosphoric, Tartaric};
    [Citric, Malic, Tartaric, Lactic, Acetic, Phosphoric]
        .into_iter()
        .filter(|acid| {
            [told.own, told.like, &told.adjusted.made]
                .iter()
                .any(|l| of_acid(l, *acid) > 0.05)
        })
        .collect()
}

/// An adjusted juice for a reader.
pub fn adjust_text(told: &Adjusting<'_>) -> String {
    let adjusted = told.adjusted;
    let mut text = format!(
        "{NAME}{:.0} ml {}{NAME:#}, as tart as {} by {}\n",
        adjusted.juice_ml,
        plain(told.juice),
        plain(told.to),
        if told.profile { "profile" } else { "total" }
    );
    let mut powders = table(&["  weigh in", ">g", ">for its old volume, g"]);
    for Powder { acid, grams, plain_g } in &adjusted.powders {
        powders.add_row(vec![
            format!("  {}", acid.facts().name),
            format!("{grams:.1}"),
            format!("{plain_g:.1}"),
        ]);
    }
    text.push_str(&powders.lines());
    text.push_str(&wrapped(
        &format!(
            "makes {:.0} ml: the powder takes up {:.1} ml, which the first column counts and the rule of thumb in the second does not",
            adjusted.made_ml(),
            adjusted.powder_ml()
        ),
        "  ",
        "  ",
    ));
    let mut rows = table(&[
        "  g/L",
        &format!(">{}", plain(told.juice)),
        ">adjusted",
        &format!(">{}", plain(told.to)),
    ]);
    let row = |name: &str, of: &dyn Fn(&Liquid) -> f64| {
        let figures = [told.own, &adjusted.made, told.like].map(|l| format!("{:.1}", of(l)));
        std::iter::once(format!("  {name}"))
            .chain(figures)
            .collect::<Vec<_>>()
    };
    for acid in acids(told) {
        rows.add_row(row(acid.facts().name, &|l| of_acid(l, acid)));
    }
    rows.add_row(row("all acid as citric", &acid_g_per_l));
    rows.add_row(row("sugar", &sugar_g_per_l));
    text.push_str(&rows.lines());
    let named = |list: &[(Component, f64)]| {
        list.iter()
            .map(|(acid, g)| format!("{g:.1} g/L {}", acid.facts().name))
            .collect::<Vec<_>>()
            .join(", ")
    };
    if !adjusted.too_much.is_empty() {
        text.push_str(&wrapped(
            &format!(
                "{} more than {} has: powder takes none out",
                named(&adjusted.too_much),
                plain(told.to)
            ),
            &format!("  {LOOK}too much{LOOK:#} "),
            "    ",
        ));
    }
    if !adjusted.left_out.is_empty() {
        text.push_str(&wrapped(
            &format!("{}: not sold as powder", named(&adjusted.left_out)),
            &format!("  {LOOK}left out{LOOK:#} "),
            "    ",
        ));
    }
    text.push_str(&wrapped(
        &format!(
            "Juices by the {} convention; they differ from fruit to fruit. Volumes of dissolved acid are from memory. Weigh on a fine scale, stir until clear, taste, label and date it.",
            told.convention.word()
        ),
        "",
        "",
    ));
    text
}

/// An adjusted juice for a program.
pub fn adjust_json(told: &Adjusting<'_>) -> String {
    let adjusted = told.adjusted;
    let rounded = shapes::rounded;
    let powders: Vec<Value> = adjusted
        .powders
        .iter()
        .map(|p| json!({ "acid": p.acid.facts().name, "g": rounded(p.grams), "g_displacement_not_counted": rounded(p.plain_g) }))
        .collect();
    let strengths = |liquid: &Liquid| {
        json!({
            "acid_as_citric_g_per_l": rounded(acid_g_per_l(liquid)), "sugar_g_per_l": rounded(sugar_g_per_l(liquid)),
            "acids_g_per_l": acids(told).into_iter().map(|a| (a.facts().name.to_owned(), rounded(of_acid(liquid, a)).into())).collect::<serde_json::Map<_, _>>(),
        })
    };
    let listed = |list: &[(Component, f64)]| -> Vec<Value> {
        list.iter()
            .map(|(acid, g)| json!({ "acid": acid.facts().name, "g_per_l": rounded(*g) }))
            .collect()
    };
    shapes::text(&json!({
        "schema": shapes::SCHEMA, "juice": told.juice, "to": told.to, "by": if told.profile { "profile" } else { "total" },
        "convention": told.convention.word(), "juice_ml": rounded(adjusted.juice_ml), "powders": powders,
        "made_ml": rounded(adjusted.made_ml()), "powder_ml": rounded(adjusted.powder_ml()),
        "before": strengths(told.own), "after": strengths(&adjusted.made), "wanted": strengths(told.like),
        "too_much": listed(&adjusted.too_much), "left_out": listed(&adjusted.left_out),
    }))
}

/// A blend for a reader.
pub fn blend_text(names: [&str; 2], blended: &Blended) -> String {
    let made = &blended.made;
    let mut text = format!(
        "{NAME}{:.1} ml at {:.2} % vol{NAME:#}\n",
        made.volume_ml(),
        made.abv_pct().unwrap_or(0.0)
    );
    let mut rows = table(&["  of", ">ml at 20 °C", ">g"]);
    for (name, part) in names.iter().zip([&blended.first, &blended.second]) {
        rows.add_row(vec![
            format!("  {}", plain(name)),
            format!("{:.1}", part.volume_ml()),
            format!("{:.1}", part.mass_g()),
        ]);
    }
    text.push_str(&rows.lines());
    text.push_str(&wrapped(&shrinking(blended), "  ", "  "));
    text.push_str(&wrapped(
        "By mass through the tables of OIML R 22. Weigh it where you can. Local law decides on labels, duty and who may blend.",
        "",
        "",
    ));
    text
}

fn shrinking(blended: &Blended) -> String {
    let ml = blended.shrinks_ml();
    let parts = blended.first.volume_ml() + blended.second.volume_ml();
    if ml < 0.0 {
        format!(
            "the two are {parts:.1} ml before they are blended, {:.1} ml less than the blend",
            -ml
        )
    } else {
        format!("the two are {parts:.1} ml before they are blended: they shrink by {ml:.1} ml")
    }
}

/// A blend for a program.
pub fn blend_json(names: [&str; 2], blended: &Blended) -> String {
    let rounded = shapes::rounded;
    let part = |name: Option<&str>, liquid: &Liquid| {
        let mut part = json!({
            "ml": rounded(liquid.volume_ml()), "g": rounded(liquid.mass_g()), "strength_pct": rounded(liquid.abv_pct().unwrap_or(0.0)),
        });
        if let Some(name) = name {
            part["name"] = name.into();
        }
        part
    };
    shapes::text(&json!({
        "schema": shapes::SCHEMA, "first": part(Some(names[0]), &blended.first), "second": part(Some(names[1]), &blended.second),
        "made": part(None, &blended.made), "shrinks_ml": rounded(blended.shrinks_ml()),
    }))
}
