//! From a name as typed to an ingredient: sure, taken with a word said, or asked about.

use std::borrow::Cow;
use std::ops::Range;

use super::Resolver;
use super::amounts::countable;
use crate::ingredient::{Countable, Found, Ingredient, Meaning, Origin, Quantity, as_kind, hazards, refusal};
use crate::measure::{Amount, Dimension, Unit};
use crate::names::key;
use crate::spec::{Cure, Named, Per, Pour, PourAmount, Unplaced};

impl<'a> Resolver<'a> {
    /// The ingredient a name means, and the unit it is counted in there.
    pub(super) fn find(
        &mut self,
        named: &Named,
        unit: Option<Unit>,
        strength: Option<Amount>,
        span: &Range<usize>,
    ) -> Result<(Cow<'a, Ingredient>, Option<Unit>), Unplaced> {
        if let Some(message) = refusal(&named.full) {
            return Err(Unplaced::reject(span.clone(), message));
        }
        if let Some((ingredient, unit)) = self.listed(named, unit, strength, span)? {
            return Ok((Cow::Borrowed(ingredient), unit));
        }
        for other in other_orders(&named.name) {
            if matches!(self.stock.find(&other), Found::Unknown) {
                continue;
            }
            let turned = Named {
                name: other.clone(),
                full: other.clone(),
                ..named.clone()
            };
            if let Some((ingredient, unit)) = self.listed(&turned, unit, strength, span)? {
                let said = format!("read as {other}");
                self.assume(&named.name, said, "write the name as the library has it");
                return Ok((Cow::Borrowed(ingredient), unit));
            }
        }
        self.by_kind(named, unit, span)
    }

    /// What nobody has listed, answered as its kind; a fault where no word of it tells one.
    fn by_kind(
        &mut self,
        named: &Named,
        unit: Option<Unit>,
        span: &Range<usize>,
    ) -> Result<(Cow<'a, Ingredient>, Option<Unit>), Unplaced> {
        let place = if named.span.is_empty() {
            span.clone()
        } else {
            named.span.clone()
        };
        let answer = as_kind(self.stock, &named.name);
        // `brown butter maple`: nobody knows the first words, and the last by itself is known.
        if answer.is_none()
            && let Some((first, last)) = named.name.rsplit_once(' ')
            && let Found::Taken(known, _) | Found::Sure(known) = self.stock.find(last)
            && !known.is_solid()
            && unit.is_none_or(|u| u.facts().dimension == Dimension::Volume)
        {
            self.assume(
                &named.name,
                format!("taken as {}: nobody lists what `{first}` makes of it", known.name),
                define(&named.name),
            );
            return Ok((Cow::Borrowed(known), unit));
        }
        if let Some(answer) = answer {
            self.assume(&named.name, answer.said, define(&named.name));
            for hazard in hazards(&named.full) {
                if !self.cautions.contains(&hazard.message) {
                    self.cautions.push(hazard.message.clone());
                }
            }
            return Ok((Cow::Owned(answer.ingredient), unit));
        }
        let near = self.stock.nearest(&named.name);
        let message = format!("no ingredient `{}`", named.name);
        Err(Unplaced::reject(place, message).with(near).cured_by(Cure::Define))
    }

