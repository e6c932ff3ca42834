//! Drinks, lists, ingredients, preparations, tastings and notes taken out, called otherwise and put back.

use washline_core::balance::Palate;
use washline_core::spec::Source;
use washline_core::store::{House, NewTasting, NotRearranged, Rearranged, Sort, Which, examine};

use crate::journal::{LIST, Place};

fn of(sort: Sort, name: &str) -> Which<'_> {
    Which {
        sort,
        name,
        list: None,
        words: "",
    }
}

fn tasted(house: &mut House, drink: &str, verdict: &str, at: &str) {
    let verdict = Palate::read(verdict).unwrap();
    let trial = NewTasting {
        drink,
        book: None,
        version: None,
        verdict: &verdict,
        note: "",
        taster: "the porter",
        at: crate::when(at),
    };
    house.taste(&trial).unwrap().unwrap();
}

/// That it stands in the file as it should, and goes back to the byte.
fn sound(place: &Place, house: &mut House, done: &Rearranged, before: &crate::dump::Dump) {
    let found = examine(&place.path).unwrap();
    assert_eq!(
        (&found.at_odds, &found.wrong, &found.stale),
        (&vec![], &vec![], &vec![])
    );
    let after = place.dump();
    let back = house.undo(done.entry.unwrap(), false).unwrap().unwrap();
    assert_eq!(place.dump(), *before, "taken back");
    house.undo(back.by.unwrap(), false).unwrap().unwrap();
    assert_eq!(place.dump(), after, "and done again");
}

#[test]
fn a_drink_leaves_its_list_and_keeps_its_history() {
    let place = Place::with(LIST);
    let mut house = place.open();
    tasted(&mut house, "Owl", "too sweet", "2026-11-21");
    let before = place.dump();
    let tried = house.remove(of(Sort::Drink, "owl"), true).unwrap().unwrap();
    assert_eq!((tried.entry, place.dump()), (None, before.clone()));
    let gone = house.remove(of(Sort::Drink, "owl"), false).unwrap().unwrap();
    assert_eq!(gone.effects, ["takes 1 drink off \"Winter lsit\": Owl"]);
    assert_eq!(gone.effects, tried.effects);
    let names: Vec<String> = house.list().unwrap().into_iter().map(|l| l.name).collect();
    assert_eq!(names, ["Wren"]);
    // Neither shown nor exported, and the rest of the text to the byte.
    let text = house.shelved("Winter lsit").unwrap().unwrap().text;
    assert!(
        !text.contains("Owl") && text.contains("## Wren\n- 60 ml white rum"),
        "{text}"
    );
    assert!(
        text.starts_with("# Winter lsit\ncurrency: EUR\n\n## Honey syrup"),
        "{text}"
    );
    assert_eq!(house.tastings("Owl").unwrap().len(), 1);
    sound(&place, &mut house, &gone, &before);
    // It can be put back on its own, too.
    let back = house.put_back(of(Sort::Drink, "Owl"), false).unwrap().unwrap();
    assert_eq!(back.effects, ["puts 1 drink on \"Winter lsit\": Owl"]);
    let text = house.shelved("Winter lsit").unwrap().unwrap().text;
    assert!(text.contains("- fine strain\n\n## Owl\nglass: coupe\n"), "{text}");
    assert!(examine(&place.path).unwrap().is_sound());
    assert!(matches!(
        house.remove(of(Sort::Drink, "Owlet"), false).unwrap(),
        Err(NotRearranged::None(near)) if near == ["Owl"]
    ));
}

#[test]
fn a_list_goes_with_all_on_it_and_comes_back() {
    let place = Place::with(LIST);
    let mut house = place.open();
    let before = place.dump();
    let gone = house
        .remove(of(Sort::List, "winter lsit"), false)
        .unwrap()
        .unwrap();
    assert_eq!(
        gone.effects,
        [
            "takes 2 drinks off \"Winter lsit\": Owl; Wren",
            "takes 1 preparation off \"Winter lsit\": Honey syrup",
            "takes the list \"Winter lsit\" out of the house",
        ]
    );
    assert!(house.list().unwrap().is_empty() && house.titles().unwrap().is_empty());
    assert!(house.preparations().unwrap().is_empty() && house.book_ingredients().unwrap().is_empty());
    assert!(house.shelved("Winter lsit").unwrap().is_none());
    sound(&place, &mut house, &gone, &before);
    // A drink of it alone has no list to go to.
    assert!(matches!(
        house.put_back(of(Sort::Drink, "Owl"), false).unwrap(),
        Err(NotRearranged::ListGone(_))
    ));
    house
        .put_back(of(Sort::List, "Winter lsit"), false)
        .unwrap()
        .unwrap();
    assert_eq!(place.dump(), before);
    // Added once more it stands there again, as a list that was never gone.
    house
        .remove(of(Sort::List, "Winter lsit"), false)
        .unwrap()
        .unwrap();
    let added = house.add(&Source::new("list.md", LIST)).unwrap().unwrap();
    assert_eq!(added.new.len(), 3);
    assert_eq!(place.dump(), before);
}

