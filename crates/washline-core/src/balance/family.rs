//! Which drinks a drink is compared with: by what is poured and how it is served, in one table of rules.
//!
//! Never by the fault that is looked for (a sour with hardly any lime is a sour) and never by one word of method (equal
//! parts of gin, bitter and vermouth are the same drink stirred or built). The rules are tried in order, and the first
//! that holds decides. Each gives how far it holds as a ratio to its limit, so that a drink near a limit can say which
//! other family it might as well be of.

use serde::{Deserialize, Serialize};

use super::{Figures, Structure};
use crate::build::Built;
use crate::liquid::Liquid;
use crate::resolve::{Resolved, ResolvedPour, ResolvedStep};
use crate::tables::{Family, IngredientKind, Technique};

/// Strength below which a drink counts as without alcohol, % vol: 0.5 is where most law draws the line.
pub(super) const NO_ALCOHOL_PCT: f64 = 0.5;

/// What the rules look at.
struct Poured<'a> {
    built: &'a Built,
    figures: &'a Figures,
    pours: Vec<(&'a ResolvedPour, f64)>,
    before_ml: f64,
    crushed: bool,
}

/// A family, the rule in words with its reason, and the rule: 1 or more holds.
struct Rule {
    family: Family,
    rule: &'static str,
    why: &'static str,
    holds: fn(&Poured<'_>) -> f64,
}

/// Acid from which a juice is there to make a drink tart, g/L as citric: lemon and lime hold 40 to 60, grapefruit 24,
/// orange and pineapple under 12 (the library's figures).
const SOUR_JUICE_G_PER_L: f64 = 20.0;
/// The least of it that counts, ml: less is a dash, and seasons.
const SOUR_JUICE_ML: f64 = 2.0;
/// Share of what is poured from which something lengthens, % (as for a topped structure: before ice).
const LENGTHENED_PCT: f64 = 20.0;

/// The rules in the order they are tried. All limits are common practice, no source, where no other is given.
static RULES: [Rule; 20] = [
    Rule {
        family: Family::ZeroProof,
        rule: "under 0.5 % vol",
        why: "the line most law draws; no published range is about drinks without alcohol",
        holds: |p| NO_ALCOHOL_PCT / p.figures.abv_pct.value.unwrap_or(0.0).max(1e-6),
    },
    Rule {
        family: Family::Hot,
        rule: "what is hot is a fifth of what is poured and no ice is under it, or it is served hot",
        why: "hot water takes the place of ice, and in other amounts",
        holds: |p| {
            // A little hot water loosens honey and is gone on the ice.
            let hot = p.share(|pour| pour.hot) / 20.0;
            let hot = if p.built.on_ice { 0.0 } else { hot };
            hot.max(holds(p.built.structure == Some(Structure::Hot)))
        },
    },
    Rule {
        family: Family::BeerAndCider,
        rule: "beer or cider is a quarter of what is poured",
        why: "a pint is weaker and larger than anything else that is lengthened",
        holds: |p| p.share(|pour| matches!(pour.kind, IngredientKind::Beer | IngredientKind::Cider)) / 25.0,
    },
    Rule {
        family: Family::Frozen,
        rule: "blended with ice",
        why: "all its ice is drunk: it is made stronger and sweeter before, and ends weaker",
        holds: |p| holds(p.built.structure == Some(Structure::Blended)),
    },
    Rule {
        family: Family::MilkPunch,
        rule: "milk or a plant drink is 15 % of what is poured",
        why: "milk lengthens and hardly fattens: neither creamy nor long",
        holds: |p| {
            let lean = |l: &Liquid| l.fat_g() < 0.1 * l.mass_g();
            p.share(|pour| {
                matches!(
                    pour.kind,
                    IngredientKind::Dairy | IngredientKind::PlantMilk | IngredientKind::Coconut
                ) && lean(&pour.some())
            }) / 15.0
        },
    },
    Rule {
        family: Family::Creamy,
        rule: "2 g of fat or more in 100 ml before ice: cream, yolk, whole egg",
        why: "fat carries sugar: what is usual in it would be cloying elsewhere",
        holds: |p| 100.0 * p.built.before.fat_g() / p.before_ml / crate::tables::CREAMY_FAT_G_PER_100ML,
    },
    Rule {
        family: Family::Coffee,
        rule: "coffee or coffee liqueur is a fifth of what is poured",
        why: "its acid and bitterness are the coffee's, and no sour's",
        holds: |p| p.share(|pour| pour.is_of("coffees") || pour.is_of("coffee liqueurs")) / 20.0,
    },
    Rule {
        family: Family::Fizz,
        rule: "citrus is poured, and what fizzes is a fifth of what is poured: collins, fizz, buck, rickey",
        why: "a sour that is lengthened: half as strong, sweet and tart as one that is not",
        holds: |p| p.citrus().min(p.share(|pour| pour.carbonated) / LENGTHENED_PCT),
    },
    Rule {
        family: Family::Spritz,
        rule: "sparkling wine is a quarter of what is poured, or wine that is lengthened",
        why: "wine brings acid of its own, and little strength",
        holds: |p| {
            let sparkling = p.share(|pour| pour.kind == IngredientKind::SparklingWine) / 25.0;
            let wine = p.share(|pour| pour.kind == IngredientKind::Wine) / 25.0;
            sparkling.max(wine.min(p.share(|pour| pour.carbonated) / LENGTHENED_PCT))
        },
    },
    Rule {
        family: Family::Long,
        rule: "what fizzes is a fifth of what is poured, or juice half of a drink built on cubes",
        why: "lengthened without citrus: highballs, and spirit with juice",
        holds: |p| {
            let fizz = p.share(|pour| pour.carbonated) / LENGTHENED_PCT;
            let juice = p.share(|pour| {
                matches!(
                    pour.kind,
                    IngredientKind::Juice
                        | IngredientKind::JuiceDrink
                        | IngredientKind::Nectar
                        | IngredientKind::Water
                        | IngredientKind::CoffeeAndTea
                ) || pour.kind == IngredientKind::Coconut
            }) / 50.0;
            let on_ice = matches!(
                p.built.structure,
                Some(Structure::BuiltLong | Structure::BuiltShort | Structure::Topped | Structure::Rolled)
            );
            fizz.max(if on_ice && !p.crushed { juice } else { 0.0 })
        },
    },
    Rule {
        family: Family::Julep,
        rule: "leaves of a herb are worked in, and it is served short on ice",
        why: "the ice goes on melting under it: it starts stronger than a sour",
        holds: |p| holds(p.built.on_ice && p.pours.iter().any(|(pour, _)| pour.kind == IngredientKind::Herb)),
    },
    Rule {
        family: Family::CrushedIce,
        rule: "swizzled, or served on crushed ice",
        why: "crushed ice goes on melting: punches, cobblers, swizzles",
        holds: |p| holds(p.crushed),
    },
    Rule {
        family: Family::SourWithFoam,
        rule: "citrus is poured, and egg white or another foamer is shaken",
        why: "the white dilutes by a fifth and takes the edge off the acid",
        holds: |p| p.citrus().min(holds(p.pours.iter().any(|(pour, _)| pour.foamer))),
    },
    Rule {
        family: Family::Sour,
        rule: "citrus is poured, however little: 2 ml of a juice with 20 g/L of acid",
        why: "what is missing must not decide what it is compared with",
        holds: |p| p.citrus(),
    },
    Rule {
        family: Family::Fruit,
        rule: "juice, nectar or purée without sharp acid is a tenth of what is poured",
        why: "orange and pineapple bring as much sugar as acid: no sour, and not spirit-forward",
        holds: |p| {
            p.share(|pour| {
                matches!(
                    pour.kind,
                    IngredientKind::Juice
                        | IngredientKind::JuiceDrink
                        | IngredientKind::Nectar
                        | IngredientKind::Puree
                        | IngredientKind::Fruit
                )
            }) / 10.0
        },
    },
    Rule {
        family: Family::Neat,
        rule: "no ice has touched it, and nothing lengthens it",
        why: "nothing dilutes it",
        holds: |p| holds(p.built.structure == Some(Structure::Neat)),
    },
    Rule {
        family: Family::BitterSweet,
        rule: "bitter liqueurs are 18 % of what is poured: a negroni's kind",
        why: "bitterness shifts what sweetness is usual: by itself it would be too sweet",
        holds: |p| p.share(|pour| pour.kind == IngredientKind::BitterLiqueur) / 18.0,
    },
    Rule {
        family: Family::LowStrength,
        rule: "vermouth, sherry, port, wine and sake are 60 % of what is poured",
        why: "made of wine it is as strong as it can be: it is not weak",
        holds: |p| {
            p.share(|pour| {
                matches!(
                    pour.kind,
                    IngredientKind::AromatisedWine
                        | IngredientKind::FortifiedWine
                        | IngredientKind::Wine
                        | IngredientKind::Sake
                )
            }) / 60.0
        },
    },
    Rule {
        family: Family::Martini,
        rule: "gin or vodka is 40 % of what is poured, with under 4 g of sugar in 100 ml before ice",
        why: "dry by design: 1 g of sugar is right, where a manhattan would be too dry",
        holds: |p| {
            let gin = p.share(|pour| pour.is_of("gins") || pour.is_of("vodkas"));
            (gin / 40.0).min(4.0 / p.built.before.sugar_g_per_100ml().unwrap_or(0.0).max(0.1))
        },
    },
    Rule {
        family: Family::SpiritForward,
        rule: "what is left: spirit, sugar, vermouth, bitters on ice",
        why: "strength and sugar are all there is to it",
        holds: |_| 1.0,
    },
];

fn holds(yes: bool) -> f64 {
    if yes { f64::INFINITY } else { 0.0 }
}

impl ResolvedPour {
    fn is_of(&self, group: &str) -> bool {
        self.groups.iter().any(|g| g == group)
    }

