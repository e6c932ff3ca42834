//! A spec card: what stands behind the bar while a drink is made. Amounts in ml, in ounces as a jigger has them,
//! the order of work, the glass and how full it gets, the garnish, cautions, and what to check by taste.

use std::fmt;

use super::garnish;
use super::label::{Allergen, Label, label};
use crate::balance::{Finding, GlassFill};
use crate::build::{Built, ICE_PACKING, WASHLINE_SHARE};
use crate::computed::{ComputedDrink, Prepared};
use crate::measure::{Amount, Dimension, Measures, Unit};
use crate::resolve::{ResolvedPour, ResolvedStep};
use crate::spec::{Extent, Pour, PourAmount, PourMethod, Step, Technique, amount_text};
use crate::tables::printed::NONE;
use crate::tables::{IceForm, IngredientKind};

/// A card.
#[derive(Clone, Debug)]
pub struct Card {
    /// The drink.
    pub name: String,
    /// The book it stands in.
    pub book: String,
    /// Which version of its spec.
    pub version: i64,
    /// What sort of drink it is; `None` where the method is missing.
    pub structure: Option<&'static str>,
    /// The glass in the writer's words; `None` where the spec names none.
    pub glass: Option<String>,
    /// How full that gets; `None` where its size is not known.
    pub washline: Option<Washline>,
    /// What there is to drink, ml at 20 °C.
    pub volume_ml: f64,
    /// Its strength, % vol.
    pub abv_pct: f64,
    /// The ice it stands on; `None` where it is served without.
    pub ice: Option<IceForm>,
    /// What does not go into its glass, in words; `None` where it does, or where no glass is known.
    pub misfit: Option<String>,
    /// The lines, in working order.
    pub lines: Vec<CardLine>,
    /// Garnishes.
    pub garnishes: Vec<String>,
    /// When it is poured, itself or by its list.
    pub seasons: Vec<String>,
    /// The words that are put on it, itself or by its list.
    pub tags: Vec<String>,
    /// What to check by taste.
    pub taste: Vec<Taste>,
    /// Cautions, allergens among them: a line each.
    pub cautions: Vec<String>,
    /// The writer's own notes.
    pub notes: Vec<String>,
    /// How large an ounce is in this book, ml.
    pub ounce_ml: Amount,
}

/// A line of a card.
#[derive(Clone, Debug, PartialEq)]
pub enum CardLine {
    /// Something poured or put in.
    Pour {
        /// How much.
        amount: CardAmount,
        /// Of what, in the writer's words, with how it goes in where that is not into the tin.
        name: String,
    },
    /// Work: shake, strain, over ice.
    Work(String),
}

/// How much of something, in the ways a card can say it.
#[derive(Clone, Debug, PartialEq)]
pub struct CardAmount {
    /// As it is written, where it is no plain volume: `2 dashes`, `1 barspoon`, `to taste`.
    pub written: Option<String>,
    /// In ml: `22.5`.
    pub ml: Option<String>,
    /// In ounces, as a jigger has them: `¾`, `1 ½`.
    pub oz: Option<Ounces>,
}

/// An amount in ounces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ounces {
    /// In whole ounces and the fractions of a jigger.
    pub text: String,
    /// Whether it is exactly that; else the nearest mark of a jigger.
    pub exact: bool,
}

/// How full the glass gets.
#[derive(Clone, Debug, PartialEq)]
pub struct Washline {
    /// The glass, and what it holds to the brim, ml.
    pub glass: GlassFill,
    /// Whether that is only the usual size of such a glass.
    pub assumed: bool,
    /// Whether ice stands in it too.
    pub on_ice: bool,
    /// Where the level stands in a glass packed with ice, % of the brim; `None` without ice, or on one large piece.
    pub level_pct: Option<f64>,
}

impl fmt::Display for Washline {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (ml, pct) = (
            self.glass.fill_pct / 100.0 * self.glass.capacity_ml,
            self.glass.fill_pct,
        );
        let brim = if self.assumed {
            format!(
                "the brim of a usual {} ({:.0} ml)",
                self.glass.name, self.glass.capacity_ml
            )
        } else {
            "the brim".to_owned()
        };
        match (self.on_ice, self.level_pct) {
            (false, _) => write!(f, "{ml:.0} ml, {pct:.0} % of {brim}"),
            (true, Some(level)) => write!(
                f,
                "{ml:.0} ml of liquid, {pct:.0} % of {brim}; packed with ice it stands at about {level:.0} %"
            ),
            (true, None) => write!(f, "{ml:.0} ml of liquid, {pct:.0} % of {brim}, and the ice"),
        }
    }
}

