//! What drinks cost: published arithmetic, lines that are free or not priced, spans, currencies, the price list.

use rust_decimal::Decimal;
use washline_core::ingredient::{Bought, Lost, Offer, Package, Portion, Price, Tax, Yielding};
use washline_core::measure::{Currency, Ounce};
use washline_core::service::cost::{
    CostFinding, CostLine, Costing, LineCost, Part, Priced, Prices, Unpriced, drink_cost, net_price_for,
    one_of_each,
};
use washline_core::spec::Source;
use washline_core::store::{House, StoreError};
use washline_core::tables::day_text;

fn dec(text: &str) -> Decimal {
    Decimal::from_str_exact(text).unwrap()
}

fn bought(package: &str, price: &str, currency: Option<&str>) -> Bought {
    Bought::plain(
        Package::read(package, Ounce::Us).unwrap(),
        dec(price),
        currency.map(|code| Currency::named(code).unwrap()),
    )
}

fn price(name: &str, offer: Offer) -> Price {
    Price {
        name: name.to_owned(),
        offer,
        portion: None,
        source: "invoice 12 November".to_owned(),
        since: Some(jiff::civil::date(2026, 11, 12)),
    }
}

fn simple(name: &str, package: &str, paid: &str) -> Price {
    price(name, Offer::Bought(bought(package, paid, Some("EUR"))))
}

fn prices(all: &[Price]) -> Prices {
    let mut prices = Prices::default();
    for price in all {
        prices.put(None, price.clone());
    }
    prices
}

fn house(lines: &str) -> House {
    let mut house = House::in_memory().unwrap();
    let source = Source::new(
        "halt.md",
        format!("# Halt\ncurrency: EUR\nounce: US\n\n## Owl\n{lines}"),
    );
    assert_eq!(crate::take(&mut house, &[source]), []);
    house
}

fn cost(lines: &str, all: &[Price]) -> Costing {
    drink_cost(&house(lines).drinks().unwrap()[0], &prices(all))
}

fn line<'a>(costing: &'a Costing, name: &str) -> &'a CostLine {
    costing
        .lines
        .iter()
        .find(|l| l.name == name)
        .unwrap_or_else(|| panic!("no line {name}: {:?}", costing.lines))
}

fn priced<'a>(costing: &'a Costing, name: &str) -> &'a Priced {
    match &line(costing, name).cost {
        LineCost::Priced(priced) => priced,
        other => panic!("{name}: {other:?}"),
    }
}

fn why<'a>(costing: &'a Costing, name: &str) -> &'a Unpriced {
    match &line(costing, name).cost {
        LineCost::Unpriced(why) => why,
        other => panic!("{name}: {other:?}"),
    }
}

#[derive(serde::Deserialize)]
struct Case {
    case: String,
    price: String,
    package: String,
    waste: String,
    line: String,
    cost: String,
    sells: String,
    quantity: String,
    expected: String,
    tolerance: String,
}

#[test]
fn published_arithmetic() {
    let text = crate::reference("cost_cases.csv");
    let mut seen = 0;
    for case in csv::Reader::from_reader(text.as_bytes()).deserialize() {
        let case: Case = case.unwrap();
        let costing = if case.package.is_empty() {
            // A drink that costs so much: one line of 10 ml from a package of 10 ml.
            cost("- 10 ml vodka\n- neat\n", &[simple("vodka", "10 ml", &case.cost)])
        } else {
            let mut bottle = bought(&case.package, &case.price, Some("EUR"));
            bottle.waste = (!case.waste.is_empty()).then(|| Lost::read(&case.waste).unwrap());
            cost(
                &format!("- {} vodka\n- neat\n", case.line),
                &[price("vodka", Offer::Bought(bottle))],
            )
        };
        assert!(costing.is_complete(), "{}", case.case);
        let vodka = priced(&costing, "vodka");
        let sale = || costing.at(dec(&case.sells), None).unwrap();
        let found = match case.quantity.as_str() {
            "price_for_20" => costing.rounded(costing.price_for(dec("20"), None).unwrap()),
            "price_for_18" => costing.rounded(costing.price_for(dec("18"), None).unwrap()),
            "line_cost" => vodka.sum.value,
            "pours" => vodka.pours_per_pack.unwrap(),
            "whole_pours" => vodka.whole_pours_per_pack().unwrap(),
            "margin_pct" => sale().margin_pct.value,
            "pour_cost_pct" => sale().pour_cost_pct.value,
            "markup_pct" => sale().markup_pct.unwrap(),
            other => panic!("{other}"),
        };
        let apart = (found - dec(&case.expected)).abs();
        assert!(apart <= dec(&case.tolerance), "{}: {found}", case.case);
        seen += 1;
    }
    assert_eq!(seen, 22);
}

