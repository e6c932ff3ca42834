//! Before and after of a mend, a swap or a travel: two glasses on one scale, the map with an arrow, the lines that change.

use jiff::civil::Date;
use std::fmt::Write as _;

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::balance::{Figures, GlassFill};
use washline_core::computed::ComputedDrink;
use washline_core::service::card::ice;
use washline_core::tables::{FigureName, difference_as_printed};

use crate::glass::{Filled, picture};
use crate::report::{Usual, usual};
use crate::scale::{Window, coordinate};
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
    moves: bool,
    boxed: bool,
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
    let fill = GlassFill {
        name: name.to_owned(),
        capacity_ml,
        fill_pct: 100.0 * volume / capacity_ml.max(1.0),
    };
    Some(Side {
        word,
        width: drawn.width,
        height: drawn.height,
        parts: drawn.parts,
        words: plain(&format!("{volume:.0} ml, {}", fill.words())),
    })
}

/// A point of the map: sugar and acid, g/100 ml.
type Point = (f64, f64);

/// Where the map of a change has its edges, and where a value stands between them.
struct Plane {
    sugar: Window,
    acid: Window,
}

const WIDE: f64 = 400.0;
const HIGH: f64 = 280.0;
const EM: f64 = 14.8;
/// Left, right, top and bottom of the plane, in the units of the picture.
const EDGES: [f64; 4] = [54.0, WIDE - 10.0, 10.0, HIGH - 3.4 * EM];
/// Nearer than this, two marks cover each other.
const TOGETHER: f64 = 7.0;
/// The length of the tip of the arrow with the marks at its ends.
const TIPPED: f64 = 26.0;

impl Plane {
    /// It holds both points and where half of the published drinks of the family lie, and little else.
    fn around(from: Point, to: Point, usual: Option<&Usual>) -> Plane {
        let ends = |points: [f64; 2], range: Option<(f64, f64)>| {
            let ends = range.into_iter().flat_map(|(low, high)| [low, high]);
            points.into_iter().chain(ends).collect::<Vec<f64>>()
        };
        Plane {
            sugar: Window::around(&ends([from.0, to.0], usual.map(|u| u.sugar)), 2.0),
            acid: Window::around(&ends([from.1, to.1], usual.map(|u| u.acid)), 0.2),
        }
    }

    fn x(&self, sugar: f64) -> f64 {
        EDGES[0] + (EDGES[1] - EDGES[0]) * self.sugar.share(sugar)
    }

    fn y(&self, acid: f64) -> f64 {
        EDGES[3] - (EDGES[3] - EDGES[2]) * self.acid.share(acid)
    }

    /// The lines at round numbers, what they say, and what goes along which edge.
    fn grid(&self) -> String {
        let [left, right, top, bottom] = EDGES;
        let mut svg = String::new();
        for v in self.sugar.steps() {
            let _ = write!(
                svg,
                "<line class=\"gx\" x1=\"{p}\" x2=\"{p}\" y1=\"{top}\" y2=\"{bottom}\"/><text x=\"{p}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
                bottom + EM + 3.0,
                short(v),
                p = coordinate(self.x(v))
            );
        }
        for v in self.acid.steps() {
            let _ = write!(
                svg,
                "<line class=\"gx\" x1=\"{left}\" x2=\"{right}\" y1=\"{p}\" y2=\"{p}\"/><text x=\"{}\" y=\"{p}\" dy=\".35em\" text-anchor=\"end\">{}</text>",
                left - 5.0,
                short(v),
                p = coordinate(self.y(v))
            );
        }
        let _ = write!(
            svg,
            "<text x=\"{right}\" y=\"{}\" text-anchor=\"end\" font-weight=\"700\">sweeter: sugar, g/100 ml →</text><text transform=\"translate({EM} {top}) rotate(-90)\" text-anchor=\"end\" font-weight=\"700\">tarter: acid, g/100 ml →</text>",
            HIGH - 6.0,
        );
        svg
    }

