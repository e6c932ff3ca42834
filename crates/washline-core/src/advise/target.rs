//! What each measure is to come to: the usual band, else the band of what is seen, or what the user aims at.

use std::cmp::Ordering;
use std::fmt::{self, Display};
use std::str::FromStr;

use crate::balance::{BalanceFigure, Figures, Ranges, Span, Structure};

/// What a user aims at: `tartness 0.85`, `strength 16 to 18`.
///
/// A single value is met where a bar cannot pour it nearer: within 0.5 % vol, 0.5 g of sugar or 0.05 g of acid in
/// 100 ml, which is about half a jigger's step in a sour (common practice, no source). A span is met as printed.
///
/// ```
/// use washline_core::advise::Aim;
/// use washline_core::balance::BalanceFigure;
/// let aim: Aim = "strength 16 to 18 %".parse().unwrap();
/// assert_eq!((aim.measure, aim.low, aim.high), (BalanceFigure::Strength, 16.0, 18.0));
/// assert!("strength a lot".parse::<Aim>().is_err());
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aim {
    /// Which measure.
    pub measure: BalanceFigure,
    /// The least, in the measure's unit.
    pub low: f64,
    /// The most; the least again for a single value.
    pub high: f64,
    /// Decimals it is compared at: the measure's own, or as many as were typed.
    pub decimals: u8,
}

/// A text that is no aim.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is nothing to aim at; expected strength (% vol), sweetness or tartness (g/100 ml) with a value or a span, such as `tartness 0.85` or `strength 16 to 18`"
)]
pub struct AimError(pub String);

impl FromStr for Aim {
    type Err = AimError;

    fn from_str(text: &str) -> Result<Aim, AimError> {
        /// More than any drink has, % vol and g/100 ml.
        const MOST: f64 = 200.0;
        let bad = || AimError(text.to_owned());
        let cut = text
            .find(|c: char| c.is_ascii_digit() || c == '.')
            .ok_or_else(bad)?;
        let (name, values) = text.split_at(cut);
        let name = name.trim().trim_end_matches([':', '=']);
        if !name.chars().all(|c| c.is_alphabetic() || c == ' ' || c == '_') {
            return Err(bad());
        }
        let measure = BalanceFigure::named(name).ok_or_else(bad)?;
        let mut values = values.trim();
        for unit in ["% vol", "%", "g/100 ml", "g"] {
            values = values.strip_suffix(unit).unwrap_or(values).trim_end();
        }
        let ends: Vec<&str> = match values
            .split_once(" to ")
            .or_else(|| values.split_once(['-', '–']))
        {
            Some((low, high)) => vec![low, high],
            None => vec![values],
        };
        let mut decimals = measure.decimals();
        let mut read = Vec::new();
        for end in ends {
            let end = end.trim().trim_end_matches(['%', ' ']).replace(',', ".");
            let digits = end.bytes().all(|b| b.is_ascii_digit() || b == b'.') && end.len() <= 8;
            let value: f64 = if digits {
                end.parse().map_err(|_| bad())?
            } else {
                return Err(bad());
            };
            let typed = end.split_once('.').map_or(0, |(_, part)| part.len());
            decimals = decimals.max(u8::try_from(typed).map_err(|_| bad())?);
            if value > MOST {
                return Err(bad());
            }
            read.push(value);
        }
        let (low, high) = match read.as_slice() {
            [value] => (*value, *value),
            [low, high] if low <= high => (*low, *high),
            _ => return Err(bad()),
        };
        Ok(Aim {
            measure,
            low,
            high,
            decimals,
        })
    }
}

/// How near a single value counts as met.
fn tolerance(measure: BalanceFigure) -> f64 {
    match measure {
        BalanceFigure::Strength | BalanceFigure::Sweetness => 0.5,
        BalanceFigure::Tartness => 0.05,
    }
}

/// Where a target comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub enum Basis {
    /// The usual range of the structure: the handbook's, or the house's own.
    Usual,
    /// What published drinks of the structure span, where no range is usual.
    Seen,
    /// The user's aim.
    Aim,
}

impl Basis {
    /// As a screen says it.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// What one measure is to come to.
#[derive(Clone, Debug, PartialEq)]
pub struct Target {
    /// Which measure.
    pub measure: BalanceFigure,
    /// From where to where, compared at the precision it is printed with.
    pub span: Span,
    /// Where that comes from.
    pub basis: Basis,
}

impl Target {
    /// Where `value` lies, at the precision of the span.
    #[must_use]
    pub fn place(&self, value: f64) -> Ordering {
        self.span.place(value)
    }

    /// The smallest and largest values that print as inside: 8.949 prints as 8.9.
    #[must_use]
    pub fn edges(&self) -> (f64, f64) {
        let half_digit = 0.5 * 10_f64.powi(-i32::from(self.span.decimals));
        let low = if self.span.low <= 0.0 {
            0.0
        } else {
            self.span.low - half_digit
        };
        (low, self.span.high + half_digit)
    }

    /// Half its width, at least half a digit as printed: the measure of how far off something is.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        let (low, high) = self.edges();
        0.5 * (high - low)
    }

    /// How far `value` lies outside, in half-widths, negative below; 0 inside.
    #[must_use]
    pub fn gap(&self, value: f64) -> f64 {
        let (low, high) = self.edges();
        match self.place(value) {
            Ordering::Less => (value - low) / self.half_width(),
            Ordering::Equal => 0.0,
            Ordering::Greater => (value - high) / self.half_width(),
        }
    }

