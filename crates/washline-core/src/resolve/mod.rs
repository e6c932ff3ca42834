//! From names and written amounts to liquids: never a silent guess.
//!
//! Everything that was taken for granted (how large a dash is, what "lime" means, which syrup) is
//! an [`Assumption`]; everything that cannot be told is a fault with the candidate readings.

mod amounts;
mod doubt;
mod meant;
mod names;
mod portion;
mod serves;
mod solution;

pub(crate) use amounts::rounded;
pub use doubt::{Doubt, Effect, Input};
pub use portion::{Brought, Portion};

use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

use amounts::Much;
use meant::{Meant, is_hot};

use crate::ingredient::{
    Convention, Declaration, Ingredient, Quantity, Shape, Spread, Stock, Value, refusal,
};
use crate::liquid::{Family, Liquid, LiquidError};
use crate::measure::{Amount, Measures, Unit};
use crate::melt::OwnMelt;
use crate::melt::heat::{FREEZER_C, FRIDGE_C, ROOM_C};
use crate::names::key;
use crate::spec::{
    Assumption, Cold, Drink, Fault, Named, Pour, PourAmount, PourMethod, Prepare, Role, Settings, Source,
    Step, Technique, Unplaced, WaterGiven, Work, amount_text,
};
use crate::tables::{Glass, Ice, IceForm, IngredientKind, Service, StandardDrink, Structure};

/// How far a bottle may be from the strength on its label, % vol either way: the tolerance for spirits in
/// Regulation (EU) 1169/2011 Annex XII, from memory.
const LABEL_SPREAD_PCT: f64 = 0.3;

/// The most that is taken for one serve without a word, ml: a litre glass of beer and its head hold no mixed drink. Common
/// practice, no source.
const LARGEST_SERVE_ML: f64 = 600.0;

/// How far what is poured may be from a total that is said, as a share of it: dashes and egg white are counted by some
/// and not by others. Common practice, no source.
const TOTAL_SPREAD: f64 = 0.08;

/// Standard uncertainty, in what a pour brings, below which a value moves no printed figure: g of sugar or acid,
/// g of extract, L x % vol of strength, L x % of what is pressed out.
fn least(quantity: Quantity) -> f64 {
    match quantity {
        Quantity::Part(part) if part.facts().family == Family::Extract => 0.05,
        Quantity::Part(_) => 0.002,
        _ => 0.000_2,
    }
}

/// How far the largest sugar or acid of an ingredient is from its share of the total, as a part of it either way: from
/// memory.
pub const SPLIT_SPREAD: f64 = 0.15;
/// Sugar or acid of another sort, g, below which it moves no printed figure: a gram of sucrose that is glucose freezes a
/// hundredth of a kelvin lower.
const LEAST_SPLIT_G: f64 = 0.5;

/// A drink whose every pour is a liquid.
#[derive(Clone, Debug)]
pub struct Resolved {
    /// Its name.
    pub name: String,
    /// The steps, in working order: one of each line of the drink.
    pub steps: Vec<ResolvedStep>,
    /// The glass, where the spec names one that is known or sized.
    pub glass: Option<GlassSize>,
    /// How many drinks the amounts as written are for, where the spec says; the figures are those of one.
    pub serves: Option<f64>,
    /// The structure the writer names.
    pub structure: Option<Structure>,
    /// The family the writer names, which stands over what the rules say.
    pub family: Option<crate::tables::Family>,
    /// Water gained, given by the writer.
    pub water: Option<WaterGiven>,
    /// The bar's ice, tins and room.
    pub cold: Cold,
    /// What the house has weighed.
    pub own_melt: OwnMelt,
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

impl Resolved {
    /// The pours with their places among the steps, each with how it is typed.
    pub fn pours(&self) -> impl DoubleEndedIterator<Item = (usize, &ResolvedPour)> {
        self.steps.iter().enumerate().filter_map(|(at, step)| match step {
            ResolvedStep::Pour(pour) => Some((at, pour)),
            _ => None,
        })
    }

