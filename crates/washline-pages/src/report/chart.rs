//! What drinks cost against what they sell for, with lines of equal margin.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;
use washline_core::computed::ComputedDrink;
use washline_core::service::cost::Costing;

use super::labels::{self, Area, BASE_EM, Wanted};
use super::map::{Stroke, Words};
use crate::scale::{coordinate, round_scale, steps};
use crate::visible::visible as plain;
use crate::words::currency;
use crate::words::{count, cut, short};

/// Cost against price in one currency.
#[derive(Serialize)]
pub(super) struct Chart {
    id: String,
    currency: String,
    said: String,
    width: f64,
    height: f64,
    em: f64,
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    across: Vec<(String, String)>,
    up: Vec<(String, String)>,
    /// Lines of equal margin, and what they say at their upper ends.
    margins: Vec<(Stroke, Words)>,
    /// Marks: a disc where every line is priced, a ring where the cost is at least that.
    points: Vec<(String, String, &'static str)>,
    lines: Vec<Stroke>,
    labels: Vec<Words>,
}

struct Priced {
    number: usize,
    name: String,
    cost: f64,
    price: f64,
    complete: bool,
}

/// A chart a currency, of the drinks whose price and at least a part of whose cost are known.
pub(super) fn charts(reports: &[ComputedDrink], costings: &[Option<&Costing>]) -> Vec<Chart> {
    let mut by_currency: BTreeMap<String, Vec<Priced>> = BTreeMap::new();
    for (i, (report, costing)) in reports.iter().zip(costings).enumerate() {
        let Some(costing) = costing.filter(|c| c.has_any_price()) else {
            continue;
        };
        let (Some(price), Some(cost)) = (
            costing.price.and_then(|p| p.to_f64()),
            costing.cost.value.to_f64(),
        ) else {
            continue;
        };
        let code = currency(costing).to_owned();
        by_currency.entry(code).or_default().push(Priced {
            number: i + 1,
            name: plain(report.name()),
            cost,
            price,
            complete: costing.is_complete(),
        });
    }
    by_currency
        .into_iter()
        .enumerate()
        .map(|(at, (currency, all))| chart(at, currency, &all))
        .collect()
}

fn chart(at: usize, currency: String, all: &[Priced]) -> Chart {
    let (width, height, em) = (760.0, 460.0, 12.6);
    let (left, top, right, bottom) = (54.0, 10.0, width - 12.0, height - 3.4 * em);
    let most = |of: fn(&Priced) -> f64| all.iter().map(of).fold(0.0, f64::max);
    let (x_step, x_end) = round_scale(1.08 * most(|p| p.cost));
    let (y_step, y_end) = round_scale(1.08 * most(|p| p.price));
    let x = |v: f64| left + (right - left) * (v / x_end).clamp(0.0, 1.0);
    let y = |v: f64| bottom - (bottom - top) * (v / y_end).clamp(0.0, 1.0);
    let bounds = Area {
        left: left + 1.0,
        top: top + 1.0,
        right: right - 1.0,
        bottom: bottom - 1.0,
    };
    let mut kept = Vec::new();
    let margins = steps(y_step, y_end)
        .into_iter()
        .filter(|margin| *margin < y_end - 1e-9)
        .map(|margin| {
            // Price less cost is the same all along.
            let end = (y_end - margin).min(x_end);
            let text = format!("margin {}", short(margin));
            let wide = labels::width_em(&text) * em;
            let (x_at, y_at) = (x(end), y(margin + end));
            let area = Area {
                left: (x_at - wide - 4.0).max(left + 2.0),
                top: (y_at + 3.0).min(bottom - 1.1 * em),
                right: (x_at - 4.0).max(left + 2.0 + wide),
                bottom: (y_at + 3.0).min(bottom - 1.1 * em) + labels::HEIGHT_EM * em,
            };
            kept.push(area);
            (
                Stroke::new(x(0.0), y(margin), x_at, y_at),
                Words {
                    x: coordinate(area.left),
                    y: coordinate(area.top + BASE_EM * em),
                    width: coordinate(wide),
                    text,
                },
            )
        })
        .collect();
    let wanted: Vec<Wanted> = all
        .iter()
        .map(|p| Wanted {
            x: x(p.cost),
            y: y(p.price),
            reach: 4.2,
            name: Some(cut(&p.name, 26)),
            number: p.number.to_string(),
        })
        .collect();
    let placed = labels::place(bounds, &kept, &wanted, em);
    let ticks = |step: f64, end: f64, at: &dyn Fn(f64) -> f64| -> Vec<(String, String)> {
        steps(step, end)
            .into_iter()
            .map(|v| (coordinate(at(v)), short(v)))
            .collect()
    };
    Chart {
        id: format!("c{at}"),
        said: format!(
            "{}; costs to {:.2}, prices to {:.2}. The figures stand in the table below.",
            count(all.len(), "drink", "drinks"),
            most(|p| p.cost),
            most(|p| p.price)
        ),
        currency,
        width,
        height,
        em,
        left,
        top,
        right,
        bottom,
        across: ticks(x_step, x_end, &x),
        up: ticks(y_step, y_end, &y),
        margins,
        points: all
            .iter()
            .map(|p| {
                let mark = if p.complete { "mi" } else { "me" };
                (coordinate(x(p.cost)), coordinate(y(p.price)), mark)
            })
            .collect(),
        lines: placed
            .iter()
            .flatten()
            .filter_map(|p| p.line.map(|l| Stroke::new(l.x1, l.y1, l.x2, l.y2)))
            .collect(),
        labels: placed
            .iter()
            .flatten()
            .map(|p| super::map::words(p, em))
            .collect(),
    }
}
