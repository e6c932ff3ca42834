//! What a house sets, and what ends a command.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::measure::{Dimension, UNITS};
use washline_core::spec;

use crate::parts::{Exact, Text, Version, one_of, shape, texts};
use crate::shared::each;

/// What a house sets for all its books, and how large its measures are then.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline settings --json")]
pub struct Settings<'a> {
    pub schema: Version,
    /// As a book would write them.
    pub settings: Vec<Setting<'a>>,
    pub measures: Vec<UnitSize<'a>>,
}

impl<'a> Settings<'a> {
    pub fn of(written: &'a [(String, String)], settings: &spec::Settings) -> Settings<'a> {
        let measures = settings.to_measures();
        Settings {
            schema: Version,
            settings: each(written),
            measures: UNITS
                .iter()
                .filter_map(|facts| {
                    let size = measures.size(facts.unit)?;
                    Some(UnitSize {
                        measure: facts.written.0.into(),
                        unit: SizeUnit(match facts.dimension {
                            Dimension::Mass => "g",
                            _ => "ml",
                        }),
                        nominal: size.nominal.to_f64().into(),
                        low: size.low.to_f64().into(),
                        high: size.high.to_f64().into(),
                        source: size.source.to_string().into(),
                    })
                })
                .collect(),
        }
    }
}

shape! {
    Setting<'a> = "setting" of of: &'a (String, String) {
        key: Text<'a> = (&of.0).into(),
        value: Text<'a> = (&of.1).into(),
    }
}

one_of!(
    /// What a measure is counted in.
    SizeUnit = "size_unit": "ml", "g"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "size")]
pub struct UnitSize<'a> {
    pub measure: Text<'a>,
    pub unit: SizeUnit<'a>,
    pub nominal: Exact,
    pub low: Exact,
    pub high: Exact,
    pub source: Text<'a>,
}

/// An error that ends a command.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline, any command")]
pub struct Ended<'a> {
    pub schema: Version,
    pub error: Error<'a>,
}

one_of!(
    /// What sort of error it is.
    ErrorKind = "error_kind": "usage", "input", "house", "internal"
);

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "error")]
pub struct Error<'a> {
    pub kind: ErrorKind<'a>,
    pub message: Text<'a>,
    /// What to do about it.
    pub hints: Vec<Text<'a>>,
}

impl<'a> Ended<'a> {
    pub fn of(kind: &'a str, message: &'a str, hints: &'a [String]) -> Ended<'a> {
        Ended {
            schema: Version,
            error: Error {
                kind: ErrorKind(kind),
                message: message.into(),
                hints: texts(hints),
            },
        }
    }
}
