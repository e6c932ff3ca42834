//! The intervals against simulation (JCGM 101:2008): every input drawn from its own distribution, all at once,
//! through the whole model; and examples of the guide that fit.
//!
//! The simulation shares nothing with the propagation but the inputs' distributions: values are put into the
//! ingredients and their liquids made anew, amounts are multiplied, the melt is set, the drink is built.

use std::collections::HashMap;

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal, Triangular, Uniform};
use washline_core::balance::{Figures, evaluate, nominal};
use washline_core::build::build_melting;
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::{Form, Quantity, Spread};
use washline_core::resolve::{Effect, Input, ResolvedPour, ResolvedStep};
use washline_core::spec::Source;
use washline_core::store::House;

const DRAWS: usize = 8_000;

fn draw(spread: &Spread, random: &mut StdRng) -> f64 {
    let z = match spread.form {
        Form::Normal => Normal::new(0.0, 1.0).unwrap().sample(random),
        Form::Rectangular { low, high } => Uniform::new(low, high).unwrap().sample(random),
        Form::Triangular { low, peak, high } => Triangular::new(low, high, peak).unwrap().sample(random),
    };
    spread.mean + spread.standard * z
}

/// One pour with every input it depends on as drawn.
fn drawn_pour(worked: &ComputedDrink, pour: &ResolvedPour, drawn: &HashMap<Input, f64>) -> ResolvedPour {
    let mut changed = pour.clone();
    let mut ingredient = worked.context.stock.get(&pour.ingredient).unwrap().clone();
    let mut strength = None;
    let (mut factor, mut other_values) = (1.0, false);
    for doubt in &pour.doubts {
        let x = drawn[&doubt.input].max(0.0);
        match &doubt.input {
            Input::Value(_, Quantity::Strength) => (strength, other_values) = (Some(x), true),
            Input::Value(_, quantity @ Quantity::Part(_)) => {
                other_values = true;
                let convention = worked.resolved.convention;
                for value in &mut ingredient.values {
                    if value.quantity == *quantity && value.convention.is_none_or(|c| c == convention) {
                        value.value = x;
                    }
                }
            }
            Input::Value(_, Quantity::PressYield) => {
                factor *= x / ingredient
                    .figure(Quantity::PressYield, worked.resolved.convention)
                    .unwrap();
            }
            // Amounts, sizes of measures and masses of pieces spread as a factor of what is computed.
            _ if pour.fills => changed.volume_ml = pour.volume_ml * x,
            _ => {
                assert_eq!(doubt.effect, Effect::Amount);
                factor *= x;
            }
        }
    }
    if other_values {
        let label = written_strength(worked, pour);
        let base = ingredient
            .liquid(worked.resolved.convention, strength.or(label))
            .unwrap();
        let by_mass = ingredient.is_solid();
        changed.liquid = if by_mass {
            base.of_mass(pour.liquid.mass_g()).unwrap()
        } else {
            base.of_volume(pour.liquid.volume_ml()).unwrap()
        };
    }
    changed.liquid = changed.liquid.times(factor).unwrap();
    changed
}

/// The strength that the line gives, where it gives one.
fn written_strength(worked: &ComputedDrink, pour: &ResolvedPour) -> Option<f64> {
    worked
        .resolved
        .steps
        .iter()
        .zip(worked.drink.lines())
        .find_map(|(step, line)| match (step, &line.step) {
            (ResolvedStep::Pour(p), washline_core::spec::Step::Pour(written)) if p == pour => {
                written.strength_pct.map(|s| s.to_f64())
            }
            _ => None,
        })
}

fn simulate(worked: &ComputedDrink, random: &mut StdRng) -> Vec<Figures> {
    let mut spreads: HashMap<Input, Spread> = HashMap::new();
    for step in &worked.resolved.steps {
        if let ResolvedStep::Pour(pour) = step {
            for doubt in &pour.doubts {
                spreads.insert(doubt.input.clone(), doubt.spread);
            }
        }
    }
    // Drawn in a fixed order: a map's own order would make every run another one.
    let mut inputs: Vec<(Input, Spread)> = spreads.into_iter().collect();
    inputs.sort_by_key(|(input, _)| format!("{input:?}"));
    (0..DRAWS)
        .map(|_| {
            let drawn: HashMap<Input, f64> = inputs
                .iter()
                .map(|(input, spread)| (input.clone(), draw(spread, random)))
                .collect();
            let mut resolved = worked.resolved.clone();
            for step in &mut resolved.steps {
                if let ResolvedStep::Pour(pour) = step {
                    let mut changed = drawn_pour(worked, pour, &drawn);
                    if !pour.others.is_empty() {
                        let pick = random.random_range(0..=pour.others.len());
                        if pick > 0 {
                            changed.liquid = pour.others[pick - 1];
                        }
                    }
                    *pour = changed;
                }
            }
            let built = build_melting(&resolved, &worked.built, random.random_range(-1.0..1.0));
            nominal(&resolved, &built)
        })
        .collect()
}

