//! Where a liquid begins to freeze, and how much of it is ice below that.
//!
//! What freezes is water, and each dissolved thing holds it back as if it were alone in all the water:
//! the depressions of ethanol, sugars, acids and salt, each at its own amount per kilogram of water,
//! add up. That is Ross's rule for water activities (1975), which for depressions of a few kelvin
//! differs from their plain sum by hundredths. Fat, protein, starch and fibre hold back next to nothing.
//!
//! - Ethanol: the CRC Handbook's table to 68 % by mass, interpolated. Stronger mixes freeze below −49 °C;
//!   here they stay there.
//! - Sucrose and citric acid: curves fitted to the CRC Handbook's tables. Lactose, maltose and sugars of no
//!   stated kind count as sucrose, other acids as citric acid, by moles.
//! - Glucose and fructose, salt: from memory.

use super::{Component, Liquid};

/// Depression by ethanol, K, over the mass of ethanol per mass of water, at mass fractions 0, 0.04, … 0.68.
/// Source: CRC Handbook, concentrative properties of aqueous solutions, READ; its limit at 0 is 1858 K g/mol over
/// 46.07 g/mol.
const ETHANOL: [f64; 18] = [
    40.33, 39.600, 39.905, 40.773, 42.052, 43.680, 45.822, 47.391, 47.685, 46.187, 43.890, 41.593, 39.043,
    36.185, 33.047, 29.953, 26.730, 23.304,
];
const ETHANOL_STEP: f64 = 0.04;
/// The strongest mass fraction of ethanol that the table holds.
pub const ETHANOL_MOST: f64 = 0.68;

/// Depression, K, for b mol per kg of water: first b + second b², up to `most` mol/kg, where no more dissolves.
struct Solute {
    first: f64,
    second: f64,
    most: f64,
}

impl Solute {
    fn depression_k(&self, mol_per_kg: f64) -> f64 {
        let b = mol_per_kg.min(self.most);
        b * (self.first + b * self.second)
    }
}

/// Fitted to the CRC Handbook's table of sucrose (to 42 % by mass), READ; within 0.02 K. Its eutectic, −13.9 °C at
/// 62.4 % by mass, is met within 0.5 K (from memory).
const SUCROSE: Solute = Solute {
    first: 1.8337,
    second: 0.2305,
    most: 6.0,
};
/// Nearly ideal: from memory.
const GLUCOSE: Solute = Solute {
    first: 1.86,
    second: 0.046,
    most: 10.0,
};
/// Fitted to the CRC Handbook's table of citric acid (to 30 % by mass), READ; within 0.04 K.
const CITRIC: Solute = Solute {
    first: 2.0011,
    second: -0.0369,
    most: 7.0,
};
/// Sodium chloride: 3.05 K at 5 %, 16.46 K at 20 % by mass, −21.1 °C at its eutectic, within 0.7 K; from memory.
const SALT: Solute = Solute {
    first: 3.30,
    second: 0.125,
    most: 5.2,
};

/// The lowest freezing point that is answered, °C.
pub const LOWEST_C: f64 = -60.0;

/// What holds back the freezing of a liquid's water: moles, which stay while water comes and goes.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dissolved {
    ethanol_g: f64,
    sucrose_mol: f64,
    glucose_mol: f64,
    acid_mol: f64,
    salt_mol: f64,
}

impl Dissolved {
    pub fn of(liquid: &Liquid) -> Dissolved {
        use Component as C;
        // g/mol, IUPAC standard atomic masses
        let mol = |parts: &[(C, f64)]| {
            parts
                .iter()
                .map(|(c, molar)| liquid.grams(*c) / molar)
                .sum::<f64>()
        };
        Dissolved {
            ethanol_g: liquid.ethanol_g(),
            sucrose_mol: mol(&[
                (C::Sucrose, 342.30),
                (C::Lactose, 342.30),
                (C::Maltose, 342.30),
                (C::SugarsUnspecified, 342.30),
            ]),
            glucose_mol: mol(&[(C::Glucose, 180.16), (C::Fructose, 180.16)]),
            acid_mol: mol(&[
                (C::Citric, 192.12),
                (C::AcidUnspecifiedAsCitric, 192.12),
                (C::Malic, 134.09),
                (C::Tartaric, 150.09),
                (C::Lactic, 90.08),
                (C::Acetic, 60.05),
                (C::Phosphoric, 98.00),
            ]),
            salt_mol: mol(&[(C::Salt, 58.44)]),
        }
    }

