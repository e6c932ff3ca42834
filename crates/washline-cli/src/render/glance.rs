//! Drinks at a glance: one line a drink, and a second where something is not right. What wants looking at comes first.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;
use washline_core::balance::{Finding, Measured, Severity, Standing, published};
use washline_core::computed::ComputedDrink;
use washline_core::store::InShort;

use super::bands::{self, Scale};
use super::drink::seasons_and_tags;
use super::style::{BAD, DIM, GOOD, LOOK, NAME};
use super::{count, number, plain, structure, width, wrapped};

/// What stands before a name: its mark and a space.
const GUTTER: usize = 2;
/// The longest word of a verdict, and a space.
const WORD: usize = 13;
/// The volume; a space follows it.
const VOLUME: usize = 4;
/// A figure, and a space before its scale.
const FIGURE: usize = 5 + 1;
/// Names are given between so much and so much room.
const NAMES: (usize, usize) = (20, 28);

/// What there is room for in a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Layout {
    name: usize,
    scale: Scale,
    volume: bool,
}

impl Layout {
    /// The most telling one that the screen has room for, where the longest name is so wide.
    fn fitting(longest: usize, width: usize) -> Layout {
        let wanted = longest.clamp(NAMES.0, NAMES.1);
        let [wide, slim, dots, mark] = [Scale::Wide, Scale::Slim, Scale::Dots, Scale::Mark];
        let last = Layout {
            name: NAMES.0,
            scale: mark,
            volume: false,
        };
        [(wide, true), (slim, true), (dots, true), (mark, true)]
            .into_iter()
            .map(|(scale, volume)| Layout {
                name: 0,
                scale,
                volume,
            })
            .map(|bare| Layout {
                name: width.saturating_sub(bare.width()).min(wanted),
                ..bare
            })
            .find(|layout| layout.name >= NAMES.0)
            .unwrap_or(last)
    }

    fn width(self) -> usize {
        GUTTER
            + self.name
            + 1
            + WORD
            + if self.volume { VOLUME + 1 } else { 0 }
            + Measured::ALL.len() * (FIGURE + self.scale.width())
    }

    fn heading(self) -> String {
        let mut text = " ".repeat(GUTTER + self.name + 1 + WORD);
        if self.volume {
            let _ = write!(text, "{:>VOLUME$} ", "ml");
        }
        for word in ["% vol", "sugar", "acid"] {
            let _ = write!(text, "{word:>5} {}", " ".repeat(self.scale.width()));
        }
        text.trim_end().to_owned()
    }
}

/// The layout of these drinks on this screen.
fn layout(reports: &[ComputedDrink]) -> Layout {
    let longest = reports.iter().map(|r| plain(r.name()).width()).max().unwrap_or(0);
    Layout::fitting(longest, width())
}

/// How the reasons are told.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Reasons {
    /// The gravest one of a drink that is not right.
    Gravest,
    /// All of every drink.
    All,
}

/// Every book's drinks, the gravest first, in one line each and a second where something is not right.
pub fn glance(reports: &[ComputedDrink], reasons: Reasons) -> String {
    let layout = layout(reports);
    let mut text = String::new();
    for book in super::books(reports, |r| &r.found_in.book) {
        if !text.is_empty() {
            text.push('\n');
        }
        let _ = writeln!(text, "{NAME}{}{NAME:#}", plain(&book[0].found_in.book));
        let _ = writeln!(text, "{DIM}{}{DIM:#}", layout.heading());
        let mut ordered = book;
        ordered.sort_by_key(|r| r.evaluation.standing());
        for report in ordered {
            one(&mut text, report, layout, reasons);
        }
    }
    text
}

