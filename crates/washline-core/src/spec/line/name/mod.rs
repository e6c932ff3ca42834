//! A name with what hangs on it: a strength, a ratio, brackets, what stands after a comma.

mod bracket;
mod strength;
mod tail;
mod typed;
mod words;

use strength::strength_in;
use typed::{join, typed_of};
use words::Core;

use super::{Reader, Role};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Assumption, Extent, Named, Per, PourMethod, Unplaced};

/// A name as read, and where the line goes on.
#[derive(Clone, Debug, Default)]
pub(super) struct Name {
    pub end: usize,
    pub cost: u32,
    pub choices: Vec<Named>,
    pub strength: Option<Amount>,
    /// What that counts, where the line says it.
    pub per: Option<Per>,
    pub place: Option<PourMethod>,
    /// Whether it is poured until the glass is full.
    pub fills: bool,
    /// Whether it is poured as it tastes right: `to taste`, `appropriate amount`.
    pub to_taste: bool,
    pub notes: Vec<String>,
    pub assumptions: Vec<Assumption>,
    /// A second amount in brackets.
    pub second: Option<(Extent, Unit)>,
    pub wrong: Option<Unplaced>,
    pub roles: Vec<(usize, usize, Role)>,
}

impl Reader<'_> {
    /// Every name that can begin at `i`.
    pub(super) fn names(&self, i: usize) -> Vec<Name> {
        self.names_of(i, false)
    }

    /// Every name that can begin at `i`; `counted` says that a number stands before it, so that `mint leaves` are a
    /// count of leaves and no garnish.
    pub(super) fn names_of(&self, i: usize, counted: bool) -> Vec<Name> {
        if let Some(names) = self.names.borrow().get(&(i, counted)) {
            return names.clone();
        }
        let names = self.look_for_names(i, counted);
        self.names.borrow_mut().insert((i, counted), names.clone());
        names
    }

    /// `syrup of cherry`, `liqueur of the orange`: what it is stands before what it is of.
    fn turned(&self, i: usize) -> Vec<Name> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let head = self
            .words
            .get(i)
            .and_then(|w| w.meant.as_deref())
            .unwrap_or_else(|| word(i));
        let turns = matches!(
            head,
            "syrup"
                | "liqueur"
                | "puree"
                | "cordial"
                | "vinegar"
                | "soda"
                | "nectar"
                | "shrub"
                | "tea"
                | "brandy"
        );
        if !turns || word(i + 1) != "of" {
            return Vec::new();
        }
        let from = self.is(i + 2, Tag::Article).unwrap_or(i + 2);
        if self.name_at(from).is_none() {
            return Vec::new();
        }
        let mut names = self.names(from);
        names.retain(|n| n.choices.len() == 1);
        for name in &mut names {
            for choice in &mut name.choices {
                choice.name = format!("{} {head}", choice.name);
                choice.full.clone_from(&choice.name);
                choice.span = self.span(i, name.end);
            }
            name.roles.push((i, from, Role::Name));
        }
        names
    }

    fn look_for_names(&self, i: usize, counted: bool) -> Vec<Name> {
        if let Some(rum) = self.rum_by_its_proof(i) {
            return vec![rum];
        }
        let turned = self.turned(i);
        if !turned.is_empty() {
            return turned;
        }
        let any = self.words.get(i).is_some_and(|w| w.folded == "any") && i + 1 < self.len();
        let from = i + usize::from(any);
        // Ice is no ingredient, whatever stands round it: `ice, top`.
        let ice = self.ice_phrase(from);
        self.cores(from, counted)
            .into_iter()
            .filter(|core| core.known || ice != Some(core.end) && !self.is_a_unit(from, core.end))
            .map(|core| self.with_tail(from, core, any))
            // A strength by itself names nothing.
            .filter(|name| name.choices.iter().all(|choice| !choice.name.is_empty()))
            .collect()
    }

    /// `float 151`: the number of the proof alone names an overproof rum.
    fn rum_by_its_proof(&self, i: usize) -> Option<Name> {
        let number = matches!(&self.tokens.get(i)?.kind, Kind::Number(n) if n.trim_end_matches('.') == "151");
        let ends = self.boundary(i + 1) || self.stops_here(i + 1) && !self.tokens[i + 1].is_number();
        if !number || !ends || self.unit_at(i + 1).0.is_some() {
            return None;
        }
        let mut name = Name {
            end: i + 1,
            strength: Some(Amount::raw(151, 2)),
            ..Name::default()
        };
        name.choices.push(Named {
            name: "151 rum".to_owned(),
            full: "151 rum".to_owned(),
            any: false,
            span: self.span(i, i + 1),
        });
        name.assumptions.push(Assumption::new(
            "151",
            "taken as a rum of 151 US proof, 75.5 % vol",
            "write its name and strength",
        ));
        name.roles.push((i, i + 1, Role::Name));
        Some(name)
    }

    /// Whether nothing but a unit stands there.
    fn is_a_unit(&self, from: usize, to: usize) -> bool {
        to == from + 1 && matches!(self.unit_at(from), (Some(_), end) if end == to)
    }

    /// A core with everything that hangs on it.
    fn with_tail(&self, from: usize, core: Core, any: bool) -> Name {
        let mut name = Name {
            end: core.end,
            cost: core.cost,
            ..Name::default()
        };
        name.roles.push((from, core.end, Role::Name));
        let mut typed = self.typed(from, &core);
        // A strength inside the name: `100-proof rye`.
        if let Some((strength, a, b)) = strength_in(&self.tokens[from..core.end]) {
            name.take_strength(self, strength, from + a, from + b);
            typed = join(
                &typed_of(self, from, from + a, &core),
                &typed_of(self, from + b, core.end, &core),
            );
        }
        // `151 rum`: no age is so high, and every label of such a bottle says the proof.
        else if let Some((at, strength)) = self.proof_in_name(from, core.end) {
            name.strength = Some(strength);
            name.assumptions.push(Assumption::new(
                self.raw(at, at + 1),
                format!("taken as its US proof: {strength} % vol"),
                "write the strength in %",
            ));
        }
        self.alternatives(&mut name, &core, from, typed, any);
        loop {
            let until = name.end;
            self.tail(&mut name);
            if name.end == until {
                break;
            }
        }
        name
    }

    /// `vodka or gin`: the names that the writer leaves a choice of.
    fn alternatives(&self, name: &mut Name, core: &Core, from: usize, typed: String, any: bool) {
        let named = |typed: String, any: bool, a: usize, b: usize| Named {
            full: typed.clone(),
            name: typed,
            any,
            span: self.span(a, b),
        };
        // `3 oz pine`: short for it where it stands alone, and a tree in a longer name.
        let typed = match key(&typed).as_str() {
            "pine" if !self.context.own.has_word("pine") => {
                name.assumptions.push(Assumption::new(
                    format!("`{typed}`"),
                    "read as pineapple juice",
                    "write the word in full",
                ));
                "pineapple juice".to_owned()
            }
            _ => typed,
        };
        name.choices = vec![named(typed, any, from, core.end)];
        self.say_meant(name, &core.meant);
        while self.words.get(name.end).is_some_and(|w| w.folded == "or") {
            // `any rum or any brandy`; said once, it holds for all of them.
            let again = usize::from(self.words.get(name.end + 1).is_some_and(|w| w.folded == "any"));
            let next = name.end + 1 + again;
            let Some(other) = self
                .cores(next, false)
                .into_iter()
                .filter(|c| {
                    self.boundary(c.end)
                        || self.mark(c.end, "(")
                        || self.words[c.end].folded == "or"
                        || self.stops_here(c.end)
                })
                .min_by_key(|c| (c.cost, std::cmp::Reverse(c.end)))
            else {
                break;
            };
            if !other.known && other.cost > 6 {
                break;
            }
            let typed = self.typed(next, &other);
            name.choices.push(named(typed, any || again > 0, next, other.end));
            name.roles.push((name.end, other.end, Role::Name));
            name.cost += other.cost;
            name.end = other.end;
        }
        if let [first, others @ ..] = name.choices.as_slice()
            && !others.is_empty()
        {
            let others: Vec<&str> = others.iter().map(|n| n.name.as_str()).collect();
            name.assumptions.push(Assumption::new(
                format!("\"{} or {}\"", first.name, others.join(" or ")),
                format!("computed with {}", first.name),
                "write one of them",
            ));
        }
    }

    fn say_meant(&self, name: &mut Name, meant: &[(usize, Box<str>)]) {
        for (at, word) in meant {
            name.assumptions.push(Assumption::new(
                format!("`{}`", self.raw(*at, at + 1)),
                format!("read as {word}"),
                "write the word in full",
            ));
        }
    }
}

impl Name {
    fn take_strength(&mut self, reader: &Reader, strength: Result<Amount, Unplaced>, from: usize, to: usize) {
        match strength {
            Ok(strength) => self.strength = Some(strength),
            Err(wrong) => self.wrong = Some(wrong),
        }
        // Degrees of proof differ by country: which were taken is said.
        let words: Vec<&str> = (from..to).map(|i| reader.words[i].folded.as_str()).collect();
        self.per = words.iter().find_map(|w| Per::read(w)).or(self.per);
        if words.iter().any(|w| lexicon::is_proof(w))
            && !words
                .iter()
                .any(|w| matches!(*w, "us" | "uk" | "american" | "british"))
        {
            self.assumptions.push(Assumption::new(
                reader.raw(from, to),
                "US proof, twice the strength in % vol (100 UK degrees would be 57.1 % vol)",
                "write the strength in %",
            ));
        }
    }
}
