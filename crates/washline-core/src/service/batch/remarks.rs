//! What there is to say about a batch: what to look at, and cautions with who says so.

use std::fmt;

use super::{Ask, Batch, LIVELY_FIZZ_PCT, Serving, When, lines};
use crate::computed::ComputedDrink;
use crate::prepare::{KEEPS_FROM_PCT, Perishables};
use crate::resolve::rounded;
use crate::spec::Technique;

/// Something to look at.
#[derive(Clone, Debug, PartialEq, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub enum Remark {
    /// It does not fit the vessel.
    Overflows {
        /// ml over the brim.
        by_ml: f64,
        /// The vessel, ml.
        vessel_ml: f64,
    },
    /// It fits, with less room above it than it should have.
    TooFull {
        /// Room that is left, %.
        free_pct: f64,
        /// Room it should have, %.
        head_pct: f64,
    },
    /// The spec has water of its own, and the melt goes in besides.
    DilutedTwice {
        /// Water the spec pours, ml a serve.
        own_ml: f64,
    },
    /// A shaken drink that is poured as it stands.
    NeverShaken {
        /// How it is worked for one.
        technique: Technique,
    },
    /// Sugar sinks.
    SyrupSinks,
    /// It freezes, in part.
    Freezes {
        /// Where it begins, °C.
        onset_c: f64,
        /// The freezer, °C.
        freezer_c: f64,
        /// Share that is ice there, %.
        frozen_pct: f64,
        /// The most water it could have and stay liquid, ml.
        most_water_ml: Option<f64>,
        /// What it has, ml.
        water_ml: f64,
    },
    /// It stays liquid.
    StaysLiquid {
        /// Where it would begin to freeze, °C.
        onset_c: f64,
        /// The freezer, °C.
        freezer_c: f64,
    },
    /// Too strong for a lively fizz.
    DullFizz {
        /// Its strength, % vol.
        abv_pct: f64,
    },
    /// Something that fizzes by itself goes in flat and is charged with the rest.
    ChargedAgain {
        /// What.
        ingredient: String,
    },
    /// A bottle does not give whole serves.
    PartOfAServe {
        /// Serves as they come.
        serves: f64,
    },
    /// Bitters are scaled by a factor of the caller's.
    BittersScaled {
        /// By what.
        factor: f64,
    },
}

impl Remark {
    /// Its kind in JSON.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        self.into()
    }

    /// Whether something is wrong, and not only to be known.
    #[must_use]
    pub fn is_grave(&self) -> bool {
        matches!(self, Remark::Overflows { .. })
    }
}

impl fmt::Display for Remark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Remark::Overflows { by_ml, vessel_ml } => write!(
                f,
                "{} ml more than the vessel of {} ml holds",
                rounded(*by_ml),
                rounded(*vessel_ml)
            ),
            Remark::TooFull { free_pct, head_pct } => write!(
                f,
                "{free_pct:.0} % of the vessel are left free; {head_pct:.0} % are usual"
            ),
            Remark::DilutedTwice { own_ml } => write!(
                f,
                "the spec pours {} ml of water itself, and the water of the melt goes in besides: diluted twice?",
                rounded(*own_ml)
            ),
            Remark::NeverShaken { technique } => write!(
                f,
                "for one it is worked by a {}, which gives it air that a batch does not have: shake each serve for a moment without \
                 ice, or serve it to order",
                technique.written()
            ),
            Remark::SyrupSinks => {
                f.write_str("sugar sinks as it stands: shake or stir it up before each pour")
            }
            Remark::Freezes {
                onset_c,
                freezer_c,
                frozen_pct,
                most_water_ml,
                water_ml,
            } => {
                write!(
                    f,
                    "it begins to freeze at {onset_c:.1} °C; at {freezer_c:.0} °C {frozen_pct:.0} % of it is ice"
                )?;
                match most_water_ml {
                    Some(most) => write!(
                        f,
                        ": it stays liquid with at most {} ml of water (it has {}), the rest at service",
                        rounded(*most),
                        rounded(*water_ml)
                    ),
                    None => f.write_str(": it freezes with no water added at all"),
                }
            }
            Remark::StaysLiquid { onset_c, freezer_c } => write!(
                f,
                "it stays liquid at {freezer_c:.0} °C: it would begin to freeze at {onset_c:.1} °C"
            ),
            Remark::DullFizz { abv_pct } => write!(
                f,
                "{abv_pct:.1} % vol: above about {LIVELY_FIZZ_PCT:.0} % fizz is dull (from memory)"
            ),
            Remark::ChargedAgain { ingredient } => {
                write!(
                    f,
                    "{ingredient} goes in flat, and its fizz comes back with the rest"
                )
            }
            Remark::PartOfAServe { serves } => {
                write!(f, "{serves:.2} serves: the last one is short")
            }
            Remark::BittersScaled { factor } => {
                write!(
                    f,
                    "bitters are scaled by {factor} besides, as asked: the figures are of that"
                )
            }
        }
    }
}

/// A caution with who says so.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Caution {
    /// What.
    pub text: String,
    /// Who says so: a source, or "common practice, no source".
    pub source: String,
}

