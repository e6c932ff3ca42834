//! The walk through the steps of a preparation: what joins, what leaves, what is there in the end.
//!
//! Masses add. Heat drives off water and alcohol, a sieve keeps back solids and some of the liquid as it is. Where
//! the writer measured what there was in the end, the loss that was not said is what makes the figures meet.

use std::ops::{Index, IndexMut};

use crate::liquid::alcoholometry::density_20c_kg_per_m3;
use crate::liquid::{Component, Liquid, rising_root};
use crate::spec::{Loss, Making, Yield};

/// Something put into a preparation.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// What it brings: of a solid, once it is pressed.
    pub liquid: Liquid,
    /// How it joins.
    pub joins: Joins,
    /// Mass put in, g.
    pub mass_g: f64,
}

/// Which part of a preparation: its pours in working order.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct PartId(usize);

impl PartId {
    pub const FIRST: PartId = PartId(0);

    /// This one; the next stands here after.
    pub fn then(&mut self) -> PartId {
        let this = *self;
        self.0 += 1;
        this
    }
}

/// One thing for each part of a preparation.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct OfParts<T>(Vec<T>);

impl<T> OfParts<T> {
    fn map<U>(&self, of: impl Fn(&T) -> U) -> OfParts<U> {
        OfParts(self.0.iter().map(of).collect())
    }
}

/// From each part with its own, the first part first.
impl<T> FromIterator<(PartId, T)> for OfParts<T> {
    fn from_iter<I: IntoIterator<Item = (PartId, T)>>(all: I) -> OfParts<T> {
        let mut next = PartId::FIRST;
        let in_order = all.into_iter().map(|(part, of)| {
            assert_eq!(
                part,
                next.then(),
                "the parts of a preparation, each once and in order"
            );
            of
        });
        OfParts(in_order.collect())
    }
}

impl<T> Index<PartId> for OfParts<T> {
    type Output = T;

    fn index(&self, part: PartId) -> &T {
        &self.0[part.0]
    }
}

impl<T> IndexMut<PartId> for OfParts<T> {
    fn index_mut(&mut self, part: PartId) -> &mut T {
        &mut self.0[part.0]
    }
}

/// How something joins the liquid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Joins {
    /// As soon as it is in.
    AtOnce,
    /// A solid: once pressed; a share of it where the writer says so; else it gives its flavour alone.
    WhenPressed {
        /// What [`Part::liquid`] is a share of the whole of; 0 where nothing of it ever joins.
        pressed_share: f64,
        /// The share that the writer says it gives.
        given_share: Option<f64>,
        /// Whether it stays in where nothing strains it out: a powder.
        stays: bool,
    },
    /// It fills up to the yield.
    Fills,
}

/// What is done, in order.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Action {
    Pour(PartId),
    Press,
    Heat { boils: bool, minutes: Option<f64> },
    Strain,
    Clarify,
    Water(f64),
}

/// A preparation as the walk sees it.
#[derive(Clone, Debug)]
pub(super) struct Plan {
    pub parts: OfParts<Part>,
    pub actions: Vec<Action>,
    pub evaporates: Option<Loss>,
    pub strain_loss: Option<Loss>,
    pub yields: Option<Yield>,
    pub alcohol_left: Option<f64>,
    /// Whether dairy is in it, whose curds clarifying takes out.
    pub milk: bool,
}

impl Plan {
    pub fn of(parts: OfParts<Part>, actions: Vec<Action>, making: &Making, milk: bool) -> Plan {
        Plan {
            parts,
            actions,
            evaporates: making.evaporates,
            strain_loss: making.strain_loss,
            yields: making.yields,
            alcohol_left: making.alcohol_left_pct.map(|a| a.to_f64() / 100.0),
            milk,
        }
    }
}

/// What is left open until the measured yield closes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Open {
    /// Nothing: losses are as stated.
    Nothing,
    /// How much the sieve keeps back.
    StrainLoss,
    /// How much water the heat drives off.
    Evaporation,
    /// How much the solids give.
    Extraction,
    /// How much fills it up.
    Filling,
}

/// What produced of a walk.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Produced {
    /// What is there in the end.
    pub liquid: Liquid,
    /// Water driven off, g.
    pub evaporated_g: f64,
    /// Ethanol driven off, g.
    pub alcohol_lost_g: f64,
    /// Share of the alcohol that heat left, where there was any to lose.
    pub alcohol_left: Option<f64>,
    /// Liquid kept back by the sieve, ml.
    pub strained_ml: f64,
    /// Solids taken out, g: what of them has not joined.
    pub solids_g: f64,
    /// Curds taken out, g of fat and protein.
    pub curds_g: f64,
    /// What filled it up, ml.
    pub filled_ml: f64,
    /// Solids that were pressed or gave a share: whether each part did join.
    pub joined: OfParts<bool>,
    /// Share of the solids that the yield says has joined.
    pub extraction: f64,
}

