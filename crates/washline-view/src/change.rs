//! A drink before and after a change of its spec.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::computed::ComputedDrink;
use washline_core::service::cost::Costing;

use crate::drink::Drink;
use crate::parts::{CurrencyCode, Decimals, Text, Version, shape};
use crate::shared::{Done, Kept};
use crate::swap::BeforeAndAfter;

/// A drink as it is and as it would be.
pub struct Revised {
    pub before: ComputedDrink,
    pub after: ComputedDrink,
    /// The text of the drink, or of the book that holds it, with the change in it.
    pub text: String,
    /// What each costs, where anything of it has a price.
    pub costs: Option<(Costing, Costing)>,
}

/// A drink before and after a change of its spec, and what became of the change.
#[derive(Debug, Default, Serialize, JsonSchema)]
#[schemars(title = "washline change, edit")]
pub struct Changed<'a> {
    pub schema: Version,
    /// Whether the text is another; false where an editor left it as it was.
    pub changed: bool,
    /// The lines that went and came, in their order.
    pub lines: Vec<Line>,
    pub before: Option<Drink<'a>>,
    pub after: Option<Drink<'a>>,
    /// Null where nothing of it has a price.
    pub cost: Option<BeforeAndAfter<Cost<'a>, Cost<'a>>>,
    /// The spec as it is to be.
    pub text: Option<Text<'a>>,
    /// The versions, where it was kept in the house.
    pub kept: Option<Kept>,
    /// The file, where it was written into one.
    pub written: Option<Text<'a>>,
}

impl<'a> Changed<'a> {
    pub fn of(revised: &'a Revised, lines: Vec<Line>, done: &'a Done) -> Changed<'a> {
        Changed {
            schema: Version,
            changed: true,
            lines,
            before: Some((&revised.before).into()),
            after: Some((&revised.after).into()),
            cost: revised.costs.as_ref().map(|(before, after)| BeforeAndAfter {
                before: before.into(),
                after: after.into(),
            }),
            text: Some((&revised.after.drink.text).into()),
            kept: done.kept.map(Kept::from),
            written: done.written.as_ref().map(Text::from),
        }
    }
}

/// A line that went or came.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "changed_line")]
pub struct Line {
    /// Whether it stood there before; else it stands there now.
    pub gone: bool,
    #[schemars(length(min = 1))]
    pub line: String,
}

shape! {
    Cost<'a> = "cost_of_a_change" of costing: &Costing {
        /// What is priced of it, exact.
        sum: Decimals = costing.rounded(costing.cost.value).into(),
        /// Whether every line is priced.
        complete: bool = costing.is_complete(),
        currency: Option<CurrencyCode<'a>> = costing.currency.map(CurrencyCode::from),
    }
}
