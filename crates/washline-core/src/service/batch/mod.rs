//! A drink for many: what goes into the vessel, what is added at service, how much water, what to buy, in what
//! order, and how long it holds.
//!
//! Every line is scaled by the same factor, bitters too unless a factor is given for them, so that a serve of the
//! batch with what is added at service is the single drink. Amounts are rounded to what a jug and a scale can
//! tell; the figures are of the rounded amounts.

mod event;
mod ice;
mod lines;
mod order;
mod remarks;
mod shopping;

pub use event::{Event, Weight, event};
pub use ice::{BOUGHT_KG_A_DRINK, ice_g};
pub use lines::{BatchLine, When, Why};
pub use remarks::{Caution, Remark};
pub use shopping::{Bill, Buy, Make, Shopping};

use crate::balance::Figures;
use crate::computed::ComputedDrink;
use crate::ingredient::Declaration;
use crate::liquid::{Liquid, freezing};
use crate::melt::heat::{Freezing, freezer};
use crate::melt::{water_g, water_ml};
use crate::names::nearest;
use crate::prepare::ShelfLife;
use crate::service::cost::Prices;
use crate::spec::{Assumption, Technique};
use crate::tables::Remedy;

/// How large a batch is.
#[derive(Clone, Debug, PartialEq)]
pub enum Size {
    /// So many serves.
    Serves(u32),
    /// As much as a vessel of so many ml takes below its head space, in whole serves.
    Into(f64),
    /// All of a bottle of so many ml, of the ingredient named or else of the one it is mostly made of.
    FromBottle {
        /// ml.
        ml: f64,
        /// Of what.
        of: Option<String>,
    },
}

/// How it is served, which decides how much of the melt goes in as water.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumString, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "kebab-case")]
pub enum Serving {
    /// Poured as it is, cold: all of the water is in it.
    Ready,
    /// Poured over ice that goes on melting: three quarters of the water are in it.
    OverIce,
    /// Stirred, shaken or built on ice to order: no water is in it.
    ToOrder,
}

crate::ingredient::words!(Serving);

/// What is asked of a batch.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// How large.
    pub size: Size,
    /// The vessel it goes into, ml, where that is known besides.
    pub vessel_ml: Option<f64>,
    /// How it is served; `None` for what suits the method.
    pub serving: Option<Serving>,
    /// Carbonated as a whole: soda becomes still water.
    pub keg: bool,
    /// Kept in a freezer of so many °C.
    pub freezer_c: Option<f64>,
    /// Held for so many hours before it is poured.
    pub hold_hours: f64,
    /// What bitters are scaled by besides.
    pub bitters_factor: f64,
    /// Room left free in the vessel, %; `None` for the usual.
    pub head_pct: Option<f64>,
}

impl Ask {
    /// A batch of that size, all else as usual: for the same evening.
    #[must_use]
    pub fn of(size: Size) -> Ask {
        Ask {
            size,
            vessel_ml: None,
            serving: None,
            keg: false,
            freezer_c: None,
            hold_hours: 4.0,
            bitters_factor: 1.0,
            head_pct: None,
        }
    }
}

/// Why there is no batch.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum BatchError {
    /// Nothing of it can stand in a vessel.
    #[error("nothing of `{0}` can be batched: all of it is added at service")]
    NothingToBatch(String),
    /// Nothing by that name goes into the batch.
    #[error("nothing called `{name}` goes into the batch; expected one of: {}", there.join(", "))]
    NoSuchBase {
        /// As asked.
        name: String,
        /// What goes in.
        there: Vec<String>,
        /// The nearest of them.
        near: Vec<String>,
    },
    /// The vessel does not hold one serve.
    #[error(
        "{vessel_ml:.0} ml hold no whole serve of {serve_ml:.0} ml below the head space of {head_pct:.0} %"
    )]
    TooSmall {
        /// The vessel, ml.
        vessel_ml: f64,
        /// A serve of what goes into it, ml.
        serve_ml: f64,
        /// The head space, %.
        head_pct: f64,
    },
    /// More than anyone pours.
    #[error("that is {litres:.0} l; expected at most {most:.0} l", most = MOST_LITRES)]
    TooLarge {
        /// Litres.
        litres: f64,
    },
}

