//! Where a drink would lie if more or less of one thing were poured: what a fault in an amount looks like.
//!
//! A drink is not called too sweet because it has much sugar: it is where with less of what sweetens it, it would be much
//! more like its family. So each of the six faults is asked what undoing it would do.

use serde::{Deserialize, Serialize};

use super::{BalanceFigure, Figures, Side, nominal};
use crate::build::{Built, Variation, build_varied};
use crate::liquid::{Component, Liquid};
use crate::resolve::{Resolved, ResolvedPour, ResolvedStep};
use crate::tables::IngredientKind;

/// Strength, sweetness and tartness of a drink in their units, and its volume in the glass, ml.
pub type Point = [f64; 4];

/// What a pour is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// It brings the strength.
    Base,
    /// It brings the sugar.
    Sweetener,
    /// It brings the acid.
    Citrus,
}

impl Role {
    /// All three, in the order of what they are about.
    pub const ALL: [Role; 3] = [Role::Base, Role::Sweetener, Role::Citrus];

    /// What it brings.
    #[must_use]
    pub fn measure(self) -> BalanceFigure {
        match self {
            Role::Base => BalanceFigure::Strength,
            Role::Sweetener => BalanceFigure::Sweetness,
            Role::Citrus => BalanceFigure::Tartness,
        }
    }
}

/// Something wrong with an amount: too much or too little of what brings a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Imbalance {
    /// What it shows in.
    pub measure: BalanceFigure,
    /// On which side.
    pub side: Side,
}

/// A drink, and where it would lie with more or less of each thing.
#[derive(Clone, Debug)]
pub struct Moves {
    /// Where it lies.
    pub at: Point,
    /// Where it would lie if a fault were undone, several amounts a fault.
    pub undone: Vec<(Imbalance, Point)>,
}

/// By how much a pour is changed to see what it does: a quarter to four times, in steps of a quarter near to what it is: the
/// span of the faults that happen (hardly poured, poured again). Common practice, no source.
const TIMES: [f64; 10] = [0.25, 0.4, 0.5, 0.63, 0.8, 1.25, 1.6, 2.0, 2.5, 4.0];
/// Simple syrup that is added to see whether a drink without a sweetener wants one, ml.
const SYRUP_ML: [f64; 3] = [7.5, 15.0, 22.5];

/// Sugar from which a pour sweetens, g/L: liqueurs, syrups, cordials. Where there is none of it, what has a third of
/// that does: sodas, sweet vermouth, juice.
const SWEET_G_PER_L: f64 = 180.0;
/// Strength from which a pour is a spirit, % vol; where there is none of it, whatever has a third of that.
const STRONG_PCT: f64 = 28.0;
/// A spirit of less than this seasons, ml.
const LEAST_BASE_ML: f64 = 8.0;

/// A drink with what each of its steps is there for.
pub(super) struct Played<'a> {
    drink: &'a Resolved,
    /// Of each step of the drink.
    roles: Vec<Option<Role>>,
}

