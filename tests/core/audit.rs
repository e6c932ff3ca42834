//! The list as a whole: what an audit finds, what it does not, and the distance between drinks.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;
use washline_core::balance::{BalanceFigure, Severity, evaluate};
use washline_core::ingredient::{Bought, Offer, Package, Price};
use washline_core::measure::Ounce;
use washline_core::service::audit::{
    Audit, AuditFinding, Audited, Distance, Drift, Fact, Found, NearTwins, OLD_DAYS, SMALLEST, TWINS, Todo,
    Uneven, audit, figures_apart, pours_apart,
};
use washline_core::service::comparison::{apart, compared};
use washline_core::spec::Source;
use washline_core::store::House;

fn house(books: &[(&str, &str)]) -> House {
    let mut house = House::in_memory().unwrap();
    for (file, text) in books {
        house.add(&Source::new(*file, *text)).unwrap().unwrap();
    }
    house
}

fn audited(house: &House, today: Option<&str>, most_g: Option<f64>) -> Audit {
    audit(&Audited {
        drinks: &house.drinks().unwrap(),
        prepared: &house.preparations().unwrap(),
        defined: &house.book_ingredients().unwrap(),
        earlier: &house.drinks_before().unwrap(),
        against: None,
        prices: house.prices(None).unwrap(),
        today: today.map(|day| day.parse().unwrap()),
        most_g,
    })
}

fn of_kind<'a>(audit: &'a Audit, kind: &str) -> Vec<&'a AuditFinding> {
    audit.findings.iter().filter(|f| f.kind() == kind).collect()
}

fn said(audit: &Audit, kind: &str) -> Vec<String> {
    of_kind(audit, kind).iter().map(ToString::to_string).collect()
}

fn winter() -> House {
    let mut house = House::in_memory().unwrap();
    house
        .add(&crate::book("lantern-halt-winter.md"))
        .unwrap()
        .unwrap();
    house
}

/// The winter list was written with these in it, and nothing else of these kinds.
#[test]
fn what_is_wrong_with_the_winter_list() {
    let audit = audited(&winter(), Some("2026-11-25"), None);
    assert_eq!(
        said(&audit, "unpoured_amount"),
        [
            "Branch Line Rain: 16 ml honey syrup 1:1 by volume is no measure of this bar",
            "Rain on the Branch: 17.5 ml honey syrup 1:1 by volume is no measure of this bar",
        ]
    );
    assert_eq!(
        of_kind(&audit, "unpoured_amount")[0].cure().to_string(),
        "write 15 ml or 20 ml, or set `jigger set:` to what the bar has"
    );
    assert_eq!(
        said(&audit, "two_ounces"),
        [
            "two ounces: 30 ml and 29.57 ml; 44.4 ml is 1 1/2 oz of 29.57 ml, 22.2 ml is 3/4 oz of 29.57 ml (in Snowed-in Signalman)"
        ]
    );
    assert_eq!(
        said(&audit, "mixed_units"),
        [
            "Lantern Halt, winter list: 24 pours in ml and 1 in oz in one book; the fewer in Snowed-in Signalman"
        ]
    );
    assert_eq!(
        said(&audit, "two_names"),
        ["lemon juice is written `lemon juice` and `fresh lemon juice` (in Rain on the Loop Line)"]
    );
    assert_eq!(
        said(&audit, "near_names"),
        [
            "gin and london dry gin: two bottles, or one? (in Rain on the Loop Line)",
            "simple syrup 1:1 by mass and simple syrup 1:1 by volume: two bottles, or one? (in Frost on the Points)",
        ]
    );
    assert_eq!(
        said(&audit, "unpoured_preparation"),
        ["Cherry cupboard syrup (Lantern Halt, winter list) is made, and nobody pours it"]
    );
    let twins = of_kind(&audit, "near_twins");
    assert_eq!(twins.len(), 1);
    let names: Vec<&str> = twins[0].drinks.iter().map(|d| d.name.as_str()).collect();
    assert_eq!(names, ["Branch Line Rain", "Rain on the Branch"]);
    // Nothing of it has been checked in two places yet.
    assert!(of_kind(&audit, "drift").is_empty());
    let facts: Vec<Fact> = audit
        .findings
        .iter()
        .filter_map(|f| match &f.found {
            Found::MissingFact(missing) => Some(missing.fact),
            _ => None,
        })
        .collect();
    assert_eq!(
        facts,
        [
            Fact::Allergens,
            Fact::GlassSize,
            Fact::Price,
            Fact::Garnish,
            Fact::Figures
        ]
    );
}

