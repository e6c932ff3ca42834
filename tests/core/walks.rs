//! Random walks through the life of a house: whatever is done and taken back, it ends where a model of it says; and what
//! its history tells is what it was.

use proptest::prelude::*;
use washline_core::balance::learn::learn;
use washline_core::balance::{BalanceFigure, Palate, Structure};
use washline_core::ingredient::{Convention, Offer, Price, library};
use washline_core::spec::Source;
use washline_core::store::merge::{Choice, Side};
use washline_core::store::{House, NewTasting, Scale, Sort, Which, examine};

use crate::dump::Dump;
use crate::journal::Place;

/// Something that somebody does to a house; some of it can come to nothing.
#[derive(Clone, Debug)]
enum Act {
    Add {
        list: u8,
        lemon: u8,
        drinks: u8,
    },
    Set(u8),
    Unset,
    Price(u8, u8),
    Ingredient(u8),
    Taste(u8),
    Weigh(u8),
    Forget,
    Range(u8),
    Published,
    Remove(Sort, u8),
    Rename(Sort, u8, u8),
    PutBack(Sort, u8),
    Restore(u8, u8),
    /// Another spec of a drink, as `change`, `edit`, `mend` and `swap` keep it.
    Amend(u8, u8),
    /// Several settings at once, as answers are kept.
    SetAll(u8),
    Learned(u8),
    Merge(Side),
    /// The last that stands.
    Undo,
    /// Any entry, and at once its undoing undone.
    UndoAndAgain(u8),
}

const LISTS: [&str; 3] = ["Winter", "Summer", "Long bar"];
const DRINKS: [&str; 4] = ["Owl", "Wren", "Jay", "Barn Owl"];

fn acts() -> impl Strategy<Value = Act> {
    let sorts = prop_oneof![
        Just(Sort::Drink),
        Just(Sort::List),
        Just(Sort::Preparation),
        Just(Sort::Ingredient),
        Just(Sort::Tasting)
    ];
    let named = prop_oneof![
        Just(Sort::Drink),
        Just(Sort::List),
        Just(Sort::Preparation),
        Just(Sort::Ingredient)
    ];
    prop_oneof![
        4 => (0..3_u8, 0..3_u8, 1..4_u8).prop_map(|(list, lemon, drinks)| Act::Add { list, lemon, drinks }),
        1 => (0..3_u8).prop_map(Act::Set),
        1 => Just(Act::Unset),
        1 => (0..2_u8, 0..3_u8).prop_map(|(name, price)| Act::Price(name, price)),
        1 => (0..3_u8).prop_map(Act::Ingredient),
        2 => (0..4_u8).prop_map(Act::Taste),
        1 => (0..4_u8).prop_map(Act::Weigh),
        1 => Just(Act::Forget),
        1 => (0..3_u8).prop_map(Act::Range),
        1 => Just(Act::Published),
        2 => (sorts, 0..4_u8).prop_map(|(sort, n)| Act::Remove(sort, n)),
        1 => (named.clone(), 0..4_u8, 0..4_u8).prop_map(|(sort, n, to)| Act::Rename(sort, n, to)),
        1 => (named, 0..4_u8).prop_map(|(sort, n)| Act::PutBack(sort, n)),
        1 => (0..4_u8, 1..3_u8).prop_map(|(drink, version)| Act::Restore(drink, version)),
        2 => (0..4_u8, 0..3_u8).prop_map(|(drink, ml)| Act::Amend(drink, ml)),
        1 => (0..3_u8).prop_map(Act::SetAll),
        1 => (0..3_u8).prop_map(Act::Learned),
        2 => prop_oneof![Just(Side::Ours), Just(Side::Theirs), Just(Side::Newer)].prop_map(Act::Merge),
        4 => Just(Act::Undo),
        2 => any::<u8>().prop_map(Act::UndoAndAgain),
    ]
}

fn list(title: &str, lemon: u8, drinks: u8) -> String {
    let mut text = format!(
        "# {title}\n\n## Honey syrup\nmakes: an ingredient\n- 300 g honey\n- {} g water\n\n## House limes\nis: an ingredient\nkind: juice\nacid: 5{lemon} g/l\nsugar: 16 g/l\nallergens: none\nsource: titration\n",
        300 + 10 * u32::from(lemon)
    );
    for drink in DRINKS.iter().take(usize::from(drinks)) {
        text.push_str(&format!(
            "\n## {drink}\nglass: coupe\n- 60 ml signal gin or dry gin\n- {} ml lemon juice\n- 5 ml House limes\n- 20 ml Honey syrup\n- shake\n- fine strain\n",
            20 + lemon
        ));
    }
    text
}

