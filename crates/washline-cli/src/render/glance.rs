//! Drinks at a glance: one line a drink, and a second where something is not right. What wants looking at comes first.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;
use washline_core::balance::{BalanceFigure, Finding, Severity, Standing};
use washline_core::computed::Summary;
use washline_core::store::InShort;
use washline_core::tables::FigureName;

use super::bands::{self, Scale};
use super::style::{BAD, DIM, GOOD, LOOK, NAME};
use super::{aside, count, marked, number, plain, structure, width, wrapped};

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
pub struct Layout {
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

    /// The scale that there is room for on this screen.
    pub fn scale_here() -> Scale {
        Layout::fitting(0, width()).scale
    }

    fn width(self) -> usize {
        GUTTER
            + self.name
            + 1
            + WORD
            + if self.volume { VOLUME + 1 } else { 0 }
            + BalanceFigure::ALL.len() * (FIGURE + self.scale.width())
    }

    fn heading(self) -> String {
        let mut text = " ".repeat(GUTTER + self.name + 1 + WORD);
        if self.volume {
            let _ = write!(text, "{:>VOLUME$} ", FigureName::Volume.facts().heading);
        }
        for word in BalanceFigure::ALL.map(|m| m.which().facts().heading) {
            let _ = write!(text, "{word:>5} {}", " ".repeat(self.scale.width()));
        }
        text.trim_end().to_owned()
    }
}

/// How the reasons are told.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Reasons {
    /// The gravest one of a drink that is not right.
    Gravest,
    /// All of every drink.
    All,
}

/// Drinks at a glance, gathered as they pass: of each only what its lines show is held.
pub struct Glance {
    reasons: Reasons,
    layout: Layout,
    longest: usize,
    /// The titles of the books, each with its drinks.
    books: Vec<(String, Vec<Row>)>,
}

/// A drink on its way to the screen.
struct Row {
    standing: Standing,
    name: String,
    /// What stands after the name, and the lines below.
    rest: String,
}

impl Glance {
    pub fn new(reasons: Reasons) -> Glance {
        Glance {
            reasons,
            // The scales take the same room whatever the names do.
            layout: Layout::fitting(0, width()),
            longest: 0,
            books: Vec::new(),
        }
    }

    pub fn put(&mut self, drink: &Summary) {
        let row = Row {
            standing: drink.evaluation.standing(),
            name: plain(&drink.name),
            rest: after_name(drink, self.layout, self.reasons),
        };
        self.longest = self.longest.max(row.name.width());
        let title = &drink.found_in.book;
        // Books of a house come one after the other: the last is the likeliest.
        match self.books.iter_mut().rfind(|(book, _)| book == title) {
            Some((_, rows)) => rows.push(row),
            None => self.books.push((title.clone(), vec![row])),
        }
    }

    /// Every book's drinks, the gravest first, in one line each and a second where something is not right.
    pub fn text(self) -> String {
        let layout = Layout::fitting(self.longest, width());
        let mut text = String::new();
        for (title, mut rows) in self.books {
            if !text.is_empty() {
                text.push('\n');
            }
            let _ = writeln!(text, "{NAME}{}{NAME:#}", plain(&title));
            let _ = writeln!(text, "{DIM}{}{DIM:#}", layout.heading());
            rows.sort_by_key(|row| row.standing);
            for row in rows {
                let (mark, style) = standing_mark(row.standing);
                let name = named(&row.name, layout.name);
                let _ = write!(text, "{style}{mark}{style:#} {name} {}", row.rest);
            }
        }
        text
    }
}

