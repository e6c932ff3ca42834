//! What an ingredient costs: the package it is bought in, what is paid for it, and how much of it reaches
//! a drink. Money is exact decimal, package sizes are exact amounts; neither passes through a float.

use crate::names::Expected;
use std::collections::BTreeMap;
use std::fmt;

use jiff::civil::Date;
use rust_decimal::Decimal;

use super::Countable;
use crate::measure::{Amount, Currency, Measures, Ounce, Unit};

/// What something is counted in when it is bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SoldBy {
    /// Millilitres at 20 °C.
    Volume,
    /// Grams.
    Mass,
    /// So many of them; a fruit is a piece.
    Count(Countable),
}

const COUNTED: [(&str, Countable); 9] = [
    ("piece", Countable::Piece),
    ("leaf", Countable::Leaf),
    ("sprig", Countable::Sprig),
    ("slice", Countable::Slice),
    ("wheel", Countable::Wheel),
    ("wedge", Countable::Wedge),
    ("cube", Countable::Cube),
    ("handful", Countable::Handful),
    ("pinch", Countable::Pinch),
];

impl SoldBy {
    /// Its word in the database and in JSON: `ml`, `g`, `piece` …
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            SoldBy::Volume => "ml",
            SoldBy::Mass => "g",
            SoldBy::Count(thing) => COUNTED.iter().find(|(_, c)| *c == thing).map_or("", |(w, _)| w),
        }
    }

    /// All of them.
    pub fn all() -> impl Iterator<Item = SoldBy> {
        let counted = COUNTED.iter().map(|(_, thing)| SoldBy::Count(*thing));
        [SoldBy::Volume, SoldBy::Mass].into_iter().chain(counted)
    }

    /// The one of that word.
    #[must_use]
    pub fn named(word: &str) -> Option<SoldBy> {
        match word {
            "ml" => Some(SoldBy::Volume),
            "g" => Some(SoldBy::Mass),
            other => COUNTED
                .iter()
                .find(|(w, _)| *w == other)
                .map(|(_, c)| SoldBy::Count(*c)),
        }
    }

    /// What a unit is counted in, and how large one is in that: exact units and counts only.
    fn of(unit: Unit, ounce: Ounce) -> Option<(SoldBy, Amount)> {
        let one = |thing| Some((SoldBy::Count(thing), Amount::ONE));
        match unit {
            Unit::Millilitre => Some((SoldBy::Volume, Amount::ONE)),
            Unit::Centilitre => Some((SoldBy::Volume, Amount::raw(10, 1))),
            Unit::Decilitre => Some((SoldBy::Volume, Amount::raw(100, 1))),
            Unit::Litre => Some((SoldBy::Volume, Amount::raw(1000, 1))),
            Unit::Ounce | Unit::Pint | Unit::Quart | Unit::Gallon => {
                let measures = Measures {
                    ounce,
                    own: BTreeMap::new(),
                };
                measures.size(unit).map(|size| (SoldBy::Volume, size.nominal))
            }
            Unit::Gram => Some((SoldBy::Mass, Amount::ONE)),
            Unit::Kilogram | Unit::Pound | Unit::WeightOunce => {
                unit.facts().size.map(|size| (SoldBy::Mass, size.nominal))
            }
            Unit::Fruit | Unit::Piece => one(Countable::Piece),
            Unit::Leaf => one(Countable::Leaf),
            Unit::Sprig => one(Countable::Sprig),
            Unit::Slice => one(Countable::Slice),
            Unit::Wheel => one(Countable::Wheel),
            Unit::Wedge => one(Countable::Wedge),
            Unit::Cube => one(Countable::Cube),
            Unit::Handful => one(Countable::Handful),
            _ => None,
        }
    }
}

/// How much of something there is, in what it is counted in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Portion {
    /// As it was written: `700 ml`.
    pub written: String,
    /// How much, in [`Portion::by`].
    pub amount: Amount,
    /// What it is counted in.
    pub by: SoldBy,
}