fn which(sort: Sort, n: u8) -> Which<'static> {
    let name = match sort {
        Sort::List => LISTS[usize::from(n) % 3],
        Sort::Preparation => ["Honey syrup", "Heather syrup"][usize::from(n) % 2],
        Sort::Ingredient => ["signal gin", "House limes", "lamp gin", "Our limes"][usize::from(n) % 4],
        _ => DRINKS[usize::from(n) % 4],
    };
    Which {
        sort,
        name,
        list: Some(LISTS[0]).filter(|_| !matches!(sort, Sort::List | Sort::Ingredient)),
        words: "",
    }
}

fn act(house: &mut House, other: &Place, act: &Act) {
    match act {
        Act::Add {
            list: n,
            lemon,
            drinks,
        } => {
            let title = LISTS[usize::from(*n)];
            let _ = house
                .add(&Source::new("list.md", list(title, *lemon, *drinks)))
                .unwrap();
        }
        Act::Set(n) => drop(house.set("dash", &format!("0.{} ml", n + 7)).unwrap()),
        Act::Unset => drop(house.unset("dash").unwrap()),
        Act::Price(name, n) => {
            let price = Price {
                name: ["lemon juice", "signal gin"][usize::from(*name)].to_owned(),
                offer: if *n == 0 { Offer::Free } else { Offer::Withdrawn },
                portion: None,
                source: format!("invoice {n}"),
                since: Some(jiff::civil::date(2026, 11, 20)),
            };
            house.keep_price(&price).unwrap();
        }
        Act::Ingredient(n) => {
            let mut gin = library()
                .get("dry gin")
                .or_else(|| library().get("London dry gin"))
                .unwrap()
                .clone();
            gin.name = "signal gin".to_owned();
            gin.aliases = vec![format!("gin number {n}")];
            for value in &mut gin.values {
                value.source = format!("label {n}");
                value.high += f64::from(*n) / 3.0;
            }
            house.keep_ingredient(&gin).unwrap();
        }
        Act::Taste(n) => {
            let _ = house
                .taste(&NewTasting {
                    drink: DRINKS[usize::from(*n)],
                    book: Some(LISTS[0]),
                    version: None,
                    verdict: &[Palate::Right],
                    note: "",
                    taster: "",
                    at: crate::when("2026-11-21"),
                })
                .unwrap();
        }
        Act::Weigh(n) => {
            let scale = Scale {
                before_g: "107.5".parse().unwrap(),
                after_g: "160.25".parse().unwrap(),
                temperature_c: Some(-5.1),
                seconds: None,
                ice_g: Some(1.0 / 3.0),
                at: Some(crate::when("2026-11-21")),
                note: "",
            };
            house.weigh(DRINKS[usize::from(*n)], LISTS[0], &scale).unwrap();
        }
        Act::Forget => {
            if let Some(last) = house.weighings().unwrap().last() {
                house.forget_weighing(last.id).unwrap();
            }
        }
        Act::Range(n) => house
            .set_range(
                Structure::ShakenSour,
                BalanceFigure::Sweetness,
                f64::from(*n) / 7.0,
                9.0,
                "a tasting",
            )
            .unwrap(),
        Act::Published => drop(
            house
                .unset_range(Structure::ShakenSour, BalanceFigure::Sweetness)
                .unwrap(),
        ),
        Act::Remove(sort, n) => drop(house.remove(which(*sort, *n), false).unwrap()),
        Act::Rename(sort, n, to) => {
            let to = which(*sort, *to).name;
            drop(house.rename(which(*sort, *n), to, false).unwrap());
        }
        Act::PutBack(sort, n) => drop(house.put_back(which(*sort, *n), false).unwrap()),
        Act::Restore(n, version) => {
            let which = which(Sort::Drink, *n);
            drop(house.restore(which, i64::from(*version), false).unwrap());
        }
        Act::Amend(n, ml) => {
            if let Some(worked) = house.drinks_named(DRINKS[usize::from(*n)]).unwrap().first() {
                let text = worked
                    .source
                    .text
                    .replace("- 60 ml", &format!("- {} ml", 58 + ml));
                house.amend(worked, &text).unwrap().unwrap();
            }
        }
        Act::SetAll(n) => {
            let all = [
                ("dash", format!("0.{} ml", n + 6)),
                ("barspoon", "4 ml".to_owned()),
            ];
            house
                .set_all(&all.map(|(name, value)| (name.to_owned(), value)))
                .unwrap()
                .unwrap();
        }
        Act::Learned(n) => {
            let drinks = house.drinks().unwrap();
            let (learned, _) = learn(
                drinks.iter().map(|drink| (drink.name(), &drink.evaluation)),
                70.0 + f64::from(*n),
                Convention::Handbook,
            );
            house.keep_learned(&learned, "learned").unwrap();
        }
        Act::Merge(side) => {
            let choice = Choice {
                side: Some(*side),
                ..Choice::default()
            };
            let _ = house.merge(&other.path, &choice, false).unwrap();
        }
        Act::Undo | Act::UndoAndAgain(_) => {}
    }
}

