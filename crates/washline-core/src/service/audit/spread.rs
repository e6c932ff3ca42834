//! How the drinks of a list lie across strength, sweetness, tartness, volume and price: gaps, crowding, and what
//! the list has nothing of.
//!
//! Limits are this program's own conventions, without a source. A list below [`SMALLEST`] drinks is too short to be
//! uneven. A gap is a third of the range or more without a drink; a crowd is more than half of the list in a fifth of
//! its range. Prices are compared only where all are in one currency.

use std::collections::BTreeMap;

use rust_decimal::prelude::ToPrimitive;
use serde::Serialize;

use super::facts::Facts;
use super::finding::{AuditFinding, Found, Uneven};
use crate::service::comparison::{FigureFacts, apart};
use crate::tables::{FigureName, SOUR_ACID_G_PER_100ML};

/// The smallest list that is looked at as a list.
pub const SMALLEST: usize = 6;
/// Strong from here, % vol in the glass.
pub const STRONG_PCT: f64 = 25.0;
/// Light below this, % vol in the glass: common practice, no source.
pub const LIGHT_PCT: f64 = 10.0;
/// Without alcohol up to this, % vol: what most laws let be called alcohol-free lies at or below it, from memory.
pub const FREE_PCT: f64 = 0.5;
/// A gap from this share of the range.
const GAP_SHARE: f64 = 1.0 / 3.0;
/// The part of the range that a crowd stands in.
const CROWD_WIDTH: f64 = 0.2;
/// Nearly everything, as a share of the list.
const NEARLY_ALL: f64 = 0.75;

/// How one measure lies across the list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Along {
    /// In what: a word for the measure.
    pub measure: &'static str,
    /// Its unit; the currency of a price.
    pub unit: String,
    /// Decimals it is printed with.
    pub decimals: u8,
    /// How many drinks have it.
    pub count: usize,
    /// The smallest.
    pub smallest: f64,
    /// A quarter of the drinks lie at or below.
    pub quarter: f64,
    /// The middle one.
    pub median: f64,
    /// Three quarters of the drinks lie at or below.
    pub three_quarters: f64,
    /// The largest.
    pub largest: f64,
}

/// How a list lies as a whole.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Spread {
    /// How many drinks.
    pub drinks: usize,
    /// Strength, sweetness, tartness, volume, price.
    pub along: Vec<Along>,
    /// Drinks of each structure, the most first.
    pub structures: Vec<(String, usize)>,
    /// Drinks on each base, the most first.
    pub bases: Vec<(String, usize)>,
    /// Drinks over [`STRONG_PCT`].
    pub strong: usize,
    /// Drinks with alcohol below [`LIGHT_PCT`].
    pub light: usize,
    /// Drinks of [`FREE_PCT`] or less.
    pub free: usize,
}

/// One drink's value on a measure.
struct Point<'a, 'b> {
    value: f64,
    facts: &'b Facts<'a>,
}

/// The value below which `share` of sorted values lie, between neighbours in proportion.
fn quantile(sorted: &[Point<'_, '_>], share: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else {
        return 0.0;
    };
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a list of drinks"
    )]
    let (at, rest) = {
        let place = share * last as f64;
        (place.floor() as usize, place.fract())
    };
    let (low, high) = (sorted[at.min(last)].value, sorted[(at + 1).min(last)].value);
    (high - low).mul_add(rest, low)
}

#[expect(clippy::cast_precision_loss, reason = "a list of drinks")]
fn share(count: usize, of: usize) -> f64 {
    if of == 0 { 0.0 } else { count as f64 / of as f64 }
}

/// The currency that every priced drink of the list is in.
fn currency(drinks: &[&Facts<'_>]) -> Option<String> {
    let mut codes = drinks.iter().filter_map(|f| {
        let price = f.worked.drink.price.as_ref()?;
        Some(price.currency.or(f.worked.context.settings.currency))
    });
    let first = codes.next()?;
    let one = codes.all(|code| code == first);
    one.then(|| first.map_or_else(String::new, |currency| currency.code().to_owned()))
}

fn counted(words: impl Iterator<Item = String>) -> Vec<(String, usize)> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for word in words {
        *counts.entry(word).or_default() += 1;
    }
    let mut counts: Vec<(String, usize)> = counts.into_iter().collect();
    counts.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    counts
}

