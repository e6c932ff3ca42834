//! Numbers, words and decimals, and what they may be.

use std::borrow::Cow;
use std::marker::PhantomData;

use jiff::civil::Date;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use washline_core::tables::{When, day_text, when_text};

/// A type that is written as another one is: the schema stands where it is used.
macro_rules! plain_schema {
    ($type:ty, $name:literal, $schema:tt) => {
        impl schemars::JsonSchema for $type {
            fn inline_schema() -> bool {
                true
            }
            fn schema_name() -> std::borrow::Cow<'static, str> {
                $name.into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!($schema)
            }
        }
    };
}

/// The version of a shape: raised where a key changes.
#[derive(Clone, Copy, Debug, Default)]
pub struct Version;

impl Serialize for Version {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_u32(1)
    }
}

plain_schema!(Version, "version", { "const": 1, "description": "The version of this shape." });

/// A number that may be below 0. Every other number of a schema is from 0.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(transparent)]
pub struct Signed(pub f64);

plain_schema!(Signed, "signed", { "type": "number", "$comment": "may be below 0" });

impl From<f64> for Signed {
    fn from(number: f64) -> Signed {
        Signed(number)
    }
}

/// A number that is exact as it stands, and is not rounded when it is written.
#[derive(Clone, Copy, Debug)]
pub struct Exact(pub f64);

impl Serialize for Exact {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let digits = serde_json::to_string(&self.0).and_then(serde_json::value::RawValue::from_string);
        digits.map_err(serde::ser::Error::custom)?.serialize(to)
    }
}

plain_schema!(Exact, "exact", { "type": "number" });

impl From<f64> for Exact {
    fn from(number: f64) -> Exact {
        Exact(number)
    }
}

/// A text that is not empty.
#[derive(Clone, Debug, Serialize)]
#[serde(transparent)]
pub struct Text<'a>(pub Cow<'a, str>);

plain_schema!(Text<'_>, "text", { "type": "string", "minLength": 1 });

impl<'a> From<&'a str> for Text<'a> {
    fn from(text: &'a str) -> Text<'a> {
        Text(text.into())
    }
}

impl<'a> From<&'a String> for Text<'a> {
    fn from(text: &'a String) -> Text<'a> {
        Text(text.as_str().into())
    }
}

impl From<String> for Text<'_> {
    fn from(text: String) -> Self {
        Text(text.into())
    }
}

/// Texts that are not empty, of a list.
pub fn texts<'a, T>(all: impl IntoIterator<Item = T>) -> Vec<Text<'a>>
where
    Text<'a>: From<T>,
{
    all.into_iter().map(Text::from).collect()
}

/// A decimal from 0, as text: money and percentages are never numbers.
#[derive(Clone, Debug, Serialize)]
#[serde(transparent)]
pub struct Decimals(pub String);

plain_schema!(Decimals, "decimals", { "type": "string", "pattern": "^[0-9]+([.][0-9]+)?$" });

/// A decimal that may be below 0, as text.
#[derive(Clone, Debug, Serialize)]
#[serde(transparent)]
pub struct SignedDecimals(pub String);

plain_schema!(SignedDecimals, "signed_decimals", { "type": "string", "pattern": "^-?[0-9]+([.][0-9]+)?$" });

impl<T: ToString> From<T> for Decimals {
    fn from(decimal: T) -> Decimals {
        Decimals(decimal.to_string())
    }
}

impl<T: ToString> From<T> for SignedDecimals {
    fn from(decimal: T) -> SignedDecimals {
        SignedDecimals(decimal.to_string())
    }
}

/// ISO 4217.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(transparent)]
pub struct CurrencyCode<'a>(pub &'a str);

plain_schema!(CurrencyCode<'_>, "currency", { "type": "string", "pattern": "^[A-Z]{3}$" });

impl From<washline_core::measure::Currency> for CurrencyCode<'_> {
    fn from(currency: washline_core::measure::Currency) -> Self {
        CurrencyCode(currency.code())
    }
}

/// A day, or empty where nobody said.
#[derive(Clone, Copy, Debug)]
pub struct Day(pub Option<Date>);

