//! A drink with its figures, verdicts and findings.

use schemars::JsonSchema;
use schemars::{Schema, SchemaGenerator};
use serde::Serialize;
use serde_json::{Value, json};
use std::borrow::Cow;
use washline_core::balance::{self, BalanceFigure, Family, GlassFill, Severity, Side, Structure, Verdict};
use washline_core::computed::{ComputedDrink, PourFigures, Summary};
use washline_core::ingredient::Convention;
use washline_core::melt::MeltModel;
use washline_core::spec::{Money, PourMethod, Technique};

use crate::parts::{CurrencyCode, Decimals, Signed, Text, Word, one_of, shape, spoken, texts};
use crate::shared::{Allergens, Assumption, ByMeasure, Figures, each};

spoken!(MeltModel = "melt_model");

shape! {
    Drink<'a> = "drink" of drink: &'a ComputedDrink {
        name: Text<'a> = drink.name().into(),
        /// The title of its book.
        book: Text<'a> = (&drink.found_in.book).into(),
        /// The other lists of the house on which the same drink stands.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        also_on: Vec<Text<'a>> = texts(&drink.found_in.also_on),
        /// The file the book came from.
        file: Text<'a> = (&drink.found_in.file).into(),
        /// The line of its heading.
        #[schemars(range(min = 1))]
        line: usize = drink.found_in.line,
        /// Which version of its spec.
        #[schemars(range(min = 1))]
        version: i64 = drink.found_in.version,
        /// What sort of drink it is; null where no step says how it is made.
        structure: Option<Word<Structure>> = drink.evaluation.structure.map(Word::from),
        /// What it is compared with, by what is poured and how it is served.
        family: Option<Word<Family>> = drink.evaluation.placed.as_ref().map(|placed| placed.family.into()),
        placed: Option<Placed<'a>> = drink.evaluation.placed.as_ref().map(Placed::from),
        /// Where its water comes from: a published relation, conservation of energy, the house's own fit, a weighing, the
        /// spec itself, or no ice.
        melt_model: Word<MeltModel> = drink.evaluation.melt_model.into(),
        /// How juices are counted.
        convention: Word<Convention> = drink.convention().into(),
        /// The country whose standard drinks are counted.
        standard_drink: Text<'a> = drink.standard_drink().into(),
        /// Everything poured, before any ice.
        before: Figures<'a> = (&drink.evaluation.before).into(),
        /// What there is to drink.
        figures: Figures<'a> = (&drink.evaluation.figures).into(),
        /// Where strength, sweetness and tartness lie in the ranges of the structure.
        verdicts: ByMeasure<Word<Verdict>> = verdicts(&drink.evaluation),
        /// The glass with its brimful capacity and how full it is, both null where its size is not known; null where none
        /// is named.
        glass: Option<Glass<'a>> = Glass::named(&drink.evaluation, drink.drink.glass.as_ref().map(|glass| &glass.name)),
        /// What the doubt about strength, sweetness and tartness is made of, the largest share first.
        budget: Vec<Budget<'a>> = each(&drink.evaluation.budget),
        /// What there is to say, the gravest first.
        findings: Vec<Finding<'a>> = each(&drink.evaluation.findings),
        /// Everything taken for granted.
        assumptions: Vec<Assumption<'a>> = each(&drink.resolved.assumptions),
        allergens: Allergens<'a> = Allergens::of(&drink.resolved.allergens_eu, &drink.resolved.allergens_us),
        #[schemars(extend("uniqueItems" = true))]
        cautions: Vec<Text<'a>> = texts(&drink.resolved.cautions),
        /// What it sells for: an exact decimal.
        price: Option<Price<'a>> = drink.drink.price.as_ref().map(Price::from),
        garnish: Option<Text<'a>> = drink.garnish().map(Text::from),
        /// When it is poured, by itself or by its list.
        seasons: Vec<Text<'a>> = texts(drink.seasons()),
        /// The words put on it or on its list.
        tags: Vec<Text<'a>> = texts(drink.tags()),
        /// How many it serves, where it is for more than one.
        #[serde(skip_serializing_if = "Option::is_none")]
        #[schemars(range(min = 1))]
        serves: Option<f64> = drink.resolved.serves,
    }
}

