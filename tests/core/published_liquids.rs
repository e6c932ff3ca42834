//! Densities, strengths, volumes, measures, acids and energy against published figures.
//!
//! Every figure stands in a table of `fixtures/reference/` with its source and status. READ was seen
//! in the source, COMPUTED is arithmetic from such figures, MEMORY is recalled: a check against it
//! proves that nothing has moved, not that it is right.

use serde::Deserialize;
use serde::de::DeserializeOwned;
use washline_core::balance::StandardDrink;
use washline_core::liquid::alcoholometry::{
    ETHANOL_KG_PER_M3, density_20c_kg_per_m3, density_kg_per_m3, mass_fraction_from_density,
    mass_fraction_from_strength, strength_pct_vol,
};
use washline_core::liquid::{Component, Family, Liquid, TABLE, sucrose};
use washline_core::measure::{Amount, Measures, Ounce, Unit};
use washline_core::spec::Settings;

/// The rows of a table of `fixtures/reference/`.
pub fn table<T: DeserializeOwned>(name: &str) -> Vec<T> {
    let text = crate::reference(name);
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap_or_else(|error| panic!("{name}: {error}")))
        .collect()
}

/// Half a unit of the last digit that a figure is printed with.
pub fn half_a_digit(printed: &str) -> f64 {
    let decimals = printed.split_once('.').map_or(0, |(_, part)| part.len());
    0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap())
}

/// Fails with every line at once.
pub fn none_missed(missed: &[String]) {
    assert!(
        missed.is_empty(),
        "{} figures are off:\n{}",
        missed.len(),
        missed.join("\n")
    );
}

fn near(missed: &mut Vec<String>, what: &str, got: f64, expected: f64, tolerance: f64) {
    let off = (got - expected).abs();
    if off.is_nan() || off > tolerance {
        missed.push(format!("{what}: {got}, expected {expected} within {tolerance}"));
    }
}

fn number(text: &str) -> f64 {
    text.trim()
        .parse()
        .unwrap_or_else(|_| panic!("`{text}` is not a number"))
}

/// The tables of these tests, with how many rows each has: a row lost is a check lost.
const TABLES: [(&str, usize); 11] = [
    ("oiml_checks.csv", 53),
    ("sucrose_densities.csv", 42),
    ("sucrose_table.csv", 81),
    ("ternary_densities.csv", 89),
    ("mixing_volumes.csv", 12),
    ("unit_sizes.csv", 19),
    ("standard_drink_volumes.csv", 25),
    ("acid_equivalents.csv", 12),
    ("energy_factors.csv", 25),
    ("worked_drinks.csv", 27),
    ("practitioner_cases.csv", 28),
];

#[test]
fn every_row_has_its_source_and_status() {
    for (name, count) in TABLES {
        let text = crate::reference(name);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let headers = reader.headers().unwrap().clone();
        let column = |wanted: &str| {
            headers
                .iter()
                .position(|h| h == wanted)
                .unwrap_or_else(|| panic!("{name} has no {wanted}"))
        };
        let (source, locator, status) = (column("source"), column("locator"), column("status"));
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows.len(), count, "{name}");
        for row in &rows {
            assert!(
                !row[source].is_empty() && !row[locator].is_empty(),
                "{name}: {row:?}"
            );
            let known = ["READ", "COMPUTED", "MEMORY", "common practice, no source"];
            assert!(
                known.iter().any(|k| row[status].starts_with(k)),
                "{name}: {row:?}"
            );
        }
    }
}

// Ethanol and water

#[derive(Deserialize)]
struct Alcoholometric {
    kind: String,
    temperature_c: f64,
    input: String,
    published: String,
    tolerance: f64,
    why_tolerance: String,
    known_difference: Option<f64>,
    source: String,
    status: String,
    note: String,
}

impl Alcoholometric {
    fn name(&self) -> String {
        format!(
            "{} of {} at {} °C ({}, {})",
            self.kind, self.input, self.temperature_c, self.source, self.status
        )
    }