const SOUR: &str = "\
price: 12.00
garnish: lime wheel
- 60 ml white rum
- 22.5 ml lime juice
- 22.5 ml simple syrup 1:1 by mass
- 5 ml water
- shake
- strain
";

#[test]
fn every_line_is_priced_free_or_named() {
    let costing = cost(
        SOUR,
        &[
            simple("white rum", "700 ml", "14.00"),
            price("water", Offer::Free),
        ],
    );
    // 14.00 x 60 / 700
    assert_eq!(costing.cost.value, dec("1.2"));
    assert!(matches!(line(&costing, "water").cost, LineCost::Free { .. }));
    let unpriced: Vec<(&str, Part)> = costing
        .unpriced()
        .map(|(l, _)| (l.name.as_str(), l.part))
        .collect();
    assert_eq!(
        unpriced,
        [
            ("lime juice", Part::Pour),
            ("simple syrup 1:1 by mass", Part::Pour),
            ("ice (shake)", Part::Ice),
            ("lime wheel", Part::Garnish),
        ]
    );
    // 45 of 110 ml are not priced.
    assert!((costing.unpriced_pct - 100.0 * 45.0 / 110.0).abs() < 1e-9);
    assert!(!costing.is_complete() && costing.has_any_price());
    // Nothing priced: no price for a target, no pour cost.
    let nothing = cost(SOUR, &[]);
    assert!(!nothing.has_any_price());
    assert_eq!(nothing.at(dec("12"), None), None);
    assert_eq!(nothing.price_for(dec("20"), None), None);
    assert!((nothing.unpriced_pct - 100.0).abs() < 1e-9);
}

#[test]
fn fruit_is_costed_by_what_it_gives() {
    let by_fruit = |yields: Option<&str>| {
        let mut limes = bought("20 fruit", "8.00", Some("EUR"));
        limes.yields = yields.map(|y| Yielding::read(y, Ounce::Us).unwrap());
        cost(SOUR, &[price("lime juice", Offer::Bought(limes))])
    };
    let own = by_fruit(Some("30 ml per fruit, 20 to 40"));
    let juice = priced(&own, "lime juice");
    // 0.40 a lime of 30 ml; 22.5 ml of it.
    assert_eq!(juice.sum.value, dec("0.3"));
    assert_eq!(juice.sum.low, dec("0.225"));
    assert_eq!(juice.sum.high, dec("0.45"));
    assert!(own.assumptions.is_empty());
    // Without one the library's figure is taken, and said.
    let library = by_fruit(None);
    assert_eq!(library.assumptions.len(), 1);
    assert!(library.assumptions[0].about.contains("lime juice"));
    let juice = priced(&library, "lime juice");
    assert!(juice.sum.low < juice.sum.value && juice.sum.value < juice.sum.high);
    // By the kilo.
    let mut limes = bought("5 kg", "15.00", Some("EUR"));
    limes.yields = Some(Yielding::read("450 ml per kg, 400 to 500", Ounce::Us).unwrap());
    limes.waste = Some(Lost::read("10 %").unwrap());
    let kilo = cost(SOUR, &[price("lime juice", Offer::Bought(limes))]);
    // 15 / (5 x 450 x 0.9) x 22.5
    assert_eq!(
        priced(&kilo, "lime juice").sum.value.round_dp(10),
        dec("0.1666666667")
    );
    // A line that counts the fruit needs no yield at all.
    let half = cost(
        "- juice of half a lime\n- neat\n",
        &[simple("lime juice", "20 fruit", "8.00")],
    );
    assert_eq!(priced(&half, "lime juice").sum.value, dec("0.2"));
}

