//! Laws that hold whatever is poured: of liquids, of builds, of reading.

use std::cell::{Cell, RefCell};
use std::sync::LazyLock;

use proptest::prelude::*;
use proptest::test_runner::{Config, TestCaseError, TestCaseResult, TestRunner};
use washline_core::balance::{Figures, Ranges, evaluate};
use washline_core::build::build;
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::library;
use washline_core::liquid::alcoholometry::{
    density_kg_per_m3, mass_fraction_from_density, mass_fraction_from_strength, strength_pct_vol,
};
use washline_core::liquid::{Component, Liquid, LiquidError};
use washline_core::measure::Amount;
use washline_core::resolve::{Brought, Portion, Resolved, ResolvedPour, ResolvedStep, ResolvedWork, resolve};
use washline_core::spec::{self, Fault, PourMethod, Source, Technique, WaterGiven};
use washline_core::store::House;
use washline_core::tables::Ice;

/// So many cases, and more where `PROPTEST_CASES` asks for more than its usual 256.
fn config(cases: u32) -> Config {
    let usual = Config::default();
    Config {
        cases: (cases * usual.cases / 256).max(1),
        failure_persistence: None,
        ..usual
    }
}

fn close(what: &str, a: f64, b: f64, relative: f64) -> TestCaseResult {
    let within = relative * a.abs().max(b.abs());
    prop_assert!((a - b).abs() <= within, "{}: {} and {}", what, a, b);
    Ok(())
}

/// The same masses, each to a relative `relative`.
fn same(a: &Liquid, b: &Liquid, relative: f64) -> TestCaseResult {
    for (component, grams) in a.parts() {
        close(component.facts().name, grams, b.grams(component), relative)?;
    }
    Ok(())
}

/// Any liquid at all: from a milligram to tonnes of each component, or none of it.
fn any_liquid() -> impl Strategy<Value = Liquid> {
    let grams = prop_oneof![3 => Just(0.0), 3 => 0.0..500.0, 1 => 0.001..0.1, 1 => 1e3..1e6];
    prop::collection::vec(grams, Component::COUNT).prop_map(|grams| {
        let parts: Vec<(Component, f64)> = Component::all().zip(grams).collect();
        Liquid::of(&parts).unwrap()
    })
}

/// A bottle of something: a litre as a label has it.
fn any_bottle() -> impl Strategy<Value = (f64, f64, f64, Liquid)> {
    (0.0..60.0, 0.0..400.0, 0.0..70.0).prop_map(|(strength, sugar, acid)| {
        let parts = [(Component::SugarsUnspecified, sugar), (Component::Citric, acid)];
        (strength, sugar, acid, Liquid::litre(strength, &parts).unwrap())
    })
}

/// Every figure that a liquid can be asked for.
fn figures_of(liquid: &Liquid) -> [Option<f64>; 15] {
    [
        Some(liquid.mass_g()),
        Some(liquid.volume_ml()),
        Some(liquid.ethanol_g()),
        Some(liquid.ethanol_ml()),
        Some(liquid.sugar_g()),
        Some(liquid.sweetness_as_sucrose_g()),
        Some(liquid.acid_as_citric_g()),
        Some(liquid.fat_g()),
        Some(liquid.energy_kj()),
        liquid.density_g_per_ml(),
        liquid.abv_pct(),
        liquid.sugar_g_per_100ml(),
        liquid.acid_g_per_100ml(),
        liquid.brix(),
        liquid.parts().map(|(_, grams)| grams).reduce(f64::min),
    ]
}

// Liquids

