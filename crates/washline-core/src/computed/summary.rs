//! What a drink comes to without what it was worked out from: all that a list tells of it, and small enough to hold many.

use super::{ComputedDrink, FoundIn};
use crate::balance::{BalanceFigure, Band, Evaluation, Placed, Ranges, Verdict};
use crate::ingredient::{Convention, Declaration};
use crate::spec::{Assumption, Money};

/// What a drink comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// Where it stands.
    pub found_in: FoundIn,
    /// Its name.
    pub name: String,
    /// How its juices were counted.
    pub convention: Convention,
    /// The country whose standard drinks are counted.
    pub standard_drink: String,
    /// Its figures, verdicts and findings.
    pub evaluation: Evaluation,
    /// The bands of [`ComputedDrink::bands`].
    pub bands: [Band; 3],
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
    /// What is declared of it in Europe.
    pub allergens_eu: Declaration,
    /// What is declared of it in the United States.
    pub allergens_us: Declaration,
    /// What to be careful of.
    pub cautions: Vec<String>,
    /// How many drinks its amounts are for, where they are for several.
    pub serves: Option<f64>,
    /// The glass as it is called, whether its size is known or not.
    pub glass: Option<String>,
    /// What it sells for.
    pub price: Option<Money>,
    /// Its garnishes in the writer's words, `; ` between several; `None` where it has none.
    pub garnish: Option<String>,
    /// When it is poured, itself or by its list.
    pub seasons: Vec<String>,
    /// The words that are put on it, itself or by its list.
    pub tags: Vec<String>,
}

impl Summary {
    /// The band to draw a measure in: none where there is no verdict.
    #[must_use]
    pub fn band(&self, measure: BalanceFigure) -> Band {
        match self.evaluation.verdicts[measure as usize] {
            Verdict::NoBand => Band::default(),
            _ => self.bands[measure as usize].clone(),
        }
    }
}

impl ComputedDrink {
    /// The glass as it is called, whether its size is known or not.
    pub(crate) fn glass(&self) -> Option<&str> {
        match (&self.evaluation.glass, &self.drink.glass) {
            (Some(glass), _) => Some(&glass.name),
            (None, Some(named)) => Some(&named.name),
            (None, None) => None,
        }
    }

    /// What it comes to, without what it was worked out from.
    #[must_use]
    pub fn summary(&self) -> Summary {
        let words = |words: Vec<&str>| words.into_iter().map(str::to_owned).collect();
        Summary {
            found_in: self.found_in.clone(),
            name: self.name().to_owned(),
            convention: self.convention(),
            standard_drink: self.standard_drink().to_owned(),
            evaluation: self.evaluation.clone(),
            bands: self.bands(),
            assumptions: self.resolved.assumptions.clone(),
            allergens_eu: self.resolved.allergens_eu.clone(),
            allergens_us: self.resolved.allergens_us.clone(),
            cautions: self.resolved.cautions.clone(),
            serves: self.resolved.serves,
            glass: self.glass().map(str::to_owned),
            price: self.drink.price.clone(),
            garnish: self.garnish(),
            seasons: words(self.seasons()),
            tags: words(self.tags()),
        }
    }
}

/// The bands that strength, sweetness and tartness of a drink are judged by, in that order.
pub(crate) fn bands(evaluation: &Evaluation, ranges: &Ranges) -> [Band; 3] {
    let Some(structure) = evaluation.structure else {
        return Default::default();
    };
    BalanceFigure::ALL.map(|measure| {
        let of_structure = ranges.band(structure, measure);
        match &evaluation.placed {
            Some(placed @ Placed { count: 1.., .. }) => placed.band(measure, of_structure.core.as_ref()),
            _ => of_structure.clone(),
        }
    })
}
