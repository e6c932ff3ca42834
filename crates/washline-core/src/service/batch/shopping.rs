//! What to make and what to buy: every drink and every preparation taken apart to what comes in bottles.

use std::collections::BTreeMap;

use rust_decimal::Decimal;
use rust_decimal::prelude::ToPrimitive;

use super::{Batch, BatchLine};
use crate::computed::ComputedDrink;
use crate::ingredient::{Countable, Ingredient, Offer, Quantity, Value};
use crate::measure::{Currency, Ounce, Unit};
use crate::names::key;
use crate::service::cost::{Prices, packages};
use crate::spec::{Assumption, Settings};
use crate::tables::{IngredientKind, Remedy};

/// What to make and to buy.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Shopping {
    /// Preparations to make, those that others are made of first.
    pub make: Vec<Make>,
    /// What to buy, by name.
    pub buy: Vec<Buy>,
    /// What it costs.
    pub bill: Option<Bill>,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
}

/// A preparation to make.
#[derive(Clone, Debug, PartialEq)]
pub struct Make {
    /// Its name.
    pub preparation: String,
    /// How much of it is needed, ml.
    pub volume_ml: f64,
    /// How many times its recipe that is.
    pub makings: f64,
    /// How long it keeps, where that is said.
    pub keeps: Option<String>,
}

/// Something to buy.
#[derive(Clone, Debug, PartialEq)]
pub struct Buy {
    /// What.
    pub ingredient: String,
    /// How much of it is needed, ml; `None` of what is weighed.
    pub volume_ml: Option<f64>,
    /// The same, g.
    pub mass_g: f64,
    /// How many packages, whole; `None` where nobody says what it comes in.
    pub packages: Option<u64>,
    /// The package, as written.
    pub package: String,
    /// What is left over, in the unit of the package.
    pub left_over: Option<(f64, &'static str)>,
    /// Whether the package is only assumed.
    pub assumed: bool,
    /// What those packages cost; `None` where it is not priced.
    pub cost: Option<Decimal>,
}

/// What a list costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Bill {
    /// In what.
    pub currency: Option<Currency>,
    /// What is priced of it.
    pub total: Decimal,
    /// What is not priced.
    pub unpriced: Vec<String>,
}

/// How much of something is needed.
#[derive(Clone, Copy, Debug, Default)]
struct Need {
    ml: f64,
    g: f64,
}

/// What some batches take, preparations taken apart.
pub(super) fn shopping<'a>(
    batches: impl IntoIterator<Item = (&'a ComputedDrink, &'a Batch)>,
    prices: &Prices,
) -> Shopping {
    let mut needs: BTreeMap<String, (String, Need, &ComputedDrink)> = BTreeMap::new();
    let mut make: Vec<Make> = Vec::new();
    for (worked, batch) in batches {
        for line in &batch.lines {
            take(
                worked,
                &line.ingredient,
                of(line, batch),
                &mut needs,
                &mut make,
                0,
            );
        }
    }
    let mut shopping = Shopping {
        // Deepest first: what others are made of stands before them.
        make,
        ..Shopping::default()
    };
    let mut bill: Option<(Option<Currency>, Decimal)> = None;
    let mut unpriced = Vec::new();
    for (name, need, worked) in needs.into_values() {
        // Water comes from the tap.
        if key(&name) == "water" {
            continue;
        }
        let (buy, currency) = bought(worked, name, need, prices, &mut shopping.assumptions);
        match buy.cost {
            Some(cost) => {
                let (known, total) = bill.unwrap_or((currency, Decimal::ZERO));
                if known == currency {
                    bill = Some((known, total + cost));
                } else {
                    unpriced.push(buy.ingredient.clone());
                }
            }
            None => unpriced.push(buy.ingredient.clone()),
        }
        shopping.buy.push(buy);
    }
    shopping.bill = bill.map(|(currency, total)| Bill {
        currency,
        total,
        unpriced,
    });
    let mut seen = std::collections::HashSet::new();
    shopping.assumptions.retain(|a| seen.insert(a.clone()));
    shopping
}

/// What a line takes: what the drinks need, or what a jug rounds that up to.
fn of(line: &BatchLine, batch: &Batch) -> Need {
    let serves = batch.serves_exact;
    Need {
        ml: if line.solid {
            0.0
        } else {
            line.volume_ml.max(serves * line.each_ml)
        },
        g: line.mass_g.max(serves * line.each_g),
    }
}

/// Deeper than any preparation is nested: circles are refused before.
const DEEPEST: usize = 64;

fn take<'a>(
    worked: &'a ComputedDrink,
    name: &str,
    need: Need,
    needs: &mut BTreeMap<String, (String, Need, &'a ComputedDrink)>,
    make: &mut Vec<Make>,
    depth: usize,
) {
    let made = worked
        .context
        .preparations
        .named(name)
        .filter(|_| depth < DEEPEST);
    let Some(made) = made else {
        let entry = needs
            .entry(key(name))
            .or_insert_with(|| (name.to_owned(), Need::default(), worked));
        entry.1.ml += need.ml;
        entry.1.g += need.g;
        return;
    };
    let density = made.liquid.density_g_per_ml().unwrap_or(1.0);
    let ml = if need.ml > 0.0 { need.ml } else { need.g / density };
    for (part, part_ml, part_g) in made.made_of(ml) {
        let own_name = key(part) == key(made.name());
        let need = Need {
            ml: part_ml,
            g: part_g,
        };
        // The lime juice in the house's lime juice is the library's.
        take(
            worked,
            part,
            need,
            needs,
            make,
            if own_name { DEEPEST } else { depth + 1 },
        );
    }
    match make.iter_mut().find(|m| key(&m.preparation) == key(made.name())) {
        Some(known) => {
            known.volume_ml += ml;
            known.makings += ml / made.yield_ml.max(f64::MIN_POSITIVE);
        }
        None => make.push(Make {
            preparation: made.name().to_owned(),
            volume_ml: ml,
            makings: ml / made.yield_ml.max(f64::MIN_POSITIVE),
            keeps: made.keeps.as_ref().map(|k| k.words.clone()),
        }),
    }
}