#[test]
fn what_pours_a_preparation_is_named_before_it_goes() {
    let place = Place::with(LIST);
    let mut house = place.open();
    let before = place.dump();
    let gone = house
        .remove(of(Sort::Preparation, "Honey syrup"), true)
        .unwrap()
        .unwrap();
    assert_eq!(gone.poured_in, [("Owl".to_owned(), "Winter lsit".to_owned())]);
    let gone = house
        .remove(of(Sort::Preparation, "Honey syrup"), false)
        .unwrap()
        .unwrap();
    assert!(house.preparations().unwrap().is_empty());
    sound(&place, &mut house, &gone, &before);
}

#[test]
fn a_preparation_is_poured_by_its_new_name() {
    let place = Place::with(LIST);
    let mut house = place.open();
    let before = place.dump();
    let figures = |house: &House| {
        house.drinks_named("Owl").unwrap()[0]
            .evaluation
            .figures
            .sugar_g_per_100ml
            .value
    };
    let sweet = figures(&house);
    let done = house
        .rename(of(Sort::Preparation, "honey syrup"), "Heather syrup", false)
        .unwrap()
        .unwrap();
    assert_eq!(done.poured_in, [("Owl".to_owned(), "Winter lsit".to_owned())]);
    assert_eq!(
        done.effects,
        [
            "calls \"Honey syrup\" \"Heather syrup\"",
            "\"Owl\" becomes version 2"
        ]
    );
    assert!(done.broken.is_empty(), "{:?}", done.broken);
    let text = house.spec_text("Owl", "Winter lsit").unwrap().unwrap();
    assert!(text.contains("- 20 ml Heather syrup\n"), "{text}");
    assert_eq!(figures(&house), sweet);
    sound(&place, &mut house, &done, &before);
    let text = house.shelved("Winter lsit").unwrap().unwrap().text;
    assert!(text.contains("## Heather syrup\nmakes: an ingredient"), "{text}");
}

#[test]
fn a_drink_keeps_what_is_known_of_it_under_its_new_name() {
    let place = Place::with(LIST);
    let mut house = place.open();
    tasted(&mut house, "Owl", "right", "2026-11-21");
    let before = place.dump();
    let done = house
        .rename(of(Sort::Drink, "Owl"), "Barn Owl", false)
        .unwrap()
        .unwrap();
    assert_eq!(done.effects[0], "calls \"Owl\" \"Barn Owl\"");
    assert_eq!(
        house.tasted_right().unwrap(),
        [("Barn Owl".to_owned(), "Winter lsit".to_owned())]
    );
    assert_eq!(house.drinks_named("barn owl").unwrap()[0].found_in.version, 1);
    sound(&place, &mut house, &done, &before);
    let taken = house.rename(of(Sort::Drink, "Barn Owl"), "wren", false).unwrap();
    assert_eq!(taken, Err(NotRearranged::Taken("wren".to_owned())));
    house.remove(of(Sort::Drink, "Wren"), false).unwrap().unwrap();
    let taken = house.rename(of(Sort::Drink, "Barn Owl"), "wren", false).unwrap();
    assert_eq!(taken, Err(NotRearranged::TakenBefore("wren".to_owned())));
    for none in ["", " ", "a\nb"] {
        assert!(matches!(
            house.rename(of(Sort::Drink, "Barn Owl"), none, false).unwrap(),
            Err(NotRearranged::NoName(..))
        ));
    }
}

#[test]
fn a_list_is_called_otherwise() {
    let place = Place::with(LIST);
    let mut house = place.open();
    let before = place.dump();
    let done = house
        .rename(of(Sort::List, "Winter lsit"), "Winter list", false)
        .unwrap()
        .unwrap();
    assert_eq!(done.effects, ["calls the list \"Winter lsit\" \"Winter list\""]);
    assert_eq!(house.titles().unwrap(), ["Winter list"]);
    let text = house.shelved("Winter list").unwrap().unwrap().text;
    assert_eq!(text, LIST.replace("lsit", "list"));
    sound(&place, &mut house, &done, &before);
}

