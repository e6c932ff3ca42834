//! How much of the new ingredient each pour takes: exactly, and as the bar measures it.

use crate::advise::{Subject, steps};
use crate::ingredient::{Countable, Ingredient, Quantity};
use crate::liquid::{Component, Liquid};
use crate::measure::{Amount, Dimension, Unit};
use crate::melt::water_ml;
use crate::resolve::{Portion, Resolved, ResolvedPour, resolve};
use crate::spec::{Drink, Extent, Pour, PourAmount, Source};

use super::named::Named;
use super::{Hold, Refusal, with_pours};

/// One pour that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct SwappedPour {
    /// Its place among the steps.
    pub at: usize,
    /// The old amount, as the book writes it; empty where it gives none.
    pub from: String,
    /// The same, ml at 20 °C.
    pub from_ml: f64,
    /// How much of the new one holds exactly, ml at 20 °C.
    pub to_ml: f64,
    /// The nearest amount that the bar measures, as a book writes it.
    pub to: String,
    /// The same, ml at 20 °C.
    pub measured_ml: f64,
    /// What the old pour brings of what is held, in [`Hold::unit`].
    pub held: f64,
    /// What the new one brings of it as measured.
    pub held_measured: f64,
    /// Water that comes in with the exact amount, ml; below 0 where some goes missing.
    pub water_ml: f64,
    /// The same of the measured amount.
    pub measured_water_ml: f64,
    /// The exact amount, to a millionth of its unit.
    pub(super) exact: PourAmount,
    /// The measured amount.
    pub(super) measured: PourAmount,
}

/// An amount this many times the old one is another drink, if it is also more by [`MOST_MORE_ML`]: common practice, no
/// source.
const MOST_TIMES: f64 = 3.0;
/// See [`MOST_TIMES`], ml.
const MOST_MORE_ML: f64 = 30.0;
/// Below this there is none of it in a pour, g or ml.
const NONE: f64 = 1e-6;

/// The pour at a step.
pub(super) fn resolved(drink: &Resolved, at: usize) -> Option<&ResolvedPour> {
    drink.pour_at(at)
}

/// A pour of the new ingredient in the place of that at a step: its place and its note stay.
pub(super) fn written(drink: &Resolved, at: usize, new: &Pour, measure: PourAmount) -> Pour {
    let old: &Pour = drink.pour_at(at).map_or(new, |pour| &pour.typed);
    Pour {
        place: old.place,
        measure,
        choices: new.choices.clone(),
        strength_pct: new.strength_pct,
        per: new.per,
        note: old.note.clone(),
    }
}

/// A changed drink with its names and amounts told; the first that cannot be is the refusal.
pub(super) fn resolve_alone(subject: &Subject<'_>, drink: &Drink) -> Result<Resolved, Refusal> {
    // Places in the text are only told to a reader of a book, who is not asked here.
    let source = Source::new("", String::new());
    resolve(drink, subject.stock, subject.settings, &source).map_err(Refusal::first_of)
}

/// What each of the pours at `places` becomes; of a refused swap, what is known of them.
pub(super) fn plan(
    subject: &Subject<'_>,
    places: &[usize],
    new: &Named,
    hold: Hold,
) -> Result<Vec<SwappedPour>, (Vec<SwappedPour>, Refusal)> {
    let mut planned = Vec::new();
    let mut refused = None;
    for &at in places {
        match one(subject, at, new, hold) {
            Ok(pour) => planned.push(pour),
            Err(refusal) => refused = refused.or(Some(refusal)),
        }
    }
    if let Err(refusal) = share_out(subject, &mut planned) {
        refused = refused.or(Some(refusal));
    }
    match refused {
        None => Ok(planned),
        Some(refusal) => Err((planned, refusal)),
    }
}

