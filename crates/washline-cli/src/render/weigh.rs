//! Weighings and the fit that is made of them.

use std::fmt::Write as _;

use washline_core::computed::ComputedDrink;
use washline_core::melt::fitted::{MeltFit, Parameter, Residual};
use washline_core::spec::Technique;
use washline_core::store::{KeptFit, Refreshed, Weighing};
use washline_core::tables::FigureName;

use washline_view::weighing::Weighings;

use super::style::{BAD, DIM, GOOD, NAME};
use super::{count, interval, number, plain, printed, table, worked_out_anew, wrapped, written};
use crate::clock;

fn whole(
    weighings: &[Weighing],
    fit: Option<&MeltFit>,
    version: Option<i64>,
    refreshed: Option<&Refreshed>,
) -> String {
    written(&Weighings::of(
        weighings,
        fit.map(|fit| (fit, version)),
        refreshed,
    ))
}

pub fn list(all: &[Weighing], as_json: bool) -> String {
    if as_json {
        return whole(all, None, None, None);
    }
    if all.is_empty() {
        return "nothing weighed yet; `washline weigh NAME --before 106 --after 164`\n".to_owned();
    }
    let mut rows = table(&[
        ">no.",
        "drink",
        ">version",
        ">before g",
        ">after g",
        ">water %",
        ">°C",
        ">s",
        ">ice g",
        "when",
        "note",
    ]);
    for w in all {
        rows.add_row([
            w.id.to_string(),
            plain(&w.drink),
            w.version.to_string(),
            w.before_g.to_string(),
            w.after_g.to_string(),
            format!("{:.1}", w.water_pct()),
            number(w.temperature_c, 1),
            number(w.seconds, 0),
            number(w.ice_g, 0),
            plain(&clock::day_shown(w.at.as_ref())),
            plain(&w.note),
        ]);
    }
    let mut text = rows.lines();
    let _ = writeln!(
        text,
        "\n{DIM}{}; water in % of the mass before ice{DIM:#}",
        count(all.len(), "weighing", "weighings")
    );
    text
}

pub fn weighed(
    id: i64,
    own: &[Weighing],
    before: &ComputedDrink,
    after: Option<&ComputedDrink>,
    refreshed: &Refreshed,
    as_json: bool,
) -> String {
    if as_json {
        return whole(own, None, None, Some(refreshed));
    }
    let mut text = String::new();
    let water = own.iter().find(|w| w.id == id).map_or(0.0, Weighing::water_pct);
    let _ = writeln!(
        text,
        "weighing {id} of {NAME}{}{NAME:#}: {water:.1} % of its mass in water",
        plain(before.name())
    );
    if let Some(after) = after {
        let (then, now) = (&before.evaluation.figures, &after.evaluation.figures);
        let mut rows = table(&["", ">before", ">now", "95 % interval"]);
        for which in [
            FigureName::WaterGained,
            FigureName::Strength,
            FigureName::Sweetness,
            FigureName::Tartness,
            FigureName::Temperature,
        ] {
            let (facts, a, b) = (which.facts(), then.get(which), now.get(which));
            let d = facts.places();
            rows.add_row([
                format!("  {}", facts.label()),
                number(a.value, d),
                number(b.value, d),
                interval(b, d).unwrap_or_default(),
            ]);
        }
        text.push_str(&rows.lines());
        let _ = writeln!(
            text,
            "{DIM}  {} of this version; the spec's own weighings stand in the place of any model for it{DIM:#}",
            count(own.len(), "weighing", "weighings")
        );
    }
    text.push_str(&worked_out_anew(refreshed));
    text
}

fn parameter(p: &Parameter) -> String {
    if p.held {
        format!("{:.0} {} (held: these weighings cannot tell it)", p.value, p.unit)
    } else {
        format!(
            "{} {} ({})",
            number(p.value, 0),
            p.unit,
            printed::range(p.low, p.high, 0)
        )
    }
}

