//! The language of `find`: what it reads, what it says of what it does not, and what it finds.

use proptest::prelude::*;
use washline_core::balance::Palate;
use washline_core::computed::{Bar, ComputedDrink, look_at};
use washline_core::find::{
    Ask, Comparison, Facts, Field, Is, Kept, Limit, LimitUnit, Query, Takes, Test, Told, ask, fields, find,
    find_with,
};
use washline_core::measure::{Currency, Unit};
use washline_core::spec::Source;

fn drinks(text: &str) -> Vec<ComputedDrink> {
    let checked = look_at(&[Source::new("t", text)], &Bar::default());
    assert!(checked.faults.is_empty(), "{:?}", checked.faults);
    checked.drinks
}

const BOOK: &str = "# Signal Box, summer list
currency: EUR
season: summer
tags: house

## Distant Signal
glass: coupe, 210 ml
price: 12
garnish: lime wedge
- 60 ml white rum
- 22.5 ml lime juice
- 20 ml simple syrup 1:1 by mass
- shake
- strain

## Snow Line
price: 13
season: late autumn, winter
tags: Low; long walk
> An old porter's drink.
- 50 ml pisco
- 25 ml lime juice
- 20 ml simple syrup 1:1 by mass
- 1 egg white
- dry shake
- shake
- strain

## Night Mail
glass: rocks glass
price: 14 USD
garnish: lemon zest
- 50 ml platform gin
- 20 ml dry vermouth
- 2 dashes orange bitters
- stir
- strain

## Milk Train
- 40 ml cognac
- 20 ml cream
- 20 ml crème de cacao
- shake
- strain

## Rook
- 50 ml alcohol-free gin
- 20 ml lime juice
- 10 ml simple syrup 1:1 by mass
- top 60 ml ginger beer
- build

## Sidings
- 50 ml vodka
- 30 ml yard cordial
- stir
- strain

## Points
- 45 ml caraway gin
- 4 lime wedges
- muddle
- shake
- strain

## Platform gin
is: an ingredient
kind: spirit
strength: 44 %
source: label
allergens: none

## Yard cordial
makes: an ingredient
- 200 ml lime juice
- 300 g sugar
- 100 ml water
- heat gently
";

fn names(question: &str) -> Vec<String> {
    let query = Query::read(question).unwrap_or_else(|e| panic!("{question}: {e}"));
    let drinks = drinks(BOOK);
    let found = find(&drinks, &query).unwrap_or_else(|e| panic!("{question}: {e}"));
    found.drinks.iter().map(|d| d.name().to_owned()).collect()
}

#[test]
fn what_is_poured_is_found_by_name_and_kind_through_preparations() {
    assert_eq!(
        names("pours lime"),
        ["Distant Signal", "Snow Line", "Rook", "Sidings", "Points"]
    );
    assert_eq!(
        names("pours lime juice"),
        ["Distant Signal", "Snow Line", "Rook", "Sidings"]
    );
    // Every gin whatever its label, and none that has only its name.
    assert_eq!(names("pours gin"), ["Night Mail", "Points"]);
    assert_eq!(names("pours alcohol-free gin"), ["Rook"]);
    assert_eq!(names("pours ginger"), ["Rook"]);
    assert_eq!(names("pours yard cordial"), ["Sidings"]);
    assert_eq!(
        names("pours lime and not egg and not gin"),
        ["Distant Signal", "Rook", "Sidings"]
    );
    assert_eq!(names("pours vermouth or cacao"), ["Night Mail", "Milk Train"]);
    assert_eq!(names("pours bitters"), ["Night Mail"]);
    assert_eq!(
        names("pours spirit and not rum"),
        ["Snow Line", "Night Mail", "Milk Train", "Sidings", "Points"]
    );
    assert_eq!(
        names("pours citrus"),
        ["Distant Signal", "Snow Line", "Rook", "Sidings", "Points"]
    );
    assert_eq!(names("not pours lemon"), names("not pours (lemon or mezcal)"));
    // A garnish is used, and not poured.
    assert_eq!(
        (names("pours lemon").len(), names("uses lemon")),
        (0, vec!["Night Mail".to_owned()])
    );
}

