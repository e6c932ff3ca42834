//! What an audit finds: an enum that carries the numbers, and one place where they become words.

use std::fmt::{self, Display};

use jiff::civil::Date;
use rust_decimal::Decimal;
use serde::Serialize;

use super::facts::DrinkAt;
use crate::balance::{Finding, Severity, Structure};
use crate::service::comparison::{Apart, FigureFacts, SaidPair};
use crate::tables::Remedy;

/// What is to be done about a finding: the groups that a reader works through.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Todo {
    /// The build cannot be right.
    Build,
    /// Out of its range.
    Balance,
    /// It does not fit its glass.
    Glass,
    /// More alcohol than the house serves.
    Serve,
    /// Two specs of one drink.
    Settle,
    /// Amounts as the bar measures them.
    Measure,
    /// Facts that nobody has written down.
    FindOut,
    /// The list as a whole.
    List,
    /// What stands on the shelf.
    Shelf,
}

crate::ingredient::words!(Todo);

impl Todo {
    /// What to do, as a heading.
    #[must_use]
    pub fn heading(self) -> &'static str {
        match self {
            Todo::Build => "Put the build right",
            Todo::Balance => "Bring into balance",
            Todo::Glass => "Fit drink and glass",
            Todo::Serve => "Look at the serve",
            Todo::Settle => "Settle which spec holds",
            Todo::Measure => "Write what the bar can measure",
            Todo::FindOut => "Find out and write down",
            Todo::List => "Look at the list as a whole",
            Todo::Shelf => "Tidy the shelf",
        }
    }
}

/// A fact that a spec should have.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, strum::IntoStaticStr, strum::VariantNames,
)]
#[serde(rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum Fact {
    /// What is in it that some must not have.
    Allergens,
    /// The glass.
    Glass,
    /// How large the glass is.
    GlassSize,
    /// The selling price.
    Price,
    /// The garnish, or that there is none.
    Garnish,
    /// Figures of an ingredient that anyone has read or measured.
    Figures,
}

impl Fact {
    fn words(self) -> &'static str {
        match self {
            Fact::Allergens => "with allergens unknown",
            Fact::Glass => "no glass is named",
            Fact::GlassSize => "the size of the glass is only the usual one",
            Fact::Price => "no selling price",
            Fact::Garnish => "no garnish is named",
            Fact::Figures => "with figures from memory alone",
        }
    }
}

