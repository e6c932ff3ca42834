//! The physical heart: a [`Liquid`] is masses, and masses add.
//!
//! Volumes do not add: 100 ml of ethanol and 100 ml of water make about 193 ml. So mixing is the
//! addition of masses, melting is adding water, scaling is multiplication, and everything a
//! bartender asks for (volume, strength, sweetness, tartness) is derived.
//!
//! Volume at 20 °C is that of the water and ethanol by OIML R 22, plus what each dissolved thing
//! adds (its apparent specific volume). No measured table of sugar-ethanol-water density was found
//! to verify this against; at liqueur strength the true density may differ by about 0.8 %.

pub mod alcoholometry;
mod component;
pub mod freezing;
pub mod sucrose;
pub mod thermal;

use component::FACTOR_LEVEL_G_PER_100ML;
pub use component::{Component, Facts, Family, TABLE};

use alcoholometry::{ETHANOL_KG_PER_M3, density_20c_kg_per_m3};

/// Masses, in grams, of what a liquid is made of. Never negative, never NaN or infinite: every way
/// of making one keeps that.
///
/// ```
/// use washline_core::liquid::Liquid;
/// let spirit = Liquid::from_strength(40.0)?.of_volume(60.0)?;
/// let drink = spirit.plus(&Liquid::water_g(30.0)?);
/// assert!((drink.abv_pct().unwrap() - 26.7).abs() < 0.2); // a little above 26.67: the volume shrank
/// # Ok::<(), washline_core::liquid::LiquidError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Liquid {
    grams: [f64; Component::COUNT],
}

/// Which bound a liquid would break.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum LiquidError {
    /// A mass or volume is not a number, or infinite.
    #[error("{what} is not a finite number")]
    NotFinite {
        /// Which quantity.
        what: &'static str,
    },
    /// A mass or volume is below zero.
    #[error("{what} is {value}, below 0")]
    Negative {
        /// Which quantity.
        what: &'static str,
        /// What was given.
        value: f64,
    },
    /// More than 100 g in 100 g.
    #[error("the parts weigh {total:.1} g in 100 g")]
    MoreThanAll {
        /// The sum given, g per 100 g.
        total: f64,
    },
    /// What is dissolved leaves no room for water in the litre.
    #[error(
        "{grams:.0} g of alcohol, sugar and other matter take up {volume_ml:.0} ml: more than a litre holds"
    )]
    NoRoomForWater {
        /// Mass of everything but water, g/L.
        grams: f64,
        /// Its volume, ml.
        volume_ml: f64,
    },
    /// No sugar content explains the density at that strength.
    #[error(
        "no sugar content from 0 to {most:.0} g/L gives a density of {density_g_per_ml} g/ml at that strength"
    )]
    DensityOutOfReach {
        /// What was given, g/ml.
        density_g_per_ml: f64,
        /// The most sugar tried, g/L.
        most: f64,
    },
    /// Strength outside 0 to 100 % vol.
    #[error("a strength of {0} % vol is outside 0 to 100")]
    Strength(f64),
    /// A liquid of nothing has no volume to scale to.
    #[error("nothing cannot be poured to a volume")]
    Empty,
}

fn amount(what: &'static str, value: f64) -> Result<f64, LiquidError> {
    match value {
        v if !v.is_finite() => Err(LiquidError::NotFinite { what }),
        v if v < 0.0 => Err(LiquidError::Negative { what, value }),
        v => Ok(v),
    }
}

impl Default for Liquid {
    fn default() -> Self {
        Liquid::NOTHING
    }
}

impl Liquid {
    /// No liquid at all.
    pub const NOTHING: Liquid = Liquid {
        grams: [0.0; Component::COUNT],
    };

    /// A liquid of these masses in grams; a component given twice is added up.
    ///
    /// # Errors
    /// When a mass is negative, NaN or infinite.
    pub fn of(parts: &[(Component, f64)]) -> Result<Liquid, LiquidError> {
        let mut liquid = Liquid::NOTHING;
        for &(component, grams) in parts {
            let sum = liquid.grams[component.index()] + amount(component.facts().name, grams)?;
            liquid.grams[component.index()] = amount(component.facts().name, sum)?;
        }
        Ok(liquid)
    }

    /// Water, g.
    ///
    /// # Errors
    /// When the mass is negative, NaN or infinite.
    pub fn water_g(grams: f64) -> Result<Liquid, LiquidError> {
        Liquid::of(&[(Component::Water, grams)])
    }

