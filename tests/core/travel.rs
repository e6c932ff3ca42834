//! Drinks in other bars: what changes there, why, and what to pour; and how well drinks hold.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use washline_core::advise::{
    Arrival, GapKind, Home, Journey, Restoring, StockSheet, Visit, robust, travel, work_of,
};
use washline_core::balance::{BalanceFigure, Finding, Ranges, Verdict, evaluate};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::{Convention, Stock};
use washline_core::spec::Source;
use washline_core::store::House;

/// Every drink of a book, with the house's own stock and ranges.
struct Bar {
    pantry: Stock,
    ranges: [Ranges; 2],
    drinks: Vec<ComputedDrink>,
}

fn home(source: &Source) -> Bar {
    let mut house = House::in_memory().unwrap();
    assert_eq!(crate::take(&mut house, std::slice::from_ref(source)), []);
    Bar {
        pantry: house.pantry().unwrap(),
        ranges: [Convention::Handbook, Convention::Assay].map(|c| house.ranges(c).unwrap()),
        drinks: house.drinks().unwrap(),
    }
}

fn sheet(text: &str) -> StockSheet {
    StockSheet::read(&Source::new("sheet.md", text)).unwrap_or_else(|e| panic!("{e:?}"))
}

impl Bar {
    fn to(&self, sheet: &StockSheet) -> Visit {
        let home = Home {
            pantry: &self.pantry,
            ranges: [&self.ranges[0], &self.ranges[1]],
        };
        travel(&home, &self.drinks, sheet)
    }
}

fn poured(visit: &Visit) -> Vec<&Journey> {
    visit
        .drinks
        .iter()
        .map(|a| match a {
            Arrival::Poured(journey) => journey,
            Arrival::Stranded { drink, faults } => panic!("{drink}: {faults:?}"),
        })
        .collect()
}

/// One drink of these lines under these settings, taken to the bar of this sheet.
fn journey(book: &str, to: &str) -> Journey {
    let visit = home(&Source::new("home.md", book)).to(&sheet(to));
    poured(&visit)[0].clone()
}

const SOUR: &str = "# Halt\nounce: 30 ml\n\n## Owl\nglass: coupe, 210 ml\n- 60 ml white rum\n- 22.5 ml lime juice\n- 22.5 ml simple syrup\n- shake\n- fine strain\n";
const BY_THE_CUP: &str = "# Tin Lamp\nounce: 30 ml\njigger set: 2.5 ml\n\n## Cup syrup\nis: an ingredient\nalso: simple syrup 1:1 by mass, simple syrup\nbrix: 45.8\nsource: refractometer\n";

fn value(journey: &Journey, measure: BalanceFigure) -> (f64, f64) {
    let of = |e: &washline_core::balance::Evaluation| e.figures.measured(measure).value.unwrap();
    (of(&journey.home), of(&journey.there))
}

#[test]
fn a_syrup_by_the_cup_has_a_tenth_less_sugar_and_is_made_good() {
    let journey = journey(SOUR, BY_THE_CUP);
    // 50 and 45.8 °Brix are 615 and 553 g/L (ICUMSA density of sucrose solutions): 22.5 ml bring 1.39 g less, in
    // a drink that is as large as before within a millilitre.
    let (home, there) = value(&journey, BalanceFigure::Sweetness);
    let grams = |f: &washline_core::balance::Figures, x: f64| x * f.volume_ml.value.unwrap() / 100.0;
    let lost = grams(&journey.home.figures, home) - grams(&journey.there.figures, there);
    assert_abs_diff_eq!(lost, 0.0225 * (614.8 - 553.0), epsilon = 0.02);
    let cause = journey.cause.as_ref().unwrap();
    assert_eq!(cause.gap.kind, GapKind::Ingredient("Cup syrup".to_owned()));
    assert_eq!(cause.gap.how, "sugar 615 → 553 g/L");
    assert_eq!(cause.measure, Some(BalanceFigure::Sweetness));
    assert_abs_diff_eq!(cause.share, 1.0, epsilon = 1e-9);
    // 3.9 g/100 ml is the width of the handbook's range of a shaken sour.
    assert_abs_diff_eq!(cause.widths.unwrap(), (there - home) / 3.9, epsilon = 1e-9);
    assert_eq!(journey.restoring, Restoring::Restored);
    let changed: Vec<&str> = journey
        .pours
        .iter()
        .filter(|p| p.changed)
        .map(|p| p.line.as_str())
        .collect();
    assert_eq!(changed, ["25 ml Cup syrup"]);
    assert!(
        journey
            .pours
            .iter()
            .all(|p| (p.to_ml / 2.5 - (p.to_ml / 2.5).round()).abs() < 1e-9)
    );
}

