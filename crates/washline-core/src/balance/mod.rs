//! From what is in the glass to what there is to say about it.

mod band;
mod figures;
mod finding;
mod open_ends;
mod spans;
pub mod structure;
pub(crate) mod tables;

pub use band::{Band, Measured, Ranges, Span};
pub use figures::{Figure, Figures};
pub use finding::{Finding, Severity, Side, Verdict};
pub use spans::{SpanRow, spans};
pub use structure::Structure;
pub use tables::{Glass, Service, StandardDrink};

use crate::build::{Built, LEAST_ICE, WASHLINE_SHARE};
use crate::melt::{self, MeltModel};
use crate::resolve::{GlassSize, Resolved, ResolvedPour, ResolvedStep};
use crate::spec::WaterGiven;

/// How full the glass is.
#[derive(Clone, Debug, PartialEq)]
pub struct GlassFill {
    /// The glass, as the spec names it.
    pub name: String,
    /// Its brimful capacity, mL.
    pub capacity_ml: f64,
    /// The liquid in it, % of the capacity.
    pub fill_pct: f64,
}

/// What a drink comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Evaluation {
    /// What sort of drink it is; `None` where the method is missing.
    pub structure: Option<Structure>,
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
    /// What there is to say.
    pub findings: Vec<Finding>,
}

/// Strength below which a drink counts as without alcohol, % vol: 0.5 is where most law draws the line.
const NO_ALCOHOL_PCT: f64 = 0.5;

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
    open_ends::spread(drink, &mut figures);
    let drinks = drink.standard_drink.count(built.before.ethanol_g());
    let before = Figures::of(&built.before, 0.0, built.before.volume_ml(), drinks);
    let mut findings = Vec::new();
    build_findings(
        drink,
        built,
        figures.water_pct_of_mix.value.unwrap_or(0.0),
        &mut findings,
    );
    let verdicts = verdicts(built.structure, &figures, ranges, &mut findings);
    let glass = drink
        .glass
        .as_ref()
        .map(|glass| fill(glass, &figures, built, &mut findings));
    findings.sort_by_key(|f| std::cmp::Reverse(f.severity()));
    Evaluation {
        structure: built.structure,
        melt_model: built.melt_model,
        before,
        figures,
        verdicts,
        glass,
        findings,
    }
}

fn pour_at(drink: &Resolved, at: usize) -> Option<&ResolvedPour> {
    match drink.steps.get(at) {
        Some(ResolvedStep::Pour(pour)) => Some(pour),
        _ => None,
    }
}

fn build_findings(drink: &Resolved, built: &Built, water_pct: f64, findings: &mut Vec<Finding>) {
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
            .any(|s| matches!(s, ResolvedStep::Work(crate::spec::Technique::DryShake, _)));
        findings.push(if dry_only {
            Finding::NeverChilled
        } else {
            Finding::MethodMissing
        });
    }
    if let Some((technique, relation)) = &built.relation
        && let (false, Some((from_pct, to_pct))) = (relation.in_range, relation.fitted_pct)
    {
        findings.push(Finding::MeltOutsideFit {
            technique: *technique,
            strength_pct: built.worked.abv_pct().unwrap_or(0.0),
            from_pct,
            to_pct,
            water_pct,
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
    if built.chilled_twice {
        findings.push(Finding::ChilledTwice);
    }
    if matches!(drink.water, Some(WaterGiven::Weighed { .. })) && !(10.0..=80.0).contains(&water_pct) {
        findings.push(Finding::OddWeighing { water_pct });
    }
}

/// Where each measure lies in its bands. No verdict without a band; none on a drink without
/// alcohol, for no published range is about those; none on a measure the drink does not have at
/// all, unless the structure is made of it.
fn verdicts(
    structure: Option<Structure>,
    figures: &Figures,
    ranges: &Ranges,
    findings: &mut Vec<Finding>,
) -> [Verdict; 3] {
    let mut verdicts = [Verdict::NoBand; 3];
    let Some(structure) = structure else {
        return verdicts;
    };
    if figures.abv_pct.value.unwrap_or(0.0) < NO_ALCOHOL_PCT {
        return verdicts;
    }
    for measure in Measured::ALL {
        let Some(value) = figures.measured(measure).value else {
            continue;
        };
        let band = ranges.band(structure, measure);
        let none_at_all = value < 0.5 * 10_f64.powi(-i32::from(measure.decimals()));
        if none_at_all && !structure.is_sour() {
            continue;
        }
        let (verdict, side) = place(value, band);
        verdicts[measure as usize] = verdict;
        if let Some(side) = side {
            findings.push(Finding::OffBalance {
                measure,
                side,
                value,
                structure,
                verdict,
                usual: band.core.as_ref().map(Span::printed),
                seen: band.outer.as_ref().map(Span::printed_with_count),
            });
        }
    }
    verdicts
}

/// The verdict of a value in its bands, and on which side it is off.
fn place(value: f64, band: &Band) -> (Verdict, Option<Side>) {
    use std::cmp::Ordering::{Equal, Greater, Less};
    let core = band.core.as_ref().map(|s| s.place(value));
    let outer = band.place_in_reach(value);
    let side = |o| match o {
        Less => Some(Side::Below),
        Greater => Some(Side::Above),
        Equal => None,
    };
    match (core, outer) {
        (None, None) => (Verdict::NoBand, None),
        (Some(Equal), _) => (Verdict::In, None),
        // Inside what is seen, with no handbook to say where the middle is: nothing to flag.
        (None, Some(Equal)) => (Verdict::In, None),
        (Some(off), Some(Equal)) => (Verdict::Edge, side(off)),
        // Beyond the house's own range is outside, where nothing else says how far drinks go.
        (Some(off), None) if band.core.as_ref().is_some_and(|c| c.own) => (Verdict::Outside, side(off)),
        // A core band alone is narrow: beyond it is the edge, for nothing says where outside begins.
        (Some(off), None) => (Verdict::Edge, side(off)),
        (_, Some(off)) => (Verdict::Outside, side(off)),
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