impl Produced {
    /// Take in what a part gives; what is left of it is taken out.
    fn takes(&mut self, i: PartId, part: &Part, given: &Liquid) {
        self.joined[i] = given.mass_g() > 0.0;
        self.liquid = self.liquid.plus(given);
        self.solids_g += part.mass_g - given.mass_g();
    }

    /// Milk that is curdled and strained leaves its fat and most of its protein.
    fn leaves_curds(&mut self) {
        let (fat, protein) = (self.liquid.fat_g(), self.liquid.grams(Component::Protein));
        let curds = [
            (Component::Fat, fat),
            (Component::Protein, CURD_PROTEIN * protein),
        ];
        self.liquid = without(&self.liquid, &curds);
        self.curds_g += curds.iter().map(|(_, g)| g).sum::<f64>();
    }
}

/// Why a preparation cannot be worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Problem {
    /// Evaporates more water than there is, g asked and g there.
    TooDry(f64, f64),
    /// A strain loss larger than the liquid, ml asked and ml there.
    NothingLeft(f64, f64),
    /// Yields more than goes in; the most there could be, in the unit of the yield.
    TooMuch(f64),
    /// Already fuller than the yield without what fills it up.
    Full(f64),
}

/// Water, g, that fills `ml`.
fn water_g(ml: f64) -> f64 {
    ml * density_20c_kg_per_m3(0.0) / 1000.0
}

/// The share of milk's protein that is casein and leaves with the curd: about four fifths, from memory.
pub(super) const CURD_PROTEIN: f64 = 0.8;

/// Share of the alcohol that is left after `minutes` at a simmer, the alcohol stirred in: USDA Table of Nutrient
/// Retention Factors, Release 6 (2007), secondary transcription. Between its times in a straight line; without a time
/// as it is where the pot is taken off once it boils.
pub(super) fn alcohol_left(minutes: f64) -> f64 {
    const TABLE: [(f64, f64); 7] = [
        (0.0, 0.85),
        (15.0, 0.40),
        (30.0, 0.35),
        (60.0, 0.25),
        (90.0, 0.20),
        (120.0, 0.10),
        (150.0, 0.05),
    ];
    for pair in TABLE.windows(2) {
        let ((from, first), (to, last)) = (pair[0], pair[1]);
        if minutes <= to {
            return first + (last - first) * (minutes - from).max(0.0) / (to - from);
        }
    }
    0.05
}

impl Plan {
    fn size(&self, liquid: &Liquid) -> f64 {
        match self.yields {
            Some(Yield::Mass(_)) => liquid.mass_g(),
            _ => liquid.volume_ml(),
        }
    }

    /// The measured yield in its own unit.
    fn target(&self) -> Option<f64> {
        self.yields.map(|y| match y {
            Yield::Volume(a) | Yield::Mass(a) => a.to_f64(),
        })
    }

    /// The last step at which something is strained.
    fn strains_at(&self) -> Option<usize> {
        self.actions
            .iter()
            .rposition(|d| matches!(d, Action::Strain | Action::Clarify))
    }

    fn heats_at(&self) -> Option<usize> {
        self.actions
            .iter()
            .rposition(|d| matches!(d, Action::Heat { .. }))
    }

    pub fn boils(&self) -> bool {
        self.actions
            .iter()
            .any(|d| matches!(d, Action::Heat { boils: true, .. }))
    }