#[test]
fn what_is_printed_is_what_the_pours_come_to_there() {
    let journey = journey(SOUR, BY_THE_CUP);
    // The note as a book of that bar, with its syrup: read and worked out by itself.
    let mut steps: Vec<(usize, String)> = journey.pours.iter().map(|p| (p.at, p.line.clone())).collect();
    steps.extend(work_of(&journey.spec));
    steps.sort_by_key(|(at, _)| *at);
    let lines: String = steps.iter().map(|(_, line)| format!("- {line}\n")).collect();
    let book = format!("{BY_THE_CUP}\n## Owl\n{lines}");
    let again = home(&Source::new("there.md", book));
    let figures = evaluate(
        &again.drinks[0].resolved,
        &again.drinks[0].built,
        &again.drinks[0].ranges,
    )
    .figures;
    for measure in BalanceFigure::ALL {
        let (a, b) = (
            figures.measured(measure).value.unwrap(),
            journey.restored.measured(measure).value.unwrap(),
        );
        assert_relative_eq!(a, b, max_relative = 2e-3);
    }
    // Within the half step that an aim allows.
    for (measure, near) in BalanceFigure::ALL.into_iter().zip([0.55, 0.55, 0.055]) {
        let home = journey.home.figures.measured(measure).value.unwrap();
        assert!((journey.restored.measured(measure).value.unwrap() - home).abs() <= near);
    }
}

#[test]
fn another_ounce_is_another_volume_of_the_same_drink() {
    let book = "# Halt\nounce: US\n\n## Owl\n- 2 oz white rum\n- 3/4 oz lime juice\n- 3/4 oz simple syrup\n- shake\n- fine strain\n";
    let journey = journey(book, "# Imperial\nounce: UK\n");
    let ml = |e: &washline_core::balance::Evaluation| e.figures.volume_ml.value.unwrap();
    // 28.4130625 and 29.5735295625 ml.
    assert_relative_eq!(
        ml(&journey.there) / ml(&journey.home),
        28.413_062_5 / 29.573_529_562_5,
        max_relative = 1e-9
    );
    for measure in BalanceFigure::ALL {
        let (home, there) = value(&journey, measure);
        assert_relative_eq!(home, there, max_relative = 1e-9);
    }
    let cause = journey.cause.unwrap();
    assert_eq!(
        (cause.gap.kind, cause.measure, cause.widths),
        (GapKind::Ounce, None, None)
    );
    assert_abs_diff_eq!(cause.share, 1.0, epsilon = 1e-9);
    // In balance as written: 2 oz stays 2 oz.
    assert_eq!(journey.restoring, Restoring::AsWritten);
    assert_eq!(
        (journey.pours[0].from.as_str(), journey.pours[0].to.as_str()),
        ("2 oz", "2 oz")
    );
    assert_abs_diff_eq!(
        journey.pours[0].written_there_ml,
        2.0 * 28.413_062_5,
        epsilon = 1e-6
    );
}