impl Portion {
    /// Read `700 ml`, `0,7 l`, `2 lb`, `20 fruit`, `piece`: an exact unit, one of it where no number stands.
    ///
    /// # Errors
    /// What was expected.
    pub fn read(text: &str, ounce: Ounce) -> Result<Portion, Expected> {
        const EXPECTED: &str = "expected an amount in ml, cl, l, oz, pint, quart, gallon, g, kg, lb, oz by weight, piece or fruit, such as `700 ml` or `20 fruit`";
        let text = text.trim();
        let unit_at = text
            .find(|c: char| c.is_alphabetic())
            .ok_or(Expected::new(EXPECTED))?;
        let (number, unit) = (text[..unit_at].trim(), text[unit_at..].trim());
        let number = if number.is_empty() {
            Amount::ONE
        } else {
            number
                .replace(',', ".")
                .parse::<Amount>()
                .map_err(|_| Expected::new(EXPECTED))?
        };
        let (by, size) = Unit::spelt(unit)
            .and_then(|u| SoldBy::of(u, ounce))
            .ok_or(Expected::new(EXPECTED))?;
        let amount = kept_exact(number, size)?;
        if amount.is_zero() {
            return Err(Expected::new("expected an amount above 0"));
        }
        Ok(Portion {
            written: text.to_owned(),
            amount,
            by,
        })
    }
}

/// `number` of a `size`, where that can be written out and read again without losing a digit.
fn kept_exact(number: Amount, size: Amount) -> Result<Amount, Expected> {
    let amount = number.times(size).map_err(|e| Expected::new(e.to_string()))?;
    match amount.to_string().parse::<Amount>() {
        Ok(again) if again == amount => Ok(amount),
        _ => Err(Expected::new("expected fewer decimals")),
    }
}

/// What one buys: so many packs of so much each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Package {
    /// As it was written: `6 x 700 ml`.
    pub written: String,
    /// How many packs; 1 for a single one.
    pub packs: Amount,
    /// What is in one of them.
    pub each: Amount,
    /// What that is counted in.
    pub by: SoldBy,
}

impl Package {
    /// Read `700 ml`, `6 x 700 ml`, `20 fruit`; `ounce` is how large an ounce is here.
    ///
    /// # Errors
    /// What was expected.
    pub fn read(text: &str, ounce: Ounce) -> Result<Package, Expected> {
        let parts = text.split_once(['x', '×']).filter(|(packs, _)| {
            let packs = packs.trim();
            !packs.is_empty() && packs.bytes().all(|b| b.is_ascii_digit())
        });
        let (packs, rest) = match parts {
            Some((packs, rest)) => (
                packs
                    .trim()
                    .parse::<Amount>()
                    .map_err(|e| Expected::new(e.to_string()))?,
                rest,
            ),
            None => (Amount::ONE, text),
        };
        if packs.is_zero() {
            return Err(Expected::new("expected at least one pack"));
        }
        let each = Portion::read(rest, ounce)?;
        packs
            .times(each.amount)
            .map_err(|e| Expected::new(e.to_string()))?;
        Ok(Package {
            written: text.trim().to_owned(),
            packs,
            each: each.amount,
            by: each.by,
        })
    }

    /// What is in all of it.
    #[must_use]
    pub fn amount(&self) -> Amount {
        self.packs * self.each
    }
}

/// How much comes of what is bought: `30 ml per fruit, 20 to 35`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Yielding {
    /// As it was written.
    pub written: String,
    /// How much comes of [`Yielding::per`], in [`Yielding::by`].
    pub amount: Amount,
    /// The least that usually comes.
    pub low: Amount,
    /// The most that usually comes.
    pub high: Amount,
    /// What that is counted in.
    pub by: SoldBy,
    /// Of how much it comes, in [`Yielding::per_by`].
    pub per: Amount,
    /// What that is counted in: as the package.
    pub per_by: SoldBy,
}