impl<'a> From<&'a Summary> for Drink<'a> {
    fn from(drink: &'a Summary) -> Drink<'a> {
        let evaluation = &drink.evaluation;
        Drink {
            name: (&drink.name).into(),
            book: (&drink.found_in.book).into(),
            also_on: texts(&drink.found_in.also_on),
            file: (&drink.found_in.file).into(),
            line: drink.found_in.line,
            version: drink.found_in.version,
            structure: evaluation.structure.map(Word::from),
            family: evaluation.placed.as_ref().map(|placed| placed.family.into()),
            placed: evaluation.placed.as_ref().map(Placed::from),
            melt_model: evaluation.melt_model.into(),
            convention: drink.convention.into(),
            standard_drink: (&drink.standard_drink).into(),
            before: (&evaluation.before).into(),
            figures: (&evaluation.figures).into(),
            verdicts: verdicts(evaluation),
            glass: Glass::named(evaluation, drink.glass.as_ref()),
            budget: each(&evaluation.budget),
            findings: each(&evaluation.findings),
            assumptions: each(&drink.assumptions),
            allergens: Allergens::of(&drink.allergens_eu, &drink.allergens_us),
            cautions: texts(&drink.cautions),
            price: drink.price.as_ref().map(Price::from),
            garnish: drink.garnish.as_ref().map(Text::from),
            seasons: texts(&drink.seasons),
            tags: texts(&drink.tags),
            serves: drink.serves,
        }
    }
}

pub fn verdicts(evaluation: &balance::Evaluation) -> ByMeasure<Word<Verdict>> {
    ByMeasure::of(|measure| evaluation.verdicts[measure as usize].into())
}

shape! {
    Price<'a> = "selling_price" of price: &'a Money {
        amount: Decimals = price.amount.into(),
        /// Where the spec names one.
        currency: Option<CurrencyCode<'a>> = price.currency.map(CurrencyCode::from),
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "glass")]
pub struct Glass<'a> {
    pub name: Text<'a>,
    pub capacity_ml: Option<f64>,
    pub fill_pct: Option<f64>,
}

impl<'a> Glass<'a> {
    fn named(evaluation: &'a balance::Evaluation, named: Option<&'a String>) -> Option<Glass<'a>> {
        let known = evaluation.glass.as_ref();
        Some(Glass {
            name: known.map(|glass| &glass.name).or(named)?.into(),
            capacity_ml: known.map(|glass: &GlassFill| glass.capacity_ml),
            fill_pct: known.map(|glass| glass.fill_pct),
        })
    }
}

shape! {
    Budget<'a> = "budget" of part: &'a balance::Budget {
        measure: Word<BalanceFigure> = part.measure.into(),
        input: Text<'a> = (&part.input).into(),
        /// Share of the variance.
        #[schemars(range(min = 0, max = 1))]
        share: f64 = part.share,
        /// What would settle it.
        settled_by: Text<'a> = (&part.settled_by).into(),
    }
}

shape! {
    /// Where a drink lies among the published drinks of its family.
    Placed<'a> = "placed" of placed: &'a balance::Placed {
        /// Another family it is near to.
        near_family: Option<Word<Family>> = placed.near.map(Word::from),
        compared_with: Vec<Word<Family>> = placed.compared_with.iter().map(|family| Word::from(*family)).collect(),
        /// How many published drinks.
        drinks: usize = placed.count,
        /// How many of a hundred published drinks gain less by the undoing of one fault.
        #[schemars(range(min = 0, max = 100))]
        further_out_than_pct: Option<f64> = placed.further_out_pct,
        /// What the undoing of its worst fault gains.
        score: Option<f64> = placed.score,
        /// Above this it is at the edge.
        edge_score: Option<f64> = placed.edge_score,
        /// Above this it is outside.
        outside_score: Option<f64> = placed.outside_score,
        /// The share of published drinks that have less, %.
        percentiles: ByMeasure<Option<f64>> = ByMeasure::of(|m| placed.percentiles[m as usize]),
        /// Between what nine tenths of them lie.
        seen: ByMeasure<Option<[f64; 2]>> = ByMeasure::of(|m| placed.seen[m as usize].map(<[f64; 2]>::from)),
        nearest: Vec<Relative<'a>> = each(&placed.nearest),
    }
}

one_of!(
    /// How far to trust what is said of a published drink.
    PublishedStatus = "published_status": "READ", "MEMORY"
);

shape! {
    Relative<'a> = "relative" of drink: &'a balance::Relative {
        name: Text<'a> = (&drink.name).into(),
        author: Text<'a> = (&drink.author).into(),
        #[schemars(range(min = 1700, max = 2100))]
        year: Option<u16> = drink.year,
        status: PublishedStatus<'a> = PublishedStatus(&drink.status),
        abv_pct: f64 = drink.abv_pct,
        sugar_g_per_100ml: f64 = drink.sugar_g_per_100ml,
        acid_g_per_100ml: f64 = drink.acid_g_per_100ml,
    }
}

/// Its kind, how grave it is, the measure it is about, a sentence, and the numbers in the sentence.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "finding")]
pub struct Finding<'a> {
    #[serde(flatten)]
    #[schemars(with = "MeasureOrNull")]
    pub finding: &'a balance::Finding,
    pub severity: Word<Severity>,
    /// Null, where what it is about is no measure.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(skip)]
    pub measure: Option<()>,
    pub message: Text<'a>,
}

