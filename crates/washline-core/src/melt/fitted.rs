//! The house's own melt: the rates of its hands and the wetness of its ice, fitted to drinks it has weighed
//! before and after ice.
//!
//! Non-linear least squares (Gauss-Newton with Levenberg's damping, nalgebra) of the heat balance to the water
//! gained and, where it was read, the temperature. The covariance is that of the linearised problem, scaled by
//! what the residuals themselves show (JCGM 100:2008, H.3, does the same for a straight line); 95 % intervals take
//! Student's factor. A fit that the data cannot carry is refused, with the reason.

use nalgebra::{DMatrix, DVector};
use serde::{Deserialize, Serialize};
use statrs::distribution::{ContinuousCDF, StudentsT};

use super::handbook;
use super::heat::{Conditions, FILM_UM, Method, reached};
use crate::liquid::Liquid;
use crate::spec::Technique;

/// A drink weighed before and after ice, with what it met.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighing {
    /// Its name, for the reader.
    pub name: String,
    /// What went to the ice.
    pub mix: Liquid,
    /// Ice, tin and room.
    pub conditions: Conditions,
    /// For how long it was worked, s.
    pub seconds: f64,
    /// Water gained over the mass before ice.
    pub share_of_mass: f64,
    /// Temperature read, °C.
    pub temperature_c: Option<f64>,
}

/// What is expected of one weighing, in its own unit: as the share of the mass, and in °C. Both are from memory, and
/// only weigh water against temperature: the fit scales them by what it finds.
const SHARE_SPREAD: f64 = 0.02;
const TEMPERATURE_SPREAD_C: f64 = 0.7;

/// Fewest weighings of a technique that a fit is made of.
pub const FEWEST: usize = 6;
/// Least span of strength before ice, % vol, over which they have to lie.
pub const LEAST_SPAN_PCT: f64 = 6.0;
/// A weighing whose studentised residual is beyond this is named an outlier.
const OUTLIER: f64 = 2.5;
/// 95 % half-width beyond which a parameter is not known at all: a factor of three of the rate, 150 µm of water.
const UNKNOWN: [f64; 2] = [1.1, 150.0];

/// One fitted parameter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Parameter {
    /// Its name.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// Its value.
    pub value: f64,
    /// Its 95 % interval.
    pub low: f64,
    /// See [`Parameter::low`].
    pub high: f64,
    /// Whether it was held at the program's own value, since the weighings cannot tell it.
    pub held: bool,
}

/// What one weighing leaves over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Residual {
    /// The drink.
    pub name: String,
    /// Strength before ice, % vol.
    pub strength_pct: f64,
    /// Water measured, % of the mass before ice.
    pub measured_pct: f64,
    /// Water by the fit, % of the mass.
    pub fitted_pct: f64,
    /// Water by the fit made without this weighing, % of the mass.
    pub left_out_pct: f64,
    /// Water by the handbook's curve, % of the mass.
    pub handbook_pct: f64,
    /// Whether it lies so far off that it wants looking at.
    pub outlier: bool,
}

/// A house's melt for one technique.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeltFit {
    /// The technique.
    pub technique: Technique,
    /// Rate to the ice, W/(m² K), and water on the ice, µm; in this order.
    pub parameters: [Parameter; 2],
    /// Covariance of the logarithm of the rate and of the water on the ice, by rows; zero of what was held.
    pub covariance: [[f64; 2]; 2],
    /// Standard deviation of one drink about the fit, share of the mass.
    pub scatter_share: f64,
    /// The same of its temperature, °C.
    pub scatter_c: f64,
    /// How many weighings it stands on.
    pub count: usize,
    /// Root mean square of the water left over when each weighing is left out in turn, % of the mass.
    pub left_out_rms_pct: f64,
    /// The same of the handbook's curve, % of the mass.
    pub handbook_rms_pct: f64,
    /// Every weighing against the fit.
    pub residuals: Vec<Residual>,
}

