//! JSON for programs: versioned, one shape a command, each with a JSON Schema in `schema/`.

use std::collections::BTreeMap;

use serde::Serialize;
use serde_json::{Value, json};
use washline_core::balance::published;
use washline_core::balance::record::{Rate, Record};
use washline_core::balance::{
    EDGE_PCT, Family, Figure, Figures, Finding, Measured, OUTSIDE_PCT, Placed, Ranges, Span, SpanRow,
    Structure,
};
use washline_core::build::OverTime;
use washline_core::computed::{ComputedDrink, Prepared, Summary};
use washline_core::ingredient::{Convention, Declaration, Ingredient};
use washline_core::measure::Dimension;
use washline_core::spec::{Fault, Settings};
use washline_core::store::{Added, Refreshed};

use super::preparation;
use crate::error::CliError;
use crate::plain::escaped;

/// The version of every shape here.
pub(super) const SCHEMA: u32 = 1;

pub fn text(value: &impl Serialize) -> String {
    // Nothing here can fail to serialise: no map has other keys than strings, no figure is NaN.
    let mut text = escaped(serde_json::to_string_pretty(value).unwrap_or_default());
    text.push('\n');
    text
}

/// Six decimals: what is beyond is arithmetic, not knowledge.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

pub(super) fn figure(figure: Figure) -> Value {
    json!({ "value": figure.value.map(rounded), "low": figure.low.map(rounded), "high": figure.high.map(rounded) })
}

pub(super) fn figures(figures: &Figures) -> Value {
    figures
        .named()
        .into_iter()
        .map(|(name, f)| (name.to_owned(), figure(f)))
        .collect::<serde_json::Map<_, _>>()
        .into()
}

fn finding(finding: &Finding) -> Value {
    let mut detail = serde_json::to_value(finding).unwrap_or_default();
    if let Value::Object(fields) = &mut detail {
        for number in fields.values_mut().filter(|v| v.is_f64()) {
            *number = number.as_f64().map(rounded).into();
        }
        fields.insert("kind".to_owned(), finding.kind().into());
        fields.insert("severity".to_owned(), finding.severity().word().into());
        fields.insert("measure".to_owned(), finding.measure().map(Measured::word).into());
        fields.insert("message".to_owned(), finding.to_string().into());
    }
    detail
}

pub fn declaration(declared: &Declaration) -> Value {
    json!({ "contains": declared.contains, "may_contain": declared.may_contain, "unknown": declared.unknown })
}

/// Where a drink lies among the published ones of its family.
fn placed(placed: &Placed) -> Value {
    let by_measure = |value: &dyn Fn(usize) -> Value| -> Value {
        Measured::ALL
            .iter()
            .map(|m| (m.word().to_owned(), value(*m as usize)))
            .collect::<serde_json::Map<_, _>>()
            .into()
    };
    let nearest: Vec<Value> = placed
        .nearest
        .iter()
        .map(|r| {
            json!({
                "name": r.name, "author": r.author, "year": r.year, "status": r.status, "abv_pct": r.abv_pct,
                "sugar_g_per_100ml": r.sugar_g_per_100ml, "acid_g_per_100ml": r.acid_g_per_100ml,
            })
        })
        .collect();
    json!({
        "near_family": placed.near.map(Family::name),
        "compared_with": placed.compared_with.iter().map(|f| f.name()).collect::<Vec<_>>(),
        "drinks": placed.count,
        "further_out_than_pct": placed.further_out_pct.map(rounded),
        "score": placed.score.map(rounded),
        "edge_score": placed.edge_score.map(rounded),
        "outside_score": placed.outside_score.map(rounded),
        "percentiles": by_measure(&|i| json!(placed.percentiles[i].map(rounded))),
        "seen": by_measure(&|i| json!(placed.seen[i].map(|(low, high)| [rounded(low), rounded(high)]))),
        "nearest": nearest,
    })
}

pub(super) fn drink(report: &ComputedDrink) -> Value {
    summary(&report.summary())
}

pub(super) fn summary(report: &Summary) -> Value {
    let evaluation = &report.evaluation;
    let verdicts: BTreeMap<&str, &str> = Measured::ALL
        .iter()
        .map(|m| (m.word(), evaluation.verdicts[*m as usize].word()))
        .collect();
    let mut value = json!({
        "name": report.name,
        "book": report.found_in.book,
        "file": report.found_in.file,
        "line": report.found_in.line,
        "version": report.found_in.version,
        "structure": evaluation.structure.map(Structure::name),
        "family": evaluation.placed.as_ref().map(|p| p.family.name()),
        "placed": evaluation.placed.as_ref().map(placed),
        "melt_model": evaluation.melt_model.word(),
        "convention": report.convention.word(),
        "standard_drink": report.standard_drink,
        "before": figures(&evaluation.before),
        "figures": figures(&evaluation.figures),
        "verdicts": verdicts,
        "glass": glass(report),
        "budget": evaluation.budget.iter().map(|b| json!({ "measure": b.measure.word(), "input": b.input, "share": rounded(b.share), "settled_by": b.settled_by })).collect::<Vec<_>>(),
        "findings": evaluation.findings.iter().map(finding).collect::<Vec<_>>(),
        "assumptions": report.assumptions,
        "allergens": { "eu": declaration(&report.allergens_eu), "us": declaration(&report.allergens_us) },
        "cautions": report.cautions,
        "price": report.price.as_ref().map(|price| json!({ "amount": price.amount, "currency": price.currency })),
        "garnish": report.garnish,
        "seasons": report.seasons,
        "tags": report.tags,
    });
    if let Some(serves) = report.serves {
        value["serves"] = rounded(serves).into();
    }
    value
}