    /// What this library makes of the row.
    fn ours(&self) -> f64 {
        let t = self.temperature_c;
        let pure = density_kg_per_m3(1.0, t);
        // Strength at the temperature of the table itself: US tables count at 60 °F, not at 20 °C.
        let strength_here = |p: f64| 100.0 * p * density_kg_per_m3(p, t) / pure;
        let fraction_here = |strength: f64| bisect(|p| strength_here(p) - strength);
        match self.kind.as_str() {
            "density from mass fraction" => density_kg_per_m3(number(&self.input) / 100.0, t),
            "density from strength" => {
                density_kg_per_m3(mass_fraction_from_strength(number(&self.input)).unwrap(), t)
            }
            "mass fraction from density" => {
                100.0 * mass_fraction_from_density(number(&self.input), t).unwrap()
            }
            "mass fraction from strength at 60 °F" => 100.0 * fraction_here(number(&self.input)),
            "strength at 60 °F from mass fraction" => strength_here(number(&self.input) / 100.0),
            "water in 100 volumes at 60 °F" => {
                let strength = number(&self.input);
                let mixture = 100.0 * density_kg_per_m3(fraction_here(strength), t);
                (mixture - strength * pure) / density_kg_per_m3(0.0, t)
            }
            "gallons a pound in air at 60 °F" => {
                const AIR: f64 = 1.2;
                const WATER_LB_PER_GALLON: f64 = 8.328_23;
                let spirit = density_kg_per_m3(fraction_here(number(&self.input)), t);
                (density_kg_per_m3(0.0, t) - AIR) / (WATER_LB_PER_GALLON * (spirit - AIR))
            }
            "volume of a mixture" => poured(&self.input).volume_ml(),
            "strength of a mixture" => poured(&self.input).abv_pct().unwrap(),
            other => panic!("no check for `{other}`"),
        }
    }
}

fn bisect(f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    0.5 * (low + high)
}

/// Pours written as `60 of 40 %`, `30 of 16 % with 150 g/L sugar`, `22.5 of 50 °Bx`, joined by `+`.
fn poured(text: &str) -> Liquid {
    text.split(" + ").fold(Liquid::NOTHING, |mix, pour| {
        let (ml, what) = pour.split_once(" of ").unwrap();
        let (first, with) = what.split_once(" with ").unwrap_or((what, ""));
        let liquid = if let Some(brix) = first.strip_suffix(" °Bx") {
            Liquid::hundred_grams(&[(Component::Sucrose, number(brix))]).unwrap()
        } else {
            let parts: Vec<(Component, f64)> = with
                .split(" and ")
                .filter(|part| !part.is_empty())
                .map(|part| {
                    let (grams, of) = part.split_once(" g/L ").unwrap();
                    let component = match of {
                        "sugar" => Component::Sucrose,
                        "acid" => Component::Citric,
                        other => panic!("`{other}`"),
                    };
                    (component, number(grams))
                })
                .collect();
            Liquid::litre(number(first.strip_suffix('%').unwrap()), &parts).unwrap()
        };
        mix.plus(&liquid.of_volume(number(ml)).unwrap())
    })
}

#[test]
fn ethanol_and_water_as_published() {
    let mut missed = Vec::new();
    for row in table::<Alcoholometric>("oiml_checks.csv") {
        assert!(!row.why_tolerance.is_empty(), "{}", row.name());
        if row.known_difference.is_none() {
            near(
                &mut missed,
                &row.name(),
                row.ours(),
                number(&row.published),
                row.tolerance,
            );
        }
    }
    none_missed(&missed);
}

/// Two rows of a handbook's table lie further off than the rest of it. They are kept, with the
/// difference and the reason: were the difference to change, this fails.
#[test]
fn two_rows_that_differ_go_on_differing() {
    let rows: Vec<Alcoholometric> = table("oiml_checks.csv");
    let differing: Vec<&Alcoholometric> = rows.iter().filter(|r| r.known_difference.is_some()).collect();
    assert_eq!(differing.len(), 2);
    for row in differing {
        let difference = row.ours() - number(&row.published);
        assert!(
            difference.abs() > row.tolerance,
            "{} no longer differs",
            row.name()
        );
        assert!(
            (difference - row.known_difference.unwrap()).abs() < 0.001,
            "{}: {difference}",
            row.name()
        );
        assert!(!row.note.is_empty());
    }
}

