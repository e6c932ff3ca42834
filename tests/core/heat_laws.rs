//! Laws of heat: nothing is lost, nothing runs uphill, and the step in time does not show.

use proptest::prelude::*;
use proptest::test_runner::{Config, TestCaseResult};
use washline_core::liquid::{Component, Liquid, freezing, thermal};
use washline_core::melt::heat::{
    Conditions, Course, HeatError, Ice, Method, Told, Vessel, after, equilibrium, freezer, hand,
    in_the_glass, reached, run,
};

fn config(cases: u32) -> Config {
    let usual = Config::default();
    Config {
        cases: (cases * usual.cases / 256).max(1),
        failure_persistence: None,
        ..usual
    }
}

/// Anything that has a mass: a drop to a barrel, with nothing or much of each component.
fn any_liquid() -> impl Strategy<Value = Liquid> {
    let grams = prop_oneof![3 => Just(0.0), 3 => 0.0..300.0, 1 => 0.001..0.1, 1 => 1e3..1e5];
    prop::collection::vec(grams, Component::COUNT)
        .prop_map(|grams| {
            let parts: Vec<(Component, f64)> = Component::all().zip(grams).collect();
            Liquid::of(&parts).unwrap()
        })
        .prop_filter("a drop at least", |l| l.mass_g() > 0.01)
}

/// What a bar would put on ice.
fn any_drink() -> impl Strategy<Value = Liquid> {
    (5.0..45.0, 0.0..200.0, 0.0..15.0, 0.0..60.0, 30.0..400.0).prop_map(|(abv, sugar, acid, fat, ml)| {
        Liquid::litre(
            abv,
            &[
                (Component::Sucrose, sugar),
                (Component::Citric, acid),
                (Component::Fat, fat),
            ],
        )
        .unwrap()
        .of_volume(ml)
        .unwrap()
    })
}

fn any_ice() -> impl Strategy<Value = Ice> {
    let grams = prop_oneof![1 => Just(0.0), 1 => 0.01..5.0, 6 => 5.0..400.0, 1 => 1e3..6e3];
    (
        grams,
        2.0..60.0f64,
        prop_oneof![Just(0.0), -30.0..0.0],
        0.0..100.0f64,
    )
        .prop_map(|(grams, piece_mm, temperature_c, film_um)| Ice {
            grams,
            piece_mm,
            temperature_c,
            film_um,
        })
}

fn any_vessel() -> impl Strategy<Value = Vessel> {
    prop_oneof![
        1 => Just(Vessel::NONE),
        5 => (1.0..600.0f64, 0.3..1.0f64, -20.0..30.0f64, 0.0..1.0f64).prop_map(
            |(grams, j_per_g_k, temperature_c, room_w_per_k)| Vessel { grams, j_per_g_k, temperature_c, room_w_per_k }
        ),
    ]
}

fn any_conditions() -> impl Strategy<Value = Conditions> {
    (
        -15.0..60.0f64,
        any_ice(),
        prop_oneof![3 => Just(0.0), 1 => 0.0..40.0],
        any_vessel(),
        5.0..35.0f64,
    )
        .prop_map(|(drink_c, ice, pooled_water_g, vessel, room_c)| Conditions {
            drink_c,
            ice,
            pooled_water_g,
            vessel,
            room_c,
        })
}

fn any_method() -> impl Strategy<Value = Method> {
    (
        prop_oneof![
            Just(Method::SHAKE),
            Just(Method::STIR),
            Just(Method::BLEND),
            Just(Method::STAND),
            Just(Method::THROW),
            Just(Method::SWIZZLE),
        ],
        0.2..3.0f64,
    )
        .prop_map(|(method, factor)| Method {
            ice_w_per_m2_k: method.ice_w_per_m2_k * factor,
            ..method
        })
}

fn with_water(liquid: &Liquid, water_g: f64) -> Liquid {
    let parts: Vec<(Component, f64)> = liquid
        .parts()
        .map(|(c, g)| match c {
            // The last crumb of water may come out a rounding below nothing.
            Component::Water => (c, (g + water_g).max(0.0)),
            _ => (c, g),
        })
        .collect();
    Liquid::of(&parts).unwrap()
}

