//! Trials of drinks, and the ranges learned from them.

use std::fmt::Write as _;

use washline_core::balance::learn::{CONFIDENCE_PCT, Estimate, FEWEST, Learned, PUBLISHED_WEIGHS};
use washline_core::balance::{BalanceFigure, Span, Structure};
use washline_core::store::Tasting;

use washline_view::tasting::{Lesson, Tastings};

use super::style::{DIM, GOOD, LOOK, NAME};
use super::{count, number, plain, printed, table, wrapped, written};
use crate::clock;

/// Trials, one a line with its note below it: for `show` and for `taste --list`.
pub fn lines(tastings: &[Tasting]) -> String {
    let mut out = String::new();
    for tasting in tastings {
        let style = if tasting.is_right() { GOOD } else { LOOK };
        let verdict: Vec<String> = tasting.verdict.iter().map(ToString::to_string).collect();
        let by = if tasting.taster.is_empty() {
            String::new()
        } else {
            format!(", {}", plain(&tasting.taster))
        };
        let which = if tasting.is_current {
            ""
        } else {
            ", not the one poured now"
        };
        let _ = writeln!(
            out,
            "  {style}{}{style:#}  {DIM}{}{by}; version {}{which}{DIM:#}",
            plain(&verdict.join("; ")),
            plain(&clock::day_shown(Some(&tasting.at))),
            tasting.version
        );
        if !tasting.note.is_empty() {
            out.push_str(&wrapped(&plain(&tasting.note), "    ", "    "));
        }
    }
    out
}

/// A trial that was kept.
pub fn tasted(tasting: &Tasting, as_json: bool) -> String {
    if as_json {
        return written(&Tastings::of([tasting]));
    }
    format!(
        "{NAME}{}{NAME:#} {DIM}({}){DIM:#}\n{}",
        plain(&tasting.drink),
        plain(&tasting.book),
        lines(std::slice::from_ref(tasting))
    )
}

/// The trials of a drink.
pub fn listed(name: &str, tastings: &[Tasting], as_json: bool) -> String {
    if as_json {
        return written(&Tastings::of(tastings));
    }
    if tastings.is_empty() {
        return format!("{}: not tasted yet\n", plain(name));
    }
    let mut out = String::new();
    let mut books: Vec<&str> = Vec::new();
    for tasting in tastings {
        if !books.contains(&tasting.book.as_str()) {
            books.push(&tasting.book);
        }
    }
    for book in books {
        let of: Vec<Tasting> = tastings.iter().filter(|t| t.book == book).cloned().collect();
        let drink = of.first().map_or(name, |t| t.drink.as_str());
        let _ = writeln!(
            out,
            "{NAME}{}{NAME:#} {DIM}({}){DIM:#}: {}",
            plain(drink),
            plain(book),
            count(of.len(), "trial", "trials")
        );
        out.push_str(&lines(&of));
    }
    out
}

/// For a reader.
pub fn lesson(lesson: &Lesson<'_>) -> String {
    let mut out = format!(
        "from {} {}\n",
        count(lesson.drinks, "drink", "drinks"),
        lesson.from
    );
    if lesson.left_out > 0 {
        let _ = writeln!(
            out,
            "left out: {}, whose juices are counted in the other convention",
            count(lesson.left_out, "drink", "drinks")
        );
    }
    let mut last = None;
    for learned in lesson.learned {
        if last != Some(learned.structure) {
            last = Some(learned.structure);
            out.push_str(&self::learned(lesson, learned.structure));
        }
    }
    for (structure, drinks) in lesson.too_few {
        let _ = writeln!(
            out,
            "\n{NAME}{structure}{NAME:#}: {}, {LOOK}too few{LOOK:#} to learn from (at least {FEWEST})",
            count(*drinks, "drink", "drinks")
        );
    }
    let tail = (100.0 - lesson.share_pct) / 2.0;
    if !lesson.learned.is_empty() {
        out.push_str(&wrapped(
            &format!(
                "From the {tail:.0}th to the {:.0}th percentile of these drinks, drawn towards the published drinks of the structure, which weigh as much as {PUBLISHED_WEIGHS:.0} of them. In brackets where each percentile of the drinks themselves lies at a level of {CONFIDENCE_PCT:.0} %; a dash where too few drinks lie beyond it to say. Acid as citric, {} convention.",
                100.0 - tail,
                lesson.convention.word()
            ),
            "\n",
            "",
        ));
        out.push_str(if lesson.kept {
            "kept: the house's own ranges now (washline ranges unset STRUCTURE MEASURE takes one away)\n"
        } else {
            "not kept: --keep makes them the house's own\n"
        });
    }
    out
}

fn learned(lesson: &Lesson<'_>, structure: Structure) -> String {
    let of: Vec<&Learned> = lesson
        .learned
        .iter()
        .filter(|l| l.structure == structure)
        .collect();
    let drinks = of.iter().map(|l| l.count).max().unwrap_or(0);
    let mut out = format!(
        "\n{NAME}{structure}{NAME:#}  {DIM}{}{DIM:#}\n",
        count(drinks, "drink", "drinks")
    );
    let mut rows = table(&["", ">from", "", ">median", "", ">to", "", "usual until now"]);
    for learned in of {
        let decimals = usize::from(learned.measure.decimals());
        let usual = lesson.ranges.band(structure, learned.measure).core.as_ref();
        rows.add_row([
            format!("{} {}", learned.measure.name(), learned.measure.unit()),
            number(Some(learned.low.value), decimals),
            bracket(learned.low, learned.measure),
            number(Some(learned.median.value), decimals),
            bracket(learned.median, learned.measure),
            number(Some(learned.high.value), decimals),
            bracket(learned.high, learned.measure),
            usual.map_or_else(printed::none, Span::printed),
        ]);
    }
    out.push_str(&rows.lines());
    out
}

/// `(4.9 to 5.6)`, `(– to 5.6)`.
fn bracket(estimate: Estimate, measure: BalanceFigure) -> String {
    let decimals = usize::from(measure.decimals());
    format!(
        "({} to {})",
        number(estimate.from, decimals),
        number(estimate.to, decimals)
    )
}
