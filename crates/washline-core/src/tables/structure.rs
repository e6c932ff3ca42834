//! What sort of drink it is: a rule for each structure, in one table, read off the build.

use crate::names::Expected;
use serde::{Deserialize, Serialize};

/// The structure of a drink. Bands belong to structures: a stirred drink is not a weak sour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(into = "&'static str", try_from = "String")]
#[expect(missing_docs, reason = "the table below says what each one is")]
pub enum Structure {
    Stirred,
    ShakenSour,
    ShakenEggWhite,
    ShakenCreamy,
    ShakenNotSour,
    Topped,
    BuiltShort,
    BuiltLong,
    Swizzled,
    Rolled,
    Thrown,
    Blended,
    Carbonated,
    Neat,
    Hot,
}

/// Acid before melt from which a shaken drink is a sour, g/100 ml as citric.
pub const SOUR_ACID_G_PER_100ML: f64 = 0.45;
/// Fat before melt from which a shaken drink is creamy, g/100 ml.
pub const CREAMY_FAT_G_PER_100ML: f64 = 2.0;
/// Share of the finished drink from which a top makes it a topped drink.
pub const TOPPED_SHARE: f64 = 0.20;
/// Finished volume below which a built drink is short, ml.
pub const BUILT_SHORT_ML: f64 = 120.0;

/// Name and rule of each structure.
const TABLE: [(Structure, &str, &str); 15] = {
    use Structure as S;
    [
        (
            S::Stirred,
            "stirred",
            "stirred on ice, then strained or left on ice",
        ),
        (
            S::ShakenSour,
            "shaken sour",
            "shaken; acid before melt 0.45 g/100 ml or more; no foamer, little fat",
        ),
        (
            S::ShakenEggWhite,
            "shaken with egg white",
            "a shaken sour with egg white or another foamer",
        ),
        (
            S::ShakenCreamy,
            "shaken creamy",
            "shaken; fat before melt 2 g/100 ml or more",
        ),
        (
            S::ShakenNotSour,
            "shaken not sour",
            "shaken; acid before melt below 0.45 g/100 ml, not creamy",
        ),
        (
            S::Topped,
            "topped",
            "worked on ice, then lengthened by 20 % of the finished drink or more",
        ),
        (
            S::BuiltShort,
            "built short",
            "built on ice, finished below 120 ml and not lengthened by 20 % or more",
        ),
        (S::BuiltLong, "built long", "built on ice and lengthened"),
        (S::Swizzled, "swizzled", "swizzled in crushed ice"),
        (S::Rolled, "rolled", "rolled from tin to tin"),
        (S::Thrown, "thrown", "thrown from height"),
        (S::Blended, "blended", "blended with ice"),
        (
            S::Carbonated,
            "carbonated",
            "force-carbonated, served without melt (only where the spec names it)",
        ),
        (S::Neat, "neat", "no ice"),
        (S::Hot, "hot", "no ice, something hot in it"),
    ]
};

impl Structure {
    /// All of them, in the order of the table.
    pub fn all() -> impl Iterator<Item = Structure> {
        TABLE.iter().map(|(s, ..)| *s)
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        TABLE[self as usize].1
    }

    /// The rule a build follows to be one.
    #[must_use]
    pub fn rule(self) -> &'static str {
        TABLE[self as usize].2
    }

    /// The structure of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<Structure> {
        let wanted = crate::names::key(&name.replace(',', ""));
        Structure::all().find(|s| s.name() == wanted)
    }

    /// Whether sweetness and tartness together are what the drink is made of, so that having none of
    /// one of them is a fault and not a style.
    #[must_use]
    pub fn is_sour(self) -> bool {
        matches!(self, Structure::ShakenSour | Structure::ShakenEggWhite)
    }

    /// With its article, as a sentence needs it.
    #[must_use]
    pub fn phrase(self) -> String {
        match self {
            Structure::Hot => "a hot drink".to_owned(),
            Structure::Neat => "a drink without ice".to_owned(),
            Structure::ShakenSour => "a shaken sour".to_owned(),
            Structure::ShakenEggWhite => "a sour shaken with egg white".to_owned(),
            Structure::ShakenNotSour => "a shaken drink that is not sour".to_owned(),
            other => format!("a {} drink", other.name()),
        }
    }
}

impl std::fmt::Display for Structure {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.pad(self.name())
    }
}

impl From<Structure> for &'static str {
    fn from(s: Structure) -> Self {
        s.name()
    }
}

impl TryFrom<String> for Structure {
    type Error = Expected;
    fn try_from(name: String) -> Result<Self, Expected> {
        Structure::named(&name).ok_or_else(|| Expected::from(format!("no structure `{name}`")))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stand_in_the_order_of_the_enum() {
        for (i, (s, name, _)) in TABLE.iter().enumerate() {
            assert_eq!(*s as usize, i);
            assert_eq!(Structure::named(name), Some(*s));
        }
        assert_eq!(
            Structure::named("shaken, not sour"),
            Some(Structure::ShakenNotSour)
        );
    }
}