fn one(text: &mut String, report: &ComputedDrink, layout: Layout, reasons: Reasons) {
    let evaluation = &report.evaluation;
    let (mark, style) = standing_mark(evaluation.standing());
    let word = evaluation.in_a_word();
    let name = plain(report.name());
    let _ = write!(text, "{style}{mark}{style:#} {}", named(&name, layout.name));
    let _ = write!(
        text,
        " {style}{word}{style:#}{}",
        " ".repeat(WORD.saturating_sub(word.width()))
    );
    if layout.volume {
        let _ = write!(
            text,
            "{:>VOLUME$} ",
            number(evaluation.figures.volume_ml.value, 0)
        );
    }
    for measure in Measured::ALL {
        let value = evaluation.figures.measured(measure).value;
        let verdict = evaluation.verdicts[measure as usize];
        let _ = write!(
            text,
            "{:>5} {}",
            number(value, usize::from(measure.decimals())),
            bands::picture(value, &super::band(report, measure), verdict, layout.scale)
        );
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    let not_right = |f: &&Finding| f.severity() > Severity::Note;
    match reasons {
        Reasons::All => {
            for finding in &evaluation.findings {
                text.push_str(&found(finding));
            }
        }
        Reasons::Gravest => {
            if let Some(finding) = evaluation.gravest().filter(not_right) {
                let more = evaluation.findings.iter().filter(not_right).count() - 1;
                let more = if more > 0 {
                    format!(" (and {more} more)")
                } else {
                    String::new()
                };
                text.push_str(&wrapped(&plain(&format!("{finding}{more}")), "    ", "    "));
            }
        }
    }
}

/// The mark of where a drink stands, told apart by shape, and its colour.
pub fn standing_mark(standing: Standing) -> (char, anstyle::Style) {
    match standing {
        Standing::Fault => ('!', BAD),
        Standing::Outside => ('◆', BAD),
        Standing::Edge => ('○', LOOK),
        Standing::TooClose => ('◐', LOOK),
        Standing::InBalance => ('●', GOOD),
        Standing::NoRange => ('·', DIM),
    }
}

/// The mark of how grave something is: that of a drink which has nothing graver.
pub fn grave_mark(severity: Severity) -> (char, anstyle::Style) {
    match severity {
        Severity::Fault => standing_mark(Standing::Fault),
        Severity::Outside => standing_mark(Standing::Outside),
        Severity::Edge => standing_mark(Standing::Edge),
        Severity::Note => ('-', DIM),
    }
}

/// A finding on a line of its own, marked by how grave it is.
pub fn found(finding: &Finding) -> String {
    let (mark, style) = grave_mark(finding.severity());
    wrapped(
        &plain(&finding.to_string()),
        &format!("    {style}{mark}{style:#} "),
        "      ",
    )
}

/// The drinks of a house by book, one a line: their figures as they are kept, and where they stand.
pub fn list(drinks: &[InShort]) -> String {
    list_with(drinks, &|_| String::new())
}

/// The same, each drink with more below it, where there is more.
pub fn list_with(drinks: &[InShort], more: &dyn Fn(&InShort) -> String) -> String {
    if drinks.is_empty() {
        return "no drinks\n".to_owned();
    }
    const METHOD: usize = 22;
    const STANDING: usize = 18;
    let figures = Measured::ALL.len() * FIGURE + 1;
    let bare = GUTTER + 1 + figures + STANDING;
    let longest = drinks.iter().map(|d| plain(&d.name).width()).max().unwrap_or(0);
    let wanted = longest.clamp(NAMES.0, NAMES.1);
    let with_volume = width() > bare + NAMES.0 + VOLUME;
    let bare = bare + if with_volume { VOLUME + 1 } else { 0 };
    let with_method = width() >= bare + wanted + METHOD;
    let name_room = width().saturating_sub(bare).clamp(NAMES.0, wanted);
    let row = |method: &str, volume: &str, figures: [&str; 3], standing: &str| {
        let mut text = String::from(" ");
        if with_method {
            let _ = write!(text, "{method:METHOD$}");
        }
        if with_volume {
            let _ = write!(text, "{volume:>VOLUME$} ");
        }
        for figure in figures {
            let _ = write!(text, "{figure:>FIGURE$}");
        }
        let _ = write!(text, " {standing}");
        text
    };
    let mut text = String::new();
    for book in super::books(drinks, |d| &d.book) {
        if !text.is_empty() {
            text.push('\n');
        }
        // What is said of every drink of a list is said of the list.
        let of_all = said_of(book[0]);
        let of_all = match book.iter().all(|d| said_of(d) == of_all) {
            true => of_all,
            false => String::new(),
        };
        let gap = if of_all.is_empty() { "" } else { "  " };
        let _ = writeln!(
            text,
            "{NAME}{}{NAME:#}{gap}{DIM}{}{DIM:#}",
            plain(&book[0].book),
            plain(&of_all)
        );
        let heading = row("method", "ml", ["% vol", "sugar", "acid"], "");
        let _ = writeln!(
            text,
            "{DIM}{}{}{DIM:#}",
            " ".repeat(GUTTER + name_room),
            heading.trim_end()
        );
        for drink in book {
            let (mark, style) = standing_mark(drink.standing);
            let _ = write!(
                text,
                "{style}{mark}{style:#} {}",
                named(&plain(&drink.name), name_room)
            );
            let figures = [
                number(drink.abv_pct, 1),
                number(drink.sugar_g_per_100ml, 1),
                number(drink.acid_g_per_100ml, 2),
            ];
            text.push_str(&row(
                structure(drink.structure),
                &number(drink.volume_ml, 0),
                [&figures[0], &figures[1], &figures[2]],
                drink.standing.words(),
            ));
            text.push('\n');
            let own = match of_all.is_empty() {
                true => said_of(drink),
                false => String::new(),
            };
            let more = [plain(&own), more(drink)];
            let more = more
                .iter()
                .filter(|m| !m.is_empty())
                .cloned()
                .collect::<Vec<_>>()
                .join("; ");
            if !more.is_empty() {
                let _ = write!(text, "{DIM}{}{DIM:#}", wrapped(&more, "    ", "    "));
            }
        }
    }
    let conventions: BTreeSet<&str> = drinks.iter().map(|d| d.convention.word()).collect();
    let said = format!(
        "{}; {}",
        count(drinks.len(), "drink", "drinks"),
        units(conventions)
    );
    let _ = writeln!(text, "\n{DIM}{}{DIM:#}", wrapped(&said, "", "  ").trim_end());
    text
}

/// The season and the tags of a drink.
fn said_of(drink: &InShort) -> String {
    let seasons: Vec<&str> = drink.seasons.iter().map(String::as_str).collect();
    let tags: Vec<&str> = drink.tags.iter().map(String::as_str).collect();
    seasons_and_tags(&seasons, &tags)
}

/// A name in its room; one that is longer is never cut and has a line of its own.
fn named(name: &str, room: usize) -> String {
    if name.width() > room {
        format!("{name}\n{}", " ".repeat(GUTTER + room))
    } else {
        format!("{name}{}", " ".repeat(room - name.width()))
    }
}

/// What sugar and acid are given in.
fn units(conventions: BTreeSet<&str>) -> String {
    let conventions: Vec<&str> = conventions.into_iter().collect();
    format!(
        "sugar and acid in g/100 ml, acid as citric ({} convention)",
        conventions.join(" and ")
    )
}

/// How many drinks are in order, at the edge, outside, at fault, not read, with the mark of each; and what the scales mean.
pub fn counts(reports: &[ComputedDrink], faults: usize) -> String {
    let tally = |standing: Standing| {
        let n = reports
            .iter()
            .filter(|r| r.evaluation.standing() == standing)
            .count();
        let (mark, style) = standing_mark(standing);
        (n > 0).then(|| format!("{style}{mark} {}{style:#} {n}", standing.words()))
    };
    let mut said: Vec<String> = Standing::ALL.into_iter().filter_map(tally).collect();
    if faults > 0 {
        said.push(format!("{BAD}{} not read{BAD:#}", count(faults, "line", "lines")));
    }
    let drinks = count(reports.len(), "drink", "drinks");
    let sign = if said.is_empty() { "" } else { ":" };
    let mut text = String::from("\n");
    text.push_str(&wrapped(
        &format!("{NAME}{drinks}{NAME:#}{sign} {}", said.join(", ")),
        "",
        "  ",
    ));
    if !reports.is_empty() {
        let conventions = reports.iter().map(|r| r.convention().word()).collect();
        let scales = format!("{}; {}", layout(reports).scale.legend(), units(conventions));
        let _ = writeln!(text, "{DIM}{}{DIM:#}", wrapped(&scales, "", "  ").trim_end());
    }
    text.push_str(&records(reports));
    text
}

/// How often a verdict is right, for each family in which one is given.
fn records(reports: &[ComputedDrink]) -> String {
    let mut text = String::new();
    let mut said = Vec::new();
    for report in reports {
        let off = |f: &Finding| matches!(f, Finding::OffBalance { .. });
        let Some(placed) = report.evaluation.placed.as_ref() else {
            continue;
        };
        if said.contains(&placed.family) || !report.evaluation.findings.iter().any(off) {
            continue;
        }
        said.push(placed.family);
        if let Some(record) = published::record_of(Some(placed.family), report.convention()) {
            text.push_str(&wrapped(
                &format!("{}: {}", placed.family, record.said()),
                "  ",
                "    ",
            ));
        }
    }
    text
}

/// What is not shown at a glance, counted in one line; nothing where there is nothing.
pub fn set_aside(reports: &[ComputedDrink]) -> String {
    let assumed = super::drink::taken(reports).len();
    let notes = reports
        .iter()
        .flat_map(|r| &r.evaluation.findings)
        .filter(|f| f.severity() == Severity::Note)
        .count();
    let cautions = super::drink::cautioned(reports).len();
    let said: Vec<String> = [
        (assumed, "thing taken for granted", "things taken for granted"),
        (notes, "note", "notes"),
        (cautions, "caution", "cautions"),
    ]
    .into_iter()
    .filter(|(n, ..)| *n > 0)
    .map(|(n, one, several)| count(n, one, several))
    .collect();
    if said.is_empty() {
        return String::new();
    }
    wrapped(
        &format!("{}: `check --why` tells them", said.join(", ")),
        "",
        "  ",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_has_room_on_every_screen() {
        for width in 60..=200 {
            for longest in [0, 12, 24, 28, 90] {
                let layout = Layout::fitting(longest, width);
                assert!(layout.width() <= width, "{layout:?} on {width}");
            }
        }
    }
}