proptest! {
    #![proptest_config(config(256))]

    #[test]
    fn mixing_commutes_and_associates(a in any_liquid(), b in any_liquid(), c in any_liquid()) {
        same(&a.plus(&b), &b.plus(&a), 0.0)?;
        let (left, right) = (a.plus(&b).plus(&c), a.plus(&b.plus(&c)));
        same(&left, &right, 1e-12)?;
        close("volume", left.volume_ml(), right.volume_ml(), 1e-12)?;
        same(&a.plus(&Liquid::NOTHING), &a, 0.0)?;
    }

    #[test]
    fn masses_add(a in any_liquid(), b in any_liquid()) {
        let mix = a.plus(&b);
        close("mass", mix.mass_g(), a.mass_g() + b.mass_g(), 1e-12)?;
        close("ethanol", mix.ethanol_g(), a.ethanol_g() + b.ethanol_g(), 1e-12)?;
        close("sugar", mix.sugar_g(), a.sugar_g() + b.sugar_g(), 1e-12)?;
        close("acid", mix.acid_as_citric_g(), a.acid_as_citric_g() + b.acid_as_citric_g(), 1e-12)?;
        close("energy", mix.energy_kj(), a.energy_kj() + b.energy_kj(), 1e-12)?;
    }

    #[test]
    fn what_is_split_and_mixed_again_is_as_before(a in any_liquid(), share in 0.0..=1.0f64) {
        prop_assume!(a != Liquid::NOTHING);
        let halves = a.times(share).unwrap().plus(&a.times(1.0 - share).unwrap());
        same(&halves, &a, 1e-12)?;
        let whole = a.volume_ml();
        let poured = a.of_volume(share * whole).unwrap();
        same(&poured.plus(&a.of_volume(whole - share * whole).unwrap()), &a, 1e-12)?;
        close("poured volume", poured.volume_ml(), share * whole, 1e-12)?;
        let weighed = a.of_mass(share * a.mass_g()).unwrap();
        same(&weighed, &a.times(share).unwrap(), 1e-12)?;
    }

    #[test]
    fn volume_grows_with_the_amount(a in any_liquid(), factor in 1e-3..1e3f64) {
        let scaled = a.times(factor).unwrap();
        close("volume", scaled.volume_ml(), factor * a.volume_ml(), 1e-12)?;
        for (b, c) in [(scaled.abv_pct(), a.abv_pct()), (scaled.density_g_per_ml(), a.density_g_per_ml())] {
            prop_assert_eq!(b.is_some(), c.is_some());
            close("what does not depend on the amount", b.unwrap_or(0.0), c.unwrap_or(0.0), 1e-12)?;
        }
    }

    #[test]
    fn nothing_is_negative_or_no_number(a in any_liquid(), b in any_liquid(), factor in 0.0..1e3f64) {
        for liquid in [a, b, a.plus(&b), a.times(factor).unwrap(), Liquid::NOTHING] {
            for (i, figure) in figures_of(&liquid).into_iter().enumerate() {
                if let Some(figure) = figure {
                    prop_assert!(figure.is_finite() && figure >= 0.0, "figure {} of {:?} is {}", i, liquid, figure);
                }
            }
            if let Some(strength) = liquid.abv_pct() {
                // Pure ethanol reads 0.0001 high: the constant of the standard is rounded.
                prop_assert!(strength <= 100.001, "{}", strength);
            }
        }
    }

    #[test]
    fn water_makes_more_of_it_and_weaker((_, _, _, bottle) in any_bottle(), ml in 0.0..500.0f64, water in 0.0..500.0f64) {
        prop_assume!(ml > 0.01 && water > 0.01);
        let pour = bottle.of_volume(ml).unwrap();
        let longer = pour.plus(&Liquid::water_g(water).unwrap());
        prop_assert!(longer.volume_ml() > pour.volume_ml());
        prop_assert!(longer.abv_pct() <= pour.abv_pct());
        prop_assert!(longer.sugar_g_per_100ml() <= pour.sugar_g_per_100ml());
    }

    #[test]
    fn a_litre_is_a_litre((strength, sugar, acid, litre) in any_bottle()) {
        close("volume", litre.volume_ml(), 1000.0, 1e-9)?;
        close("strength", litre.abv_pct().unwrap(), strength, 1e-9)?;
        close("sugar", litre.sugar_g(), sugar, 1e-12)?;
        close("acid", litre.acid_as_citric_g(), acid, 1e-12)?;
    }

    #[test]
    fn a_full_bottle_is_refused_or_a_litre(strength in 0.0..=100.0f64, sugar in 0.0..2000.0f64, fat in 0.0..500.0f64) {
        match Liquid::litre(strength, &[(Component::Sucrose, sugar), (Component::Fat, fat)]) {
            // Pure ethanol is a litre within the rounding of its constant.
            Ok(litre) => close("volume", litre.volume_ml(), 1000.0, 1.1e-4)?,
            Err(LiquidError::NoRoomForWater { volume_ml, .. }) => prop_assert!(volume_ml > 1000.0),
            Err(other) => prop_assert!(false, "{}", other),
        }
    }

    #[test]
    fn sugar_from_density(strength in 0.0..60.0f64, sugar in 0.0..450.0f64) {
        let litre = Liquid::litre(strength, &[(Component::SugarsUnspecified, sugar)]).unwrap();
        let found = Liquid::litre_from_density(strength, litre.density_g_per_ml().unwrap()).unwrap();
        prop_assert!((found.sugar_g() - sugar).abs() < 1e-6, "{} and {}", found.sugar_g(), sugar);
        same(&found, &litre, 1e-6)?;
    }

    #[test]
    fn strength_there_and_back(strength in 0.0..=100.0f64, temperature in 10.0..=40.0f64) {
        let p = mass_fraction_from_strength(strength).unwrap();
        prop_assert!((strength_pct_vol(p) - strength).abs() < 2e-4, "{}", strength_pct_vol(p));
        if strength <= 99.99 {
            prop_assert!((strength_pct_vol(p) - strength).abs() < 1e-9, "{}", strength_pct_vol(p));
            prop_assert!((Liquid::from_strength(strength).unwrap().abv_pct().unwrap() - strength).abs() < 1e-9);
        }
        let density = density_kg_per_m3(p, temperature);
        let back = mass_fraction_from_density(density, temperature).unwrap();
        prop_assert!((back - p).abs() < 1e-9, "{} and {}", back, p);
    }
}

