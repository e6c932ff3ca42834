//! One ingredient in the place of another: what it does to a drink, and how much of it holds the balance.
//!
//! # What is held
//!
//! [`Hold`] says what of the old pour the new one brings as much of: volume, grams of sugar (or of sweetness as
//! sucrose), grams of acid as citric, grams of ethanol. Grams and not concentrations: 22.5 ml of syrup 1:1 by mass
//! are 15.64 ml of 2:1 for as much sugar, and the drink is then shorter by the water that the richer syrup does not
//! bring. That water is told, and what the drink comes to with it poured back ([`Swap::watered`]).
//!
//! # What it is worked out by
//!
//! The new pour is written into the drink as a line of its book would have it, and that drink is resolved, built and
//! weighed up like any other: allergens, cautions, findings and cost follow the same path. It is done twice, with the
//! amount that holds exactly and with the nearest one that the bar measures.
//!
//! # What is refused
//!
//! A swap that cannot hold what it is to hold, with the figure that shows why ([`Refusal`]): an old pour that has
//! none of it, a new one that has none, or one that would take so much that it is another drink.

mod hold;
mod named;
mod pours;
mod refusal;
mod written;

pub use hold::Hold;
pub use named::pours_near;
pub use pours::SwappedPour;
pub use refusal::Refusal;
pub use written::{NotWritten, swapped_text};

use crate::balance::Evaluation;
use crate::computed::ComputedDrink;
use crate::ingredient::{Convention, Declaration, Ingredient, Quantity, Stock};
use crate::liquid::{Family, Liquid};
use crate::measure::{Amount, Dimension, Unit};
use crate::names::key;
use crate::spec::{
    Assumption, Drink, Entry, Extent, Line, Named, Pour, PourAmount, PourMethod, Settings, Step,
};

use super::Subject;

/// What is asked of a swap.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SwapAsk {
    /// What is poured now, by any name the stock finds, with a strength where that matters.
    pub old: String,
    /// What is poured in its place, likewise.
    pub new: String,
    /// What is held.
    pub hold: Hold,
    /// Whether a part of a name will do for the old one, where only one thing poured has it: `gin` for London dry gin.
    pub by_part: bool,
}

/// What is wrong with the names of a swap.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SwapError {
    /// A name that leads to nothing, or to several things.
    #[error("`{name}`: {why}")]
    NotAName {
        /// What was named.
        name: String,
        /// What is wrong with it.
        why: String,
        /// What it could be.
        near: Vec<String>,
    },
    /// Both names mean the same thing.
    #[error("`{old}` and `{new}` are the same: {ingredient}")]
    Same {
        /// The one name.
        old: String,
        /// The other.
        new: String,
        /// What both mean.
        ingredient: String,
    },
}

/// A drink with a swap in it.
#[derive(Clone, Debug)]
pub struct Version {
    /// The pours that are other ones, with their places among the steps of the drink as it was.
    pub pours: Vec<(usize, Pour)>,
    /// Water poured after the last of them.
    pub water: Option<Pour>,
    /// What the drink is then; its text is still that of the drink as it was.
    pub drink: ComputedDrink,
}

/// What a swap does to one drink.
#[derive(Clone, Debug)]
pub struct Swap<'a> {
    /// The drink.
    pub drink: String,
    /// What is poured now.
    pub old: String,
    /// What is poured in its place.
    pub new: String,
    /// What is held.
    pub hold: Hold,
    /// The drink as it is, weighed up.
    pub before: &'a Evaluation,
    /// Its pours that change; of a refused swap, those it would have changed.
    pub pours: Vec<SwappedPour>,
    /// Why it is not done, or what the drink becomes.
    pub outcome: Result<Swapped, Refusal>,
    /// What was taken for granted about the new name.
    pub assumptions: Vec<Assumption>,
    /// What else to know.
    pub notes: Vec<Note>,
}

/// What a drink becomes.
#[derive(Clone, Debug)]
pub struct Swapped {
    /// With the amounts that hold exactly.
    pub exact: Version,
    /// With the nearest amounts that the bar measures.
    pub measured: Version,
    /// The same, and the water that goes missing poured back; `None` where less than [`LEAST_WATER_ML`] is missing, or
    /// the volume is held.
    pub watered: Option<Watered>,
    /// Allergens on the European list that come and go.
    pub allergens_eu: Change,
    /// Allergens on the list of the United States that come and go.
    pub allergens_us: Change,
    /// Cautions that come with the new pour.
    pub cautions: Vec<String>,
}