#[test]
fn words_figures_and_lists() {
    assert_eq!(
        names("strength < 20 and structure sour"),
        ["Distant Signal", "Snow Line", "Points"]
    );
    assert_eq!(
        names("structure = sour and not strength over 17"),
        names("structure sour and strength at most 17")
    );
    assert_eq!(names("garnish and glass coupe"), ["Distant Signal"]);
    assert_eq!(names("\"porter's drink\""), ["Snow Line"]);
    assert_eq!(names("signal or zest"), ["Distant Signal", "Night Mail"]);
    assert_eq!(names("on \"summer list\" and name train"), ["Milk Train"]);
    assert_eq!(names("contains milk"), ["Milk Train"]);
    // Its own season stands for that of its list; its own tags stand beside those of its list.
    assert_eq!(names("season autumn"), ["Snow Line"]);
    assert_eq!(names("season summer").len(), 6);
    assert_eq!(names("tag low and house"), ["Snow Line"]);
    assert_eq!(names("tag walk"), [""; 0]);
    assert_eq!(names("tag house").len(), 7);
    assert_eq!(
        names("price >= 13"),
        ["Snow Line"]
            .iter()
            .map(|s| (*s).to_owned())
            .chain(["Night Mail".to_owned()])
            .collect::<Vec<_>>()
    );
    assert_eq!(names("price >= 13 EUR"), ["Snow Line"]);
    let ounces = names("volume < 5 oz");
    assert_eq!(ounces, names("volume < 147.868 ml"));
    assert!(!ounces.is_empty() && ounces.len() < 7);
    assert_eq!(names("sweetness > 60 g/l"), names("sweetness > 6"));
    assert_eq!(names("temperature < 32 °F"), names("temperature < 0 °C"));
    assert_eq!(names("strength 15 to 18"), names("strength >= 15 and <= 18"));
}

#[test]
fn what_is_not_known_is_neither_yes_nor_no() {
    let drinks = drinks(BOOK);
    let told = |question: &str, facts: &Facts| ask(&drinks, &Query::read(question).unwrap(), facts).unwrap();
    let none = Facts::default();
    for question in [
        "cost < 2.50",
        "not cost < 2.50",
        "tasted right",
        "not tasted right",
        "changed since 2026-10-01",
    ] {
        assert!(
            told(question, &none)
                .iter()
                .all(|t| matches!(t, Told::Unknown(why) if !why.is_empty())),
            "{question}"
        );
    }
    // What can be told without it is told.
    assert_eq!(told("cost < 2.50 and pours mezcal", &none), vec![Told::No; 7]);
    assert_eq!(told("cost < 2.50 or strength >= 0", &none), vec![Told::Yes; 7]);
    // No price on it.
    let priced = told("price < 13", &none);
    assert_eq!(priced[0], Told::Yes);
    assert!(matches!(priced[3], Told::Unknown(_)), "{priced:?}");
    // Nobody has said what is in the caraway gin.
    let allergens = told("not contains nuts", &none);
    assert!(
        matches!(&allergens[6], Told::Unknown(why) if why[0].contains("caraway")),
        "{allergens:?}"
    );
    let kept = |name: &str, changed: &str, said: Option<&str>| {
        let kept = Kept {
            changed: changed.to_owned(),
            tasted: said.map(|words| (Palate::read(words).unwrap(), "by the stove".to_owned())),
        };
        ("Signal Box, summer list".to_owned(), name.to_owned(), kept)
    };
    let facts = Facts::default().with_kept([
        kept("Distant Signal", "2026-10-01T08:00:00Z", Some("right")),
        kept("Snow Line", "2026-09-30", Some("too sweet and soapy")),
        kept("Night Mail", "", None),
    ]);
    let yes = |question: &str| -> Vec<String> {
        let query = Query::read(question).unwrap();
        let found = find_with(&drinks, &query, &facts).unwrap();
        found.drinks.iter().map(|d| d.name().to_owned()).collect()
    };
    assert_eq!(yes("tasted right"), ["Distant Signal"]);
    assert_eq!(yes("tasted too sweet"), ["Snow Line"]);
    assert_eq!(yes("tasted soapy"), ["Snow Line"]);
    assert_eq!(yes("not tasted"), ["Night Mail"]);
    assert_eq!(yes("changed since 2026-10-01"), ["Distant Signal"]);
    assert_eq!(yes("changed before 2026-10-01"), ["Snow Line"]);
}

