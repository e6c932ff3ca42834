//! What is said of a drink beside the published ones: what was wrong stays right, and the promised rates are kept.

use std::sync::LazyLock;

use washline_core::balance::published::{Era, figures, given, record_of};
use washline_core::balance::record::{self, Rate, Record, Sample};
use washline_core::balance::{BalanceFigure, Family, Finding, OUTSIDE_PCT, Side, Verdict};
use washline_core::computed::{ComputedDrink, check};
use washline_core::ingredient::Convention;
use washline_core::liquid::{Component, Liquid};

use crate::reference;

/// The drinks of a book, as they are said to be.
fn judged(text: &str) -> Vec<ComputedDrink> {
    check(text).unwrap()
}

fn one(lines: &str) -> ComputedDrink {
    let list: Vec<String> = lines.split('/').map(|l| format!("- {}", l.trim())).collect();
    judged(&format!("# T\n\n## Drink\n{}\n", list.join("\n"))).remove(0)
}

fn family(report: &ComputedDrink) -> Option<Family> {
    report.evaluation.placed.as_ref().map(|p| p.family)
}

/// What is said to be off: measure, side, whether it is outside.
fn off(report: &ComputedDrink) -> Vec<(BalanceFigure, Side, bool)> {
    let off = report.evaluation.findings.iter().filter_map(|f| match f {
        Finding::OffBalance {
            measure,
            side,
            verdict,
            ..
        } => Some((*measure, *side, *verdict == Verdict::Outside)),
        _ => None,
    });
    off.collect()
}

/// Stirred or built, equal parts of gin, red bitter and sweet vermouth are one drink, and a good one.
#[test]
fn one_word_of_method_decides_nothing() {
    let poured = "30 ml gin / 30 ml red bitter aperitif / 30 ml sweet red vermouth";
    let (stirred, built) = (
        one(&format!("{poured} / stir / strain")),
        one(&format!("{poured} / build")),
    );
    assert_ne!(stirred.evaluation.structure, built.evaluation.structure);
    for report in [&stirred, &built] {
        assert_eq!(family(report), Some(Family::BitterSweet));
        assert!(
            !off(report).iter().any(|(m, ..)| *m == BalanceFigure::Sweetness),
            "{:?}",
            off(report)
        );
    }
}

/// A sour with hardly any lime is a sour, and flat.
#[test]
fn a_fault_does_not_hide_itself() {
    let report = one("60 ml white rum / 5 ml lime juice / 22.5 ml simple syrup / shake / strain");
    assert_eq!(family(&report), Some(Family::Sour));
    assert!(
        off(&report).contains(&(BalanceFigure::Tartness, Side::Below, true)),
        "{:?}",
        off(&report)
    );
    let said = &report.evaluation.findings[0].to_string();
    assert!(said.starts_with("too flat for a sour: "), "{said}");
}

/// The acid of coffee or of wine makes no sour.
#[test]
fn acid_of_any_source_makes_no_sour() {
    let espresso = one("50 ml vodka / 30 ml coffee liqueur / 90 ml espresso / shake / strain");
    assert_eq!(family(&espresso), Some(Family::Coffee));
    let cobbler = one("120 ml amontillado sherry / 15 ml simple syrup / shake / strain / over crushed ice");
    assert_eq!(family(&cobbler), Some(Family::CrushedIce));
}

/// Most published sours with foam are not flagged, and a blended drink with 150 ml of syrup is too sweet.
#[test]
fn bands_do_not_contradict_each_other() {
    let report = one("60 ml white rum / 22.5 ml lime juice / 150 ml simple syrup / blend");
    assert_eq!(family(&report), Some(Family::Frozen));
    assert!(
        off(&report).contains(&(BalanceFigure::Sweetness, Side::Above, true)),
        "{:?}",
        off(&report)
    );
    let foam = record_of(Some(Family::SourWithFoam), Convention::Handbook).unwrap();
    assert!(foam.off * 10 <= foam.good * 4, "{foam:?}");
}

/// Made of sherry, vermouth and wine a drink is not weak.
#[test]
fn a_whole_family_is_not_called_weak() {
    for poured in [
        "45 ml dry fino sherry / 45 ml dry vermouth / 1 dash orange bitters / stir / strain",
        "45 ml dry fino sherry / 45 ml sweet red vermouth / 2 dashes orange bitters / stir / strain",
        "60 ml dry vermouth / 30 ml honeyed herbal liqueur / 3 dashes absinthe / stir / strain",
    ] {
        let report = one(poured);
        assert_eq!(family(&report), Some(Family::LowStrength), "{poured}");
        assert!(
            !off(&report).iter().any(|(m, ..)| *m == BalanceFigure::Strength),
            "{poured}: {:?}",
            off(&report)
        );
    }
}