    /// The pour at a step; `None` where the step is none.
    #[must_use]
    pub fn pour_at(&self, at: usize) -> Option<&ResolvedPour> {
        match self.steps.get(at)? {
            ResolvedStep::Pour(pour) => Some(pour),
            _ => None,
        }
    }
}

/// A step that is ready to be worked out, with what is written in it.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "most steps of a drink are pours")]
pub enum ResolvedStep {
    /// Something poured or put in.
    Pour(ResolvedPour),
    /// Work on it.
    Work(ResolvedWork),
    /// Strained off its ice and solids.
    Strain {
        /// Through a fine sieve as well.
        fine: bool,
    },
    /// Poured with its ice and solids.
    Unstrained,
    /// Served on ice.
    OverIce(Ice),
    /// Ice put into the tin or the glass.
    Ice(Ice),
    /// Served without ice.
    Neat,
    /// Left to stand, s: nothing that changes the liquid.
    Rest(Amount),
    /// A garnish, in the writer's words: nothing that changes the liquid.
    Garnish(String),
    /// Work on a preparation.
    Prepare(Prepare),
}

impl ResolvedStep {
    /// The step as it is written.
    #[must_use]
    pub fn written(&self) -> Step {
        match self {
            ResolvedStep::Pour(pour) => Step::Pour(Pour::clone(&pour.typed)),
            ResolvedStep::Work(work) => Step::Work(Work::clone(&work.typed)),
            ResolvedStep::Strain { fine } => Step::Strain { fine: *fine },
            ResolvedStep::Unstrained => Step::Unstrained,
            ResolvedStep::OverIce(ice) => Step::OverIce(ice.clone()),
            ResolvedStep::Ice(ice) => Step::Ice(ice.clone()),
            ResolvedStep::Neat => Step::Neat,
            ResolvedStep::Rest(seconds) => Step::Rest(*seconds),
            ResolvedStep::Garnish(words) => Step::Garnish(words.clone()),
            ResolvedStep::Prepare(prepare) => Step::Prepare(prepare.clone()),
        }
    }
}

/// Work, with what the line says of its time and its ice.
#[derive(Clone, Debug, PartialEq)]
pub struct ResolvedWork {
    /// The work as it is typed.
    pub typed: Arc<Work>,
    /// How it is worked.
    pub technique: Technique,
    /// For how long, s, where the line says so.
    pub seconds: Option<f64>,
    /// On what ice and how much of it, where the line says.
    pub ice: Option<Ice>,
    /// Whether the line says that the ice comes from a freezer.
    pub freezer_ice: bool,
    /// Temperature of the tin, °C, where the line says that it is chilled.
    pub tin_c: Option<f64>,
}

impl ResolvedWork {
    /// Work of which the line says no more than what it is.
    #[must_use]
    pub fn plain(technique: Technique) -> ResolvedWork {
        ResolvedWork {
            typed: Arc::new(Work {
                technique,
                seconds: None,
                ice: None,
                words: String::new(),
            }),
            technique,
            seconds: None,
            ice: None,
            freezer_ice: false,
            tin_c: None,
        }
    }

