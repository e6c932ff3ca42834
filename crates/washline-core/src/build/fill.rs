//! A pour that fills the glass: it takes what everything else and the ice leave of it.

use super::ice::{in_the_glass, packing, served_on};
use super::{Built, ICE_G_PER_ML};
use crate::resolve::{Input, Resolved, ResolvedStep};
use crate::spec::Assumption;
pub use crate::tables::WASHLINE_SHARE;

/// The least ice that makes an iced drink, as a share of the glass: common practice, no source.
pub const LEAST_ICE: f64 = 0.25;
/// How far the ice of a glass is from [`super::ICE_PACKING`], either way: anywhere in it is as likely. Common practice,
/// no source.
pub const PACKING_HALF_WIDTH: f64 = 0.10;

/// A top smaller than this is none: common practice, no source.
const LEAST_TOP_ML: f64 = 60.0;

/// A pour that filled the glass to its washline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fill {
    /// What it came to, ml.
    pub volume_ml: f64,
    /// Share of the glass that ice was taken to fill; `None` where the glass is not known and the volume is a
    /// usual one.
    pub ice_share: Option<f64>,
}

/// How far the room for a drink is from what is taken, in half-widths: −1 the least, 1 the most.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Room {
    /// How much of the glass the ice takes.
    pub ice: f64,
    /// How large the glass is, where only its sort is known.
    pub glass: f64,
}

/// What is left for the top of a drink of `poured_ml`, ml, and the share of the glass that its ice takes; `None` where the
/// glass is not known.
pub(super) fn room(
    drink: &Resolved,
    poured_ml: f64,
    on_ice: bool,
    iced: bool,
    room: &Room,
) -> Option<(f64, f64)> {
    let glass = drink.glass.as_ref()?;
    let form = served_on(drink).map_or_else(Default::default, |ice| ice.form);
    // Ice that is weighed or counted takes what it takes.
    let weighed = is_weighed(drink).then(|| in_the_glass(drink).0.grams / ICE_G_PER_ML);
    let packed = packing(form) + room.ice * PACKING_HALF_WIDTH;
    let fitting = |brimful: f64| {
        let spare = |ice: f64| (brimful * WASHLINE_SHARE * (1.0 - ice) - poured_ml).max(0.0);
        match (iced, weighed) {
            (false, _) => (spare(0.0), 0.0),
            (true, Some(ml)) => {
                let share = (ml / brimful).min(1.0);
                (spare(share), share)
            }
            // A glass packed with ice that leaves no room for the top would be given less ice.
            _ if spare(packed) >= LEAST_TOP_ML => (spare(packed), packed),
            _ if on_ice || spare(LEAST_ICE) >= LEAST_TOP_ML => {
                (spare(LEAST_ICE).min(LEAST_TOP_ML), LEAST_ICE)
            }
            // Nobody said ice, and there is no room for it.
            _ => (spare(0.0), 0.0),
        }
    };
    let sized = |usual: f64| match glass.assumed_ml {
        Some((_, largest)) if room.glass > 0.0 => usual + room.glass * (largest - usual).max(0.0),
        Some((smallest, _)) => usual + room.glass * (usual - smallest).max(0.0),
        None => usual,
    };
    Some(match glass.assumed_ml {
        // A size that is only assumed is the largest usual one before it is too small.
        Some((_, largest)) if fitting(glass.capacity_ml).0 < LEAST_TOP_ML => fitting(largest),
        _ => fitting(sized(glass.capacity_ml)),
    })
}

/// Whether the ice of the glass has a mass or a count.
fn is_weighed(drink: &Resolved) -> bool {
    served_on(drink).is_some_and(|ice| ice.mass_g.is_some() || ice.count.is_some() || ice.form.is_large())
}

/// What is not known of the room for a top: each input with how far it moves, in half-widths, by one of them.
#[must_use]
pub fn fill_doubts(drink: &Resolved, built: &Built) -> Vec<(Input, Room)> {
    let Some(ice_share) = built.fill.and_then(|fill| fill.ice_share) else {
        return Vec::new();
    };
    let mut doubts = Vec::new();
    if ice_share > 0.0 && !is_weighed(drink) {
        doubts.push((Input::IceInGlass, Room { ice: 1.0, glass: 0.0 }));
    }
    if drink
        .glass
        .as_ref()
        .is_some_and(|glass| glass.assumed_ml.is_some())
    {
        doubts.push((Input::GlassSize, Room { ice: 0.0, glass: 1.0 }));
    }
    doubts
}

impl Built {
    /// How much a pour that fills the glass was taken to be, and how much ice was taken to be there.
    #[must_use]
    pub fn assumption(&self, drink: &Resolved) -> Option<Assumption> {
        let fill = self.fill?;
        let name = drink.steps.iter().find_map(|s| match s {
            ResolvedStep::Pour(p) if p.fills() => Some(p.ingredient.as_str()),
            _ => None,
        })?;
        let volume = fill.volume_ml;
        let taken = match (fill.ice_share, &drink.glass) {
            (Some(0.0), Some(glass)) => {
                format!(
                    "{volume:.0} ml: the {} of {:.0} ml to {:.0} %",
                    glass.name,
                    glass.capacity_ml,
                    100.0 * WASHLINE_SHARE
                )
            }
            (Some(ice), Some(glass)) => format!(
                "{volume:.0} ml: the {} of {:.0} ml to {:.0} %, {:.0} % of that ice (common practice, no source)",
                glass.name,
                glass.capacity_ml,
                100.0 * WASHLINE_SHARE,
                100.0 * ice
            ),
            _ => format!("{volume:.0} ml (between 30 and 120 ml), the glass not being known"),
        };
        Some(Assumption::new(
            format!("a top of {name}"),
            taken,
            "write its volume",
        ))
    }
}
