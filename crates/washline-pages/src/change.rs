//! Before and after of a mend, a swap or a travel: two glasses on one scale, the map with an arrow, the lines that change.

use std::fmt::Write as _;

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::balance::Figures;
use washline_core::computed::ComputedDrink;
use washline_core::service::card::ice;
use washline_core::tables::{FigureName, difference_as_printed};

use crate::glass::{Filled, picture};
use crate::scale::{coordinate, round_scale, steps};
use crate::template::{PageError, css_text, page};
use crate::visible::visible as plain;
use crate::words::{change as by, number, short};

/// One drink, as it is and as it becomes.
pub struct Change<'a> {
    /// The drink as it is.
    pub drink: &'a ComputedDrink,
    /// What is done to it, in a few words: `mended`, `at Tin Lamp`.
    pub what: String,
    /// What it comes to as it is.
    pub before: Figures,
    /// What it comes to then.
    pub after: Figures,
    /// The glass that it is poured into then: name and ml; its own where that is another one.
    pub glass_after: Option<(String, f64)>,
    /// The lines that change: as they are, as they become; either may be empty.
    pub lines: Vec<(String, String)>,
    /// What else there is to say.
    pub notes: Vec<String>,
}

#[derive(Serialize)]
struct Side {
    word: &'static str,
    width: f64,
    height: f64,
    parts: String,
    words: String,
}

#[derive(Serialize)]
struct Row {
    name: String,
    before: String,
    after: String,
    change: String,
}

#[derive(Serialize)]
struct One {
    name: String,
    what: String,
    sides: Vec<Side>,
    map: String,
    lines: Vec<(String, String)>,
    rows: Vec<Row>,
    notes: Vec<String>,
}

fn side(
    change: &Change<'_>,
    word: &'static str,
    figures: &Figures,
    glass: Option<(&str, f64)>,
) -> Option<Side> {
    let (name, capacity_ml) = glass?;
    let volume = figures.volume_ml.value?;
    let drawn = picture(&Filled {
        name,
        capacity_ml,
        level: (volume / capacity_ml.max(1.0)).min(1.0),
        ice: ice(change.drink),
        ..Filled::default()
    })?;
    let fill = 100.0 * volume / capacity_ml.max(1.0);
    Some(Side {
        word,
        width: drawn.width,
        height: drawn.height,
        parts: drawn.parts,
        words: plain(&format!(
            "{} ml, {} % of the {name} of {} ml",
            number(Some(volume), 0),
            number(Some(fill), 0),
            number(Some(capacity_ml), 0)
        )),
    })
}

