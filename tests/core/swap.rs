//! Swaps and conversions: what holds, that it holds, there and back, and what is refused.

use proptest::prelude::*;
use serde::Deserialize;
use washline_core::advise::{
    By, CannotAdjust, CannotBlend, Hold, NotHeld, NotWritten, Note, Refusal, Swap, SwapAsk, SwapError,
    Swapped, adjust, blend, one_ml, swap, swapped_text,
};
use washline_core::computed::{ComputedDrink, check};
use washline_core::liquid::{Component, Liquid};
use washline_core::spec::Source;

use crate::published_liquids::{none_missed, table};

/// A drink worked out without a house.
struct Bar {
    /// The book it stands in.
    source: Source,
    worked: ComputedDrink,
}

impl Bar {
    fn ask(&self, old: &str, new: &str, hold: Hold) -> Result<Option<Swap<'_>>, SwapError> {
        let ask = SwapAsk {
            old: old.to_owned(),
            new: new.to_owned(),
            hold,
            by_part: true,
        };
        swap(&self.worked, &ask)
    }

    fn swap(&self, old: &str, new: &str, hold: Hold) -> Swap<'_> {
        self.ask(old, new, hold)
            .unwrap_or_else(|e| panic!("{e}"))
            .unwrap()
    }

    fn refused(&self, old: &str, new: &str, hold: Hold) -> Refusal {
        self.swap(old, new, hold).outcome.unwrap_err()
    }
}

/// The last drink of a book.
fn poured(text: &str) -> Bar {
    let mut drinks = check(text).unwrap_or_else(|e| panic!("{e}\n{text}"));
    Bar {
        source: Source::new("t.md", text),
        worked: drinks.pop().unwrap(),
    }
}

/// A sour with one more line.
fn sour_with(line: &str) -> Bar {
    poured(&format!(
        "# T\n\n## D\n- 20 ml mezcal\n- {line}\n- shake\n- strain\n"
    ))
}

fn sour() -> Bar {
    poured(
        "# T\nounce: 30 ml\n\n## Sour\nglass: coupe, 240 ml\n- 60 ml white rum (40 %)\n- 22.5 ml lime juice\n- 22.5 ml simple syrup 1:1 by mass\n- shake\n- strain\n",
    )
}

fn done<'a>(swap: &'a Swap<'_>) -> &'a Swapped {
    swap.outcome.as_ref().unwrap_or_else(|r| panic!("{r}"))
}

fn sum(swap: &Swap<'_>, of: fn(&washline_core::advise::SwappedPour) -> f64) -> f64 {
    swap.pours.iter().map(of).sum()
}

// Published figures

#[derive(Deserialize)]
struct Case {
    case: String,
    what: String,
    old: String,
    new: String,
    hold: String,
    quantity: String,
    expected: f64,
    tolerance: f64,
    source: String,
    locator: String,
    status: String,
}

/// A litre with these acids: `citric 40 + malic 20`, g/L.
fn with_acids(text: &str) -> Liquid {
    let parts: Vec<(Component, f64)> = text
        .split(" + ")
        .map(|part| {
            let (name, grams) = part.split_once(' ').unwrap();
            (
                Component::named(&format!("{name} acid")).unwrap(),
                grams.parse().unwrap(),
            )
        })
        .collect();
    Liquid::litre(0.0, &parts).unwrap()
}