#[test]
fn a_fault_points_at_its_word() {
    for (question, word, says) in [
        ("strenght < 14", "strenght", "strength"),
        ("pours lime and structur sour", "structur", "structure"),
        ("contains mlik", "mlik", "milk"),
        ("structure soor", "soor", "shaken sour"),
        ("pours lime strength < 3", "strength", "begins another test"),
        ("strength < 3 pours lime", "pours", "begins another test"),
        ("pours gin on Winter list", "on", "quotes round"),
        ("strength < 14 kg", "14 kg", "% vol"),
        ("strength < ", "<", "nothing to compare"),
        ("strength = sour", "sour", "expected a number"),
        ("volume lime", "lime", "is a figure"),
        ("pours < 3", "pours", "no figure"),
        ("pours", "pours", "of what"),
        ("fog and", "and", "nothing behind"),
        ("and fog", "and", "joins nothing"),
        ("fog not gin", "not", "and not"),
        ("(fog or gin", "(", "never closed"),
        ("fog)", ")", "closes no bracket"),
        ("()", ")", "nothing before"),
        ("pours \"lime", "\"", "never closed"),
        ("strength != 3", "!=", "not strength"),
        ("strength 8 to 5", "8 to 5", "larger number first"),
        ("changed since yesterday", "since yesterday", "a day such as"),
        ("changed since 2026-02-30", "since 2026-02-30", "a day such as"),
        ("fog (gin)", "fog", "without a word"),
        ("pours \"  \"", "\"  \"", "no word"),
        ("cost < 2.50 EURO", "2.50 EURO", "currency"),
    ] {
        let faults = Query::read(question).unwrap_err();
        let fault = &faults.0[0];
        assert_eq!(&question[fault.span.clone()], word, "{question}: {fault}");
        assert!(fault.to_string().contains(says), "{question}: {fault}");
    }
    let nothing = Query::read("   ").unwrap_err();
    assert!(nothing.to_string().contains("nothing is asked"), "{nothing}");
    // Every fault in one run.
    assert_eq!(
        Query::read("strenght < 14 and (contains mlik or structure soor)")
            .unwrap_err()
            .0
            .len(),
        3
    );
    // What nothing is called is no empty answer: `not` would find everything.
    let drinks = drinks(BOOK);
    for (question, word) in [
        ("not pours eg", "eg"),
        ("on \"Wintre list\"", "\"Wintre list\""),
        ("uses limme", "limme"),
    ] {
        let faults = find(&drinks, &Query::read(question).unwrap()).unwrap_err();
        assert_eq!(&question[faults.0[0].span.clone()], word, "{question}");
    }
}

#[test]
fn it_is_told_as_it_was_understood() {
    for (question, understood) in [
        ("pours lime AND NOT egg", "pours lime and not pours egg"),
        (
            "pours (lime or lemon) and not egg",
            "(pours lime or pours lemon) and not pours egg",
        ),
        ("fog lantern", "words fog lantern"),
        (
            "strength over 10 and under 14 % vol",
            "strength > 10 and strength < 14 % vol",
        ),
        ("on 'Winter list'", "on Winter \"list\""),
        ("a or b and c", "words a or words b and words c"),
        ("abv<=20", "strength <= 20"),
        ("tasted", "tasted"),
    ] {
        let read = Query::read(question).unwrap().to_string();
        // A word that calls a field stands in quotes; where, is the writer's own matter.
        assert_eq!(read.replace('"', ""), understood.replace('"', ""), "{question}");
    }
}