/// Without alcohol there is no verdict, but relatives and percentiles of sugar and acid.
#[test]
fn without_alcohol_there_are_relatives_and_no_verdict() {
    let report = one("30 ml lime juice / 30 ml simple syrup / build / top 150 ml soda water");
    let placed = report.evaluation.placed.as_ref().unwrap();
    assert_eq!(placed.family, Family::ZeroProof);
    assert_eq!(report.evaluation.verdicts, [Verdict::NoBand; 3]);
    assert_eq!(placed.nearest.len(), 3);
    assert!(
        placed.percentiles[0].is_none() && placed.percentiles[1].is_some() && placed.percentiles[2].is_some()
    );
}

/// A drink sweetened without sugar is not dry, and what is said of it is said of sweetness as sucrose.
#[test]
fn sweetened_without_sugar_is_not_dry() {
    for sweetener in [
        "22.5 ml sugar-free syrup",
        "18 g erythritol",
        "14 g xylitol",
        "18 g allulose",
    ] {
        let report = one(&format!(
            "60 ml white rum / 22.5 ml lime juice / {sweetener} / shake / strain"
        ));
        assert_eq!(family(&report), Some(Family::Sour), "{sweetener}");
        assert!(
            !off(&report).iter().any(|(m, ..)| *m == BalanceFigure::Sweetness),
            "{sweetener}: {:?}",
            off(&report)
        );
    }
    let sweet = one("60 ml white rum / 22.5 ml lime juice / 80 g erythritol / shake / strain");
    assert!(
        off(&sweet)
            .iter()
            .any(|(m, s, _)| (*m, *s) == (BalanceFigure::Sweetness, Side::Above)),
        "{:?}",
        off(&sweet)
    );
    let said = sweet
        .evaluation
        .findings
        .iter()
        .find(|f| matches!(f, Finding::OffBalance { .. }))
        .unwrap()
        .to_string();
    assert!(said.contains("as sucrose"), "{said}");
}

/// Of what no ice has touched too few are published to say anything.
#[test]
fn what_too_few_are_like_is_not_judged() {
    let report = one("60 ml cognac / 5 ml simple syrup / neat");
    assert_eq!(family(&report), Some(Family::Neat));
    assert_eq!(report.evaluation.verdicts, [Verdict::NoBand; 3]);
}

/// A serve half or double the size is the same drink.
#[test]
fn the_size_of_a_serve_decides_nothing() {
    for (rum, lime, syrup) in [(60.0, 22.5, 22.5), (30.0, 11.25, 11.25), (180.0, 67.5, 67.5)] {
        let report = one(&format!(
            "{rum} ml white rum / {lime} ml lime juice / {syrup} ml simple syrup / shake / strain"
        ));
        assert_eq!(off(&report), [], "{rum}");
    }
}

/// What the bartender hears is a word of the bar.
#[test]
fn words_of_the_bar() {
    let mut heard: Vec<String> = Vec::new();
    for poured in [
        "60 ml white rum / 22.5 ml lime juice / 60 ml simple syrup / shake / strain",
        "60 ml white rum / 22.5 ml lime juice / 3 ml simple syrup / shake / strain",
        "60 ml white rum / 60 ml lime juice / 22.5 ml simple syrup / shake / strain",
        "60 ml white rum / 4 ml lime juice / 22.5 ml simple syrup / shake / strain",
        "20 ml white rum / 22.5 ml lime juice / 22.5 ml simple syrup / shake / strain",
        "105 ml white rum / 22.5 ml lime juice / 22.5 ml simple syrup / shake / strain",
    ] {
        let report = one(poured);
        let first = report
            .evaluation
            .findings
            .iter()
            .find(|f| matches!(f, Finding::OffBalance { .. }));
        let said = first.map(ToString::to_string).unwrap_or_default();
        heard.push(said.split(" for ").next().unwrap_or_default().to_owned());
    }
    assert_eq!(
        heard,
        [
            "too sweet",
            "too dry",
            "too tart",
            "too flat",
            "too thin",
            "too hot"
        ]
    );
}