impl Case {
    fn computed(&self) -> f64 {
        let hold = || self.hold.parse::<Hold>().unwrap();
        // What is swapped out is named by its line without the amount.
        let old = || self.old.splitn(3, ' ').nth(2).unwrap().replace(['(', ')'], "");
        match self.what.as_str() {
            "swap" => {
                let bar = sour_with(&self.old);
                let swap = bar.swap(&old(), &self.new, hold());
                match self.quantity.as_str() {
                    "amount_ml" => sum(&swap, |p| p.to_ml),
                    "water_ml" => sum(&swap, |p| p.water_ml),
                    "held" => sum(&swap, |p| p.held),
                    "pct_less_sugar" => {
                        let (then, now) = (
                            done(&swap).exact.drink.built.before.sugar_g(),
                            bar.worked.built.before.sugar_g(),
                        );
                        100.0 * (1.0 - then / now)
                    }
                    other => panic!("{other}"),
                }
            }
            "refuse" => sour_with(&self.old)
                .refused(&old(), &self.new, hold())
                .needed_ml()
                .unwrap(),
            "adjust" => {
                let by = if self.hold == "total" {
                    By::Total(Component::Citric)
                } else {
                    By::Profile
                };
                let adjusted = adjust(&with_acids(&self.old), &with_acids(&self.new), by, 1000.0).unwrap();
                let acid = if self.quantity == "citric_g" {
                    Component::Citric
                } else {
                    Component::Malic
                };
                adjusted.powders.iter().find(|p| p.acid == acid).unwrap().plain_g
            }
            "blend" => {
                let strength = |text: &str| Liquid::from_strength(text.parse().unwrap()).unwrap();
                let blended = blend(
                    &strength(&self.old),
                    &strength(&self.new),
                    self.hold.parse().unwrap(),
                )
                .unwrap();
                blended.making(100.0).unwrap().second.volume_ml()
            }
            other => panic!("{other}"),
        }
    }
}

#[test]
fn published_conversions_are_met() {
    let cases: Vec<Case> = table("swap_cases.csv");
    assert_eq!(cases.len(), 23, "a row lost is a check lost");
    let mut missed = Vec::new();
    for case in &cases {
        assert!(
            !case.source.is_empty() && !case.locator.is_empty(),
            "{}",
            case.case
        );
        assert!(
            ["READ", "COMPUTED"].iter().any(|s| case.status.starts_with(s)),
            "{}",
            case.case
        );
        let got = case.computed();
        if !((got - case.expected).abs() <= case.tolerance) {
            missed.push(format!(
                "{}: {got}, expected {} within {}",
                case.case, case.expected, case.tolerance
            ));
        }
    }
    none_missed(&missed);
}

// What is held

#[test]
fn what_is_held_is_as_much_in_the_whole_drink_before_ice() {
    let bar = sour();
    for (old, new, hold) in [
        ("syrup", "rich syrup 2:1 by mass", Hold::Sweetness),
        ("simple syrup 1:1 by mass", "honey", Hold::Sweetness),
        (
            "simple syrup 1:1 by mass",
            "agave syrup",
            Hold::SweetnessEquivalent,
        ),
        ("rum", "overproof rum 57 %", Hold::Alcohol),
    ] {
        let swap = bar.swap(old, new, hold);
        let of_rest = |at: usize| {
            hold.of(&match &bar.worked.resolved.steps[at] {
                washline_core::resolve::ResolvedStep::Pour(p) => p.some(),
                _ => panic!(),
            })
        };
        assert!((of_rest(swap.pours[0].at) - swap.pours[0].held).abs() < 1e-12);
        let (now, then) = (
            hold.of(&bar.worked.built.before),
            hold.of(&done(&swap).exact.drink.built.before),
        );
        assert!((now - then).abs() < 1e-5 * now, "{new}: {now} and {then}");
        // As measured it is what is told of the measured amount.
        let measured = hold.of(&done(&swap).measured.drink.built.before);
        let off = swap.pours[0].held_measured - swap.pours[0].held;
        assert!((measured - now - off).abs() < 1e-9, "{new}");
    }
    // The two ways of counting sweetness differ where the sugars do.
    let grams = bar.swap("syrup", "agave syrup", Hold::Sweetness).pours[0].to_ml;
    let sweet = bar.swap("syrup", "agave syrup", Hold::SweetnessEquivalent).pours[0].to_ml;
    assert!(sweet < 0.95 * grams, "{sweet} {grams}");
}