#[test]
fn what_is_no_amount_is_refused() {
    let whisky = Liquid::from_strength(40.0).unwrap();
    let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0, -1e-300];
    for x in bad {
        assert!(Liquid::water_g(x).is_err(), "{x} g of water");
        assert!(whisky.times(x).is_err(), "{x} times");
        assert!(whisky.of_volume(x).is_err(), "{x} ml");
        assert!(whisky.of_mass(x).is_err(), "{x} g");
        assert!(Liquid::from_strength(x).is_err(), "{x} % vol");
        assert!(Liquid::litre(x, &[]).is_err(), "a litre of {x} % vol");
        assert!(Liquid::litre_from_density(x, 1.0).is_err(), "{x} % vol");
        assert!(Liquid::litre_from_density(20.0, x).is_err(), "{x} g/ml");
        for component in Component::all() {
            assert!(Liquid::of(&[(component, x)]).is_err(), "{x} g of {component:?}");
            assert!(
                Liquid::litre(10.0, &[(component, x)]).is_err(),
                "{x} g/L of {component:?}"
            );
            assert!(
                Liquid::hundred_grams(&[(component, x)]).is_err(),
                "{x} g in 100 g of {component:?}"
            );
        }
    }
    for strength in [100.000_001, 101.0, 1e9] {
        assert_eq!(
            Liquid::from_strength(strength),
            Err(LiquidError::Strength(strength))
        );
        assert!(Liquid::litre(strength, &[]).is_err());
        assert!(Liquid::litre_from_density(strength, 0.8).is_err());
    }
    // More than all of it; tables round their parts, so 0.05 g over is let through and no more.
    assert!(Liquid::hundred_grams(&[(Component::Sucrose, 60.0), (Component::Citric, 40.1)]).is_err());
    assert!(Liquid::hundred_grams(&[(Component::Sucrose, 60.0), (Component::Citric, 40.04)]).is_ok());
    assert!(matches!(
        Liquid::litre(40.0, &[(Component::Sucrose, 1100.0)]),
        Err(LiquidError::NoRoomForWater { .. })
    ));
    // Too light for its strength, and too heavy for any sugar.
    for density in [0.5, 0.94, 1.6, 22.0] {
        let refused = Liquid::litre_from_density(40.0, density);
        assert!(
            matches!(refused, Err(LiquidError::DensityOutOfReach { .. })),
            "{density}: {refused:?}"
        );
    }
    assert_eq!(Liquid::NOTHING.of_volume(10.0), Err(LiquidError::Empty));
    assert_eq!(Liquid::NOTHING.of_mass(10.0), Err(LiquidError::Empty));
    assert_eq!(Liquid::NOTHING.abv_pct(), None);
}

// Builds

/// A drink of one plain pour, resolved: what the steps of a law are put in the place of.
static PLAIN: LazyLock<Resolved> = LazyLock::new(|| {
    let source = Source::new("plain", "## Plain\n\n- 10 ml gin\n");
    let reading = spec::read(&source);
    resolve(
        reading.book.drinks().next().unwrap(),
        library(),
        &reading.book.settings,
        &source,
    )
    .unwrap()
});

fn step_pour(place: PourMethod, liquid: Liquid, egg: bool, carbonated: bool) -> ResolvedStep {
    let [ResolvedStep::Pour(plain)] = PLAIN.steps.as_slice() else {
        panic!("one pour")
    };
    ResolvedStep::Pour(ResolvedPour {
        place,
        portion: Portion::Fixed(Brought::all_of(liquid)),
        carbonated,
        foamer: egg,
        egg,
        ..plain.clone()
    })
}

const WORKS: [Technique; 10] = [
    Technique::Muddle,
    Technique::DryShake,
    Technique::Shake,
    Technique::WhipShake,
    Technique::Stir,
    Technique::Build,
    Technique::Roll,
    Technique::Throw,
    Technique::Swizzle,
    Technique::Blend,
];