    /// Walk through the steps. `set` is what is taken for the thing left open.
    fn walk(&self, open: Open, set: f64) -> Result<Produced, Problem> {
        let mut produced = Produced {
            liquid: Liquid::NOTHING,
            evaporated_g: 0.0,
            alcohol_lost_g: 0.0,
            alcohol_left: None,
            strained_ml: 0.0,
            solids_g: 0.0,
            curds_g: 0.0,
            filled_ml: 0.0,
            joined: self.parts.map(|_| false),
            extraction: if open == Open::Extraction { set } else { 0.0 },
        };
        let mut waiting: Vec<PartId> = Vec::new();
        let end = self.actions.len();
        let (strain, heat) = (self.strains_at().unwrap_or(end), self.heats_at());
        // Water leaves at the last heating; where none is written down, before what is strained.
        let evaporates_at = heat.unwrap_or(strain);
        // Alcohol leaves where it is stated at the same place, else at the last boil that it stands in.
        let alcohol_at = match self.alcohol_left {
            Some(_) => Some(evaporates_at),
            None => self
                .actions
                .iter()
                .rposition(|d| matches!(d, Action::Heat { boils: true, .. })),
        };
        let mut boiled_minutes = 0.0;
        for at in 0..=end {
            let action = self.actions.get(at).copied();
            match action {
                Some(Action::Pour(i)) => match self.parts[i].joins {
                    Joins::AtOnce => {
                        produced.liquid = produced.liquid.plus(&self.parts[i].liquid);
                        produced.joined[i] = true;
                    }
                    Joins::WhenPressed { .. } => waiting.push(i),
                    Joins::Fills if open == Open::Filling => {
                        produced.liquid = produced
                            .liquid
                            .plus(&self.parts[i].liquid.times(set).unwrap_or_default());
                        produced.filled_ml += set;
                        produced.joined[i] = true;
                    }
                    Joins::Fills => {}
                },
                Some(Action::Press) => {
                    for i in waiting.drain(..) {
                        produced.takes(i, &self.parts[i], &self.gives(i, true, 0.0));
                        produced.joined[i] = true;
                    }
                }
                Some(Action::Water(grams)) => {
                    produced.liquid = produced.liquid.plus(&Liquid::water_g(grams).unwrap_or_default());
                }
                Some(Action::Heat { boils, minutes }) => {
                    if boils && produced.liquid.ethanol_g() > 0.0 {
                        boiled_minutes += minutes.unwrap_or(0.0);
                    }
                }
                Some(Action::Strain | Action::Clarify) => {
                    for i in waiting.drain(..) {
                        let given = self.gives(i, false, produced.extraction);
                        produced.takes(i, &self.parts[i], &given);
                    }
                    if action == Some(Action::Clarify) && self.milk {
                        produced.leaves_curds();
                    }
                }
                None => {
                    for i in waiting.drain(..) {
                        self.left_in(i, &mut produced);
                    }
                }
            }
            if Some(at) == alcohol_at {
                self.drive_off_alcohol(&mut produced, boiled_minutes);
            }
            if at == evaporates_at {
                self.evaporate(&mut produced, open, set)?;
            }
            if at == strain {
                self.strain_off(&mut produced, open, set)?;
            }
        }
        Ok(produced)
    }

    /// What nothing strained out stays where it is a powder; the rest is fished out.
    fn left_in(&self, i: PartId, produced: &mut Produced) {
        let part = &self.parts[i];
        if let Joins::WhenPressed {
            stays: true,
            given_share: None,
            ..
        } = part.joins
        {
            produced.joined[i] = part.liquid.mass_g() > 0.0;
            produced.liquid = produced.liquid.plus(&part.liquid);
        } else {
            produced.takes(i, part, &self.gives(i, false, produced.extraction));
        }
    }

    /// Let the water go that is boiled away, or so much where that is what is asked.
    fn evaporate(&self, produced: &mut Produced, open: Open, set: f64) -> Result<(), Problem> {
        let there = produced.liquid.grams(Component::Water);
        let volume = produced.liquid.volume_ml();
        let grams = match (open, self.evaporates) {
            (Open::Evaporation, _) => set.min(there),
            (_, Some(Loss::Share(share))) => water_g(share.to_f64() / 100.0 * volume),
            (_, Some(Loss::Volume(ml))) => water_g(ml.to_f64()),
            (_, Some(Loss::Mass(grams))) => grams.to_f64(),
            (_, None) => 0.0,
        };
        if grams > there * (1.0 + 1e-9) {
            return Err(Problem::TooDry(grams, there));
        }
        produced.liquid = without(&produced.liquid, &[(Component::Water, grams)]);
        produced.evaporated_g += grams;
        Ok(())
    }

    /// Let go what stays in the strainer, or so much where that is what is asked.
    fn strain_off(&self, produced: &mut Produced, open: Open, set: f64) -> Result<(), Problem> {
        let volume = produced.liquid.volume_ml();
        let lost_ml = match (open, self.strain_loss) {
            (Open::StrainLoss, _) => set * volume,
            (_, Some(Loss::Share(share))) => share.to_f64() / 100.0 * volume,
            (_, Some(Loss::Volume(ml))) => ml.to_f64(),
            (_, Some(Loss::Mass(grams))) => {
                grams.to_f64() / produced.liquid.density_g_per_ml().unwrap_or(1.0)
            }
            (_, None) => 0.0,
        };
        if lost_ml > volume * (1.0 + 1e-9) {
            return Err(Problem::NothingLeft(lost_ml, volume));
        }
        let kept = if volume > 0.0 {
            (1.0 - lost_ml / volume).max(0.0)
        } else {
            1.0
        };
        produced.liquid = produced.liquid.times(kept).unwrap_or_default();
        produced.strained_ml = lost_ml;
        Ok(())
    }

