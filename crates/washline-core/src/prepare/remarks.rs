//! What is said about a preparation: taken for granted, or to look at.

use super::caution::Ways;
use super::plan::{Poured, Resolution, is_fat, is_steeped};
use super::walk::{Action, CURD_PROTEIN, Joins, Open, Plan, Produced};
use super::{Made, Perishables, Warning, compose, usual};
use crate::ingredient::{Basis, Origin, Stock};
use crate::liquid::{Component, sucrose};
use crate::names::key;
use crate::resolve::{ResolvedStep, rounded};
use crate::spec::{Assumption, Drink, Keeping, Making, Prepare, Process, Step, Yield};

pub(super) fn ways(
    preparation: &Drink,
    resolution: &Resolution<'_>,
    plan: &Plan,
    produced: &Produced,
) -> Ways {
    let processes = || {
        preparation.lines().filter_map(|l| match &l.step {
            Step::Prepare(p) => Some(p),
            _ => None,
        })
    };
    let last_work = resolution.resolved.steps.iter().rposition(|step| match step {
        ResolvedStep::Work(_) => true,
        ResolvedStep::Prepare(p) => {
            matches!(p.process, Process::Heat | Process::Boil | Process::Reduce)
        }
        _ => false,
    });
    let still_fizzes = resolution
        .pours()
        .any(|p| p.pour.carbonated && last_work.is_none_or(|work| p.at > work));
    let steeped = resolution.ingredients().any(|i| is_steeped(i) && !is_fat(i));
    Ways {
        infused: steeped,
        fat: resolution.ingredients().any(is_fat),
        curdled: produced.curds_g > 0.0,
        carbonated: still_fizzes || processes().any(|p| p.process == Process::Carbonate),
        ferments: processes().any(|p| p.process == Process::Ferment),
        hot_alcohol: plan.actions.iter().any(|d| matches!(d, Action::Heat { .. }))
            && resolution
                .pours()
                .any(|p| p.pour.some().abv_pct().unwrap_or(0.0) > 15.0),
    }
}

/// How near what dissolves counts as saturated, g per 100 g: sugar from a bag is 99.8 % sucrose, a scale is off a little.
const NEARLY_G_PER_100G: f64 = 0.3;
/// Room and fridge, °C, for what dissolves.
const ROOM_C: f64 = 20.0;
const FRIDGE_C: f64 = 4.0;

/// What is said about a preparation: taken for granted, or to look at.
pub(super) struct Telling<'a> {
    pub preparation: &'a Drink,
    pub making: &'a Making,
    pub resolution: &'a Resolution<'a>,
    pub plan: &'a Plan,
    pub open: Open,
    pub produced: &'a Produced,
    pub made: &'a [(usize, Made)],
    pub assumptions: Vec<Assumption>,
    pub warnings: Vec<Warning>,
}