/// From density back to strength: over the whole range to 1e-6 % vol; against the published table to
/// 0.002 % vol beyond what the rounding of its densities to 0.01 kg/m³ leaves open (0.001 to 0.005 % vol).
#[test]
fn strength_from_density() {
    let mut missed = Vec::new();
    for tenth in 0..=1000 {
        let strength = f64::from(tenth) / 10.0;
        let p = mass_fraction_from_strength(strength).unwrap();
        for t in [10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0] {
            let back = mass_fraction_from_density(density_kg_per_m3(p, t), t).unwrap();
            near(
                &mut missed,
                &format!("{strength} % vol at {t} °C"),
                strength_pct_vol(back),
                strength_pct_vol(p),
                1e-6,
            );
        }
        near(
            &mut missed,
            "general and short formula",
            density_kg_per_m3(p, 20.0),
            density_20c_kg_per_m3(p),
            1e-9,
        );
    }
    let mut against_table = 0;
    for row in table::<Alcoholometric>("oiml_checks.csv")
        .iter()
        .filter(|r| r.kind == "density from strength")
    {
        let strength = number(&row.input);
        let back =
            strength_pct_vol(mass_fraction_from_density(number(&row.published), row.temperature_c).unwrap());
        let at = |q: f64| density_20c_kg_per_m3(mass_fraction_from_strength(q).unwrap());
        let kg_per_pct = at(strength - 0.5) - at((strength + 0.5).min(100.0));
        near(
            &mut missed,
            &row.name(),
            back,
            strength,
            0.002 + half_a_digit(&row.published) / kg_per_pct,
        );
        against_table += 1;
    }
    assert_eq!(against_table, 11);
    none_missed(&missed);
    for out in [998.3, 789.2, f64::NAN, f64::INFINITY, -1.0] {
        assert_eq!(mass_fraction_from_density(out, 20.0), None, "{out}");
    }
    for out in [-0.1, 100.1, f64::NAN] {
        assert_eq!(mass_fraction_from_strength(out), None, "{out}");
    }
}

// Sugar

#[derive(Deserialize)]
struct SucroseDensity {
    temperature_c: f64,
    brix: f64,
    published_kg_per_m3: f64,
    tolerance: f64,
    why_tolerance: String,
    source: String,
    status: String,
}

#[test]
fn sucrose_as_published() {
    let mut missed = Vec::new();
    for row in table::<SucroseDensity>("sucrose_densities.csv") {
        assert!(!row.why_tolerance.is_empty());
        assert!(row.brix > 60.0 || row.tolerance <= 0.25);
        let name = format!(
            "{} °Bx at {} °C ({}, {})",
            row.brix, row.temperature_c, row.source, row.status
        );
        let ours = sucrose::density_kg_per_m3(row.brix / 100.0, row.temperature_c);
        near(&mut missed, &name, ours, row.published_kg_per_m3, row.tolerance);
    }
    none_missed(&missed);
}

#[derive(Deserialize)]
struct SucroseRow {
    brix: f64,
    density_kg_per_m3: String,
    sugar_g_per_l: String,
    apparent_ml_per_g: String,
}

/// Against another implementation of the same equation, to the last digit it prints.
#[test]
fn sucrose_equation_as_another_computes_it() {
    let mut missed = Vec::new();
    for row in table::<SucroseRow>("sucrose_table.csv") {
        let w = row.brix / 100.0;
        let syrup = Liquid::hundred_grams(&[(Component::Sucrose, row.brix)]).unwrap();
        let mut check = |what: &str, got: f64, printed: &str| {
            near(
                &mut missed,
                &format!("{what} at {} °Bx", row.brix),
                got,
                number(printed),
                1.01 * half_a_digit(printed),
            );
        };
        check(
            "density",
            sucrose::density_kg_per_m3(w, 20.0),
            &row.density_kg_per_m3,
        );
        check("sugar", sucrose::sugar_g_per_l(row.brix), &row.sugar_g_per_l);
        check(
            "apparent volume",
            sucrose::apparent_ml_per_g(w),
            &row.apparent_ml_per_g,
        );
        // A syrup made by weighing comes to the same, by way of masses. The two equations' waters
        // differ by 0.002 kg/m³.
        let litre = syrup.of_volume(1000.0).unwrap();
        near(
            &mut missed,
            "density of a syrup",
            litre.mass_g(),
            number(&row.density_kg_per_m3),
            0.0075,
        );
        near(
            &mut missed,
            "sugar in a syrup",
            litre.sugar_g(),
            number(&row.sugar_g_per_l),
            0.0075,
        );
        near(
            &mut missed,
            "Brix of a syrup",
            litre.brix().unwrap(),
            row.brix,
            1e-9,
        );
        near(
            &mut missed,
            "Brix from density",
            sucrose::brix_from_density(sucrose::density_kg_per_m3(w, 20.0)).unwrap(),
            row.brix,
            1e-6,
        );
    }
    none_missed(&missed);
}

