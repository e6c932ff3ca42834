//! Labels: energy by the Annex's own factors, allergens with what brings them, what must be named.

use washline_core::balance::StandardDrink;
use washline_core::ingredient::AllergenList;
use washline_core::liquid::Component;
use washline_core::service::label::{Allergen, Label, label};
use washline_core::spec::Source;
use washline_core::store::House;

fn labelled(lines: &str, country: Option<&str>) -> Label {
    let mut house = House::in_memory().unwrap();
    let source = Source::new("halt.md", format!("# Halt\ncountry: UK\n\n## Owl\n{lines}"));
    assert_eq!(crate::take(&mut house, &[source]), []);
    let country = country.map(|c| StandardDrink::of_country(c).unwrap());
    label(&house.drinks().unwrap()[0], country)
}

fn words(all: &[Allergen]) -> Vec<(&str, Vec<&str>)> {
    all.iter()
        .map(|a| (a.word.as_str(), a.from.iter().map(String::as_str).collect()))
        .collect()
}

/// Regulation (EU) 1169/2011, Annex XIV, READ: kcal/g and kJ/g of each class stand side by side.
#[test]
fn energy_has_two_factors_a_class() {
    for (component, kcal, kj) in [
        (Component::Ethanol, 7.0, 29.0),
        (Component::Sucrose, 4.0, 17.0),
        (Component::Lactose, 4.0, 17.0),
        (Component::OtherCarbohydrate, 4.0, 17.0),
        (Component::Protein, 4.0, 17.0),
        (Component::Fat, 9.0, 37.0),
        (Component::Citric, 3.0, 13.0),
        (Component::AcidUnspecifiedAsCitric, 3.0, 13.0),
        (Component::OtherExtract, 2.0, 8.0),
        (Component::Xylitol, 2.4, 10.0),
        (Component::Erythritol, 0.0, 0.0),
        (Component::Water, 0.0, 0.0),
        (Component::Salt, 0.0, 0.0),
        (Component::Phosphoric, 0.0, 0.0),
    ] {
        assert!(
            (component.facts().energy_kcal_per_g() - kcal).abs() < 1e-12,
            "{component:?}"
        );
        assert!(
            (component.facts().energy_kj_per_g - kj).abs() < 1e-12,
            "{component:?}"
        );
    }
    // No component is left without a factor that has the other one.
    for component in Component::all() {
        let kj = component.facts().energy_kj_per_g;
        let kcal = component.facts().energy_kcal_per_g();
        assert_eq!(kj > 0.0, kcal > 0.0, "{component:?}");
        // The two round the same thing: within 6 % of 4.184.
        assert!(
            kj <= 0.0 || (kj / kcal / 4.184 - 1.0).abs() < 0.06,
            "{component:?}"
        );
    }
}

#[test]
fn figures_are_those_of_the_glass_and_of_the_pour() {
    let owl = labelled(
        "- 60 ml vodka (40 %)\n- 30 ml vodka (40 %)\n- stir\n- strain\n",
        None,
    );
    // 36 ml of ethanol are 3.6 UK units, melted or not.
    assert!((owl.standard_drinks.value.unwrap() - 3.6).abs() < 1e-9);
    assert!((owl.poured_abv_pct.value.unwrap() - 40.0).abs() < 1e-9);
    assert!(owl.abv_pct.value.unwrap() < 35.0);
    // 36 ml x 0.78924 g/ml x 29 kJ and x 7 kcal
    assert!((owl.energy.kj - 823.97).abs() < 0.01, "{}", owl.energy.kj);
    assert!((owl.energy.kcal - 198.89).abs() < 0.01, "{}", owl.energy.kcal);
    let per = owl.energy_per_100ml.unwrap();
    let volume = owl.volume_ml.value.unwrap();
    assert!((per.kj * volume / 100.0 - owl.energy.kj).abs() < 1e-9);
    // Another country counts the same ethanol otherwise: 28.41 g of 14 g.
    let us = labelled(
        "- 60 ml vodka (40 %)\n- 30 ml vodka (40 %)\n- stir\n- strain\n",
        Some("US"),
    );
    assert!((us.standard_drinks.value.unwrap() - 28.41264 / 14.0).abs() < 1e-4);
    assert_eq!(us.country.country, "US");
    assert!(us.alcohol_line().contains("not in pregnancy"));
    let soft = labelled("- 100 ml apple juice\n- neat\n", None);
    assert_eq!((soft.alcohol_line(), soft.is_alcoholic()), ("", false));
}

