//! What a preparation says of itself beside its steps: what it loses, what it yields, how long it keeps.

use super::settings::{mass, volume};
use super::tokens::{Token, tokens};
use super::{Amount, amounts};
use crate::ingredient::{AllergenList, Declaration};
use crate::measure::Ounce;
use crate::names::{Expected, key, yes_or_no};
use crate::tables::IngredientKind;

/// The particulars that only a preparation has: key as it is written, other ways to say it.
pub(super) const PARTICULARS: [(&str, &[&str]); 7] = [
    ("makes", &[]),
    ("keeps", &["keeps for", "shelf life", "keeping"]),
    ("evaporates", &["evaporation", "boils off", "heat loss"]),
    ("strain loss", &["straining loss", "loss in straining"]),
    ("yield", &["yields"]),
    ("alcohol left", &["alcohol kept"]),
    ("gives", &[]),
];

/// What a preparation says of itself beside its steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Making {
    /// Water that heat drives off.
    pub evaporates: Option<Loss>,
    /// What sieve, cloth and solids keep back, of the composition of the whole.
    pub strain_loss: Option<Loss>,
    /// What there is in the end, as measured.
    pub yields: Option<Yield>,
    /// Alcohol left after heating, % of what went in.
    pub alcohol_left_pct: Option<Amount>,
    /// What solids give.
    pub gives: Vec<Given>,
    /// How long it keeps.
    pub keeps: Option<Keeping>,
    /// What sort of thing it is.
    pub kind: Option<IngredientKind>,
    /// Other names for it.
    pub also: Vec<String>,
    /// Allergens to declare besides those of what it is made of.
    pub allergens: Option<Declaration>,
    /// Whether it fizzes, where the writer says so.
    pub carbonated: Option<bool>,
}

/// A loss, as a share of the volume there is before it, or as an amount.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loss {
    /// % of the volume.
    Share(Amount),
    /// ml.
    Volume(Amount),
    /// g.
    Mass(Amount),
}

/// What there is in the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Yield {
    /// ml.
    Volume(Amount),
    /// g.
    Mass(Amount),
}

/// What a solid gives: `gives: raspberries 60 %`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Given {
    /// The solid, as typed.
    pub name: String,
    /// % of its mass.
    pub share_pct: Amount,
}

/// How long something keeps.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Keeping {
    /// Hours.
    pub hours: Amount,
    /// In the writer's words: `10 days, refrigerated`.
    pub words: String,
}

impl Making {
    /// Take in one particular. `Ok(false)` when `name` is none of a preparation's.
    ///
    /// # Errors
    /// What was expected.
    pub(super) fn set(&mut self, name: &str, value: &str, ounce: Option<Ounce>) -> Result<bool, Expected> {
        match name {
            "makes" => match key(value).trim_start_matches("an ").trim_start_matches("a ") {
                "ingredient" => {}
                _ => return Err(Expected::new("expected `makes: an ingredient`")),
            },
            "keeps" => self.keeps = Some(keeping(value)?),
            "evaporates" => self.evaporates = Some(loss(value, ounce)?),
            "strain loss" => self.strain_loss = Some(loss(value, ounce)?),
            "yield" => {
                let amount = match (volume(value, ounce), mass(value)) {
                    (Ok((ml, _)), _) => Yield::Volume(ml),
                    (_, Ok((grams, _))) => Yield::Mass(grams),
                    _ => {
                        return Err(Expected::new(
                            "expected what there was in the end, such as `750 ml` or `820 g`",
                        ));
                    }
                };
                if matches!(amount, Yield::Volume(a) | Yield::Mass(a) if a.is_zero()) {
                    return Err(Expected::new("expected an amount above 0"));
                }
                self.yields = Some(amount);
            }
            "alcohol left" => {
                let left = share(value).ok_or("expected a share such as `60 %`")?;
                if left > Amount::raw(100, 1) {
                    return Err(Expected::new("expected 0 to 100 %"));
                }
                self.alcohol_left_pct = Some(left);
            }
            "gives" => self.gives.push(given(value)?),
            "kind" => self.kind = Some(IngredientKind::from(value)),
            "also" => self.also.extend(
                value
                    .split([';', ','])
                    .map(|a| a.trim().to_owned())
                    .filter(|a| !a.is_empty()),
            ),
            "allergens" => {
                self.allergens = Some(Declaration::read(AllergenList::Eu, &value.replace(',', ";"))?);
            }
            "carbonated" => {
                self.carbonated = Some(yes_or_no(value)?);
            }
            "serve" | "source" | "note" => {}
            _ => return Ok(false),
        }
        Ok(true)
    }
}

/// `10 %`.
fn share(value: &str) -> Option<Amount> {
    let number = value.trim().strip_suffix('%')?;
    Amount::decimal(&number.trim().replace(',', ".")).ok()
}