// Sugar, ethanol and water together

#[derive(Deserialize)]
struct Ternary {
    sucrose_mass_fraction: f64,
    ethanol_mass_fraction: f64,
    strength_pct_vol: f64,
    sugar_g_per_l: f64,
    model_kg_per_m3: f64,
    tabarie_kg_per_m3: f64,
}

/// No measured table was found. The model is checked against another computation of it, to 0.02
/// kg/m³, and its distance to the rule of Tabarié is the bound on what it may be wrong by: 0.03 % for
/// what is in a glass (27 % vol and 160 g/L at most), 0.06 % to 33 % vol and 160 g/L, 0.81 % anywhere.
#[test]
fn ternary_density_and_its_bound() {
    let mut missed = Vec::new();
    let (mut worst_glass, mut worst) = (0.0_f64, 0.0_f64);
    for row in table::<Ternary>("ternary_densities.csv") {
        let name = format!(
            "{} sucrose, {} ethanol",
            row.sucrose_mass_fraction, row.ethanol_mass_fraction
        );
        let liquid = Liquid::hundred_grams(&[
            (Component::Sucrose, 100.0 * row.sucrose_mass_fraction),
            (Component::Ethanol, 100.0 * row.ethanol_mass_fraction),
        ])
        .unwrap();
        let density = 1000.0 * liquid.density_g_per_ml().unwrap();
        near(&mut missed, &name, density, row.model_kg_per_m3, 0.02);
        near(
            &mut missed,
            &format!("{name}: strength"),
            liquid.abv_pct().unwrap(),
            row.strength_pct_vol,
            0.006,
        );
        near(
            &mut missed,
            &format!("{name}: sugar"),
            10.0 * liquid.sugar_g_per_100ml().unwrap(),
            row.sugar_g_per_l,
            0.06,
        );
        let (strength, sugar) = (row.strength_pct_vol, row.sugar_g_per_l);
        let bound = match () {
            () if strength <= 27.0 && sugar <= 160.0 => 0.000_3,
            () if strength <= 33.0 && sugar <= 160.0 => 0.000_6,
            () => 0.008_1,
        };
        let off = (density - row.tabarie_kg_per_m3).abs() / density;
        if off > bound {
            missed.push(format!("{name}: {off} from Tabarié's rule, bound {bound}"));
        }
        worst = worst.max(off);
        if bound < 0.000_5 {
            worst_glass = worst_glass.max(off);
        }
    }
    none_missed(&missed);
    // The bounds are as tight as they can be stated.
    assert!(worst > 0.008 && worst_glass > 0.000_25, "{worst} {worst_glass}");
}

#[derive(Deserialize)]
struct Mixed {
    case: String,
    pours_ml: String,
    sum_of_volumes_ml: f64,
    volume_ml: String,
    strength_pct_vol: String,
    sugar_g: String,
    sugar_g_per_l: String,
    tabarie_minus_volume_ml: f64,
}