/// What is uneven in a list.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "what", rename_all = "snake_case")]
pub enum Uneven {
    /// Nothing between two neighbours.
    Gap {
        /// In what: a word for the measure.
        measure: String,
        /// The lower neighbour.
        from: f64,
        /// The upper neighbour.
        to: f64,
        /// How much of the whole range that is, %.
        share_pct: f64,
    },
    /// Most of the list in a small part of its range.
    Crowding {
        /// In what.
        measure: String,
        /// From.
        from: f64,
        /// To.
        to: f64,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// Most drinks are strong.
    Strong {
        /// Above this, % vol.
        above_pct: f64,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// No drink is light.
    NoLow {
        /// Below this, % vol.
        below_pct: f64,
        /// The weakest there is with alcohol, % vol.
        weakest_pct: f64,
    },
    /// No drink is without alcohol.
    NoneFree {
        /// Up to this, % vol.
        up_to_pct: f64,
    },
    /// Nearly everything is sour.
    AllSour {
        /// From this acidity, g/100 ml.
        from_g_per_100ml: f64,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// More than half of the list is built one way.
    OneStructure {
        /// Which.
        structure: String,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
    /// More than half of the drinks with alcohol stand on one base.
    OneBase {
        /// Which.
        base: String,
        /// So many.
        count: usize,
        /// Of so many.
        of: usize,
    },
}

/// A figure that is another in the second spec of a drink.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FigureDrift {
    /// Which.
    #[serde(flatten)]
    pub facts: FigureFacts,
    /// In the first.
    pub a: f64,
    /// In the second.
    pub b: f64,
    /// How far apart.
    #[serde(flatten)]
    pub apart: Apart,
}

/// A pour that is another in the second spec of a drink.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PourDrift {
    /// Of what.
    pub ingredient: String,
    /// In the first; `None` where it pours none.
    pub a: Option<String>,
    /// In the second.
    pub b: Option<String>,
}

/// Something found in a list of drinks.
#[derive(Clone, Debug, PartialEq, Serialize, strum::IntoStaticStr, strum::VariantNames)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[strum(serialize_all = "snake_case")]
pub enum AuditFinding {
    /// More alcohol in a drink than the house serves.
    ServingSize {
        /// The drink.
        drinks: Vec<DrinkAt>,
        /// Ethanol, g.
        ethanol_g: f64,
        /// Lower end of its interval, g.
        low_g: Option<f64>,
        /// Upper end of its interval, g.
        high_g: Option<f64>,
        /// The house's limit, g.
        most_g: f64,
        /// Standard drinks of the country set.
        standard_drinks: f64,
        /// Whether the limit lies within the interval.
        too_close: bool,
    },
    /// Two specs of one drink that are not the same.
    Drift {
        /// The drink in either place.
        drinks: Vec<DrinkAt>,
        /// Where the first stands: a book, a version.
        a: String,
        /// Where the second stands.
        b: String,
        /// Pours that differ.
        pours: Vec<PourDrift>,
        /// What else differs.
        said: Vec<SaidPair>,
        /// What that comes to in the glass: the figures that differ as printed.
        glass: Vec<FigureDrift>,
        /// Whether any of those can be told apart.
        told_apart: bool,
    },
    /// Drinks that only one of two lists has.
    OnlyInOne {
        /// Which.
        drinks: Vec<DrinkAt>,
        /// The list that lacks them.
        lacking: String,
    },
    /// An amount that no jigger of the house measures.
    UnpouredAmount {
        /// The drink.
        drinks: Vec<DrinkAt>,
        /// Of what.
        ingredient: String,
        /// The amount as written.
        written: String,
        /// The next amount below that can be measured, as it would be written.
        below: Option<String>,
        /// The next above.
        above: Option<String>,
    },
    /// Millilitres and ounces in one book.
    MixedUnits {
        /// The drinks that are written in what the rest is not.
        drinks: Vec<DrinkAt>,
        /// The book.
        book: String,
        /// Pours in ml, cl, dl, l.
        metric: usize,
        /// Pours in ounces.
        ounces: usize,
    },
    /// Two sizes of ounce.
    TwoOunces {
        /// Where.
        drinks: Vec<DrinkAt>,
        /// The ounce of the book, ml.
        book_ounce_ml: f64,
        /// The other one, ml.
        other_ounce_ml: f64,
        /// What shows it: `44.4 ml is 1 1/2 oz of 29.57 ml`, the title of the other book.
        shown_by: Vec<String>,
    },
    /// A fact that is missing.
    MissingFact {
        /// Of these drinks.
        drinks: Vec<DrinkAt>,
        /// Which.
        fact: Fact,
        /// The ingredients, where it is about them.
        ingredients: Vec<String>,
        /// Of so many that are poured.
        of: usize,
    },
    /// A measurement or price that is old.
    OldMeasurement {
        /// The drinks that stand on it.
        drinks: Vec<DrinkAt>,
        /// Of what.
        ingredient: String,
        /// What was measured: the quantity, or `price`.
        what: String,
        /// When.
        since: Date,
        /// So many days ago.
        days: i64,
        /// Old from so many days.
        limit_days: i64,
    },
    /// Uneven.
    Spread {
        /// The drinks it is about; none where it is about what is not there.
        drinks: Vec<DrinkAt>,
        /// In what way.
        #[serde(flatten)]
        uneven: Uneven,
    },
    /// Two drinks that are nearly one.
    NearTwins {
        /// Both.
        drinks: Vec<DrinkAt>,
        /// What both are.
        structure: Structure,
        /// How far apart; see `alike`.
        distance: f64,
        /// By what is in the glass, in band widths.
        by_figures: f64,
        /// By what is poured, 0 to 1.
        by_pours: f64,
        /// Twins up to this distance.
        limit: f64,
    },
    /// An ingredient that one drink alone pours.
    LonelyIngredient {
        /// The drink.
        drinks: Vec<DrinkAt>,
        /// What.
        ingredient: String,
        /// Whether the house makes it.
        made: bool,
        /// The package it is bought in.
        package: Option<String>,
        /// What one package costs, net.
        holds: Option<Decimal>,
        /// In what.
        currency: Option<String>,
    },
    /// One ingredient, written in several ways.
    TwoNames {
        /// The drinks that write it otherwise than most.
        drinks: Vec<DrinkAt>,
        /// What it is.
        ingredient: String,
        /// The names, the most written first.
        names: Vec<String>,
    },
    /// Two ingredients whose names are near.
    NearNames {
        /// The drinks that pour the less poured of the two.
        drinks: Vec<DrinkAt>,
        /// One.
        ingredient: String,
        /// The other.
        other: String,
    },
    /// A preparation, or an ingredient that a book defines, and nobody pours.
    UnpouredPreparation {
        /// None: nobody pours it.
        drinks: Vec<DrinkAt>,
        /// What.
        ingredient: String,
        /// Its book.
        book: String,
        /// Whether it is made here, and not only defined.
        made: bool,
    },
    /// What a check of the drink by itself finds: balance, glass, build.
    #[serde(untagged)]
    OfDrink {
        /// The drink.
        drinks: Vec<DrinkAt>,
        /// What is found.
        finding: Finding,
    },
}

impl AuditFinding {
    /// One word for its kind.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            AuditFinding::OfDrink { finding, .. } => finding.kind(),
            own => own.into(),
        }
    }