    fn of(work: &Work) -> ResolvedWork {
        let words = key(&work.words);
        // `shake with crushed ice`: ice in the words of the line.
        let in_words = || {
            words
                .split(' ')
                .any(|w| matches!(w, "ice" | "cubes" | "cube"))
                .then(|| Ice::said(&work.words))
                .filter(|ice| ice.form != IceForm::Unsaid || ice.mass_g.is_some())
        };
        let ice = work.ice.clone().or_else(in_words);
        let of_tin = ["tin", "shaker", "mixing glass"]
            .iter()
            .any(|w| words.contains(w));
        let tin_c = match () {
            () if of_tin && (words.contains("frozen") || words.contains("freezer")) => Some(FREEZER_C),
            () if of_tin && (words.contains("chilled") || words.contains("cold")) => Some(FRIDGE_C),
            () => None,
        };
        ResolvedWork {
            typed: Arc::new(work.clone()),
            technique: work.technique,
            seconds: work.seconds.map(Amount::to_f64),
            freezer_ice: ice.as_ref().is_some_and(|ice| ice.from_freezer) || words.contains("freezer ice"),
            ice,
            tin_c,
        }
    }
}

/// The temperature of a pour, °C, by what its line and its kind say; room temperature of what they say nothing.
fn pour_temperature_c(typed: &str, hot: bool, served_hot: bool, ingredient: &Ingredient) -> f64 {
    // What stands in the ingredient's own name is what it is called: cold brew and cold-pressed juice say nothing of how
    // cold they are poured.
    let typed = said_beside(&key(typed), ingredient);
    let says = |words: &[&str]| words.iter().any(|w| typed.contains(&format!(" {w} ")));
    // A drink served hot is made so by what is brewed or heated.
    let heated = matches!(
        ingredient.kind,
        IngredientKind::CoffeeAndTea | IngredientKind::Water | IngredientKind::Dairy
    );
    if hot || served_hot && heated {
        if says(&["boiling"]) { BOILING_C } else { HOT_C }
    } else if says(&["freezer", "frozen", "freezer cold"]) {
        FREEZER_C
    } else if says(&["fridge", "chilled", "cold", "ice cold", "fridge cold"]) || ingredient.carbonated {
        // Whatever fizzes is kept cold, or it would foam out of the glass.
        FRIDGE_C
    } else {
        ROOM_C
    }
}

/// The words of a line that are no part of a name or alias of what it pours, ` ` round each.
fn said_beside(typed: &str, ingredient: &Ingredient) -> String {
    let padded = |words: &str| format!(" {} ", words.replace('-', " "));
    // A way of making is no temperature, whatever the name.
    let typed = [
        "cold pressed",
        "cold press",
        "cold brewed",
        "cold brew",
        "cold drip",
        "cold infused",
    ]
    .iter()
    .fold(padded(typed), |left, way| left.replace(&format!(" {way} "), " "));
    let names = std::iter::once(&ingredient.name).chain(&ingredient.aliases);
    let longest = names
        .map(|name| padded(&key(name)))
        .filter(|name| typed.contains(name.as_str()))
        .max_by_key(String::len);
    match longest {
        Some(name) => typed.replacen(name.as_str(), " ", 1),
        None => typed,
    }
}

/// What a line calls hot, °C: common practice, no source.
const HOT_C: f64 = 80.0;
/// Just off the boil, °C: common practice, no source.
const BOILING_C: f64 = 95.0;

/// A pour that is a liquid.
#[derive(Clone, Debug, PartialEq)]
pub struct ResolvedPour {
    /// The pour as it is typed.
    pub typed: Arc<Pour>,
    /// Where its line stands in the source of the drink.
    pub span: Range<usize>,
    /// The ingredient it comes from.
    pub ingredient: String,
    /// What sort of thing that is: spirit, juice, syrup …
    pub kind: IngredientKind,
    /// The kinds a line can name it by: gins, coffees …
    pub groups: Vec<String>,
    /// The amount as written, with its unit.
    pub written: String,
    /// The unit that its bare number was taken for; `None` where the line has one.
    pub taken_unit: Option<Unit>,
    /// How it goes in.
    pub place: PourMethod,
    /// How much of it goes in.
    pub portion: Portion,
    /// What is not exactly known about it.
    pub doubts: Vec<Doubt>,
    /// What the other choices would bring, where the line leaves one.
    pub others: Vec<Liquid>,
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
    /// Its temperature, °C.
    pub temperature_c: f64,
}

impl ResolvedPour {
    /// What it is called where it is typed.
    #[must_use]
    pub fn typed_name(&self) -> &str {
        self.typed.choices.first().map_or("", |named| named.name.as_str())
    }
}

/// A glass with its brimful capacity.
#[derive(Clone, Debug, PartialEq)]
pub struct GlassSize {
    /// Its name, as the spec has it.
    pub name: String,
    /// Brimful capacity, ml.
    pub capacity_ml: f64,
    /// How it is used, where its sort is known.
    pub service: Option<Service>,
    /// Smallest and largest usual capacity, ml, where only the sort of glass is given and its size is assumed.
    pub assumed_ml: Option<(f64, f64)>,
    /// How cold its name says it is, °C: `chilled coupe`, `frozen mug`.
    pub said_c: Option<f64>,
}

/// How cold a glass is by the words before its name, °C.
fn glass_c(name: &str) -> Option<f64> {
    let folded = key(name);
    folded.split([' ', '-']).find_map(|word| match word {
        "freezer" | "frozen" | "frosted" => Some(FREEZER_C),
        "chilled" | "prechilled" | "cold" | "fridge" => Some(FRIDGE_C),
        _ => None,
    })
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
        at: 0,
        assumptions: Vec::new(),
        wrongs: Vec::new(),
        allergens_eu: Declaration::default(),
        allergens_us: Declaration::default(),
        cautions: Vec::new(),
    };
    let steps = resolver.steps();
    let glass = resolver.glass();
    resolver.garnishes();
    resolver.compare_with_the_total(&steps);
    resolver.refuse_what_never_goes_in();
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
    let mut resolved = Resolved {
        name: drink.name.clone(),
        steps,
        serves: None,
        glass,
        structure: drink.structure,
        family: drink.family,
        water: drink.water,
        cold: settings.cold,
        own_melt: OwnMelt::default(),
        convention,
        standard_drink: StandardDrink::of_country(country)
            .or_else(|| StandardDrink::of_country(StandardDrink::DEFAULT_COUNTRY))
            .unwrap_or_else(|| unreachable!("the default country stands in the table")),
        assumptions,
        allergens_eu: resolver.allergens_eu,
        allergens_us: resolver.allergens_us,
        cautions: resolver.cautions,
    };
    serves::share_out(&mut resolved, drink);
    Ok(resolved)
}

