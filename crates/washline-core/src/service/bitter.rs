//! What makes a drink bitter. No figure of bitterness is worked out: nobody lists how bitter a bottle is. What is said is what
//! is poured of things that are made to be bitter.

use crate::computed::ComputedDrink;
use crate::tables::IngredientKind;

/// What a drink pours that is made to be bitter.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bitter {
    /// Bitter liqueurs, ml at 20 °C as poured; never negative.
    pub liqueur_ml: f64,
    /// Whether bitters are dashed into it.
    pub dashed: bool,
}

/// What a drink pours that is made to be bitter.
#[must_use]
pub fn bitter(worked: &ComputedDrink) -> Bitter {
    let mut all = Bitter::default();
    for (_, pour) in worked.resolved.pours() {
        match pour.kind {
            IngredientKind::BitterLiqueur => all.liqueur_ml += worked.built.brought(pour).volume_ml,
            IngredientKind::Bitters => all.dashed = true,
            _ => {}
        }
    }
    all
}