/// Something that no figure settles.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Taste {
    /// An amount is left to the palate.
    Open {
        /// Of what.
        name: String,
    },
    /// Fruit differs from day to day.
    Fruit {
        /// Which juices.
        names: Vec<String>,
    },
    /// What is pressed out depends on the hand.
    Pressed {
        /// Which fruit or herbs.
        names: Vec<String>,
    },
    /// Water comes with time.
    Stirred,
    /// Cold and water come together.
    Shaken,
    /// Egg white has to stand.
    Foam,
    /// Dashes differ from bottle to bottle.
    Dashes,
    /// A top goes flat.
    Fizz,
}

impl fmt::Display for Taste {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Taste::Open { name } => write!(f, "How much {name}: by taste, before the ice."),
            Taste::Fruit { names } => write!(
                f,
                "Tart against sweet, before the ice: {} is not the same every day.",
                names.join(", ")
            ),
            Taste::Pressed { names } => {
                write!(f, "Enough of the {}, none of its bitterness.", names.join(", "))
            }
            Taste::Stirred => f.write_str("Water: taste as you stir; stop when it opens."),
            Taste::Shaken => f.write_str("Cold enough, and not thin at the end of the glass."),
            Taste::Foam => f.write_str("A foam that stands; no smell of egg."),
            Taste::Dashes => f.write_str("The dashes: no bottle dashes like another."),
            Taste::Fizz => f.write_str("The top still bites."),
        }
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

/// The lines of a drink as a card has them, in working order: what is poured, and the work.
#[must_use]
pub fn lines(worked: &ComputedDrink) -> Vec<CardLine> {
    let measures = worked.context.settings.to_measures();
    let steps = worked.resolved.steps.iter();
    steps
        .filter_map(|step| match step {
            ResolvedStep::Pour(pour) => Some(poured(&measures, &pour.typed, pour, &worked.built)),
            ResolvedStep::Garnish(_) => None,
            step => Some(CardLine::Work(step.written().to_string())),
        })
        .collect()
}

/// What is wrong with a drink in its glass: it does not fit it; `None` where it does, or no glass is known.
#[must_use]
pub fn misfit(worked: &ComputedDrink) -> Option<&Finding> {
    let mut findings = worked.evaluation.findings.iter();
    findings.find(|f| matches!(f, Finding::GlassOverflows { .. } | Finding::NoRoomForTop { .. }))
}

/// The ice that a drink stands on in its glass; `None` where it is served without.
#[must_use]
pub fn ice(worked: &ComputedDrink) -> Option<IceForm> {
    let stated = worked.drink.lines().filter_map(|line| match &line.step {
        Step::OverIce(ice) => Some(ice.form),
        _ => None,
    });
    worked.built.on_ice.then(|| stated.last().unwrap_or_default())
}

/// The lines of a preparation, in working order.
#[must_use]
pub fn lines_of_preparation(prepared: &Prepared) -> Vec<CardLine> {
    let made = &prepared.made;
    let line = |(at, line): (usize, &crate::spec::Line)| match (
        &line.step,
        made.parts.iter().find(|p| p.position == at),
    ) {
        (Step::Pour(pour), Some(part)) => CardLine::Pour {
            amount: CardAmount {
                written: Some(part.written.clone()),
                ml: None,
                oz: None,
            },
            name: pour
                .choices
                .first()
                .map_or_else(|| part.ingredient.clone(), |c| c.name.clone()),
        },
        (step, _) => CardLine::Work(step.to_string()),
    };
    made.preparation.lines().enumerate().map(line).collect()
}

/// The card of a drink.
#[must_use]
pub fn card(worked: &ComputedDrink) -> Card {
    let drink = &worked.drink;
    let measures = worked.context.settings.to_measures();
    let evaluation = &worked.evaluation;
    let label = label(worked, None);
    Card {
        name: drink.name.clone(),
        book: worked.found_in.book.clone(),
        version: worked.found_in.version,
        structure: evaluation.structure.map(|s| s.name()),
        glass: drink.glass.as_ref().map(|g| match g.capacity_ml {
            Some(ml) => format!("{}, {ml} ml", g.name),
            None => g.name.clone(),
        }),
        washline: evaluation.glass.clone().map(|glass| washline(glass, worked)),
        volume_ml: worked.built.glass.volume_ml(),
        abv_pct: worked.built.glass.abv_pct().unwrap_or(0.0),
        ice: ice(worked),
        misfit: misfit(worked).map(ToString::to_string),
        lines: lines(worked),
        garnishes: garnish::items(worked).map(str::to_owned).collect(),
        seasons: worked.seasons().into_iter().map(str::to_owned).collect(),
        tags: worked.tags().into_iter().map(str::to_owned).collect(),
        taste: taste(worked),
        cautions: cautions(&label),
        notes: drink
            .entries
            .iter()
            .filter_map(|e| match e {
                crate::spec::Entry::Particular(key, words) if key == "note" => Some(words.clone()),
                crate::spec::Entry::Note(words) if !words.is_empty() => Some(words.clone()),
                _ => None,
            })
            .collect(),
        ounce_ml: measures.ounce.ml(),
    }
}