    /// The listed ingredient a name means; `None` where none is listed.
    fn listed(
        &mut self,
        named: &Named,
        unit: Option<Unit>,
        strength: Option<Amount>,
        span: &Range<usize>,
    ) -> Result<Option<(&'a Ingredient, Option<Unit>)>, Unplaced> {
        let place = if named.span.is_empty() {
            span.clone()
        } else {
            named.span.clone()
        };
        if named.any {
            return self.any(named, unit, &place).map(Some);
        }
        let stock = self.stock;
        // `1 sugar cube` is a thing of its own; `8 mint leaves` is leaves of mint.
        if named.full != named.name
            && matches!(unit, None | Some(Unit::Piece | Unit::Cube))
            && let Found::Sure(ingredient) = stock.find(&named.full)
            && ingredient
                .values
                .iter()
                .any(|v| v.quantity == Quantity::Mass(Countable::Piece))
        {
            return Ok(Some((ingredient, Some(Unit::Piece))));
        }
        if let Some(strength) = strength
            && let Some(ingredient) = stock.get(&format!("{} {strength}%", named.name))
        {
            return Ok(Some((ingredient, unit)));
        }
        // What the book itself defines or makes goes before what a word is set to mean.
        let own = stock.get(&named.name).is_some_and(|i| i.origin == Origin::Book);
        if let Some(meant) = self.settings.meanings.get(&key(&named.name))
            && let (false, Some(ingredient)) = (own, stock.get(meant))
        {
            self.assume(
                &named.name,
                format!("taken as {}, as the book sets", ingredient.name),
                format!("`{}:` in the book", named.name),
            );
            return Ok(Some((ingredient, unit)));
        }
        let counted = unit.and_then(countable).map(Quantity::Mass);
        match stock.find(&named.name) {
            Found::Sure(ingredient) => Ok(Some((ingredient, unit))),
            Found::Taken(ingredient, said) => {
                // `1 lime wedge` counts fruit, whatever `lime` alone would mean.
                if let Some(wanted) = counted
                    && !ingredient.values.iter().any(|v| v.quantity == wanted)
                    && let Some(other) = self
                        .candidates(&named.name)
                        .find(|i| i.values.iter().any(|v| v.quantity == wanted))
                {
                    return Ok(Some((other, unit)));
                }
                // What is poured by volume is a liquid where there is one: `5 ml lactic acid`.
                let by_volume = unit.is_some_and(|u| u.facts().dimension == Dimension::Volume);
                if by_volume
                    && ingredient.groups.iter().any(|g| g == "acid powders")
                    && let Some(other) = self
                        .candidates(&named.name)
                        .find(|i| i.groups.iter().any(|g| g == "liquid acids"))
                {
                    self.assume(
                        &named.name,
                        format!("taken as {}, for it is poured by volume", other.name),
                        "write the full name",
                    );
                    return Ok(Some((other, unit)));
                }
                self.assume(
                    &named.name,
                    said,
                    format!("write the full name, or set `{}:` in the book", named.name),
                );
                Ok(Some((ingredient, unit)))
            }
            Found::Ask(candidates, why) => {
                let message = if why.is_empty() {
                    format!("`{}` is a word for several", named.name)
                } else {
                    format!("`{}`: {why}", named.name)
                };
                Err(Unplaced::ask(place, message, candidates).cured_by(Cure::Settle))
            }
            Found::Unknown => Ok(self
                .by_ratio(&named.name)
                .or_else(|| self.by_number(&named.name, strength))
                .map(|found| (found, unit))),
        }
    }

