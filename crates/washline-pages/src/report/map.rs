//! The map of sweetness against tartness: marks, the boxes where published drinks lie, names where there is room.
//!
//! Everything here is numbers for the template, in the units of the picture.

use std::cmp::Reverse;

use serde::Serialize;
use washline_core::balance::{BalanceFigure, Figure, Verdict};
use washline_core::computed::ComputedDrink;

use super::group;
use super::labels::{self, Area, BASE_EM, Placed, Wanted};
use crate::scale::{coordinate, mark_id, round_scale, steps};
use crate::words::{cut, short};

/// How much a verdict wants looking at.
fn weight(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::NoBand => 0,
        Verdict::In => 1,
        Verdict::TooClose => 2,
        Verdict::Edge => 3,
        Verdict::Outside => 4,
    }
}

/// A text at its place; `width` is what it is set to.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Words {
    pub(crate) x: String,
    pub(crate) y: String,
    pub(crate) width: String,
    pub(crate) text: String,
}

/// A line.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Stroke {
    pub(crate) x1: String,
    pub(crate) y1: String,
    pub(crate) x2: String,
    pub(crate) y2: String,
}

impl Stroke {
    pub(super) fn new(x1: f64, y1: f64, x2: f64, y2: f64) -> Stroke {
        Stroke {
            x1: coordinate(x1),
            y1: coordinate(y1),
            x2: coordinate(x2),
            y2: coordinate(y2),
        }
    }
}

/// The range of a family, as a box on the map.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Box {
    pub(crate) x: String,
    pub(crate) y: String,
    pub(crate) width: String,
    pub(crate) height: String,
    /// Which of a few fills and outlines it has.
    pub(crate) style: usize,
}

/// A mark on the map.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Point {
    pub(crate) x: String,
    pub(crate) y: String,
    pub(crate) mark: &'static str,
}

/// Sweetness against tartness.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Map {
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// Its type size.
    pub(crate) em: f64,
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
    /// Steps of the scales: where, and what they say.
    pub(crate) across: Vec<(String, String)>,
    pub(crate) up: Vec<(String, String)>,
    pub(crate) boxes: Vec<Box>,
    pub(crate) intervals: Vec<Stroke>,
    pub(crate) lines: Vec<Stroke>,
    pub(crate) points: Vec<Point>,
    /// Names of the boxes.
    pub(crate) ranges: Vec<Words>,
    /// Names or numbers of the drinks.
    pub(crate) labels: Vec<Words>,
    /// How many of those are numbers.
    pub(crate) numbers: usize,
    /// How many drinks found no room for either.
    pub(crate) unlabelled: usize,
}

/// A drink on the map.
pub(crate) struct Spot<'a> {
    pub(crate) number: usize,
    pub(crate) name: String,
    pub(crate) report: &'a ComputedDrink,
}

/// Where half of the published drinks of a family lie in sweetness and tartness, or the house's own range.
pub(crate) struct Usual {
    pub(crate) family: &'static str,
    /// How many drinks of it are on the list.
    drinks: usize,
    pub(crate) sugar: (f64, f64),
    pub(crate) acid: (f64, f64),
}

/// Boxes that a map has at most: more of them hide what they are drawn for.
const MOST_BOXES: usize = 4;

/// The ranges to draw: of the families with most drinks on the list that have one in both measures.
pub(crate) fn usual(reports: &[&ComputedDrink]) -> Vec<Usual> {
    let mut all: Vec<Usual> = Vec::new();
    for report in reports {
        let family = group(report);
        if let Some(known) = all.iter_mut().find(|u| u.family == family) {
            known.drinks += 1;
            continue;
        }
        let [_, sweet, tart] = report.bands();
        if let (Some(sugar), Some(acid)) = (sweet.core, tart.core) {
            all.push(Usual {
                family,
                drinks: 1,
                sugar: (sugar.low, sugar.high),
                acid: (acid.low, acid.high),
            });
        }
    }
    all.sort_by_key(|u| (Reverse(u.drinks), u.family));
    all.truncate(MOST_BOXES);
    all.sort_by_key(|u| u.family);
    all
}

/// The graver of the verdicts on sweetness and tartness.
pub(crate) fn verdict_on_map(report: &ComputedDrink) -> Verdict {
    let verdicts = report.evaluation.verdicts;
    let (sweet, tart) = (
        verdicts[BalanceFigure::Sweetness as usize],
        verdicts[BalanceFigure::Tartness as usize],
    );
    if weight(sweet) >= weight(tart) {
        sweet
    } else {
        tart
    }
}