/// `10 %`, `120 ml`, `120 g`.
fn loss(value: &str, ounce: Option<Ounce>) -> Result<Loss, Expected> {
    if let Some(share) = share(value) {
        return if share < Amount::raw(100, 1) {
            Ok(Loss::Share(share))
        } else {
            Err(Expected::new("expected less than 100 %"))
        };
    }
    match (volume(value, ounce), mass(value)) {
        (Ok((ml, _)), _) => Ok(Loss::Volume(ml)),
        (_, Ok((grams, _))) => Ok(Loss::Mass(grams)),
        _ => Err(
            "expected a share of the volume such as `10 %`, or an amount such as `120 ml` or `120 g`".into(),
        ),
    }
}

/// `raspberries 60 %`, `60 % of the raspberries`.
fn given(value: &str) -> Result<Given, Expected> {
    const EXPECTED: &str =
        "expected a solid and the share of it that joins the liquid, such as `raspberries 60 %`";
    let (before, after) = value.split_once('%').ok_or(EXPECTED)?;
    let (name, number) = match after.trim() {
        "" => before.trim().rsplit_once(' ').ok_or(EXPECTED)?,
        of => {
            let name = of.trim_start_matches("of ").trim_start_matches("the ");
            (name, before.trim())
        }
    };
    let share_pct = Amount::decimal(&number.replace(',', ".")).map_err(|_| Expected::new(EXPECTED))?;
    if name.trim().is_empty() {
        return Err(Expected::new(EXPECTED));
    }
    if share_pct > Amount::raw(100, 1) {
        return Err(Expected::new("expected 0 to 100 %"));
    }
    Ok(Given {
        name: name.trim().to_owned(),
        share_pct,
    })
}

/// `10 days, refrigerated`; of `2-4 weeks` the shorter counts.
fn keeping(value: &str) -> Result<Keeping, Expected> {
    const EXPECTED: &str = "expected a time such as `10 days, refrigerated` or `24 hours`";
    let words = tokens(value, 0);
    let phrase = amounts::phrase(&words, 0)
        .ok_or(EXPECTED)?
        .map_err(|_| Expected::new(EXPECTED))?;
    let hours = match words
        .get(phrase.next)
        .map(Token::word)
        .unwrap_or_default()
        .as_str()
    {
        "h" | "hr" | "hrs" | "hour" | "hours" => 1,
        "day" | "days" => 24,
        "week" | "weeks" | "wk" | "wks" => 168,
        "month" | "months" => 720,
        "year" | "years" => 8760,
        _ => return Err(Expected::new(EXPECTED)),
    };
    if phrase.extent.nominal.is_zero() {
        return Err(Expected::new("expected a time above 0"));
    }
    Ok(Keeping {
        hours: phrase.extent.nominal * Amount::raw(hours, 1),
        words: value.trim().to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(name: &str, value: &str) -> Result<Making, Expected> {
        let mut making = Making::default();
        assert!(making.set(name, value, None)?);
        Ok(making)
    }

    #[test]
    fn particulars_in_the_ways_people_write_them() {
        assert_eq!(
            set("keeps", "10 days, refrigerated")
                .unwrap()
                .keeps
                .unwrap()
                .hours,
            Amount::raw(240, 1)
        );
        assert_eq!(
            set("keeps", "2-4 weeks").unwrap().keeps.unwrap().hours,
            Amount::raw(336, 1)
        );
        assert_eq!(
            set("evaporates", "7,5 %").unwrap().evaporates,
            Some(Loss::Share(Amount::raw(15, 2)))
        );
        assert_eq!(
            set("strain loss", "40 g").unwrap().strain_loss,
            Some(Loss::Mass(Amount::raw(40, 1)))
        );
        assert_eq!(
            set("yield", "0.75 l").unwrap().yields,
            Some(Yield::Volume(Amount::raw(750, 1)))
        );
        for text in ["raspberries 60 %", "60 % of the raspberries", "60% raspberries"] {
            let given = &set("gives", text).unwrap().gives[0];
            assert_eq!(
                (given.name.as_str(), given.share_pct),
                ("raspberries", Amount::raw(60, 1))
            );
        }
    }

    #[test]
    fn what_is_no_particular_says_what_was_expected() {
        for (name, value) in [
            ("makes", "a mess"),
            ("keeps", "long"),
            ("keeps", "0 days"),
            ("evaporates", "100 %"),
            ("evaporates", "some"),
            ("yield", "0 ml"),
            ("yield", "10 %"),
            ("alcohol left", "120 %"),
            ("gives", "raspberries"),
            ("gives", "raspberries 130 %"),
            ("allergens", "almond"),
            ("carbonated", "a bit"),
        ] {
            assert!(
                set(name, value).unwrap_err().to_string().starts_with("expected") || name == "allergens",
                "{name}: {value}"
            );
        }
    }
}
