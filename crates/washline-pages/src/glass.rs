//! A glass as it is seen from the side, true to its kind, with the level at which so much of it is full.
//!
//! An outline is the inner wall from the bottom of the bowl to its brim. It is sized so that the solid it turns into holds
//! what the glass holds, and the level stands where that solid is so full: half of a coupe by volume is well above half
//! its height. The proportions of each kind are drawn from how the trade makes them: common practice, no source.

use std::fmt::Write as _;

use washline_core::tables::{Glass, IceForm};

use crate::words::short;

/// The bowl of a sort of glass, and what it stands on.
struct Shape {
    name: &'static str,
    /// Inner radius by height from the bottom of the bowl, mm of a glass of usual size.
    bowl: &'static [(f64, f64)],
    /// Height of the stem, the same.
    stem: f64,
    /// Radius of the foot; 0 where the bowl stands by itself.
    foot: f64,
    /// Whether it has a handle.
    handle: bool,
    /// Whether it is of metal or clay: its level is drawn as if one saw through.
    opaque: bool,
}

const fn stemmed(name: &'static str, bowl: &'static [(f64, f64)], stem: f64, foot: f64) -> Shape {
    Shape {
        name,
        bowl,
        stem,
        foot,
        handle: false,
        opaque: false,
    }
}

const fn footless(name: &'static str, bowl: &'static [(f64, f64)], handle: bool, opaque: bool) -> Shape {
    Shape {
        name,
        bowl,
        stem: 0.0,
        foot: 0.0,
        handle,
        opaque,
    }
}

/// One for every sort that the library's table of glasses has; a test holds that.
const SHAPES: [Shape; 21] = [
    stemmed(
        "coupe",
        &[(0.0, 3.0), (4.0, 22.0), (12.0, 36.0), (26.0, 45.0), (44.0, 47.0)],
        74.0,
        33.0,
    ),
    stemmed(
        "small tulip stem",
        &[
            (0.0, 3.0),
            (4.0, 14.0),
            (16.0, 26.0),
            (40.0, 33.0),
            (62.0, 31.0),
            (74.0, 29.0),
        ],
        66.0,
        32.0,
    ),
    stemmed("V glass", &[(0.0, 1.5), (66.0, 55.0)], 80.0, 38.0),
    stemmed(
        "sour glass",
        &[(0.0, 4.0), (6.0, 17.0), (30.0, 25.0), (78.0, 30.0)],
        40.0,
        29.0,
    ),
    footless("rocks glass", &[(0.0, 34.0), (82.0, 40.0)], false, false),
    footless("double rocks", &[(0.0, 39.0), (92.0, 45.0)], false, false),
    footless("highball", &[(0.0, 27.0), (140.0, 32.0)], false, false),
    footless("collins", &[(0.0, 27.0), (165.0, 30.0)], false, false),
    stemmed(
        "flute",
        &[
            (0.0, 2.0),
            (8.0, 12.0),
            (42.0, 21.0),
            (100.0, 25.0),
            (150.0, 23.0),
        ],
        72.0,
        32.0,
    ),
    stemmed(
        "wine glass",
        &[(0.0, 3.0), (8.0, 24.0), (30.0, 40.0), (58.0, 44.0), (105.0, 35.0)],
        78.0,
        36.0,
    ),
    stemmed(
        "hurricane",
        &[
            (0.0, 14.0),
            (18.0, 30.0),
            (56.0, 37.0),
            (100.0, 29.0),
            (125.0, 30.0),
            (160.0, 38.0),
        ],
        24.0,
        37.0,
    ),
    footless("julep cup", &[(0.0, 28.0), (95.0, 39.0)], false, true),
    footless(
        "mule mug",
        &[(0.0, 36.0), (12.0, 43.0), (60.0, 46.0), (92.0, 43.0)],
        true,
        true,
    ),
    Shape {
        name: "irish coffee glass",
        bowl: &[(0.0, 14.0), (12.0, 29.0), (45.0, 34.0), (92.0, 37.0)],
        stem: 18.0,
        foot: 34.0,
        handle: true,
        opaque: false,
    },
    footless(
        "tiki mug",
        &[(0.0, 32.0), (40.0, 37.0), (100.0, 34.0), (150.0, 38.0)],
        false,
        true,
    ),
    footless("shot glass", &[(0.0, 15.0), (58.0, 23.0)], false, false),
    stemmed(
        "copita",
        &[(0.0, 3.0), (6.0, 17.0), (28.0, 27.0), (56.0, 25.0), (82.0, 21.0)],
        50.0,
        29.0,
    ),
    stemmed(
        "snifter",
        &[(0.0, 4.0), (8.0, 28.0), (30.0, 44.0), (58.0, 47.0), (98.0, 31.0)],
        28.0,
        34.0,
    ),
    footless(
        "teacup",
        &[(0.0, 19.0), (8.0, 32.0), (26.0, 42.0), (56.0, 47.0)],
        true,
        false,
    ),
    footless(
        "punch cup",
        &[(0.0, 20.0), (10.0, 36.0), (34.0, 41.0), (62.0, 40.0)],
        true,
        false,
    ),
    footless("beer mug", &[(0.0, 38.0), (132.0, 40.0)], true, false),
];

