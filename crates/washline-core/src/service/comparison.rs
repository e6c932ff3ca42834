//! Two drinks side by side, pour by pour and figure by figure; and whether a difference of two figures is large
//! enough to be called one.
//!
//! # When a difference is too small to call
//!
//! Two figures a and b with standard uncertainties u(a) and u(b) are told apart where
//! |a − b| ≥ 1.96 · √(u(a)² + u(b)²): the interval that holds the difference in 95 % of cases then leaves out 0.
//! That takes the two to be independent. Drinks of one bar are not quite: the same limes and the same shake are in
//! both, and what they share moves both figures the same way. So the rule is cautious: what it tells apart is apart,
//! and some of what it does not tell apart could be with the same fruit in one evening. Where no uncertainty is
//! known, two figures are apart where they differ as printed.

use serde::{Deserialize, Serialize};

use crate::balance::Figure;
use crate::computed::{ComputedDrink, PourFigures};
use crate::ingredient::NORMAL_95;
use crate::spec::{PourMethod, Step};
pub use crate::tables::{FIGURES, FigureFacts};

/// How far two figures are apart.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Apart {
    /// The second less the first.
    pub difference: f64,
    /// The least difference that could be told, where the uncertainty of either is known.
    pub least_told: Option<f64>,
    /// Whether the difference is too small to call.
    pub too_small: bool,
}

/// What is said of a difference that is within its doubt.
pub const TOO_SMALL: &str = "too small to call";

/// How far `b` is from `a`, printed with so many decimals; `None` where either has no value. See the head of this
/// module for the rule.
///
/// ```
/// use washline_core::balance::Figure;
/// use washline_core::service::comparison::apart;
/// let of = |value, u| Figure { standard_uncertainty: Some(u), ..Figure::of(value) };
/// assert!(apart(of(7.2, 0.3), of(7.9, 0.3), 1).unwrap().too_small);
/// assert!(!apart(of(7.2, 0.3), of(8.1, 0.3), 1).unwrap().too_small);
/// assert!(apart(Figure::of(7.21), Figure::of(7.24), 1).unwrap().too_small);
/// ```
#[must_use]
pub fn apart(a: Figure, b: Figure, decimals: u8) -> Option<Apart> {
    let (from, to) = (a.value?, b.value?);
    let difference = to - from;
    let known = |u: Option<f64>| u.filter(|u| u.is_finite() && *u > 0.0);
    let least_told = match (known(a.standard_uncertainty), known(b.standard_uncertainty)) {
        (None, None) => None,
        (a, b) => Some(NORMAL_95 * a.unwrap_or(0.0).hypot(b.unwrap_or(0.0))),
    };
    let scale = 10_f64.powi(i32::from(decimals));
    let same_as_printed = ((from * scale).round() - (to * scale).round()).abs() < 0.5;
    Some(Apart {
        difference,
        least_told,
        too_small: same_as_printed || least_told.is_some_and(|least| difference.abs() < least),
    })
}

/// A figure of both drinks.
#[derive(Clone, Debug, PartialEq)]
pub struct FigurePair {
    /// Which.
    pub facts: &'static FigureFacts,
    /// Of the first.
    pub a: Figure,
    /// Of the second.
    pub b: Figure,
    /// How far apart; `None` where either has none.
    pub apart: Option<Apart>,
}

/// A pour of one of the drinks.
#[derive(Clone, Debug, PartialEq)]
pub struct Poured {
    /// The amount as written; empty where the line gives none.
    pub written: String,
    /// How it goes in.
    pub place: PourMethod,
    /// Volume at 20 °C, ml; of a pour that fills the glass, what it comes to.
    pub volume_ml: f64,
    /// Mass, g.
    pub mass_g: f64,
}

impl Poured {
    /// In the words of a book: `22.5 ml`, `top 60 ml`, `to the top`.
    #[must_use]
    pub fn said(&self) -> String {
        let place = match self.place {
            PourMethod::In => "",
            PourMethod::Top => "top ",
            PourMethod::Float => "float ",
            PourMethod::Rinse => "rinse ",
            PourMethod::Mist => "mist ",
        };
        let amount = if self.written.is_empty() {
            match self.place {
                PourMethod::Rinse | PourMethod::Mist => String::new(),
                _ => format!("{:.0} ml", self.volume_ml),
            }
        } else {
            self.written.clone()
        };
        format!("{place}{amount}").trim().to_owned()
    }

    /// Whether the other pours as much, the same way: as many millilitres, or, of what is weighed, as many grams.
    fn same(&self, other: &Poured) -> bool {
        let as_much = |a: f64, b: f64| (a - b).abs() <= 1e-6 * a.abs().max(b.abs());
        self.place == other.place
            && (as_much(self.volume_ml, other.volume_ml) || as_much(self.mass_g, other.mass_g))
    }
}