fn any_step() -> impl Strategy<Value = ResolvedStep> {
    let place = prop::sample::select(vec![
        PourMethod::In,
        PourMethod::Top,
        PourMethod::Float,
        PourMethod::Rinse,
        PourMethod::Mist,
    ]);
    let pour = (place, any_bottle(), 0.0..200.0f64, any::<bool>(), any::<bool>()).prop_map(
        |(place, bottle, ml, egg, fizz)| step_pour(place, bottle.3.of_volume(ml).unwrap(), egg, fizz),
    );
    let work = (
        prop::sample::select(WORKS.to_vec()),
        prop::option::of(0..3000_i128),
    )
        .prop_map(|(t, tenths)| {
            let ice = tenths.map(|tenths| Ice {
                mass_g: Some(Amount::ratio(tenths, 10).unwrap()),
                ..Ice::default()
            });
            ResolvedStep::Work(ResolvedWork {
                ice,
                ..ResolvedWork::plain(t)
            })
        });
    prop_oneof![
        4 => pour,
        2 => work,
        1 => prop_oneof![
            Just(ResolvedStep::Strain { fine: false }),
            Just(ResolvedStep::Unstrained),
            Just(ResolvedStep::OverIce(Ice::default())),
            Just(ResolvedStep::Neat),
            Just(ResolvedStep::Rest(Amount::ONE)),
        ],
    ]
}

fn any_water() -> impl Strategy<Value = Option<WaterGiven>> {
    let amount = |most: i128| (0..most).prop_map(|n| Amount::ratio(n, 10).unwrap());
    prop::option::weighted(
        0.3,
        prop_oneof![
            amount(2000).prop_map(WaterGiven::Volume),
            amount(1500).prop_map(WaterGiven::OfMix),
            amount(900).prop_map(WaterGiven::OfFinished),
            (10..2000i128, 0..2000i128).prop_map(|(before, more)| WaterGiven::Weighed {
                before_g: Amount::ratio(before, 10).unwrap(),
                after_g: Amount::ratio(before + more, 10).unwrap(),
            }),
        ],
    )
}

fn resolved(steps: Vec<ResolvedStep>, water: Option<WaterGiven>) -> Resolved {
    Resolved {
        steps,
        water,
        ..PLAIN.clone()
    }
}

proptest! {
    #![proptest_config(config(256))]

    /// Whatever the order of pours and work: what is poured is in the glass, and water besides.
    #[test]
    fn a_build_only_adds_water(steps in prop::collection::vec(any_step(), 0..12), water in any_water()) {
        let drink = resolved(steps, water);
        let built = build(&drink);
        let poured = drink.steps.iter().fold(Liquid::NOTHING, |sum, step| match step {
            ResolvedStep::Pour(pour) => sum.plus(&pour.some()),
            _ => sum,
        });
        same(&built.before, &poured, 1e-12)?;
        prop_assert!(built.water_g.is_finite() && built.water_g >= 0.0, "{}", built.water_g);
        same(&built.glass, &poured.plus(&Liquid::water_g(built.water_g).unwrap()), 1e-12)?;
        close("mass", built.glass.mass_g(), poured.mass_g() + built.water_g, 1e-12)?;
        prop_assert!(built.glass.volume_ml() >= built.before.volume_ml());
        prop_assert!(built.worked.mass_g() <= poured.mass_g() * (1.0 + 1e-12));
        if water.is_none() && drink.steps.iter().all(|s| !matches!(s, ResolvedStep::Work(..) | ResolvedStep::OverIce(_))) {
            prop_assert!(built.water_g == 0.0, "nothing melts by itself: {}", built.water_g);
        }
    }

    /// What is poured after the ice gains no water from it; poured before, it does.
    #[test]
    fn order_matters(
        first in any_bottle(),
        second in any_bottle(),
        (a, b) in (20.0..120.0f64, 10.0..120.0f64),
        technique in prop::sample::select(vec![
            Technique::Shake, Technique::Stir, Technique::Roll, Technique::Throw, Technique::Swizzle, Technique::Blend, Technique::WhipShake,
        ]),
        place in prop::sample::select(vec![PourMethod::In, PourMethod::Top, PourMethod::Float, PourMethod::Rinse]),
    ) {
        let (first, second) = (first.3.of_volume(a).unwrap(), second.3.of_volume(b).unwrap());
        let pour = |liquid, place| step_pour(place, liquid, false, false);
        let work = || vec![ResolvedStep::Work(ResolvedWork::plain(technique)), ResolvedStep::Strain { fine: false }];
        let alone = [vec![pour(first, PourMethod::In)], work()].concat();
        let after = [vec![pour(first, PourMethod::In)], work(), vec![pour(second, place)]].concat();
        let before = [vec![pour(first, PourMethod::In), pour(second, PourMethod::In)], work()].concat();
        let [alone, after, before] = [alone, after, before].map(|steps| build(&resolved(steps, None)));
        close("water", after.water_g, alone.water_g, 1e-12)?;
        same(&after.glass, &alone.glass.plus(&second), 1e-12)?;
        same(&before.before, &after.before, 1e-12)?;
        // What joins in the tin brings heat and melts more. Work that ends far from rest is paced by how well the mix
        // passes heat, and strong spirit passes it half as well as water: there more of the same is asked.
        let far_from_rest = !matches!(technique, Technique::Shake | Technique::Blend | Technique::WhipShake);
        let longer = if far_from_rest {
            let more = first.plus(&first.times(b / a).unwrap());
            build(&resolved([vec![pour(more, PourMethod::In)], work()].concat(), None))
        } else {
            before
        };
        prop_assert!(longer.water_g > alone.water_g, "{} and {}", longer.water_g, alone.water_g);
    }
}

