//! One state for water and temperature: what a spec prints of its melt, against energy reckoned from outside.

use washline_core::balance::Finding;
use washline_core::build::{Off, melt_doubts, melted, over_time};
use washline_core::computed::{ComputedDrink, check};
use washline_core::liquid::{Component, Liquid, thermal};
use washline_core::melt::heat::Vessel;
use washline_core::tables::Structure;

/// One drink of a book that sets these, worked out.
fn drink(settings: &str, lines: &str) -> ComputedDrink {
    let text = format!("# T\n{settings}\n\n## D\n{lines}");
    check(&text)
        .unwrap_or_else(|faults| panic!("{text}\n{faults}"))
        .remove(0)
}

struct Told {
    water_g: f64,
    temperature_c: f64,
    low_c: f64,
    high_c: f64,
    worked: ComputedDrink,
}

fn told(settings: &str, lines: &str) -> Told {
    let worked = drink(settings, lines);
    let temperature = worked.evaluation.figures.temperature_c;
    Told {
        water_g: worked.built.water_g,
        temperature_c: temperature.value.unwrap(),
        low_c: temperature.low.unwrap(),
        high_c: temperature.high.unwrap(),
        worked,
    }
}

fn ran_out(told: &Told) -> Option<(f64, f64)> {
    told.worked.evaluation.findings.iter().find_map(|f| match f {
        Finding::IceRanOut {
            temperature_c,
            needs_g,
            ..
        } => Some((*temperature_c, *needs_g)),
        _ => None,
    })
}

#[test]
fn there_is_never_more_water_than_ice() {
    for (ml, ice, short) in [
        (240, 20, true),
        (160, 60, false),
        (240, 120, false),
        (400, 30, true),
    ] {
        let told = told(
            "",
            &format!("- {ml} ml vodka (25 %)\n- shake with {ice} g ice\n- strain\n"),
        );
        assert!(
            told.water_g <= f64::from(ice) + 1e-9,
            "{ml} ml on {ice} g: {} g gained",
            told.water_g
        );
        let out = ran_out(&told);
        if short {
            let (celsius, needs) = out.unwrap_or_else(|| panic!("{ml} ml on {ice} g: nothing said"));
            assert!((celsius - told.temperature_c).abs() < 0.01);
            assert!(needs > f64::from(ice) && needs < 0.75 * f64::from(ml));
            // That much is enough.
            let enough = self::told(
                "",
                &format!(
                    "- {ml} ml vodka (25 %)\n- shake with {} g ice\n- strain\n",
                    needs + 20.0
                ),
            );
            assert!(ran_out(&enough).is_none());
        }
    }
}

#[test]
fn what_the_handbook_has_may_be_written_down() {
    for lines in [
        "- 30 ml rye whiskey\n- 15 ml sweet red vermouth\n- stir",
        "- 20 ml gin (40 %)\n- stir",
        "- 60 ml gin (40 %)\n- 30 ml dry vermouth\n- stir",
        "- 90 ml vodka (25 %)\n- shake",
        "- 240 ml vodka (25 %)\n- shake",
    ] {
        let bare = told("", &format!("{lines}\n- strain\n"));
        for (settings, said) in [
            ("", " with 120 g ice"),
            ("ice size: 6 mm\nice in the tin: 120 g\n", ""),
        ] {
            let written = told(settings, &format!("{lines}{said}\n- strain\n"));
            assert!(
                (bare.water_g - written.water_g).abs() < 1e-6,
                "{lines}: {} g, written {} g",
                bare.water_g,
                written.water_g
            );
            for (a, b) in [
                (bare.temperature_c, written.temperature_c),
                (bare.low_c, written.low_c),
                (bare.high_c, written.high_c),
            ] {
                assert!((a - b).abs() < 1e-6, "{lines}: {a} °C, written {b} °C");
            }
        }
        // No warmer than it began, but for what mixing gives off.
        assert!(bare.temperature_c < 20.0);
    }
}