impl Serialize for Day {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&day_text(self.0))
    }
}

plain_schema!(Day, "day", { "type": "string", "pattern": "^([0-9]{4}-[0-9]{2}-[0-9]{2})?$" });

/// A day, or a moment in universal time; empty where nobody told.
#[derive(Clone, Copy, Debug)]
pub struct Moment<'a>(pub Option<&'a When>);

impl Serialize for Moment<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(&when_text(self.0))
    }
}

plain_schema!(Moment<'_>, "moment", { "type": "string" });

/// What is one of a few words.
pub trait Spoken {
    /// How the schema calls it.
    const NAME: &'static str;
    /// What the schema says of it; empty where its name says all.
    const ABOUT: &'static str = "";
    /// All of its words.
    fn words() -> Vec<&'static str>;
    /// The word of this one.
    fn word(&self) -> &'static str;
}

/// What is written as one of a few words.
#[derive(Clone, Copy, Debug)]
pub struct Word<T>(&'static str, PhantomData<T>);

impl<T: Spoken> From<T> for Word<T> {
    fn from(spoken: T) -> Word<T> {
        Word(spoken.word(), PhantomData)
    }
}

impl<T: Spoken> From<&T> for Word<T> {
    fn from(spoken: &T) -> Word<T> {
        Word(spoken.word(), PhantomData)
    }
}

impl<T> Serialize for Word<T> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.0)
    }
}

impl<T: Spoken> JsonSchema for Word<T> {
    fn schema_name() -> Cow<'static, str> {
        T::NAME.into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let mut schema = json_schema!({ "type": "string", "enum": T::words() });
        if !T::ABOUT.is_empty() {
            schema.insert("description".to_owned(), T::ABOUT.into());
        }
        schema
    }
}

/// Types whose words stand at their variants, or are those of a method over all of them.
macro_rules! spoken {
    ($($type:ty = $name:literal $(: $about:literal)?),+ $(,)?) => {$(
        impl $crate::parts::Spoken for $type {
            const NAME: &'static str = $name;
            $(const ABOUT: &'static str = $about;)?
            fn words() -> Vec<&'static str> {
                <$type as strum::VariantNames>::VARIANTS.to_vec()
            }
            fn word(&self) -> &'static str {
                self.into()
            }
        }
    )+};
    ($type:ty = $name:literal, $word:ident of $all:expr) => {
        impl $crate::parts::Spoken for $type {
            const NAME: &'static str = $name;
            fn words() -> Vec<&'static str> {
                $all.into_iter().map(|one| one.$word()).collect()
            }
            fn word(&self) -> &'static str {
                (*self).$word()
            }
        }
    };
}
pub(crate) use spoken;

/// A word of a list that stands only here, because what it is said of has more to it than a word.
macro_rules! one_of {
    ($(#[$doc:meta])* $name:ident = $called:literal: $($word:literal),+ $(,)?) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, serde::Serialize)]
        #[serde(transparent)]
        pub struct $name<'a>(pub &'a str);

        impl schemars::JsonSchema for $name<'_> {
            fn schema_name() -> std::borrow::Cow<'static, str> {
                $called.into()
            }
            fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
                schemars::json_schema!({ "type": "string", "enum": [$($word),+] })
            }
        }
    };
}
pub(crate) use one_of;

/// A shape with what each of its keys holds: the type, and how it is made of what the library worked out.
macro_rules! shape {
    (
        $(#[$meta:meta])*
        $name:ident $(<$life:lifetime>)? = $called:tt of $from:ident: $source:ty {
            $($(#[$of:meta])* $field:ident: $type:ty = $value:expr),* $(,)?
        }
    ) => {
        #[derive(Debug, serde::Serialize, schemars::JsonSchema)]
        #[schemars(rename = $called)]
        $(#[$meta])*
        pub struct $name $(<$life>)? {
            $($(#[$of])* pub $field: $type,)*
        }

        impl $(<$life>)? From<$source> for $name $(<$life>)? {
            fn from($from: $source) -> Self {
                $name { $($field: $value,)* }
            }
        }
    };
}
pub(crate) use shape;