/// Why there is no fit.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Refusal {
    /// Too few weighings.
    #[error("{count} of them; a fit needs {FEWEST} or more")]
    TooFew {
        /// How many there are.
        count: usize,
    },
    /// They do not span enough strength.
    #[error(
        "they lie between {low:.1} and {high:.1} % vol before ice; a fit needs a span of {LEAST_SPAN_PCT} or more: weigh a weaker or a stronger drink"
    )]
    NoSpan {
        /// Weakest, % vol.
        low: f64,
        /// Strongest, % vol.
        high: f64,
    },
    /// They contradict the physics or each other.
    #[error("no rate and wetness of the ice explain them: check the weighings and the ice set for the house")]
    NoFit,
}

/// Both unknowns: the logarithm of the rate over the program's own, and the water on the ice, µm.
type Unknowns = [f64; 2];

fn predicted(weighing: &Weighing, technique: Technique, unknowns: Unknowns) -> Option<(f64, f64)> {
    let method = Method::of(technique)?;
    let point = reached(
        &weighing.mix,
        &at(&method, unknowns[0]),
        &wet(&weighing.conditions, unknowns[1]),
        weighing.seconds,
    )
    .ok()?;
    Some((point.water_g / weighing.mix.mass_g(), point.temperature_c))
}

fn at(method: &Method, log_rate: f64) -> Method {
    Method {
        ice_w_per_m2_k: method.ice_w_per_m2_k * log_rate.exp(),
        ..*method
    }
}

/// Ice at 0 °C as wet as that; colder ice is dry.
fn wet(conditions: &Conditions, film_um: f64) -> Conditions {
    let mut conditions = *conditions;
    if conditions.ice.temperature_c >= 0.0 {
        conditions.ice.film_um = film_um.max(0.0);
    }
    conditions
}

/// Every residual over its expected spread: water of each weighing, then the temperatures that were read.
fn misfit(weighings: &[Weighing], technique: Technique, unknowns: Unknowns) -> Option<DVector<f64>> {
    let mut water = Vec::with_capacity(2 * weighings.len());
    let mut degrees = Vec::new();
    for weighing in weighings {
        let (share, celsius) = predicted(weighing, technique, unknowns)?;
        water.push((weighing.share_of_mass - share) / SHARE_SPREAD);
        degrees.extend(
            weighing
                .temperature_c
                .map(|read| (read - celsius) / TEMPERATURE_SPREAD_C),
        );
    }
    water.extend(degrees);
    let vector = DVector::from_vec(water);
    vector.iter().all(|r| r.is_finite()).then_some(vector)
}

/// Steps of the numerical derivatives.
const STEPS: Unknowns = [1e-3, 0.1];

fn jacobian(
    weighings: &[Weighing],
    technique: Technique,
    x: Unknowns,
    free: &[usize],
) -> Option<DMatrix<f64>> {
    let columns = free
        .iter()
        .map(|&k| {
            let (mut up, mut down) = (x, x);
            up[k] += STEPS[k];
            down[k] -= STEPS[k];
            let (up, down) = (
                misfit(weighings, technique, up)?,
                misfit(weighings, technique, down)?,
            );
            Some((up - down) / (2.0 * STEPS[k]))
        })
        .collect::<Option<Vec<_>>>()?;
    Some(DMatrix::from_columns(&columns))
}

/// The least squares over the free unknowns; where they end, and the sum of squares.
fn least_squares(weighings: &[Weighing], technique: Technique, free: &[usize]) -> Option<(Unknowns, f64)> {
    let mut x: Unknowns = [0.0, FILM_UM];
    let mut residual = misfit(weighings, technique, x)?;
    let mut sum = residual.norm_squared();
    let mut damping = 1e-3;
    for _ in 0..60 {
        let slopes = jacobian(weighings, technique, x, free)?;
        let normal = slopes.transpose() * &slopes;
        let downhill = slopes.transpose() * &residual;
        let mut damped = normal.clone();
        for k in 0..free.len() {
            damped[(k, k)] *= 1.0 + damping;
        }
        let Some(step) = damped.cholesky().map(|c| c.solve(&downhill)) else {
            damping *= 10.0;
            continue;
        };
        let mut next = x;
        for (k, &which) in free.iter().enumerate() {
            next[which] -= step[k];
        }
        next[0] = next[0].clamp(-3.0, 3.0);
        next[1] = next[1].clamp(0.0, 1000.0);
        let tried = misfit(weighings, technique, next)?;
        let (gain, moved) = (
            sum - tried.norm_squared(),
            (next[0] - x[0]).abs() + (next[1] - x[1]).abs() / 50.0,
        );
        if gain >= 0.0 {
            (x, residual, sum) = (next, tried, sum - gain);
            damping = (damping * 0.3).max(1e-9);
            if moved < 1e-7 || gain <= 1e-10 * sum {
                break;
            }
        } else {
            damping *= 10.0;
            if damping > 1e9 {
                break;
            }
        }
    }
    Some((x, sum))
}