/// Slices that a bowl is cut into.
const SLICES: usize = 48;

/// A bowl at the size of the glass: inner radius at even steps of height, mm.
#[derive(Clone, Debug)]
struct Bowl {
    height: f64,
    radii: Vec<f64>,
    /// What it holds up to each slice, mm³.
    holds: Vec<f64>,
}

impl Bowl {
    fn of(points: &[(f64, f64)], capacity_ml: f64) -> Bowl {
        let top = points.last().map_or(1.0, |p| p.0);
        let steps = |i: usize| to_f64(i) / to_f64(SLICES);
        let radii: Vec<f64> = (0..=SLICES).map(|i| smooth(points, top * steps(i))).collect();
        let volume = *held(&radii, top).last().unwrap_or(&1.0);
        // Millilitres are thousands of cubic millimetres.
        let scale = (capacity_ml.max(1.0) * 1000.0 / volume.max(1.0)).cbrt();
        let radii: Vec<f64> = radii.iter().map(|r| r * scale).collect();
        let height = top * scale;
        let holds = held(&radii, height);
        Bowl { height, radii, holds }
    }

    /// How high a share of what it holds stands in it, mm over the bottom.
    fn level(&self, share: f64) -> f64 {
        let wanted = share.clamp(0.0, 1.0) * self.holds.last().copied().unwrap_or(0.0);
        let step = self.height / to_f64(SLICES);
        for (i, pair) in self.holds.windows(2).enumerate() {
            if pair[1] >= wanted {
                let part = if pair[1] > pair[0] {
                    (wanted - pair[0]) / (pair[1] - pair[0])
                } else {
                    0.0
                };
                return step * (to_f64(i) + part);
            }
        }
        self.height
    }

    /// Its radius at a height, mm.
    fn radius(&self, height: f64) -> f64 {
        let at = (height / self.height).clamp(0.0, 1.0) * to_f64(SLICES);
        let below = at.floor();
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "one of the slices"
        )]
        let i = (below as usize).min(SLICES - 1);
        self.radii[i] + (self.radii[i + 1] - self.radii[i]) * (at - to_f64(i))
    }
}

#[expect(clippy::cast_precision_loss, reason = "a few dozen slices")]
fn to_f64(count: usize) -> f64 {
    count as f64
}

/// Volume up to each of some radii that are evenly apart, as cut cones.
fn held(radii: &[f64], height: f64) -> Vec<f64> {
    let step = height / to_f64(radii.len() - 1);
    let mut sum = 0.0;
    std::iter::once(0.0)
        .chain(radii.windows(2).map(|pair| {
            let (a, b) = (pair[0], pair[1]);
            sum += std::f64::consts::PI * step * (a * a + a * b + b * b) / 3.0;
            sum
        }))
        .collect()
}