/// Masses and heats of every point against the start, reckoned from outside by what the thermometer and the scale would
/// show.
fn nothing_is_lost(liquid: &Liquid, conditions: &Conditions, course: &Course) -> TestCaseResult {
    let (ice, vessel) = (&conditions.ice, conditions.vessel.capacity_j_per_k());
    let clung = ice.surface_water_g();
    let frozen = ice.grams - clung;
    let drink_0 = thermal::heat_j(liquid, conditions.drink_c);
    let ice_0 = frozen * thermal::ice_heat_j_per_g(ice.temperature_c);
    let vessel_0 = vessel * conditions.vessel.temperature_c;
    let water = ice.grams + conditions.pooled_water_g;
    for p in &course.points {
        let off = p.water_g + p.ice_g - water;
        prop_assert!(
            off.abs() <= 1e-9 * (water + liquid.mass_g()),
            "mass is off by {} g: {:?}",
            off,
            p
        );

        let drink = thermal::heat_j(&with_water(liquid, p.water_g), p.temperature_c);
        let ice = p.ice_g * thermal::ice_heat_j_per_g(p.ice_c);
        let vessel = vessel * p.vessel_c;
        let lost = (drink + ice + vessel) - (drink_0 + ice_0 + vessel_0) - p.from_outside_j;
        let moved = (drink - drink_0).abs()
            + (ice - ice_0).abs()
            + (vessel - vessel_0).abs()
            + p.from_outside_j.abs();
        // What was there is known to the last digits of its sum only.
        let digits = 1e-13 * (drink_0.abs() + ice_0.abs() + vessel_0.abs());
        prop_assert!(
            lost.abs() <= 1e-6 * moved + digits,
            "{} J of {} are lost: {:?}",
            lost,
            moved,
            p
        );
    }
    Ok(())
}

fn all_finite(course: &Course) -> TestCaseResult {
    for p in &course.points {
        for v in [
            p.seconds,
            p.water_g,
            p.temperature_c,
            p.freezing_c,
            p.ice_g,
            p.ice_c,
            p.vessel_c,
            p.from_outside_j,
        ] {
            prop_assert!(v.is_finite(), "{:?}", p);
        }
        // The temperature of a speck of ice in a barrel is not known to better.
        prop_assert!(p.ice_g >= 0.0 && p.ice_c <= 1.0, "{:?}", p);
    }
    Ok(())
}