fn one(subject: &Subject<'_>, at: usize, new: &Named, hold: Hold) -> Result<SwappedPour, Refusal> {
    let Some(old) = resolved(subject.resolved, at) else {
        return Err(no_pour());
    };
    let line = &old.typed;
    let old_liquid = subject.built.brought(old).liquid;
    let extent = match &line.measure {
        PourAmount::Of(extent, _) if !extent.nominal.is_zero() => extent,
        // Without an amount it goes on as it is: filled up, to taste, rinsed.
        _ if hold == Hold::Volume => return as_written(subject, at, new, line, old, &old_liquid, hold),
        _ => {
            return Err(Refusal::NoAmount {
                hold,
                ingredient: old.ingredient.clone(),
            });
        }
    };
    let unit = match &line.measure {
        PourAmount::Of(_, Some(unit)) => Some(*unit),
        _ => subject.bare_unit(old.usual().volume_ml / extent.nominal.to_f64()),
    };
    // As many millilitres, dashes, leaves of the one as of the other; grams are another matter.
    let kept = match unit {
        Some(unit) => unit.facts().dimension != Dimension::Mass,
        // A bare count: `1 egg white`. Another thing has to come by the piece for that.
        None => subject.stock.poured(&new.resolved.ingredient).is_some_and(|new| {
            new.value(Quantity::Mass(Countable::Piece), subject.resolved.convention)
                .is_some()
        }),
    };
    if hold == Hold::Volume
        && kept
        && let Ok(same) = as_written(subject, at, new, line, old, &old_liquid, hold)
        && same.to_ml > 0.0
    {
        return Ok(same);
    }
    let wanted = hold.of(&old_liquid);
    if wanted < NONE {
        return Err(Refusal::NothingToHold {
            hold,
            ingredient: old.ingredient.clone(),
        });
    }
    let (unit, each) = unit_of(subject, at, new, unit)?;
    let per_unit = hold.of(&each.some());
    if per_unit * 1000.0 < NONE {
        return Err(Refusal::HasNone {
            hold,
            ingredient: each.ingredient.clone(),
            wanted,
        });
    }
    let units = wanted / per_unit;
    let to_ml = units * each.usual().volume_ml;
    let from_ml = old_liquid.volume_ml();
    if to_ml > MOST_TIMES * from_ml && to_ml > from_ml + MOST_MORE_ML || !to_ml.is_finite() {
        let per_100ml = |liquid: &Liquid| 100.0 * hold.of(liquid) / liquid.volume_ml();
        return Err(Refusal::TooMuch {
            hold,
            ingredient: each.ingredient.clone(),
            needed_ml: to_ml,
            from_ml,
            per_100ml: per_100ml(&each.some()),
            old_per_100ml: per_100ml(&old_liquid),
        });
    }
    let exact = exactly(units).ok_or_else(|| Refusal::NotPoured {
        why: format!("{units} {} is no amount", unit.written_after(Amount::ONE)),
    })?;
    let measured = nearest(subject, unit, units, each.usual().volume_ml).unwrap_or(exact);
    let brought = |amount: f64| each.some().times(amount).unwrap_or_default();
    let (as_held, as_measured) = (brought(units), brought(measured.to_f64()));
    Ok(SwappedPour {
        at,
        from: old.written.clone(),
        from_ml,
        to_ml,
        to: amount_text(measured, unit),
        measured_ml: as_measured.volume_ml(),
        held: wanted,
        held_measured: hold.of(&as_measured),
        water_ml: water_between(&old_liquid, &as_held),
        measured_water_ml: water_between(&old_liquid, &as_measured),
        exact: PourAmount::Of(Extent::exact(exact), Some(unit)),
        measured: PourAmount::Of(Extent::exact(measured), Some(unit)),
    })
}

/// The new ingredient with the very amount of the line.
fn as_written(
    subject: &Subject<'_>,
    at: usize,
    new: &Named,
    line: &Pour,
    old: &ResolvedPour,
    old_liquid: &Liquid,
    hold: Hold,
) -> Result<SwappedPour, Refusal> {
    let poured = in_place(subject, at, new, line.measure.clone())?;
    let liquid = subject.built.brought(&poured).liquid;
    let water_ml = water_between(old_liquid, &liquid);
    Ok(SwappedPour {
        at,
        from: old.written.clone(),
        from_ml: old_liquid.volume_ml(),
        to_ml: liquid.volume_ml(),
        to: poured.written,
        measured_ml: liquid.volume_ml(),
        held: hold.of(old_liquid),
        held_measured: hold.of(&liquid),
        water_ml,
        measured_water_ml: water_ml,
        exact: line.measure.clone(),
        measured: line.measure.clone(),
    })
}

