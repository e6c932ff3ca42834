//! From what is in the glass to what there is to say about it.

mod band;
mod coverage;
mod doubt;
pub mod family;
mod figures;
mod finding;
pub mod learn;
mod moves;
mod palate;
mod placed;
pub mod published;
pub mod record;
mod region;
mod robustness;
mod spans;
mod standing;
mod verdict;

pub use band::{BalanceFigure, Band, Ranges, Span};
pub use doubt::Budget;
pub use family::Kin;
pub use figures::{Figure, Figures};
pub use finding::{Finding, Severity, Side, Verdict};
pub use moves::{Imbalance, Moves, Point, Role};
pub use palate::Palate;
pub use placed::{Placed, Relative};
pub use region::{EDGE_PCT, FEWEST as FEWEST_OF_A_FAMILY, OUTSIDE_PCT, Region, word};
pub use robustness::{Robustness, robustness};
pub use spans::{SpanRow, spans};
pub use standing::{Judged, Standing};
pub use verdict::SURE;

pub use crate::tables::{Family, Glass, Service, StandardDrink, Structure};

use crate::build::{Built, LEAST_ICE, Melted, WASHLINE_SHARE};
use crate::melt::{self, MeltModel};
use crate::resolve::{GlassSize, Resolved, ResolvedPour, ResolvedStep};
use crate::spec::WaterGiven;

/// How full the glass is.
#[derive(Clone, Debug, PartialEq)]
pub struct GlassFill {
    /// The glass, as the spec names it.
    pub name: String,
    /// Its brimful capacity, ml.
    pub capacity_ml: f64,
    /// The liquid in it, % of the capacity.
    pub fill_pct: f64,
}

impl GlassFill {
    /// `68 % of the coupe of 140 ml`.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "{:.0} % of the {} of {:.0} ml",
            self.fill_pct, self.name, self.capacity_ml
        )
    }
}

/// What a drink comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Evaluation {
    /// What sort of drink it is; `None` where the method is missing.
    pub structure: Option<Structure>,
    /// Its family, and where it lies among the published drinks of it; `None` where the method is missing.
    pub placed: Option<Placed>,
    /// Where its water comes from.
    pub melt_model: MeltModel,
    /// Everything poured, before any ice.
    pub before: Figures,
    /// What there is to drink.
    pub figures: Figures,
    /// Where strength, sweetness and tartness lie in their bands, in that order.
    pub verdicts: [Verdict; 3],
    /// How full the glass is, where its size is known.
    pub glass: Option<GlassFill>,
    /// What the doubt about strength, sweetness and tartness is made of, by measure, the largest share first.
    pub budget: Vec<Budget>,
    /// What there is to say.
    pub findings: Vec<Finding>,
}

/// The figures of what is in the glass, without intervals: fast enough for a search to call it many times.
#[must_use]
pub fn nominal(drink: &Resolved, built: &Built) -> Figures {
    Figures::of(
        &built.glass,
        melt::water_ml(built.water_g),
        built.worked.volume_ml(),
        drink.standard_drink.count(built.glass.ethanol_g()),
    )
}

/// Weigh up a drink that has been built, against the ranges of its structure.
#[must_use]
pub fn evaluate(drink: &Resolved, built: &Built, ranges: &Ranges) -> Evaluation {
    let mut figures = nominal(drink, built);
    let drinks = drink.standard_drink.count(built.before.ethanol_g());
    let mut before = Figures::of(&built.before, 0.0, built.before.volume_ml(), drinks);
    let known = doubt::propagate(drink, built, &mut figures, &mut before);
    let mut findings = Vec::new();
    build_findings(
        drink,
        built,
        known.state.as_ref(),
        figures.water_pct_of_mix.value.unwrap_or(0.0),
        &mut findings,
    );
    let judged = verdict::Judged {
        drink,
        built,
        figures: &figures,
        known: &known,
        ranges,
    };
    let (verdicts, placed) = verdict::verdicts(&judged, &mut findings);
    let glass = drink
        .glass
        .as_ref()
        .map(|glass| fill(glass, &figures, built, &mut findings));
    findings.sort_by_key(|f| std::cmp::Reverse(f.severity()));
    Evaluation {
        structure: built.structure,
        placed,
        melt_model: built.melt_model,
        before,
        figures,
        verdicts,
        glass,
        budget: known.budget,
        findings,
    }
}

fn pour_at(drink: &Resolved, at: usize) -> Option<&ResolvedPour> {
    match drink.steps.get(at) {
        Some(ResolvedStep::Pour(pour)) => Some(pour),
        _ => None,
    }
}

