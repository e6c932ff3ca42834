//! A juice made as tart as another with acid powder.
//!
//! By *total* it gets one acid until it titrates like the other juice; by *profile* it gets of citric, malic and
//! tartaric acid what the other juice has more of. Powder takes up room: a gram of dissolved citric acid 0.62 ml (its
//! apparent specific volume, as in [`crate::liquid::TABLE`]), so that the juice gets longer and what was weighed in
//! for its old volume falls short. Both are told: the grams for the old volume (the rule of thumb, [`Powder::plain_g`])
//! and those that reach the strength in the new one ([`Powder::grams`]).

use crate::liquid::{Component, Family, Liquid};

/// How a juice is made like another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Until it titrates alike, with this acid alone.
    Total(Component),
    /// Acid by acid.
    Profile,
}

/// The acids that are sold as powder.
pub const POWDERS: [Component; 3] = [Component::Citric, Component::Malic, Component::Tartaric];

/// Acid powder to weigh in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Powder {
    /// Which acid.
    pub acid: Component,
    /// How much of it reaches the strength, its own room counted, g.
    pub grams: f64,
    /// How much it would be for the volume of the juice alone, g.
    pub plain_g: f64,
}

/// A juice that has been adjusted.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjusted {
    /// How much juice it starts from, ml.
    pub juice_ml: f64,
    /// What to weigh in.
    pub powders: Vec<Powder>,
    /// What it comes to.
    pub made: Liquid,
    /// How much more acid it has than the other of what cannot be taken out, g/L.
    pub too_much: Vec<(Component, f64)>,
    /// What the other has of acids that are not sold as powder, g/L: left out.
    pub left_out: Vec<(Component, f64)>,
}

impl Adjusted {
    /// What there is in the end, ml.
    #[must_use]
    pub fn made_ml(&self) -> f64 {
        self.made.volume_ml()
    }

    /// The room that the powder takes up, ml.
    #[must_use]
    pub fn powder_ml(&self) -> f64 {
        self.made_ml() - self.juice_ml
    }

    /// The same of as much juice as makes `made_ml` in the end; `None` where that is no volume.
    #[must_use]
    pub fn making(&self, made_ml: f64) -> Option<Adjusted> {
        let times = made_ml / self.made_ml();
        Some(Adjusted {
            juice_ml: self.juice_ml * times,
            powders: self
                .powders
                .iter()
                .map(|p| Powder {
                    acid: p.acid,
                    grams: p.grams * times,
                    plain_g: p.plain_g * times,
                })
                .collect(),
            made: self.made.times(times).ok()?,
            too_much: self.too_much.clone(),
            left_out: self.left_out.clone(),
        })
    }
}

/// Why a juice cannot be made like another with powder.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum CannotAdjust {
    /// It is as tart already.
    #[error(
        "it has {has_g_per_l:.1} g/L of acid as citric already, and {wanted_g_per_l:.1} are wanted: powder takes none out"
    )]
    TartAlready {
        /// What it has, g/L as citric.
        has_g_per_l: f64,
        /// What the other has, g/L as citric.
        wanted_g_per_l: f64,
    },
    /// It has as much of every acid already.
    #[error("it has as much of every acid already: powder takes none out")]
    NothingMissing,
    /// An acid that no one sells as powder.
    #[error("{} is not sold as powder; expected {}", .0.facts().name, POWDERS.map(|p| p.facts().name).join(", "))]
    NoPowder(Component),
    /// So much that no juice is left.
    #[error("{wanted_g_per_l:.0} g/L of acid leave no room for the juice")]
    NoRoom {
        /// What the other has, g/L as citric.
        wanted_g_per_l: f64,
    },
    /// There is no juice, or nothing to make it like.
    #[error("there is nothing to adjust")]
    Nothing,
}

/// Acid of unknown kind is counted as citric, in which it is given.
fn as_powder(acid: Component) -> Component {
    if acid == Component::AcidUnspecifiedAsCitric {
        Component::Citric
    } else {
        acid
    }
}

