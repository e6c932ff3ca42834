//! Density of sucrose solutions, and what degrees Brix mean per litre.
//!
//! The ICUMSA equation (SPS-4 form) as given in Bubník, Kadlec, Urban and Bruhns, *Sugar
//! Technologists Manual* (1995), p. 164: mass fraction 0 to 0.85, 0 to 100 °C.

/// The mass fractions over which the equation holds.
pub const MASS_FRACTION_RANGE: std::ops::RangeInclusive<f64> = 0.0..=0.85;

#[rustfmt::skip]
const C: [&[f64]; 5] = [
    &[385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890],
    &[-46.2720, -7.1720, 1.1597, 5.1126, 17.5254],
    &[59.7712, 7.2491, 12.3630, -35.4791],
    &[-47.2207, -21.6977, 27.6301],
    &[18.3184, 12.3081],
];

/// Density of water, kg/m³, at `temperature_c` in 0 to 100 °C, as the sucrose equation has it.
#[must_use]
pub fn water_kg_per_m3(temperature_c: f64) -> f64 {
    let t = temperature_c;
    let top = 999.839_52
        + t * (16.952_577
            + t * (-7.990_512_7e-3 + t * (-46.241_757e-6 + t * (105.846_01e-9 + t * -281.030_06e-12))));
    top / (1.0 + 16.887_236e-3 * t)
}

/// What `w` adds to the density of water, divided by `w`: regular at 0, which the apparent volume needs.
fn excess_over_w(w: f64, temperature_c: f64) -> f64 {
    let t = (temperature_c - 20.0) / 100.0;
    C.iter().rev().fold(0.0, |sum, row| {
        sum * t + row.iter().rev().fold(0.0, |s, c| s * w + c)
    })
}

/// Density, kg/m³, of a sucrose solution of `mass_fraction` 0 to 0.85 at `temperature_c` 0 to 100 °C.
#[must_use]
pub fn density_kg_per_m3(mass_fraction: f64, temperature_c: f64) -> f64 {
    water_kg_per_m3(temperature_c) + mass_fraction * excess_over_w(mass_fraction, temperature_c)
}

const WATER_20C: f64 = 998.203_122_737_354_5;

/// Apparent specific volume, ml/g, of sugar dissolved to `mass_fraction` 0 to 0.85 at 20 °C: the
/// volume a gram of sugar adds to the water it is dissolved in.
#[must_use]
pub fn apparent_ml_per_g(mass_fraction: f64) -> f64 {
    // (1/ρ − (1−w)/ρw)/w with ρ = ρw + w·e, cleared of w
    let e = C[0].iter().rev().fold(0.0, |s, c| s * mass_fraction + c);
    let density = WATER_20C + mass_fraction * e;
    1000.0 * (density - e) / (density * WATER_20C)
}

/// Mass concentration of sugar, g/L at 20 °C, of a sucrose solution of `brix` degrees (g per 100 g).
///
/// ```
/// use washline_core::liquid::sucrose::sugar_g_per_l;
/// // 50 °Bx is 614.8 g/L, not 500: Brix is per 100 g.
/// assert!((sugar_g_per_l(50.0) - 614.8).abs() < 0.1);
/// ```
#[must_use]
pub fn sugar_g_per_l(brix: f64) -> f64 {
    brix / 100.0 * density_kg_per_m3(brix / 100.0, 20.0)
}

/// Degrees Brix, g per 100 g, of a sucrose solution of `density` kg/m³ at 20 °C; `None` outside 0 to 85 °Bx.
#[must_use]
pub fn brix_from_density(density: f64) -> Option<f64> {
    if !(density_kg_per_m3(0.0, 20.0)..=density_kg_per_m3(0.85, 20.0)).contains(&density) {
        return None;
    }
    Some(100.0 * super::rising_root(0.0, 0.85, |w| density_kg_per_m3(w, 20.0) - density))
}

/// Sucrose in a solution that can dissolve no more of it, g per 100 g, at `celsius` in 0 to 100 °C.
///
/// The polynomial of Bubník and Kadlec (1995) for pure sucrose in pure water. Acid that inverts sugar, glucose
/// and gum hold crystals back; alcohol brings them on.
///
/// ```
/// use washline_core::liquid::sucrose::saturated_g_per_100g;
/// // 2:1 by mass, 66.7 g in 100 g, is saturated at 20 °C and more than dissolves in a fridge.
/// assert!((saturated_g_per_100g(20.0) - 66.7).abs() < 0.05);
/// assert!(saturated_g_per_100g(4.0) < 65.0);
/// ```
#[must_use]
pub fn saturated_g_per_100g(celsius: f64) -> f64 {
    let t = celsius;
    64.447 + t * (0.082_22 + t * (1.616_9e-3 + t * (-1.558e-6 + t * -4.63e-8)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn water_at_20c_is_the_constant() {
        assert_relative_eq!(water_kg_per_m3(20.0), WATER_20C, epsilon = 1e-6);
    }

    #[test]
    fn saturation_is_near_what_others_have_measured() {
        // Antokolskaya 1964 in Mohos, Confectionery and Chocolate Engineering, 2010, table A2.2, g per 100 g water
        // (READ); the same within half a gram per 100 g. A Russian handbook table (READ) has 64.44, 66.74, 70.22.
        for (celsius, per_100g_water, handbook) in
            [(0.0, 179.2, 64.44), (20.0, 203.9, 66.74), (40.0, 238.1, 70.22)]
        {
            let here = saturated_g_per_100g(celsius);
            assert_relative_eq!(
                here,
                100.0 * per_100g_water / (100.0 + per_100g_water),
                epsilon = 0.5
            );
            // The two tables themselves differ by up to 0.3 g per 100 g.
            assert_relative_eq!(here, handbook, epsilon = 0.2);
        }
    }

    #[test]
    fn apparent_volume_is_what_the_densities_say() {
        for w in [0.01, 0.1, 0.5, 0.8] {
            let by_hand = (1.0 / density_kg_per_m3(w, 20.0) - (1.0 - w) / water_kg_per_m3(20.0)) / w * 1000.0;
            assert_relative_eq!(apparent_ml_per_g(w), by_hand, epsilon = 1e-9);
        }
    }
}