    /// How far `value` lies from the middle, in half-widths.
    pub(super) fn off_middle(&self, value: f64) -> f64 {
        (value - 0.5 * (self.span.low + self.span.high)) / self.half_width()
    }
}

impl Display for Target {
    /// `strength 15.0 to 19.7 % vol (usual)`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (name, unit) = (self.measure.name(), self.measure.unit());
        write!(f, "{name} {} {unit} ({})", self.span.printed(), self.basis.word())
    }
}

/// Strength below which no published range is about a drink, % vol.
const NO_ALCOHOL_PCT: f64 = 0.5;

/// Why there is nothing to mend towards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoTarget {
    /// The spec names no method, so it has no structure.
    NoMethod,
    /// The drink holds no alcohol.
    NoAlcohol,
    /// Nobody has published a range of this structure.
    NoRange(Structure),
}

impl Display for NoTarget {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoTarget::NoMethod => write!(f, "the method is missing, so it has no range to be brought into"),
            NoTarget::NoAlcohol => write!(f, "no published range is about drinks without alcohol"),
            NoTarget::NoRange(structure) => write!(f, "no range is published for {}", structure.phrase()),
        }
    }
}

/// What a drink is to come to: each measure by the aim on it, else by its usual band, else by the band of what is
/// seen. A measure that the drink does not have at all has no target, unless the structure is made of it.
pub(super) fn targets(
    structure: Option<Structure>,
    figures: &Figures,
    ranges: &Ranges,
    aims: &[Aim],
) -> Result<Vec<Target>, NoTarget> {
    let alcoholic = figures.abv_pct.value.unwrap_or(0.0) >= NO_ALCOHOL_PCT;
    let mut targets = Vec::new();
    for measure in BalanceFigure::ALL {
        if let Some(aim) = aims.iter().rev().find(|a| a.measure == measure) {
            targets.push(aimed(aim));
            continue;
        }
        let (Some(structure), true) = (structure, alcoholic) else {
            continue;
        };
        let value = figures.measured(measure).value.unwrap_or(0.0);
        let none_at_all = value < 0.5 * 10_f64.powi(-i32::from(measure.decimals()));
        if none_at_all && !structure.is_sour() {
            continue;
        }
        let band = ranges.band(structure, measure);
        let (span, basis) = match (&band.core, &band.outer) {
            (Some(core), _) => (core.clone(), Basis::Usual),
            (None, Some(outer)) => (outer.clone(), Basis::Seen),
            (None, None) => continue,
        };
        targets.push(Target { measure, span, basis });
    }
    match (targets.is_empty(), structure) {
        (false, _) => Ok(targets),
        (true, None) => Err(NoTarget::NoMethod),
        (true, Some(_)) if !alcoholic => Err(NoTarget::NoAlcohol),
        (true, Some(structure)) => Err(NoTarget::NoRange(structure)),
    }
}

fn aimed(aim: &Aim) -> Target {
    let single = aim.high <= aim.low;
    let spare = if single { tolerance(aim.measure) } else { 0.0 };
    Target {
        measure: aim.measure,
        span: Span {
            low: (aim.low - spare).max(0.0),
            high: aim.high + spare,
            decimals: aim.decimals,
            count: None,
            source: "aimed at".to_owned(),
            status: String::new(),
            own: false,
        },
        basis: Basis::Aim,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn aims_as_people_type_them() {
        for (text, measure, low, high, decimals) in [
            ("tartness 0.85", BalanceFigure::Tartness, 0.85, 0.85, 2),
            ("strength 16 to 18", BalanceFigure::Strength, 16.0, 18.0, 1),
            ("Strength: 16-18 %", BalanceFigure::Strength, 16.0, 18.0, 1),
            ("abv 16 % to 18 %", BalanceFigure::Strength, 16.0, 18.0, 1),
            ("sweetness 7,25 g/100 ml", BalanceFigure::Sweetness, 7.25, 7.25, 2),
            ("sugar=6.5–7", BalanceFigure::Sweetness, 6.5, 7.0, 1),
            ("acid .8", BalanceFigure::Tartness, 0.8, 0.8, 2),
        ] {
            let aim: Aim = text.parse().unwrap_or_else(|e| panic!("{text}: {e}"));
            assert_eq!(
                aim,
                Aim {
                    measure,
                    low,
                    high,
                    decimals
                },
                "{text}"
            );
        }
        for bad in [
            "",
            "tartness",
            "0.85",
            "tartness 1e3",
            "tartness 0.9 to 0.8",
            "bitterness 2",
            "strength 900",
            "strength 1.2.3",
            "strength -4",
        ] {
            assert!(bad.parse::<Aim>().is_err(), "{bad}");
        }
    }

    #[test]
    fn a_single_value_is_met_as_near_as_a_jigger_pours() {
        let target = aimed(&"tartness 0.85".parse().unwrap());
        assert_eq!(target.place(0.804), Ordering::Equal); // prints as 0.80
        assert_eq!(target.place(0.79), Ordering::Less);
        assert_eq!(target.to_string(), "tartness 0.80 to 0.90 g/100 ml (aim)");
    }

    #[test]
    fn edges_are_those_of_the_printed_figure() {
        let target = aimed(&"sweetness 5.0 to 8.9".parse().unwrap());
        assert_eq!(target.place(8.949), Ordering::Equal);
        assert!((target.edges().1 - 8.95).abs() < 1e-12);
        assert!(target.gap(8.949).abs() < 1e-12);
        assert!((target.gap(8.95 + target.half_width()) - 1.0).abs() < 1e-9);
    }
}