#[test]
fn garnish_and_ice_are_priced_where_an_amount_is_known() {
    let mut all = vec![
        simple("lime wheel", "10 pieces", "0.90"),
        Price {
            portion: Some(Portion::read("300 g", Ounce::Us).unwrap()),
            ..simple("ice", "1 kg", "0.40")
        },
    ];
    let costing = cost(SOUR, &all);
    assert_eq!(priced(&costing, "lime wheel").sum.value, dec("0.09"));
    assert_eq!(priced(&costing, "ice (shake)").sum.value, dec("0.12"));
    // The garnish as so much of a fruit, by the library's masses of wheel and fruit.
    all[0] = simple("lime fruit", "1 fruit", "0.40");
    let wheel = priced(&cost(SOUR, &all), "lime wheel").sum.value;
    assert!(dec("0.01") < wheel && wheel < dec("0.10"), "{wheel}");
    // Ice without a portion has a price but no amount; with a measured amount it has both.
    all[1].portion = None;
    assert_eq!(*why(&cost(SOUR, &all), "ice (shake)"), Unpriced::NoAmount);
    let blended = cost(
        "garnish: nutmeg, grated\n- 60 ml white rum\n- blend with 75 g ice\n",
        &[simple("ice", "1 kg", "0.40"), simple("nutmeg", "100 g", "5.00")],
    );
    assert_eq!(priced(&blended, "ice (blend)").sum.value, dec("0.03"));
    // Grated nutmeg is no whole nutmeg.
    assert_eq!(*why(&blended, "nutmeg, grated"), Unpriced::NoAmount);
    let large = cost(
        "- 60 ml white rum\n- stir\n- strain\n- over a large cube\n",
        &[simple("large cube", "40 pieces", "20.00")],
    );
    assert_eq!(priced(&large, "ice (over a large cube)").sum.value, dec("0.5"));
    assert_eq!(*why(&large, "ice (stir)"), Unpriced::NoPrice);
    // Built in the glass on the ice it is served on: one line of ice, not two.
    let built = cost("- 60 ml white rum\n- build\n- over a large cube\n", &[]);
    let ice: Vec<&str> = built
        .lines
        .iter()
        .filter(|l| l.part == Part::Ice)
        .map(|l| l.name.as_str())
        .collect();
    assert_eq!(ice, ["ice (over a large cube)"]);
}

#[test]
fn solids_by_mass_and_by_the_piece() {
    let costing = cost(
        "- 60 ml dry gin\n- 1 egg white\n- 8 mint leaves\n- 2 tsp sugar\n- shake\n- strain\n",
        &[
            simple("egg white", "12 pieces", "3.60"),
            simple("mint", "100 g", "4.00"),
            simple("granulated sugar", "1 kg", "1.20"),
        ],
    );
    assert_eq!(priced(&costing, "egg white").sum.value, dec("0.3"));
    assert!(priced(&costing, "egg white").sum.is_exact());
    // Two teaspoons of sugar by its bulk density: some 8 g of 1.20 a kilo.
    let sugar = priced(&costing, "granulated sugar").sum.value;
    assert!(dec("0.006") < sugar && sugar < dec("0.013"), "{sugar}");
    let names: Vec<&str> = costing.lines.iter().map(|l| l.name.as_str()).collect();
    assert!(names.iter().any(|n| n.contains("mint")), "{names:?}");
    // Bought by volume, put in by mass, and no bulk density: not guessed.
    let mint = cost(
        "- 60 ml dry gin\n- 8 mint leaves\n- shake\n- strain\n",
        &[simple("mint", "1 l", "4.00")],
    );
    assert_eq!(why(&mint, "mint").word(), "not comparable");
}