/// The same work at strengths and volumes a little apart, over the ends of every fit: nothing jumps, and the doubt of the
/// melt and of the temperature does not shrink on the way out.
#[test]
fn nothing_jumps_at_the_end_of_a_fit() {
    for (work, ends) in [("shake", [18.0, 33.0]), ("stir", [29.0, 43.0])] {
        for (at, outward) in ends.into_iter().zip([-1.0, 1.0]) {
            let with =
                |pct: f64, ml: f64| told("", &format!("- {ml} ml vodka ({pct} %)\n- {work}\n- strain\n"));
            // What the melt itself is not known to: in temperature, and in water over the mix.
            let width = |t: &Told| {
                let (resolved, built) = (&t.worked.resolved, &t.worked.built);
                let state = melted(resolved, built, &Off::default());
                let kelvin: f64 = melt_doubts(resolved, built, state.as_ref())
                    .iter()
                    .map(|d| (0.5 * (d.above.kelvin - d.below.kelvin)).powi(2))
                    .sum();
                let water = t.worked.evaluation.figures.water_gained_ml;
                (
                    2.0 * 1.96 * kelvin.sqrt(),
                    (water.high.unwrap() - water.low.unwrap()) / built.worked.volume_ml(),
                )
            };
            for ml in [90.0, 96.0] {
                let (inside, outside) = (with(at - 0.1 * outward, ml), with(at + 0.1 * outward, ml));
                assert!(
                    (inside.temperature_c - outside.temperature_c).abs() < 0.25,
                    "{work} at {at} %: {} and {} °C",
                    inside.temperature_c,
                    outside.temperature_c
                );
                assert!((inside.water_g - outside.water_g).abs() < 0.4);
                let (a, b) = (width(&inside), width(&outside));
                assert!(
                    b.0 > 0.98 * a.0 && b.1 > 0.98 * a.1 && b.0 < 1.1 * a.0,
                    "{work} at {at} %: ±{:.2} K inside, ±{:.2} K outside; water ±{:.3}, ±{:.3}",
                    0.5 * a.0,
                    0.5 * b.0,
                    0.5 * a.1,
                    0.5 * b.1
                );
                let far = width(&with(at + 10.0 * outward, ml));
                assert!(
                    far.0 > 0.98 * a.0 && far.1 > a.1,
                    "{work} 10 % beyond {at} %: {far:?} {a:?}"
                );
            }
        }
        for (at, outward) in [(88.0, -1.0), (if work == "shake" { 112.0 } else { 97.0 }, 1.0)] {
            let with = |ml: f64| told("", &format!("- {ml} ml vodka (30 %)\n- {work}\n- strain\n"));
            let (inside, outside) = (with(at - 0.2 * outward), with(at + 0.2 * outward));
            assert!((inside.temperature_c - outside.temperature_c).abs() < 0.25);
            assert!((inside.water_g - outside.water_g).abs() < 0.6);
        }
    }
}

/// Bars serve stirred drinks at about 0 °C and below: one properly stirred could not be told from one at −0.5 °C (Arnold,
/// article of 2010, by two summaries); a stirred martini of a bar read 0.9 °C in the glass (33.6 °F).
#[test]
fn a_stirred_drink_comes_off_about_freezing() {
    for lines in [
        "- 30 ml gin (40 %)\n- 30 ml sweet red vermouth\n- 30 ml red bitter aperitif\n- stir\n- strain\n",
        "- 60 ml rye whiskey\n- 30 ml sweet red vermouth\n- stir\n- strain\n",
    ] {
        let told = told("", lines);
        assert!(
            told.low_c < -0.5 && told.high_c > 0.9 && told.temperature_c < 1.0,
            "{lines}: {} ({} to {}) °C",
            told.temperature_c,
            told.low_c,
            told.high_c
        );
        // With neither water on the ice nor a warm vessel: what a bar that drains and chills does.
        assert!(told.low_c < -2.0);
    }
}