    /// `2:1 demerara`, `simple 1:1`, `2:1`: a syrup by its ratio, in any order.
    pub(super) fn by_ratio(&mut self, name: &str) -> Option<&'a Ingredient> {
        let words: Vec<&str> = name.split_whitespace().collect();
        let ratio = *words.iter().find(|w| {
            w.split_once(':')
                .is_some_and(|(a, b)| a.parse::<f64>().is_ok() && b.parse::<f64>().is_ok())
        })?;
        let by = words
            .iter()
            .copied()
            .filter(|w| *w != ratio)
            .find_map(|w| Some((w, Per::read(&key(w))?)));
        let base: Vec<&str> = words
            .iter()
            .copied()
            .filter(|w| *w != ratio && *w != "by" && Some(*w) != by.map(|(word, _)| word))
            .collect();
        let base = base.join(" ");
        // Grams to millilitres of water are within 0.2 % grams to grams.
        let counted = match by {
            Some((_, Per::Volume)) => "volume",
            _ => "mass",
        };
        let plain = matches!(
            key(&base).as_str(),
            "" | "simple"
                | "syrup"
                | "simple syrup"
                | "sugar"
                | "sugar syrup"
                | "rich"
                | "rich syrup"
                | "rich simple"
                | "rich simple syrup"
        );
        let bases = if plain {
            vec!["simple syrup".to_owned(), "rich syrup".to_owned()]
        } else {
            vec![base.clone(), format!("{base} syrup")]
        };
        // What a ratio is counted by where nobody says is the library's to know (honey is by volume).
        let endings = match by {
            None => vec![String::new(), " by mass".to_owned(), " by volume".to_owned()],
            Some(_) => vec![format!(" by {counted}")],
        };
        let tries = endings
            .iter()
            .flat_map(|by| bases.iter().map(move |b| format!("{b} {ratio}{by}")));
        let stock = self.stock;
        let found = tries.into_iter().find_map(|name| stock.usual(&name))?;
        let unsaid = match by {
            None if found.name.ends_with("by mass") => ", by mass unless the line says by volume",
            None if found.name.ends_with("by volume") => ", by volume unless the line says by mass",
            Some((_, Per::MassInVolume)) => ", grams to millilitres of water, which are grams within 0.2 %",
            _ => "",
        };
        self.assume(
            name,
            format!("taken as {}: the ratio is a part of the name{unsaid}", found.name),
            "write the full name",
        );
        Some(found)
    }

    /// `rum 151`, `12-year rum`: a number in a name may be an age, which changes nothing, or a proof, which is
    /// offered and never applied.
    pub(super) fn by_number(&mut self, name: &str, strength: Option<Amount>) -> Option<&'a Ingredient> {
        let words: Vec<String> = name
            .replace('-', " ")
            .split_whitespace()
            .map(str::to_owned)
            .collect();
        let at = words.iter().position(|w| w.parse::<u32>().is_ok())?;
        let number: u32 = words[at].parse().ok()?;
        let years = words
            .get(at + 1)
            .is_some_and(|w| matches!(w.as_str(), "year" | "years" | "yr" | "yo" | "y.o."));
        let skip = match (years, words.get(at + 2).map(String::as_str)) {
            (true, Some("old" | "aged")) => 3,
            (true, _) => 2,
            (false, _) => 1,
        };
        let rest: Vec<String> = words[..at].iter().chain(&words[at + skip..]).cloned().collect();
        let rest = rest.join(" ");
        let stock = self.stock;
        let (found, said) = match stock.find(&rest) {
            Found::Sure(found) => (found, None),
            Found::Taken(found, said) => (found, Some(said)),
            Found::Ask(..) | Found::Unknown => return None,
        };
        if years {
            if let Some(said) = said {
                self.assume(&rest, said, "write the full name");
            }
        } else if strength.is_some() && found.is_alcoholic() {
            // The line gives the strength, by this number or another.
        } else if (75..=192).contains(&number) && found.is_alcoholic() {
            let strength = f64::from(number) / 2.0;
            self.assume(
                name,
                format!("computed as {} at its usual strength; {number} may be a proof ({strength:.1} % vol), which is not applied", found.name),
                format!("write `{rest} ({strength:.1} %)`"),
            );
        } else {
            return None;
        }
        Some(found)
    }

    /// `half a passion fruit`: the fruit, where the name alone would be what is made of it and nothing tells a unit.
    pub(super) fn whole_fruit(
        &self,
        named: &Named,
        pour: &Pour,
        unit: Option<Unit>,
        ingredient: &Ingredient,
    ) -> Option<&'a Ingredient> {
        let PourAmount::Of(extent, None) = &pour.measure else {
            return None;
        };
        let by_juice = ingredient
            .figure(Quantity::JuicePerFruit, self.convention)
            .is_some();
        if unit.is_some() || ingredient.is_solid() || by_juice || extent.nominal > Amount::raw(4, 1) {
            return None;
        }
        let name = key(&named.name);
        let text = key(&self.drink.text);
        let said = [format!("half a {name}"), format!("half of a {name}")]
            .iter()
            .any(|words| text.contains(words.as_str()));
        if !said && self.units().of_a_bare(extent.nominal).is_some() {
            return None;
        }
        self.candidates(&named.name).find(|i| {
            i.is_solid()
                && i.figure(Quantity::Mass(Countable::Piece), self.convention)
                    .is_some()
        })
    }

    pub(super) fn candidates(&self, said: &str) -> impl Iterator<Item = &'a Ingredient> + use<'a> {
        let wanted = key(said);
        let stock = self.stock;
        let names: Vec<String> = stock
            .meanings()
            .filter(|(word, _)| *word == wanted)
            .flat_map(|(_, meaning)| match meaning {
                crate::ingredient::Meaning::Taken { candidates, .. }
                | crate::ingredient::Meaning::Asked { candidates, .. } => candidates.clone(),
            })
            .collect();
        names.into_iter().filter_map(move |name| stock.get(&name))
    }

    /// What else a word may mean that is computed beside what it is taken for.
    pub(super) fn either(&self, said: &str) -> Vec<&'a Ingredient> {
        match self.stock.meaning(&key(said)) {
            Some(Meaning::Taken {
                target,
                candidates,
                spans: true,
                ..
            }) => candidates
                .iter()
                .filter(|c| **c != **target)
                .filter_map(|name| self.stock.get(name))
                .collect(),
            _ => Vec::new(),
        }
    }

    /// "any anise liqueur": the first of the kind is computed, the others said.
    pub(super) fn any(
        &mut self,
        named: &Named,
        unit: Option<Unit>,
        place: &Range<usize>,
    ) -> Result<(&'a Ingredient, Option<Unit>), Unplaced> {
        let members = self.stock.group(&named.name);
        let Some(&first) = members.first() else {
            let mut groups: Vec<&str> = self
                .stock
                .iter()
                .flat_map(|i| i.groups.iter().map(String::as_str))
                .collect();
            groups.sort_unstable();
            groups.dedup();
            let near = crate::names::nearest(&named.name, groups.iter().map(|g| (*g, *g)), 3);
            return Err(
                Unplaced::reject(place.clone(), format!("no kind of ingredient `{}`", named.name)).with(near),
            );
        };
        let others: Vec<&str> = members[1..].iter().map(|i| i.name.as_str()).collect();
        self.assume(
            format!("any {}", named.name),
            format!("computed with {} (also {})", first.name, others.join(", ")),
            "write one of them",
        );
        Ok((first, unit))
    }
}

