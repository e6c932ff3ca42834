//! Drinks beside each other: many in a table, two pour by pour.

use std::fmt::Write as _;

use washline_core::balance::{BalanceFigure, Figure};
use washline_core::computed::ComputedDrink;
use washline_core::service::comparison::{Apart, Comparison, Poured, TOO_SMALL, apart};
use washline_core::spec::Fault;
use washline_core::tables::{FigureFacts, FigureName, difference_as_printed};

use super::glance::SUGAR_AND_ACID;
use super::style::{DIM, LOOK, NAME};
use washline_view::compare::Compared;

use super::{
    number, paragraph, plain,
    printed::{self, change, range_in_a_cell},
    structure, table, width,
};
use crate::asked::{By, NONE_HOLDS};

/// Figures of the table.
const SHOWN: [FigureName; 8] = [
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
    FigureName::Volume,
    FigureName::Alcohol,
    FigureName::SugarToAcid,
    FigureName::WaterGained,
    FigureName::Energy,
];
/// So many of them where the screen is narrow, and very narrow.
const NARROW: usize = 5;
const NARROWEST: usize = 4;
/// Columns from which all of them fit.
const ROOMY: usize = 130;

/// The interval of a figure; nothing where none is known.
fn interval(figure: Figure, decimals: usize) -> String {
    match (figure.low, figure.high) {
        (Some(low), Some(high)) => range_in_a_cell(low, high, decimals),
        _ => String::new(),
    }
}

/// Whether the figure sorted by cannot be told from that of the drink above.
fn marks(reports: &[ComputedDrink], by: By) -> Vec<Option<Apart>> {
    std::iter::once(None)
        .chain(
            reports
                .windows(2)
                .map(|pair| apart(by.of(&pair[0]), by.of(&pair[1]), by.decimals())),
        )
        .take(reports.len())
        .collect()
}

fn is_close(apart: &Option<Apart>) -> bool {
    apart.is_some_and(|a| a.too_small)
}

/// A figure with its interval below it, and `≈` where it cannot be told from the one above.
fn cell(figure_of: Figure, decimals: usize, close: bool) -> String {
    let mark = if close { "≈ " } else { "" };
    let interval = interval(figure_of, decimals);
    let value = format!("{mark}{}", number(figure_of.value, decimals));
    if interval.is_empty() {
        value
    } else {
        format!("{value}\n{interval}")
    }
}

/// What was asked to be compared.
pub fn text(reports: &[ComputedDrink], by: By, beside: Option<&Comparison>) -> String {
    match (reports, beside) {
        ([], _) => format!("{NONE_HOLDS}\n"),
        ([a, b], Some(beside)) => side_by_side(a, b, beside),
        _ => list(reports, by),
    }
}

/// Drinks one below the other, sorted.
fn list(reports: &[ComputedDrink], by: By) -> String {
    let roomy = width() >= ROOMY;
    let most = match width() {
        ROOMY.. => SHOWN.len(),
        96.. => NARROW,
        _ => NARROWEST,
    };
    let mut shown: Vec<(&FigureFacts, &str)> = SHOWN
        .map(FigureName::facts)
        .iter()
        .take(most)
        .map(|facts| (*facts, facts.heading))
        .collect();
    // What is sorted by is always shown.
    if let By::Figure(facts) = by
        && !shown.iter().any(|(f, _)| *f == facts)
    {
        shown.push((facts, facts.word));
    }
    let with_price = roomy || by == By::Price;
    let headings: Vec<String> = ["drink".to_owned(), "structure".to_owned()]
        .into_iter()
        .chain(shown.iter().map(|(_, heading)| format!(">{heading}")))
        .chain(with_price.then(|| ">price".to_owned()))
        .chain(["verdict".to_owned()])
        .collect();
    let mut rows = table(&headings);
    let marks = marks(reports, by);
    for (report, mark) in reports.iter().zip(&marks) {
        let mut row = vec![
            plain(report.name()),
            structure(report.evaluation.structure).to_owned(),
        ];
        row.extend(shown.iter().map(|(facts, _)| {
            let close = by == By::Figure(facts) && is_close(mark);
            cell(report.evaluation.figures.get(facts.which), facts.places(), close)
        }));
        if with_price {
            let price = report.drink.price.as_ref().map(ToString::to_string);
            let close = by == By::Price && is_close(mark);
            let price = plain(&price.unwrap_or_default());
            row.push(if close { format!("≈ {price}") } else { price });
        }
        row.push(report.evaluation.standing().words().to_owned());
        rows.add_row(row);
    }
    let mut text = rows.lines();
    let told = format!(
        "{SUGAR_AND_ACID} in the glass, acid as citric; below a figure the interval that holds it in 95 % of cases"
    );
    let _ = write!(text, "\n{DIM}{}{DIM:#}", paragraph(&told));
    if marks.iter().any(is_close) {
        let _ = writeln!(
            text,
            "{DIM}≈ cannot be told from the drink above by {}{DIM:#}",
            by.word()
        );
    }
    text
}