    /// How grave it is.
    #[must_use]
    pub fn severity(&self) -> Severity {
        match self {
            AuditFinding::OfDrink { finding, .. } => finding.severity(),
            AuditFinding::ServingSize { too_close: false, .. } => Severity::Outside,
            AuditFinding::ServingSize { .. }
            | AuditFinding::Drift { told_apart: true, .. }
            | AuditFinding::UnpouredAmount { .. }
            | AuditFinding::TwoOunces { .. }
            | AuditFinding::MissingFact {
                fact: Fact::Allergens,
                ..
            }
            | AuditFinding::Spread {
                uneven: Uneven::NoneFree { .. },
                ..
            } => Severity::Edge,
            _ => Severity::Note,
        }
    }

    /// What is to be done about it.
    #[must_use]
    pub fn todo(&self) -> Todo {
        match self {
            AuditFinding::OfDrink { finding, .. } => match finding {
                Finding::OffBalance { .. } | Finding::TooClose { .. } => Todo::Balance,
                Finding::GlassOverflows { .. }
                | Finding::GlassBrimming { .. }
                | Finding::GlassHalfEmpty { .. }
                | Finding::NoRoomForTop { .. } => Todo::Glass,
                _ => Todo::Build,
            },
            AuditFinding::ServingSize { .. } => Todo::Serve,
            AuditFinding::Drift { .. } | AuditFinding::OnlyInOne { .. } => Todo::Settle,
            AuditFinding::UnpouredAmount { .. }
            | AuditFinding::MixedUnits { .. }
            | AuditFinding::TwoOunces { .. } => Todo::Measure,
            AuditFinding::MissingFact { .. } | AuditFinding::OldMeasurement { .. } => Todo::FindOut,
            AuditFinding::Spread { .. } | AuditFinding::NearTwins { .. } => Todo::List,
            AuditFinding::LonelyIngredient { .. }
            | AuditFinding::TwoNames { .. }
            | AuditFinding::NearNames { .. }
            | AuditFinding::UnpouredPreparation { .. } => Todo::Shelf,
        }
    }

    /// The drinks it is about.
    #[must_use]
    pub fn drinks(&self) -> &[DrinkAt] {
        match self {
            AuditFinding::OfDrink { drinks, .. }
            | AuditFinding::ServingSize { drinks, .. }
            | AuditFinding::Drift { drinks, .. }
            | AuditFinding::OnlyInOne { drinks, .. }
            | AuditFinding::UnpouredAmount { drinks, .. }
            | AuditFinding::MixedUnits { drinks, .. }
            | AuditFinding::TwoOunces { drinks, .. }
            | AuditFinding::MissingFact { drinks, .. }
            | AuditFinding::OldMeasurement { drinks, .. }
            | AuditFinding::Spread { drinks, .. }
            | AuditFinding::NearTwins { drinks, .. }
            | AuditFinding::LonelyIngredient { drinks, .. }
            | AuditFinding::TwoNames { drinks, .. }
            | AuditFinding::NearNames { drinks, .. }
            | AuditFinding::UnpouredPreparation { drinks, .. } => drinks,
        }
    }

    fn first(&self) -> &str {
        self.drinks().first().map_or("", |d| d.name.as_str())
    }