#[test]
fn the_missing_water_poured_back_is_the_drink_as_it_was() {
    // A jigger set as fine as its smallest step, so that hardly anything is rounded.
    let bar = poured(
        "# T\njigger set: 0.25 ml\n\n## Sour\n- 60 ml white rum (40 %)\n- 22.5 ml lime juice\n- 30 ml simple syrup 1:1 by mass\n- shake\n- strain\n",
    );
    let swap = bar.swap("syrup", "rich syrup 2:1 by mass", Hold::Sweetness);
    let watered = done(&swap).watered.as_ref().unwrap();
    assert!((watered.ml + sum(&swap, |p| p.measured_water_ml)).abs() <= 0.125 + 1e-9);
    let before = swap.before.figures.named();
    for ((name, now), (_, then)) in before
        .iter()
        .zip(watered.version.drink.evaluation.figures.named())
    {
        let (Some(now), Some(then)) = (now.value, then.value) else {
            continue;
        };
        assert!(
            (now - then).abs() <= 0.01 * now.abs().max(1.0),
            "{name}: {now} and {then}"
        );
    }
    // Shorter without it, by the water and what the ice would have added to it.
    let short = done(&swap).measured.drink.built.glass.volume_ml();
    assert!(bar.worked.built.glass.volume_ml() - short > watered.ml);
    // Water that comes in is not to be poured back, nor is any where as much is poured.
    let back = bar.swap("syrup", "honey syrup 1:1 by volume", Hold::Sweetness);
    assert!(sum(&back, |p| p.water_ml) > 0.0 && done(&back).watered.is_none());
    assert!(done(&bar.swap("syrup", "honey", Hold::Volume)).watered.is_none());
}

#[test]
fn volume_keeps_the_line_as_it_is_written() {
    let bar = poured(
        "# T\nounce: 30 ml\n\n## D\nglass: highball, 350 ml\n- 2 oz gin\n- 3/4 oz lemon juice\n- 2 dashes orange bitters\n- 20 g caster sugar\n- 1 egg white\n- shake\n- strain\n- top with soda water\n",
    );
    let with = |old: &str, new: &str| {
        let swap = bar.swap(old, new, Hold::Volume);
        let version = done(&swap).measured.clone();
        let line = version.pours[0].1.to_string();
        (line, swap)
    };
    assert_eq!(with("lemon", "lime").0, "3/4 oz lime juice");
    assert_eq!(
        with("orange bitters", "aromatic bitters").0,
        "2 dashes aromatic bitters"
    );
    let (line, tonic) = with("soda water", "tonic water");
    assert_eq!(line, "top with tonic water");
    assert!(tonic.pours[0].to_ml >= 30.0, "{:?}", tonic.pours);
    // Grams are not millilitres: as much room, in what the bar measures.
    let (line, syrup) = with("caster sugar", "rich syrup 2:1 by mass");
    assert!(
        (syrup.pours[0].to_ml - syrup.pours[0].from_ml).abs() < 1e-6,
        "{:?}",
        syrup.pours
    );
    assert!(line.ends_with("oz rich syrup 2:1 by mass"), "{line}");
    // What is not poured by the piece is poured by the measure.
    let (line, _) = with("egg white", "aquafaba");
    assert!(line.contains("oz"), "{line}");
}

#[test]
fn the_nearest_amount_is_one_of_the_bars() {
    let with = |settings: &str, line: &str| {
        let bar = poured(&format!(
            "# T\n{settings}\n\n## D\n- 60 ml vodka\n- {line}\n- shake\n- strain\n"
        ));
        bar.swap("syrup", "rich syrup 2:1 by mass", Hold::Sweetness).pours[0]
            .to
            .clone()
    };
    let syrup = "22.5 ml simple syrup 1:1 by mass";
    assert_eq!(with("ounce: 30 ml", syrup), "15 ml");
    assert_eq!(with("jigger set: 20 ml, 40 ml", syrup), "15 ml");
    assert_eq!(with("jigger set: 10 ml", syrup), "20 ml");
    assert_eq!(with("ounce: 30 ml", "3/4 oz simple syrup 1:1 by mass"), "1/2 oz");
    assert_eq!(
        with("ounce: 30 ml", "2 barspoons simple syrup 1:1 by mass"),
        "1 barspoon"
    );
}

#[test]
fn parts_stay_a_serve() {
    let bar = poured(
        "# T\n\n## D\nserve: 120 ml\n- 4 parts vodka (40 %)\n- 1 part lemon juice\n- 1 part simple syrup 1:1 by mass\n- shake\n- strain\n",
    );
    let swap = bar.swap("syrup", "rich syrup 2:1 by mass", Hold::Sweetness);
    let version = &done(&swap).exact;
    assert!(
        (version.drink.built.before.sugar_g() - bar.worked.built.before.sugar_g()).abs() < 0.2,
        "{:?}",
        swap.pours
    );
    let held = Hold::Sweetness.of(&match &version.drink.resolved.steps[2] {
        washline_core::resolve::ResolvedStep::Pour(p) => p.some(),
        _ => panic!(),
    });
    assert!(
        (held - swap.pours[0].held).abs() < 1e-4,
        "{held} {:?}",
        swap.pours
    );
    assert!((version.drink.built.before.volume_ml() - bar.worked.built.before.volume_ml()).abs() < 0.5);
    assert_eq!(swap.pours[0].to, "3/4 parts".replace("parts", "part"));
    let measured = match &done(&swap).measured.drink.resolved.steps[2] {
        washline_core::resolve::ResolvedStep::Pour(p) => p.usual().volume_ml,
        _ => panic!(),
    };
    assert!(
        (measured - swap.pours[0].measured_ml).abs() < 1e-6,
        "{measured} {:?}",
        swap.pours
    );
    assert!(swap.notes.contains(&Note::Parts));
}

