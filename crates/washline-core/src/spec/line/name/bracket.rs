//! Brackets behind a name: its strength, its place, a second amount, another name for it, words for the reader.

use super::strength::strength_in;
use super::typed::join;
use super::{Name, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Assumption, Extent, Place, amounts};

impl Reader<'_> {
    pub(super) fn bracket(&self, name: &mut Name, at: usize) {
        let close = if self.mark(at, "(") { ")" } else { "]" };
        let Some(end) = (at + 1..self.len().min(at + 40)).find(|&j| self.mark(j, close)) else {
            return;
        };
        let (from, to) = (at + 1, end);
        // `(45) tequila (20) fino (2 dashes) bitters`: amounts in brackets stand before their names.
        if self.mark(0, "([")
            && self.amount_in(from, to)
            && !self.boundary(end + 1)
            && self.amount_in(1, (1..self.len()).find(|&j| self.mark(j, ")]")).unwrap_or(1))
        {
            return;
        }
        // `(1 part = 30 ml)` is said of the drink.
        if (from..to).any(|j| self.mark(j, "=")) {
            return;
        }
        if from >= to {
            name.end = end + 1;
            return;
        }
        let inside = &self.tokens[from..to];
        let mut role = Role::Qualifier;
        // `(in case there is none, 8 ml lemon)`, `(or 10 ml agave)`, `(infused with 20 g tea)`, `(1 L juice + 32 g
        // citric acid)`: another way, or how it is made; nothing of it is poured.
        let told = self.is(from, Tag::Clause).is_some()
            || self.words[from].folded == "or"
            || self.is(from, Tag::Treatment).is_some_and(|end| end < to)
            || self.measured(from, to) > 1
            || self.measured(from, to) == 1 && inside.iter().any(|t| matches!(t.kind, Kind::Ratio(_)));
        if told && inside.iter().any(Token::is_number) && strength_in(inside).is_none() {
            name.notes.push(self.raw(from, to).to_owned());
            name.roles.push((at, end + 1, Role::Note));
            name.end = end + 1;
            return;
        }
        // `plum purée (10 % sugar)`: what is in it beside alcohol.
        if inside[0].is_number()
            && inside.get(1).is_some_and(|t| t.is_mark('%'))
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
        {
            name.notes.push(self.raw(from, to).to_owned());
            name.assumptions.push(Assumption::new(
                format!("({})", self.raw(from, to)),
                "kept as a note: what stands in the library under its name is computed",
                "make it a preparation, or an ingredient with its own figures",
            ));
            name.roles.push((at, end + 1, Role::Note));
            name.end = end + 1;
            return;
        }
        if let Some((_, a, b)) = strength_in(inside)
            && (inside[..a].iter().chain(&inside[b..])).any(Token::is_number)
        {
            // `(40 % ½)`: a second number that nobody would read.
            return;
        }
        if let Some((strength, a, b)) = strength_in(inside) {
            name.take_strength(self, strength, from + a, from + b);
            let rest = join(self.raw(from, from + a), self.raw(from + b, to));
            let rest = rest.trim_matches([',', ' ']);
            let mut last = from + a;
            while last > from && self.parts(last - 1) {
                last -= 1;
            }
            if last > from && b == inside.len() && self.stands_for(name, from, last) {
                // `Chacha (grape pomace spirit, 45 % abv)`
                name.take_listed(self.raw(from, last));
            } else if rest.contains(char::is_alphanumeric) && !rest.eq_ignore_ascii_case("abv") {
                // Marks without a word say nothing: `(40 % -)`.
                name.notes.push(rest.to_owned());
            }
        } else if let Some((place, fills, last)) = self.place_in_brackets(from, to)
            && (last == to || self.is_aside(last, to))
        {
            name.place = Some(place);
            name.fills |= fills;
            role = Role::Work;
        } else if is_ratio(inside) || self.is(from, Tag::By) == Some(to) {
            let ratio = self.raw(from, to);
            if let [only] = name.choices.as_mut_slice() {
                only.name = format!("{} {ratio}", only.name);
                only.full.clone_from(&only.name);
            }
        } else if let Some(second) = self.amount_alone(from, to) {
            name.second = Some(second);
            role = Role::Amount;
        } else if let [only] = name.choices.as_mut_slice()
            && self.name_at(from).is_some_and(|(last, _)| last == to)
            && !lexicon::is_name(&only.name, self.context.own)
            && !lexicon::is_name(&format!("{} {}", self.raw(from, to), only.name), self.context.own)
            && !lexicon::is_name(&format!("{} {}", only.name, self.raw(from, to)), self.context.own)
            && self.is(from, Tag::Quality).is_none()
        {
            // `blackcurrant liquor (crème de cassis)`: what nobody lists, by the name that it is listed under.
            let listed = self.raw(from, to);
            name.take_listed(listed);
        } else if self.stands_for(name, from, to) {
            // `morning mist (a herb liqueur)`: what nobody knows, by its kind.
            name.take_listed(self.raw(from, to));
        } else if let [
            Token {
                kind: Kind::Number(n),
                ..
            },
        ] = inside
            && n.parse::<u32>().is_ok_and(|n| (160..=1000).contains(&n))
            && let Ok(size) = Amount::decimal(n)
        {
            // `1 bottle lager (330)`: more than any strength.
            name.second = Some((Extent::exact(size), Unit::Millilitre));
            role = Role::Amount;
        } else if name.place == Some(Place::Top)
            && let at = from + usize::from(self.mark(from, "~≈"))
            && let at = self.is(at, Tag::About).unwrap_or(at)
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens[..to], at)
            && phrase.next == to
            && phrase.extent.nominal >= Amount::raw(20, 1)
        {
            // `ginger beer top (~100)`: millilitres.
            name.second = Some((phrase.extent, Unit::Millilitre));
            role = Role::Amount;
        } else if let [
            Token {
                kind: Kind::Number(n),
                ..
            },
        ] = inside
            && name.strength.is_none()
            && n.parse::<f64>().is_ok_and(|n| (35.0..=80.0).contains(&n))
            && let Ok(strength) = Amount::decimal(n)
        {
            // `blended whisky (43)`: a number by itself behind a bottle is what its label says.
            name.strength = Some(strength);
            name.cost += 3;
            name.assumptions.push(Assumption::new(
                format!("({n})"),
                format!("taken as its strength, {n} % vol"),
                format!("write `({n} %)`, or the amount with its unit"),
            ));
        } else if self.qualifies(name, from, to) {
        } else if inside[0].is_number()
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens[..to], from)
            && phrase.extent.nominal >= Amount::raw(5, 1)
            && (self.mark(phrase.next, ",") && self.only_words(phrase.next + 1, to)
                || self.words.get(phrase.next).is_some_and(|w| w.folded == "ish") && phrase.next + 1 == to)
        {
            // `float cream (30, lightly whipped)`, `cola to the line (150ish)`: millilitres.
            name.second = Some((phrase.extent, Unit::Millilitre));
            name.notes.push(
                self.raw(phrase.next, to)
                    .trim_start_matches([',', ' '])
                    .to_owned(),
            );
            role = Role::Amount;
        } else if inside[0].is_number() && (self.parts(from + 1) || to == from + 1) {
            // `cream (30, whipped)`: an amount that the brackets do not hide.
            return;
        } else if self.is_aside(from, to) {
            name.notes.push(self.raw(from, to).to_owned());
            name.cost += 1 + 2 * u32::from(inside.iter().any(Token::is_number));
        } else {
            return;
        }
        name.roles.push((at, end + 1, role));
        name.end = end + 1;
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

    fn place_in_brackets(&self, from: usize, to: usize) -> Option<(Place, bool, usize)> {
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
