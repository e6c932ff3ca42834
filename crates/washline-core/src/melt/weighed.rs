//! What a house knows of the melt of one drink by its own scale.

use serde::Serialize;

use super::fitted::{MeltFit, student_95};
use crate::spec::Technique;

/// The weighings of one spec, and the house's fits that are in force.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OwnMelt {
    /// Weighings of this very spec.
    pub weighed: Option<Weighed>,
    /// The house's own melt of the techniques it has fitted.
    pub fits: Vec<MeltFit>,
}

impl OwnMelt {
    /// The house's own melt of a technique.
    #[must_use]
    pub fn fit(&self, technique: Technique) -> Option<&MeltFit> {
        self.fits.iter().find(|f| f.technique == technique)
    }
}

/// Weighings of one spec, taken together.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Weighed {
    /// Water gained over the mass before ice, the mean of them.
    pub share_of_mass: f64,
    /// Standard uncertainty of that share for the next drink: how they scatter, and how well the scale reads.
    pub standard: f64,
    /// Temperature off the ice, °C, the mean of those that were read, with its standard uncertainty.
    pub temperature_c: Option<(f64, f64)>,
    /// How many there are.
    pub count: usize,
}

/// How far one shake is from the next, as a share of the mass, where a single weighing cannot tell: from memory.
const ONE_SHAKE: f64 = 0.02;
/// How far a reading of a bar scale is off, g: half its last digit, anywhere in it as likely.
const SCALE_G: f64 = 0.5 / 1.732;
/// How far a probe thermometer is off, °C: from memory.
const PROBE_C: f64 = 0.5;

impl Weighed {
    /// Of masses before and after ice, g, each above 0, with the temperatures that were read; `None` of none.
    #[must_use]
    pub fn of(weighings: &[(f64, f64)], temperatures_c: &[f64]) -> Option<Weighed> {
        let shares: Vec<f64> = weighings
            .iter()
            .map(|(before, after)| (after - before) / before)
            .collect();
        let (share_of_mass, scatter) = mean_and_scatter(&shares, ONE_SHAKE)?;
        let lightest = weighings
            .iter()
            .map(|(before, _)| *before)
            .fold(f64::MAX, f64::min);
        // Two readings a weighing.
        let scale = SCALE_G * 2.0_f64.sqrt() / lightest;
        let standard = (scatter * scatter + scale * scale / shares.len() as f64).sqrt();
        let temperature_c = mean_and_scatter(temperatures_c, PROBE_C)
            .map(|(mean, scatter)| (mean, (scatter * scatter + PROBE_C * PROBE_C).sqrt()));
        (share_of_mass.is_finite() && standard.is_finite()).then_some(Weighed {
            share_of_mass,
            standard,
            temperature_c,
            count: shares.len(),
        })
    }
}

/// The mean of some values and the standard uncertainty of the next one: by their own scatter from three on, never
/// less than half of what one alone is taken to have; widened as Student's factor has it, for few tell little.
fn mean_and_scatter(values: &[f64], one_alone: f64) -> Option<(f64, f64)> {
    let n = values.len() as f64;
    if values.is_empty() {
        return None;
    }
    let mean = values.iter().sum::<f64>() / n;
    if values.len() < 3 {
        return Some((mean, one_alone * (1.0 + 1.0 / n).sqrt()));
    }
    let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0);
    let widened = student_95(values.len() - 1) / crate::ingredient::NORMAL_95;
    Some((
        mean,
        widened * (variance * (1.0 + 1.0 / n)).sqrt().max(0.5 * one_alone),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn several_weighings_are_surer_than_one_and_their_scatter_counts() {
        let one = Weighed::of(&[(96.0, 148.0)], &[]).unwrap();
        assert_abs_diff_eq!(one.share_of_mass, 52.0 / 96.0, epsilon = 1e-12);
        let like = Weighed::of(
            &[(96.0, 148.0), (96.0, 148.5), (95.5, 147.5), (96.0, 147.8)],
            &[-5.0, -5.5],
        )
        .unwrap();
        assert!(like.standard < one.standard);
        assert_abs_diff_eq!(like.temperature_c.unwrap().0, -5.25, epsilon = 1e-12);
        let wild = Weighed::of(&[(96.0, 140.0), (96.0, 155.0), (96.0, 148.0)], &[]).unwrap();
        assert!(wild.standard > 2.0 * one.standard);
        assert_eq!(Weighed::of(&[], &[]), None);
    }
}