#[test]
fn allergens_come_with_what_brings_them() {
    let owl = labelled(
        "garnish: maraschino cherry; gold leaf\n- 30 ml orgeat\n- 20 ml dry vermouth\n- 1 egg white\n- 30 ml cream liqueur\n- shake\n- strain\n",
        None,
    );
    let eu = words(&owl.eu.contains);
    assert!(eu.contains(&("eggs", vec!["egg white"])), "{eu:?}");
    assert!(eu.contains(&("sulphites", vec!["dry vermouth"])), "{eu:?}");
    assert!(eu.iter().any(|(w, _)| *w == "milk"), "{eu:?}");
    let nuts = eu
        .iter()
        .chain(&words(&owl.eu.may_contain))
        .any(|(w, _)| *w == "nuts");
    assert!(nuts, "{eu:?}");
    // A garnish that nobody knows is unknown, which is not none.
    assert!(
        owl.eu.unknown.contains(&"gold leaf".to_owned()),
        "{:?}",
        owl.eu.unknown
    );
    assert!(owl.us.unknown.contains(&"gold leaf".to_owned()));
    assert!(!owl.eu.unknown.iter().any(|u| u.contains("cherry")));
    assert!(words(&owl.us.contains).iter().any(|(w, _)| *w == "egg"));
    assert_eq!((owl.eu.list, owl.us.list), (AllergenList::Eu, AllergenList::Us));
    // In the order of the list: eggs, milk, sulphites.
    let order: Vec<&str> = owl.eu.contains.iter().map(|a| a.word.as_str()).collect();
    let mut sorted = order.clone();
    sorted.sort_by_key(|w| AllergenList::Eu.words().iter().position(|x| x == w));
    assert_eq!(order, sorted);
    // What is certain is not possible too.
    assert!(
        owl.eu
            .may_contain
            .iter()
            .all(|a| !order.contains(&a.word.as_str()))
    );
    assert!(owl.eu.declaration().unknown);
}

#[test]
fn another_choice_may_be_in_the_drink() {
    let owl = labelled(
        "- 30 ml simple syrup 1:1 by mass or orgeat\n- 60 ml dry gin\n- shake\n- strain\n",
        None,
    );
    assert_eq!(owl.eu.contains, []);
    assert!(
        words(&owl.eu.may_contain)
            .iter()
            .any(|(w, from)| *w == "nuts" && from == &["orgeat"]),
        "{:?}",
        owl.eu
    );
}

#[test]
fn sulphites_are_said_with_their_wine_and_never_worked_out() {
    let owl = labelled("- 60 ml dry gin\n- 20 ml dry vermouth\n- stir\n- strain\n", None);
    let sulphites = owl.sulphites.unwrap();
    assert_eq!(sulphites.sure.len(), 1);
    assert!((sulphites.sure[0].1 - 20.0).abs() < 1e-9);
    let volume = owl.volume_ml.value.unwrap();
    assert!((sulphites.share_pct - 2000.0 / volume).abs() < 1e-6);
    let said = sulphites.to_string();
    assert!(
        said.contains("dry vermouth 20.0 ml") && said.contains("above 10 mg/L") && said.contains("not known"),
        "{said}"
    );
    let perhaps = labelled("- 60 ml dry gin\n- 20 ml lime cordial\n- stir\n- strain\n", None);
    assert!(perhaps.sulphites.unwrap().to_string().contains("read the label"));
    assert_eq!(labelled("- 60 ml dry gin\n- neat\n", None).sulphites, None);
}