struct Resolver<'a> {
    stock: &'a Stock,
    settings: &'a Settings,
    measures: Measures,
    convention: Convention,
    drink: &'a Drink,
    /// The place of the step that is being resolved.
    at: usize,
    assumptions: Vec<Assumption>,
    wrongs: Vec<Unplaced>,
    allergens_eu: Declaration,
    allergens_us: Declaration,
    cautions: Vec<String>,
}

impl<'a> Resolver<'a> {
    fn assume(
        &mut self,
        about: impl Into<String>,
        taken: impl Into<String>,
        change: impl Into<crate::tables::Remedy>,
    ) {
        self.assumptions.push(Assumption::new(about, taken, change));
    }

    fn steps(&mut self) -> Vec<ResolvedStep> {
        let mut steps = Vec::new();
        let drink = self.drink;
        for (at, line) in drink.lines().enumerate() {
            self.at = at;
            self.assumptions.extend(line.assumptions.iter().cloned());
            steps.push(match &line.step {
                Step::Pour(pour) => match self.pour(pour, &line.span) {
                    Ok(pour) => ResolvedStep::Pour(pour),
                    Err(wrong) => {
                        self.wrongs.push(wrong);
                        continue;
                    }
                },
                Step::Work(work) => ResolvedStep::Work(ResolvedWork::of(work)),
                Step::Strain { fine } => ResolvedStep::Strain { fine: *fine },
                Step::Unstrained => ResolvedStep::Unstrained,
                Step::OverIce(ice) => ResolvedStep::OverIce(ice.clone()),
                Step::Neat => ResolvedStep::Neat,
                Step::Ice(ice) => ResolvedStep::Ice(ice.clone()),
                Step::Rest(seconds) => ResolvedStep::Rest(*seconds),
                Step::Garnish(words) => ResolvedStep::Garnish(words.clone()),
                Step::Prepare(prepare) => ResolvedStep::Prepare(prepare.clone()),
            });
        }
        steps
    }

