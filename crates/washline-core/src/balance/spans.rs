//! What a list of drinks spans: how the outer bands are made.

use serde::Serialize;

use super::family::NO_ALCOHOL_PCT;
use super::{BalanceFigure, Evaluation, Structure};
use crate::ingredient::Convention;

/// What the drinks of one structure span in one measure.
#[derive(Clone, Debug, Serialize)]
pub struct SpanRow {
    /// The structure.
    pub structure: Structure,
    /// The measure.
    pub measure: BalanceFigure,
    /// The smallest, or the 2.5th percentile.
    pub low: f64,
    /// The largest, or the 97.5th percentile.
    pub high: f64,
    /// How many drinks stand behind it.
    pub count: usize,
    /// The convention acid was counted in.
    pub convention: Option<Convention>,
    /// Share of the drinks that lie within the span of all the others: leave-one-out, %.
    pub left_out_inside_pct: f64,
}

/// Fewer drinks than this say nothing of what is usual.
const FEWEST_DRINKS: usize = 5;

/// The spans of some drinks, by structure and measure: 2.5th to 97.5th percentile where 20 or more stand behind
/// one, else smallest to largest, and nothing for fewer than five. Drinks without alcohol are left out.
pub fn spans<'a>(drinks: impl IntoIterator<Item = (&'a Evaluation, Convention)>) -> Vec<SpanRow> {
    let drinks: Vec<(&Evaluation, Convention)> = drinks.into_iter().collect();
    let mut rows = Vec::new();
    for structure in Structure::all() {
        for measure in BalanceFigure::ALL {
            if !is_judged(structure, measure) {
                continue;
            }
            let chosen = drinks.iter().filter(|(e, _)| {
                e.structure == Some(structure) && e.figures.abv_pct.value.unwrap_or(0.0) >= NO_ALCOHOL_PCT
            });
            let convention = chosen.clone().next().map(|(_, convention)| *convention);
            let mut values: Vec<f64> = chosen
                .filter_map(|(e, _)| e.figures.measured(measure).value)
                .collect();
            if values.len() < FEWEST_DRINKS {
                continue;
            }
            values.sort_by(f64::total_cmp);
            let Some((low, high)) = span(&values) else {
                continue;
            };
            let scale = 10_f64.powi(i32::from(measure.decimals()));
            let printed = |v: f64| (v * scale).round() / scale;
            let inside = (0..values.len())
                .filter(|&i| {
                    let others: Vec<f64> = values
                        .iter()
                        .enumerate()
                        .filter(|(j, _)| *j != i)
                        .map(|(_, v)| *v)
                        .collect();
                    span(&others).is_some_and(|(low, high)| {
                        (printed(low)..=printed(high)).contains(&printed(values[i]))
                    })
                })
                .count();
            #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
            let left_out_inside_pct = 100.0 * inside as f64 / values.len() as f64;
            rows.push(SpanRow {
                structure,
                measure,
                low: printed(low),
                high: printed(high),
                count: values.len(),
                convention: convention.filter(|_| measure == BalanceFigure::Tartness),
                left_out_inside_pct,
            });
        }
    }
    rows
}

/// Tartness is no part of what a creamy drink, or one that is not sour, is judged by.
pub(super) fn is_judged(structure: Structure, measure: BalanceFigure) -> bool {
    measure != BalanceFigure::Tartness
        || !matches!(structure, Structure::ShakenCreamy | Structure::ShakenNotSour)
}

/// 2.5th to 97.5th percentile of 20 values or more, else smallest to largest.
fn span(sorted: &[f64]) -> Option<(f64, f64)> {
    let (first, last) = (*sorted.first()?, *sorted.last()?);
    if sorted.len() < 20 {
        return Some((first, last));
    }
    Some((quantile(sorted, 0.025), quantile(sorted, 0.975)))
}

/// A quantile of sorted values by linear interpolation between order statistics (Hyndman and Fan 1996, type 7).
pub(super) fn quantile(sorted: &[f64], share: f64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
    let place = share * (sorted.len() - 1) as f64;
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "an index within the list"
    )]
    let below = place.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (place - place.floor()) * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_of_few_and_of_many() {
        assert_eq!(span(&[1.0, 2.0, 5.0]), Some((1.0, 5.0)));
        let many: Vec<f64> = (0..=40).map(f64::from).collect();
        assert_eq!(span(&many), Some((1.0, 39.0)));
        assert_eq!(span(&[]), None);
    }
}