#[test]
fn every_pour_of_it_is_swapped() {
    let bar = poured(
        "# T\n\n## D\n- 30 ml dark rum\n- 30 ml lime juice\n- shake\n- strain\n- float 10 ml dark rum\n",
    );
    let swap = bar.swap("dark rum", "overproof rum 57 %", Hold::Alcohol);
    assert_eq!(swap.pours.iter().map(|p| p.at).collect::<Vec<_>>(), [0, 4]);
    let lines: Vec<String> = done(&swap)
        .measured
        .pours
        .iter()
        .map(|(_, p)| p.to_string())
        .collect();
    assert_eq!(
        lines,
        ["20 ml overproof rum (57 %)", "float 7.5 ml overproof rum (57 %)"]
    );
}

// There and back

/// Pairs that hold one another, with what they hold.
const PAIRS: [(&str, &str, Hold); 8] = [
    (
        "simple syrup 1:1 by mass",
        "rich syrup 2:1 by mass",
        Hold::Sweetness,
    ),
    (
        "simple syrup 1:1 by mass",
        "honey syrup 1:1 by volume",
        Hold::Sweetness,
    ),
    ("rich syrup 2:1 by mass", "agave syrup", Hold::SweetnessEquivalent),
    ("honey", "simple syrup 1:1 by volume", Hold::SweetnessEquivalent),
    ("vodka 40 %", "overproof rum 57 %", Hold::Alcohol),
    ("london dry gin 47 %", "vodka 37.5 %", Hold::Alcohol),
    ("lime juice", "lemon juice", Hold::Tartness),
    ("lemon juice", "bottled lime juice", Hold::Tartness),
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn there_and_back_is_the_same_amount(which in 0..PAIRS.len(), tenths in 25_u32..600) {
        let (old, new, hold) = PAIRS[which];
        let ml = f64::from(tenths) / 10.0;
        let line = |ml: f64, name: &str| format!("# T\n\n## D\n- {ml:.6} ml {name}\n- 20 ml soda water\n- neat\n");
        let home = poured(&line(ml, old));
        let there = home.swap(old, new, hold);
        let to_ml = sum(&there, |p| p.to_ml);
        let other = poured(&line(to_ml, new));
        let back = other.swap(new, old, hold);
        let again = sum(&back, |p| p.to_ml);
        prop_assert!((again - ml).abs() < 2e-6 * ml.max(1.0), "{ml} ml {old} -> {to_ml} ml {new} -> {again} ml");
        // The water that goes comes back.
        let water = sum(&there, |p| p.water_ml) + sum(&back, |p| p.water_ml);
        prop_assert!(water.abs() < 1e-5, "{water}");
    }

    #[test]
    fn an_adjusted_juice_has_what_was_wanted(own in 1.0..30.0_f64, own_malic in 0.0..20.0_f64, citric in 31.0..70.0_f64, malic in 21.0..40.0_f64, ml in 10.0..5000.0_f64) {
        let sugar = (Component::Sucrose, 100.0);
        let litre = |c: f64, m: f64| Liquid::litre(0.0, &[(Component::Citric, c), (Component::Malic, m), sugar]).unwrap();
        let (juice, like) = (litre(own, own_malic), litre(citric, malic));
        let profile = adjust(&juice, &like, By::Profile, ml).unwrap();
        let per_l = |l: &Liquid, c: Component| 1000.0 * l.grams(c) / l.volume_ml();
        for acid in [Component::Citric, Component::Malic] {
            prop_assert!((per_l(&profile.made, acid) - per_l(&like, acid)).abs() < 1e-6);
        }
        let total = adjust(&juice, &like, By::Total(Component::Citric), ml).unwrap();
        let acid = |l: &Liquid| l.acid_g_per_100ml().unwrap();
        prop_assert!((acid(&total.made) - acid(&like)).abs() < 1e-7);
        // The rule of thumb falls short, for the powder takes up room.
        for p in profile.powders.iter().chain(&total.powders) {
            prop_assert!(p.grams > p.plain_g);
        }
        prop_assert!((profile.powder_ml() - (profile.made_ml() - ml)).abs() < 1e-6 * ml);
        // Any volume in the end.
        let making = total.making(500.0).unwrap();
        prop_assert!((making.made_ml() - 500.0).abs() < 1e-6 && (acid(&making.made) - acid(&like)).abs() < 1e-7);
    }

    #[test]
    fn a_blend_has_its_strength_and_its_masses(a in 0.0..100.0_f64, b in 0.0..100.0_f64, part in 0.0..1.0_f64) {
        prop_assume!((a - b).abs() > 0.01);
        let strength = |pct: f64| Liquid::from_strength(pct).unwrap();
        let to = a + part * (b - a);
        let blended = blend(&strength(a), &strength(b), to).unwrap().making(700.0).unwrap();
        prop_assert!((blended.made.abv_pct().unwrap() - to).abs() < 1e-6);
        prop_assert!((blended.made.volume_ml() - 700.0).abs() < 1e-6);
        let masses = blended.first.mass_g() + blended.second.mass_g();
        prop_assert!((masses - blended.made.mass_g()).abs() < 1e-9 * masses);
        // Either way round it is the same blend.
        let turned = blend(&strength(b), &strength(a), to).unwrap().making(700.0).unwrap();
        prop_assert!((turned.second.volume_ml() - blended.first.volume_ml()).abs() < 1e-6);
        // So much of the first.
        if let Some(have) = blended.with_first(300.0).filter(|_| blended.first.volume_ml() > 1.0) {
            prop_assert!((have.first.volume_ml() - 300.0).abs() < 1e-6);
            prop_assert!((have.made.abv_pct().unwrap() - to).abs() < 1e-6);
        }
    }
}