impl<'a> From<&'a balance::Finding> for Finding<'a> {
    fn from(finding: &'a balance::Finding) -> Finding<'a> {
        // What is about one brings it with its numbers.
        let measure = finding.measure().is_none().then_some(());
        Finding {
            finding,
            severity: finding.severity().into(),
            measure,
            message: finding.to_string().into(),
        }
    }
}

spoken!(Side = "side": "Too little or too much.");
spoken!(Technique = "technique": "A way of working a drink.");

/// The kinds of findings, each with its measure: null where it is about none.
struct MeasureOrNull;

impl JsonSchema for MeasureOrNull {
    fn schema_name() -> Cow<'static, str> {
        "finding_kind".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut schema = FindingKind::json_schema(generator);
        let kinds = schema.get_mut("oneOf").and_then(Value::as_array_mut);
        for kind in kinds.into_iter().flatten() {
            if kind["properties"].get("measure").is_none() {
                kind["properties"]["measure"] = json!({ "type": "null" });
                if let Some(required) = kind["required"].as_array_mut() {
                    required.push("measure".into());
                }
            }
        }
        schema
    }
}

/// The kinds of findings with their numbers, as [`balance::Finding`] is written.
#[derive(JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum FindingKind {
    OffBalance {
        measure: Word<BalanceFigure>,
        side: Word<Side>,
        value: f64,
        structure: Word<Structure>,
        family: Option<Word<Family>>,
        verdict: Word<Verdict>,
        /// What is usual, as printed.
        usual: Option<Text<'static>>,
        /// Who says so: the house or the handbook.
        usual_by: Option<Text<'static>>,
        /// Between what nine tenths of the published drinks lie.
        seen: Option<Text<'static>>,
        /// Whether the figure itself lies among theirs, and is off beside the others.
        beside: bool,
        /// Whether the figure is sweetness as sucrose, because something other than sugar sweetens it.
        as_sucrose: bool,
        /// Whether what is usual and what is published do not meet anywhere.
        apart: bool,
    },
    TooClose {
        measure: Word<BalanceFigure>,
        side: Word<Side>,
        value: f64,
        /// Lower end of its 95 % interval.
        low: f64,
        /// Upper end of its 95 % interval.
        high: f64,
        /// Where the figure as computed lies.
        computed: Word<Verdict>,
        structure: Word<Structure>,
        family: Option<Word<Family>>,
        /// How likely it is that nothing is off, %.
        #[schemars(range(min = 0, max = 100))]
        within_pct: f64,
        usual: Text<'static>,
        /// What most of the doubt comes from.
        input: Text<'static>,
        /// Its share of the doubt, %.
        share_pct: f64,
        /// What would settle it.
        settled_by: Text<'static>,
    },
    ShakenFizz {
        ingredient: Text<'static>,
    },
    UnshakenFoam {
        ingredient: Text<'static>,
    },
    NeverChilled {},
    MethodMissing {},
    GlassOverflows {
        glass: Text<'static>,
        capacity_ml: f64,
        volume_ml: f64,
        holds_ml: f64,
        iced: bool,
        /// Whether the capacity is only the largest usual one.
        assumed: bool,
    },
    GlassBrimming {
        glass: Text<'static>,
        capacity_ml: f64,
        volume_ml: f64,
    },
    NoRoomForTop {
        glass: Text<'static>,
        capacity_ml: f64,
        volume_ml: f64,
    },
    GlassHalfEmpty {
        glass: Text<'static>,
        capacity_ml: f64,
        volume_ml: f64,
    },
    MeltOutsideFit {
        technique: Word<Technique>,
        strength_pct: f64,
        from_pct: f64,
        to_pct: f64,
        water_pct: Signed,
        /// Water the handbook's curve would give, % of the mix.
        curve_pct: Signed,
    },
    IceRanOut {
        ice_g: f64,
        temperature_c: Signed,
        needs_g: f64,
    },
    FreezesOn {
        water_g: f64,
    },
    ChilledTwice {},
    OddWeighing {
        water_pct: Signed,
    },
}

spoken!(PourMethod = "place": "How it goes in.");

shape! {
    Pour<'a> = "pour" of pour: PourFigures {
        /// Its place among the steps.
        position: usize = pour.position,
        ingredient: Text<'a> = pour.ingredient.into(),
        /// Its name as it is typed.
        written_name: String = pour.written_name,
        /// The amount as written.
        written: String = pour.written,
        place: Word<PourMethod> = pour.place.into(),
        /// At 20 °C.
        volume_ml: f64 = pour.volume_ml,
        mass_g: f64 = pour.mass_g,
        ethanol_g: f64 = pour.ethanol_g,
        sugar_g: f64 = pour.sugar_g,
        /// Titratable, as citric.
        acid_g: f64 = pour.acid_g,
    }
}
