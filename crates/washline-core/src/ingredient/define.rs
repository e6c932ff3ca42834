//! An ingredient from what a house can find out about it: a label, a refractometer, a hydrometer, a titration.

use super::{
    AllergenList, Basis, Convention, Declaration, Ingredient, IngredientError, Origin, Quantity, Shape,
    Status, Value,
};
use crate::liquid::{Component, Family, Liquid, sucrose};
use crate::measure::Amount;
use crate::names::{Expected, key, yes_or_no};
use crate::tables::IngredientKind;

/// An ingredient being put together from figures: in a book, or on the command line.
#[derive(Clone, Debug, Default)]
pub struct Defined {
    kind: Option<IngredientKind>,
    strength: Option<Said>,
    sugar_g_per_l: Option<Said>,
    acid_g_per_l: Option<Said>,
    brix: Option<Said>,
    density: Option<Said>,
    allergens: Option<Declaration>,
    carbonated: Option<bool>,
    source: Option<String>,
    also: Vec<String>,
}

/// A figure as a house says it: `60 g/l`, `42 to 78 g/l`, `60 g/l (42 to 78)`.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Said {
    value: f64,
    /// Where it lies in 95 of 100 cases, where the house says that too.
    span: Option<(f64, f64)>,
}

impl Said {
    /// Read one. `None` of what is no figure, or of a span whose usual figure lies outside it.
    fn read(text: &str, units: &[&str]) -> Option<Said> {
        let mut text = text.to_lowercase().replace(',', ".");
        for unit in units {
            text = text.replace(unit, "");
        }
        let number = |text: &str| {
            let text = text.trim();
            Amount::decimal(text).ok().map(Amount::to_f64)
        };
        let span = |text: &str| -> Option<(f64, f64)> {
            let (low, high) = [" to ", "–", "-", " and "]
                .iter()
                .find_map(|word| text.split_once(word))?;
            let (low, high) = (number(low.trim().trim_start_matches("between "))?, number(high)?);
            (low <= high).then_some((low, high))
        };
        if let Some(value) = number(&text) {
            return Some(Said { value, span: None });
        }
        let said = match text.split_once('(') {
            Some((value, rest)) => Said {
                value: number(value)?,
                span: Some(span(rest.trim().strip_suffix(')')?.trim())?),
            },
            None => {
                let (low, high) = span(text.trim())?;
                Said {
                    value: 0.5 * (low + high),
                    span: Some((low, high)),
                }
            }
        };
        let (low, high) = said.span?;
        (low..=high).contains(&said.value).then_some(said)
    }

    /// The same through another measure.
    fn through(self, of: impl Fn(f64) -> f64) -> Said {
        Said {
            value: of(self.value),
            span: self.span.map(|(low, high)| (of(low), of(high))),
        }
    }

    fn within(self, range: &std::ops::RangeInclusive<f64>) -> bool {
        let (low, high) = self.span.unwrap_or((self.value, self.value));
        range.contains(&self.value) && range.contains(&low) && range.contains(&high)
    }
}