/// The largest batch: 100 m³.
const MOST_LITRES: f64 = 100_000.0;
/// What of the melt goes in where ice goes on melting under it: one magazine has 15 % in the place of 20 %, READ.
const OVER_ICE_SHARE: f64 = 0.75;
/// Head space of a still vessel, %: common practice, no source.
const HEAD_PCT: f64 = 5.0;
/// Head space of a keg that is charged, %: common practice, no source.
const KEG_HEAD_PCT: f64 = 20.0;
/// Head space in a freezer, %: water grows by 9 % as it freezes (90.6 ml/kg, READ).
const FREEZER_HEAD_PCT: f64 = 10.0;
/// Strength above which fizz is dull, % vol: 14 to 16, from memory.
pub(crate) const LIVELY_FIZZ_PCT: f64 = 16.0;

/// A batch, worked out.
#[derive(Clone, Debug)]
pub struct Batch {
    /// The drink.
    pub drink: String,
    /// Its book.
    pub book: String,
    /// Whole serves.
    pub serves: u32,
    /// Serves as they come: a bottle seldom gives whole ones.
    pub serves_exact: f64,
    /// How it is served.
    pub serving: Serving,
    /// How it would be worked on ice for one, where it is.
    pub technique: Option<Technique>,
    /// The vessel, ml, where it is known.
    pub vessel_ml: Option<f64>,
    /// Room that should be left free in it, %.
    pub head_pct: f64,
    /// What goes over the brim, ml.
    pub overflow_ml: f64,
    /// What goes in and what is added, in working order.
    pub lines: Vec<BatchLine>,
    /// Water that goes in for the melt, ml.
    pub water_ml: f64,
    /// Water that ice gives each serve later, ml.
    pub water_to_come_ml: f64,
    /// What stands in the vessel.
    pub vessel: Liquid,
    /// What of it makes a serve, ml.
    pub pour_ml: f64,
    /// Figures of what stands in the vessel, all of it.
    pub in_vessel: Figures,
    /// Figures of a serve in the glass.
    pub in_glass: Figures,
    /// The same of the drink made by itself.
    pub single: Figures,
    /// What there is to look at.
    pub remarks: Vec<Remark>,
    /// How long what stands in the vessel is usually held.
    pub holding: ShelfLife,
    /// The preparation in it that keeps the shortest, and how long, where preparations say.
    pub keeps_as: Option<(String, String)>,
    /// What the freezer does to it.
    pub freezer: Option<InFreezer>,
    /// Whether it is carbonated as a whole.
    pub keg: bool,
    /// What to make and to buy.
    pub shopping: Shopping,
    /// Ice it takes at service, g.
    pub ice_g: f64,
    /// The work, step by step.
    pub order: Vec<String>,
    /// Cautions, each with who says so.
    pub cautions: Vec<Caution>,
    /// Allergens on the European list.
    pub allergens_eu: Declaration,
    /// Allergens on the list of the United States.
    pub allergens_us: Declaration,
    /// Garnishes, a serve.
    pub garnishes: Vec<String>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
}

/// A batch in the freezer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct InFreezer {
    /// What happens to it.
    pub freezing: Freezing,
    /// The most water it can have and stay liquid, ml; `None` where it freezes without any.
    pub most_water_ml: Option<f64>,
}

impl Batch {
    /// Free room in the vessel, %, where the vessel is known.
    #[must_use]
    pub fn free_pct(&self) -> Option<f64> {
        let vessel = self.vessel_ml?;
        Some(100.0 * (vessel - self.vessel.volume_ml()) / vessel)
    }
}