#[test]
fn a_measurement_grows_old() {
    let house = winter();
    let old = |today| said(&audited(&house, today, None), "old_measurement");
    assert_eq!(
        old(Some("2026-11-25")),
        [
            "alcoholic strength of yellow herbal liqueur is of 2025-10-12, 409 days old (in Branch Line Rain, Rain on the Branch, Rain on the Loop Line)"
        ]
    );
    // 365 days after it was taken it is not older than 365 days.
    assert_eq!(OLD_DAYS, 365);
    assert_eq!(old(Some("2026-10-12")), [] as [&str; 0]);
    assert_eq!(old(Some("2026-10-13")).len(), 1);
    assert_eq!(old(None), [] as [&str; 0]);
}

#[test]
fn prices_grow_old_and_tell_what_a_lonely_bottle_holds() {
    let mut house = house(&[(
        "halt.md",
        "# Halt\ncurrency: EUR\n\n## Owl\n- 60 ml dry gin\n- 20 ml dry vermouth\n- stir\n- strain\n\n## Wren\n- 60 ml dry gin\n- 10 ml kirsch\n- stir\n- strain\n\n## Tern\n- 50 ml House milk\n- 20 ml dry vermouth\n- neat\n\n## House milk\nmakes: an ingredient\n- 500 ml dry gin\n- 100 ml absinthe\n",
    )]);
    for (name, price, since) in [
        ("kirsch", "31.50", "2024-03-01"),
        ("absinthe", "40.00", "2026-03-01"),
    ] {
        let bought = Bought::plain(
            Package::read("700 ml", Ounce::Bar30).unwrap(),
            price.parse().unwrap(),
            None,
        );
        house
            .keep_price(&Price {
                name: name.to_owned(),
                offer: Offer::Bought(bought),
                portion: None,
                source: "invoice".to_owned(),
                since: Some(since.parse().unwrap()),
            })
            .unwrap();
    }
    let audit = audited(&house, Some("2026-11-25"), None);
    assert_eq!(
        said(&audit, "lonely_ingredient"),
        [
            // Through what is made of it; the dearest first. Gin is poured by three, one of them that way.
            "absinthe, poured by Tern alone: 700 ml on the shelf holds 40.00 EUR",
            "kirsch, poured by Wren alone: 700 ml on the shelf holds 31.50 EUR",
            "House milk, poured by Tern alone, and made for it",
        ]
    );
    assert_eq!(
        said(&audit, "old_measurement"),
        ["price of kirsch is of 2024-03-01, 999 days old (in Wren)"]
    );
    assert!(of_kind(&audit, "unpoured_preparation").is_empty());
}

#[test]
fn a_drink_alone_has_no_lonely_ingredients() {
    let two = "# Halt\n## Owl\n- 60 ml dry gin\n- stir\n## Wren\n- 60 ml vodka\n- stir\n";
    assert!(
        of_kind(
            &audited(&house(&[("halt.md", two)]), None, None),
            "lonely_ingredient"
        )
        .is_empty()
    );
}

