//! From what is written to what the walk goes through: what each pour brings and how it joins, what each step does.

use super::Written;
use super::walk::{Action, Joins, Part, PartId, Plan};
use crate::ingredient::{Countable, Ingredient, Quantity, Stock};
use crate::names::key;
use crate::resolve::{Portion, Resolved, ResolvedPour, ResolvedStep, resolve};
use crate::spec::{Fault, Making, Prepare, Process, Settings, Technique};
use crate::tables::IngredientKind;

/// A preparation with every name resolved.
pub(super) struct Resolution<'a> {
    pub resolved: Resolved,
    stock: &'a Stock,
}

/// A pour of a preparation.
#[derive(Clone, Copy)]
pub(super) struct Poured<'r, 'a> {
    /// Its place among the steps, from 0.
    pub at: usize,
    /// The part of the plan that it is.
    pub part: PartId,
    /// As it was resolved.
    pub pour: &'r ResolvedPour,
    /// What is poured, where it stands in the stock.
    pub ingredient: Option<&'a Ingredient>,
}

/// A step of a preparation: a part of it, or what is done.
enum PlannedStep<'r, 'a> {
    Poured(Poured<'r, 'a>),
    Done(&'r ResolvedStep),
}

impl<'a> Resolution<'a> {
    pub fn of(
        written: &Written<'_>,
        stock: &'a Stock,
        settings: &Settings,
    ) -> Result<Resolution<'a>, Vec<Fault>> {
        let resolved = resolve(written.preparation, stock, settings, written.source)?;
        Ok(Resolution { resolved, stock })
    }

    /// Its steps in working order, each pour as the part that it is: the one place that tells them.
    fn steps(&self) -> impl Iterator<Item = PlannedStep<'_, 'a>> {
        let mut next = PartId::FIRST;
        self.resolved
            .steps
            .iter()
            .enumerate()
            .map(move |(at, step)| match step {
                ResolvedStep::Pour(pour) => PlannedStep::Poured(Poured {
                    at,
                    part: next.then(),
                    pour,
                    ingredient: self.stock.get(&pour.ingredient),
                }),
                step => PlannedStep::Done(step),
            })
    }

    pub fn pours(&self) -> impl Iterator<Item = Poured<'_, 'a>> {
        self.steps().filter_map(|step| match step {
            PlannedStep::Poured(poured) => Some(poured),
            PlannedStep::Done(_) => None,
        })
    }

    /// What goes into it, as far as it stands in the stock.
    pub fn ingredients(&self) -> impl Iterator<Item = &'a Ingredient> {
        self.pours().filter_map(|poured| poured.ingredient)
    }
}

/// Whether something gives its flavour and stays behind, unless it is pressed: plants, spices, coffee, fat.
pub(super) fn is_steeped(ingredient: &Ingredient) -> bool {
    let piece = Quantity::Mass(Countable::Piece);
    match ingredient.kind {
        IngredientKind::Herb | IngredientKind::Spice | IngredientKind::Fruit | IngredientKind::Vegetable => {
            true
        }
        IngredientKind::CoffeeAndTea => {
            ingredient.is_solid() || ingredient.values.iter().any(|v| v.quantity == piece)
        }
        _ => is_fat(ingredient),
    }
}

pub(super) fn is_fat(ingredient: &Ingredient) -> bool {
    ingredient.groups.iter().any(|g| g == "fats")
}

fn is_milk(ingredient: &Ingredient) -> bool {
    ingredient.kind == IngredientKind::Dairy && !is_fat(ingredient)
}

/// How a pour joins.
fn joins(pour: &ResolvedPour, ingredient: Option<&Ingredient>, given_share: Option<f64>) -> Joins {
    let Portion::Fixed(brought) = &pour.portion else {
        return Joins::Fills;
    };
    let steeped = ingredient.is_some_and(is_steeped);
    if !steeped && !pour.needs_pressing {
        return Joins::AtOnce;
    }
    let presses = ingredient.is_some_and(|i| i.values.iter().any(|v| v.quantity == Quantity::PressYield));
    let powder = ingredient.is_some_and(|i| i.values.iter().any(|v| v.quantity == Quantity::BulkDensity));
    Joins::WhenPressed {
        pressed_share: if brought.mass_g > 0.0 {
            brought.liquid.mass_g() / brought.mass_g
        } else {
            0.0
        },
        given_share,
        stays: powder && !presses,
    }
}

/// What a step does to the liquid.
fn actions(step: PlannedStep<'_, '_>) -> Vec<Action> {
    let step = match step {
        PlannedStep::Poured(poured) => return vec![Action::Pour(poured.part)],
        PlannedStep::Done(step) => step,
    };
    match step {
        ResolvedStep::Work(work) => {
            let mut actions = Vec::new();
            // Ice that is measured is water that is measured.
            let ice_g = work.typed.ice.as_ref().and_then(|ice| ice.mass_g);
            actions.extend(ice_g.map(|g| Action::Water(g.to_f64())));
            if presses(work.technique) {
                actions.push(Action::Press);
            }
            actions
        }
        ResolvedStep::Strain { .. } => vec![Action::Strain],
        ResolvedStep::Prepare(prepare) => match prepare.process {
            Process::Heat => vec![heat(prepare, false)],
            Process::Boil | Process::Reduce => vec![heat(prepare, true)],
            Process::Infuse => prepare
                .celsius
                .map(|_| heat(prepare, false))
                .into_iter()
                .collect(),
            Process::Press => vec![Action::Press],
            Process::Filter => vec![Action::Strain],
            Process::Clarify => vec![Action::Clarify],
            Process::Carbonate | Process::Ferment | Process::Handle => Vec::new(),
        },
        ResolvedStep::Pour(_)
        | ResolvedStep::Ice(_)
        | ResolvedStep::Unstrained
        | ResolvedStep::OverIce(_)
        | ResolvedStep::Neat
        | ResolvedStep::Rest(_)
        | ResolvedStep::Garnish(_) => Vec::new(),
    }
}

/// Where ethanol boils, °C: what is kept that hot and open loses it.
const ETHANOL_BOILS_C: f64 = 78.4;

fn heat(prepare: &Prepare, boils: bool) -> Action {
    Action::Heat {
        boils: boils || prepare.celsius.is_some_and(|c| c >= ETHANOL_BOILS_C),
        minutes: prepare.seconds.map(|s| s.to_f64() / 60.0),
    }
}

fn presses(technique: Technique) -> bool {
    matches!(
        technique,
        Technique::Muddle | Technique::Shake | Technique::WhipShake | Technique::DryShake | Technique::Blend
    )
}

pub(super) fn plan(resolution: &Resolution<'_>, making: &Making) -> Plan {
    let given = |ingredient: &str, named: &str| {
        making
            .gives
            .iter()
            .find(|g| key(&g.name) == key(ingredient) || key(&g.name) == key(named))
            .map(|g| g.share_pct.to_f64() / 100.0)
    };
    let part = |poured: Poured<'_, '_>| {
        let Poured { pour, ingredient, .. } = poured;
        Part {
            liquid: pour.some(),
            joins: joins(pour, ingredient, given(&pour.ingredient, pour.typed_name())),
            mass_g: pour.fixed().map_or(0.0, |brought| brought.mass_g),
        }
    };
    Plan::of(
        resolution
            .pours()
            .map(|poured| (poured.part, part(poured)))
            .collect(),
        resolution.steps().flat_map(actions).collect(),
        making,
        resolution.ingredients().any(is_milk),
    )
}