/// What two drinks pour and say of themselves.
fn pours(beside: &Comparison, name_a: &str, name_b: &str) -> String {
    let mut rows = table(&["", name_a, name_b, ">ml more"]);
    let said = |p: &Option<Poured>| p.as_ref().map_or_else(printed::none, |p| plain(&p.said()));
    for pour in &beside.pours {
        let ml = |p: &Option<Poured>| p.as_ref().map_or(0.0, |p| p.volume_ml);
        let more = ml(&pour.b) - ml(&pour.a);
        let more = if pour.differs() && more.abs() >= 0.05 {
            format!("{more:+.1}")
        } else {
            String::new()
        };
        rows.add_row([plain(&pour.ingredient), said(&pour.a), said(&pour.b), more]);
    }
    for said in beside.said.iter().filter(|s| !(s.a.is_empty() && s.b.is_empty())) {
        let or_none = |text: &str| {
            if text.is_empty() {
                printed::none()
            } else {
                plain(text)
            }
        };
        // What both say alike is no news beside what they pour.
        let same = said.a == said.b && said.what == "acid convention";
        if !same {
            rows.add_row([
                plain(&said.what),
                or_none(&said.a),
                or_none(&said.b),
                String::new(),
            ]);
        }
    }
    rows.lines()
}

/// What that comes to in either glass.
fn figures(beside: &Comparison, name_a: &str, name_b: &str) -> String {
    let mut rows = table(&[
        "in the glass",
        &format!(">{name_a}"),
        &format!(">{name_b}"),
        ">difference",
        "",
    ]);
    let too_small = format!("≈ {TOO_SMALL}");
    for row in &beside.figures {
        if row.a.value.is_none() && row.b.value.is_none() {
            continue;
        }
        let d = usize::from(row.facts.decimals);
        let of = |f: Figure| {
            let interval = interval(f, d);
            let value = number(f.value, d);
            if interval.is_empty() {
                value
            } else {
                format!("{value} ({interval})")
            }
        };
        let (difference, mark) = match row.apart {
            None => (String::new(), ""),
            Some(apart) => (
                change(
                    match (row.a.value, row.b.value) {
                        (Some(a), Some(b)) => difference_as_printed(a, b, d),
                        _ => apart.difference,
                    },
                    d,
                ),
                if apart.too_small { too_small.as_str() } else { "" },
            ),
        };
        let name = if row.facts.unit.is_empty() {
            row.facts.word.to_owned()
        } else {
            format!("{}, {}", row.facts.word, row.facts.unit)
        };
        rows.add_row([name, of(row.a), of(row.b), difference, mark.to_owned()]);
    }
    rows.lines()
}

/// Two drinks, pour by pour and figure by figure.
fn side_by_side(a: &ComputedDrink, b: &ComputedDrink, beside: &Comparison) -> String {
    // One drink in two books is told apart by its book.
    let called = |r: &ComputedDrink| {
        if a.name() == b.name() {
            plain(&r.found_in.book)
        } else {
            plain(r.name())
        }
    };
    let (name_a, name_b) = (called(a), called(b));
    let mut out = if a.name() == b.name() {
        format!("{NAME}{}{NAME:#}\n", plain(a.name()))
    } else {
        String::new()
    };
    out.push_str(&pours(beside, &name_a, &name_b));
    out.push('\n');
    out.push_str(&figures(beside, &name_a, &name_b));
    let verdicts = |r: &ComputedDrink| {
        let all: Vec<String> = BalanceFigure::ALL
            .iter()
            .map(|m| format!("{} {}", m.name(), r.evaluation.verdicts[*m as usize].word()))
            .collect();
        format!("{}; {}", r.evaluation.standing().words(), all.join(", "))
    };
    let _ = writeln!(
        out,
        "\n{LOOK}{name_a}{LOOK:#}: {}\n{LOOK}{name_b}{LOOK:#}: {}",
        verdicts(a),
        verdicts(b)
    );
    let told = "In brackets what holds a figure in 95 % of cases; a difference counts from 1.96 times both uncertainties together. The same limes are in both, so what is too small to call may still be there to taste.";
    let _ = write!(out, "\n{DIM}{}{DIM:#}", paragraph(told));
    out
}

/// The same for a program.
pub fn shape<'a>(
    reports: &'a [ComputedDrink],
    by: By,
    beside: Option<&'a Comparison>,
    faults: &'a [Fault],
) -> Compared<'a> {
    let values = reports.iter().map(|report| by.of(report).value);
    let named = match by {
        By::Figure(facts) => facts.name,
        other => other.word(),
    };
    Compared::of(reports, named, values.zip(marks(reports, by)), beside, faults)
}