/// Make a batch of a drink. Prices tell what packages are bought; without them the usual bottle is taken.
///
/// # Errors
/// When nothing can stand in a vessel, the vessel is too small, or what it is to be sized by is not in it.
pub fn batch(worked: &ComputedDrink, ask: &Ask, prices: &Prices) -> Result<Batch, BatchError> {
    let built = &worked.built;
    let technique = built.relation.as_ref().map(|(technique, _)| *technique);
    let serving = ask.serving.unwrap_or_else(|| usual_serving(worked, ask));
    let mut lines = lines::lines(worked, ask, serving);
    let melt_g = built.water_g;
    let share = match serving {
        Serving::Ready => 1.0,
        Serving::OverIce => OVER_ICE_SHARE,
        Serving::ToOrder => 0.0,
    };
    let one: Liquid = lines
        .iter()
        .filter(|l| l.when == When::Batch)
        .fold(Liquid::NOTHING, |sum, line| sum.plus(&line.each));
    if one.mass_g() <= 0.0 {
        return Err(BatchError::NothingToBatch(worked.name().to_owned()));
    }
    let one_watered = one.plus(&Liquid::water_g(share * melt_g).unwrap_or_default());
    let head_pct = ask.head_pct.unwrap_or_else(|| usual_head_pct(ask));
    let (factor, serves, vessel_ml) = sized(worked, ask, &lines, &one_watered, head_pct)?;
    let litres = factor * one_watered.volume_ml() / 1000.0;
    if litres > MOST_LITRES {
        return Err(BatchError::TooLarge { litres });
    }
    lines.iter_mut().for_each(|line| line.scale(factor));
    let water_ml = lines::to_a_jug(water_ml(share * melt_g * factor));
    let dry = lines
        .iter()
        .filter(|l| l.when == When::Batch)
        .fold(Liquid::NOTHING, |sum, line| sum.plus(&line.all));
    let vessel = dry.plus(&Liquid::water_g(water_g(water_ml)).unwrap_or_default());
    let of_a_serve = vessel.times(1.0 / factor).unwrap_or_default();
    let to_come_g = (1.0 - share) * melt_g;
    let at_service = lines
        .iter()
        .filter(|l| l.when == When::Service)
        .fold(Liquid::NOTHING, |sum, line| sum.plus(&line.each));
    let glass = of_a_serve
        .plus(&at_service)
        .plus(&Liquid::water_g(to_come_g).unwrap_or_default());
    let counted = |liquid: &Liquid| worked.resolved.standard_drink.count(liquid.ethanol_g());
    let figures =
        |liquid: &Liquid, water: f64| Figures::of(liquid, water, liquid.volume_ml() - water, counted(liquid));
    let perishables = lines::perishables(worked, &lines, &vessel);
    let freezer = ask.freezer_c.and_then(|c| in_freezer(&dry, &vessel, c));
    let volume = vessel.volume_ml();
    let mut batch = Batch {
        drink: worked.name().to_owned(),
        book: worked.found_in.book.clone(),
        serves,
        serves_exact: factor,
        serving,
        technique,
        vessel_ml,
        head_pct,
        overflow_ml: vessel_ml.map_or(0.0, |v| (volume - v).max(0.0)),
        water_ml,
        water_to_come_ml: crate::melt::water_ml(to_come_g),
        pour_ml: of_a_serve.volume_ml(),
        in_vessel: figures(&vessel, water_ml),
        in_glass: figures(&glass, water_ml / factor + crate::melt::water_ml(to_come_g)),
        single: figures(&built.glass, crate::melt::water_ml(melt_g)),
        remarks: Vec::new(),
        holding: crate::prepare::usual(&vessel, perishables),
        keeps_as: lines::keeps_as(worked, &lines),
        freezer,
        keg: ask.keg,
        shopping: Shopping::default(),
        ice_g: f64::from(serves) * ice::ice_g(worked, serving),
        order: Vec::new(),
        cautions: Vec::new(),
        allergens_eu: worked.resolved.allergens_eu.clone(),
        allergens_us: worked.resolved.allergens_us.clone(),
        garnishes: worked.drink.garnishes().map(str::to_owned).collect(),
        assumptions: worked.resolved.assumptions.clone(),
        vessel,
        lines,
    };
    batch.shopping = shopping::shopping([(worked, &batch)], prices);
    batch.remarks = remarks::remarks(worked, ask, &batch);
    batch.cautions = remarks::cautions(worked, ask, &batch, perishables);
    batch.order = order::order(worked, ask, &batch);
    batch
        .assumptions
        .extend(batch.shopping.assumptions.iter().cloned());
    if serving == Serving::OverIce && melt_g > 0.0 {
        batch.assumptions.push(Assumption::new(
            "water for a batch that goes over ice",
            "three quarters of the melt: a magazine has 15 % in the place of 20 %, READ",
            Remedy::OtherServing,
        ));
    }
    Ok(batch)
}

