//! What of a drink goes into the vessel, and what is added to each serve.

use super::{Ask, Serving};
use crate::computed::ComputedDrink;
use crate::ingredient::{Convention, Ingredient, Quantity};
use crate::liquid::{Component, Liquid};
use crate::measure::{Dimension, Unit};
use crate::names::key;
use crate::prepare::{Perishables, citrus_clock};
use crate::resolve::{ResolvedPour, ResolvedStep};
use crate::spec::{PourAmount, PourMethod, Technique};
use crate::tables::IngredientKind;

/// When something joins.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub enum When {
    /// Into the vessel.
    Batch,
    /// To each serve.
    Service,
}

impl When {
    /// Its word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// Why something is added at service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Why {
    /// It would go flat.
    Fizzes,
    /// Egg, or what foams like it.
    Egg,
    /// Fresh fruit, herbs: muddled or pressed for each.
    Fresh,
    /// It is held longer than it is at its best, hours.
    PastItsBest(f64),
    /// It joins after the work on ice.
    AfterTheIce,
    /// A float, a rinse, a mist.
    OnTheGlass,
    /// It is poured hot.
    Hot,
}

impl Why {
    /// In words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Why::Fizzes => "it fizzes".to_owned(),
            Why::Egg => "egg goes in to order".to_owned(),
            Why::Fresh => "fresh, to order".to_owned(),
            Why::PastItsBest(hours) => format!("at its best for {hours:.0} h after pressing"),
            Why::AfterTheIce => "it joins after the ice".to_owned(),
            Why::OnTheGlass => "it goes on the drink or the glass".to_owned(),
            Why::Hot => "poured hot".to_owned(),
        }
    }
}

/// One line of a batch.
#[derive(Clone, Debug, PartialEq)]
pub struct BatchLine {
    /// Its place among the steps of the drink, from 0.
    pub position: usize,
    /// What.
    pub ingredient: String,
    /// The amount for one, as written.
    pub written: String,
    /// Into the vessel, or to each serve.
    pub when: When,
    /// Why it is added at service.
    pub why: Option<Why>,
    /// Whether it is dry or solid and is weighed.
    pub solid: bool,
    /// What it brings to one serve.
    pub each: Liquid,
    /// ml of it in one serve.
    pub each_ml: f64,
    /// g of it in one serve; of a solid, as it is put in.
    pub each_g: f64,
    /// What it brings to all of them, rounded to a jug where it goes into the vessel.
    pub all: Liquid,
    /// ml of it for all.
    pub volume_ml: f64,
    /// g of it for all.
    pub mass_g: f64,
    /// The least and most it may be for all, ml, where it is measured in dashes or the like.
    pub span_ml: Option<(f64, f64)>,
    /// Still water in the place of what fizzed.
    pub was: Option<String>,
    /// What it is scaled by besides the serves.
    pub factor: f64,
    /// Strength of it, % vol, for the order of work.
    pub strength_pct: f64,
    /// How many hours it is at its best, where it is fresh citrus.
    pub clock_h: Option<(f64, f64)>,
    /// The least and most of one measure, as factors.
    span: Option<(f64, f64)>,
}

/// A volume as it is measured into a batch: whole ml from 100, halves from 10, tenths below.
pub(super) fn to_a_jug(ml: f64) -> f64 {
    let step = if ml >= 100.0 {
        1.0
    } else if ml >= 10.0 {
        0.5
    } else {
        0.1
    };
    (ml / step).round() * step
}

impl BatchLine {
    /// Scale it to so many serves.
    pub(super) fn scale(&mut self, serves: f64) {
        let exact = if self.solid { self.each_g } else { self.each_ml } * serves;
        let amount = if self.when == When::Batch {
            to_a_jug(exact)
        } else {
            exact
        };
        // What rounds to nothing is still put in.
        let amount = if amount > 0.0 { amount } else { exact };
        let factor = if exact > 0.0 { serves * amount / exact } else { 0.0 };
        self.all = self.each.times(factor).unwrap_or_default();
        self.volume_ml = factor * self.each_ml;
        self.mass_g = factor * self.each_g;
        self.span_ml = self
            .span
            .map(|(low, high)| (low * self.volume_ml, high * self.volume_ml));
    }
}

/// Share of water above which what fizzes is soda and nothing else.
const SODA_WATER_SHARE: f64 = 0.995;