/// What "volumes add" is wrong by, as another computation has it, to its last digit. The two water
/// densities (OIML R 22, sucrose equation) differ by 1.9e-6, which counts in a batch of 1.6 L.
#[test]
fn volumes_do_not_add() {
    let mut missed = Vec::new();
    for row in table::<Mixed>("mixing_volumes.csv") {
        let mix = poured(&row.pours_ml);
        let poured_ml: f64 = row
            .pours_ml
            .split(" + ")
            .map(|p| number(p.split_once(" of ").unwrap().0))
            .sum();
        near(
            &mut missed,
            &format!("{}: what is poured", row.case),
            poured_ml,
            row.sum_of_volumes_ml,
            1e-9,
        );
        let mut check = |what: &str, got: f64, printed: &str| {
            near(
                &mut missed,
                &format!("{}: {what}", row.case),
                got,
                number(printed),
                half_a_digit(printed) + 2e-6 * got,
            );
        };
        check("volume", mix.volume_ml(), &row.volume_ml);
        check("strength", mix.abv_pct().unwrap(), &row.strength_pct_vol);
        check("sugar", mix.sugar_g(), &row.sugar_g);
        check(
            "sugar a litre",
            10.0 * mix.sugar_g_per_100ml().unwrap(),
            &row.sugar_g_per_l,
        );
        // Tabarié's rule bounds the volume: 0.03 ml in a serve, 0.83 % of a liqueur.
        let bound = if row.case == "liqueur" {
            0.0083 * mix.volume_ml()
        } else {
            0.031
        };
        near(
            &mut missed,
            &format!("{}: bound", row.case),
            row.tabarie_minus_volume_ml,
            0.0,
            bound,
        );
    }
    none_missed(&missed);
}

// Measures

#[derive(Deserialize)]
struct UnitSize {
    name: String,
    ml: String,
    ounce: String,
    count: String,
    unit: String,
    setting: String,
}

/// A decimal of any length, exact.
fn exact(text: &str) -> Amount {
    let (whole, part) = text.split_once('.').unwrap_or((text, ""));
    let scale = 10_i128.pow(u32::try_from(part.len()).unwrap());
    Amount::ratio(format!("{whole}{part}").parse().unwrap(), scale).unwrap()
}

#[test]
fn units_are_exact() {
    for row in table::<UnitSize>("unit_sizes.csv") {
        let mut settings = Settings {
            ounce: Ounce::named(&row.ounce),
            ..Settings::default()
        };
        assert!(settings.ounce.is_some(), "{}", row.name);
        if let Some((key, value)) = row.setting.split_once(": ") {
            assert!(settings.set(key, value).unwrap().is_some(), "{}", row.name);
        }
        let size = settings
            .to_measures()
            .size(Unit::spelt(&row.unit).unwrap())
            .unwrap();
        let count: Amount = row.count.parse().unwrap();
        assert_eq!(count * size.nominal, exact(&row.ml), "{}", row.name);
        assert_eq!(
            (size.low, size.high),
            (size.nominal, size.nominal),
            "{} is exact",
            row.name
        );
    }
    // From the definitions themselves: 231 cubic inches of 25.4 mm; 4.54609 L.
    let inch = Amount::ratio(254, 100).unwrap();
    let gallon = Amount::ratio(231, 128).unwrap() * inch * inch * inch;
    assert_eq!(Ounce::Us.ml(), gallon);
    assert_eq!(Ounce::Uk.ml(), Amount::ratio(4_546_090, 160_000).unwrap());
    assert_eq!(Measures::default().ounce, Ounce::Us);
}

// Standard drinks

#[derive(Deserialize)]
struct StandardDrinkVolume {
    country: String,
    ethanol_g: f64,
    ethanol_ml: String,
    status: String,
}

/// Grams and millilitres of ethanol of one standard drink belong together, country by country. The
/// volumes are rounded as printed; one of 17.05 is from memory and 0.01 high for its grams.
#[test]
fn standard_drinks_by_mass_and_by_volume() {
    let mut missed = Vec::new();
    let rows: Vec<StandardDrinkVolume> = table("standard_drink_volumes.csv");
    for row in &rows {
        let drink =
            StandardDrink::of_country(&row.country).unwrap_or_else(|| panic!("no row for {}", row.country));
        let name = format!("{} ({})", row.country, row.status);
        near(&mut missed, &name, drink.ethanol_g, row.ethanol_g, 1e-12);
        let tolerance_ml = half_a_digit(&row.ethanol_ml) + if row.country == "Canada" { 0.005 } else { 0.0 };
        let one = number(&row.ethanol_ml) * ETHANOL_KG_PER_M3 / 1000.0;
        near(
            &mut missed,
            &name,
            drink.count(one),
            1.0,
            tolerance_ml / number(&row.ethanol_ml),
        );
        near(
            &mut missed,
            &format!("{name}, twelve of them"),
            drink.count(12.0 * one),
            12.0 * drink.count(one),
            1e-9,
        );
    }
    none_missed(&missed);
    assert_eq!(
        StandardDrink::all().count(),
        rows.len(),
        "every country is checked"
    );
    // A UK unit is 10 ml, of which 8 g is the rounding: 25 ml of 40 % is one unit.
    let measure = Liquid::from_strength(40.0).unwrap().of_volume(25.0).unwrap();
    let units = StandardDrink::of_country("UK")
        .unwrap()
        .count(measure.ethanol_g());
    assert!((units - 1.0).abs() < 1e-9, "{units}");
}