/// Fit the melt of a technique to weighings.
///
/// # Errors
/// Why the data cannot carry a fit.
pub fn fit(technique: Technique, weighings: &[Weighing]) -> Result<MeltFit, Refusal> {
    let count = weighings.len();
    if count < FEWEST {
        return Err(Refusal::TooFew { count });
    }
    let strengths: Vec<f64> = weighings.iter().map(|w| w.mix.abv_pct().unwrap_or(0.0)).collect();
    let (low, high) = strengths
        .iter()
        .fold((f64::MAX, f64::MIN), |(l, h), s| (l.min(*s), h.max(*s)));
    if high - low < LEAST_SPAN_PCT {
        return Err(Refusal::NoSpan { low, high });
    }
    let both = solved(technique, weighings, &strengths, &[0, 1]);
    // A shake near its end does not tell how fast it got there: then only the wetness is fitted.
    let known = |fit: &MeltFit, k: usize| {
        let half = match k {
            0 => 0.5 * (fit.parameters[0].high / fit.parameters[0].low).ln(),
            _ => 0.5 * (fit.parameters[1].high - fit.parameters[1].low),
        };
        half.is_finite() && half < UNKNOWN[k]
    };
    match both {
        Some(fit) if known(&fit, 0) && known(&fit, 1) => Ok(fit),
        _ => solved(technique, weighings, &strengths, &[1])
            .filter(|fit| known(fit, 1))
            .ok_or(Refusal::NoFit),
    }
}

fn solved(
    technique: Technique,
    weighings: &[Weighing],
    strengths: &[f64],
    free: &[usize],
) -> Option<MeltFit> {
    let (x, sum) = least_squares(weighings, technique, free)?;
    let slopes = jacobian(weighings, technique, x, free)?;
    let residual = misfit(weighings, technique, x)?;
    let observations = residual.len();
    let freedom = observations.checked_sub(free.len()).filter(|f| *f > 0)?;
    let inverse = (slopes.transpose() * &slopes).try_inverse()?;
    let variance = sum / freedom as f64;
    let mut covariance = [[0.0; 2]; 2];
    for (i, &a) in free.iter().enumerate() {
        for (j, &b) in free.iter().enumerate() {
            covariance[a][b] = variance * inverse[(i, j)];
        }
    }
    let factor = student_95(freedom);
    let half = |k: usize| factor * covariance[k][k].max(0.0).sqrt();
    let rate = Method::of(technique)?.ice_w_per_m2_k;
    let parameters = [
        Parameter {
            name: "rate to the ice".to_owned(),
            unit: "W/(m² K)".to_owned(),
            value: rate * x[0].exp(),
            low: rate * (x[0] - half(0)).exp(),
            high: rate * (x[0] + half(0)).exp(),
            held: !free.contains(&0),
        },
        Parameter {
            name: "water on the ice".to_owned(),
            unit: "µm".to_owned(),
            value: x[1],
            low: (x[1] - half(1)).max(0.0),
            high: x[1] + half(1),
            held: !free.contains(&1),
        },
    ];
    let mut residuals = Vec::with_capacity(weighings.len());
    let (mut left_out, mut by_book) = (0.0, 0.0);
    for (i, (weighing, strength_pct)) in weighings.iter().zip(strengths).enumerate() {
        let row = slopes.row(i);
        let leverage = (row * &inverse * row.transpose())[(0, 0)].clamp(0.0, 0.999);
        let off = residual[i] * SHARE_SPREAD;
        let studentised = residual[i] / (variance * (1.0 - leverage)).sqrt();
        let curve = handbook(technique, &weighing.mix)?;
        let curve_share = super::water_g(curve.share * weighing.mix.volume_ml()) / weighing.mix.mass_g();
        let without = weighing.share_of_mass - off / (1.0 - leverage);
        left_out += (weighing.share_of_mass - without).powi(2);
        by_book += (weighing.share_of_mass - curve_share).powi(2);
        residuals.push(Residual {
            name: weighing.name.clone(),
            strength_pct: *strength_pct,
            measured_pct: 100.0 * weighing.share_of_mass,
            fitted_pct: 100.0 * (weighing.share_of_mass - off),
            left_out_pct: 100.0 * without,
            handbook_pct: 100.0 * curve_share,
            outlier: studentised.abs() > OUTLIER,
        });
    }
    let n = weighings.len() as f64;
    let finite = parameters
        .iter()
        .all(|p| p.value.is_finite() && p.high.is_finite());
    finite.then_some(MeltFit {
        technique,
        parameters,
        covariance,
        scatter_share: SHARE_SPREAD * variance.sqrt(),
        scatter_c: TEMPERATURE_SPREAD_C * variance.sqrt(),
        count: weighings.len(),
        left_out_rms_pct: 100.0 * (left_out / n).sqrt(),
        handbook_rms_pct: 100.0 * (by_book / n).sqrt(),
        residuals,
    })
}