#[test]
fn a_filled_glass_is_costed_by_what_filled_it() {
    let house = house("glass: highball, 300 ml\n- 40 ml dry gin\n- build\n- top with tonic water\n");
    let worked = &house.drinks().unwrap()[0];
    let tonic = simple("tonic water", "200 ml", "1.00");
    let costing = drink_cost(worked, &prices(&[tonic]));
    let filled = worked.built.fill.unwrap().volume_ml;
    let line = line(&costing, "tonic water");
    assert!((line.volume_ml - filled).abs() < 1e-9);
    let LineCost::Priced(priced) = &line.cost else {
        panic!("{line:?}")
    };
    let expected = Decimal::from_str_exact(&format!("{:.6}", filled / 200.0)).unwrap();
    assert!((priced.sum.value - expected).abs() < dec("0.000002"));
}

#[test]
fn tax_and_deposit_on_both_sides() {
    let mut rum = bought("700 ml", "16.85", Some("EUR"));
    rum.deposit = Some(dec("0.05"));
    rum.tax = Some(Tax {
        pct: dec("20"),
        included: true,
    });
    let costing = cost(
        "price: 12.00\n- 50 ml white rum\n- neat\n",
        &[price("white rum", Offer::Bought(rum))],
    );
    // (16.85 - 0.05) / 1.2 = 14.00
    assert_eq!(costing.cost.value, dec("1"));
    let menu = costing.price.unwrap();
    let plain = costing.at(menu, None).unwrap();
    assert_eq!((plain.net, plain.margin.value), (dec("12"), dec("11")));
    let tax = Some(Tax {
        pct: dec("20"),
        included: true,
    });
    let held = costing.at(menu, tax).unwrap();
    assert_eq!(
        (held.net, held.margin.value, held.pour_cost_pct.value),
        (dec("10"), dec("9"), dec("10"))
    );
    assert_eq!(costing.price_for(dec("10"), tax).unwrap(), dec("12"));
    let on_top = Some(Tax {
        pct: dec("20"),
        included: false,
    });
    assert_eq!(costing.at(menu, on_top).unwrap().net, dec("12"));
    // There and back: the price for a target has that pour cost.
    for target in ["5", "18", "20", "33.3"] {
        let asked = costing.price_for(dec(target), tax).unwrap();
        let back = costing.at(asked, tax).unwrap().pour_cost_pct.value;
        assert!(
            (back - dec(target)).abs() < dec("0.0000000001"),
            "{target}: {back}"
        );
    }
    assert_eq!(costing.price_for(Decimal::ZERO, None), None);
    assert_eq!(net_price_for(dec("1.56"), dec("-5")), None);
    assert_eq!(costing.at(Decimal::ZERO, None), None);
}

