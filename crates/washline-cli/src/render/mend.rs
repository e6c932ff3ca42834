//! What mending came to: answers side by side, or why there is none.

use std::fmt::Write as _;

use washline_core::advise::{
    AS_WEIGHED, Answer, Because, Change, LimitKind, MendOutcome, Mended, Origin, Target,
};
use washline_core::balance::{BalanceFigure, Figures};
use washline_core::computed::ComputedDrink;
use washline_core::tables::cautions::BEFORE_GUESTS;
use washline_core::tables::{FigureFacts, FigureName};

use super::style::{BAD, DIM, GOOD, LOOK, NAME};
use super::{book_is_old, heading, paragraph, plain, printed, table, wrapped};
use crate::asked::Done;

/// Everything for a reader. `alone`: one drink was named, and is told of whatever became of it. `may_add`: something
/// may be added to it.
pub fn text(drinks: &[ComputedDrink], mended: &[Mended], done: &Done, alone: bool, may_add: bool) -> String {
    let mut text = String::new();
    let (mut well, mut refused) = (Vec::new(), Vec::new());
    for (drink, mended) in drinks.iter().zip(mended) {
        match mended.outcome {
            MendOutcome::InBalance if !alone => well.push(plain(&mended.drink)),
            MendOutcome::Refused(why) if !alone => refused.push(format!("{} ({why})", plain(&mended.drink))),
            _ => text.push_str(&one(drink, mended, may_add)),
        }
    }
    for (word, style, names) in [("In balance", GOOD, &well), ("Not mended", DIM, &refused)] {
        if !names.is_empty() {
            let first = format!("{style}{word}{style:#} ({}): ", names.len());
            text.push_str(&wrapped(&names.join("; "), &first, "  "));
        }
    }
    if mended.is_empty() {
        text.push_str("no drinks\n");
    }
    if mended.iter().any(|m| !m.answers.is_empty()) {
        if !text.ends_with("\n\n") {
            text.push('\n');
        }
        text.push_str(&paragraph(&format!(
            "Size J: each change over its pour (or over 5 ml), squared and added up. {BEFORE_GUESTS}."
        )));
    }
    text.push_str(&super::done(done, ""));
    if done.kept.is_some() && done.written.is_none() {
        text.push_str(&book_is_old());
    }
    text
}

fn one(drink: &ComputedDrink, mended: &Mended, may_add: bool) -> String {
    let mut text = heading(drink);
    match mended.outcome {
        MendOutcome::InBalance => {
            let _ = writeln!(text, "  {GOOD}in balance{GOOD:#}: nothing to mend");
            text.push_str(&figures(mended, &[]));
        }
        MendOutcome::Refused(why) => {
            text.push_str(&wrapped(
                &format!("{why}; say where to with --aim \"strength 16 to 18\", or set the house's own range with `washline ranges set`"),
                "  not mended: ",
                "    ",
            ));
        }
        MendOutcome::Mended => {
            for (i, answer) in mended.answers.iter().enumerate() {
                text.push_str(&changes(&format!("{}", i + 1), answer));
            }
            let columns: Vec<(String, &Answer)> = mended
                .answers
                .iter()
                .enumerate()
                .map(|(i, a)| (format!("{}", i + 1), a))
                .collect();
            text.push_str(&figures(mended, &columns));
            if drink.resolved.own_melt.weighed.is_some() {
                text.push_str(&wrapped(AS_WEIGHED, "  ", "  "));
            }
            text.push_str(&binding(mended));
        }
        MendOutcome::NothingWorks => {
            if let Some(closest) = &mended.closest {
                let _ = writeln!(text, "  {BAD}nothing within these limits works{BAD:#}");
                if closest.answer.changes.is_empty() {
                    text.push_str("  nothing comes closer than the drink as it is\n");
                    text.push_str(&figures(mended, &[]));
                } else {
                    text.push_str(&changes("closest", &closest.answer));
                    text.push_str(&figures(mended, &[("closest".to_owned(), &closest.answer)]));
                }
                let because = Because::words(&closest.because).join("; ");
                text.push_str(&wrapped(&plain(&because), "  because ", "    "));
                if closest
                    .because
                    .iter()
                    .any(|b| matches!(b, Because::NothingRaises { .. }))
                    && !may_add
                {
                    text.push_str("  --may-add lets something be added\n");
                }
            }
        }
    }
    text.push('\n');
    text
}

