//! The house's own melt: simulated houses whose truth is known, refusals, and weighings kept in a house.

use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal};
use rust_decimal::Decimal;
use washline_core::liquid::{Component, Liquid};
use washline_core::melt::MeltModel;
use washline_core::melt::fitted::{FEWEST, Refusal, Weighing, fit};
use washline_core::melt::heat::{Conditions, Ice, Method, reached};
use washline_core::spec::{Source, Technique};
use washline_core::store::{House, Scale};

/// A mix of that strength with the sugar and acid of a sour, about 100 ml.
fn mix(strength: f64) -> Liquid {
    Liquid::litre(
        strength,
        &[(Component::Sucrose, 120.0), (Component::Citric, 12.0)],
    )
    .unwrap()
    .of_volume(100.0)
    .unwrap()
}

/// A house with its own rate and wetness of ice weighs twelve drinks, as well as a bar scale and a probe read.
fn house(technique: Technique, rate: f64, film_um: f64, random: &mut StdRng) -> Vec<Weighing> {
    let (grams, degrees) = (Normal::new(0.0, 1.2).unwrap(), Normal::new(0.0, 0.5).unwrap());
    let own = Method::of(technique).unwrap();
    let method = Method {
        ice_w_per_m2_k: own.ice_w_per_m2_k * rate,
        ..own
    };
    (0..12)
        .map(|i| {
            let strength = 12.0 + 24.0 * f64::from(i) / 11.0;
            // A house times some of them short, so that the speed shows.
            let seconds = own.seconds * [0.4, 0.7, 1.0][i as usize % 3] + random.random_range(-0.5..0.5);
            let ice = Ice {
                film_um,
                ..Ice::wet(random.random_range(120.0..200.0), 15.0)
            };
            let conditions = Conditions {
                ice,
                ..Conditions::default()
            };
            let mix = mix(strength);
            let truth = reached(&mix, &method, &conditions, seconds).unwrap();
            Weighing {
                name: format!("drink {i}"),
                mix,
                conditions,
                seconds,
                share_of_mass: (truth.water_g + grams.sample(random)) / mix.mass_g(),
                temperature_c: Some(truth.temperature_c + degrees.sample(random)),
            }
        })
        .collect()
}

#[test]
fn a_hundred_simulated_houses_lie_in_their_own_intervals() {
    for (technique, seed) in [(Technique::Shake, 1), (Technique::Stir, 2)] {
        let mut random = StdRng::seed_from_u64(seed);
        let mut inside = [0, 0];
        for _ in 0..100 {
            let (rate, film) = (random.random_range(0.6..1.6), random.random_range(20.0..90.0));
            let weighings = house(technique, rate, film, &mut random);
            let fitted = fit(technique, &weighings).unwrap();
            let truth = [rate * Method::of(technique).unwrap().ice_w_per_m2_k, film];
            for (k, (parameter, truth)) in fitted.parameters.iter().zip(truth).enumerate() {
                assert!(!parameter.held, "{}", parameter.name);
                inside[k] += u32::from((parameter.low..=parameter.high).contains(&truth));
            }
        }
        assert!(
            inside.iter().all(|n| *n >= 90),
            "{technique:?}: {inside:?} of 100"
        );
    }
}

#[test]
fn a_fit_beats_the_handbook_in_a_house_that_is_not_the_handbook_s() {
    let mut random = StdRng::seed_from_u64(3);
    let weighings = house(Technique::Stir, 0.6, 20.0, &mut random);
    let fitted = fit(Technique::Stir, &weighings).unwrap();
    assert!(
        fitted.left_out_rms_pct < 2.5 && fitted.handbook_rms_pct > 2.0 * fitted.left_out_rms_pct,
        "{fitted:?}"
    );
    assert_eq!(fitted.residuals.len(), 12);
    // What it says of a drink is what that house does.
    let own = Method::STIR;
    let truth = reached(
        &mix(30.0),
        &Method {
            ice_w_per_m2_k: 0.6 * own.ice_w_per_m2_k,
            ..own
        },
        &Conditions {
            ice: Ice {
                film_um: 20.0,
                ..Ice::handbook()
            },
            ..Conditions::default()
        },
        15.0,
    )
    .unwrap();
    let conditions = Conditions::default();
    let told = fitted.reckon(&mix(30.0), &conditions, 15.0).unwrap();
    let off = told.share_of_mass - truth.water_g / mix(30.0).mass_g();
    assert!(off.abs() < 2.5 * told.standard, "{off} against {}", told.standard);
}

