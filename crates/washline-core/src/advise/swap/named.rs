//! The two names of a swap: what is poured now, and what in its place, each as a line of a book would have it.

use crate::advise::Subject;
use crate::advise::subject::{NO_NAME, NOT_ONE_POUR, UNKNOWN};
use crate::ingredient::{Found, Stock};
use crate::measure::{Amount, Unit};
use crate::names::{key, nearest};
use crate::resolve::{ResolvedPour, ResolvedStep, resolve};
use crate::spec::{Assumption, Extent, Pour, PourAmount, Settings, Source, Step, read_under};

use super::{SwapError, alike};

/// An ingredient named on the command line, with its strength where one is given.
#[derive(Clone, Debug)]
pub(super) struct Named {
    /// The pour of a millilitre of it, as it would be written.
    pub pour: Pour,
    /// The same as a liquid.
    pub resolved: ResolvedPour,
    /// What was taken for granted in reading the name.
    pub assumptions: Vec<Assumption>,
}

/// Read `name` as a line of a book would be read that pours it.
pub(super) fn named(name: &str, stock: &Stock, settings: &Settings) -> Result<Named, SwapError> {
    let cannot = |why: &str, near: Vec<String>| SwapError::NotAName {
        name: name.to_owned(),
        why: why.to_owned(),
        near,
    };
    if name.trim().is_empty() || name.chars().any(char::is_control) {
        return Err(cannot(NO_NAME, Vec::new()));
    }
    let source = Source::new("", format!("## Swap\n- 1 ml {name}\n- stir\n"));
    let mut reading = read_under(&source, settings);
    if let Some(fault) = reading.faults.first() {
        return Err(cannot(&fault.message, fault.suggestions.clone()));
    }
    let Some(drink) = reading.book.take_drink() else {
        return Err(cannot(NO_NAME, Vec::new()));
    };
    let Some((Step::Pour(pour), 2)) = drink.lines().next().map(|l| (&l.step, drink.lines().count())) else {
        return Err(cannot(NOT_ONE_POUR, Vec::new()));
    };
    let plain = pour.measure == PourAmount::Of(Extent::exact(Amount::ONE), Some(Unit::Millilitre));
    if !plain || !pour.note.is_empty() {
        return Err(cannot(
            "expected a name, with its strength where that matters",
            Vec::new(),
        ));
    }
    if pour.choices.len() != 1 || pour.choices.iter().any(|c| c.any) {
        return Err(cannot("say which one", Vec::new()));
    }
    let resolved =
        resolve(&drink, stock, settings, &source).map_err(|faults| match faults.into_iter().next() {
            Some(fault) => cannot(&fault.message, fault.suggestions),
            None => cannot(UNKNOWN, Vec::new()),
        })?;
    match resolved.steps.into_iter().next() {
        Some(ResolvedStep::Pour(first)) => Ok(Named {
            pour: pour.clone(),
            resolved: first,
            assumptions: resolved.assumptions,
        }),
        _ => Err(cannot(NOT_ONE_POUR, Vec::new())),
    }
}

/// The same under the full name of the ingredient, where that leads to it without anything taken for granted: what a
/// book is best written with.
pub(super) fn in_full(mut named: Named, stock: &Stock, settings: &Settings) -> Named {
    let strength = named
        .pour
        .strength_pct
        .map(|pct| format!(" {pct} %"))
        .unwrap_or_default();
    let full = format!("{}{strength}", named.resolved.ingredient);
    if let Ok(again) = self::named(&full, stock, settings)
        && again.resolved.ingredient == named.resolved.ingredient
        && alike(&again.resolved.some(), &named.resolved.some())
    {
        named.pour = again.pour;
    }
    named
}

/// The places of the pours of `old` among the steps; empty where the drink pours none. `by_part`: a part of the name
/// will do.
pub(super) fn places(subject: &Subject<'_>, old: &str, by_part: bool) -> Result<Vec<usize>, SwapError> {
    let meant = named(old, subject.stock, subject.settings);
    let typed = key(old);
    let (ingredient, strength) = match &meant {
        Ok(meant) => (Some(key(&meant.resolved.ingredient)), meant.pour.strength_pct),
        Err(_) => (None, None),
    };
    let mut places = Vec::new();
    let mut could_be: Vec<(usize, String)> = Vec::new();
    let part = format!(" {typed} ");
    let mut so_called: Vec<(usize, String)> = Vec::new();
    let candidates: Vec<String> = match subject.stock.find(old) {
        Found::Ask(candidates, _) => candidates.iter().map(|c| key(c)).collect(),
        _ => Vec::new(),
    };
    for (at, pour) in subject.resolved.pours() {
        let line = &pour.typed;
        let poured = key(&pour.ingredient);
        let named_so = strength.is_none()
            && line
                .choices
                .first()
                .is_some_and(|c| key(&c.name) == typed || key(&c.full) == typed);
        let of_strength = strength.is_none_or(|pct| {
            let own = pour.some().abv_pct();
            line.strength_pct == Some(pct)
                || line.strength_pct.is_none() && own.is_some_and(|own| (own - pct.to_f64()).abs() < 0.05)
        });
        if named_so || ingredient.as_ref() == Some(&poured) && of_strength {
            places.push(at);
        } else if candidates.contains(&poured) {
            could_be.push((at, poured));
        } else if by_part && strength.is_none() && format!(" {poured} ").contains(&part) {
            so_called.push((at, poured));
        }
    }
    if could_be.is_empty() {
        could_be = so_called;
    }
    // A word that could mean several things means the one that is poured, where that is one.
    if places.is_empty()
        && let Some((_, first)) = could_be.first()
        && could_be.iter().all(|(_, name)| name == first)
    {
        places.extend(could_be.iter().map(|(at, _)| *at));
    }
    match meant {
        Err(error) if places.is_empty() && could_be.is_empty() => {
            // A word of several meanings that none of the pours has is known all the same.
            if candidates.is_empty() {
                Err(error)
            } else {
                Ok(places)
            }
        }
        _ if places.is_empty() && !could_be.is_empty() => {
            let mut near: Vec<String> = could_be.into_iter().map(|(_, name)| name).collect();
            near.dedup();
            Err(SwapError::NotAName {
                name: old.to_owned(),
                why: format!("{} pours several that it could be", subject.drink.name),
                near,
            })
        }
        _ => Ok(places),
    }
}

/// What a drink pours, the nearest to `name` first.
#[must_use]
pub fn pours_near(subject: &Subject<'_>, name: &str) -> Vec<String> {
    let poured: Vec<&str> = subject
        .resolved
        .pours()
        .map(|(_, pour)| pour.ingredient.as_str())
        .collect();
    let mut near = nearest(name, poured.iter().map(|p| (*p, *p)), 3);
    near.extend(poured.iter().map(|p| (*p).to_owned()));
    let mut seen = std::collections::HashSet::new();
    near.retain(|name| seen.insert(name.clone()));
    near
}
