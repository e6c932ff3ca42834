//! The smallest change were there no jigger: bounded, constrained least squares on the linearised model, made
//! linear again around each solution until it stays where it is.
//!
//! The objective is exactly ‖u‖², u being each change over its pour (or 5 ml); the limits are linear but for the
//! melt and the shrinkage of alcohol in water, so a few turns bring it to the optimum of the true model.

use std::cmp::Ordering;

use super::candidate::Around;
use super::least_change::{Row, least_change};
use super::problem::Problem;
use super::subject::Origin;

/// What a limit is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Limit {
    /// The target of that place, at its lower or upper end.
    Target(usize),
    Glass,
    Serve,
    /// How far one pour may go.
    Pour(usize),
    /// Less than nothing cannot be added.
    Nothing,
}

/// The optimum of the continuous problem.
#[derive(Clone, Debug)]
pub(super) struct Solution {
    /// Units of every adjustable pour.
    pub units: Vec<f64>,
    /// The objective: Σ (Δ / max(pour, 5 ml))².
    pub objective: f64,
    /// Whether every limit is kept.
    pub met: bool,
    /// The limits that press: without them there would be a smaller change.
    pub pressing: Vec<Limit>,
}

/// Turns after which it is left as it is: three or four are usual.
const MOST_TURNS: usize = 60;
/// A change smaller than this is none, as a share of its pour.
const STILL: f64 = 1e-10;
/// What is left of a move when the limits contradict each other.
const ROUGHLY: f64 = 1e-3;
/// How far a limit may be off by rounding, in half-widths of a target or centilitres.
const SLACK: f64 = 1e-6;
/// An open pour may go anywhere for next to nothing.
const OPEN_SCALE: f64 = 1e3;

/// Solve for some of the adjustable pours; the others stay as they are.
pub(super) fn solve(problem: &mut Problem<'_>, free: &[usize]) -> Solution {
    let scales: Vec<f64> = free
        .iter()
        .map(|&which| {
            let a = &problem.adjustables[which];
            match a.origin {
                Origin::Open => OPEN_SCALE * a.scale(),
                _ => a.scale(),
            }
        })
        .collect();
    let start: Vec<f64> = free
        .iter()
        .map(|&which| problem.adjustables[which].start)
        .collect();
    let bounds: Vec<(f64, f64)> = free
        .iter()
        .zip(&scales)
        .zip(&start)
        .map(|((&which, scale), start)| {
            let amounts = &problem.adjustables[which].amounts;
            let end = |a: Option<&crate::measure::Amount>| a.map_or(*start, |a| a.to_f64());
            (
                (end(amounts.first()) - start) / scale,
                (end(amounts.last()) - start) / scale,
            )
        })
        .collect();
    let mut u = vec![0.0; free.len()];
    let mut pressing = Vec::new();
    let mut step = 1.0;
    let mut last_move = f64::INFINITY;
    for turn in 0..MOST_TURNS {
        let (limits, rows) = linearised(problem, free, &scales, &start, &bounds, &u);
        let Some((next, presses)) = least_change(free.len(), &rows) else {
            break;
        };
        let moved = next
            .iter()
            .zip(&u)
            .map(|(a, b)| (a - b).abs())
            .max_by(f64::total_cmp)
            .unwrap_or(0.0);
        let slows = moved < 0.5 * last_move;
        last_move = moved;
        // Limits that contradict each other are paid for, and the price costs the last digits.
        let rests = moved < STILL || (turn > 3 && !slows && moved < ROUGHLY);
        // Where the model bends so much that it swings to and fro, shorter steps bring it to rest.
        if turn > 10 && !slows {
            step *= 0.5;
        }
        for ((u, next), (low, high)) in u.iter_mut().zip(next.iter()).zip(&bounds) {
            *u = (*u + step * (next - *u)).clamp(*low, *high);
        }
        let hardest = presses.iter().copied().fold(0.0, f64::max);
        pressing = limits
            .iter()
            .zip(&presses)
            .filter(|(_, p)| **p > 1e-6 * hardest && **p > 1e-9)
            .map(|(l, _)| *l)
            .collect();
        if rests {
            break;
        }
    }
    pressing.dedup();
    let mut units: Vec<f64> = problem.adjustables.iter().map(|a| a.start).collect();
    for ((&which, u), (scale, start)) in free.iter().zip(&u).zip(scales.iter().zip(&start)) {
        units[which] = start + u * scale;
    }
    let objective = units
        .iter()
        .zip(&problem.adjustables)
        .map(|(units, a)| a.cost(*units))
        .sum();
    problem.set_all(&units);
    let around = problem.trial.around();
    let met = values(problem, &units, &around)
        .iter()
        .all(|(_, value)| *value > -SLACK);
    problem.set_back();
    Solution {
        units,
        objective,
        met,
        pressing,
    }
}

