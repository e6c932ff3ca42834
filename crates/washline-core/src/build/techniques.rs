//! Which techniques a drink has seen, and the structure that follows.

use super::Walk;
use crate::spec::Technique;
use crate::tables::Structure;
use crate::tables::{BUILT_SHORT_ML, CREAMY_FAT_G_PER_100ML, SOUR_ACID_G_PER_100ML};

/// Which techniques a drink has seen.
#[derive(Clone, Copy, Default)]
pub(super) struct Techniques {
    dry_shaken: bool,
    shaken: bool,
    stirred: bool,
    pub(super) built: bool,
    rolled: bool,
    thrown: bool,
    swizzled: bool,
    pub(super) blended: bool,
}

impl Techniques {
    pub(super) fn note(&mut self, technique: Technique) {
        match technique {
            Technique::Muddle => {}
            Technique::DryShake => self.dry_shaken = true,
            Technique::Shake | Technique::WhipShake => self.shaken = true,
            Technique::Stir => self.stirred = true,
            Technique::Build => self.built = true,
            Technique::Roll => self.rolled = true,
            Technique::Throw => self.thrown = true,
            Technique::Swizzle => self.swizzled = true,
            Technique::Blend => self.blended = true,
        }
    }

    pub(super) fn shaken(self) -> bool {
        self.shaken || self.dry_shaken
    }

    /// Worked on ice by anything but building.
    pub(super) fn iced(self) -> bool {
        self.shaken || self.stirred || self.rolled || self.thrown || self.swizzled || self.blended
    }

    /// The rules of the structures, in their order of precedence.
    pub(super) fn structure(
        self,
        walk: &Walk,
        topped: bool,
        foamer: bool,
        built: bool,
        neat: bool,
        hot: bool,
    ) -> Option<Structure> {
        let worked = &walk.worked;
        Some(if self.blended {
            Structure::Blended
        } else if self.swizzled {
            Structure::Swizzled
        } else if topped && self.iced() {
            Structure::Topped
        } else if self.thrown {
            Structure::Thrown
        } else if self.rolled {
            Structure::Rolled
        } else if self.shaken {
            let fat = 100.0 * worked.fat_g() / worked.volume_ml().max(f64::MIN_POSITIVE);
            if fat >= CREAMY_FAT_G_PER_100ML {
                Structure::ShakenCreamy
            } else if worked.acid_g_per_100ml().unwrap_or(0.0) < SOUR_ACID_G_PER_100ML {
                Structure::ShakenNotSour
            } else if foamer {
                Structure::ShakenEggWhite
            } else {
                Structure::ShakenSour
            }
        } else if self.stirred {
            Structure::Stirred
        } else if hot {
            Structure::Hot
        } else if built {
            if !topped && walk.vessel.volume_ml() < BUILT_SHORT_ML {
                Structure::BuiltShort
            } else {
                Structure::BuiltLong
            }
        } else if neat {
            Structure::Neat
        } else {
            return None;
        })
    }
}
