//! How heat passes in each way of working: the parameters, where they come from, and how sure they are.

use super::conditions::within;
use super::{Conditions, HeatError, Ice, Vessel};
use crate::spec::Technique;

/// How a drink is worked on ice: what a fit to a house's own weighings may vary.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Method {
    /// Heat that passes from the drink to the ice, W per m² of ice and K above the freezing point, for a drink of
    /// 20 % ethanol by mass at 0 °C; other drinks by how they flow and conduct (see [`relative_rate`]).
    pub ice_w_per_m2_k: f64,
    /// 95 % half-width of that rate, as a share of it.
    pub half_width: f64,
    /// No piece stays larger than this, mm: shaking and blending break ice up.
    pub breaks_to_mm: f64,
    /// Heat that passes between drink and vessel, W/K.
    pub vessel_w_per_k: f64,
    /// Work of hand or motor that ends as heat in the drink, W.
    pub work_w: f64,
    /// How long it is usually done, s.
    pub seconds: f64,
    /// Where the rate comes from, and how far to trust it.
    pub source: &'static str,
}

const FITTED_SHAKE: &str = "fitted so that 99 % of the chilling is done by 13.5 s (Arnold 2009 and 2010: relative equilibrium at 12 to 15 s) and to the handbook's shaken curve";
const FITTED_STIR: &str = "fitted to the handbook's stirred curve (120 g of 6 mm cubes, 15 s)";

impl Method {
    /// Ten seconds of hard shaking. Pieces count as no larger than 10 mm: the kind of ice matters little in a
    /// shake (Arnold 2009), since cubes chip and tumble; the size itself is from memory.
    pub const SHAKE: Method = Method {
        ice_w_per_m2_k: 1740.0,
        half_width: 0.35,
        breaks_to_mm: 10.0,
        vessel_w_per_k: 30.0,
        work_w: 3.0,
        seconds: 10.0,
        source: FITTED_SHAKE,
    };

    /// Fifteen seconds of fast stirring.
    pub const STIR: Method = Method {
        ice_w_per_m2_k: 215.6,
        half_width: 0.30,
        breaks_to_mm: f64::MAX,
        vessel_w_per_k: 10.0,
        work_w: 0.5,
        seconds: 15.0,
        source: FITTED_STIR,
    };

    /// Poured between two tins over ice, five to eight times.
    pub const THROW: Method = Method {
        ice_w_per_m2_k: 600.0,
        half_width: 0.6,
        breaks_to_mm: f64::MAX,
        vessel_w_per_k: 20.0,
        work_w: 0.5,
        seconds: 15.0,
        source: "set so that a drink of 25 to 30 % vol gains 0.30 to 0.42 of its volume: from memory",
    };

    /// Rolled from tin to tin with its ice.
    pub const ROLL: Method = Method {
        source: "as thrown: from memory",
        ..Method::THROW
    };

    /// Swizzled in crushed ice.
    pub const SWIZZLE: Method = Method {
        ice_w_per_m2_k: 300.0,
        half_width: 0.6,
        breaks_to_mm: f64::MAX,
        vessel_w_per_k: 15.0,
        work_w: 0.5,
        seconds: 20.0,
        source: "between stirring and shaking; gives 0.40 to 0.60 of the mix at service: from memory",
    };

    /// Shaken with a few pieces of crushed ice until all of it has melted.
    pub const WHIP_SHAKE: Method = Method {
        breaks_to_mm: 6.0,
        seconds: 20.0,
        source: "as shaken; time from memory",
        ..Method::SHAKE
    };

    /// Blended: ice ground fine, the motor's work ends in the drink.
    pub const BLEND: Method = Method {
        ice_w_per_m2_k: 2500.0,
        half_width: 0.6,
        breaks_to_mm: 2.0,
        vessel_w_per_k: 10.0,
        work_w: 80.0,
        seconds: 20.0,
        source: "fast enough to reach equilibrium; work of a bar blender: from memory",
    };

    /// Poured over ice in its glass and turned a few times.
    pub const BUILD: Method = Method {
        half_width: 0.6,
        vessel_w_per_k: 6.0,
        seconds: 20.0,
        source: "as stirred: from memory",
        ..Method::STIR
    };

