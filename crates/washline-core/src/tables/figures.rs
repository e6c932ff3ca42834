//! The one table of figures: how each is called, in words, in JSON and in the database, and how it is printed and compared.

use serde::Serialize;

/// A figure of a drink.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FigureName {
    /// Volume at 20 °C.
    Volume,
    /// Alcoholic strength by volume.
    Strength,
    /// Sugar.
    Sweetness,
    /// Titratable acid as citric.
    Tartness,
    /// Sugar over acid, by mass.
    SugarToAcid,
    /// Water gained from ice.
    WaterGained,
    /// The same as a share of the mix that went to the ice.
    WaterOfMix,
    /// The same as a share of the finished drink.
    WaterOfFinished,
    /// Ethanol.
    Alcohol,
    /// Standard drinks of the country set.
    StandardDrinks,
    /// Energy.
    Energy,
    /// Temperature as it is served.
    Temperature,
}

/// What there is to know about a figure before its value: how it is called and how it is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct FigureFacts {
    /// Which figure it is.
    #[serde(skip)]
    pub which: FigureName,
    /// Its name in JSON, and in the column `figure` of the database.
    pub name: &'static str,
    /// What a bartender calls it.
    pub word: &'static str,
    /// What it is called as well.
    #[serde(skip)]
    pub also: &'static [&'static str],
    /// What stands over a column of it, where there is little room.
    #[serde(skip)]
    pub heading: &'static str,
    /// Its unit; empty for a ratio.
    pub unit: &'static str,
    /// Decimals it is printed with; two that are the same so printed, or nearer than their doubt, are not told apart.
    pub decimals: u8,
}

/// Every figure, in the order in which all lists of them have them.
pub const FIGURES: [FigureFacts; FigureName::ALL.len()] = {
    const fn row(
        which: FigureName,
        name: &'static str,
        word: &'static str,
        also: &'static [&'static str],
        heading: &'static str,
        unit: &'static str,
        decimals: u8,
    ) -> FigureFacts {
        FigureFacts {
            which,
            name,
            word,
            also,
            heading,
            unit,
            decimals,
        }
    }
    [
        row(FigureName::Volume, "volume_ml", "volume", &[], "ml", "ml", 0),
        row(
            FigureName::Strength,
            "abv_pct",
            "strength",
            &["abv"],
            "% vol",
            "% vol",
            1,
        ),
        row(
            FigureName::Sweetness,
            "sugar_g_per_100ml",
            "sweetness",
            &["sugar"],
            "sugar",
            "g/100 ml",
            1,
        ),
        row(
            FigureName::Tartness,
            "acid_g_per_100ml",
            "tartness",
            &["acid"],
            "acid",
            "g/100 ml",
            2,
        ),
        row(
            FigureName::SugarToAcid,
            "sugar_to_acid",
            "sugar to acid",
            &["ratio"],
            "sugar:acid",
            "",
            1,
        ),
        row(
            FigureName::WaterGained,
            "water_gained_ml",
            "water gained",
            &["water"],
            "water ml",
            "ml",
            0,
        ),
        row(
            FigureName::WaterOfMix,
            "water_pct_of_mix",
            "water of the mix",
            &["dilution"],
            "% of mix",
            "%",
            0,
        ),
        row(
            FigureName::WaterOfFinished,
            "water_pct_of_finished",
            "water of the finished drink",
            &[],
            "% of drink",
            "%",
            0,
        ),
        row(
            FigureName::Alcohol,
            "ethanol_g",
            "alcohol",
            &["ethanol"],
            "alcohol g",
            "g",
            1,
        ),
        row(
            FigureName::StandardDrinks,
            "standard_drinks",
            "standard drinks",
            &[],
            "standard",
            "",
            1,
        ),
        row(FigureName::Energy, "energy_kj", "energy", &["kj"], "kJ", "kJ", 0),
        row(
            FigureName::Temperature,
            "temperature_c",
            "temperature",
            &[],
            "°C",
            "°C",
            0,
        ),
    ]
};

impl FigureName {
    /// All of them, in order.
    pub const ALL: [FigureName; 12] = [
        FigureName::Volume,
        FigureName::Strength,
        FigureName::Sweetness,
        FigureName::Tartness,
        FigureName::SugarToAcid,
        FigureName::WaterGained,
        FigureName::WaterOfMix,
        FigureName::WaterOfFinished,
        FigureName::Alcohol,
        FigureName::StandardDrinks,
        FigureName::Energy,
        FigureName::Temperature,
    ];

    /// What there is to know of it.
    #[must_use]
    pub const fn facts(self) -> &'static FigureFacts {
        &FIGURES[self as usize]
    }
}

impl FigureFacts {
    /// The figure of that name, or as a bartender calls it.
    #[must_use]
    pub fn named(word: &str) -> Option<&'static FigureFacts> {
        let wanted = crate::names::key(word);
        FIGURES.iter().find(|f| {
            f.word == wanted || f.also.contains(&wanted.as_str()) || crate::names::key(f.name) == wanted
        })
    }

    /// A value with its unit, as it is printed.
    #[must_use]
    pub fn printed(&self, value: f64) -> String {
        format!("{} {}", super::printed::number(value, self.places()), self.unit)
            .trim_end()
            .to_owned()
    }

    /// A value as it is printed where its unit stands elsewhere.
    #[must_use]
    pub fn number(&self, value: impl Into<Option<f64>>) -> String {
        super::printed::number(value, self.places())
    }

    /// Its word and its unit, `sweetness g/100 ml`: what stands before a row of it.
    #[must_use]
    pub fn label(&self) -> String {
        format!("{} {}", self.word, self.unit).trim_end().to_owned()
    }

    /// Its decimals, as a format takes them.
    #[must_use]
    pub fn places(&self) -> usize {
        usize::from(self.decimals)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_row_is_in_the_place_of_its_figure_and_goes_by_names_of_its_own() {
        let mut names = std::collections::HashSet::new();
        for (which, facts) in FigureName::ALL.into_iter().zip(&FIGURES) {
            assert_eq!(which, facts.which);
            assert_eq!(which.facts(), facts);
            let own: std::collections::HashSet<String> = [facts.name, facts.word]
                .iter()
                .chain(facts.also)
                .map(|name| crate::names::key(name))
                .collect();
            for name in own {
                assert_eq!(FigureFacts::named(&name), Some(facts));
                assert!(names.insert(name.clone()), "{name} twice");
            }
        }
    }
}