#[test]
fn currencies_are_never_added() {
    let all = [
        simple("white rum", "700 ml", "14.00"),
        price("lime juice", Offer::Bought(bought("1 l", "5.00", Some("USD")))),
    ];
    let costing = cost(SOUR, &all);
    assert_eq!(costing.currency.unwrap().code(), "EUR");
    assert_eq!(costing.cost.value, dec("1.2"));
    assert_eq!(why(&costing, "lime juice").word(), "other currency");
    assert!(
        matches!(&costing.findings[..], [CostFinding::OtherCurrency { what, .. }] if what == "lime juice")
    );
    assert!(
        costing.findings[0]
            .to_string()
            .contains("two currencies are never added")
    );
    // A selling price in another currency is left out, and said.
    let pounds = cost(&SOUR.replace("12.00", "12.00 GBP"), &all[..1]);
    assert_eq!(pounds.price, None);
    assert!(
        matches!(&pounds.findings[..], [CostFinding::OtherCurrency { what, .. }] if what == "the selling price")
    );
    // A currency without minor units is rounded to whole ones.
    let mut yen = House::in_memory().unwrap();
    let book = Source::new("t.md", "# T\ncurrency: JPY\n\n## Owl\n- 45 ml vodka\n- neat\n");
    crate::take(&mut yen, &[book]);
    let costing = drink_cost(
        &yen.drinks().unwrap()[0],
        &prices(&[price(
            "vodka",
            Offer::Bought(bought("700 ml", "1850", Some("JPY"))),
        )]),
    );
    assert_eq!(costing.rounded(costing.cost.value).to_string(), "119");
}

#[test]
fn spans_of_one_cause_add_and_of_several_are_rooted() {
    let mut limes = bought("1 fruit", "1.00", Some("EUR"));
    limes.yields = Some(Yielding::read("30 ml per fruit, 20 to 60", Ounce::Us).unwrap());
    let all = [price("lime juice", Offer::Bought(limes.clone()))];
    let once = cost("- 30 ml lime juice\n- neat\n", &all).cost;
    assert_eq!(
        (once.low, once.value, once.high),
        (dec("0.5"), dec("1"), dec("1.5"))
    );
    let twice = cost("- 15 ml lime juice\n- 15 ml lime juice\n- neat\n", &all).cost;
    assert_eq!(twice, once);
    // Limes and lemons do not know of each other.
    let both = cost(
        "- 30 ml lime juice\n- 30 ml lemon juice\n- neat\n",
        &[all[0].clone(), price("lemon juice", Offer::Bought(limes))],
    )
    .cost;
    assert_eq!(both.value, dec("2"));
    assert!((both.high - (dec("2") + dec("0.7071067811865"))).abs() < dec("0.0000001"));
    // A range of amounts, and a dash of unknown size.
    let range = cost(
        "- 20-30 ml vodka\n- neat\n",
        &[simple("vodka", "100 ml", "10.00")],
    )
    .cost;
    assert_eq!(
        (range.low, range.value, range.high),
        (dec("2"), dec("2"), dec("3"))
    );
    let dash = cost(
        "- 2 dashes orange bitters\n- neat\n",
        &[simple("orange bitters", "92 ml", "50.00")],
    )
    .cost;
    assert_eq!(dash.value, dec("1"));
    assert!(dash.low < dec("0.5") && dash.high > dec("1.3"));
}

#[test]
fn prices_scale_and_packages_do_not_matter() {
    let of = |package: &str, paid: &str| cost(SOUR, &[simple("white rum", package, paid)]).cost.value;
    let one = of("700 ml", "14.00");
    for (package, paid) in [
        ("6 x 700 ml", "84.00"),
        ("0.7 l", "14.00"),
        ("70 cl", "14"),
        ("1.75 l", "35.00"),
    ] {
        assert_eq!(of(package, paid), one, "{package}");
    }
    assert_eq!(of("700 ml", "28.00"), one * dec("2"));
    // Three thirds of an ounce are an ounce, to the last digit that is shown.
    let thirds = cost(
        "- 1/3 oz vodka\n- 1/3 oz vodka\n- 1/3 oz vodka\n- neat\n",
        &[simple("vodka", "1 oz", "9.99")],
    );
    assert_eq!(thirds.to_digits(thirds.cost.value, 4), dec("9.990000"));
}

#[test]
fn sums_beyond_money_are_said_and_never_wrap() {
    let mut dear = bought("0.000001 ml", "999999999", Some("EUR"));
    dear.loss = Some(Lost::read("99.999999 %").unwrap());
    let costing = cost(
        "- 999999999 l vodka\n- neat\n",
        &[price("vodka", Offer::Bought(dear))],
    );
    assert_eq!(*why(&costing, "vodka"), Unpriced::TooLarge);
    assert!(!costing.has_any_price());
}