#[test]
fn no_ice_is_no_melt() {
    for lines in [
        "glass: toddy glass\n- 50 ml whisky\n- 15 ml lemon juice\n- 120 ml boiling water\n- stir\n",
        "glass: martini glass\n- 60 ml freezer gin\n- 15 ml freezer dry vermouth\n- 20 ml water\n- build\n- neat\n",
        "glass: flute\n- 15 ml crème de cassis\n- 120 ml sparkling wine\n- build\n",
        "glass: coupe\n- 50 ml aged rum\n- build\n- neat\n",
    ] {
        let worked = drink("", lines);
        assert!(
            worked.built.water_g.abs() < 1e-12,
            "{lines}: {} g",
            worked.built.water_g
        );
        assert!(!worked.built.on_ice, "{lines}");
        for finding in &worked.evaluation.findings {
            assert!(!finding.to_string().contains("ice"), "{lines}: {finding}");
        }
    }
    // A line that says ice is believed.
    let iced = told(
        "",
        "glass: flute\n- 100 ml sparkling wine\n- 30 ml gin (40 %)\n- build\n- over ice\n",
    );
    assert!(iced.water_g > 1.0);
}

/// Wherever a line says how cold a bottle is, it is poured that cold.
#[test]
fn a_bottle_is_as_cold_as_its_line_says() {
    let at = |line: &str| told("", &format!("glass: coupe\n- {line}\n- build\n- neat\n")).temperature_c;
    let room = at("60 ml gin");
    for line in ["60 ml freezer gin", "60 ml gin (freezer)", "60 ml frozen gin"] {
        assert!(at(line) < room - 25.0, "{line}: {} °C", at(line));
    }
    for line in [
        "60 ml chilled gin",
        "60 ml gin, chilled",
        "60 ml gin (fridge cold)",
    ] {
        let cold = at(line);
        assert!(cold < room - 8.0 && cold > room - 25.0, "{line}: {cold} °C");
    }
}

/// A hot drink that is stirred is a hot drink, and none that is stirred on ice.
#[test]
fn a_stirred_toddy_is_hot() {
    for lines in [
        "glass: toddy glass\n- 50 ml whisky\n- 15 ml lemon juice\n- 15 ml honey syrup 1:1 by volume\n- 120 ml boiling water\n- stir\n",
        "glass: mug\n- 45 ml aged rum\n- 10 ml demerara syrup\n- 150 ml hot water\n- stir\n",
        "- 45 ml aged rum\n- 150 ml hot water\n- build\n- stir\n",
    ] {
        let worked = drink("", lines);
        assert_eq!(worked.built.structure, Some(Structure::Hot), "{lines}");
        assert!(
            worked.evaluation.figures.temperature_c.value.unwrap() > 40.0,
            "{lines}"
        );
    }
}

/// A glass that is called chilled is that glass, and chilled.
#[test]
fn a_chilled_coupe_is_a_coupe() {
    let served = |settings: &str, glass: &str| {
        let worked = drink(
            settings,
            &format!(
                "glass: {glass}\n- 100 ml gin (40 %)\n- 30 ml dry vermouth\n- 20 ml lime juice\n- shake\n- strain\n"
            ),
        );
        let told = over_time(&worked.resolved, &worked.built);
        let flagged = worked
            .evaluation
            .findings
            .iter()
            .any(|f| f.to_string().contains("does not fit"));
        (told.stands, told.served[2].temperature_c, flagged)
    };
    let (stands, chilled, flagged) = served("", "chilled coupe, 180 ml");
    assert!(stands.contains("chilled"), "{stands}");
    assert!(flagged);
    let (stands, frozen, _) = served("", "frozen coupe, 180 ml");
    assert!(
        stands.contains("frozen") && frozen < chilled,
        "{stands}: {frozen} and {chilled}"
    );
    // The size that a book has for its coupes holds for chilled ones.
    assert!(served("coupe: 180 ml\n", "chilled coupe").2);
}