    /// What a solid gives: pressed, by the share the writer says, or by what the yield says.
    fn gives(&self, part: PartId, pressed: bool, extraction: f64) -> Liquid {
        let part = &self.parts[part];
        let Joins::WhenPressed {
            pressed_share,
            given_share,
            ..
        } = part.joins
        else {
            return part.liquid;
        };
        let share = match (given_share, pressed) {
            (Some(given), _) => given,
            (None, true) => return part.liquid,
            (None, false) => extraction,
        };
        if pressed_share > 0.0 {
            part.liquid.times(share / pressed_share).unwrap_or_default()
        } else {
            Liquid::NOTHING
        }
    }

    /// What of a part has joined, in the end.
    pub fn joined(&self, part: PartId, produced: &Produced) -> Liquid {
        let pressed = self
            .actions
            .iter()
            .rposition(|d| *d == Action::Press)
            .is_some_and(|press| {
                self.actions[..press].contains(&Action::Pour(part))
                    && !self.actions[..press]
                        .iter()
                        .skip_while(|d| **d != Action::Pour(part))
                        .any(|d| matches!(d, Action::Strain | Action::Clarify))
            });
        let stays = matches!(
            self.parts[part].joins,
            Joins::WhenPressed {
                stays: true,
                given_share: None,
                ..
            }
        );
        if stays && self.strains_at().is_none() {
            return self.parts[part].liquid;
        }
        self.gives(part, pressed, produced.extraction)
    }

    fn drive_off_alcohol(&self, produced: &mut Produced, boiled_minutes: f64) {
        let there = produced.liquid.ethanol_g();
        let left = self.alcohol_left.unwrap_or_else(|| alcohol_left(boiled_minutes));
        if there > 0.0 {
            let lost = there * (1.0 - left);
            produced.liquid = without(&produced.liquid, &[(Component::Ethanol, lost)]);
            produced.alcohol_lost_g += lost;
            produced.alcohol_left = Some(left);
        }
    }

    /// What is left open, as the steps and the yield say.
    pub fn left_open(&self) -> Result<Open, Problem> {
        let Some(target) = self.target() else {
            return Ok(Open::Nothing);
        };
        if self.parts.0.iter().any(|p| p.joins == Joins::Fills) {
            return Ok(Open::Filling);
        }
        let stated = self.size(&self.walk(Open::Nothing, 0.0)?.liquid);
        if (stated - target).abs() <= MEASURED_WITHIN * target {
            return Ok(Open::Nothing);
        }
        if target > stated {
            let most = self.size(&self.walk(Open::Extraction, 1.0)?.liquid);
            return if most >= target {
                Ok(Open::Extraction)
            } else if target <= stated * (1.0 + MORE_THAN_GOES_IN) {
                Ok(Open::Nothing)
            } else {
                Err(Problem::TooMuch(most.max(stated)))
            };
        }
        let heated = self.heats_at().is_some();
        Ok(match (self.evaporates, self.strain_loss) {
            (None, None) if self.boils() => Open::Evaporation,
            (None, Some(_)) if heated => Open::Evaporation,
            _ => Open::StrainLoss,
        })
    }

    /// What it comes to, with the parts bringing `liquids` in place of their own where there are some.
    pub fn come_to(&self, open: Open) -> Result<Produced, Problem> {
        let (Some(target), false) = (self.target(), open == Open::Nothing) else {
            return self.walk(Open::Nothing, 0.0);
        };
        let size = |set: f64| self.walk(open, set).map(|produced| self.size(&produced.liquid));
        let (high, rising) = match open {
            Open::StrainLoss => (1.0, false),
            Open::Evaporation => (
                self.walk(Open::Nothing, 0.0)?.liquid.grams(Component::Water),
                false,
            ),
            Open::Extraction => (1.0, true),
            Open::Filling | Open::Nothing => (10.0 * target, true),
        };
        if open == Open::Filling {
            let without = size(0.0)?;
            if without > target * (1.0 + MEASURED_WITHIN) {
                return Err(Problem::Full(without));
            }
        }
        let least = size(if rising { 0.0 } else { high })?;
        let most = size(if rising { high } else { 0.0 })?;
        if most < target * (1.0 - 1e-9) {
            return Err(Problem::TooMuch(most));
        }
        if least > target && open == Open::Evaporation {
            return Err(Problem::TooDry(water_g(most - target), high));
        }
        let set = rising_root(0.0, high, |set| {
            let size = size(set).unwrap_or(target);
            if rising { size - target } else { target - size }
        });
        self.walk(open, set)
    }
}

