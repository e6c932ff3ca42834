//! From names and written amounts to liquids: never a silent guess.
//!
//! Everything that was taken for granted (how large a dash is, what "lime" means, which syrup) is
//! an [`Assumption`]; everything that cannot be told is a fault with the candidate readings.

use std::ops::Range;

use crate::balance::{Glass, Service, StandardDrink, Structure};
use crate::ingredient::{Convention, Countable, Declaration, Found, Ingredient, Quantity, Stock};
use crate::liquid::{Liquid, LiquidError};
use crate::measure::{Amount, Dimension, Measures, Unit};
use crate::names::key;
use crate::spec::{
    Assumption, Drink, Extent, Fault, Measure, Named, Place, Pour, Settings, Source, Step, Technique,
    WaterGiven, Wrong, amount_text,
};

/// A drink whose every pour is a liquid.
#[derive(Clone, Debug)]
pub struct Resolved {
    /// Its name.
    pub name: String,
    /// The steps, in working order.
    pub steps: Vec<ResolvedStep>,
    /// The glass, where the spec names one that is known or sized.
    pub glass: Option<GlassSize>,
    /// The structure the writer names.
    pub structure: Option<Structure>,
    /// Water gained, given by the writer.
    pub water: Option<WaterGiven>,
    /// How its juices were counted.
    pub convention: Convention,
    /// Whose standard drinks are counted.
    pub standard_drink: &'static StandardDrink,
    /// Everything taken for granted, each once.
    pub assumptions: Vec<Assumption>,
    /// Allergens on the European list, through every pour and known garnish.
    pub allergens_eu: Declaration,
    /// Allergens on the list of the United States.
    pub allergens_us: Declaration,
    /// Cautions of its ingredients, each once.
    pub cautions: Vec<String>,
}

/// A step that is ready to be worked out.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "most steps are pours")]
pub enum ResolvedStep {
    /// Something poured or put in.
    Pour(ResolvedPour),
    /// Work, with the mass of ice where it is measured, g.
    Work(Technique, Option<f64>),
    /// Strained off its ice and solids.
    Strain,
    /// Poured with its ice and solids.
    Unstrained,
    /// Served on ice.
    OverIce {
        /// Crushed or pebble ice.
        crushed: bool,
    },
    /// Served without ice.
    Neat,
    /// Ice, rest or garnish: nothing that changes the liquid under the handbook's melt.
    Other,
}

/// A pour that is a liquid.
#[derive(Clone, Debug)]
pub struct ResolvedPour {
    /// The ingredient it comes from.
    pub ingredient: String,
    /// The amount as written, with its unit.
    pub written: String,
    /// How it goes in.
    pub place: Place,
    /// What it brings. For a pour that fills the glass: one millilitre of it.
    pub liquid: Liquid,
    /// Volume at 20 °C, mL. For a pour that fills the glass: what is assumed where no glass is known.
    pub volume_ml: f64,
    /// The least and most it may be, as a factor of [`ResolvedPour::volume_ml`].
    pub factor_span: (f64, f64),
    /// What the other choices would bring, where the line leaves one.
    pub others: Vec<Liquid>,
    /// Mass, g: of a solid, what is put in; of a liquid, what is poured.
    pub mass_g: f64,
    /// Whether it fills the glass to its washline.
    pub fills: bool,
    /// Whether it only joins the liquid once muddled, shaken or blended.
    pub needs_pressing: bool,
    /// Whether it fizzes.
    pub carbonated: bool,
    /// Whether it makes a foam (egg white and the like).
    pub foamer: bool,
    /// Whether it is egg.
    pub egg: bool,
    /// Whether the line says it is hot.
    pub hot: bool,
}

/// A glass with its brimful capacity.
#[derive(Clone, Debug, PartialEq)]
pub struct GlassSize {
    /// Its name, as the spec has it.
    pub name: String,
    /// Brimful capacity, mL.
    pub capacity_ml: f64,
    /// How it is used, where its sort is known.
    pub service: Option<Service>,
    /// Smallest and largest usual capacity, mL, where only the sort of glass is given and its size is assumed.
    pub assumed_ml: Option<(f64, f64)>,
}