/// A curve through points that bulges nowhere between them (Fritsch and Carlson's monotone cubic); straight between two.
fn smooth(points: &[(f64, f64)], at: f64) -> f64 {
    let slope = |i: usize| (points[i + 1].1 - points[i].1) / (points[i + 1].0 - points[i].0);
    let last = points.len() - 1;
    let i = (0..last).find(|i| at <= points[i + 1].0).unwrap_or(last - 1);
    let tangent = |j: usize| {
        if j == 0 {
            slope(0)
        } else if j == last {
            slope(last - 1)
        } else if slope(j - 1) * slope(j) <= 0.0 {
            0.0
        } else {
            // The harmonic mean keeps the curve between its points.
            2.0 * slope(j - 1) * slope(j) / (slope(j - 1) + slope(j))
        }
    };
    let (x0, y0) = points[i];
    let (x1, y1) = points[i + 1];
    let wide = x1 - x0;
    let t = ((at - x0) / wide).clamp(0.0, 1.0);
    let (t2, t3) = (t * t, t * t * t);
    (2.0 * t3 - 3.0 * t2 + 1.0) * y0
        + (t3 - 2.0 * t2 + t) * wide * tangent(i)
        + (3.0 * t2 - 2.0 * t3) * y1
        + (t3 - t2) * wide * tangent(i + 1)
}

/// What stands in a glass.
#[derive(Clone, Debug, Default)]
pub struct Filled<'a> {
    /// The glass in the writer's words.
    pub name: &'a str,
    /// What it holds to the brim, ml.
    pub capacity_ml: f64,
    /// Up to where it is full, with its ice, as a share of what it holds.
    pub level: f64,
    /// Up to where it would be without the water from the ice, the same; drawn as a dashed line.
    pub without_melt: Option<f64>,
    /// How much of what is in it floats on top, as a share of what it holds.
    pub float: f64,
    /// The ice it stands on.
    pub ice: Option<IceForm>,
}

/// A picture of a glass: its size in mm, and its parts as SVG.
#[derive(Clone, Debug)]
pub struct Picture {
    /// Width, mm.
    pub width: f64,
    /// Height, mm.
    pub height: f64,
    /// What stands between `<svg>` and `</svg>`; numbers and names of ours alone.
    pub parts: String,
    /// Height of the washline in the picture, mm from its top.
    pub washline_y: f64,
}

/// Free edge about a glass, mm.
const EDGE: f64 = 4.0;
/// How far the washline runs out beyond the glass, mm.
const OVERHANG: f64 = 7.0;

fn n(value: f64) -> String {
    short((value * 10.0).round() / 10.0)
}

