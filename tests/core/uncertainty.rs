//! The intervals against simulation (JCGM 101:2008): every input drawn from its own distribution, all at once,
//! through the whole model; and examples of the guide that fit.
//!
//! The simulation shares nothing with the propagation but the inputs' distributions: values are put into the
//! ingredients and their liquids made anew, amounts are multiplied, the melt is set, the drink is built.

use std::collections::HashMap;

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal, Uniform};
use washline_core::balance::{Figures, evaluate, nominal};
use washline_core::build::{
    MeltDoubt, Off, Room, Shift, build_off, build_shifted, fill_doubts, melt_doubts, melted, temperature,
};
use washline_core::computed::{Bar, ComputedDrink, look_at};
use washline_core::ingredient::{Form, Quantity, Spread};
use washline_core::liquid::Liquid;
use washline_core::resolve::{Effect, Input, Portion, ResolvedPour, ResolvedStep};
use washline_core::spec::Source;
use washline_core::store::House;

const DRAWS: usize = 8_000;

/// In standard uncertainties from the expectation.
fn draw_z(form: Form, random: &mut StdRng) -> f64 {
    let within = |low: f64, high: f64, random: &mut StdRng| {
        if high > low {
            Uniform::new(low, high).unwrap().sample(random)
        } else {
            low
        }
    };
    match form {
        Form::Normal => Normal::new(0.0, 1.0).unwrap().sample(random),
        Form::Rectangular { low, high } => within(low, high, random),
        Form::Split { low, usual, high } if random.random_bool(0.5) => {
            let _ = high;
            within(low, usual, random)
        }
        Form::Split { usual, high, .. } => within(usual, high, random),
    }
}

fn draw(spread: &Spread, random: &mut StdRng) -> f64 {
    spread.mean + spread.standard * draw_z(spread.form, random)
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
            // All the sugar, or all the acid, of it by one factor; or the largest of them at the cost of the others.
            Input::Total(_, family) | Input::Split(_, family) => {
                other_values = true;
                let convention = worked.resolved.convention;
                let parts: Vec<(Quantity, f64)> = ingredient
                    .total(*family, convention)
                    .iter()
                    .map(|(v, weight)| (v.quantity, v.value * weight))
                    .collect();
                let total: f64 = parts.iter().map(|(_, v)| v).sum();
                let rest = (total - x * parts[0].1) / (total - parts[0].1);
                let split = matches!(doubt.input, Input::Split(..));
                for value in &mut ingredient.values {
                    if value.convention.is_none_or(|c| c == convention)
                        && let Some(which) = parts.iter().position(|(q, _)| *q == value.quantity)
                    {
                        value.value *= match (split, which) {
                            (true, 1..) => rest.max(0.0),
                            _ => x,
                        };
                    }
                }
            }
            Input::Value(_, Quantity::PressYield) => {
                factor *= x / ingredient
                    .figure(Quantity::PressYield, worked.resolved.convention)
                    .unwrap();
            }
            // Amounts, sizes of measures and masses of pieces spread as a factor of what is computed.
            _ => {
                assert_eq!(doubt.effect, Effect::Amount);
                match &mut changed.portion {
                    Portion::Fixed(_) => factor *= x,
                    Portion::Fills { usual_ml, .. } => *usual_ml *= x,
                }
            }
        }
    }
    if other_values {
        let label = written_strength(worked, pour);
        let base = ingredient
            .liquid(worked.resolved.convention, strength.or(label))
            .unwrap();
        let by_mass = ingredient.is_solid();
        *liquid_of(&mut changed) = if by_mass {
            base.of_mass(pour.some().mass_g()).unwrap()
        } else {
            base.of_volume(pour.some().volume_ml()).unwrap()
        };
    }
    let liquid = liquid_of(&mut changed);
    *liquid = liquid.times(factor).unwrap();
    changed
}

