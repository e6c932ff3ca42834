//! Heat: what a liquid and ice hold of it, and what mixing gives off.
//!
//! Heat is counted in joules from one zero: liquid water at 0 °C, and ethanol, sugars and the rest
//! as they are when dissolved in nothing. So the heat of a mix is what its parts brought, less what
//! mixing gave off, and whatever melts, mixes or is cooled, the sum stays.
//!
//! - Ethanol and water: heat capacity by a polynomial fitted to CoolProp 8.0 (INCOMP::MEA, which
//!   follows Melinder's tables) up to 60 % by mass, and to Perry's Handbook beyond; within 0.6 % of the one
//!   and 0.9 % of the other.
//! - Mixing ethanol with water at 25 °C by a polynomial fitted to a table recalled from the literature
//!   (from memory, ± 5 %). How it changes with temperature follows from the heat capacities: near 0 °C it
//!   is a third more.
//! - Dissolved sugar adds the heat capacity that sucrose solutions show; that sugar gives or takes no heat
//!   when it is diluted is an approximation. Fat, protein, starch, minerals and fibre by Choi and Okos (1986).
//! - Ice and its melting by the usual handbook constants.

use super::{Component, Family, Liquid, TABLE};

/// Heat that melts a gram of ice at 0 °C, J/g. Source: 333.5 from 80 kcal/kg and 6012 J/mol, READ.
pub const LATENT_J_PER_G: f64 = 333.5;

/// The temperatures over which heat capacities follow temperature, °C; beyond, they stay as at the end.
pub const TEMPERATURE_RANGE_C: std::ops::RangeInclusive<f64> = -30.0..=60.0;

/// Where the table of the heat of mixing stands, °C.
const MIXING_C: f64 = 25.0;

/// Heat capacity of ethanol-water, J/(g K): a row a power of the mass fraction of ethanol, a column a power of
/// the temperature in hundreds of °C. Fitted to `heat_capacities.csv`, least squares.
const CAPACITY: [[f64; 3]; 6] = [
    [4.211_50, -0.430_00, 0.917_55],
    [3.893_81, -10.800_86, 9.356_55],
    [-21.761_07, 98.960_04, -117.543_41],
    [35.017_31, -253.107_26, 357.005_02],
    [-28.053_80, 276.314_74, -442.643_92],
    [8.929_77, -110.325_79, 193.554_33],
];

/// Heat of mixing at 25 °C, J/g, over w (1 − w): powers of the mass fraction of ethanol w. Fitted to
/// `heat_of_mixing.csv`, least squares; within 1.7 % of that table.
const MIXING: [f64; 6] = [-254.8, -78.4, 2374.1, -5089.8, 4496.2, -1509.2];

/// Ice: J/(g K) at 0 °C, and its rise per °C. Source: 2.10 at 0 °C and 1.93 at −20 °C (FAO, Ice in fisheries;
/// handbook), READ.
const ICE: (f64, f64) = (2.10, 0.0085);

/// A heat capacity that follows temperature: c0 + c1 t + c2 t², t in hundreds of °C, J/(g K).
type Curve = [f64; 3];

fn curve(ethanol_mass_fraction: f64) -> Curve {
    let w = ethanol_mass_fraction;
    CAPACITY
        .iter()
        .rev()
        .fold([0.0; 3], |sum, row| std::array::from_fn(|i| sum[i] * w + row[i]))
}

fn within_range(temperature_c: f64) -> f64 {
    temperature_c.clamp(*TEMPERATURE_RANGE_C.start(), *TEMPERATURE_RANGE_C.end())
}

fn at(c: &Curve, temperature_c: f64) -> f64 {
    let t = within_range(temperature_c) / 100.0;
    c[0] + t * (c[1] + t * c[2])
}

/// Heat from 0 °C to `temperature_c`, J/g.
fn up_to(c: &Curve, temperature_c: f64) -> f64 {
    let inside = within_range(temperature_c);
    let t = inside / 100.0;
    inside * (c[0] + t * (c[1] / 2.0 + t * c[2] / 3.0)) + (temperature_c - inside) * at(c, inside)
}

