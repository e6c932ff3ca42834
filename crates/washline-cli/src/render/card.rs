//! Spec cards for programs.

use serde_json::{Value, json};
use washline_core::computed::Prepared;
use washline_core::service::card::CardLine;
use washline_core::service::mise::ReadyItem;
use washline_core::spec::Fault;
use washline_core::tables::IceForm;
use washline_pages::card::{Page, cost};

use super::json::text;
use super::preparation;

fn line_json(line: &CardLine) -> Value {
    match line {
        CardLine::Work(words) => json!({ "work": words }),
        CardLine::Pour { amount, name } => json!({
            "name": name, "written": amount.written, "ml": amount.ml,
            "oz": amount.oz.as_ref().map(|oz| json!({ "text": oz.text, "exact": oz.exact })),
        }),
    }
}

/// Cards for programs.
pub fn json(pages: &[Page], faults: &[Fault]) -> String {
    let rounded = |v: f64| (v * 1e6).round() / 1e6;
    let of_drink = |page: &Page| {
        let Page::Drink { card, costing } = page else {
            return None;
        };
        Some(json!({
            "name": card.name,
            "book": card.book,
            "version": card.version,
            "structure": card.structure,
            "glass": card.glass,
            "washline": card.washline.as_ref().map(|w| json!({
                "capacity_ml": rounded(w.glass.capacity_ml), "fill_pct": rounded(w.glass.fill_pct), "on_ice": w.on_ice,
                "level_pct": w.level_pct.map(rounded), "message": w.to_string(),
            })),
            "ice": card.ice.map(IceForm::written),
            "misfit": card.misfit,
            "volume_ml": rounded(card.volume_ml),
            "abv_pct": rounded(card.abv_pct),
            "ounce_ml": rounded(card.ounce_ml.to_f64()),
            "lines": card.lines.iter().map(line_json).collect::<Vec<_>>(),
            "garnishes": card.garnishes,
            "seasons": card.seasons,
            "tags": card.tags,
            "taste": card.taste.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "cautions": card.cautions,
            "notes": card.notes,
            "cost": costing.as_ref().map(|c| cost(c)),
        }))
    };
    let prepared: Vec<Prepared> = pages
        .iter()
        .filter_map(|page| match page {
            Page::Preparation(prepared) => Some(prepared.as_ref().clone()),
            Page::Drink { .. } => None,
        })
        .collect();
    let cards: Vec<Value> = pages.iter().filter_map(of_drink).collect();
    text(&json!({
        "schema": 1, "cards": cards, "preparations": preparation::values(&prepared), "faults": faults,
    }))
}

/// What to have ready, for programs.
pub fn mise_json(all: &[ReadyItem], faults: &[Fault]) -> String {
    let items: Vec<Value> = all
        .iter()
        .map(|item| {
            json!({
                "sort": item.ready.words(), "name": item.name, "drinks": item.drinks,
                "keeps": Some(&item.keeps).filter(|k| !k.is_empty()),
            })
        })
        .collect();
    text(&json!({ "schema": 1, "ready": items, "faults": faults }))
}
