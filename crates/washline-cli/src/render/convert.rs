//! Conversions: a juice adjusted with acid powder, two strengths blended.

use washline_core::advise::{Blended, Powder};
use washline_core::liquid::{Component, Liquid};

pub use washline_view::convert::Adjusting;
use washline_view::convert::{acid_g_per_l, acids, of_acid, sugar_g_per_l};

use super::style::{LOOK, NAME};
use super::{paragraph, plain, table, wrapped};

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
    text.push_str(&paragraph(
        &format!(
            "Juices by the {} convention; they differ from fruit to fruit. Volumes of dissolved acid are from memory. Weigh on a fine scale, stir until clear, taste, label and date it.",
            told.convention.word()
        ),
    ));
    text
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
    text.push_str(&paragraph(
        "By mass through the tables of OIML R 22. Weigh it where you can. Local law decides on labels, duty and who may blend.",
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