/// Heat capacity of an ethanol-water mix, J/(g K), of `ethanol_mass_fraction` in 0 to 1 at `temperature_c`.
///
/// ```
/// use washline_core::liquid::thermal::ethanol_water_j_per_g_k;
/// // CoolProp 8.0, INCOMP::MEA: 20 % by mass at 0 °C is 4.369 J/(g K), more than water
/// assert!((ethanol_water_j_per_g_k(0.2, 0.0) / 4.369 - 1.0).abs() < 0.01);
/// ```
#[must_use]
pub fn ethanol_water_j_per_g_k(ethanol_mass_fraction: f64, temperature_c: f64) -> f64 {
    at(&curve(ethanol_mass_fraction), temperature_c)
}

/// Heat of mixing ethanol with water at 25 °C, J per gram of the mix, of `ethanol_mass_fraction` in 0 to 1.
/// Negative: mixing gives off heat.
#[must_use]
pub fn heat_of_mixing_j_per_g(ethanol_mass_fraction: f64) -> f64 {
    let w = ethanol_mass_fraction;
    w * (1.0 - w) * MIXING.iter().rev().fold(0.0, |sum, c| sum * w + c)
}

/// Heat capacity of ice, J/(g K), at `temperature_c` in −80 to 0 °C.
#[must_use]
pub fn ice_j_per_g_k(temperature_c: f64) -> f64 {
    ICE.0 + ICE.1 * temperature_c
}

/// Heat that a gram of ice at `temperature_c` holds over ice at 0 °C, J/g: negative below.
#[must_use]
pub fn ice_sensible_j_per_g(temperature_c: f64) -> f64 {
    temperature_c * (ICE.0 + ICE.1 * temperature_c / 2.0)
}

/// The temperature, °C, of ice that holds `sensible_j_per_g` over ice at 0 °C.
pub(crate) fn ice_temperature_c(sensible_j_per_g: f64) -> f64 {
    // The root of the quadratic that is 0 at 0, written so that it does not cancel.
    let under = (ICE.0 * ICE.0 + 2.0 * ICE.1 * sensible_j_per_g).max(0.0);
    2.0 * sensible_j_per_g / (ICE.0 + under.sqrt())
}

/// Heat of a gram of ice at `temperature_c`, J/g, on the scale of [`heat_j`]: −333.5 at 0 °C.
#[must_use]
pub fn ice_heat_j_per_g(temperature_c: f64) -> f64 {
    ice_sensible_j_per_g(temperature_c) - LATENT_J_PER_G
}

/// Heat that melts a gram of ice at `temperature_c` to water of the same temperature, J/g: less below 0 °C,
/// since water holds twice what ice does (Kirchhoff).
#[must_use]
pub fn latent_j_per_g(temperature_c: f64) -> f64 {
    up_to(&CAPACITY[0], temperature_c) - ice_heat_j_per_g(temperature_c)
}

/// What a gram of a dissolved or suspended thing adds to the heat capacity, J/(g K) at 0 °C, and its rise per °C.
/// Water and ethanol are weighed up together and have none of their own here.
fn added(component: Component) -> (f64, f64) {
    match component.facts().family {
        Family::Solvent => (0.0, 0.0),
        // Llano (2005) as coded in a sugar process library, READ: 4184 − 2971 B + 460 B + 7.5 B t for a solution,
        // less its water.
        Family::Sugar => (1.673, 0.0075),
        // As other carbohydrate: from memory.
        Family::Acid => (1.5488, 0.001_962_5),
        // Choi and Okos (1986) as coded in several food engineering libraries, READ; salt as ash, the rest as fibre.
        Family::Extract => match component {
            Component::Fat => (1.9842, 0.001_473_3),
            Component::Protein => (2.0082, 0.001_208_9),
            Component::OtherCarbohydrate => (1.5488, 0.001_962_5),
            Component::Salt => (1.0926, 0.001_889_6),
            _ => (1.8459, 0.001_830_6),
        },
    }
}

