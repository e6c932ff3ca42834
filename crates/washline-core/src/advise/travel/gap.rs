//! What sets another bar apart from home, one difference at a time.

use std::fmt::{self, Display};

use crate::ingredient::{Convention, Ingredient};
use crate::measure::Unit;
use crate::names::key;
use crate::spec::{Cold, Settings};
use crate::tables::printed::{none, trimmed};

use super::sheet::{Item, StockSheet};

/// One difference between home and another bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Gap {
    /// What differs.
    pub kind: GapKind,
    /// How: `acid 60.0 → 45.0 g/L`; empty where it cannot be put in figures.
    pub how: String,
}

/// What a difference is about.
#[derive(Clone, Debug, PartialEq, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub enum GapKind {
    /// An ingredient of the sheet.
    Ingredient(String),
    /// What a word is taken for.
    Word(String),
    /// The ounce.
    Ounce,
    /// The size of a measure: a dash, a spoon.
    Measure(Unit),
    /// Ice, tins and room.
    Ice,
    /// The size of a glass.
    Glass(String),
    /// The serve that parts are shares of.
    Serve,
}

impl GapKind {
    /// One word for its kind, as JSON has it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        self.into()
    }
}

impl Display for GapKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            GapKind::Ingredient(name) | GapKind::Word(name) => f.write_str(name),
            GapKind::Ounce => f.write_str("the ounce"),
            GapKind::Measure(unit) => write!(f, "the {}", unit.facts().written.0),
            GapKind::Ice => f.write_str("the ice"),
            GapKind::Glass(name) => write!(f, "the {name}"),
            GapKind::Serve => f.write_str("the serve"),
        }
    }
}

impl Display for Gap {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.how.as_str() {
            "" => self.kind.fmt(f),
            how => write!(f, "{} ({how})", self.kind),
        }
    }
}

/// Every difference of a sheet from the settings at home, in the order a bartender would look: what is poured, then
/// what it is measured with, then what it meets.
pub(super) fn gaps(
    sheet: &StockSheet,
    home: &Settings,
    how: &dyn Fn(&Item) -> String,
    word: &dyn Fn(&str, &str) -> String,
) -> Vec<Gap> {
    let own = &sheet.settings;
    let mut all: Vec<Gap> = sheet
        .items
        .iter()
        .map(|item| Gap {
            kind: GapKind::Ingredient(item.name().to_owned()),
            how: how(item),
        })
        .collect();
    let mut put = |kind: GapKind, how: String| all.push(Gap { kind, how });
    for (said, meant) in &own.meanings {
        if home.meanings.get(said) != Some(meant) && !sheet.items.iter().any(|i| i.answers_to(said)) {
            put(GapKind::Word(said.clone()), word(said, meant));
        }
    }
    if let Some(ounce) = own.ounce.filter(|o| *o != home.ounce.unwrap_or_default()) {
        let (from, to) = (home.ounce.unwrap_or_default().ml(), ounce.ml());
        put(
            GapKind::Ounce,
            format!("{:.2} → {:.2} ml", from.to_f64(), to.to_f64()),
        );
    }
    let at_home = home.to_measures();
    for (unit, size) in &own.measures {
        let from = at_home.size(*unit).map(|s| s.nominal);
        if from != Some(*size) {
            let grams = if *unit == Unit::Pinch { "g" } else { "ml" };
            let from = from.map_or_else(none, |a| trimmed(a.to_f64(), 2));
            put(
                GapKind::Measure(*unit),
                format!("{from} → {} {grams}", trimmed(size.to_f64(), 2)),
            );
        }
    }
    if !own.cold.is_empty() && own.cold.over(&home.cold) != home.cold {
        put(GapKind::Ice, cold(&own.cold));
    }
    for (name, size) in &own.glasses {
        put(
            GapKind::Glass(name.clone()),
            format!("{} ml brimful", trimmed(size.to_f64(), 2)),
        );
    }
    if let Some(serve) = own.serve_ml.filter(|s| Some(*s) != home.serve_ml) {
        put(GapKind::Serve, format!("{} ml", trimmed(serve.to_f64(), 2)));
    }
    all
}

/// The settings of home with only this difference, or with all of them.
pub(super) fn settings(sheet: &StockSheet, home: &Settings, only: Option<&GapKind>) -> Settings {
    let mut own = match only {
        None => sheet.settings.clone(),
        Some(only) => {
            let mut one = Settings::default();
            let whole = &sheet.settings;
            match only {
                GapKind::Ingredient(_) => {}
                GapKind::Word(said) => {
                    one.meanings
                        .extend(whole.meanings.get(said).map(|m| (said.clone(), m.clone())));
                }
                GapKind::Ounce => one.ounce = whole.ounce,
                GapKind::Measure(unit) => {
                    one.measures
                        .extend(whole.measures.get(unit).map(|size| (*unit, *size)));
                }
                GapKind::Ice => one.cold = whole.cold,
                GapKind::Glass(name) => {
                    one.glasses
                        .extend(whole.glasses.get(name).map(|size| (name.clone(), *size)));
                }
                GapKind::Serve => one.serve_ml = whole.serve_ml,
            }
            one
        }
    };
    // Both bars are counted alike, or the difference would be one of counting.
    own.convention = sheet.settings.convention;
    own.over(home)
}

/// Whether an ingredient of the sheet is poured where only this differs.
pub(super) fn item_is_of(only: Option<&GapKind>, item: &Item) -> bool {
    match only {
        None => true,
        Some(GapKind::Ingredient(name)) => key(name) == key(item.name()),
        Some(_) => false,
    }
}

/// In which figures two ingredients differ: `acid 60.0 → 45.0 g/L`.
pub(super) fn between(home: &Ingredient, there: &Ingredient, convention: Convention) -> String {
    let (Ok(home), Ok(there)) = (home.liquid(convention, None), there.liquid(convention, None)) else {
        return String::new();
    };
    let per_litre = |per_100ml: Option<f64>| 10.0 * per_100ml.unwrap_or(0.0);
    let figures = [
        (
            "strength",
            "% vol",
            1,
            home.abv_pct().unwrap_or(0.0),
            there.abv_pct().unwrap_or(0.0),
        ),
        (
            "sugar",
            "g/L",
            0,
            per_litre(home.sugar_g_per_100ml()),
            per_litre(there.sugar_g_per_100ml()),
        ),
        (
            "acid",
            "g/L",
            1,
            per_litre(home.acid_g_per_100ml()),
            per_litre(there.acid_g_per_100ml()),
        ),
    ];
    figures
        .into_iter()
        .map(|(name, unit, d, from, to)| (name, unit, format!("{from:.d$}"), format!("{to:.d$}")))
        .filter(|(_, _, from, to)| from != to)
        .map(|(name, unit, from, to)| format!("{name} {from} → {to} {unit}"))
        .collect::<Vec<_>>()
        .join(", ")
}

fn cold(cold: &Cold) -> String {
    let said = [
        (cold.ice_c, "", " °C"),
        (cold.ice_mm, "", " mm"),
        (cold.ice_g, "", " g in the tin"),
        (cold.tin_c, "tin at ", " °C"),
        (cold.room_c, "room at ", " °C"),
    ];
    said.into_iter()
        .filter_map(|(value, before, after)| value.map(|v| format!("{before}{}{after}", trimmed(v, 2))))
        .collect::<Vec<_>>()
        .join(", ")
}