proptest! {
    #![proptest_config(config(192))]

    #[test]
    fn mass_and_energy_stay(
        liquid in prop_oneof![any_liquid(), any_drink()],
        method in any_method(),
        conditions in any_conditions(),
        seconds in prop_oneof![0.1..30.0f64, 30.0..900.0f64],
    ) {
        let course = run(&liquid, &method, &conditions, seconds).unwrap();
        all_finite(&course)?;
        nothing_is_lost(&liquid, &conditions, &course)?;
    }

    #[test]
    fn mass_and_energy_stay_in_the_glass(liquid in any_drink(), conditions in any_conditions()) {
        let course = in_the_glass(&liquid, &conditions, &[0.5, 2.0, 5.0, 15.0, 60.0]).unwrap();
        all_finite(&course)?;
        nothing_is_lost(&liquid, &conditions, &course)?;
    }

    /// Without room and work, waiting ends in the equilibrium that a solver of its own finds.
    #[test]
    fn it_ends_in_equilibrium(liquid in any_drink(), method in any_method(), conditions in any_conditions()) {
        let conditions = Conditions {
            vessel: Vessel { room_w_per_k: 0.0, ..conditions.vessel },
            ..conditions
        };
        let method = Method { work_w: 0.0, vessel_w_per_k: 20.0, ..method };
        let rest = equilibrium(&liquid, &conditions).unwrap();
        let end = after(&liquid, &method, &conditions, 1e6).unwrap();
        // Without ice in it (too little to begin with, or all melted) a drink below its freezing point has nothing to
        // freeze on to: that is no equilibrium.
        prop_assume!(end.ice_g > 0.0 || rest.ice_g <= 1e-9 * conditions.ice.grams);
        let scale = liquid.mass_g() + conditions.ice.grams;
        prop_assert!((rest.water_g - end.water_g).abs() < 1e-4 * scale, "{:?} {:?}", rest, end);
        prop_assert!((rest.temperature_c - end.temperature_c).abs() < 0.01, "{:?} {:?}", rest, end);
    }

    /// Heat does not run uphill: without room and work, nothing gets colder than the coldest there was or than the
    /// freezing point, nor warmer than the warmest and what mixing gives off.
    #[test]
    fn nothing_runs_uphill(liquid in any_drink(), method in any_method(), conditions in any_conditions()) {
        let conditions = Conditions {
            vessel: Vessel { room_w_per_k: 0.0, ..conditions.vessel },
            ..conditions
        };
        let method = Method { work_w: 0.0, ..method };
        let course = run(&liquid, &method, &conditions, 60.0).unwrap();
        let mut lowest = conditions.drink_c.min(conditions.ice.temperature_c);
        let mut highest = conditions.drink_c.max(0.0);
        if conditions.vessel.grams > 0.0 {
            lowest = lowest.min(conditions.vessel.temperature_c);
            highest = highest.max(conditions.vessel.temperature_c);
        }
        for p in &course.points {
            lowest = lowest.min(p.freezing_c);
            prop_assert!(p.temperature_c >= lowest - 0.05, "{:?} below {}", p, lowest);
            prop_assert!(p.temperature_c <= highest + 12.0, "{:?} above {}", p, highest);
        }
    }

    /// The same answer in one stretch as in a hundred.
    #[test]
    fn the_step_does_not_show(
        liquid in any_drink(),
        method in any_method(),
        conditions in any_conditions(),
        seconds in 1.0..120.0f64,
    ) {
        let course = run(&liquid, &method, &conditions, seconds).unwrap();
        let end = after(&liquid, &method, &conditions, seconds).unwrap();
        let last = course.last();
        prop_assert!((last.water_g - end.water_g).abs() < 1e-3 * liquid.mass_g(), "{:?} {:?}", last, end);
        prop_assert!((last.temperature_c - end.temperature_c).abs() < 0.1, "{:?} {:?}", last, end);
    }

    /// Twice of everything is twice the water at the same temperature.
    #[test]
    fn size_does_not_matter(
        liquid in any_drink(),
        method in any_method(),
        conditions in any_conditions(),
        factor in 0.1..20.0f64,
    ) {
        let larger = Conditions {
            ice: Ice { grams: factor * conditions.ice.grams, ..conditions.ice },
            pooled_water_g: factor * conditions.pooled_water_g,
            vessel: Vessel {
                grams: factor * conditions.vessel.grams,
                room_w_per_k: factor * conditions.vessel.room_w_per_k,
                ..conditions.vessel
            },
            ..conditions
        };
        let harder = Method {
            vessel_w_per_k: factor * method.vessel_w_per_k,
            work_w: factor * method.work_w,
            ..method
        };
        let one = after(&liquid, &method, &conditions, 20.0).unwrap();
        let many = after(&liquid.times(factor).unwrap(), &harder, &larger, 20.0).unwrap();
        prop_assert!((factor * one.water_g - many.water_g).abs() < 1e-3 * factor * liquid.mass_g());
        prop_assert!((one.temperature_c - many.temperature_c).abs() < 0.1, "{:?} {:?}", one, many);
    }

    /// More time, a warmer drink or a warmer tin: more water.
    #[test]
    fn more_heat_melts_more(liquid in any_drink(), seconds in 2.0..40.0f64, more in 1.0..15.0f64) {
        let usual = Conditions::default();
        let water = |method: &Method, conditions: &Conditions, seconds: f64| {
            after(&liquid, method, conditions, seconds).unwrap().water_g
        };
        for method in [Method::SHAKE, Method::STIR] {
            let one = water(&method, &usual, seconds);
            let slack = 1e-4 * liquid.mass_g();
            prop_assert!(water(&method, &usual, seconds + more) > one - slack);
            let warmer = Conditions { drink_c: usual.drink_c + more, ..usual };
            prop_assert!(water(&method, &warmer, seconds) > one - slack);
            let chilled = Conditions { vessel: Vessel::tin(20.0 - more), ..usual };
            prop_assert!(water(&method, &chilled, seconds) < one + slack);
            let colder_ice = Conditions {
                ice: Ice { temperature_c: -more, film_um: 0.0, ..usual.ice },
                ..usual
            };
            prop_assert!(water(&method, &colder_ice, seconds) < one + slack);
            let pooled = Conditions { pooled_water_g: more, ..usual };
            prop_assert!(water(&method, &pooled, seconds) > one - slack);
        }
    }

    /// A known melt tells how the work went: worked so, the drink gains that melt, and is as cold as it was.
    #[test]
    fn a_melt_tells_the_hand_that_made_it(liquid in any_drink(), seconds in 3.0..40.0f64) {
        let conditions = Conditions::default();
        for (method, told) in [(Method::SHAKE, Told::Wetness), (Method::STIR, Told::Time)] {
            // A shake is known by how wet its ice was, in its own time.
            let seconds = if told == Told::Wetness { method.seconds } else { seconds };
            let end = after(&liquid, &method, &conditions, seconds).unwrap();
            let hand = hand(&liquid, &method, &conditions, end.water_g, told).unwrap();
            let mut same = conditions;
            same.ice.film_um = hand.film_um;
            let again = reached(&liquid, &method, &same, hand.seconds).unwrap();
            prop_assert!((again.water_g - end.water_g).abs() < 1e-3 * liquid.mass_g(), "{:?} {:?}", again, end);
            prop_assert!((again.temperature_c - end.temperature_c).abs() < 0.1, "{:?} {:?}", again, end);
        }
    }

    #[test]
    fn colder_freezes_more(liquid in any_liquid(), t in -40.0..0.0f64, colder in 0.1..10.0f64) {
        let (one, two) = (freezer(&liquid, t).unwrap(), freezer(&liquid, t - colder).unwrap());
        prop_assert!(one.frozen_share >= 0.0 && one.frozen_share <= 1.0);
        prop_assert!(two.frozen_share >= one.frozen_share - 1e-9);
        prop_assert!(one.half_width.is_finite() && one.half_width >= 0.0);
        if let Some(onset) = one.onset_c {
            prop_assert!((freezing::LOWEST_C..=0.0).contains(&onset));
            prop_assert!(one.frozen_share <= 1e-9 || onset > t);
        }
    }

    /// The order in which pours are mixed changes neither their heat nor their temperature.
    #[test]
    fn heat_does_not_ask_for_the_order(
        a in any_drink(), b in any_drink(), c in any_drink(),
        ta in -18.0..40.0f64, tb in -18.0..40.0f64, tc in -18.0..40.0f64,
    ) {
        let (ab, t_ab) = thermal::poured(&[(a, ta), (b, tb)]).unwrap();
        let (_, one) = thermal::poured(&[(ab, t_ab), (c, tc)]).unwrap();
        let (cb, t_cb) = thermal::poured(&[(c, tc), (b, tb)]).unwrap();
        let (_, two) = thermal::poured(&[(cb, t_cb), (a, ta)]).unwrap();
        prop_assert!((one - two).abs() < 1e-9);
    }
}