/// A name with its words in another order, or without those that say how it is bought or kept:
/// `vermouth dry`, `syrup of vanilla`, `soda ex cold`.
fn other_orders(name: &str) -> Vec<String> {
    let folded = key(name);
    let words: Vec<&str> = folded.split(' ').collect();
    let mut others = Vec::new();
    let mut push = |words: &[&str]| {
        let other = words.join(" ");
        if !other.is_empty() && other != folded {
            others.push(other);
        }
    };
    let plain = crate::spec::without_qualities(&folded);
    let plain: Vec<&str> = plain.split(' ').collect();
    push(&plain);
    // `cream of cacao brown`
    if let Some(french) = crate::spec::creme_de(&folded) {
        let words: Vec<&str> = french.split(' ').collect();
        push(&words);
        if words.len() > 3 {
            push(&words[..words.len() - 1]);
        }
    }
    if (2..=5).contains(&words.len()) {
        if let Some(of) = words.iter().position(|w| matches!(*w, "of" | "from"))
            && of > 0
        {
            push(&[&words[of + 1..], &words[..of]].concat());
        }
        push(&[&words[words.len() - 1..], &words[..words.len() - 1]].concat());
        push(&[&words[1..], &words[..1]].concat());
    }
    // `white wine dry very cold`
    if plain.len() < words.len() && plain.len() > 1 {
        push(&[&plain[plain.len() - 1..], &plain[..plain.len() - 1]].concat());
    }
    others
}

/// What helps where nobody lists a name.
fn define(name: &str) -> String {
    format!("define it (`## {name}`, `is: an ingredient`), or make it a preparation")
}