/// What the list looks like, and what is uneven in it.
pub(super) fn spread(drinks: &[&Facts<'_>], found: &mut Vec<AuditFinding>) -> Spread {
    let abv = |f: &Facts<'_>| f.value("abv_pct");
    let mut all = Spread {
        drinks: drinks.len(),
        structures: counted(
            drinks
                .iter()
                .filter_map(|f| f.worked.evaluation.structure.map(|s| s.name().to_owned())),
        ),
        bases: counted(drinks.iter().filter_map(|f| f.base.clone())),
        strong: drinks.iter().filter(|f| abv(f) > STRONG_PCT).count(),
        light: drinks
            .iter()
            .filter(|f| abv(f) > FREE_PCT && abv(f) < LIGHT_PCT)
            .count(),
        free: drinks.iter().filter(|f| abv(f) <= FREE_PCT).count(),
        along: Vec::new(),
    };
    let figures = [
        FigureName::Strength,
        FigureName::Sweetness,
        FigureName::Tartness,
        FigureName::Volume,
    ];
    let mut measures: Vec<(&'static str, String, u8, Vec<Point<'_, '_>>)> = figures
        .into_iter()
        .map(FigureName::facts)
        .map(|facts| {
            let points = drinks.iter().map(|f| Point {
                value: f.value(facts.name),
                facts: f,
            });
            (
                facts.word,
                facts.unit.to_owned(),
                facts.decimals,
                points.collect(),
            )
        })
        .collect();
    if let Some(currency) = currency(drinks) {
        let points = drinks
            .iter()
            .filter_map(|f| {
                let value = f.worked.drink.price.as_ref()?.amount.to_f64()?;
                Some(Point { value, facts: f })
            })
            .collect();
        measures.push(("price", currency, 2, points));
    }
    let long_enough = drinks.len() >= SMALLEST;
    for (measure, unit, decimals, mut points) in measures {
        points.sort_by(|a, b| a.value.total_cmp(&b.value));
        let (Some(first), Some(last)) = (points.first(), points.last()) else {
            continue;
        };
        all.along.push(Along {
            measure,
            unit,
            decimals,
            count: points.len(),
            smallest: first.value,
            quarter: quantile(&points, 0.25),
            median: quantile(&points, 0.5),
            three_quarters: quantile(&points, 0.75),
            largest: last.value,
        });
        if long_enough && points.len() >= SMALLEST {
            gap(measure, decimals, &points, found);
            crowding(measure, &points, found);
        }
    }
    if long_enough {
        lacking(drinks, &all, found);
    }
    all
}

/// The widest place without a drink. Drinks without alcohol leave no gap to the others: they are another choice.
fn gap(measure: &str, decimals: u8, points: &[Point<'_, '_>], found: &mut Vec<AuditFinding>) {
    let points = match measure {
        "strength" => &points[points.iter().take_while(|p| p.value <= FREE_PCT).count()..],
        _ => points,
    };
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return;
    };
    let range = last.value - first.value;
    let widest = points
        .windows(2)
        .max_by(|a, b| (a[1].value - a[0].value).total_cmp(&(b[1].value - b[0].value)));
    let Some([from, to]) = widest else { return };
    let between = to.value - from.value;
    // A gap between two figures that cannot be told apart is none.
    let told = FigureFacts::named(measure).is_none_or(|facts| {
        let of = |p: &Point<'_, '_>| p.facts.worked.evaluation.figures.get(facts.which);
        apart(of(from), of(to), decimals).is_some_and(|a| !a.too_small)
    });
    if range > 0.0 && told && between >= GAP_SHARE * range {
        found.push(AuditFinding {
            drinks: vec![from.facts.at(), to.facts.at()],
            found: Found::Spread(Uneven::Gap {
                measure: measure.to_owned(),
                from: from.value,
                to: to.value,
                share_pct: 100.0 * between / range,
            }),
        });
    }
}

/// The fullest part of the range.
fn crowding(measure: &str, points: &[Point<'_, '_>], found: &mut Vec<AuditFinding>) {
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return;
    };
    let width = CROWD_WIDTH * (last.value - first.value);
    // Drinks that have none of it are not crowded: half a list without acid is no crowd of sours.
    let starts = points.iter().enumerate().filter(|(_, p)| p.value > 0.0);
    let fullest = starts
        .map(|(at, from)| {
            let count = points[at..]
                .iter()
                .take_while(|p| p.value <= from.value + width)
                .count();
            (at, count)
        })
        .max_by_key(|(at, count)| (*count, std::cmp::Reverse(*at)));
    let Some((at, count)) = fullest else { return };
    if share(count, points.len()) > 0.5 {
        let crowd = &points[at..at + count];
        found.push(AuditFinding {
            drinks: crowd.iter().map(|p| p.facts.at()).collect(),
            found: Found::Spread(Uneven::Crowding {
                measure: measure.to_owned(),
                from: crowd[0].value,
                to: crowd[count - 1].value,
                count,
                of: points.len(),
            }),
        });
    }
}