/// The same name in two books: what changed in the pours and in the glass.
#[test]
fn specs_that_have_drifted() {
    let mut house = winter();
    house.add(&crate::book("lantern-halt.md")).unwrap().unwrap();
    let audit = audited(&house, None, None);
    let drift = said(&audit, "drift");
    assert_eq!(drift.len(), 2, "{drift:#?}");
    // Guard's Last Lantern stands in both and is the same in both.
    assert!(drift.iter().all(|d| !d.contains("Guard")), "{drift:#?}");
    assert!(
        drift[0].starts_with("Hoarfrost Junction: Lantern Halt, winter list → Lantern Halt, autumn list: london dry gin 75 ml → 60 ml; bianco vermouth 15 ml → 30 ml; price 14.50 → 14.00; in the glass strength "),
        "{}",
        drift[0]
    );
    let Found::Drift(Drift {
        pours,
        glass,
        told_apart,
        ..
    }) = &of_kind(&audit, "drift")[1].found
    else {
        panic!()
    };
    // A millilitre of syrup: said, and not to be called. The liqueur is another bottle there, and poured the same.
    assert_eq!(pours.len(), 1);
    assert_eq!(pours[0].to_string(), "honey syrup 1:1 by volume 16 ml → 15 ml");
    assert!(!told_apart && glass.iter().all(|g| g.apart.too_small));
    assert_eq!(of_kind(&audit, "drift")[0].severity(), Severity::Edge);
    assert_eq!(of_kind(&audit, "drift")[1].severity(), Severity::Note);
    // One drink in two books is one drink of the list, and no twin of itself.
    assert_eq!(audit.spread.drinks, 27);
    for twins in of_kind(&audit, "near_twins") {
        assert_ne!(twins.drinks[0].name, twins.drinks[1].name);
    }
}

#[test]
fn a_version_drifts_from_the_one_before() {
    let book = |syrup: &str, note: &str| {
        format!(
            "# Halt\n## Owl\nnote: {note}\n- 60 ml white rum\n- 22.5 ml lime juice\n- {syrup} ml simple syrup 1:1 by mass\n- shake\n- strain\n"
        )
    };
    let mut house = house(&[("halt.md", &book("20", "first"))]);
    assert!(of_kind(&audited(&house, None, None), "drift").is_empty());
    for (syrup, note) in [("25", "second"), ("30", "third")] {
        house
            .add(&Source::new("halt.md", book(syrup, note)))
            .unwrap()
            .unwrap();
    }
    let drift = said(&audited(&house, None, None), "drift");
    assert_eq!(drift.len(), 1);
    assert!(
        drift[0]
            .starts_with("Owl: version 2 → version 3: simple syrup 1:1 by mass 25 ml → 30 ml; in the glass"),
        "{drift:?}"
    );
    // Only words have changed: nothing has drifted.
    house
        .add(&Source::new("halt.md", book("30", "fourth")))
        .unwrap()
        .unwrap();
    assert!(of_kind(&audited(&house, None, None), "drift").is_empty());
}

#[test]
fn another_list_lacks_drinks() {
    let ours = house(&[(
        "a.md",
        "# A\n## Owl\n- 60 ml dry gin\n- stir\n## Wren\n- 50 ml vodka\n- stir\n",
    )]);
    let theirs = house(&[(
        "b.md",
        "# B\n## Owl\n- 60 ml dry gin\n- stir\n## Tern\n- 50 ml vodka\n- stir\n",
    )]);
    let theirs = theirs.drinks().unwrap();
    let drinks = ours.drinks().unwrap();
    let audit = audit(&Audited {
        drinks: &drinks,
        against: Some(("B", &theirs)),
        ..Audited::default()
    });
    assert_eq!(
        said(&audit, "only_in_one"),
        ["not in B: Wren", "not in this list: Tern"]
    );
    assert!(of_kind(&audit, "drift").is_empty());
}

#[test]
fn more_alcohol_than_the_house_serves() {
    let text = "# Halt\n## Owl\n- 60 ml vodka (40 %)\n- stir\n## Wren\n- 30 ml vodka (40 %)\n- stir\n";
    let house = house(&[("halt.md", text)]);
    // 60 ml of 40 % vol holds 18.94 g of ethanol (0.78924 g/ml), the bottle being within 0.3 % vol of its label.
    let at = |most| said(&audited(&house, None, Some(most)), "serving_size");
    assert!(
        at(18.0)[0].starts_with("Owl: 18.9 g of alcohol"),
        "{:?}",
        at(18.0)
    );
    assert!(at(18.0)[0].contains("over the house limit of 18 g"));
    assert_eq!(at(18.0).len(), 1);
    let close = audited(&house, None, Some(18.95));
    let close = of_kind(&close, "serving_size");
    assert_eq!(close[0].severity(), Severity::Edge);
    assert!(close[0].to_string().contains("too close to call"), "{}", close[0]);
    assert!(close[0].cure().to_string().contains("local law"));
    assert!(at(25.0).is_empty());
    let over = audited(&house, None, Some(5.0));
    assert_eq!(of_kind(&over, "serving_size").len(), 2);
    assert_eq!(over.gravest(), Some(Severity::Outside));
}