impl Yielding {
    /// Read `30 ml per fruit, 20 to 35`, `450 ml per kg`, `8 pieces per fruit`.
    ///
    /// # Errors
    /// What was expected.
    pub fn read(text: &str, ounce: Ounce) -> Result<Yielding, Expected> {
        const EXPECTED: &str = "expected a yield such as `30 ml per fruit` or `30 ml per fruit, 20 to 35`";
        let (nominal, span) = match text.split_once(',') {
            // A decimal comma is no comma between two things.
            Some((head, tail)) if head.contains(" per ") => (head, Some(tail)),
            _ => match text.split_once('(') {
                Some((head, tail)) => (head, Some(tail.trim_end().trim_end_matches(')'))),
                None => (text, None),
            },
        };
        let (comes, of) = nominal.split_once(" per ").ok_or(EXPECTED)?;
        let (comes, of) = (Portion::read(comes, ounce)?, Portion::read(of, ounce)?);
        let one = {
            // The span is in the unit of the figure: its size is the amount over the number written.
            let unit_at = comes.written.find(|c: char| c.is_alphabetic()).ok_or(EXPECTED)?;
            Portion::read(&comes.written[unit_at..], ounce)?.amount
        };
        let (low, high) = match span {
            None => (comes.amount, comes.amount),
            Some(span) => {
                let (low, high) = ends(span).ok_or(EXPECTED)?;
                (kept_exact(low, one)?, kept_exact(high, one)?)
            }
        };
        if low.is_zero() || !(low <= comes.amount && comes.amount <= high) {
            return Err(Expected::new(
                "expected the usual yield within its span, from above 0",
            ));
        }
        Ok(Yielding {
            written: text.trim().to_owned(),
            amount: comes.amount,
            low,
            high,
            by: comes.by,
            per: of.amount,
            per_by: of.by,
        })
    }
}

/// `20 to 35`, `20-35`, `20–35`: the smaller first.
fn ends(text: &str) -> Option<(Amount, Amount)> {
    let text = text.replace(['–', '—'], "-").replace(" to ", "-");
    let text = text.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ' || c == '%');
    let (low, high) = text.split_once('-')?;
    let number = |t: &str| {
        t.trim_end_matches([' ', '%'])
            .trim()
            .replace(',', ".")
            .parse::<Amount>()
            .ok()
    };
    Some((number(low)?, number(high)?))
}

/// A share that is lost, %, with its span.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lost {
    /// Usually.
    pub pct: Amount,
    /// At least.
    pub low_pct: Amount,
    /// At most.
    pub high_pct: Amount,
}

impl Lost {
    /// Read `5 %`, `5`, `5 %, 3 to 8`.
    ///
    /// # Errors
    /// What was expected.
    pub fn read(text: &str) -> Result<Lost, Expected> {
        const EXPECTED: &str = "expected a share from 0 to below 100 % such as `5 %` or `5 %, 3 to 8`";
        let (nominal, span) = match text.split_once('%') {
            Some((nominal, rest)) => (nominal, rest.trim().trim_start_matches(',').trim()),
            None => (text, ""),
        };
        let pct: Amount = nominal
            .trim()
            .replace(',', ".")
            .parse()
            .map_err(|_| Expected::new(EXPECTED))?;
        let (low_pct, high_pct) = if span.is_empty() {
            (pct, pct)
        } else {
            ends(span).ok_or(EXPECTED)?
        };
        if low_pct <= pct && pct <= high_pct && high_pct < Amount::raw(100, 1) {
            Ok(Lost {
                pct,
                low_pct,
                high_pct,
            })
        } else {
            Err(Expected::new(EXPECTED))
        }
    }
}

impl fmt::Display for Lost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} %", self.pct)?;
        if self.low_pct != self.high_pct {
            write!(f, ", {} to {}", self.low_pct, self.high_pct)?;
        }
        Ok(())
    }
}