fn said() -> impl Strategy<Value = String> {
    prop_oneof![
        "[a-z]{1,6}( [a-z]{1,6}){0,2}",
        "\\PC{1,12}".prop_filter("a word in it", |s| washline_core::names::key(s)
            .chars()
            .any(char::is_alphanumeric)),
        prop::sample::select(vec![
            "and",
            "on",
            "not sour",
            "list",
            "say \"fog\"",
            "2:1 syrup",
            "pour cost",
            "it's"
        ])
        .prop_map(str::to_owned),
    ]
}

fn limit(field: Field) -> BoxedStrategy<Limit> {
    let units: Vec<Option<LimitUnit>> = match field {
        Field::Price | Field::Cost => vec![None, Currency::named("EUR").ok().map(LimitUnit::Money)],
        Field::Figure(facts) => match facts.unit {
            "" => vec![None],
            "ml" => vec![
                None,
                Some(LimitUnit::Own("ml")),
                Some(LimitUnit::Volume(Unit::Ounce)),
            ],
            "g/100 ml" => vec![
                None,
                Some(LimitUnit::Own("g/100 ml")),
                Some(LimitUnit::GramsPerLitre),
            ],
            "kJ" => vec![None, Some(LimitUnit::Kilocalories)],
            "°C" => vec![Some(LimitUnit::Own("°C")), Some(LimitUnit::Fahrenheit)],
            unit => vec![None, Some(LimitUnit::Own(unit))],
        },
        _ => vec![None],
    };
    (-100_000_i64..100_000, 0_u32..4, prop::sample::select(units))
        .prop_map(|(number, scale, unit)| Limit {
            number: rust_decimal::Decimal::new(number, scale),
            unit,
        })
        .boxed()
}

fn test() -> impl Strategy<Value = Ask> {
    let all: Vec<Field> = fields().map(|f| f.field).collect();
    prop::sample::select(all).prop_flat_map(|field| {
        let listed = |words: Vec<&'static str>| {
            prop::sample::select(words)
                .prop_map(|w| Is::Said(w.to_owned()))
                .boxed()
        };
        let is: BoxedStrategy<Is> = match field.facts().takes {
            Takes::Number => {
                let compare = prop::sample::select(vec![
                    Comparison::Below,
                    Comparison::UpTo,
                    Comparison::Above,
                    Comparison::From,
                    Comparison::Is,
                ]);
                let compared = (compare, limit(field)).prop_map(|(c, l)| Is::Compared(c, l));
                let between = (limit(field), 0_i64..100).prop_map(|(low, more)| {
                    let number = low.number + rust_decimal::Decimal::from(more);
                    Is::Between(
                        low.clone(),
                        Limit {
                            number,
                            unit: low.unit,
                        },
                    )
                });
                prop_oneof![compared, between].boxed()
            }
            Takes::Day => prop_oneof![
                Just(Is::Since(jiff::civil::date(2026, 2, 28))),
                Just(Is::Before(jiff::civil::date(2024, 2, 29)))
            ]
            .boxed(),
            Takes::Listed => match field {
                Field::Structure => listed(vec!["shaken not sour", "sour", "built", "neat"]),
                Field::Family => listed(vec!["bitter-sweet", "fizz", "low-strength stirred"]),
                Field::Contains => listed(vec!["milk", "tree nuts", "sulphites"]),
                _ => listed(vec!["too sweet", "in balance", "flagged"]),
            },
            Takes::WordsOrNothing => prop_oneof![Just(Is::Any), said().prop_map(Is::Said)].boxed(),
            Takes::Words => said().prop_map(Is::Said).boxed(),
        };
        is.prop_map(move |is| {
            Ask::Test(Test {
                field,
                is,
                span: 0..0,
            })
        })
    })
}

fn question() -> impl Strategy<Value = Ask> {
    test().prop_recursive(4, 24, 4, |inner| {
        prop_oneof![
            inner.clone().prop_map(|ask| Ask::Not(Box::new(ask))),
            prop::collection::vec(inner.clone(), 2..4).prop_map(Ask::All),
            prop::collection::vec(inner, 2..4).prop_map(Ask::Any),
        ]
    })
}