/// Ice in grams and pieces can stand anywhere that ice can.
#[test]
fn ice_is_weighed_and_counted_in_every_form() {
    let shaken = |ice: &str| told("", &format!("- 90 ml vodka (25 %)\n- shake{ice}\n- strain\n")).water_g;
    // Six cubes of 32 mm are 180 g.
    let (six, weighed) = (shaken(" with 6 ice cubes"), shaken(" with 180 g ice cubes"));
    assert!((six - weighed).abs() < 0.2, "{six} and {weighed}");
    assert!(six > shaken(" with 2 ice cubes"));
    let over = |ice: &str| {
        told(
            "",
            &format!(
                "glass: rocks glass, 300 ml\n- 60 ml bourbon\n- 5 ml simple syrup 1:1 by mass\n- build\n- {ice}\n"
            ),
        )
    };
    let (some, named) = (over("over 117 g ice"), over("ice 117 g"));
    assert!((some.water_g - named.water_g).abs() < 1e-9);
    assert!(over("over 20 g ice").water_g < some.water_g);
}

/// The words for ice say how large it is and how much, in the tin and in the glass.
#[test]
fn words_of_ice_tell() {
    let shaken = |ice: &str| told("", &format!("- 100 ml vodka (25 %)\n- shake{ice}\n- strain\n")).water_g;
    let (usual, crushed, large) = (
        shaken(""),
        shaken(" with crushed ice"),
        shaken(" with large cubes"),
    );
    assert!(
        usual > crushed + 0.5 && crushed > large + 0.5,
        "{usual} {crushed} {large}"
    );
    assert!(shaken(" with pebble ice") < usual);
    let built = |ice: &str| {
        told(
            "",
            &format!(
                "glass: rocks glass, 300 ml\n- 60 ml bourbon\n- 5 ml simple syrup 1:1 by mass\n{ice}- build\n"
            ),
        )
    };
    let (little, some, usual) = (built("- ice 20 g\n"), built("- ice 117 g\n"), built("- ice\n"));
    assert!(little.water_g <= 20.0 && little.water_g < some.water_g);
    assert!(little.temperature_c > some.temperature_c + 1.0);
    assert!(usual.water_g > 0.0);
    let over = |ice: &str| built(&format!("- {ice}\n"));
    assert!(over("over crushed ice").water_g > over("over a large cube").water_g + 2.0);
}

/// Wet ice stated by a book matters, and says what it is part of: the mass of the ice.
#[test]
fn a_book_can_say_that_its_ice_is_wet() {
    let lines = "- 90 ml vodka (25 %)\n- shake\n- strain\n";
    let (dry, wet) = (
        told("water on the ice: 0 %\n", lines),
        told("water on the ice: 8 %\n", lines),
    );
    assert!(wet.water_g > dry.water_g + 5.0, "{} {}", dry.water_g, wet.water_g);
    assert!(wet.temperature_c > dry.temperature_c);
    let said = told("ice: wet\n", lines);
    assert!(said.water_g > dry.water_g + 3.0);
}

/// A word in a product's name is no temperature.
#[test]
fn a_name_is_no_temperature() {
    let celsius = |name: &str| {
        let worked = drink(
            "",
            &format!("- 60 ml gin (40 %)\n- 40 ml {name}\n- shake\n- strain\n"),
        );
        worked
            .resolved
            .steps
            .iter()
            .filter_map(|step| match step {
                washline_core::resolve::ResolvedStep::Pour(pour) => Some(pour.temperature_c),
                _ => None,
            })
            .nth(1)
            .unwrap()
    };
    for name in ["apple juice", "cold-pressed apple juice", "cold brew"] {
        assert!(
            (celsius(name) - 20.0).abs() < 1e-9,
            "{name}: {} °C",
            celsius(name)
        );
    }
    for name in ["chilled apple juice", "cold apple juice"] {
        assert!((celsius(name) - 4.0).abs() < 1e-9, "{name}: {} °C", celsius(name));
    }
}

