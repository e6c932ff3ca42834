//! One drink on one page: its glass, what is poured, its figures, how it changes, what is not sure of it and who is like it.

use jiff::civil::Date;
use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::balance::{BalanceFigure, Verdict};
use washline_core::build::{Moment, OverTime};
use washline_core::computed::ComputedDrink;
use washline_core::service::card::{ice, misfit};
use washline_core::service::cost::Costing;
use washline_core::service::label::label;
use washline_core::spec::PourMethod;

use crate::curve::curve;
use crate::glass::{Filled, Picture, picture};
use crate::report::{self, PlacedFigure, Scales};
use crate::template::{PageError, css_text, page};
use crate::visible::visible as plain;
use crate::words::{fill, mark_of, number, quoted};

/// What a page of a drink is made of.
pub struct Content<'a> {
    /// The drink.
    pub drink: &'a ComputedDrink,
    /// What it costs, where prices are known.
    pub costing: Option<&'a Costing>,
    /// How it goes on changing.
    pub over_time: &'a OverTime,
    /// What palates said of it, the last first.
    pub tastings: &'a [Tasted],
    /// The day that stands on it.
    pub today: Date,
}

/// What a palate said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tasted {
    /// The day.
    pub at: String,
    /// Which version of the spec.
    pub version: i64,
    /// Who; empty where nobody said.
    pub by: String,
    /// What was said, with the note.
    pub said: String,
}

/// A glass as the template takes it.
#[derive(Serialize)]
pub(crate) struct Drawn {
    width: f64,
    height: f64,
    parts: String,
}

impl From<Picture> for Drawn {
    fn from(picture: Picture) -> Drawn {
        Drawn {
            width: picture.width,
            height: picture.height,
            parts: picture.parts,
        }
    }
}

/// The glass of a drink with what stands in it: its level, where that would be without the ice's water, floats and ice.
pub(crate) fn drawn(report: &ComputedDrink) -> Option<Drawn> {
    let glass = report.evaluation.glass.as_ref()?;
    let figures = &report.evaluation.figures;
    let share = |ml: f64| ml / glass.capacity_ml.max(1.0);
    let volume = figures.volume_ml.value?;
    let water = figures.water_gained_ml.value.unwrap_or(0.0);
    let ice = ice(report);
    let floats: f64 = report
        .pours()
        .iter()
        .filter(|p| p.place == PourMethod::Float)
        .map(|p| p.volume_ml)
        .sum();
    picture(&Filled {
        name: &glass.name,
        capacity_ml: glass.capacity_ml,
        level: share(volume).min(1.0),
        without_melt: (water >= 1.0).then(|| share(volume - water)),
        float: share(floats),
        ice,
    })
    .map(Drawn::from)
}

/// A layer of what is in the glass, from the top down.
#[derive(Serialize)]
struct Layer {
    word: &'static str,
    words: String,
}

fn layers(report: &ComputedDrink) -> Vec<Layer> {
    let figures = &report.evaluation.figures;
    let mut all = Vec::new();
    for (place, word) in [
        (PourMethod::Mist, "misted"),
        (PourMethod::Float, "floats"),
        (PourMethod::Top, "topped with"),
    ] {
        for pour in report.pours().iter().filter(|p| p.place == place) {
            all.push(Layer {
                word,
                words: plain(&format!(
                    "{}, {} ml",
                    pour.ingredient,
                    number(Some(pour.volume_ml), 0)
                )),
            });
        }
    }
    let water = figures.water_gained_ml.value.unwrap_or(0.0);
    let volume = figures.volume_ml.value.unwrap_or(0.0);
    if water >= 0.5 && volume > 0.0 {
        all.push(Layer {
            word: "water from the ice",
            words: format!(
                "{} ml, {} % of it",
                number(Some(water), 0),
                number(Some(100.0 * water / volume), 0)
            ),
        });
    }
    all.push(Layer {
        word: "poured",
        words: format!("{} ml", number(report.evaluation.before.volume_ml.value, 0)),
    });
    all
}

/// Something that is not exactly known, and what would settle it.
#[derive(Serialize)]
struct Doubt {
    measure: &'static str,
    share: String,
    input: String,
    settled_by: String,
}

/// From which share of the doubt about a measure an input is listed, and how many of each.
const LEAST_SHARE: f64 = 0.05;
const MOST_INPUTS: usize = 3;

fn doubts(report: &ComputedDrink) -> Vec<Doubt> {
    let mut all = Vec::new();
    for measure in BalanceFigure::ALL {
        let parts = report
            .evaluation
            .budget
            .iter()
            .filter(|part| part.measure == measure && part.share >= LEAST_SHARE);
        all.extend(parts.take(MOST_INPUTS).map(|part| {
            (
                part.share,
                Doubt {
                    measure: measure.name(),
                    share: format!("{:.0}", 100.0 * part.share),
                    input: plain(&part.input),
                    settled_by: plain(&part.settled_by),
                },
            )
        }));
    }
    all.sort_by(|a, b| b.0.total_cmp(&a.0));
    all.into_iter().map(|(_, doubt)| doubt).collect()
}

/// A published drink that it is like.
#[derive(Serialize)]
struct Relative {
    name: String,
    who: String,
    abv: String,
    sugar: String,
    acid: String,
}

