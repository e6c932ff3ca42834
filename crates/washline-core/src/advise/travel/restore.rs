//! What to pour in another bar so that the drink is as it is at home: on that bar's jiggers, by the solver that mends.

use crate::balance::{BalanceFigure, Figures, Ranges};
use crate::build::Built;
use crate::computed::ComputedDrink;
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::resolve::{Resolved, ResolvedPour, ResolvedStep};
use crate::spec::{Drink, Entry, Extent, Pour, PourAmount, PourMethod as How, Step};

use super::super::{Aim, Ask, Because, Change, MendOutcome, Mended, Origin, Subject, mend, steps};
use super::sheet::{Item, StockSheet};
use super::venue::{Poured, Venue};

/// How near to home the drink comes there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
pub enum Restoring {
    /// As written it is as at home, within half a jigger's step.
    #[strum(serialize = "as written")]
    AsWritten,
    /// With other pours it is.
    #[strum(serialize = "restored")]
    Restored,
    /// No pours within reach bring it there; these come closest.
    #[strum(serialize = "closest")]
    Closest,
}

impl Restoring {
    /// Its word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// One pour of the drink, at home and there.
#[derive(Clone, Debug, PartialEq)]
pub struct PourThere {
    /// Its place among the steps.
    pub at: usize,
    /// What it is called in the spec.
    pub called: String,
    /// What is poured for it there.
    pub ingredient: String,
    /// The amount as written; empty of what is added there.
    pub from: String,
    /// What that is at home, ml at 20 °C.
    pub from_ml: f64,
    /// What that is there, ml.
    pub written_there_ml: f64,
    /// The amount to pour there, in that bar's units.
    pub to: String,
    /// What that is, ml.
    pub to_ml: f64,
    /// Whether it is another amount than is written.
    pub changed: bool,
    /// The whole line as a book of that bar would have it.
    pub line: String,
}

/// The pours that restore a drink, and what they come to.
pub(super) struct Restored {
    pub how: Restoring,
    pub pours: Vec<PourThere>,
    pub figures: Figures,
    pub because: Vec<String>,
}

/// The drink at home.
#[derive(Clone, Copy)]
pub(super) struct AtHome<'a> {
    pub resolved: &'a Resolved,
    pub built: &'a Built,
    pub figures: &'a Figures,
}

/// Restore the figures that the drink has at home.
pub(super) fn restore(
    home: AtHome<'_>,
    there: &Poured,
    place: &Venue,
    traveller: &ComputedDrink,
    sheet: &StockSheet,
    (ranges, moves): (&Ranges, bool),
) -> Restored {
    let fitted = fitted(there, place, traveller, sheet.jiggers_in);
    let fitted = fitted.as_ref().unwrap_or(there);
    let subject = Subject {
        drink: &fitted.drink,
        resolved: &fitted.resolved,
        built: &fitted.built,
        ranges,
        stock: &place.stock,
        settings: &place.settings,
    };
    let ask = Ask {
        aims: aims(home.figures, &there.figures()),
        // Where the ice gives less, the water that it gives at home can be poured.
        may_add: if less_melt(home.figures, &fitted.figures()) {
            vec!["water".to_owned()]
        } else {
            Vec::new()
        },
        ..Ask::default()
    };
    // What is as at home is poured as at home, on the jiggers there.
    let mended = if moves || fitted_moves(home.figures, fitted) {
        mend(&subject, &ask).ok()
    } else {
        None
    };
    let (mut how, mut changes, mut because) = (Restoring::AsWritten, Vec::new(), Vec::new());
    let mut figures = fitted.figures();
    match mended {
        Some(Mended {
            outcome: MendOutcome::Mended,
            answers,
            ..
        }) => {
            // The last is the smallest change.
            if let Some(answer) = answers.into_iter().next_back() {
                (how, changes, figures) = (Restoring::Restored, answer.changes, answer.figures);
            }
        }
        Some(Mended {
            outcome: MendOutcome::NothingWorks,
            closest: Some(closest),
            ..
        }) => {
            how = Restoring::Closest;
            because = Because::words(&closest.because);
            // The solver counts what is missed; a drink far off in one figure is no nearer to home for that.
            if off(home.figures, &closest.answer.figures) < off(home.figures, &figures) {
                (changes, figures) = (closest.answer.changes, closest.answer.figures);
            }
        }
        _ => {}
    }
    let pours = pours(home, there, fitted, sheet, &changes);
    if how == Restoring::AsWritten && pours.iter().any(|p| p.changed) {
        how = Restoring::Restored;
    }
    Restored {
        how,
        pours,
        figures,
        because,
    }
}

