//! From the liquid a preparation comes to, to an ingredient: figures per litre (or per 100 g of a dry one), each
//! with the spread that follows from its parts.

use super::walk::{Open, PartId, Plan};
use crate::ingredient::{Basis, Convention, NORMAL_95, Quantity, Shape, Status, Value};
use crate::liquid::{Component, Liquid};
use crate::resolve::{Effect, Input, ResolvedPour};

/// A mix with less water than this, g per 100 g, is dry: it is weighed out and not poured.
const DRY_WATER_G_PER_100G: f64 = 3.0;
/// Below this, g/L or g/100 g, a figure is rounding.
const NOTHING: f64 = 1e-6;

/// What the parts of such a liquid are counted in.
pub(super) fn basis(liquid: &Liquid) -> Basis {
    let solvent = liquid.grams(Component::Water) + liquid.ethanol_g();
    if 100.0 * solvent < DRY_WATER_G_PER_100G * liquid.mass_g() {
        Basis::Mass
    } else {
        Basis::Litre
    }
}

/// Every figure of a liquid on a basis, strength first.
fn figures(liquid: &Liquid, basis: Basis) -> Vec<(Quantity, f64)> {
    let (of, to) = match basis {
        Basis::Litre => (liquid.volume_ml(), 1000.0),
        Basis::Mass => (liquid.mass_g(), 100.0),
    };
    let strength = match basis {
        Basis::Litre => liquid.abv_pct().unwrap_or(0.0),
        Basis::Mass => 0.0,
    };
    let mut all = vec![(Quantity::Strength, strength)];
    all.extend(
        liquid
            .parts()
            .filter(|(c, _)| !matches!(c, Component::Water | Component::Ethanol))
            .map(|(component, grams)| {
                (
                    Quantity::Part(component),
                    if of > 0.0 { grams * to / of } else { 0.0 },
                )
            }),
    );
    all
}

/// One convention's figures: value and half-width, about 95 %.
pub(super) struct Composed {
    pub basis: Basis,
    pub figures: Vec<(Quantity, f64, f64)>,
}

/// Work out the figures and their spread. `pours` are the parts of the plan as they were resolved.
///
/// Each thing that is not exactly known is set a standard uncertainty below and above what is expected of it, one at
/// a time and in every part that it is about; what that does to a figure adds up as the root of the sum of squares.
pub(super) fn compose(
    plan: &Plan,
    open: Open,
    liquid: &Liquid,
    pours: &[(PartId, &ResolvedPour)],
) -> Composed {
    let basis = basis(liquid);
    let nominal = figures(liquid, basis);
    let mut squares = vec![0.0; nominal.len()];
    let figures_with = |liquids: &[(PartId, Liquid)]| -> Option<Vec<(Quantity, f64)>> {
        let mut varied = plan.clone();
        for (part, liquid) in liquids {
            varied.parts[*part].liquid = *liquid;
        }
        varied.come_to(open).ok().map(|came| figures(&came.liquid, basis))
    };
    for input in inputs(pours) {
        let set = |above: bool| -> Vec<(PartId, Liquid)> {
            pours
                .iter()
                .flat_map(|(part, pour)| pour.doubts.iter().map(move |d| (*part, *pour, d)))
                .filter(|(_, pour, doubt)| doubt.input == *input && !pour.fills())
                .filter_map(|(part, pour, doubt)| {
                    let liquid = match &doubt.effect {
                        Effect::Amount => {
                            let (less, more) = doubt.spread.either_side();
                            pour.some().times(if above { more } else { less }).ok()?
                        }
                        Effect::Liquid { below, above: more } => {
                            if above {
                                *more
                            } else {
                                *below
                            }
                        }
                    };
                    Some((part, liquid))
                })
                .collect()
        };
        if let (Some(below), Some(above)) = (figures_with(&set(false)), figures_with(&set(true))) {
            for (square, (low, high)) in squares.iter_mut().zip(below.iter().zip(&above)) {
                *square += ((high.1 - low.1) / 2.0).powi(2);
            }
        }
    }
    // A choice that the writer leaves open: as likely one as the other.
    for (part, pour) in pours {
        for other in &pour.others {
            if let Some(changed) = figures_with(&[(*part, *other)]) {
                for (square, (own, other)) in squares.iter_mut().zip(nominal.iter().zip(&changed)) {
                    *square += ((other.1 - own.1) / 2.0).powi(2);
                }
            }
        }
    }
    let figures = nominal
        .into_iter()
        .zip(squares)
        .filter(|((_, value), _)| *value > NOTHING)
        .map(|((quantity, value), square)| (quantity, value, NORMAL_95 * square.sqrt()))
        .collect();
    Composed { basis, figures }
}

/// Everything that is not exactly known of the parts, each once.
fn inputs<'a>(pours: &[(PartId, &'a ResolvedPour)]) -> Vec<&'a Input> {
    let mut all: Vec<&Input> = Vec::new();
    for doubt in pours.iter().flat_map(|(_, pour)| &pour.doubts) {
        if !all.contains(&&doubt.input) {
            all.push(&doubt.input);
        }
    }
    all
}

/// The values of both conventions as those of one ingredient: a figure that is the same in both holds in both.
pub(super) fn values(by_convention: &[(Convention, Composed)], source: &str) -> Vec<Value> {
    let value = |quantity, value: f64, half: f64, convention| Value {
        quantity,
        value,
        low: (value - half).max(0.0),
        high: value + half,
        shape: if half > 0.0 { Shape::Normal } else { Shape::Exact },
        convention,
        source: source.to_owned(),
        status: Status::Computed,
    };
    let Some(((first_convention, first), others)) = by_convention.split_first() else {
        return Vec::new();
    };
    let mut values: Vec<Value> = Vec::new();
    for &(quantity, figure, half) in &first.figures {
        let same = others.iter().all(|(_, other)| {
            other
                .figures
                .iter()
                .any(|(q, f, h)| *q == quantity && near(*f, figure) && near(*h, half))
        });
        values.push(value(
            quantity,
            figure,
            half,
            (!same).then_some(*first_convention),
        ));
    }
    for (convention, other) in others {
        for &(quantity, figure, half) in &other.figures {
            let held = values
                .iter()
                .any(|v| v.quantity == quantity && v.convention.is_none());
            if !held {
                values.push(value(quantity, figure, half, Some(*convention)));
            }
        }
    }
    if first.basis == Basis::Mass {
        values.retain(|v| v.quantity != Quantity::Strength);
        values.push(value(Quantity::PressYield, 100.0, 0.0, None));
    }
    values
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}