/// For a wide page or for a narrow one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Room {
    /// Names where there is room.
    Wide,
    /// Numbers alone.
    Narrow,
    /// One of several maps beside each other: a family each.
    Family,
}

/// Drinks up to which the map draws their intervals.
pub(crate) const MOST_INTERVALS: usize = 30;
/// The longest name on the map, in letters; the list has it whole.
const LONGEST_NAME: usize = 30;
/// The same where the map is one of several.
const LONGEST_OF_FAMILY: usize = 20;

impl Room {
    /// Width and height; the size of letters, the reach of a mark, the room on the left: for so many drinks.
    fn measures(self, drinks: usize) -> ([f64; 2], [f64; 3]) {
        let (width, em, reach, left) = match self {
            // On paper 182 mm wide, 88 mm for one of several: no letter under 8.5 points.
            Room::Wide => (760.0, 12.6, 4.2, 50.0),
            Room::Narrow => (340.0, 12.0, 3.6, 40.0),
            Room::Family => (400.0, 13.8, 4.2, 48.0),
        };
        let height = match (self, drinks) {
            (Room::Wide, 0..=30) => 560.0,
            (Room::Wide, _) => 720.0,
            (Room::Narrow, 0..=30) => 420.0,
            (Room::Narrow, _) => 560.0,
            // So high that each drink of a large family still finds room for its number.
            (Room::Family, 0..=18) => 330.0,
            (Room::Family, 19..=24) => 430.0,
            (Room::Family, _) => 560.0,
        };
        ([width, height], [em, reach, left])
    }
}