    /// A litre of ethanol and water of `strength` 0 to 100 % vol at 20 °C.
    ///
    /// # Errors
    /// Outside that range.
    pub fn from_strength(strength: f64) -> Result<Liquid, LiquidError> {
        if !(0.0..=100.0).contains(&strength) {
            return Err(LiquidError::Strength(strength));
        }
        Liquid::litre(strength, &[])
    }

    /// A litre at 20 °C as a label has it: `strength` in % vol and the other parts in g/L; water
    /// is what makes the modelled volume a litre.
    ///
    /// # Errors
    /// When a figure is out of range, or the parts leave no room for water.
    pub fn litre(strength: f64, parts_g_per_l: &[(Component, f64)]) -> Result<Liquid, LiquidError> {
        if !(0.0..=100.0).contains(&strength) {
            return Err(LiquidError::Strength(strength));
        }
        let ethanol_g = strength / 100.0 * ETHANOL_KG_PER_M3;
        let dry = Liquid::of(parts_g_per_l)?.plus(&Liquid::of(&[(Component::Ethanol, ethanol_g)])?);
        let with_water = |grams: f64| {
            let mut liquid = dry;
            liquid.grams[Component::Water.index()] += grams;
            liquid
        };
        // Pure ethanol is a litre within the rounding of its own constant.
        if dry.volume_ml() > 1000.1 {
            return Err(LiquidError::NoRoomForWater {
                grams: dry.mass_g(),
                volume_ml: dry.volume_ml(),
            });
        }
        // A gram of water takes up a millilitre within a tenth, so each step leaves a tenth of what was missing.
        let mut water = 0.0;
        for _ in 0..40 {
            let missing = 1000.0 - with_water(water).volume_ml();
            if missing.abs() < 1e-11 {
                break;
            }
            water = f64::max(water + missing, 0.0);
        }
        Ok(with_water(water))
    }

    /// 100 g made of these parts in g per 100 g; the rest is water.
    ///
    /// # Errors
    /// When a part is out of range or they weigh more than 100 g.
    pub fn hundred_grams(parts: &[(Component, f64)]) -> Result<Liquid, LiquidError> {
        let liquid = Liquid::of(parts)?;
        let rest = 100.0 - liquid.mass_g();
        // Published tables round each part: 0.05 g over is their rounding, not a fault.
        if rest < -0.05 {
            return Err(LiquidError::MoreThanAll {
                total: liquid.mass_g(),
            });
        }
        Ok(liquid.plus(&Liquid::water_g(rest.max(0.0))?))
    }

    /// A litre of given `strength` and density: the sugar (as sucrose) is what explains the density.
    /// This is how a liqueur's sugar follows from a hydrometer or pycnometer once its strength is known.
    ///
    /// # Errors
    /// When no sugar content from 0 to 1000 g/L does.
    pub fn litre_from_density(strength: f64, density_g_per_ml: f64) -> Result<Liquid, LiquidError> {
        amount("density", density_g_per_ml)?;
        const MOST: f64 = 1000.0;
        let density_with = |sugar: f64| {
            Liquid::litre(strength, &[(Component::SugarsUnspecified, sugar)]).map(|l| l.mass_g() / 1000.0)
        };
        let none = density_with(0.0)?;
        let out = LiquidError::DensityOutOfReach {
            density_g_per_ml,
            most: MOST,
        };
        // A label's strength is rounded to 0.1 % vol, which moves the density by 0.0002.
        if density_g_per_ml < none - 0.000_3 {
            return Err(out);
        }
        // Above some sugar content the bottle is full: that is where the search ends.
        let mut room = MOST;
        while room > 0.0 && density_with(room).is_err() {
            room -= 10.0;
        }
        if density_with(room)? < density_g_per_ml {
            return Err(out);
        }
        let sugar = rising_root(0.0, room, |s| {
            density_with(s).unwrap_or(f64::MAX) - density_g_per_ml
        });
        Liquid::litre(strength, &[(Component::SugarsUnspecified, sugar)])
    }

    /// Both together: masses add.
    #[must_use]
    pub fn plus(&self, other: &Liquid) -> Liquid {
        let mut sum = *self;
        for (a, b) in sum.grams.iter_mut().zip(&other.grams) {
            // No drink comes near the largest number there is; the promise of finite masses holds all the same.
            *a = (*a + b).min(f64::MAX);
        }
        sum
    }

    /// Moved in every part by `times` the way from one liquid to another, no part below nothing.
    #[must_use]
    pub(crate) fn moved(&self, from: &Liquid, to: &Liquid, times: f64) -> Liquid {
        let mut moved = *self;
        for ((part, from), to) in moved.grams.iter_mut().zip(&from.grams).zip(&to.grams) {
            let there = *part + times * (to - from);
            *part = if there.is_finite() { there.max(0.0) } else { *part };
        }
        moved
    }