#[test]
fn the_cause_is_the_difference_that_does_most() {
    // Limes of half the acid outweigh a gin of one per cent more.
    let book = "# Halt\n\n## Owl\n- 60 ml London dry gin\n- 22.5 ml lime juice\n- 22.5 ml simple syrup\n- shake\n- fine strain\n";
    let limes = "\n## Lime juice\nis: an ingredient\nacid: 30 g/l\nsource: titrated\n";
    let strong = "\n## London dry gin\nis: an ingredient\nstrength: 44 %\nsource: label\n";
    let both = journey(book, &format!("# A\n{limes}{strong}"));
    let kind = |j: &Journey| j.cause.as_ref().unwrap().gap.kind.clone();
    assert_eq!(kind(&both), GapKind::Ingredient("Lime juice".to_owned()));
    assert!(both.cause.as_ref().unwrap().share > 0.8);
    let weak_limes = "\n## Lime juice\nis: an ingredient\nacid: 59 g/l\nsource: titrated\n";
    let overproof = "\n## London dry gin\nis: an ingredient\nstrength: 57 %\nsource: label\n";
    let other = journey(book, &format!("# A\n{weak_limes}{overproof}"));
    assert_eq!(kind(&other), GapKind::Ingredient("London dry gin".to_owned()));
    // What the sheet leaves out of the limes is as at home: their sugar does not go.
    let (home, there) = value(&both, BalanceFigure::Sweetness);
    assert_abs_diff_eq!(home, there, epsilon = 0.05);
}

#[test]
fn both_bars_are_counted_alike() {
    let assay = "# A\nacid convention: assay\n";
    let there = journey(SOUR, assay);
    assert!(there.recounted && !there.moves() && there.cause.is_none());
    // Home recounted is home with the setting in its own book.
    let own = home(&Source::new(
        "home.md",
        SOUR.replace("ounce: 30 ml", "ounce: 30 ml\nacid convention: assay"),
    ));
    let figures = evaluate(
        &own.drinks[0].resolved,
        &own.drinks[0].built,
        &own.drinks[0].ranges,
    )
    .figures;
    assert_relative_eq!(
        there.home.figures.acid_g_per_100ml.value.unwrap(),
        figures.acid_g_per_100ml.value.unwrap(),
        max_relative = 1e-12
    );
    // A titration against the handbook's limes is said.
    let titrated = "# A\n\n## Lime juice\nis: an ingredient\nacid: 46 g/l\nsource: titrated\n";
    let visit = home(&Source::new("home.md", SOUR)).to(&sheet(titrated));
    assert!(
        visit.notes[0].contains("acid convention: assay"),
        "{:?}",
        visit.notes
    );
    assert_eq!(
        home(&Source::new("home.md", SOUR))
            .to(&sheet(&titrated.replace("# A\n", assay)))
            .notes,
        [""; 0]
    );
}

#[test]
fn the_glass_of_the_bar_stands_over_the_one_written() {
    let small = journey(SOUR, "# A\ncoupe: 120 ml\n");
    assert!((small.there.glass.as_ref().unwrap().capacity_ml - 120.0).abs() < 1e-9);
    assert!(
        small
            .there
            .findings
            .iter()
            .any(|f| matches!(f, Finding::GlassOverflows { .. }))
    );
    assert!(small.glass_words().contains("120 ml"), "{}", small.glass_words());
    // Balance is as at home; the pours are not.
    assert!(!small.moves());
    assert_ne!(small.restoring, Restoring::AsWritten);
}

#[test]
fn colder_ice_gives_less_water_and_water_is_offered() {
    let cold = journey(SOUR, "# A\nice temperature: -18 °C\nice size: 32 mm\n");
    let water = |e: &washline_core::balance::Evaluation| e.figures.water_gained_ml.value.unwrap();
    assert!(water(&cold.there) < water(&cold.home) - 5.0);
    assert_eq!(cold.cause.as_ref().unwrap().gap.kind, GapKind::Ice);
    assert!(
        cold.pours
            .iter()
            .any(|p| p.ingredient == "water" && p.from.is_empty()),
        "{:?}",
        cold.pours
    );
}

