//! Where a drink lies among the published ones of its family: percentiles, and its nearest relatives by name.

use serde::{Deserialize, Serialize};

use super::family::Kin;
use super::moves::Point;
use super::published::{FigureRow, Given, figures, modern};
use super::region::{EDGE_PCT, OUTSIDE_PCT, Region};
use super::{BalanceFigure, Band, Family, Span};
use crate::ingredient::Convention;

/// A published drink that a drink is like.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Relative {
    /// Its name.
    pub name: String,
    /// Who gave it.
    pub author: String,
    /// When, where that is known.
    pub year: Option<u16>,
    /// READ or MEMORY.
    pub status: String,
    /// Strength, % vol.
    pub abv_pct: f64,
    /// Sugar, g/100 ml.
    pub sugar_g_per_100ml: f64,
    /// Acid as citric, g/100 ml.
    pub acid_g_per_100ml: f64,
}

/// Where a drink lies among the published drinks of its family.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Placed {
    /// Its family.
    pub family: Family,
    /// Another family it is near to.
    pub near: Option<Family>,
    /// The families it is compared with.
    pub compared_with: Vec<Family>,
    /// How many of their drinks.
    pub count: usize,
    /// How many of a hundred published drinks gain less by the undoing of one fault; `None` without a region.
    pub further_out_pct: Option<f64>,
    /// What the worst fault gains: the joint score.
    pub score: Option<f64>,
    /// The score above which it is at the edge.
    pub edge_score: Option<f64>,
    /// The score above which it is outside.
    pub outside_score: Option<f64>,
    /// The share of published drinks that have less strength, sweetness and tartness, %.
    pub percentiles: [Option<f64>; 3],
    /// Between what the middle nine tenths of them lie in each.
    pub seen: [Option<(f64, f64)>; 3],
    /// Between what the middle half of them lie in each.
    pub half: [Option<(f64, f64)>; 3],
    /// The nearest published drinks, the nearest first.
    pub nearest: Vec<Relative>,
}

/// How many relatives are named.
const NAMED: usize = 3;
/// What counts as one step in strength, sugar and acid: what is about as well noticed (sugar 9 %, acid 19 % of level, strength
/// 10 %: the noticed steps of cola, wine and spirits, READ in abstracts). % vol, g/100 ml.
const STEP: [f64; 3] = [1.6, 0.65, 0.15];

impl Placed {
    /// Where a drink at `at` lies, of which the worst fault gains `score`.
    #[must_use]
    pub fn of(
        kin: Kin,
        at: &Point,
        region: Option<&Region>,
        score: Option<f64>,
        convention: Convention,
    ) -> Placed {
        let finite = |value: f64| value.is_finite().then_some(value);
        Placed {
            family: kin.family,
            near: kin.near,
            compared_with: region.map(|r| r.from.clone()).unwrap_or_default(),
            count: region.map_or(0, |r| r.count),
            further_out_pct: region.zip(score).map(|(r, s)| r.further_out_pct(s)),
            score,
            edge_score: region.and_then(|r| finite(r.limit(EDGE_PCT))),
            outside_score: region.and_then(|r| finite(r.limit(OUTSIDE_PCT))),
            percentiles: percentiles(kin.family, at, region, convention),
            seen: BalanceFigure::ALL.map(|m| region.map(|r| r.seen[m as usize])),
            half: BalanceFigure::ALL.map(|m| region.map(|r| r.half[m as usize])),
            nearest: nearest(kin.family, at, convention),
        }
    }

    /// Whether the families it is compared with are more than its own.
    #[must_use]
    pub fn is_pooled(&self) -> bool {
        self.compared_with.len() > 1
    }

    /// The published drinks as a band to draw a measure in: half of them within its core, nine tenths within its outer
    /// one. A range of the house's own stands in the place of the core.
    #[must_use]
    pub fn band(&self, measure: BalanceFigure, own: Option<&Span>) -> Band {
        let span = |(low, high): (f64, f64)| Span {
            low,
            high,
            decimals: measure.decimals(),
            count: u32::try_from(self.count).ok(),
            source: "published drinks of its family".to_owned(),
            status: "COMPUTED".to_owned(),
            own: false,
        };
        Band {
            core: own
                .filter(|o| o.own)
                .cloned()
                .or(self.half[measure as usize].map(span)),
            outer: self.seen[measure as usize].map(span),
        }
    }

    /// Its nearest relatives as the trade says them: `Daiquiri 7.9 / 0.85, …`, sugar over acid.
    #[must_use]
    pub fn relatives_said(&self) -> String {
        let said: Vec<String> = self
            .nearest
            .iter()
            .map(|r| {
                format!(
                    "{} {:.1} / {:.2}",
                    r.name, r.sugar_g_per_100ml, r.acid_g_per_100ml
                )
            })
            .collect();
        said.join(", ")
    }
}

/// Among the drinks of its region; without alcohol, among the published drinks that have acid if it has, and none if not.
fn percentiles(
    family: Family,
    at: &Point,
    region: Option<&Region>,
    convention: Convention,
) -> [Option<f64>; 3] {
    if let Some(region) = region {
        return BalanceFigure::ALL.map(|m| Some(region.percentile(m, at[m as usize])));
    }
    if family != Family::ZeroProof {
        return [None; 3];
    }
    let alike: Vec<&FigureRow> = figures(convention)
        .iter()
        .filter(|r| (r.acid_g_per_100ml >= 0.2) == (at[2] >= 0.2))
        .collect();
    let below = |i: usize| {
        let mut values: Vec<f64> = alike.iter().map(|r| r.point()[i]).collect();
        values.sort_by(f64::total_cmp);
        (!values.is_empty()).then(|| super::region::share_below_pct(&values, at[i]))
    };
    [None, below(1), below(2)]
}

/// The nearest published drinks: of its family, or without alcohol of any by sugar and acid. One form of each drink, for
/// what stands in brackets behind its name says which form it is.
fn nearest(family: Family, at: &Point, convention: Convention) -> Vec<Relative> {
    let proof = family == Family::ZeroProof;
    let from = usize::from(proof);
    let far = |row: &FigureRow| {
        (from..3)
            .map(|i| ((row.point()[i] - at[i]) / STEP[i]).powi(2))
            .sum::<f64>()
    };
    let mut all: Vec<(f64, &(FigureRow, &Given))> = Family::all()
        .filter(|f| proof || *f == family)
        .flat_map(|f| modern(f, convention))
        .map(|known| (far(&known.0), known))
        .collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut names: Vec<&str> = Vec::new();
    let mut relatives = Vec::new();
    for (_, (row, given)) in all {
        let name = row.drink.split('(').next().unwrap_or_default().trim();
        if names.contains(&name) {
            continue;
        }
        names.push(name);
        relatives.push(Relative {
            name: row.drink.clone(),
            author: given.author.clone(),
            year: given.year,
            status: given.status.clone(),
            abv_pct: row.abv_pct,
            sugar_g_per_100ml: row.sugar_g_per_100ml,
            acid_g_per_100ml: row.acid_g_per_100ml,
        });
        if relatives.len() == NAMED {
            break;
        }
    }
    relatives
}
