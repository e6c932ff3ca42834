//! A list as one page to look at: what it says. Where marks and labels stand is worked out beside it; how it
//! looks is the template's.

mod chart;
mod drink;
mod labels;
mod line;
mod map;
mod matrix;

use jiff::civil::Date;
use std::collections::{BTreeMap, HashMap};
use std::fmt::{self, Write as _};

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::balance::{BalanceFigure, Band, Figure, Severity, Standing, Verdict};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Convention;
use washline_core::names::key;
use washline_core::service::cost::Costing;

pub(crate) use self::drink::{alcohol, allergens, cost, energy, in_the_glass};
pub(crate) use self::line::lines;
use self::map::{MOST_INTERVALS, Map, Room, Spot};
pub(crate) use self::map::{Usual, usual};
use crate::scale::{Scale, mark_id, said};
use crate::template::{PageError, css_text, page};
use crate::visible::visible as plain;
use crate::words::{self, count, mark, number, quoted};

/// What a page is made of.
pub struct Content<'a> {
    /// The drinks, by book and place in it.
    pub reports: &'a [ComputedDrink],
    /// What each costs, where that is asked for.
    pub costings: Option<&'a [Costing]>,
    /// What could not be read or worked out.
    pub unread: &'a [Unread],
    /// The day it is for, where the caller says one.
    pub today: Option<Date>,
}

/// A drink, or something else of a book, that could not be read or worked out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// Its name; empty where the line belongs to none.
    pub drink: String,
    /// The file.
    pub file: String,
    /// The line, from 1.
    pub line: usize,
    /// What is wrong.
    pub message: String,
    /// How many more things are wrong with it.
    pub more: usize,
}

impl fmt::Display for Unread {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.drink.is_empty() {
            write!(f, "{}: ", self.drink)?;
        }
        write!(f, "{}, line {}: {}", self.file, self.line, self.message)?;
        if self.more > 0 {
            write!(f, " (and {} more)", self.more)?;
        }
        Ok(())
    }
}

/// Drinks above which there is a map a family, and not one of all.
const ONE_MAP: usize = 40;

/// A figure's place among those of its family.
#[derive(Serialize)]
pub(crate) struct PlacedFigure {
    name: &'static str,
    unit: &'static str,
    value: String,
    interval: String,
    mark: char,
    words: &'static str,
    ranges: String,
    /// The strip and the numbers of its scale, as SVG.
    strip: String,
    axis: String,
}

/// A drink among those of its family.
#[derive(Serialize)]
struct Member {
    number: usize,
    name: String,
    measures: Vec<PlacedFigure>,
}

/// The drinks of one family, the strongest first, on one scale a measure.
#[derive(Serialize)]
struct Group {
    name: &'static str,
    drinks: String,
    axes: Vec<String>,
    members: Vec<Member>,
}

/// A map, for a wide page and for a narrow one, or one for both.
#[derive(Serialize)]
struct Maps {
    id: String,
    title: String,
    said: String,
    rooms: Vec<Map>,
    intervals: bool,
}

/// Something that wants looking at.
#[derive(Serialize)]
struct Wanting {
    number: usize,
    name: String,
    why: String,
}

/// Drinks of one standing.
#[derive(Serialize)]
struct Stand {
    words: &'static str,
    /// Whether their reasons are given a line each.
    wanting: Vec<Wanting>,
    drinks: Vec<(usize, String)>,
}

#[derive(Serialize)]
struct Taken {
    about: String,
    taken: String,
    change: String,
    drinks: Vec<usize>,
}

/// The name of the family that a drink is judged in.
pub(crate) fn group(report: &ComputedDrink) -> &'static str {
    let placed = report.evaluation.placed.as_ref();
    placed.map_or_else(
        || words::structure(report.evaluation.structure),
        |placed| placed.family.name(),
    )
}

/// The bands to draw a measure in: none where there is no verdict.
fn band(report: &ComputedDrink, measure: BalanceFigure) -> Band {
    match report.evaluation.verdicts[measure as usize] {
        Verdict::NoBand => Band::default(),
        _ => report.bands()[measure as usize].clone(),
    }
}

