//! Two strengths blended to a third.
//!
//! Worked out by mass: masses add, and the strength of the blend is its ethanol over its volume by OIML R 22. Spirit
//! and water shrink together, so the parts come to more than the blend does, by [`Blended::shrinks_ml`].

use crate::liquid::{Liquid, rising_root};

/// How much of each makes the blend.
#[derive(Clone, Debug, PartialEq)]
pub struct Blended {
    /// How much of the first.
    pub first: Liquid,
    /// How much of the second.
    pub second: Liquid,
    /// What they make.
    pub made: Liquid,
}

impl Blended {
    /// By how much the parts are more than the blend, ml at 20 °C.
    #[must_use]
    pub fn shrinks_ml(&self) -> f64 {
        self.first.volume_ml() + self.second.volume_ml() - self.made.volume_ml()
    }

    fn scaled(&self, times: f64) -> Option<Blended> {
        Some(Blended {
            first: self.first.times(times).ok()?,
            second: self.second.times(times).ok()?,
            made: self.made.times(times).ok()?,
        })
    }

    /// The same so that the blend comes to `ml`; `None` where that is no volume.
    #[must_use]
    pub fn making(&self, ml: f64) -> Option<Blended> {
        self.scaled(ml / self.made.volume_ml())
    }

    /// The same with `ml` of the first; `None` where none of it is wanted.
    #[must_use]
    pub fn with_first(&self, ml: f64) -> Option<Blended> {
        let own = self.first.volume_ml();
        if own <= 0.0 { None } else { self.scaled(ml / own) }
    }
}

/// Why two strengths do not make a third.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CannotBlend {
    /// It lies outside the two.
    #[error("{to_pct} % vol lies outside {low_pct:.1} to {high_pct:.1}: no blend of the two comes to that")]
    Outside {
        /// What was wanted, % vol.
        to_pct: f64,
        /// The weaker, % vol.
        low_pct: f64,
        /// The stronger, % vol.
        high_pct: f64,
    },
    /// Both are of one strength.
    #[error("both are {0:.1} % vol: every blend of them is")]
    OneStrength(f64),
    /// There is nothing to blend.
    #[error("there is nothing to blend")]
    Nothing,
}

/// Blend `first` and `second` to `to_pct` % vol, as a litre.
///
/// # Errors
/// When that strength lies outside the two, or both are of one strength.
///
/// ```
/// use washline_core::advise::blend;
/// use washline_core::liquid::Liquid;
/// let blended = blend(&Liquid::from_strength(57.0)?, &Liquid::from_strength(40.0)?, 50.0)?.making(700.0).unwrap();
/// assert!((blended.made.abv_pct().unwrap() - 50.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn blend(first: &Liquid, second: &Liquid, to_pct: f64) -> Result<Blended, CannotBlend> {
    let (Some(a), Some(b)) = (first.abv_pct(), second.abv_pct()) else {
        return Err(CannotBlend::Nothing);
    };
    let (low_pct, high_pct) = (a.min(b), a.max(b));
    if high_pct - low_pct < 1e-6 {
        return Err(CannotBlend::OneStrength(a));
    }
    // A label's own strength is met within rounding.
    if !(low_pct - 1e-9..=high_pct + 1e-9).contains(&to_pct) {
        return Err(CannotBlend::Outside {
            to_pct,
            low_pct,
            high_pct,
        });
    }
    let of = |liquid: &Liquid, grams: f64| liquid.of_mass(grams).map_err(|_| CannotBlend::Nothing);
    let mixed = |share: f64| -> Result<(Liquid, Liquid), CannotBlend> {
        Ok((of(first, 1000.0 * share)?, of(second, 1000.0 * (1.0 - share))?))
    };
    let strength = |share: f64| {
        mixed(share)
            .ok()
            .and_then(|(x, y)| x.plus(&y).abv_pct())
            .unwrap_or(f64::NAN)
    };
    // More of the stronger makes it stronger.
    let share = if a > b {
        rising_root(0.0, 1.0, |share| strength(share) - to_pct)
    } else {
        1.0 - rising_root(0.0, 1.0, |share| strength(1.0 - share) - to_pct)
    };
    let (x, y) = mixed(share.clamp(0.0, 1.0))?;
    Blended {
        made: x.plus(&y),
        first: x,
        second: y,
    }
    .making(1000.0)
    .ok_or(CannotBlend::Nothing)
}