    fn usual(&self, usual: &Usual) -> String {
        let (from, to) = (self.x(usual.sugar.0), self.x(usual.sugar.1));
        let (top, bottom) = (self.y(usual.acid.1), self.y(usual.acid.0));
        format!(
            "<rect class=\"u\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            coordinate(from),
            coordinate(top),
            coordinate(to - from),
            coordinate(bottom - top)
        )
    }

    /// How far apart two points are drawn.
    fn apart(&self, from: Point, to: Point) -> f64 {
        (self.x(from.0) - self.x(to.0)).hypot(self.y(from.1) - self.y(to.1))
    }

    /// A ring before, a disc after, and an arrow where there is room for its tip; one disc where they lie together.
    fn way(&self, from: Point, to: Point, at: usize) -> String {
        let mark = |id: &str, p: Point| {
            let (x, y) = (coordinate(self.x(p.0)), coordinate(self.y(p.1)));
            format!("<use href=\"#{id}\" x=\"{x}\" y=\"{y}\"/>")
        };
        let apart = self.apart(from, to);
        if apart < TOGETHER {
            return mark("mi", to);
        }
        let tip = if apart < TIPPED {
            String::new()
        } else {
            format!(" marker-end=\"url(#tip{at})\"")
        };
        format!(
            "<line class=\"arrow\" x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"{tip}/>{}{}",
            coordinate(self.x(from.0)),
            coordinate(self.y(from.1)),
            coordinate(self.x(to.0)),
            coordinate(self.y(to.1)),
            mark("me", from),
            mark("mi", to)
        )
    }
}

/// Sweetness against tartness, from before to after.
#[derive(Default)]
struct Way {
    /// As SVG: numbers and words of ours; empty where a figure is not known.
    map: String,
    /// Whether the two lie apart on it.
    moves: bool,
    /// Whether the range of its family is drawn.
    boxed: bool,
}

fn way(change: &Change<'_>, at: usize) -> Way {
    let point = |f: &Figures| f.sugar_g_per_100ml.value.zip(f.acid_g_per_100ml.value);
    let (Some(from), Some(to)) = (point(&change.before), point(&change.after)) else {
        return Way::default();
    };
    let usual = usual(&[change.drink]);
    let usual = usual.first();
    let plane = Plane::around(from, to, usual);
    let map = format!(
        "<svg class=\"map\" viewBox=\"0 0 {WIDE} {HIGH}\" role=\"img\" font-size=\"{EM}\"><title>Sugar from {:.1} to {:.1}, acid from {:.2} to {:.2} g/100 ml</title><defs><marker id=\"tip{at}\" viewBox=\"0 0 8 8\" refX=\"12\" refY=\"4\" markerWidth=\"8\" markerHeight=\"8\" orient=\"auto\"><path d=\"M0 0L8 4L0 8Z\"/></marker></defs>{}{}{}</svg>",
        from.0,
        to.0,
        from.1,
        to.1,
        plane.grid(),
        usual.map_or_else(String::new, |u| plane.usual(u)),
        plane.way(from, to, at)
    );
    Way {
        map,
        moves: plane.apart(from, to) >= TOGETHER,
        boxed: usual.is_some(),
    }
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

/// The page: one change after the other. `today` is the day that stands on it.
///
/// # Errors
/// Where the template does not hold.
pub fn html(changes: &[Change<'_>], today: Date) -> Result<String, PageError> {
    let one = |(at, change): (usize, &Change<'_>)| {
        let own = change
            .drink
            .evaluation
            .glass
            .as_ref()
            .map(|g| (g.name.as_str(), g.capacity_ml));
        let way = way(change, at);
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
            map: way.map,
            moves: way.moves,
            boxed: way.boxed,
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
        context! { on_paper => css_text(&title), today_on_paper => css_text(&today.to_string()), today => today.to_string(), title, tallest, all => Serde(all) },
    )
}
