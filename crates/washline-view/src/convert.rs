//! A juice adjusted with acid powder, two strengths blended.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use washline_core::advise;
use washline_core::ingredient::Convention;
use washline_core::liquid::{Component, Liquid};

use crate::parts::{Signed, Text, Version, Word, one_of, shape};
use crate::shared::each;

/// A juice that is adjusted, with what it is adjusted to.
pub struct Adjusting<'a> {
    pub juice: &'a str,
    pub to: &'a str,
    /// A millilitre of each.
    pub own: &'a Liquid,
    pub like: &'a Liquid,
    /// Acid by acid, and not by total.
    pub profile: bool,
    pub convention: Convention,
    pub adjusted: &'a advise::Adjusted,
}

#[must_use]
pub fn acid_g_per_l(liquid: &Liquid) -> f64 {
    10.0 * liquid.acid_g_per_100ml().unwrap_or(0.0)
}

#[must_use]
pub fn sugar_g_per_l(liquid: &Liquid) -> f64 {
    10.0 * liquid.sugar_g_per_100ml().unwrap_or(0.0)
}

/// What a liquid has of an acid, g/L.
#[must_use]
pub fn of_acid(liquid: &Liquid, acid: Component) -> f64 {
    let unknown = if acid == Component::Citric {
        liquid.grams(Component::AcidUnspecifiedAsCitric)
    } else {
        0.0
    };
    1000.0 * (liquid.grams(acid) + unknown) / liquid.volume_ml()
}

const ACIDS: [Component; 6] = [
    Component::Citric,
    Component::Malic,
    Component::Tartaric,
    Component::Lactic,
    Component::Acetic,
    Component::Phosphoric,
];

/// Acids with something of them in any of the three, in order.
#[must_use]
pub fn acids(told: &Adjusting<'_>) -> Vec<Component> {
    ACIDS
        .into_iter()
        .filter(|acid| {
            [told.own, told.like, &told.adjusted.made]
                .iter()
                .any(|liquid| of_acid(liquid, *acid) > 0.05)
        })
        .collect()
}

one_of!(
    /// Whether it is made as tart in all, or acid by acid.
    AdjustedBy = "adjusted_by": "total", "profile"
);
one_of!(
    /// An acid that is sold as powder.
    PowderAcid = "powder_acid": "citric acid", "malic acid", "tartaric acid"
);

shape! {
    /// Acid powder that makes a juice as tart as another.
    #[schemars(title = "washline adjust")]
    Adjust<'a> = "adjust" of told: &Adjusting<'a> {
        schema: Version = Version,
        juice: Text<'a> = told.juice.into(),
        to: Text<'a> = told.to.into(),
        by: AdjustedBy<'a> = AdjustedBy(if told.profile { "profile" } else { "total" }),
        convention: Word<Convention> = told.convention.into(),
        juice_ml: f64 = told.adjusted.juice_ml,
        #[schemars(length(min = 1))]
        powders: Vec<Powder> = each(&told.adjusted.powders),
        made_ml: f64 = told.adjusted.made_ml(),
        /// The room that the powder takes up.
        powder_ml: f64 = told.adjusted.powder_ml(),
        before: Strengths = (told, told.own).into(),
        after: Strengths = (told, &told.adjusted.made).into(),
        wanted: Strengths = (told, told.like).into(),
        /// Acids it has more of than wanted: powder takes none out.
        too_much: Vec<OfAcid<'a>> = each(&told.adjusted.too_much),
        /// Acids of the other that are not sold as powder.
        left_out: Vec<OfAcid<'a>> = each(&told.adjusted.left_out),
    }
}

shape! {
    Powder = "powder" of powder: &advise::Powder {
        acid: PowderAcid<'static> = PowderAcid(powder.acid.facts().name),
        /// What reaches the strength, its own room counted.
        g: f64 = powder.grams,
        /// The rule of thumb: for the volume of the juice alone.
        g_displacement_not_counted: f64 = powder.plain_g,
    }
}

shape! {
    OfAcid<'a> = "of_acid" of of: &(Component, f64) {
        acid: Text<'a> = of.0.facts().name.into(),
        g_per_l: f64 = of.1,
    }
}

shape! {
    Strengths = "strengths" of of: (&Adjusting<'_>, &Liquid) {
        acid_as_citric_g_per_l: f64 = acid_g_per_l(of.1),
        sugar_g_per_l: f64 = sugar_g_per_l(of.1),
        /// Those that one of the juices has.
        acids_g_per_l: Acids = Acids(acids(of.0).into_iter().map(|acid| (acid, of_acid(of.1, acid))).collect()),
    }
}

/// Acids with how much there is of each, g/L, by name.
#[derive(Debug)]
pub struct Acids(Vec<(Component, f64)>);

impl Serialize for Acids {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(self.0.iter().map(|(acid, g)| (acid.facts().name, g)))
    }
}

impl JsonSchema for Acids {
    fn schema_name() -> Cow<'static, str> {
        "acids".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut properties = serde_json::Map::new();
        for acid in ACIDS {
            properties.insert(
                acid.facts().name.to_owned(),
                generator.subschema_for::<f64>().into(),
            );
        }
        json_schema!({ "type": "object", "properties": properties, "required": [] })
    }
}

/// How much of each of two strengths makes a third.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline blend")]
pub struct Blend<'a> {
    pub schema: Version,
    pub first: NamedPart<'a>,
    pub second: NamedPart<'a>,
    pub made: Part,
    /// By how much the parts are more than the blend.
    pub shrinks_ml: Signed,
}

impl<'a> Blend<'a> {
    #[must_use]
    pub fn of([first, second]: [&'a str; 2], blended: &advise::Blended) -> Blend<'a> {
        let named = |name: &'a str, liquid: &Liquid| NamedPart {
            part: liquid.into(),
            name: name.into(),
        };
        Blend {
            schema: Version,
            first: named(first, &blended.first),
            second: named(second, &blended.second),
            made: (&blended.made).into(),
            shrinks_ml: blended.shrinks_ml().into(),
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "named_part")]
pub struct NamedPart<'a> {
    #[serde(flatten)]
    pub part: Part,
    pub name: Text<'a>,
}

shape! {
    Part = "part_of_a_blend" of liquid: &Liquid {
        /// At 20 °C.
        ml: f64 = liquid.volume_ml(),
        g: f64 = liquid.mass_g(),
        #[schemars(range(min = 0, max = 100))]
        strength_pct: f64 = liquid.abv_pct().unwrap_or(0.0),
    }
}