/// A drink with the missing water poured back.
#[derive(Clone, Debug)]
pub struct Watered {
    /// How much, as the bar measures it.
    pub amount: String,
    /// The same, ml.
    pub ml: f64,
    /// What the drink is then.
    pub version: Version,
}

/// What comes to a declaration and what goes from it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Change {
    /// In it now, in the words of a declaration: `milk`, `nuts?`, `unknown`.
    pub comes: Vec<String>,
    /// In it no more.
    pub goes: Vec<String>,
}

impl Change {
    fn between(before: &Declaration, after: &Declaration) -> Change {
        let words = |declared: &Declaration| -> Vec<String> {
            declared
                .written()
                .split("; ")
                .filter(|w| *w != "none")
                .map(str::to_owned)
                .collect()
        };
        let (before, after) = (words(before), words(after));
        Change {
            comes: after.iter().filter(|w| !before.contains(w)).cloned().collect(),
            goes: before.into_iter().filter(|w| !after.contains(w)).collect(),
        }
    }
}

/// What else there is to know of a swap.
#[derive(Clone, Debug, PartialEq)]
pub enum Note {
    /// The line left a choice, or a span, which is one now.
    ChoiceGone {
        /// The line as it was.
        line: String,
    },
    /// A note of the line that stays.
    NoteStays {
        /// The note.
        note: String,
    },
    /// The drink is written in parts of a serve.
    Parts,
    /// As many are counted, whatever they come to.
    AsMany {
        /// What is counted.
        amount: String,
    },
    /// The water is as the old spec was weighed.
    Weighed,
    /// The acid of one is counted by a convention of its own, that of the other is one figure for all: they compare
    /// where both are as assays find them.
    CountedOtherwise {
        /// The one with a figure for the convention of the book.
        by_convention: String,
        /// The one with a single figure.
        single: String,
        /// How much of the new one holds as assays find both, ml.
        by_assay_ml: f64,
    },
}

/// What is said where a changed spec takes over what only the old one was weighed for.
pub const AS_WEIGHED: &str = "water from ice as the old spec was weighed: weigh the new one";

impl std::fmt::Display for Note {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Note::ChoiceGone { line } => write!(f, "`{line}` left a choice: the new line leaves none"),
            Note::NoteStays { note } => {
                write!(f, "the line keeps its note `{note}`: see that it still holds")
            }
            Note::Parts => {
                f.write_str("written in parts: the serve stays as large, so every part changes a little")
            }
            Note::AsMany { amount } => write!(f, "as many are poured: {amount}, whatever they come to"),
            Note::CountedOtherwise {
                by_convention,
                single,
                by_assay_ml,
            } => write!(
                f,
                "{by_convention} is counted by the handbook here, {single} by one figure for all: as assays find both, {by_assay_ml:.1} ml hold"
            ),
            Note::Weighed => f.write_str(AS_WEIGHED),
        }
    }
}

/// Missing water below this is not worth pouring back, ml: common practice, no source.
pub const LEAST_WATER_ML: f64 = 1.0;

/// What swapping does to a drink; `None` where it pours none of the old ingredient.
///
/// # Errors
/// Names that lead to nothing, to several things, or to the same thing.
pub fn swap<'a>(worked: &'a ComputedDrink, ask: &SwapAsk) -> Result<Option<Swap<'a>>, SwapError> {
    let subject = &worked.subject();
    let new = named::named(&ask.new, subject.stock, subject.settings)?;
    let new = named::in_full(new, subject.stock, subject.settings);
    let places = named::places(subject, &ask.old, ask.by_part)?;
    let Some(old) = places
        .first()
        .and_then(|at| pours::resolved(subject.resolved, *at))
    else {
        return Ok(None);
    };
    if key(&old.ingredient) == key(&new.resolved.ingredient)
        && (new.pour.strength_pct.is_none() || alike(&old.some(), &new.resolved.some()))
    {
        return Err(SwapError::Same {
            old: ask.old.clone(),
            new: ask.new.clone(),
            ingredient: old.ingredient.clone(),
        });
    }
    let old_name = old.ingredient.clone();
    let plan = pours::plan(subject, &places, &new, ask.hold);
    let (pours, outcome) = match plan {
        Ok(pours) => {
            let outcome = versions(worked, &new, &pours, ask.hold);
            (pours, outcome)
        }
        Err((pours, refusal)) => (pours, Err(refusal)),
    };
    Ok(Some(Swap {
        drink: subject.drink.name.clone(),
        notes: notes(subject, &pours, ask.hold, [&old_name, &new.resolved.ingredient]),
        old: old_name,
        new: new.resolved.ingredient.clone(),
        hold: ask.hold,
        before: &worked.evaluation,
        pours,
        outcome,
        assumptions: new.assumptions,
    }))
}