/// A liquid as heat sees it: the water, which comes and goes, and the rest, which stays.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Mix {
    /// Water, g.
    pub water_g: f64,
    ethanol_g: f64,
    /// Heat capacity of everything but water and ethanol, J/K: at 0 °C, and its rise per °C.
    rest: (f64, f64),
    /// Mass of everything but water, g.
    dry_g: f64,
}

/// A mix at one composition, for heats at several temperatures.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Heats {
    solvent_g: f64,
    curve: Curve,
    /// J that do not follow temperature: what the parts brought and mixing gave off.
    constant: f64,
    rest: (f64, f64),
}

impl Mix {
    pub fn of(liquid: &Liquid) -> Mix {
        let rest = TABLE.iter().fold((0.0, 0.0), |sum, facts| {
            let (grams, (at_zero, rise)) = (liquid.grams(facts.component), added(facts.component));
            (sum.0 + grams * at_zero, sum.1 + grams * rise)
        });
        let water_g = liquid.grams(Component::Water);
        Mix {
            water_g,
            ethanol_g: liquid.ethanol_g(),
            rest,
            dry_g: liquid.mass_g() - water_g,
        }
    }

    /// The same with other water.
    pub fn with_water(self, water_g: f64) -> Mix {
        Mix { water_g, ..self }
    }

    pub fn mass_g(&self) -> f64 {
        self.water_g + self.dry_g
    }

    /// Ethanol over ethanol and water, by mass; 0 of neither.
    pub fn ethanol_fraction(&self) -> f64 {
        let solvent = self.water_g + self.ethanol_g;
        if solvent > 0.0 {
            self.ethanol_g / solvent
        } else {
            0.0
        }
    }

    pub fn heats(&self) -> Heats {
        let solvent_g = self.water_g + self.ethanol_g;
        let w = self.ethanol_fraction();
        let curve = curve(w);
        let constant = solvent_g * (heat_of_mixing_j_per_g(w) - up_to(&curve, MIXING_C))
            + self.water_g * up_to(&CAPACITY[0], MIXING_C);
        Heats {
            solvent_g,
            curve,
            constant,
            rest: self.rest,
        }
    }
}

impl Heats {
    /// Heat, J.
    pub fn heat_j(&self, temperature_c: f64) -> f64 {
        let inside = within_range(temperature_c);
        let rest = inside * (self.rest.0 + self.rest.1 * inside / 2.0)
            + (temperature_c - inside) * (self.rest.0 + self.rest.1 * inside);
        self.solvent_g * up_to(&self.curve, temperature_c) + rest + self.constant
    }

    /// Heat capacity, J/K.
    pub fn capacity_j_per_k(&self, temperature_c: f64) -> f64 {
        self.solvent_g * at(&self.curve, temperature_c)
            + self.rest.0
            + self.rest.1 * within_range(temperature_c)
    }

    /// One step of Newton's method from `guess` towards the temperature of `heat_j`, °C.
    pub fn nearer_c(&self, heat_j: f64, guess: f64) -> f64 {
        let capacity = self.capacity_j_per_k(guess);
        if capacity > 0.0 {
            guess + (heat_j - self.heat_j(guess)) / capacity
        } else {
            guess
        }
    }

    /// The temperature, °C, at which the mix holds `heat_j`, found from `guess`.
    pub fn temperature_c(&self, heat_j: f64, guess: f64) -> f64 {
        // Heat capacity is positive and nearly constant: a few steps reach the last digit.
        let mut t = guess;
        for _ in 0..30 {
            let next = self.nearer_c(heat_j, t);
            if (next - t).abs() < 1e-12 * (1.0 + t.abs()) {
                return next;
            }
            t = next;
        }
        t
    }
}

/// Heat capacity of a liquid, J/K, at `temperature_c`; 0 of nothing.
#[must_use]
pub fn capacity_j_per_k(liquid: &Liquid, temperature_c: f64) -> f64 {
    Mix::of(liquid).heats().capacity_j_per_k(temperature_c)
}