/// Ingredients that are liquids, with or without alcohol, sugar, acid, fat and fizz.
const LIQUIDS: [&str; 16] = [
    "gin",
    "white rum",
    "bourbon whiskey",
    "sweet red vermouth",
    "dry vermouth",
    "triple sec",
    "green herbal liqueur",
    "lime juice",
    "lemon juice",
    "orange juice",
    "simple syrup 1:1 by mass",
    "honey syrup 1:1 by volume",
    "heavy cream",
    "egg white",
    "soda water",
    "cola",
];

/// Lines of work, with what comes after the ice.
const WORK_LINES: [&str; 12] = [
    "- shake\n- strain\n",
    "- dry shake\n- shake\n- fine strain\n- over ice\n",
    "- stir 20 s\n- strain\n",
    "- build\n",
    "- build\n- top with soda water\n",
    "- roll\n- strain\n",
    "- throw\n",
    "- swizzle\n",
    "- blend with 150 g ice\n",
    "- blend\n",
    "- neat\n",
    "- whip shake with 40 g crushed ice\n- over crushed ice\n- top 60 ml ginger beer\n",
];

const PARTICULARS: [&str; 6] = [
    "",
    "dilution: 30 ml\n",
    "dilution: 25 % of the mix\n",
    "dilution: 20 % of the finished drink\n",
    "weighed: 96 g before, 148 g after\n",
    "glass: coupe, 180 ml\n",
];

/// The text of a simple drink: some pours, some work.
fn any_drink() -> impl Strategy<Value = String> {
    let amount = prop_oneof![
        (1..480u32).prop_map(|n| format!("{} ml", f64::from(n) / 4.0)),
        (1..10u32).prop_map(|n| format!("{n}/4 oz")),
        (1..4u32).prop_map(|n| format!("{n} dashes")),
        (1..3u32).prop_map(|n| format!("{n} barspoons")),
    ];
    let pour = (amount, prop::sample::select(LIQUIDS.to_vec()))
        .prop_map(|(amount, name)| format!("- {amount} {name}\n"));
    let pours = prop::collection::vec(pour, 1..7);
    let floated =
        prop_oneof![3 => Just(String::new()), 1 => Just("- float 10 ml overproof white rum\n".to_owned())];
    (
        prop::sample::select(PARTICULARS.to_vec()),
        pours,
        prop::sample::select(WORK_LINES.to_vec()),
        floated,
    )
        .prop_map(|(particular, pours, work, float)| format!("{particular}\n{}{work}{float}", pours.concat()))
}

/// Every figure as a number, by name; those without a value left out.
fn values(figures: &Figures) -> Vec<(&'static str, f64)> {
    figures
        .named()
        .into_iter()
        .filter_map(|(name, figure)| figure.value.map(|v| (name, v)))
        .collect()
}

/// The drinks of a text, in a house that knows nothing else.
fn reports(house: &mut House, text: &str) -> Result<Vec<ComputedDrink>, TestCaseError> {
    let added = house
        .add(&Source::new("laws", format!("# Laws\n\n{text}")))
        .unwrap();
    prop_assert!(added.is_ok(), "{:#?} in\n{}", added, text);
    Ok(house.drinks().unwrap())
}

/// From the text of a book to the figures in the database: ethanol, sugar and acid stay what they
/// were, figures are numbers, and there is no less in the glass than was poured.
#[test]
fn a_house_conserves_what_is_poured() {
    let house = RefCell::new(House::in_memory().unwrap());
    let strategy = prop::collection::vec(any_drink(), 6);
    let outcome = TestRunner::new(config(48)).run(&strategy, |drinks| {
        let text: String = drinks
            .iter()
            .enumerate()
            .map(|(i, drink)| format!("## Drink {i}\n{drink}\n"))
            .collect();
        let reports = reports(&mut house.borrow_mut(), &text)?;
        prop_assert_eq!(reports.len(), drinks.len());
        for report in &reports {
            let (before, glass) = (&report.evaluation.before, &report.evaluation.figures);
            for (name, value) in values(before).into_iter().chain(values(glass)) {
                let cold = name == "temperature_c" && value > -60.0;
                prop_assert!(
                    value.is_finite() && (value >= 0.0 || cold),
                    "{} of\n{}",
                    name,
                    text
                );
            }
            let of = |figures: &Figures, name: &str| {
                values(figures)
                    .into_iter()
                    .find(|(n, _)| *n == name)
                    .map_or(0.0, |(_, v)| v)
            };
            close("ethanol", of(before, "ethanol_g"), of(glass, "ethanol_g"), 1e-12)?;
            close("energy", of(before, "energy_kj"), of(glass, "energy_kj"), 1e-12)?;
            for name in ["sugar_g_per_100ml", "acid_g_per_100ml", "abv_pct"] {
                let grams = |figures: &Figures| of(figures, name) * of(figures, "volume_ml") / 100.0;
                close(name, grams(before), grams(glass), 1e-12)?;
            }
            prop_assert!(of(glass, "volume_ml") >= of(before, "volume_ml"));
            let poured = |of: fn(&washline_core::computed::PourFigures) -> f64| {
                report.pours().iter().map(of).sum::<f64>()
            };
            close(
                "ethanol of the pours",
                poured(|p| p.ethanol_g),
                of(before, "ethanol_g"),
                1e-12,
            )?;
            close(
                "sugar of the pours",
                poured(|p| p.sugar_g),
                of(before, "sugar_g_per_100ml") * of(before, "volume_ml") / 100.0,
                1e-12,
            )?;
            close(
                "acid of the pours",
                poured(|p| p.acid_g),
                of(before, "acid_g_per_100ml") * of(before, "volume_ml") / 100.0,
                1e-12,
            )?;
        }
        Ok(())
    });
    outcome.unwrap();
}

