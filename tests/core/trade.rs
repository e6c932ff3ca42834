//! Facts of the trade, each common practice and without a source: what every bartender knows, and would see at once
//! where it is not so.

use washline_core::computed::{Bar, Checked, ComputedDrink, look_at};
use washline_core::spec::Source;

fn read(text: &str) -> Checked {
    look_at(&[Source::new("t", text)], &Bar::default())
}

/// The one drink of a body of lines.
fn drink(body: &str) -> ComputedDrink {
    let checked = read(&format!("## D\n{body}\n"));
    assert!(checked.faults.is_empty(), "{body}: {:?}", checked.faults);
    checked.drinks[0].clone()
}

/// What a line pours beside vodka and lemon juice: ingredient, volume in ml, sugar in g.
fn poured(line: &str) -> (String, f64, f64) {
    let drink = drink(&format!("50 ml vodka\n20 ml lemon juice\n{line}\nshake"));
    let pour = &drink.pours()[2];
    (pour.ingredient.clone(), pour.volume_ml, pour.sugar_g)
}

/// Grams of sugar in a litre of what a preparation of these lines makes.
fn sugar_g_per_l(lines: &str) -> f64 {
    let checked = read(&format!("## S\nmakes: an ingredient\n{lines}\n- stir\n"));
    assert!(checked.faults.is_empty(), "{lines}: {:?}", checked.faults);
    let made = &checked.preparations[0].made;
    1000.0 * made.liquid.sugar_g() / made.liquid.volume_ml()
}

/// Grams of acid, as citric, in all of what a preparation of these lines makes.
fn acid_g(lines: &str) -> f64 {
    let checked = read(&format!("## S\nmakes: an ingredient\n{lines}\n- stir\n"));
    assert!(checked.faults.is_empty(), "{lines}: {:?}", checked.faults);
    checked.preparations[0].made.liquid.acid_as_citric_g()
}

/// Common practice, no source: what fizzes is never shaken; it tops the drink.
#[test]
fn what_fizzes_is_never_shaken() {
    let shaken = |body: &str| {
        drink(body)
            .evaluation
            .findings
            .iter()
            .any(|f| f.kind() == "shaken_fizz")
    };
    for fizz in ["soda water", "tonic water", "ginger beer", "prosecco", "lager"] {
        assert!(shaken(&format!("50 ml gin\n60 ml {fizz}\nshake")), "{fizz}");
        assert!(!shaken(&format!("50 ml gin\nshake\ntop 60 ml {fizz}")), "{fizz}");
    }
}

/// Common practice, no source: simple syrup is as much sugar as water, by mass or by volume; 615 and 553 g/L.
#[test]
fn simple_syrup_is_equal_parts() {
    let by_mass = sugar_g_per_l("- 500 g sugar\n- 500 g water");
    assert!((by_mass - 615.0).abs() < 3.0, "{by_mass}");
    let (name, ml, sugar) = poured("20 ml simple syrup");
    assert!(name.starts_with("simple syrup 1:1"), "{name}");
    assert!((1000.0 * sugar / ml - 615.0).abs() < 3.0);
}

/// Common practice, no source: coconut milk, coconut cream and cream of coconut are different things.
#[test]
fn coconut_milk_and_coconut_cream_are_two_things() {
    let (milk, cream) = (poured("20 ml coconut milk"), poured("20 ml cream of coconut"));
    assert!(milk.0.contains("milk") && milk.2 < 1.0, "{milk:?}");
    assert!(cream.0.contains("sweetened") && cream.2 > 10.0, "{cream:?}");
    // Which cream nobody says: the unsweetened one is computed, and the sweetened one beside it, 12 g of sugar further.
    let either = poured("20 ml coconut cream");
    assert!(either.0.contains("unsweetened") && either.2 < 2.0, "{either:?}");
    let read = read("## D\n50 ml rum\n20 ml coconut cream\nshake\n");
    assert!(read.faults.is_empty(), "{:?}", read.faults);
    let drink = &read.drinks[0];
    let told = drink
        .resolved
        .pours()
        .find(|(_, p)| p.ingredient.contains("coconut"))
        .unwrap()
        .1;
    let other = told.others.first().map_or(0.0, |liquid| liquid.sugar_g());
    assert!(other > 10.0, "the sweetened one would bring {other} g of sugar");
}

