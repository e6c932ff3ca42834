//! A batch in the freezer: never yes or no, but from where on and how much.

use crate::liquid::{Component, Liquid, freezing};

/// What a freezer does to a liquid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Freezing {
    /// The temperature of the freezer, °C.
    pub freezer_c: f64,
    /// Where the first ice forms, °C, at equilibrium: a still bottle may stay liquid a few degrees below. `None`
    /// where there is no water. Not lower than [`freezing::LOWEST_C`].
    pub onset_c: Option<f64>,
    /// Half-width (95 %) of the onset, °C: the tables of different authors differ by that, and depressions of
    /// several things together are an approximation.
    pub onset_half_width_c: f64,
    /// Ice over the whole, by mass, 0 to 1, once it has come to rest.
    pub frozen_share: f64,
    /// Half-width (95 %) of that share.
    pub half_width: f64,
}

/// Tables of ethanol's freezing points: CRC and CoolProp differ by 0.35 K at most down to −30 °C. (Lange's lies up to 1.5 K
/// above both between −7 and −24 °C.)
const TABLES_K: f64 = 0.4;
/// Adding up depressions of unlike things: 5 % of what the rest adds to ethanol's (or the most of several). From memory.
const ADDING: f64 = 0.05;

/// What becomes of `liquid` at `freezer_c` (a domestic freezer: −18 °C); `None` of nothing, or of a temperature
/// that is no number.
///
/// ```
/// use washline_core::liquid::Liquid;
/// use washline_core::melt::heat::freezer;
/// // A batch at 25 % vol is slush in the freezer; at 40 % vol it pours.
/// let slush = freezer(&Liquid::from_strength(25.0)?, -18.0).unwrap();
/// assert!(slush.onset_c.unwrap() > -13.0 && slush.frozen_share > 0.2);
/// assert!(freezer(&Liquid::from_strength(40.0)?, -18.0).unwrap().frozen_share < 1e-9);
/// # Ok::<(), washline_core::liquid::LiquidError>(())
/// ```
#[must_use]
pub fn freezer(liquid: &Liquid, freezer_c: f64) -> Option<Freezing> {
    let mass = liquid.mass_g();
    if !(mass > 0.0 && freezer_c.is_finite()) {
        return None;
    }
    let onset_c = freezing::point_c(liquid);
    let share = |t: f64| freezing::ice_g(liquid, t) / mass;
    // What ethanol alone would do in this water tells how much is added to it.
    let alone = Liquid::of(&[
        (Component::Water, liquid.grams(Component::Water)),
        (Component::Ethanol, liquid.ethanol_g()),
    ])
    .ok()
    .and_then(|l| freezing::point_c(&l))
    .unwrap_or(0.0);
    let whole = onset_c.unwrap_or(0.0);
    let spread = TABLES_K * (-whole / 10.0).min(1.0) + ADDING * (alone - whole).max(0.0).min(-alone);
    let frozen_share = share(freezer_c);
    // Deeper in, what is dissolved has been concentrated, and the same share of the depression is more kelvin.
    let deeper = if frozen_share > 0.0 && whole < 0.0 {
        spread * (freezer_c / whole).max(1.0)
    } else {
        spread
    };
    Some(Freezing {
        freezer_c,
        onset_c,
        onset_half_width_c: spread,
        frozen_share,
        half_width: 0.5 * (share(freezer_c - deeper) - share((freezer_c + deeper).min(0.0))),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_and_how_sure_it_is() {
        let batch = Liquid::litre(22.0, &[(Component::Sucrose, 80.0)]).unwrap();
        let at = freezer(&batch, -18.0).unwrap();
        assert!(at.frozen_share > 0.2 && at.frozen_share < 0.4, "{at:?}");
        assert!(at.half_width > 0.005 && at.half_width < 0.1, "{at:?}");
        assert!(freezer(&batch, -25.0).unwrap().frozen_share > at.frozen_share);
        // By the freezing point an edge is possible either way: the width says so though the share is nothing.
        let edge = freezer(&batch, at.onset_c.unwrap() + 0.1).unwrap();
        assert!(edge.frozen_share < 1e-9 && edge.half_width > 0.0);
    }

    #[test]
    fn water_freezes_whole_and_ethanol_not_at_all() {
        assert!(
            freezer(&Liquid::water_g(100.0).unwrap(), -18.0)
                .unwrap()
                .frozen_share
                > 0.999
        );
        let dry = Liquid::of(&[(Component::Ethanol, 10.0)]).unwrap();
        let at = freezer(&dry, -18.0).unwrap();
        assert!(at.onset_c.is_none() && at.frozen_share <= 0.0);
        assert!(freezer(&Liquid::NOTHING, -18.0).is_none());
        assert!(freezer(&dry, f64::NAN).is_none());
    }
}