/// A third of an ounce three times is an ounce: in amounts exactly, in every figure to the last digit or
/// two of an `f64` (three products are summed for one).
#[test]
fn three_thirds_are_one() {
    let third = Amount::ratio(1, 3).unwrap();
    assert_eq!(third + third + third, Amount::ONE);
    let mut house = House::in_memory().unwrap();
    let text = "## Thirds\n\n- 1/3 oz gin\n- 1/3 oz gin\n- 1/3 oz gin\n- 1 oz lime juice\n- shake\n- strain\n\n## Whole\n\n- 1 oz gin\n- 1 oz lime juice\n- shake\n- strain\n";
    let reports = reports(&mut house, text).unwrap();
    let [thirds, whole] = reports.as_slice() else {
        panic!("two drinks")
    };
    for (a, b) in [
        (&thirds.evaluation.before, &whole.evaluation.before),
        (&thirds.evaluation.figures, &whole.evaluation.figures),
    ] {
        assert_eq!(values(a).len(), values(b).len());
        for ((name, a), (_, b)) in values(a).into_iter().zip(values(b)) {
            // The temperature comes of many steps in time.
            // Off the handbook's volume so does the water, and all that it dilutes.
            let close = if name == "temperature_c" {
                1e-9
            } else {
                1e-12 * b.abs().max(1.0)
            };
            assert!((a - b).abs() <= close, "{name}: {a} and {b}");
        }
    }
    assert_eq!(thirds.evaluation.verdicts, whole.evaluation.verdicts);
}

// Reading

/// Every fault points at whole characters of the text, and says the line and column of where it points.
fn faults_point_into(source: &Source, faults: &[Fault]) -> TestCaseResult {
    for fault in faults {
        let (start, end) = (fault.span.start, fault.span.end);
        prop_assert!(
            start <= end && end <= source.text.len(),
            "{}..{} of {} bytes: {}",
            start,
            end,
            source.text.len(),
            fault.message
        );
        prop_assert!(
            source.text.is_char_boundary(start) && source.text.is_char_boundary(end),
            "{}..{}: {}",
            start,
            end,
            fault.message
        );
        prop_assert_eq!((fault.line, fault.column), source.position(start));
        prop_assert!(!fault.message.is_empty());
    }
    Ok(())
}

/// Words and marks that books are made of, and some that they are not.
const SOUP: &[&str] = &[
    "\n- ",
    "\n- ",
    "\n- ",
    "\n",
    "\n\n",
    "\r\n",
    "\r",
    "\n## Drink",
    "\n## ",
    "\n# ",
    "\n### ",
    "\n> ",
    "\n<!-- ",
    " -->",
    "\n* ",
    "\n• ",
    " ",
    " ",
    " ",
    "\t",
    "\u{a0}",
    ", ",
    ": ",
    "; ",
    " / ",
    "/",
    " + ",
    " - ",
    "-",
    "–",
    "(",
    ")",
    "[",
    "]",
    "%",
    "°",
    "?",
    "×",
    "\"",
    "_",
    "1",
    "2",
    "0",
    "1.5",
    ".75",
    "1,5",
    "1.000",
    "1/2",
    "1/0",
    "3-2",
    "½",
    "1½",
    "1⁄2",
    "⅛",
    "١",
    "２",
    "1e3",
    "999999999",
    "99999999999",
    "0.0000001",
    "-1",
    "ml",
    "oz",
    "cl",
    "dash",
    "dashes",
    "barspoon",
    "tsp",
    "T",
    "parts",
    "part",
    "g",
    "drops",
    "leaves",
    "cube",
    "piece",
    "gin",
    "lime",
    "juice",
    "lime juice",
    "simple syrup",
    "mint",
    "egg white",
    "sugar cube",
    "soda water",
    "vermouth",
    "rum 151",
    "crème",
    "juice of",
    "half a",
    "a couple of",
    "few",
    "each",
    "equal parts",
    "or",
    "any",
    "of",
    "top with",
    "float",
    "rinse",
    "to taste",
    "shake",
    "dry shake",
    "stir 20 s",
    "blend with 100 g ice",
    "strain",
    "over ice",
    "rest",
    "garnish",
    "glass: coupe, 180 ml",
    "dilution: 25 %",
    "serve: 90 ml",
    "is: an ingredient",
];