/// Common practice, no source: a nectar brings its own sugar, that of agave most of all.
#[test]
fn a_nectar_brings_its_own_sugar() {
    for (nectar, least) in [
        ("peach nectar", 80.0),
        ("mango nectar", 80.0),
        ("agave nectar", 800.0),
    ] {
        let (name, ml, sugar) = poured(&format!("30 ml {nectar}"));
        assert!(1000.0 * sugar / ml > least, "{name}: {sugar} g in {ml} ml");
    }
}

/// Common practice, no source: fresh pineapple sweetens what it is shaken into.
#[test]
fn fresh_pineapple_sweetens() {
    let (_, _, sugar) = poured("60 g fresh pineapple");
    assert!(sugar > 2.0, "{sugar}");
}

/// Common practice, no source: a dash falls from a dasher bottle; of wine it is a splash.
#[test]
fn a_dash_is_what_falls_from_a_dasher() {
    let (bitters, wine) = (poured("1 dash orange bitters").1, poured("1 dash prosecco").1);
    assert!(
        (0.4..1.3).contains(&bitters) && (2.0..7.6).contains(&wine),
        "{bitters} {wine}"
    );
}

/// What is weighed out is the powder: 15 g of lactic acid titrate like 10.6 g of citric (one proton to 90.08 g against
/// three to 192.12 g, a ratio of 0.711). By volume it is the liquid as bottled.
#[test]
fn lactic_acid_by_the_gram_is_the_powder() {
    let powder = acid_g("- 15 g lactic acid\n- 1 l water");
    assert!((powder - 15.0 * 0.995 * 0.711).abs() < 0.1, "{powder}");
    let liquid = acid_g("- 15 g lactic acid 88 %\n- 1 l water");
    assert!((liquid - 15.0 * 0.88 * 0.711).abs() < 0.1, "{liquid}");
    let poured = acid_g("- 15 ml lactic acid\n- 1 l water");
    assert!(
        poured > liquid,
        "{poured}: by volume the liquid, which is heavier than water"
    );
}

/// An ounce of sugar is a heap of 25 g in a jigger or 28.35 g on a scale (NIST SP 811, app. B): the one is computed, the
/// other offered where the words do not say which.
#[test]
fn which_ounce_of_sugar_is_said() {
    let grams = |line: &str| {
        let checked = read(&format!(
            "## S\nmakes: an ingredient\n- {line}\n- 1 l water\n- stir\n"
        ));
        assert!(checked.faults.is_empty(), "{line}: {:?}", checked.faults);
        checked.preparations[0].made.liquid.sugar_g()
    };
    let heaped = grams("3 oz sugar");
    assert!((heaped - 75.0).abs() < 1.5, "{heaped}");
    assert!((grams("1 lb sugar") - 453.4).abs() < 1.5);
    let text = "## S\nmakes: an ingredient\n- 3 oz sugar\n- 1 l water\n- stir\n\n## D\n- 50 ml gin\n- 20 ml S\n- stir\n";
    let checked = read(text);
    assert!(checked.faults.is_empty(), "{:?}", checked.faults);
    // What is assumed in a preparation is told where its drink is read.
    let said = &checked.drinks[0].resolved.assumptions;
    assert!(
        said.iter()
            .any(|a| a.about.ends_with(", in S") && a.change.to_string().contains("28.35 g")),
        "{said:?}"
    );
}

/// Half a passion fruit is half of a fruit, and never half a millilitre.
#[test]
fn half_a_passion_fruit_is_half_of_a_fruit() {
    for line in ["half a passion fruit", "1/2 passion fruit"] {
        let drink = drink(&format!("50 ml vodka\n20 ml lemon juice\n{line}\nshake"));
        let pour = &drink.pours()[2];
        assert!(
            pour.ingredient.contains("passion fruit") && pour.mass_g > 5.0,
            "{line}: {pour:?}"
        );
    }
    let asked = read("## D\n50 ml gin\n0.5 wormwood cordial\nstir\n");
    for fault in &asked.faults {
        assert!(
            !fault.suggestions.iter().any(|s| s.starts_with("0.5 ml")),
            "{fault}"
        );
    }
}