/// Whether two liquids are the same thing, whatever there is of each.
fn alike(a: &Liquid, b: &Liquid) -> bool {
    let (Ok(a), Ok(b)) = (a.of_mass(100.0), b.of_mass(100.0)) else {
        return false;
    };
    a.parts()
        .zip(b.parts())
        .all(|((_, x), (_, y))| (x - y).abs() < 1e-6)
}

fn versions(
    worked: &ComputedDrink,
    new: &named::Named,
    pours: &[SwappedPour],
    hold: Hold,
) -> Result<Swapped, Refusal> {
    let subject = &worked.subject();
    let with = |measure: fn(&SwappedPour) -> &PourAmount, water: Option<Pour>| {
        let changes = pours
            .iter()
            .map(|p| {
                (
                    p.at,
                    pours::written(subject.resolved, p.at, &new.pour, measure(p).clone()),
                )
            })
            .collect();
        version(worked, changes, water)
    };
    let exact = with(|p| &p.exact, None)?;
    let measured = with(|p| &p.measured, None)?;
    if let Some(glass) = &subject.resolved.glass {
        let (now, then) = (
            subject.built.glass.volume_ml(),
            exact.drink.built.glass.volume_ml(),
        );
        if then > glass.capacity_ml && now <= glass.capacity_ml {
            return Err(Refusal::NoRoom {
                ingredient: new.resolved.ingredient.clone(),
                needed_ml: pours.iter().map(|p| p.to_ml).sum(),
                drink_ml: then,
                glass: glass.name.clone(),
                capacity_ml: glass.capacity_ml,
            });
        }
    }
    let missing_ml = -pours.iter().map(|p| p.measured_water_ml).sum::<f64>();
    // As many millilitres are as long a drink already.
    let watered = if hold != Hold::Volume && missing_ml >= LEAST_WATER_ML {
        pours::measured_water(subject, missing_ml).and_then(|(amount, unit, ml)| {
            Some(Watered {
                amount: format!("{} {}", unit.amount_text(amount), unit.written_after(amount)),
                ml,
                version: with(|p| &p.measured, Some(water(amount, unit))).ok()?,
            })
        })
    } else {
        None
    };
    let (before, after) = (subject.resolved, &measured.drink.resolved);
    Ok(Swapped {
        allergens_eu: Change::between(&before.allergens_eu, &after.allergens_eu),
        allergens_us: Change::between(&before.allergens_us, &after.allergens_us),
        cautions: after
            .cautions
            .iter()
            .filter(|c| !before.cautions.contains(c))
            .cloned()
            .collect(),
        exact,
        measured,
        watered,
    })
}

/// The drink with other pours, worked out as it is.
fn version(
    worked: &ComputedDrink,
    pours: Vec<(usize, Pour)>,
    water: Option<Pour>,
) -> Result<Version, Refusal> {
    let drink = worked
        .with_steps_of(with_pours(&worked.drink, &pours, water.as_ref()))
        .map_err(Refusal::first_of)?;
    Ok(Version { pours, water, drink })
}

fn water(amount: Amount, unit: Unit) -> Pour {
    Pour {
        place: PourMethod::In,
        measure: PourAmount::Of(Extent::exact(amount), Some(unit)),
        choices: vec![Named {
            name: "water".to_owned(),
            full: "water".to_owned(),
            any: false,
            span: 0..0,
        }],
        strength_pct: None,
        per: None,
        note: String::new(),
    }
}