    /// What would put it right.
    #[must_use]
    pub fn cure(&self) -> Remedy {
        match self {
            AuditFinding::OfDrink { finding, .. } => match finding {
                Finding::OffBalance { .. } => Remedy::Mend {
                    drink: self.first().to_owned(),
                },
                Finding::TooClose {
                    settled_by, input, ..
                } => format!("{input}: {settled_by}").into(),
                Finding::GlassOverflows { .. }
                | Finding::GlassBrimming { .. }
                | Finding::NoRoomForTop { .. } => "a larger glass, or a smaller serve".into(),
                Finding::GlassHalfEmpty { .. } => "a smaller glass, or a larger serve".into(),
                _ => "change the steps of the spec".into(),
            },
            AuditFinding::ServingSize { .. } => {
                "pour less, or say it on the menu; what may be served in one drink is for your local law"
                    .into()
            }
            AuditFinding::Drift { .. } => "decide which one is poured, and write it in both places".into(),
            AuditFinding::OnlyInOne { .. } => "add them there, or leave it so".into(),
            AuditFinding::UnpouredAmount { below, above, .. } => match (below, above) {
                (Some(below), Some(above)) => {
                    format!("write {below} or {above}, or set `jigger set:` to what the bar has").into()
                }
                (Some(one), None) | (None, Some(one)) => {
                    format!("write {one}, or set `jigger set:` to what the bar has").into()
                }
                (None, None) => "write a whole one".into(),
            },
            AuditFinding::MixedUnits { metric, ounces, .. } => {
                let (few, most) = if metric < ounces {
                    ("ml", "oz")
                } else {
                    ("oz", "ml")
                };
                format!("write in {most} what is in {few}, like the rest").into()
            }
            AuditFinding::TwoOunces { .. } => {
                "one ounce for the house: set `ounce:` and write converted amounts as they are poured".into()
            }
            AuditFinding::MissingFact { fact, .. } => match fact {
                Fact::Allergens => "read the labels, and set `allergens:` of the ingredient".into(),
                Fact::Glass => "`glass: coupe, 180 ml` under the name".into(),
                Fact::GlassSize => "fill one to the brim, and write its size: `glass: coupe, 180 ml`".into(),
                Fact::Price => "`price: 12.50` under the name".into(),
                Fact::Garnish => "`garnish: lemon zest` under the name, or `garnish: none`".into(),
                Fact::Figures => Remedy::Measure,
            },
            AuditFinding::OldMeasurement { what, ingredient, .. } if what == "price" => Remedy::Price {
                of: ingredient.clone(),
            },
            AuditFinding::OldMeasurement { ingredient, .. } => Remedy::MeasureAgain {
                of: ingredient.clone(),
            },
            AuditFinding::Spread { uneven, .. } => match uneven {
                Uneven::Gap { .. } => "a drink between the two, if guests ask for one".into(),
                Uneven::NoLow { .. } => "a lighter one: sherry, vermouth, or a small spirit made long".into(),
                Uneven::NoneFree { .. } => "a drink without alcohol that is made with as much care".into(),
                _ => "the next new drink elsewhere".into(),
            },
            AuditFinding::NearTwins { .. } => "keep the better one, or pull them apart".into(),
            AuditFinding::LonelyIngredient { made, .. } => if *made {
                "pour it in a second drink, or do without"
            } else {
                "pour it in a second drink, swap it for what is there, or do without"
            }
            .into(),
            AuditFinding::TwoNames { names, .. } => {
                format!("write `{}` throughout", names.first().map_or("", String::as_str)).into()
            }
            AuditFinding::NearNames { .. } => {
                "if they are one bottle, write one name; if not, say so to the bar".into()
            }
            AuditFinding::UnpouredPreparation { .. } => "pour it, or stop making it".into(),
        }
    }
}