/// One ingredient in both drinks.
#[derive(Clone, Debug, PartialEq)]
pub struct PourPair {
    /// Of what.
    pub ingredient: String,
    /// In the first.
    pub a: Option<Poured>,
    /// In the second.
    pub b: Option<Poured>,
}

impl PourPair {
    /// Whether the two differ in it.
    #[must_use]
    pub fn differs(&self) -> bool {
        match (&self.a, &self.b) {
            (Some(a), Some(b)) => !a.same(b),
            _ => true,
        }
    }
}

/// Something else that is said of a drink: its glass, how it is made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SaidPair {
    /// What: `method`, `glass`, `garnish`, `price`, `acid convention`.
    pub what: String,
    /// Of the first; empty where nothing is said.
    pub a: String,
    /// Of the second.
    pub b: String,
}

/// Two drinks side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Every ingredient of either: those of the first in their order, then what only the second pours.
    pub pours: Vec<PourPair>,
    /// Method, glass, garnish, price, convention.
    pub said: Vec<SaidPair>,
    /// Every figure.
    pub figures: Vec<FigurePair>,
}

/// The pours of a drink with what they are of, in order.
#[must_use]
pub fn pours(worked: &ComputedDrink) -> Vec<(String, Poured)> {
    let poured = |pour: PourFigures| {
        let poured = Poured {
            written: pour.written,
            place: pour.place,
            volume_ml: pour.volume_ml,
            mass_g: pour.mass_g,
        };
        (pour.ingredient, poured)
    };
    worked.pours().into_iter().map(poured).collect()
}

/// How a drink is made: its steps other than pours and garnishes, in order.
fn method(worked: &ComputedDrink) -> String {
    let steps: Vec<String> = worked
        .drink
        .lines()
        .filter(|l| !matches!(l.step, Step::Pour(_) | Step::Garnish(_)))
        .map(|l| l.step.to_string())
        .collect();
    steps.join(", ")
}

fn said(worked: &ComputedDrink) -> [(&'static str, String); 5] {
    let drink = &worked.drink;
    let glass = drink.glass.as_ref().map(|g| match g.capacity_ml {
        Some(ml) => format!("{}, {ml} ml", g.name),
        None => g.name.clone(),
    });
    let price = drink.price.as_ref().map(ToString::to_string);
    let garnishes: Vec<&str> = drink.garnishes().collect();
    [
        ("method", method(worked)),
        ("glass", glass.unwrap_or_default()),
        ("garnish", garnishes.join("; ")),
        ("price", price.unwrap_or_default()),
        ("acid convention", worked.resolved.convention.word().to_owned()),
    ]
}

/// Two drinks side by side, each with what it comes to.
#[must_use]
pub fn compared(a: &ComputedDrink, b: &ComputedDrink) -> Comparison {
    let mut of_b: Vec<Option<(String, Poured)>> = pours(b).into_iter().map(Some).collect();
    let mut sides: Vec<PourPair> = Vec::new();
    for (ingredient, poured) in pours(a) {
        // The same ingredient poured the same way first, then poured at all.
        let found = |way: bool| {
            of_b.iter().position(|p| {
                p.as_ref()
                    .is_some_and(|(name, p)| *name == ingredient && (!way || p.place == poured.place))
            })
        };
        let twin = found(true)
            .or_else(|| found(false))
            .and_then(|at| of_b[at].take());
        sides.push(PourPair {
            ingredient,
            a: Some(poured),
            b: twin.map(|(_, p)| p),
        });
    }
    sides.extend(of_b.into_iter().flatten().map(|(ingredient, poured)| PourPair {
        ingredient,
        a: None,
        b: Some(poured),
    }));
    let said = said(a)
        .into_iter()
        .zip(said(b))
        .map(|((what, a), (_, b))| SaidPair {
            what: what.to_owned(),
            a,
            b,
        })
        .collect();
    let figures = FIGURES
        .iter()
        .map(|facts| {
            let (a, b) = (
                a.evaluation.figures.get(facts.which),
                b.evaluation.figures.get(facts.which),
            );
            FigurePair {
                facts,
                a,
                b,
                apart: apart(a, b, facts.decimals),
            }
        })
        .collect();
    Comparison {
        pours: sides,
        said,
        figures,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_with_one_uncertainty_known_counts_that_one() {
        let a = Figure {
            standard_uncertainty: Some(1.0),
            ..Figure::of(10.0)
        };
        let told = apart(a, Figure::of(11.9), 1).unwrap();
        assert!((told.least_told.unwrap() - 1.959_964).abs() < 1e-6);
        assert!(told.too_small && !apart(a, Figure::of(12.0), 1).unwrap().too_small);
        assert_eq!(apart(a, Figure::default(), 1), None);
    }
}
