//! The pictures of a report: scales, the map, the ladder, and a figure's place in its range.
//!
//! Everything here is numbers for the template: the map in the units of its picture, the strips in hundredths of
//! their width, so that they are as wide as the column they stand in and their marks stay round.

use serde::Serialize;
use washline_core::balance::{Band, Figure, Measured, Structure, Verdict};
use washline_core::computed::ComputedDrink;

use super::labels::{self, Area, BASE_EM, Placed, Wanted};
use crate::words::{cut, short};

/// The name of a mark in the page, told apart by shape: disc, half disc, ring, diamond, dot.
pub(crate) fn mark_id(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::In => "mi",
        Verdict::TooClose => "mt",
        Verdict::Edge => "me",
        Verdict::Outside => "mo",
        Verdict::NoBand => "mn",
    }
}

/// What a verdict says in words.
pub(crate) fn verdict_words(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::In => "in the usual range",
        Verdict::TooClose => "too close to call",
        Verdict::Edge => "at the edge",
        Verdict::Outside => "beyond what is seen",
        Verdict::NoBand => "no published range",
    }
}

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

/// One decimal: a hundredth of a picture is a pixel or two.
fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn coordinate(value: f64) -> String {
    short(tenth(value))
}

/// Round numbers from 0 over `most`: the step, and the end, which may lie half a step beyond the last.
pub(crate) fn round_scale(most: f64) -> (f64, f64) {
    let most = if most.is_finite() && most > 0.0 { most } else { 1.0 };
    let rough = most / 6.0;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power);
    (step, (2.0 * most / step).ceil() * step / 2.0)
}

/// The steps of a scale from 0.
pub(crate) fn steps(step: f64, end: f64) -> Vec<f64> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "ten steps at most"
    )]
    let count = (end / step + 1e-9).floor().clamp(1.0, 20.0) as u32;
    (0..=count).map(|i| f64::from(i) * step).collect()
}

// ---- a figure in its range

/// From where to where, in hundredths of the width.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Stretch {
    pub(crate) from: String,
    pub(crate) to: String,
    pub(crate) wide: String,
}

/// A figure's place in its range.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Strip {
    /// What is seen in published recipes.
    pub(crate) seen: Option<Stretch>,
    /// The usual range.
    pub(crate) usual: Option<Stretch>,
    /// The interval of the figure.
    pub(crate) interval: Option<Stretch>,
    /// Where the figure stands; `None` where it has no value.
    pub(crate) at: Option<String>,
    /// By which mark.
    pub(crate) mark: &'static str,
}

/// A scale over hundredths of a width.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    low: f64,
    high: f64,
}

/// Free hundredths at each end of a strip: half a mark.
const MARGIN: f64 = 3.0;

impl Scale {
    /// A scale between two values.
    pub(crate) fn between(low: f64, high: f64) -> Scale {
        if high - low > 1e-9 {
            Scale { low, high }
        } else {
            Scale {
                low: low - 0.5,
                high: low + 0.5,
            }
        }
    }

    fn share(self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        MARGIN + (100.0 - 2.0 * MARGIN) * share
    }

    /// Where a value stands.
    pub(crate) fn at(self, value: f64) -> String {
        coordinate(self.share(value))
    }

    fn stretch(self, low: f64, high: f64) -> Stretch {
        let (from, to) = (tenth(self.share(low)), tenth(self.share(high)));
        Stretch {
            from: short(from),
            to: short(to),
            wide: coordinate((to - from).max(0.4)),
        }
    }
}

/// The strip of a figure on a scale.
fn strip_on(scale: Scale, figure: Figure, band: &Band, verdict: Verdict) -> Strip {
    Strip {
        seen: band.reach().map(|s| scale.stretch(s.low, s.high)),
        usual: band.core.as_ref().map(|s| scale.stretch(s.low, s.high)),
        interval: figure
            .low
            .zip(figure.high)
            .map(|(low, high)| scale.stretch(low, high)),
        at: figure.value.map(|v| scale.at(v)),
        mark: mark_id(verdict),
    }
}

