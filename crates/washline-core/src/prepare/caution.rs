//! Cautions that a way of making brings with it; what a name brings stands in `ingredient::hazards`. Short and plain;
//! local food-safety law decides.

use crate::liquid::Liquid;

/// What is in a preparation, as far as cautions go.
#[derive(Clone, Debug, Default)]
pub(super) struct Ways {
    /// Plants, spices or the like are steeped in it.
    pub infused: bool,
    /// Fat or oil is in it, strained out or not.
    pub fat: bool,
    /// Milk was curdled in it.
    pub curdled: bool,
    /// It is charged with gas.
    pub carbonated: bool,
    /// It ferments.
    pub ferments: bool,
    /// Hot work on something with alcohol in it.
    pub hot_alcohol: bool,
}

/// The cautions that follow.
pub(super) fn cautions(ways: &Ways, liquid: &Liquid) -> Vec<String> {
    let mut said: Vec<&str> = Vec::new();
    if ways.infused {
        said.push("infused: use only plants sold as food whose kind is sure (local food-safety law decides)");
    }
    if ways.infused && ways.fat {
        said.push("plants in oil or fat can grow botulism: keep at 5 °C or below, for days and not weeks");
    } else if ways.infused && spoils(liquid) {
        said.push(
            "little alcohol, sugar or acid: keep at 5 °C or below and never closed at room temperature (botulism)",
        );
    }
    if ways.curdled {
        said.push("clear of milk and still a milk allergen");
    }
    if ways.carbonated {
        said.push("under pressure: only in vessels rated for it");
    }
    if ways.ferments {
        said.push("ferments: gas bursts closed bottles");
    }
    if ways.hot_alcohol {
        said.push("made with alcohol near heat: its vapour burns, no open flame");
    }
    said.into_iter().map(str::to_owned).collect()
}

/// Too little of anything that keeps: below 20 % vol, 50 °Bx (where water is still active enough for botulism to
/// grow) and 1 % acid. From memory.
fn spoils(liquid: &Liquid) -> bool {
    liquid.abv_pct().unwrap_or(0.0) < super::KEEPS_FROM_PCT
        && liquid.brix().unwrap_or(0.0) < 50.0
        && liquid.acid_g_per_100ml().unwrap_or(0.0) < 1.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn infusing_water_is_not_infusing_spirit() {
        let ways = Ways {
            infused: true,
            ..Ways::default()
        };
        let strong = Liquid::from_strength(40.0).unwrap();
        let water = Liquid::water_g(1000.0).unwrap();
        assert!(cautions(&ways, &water).iter().any(|c| c.contains("botulism")));
        assert!(!cautions(&ways, &strong).iter().any(|c| c.contains("botulism")));
        assert!(cautions(&Ways::default(), &water).is_empty());
    }
}