    /// A juice that is there to make the drink tart: citrus, or as sharp as it.
    pub(super) fn is_sour_juice(&self) -> bool {
        let volume = self.some().volume_ml();
        matches!(
            self.kind,
            IngredientKind::Juice
                | IngredientKind::Puree
                | IngredientKind::Fruit
                | IngredientKind::Acid
                | IngredientKind::Vinegar
                | IngredientKind::Cordial
        ) && volume > 0.0
            && self.some().ethanol_g() < 0.01 * volume
            && 1000.0 * self.some().acid_as_citric_g() / volume >= SOUR_JUICE_G_PER_L
            && self.some().sugar_g() < 0.15 * volume
    }
}

impl Poured<'_> {
    /// The share of what is poured that pours of a sort bring, % of the volume before ice.
    fn share(&self, wanted: impl Fn(&ResolvedPour) -> bool) -> f64 {
        let of = self
            .pours
            .iter()
            .filter(|(pour, _)| wanted(pour))
            .map(|(_, ml)| ml)
            .sum::<f64>();
        100.0 * of / self.before_ml
    }

    fn citrus(&self) -> f64 {
        let sour = self.pours.iter().filter(|(pour, _)| pour.is_sour_juice());
        sour.map(|(_, ml)| ml).sum::<f64>() / SOUR_JUICE_ML
    }
}

