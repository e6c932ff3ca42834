//! A drink that stands on two lists is one drink; what only has the same name is two.

use rust_decimal::Decimal;
use washline_core::balance::Palate;
use washline_core::find::{Facts, Query, ask};
use washline_core::spec::Source;
use washline_core::store::{Access, House, NewTasting, Scale, Sort, Which, examine};

const OWL: &str = "## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n- strain\n";
const WREN: &str =
    "## Wren\n- 50 ml white rum\n- 20 ml lime juice\n- 20 ml simple syrup\n- shake\n- strain\n";

fn add(house: &mut House, text: &str) {
    house.add(&Source::new("list.md", text)).unwrap().unwrap();
}

/// An owl and a wren in winter, an owl in autumn.
fn two_lists() -> House {
    let mut house = House::in_memory().unwrap();
    add(
        &mut house,
        &format!("# Winter list\nseason: winter\ntags: fireside\n\n{OWL}\n{WREN}"),
    );
    add(&mut house, &format!("# Autumn list\nseason: autumn\n\n{OWL}"));
    house
}

fn drink(name: &str) -> Which<'_> {
    Which {
        sort: Sort::Drink,
        name,
        list: None,
        words: "",
    }
}

fn list(name: &str) -> Which<'_> {
    Which {
        sort: Sort::List,
        name,
        list: None,
        words: "",
    }
}

/// The names of the drinks of which a question holds: by what is kept of them, and by asking each.
fn found(house: &House, question: &str) -> Vec<String> {
    let query = Query::read(question).unwrap();
    let facts = Facts::default().with_kept(house.kept().unwrap());
    let of = |drinks: Vec<washline_core::computed::ComputedDrink>| -> Vec<String> {
        let told = ask(&drinks, &query, &facts).unwrap();
        let yes = drinks
            .iter()
            .zip(told)
            .filter(|(_, told)| *told == washline_core::find::Told::Yes);
        yes.map(|(d, _)| d.name().to_owned()).collect()
    };
    let narrowed = of(house.drinks_that_may(&query).unwrap());
    assert_eq!(narrowed, of(house.drinks().unwrap()), "{question}");
    narrowed
}

fn names(house: &House) -> Vec<String> {
    house.list().unwrap().into_iter().map(|l| l.name).collect()
}

fn text_of(house: &House, title: &str) -> String {
    house.shelved(title).unwrap().unwrap().text
}

#[test]
fn it_is_told_once_with_all_its_lists() {
    let mut house = two_lists();
    let owl = house.drinks_named("owl").unwrap();
    assert_eq!(owl.len(), 1);
    assert_eq!(
        owl[0].found_in.lists().collect::<Vec<_>>(),
        ["Winter list", "Autumn list"]
    );
    assert_eq!(owl[0].seasons(), ["winter", "autumn"]);
    assert_eq!(owl[0].tags(), ["fireside"]);
    assert_eq!(house.drinks().unwrap().len(), 2);
    assert_eq!(house.count().unwrap(), 2);
    assert_eq!(house.in_short().unwrap().len(), 2);
    let held = house.held().unwrap().0;
    assert_eq!(held.len(), 2);
    let summaries: Vec<_> = house.summaries(held).unwrap().map(Result::unwrap).collect();
    let worked: Vec<_> = house.drinks().unwrap().iter().map(|d| d.summary()).collect();
    assert_eq!(summaries, worked);
    let short: Vec<_> = house
        .drinks()
        .unwrap()
        .iter()
        .map(washline_core::store::InShort::of)
        .collect();
    assert_eq!(house.in_short().unwrap(), short);
}

#[test]
fn it_is_found_on_each_of_its_lists() {
    let house = two_lists();
    assert_eq!(found(&house, "on \"winter list\""), ["Owl", "Wren"]);
    assert_eq!(found(&house, "on \"autumn list\""), ["Owl"]);
    assert_eq!(found(&house, "not on \"autumn list\""), ["Wren"]);
    assert!(found(&house, "not on \"winter list\"").is_empty());
    assert_eq!(found(&house, "season autumn"), ["Owl"]);
    assert_eq!(
        found(&house, "season autumn and tag fireside and on \"winter list\""),
        ["Owl"]
    );
    assert_eq!(found(&house, "pours gin"), ["Owl"]);
}