#[test]
fn what_the_book_makes_goes_with_it_unless_the_sheet_has_it() {
    let book = "# Halt\n\n## Bay syrup\nmakes: an ingredient\n- 500 g caster sugar\n- 500 g water\n- dissolve\n\n## Owl\n- 60 ml white rum\n- 22.5 ml lime juice\n- 22.5 ml bay syrup\n- shake\n- strain\n";
    let with = journey(book, "# A\nice size: 32 mm\nice temperature: -1 °C\n");
    assert_eq!(
        value(&with, BalanceFigure::Sweetness).0 > 5.0,
        value(&with, BalanceFigure::Sweetness).1 > 5.0
    );
    // Made of other sugar there: the sheet's own of that name stands in its place.
    let figures = journey(
        book,
        "# A\n\n## Bay syrup\nis: an ingredient\nsugar: 300 g/l\nsource: refractometer\n",
    );
    let made = journey(
        book,
        "# A\n\n## Bay syrup\nmakes: an ingredient\n- 300 g caster sugar\n- 700 g water\n- dissolve\n",
    );
    for there in [figures, made] {
        let (home, there_sugar) = value(&there, BalanceFigure::Sweetness);
        assert!(there_sugar < 0.65 * home, "{home} {there_sugar}");
        assert_eq!(
            there.cause.unwrap().gap.kind,
            GapKind::Ingredient("Bay syrup".to_owned())
        );
    }
}

#[test]
fn words_and_measures_are_those_of_the_bar() {
    let word = journey(SOUR, "# A\nsimple syrup: 2:1 by mass\n");
    assert_eq!(
        word.cause.as_ref().unwrap().gap.kind,
        GapKind::Word("simple syrup".to_owned())
    );
    assert!(value(&word, BalanceFigure::Sweetness).1 > 1.3 * value(&word, BalanceFigure::Sweetness).0);
    let book = "# Halt\n\n## Wren\n- 60 ml rye whiskey\n- 30 ml sweet red vermouth\n- 4 dashes absinthe\n- stir\n- strain\n";
    let dash = journey(book, "# A\ndash: 1.25 ml\n");
    assert_eq!(
        dash.cause.unwrap().gap.kind,
        GapKind::Measure(washline_core::measure::Unit::Dash)
    );
}

#[test]
fn pours_are_in_the_units_the_jiggers_are_marked_in() {
    let there = journey(
        SOUR,
        "# A\nounce: US\njigger set: 1/4 oz, 1/2 oz, 3/4 oz, 1 oz, 2 oz\n",
    );
    let poured: Vec<&str> = there.pours.iter().map(|p| p.to.as_str()).collect();
    // 60 and 22.5 ml are 2.03 and 0.76 oz.
    assert_eq!(poured, ["2 oz", "3/4 oz", "3/4 oz"]);
    let back = journey(
        "# Halt\nounce: US\n\n## Owl\n- 2 oz white rum\n- 3/4 oz lime juice\n- 2 dashes orange bitters\n- shake\n- strain\n",
        "# A\njigger set: 20 ml, 25 ml, 50 ml\n",
    );
    assert_eq!(back.pours[2].to, "2 dashes");
    assert!(
        back.pours[..2].iter().all(|p| p.to.ends_with(" ml")),
        "{:?}",
        back.pours
    );
}

#[test]
fn a_sheet_with_drinks_is_refused_with_all_that_is_wrong() {
    let text = "# A\nounce: half\n\n## Sling\n- 50 ml gin\n- shake\n\n## Lime juice\nis: an ingredient\nacid: 45 g/l\n\n## Fizz\n- 40 ml gin\n- zzz\n";
    let faults = StockSheet::read(&Source::new("a.md", text)).unwrap_err();
    let said = |words: &str| faults.iter().any(|f| f.message.contains(words));
    assert!(
        said("`Sling` is a drink") && said("`Fizz` is a drink") && said("`half`") && said("source"),
        "{faults:?}"
    );
    assert!(faults.is_sorted_by_key(|f| (f.line, f.column)));
    let empty = StockSheet::read(&Source::new("a.md", "# A\n\n> no more than this\n")).unwrap_err();
    assert_eq!(empty.len(), 1);
    // A name that leads nowhere at home is said, with what is near.
    let visit = home(&Source::new("home.md", SOUR)).to(&sheet(
        "# A\n\n## Lime juise\nis: an ingredient\nacid: 45 g/l\nsource: x\n",
    ));
    assert!(visit.notes[0].contains("lime juice"), "{:?}", visit.notes);
}

