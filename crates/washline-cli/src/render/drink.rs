//! Drinks on the screen: many in short, one in full.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;
use washline_core::balance::{BalanceFigure, Band, StandardDrink, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Declaration;
use washline_core::melt::MeltModel;
use washline_core::names::key;
use washline_core::spec::Role;
use washline_core::tables::FigureName;
use washline_core::tables::cautions::ESTIMATES;
use washline_pages::words::{self, NO_ICE_MELTS, fill};

use super::bands::{Scale, picture};
use super::glance::{found, seasons_and_tags};
use super::style::{DIM, LOOK, NAME};
use super::tally::{Cautioned, Taken};
use super::{interval, number, paragraph, plain, structure, table, under, width, wrapped};

/// The bands to draw a measure in: none where there is no verdict.
pub fn band(report: &ComputedDrink, measure: BalanceFigure) -> Band {
    match report.evaluation.verdicts[measure as usize] {
        Verdict::NoBand => Band::default(),
        _ => report.bands()[measure as usize].clone(),
    }
}

fn padded(text: &str, to: usize) -> String {
    format!("{text}{}", " ".repeat(to.saturating_sub(text.width())))
}

/// Where a drink lies among published ones: family, how far out, nearest relatives.
fn place(report: &ComputedDrink) -> String {
    let Some(placed) = &report.evaluation.placed else {
        return String::new();
    };
    let mut said = placed.family.name().to_owned();
    if let Some(near) = placed.near {
        let _ = write!(said, " (near {near})");
    }
    if let Some(pct) = placed.further_out_pct {
        let _ = write!(
            said,
            ", further out than {pct:.0} % of {} published",
            placed.count
        );
        if placed.is_pooled() {
            let from: Vec<&str> = placed.compared_with.iter().map(|f| f.name()).collect();
            let _ = write!(said, " ({}: too few of its own)", from.join(", "));
        }
    }
    if !placed.nearest.is_empty() {
        let _ = write!(said, "; nearest (sugar / acid): {}", placed.relatives_said());
    }
    wrapped(&plain(&said), "  family  ", "          ")
}

/// What figures are for, and what they are not.
pub fn estimates() -> String {
    paragraph(ESTIMATES)
}

/// What a drink is called, how it is made, and where it stands.
pub fn heading(drink: &ComputedDrink) -> String {
    let made = format!(
        "{}{DIM}, {} (version {}){DIM:#}",
        structure(drink.evaluation.structure),
        plain(&drink.found_in.lists_in_words()),
        drink.found_in.version
    );
    wrapped(&made, &format!("{NAME}{}{NAME:#}  ", plain(drink.name())), "  ")
}

/// A drink with all its figures.
pub fn drink_in_full(report: &ComputedDrink) -> String {
    one_in_full(report, "") + "\n"
}

/// One drink (once a book it stands in), with its spec, what each step brings, and why these figures.
pub fn in_full(reports: &[ComputedDrink]) -> String {
    let mut text = String::new();
    for report in reports {
        text.push_str(&one_in_full(report, &report.source.text));
    }
    let mut taken = Taken::default();
    for report in reports {
        taken.put(report.name(), &report.resolved.assumptions);
    }
    text + &taken.text() + &cautions(reports)
}

/// The cautions that belong to a list of drinks.
pub fn cautions(reports: &[ComputedDrink]) -> String {
    let mut cautioned = Cautioned::default();
    for report in reports {
        cautioned.put(&report.resolved.cautions);
    }
    cautioned.text()
}

/// From which width of the screen what was typed and how it was read stand beside each other.
const SIDE_BY_SIDE: usize = 100;

/// What was typed, for what is said of it to stand beside it where there is room, else below it: the lines above, how
/// the first line begins, and how those that follow it do.
fn beside(typed: &str) -> (String, String, String) {
    const COLUMN: usize = 44;
    match width() >= SIDE_BY_SIDE {
        true => {
            let first = format!("  {}  ", padded(typed, COLUMN));
            (String::new(), first, " ".repeat(COLUMN + 4))
        }
        false => (wrapped(typed, "  ", "  "), " ".repeat(4), " ".repeat(4)),
    }
}

/// How each line of a drink was read.
pub fn explained(report: &ComputedDrink) -> String {
    let pours = report.pours();
    let mut text = format!(
        "{NAME}{}{NAME:#}  {}\n",
        plain(report.name()),
        structure(report.evaluation.structure)
    );
    for (position, line) in report.drink.lines().enumerate() {
        let typed = report
            .source
            .text
            .get(line.span.clone())
            .unwrap_or_default()
            .trim();
        let read = match pours.iter().find(|p| p.position == position) {
            Some(pour) => format!(
                "{}: {:.2} ml, {:.2} g",
                pour.ingredient, pour.volume_ml, pour.mass_g
            ),
            None => line.step.to_string(),
        };
        let written = line.step.to_string();
        let (above, first, aside) = beside(&plain(typed));
        text.push_str(&above);
        text.push_str(&wrapped(
            &plain(&written),
            &format!("{first}{DIM}read as{DIM:#} "),
            &format!("{aside}        "),
        ));
        if read != written {
            let under = format!("{aside}        ");
            text.push_str(&wrapped(&plain(&read), &under, &under));
        }
        for said in &line.assumptions {
            text.push_str(&wrapped(
                &plain(&format!("{}: {}", said.about, said.taken)),
                &format!("{aside}      {LOOK}~{LOOK:#} "),
                &format!("{aside}        "),
            ));
        }
    }
    text.push_str(&every_word(report));
    text.push('\n');
    text
}

/// The season and the tags that a drink has from its list: `season autumn; tags house`.
fn of_its_list(report: &ComputedDrink) -> String {
    let own: Vec<String> = report.drink.tags().map(key).collect();
    let seasons: Vec<&str> = match report.drink.seasons().next() {
        Some(_) => Vec::new(),
        None => report.seasons(),
    };
    let tags: Vec<&str> = report
        .tags()
        .into_iter()
        .filter(|tag| !own.contains(&key(tag)))
        .collect();
    seasons_and_tags(&seasons, &tags)
}

/// What each word of a drink was read as, line by line.
fn every_word(report: &ComputedDrink) -> String {
    let typed = report.source.text.as_str();
    let line_of = |at: usize| typed.get(..at).map_or(0, |before| before.matches('\n').count());
    let mut text = String::from("  every word\n");
    let mut at = 0;
    let account = &report.drink.account;
    while at < account.len() {
        let line = line_of(account[at].span.start);
        let end = (at..account.len())
            .find(|&i| line_of(account[i].span.start) != line)
            .unwrap_or(account.len());
        let words: Vec<String> = account[at..end]
            .iter()
            .filter(|word| word.role != Role::Mark)
            .map(|word| format!("{} ({})", plain(&word.text), word.role.word()))
            .collect();
        if !words.is_empty() {
            text.push_str(&wrapped(&words.join("  "), "    ", "      "));
        }
        at = end;
    }
    text
}

/// What is poured.
fn pours(report: &ComputedDrink) -> String {
    let mut pours = table(&["  poured", "", ">ml", ">g", ">alcohol g", ">sugar g", ">acid g"]);
    for pour in &report.pours() {
        pours.add_row([
            format!("  {}", plain(&pour.written)),
            plain(&pour.ingredient),
            format!("{:.1}", pour.volume_ml),
            format!("{:.1}", pour.mass_g),
            format!("{:.2}", pour.ethanol_g),
            format!("{:.2}", pour.sugar_g),
            format!("{:.2}", pour.acid_g),
        ]);
    }
    pours.lines()
}

/// The figures before ice and in the glass, with what each is judged by.
fn stages(report: &ComputedDrink) -> String {
    let evaluation = &report.evaluation;
    let mut stages = table(&["", ">before ice", ">in glass", "95 % interval", ""]);
    let (before, after) = (&evaluation.before, &evaluation.figures);
    for measure in BalanceFigure::ALL {
        let d = usize::from(measure.decimals());
        let verdict = evaluation.verdicts[measure as usize];
        let band = band(report, measure);
        let half = if band.core.as_ref().is_some_and(|c| c.own) {
            "house"
        } else {
            "half"
        };
        let printed = [("published", &band.outer), (half, &band.core)]
            .iter()
            .filter_map(|(word, span)| span.as_ref().map(|s| format!("{word} {}", s.printed())))
            .collect::<Vec<_>>()
            .join(", ");
        let value = after.measured(measure).value;
        let drawn = if verdict == Verdict::NoBand {
            String::new()
        } else {
            picture(value, &band, verdict, Scale::Wide)
        };
        stages.add_row([
            format!("  {}", measure.which().facts().label()),
            number(before.measured(measure).value, d),
            number(value, d),
            interval(after.measured(measure), d).unwrap_or_default(),
            drawn,
        ]);
        stages.aside(if verdict == Verdict::NoBand {
            verdict.words().to_owned()
        } else {
            printed
        });
    }
    // What only ice or the glass gives is none of the mix.
    let mut row = |which: FigureName, in_the_mix: bool, more: String| {
        let (facts, after) = (which.facts(), after.get(which));
        stages.add_row([
            format!("  {}", facts.label()),
            match in_the_mix {
                true => number(before.get(which).value, facts.places()),
                false => String::new(),
            },
            number(after.value, facts.places()),
            interval(after, facts.places()).unwrap_or_default(),
            String::new(),
        ]);
        stages.aside(more);
    };
    row(FigureName::Volume, true, plain(&fill(report)));
    row(FigureName::SugarToAcid, true, String::new());
    let water = match evaluation.melt_model {
        MeltModel::None => NO_ICE_MELTS.to_owned(),
        model => format!(
            "{} % of mix, {} % of drink, {}",
            number(after.water_pct_of_mix.value, 0),
            number(after.water_pct_of_finished.value, 0),
            match model {
                MeltModel::Given => "as given",
                MeltModel::Weighed => "as weighed",
                MeltModel::House => "house melt",
                MeltModel::HeatBalance => "by energy",
                MeltModel::Handbook | MeltModel::None => "handbook",
            }
        ),
    };
    row(FigureName::WaterGained, false, water);
    row(FigureName::Temperature, false, "as it is served".to_owned());
    let unit = StandardDrink::of_country(report.standard_drink())
        .map(StandardDrink::unit)
        .unwrap_or_default();
    row(
        FigureName::Alcohol,
        true,
        format!(
            "{} {unit}; ice does not change this",
            number(
                after.standard_drinks.value,
                FigureName::StandardDrinks.facts().places()
            )
        ),
    );
    let kcal = Some(report.built.glass.energy_kcal());
    row(FigureName::Energy, true, format!("{} kcal", number(kcal, 0)));
    stages.lines()
}

fn one_in_full(report: &ComputedDrink, spec: &str) -> String {
    let mut text = String::new();
    let evaluation = &report.evaluation;
    text.push_str(&heading(report));
    for line in spec.lines().skip(1).skip_while(|l| l.is_empty()) {
        text.push_str(format!("  {}", plain(line)).trim_end());
        text.push('\n');
    }
    let by_list = of_its_list(report);
    if !by_list.is_empty() {
        text.push_str(&under(DIM, "of its list:", by_list));
    }
    text.push('\n');
    text.push_str(&pours(report));
    text.push('\n');
    text.push_str(&stages(report));
    text.push_str(&place(report));
    text.push_str(&doubts(report));
    if !evaluation.findings.is_empty() {
        text.push('\n');
    }
    for finding in &evaluation.findings {
        text.push_str(&found(finding));
    }
    text.push('\n');
    text.push_str(&wrapped(
        &plain(&Declaration::of_both_lists(
            &report.resolved.allergens_eu,
            &report.resolved.allergens_us,
        )),
        "  allergens  ",
        "             ",
    ));
    let _ = writeln!(
        text,
        "  {DIM}acid as citric, {} convention{DIM:#}",
        report.convention().word()
    );
    text
}

/// How many inputs of the doubt about a measure are shown, and from which share of it.
const DOUBTS_SHOWN: usize = 3;
const LEAST_DOUBT_SHOWN: f64 = 0.05;

/// What the doubt about each measure is made of.
fn doubts(report: &ComputedDrink) -> String {
    let mut text = String::new();
    for measure in BalanceFigure::ALL {
        let parts = words::doubts(report, measure, DOUBTS_SHOWN, LEAST_DOUBT_SHOWN);
        if !parts.is_empty() {
            let opening = if text.is_empty() { "  doubt  " } else { "         " };
            text.push_str(&wrapped(
                &plain(&format!("{}: {}", measure.name(), parts.join("; "))),
                opening,
                "           ",
            ));
        }
    }
    if text.is_empty() {
        text
    } else {
        format!("\n{text}")
    }
}
