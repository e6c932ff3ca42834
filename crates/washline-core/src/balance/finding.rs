//! What there is to say about a drink: an enum that carries the numbers, and one place where they
//! become words.

use std::fmt::{self, Display};

use serde::{Deserialize, Serialize};

use super::region::word;
use super::{BalanceFigure, Family, Structure};
use crate::spec::Technique;

/// How grave a finding is.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; nothing to mend.
    Note,
    /// Between the usual range and what is seen at all.
    Edge,
    /// Beyond what published recipes span.
    Outside,
    /// The build cannot be right.
    Fault,
}

crate::ingredient::words!(Severity);

/// Where a figure lies in its bands.
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
pub enum Verdict {
    /// Inside the core band.
    #[serde(rename = "in")]
    #[strum(serialize = "in")]
    In,
    /// Between the core and the outer band.
    #[serde(rename = "edge")]
    #[strum(serialize = "edge")]
    Edge,
    /// Beyond the outer band.
    #[serde(rename = "outside")]
    #[strum(serialize = "outside")]
    Outside,
    /// The figure is not known well enough to say which side of a band's end it lies on.
    #[serde(rename = "too close")]
    #[strum(serialize = "too close")]
    TooClose,
    /// No band to compare with.
    #[serde(rename = "no band")]
    #[strum(serialize = "no band")]
    NoBand,
}

crate::ingredient::words!(Verdict);

/// Too little or too much.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Side {
    /// Below the band.
    Below,
    /// Above the band.
    Above,
}

/// Something found in a drink.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, strum::IntoStaticStr, strum::VariantNames)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Finding {
    /// A figure outside its core band, or its outer one.
    OffBalance {
        /// Which figure.
        measure: BalanceFigure,
        /// Which side.
        side: Side,
        /// The figure.
        value: f64,
        /// How it is made.
        structure: Structure,
        /// What it is compared with.
        family: Option<Family>,
        /// At the edge, or outside.
        verdict: Verdict,
        /// The house's range as printed, or the handbook's.
        usual: Option<String>,
        /// Who says what is usual.
        usual_by: Option<String>,
        /// Between what published drinks lie, and how many they are, as printed.
        seen: Option<String>,
        /// Whether the figure lies among those of published drinks, and is off beside the others.
        beside: bool,
        /// Whether the figure is sweetness as sucrose, because something other than sugar sweetens it.
        as_sucrose: bool,
        /// Whether what is usual and what is published do not meet anywhere.
        apart: bool,
    },
    /// A figure near the end of a band, known too badly to say which side it is on.
    TooClose {
        /// Which figure.
        measure: BalanceFigure,
        /// Which end of the band.
        side: Side,
        /// The figure.
        value: f64,
        /// The lower end of its interval.
        low: f64,
        /// The upper end of its interval.
        high: f64,
        /// Where the figure as computed lies.
        computed: Verdict,
        /// How it is made.
        structure: Structure,
        /// What it is compared with.
        family: Option<Family>,
        /// How likely it is within the usual range (or what is seen, where nothing is usual), %.
        within_pct: f64,
        /// The core band as printed, or the outer one where there is no core.
        usual: String,
        /// What most of the doubt comes from.
        input: String,
        /// Its share of the doubt, %.
        share_pct: f64,
        /// What would settle it.
        settled_by: String,
    },
    /// Something carbonated is shaken or blended.
    ShakenFizz {
        /// What.
        ingredient: String,
    },
    /// Egg or a foamer that nothing shakes.
    UnshakenFoam {
        /// What.
        ingredient: String,
    },
    /// Shaken only without ice.
    NeverChilled,
    /// No step says how it is made.
    MethodMissing,
    /// More than the glass holds below its washline.
    GlassOverflows {
        /// The glass.
        glass: String,
        /// Its brimful capacity, ml.
        capacity_ml: f64,
        /// What there is to pour, ml.
        volume_ml: f64,
        /// What it holds below its washline (less the least ice), ml.
        holds_ml: f64,
        /// Whether ice takes room.
        iced: bool,
        /// Whether the capacity is only the largest usual one of that sort of glass.
        assumed: bool,
    },
    /// It fits only just: less free than a washline leaves.
    GlassBrimming {
        /// The glass.
        glass: String,
        /// Its brimful capacity, ml.
        capacity_ml: f64,
        /// What there is to pour, ml.
        volume_ml: f64,
    },
    /// What is to fill the glass finds no room in it.
    NoRoomForTop {
        /// The glass.
        glass: String,
        /// Its brimful capacity, ml.
        capacity_ml: f64,
        /// What is in it already, ml.
        volume_ml: f64,
    },
    /// The glass looks half empty.
    GlassHalfEmpty {
        /// The glass.
        glass: String,
        /// Its brimful capacity, ml.
        capacity_ml: f64,
        /// What there is to pour, ml.
        volume_ml: f64,
    },
    /// The melt curve was fitted on other strengths.
    MeltOutsideFit {
        /// The technique.
        technique: Technique,
        /// Strength before ice, % vol.
        strength_pct: f64,
        /// Fitted from, % vol.
        from_pct: f64,
        /// Fitted to, % vol.
        to_pct: f64,
        /// Water by conservation of energy, % of the mix.
        water_pct: f64,
        /// Water the curve would give, % of the mix.
        curve_pct: f64,
    },
    /// All the ice melts before the drink is cold.
    IceRanOut {
        /// The ice there was, with the water on it, g.
        ice_g: f64,
        /// Where the drink ends, °C.
        temperature_c: f64,
        /// The ice it needs, g.
        needs_g: f64,
    },
    /// Water freezes on to cold ice: the drink loses some.
    FreezesOn {
        /// How much, g.
        water_g: f64,
    },
    /// Worked on ice twice.
    ChilledTwice,
    /// Water given is implausible for a weighing: below 10 % or above 80 % of the mix.
    OddWeighing {
        /// Water, % of the mix.
        water_pct: f64,
    },
}

