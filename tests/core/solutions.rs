//! Percentages and ratios that say what they count: by mass, in volume, by volume.

use washline_core::computed::{ComputedDrink, check};
use washline_core::liquid::{Component, Family, Liquid};
use washline_core::resolve::{ResolvedPour, ResolvedStep};
use washline_core::spec::format_drink;

fn book(line: &str) -> String {
    format!("# T\n\n## D\n\n- 60 ml vodka (40 %)\n- {line}\n- stir\n- strain\n")
}

fn drink(line: &str) -> ComputedDrink {
    check(&book(line))
        .unwrap_or_else(|faults| panic!("{line}\n{faults}"))
        .remove(0)
}

/// What the second line of a drink pours.
fn poured(line: &str) -> ResolvedPour {
    let drink = drink(line);
    let pour = drink.resolved.steps.iter().filter_map(|step| match step {
        ResolvedStep::Pour(pour) => Some(pour),
        _ => None,
    });
    pour.clone().nth(1).unwrap_or_else(|| panic!("{line}")).clone()
}

fn dissolved_g(liquid: &Liquid) -> f64 {
    liquid
        .parts()
        .filter(|(part, _)| part.facts().family != Family::Solvent)
        .map(|(_, grams)| grams)
        .sum()
}

/// By construction: so many grams in 100 ml of what is made, or in 100 g of it.
#[test]
fn a_percentage_counts_what_it_says() {
    for (line, in_ml) in [
        ("100 ml saline 20 % w/v", true),
        ("100 ml saline (20 % w/v)", true),
        ("100 ml saline 20% (w/v)", true),
        ("100 ml 20% w/v saline", true),
        ("100 ml saline 20 % w/w", false),
        ("100 ml saline 20 % by mass", false),
        ("100 ml saline 20 %", false),
    ] {
        let pour = poured(line);
        let salt = pour.some().grams(Component::Salt);
        let brought = pour.usual();
        let of = if in_ml { brought.volume_ml } else { brought.mass_g };
        assert!(
            (100.0 * salt / of - 20.0).abs() < 1e-6,
            "{line}: {salt} g of {of}"
        );
    }
    for (line, share) in [
        ("50 g acid solution 6 % w/w", 6.0),
        ("50 g citric acid solution 6 % w/w", 6.0),
        ("50 g saline 15 % w/w", 15.0),
        ("50 g saline 15 %", 15.0),
        ("50 g simple syrup 60 % w/w", 60.0),
    ] {
        let pour = poured(line);
        let found = 100.0 * dissolved_g(&pour.some()) / pour.usual().mass_g;
        assert!((found - share).abs() < 1e-6, "{line}: {found} %");
    }
    for (line, share) in [
        ("50 ml citric acid solution 6 % w/v", 6.0),
        ("50 ml lactic acid solution 10 % w/v", 10.0),
        ("50 ml citric acid 25 % w/v", 25.0),
    ] {
        let pour = poured(line);
        let found = 100.0 * dissolved_g(&pour.some()) / pour.usual().volume_ml;
        assert!((found - share).abs() < 1e-6, "{line}: {found} g/100 ml");
    }
}

#[test]
fn a_ratio_counts_what_it_says() {
    let named = |line: &str| poured(line).ingredient;
    for line in [
        "15 ml simple syrup 1:1 (v/v)",
        "15 ml simple syrup 1:1 v/v",
        "15 ml 1:1 v/v simple syrup",
    ] {
        assert_eq!(named(line), "simple syrup 1:1 by volume", "{line}");
    }
    for line in [
        "15 ml simple syrup 1:1 (w/w)",
        "15 ml simple syrup 1:1 w/w",
        "15 ml 1:1 w/w simple syrup",
        "15 ml simple syrup 1:1 w/v",
    ] {
        assert_eq!(named(line), "simple syrup 1:1 by mass", "{line}");
    }
}

/// What is typed is kept, and shown.
#[test]
fn what_it_counts_is_kept_and_shown() {
    for (line, kept) in [
        ("5 ml saline 20 % w/v", "20 % w/v"),
        ("5 ml acid solution 6 % w/w", "6 % w/w"),
        ("15 ml simple syrup 1:1 (v/v)", "1:1 v/v"),
        ("5 ml gin 40 % v/v", "40 % v/v"),
    ] {
        let drink = drink(line);
        let written = format_drink(&drink.drink);
        assert!(written.contains(kept), "{line}: {written}");
        let again = check(&format!("# T\n\n{written}")).unwrap();
        assert_eq!(format_drink(&again[0].drink), written);
    }
    assert!(poured("5 ml saline 20 % w/v").ingredient.contains("20 % w/v"));
    assert!(
        poured("5 ml acid solution 6 % w/w")
            .ingredient
            .contains("6 % w/w")
    );
}

/// 40 % vol is 33.3 g of ethanol in 100 g, and 31.57 g in 100 ml: OIML R 22 (1975), its tables III and IV.
#[test]
fn a_strength_by_mass_is_one_by_volume() {
    for line in [
        "50 ml vodka 33.3 % w/w",
        "50 ml vodka 31.57 % w/v",
        "50 ml vodka 40 % v/v",
    ] {
        let strength = poured(line).some().abv_pct().unwrap();
        assert!((strength - 40.0).abs() < 0.02, "{line}: {strength}");
    }
}

#[test]
fn what_cannot_be_counted_so_is_refused_with_the_cure() {
    for (line, cure) in [
        ("5 ml saline 20 % v/v", "20 % w/v"),
        ("15 ml triple sec 30 % w/w", "by volume"),
    ] {
        let faults = check(&book(line)).unwrap_err().to_string();
        assert!(faults.contains(cure), "{line}: {faults}");
    }
}

/// Degrees of proof differ by country: which were taken is said, however the word is written.
#[test]
fn degrees_of_proof_are_said_however_they_are_written() {
    for line in [
        "30 ml dark rum (114 proof)",
        "30 ml dark rum (114 pf)",
        "30 ml 114-pf dark rum",
    ] {
        let drink = drink(line);
        let said = &drink.resolved.assumptions;
        assert!(
            said.iter().any(|a| a.taken.contains("US proof")),
            "{line}: {said:?}"
        );
        let rum = poured(line).some();
        assert!((rum.abv_pct().unwrap() - 57.0).abs() < 1e-6, "{line}");
    }
}
