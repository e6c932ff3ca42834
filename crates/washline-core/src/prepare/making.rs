//! One preparation, made: what goes in, what leaves, and the ingredient it comes to.

use super::caution::Ways;
use super::compose::Composed;
use super::made::{Brought, Lost, Made};
use super::plan::{Poured, Resolution, plan as plan_of};
use super::remarks::{Telling, ways};
use super::walk::{Joins, Open, PartId, Plan, Problem, Produced};
use super::{Written, caution, compose, conventions};
use crate::ingredient::{Convention, Declaration, Ingredient, IngredientError, Origin, Stock, refusal};
use crate::liquid::Liquid;
use crate::names::key;
use crate::resolve::{Resolved, ResolvedPour, rounded};
use crate::spec::{Drink, Fault, Making, Settings, Unplaced, Yield};
use crate::tables::IngredientKind;

/// Make one preparation, its parts standing in the stock already.
///
/// # Errors
/// Every name or amount that cannot be told, and what cannot be true of it.
pub(super) fn make(
    written: Written<'_>,
    stock: &Stock,
    settings: &Settings,
    made: &[(usize, Made)],
) -> Result<Made, Vec<Fault>> {
    let preparation = written.preparation;
    let blank = Making::default();
    let making = preparation.makes.as_ref().unwrap_or(&blank);
    let resolution = Resolution::of(&written, stock, settings)?;
    if !written.sound {
        // Its own faults are told already; its names are known.
        return Err(Vec::new());
    }
    let plan = plan_of(&resolution, making);
    let (open, produced) = produced(&written, &resolution, &plan, making)
        .map_err(|wrongs| -> Vec<Fault> { wrongs.into_iter().map(|w| w.at(written.source)).collect() })?;
    let composed = composed(
        &written,
        making,
        stock,
        settings,
        (&resolution, &plan),
        (open, &produced),
    )?;
    let mut telling = Telling {
        preparation,
        making,
        resolution: &resolution,
        plan: &plan,
        open,
        produced: &produced,
        made,
        assumptions: resolution.resolved.assumptions.clone(),
        warnings: Vec::new(),
    };
    telling.tell(stock);
    let perishables = telling.perishables();
    let (keeps, keeps_as) = telling.keeping(perishables);
    let Telling {
        assumptions,
        warnings,
        ..
    } = telling;
    let ways = ways(preparation, &resolution, &plan, &produced);
    let cautions = cautions(&resolution.resolved, &ways, &produced.liquid);
    let (allergens_eu, allergens_us) = allergens(&resolution.resolved, making);
    let ingredient = Ingredient {
        name: preparation.name.clone(),
        kind: making.kind.clone().unwrap_or_else(|| {
            kind(
                &preparation.name,
                &produced.liquid,
                resolution.resolved.pours().any(|(_, pour)| pour.foamer),
                ways.infused || ways.fat,
            )
        }),
        groups: Vec::new(),
        aliases: making.also.clone(),
        basis: composed[0].1.basis,
        carbonated: making.carbonated.unwrap_or(ways.carbonated),
        allergens_eu,
        allergens_us,
        caution: cautions.join("; "),
        note: keeps
            .as_ref()
            .map(|k| format!("keeps {}", k.words))
            .unwrap_or_default(),
        values: compose::values(&composed, &source_text(preparation, &resolution)),
        origin: Origin::Book,
    };
    takes_apart(&ingredient).map_err(|why| {
        vec![Unplaced::reject(preparation.span.clone(), why.to_string()).at(written.source)]
    })?;
    let measured_ml = measured_ml(making, &produced.liquid);
    let yield_ml = measured_ml.unwrap_or_else(|| produced.liquid.volume_ml());
    Ok(Made {
        preparation: preparation.clone(),
        line: written.line,
        liquid: produced.liquid,
        convention: own_convention(settings),
        yield_ml,
        yield_g: yield_ml * produced.liquid.density_g_per_ml().unwrap_or(0.0),
        measured: measured_ml.is_some(),
        parts: brought(&resolution, &plan, &produced),
        lost: lost(&produced),
        keeps,
        keeps_as,
        perishables,
        warnings,
        assumptions: each_once(assumptions),
        cautions,
        ingredient,
    })
}

/// What to mind: what is said of each pour, and of what is done with them.
fn cautions(resolved: &Resolved, ways: &Ways, liquid: &Liquid) -> Vec<String> {
    let of_pours = resolved
        .cautions
        .iter()
        .flat_map(|c| c.split("; "))
        .map(str::to_owned);
    each_once(of_pours.chain(caution::cautions(ways, liquid)))
}