/// How far from its limit a rule may be for a drink to be near it: a fifth either way. Common practice, no source.
const NEAR: f64 = 1.2;

/// The family a drink is of, and another that it is near to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Kin {
    /// Its family.
    pub family: Family,
    /// The family it would be of if it were a little otherwise poured.
    pub near: Option<Family>,
}

impl Kin {
    /// The family of a drink, as its writer names it or else by the rules; `None` where nothing says how it is made. Near to
    /// a family that is named is the one the rules tell.
    #[must_use]
    pub fn of(drink: &Resolved, built: &Built, figures: &Figures) -> Option<Kin> {
        built.structure?;
        let fill_ml = built.fill.map_or(0.0, |fill| fill.volume_ml);
        let pours: Vec<(&ResolvedPour, f64)> = drink
            .steps
            .iter()
            .filter_map(|step| match step {
                ResolvedStep::Pour(pour) => Some((pour, pour.portion.of(Some(fill_ml)).volume_ml)),
                _ => None,
            })
            .collect();
        let crushed = drink.steps.iter().any(|step| match step {
            ResolvedStep::OverIce(ice) => ice.form.is_fine(),
            ResolvedStep::Work(work) => work.technique == Technique::Swizzle,
            _ => false,
        });
        let poured = Poured {
            built,
            figures,
            pours,
            before_ml: built.before.volume_ml().max(f64::MIN_POSITIVE),
            crushed,
        };
        let mut nearly = None;
        let named = |family: Family, near| match drink.family {
            // Whether there is alcohol is no matter of taste.
            Some(named) if family == Family::ZeroProof || named == Family::ZeroProof => Kin {
                family,
                near: (named != family).then_some(named),
            },
            Some(named) => Kin {
                family: named,
                near: (named != family).then_some(family),
            },
            None => Kin { family, near },
        };
        for (at, rule) in RULES.iter().enumerate() {
            let ratio = (rule.holds)(&poured);
            if ratio >= 1.0 {
                let next = || {
                    RULES[at + 1..]
                        .iter()
                        .find(|r| (r.holds)(&poured) >= 1.0)
                        .map(|r| r.family)
                };
                let near = nearly.or_else(|| if ratio < NEAR { next() } else { None });
                return Some(named(rule.family, near));
            }
            // Without alcohol is no matter of degree: a weak drink is none.
            if ratio * NEAR >= 1.0 && rule.family != Family::ZeroProof {
                nearly = nearly.or(Some(rule.family));
            }
        }
        None
    }
}