/// The liquid of a pour, or of a millilitre of what fills the glass.
fn liquid_of(pour: &mut ResolvedPour) -> &mut Liquid {
    match &mut pour.portion {
        Portion::Fixed(brought) => &mut brought.liquid,
        Portion::Fills { each_ml, .. } => each_ml,
    }
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

/// The inputs of the pours with their distributions, in a fixed order: a map's own would make every run another one.
fn inputs(worked: &ComputedDrink) -> Vec<(Input, Spread)> {
    let mut spreads: HashMap<Input, Spread> = HashMap::new();
    for step in &worked.resolved.steps {
        if let ResolvedStep::Pour(pour) = step {
            for doubt in &pour.doubts {
                spreads.entry(doubt.input.clone()).or_insert(doubt.spread);
            }
        }
    }
    let mut inputs: Vec<(Input, Spread)> = spreads.into_iter().collect();
    inputs.sort_by_key(|(input, _)| format!("{input:?}"));
    inputs
}

/// A drink with every pour as drawn.
fn drawn_drink(
    worked: &ComputedDrink,
    inputs: &[(Input, Spread)],
    random: &mut StdRng,
) -> washline_core::resolve::Resolved {
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
                    *liquid_of(&mut changed) = pour.others[pick - 1];
                }
            }
            *pour = changed;
        }
    }
    resolved
}

fn drawn_room(worked: &ComputedDrink, random: &mut StdRng) -> Room {
    let mut room = Room::default();
    for (_, by) in fill_doubts(&worked.resolved, &worked.built) {
        let z = random.random_range(-1.0..1.0);
        room.ice += z * by.ice;
        room.glass += z * by.glass;
    }
    room
}

