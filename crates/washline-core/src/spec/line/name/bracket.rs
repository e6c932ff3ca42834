//! Brackets behind a name: its strength, its place, a second amount, another name for it, words for the reader.

use super::strength::strength_in;
use super::typed::join;
use super::{Name, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Assumption, Extent, PourMethod, amounts};

impl Reader<'_> {
    /// What stands in the brackets that open at `at`, where it is said of the name before them.
    pub(super) fn bracket(&self, name: &mut Name, at: usize) {
        let close = if self.mark(at, "(") { ")" } else { "]" };
        let Some(to) = (at + 1..self.len().min(at + 40)).find(|&j| self.mark(j, close)) else {
            return;
        };
        let from = at + 1;
        if self.stands_before_a_name(from, to) || (from..to).any(|j| self.mark(j, "=")) {
            // `(1 part = 30 ml)` is said of the drink.
            return;
        }
        if from == to {
            name.end = to + 1;
            return;
        }
        let role = if self.tells_another_way(from, to) {
            name.notes.push(self.raw(from, to).to_owned());
            Some(Role::Note)
        } else if self.tells_what_is_in_it(from, to) {
            name.notes.push(self.raw(from, to).to_owned());
            name.assumptions.push(Assumption::new(
                format!("({})", self.raw(from, to)),
                "kept as a note: what stands in the library under its name is computed",
                "make it a preparation, or an ingredient with its own figures",
            ));
            Some(Role::Note)
        } else {
            self.take_in(name, from, to)
        };
        if let Some(role) = role {
            name.roles.push((at, to + 1, role));
            name.end = to + 1;
        }
    }

    /// `(45) tequila (20) fino (2 dashes) bitters`: amounts in brackets stand before their names.
    fn stands_before_a_name(&self, from: usize, to: usize) -> bool {
        self.mark(0, "([")
            && self.amount_in(from, to)
            && !self.boundary(to + 1)
            && self.amount_in(1, (1..self.len()).find(|&j| self.mark(j, ")]")).unwrap_or(1))
    }

    /// `(in case there is none, 8 ml lemon)`, `(or 10 ml agave)`, `(infused with 20 g tea)`, `(1 L juice + 32 g
    /// citric acid)`: another way, or how it is made; nothing of it is poured.
    fn tells_another_way(&self, from: usize, to: usize) -> bool {
        let inside = &self.tokens[from..to];
        let told = self.is(from, Tag::Clause).is_some()
            || self.words[from].folded == "or"
            || self.is(from, Tag::Treatment).is_some_and(|end| end < to)
            || self.measured(from, to) > 1
            || self.measured(from, to) == 1 && inside.iter().any(|t| matches!(t.kind, Kind::Ratio(_)));
        told && inside.iter().any(Token::is_number) && strength_in(inside).is_none()
    }

    /// `plum purée (10 % sugar)`: what is in it beside alcohol.
    fn tells_what_is_in_it(&self, from: usize, to: usize) -> bool {
        self.tokens[from].is_number()
            && self.mark(from + 1, "%")
            && (from + 2..to).any(|j| {
                matches!(
                    self.words[j].folded.as_str(),
                    "sugar"
                        | "sweetened"
                        | "fat"
                        | "fruit"
                        | "juice"
                        | "cocoa"
                        | "cacao"
                        | "acid"
                        | "acidity"
                        | "salt"
                        | "brine"
                        | "pectin"
                )
            })
            && (from + 2..to).all(|j| {
                !self.tokens[j].is_number()
                    || matches!(crate::spec::technique::time(&self.tokens[j..]), Some(Ok(_)))
                    || self
                        .words
                        .get(j + 1)
                        .is_some_and(|w| matches!(w.folded.as_str(), "day" | "week" | "month"))
            })
    }

    /// Take what stands at `from..to` into the name, and say as what; `None` where it is no part of it.
    fn take_in(&self, name: &mut Name, from: usize, to: usize) -> Option<Role> {
        let inside = &self.tokens[from..to];
        if let Some((strength, a, b)) = strength_in(inside) {
            // `(40 % ½)`: a second number that nobody would read.
            if (inside[..a].iter().chain(&inside[b..])).any(Token::is_number) {
                return None;
            }
            name.take_strength(self, strength, from + a, from + b);
            self.take_what_is_beside_a_strength(name, (from, to), (from + a, from + b));
            return Some(Role::Qualifier);
        }
        if let Some((place, fills, last)) = self.place_in_brackets(from, to)
            && (last == to || self.is_aside(last, to))
        {
            name.place = Some(place);
            name.fills |= fills;
            return Some(Role::Work);
        }
        if is_ratio(inside) || self.is(from, Tag::By) == Some(to) {
            let ratio = self.raw(from, to);
            if let [only] = name.choices.as_mut_slice() {
                only.name = format!("{} {ratio}", only.name);
                only.full.clone_from(&only.name);
            }
            return Some(Role::Qualifier);
        }
        if let Some(second) = self.amount_alone(from, to) {
            name.second = Some(second);
            return Some(Role::Amount);
        }
        if self.is_listed_as(name, from, to) || self.stands_for(name, from, to) {
            name.take_listed(self.raw(from, to));
            return Some(Role::Qualifier);
        }
        if let Some(size) = self.size_without_a_unit(name, from, to) {
            name.second = Some((size, Unit::Millilitre));
            return Some(Role::Amount);
        }
        if name.takes_a_bare_strength(inside) || self.qualifies(name, from, to) {
            return Some(Role::Qualifier);
        }
        if let Some((size, end)) = self.size_and_words(from, to) {
            name.second = Some((size, Unit::Millilitre));
            name.notes
                .push(self.raw(end, to).trim_start_matches([',', ' ']).to_owned());
            return Some(Role::Amount);
        }
        // `cream (30, whipped)`: an amount that the brackets do not hide.
        let bare = inside[0].is_number() && (self.parts(from + 1) || to == from + 1);
        if bare || !self.is_aside(from, to) {
            return None;
        }
        name.notes.push(self.raw(from, to).to_owned());
        name.cost += 1 + 2 * u32::from(inside.iter().any(Token::is_number));
        Some(Role::Qualifier)
    }

    /// The words of brackets beside the strength in them: what the name stands for, or a note.
    fn take_what_is_beside_a_strength(
        &self,
        name: &mut Name,
        (from, to): (usize, usize),
        strength: (usize, usize),
    ) {
        let rest = join(self.raw(from, strength.0), self.raw(strength.1, to));
        let rest = rest.trim_matches([',', ' ']);
        let mut last = strength.0;
        while last > from && self.parts(last - 1) {
            last -= 1;
        }
        if last > from && strength.1 == to && self.stands_for(name, from, last) {
            // `Chacha (grape pomace spirit, 45 % abv)`
            name.take_listed(self.raw(from, last));
        } else if rest.contains(char::is_alphanumeric) && !rest.eq_ignore_ascii_case("abv") {
            // Marks without a word say nothing: `(40 % -)`.
            name.notes.push(rest.to_owned());
        }
    }

    /// `blackcurrant liquor (crème de cassis)`: what nobody lists, by the name that it is listed under.
    fn is_listed_as(&self, name: &Name, from: usize, to: usize) -> bool {
        let [only] = name.choices.as_slice() else {
            return false;
        };
        let own = self.context.own;
        self.name_at(from).is_some_and(|(last, _)| last == to)
            && !lexicon::is_name(&only.name, own)
            && !lexicon::is_name(&format!("{} {}", self.raw(from, to), only.name), own)
            && !lexicon::is_name(&format!("{} {}", only.name, self.raw(from, to)), own)
            && self.is(from, Tag::Quality).is_none()
    }

    /// A number that can only be millilitres: more than any strength, or how much is poured on top.
    fn size_without_a_unit(&self, name: &Name, from: usize, to: usize) -> Option<Extent> {
        // `1 bottle lager (330)`
        if let [
            Token {
                kind: Kind::Number(n),
                ..
            },
        ] = &self.tokens[from..to]
            && n.parse::<u32>().is_ok_and(|n| (160..=1000).contains(&n))
            && let Ok(size) = Amount::decimal(n)
        {
            return Some(Extent::exact(size));
        }
        // `ginger beer top (~100)`
        if name.place != Some(PourMethod::Top) {
            return None;
        }
        let at = from + usize::from(self.mark(from, "~≈"));
        let at = self.is(at, Tag::About).unwrap_or(at);
        let phrase = amounts::phrase(&self.tokens[..to], at)?.ok()?;
        (phrase.next == to && phrase.extent.nominal >= Amount::raw(20, 1)).then_some(phrase.extent)
    }

    /// `float cream (30, lightly whipped)`, `cola to the line (150ish)`: millilitres and where they end.
    fn size_and_words(&self, from: usize, to: usize) -> Option<(Extent, usize)> {
        self.tokens[from].is_number().then_some(())?;
        let phrase = amounts::phrase(&self.tokens[..to], from)?.ok()?;
        let end = phrase.next;
        let words = self.mark(end, ",") && self.only_words(end + 1, to)
            || self.words.get(end).is_some_and(|w| w.folded == "ish") && end + 1 == to;
        (words && phrase.extent.nominal >= Amount::raw(5, 1)).then_some((phrase.extent, end))
    }

    /// Whether the words at `from..to` name or tell the kind of what a name, that nobody knows, stands for.
    fn stands_for(&self, name: &Name, from: usize, to: usize) -> bool {
        let [only] = name.choices.as_slice() else {
            return false;
        };
        let library = crate::ingredient::library();
        let words = self.tokens[from..to]
            .iter()
            .all(|t| matches!(t.kind, Kind::Word(_)));
        words
            && self.is(from, Tag::Quality) != Some(to)
            && !lexicon::names_anything(&only.name, self.context.own)
            && library.usual(&only.name).is_none()
            && !crate::ingredient::tells_its_kind(&only.name)
            && crate::ingredient::never(&only.name).is_none()
            && (self
                .name_at(from)
                .is_some_and(|(last, sort)| last == to && sort == lexicon::Sort::Liquid)
                || crate::ingredient::tells_its_kind(self.raw(from, to)))
    }

    /// Whether nothing but an amount stands at `from..to`, with a unit or none.
    fn amount_in(&self, from: usize, to: usize) -> bool {
        match amounts::phrase(&self.tokens[..to.min(self.len())], from) {
            Some(Ok(phrase)) => self.unit_at(phrase.next).1 == to,
            _ => false,
        }
    }

    fn place_in_brackets(&self, from: usize, to: usize) -> Option<(PourMethod, bool, usize)> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let skip = usize::from(matches!(word(from), "to" | "as" | "a") && to - from > 1);
        self.place_after(from)
            .or_else(|| self.place_after(from + skip))
            .filter(|(.., end)| *end <= to)
    }

    /// An amount with its unit and nothing else, at `from..to`: about is a matter of course in brackets.
    pub(in crate::spec::line) fn amount_alone(&self, from: usize, to: usize) -> Option<(Extent, Unit)> {
        let mut at = from;
        while self.mark(at, "~≈") || self.is(at, Tag::About).is_some() {
            at = self.is(at, Tag::About).unwrap_or(at + 1);
        }
        let phrase = amounts::phrase(&self.tokens[..to], at)?.ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        (end == to).then_some((phrase.extent, unit?))
    }
}

