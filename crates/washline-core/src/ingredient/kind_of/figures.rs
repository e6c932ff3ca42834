//! The figures that stand in a name: a strength, degrees Brix, fat, an age.

use super::heading::is_figure;
use super::span::{density, is_family};
use super::words::Words;
use crate::ingredient::kind_table::{Role, kinds};
use crate::ingredient::{Basis, Ingredient, Quantity, Shape, Status, Value};
use crate::liquid::sucrose::sugar_g_per_l;
use crate::liquid::{Component, Family};

/// Figures that stand in a name.
#[derive(Default)]
pub(super) struct Figures {
    pub(super) strength: Option<f64>,
    pub(super) brix: Option<f64>,
    pub(super) fat: Option<f64>,
}

impl Figures {
    /// Take them out of the words: `58 %`, `114 proof`, `70 bx`, an age.
    pub(super) fn take(said: &mut Words, alcoholic: bool, fatty: bool) -> Figures {
        let mut figures = Figures::default();
        let years = kinds().roles.get(&Role::Year);
        for at in 0..said.all.len() {
            let words = &said.all;
            if said.used[at] || !is_figure(&words[at]) {
                continue;
            }
            let split = words[at]
                .find(|c: char| !(c.is_ascii_digit() || c == '.'))
                .unwrap_or(words[at].len());
            let (number, glued) = words[at].split_at(split);
            let Ok(number) = number.parse::<f64>() else {
                continue;
            };
            let (unit, span) = if glued.is_empty() {
                (words.get(at + 1).map_or("", String::as_str), 2)
            } else {
                (glued, 1)
            };
            let is_year = |n: usize| {
                let phrase: Vec<String> = if glued.is_empty() {
                    words.get(at + 1..at + 1 + n).unwrap_or_default().to_vec()
                } else {
                    vec![glued.to_owned()]
                };
                !phrase.is_empty() && years.is_some_and(|y| y.get(&phrase).is_some())
            };
            let taken = match unit {
                "%" | "abv" | "vol" if alcoholic && (0.5..=96.0).contains(&number) => {
                    figures.strength = Some(number);
                    span
                }
                "%" if fatty && (0.1..=90.0).contains(&number) => {
                    figures.fat = Some(number);
                    span
                }
                // American proof is twice the strength; the figure is said where it is used.
                "proof" if alcoholic && (1.0..=192.0).contains(&number) => {
                    figures.strength = Some(number / 2.0);
                    span
                }
                "bx" | "brix" if (1.0..=85.0).contains(&number) => {
                    figures.brix = Some(number);
                    span
                }
                _ if is_year(2) && glued.is_empty() => {
                    said.account_for(&(at..at + 3));
                    continue;
                }
                _ if is_year(1) => {
                    said.account_for(&(at..at + span));
                    continue;
                }
                _ => continue,
            };
            said.let_decide(&(at..at + taken));
            for more in ["abv", "vol", "alc"] {
                if said.all.get(at + taken).is_some_and(|w| w == more) {
                    said.account_for(&(at + taken..at + taken + 1));
                }
            }
        }
        figures
    }

    /// Put them over the span of the kind.
    pub(super) fn set(&self, values: &mut Vec<Value>, usual: &Ingredient) {
        let basis = usual.basis;
        let value = |quantity, value: f64, wide: f64| Value {
            quantity,
            value,
            low: (value - wide).max(0.0),
            high: value + wide,
            shape: Shape::Rectangular,
            convention: None,
            source: "as its name says".to_owned(),
            status: Status::Memory,
        };
        if let Some(strength) = self.strength {
            // Regulation (EU) 1169/2011, Annex XII: a label may be 0.3 % vol off.
            values.retain(|v| v.quantity != Quantity::Strength);
            values.push(value(Quantity::Strength, strength, 0.3));
        }
        if let Some(fat) = self.fat {
            // A label counts in 100 g.
            let per = match basis {
                Basis::Litre => 10.0 * density(usual),
                Basis::Mass => 1.0,
            };
            let part = Quantity::Part(Component::Fat);
            values.retain(|v| v.quantity != part);
            values.push(value(part, per * fat, per * 1.0));
        }
        if let Some(brix) = self.brix {
            let grams = |brix: f64| match basis {
                Basis::Litre => sugar_g_per_l(brix),
                Basis::Mass => brix,
            };
            let at = grams(brix);
            values.retain(|v| !is_family(v.quantity, Family::Sugar));
            let part = Quantity::Part(Component::SugarsUnspecified);
            values.push(value(part, at, grams(brix + 1.0) - at));
        }
    }
}

impl Ingredient {
    /// The same at another strength of sugar, `brix` degrees Brix (g of sugar in 100 g, 1 to 85), give or take one degree:
    /// what a line says of a syrup stands over what is listed under its name. Its density follows.
    #[must_use]
    pub fn at_brix(&self, brix: f64) -> Ingredient {
        let mut at = self.clone();
        at.values.retain(|v| v.quantity != Quantity::Density);
        let figures = Figures {
            brix: Some(brix),
            ..Figures::default()
        };
        figures.set(&mut at.values, self);
        // `honey syrup 1:1 by volume` at 70 °Bx is no longer 1:1.
        let stem: Vec<&str> = self.name.split(' ').take_while(|w| !w.contains(':')).collect();
        at.name = format!("{} at {brix} °Bx", stem.join(" "));
        at
    }
}