/// What the list has nothing or too much of.
fn lacking(drinks: &[&Facts<'_>], all: &Spread, found: &mut Vec<AuditFinding>) {
    let of = drinks.len();
    let named =
        |keep: &dyn Fn(&Facts<'_>) -> bool| drinks.iter().filter(|f| keep(f)).map(|f| f.at()).collect();
    let abv = |f: &Facts<'_>| f.value("abv_pct");
    let mut note = |drinks: Vec<super::DrinkAt>, uneven: Uneven| {
        found.push(AuditFinding {
            drinks,
            found: Found::Spread(uneven),
        });
    };
    if all.free == 0 {
        note(Vec::new(), Uneven::NoneFree { up_to_pct: FREE_PCT });
    }
    let weakest = drinks
        .iter()
        .map(|f| abv(f))
        .filter(|v| *v > FREE_PCT)
        .fold(f64::INFINITY, f64::min);
    if all.light == 0 && weakest.is_finite() {
        note(
            Vec::new(),
            Uneven::NoLow {
                below_pct: LIGHT_PCT,
                weakest_pct: weakest,
            },
        );
    }
    if share(all.strong, of) > 0.5 {
        let strong = named(&|f| abv(f) > STRONG_PCT);
        note(
            strong,
            Uneven::Strong {
                above_pct: STRONG_PCT,
                count: all.strong,
                of,
            },
        );
    }
    let is_sour = |f: &Facts<'_>| f.value("acid_g_per_100ml") >= SOUR_ACID_G_PER_100ML;
    let sour = drinks.iter().filter(|f| is_sour(f)).count();
    if share(sour, of) >= NEARLY_ALL {
        note(
            named(&is_sour),
            Uneven::AllSour {
                from_g_per_100ml: SOUR_ACID_G_PER_100ML,
                count: sour,
                of,
            },
        );
    }
    if let Some((structure, count)) = all
        .structures
        .first()
        .filter(|(_, count)| share(*count, of) > 0.5)
    {
        note(
            named(&|f| {
                f.worked
                    .evaluation
                    .structure
                    .is_some_and(|s| s.name() == structure)
            }),
            Uneven::OneStructure {
                structure: structure.clone(),
                count: *count,
                of,
            },
        );
    }
    let based: usize = all.bases.iter().map(|(_, count)| count).sum();
    if let Some((base, count)) = all.bases.first().filter(|(_, count)| share(*count, based) > 0.5) {
        note(
            named(&|f| f.base.as_ref() == Some(base)),
            Uneven::OneBase {
                base: base.clone(),
                count: *count,
                of: based,
            },
        );
    }
}