/// The glass from the side; `None` of a sort that nobody knows the outline of.
#[must_use]
pub fn picture(filled: &Filled<'_>) -> Option<Picture> {
    let known = Glass::called(filled.name)?;
    let shape = SHAPES.iter().find(|s| s.name == known.name)?;
    let bowl = Bowl::of(shape.bowl, filled.capacity_ml);
    let scale = bowl.height / shape.bowl.last().map_or(1.0, |p| p.0);
    let (stem, foot) = (shape.stem * scale, shape.foot * scale);
    let widest = bowl.radii.iter().copied().fold(foot, f64::max);
    let handle = if shape.handle { 0.55 * widest } else { 0.0 };
    // The walls of what has no stem stand on a base of glass.
    let base = if shape.stem > 0.0 || shape.opaque {
        2.0
    } else {
        6.0
    };
    let half = widest + OVERHANG.max(handle + 1.0) + EDGE;
    let (width, height) = (2.0 * half, EDGE + bowl.height + base + stem + EDGE);
    let bottom = EDGE + bowl.height;
    let wall = |high: f64, side: f64| (half + side * bowl.radius(high), bottom - high);
    let up = |from: f64, to: f64, side: f64| -> Vec<String> {
        let height = |i: u32| from + (to - from) * f64::from(i) / 16.0;
        let points = (0..=16).map(|i| wall(height(i), side));
        points.map(|(x, y)| format!("{} {}", n(x), n(y))).collect()
    };
    let between = |from: f64, to: f64| {
        let (right, mut left) = (up(from, to, 1.0), up(from, to, -1.0));
        left.reverse();
        format!("M{}L{}Z", right.join("L"), left.join("L"))
    };
    let level = bowl.level(filled.level);
    let mut parts = String::new();
    if level > 0.5 {
        let _ = write!(parts, "<path class=\"gw\" d=\"{}\"/>", between(0.0, level));
    }
    let below_float = bowl.level(filled.level - filled.float);
    if filled.float > 0.0 && level - below_float > 0.3 {
        let _ = write!(
            parts,
            "<path class=\"gf\" d=\"{}\"/>",
            between(below_float, level)
        );
    }
    if let Some(form) = filled.ice {
        parts.push_str(&ice(form, &bowl, half, bottom, level));
    }
    if let Some(share) = filled.without_melt.filter(|s| *s < filled.level) {
        let (x, y) = wall(bowl.level(share), 1.0);
        let _ = write!(
            parts,
            "<line class=\"gb\" x1=\"{}\" x2=\"{}\" y1=\"{y}\" y2=\"{y}\"/>",
            n(2.0 * half - x),
            n(x),
            y = n(y)
        );
    }
    // The outline: the bowl, its brim left open, and what it stands on.
    let (right, mut left) = (up(0.0, bowl.height, 1.0), up(0.0, bowl.height, -1.0));
    left.reverse();
    let _ = write!(
        parts,
        "<path class=\"go\" d=\"M{}L{}\"/>",
        left.join("L"),
        right.join("L")
    );
    parts.push_str(&stand(
        shape,
        bowl.radius(0.0),
        foot,
        (half, bottom),
        (base, stem),
    ));
    if shape.handle {
        let (upper, lower) = (wall(0.82 * bowl.height, 1.0), wall(0.25 * bowl.height, 1.0));
        let out = half + widest + handle;
        let _ = write!(
            parts,
            "<path class=\"go\" d=\"M{} {}C{out} {} {out} {} {} {}\"/>",
            n(upper.0),
            n(upper.1),
            n(upper.1),
            n(lower.1),
            n(lower.0),
            n(lower.1),
            out = n(out)
        );
    }
    let (x, y) = wall(level, 1.0);
    let _ = write!(
        parts,
        "<line class=\"gl\" x1=\"{}\" x2=\"{}\" y1=\"{y}\" y2=\"{y}\"/>",
        n(2.0 * half - x - OVERHANG),
        n(x + OVERHANG),
        y = n(y)
    );
    Some(Picture {
        width: (width * 10.0).round() / 10.0,
        height: (height * 10.0).round() / 10.0,
        parts,
        washline_y: y,
    })
}

/// What a bowl stands on: a stem with its foot, or a base of glass.
fn stand(
    shape: &Shape,
    flat: f64,
    foot: f64,
    (half, bottom): (f64, f64),
    (base, stem): (f64, f64),
) -> String {
    if shape.stem > 0.0 {
        let end = bottom + base + stem;
        format!(
            "<path class=\"go\" d=\"M{} {y0}L{} {y0}M{x} {y0}L{x} {end}M{} {end}L{} {end}\"/>",
            n(half - flat),
            n(half + flat),
            n(half - foot),
            n(half + foot),
            x = n(half),
            y0 = n(bottom),
            end = n(end)
        )
    } else {
        format!(
            "<path class=\"go\" d=\"M{l} {top}L{l} {end}L{r} {end}L{r} {top}M{l} {top}L{r} {top}\"/>",
            l = n(half - flat),
            r = n(half + flat),
            top = n(bottom),
            end = n(bottom + base)
        )
    }
}