/// g/L of an acid, that of unknown kind among the citric.
fn per_litre(liquid: &Liquid, acid: Component) -> f64 {
    let grams: f64 = liquid
        .parts()
        .filter(|(c, _)| as_powder(*c) == acid)
        .map(|(_, g)| g)
        .sum();
    1000.0 * grams / liquid.volume_ml()
}

/// Make `juice_ml` ml of `juice` as tart as `like`.
///
/// # Errors
/// When it has the acid already, or the acid is no powder.
pub fn adjust(juice: &Liquid, like: &Liquid, by: By, juice_ml: f64) -> Result<Adjusted, CannotAdjust> {
    let start = juice.of_volume(juice_ml).map_err(|_| CannotAdjust::Nothing)?;
    if start.volume_ml() <= 0.0 || like.volume_ml() <= 0.0 {
        return Err(CannotAdjust::Nothing);
    }
    let acid = |liquid: &Liquid| 10.0 * liquid.acid_g_per_100ml().unwrap_or(0.0);
    let (has_g_per_l, wanted_g_per_l) = (acid(&start), acid(like));
    // Strengths to reach, g/L: of the acid itself, or of all of them as citric.
    let wanted: Vec<(Component, f64)> = match by {
        By::Total(powder) if !POWDERS.contains(&powder) => return Err(CannotAdjust::NoPowder(powder)),
        By::Total(powder) if wanted_g_per_l > has_g_per_l => vec![(powder, wanted_g_per_l)],
        By::Total(_) => {
            return Err(CannotAdjust::TartAlready {
                has_g_per_l,
                wanted_g_per_l,
            });
        }
        By::Profile => POWDERS
            .into_iter()
            .map(|acid| (acid, per_litre(like, acid)))
            .collect(),
    };
    let missing = |liquid: &Liquid, volume_l: f64, powder: Component, wanted: f64| match by {
        By::Total(_) => (wanted * volume_l - liquid.acid_as_citric_g()) / powder.facts().as_citric,
        By::Profile => wanted * volume_l - per_litre(liquid, powder) * liquid.volume_ml() / 1000.0,
    };
    let weighed = |volume_l: f64| -> Vec<(Component, f64)> {
        let grams = |&(powder, wanted): &(Component, f64)| {
            (powder, missing(&start, volume_l, powder, wanted).max(0.0))
        };
        wanted.iter().map(grams).filter(|(_, g)| *g > 0.0).collect()
    };
    let plain = weighed(start.volume_ml() / 1000.0);
    if plain.is_empty() {
        return Err(CannotAdjust::NothingMissing);
    }
    // Each round of weighing in leaves a few hundredths of the room of the last: it is there after a dozen.
    let (mut powders, mut made) = (plain.clone(), start);
    for _ in 0..200 {
        let added = Liquid::of(&powders).map_err(|_| CannotAdjust::NoRoom { wanted_g_per_l })?;
        let next = start.plus(&added);
        let settled = (next.volume_ml() - made.volume_ml()).abs() < 1e-12 * next.volume_ml();
        made = next;
        if settled {
            break;
        }
        powders = weighed(made.volume_ml() / 1000.0);
    }
    // Powder of which a litre is wanted in less than a litre: the rounds run away.
    if made.volume_ml() > 10.0 * start.volume_ml() {
        return Err(CannotAdjust::NoRoom { wanted_g_per_l });
    }
    let (mut too_much, mut left_out) = (Vec::new(), Vec::new());
    if by == By::Profile {
        for facts in crate::liquid::TABLE.iter().filter(|f| f.family == Family::Acid) {
            let acid = facts.component;
            if as_powder(acid) != acid {
                continue;
            }
            let (has, wanted) = (per_litre(&made, acid), per_litre(like, acid));
            if has > wanted + 0.05 {
                too_much.push((acid, has - wanted));
            } else if !POWDERS.contains(&acid) && wanted > has + 0.05 {
                left_out.push((acid, wanted - has));
            }
        }
    }
    Ok(Adjusted {
        juice_ml: start.volume_ml(),
        powders: powders
            .into_iter()
            .map(|(acid, grams)| Powder {
                acid,
                grams,
                plain_g: plain.iter().find(|(a, _)| *a == acid).map_or(0.0, |(_, g)| *g),
            })
            .collect(),
        made,
        too_much,
        left_out,
    })
}
