//! A spec before and after a change: the lines, the figures, the verdict, the cost.

use std::fmt::Write as _;

use similar::{ChangeTag, TextDiff};
use washline_core::advise::AS_WEIGHED;
use washline_core::balance::{Finding, Severity};
use washline_core::computed::ComputedDrink;
use washline_core::service::cost::Costing;
use washline_core::tables::{FigureName, difference_as_printed};
use washline_view::change::{Changed, Line};

use super::style::{BAD, DIM, GOOD, NAME};
use super::{found, number, paragraph, plain, structure, table, wrapped};
use crate::asked::{Done, Revised};

/// The figures that are told.
const TOLD: [FigureName; 6] = [
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
    FigureName::WaterGained,
    FigureName::Volume,
    FigureName::Alcohol,
];

/// A line that went or came.
fn changed_lines(revised: &Revised) -> Vec<(ChangeTag, String)> {
    let (before, after) = (&revised.before.drink.text, &revised.after.drink.text);
    TextDiff::from_lines(before, after)
        .iter_all_changes()
        .filter(|change| change.tag() != ChangeTag::Equal)
        .map(|change| (change.tag(), change.value().trim_end().to_owned()))
        .filter(|(_, line)| !line.is_empty())
        .collect()
}

fn cost(costing: &Costing) -> String {
    let sum = costing.rounded(costing.cost.value);
    let more = if costing.is_complete() { "" } else { "over " };
    format!("{more}{sum}")
}

pub fn text(revised: &Revised, done: &Done, how: &str) -> String {
    let (before, after) = (&revised.before, &revised.after);
    let mut text = format!(
        "{NAME}{}{NAME:#}  {DIM}{} (version {}){DIM:#}\n",
        plain(before.name()),
        plain(&before.found_in.lists_in_words()),
        before.found_in.version
    );
    for (tag, line) in changed_lines(revised) {
        let (mark, style) = match tag {
            ChangeTag::Delete => ("was", BAD),
            _ => ("is", GOOD),
        };
        text.push_str(&wrapped(
            &plain(&line),
            &format!("  {style}{mark:>3}{style:#}  "),
            "         ",
        ));
    }
    text.push('\n');
    let mut rows = table(&["", ">before", ">after", ">change"]);
    for facts in TOLD.map(FigureName::facts) {
        let d = facts.places();
        let (a, b) = (
            before.evaluation.figures.get(facts.which).value,
            after.evaluation.figures.get(facts.which).value,
        );
        if a.is_none() && b.is_none() {
            continue;
        }
        let change = match (a, b) {
            (Some(a), Some(b)) => super::printed::change(difference_as_printed(a, b, d), d),
            _ => String::new(),
        };
        rows.add_row([facts.label(), number(a, d), number(b, d), change]);
    }
    if let Some((a, b)) = &revised.costs {
        let money = a.currency.map_or_else(String::new, |c| format!(" {c}"));
        let change = match a.is_complete() && b.is_complete() {
            true => format!("{:+}", b.rounded(b.cost.value) - a.rounded(a.cost.value)),
            false => String::new(),
        };
        rows.add_row([format!("cost{money}"), cost(a), cost(b), change]);
    }
    rows.add_row([
        "verdict".to_owned(),
        before.evaluation.standing().words().to_owned(),
        after.evaluation.standing().words().to_owned(),
        String::new(),
    ]);
    if before.evaluation.structure != after.evaluation.structure {
        let name = |d: &ComputedDrink| structure(d.evaluation.structure).to_owned();
        rows.add_row(["structure".to_owned(), name(before), name(after), String::new()]);
    }
    text.push_str(&rows.lines());
    if before.resolved.own_melt.weighed.is_some() && after.resolved.own_melt.weighed.is_none() {
        text.push_str(&paragraph(AS_WEIGHED));
    }
    let news = findings(after);
    if !news.is_empty() {
        text.push('\n');
        for finding in news {
            text.push_str(&found(finding));
        }
    }
    text.push('\n');
    text.push_str(&super::done(done, ""));
    if *done == Done::default() {
        let _ = writeln!(text, "{DIM}nothing is changed yet: {how} makes it so{DIM:#}");
    }
    text
}

/// What there is to say of the drink as it becomes.
fn findings(drink: &ComputedDrink) -> Vec<&Finding> {
    drink
        .evaluation
        .findings
        .iter()
        .filter(|f| f.severity() > Severity::Note)
        .collect()
}

/// The same for a program.
pub fn shape<'a>(revised: &'a Revised, done: &'a Done) -> Changed<'a> {
    let lines = changed_lines(revised).into_iter().map(|(tag, line)| Line {
        gone: tag == ChangeTag::Delete,
        line,
    });
    Changed::of(revised, lines.collect(), done)
}