/// A percentage of money, 0 to 100: `20 %`, `19`, `8.1%`.
///
/// # Errors
/// What was expected.
pub fn percentage(text: &str) -> Result<Decimal, Expected> {
    const EXPECTED: &str = "expected a percentage such as `20 %`";
    let number = text.trim().trim_end_matches('%').trim().replace(',', ".");
    let plain = !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let pct = Decimal::from_str_exact(&number).map_err(|_| Expected::new(EXPECTED))?;
    if plain && number.len() <= 9 && pct <= Decimal::ONE_HUNDRED {
        Ok(pct)
    } else {
        Err(Expected::new(EXPECTED))
    }
}

/// The tax on what is bought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tax {
    /// Its rate, %.
    pub pct: Decimal,
    /// Whether the price holds it.
    pub included: bool,
}

/// A package and what is paid for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bought {
    /// What one gets.
    pub package: Package,
    /// What is paid for the whole package, as on the invoice.
    pub price: Decimal,
    /// In what; `None` in the currency of the book or house.
    pub currency: Option<Currency>,
    /// Its tax; `None` where nobody said: then the price is taken as it stands.
    pub tax: Option<Tax>,
    /// The deposit that is in the price and comes back with the empty package.
    pub deposit: Option<Decimal>,
    /// How much comes of it.
    pub yields: Option<Yielding>,
    /// What is spilt, over-poured or trimmed off.
    pub waste: Option<Lost>,
    /// What an infusion or a strainer keeps back.
    pub loss: Option<Lost>,
}

impl Bought {
    /// A package and its price, nothing else said.
    #[must_use]
    pub fn plain(package: Package, price: Decimal, currency: Option<Currency>) -> Bought {
        Bought {
            package,
            price,
            currency,
            tax: None,
            deposit: None,
            yields: None,
            waste: None,
            loss: None,
        }
    }

    /// What the package costs: without the deposit, and without a tax that the price is said to hold.
    #[must_use]
    pub fn net(&self) -> Decimal {
        let paid = (self.price - self.deposit.unwrap_or_default()).max(Decimal::ZERO);
        match self.tax {
            // A rate is at most 100 %: nothing here can be zero below the line.
            Some(Tax { pct, included: true }) => paid * Decimal::ONE_HUNDRED / (Decimal::ONE_HUNDRED + pct),
            _ => paid,
        }
    }

    /// Whether its parts fit each other.
    ///
    /// # Errors
    /// What was expected.
    pub fn sound(&self) -> Result<(), Expected> {
        if self.deposit.is_some_and(|d| d > self.price) {
            return Err(Expected::new("the deposit is more than the price that holds it"));
        }
        if let Some(yields) = &self.yields
            && yields.per_by != self.package.by
        {
            return Err(Expected::new(format!(
                "the yield is per {}, the package is in {}; expected both in one",
                yields.per_by.word(),
                self.package.by.word()
            )));
        }
        Ok(())
    }
}

/// What is said of what something costs.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(clippy::large_enum_variant, reason = "most prices are of what is bought")]
pub enum Offer {
    /// It is bought.
    Bought(Bought),
    /// It costs nothing, and someone has said so.
    Free,
    /// Its price holds no longer.
    Withdrawn,
}

