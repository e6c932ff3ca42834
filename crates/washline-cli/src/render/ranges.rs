//! Ranges on the screen, and the spans that books of drinks come to.

use std::fmt::Write as _;

use serde::Serialize;
use washline_core::balance::{Measured, Ranges, Span, Structure};
use washline_core::ingredient::Convention;
use washline_core::store::DrinkReport;

use super::style::{DIM, NAME};
use super::{lines, plain, table, wrapped};

/// The bands of every structure, or of one.
pub fn ranges(ranges: &Ranges, only: Option<Structure>, convention: Convention) -> String {
    let mut text = String::new();
    for structure in Structure::all().filter(|s| only.is_none_or(|o| o == *s)) {
        let _ = writeln!(
            text,
            "{NAME}{structure}{NAME:#}  {DIM}{}{DIM:#}",
            structure.rule()
        );
        let mut rows = table(&["", "usual", "seen", ">drinks"]);
        let mut sources: Vec<String> = Vec::new();
        let mut any = false;
        for measure in Measured::ALL {
            let band = ranges.band(structure, measure);
            let printed = |span: &Option<Span>| span.as_ref().map_or_else(|| "–".to_owned(), Span::printed);
            if band.core.is_none() && band.outer.is_none() {
                continue;
            }
            any = true;
            for (word, span) in [("usual", &band.core), ("seen", &band.outer)] {
                let said = span
                    .as_ref()
                    .map(|s| format!("{word}: {} ({})", plain(&s.source), plain(&s.status)));
                sources.extend(said.filter(|said| !sources.contains(said)));
            }
            rows.add_row([
                format!("  {} {}", measure.name(), measure.unit()),
                printed(&band.core),
                printed(&band.outer),
                band.outer
                    .as_ref()
                    .and_then(|o| o.count)
                    .map_or_else(String::new, |n| n.to_string()),
            ]);
        }
        text.push_str(&if any {
            lines(&rows)
        } else {
            "  no published range: figures, and no verdict\n".to_owned()
        });
        for source in sources {
            text.push_str(&wrapped(&source, "  ", "    "));
        }
        text.push('\n');
    }
    text.push_str(&wrapped(
        &format!(
            "Acid as citric, {} convention. Usual: the handbook's, or the house's own. Seen: what published recipes span, worked out with this program from as many drinks as shown.",
            convention.word()
        ),
        "",
        "",
    ));
    text
}

/// What the drinks of one structure span in one measure.
#[derive(Clone, Debug, Serialize)]
pub struct SpanRow {
    /// The structure.
    pub structure: &'static str,
    /// The measure.
    pub measure: &'static str,
    /// The smallest, or the 2.5th percentile.
    pub low: f64,
    /// The largest, or the 97.5th percentile.
    pub high: f64,
    /// How many drinks stand behind it.
    pub count: usize,
    /// The convention acid was counted in.
    pub convention: Option<&'static str>,
    /// Share of the drinks that lie within the span of all the others: leave-one-out, %.
    pub left_out_inside_pct: f64,
}

/// Fewer drinks than this say nothing of what is usual.
const FEWEST_DRINKS: usize = 5;

/// The spans of a list of drinks, by structure and measure.
pub fn spans(reports: &[DrinkReport]) -> Vec<SpanRow> {
    let mut rows = Vec::new();
    for structure in Structure::all() {
        for measure in Measured::ALL {
            // Tartness is no part of what these structures are judged by.
            if measure == Measured::Tartness
                && matches!(structure, Structure::ShakenCreamy | Structure::ShakenNotSour)
            {
                continue;
            }
            let chosen: Vec<&DrinkReport> = reports
                .iter()
                .filter(|r| {
                    r.evaluation.structure == Some(structure)
                        && r.evaluation.figures.abv_pct.value.unwrap_or(0.0) >= 0.5
                })
                .collect();
            let mut values: Vec<f64> = chosen
                .iter()
                .filter_map(|r| r.evaluation.figures.measured(measure).value)
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
                structure: structure.name(),
                measure: measure.word(),
                low: printed(low),
                high: printed(high),
                count: values.len(),
                convention: (measure == Measured::Tartness).then(|| chosen[0].convention.word()),
                left_out_inside_pct,
            });
        }
    }
    rows
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
fn quantile(sorted: &[f64], share: f64) -> f64 {
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

/// The rows as they stand in `fixtures/reference/bands.csv`.
pub fn span_rows(rows: &[SpanRow]) -> String {
    let mut text = String::from("structure,measure,band,low,high,decimals,count,convention,source,status\n");
    for row in rows {
        let decimals = if row.measure == "acid_g_per_100ml" { 2 } else { 1 };
        let d = decimals;
        let _ = writeln!(
            text,
            "{},{},outer,{:.d$},{:.d$},{decimals},{},{},\"classics, computed with this program\",COMPUTED",
            row.structure,
            row.measure,
            row.low,
            row.high,
            row.count,
            row.convention.unwrap_or_default()
        );
    }
    text
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
