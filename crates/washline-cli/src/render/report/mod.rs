//! A list as one page to look at: what it says. Where marks and labels stand is worked out beside it; how it
//! looks is the template's.

mod labels;
mod picture;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use minijinja::value::Serde;
use minijinja::{Environment, context};
use rust_decimal::Decimal;
use serde::Serialize;
use serde_json::json;
use washline_core::balance::{
    self, Band, Figure, Finding, Measured, Severity, StandardDrink, Structure, Verdict,
};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Convention;
use washline_core::melt::MeltModel;
use washline_core::names::key;
use washline_core::service::cost::{CostFinding, Costing};
use washline_core::spec::Fault;

use self::picture::{LadderAxis, MOST_INTERVALS, Map, Room, Spot, Strip, mark_id, verdict_words};
use super::bands::mark;
use super::{count, plain};
use crate::error::CliError;
use crate::visible;

/// What a page is made of.
pub struct Content<'a> {
    /// The drinks, by book and place in it.
    pub reports: &'a [ComputedDrink],
    /// What each costs, where that is asked for.
    pub costings: Option<&'a [Costing]>,
    /// What could not be read or worked out.
    pub faults: &'a [Fault],
    /// The day it is for, where the caller says one.
    pub today: Option<&'a str>,
}

/// A figure of a drink with its picture.
#[derive(Serialize)]
struct MeasureRow {
    name: &'static str,
    unit: &'static str,
    value: String,
    interval: String,
    mark: char,
    words: &'static str,
    ranges: String,
    strip: Strip,
}

/// Words under a heading.
#[derive(Serialize)]
struct Item {
    word: &'static str,
    words: String,
}

#[derive(Serialize)]
struct FindingRow {
    mark: &'static str,
    grade: &'static str,
    words: String,
}

/// A figure in the list, with its mark.
#[derive(Serialize)]
struct Cell {
    value: String,
    mark: char,
    words: &'static str,
}

/// A drink on the page.
#[derive(Serialize)]
struct Drink {
    number: usize,
    name: String,
    structure: &'static str,
    standing: &'static str,
    cells: Vec<Cell>,
    volume: String,
    measures: Vec<MeasureRow>,
    findings: Vec<FindingRow>,
    items: Vec<Item>,
}

/// The drinks of one book.
#[derive(Serialize)]
struct Book {
    title: String,
    drinks: Vec<Drink>,
}

/// A rung of the ladder.
#[derive(Serialize)]
struct Rung {
    number: usize,
    name: String,
    value: String,
    interval: String,
    usual: String,
    words: &'static str,
    strip: Strip,
    volume: String,
    bar: String,
}

/// The map of the drinks of one convention, for a wide page and for a narrow one.
#[derive(Serialize)]
struct Maps {
    convention: &'static str,
    drinks: String,
    said: String,
    rooms: [Map; 2],
    intervals: bool,
}

/// Drinks of one standing.
#[derive(Serialize)]
struct Standing {
    words: &'static str,
    drinks: Vec<(usize, String)>,
}

#[derive(Serialize)]
struct Taken {
    about: String,
    taken: String,
    change: String,
    drinks: Vec<usize>,
}

#[derive(Serialize)]
struct CostRow {
    number: usize,
    name: String,
    cost: String,
    price: String,
    pour_cost: String,
    margin: String,
    missing: String,
}