/// The changes of an answer, one a line, each with why.
fn changes(number: &str, answer: &Answer) -> String {
    let mut text = String::new();
    for (i, change) in answer.changes.iter().enumerate() {
        let number = if i == 0 { number } else { "" };
        let _ = writeln!(
            text,
            "  {NAME}{number:>2}{NAME:#}  {} {}",
            plain(&change.called),
            amounts(change)
        );
        if change.origin == Origin::Open {
            continue;
        }
        let why: Vec<String> = change.why.iter().map(ToString::to_string).collect();
        let otherwise = match change.origin {
            Origin::Written(_) => format!("at {} ", change.from_text()),
            Origin::Added | Origin::Open => "without it ".to_owned(),
        };
        let said = format!("{otherwise}{}", why.join("; "));
        text.push_str(&wrapped(&plain(&said), &format!("      {DIM}"), "      "));
        let end = text.trim_end().len();
        text.truncate(end);
        let _ = writeln!(text, "{DIM:#}");
    }
    text
}

fn amounts(change: &Change) -> String {
    match (change.origin, change.is_more()) {
        (Origin::Added, _) => format!("added: {NAME}{}{NAME:#}", change.to_text()),
        (_, None) => format!("to taste: {NAME}{}{NAME:#}", change.to_text()),
        (_, Some(more)) => format!(
            "{} ({})",
            printed::from_to(change.from_text(), format!("{NAME}{}{NAME:#}", change.to_text())),
            if more { "more" } else { "less" }
        ),
    }
}

/// Before and after, side by side.
fn figures(mended: &Mended, answers: &[(String, &Answer)]) -> String {
    let mut headings = vec!["    ".to_owned(), ">now".to_owned()];
    headings.extend(answers.iter().map(|(name, _)| format!(">{name}")));
    headings.push("wanted".to_owned());
    let mut rows = table(&headings);
    let of = |facts: &FigureFacts, wanted: String| {
        let value = |figures: &Figures| facts.number(figures.get(facts.which).value);
        let mut row = vec![format!("    {}", facts.label()), value(&mended.before)];
        row.extend(answers.iter().map(|(_, a)| value(&a.figures)));
        row.push(wanted);
        row
    };
    for measure in BalanceFigure::ALL {
        let facts = measure.which().facts();
        let target = mended.targets.iter().find(|t| t.measure == measure);
        rows.add_row(of(facts, target.map_or_else(String::new, wanted)));
    }
    let holds = mended.limits.iter().find_map(|l| match &l.kind {
        LimitKind::Glass { name, holds_ml, .. } => {
            Some(format!("at most {holds_ml:.0} in the {}", plain(name)))
        }
        _ => None,
    });
    rows.add_row(of(FigureName::Volume.facts(), holds.unwrap_or_default()));
    rows.add_row(of(FigureName::Alcohol.facts(), String::new()));
    if !answers.is_empty() {
        let mut row = vec!["    cost".to_owned(), String::new()];
        row.extend(answers.iter().map(|(_, a)| match &a.cost_change {
            Some(change) if change.is_sign_negative() => change.to_string(),
            Some(change) => format!("+{change}"),
            None => printed::none(),
        }));
        if answers.iter().all(|(_, a)| a.cost_change.is_none()) {
            row.push("no prices".to_owned());
        } else {
            row.push(String::new());
        }
        rows.add_row(row);
        let mut row = vec!["    size J".to_owned(), String::new()];
        row.extend(answers.iter().map(|(_, a)| format!("{:.3}", a.objective)));
        row.push(String::new());
        rows.add_row(row);
    }
    rows.lines()
}

fn wanted(target: &Target) -> String {
    let basis = target.basis.word();
    // A band in whole numbers is met by what rounds into it, and the figures beside it are not rounded so.
    let edge = if target.span.decimals < target.measure.decimals() && target.span.low > 0.0 {
        let shown = usize::from(target.measure.decimals());
        format!("; {:.shown$} counts as {}", target.edges().0, target.span.low)
    } else {
        String::new()
    };
    format!("{} ({basis}{edge})", target.span.printed())
}

/// The limits without which less would do, where they are not plain from the figures.
fn binding(mended: &Mended) -> String {
    let held: Vec<String> = mended
        .limits
        .iter()
        .filter(|l| l.binds && !matches!(l.kind, LimitKind::Target(_)))
        .map(|l| l.kind.to_string())
        .collect();
    if held.is_empty() {
        return String::new();
    }
    wrapped(
        &plain(&held.join("; ")),
        &format!("    {LOOK}limited by{LOOK:#} "),
        "      ",
    )
}