/// Work out every name and amount of a drink of `source`, poured from `stock` under `settings`.
///
/// # Errors
/// Every name or amount that cannot be told, each with its place.
pub fn resolve(
    drink: &Drink,
    stock: &Stock,
    settings: &Settings,
    source: &Source,
) -> Result<Resolved, Vec<Fault>> {
    let convention = settings.convention.unwrap_or_default();
    let mut resolver = Resolver {
        stock,
        settings,
        measures: settings.to_measures(),
        convention,
        drink,
        assumptions: Vec::new(),
        wrongs: Vec::new(),
        allergens_eu: Declaration::default(),
        allergens_us: Declaration::default(),
        cautions: Vec::new(),
    };
    let steps = resolver.steps();
    let glass = resolver.glass();
    resolver.garnishes();
    if !resolver.wrongs.is_empty() {
        return Err(resolver.wrongs.into_iter().map(|w| w.at(source)).collect());
    }
    let mut assumptions = resolver.assumptions;
    let mut seen = std::collections::HashSet::new();
    assumptions.retain(|a| seen.insert(a.clone()));
    let country = settings
        .country
        .as_deref()
        .unwrap_or(StandardDrink::DEFAULT_COUNTRY);
    Ok(Resolved {
        name: drink.name.clone(),
        steps,
        glass,
        structure: drink.structure,
        water: drink.water,
        convention,
        standard_drink: StandardDrink::of_country(country)
            .or_else(|| StandardDrink::of_country(StandardDrink::DEFAULT_COUNTRY))
            .unwrap_or_else(|| unreachable!("the default country stands in the table")),
        assumptions,
        allergens_eu: resolver.allergens_eu,
        allergens_us: resolver.allergens_us,
        cautions: resolver.cautions,
    })
}

struct Resolver<'a> {
    stock: &'a Stock,
    settings: &'a Settings,
    measures: Measures,
    convention: Convention,
    drink: &'a Drink,
    assumptions: Vec<Assumption>,
    wrongs: Vec<Wrong>,
    allergens_eu: Declaration,
    allergens_us: Declaration,
    cautions: Vec<String>,
}

/// How much of something: a volume or a mass, with the factor span of what is not exact.
struct Much {
    ml: Option<f64>,
    grams: Option<f64>,
    span: (f64, f64),
}

impl Much {
    fn ml(ml: f64) -> Much {
        Much {
            ml: Some(ml),
            grams: None,
            span: (1.0, 1.0),
        }
    }

    fn grams(grams: f64) -> Much {
        Much {
            ml: None,
            grams: Some(grams),
            span: (1.0, 1.0),
        }
    }

    fn between(mut self, low: f64, high: f64) -> Much {
        self.span = (self.span.0 * low, self.span.1 * high);
        self
    }
}

impl<'a> Resolver<'a> {
    fn assume(&mut self, about: impl Into<String>, taken: impl Into<String>, change: impl Into<String>) {
        self.assumptions.push(Assumption::new(about, taken, change));
    }

    fn steps(&mut self) -> Vec<ResolvedStep> {
        let mut steps = Vec::new();
        let drink = self.drink;
        for line in drink.lines() {
            self.assumptions.extend(line.assumptions.iter().cloned());
            steps.push(match &line.step {
                Step::Pour(pour) => match self.pour(pour, &line.span) {
                    Ok(pour) => ResolvedStep::Pour(pour),
                    Err(wrong) => {
                        self.wrongs.push(wrong);
                        continue;
                    }
                },
                Step::Work(work) => ResolvedStep::Work(work.technique, work.ice_g.map(Amount::to_f64)),
                Step::Strain { .. } => ResolvedStep::Strain,
                Step::Unstrained => ResolvedStep::Unstrained,
                Step::OverIce(words) => {
                    let crushed = ["crushed", "pebble", "cracked"].iter().any(|w| words.contains(w));
                    ResolvedStep::OverIce { crushed }
                }
                Step::Neat => ResolvedStep::Neat,
                Step::Ice(_) | Step::Rest(_) | Step::Garnish(_) => ResolvedStep::Other,
            });
        }
        steps
    }

