//! What the house makes for its drinks.

use washline_core::computed::Prepared;
use washline_core::ingredient::Convention;
use washline_core::prepare;

use crate::parts::{Text, Word, shape, spoken, texts};
use crate::shared::{Allergens, Assumption, each};

shape! {
    /// A syrup, cordial, infusion, adjusted juice or batch, made of other ingredients.
    Preparation<'a> = "preparation" of prepared: &'a Prepared {
        name: Text<'a> = prepared.name().into(),
        book: &'a str = &prepared.found_in.book,
        file: &'a str = &prepared.found_in.file,
        #[schemars(range(min = 1))]
        line: usize = prepared.found_in.line,
        #[schemars(range(min = 1))]
        version: i64 = prepared.found_in.version,
        kind: Text<'a> = prepared.made.ingredient.kind.word().into(),
        aliases: Vec<Text<'a>> = texts(&prepared.made.ingredient.aliases),
        convention: Word<Convention> = prepared.made.convention.into(),
        /// What there is of it in the end, at 20 °C.
        yield_ml: f64 = prepared.made.yield_ml,
        yield_g: f64 = prepared.made.yield_g,
        /// Whether the writer measured it.
        yield_measured: bool = prepared.made.measured,
        abv_pct: f64 = prepared.made.liquid.abv_pct().unwrap_or(0.0),
        /// Degrees Brix where nothing but sugar is dissolved in water.
        sugar_g_per_100g: f64 = prepared.made.brix(),
        sugar_g_per_l: f64 = prepared.made.sugar_g_per_l(),
        /// Titratable, as citric.
        acid_g_per_l: f64 = prepared.made.acid_g_per_l(),
        density_g_per_ml: Option<f64> = prepared.made.liquid.density_g_per_ml(),
        /// Null where nobody says.
        keeps: Option<Keeping<'a>> = Keeping::of(&prepared.made),
        carbonated: bool = prepared.made.ingredient.carbonated,
        allergens: Allergens<'a> = Allergens::of(&prepared.made.ingredient.allergens_eu, &prepared.made.ingredient.allergens_us),
        cautions: Vec<Text<'a>> = texts(&prepared.made.cautions),
        lost: Lost = prepared.made.lost.into(),
        #[schemars(length(min = 1))]
        made_of: Vec<Part<'a>> = each(&prepared.made.parts),
        warnings: Vec<Warning<'a>> = each(&prepared.made.warnings),
        assumptions: Vec<Assumption<'a>> = each(&prepared.made.assumptions),
    }
}

#[derive(Debug, serde::Serialize, schemars::JsonSchema)]
#[schemars(rename = "keeping")]
pub struct Keeping<'a> {
    pub words: Text<'a>,
    pub hours: f64,
    /// The part that decides, where the preparation does not say itself.
    #[serde(rename = "as")]
    pub keeps_as: Option<Text<'a>>,
}

impl<'a> Keeping<'a> {
    fn of(made: &'a prepare::Made) -> Option<Keeping<'a>> {
        made.keeps.as_ref().map(|keeping| Keeping {
            words: (&keeping.words).into(),
            hours: keeping.hours.to_f64(),
            keeps_as: made.keeps_as.as_ref().map(Text::from),
        })
    }
}

shape! {
    Lost = "lost_on_the_way" of lost: prepare::Lost {
        /// Water.
        evaporated_g: f64 = lost.evaporated_g,
        alcohol_g: f64 = lost.alcohol_g,
        /// Liquid kept back by sieve and solids.
        strained_ml: f64 = lost.strained_ml,
        solids_g: f64 = lost.solids_g,
        /// Fat and protein.
        curds_g: f64 = lost.curds_g,
    }
}

shape! {
    Part<'a> = "made_of" of part: &'a prepare::Brought {
        /// Its place among the steps.
        position: usize = part.position,
        ingredient: Text<'a> = (&part.ingredient).into(),
        /// The amount as written.
        written: &'a str = &part.written,
        /// 0 of a solid that only gives its flavour.
        volume_ml: f64 = part.volume_ml,
        mass_g: f64 = part.mass_g,
        /// What of it joined the liquid.
        joined_g: f64 = part.joined.mass_g(),
    }
}

spoken!(prepare::Warning = "warning_kind": "What is to be looked at in a preparation.");

shape! {
    Warning<'a> = "warning" of warning: &prepare::Warning {
        kind: Word<prepare::Warning> = warning.into(),
        /// Something left unsaid, and nothing off.
        note: bool = warning.is_note(),
        message: Text<'a> = warning.to_string().into(),
    }
}