/// What was put together can be taken apart again, in either convention.
fn takes_apart(ingredient: &Ingredient) -> Result<(), IngredientError> {
    for convention in [Convention::Handbook, Convention::Assay] {
        ingredient.liquid(convention, None)?;
    }
    Ok(())
}

/// What left on the way.
fn lost(produced: &Produced) -> Lost {
    Lost {
        evaporated_g: produced.evaporated_g,
        alcohol_g: produced.alcohol_lost_g,
        strained_ml: produced.strained_ml,
        solids_g: produced.solids_g,
        curds_g: produced.curds_g,
    }
}

/// How much the writer measured of it, ml; `None` where nobody did.
fn measured_ml(making: &Making, liquid: &Liquid) -> Option<f64> {
    match making.yields.as_ref()? {
        Yield::Volume(ml) => Some(ml.to_f64()),
        Yield::Mass(grams) => liquid.density_g_per_ml().map(|d| grams.to_f64() / d),
    }
}

/// What a preparation comes to, with the one thing that its yield leaves open; or everything wrong with it.
fn produced(
    written: &Written<'_>,
    resolution: &Resolution<'_>,
    plan: &Plan,
    making: &Making,
) -> Result<(Open, Produced), Vec<Unplaced>> {
    let preparation = written.preparation;
    let heading = preparation.span.clone();
    let mut wrongs = refused(preparation, resolution, making);
    let solved = plan
        .left_open()
        .and_then(|open| plan.come_to(open).map(|produced| (open, produced)));
    match solved {
        Ok((_, produced)) if produced.liquid.mass_g() <= 0.0 => wrongs.push(Unplaced::reject(
            heading,
            format!("`{}` comes to nothing", preparation.name),
        )),
        Ok(solved) if wrongs.is_empty() => return Ok(solved),
        Ok(_) => {}
        Err(problem) => wrongs.push(Unplaced::reject(heading, problem_text(problem, making))),
    }
    Err(wrongs)
}

/// What it is made of in the convention of the book, and in the other where that counts something otherwise.
fn composed(
    written: &Written<'_>,
    making: &Making,
    stock: &Stock,
    settings: &Settings,
    (resolution, plan): (&Resolution<'_>, &Plan),
    (open, produced): (Open, &Produced),
) -> Result<Vec<(Convention, Composed)>, Vec<Fault>> {
    let [own, other] = conventions(settings);
    let of_own = compose::compose(plan, open, &produced.liquid, &parts(resolution));
    let mut composed = vec![(own, of_own)];
    let differs = resolution
        .ingredients()
        .any(|i| i.values.iter().any(|v| v.convention.is_some()));
    if differs {
        let counted = Settings {
            convention: Some(other),
            ..settings.clone()
        };
        let resolution = Resolution::of(written, stock, &counted)?;
        let plan = plan_of(&resolution, making);
        if let Ok(produced) = plan.come_to(open) {
            let of_other = compose::compose(&plan, open, &produced.liquid, &parts(&resolution));
            composed.push((other, of_other));
        }
    }
    Ok(composed)
}

/// What is said more than once is said once, where it was first.
fn each_once<T: Clone + Eq + std::hash::Hash>(all: impl IntoIterator<Item = T>) -> Vec<T> {
    let mut seen = std::collections::HashSet::new();
    all.into_iter().filter(|one| seen.insert(one.clone())).collect()
}

/// Every part with what it is as resolved.
fn parts<'r>(resolution: &'r Resolution<'_>) -> Vec<(PartId, &'r ResolvedPour)> {
    resolution.pours().map(|p| (p.part, p.pour)).collect()
}

fn own_convention(settings: &Settings) -> Convention {
    conventions(settings)[0]
}

/// What is never done.
fn refused(preparation: &Drink, resolution: &Resolution<'_>, making: &Making) -> Vec<Unplaced> {
    let mut wrongs = Vec::new();
    for (_, pour) in resolution.resolved.pours() {
        let typed = pour
            .typed
            .choices
            .first()
            .map(|n| n.full.as_str())
            .unwrap_or_default();
        if let Some(message) = refusal(typed).or_else(|| refusal(&pour.ingredient)) {
            wrongs.push(Unplaced::reject(pour.span.clone(), message));
        }
    }
    for given in &making.gives {
        let named = resolution.resolved.pours().any(|(_, pour)| {
            key(&pour.ingredient) == key(&given.name) || key(pour.typed_name()) == key(&given.name)
        });
        if !named {
            let message = format!("`gives: {} …`: nothing of that name goes in", given.name);
            wrongs.push(Unplaced::reject(preparation.span.clone(), message));
        }
    }
    wrongs
}