/// The new ingredient in the place of the old, so much of it.
fn in_place(
    subject: &Subject<'_>,
    at: usize,
    new: &Named,
    measure: PourAmount,
) -> Result<ResolvedPour, Refusal> {
    let pour = written(subject.resolved, at, &new.pour, measure);
    let drink = with_pours(subject.drink, &[(at, pour)], None);
    let all = resolve_alone(subject, &drink)?;
    resolved(&all, at).cloned().ok_or_else(no_pour)
}

fn no_pour() -> Refusal {
    Refusal::NotPoured {
        why: "it is no pour".to_owned(),
    }
}

/// What the new ingredient is measured in there, and one of that: as the old line is where that can be, else in
/// grams where it is dry, else in what most of the drink is measured in.
fn unit_of(
    subject: &Subject<'_>,
    at: usize,
    new: &Named,
    written: Option<Unit>,
) -> Result<(Unit, ResolvedPour), Refusal> {
    let ingredient = subject.stock.poured(&new.resolved.ingredient);
    let solid = ingredient.as_deref().is_some_and(Ingredient::is_solid);
    let was_solid = resolved(subject.resolved, at)
        .and_then(|old| subject.stock.poured(&old.ingredient))
        .is_some_and(|old| old.is_solid());
    let same = written.filter(|unit| {
        let mass = unit.facts().dimension == Dimension::Mass;
        // Spoons and jiggers of a dry thing are heaps, grams of a juice a nuisance.
        if solid {
            mass || unit.facts().dimension == Dimension::Count
        } else {
            !(mass && was_solid)
        }
    });
    let other = if solid { Unit::Gram } else { subject.usual_unit() };
    let mut refusal = None;
    for unit in same.into_iter().chain([other]) {
        // A part is a share of all of them; it is shared out in the end.
        let tried = if unit == Unit::Part {
            Unit::Millilitre
        } else {
            unit
        };
        match in_place(
            subject,
            at,
            new,
            PourAmount::Of(Extent::exact(Amount::ONE), Some(tried)),
        ) {
            Ok(each) if each.usual().volume_ml > 0.0 => {
                if unit != Unit::Part {
                    return Ok((unit, each));
                }
                let part_ml = resolved(subject.resolved, at).and_then(|old| match &old.typed.measure {
                    PourAmount::Of(extent, _) => Some(old.usual().volume_ml / extent.nominal.to_f64()),
                    _ => None,
                });
                if let Some(part) = part_ml.and_then(|ml| scaled(&each, ml / each.usual().volume_ml)) {
                    return Ok((Unit::Part, part));
                }
            }
            Ok(_) => {}
            Err(why) => refusal = Some(why),
        }
    }
    Err(refusal.unwrap_or_else(|| Refusal::NotPoured {
        why: format!("{} is not poured by the measure", new.resolved.ingredient),
    }))
}

fn scaled(pour: &ResolvedPour, times: f64) -> Option<ResolvedPour> {
    let all = pour.fixed()?;
    Some(ResolvedPour {
        portion: Portion::Fixed(all.times(times).ok()?),
        ..pour.clone()
    })
}