#[test]
fn names_a_list_and_a_question_leave_what_all_of_them_hold_of() {
    let house = two_lists();
    let query = Query::read("pours gin").unwrap();
    for (named, list, asked, left) in [
        (&[][..], None, None, &["Owl", "Wren"][..]),
        (&["wren"], None, None, &["Wren"]),
        (&[], Some("AUTUMN list"), None, &["Owl"]),
        (&["wren"], Some("autumn list"), None, &[]),
        (&[], Some("winter list"), Some(&query), &["Owl"]),
        (&["wren"], None, Some(&query), &[]),
        (&[], Some("nowhere"), None, &[]),
    ] {
        let named: Vec<String> = named.iter().map(|n: &&str| (*n).to_owned()).collect();
        let drinks = house.drinks_of(&named, list, asked).unwrap();
        let names: Vec<&str> = drinks.iter().map(|d| d.name()).collect();
        assert_eq!(names, left, "{named:?} {list:?}");
    }
}

#[test]
fn it_is_changed_once_and_for_both() {
    let mut house = two_lists();
    let owl = house.drinks_named("owl").unwrap().remove(0);
    let changed = OWL.replace("10 ml", "15 ml");
    let done = house.amend(&owl, &changed).unwrap().unwrap();
    assert_eq!(done.also_on, ["Autumn list"]);
    assert_eq!(house.drinks_named("owl").unwrap().len(), 1);
    for title in ["Winter list", "Autumn list"] {
        assert!(text_of(&house, title).contains("15 ml dry vermouth"), "{title}");
    }
    assert_eq!(house.drink_history("owl").unwrap().len(), 1);
    // What was read before is not changed over.
    let old = house.amend(&owl, &changed.replace("15", "20"));
    assert!(old.is_err());
    let last = house.last_entry().unwrap().unwrap().number;
    house.undo(last, false).unwrap().unwrap();
    for title in ["Winter list", "Autumn list"] {
        assert!(text_of(&house, title).contains("10 ml dry vermouth"), "{title}");
    }
}

#[test]
fn it_stays_as_long_as_a_list_has_it() {
    let mut house = two_lists();
    let said = NewTasting {
        drink: "Owl",
        book: None,
        version: None,
        verdict: &[Palate::Right],
        note: "",
        taster: "",
        at: crate::when("2026-11-21"),
    };
    house.taste(&said).unwrap().unwrap();
    let gone = house.remove(list("Winter list"), false).unwrap().unwrap();
    assert_eq!(gone.effects.last().unwrap(), "1 of them stays on \"Autumn list\"");
    assert_eq!(names(&house), ["Owl"]);
    // What was said of it was said of the drink.
    assert_eq!(found(&house, "tasted right"), ["Owl"]);
    let history = house.drink_history("owl").unwrap();
    assert_eq!(history[0].list, "Autumn list");
    assert_eq!(history[0].versions[0].tastings.len(), 1);
    house.put_back(list("Winter list"), false).unwrap().unwrap();
    assert_eq!(house.count().unwrap(), 2);
    // The drink itself leaves all of its lists, and comes back to all of them.
    house.remove(drink("owl"), false).unwrap().unwrap();
    assert_eq!(names(&house), ["Wren"]);
    house.put_back(drink("owl"), false).unwrap().unwrap();
    assert_eq!(
        house.drinks_named("owl").unwrap()[0].found_in.also_on,
        ["Autumn list"]
    );
    // Off one list alone.
    let one = Which {
        list: Some("winter list"),
        ..drink("owl")
    };
    house.remove(one, false).unwrap().unwrap();
    assert_eq!(house.drinks_named("owl").unwrap()[0].found_in.book, "Autumn list");
    assert!(!text_of(&house, "Winter list").contains("Owl"));
}

#[test]
fn it_is_called_otherwise_on_both() {
    let mut house = two_lists();
    house.rename(drink("owl"), "Barn Owl", false).unwrap().unwrap();
    assert_eq!(names(&house), ["Barn Owl", "Wren"]);
    for title in ["Winter list", "Autumn list"] {
        assert!(text_of(&house, title).contains("## Barn Owl"), "{title}");
    }
}