impl Finding {
    /// One word for its kind, as JSON and the database have it.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        self.into()
    }

    /// How grave it is.
    #[must_use]
    pub fn severity(&self) -> Severity {
        match self {
            Finding::OffBalance {
                verdict: Verdict::Outside,
                ..
            } => Severity::Outside,
            // As computed it is in the usual range: nothing to mend, something to know.
            Finding::TooClose {
                computed: Verdict::In,
                ..
            } => Severity::Note,
            Finding::GlassOverflows { assumed: true, .. } | Finding::TooClose { .. } => Severity::Edge,
            Finding::OffBalance { .. }
            | Finding::GlassBrimming { .. }
            | Finding::GlassHalfEmpty { .. }
            | Finding::IceRanOut { .. } => Severity::Edge,
            Finding::MeltOutsideFit { .. }
            | Finding::FreezesOn { .. }
            | Finding::ChilledTwice
            | Finding::OddWeighing { .. } => Severity::Note,
            Finding::ShakenFizz { .. }
            | Finding::UnshakenFoam { .. }
            | Finding::NeverChilled
            | Finding::MethodMissing
            | Finding::NoRoomForTop { .. }
            | Finding::GlassOverflows { .. } => Severity::Fault,
        }
    }

    /// What a bartender would call it, in at most thirteen letters: `too sweet`, `rather thin`, `won't fit`.
    #[must_use]
    pub fn in_a_word(&self) -> String {
        match self {
            Finding::OffBalance {
                measure,
                side,
                verdict,
                ..
            } => format!("{} {}", degree(*verdict), word(*measure, *side)),
            Finding::TooClose { measure, side, .. } => format!("perhaps {}", word(*measure, *side)),
            Finding::ShakenFizz { .. } => "fizz shaken".to_owned(),
            Finding::UnshakenFoam { .. } => "no foam".to_owned(),
            Finding::NeverChilled => "never chilled".to_owned(),
            Finding::MethodMissing => "no method".to_owned(),
            Finding::GlassOverflows { .. } => "won't fit".to_owned(),
            Finding::NoRoomForTop { .. } => "no room".to_owned(),
            Finding::GlassBrimming { .. } => "brimming".to_owned(),
            Finding::GlassHalfEmpty { .. } => "half empty".to_owned(),
            Finding::IceRanOut { .. } => "out of ice".to_owned(),
            Finding::FreezesOn { .. } => "freezes".to_owned(),
            Finding::MeltOutsideFit { .. } => "melt unsure".to_owned(),
            Finding::ChilledTwice => "chilled twice".to_owned(),
            Finding::OddWeighing { .. } => "odd weighing".to_owned(),
        }
    }

    /// The measure it is about, where it is about one.
    #[must_use]
    pub fn measure(&self) -> Option<BalanceFigure> {
        match self {
            Finding::OffBalance { measure, .. } | Finding::TooClose { measure, .. } => Some(*measure),
            _ => None,
        }
    }
}

/// How far off: what is outside is too much, what is at the edge rather much.
fn degree(verdict: Verdict) -> &'static str {
    if verdict == Verdict::Outside {
        "too"
    } else {
        "rather"
    }
}