// What is refused

#[test]
fn what_cannot_be_held_says_so_with_the_figure() {
    let bar = sour();
    let refused = |old: &str, new: &str, hold: Hold| bar.refused(old, new, hold);
    match refused("lime", "orange juice", Hold::Tartness) {
        Refusal::TooMuch {
            needed_ml,
            from_ml,
            per_100ml,
            old_per_100ml,
            ..
        } => {
            assert!(
                (needed_ml - 168.75).abs() < 0.1 && (from_ml - 22.5).abs() < 1e-9,
                "{needed_ml}"
            );
            assert!((per_100ml - 0.8).abs() < 0.001 && (old_per_100ml - 6.0).abs() < 0.001);
        }
        other => panic!("{other:?}"),
    }
    let said = refused("lime", "orange juice", Hold::Tartness).to_string();
    assert!(
        said.starts_with("it would take 168.8 ml of orange juice in the place of 22.5 ml"),
        "{said}"
    );
    assert!(
        matches!(refused("lime", "simple syrup 1:1 by mass", Hold::Tartness), Refusal::HasNone { wanted, .. } if (wanted - 1.35).abs() < 0.001)
    );
    assert!(matches!(
        refused("rum", "overproof rum", Hold::Sweetness),
        Refusal::NothingToHold { .. }
    ));
    assert!(matches!(
        refused("lime", "vodka", Hold::Alcohol),
        Refusal::NothingToHold { .. }
    ));
    // It would hold, but not in this glass.
    match poured("# T\n\n## D\nglass: coupe, 170 ml\n- 60 ml vodka (40 %)\n- 20 ml lemon juice\n- 15 ml simple syrup\n- shake\n- strain\n")
        .refused("vodka", "vodka 20 %", Hold::Alcohol)
    {
        Refusal::NoRoom { needed_ml, drink_ml, capacity_ml, .. } => {
            assert!((needed_ml - 120.0).abs() < 0.01 && drink_ml > 170.0 && (capacity_ml - 170.0).abs() < 1e-9);
        }
        other => panic!("{other:?}"),
    }
    let open = poured(
        "# T\n\n## D\nglass: highball, 300 ml\n- 60 ml gin\n- to taste lime juice\n- shake\n- strain\n- top with soda water\n",
    );
    assert!(matches!(
        open.refused("lime", "lemon", Hold::Tartness),
        Refusal::NoAmount { .. }
    ));
    assert_eq!(
        done(&open.swap("lime", "lemon", Hold::Volume)).measured.pours[0]
            .1
            .to_string(),
        "to taste lemon juice"
    );
    // More sugar than a serve of parts has room for.
    let parts = poured("# T\n\n## D\nserve: 60 ml\n- 1 part vodka\n- 5 parts honey\n- stir\n- strain\n");
    match parts.refused("honey", "simple syrup 1:1 by mass", Hold::Sweetness) {
        Refusal::PartsFull { needed_ml, serve_ml } => assert!(needed_ml > serve_ml),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_small_pour_may_grow() {
    // Five times as much of next to nothing is no other drink.
    let bar = sour_with("4 ml lime juice");
    let swap = bar.swap("lime", "orange juice", Hold::Tartness);
    assert!((sum(&swap, |p| p.to_ml) - 30.0).abs() < 0.05, "{:?}", swap.pours);
}

#[test]
fn names_that_lead_nowhere_or_to_the_same() {
    let bar = sour();
    assert!(matches!(
        bar.ask("lime", "fresh lime juice", Hold::Volume),
        Err(SwapError::Same { .. })
    ));
    assert!(matches!(
        bar.ask("rum", "white rum 40 %", Hold::Volume),
        Err(SwapError::Same { .. })
    ));
    assert!(bar.ask("rum", "white rum 57 %", Hold::Alcohol).unwrap().is_some());
    match bar.ask("lime", "lme juce", Hold::Volume) {
        Err(SwapError::NotAName { near, .. }) => assert!(near.contains(&"lime juice".to_owned()), "{near:?}"),
        other => panic!("{other:?}"),
    }
    for bad in [
        "",
        "gin\n- 20 ml rum",
        "10 ml gin",
        "gin or vodka",
        "any anise liqueur",
        "lemon juice (strained twice)",
    ] {
        assert!(
            matches!(
                bar.ask("lime", bad, Hold::Volume),
                Err(SwapError::NotAName { .. })
            ),
            "{bad:?}"
        );
    }
    // Known, but not poured here.
    assert!(bar.ask("mezcal", "gin", Hold::Volume).unwrap().is_none());
    assert!(bar.ask("white rum 57 %", "gin", Hold::Volume).unwrap().is_none());
    assert!(bar.ask("white rum 40 %", "gin", Hold::Volume).unwrap().is_some());
    assert!(matches!(
        bar.ask("xyzzy", "gin", Hold::Volume),
        Err(SwapError::NotAName { .. })
    ));
    // A part of a name where one pour has it; not where two have, nor without leave.
    let two = poured(
        "# T\n\n## D\n- 30 ml London dry gin\n- 20 ml sweet red vermouth\n- 20 ml dry vermouth\n- stir\n- strain\n",
    );
    assert_eq!(two.swap("gin", "vodka", Hold::Volume).old, "london dry gin");
    match two.ask("vermouth", "vodka", Hold::Volume) {
        Err(SwapError::NotAName { near, .. }) => assert_eq!(near, ["sweet red vermouth", "dry vermouth"]),
        other => panic!("{other:?}"),
    }
    let strict = SwapAsk {
        old: "gin".to_owned(),
        new: "vodka".to_owned(),
        hold: Hold::Volume,
        by_part: false,
    };
    assert!(swap(&two.worked, &strict).unwrap().is_none());
    assert!("acid".parse::<Hold>().is_err());
    assert_eq!(
        "Sweetness equivalent".parse::<Hold>(),
        Ok(Hold::SweetnessEquivalent)
    );
    assert!(
        one_ml(
            "orange juice",
            &bar.worked.context.stock,
            &bar.worked.context.settings
        )
        .is_ok()
    );
}

// What comes with it

#[test]
fn allergens_come_and_go() {
    let bar =
        poured("# T\n\n## D\n- 45 ml dark rum\n- 20 ml lime juice\n- 15 ml orgeat\n- shake\n- strain\n");
    let swap = bar.swap("orgeat", "simple syrup 1:1 by mass", Hold::Sweetness);
    assert_eq!(done(&swap).allergens_eu.goes, ["nuts"]);
    assert_eq!(done(&swap).allergens_us.goes, ["tree nuts"]);
    assert!(done(&swap).allergens_eu.comes.is_empty());
    let egg = bar.swap("lime", "egg white", Hold::Volume);
    assert_eq!(done(&egg).allergens_eu.comes, ["eggs"]);
    assert!(done(&egg).cautions.iter().any(|c| c.contains("raw egg")));
}

#[test]
fn juices_counted_two_ways_are_told() {
    let bar = sour();
    let swap = bar.swap("lime", "bottled lime juice", Hold::Tartness);
    // Penniston et al. 2008: 45.9 and 35.4 g/L: 22.5 ml come to 29.2 ml, the handbook's 60 g/L to 38.1.
    let by_assay = swap.notes.iter().find_map(|n| match n {
        Note::CountedOtherwise { by_assay_ml, .. } => Some(*by_assay_ml),
        _ => None,
    });
    assert!(
        (by_assay.unwrap() - 22.5 * 45.9 / 35.4).abs() < 0.01,
        "{by_assay:?}"
    );
    assert!((sum(&swap, |p| p.to_ml) - 22.5 * 60.0 / 35.4).abs() < 0.01);
    assert!(bar.swap("lime", "lemon", Hold::Tartness).notes.is_empty());
    let note = poured("# T\n\n## D\n- 45 ml gin or vodka (house pour)\n- stir\n- strain\n")
        .swap("gin", "mezcal", Hold::Volume)
        .notes;
    assert!(
        matches!(note.as_slice(), [Note::ChoiceGone { .. }, Note::NoteStays { .. }]),
        "{note:?}"
    );
}

// Written back

#[test]
fn only_the_line_of_the_swap_is_written_anew() {
    let text = "# T\r\nounce: 30 ml\r\n\r\n<!-- mind this -->\r\n## Other\r\n- 30 ml lime juice\r\n- shake\r\n\r\n## Sour\r\n* 60 ml white rum  <!-- the old bottle -->\r\n* 22,5 ml fresh lime juice (strained)\r\n* 22.5 ml simple syrup 1:1 by mass\r\n* shake\r\n* strain\r\n";
    let bar = poured(text);
    let swap = bar.swap("syrup", "2:1 syrup", Hold::Sweetness);
    let write = |version| {
        swapped_text(
            &bar.source,
            &bar.worked.context.settings,
            &bar.worked.drink,
            version,
        )
    };
    let after = write(&done(&swap).measured).unwrap();
    assert_eq!(
        after,
        text.replace("22.5 ml simple syrup 1:1 by mass", "15 ml rich syrup 2:1 by mass")
    );
    let watered = write(&done(&swap).watered.as_ref().unwrap().version).unwrap();
    assert_eq!(
        watered,
        text.replace(
            "22.5 ml simple syrup 1:1 by mass",
            "15 ml rich syrup 2:1 by mass\r\n* 7.5 ml water"
        )
    );
    let lemon = bar.swap("lime", "lemon", Hold::Volume);
    let after = write(&done(&lemon).measured).unwrap();
    assert_eq!(
        after,
        text.replace(
            "22,5 ml fresh lime juice (strained)",
            "22.5 ml lemon juice (strained)"
        )
    );
    // Another spec of it is left alone, as is a book without it.
    let other = Source::new("o.md", text.replace("* 60 ml white rum", "* 50 ml white rum"));
    let refused = swapped_text(
        &other,
        &bar.worked.context.settings,
        &bar.worked.drink,
        &done(&swap).measured,
    );
    assert!(matches!(
        refused,
        Err(NotWritten::NotHeld(NotHeld::OtherSpec { .. }))
    ));
    let none = Source::new("n.md", "# N\n\n## Owl\n- 60 ml gin\n- stir\n");
    let refused = swapped_text(
        &none,
        &bar.worked.context.settings,
        &bar.worked.drink,
        &done(&swap).measured,
    );
    assert!(matches!(
        refused,
        Err(NotWritten::NotHeld(NotHeld::NoDrink { .. }))
    ));
}

#[test]
fn a_line_of_several_pours_is_not_written() {
    let bar = poured(
        "# T\n\n## D\n- 60 ml gin\n- 20 ml each lime juice, simple syrup 1:1 by mass\n- shake\n- strain\n",
    );
    let swap = bar.swap("lime", "lemon", Hold::Volume);
    match swapped_text(
        &bar.source,
        &bar.worked.context.settings,
        &bar.worked.drink,
        &done(&swap).measured,
    ) {
        Err(NotWritten::Line { line, typed, .. }) => {
            assert_eq!(
                (line, typed.as_str()),
                (5, "- 20 ml each lime juice, simple syrup 1:1 by mass")
            );
        }
        other => panic!("{other:?}"),
    }
}

// Conversions

#[test]
fn powder_takes_nothing_out() {
    let (lime, orange) = (with_acids("citric 40 + malic 20"), with_acids("citric 8"));
    assert!(matches!(
        adjust(&lime, &orange, By::Total(Component::Citric), 500.0),
        Err(CannotAdjust::TartAlready { .. })
    ));
    assert_eq!(
        adjust(&lime, &orange, By::Profile, 500.0),
        Err(CannotAdjust::NothingMissing)
    );
    assert_eq!(
        adjust(&orange, &lime, By::Total(Component::Acetic), 500.0),
        Err(CannotAdjust::NoPowder(Component::Acetic))
    );
    assert_eq!(
        adjust(&orange, &lime, By::Profile, 0.0),
        Err(CannotAdjust::Nothing)
    );
    assert!(adjust(&orange, &lime, By::Profile, f64::NAN).is_err());
    // More malic than wanted is told, and vinegar's acid is no powder.
    let apple = with_acids("malic 30");
    let told = adjust(
        &apple,
        &with_acids("citric 40 + malic 20 + acetic 5"),
        By::Profile,
        1000.0,
    )
    .unwrap();
    assert!(
        matches!(told.too_much.as_slice(), [(Component::Malic, more)] if *more > 8.0),
        "{told:?}"
    );
    assert!(
        matches!(told.left_out.as_slice(), [(Component::Acetic, g)] if (*g - 5.0).abs() < 1e-9),
        "{told:?}"
    );
}

#[test]
fn the_room_of_the_powder_is_its_apparent_volume() {
    // 52 g of citric acid at 0.62 ml/g make a litre of juice 32 ml longer, so that 53.7 g are needed for 6 %.
    let told = adjust(
        &with_acids("citric 8"),
        &with_acids("citric 60"),
        By::Total(Component::Citric),
        1000.0,
    )
    .unwrap();
    let grams = told.powders[0].grams;
    assert!((grams - 52.0 / (1.0 - 0.06 * 0.62)).abs() < 0.01, "{grams}");
    assert!((told.powder_ml() - 0.62 * grams).abs() < 0.01);
}

#[test]
fn no_blend_lies_outside_its_parts() {
    let strength = |pct: f64| Liquid::from_strength(pct).unwrap();
    for to in [39.9, 57.1, f64::NAN] {
        assert!(
            matches!(
                blend(&strength(57.0), &strength(40.0), to),
                Err(CannotBlend::Outside { .. })
            ),
            "{to}"
        );
    }
    assert!(matches!(
        blend(&strength(40.0), &strength(40.0), 40.0),
        Err(CannotBlend::OneStrength(_))
    ));
    assert_eq!(
        blend(&Liquid::NOTHING, &strength(40.0), 40.0),
        Err(CannotBlend::Nothing)
    );
    let all = blend(&strength(57.0), &strength(40.0), 57.0).unwrap();
    assert!(all.second.volume_ml() < 1e-6 && all.with_first(100.0).is_some());
    assert!(
        blend(&strength(57.0), &strength(40.0), 40.0)
            .unwrap()
            .with_first(100.0)
            .is_none_or(|b| b.made.volume_ml() > 1e6)
    );
    // By volume alone 700 ml of 50 % would be 411.8 of 57 and 288.2 of 40: the shrinking makes it 0.8 ml more in all.
    let made = blend(&strength(57.0), &strength(40.0), 50.0)
        .unwrap()
        .making(700.0)
        .unwrap();
    assert!(
        made.shrinks_ml() > 0.5 && made.shrinks_ml() < 1.2,
        "{}",
        made.shrinks_ml()
    );
}
