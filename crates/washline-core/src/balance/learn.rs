//! Ranges learned from drinks that a house is happy with.
//!
//! A range is the central share of the drinks (80 % where nothing else is asked for: the 10th to the 90th
//! percentile), so that one odd drink does not stretch it, with the median. How well a few drinks tell a percentile
//! is said with it: an interval between two of the drinks themselves, whatever the shape of their spread, because
//! the number of drinks below a percentile is binomial (for the median the subject of ISO 16269-7:2001, from memory;
//! the levels are checked against a printed table). A percentile near the end may have no drink beyond it that would
//! bound it: then that side is open, and said to be.

use serde::Serialize;

use super::family::NO_ALCOHOL_PCT;
use super::published::figures;
use super::{BalanceFigure, Evaluation, Structure, spans};
use crate::ingredient::Convention;
use crate::names::key;

/// Fewer drinks than this tell nothing by themselves: with eight, the smallest and the largest hold the median between
/// them at a level of 99 % (1 - 2/2⁸), with seven at 98 %. Beside published drinks of the structure one is enough.
pub const FEWEST: usize = 8;

/// As many drinks of the house as this weigh as much as the published ones: its palate shifts a range gently from the first
/// drink on (shrinkage towards what is published). Common practice, no source for the number.
pub const PUBLISHED_WEIGHS: f64 = 8.0;

/// The central share of the drinks that makes a range, where nothing else is asked for, %.
pub const SHARE_PCT: f64 = 80.0;

/// The level of the intervals, %.
pub const CONFIDENCE_PCT: f64 = 90.0;

/// A percentile of what a house pours, and how well its drinks tell it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Estimate {
    /// The percentile of these drinks, in the unit of the measure.
    pub value: f64,
    /// Where it lies at least, at the level of [`CONFIDENCE_PCT`]; empty where too few drinks lie below it to say.
    pub from: Option<f64>,
    /// Where it lies at most; empty where too few drinks lie above it to say.
    pub to: Option<f64>,
}

/// What drinks of one structure say of one measure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Learned {
    /// The structure.
    pub structure: Structure,
    /// The measure.
    pub measure: BalanceFigure,
    /// How many drinks stand behind it.
    pub count: usize,
    /// How many published drinks of the structure it is drawn towards.
    pub published: usize,
    /// Where the range begins.
    pub low: Estimate,
    /// The middle.
    pub median: Estimate,
    /// Where the range ends.
    pub high: Estimate,
}

impl Learned {
    /// The range, at the precision of its measure.
    #[must_use]
    pub fn range(&self) -> (f64, f64) {
        let scale = 10_f64.powi(i32::from(self.measure.decimals()));
        let printed = |v: f64| (v * scale).round() / scale;
        (printed(self.low.value), printed(self.high.value))
    }
}