/// The glass with how full it is; its name alone where its size is not known.
fn glass(report: &Summary) -> Option<Value> {
    match (&report.evaluation.glass, &report.glass) {
        (Some(g), _) => {
            Some(json!({ "name": g.name, "capacity_ml": g.capacity_ml, "fill_pct": rounded(g.fill_pct) }))
        }
        (None, Some(name)) => Some(json!({ "name": name, "capacity_ml": null, "fill_pct": null })),
        (None, None) => None,
    }
}

pub(super) fn drinks(reports: &[ComputedDrink]) -> Vec<Value> {
    reports.iter().map(drink).collect()
}

/// The convention of all the drinks, or "mixed".
pub(super) fn convention(reports: &[ComputedDrink]) -> &'static str {
    convention_of(reports.iter())
}

/// The same of drinks wherever they stand.
pub(super) fn convention_of<'a>(mut reports: impl Iterator<Item = &'a ComputedDrink>) -> &'static str {
    match reports.next() {
        None => Convention::default().word(),
        Some(first) if reports.all(|r| r.convention() == first.convention()) => first.convention().word(),
        Some(_) => "mixed",
    }
}

/// A list of drinks that are at hand, in the shape of a check.
pub fn drinks_alone(reports: &[ComputedDrink]) -> String {
    text(
        &json!({ "schema": SCHEMA, "convention": convention(reports), "drinks": drinks(reports), "preparations": [], "faults": [] }),
    )
}

pub fn show(
    reports: &[ComputedDrink],
    told: &[OverTime],
    preparations: &[Prepared],
    faults: &[Fault],
) -> String {
    let mut all = drinks(reports);
    for (drink, told) in all.iter_mut().zip(told) {
        drink["over_time"] = super::over_time::json(told);
    }
    for (drink, report) in all.iter_mut().zip(reports) {
        let pours: Vec<Value> = report
            .pours()
            .iter()
            .map(|p| {
                json!({
                    "position": p.position, "ingredient": p.ingredient, "written_name": p.written_name, "written": p.written, "place": p.place,
                    "volume_ml": rounded(p.volume_ml), "mass_g": rounded(p.mass_g), "ethanol_g": rounded(p.ethanol_g),
                    "sugar_g": rounded(p.sugar_g), "acid_g": rounded(p.acid_g),
                })
            })
            .collect();
        drink["pours"] = pours.into();
        let words: Vec<Value> = report
            .drink
            .account
            .iter()
            .map(|word| json!({ "text": word.text, "role": word.role.word() }))
            .collect();
        drink["words"] = words.into();
    }
    text(
        &json!({ "schema": SCHEMA, "convention": convention(reports), "drinks": all, "preparations": preparation::values(preparations), "faults": faults }),
    )
}

pub fn faults(faults: &[Fault]) -> String {
    text(&json!({ "schema": SCHEMA, "books": [], "recomputed": [], "faults": faults }))
}

pub fn added(added: &[Added], refreshed: &Refreshed) -> String {
    let books: Vec<Value> = added
        .iter()
        .map(|a| json!({ "book": a.book, "new": a.new, "changed": a.changed, "unchanged": a.unchanged, "removed": a.removed }))
        .collect();
    text(
        &json!({ "schema": SCHEMA, "books": books, "recomputed": recomputed(refreshed), "faults": refreshed.broken }),
    )
}

pub(super) fn recomputed(refreshed: &Refreshed) -> Vec<Value> {
    refreshed
        .recomputed
        .iter()
        .map(|(drink, book)| json!({ "drink": drink, "book": book }))
        .collect()
}

fn one(ingredient: &Ingredient) -> Value {
    let values: Vec<Value> = ingredient
        .values
        .iter()
        .map(|v| {
            json!({
                "quantity": v.quantity.name(), "unit": v.quantity.unit(ingredient.basis), "value": v.value, "low": v.low, "high": v.high,
                "shape": v.shape.word(), "convention": v.convention.map(Convention::word), "source": v.source, "status": v.status.word(),
            })
        })
        .collect();
    json!({
        "name": ingredient.name, "kind": ingredient.kind, "groups": ingredient.groups, "aliases": ingredient.aliases,
        "basis": ingredient.basis.word(), "carbonated": ingredient.carbonated, "origin": ingredient.origin.word(),
        "allergens": { "eu": declaration(&ingredient.allergens_eu), "us": declaration(&ingredient.allergens_us) },
        "caution": ingredient.caution, "note": ingredient.note, "values": values,
    })
}