/// How far a measured yield may be from what the figures say before it counts as another figure: half a percent.
const MEASURED_WITHIN: f64 = 0.005;
/// How far above everything that goes in a measured yield may be for its measuring: 3 %.
const MORE_THAN_GOES_IN: f64 = 0.03;

/// A liquid with less of some components, never less than none.
fn without(liquid: &Liquid, less: &[(Component, f64)]) -> Liquid {
    let parts: Vec<(Component, f64)> = liquid
        .parts()
        .map(|(component, grams)| {
            let gone = less
                .iter()
                .find(|(c, _)| *c == component)
                .map_or(0.0, |(_, g)| *g);
            (component, (grams - gone).max(0.0))
        })
        .collect();
    Liquid::of(&parts).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Amount;
    use approx::assert_abs_diff_eq;

    fn part(parts: &[(Component, f64)], joins: Joins) -> Part {
        let liquid = Liquid::of(parts).unwrap();
        Part {
            mass_g: liquid.mass_g(),
            liquid,
            joins,
        }
    }

    fn syrup(actions: Vec<Action>) -> Plan {
        Plan {
            parts: OfParts(vec![
                part(&[(Component::Sucrose, 500.0)], Joins::AtOnce),
                part(&[(Component::Water, 500.0)], Joins::AtOnce),
            ]),
            actions,
            evaporates: None,
            strain_loss: None,
            yields: None,
            alcohol_left: None,
            milk: false,
        }
    }

    #[test]
    fn the_retention_table_is_met_at_its_times_and_falls_between() {
        for (minutes, left) in [
            (0.0, 0.85),
            (15.0, 0.40),
            (60.0, 0.25),
            (150.0, 0.05),
            (600.0, 0.05),
        ] {
            assert_abs_diff_eq!(alcohol_left(minutes), left, epsilon = 1e-12);
        }
        assert!(alcohol_left(7.0) < 0.85 && alcohol_left(7.0) > 0.40);
    }

    #[test]
    fn a_measured_yield_closes_the_loss_that_was_not_said() {
        let cold = vec![Action::Pour(PartId(0)), Action::Pour(PartId(1)), Action::Strain];
        let boiled = vec![
            Action::Pour(PartId(0)),
            Action::Pour(PartId(1)),
            Action::Heat {
                boils: true,
                minutes: Some(10.0),
            },
            Action::Strain,
        ];
        let yields = Some(Yield::Volume(Amount::raw(750, 1)));
        let mut plan = Plan {
            yields,
            ..syrup(cold)
        };
        let produced = plan.come_to(plan.left_open().unwrap()).unwrap();
        assert_abs_diff_eq!(produced.liquid.volume_ml(), 750.0, epsilon = 1e-6);
        // Strained off: the composition is as it was.
        assert_abs_diff_eq!(produced.liquid.brix().unwrap(), 50.0, epsilon = 1e-9);
        plan = Plan {
            yields,
            ..syrup(boiled)
        };
        let produced = plan.come_to(plan.left_open().unwrap()).unwrap();
        assert_abs_diff_eq!(produced.liquid.volume_ml(), 750.0, epsilon = 1e-6);
        // Boiled off: all the sugar is in the 750 ml.
        assert_abs_diff_eq!(produced.liquid.sugar_g(), 500.0, epsilon = 1e-9);
        assert!(produced.liquid.brix().unwrap() > 53.0);
    }

    #[test]
    fn more_than_goes_in_is_refused() {
        let plan = Plan {
            yields: Some(Yield::Volume(Amount::raw(900, 1))),
            ..syrup(vec![Action::Pour(PartId(0)), Action::Pour(PartId(1))])
        };
        assert!(matches!(plan.left_open(), Err(Problem::TooMuch(most)) if (most - 813.2).abs() < 0.5));
        let dry = Plan {
            evaporates: Some(Loss::Mass(Amount::raw(501, 1))),
            ..syrup(vec![Action::Pour(PartId(0)), Action::Pour(PartId(1))])
        };
        assert!(matches!(
            dry.left_open().and_then(|open| dry.come_to(open)),
            Err(Problem::TooDry(..))
        ));
    }
}