fn build_findings(
    drink: &Resolved,
    built: &Built,
    state: Option<&Melted>,
    water_pct: f64,
    findings: &mut Vec<Finding>,
) {
    for pour in built.shaken_fizz.iter().filter_map(|&at| pour_at(drink, at)) {
        findings.push(Finding::ShakenFizz {
            ingredient: pour.ingredient.clone(),
        });
    }
    for pour in built.unshaken_foam.iter().filter_map(|&at| pour_at(drink, at)) {
        // A hot drink beats its egg; a drink without a method has that said of it already.
        if !matches!(built.structure, Some(Structure::Hot) | None) {
            findings.push(Finding::UnshakenFoam {
                ingredient: pour.ingredient.clone(),
            });
        }
    }
    if built.structure.is_none() {
        let dry_only = drink
            .steps
            .iter()
            .any(|s| matches!(s, ResolvedStep::Work(w) if w.technique == crate::spec::Technique::DryShake));
        findings.push(if dry_only {
            Finding::NeverChilled
        } else {
            Finding::MethodMissing
        });
    }
    if let (Some((technique, _)), Some(balanced)) = (&built.relation, &built.balanced)
        && let (false, Some((from_pct, to_pct))) = (balanced.curve.in_range, balanced.curve.fitted_pct)
    {
        findings.push(Finding::MeltOutsideFit {
            technique: *technique,
            strength_pct: built.worked.abv_pct().unwrap_or(0.0),
            from_pct,
            to_pct,
            water_pct,
            curve_pct: 100.0 * balanced.curve.share,
        });
    }
    if let (Some(fill), Some(glass)) = (built.fill, &drink.glass)
        && fill.ice_share.is_some()
        && fill.volume_ml < 1.0
    {
        findings.push(Finding::NoRoomForTop {
            glass: glass.name.clone(),
            capacity_ml: glass.capacity_ml,
            volume_ml: built.glass.volume_ml(),
        });
    }
    if let Some(state) = state
        && built.melt_model != MeltModel::Given
        && built.melt_model != MeltModel::Weighed
    {
        if let Some(needs_g) = crate::build::ice_needed_g(built, drink, state) {
            findings.push(Finding::IceRanOut {
                ice_g: state.conditions.ice.grams,
                temperature_c: state.point.temperature_c,
                needs_g,
            });
        }
        // Half a gram is no more than a scale reads.
        if built.water_g < -0.5 {
            findings.push(Finding::FreezesOn {
                water_g: -built.water_g,
            });
        }
    }
    if built.chilled_twice {
        findings.push(Finding::ChilledTwice);
    }
    if matches!(drink.water, Some(WaterGiven::Weighed { .. })) && !(10.0..=80.0).contains(&water_pct) {
        findings.push(Finding::OddWeighing { water_pct });
    }
}

/// Fill below which a drink served up looks half empty, % of the brim. Common practice, no source.
const HALF_EMPTY_PCT: f64 = 60.0;
/// Fill above which a drink served up is brimming, % of the brim. Common practice, no source.
const BRIMMING_PCT: f64 = 95.0;

fn fill(glass: &GlassSize, figures: &Figures, built: &Built, findings: &mut Vec<Finding>) -> GlassFill {
    let volume_ml = figures.volume_ml.value.unwrap_or(0.0);
    let capacity_ml = glass.capacity_ml;
    let fill_pct = if capacity_ml > 0.0 {
        100.0 * volume_ml / capacity_ml
    } else {
        0.0
    };
    let name = glass.name.clone();
    // Where the size is only assumed, a drink is flagged when it fits none of the usual ones.
    let (smallest, largest) = glass.assumed_ml.unwrap_or((capacity_ml, capacity_ml));
    let holds = |brimful: f64| {
        brimful
            * if built.on_ice {
                WASHLINE_SHARE - LEAST_ICE
            } else {
                WASHLINE_SHARE
            }
    };
    let tight = |brimful: f64| {
        if built.on_ice {
            holds(brimful)
        } else {
            brimful * BRIMMING_PCT / 100.0
        }
    };
    let is_up = !built.on_ice && matches!(glass.service, Some(Service::Up | Service::Sparkling));
    if volume_ml > tight(largest) {
        findings.push(Finding::GlassOverflows {
            glass: name.clone(),
            capacity_ml: largest,
            volume_ml,
            holds_ml: holds(largest),
            iced: built.on_ice,
            assumed: glass.assumed_ml.is_some(),
        });
    } else if volume_ml > holds(largest) {
        findings.push(Finding::GlassBrimming {
            glass: name.clone(),
            capacity_ml: largest,
            volume_ml,
        });
    } else if is_up && 100.0 * volume_ml < HALF_EMPTY_PCT * smallest {
        findings.push(Finding::GlassHalfEmpty {
            glass: name.clone(),
            capacity_ml: smallest,
            volume_ml,
        });
    }
    GlassFill {
        name,
        capacity_ml,
        fill_pct,
    }
}