/// Every line of a drink for one serve, with where it goes: into the vessel first, what is cheapest first of all, then
/// what is added at service, as written.
pub(super) fn lines(worked: &ComputedDrink, ask: &Ask, serving: Serving) -> Vec<BatchLine> {
    let resolved = &worked.resolved;
    let presses = |step: &ResolvedStep| {
        matches!(step, ResolvedStep::Work(work) if matches!(
            work.technique,
            Technique::Muddle | Technique::Shake | Technique::WhipShake | Technique::DryShake | Technique::Blend
        ))
    };
    let last_press = resolved.steps.iter().rposition(presses);
    let mut all = Vec::new();
    for (position, pour) in resolved.pours() {
        let known = worked.context.ingredient(&pour.ingredient);
        let ingredient = known.as_deref();
        let brought = worked.built.brought(pour);
        let mut each = brought.liquid;
        // What nothing presses adds nothing.
        if pour.needs_pressing && last_press.is_none_or(|press| press < position) {
            each = Liquid::NOTHING;
        }
        let bitters = ingredient.is_some_and(|i| i.kind == IngredientKind::Bitters);
        let factor = if bitters { ask.bitters_factor } else { 1.0 };
        each = each.times(factor).unwrap_or_default();
        let (mut name, mut was) = (pour.ingredient.clone(), None);
        if ask.keg && pour.carbonated && is_soda(&each) {
            was = Some(std::mem::replace(&mut name, "water".to_owned()));
        }
        let (when, why) = placed(worked, ask, serving, position, pour, ingredient);
        let solid = ingredient.is_some_and(Ingredient::is_solid);
        let each_ml = factor * brought.volume_ml;
        let dashed = match pour.typed.measure {
            PourAmount::Of(_, Some(unit)) => size_span(worked, unit, pour),
            _ => None,
        };
        all.push(BatchLine {
            position,
            ingredient: name,
            written: pour.written.clone(),
            when,
            why,
            solid,
            each_ml: if solid { each.volume_ml() } else { each_ml },
            each_g: factor * brought.mass_g,
            each,
            all: Liquid::NOTHING,
            volume_ml: 0.0,
            mass_g: 0.0,
            span_ml: None,
            was,
            factor,
            strength_pct: each.abv_pct().unwrap_or(0.0),
            clock_h: ingredient.and_then(citrus_clock),
            span: dashed,
        });
    }
    // What costs least goes in first: a slip then costs least too. Bitters last. Common practice, no source.
    let rank = |line: &BatchLine| match (line.when, is_bitters(worked, line)) {
        (When::Service, _) => 3,
        (When::Batch, true) => 2,
        (When::Batch, false) if line.strength_pct >= 0.5 => 1,
        (When::Batch, false) => 0,
    };
    all.sort_by(|a, b| {
        rank(a).cmp(&rank(b)).then_with(|| match a.when {
            When::Batch if rank(a) == 1 => a.strength_pct.total_cmp(&b.strength_pct),
            _ => a.position.cmp(&b.position),
        })
    });
    all
}

fn is_bitters(worked: &ComputedDrink, line: &BatchLine) -> bool {
    worked
        .context
        .stock
        .get(&line.ingredient)
        .is_some_and(|i| i.kind == IngredientKind::Bitters)
}

fn is_soda(liquid: &Liquid) -> bool {
    liquid.mass_g() > 0.0 && liquid.grams(Component::Water) >= SODA_WATER_SHARE * liquid.mass_g()
}

/// The least and most of an inexact measure as factors of what it is taken for.
fn size_span(worked: &ComputedDrink, unit: Unit, pour: &ResolvedPour) -> Option<(f64, f64)> {
    let facts = unit.facts();
    if facts.dimension != Dimension::Volume || pour.usual().volume_ml <= 0.0 {
        return None;
    }
    let size = worked.context.settings.to_measures().size(unit)?;
    let (nominal, low, high) = (size.nominal.to_f64(), size.low.to_f64(), size.high.to_f64());
    (low < high).then_some((low / nominal, high / nominal))
}

fn placed(
    worked: &ComputedDrink,
    ask: &Ask,
    serving: Serving,
    position: usize,
    pour: &ResolvedPour,
    ingredient: Option<&Ingredient>,
) -> (When, Option<Why>) {
    let at_service = |why| (When::Service, Some(why));
    let after_the_ice =
        serving == Serving::ToOrder && worked.built.worked_at.is_some_and(|work| position > work);
    let plant = ingredient.is_some_and(|i| {
        let pressed = i
            .figure(Quantity::PressYield, Convention::Handbook)
            .is_some_and(|y| y < 100.0);
        matches!(
            i.kind,
            IngredientKind::Herb | IngredientKind::Fruit | IngredientKind::Vegetable | IngredientKind::Spice
        ) && (pressed || i.is_solid())
    });
    let clock = ingredient.and_then(citrus_clock);
    if pour.egg || pour.foamer {
        at_service(Why::Egg)
    } else if pour.needs_pressing || plant {
        at_service(Why::Fresh)
    } else if matches!(
        pour.place,
        PourMethod::Float | PourMethod::Rinse | PourMethod::Mist
    ) {
        at_service(Why::OnTheGlass)
    } else if pour.hot {
        at_service(Why::Hot)
    } else if pour.carbonated && !ask.keg {
        at_service(Why::Fizzes)
    } else if let Some((_, best_h)) = clock.filter(|(_, best_h)| *best_h < ask.hold_hours) {
        at_service(Why::PastItsBest(best_h))
    } else if after_the_ice && !ask.keg {
        at_service(Why::AfterTheIce)
    } else {
        (When::Batch, None)
    }
}

/// What decides how long the vessel holds.
pub(super) fn perishables(worked: &ComputedDrink, lines: &[BatchLine], vessel: &Liquid) -> Perishables {
    let volume = vessel.volume_ml().max(f64::MIN_POSITIVE);
    let mut holds = Perishables::default();
    for line in lines.iter().filter(|l| l.when == When::Batch) {
        let much = line.volume_ml > 0.02 * volume;
        match worked.context.preparations.named(&line.ingredient) {
            Some(made) => holds.join(made.perishables, much),
            None => {
                if let Some(ingredient) = worked.context.ingredient(&line.ingredient) {
                    holds.take_in(&ingredient, much, true);
                }
            }
        }
    }
    holds
}

/// The preparation in the vessel that keeps the shortest.
pub(super) fn keeps_as(worked: &ComputedDrink, lines: &[BatchLine]) -> Option<(String, String)> {
    lines
        .iter()
        .filter(|l| l.when == When::Batch)
        .filter_map(|l| worked.context.preparations.named(&l.ingredient))
        .filter_map(|made| Some((made.name(), made.keeps.as_ref()?)))
        .min_by_key(|(_, keeps)| keeps.hours)
        .map(|(name, keeps)| (name.to_owned(), keeps.words.clone()))
}

/// Whether two names lead to the same thing.
pub(super) fn same(a: &str, b: &str) -> bool {
    key(a) == key(b)
}