#[test]
fn home_sent_home_is_as_at_home() {
    let source = crate::book("lantern-halt.md");
    let bar = home(&source);
    let visit = bar.to(&sheet("# Home again\nounce: 30 ml\ncurrency: EUR\n"));
    assert_eq!(visit.drinks.len(), bar.drinks.len());
    for journey in poured(&visit) {
        assert!(
            !journey.moves() && journey.cause.is_none() && journey.verdicts_changed.is_empty(),
            "{}",
            journey.drink
        );
        assert_eq!(journey.restoring, Restoring::AsWritten, "{}", journey.drink);
        assert_eq!(journey.home.figures, journey.there.figures, "{}", journey.drink);
    }
}

#[test]
fn every_drink_of_the_house_travels_to_both_invented_bars() {
    let bar = home(&crate::book("lantern-halt.md"));
    for name in ["stock-by-the-cup.md", "stock-assay-limes.md"] {
        let sheet = StockSheet::read(&crate::book(name)).unwrap();
        let visit = bar.to(&sheet);
        assert_eq!(visit.notes, [""; 0], "{name}");
        for journey in poured(&visit) {
            let unknown = journey.moves() && journey.cause.is_none();
            assert!(!unknown, "{}: nothing explains it", journey.drink);
            let off = |f: &washline_core::balance::Figures| -> f64 {
                BalanceFigure::ALL
                    .into_iter()
                    .zip([0.5, 0.5, 0.05])
                    .map(|(m, near)| {
                        let of = |f: &washline_core::balance::Figures| f.measured(m).value.unwrap_or(0.0);
                        ((of(f) - of(&journey.home.figures)) / near).abs()
                    })
                    .fold(0.0, f64::max)
            };
            if journey.restoring == Restoring::Restored {
                assert!(
                    off(&journey.restored) <= 1.2,
                    "{}: {}",
                    journey.drink,
                    off(&journey.restored)
                );
            }
        }
    }
}

#[test]
fn what_holds_is_what_the_verdicts_say() {
    let bar = home(&crate::book("lantern-halt.md"));
    let subjects: Vec<_> = bar.drinks.iter().map(ComputedDrink::subject).collect();
    let all = robust(&subjects);
    assert_eq!(all.len(), bar.drinks.len());
    let within: Vec<f64> = all.iter().filter_map(|r| r.within()).collect();
    assert!(within.is_sorted() && within.len() > 10);
    for robust in &all {
        let worked = bar.drinks.iter().find(|w| w.name() == robust.drink).unwrap();
        let evaluation = evaluate(&worked.resolved, &worked.built, &worked.ranges);
        for hold in &robust.holds {
            assert!((0.0..=1.0).contains(&hold.within) && (0.0..=1.0).contains(&hold.keeps));
            let inside = hold.usual.place(hold.value) == std::cmp::Ordering::Equal;
            assert_eq!(hold.computed == Verdict::In, inside, "{} {hold:?}", robust.drink);
            let keeps = if inside { hold.within } else { 1.0 - hold.within };
            assert_abs_diff_eq!(hold.keeps, keeps, epsilon = 1e-9);
        }
        // What has no verdict has nothing to hold.
        let judged = evaluation
            .verdicts
            .iter()
            .filter(|v| **v != Verdict::NoBand)
            .count();
        assert_eq!(judged, robust.holds.len(), "{}", robust.drink);
    }
}