#[test]
fn a_weighing_that_does_not_belong_is_named() {
    let mut random = StdRng::seed_from_u64(4);
    let mut weighings = house(Technique::Shake, 1.0, 46.0, &mut random);
    weighings[5].share_of_mass += 0.15;
    weighings[5].name = "the spilt one".to_owned();
    let fitted = fit(Technique::Shake, &weighings).unwrap();
    let outliers: Vec<&str> = fitted
        .residuals
        .iter()
        .filter(|r| r.outlier)
        .map(|r| r.name.as_str())
        .collect();
    assert_eq!(outliers, ["the spilt one"]);
}

#[test]
fn what_cannot_carry_a_fit_is_refused_with_the_reason() {
    let mut random = StdRng::seed_from_u64(5);
    let weighings = house(Technique::Shake, 1.0, 46.0, &mut random);
    assert_eq!(
        fit(Technique::Shake, &weighings[..FEWEST - 1]),
        Err(Refusal::TooFew { count: FEWEST - 1 })
    );
    let like: Vec<Weighing> = (0..8).map(|_| weighings[4].clone()).collect();
    assert!(matches!(
        fit(Technique::Shake, &like),
        Err(Refusal::NoSpan { .. })
    ));
    // Long shakes without a thermometer do not tell how fast the ice works: only its wetness is fitted.
    let long: Vec<Weighing> = weighings
        .iter()
        .map(|w| {
            let truth = reached(
                &w.mix,
                &Method::SHAKE,
                &Conditions {
                    ice: Ice {
                        film_um: 46.0,
                        ..w.conditions.ice
                    },
                    ..w.conditions
                },
                60.0,
            )
            .unwrap();
            Weighing {
                seconds: 60.0,
                temperature_c: None,
                share_of_mass: truth.water_g / w.mix.mass_g() + random.random_range(-0.01..0.01),
                ..w.clone()
            }
        })
        .collect();
    let fitted = fit(Technique::Shake, &long).unwrap();
    assert!(
        fitted.parameters[0].held && !fitted.parameters[1].held,
        "{:?}",
        fitted.parameters
    );
}

fn scale<'a>(before: i64, after: i64, temperature_c: Option<f64>) -> Scale<'a> {
    Scale {
        before_g: Decimal::from(before),
        after_g: Decimal::from(after),
        temperature_c,
        seconds: None,
        ice_g: None,
        at: Some(crate::when("2026-11-25T18:00:00Z")),
        note: "",
    }
}

#[test]
fn a_spec_s_own_weighings_stand_in_the_place_of_the_model_for_that_version_only() {
    let book = |lime: &str| {
        format!(
            "# H\n\n## Owl\n- 60 ml gin (40 %)\n- {lime} ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain\n\n## Crow\n- 60 ml gin (40 %)\n- 20 ml lime juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain\n"
        )
    };
    let mut house = House::in_memory().unwrap();
    house.add(&Source::new("h.md", book("20"))).unwrap().unwrap();
    let before = house.drinks_named("Owl").unwrap().remove(0).evaluation;
    assert_eq!(before.melt_model, MeltModel::Handbook);
    house.refresh().unwrap();
    let id = house
        .weigh("owl", "H", &scale(100, 140, Some(-5.0)))
        .unwrap()
        .unwrap();
    // Only that drink is worked out anew.
    assert_eq!(
        house.refresh().unwrap().recomputed,
        [("Owl".to_owned(), "H".to_owned())]
    );
    let after = house.drinks_named("Owl").unwrap().remove(0).evaluation;
    assert_eq!(after.melt_model, MeltModel::Weighed);
    let owl = house.drinks_named("Owl").unwrap().remove(0);
    assert!((owl.built.water_g - 0.40 * owl.built.worked.mass_g()).abs() < 1e-9);
    let temperature = after.figures.temperature_c;
    assert!((temperature.value.unwrap() + 5.0).abs() < 0.01 && temperature.low.unwrap() < -5.5);
    let (low, high) = (
        after.figures.water_gained_ml.low.unwrap(),
        after.figures.water_gained_ml.high.unwrap(),
    );
    assert!(low < high && low < after.figures.water_gained_ml.value.unwrap());
    assert!(after.budget.iter().any(|b| b.input == "water given"));
    // Like weighings make it surer.
    for _ in 0..4 {
        house
            .weigh("Owl", "H", &scale(100, 140, Some(-5.0)))
            .unwrap()
            .unwrap();
    }
    let surer = house
        .drinks_named("Owl")
        .unwrap()
        .remove(0)
        .evaluation
        .figures
        .water_gained_ml;
    assert!(surer.high.unwrap() - surer.low.unwrap() < high - low);
    // Another version is another drink.
    house.add(&Source::new("h.md", book("25"))).unwrap().unwrap();
    assert_eq!(
        house.drinks_named("Owl").unwrap()[0].evaluation.melt_model,
        MeltModel::Handbook
    );
    house.add(&Source::new("h.md", book("20"))).unwrap().unwrap();
    assert!(house.forget_weighing(id).unwrap() && !house.forget_weighing(id).unwrap());
    assert_eq!(house.weigh("nobody", "H", &scale(1, 2, None)).unwrap(), None);
}

