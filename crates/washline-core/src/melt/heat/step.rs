//! The step in time.
//!
//! ROS2, a Rosenbrock method of second order (Verwer et al., 1999): it solves a linear system instead
//! of iterating, and is L-stable, so that thin ice and small vessels, which follow within a
//! hundredth of a second, do not force such steps. The first stage alone is of first order; the
//! difference tells how long the next step may be.

use nalgebra::{Matrix4, Vector4};

use super::bath::{Bath, Seen, State};

/// 1 − 1/√2.
const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// What the first stage of a step may be off by, as a share of the drink's mass; of heat, that much melting. Both stages
/// are far closer: 0.01 g and 0.005 K over a whole shake (a test below).
pub(super) const FINE: f64 = 5e-4;
/// The same where only a difference between two runs is wanted, or an answer in a hurry.
pub(super) const COARSE: f64 = 5e-3;

/// Ice of less than this share of the drink's mass has melted.
const CRUMB: f64 = 1e-4;

/// A shake takes about forty steps, an evening on the table a hundred.
const MOST_TRIES: u32 = 50_000;

/// A run through time.
#[derive(Clone)]
pub(super) struct Run<'a> {
    bath: &'a Bath,
    tolerance: f64,
    /// What each part of the state is measured by.
    scale: State,
    step_s: f64,
    drink_c: f64,
    pub state: State,
    pub seconds: f64,
}