impl<'a> Played<'a> {
    /// Of a drink, by its pours.
    pub fn of(drink: &'a Resolved) -> Played<'a> {
        Played {
            drink,
            roles: roles(drink),
        }
    }

    /// Whether any step has a role.
    fn has(&self, role: Role) -> bool {
        self.roles.contains(&Some(role))
    }

    /// The liquids of the drink's steps with so many times as much of what has a role; `None` where nothing has it.
    pub fn times(&self, role: Role, times: f64) -> Option<Vec<Liquid>> {
        if !self.has(role) {
            return None;
        }
        // There is one role a step.
        let steps = self.drink.steps.iter().zip(&self.roles);
        let liquids = steps.map(|(step, is)| match step {
            ResolvedStep::Pour(pour) if *is == Some(role) => pour.some().times(times).unwrap_or(pour.some()),
            ResolvedStep::Pour(pour) => pour.some(),
            _ => Liquid::NOTHING,
        });
        Some(liquids.collect())
    }
}

fn roles(drink: &Resolved) -> Vec<Option<Role>> {
    let mut roles = vec![None; drink.steps.len()];
    let mut mark = |role: Role, is: &dyn Fn(&ResolvedPour, f64) -> bool| {
        let mut any = false;
        for (at, step) in drink.steps.iter().enumerate() {
            let ResolvedStep::Pour(pour) = step else { continue };
            // What fills the glass has no amount of its own.
            let ml = pour.some().volume_ml();
            if roles[at].is_none() && !pour.fills() && ml > 0.0 && is(pour, ml) {
                roles[at] = Some(role);
                any = true;
            }
        }
        any
    };
    let sugar = |pour: &ResolvedPour, ml: f64| 1000.0 * pour.some().sweetening_diluted_g() / ml;
    let strength = |pour: &ResolvedPour| pour.some().abv_pct().unwrap_or(0.0);
    let solid = |pour: &ResolvedPour| {
        matches!(
            pour.kind,
            IngredientKind::Puree | IngredientKind::Fruit | IngredientKind::Herb | IngredientKind::Vegetable
        )
    };
    mark(Role::Citrus, &|pour, _| pour.is_sour_juice());
    if !mark(Role::Sweetener, &|pour, ml| sugar(pour, ml) >= SWEET_G_PER_L) {
        mark(Role::Sweetener, &|pour, ml| {
            sugar(pour, ml) >= SWEET_G_PER_L / 3.0 && !solid(pour)
        });
    }
    if !mark(Role::Base, &|pour, ml| {
        strength(pour) >= STRONG_PCT && ml >= LEAST_BASE_ML
    }) {
        mark(Role::Base, &|pour, ml| {
            strength(pour) >= STRONG_PCT / 3.0 && ml >= LEAST_BASE_ML
        });
    }
    roles
}

/// Where a drink lies. Its sweetness is grams of sugar, or as sucrose where something else sweetens it.
#[must_use]
pub fn point(figures: &Figures, glass: &Liquid) -> Point {
    let [strength, _, tartness] = BalanceFigure::ALL.map(|m| figures.measured(m).value.unwrap_or(0.0));
    let ml = figures.volume_ml.value.unwrap_or(0.0);
    let sweetness = if ml > 0.0 {
        100.0 * glass.sweetening_g() / ml
    } else {
        0.0
    };
    [strength, sweetness, tartness, ml]
}

impl Moves {
    /// Where a drink lies, and where it would with a fault undone.
    #[must_use]
    pub fn of(drink: &Resolved, built: &Built, figures: &Figures) -> Moves {
        let played = Played::of(drink);
        let mut undone = Vec::with_capacity(30);
        let at = |liquids: &[Liquid]| {
            let variation = Variation {
                liquids,
                near: Some(built),
                ..Variation::default()
            };
            let built = build_varied(drink, &variation);
            point(&nominal(drink, &built), &built.glass)
        };
        for role in Role::ALL {
            for factor in TIMES {
                let Some(liquids) = played.times(role, factor) else {
                    break;
                };
                // With less of it more like its family: there is too much.
                let side = if factor < 1.0 { Side::Above } else { Side::Below };
                let measure = role.measure();
                undone.push((Imbalance { measure, side }, at(&liquids)));
            }
        }
        if !played.has(Role::Sweetener) {
            let first = drink
                .steps
                .iter()
                .position(|s| matches!(s, ResolvedStep::Pour(p) if !p.fills()));
            for (step, ml) in first.into_iter().flat_map(|step| SYRUP_ML.map(|ml| (step, ml))) {
                // Equal masses of sugar and water: 1.23 g/ml.
                let half = (Component::Sucrose, 0.615 * ml);
                let syrup = Liquid::of(&[half, (Component::Water, 0.615 * ml)]).unwrap_or_default();
                let mut liquids: Vec<Liquid> = drink
                    .steps
                    .iter()
                    .map(|s| match s {
                        ResolvedStep::Pour(pour) => pour.some(),
                        _ => Liquid::NOTHING,
                    })
                    .collect();
                liquids[step] = liquids[step].plus(&syrup);
                let fault = Imbalance {
                    measure: BalanceFigure::Sweetness,
                    side: Side::Below,
                };
                undone.push((fault, at(&liquids)));
            }
        }
        Moves {
            at: point(figures, &built.glass),
            undone,
        }
    }

    /// The same drink with every figure so much off.
    #[must_use]
    pub(super) fn shifted(&self, by: Point) -> Moves {
        let shift = |point: &Point| [0, 1, 2, 3].map(|i| (point[i] + by[i]).max(0.0));
        Moves {
            at: shift(&self.at),
            undone: self.undone.iter().map(|(fault, p)| (*fault, shift(p))).collect(),
        }
    }
}