/// A list with nothing light, and one with everything.
#[test]
fn how_a_list_is_spread() {
    let stirred = |n: usize, gin: usize| {
        format!(
            "\n## Owl {n}\nprice: {}.00\n- {gin} ml dry gin\n- 20 ml dry vermouth\n- stir\n- strain\n",
            10 + n
        )
    };
    let text: String = (0..SMALLEST).map(|n| stirred(n, 60 + 5 * n)).collect();
    let strong = audited(
        &house(&[("halt.md", &format!("# Halt\ncurrency: EUR\n{text}"))]),
        None,
        None,
    );
    let what = |audit: &Audit| -> BTreeSet<String> {
        audit
            .findings
            .iter()
            .filter_map(|f| match &f.found {
                Found::Spread(uneven) => Some(match uneven {
                    Uneven::Gap { measure, .. } => format!("gap {measure}"),
                    Uneven::Crowding { measure, .. } => format!("crowding {measure}"),
                    Uneven::Strong { count, of, .. } => format!("strong {count}/{of}"),
                    Uneven::NoLow { .. } => "no low".to_owned(),
                    Uneven::NoneFree { .. } => "none free".to_owned(),
                    Uneven::AllSour { count, of, .. } => format!("sour {count}/{of}"),
                    Uneven::OneStructure { structure, .. } => structure.clone(),
                    Uneven::OneBase { base, .. } => base.clone(),
                }),
                _ => None,
            })
            .collect()
    };
    let found = what(&strong);
    for wanted in ["strong 6/6", "no low", "none free", "stirred", "gins"] {
        assert!(found.contains(wanted), "{wanted}: {found:?}");
    }
    assert!(
        !found.iter().any(|f| f.starts_with("sour") || f == "gap price"),
        "{found:?}"
    );
    let price = strong.spread.along.iter().find(|a| a.measure == "price").unwrap();
    let quarters = [
        price.smallest,
        price.quarter,
        price.median,
        price.three_quarters,
        price.largest,
    ];
    for (found, wanted) in quarters.iter().zip([10.0, 11.25, 12.5, 13.75, 15.0]) {
        assert!((found - wanted).abs() < 1e-9, "{quarters:?}");
    }
    assert_eq!(strong.spread.strong, SMALLEST);
    // With a light drink and one without alcohol, nothing is lacking; with one drink fewer there is no list to speak of.
    let more = "\n## Tern\n- 60 ml fino sherry\n- 100 ml tonic water\n- build\n\n## Jay\n- 60 ml apple juice\n- 100 ml soda water\n- build\n";
    let found = what(&audited(
        &house(&[("halt.md", &format!("# Halt\n{text}{more}"))]),
        None,
        None,
    ));
    assert!(
        !found.contains("no low") && !found.contains("none free"),
        "{found:?}"
    );
    let short: String = (0..SMALLEST - 1).map(|n| stirred(n, 60 + 5 * n)).collect();
    assert!(
        what(&audited(
            &house(&[("halt.md", &format!("# Halt\n{short}"))]),
            None,
            None
        ))
        .is_empty()
    );
}

#[test]
fn nearly_everything_sour() {
    let sour = |n: usize| {
        format!(
            "\n## Owl {n}\n- 60 ml white rum\n- 22.5 ml lime juice\n- {} ml simple syrup 1:1 by mass\n- shake\n- strain\n",
            15 + 5 * n
        )
    };
    let text: String = (0..SMALLEST).map(sour).collect();
    let audit = audited(&house(&[("halt.md", &format!("# Halt\n{text}"))]), None, None);
    let all_sour = audit
        .findings
        .iter()
        .any(|f| matches!(f.found, Found::Spread(Uneven::AllSour { count: SMALLEST, .. })));
    assert!(all_sour);
}

