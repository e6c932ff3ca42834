//! What a swap does to a drink, before and after side by side, or why it is refused.

use std::fmt::Write as _;

use washline_core::advise::{AllergenChange, Hold, LEAST_WATER_ML, Refusal, SwapAsk, Swapped, SwappedPour};
use washline_core::balance::{BalanceFigure, Evaluation, Figures};
use washline_core::ingredient::Declaration;
use washline_core::service::cost::Costing;
use washline_core::tables::cautions::{BEFORE_GUESTS, UNKNOWN_IS_NOT_NONE};
use washline_core::tables::{FIGURES, FigureName};

use super::glance::SUGAR_AND_ACID;
use super::style::{BAD, DIM, LOOK, NAME};
use super::{
    book_is_old, done, heading, number, paragraph, plain, printed, structure, table, under, wrapped,
};
use washline_view::swap::{change, complete, new_findings};

use crate::asked::{Costs, Told};

/// The figures that are told of each of many drinks.
const OF_MANY: [FigureName; 4] = [
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
    FigureName::Volume,
];

/// Amounts nearer than this are one, ml: half the last digit that is shown.
const SAME_ML: f64 = 0.005;

/// Everything for a reader.
pub fn text(told: &[Told<'_>], ask: &SwapAsk, also_in: &[String]) -> String {
    let mut text = String::new();
    match told {
        [one] => text.push_str(&drink(one, ask)),
        several => text.push_str(&overview(several, ask)),
    }
    text.push('\n');
    if !also_in.is_empty() {
        text.push_str(&wrapped(
            &plain(&also_in.join(", ")),
            &format!("{LOOK}also made with it{LOOK:#}, and not changed: "),
            "  ",
        ));
    }
    text.push_str(&paragraph(&format!("{BEFORE_GUESTS}; {UNKNOWN_IS_NOT_NONE}.")));
    if told
        .iter()
        .any(|t| t.done.kept.is_some() && t.done.written.is_none())
    {
        text.push_str(&book_is_old());
    }
    text
}

/// What a swap changes for the worse in a drink, and what was kept of it.
fn changed(one: &Told<'_>, swapped: &Swapped, name: &str) -> String {
    let mut said = String::new();
    let mut changes = verdict_changes(one.swap.before, &swapped.measured.drink.evaluation);
    for (list, change) in [("EU", &swapped.allergens_eu), ("US", &swapped.allergens_us)] {
        for (word, names) in [("comes", &change.comes), ("goes", &change.goes)] {
            if !names.is_empty() {
                changes.push(format!("allergens {list}: {} {word}", names.join(", ")));
            }
        }
    }
    changes.extend(swapped.cautions.iter().cloned());
    if let Some(change) = one
        .cost
        .measured
        .as_ref()
        .and_then(|c| change(&one.cost.before, c))
    {
        changes.push(format!("cost {change:+}{}", in_currency(&one.cost)));
    }
    if !changes.is_empty() {
        said.push_str(&wrapped(
            &plain(&changes.join("; ")),
            &format!("{NAME}{name}{NAME:#}: "),
            "  ",
        ));
    }
    said + &done(&one.done, &format!("{NAME}{name}{NAME:#}: "))
}

/// Many drinks, one a line, and under them what changes for the worse or cannot be.
fn overview(told: &[Told<'_>], ask: &SwapAsk) -> String {
    let mut headings = ["drink", "now", "then"].map(str::to_owned).to_vec();
    headings.extend(OF_MANY.map(|which| format!(">{}", which.facts().heading)));
    if ask.hold != Hold::Volume {
        headings.extend([">exactly ml", ">water ml"].map(str::to_owned));
    }
    let mut rows = table(&headings);
    let mut said = String::new();
    for one in told {
        let name = plain(&one.swap.drink);
        let Ok(swapped) = &one.swap.outcome else { continue };
        let texts = |of: fn(&SwappedPour) -> &String| {
            plain(
                &one.swap
                    .pours
                    .iter()
                    .map(|p| of(p).as_str())
                    .collect::<Vec<_>>()
                    .join(", "),
            )
        };
        let sum = |of: fn(&SwappedPour) -> f64| one.swap.pours.iter().map(of).sum::<f64>();
        let (before, after) = (
            &one.swap.before.figures,
            &swapped.measured.drink.evaluation.figures,
        );
        let mut row = vec![name.clone(), texts(|p| &p.from), texts(|p| &p.to)];
        row.extend(OF_MANY.map(FigureName::facts).map(|facts| {
            let of = |figures: &Figures| facts.number(figures.get(facts.which).value);
            printed::from_to(of(before), of(after))
        }));
        if ask.hold != Hold::Volume {
            row.push(format!("{:.2}", sum(|p| p.to_ml)));
            row.push(format!("{:+.1}", sum(|p| p.measured_water_ml)));
        }
        rows.add_row(row);
        said.push_str(&changed(one, swapped, &name));
    }
    let names: Vec<String> = told
        .iter()
        .map(|t| t.swap.old.clone())
        .collect::<std::collections::BTreeSet<_>>()
        .into_iter()
        .collect();
    let new = told.first().map_or("", |t| t.swap.new.as_str());
    let mut text = format!(
        "{NAME}{}{NAME:#}, {} held, as measured; {SUGAR_AND_ACID}\n",
        printed::from_to(plain(&names.join(", ")), plain(new)),
        ask.hold.what()
    );
    text.push_str(&rows.lines());
    text.push_str(&said);
    for one in told {
        if let Err(refusal) = &one.swap.outcome {
            let first = format!("{NAME}{}{NAME:#}: {BAD}refused{BAD:#} ", plain(&one.swap.drink));
            text.push_str(&wrapped(&plain(&refusal.to_string()), &first, "  "));
        }
    }
    text
}

fn drink(told: &Told<'_>, ask: &SwapAsk) -> String {
    let mut text = heading(told.worked);
    for assumption in &told.swap.assumptions {
        let said = format!("{}: {}", assumption.about, assumption.taken);
        text.push_str(&under(DIM, "taken:", said));
    }
    match &told.swap.outcome {
        Err(refusal) => {
            let said = format!("{} by {}: {refusal}", told.swap.old, told.swap.new);
            text.push_str(&under(BAD, "refused", said));
            if ask.hold == Hold::Tartness && matches!(refusal, Refusal::TooMuch { .. }) {
                let said = format!(
                    "acid powder makes it as tart: washline adjust \"{}\" --to \"{}\"",
                    told.swap.new, told.swap.old
                );
                text.push_str(&wrapped(&plain(&said), "    ", "    "));
            }
        }
        Ok(swapped) => {
            for pour in &told.swap.pours {
                text.push_str(&pour_text(told, pour, ask.hold));
            }
            text.push_str(&water(told, swapped));
            text.push_str(&figures(told, swapped, ask.hold));
            text.push_str(&verdicts(told.swap.before, &swapped.measured.drink.evaluation));
            text.push_str(&allergens(told, swapped));
            for caution in &swapped.cautions {
                text.push_str(&under(LOOK, "caution", caution));
            }
            text.push_str(&unpriced(&told.cost));
        }
    }
    for note in &told.swap.notes {
        text.push_str(&under(LOOK, "note", note));
    }
    text.push_str(&done(&told.done, "  "));
    text
}

/// A line of what is poured now, what in its place, and what that holds.
fn pour_text(told: &Told<'_>, pour: &SwappedPour, hold: Hold) -> String {
    let amount = |text: &str| {
        if text.is_empty() {
            "to the top".to_owned()
        } else {
            plain(text)
        }
    };
    let mut text = format!(
        "  {}",
        printed::from_to(
            format!("{} {}", amount(&pour.from), plain(&told.swap.old)),
            format!("{NAME}{}{NAME:#} {}", amount(&pour.to), plain(&told.swap.new))
        )
    );
    if hold == Hold::Volume {
        if (pour.to_ml - pour.from_ml).abs() > 0.05 {
            let _ = write!(text, "  {DIM}{:.1} → {:.1} ml{DIM:#}", pour.from_ml, pour.to_ml);
        }
        return text + "\n";
    }
    if (pour.to_ml - pour.measured_ml).abs() >= SAME_ML {
        let _ = write!(text, "  {DIM}exactly {:.2} ml{DIM:#}", pour.to_ml);
    }
    text.push('\n');
    let counted = match hold {
        Hold::Tartness => format!(
            "{}, by the {} convention",
            hold.what(),
            told.worked.resolved.convention.word()
        ),
        _ => hold.what().to_owned(),
    };
    let said = format!(
        "{:.2} {} of {counted} in {:.1} ml; {:.2} {} in what is measured",
        pour.held,
        hold.unit(),
        pour.from_ml,
        pour.held_measured,
        hold.unit()
    );
    text + &wrapped(&said, &format!("  holds {}: ", hold.word()), "    ")
}

/// The water that goes missing or comes in, and what to do about it.
fn water(told: &Told<'_>, swapped: &Swapped) -> String {
    let ml: f64 = told.swap.pours.iter().map(|p| p.measured_water_ml).sum();
    let said = match &swapped.watered {
        Some(watered) => format!(
            "{:.1} ml less comes in: pour {} of water with it to keep the drink as long (last column; --with-water keeps it so)",
            -ml, watered.amount
        ),
        None if ml >= LEAST_WATER_ML && told.swap.hold != Hold::Volume => format!(
            "{ml:.1} ml more comes in: the drink is longer and thinner; leave that much out of a lengthener, or work it on colder, drier ice"
        ),
        None => return String::new(),
    };
    under(LOOK, "water", said)
}

/// The currency behind a sum, a space before it; nothing where no price tells.
fn in_currency(cost: &Costs) -> String {
    cost.before
        .currency
        .map_or(String::new(), |c| format!(" {}", c.code()))
}

fn figures(told: &Told<'_>, swapped: &Swapped, hold: Hold) -> String {
    let evaluations = columns(told, swapped, hold);
    let mut headings = vec!["    ".to_owned(), ">now".to_owned()];
    headings.extend(evaluations.iter().map(|(name, ..)| format!(">{name}")));
    let mut rows = table(&headings);
    for facts in &FIGURES {
        let said = |figures: &Figures| number(figures.get(facts.which).value, facts.places());
        let mut row = vec![format!("    {}", facts.label()), said(&told.swap.before.figures)];
        row.extend(evaluations.iter().map(|(_, e, _)| said(&e.figures)));
        rows.add_row(row);
    }
    let currency = in_currency(&told.cost);
    if complete(&told.cost.before).is_some()
        || evaluations.iter().any(|(.., c)| c.and_then(complete).is_some())
    {
        let shown = |costing: &Costing| complete(costing).map_or_else(printed::none, |c| c.to_string());
        let mut row = vec![format!("    cost{currency}"), shown(&told.cost.before)];
        row.extend(
            evaluations
                .iter()
                .map(|(.., c)| c.map_or_else(printed::none, shown)),
        );
        rows.add_row(row);
    } else if evaluations
        .iter()
        .any(|(.., c)| c.and_then(|c| change(&told.cost.before, c)).is_some())
    {
        let mut row = vec![format!("    cost change{currency}"), String::new()];
        row.extend(evaluations.iter().map(|(.., c)| {
            c.and_then(|c| change(&told.cost.before, c))
                .map_or_else(printed::none, |c| format!("{c:+}"))
        }));
        rows.add_row(row);
    }
    rows.lines()
}

/// What stands beside the drink as it is.
fn columns<'a>(
    told: &'a Told<'_>,
    swapped: &'a Swapped,
    hold: Hold,
) -> Vec<(String, &'a Evaluation, Option<&'a Costing>)> {
    let mut columns = Vec::new();
    let exact = told
        .swap
        .pours
        .iter()
        .all(|p| (p.to_ml - p.measured_ml).abs() < SAME_ML);
    if hold != Hold::Volume && !exact {
        columns.push((
            "exact".to_owned(),
            &swapped.exact.drink.evaluation,
            told.cost.exact.as_ref(),
        ));
    }
    let measured = if hold == Hold::Volume || exact {
        "after"
    } else {
        "measured"
    };
    columns.push((
        measured.to_owned(),
        &swapped.measured.drink.evaluation,
        told.cost.measured.as_ref(),
    ));
    if let Some(watered) = &swapped.watered {
        let name = format!("+ {} water", plain(&watered.amount));
        columns.push((
            name,
            &watered.version.drink.evaluation,
            told.cost.watered.as_ref(),
        ));
    }
    columns
}

/// Why there is no cost, where some of it is priced.
fn unpriced(cost: &Costs) -> String {
    let after = cost.measured.as_ref();
    let costings = [Some(&cost.before), after];
    if !costings.iter().flatten().any(|c| c.has_any_price()) {
        return String::new();
    }
    let mut names: Vec<&str> = costings
        .iter()
        .flatten()
        .flat_map(|c| c.unpriced().map(|(line, _)| line.name.as_str()))
        .collect();
    names.sort_unstable();
    names.dedup();
    if names.is_empty() {
        return String::new();
    }
    wrapped(&plain(&names.join(", ")), "  no cost, not priced: ", "    ")
}

/// Verdicts that change, and what there is to say that was not before.
fn verdicts(before: &Evaluation, after: &Evaluation) -> String {
    let mut text = String::new();
    for change in verdict_changes(before, after) {
        let _ = writeln!(text, "  {LOOK}{change}{LOOK:#}");
    }
    for finding in new_findings(before, after) {
        text.push_str(&under(LOOK, "now", finding));
    }
    text
}

/// What sort of drink it is no more, and which verdicts are others.
fn verdict_changes(before: &Evaluation, after: &Evaluation) -> Vec<String> {
    let mut changes = Vec::new();
    if before.structure != after.structure {
        let sorts = printed::from_to(structure(before.structure), structure(after.structure));
        changes.push(format!("another sort of drink: {sorts}"));
    }
    for measure in BalanceFigure::ALL {
        let (was, is) = (
            before.verdicts[measure as usize],
            after.verdicts[measure as usize],
        );
        if was != is {
            let verdicts = printed::from_to(was.words(), is.words());
            changes.push(format!("{}: {verdicts}", measure.name()));
        }
    }
    changes
}

fn allergens(told: &Told<'_>, swapped: &Swapped) -> String {
    let resolved = &told.worked.resolved;
    let after = &swapped.measured.drink.resolved;
    let line = |list: &str, change: &AllergenChange, now: &Declaration, then: &Declaration| -> String {
        if change.comes.is_empty() && change.goes.is_empty() {
            return wrapped(
                &format!("{} (no change)", now.sentence()),
                &format!("  allergens {list}: "),
                "    ",
            );
        }
        let mut said = Vec::new();
        if !change.comes.is_empty() {
            said.push(format!("comes: {}", change.comes.join(", ")));
        }
        if !change.goes.is_empty() {
            said.push(format!("goes: {}", change.goes.join(", ")));
        }
        let said = format!("{}; now {}", said.join("; "), then.sentence());
        wrapped(
            &plain(&said),
            &format!("  {LOOK}allergens {list}{LOOK:#}: "),
            "    ",
        )
    };
    let eu = line(
        "EU",
        &swapped.allergens_eu,
        &resolved.allergens_eu,
        &after.allergens_eu,
    );
    let us = line(
        "US",
        &swapped.allergens_us,
        &resolved.allergens_us,
        &after.allergens_us,
    );
    eu + &us
}