#[test]
fn one_of_each_counts_only_what_is_priced_in_full() {
    let all = [simple("vodka", "700 ml", "14.00")];
    let full = cost("price: 10.00\n- 50 ml vodka\n- neat\n", &all);
    let partly = cost("price: 8.00\n- 50 ml vodka\n- 10 ml dry vermouth\n- neat\n", &all);
    let sale = |c: &Costing| c.at(c.price.unwrap(), None).unwrap();
    let each = one_of_each(&[
        (&full, sale(&full)),
        (&partly, sale(&partly)),
        (&full, sale(&full)),
    ]);
    assert_eq!(each.len(), 1);
    assert_eq!(
        (each[0].drinks, each[0].cost, each[0].net),
        (2, dec("2"), dec("20"))
    );
    assert_eq!(each[0].pour_cost_pct, dec("10"));
}

#[test]
fn a_price_list_keeps_its_history() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("house.db");
    let mut house = House::open(&path, washline_core::store::Access::Write).unwrap().0;
    let dated = |since: &str, paid: &str| Price {
        since: Some(since.parse().unwrap()),
        ..simple("vodka", "700 ml", paid)
    };
    assert!(!house.keep_price(&dated("2026-01-10", "14.00")).unwrap());
    assert!(!house.keep_price(&dated("2026-06-01", "15.00")).unwrap());
    // The same day again: a slip is mended.
    assert!(house.keep_price(&dated("2026-06-01", "15.50")).unwrap());
    let on = |house: &House, day: Option<&str>| {
        let prices = house.prices(day.map(|day| day.parse().unwrap())).unwrap();
        match prices.of("any", "VODKA").map(|p| &p.offer) {
            Some(Offer::Bought(b)) => Some(b.price.to_string()),
            _ => None,
        }
    };
    assert_eq!(on(&house, Some("2025-12-31")), None);
    assert_eq!(on(&house, Some("2026-01-10")).unwrap(), "14.00");
    assert_eq!(on(&house, Some("2026-07-01")).unwrap(), "15.50");
    assert_eq!(on(&house, None).unwrap(), "15.50");
    house
        .keep_price(&Price {
            since: Some(jiff::civil::date(2026, 8, 1)),
            ..price("vodka", Offer::Withdrawn)
        })
        .unwrap();
    assert_eq!(on(&house, None), None);
    assert_eq!(on(&house, Some("2026-07-31")).unwrap(), "15.50");
    let days: Vec<String> = house
        .price_history("Vodka")
        .unwrap()
        .into_iter()
        .map(|p| day_text(p.since))
        .collect();
    assert_eq!(days, ["2026-08-01", "2026-06-01", "2026-01-10"]);

    // Everything that can be said of a price comes back as it was.
    let mut full = bought("6 x 25.4 oz", "120.10", Some("USD"));
    full.tax = Some(Tax {
        pct: dec("8.875"),
        included: false,
    });
    full.deposit = Some(dec("0.60"));
    full.yields = Some(Yielding::read("0.9 l per l, 0.85 to 0.95", Ounce::Us).unwrap());
    full.waste = Some(Lost::read("3 %, 1 to 5").unwrap());
    full.loss = Some(Lost::read("12.5 %").unwrap());
    let full = Price {
        portion: Some(Portion::read("2 pieces", Ounce::Us).unwrap()),
        ..price("tea gin", Offer::Bought(full))
    };
    house.keep_price(&full).unwrap();
    drop(house);
    let mut house = House::open(&path, washline_core::store::Access::Write).unwrap().0;
    assert_eq!(house.price_history("tea gin").unwrap(), [full]);

    // What readers of the file see: every price that holds, once.
    let db = rusqlite::Connection::open(&path).unwrap();
    let listed = |db: &rusqlite::Connection| -> Vec<String> {
        let mut select = db
            .prepare_cached("SELECT name, package, price, currency, since FROM price_list ORDER BY name")
            .unwrap();
        let rows = select.query_map([], |row| {
            let cell = |at| row.get::<_, Option<String>>(at).map(Option::unwrap_or_default);
            Ok([cell(0)?, cell(1)?, cell(2)?, cell(3)?, cell(4)?].join(" | "))
        });
        rows.unwrap().map(Result::unwrap).collect()
    };
    assert_eq!(listed(&db), ["tea gin | 6 x 25.4 oz | 120.10 | USD | 2026-11-12"]);
    house.keep_price(&dated("2026-09-01", "16.00")).unwrap();
    assert_eq!(listed(&db).len(), 2);
    // Nothing that is no price gets in.
    for wrong in [
        "offer = 'dear'",
        "currency = 'euro'",
        "source = ''",
        "price = NULL",
        "tax_included = NULL",
        "since = 'soon'",
    ] {
        let update = format!("UPDATE price SET {wrong} WHERE name = 'tea gin'");
        assert!(db.execute(&update, []).is_err(), "{wrong}");
    }

    // What another program wrote there and this one cannot read is said, not skipped.
    for (wrong, said) in [
        ("since = '2026-02-30'", "2026-02-30"),
        ("since = '', price = 'dear'", "dear"),
    ] {
        db.execute(&format!("UPDATE price SET {wrong} WHERE name = 'tea gin'"), [])
            .unwrap();
        assert!(matches!(house.prices(None), Err(StoreError::Content(_, why)) if why.contains(said)));
    }
}