/// The house may know better than the rules; what they would say is told beside it. No name makes alcohol of none.
#[test]
fn a_family_can_be_named() {
    let poured = "- 60 ml gin\n- 30 ml lime cordial\n- stir\n- strain";
    let by_rule = judged(&format!("# T\n\n## Gimlet\n\n{poured}\n")).remove(0);
    let named = judged(&format!("# T\n\n## Gimlet\nfamily: Sour\n\n{poured}\n")).remove(0);
    assert_eq!(family(&by_rule), Some(Family::SpiritForward));
    assert_eq!(family(&named), Some(Family::Sour));
    let placed = named.evaluation.placed.as_ref().unwrap();
    assert_eq!(placed.near, Some(Family::SpiritForward));
    assert!(placed.compared_with.contains(&Family::Sour));
    let without =
        judged("# T\n\n## Soda\nfamily: sour\n\n- 30 ml lime juice\n- build\n- top 100 ml soda water\n");
    let placed = without[0].evaluation.placed.as_ref().unwrap();
    assert_eq!(
        (placed.family, placed.near),
        (Family::ZeroProof, Some(Family::Sour))
    );
    assert_eq!(without[0].evaluation.verdicts, [Verdict::NoBand; 3]);
    let told = check("# T\n\n## Gimlet\nfamily: sower\n\n- 60 ml gin\n- stir\n").unwrap_err();
    assert_eq!(told.0.len(), 1);
    assert!(
        told.0[0].message.contains("`sower` is no family")
            && told.0[0].suggestions.contains(&"sour".to_owned()),
        "{told}"
    );
}

/// Hot water that loosens honey makes no hot drink, and juice on crushed ice no long one.
#[test]
fn a_little_of_something_decides_nothing() {
    let highball = one(
        "45 ml blended Scotch whisky / 12 g honey / 10 g hot water / 20 ml lemon juice / stir / over ice / top 90 ml soda water",
    );
    assert_eq!(family(&highball), Some(Family::Fizz));
    let punch = one(
        "40 ml white rum / 30 ml pineapple juice / 20 ml lime juice / 15 ml cinnamon syrup / 10 ml water / build / over crushed ice",
    );
    assert_eq!(family(&punch), Some(Family::CrushedIce));
    let toddy = one("50 ml Irish whiskey / 10 ml honey / 15 ml lemon juice / 120 ml hot water / build");
    assert_eq!(family(&toddy), Some(Family::Hot));
}

/// Sugar and polyols sweeten in proportion, strong sweeteners less and less (Rm from memory, its form READ in an abstract).
#[test]
fn strong_sweeteners_level_off() {
    let sweetness = |component: Component, grams: f64| {
        let liquid = Liquid::of(&[(component, grams), (Component::Water, 100.0)]).unwrap();
        100.0 * liquid.sweetening_g() / liquid.volume_ml()
    };
    for (component, factor, most) in [
        (Component::Sucralose, 600.0, 14.7),
        (Component::SteviolGlycosides, 300.0, 10.0),
    ] {
        let of = |linear: f64| sweetness(component, linear / factor);
        assert!((of(5.0) - 5.0).abs() < 0.05, "{}", of(5.0));
        assert!(of(1.0) > 1.0 && of(10.0) < 10.0);
        assert!((1..400).map(|i| of(f64::from(i))).is_sorted());
        assert!(of(1e5) < most && of(1e5) > 0.98 * most);
    }
    let erythritol = |grams| sweetness(Component::Erythritol, grams);
    assert!((erythritol(10.0) / erythritol(5.0) - 2.0).abs() < 0.1);
    // Twice the drops are not twice as sweet, and no drink is sweeter than they can make it.
    let drops = |ml: f64| {
        let report = one(&format!(
            "60 ml white rum / 22.5 ml lime juice / {ml} ml stevia drops / shake / strain"
        ));
        report.evaluation.placed.unwrap().percentiles[1].unwrap()
    };
    assert!(drops(0.5) < drops(1.0) && drops(4.0) <= drops(8.0));
}