/// The strip of a figure by itself: as wide as its range, its interval and itself together.
pub(crate) fn strip(figure: Figure, band: &Band, verdict: Verdict) -> Strip {
    let ends = [
        figure.value,
        figure.low,
        figure.high,
        band.core.as_ref().map(|s| s.low),
        band.core.as_ref().map(|s| s.high),
        band.outer.as_ref().map(|s| s.low),
        band.outer.as_ref().map(|s| s.high),
    ];
    let ends: Vec<f64> = ends.into_iter().flatten().collect();
    let low = ends.iter().copied().fold(f64::INFINITY, f64::min);
    let high = ends.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let scale = if low <= high {
        // Without a range an interval by itself would look as wide as any: from nothing to half as much again.
        match (&band.core, &band.outer) {
            (None, None) => Scale::between(0.0, (1.5 * high).max(0.01)),
            _ => Scale::between(low, high),
        }
    } else {
        Scale::between(0.0, 1.0)
    };
    strip_on(scale, figure, band, verdict)
}

// ---- the ladder

/// The scale of the ladder.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct LadderAxis {
    /// Steps: where, and what they say.
    pub(crate) steps: Vec<(String, String)>,
    #[serde(skip)]
    scale: Scale,
    #[serde(skip)]
    most_ml: f64,
}

impl LadderAxis {
    /// For some drinks.
    pub(crate) fn of(reports: &[ComputedDrink]) -> LadderAxis {
        let figures = || reports.iter().map(|r| &r.evaluation.figures);
        let most = figures()
            .flat_map(|f| [f.abv_pct.high, f.abv_pct.value])
            .flatten()
            .fold(1.0, f64::max);
        let (step, end) = round_scale(most);
        let scale = Scale::between(0.0, end);
        LadderAxis {
            steps: steps(step, end)
                .into_iter()
                .map(|v| (scale.at(v), short(v)))
                .collect(),
            scale,
            most_ml: figures().filter_map(|f| f.volume_ml.value).fold(1.0, f64::max),
        }
    }

    /// A rung.
    pub(crate) fn strip(&self, figure: Figure, band: &Band, verdict: Verdict) -> Strip {
        strip_on(self.scale, figure, band, verdict)
    }

    /// How long the bar of a volume is, in hundredths of the longest.
    pub(crate) fn bar(&self, volume_ml: f64) -> String {
        coordinate((100.0 * volume_ml / self.most_ml).clamp(0.0, 100.0))
    }
}

// ---- the map

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
    fn new(x1: f64, y1: f64, x2: f64, y2: f64) -> Stroke {
        Stroke {
            x1: coordinate(x1),
            y1: coordinate(y1),
            x2: coordinate(x2),
            y2: coordinate(y2),
        }
    }
}

/// The usual range of a structure, as a box on the map.
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

/// The usual range of a structure in sweetness and tartness.
pub(crate) struct Usual {
    pub(crate) structure: Structure,
    pub(crate) sugar: (f64, f64),
    pub(crate) acid: (f64, f64),
}

/// The usual ranges to draw: of every structure on the list that has one in both measures.
pub(crate) fn usual(reports: &[&ComputedDrink]) -> Vec<Usual> {
    let mut all: Vec<Usual> = Vec::new();
    for report in reports {
        let (Some(structure), Some(sugar), Some(acid)) = (
            report.evaluation.structure,
            &report.bands()[Measured::Sweetness as usize].core,
            &report.bands()[Measured::Tartness as usize].core,
        ) else {
            continue;
        };
        if !all.iter().any(|u| u.structure == structure) {
            all.push(Usual {
                structure,
                sugar: (sugar.low, sugar.high),
                acid: (acid.low, acid.high),
            });
        }
    }
    all.sort_by_key(|u| u.structure);
    all
}