/// The distance of two drinks, by hand from their figures and pours.
#[test]
fn near_twins_by_the_stated_distance() {
    let house = winter();
    let worked = house.drinks().unwrap();
    let find = |name: &str| worked.iter().find(|w| w.name() == name).unwrap();
    let (a, b) = (find("Branch Line Rain"), find("Rain on the Branch"));
    let figures = |name: &str| {
        let w = find(name);
        let figures = evaluate(&w.resolved, &w.built, &w.ranges).figures;
        BalanceFigure::ALL.map(|m| figures.measured(m).value.unwrap())
    };
    // The core bands of a shaken sour: 15.0 to 19.7 % vol, 5.0 to 8.9 and 0.76 to 0.94 g/100 ml.
    let widths = [4.7, 3.9, 0.18];
    let glass = figures_apart(figures(a.name()), figures(b.name()), widths);
    let grams = |name: &str| -> BTreeMap<String, f64> {
        let w = find(name);
        washline_core::service::comparison::pours(w)
            .into_iter()
            .map(|(n, p)| (n, p.mass_g))
            .collect()
    };
    let pours = pours_apart(&grams(a.name()), &grams(b.name()));
    let audit = audited(&house, None, None);
    let Found::NearTwins(NearTwins {
        distance,
        by_figures,
        by_pours,
        limit,
        ..
    }) = &of_kind(&audit, "near_twins")[0].found
    else {
        panic!()
    };
    assert!((by_figures - glass).abs() < 1e-9, "{by_figures} {glass}");
    assert!((by_pours - pours).abs() < 1e-12);
    assert!((distance - (0.5 * glass * glass + 0.5 * pours * pours).sqrt()).abs() < 1e-9);
    assert!(*distance <= TWINS && (limit - TWINS).abs() < 1e-12);
    let shared = format!("{:.0} % of the pours shared", 100.0 * (1.0 - by_pours));
    assert!(of_kind(&audit, "near_twins")[0].to_string().contains(&shared));
}

fn distance(a: &Drink, b: &Drink) -> f64 {
    Distance {
        figures: figures_apart(a.0, b.0, [4.7, 3.9, 0.18]),
        ingredients: pours_apart(&a.1, &b.1),
    }
    .total()
}

type Drink = ([f64; 3], BTreeMap<String, f64>);

fn any_drink() -> impl Strategy<Value = Drink> {
    let pours = proptest::collection::btree_map("[a-e]", 1.0..80.0_f64, 1..5);
    ((0.0..40.0, 0.0..20.0, 0.0..2.0), pours).prop_map(|((s, w, t), pours)| ([s, w, t], pours))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_distance_is_one(a in any_drink(), b in any_drink(), c in any_drink()) {
        prop_assert!(distance(&a, &a) < 1e-12);
        prop_assert!((distance(&a, &b) - distance(&b, &a)).abs() < 1e-12);
        prop_assert!(distance(&a, &c) <= distance(&a, &b) + distance(&b, &c) + 1e-9);
    }
}

