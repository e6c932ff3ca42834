//! How much a pour brings: so much, or what the glass leaves room for.

use super::ResolvedPour;
use crate::liquid::{Liquid, LiquidError};

/// What a pour brings to the drink.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Brought {
    /// The liquid that joins the drink.
    pub liquid: Liquid,
    /// Its volume at 20 °C, ml.
    pub volume_ml: f64,
    /// Mass, g: of a solid, what is put in; of a liquid, what is poured.
    pub mass_g: f64,
}

impl Brought {
    /// All of a liquid.
    #[must_use]
    pub fn all_of(liquid: Liquid) -> Brought {
        Brought {
            volume_ml: liquid.volume_ml(),
            mass_g: liquid.mass_g(),
            liquid,
        }
    }

    /// So many times as much.
    ///
    /// # Errors
    /// A negative number, or none that is finite.
    pub fn times(&self, times: f64) -> Result<Brought, LiquidError> {
        Ok(Brought {
            liquid: self.liquid.times(times)?,
            volume_ml: self.volume_ml * times,
            mass_g: self.mass_g * times,
        })
    }
}

/// How much of something goes in.
#[derive(Clone, Debug, PartialEq)]
pub enum Portion {
    /// So much, whatever the glass.
    Fixed(Brought),
    /// As much as fills the glass to its washline: only who knows the glass, its ice and the rest of the drink can tell.
    Fills {
        /// One millilitre of it.
        each_ml: Liquid,
        /// What is taken where no glass is known, ml.
        usual_ml: f64,
    },
}

impl Portion {
    /// What it comes to, where what fills the glass is so much; of no known glass, the usual.
    #[must_use]
    pub fn of(&self, filled_ml: Option<f64>) -> Brought {
        match self {
            Portion::Fixed(brought) => *brought,
            Portion::Fills { each_ml, usual_ml } => {
                let ml = filled_ml.unwrap_or(*usual_ml);
                let liquid = each_ml.times(ml).unwrap_or_default();
                Brought {
                    liquid,
                    volume_ml: ml,
                    mass_g: liquid.mass_g(),
                }
            }
        }
    }
}

impl ResolvedPour {
    /// Whether it fills the glass to its washline.
    #[must_use]
    pub fn fills(&self) -> bool {
        matches!(self.portion, Portion::Fills { .. })
    }

    /// What it brings, where that does not hang on the glass.
    #[must_use]
    pub fn fixed(&self) -> Option<&Brought> {
        match &self.portion {
            Portion::Fixed(brought) => Some(brought),
            Portion::Fills { .. } => None,
        }
    }

    /// Some of the liquid, however much: for its strength, its sweetness in 100 ml and the like.
    #[must_use]
    pub fn some(&self) -> Liquid {
        match &self.portion {
            Portion::Fixed(brought) => brought.liquid,
            Portion::Fills { each_ml, .. } => *each_ml,
        }
    }

    /// What it brings; where that hangs on a glass that is not known, the usual.
    #[must_use]
    pub fn usual(&self) -> Brought {
        self.portion.of(None)
    }
}