    /// `factor` times as much, `factor` 0 or more.
    ///
    /// # Errors
    /// When the factor is negative, NaN or infinite, or the result is no finite mass.
    pub fn times(&self, factor: f64) -> Result<Liquid, LiquidError> {
        amount("the factor", factor)?;
        let mut scaled = *self;
        for g in &mut scaled.grams {
            *g = amount("the scaled mass", *g * factor)?;
        }
        Ok(scaled)
    }

    /// As much of this liquid as fills `volume` ml at 20 °C.
    ///
    /// # Errors
    /// When the volume is negative, NaN or infinite, or this is [`Liquid::NOTHING`].
    pub fn of_volume(&self, volume: f64) -> Result<Liquid, LiquidError> {
        let own = self.volume_ml();
        if own <= 0.0 {
            return Err(LiquidError::Empty);
        }
        self.times(amount("the volume", volume)? / own)
    }

    /// As much of this liquid as weighs `grams`.
    ///
    /// # Errors
    /// When the mass is negative, NaN or infinite, or this is [`Liquid::NOTHING`].
    pub fn of_mass(&self, grams: f64) -> Result<Liquid, LiquidError> {
        let own = self.mass_g();
        if own <= 0.0 {
            return Err(LiquidError::Empty);
        }
        self.times(amount("the mass", grams)? / own)
    }

    /// Mass of one component, g.
    #[must_use]
    pub fn grams(&self, component: Component) -> f64 {
        self.grams[component.index()]
    }

    /// Every component with its mass in g, none left out.
    pub fn parts(&self) -> impl Iterator<Item = (Component, f64)> {
        TABLE
            .iter()
            .map(|facts| (facts.component, self.grams(facts.component)))
    }

    fn weighted(&self, of: impl Fn(&Facts) -> f64) -> f64 {
        TABLE
            .iter()
            .zip(&self.grams)
            .map(|(facts, g)| g * of(facts))
            .sum()
    }

    /// Total mass, g.
    #[must_use]
    pub fn mass_g(&self) -> f64 {
        self.grams.iter().sum()
    }

    /// Ethanol, g.
    #[must_use]
    pub fn ethanol_g(&self) -> f64 {
        self.grams(Component::Ethanol)
    }

    /// Ethanol as a volume of its own at 20 °C, ml: what a unit of alcohol counts.
    #[must_use]
    pub fn ethanol_ml(&self) -> f64 {
        self.ethanol_g() / (ETHANOL_KG_PER_M3 / 1000.0)
    }

    /// All sugars, g, whatever their kind.
    #[must_use]
    pub fn sugar_g(&self) -> f64 {
        self.weighted(|f| if f.family == Family::Sugar { 1.0 } else { 0.0 })
    }

    /// Everything that sweetens weighed by how sweet it is, as grams of sucrose; strong sweeteners by the factor that holds
    /// where they are dilute, as for a pour whose drink is not known.
    #[must_use]
    pub fn sweetness_as_sucrose_g(&self) -> f64 {
        self.weighted(|f| f.as_sucrose)
    }

    /// What sweetens it as it is drunk, g: ordinary sugars as they are (they differ by less than a tenth in drinks), other
    /// sweeteners by how sweet they are, as sucrose. Strong ones level off ([`Component::levels_off_at`]).
    #[must_use]
    pub fn sweetening_g(&self) -> f64 {
        self.weighted(|f| match (f.component.sweetens_as(), f.family) {
            (Some(_), _) => self.sweetness_of(f.component, f.as_sucrose),
            (None, Family::Sugar) => 1.0,
            _ => 0.0,
        })
    }

    /// The same of a pour that is yet to be diluted: strong sweeteners by the factor that holds where they are dilute.
    #[must_use]
    pub fn sweetening_diluted_g(&self) -> f64 {
        self.weighted(|f| match (f.component.sweetens_as(), f.family) {
            (Some(_), _) => f.as_sucrose,
            (None, Family::Sugar) => 1.0,
            _ => 0.0,
        })
    }

    /// Grams of sucrose that a gram of a sweetener here is as sweet as, where its factor is `as_sucrose`.
    fn sweetness_of(&self, sweetener: Component, as_sucrose: f64) -> f64 {
        let (Some(most), true) = (sweetener.levels_off_at(), self.volume_ml() > 0.0) else {
            return as_sucrose;
        };
        // R = Rm C/(Kd + C), with Kd such that the factor holds at its level.
        let linear = 100.0 * as_sucrose * self.grams(sweetener) / self.volume_ml();
        as_sucrose * most / (most - FACTOR_LEVEL_G_PER_100ML + linear)
    }