/// The graver of the verdicts on sweetness and tartness.
pub(crate) fn verdict_on_map(report: &ComputedDrink) -> Verdict {
    let verdicts = report.evaluation.verdicts;
    let (sweet, tart) = (
        verdicts[Measured::Sweetness as usize],
        verdicts[Measured::Tartness as usize],
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
}

/// Drinks up to which the map draws their intervals.
pub(crate) const MOST_INTERVALS: usize = 30;
/// The longest name on the map, in letters; the list has it whole.
const LONGEST_NAME: usize = 30;

/// The map of some drinks.
pub(crate) fn map(spots: &[Spot<'_>], usual: &[Usual], room: Room) -> Map {
    let figures = |s: &Spot<'_>| {
        let f = &s.report.evaluation.figures;
        (f.sugar_g_per_100ml, f.acid_g_per_100ml)
    };
    let with_intervals = spots.len() <= MOST_INTERVALS;
    let most = |of: &dyn Fn(&Spot<'_>) -> Figure, ranges: f64| {
        spots
            .iter()
            .flat_map(|s| {
                let f = of(s);
                [f.value, f.high.filter(|_| with_intervals)]
            })
            .flatten()
            .fold(ranges, f64::max)
    };
    let (x_step, x_end) = round_scale(most(
        &|s| figures(s).0,
        usual.iter().map(|u| u.sugar.1).fold(0.0, f64::max),
    ));
    let (y_step, y_end) = round_scale(most(
        &|s| figures(s).1,
        usual.iter().map(|u| u.acid.1).fold(0.0, f64::max),
    ));
    let (width, em, reach, left) = match room {
        Room::Wide => (760.0, 10.5, 4.2, 46.0),
        Room::Narrow => (340.0, 9.0, 3.6, 32.0),
    };
    let height = match (room, spots.len()) {
        (Room::Wide, 0..=30) => 560.0,
        (Room::Wide, 31..=60) => 720.0,
        (Room::Wide, _) => 900.0,
        (Room::Narrow, 0..=30) => 400.0,
        (Room::Narrow, 31..=60) => 560.0,
        (Room::Narrow, _) => 680.0,
    };
    let (top, right, bottom) = (10.0, width - 12.0, height - 44.0);
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
            name: (room == Room::Wide).then(|| cut(&spot.name, LONGEST_NAME)),
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

fn words(placed: &Placed, em: f64) -> Words {
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
            Room::Wide => format!("usual: {}", range.structure.name()),
            Room::Narrow => range.structure.name().to_owned(),
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

#[cfg(test)]
mod tests {
    use super::*;
    use washline_core::balance::{Ranges, Structure};
    use washline_core::ingredient::Convention;

    #[test]
    fn scales_are_round_and_hold_what_they_show() {
        for most in [0.03, 0.9, 1.38, 4.0, 18.57, 33.0, 40.0, 96.0] {
            let (step, end) = round_scale(most);
            assert!(end >= most && end < most + step + 1e-9, "{most}: {step} to {end}");
            assert!(
                (3..=7).contains(&steps(step, end).len()),
                "{most}: {step} to {end}"
            );
        }
        for odd in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let (step, end) = round_scale(odd);
            assert!(step.is_finite() && end.is_finite() && step > 0.0);
        }
    }

    #[test]
    fn a_figure_stands_in_its_range_beyond_it_or_where_there_is_none() {
        let ranges = Ranges::published(Convention::Handbook);
        let band = ranges.band(Structure::ShakenSour, Measured::Sweetness);
        let at = |value: f64| {
            let strip = strip(Figure::of(value), band, Verdict::In);
            let number = |text: &str| text.parse::<f64>().unwrap();
            let usual = strip.usual.unwrap();
            (number(&strip.at.unwrap()), number(&usual.from), number(&usual.to))
        };
        let (at_7, low, high) = at(7.0);
        assert!(low < at_7 && at_7 < high);
        let (at_20, _, high) = at(20.0);
        assert!(at_20 > high && at_20 <= 97.0);
        let (at_0, low, _) = at(0.0);
        assert!(at_0 < low && at_0 >= 3.0);
        let none = strip(Figure::default(), &Band::default(), Verdict::NoBand);
        assert!(none.at.is_none() && none.usual.is_none());
    }
}
