//! Water gained from ice: the handbook's curves and constants.
//!
//! Each relation carries the range it was fitted on. Outside it there is still an answer, and the
//! answer says so.

use serde::{Deserialize, Serialize};

use crate::liquid::{Liquid, alcoholometry};
use crate::spec::Technique;

/// Which model gave the water.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    Hash,
    Serialize,
    Deserialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
pub enum MeltModel {
    /// A published relation.
    #[strum(serialize = "handbook")]
    Handbook,
    /// Conservation of energy over time.
    #[strum(serialize = "heat balance")]
    HeatBalance,
    /// The house's own fit.
    #[strum(serialize = "house")]
    House,
    /// A weighing of the drink itself.
    #[strum(serialize = "weighed")]
    Weighed,
    /// The spec gives the water.
    #[strum(serialize = "given")]
    Given,
    /// Nothing melts.
    #[strum(serialize = "none")]
    None,
}

crate::ingredient::words!(MeltModel);

/// A relation between a mix and the water it gains, as a share of its volume.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Relation {
    /// Water gained over the volume before ice.
    pub share: f64,
    /// The range of strength before ice it was fitted on, % vol, where it depends on strength.
    pub fitted_pct: Option<(f64, f64)>,
    /// The volumes before ice that it is known to hold for, ml, where it depends on them.
    pub fitted_ml: Option<(f64, f64)>,
    /// Whether this mix lies in that range of strength.
    pub in_range: bool,
    /// Half-width of what is usually seen, as a share of the volume.
    pub half_width: f64,
    /// Who says so, and how far to trust it.
    pub source: &'static str,
}

const BOOK: &str = "Arnold, Liquid Intelligence, 2014, p. 123 (secondary transcription)";

/// Volumes before ice of the handbook's drinks, ml: the 90 of its trials, less what two pours shrink by, to 112 of its
/// largest shaken drink without egg white, and to 97 of its largest stirred one (pp. 125-126, secondary transcription).
const SHAKEN_ML: (f64, f64) = (88.0, 112.0);
/// See [`SHAKEN_ML`].
const STIRRED_ML: (f64, f64) = (88.0, 97.0);

/// Water gained by `mix` when it is worked so, as the handbook has it. `None` for work without ice.
///
/// The shaken and the stirred curve hold for the handbook's volumes, on 120 g of its ice: for others they calibrate
/// the balance of energy, which carries them on. (The handbook prints 46 to 49 % for shaken drinks with egg white, 130
/// to 145 ml before ice: below its curve, as the balance has it of so much on that ice.)
#[must_use]
pub fn handbook(technique: Technique, mix: &Liquid) -> Option<Relation> {
    let strength = mix.abv_pct().unwrap_or(0.0) / 100.0;
    let fitted = |share: f64, low: f64, high: f64, volumes, half_width: f64| Relation {
        share,
        fitted_pct: Some((100.0 * low, 100.0 * high)),
        fitted_ml: Some(volumes),
        in_range: (low..=high).contains(&strength),
        half_width,
        source: BOOK,
    };
    let constant = |share, half_width, source| Relation {
        share,
        fitted_pct: None,
        fitted_ml: None,
        in_range: true,
        half_width,
        source,
    };
    Some(match technique {
        Technique::Muddle | Technique::DryShake => return None,
        Technique::Shake => fitted(
            -1.567 * strength * strength + 1.742 * strength + 0.203,
            0.18,
            0.33,
            SHAKEN_ML,
            0.05,
        ),
        Technique::Stir => fitted(
            -1.21 * strength * strength + 1.246 * strength + 0.145,
            0.29,
            0.43,
            STIRRED_ML,
            0.05,
        ),
        Technique::Build => constant(
            0.24,
            0.08,
            "Arnold, Liquid Intelligence, 2014, p. 125 (secondary transcription)",
        ),
        Technique::Blend => constant(
            0.90,
            0.15,
            "Arnold, Liquid Intelligence, 2014, p. 126 (secondary transcription)",
        ),
        Technique::Roll | Technique::Throw => constant(0.36, 0.06, "0.30 to 0.42 of the mix: from memory"),
        Technique::Swizzle => constant(0.50, 0.10, "0.40 to 0.60 of the mix at service: from memory"),
        Technique::WhipShake => constant(
            0.25,
            0.05,
            "20 to 30 g of ice, all melted, to 100 ml: common practice, no source",
        ),
    })
}

impl Relation {
    /// Whether it is known to hold for `mix`: in strength and in volume.
    #[must_use]
    pub fn holds(&self, mix: &Liquid) -> bool {
        // The last digits of a volume are those of its sum.
        let volume = mix.volume_ml();
        self.in_range
            && self
                .fitted_ml
                .is_none_or(|(from, to)| (from - 1e-6..=to + 1e-6).contains(&volume))
    }
}

/// Water gained by a long built drink, as a share of the volume of its alcoholic pours.
#[must_use]
pub fn built_long() -> Relation {
    Relation {
        share: 0.15,
        fitted_pct: None,
        fitted_ml: None,
        in_range: true,
        half_width: 0.05,
        source: "0.10 to 0.20 of the alcoholic part at service: from memory",
    }
}

/// Water, g, that fills `volume_ml` at 20 °C.
#[must_use]
pub fn water_g(volume_ml: f64) -> f64 {
    volume_ml * alcoholometry::density_20c_kg_per_m3(0.0) / 1000.0
}

/// Volume at 20 °C, ml, of `grams` of water.
#[must_use]
pub fn water_ml(grams: f64) -> f64 {
    grams * 1000.0 / alcoholometry::density_20c_kg_per_m3(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn mix(strength: f64) -> Liquid {
        Liquid::from_strength(strength).unwrap()
    }

    #[test]
    fn the_quadratic_terms_are_negative() {
        // Validity of the fits against the printed ranges (Arnold 2014, pp. 125-126), COMPUTED.
        for (strength, share) in [
            (18.0, 0.466),
            (23.0, 0.521),
            (25.0, 0.541),
            (28.6, 0.573),
            (31.5, 0.596),
        ] {
            assert_abs_diff_eq!(
                handbook(Technique::Shake, &mix(strength)).unwrap().share,
                share,
                epsilon = 0.001
            );
        }
        for (strength, share) in [(29.0, 0.405), (33.0, 0.424), (37.0, 0.440), (43.0, 0.457)] {
            assert_abs_diff_eq!(
                handbook(Technique::Stir, &mix(strength)).unwrap().share,
                share,
                epsilon = 0.001
            );
        }
    }

    #[test]
    fn outside_the_fit_it_answers_and_says_so() {
        assert!(!handbook(Technique::Shake, &mix(0.0)).unwrap().in_range);
        assert!(handbook(Technique::Shake, &mix(25.0)).unwrap().in_range);
        assert!(handbook(Technique::DryShake, &mix(25.0)).is_none());
    }
}