/// A 12 oz glass of whisky topped with soda takes 90 to 150 ml (common practice, no source), and is not known better.
#[test]
fn a_top_fills_what_the_ice_leaves_and_says_how_sure() {
    let worked = drink(
        "",
        "glass: highball, 355 ml\n- 60 ml whisky\n- ice\n- build\n- top soda water\n",
    );
    let top = worked.built.fill.unwrap().volume_ml;
    assert!((100.0..140.0).contains(&top), "{top}");
    let volume = worked.evaluation.figures.volume_ml;
    let spread = volume.high.unwrap() - volume.low.unwrap();
    assert!((50.0..80.0).contains(&spread), "{volume:?}");
    // Weighed ice leaves what it leaves.
    let worked = drink(
        "",
        "glass: highball, 355 ml\n- 60 ml whisky\n- ice 117 g\n- build\n- top soda water\n",
    );
    let volume = worked.evaluation.figures.volume_ml;
    assert!(volume.high.unwrap() - volume.low.unwrap() < 12.0, "{volume:?}");
}

/// Heat that the drink gave, ice and vessel took and came from outside, from what is printed of them; and how much heat
/// was moved.
fn left_over(worked: &ComputedDrink) -> (f64, f64) {
    let told = over_time(&worked.resolved, &worked.built).account.unwrap();
    let printed = &worked.evaluation.figures;
    let (water_ml, celsius) = (
        printed.water_gained_ml.value.unwrap(),
        printed.temperature_c.value.unwrap(),
    );
    // Water at 20 °C: 0.9982 g/ml (handbook).
    let water_g = 0.998_201 * water_ml;
    let before = worked.built.before;
    let parts = before
        .parts()
        .map(|(part, g)| (part, if part == Component::Water { g + water_g } else { g }));
    let after = Liquid::of(&parts.collect::<Vec<_>>()).unwrap();
    let drink = thermal::heat_j(&after, celsius) - thermal::heat_j(&before, told.drink_before_c);
    let ice = told.ice_left_g * thermal::ice_heat_j_per_g(told.ice_left_c)
        - (told.ice_g - told.water_on_ice_g) * thermal::ice_heat_j_per_g(told.ice_c);
    let vessel = told.vessel_j_per_k * (told.vessel_after_c - told.vessel_before_c);
    let moved = drink.abs() + ice.abs() + vessel.abs() + told.from_outside_j.abs();
    assert!(
        (told.ice_g - told.ice_left_g - water_g).abs() < 0.01,
        "{told:?} {water_g}"
    );
    (drink + ice + vessel - told.from_outside_j, moved)
}