#[test]
fn a_weighing_is_of_the_drink() {
    let mut house = two_lists();
    let scale = Scale {
        before_g: Decimal::from(70),
        after_g: Decimal::from(90),
        temperature_c: None,
        seconds: None,
        ice_g: None,
        at: Some(crate::when("2026-11-21")),
        note: "",
    };
    house.weigh("Owl", "Winter list", &scale).unwrap().unwrap();
    let owl = house.drinks_named("owl").unwrap();
    assert_eq!(owl.len(), 1, "still one drink");
    let volume = |house: &House| {
        house.drinks_named("owl").unwrap()[0]
            .evaluation
            .figures
            .volume_ml
            .value
    };
    let weighed = volume(&house);
    assert_eq!(house.weighings().unwrap().len(), 1);
    house.remove(list("Winter list"), false).unwrap().unwrap();
    house.refresh().unwrap();
    assert_eq!(volume(&house), weighed);
    assert_eq!(house.weighings().unwrap()[0].book, "Autumn list");
    // Whatever the marks say, all of it is what it comes to.
    let folder = tempfile::tempdir().unwrap();
    let copy = folder.path().join("copy.db");
    house.back_up(&copy).unwrap();
    drop(house);
    assert!(examine(&copy).unwrap().is_sound());
}

/// Only the name is the same: another spec, another ounce, another price.
#[test]
fn what_only_has_the_name_is_two_drinks() {
    for other in [
        format!("# Other\n\n{}", OWL.replace("10 ml", "12 ml")),
        format!("# Other\nconvention: assay\n\n{OWL}"),
        format!("# Other\n\n## dry gin\nis: an ingredient\nstrength: 47 %\nsource: label\n\n{OWL}"),
        format!(
            "# Other\n\n## house bitters\nis: an ingredient\nstrength: 40 %\nsource: label\nprice: 12.00 EUR per 100 ml\n\n{OWL}"
        ),
    ] {
        let mut house = House::in_memory().unwrap();
        add(&mut house, &format!("# First\n\n{OWL}"));
        add(&mut house, &other);
        let owls = house.drinks_named("owl").unwrap();
        assert_eq!(owls.len(), 2, "{other}");
        assert!(owls.iter().all(|d| d.found_in.also_on.is_empty()));
        let told = house.remove(drink("owl"), true).unwrap();
        assert!(matches!(
            told,
            Err(washline_core::store::NotRearranged::SeveralLists(_))
        ));
    }
}

/// A list that is added with another spec changes its own drink, and nobody else's.
#[test]
fn a_list_that_says_otherwise_has_a_drink_of_its_own() {
    let mut house = two_lists();
    add(
        &mut house,
        &format!(
            "# Autumn list\nseason: autumn\n\n{}",
            OWL.replace("10 ml", "12 ml")
        ),
    );
    let owls = house.drinks_named("owl").unwrap();
    assert_eq!(owls.len(), 2);
    assert_eq!(owls[0].seasons(), ["winter"]);
    add(&mut house, &format!("# Autumn list\nseason: autumn\n\n{OWL}"));
    assert_eq!(house.drinks_named("owl").unwrap().len(), 1);
}

/// What each list makes for itself is the same until one of them makes it otherwise.
#[test]
fn it_is_one_as_long_as_it_is_poured_from_the_same() {
    let syrup =
        |sugar: &str| format!("## Sweet Water\nmakes: an ingredient\n- {sugar} sugar\n- 100 g water\n");
    let sour = "## Kite\n- 50 ml dry gin\n- 20 ml lemon juice\n- 20 ml sweet water\n- shake\n- strain\n";
    let mut house = House::in_memory().unwrap();
    add(&mut house, &format!("# First\n\n{}\n{sour}", syrup("100 g")));
    add(&mut house, &format!("# Second\n\n{}\n{sour}", syrup("100 g")));
    assert_eq!(house.drinks_named("kite").unwrap().len(), 1);
    add(&mut house, &format!("# Second\n\n{}\n{sour}", syrup("150 g")));
    assert_eq!(house.drinks_named("kite").unwrap().len(), 2);
}

/// A house that an older program kept: its lists are what they were, and what stands on two of them is one.
#[test]
fn an_older_house_has_it_once_too() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.db");
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/houses/schema-008.db");
    std::fs::copy(kept, &path).unwrap();
    let (mut house, _) = House::open(&path, Access::Write).unwrap();
    let before = house.count().unwrap();
    let title = house.titles().unwrap().remove(0);
    let text = text_of(&house, &title).replacen(&title, "The same again", 1);
    add(&mut house, &text);
    assert_eq!(house.count().unwrap(), before);
    let again = house.drinks().unwrap();
    assert!(again.iter().any(|d| d.found_in.is_on("the same again")));
    house.remove(list(&title), false).unwrap().unwrap();
    assert!(
        house
            .drinks()
            .unwrap()
            .iter()
            .any(|d| d.found_in.book == "The same again")
    );
    drop(house);
    assert!(examine(&path).unwrap().is_sound());
}