    fn pour(&mut self, pour: &Pour, span: &Range<usize>) -> Result<ResolvedPour, Unplaced> {
        let Some(named) = pour.choices.first() else {
            return Err(Unplaced::reject(span.clone(), "no ingredient"));
        };
        let Meant {
            ingredient,
            unit,
            brix,
        } = self.meant(pour, named, span)?;
        let candidates = self.candidates_of(pour, named, brix.is_some(), span)?;
        let ingredient = ingredient.as_ref();
        let strength = self.strength_of(pour, named, ingredient, span)?;
        let base = ingredient.liquid(self.convention, strength).map_err(|e| {
            Unplaced::reject(
                span.clone(),
                format!("{} at {} % vol: {}", e.name, strength.unwrap_or(0.0), e.why),
            )
        })?;
        let much = self.much(pour, unit, ingredient, span)?;
        self.declare(ingredient);
        let fills = pour.measure == PourAmount::Fill;
        // The same amount of an ingredient, as the liquid it brings.
        let brings = |base: &Liquid, share: f64| -> Result<Liquid, LiquidError> {
            match (much.ml, much.grams) {
                (_, Some(grams)) => base.of_mass(grams)?.times(share),
                (Some(_), None) if fills => base.of_volume(1.0),
                (Some(ml), None) => base.of_volume(ml),
                (None, None) => Ok(Liquid::NOTHING),
            }
        };
        let solid = ingredient.is_solid();
        let pressed = self.pressed_share(ingredient);
        let liquid = brings(&base, if solid { pressed } else { 1.0 })
            .map_err(|e| Unplaced::reject(span.clone(), e.to_string()))?;
        let doubts = self.doubts(ingredient, strength, &much, &liquid, fills, &brings);
        let others = candidates
            .iter()
            .filter_map(|other| {
                brings(
                    &other.liquid(self.convention, None).ok()?,
                    self.pressed_share(other),
                )
                .ok()
            })
            .collect();
        let volume_ml = liquid.volume_ml();
        if !fills {
            self.wonder_at(ingredient, volume_ml);
        }
        let hot = is_hot(pour, named, ingredient);
        let served_hot = self.drink.structure == Some(Structure::Hot);
        let egg = ingredient.kind == IngredientKind::Egg;
        let lean = base.fat_g() < 0.02 * base.mass_g();
        Ok(ResolvedPour {
            typed: Arc::new(pour.clone()),
            span: span.clone(),
            ingredient: ingredient.name.clone(),
            kind: ingredient.kind.clone(),
            groups: ingredient.groups.clone(),
            written: amount_text(pour),
            taken_unit: much.taken_unit,
            place: pour.place,
            portion: if fills {
                Portion::Fills {
                    each_ml: liquid,
                    usual_ml: much.ml.unwrap_or(0.0),
                }
            } else {
                Portion::Fixed(Brought {
                    volume_ml,
                    mass_g: much.grams.unwrap_or(liquid.mass_g()),
                    liquid,
                })
            },
            doubts,
            others,
            needs_pressing: solid && pressed < 1.0,
            carbonated: ingredient.carbonated,
            foamer: ingredient.kind == IngredientKind::Foamer || (egg && lean),
            egg,
            hot,
            temperature_c: pour_temperature_c(
                &format!("{} {}", named.full, pour.note),
                hot,
                served_hot,
                ingredient,
            ),
        })
    }

    /// The share of a solid that is pressed out of it; all of it where nothing is known.
    fn pressed_share(&self, ingredient: &Ingredient) -> f64 {
        ingredient
            .figure(Quantity::PressYield, self.convention)
            .unwrap_or(100.0)
            / 100.0
    }