/// The residual of the balance is under 0.5 % of the heat moved whatever is stated: 10 to 1,000 ml, 0 to 60 % vol, 5 to
/// 2,000 g of ice from −25 to 0 °C with 0 to 30 % of water on it, in tins of any temperature.
#[test]
fn the_balance_closes() {
    use rand::rngs::StdRng;
    use rand::{RngExt, SeedableRng};
    let mut random = StdRng::seed_from_u64(14);
    for i in 0..150 {
        let ml = (10.0 * 100.0_f64.powf(random.random_range(0.0..1.0)) * 10.0).round() / 10.0;
        let pct = (random.random_range(0.0..60.0f64) * 10.0).round() / 10.0;
        let grams = (5.0 * 400.0_f64.powf(random.random_range(0.0..1.0))).round();
        let ice_c = if i % 2 == 0 {
            0.0
        } else {
            -(random.random_range(0.0..25.0f64) * 10.0).round() / 10.0
        };
        let wet = if i % 3 == 0 {
            0.0
        } else {
            random.random_range(0.0..30.0f64).round()
        };
        let tin = random.random_range(-20.0..35.0f64).round();
        let work = ["shake", "stir"][(i % 2) ^ ((i / 2) % 2)];
        let settings = format!("water on the ice: {wet} %\nice temperature: {ice_c} °C\ntin: {tin} °C\n");
        let lines = format!("- {ml} ml vodka ({pct} %)\n- {work} with {grams} g ice\n- strain\n");
        let told = told(&settings, &lines);
        let (lost, moved) = left_over(&told.worked);
        assert!(
            lost.abs() < 0.005 * moved + 0.5,
            "{settings}{lines}: {lost} J of {moved}; {} g, {} °C",
            told.water_g,
            told.temperature_c
        );
        assert!(
            told.water_g <= grams + 1e-9,
            "{settings}{lines}: {} g",
            told.water_g
        );
        // No warmer than the warmest it met, and what mixing gives off.
        let warmest = 20.0_f64.max(tin);
        assert!(
            told.temperature_c < warmest + 9.0,
            "{settings}{lines}: {}",
            told.temperature_c
        );
    }
    // What a tin is, once: 120 g of steel follow the drink.
    assert!((Vessel::tin(20.0).capacity_j_per_k() - 60.0).abs() < 1e-9);
}

#[derive(serde::Deserialize)]
struct Chilled {
    source: String,
    locator: String,
    settings: String,
    lines: String,
    quantity: String,
    low: f64,
    high: f64,
    met: String,
    status: String,
    note: String,
}

/// Readings of thermometer and scale that nothing was fitted to: the balance knows the handbook's two curves and the time
/// a shake takes. Each source is left out of the fit by that. The error is from the nearest end of what was read.
#[test]
#[expect(
    clippy::print_stdout,
    reason = "the table of errors, for who asks with --nocapture"
)]
fn readings_that_nothing_was_fitted_to() {
    let mut by_source: std::collections::BTreeMap<(String, String), Vec<f64>> = Default::default();
    let mut missed = Vec::new();
    for row in crate::published_liquids::table::<Chilled>("chilled_drinks.csv") {
        assert!(row.status.starts_with("READ"), "{}", row.locator);
        // What was weighed is a particular of the drink, the rest are its steps.
        let line = |l: &str| {
            if l.starts_with("weighed:") {
                format!("{l}\n")
            } else {
                format!("- {l}\n")
            }
        };
        let lines: String = row.lines.split(" / ").map(line).collect();
        let settings = row.settings.replace(" / ", "\n");
        let told = told(&format!("{settings}\n"), &format!("{lines}- strain\n"));
        let figure = told
            .worked
            .evaluation
            .figures
            .named()
            .into_iter()
            .find(|(name, _)| *name == row.quantity)
            .unwrap()
            .1;
        let value = figure.value.unwrap();
        let off = value - value.clamp(row.low, row.high);
        // A reading is met where the interval reaches it, a probe being half a degree off and a share half a point.
        let met = figure.low.unwrap() - 0.5 <= row.high && figure.high.unwrap() + 0.5 >= row.low;
        if met != (row.met == "yes") || !met && row.note.len() < 40 {
            missed.push(format!(
                "{}, {}: {value:.2} ({:.2} to {:.2}), read {} to {}",
                row.source,
                row.locator,
                figure.low.unwrap(),
                figure.high.unwrap(),
                row.low,
                row.high
            ));
        }
        if row.met == "yes" {
            by_source.entry((row.quantity, row.source)).or_default().push(off);
        }
    }
    for ((quantity, source), off) in &by_source {
        let rms = (off.iter().map(|o| o * o).sum::<f64>() / off.len() as f64).sqrt();
        println!("{quantity}, {source}: n = {}, error {rms:.2}", off.len());
        // Temperatures within 2 K, water within 2 points of the mix.
        assert!(rms < 2.0, "{quantity}, {source}: {rms}");
    }
    assert!(missed.is_empty(), "{}", missed.join("\n"));
}