/// `1 ml`, `3 g`: a value with at most two decimals and no trailing zeros.
fn short(value: f64) -> String {
    let text = format!("{value:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Names of drinks, each once, with "and so many more" after the first few.
fn names(drinks: &[DrinkAt]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for drink in drinks {
        if !names.contains(&drink.name.as_str()) {
            names.push(&drink.name);
        }
    }
    listed(names.into_iter())
}

/// How many of a list are named in a sentence.
const NAMED: usize = 6;

fn listed<'a>(all: impl ExactSizeIterator<Item = &'a str>) -> String {
    let count = all.len();
    // One more than that is as short as "and 1 more".
    let shown = if count <= NAMED + 1 { count } else { NAMED };
    let mut text = all.take(shown).collect::<Vec<_>>().join(", ");
    if count > shown {
        text.push_str(&format!(" and {} more", count - shown));
    }
    text
}

impl Display for Uneven {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Uneven::Gap {
                measure,
                from,
                to,
                share_pct,
            } => write!(
                f,
                "a gap in {measure}: nothing between {} and {}, {share_pct:.0} % of the whole range",
                in_unit(measure, *from, false),
                in_unit(measure, *to, true)
            ),
            Uneven::Crowding {
                measure,
                from,
                to,
                count,
                of,
            } => write!(
                f,
                "crowded in {measure}: {count} of {of} drinks lie between {} and {}",
                in_unit(measure, *from, false),
                in_unit(measure, *to, true)
            ),
            Uneven::Strong { above_pct, count, of } => {
                write!(
                    f,
                    "{count} of {of} drinks are over {} % vol in the glass",
                    short(*above_pct)
                )
            }
            Uneven::NoLow {
                below_pct,
                weakest_pct,
            } => write!(
                f,
                "no drink low in alcohol: none below {} % vol in the glass, the lightest has {weakest_pct:.1}",
                short(*below_pct)
            ),
            Uneven::NoneFree { up_to_pct } => {
                write!(
                    f,
                    "no drink without alcohol: none of {} % vol or less",
                    short(*up_to_pct)
                )
            }
            Uneven::AllSour {
                from_g_per_100ml,
                count,
                of,
            } => write!(
                f,
                "nearly everything is sour: {count} of {of} drinks have {} g/100 ml of acid or more",
                short(*from_g_per_100ml)
            ),
            Uneven::OneStructure { structure, count, of } => {
                write!(f, "{count} of {of} drinks are of one structure: {structure}")
            }
            Uneven::OneBase { base, count, of } => {
                write!(f, "{count} of {of} drinks with alcohol stand on one base: {base}")
            }
        }
    }
}

/// A value of a measure of the spread, with its unit at the end of a phrase.
fn in_unit(measure: &str, value: f64, with_unit: bool) -> String {
    match FigureFacts::named(measure) {
        Some(facts) if with_unit => facts.printed(value),
        Some(facts) => {
            let d = usize::from(facts.decimals);
            format!("{value:.d$}")
        }
        // A price, in whatever currency the list is in.
        None => format!("{value:.2}"),
    }
}

impl Display for PourDrift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let said = |side: &Option<String>| match side.as_deref() {
            None => "none".to_owned(),
            Some("") => "some".to_owned(),
            Some(text) => text.to_owned(),
        };
        write!(f, "{} {} → {}", self.ingredient, said(&self.a), said(&self.b))
    }
}

impl Display for FigureDrift {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let d = usize::from(self.facts.decimals);
        write!(
            f,
            "{} {:.d$} → {}",
            self.facts.word,
            self.a,
            self.facts.printed(self.b)
        )?;
        if self.apart.too_small {
            f.write_str(" (too small to call)")?;
        }
        Ok(())
    }
}

