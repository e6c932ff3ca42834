//! From an amount as written to millilitres or grams, with the span of what is not exact.

use std::ops::Range;

use super::Resolver;
use super::doubt::Input;
use crate::ingredient::{Countable, Ingredient, Quantity, Spread, Value};
use crate::measure::{Amount, Dimension, Unit};
use crate::spec::{Extent, Pour, PourAmount, PourMethod, Step, Unplaced};
use crate::tables::{Glass, IngredientKind, Service, WASHLINE_SHARE};

/// How much of something: a volume or a mass, and what is not exact about it.
pub(super) struct Much {
    pub ml: Option<f64>,
    pub grams: Option<f64>,
    /// What it depends on, each with its spread as a factor of the amount.
    pub doubts: Vec<(Input, Spread)>,
    /// The unit that a bare number was taken for.
    pub taken_unit: Option<Unit>,
}

impl Much {
    pub(super) fn ml(ml: f64) -> Much {
        Much {
            ml: Some(ml),
            grams: None,
            doubts: Vec::new(),
            taken_unit: None,
        }
    }

    pub(super) fn grams(grams: f64) -> Much {
        Much {
            ml: None,
            grams: Some(grams),
            doubts: Vec::new(),
            taken_unit: None,
        }
    }

    /// From `low` to `high` times as much, round what is computed.
    pub(super) fn between(self, input: Input, low: f64, high: f64) -> Much {
        self.spread(input, Spread::around(low, 1.0, high))
    }

    /// As uncertain as a value that it is counted by.
    pub(super) fn no_surer_than(self, ingredient: &Ingredient, value: &Value) -> Much {
        let input = Input::Value(ingredient.name.as_str().into(), value.quantity);
        let factor = value.spread().filter(|_| value.value > 0.0).map(|s| Spread {
            mean: s.mean / value.value,
            standard: s.standard / value.value,
            ..s
        });
        self.spread(input, factor)
    }

    fn spread(mut self, input: Input, factor: Option<Spread>) -> Much {
        self.doubts.extend(factor.map(|factor| (input, factor)));
        self
    }

    /// So many times as much.
    fn times(self, factor: f64) -> Much {
        Much {
            ml: self.ml.map(|v| v * factor),
            grams: self.grams.map(|v| v * factor),
            ..self
        }
    }
}

/// How far a jigger pour is off, ml either way, and the smallest pour it is counted for. From memory: half of
/// what Directive 2014/32/EU allows a transfer measure below 100 ml.
const POUR_SPREAD_ML: f64 = 1.0;
/// How far a small pour is off, as a share of it: from memory.
const SMALL_POUR_SPREAD: f64 = 0.1;
/// How far a reading of the bar's scale is off, g either way: half its last digit.
const SCALE_SPREAD_G: f64 = 0.5;

/// The mix of a drink that is given in parts and without a size, ml, and the least and most it may be: the volume
/// the handbook's melt was measured on; 60 to 120 ml is common practice, no source.
const UNSAID_MIX_ML: f64 = 90.0;
const UNSAID_MIX_SPAN_ML: (f64, f64) = (60.0, 120.0);

/// The same of a drink with something carbonated among its parts, ml: common practice, no source.
const UNSAID_LONG_ML: f64 = 180.0;
const UNSAID_LONG_SPAN_ML: (f64, f64) = (120.0, 240.0);