/// Packages of something, by its price, its fruit, its egg or the usual bottle.
fn bought(
    worked: &ComputedDrink,
    name: String,
    need: Need,
    prices: &Prices,
    assumptions: &mut Vec<Assumption>,
) -> (Buy, Option<Currency>) {
    // What a book makes of that name is taken apart already: this is what it is made of.
    let ingredient = worked
        .context
        .stock
        .get(&name)
        .filter(|i| worked.context.preparations.named(&i.name).is_none())
        .or_else(|| crate::ingredient::library().get(&name));
    let solid = ingredient.is_some_and(Ingredient::is_solid) || need.ml <= 0.0;
    let mut buy = Buy {
        volume_ml: (!solid).then_some(need.ml),
        mass_g: need.g,
        packages: None,
        package: String::new(),
        left_over: None,
        assumed: false,
        cost: None,
        ingredient: name,
    };
    let convention = worked.resolved.convention;
    if let Some(price) = prices.of(&worked.found_in.book, &buy.ingredient) {
        match &price.offer {
            Offer::Bought(bought) => {
                let whole = packages(buy.volume_ml, Some(need.g), ingredient, bought, convention);
                if let Some((count, left)) = whole {
                    buy.packages = Some(count);
                    buy.package.clone_from(&bought.package.written);
                    buy.left_over = Some(left);
                    buy.cost = Decimal::from(count).checked_mul(bought.net());
                    let currency = bought.currency.or(worked.context.settings.currency);
                    return (buy, currency);
                }
            }
            Offer::Free => {
                buy.cost = Some(Decimal::ZERO);
                return (buy, worked.context.settings.currency);
            }
            Offer::Withdrawn => {}
        }
    }
    let Some(ingredient) = ingredient else {
        return (buy, None);
    };
    if let (Some(juice), false) = (ingredient.value(Quantity::JuicePerFruit, convention), solid) {
        assumptions.push(buy.as_fruit(need.ml, juice));
    } else if ingredient.kind == IngredientKind::Egg
        && let Some(piece) = ingredient.value(Quantity::Mass(Countable::Piece), convention)
        && piece.value > 0.0
    {
        buy.packages = Some(whole(need.g, piece.value));
        buy.package = "egg".to_owned();
        buy.assumed = true;
    } else if !solid && is_bottled(ingredient) {
        assumptions.extend(buy.as_bottles(need.ml, ingredient, &worked.context.settings));
    }
    (buy, None)
}

/// So many whole ones, that what is needed is there.
fn whole(needed: f64, each: f64) -> u64 {
    (needed / each - 1e-9).ceil().max(0.0).to_u64().unwrap_or(0)
}

fn is_bottled(ingredient: &Ingredient) -> bool {
    matches!(
        ingredient.kind,
        IngredientKind::Spirit
            | IngredientKind::FlavouredSpirit
            | IngredientKind::Liqueur
            | IngredientKind::BitterLiqueur
            | IngredientKind::AromatisedWine
            | IngredientKind::FortifiedWine
            | IngredientKind::Wine
            | IngredientKind::SparklingWine
            | IngredientKind::Sake
    )
}

impl Buy {
    /// Bought to the low figure: a dry fruit must not end the evening.
    fn as_fruit(&mut self, ml: f64, juice: &Value) -> Assumption {
        self.packages = Some(whole(ml, juice.low));
        self.package = "fruit".to_owned();
        self.assumed = true;
        Assumption::new(
            format!("fruit for {}", self.ingredient),
            format!(
                "{} ml each, the low end of {} to {} ({} fruit at the usual {} ml): {}",
                juice.low,
                juice.low,
                juice.high,
                whole(ml, juice.value),
                juice.value,
                juice.source
            ),
            Remedy::Yield {
                of: Some(self.ingredient.clone()),
                such_as: None,
            },
        )
    }

    /// In bottles of the size that the house says, else of the usual one, which is said.
    fn as_bottles(&mut self, ml: f64, ingredient: &Ingredient, settings: &Settings) -> Option<Assumption> {
        let own = settings.measures.get(&Unit::Bottle).map(|ml| ml.to_f64());
        let wine = matches!(
            ingredient.kind,
            IngredientKind::Wine | IngredientKind::SparklingWine
        );
        let usual = if wine || settings.ounce.unwrap_or_default() == Ounce::Us {
            750.0
        } else {
            700.0
        };
        let size = own.filter(|_| !wine).unwrap_or(usual);
        let count = whole(ml, size);
        self.packages = Some(count);
        self.package = format!("{size} ml");
        self.left_over = count.to_f64().map(|n| ((n * size - ml).max(0.0), "ml"));
        self.assumed = true;
        own.is_none().then(|| {
            Assumption::new(
                if wine { "a bottle of wine" } else { "a bottle" },
                format!("{size} ml, where no price names a package"),
                Remedy::Bottle,
            )
        })
    }
}