pub(super) fn remarks(worked: &ComputedDrink, ask: &Ask, batch: &Batch) -> Vec<Remark> {
    let mut all = Vec::new();
    if let Some(vessel_ml) = batch.vessel_ml {
        let free_pct = batch.free_pct().unwrap_or(0.0);
        if batch.overflow_ml > 0.0 {
            all.push(Remark::Overflows {
                by_ml: batch.overflow_ml,
                vessel_ml,
            });
        } else if free_pct < batch.head_pct - 0.05 {
            all.push(Remark::TooFull {
                free_pct,
                head_pct: batch.head_pct,
            });
        }
    }
    if let Some(at) = &batch.freezer {
        let frozen_pct = 100.0 * at.freezing.frozen_share;
        match at.freezing.onset_c {
            Some(onset_c) if frozen_pct >= 0.5 => all.push(Remark::Freezes {
                onset_c,
                freezer_c: at.freezing.freezer_c,
                frozen_pct,
                most_water_ml: at.most_water_ml,
                water_ml: batch.water_ml,
            }),
            Some(onset_c) => all.push(Remark::StaysLiquid {
                onset_c,
                freezer_c: at.freezing.freezer_c,
            }),
            None => {}
        }
    }
    let own_ml: f64 = batch
        .lines
        .iter()
        .filter(|l| l.when == When::Batch && l.was.is_none() && lines::same(&l.ingredient, "water"))
        .map(|l| l.each_ml)
        .sum();
    if own_ml > 0.0 && batch.water_ml > 0.0 {
        all.push(Remark::DilutedTwice { own_ml });
    }
    let textured = |t: &Technique| {
        matches!(
            t,
            Technique::Shake | Technique::WhipShake | Technique::Blend | Technique::Swizzle
        )
    };
    if batch.serving != Serving::ToOrder
        && !ask.keg
        && let Some(technique) = batch.technique.filter(textured)
    {
        all.push(Remark::NeverShaken { technique });
    }
    if ask.keg {
        let abv_pct = batch.in_vessel.abv_pct.value.unwrap_or(0.0);
        if abv_pct > LIVELY_FIZZ_PCT {
            all.push(Remark::DullFizz { abv_pct });
        }
        let fizzes = |name: &str| worked.context.ingredient(name).is_some_and(|i| i.carbonated);
        for line in batch
            .lines
            .iter()
            .filter(|l| l.when == When::Batch && fizzes(&l.ingredient))
        {
            all.push(Remark::ChargedAgain {
                ingredient: line.ingredient.clone(),
            });
        }
    }
    let strong = batch.in_vessel.abv_pct.value.unwrap_or(0.0) > 5.0;
    if strong && batch.in_vessel.sugar_g_per_100ml.value.unwrap_or(0.0) > 3.0 {
        all.push(Remark::SyrupSinks);
    }
    if (batch.serves_exact - f64::from(batch.serves)).abs() > 0.005 {
        all.push(Remark::PartOfAServe {
            serves: batch.serves_exact,
        });
    }
    if batch.lines.iter().any(|l| (l.factor - 1.0).abs() > 1e-9) {
        all.push(Remark::BittersScaled {
            factor: ask.bitters_factor,
        });
    }
    all
}

pub(super) fn cautions(worked: &ComputedDrink, ask: &Ask, batch: &Batch, holds: Perishables) -> Vec<Caution> {
    let mut all: Vec<Caution> = Vec::new();
    let mut say = |text: &str, source: &str| {
        if !all.iter().any(|c| c.text == text) {
            all.push(Caution {
                text: text.to_owned(),
                source: source.to_owned(),
            });
        }
    };
    for caution in &worked.resolved.cautions {
        say(caution, "its ingredients");
    }
    let eggs = worked
        .resolved
        .pours()
        .filter_map(|(_, pour)| pour.typed.choices.first())
        .any(|n| {
            worked
                .context
                .stock
                .get(&n.name)
                .is_some_and(crate::prepare::is_raw)
        });
    if eggs || holds.egg {
        say(
            "egg is cracked to order, kept at 5 °C or below, and told to the guest",
            "food-safety handbooks, from memory",
        );
    }
    if holds.dairy {
        say(
            "milk or cream stands in it: at 5 °C or below, the same day",
            "food-safety handbooks, from memory",
        );
    }
    for line in batch.lines.iter().filter(|l| l.when == When::Batch) {
        if let Some((from, to)) = line.clock_h {
            say(
                &format!(
                    "{} is at its best for {from:.0} to {to:.0} h after pressing",
                    line.ingredient
                ),
                "bar articles, READ; they disagree",
            );
        }
    }
    let keeps = batch.in_vessel.abv_pct.value.unwrap_or(0.0) >= KEEPS_FROM_PCT;
    if !keeps && !ask.keg {
        say(
            "less than 20 % vol does not keep by itself: cold, covered, dated",
            "common practice, no source",
        );
    }
    if ask.keg {
        say(
            "gas under pressure: only vessels, hoses and bottles that are rated for it, never household glass; as their maker says",
            "common practice, no source",
        );
    }
    if ask.freezer_c.is_some() {
        say(
            "water grows by 9 % as it freezes: a tenth of the bottle free, or it cracks",
            "90.6 ml/kg, READ",
        );
        say(
            "what comes from the freezer burns skin and hides its strength",
            "common practice, no source",
        );
    }
    say(
        "label it with name, strength, allergens and the hour it was made; local law decides",
        "common practice, no source",
    );
    all
}