impl Name {
    /// What stands in brackets is the name that it is listed under; what stood before them is kept as a note.
    fn take_listed(&mut self, listed: &str) {
        if let [only] = self.choices.as_mut_slice() {
            self.notes
                .push(std::mem::replace(&mut only.name, listed.to_owned()));
            only.full.clone_from(&only.name);
        }
    }

    /// `blended whisky (43)`: a number by itself behind a bottle is what its label says.
    fn takes_a_bare_strength(&mut self, inside: &[Token]) -> bool {
        if let [
            Token {
                kind: Kind::Number(n),
                ..
            },
        ] = inside
            && self.strength.is_none()
            && n.parse::<f64>().is_ok_and(|n| (35.0..=80.0).contains(&n))
            && let Ok(strength) = Amount::decimal(n)
        {
            self.strength = Some(strength);
            self.cost += 3;
            self.assumptions.push(Assumption::new(
                format!("({n})"),
                format!("taken as its strength, {n} % vol"),
                format!("write `({n} %)`, or the amount with its unit"),
            ));
            return true;
        }
        false
    }
}

/// `2:1`, perhaps with what it is counted by: `1:1 by mass`.
fn is_ratio(tokens: &[Token]) -> bool {
    let by: Vec<String> = tokens.iter().skip(1).map(Token::word).collect();
    let by: Vec<&str> = by.iter().map(String::as_str).collect();
    matches!(tokens.first().map(|t| &t.kind), Some(Kind::Ratio(_)))
        && matches!(
            by.as_slice(),
            [] | ["by", "mass" | "volume" | "weight" | "vol" | "wt"] | ["w", "", "w"] | ["v", "", "v"]
        )
}
