//! A note for one bar, in Markdown: what to pour there, in its own measures, and why.

use std::fmt::Write as _;

use washline_core::advise::{Arrival, Cause, Journey, Restoring, Visit, work_of};
use washline_core::balance::BalanceFigure;
use washline_core::computed::ComputedDrink;
use washline_core::service::card::allergen_line;
use washline_core::tables::cautions::UNKNOWN_IS_NOT_NONE;
use washline_core::tables::printed::percent;

use crate::visible::visible as plain;
use crate::words::{change as by, number};

/// How near to home a drink is where it is poured as it is written.
pub const WITHIN_A_STEP: &str = "within half a jigger's step";

/// What differs there, `House syrup by the cup (sugar 615 → 553 g/L)`; nothing where nothing does.
#[must_use]
pub fn gap(cause: Option<&Cause>) -> String {
    cause.map_or_else(String::new, |c| plain(&c.gap.to_string()))
}

/// What that does by itself: `sweetness -0.6 g/100 ml, 0.3 of the width of its band; 100 % of the whole shift`.
#[must_use]
pub fn why(cause: &Cause) -> String {
    let share = format!("{} of the whole shift", percent(cause.share));
    match (cause.measure, cause.widths) {
        (Some(measure), Some(widths)) => {
            let d = usize::from(measure.decimals());
            let change = by(cause.change, d);
            format!(
                "by itself {} {change} {}, {:.2} of the width of its band; {share}",
                measure.name(),
                measure.unit(),
                widths.abs()
            )
        }
        _ => format!("by itself {} ml; {share}", by(cause.change, 0)),
    }
}

/// Words that would be marks of Markdown, made plain.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in plain(text).replace('\n', " ").chars() {
        if matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// The note of a visit.
#[must_use]
pub fn note(drinks: &[ComputedDrink], visit: &Visit) -> String {
    let mut titles: Vec<String> = Vec::new();
    for worked in drinks {
        let title = escaped(&worked.found_in.book);
        if !titles.contains(&title) {
            titles.push(title);
        }
    }
    let mut text = format!("# {} at {}\n\n", titles.join(", "), escaped(&visit.bar));
    text.push_str("Amounts are in this bar's own measures. Figures are estimates: taste before you serve.\n");
    for said in &visit.notes {
        let _ = writeln!(text, "\n*Note:* {}", escaped(said));
    }
    for arrival in &visit.drinks {
        match arrival {
            Arrival::Poured(journey) => text.push_str(&note_of(journey)),
            Arrival::Stranded { drink, faults } => {
                let why: Vec<String> = faults.iter().map(|f| escaped(&f.message)).collect();
                let _ = write!(
                    text,
                    "\n## {}\n\nCannot be worked out here: {}\n",
                    escaped(drink),
                    why.join("; ")
                );
            }
        }
    }
    let _ = writeln!(
        text,
        "\nAlcohol is for adults and local law decides on serves; {UNKNOWN_IS_NOT_NONE}: ask before you pour."
    );
    text
}

fn note_of(journey: &Journey) -> String {
    let mut text = format!("\n## {}\n\n", escaped(&journey.drink));
    if let Some(glass) = &journey.there.glass {
        let _ = writeln!(
            text,
            "Glass: {}, {:.0} ml\n",
            escaped(&glass.name),
            glass.capacity_ml
        );
    }
    let mut steps: Vec<(usize, String)> = journey
        .pours
        .iter()
        .map(|pour| {
            let was = match (pour.changed, pour.from.as_str()) {
                (false, _) => String::new(),
                (true, "") => " (added)".to_owned(),
                (true, from) => format!(" (written {})", escaped(from)),
            };
            let strong = if pour.changed { "**" } else { "" };
            (pour.at, format!("{strong}{}{strong}{was}", escaped(&pour.line)))
        })
        .chain(
            work_of(&journey.spec)
                .into_iter()
                .map(|(at, words)| (at, escaped(&words))),
        )
        .collect();
    steps.sort_by_key(|(at, _)| *at);
    for (_, step) in steps {
        let _ = writeln!(text, "- {step}");
    }
    let garnish = journey.spec.particular("garnish").unwrap_or_default();
    if !garnish.is_empty() {
        let _ = writeln!(text, "- garnish {}", escaped(garnish));
    }
    let why = match (&journey.cause, journey.restoring) {
        (_, Restoring::AsWritten) => {
            format!("poured as written it is as at home, {WITHIN_A_STEP}")
        }
        (Some(cause), _) => format!("{}: {}", escaped(&gap(Some(cause))), escaped(&why(cause))),
        (None, _) => "the amounts are those that the measures here come nearest to".to_owned(),
    };
    let _ = writeln!(text, "\nWhy: {why}.");
    if !journey.because.is_empty() {
        let _ = writeln!(
            text,
            "It does not quite come home: {}.",
            escaped(&journey.because.join("; "))
        );
    }
    let glass = journey.glass_words();
    if !glass.is_empty() && journey.restoring == Restoring::AsWritten {
        let _ = writeln!(text, "Mind the glass: {}.", escaped(&glass));
    }
    let (home, here) = (&journey.home.figures, &journey.restored);
    let said: Vec<String> = BalanceFigure::ALL
        .into_iter()
        .map(|m| {
            let d = usize::from(m.decimals());
            let (here, home) = (
                number(here.measured(m).value, d),
                number(home.measured(m).value, d),
            );
            format!("{} {here} {} (home {home})", m.name(), m.unit())
        })
        .collect();
    let _ = writeln!(
        text,
        "\nIn the glass: {}, {} ml (home {}).",
        said.join(", "),
        number(here.volume_ml.value, 0),
        number(home.volume_ml.value, 0)
    );
    let _ = writeln!(
        text,
        "\n{}",
        allergen_line(&escaped(&journey.allergens_eu.sentence()))
    );
    if !journey.cautions.is_empty() {
        let _ = writeln!(text, "Caution: {}.", escaped(&journey.cautions.join("; ")));
    }
    text
}
