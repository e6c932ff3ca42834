//! What is read back of the results that a house keeps is, to the letter, what is worked out anew.

use washline_core::balance::Severity;
use washline_core::computed::{ComputedDrink, Summary};
use washline_core::spec::Source;
use washline_core::store::House;

/// Every drink of the fixtures' books, and of texts that say what those do not.
fn books() -> Vec<Source> {
    let mut books: Vec<Source> = [
        "lantern-halt.md",
        "lantern-halt-winter.md",
        "worked.md",
        "later-classics.md",
    ]
    .map(crate::book)
    .into();
    books.push(Source::new(
        "odd.md",
        "# Odd\nacid convention: assay\nseason: autumn\ntags: low, house\n\n\
         ## Bowl\nserves: 6\nprice: 9.50 EUR\nseason: winter\n- 300 ml white rum\n- 150 ml lime juice\n- 120 ml simple syrup 1:1 by mass\n- stir\n- strain\n\n\
         ## No size\nglass: kettle\ngarnish: lemon twist\n- 60 ml gin\n- stir\n- strain\n- garnish: olive\n\n\
         ## No method\n- 45 ml vodka\n- 20 ml cream\n\n\
         ## Foam\nglass: coupe, 90 ml\ntags: own\n- 60 ml pisco\n- 30 ml lemon juice\n- 1 egg white\n- dry shake\n- build\n- top 90 ml soda water\n\n\
         ## Dry\n- 100 ml apple juice\n- build\n",
    ));
    books
}

fn house() -> House {
    let mut house = House::in_memory().unwrap();
    for book in books() {
        house.add(&book).unwrap().unwrap();
    }
    house.refresh().unwrap();
    house
}

fn read_back(house: &mut House) -> Vec<Summary> {
    let (held, broken) = house.held().unwrap();
    assert_eq!(broken, []);
    let read: Result<Vec<Summary>, _> = house.summaries(held).unwrap().collect();
    read.unwrap()
}

#[test]
fn what_is_kept_is_what_is_worked_out() {
    let mut house = house();
    let read = read_back(&mut house);
    let worked: Vec<Summary> = house
        .drinks()
        .unwrap()
        .iter()
        .map(ComputedDrink::summary)
        .collect();
    assert_eq!(read.len(), worked.len());
    for (read, worked) in read.iter().zip(&worked) {
        assert_eq!(read, worked, "{}", worked.name);
    }
    // Of what was tried there is some of everything.
    let any =
        |what: &str, is: &dyn Fn(&Summary) -> bool| assert!(worked.iter().any(is), "no drink with {what}");
    any("serves", &|d| d.serves.is_some());
    any("a glass of no size", &|d| {
        d.glass.is_some() && d.evaluation.glass.is_none()
    });
    any("a price", &|d| d.price.is_some());
    any("two garnishes", &|d| {
        d.garnish.as_ref().is_some_and(|g| g.contains("; "))
    });
    any("no method", &|d| d.evaluation.structure.is_none());
    any("cautions", &|d| !d.cautions.is_empty());
    any("tags", &|d| d.tags.len() > 2);
    any("no family", &|d| d.evaluation.placed.is_none());
}

#[test]
fn what_is_flagged_is_what_is_found() {
    let mut house = house();
    for from in [Severity::Edge, Severity::Outside, Severity::Fault] {
        let held = house.held_flagged(from).unwrap();
        let names: Vec<String> = held.iter().map(|h| h.name.clone()).collect();
        let worked: Vec<String> = house
            .flagged(from)
            .unwrap()
            .iter()
            .map(|d| d.name().to_owned())
            .collect();
        assert_eq!(names, worked);
    }
}

#[test]
fn drinks_that_are_asked_for_one_by_one_are_all_of_them() {
    let mut house = house();
    let (held, _) = house.held().unwrap();
    let each: Vec<String> = house
        .each_worked_out(held)
        .unwrap()
        .map(|d| d.unwrap().name().to_owned())
        .collect();
    let all: Vec<String> = house
        .drinks()
        .unwrap()
        .iter()
        .map(|d| d.name().to_owned())
        .collect();
    assert_eq!(each, all);
}
