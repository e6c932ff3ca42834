//! Families of drinks: what a drink is like, and so what it is compared with. What makes a drink one of them is another
//! matter (`balance::family`): here are their names.

use crate::names::Expected;
use serde::{Deserialize, Serialize};

/// A family of drinks: what a drink is like, and so what it is compared with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "&'static str", try_from = "String")]
#[expect(missing_docs, reason = "the table below says what each one is")]
pub enum Family {
    ZeroProof,
    Hot,
    BeerAndCider,
    Frozen,
    MilkPunch,
    Creamy,
    Coffee,
    Fizz,
    Spritz,
    Long,
    Julep,
    CrushedIce,
    SourWithFoam,
    Sour,
    Fruit,
    Neat,
    BitterSweet,
    LowStrength,
    Martini,
    SpiritForward,
}

/// The name of each, and with its article as a sentence needs it.
const TABLE: [(Family, &str, &str); 20] = {
    use Family as F;
    [
        (F::ZeroProof, "zero-proof", "a zero-proof drink"),
        (F::Hot, "hot", "a hot drink"),
        (F::BeerAndCider, "beer and cider", "a drink with beer or cider"),
        (F::Frozen, "frozen", "a frozen drink"),
        (F::MilkPunch, "milk punch", "a milk punch"),
        (F::Creamy, "creamy", "a creamy drink"),
        (F::Coffee, "coffee", "a coffee drink"),
        (F::Fizz, "fizz", "a lengthened sour"),
        (F::Spritz, "spritz", "a spritz or sparkling wine drink"),
        (F::Long, "long", "a long drink"),
        (F::Julep, "julep", "a julep or smash"),
        (F::CrushedIce, "crushed ice", "a drink on crushed ice"),
        (F::SourWithFoam, "sour with foam", "a sour with foam"),
        (F::Sour, "sour", "a sour"),
        (F::Fruit, "fruit", "a drink shaken with fruit juice"),
        (F::Neat, "neat", "a drink without ice"),
        (F::BitterSweet, "bitter-sweet", "a bitter-sweet drink"),
        (
            F::LowStrength,
            "low-strength stirred",
            "a low-strength stirred drink",
        ),
        (F::Martini, "martini", "a martini's kind"),
        (F::SpiritForward, "spirit-forward", "a spirit-forward drink"),
    ]
};

impl Family {
    /// All of them, in the order their rules are tried.
    pub fn all() -> impl Iterator<Item = Family> {
        TABLE.iter().map(|(family, ..)| *family)
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        TABLE[self as usize].1
    }

    /// With its article, as a sentence needs it.
    #[must_use]
    pub fn phrase(self) -> &'static str {
        TABLE[self as usize].2
    }

    /// The family of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Family> {
        let wanted = crate::names::key(name);
        Family::all().find(|f| crate::names::key(f.name()) == wanted)
    }
}

impl std::fmt::Display for Family {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.name())
    }
}

impl From<Family> for &'static str {
    fn from(family: Family) -> Self {
        family.name()
    }
}

impl TryFrom<String> for Family {
    type Error = Expected;
    fn try_from(name: String) -> Result<Self, Expected> {
        Family::named(&name).ok_or_else(|| Expected::from(format!("no family `{name}`")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_stands_in_the_order_of_the_enum() {
        for (at, family) in Family::all().enumerate() {
            assert_eq!(family as usize, at);
            assert_eq!(Family::named(family.name()), Some(family));
        }
    }
}