impl Resolver<'_> {
    /// How much of an ingredient a pour is.
    pub(super) fn much(
        &mut self,
        pour: &Pour,
        unit: Option<Unit>,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Much, Unplaced> {
        match &pour.measure {
            PourAmount::Of(extent, _) => {
                if extent.nominal.is_zero() {
                    self.assume(&ingredient.name, "an amount of 0 is kept, and adds nothing", "");
                }
                let (unit, taken_unit) = match unit {
                    Some(unit) => (unit, None),
                    None => {
                        let taken = self.missing_unit(pour, extent, ingredient, span)?;
                        (taken, Some(taken))
                    }
                };
                let one = Much {
                    taken_unit,
                    ..self.one(unit, ingredient, span)?
                };
                let nominal = extent.nominal.to_f64();
                let (low, high) = if nominal > 0.0 {
                    (extent.low.to_f64() / nominal, extent.high.to_f64() / nominal)
                } else {
                    (1.0, 1.0)
                };
                let much = one.times(nominal);
                if !extent.is_exact() {
                    return Ok(much.between(self.amount_of(ingredient), low, high));
                }
                // A dash and a mint leaf are as uncertain as their size; what is measured, as the hand that pours.
                let share = match (much.ml, much.grams) {
                    _ if !much.doubts.is_empty() => 0.0,
                    (Some(ml), _) if ml > 0.0 => (POUR_SPREAD_ML / ml).min(SMALL_POUR_SPREAD),
                    (_, Some(grams)) if grams > 0.0 => (SCALE_SPREAD_G / grams).min(1.0),
                    _ => 0.0,
                };
                Ok(much.between(self.amount_of(ingredient), 1.0 - share, 1.0 + share))
            }
            PourAmount::Open(unit) => {
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
                    doubts: Vec::new(),
                    ..one.times(nominal)
                }
                .between(self.amount_of(ingredient), 0.0, 2.0))
            }
            PourAmount::Fill => Ok(Much::ml(60.0).between(self.amount_of(ingredient), 0.5, 2.0)),
            PourAmount::Usual => Ok(match pour.place {
                PourMethod::Mist => {
                    self.assume(
                        format!("a mist of {}", ingredient.name),
                        "0.15 ml stays (between 0.1 and 0.3 ml): common practice, no source",
                        "write an amount",
                    );
                    Much::ml(0.15).between(self.amount_of(ingredient), 0.67, 2.0)
                }
                PourMethod::Float => {
                    self.assume(
                        format!("a float of {}", ingredient.name),
                        "10 ml (between 7.5 and 15 ml): from memory",
                        "write an amount",
                    );
                    Much::ml(10.0).between(self.amount_of(ingredient), 0.75, 1.5)
                }
                _ => {
                    self.assume(
                        format!("a rinse of {}", ingredient.name),
                        "1 ml stays in the glass (between 0 and 2 ml): common practice, no source",
                        "write an amount",
                    );
                    Much::ml(1.0).between(self.amount_of(ingredient), 0.0, 2.0)
                }
            }),
        }
    }

    /// The amount of this very pour, as an input of its own.
    fn amount_of(&self, ingredient: &Ingredient) -> Input {
        Input::Amount(self.at, ingredient.name.as_str().into())
    }

    /// A bare number: a count of pieces, or the unit that every other line agrees on.
    pub(super) fn missing_unit(
        &mut self,
        pour: &Pour,
        extent: &Extent,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Unit, Unplaced> {
        let amount = extent.nominal;
        if let Some(unit) = ingredient.counted_in(amount, self.convention) {
            return Ok(unit);
        }
        let whole = amount.is_whole();
        let name = &pour.choices[0].name;
        let units = self.units();
        // `0.5 saline` among 45 and 20: millilitres, for nobody weighs or counts it.
        let seasons = matches!(ingredient.kind, IngredientKind::Seasoning | IngredientKind::Acid);
        let metric = units.bare.iter().any(|a| *a >= Amount::raw(10, 1)) && units.ounces == 0;
        if seasons && metric && !whole && amount < Amount::raw(5, 2) {
            self.assume(
                format!("{name} {amount}"),
                "millilitres, as its size and the other lines say",
                "write the unit",
            );
            return Ok(Unit::Millilitre);
        }
        if let Some(unit) = units.of_a_bare(amount) {
            let said = match unit {
                Unit::Part => "a share of the whole, for the amounts add up to one",
                Unit::Ounce => "ounces, as its size and the other lines say",
                Unit::Centilitre => "centilitres, as its size and the other lines say",
                Unit::Gram => "grams, as its size and the other lines say",
                _ => "millilitres, as its size and the other lines say",
            };
            self.assume(format!("{name} {amount}"), said, "write the unit");
            return Ok(unit);
        }
        // `half a lime`: of a fruit that is pressed, half of it.
        let fruit = ingredient.figure(Quantity::JuicePerFruit, self.convention);
        if fruit.is_some() && amount == Amount::raw(1, 2) {
            return Ok(Unit::Fruit);
        }
        let mut readings = vec![format!("{} oz {name}", amount.mixed_fraction())];
        // Nobody pours half a millilitre.
        if amount >= Amount::raw(5, 2) {
            readings.insert(0, format!("{amount} ml {name}"));
        }
        if let Some(fruit) = name
            .strip_suffix(" juice")
            .or_else(|| ingredient.name.strip_suffix(" juice"))
        {
            readings.push(format!("juice of {} {fruit}", amount.mixed_fraction()));
        }
        Err(Unplaced::ask(
            span.clone(),
            format!("no unit for `{name}`; expected ml, oz, dashes or the like"),
            readings,
        ))
    }

    /// The units of the drink's pours.
    pub(super) fn units(&self) -> Units {
        let mut units = Units::default();
        for line in self.drink.lines() {
            let Step::Pour(Pour {
                measure: PourAmount::Of(extent, unit),
                choices,
                ..
            }) = &line.step
            else {
                continue;
            };
            // Fruit, herbs and eggs are counted, not measured.
            let counted = |i: &Ingredient| i.is_solid() || i.kind == IngredientKind::Egg;
            if unit.is_none()
                && choices
                    .first()
                    .and_then(|n| self.stock.usual(&n.name))
                    .is_some_and(counted)
            {
                continue;
            }
            match unit {
                None => units.bare.push(extent.nominal),
                Some(Unit::Millilitre) => units.millilitres += 1,
                Some(Unit::Centilitre) => units.centilitres += 1,
                Some(Unit::Ounce) => units.ounces += 1,
                Some(Unit::Gram) => units.grams += 1,
                Some(_) => {}
            }
        }
        units
    }

    /// One unit of an ingredient.
    pub(super) fn one(
        &mut self,
        unit: Unit,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Much, Unplaced> {
        let facts = unit.facts();
        let (name, solid) = (&ingredient.name, ingredient.is_solid());
        let unit_name = facts.written.0;
        match facts.dimension {
            Dimension::Mass => {
                let size = self.size(unit, span)?;
                let much = Much::grams(size.0).between(Input::Measure(unit), size.1, size.2);
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
            Dimension::Share if unit == Unit::Glassful => self.glassful(span),
            Dimension::Share => self.part(span),
            Dimension::Count => self.counted(unit, ingredient, span),
            Dimension::Volume if unit == Unit::Dash && solid => {
                self.assume(
                    format!("a dash of {name}"),
                    "a pinch of 0.3 g (between 0.1 and 0.5 g): common practice, no source",
                    "write grams",
                );
                Ok(Much::grams(0.3).between(self.amount_of(ingredient), 1.0 / 3.0, 5.0 / 3.0))
            }
            Dimension::Volume
                if unit == Unit::Dash
                    && !self.settings.measures.contains_key(&unit)
                    && !from_a_dasher(ingredient) =>
            {
                Ok(self.dashed_without_a_dasher(ingredient))
            }
            Dimension::Volume
                if unit == Unit::Splash
                    && lengthens(ingredient)
                    && !self.settings.measures.contains_key(&unit) =>
            {
                self.assume(
                    format!("a splash of {name}"),
                    "15 ml (between 5 and 30 ml), for it lengthens: common practice, no source",
                    "`splash:` in the book, or the volume",
                );
                Ok(Much::ml(15.0).between(Input::Measure(unit), 1.0 / 3.0, 2.0))
            }
            Dimension::Volume => {
                let size = match (unit, self.settings.measures.get(&unit)) {
                    (Unit::Bottle, None) => self.bottle(ingredient, span)?,
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
                Ok(Much::ml(nominal).between(Input::Measure(unit), low, high))
            }
        }
    }

    /// A dash of what comes from no dasher bottle: a thimble of a spirit, more of what is mild.
    fn dashed_without_a_dasher(&mut self, ingredient: &Ingredient) -> Much {
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
            format!("a dash of {}", ingredient.name),
            format!("{ml} ml (between {low} and {high} ml), for it comes from no dasher bottle: common practice, no source"),
            "write an amount",
        );
        Much::ml(ml).between(self.amount_of(ingredient), low / ml, high / ml)
    }

    /// The size of a bottle that nobody said, as [`Resolver::size`] gives it.
    fn bottle(
        &mut self,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<(f64, f64, f64, bool), Unplaced> {
        let name = &ingredient.name;
        match ingredient.kind {
            // Still and sparkling wine is sold in more sizes than one, and where a drink says "a bottle" it is this: a
            // standard of fill in 27 CFR 4.37 (2008), READ, and of Directive 2007/45/EC, from memory; that it is the usual
            // one is common practice, no source.
            IngredientKind::Wine | IngredientKind::SparklingWine => {
                self.assume(
                    format!("a bottle of {name}"),
                    "750 ml, the usual bottle of wine",
                    "`bottle:` in the book, or the volume",
                );
                Ok((750.0, 1.0, 1.0, false))
            }
            // A mixer comes in small bottles of several sizes: an interval over them stands for the one at hand.
            IngredientKind::Soda => {
                self.assume(
                    format!("a bottle of {name}"),
                    "200 ml (between 125 and 355 ml), a small bottle of a mixer: common practice, no source",
                    "`bottle:` in the book, or the volume",
                );
                Ok((200.0, 0.625, 1.775, false))
            }
            _ => {
                let readings = ["700 ml", "750 ml", "1000 ml"]
                    .iter()
                    .map(|b| format!("{b} {name}"))
                    .collect();
                Err(Unplaced::ask(
                    span.clone(),
                    "a bottle of what size? set `bottle:` in the book, or write the volume",
                    readings,
                ))
            }
        }
    }

    /// A unit's size here: nominal, low and high as factors of it, and whether to say so.
    pub(super) fn size(&self, unit: Unit, span: &Range<usize>) -> Result<(f64, f64, f64, bool), Unplaced> {
        let written = unit.facts().written.0;
        let sized = self
            .measures
            .size(unit)
            .ok_or_else(|| match unit.said_of_many_sizes() {
                Some((asked, sizes)) => Unplaced::ask(
                    span.clone(),
                    format!("{asked}: set `{written}:` in the book, or write the volume"),
                    sizes.iter().map(|&s| s.to_owned()).collect(),
                ),
                None => Unplaced::reject(
                    span.clone(),
                    format!("`{written}` has no size of its own; expected ml, oz or g"),
                ),
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
    pub(super) fn dry_volume(
        &mut self,
        unit: Unit,
        ml: f64,
        ingredient: &Ingredient,
    ) -> Result<Much, Unplaced> {
        let unit_name = unit.facts().written.0;
        let known = ingredient.value(Quantity::BulkDensity, self.convention);
        let (density, low, high, said) = match known {
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
            if unit == Unit::Ounce {
                "write `oz by weight` for the ounce of a scale, 28.35 g; or grams"
            } else {
                "write grams"
            },
        );
        let much = Much::grams(ml * density);
        Ok(match known {
            Some(v) => much.no_surer_than(ingredient, v),
            None => much.between(self.amount_of(ingredient), low / density, high / density),
        })
    }

    /// What goes into a small glass that is drunk neat, ml: nine tenths of it, common practice, no source.
    fn small_glass(&self) -> Option<f64> {
        let sort = Glass::called(&self.drink.glass.as_ref()?.name)?;
        (sort.service == Service::Neat && sort.capacity_ml < UNSAID_MIX_SPAN_ML.0)
            .then_some(0.9 * sort.capacity_ml)
    }

    /// What the drink's glass holds to its washline, of which a line pours a share: `1/2 glassful stout`.
    fn glassful(&mut self, span: &Range<usize>) -> Result<Much, Unplaced> {
        if let Some(serve) = self.drink.serve_ml {
            return Ok(Much::ml(serve.to_f64()));
        }
        let Some(glass) = self.glass() else {
            // A glass that nobody knows the size of: shares of a mix as any other.
            if self.drink.glass.is_some() {
                let (ml, (low, high)) = (UNSAID_MIX_ML, UNSAID_MIX_SPAN_ML);
                self.assume(
                    "a glass without a size",
                    format!("{ml} ml of mix (between {low} and {high} ml)"),
                    "`glass: goblet, 250 ml`, with its size",
                );
                return Ok(Much::ml(ml).between(Input::GlassSize, low / ml, high / ml));
            }
            return Err(Unplaced::ask(
                span.clone(),
                "a share of which glass? expected its name with its size, or the volume",
                vec!["glass: highball, 300 ml".to_owned(), "120 ml".to_owned()],
            ));
        };
        self.assume(
            "a glassful",
            format!(
                "{:.0} % of the {} of {:.0} ml, without ice",
                100.0 * WASHLINE_SHARE,
                glass.name,
                glass.capacity_ml
            ),
            "write the volume",
        );
        let capacity = glass.capacity_ml;
        let (low, high) = glass.assumed_ml.unwrap_or((capacity, capacity));
        let much = Much::ml(WASHLINE_SHARE * capacity);
        Ok(much.between(Input::GlassSize, low / capacity, high / capacity))
    }

    /// A part: its share of the serve.
    pub(super) fn part(&mut self, span: &Range<usize>) -> Result<Much, Unplaced> {
        if let Some(size) = self.drink.part_ml {
            return Ok(Much::ml(size.to_f64()));
        }
        let serve = self.drink.serve_ml.or(self.settings.serve_ml);
        let parts: f64 = self
            .drink
            .lines()
            .filter_map(|l| match &l.step {
                Step::Pour(Pour {
                    measure: PourAmount::Of(extent, Some(Unit::Part)),
                    ..
                }) => Some(extent.nominal.to_f64()),
                // Fractions without a unit that add up to one are shares too.
                Step::Pour(Pour {
                    measure: PourAmount::Of(extent, None),
                    ..
                }) if extent.nominal < Amount::ONE => Some(extent.nominal.to_f64()),
                _ => None,
            })
            .sum();
        if parts <= 0.0 {
            return Err(Unplaced::reject(span.clone(), "the parts add up to nothing"));
        }
        if let Some(serve) = serve {
            return Ok(Much::ml(serve.to_f64() / parts));
        }
        // A glass that holds less than any mix says how large it is.
        if let Some(small) = self.small_glass() {
            return Ok(Much::ml(small / parts));
        }
        // Nobody says how large the drink is: as large as the mix that the handbook's melt was measured on, or what a
        // glass of something lengthened holds.
        let (ml, (low, high)) = if self.lengthened_in_parts() {
            (UNSAID_LONG_ML, UNSAID_LONG_SPAN_ML)
        } else {
            (UNSAID_MIX_ML, UNSAID_MIX_SPAN_ML)
        };
        self.assume(
            "parts without a size",
            format!("{ml} ml of mix (between {low} and {high} ml)"),
            "`serve: 90 ml`, or `part: 30 ml`, under the drink's name",
        );
        Ok(Much::ml(ml / parts).between(Input::Measure(Unit::Part), low / ml, high / ml))
    }

    /// Whether something carbonated is among the parts: `3 parts prosecco`.
    fn lengthened_in_parts(&self) -> bool {
        self.drink.lines().any(|l| match &l.step {
            Step::Pour(Pour {
                measure: PourAmount::Of(_, Some(Unit::Part)),
                choices,
                ..
            }) => choices
                .first()
                .and_then(|n| self.stock.usual(&n.name))
                .is_some_and(|i| i.carbonated),
            _ => false,
        })
    }

    /// One of something that is counted: leaf, slice, wedge, piece, fruit.
    pub(super) fn counted(
        &mut self,
        unit: Unit,
        ingredient: &Ingredient,
        span: &Range<usize>,
    ) -> Result<Much, Unplaced> {
        let name = &ingredient.name;
        let unit_name = unit.facts().written.0;
        if unit == Unit::Fruit {
            let Some(v) = ingredient.value(Quantity::JuicePerFruit, self.convention) else {
                return Err(Unplaced::reject(
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
            return Ok(Much::ml(value).no_surer_than(ingredient, v));
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
            return Err(Unplaced::reject(
                span.clone(),
                format!("how heavy a {unit_name} of {name} is, is not known; expected g or ml"),
            ));
        };
        let (value, low, high) = (v.value, v.low, v.high);
        self.assume(
            if unit == Unit::Piece {
                format!("one {name}")
            } else {
                format!("a {unit_name} of {name}")
            },
            format!("{value} g (between {low} and {high} g): {}", v.source),
            "write grams",
        );
        Ok(Much::grams(value).no_surer_than(ingredient, v))
    }
}

/// What the pours of a drink are measured in.
#[derive(Default)]
pub(super) struct Units {
    /// Amounts without a unit.
    bare: Vec<Amount>,
    millilitres: usize,
    centilitres: usize,
    ounces: usize,
    grams: usize,
}

impl Units {
    /// The unit that an amount without one can only be, by its size and by what the other lines say.
    pub(super) fn of_a_bare(&self, amount: Amount) -> Option<Unit> {
        let at_most = |n: i128| amount <= Amount::raw(n, 1);
        let metric = self.millilitres + self.centilitres;
        if self.ounces > 0 && metric == 0 {
            return at_most(12).then_some(Unit::Ounce);
        }
        if self.centilitres > 0 && self.millilitres == 0 && self.ounces == 0 {
            return at_most(20).then_some(Unit::Centilitre);
        }
        if self.millilitres > 0 && self.ounces == 0 {
            return (amount >= Amount::raw(5, 2)).then_some(Unit::Millilitre);
        }
        if self.grams > 1 && metric + self.ounces == 0 {
            return (amount >= Amount::raw(5, 2)).then_some(Unit::Gram);
        }
        if metric + self.ounces > 0 {
            return None;
        }
        if self.bare.len() < 2 {
            // One number by itself: 50 is in millilitres, ¾ and 1½ in ounces; of a 2 nobody can tell.
            let whole = amount.is_whole();
            return match () {
                () if amount >= Amount::raw(10, 1) => Some(Unit::Millilitre),
                () if !whole && at_most(4) => Some(Unit::Ounce),
                () => None,
            };
        }
        // `half gin, half vermouth`, `two thirds gin, one third vermouth`: shares of the whole.
        let sum = self.bare.iter().fold(Amount::ZERO, |sum, a| sum + *a);
        if sum.to_f64() > 0.98 && sum.to_f64() < 1.02 {
            return Some(Unit::Part);
        }
        // Nothing but bare numbers: a drink of 60, 22 and 15 is in millilitres, one of 2, 1 and 3/4 in ounces.
        let largest = self.bare.iter().max().copied().unwrap_or(Amount::ZERO);
        if largest >= Amount::raw(10, 1) {
            (amount >= Amount::raw(5, 2)).then_some(Unit::Millilitre)
        } else if largest <= Amount::raw(4, 1) && largest >= Amount::raw(3, 4) {
            Some(Unit::Ounce)
        } else {
            None
        }
    }
}

/// Whether it lengthens a drink: splashed from a bottle, and not from a spoon.
fn lengthens(ingredient: &Ingredient) -> bool {
    ingredient.carbonated
        || matches!(
            ingredient.kind,
            IngredientKind::Juice
                | IngredientKind::Water
                | IngredientKind::Cordial
                | IngredientKind::CoffeeAndTea
        )
}

/// Bitters, sauces and the like come from a bottle that dashes; so do the flower waters and the salts.
fn from_a_dasher(ingredient: &Ingredient) -> bool {
    matches!(
        ingredient.kind,
        IngredientKind::Bitters
            | IngredientKind::Sauce
            | IngredientKind::Seasoning
            | IngredientKind::Vinegar
            | IngredientKind::Acid
    ) || ingredient
        .groups
        .iter()
        .any(|g| g == "bitters" || g == "flower waters")
}

pub(super) fn countable(unit: Unit) -> Option<Countable> {
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
    crate::tables::printed::trimmed(value, decimals)
}
