//! Where the published drinks of a family lie, and how far out a drink may be before it is said to be.
//!
//! One joint distance a family: strength, sugar, acid and volume in their own units, each over the family's spread, with the
//! correlations between them (a third of the way to none, which a small family cannot tell). Its logarithm, as for a
//! Student distribution of 4 degrees of freedom: beyond a certain distance one drink is as odd as another. The volume
//! tells which of two pours is off, for a serve has a usual size; a serve of another size altogether (half, double, a jug)
//! is taken at the family's, so that only its proportions count.
//!
//! What is judged is how much nearer a drink would come if one fault in an amount were undone ([`super::Moves`]): a good
//! drink that is unusual all round gains little by that, and is left alone. On published drinks that were left out this tells
//! good from spoiled better than the distance alone (`washline ranges test` says how well).
//!
//! How large a gain is large is told by the published drinks themselves, each left out in turn with every drink of its name:
//! conformal prediction (Vovk, Gammerman and Shafer, Algorithmic Learning in a Random World, 2005, from memory). A drink is
//! outside where at most [`OUTSIDE_PCT`] of them gain as much, at the edge where at most [`EDGE_PCT`] do.

use nalgebra::{Matrix4, Vector4};

use super::moves::{Imbalance, Moves, Point};
use super::{BalanceFigure, Family, Side};

/// At most so many good drinks are said to be outside, %.
pub const OUTSIDE_PCT: f64 = 8.0;
/// At most so many are said to be outside or at the edge, %.
pub const EDGE_PCT: f64 = 28.0;
/// Fewer drinks than this borrow those of the families that pour alike.
pub const FEWEST: usize = 20;
/// Fewer than this say nothing: a flag at 8 % needs 12.
pub const FEWEST_AT_ALL: usize = 12;

/// What is added to a family's spread, in quadrature, so that none is taken to be known better than drinks are poured:
/// % vol, g/100 ml, g/100 ml, ml. Common practice, no source.
const FLOOR: Point = [0.5, 0.5, 0.05, 25.0];
/// A serve beyond these multiples of the family's median volume is one of another size. Common practice, no source.
const SIZES: (f64, f64) = (0.55, 1.8);
/// How far the correlations are drawn towards none.
const SHRINKAGE: f64 = 0.3;
/// As many drinks as this weigh the middle of those that pour alike. Common practice, no source.
const DRAWN: f64 = 3.0;
/// Degrees of freedom of the distance.
const FREEDOM: f64 = 4.0;

/// Where drinks lie.
#[derive(Clone, Debug, PartialEq)]
pub struct Shape {
    middle: Vector4<f64>,
    spread: Vector4<f64>,
    precision: Matrix4<f64>,
    usual_ml: f64,
}