/// Each odd liquid goes through every question without a NaN, a panic or a hang.
#[test]
fn odd_liquids_have_answers() {
    let of = |parts: &[(Component, f64)]| Liquid::of(parts).unwrap();
    let odd = [
        ("ethanol", of(&[(Component::Ethanol, 40.0)])),
        ("sugar", of(&[(Component::Sucrose, 50.0)])),
        ("acid", of(&[(Component::Citric, 5.0)])),
        ("salt", of(&[(Component::Salt, 5.0)])),
        ("fat", of(&[(Component::Fat, 30.0)])),
        ("water", of(&[(Component::Water, 60.0)])),
        ("a drop", of(&[(Component::Water, 0.02)])),
        (
            "cream",
            Liquid::hundred_grams(&[
                (Component::Fat, 36.0),
                (Component::Lactose, 3.0),
                (Component::Protein, 2.0),
            ])
            .unwrap(),
        ),
        (
            "syrup",
            Liquid::hundred_grams(&[(Component::Sucrose, 66.0)]).unwrap(),
        ),
        (
            "overproof",
            Liquid::from_strength(95.0).unwrap().of_volume(50.0).unwrap(),
        ),
    ];
    for (name, liquid) in odd {
        for ice in [
            Ice::handbook(),
            Ice::from_the_freezer(120.0, 30.0),
            Ice::NONE,
            Ice::wet(0.1, 2.0),
        ] {
            for method in [Method::SHAKE, Method::STIR, Method::STAND, Method::BLEND] {
                let conditions = Conditions {
                    ice,
                    ..Conditions::default()
                };
                let end = after(&liquid, &method, &conditions, 30.0).unwrap();
                for v in [
                    end.water_g,
                    end.water_half_width_g,
                    end.temperature_c,
                    end.half_width_c,
                    end.ice_g,
                ] {
                    assert!(v.is_finite(), "{name}: {end:?}");
                }
                let course = run(&liquid, &method, &conditions, 30.0).unwrap();
                all_finite(&course).unwrap();
                nothing_is_lost(&liquid, &conditions, &course).unwrap();
                let rest = equilibrium(&liquid, &conditions).unwrap();
                assert!(
                    rest.water_g.is_finite() && rest.temperature_c.is_finite(),
                    "{name}: {rest:?}"
                );
                for told in [Told::Time, Told::Wetness] {
                    let hand = hand(&liquid, &method, &conditions, 10.0, told).unwrap();
                    assert!(
                        hand.seconds.is_finite() && hand.film_um.is_finite(),
                        "{name}: {hand:?}"
                    );
                }
            }
        }
        assert!(freezer(&liquid, -18.0).unwrap().half_width.is_finite());
    }
}

