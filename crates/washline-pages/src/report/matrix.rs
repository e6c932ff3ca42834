//! The menu at a glance: a row a drink, a column a measure, each with a bar as long as the figure.

use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;
use washline_core::balance::BalanceFigure;
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Declaration;
use washline_core::service::bitter::bitter;
use washline_core::service::card::misfit;
use washline_core::service::cost::Costing;

use super::line::Line;
use crate::scale::coordinate;
use crate::visible::visible as plain;
use crate::words::{bound_signs, mark, money, none, number};

/// The longest bar of each column.
pub(super) struct Widths {
    measures: [f64; 3],
    bitter_ml: f64,
    cost: f64,
}

impl Widths {
    pub(super) fn of(reports: &[ComputedDrink], costings: &[Option<&Costing>]) -> Widths {
        let most = |values: &mut dyn Iterator<Item = f64>| values.fold(1e-6, f64::max);
        Widths {
            measures: BalanceFigure::ALL.map(|m| {
                most(
                    &mut reports
                        .iter()
                        .filter_map(|r| r.evaluation.figures.measured(m).value),
                )
            }),
            bitter_ml: most(&mut reports.iter().map(|r| bitter(r).liqueur_ml)),
            cost: most(&mut costings.iter().flatten().filter_map(|c| c.cost.value.to_f64())),
        }
    }
}

/// A figure with its bar.
#[derive(Serialize)]
pub(super) struct Cell {
    label: &'static str,
    value: String,
    /// Length of the bar, in hundredths of the longest; empty where there is none.
    bar: String,
    mark: Option<char>,
    words: &'static str,
}

/// A drink of the menu.
#[derive(Serialize)]
pub(super) struct Row {
    number: usize,
    name: String,
    /// What is poured, in a line.
    pours: String,
    cells: Vec<Cell>,
    volume: String,
    glass: String,
    /// Whether it does not fit its glass.
    misfit: bool,
    allergens: String,
    cost: Cell,
    standing: &'static str,
}

fn bar(value: f64, most: f64) -> String {
    if value > 0.0 {
        coordinate((100.0 * value / most).clamp(1.0, 100.0))
    } else {
        String::new()
    }
}

/// Allergens in as few words as may be: `eggs, milk; perhaps nuts`. Unknown is said, and is not none.
fn allergens(declared: &Declaration) -> String {
    let mut parts = Vec::new();
    if !declared.contains.is_empty() {
        parts.push(declared.contains.join(", "));
    }
    if !declared.may_contain.is_empty() {
        parts.push(format!("perhaps {}", declared.may_contain.join(", ")));
    }
    if declared.unknown {
        parts.push("unknown".to_owned());
    }
    if parts.is_empty() {
        "none usual".to_owned()
    } else {
        parts.join("; ")
    }
}

pub(super) fn row(
    number_: usize,
    report: &ComputedDrink,
    costing: Option<&Costing>,
    widths: &Widths,
    lines: &[Line],
) -> Row {
    let evaluation = &report.evaluation;
    let figure = |measure: BalanceFigure| {
        let value = evaluation.figures.measured(measure).value;
        let verdict = evaluation.verdicts[measure as usize];
        Cell {
            label: match measure {
                BalanceFigure::Strength => "strength",
                BalanceFigure::Sweetness => "sweet",
                BalanceFigure::Tartness => "tart",
            },
            value: number(value, usize::from(measure.decimals())),
            bar: bar(value.unwrap_or(0.0), widths.measures[measure as usize]),
            mark: Some(mark(verdict)),
            words: verdict.words(),
        }
    };
    let of_bitter = bitter(report);
    let bitter_cell = Cell {
        label: "bitter",
        value: match (of_bitter.liqueur_ml, of_bitter.dashed) {
            (ml, _) if ml >= 0.5 => format!("{ml:.0} ml"),
            (_, true) => "dashes".to_owned(),
            _ => none(),
        },
        bar: bar(of_bitter.liqueur_ml, widths.bitter_ml),
        mark: None,
        words: "",
    };
    let mut cells: Vec<Cell> = BalanceFigure::ALL.map(figure).into();
    cells.push(bitter_cell);
    let cost = costing.filter(|c| c.has_any_price());
    Row {
        number: number_,
        name: plain(report.name()),
        pours: lines
            .iter()
            .filter(|l| !l.name.is_empty())
            .map(|l| format!("{} {}", l.amount, l.name).trim().to_owned())
            .collect::<Vec<_>>()
            .join(" · "),
        cells,
        volume: number(evaluation.figures.volume_ml.value, 0),
        glass: match (&evaluation.glass, &report.drink.glass) {
            (Some(glass), _) => plain(&format!("{} {:.0}\u{a0}%", glass.name, glass.fill_pct)),
            (None, Some(named)) => plain(&named.name),
            (None, None) => none(),
        },
        misfit: misfit(report).is_some(),
        allergens: plain(&allergens(&report.resolved.allergens_eu)),
        cost: Cell {
            label: "cost",
            value: cost.map_or_else(none, |c| {
                let (least, _) = bound_signs(c);
                format!("{least}{}", money(c, c.cost.value))
            }),
            bar: cost
                .and_then(|c| c.cost.value.to_f64())
                .map_or_else(String::new, |v| bar(v, widths.cost)),
            mark: None,
            words: "",
        },
        standing: evaluation.standing().words(),
    }
}
