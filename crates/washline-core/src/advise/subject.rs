//! A drink to be changed, and what may be changed of it.

use crate::balance::Ranges;
use crate::build::Built;
use crate::computed::ComputedDrink;
use crate::ingredient::{Found, Stock};
use crate::liquid::Liquid;
use crate::measure::{Amount, Unit};
use crate::names::{key, nearest};
use crate::resolve::{Resolved, ResolvedPour, ResolvedStep, resolve};
use crate::spec::{Drink, PourAmount, PourMethod, Settings, Source, Step, Technique, read_under};
use crate::tables::IngredientKind;

use super::roles::Roles;
use super::steps;

/// Why what is named cannot be poured.
pub(super) const NO_NAME: &str = "it is no name of an ingredient";
pub(super) const NOT_ONE_POUR: &str = "it is not one pour";
pub(super) const UNKNOWN: &str = "it is unknown";

/// A drink with what it is poured from.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The drink as read.
    pub drink: &'a Drink,
    /// The same with every pour a liquid.
    pub resolved: &'a Resolved,
    /// What that comes to.
    pub built: &'a Built,
    /// The ranges under its convention.
    pub ranges: &'a Ranges,
    /// What it is poured from.
    pub stock: &'a Stock,
    /// The settings of its book.
    pub settings: &'a Settings,
}

impl ComputedDrink {
    /// The same for what advises on changes.
    #[must_use]
    pub fn subject(&self) -> Subject<'_> {
        Subject {
            drink: &self.drink,
            resolved: &self.resolved,
            built: &self.built,
            ranges: &self.ranges,
            stock: &self.context.stock,
            settings: &self.context.settings,
        }
    }
}

/// What the user asks of a change.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// What to aim at; a measure without an aim is brought into its band.
    pub aims: Vec<super::Aim>,
    /// Ingredients whose pours stay as they are.
    pub locked: Vec<String>,
    /// Ingredients that may be added to the drink.
    pub may_add: Vec<String>,
    /// How far all that is poured may grow or shrink together, % of what it was.
    pub serve_within_pct: f64,
}

impl Ask {
    /// [`Ask::serve_within_pct`] unless the user says otherwise: common practice, no source.
    pub const SERVE_WITHIN_PCT: f64 = 20.0;
}

impl Default for Ask {
    fn default() -> Ask {
        Ask {
            aims: Vec::new(),
            locked: Vec::new(),
            may_add: Vec::new(),
            serve_within_pct: Ask::SERVE_WITHIN_PCT,
        }
    }
}

/// What is wrong with what the user asks.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AskError {
    /// A pour to be locked that the drink does not have.
    #[error("`{drink}` pours no `{name}` that could be locked")]
    NotPoured {
        /// What was named.
        name: String,
        /// The drink.
        drink: String,
        /// What it pours.
        near: Vec<String>,
    },
    /// An ingredient to be added that is unknown, or that a spec would have to say more about.
    #[error("`{name}` cannot be added: {why}")]
    CannotAdd {
        /// What was named.
        name: String,
        /// Why not.
        why: String,
        /// What it could be.
        near: Vec<String>,
    },
}

/// How a pour came to be one that can be changed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// It stands in the spec with this amount.
    Written(Amount),
    /// The spec leaves it open.
    Open,
    /// It may be added.
    Added,
}

/// A pour that can be changed, and to what.
#[derive(Clone, Debug)]
pub struct Adjustable {
    /// Its place among the steps of the drink; for one that may be added, the step it would stand before.
    pub at: usize,
    /// What is poured.
    pub ingredient: String,
    /// What the line calls it.
    pub called: String,
    /// Whether it stands in the spec.
    pub origin: Origin,
    /// The unit its amounts are in.
    pub unit: Unit,
    /// What is computed before any change, in units: the amount as written, nothing of what may be added, what the
    /// resolver takes an open pour for.
    pub start: f64,
    /// Whether the line names the unit (a bare `60` does not).
    pub unit_written: bool,
    /// How much one unit of it is, ml at 20 °C.
    pub ml_each: f64,
    /// One unit of it.
    pub one: Liquid,
    /// One unit of it, g as poured.
    pub g_each: f64,
    /// Every amount it may have, smallest first; the one it has is among them.
    pub amounts: Vec<Amount>,
    /// What it may be used for.
    pub roles: Roles,
    /// As resolved; one unit of what may be added.
    pub(super) pour: ResolvedPour,
}