fn washline(glass: GlassFill, worked: &ComputedDrink) -> Washline {
    let built = &worked.built;
    let single = worked
        .drink
        .lines()
        .any(|l| matches!(&l.step, Step::OverIce(ice) if ice.form.is_large()));
    // Packed ice leaves so much of the glass free that the liquid stands this much higher in it; nobody fills a
    // glass beyond its washline.
    let level_pct = (built.on_ice && !single).then(|| {
        let packed = glass.fill_pct / (1.0 - ICE_PACKING);
        packed.min(100.0 * WASHLINE_SHARE).max(glass.fill_pct)
    });
    Washline {
        assumed: worked
            .resolved
            .glass
            .as_ref()
            .is_some_and(|g| g.assumed_ml.is_some()),
        on_ice: built.on_ice,
        level_pct,
        glass,
    }
}

fn poured(measures: &Measures, written: &Pour, pour: &ResolvedPour, built: &Built) -> CardLine {
    let mut name: Vec<String> = Vec::new();
    let place = match written.place {
        PourMethod::In => "",
        PourMethod::Top => "top:",
        PourMethod::Float => "float:",
        PourMethod::Rinse => "rinse:",
        PourMethod::Mist => "mist:",
    };
    if !place.is_empty() {
        name.push(place.to_owned());
    }
    let choices: Vec<String> = written
        .choices
        .iter()
        .map(|c| {
            if c.any {
                format!("any {}", c.name)
            } else {
                c.name.clone()
            }
        })
        .collect();
    name.push(choices.join(" or "));
    if let Some(percentage) = written.percentage() {
        name.push(format!("({percentage})"));
    }
    if !written.note.is_empty() {
        name.push(format!("({})", written.note));
    }
    CardLine::Pour {
        amount: amount(measures, written, pour, built),
        name: name.join(" "),
    }
}

fn amount(measures: &Measures, written: &Pour, pour: &ResolvedPour, built: &Built) -> CardAmount {
    let as_written = |text: String| CardAmount {
        written: Some(text),
        ml: None,
        oz: None,
    };
    let volume = |extent: &Extent, unit: Unit| -> Option<CardAmount> {
        let plain = matches!(
            unit,
            Unit::Millilitre | Unit::Centilitre | Unit::Decilitre | Unit::Litre | Unit::Ounce
        );
        let size = measures.size(unit).filter(|_| plain)?.nominal;
        let (low, high) = (extent.low.times(size).ok()?, extent.high.times(size).ok()?);
        let both = |of: &dyn Fn(Amount) -> Option<String>| {
            Some(if low == high {
                of(low)?
            } else {
                format!("{}{NONE}{}", of(low)?, of(high)?)
            })
        };
        let ounces = [low, high].map(|ml| in_ounces(ml, measures.ounce.ml()));
        let exact = ounces.iter().all(|o| o.as_ref().is_some_and(|(_, exact)| *exact));
        Some(CardAmount {
            written: None,
            ml: Some(both(&|ml| Some(in_ml(ml)))?),
            oz: both(&|ml| Some(in_ounces(ml, measures.ounce.ml())?.0)).map(|text| Ounces { text, exact }),
        })
    };
    match &written.measure {
        PourAmount::Of(extent, Some(unit)) => match volume(extent, *unit) {
            Some(amount) => amount,
            None if unit.facts().dimension == Dimension::Share => {
                let ml = round_to(pour.usual().volume_ml, 2.0);
                let (low, high) = (extent.nominal, extent.nominal);
                let parts = Extent {
                    nominal: low,
                    low,
                    high,
                    word: None,
                };
                CardAmount {
                    written: Some(format!(
                        "{} {}",
                        parts.nominal.mixed_fraction(),
                        unit.written_after(parts.nominal)
                    )),
                    ml: Some(ml),
                    oz: None,
                }
            }
            None => as_written(amount_text(written)),
        },
        // A bare number was read as ml, as ounces, or as so many pieces: what it came to tells which.
        PourAmount::Of(extent, None) => {
            let read_as = |unit: Unit| {
                let size = measures.size(unit)?.nominal.to_f64();
                let near = (pour.usual().volume_ml - extent.nominal.to_f64() * size).abs()
                    < 1e-6 * pour.usual().volume_ml;
                volume(extent, unit).filter(|_| near)
            };
            read_as(Unit::Millilitre)
                .or_else(|| read_as(Unit::Ounce))
                .unwrap_or_else(|| as_written(pour.written.clone()))
        }
        PourAmount::Open(_) => as_written("to taste".to_owned()),
        PourAmount::Fill => match built.fill {
            Some(fill) => as_written(format!("about {} ml", round_to(fill.volume_ml, 0.2))),
            None => as_written("to the top".to_owned()),
        },
        PourAmount::Usual => as_written(String::new()),
    }
}

