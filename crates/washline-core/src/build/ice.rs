//! What ice a drink meets: the line's own where it says, else the book's, else the handbook's.

use super::ICE_PACKING;
use crate::melt::heat::{CUBE_MM, FREEZER_C, Ice, Piece};
use crate::resolve::{Resolved, ResolvedStep, ResolvedWork};
use crate::tables::{self, IceForm};

/// Ice in a glass of unknown size, g: common practice, no source.
const USUAL_ICE_G: f64 = 150.0;
/// Crushed and pebble ice fill a little more of a glass than cubes do: 0.55 to 0.65, from memory.
pub const FINE_PACKING: f64 = 0.60;
/// Density of ice at 0 °C, g/ml: handbook constant, from memory.
pub const ICE_G_PER_ML: f64 = 0.9167;

/// The ice of a step of work: what its own line says, or a line of ice before it.
pub(super) fn in_the_tin(drink: &Resolved, at: usize, work: &ResolvedWork, usual: Ice) -> Ice {
    let before = drink.steps[..at].iter().rev().find_map(|step| match step {
        ResolvedStep::Ice(ice) if !ice.words.contains("glass") => Some(ice),
        _ => None,
    });
    let said = work.ice.as_ref().or(before);
    let mut ice = usual;
    if let Some(grams) = drink.cold.ice_g {
        ice.grams = grams;
    }
    if let Some(edge) = drink.cold.ice_mm {
        ice.piece_mm = edge;
    }
    if let Some(said) = said {
        ice = as_said(drink, said, ice);
    }
    as_cold(
        drink,
        ice,
        work.freezer_ice || said.is_some_and(|said| said.from_freezer),
    )
}

/// Pieces, count and mass as the words have them.
fn as_said(drink: &Resolved, said: &tables::Ice, mut ice: Ice) -> Ice {
    let cube_mm = drink.cold.ice_mm.unwrap_or(CUBE_MM);
    let piece = Piece::of(said.form, cube_mm);
    if let Some(piece) = piece {
        ice = ice.in_pieces(piece);
    }
    if let Some(count) = said.count {
        ice.grams = f64::from(count) * piece.unwrap_or(Piece::cube(cube_mm)).grams;
    }
    if let Some(mass) = said.mass_g {
        ice.grams = mass.to_f64();
    }
    ice
}

/// As cold and as wet as the book has its ice, or as dry as a freezer's.
fn as_cold(drink: &Resolved, mut ice: Ice, from_freezer: bool) -> Ice {
    let celsius = if from_freezer {
        Some(FREEZER_C)
    } else {
        drink.cold.ice_c
    };
    if let Some(celsius) = celsius.filter(|c| *c < 0.0) {
        (ice.temperature_c, ice.film_um) = (celsius, 0.0);
    }
    match drink.cold.wet_pct.filter(|_| !from_freezer) {
        Some(share) => ice.holding_water(share / 100.0),
        None => ice,
    }
}

/// The form of the ice that a drink is served on, as its lines say it.
pub(super) fn served_on(drink: &Resolved) -> Option<&tables::Ice> {
    let lines = || {
        drink.steps.iter().filter_map(|step| match step {
            ResolvedStep::OverIce(ice) => Some((ice, true)),
            ResolvedStep::Ice(ice) => Some((ice, ice.words.contains("glass"))),
            ResolvedStep::Work(work) if work.technique.in_glass() => {
                work.ice.as_ref().map(|ice| (ice, false))
            }
            _ => None,
        })
    };
    // A line that says so is in the glass; where none does, ice that no tin takes is.
    let in_glass =
        |ice: &&tables::Ice| ice.form != IceForm::Unsaid || ice.mass_g.is_some() || ice.count.is_some();
    let tin = drink
        .steps
        .iter()
        .any(|s| matches!(s, ResolvedStep::Work(w) if w.technique.on_ice() && !w.technique.in_glass()));
    lines()
        .filter(|(_, glass)| *glass || !tin)
        .map(|(ice, _)| ice)
        .find(in_glass)
}

/// How much of a glass packed ice of that form takes.
#[must_use]
pub fn packing(form: IceForm) -> f64 {
    if form.is_fine() { FINE_PACKING } else { ICE_PACKING }
}

/// The ice a drink stands on in its glass, and its form.
pub(super) fn in_the_glass(drink: &Resolved) -> (Ice, IceForm) {
    let said = served_on(drink);
    let form = said.map_or(IceForm::Unsaid, |ice| ice.form);
    let cube_mm = drink.cold.ice_mm.unwrap_or(CUBE_MM);
    let piece = Piece::of(form, cube_mm).unwrap_or(Piece::cube(cube_mm));
    // A packed glass: the drink fills the gaps.
    let grams = match drink.glass.as_ref() {
        _ if form.is_large() => piece.grams,
        Some(glass) => ICE_G_PER_ML * packing(form) * glass.capacity_ml,
        None => USUAL_ICE_G,
    };
    let mut ice = Ice::wet(grams, piece.edge_mm);
    if let Some(said) = said {
        ice = as_said(drink, said, ice);
    }
    let from_freezer = said.is_some_and(|said| said.from_freezer);
    (as_cold(drink, ice, from_freezer), form)
}