/// Parts are shares of a serve that stays as large: so many of them that each pour comes to what it is to be.
fn share_out(subject: &Subject<'_>, planned: &mut [SwappedPour]) -> Result<(), Refusal> {
    let is_part = |measure: &PourAmount| matches!(measure, PourAmount::Of(_, Some(Unit::Part)));
    let changes = |p: &SwappedPour| is_part(&p.exact) && (p.to_ml - p.from_ml).abs() > 1e-9;
    if !planned.iter().any(changes) {
        return Ok(());
    }
    let parts: Vec<(usize, f64, f64)> = subject
        .resolved
        .pours()
        .filter_map(|(at, pour)| Some((at, part(&pour.typed.measure)?, pour.usual().volume_ml)))
        .collect();
    let serve_ml: f64 = parts.iter().map(|(_, _, ml)| ml).sum();
    let needed_ml: f64 = planned
        .iter()
        .filter(|p| is_part(&p.exact))
        .map(|p| p.to_ml)
        .sum();
    let others: f64 = parts
        .iter()
        .filter(|(at, ..)| planned.iter().all(|p| p.at != *at))
        .map(|(_, parts, _)| parts)
        .sum();
    if needed_ml >= serve_ml || others <= 0.0 {
        return Err(Refusal::PartsFull { needed_ml, serve_ml });
    }
    let all: f64 = others * serve_ml / (serve_ml - needed_ml);
    for pour in planned.iter_mut().filter(|p| is_part(&p.exact)) {
        let units = pour.to_ml * all / serve_ml;
        let Some(exact) = exactly(units) else {
            return Err(Refusal::PartsFull { needed_ml, serve_ml });
        };
        let measured = nearest(subject, Unit::Part, units, pour.to_ml / units).unwrap_or(exact);
        pour.exact = PourAmount::Of(Extent::exact(exact), Some(Unit::Part));
        pour.measured = PourAmount::Of(Extent::exact(measured), Some(Unit::Part));
        pour.to = amount_text(measured, Unit::Part);
    }
    // What the measured parts come to, once the serve is shared out among them.
    let measured: f64 = planned.iter().filter_map(|p| part(&p.measured)).sum();
    for pour in planned.iter_mut() {
        let Some(units) = part(&pour.measured) else {
            continue;
        };
        let ml = serve_ml * units / (others + measured);
        let factor = ml / pour.measured_ml;
        if factor.is_finite() {
            let (old_water, new_water) = (pour.measured_water_ml, pour.water_ml);
            // Both are of the same new pour, so water goes with its volume between them.
            let per_ml = (old_water - new_water) / (pour.measured_ml - pour.to_ml);
            if per_ml.is_finite() {
                pour.measured_water_ml = new_water + per_ml * (ml - pour.to_ml);
            }
            pour.held_measured *= factor;
            pour.measured_ml = ml;
        }
    }
    Ok(())
}

fn part(measure: &PourAmount) -> Option<f64> {
    match measure {
        PourAmount::Of(extent, Some(Unit::Part)) => Some(extent.nominal.to_f64()),
        _ => None,
    }
}

/// An amount to a millionth of its unit.
fn exactly(units: f64) -> Option<Amount> {
    const SCALE: i32 = 1_000_000;
    let scaled = (units * f64::from(SCALE)).round();
    if !(1.0..=1e15).contains(&scaled) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, reason = "whole, and far inside an i128")]
    Amount::ratio(scaled as i128, i128::from(SCALE)).ok()
}

/// The amount nearest to `units` that the bar measures.
fn nearest(subject: &Subject<'_>, unit: Unit, units: f64, ml_each: f64) -> Option<Amount> {
    let ounce = subject.settings.ounce.unwrap_or_default();
    let room = 2.0 * units + 30.0 / ml_each.max(1e-6);
    let measured = steps::measured(unit, room, ounce, &subject.settings.jigger_set);
    let close = |a: &Amount| (a.to_f64() - units).abs();
    let found = measured.into_iter().min_by(|a, b| close(a).total_cmp(&close(b)));
    // What is only counted is counted whole.
    found.or_else(|| {
        let counted = unit.facts().dimension == Dimension::Count;
        counted.then(|| exactly(units.round().max(1.0))).flatten()
    })
}

/// So much water as the bar measures it, in what most of the drink is measured in, and what that is in ml.
pub(super) fn measured_water(subject: &Subject<'_>, water_ml: f64) -> Option<(Amount, Unit, f64)> {
    let unit = subject.usual_unit();
    let each = subject.settings.to_measures().size(unit)?.nominal.to_f64();
    let amount = nearest(subject, unit, water_ml / each, each)?;
    Some((amount, unit, amount.to_f64() * each))
}

fn amount_text(amount: Amount, unit: Unit) -> String {
    format!("{} {}", unit.amount_text(amount), unit.written_after(amount))
}

/// The water that comes in with `new` in the place of `old`, ml at 20 °C; below 0 where some goes missing.
fn water_between(old: &Liquid, new: &Liquid) -> f64 {
    water_ml(new.grams(Component::Water) - old.grams(Component::Water))
}