/// A volume to the nearest 1/`per` ml, without trailing zeros.
fn round_to(ml: f64, per: f64) -> String {
    crate::resolve::rounded((ml * per).round() / per)
}

/// A volume in ml: exact where two decimals hold it, else to a tenth.
fn in_ml(ml: Amount) -> String {
    match ml.exact_decimal() {
        Some(text) if text.split_once('.').is_none_or(|(_, part)| part.len() <= 2) => text,
        _ => crate::tables::printed::trimmed(ml.to_f64(), 1),
    }
}

/// Fractions that jiggers are marked with.
const MARKS: [(i128, i128, &str); 9] = [
    (1, 8, "⅛"),
    (1, 4, "¼"),
    (1, 3, "⅓"),
    (3, 8, "⅜"),
    (1, 2, "½"),
    (5, 8, "⅝"),
    (2, 3, "⅔"),
    (3, 4, "¾"),
    (7, 8, "⅞"),
];

/// A volume in ounces of a size: the nearest that a jigger has, and whether it is exactly that. `None` of nothing.
fn in_ounces(ml: Amount, ounce: Amount) -> Option<(String, bool)> {
    if ml.is_zero() {
        return Some(("0".to_owned(), true));
    }
    let wanted = ml.to_f64() / ounce.to_f64();
    #[expect(
        clippy::cast_possible_truncation,
        reason = "an amount is at most a thousand million"
    )]
    let whole = wanted.floor() as i128;
    let mut nearest: Option<(f64, i128, &str, Amount)> = None;
    let marks = MARKS.iter().copied();
    for (top, bottom, mark) in marks.chain([(0, 1, ""), (1, 1, "1")]) {
        let amount = Amount::ratio(whole * bottom + top, bottom).ok()?;
        let apart = (amount.to_f64() - wanted).abs();
        if !amount.is_zero() && nearest.is_none_or(|(best, ..)| apart < best) {
            nearest = Some((apart, whole, mark, amount));
        }
    }
    let (_, whole, mark, amount) = nearest?;
    let (whole, mark) = if mark == "1" {
        (whole + 1, "")
    } else {
        (whole, mark)
    };
    let text = match (whole, mark) {
        (0, mark) => mark.to_owned(),
        (whole, "") => whole.to_string(),
        (whole, mark) => format!("{whole} {mark}"),
    };
    Some((text, amount.times(ounce).ok()? == ml))
}

