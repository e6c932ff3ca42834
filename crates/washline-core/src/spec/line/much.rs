//! An amount at a place of a line: every way it may be read, with and without the word behind it taken as a unit.

use super::second_amount::{both, far_apart, is_vague};
use super::{Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::amounts::Phrase;
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Assumption, Extent, PourAmount, Unplaced, amounts};

/// An amount with its unit, and what the line says of it.
#[derive(Clone, Debug)]
pub(super) struct Much {
    pub measure: PourAmount,
    pub next: usize,
    pub notes: Vec<String>,
    pub assumptions: Vec<Assumption>,
    pub roles: Vec<(usize, usize, Role)>,
    pub cost: u32,
}

impl Much {
    /// An amount of which the line says no more; the reading goes on at `next`.
    pub fn plain(measure: PourAmount, next: usize, cost: u32) -> Much {
        Much {
            measure,
            next,
            notes: Vec::new(),
            assumptions: Vec::new(),
            roles: Vec::new(),
            cost,
        }
    }

    /// Keep a second amount of the same, `second` of `unit`, which ends at `to`: the first is computed, and where the two
    /// differ that is said.
    pub fn also(&mut self, second: Amount, unit: Unit, to: usize) {
        if let PourAmount::Of(first, own) = &self.measure {
            both(
                first.nominal,
                *own,
                second,
                unit,
                &mut self.notes,
                &mut self.assumptions,
            );
        }
        self.reach(to);
    }

    /// Take the words up to `to` for a part of the amount.
    pub fn reach(&mut self, to: usize) {
        self.roles.push((self.next, to, Role::Amount));
        self.next = to;
    }

    /// Keep a word beside the amount, such as `scant`: it changes nothing, and that is said.
    pub fn note(&mut self, word: &str) {
        self.assumptions.push(Assumption::new(
            format!("\"{word}\""),
            "kept as a note; the amount as written is computed",
            "write the amount",
        ));
        self.notes.push(word.to_owned());
    }
}

