//! Drinks in other bars: what changes, why, and what to pour there; and how well drinks hold at all.

use std::fmt::Write as _;

use washline_core::advise::{Arrival, Journey, PourThere, Restoring, Robust, Visit};
use washline_core::balance::{BalanceFigure, Figure, Figures, SURE, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::tables::cautions::BEFORE_GUESTS;
use washline_core::tables::printed::{self, change, percent};
use washline_core::tables::{FigureName, difference_as_printed};

use super::style::{BAD, DIM, GOOD, LOOK, NAME};
use washline_pages::note::{WITHIN_A_STEP, gap, why};

use super::{count, interval, number, paragraph, plain, structure, table, under, wrapped};

/// Everything for a reader. `alone`: one drink was named, and is told in full.
pub fn text(drinks: &[ComputedDrink], visits: &[Visit], alone: bool) -> String {
    let mut text = String::new();
    if visits.len() > 1 {
        text.push_str(&if alone {
            one_in_many(drinks, visits)
        } else {
            many_in_many(drinks, visits)
        });
        text.push('\n');
    }
    for visit in visits {
        text.push_str(&heading(visit));
        if alone {
            for (worked, arrival) in drinks.iter().zip(&visit.drinks) {
                text.push_str(&in_full(worked, arrival));
            }
        } else {
            text.push_str(&overview(visit));
        }
        text.push('\n');
    }
    text.push_str(&paragraph(&format!(
        "Intervals hold 95 % of cases. {BEFORE_GUESTS}."
    )));
    text
}

fn journeys(visit: &Visit) -> impl Iterator<Item = &Journey> {
    visit.drinks.iter().filter_map(|a| match a {
        Arrival::Poured(journey) => Some(journey),
        Arrival::Stranded { .. } => None,
    })
}

fn heading(visit: &Visit) -> String {
    let all: Vec<&Journey> = journeys(visit).collect();
    let moved = all.iter().filter(|j| j.moves()).count();
    let verdicts = all.iter().filter(|j| !j.verdicts_changed.is_empty()).count();
    let stranded = visit.drinks.len() - all.len();
    let name = format!(
        "{NAME}{}{NAME:#} {DIM}({}){DIM:#}  ",
        plain(&visit.bar),
        plain(&visit.file)
    );
    let mut said = format!(
        "{}: {GOOD}{} as at home{GOOD:#}",
        count(visit.drinks.len(), "drink", "drinks"),
        all.len() - moved
    );
    for (n, words, style) in [
        (moved - moved.min(verdicts), "move within their verdict", LOOK),
        (verdicts, "with another verdict", BAD),
        (stranded, "cannot be worked out there", BAD),
    ] {
        if n > 0 {
            let _ = write!(said, ", {style}{n} {words}{style:#}");
        }
    }
    let mut text = wrapped(&said, &name, "  ");
    if let Some(journey) = all.iter().find(|j| j.recounted) {
        let said = format!(
            "Both bars counted by the {} convention, as the sheet is: home's own figures differ from those of its book.",
            journey.convention.word()
        );
        text.push_str(&under(DIM, "note", said));
    }
    for note in &visit.notes {
        text.push_str(&under(LOOK, "note", note));
    }
    text
}

/// The figures that are told of each of many drinks.
const OF_MANY: [FigureName; 4] = [
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
    FigureName::Volume,
];

/// What stands over their columns.
fn moved_figures() -> [String; 4] {
    OF_MANY.map(|which| format!(">{}", which.facts().word))
}

/// Each of them at home and there: `18.7 → 17.9`, or `18.7` where it is the same as printed.
fn moves(journey: &Journey) -> [String; 4] {
    OF_MANY.map(FigureName::facts).map(|facts| {
        let of = |figures: &Figures| facts.number(figures.get(facts.which).value);
        printed::moved(&of(&journey.home.figures), &of(&journey.there.figures))
    })
}

fn verdicts(journey: &Journey) -> String {
    journey
        .verdicts_changed
        .iter()
        .map(|(measure, home, there)| {
            let verdicts = printed::from_to(home.word(), there.word());
            format!("{} {verdicts}", measure.name())
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// `lemon juice 22.5 ml → 25 ml`, of every pour that changes.
fn changed(journey: &Journey) -> String {
    journey
        .pours
        .iter()
        .filter(|p| p.changed)
        .map(|p| match p.from.as_str() {
            "" => format!("add {} {}", p.to, name(p)),
            from => format!("{} {}", name(p), printed::from_to(from, &p.to)),
        })
        .collect::<Vec<_>>()
        .join(", ")
}

/// What the spec calls it.
fn name(pour: &PourThere) -> &str {
    if pour.called.is_empty() {
        &pour.ingredient
    } else {
        &pour.called
    }
}

/// What there is to say of a drink, or nothing.
type Said<'a> = &'a dyn Fn(&Journey) -> String;

/// One bar, many drinks.
fn overview(visit: &Visit) -> String {
    let mut text = String::new();
    let mut headings = vec![" ".to_owned(), "drink".to_owned()];
    headings.extend(moved_figures());
    headings.push("most of it from".to_owned());
    let mut rows = table(&headings);
    let mut still: Vec<String> = Vec::new();
    for journey in journeys(visit) {
        if !journey.moves() {
            still.push(plain(&journey.drink));
            continue;
        }
        let mark = if journey.verdicts_changed.is_empty() {
            " "
        } else {
            "!"
        };
        let cause = journey
            .cause
            .as_ref()
            .map_or_else(printed::none, |c| plain(&c.gap.kind.to_string()));
        let mut row = vec![mark.to_owned(), plain(&journey.drink)];
        row.extend(moves(journey));
        row.push(cause);
        rows.add_row(row);
    }
    if still.len() < journeys(visit).count() {
        text.push_str(&rows.lines());
    }
    if !still.is_empty() {
        text.push_str(&wrapped(
            &still.join("; "),
            &format!("  {GOOD}As at home{GOOD:#} ({}): ", still.len()),
            "    ",
        ));
    }
    text.push_str(&sections(visit));
    let mut causes: Vec<String> = Vec::new();
    for cause in journeys(visit).filter_map(|j| j.cause.as_ref()) {
        let said = plain(&cause.gap.to_string());
        if !cause.gap.how.is_empty() && !causes.contains(&said) {
            causes.push(said);
        }
    }
    if !causes.is_empty() {
        text.push_str(&wrapped(
            &causes.join("; "),
            &format!("  {NAME}There{NAME:#}: "),
            "    ",
        ));
    }
    text.push_str(&stranded(visit));
    text
}

/// What there is to say of the drinks, by what it is about.
fn sections(visit: &Visit) -> String {
    let mut text = String::new();
    let sections: [(&str, Said<'_>); 3] = [
        ("Another verdict", &verdicts),
        ("In the glass", &Journey::glass_words),
        ("Pour there", &|j| match j.restoring {
            Restoring::AsWritten => String::new(),
            Restoring::Restored => changed(j),
            Restoring::Closest if changed(j).is_empty() => {
                format!("as written comes closest; {}", j.because.join("; "))
            }
            Restoring::Closest => format!("{}; closest, for {}", changed(j), j.because.join("; ")),
        }),
    ];
    for (title, said) in sections {
        let all: Vec<(&Journey, String)> = journeys(visit)
            .map(|j| (j, said(j)))
            .filter(|(_, s)| !s.is_empty())
            .collect();
        if all.is_empty() {
            continue;
        }
        let _ = writeln!(text, "  {NAME}{title}{NAME:#}");
        for (journey, said) in all {
            text.push_str(&wrapped(
                &plain(&said),
                &format!("    {}: ", plain(&journey.drink)),
                "      ",
            ));
        }
    }
    let same = journeys(visit)
        .filter(|j| j.restoring == Restoring::AsWritten)
        .count();
    if same > 0 && same < visit.drinks.len() {
        let _ = writeln!(text, "    the other {same}: as written");
    } else if same > 0 {
        let _ = writeln!(
            text,
            "  {NAME}Pour there{NAME:#} as written: every drink is {WITHIN_A_STEP} of home"
        );
    }
    text
}

fn stranded(visit: &Visit) -> String {
    let mut text = String::new();
    for arrival in &visit.drinks {
        if let Arrival::Stranded { drink, faults } = arrival {
            let why: Vec<&str> = faults.iter().map(|f| f.message.as_str()).collect();
            text.push_str(&wrapped(
                &plain(&why.join("; ")),
                &format!("  {BAD}!{BAD:#} {} cannot be worked out there: ", plain(drink)),
                "    ",
            ));
        }
    }
    text
}

/// What became of one drink, in a few words.
fn in_short(arrival: &Arrival) -> String {
    match arrival {
        Arrival::Stranded { .. } => "cannot be worked out".to_owned(),
        Arrival::Poured(journey) if !journey.verdicts_changed.is_empty() => verdicts(journey),
        Arrival::Poured(journey) if journey.moves() => journey.cause.as_ref().map_or_else(
            || "moves".to_owned(),
            |c| format!("moves: {}", plain(&c.gap.kind.to_string())),
        ),
        Arrival::Poured(_) => "as at home".to_owned(),
    }
}

/// Many drinks in many bars: a row a drink, a column a bar.
fn many_in_many(drinks: &[ComputedDrink], visits: &[Visit]) -> String {
    let mut headings = vec!["drink".to_owned()];
    headings.extend(visits.iter().map(|v| plain(&v.bar)));
    let mut rows = table(&headings);
    for (i, worked) in drinks.iter().enumerate() {
        let mut row = vec![plain(worked.name())];
        row.extend(
            visits
                .iter()
                .map(|v| v.drinks.get(i).map_or_else(String::new, in_short)),
        );
        rows.add_row(row);
    }
    rows.lines()
}

/// One drink in many bars: a row a bar.
fn one_in_many(drinks: &[ComputedDrink], visits: &[Visit]) -> String {
    let mut text = String::new();
    for (i, worked) in drinks.iter().enumerate() {
        let _ = writeln!(
            text,
            "{NAME}{}{NAME:#} {DIM}{}{DIM:#}",
            plain(worked.name()),
            plain(&worked.found_in.lists_in_words())
        );
        let mut headings = vec!["  bar".to_owned()];
        headings.extend(moved_figures());
        headings.push("pour there".to_owned());
        let mut rows = table(&headings);
        for visit in visits {
            let Some(Arrival::Poured(journey)) = visit.drinks.get(i) else {
                continue;
            };
            let pours = match (journey.restoring, changed(journey)) {
                (Restoring::AsWritten, _) => "as written".to_owned(),
                (_, pours) => plain(&pours),
            };
            let mut row = vec![format!("  {}", plain(&visit.bar))];
            row.extend(moves(journey));
            row.push(pours);
            rows.add_row(row);
        }
        text.push_str(&rows.lines());
    }
    text
}

/// The figures that are shown of a drink.
const SHOWN: [FigureName; 8] = [
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
    FigureName::Volume,
    FigureName::WaterOfMix,
    FigureName::Alcohol,
    FigureName::Energy,
    FigureName::Temperature,
];

/// By how much, as printed, with its sign.
fn difference(home: Figure, there: Figure, decimals: usize) -> String {
    change(
        there
            .value
            .zip(home.value)
            .map(|(there, home)| difference_as_printed(home, there, decimals)),
        decimals,
    )
}

/// One drink in one bar, with everything.
fn in_full(worked: &ComputedDrink, arrival: &Arrival) -> String {
    let journey = match arrival {
        Arrival::Poured(journey) => journey,
        Arrival::Stranded { drink, faults } => {
            let why: Vec<&str> = faults.iter().map(|f| f.message.as_str()).collect();
            return wrapped(
                &plain(&why.join("; ")),
                &format!("  {BAD}!{BAD:#} {}: ", plain(drink)),
                "    ",
            );
        }
    };
    let mut text = format!(
        "  {NAME}{}{NAME:#}  {}{DIM}, {} (version {}){DIM:#}\n",
        plain(&journey.drink),
        structure(journey.structure()),
        plain(&worked.found_in.lists_in_words()),
        worked.found_in.version
    );
    text.push_str(&figures(journey));
    match &journey.cause {
        Some(cause) => {
            text.push_str(&wrapped(
                &why(cause),
                &format!("  {NAME}most of it from{NAME:#} {}: ", gap(Some(cause))),
                "    ",
            ));
        }
        None if journey.moves() => text.push_str("  no one difference explains it\n"),
        None => text.push_str(&format!("  {GOOD}as at home{GOOD:#}\n")),
    }
    text.push_str(&glass_there(journey));
    text.push_str(&pours_there(journey));
    text
}

/// Its figures at home, there and restored.
fn figures(journey: &Journey) -> String {
    let mut rows = table(&[
        "  ",
        ">home",
        "95 %",
        ">there",
        "95 %",
        ">change",
        "verdict",
        ">restored",
    ]);
    let (home, there, restored) = (&journey.home.figures, &journey.there.figures, &journey.restored);
    for facts in SHOWN.map(FigureName::facts) {
        let d = facts.places();
        let [home, there, restored] = [home, there, restored].map(|figures| figures.get(facts.which));
        let verdict = match BalanceFigure::ALL.iter().find(|m| m.which() == facts.which) {
            Some(measure) => {
                let (a, b) = (
                    journey.home.verdicts[*measure as usize],
                    journey.there.verdicts[*measure as usize],
                );
                match (a, b) {
                    (Verdict::NoBand, Verdict::NoBand) => String::new(),
                    _ => printed::moved(a.word(), b.word()),
                }
            }
            None => String::new(),
        };
        rows.add_row([
            format!("  {}", facts.label()),
            number(home.value, d),
            interval(home, d).unwrap_or_default(),
            number(there.value, d),
            interval(there, d).unwrap_or_default(),
            difference(home, there, d),
            verdict,
            restored.value.map_or_else(String::new, |v| number(v, d)),
        ]);
    }
    rows.lines()
}

/// The glass it comes in there.
fn glass_there(journey: &Journey) -> String {
    let Some(glass) = &journey.there.glass else {
        return String::new();
    };
    let fit = match plain(&journey.glass_words()) {
        fit if fit.is_empty() => fit,
        fit => format!("; {LOOK}{fit}{LOOK:#}"),
    };
    format!("  glass there: {}{fit}\n", plain(&glass.words()))
}

/// What to pour there, and why that comes no nearer to home.
fn pours_there(journey: &Journey) -> String {
    let mut text = String::new();
    let words = match journey.restoring {
        Restoring::AsWritten => &format!("as written: {WITHIN_A_STEP} of home"),
        Restoring::Restored => "to be as at home",
        Restoring::Closest => "no nearer to home than this",
    };
    let _ = writeln!(text, "  {NAME}pour there{NAME:#} {DIM}({words}){DIM:#}");
    for pour in &journey.pours {
        let was = match (pour.changed, pour.from.as_str()) {
            (false, _) => String::new(),
            (true, "") => format!("  {LOOK}(added){LOOK:#}"),
            (true, from) => format!("  {LOOK}(written {}){LOOK:#}", plain(from)),
        };
        let _ = writeln!(text, "    {}{was}", plain(&pour.line));
    }
    if !journey.because.is_empty() {
        text.push_str(&wrapped(
            &plain(&journey.because.join("; ")),
            "  because ",
            "    ",
        ));
    }
    text
}

/// How well drinks hold, for a reader.
pub fn robust_text(all: &[Robust]) -> String {
    if all.is_empty() {
        return "no drinks\n".to_owned();
    }
    let mut text = String::new();
    let mut rows = table(&[
        " ",
        "drink",
        ">in range",
        "weakest",
        ">figure",
        "95 %",
        "usual",
        "least sure verdict",
        ">holds",
    ]);
    let mut silent: Vec<String> = Vec::new();
    for robust in all {
        let (Some(weakest), Some(least)) = (robust.weakest(), robust.least_sure()) else {
            silent.push(plain(&robust.drink));
            continue;
        };
        let mark = if robust.is_fragile() { "!" } else { " " };
        let d = usize::from(weakest.measure.decimals());
        rows.add_row([
            mark.to_owned(),
            plain(&robust.drink),
            percent(weakest.within),
            weakest.measure.name().to_owned(),
            number(Some(weakest.value), d),
            printed::range(weakest.interval.0, weakest.interval.1, d),
            weakest.usual.printed(),
            format!("{} {}", least.measure.name(), least.computed.word()),
            percent(least.keeps),
        ]);
    }
    if silent.len() < all.len() {
        text.push_str(&rows.lines());
    }
    let fragile: Vec<&Robust> = all.iter().filter(|r| r.is_fragile()).collect();
    let firm = all.len() - silent.len() - fragile.len();
    let _ = writeln!(
        text,
        "\n{NAME}{}{NAME:#}: {GOOD}{firm} keep their verdict{GOOD:#}, {LOOK}{} fragile{LOOK:#}",
        count(all.len(), "drink", "drinks"),
        fragile.len()
    );
    for robust in &fragile {
        if let Some((hold, budget)) = robust
            .least_sure()
            .and_then(|h| h.hangs_on.as_ref().map(|b| (h, b)))
        {
            let said = format!(
                "{} hangs on {} ({}): {}",
                hold.measure.name(),
                budget.input,
                percent(budget.share),
                budget.settled_by
            );
            text.push_str(&wrapped(
                &plain(&said),
                &format!("  {}: ", plain(&robust.drink)),
                "    ",
            ));
        }
    }
    if !silent.is_empty() {
        text.push_str(&wrapped(
            &silent.join("; "),
            &format!("{DIM}Without a range{DIM:#} ({}): ", silent.len()),
            "  ",
        ));
    }
    text.push_str(&paragraph(
        &format!(
            "In range: the share of cases, over the usual spread of limes, syrups, strengths, measures and melt, in which the weakest measure lies in its usual range. Holds: the share in which the least sure verdict stays what it is; below {} a drink is fragile (!).",
            percent(SURE)
        ),
    ));
    text
}