/// Pieces of ice, from the bottom up to the level; a large piece by itself stands out of it.
fn ice(form: IceForm, bowl: &Bowl, half: f64, bottom: f64, level: f64) -> String {
    let widest = bowl.radius(level).max(1.0);
    let mut parts = String::new();
    let mut square = |x: f64, y: f64, side: f64, high: f64, round: f64| {
        let _ = write!(
            parts,
            "<rect class=\"gi\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\"/>",
            n(x),
            n(y),
            n(side),
            n(high),
            n(round)
        );
    };
    match form {
        IceForm::Sphere => {
            let r = (0.42 * level).min(0.75 * widest).max(4.0);
            square(half - r, bottom - 2.0 * r - 1.0, 2.0 * r, 2.0 * r, r);
        }
        IceForm::LargeCube | IceForm::Block => {
            let side = (1.15 * widest).min(0.95 * level).max(6.0);
            square(half - side / 2.0, bottom - side - 1.0, side, side, 2.0);
        }
        IceForm::Spear => {
            let side = 0.8 * widest;
            square(half - side / 2.0, bottom - 0.97 * level, side, 0.95 * level, 2.0);
        }
        _ => {
            let side = match form {
                IceForm::Crushed | IceForm::Pebble | IceForm::Shaved => 8.0,
                IceForm::Cracked => 14.0,
                _ => 21.0_f64.min(0.9 * widest),
            };
            let (step, mut high) = (side + 1.5, 1.0);
            while high + side <= level + 0.35 * side {
                let room = 2.0 * bowl.radius(high + side / 2.0) - 3.0;
                let count = (room / step).floor().clamp(0.0, 12.0);
                let mut x = half - count * step / 2.0 + 0.75;
                let mut left = count;
                while left >= 1.0 {
                    square(x, bottom - high - side, side, side, 1.5);
                    x += step;
                    left -= 1.0;
                }
                high += step;
            }
        }
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(name: &str, capacity_ml: f64, level: f64) -> Picture {
        picture(&Filled {
            name,
            capacity_ml,
            level,
            ..Filled::default()
        })
        .unwrap()
    }

    #[test]
    fn every_sort_of_glass_has_an_outline_of_its_own() {
        let mut seen = Vec::new();
        for glass in Glass::all() {
            let drawn = of(&glass.name, glass.capacity_ml, 0.7);
            assert!(drawn.width > 20.0 && drawn.height > 40.0, "{}", glass.name);
            assert!(!seen.contains(&drawn.parts), "{}", glass.name);
            seen.push(drawn.parts);
        }
        assert!(
            picture(&Filled {
                name: "shoe",
                capacity_ml: 200.0,
                ..Filled::default()
            })
            .is_none()
        );
    }

    #[test]
    fn a_bowl_holds_what_the_glass_holds_and_its_level_is_that_of_the_volume() {
        for shape in &SHAPES {
            let bowl = Bowl::of(shape.bowl, 200.0);
            let all = bowl.holds.last().unwrap();
            assert!((all - 200_000.0).abs() < 1.0, "{}: {all}", shape.name);
            assert!(bowl.level(0.0).abs() < 1e-9 && (bowl.level(1.0) - bowl.height).abs() < 1e-6);
            let levels: Vec<f64> = (0..=10).map(|i| bowl.level(f64::from(i) / 10.0)).collect();
            assert!(levels.windows(2).all(|w| w[0] < w[1]), "{}", shape.name);
            assert!(
                bowl.radii.iter().all(|r| r.is_finite() && *r > 0.0),
                "{}",
                shape.name
            );
        }
        // A cone is half full at the cube root of a half of its height.
        let cone = Bowl::of(&[(0.0, 1e-6), (50.0, 50.0)], 100.0);
        assert!((cone.level(0.5) / cone.height - 0.5_f64.cbrt()).abs() < 1e-3);
        let coupe = SHAPES.iter().find(|s| s.name == "coupe").unwrap();
        let coupe = Bowl::of(coupe.bowl, 180.0);
        assert!(coupe.level(0.5) > 0.55 * coupe.height);
    }
}