impl Shape {
    /// Of the drinks of a family and, where it has too few, of those that pour alike: the spread within each family is
    /// common to them, the middle is the family's own, drawn a little towards that of all. `None` of fewer than five.
    #[must_use]
    pub fn of(family: Family, drinks: &[(Family, Point)]) -> Option<Shape> {
        if drinks.len() < 5 {
            return None;
        }
        let mut of_family: Vec<(Family, f64, Vector4<f64>)> = Vec::new();
        let mut all = Vector4::zeros();
        for (of, point) in drinks {
            let point = Vector4::from(*point);
            all += point;
            match of_family.iter_mut().find(|(f, ..)| f == of) {
                Some((_, n, sum)) => {
                    *n += 1.0;
                    *sum += point;
                }
                None => of_family.push((*of, 1.0, point)),
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
        let (total, families) = (drinks.len() as f64, of_family.len() as f64);
        let middle_of = |wanted: Family| {
            let known = of_family.iter().find(|(f, ..)| *f == wanted);
            known.map_or(Vector4::zeros(), |(_, n, sum)| sum / *n)
        };
        let mut covariance = Matrix4::zeros();
        for (of, point) in drinks {
            let off = Vector4::from(*point) - middle_of(*of);
            covariance += off * off.transpose();
        }
        covariance /= (total - families).max(1.0);
        let own = of_family.iter().find(|(f, ..)| *f == family);
        let middle = if families < 2.0 {
            all / total
        } else {
            let (n, sum) = own.map_or((0.0, Vector4::zeros()), |(_, n, sum)| (*n, *sum));
            (sum + DRAWN * (all / total)) / (n + DRAWN)
        };
        let spread = Vector4::from_fn(|i, _| (covariance[(i, i)] + FLOOR[i] * FLOOR[i]).sqrt());
        let correlation = Matrix4::from_fn(|i, j| {
            if i == j {
                1.0
            } else {
                (1.0 - SHRINKAGE) * covariance[(i, j)] / (spread[i] * spread[j])
            }
        });
        Some(Shape {
            middle,
            spread,
            precision: correlation.try_inverse()?,
            usual_ml: {
                let mut volumes: Vec<f64> = drinks
                    .iter()
                    .filter(|(f, _)| *f == family)
                    .map(|(_, p)| p[3])
                    .collect();
                if volumes.len() < 5 {
                    volumes = drinks.iter().map(|(_, p)| p[3]).collect();
                }
                volumes.sort_by(f64::total_cmp);
                super::spans::quantile(&volumes, 0.5)
            },
        })
    }

    /// What a drink's volumes are multiplied by to be of the family's size: 1 but for a serve of another size.
    fn size(&self, at: &Point) -> f64 {
        let times = at[3] / self.usual_ml;
        if (SIZES.0..=SIZES.1).contains(&times) || times <= 0.0 {
            1.0
        } else {
            self.middle[3] / at[3]
        }
    }

    /// How far out a point is, its volume taken so many times.
    fn distance(&self, point: &Point, size: f64) -> f64 {
        let point = Vector4::new(point[0], point[1], point[2], point[3] * size);
        let z = (point - self.middle).component_div(&self.spread);
        FREEDOM * libm::log1p((z.dot(&(self.precision * z))).max(0.0) / FREEDOM)
    }

    /// How much nearer a drink comes for each fault that is undone, the largest first; only what brings it nearer.
    #[must_use]
    pub fn gains(&self, moves: &Moves) -> Vec<(Imbalance, f64)> {
        let size = self.size(&moves.at);
        let here = self.distance(&moves.at, size);
        let mut gains: Vec<(Imbalance, f64)> = Vec::with_capacity(6);
        for (fault, point) in &moves.undone {
            let gain = here - self.distance(point, size);
            match gains.iter_mut().find(|(known, _)| known == fault) {
                Some((_, most)) => *most = most.max(gain),
                None => gains.push((*fault, gain)),
            }
        }
        gains.retain(|(_, gain)| *gain > 0.0);
        gains.sort_by(|a, b| b.1.total_cmp(&a.1));
        gains
    }

    /// The gain of one fault.
    #[must_use]
    pub(super) fn gain(&self, moves: &Moves, wanted: Imbalance) -> f64 {
        let size = self.size(&moves.at);
        let here = self.distance(&moves.at, size);
        let of = moves.undone.iter().filter(|(fault, _)| *fault == wanted);
        of.map(|(_, point)| here - self.distance(point, size))
            .fold(0.0, f64::max)
    }

    /// The most that any fault gains.
    #[must_use]
    pub fn most(&self, moves: &Moves) -> f64 {
        self.gains(moves).first().map_or(0.0, |(_, gain)| *gain)
    }
}

/// A family as its published drinks have it.
#[derive(Clone, Debug, PartialEq)]
pub struct Region {
    /// Whose.
    pub family: Family,
    /// The families whose drinks stand behind it: itself, or those that pour alike as well.
    pub from: Vec<Family>,
    /// How many drinks.
    pub count: usize,
    /// Where they lie.
    pub shape: Shape,
    /// What each of them gains when left out, the least first.
    pub left_out: Vec<f64>,
    /// Between what the middle nine tenths of them lie in strength, sweetness and tartness.
    pub seen: [(f64, f64); 3],
    /// Between what the middle half of them lie.
    pub half: [(f64, f64); 3],
    /// What they are in strength, sweetness and tartness, each sorted.
    pub values: [Vec<f64>; 3],
}

impl Region {
    /// The gain above which a drink is off at a rate, %: the conformal quantile. Infinite where too few drinks tell.
    #[must_use]
    pub fn limit(&self, rate_pct: f64) -> f64 {
        limit(&self.left_out, rate_pct)
    }

    /// The share of the published drinks that have less of a measure, %.
    #[must_use]
    pub fn percentile(&self, measure: BalanceFigure, value: f64) -> f64 {
        share_below_pct(&self.values[measure as usize], value)
    }

    /// The share of the published drinks that gain less, %.
    #[must_use]
    pub fn further_out_pct(&self, gain: f64) -> f64 {
        share_below_pct(&self.left_out, gain)
    }
}

/// The share of sorted values below one, %; those equal to it count half.
pub(super) fn share_below_pct(sorted: &[f64], value: f64) -> f64 {
    let below = sorted.partition_point(|v| *v < value);
    let equal = sorted.partition_point(|v| *v <= value) - below;
    #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
    let share = (below as f64 + 0.5 * equal as f64) / sorted.len().max(1) as f64;
    100.0 * share
}

/// The conformal quantile of sorted scores: the k-th, k = (1 - rate)(n + 1) rounded up.
pub(super) fn limit(sorted: &[f64], rate_pct: f64) -> f64 {
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a count of drinks"
    )]
    let rank = ((1.0 - rate_pct / 100.0) * (sorted.len() as f64 + 1.0)).ceil() as usize;
    sorted
        .get(rank.saturating_sub(1))
        .copied()
        .unwrap_or(f64::INFINITY)
}