/// Runs in which the melt's own unknowns do what they are said to do a standard uncertainty either side.
fn simulate(worked: &ComputedDrink, random: &mut StdRng) -> Vec<Figures> {
    let inputs = inputs(worked);
    let state = melted(&worked.resolved, &worked.built, &Off::default());
    let doubts: Vec<MeltDoubt> = melt_doubts(&worked.resolved, &worked.built, state.as_ref());
    (0..DRAWS)
        .map(|_| {
            let resolved = drawn_drink(worked, &inputs, random);
            let shift = doubts.iter().fold(Shift::default(), |sum, doubt| {
                sum.plus(&Shift::at(&doubt.below, &doubt.above, draw_z(doubt.form, random)))
            });
            let built = build_shifted(&resolved, &worked.built, shift, drawn_room(worked, random));
            let mut figures = nominal(&resolved, &built);
            figures.temperature_c.value = temperature(&resolved, &built, state.as_ref(), &shift);
            figures
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

/// How far the ends (of the width) and the standard uncertainty may be off: 6 % and 3 %, but for what a propagation
/// of first order cannot follow.
fn tolerance(drink: &str, fills: bool, figure: &str) -> (f64, f64) {
    match (drink, figure) {
        // A top has a least size that the ice gives way to, and fills what two wide inputs leave: a floor and a product,
        // where the sum is a bell.
        _ if fills => (0.30, 0.20),
        // What is not known of a melt bends the temperature: two straight lines are followed by one.
        (_, "temperature_c") => (0.10, 0.12),
        // Two gins' or rums' worth of lopsided strengths.
        ("Espresso Martini" | "Stinger", "ethanol_g" | "standard_drinks") => (0.09, 0.03),
        // A top that fills a glass of unknown size: its share of the drink is a quotient of two wide inputs.
        ("Mojito", "water_pct_of_mix" | "water_pct_of_finished") => (0.10, 0.05),
        // What tops the glass is sized by what is in it already, and never below a least.
        ("Quiet Coach Dew", "volume_ml") => (0.10, 0.03),
        // The coffee is its only acid and wide, and so is how much of it a shot is: a product, lopsided.
        ("Espresso Martini", "acid_g_per_100ml") => (0.08, 0.03),
        ("Clover Club", "acid_g_per_100ml") => (0.05, 0.04),
        // The melt of an egg-white shake is capped: above the cap it no longer follows the strength.
        (_, "water_pct_of_mix" | "water_pct_of_finished" | "water_gained_ml") => (0.10, 0.05),
        // A quotient whose divisor is known to no better than some 15 %.
        (_, "sugar_to_acid") => (0.11, 0.10),
        _ => (0.06, 0.03),
    }
}

/// Standard uncertainties within 3 %, ends of the 95 % interval within 6 % of its width, for every figure of
/// strength, sweetness, tartness, volume, water, alcohol and energy.
fn agrees(drinks: &[ComputedDrink], seed: u64) {
    let mut random = StdRng::seed_from_u64(seed);
    let mut wrong = Vec::new();
    for worked in drinks {
        let evaluation = evaluate(&worked.resolved, &worked.built, &worked.ranges);
        let runs = simulate(worked, &mut random);
        for (at, (name, figure)) in evaluation.figures.named().into_iter().enumerate() {
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
            let (ends, sides) = tolerance(worked.name(), worked.built.fill.is_some(), name);
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

/// Runs in which nothing is kept from the drink as computed: the curve is calibrated, and the drink melted, anew under
/// every draw of what is not known of ice, vessel and work.
fn simulate_anew(worked: &ComputedDrink, draws: usize, random: &mut StdRng) -> Vec<Figures> {
    let inputs = inputs(worked);
    let poured = |random: &mut StdRng| Normal::new(0.0, 4.0 / 1.96).unwrap().sample(random);
    let read = |random: &mut StdRng| Normal::new(0.0, 0.3 / 1.96).unwrap().sample(random);
    (0..draws)
        .map(|_| {
            let resolved = drawn_drink(worked, &inputs, random);
            let mut off = Off {
                melt: random.random_range(-1.0..1.0),
                wet: random.random_range(-1.0..1.0),
                vessel: random.random_range(-1.0..1.0),
            };
            // What the balance carries away from the curve's own ice and volume is less sure than the curve.
            off.melt *= worked.built.carried();
            let shift = Shift {
                kelvin: read(random),
                poured_kelvin: poured(random),
                ..Shift::default()
            };
            let built = build_off(&resolved, off, drawn_room(worked, random));
            let state = melted(&resolved, &built, &off);
            let mut figures = nominal(&resolved, &built);
            figures.temperature_c.value = temperature(&resolved, &built, state.as_ref(), &shift);
            figures
        })
        .collect()
}

/// Of every figure of the demo house and of sixty drinks, the share of runs that lie in its 95 % interval: 95 ± 2 % over
/// the drinks, temperature included (JCGM 101:2008, by simulation).
#[test]
#[expect(
    clippy::print_stdout,
    reason = "the table of coverage, for who asks with --nocapture"
)]
fn intervals_hold_what_they_say() {
    let mut random = StdRng::seed_from_u64(101);
    let mut drinks = worked("lantern-halt.md");
    let classics = worked("classics.md");
    drinks.extend(
        classics
            .into_iter()
            .enumerate()
            .filter(|(i, _)| i % 5 != 4)
            .map(|(_, w)| w)
            .take(60),
    );
    assert!(drinks.len() >= 80, "{}", drinks.len());
    let mut held: HashMap<&str, (usize, usize)> = HashMap::new();
    let mut worst: Vec<(f64, String)> = Vec::new();
    for worked in &drinks {
        let evaluation = evaluate(&worked.resolved, &worked.built, &worked.ranges);
        let runs = simulate_anew(worked, 240, &mut random);
        for (at, (name, figure)) in evaluation.figures.named().into_iter().enumerate() {
            let (Some(low), Some(high)) = (figure.low, figure.high) else {
                continue;
            };
            let values: Vec<f64> = runs.iter().filter_map(|f| f.named()[at].1.value).collect();
            if high - low < 0.004 * figure.value.unwrap_or(1.0).abs().max(1.0) {
                continue;
            }
            let inside = values.iter().filter(|v| (low..=high).contains(*v)).count();
            let of = held.entry(name).or_default();
            (of.0, of.1) = (of.0 + inside, of.1 + values.len());
            worst.push((
                inside as f64 / values.len() as f64,
                format!("{}: {name}", worked.name()),
            ));
        }
    }
    worst.sort_by(|a, b| a.0.total_cmp(&b.0));
    let table: Vec<String> = held
        .iter()
        .map(|(name, (inside, of))| format!("{name} {:.1} % of {of}", 100.0 * *inside as f64 / *of as f64))
        .collect();
    println!("{}\nworst: {:?}", table.join("\n"), &worst[..worst.len().min(12)]);
    for (name, (inside, of)) in &held {
        let share = *inside as f64 / *of as f64;
        assert!(
            (0.93..=0.97).contains(&share),
            "{name}: {:.1} %\n{}",
            100.0 * share,
            table.join("\n")
        );
    }
}

/// Poured by the jigger, every ingredient of the library that spreads prints figures that lie in the middle of their own
/// distribution: between the 35th and the 65th percentile.
#[test]
fn what_is_printed_is_the_middle_of_its_doubt() {
    let mut random = StdRng::seed_from_u64(6);
    let mut book = String::from("# Pours\n");
    for ingredient in washline_core::ingredient::library().iter() {
        if !ingredient.is_solid() && ingredient.name != "water" {
            book.push_str(&format!("\n## Of {0}\n- 50 ml {0}\n- neat\n", ingredient.name));
        }
    }
    let looked = look_at(&[Source::new("pours.md", book)], &Bar::default());
    let faults = looked.faults;
    // What its own name does not lead to is the reader's matter.
    let listed = |worked: &ComputedDrink| {
        worked.resolved.steps.iter().all(|step| match step {
            ResolvedStep::Pour(pour) => worked.context.stock.get(&pour.ingredient).is_some(),
            _ => true,
        })
    };
    let pours: Vec<ComputedDrink> = looked.drinks.into_iter().filter(listed).collect();
    assert!(
        pours.len() > 600 && faults.len() < 60,
        "{} {:?}",
        pours.len(),
        faults.iter().take(5).collect::<Vec<_>>()
    );
    let mut wrong = Vec::new();
    for worked in &pours {
        let inputs = inputs(worked);
        let printed = nominal(&worked.resolved, &worked.built);
        let runs: Vec<Figures> = (0..1000)
            .map(|_| {
                let resolved = drawn_drink(worked, &inputs, &mut random);
                nominal(&resolved, &washline_core::build::build(&resolved))
            })
            .collect();
        for (at, name) in [
            (0, "volume"),
            (1, "strength"),
            (2, "sugar"),
            (3, "acid"),
            (8, "alcohol"),
            (10, "energy"),
        ] {
            let Some(value) = printed.named()[at].1.value.filter(|v| *v > 0.0) else {
                continue;
            };
            let values: Vec<f64> = runs.iter().filter_map(|f| f.named()[at].1.value).collect();
            let slack = 1e-9 * value;
            let below = values.iter().filter(|v| **v < value - slack).count() as f64;
            let same = values.iter().filter(|v| (**v - value).abs() <= slack).count() as f64;
            let place = (below + 0.5 * same) / values.len() as f64;
            // Of 1000 runs the percentile is known to 1.5 points (one standard deviation): twice that is no proof that it
            // lies outside.
            const NOISE: f64 = 0.03;
            if !(0.35 - NOISE..=0.65 + NOISE).contains(&place) {
                wrong.push(format!(
                    "{}: {name} {value:.3} at {:.0} %",
                    worked.name(),
                    100.0 * place
                ));
            }
        }
    }
    assert!(wrong.is_empty(), "{} of them:\n{}", wrong.len(), wrong.join("\n"));
}