// Acids and energy

#[derive(Deserialize)]
struct AcidEquivalent {
    kind: String,
    component: String,
    molar_mass: Option<f64>,
    protons: Option<f64>,
    value: f64,
    tolerance: f64,
    source: String,
}

#[test]
fn acids_as_citric() {
    const CITRIC_EQUIVALENT: f64 = 192.123 / 3.0;
    let mut missed = Vec::new();
    let mut seen = Vec::new();
    for row in table::<AcidEquivalent>("acid_equivalents.csv") {
        let component = Component::named(&row.component).unwrap();
        let as_citric = component.facts().as_citric;
        let name = format!("{}: {} ({})", row.component, row.kind, row.source);
        match row.kind.as_str() {
            "citric acid for one of it" => {
                near(&mut missed, &name, as_citric, row.value, row.tolerance);
                // The figure itself follows from the molar masses beside it.
                let from_masses = CITRIC_EQUIVALENT * row.protons.unwrap() / row.molar_mass.unwrap();
                near(
                    &mut missed,
                    &format!("{name}: arithmetic"),
                    row.value,
                    from_masses,
                    row.tolerance,
                );
                seen.push(component);
            }
            // 10 ml of 1 M alkali, a tenth of the equivalent mass in mg: one ml of 0.1 M on 10 g, per 100 g.
            "grams for 10 ml of 1 M alkali, a tenth" => {
                near(
                    &mut missed,
                    &name,
                    CITRIC_EQUIVALENT / as_citric / 1000.0,
                    row.value,
                    row.tolerance,
                );
            }
            "grams for one of citric acid" => {
                near(&mut missed, &name, 1.0 / as_citric, row.value, row.tolerance)
            }
            other => panic!("no check for `{other}`"),
        }
        // What the table says is what a liquid titrates like.
        let litre = Liquid::litre(0.0, &[(component, 10.0)]).unwrap();
        near(
            &mut missed,
            &format!("{name}: a litre"),
            litre.acid_as_citric_g(),
            10.0 * as_citric,
            1e-12,
        );
    }
    none_missed(&missed);
    for facts in &TABLE {
        match facts.family {
            Family::Acid => {
                let checked =
                    seen.contains(&facts.component) || facts.component == Component::AcidUnspecifiedAsCitric;
                assert!(checked, "{} has no published equivalent here", facts.name);
            }
            _ => assert!(facts.as_citric.abs() < f64::EPSILON, "{} is no acid", facts.name),
        }
    }
    assert!((Component::AcidUnspecifiedAsCitric.facts().as_citric - 1.0).abs() < f64::EPSILON);
}

#[derive(Deserialize)]
struct EnergyFactor {
    component: String,
    kj_per_g: f64,
}

#[test]
fn energy_by_the_regulation() {
    let rows: Vec<EnergyFactor> = table("energy_factors.csv");
    let mut missed = Vec::new();
    for row in &rows {
        let component = Component::named(&row.component).unwrap();
        near(
            &mut missed,
            &row.component,
            component.facts().energy_kj_per_g,
            row.kj_per_g,
            1e-12,
        );
        let liquid = Liquid::of(&[(component, 7.0), (Component::Water, 93.0)]).unwrap();
        near(
            &mut missed,
            &format!("{} in water", row.component),
            liquid.energy_kj(),
            7.0 * row.kj_per_g,
            1e-9,
        );
    }
    none_missed(&missed);
    assert_eq!(rows.len(), Component::COUNT, "every component is checked");
}