/// What some drinks, by name, say of the ranges of their structures: what can be learned, and the structures of which there
/// are too few drinks, with how many there are. Drinks without alcohol are left out; a drink on two lists counts once.
pub fn learn<'a>(
    drinks: impl IntoIterator<Item = (&'a str, &'a Evaluation)>,
    share_pct: f64,
    convention: Convention,
) -> (Vec<Learned>, Vec<(Structure, usize)>) {
    let mut named: Vec<(String, &Evaluation)> = Vec::new();
    for (name, evaluation) in drinks {
        let name = key(name);
        if evaluation.figures.abv_pct.value.unwrap_or(0.0) >= NO_ALCOHOL_PCT
            && !named.iter().any(|(n, e)| *n == name && is_same(e, evaluation))
        {
            named.push((name, evaluation));
        }
    }
    let drinks: Vec<&Evaluation> = named.into_iter().map(|(_, e)| e).collect();
    let tail = (1.0 - share_pct / 100.0) / 2.0;
    let (mut learned, mut too_few) = (Vec::new(), Vec::new());
    for structure in Structure::all() {
        let chosen: Vec<&&Evaluation> = drinks.iter().filter(|e| e.structure == Some(structure)).collect();
        if chosen.is_empty() {
            continue;
        }
        let published: Vec<[f64; 4]> = figures(convention)
            .iter()
            .filter(|r| r.stands && r.structure == structure)
            .map(super::published::FigureRow::point)
            .collect();
        if chosen.len() < FEWEST && published.len() < FEWEST {
            too_few.push((structure, chosen.len()));
            continue;
        }
        for measure in BalanceFigure::ALL {
            if !spans::is_judged(structure, measure) {
                continue;
            }
            let mut values: Vec<f64> = chosen
                .iter()
                .filter_map(|e| e.figures.measured(measure).value)
                .collect();
            values.sort_by(f64::total_cmp);
            let mut usual: Vec<f64> = published.iter().map(|p| p[measure as usize]).collect();
            usual.sort_by(f64::total_cmp);
            if usual.len() < FEWEST {
                usual.clear();
            }
            if values.is_empty() || values.len() < FEWEST && usual.is_empty() {
                continue;
            }
            learned.push(Learned {
                structure,
                measure,
                count: values.len(),
                published: usual.len(),
                low: estimate(&values, &usual, tail),
                median: estimate(&values, &usual, 0.5),
                high: estimate(&values, &usual, 1.0 - tail),
            });
        }
    }
    (learned, too_few)
}

/// Whether two results are of one drink: the same figures within a hundredth, as two lists have it.
fn is_same(a: &Evaluation, b: &Evaluation) -> bool {
    BalanceFigure::ALL.iter().all(|m| {
        let (a, b) = (a.figures.measured(*m).value, b.figures.measured(*m).value);
        match (a, b) {
            (Some(a), Some(b)) => (a - b).abs() <= 0.01 * a.max(b),
            (a, b) => a == b,
        }
    })
}

/// A quantile of sorted values, drawn towards that of published ones, with its own interval.
fn estimate(sorted: &[f64], published: &[f64], share: f64) -> Estimate {
    let (below, above) = ranks(sorted.len(), share, CONFIDENCE_PCT / 100.0);
    let own = spans::quantile(sorted, share);
    #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
    let n = sorted.len() as f64;
    let value = if published.is_empty() {
        own
    } else {
        (n * own + PUBLISHED_WEIGHS * spans::quantile(published, share)) / (n + PUBLISHED_WEIGHS)
    };
    Estimate {
        value,
        from: below.map(|rank| sorted[rank - 1]),
        to: above.map(|rank| sorted[rank - 1]),
    }
}

/// Which of `n` sorted values hold a quantile between them at a level, counted from 1: each side errs with at most
/// half of what is left. `None` where no value is far enough out.
fn ranks(n: usize, share: f64, level: f64) -> (Option<usize>, Option<usize>) {
    let half = (1.0 - level) / 2.0;
    let chances = binomial(n, share);
    // The quantile lies below the r-th value where fewer than r values lie below the quantile.
    let mut sum = 0.0;
    let mut below = None;
    for (k, chance) in chances.iter().enumerate() {
        sum += chance;
        if sum > half {
            break;
        }
        below = (k < n).then_some(k + 1);
    }
    let mut sum = 0.0;
    let mut above = None;
    for k in (1..=n).rev() {
        sum += chances[k];
        if sum > half {
            break;
        }
        above = Some(k);
    }
    (below, above)
}