/// Every limit on the drink as a value that must not be negative, scaled so that 1 is a half-width of its target
/// or a centilitre.
fn values(problem: &mut Problem<'_>, units: &[f64], around: &Around) -> Vec<(Limit, f64)> {
    problem.set_all(units);
    let outcome = problem.trial.close_to(around);
    let mut values = Vec::with_capacity(9);
    for (i, target) in problem.targets.iter().enumerate() {
        let value = outcome.figures.measured(target.measure).value.unwrap_or(0.0);
        let (low, high) = target.edges();
        let width = target.half_width();
        if low.total_cmp(&0.0) == Ordering::Greater {
            values.push((Limit::Target(i), (value - low) / width));
        }
        values.push((Limit::Target(i), (high - value) / width));
    }
    if let Some(glass) = &problem.glass {
        values.push((Limit::Glass, (glass.holds_ml - outcome.volume_ml) / 10.0));
    }
    let change: f64 = units
        .iter()
        .enumerate()
        .map(|(which, units)| (units - problem.adjustables[which].start) * problem.serve_ml_each(which))
        .sum();
    let (low, high) = problem.serve_change_ml;
    values.push((Limit::Serve, (change - low) / 10.0));
    values.push((Limit::Serve, (high - change) / 10.0));
    values
}

/// Every limit as a row linear in u, around `u`.
fn linearised(
    problem: &mut Problem<'_>,
    free: &[usize],
    scales: &[f64],
    start: &[f64],
    bounds: &[(f64, f64)],
    u: &[f64],
) -> (Vec<Limit>, Vec<Row>) {
    let mut units: Vec<f64> = problem.adjustables.iter().map(|a| a.start).collect();
    for (i, &which) in free.iter().enumerate() {
        units[which] = start[i] + u[i] * scales[i];
    }
    let around = {
        problem.set_all(&units);
        problem.trial.around()
    };
    let here = values(problem, &units, &around);
    let mut slopes = vec![vec![0.0; free.len()]; here.len()];
    for (i, &which) in free.iter().enumerate() {
        let at = units[which];
        // A ten-thousandth of a pour, in both directions where there is something to take away.
        let by = 1e-4 * problem.adjustables[which].scale();
        let (below, above) = ((at - by).max(0.0), at + by);
        units[which] = above;
        let more = values(problem, &units, &around);
        units[which] = below;
        let less = values(problem, &units, &around);
        units[which] = at;
        for (slope, (more, less)) in slopes.iter_mut().zip(more.iter().zip(&less)) {
            slope[i] = (more.1 - less.1) / (above - below) * scales[i];
        }
    }
    let (mut limits, mut rows) = (Vec::new(), Vec::new());
    for ((limit, value), slope) in here.into_iter().zip(slopes) {
        let already: f64 = slope.iter().zip(u).map(|(s, u)| s * u).sum();
        limits.push(limit);
        rows.push(Row {
            least: already - value,
            row: slope,
            soft: true,
        });
    }
    for (i, &which) in free.iter().enumerate() {
        for (sign, end) in [(1.0, bounds[i].0), (-1.0, bounds[i].1)] {
            let mut row = vec![0.0; free.len()];
            row[i] = sign;
            let nothing =
                sign > 0.0 && matches!(problem.adjustables[which].origin, Origin::Added | Origin::Open);
            limits.push(if nothing {
                Limit::Nothing
            } else {
                Limit::Pour(which)
            });
            rows.push(Row {
                row,
                least: sign * end,
                soft: false,
            });
        }
    }
    (limits, rows)
}
