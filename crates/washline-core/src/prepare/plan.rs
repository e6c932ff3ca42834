//! From what is written to what the walk goes through: what each pour brings and how it joins, what each step does.

use super::Written;
use super::walk::{Action, Joins, Part, Plan};
use crate::ingredient::{Countable, Ingredient, Quantity, Stock};
use crate::names::key;
use crate::resolve::{Portion, Resolved, ResolvedPour, ResolvedStep, resolve};
use crate::spec::{Fault, Making, Prepare, Process, Settings, Step, Technique};
use crate::tables::IngredientKind;

/// What a step of a preparation is, and of what ingredient where it is a pour.
pub(super) struct Resolution<'a> {
    pub resolved: Resolved,
    pub ingredients: Vec<Option<&'a Ingredient>>,
}

impl<'a> Resolution<'a> {
    pub fn of(
        written: &Written<'_>,
        stock: &'a Stock,
        settings: &Settings,
    ) -> Result<Resolution<'a>, Vec<Fault>> {
        let resolved = resolve(written.preparation, stock, settings, written.source)?;
        let ingredients = resolved
            .steps
            .iter()
            .map(|step| match step {
                ResolvedStep::Pour(pour) => stock.get(&pour.ingredient),
                _ => None,
            })
            .collect();
        Ok(Resolution {
            resolved,
            ingredients,
        })
    }

    pub fn pours(&self) -> impl Iterator<Item = (usize, &ResolvedPour, Option<&'a Ingredient>)> {
        self.resolved
            .steps
            .iter()
            .zip(&self.ingredients)
            .enumerate()
            .filter_map(|(at, (step, ingredient))| match step {
                ResolvedStep::Pour(pour) => Some((at, pour, *ingredient)),
                _ => None,
            })
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
fn actions(step: &Step, part: &mut usize) -> Vec<Action> {
    match step {
        Step::Pour(_) => {
            *part += 1;
            vec![Action::Pour(*part - 1)]
        }
        Step::Work(work) => {
            let mut actions = Vec::new();
            // Ice that is measured is water that is measured.
            let ice_g = work.ice.as_ref().and_then(|ice| ice.mass_g);
            actions.extend(ice_g.map(|g| Action::Water(g.to_f64())));
            if presses(work.technique) {
                actions.push(Action::Press);
            }
            actions
        }
        Step::Strain { .. } => vec![Action::Strain],
        Step::Prepare(prepare) => match prepare.process {
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
        Step::Ice(_)
        | Step::Unstrained
        | Step::OverIce(_)
        | Step::Neat
        | Step::Rest(_)
        | Step::Garnish(_) => Vec::new(),
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

pub(super) fn plan(written: &Written<'_>, resolution: &Resolution<'_>, making: &Making) -> Plan {
    let given = |ingredient: &str, named: &str| {
        making
            .gives
            .iter()
            .find(|g| key(&g.name) == key(ingredient) || key(&g.name) == key(named))
            .map(|g| g.share_pct.to_f64() / 100.0)
    };
    let mut parts = Vec::new();
    let mut milk = false;
    for (_, pour, ingredient) in resolution.pours() {
        milk |= ingredient.is_some_and(is_milk);
        let named = pour.typed_name();
        parts.push(Part {
            liquid: pour.some(),
            joins: joins(pour, ingredient, given(&pour.ingredient, named)),
            mass_g: pour.fixed().map_or(0.0, |brought| brought.mass_g),
        });
    }
    let mut part = 0;
    let actions = written
        .preparation
        .lines()
        .flat_map(|line| actions(&line.step, &mut part))
        .collect();
    Plan::of(parts, actions, making, milk)
}