    /// What else the pour could be: the members of its group, the other readings of its name, its other choices.
    fn candidates_of(
        &mut self,
        pour: &Pour,
        named: &Named,
        as_said: bool,
        span: &Range<usize>,
    ) -> Result<Vec<Cow<'a, Ingredient>>, Unplaced> {
        let mut candidates: Vec<Cow<'a, Ingredient>> = Vec::new();
        if named.any {
            let members = self.stock.group(&named.name).into_iter().skip(1);
            candidates.extend(members.map(Cow::Borrowed));
        }
        if !as_said {
            candidates.extend(self.either(&named.name).into_iter().map(Cow::Borrowed));
        }
        for other in &pour.choices[1..] {
            candidates.push(self.find(other, pour.measure.unit(), None, span)?.0);
        }
        Ok(candidates)
    }

    /// More of one thing than is poured in one drink is computed as written, and said.
    fn wonder_at(&mut self, ingredient: &Ingredient, volume_ml: f64) {
        let is_lengthener = matches!(
            ingredient.kind,
            IngredientKind::Soda
                | IngredientKind::Water
                | IngredientKind::Beer
                | IngredientKind::Cider
                | IngredientKind::SparklingWine
                | IngredientKind::Wine
                | IngredientKind::CoffeeAndTea
        );
        if volume_ml > 200.0
            && self.drink.serves.is_none()
            && self.drink.each_serve_ml.is_none()
            && self.drink.makes.is_none()
            && !is_lengthener
        {
            self.assume(
                format!("{volume_ml:.0} ml {}", ingredient.name),
                "taken as written, though it is much for one serve",
                "write the amount for one serve",
            );
        }
    }

    /// What is not exactly known of a pour of `much` of an ingredient that comes to `liquid`: its amount, and
    /// what is in it. `brings` makes the pour from a litre (or 100 g) of it and the share that is pressed out.
    fn doubts(
        &self,
        ingredient: &Ingredient,
        strength: Option<f64>,
        much: &Much,
        liquid: &Liquid,
        fills: bool,
        brings: &dyn Fn(&Liquid, f64) -> Result<Liquid, LiquidError>,
    ) -> Vec<Doubt> {
        let mut doubts: Vec<Doubt> = much
            .doubts
            .iter()
            .map(|(input, spread)| Doubt {
                input: input.clone(),
                spread: *spread,
                effect: Effect::Amount,
            })
            .collect();
        let name: std::sync::Arc<str> = ingredient.name.as_str().into();
        let litres = if fills {
            much.ml.unwrap_or(0.0)
        } else {
            liquid.volume_ml()
        } / 1000.0;
        let pressed = ingredient
            .figure(Quantity::PressYield, self.convention)
            .filter(|_| ingredient.is_solid());
        let brought = |base: &Liquid| brings(base, pressed.unwrap_or(100.0) / 100.0).ok();
        let families = [Family::Sugar, Family::Acid];
        let totals = families.map(|family| ingredient.total(family, self.convention));
        for (family, parts) in families.into_iter().zip(&totals) {
            doubts.extend(self.total_doubts(ingredient, strength, litres, liquid, (family, parts), &brought));
        }
        for value in ingredient.values_in(self.convention) {
            if totals
                .iter()
                .flatten()
                .any(|(part, _)| part.quantity == value.quantity)
            {
                continue;
            }
            let spread = match (value.quantity, strength) {
                (Quantity::Strength, Some(label)) => Spread::rectangular(
                    (label - LABEL_SPREAD_PCT).max(0.0),
                    (label + LABEL_SPREAD_PCT).min(100.0),
                ),
                (Quantity::Strength | Quantity::Part(_), _) => value.spread(),
                (Quantity::PressYield, _) if pressed.is_some() => value.spread(),
                _ => None,
            };
            let Some(spread) = spread.filter(|s| litres * s.standard > least(value.quantity)) else {
                continue;
            };
            let with = |x: f64| -> Option<Liquid> {
                if value.quantity == Quantity::PressYield {
                    return liquid.times(x / pressed?).ok();
                }
                let other = |q: Quantity, usual: f64| if q == value.quantity { x } else { usual };
                let base = ingredient.liquid_if(self.convention, strength, &other).ok()?;
                brings(&base, pressed.unwrap_or(100.0) / 100.0).ok()
            };
            let (below, above) = spread.either_side();
            doubts.push(Doubt {
                input: Input::Value(name.clone(), value.quantity),
                spread,
                effect: Effect::Liquid {
                    below: with(below).unwrap_or(*liquid),
                    above: with(above).unwrap_or(*liquid),
                },
            });
        }
        doubts
    }

    /// What is not known of all the sugar, or all the acid, of a pour: how much there is, and how it is shared out.
    fn total_doubts(
        &self,
        ingredient: &Ingredient,
        strength: Option<f64>,
        litres: f64,
        liquid: &Liquid,
        (family, parts): (Family, &[(&Value, f64)]),
        brought: &dyn Fn(&Liquid) -> Option<Liquid>,
    ) -> Vec<Doubt> {
        let Some((largest, weight)) = parts.first() else {
            return Vec::new();
        };
        let sum = |of: fn(&Value) -> f64| parts.iter().map(|(v, w)| of(v) * w).sum::<f64>();
        let (total, low, high) = (sum(|v| v.value), sum(|v| v.low), sum(|v| v.high));
        let bell = parts.iter().all(|(v, _)| v.shape == Shape::Normal);
        let relative = match bell {
            true => Spread::normal(1.0 - 0.5 * (high - low) / total, 1.0 + 0.5 * (high - low) / total),
            false => Spread::around(low / total, 1.0, high / total),
        };
        let is_part = |q: Quantity| parts.iter().any(|(v, _)| v.quantity == q);
        let with = |figure: &dyn Fn(Quantity, f64) -> f64| {
            ingredient
                .liquid_if(self.convention, strength, figure)
                .ok()
                .and_then(|base| brought(&base))
                .unwrap_or(*liquid)
        };
        let of_total = |factor: f64| with(&|q, usual| if is_part(q) { factor * usual } else { usual });
        let share = largest.value * weight / total;
        // What the largest part has more, the others have less.
        let others = |factor: f64| ((1.0 - share * factor) / (1.0 - share).max(f64::MIN_POSITIVE)).max(0.0);
        let of_split = |factor: f64| {
            with(&|q, usual| match q {
                q if q == largest.quantity => factor * usual,
                q if is_part(q) => others(factor) * usual,
                _ => usual,
            })
        };
        let half = SPLIT_SPREAD.min(1.0 / share - 1.0);
        let split = Spread::rectangular(1.0 - half, 1.0 + half);
        let delivery: std::sync::Arc<str> = ingredient.delivery().into();
        let least_total = least(largest.quantity);
        let mut doubts = Vec::new();
        if let Some(spread) = relative.filter(|s| litres * total * s.standard > least_total) {
            let (below, above) = spread.either_side();
            doubts.push(Doubt {
                input: Input::Total(delivery.clone(), family),
                spread,
                effect: Effect::Liquid {
                    below: of_total(below),
                    above: of_total(above),
                },
            });
        }
        if let Some(spread) = split.filter(|s| litres * largest.value * s.standard > LEAST_SPLIT_G) {
            let (below, above) = spread.either_side();
            doubts.push(Doubt {
                input: Input::Split(delivery, family),
                spread,
                effect: Effect::Liquid {
                    below: of_split(below),
                    above: of_split(above),
                },
            });
        }
        doubts
    }

    /// What the drink says it comes to in all stands beside what is poured: where the two differ, one is a slip.
    fn compare_with_the_total(&mut self, steps: &[ResolvedStep]) {
        let drink = self.drink;
        self.ask_for_how_many(steps);
        let Some(total) = drink.serve_ml.map(Amount::to_f64).filter(|ml| *ml > 0.0) else {
            return;
        };
        let pours = || {
            steps.iter().filter_map(|s| match s {
                ResolvedStep::Pour(pour) => Some(pour),
                _ => None,
            })
        };
        // `serve: 90 ml` sizes the parts of a spec; only a total that is said as one is compared.
        let said = key(&drink.text)
            .split(|c: char| !c.is_alphabetic())
            .any(|w| w == "total");
        if !said {
            return;
        }
        let in_parts = drink.lines().any(|l| {
            matches!(&l.step, Step::Pour(p) if matches!(&p.measure, PourAmount::Of(extent, unit)
                if *unit == Some(Unit::Part) || unit.is_none() && extent.nominal < Amount::ONE))
        });
        if drink.makes.is_some() || in_parts || !self.wrongs.is_empty() || pours().any(ResolvedPour::fills) {
            return;
        }
        let poured: f64 = pours().filter_map(ResolvedPour::fixed).map(|p| p.volume_ml).sum();
        let count = drink.serves.map_or(1.0, Amount::to_f64);
        let near = |ml: f64| (ml - total).abs() <= TOTAL_SPREAD * total;
        if near(poured) || near(poured / count) || near(poured * count) {
            return;
        }
        let message = format!(
            "the pours come to {poured:.0} ml, and the total that is said is {total:.0} ml: which is it?"
        );
        self.wrongs
            .push(Unplaced::ask(drink.span.clone(), message, Vec::new()));
    }

    /// More than one serve holds, and nobody says for how many: the figures would be those of a jug.
    fn ask_for_how_many(&mut self, steps: &[ResolvedStep]) {
        let drink = self.drink;
        let told = drink.makes.is_some() || drink.serves.is_some() || drink.each_serve_ml.is_some();
        let holds = drink
            .glass
            .as_ref()
            .and_then(|g| g.capacity_ml)
            .map_or(0.0, Amount::to_f64);
        let poured: f64 = steps
            .iter()
            .filter_map(|s| match s {
                ResolvedStep::Pour(pour) => Some(pour.fixed()?.volume_ml),
                _ => None,
            })
            .sum();
        // What is not mixed is as strong in a jug as in a glass, and what is not served is no drink yet.
        let served = drink.glass.is_some()
            || steps.iter().any(|s| {
                !matches!(
                    s,
                    ResolvedStep::Pour(_)
                        | ResolvedStep::Rest(_)
                        | ResolvedStep::Garnish(_)
                        | ResolvedStep::Prepare(_)
                )
            });
        let mixed = served
            && steps
                .iter()
                .filter(|s| matches!(s, ResolvedStep::Pour(_)))
                .count()
                > 1;
        if told || !mixed || !self.wrongs.is_empty() || poured <= LARGEST_SERVE_ML.max(holds) {
            return;
        }
        let message = format!("the pours come to {poured:.0} ml, more than one serve: for how many is it?");
        self.wrongs.push(Unplaced::ask(
            drink.span.clone(),
            message,
            vec![
                "serves: 6".to_owned(),
                "each serve: 120 ml".to_owned(),
                "serves: 1".to_owned(),
            ],
        ));
    }

    fn glass(&mut self) -> Option<GlassSize> {
        let named = self.drink.glass.as_ref()?;
        let sort = Glass::called(&named.name);
        // `chilled coupe` is the coupe of the book.
        let folded = key(&named.name);
        let words: Vec<&str> = folded.split(' ').collect();
        let own =
            (0..words.len()).find_map(|from| self.settings.glasses.get(&words[from..].join(" ")).copied());
        let capacity = named.capacity_ml.or(own);
        let said_c = glass_c(&named.name);
        match (capacity, sort) {
            (Some(ml), sort) => Some(GlassSize {
                name: named.name.clone(),
                capacity_ml: ml.to_f64(),
                service: sort.map(|s| s.service),
                assumed_ml: None,
                said_c,
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
                    said_c,
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
        // A preparation has the cautions of all its parts, `; ` between them.
        for caution in ingredient.caution.split("; ").filter(|c| !c.is_empty()) {
            if !self.cautions.iter().any(|known| known == caution) {
                self.cautions.push(caution.to_owned());
            }
        }
    }

    /// What must never go in is refused wherever it stands: on the rim, in the method, in a note of the reader's.
    fn refuse_what_never_goes_in(&mut self) {
        let drink = self.drink;
        let words = drink
            .account
            .iter()
            .filter(|a| matches!(a.role, Role::Garnish | Role::Mention | Role::Note))
            .map(|a| (a.text.as_str(), a.span.clone()));
        let garnish = drink.particular("garnish").map(|g| (g, drink.span.clone()));
        for (text, span) in words.chain(garnish) {
            if let Some(message) = refusal(text) {
                self.wrongs.push(Unplaced::reject(span, message));
            }
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
