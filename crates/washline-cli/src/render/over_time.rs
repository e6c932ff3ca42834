//! How a drink goes on changing: a table and a small plot for a reader, numbers for a program.

use std::fmt::Write as _;

use textplots::{Chart, Plot, Shape};
use washline_core::build::{HeatAccount, Moment, OverTime};

use super::style::{DIM, NAME};
use super::{plain, table, width, wrapped};

/// Points of a plot across and down; a character is two wide and four high.
const PLOT_WIDTH: u32 = 100;
const PLOT_HEIGHT: u32 = 32;

pub fn text(name: &str, told: &OverTime) -> String {
    let mut text = String::new();
    if !told.worked.is_empty() {
        let _ = writeln!(text, "{NAME}{}{NAME:#} on its ice", plain(name));
        let marks = [0.0, 0.25, 0.5, 1.0, 1.5, 2.0].map(|share| share * told.worked_seconds);
        let chosen: Vec<&Moment> = marks.iter().filter_map(|at| nearest(&told.worked, *at)).collect();
        text.push_str(&rows("  s", &chosen, 1.0));
        let _ = writeln!(text, "{DIM}  worked for {:.0} s{DIM:#}", told.worked_seconds);
    }
    if let Some(account) = &told.account {
        let _ = writeln!(
            text,
            "{DIM}{}{DIM:#}\n",
            wrapped(&account_text(account), "  ", "  ").trim_end()
        );
    }
    if !told.served.is_empty() {
        let _ = writeln!(
            text,
            "{NAME}{}{NAME:#} in its glass, on {}",
            plain(name),
            plain(&told.stands)
        );
        let all: Vec<&Moment> = told.served.iter().collect();
        text.push_str(&rows("  min", &all, 60.0));
        text.push('\n');
        text.push_str(&plot(
            "strength, % vol, by minutes from serving",
            &told.served,
            |m| m.abv_pct,
        ));
        text.push_str(&plot("temperature, °C", &told.served, |m| m.temperature_c));
    }
    text
}

fn account_text(told: &HeatAccount) -> String {
    format!(
        "met {:.0} g of ice at {:.0} °C, {:.0} g of it water on the ice, in {:.0} J/K of vessel at {:.0} °C; left {:.0} g of it at \
         {:.1} °C and the vessel at {:.1} °C; {:.1} kJ came from outside",
        told.ice_g,
        plain_zero(told.ice_c),
        told.water_on_ice_g,
        told.vessel_j_per_k,
        told.vessel_before_c,
        told.ice_left_g,
        told.ice_left_c,
        told.vessel_after_c,
        told.from_outside_j / 1000.0,
    )
}

/// No `-0`.
fn plain_zero(value: f64) -> f64 {
    value + 0.0
}

fn nearest(moments: &[Moment], seconds: f64) -> Option<&Moment> {
    moments.iter().min_by(|a, b| {
        (a.seconds - seconds)
            .abs()
            .total_cmp(&(b.seconds - seconds).abs())
    })
}

fn rows(unit: &str, moments: &[&Moment], per: f64) -> String {
    let mut rows = table(&[
        unit,
        ">water ml",
        ">ml",
        ">% vol",
        ">sugar g/100 ml",
        ">acid g/100 ml",
        ">°C",
    ]);
    for m in moments {
        rows.add_row([
            format!("  {:.0}", m.seconds / per),
            format!("{:.1}", m.water_ml),
            format!("{:.0}", m.volume_ml),
            format!("{:.1}", m.abv_pct),
            format!("{:.1}", m.sugar_g_per_100ml),
            format!("{:.2}", m.acid_g_per_100ml),
            format!("{:.1}", m.temperature_c),
        ]);
    }
    rows.lines()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a plot of characters has no more digits"
)]
fn plot(title: &str, moments: &[Moment], of: impl Fn(&Moment) -> f64) -> String {
    let points: Vec<(f32, f32)> = moments
        .iter()
        .map(|m| ((m.seconds / 60.0) as f32, of(m) as f32))
        .collect();
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return String::new();
    };
    let (low, high) = points
        .iter()
        .fold((f32::MAX, f32::MIN), |(l, h), (_, y)| (l.min(*y), h.max(*y)));
    if high - low < 0.05 {
        return format!("  {title}: {low:.1} all the while\n\n");
    }
    let across = PLOT_WIDTH
        .min(u32::try_from(2 * width().saturating_sub(12)).unwrap_or(PLOT_WIDTH))
        .max(32);
    let mut chart = Chart::new(across, PLOT_HEIGHT, first.0, last.0);
    let shape = Shape::Lines(&points);
    let chart = chart.lineplot(&shape);
    chart.axis();
    chart.figures();
    let mut text = format!("  {title}\n");
    for line in chart
        .to_string()
        .lines()
        .map(str::trim_end)
        .filter(|l| !l.is_empty())
    {
        let _ = writeln!(text, "  {line}");
    }
    text.push('\n');
    text
}