/// The map of some drinks.
pub(crate) fn map(spots: &[Spot<'_>], usual: &[Usual], room: Room) -> Map {
    let with_intervals = spots.len() <= MOST_INTERVALS;
    let sugars = usual.iter().map(|u| u.sugar.1).fold(0.0, f64::max);
    let acids = usual.iter().map(|u| u.acid.1).fold(0.0, f64::max);
    let (x_step, x_end) = round_scale(most(spots, with_intervals, |s| figures(s).0, sugars));
    let (y_step, y_end) = round_scale(most(spots, with_intervals, |s| figures(s).1, acids));
    let ([width, height], [em, reach, left]) = room.measures(spots.len());
    let (top, right, bottom) = (10.0, width - 12.0, height - 3.4 * em);
    // A little room below nothing, so that a mark at 0 does not sit on the frame.
    let inset = 10.0;
    let x = |v: f64| left + inset + (right - left - 2.0 * inset) * (v / x_end).clamp(0.0, 1.0);
    let y = |v: f64| bottom - inset - (bottom - top - 2.0 * inset) * (v / y_end).clamp(0.0, 1.0);

    let mut wanted = Vec::new();
    let (mut points, mut intervals) = (Vec::new(), Vec::new());
    for spot in spots {
        let (sugar, acid) = figures(spot);
        let (Some(sweet), Some(tart)) = (sugar.value, acid.value) else {
            continue;
        };
        let verdict = verdict_on_map(spot.report);
        points.push(Point {
            x: coordinate(x(sweet)),
            y: coordinate(y(tart)),
            mark: mark_id(verdict),
        });
        if with_intervals {
            if let (Some(low), Some(high)) = (sugar.low, sugar.high) {
                intervals.push(Stroke::new(x(low), y(tart), x(high), y(tart)));
            }
            if let (Some(low), Some(high)) = (acid.low, acid.high) {
                intervals.push(Stroke::new(x(sweet), y(low), x(sweet), y(high)));
            }
        }
        wanted.push(Wanted {
            x: x(sweet),
            y: y(tart),
            reach,
            name: match room {
                Room::Wide => Some(cut(&spot.name, LONGEST_NAME)),
                Room::Family => Some(cut(&spot.name, LONGEST_OF_FAMILY)),
                Room::Narrow => None,
            },
            number: spot.number.to_string(),
        });
    }
    let bounds = Area {
        left: left + 1.0,
        top: top + 1.0,
        right: right - 1.0,
        bottom: bottom - 1.0,
    };
    let (boxes, ranges) = ranges_on(usual, &wanted, bounds, em, room, x, y);
    let kept: Vec<Area> = ranges.iter().map(|p| p.area).collect();
    let placed = labels::place(bounds, &kept, &wanted, em);
    let lines = placed
        .iter()
        .flatten()
        .filter_map(|p| p.line.map(|l| Stroke::new(l.x1, l.y1, l.x2, l.y2)))
        .collect();
    Map {
        width,
        height,
        em,
        left,
        top,
        right,
        bottom,
        across: steps(x_step, x_end)
            .into_iter()
            .map(|v| (coordinate(x(v)), short(v)))
            .collect(),
        up: steps(y_step, y_end)
            .into_iter()
            .map(|v| (coordinate(y(v)), short(v)))
            .collect(),
        boxes,
        intervals,
        lines,
        points,
        ranges: ranges.iter().map(|p| words(p, em)).collect(),
        numbers: placed
            .iter()
            .zip(&wanted)
            .filter(|(p, w)| p.as_ref().is_some_and(|p| p.text == w.number))
            .count(),
        unlabelled: placed.iter().filter(|p| p.is_none()).count(),
        labels: placed.iter().flatten().map(|p| words(p, em)).collect(),
    }
}

/// Sugar and acid of a drink.
fn figures(spot: &Spot<'_>) -> (Figure, Figure) {
    let figures = &spot.report.evaluation.figures;
    (figures.sugar_g_per_100ml, figures.acid_g_per_100ml)
}

/// The most of a figure that has to find room, at least that of the ranges.
fn most(spots: &[Spot<'_>], with_intervals: bool, of: impl Fn(&Spot<'_>) -> Figure, ranges: f64) -> f64 {
    let ends = spots.iter().flat_map(|spot| {
        let figure = of(spot);
        [figure.value, figure.high.filter(|_| with_intervals)]
    });
    ends.flatten().fold(ranges, f64::max)
}

pub(super) fn words(placed: &Placed, em: f64) -> Words {
    Words {
        x: coordinate(placed.area.left),
        y: coordinate(placed.area.top + BASE_EM * em),
        width: coordinate(placed.area.right - placed.area.left),
        text: placed.text.clone(),
    }
}

/// The boxes of the usual ranges, and a name at a free place along the edge of each.
fn ranges_on(
    usual: &[Usual],
    marks: &[Wanted],
    bounds: Area,
    em: f64,
    room: Room,
    x: impl Fn(f64) -> f64,
    y: impl Fn(f64) -> f64,
) -> (Vec<Box>, Vec<Placed>) {
    let mut boxes = Vec::new();
    let mut named: Vec<Placed> = Vec::new();
    let height = labels::HEIGHT_EM * em;
    for (i, range) in usual.iter().enumerate() {
        let (from, to) = (x(range.sugar.0), x(range.sugar.1));
        let (top, bottom) = (y(range.acid.1), y(range.acid.0));
        boxes.push(Box {
            x: coordinate(from),
            y: coordinate(top),
            width: coordinate(to - from),
            height: coordinate(bottom - top),
            style: i % 5,
        });
        let text = match room {
            Room::Wide => format!("usual: {}", range.family),
            Room::Narrow => range.family.to_owned(),
            Room::Family => "usual".to_owned(),
        };
        let wide = labels::width_em(&text) * em * BOLD;
        let at = |left: f64, top: f64| Area {
            left,
            top,
            right: left + wide,
            bottom: top + height,
        };
        // Above the box and below it, from its left edge to its right; farther off where marks are in the way.
        let lifts = [2.0, 8.0, 14.0, 22.0, 32.0, 44.0, 60.0];
        let free = lifts
            .into_iter()
            .flat_map(|lift| [top - lift - height, bottom + lift])
            .flat_map(|upper| {
                [
                    from,
                    to - wide,
                    f64::midpoint(from, to) - wide / 2.0,
                    from - wide * 0.6,
                    to - wide * 0.4,
                ]
                .map(|left| at(left, upper))
            })
            .find(|area| {
                area.left >= bounds.left
                    && area.right <= bounds.right
                    && area.top >= bounds.top
                    && area.bottom <= bounds.bottom
                    && !marks
                        .iter()
                        .any(|m| Area::about(m.x, m.y, m.reach + 1.0).meets(area))
                    && !named.iter().any(|n| n.area.meets(area))
            });
        if let Some(area) = free {
            named.push(Placed {
                text,
                area,
                line: None,
            });
        }
    }
    (boxes, named)
}

/// Names of ranges are set bold: that much wider.
const BOLD: f64 = 1.06;