    /// Where ice and this, dissolved in `water_g` of water, stay as they are, °C. 0 where nothing is dissolved.
    pub fn freezing_c(&self, water_g: f64) -> f64 {
        let kgs = 1000.0 / water_g.max(f64::MIN_POSITIVE);
        let per_kg = |mol: f64| if mol > 0.0 { mol * kgs } else { 0.0 };
        let depression = ethanol_depression_k(self.ethanol_g, water_g)
            + SUCROSE.depression_k(per_kg(self.sucrose_mol))
            + GLUCOSE.depression_k(per_kg(self.glucose_mol))
            + CITRIC.depression_k(per_kg(self.acid_mol))
            + SALT.depression_k(per_kg(self.salt_mol));
        (-depression).max(LOWEST_C)
    }
}

/// Depression by ethanol alone, K.
fn ethanol_depression_k(ethanol_g: f64, water_g: f64) -> f64 {
    if ethanol_g <= 0.0 {
        return 0.0;
    }
    let w = (ethanol_g / (ethanol_g + water_g)).min(ETHANOL_MOST);
    let place = w / ETHANOL_STEP;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 16")]
    let i = (place as usize).min(ETHANOL.len() - 2);
    #[expect(clippy::cast_precision_loss, reason = "0 to 16")]
    let u = place - i as f64;
    // A cubic through the two values on each side, with the slopes that their neighbours give.
    let slope = |j: usize| {
        let (before, after) = (j.saturating_sub(1), (j + 1).min(ETHANOL.len() - 1));
        #[expect(clippy::cast_precision_loss, reason = "1 or 2")]
        let span = (after - before) as f64;
        (ETHANOL[after] - ETHANOL[before]) / span
    };
    let v = 1.0 - u;
    let per_ratio = ETHANOL[i] * (1.0 + 2.0 * u) * v * v
        + slope(i) * u * v * v
        + ETHANOL[i + 1] * u * u * (3.0 - 2.0 * u)
        - slope(i + 1) * u * u * v;
    per_ratio * w / (1.0 - w)
}

/// Where a liquid begins to freeze, °C, down to [`LOWEST_C`]; `None` where there is no water in it.
///
/// ```
/// use washline_core::liquid::{Component, Liquid, freezing};
/// // CRC Handbook: 20 % ethanol by mass freezes at −10.92 °C.
/// let mix = Liquid::hundred_grams(&[(Component::Ethanol, 20.0)])?;
/// assert!((freezing::point_c(&mix).unwrap() + 10.92).abs() < 0.01);
/// # Ok::<(), washline_core::liquid::LiquidError>(())
/// ```
#[must_use]
pub fn point_c(liquid: &Liquid) -> Option<f64> {
    let water_g = liquid.grams(Component::Water);
    (water_g > 0.0).then(|| Dissolved::of(liquid).freezing_c(water_g))
}

/// How much of a liquid is ice when it has come to rest at `temperature_c`, g. The rest is stronger, so that
/// it just does not freeze.
#[must_use]
pub fn ice_g(liquid: &Liquid, temperature_c: f64) -> f64 {
    let water_g = liquid.grams(Component::Water);
    let dissolved = Dissolved::of(liquid);
    if water_g <= 0.0 || dissolved.freezing_c(water_g) <= temperature_c {
        return 0.0;
    }
    // As water freezes out, the freezing point of the rest falls: it crosses the temperature once.
    super::rising_root(0.0, water_g, |ice| {
        temperature_c - dissolved.freezing_c(water_g - ice)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn what_freezes_out_leaves_the_rest_at_its_freezing_point() {
        let drink = Liquid::litre(15.0, &[(Component::Sucrose, 80.0), (Component::Citric, 9.0)]).unwrap();
        for t in [-12.0, -18.0, -25.0] {
            let ice = ice_g(&drink, t);
            let rest = drink.grams(Component::Water) - ice;
            assert_abs_diff_eq!(Dissolved::of(&drink).freezing_c(rest), t, epsilon = 1e-6);
        }
        assert!(ice_g(&drink, -5.0) < 1e-9);
    }

    #[test]
    fn more_of_anything_freezes_lower() {
        let drink = Liquid::from_strength(20.0).unwrap();
        let before = point_c(&drink).unwrap();
        for component in [
            Component::Ethanol,
            Component::Glucose,
            Component::Sucrose,
            Component::Malic,
            Component::Salt,
        ] {
            let more = drink.plus(&Liquid::of(&[(component, 10.0)]).unwrap());
            assert!(point_c(&more).unwrap() < before, "{component:?}");
        }
    }
}