/// Sweetness against tartness with an arrow from before to after; numbers and words of ours.
fn map(before: &Figures, after: &Figures, at: usize) -> String {
    let point = |f: &Figures| f.sugar_g_per_100ml.value.zip(f.acid_g_per_100ml.value);
    let (Some(from), Some(to)) = (point(before), point(after)) else {
        return String::new();
    };
    let (wide, high, em) = (400.0, 280.0, 14.8);
    let (left, right, top, bottom) = (48.0, wide - 10.0, 10.0, high - 3.4 * em);
    let (x_step, x_end) = round_scale(1.15 * from.0.max(to.0).max(0.5));
    let (y_step, y_end) = round_scale(1.15 * from.1.max(to.1).max(0.05));
    let x = |v: f64| left + (right - left) * (v / x_end).clamp(0.0, 1.0);
    let y = |v: f64| bottom - (bottom - top) * (v / y_end).clamp(0.0, 1.0);
    let mut svg = format!(
        "<svg class=\"map\" viewBox=\"0 0 {wide} {high}\" role=\"img\" font-size=\"{em}\"><title>Sugar from {:.1} to {:.1}, acid from {:.2} to {:.2} g/100 ml</title><defs><marker id=\"tip{at}\" viewBox=\"0 0 8 8\" refX=\"12\" refY=\"4\" markerWidth=\"8\" markerHeight=\"8\" orient=\"auto\"><path d=\"M0 0L8 4L0 8Z\"/></marker></defs>",
        from.0, to.0, from.1, to.1
    );
    for v in steps(x_step, x_end) {
        let _ = write!(
            svg,
            "<line class=\"gx\" x1=\"{p}\" x2=\"{p}\" y1=\"{top}\" y2=\"{bottom}\"/><text x=\"{p}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
            bottom + em + 3.0,
            short(v),
            p = coordinate(x(v))
        );
    }
    for v in steps(y_step, y_end) {
        let _ = write!(
            svg,
            "<line class=\"gx\" x1=\"{left}\" x2=\"{right}\" y1=\"{p}\" y2=\"{p}\"/><text x=\"{}\" y=\"{p}\" dy=\".35em\" text-anchor=\"end\">{}</text>",
            left - 5.0,
            short(v),
            p = coordinate(y(v))
        );
    }
    let _ = write!(
        svg,
        "<text x=\"{right}\" y=\"{}\" text-anchor=\"end\" font-weight=\"700\">sweeter: sugar, g/100 ml →</text><text transform=\"translate({em} {top}) rotate(-90)\" text-anchor=\"end\" font-weight=\"700\">tarter: acid, g/100 ml →</text><line class=\"arrow\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" marker-end=\"url(#tip{at})\"/><use href=\"#me\" x=\"{}\" y=\"{}\"/><use href=\"#mi\" x=\"{}\" y=\"{}\"/></svg>",
        high - 6.0,
        coordinate(x(from.0)),
        coordinate(y(from.1)),
        coordinate(x(to.0)),
        coordinate(y(to.1)),
        coordinate(x(from.0)),
        coordinate(y(from.1)),
        coordinate(x(to.0)),
        coordinate(y(to.1))
    );
    svg
}

fn rows(change: &Change<'_>) -> Vec<Row> {
    let (before, after) = (&change.before, &change.after);
    [
        FigureName::Strength,
        FigureName::Sweetness,
        FigureName::Tartness,
        FigureName::Volume,
        FigureName::WaterGained,
        FigureName::Alcohol,
    ]
    .into_iter()
    .map(|which| (which.facts(), before.get(which), after.get(which)))
    .map(|(facts, was, is)| (facts, facts.places(), was, is))
    .map(|(facts, decimals, was, is)| Row {
        name: facts.label(),
        before: number(was.value, decimals),
        after: number(is.value, decimals),
        change: was.value.zip(is.value).map_or_else(String::new, |(was, is)| {
            by(difference_as_printed(was, is, decimals), decimals)
        }),
    })
    .collect()
}

/// The page: one change after the other.
///
/// # Errors
/// Where the template does not hold.
pub fn html(changes: &[Change<'_>]) -> Result<String, PageError> {
    let one = |(at, change): (usize, &Change<'_>)| {
        let own = change
            .drink
            .evaluation
            .glass
            .as_ref()
            .map(|g| (g.name.as_str(), g.capacity_ml));
        let other = change.glass_after.as_ref().map(|(name, ml)| (name.as_str(), *ml));
        One {
            name: plain(change.drink.name()),
            what: plain(&change.what),
            sides: [
                side(change, "before", &change.before, own),
                side(change, "after", &change.after, other.or(own)),
            ]
            .into_iter()
            .flatten()
            .collect(),
            map: map(&change.before, &change.after, at),
            lines: change.lines.iter().map(|(a, b)| (plain(a), plain(b))).collect(),
            rows: rows(change),
            notes: change.notes.iter().map(|n| plain(n)).collect(),
        }
    };
    let all: Vec<One> = changes.iter().enumerate().map(one).collect();
    let title = match all.as_slice() {
        [one] => format!("{}, {}", one.name, one.what),
        several => format!("{} drinks, before and after", several.len()),
    };
    // Two glasses are drawn to one scale: as many pixels a millimetre for both.
    let tallest = all
        .iter()
        .flat_map(|o| &o.sides)
        .map(|s| s.height)
        .fold(1.0, f64::max);
    page(
        "change.html",
        include_str!("../templates/change.html"),
        context! { on_paper => css_text(&title), title, tallest, all => Serde(all) },
    )
}