/// Pours below this count as this much in the objective, ml.
pub const LEAST_POUR_ML: f64 = 5.0;

impl Adjustable {
    /// The part of the objective of pouring `amount` units: (Δ / max(pour, 5 ml))². An open pour costs nothing.
    #[must_use]
    pub fn cost(&self, amount: f64) -> f64 {
        match self.origin {
            Origin::Open => 0.0,
            Origin::Written(_) | Origin::Added => ((amount - self.start) / self.scale()).powi(2),
        }
    }

    /// The change, in units, that costs 1.
    #[must_use]
    pub fn scale(&self) -> f64 {
        (self.start * self.ml_each).max(LEAST_POUR_ML) / self.ml_each
    }
}

impl Subject<'_> {
    /// The pours that may be changed: written and open ones that are not locked, in order, then those that may be
    /// added.
    ///
    /// Left alone are what has no steps a bar measures (leaves, rinses, mists, tops to the brim), what joins only
    /// once pressed, eggs and foamers, floats, bitters and other seasonings, and what has no role.
    ///
    /// # Errors
    /// Every name in the ask that is none of the drink's, or that cannot be added.
    pub fn adjustables(&self, ask: &Ask) -> Result<Vec<Adjustable>, Vec<AskError>> {
        let mix = self.built.before;
        let mut wrong = Vec::new();
        let locked = self.locked_places(ask).unwrap_or_else(|errors| {
            wrong.extend(errors);
            Vec::new()
        });
        let mut all: Vec<Adjustable> = self
            .pours()
            .filter(|(at, _)| !locked.contains(at))
            .filter_map(|(at, pour)| self.adjustable(at, pour, &mix))
            .collect();
        for name in &ask.may_add {
            match self.addition(name, &mix) {
                Ok(Some(added)) if all.iter().all(|a| a.ingredient != added.ingredient) => all.push(added),
                Ok(_) => {}
                Err(error) => wrong.push(error),
            }
        }
        if wrong.is_empty() { Ok(all) } else { Err(wrong) }
    }

    /// The pours with their places among the steps.
    pub(super) fn pours(&self) -> impl Iterator<Item = (usize, &ResolvedPour)> {
        self.resolved
            .steps
            .iter()
            .enumerate()
            .filter_map(|(at, step)| match step {
                ResolvedStep::Pour(pour) => Some((at, pour)),
                _ => None,
            })
    }

    /// The places of the pours that the ask locks.
    pub(super) fn locked_places(&self, ask: &Ask) -> Result<Vec<usize>, Vec<AskError>> {
        let (mut places, mut wrong) = (Vec::new(), Vec::new());
        for name in &ask.locked {
            let meant = match self.stock.find(name) {
                Found::Sure(ingredient) | Found::Taken(ingredient, _) => key(&ingredient.name),
                Found::Ask(..) | Found::Unknown => key(name),
            };
            let before = places.len();
            for (at, pour) in self.pours() {
                let typed = self.typed(at);
                if [key(&pour.ingredient), typed]
                    .iter()
                    .any(|k| *k == meant || *k == key(name))
                {
                    places.push(at);
                }
            }
            if places.len() == before {
                let poured: Vec<&str> = self.pours().map(|(_, p)| p.ingredient.as_str()).collect();
                let mut near = nearest(name, poured.iter().map(|p| (*p, *p)), 3);
                if near.is_empty() {
                    near = poured.iter().map(|p| (*p).to_owned()).collect();
                }
                wrong.push(AskError::NotPoured {
                    name: name.clone(),
                    drink: self.drink.name.clone(),
                    near,
                });
            }
        }
        if wrong.is_empty() { Ok(places) } else { Err(wrong) }
    }

    /// The folded name of a pour as typed.
    fn typed(&self, at: usize) -> String {
        self.resolved
            .pour_at(at)
            .map_or_else(String::new, |pour| key(pour.typed_name()))
    }

    fn adjustable(&self, at: usize, pour: &ResolvedPour, mix: &Liquid) -> Option<Adjustable> {
        let written = &pour.typed;
        let brought = pour.fixed()?;
        if pour.needs_pressing
            || pour.egg
            || pour.foamer
            || !matches!(written.place, PourMethod::In | PourMethod::Top)
            || self.stock.poured(&pour.ingredient).is_none_or(|i| {
                matches!(
                    i.kind,
                    IngredientKind::Bitters
                        | IngredientKind::Seasoning
                        | IngredientKind::Sauce
                        | IngredientKind::Spice
                        | IngredientKind::Herb
                )
            })
        {
            return None;
        }
        let (origin, unit, unit_written) = match &written.measure {
            PourAmount::Of(extent, unit) if !extent.nominal.is_zero() => {
                let each = brought.volume_ml / extent.nominal.to_f64();
                let meant = unit.or_else(|| self.bare_unit(each))?;
                (Origin::Written(extent.nominal), meant, unit.is_some())
            }
            PourAmount::Open(unit) => (Origin::Open, unit.unwrap_or_else(|| self.usual_unit()), true),
            PourAmount::Of(..) | PourAmount::Fill | PourAmount::Usual => return None,
        };
        // How much is computed, in units of it.
        let units = match &written.measure {
            PourAmount::Of(extent, _) => extent.nominal.to_f64(),
            // 15 ml where no unit is said, or millilitres are.
            PourAmount::Open(None | Some(Unit::Millilitre)) => {
                brought.volume_ml / self.settings.to_measures().size(unit)?.nominal.to_f64()
            }
            PourAmount::Open(_) | PourAmount::Fill | PourAmount::Usual => 1.0,
        };
        if !(units.is_finite() && units > 0.0 && brought.volume_ml > 0.0) {
            return None;
        }
        let ml_each = brought.volume_ml / units;
        let written_amount = match origin {
            Origin::Written(amount) => Some(amount),
            Origin::Open | Origin::Added => None,
        };
        let adjustable = Adjustable {
            at,
            ingredient: pour.ingredient.clone(),
            called: written
                .choices
                .first()
                .map_or_else(String::new, |n| n.name.clone()),
            origin,
            unit,
            start: units,
            unit_written,
            ml_each,
            one: brought.liquid.times(1.0 / units).ok()?,
            g_each: brought.mass_g / units,
            amounts: steps::amounts(
                unit,
                written_amount,
                ml_each,
                self.settings.ounce.unwrap_or_default(),
                &self.settings.jigger_set,
            ),
            roles: Roles::of(&brought.liquid, mix),
            pour: pour.clone(),
        };
        (!adjustable.amounts.is_empty() && adjustable.roles.any()).then_some(adjustable)
    }

    /// The unit of a bare number, which is a millilitre or an ounce by what it came to.
    pub(super) fn bare_unit(&self, ml_each: f64) -> Option<Unit> {
        let ounce = self.settings.ounce.unwrap_or_default().ml().to_f64();
        let near = |ml: f64| (ml_each - ml).abs() < 1e-6 * ml;
        if near(1.0) {
            Some(Unit::Millilitre)
        } else if near(ounce) {
            Some(Unit::Ounce)
        } else {
            None
        }
    }

    /// What most of the drink is measured in: ounces or millilitres.
    pub(super) fn usual_unit(&self) -> Unit {
        let count = |wanted: Unit| {
            self.drink
                .lines()
                .filter(|l| {
                    matches!(&l.step, Step::Pour(p)
                        if matches!(p.measure, PourAmount::Of(_, Some(unit)) | PourAmount::Open(Some(unit)) if unit == wanted))
                })
                .count()
        };
        if count(Unit::Ounce) > count(Unit::Millilitre) + count(Unit::Centilitre) {
            Unit::Ounce
        } else {
            Unit::Millilitre
        }
    }

    /// An ingredient that may be added, as a pour of nothing so far; `None` where the drink pours it already.
    fn addition(&self, name: &str, mix: &Liquid) -> Result<Option<Adjustable>, AskError> {
        let cannot = |why: &str, near: Vec<String>| AskError::CannotAdd {
            name: name.to_owned(),
            why: why.to_owned(),
            near,
        };
        let unit = self.usual_unit();
        let pour = self.poured(unit, name)?;
        if self.pours().any(|(_, p)| p.ingredient == pour.ingredient) {
            return Ok(None);
        }
        let ingredient = self.stock.poured(&pour.ingredient);
        if pour.needs_pressing || pour.egg || pour.foamer || ingredient.is_none_or(|i| i.is_solid()) {
            return Err(cannot("it is not poured by volume", Vec::new()));
        }
        if pour.carbonated {
            return Err(cannot(
                "it fizzes: write a top of it into the spec, then mend that",
                Vec::new(),
            ));
        }
        let roles = Roles::of(&pour.some(), mix);
        if !roles.any() {
            return Err(cannot(
                "more of it would change none of the figures for the better",
                Vec::new(),
            ));
        }
        Ok(Some(Adjustable {
            at: self.place_of_additions(),
            ingredient: pour.ingredient.clone(),
            called: pour.ingredient.clone(),
            origin: Origin::Added,
            unit,
            start: 0.0,
            unit_written: true,
            ml_each: pour.usual().volume_ml,
            one: pour.some(),
            g_each: pour.usual().mass_g,
            amounts: steps::amounts(
                unit,
                None,
                pour.usual().volume_ml,
                self.settings.ounce.unwrap_or_default(),
                &self.settings.jigger_set,
            ),
            roles,
            pour,
        }))
    }

    /// One unit of an ingredient, read and resolved as a line of a book would be.
    fn poured(&self, unit: Unit, name: &str) -> Result<ResolvedPour, AskError> {
        let cannot = |why: String, near: Vec<String>| AskError::CannotAdd {
            name: name.to_owned(),
            why,
            near,
        };
        if name.contains(['\n', '\r']) {
            return Err(cannot("it is more than a name".to_owned(), Vec::new()));
        }
        let source = Source::new(
            "",
            format!("## addition\n- 1 {} {name}\n", unit.facts().written.0),
        );
        let reading = read_under(&source, self.settings);
        if let Some(fault) = reading.faults.first() {
            return Err(cannot(fault.message.clone(), fault.suggestions.clone()));
        }
        let Some(drink) = reading.book.drinks().next() else {
            return Err(cannot(NO_NAME.to_owned(), Vec::new()));
        };
        let resolved = resolve(drink, self.stock, self.settings, &source).map_err(|faults| {
            let fault = faults.into_iter().next();
            fault.map_or_else(
                || cannot(UNKNOWN.to_owned(), Vec::new()),
                |f| cannot(f.message, f.suggestions),
            )
        })?;
        match resolved.steps.into_iter().next() {
            Some(ResolvedStep::Pour(pour)) if drink.lines().count() == 1 && pour.usual().volume_ml > 0.0 => {
                Ok(pour)
            }
            _ => Err(cannot(NOT_ONE_POUR.to_owned(), Vec::new())),
        }
    }

    /// The step an added pour stands before: after the last pour that goes in before any ice.
    fn place_of_additions(&self) -> usize {
        let first_work = self
            .resolved
            .steps
            .iter()
            .position(|s| matches!(s, ResolvedStep::Work(work) if !matches!(work.technique, Technique::Muddle | Technique::DryShake)))
            .unwrap_or(self.resolved.steps.len());
        self.pours()
            .filter(|(at, pour)| *at < first_work && pour.place == PourMethod::In)
            .map(|(at, _)| at + 1)
            .last()
            .unwrap_or(0)
    }

    /// What may be added where the user names nothing: syrup, juice, a spirit where there is none, water.
    #[must_use]
    pub fn usual_additions(&self) -> Vec<String> {
        let pours_spirit = self
            .pours()
            .filter_map(|(_, p)| self.stock.poured(&p.ingredient))
            .any(|i| i.kind == IngredientKind::Spirit);
        let mut names = vec![
            "simple syrup".to_owned(),
            "lemon juice".to_owned(),
            "lime juice".to_owned(),
        ];
        if !pours_spirit {
            names.push("vodka".to_owned());
        }
        names.push("water".to_owned());
        names
    }
}