/// The chances of 0, 1 … n successes in n trials. Through logarithms, so that none of many trials vanishes.
fn binomial(n: usize, share: f64) -> Vec<f64> {
    #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
    let real = |k: usize| k as f64;
    let mut log = real(n) * libm::log1p(-share);
    let odds = share.ln() - libm::log1p(-share);
    let mut all = Vec::with_capacity(n + 1);
    for k in 0..=n {
        all.push(log.exp());
        log += (real(n - k) / real(k + 1)).ln() + odds;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The level at which two of n values hold the quantile between them.
    fn level(n: usize, share: f64, from: usize, to: usize) -> f64 {
        binomial(n, share)[from..to].iter().sum()
    }

    /// Intervals for the median and their levels as a statistics textbook prints them (Table A.7, "Confidence
    /// Intervals for the Population Median"; READ in a transcription).
    #[test]
    fn levels_of_the_median_are_as_printed() {
        for (n, from, to, printed) in [
            (8, 1, 8, 99.2),
            (8, 2, 7, 93.0),
            (9, 2, 8, 96.1),
            (10, 2, 9, 97.9),
            (10, 3, 8, 89.1),
            (11, 3, 9, 93.5),
            (12, 3, 10, 96.1),
            (13, 3, 11, 97.8),
            (14, 4, 11, 94.3),
            (15, 4, 12, 96.5),
            (16, 4, 13, 97.9),
            (17, 5, 13, 95.1),
            (18, 5, 14, 96.9),
            (19, 6, 14, 93.6),
            (20, 6, 15, 95.9),
        ] {
            approx::assert_abs_diff_eq!(100.0 * level(n, 0.5, from, to), printed, epsilon = 0.0501);
        }
    }

    /// The ranks are the narrowest that keep to the level on each side.
    #[test]
    fn ranks_keep_to_the_level_and_are_no_wider_than_they_must_be() {
        for n in 1..200 {
            for share in [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95] {
                let chances = binomial(n, share);
                approx::assert_abs_diff_eq!(chances.iter().sum::<f64>(), 1.0, epsilon = 1e-12);
                let (below, above) = ranks(n, share, 0.9);
                let under = |r: usize| chances[..r].iter().sum::<f64>();
                let over = |s: usize| chances[s..].iter().sum::<f64>();
                if let Some(r) = below {
                    assert!(under(r) <= 0.05 && under(r + 1) > 0.05, "{n} {share}");
                } else {
                    assert!(under(1) > 0.05);
                }
                if let Some(s) = above {
                    assert!(over(s) <= 0.05 && over(s - 1) > 0.05, "{n} {share}");
                } else {
                    assert!(over(n) > 0.05);
                }
            }
        }
        // Five of a hundred in each tail.
        assert_eq!(ranks(8, 0.5, 0.9), (Some(2), Some(7)));
        assert_eq!(ranks(8, 0.1, 0.9), (None, Some(3)));
        assert_eq!(ranks(28, 0.1, 0.9).0, None);
        assert_eq!(ranks(29, 0.1, 0.9).0, Some(1));
        // Thousands do not vanish.
        assert!(ranks(5000, 0.9, 0.9).0.is_some());
    }

    /// One odd drink moves the range little, and the median less.
    #[test]
    fn one_odd_drink_does_not_stretch_the_range() {
        let even: Vec<f64> = (0..20).map(|i| 6.0 + f64::from(i) * 0.1).collect();
        let mut odd = even.clone();
        odd[19] = 60.0;
        let (a, b) = (estimate(&even, &[], 0.9), estimate(&odd, &[], 0.9));
        assert!((a.value - b.value).abs() < 0.05, "{a:?} {b:?}");
        approx::assert_relative_eq!(estimate(&even, &[], 0.5).value, estimate(&odd, &[], 0.5).value);
    }

    /// The first drink shifts a range by a ninth of its distance, the eighth by half.
    #[test]
    fn a_palate_shifts_what_is_published_gently() {
        let published: Vec<f64> = (0..41).map(|i| 5.0 + f64::from(i) * 0.1).collect();
        let of = |n: usize| estimate(&vec![10.0; n], &published, 0.5).value;
        approx::assert_relative_eq!(of(1), 7.0 + 3.0 / 9.0, max_relative = 1e-12);
        approx::assert_relative_eq!(of(8), 8.5, max_relative = 1e-12);
        assert!(of(200) > 9.8);
    }
}