/// Texts in which particulars and settings hold odd values.
fn any_particular() -> impl Strategy<Value = String> {
    let keys = vec![
        "glass",
        "price",
        "structure",
        "serve",
        "dilution",
        "weighed",
        "ounce",
        "currency",
        "country",
        "dash",
        "simple syrup",
        "strength",
        "brix",
        "density",
        "sugar",
        "acid",
        "allergens",
        "carbonated",
        "source",
        "also",
        "kind",
        "is",
        "garnish",
        "acid convention",
    ];
    (prop::sample::select(keys), any_soup(4), any::<bool>()).prop_map(|(key, value, under)| {
        let heading = if under { "## Drink\n" } else { "" };
        format!("{heading}{key}: {value}\n")
    })
}

fn any_soup(most: usize) -> impl Strategy<Value = String> {
    prop::collection::vec(prop::sample::select(SOUP), 0..most).prop_map(|words| words.concat())
}

/// What a run of texts came to: a run in which nothing reads, or nothing is refused, shows nothing.
#[derive(Default)]
struct Tally {
    drinks: Cell<usize>,
    evaluated: Cell<usize>,
    faults: Cell<usize>,
}

impl Tally {
    fn count(cell: &Cell<usize>, more: usize) {
        cell.set(cell.get() + more);
    }

    fn is_telling(&self) {
        let Tally {
            drinks,
            evaluated,
            faults,
        } = self;
        assert!(
            drinks.get() > 20 && evaluated.get() > 5 && faults.get() > 20,
            "{drinks:?} {evaluated:?} {faults:?}"
        );
    }
}

/// Read a text, and every drink of it with the ingredients of the library and its own: nothing panics,
/// faults point at what they are about, figures are numbers.
fn reads(tally: &Tally, text: &str) -> TestCaseResult {
    let source = Source::new("text", text);
    let reading = spec::read(&source);
    faults_point_into(&source, &reading.faults)?;
    Tally::count(&tally.faults, reading.faults.len());
    let mut stock = library().clone();
    for definition in reading.book.definitions() {
        prop_assert!(source.text.get(definition.span.clone()).is_some());
        if let Some(ingredient) = &definition.ingredient {
            stock.put(ingredient.clone());
        }
    }
    for drink in reading.book.drinks() {
        Tally::count(&tally.drinks, 1);
        prop_assert!(source.text.get(drink.span.clone()).is_some());
        for line in drink.lines() {
            prop_assert!(source.text.get(line.span.clone()).is_some(), "{:?}", line);
        }
        match resolve(drink, &stock, &reading.book.settings, &source) {
            Ok(resolved) => {
                Tally::count(&tally.evaluated, 1);
                let evaluation = evaluate(
                    &resolved,
                    &build(&resolved),
                    &Ranges::published(resolved.convention),
                );
                for (name, value) in values(&evaluation.before)
                    .into_iter()
                    .chain(values(&evaluation.figures))
                {
                    let cold = name == "temperature_c" && value > -60.0;
                    prop_assert!(
                        value.is_finite() && (value >= 0.0 || cold),
                        "{} is {}",
                        name,
                        value
                    );
                }
            }
            Err(faults) => {
                prop_assert!(!faults.is_empty());
                Tally::count(&tally.faults, faults.len());
                faults_point_into(&source, &faults)?;
            }
        }
    }
    Ok(())
}

fn all_read(cases: u32, text: &impl Strategy<Value = String>) {
    let tally = Tally::default();
    TestRunner::new(config(cases))
        .run(text, |text| reads(&tally, &text))
        .unwrap();
    tally.is_telling();
}

/// Text of any kind, and a soup of bar words: most of it is refused.
#[test]
fn any_text_is_read_or_refused() {
    let soup = any_soup(24).prop_map(|soup| format!("## Soup\n- {soup}\n"));
    let text = prop_oneof![
        any::<String>(),
        "(?s).{0,80}",
        "## [a-z]{1,4}\n(- .{0,40}\n){0,5}",
        soup,
        any_soup(40)
    ];
    let (drinks, faults) = (Cell::new(0), Cell::new(0));
    let run = TestRunner::new(config(4096)).run(&text, |text| {
        let source = Source::new("text", text);
        let reading = spec::read(&source);
        drinks.set(drinks.get() + reading.book.drinks().count());
        faults.set(faults.get() + reading.faults.len());
        faults_point_into(&source, &reading.faults)
    });
    run.unwrap();
    assert!(drinks.get() > 20 && faults.get() > 1000, "{drinks:?} {faults:?}");
}