impl Family {
    /// What makes a drink one.
    #[must_use]
    pub fn rule(self) -> &'static str {
        RULES[self as usize].rule
    }

    /// Why that makes it a family of its own.
    #[must_use]
    pub fn why(self) -> &'static str {
        RULES[self as usize].why
    }

    /// The families that a small one is compared with: those that pour alike, itself among them. Every family is of one
    /// such circle.
    #[must_use]
    pub fn relatives(self) -> &'static [Family] {
        use Family as F;
        match self {
            F::ZeroProof => &[F::ZeroProof],
            F::Hot => &[F::Hot],
            F::BeerAndCider | F::Long => &[F::BeerAndCider, F::Long],
            F::Spritz => &[F::Spritz],
            // What no ice has touched is of every strength: nothing else is like it.
            F::Neat => &[F::Neat],
            F::Frozen | F::CrushedIce | F::Julep => &[F::Frozen, F::Julep, F::CrushedIce],
            F::MilkPunch | F::Creamy | F::Coffee => &[F::MilkPunch, F::Creamy, F::Coffee],
            F::SourWithFoam | F::Sour | F::Fruit | F::Fizz => &[F::Fizz, F::SourWithFoam, F::Sour, F::Fruit],
            F::LowStrength | F::BitterSweet => &[F::BitterSweet, F::LowStrength],
            F::Martini | F::SpiritForward => &[F::Martini, F::SpiritForward],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rules_stand_in_the_order_of_the_enum() {
        for (at, rule) in RULES.iter().enumerate() {
            assert_eq!(rule.family as usize, at);
            assert!(!rule.rule.is_empty() && !rule.why.is_empty());
            assert!(rule.family.relatives().contains(&rule.family));
        }
    }
}