#[test]
fn what_cannot_be_is_refused_by_name() {
    let drink = Liquid::from_strength(20.0).unwrap();
    let conditions = Conditions::default();
    assert_eq!(
        after(&Liquid::NOTHING, &Method::SHAKE, &conditions, 10.0),
        Err(HeatError::NoDrink)
    );
    let speck = Liquid::water_g(1e-6).unwrap();
    assert!(
        equilibrium(&speck, &conditions)
            .unwrap_err()
            .to_string()
            .starts_with("the drink's mass")
    );
    let wrong = [
        (
            Conditions {
                drink_c: f64::NAN,
                ..conditions
            },
            "the drink's temperature",
        ),
        (
            Conditions {
                room_c: 1e9,
                ..conditions
            },
            "the room's temperature",
        ),
        (
            Conditions {
                ice: Ice {
                    temperature_c: 1.0,
                    ..conditions.ice
                },
                ..conditions
            },
            "the ice's temperature",
        ),
        (
            Conditions {
                ice: Ice {
                    grams: -1.0,
                    ..conditions.ice
                },
                ..conditions
            },
            "the mass of ice",
        ),
        (
            Conditions {
                ice: Ice {
                    piece_mm: 0.0,
                    ..conditions.ice
                },
                ..conditions
            },
            "the size of the ice",
        ),
    ];
    for (conditions, what) in wrong {
        let said = after(&drink, &Method::SHAKE, &conditions, 10.0)
            .unwrap_err()
            .to_string();
        assert!(said.starts_with(what), "{said}");
        assert!(equilibrium(&drink, &conditions).is_err());
    }
    for seconds in [-1.0, f64::INFINITY, f64::NAN] {
        assert!(run(&drink, &Method::SHAKE, &conditions, seconds).is_err());
        assert!(in_the_glass(&drink, &conditions, &[seconds]).is_err());
    }
    assert!(hand(&Liquid::NOTHING, &Method::SHAKE, &conditions, 10.0, Told::Time).is_err());
}