impl Defined {
    /// Set one figure from its text. Keys: is, kind, strength, sugar, acid, brix, density, allergens,
    /// carbonated, source, also.
    ///
    /// # Errors
    /// What was expected.
    pub fn set(&mut self, name: &str, value: &str) -> Result<(), Expected> {
        let value = value.trim();
        let figure =
            |units: &[&str], range: std::ops::RangeInclusive<f64>, example: &str| -> Result<Said, Expected> {
                let said = Said::read(value, units).ok_or_else(|| {
                    format!("expected a figure such as `{example}`, or a span such as `42 to 78`")
                })?;
                if said.within(&range) {
                    Ok(said)
                } else {
                    Err(Expected::new(format!(
                        "expected {} to {}",
                        range.start(),
                        range.end()
                    )))
                }
            };
        match name {
            "is" => match key(value).trim_start_matches("an ").trim_start_matches("a ") {
                "ingredient" => Ok(()),
                _ => Err(Expected::new("expected `is: an ingredient`")),
            },
            "kind" => {
                self.kind = Some(IngredientKind::from(value));
                Ok(())
            }
            "strength" => figure(&["% vol", "%vol", "% abv", "%", "abv"], 0.0..=100.0, "40 %")
                .map(|v| self.strength = Some(v)),
            "sugar" => {
                figure(&["g/l", "g per l"], 0.0..=1100.0, "250 g/L").map(|v| self.sugar_g_per_l = Some(v))
            }
            "acid" => figure(&["g/l", "g per l"], 0.0..=600.0, "6 g/L").map(|v| self.acid_g_per_l = Some(v)),
            "brix" => figure(&["°bx", "°brix", "brix", "°"], 0.0..=85.0, "65").map(|v| self.brix = Some(v)),
            "density" => figure(&["g/ml", "kg/l"], 0.7..=1.6, "1.042 g/ml").map(|v| self.density = Some(v)),
            "allergens" => {
                let declared = Declaration::read(AllergenList::Eu, &value.replace(',', ";"))?;
                self.allergens = Some(declared);
                Ok(())
            }
            "carbonated" => {
                self.carbonated = Some(yes_or_no(value)?);
                Ok(())
            }
            "source" => {
                self.source = Some(value.to_owned());
                Ok(())
            }
            "also" => {
                self.also.extend(
                    value
                        .split([';', ','])
                        .map(|a| a.trim().to_owned())
                        .filter(|a| !a.is_empty()),
                );
                Ok(())
            }
            "note" | "garnish" => Ok(()),
            other => Err(Expected::new(format!(
                "`{other}` belongs to a drink, not to an ingredient"
            ))),
        }
    }

    /// The figures as values, contradictions refused.
    fn values(&self, known_strength: Option<f64>) -> Result<Vec<Value>, Expected> {
        let source = self
            .source
            .as_ref()
            .ok_or("no source; expected `source: label`, `source: refractometer, 3 March` or the like")?;
        let value = |quantity, said: Said, half: f64, shape| {
            let (low, high) = said.span.unwrap_or((said.value - half, said.value + half));
            Value {
                quantity,
                value: said.value,
                low: low.max(0.0),
                high,
                // A house's own span is one that nothing is known of but its ends.
                shape: if said.span.is_some() {
                    Shape::Rectangular
                } else {
                    shape
                },
                convention: None,
                source: source.clone(),
                status: Status::Measured,
            }
        };
        let strength = self.strength.map(|s| s.value).or(known_strength).unwrap_or(0.0);
        let sugar = match (self.sugar_g_per_l, self.brix, self.density) {
            (Some(_), Some(_), _) => {
                return Err(Expected::new("both `sugar` and `brix`; expected one of them"));
            }
            (Some(sugar), None, _) => Some(sugar),
            (None, Some(_), _) if strength > 0.5 => {
                return Err(Expected::new(
                    "degrees Brix are not sugar where there is alcohol; expected `density` with `strength`, or `sugar`",
                ));
            }
            (None, Some(brix), _) => Some(brix.through(sucrose::sugar_g_per_l)),
            (None, None, Some(density)) => {
                let sugar = |density: f64| {
                    Liquid::litre_from_density(strength, density)
                        .map(|liquid| liquid.grams(Component::SugarsUnspecified))
                        .map_err(|e| Expected::new(e.to_string()))
                };
                Some(Said {
                    value: sugar(density.value)?,
                    span: match density.span {
                        Some((low, high)) => Some((sugar(low)?, sugar(high)?)),
                        None => None,
                    },
                })
            }
            (None, None, None) => None,
        };
        if self.strength.is_none() && sugar.is_none() && self.acid_g_per_l.is_none() {
            return Err(
                "no figures; expected at least one of `strength`, `sugar`, `acid`, `brix`, `density`".into(),
            );
        }
        let mut values = Vec::new();
        if let Some(strength) = self.strength {
            // Labelled strength: 0.3 % vol either way is allowed for spirits (UK business guide, READ).
            values.push(value(
                Quantity::Strength,
                strength,
                if strength.value > 0.0 { 0.3 } else { 0.0 },
                Shape::Rectangular,
            ));
        }
        if let Some(sugar) = sugar {
            values.push(value(
                Quantity::Part(Component::SugarsUnspecified),
                sugar,
                0.02 * sugar.value,
                Shape::Normal,
            ));
        }
        if let Some(acid) = self.acid_g_per_l {
            values.push(value(
                Quantity::Part(Component::AcidUnspecifiedAsCitric),
                acid,
                0.05 * acid.value,
                Shape::Normal,
            ));
        }
        if let Some(density) = self.density {
            values.push(value(Quantity::Density, density, 0.001, Shape::Normal));
        }
        Ok(values)
    }