/// A number with so many decimals and a true minus sign; a dash where there is none.
fn number(value: Option<f64>, decimals: usize) -> String {
    let Some(value) = value.filter(|v| v.is_finite()) else {
        return "–".to_owned();
    };
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

fn interval(figure: Figure, decimals: usize) -> Option<String> {
    let (low, high) = (figure.low?, figure.high?);
    Some(format!(
        "{} to {}",
        number(Some(low), decimals),
        number(Some(high), decimals)
    ))
}

/// `148 mL (140 to 156)`.
fn with_interval(figure: Figure, decimals: usize, unit: &str) -> String {
    let told = interval(figure, decimals).map_or_else(String::new, |i| format!(" ({i})"));
    format!("{} {unit}{told}", number(figure.value, decimals))
}

/// The bands to draw a measure in: none where there is no verdict.
fn band(report: &ComputedDrink, measure: Measured) -> Band {
    match report.evaluation.verdicts[measure as usize] {
        Verdict::NoBand => Band::default(),
        _ => report.bands()[measure as usize].clone(),
    }
}

/// `usual 5.0 to 8.9, seen 3.1 to 11.0`.
fn ranges(band: &Band) -> String {
    let usual = band.core.as_ref().map(|s| {
        let whose = if s.own { "usual here" } else { "usual" };
        format!("{whose} {}", s.printed())
    });
    let seen = band.outer.as_ref().map(|s| format!("seen {}", s.printed()));
    [usual, seen].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn standing(report: &ComputedDrink) -> &'static str {
    report.evaluation.standing().words()
}

fn measure_row(report: &ComputedDrink, measure: Measured) -> MeasureRow {
    let figure = report.evaluation.figures.measured(measure);
    let verdict = report.evaluation.verdicts[measure as usize];
    let band = band(report, measure);
    let decimals = usize::from(measure.decimals());
    MeasureRow {
        name: measure.name(),
        unit: measure.unit(),
        value: number(figure.value, decimals),
        interval: interval(figure, decimals).unwrap_or_default(),
        mark: mark(verdict),
        words: verdict_words(verdict),
        ranges: ranges(&band),
        strip: picture::strip(figure, &band, verdict),
    }
}

fn finding_row(finding: &Finding) -> FindingRow {
    let (mark, grade) = match finding.severity() {
        Severity::Fault => ("!!", "fault in the build"),
        Severity::Outside => ("!", "to mend"),
        Severity::Edge => ("~", "to look at"),
        Severity::Note => ("–", "to know"),
    };
    FindingRow {
        mark,
        grade,
        words: plain(&finding.to_string()),
    }
}

/// Inputs of the doubt shown a measure, and from which share of it.
const DOUBTS_SHOWN: usize = 2;
const LEAST_DOUBT_SHOWN: f64 = 0.1;

/// What the doubt about each measure is made of.
fn doubts(report: &ComputedDrink) -> String {
    let of = |measure: Measured| {
        let parts: Vec<String> = report
            .evaluation
            .budget
            .iter()
            .filter(|part| part.measure == measure && part.share >= LEAST_DOUBT_SHOWN)
            .take(DOUBTS_SHOWN)
            .map(|part| format!("{:.0} % {} ({})", 100.0 * part.share, part.input, part.settled_by))
            .collect();
        (!parts.is_empty()).then(|| format!("{}: {}", measure.name(), parts.join(", ")))
    };
    Measured::ALL
        .into_iter()
        .filter_map(of)
        .collect::<Vec<_>>()
        .join("; ")
}

fn in_the_glass(report: &ComputedDrink) -> String {
    let evaluation = &report.evaluation;
    let figures = &evaluation.figures;
    let mut words = with_interval(figures.volume_ml, 0, "mL");
    if figures.temperature_c.value.is_some() {
        let _ = write!(words, " at {} °C", number(figures.temperature_c.value, 0));
    }
    match &evaluation.glass {
        Some(glass) => {
            let _ = write!(
                words,
                ", {} % of the {} of {} mL",
                number(Some(glass.fill_pct), 0),
                glass.name,
                number(Some(glass.capacity_ml), 0)
            );
        }
        None => words.push_str(", glass not known"),
    }
    let model = match evaluation.melt_model {
        MeltModel::None => {
            words.push_str("; no ice melts into it");
            return words;
        }
        MeltModel::Given => "as the spec gives it",
        MeltModel::Weighed => "as weighed",
        MeltModel::House => "the house's own melt",
        MeltModel::HeatBalance => "melt by energy",
        MeltModel::Handbook => "handbook melt",
    };
    let _ = write!(
        words,
        "; {} mL of it is water from the ice ({model})",
        number(figures.water_gained_ml.value, 0)
    );
    words
}

fn alcohol(report: &ComputedDrink) -> String {
    let figures = &report.evaluation.figures;
    let mut words = with_interval(figures.ethanol_g, 1, "g");
    if let Some(standard) = StandardDrink::of_country(report.standard_drink()) {
        let _ = write!(
            words,
            ", {} {}",
            number(figures.standard_drinks.value, 1),
            standard.unit()
        );
    }
    words
}

/// A sum in the currency of the drink.
fn money(costing: &Costing, sum: Decimal) -> String {
    let code = costing.currency.map_or("", |c| c.code());
    format!("{} {code}", costing.rounded(sum)).trim_end().to_owned()
}

fn percent(value: Decimal) -> String {
    format!("{} %", washline_core::measure::rounded(value, 1))
}

/// What is not priced of a drink: `honey syrup, lemon zest (14 % of what is poured)`.
fn not_priced(costing: &Costing) -> String {
    let names: Vec<&str> = costing.unpriced().map(|(line, _)| line.name.as_str()).collect();
    if names.is_empty() {
        return String::new();
    }
    format!(
        "{} ({} % of what is poured)",
        names.join(", "),
        number(Some(costing.unpriced_pct), 0)
    )
}

fn cost_row(number: usize, costing: &Costing) -> CostRow {
    let (least, most) = if costing.is_complete() {
        ("", "")
    } else {
        ("at least ", "at most ")
    };
    let sale = costing.price.and_then(|price| costing.at(price, None));
    CostRow {
        number,
        name: plain(&costing.name),
        cost: if costing.has_any_price() {
            format!("{least}{}", money(costing, costing.cost.value))
        } else {
            "not priced".to_owned()
        },
        price: costing
            .price
            .map_or_else(|| "–".to_owned(), |p| money(costing, p)),
        pour_cost: sale.as_ref().map_or_else(
            || "–".to_owned(),
            |s| format!("{least}{}", percent(s.pour_cost_pct.value)),
        ),
        margin: sale.as_ref().map_or_else(
            || "–".to_owned(),
            |s| format!("{most}{}", money(costing, s.margin.value)),
        ),
        missing: plain(&not_priced(costing)),
    }
}

/// What a drink costs, in a sentence.
fn cost(costing: &Costing) -> String {
    if !costing.has_any_price() {
        return "not priced".to_owned();
    }
    let row = cost_row(0, costing);
    let (low, high) = (
        costing.rounded(costing.cost.low),
        costing.rounded(costing.cost.high),
    );
    let mut words = row.cost;
    if low != high {
        let _ = write!(words, " ({low} to {high})");
    }
    if row.pour_cost != "–" {
        let _ = write!(words, ", pour cost {}, margin {}", row.pour_cost, row.margin);
    }
    if !row.missing.is_empty() {
        let _ = write!(words, "; not priced: {}", row.missing);
    }
    let findings = costing.findings_at(costing.price, None);
    for finding in findings.iter().map(CostFinding::to_string) {
        let _ = write!(words, "; {finding}");
    }
    words
}

fn drink(number_: usize, report: &ComputedDrink, costing: Option<&Costing>) -> Drink {
    let evaluation = &report.evaluation;
    let figures = &evaluation.figures;
    let mut items = Vec::new();
    let mut say = |word, words: String| {
        if !words.is_empty() {
            items.push(Item {
                word,
                words: plain(&words),
            });
        }
    };
    say("In the glass", in_the_glass(report));
    say("Season", report.seasons().join(", "));
    say("Tags", report.tags().join(", "));
    say("Alcohol", alcohol(report));
    if figures.sugar_to_acid.value.is_some() {
        say("Sugar to acid", with_interval(figures.sugar_to_acid, 1, "to 1"));
    }
    let kcal = Some(report.built.glass.energy_kcal());
    say(
        "Energy",
        format!(
            "{} kJ, {} kcal",
            number(figures.energy_kj.value, 0),
            number(kcal, 0)
        ),
    );
    say("Doubt", doubts(report));
    let (eu, us) = (
        report.resolved.allergens_eu.sentence(),
        report.resolved.allergens_us.sentence(),
    );
    say(
        "Allergens",
        if eu == us {
            format!("EU list and US list: {eu}.")
        } else {
            format!("EU list: {eu}. US list: {us}.")
        },
    );
    if let Some(price) = &report.drink.price {
        let code = price.currency.as_deref().unwrap_or_default();
        say("Price", format!("{} {code}", price.amount).trim_end().to_owned());
    }
    if let Some(costing) = costing {
        say("Cost", cost(costing));
    }
    say("Care", report.resolved.cautions.join("; "));
    let rows: Vec<MeasureRow> = Measured::ALL.map(|m| measure_row(report, m)).into();
    Drink {
        number: number_,
        name: plain(report.name()),
        structure: evaluation.structure.map_or("method not known", Structure::name),
        standing: standing(report),
        cells: rows
            .iter()
            .map(|row| Cell {
                value: row.value.clone(),
                mark: row.mark,
                words: row.words,
            })
            .collect(),
        volume: number(figures.volume_ml.value, 0),
        measures: rows,
        findings: evaluation.findings.iter().map(finding_row).collect(),
        items,
    }
}

/// The ladder: the strongest first.
fn ladder(reports: &[ComputedDrink]) -> (LadderAxis, Vec<Rung>) {
    let axis = LadderAxis::of(reports);
    let mut order: Vec<usize> = (0..reports.len()).collect();
    let strength = |i: usize| reports[i].evaluation.figures.abv_pct.value.unwrap_or(-1.0);
    order.sort_by(|&a, &b| strength(b).total_cmp(&strength(a)).then(a.cmp(&b)));
    let rungs = order
        .into_iter()
        .map(|i| {
            let report = &reports[i];
            let figures = &report.evaluation.figures;
            let verdict = report.evaluation.verdicts[Measured::Strength as usize];
            let mut band = band(report, Measured::Strength);
            let usual = ranges(&band);
            // The rungs share a scale, and what is seen at all would fill it.
            band.outer = None;
            Rung {
                number: i + 1,
                name: plain(report.name()),
                value: number(figures.abv_pct.value, 1),
                interval: interval(figures.abv_pct, 1).unwrap_or_default(),
                usual,
                words: verdict_words(verdict),
                strip: axis.strip(figures.abv_pct, &band, verdict),
                volume: number(figures.volume_ml.value, 0),
                bar: axis.bar(figures.volume_ml.value.unwrap_or(0.0)),
            }
        })
        .collect();
    (axis, rungs)
}

/// A map for each convention that the list's acids are counted in: two conventions are never on one scale.
fn maps(reports: &[ComputedDrink]) -> Vec<Maps> {
    [Convention::Handbook, Convention::Assay]
        .into_iter()
        .filter_map(|convention| {
            let spots: Vec<Spot<'_>> = reports
                .iter()
                .enumerate()
                .filter(|(_, r)| r.convention() == convention)
                .map(|(i, report)| Spot {
                    number: i + 1,
                    name: plain(report.name()),
                    report,
                })
                .collect();
            let first = spots.first()?;
            let of: Vec<&ComputedDrink> = spots.iter().map(|s| s.report).collect();
            let usual = picture::usual(&of);
            let span = |of: fn(&ComputedDrink) -> Figure, decimals: usize| {
                let values = || spots.iter().filter_map(|s| of(s.report).value);
                let low = values().fold(f64::INFINITY, f64::min);
                let high = values().fold(f64::NEG_INFINITY, f64::max);
                format!(
                    "{} to {}",
                    number(Some(low), decimals),
                    number(Some(high), decimals)
                )
            };
            let mut said = format!(
                "Sugar from {}, acid from {} g/100 mL.",
                span(|r| r.evaluation.figures.sugar_g_per_100ml, 1),
                span(|r| r.evaluation.figures.acid_g_per_100ml, 2)
            );
            for range in &usual {
                let _ = write!(
                    said,
                    " Usual for {}: sugar {:.1} to {:.1}, acid {:.2} to {:.2}.",
                    range.structure.phrase(),
                    range.sugar.0,
                    range.sugar.1,
                    range.acid.0,
                    range.acid.1
                );
            }
            for verdict in [
                Verdict::In,
                Verdict::TooClose,
                Verdict::Edge,
                Verdict::Outside,
                Verdict::NoBand,
            ] {
                let n = of
                    .iter()
                    .filter(|r| picture::verdict_on_map(r) == verdict)
                    .count();
                if n > 0 {
                    let _ = write!(
                        said,
                        " {} {}.",
                        count(n, "drink", "drinks"),
                        verdict_words(verdict)
                    );
                }
            }
            Some(Maps {
                convention: first.report.convention().word(),
                drinks: count(spots.len(), "drink", "drinks"),
                said,
                rooms: [Room::Wide, Room::Narrow].map(|room| picture::map(&spots, &usual, room)),
                intervals: spots.len() <= MOST_INTERVALS,
            })
        })
        .collect()
}

fn taken_for_granted(reports: &[ComputedDrink]) -> Vec<Taken> {
    let mut made: BTreeMap<(&str, &str, &str), Vec<usize>> = BTreeMap::new();
    for (i, report) in reports.iter().enumerate() {
        for a in &report.resolved.assumptions {
            let drinks = made.entry((&a.about, &a.taken, &a.change)).or_default();
            if drinks.last() != Some(&(i + 1)) {
                drinks.push(i + 1);
            }
        }
    }
    made.into_iter()
        .map(|((about, taken, change), drinks)| Taken {
            about: plain(about),
            taken: plain(taken),
            change: plain(change),
            drinks,
        })
        .collect()
}

fn standings(reports: &[ComputedDrink]) -> Vec<Standing> {
    balance::Standing::ALL
        .into_iter()
        .map(balance::Standing::words)
        .map(|words| Standing {
            words,
            drinks: reports
                .iter()
                .enumerate()
                .filter(|(_, r)| standing(r) == words)
                .map(|(i, r)| (i + 1, plain(r.name())))
                .collect(),
        })
        .filter(|s| !s.drinks.is_empty())
        .collect()
}

/// The page.
pub fn html(content: &Content<'_>) -> Result<String, CliError> {
    let reports = content.reports;
    // Where nothing at all is priced, that is said once.
    let priced = content.costings.unwrap_or_default();
    let priced = if priced.iter().any(Costing::has_any_price) {
        priced
    } else {
        &[]
    };
    let costing = |report: &ComputedDrink| {
        priced
            .iter()
            .find(|c| c.book == report.found_in.book && key(&c.name) == key(report.name()))
    };
    let mut books: Vec<Book> = Vec::new();
    let mut last = None;
    for (i, report) in reports.iter().enumerate() {
        if last != Some(&report.found_in.book) {
            last = Some(&report.found_in.book);
            books.push(Book {
                title: plain(&report.found_in.book),
                drinks: Vec::new(),
            });
        }
        if let Some(book) = books.last_mut() {
            book.drinks.push(drink(i + 1, report, costing(report)));
        }
    }
    let title = match books.as_slice() {
        [] => "No drinks".to_owned(),
        [one] => one.title.clone(),
        several => format!("{} lists", several.len()),
    };
    let mut conventions: Vec<&str> = reports.iter().map(|r| r.convention().word()).collect();
    conventions.sort_unstable();
    conventions.dedup();
    let mut cautions: Vec<String> = Vec::new();
    for caution in reports.iter().flat_map(|r| &r.resolved.cautions) {
        let caution = plain(caution);
        if !cautions.contains(&caution) {
            cautions.push(caution);
        }
    }
    let costs: Option<Vec<CostRow>> = content.costings.map(|_| {
        reports
            .iter()
            .enumerate()
            .filter_map(|(i, r)| costing(r).map(|c| cost_row(i + 1, c)))
            .collect()
    });
    let faults: Vec<String> = content
        .faults
        .iter()
        .map(|f| plain(&format!("{}, line {}: {}", f.file, f.line, f.message)))
        .collect();
    let legend: Vec<(&str, char, &str)> = [
        Verdict::In,
        Verdict::TooClose,
        Verdict::Edge,
        Verdict::Outside,
        Verdict::NoBand,
    ]
    .map(|v| (mark_id(v), mark(v), verdict_words(v)))
    .into();
    let (axis, rungs) = ladder(reports);
    let maps = maps(reports);
    let standings = standings(reports);
    let taken = taken_for_granted(reports);
    let drinks = count(reports.len(), "drink", "drinks");
    let mut environment = Environment::new();
    environment.set_formatter(visible::formatter);
    environment
        .add_template("report.html", include_str!("../../../templates/report.html"))
        .map_err(CliError::internal)?;
    environment
        .get_template("report.html")
        .and_then(|template| {
            template.render(context! {
                title, drinks, conventions => conventions.join(" and "), today => content.today.map(plain),
                books => Serde(&books), legend => Serde(&legend), maps => Serde(&maps), axis => Serde(&axis), rungs => Serde(&rungs),
                standings => Serde(&standings), taken => Serde(&taken), costs => Serde(&costs), cautions, faults,
            })
        })
        .map_err(CliError::internal)
}

/// What was written, in a line.
pub fn written(file: &str, drinks: usize, bytes: usize) -> String {
    format!(
        "{}: {}, {} kB\n",
        plain(file),
        count(drinks, "drink", "drinks"),
        bytes.div_ceil(1000)
    )
}

/// The same for programs.
pub fn json(file: &str, drinks: usize, bytes: usize, faults: &[Fault]) -> String {
    super::json::text(
        &json!({ "schema": super::json::SCHEMA, "file": file, "drinks": drinks, "bytes": bytes, "faults": faults }),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_as_they_are_printed() {
        assert_eq!(number(Some(-2.6), 0), "−3");
        assert_eq!(number(Some(-0.04), 1), "0.0");
        assert_eq!(number(Some(f64::NAN), 1), "–");
        assert_eq!(number(None, 1), "–");
    }
}