fn problem_text(problem: Problem, making: &Making) -> String {
    let unit = if matches!(making.yields, Some(Yield::Mass(_))) {
        "g"
    } else {
        "ml"
    };
    match problem {
        Problem::TooDry(asked, there) => format!(
            "{} g of water would evaporate, and {} g are there; expected less",
            rounded(asked),
            rounded(there)
        ),
        Problem::NothingLeft(asked, there) => format!(
            "{} ml would be lost in straining, and {} ml are there; expected less",
            rounded(asked),
            rounded(there)
        ),
        Problem::TooMuch(most) => format!(
            "it cannot yield that much: what goes in comes to {} {unit}; expected that or less",
            rounded(most)
        ),
        Problem::Full(without) => format!(
            "there is {} {unit} before it is filled up, more than it yields; expected a larger `yield:`",
            rounded(without)
        ),
    }
}

/// What it is made of, in short.
fn source_text(preparation: &Drink, resolution: &Resolution<'_>) -> String {
    const MOST: usize = 6;
    let parts: Vec<String> = resolution
        .pours()
        .map(|p| {
            format!("{} {}", p.pour.written, p.pour.ingredient)
                .trim()
                .to_owned()
        })
        .collect();
    let more = if parts.len() > MOST { ", …" } else { "" };
    let shown = parts[..parts.len().min(MOST)].join(", ");
    let yields = preparation
        .particular("yield")
        .map(|y| format!("; yield {y}"))
        .unwrap_or_default();
    format!("made here: {shown}{more}{yields}")
}

fn allergens(resolved: &Resolved, making: &Making) -> (Declaration, Declaration) {
    let (mut eu, mut us) = (resolved.allergens_eu.clone(), resolved.allergens_us.clone());
    if let Some(more) = &making.allergens {
        eu.join(more);
        us.join(&crate::ingredient::us_of(more));
    }
    (eu, us)
}

/// Strength from which what is steeped makes an infusion, % vol: below it is a syrup or cordial of another name.
const INFUSION_PCT: f64 = 15.0;

/// What sort of thing it is, where nobody says: by the last word of its name, else by what is in it.
fn kind(name: &str, liquid: &Liquid, foams: bool, steeped: bool) -> IngredientKind {
    const NAMED: [IngredientKind; 10] = [
        IngredientKind::Syrup,
        IngredientKind::Cordial,
        IngredientKind::Juice,
        IngredientKind::Bitters,
        IngredientKind::Puree,
        IngredientKind::Vinegar,
        IngredientKind::Liqueur,
        IngredientKind::Soda,
        IngredientKind::Nectar,
        IngredientKind::Foamer,
    ];
    let name = key(name);
    let named = NAMED
        .into_iter()
        .find(|kind| name.split(' ').any(|said| said == key(kind.word())));
    match named {
        Some(kind) => kind,
        // What foams goes on foaming.
        None if foams => IngredientKind::Foamer,
        None if steeped && liquid.abv_pct().unwrap_or(0.0) >= INFUSION_PCT => IngredientKind::Infusion,
        None if liquid.abv_pct().unwrap_or(0.0) >= 0.5 => IngredientKind::PreBatch,
        None => IngredientKind::HousePreparation,
    }
}

fn brought(resolution: &Resolution<'_>, plan: &Plan, produced: &Produced) -> Vec<Brought> {
    resolution
        .pours()
        .map(|Poured { at, part, pour, .. }| {
            let steeped = matches!(plan.parts[part].joins, Joins::WhenPressed { .. });
            let poured = pour.portion.of(Some(produced.filled_ml));
            let joined = if !produced.joined[part] {
                Liquid::NOTHING
            } else if pour.fills() {
                poured.liquid
            } else {
                plan.joined(part, produced)
            };
            Brought {
                position: at,
                ingredient: pour.ingredient.clone(),
                written: pour.written.clone(),
                volume_ml: if steeped {
                    joined.volume_ml()
                } else {
                    poured.volume_ml
                },
                mass_g: if pour.fills() {
                    joined.mass_g()
                } else {
                    poured.mass_g
                },
                joined,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_follow_the_name_and_then_what_is_in_it() {
        let water = Liquid::water_g(100.0).unwrap();
        let strong = Liquid::from_strength(30.0).unwrap();
        assert_eq!(kind("Bay leaf syrup", &water, false, true), IngredientKind::Syrup);
        assert_eq!(
            kind("Syrupy thing", &water, false, false),
            IngredientKind::HousePreparation
        );
        assert_eq!(
            kind("House stirred", &strong, false, false),
            IngredientKind::PreBatch
        );
        assert_eq!(kind("Tea gin", &strong, false, true), IngredientKind::Infusion);
    }
}