    /// The new ingredient they come to.
    ///
    /// # Errors
    /// When a source is missing, figures contradict each other, or cannot all be true of one liquid.
    pub fn ingredient(self, name: &str, origin: Origin) -> Result<Ingredient, Expected> {
        let values = self.values(None)?;
        let alcoholic = self.strength.is_some_and(|s| s.value > 0.0);
        let allergens_eu = self.allergens.unwrap_or(Declaration {
            unknown: true,
            ..Declaration::default()
        });
        let ingredient = Ingredient {
            name: name.to_owned(),
            kind: self.kind.unwrap_or(if alcoholic {
                IngredientKind::SpiritOrLiqueur
            } else {
                IngredientKind::HouseIngredient
            }),
            groups: Vec::new(),
            aliases: self.also,
            basis: Basis::Litre,
            carbonated: self.carbonated.unwrap_or(false),
            allergens_us: us_of(&allergens_eu),
            allergens_eu,
            caution: String::new(),
            note: String::new(),
            values,
            origin,
        };
        sound(ingredient)
    }

    /// A known ingredient with these figures in the place of its own. Its sugars and acids keep the
    /// proportions they had among themselves; what is not given stays as it was.
    ///
    /// # Errors
    /// As [`Defined::ingredient`].
    pub fn amend(self, known: &Ingredient, convention: Convention) -> Result<Ingredient, Expected> {
        let measured = self.values(known.figure(Quantity::Strength, convention))?;
        let mut amended = known.clone();
        if amended.basis == Basis::Mass {
            to_litre(&mut amended).map_err(|e| Expected::new(e.to_string()))?;
        }
        for value in measured {
            let family = match value.quantity {
                Quantity::Part(component) => component.facts().family,
                quantity => {
                    amended.values.retain(|v| v.quantity != quantity);
                    amended.values.push(value);
                    continue;
                }
            };
            scale_family(&mut amended, family, &value, convention);
        }
        if let Some(kind) = self.kind {
            amended.kind = kind;
        }
        if let Some(allergens) = self.allergens {
            amended.allergens_us = us_of(&allergens);
            amended.allergens_eu = allergens;
        }
        if let Some(carbonated) = self.carbonated {
            amended.carbonated = carbonated;
        }
        amended.aliases.extend(self.also);
        amended.origin = Origin::House;
        sound(amended)
    }
}

/// An ingredient whose figures can all be true of one liquid.
fn sound(ingredient: Ingredient) -> Result<Ingredient, Expected> {
    for convention in [Convention::Handbook, Convention::Assay] {
        ingredient
            .liquid(convention, None)
            .map_err(|e| e.why.to_string())?;
    }
    Ok(ingredient)
}

/// Put an ingredient counted by mass on the basis of a litre, its parts the same.
fn to_litre(ingredient: &mut Ingredient) -> Result<(), IngredientError> {
    let liquid = ingredient.liquid(Convention::Handbook, None)?;
    let factor = liquid.density_g_per_ml().unwrap_or(1.0) * 10.0;
    for value in &mut ingredient.values {
        if matches!(value.quantity, Quantity::Part(_)) {
            value.value *= factor;
            value.low *= factor;
            value.high *= factor;
        }
    }
    ingredient.basis = Basis::Litre;
    Ok(())
}

