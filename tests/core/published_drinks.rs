//! Whole drinks against worked and printed figures, through books and the house database.

use serde::Deserialize;
use washline_core::balance::{Figures, Finding, Measured, Ranges, Severity, Side, Structure, Verdict};
use washline_core::liquid::{Component, Liquid};
use washline_core::measure::{Amount, Measures, Unit};
use washline_core::spec::Source;
use washline_core::store::{DrinkReport, House};

use crate::published_liquids::{none_missed, table};

/// Everything a house knows of the drinks of a book that has no fault.
fn reports(source: &Source) -> Vec<DrinkReport> {
    let mut house = House::in_memory().unwrap();
    if let Err(faults) = house.add(source, "").unwrap() {
        panic!("{}: {faults:#?}", source.file);
    }
    house.reports().unwrap()
}

#[test]
fn dump() {
    for r in reports(&crate::book("worked.md")) {
        let row = table::<Worked>("worked_drinks.csv").into_iter().find(|w| w.drink == r.name).unwrap();
        let b = &r.evaluation.before;
        let f = &r.evaluation.figures;
        let v = |x: washline_core::balance::Figure| x.value.unwrap_or(f64::NAN);
        println!("{:45} {:?}", r.name, r.evaluation.structure.unwrap().name());
        println!("   ml {:.2}-{} abv {:.3}-{} s {:.3}-{} a {:.3}-{}", v(b.volume_ml), row.before_ml, v(b.abv_pct), row.before_abv_pct, v(b.sugar_g_per_100ml), row.before_sugar_g_per_100ml, v(b.acid_g_per_100ml), row.before_acid_g_per_100ml);
        println!("   d {:.3}-{} ml {:.2}-{} abv {:.3}-{} s {:.3}-{} a {:.3}-{}", v(f.water_pct_of_mix), row.water_pct_of_mix, v(f.volume_ml), row.glass_ml, v(f.abv_pct), row.glass_abv_pct, v(f.sugar_g_per_100ml), row.glass_sugar_g_per_100ml, v(f.acid_g_per_100ml), row.glass_acid_g_per_100ml);
        println!("   printed {} {:?} {:?} {:?}", row.printed_ml_low.unwrap_or(0.0), row.printed_abv_pct, row.printed_sugar_g_per_100ml, row.printed_acid_g_per_100ml);
        println!("   {:?} | {} {} {}", r.evaluation.verdicts, row.strength_in_range, row.sweetness_in_range, row.tartness_in_range);
    }
}

#[derive(Deserialize)]
struct Worked {
    drink: String,
    structure: String,
    before_ml: f64,
    before_abv_pct: f64,
    before_sugar_g_per_100ml: f64,
    before_acid_g_per_100ml: f64,
    water_pct_of_mix: f64,
    glass_ml: f64,
    glass_abv_pct: f64,
    glass_sugar_g_per_100ml: f64,
    glass_acid_g_per_100ml: f64,
    strength_in_range: String,
    sweetness_in_range: String,
    tartness_in_range: String,
    printed_ml_low: Option<f64>,
    printed_ml_high: Option<f64>,
    printed_abv_pct: Option<f64>,
    printed_sugar_g_per_100ml: Option<f64>,
    printed_acid_g_per_100ml: Option<f64>,
    printed_status: String,
    note: String,
}