impl<'a> Run<'a> {
    pub fn new(bath: &'a Bath, drink_c: f64, tolerance: f64) -> Run<'a> {
        let joules = 300.0 * bath.scale_g;
        Run {
            bath,
            tolerance,
            scale: [bath.scale_g, joules, joules, joules],
            step_s: 0.05,
            drink_c,
            state: bath.start,
            seconds: 0.0,
        }
    }

    pub fn seen(&self) -> Seen {
        self.bath.seen(&self.state, self.drink_c)
    }

    /// On to `until` seconds.
    pub fn to(&mut self, until: f64) {
        let span = until - self.seconds;
        if span.is_nan() || span <= 0.0 {
            return;
        }
        let mut tries = 0;
        while self.seconds < until {
            tries += 1;
            // No drink needs so many: whatever it is, the run must end.
            let shortest = if tries < MOST_TRIES { 1e-7 } else { 1e-3 * span };
            let left = until - self.seconds;
            let step = self.step_s.clamp(shortest, left.max(shortest));
            let before = self.state[0];
            let (next, mut error, drink_c) = self.tried(step);
            self.drink_c = drink_c;
            // Thin ice goes in steps that each leave some of it, until it is a crumb; the last water likewise.
            let water = |ice: f64| self.bath.all_water_g - ice;
            let last = self.bath.last_water_g();
            if next[0] < 0.2 * before && before > CRUMB * self.scale[0]
                || water(next[0]) < 0.2 * water(before).min(last)
            {
                error = error.max(2.0);
            }
            let fine = error <= 1.0 || step <= shortest;
            if fine {
                self.seconds = if step >= left { until } else { self.seconds + step };
                self.state = next;
                // No more freezes than there is.
                self.state[0] = next[0].min(self.bath.all_water_g);
                if next[0] <= CRUMB * self.scale[0] && next[0] <= before {
                    self.state = self.bath.without_ice(&next);
                }
            }
            // The error grows with the square of the step.
            let factor = (0.85 / error.max(1e-8).sqrt()).clamp(0.2, 5.0);
            // A step cut short by the end tells little about the next.
            if !fine || step < left || factor < 1.0 {
                self.step_s = step * factor;
            }
        }
    }

    /// The state after one step, its error over what it may be, and the drink's temperature before it.
    fn tried(&self, step: f64) -> (State, f64, f64) {
        let y = self.state;
        let makeup = self.bath.makeup(y[0]);
        let drink_c = self.bath.drink_c(&makeup, &y, self.drink_c);
        let f = self.bath.rates(&makeup, &y, drink_c);
        // Columns of the Jacobian by differences: the method keeps its order whatever they are.
        let mut matrix = Matrix4::identity();
        let per_joule = 1.0 / makeup.heats.capacity_j_per_k(drink_c).max(f64::MIN_POSITIVE);
        for (column, scale) in self.scale.iter().enumerate() {
            let mut moved = y;
            // More ice, by no more than a little of what there is.
            let nudge = match column {
                0 => (1e-5 * scale).min(1e-3 * y[0]),
                _ => 1e-5 * scale,
            };
            if nudge <= 0.0 {
                continue;
            }
            moved[column] += nudge;
            let g = match column {
                0 => {
                    let icier = self.bath.makeup(moved[0]);
                    let c = self.bath.drink_c(&icier, &moved, drink_c);
                    self.bath.rates(&icier, &moved, c)
                }
                // What ice and vessel have more, the drink has less; what comes from outside, it has.
                1 | 2 => self.bath.rates(&makeup, &moved, drink_c - nudge * per_joule),
                _ => self.bath.rates(&makeup, &moved, drink_c + nudge * per_joule),
            };
            for row in 0..4 {
                matrix[(row, column)] -= GAMMA * step * (g[row] - f[row]) / nudge;
            }
        }
        let system = matrix.lu();
        let solved = |b: State| system.solve(&Vector4::from(b));
        let nowhere = (y, f64::MAX, drink_c);
        let Some(k1) = solved(f) else { return nowhere };
        let mut ahead: State = std::array::from_fn(|i| y[i] + step * k1[i]);
        if ahead[0] < 0.0 {
            ahead = self.bath.without_ice(&ahead);
        }
        let then = self.bath.makeup(ahead[0]);
        let f2 = self
            .bath
            .rates(&then, &ahead, self.bath.drink_c(&then, &ahead, drink_c));
        let Some(k2) = solved(std::array::from_fn(|i| f2[i] - 2.0 * k1[i])) else {
            return nowhere;
        };
        let next: State = std::array::from_fn(|i| y[i] + step * (1.5 * k1[i] + 0.5 * k2[i]));
        let mut scale = self.scale;
        // The heat of a little ice is little, and tells its temperature.
        scale[1] *= (y[0] / scale[0]).clamp(1e-4, 1.0);
        let error = (0..4)
            .map(|i| (0.5 * step * (k1[i] + k2[i])).abs() / (self.tolerance * scale[i]))
            .fold(0.0, f64::max);
        if error.is_finite() && next.iter().all(|v| v.is_finite()) {
            (next, error, drink_c)
        } else {
            nowhere
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::liquid::{Component, Liquid};
    use crate::melt::heat::{Conditions, Ice, Method};

    /// Against steps a hundred times shorter.
    #[test]
    fn the_step_is_fine_enough() {
        let liquid = Liquid::litre(25.0, &[(Component::Sucrose, 100.0), (Component::Citric, 13.0)])
            .unwrap()
            .of_volume(105.0)
            .unwrap();
        for method in [
            Method::SHAKE,
            Method::STIR,
            Method::WHIP_SHAKE,
            Method::BLEND,
            Method::STAND,
        ] {
            for ice in [
                Ice::handbook(),
                Ice::from_the_freezer(120.0, 6.0),
                Ice::wet(25.0, 8.0),
                Ice::cubes(5.0, 30.0),
            ] {
                let conditions = Conditions {
                    ice,
                    ..Conditions::default()
                };
                let bath = Bath::new(&liquid, &method, &conditions);
                let with = |tolerance: f64| {
                    let mut run = Run::new(&bath, conditions.drink_c, tolerance);
                    run.to(method.seconds);
                    run.seen()
                };
                let (fine, finest) = (with(FINE), with(1e-4 * FINE));
                assert!((fine.water_g - finest.water_g).abs() < 0.03, "{method:?} {ice:?}");
                assert!((fine.drink_c - finest.drink_c).abs() < 0.01, "{method:?} {ice:?}");
            }
        }
    }
}