    fn pour(&mut self, pour: &Pour, span: &Range<usize>) -> Result<ResolvedPour, Wrong> {
        let Some(named) = pour.choices.first() else {
            return Err(Wrong::reject(span.clone(), "no ingredient"));
        };
        let written_unit = match pour.measure {
            Measure::Of(_, unit) | Measure::Open(unit) => unit,
            Measure::Fill | Measure::Usual => None,
        };
        let (ingredient, unit) = self.find(named, written_unit, pour.strength_pct, span)?;
        let mut candidates: Vec<&Ingredient> = Vec::new();
        if named.any {
            candidates.extend(self.stock.group(&named.name).into_iter().skip(1));
        }
        for other in &pour.choices[1..] {
            candidates.push(self.find(other, written_unit, None, span)?.0);
        }
        let name_words = key(&named.name);
        let hot = (name_words.starts_with("hot ") || name_words.starts_with("boiling "))
            && !key(&ingredient.name).starts_with("hot ");
        let strength = match pour.strength_pct {
            None => None,
            Some(strength) if ingredient.is_alcoholic() => Some(strength.to_f64()),
            Some(strength) => {
                // Some names hold a percentage that is no strength ("saline 20 %"); those were found whole.
                if !key(&ingredient.name).contains(&format!("{strength}%")) {
                    self.assume(
                        &ingredient.name,
                        format!("{strength} % is no strength of it: kept as a note"),
                        "name the ingredient that has it",
                    );
                }
                None
            }
        };
        let base = ingredient.liquid(self.convention, strength).map_err(|e| {
            Wrong::reject(
                span.clone(),
                format!("{} at {} % vol: {}", e.name, strength.unwrap_or(0.0), e.why),
            )
        })?;
        let much = self.much(pour, unit, ingredient, span)?;
        self.declare(ingredient);
        let fills = pour.measure == Measure::Fill;
        let solid = ingredient.is_solid();
        let yield_share = ingredient
            .figure(Quantity::PressYield, self.convention)
            .unwrap_or(100.0)
            / 100.0;
        let needs_pressing = solid && yield_share < 1.0;
        // The same amount of an ingredient, as the liquid it brings.
        let brings = |base: &Liquid, share: f64| -> Result<Liquid, LiquidError> {
            match (much.ml, much.grams) {
                (_, Some(grams)) => base.of_mass(grams)?.times(share),
                (Some(_), None) if fills => base.of_volume(1.0),
                (Some(ml), None) => base.of_volume(ml),
                (None, None) => Ok(Liquid::NOTHING),
            }
        };
        let liquid = brings(&base, if solid { yield_share } else { 1.0 })
            .map_err(|e| Wrong::reject(span.clone(), e.to_string()))?;
        let others = candidates
            .iter()
            .filter_map(|other| {
                let share = other
                    .figure(Quantity::PressYield, self.convention)
                    .unwrap_or(100.0)
                    / 100.0;
                brings(&other.liquid(self.convention, None).ok()?, share).ok()
            })
            .collect();
        let volume_ml = if fills {
            much.ml.unwrap_or(0.0)
        } else {
            liquid.volume_ml()
        };
        let is_lengthener = matches!(
            ingredient.kind.as_str(),
            "soda" | "water" | "beer" | "cider" | "sparkling wine" | "wine" | "coffee and tea"
        );
        if volume_ml > 200.0 && !is_lengthener && !fills {
            self.assume(
                format!("{volume_ml:.0} ml {}", ingredient.name),
                "taken as written, though it is much for one serve",
                "write the amount for one serve",
            );
        }
        let egg = ingredient.kind == "egg";
        let lean = base.fat_g() < 0.02 * base.mass_g();
        Ok(ResolvedPour {
            ingredient: ingredient.name.clone(),
            written: amount_text(pour),
            place: pour.place,
            volume_ml,
            factor_span: much.span,
            mass_g: match much.grams {
                Some(grams) => grams,
                None if fills => 0.0,
                None => liquid.mass_g(),
            },
            liquid,
            others,
            fills,
            needs_pressing,
            carbonated: ingredient.carbonated,
            foamer: ingredient.kind == "foamer" || (egg && lean),
            egg,
            hot,
        })
    }