#[test]
fn quinine_caffeine_and_raw_egg_are_named() {
    let owl = labelled(
        "- 40 ml coffee liqueur\n- 30 ml espresso\n- build\n- top 60 ml tonic water\n",
        None,
    );
    let named: Vec<(&str, Vec<String>)> = owl.named.iter().map(|n| (n.word, n.from.clone())).collect();
    assert_eq!(
        named,
        [
            ("quinine", vec!["tonic water".to_owned()]),
            (
                "caffeine",
                vec!["coffee liqueur".to_owned(), "espresso".to_owned()]
            ),
        ]
    );
    // Naming them is enough: they are no cautions besides.
    assert_eq!(owl.cautions, Vec::<String>::new());
    let egg = "- 60 ml dry gin\n- 22.5 ml lemon juice\n- 1 egg white\n- shake\n- strain\n";
    let raw = labelled(egg, None);
    assert_eq!(raw.raw_egg, ["egg white"]);
    assert!(raw.egg_line().contains("severely immunocompromised"));
    assert!(labelled(egg, Some("US")).egg_line().contains("consumer advisory"));
    assert!(labelled(egg, Some("France")).egg_line().contains("Local law"));
    let safe = labelled(&egg.replace("1 egg white", "30 ml pasteurised egg white"), None);
    assert_eq!((safe.raw_egg.len(), safe.egg_line()), (0, ""));
    assert!(words(&safe.eu.contains).iter().any(|(w, _)| *w == "eggs"));
    // Other cautions keep what brings them.
    let absinthe = labelled("- 30 ml absinthe\n- neat\n", None);
    assert_eq!(absinthe.cautions.len(), 1);
    assert!(
        absinthe.cautions[0].starts_with("absinthe: wormwood"),
        "{:?}",
        absinthe.cautions
    );
}

#[test]
fn what_is_made_here_hands_everything_on() {
    let book = "# Halt\n\n## Tonic syrup\nmakes: an ingredient\n- 500 g sugar\n- 500 g water\n- 10 g cinchona bark\n- infuse 20 min\n- strain\n\n## Night mix\nmakes: an ingredient\n- 200 ml tonic syrup\n- 100 ml orgeat\n- 100 ml egg white\n- 100 ml dry vermouth\n- 50 ml cold brew coffee\n- stir\n\n## Owl\n- 60 ml dry gin\n- 40 ml night mix\n- shake\n- strain\n";
    let mut house = House::in_memory().unwrap();
    assert_eq!(crate::take(&mut house, &[Source::new("halt.md", book)]), []);
    let owl = label(&house.drinks().unwrap()[0], None);
    let eu = words(&owl.eu.contains);
    for word in ["eggs", "sulphites"] {
        assert!(eu.contains(&(word, vec!["Night mix"])), "{word}: {eu:?}");
    }
    assert!(
        eu.iter()
            .chain(&words(&owl.eu.may_contain))
            .any(|(w, _)| *w == "nuts"),
        "{eu:?}"
    );
    assert_eq!(owl.raw_egg, ["Night mix"]);
    let named: Vec<(&str, &[String])> = owl.named.iter().map(|n| (n.word, n.from.as_slice())).collect();
    let from = ["Night mix".to_owned()];
    assert_eq!(named, [("quinine", &from[..]), ("caffeine", &from[..])]);
    // 100 of the 550 ml of the mix are vermouth: some 7.3 of the 40 ml poured.
    let (wine, ml) = owl.sulphites.unwrap().sure.remove(0);
    assert_eq!(wine, "dry vermouth");
    assert!((ml - 40.0 * 100.0 / 550.0).abs() < 0.1, "{ml}");
}

/// What no list has is answered as its kind, and nobody has said what else is in it: unknown is not none.
#[test]
fn what_is_answered_as_its_kind_declares_what_its_name_says_and_no_more() {
    let label = labelled("- 45 ml caraway gin\n- 20 ml almond-washed rum\n- stir\n", None);
    assert_eq!(label.eu.unknown, ["caraway gin", "almond-washed rum"]);
    assert_eq!(label.us.unknown, label.eu.unknown);
    assert_eq!(words(&label.eu.contains), [("nuts", vec!["almond-washed rum"])]);
}