#[test]
fn a_book_gives_prices_for_its_own_drinks() {
    let text = "# Halt\ncurrency: EUR\n\n## dry gin\nis: an ingredient\nprice: 21.00 per 700 ml\nsource: invoice\n\n## Tea syrup\nis: an ingredient\nsugar: 550 g/l\nprice: 3.00 per 500 ml\nsource: label\n\n## Owl\n- 50 ml London dry gin\n- 10 ml tea syrup\n- neat\n";
    let mut house = House::in_memory().unwrap();
    let added = house.add(&Source::new("halt.md", text)).unwrap().unwrap();
    assert_eq!(added.new, ["Owl"]);
    house
        .keep_price(&simple("london dry gin", "700 ml", "14.00"))
        .unwrap();
    house
        .add(&Source::new(
            "b.md",
            "# Other\ncurrency: EUR\n\n## Owl\n- 50 ml London dry gin\n- neat\n",
        ))
        .unwrap()
        .unwrap();
    let costs = |house: &House| -> Vec<String> {
        let prices = house.prices(Some(jiff::civil::date(2026, 11, 30))).unwrap();
        house
            .drinks()
            .unwrap()
            .iter()
            .map(|w| drink_cost(w, &prices).cost.value.normalize().to_string())
            .collect()
    };
    // 50/700 of 21.00 and 10/500 of 3.00; the other book has the house's price.
    assert_eq!(costs(&house), ["1.56", "1"]);
    // What reads also writes back the same, and a second adding puts its prices in the place of the first.
    let source = Source::new("halt.md", text);
    let book = washline_core::spec::read(&source).book;
    let written = washline_core::spec::format(&book);
    assert_eq!(
        washline_core::spec::format(&washline_core::spec::read(&Source::new("w", written.clone())).book),
        written
    );
    house
        .add(&Source::new("halt.md", text.replace("21.00", "28.00")))
        .unwrap()
        .unwrap();
    assert_eq!(costs(&house), ["2.06", "1"]);
    house
        .add(&Source::new(
            "halt.md",
            "# Halt\ncurrency: EUR\n\n## Owl\n- 50 ml London dry gin\n- neat\n",
        ))
        .unwrap()
        .unwrap();
    // Without prices of its own the drink is the one of the other list.
    assert_eq!(costs(&house), ["1"]);

    // Nothing is stored of a book that prices what nobody knows, prices a thing twice, or says no source.
    for (wrong, said) in [
        (text.replace("## dry gin", "## dry ginn"), "is no ingredient"),
        (
            text.replace(
                "## Tea syrup\nis: an ingredient\nsugar: 550 g/l",
                "## London dry gin\nis: an ingredient",
            ),
            "a second price",
        ),
        (
            text.replacen("source: invoice\n", "", 1),
            "no source of its price",
        ),
        (
            text.replace("per 700 ml", "a bottle"),
            "expected a price and a package",
        ),
    ] {
        let faults = house.add(&Source::new("halt.md", wrong)).unwrap().unwrap_err();
        assert!(faults.iter().any(|f| f.message.contains(said)), "{faults:?}");
        // Without prices of its own the drink is the one of the other list.
        assert_eq!(costs(&house), ["1"]);
    }
}