#[test]
fn an_ingredient_of_the_house_goes_and_is_called_otherwise() {
    let place = Place::new();
    let mut house = place.open();
    let mut gin = washline_core::ingredient::library()
        .iter()
        .find(|i| i.name == "London dry gin")
        .or_else(|| {
            washline_core::ingredient::library()
                .iter()
                .find(|i| i.name.eq_ignore_ascii_case("london dry gin"))
        })
        .unwrap()
        .clone();
    gin.name = "signal gin".to_owned();
    gin.aliases.clear();
    house.keep_ingredient(&gin).unwrap();
    let list = "# Halt\n\n## Owl\n- 60 ml Signal gin\n- 10 ml dry vermouth\n- stir\n";
    house.add(&Source::new("halt.md", list)).unwrap().unwrap();
    let before = place.dump();
    let done = house
        .rename(of(Sort::Ingredient, "signal gin"), "lamp gin", false)
        .unwrap()
        .unwrap();
    assert_eq!(done.poured_in, [("Owl".to_owned(), "Halt".to_owned())]);
    assert!(
        house
            .spec_text("Owl", "Halt")
            .unwrap()
            .unwrap()
            .contains("- 60 ml lamp gin\n")
    );
    sound(&place, &mut house, &done, &before);
    let before = place.dump();
    let gone = house
        .remove(of(Sort::Ingredient, "lamp gin"), false)
        .unwrap()
        .unwrap();
    assert_eq!(gone.poured_in, [("Owl".to_owned(), "Halt".to_owned())]);
    assert_eq!(gone.effects, ["takes the ingredient \"lamp gin\" out"]);
    house.undo(gone.entry.unwrap(), false).unwrap().unwrap();
    assert_eq!(place.dump(), before);
    assert_eq!(house.drinks_named("Owl").unwrap().len(), 1);
}

#[test]
fn a_tasting_and_a_note_go_alone() {
    let place = Place::with(&LIST.replace(
        "- fine strain\n\n## Wren",
        "- fine strain\n> keep it cold\n> and dry\n\n## Wren",
    ));
    let mut house = place.open();
    tasted(&mut house, "Owl", "too sweet", "2026-11-21");
    tasted(&mut house, "Owl", "right", "2026-11-23");
    let before = place.dump();
    assert!(matches!(
        house.remove(of(Sort::Tasting, "Owl"), false).unwrap(),
        Err(NotRearranged::Several(all)) if all.len() == 2
    ));
    let which = Which {
        words: "2026-11-21",
        ..of(Sort::Tasting, "Owl")
    };
    let done = house.remove(which, false).unwrap().unwrap();
    assert_eq!(
        done.effects,
        ["takes the tasting of \"Owl\" (too sweet, 2026-11-21, the porter) away"]
    );
    sound(&place, &mut house, &done, &before);
    let before = place.dump();
    let which = Which {
        words: "cold",
        ..of(Sort::Note, "Owl")
    };
    let done = house.remove(which, false).unwrap().unwrap();
    assert_eq!(done.effects, ["\"Owl\" becomes version 2"]);
    let text = house.spec_text("Owl", "Winter lsit").unwrap().unwrap();
    assert!(!text.contains("cold") && text.contains("> and dry"), "{text}");
    sound(&place, &mut house, &done, &before);
    // Put in other words, and nothing else.
    let before = place.dump();
    let done = house
        .rename(of(Sort::Note, "Owl"), "stir it long", false)
        .unwrap()
        .unwrap();
    let reworded = house.spec_text("Owl", "Winter lsit").unwrap().unwrap();
    assert_eq!(reworded, text.replace("and dry", "stir it long"));
    sound(&place, &mut house, &done, &before);
    let before = place.dump();
    let done = house
        .rename(of(Sort::Tasting, "Owl"), "after a minute", false)
        .unwrap()
        .unwrap();
    assert_eq!(
        done.effects,
        ["the tasting of \"Owl\" (right, 2026-11-23, the porter) is told otherwise"]
    );
    let told = house.tastings("Owl").unwrap();
    assert_eq!(
        (told[0].note.as_str(), told[0].at.to_string().as_str()),
        ("after a minute", "2026-11-23")
    );
    sound(&place, &mut house, &done, &before);
}