/// A fault in the words of the bar: too sweet, dry, tart, flat, thin, hot.
#[must_use]
pub fn word(measure: BalanceFigure, side: Side) -> &'static str {
    match (measure, side) {
        (BalanceFigure::Strength, Side::Below) => "thin",
        (BalanceFigure::Strength, Side::Above) => "hot",
        (BalanceFigure::Sweetness, Side::Below) => "dry",
        (BalanceFigure::Sweetness, Side::Above) => "sweet",
        (BalanceFigure::Tartness, Side::Below) => "flat",
        (BalanceFigure::Tartness, Side::Above) => "tart",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_limit_is_the_conformal_quantile() {
        let scores: Vec<f64> = (1..=12).map(f64::from).collect();
        // A flag at 8 % needs twelve drinks: with eleven nothing is ever outside.
        assert!((limit(&scores, 8.0) - 12.0).abs() < 1e-12);
        assert!(limit(&scores[..10], 8.0).is_infinite());
        assert!((limit(&scores, 30.0) - 10.0).abs() < 1e-12);
    }

    #[test]
    fn the_middle_is_nearest() {
        let points: Vec<(Family, Point)> = (0..40)
            .map(|i| {
                let x = f64::from(i % 7);
                let point = [
                    18.0 + x,
                    7.0 + f64::from(i % 5) * 0.4,
                    0.8 + f64::from(i % 3) * 0.05,
                    150.0,
                ];
                (Family::Sour, point)
            })
            .collect();
        let shape = Shape::of(Family::Sour, &points).unwrap();
        let middle: Point = shape.middle.into();
        assert!(shape.distance(&middle, 1.0).abs() < 1e-9);
        let mut last = 0.0;
        for far in 1..10 {
            let d = shape.distance(
                &[middle[0], middle[1] + f64::from(far), middle[2], middle[3]],
                1.0,
            );
            assert!(d > last);
            last = d;
        }
    }
}