/// The house of another bar: a list that this one may have too, one of its own, a price, a setting and a tasting.
fn another_house() -> Place {
    let place = Place::with(&list("Winter", 2, 3).replace("20 ml Honey", "18 ml Honey"));
    let mut house = place.open();
    house
        .add(&Source::new("list.md", list("Cellar", 1, 2)))
        .unwrap()
        .unwrap();
    for done in [
        Act::Set(2),
        Act::Price(0, 0),
        Act::Taste(1),
        Act::Range(2),
        Act::Ingredient(1),
    ] {
        act(&mut house, &place, &done);
    }
    drop(house);
    place
}

/// Take the last back that stands; `false` where there is nothing.
fn undo_last(house: &mut House) -> bool {
    let Some(last) = house.last_entry().unwrap() else {
        return false;
    };
    house
        .undo(last.number, false)
        .unwrap()
        .unwrap_or_else(|why| panic!("{last:?}: {why}"));
    true
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10, max_shrink_iters: 60, ..ProptestConfig::default() })]

    #[test]
    fn any_walk_ends_where_its_model_says(walk in prop::collection::vec(acts(), 1..50)) {
        let place = Place::new();
        let mut house = place.open();
        let theirs = another_house();
        // The model: what stood before each entry that stands.
        let mut stood: Vec<Dump> = Vec::new();
        let mut now = place.dump();
        for step in &walk {
            let entries = house.journal().unwrap().len();
            match step {
                Act::Undo => {
                    prop_assert_eq!(undo_last(&mut house), !stood.is_empty());
                    if let Some(before) = stood.pop() {
                        now = before;
                    }
                }
                Act::UndoAndAgain(n) => {
                    if entries > 0 {
                        let number = 1 + i64::from(*n) % i64::try_from(entries).unwrap();
                        if let Ok(undone) = house.undo(number, false).unwrap() {
                            house.undo(undone.by.unwrap(), false).unwrap().unwrap();
                        }
                    }
                }
                other => {
                    act(&mut house, &theirs, other);
                    let after = place.dump();
                    // One entry where something changed, and none where nothing did.
                    let more = house.journal().unwrap().len() - entries;
                    prop_assert_eq!(more, usize::from(after != now), "{:?}", other);
                    if more == 1 {
                        stood.push(now);
                    }
                    now = after;
                }
            }
            prop_assert_eq!(&place.dump(), &now, "{:?}", step);
        }
        // Nothing stale, nothing wrong, whatever was done.
        let found = examine(&place.path).unwrap();
        prop_assert!(found.wrong.is_empty() && found.stale.is_empty() && found.dangling.is_empty(), "{:?}", found);
        prop_assert!(found.at_odds.is_empty(), "{:?}", found.at_odds);
        while undo_last(&mut house) {
            prop_assert_eq!(Some(place.dump()), stood.pop());
        }
        prop_assert!(stood.is_empty());
    }

    #[test]
    fn the_history_of_a_walk_replays_to_the_same_figures(walk in prop::collection::vec((0..4_u8, any::<bool>()), 1..12)) {
        let place = Place::new();
        let mut house = place.open();
        let figures = |house: &House| {
            let owl = &house.drinks_named("Owl").unwrap()[0];
            (owl.found_in.version, owl.evaluation.figures, owl.source.text.clone())
        };
        let mut seen: Vec<(i64, washline_core::balance::Figures, String)> = Vec::new();
        for (amount, restores) in walk {
            if restores && !seen.is_empty() {
                let version = 1 + i64::from(amount) % i64::try_from(seen.len()).unwrap();
                let which = Which { sort: Sort::Drink, name: "Owl", list: None, words: "" };
                house.restore(which, version, false).unwrap().unwrap();
            } else {
                house.add(&Source::new("list.md", list("Winter", amount, 1))).unwrap().unwrap();
                // Preparations and limes of today, so that only the spec differs from version to version.
                house.add(&Source::new("list.md", list("Winter", 1, 1).replace("21 ml lemon", &format!("{} ml lemon", 20 + amount)))).unwrap().unwrap();
            }
            let now = figures(&house);
            if seen.last().is_none_or(|(version, ..)| *version < now.0) {
                seen.push(now);
            }
        }
        let mut told = house.drink_history("Owl").unwrap().remove(0).versions;
        told.reverse();
        prop_assert_eq!(told.len(), seen.len());
        for (version, (number, figures, text)) in told.iter().zip(&seen) {
            prop_assert_eq!(version.number, *number);
            prop_assert_eq!(&version.text, text);
            prop_assert_eq!(&version.drink.as_ref().unwrap().evaluation.figures, figures);
        }
        prop_assert!(told.windows(2).all(|pair| !pair[1].changed.is_empty()));
    }
}