impl Reader<'_> {
    /// Amounts at `i`: with and without the word after the number taken as a unit.
    pub(super) fn much(&self, i: usize) -> Vec<Result<Much, (Unplaced, usize)>> {
        let mut at = i;
        let mut much = Much::plain(PourAmount::Usual, i, 0);
        while let Some(end) = self
            .is(at, Tag::About)
            .or_else(|| self.mark(at, "~≈").then_some(at + 1))
        {
            // `a good`, `a small`: only where an amount or a unit comes after it.
            let word = self.raw(at, end);
            if word != "~" && word != "≈" {
                much.note(word);
            }
            at = end;
        }
        if let Some((measure, next)) = self.unmeasured(at).or_else(|| self.unit_then_number(at)) {
            much.measure = measure;
            much.roles.push((i, next, Role::Amount));
            much.next = next;
            return vec![Ok(much)];
        }
        // `half salt rim`
        if self.is(at, Tag::GarnishNoun).is_some_and(|end| end > at + 1)
            && matches!(self.tokens[at].kind, Kind::Word(_))
        {
            return Vec::new();
        }
        match amounts::phrase(&self.tokens, at) {
            None => Vec::new(),
            Some(Err(wrong)) => {
                let end = (at..self.len())
                    .find(|&j| self.tokens[j].span.start >= wrong.span.end)
                    .unwrap_or(self.len());
                vec![Err((wrong, end.max(at + 1)))]
            }
            Some(Ok(phrase)) if self.measures_nothing(i, at, &phrase) => Vec::new(),
            Some(Ok(phrase)) => match self.a_length(at, phrase.next) {
                Some(wrong) => vec![Err((wrong, phrase.next + 1))],
                None => self.ways(i, at, phrase, much),
            },
        }
    }

    /// `?`, `? ml`, `to taste`: an amount that is left open.
    fn unmeasured(&self, at: usize) -> Option<(PourAmount, usize)> {
        // `Sulphites? No.` asks nothing of an amount.
        if self.mark(at, "?") && (at == 0 || self.tokens[at].spaced || self.parts(at - 1)) {
            let (unit, next) = self.unit_at(at + 1);
            return Some((PourAmount::Open(unit), next));
        }
        self.says_to_taste(at).then_some((PourAmount::Open(None), at + 2))
    }

    /// Whether a number measures nothing: it ends a sentence, counts drinks, or is a strength or a time.
    fn measures_nothing(&self, i: usize, at: usize, phrase: &Phrase) -> bool {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let next = phrase.next;
        // `drink no. 4. Built in the glass`: a sentence ends with the number.
        let stops = i > 0
            && self.tokens[next - 1].stops()
            && matches!(self.tokens[next - 1].kind, Kind::Number(_))
            && !self.counts_a_name(next - 1)
            && self.unit_at(next).0.is_none();
        // `hundred proof`
        let strength = lexicon::is_proof(word(next));
        // `FROZEN MACHINE - 30 serves`
        let drinks = self.counts_drinks(next) && self.name_at(next).is_none() && word(next) != "pour";
        // `a part of the tea` is some of what is poured elsewhere.
        let some = word(at) == "a"
            && word(next) == "part"
            && word(next + 1) == "of"
            && self.is(next + 2, Tag::Article).is_some();
        // `12 s`, `5 min`
        let time = || matches!(crate::spec::technique::time(&self.tokens[at..]), Some(Ok(_)));
        stops || strength || drinks || some || time()
    }

    /// `10 cm cucumber`: a length, of which nobody can tell what it weighs.
    fn a_length(&self, at: usize, next: usize) -> Option<Unplaced> {
        let word = self.words.get(next).map_or("", |w| w.folded.as_str());
        let long = matches!(word, "cm" | "mm" | "inch") && self.name_at(self.past_of(next + 1)).is_some();
        long.then(|| {
            let message = format!(
                "`{}` is a length: how much is it? expected grams, or slices",
                self.raw(at, next + 1)
            );
            Unplaced::ask(self.span(at, next + 1), message, Vec::new())
        })
    }

    /// The ways to read the number of `phrase`, which stands at `at` behind words such as `about` from `i`.
    fn ways(
        &self,
        i: usize,
        at: usize,
        phrase: Phrase,
        mut much: Much,
    ) -> Vec<Result<Much, (Unplaced, usize)>> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        // `1 heaped tbsp`, `2 good dashes`: a word between the number and its unit.
        let mut unit_from = phrase.next;
        let ish = word(phrase.next) == "ish";
        while let Some(end) = self.is(unit_from, Tag::About) {
            unit_from = end;
        }
        if ish
            || unit_from > phrase.next
                && self.unit_at(unit_from).0.is_some()
                && self.unit_at(phrase.next).0.is_none()
        {
            much.note(self.raw(phrase.next, unit_from));
        } else {
            unit_from = phrase.next;
        }
        let (unit, next) = match self.unit_at(unit_from) {
            // `one fifth of brandy`: a fifth of a US gallon, the old bottle; `three fifths` are shares.
            (None, at)
                if word(at) == "fifth" && word(at + 1) == "of" && !self.raw(at, at + 1).ends_with('s') =>
            {
                (Some(Unit::Bottle), at + 1)
            }
            found => found,
        };
        much.assumptions.extend(phrase.assumptions.iter().cloned());
        much.roles.push((i, unit_from, Role::Amount));
        if let Some(Kind::Number(typed)) = phrase.next.checked_sub(1).map(|j| &self.tokens[j].kind)
            && typed.ends_with('.')
        {
            much.assumptions.push(Assumption::new(
                format!("`{typed}`"),
                "an amount, and not the number of a list",
                "write the number without the full stop",
            ));
        }
        let mut ways = Vec::new();
        if let Some(unit) = unit {
            ways.push(Ok(self.with_unit(
                i,
                &phrase,
                unit,
                (unit_from, next),
                much.clone(),
            )));
        }
        // `55 % rye whiskey`: a share of the whole.
        if self.mark(phrase.next, "%")
            && self.name_at(phrase.next + 1).is_some()
            // `0 % lager` is a strength.
            && !phrase.extent.nominal.is_zero()
            && !matches!(word(phrase.next + 1), "abv" | "vol")
        {
            let mut share = much.clone();
            share.measure = PourAmount::Of(phrase.extent, Some(Unit::Part));
            share.next = phrase.next + 1;
            share.cost = 3;
            ways.push(Ok(share));
        }
        // `4 x 0.5 oz`, `2 × 30 ml`: so many times.
        let times = self.mark(phrase.next, "×") || word(phrase.next) == "x";
        if times && let Some(Ok(second)) = amounts::phrase(&self.tokens, phrase.next + 1) {
            let (other, after) = self.unit_at(second.next);
            let mut product = much.clone();
            product.measure = PourAmount::Of(
                Extent::exact(phrase.extent.nominal * second.extent.nominal),
                other,
            );
            product.roles = vec![(i, after, Role::Amount)];
            product.next = after;
            ways.push(Ok(product));
        } else if unit.is_none() || self.name_at(phrase.next).is_some_and(|(end, _)| end >= next) {
            // `a compass rose`: an article by itself counts fruit, eggs and the like, and never ounces.
            let article = self.is(at, Tag::Article).is_some()
                && self.words[at].folded != "one"
                && phrase.next == at + 1;
            if article && !self.is_countable(phrase.next) {
                return ways;
            }
            let mut bare = much;
            bare.measure = PourAmount::Of(phrase.extent, None);
            bare.next = phrase.next + usize::from(times || ish);
            bare.cost = if unit.is_some() { 4 } else { 1 };
            bare.next = self.past_of(bare.next);
            ways.push(Ok(bare));
        }
        ways
    }

    /// A number with its unit, which stands at `unit_at`, and what may stand behind both.
    fn with_unit(
        &self,
        i: usize,
        phrase: &Phrase,
        unit: Unit,
        unit_at: (usize, usize),
        mut with: Much,
    ) -> Much {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let (unit_from, end) = unit_at;
        // `150ish ml`, `60 ml ish`, `100 ml approx.`
        let loosely = word(end) == "ish"
            || matches!(word(end), "approx" | "approximately" | "roughly" | "about")
                && self.boundary(end + 1);
        let next = end + usize::from(loosely);
        with.measure = PourAmount::Of(phrase.extent, Some(unit));
        with.roles.push((unit_from, next, Role::Unit));
        with.next = next;
        if unit == Unit::Ounce && self.words[phrase.next].folded.starts_with("fl") {
            with.assumptions.push(Assumption::new(
                "fl oz",
                "the ounce of the book: US, 29.57 ml, unless it sets another",
                "`ounce:` in the book",
            ));
        }
        // `an ounce and a half of gin`
        if word(next) == "and"
            && let Some((part, end)) = amounts::part_in_words(&self.tokens, next + 1)
            && let PourAmount::Of(extent, _) = &mut with.measure
            && (word(end) == "of" || self.boundary(end))
        {
            *extent = Extent::exact(extent.nominal + part);
            with.roles.push((next, end, Role::Amount));
            with.next = end;
        }
        self.second_amount(&mut with);
        // `1 wineglass (or jigger) whiskey`
        if self.mark(with.next, "(")
            && word(with.next + 1) == "or"
            && let Some(close) = (with.next + 2..self.len().min(with.next + 5)).find(|&j| self.mark(j, ")"))
            && !self.tokens[with.next..close].iter().any(Token::is_number)
        {
            with.next = close + 1;
        }
        // `1 quart bottle champagne`
        let held = unit.facts().dimension == crate::measure::Dimension::Volume && unit != Unit::Bottle;
        if held
            && !self.stopped(with.next)
            && let (Some(Unit::Bottle), end) = self.unit_at(with.next)
        {
            with.next = end;
        }
        with.next = self.past_of(with.next);
        // `1½ oz – gin`: a dash that leads from an amount to its name, at the head of a line.
        if i == 0
            && (self.mark(with.next, ":") || self.mark(with.next, "-") && self.parts(with.next))
            && matches!(
                self.tokens.get(with.next + 1).map(|t| &t.kind),
                Some(Kind::Word(_))
            )
        {
            with.next += 1;
        }
        with
    }

    /// `vodka cl 3`: the unit before its number, behind a name and at the end of a part of the line.
    fn unit_then_number(&self, at: usize) -> Option<(PourAmount, usize)> {
        let (unit, after, phrase) = self.number_behind_its_unit(at)?;
        let behind = at > 0 && matches!(self.tokens[at - 1].kind, Kind::Word(_));
        (behind && unit != Unit::Ounce && after == at + 1 && self.boundary(phrase.next))
            .then_some((PourAmount::Of(phrase.extent, Some(unit)), phrase.next))
    }

    /// `cl 3`: a unit that is written before its number, where the unit ends, and the number.
    pub(super) fn number_behind_its_unit(&self, at: usize) -> Option<(Unit, usize, Phrase)> {
        let (
            Some(unit @ (Unit::Centilitre | Unit::Millilitre | Unit::Decilitre | Unit::Gram | Unit::Ounce)),
            after,
        ) = self.unit_at(at)
        else {
            return None;
        };
        self.tokens.get(after).filter(|t| t.is_number())?;
        let phrase = amounts::phrase(&self.tokens, after)?.ok()?;
        self.unit_at(phrase.next)
            .0
            .is_none()
            .then_some((unit, after, phrase))
    }

    /// `30ml/1oz lemon juice`, `60 ml / 2 oz bourbon`, `50 ml (1⅔ oz) gin`: two units for one amount.
    fn second_amount(&self, much: &mut Much) {
        let at = much.next;
        let bracket = self.mark(at, "([");
        if !(bracket || self.mark(at, "/|=") || self.mark(at, "-") && self.parts(at)) {
            return;
        }
        let mut from = at + 1;
        while self.mark(from, "~≈") || self.is(from, Tag::About).is_some() {
            from = self.is(from, Tag::About).unwrap_or(from + 1);
        }
        let Some(Ok(second)) = amounts::phrase(&self.tokens, from) else {
            return;
        };
        let bottle = matches!(much.measure, PourAmount::Of(_, Some(Unit::Bottle)));
        let (unit, mut after) = match self.unit_at(second.next) {
            (Some(unit), after) => (unit, after),
            // `1 btl (750)`
            (None, after) if bottle && second.extent.nominal >= Amount::raw(200, 1) => {
                (Unit::Millilitre, after)
            }
            // `1 shot (30)`
            (None, after)
                if bracket
                    && matches!(&much.measure, PourAmount::Of(_, own) if is_vague(*own))
                    && second.extent.nominal >= Amount::raw(10, 1)
                    && self.mark(after, ")]") =>
            {
                (Unit::Millilitre, after)
            }
            _ => return,
        };
        if bracket {
            // `2 bottles (25 oz each)`
            after = self.is(after, Tag::Each).unwrap_or(after);
            if !self.mark(after, ")]") {
                return;
            }
            after += 1;
        } else if self.boundary(after) {
            return;
        }
        // `elderflower 1 cl / 1 spray of absinthe` are two pours.
        let apart = match &much.measure {
            PourAmount::Of(first, own) => {
                !bracket
                    && own.is_some_and(|own| far_apart((first.nominal, own), (second.extent.nominal, unit)))
            }
            _ => false,
        };
        if apart {
            return;
        }
        match &mut much.measure {
            PourAmount::Of(first, own @ Some(Unit::Bottle)) => {
                *first = Extent::exact(first.nominal * second.extent.nominal);
                *own = Some(unit);
            }
            PourAmount::Of(first, own) if bracket && is_vague(*own) && !is_vague(Some(unit)) => {
                much.notes
                    .push(self.raw(much.roles.first().map_or(at, |r| r.0), at).to_owned());
                *first = second.extent;
                *own = Some(unit);
            }
            _ => return much.also(second.extent.nominal, unit, after),
        }
        much.reach(after);
    }
}