/// Heat of a liquid, J, at `temperature_c`, on the scale of this module; 0 of nothing.
#[must_use]
pub fn heat_j(liquid: &Liquid, temperature_c: f64) -> f64 {
    Mix::of(liquid).heats().heat_j(temperature_c)
}

/// The temperature, °C, at which a liquid holds `heat_j`; `None` of nothing.
#[must_use]
pub fn temperature_c(liquid: &Liquid, heat_j: f64) -> Option<f64> {
    (liquid.mass_g() > 0.0)
        .then(|| Mix::of(liquid).heats().temperature_c(heat_j, 0.0))
        .filter(|t| t.is_finite())
}

/// What pours of these temperatures come to when they are mixed: all of it, and its temperature in °C. Mixing
/// a spirit with water or juice warms it by a degree or two. `None` of nothing.
///
/// ```
/// use washline_core::liquid::{Liquid, thermal};
/// let spirit = Liquid::from_strength(40.0)?.of_volume(60.0)?;
/// let water = Liquid::water_g(45.0)?;
/// let (_, temperature) = thermal::poured(&[(spirit, 20.0), (water, 20.0)]).unwrap();
/// assert!(temperature > 21.0 && temperature < 24.0);
/// # Ok::<(), washline_core::liquid::LiquidError>(())
/// ```
#[must_use]
pub fn poured(pours: &[(Liquid, f64)]) -> Option<(Liquid, f64)> {
    let (mut all, mut heat) = (Liquid::NOTHING, 0.0);
    for (liquid, temperature) in pours {
        all = all.plus(liquid);
        heat += heat_j(liquid, *temperature);
    }
    Some((all, temperature_c(&all, heat)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn heat_capacity_is_the_slope_of_heat() {
        let liquid = Liquid::litre(
            30.0,
            &[
                (Component::Sucrose, 200.0),
                (Component::Citric, 20.0),
                (Component::Fat, 50.0),
            ],
        )
        .unwrap();
        for t in [-45.0, -29.0, -5.0, 0.0, 20.0, 59.0, 80.0] {
            let slope = (heat_j(&liquid, t + 0.01) - heat_j(&liquid, t - 0.01)) / 0.02;
            assert_relative_eq!(slope, capacity_j_per_k(&liquid, t), max_relative = 1e-6);
        }
    }

    #[test]
    fn temperature_is_the_inverse_of_heat() {
        let liquid = Liquid::from_strength(40.0).unwrap();
        for t in [-60.0, -18.0, 0.0, 20.0, 95.0] {
            assert_relative_eq!(
                temperature_c(&liquid, heat_j(&liquid, t)).unwrap(),
                t,
                epsilon = 1e-9
            );
        }
        for t in [-40.0, -18.0, -1e-6, 0.0] {
            assert_relative_eq!(ice_temperature_c(ice_sensible_j_per_g(t)), t, epsilon = 1e-9);
        }
        assert!(temperature_c(&Liquid::NOTHING, 1.0).is_none());
    }

    #[test]
    fn water_at_0c_is_where_heat_is_counted_from() {
        let water = Liquid::water_g(100.0).unwrap();
        assert!(heat_j(&water, 0.0).abs() < 1e-9);
        assert_relative_eq!(latent_j_per_g(0.0), LATENT_J_PER_G);
        assert_relative_eq!(ice_heat_j_per_g(0.0), -LATENT_J_PER_G);
    }

    #[test]
    fn mixing_at_25c_gives_off_the_heat_of_mixing() {
        let (ethanol, water) = (
            Liquid::of(&[(Component::Ethanol, 30.0)]).unwrap(),
            Liquid::water_g(70.0).unwrap(),
        );
        let apart = heat_j(&ethanol, 25.0) + heat_j(&water, 25.0);
        assert_relative_eq!(
            heat_j(&ethanol.plus(&water), 25.0) - apart,
            100.0 * heat_of_mixing_j_per_g(0.3),
            max_relative = 1e-9
        );
    }
}