/// Bring all sugars, or all acids as citric, to a measured total in both conventions.
fn scale_family(ingredient: &mut Ingredient, family: Family, total: &Value, convention: Convention) {
    let weight = |c: Component| {
        if family == Family::Acid {
            c.facts().as_citric
        } else {
            1.0
        }
    };
    let of_family = |v: &Value| matches!(v.quantity, Quantity::Part(c) if c.facts().family == family);
    let known: Vec<Value> = ingredient
        .values_in(convention)
        .filter(|v| of_family(v))
        .cloned()
        .collect();
    ingredient.values.retain(|v| !of_family(v));
    let sum: f64 = known
        .iter()
        .map(|v| {
            if let Quantity::Part(c) = v.quantity {
                v.value * weight(c)
            } else {
                0.0
            }
        })
        .sum();
    if sum <= 0.0 {
        ingredient.values.push(total.clone());
        return;
    }
    for part in known {
        let share = part.value / sum;
        ingredient.values.push(Value {
            quantity: part.quantity,
            value: share * total.value,
            low: share * total.low,
            high: share * total.high,
            ..total.clone()
        });
    }
}

/// The United States' words for what was declared in the European ones. Gluten may or may not be wheat.
pub(crate) fn us_of(eu: &Declaration) -> Declaration {
    let word = |w: &String| -> Option<&'static str> {
        Some(match w.as_str() {
            "milk" => "milk",
            "eggs" => "egg",
            "fish" => "fish",
            "crustaceans" => "crustacean shellfish",
            "nuts" => "tree nuts",
            "peanuts" => "peanuts",
            "soya" => "soybeans",
            "sesame" => "sesame",
            _ => return None,
        })
    };
    let mut us = Declaration {
        unknown: eu.unknown,
        ..Declaration::default()
    };
    us.contains = eu.contains.iter().filter_map(word).map(str::to_owned).collect();
    us.may_contain = eu
        .may_contain
        .iter()
        .filter_map(word)
        .map(str::to_owned)
        .collect();
    if eu.contains.iter().chain(&eu.may_contain).any(|w| w == "gluten") {
        us.may_contain.push("wheat".to_owned());
    }
    us
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_figure_is_a_value_or_a_span_or_both() {
        let said = |text: &str| Said::read(text, &["g/l"]).map(|s| (s.value, s.span));
        assert_eq!(said("60 g/l"), Some((60.0, None)));
        for text in [
            "42 to 78 g/l",
            "42-78 g/l",
            "42–78",
            "42 g/l to 78 g/l",
            "between 42 and 78 g/l",
        ] {
            assert_eq!(said(text), Some((60.0, Some((42.0, 78.0)))), "{text}");
        }
        assert_eq!(said("55 g/l (42 to 78)"), Some((55.0, Some((42.0, 78.0)))));
        for text in ["", "sixty", "78 to 42 g/l", "90 g/l (42 to 78)", "42 to", "1e3"] {
            assert_eq!(said(text), None, "{text}");
        }
    }

    #[test]
    fn a_house_s_own_span_is_the_doubt() {
        let mut defined = Defined::default();
        for (key, value) in [
            ("acid", "42 to 78 g/l"),
            ("sugar", "16 g/l"),
            ("source", "own titrations"),
        ] {
            defined.set(key, value).unwrap();
        }
        let limes = defined.ingredient("the house's limes", Origin::Book).unwrap();
        let acid = limes
            .values
            .iter()
            .find(|v| v.quantity == Quantity::Part(Component::AcidUnspecifiedAsCitric))
            .unwrap();
        assert!(
            (acid.value - 60.0).abs() < 1e-9
                && (acid.low - 42.0).abs() < 1e-9
                && (acid.high - 78.0).abs() < 1e-9
        );
        assert!(acid.spread().is_some());
    }
}
