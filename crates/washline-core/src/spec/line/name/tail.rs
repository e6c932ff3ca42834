//! What hangs on a name: a mark, brackets, a strength, a place, what stands after a comma.

use super::strength::strength_in;
use super::{Name, Reader, Role};
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};
use crate::spec::{PourMethod, amounts};
use crate::tables::IngredientKind;

impl Reader<'_> {
    /// One thing that hangs on a name, where one does.
    pub(in crate::spec::line) fn tail(&self, name: &mut Name) {
        let at = name.end;
        if let Some(end) = self.dissolved(at) {
            name.notes
                .push(self.raw(at, end).trim_start_matches([',', ' ']).to_owned());
            name.roles.push((at, end, Role::Qualifier));
            name.end = end;
            return;
        }
        // `fig leaf cordial*`: a mark that leads to a note below.
        if self.mark(at, "*†‡") && !self.tokens[at].spaced {
            name.roles.push((at, at + 1, Role::Note));
            name.end = at + 1;
            return;
        }
        if self.mark(at, "([") {
            self.bracket(name, at);
            return;
        }
        if let Some(end) = self.cut_up(at) {
            name.notes.push(self.raw(at, end).to_owned());
            name.roles.push((at, end, Role::Qualifier));
            name.end = end;
            return;
        }
        if let Some((strength, 0, b)) = self.strength_here(at) {
            name.take_strength(self, strength, at, at + b);
            name.end = at + b;
            name.roles.push((at, at + b, Role::Qualifier));
            return;
        }
        if let Some(end) = self.brix(at) {
            name.roles.push((at, end, Role::Qualifier));
            name.notes.push(self.raw(at, end).to_owned());
            name.end = end;
            return;
        }
        if let Some((_, taken)) = self.tokens.get(at..).and_then(crate::spec::process::temperature) {
            name.notes.push(self.raw(at, at + taken).to_owned());
            name.roles.push((at, at + taken, Role::Qualifier));
            name.end = at + taken;
            return;
        }
        // `mezcal - 40 %`: a strength, or a share of the whole, in a column of its own.
        if self.mark(at, "-")
            && self.parts(at)
            && let Some((strength, 0, b)) = self.strength_here(at + 1)
            && self.boundary(at + 1 + b)
        {
            name.take_strength(self, strength, at + 1, at + 1 + b);
            name.end = at + 1 + b;
            name.roles.push((at, at + 1 + b, Role::Qualifier));
            return;
        }
        let comma = self.mark(at, ",");
        let mut next = at + usize::from(self.mark(at, ",|"));
        // `soda……full up`, `soda: to fill`
        while next > at && self.mark(next, "….")
            || self.mark(next, "…:=")
            || self.mark(next, ".") && self.mark(next + 1, ".")
        {
            next += 1;
        }
        // `absinthe - rinse`, `grapefruit soda - top`: a dash that leads to where it goes, at the end of a line.
        if self.mark(next, "-")
            && self.parts(next)
            && self
                .place_after(next + 1)
                .is_some_and(|(.., end)| end == self.len())
        {
            next += 1;
        }
        if let Some((place, fills, end)) = self.place_after(next) {
            name.place = Some(place);
            name.fills |= fills;
            name.end = end;
            name.roles.push((at, end, Role::Work));
            return;
        }
        if let Some(end) = self.to_taste(next) {
            name.notes.push(self.raw(next, end).to_owned());
            name.to_taste = true;
            name.end = end;
            name.roles.push((at, end, Role::Qualifier));
            return;
        }
        if comma {
            self.after_comma(name, at);
        }
    }

    /// `to taste`, `more to taste`.
    fn to_taste(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let from = at
            + usize::from(matches!(
                word(at),
                "more" | "or" | "adjust" | "less" | "according" | "add" | "as"
            ));
        // `appropriate amount`, as some languages have it.
        if matches!(
            word(at),
            "appropriate" | "suitable" | "proper" | "adequate" | "right"
        ) && matches!(word(at + 1), "amount" | "quantity")
        {
            return Some(at + 2);
        }
        self.says_to_taste(from).then_some(from + 2)
    }

    /// `to taste`, and no more, at `at`.
    pub(in crate::spec::line) fn says_to_taste(&self, at: usize) -> bool {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        word(at) == "to" && word(at + 1) == "taste"
    }

    /// A place said after the name: `top`, `to top`, `floated`, `rinse`, `on top`.
    pub(in crate::spec::line) fn place_after(&self, at: usize) -> Option<(PourMethod, bool, usize)> {
        let (place, end) = self.tag(at, |tag| match tag {
            Tag::ToFill => Some((PourMethod::Top, true)),
            Tag::OnTop => Some((PourMethod::Top, false)),
            Tag::Float => Some((PourMethod::Float, false)),
            Tag::Rinse => Some((PourMethod::Rinse, false)),
            Tag::Mist => Some((PourMethod::Mist, false)),
            _ => None,
        })?;
        // `top` before another name lengthens with that one.
        let ends = self.boundary(end)
            || self.is(end, Tag::Joint).is_some()
            || self.is(end, Tag::Preposition).is_some()
            || self.mark(end, "(")
            || self.tokens[at].joined;
        let over = self.words[at].folded == "on" || self.words[at].folded == "over";
        (ends || over).then_some((place.0, place.1, end))
    }

    /// Words that decide what a name is: `gin (navy strength)`, `vermouth, dry`, `cream (single)`, `vodka, olive oil washed`.
    pub(super) fn qualifies(&self, name: &mut Name, from: usize, to: usize) -> bool {
        let [only] = name.choices.as_mut_slice() else {
            return false;
        };
        let measured = |j: usize| match amounts::phrase(&self.tokens, j) {
            Some(Ok(phrase)) => self.unit_at(phrase.next).0.is_some(),
            Some(Err(_)) => true,
            None => false,
        };
        if self.tokens[from..to].iter().any(Token::is_number) || (from..to).any(measured) {
            return false;
        }
        // `syrup, sugar 1:1`
        if to - from > 1 && matches!(self.tokens[to - 1].kind, Kind::Ratio(_)) {
            let words = format!("{} {}", self.raw(from, to - 1), only.name);
            if lexicon::is_name(&words, self.context.own) {
                only.name = format!("{words} {}", self.raw(to - 1, to));
                only.full.clone_from(&only.name);
                return true;
            }
            return false;
        }
        // `(pasteurised)`, `(fresh)` says how it is bought.
        let decides = matches!(
            self.words[from].folded.as_str(),
            "single" | "double" | "clear" | "cloudy" | "sweetened" | "unsweetened" | "thick"
        );
        if self.is(from, Tag::Quality) == Some(to) && !decides {
            return false;
        }
        let words = self.raw(from, to).trim_end_matches('.').to_owned();
        let before = format!("{words} {}", only.name);
        let after = format!("{} {words}", only.name);
        let own = self.context.own;
        // `gin, cordial and lemon`: a word that joins lists another pour.
        let lists = (from..to).any(|j| self.mark(j, "&") || self.is(j, Tag::Joint).is_some());
        let treated = self.is(to - 1, Tag::Treatment) == Some(to)
            || to - from > 1
                && !lists
                && self.is(from, Tag::Treatment).is_some()
                // `agave, salted rim`
                && self.is(to - 1, Tag::GarnishNoun).is_none();
        let whole = if lexicon::is_name(&before, own) || treated {
            before
        } else if lexicon::is_name(&after, own) && lexicon::sort_of(&words) != Some(lexicon::Sort::Liquid) {
            // `15 lemon, tonic` are two pours, and no bitter lemon.
            after
        } else {
            return false;
        };
        only.name.clone_from(&whole);
        only.full = whole;
        true
    }

    /// Words in brackets that change nothing: no work, and no liquid that is measured or counted.
    pub(super) fn is_aside(&self, from: usize, to: usize) -> bool {
        let measured = self.measured(from, to) > 0;
        (from..to).all(|i| {
            let pours = self.name_at(i).is_some_and(|(end, sort)| {
                sort == lexicon::Sort::Liquid
                    && end <= to
                    && self.is(i, Tag::Quality).is_none()
                    && (measured
                        || self.words[i].folded == "egg"
                        || self.words[i..end].iter().any(|w| w.folded == "white"))
            });
            let works = self
                .tag(i, |tag| {
                    matches!(
                        tag,
                        Tag::Work(_) | Tag::Strain { .. } | Tag::Top | Tag::Float | Tag::Rinse | Tag::Mist
                    )
                    .then_some(())
                })
                .is_some();
            !pours && !works
        })
    }

    /// `white tea, cold brew`: how a tea or coffee is made, by another name of the kind.
    fn both_are_tea(&self, name: &Name, from: usize, to: usize) -> bool {
        let library = crate::ingredient::library();
        let is_tea = |said: &str| {
            library
                .usual(said)
                .is_some_and(|i| i.kind == IngredientKind::CoffeeAndTea)
        };
        name.choices.first().is_some_and(|n| is_tea(&n.name)) && is_tea(self.raw(from, to))
    }

    /// `dissolved in a little water`, `and dissolve in hot water`: what sugar needs to go into the drink, of which nobody
    /// says how much.
    fn dissolved(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut i = at + usize::from(self.mark(at, ","));
        i += usize::from(word(i) == "and");
        if !matches!(word(i), "dissolved" | "dissolve") {
            return None;
        }
        i += 1;
        i += usize::from(matches!(word(i), "in" | "with"));
        let mut water = i;
        while matches!(
            word(water),
            "a" | "little" | "some" | "hot" | "cold" | "boiling" | "enough" | "of" | "the" | "warm"
        ) {
            water += 1;
        }
        (word(water) == "water" || word(water) == "seltzer").then_some(water + 1)
    }

    /// Whether an amount comes at `i`, behind a mark that leads to it or none.
    fn amount_follows(&self, i: usize) -> bool {
        let at = i + usize::from(self.mark(i, ":-(,"));
        self.tokens.get(at).is_some_and(Token::is_number)
            && match amounts::phrase(&self.tokens, at) {
                Some(Ok(phrase)) => {
                    self.unit_at(phrase.next).0.is_some() || self.mark(phrase.next, "%") && at > i
                }
                _ => false,
            }
            // Of an amount that is followed by a name it is the name's.
            && self.ends_behind_amount(at)
    }

    /// Whether the part of the line ends behind the amount at `at`.
    fn ends_behind_amount(&self, at: usize) -> bool {
        match amounts::phrase(&self.tokens, at) {
            Some(Ok(phrase)) => {
                let (_, after) = self.unit_at(phrase.next);
                self.boundary(after) || self.mark(phrase.next, "%")
            }
            _ => false,
        }
    }

    /// Whether nothing among the tokens can be poured or worked.
    pub(super) fn only_words(&self, from: usize, to: usize) -> bool {
        (from..to).all(|j| {
            let quality = self.is(j, Tag::Quality).is_some() || self.is(j, Tag::Treatment).is_some();
            let poured = self.name_at(j).is_some() && !quality;
            let works = self
                .tag(j, |t| {
                    matches!(
                        t,
                        Tag::Work(_)
                            | Tag::Strain { .. }
                            | Tag::Top
                            | Tag::Float
                            | Tag::Rinse
                            | Tag::Mist
                            | Tag::Each
                    )
                    .then_some(())
                })
                .is_some();
            matches!(self.tokens[j].kind, Kind::Word(_)) && !poured && !works
        })
    }

    /// `cut in 8 pieces`, `quartered`, `cut into wedges`: how a fruit is cut, up to where that ends.
    fn cut_up(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if !matches!(word(at), "cut" | "sliced" | "chopped" | "divided")
            || !matches!(word(at + 1), "in" | "into")
        {
            return None;
        }
        let next = match amounts::phrase(&self.tokens, at + 2) {
            Some(Ok(phrase)) => phrase.next,
            _ => at + 2,
        };
        matches!(
            word(next),
            "piece" | "wedge" | "slice" | "quarter" | "chunk" | "half" | "cube" | "eighth" | "sixth"
        )
        .then_some(next + 1)
    }

    /// What stands after a comma and belongs to the name.
    fn after_comma(&self, name: &mut Name, at: usize) {
        let from = at + 1;
        let to = (from..self.len())
            .find(|&j| self.boundary(j) || j > from && self.tokens[j].is_number())
            .unwrap_or(self.len());
        if from >= to {
            return;
        }
        let qualities = || {
            let mut j = from;
            while j < to {
                match self.is(j, Tag::Quality).or_else(|| self.is(j, Tag::Treatment)) {
                    Some(next) if next <= to => j = next,
                    _ => return false,
                }
            }
            true
        };
        let strength = strength_in(&self.tokens[from..to]).filter(|(_, a, b)| *a == 0 && from + b == to);
        if let Some((strength, a, b)) = self.strength_in_words(from, to) {
            name.take_strength(self, Ok(strength), a, b);
        } else if let Some((strength, a, b)) = strength {
            name.take_strength(self, strength, from + a, from + b);
        } else if self.words[from].folded == "juiced" && from + 1 == to {
            if let [only] = name.choices.as_mut_slice() {
                only.name = format!("{} juice", only.name);
                only.full.clone_from(&only.name);
            }
        } else if self.qualifies(name, from, to) {
        } else if self.amount_follows(to) && self.only_words(from, to)
            || self.both_are_tea(name, from, to)
            || qualities()
        {
            // `oolong tea, cold 200 ml`, `white wine, aromatic, 11.5 %: 90 ml`: words between a name and its amount.
            name.notes
                .push(self.raw(from, to).trim_end_matches('.').to_owned());
        } else {
            return;
        }
        name.roles.push((at, to, Role::Qualifier));
        name.end = to;
    }
}