#[test]
fn a_fit_is_kept_in_force_taken_back_and_every_figure_says_so() {
    let mut text = String::from("# H\n");
    for (i, spirit) in [30, 40, 50, 60, 70, 80, 90].iter().enumerate() {
        text.push_str(&format!("\n## Drink {i}\n- {spirit} ml gin (40 %)\n- 30 ml lime juice\n- 30 ml simple syrup 1:1 by mass\n- shake\n- strain\n"));
    }
    text.push_str("\n## Stirred\n- 60 ml gin (40 %)\n- 30 ml sweet red vermouth\n- stir\n- strain\n");
    let mut house = House::in_memory().unwrap();
    house.add(&Source::new("h.md", text)).unwrap().unwrap();
    assert!(matches!(
        house.fit_melt(Technique::Shake).unwrap(),
        Err(Refusal::TooFew { count: 0 })
    ));
    for worked in house.drinks().unwrap().iter().filter(|w| w.name() != "Stirred") {
        // This house melts four fifths of what the handbook does.
        let mass = worked.built.worked.mass_g();
        let water = 0.8 * worked.built.water_g;
        let grams = |g: f64| (g * 10.0).round() as i64;
        let kept = Scale {
            before_g: Decimal::new(grams(mass), 1),
            after_g: Decimal::new(grams(mass + water), 1),
            ..scale(1, 2, None)
        };
        house.weigh(worked.name(), "H", &kept).unwrap().unwrap();
    }
    let fitted = house.fit_melt(Technique::Shake).unwrap().unwrap();
    assert_eq!(fitted.count, 7);
    house.refresh().unwrap();
    assert_eq!(house.keep_fit(&fitted).unwrap(), 1);
    // A drink that has not been weighed in this version takes the house's melt; a stirred one is not touched.
    house.add(&Source::new("n.md", "# New\n\n## Newcomer\n- 60 ml gin (40 %)\n- 30 ml lime juice\n- 30 ml simple syrup 1:1 by mass\n- shake\n- strain\n")).unwrap().unwrap();
    let newcomer = house.drinks_named("Newcomer").unwrap().remove(0).evaluation;
    assert_eq!(newcomer.melt_model, MeltModel::House);
    assert!(
        newcomer.figures.water_pct_of_mix.value.unwrap() < 50.0,
        "{:?}",
        newcomer.figures.water_pct_of_mix
    );
    assert_eq!(
        house.drinks_named("Stirred").unwrap()[0].evaluation.melt_model,
        MeltModel::Handbook
    );
    assert_eq!(house.undo_fit(Technique::Shake).unwrap(), Some(1));
    // 120 ml are more than the handbook's drinks: the balance carries its curve there.
    assert_eq!(
        house.drinks_named("Newcomer").unwrap()[0].evaluation.melt_model,
        MeltModel::HeatBalance
    );
    assert_eq!(house.undo_fit(Technique::Shake).unwrap(), None);
    assert_eq!(house.keep_fit(&fitted).unwrap(), 2);
}