/// A line much as a bar writes it: amount, unit, name and what hangs on it, in odd combinations.
fn any_line() -> impl Strategy<Value = String> {
    let of = |words: &'static [&'static str]| prop::sample::select(words);
    let amounts = of(&[
        "1", "2", "22.5", ".75", "4,5", "1/2", "1 1/2", "½", "1½", "1⁄2", "2-3", "1 to 2", "half", "a",
        "few", "0", "１", "999999", "?", "",
    ]);
    let units = of(&[
        "ml",
        " ml",
        "oz",
        " oz",
        "cl",
        " dashes",
        " barspoon",
        " tsp",
        " T",
        " parts",
        " g",
        " drops",
        " leaves",
        " cube",
        " piece",
        " slice",
        " splash",
        " cup",
        " pinch",
        " handful",
        "",
    ]);
    let names = of(&[
        "gin",
        "white rum",
        "lime juice",
        "lime",
        "simple syrup",
        "mint",
        "egg white",
        "egg",
        "sugar cube",
        "granulated sugar",
        "soda water",
        "sweet red vermouth",
        "crème de cacao",
        "CRÈME DE CACAO",
        "heavy cream",
        "absinthe",
        "hot coffee",
        "saline 20 %",
        "honey",
        "gin or vodka",
        "any anise liqueur",
        "rum 151",
        "nothing known",
    ]);
    let ends = of(&[
        "",
        "",
        "",
        ", chilled",
        " (47 %)",
        " (100 proof)",
        " (0 %)",
        ", to taste",
        " float",
        ", top",
        " (60 ml)",
        " each",
    ]);
    let begins = of(&[
        "",
        "",
        "",
        "top with ",
        "float ",
        "rinse the glass with ",
        "juice of ",
        "scant ",
        "add ",
    ]);
    let pour =
        (begins, amounts, units, names, ends).prop_map(|(b, a, u, n, e)| format!("- {b}{a}{u} {n}{e}\n"));
    let work = of(&[
        "- shake\n",
        "- stir 20 s\n",
        "- build\n",
        "- muddle\n",
        "- dry shake\n",
        "- blend with 120 g ice\n",
        "- strain\n",
        "- over ice\n",
        "- neat\n",
        "- rest 2 min\n",
        "- shake, strain over ice\n",
        "- garnish lime wheel\n",
    ]);
    prop_oneof![3 => pour, 2 => work.prop_map(str::to_owned)]
}

#[test]
fn lines_much_as_a_bar_writes_them() {
    let particular = prop_oneof![3 => Just(String::new()), 1 => Just("serve: 90 ml\n".to_owned()), 1 => Just("glass: coupe\n".to_owned()), 1 => Just("dilution: 99 % of the finished drink\n".to_owned())];
    let text = (particular, prop::collection::vec(any_line(), 1..4))
        .prop_map(|(particular, lines)| format!("## Drink\n{particular}\n{}", lines.concat()));
    all_read(64, &text);
}

/// Particulars and settings with odd values, over a drink that is sound.
#[test]
fn any_particular_is_read_or_refused() {
    let text = any_particular()
        .prop_map(|particular| format!("{particular}## Sound\n\n- 50 ml gin\n- shake\n- strain\n"));
    all_read(96, &text);
}

/// What fills has no volume of its own: it comes to what the glass leaves, and to the usual of none that is known.
#[test]
fn what_fills_is_told_from_what_is_measured() {
    let text =
        |glass: &str| format!("# Halt\n\n## Wren\n{glass}- 50 ml dry gin\n- build\n- top soda water\n");
    for glass in ["", "glass: highball, 300 ml\n"] {
        let checked = washline_core::check(&text(glass)).unwrap();
        let drink = &checked[0];
        let pours: Vec<_> = drink
            .resolved
            .steps
            .iter()
            .filter_map(|s| match s {
                ResolvedStep::Pour(p) => Some(p),
                _ => None,
            })
            .collect();
        assert!((pours[0].fixed().unwrap().volume_ml - 50.0).abs() < 1e-9);
        let Portion::Fills { usual_ml, each_ml } = pours[1].portion else {
            panic!("{:?}", pours[1].portion)
        };
        assert!(pours[1].fixed().is_none() && usual_ml > 1.0);
        assert!((each_ml.volume_ml() - 1.0).abs() < 1e-6);
        let brought = drink.built.brought(pours[1]).volume_ml;
        assert_eq!(glass.is_empty(), (brought - usual_ml).abs() < 1e-9, "{brought}");
    }
}