pub fn ingredients(chosen: &[&Ingredient]) -> String {
    text(&json!({ "schema": SCHEMA, "ingredients": chosen.iter().map(|i| one(i)).collect::<Vec<_>>() }))
}

pub fn ingredient(chosen: &Ingredient) -> String {
    ingredients(&[chosen])
}

pub fn kept(made: &Ingredient, refreshed: &Refreshed) -> String {
    text(&json!({ "schema": SCHEMA, "ingredients": [one(made)], "recomputed": recomputed(refreshed) }))
}

pub fn ranges(
    ranges: &Ranges,
    structures: &[Structure],
    families: &[Family],
    convention: Convention,
) -> String {
    let span = |s: &Option<Span>| {
        s.as_ref().map(|s| json!({ "low": s.low, "high": s.high, "decimals": s.decimals, "count": s.count, "source": s.source, "status": s.status }))
    };
    let structures: Vec<Value> = structures
        .iter()
        .map(|&structure| {
            let bands: serde_json::Map<String, Value> = Measured::ALL
                .iter()
                .map(|m| {
                    let band = ranges.band(structure, *m);
                    (
                        m.word().to_owned(),
                        json!({ "core": span(&band.core), "outer": span(&band.outer) }),
                    )
                })
                .collect();
            json!({ "structure": structure.name(), "rule": structure.rule(), "bands": bands })
        })
        .collect();
    let families: Vec<Value> = families
        .iter()
        .map(|&family| {
            let region = published::region(family, convention);
            let seen: serde_json::Map<String, Value> = Measured::ALL
                .iter()
                .map(|m| (m.word().to_owned(), json!(region.map(|r| [rounded(r.seen[*m as usize].0), rounded(r.seen[*m as usize].1)]))))
                .collect();
            json!({
                "family": family.name(), "rule": family.rule(), "why": family.why(),
                "compared_with": region.map(|r| r.from.iter().map(|f| f.name()).collect::<Vec<_>>()),
                "drinks": region.map_or(0, |r| r.count), "seen": seen,
                "record": published::record_of(Some(family), convention).map(|r| json!({
                    "good": r.good, "outside": r.outside, "off": r.off, "spoiled": r.spoiled, "found": r.found, "right": r.right,
                })),
            })
        })
        .collect();
    text(
        &json!({ "schema": SCHEMA, "convention": convention.word(), "families": families, "structures": structures }),
    )
}

pub fn record(families: &[(Family, Record)], all: &Record, of: &str) -> String {
    let rate = |r: Rate| {
        json!({ "hits": r.hits, "of": r.of, "pct": r.pct().map(rounded),
            "interval_pct": r.interval_pct().map(|(low, high)| [rounded(low), rounded(high)]) })
    };
    let one = |r: &Record| {
        let faults: Vec<Value> = r
            .faults
            .iter()
            .map(|(f, of)| json!({ "measure": f.measure.word(), "side": f.side, "right": rate(*of) }))
            .collect();
        json!({
            "silent": rate(r.silent), "outside": rate(r.outside), "off": rate(r.off), "found": rate(r.found),
            "right": rate(r.right), "first": rate(r.first), "auc": r.auc.map(rounded), "faults": faults,
        })
    };
    let families: Vec<Value> = families
        .iter()
        .map(|(family, r)| json!({ "family": family.name(), "record": one(r) }))
        .collect();
    text(
        &json!({ "schema": SCHEMA, "of": of, "promised": { "outside_pct": OUTSIDE_PCT, "off_pct": EDGE_PCT }, "families": families, "all": one(all) }),
    )
}

pub fn spans(rows: &[SpanRow]) -> String {
    text(&json!({ "schema": SCHEMA, "spans": rows }))
}

pub fn settings(written: &[(String, String)], settings: &Settings) -> String {
    let measures = settings.to_measures();
    let sizes: Vec<Value> = washline_core::measure::UNITS
        .iter()
        .filter_map(|facts| {
            let size = measures.size(facts.unit)?;
            let unit = if facts.dimension == Dimension::Mass {
                "g"
            } else {
                "ml"
            };
            Some(json!({
                "measure": facts.written.0, "unit": unit, "nominal": size.nominal.to_f64(),
                "low": size.low.to_f64(), "high": size.high.to_f64(), "source": size.source,
            }))
        })
        .collect();
    let set: Vec<Value> = written
        .iter()
        .map(|(key, value)| json!({ "key": key, "value": value }))
        .collect();
    text(&json!({ "schema": SCHEMA, "settings": set, "measures": sizes }))
}

pub fn error(error: &CliError) -> String {
    text(
        &json!({ "schema": SCHEMA, "error": { "kind": error.word(), "message": error.message, "hints": error.hints } }),
    )
}