impl Display for AuditFinding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = self.first();
        match self {
            AuditFinding::OfDrink { finding, .. } => write!(f, "{name}: {finding}"),
            AuditFinding::ServingSize {
                ethanol_g,
                low_g,
                high_g,
                most_g,
                standard_drinks,
                too_close,
                ..
            } => {
                write!(f, "{name}: {ethanol_g:.1} g of alcohol")?;
                if let (Some(low), Some(high)) = (low_g, high_g) {
                    write!(f, " (between {low:.1} and {high:.1})")?;
                }
                let most = short(*most_g);
                if *too_close {
                    write!(f, ", too close to call against the house limit of {most} g")?;
                } else {
                    write!(f, ", over the house limit of {most} g")?;
                }
                write!(f, "; {standard_drinks:.1} standard drinks")
            }
            AuditFinding::Drift {
                a,
                b,
                pours,
                said,
                glass,
                told_apart,
                ..
            } => {
                write!(f, "{name}: {a} → {b}")?;
                let mut changes: Vec<String> = pours.iter().map(ToString::to_string).collect();
                changes.extend(said.iter().map(|s| {
                    let or_none = |t: &str| {
                        if t.is_empty() {
                            "none".to_owned()
                        } else {
                            t.to_owned()
                        }
                    };
                    format!("{} {} → {}", s.what, or_none(&s.a), or_none(&s.b))
                }));
                if !changes.is_empty() {
                    write!(f, ": {}", changes.join("; "))?;
                }
                let glass: Vec<String> = glass.iter().map(ToString::to_string).collect();
                match (glass.is_empty(), told_apart) {
                    (true, _) => f.write_str("; in the glass the same"),
                    (false, _) => write!(f, "; in the glass {}", glass.join(", ")),
                }
            }
            AuditFinding::OnlyInOne { drinks, lacking } => {
                write!(f, "not in {lacking}: {}", names(drinks))
            }
            AuditFinding::UnpouredAmount {
                ingredient, written, ..
            } => {
                write!(f, "{name}: {written} {ingredient} is no measure of this bar")
            }
            AuditFinding::MixedUnits {
                drinks,
                book,
                metric,
                ounces,
            } => write!(
                f,
                "{book}: {metric} pours in ml and {ounces} in oz in one book; the fewer in {}",
                names(drinks)
            ),
            AuditFinding::TwoOunces {
                drinks,
                book_ounce_ml,
                other_ounce_ml,
                shown_by,
            } => {
                write!(
                    f,
                    "two ounces: {} ml and {} ml; {}",
                    short(*book_ounce_ml),
                    short(*other_ounce_ml),
                    listed(shown_by.iter().map(String::as_str))
                )?;
                if drinks.is_empty() {
                    Ok(())
                } else {
                    write!(f, " (in {})", names(drinks))
                }
            }
            AuditFinding::MissingFact {
                drinks,
                fact,
                ingredients,
                of,
            } => {
                if ingredients.is_empty() {
                    write!(
                        f,
                        "{} in {} of {of} drinks: {}",
                        fact.words(),
                        drinks.len(),
                        names(drinks)
                    )
                } else {
                    write!(
                        f,
                        "of {of} ingredients {} {}: {}",
                        ingredients.len(),
                        fact.words(),
                        listed(ingredients.iter().map(String::as_str))
                    )
                }
            }
            AuditFinding::OldMeasurement {
                drinks,
                ingredient,
                what,
                since,
                days,
                ..
            } => {
                write!(
                    f,
                    "{what} of {ingredient} is of {since}, {days} days old (in {})",
                    names(drinks)
                )
            }
            AuditFinding::Spread { drinks, uneven } => {
                write!(f, "{uneven}")?;
                if drinks.is_empty() {
                    Ok(())
                } else {
                    write!(f, ": {}", names(drinks))
                }
            }
            AuditFinding::NearTwins {
                drinks,
                structure,
                distance,
                by_figures,
                by_pours,
                limit,
            } => {
                let other = drinks.get(1).map_or("", |d| d.name.as_str());
                write!(
                    f,
                    "{name} and {other} are nearly one drink ({structure}): {distance:.2} apart (twins up to {limit}), {by_figures:.2} band widths in the glass, {:.0} % of the pours shared",
                    100.0 * (1.0 - by_pours)
                )
            }
            AuditFinding::LonelyIngredient {
                ingredient,
                made,
                package,
                holds,
                currency,
                ..
            } => {
                write!(f, "{ingredient}, poured by {name} alone")?;
                match (made, package, holds) {
                    (true, ..) => f.write_str(", and made for it"),
                    (false, Some(package), Some(holds)) => write!(
                        f,
                        ": {package} on the shelf holds {holds:.2}{}",
                        currency.as_ref().map_or(String::new(), |c| format!(" {c}"))
                    ),
                    _ => Ok(()),
                }
            }
            AuditFinding::TwoNames {
                drinks,
                ingredient,
                names: written,
            } => {
                let quoted: Vec<String> = written.iter().map(|n| format!("`{n}`")).collect();
                write!(
                    f,
                    "{ingredient} is written {} (in {})",
                    quoted.join(" and "),
                    names(drinks)
                )
            }
            AuditFinding::NearNames {
                drinks,
                ingredient,
                other,
            } => {
                write!(
                    f,
                    "{ingredient} and {other}: two bottles, or one? (in {})",
                    names(drinks)
                )
            }
            AuditFinding::UnpouredPreparation {
                ingredient,
                book,
                made,
                ..
            } => {
                write!(
                    f,
                    "{ingredient} ({book}) is {}, and nobody pours it",
                    if *made { "made" } else { "defined" }
                )
            }
        }
    }
}
