//! What is asked of a command and told by it: what `commands` and `render` both speak of.

use clap::ValueEnum;
use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};
use rust_decimal::prelude::ToPrimitive;
use washline_core::balance::Figure;
use washline_core::computed::ComputedDrink;
use washline_core::names::Expected;
use washline_core::names::key;
use washline_core::service::comparison::{FIGURES, FigureFacts};
use washline_pages::words::Choice;
pub use washline_view::change::Revised;
pub use washline_view::cost::Asked;
pub use washline_view::shared::Done;
pub use washline_view::swap::{Costs, Told};

/// What is said where a question holds of no drink.
pub const NONE_HOLDS: &str = "no drinks of which that holds";

/// One of a few choices by its word; the help says what each is.
pub fn one_of<T: Choice + Send + Sync, const N: usize>(all: [T; N]) -> impl TypedValueParser<Value = T> {
    let values = all.map(|choice| PossibleValue::new(choice.word()).help(choice.about()));
    PossibleValuesParser::new(values).try_map(move |word| {
        all.into_iter()
            .find(|choice| choice.word() == word)
            .ok_or("none of these")
    })
}

/// Lists of allergens.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum Lists {
    /// The 14 of the European list.
    #[default]
    Eu,
    /// The 9 of the list of the US.
    Us,
    /// Both.
    Both,
}

/// What to sort or filter by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// A figure.
    Figure(&'static FigureFacts),
    /// What it sells for.
    Price,
    /// Its name.
    Name,
}

impl By {
    pub fn read(text: &str) -> Result<By, Expected> {
        let wanted = key(text);
        match wanted.as_str() {
            "price" => return Ok(By::Price),
            "name" => return Ok(By::Name),
            _ => {}
        }
        FigureFacts::named(&wanted).map(By::Figure).ok_or_else(|| {
            let known: Vec<&str> = FIGURES.iter().map(|f| f.word).collect();
            Expected::from(format!("expected price, name or one of: {}", known.join(", ")))
        })
    }

    /// How it is called.
    pub fn word(self) -> &'static str {
        match self {
            By::Figure(facts) => facts.word,
            By::Price => "price",
            By::Name => "name",
        }
    }

    /// The figure of a drink; a price is one without an interval.
    pub fn of(self, report: &ComputedDrink) -> Figure {
        match self {
            By::Figure(facts) => report.evaluation.figures.get(facts.which),
            By::Price => Figure::of(
                report
                    .drink
                    .price
                    .as_ref()
                    .and_then(|price| price.amount.to_f64()),
            ),
            By::Name => Figure::default(),
        }
    }

    /// Decimals it is printed with.
    pub fn decimals(self) -> u8 {
        match self {
            By::Figure(facts) => facts.decimals,
            By::Price => 2,
            By::Name => 0,
        }
    }
}