/// `usual 5.0 to 8.9, seen 3.1 to 11.0`.
fn ranges(band: &Band) -> String {
    let usual = band.core.as_ref().map(|s| {
        let whose = if s.own { "usual here" } else { "usual" };
        format!("{whose} {}", s.printed())
    });
    let seen = band.outer.as_ref().map(|s| format!("seen {}", s.printed()));
    [usual, seen].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// One scale a measure for the drinks of each family: it holds their figures, intervals and ranges.
pub(crate) struct Scales(BTreeMap<&'static str, [Scale; 3]>);

impl Scales {
    pub(crate) fn of(reports: &[ComputedDrink]) -> Scales {
        let mut values: BTreeMap<&'static str, [Vec<f64>; 3]> = BTreeMap::new();
        for report in reports {
            let all = values.entry(group(report)).or_default();
            for measure in BalanceFigure::ALL {
                if report.evaluation.verdicts[measure as usize] == Verdict::NoBand {
                    continue;
                }
                let figure = report.evaluation.figures.measured(measure);
                let band = band(report, measure);
                let ends = [band.core, band.outer].into_iter().flatten();
                all[measure as usize].extend(
                    [figure.value, figure.low, figure.high]
                        .into_iter()
                        .flatten()
                        .chain(ends.flat_map(|s| [s.low, s.high])),
                );
            }
        }
        let of = |(at, (name, all)): (usize, (&'static str, [Vec<f64>; 3]))| {
            let scale = |m: BalanceFigure| Scale::over(3 * at + m as usize, all[m as usize].iter().copied());
            (name, BalanceFigure::ALL.map(scale))
        };
        Scales(values.into_iter().enumerate().map(of).collect())
    }

    fn get(&self, report: &ComputedDrink) -> [Scale; 3] {
        let nothing = [Scale::over(0, std::iter::empty()); 3];
        self.0.get(group(report)).copied().unwrap_or(nothing)
    }

    /// The lines at the round numbers of every scale.
    pub(crate) fn grids(&self) -> String {
        self.0.values().flatten().map(|scale| scale.grid()).collect()
    }
}

pub(crate) fn measures(report: &ComputedDrink, scales: &Scales, with_axis: bool) -> Vec<PlacedFigure> {
    let scales = scales.get(report);
    let measure = |measure: BalanceFigure| {
        let figure = report.evaluation.figures.measured(measure);
        let verdict = report.evaluation.verdicts[measure as usize];
        let band = band(report, measure);
        let decimals = usize::from(measure.decimals());
        let ranges = ranges(&band);
        let scale = scales[measure as usize];
        let drawn = verdict != Verdict::NoBand && figure.value.is_some();
        PlacedFigure {
            name: measure.name(),
            unit: measure.unit(),
            value: number(figure.value, decimals),
            interval: words::interval(figure, decimals).unwrap_or_default(),
            mark: mark(verdict),
            words: verdict.words(),
            strip: if drawn {
                scale.strip(figure, &band, verdict, &said(figure, decimals, &ranges, verdict))
            } else {
                String::new()
            },
            axis: if drawn && with_axis {
                scale.axis()
            } else {
                String::new()
            },
            ranges,
        }
    };
    BalanceFigure::ALL.map(measure).into()
}

/// Every family with its drinks on one scale a measure.
fn groups(reports: &[ComputedDrink], scales: &Scales) -> Vec<Group> {
    let mut by_family: BTreeMap<&'static str, Vec<usize>> = BTreeMap::new();
    for (i, report) in reports.iter().enumerate() {
        by_family.entry(group(report)).or_default().push(i);
    }
    let strength = |i: usize| reports[i].evaluation.figures.abv_pct.value.unwrap_or(-1.0);
    let mut groups: Vec<(f64, Group)> = by_family
        .into_iter()
        .map(|(name, mut members)| {
            members.sort_by(|&a, &b| strength(b).total_cmp(&strength(a)).then(a.cmp(&b)));
            let middle = strength(members[members.len() / 2]);
            let group = Group {
                name,
                drinks: count(members.len(), "drink", "drinks"),
                axes: axes(reports, &members, scales),
                members: members
                    .into_iter()
                    .map(|i| Member {
                        number: i + 1,
                        name: plain(reports[i].name()),
                        measures: measures(&reports[i], scales, false),
                    })
                    .collect(),
            };
            (middle, group)
        })
        .collect();
    groups.sort_by(|a, b| b.0.total_cmp(&a.0));
    groups.into_iter().map(|(_, group)| group).collect()
}

/// The numbers of each scale of a family; none where no drink of it has a strip.
fn axes(reports: &[ComputedDrink], members: &[usize], scales: &Scales) -> Vec<String> {
    let scales = scales.get(&reports[members[0]]);
    let axis = |measure: BalanceFigure| {
        let drawn = |i: &usize| reports[*i].evaluation.verdicts[measure as usize] != Verdict::NoBand;
        match members.iter().any(drawn) {
            true => scales[measure as usize].axis(),
            false => String::new(),
        }
    };
    BalanceFigure::ALL.map(axis).into()
}

/// From where to where the figures of some drinks go.
fn span(spots: &[Spot<'_>], of: fn(&ComputedDrink) -> Figure, decimals: usize) -> String {
    let values = || spots.iter().filter_map(|s| of(s.report).value);
    let low = values().fold(f64::INFINITY, f64::min);
    let high = values().fold(f64::NEG_INFINITY, f64::max);
    format!(
        "{} to {}",
        number(Some(low), decimals),
        number(Some(high), decimals)
    )
}

/// What a map says, in words.
fn told(spots: &[Spot<'_>], usual: &[map::Usual]) -> String {
    let mut said = format!(
        "Sugar from {}, acid from {} g/100 ml.",
        span(spots, |r| r.evaluation.figures.sugar_g_per_100ml, 1),
        span(spots, |r| r.evaluation.figures.acid_g_per_100ml, 2)
    );
    for range in usual {
        let _ = write!(
            said,
            " Usual for {}: sugar {:.1} to {:.1}, acid {:.2} to {:.2}.",
            range.family, range.sugar.0, range.sugar.1, range.acid.0, range.acid.1
        );
    }
    for verdict in VERDICTS {
        let n = spots
            .iter()
            .filter(|s| map::verdict_on_map(s.report) == verdict)
            .count();
        if n > 0 {
            let _ = write!(said, " {} {}.", count(n, "drink", "drinks"), verdict.words());
        }
    }
    said
}

const VERDICTS: [Verdict; 5] = [
    Verdict::In,
    Verdict::TooClose,
    Verdict::Edge,
    Verdict::Outside,
    Verdict::NoBand,
];

/// A map for each convention that the list's acids are counted in (two conventions are never on one scale), and of a long
/// list one for each family.
fn maps(reports: &[ComputedDrink]) -> Vec<Maps> {
    let by_family = reports.len() > ONE_MAP;
    let mut sorted: BTreeMap<(&'static str, &'static str), Vec<Spot<'_>>> = BTreeMap::new();
    for (i, report) in reports.iter().enumerate() {
        let figures = &report.evaluation.figures;
        if figures.sugar_g_per_100ml.value.is_none() || figures.acid_g_per_100ml.value.is_none() {
            continue;
        }
        let family = if by_family { group(report) } else { "" };
        sorted
            .entry((report.convention().word(), family))
            .or_default()
            .push(Spot {
                number: i + 1,
                name: plain(report.name()),
                report,
            });
    }
    let several = reports.iter().any(|r| r.convention() != Convention::Handbook)
        && reports.iter().any(|r| r.convention() == Convention::Handbook);
    sorted
        .into_iter()
        .enumerate()
        .map(|(at, ((convention, family), spots))| {
            let of: Vec<&ComputedDrink> = spots.iter().map(|s| s.report).collect();
            let usual = map::usual(&of);
            let rooms: &[Room] = if by_family {
                &[Room::Family]
            } else {
                &[Room::Wide, Room::Narrow]
            };
            let drinks = count(spots.len(), "drink", "drinks");
            let mut title = if family.is_empty() {
                drinks
            } else {
                format!("{family}, {drinks}")
            };
            if several {
                let _ = write!(title, ", acid by the {convention} convention");
            }
            Maps {
                id: format!("m{at}"),
                title,
                said: told(&spots, &usual),
                rooms: rooms.iter().map(|room| map::map(&spots, &usual, *room)).collect(),
                intervals: spots.len() <= MOST_INTERVALS,
            }
        })
        .collect()
}

fn taken_for_granted(reports: &[ComputedDrink]) -> Vec<Taken> {
    let mut made: BTreeMap<(&str, &str, String), Vec<usize>> = BTreeMap::new();
    for (i, report) in reports.iter().enumerate() {
        for a in &report.resolved.assumptions {
            let drinks = made
                .entry((&a.about, &a.taken, a.change.to_string()))
                .or_default();
            if drinks.last() != Some(&(i + 1)) {
                drinks.push(i + 1);
            }
        }
    }
    made.into_iter()
        .map(|((about, taken, change), drinks)| Taken {
            about: plain(about),
            taken: quoted(&plain(taken)),
            change: quoted(&plain(&change)),
            drinks,
        })
        .collect()
}

/// What wants looking at, the gravest first, with the one reason; then the rest by name.
fn stands(reports: &[ComputedDrink]) -> Vec<Stand> {
    let mut sorted: BTreeMap<Standing, Stand> = BTreeMap::new();
    for (i, report) in reports.iter().enumerate() {
        let standing = report.evaluation.standing();
        let stand = sorted.entry(standing).or_insert_with(|| Stand {
            words: standing.words(),
            wanting: Vec::new(),
            drinks: Vec::new(),
        });
        let name = plain(report.name());
        match report.evaluation.gravest() {
            Some(finding) if finding.severity() > Severity::Note => stand.wanting.push(Wanting {
                number: i + 1,
                name,
                why: plain(&finding.to_string()),
            }),
            _ => stand.drinks.push((i + 1, name)),
        }
    }
    sorted.into_values().collect()
}

/// The page.
///
/// # Errors
/// Where the template does not hold.
pub fn html(content: &Content<'_>) -> Result<String, PageError> {
    let reports = content.reports;
    // Where nothing at all is priced, that is said once.
    let priced = content.costings.unwrap_or_default();
    let priced = if priced.iter().any(Costing::has_any_price) {
        priced
    } else {
        &[]
    };
    let by_name: HashMap<(&str, String), &Costing> = priced
        .iter()
        .map(|c| ((c.book.as_str(), key(&c.name)), c))
        .collect();
    let costings: Vec<Option<&Costing>> = reports
        .iter()
        .map(|r| match by_name.is_empty() {
            true => None,
            false => by_name.get(&(r.found_in.book.as_str(), key(r.name()))).copied(),
        })
        .collect();
    let scales = Scales::of(reports);
    let widths = matrix::Widths::of(reports, &costings);
    let mut books: Vec<drink::Book> = Vec::new();
    let mut last = None;
    for (i, report) in reports.iter().enumerate() {
        if last != Some(&report.found_in.book) {
            last = Some(&report.found_in.book);
            books.push(drink::Book::called(&report.found_in.book));
        }
        if let Some(book) = books.last_mut() {
            let lines = lines(report);
            book.rows
                .push(matrix::row(i + 1, report, costings[i], &widths, &lines));
            book.drinks
                .push(drink::drink(i + 1, report, costings[i], &scales, lines));
        }
    }
    let title = match books.as_slice() {
        [] => "No drinks".to_owned(),
        [one] => one.title.clone(),
        several => format!("{} lists", several.len()),
    };
    let mut conventions: Vec<&str> = reports.iter().map(|r| r.convention().word()).collect();
    conventions.sort_unstable();
    conventions.dedup();
    let mut cautions: Vec<String> = Vec::new();
    for caution in reports.iter().flat_map(|r| &r.resolved.cautions) {
        let caution = plain(caution);
        if !cautions.contains(&caution) {
            cautions.push(caution);
        }
    }
    let costs: Option<Vec<drink::CostRow>> = content.costings.map(|_| {
        let rows = costings.iter().enumerate();
        rows.filter_map(|(i, c)| c.map(|c| drink::cost_row(i + 1, c)))
            .collect()
    });
    // Marks of findings that no verdict has.
    let grades = [Severity::Fault, Severity::Note].map(|s| (words::mark_of(s), words::grade(s)));
    let legend: Vec<(&str, &str)> = VERDICTS.map(|v| (mark_id(v), v.words())).into();
    let drinks = count(reports.len(), "drink", "drinks");
    let charts = chart::charts(reports, &costings);
    let (groups, maps) = (groups(reports, &scales), maps(reports));
    let (stands, taken) = (stands(reports), taken_for_granted(reports));
    page(
        "report.html",
        include_str!("../../templates/report.html"),
        context! {
            on_paper => css_text(&title), today_on_paper => css_text(&content.today.map(|day| day.to_string()).unwrap_or_default()),
            title, drinks, conventions => conventions.join(" and "), today => content.today.map(|day| day.to_string()),
            grids => scales.grids(), books => Serde(&books), legend => Serde(&legend), grades => Serde(&grades), maps => Serde(&maps), groups => Serde(&groups),
            stands => Serde(&stands), taken => Serde(&taken), costs => Serde(&costs), charts => Serde(&charts),
            by_family => reports.len() > ONE_MAP, priced => !priced.is_empty(), cautions, unread => content.unread.iter().map(|u| plain(&u.to_string())).collect::<Vec<_>>(),
        },
    )
}
