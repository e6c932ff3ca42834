//! A drink of a report: what is poured, its figures, what there is to say of it, what it costs.

use std::fmt::Write as _;

use rust_decimal::Decimal;
use serde::Serialize;
use washline_core::balance::{BalanceFigure, Finding, StandardDrink, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Declaration;
use washline_core::melt::MeltModel;
use washline_core::service::cost::{CostFinding, Costing};

use super::line::Line;
use super::{PlacedFigure, Scales, group, matrix, measures};
use crate::visible::visible as plain;
use crate::words::{
    self, NO_ICE_MELTS, NONE, bounds, fill, grade, mark_of, money, none, not_priced, number, structure,
    with_interval,
};

/// The drinks of one book.
#[derive(Serialize)]
pub(super) struct Book {
    pub(super) title: String,
    pub(super) rows: Vec<matrix::Row>,
    pub(super) drinks: Vec<Drink>,
}

impl Book {
    pub(super) fn called(title: &str) -> Book {
        Book {
            title: plain(title),
            rows: Vec::new(),
            drinks: Vec::new(),
        }
    }
}

/// Words under a heading.
#[derive(Serialize)]
struct Item {
    word: &'static str,
    words: String,
}

#[derive(Serialize)]
struct FindingRow {
    mark: &'static str,
    grade: &'static str,
    words: String,
}

/// A drink on the page.
#[derive(Serialize)]
pub(super) struct Drink {
    number: usize,
    name: String,
    family: &'static str,
    structure: &'static str,
    standing: &'static str,
    lines: Vec<Line>,
    measures: Vec<PlacedFigure>,
    findings: Vec<FindingRow>,
    items: Vec<Item>,
}

/// A drink of the table of costs.
#[derive(Serialize)]
pub(super) struct CostRow {
    number: usize,
    name: String,
    cost: String,
    price: String,
    pour_cost: String,
    margin: String,
    missing: String,
}

fn finding_row(finding: &Finding) -> FindingRow {
    FindingRow {
        mark: mark_of(finding.severity()),
        grade: grade(finding.severity()),
        words: plain(&finding.to_string()),
    }
}

/// Inputs of the doubt shown a measure, and from which share of it.
const DOUBTS_SHOWN: usize = 2;
const LEAST_DOUBT_SHOWN: f64 = 0.1;

/// What the doubt about each measure is made of.
fn doubts(report: &ComputedDrink) -> String {
    let of = |measure: BalanceFigure| {
        let parts = words::doubts(report, measure, DOUBTS_SHOWN, LEAST_DOUBT_SHOWN);
        (!parts.is_empty()).then(|| format!("{}: {}", measure.name(), parts.join(", ")))
    };
    BalanceFigure::ALL
        .into_iter()
        .filter_map(of)
        .collect::<Vec<_>>()
        .join("; ")
}

/// What there is in the glass, where its water comes from.
pub(crate) fn in_the_glass(report: &ComputedDrink) -> String {
    let evaluation = &report.evaluation;
    let figures = &evaluation.figures;
    let mut words = with_interval(figures.volume_ml, 0, "ml");
    if figures.temperature_c.value.is_some() {
        let _ = write!(words, " at {} °C", number(figures.temperature_c.value, 0));
    }
    let _ = write!(words, ", {}", fill(report));
    let model = match evaluation.melt_model {
        MeltModel::None => {
            let _ = write!(words, "; {NO_ICE_MELTS}");
            return words;
        }
        MeltModel::Given => "as the spec gives it",
        MeltModel::Weighed => "as weighed",
        MeltModel::House => "the house's own melt",
        MeltModel::HeatBalance => "melt by energy",
        MeltModel::Handbook => "handbook melt",
    };
    let _ = write!(
        words,
        "; {} ml of it is water from the ice ({model})",
        number(figures.water_gained_ml.value, 0)
    );
    words
}

/// Alcohol in grams and in the standard drinks of the drink's country.
pub(crate) fn alcohol(report: &ComputedDrink) -> String {
    let figures = &report.evaluation.figures;
    let mut words = with_interval(figures.ethanol_g, 1, "g");
    if let Some(standard) = StandardDrink::of_country(report.standard_drink()) {
        let _ = write!(
            words,
            ", {} {}",
            number(figures.standard_drinks.value, 1),
            standard.unit()
        );
    }
    words
}

fn percent(value: Decimal) -> String {
    format!("{} %", washline_core::measure::rounded(value, 1))
}

pub(super) fn cost_row(number: usize, costing: &Costing) -> CostRow {
    let (least, most) = bounds(costing);
    let sale = costing.price.and_then(|price| costing.at(price, None));
    CostRow {
        number,
        name: plain(&costing.name),
        cost: if costing.has_any_price() {
            format!("{least}{}", money(costing, costing.cost.value))
        } else {
            "not priced".to_owned()
        },
        price: costing.price.map_or_else(none, |p| money(costing, p)),
        pour_cost: sale
            .as_ref()
            .map_or_else(none, |s| format!("{least}{}", percent(s.pour_cost_pct.value))),
        margin: sale
            .as_ref()
            .map_or_else(none, |s| format!("{most}{}", money(costing, s.margin.value))),
        missing: plain(&not_priced(costing)),
    }
}

/// What a drink costs, in a sentence.
pub(crate) fn cost(costing: &Costing) -> String {
    if !costing.has_any_price() {
        return "not priced".to_owned();
    }
    let row = cost_row(0, costing);
    let (low, high) = (
        costing.rounded(costing.cost.low),
        costing.rounded(costing.cost.high),
    );
    let mut words = row.cost;
    if low != high {
        let _ = write!(words, " ({low} to {high})");
    }
    if row.pour_cost != NONE {
        let _ = write!(words, ", pour cost {}, margin {}", row.pour_cost, row.margin);
    }
    if !row.missing.is_empty() {
        let _ = write!(words, "; not priced: {}", row.missing);
    }
    let findings = costing.findings_at(costing.price, None);
    for finding in findings.iter().map(CostFinding::to_string) {
        let _ = write!(words, "; {finding}");
    }
    words
}

/// Allergens of both lists, in a sentence each.
pub(crate) fn allergens(report: &ComputedDrink) -> String {
    let told = Declaration::of_both_lists(&report.resolved.allergens_eu, &report.resolved.allergens_us);
    format!("{told}.")
}

/// Energy of the whole drink.
pub(crate) fn energy(report: &ComputedDrink) -> String {
    let kcal = Some(report.built.glass.energy_kcal());
    format!(
        "{} kJ, {} kcal",
        number(report.evaluation.figures.energy_kj.value, 0),
        number(kcal, 0)
    )
}

/// Whether a ratio of sugar to acid tells anything: not of a drink in which nothing is poured for its acid.
fn has_a_ratio(report: &ComputedDrink) -> bool {
    let verdicts = report.evaluation.verdicts;
    let tart = verdicts[BalanceFigure::Tartness as usize];
    tart != Verdict::NoBand || verdicts.iter().all(|v| *v == Verdict::NoBand)
}

pub(super) fn drink(
    number_: usize,
    report: &ComputedDrink,
    costing: Option<&Costing>,
    scales: &Scales,
    lines: Vec<Line>,
) -> Drink {
    let evaluation = &report.evaluation;
    let figures = &evaluation.figures;
    let mut items = Vec::new();
    let mut say = |word, words: String| {
        if !words.is_empty() {
            items.push(Item {
                word,
                words: plain(&words),
            });
        }
    };
    say("Garnish", report.garnish().unwrap_or_default());
    say("Also on", report.found_in.also_on.join("; "));
    say("Season", report.seasons().join(", "));
    say("Tags", report.tags().join(", "));
    say("In the glass", in_the_glass(report));
    say("Alcohol", alcohol(report));
    if figures.sugar_to_acid.value.is_some() && has_a_ratio(report) {
        say("Sugar to acid", with_interval(figures.sugar_to_acid, 1, "to 1"));
    }
    say("Energy", energy(report));
    say("Doubt", doubts(report));
    say("Allergens", allergens(report));
    if let Some(price) = &report.drink.price {
        say("Price", price.to_string());
    }
    if let Some(costing) = costing {
        say("Cost", cost(costing));
    }
    say("Care", report.resolved.cautions.join("; "));
    Drink {
        number: number_,
        name: plain(report.name()),
        family: group(report),
        structure: structure(evaluation.structure),
        standing: evaluation.standing().words(),
        lines,
        measures: measures(report, scales, true),
        findings: evaluation.findings.iter().map(finding_row).collect(),
        items,
    }
}
