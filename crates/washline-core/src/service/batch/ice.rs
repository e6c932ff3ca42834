//! Ice by the gram: what works a drink, and what stands in its glass.

use super::Serving;
use crate::build::ICE_PACKING;
use crate::computed::ComputedDrink;
use crate::spec::Step;

/// Ice that works one drink in a bar's tin or mixing glass, g: 150 to 200, from memory.
const WORKING_G: f64 = 175.0;
/// One large cube, 50 mm, g: 125 ml of ice, COMPUTED.
const LARGE_CUBE_G: f64 = 115.0;
/// Crushed and pebble ice fill a little more of a glass than cubes do: 0.55 to 0.65, from memory.
const CRUSHED_PACKING: f64 = 0.60;
/// Density of ice at 0 °C, g/ml: handbook constant, from memory.
const ICE_G_PER_ML: f64 = 0.9167;
/// A glass with ice whose size nobody says, ml brimful.
const GLASS_ML: f64 = 300.0;

/// What the trade buys for one drink of one guest, kg, waste and what melts in the box included: from memory.
pub const BOUGHT_KG_A_DRINK: (f64, f64) = (0.25, 0.5);

/// Ice one serve takes when it is served so, g: for the work on it, and in its glass.
#[must_use]
pub fn ice_g(worked: &ComputedDrink, serving: Serving) -> f64 {
    let mut grams = 0.0;
    let mut in_glass = worked.built.on_ice;
    for line in worked.drink.lines() {
        match &line.step {
            Step::Work(work) if work.technique.on_ice() => {
                let in_the_glass = work.technique.in_glass();
                if serving == Serving::ToOrder && !in_the_glass {
                    grams += work
                        .ice
                        .as_ref()
                        .and_then(|ice| ice.mass_g)
                        .map_or(WORKING_G, |g| g.to_f64());
                }
                in_glass |= in_the_glass;
            }
            Step::OverIce(_) => in_glass = true,
            _ => {}
        }
    }
    if in_glass {
        grams += glass_g(worked);
    }
    grams
}

/// Ice in the glass of one serve, g.
fn glass_g(worked: &ComputedDrink) -> f64 {
    let form = worked.drink.lines().find_map(|l| match &l.step {
        Step::OverIce(ice) => Some(ice.form),
        _ => None,
    });
    let form = form.unwrap_or_default();
    if form.is_large() {
        return LARGE_CUBE_G;
    }
    let packing = if form.is_fine() {
        CRUSHED_PACKING
    } else {
        ICE_PACKING
    };
    let brimful = worked.resolved.glass.as_ref().map_or(GLASS_ML, |g| g.capacity_ml);
    brimful * packing * ICE_G_PER_ML
}