/// What to check by taste, the most telling first.
fn taste(worked: &ComputedDrink) -> Vec<Taste> {
    let mut checks = Vec::new();
    let (mut fruit, mut pressed) = (Vec::new(), Vec::new());
    let (mut dashes, mut fizz) = (false, false);
    let note = |names: &mut Vec<String>, name: &str| {
        if !names.iter().any(|n| n == name) {
            names.push(name.to_owned());
        }
    };
    for (_, pour) in worked.resolved.pours() {
        let written = &pour.typed;
        let name = written
            .choices
            .first()
            .map_or(pour.ingredient.as_str(), |c| c.name.as_str());
        let kind = worked.context.stock.get(&pour.ingredient).map(|i| &i.kind);
        if matches!(written.measure, PourAmount::Open(_)) {
            checks.push(Taste::Open {
                name: name.to_owned(),
            });
        }
        if kind == Some(&IngredientKind::Juice) && pour.some().acid_g_per_100ml().is_some_and(|a| a >= 1.0) {
            note(&mut fruit, name);
        }
        if pour.needs_pressing {
            note(&mut pressed, name);
        }
        dashes |= matches!(written.measure, PourAmount::Of(_, Some(Unit::Dash)));
        fizz |= pour.carbonated;
    }
    if !fruit.is_empty() {
        checks.push(Taste::Fruit { names: fruit });
    }
    if !pressed.is_empty() {
        checks.push(Taste::Pressed { names: pressed });
    }
    let worked_by = |techniques: &[Technique]| {
        worked
            .drink
            .lines()
            .any(|line| matches!(&line.step, Step::Work(w) if techniques.contains(&w.technique)))
    };
    let foamer = worked.resolved.pours().any(|(_, pour)| pour.foamer);
    if worked_by(&[Technique::Stir]) {
        checks.push(Taste::Stirred);
    }
    if worked_by(&[
        Technique::Shake,
        Technique::WhipShake,
        Technique::Blend,
        Technique::Swizzle,
    ]) {
        checks.push(Taste::Shaken);
    }
    if foamer && worked_by(&[Technique::Shake, Technique::WhipShake, Technique::DryShake]) {
        checks.push(Taste::Foam);
    }
    if dashes {
        checks.push(Taste::Dashes);
    }
    if fizz {
        checks.push(Taste::Fizz);
    }
    checks
}

/// The line of a card that tells of allergens.
#[must_use]
pub fn allergen_line(told: &str) -> String {
    format!("Allergens (EU list): {told}.")
}

/// What a card has to warn of: allergens first, then what must be named, egg and alcohol.
fn cautions(label: &Label) -> Vec<String> {
    let words = |all: &[Allergen]| all.iter().map(|a| a.word.as_str()).collect::<Vec<_>>().join(", ");
    let mut cautions = Vec::new();
    let mut allergens = Vec::new();
    if !label.eu.contains.is_empty() {
        allergens.push(format!("contains {}", words(&label.eu.contains)));
    }
    if !label.eu.may_contain.is_empty() {
        allergens.push(format!("may contain {}", words(&label.eu.may_contain)));
    }
    if !label.eu.unknown.is_empty() {
        allergens.push(format!("unknown of {}", label.eu.unknown.join(", ")));
    }
    cautions.push(if allergens.is_empty() {
        allergen_line("none usual; read the labels")
    } else {
        allergen_line(&allergens.join("; "))
    });
    if !label.named.is_empty() {
        let names: Vec<&str> = label.named.iter().map(|n| n.word).collect();
        cautions.push(format!("Holds {}.", names.join(" and ")));
    }
    for line in [label.egg_line(), label.alcohol_line()] {
        if !line.is_empty() {
            cautions.push(line.to_owned());
        }
    }
    cautions.extend(label.cautions.iter().map(|c| format!("{}.", capital(c))));
    cautions
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::Ounce;

    #[test]
    fn ounces_are_exact_where_a_jigger_has_them() {
        let of = |ml: (i128, i128), ounce: Ounce| in_ounces(Amount::raw(ml.0, ml.1), ounce.ml()).unwrap();
        let bar = |n, d| of((n, d), Ounce::Bar30);
        assert_eq!(bar(225, 10), ("¾".to_owned(), true));
        assert_eq!(bar(45, 1), ("1 ½".to_owned(), true));
        assert_eq!(bar(60, 1), ("2".to_owned(), true));
        assert_eq!(bar(375, 100), ("⅛".to_owned(), true));
        assert_eq!(bar(20, 1), ("⅔".to_owned(), true));
        // 25 ml is 5/6 of it, which no jigger has.
        assert_eq!(bar(25, 1), ("⅞".to_owned(), false));
        // 60 ml is 2.03 US ounces.
        assert_eq!(of((60, 1), Ounce::Us), ("2".to_owned(), false));
        // Three US ounces, to the last digit.
        let three = Ounce::Us.ml() * Amount::raw(3, 1);
        assert_eq!(in_ounces(three, Ounce::Us.ml()).unwrap(), ("3".to_owned(), true));
        // Nearly two is two, and never nothing.
        assert_eq!(bar(599, 10), ("2".to_owned(), false));
        assert_eq!(bar(1, 10), ("⅛".to_owned(), false));
    }

    #[test]
    fn millilitres_are_short() {
        assert_eq!(in_ml(Amount::raw(225, 10)), "22.5");
        assert_eq!(in_ml(Ounce::Us.ml() * Amount::raw(3, 2)), "44.4");
        assert_eq!(in_ml(Amount::raw(60, 1)), "60");
    }
}