impl Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Finding::OffBalance { measure, side, value, structure, family, verdict, usual, usual_by, seen, beside, as_sucrose, apart } => {
                let degree = degree(*verdict);
                let compared = family.map_or_else(|| structure.phrase(), |f| f.phrase().to_owned());
                let d = usize::from(measure.decimals());
                let beside = if *beside { " beside what else is in it" } else { "" };
                write!(
                    f,
                    "{degree} {} for {compared}{beside}: {value:.d$} {}",
                    word(*measure, *side),
                    measure.unit()
                )?;
                if *as_sucrose {
                    f.write_str(" as sucrose")?;
                }
                if let Some(seen) = seen {
                    write!(f, ", published {seen}")?;
                }
                if let Some(usual) = usual {
                    write!(f, ", {} {usual}", usual_by.as_deref().unwrap_or("usual"))?;
                }
                if *apart {
                    f.write_str(" (the two do not meet)")?;
                }
                Ok(())
            }
            Finding::TooClose { measure, side, value, low, high, structure, family, within_pct, usual, input, share_pct, settled_by, .. } => {
                let d = usize::from(measure.decimals());
                let compared = family.map_or_else(|| structure.phrase(), |f| f.phrase().to_owned());
                write!(
                    f,
                    "perhaps {} for {compared}, too close to call: {value:.d$} {} (between {low:.d$} and {high:.d$}), usual {usual}, {within_pct:.0} % likely right; {share_pct:.0} % of the doubt is the {input}: {settled_by}",
                    word(*measure, *side), measure.unit()
                )
            }
            Finding::ShakenFizz { ingredient } => {
                write!(f, "{ingredient} is carbonated and goes into a shaken tin: it would burst open or go flat; top with it after straining, or roll")
            }
            Finding::UnshakenFoam { ingredient } => {
                write!(f, "{ingredient} without a shake makes no foam: add `dry shake` and `shake`")
            }
            Finding::NeverChilled => f.write_str("shaken only without ice: it is neither chilled nor diluted; add `shake`"),
            Finding::MethodMissing => {
                f.write_str("no step says how it is made (shake, stir, build, neat …): no melt is counted, and no range applies")
            }
            Finding::GlassOverflows { glass, capacity_ml, volume_ml, holds_ml, iced, assumed } => {
                let ice = if *iced { " beside the least ice" } else { " below its washline" };
                let which = if *assumed { "largest usual " } else { "" };
                write!(f, "{volume_ml:.0} ml does not fit the {which}{glass} of {capacity_ml:.0} ml, which holds {holds_ml:.0} ml{ice}")
            }
            Finding::GlassBrimming { glass, capacity_ml, volume_ml } => {
                write!(f, "{volume_ml:.0} ml fills the {glass} of {capacity_ml:.0} ml to {:.0} %: nearly brimming", 100.0 * volume_ml / capacity_ml)
            }
            Finding::NoRoomForTop { glass, capacity_ml, volume_ml } => {
                write!(f, "the {glass} of {capacity_ml:.0} ml has no room for the top: {volume_ml:.0} ml is in it already")
            }
            Finding::GlassHalfEmpty { glass, capacity_ml, volume_ml } => {
                write!(f, "{volume_ml:.0} ml fills the {glass} of {capacity_ml:.0} ml to {:.0} %: it will look half empty", 100.0 * volume_ml / capacity_ml)
            }
            Finding::MeltOutsideFit { technique, strength_pct, from_pct, to_pct, water_pct, curve_pct } => write!(
                f,
                "the handbook's melt curve for a {} was fitted from {from_pct:.0} to {to_pct:.0} % vol before ice; this mix has {strength_pct:.1}: by energy it gains {water_pct:.0} % of water, where the curve would say {curve_pct:.0} %",
                technique.written()
            ),
            Finding::IceRanOut { ice_g, temperature_c, needs_g } => write!(
                f,
                "all {ice_g:.0} g of ice melt: the drink ends at {temperature_c:.0} °C; it needs {needs_g:.0} g or more (the mass of ice holds the water on it)"
            ),
            Finding::FreezesOn { water_g } => write!(
                f,
                "{water_g:.0} g of the drink's water freeze on to the cold ice: it comes off stronger than it went on"
            ),
            Finding::ChilledTwice => f.write_str("worked on ice more than once: the deeper melt is counted, not the sum"),
            Finding::OddWeighing { water_pct } => {
                write!(f, "the water given is {water_pct:.0} % of the mix; between 10 and 80 % is usual: check the weighing")
            }
        }
    }
}
