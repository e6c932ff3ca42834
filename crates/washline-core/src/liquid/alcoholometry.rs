//! Density of ethanol-water mixtures, and alcoholic strength from it.
//!
//! The general formula of OIML R 22 (1975), *International alcoholometric tables*, which is also
//! the annex of Council Directive 76/766/EEC: density in kg/m³ from the mass fraction of ethanol
//! and the temperature. Its 54 coefficients stand below as printed.

pub use crate::tables::ETHANOL_KG_PER_M3;

/// The temperatures over which the formula holds, °C.
pub const TEMPERATURE_RANGE_C: std::ops::RangeInclusive<f64> = -20.0..=40.0;

#[rustfmt::skip]
const A: [f64; 12] = [
    998.201_23, -192.976_949_5, 389.123_895_8, -1_668.103_923, 13_522.154_41, -88_292.783_88,
    306_287.404_2, -613_838.123_4, 747_017.299_8, -547_846.135_4, 223_446.033_4, -39_032.854_26,
];

#[rustfmt::skip]
const B: [f64; 6] = [
    -0.206_185_13, -0.005_268_254_2, 3.613_001_3e-5, -3.895_770_2e-7, 7.169_354e-9, -9.973_923_1e-11,
];

#[rustfmt::skip]
const C1: [f64; 11] = [
    0.169_344_346_153_008_7, -10.469_147_434_551_69, 71.963_534_695_465_23, -704.747_805_427_279_2,
    3_924.090_430_035_045, -12_101.646_590_687_47, 22_486.465_504_007_88, -26_055.629_821_881_64,
    18_523.739_220_694_67, -7_420.201_433_430_137, 1_285.617_841_998_974,
];
#[rustfmt::skip]
const C2: [f64; 10] = [
    -0.011_930_130_050_570_1, 0.251_739_963_380_346_1, -2.170_575_700_536_993, 13.530_349_888_430_29,
    -50.299_887_585_470_14, 109.635_566_657_757, -142.275_394_642_115_5, 108.043_594_285_623,
    -44.141_532_368_173_92, 7.442_971_530_188_783,
];
#[rustfmt::skip]
const C3: [f64; 9] = [
    -0.000_680_299_573_350_380_3, 0.018_768_377_902_896_64, -0.200_256_181_373_415_6,
    1.022_992_966_719_22, -2.895_696_483_903_638, 4.810_060_584_300_675, -4.672_147_440_794_683,
    2.458_043_105_903_461, -0.541_122_762_143_681_2,
];
#[rustfmt::skip]
const C4: [f64; 4] = [
    4.075_376_675_622_027e-6, -8.763_058_573_471_11e-6, 6.515_031_360_099_368e-6, -1.515_784_836_987_21e-6,
];
const C5: [f64; 2] = [-2.788_074_354_782_409e-8, 1.345_612_883_493_354e-8];

fn horner(coefficients: &[f64], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

/// Density at 20 °C, kg/m³, of an ethanol-water mixture with `ethanol_mass_fraction` in 0 to 1.
///
/// Source: OIML R 22 (1975), general formula at t = 20 °C, where only the A series is left.
#[must_use]
pub fn density_20c_kg_per_m3(ethanol_mass_fraction: f64) -> f64 {
    horner(&A, ethanol_mass_fraction)
}

/// Density, kg/m³, at `temperature_c` in [`TEMPERATURE_RANGE_C`], of an ethanol-water mixture with
/// `ethanol_mass_fraction` in 0 to 1.
///
/// Source: OIML R 22 (1975), general formula.
///
/// ```
/// use washline_core::liquid::alcoholometry::density_kg_per_m3;
/// // OIML R 22, table I: 31 % by mass at 13 °C
/// assert!((density_kg_per_m3(0.31, 13.0) - 956.42).abs() < 0.005);
/// ```
#[must_use]
pub fn density_kg_per_m3(ethanol_mass_fraction: f64, temperature_c: f64) -> f64 {
    let (p, d) = (ethanol_mass_fraction, temperature_c - 20.0);
    let crossed = [
        horner(&C1, p),
        horner(&C2, p),
        horner(&C3, p),
        horner(&C4, p),
        horner(&C5, p),
    ];
    horner(&A, p) + d * horner(&B, d) + p * d * horner(&crossed, d)
}

/// Alcoholic strength by volume, % vol at 20 °C, of a mixture with `ethanol_mass_fraction` in 0 to 1.
#[must_use]
pub fn strength_pct_vol(ethanol_mass_fraction: f64) -> f64 {
    100.0 * ethanol_mass_fraction * density_20c_kg_per_m3(ethanol_mass_fraction) / ETHANOL_KG_PER_M3
}

/// Mass fraction of ethanol, 0 to 1, of a mixture with `strength_pct_vol` in 0 to 100 % vol at 20 °C.
/// `None` outside that range.
#[must_use]
pub fn mass_fraction_from_strength(strength: f64) -> Option<f64> {
    // 100 % vol is pure ethanol by definition; the formula reads 0.001 kg/m³ low there.
    if !(0.0..=100.0).contains(&strength) {
        return None;
    }
    Some(super::rising_root(0.0, 1.0, |p| strength_pct_vol(p) - strength))
}

/// Mass fraction of ethanol, 0 to 1, of an ethanol-water mixture of `density` kg/m³ at `temperature_c`.
/// `None` where no mixture has that density. Valid at 10 to 40 °C, where density falls as strength rises;
/// below about 10 °C weak mixtures are not told from water by density alone.
#[must_use]
pub fn mass_fraction_from_density(density: f64, temperature_c: f64) -> Option<f64> {
    let range = density_kg_per_m3(1.0, temperature_c)..=density_kg_per_m3(0.0, temperature_c);
    if !range.contains(&density) {
        return None;
    }
    Some(super::rising_root(0.0, 1.0, |p| {
        density - density_kg_per_m3(p, temperature_c)
    }))
}