/// Where the handbook and the published drinks do not meet at all, it is said.
#[test]
fn two_voices_that_do_not_meet_are_told_apart() {
    let span = |low, high| washline_core::balance::Span {
        low,
        high,
        decimals: 2,
        count: None,
        source: String::new(),
        status: String::new(),
        own: false,
    };
    assert!(span(0.49, 0.68).meets(0.68, 1.0) && span(0.49, 0.68).meets(0.1, 0.49));
    assert!(span(0.49, 0.68).meets(0.683, 1.0) && !span(0.49, 0.68).meets(0.87, 1.14));
    assert!(!span(0.49, 0.68).meets(0.1, 0.3) && span(0.49, 0.68).meets(0.5, 0.6));
    let finding = |apart| Finding::OffBalance {
        measure: BalanceFigure::Tartness,
        side: Side::Above,
        value: 1.4,
        structure: washline_core::balance::Structure::ShakenEggWhite,
        family: Some(Family::SourWithFoam),
        verdict: Verdict::Outside,
        usual: Some("0.49 to 0.68".to_owned()),
        usual_by: Some("the handbook".to_owned()),
        seen: Some("0.87 to 1.14 in 20 drinks".to_owned()),
        beside: false,
        as_sucrose: false,
        apart,
    };
    assert!(
        finding(true)
            .to_string()
            .ends_with("the handbook 0.49 to 0.68 (the two do not meet)")
    );
    assert!(finding(false).to_string().ends_with("the handbook 0.49 to 0.68"));
}

// The published drinks

/// The rules say what the hand says of nine drinks in ten; of the others most are near to it.
#[test]
fn families_by_rule_are_families_by_hand() {
    let rows = figures(Convention::Handbook);
    let mut otherwise: Vec<String> = Vec::new();
    for (row, given) in rows.iter().filter_map(|r| {
        let given = given().iter().find(|g| g.book == r.book && g.drink == r.drink)?;
        Some((r, given))
    }) {
        if row.family != given.family {
            otherwise.push(format!(
                "{}: {} by rule, {} by hand",
                row.drink, row.family, given.family
            ));
        }
    }
    assert!(
        otherwise.len() * 10 <= rows.len(),
        "{} of {}:\n{}",
        otherwise.len(),
        rows.len(),
        otherwise.join("\n")
    );
}

/// No drink of an early book stands behind a family, and no drink without alcohol.
#[test]
fn early_books_stand_behind_no_family() {
    for row in figures(Convention::Handbook).iter().filter(|r| r.stands) {
        let given = given()
            .iter()
            .find(|g| g.book == row.book && g.drink == row.drink)
            .unwrap();
        assert!(
            given.era == Era::Modern && row.family != Family::ZeroProof,
            "{}",
            row.drink
        );
    }
}

#[test]
fn the_figures_of_the_published_drinks_are_what_they_come_to() {
    assert!(
        record::figure_table() == reference("published_figures.csv"),
        "washline ranges test --table figures > fixtures/reference/published_figures.csv"
    );
}

#[test]
fn the_record_is_what_it_comes_to() {
    assert!(
        record::record_table() == reference("verdict_record.csv"),
        "washline ranges test --table record > fixtures/reference/verdict_record.csv"
    );
}

/// Each published drink judged by the others.
type Kept = (Vec<(Family, Record)>, Record);

static RECORDS: LazyLock<[Kept; 2]> = LazyLock::new(|| {
    [Convention::Handbook, Convention::Assay].map(|convention| {
        let corpus = record::corpus(convention);
        let drinks: Vec<Sample> = corpus
            .iter()
            .map(|(_, s)| s)
            .filter(|s| s.stands())
            .cloned()
            .collect();
        record::record(&drinks, &corpus)
    })
});

fn pct(rate: Rate) -> f64 {
    rate.pct().unwrap()
}

/// On drinks left out: outside at most as often as promised, the right word for three spoils in five, and silence rare.
#[test]
fn the_promised_rates_are_kept_on_drinks_left_out() {
    for (families, all) in RECORDS.iter() {
        assert!(pct(all.outside) <= OUTSIDE_PCT, "{:?}", all.outside);
        assert!(pct(all.off) <= 30.0, "{:?}", all.off);
        assert!(pct(all.right) >= 60.0, "{:?}", all.right);
        assert!(pct(all.silent) <= 5.0, "{:?}", all.silent);
        for (family, record) in families.iter().filter(|(_, r)| r.off.of >= 20) {
            // No family is flagged more often than promised by more than chance allows.
            let (low, _) = record.outside.interval_pct().unwrap();
            assert!(low <= OUTSIDE_PCT, "{family}: {:?}", record.outside);
        }
        let auc = |wanted: Family| {
            families
                .iter()
                .find(|(f, _)| *f == wanted)
                .unwrap()
                .1
                .auc
                .unwrap()
        };
        assert!(auc(Family::Sour) >= 0.81, "{}", auc(Family::Sour));
        assert!(
            auc(Family::SpiritForward) >= 0.79,
            "{}",
            auc(Family::SpiritForward)
        );
        assert!(auc(Family::Fizz) >= 0.72 && auc(Family::Long) >= 0.72);
    }
}
