//! Labels on the screen and in JSON.

use std::fmt::Write as _;

use washline_core::ingredient::NONE_USUAL;
use washline_core::service::label::{Allergen, Declared, Energy, Label};
use washline_core::tables::cautions::{UNKNOWN_IS_NOT_NONE, USUAL_PRODUCTS};

use super::style::{BAD, LOOK, NAME};
use super::{figure, number, paragraph, plain, printed, table, titled, under, wrapped};
use crate::asked::Lists;

fn energy(energy: &Energy) -> String {
    format!("{:.0} kJ / {:.0} kcal", energy.kj, energy.kcal)
}

/// `eggs (egg white), sulphites (dry vermouth, prosecco)`.
fn allergens(all: &[Allergen]) -> String {
    let each: Vec<String> = all
        .iter()
        .map(|a| format!("{} ({})", a.word, a.from.join(", ")))
        .collect();
    each.join(", ")
}

fn lists(label: &Label, which: Lists) -> Vec<(&'static str, &Declared)> {
    match which {
        Lists::Eu => vec![("", &label.eu)],
        Lists::Us => vec![("", &label.us)],
        Lists::Both => vec![("EU ", &label.eu), ("US ", &label.us)],
    }
}

/// Drinks with everything that is to be said of them.
pub fn in_full(labels: &[Label], which: Lists) -> String {
    let mut text = String::new();
    for label in labels {
        text.push_str(&titled(&label.name, &label.book));
        let mut line = |word: &str, what: &str| {
            if !what.is_empty() {
                text.push_str(&wrapped(&plain(what), &format!("  {word:<16}"), &" ".repeat(18)));
            }
        };
        line(
            "strength",
            &format!(
                "{} % vol as served, once ice has melted; {} % vol as poured",
                figure(label.abv_pct, 1),
                number(label.poured_abv_pct.value, 1)
            ),
        );
        line(
            "alcohol",
            &format!(
                "{} g, {} {}, in {} ml",
                figure(label.ethanol_g, 1),
                figure(label.standard_drinks, 1),
                label.country.unit(),
                number(label.volume_ml.value, 0)
            ),
        );
        line(
            "energy",
            &format!(
                "{} a drink, {} in 100 ml; sugars {:.1} g",
                energy(&label.energy),
                label.energy_per_100ml.as_ref().map_or_else(printed::none, energy),
                label.sugar_g
            ),
        );
        for (list, declared) in lists(label, which) {
            let contains = allergens(&declared.contains);
            let contains = match (contains.is_empty(), declared.unknown.is_empty()) {
                (false, _) => contains,
                (true, true) if declared.may_contain.is_empty() => NONE_USUAL.to_owned(),
                (true, _) => "none that is known".to_owned(),
            };
            line(&format!("{list}contains"), &contains);
            line(&format!("{list}may contain"), &allergens(&declared.may_contain));
            line(
                &format!("{list}unknown"),
                &if declared.unknown.is_empty() {
                    String::new()
                } else {
                    format!("{}: read the label, ask the maker", declared.unknown.join(", "))
                },
            );
        }
        line(
            "sulphites",
            &label
                .sulphites
                .as_ref()
                .map_or_else(String::new, ToString::to_string),
        );
        for named in &label.named {
            line(
                "to be named",
                &format!("{} ({})", named.word, named.from.join(", ")),
            );
        }
        for caution in [label.egg_line(), label.alcohol_line()] {
            if !caution.is_empty() {
                text.push_str(&under(LOOK, "!", caution));
            }
        }
        for caution in &label.cautions {
            text.push_str(&under(LOOK, "!", caution));
        }
        text.push('\n');
    }
    text.push_str(&closing());
    text
}

/// A list of drinks, two or three lines each.
pub fn list(labels: &[Label], which: Lists) -> String {
    let mut text = String::new();
    let mut book = None;
    let mut shown: Option<Vec<&Label>> = None;
    let flush = |labels: Option<Vec<&Label>>, text: &mut String| {
        if let Some(labels) = labels {
            text.push_str(&section(&labels, which));
            text.push('\n');
        }
    };
    for label in labels {
        if book != Some(&label.book) {
            flush(shown.take(), &mut text);
            book = Some(&label.book);
            let _ = writeln!(text, "{NAME}{}{NAME:#}", plain(&label.book));
        }
        shown.get_or_insert_with(Vec::new).push(label);
    }
    flush(shown.take(), &mut text);
    text.push_str(&closing());
    text
}

fn section(labels: &[&Label], which: Lists) -> String {
    let unit = labels.first().map_or_else(String::new, |l| l.country.unit());
    let mut rows = table(&[
        "",
        ">% vol",
        ">poured",
        ">g alcohol",
        &format!(">{unit}"),
        ">kJ",
        ">kcal",
    ]);
    for label in labels {
        rows.add_row([
            plain(&label.name),
            number(label.abv_pct.value, 1),
            number(label.poured_abv_pct.value, 1),
            number(label.ethanol_g.value, 1),
            number(label.standard_drinks.value, 1),
            format!("{:.0}", label.energy.kj),
            format!("{:.0}", label.energy.kcal),
        ]);
        for (list, declared) in lists(label, which) {
            let words = |all: &[Allergen]| all.iter().map(|a| a.word.as_str()).collect::<Vec<_>>().join(", ");
            let mut said = Vec::new();
            if !declared.contains.is_empty() {
                said.push(format!("contains {}", words(&declared.contains)));
            }
            if !declared.may_contain.is_empty() {
                said.push(format!("may contain {}", words(&declared.may_contain)));
            }
            if !declared.unknown.is_empty() {
                said.push(format!("unknown: {}", declared.unknown.join(", ")));
            }
            if said.is_empty() {
                said.push(NONE_USUAL.to_owned());
            }
            if list != "US " {
                said.extend(label.named.iter().map(|n| n.word.to_owned()));
                if !label.raw_egg.is_empty() {
                    said.push("raw egg".to_owned());
                }
            }
            let mark = if declared.unknown.is_empty() {
                "    ".to_owned()
            } else {
                format!("  {BAD}?{BAD:#} ")
            };
            rows.marked(mark, plain(&format!("{list}{}", said.join("; "))));
        }
    }
    rows.lines()
}

fn closing() -> String {
    paragraph(&format!(
        "Estimates for menus and staff. {USUAL_PRODUCTS}, {UNKNOWN_IS_NOT_NONE}, and traces from shared shakers and boards are not counted. Local law decides what must be said, where and how. Never use it to judge who may drive."
    ))
}