    /// The ingredient a name means, and the unit it is counted in there.
    fn find(
        &mut self,
        named: &Named,
        unit: Option<Unit>,
        strength: Option<Amount>,
        span: &Range<usize>,
    ) -> Result<(&'a Ingredient, Option<Unit>), Wrong> {
        let place = if named.span.is_empty() {
            span.clone()
        } else {
            named.span.clone()
        };
        if named.any {
            return self.any(named, unit, &place);
        }
        let stock = self.stock;
        // `1 sugar cube` is a thing of its own; `8 mint leaves` is leaves of mint.
        if named.full != named.name
            && let Found::Sure(ingredient) = stock.find(&named.full)
            && ingredient
                .values
                .iter()
                .any(|v| v.quantity == Quantity::Mass(Countable::Piece))
        {
            return Ok((ingredient, Some(Unit::Piece)));
        }
        if let Some(strength) = strength
            && let Some(ingredient) = stock.get(&format!("{} {strength}%", named.name))
        {
            return Ok((ingredient, unit));
        }
        if let Some(meant) = self.settings.meanings.get(&key(&named.name))
            && let Some(ingredient) = stock.get(meant)
        {
            self.assume(
                &named.name,
                format!("taken as {}, as the book sets", ingredient.name),
                format!("`{}:` in the book", named.name),
            );
            return Ok((ingredient, unit));
        }
        let counted = unit.and_then(countable).map(Quantity::Mass);
        match stock.find(&named.name) {
            Found::Sure(ingredient) => Ok((ingredient, unit)),
            Found::Taken(ingredient, said) => {
                // `1 lime wedge` counts fruit, whatever `lime` alone would mean.
                if let Some(wanted) = counted
                    && !ingredient.values.iter().any(|v| v.quantity == wanted)
                    && let Some(other) = self
                        .candidates(&named.name)
                        .find(|i| i.values.iter().any(|v| v.quantity == wanted))
                {
                    return Ok((other, unit));
                }
                self.assume(
                    &named.name,
                    said,
                    format!("write the full name, or set `{}:` in the book", named.name),
                );
                Ok((ingredient, unit))
            }
            Found::Ask(candidates, why) => {
                let message = format!(
                    "`{}` could be {}{}",
                    named.name,
                    candidates.join(" or "),
                    if why.is_empty() {
                        String::new()
                    } else {
                        format!(": {why}")
                    }
                );
                Err(Wrong::ask(place, message, candidates))
            }
            Found::Unknown(near) => {
                if let Some(found) = self.by_ratio(&named.name).or_else(|| self.by_number(&named.name)) {
                    return Ok((found, unit));
                }
                let message = format!(
                    "no ingredient `{0}`; choose a near name, define it in the book (`## {0}`, `is: an ingredient`, `strength: 20 %`, `sugar: 180 g/l`, `source: label`), or run `washline ingredient add \"{0}\" --strength 20 --sugar 180 --source label`",
                    named.name
                );
                Err(Wrong::reject(place, message).with(near))
            }
        }
    }