/// What something costs since a day: an ingredient, a garnish by its words, ice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Price {
    /// Of what.
    pub name: String,
    /// What is said of it.
    pub offer: Offer,
    /// What a drink takes of it where the spec gives no amount: a garnish, ice.
    pub portion: Option<Portion>,
    /// Who says so: an invoice, a price list.
    pub source: String,
    /// Since when; `None` where nobody said.
    pub since: Option<Date>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn package(text: &str) -> Result<(String, &'static str), Expected> {
        Package::read(text, Ounce::Us).map(|p| (p.amount().to_string(), p.by.word()))
    }

    #[test]
    fn packages_as_people_write_them() {
        for (text, amount, by) in [
            ("700 ml", "700", "ml"),
            ("70cl", "700", "ml"),
            ("0,7 l", "700", "ml"),
            ("6 x 700 ml", "4200", "ml"),
            ("6x0.7 l", "4200", "ml"),
            ("12 × 330 ml", "3960", "ml"),
            ("1 kg", "1000", "g"),
            ("2 lb", "907.18474", "g"),
            ("20 fruit", "20", "piece"),
            ("30 pieces", "30", "piece"),
            ("1/2 l", "500", "ml"),
        ] {
            assert_eq!(package(text).unwrap(), (amount.to_owned(), by), "{text}");
        }
        // 25.4 US fl oz, exactly 751.1676508875 ml
        assert_eq!(
            Package::read("25.4 oz", Ounce::Us).unwrap().amount(),
            Amount::raw(254, 10) * Ounce::Us.ml()
        );
        for bad in [
            "",
            "700",
            "ml 700",
            "0 ml",
            "-1 l",
            "1e3 ml",
            "3 dashes",
            "x 700 ml",
            "0 x 700 ml",
            "a bottle",
        ] {
            assert!(package(bad).is_err(), "{bad:?} was taken");
        }
    }

    #[test]
    fn yields_and_losses_have_spans() {
        let lime = Yielding::read("30 ml per fruit, 20 to 35", Ounce::Us).unwrap();
        assert_eq!(
            [lime.amount, lime.low, lime.high].map(|a| a.to_string()),
            ["30", "20", "35"]
        );
        assert_eq!(
            (lime.by, lime.per_by),
            (SoldBy::Volume, SoldBy::Count(Countable::Piece))
        );
        let ginger = Yielding::read("0.45 l per kg, 0.4-0.5 l", Ounce::Us).unwrap();
        assert_eq!(
            [ginger.amount, ginger.low, ginger.high, ginger.per].map(|a| a.to_string()),
            ["450", "400", "500", "1000"]
        );
        let zest = Yielding::read("8 pieces per fruit", Ounce::Us).unwrap();
        assert_eq!((zest.low, zest.high), (zest.amount, zest.amount));
        for bad in [
            "30 ml",
            "30 ml per fruit, 35 to 40",
            "30 ml per fruit, 0 to 40",
            "30 per fruit",
            "30 ml per fruit, some",
        ] {
            assert!(Yielding::read(bad, Ounce::Us).is_err(), "{bad}");
        }
        let waste = Lost::read("5 %, 3 to 8").unwrap();
        assert_eq!(waste.to_string(), "5 %, 3 to 8");
        assert_eq!(Lost::read("7.5").unwrap().to_string(), "7.5 %");
        for bad in ["100 %", "-1 %", "5 %, 6 to 8", "lots"] {
            assert!(Lost::read(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn what_is_paid_and_what_it_costs() {
        let bottle = Package::read("700 ml", Ounce::Us).unwrap();
        let mut gin = Bought::plain(bottle, Decimal::new(2245, 2), None);
        assert_eq!(gin.net().to_string(), "22.45");
        gin.deposit = Some(Decimal::new(25, 2));
        gin.tax = Some(Tax {
            pct: Decimal::from(20),
            included: true,
        });
        assert_eq!(gin.net(), Decimal::new(1850, 2));
        gin.tax = Some(Tax {
            pct: Decimal::from(20),
            included: false,
        });
        assert_eq!(gin.net(), Decimal::new(2220, 2));
        gin.deposit = Some(Decimal::from(30));
        assert!(gin.sound().is_err());
        assert_eq!(percentage("8,1 %").unwrap(), Decimal::new(81, 1));
        for bad in ["", "-3", "101 %", "nan", "1e1", "%"] {
            assert!(percentage(bad).is_err(), "{bad}");
        }
    }
}