/// Every pour of the drink as it is poured there, what is added last.
fn pours(
    home: AtHome<'_>,
    there: &Poured,
    fitted: &Poured,
    sheet: &StockSheet,
    changes: &[Change],
) -> Vec<PourThere> {
    let mut pours = Vec::new();
    for (at, pour) in fitted.resolved.pours() {
        let (Some(as_written), Some(at_home)) = (
            typed_with(&there.resolved, at, pour),
            typed_with(home.resolved, at, pour),
        ) else {
            continue;
        };
        let mut spelt = Pour::clone(&pour.typed);
        let called = spelt.choices.first().map_or_else(String::new, |n| n.name.clone());
        let change = changes.iter().find(|c| c.at == at && c.origin != Origin::Added);
        if let Some(change) = change {
            spelt.measure = PourAmount::Of(Extent::exact(change.to), Some(change.unit));
        }
        // What stands in for something at that bar is called what the bar calls it.
        let stands_in = sheet
            .items
            .iter()
            .find(|i| i.answers_to(&key(&pour.ingredient)))
            .map(Item::name);
        let ingredient = stands_in.unwrap_or(&pour.ingredient).to_owned();
        if let (Some(name), [only]) = (
            stands_in.filter(|n| key(n) != key(&called)),
            spelt.choices.as_mut_slice(),
        ) {
            (only.name, only.full) = (name.to_owned(), name.to_owned());
        }
        let to = change.map_or_else(|| pour.written.clone(), Change::to_text);
        pours.push(PourThere {
            at,
            called,
            ingredient,
            line: spelt.to_string(),
            from: at_home.written.clone(),
            from_ml: home.built.brought(at_home).volume_ml,
            written_there_ml: there.built.brought(as_written).volume_ml,
            to_ml: change.map_or_else(|| fitted.built.brought(pour).volume_ml, |c| c.to_ml),
            changed: change.is_some() || pour.written != at_home.written,
            to,
        });
    }
    for added in changes.iter().filter(|c| c.origin == Origin::Added) {
        pours.push(PourThere {
            at: added.at,
            called: added.called.clone(),
            ingredient: added.ingredient.clone(),
            from: String::new(),
            from_ml: 0.0,
            written_there_ml: 0.0,
            to: added.to_text(),
            to_ml: added.to_ml,
            changed: true,
            line: format!("{} {}", added.to_text(), added.called),
        });
    }
    pours
}

/// Whether the ice there gives a millilitre less than at home, or more than that.
fn less_melt(home: &Figures, there: &Figures) -> bool {
    let water = |f: &Figures| f.water_gained_ml.value.unwrap_or(0.0);
    water(there) < water(home) - 1.0
}

/// How far a drink is from home, all measures together, each in the steps that count as near.
fn off(home: &Figures, there: &Figures) -> f64 {
    const NEAR: [f64; 3] = [0.5, 0.5, 0.05];
    BalanceFigure::ALL
        .into_iter()
        .map(|m| {
            let value = |f: &Figures| f.measured(m).value.unwrap_or(0.0);
            ((value(there) - value(home)) / NEAR[m as usize]).powi(2)
        })
        .sum()
}

/// Whether the jiggers alone move the drink away from home.
fn fitted_moves(home: &Figures, fitted: &Poured) -> bool {
    let there = fitted.figures();
    super::balance_moves(home, &there) || super::volume_moves(home, &there)
}