/// Findings come by what to do; the group with the most serious one first, in each the most serious first.
#[test]
fn findings_are_ordered() {
    let mut house = winter();
    house.add(&crate::book("lantern-halt.md")).unwrap().unwrap();
    let audit = audited(&house, Some("2026-11-25"), Some(20.0));
    let groups = audit.by_todo();
    let mut seen = BTreeSet::new();
    let mut last = Severity::Fault;
    for (todo, findings) in &groups {
        assert!(seen.insert(*todo), "{todo:?} stands twice");
        let severities: Vec<Severity> = findings.iter().map(|f| f.severity()).collect();
        assert!(severities.is_sorted_by(|a, b| a >= b), "{todo:?}");
        assert!(severities[0] <= last);
        last = severities[0];
    }
    assert_eq!(groups[0].0, Todo::Build);
    assert_eq!(audit.gravest(), Some(Severity::Fault));
    for finding in &audit.findings {
        assert!(
            !finding.to_string().is_empty() && !finding.cure().is_empty(),
            "{finding:?}"
        );
        assert!(!finding.to_string().contains("NaN"));
    }
    // What the drinks' own checks find is all there, but for notes.
    let own: usize = house
        .drinks()
        .unwrap()
        .iter()
        .flat_map(|w| evaluate(&w.resolved, &w.built, &w.ranges).findings)
        .filter(|f| f.severity() >= Severity::Edge)
        .count();
    let told = audit
        .findings
        .iter()
        .filter(|f| matches!(f.found, Found::OfDrink(_)))
        .count();
    assert_eq!((own, own > 0), (told, true));
}

#[test]
fn books_with_two_ounces() {
    let of = |ounce: &str, title: &str| {
        format!("# {title}\nounce: {ounce}\n## {title} Owl\n- 2 oz dry gin\n- stir\n")
    };
    let (us, bar) = (of("US", "A"), of("30 ml", "B"));
    let audit = audited(&house(&[("a.md", &us), ("b.md", &bar)]), None, None);
    assert_eq!(
        said(&audit, "two_ounces"),
        ["two ounces: 29.57 ml and 30 ml; A counts in ounces of US, B in ounces of 30 ml"]
    );
    let (one, other) = (of("US", "A"), of("US", "B"));
    assert!(
        of_kind(
            &audited(&house(&[("a.md", &one), ("b.md", &other)]), None, None),
            "two_ounces"
        )
        .is_empty()
    );
}

#[test]
fn an_empty_list_has_nothing_wrong_with_it() {
    let audit = audited(&House::in_memory().unwrap(), Some("2026-11-25"), Some(10.0));
    assert_eq!(audit, Audit::default());
}

/// The rule for a difference, against the figures themselves: what is called apart has intervals that differ.
#[test]
fn two_drinks_side_by_side() {
    let mut house = winter();
    house.add(&crate::book("lantern-halt.md")).unwrap().unwrap();
    let worked = house.drinks().unwrap();
    let find = |name: &str| worked.iter().find(|w| w.name() == name).unwrap();
    let (a, b) = (find("Branch Line Rain"), find("Points Failure"));
    let beside = compared(a, b);
    let rows: Vec<(&str, Option<String>, Option<String>, bool)> = beside
        .pours
        .iter()
        .map(|p| {
            (
                p.ingredient.as_str(),
                p.a.as_ref().map(|p| p.said()),
                p.b.as_ref().map(|p| p.said()),
                p.differs(),
            )
        })
        .collect();
    let some = |t: &str| Some(t.to_owned());
    assert_eq!(rows[1], ("lemon juice", some("22.5 ml"), some("37.5 ml"), true));
    assert_eq!(rows[0], ("london dry gin", some("60 ml"), None, true));
    assert_eq!(
        rows.last().unwrap(),
        &("orange bitters", None, some("2 dashes"), true)
    );
    for row in &beside.figures {
        assert_eq!(row.apart, apart(row.a, row.b, row.facts.decimals));
        if let (Some(told), Some(ua), Some(ub)) =
            (row.apart, row.a.standard_uncertainty, row.b.standard_uncertainty)
        {
            let least = 1.959_964 * (ua * ua + ub * ub).sqrt();
            assert!((told.least_told.unwrap() - least).abs() < 1e-5 * (1.0 + least));
        }
    }
    let tartness = beside
        .figures
        .iter()
        .find(|f| f.facts.word == "tartness")
        .unwrap();
    assert!(
        !tartness.apart.unwrap().too_small,
        "0.83 and 1.35 g/100 ml are apart"
    );
    // A drink beside itself.
    let same = washline_core::service::comparison::compared(a, a);
    assert!(same.pours.iter().all(|p| !p.differs()));
    assert!(same.figures.iter().all(|f| f.apart.is_none_or(|a| a.too_small)));
}