fn relatives(report: &ComputedDrink) -> Vec<Relative> {
    let Some(placed) = &report.evaluation.placed else {
        return Vec::new();
    };
    let relative = |r: &washline_core::balance::Relative| Relative {
        name: plain(&r.name),
        who: plain(&match r.year {
            Some(year) => format!("{}, {year}", r.author),
            None => r.author.clone(),
        }),
        abv: number(Some(r.abv_pct), 1),
        sugar: number(Some(r.sugar_g_per_100ml), 1),
        acid: number(Some(r.acid_g_per_100ml), 2),
    };
    placed.nearest.iter().map(relative).collect()
}

fn curves(told: &OverTime) -> Vec<(String, Vec<String>)> {
    let points = |all: &[Moment], per: f64, of: fn(&Moment) -> f64| -> Vec<(f64, f64)> {
        all.iter().map(|m| (m.seconds / per, of(m))).collect()
    };
    let water = |m: &Moment| m.water_ml;
    let temperature = |m: &Moment| m.temperature_c;
    let mut all = Vec::new();
    if told.worked.len() > 1 {
        let end = Some((told.worked_seconds, "stops here"));
        all.push((
            "On the ice it is worked with".to_owned(),
            vec![
                curve("water, ml", "s", &points(&told.worked, 1.0, water), end),
                curve(
                    "temperature, °C",
                    "s",
                    &points(&told.worked, 1.0, temperature),
                    end,
                ),
            ],
        ));
    }
    if told.served.len() > 1 {
        all.push((
            format!("In its glass, on {}", plain(&told.stands)),
            vec![
                curve("water, ml", "min", &points(&told.served, 60.0, water), None),
                curve(
                    "temperature, °C",
                    "min",
                    &points(&told.served, 60.0, temperature),
                    None,
                ),
            ],
        ));
    }
    all
}

/// How full it makes its glass, and whether that is too much.
fn full(report: &ComputedDrink) -> String {
    let volume = number(report.evaluation.figures.volume_ml.value, 0);
    let said = format!("{volume} ml, {}", fill(report));
    match misfit(report) {
        Some(_) => format!("{said}: it does not fit"),
        None => said,
    }
}

/// The page.
///
/// # Errors
/// Where the template does not hold.
pub fn html(content: &Content<'_>) -> Result<String, PageError> {
    let report = content.drink;
    let scales = Scales::of(std::slice::from_ref(report));
    let measures: Vec<PlacedFigure> = report::measures(report, &scales, true);
    let label = label(report, None);
    let mut said: Vec<(&str, String)> = vec![
        ("In the glass", report::in_the_glass(report)),
        ("Alcohol", report::alcohol(report)),
        ("Energy", report::energy(report)),
        ("Allergens", report::allergens(report)),
    ];
    if !label.named.is_empty() {
        let names: Vec<&str> = label.named.iter().map(|n| n.word).collect();
        said.push(("Holds", names.join(", ")));
    }
    if let Some(price) = &report.drink.price {
        said.push(("Price", price.to_string()));
    }
    if let Some(costing) = content.costing.filter(|c| c.has_any_price()) {
        said.push(("Cost", report::cost(costing)));
    }
    let said: Vec<(&str, String)> = said
        .into_iter()
        .map(|(word, words)| (word, plain(&words)))
        .collect();
    let mut care: Vec<String> = [label.egg_line(), label.alcohol_line()]
        .into_iter()
        .filter(|line| !line.is_empty())
        .map(str::to_owned)
        .collect();
    care.extend(label.cautions.iter().map(|c| plain(c)));
    let findings: Vec<(&str, String)> = report
        .evaluation
        .findings
        .iter()
        .map(|f| (mark_of(f.severity()), plain(&f.to_string())))
        .collect();
    let tastings: Vec<(String, String, String)> = content
        .tastings
        .iter()
        .map(|t| {
            let by = if t.by.is_empty() {
                String::new()
            } else {
                format!(", {}", t.by)
            };
            (
                plain(&format!("{}{by}", t.at)),
                format!("version {}", t.version),
                plain(&t.said),
            )
        })
        .collect();
    let taken: Vec<String> = report
        .resolved
        .assumptions
        .iter()
        .map(|a| quoted(&plain(&format!("{}: {}", a.about, a.taken))))
        .collect();
    let name = plain(report.name());
    let judged = report.evaluation.verdicts.iter().any(|v| *v != Verdict::NoBand);
    page(
        "drink.html",
        include_str!("../templates/drink.html"),
        context! {
            on_paper => css_text(&format!("{} · {}, version {}", report.name(), report.found_in.lists_in_words(), report.found_in.version)),
            today_on_paper => css_text(&content.today.to_string()), today => content.today.to_string(),
            name, family => report::group(report), standing => report.evaluation.standing().words(), judged,
            book => plain(&report.found_in.lists_in_words()), version => report.found_in.version,
            glass => Serde(drawn(report)), glass_words => report.drink.glass.as_ref().map(|g| plain(&g.name)),
            full => report.evaluation.glass.as_ref().map(|_| plain(&full(report))),
            garnish => report.garnish().map(|g| plain(&g)), layers => Serde(layers(report)), lines => Serde(report::lines(report)),
            measures => Serde(measures), grids => scales.grids(), findings, said, care, curves => curves(content.over_time),
            doubts => Serde(doubts(report)), relatives => Serde(relatives(report)), tastings, taken,
        },
    )
}