/// What stands after the name of a drink: its verdict in a word, its figures in their scales, and the reasons below.
fn after_name(drink: &Summary, layout: Layout, reasons: Reasons) -> String {
    let evaluation = &drink.evaluation;
    let (_, style) = standing_mark(evaluation.standing());
    let word = evaluation.in_a_word();
    let mut text = format!(
        "{style}{word}{style:#}{}",
        " ".repeat(WORD.saturating_sub(word.width()))
    );
    if layout.volume {
        let _ = write!(
            text,
            "{:>VOLUME$} ",
            number(evaluation.figures.volume_ml.value, 0)
        );
    }
    for measure in BalanceFigure::ALL {
        let value = evaluation.figures.measured(measure).value;
        let verdict = evaluation.verdicts[measure as usize];
        let _ = write!(
            text,
            "{:>5} {}",
            measure.which().facts().number(value),
            bands::picture(value, &drink.band(measure), verdict, layout.scale)
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
    text
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
    marked(grave_mark(finding.severity()), finding)
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
    let figures = BalanceFigure::ALL.len() * FIGURE + 1;
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
        // A drink that stands on another list too has the words of that as well.
        let shared = book.iter().any(|d| !d.also_on.is_empty());
        let of_all = match !shared && book.iter().all(|d| said_of(d) == of_all) {
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
        let headings = BalanceFigure::ALL.map(|m| m.which().facts().heading);
        let heading = row("method", FigureName::Volume.facts().heading, headings, "");
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
            let printed = |which: FigureName, value: Option<f64>| which.facts().number(value);
            text.push_str(&row(
                structure(drink.structure),
                &printed(FigureName::Volume, drink.volume_ml),
                [
                    &printed(FigureName::Strength, drink.abv_pct),
                    &printed(FigureName::Sweetness, drink.sugar_g_per_100ml),
                    &printed(FigureName::Tartness, drink.acid_g_per_100ml),
                ],
                drink.standing.words(),
            ));
            text.push('\n');
            let own = match of_all.is_empty() {
                true => said_of(drink),
                false => String::new(),
            };
            let more = below(drink, &own, more(drink));
            if !more.is_empty() {
                let _ = write!(text, "{DIM}{}{DIM:#}", wrapped(&more, "    ", "    "));
            }
        }
    }
    let conventions: BTreeSet<&str> = drinks.iter().map(|d| d.convention.word()).collect();
    let said = format!(
        "{}; {}",
        count(drinks.len(), "drink", "drinks"),
        units(&conventions)
    );
    text + "\n" + &aside(&said)
}

/// What stands below the line of a drink: what is said of it alone, its other lists, and more that is asked for.
fn below(drink: &InShort, own: &str, more: String) -> String {
    let elsewhere = match drink.also_on.as_slice() {
        [] => String::new(),
        lists => format!("also on {}", lists.join(" and ")),
    };
    let mut all = vec![plain(own), plain(&elsewhere), more];
    all.retain(|words| !words.is_empty());
    all.join("; ")
}

/// The season and the tags of a drink.
fn said_of(drink: &InShort) -> String {
    let seasons: Vec<&str> = drink.seasons.iter().map(String::as_str).collect();
    let tags: Vec<&str> = drink.tags.iter().map(String::as_str).collect();
    seasons_and_tags(&seasons, &tags)
}

/// `season autumn; tags low, house`, as far as there are any.
pub fn seasons_and_tags(seasons: &[&str], tags: &[&str]) -> String {
    let said = |word: &str, all: &[&str]| (!all.is_empty()).then(|| format!("{word} {}", all.join(", ")));
    let parts: Vec<String> = [said("season", seasons), said("tags", tags)]
        .into_iter()
        .flatten()
        .collect();
    parts.join("; ")
}

/// A name in its room; one that is longer is never cut and has a line of its own.
fn named(name: &str, room: usize) -> String {
    if name.width() > room {
        format!("{name}\n{}", " ".repeat(GUTTER + room))
    } else {
        format!("{name}{}", " ".repeat(room - name.width()))
    }
}

/// What sugar and acid are given in where their columns do not say.
pub const SUGAR_AND_ACID: &str = "sugar and acid in g/100 ml";

/// The same with how acid is counted.
pub fn units(conventions: &BTreeSet<&str>) -> String {
    let conventions: Vec<&str> = conventions.iter().copied().collect();
    format!(
        "{SUGAR_AND_ACID}, acid as citric ({} convention)",
        conventions.join(" and ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_take_no_room_from_the_scales() {
        for width in 60..=200 {
            let short = Layout::fitting(0, width);
            for longest in [12, 24, 28, 90] {
                let layout = Layout::fitting(longest, width);
                assert_eq!(
                    (layout.scale, layout.volume),
                    (short.scale, short.volume),
                    "on {width}"
                );
            }
        }
    }

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