/// The share of a vessel that stays empty where nobody says, %.
fn usual_head_pct(ask: &Ask) -> f64 {
    if ask.keg {
        KEG_HEAD_PCT
    } else if ask.freezer_c.is_some() {
        FREEZER_HEAD_PCT
    } else {
        HEAD_PCT
    }
}

/// The factor a drink is scaled by, whole serves, and the vessel.
fn sized(
    worked: &ComputedDrink,
    ask: &Ask,
    lines: &[BatchLine],
    one: &Liquid,
    head_pct: f64,
) -> Result<(f64, u32, Option<f64>), BatchError> {
    // What is whole within rounding is whole.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "bounded just before"
    )]
    let whole = |serves: f64| (serves + 1e-9).clamp(0.0, 1e9) as u32;
    match &ask.size {
        Size::Serves(serves) => Ok((f64::from(*serves), *serves, ask.vessel_ml)),
        Size::Into(vessel_ml) => {
            let serve_ml = one.volume_ml();
            let serves = whole(vessel_ml * (1.0 - head_pct / 100.0) / serve_ml);
            if serves == 0 {
                return Err(BatchError::TooSmall {
                    vessel_ml: *vessel_ml,
                    serve_ml,
                    head_pct,
                });
            }
            Ok((f64::from(serves), serves, Some(*vessel_ml)))
        }
        Size::FromBottle { ml, of } => {
            let in_batch = || lines.iter().filter(|l| l.when == When::Batch && l.each_ml > 0.0);
            let base = match of {
                None => in_batch()
                    .max_by(|a, b| a.each.ethanol_g().total_cmp(&b.each.ethanol_g()))
                    .filter(|l| l.each.ethanol_g() > 0.0)
                    .or_else(|| in_batch().max_by(|a, b| a.each_ml.total_cmp(&b.each_ml))),
                Some(name) => {
                    // By any name it goes by.
                    let meant = worked
                        .context
                        .stock
                        .usual(name)
                        .map_or(name.as_str(), |i| i.name.as_str());
                    in_batch().find(|l| lines::same(&l.ingredient, meant) || lines::same(&l.ingredient, name))
                }
            };
            let Some(base) = base else {
                let there: Vec<String> = in_batch().map(|l| l.ingredient.clone()).collect();
                let name = of.clone().unwrap_or_default();
                let near = nearest(&name, there.iter().map(|n| (n.as_str(), n.as_str())), 3);
                return Err(BatchError::NoSuchBase { name, there, near });
            };
            // The same bottle may be poured twice in one drink.
            let each: f64 = in_batch()
                .filter(|l| l.ingredient == base.ingredient)
                .map(|l| l.each_ml)
                .sum();
            let factor = ml / each;
            Ok((factor, whole(factor), ask.vessel_ml))
        }
    }
}

/// What suits the method: what is stirred, or has its water given, is poured ready; the rest is worked to order.
fn usual_serving(worked: &ComputedDrink, ask: &Ask) -> Serving {
    let built = &worked.built;
    let stirred = matches!(built.relation, Some((Technique::Stir, _)));
    let given = built.relation.is_none() && built.water_g > 0.0;
    if ask.keg || ask.freezer_c.is_some() || stirred || given || built.water_g <= 0.0 {
        Serving::Ready
    } else {
        Serving::ToOrder
    }
}

/// What a freezer does to a batch, and how much water it could have and stay liquid.
fn in_freezer(dry: &Liquid, vessel: &Liquid, freezer_c: f64) -> Option<InFreezer> {
    let freezing = freezer(vessel, freezer_c)?;
    let onset = |water: f64| {
        freezing::point_c(&dry.plus(&Liquid::water_g(water).unwrap_or_default()))
            .unwrap_or(freezing::LOWEST_C)
    };
    let most_water_ml = (onset(0.0) <= freezer_c).then(|| {
        let most = crate::liquid::rising_root(0.0, 20.0 * dry.mass_g(), |water| onset(water) - freezer_c);
        water_ml(most)
    });
    Some(InFreezer {
        freezing,
        most_water_ml,
    })
}
