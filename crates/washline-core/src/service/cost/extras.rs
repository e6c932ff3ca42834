//! What goes with a drink and is not poured into it: ice and garnishes. They cost money too, and a spec seldom
//! says how much of them there is.

use std::borrow::Cow;

use rust_decimal::Decimal;

use super::share::{Need, decimal};
use super::{Draft, Part, Way, counted};
use crate::computed::ComputedDrink;
use crate::ingredient::Countable;
use crate::measure::Amount;
use crate::service::garnish::{self, bare};
use crate::spec::Step;

/// The ice that a step takes, if it takes any of its own.
pub(super) fn ice<'a>(worked: &ComputedDrink, position: usize, step: &Step) -> Option<Draft<'a>> {
    let steps: Vec<&Step> = worked.drink.lines().map(|l| &l.step).collect();
    let served_on_ice = steps.iter().any(|s| matches!(s, Step::OverIce(_)));
    let put_in = steps.iter().any(|s| matches!(s, Step::Ice(_)));
    let worked_on_ice = |s: &Step| matches!(s, Step::Work(w) if w.technique.on_ice());
    let (words, grams, kind) = match step {
        Step::Work(work) if work.technique.on_ice() => {
            // A drink built in its glass is built on the ice that it is served on.
            if work.technique.in_glass() && (served_on_ice || put_in) {
                return None;
            }
            (
                work.technique.written().to_owned(),
                work.ice.as_ref().and_then(|ice| ice.mass_g),
                work.ice
                    .as_ref()
                    .map_or_else(String::new, |ice| without_ice(&ice.words)),
            )
        }
        // Ice put into the tin is what is then shaken or stirred with.
        Step::Ice(_) if steps.iter().any(|s| worked_on_ice(s) && !is_in_glass(s)) => return None,
        Step::Ice(ice) | Step::OverIce(ice) => (ice.words.clone(), ice.mass_g, bare(&ice.words).to_owned()),
        _ => return None,
    };
    let stated = grams.and_then(Amount::to_decimal).map(|g| Need {
        g: Some(g),
        ..Need::default()
    });
    // One large piece has a price of its own where ice is bought by the piece.
    let single = matches!(step, Step::OverIce(ice) if ice.form.is_large());
    let way = |name: String| Way {
        need: stated.clone().or_else(|| (single && name != "ice").then(one)),
        name,
        ingredient: None,
    };
    let mut ways = Vec::new();
    if !kind.is_empty() {
        ways.push(way(kind.clone()));
        ways.push(way(format!("{kind} ice")));
    }
    ways.push(way("ice".to_owned()));
    Some(Draft {
        position: Some(position),
        part: Part::Ice,
        name: format!("ice ({words})"),
        written: grams.map_or_else(String::new, |g| format!("{g} g")),
        volume_ml: 0.0,
        ways,
        span: (Decimal::ONE, Decimal::ONE, String::new()),
    })
}

/// One piece.
fn one() -> Need {
    Need {
        counted: Some((Decimal::ONE, Countable::Piece)),
        ..Need::default()
    }
}

/// What is said of ice besides that it is ice.
fn without_ice(words: &str) -> String {
    words
        .trim()
        .strip_suffix("ice")
        .unwrap_or(words)
        .trim()
        .to_owned()
}

fn is_in_glass(step: &Step) -> bool {
    matches!(step, Step::Work(w) if w.technique.in_glass())
}

/// Every garnish, priced by its words, or as so much of an ingredient where its words read as that
/// (`lime wheel`, `2 cherries`).
pub(super) fn garnishes(worked: &ComputedDrink) -> Vec<Draft<'_>> {
    garnish::items(worked)
        .map(|words| garnish_of(worked, words))
        .collect()
}

fn garnish_of<'a>(worked: &'a ComputedDrink, words: &str) -> Draft<'a> {
    let thing = words.split_once(',');
    // `nutmeg, grated` is a little of a nutmeg and not a nutmeg.
    let way = |name: &str| Way {
        name: name.to_owned(),
        ingredient: None,
        need: thing.is_none().then(one),
    };
    let mut ways = vec![way(words), way(bare(words))];
    match thing {
        Some((thing, _)) => ways.push(way(bare(thing))),
        None => ways.extend(read(worked, words)),
    }
    Draft {
        position: None,
        part: Part::Garnish,
        name: words.to_owned(),
        written: String::new(),
        volume_ml: 0.0,
        ways,
        span: (Decimal::ONE, Decimal::ONE, String::new()),
    }
}

/// A garnish as so much of an ingredient, where its words read as that.
fn read<'a>(worked: &'a ComputedDrink, words: &str) -> Option<Way<'a>> {
    let (ingredient, written, pour) = garnish::read(worked, words)?;
    Some(Way {
        name: ingredient.name.clone(),
        ingredient: Some(Cow::Borrowed(ingredient)),
        need: Some(Need {
            ml: None,
            g: decimal(pour.usual().mass_g),
            counted: Some(counted(&written)?),
        }),
    })
}