    /// How far [`Liquid::sweetening_g`] may be off because a sweetener's sweetness is known within a span only: half of the
    /// span, g as sucrose; 0 where nothing but ordinary sugar sweetens.
    #[must_use]
    pub fn sweetening_doubt_g(&self) -> f64 {
        self.weighted(|f| {
            f.component.sweetens_as().map_or(0.0, |(low, high)| {
                let sweet = |factor| self.sweetness_of(f.component, factor);
                0.5 * (sweet(high) - sweet(low))
            })
        })
    }

    /// Titratable acidity as grams of citric acid: every acid counted by its equivalents.
    #[must_use]
    pub fn acid_as_citric_g(&self) -> f64 {
        self.weighted(|f| f.as_citric)
    }

    /// Fat, g.
    #[must_use]
    pub fn fat_g(&self) -> f64 {
        self.grams(Component::Fat)
    }

    /// Energy, kJ, by the factors of Regulation (EU) 1169/2011 Annex XIV.
    #[must_use]
    pub fn energy_kj(&self) -> f64 {
        self.weighted(|f| f.energy_kj_per_g)
    }

    /// Energy, kcal, by the factors that Annex XIV gives beside those in kJ: they are rounded by themselves, so that it
    /// is not the same multiple of the kilojoules everywhere.
    #[must_use]
    pub fn energy_kcal(&self) -> f64 {
        self.weighted(|f| f.energy_kcal_per_g())
    }

    /// Volume at 20 °C, ml.
    #[must_use]
    pub fn volume_ml(&self) -> f64 {
        let (water, ethanol) = (self.grams(Component::Water), self.ethanol_g());
        let solvent = water + ethanol;
        let mut volume = if solvent > 0.0 {
            1000.0 * solvent / density_20c_kg_per_m3(ethanol / solvent)
        } else {
            0.0
        };
        let (mut sugar, mut total) = (0.0, solvent);
        for (facts, grams) in TABLE.iter().zip(&self.grams).skip(2) {
            total += grams;
            match facts.apparent_ml_per_g {
                Some(per_g) => volume += grams * per_g,
                None => sugar += grams,
            }
        }
        if sugar > 0.0 {
            // Dry sugar has no dissolved volume of its own; past the equation's range it takes its last value.
            let fraction = (sugar / total).min(*sucrose::MASS_FRACTION_RANGE.end());
            volume += sugar * sucrose::apparent_ml_per_g(fraction);
        }
        volume
    }

    /// Density at 20 °C, g/ml; `None` of nothing.
    #[must_use]
    pub fn density_g_per_ml(&self) -> Option<f64> {
        ratio(self.mass_g(), self.volume_ml())
    }

    /// Alcoholic strength by volume, % vol at 20 °C (OIML R 22: ethanol at 789.24 kg/m³ over the
    /// volume of the whole); `None` of nothing.
    #[must_use]
    pub fn abv_pct(&self) -> Option<f64> {
        ratio(100.0 * self.ethanol_ml(), self.volume_ml())
    }

    /// Sugar, g per 100 ml; `None` of nothing.
    #[must_use]
    pub fn sugar_g_per_100ml(&self) -> Option<f64> {
        ratio(100.0 * self.sugar_g(), self.volume_ml())
    }

    /// Titratable acidity as citric acid, g per 100 ml; `None` of nothing.
    #[must_use]
    pub fn acid_g_per_100ml(&self) -> Option<f64> {
        ratio(100.0 * self.acid_as_citric_g(), self.volume_ml())
    }

    /// Sugar, g per 100 g of sugar and water: what a refractometer would read if nothing but sugar
    /// were dissolved; `None` of nothing.
    #[must_use]
    pub fn brix(&self) -> Option<f64> {
        ratio(100.0 * self.sugar_g(), self.mass_g())
    }
}

/// `top / bottom`, or `None` where that means nothing.
pub(crate) fn ratio(top: f64, bottom: f64) -> Option<f64> {
    (bottom > 0.0).then(|| top / bottom).filter(|r| r.is_finite())
}

/// Where a rising function crosses zero between `low` and `high`, to about 1e-12 of the interval.
pub(crate) fn rising_root(low: f64, high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if f(middle) < 0.0 {
            low = middle
        } else {
            high = middle
        }
    }
    0.5 * (low + high)
}