    /// Left to stand on its ice, sipped and turned now and then.
    pub const STAND: Method = Method {
        ice_w_per_m2_k: 100.0,
        half_width: 0.6,
        breaks_to_mm: f64::MAX,
        vessel_w_per_k: 3.0,
        work_w: 0.0,
        seconds: 600.0,
        source: "natural convection along ice in water, order of 100 W/(m² K): from memory",
    };

    /// The usual way of a technique; `None` of work without ice.
    #[must_use]
    pub const fn of(technique: Technique) -> Option<Method> {
        Some(match technique {
            Technique::Muddle | Technique::DryShake => return None,
            Technique::Shake => Method::SHAKE,
            Technique::WhipShake => Method::WHIP_SHAKE,
            Technique::Stir => Method::STIR,
            Technique::Build => Method::BUILD,
            Technique::Roll => Method::ROLL,
            Technique::Throw => Method::THROW,
            Technique::Swizzle => Method::SWIZZLE,
            Technique::Blend => Method::BLEND,
        })
    }

    pub(crate) fn check(&self) -> Result<(), HeatError> {
        within(
            "the rate to the ice",
            "W/(m² K)",
            self.ice_w_per_m2_k,
            0.0,
            100_000.0,
        )?;
        within("the rate's half-width", "of it", self.half_width, 0.0, 10.0)?;
        within(
            "the size that ice breaks to",
            "mm",
            self.breaks_to_mm,
            0.1,
            f64::MAX,
        )?;
        within("the rate to the vessel", "W/K", self.vessel_w_per_k, 0.0, 1e5)?;
        within("the work", "W", self.work_w, 0.0, 1e5)
    }
}

impl Conditions {
    /// The ice and vessel that a technique usually meets, everything else at 20 °C. Shaking and stirring have
    /// the handbook's 120 g of 6 mm cubes; the others are common practice, no source.
    #[must_use]
    pub fn usual(technique: Technique) -> Conditions {
        let ice = match technique {
            // 25 g, all melted
            Technique::WhipShake => Ice::wet(25.0, 8.0),
            Technique::Swizzle => Ice::wet(200.0, 8.0),
            Technique::Blend => Ice::wet(150.0, 15.0),
            // one large cube
            Technique::Build => Ice::cubes(1.0, 50.0),
            // a tin of large cubes
            Technique::Throw | Technique::Roll => Ice::wet(200.0, 30.0),
            _ => Ice::handbook(),
        };
        let vessel = match technique {
            Technique::Build | Technique::Swizzle => Vessel::glass(super::ROOM_C),
            _ => Vessel::tin(super::ROOM_C),
        };
        Conditions {
            ice,
            vessel,
            ..Conditions::default()
        }
    }
}

/// Rows: powers 0 to 3 of the mass fraction of ethanol w; then t, t w, t w², t², t² w, t in hundreds of °C.
const RATE: [f64; 9] = [
    1.5461, -3.6890, 5.5178, -3.2355, 1.8127, -1.5612, -0.3986, -0.4638, 0.7891,
];

/// How well a drink passes heat to ice, against one of 20 % ethanol by mass at 0 °C: cold and strong drinks are
/// thick and conduct badly. Held at its last value outside 0 to 0.6 by mass and −20 to 40 °C.
///
/// From conductivity λ, heat capacity c, density ρ and viscosity µ of CoolProp 8.0 (INCOMP::MEA) as λ^(2/3) c^(1/3)
/// ρ^0.6 µ^(1/3−0.6): the form of the usual correlation for beds of pieces, Nu ∝ Re^0.6 Pr^(1/3) (from memory).
/// The polynomial follows that within 1.2 %.
#[must_use]
pub fn relative_rate(ethanol_mass_fraction: f64, temperature_c: f64) -> f64 {
    rate_at(&rate_curve(ethanol_mass_fraction), temperature_c)
}

/// That of one mix by temperature: powers of the temperature in hundreds of °C.
pub(super) fn rate_curve(ethanol_mass_fraction: f64) -> [f64; 3] {
    let w = ethanol_mass_fraction.clamp(0.0, 0.6);
    let r = &RATE;
    [
        r[0] + w * (r[1] + w * (r[2] + w * r[3])),
        r[4] + w * (r[5] + w * r[6]),
        r[7] + w * r[8],
    ]
}

pub(super) fn rate_at(curve: &[f64; 3], temperature_c: f64) -> f64 {
    let t = temperature_c.clamp(-20.0, 40.0) / 100.0;
    curve[0] + t * (curve[1] + t * curve[2])
}