impl Telling<'_> {
    fn assume(
        &mut self,
        about: impl Into<String>,
        taken: impl Into<String>,
        change: impl Into<crate::tables::Remedy>,
    ) {
        self.assumptions.push(Assumption::new(about, taken, change));
    }

    fn processes(&self) -> impl Iterator<Item = &Prepare> {
        self.preparation.lines().filter_map(|l| match &l.step {
            Step::Prepare(p) => Some(p),
            _ => None,
        })
    }

    fn has(&self, process: Process) -> bool {
        self.processes().any(|p| p.process == process)
    }

    /// The name of what it makes, poured into it.
    /// Say everything that there is to be said of it.
    pub fn tell(&mut self, stock: &Stock) {
        self.own_name(stock);
        self.solids();
        self.heat();
        self.clarifying();
        self.gas();
        self.hot_volumes();
        self.yields();
        self.solubility();
    }

    fn own_name(&mut self, stock: &Stock) {
        let name = &self.preparation.name;
        let poured = self
            .resolution
            .pours()
            .any(|p| key(&p.pour.ingredient) == key(name));
        if poured && let Some(other) = stock.get(name) {
            let whose = match other.origin {
                Origin::Library => "that of the library",
                Origin::House => "that of the house",
                Origin::Book => "that defined in the book",
            };
            self.assume(
                format!("{} in {name}", other.name),
                format!("{whose}: a preparation is not made of itself"),
                "give the preparation a name of its own",
            );
        }
    }

    /// What steeped things give.
    fn solids(&mut self) {
        let strained = self
            .plan
            .actions
            .iter()
            .any(|d| matches!(d, Action::Strain | Action::Clarify));
        let mut said: Vec<Assumption> = Vec::new();
        let mut held_back = 0.0;
        for poured in self.resolution.pours() {
            let Poured {
                part,
                pour,
                ingredient,
                ..
            } = poured;
            let Joins::WhenPressed {
                given_share,
                pressed_share,
                stays,
            } = self.plan.parts[part].joins
            else {
                continue;
            };
            let name = &pour.ingredient;
            let fat = ingredient.is_some_and(is_fat);
            held_back += pour.usual().mass_g;
            let change = format!("`gives: {name} 10 %`, or a measured `yield:`");
            let taken = if given_share.is_some() {
                continue;
            } else if !self.produced.joined[part] && fat {
                "lifted off again: it gives its flavour, and what of it stays is not counted".to_owned()
            } else if !self.produced.joined[part] {
                "steeped: it gives its flavour, and nothing of it is counted".to_owned()
            } else if self.open == Open::Extraction && self.produced.extraction > 0.0 {
                format!(
                    "{} % of it has joined, as the measured yield says",
                    rounded(100.0 * self.produced.extraction)
                )
            } else if stays && !strained {
                "stays in it: all of it is counted as dissolved".to_owned()
            } else {
                format!("pressed: {} % of it joins", rounded(100.0 * pressed_share))
            };
            said.push(Assumption::new(name.clone(), taken, change));
        }
        self.assumptions.extend(said);
        let silent = self.making.strain_loss.is_none() && self.making.yields.is_none();
        if held_back > 0.0 && strained && silent {
            self.assume(
                "what the solids keep back",
                format!(
                    "{} g of them are strained off; none of the liquid is counted as lost",
                    rounded(held_back)
                ),
                "`strain loss:` or a measured `yield:`",
            );
        }
    }

    /// What heat drives off.
    fn heat(&mut self) {
        let heated = self.plan.actions.iter().any(|d| matches!(d, Action::Heat { .. }));
        if !heated {
            return;
        }
        if self.produced.evaporated_g <= 0.0 && self.making.evaporates.is_none() && self.plan.boils() {
            self.assume(
                "boiling",
                "no water is counted as lost",
                "`evaporates: 5 %` or a measured `yield:`",
            );
        }
        let alcoholic = self.resolution.pours().any(|p| p.pour.some().ethanol_g() > 0.0);
        if !alcoholic || self.making.alcohol_left_pct.is_some() {
            return;
        }
        match self.produced.alcohol_left {
            Some(left) => self.assume(
                "alcohol in what is boiled",
                format!(
                    "{} % of it is left (USDA Table of Nutrient Retention Factors, Release 6, 2007, for a pot that is simmered; \
                     secondary transcription)",
                    rounded(100.0 * left)
                ),
                "`alcohol left: 60 %`",
            ),
            None => self.assume(
                "alcohol in what is warmed",
                "none is counted as lost: kept covered, or poured in after the heat",
                "`alcohol left: 95 %`",
            ),
        }
    }

    fn clarifying(&mut self) {
        if !self.has(Process::Clarify) {
            return;
        }
        if self.produced.curds_g > 0.0 {
            self.assume(
                "the curd",
                format!(
                    "takes all of the fat and {:.0} % of the protein with it; the acid it takes is not counted: from memory",
                    100.0 * CURD_PROTEIN
                ),
                "a measured `yield:`; or titrate it and write its figures (`is: an ingredient`)",
            );
        } else {
            self.assume(
                "what clarifying takes out",
                "nothing is counted: pulp and haze weigh little",
                "a measured `yield:`",
            );
        }
    }

    fn gas(&mut self) {
        let fizz: Vec<&str> = self
            .resolution
            .pours()
            .filter(|p| p.pour.carbonated)
            .map(|p| p.pour.ingredient.as_str())
            .collect();
        let flat = !ways(self.preparation, self.resolution, self.plan, self.produced).carbonated;
        if !fizz.is_empty() && flat {
            let about = fizz.join(", ");
            self.assume(about, "its gas is gone in what it makes", "`carbonated: yes`");
        }
        if self.has(Process::Ferment) {
            self.warnings.push(Warning::Fermenting);
        }
    }

    /// A cup of boiling water weighs less than a cup of cold water.
    fn hot_volumes(&mut self) {
        let hot: Vec<String> = self
            .resolution
            .pours()
            .filter(|Poured { pour, .. }| {
                let name = key(pour.typed_name());
                name.starts_with("hot ") || name.starts_with("boiling ")
            })
            .filter(|Poured { pour, .. }| !pour.written.ends_with(" g") && !pour.written.ends_with(" kg"))
            .map(|p| p.pour.written.clone())
            .collect();
        for written in hot {
            self.assume(
                format!("{written} measured hot"),
                "weighed as at 20 °C; boiling water weighs 4 % less by volume",
                "write grams",
            );
        }
    }

    fn yields(&mut self) {
        let produced = self.produced;
        match self.open {
            Open::Nothing => {}
            Open::StrainLoss => {
                if self.making.strain_loss.is_none() {
                    self.assume(
                        "the yield",
                        format!(
                            "the missing {} ml are counted as kept back by sieve, pot and solids, its composition the same",
                            rounded(produced.strained_ml)
                        ),
                        "`evaporates:` where it is water that left",
                    );
                }
            }
            Open::Evaporation => self.assume(
                "the yield",
                format!(
                    "the missing {} g are counted as water that has boiled off",
                    rounded(produced.evaporated_g)
                ),
                "`strain loss:` where it was kept back, or `evaporates:`",
            ),
            Open::Extraction => {}
            Open::Filling => self.assume(
                "filling up",
                format!("{} ml, to the yield that is written", rounded(produced.filled_ml)),
                "write its volume",
            ),
        }
        if self.open == Open::StrainLoss
            && let Some(stated) = self.stated_strain_ml()
            && (stated - produced.strained_ml).abs()
                > 0.02 * (produced.liquid.volume_ml() + produced.strained_ml)
        {
            self.warnings.push(Warning::LossesDisagree {
                stated_ml: stated,
                measured_ml: produced.strained_ml,
            });
        }
        let (measured, computed, unit) = match self.making.yields {
            Some(Yield::Volume(ml)) => (ml.to_f64(), produced.liquid.volume_ml(), "ml"),
            Some(Yield::Mass(g)) => (g.to_f64(), produced.liquid.mass_g(), "g"),
            None => return,
        };
        if self.open == Open::Nothing && measured > 1.005 * computed {
            self.warnings.push(Warning::YieldsMore {
                measured,
                computed,
                unit: unit.to_owned(),
            });
        }
    }

    fn stated_strain_ml(&self) -> Option<f64> {
        let before = self.produced.liquid.volume_ml() + self.produced.strained_ml;
        self.making.strain_loss.map(|loss| match loss {
            crate::spec::Loss::Share(share) => share.to_f64() / 100.0 * before,
            crate::spec::Loss::Volume(ml) => ml.to_f64(),
            crate::spec::Loss::Mass(g) => g.to_f64() / self.produced.liquid.density_g_per_ml().unwrap_or(1.0),
        })
    }

    /// Sucrose against what dissolves of it, where nothing else holds crystals back.
    fn solubility(&mut self) {
        let liquid = &self.produced.liquid;
        let sucrose = liquid.grams(Component::Sucrose);
        let others = [
            Component::Glucose,
            Component::Fructose,
            Component::Maltose,
            Component::OtherCarbohydrate,
        ]
        .into_iter()
        .map(|c| liquid.grams(c))
        .sum::<f64>();
        let water = liquid.grams(Component::Water);
        if compose::basis(liquid) == Basis::Mass || sucrose <= 0.0 || water <= 0.0 || others > 0.1 * sucrose {
            return;
        }
        let has = 100.0 * sucrose / (sucrose + water);
        let room = sucrose::saturated_g_per_100g(ROOM_C);
        let cold = sucrose::saturated_g_per_100g(FRIDGE_C);
        if has >= room - NEARLY_G_PER_100G {
            self.warnings.push(Warning::Saturated {
                sucrose_g_per_100g: has,
                dissolves_g_per_100g: room,
                dissolves_cold_g_per_100g: cold,
            });
        } else if has > cold + 0.05 {
            self.warnings.push(Warning::CrystallisesCold {
                sucrose_g_per_100g: has,
                dissolves_cold_g_per_100g: cold,
            });
        }
    }

    /// What of it spoils. What a preparation in it holds, it holds.
    pub fn perishables(&self) -> Perishables {
        let volume = self.produced.liquid.volume_ml().max(f64::MIN_POSITIVE);
        let mut holds = Perishables::default();
        for Poured { pour, ingredient, .. } in self.resolution.pours() {
            let Some(ingredient) = ingredient else { continue };
            let a_part = pour.usual().volume_ml > 0.02 * volume || pour.fills();
            match self
                .made
                .iter()
                .find(|(_, m)| m.ingredient.name == ingredient.name)
            {
                Some((_, made)) => holds.join(made.perishables, a_part),
                None => holds.take_in(ingredient, a_part, !self.plan.boils()),
            }
        }
        // The curd takes with it what spoils first.
        holds.dairy &= self.produced.curds_g <= 0.0;
        holds
    }

    /// How long it keeps, and what there is to say about that.
    pub fn keeping(&mut self, perishables: Perishables) -> (Option<Keeping>, Option<String>) {
        let mut shortest: Option<(&str, &Keeping)> = None;
        for Poured { pour, .. } in self.resolution.pours() {
            let part = self
                .made
                .iter()
                .find(|(_, m)| m.ingredient.name == pour.ingredient);
            let keeps = part.and_then(|(_, m)| m.keeps.as_ref().map(|k| (m.name(), k)));
            if let Some((name, keeps)) = keeps
                && shortest.is_none_or(|(_, known)| keeps.hours < known.hours)
            {
                shortest = Some((name, keeps));
            }
        }
        match (&self.making.keeps, shortest) {
            (Some(own), part) => {
                if let Some((part, keeps)) = part.filter(|(_, k)| k.hours < own.hours) {
                    self.warnings.push(Warning::OutlivesPart {
                        keeps: own.words.clone(),
                        part: part.to_owned(),
                        part_keeps: keeps.words.clone(),
                    });
                }
                (Some(own.clone()), None)
            }
            (None, Some((part, keeps))) => (Some(keeps.clone()), Some(part.to_owned())),
            (None, None) => {
                let usual = usual(&self.produced.liquid, perishables);
                self.warnings.push(Warning::KeepingNotStated {
                    usual: usual.words.to_owned(),
                    because: usual.because.to_owned(),
                    source: usual.source.to_owned(),
                });
                (None, None)
            }
        }
    }
}