#[test]
fn what_is_made_here_costs_what_its_parts_cost() {
    let book = "# Halt\ncurrency: EUR\n\n## House syrup\nmakes: an ingredient\nyield: 800 ml\n- 500 g sugar\n- 500 g water\n- stir\n\n## Lime mix\nmakes: an ingredient\nyield: 1000 ml\n- 400 ml house syrup\n- 600 ml lime juice\n- stir\n\n## Owl\n- 50 ml lime mix\n- 10 ml house syrup\n- neat\n";
    let mut house = House::in_memory().unwrap();
    assert_eq!(crate::take(&mut house, &[Source::new("halt.md", book)]), []);
    let worked = &house.drinks().unwrap()[0];
    let mut limes = bought("20 fruit", "8.00", Some("EUR"));
    limes.yields = Some(Yielding::read("40 ml per fruit, 20 to 40", Ounce::Us).unwrap());
    let mut all = vec![
        simple("granulated sugar", "1 kg", "1.60"),
        price("water", Offer::Free),
        price("lime juice", Offer::Bought(limes)),
    ];
    let costing = drink_cost(worked, &prices(&all));
    assert!(costing.is_complete(), "{:?}", costing.lines);
    // 500 g of sugar are 0.80: a millilitre of 800 costs 0.001. A millilitre of lime juice costs 0.01.
    assert_eq!(priced(&costing, "House syrup").sum.value, dec("0.01"));
    // 50 ml of the mix: 20 ml of syrup and 30 ml of juice.
    let mix = priced(&costing, "Lime mix");
    assert_eq!(mix.sum.value, dec("0.32"));
    // The limes' span goes through: at 20 ml a fruit the juice costs twice as much.
    assert_eq!((mix.sum.low, mix.sum.high), (dec("0.32"), dec("0.62")));
    assert_eq!(mix.whole_pours_per_pack(), Some(dec("20")));
    assert!(mix.package.starts_with("made here, 1000 ml"), "{}", mix.package);
    let per_ml = washline_core::service::cost::cost_per_ml(
        worked,
        &prices(&all),
        worked.context.stock.get("house syrup").unwrap(),
    );
    assert_eq!(per_ml.unwrap().value, dec("0.001"));
    // A part of a part that is not priced is named.
    let without = drink_cost(worked, &prices(&all[1..]));
    for name in ["House syrup", "Lime mix"] {
        assert!(
            matches!(why(&without, name), Unpriced::PartOfIt { names } if names.len() == 1 && names[0].contains("sugar")),
            "{name}: {:?}",
            why(&without, name)
        );
    }
    assert!(!without.has_any_price());
    // A price of its own goes before what it is made of.
    all.push(simple("lime mix", "1 l", "20.00"));
    assert_eq!(
        priced(&drink_cost(worked, &prices(&all)), "Lime mix").sum.value,
        dec("1")
    );
}