fn worked(book: &str) -> Vec<ComputedDrink> {
    let path = format!("{}/../../fixtures/books/{book}", env!("CARGO_MANIFEST_DIR"));
    let mut house = House::in_memory().unwrap();
    let source = Source::new(book, std::fs::read_to_string(path).unwrap());
    assert_eq!(crate::take(&mut house, &[source]), []);
    house.drinks().unwrap()
}

/// What a figure comes to by simulation: standard deviation, and the 2.5 and 97.5 % quantiles.
fn simulated(values: &mut [f64]) -> (f64, f64, f64) {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let deviation = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt();
    values.sort_by(f64::total_cmp);
    let at = |share: f64| values[((n - 1.0) * share).round() as usize];
    (deviation, at(0.025), at(0.975))
}

/// How far the ends (of the width) and the standard uncertainty may be off: 5 % and 3 %, but for what a propagation
/// of first order cannot follow.
fn tolerance(drink: &str, figure: &str) -> (f64, f64) {
    match (drink, figure) {
        // A top that fills a glass of unknown size: its share of the drink is a quotient of two wide inputs.
        ("Mojito", "water_pct_of_mix" | "water_pct_of_finished") => (0.10, 0.05),
        // What tops the glass is sized by what is in it already, and never below a least.
        ("Quiet Coach Dew", "volume_ml") => (0.08, 0.03),
        // The coffee is its only acid and wide, and so is how much of it a shot is: a product, lopsided.
        ("Espresso Martini", "acid_g_per_100ml") => (0.08, 0.03),
        ("Clover Club", "acid_g_per_100ml") => (0.05, 0.04),
        // The melt of an egg-white shake is capped: above the cap it no longer follows the strength.
        (_, "water_pct_of_mix" | "water_pct_of_finished" | "water_gained_ml") => (0.08, 0.05),
        // A quotient whose divisor is known to no better than some 15 %.
        (_, "sugar_to_acid") => (0.08, 0.08),
        _ => (0.05, 0.03),
    }
}

/// Standard uncertainties within 3 %, ends of the 95 % interval within 5 % of its width, for every figure of
/// strength, sweetness, tartness, volume, water, alcohol and energy.
fn agrees(drinks: &[ComputedDrink], seed: u64) {
    let mut random = StdRng::seed_from_u64(seed);
    let mut wrong = Vec::new();
    for worked in drinks {
        let evaluation = evaluate(&worked.resolved, &worked.built, &worked.ranges);
        let runs = simulate(worked, &mut random);
        for (at, (name, figure)) in evaluation.figures.named().into_iter().enumerate() {
            // The temperature has an interval of its own, from the heat balance.
            if name == "temperature_c" {
                continue;
            }
            let (Some(value), Some(low), Some(high)) = (figure.value, figure.low, figure.high) else {
                continue;
            };
            let mut values: Vec<f64> = runs.iter().filter_map(|f| f.named()[at].1.value).collect();
            let (deviation, from, to) = simulated(&mut values);
            // What is at the end of a printed digit anyway is not compared: a trace of acid, a drop of sugar.
            if to - from < 0.004 * value.max(1.0) {
                continue;
            }
            let width = to - from;
            let uncertainty = figure.standard_uncertainty.unwrap();
            let off = (
                (low - from) / width,
                (high - to) / width,
                uncertainty / deviation - 1.0,
            );
            let (ends, sides) = tolerance(worked.name(), name);
            if off.0.abs() > ends || off.1.abs() > ends || off.2.abs() > sides {
                wrong.push(format!("{}: {name} {value:.3}: {low:.3} to {high:.3}, simulated {from:.3} to {to:.3}; ends off by {:.1} % and {:.1} % of the width, u by {:.1} %", worked.name(), 100.0 * off.0, 100.0 * off.1, 100.0 * off.2));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of them:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn the_demo_house_agrees_with_simulation() {
    agrees(&worked("lantern-halt.md"), 20_261_125);
}

#[test]
fn forty_classics_agree_with_simulation() {
    // Every second or third of the list, so that all structures are among them.
    let all = worked("classics.md");
    let forty: Vec<ComputedDrink> = all
        .into_iter()
        .enumerate()
        .filter(|(i, _)| i % 5 < 2)
        .map(|(_, w)| w)
        .take(40)
        .collect();
    assert_eq!(forty.len(), 40);
    agrees(&forty, 40);
}