/// The pour of another reading of the same text that is typed where `pour` is, which is the step at `at` of its own: two
/// bars may read a line of the text as more steps or fewer.
fn typed_with<'a>(reading: &'a Resolved, at: usize, pour: &ResolvedPour) -> Option<&'a ResolvedPour> {
    let place = |pour: &ResolvedPour| pour.typed.choices.first().map(|named| named.span.clone());
    let here = |other: &&ResolvedPour| place(other) == place(pour);
    let same_step = reading.pour_at(at).filter(here);
    same_step.or_else(|| reading.pours().map(|(_, other)| other).find(here))
}

/// What to aim at: the figures at home. A measure that the drink has neither here nor there is left alone.
fn aims(home: &Figures, there: &Figures) -> Vec<Aim> {
    BalanceFigure::ALL
        .into_iter()
        .filter_map(|measure| {
            let decimals = measure.decimals();
            let scale = 10_f64.powi(i32::from(decimals));
            let value = (home.measured(measure).value? * scale).round() / scale;
            let none = 0.5 / scale;
            let nowhere = value < none && there.measured(measure).value.is_none_or(|v| v < none);
            (!nowhere).then_some(Aim {
                measure,
                low: value,
                high: value,
                decimals,
            })
        })
        .collect()
}

/// The drink with every amount that is measured in jiggers at the nearest one the bar's own jiggers measure, in the
/// unit they are marked in; `None` of a bar whose sheet names no jiggers, which pours what is written.
fn fitted(
    there: &Poured,
    place: &Venue,
    traveller: &ComputedDrink,
    jiggers_in: Option<Unit>,
) -> Option<Poured> {
    let unit = jiggers_in?;
    let mut drink: Drink = there.drink.clone();
    let lines = drink.entries.iter_mut().filter_map(|entry| match entry {
        Entry::Step(line) => Some(line),
        _ => None,
    });
    // The steps were made of these very lines, one of each.
    for (line, step) in lines.zip(&there.resolved.steps) {
        if let (Step::Pour(pour), ResolvedStep::Pour(resolved)) = (&mut line.step, step)
            && matches!(pour.place, How::In | How::Top)
            && let PourAmount::Of(extent, written) = pour.measure
            && let Some(amount) = in_jiggers(extent.nominal, written, resolved.usual().volume_ml, unit, place)
        {
            pour.measure = PourAmount::Of(Extent::exact(amount), Some(unit));
        }
    }
    place.pour_as(drink, traveller).ok()
}

/// The amount of a pour that a bar's jiggers come nearest to; `None` of what is not measured in jiggers, or stays.
fn in_jiggers(
    amount: Amount,
    written: Option<Unit>,
    volume_ml: f64,
    unit: Unit,
    place: &Venue,
) -> Option<Amount> {
    if amount.is_zero() || volume_ml <= 0.0 {
        return None;
    }
    let ounce = place.settings.ounce.unwrap_or_default();
    let jiggered = match written {
        Some(unit) => matches!(
            unit,
            Unit::Millilitre | Unit::Centilitre | Unit::Decilitre | Unit::Ounce
        ),
        // A bare number is millilitres or ounces by what it came to, or counts something.
        None => {
            let each = volume_ml / amount.to_f64();
            [1.0, ounce.ml().to_f64()]
                .iter()
                .any(|ml| (each - ml).abs() < 1e-6 * ml)
        }
    };
    if !jiggered {
        return None;
    }
    let ml_each = match unit {
        Unit::Ounce => ounce.ml().to_f64(),
        _ => 1.0,
    };
    let wanted = volume_ml / ml_each;
    // The grid is that of a pour about as large, itself no amount of any jigger, which is then left out.
    const MILLIONTHS: f64 = 1e6;
    #[expect(clippy::cast_possible_truncation, reason = "rounded, and a pour is small")]
    let millionths = (wanted * MILLIONTHS).round() as i128;
    let about = Amount::ratio(7919 * millionths + 1, 7919 * 1_000_000).ok()?;
    let grid = steps::amounts(unit, Some(about), ml_each, ounce, &place.settings.jigger_set);
    grid.into_iter()
        .filter(|a| *a != about && !a.is_zero())
        .min_by(|a, b| {
            let off = |a: &Amount| (a.to_f64() / wanted).ln().abs();
            off(a).total_cmp(&off(b))
        })
}