proptest! {
    #[test]
    fn what_is_written_reads_as_it_was(ask in question()) {
        let text = ask.to_string();
        let read = Query::read(&text);
        prop_assert!(read.is_ok(), "{text}: {}", read.unwrap_err());
        let read = read.unwrap();
        prop_assert_eq!(read.ask(), &ask, "{}", text);
    }

    #[test]
    fn no_text_makes_it_stumble(text in "\\PC{0,60}") {
        let _ = Query::read(&text);
    }

    #[test]
    fn no_words_of_its_own_make_it_stumble(
        words in prop::collection::vec(
            prop::sample::select(vec![
                "(", ")", "and", "or", "not", "<", ">=", "=", "!=", "\"", "'", "“", "pours", "strength", "lime", "14",
                "2,5", "-", "to", "under", "at", "most", "since", "2026-10-01", "tasted", "%", "oz", "sour", "on", "€",
            ]),
            0..40,
        ),
        joined in prop::sample::select(vec![" ", ""]),
    ) {
        let text = words.join(joined);
        if let Ok(query) = Query::read(&text) {
            let again = Query::read(&query.to_string());
            prop_assert_eq!(again.as_ref(), Ok(&query), "{}", text);
        }
    }
}

#[test]
fn depth_and_length_have_limits() {
    for text in [
        "(".repeat(5000),
        "not ".repeat(2000),
        "a ".repeat(9000),
        "(not ".repeat(900),
    ] {
        assert!(Query::read(&text).is_err());
    }
    let many = vec!["not fog"; 300].join(" and ");
    assert!(Query::read(&many).is_ok());
}

/// What the house keeps rules nothing out that a question finds or cannot tell, and nothing else is worked out.
#[test]
fn what_is_kept_narrows_and_answers_nothing() {
    let mut house = washline_core::store::House::in_memory().unwrap();
    for book in [
        "lantern-halt.md",
        "lantern-halt-mise.md",
        "lantern-halt-winter.md",
        "worked.md",
        "classics.md",
    ] {
        let path = format!("{}/../../fixtures/books/{book}", env!("CARGO_MANIFEST_DIR"));
        let text = std::fs::read_to_string(path).unwrap();
        house
            .add(&washline_core::spec::Source::new(book, text))
            .unwrap()
            .unwrap();
    }
    let all = house.drinks().unwrap();
    let mut questions: Vec<String> = washline_core::find::fields()
        .map(|field| field.example.to_owned())
        .collect();
    questions.extend(
        [
            "pours citrus and not egg",
            "pours gin or pours vermouth",
            "not pours \"lime juice\"",
            "uses lemon and strength < 14",
            "strength 14 to 18 and not structure stirred",
            "fog",
            "lemon zest",
            "name lantern or note cold",
            "not on \"winter list\" and volume < 120 ml",
            "volume <= 5 oz",
            "not season autumn",
            "season",
            "pours \"bay leaf syrup\"",
            "pours sugar and sugar to acid > 8",
        ]
        .map(str::to_owned),
    );
    let mut fewer = 0;
    for question in questions {
        let query = Query::read(&question).unwrap_or_else(|e| panic!("{question}: {e}"));
        let Ok(told) = washline_core::find::ask(&all, &query, &Facts::default()) else {
            continue;
        };
        let wanted: Vec<(&str, &str)> = all
            .iter()
            .zip(&told)
            .filter(|(_, told)| **told != washline_core::find::Told::No)
            .map(|(drink, _)| (drink.found_in.book.as_str(), drink.name()))
            .collect();
        let narrowed = house.drinks_that_may(&query).unwrap();
        let there: Vec<(&str, &str)> = narrowed
            .iter()
            .map(|drink| (drink.found_in.book.as_str(), drink.name()))
            .collect();
        for drink in &wanted {
            assert!(there.contains(drink), "{question}: {drink:?} was ruled out");
        }
        fewer += usize::from(there.len() * 2 < all.len());
    }
    assert_eq!(house.count().unwrap(), all.len());
    assert!(fewer > 20, "{fewer}");
}