/// What a fit says of a drink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reckoned {
    /// Water gained over the mass before ice.
    pub share_of_mass: f64,
    /// Standard uncertainty of that for the next drink: of the fit, and of one drink about it.
    pub standard: f64,
    /// Temperature, °C.
    pub temperature_c: f64,
    /// Standard uncertainty of that.
    pub standard_c: f64,
}

impl MeltFit {
    /// The method with the fitted rate.
    #[must_use]
    pub fn method(&self) -> Option<Method> {
        Some(Method {
            ice_w_per_m2_k: self.parameters[0].value,
            ..Method::of(self.technique)?
        })
    }

    /// Water on the ice by the fit, µm.
    #[must_use]
    pub fn film_um(&self) -> f64 {
        self.parameters[1].value
    }

    /// What a mix gains under `conditions` in `seconds` here; `None` where energy cannot tell.
    #[must_use]
    pub fn reckon(&self, mix: &Liquid, conditions: &Conditions, seconds: f64) -> Option<Reckoned> {
        let own = Method::of(self.technique)?.ice_w_per_m2_k;
        let x: Unknowns = [(self.parameters[0].value / own).ln(), self.parameters[1].value];
        let probe = Weighing {
            name: String::new(),
            mix: *mix,
            conditions: *conditions,
            seconds,
            share_of_mass: 0.0,
            temperature_c: None,
        };
        let best = predicted(&probe, self.technique, x)?;
        let mut slopes = [[0.0; 2]; 2];
        for k in 0..2 {
            let mut up = x;
            up[k] += STEPS[k];
            let (share, celsius) = predicted(&probe, self.technique, up)?;
            slopes[0][k] = (share - best.0) / STEPS[k];
            slopes[1][k] = (celsius - best.1) / STEPS[k];
        }
        let variance = |of: &[f64; 2]| -> f64 {
            (0..2)
                .flat_map(|i| (0..2).map(move |j| (i, j)))
                .map(|(i, j)| of[i] * self.covariance[i][j] * of[j])
                .sum()
        };
        Some(Reckoned {
            share_of_mass: best.0,
            standard: (variance(&slopes[0]).max(0.0) + self.scatter_share.powi(2)).sqrt(),
            temperature_c: best.1,
            standard_c: (variance(&slopes[1]).max(0.0) + self.scatter_c.powi(2)).sqrt(),
        })
    }
}

/// Student's factor for 95 % with so many degrees of freedom, at least 1.
#[must_use]
pub fn student_95(freedom: usize) -> f64 {
    // The standard distribution with that many degrees of freedom is one that there is.
    StudentsT::new(0.0, 1.0, freedom.max(1) as f64)
        .map_or(crate::ingredient::NORMAL_95, |t| t.inverse_cdf(0.975))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn student_s_factor() {
        // JCGM 100:2008, table G.2, 95 %, to the two decimals it has: from memory.
        for (freedom, factor) in [
            (1, 12.71),
            (2, 4.30),
            (3, 3.18),
            (4, 2.78),
            (5, 2.57),
            (8, 2.31),
            (10, 2.23),
            (20, 2.09),
            (50, 2.01),
        ] {
            assert_abs_diff_eq!(student_95(freedom), factor, epsilon = 0.006);
        }
    }
}