/// Cells of the picture of a residual, either side of none, and what one stands for, % of the mass.
const REACH: usize = 10;
const CELL_PCT: f64 = 0.5;

/// How far a weighing lies from the fit: `····│··●······`.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "a few cells"
)]
fn picture(r: &Residual) -> String {
    let off = ((r.measured_pct - r.fitted_pct) / CELL_PCT)
        .round()
        .clamp(-(REACH as f64), REACH as f64);
    let at = (REACH as f64 + off) as usize;
    (0..=2 * REACH)
        .map(|cell| match cell {
            c if c == at && r.outlier => '◆',
            c if c == at => '●',
            REACH => '│',
            _ => '·',
        })
        .collect()
}

pub fn fitted(fit: &MeltFit, kept: Option<&(i64, Refreshed)>, as_json: bool) -> String {
    if as_json {
        return whole(
            &[],
            Some(fit),
            kept.map(|(version, _)| *version),
            kept.map(|(_, refreshed)| refreshed),
        );
    }
    let mut text = format!(
        "{NAME}the house's {}{NAME:#}, from {}\n\n",
        fit.technique.written(),
        count(fit.count, "weighing", "weighings")
    );
    for p in &fit.parameters {
        let _ = writeln!(text, "  {:<18}{}", p.name, parameter(p));
    }
    let _ = writeln!(
        text,
        "  {:<18}{:.1} % of the mass, {:.1} °C: one drink about the fit, standard deviation\n",
        "scatter",
        100.0 * fit.scatter_share,
        fit.scatter_c
    );
    let mut rows = table(&[
        "  weighed",
        ">% vol before",
        ">water %",
        ">fit",
        ">without it",
        ">handbook",
        "off the fit, a cell ½ %",
        "",
    ]);
    for r in &fit.residuals {
        rows.add_row([
            format!("  {}", plain(&r.name)),
            format!("{:.1}", r.strength_pct),
            format!("{:.1}", r.measured_pct),
            format!("{:.1}", r.fitted_pct),
            format!("{:.1}", r.left_out_pct),
            format!("{:.1}", r.handbook_pct),
            picture(r),
            if r.outlier {
                "outlier: weigh it again".to_owned()
            } else {
                String::new()
            },
        ]);
    }
    text.push_str(&rows.lines());
    let better = fit.left_out_rms_pct < fit.handbook_rms_pct;
    let style = if better { GOOD } else { BAD };
    text.push_str(&wrapped(
        &format!(
            "Leaving each out in turn, the fit is {style}{:.1} %{style:#} off; the handbook's curve is {:.1} % off (root mean square, % of the mass){}",
            fit.left_out_rms_pct,
            fit.handbook_rms_pct,
            if better { "." } else { ": the handbook serves this house as well." }
        ),
        "\n",
        "",
    ));
    match kept {
        Some((version, refreshed)) => {
            let _ = writeln!(
                text,
                "kept as version {version}; `washline weigh --undo {}` takes it back",
                fit.technique.written()
            );
            text.push_str(&worked_out_anew(refreshed));
        }
        None => text.push_str("not in force; --keep puts it in force\n"),
    }
    text
}

pub fn undone(
    technique: Technique,
    version: i64,
    holds: Option<&KeptFit>,
    refreshed: &Refreshed,
    as_json: bool,
) -> String {
    if as_json {
        return whole(
            &[],
            holds.map(|k| &k.fit),
            holds.map(|k| k.version),
            Some(refreshed),
        );
    }
    let now = match holds {
        Some(kept) => format!("version {} holds again", kept.version),
        None => "the handbook holds again".to_owned(),
    };
    format!(
        "version {version} of the {} is taken back; {now}\n{}",
        technique.written(),
        worked_out_anew(refreshed)
    )
}

pub fn forgotten(id: i64, refreshed: &Refreshed, as_json: bool) -> String {
    if as_json {
        return whole(&[], None, None, Some(refreshed));
    }
    format!("weighing {id} is taken back\n{}", worked_out_anew(refreshed))
}
