//! What sort of thing an ingredient is.

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// What sort of thing an ingredient is: the sorts that the reference library and house preparations have, and any other
/// as it is typed. In files, in the database and on screens it is its word.
///
/// ```
/// use washline_core::tables::IngredientKind;
/// assert_eq!(IngredientKind::from("bitter liqueur"), IngredientKind::BitterLiqueur);
/// assert_eq!(IngredientKind::from("Garden thing").word(), "Garden thing");
/// ```
#[derive(
    Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, strum::AsRefStr, strum::Display, strum::EnumString,
)]
#[strum(serialize_all = "lowercase")]
#[expect(missing_docs, reason = "the trade's own words")]
pub enum IngredientKind {
    Spirit,
    #[strum(serialize = "flavoured spirit")]
    FlavouredSpirit,
    Liqueur,
    #[strum(serialize = "bitter liqueur")]
    BitterLiqueur,
    Bitters,
    Wine,
    #[strum(serialize = "sparkling wine")]
    SparklingWine,
    #[strum(serialize = "aromatised wine")]
    AromatisedWine,
    #[strum(serialize = "fortified wine")]
    FortifiedWine,
    Sake,
    Beer,
    Cider,
    Juice,
    #[strum(serialize = "juice drink")]
    JuiceDrink,
    Nectar,
    #[strum(serialize = "purée")]
    Puree,
    Cordial,
    Syrup,
    Sugar,
    Sweetener,
    Acid,
    Vinegar,
    Soda,
    Water,
    #[strum(serialize = "coffee and tea")]
    CoffeeAndTea,
    Dairy,
    #[strum(serialize = "plant milk")]
    PlantMilk,
    Coconut,
    Egg,
    Foamer,
    Fruit,
    Vegetable,
    Herb,
    Spice,
    Seasoning,
    Sauce,
    /// Defined by a house or a book, with a strength and no kind.
    #[strum(serialize = "spirit or liqueur")]
    SpiritOrLiqueur,
    /// Defined by a house or a book, without alcohol and without a kind.
    #[strum(serialize = "house ingredient")]
    HouseIngredient,
    /// Made in the house, and nothing narrower.
    #[strum(serialize = "house preparation")]
    HousePreparation,
    /// Made in the house: poured together beforehand.
    #[strum(serialize = "pre-batch")]
    PreBatch,
    /// Made in the house: something steeped in what is strong.
    Infusion,
    /// Any other, as it is typed.
    #[strum(default, transparent)]
    Other(String),
}

impl IngredientKind {
    /// The word for it in files, in the database and on screens.
    #[must_use]
    pub fn word(&self) -> &str {
        self.as_ref()
    }
}

impl Serialize for IngredientKind {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.word())
    }
}

impl<'de> Deserialize<'de> for IngredientKind {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<IngredientKind, D::Error> {
        String::deserialize(from).map(|text| IngredientKind::from(text.as_str()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kind_keeps_its_text() {
        for text in [
            "purée",
            "bitter liqueur",
            "pre-batch",
            "egg",
            "Egg",
            " egg",
            "",
            "other",
            "nut",
        ] {
            assert_eq!(IngredientKind::from(text).word(), text);
            let json = serde_json::to_string(text).unwrap();
            let read: IngredientKind = serde_json::from_str(&json).unwrap();
            assert_eq!(serde_json::to_string(&read).unwrap(), json);
        }
        assert_eq!(IngredientKind::from("egg"), IngredientKind::Egg);
        assert_eq!(
            IngredientKind::from("Egg"),
            IngredientKind::Other("Egg".to_owned())
        );
    }
}
