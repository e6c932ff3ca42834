//! How far two drinks are from each other: by what is in the glass, and by what is poured.
//!
//! D = √(½ · F² + ½ · I²)
//!
//! - F, by the glass: the root of the mean of the squared differences of strength, sweetness and tartness, each in
//!   widths of the structure's usual (core) band. Where the structure has no such band, or one narrower than half of
//!   what is usual for that measure, the mean width of all core bands of the measure stands for it.
//! - I, by the pours: 1 − Σ min(a, b) / Σ max(a, b), a and b the grams of each ingredient in either drink (Jaccard's
//!   index on masses): 0 where they pour the same, 1 where they have nothing in common.
//!
//! D is 0 for the same drink and obeys the triangle inequality within a structure. Two drinks of different names and
//! one structure within [`TWINS`] are near twins. The measure and the limit are this program's own convention: no
//! source. At the limit, drinks of the same figures share about two thirds of what is poured, and drinks of the same
//! pours are about a third of a band apart.

use std::collections::BTreeMap;

use super::facts::Facts;
use super::finding::{AuditFinding, Found, NearTwins};
use crate::balance::{BalanceFigure, Band, Ranges, Structure};

/// The distance within which two drinks are near twins.
pub const TWINS: f64 = 0.25;

/// How far two drinks are apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distance {
    /// By what is in the glass, in band widths.
    pub figures: f64,
    /// By what is poured, 0 to 1.
    pub ingredients: f64,
}

impl Distance {
    /// Both together.
    #[must_use]
    pub fn total(&self) -> f64 {
        (0.5 * self
            .figures
            .mul_add(self.figures, self.ingredients * self.ingredients))
        .sqrt()
    }
}

fn core_width(band: &Band) -> Option<f64> {
    band.core.as_ref().map(|c| c.high - c.low).filter(|w| *w > 0.0)
}

/// One band width of a measure in a structure.
pub(super) fn width(ranges: &Ranges, structure: Structure, measure: BalanceFigure) -> f64 {
    let all: Vec<f64> = Structure::all()
        .filter_map(|s| core_width(ranges.band(s, measure)))
        .collect();
    #[expect(clippy::cast_precision_loss, reason = "there are fifteen structures")]
    let mean = match all.len() {
        // Without any core band: about what the handbook's are wide.
        0 => match measure {
            BalanceFigure::Strength => 5.0,
            BalanceFigure::Sweetness => 2.5,
            BalanceFigure::Tartness => 0.15,
        },
        n => all.iter().sum::<f64>() / n as f64,
    };
    core_width(ranges.band(structure, measure))
        .filter(|own| *own >= 0.5 * mean)
        .unwrap_or(mean)
}

/// How far two lists of pours are apart: 1 less Jaccard's index on grams.
#[must_use]
pub fn pours_apart(a: &BTreeMap<String, f64>, b: &BTreeMap<String, f64>) -> f64 {
    let grams = |of: &BTreeMap<String, f64>, name: &String| of.get(name).copied().unwrap_or(0.0).max(0.0);
    let names = a.keys().chain(b.keys().filter(|name| !a.contains_key(*name)));
    let (shared, all) = names.fold((0.0, 0.0), |(shared, all), name| {
        let (a, b) = (grams(a, name), grams(b, name));
        (shared + a.min(b), all + a.max(b))
    });
    if all > 0.0 { 1.0 - shared / all } else { 0.0 }
}

/// How far two sets of figures are apart, each difference in its width.
#[must_use]
pub fn figures_apart(a: [f64; 3], b: [f64; 3], widths: [f64; 3]) -> f64 {
    let squares: f64 = (0..3).map(|i| ((a[i] - b[i]) / widths[i]).powi(2)).sum();
    (squares / 3.0).sqrt()
}

/// How far two drinks of one structure are apart; `None` where their structures differ, or their juices are counted
/// differently so that their figures cannot be compared.
pub(super) fn distance(a: &Facts<'_>, b: &Facts<'_>) -> Option<Distance> {
    let structure = a.worked.evaluation.structure?;
    if b.worked.evaluation.structure != Some(structure)
        || a.worked.resolved.convention != b.worked.resolved.convention
    {
        return None;
    }
    let figures = |f: &Facts<'_>| BalanceFigure::ALL.map(|m| f.value(m.word()));
    let widths = BalanceFigure::ALL.map(|m| width(&a.worked.ranges, structure, m));
    Some(Distance {
        figures: figures_apart(figures(a), figures(b), widths),
        ingredients: pours_apart(&a.grams, &b.grams),
    })
}

/// Every pair of near twins, the nearest first.
pub(super) fn twins(drinks: &[&Facts<'_>], found: &mut Vec<AuditFinding>) {
    let mut pairs = Vec::new();
    for (i, a) in drinks.iter().enumerate() {
        for b in &drinks[i + 1..] {
            if let Some(apart) = distance(a, b).filter(|d| d.total() <= TWINS)
                && let Some(structure) = a.worked.evaluation.structure
            {
                pairs.push((apart, structure, a, b));
            }
        }
    }
    pairs.sort_by(|a, b| a.0.total().total_cmp(&b.0.total()));
    found.extend(pairs.into_iter().map(|(apart, structure, a, b)| AuditFinding {
        drinks: vec![a.at(), b.at()],
        found: Found::NearTwins(NearTwins {
            structure,
            distance: apart.total(),
            by_figures: apart.figures,
            by_pours: apart.ingredients,
            limit: TWINS,
        }),
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pours_are_compared_by_mass() {
        let of = |pours: &[(&str, f64)]| pours.iter().map(|(n, g)| ((*n).to_owned(), *g)).collect();
        let gin: BTreeMap<String, f64> = of(&[("gin", 60.0), ("lemon", 20.0), ("syrup", 20.0)]);
        let rum = of(&[("rum", 60.0), ("lemon", 20.0), ("syrup", 20.0)]);
        assert!(pours_apart(&gin, &gin).abs() < 1e-12);
        // 40 shared of 160.
        assert!((pours_apart(&gin, &rum) - 0.75).abs() < 1e-12);
        assert!((pours_apart(&gin, &of(&[("tea", 100.0)])) - 1.0).abs() < 1e-12);
        // Half as much of the same is half as near.
        assert!(
            (pours_apart(&gin, &of(&[("gin", 30.0), ("lemon", 10.0), ("syrup", 10.0)])) - 0.5).abs() < 1e-12
        );
        assert!(pours_apart(&of(&[]), &of(&[])).abs() < 1e-12);
    }

    #[test]
    fn a_narrow_band_is_no_yardstick() {
        use crate::ingredient::Convention;
        let ranges = Ranges::published(Convention::Handbook);
        let of = |s, m| width(&ranges, s, m);
        assert!((of(Structure::ShakenSour, BalanceFigure::Strength) - 4.7).abs() < 1e-9);
        // 7.9 to 8.1 g/100 ml of one published drink: the mean of all takes its place.
        let blended = of(Structure::Blended, BalanceFigure::Sweetness);
        assert!(blended > 1.5 && (blended - of(Structure::Hot, BalanceFigure::Sweetness)).abs() < 1e-9);
        assert!(
            (of(Structure::Hot, BalanceFigure::Tartness) - of(Structure::Neat, BalanceFigure::Tartness))
                .abs()
                < 1e-12
        );
    }
}