/// A drink with other pours at some of its steps, and water after the last of them.
fn with_pours(drink: &Drink, pours: &[(usize, Pour)], water: Option<&Pour>) -> Drink {
    let mut changed = drink.clone();
    let mut last = None;
    let steps = changed
        .entries
        .iter_mut()
        .enumerate()
        .filter_map(|(entry_at, entry)| match entry {
            Entry::Step(line) => Some((entry_at, line)),
            _ => None,
        });
    for (at, (entry_at, line)) in steps.enumerate() {
        if let Some((_, pour)) = pours.iter().find(|(place, _)| *place == at) {
            line.step = Step::Pour(pour.clone());
            line.assumptions.clear();
            last = Some((entry_at, line.span.clone()));
        }
    }
    if let (Some(water), Some((entry_at, span))) = (water, last) {
        let line = Line {
            step: Step::Pour(water.clone()),
            span,
            assumptions: Vec::new(),
        };
        changed.entries.insert(entry_at + 1, Entry::Step(line));
    }
    changed
}

fn notes(subject: &Subject<'_>, pours: &[SwappedPour], hold: Hold, names: [&str; 2]) -> Vec<Note> {
    let mut notes = Vec::new();
    if hold == Hold::Tartness {
        notes.extend(counted_otherwise(subject, pours, names));
    }
    for changed in pours {
        let Some(pour) = subject.resolved.pour_at(changed.at).map(|pour| &pour.typed) else {
            continue;
        };
        if pour.choices.len() > 1 || pour.choices.iter().any(|c| c.any) {
            notes.push(Note::ChoiceGone {
                line: pour.to_string(),
            });
        }
        if !pour.note.is_empty() {
            notes.push(Note::NoteStays {
                note: pour.note.clone(),
            });
        }
        if let PourAmount::Of(_, Some(unit)) = &pour.measure {
            match unit.facts().dimension {
                Dimension::Share => notes.push(Note::Parts),
                Dimension::Count if changed.exact == pour.measure => {
                    notes.push(Note::AsMany {
                        amount: changed.from.clone(),
                    });
                }
                _ => {}
            }
        }
    }
    if subject.resolved.own_melt.weighed.is_some() {
        notes.push(Note::Weighed);
    }
    notes.dedup();
    notes
}

/// Where the acid of the one has a figure for the convention of the book and that of the other only one for all: what
/// would hold as assays find both.
fn counted_otherwise(subject: &Subject<'_>, pours: &[SwappedPour], names: [&str; 2]) -> Option<Note> {
    if subject.resolved.convention == Convention::Assay {
        return None;
    }
    let [old, new] = [subject.stock.poured(names[0])?, subject.stock.poured(names[1])?];
    let acids = |ingredient: &Ingredient| -> (bool, bool) {
        let of = |convention: Option<Convention>| {
            ingredient.values.iter().any(|v| {
                v.convention == convention
                    && v.value > 0.0
                    && matches!(v.quantity, Quantity::Part(part) if part.facts().family == Family::Acid)
            })
        };
        (of(Some(Convention::Handbook)), of(None))
    };
    let (by_convention, single) = match (acids(&old), acids(&new)) {
        ((true, _), (false, true)) => (&old, &new),
        ((false, true), (true, _)) => (&new, &old),
        _ => return None,
    };
    let assay = |ingredient: &Ingredient| -> Option<f64> {
        ingredient
            .liquid(Convention::Assay, None)
            .ok()?
            .acid_g_per_100ml()
            .filter(|acid| *acid > 0.0)
    };
    let from_ml: f64 = pours.iter().map(|p| p.from_ml).sum();
    let by_assay_ml = from_ml * assay(&old)? / assay(&new)?;
    (from_ml > 0.0).then(|| Note::CountedOtherwise {
        by_convention: by_convention.name.clone(),
        single: single.name.clone(),
        by_assay_ml,
    })
}

/// An ingredient by its name as a line of a book would have it, with its strength where one is given: its full name
/// and a millilitre of it.
///
/// # Errors
/// A name that leads to nothing or to several things.
pub fn one_ml(name: &str, stock: &Stock, settings: &Settings) -> Result<(String, Liquid), SwapError> {
    let named = named::named(name, stock, settings)?;
    let liquid = named.resolved.some();
    Ok((named.resolved.ingredient, liquid))
}
