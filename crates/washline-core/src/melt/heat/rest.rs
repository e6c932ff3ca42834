//! Where drink, ice and vessel come to rest when nothing comes in from the room.

use super::{Conditions, HeatError};
use crate::liquid::Liquid;
use crate::liquid::freezing::Dissolved;
use crate::liquid::rising_root;
use crate::liquid::thermal::{Mix, ice_heat_j_per_g};

/// Where all comes to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rest {
    /// Water that the drink has gained, g.
    pub water_g: f64,
    /// Of drink, ice and vessel, °C.
    pub temperature_c: f64,
    /// Ice that is left, g.
    pub ice_g: f64,
}

/// The end of all melting: ice, if any is left, at the freezing point of the drink around it, and the vessel as cold as
/// both. Neither room nor work nor time come into it, so a drink shaken for long is a little more dilute.
///
/// # Errors
/// When a condition is out of range or there is no drink.
pub fn equilibrium(liquid: &Liquid, conditions: &Conditions) -> Result<Rest, HeatError> {
    conditions.check()?;
    super::time::drink(liquid)?;
    let before = Mix::of(liquid);
    let dissolved = Dissolved::of(liquid);
    let (ice, vessel) = (&conditions.ice, conditions.vessel.capacity_j_per_k());
    let clinging = ice.surface_water_g();
    let frozen = ice.grams - clinging;
    let all_water = before.water_g + conditions.pooled_water_g + clinging + frozen;
    let heat = before.heats().heat_j(conditions.drink_c)
        + frozen * ice_heat_j_per_g(ice.temperature_c)
        + vessel * conditions.vessel.temperature_c;
    let mix = |ice_g: f64| before.with_water(all_water - ice_g);
    // Heat of everything when so much ice is left, all at the freezing point: the less ice, the more heat.
    let held = |ice_g: f64| {
        let t = dissolved.freezing_c(all_water - ice_g);
        mix(ice_g).heats().heat_j(t) + ice_g * ice_heat_j_per_g(t) + vessel * t
    };
    let whole = |ice_g: f64, t: f64| mix(ice_g).heats().heat_j(t) + ice_g * ice_heat_j_per_g(t) + vessel * t;
    let (ice_g, temperature_c) = if frozen <= 0.0 || held(0.0) <= heat {
        (0.0, rising_root(-100.0, 130.0, |t| whole(0.0, t) - heat))
    } else if held(all_water) >= heat {
        (
            all_water,
            rising_root(-120.0, 0.0, |t| whole(all_water, t) - heat),
        )
    } else {
        let melted = rising_root(0.0, all_water, |melted| held(all_water - melted) - heat);
        (all_water - melted, dissolved.freezing_c(melted))
    };
    Ok(Rest {
        water_g: all_water - ice_g - before.water_g,
        temperature_c,
        ice_g,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::melt::heat::{Ice, Method, Vessel, after};

    #[test]
    fn a_long_wait_without_a_room_ends_here() {
        let liquid = Liquid::from_strength(25.0).unwrap().of_volume(100.0).unwrap();
        let mut conditions = Conditions {
            ice: Ice::from_the_freezer(150.0, 25.0),
            ..Conditions::default()
        };
        conditions.vessel = Vessel {
            room_w_per_k: 0.0,
            ..Vessel::tin(20.0)
        };
        let method = Method {
            work_w: 0.0,
            ..Method::SHAKE
        };
        let rest = equilibrium(&liquid, &conditions).unwrap();
        let late = after(&liquid, &method, &conditions, 2000.0).unwrap();
        assert!((rest.water_g - late.water_g).abs() < 1e-3, "{rest:?} {late:?}");
        assert!((rest.temperature_c - late.temperature_c).abs() < 1e-3);
    }
}