    /// `2:1 demerara`, `simple 1:1`, `2:1`: a syrup by its ratio, in any order.
    fn by_ratio(&mut self, name: &str) -> Option<&'a Ingredient> {
        let words: Vec<&str> = name.split_whitespace().collect();
        let ratio = *words.iter().find(|w| {
            w.split_once(':')
                .is_some_and(|(a, b)| a.parse::<f64>().is_ok() && b.parse::<f64>().is_ok())
        })?;
        let by = ["mass", "weight", "volume"]
            .into_iter()
            .find(|b| words.contains(b));
        let base: Vec<&str> = words
            .iter()
            .copied()
            .filter(|w| *w != ratio && *w != "by" && Some(*w) != by)
            .collect();
        let base = base.join(" ");
        let counted = if by == Some("volume") { "volume" } else { "mass" };
        let plain = matches!(
            key(&base).as_str(),
            "" | "simple"
                | "syrup"
                | "simple syrup"
                | "sugar"
                | "sugar syrup"
                | "rich"
                | "rich syrup"
                | "rich simple"
                | "rich simple syrup"
        );
        let bases = if plain {
            vec!["simple syrup".to_owned(), "rich syrup".to_owned()]
        } else {
            vec![base.clone(), format!("{base} syrup")]
        };
        let tries = bases.iter().flat_map(|b| {
            [
                format!("{b} {ratio} by {counted}"),
                format!("{b} {ratio}"),
                format!("{b} {ratio} by volume"),
            ]
        });
        let stock = self.stock;
        let found = tries.into_iter().find_map(|name| stock.get(&name))?;
        let unsaid = if by.is_none() {
            ", by mass unless the line says by volume"
        } else {
            ""
        };
        self.assume(
            name,
            format!("taken as {}: the ratio is a part of the name{unsaid}", found.name),
            "write the full name",
        );
        Some(found)
    }

    /// `rum 151`, `12-year rum`: a number in a name may be an age, which changes nothing, or a proof, which is
    /// offered and never applied.
    fn by_number(&mut self, name: &str) -> Option<&'a Ingredient> {
        let words: Vec<String> = name
            .replace('-', " ")
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        let at = words.iter().position(|w| w.parse::<u32>().is_ok())?;
        let number: u32 = words[at].parse().ok()?;
        let years = words
            .get(at + 1)
            .is_some_and(|w| matches!(w.as_str(), "year" | "years" | "yr" | "yo" | "y.o."));
        let skip = match (years, words.get(at + 2).map(String::as_str)) {
            (true, Some("old" | "aged")) => 3,
            (true, _) => 2,
            (false, _) => 1,
        };
        let rest: Vec<String> = words[..at].iter().chain(&words[at + skip..]).cloned().collect();
        let rest = rest.join(" ");
        let stock = self.stock;
        let (found, said) = match stock.find(&rest) {
            Found::Sure(found) => (found, None),
            Found::Taken(found, said) => (found, Some(said)),
            Found::Ask(..) | Found::Unknown(_) => return None,
        };
        if years {
            if let Some(said) = said {
                self.assume(&rest, said, "write the full name");
            }
        } else if (75..=192).contains(&number) && found.is_alcoholic() {
            let strength = f64::from(number) / 2.0;
            self.assume(
                name,
                format!("computed as {} at its usual strength; {number} may be a proof ({strength:.1} % vol), which is not applied", found.name),
                format!("write `{rest} ({strength:.1} %)`"),
            );
        } else {
            return None;
        }
        Some(found)
    }

    fn candidates(&self, said: &str) -> impl Iterator<Item = &'a Ingredient> + use<'a> {
        let wanted = key(said);
        let stock = self.stock;
        let names: Vec<String> = stock
            .meanings()
            .filter(|(word, _)| *word == wanted)
            .flat_map(|(_, meaning)| match meaning {
                crate::ingredient::Meaning::Taken { candidates, .. }
                | crate::ingredient::Meaning::Asked { candidates, .. } => candidates.clone(),
            })
            .collect();
        names.into_iter().filter_map(move |name| stock.get(&name))
    }

    /// "any anise liqueur": the first of the kind is computed, the others said.
    fn any(
        &mut self,
        named: &Named,
        unit: Option<Unit>,
        place: &Range<usize>,
    ) -> Result<(&'a Ingredient, Option<Unit>), Wrong> {
        let members = self.stock.group(&named.name);
        let Some(&first) = members.first() else {
            let mut groups: Vec<&str> = self
                .stock
                .iter()
                .flat_map(|i| i.groups.iter().map(String::as_str))
                .collect();
            groups.sort_unstable();
            groups.dedup();
            let near = crate::names::nearest(&named.name, groups.iter().map(|g| (*g, *g)), 3);
            return Err(
                Wrong::reject(place.clone(), format!("no kind of ingredient `{}`", named.name)).with(near),
            );
        };
        let others: Vec<&str> = members[1..].iter().map(|i| i.name.as_str()).collect();
        self.assume(
            format!("any {}", named.name),
            format!("computed with {} (also {})", first.name, others.join(", ")),
            "write one of them",
        );
        Ok((first, unit))
    }

    /// How much of an ingredient a pour is.
    fn much(
        &mut self,
        pour: &Pour,
        unit: Option<Unit>,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Much, Wrong> {
        match &pour.measure {
            Measure::Of(extent, _) => {
                if extent.nominal.is_zero() {
                    self.assume(&ingredient.name, "an amount of 0 is kept, and adds nothing", "");
                }
                let unit = match unit {
                    Some(unit) => unit,
                    None => self.missing_unit(pour, extent, ingredient, span)?,
                };
                let one = self.one(unit, ingredient, span)?;
                let nominal = extent.nominal.to_f64();
                let (low, high) = if nominal > 0.0 {
                    (extent.low.to_f64() / nominal, extent.high.to_f64() / nominal)
                } else {
                    (1.0, 1.0)
                };
                let scaled = Much {
                    ml: one.ml.map(|v| v * nominal),
                    grams: one.grams.map(|v| v * nominal),
                    span: one.span,
                };
                Ok(scaled.between(low, high))
            }
            Measure::Open(unit) => {
                let unit = unit.unwrap_or(Unit::Millilitre);
                let one = self.one(unit, ingredient, span)?;
                // The middle of what a balancing pour usually is: half an ounce, from none to an ounce.
                let (nominal, text) = if unit == Unit::Millilitre {
                    (15.0, "15 ml, between 0 and 30 ml".to_owned())
                } else {
                    (1.0, format!("1 {}, between 0 and 2", unit.facts().written.0))
                };
                self.assume(
                    format!("{} to taste", ingredient.name),
                    format!("an open pour: computed with {text}"),
                    "write an amount",
                );
                Ok(Much {
                    ml: one.ml.map(|v| v * nominal),
                    grams: one.grams.map(|v| v * nominal),
                    span: (0.0, 2.0),
                })
            }
            Measure::Fill => Ok(Much::ml(60.0).between(0.5, 2.0)),
            Measure::Usual => Ok(match pour.place {
                Place::Mist => {
                    self.assume(
                        format!("a mist of {}", ingredient.name),
                        "0.15 ml stays (between 0.1 and 0.3 ml): common practice, no source",
                        "write an amount",
                    );
                    Much::ml(0.15).between(0.67, 2.0)
                }
                Place::Float => {
                    self.assume(
                        format!("a float of {}", ingredient.name),
                        "10 ml (between 7.5 and 15 ml): from memory",
                        "write an amount",
                    );
                    Much::ml(10.0).between(0.75, 1.5)
                }
                _ => {
                    self.assume(
                        format!("a rinse of {}", ingredient.name),
                        "1 ml stays in the glass (between 0 and 2 ml): common practice, no source",
                        "write an amount",
                    );
                    Much::ml(1.0).between(0.0, 2.0)
                }
            }),
        }
    }

    /// A bare number: a count of pieces, or the unit that every other line agrees on.
    fn missing_unit(
        &mut self,
        pour: &Pour,
        extent: &Extent,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Unit, Wrong> {
        let counted = ingredient.figure(Quantity::Mass(Countable::Piece), self.convention);
        let whole = extent.nominal.exact_decimal().is_some_and(|d| !d.contains('.'));
        if counted.is_some() && (whole || ingredient.kind == "egg") && extent.nominal <= Amount::raw(12, 1) {
            return Ok(Unit::Piece);
        }
        let units: Vec<Option<Unit>> = self
            .drink
            .lines()
            .filter_map(|l| match &l.step {
                Step::Pour(Pour {
                    measure: Measure::Of(_, unit),
                    ..
                }) => Some(*unit),
                _ => None,
            })
            .collect();
        let bare = units.iter().filter(|u| u.is_none()).count();
        let metric = units
            .iter()
            .filter(|u| matches!(u, Some(Unit::Millilitre | Unit::Centilitre)))
            .count();
        let ounces = units.iter().filter(|u| **u == Some(Unit::Ounce)).count();
        let name = &pour.choices[0].name;
        let amount = extent.nominal;
        if ounces == 0 && (metric > 0 || bare > 1) && amount >= Amount::raw(5, 2) {
            self.assume(
                format!("{name} {amount}"),
                "millilitres, as its size and the other lines say",
                "write the unit",
            );
            return Ok(Unit::Millilitre);
        }
        if metric == 0 && ounces > 0 && amount <= Amount::raw(4, 1) {
            self.assume(
                format!("{name} {amount}"),
                "ounces, as its size and the other lines say",
                "write the unit",
            );
            return Ok(Unit::Ounce);
        }
        let mut readings = vec![
            format!("{amount} ml {name}"),
            format!("{} oz {name}", amount.mixed_fraction()),
        ];
        if let Some(fruit) = name
            .strip_suffix(" juice")
            .or_else(|| ingredient.name.strip_suffix(" juice"))
        {
            readings.push(format!("juice of {} {fruit}", amount.mixed_fraction()));
        }
        Err(Wrong::ask(
            span.clone(),
            format!("no unit for `{name}`: expected ml, oz, dashes or the like"),
            readings,
        ))
    }

    /// One unit of an ingredient.
    fn one(&mut self, unit: Unit, ingredient: &Ingredient, span: &Range<usize>) -> Result<Much, Wrong> {
        let facts = unit.facts();
        let (name, solid) = (&ingredient.name, ingredient.is_solid());
        let unit_name = facts.written.0;
        match facts.dimension {
            Dimension::Mass => {
                let size = self.size(unit, span)?;
                let much = Much::grams(size.0).between(size.1, size.2);
                if size.3 {
                    self.assume(
                        format!("a {unit_name}"),
                        format!(
                            "{} g (between {} and {} g)",
                            size.0,
                            size.0 * size.1,
                            size.0 * size.2
                        ),
                        format!("`{unit_name}:` in the book"),
                    );
                }
                Ok(much)
            }
            Dimension::Share => self.part(span),
            Dimension::Count => self.counted(unit, ingredient, span),
            Dimension::Volume if unit == Unit::Dash && solid => {
                self.assume(
                    format!("a dash of {name}"),
                    "a pinch of 0.3 g (between 0.1 and 0.5 g): common practice, no source",
                    "write grams",
                );
                Ok(Much::grams(0.3).between(1.0 / 3.0, 5.0 / 3.0))
            }
            Dimension::Volume
                if unit == Unit::Dash
                    && !self.settings.measures.contains_key(&unit)
                    && !from_a_dasher(ingredient) =>
            {
                let strong = ingredient.is_alcoholic()
                    && ingredient
                        .figure(Quantity::Strength, self.convention)
                        .unwrap_or(0.0)
                        >= 15.0;
                let (ml, low, high) = if strong {
                    (0.92, 0.4, 2.5)
                } else {
                    (2.5, 0.92, 7.5)
                };
                self.assume(
                    format!("a dash of {name}"),
                    format!("{ml} ml (between {low} and {high} ml), for it comes from no dasher bottle: common practice, no source"),
                    "write an amount",
                );
                Ok(Much::ml(ml).between(low / ml, high / ml))
            }
            Dimension::Volume => {
                let size = match (unit, self.settings.measures.get(&unit)) {
                    (Unit::Bottle, None) => {
                        let readings = ["700 ml", "750 ml", "1000 ml"]
                            .iter()
                            .map(|b| format!("{b} {name}"))
                            .collect();
                        return Err(Wrong::ask(
                            span.clone(),
                            "a bottle of what size? set `bottle:` in the book, or write the volume",
                            readings,
                        ));
                    }
                    _ => self.size(unit, span)?,
                };
                let (nominal, low, high, assumed) = size;
                if solid {
                    return self.dry_volume(unit, nominal, ingredient);
                }
                if assumed {
                    let span_text = if (low - high).abs() > 1e-9 {
                        format!(
                            " (published sizes {} to {} ml)",
                            rounded(nominal * low),
                            rounded(nominal * high)
                        )
                    } else {
                        String::new()
                    };
                    self.assume(
                        format!("a {unit_name}"),
                        format!("{} ml{span_text}", rounded(nominal)),
                        format!("`{unit_name}:` in the book"),
                    );
                }
                Ok(Much::ml(nominal).between(low, high))
            }
        }
    }

    /// A unit's size here: nominal, low and high as factors of it, and whether to say so.
    fn size(&self, unit: Unit, span: &Range<usize>) -> Result<(f64, f64, f64, bool), Wrong> {
        let sized = self.measures.size(unit).ok_or_else(|| {
            Wrong::reject(
                span.clone(),
                format!(
                    "`{}` has no size of its own; expected ml, oz or g",
                    unit.facts().written.0
                ),
            )
        })?;
        let nominal = sized.nominal.to_f64();
        Ok((
            nominal,
            sized.low.to_f64() / nominal,
            sized.high.to_f64() / nominal,
            sized.assumed,
        ))
    }

    /// A spoon or cup of a dry solid: by its bulk density, never as if it were a liquid.
    fn dry_volume(&mut self, unit: Unit, ml: f64, ingredient: &Ingredient) -> Result<Much, Wrong> {
        let unit_name = unit.facts().written.0;
        let (density, low, high, said) = match ingredient.value(Quantity::BulkDensity, self.convention) {
            Some(v) => (v.value, v.low, v.high, v.source.as_str()),
            None => (0.6, 0.3, 1.0, "common practice, no source"),
        };
        self.assume(
            format!("a {unit_name} of {}", ingredient.name),
            format!(
                "{} g, heaped dry at {density} g/ml (between {} and {} g): {said}",
                rounded(ml * density),
                rounded(ml * low),
                rounded(ml * high)
            ),
            "write grams",
        );
        Ok(Much::grams(ml * density).between(low / density, high / density))
    }

    /// A part: its share of the serve.
    fn part(&mut self, span: &Range<usize>) -> Result<Much, Wrong> {
        let Some(serve) = self.drink.serve_ml.or(self.settings.serve_ml) else {
            let readings = vec!["serve: 90 ml".to_owned(), "serve: 120 ml".to_owned()];
            return Err(Wrong::ask(
                span.clone(),
                "parts are shares of a serve, and no serve is given; expected `serve: 90 ml` under the drink's name",
                readings,
            ));
        };
        let parts: f64 = self
            .drink
            .lines()
            .filter_map(|l| match &l.step {
                Step::Pour(Pour {
                    measure: Measure::Of(extent, Some(Unit::Part)),
                    ..
                }) => Some(extent.nominal.to_f64()),
                _ => None,
            })
            .sum();
        if parts <= 0.0 {
            return Err(Wrong::reject(span.clone(), "the parts add up to nothing"));
        }
        Ok(Much::ml(serve.to_f64() / parts))
    }

    /// One of something that is counted: leaf, slice, wedge, piece, fruit.
    fn counted(&mut self, unit: Unit, ingredient: &Ingredient, span: &Range<usize>) -> Result<Much, Wrong> {
        let name = &ingredient.name;
        let unit_name = unit.facts().written.0;
        if unit == Unit::Fruit {
            let Some(v) = ingredient.value(Quantity::JuicePerFruit, self.convention) else {
                return Err(Wrong::reject(
                    span.clone(),
                    format!("how much juice one fruit gives is not known for {name}; expected ml"),
                ));
            };
            let (value, low, high) = (v.value, v.low, v.high);
            self.assume(
                format!("{name} of one fruit"),
                format!("{value} ml (between {low} and {high} ml): {}", v.source),
                "write ml",
            );
            return Ok(Much::ml(value).between(low / value, high / value));
        }
        let quantity = countable(unit).map(Quantity::Mass);
        let found = quantity.and_then(|q| ingredient.value(q, self.convention));
        let Some(v) = found.or_else(|| {
            // A cube of sugar is a piece of it; a whole fruit is a piece.
            (matches!(unit, Unit::Cube | Unit::Piece)).then(|| {
                ingredient
                    .value(Quantity::Mass(Countable::Piece), self.convention)
                    .or_else(|| ingredient.value(Quantity::Mass(Countable::Cube), self.convention))
            })?
        }) else {
            return Err(Wrong::reject(
                span.clone(),
                format!("how heavy a {unit_name} of {name} is, is not known; expected g or ml"),
            ));
        };
        let (value, low, high) = (v.value, v.low, v.high);
        self.assume(
            format!("a {unit_name} of {name}"),
            format!("{value} g (between {low} and {high} g): {}", v.source),
            "write grams",
        );
        Ok(Much::grams(value).between(low / value.max(1e-9), high / value.max(1e-9)))
    }

    fn glass(&mut self) -> Option<GlassSize> {
        let named = self.drink.glass.as_ref()?;
        let sort = Glass::known(&named.name);
        let own = self.settings.glasses.get(&key(&named.name)).copied();
        let capacity = named.capacity_ml.or(own);
        match (capacity, sort) {
            (Some(ml), sort) => Some(GlassSize {
                name: named.name.clone(),
                capacity_ml: ml.to_f64(),
                service: sort.map(|s| s.service),
                assumed_ml: None,
            }),
            (None, Some(sort)) => {
                self.assume(
                    format!("the {}", named.name),
                    format!(
                        "{} ml brimful (usual ones {} to {} ml)",
                        sort.capacity_ml, sort.low_ml, sort.high_ml
                    ),
                    format!("`glass: {}, {} ml`", named.name, sort.capacity_ml),
                );
                Some(GlassSize {
                    name: named.name.clone(),
                    capacity_ml: sort.capacity_ml,
                    service: Some(sort.service),
                    assumed_ml: Some((sort.low_ml, sort.high_ml)),
                })
            }
            (None, None) => {
                self.assume(
                    format!("the glass \"{}\"", named.name),
                    "its capacity is not known: the fit is not checked",
                    format!("`glass: {}, 200 ml`", named.name),
                );
                None
            }
        }
    }

    fn declare(&mut self, ingredient: &Ingredient) {
        self.allergens_eu.join(&ingredient.allergens_eu);
        self.allergens_us.join(&ingredient.allergens_us);
        if !ingredient.caution.is_empty() && !self.cautions.contains(&ingredient.caution) {
            self.cautions.push(ingredient.caution.clone());
        }
    }

    /// A garnish that is a known ingredient brings its allergens.
    fn garnishes(&mut self) {
        let drink = self.drink;
        let stock = self.stock;
        for garnish in drink.garnishes() {
            for part in garnish.split([',', ';']) {
                if let Some(ingredient) = stock.get(part.trim()) {
                    self.declare(ingredient);
                }
            }
        }
    }
}

/// Bitters, sauces and the like come from a bottle that dashes; so do the flower waters and the salts.
fn from_a_dasher(ingredient: &Ingredient) -> bool {
    matches!(
        ingredient.kind.as_str(),
        "bitters" | "sauce" | "seasoning" | "vinegar" | "acid"
    ) || ingredient
        .groups
        .iter()
        .any(|g| g == "bitters" || g == "flower waters")
}

fn countable(unit: Unit) -> Option<Countable> {
    Some(match unit {
        Unit::Piece => Countable::Piece,
        Unit::Leaf => Countable::Leaf,
        Unit::Sprig => Countable::Sprig,
        Unit::Slice => Countable::Slice,
        Unit::Wheel => Countable::Wheel,
        Unit::Wedge => Countable::Wedge,
        Unit::Cube => Countable::Cube,
        Unit::Handful => Countable::Handful,
        Unit::Pinch => Countable::Pinch,
        _ => return None,
    })
}

/// A figure for a message: three significant digits, no trailing zeros.
pub(crate) fn rounded(value: f64) -> String {
    let decimals = if value >= 100.0 {
        0
    } else if value >= 10.0 {
        1
    } else {
        2
    };
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}
