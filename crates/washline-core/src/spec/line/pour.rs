//! A pour, in any order of amount and name, alone or several of one amount.

use super::name::Name;
use super::{Found, Item, Mention, Reader, Role, UNKNOWN_WORD};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Sort, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Assumption, Extent, Measure, Place, Pour, Wrong, amounts};
use crate::tables::IngredientKind;

/// An amount with its unit, and what the line says of it.
#[derive(Clone, Debug)]
struct Much {
    measure: Measure,
    next: usize,
    notes: Vec<String>,
    assumptions: Vec<Assumption>,
    roles: Vec<(usize, usize, Role)>,
    cost: u32,
}

impl Much {
    /// An amount of which the line says no more; the reading goes on at `next`.
    fn plain(measure: Measure, next: usize, cost: u32) -> Much {
        Much {
            measure,
            next,
            notes: Vec::new(),
            assumptions: Vec::new(),
            roles: Vec::new(),
            cost,
        }
    }

    /// Keep a word beside the amount, such as `scant`: it changes nothing, and that is said.
    fn note(&mut self, word: &str) {
        self.assumptions.push(Assumption::new(
            format!("\"{word}\""),
            "kept as a note; the amount as written is computed",
            "write the amount",
        ));
        self.notes.push(word.to_owned());
    }
}

impl Reader<'_> {
    /// The unit at `i`, and where the line goes on. Two words are tried before one.
    pub(super) fn unit_at(&self, i: usize) -> (Option<Unit>, usize) {
        // `2-oz gin`: the hyphen joins the amount to its unit.
        let hyphen =
            self.mark(i, "-") && !self.tokens[i].spaced && self.tokens.get(i + 1).is_some_and(|t| !t.spaced);
        let i = if hyphen && matches!(self.tokens.get(i + 1).map(|t| &t.kind), Some(Kind::Word(_))) {
            i + 1
        } else {
            i
        };
        let typed = |i: usize| match self.tokens.get(i).map(|t| &t.kind) {
            Some(Kind::Word(word)) => Some(word.trim_end_matches('.').to_owned()),
            _ => None,
        };
        // `40;ml`, `45 | ml | gin`: a table's column between.
        let i = if self.mark(i, ";|") && typed(i + 1).is_some_and(|w| Unit::spelt(&w).is_some()) {
            i + 1
        } else {
            i
        };
        let Some(first) = typed(i) else { return (None, i) };
        // `tea-spoonful`
        if self.tokens.get(i + 1).is_some_and(|t| t.joined)
            && let Some(second) = typed(i + 1)
            && let Some(unit) = Unit::spelt(&format!("{first}{second}"))
        {
            return (Some(unit), i + 2);
        }
        if let Some(second) = typed(i + 1)
            && let Some(unit) = Unit::spelt(&format!("{first} {second}"))
        {
            return (Some(unit), i + 2);
        }
        match Unit::spelt(&first) {
            Some(unit) => (Some(unit), i + 1),
            None => (None, i),
        }
    }

    pub(super) fn pours(&self, i: usize, out: &mut Vec<Found>) {
        if let Some(found) = self.mistyped(i) {
            out.push(found);
            return;
        }
        self.placed(i, out);
        self.shared(i, out);
        self.amount_first(i, out);
        self.amount_in_brackets(i, out);
        self.unit_first(i, out);
        self.unit_before_its_number(i, out);
        self.of_the_glass(i, out);
        self.by_the_single(i, out);
        self.juice_of(i, out);
        self.share_of_juice(i, out);
        self.name_first(i, out);
        self.by_name_alone(i, out);
        self.each_at_the_end(i, out);
    }

    /// Letters typed for digits: `O.5 oz`, `2 0z`.
    fn mistyped(&self, i: usize) -> Option<Found> {
        let fault = |from: usize, to: usize, message: String, meant: String| {
            let (_, next) = self.unit_at(to);
            let end = self
                .names(next)
                .into_iter()
                .min_by_key(|n| (n.cost, std::cmp::Reverse(n.end)))
                .map_or(next, |n| n.end);
            let wrong = Wrong::ask(self.span(from, to), message, vec![meant]);
            Some(self.found(from, end, 1, Item::Fault(wrong)))
        };
        if let (Kind::Word(w), Some(next)) = (&self.tokens[i].kind, self.tokens.get(i + 1))
            && matches!(w.as_str(), "O" | "o" | "l" | "I")
            && let Kind::Number(n) = &next.kind
            && !next.spaced
        {
            let digit = if w.eq_ignore_ascii_case("o") { '0' } else { '1' };
            return fault(
                i,
                i + 2,
                format!("the letter `{w}` where a digit stands"),
                format!("{digit}{n}"),
            );
        }
        let zero = |j: usize| {
            matches!(self.tokens.get(j).map(|t| &t.kind), Some(Kind::Number(n)) if n == "0")
                && matches!(self.tokens.get(j + 1), Some(t) if !t.spaced && matches!(&t.kind, Kind::Word(w) if w.eq_ignore_ascii_case("z")))
        };
        if self.tokens[i].is_number() && zero(i + 1) {
            let amount = self.raw(i, i + 1);
            return fault(
                i,
                i + 3,
                "`0z`, with a zero, where a unit stands".to_owned(),
                format!("{amount} oz"),
            );
        }
        None
    }

    /// Amounts at `i`: with and without the word after the number taken as a unit.
    fn much(&self, i: usize) -> Vec<Result<Much, (Wrong, usize)>> {
        let mut at = i;
        let mut much = Much::plain(Measure::Usual, i, 0);
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
        // `Sulphites? No.` asks nothing of an amount.
        if self.mark(at, "?") && (at == 0 || self.tokens[at].spaced || self.parts(at - 1)) {
            let (unit, next) = self.unit_at(at + 1);
            much.measure = Measure::Open(unit);
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
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if self.says_to_taste(at) {
            much.measure = Measure::Open(None);
            much.roles.push((i, at + 2, Role::Amount));
            much.next = at + 2;
            return vec![Ok(much)];
        }
        if let Some(turned) = self.unit_then_number(at) {
            much.measure = turned.0;
            much.next = turned.1;
            much.roles.push((at, much.next, Role::Amount));
            return vec![Ok(much)];
        }
        let phrase = match amounts::phrase(&self.tokens, at) {
            None => return Vec::new(),
            Some(Err(wrong)) => {
                let end = (at..self.len())
                    .find(|&j| self.tokens[j].span.start >= wrong.span.end)
                    .unwrap_or(self.len());
                return vec![Err((wrong, end.max(at + 1)))];
            }
            Some(Ok(phrase)) => phrase,
        };
        // `drink no. 4. Built in the glass`: a sentence ends with the number; `hundred proof` is a strength.
        let stops = i > 0
            && self.tokens[phrase.next - 1].stops()
            && matches!(self.tokens[phrase.next - 1].kind, Kind::Number(_))
            && !self.counts_a_name(phrase.next - 1)
            && self.unit_at(phrase.next).0.is_none();
        if stops || lexicon::is_proof(word(phrase.next)) {
            return Vec::new();
        }
        // `FROZEN MACHINE - 30 serves`
        if self.counts_drinks(phrase.next)
            && self.name_at(phrase.next).is_none()
            && word(phrase.next) != "pour"
        {
            return Vec::new();
        }
        // `a part of the tea` is some of what is poured elsewhere.
        if word(at) == "a"
            && word(phrase.next) == "part"
            && word(phrase.next + 1) == "of"
            && self.is(phrase.next + 2, Tag::Article).is_some()
        {
            return Vec::new();
        }
        // `12 s`, `5 min` is a time.
        if matches!(crate::spec::technique::time(&self.tokens[at..]), Some(Ok(_))) {
            return Vec::new();
        }
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
        // `10 cm cucumber`: a length, of which nobody can tell what it weighs.
        if matches!(word(phrase.next), "cm" | "mm" | "inch")
            && self.name_at(self.past_of(phrase.next + 1)).is_some()
        {
            let wrong = Wrong::ask(
                self.span(at, phrase.next + 1),
                format!(
                    "`{}` is a length: how much is it? expected grams, or slices",
                    self.raw(at, phrase.next + 1)
                ),
                Vec::new(),
            );
            return vec![Err((wrong, phrase.next + 1))];
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
        much.assumptions.extend(phrase.assumptions);
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
        // `150ish ml`, `60 ml ish`, `100 ml approx.`
        let next = next
            + usize::from(
                word(next) == "ish"
                    || matches!(word(next), "approx" | "approximately" | "roughly" | "about")
                        && self.boundary(next + 1),
            );
        if let Some(unit) = unit {
            let mut with = much.clone();
            with.measure = Measure::Of(phrase.extent, Some(unit));
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
                && let Measure::Of(extent, _) = &mut with.measure
                && (word(end) == "of" || self.boundary(end))
            {
                *extent = Extent::exact(extent.nominal + part);
                with.roles.push((next, end, Role::Amount));
                with.next = end;
            }
            self.second_amount(&mut with);
            // `1 wineglass (or jigger) whiskey`, `1 quart bottle champagne`
            if self.mark(with.next, "(")
                && word(with.next + 1) == "or"
                && let Some(close) =
                    (with.next + 2..self.len().min(with.next + 5)).find(|&j| self.mark(j, ")"))
                && !self.tokens[with.next..close]
                    .iter()
                    .any(crate::spec::tokens::Token::is_number)
            {
                with.next = close + 1;
            }
            let held = unit.facts().dimension == crate::measure::Dimension::Volume && unit != Unit::Bottle;
            if held && !self.stopped(with.next) && matches!(self.unit_at(with.next), (Some(Unit::Bottle), _))
            {
                with.next = self.unit_at(with.next).1;
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
            ways.push(Ok(with));
        }
        // `55 % rye whiskey`: a share of the whole.
        if self.mark(phrase.next, "%")
            && self.name_at(phrase.next + 1).is_some()
            // `0 % lager` is a strength.
            && !phrase.extent.nominal.is_zero()
            && !matches!(word(phrase.next + 1), "abv" | "vol")
        {
            let mut share = much.clone();
            share.measure = Measure::Of(phrase.extent, Some(Unit::Part));
            share.next = phrase.next + 1;
            share.cost = 3;
            ways.push(Ok(share));
        }
        // `4 x 0.5 oz`, `2 × 30 ml`: so many times.
        let times = self.mark(phrase.next, "×") || word(phrase.next) == "x";
        if times && let Some(Ok(second)) = amounts::phrase(&self.tokens, phrase.next + 1) {
            let (other, after) = self.unit_at(second.next);
            let mut product = much.clone();
            product.measure = Measure::Of(
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
            bare.measure = Measure::Of(phrase.extent, None);
            bare.next = phrase.next + usize::from(times || ish);
            bare.cost = if unit.is_some() { 4 } else { 1 };
            bare.next = self.past_of(bare.next);
            ways.push(Ok(bare));
        }
        ways
    }

    /// `vodka cl 3`: the unit before its number, behind a name and at the end of a part of the line.
    fn unit_then_number(&self, at: usize) -> Option<(Measure, usize)> {
        let (unit, after, phrase) = self.number_behind_its_unit(at)?;
        let behind = at > 0 && matches!(self.tokens[at - 1].kind, Kind::Word(_));
        (behind && unit != Unit::Ounce && after == at + 1 && self.boundary(phrase.next))
            .then_some((Measure::Of(phrase.extent, Some(unit)), phrase.next))
    }

    /// `cl 3`: a unit that is written before its number, where the unit ends, and the number.
    fn number_behind_its_unit(&self, at: usize) -> Option<(Unit, usize, amounts::Phrase)> {
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
        let bottle = matches!(much.measure, Measure::Of(_, Some(Unit::Bottle)));
        let (unit, mut after) = match self.unit_at(second.next) {
            (Some(unit), after) => (unit, after),
            // `1 btl (750)`
            (None, after) if bottle && second.extent.nominal >= Amount::raw(200, 1) => {
                (Unit::Millilitre, after)
            }
            // `1 shot (30)`
            (None, after)
                if bracket
                    && matches!(&much.measure, Measure::Of(_, own) if is_vague(*own))
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
            Measure::Of(first, own) => {
                !bracket
                    && own.is_some_and(|own| far_apart((first.nominal, own), (second.extent.nominal, unit)))
            }
            _ => false,
        };
        if apart {
            return;
        }
        if let Measure::Of(first, own) = &mut much.measure {
            if *own == Some(Unit::Bottle) {
                *first = Extent::exact(first.nominal * second.extent.nominal);
                *own = Some(unit);
            } else if bracket && is_vague(*own) && !is_vague(Some(unit)) {
                much.notes
                    .push(self.raw(much.roles.first().map_or(at, |r| r.0), at).to_owned());
                *first = second.extent;
                *own = Some(unit);
            } else {
                both(
                    first.nominal,
                    *own,
                    second.extent.nominal,
                    unit,
                    &mut much.notes,
                    &mut much.assumptions,
                );
            }
        }
        much.roles.push((at, after, Role::Amount));
        much.next = after;
    }

    pub(super) fn amount_first(&self, i: usize, out: &mut Vec<Found>) {
        // `gin50 lime25`: a number that hangs on a name counts that one.
        let behind = i > 0 && self.counts_a_name(i) && self.tokens[i].is_number();
        if behind && !self.tokens[i].spaced && matches!(self.tokens[i - 1].kind, Kind::Word(_)) {
            return;
        }
        let apart = 6 * u32::from(behind && self.names_lead);
        for way in self.much(i) {
            let way = way.map(|much| Much {
                cost: much.cost + apart,
                ..much
            });
            let much = match way {
                Ok(much) => much,
                Err((wrong, next)) => {
                    let (_, after) = self.unit_at(next);
                    for end in self.names(after).iter().map(|n| n.end).chain([after]) {
                        out.push(self.found(
                            i,
                            end,
                            if end == after { 9 } else { 1 },
                            Item::Fault(wrong.clone()),
                        ));
                    }
                    continue;
                }
            };
            self.each(i, &much, out);
            self.by_the_container(i, &much, out);
            // `1 cup ice`, `20 g ice` is ice and no pour; `4 °C`, `70 Bx` are figures.
            if self.ice_phrase(much.next).is_some() {
                continue;
            }
            // `boiling water abt 4 oz. Lemon peel`: an amount behind a name, and the next sentence.
            let behind = i > 0
                && !self.boundary(i)
                && !self.parts(i - 1)
                && much.next > i
                && self.stopped(much.next)
                && self.is(i - 1, Tag::Joint).is_none();
            let much = Much {
                cost: much.cost + 4 * u32::from(behind),
                ..much
            };
            // `off the back of a spoon. Nutmeg.`: a sentence ends with the unit.
            let over = much.next > i + 1
                && matches!(much.measure, Measure::Of(_, Some(_)))
                && self.sentence_ends(much.next - 1);
            let names = if over {
                Vec::new()
            } else {
                self.names_of(much.next, true)
            };
            if names.is_empty() && (self.boundary(much.next) || self.stopped(much.next)) {
                self.amount_of_nothing(i, &much, out);
            }
            for name in names {
                out.push(self.pour(i, &much, name, None));
            }
        }
    }

    /// `1 mini (5 cl) vodka`: so many of something whose size stands in brackets.
    fn by_the_container(&self, i: usize, much: &Much, out: &mut Vec<Found>) {
        let Measure::Of(count, None) = &much.measure else {
            return;
        };
        let open = much.next + 1;
        if !matches!(self.tokens.get(much.next).map(|t| &t.kind), Some(Kind::Word(_)))
            || !self.mark(open, "(")
        {
            return;
        }
        let Some(close) = (open + 1..self.len().min(open + 6)).find(|&j| self.mark(j, ")")) else {
            return;
        };
        let Some((size, unit)) = self.amount_alone(open + 1, close) else {
            return;
        };
        if self.name_at(much.next).is_some() || self.boundary(close + 1) {
            return;
        }
        let sized = Much {
            measure: Measure::Of(Extent::exact(count.nominal * size.nominal), Some(unit)),
            next: close + 1,
            notes: vec![self.raw(i, open).to_owned()],
            assumptions: Vec::new(),
            roles: vec![(i, close + 1, Role::Amount)],
            cost: 0,
        };
        for name in self.names_of(close + 1, true) {
            out.push(self.pour(i, &sized, name, None));
        }
    }

    /// `(45) blanco tequila`, `(2 dashes) celery bitters`.
    fn amount_in_brackets(&self, i: usize, out: &mut Vec<Found>) {
        if !self.mark(i, "([") {
            return;
        }
        for way in self.much(i + 1) {
            let Ok(mut much) = way else { continue };
            if !self.mark(much.next, ")]") {
                continue;
            }
            much.next += 1;
            much.cost += 1;
            much.roles = vec![(i, much.next, Role::Amount)];
            for name in self.names_of(much.next, true) {
                out.push(self.pour(i, &much, name, None));
            }
        }
    }

    fn amount_of_nothing(&self, i: usize, much: &Much, out: &mut Vec<Found>) {
        let Measure::Of(_, unit) = &much.measure else {
            return;
        };
        let said = self.raw(i, much.next);
        // `30 or 45`
        let either = (i..much.next).any(|j| self.words[j].folded == "or");
        let wrong = if either {
            let message = format!("`{said}`: which of the two, and of what? expected one amount and a name");
            Wrong::ask(self.span(i, much.next), message, Vec::new())
        } else if self.is(i, Tag::About).is_some() {
            // `about 40`, of what was spoken of before.
            Wrong::ask(
                self.span(i, much.next),
                format!("`{said}` of what? expected a name after the amount"),
                Vec::new(),
            )
        } else {
            Wrong::reject(
                self.span(i, much.next),
                format!("`{said}` has no ingredient; expected a name after the amount"),
            )
        };
        // `Soda to top, ca. 60 ml`: how much the pour before it is.
        if unit.is_some_and(|u| u.facts().dimension == crate::measure::Dimension::Volume)
            && self.is(i, Tag::About).is_some()
            && i > 0
        {
            let measure = much.measure.clone();
            let mut found = self.found(i, much.next, 5, Item::Correction(Some(measure)));
            found.roles = vec![(i, much.next, Role::Amount)];
            out.push(found);
        }
        let cost = if unit.is_some() { 14 } else { 30 };
        let mut found = self.found(i, much.next, cost, Item::Unread(wrong));
        found.roles = vec![(i, much.next, Role::Asked)];
        out.push(found);
    }

    /// `dash aromatic bitters`, `pinch of salt`: a missing number before a unit is one.
    fn unit_first(&self, i: usize, out: &mut Vec<Found>) {
        let mut at = i;
        let mut much = Much::plain(Measure::Usual, i, 0);
        while let Some(end) = self.is(at, Tag::About) {
            much.note(self.raw(at, end));
            at = end;
        }
        let (Some(unit), after) = self.unit_at(at) else {
            return;
        };
        if self.raw(at, after).trim_end_matches('.').len() == 1
            || matches!(unit, Unit::Fruit | Unit::Millilitre | Unit::Gram)
            // `pour into wine glasses. Strawberries.`
            || self.sentence_ends(after - 1)
        {
            return;
        }
        // `ounce and a half of tequila`
        let half = self
            .words
            .get(after)
            .filter(|w| w.folded == "and")
            .and_then(|_| amounts::part_in_words(&self.tokens, after + 1))
            .filter(|(_, end)| self.words.get(*end).is_some_and(|w| w.folded == "of"));
        let (count, after) = match half {
            Some((part, end)) => (Amount::ONE + part, end),
            None => (Amount::ONE, after),
        };
        // `dash with brandy`
        let joins = |w: &lexicon::Looked| w.folded == "of" || unit == Unit::Dash && w.folded == "with";
        let next = after + usize::from(self.words.get(after).is_some_and(joins));
        // `slice of orange` with no number is put on the drink, unless it is muddled (the whole of the drink tells).
        much.measure = Measure::Of(Extent::exact(count), Some(unit));
        much.next = next;
        much.roles = vec![(i, after, Role::Unit)];
        much.cost = if on_the_glass(unit) { 5 } else { 1 };
        if self.ice_phrase(next).is_some() {
            return;
        }
        for name in self.names(next) {
            out.push(self.pour(i, &much, name, None));
        }
    }

    /// `double dark rum`: so many of the bar's measure of a spirit. `double cream` and `single malt` are names.
    fn by_the_single(&self, i: usize, out: &mut Vec<Found>) {
        let count = match self.words[i].folded.as_str() {
            "single" => 1,
            "double" => 2,
            "treble" | "triple" => 3,
            _ => return,
        };
        let heads = i == 0
            || self.parts(i - 1)
            || self.sentence_ends(i - 1)
            || self.is(i - 1, Tag::Article).is_some();
        if !heads || self.name_at(i).is_some() {
            return;
        }
        let library = crate::ingredient::library();
        let mut much = Much::plain(
            Measure::Of(Extent::exact(Amount::raw(count, 1)), Some(Unit::Shot)),
            self.past_of(i + 1),
            2,
        );
        much.roles = vec![(i, i + 1, Role::Amount)];
        for name in self.names(much.next) {
            let spirit = name.choices.first().is_some_and(|named| {
                library
                    .usual(&named.name)
                    .is_some_and(|i| i.is_alcoholic() && !i.carbonated && i.kind != IngredientKind::Wine)
            });
            if spirit {
                out.push(self.pour(i, &much, name, None));
            }
        }
    }

    /// `cl 4 gin`, `ml 20 lemon juice`: the unit before its number, at the head of a line or of a part of it.
    fn unit_before_its_number(&self, i: usize, out: &mut Vec<Found>) {
        let heads = i == 0 || self.mark(i - 1, ",;/•") || self.sentence_ends(i - 1);
        let Some((unit, after, phrase)) = self.number_behind_its_unit(i).filter(|_| heads) else {
            return;
        };
        let mut much = Much::plain(
            Measure::Of(phrase.extent, Some(unit)),
            self.past_of(phrase.next),
            0,
        );
        much.roles = vec![(i, after, Role::Unit), (after, phrase.next, Role::Amount)];
        for name in self.names(much.next) {
            out.push(self.pour(i, &much, name, None));
        }
    }

    /// `fill a goblet ½ full of champagne`, `1/6 glass maraschino`, `half a glass of stout`: a share of the glass.
    fn of_the_glass(&self, i: usize, out: &mut Vec<Found>) {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let share_at = |at: usize| {
            let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
            let share = phrase.extent.nominal < Amount::ONE && !phrase.extent.nominal.is_zero();
            share.then_some(phrase)
        };
        let mut glass = None;
        let (phrase, mut next) = if word(i) == "fill" {
            let mut at = self.is(i + 1, Tag::Article).unwrap_or(i + 1);
            let like = at;
            while let Some(end) = self
                .is(at, Tag::GlassLike)
                .filter(|_| self.glass_name(at).is_none())
            {
                at = end;
            }
            if let Some(end) = self.glass_name(at) {
                glass = Some((like, end));
                at = end;
            } else {
                at = i + 1;
            }
            let Some(phrase) = share_at(at) else { return };
            let mut next = phrase.next;
            // `fill ⅔ full with boiling water`
            if glass.is_none() && word(next) != "full" {
                // `fill half the glass with porter`
                next = self.is(next, Tag::Article).unwrap_or(next);
                let Some(end) = self.glass_name(next) else {
                    return;
                };
                next = end;
            }
            (phrase, next + usize::from(word(next) == "full"))
        } else {
            let Some(phrase) = share_at(i) else { return };
            let of = phrase.next + usize::from(word(phrase.next) == "of");
            let at = self.is(of, Tag::Article).unwrap_or(of);
            let end = if word(at) == "glass" {
                at + 1
            } else if word(phrase.next) == "with" && self.words[..i].iter().any(|w| w.folded == "glass") {
                // `and half with ginger ale`
                phrase.next
            } else {
                return;
            };
            (phrase, end)
        };
        if matches!(word(next), "of" | "with") {
            next += 1;
        }
        if next >= self.len() || self.ice_phrase(next).is_some() || self.boundary(next) {
            return;
        }
        next = self.is(next, Tag::Quality).unwrap_or(next);
        let mut much = Much::plain(Measure::Of(phrase.extent, Some(Unit::Glassful)), next, 0);
        much.roles = vec![(i, next, Role::Amount)];
        for name in self.names(next) {
            let mut found = self.pour(i, &much, name, None);
            found.glass = glass.map(|(like, end)| self.raw(like, end).to_owned());
            out.push(found);
        }
    }

    /// `juice of half a lime`, `the juice of 1 lemon`, `white of one egg`, `half a lime, juiced`.
    fn juice_of(&self, i: usize, out: &mut Vec<Found>) {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let part = match word(i) {
            "juice" => "juice",
            "white" => "white",
            "yolk" => "yolk",
            _ => return,
        };
        if !matches!(word(i + 1), "of" | "from") {
            return;
        }
        let from = i + 2 + usize::from(word(i + 2) == "the");
        self.part_of(i, i, from, part, out);
    }

    /// `1/4 juice of 1 lemon`, `1/2 of the white of 1 egg`, `1 lemon's juice`: a share of what a fruit or an egg gives.
    fn share_of_juice(&self, i: usize, out: &mut Vec<Found>) {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let Some(Ok(share)) = amounts::phrase(&self.tokens, i) else {
            return;
        };
        let mut at = share.next;
        while matches!(word(at), "of" | "the") {
            at += 1;
        }
        let part = match word(at) {
            "juice" => "juice",
            "white" => "white",
            "yolk" => "yolk",
            // `half a lime squeezed in`
            _ if word(at + 1) == "squeezed"
                && matches!(word(at), "lime" | "lemon" | "orange" | "grapefruit") =>
            {
                let over = matches!(word(at + 2), "in" | "over" | "into" | "on");
                let end = at + 2 + usize::from(over);
                let juice = format!("{} juice", word(at));
                let mut name = Name {
                    end,
                    ..Name::default()
                };
                name.choices.push(crate::spec::Named {
                    name: juice.clone(),
                    full: juice,
                    any: false,
                    span: self.span(at, at + 1),
                });
                name.roles.push((at, end, Role::Name));
                let mut much = Much::plain(Measure::Of(share.extent, Some(Unit::Fruit)), at, 0);
                much.roles.push((i, at, Role::Amount));
                out.push(self.pour(i, &much, name, None));
                return;
            }
            _ => {
                // `1 lemon's juice`
                let typed = self
                    .raw(share.next, (share.next + 1).min(self.len()))
                    .to_lowercase();
                let fruit = typed.trim_end_matches('s').trim_end_matches(['\'', '’']);
                if word(share.next + 1) == "juice" && fruit.len() + 1 < typed.len() {
                    let mut name = Name {
                        end: share.next + 2,
                        ..Name::default()
                    };
                    let juice = format!("{fruit} juice");
                    name.choices.push(crate::spec::Named {
                        name: juice.clone(),
                        full: juice,
                        any: false,
                        span: self.span(share.next, share.next + 2),
                    });
                    name.roles.push((share.next, share.next + 2, Role::Name));
                    let mut much = Much::plain(Measure::Of(share.extent, Some(Unit::Fruit)), share.next, 0);
                    much.roles.push((i, share.next, Role::Amount));
                    out.push(self.pour(i, &much, name, None));
                }
                return;
            }
        };
        if word(at + 1) != "of" || at == i {
            return;
        }
        let first = out.len();
        self.part_of(i, at, at + 2 + usize::from(word(at + 2) == "the"), part, out);
        for found in &mut out[first..] {
            if let Item::Pours(pours) = &mut found.item {
                for (pour, _) in pours {
                    if let Measure::Of(extent, _) = &mut pour.measure {
                        *extent = Extent::exact(extent.nominal * share.extent.nominal);
                    }
                }
            }
        }
    }

    /// The juice, white or yolk of what stands at `from`: a reading from `i`, where its own words begin at `at`.
    fn part_of(&self, i: usize, at: usize, from: usize, part: &str, out: &mut Vec<Found>) {
        let (extent, next) = match amounts::phrase(&self.tokens, from) {
            // `juice of 1/2 of a lime`
            Some(Ok(phrase)) => (phrase.extent, self.past_of(phrase.next)),
            Some(Err(wrong)) => {
                out.push(self.found(at, self.len(), 2, Item::Fault(wrong)));
                return;
            }
            None => (Extent::exact(Amount::ONE), from),
        };
        let roles = vec![(i, next, Role::Amount)];
        let mut named = false;
        for mut name in self.names(next) {
            named = true;
            for choice in &mut name.choices {
                let stem = lexicon::singular(&choice.name).into_owned();
                choice.name = format!("{stem} {part}");
                choice.full = choice.name.clone();
            }
            let unit = (part == "juice").then_some(Unit::Fruit);
            let much = Much {
                measure: Measure::Of(extent, unit),
                next,
                notes: Vec::new(),
                assumptions: Vec::new(),
                roles: roles.clone(),
                cost: 0,
            };
            out.push(self.pour(i, &much, name, None));
        }
        if !named {
            let wrong = Wrong::reject(self.span(i, next), "juice of nothing; expected a fruit");
            out.push(self.found(i, next, 6, Item::Fault(wrong)));
        }
    }

    /// `Gin 60ml`, `Lime juice - ¾ oz`, `Lime juice: 22.5`, `vodka 50`.
    fn name_first(&self, i: usize, out: &mut Vec<Found>) {
        if self.tokens[i].is_number() {
            return;
        }
        for name in self.names(i) {
            if name.cost > 14 {
                continue;
            }
            let mut at = name.end;
            // `orange. 20 ml lime`: a sentence ended before the amount.
            if self.sentence_ends(at - 1) && !self.mark(at, ".…-:=|") {
                continue;
            }
            let heads = i == 0
                || self.mark(i - 1, ",;")
                || self.sentence_ends(i - 1)
                || self.is(i - 1, Tag::Joint).is_some();
            let whole_line = heads && self.mark(at, ",");
            if whole_line {
                at += 1;
            }
            let coded = self.mark(at, "-")
                && !self.tokens[at].spaced
                && matches!(&self.tokens[at - 1].kind, Kind::Word(w) if w.len() > 1 && !w.chars().any(char::is_lowercase))
                && self
                    .tokens
                    .get(at + 1)
                    .is_some_and(|t| !t.spaced && t.is_number() && self.name_at(at - 1).is_none());
            if coded {
                continue;
            }
            let mut apart = false;
            // `banana liqueur at 20`
            if self.words.get(at).is_some_and(|w| w.folded == "at")
                && self
                    .tokens
                    .get(at + 1)
                    .is_some_and(crate::spec::tokens::Token::is_number)
                && self.name_at(i).is_some()
                && !self.mark(at + 2, "%°")
            {
                at += 1;
            }
            while self.mark(at, "-:=|…×")
                // Dots that lead to an amount are several, or stand by themselves; one right behind a word ends it.
                || self.mark(at, ".") && (at > name.end || self.tokens[at].spaced || self.mark(at + 1, "."))
                || self.mark(at, ";") && !self.tokens[at].spaced
                || self.words.get(at).is_some_and(|w| w.folded == "x")
            {
                apart |= self.mark(at, ";");
                at += 1;
            }
            for way in self.much(at) {
                let Ok(mut much) = way else {
                    if let Err((wrong, next)) = way {
                        let (_, after) = self.unit_at(next);
                        out.push(self.found(i, after, name.cost + 2, Item::Fault(wrong)));
                    }
                    continue;
                };
                let Measure::Of(_, unit) = &much.measure else {
                    continue;
                };
                let unit = *unit;
                // `peated scotch, 3 sprays over the foam`
                let placed = self
                    .place_after(much.next)
                    .is_some_and(|(.., end)| self.boundary(end));
                let over = self.boundary(much.next) || self.stopped(much.next) || placed;
                // `Cinnamon sticks, 6`: a line of a list, of what is counted.
                let counted = whole_line
                    && i == 0
                    && much.next == self.len()
                    && unit.is_none()
                    && matches!(self.name_at(name.end - 1), Some((end, Sort::Solid)) if end == name.end)
                        | matches!(self.name_at(i), Some((_, Sort::Solid)));
                if (whole_line || apart) && !counted && (!over || unit.is_none() && !apart) {
                    continue;
                }
                // `Handout 4`: a bare number behind words that name nothing is none of a pour.
                let names_something = (i..name.end).any(|j| {
                    lexicon::in_name(&self.words[j]) || lexicon::long_form(&self.words[j].folded).is_some()
                });
                if unit.is_none() && !names_something {
                    continue;
                }
                // `the aquavit one for the menu`: a number in words by itself counts nothing.
                if unit.is_none()
                    && at == name.end
                    && matches!(self.words[at].folded.as_str(), "one" | "a" | "an")
                {
                    continue;
                }
                let more = self.second_at_the_end(&mut much) | self.more_of_it(&mut much);
                let after = self.is(much.next, Tag::Each).unwrap_or(much.next);
                let ends = self.boundary(after)
                    || self.is(after, Tag::Joint).is_some()
                    || self.is(after, Tag::With).is_some()
                    || self.place_or_work(after);
                let glued = at == name.end && !self.tokens[at].spaced;
                let parted = at > name.end || more || glued || self.names_lead;
                let ends = ends || glued || self.names_lead;
                // Without a unit, a number may belong to what comes next: `gin 25 lemon`.
                let cost = much.cost
                    + 2 * u32::from(!ends)
                    + if parted { 0 } else { 1 }
                    + u32::from(unit.is_none() && !ends) * 2;
                much.cost = cost;
                let mut whole = name.clone();
                whole.roles.extend(much.roles.clone());
                whole.end = after;
                let mut found = self.pour(
                    i,
                    &Much {
                        roles: Vec::new(),
                        ..much.clone()
                    },
                    whole,
                    None,
                );
                found.to = found.to.max(after);
                // What hangs on a name may stand after the amount: `gin 50 ml (47 %)`.
                let mut tail = Name {
                    end: after,
                    ..Name::default()
                };
                self.tail_of(&mut tail);
                if tail.end > after
                    && let Item::Pours(pours) = &mut found.item
                    && let Some((pour, said)) = pours.first_mut()
                {
                    hang(pour, said, &tail);
                    found.roles.extend(tail.roles.clone());
                }
                let to = tail.end.max(after);
                found.to = to;
                found.span = self.span(i, to);
                found.text = self.raw(i, to).to_owned();
                out.push(found);
            }
        }
    }

    /// `15 ml. Fill slowly`: a full stop behind the unit before `i` and a capital end the sentence.
    pub(super) fn stopped(&self, i: usize) -> bool {
        self.tokens[i - 1].stops()
            && self.tokens.get(i).is_some_and(|t| {
                t.spaced && matches!(&t.kind, Kind::Word(w) if w.starts_with(char::is_uppercase))
            })
    }

    /// `Gin | 1.5 oz | 45 ml`: a second amount behind the first, at the end of a row.
    fn second_at_the_end(&self, much: &mut Much) -> bool {
        let at = much.next;
        if !self.mark(at, "/|=") {
            return false;
        }
        let Some(Ok(second)) = amounts::phrase(&self.tokens, at + 1) else {
            return false;
        };
        let (Some(unit), after) = self.unit_at(second.next) else {
            return false;
        };
        if !self.boundary(after) {
            return false;
        }
        if let Measure::Of(first, own) = &much.measure {
            both(
                first.nominal,
                *own,
                second.extent.nominal,
                unit,
                &mut much.notes,
                &mut much.assumptions,
            );
        }
        much.roles.push((at, after, Role::Amount));
        much.next = after;
        true
    }

    /// `Sparkling wine: 1 x 750 ml + 1 half bottle 375 ml`: a second amount of the same, at the end of its part.
    fn more_of_it(&self, much: &mut Much) -> bool {
        let at = much.next;
        let Measure::Of(first, Some(own)) = &mut much.measure else {
            return false;
        };
        if !self.mark(at, "+") {
            return false;
        }
        // The last amount before the part ends: `1 half bottle 375 ml` is 375 ml.
        let end = (at + 1..self.len())
            .find(|&j| self.boundary(j))
            .unwrap_or(self.len());
        let Some((phrase, unit)) = (at + 1..end).rev().find_map(|j| {
            let phrase = amounts::phrase(&self.tokens[..end], j)?.ok()?;
            let (unit, after) = self.unit_at(phrase.next);
            (self.tokens[j].is_number() && after == end).then_some((phrase, unit?))
        }) else {
            return false;
        };
        let measures = crate::measure::Measures::default();
        let exact = |unit: Unit| {
            matches!(
                unit,
                Unit::Millilitre | Unit::Centilitre | Unit::Litre | Unit::Decilitre
            )
            .then(|| measures.size(unit).map(|s| s.nominal))
            .flatten()
        };
        let more = if unit == *own {
            phrase.extent.nominal
        } else if let (Some(size), Some(of)) = (exact(unit), exact(*own))
            && let Ok(ratio) = size.over(of)
        {
            phrase.extent.nominal * ratio
        } else {
            return false;
        };
        *first = Extent::exact(first.nominal + more);
        much.roles.push((at, end, Role::Amount));
        much.next = end;
        true
    }

    fn place_or_work(&self, i: usize) -> bool {
        self.tag(i, |t| {
            matches!(
                t,
                Tag::Work(_)
                    | Tag::Strain { .. }
                    | Tag::Top
                    | Tag::Float
                    | Tag::Glass
                    | Tag::Ice
                    | Tag::Preposition
                    | Tag::GarnishVerb
            )
            .then_some(())
        })
        .is_some()
    }

    /// Where a pour goes before its name: `top with soda`, `float 10 ml rum`, `rinse the glass with absinthe`.
    fn placed(&self, i: usize, out: &mut Vec<Found>) {
        let Some((place, end)) = self.tag(i, |tag| match tag {
            Tag::Top => Some(Place::Top),
            Tag::Float => Some(Place::Float),
            Tag::Rinse => Some(Place::Rinse),
            Tag::Mist => Some(Place::Mist),
            _ => None,
        }) else {
            return;
        };
        let first = out.len();
        let glass = (place == Place::Rinse).then(|| self.glass_among(end)).flatten();
        self.placed_there(i, place, end, out);
        for found in &mut out[first..] {
            found.glass.clone_from(&glass);
        }
    }

    /// A glass named right behind a word of rinsing, by more than `glass`.
    fn glass_among(&self, from: usize) -> Option<String> {
        let mut at = self.is(from, Tag::Article).unwrap_or(from);
        let like = at;
        while let Some(end) = self
            .is(at, Tag::GlassLike)
            .filter(|_| self.is(at, Tag::Glass).is_none())
        {
            at = end;
        }
        let end = self.glass_name(at)?;
        let named = end > at + 1 || self.words[at].folded != "glass";
        named.then(|| self.raw(like, end).to_owned())
    }

    fn placed_there(&self, i: usize, place: Place, end: usize, out: &mut Vec<Found>) {
        let mut at = end;
        while self.mark(at, ":") || self.mark(at, "-") && self.parts(at) {
            at += 1;
        }
        while at < self.len()
            && !self.boundary(at)
            && !self.says_to_taste(at)
            && (self.is(at, Tag::Article).is_some()
                || self.is(at, Tag::With).is_some()
                || matches!(
                    self.words[at].folded.as_str(),
                    "of" | "on"
                        | "from"
                        | "over"
                        | "up"
                        | "off"
                        | "to"
                        | "fill"
                        | "it"
                        | "in"
                        | "glass"
                        | "coupe"
                        | "inside"
                        | "out"
                        | "bottom"
                        | "all"
                        | "balance"
                        | "rest"
                        | "remainder"
                ) && self.name_at(at).is_none()
                || place == Place::Top
                    && at > end
                    && self.words[at - 1].folded == "of"
                    && self.is(at, Tag::Glass).is_some()
                || place == Place::Rinse
                    && self.name_at(at).is_none()
                    && (self.is(at, Tag::Glass).is_some()
                        || self.is(at, Tag::GlassLike).is_some()
                        || self.words[at].folded == "of"))
            && amounts::phrase(&self.tokens, at).is_none_or(|p| p.is_err() || self.words[at].folded == "a")
        {
            // `a dash of` is an amount.
            if self.words[at].folded == "a" && matches!(self.unit_at(at + 1), (Some(_), _)) {
                break;
            }
            at += 1;
        }
        if self.ice_phrase(at).is_some() {
            return;
        }
        let role = (i, at, Role::Work);
        for way in self.much(at) {
            match way {
                Ok(much) if self.ice_phrase(much.next).is_none() => {
                    for mut name in self.names(much.next) {
                        name.roles.push(role);
                        let mut found = self.pour(i, &much, name, Some(place));
                        found.roles.sort_by_key(|r| r.0);
                        out.push(found);
                    }
                }
                Ok(_) => {}
                Err((wrong, next)) => out.push(self.found(i, next, 2, Item::Fault(wrong))),
            }
        }
        if let (Some(unit), after) = self.unit_at(at)
            && self.raw(at, after).len() > 1
        {
            let next = after + usize::from(self.words.get(after).is_some_and(|w| w.folded == "of"));
            let much = Much {
                measure: Measure::Of(Extent::exact(Amount::ONE), Some(unit)),
                next,
                notes: Vec::new(),
                assumptions: Vec::new(),
                roles: vec![(at, after, Role::Unit)],
                cost: 0,
            };
            for mut name in self.names(next) {
                name.roles.push(role);
                out.push(self.pour(i, &much, name, Some(place)));
            }
        }
        // `top prosecco 60 ml`
        for name in self.names(at) {
            // `top with tonic, about four ounces`
            let comma = self.mark(name.end, ",");
            for way in self.much(name.end + usize::from(comma)) {
                let Ok(mut much) = way else { continue };
                if comma
                    && self.is(name.end + 1, Tag::About).is_none()
                    && !matches!(much.measure, Measure::Of(_, Some(_)))
                {
                    continue;
                }
                // `120 ml or so`
                if self.words.get(much.next).is_some_and(|w| w.folded == "or")
                    && self.words.get(much.next + 1).is_some_and(|w| w.folded == "so")
                {
                    much.next += 2;
                }
                let stopped = self.stopped(much.next);
                if !stopped && (!self.boundary(much.next) || self.ice_phrase(much.next).is_some()) {
                    continue;
                }
                if comma
                    && matches!(&much.measure, Measure::Of(extent, None) if extent.nominal < Amount::raw(20, 1))
                {
                    continue;
                }
                let mut whole = name.clone();
                whole.roles.extend(much.roles.iter().copied());
                whole.roles.push(role);
                whole.end = much.next;
                let much = Much {
                    roles: Vec::new(),
                    ..much
                };
                out.push(self.pour(i, &much, whole, Some(place)));
            }
        }
        for mut name in self.names(at) {
            // `finish with grated nutmeg`: on the drink, not in it.
            if matches!(place, Place::Top | Place::Float)
                && self.ends_in_a_solid(at, name.end)
                && !self.may_be_a_soda(at, name.end)
            {
                let words = self.raw(at, name.end).trim_end_matches(['.', ',']).to_owned();
                let mut found = self.found(i, name.end, name.cost, Item::Garnish(words));
                found.roles = vec![role, (at, name.end, Role::Garnish)];
                out.push(found);
                continue;
            }
            let known = name.cost == 0 || self.name_at(at).is_some();
            // `the spritz spec`: nothing that anybody knows is sprayed.
            if place == Place::Mist && !known {
                continue;
            }
            name.roles.push(role);
            name.cost += if known { 0 } else { 2 };
            let measure = if place == Place::Top {
                Measure::Fill
            } else {
                Measure::Usual
            };
            let much = Much::plain(measure, at, 0);
            let mut found = self.pour(i, &much, name, Some(place));
            found.roles.sort_by_key(|r| r.0);
            out.push(found);
        }
        if self.boundary(at) {
            // `rum 10 ml - float`, `soda 60 ml, top`: said of what was poured before.
            let mut said = self.found(i, at.max(end), 5, Item::Placed(place));
            said.roles = vec![(i, at.max(end), Role::Work)];
            out.push(said);
            let wrong = Wrong::reject(
                self.span(i, end),
                format!(
                    "`{}` of nothing; expected an ingredient after it",
                    self.raw(i, end)
                ),
            );
            out.push(self.found(i, at.max(end), 9, Item::Fault(wrong)));
        }
    }

    /// `top with ginger`: what a soda is called by, where nothing says that it is grated or laid on.
    fn may_be_a_soda(&self, from: usize, to: usize) -> bool {
        let name = self.raw(from, to).trim_end_matches(['.', ',']);
        let library = crate::ingredient::library();
        ["ale", "beer", "soda"]
            .iter()
            .any(|of| library.usual(&format!("{name} {of}")).is_some())
    }

    /// Whether the last known name among the tokens is that of a fruit, herb or spice.
    fn ends_in_a_solid(&self, from: usize, to: usize) -> bool {
        let sorts = (from..to).filter_map(|j| self.name_at(j).filter(|(end, _)| *end <= to));
        matches!(sorts.max_by_key(|(end, _)| *end), Some((_, Sort::Solid)))
    }

    /// A name that stands alone.
    fn by_name_alone(&self, i: usize, out: &mut Vec<Found>) {
        // `no egg`, `without sugar`: said not to be there.
        if i > 0
            && matches!(
                self.words[i - 1].folded.as_str(),
                "no" | "without" | "w/o" | "not" | "zero" | "skip"
            )
        {
            let ends = self.names(i).into_iter().map(|n| n.end).max();
            if let Some(end) = ends {
                let mut found = self.found(i, end, 3, Item::Words);
                found.roles = vec![(i, end, Role::Note)];
                out.push(found);
            }
            return;
        }
        for name in self.names(i) {
            let Some(named) = name.choices.first() else {
                continue;
            };
            let folded = crate::names::key(&named.name);
            let long = lexicon::long_form(&folded);
            let counted = matches!(
                long.unwrap_or(folded.as_str()),
                "egg white"
                    | "egg yolk"
                    | "whole egg"
                    | "egg"
                    | "sugar cube"
                    | "yolk"
                    | "fresh egg"
                    | "new laid egg"
                    | "raw egg"
            );
            let alone = self.name_at(i).filter(|(end, _)| *end <= name.end);
            // `because of egg`
            let spoken_of = i > 1
                && self.words[i - 1].folded == "of"
                && matches!(
                    self.words[i - 2].folded.as_str(),
                    "because" | "instead" | "smell" | "taste" | "free"
                );
            let warned = self
                .words
                .iter()
                .any(|w| matches!(w.folded.as_str(), "allergy" | "allergen" | "allergic"));
            if counted && !spoken_of && !warned {
                let much = Much::plain(Measure::Of(Extent::exact(Amount::ONE), None), i, 2);
                out.push(self.pour(i, &much, name.clone(), None));
                continue;
            }
            // `gin (4 cl)`
            if let Some((extent, unit)) = name.second {
                let much = Much::plain(Measure::Of(extent, Some(unit)), i, 1);
                let alone = Name {
                    second: None,
                    ..name.clone()
                };
                out.push(self.pour(i, &much, alone, None));
                continue;
            }
            // `cloudberry liqueur to taste`: an open pour, where it is a liquid; salt to taste is for the hand.
            let library = crate::ingredient::library();
            let liquid = lexicon::sort_of(&named.name) == Some(Sort::Liquid)
                || !lexicon::is_name(&named.name, self.context.own)
                    && crate::ingredient::tells_its_kind(&named.name);
            if liquid && name.to_taste {
                let mut open = name.clone();
                open.notes.pop();
                let fizzes = library.usual(&named.name).is_some_and(|found| found.carbonated);
                let (measure, place) = if fizzes {
                    (Measure::Fill, Some(Place::Top))
                } else {
                    (Measure::Open(None), None)
                };
                out.push(self.pour(i, &Much::plain(measure, i, 1), open, place));
                continue;
            }
            // `double espresso`
            if matches!(
                folded.as_str(),
                "double espresso" | "single espresso" | "espresso shot"
            ) {
                let shots = if folded.starts_with("double") { 2 } else { 1 };
                let much = Much::plain(
                    Measure::Of(Extent::exact(Amount::raw(shots, 1)), Some(Unit::Shot)),
                    i,
                    2,
                );
                let mut espresso = name.clone();
                if let Some(choice) = espresso.choices.first_mut() {
                    choice.name = "espresso".to_owned();
                    choice.full = "espresso".to_owned();
                }
                out.push(self.pour(i, &much, espresso, None));
            }
            // `cinnamon on top`
            let solid = self.ends_in_a_solid(i, name.end)
                || folded.split(' ').next_back().is_some_and(|w| {
                    matches!(
                        w,
                        "sugar" | "salt" | "powder" | "dust" | "crumb" | "crumbs" | "shavings"
                    )
                });
            if matches!(name.place, Some(Place::Top | Place::Float)) && !name.fills && solid {
                let words = named.name.clone();
                let mut found = self.found(i, name.end, name.cost, Item::Garnish(words));
                found.roles = vec![(i, name.end, Role::Garnish)];
                out.push(found);
                continue;
            }
            // `absinthe rinse`, `rum float`, `soda to top`.
            if let Some(place) = name.place {
                // `whipped cream on top` is laid on, and fills no glass.
                let laid_on = place == Place::Top
                    && !name.fills
                    && folded
                        .split(' ')
                        .next_back()
                        .is_some_and(|w| matches!(w, "cream" | "foam" | "espuma" | "air"));
                let (measure, place) = match place {
                    Place::Top if laid_on => (Measure::Usual, Place::Float),
                    Place::Top => (Measure::Fill, Place::Top),
                    other => (Measure::Usual, other),
                };
                let much = Much::plain(measure, i, 0);
                let mut put = name.clone();
                put.place = Some(place);
                out.push(self.pour(i, &much, put, Some(place)));
                continue;
            }
            let whole = alone.is_some_and(|(end, _)| self.span(i, end).end >= named.span.end);
            let mention = Mention {
                name: named.name.clone(),
                solid: matches!(alone, Some((_, Sort::Solid))),
                known: whole,
                percent: name.strength,
            };
            let mut found = self.found(
                i,
                name.end,
                name.cost + if alone.is_some() { 6 } else { 13 },
                Item::Mention(mention),
            );
            found.roles = vec![(i, name.end, Role::Mention)];
            out.push(found);
        }
    }

    /// `30 ml each gin, lemon juice, triple sec`; `¾ oz each lime, pineapple & passion fruit syrup`.
    fn each(&self, i: usize, much: &Much, out: &mut Vec<Found>) {
        let Some(mut at) = self.is(much.next, Tag::Each) else {
            return;
        };
        while self.words.get(at).is_some_and(|w| w.folded == "of") || self.mark(at, ":") {
            at += 1;
        }
        if let Some((names, end, cost)) = self.list_of_names(at, usize::MAX) {
            out.push(self.several(i, end, cost, &names, |_| much.measure.clone(), &much.assumptions));
        } else if self.boundary(at) {
            let wrong = Wrong::reject(self.span(i, at), "`each` of nothing; expected names after it");
            out.push(self.found(i, at, 8, Item::Fault(wrong)));
        }
    }

    /// `gin, bianco vermouth, red bitter: 30 ml each`, `rye, cognac, vermouth in equal parts (1 oz)`.
    fn each_at_the_end(&self, i: usize, out: &mut Vec<Found>) {
        let told = self
            .words
            .iter()
            .any(|w| matches!(w.folded.as_str(), "each" | "ea" | "equal" | "apiece"))
            || (i..self.len()).any(|j| self.mark(j, "=@"));
        if !told || self.name_at(i).is_none() || !(i == 0 || self.boundary(i) || self.parts(i - 1)) {
            return;
        }
        let Some((names, end, cost)) = self.list_of_names(i, usize::MAX) else {
            return;
        };
        if names.len() < 2 {
            return;
        }
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at = end;
        // `gin : vermouth : lime = 3 : 1 : 1.5`, `fino / cider @ 2:1`
        if self.mark(at, "=@")
            && let Some((shares, after)) = self.ratio_at(at + 1)
            && shares.len() == names.len()
        {
            let measure = |n: usize| {
                let share = shares.get(n).copied().unwrap_or(Amount::ONE);
                Measure::Of(Extent::exact(share), Some(Unit::Part))
            };
            out.push(self.several(i, after, cost, &names, measure, &[]));
            return;
        }
        while self.mark(at, ",:-") {
            at += 1;
        }
        let equal = usize::from(matches!(word(at), "in" | "as")) + at;
        if word(equal) == "equal" && matches!(word(equal + 1), "part" | "measure" | "amount") {
            let mut after = equal + 2;
            let mut size = None;
            let open = after + usize::from(self.mark(after, "(,-"));
            if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, open)
                && let (Some(unit), next) = self.unit_at(phrase.next)
            {
                size = Some((phrase.extent, unit));
                after = self.is(next, Tag::Each).unwrap_or(next);
                after += usize::from(self.mark(after, ")"));
            }
            let (extent, unit) = size.unwrap_or((Extent::exact(Amount::ONE), Unit::Part));
            let measure = |_| Measure::Of(extent, Some(unit));
            out.push(self.several(i, after, cost, &names, measure, &[]));
            return;
        }
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at)
            && let (unit, next) = self.unit_at(phrase.next)
            && let Some(each) = self.is(next, Tag::Each)
        {
            let measure = |_| Measure::Of(phrase.extent, unit);
            out.push(self.several(i, each, cost, &names, measure, &phrase.assumptions));
        }
    }

    /// `3:1:1.5`, `3 : 1 : 1.5` at `i`, and where the line goes on.
    fn ratio_at(&self, i: usize) -> Option<(Vec<Amount>, usize)> {
        let number = |text: &str| Amount::decimal(&text.replace(',', ".")).ok();
        if let Kind::Ratio(ratio) = &self.tokens.get(i)?.kind {
            let shares: Option<Vec<Amount>> = ratio.split(':').map(number).collect();
            return Some((shares?, i + 1));
        }
        let mut shares = Vec::new();
        let mut at = i;
        while let Some(Kind::Number(n)) = self.tokens.get(at).map(|t| &t.kind) {
            shares.push(number(n)?);
            at += 1;
            if !self.mark(at, ":") {
                break;
            }
            at += 1;
        }
        (shares.len() > 1).then_some((shares, at))
    }

    /// Names parted by commas, slashes, "and" or "&".
    fn list_of_names(&self, from: usize, most: usize) -> Option<(Vec<Name>, usize, u32)> {
        // `cloudberry liqueur`: nobody lists it, and its last word says what it is.
        let as_kind = |name: &Name| {
            name.choices
                .first()
                .is_some_and(|n| crate::ingredient::tells_its_kind(&n.name))
        };
        let mut names: Vec<Name> = Vec::new();
        let mut at = from;
        let mut cost = 0;
        loop {
            let next = self
                .names(at)
                .into_iter()
                .filter(|n| {
                    self.boundary(n.end)
                        || self.mark(n.end, "=@")
                        || self.is(n.end, Tag::Joint).is_some()
                        || self.stops_list(n.end)
                        || self.words[n.end].folded == "to"
                })
                .min_by_key(|n| (n.cost, std::cmp::Reverse(n.end)));
            let Some(name) = next else { break };
            if name.cost > 9 && !as_kind(&name) {
                break;
            }
            cost += name.cost.min(9);
            let end = name.end;
            names.push(name);
            if names.len() >= most {
                return Some((names, end, cost));
            }
            let mut after = end;
            while self.mark(after, ",/&+;:")
                || self.is(after, Tag::Joint) == Some(after + 1)
                || self.words.get(after).is_some_and(|w| w.folded == "to")
            {
                after += 1;
            }
            let begins = after > end
                && matches!(self.tokens.get(after).map(|t| &t.kind), Some(Kind::Word(_)))
                && self
                    .names(after)
                    .iter()
                    .any(|n| n.cost <= 5 || n.cost <= 2 * UNKNOWN_WORD && as_kind(n));
            if !begins {
                self.share_the_head(&mut names);
                return Some((names, end, cost));
            }
            at = after;
        }
        let end = names.last()?.end;
        Some((names, end, cost))
    }

    /// `aromatic & orange bitters`: what the last name is, the others are too where that is what they are called.
    fn share_the_head(&self, names: &mut [Name]) {
        let head = match names.last().and_then(|n| n.choices.first()) {
            Some(last) => match last.name.rsplit_once(' ') {
                Some((_, head)) => head.to_owned(),
                None => return,
            },
            None => return,
        };
        let own = self.context.own;
        let others = names.len() - 1;
        for named in names[..others].iter_mut().flat_map(|n| n.choices.first_mut()) {
            let whole = format!("{} {head}", named.name);
            if !lexicon::is_name(&named.name, own) && lexicon::is_name(&whole, own) {
                named.name.clone_from(&whole);
                named.full = whole;
            }
        }
    }

    fn stops_list(&self, i: usize) -> bool {
        self.place_or_work(i)
            || self
                .tokens
                .get(i)
                .is_some_and(crate::spec::tokens::Token::is_number)
    }

    /// `2:1:1 gin / lemon juice / triple sec`, `equal parts gin, vermouth and red bitter, 1 oz each`.
    fn shared(&self, i: usize, out: &mut Vec<Found>) {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at;
        let mut shares: Vec<Amount> = Vec::new();
        let bare = word(i) == "equal" && self.mark(i + 1, ":");
        let equal = word(i) == "equal" && matches!(word(i + 1), "part" | "measure" | "amount") || bare;
        if equal {
            at = i + 2;
            while word(at) == "of" || self.mark(at, ":") {
                at += 1;
            }
        } else if let Kind::Ratio(ratio) = &self.tokens[i].kind {
            for share in ratio.split(':') {
                let Ok(share) = Amount::decimal(&share.replace(',', ".")) else {
                    return;
                };
                shares.push(share);
            }
            at = i + 1;
            while word(at) == "of" || self.mark(at, ":-") || word(at) == "part" {
                at += 1;
            }
        } else if let Some((parts, next)) = self.shares_by_hyphens(i) {
            shares = parts;
            at = next;
            while self.mark(at, ":") {
                at += 1;
            }
        } else if let Kind::Fraction(a, b) = self.tokens[i].kind
            && a == b
        {
            // `50/50 gin and vermouth`
            shares = vec![Amount::ONE, Amount::ONE];
            at = i + 1;
        } else {
            return;
        }
        let Some((names, mut end, cost)) = self.list_of_names(at, usize::MAX) else {
            return;
        };
        if equal {
            shares = vec![Amount::ONE; names.len()];
        } else if names.len() < 2 {
            // `2:1 syrup` is a strength of syrup; a ratio of pours names as many as it counts.
            return;
        }
        if names.len() != shares.len() {
            let wrong = Wrong::reject(
                self.span(i, end),
                format!(
                    "{} shares for {} names; expected one for each",
                    shares.len(),
                    names.len()
                ),
            );
            out.push(self.found(i, end, 3, Item::Fault(wrong)));
            return;
        }
        // `…, 1 oz each` at the end gives the size.
        let mut size = None;
        let mut after = end;
        while self.mark(after, ",-(") {
            after += 1;
        }
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, after)
            && let (Some(unit), next) = self.unit_at(phrase.next)
            && let Some(each) = self.is(next, Tag::Each)
        {
            size = Some((phrase.extent, unit));
            end = each + usize::from(self.mark(each, ")"));
        }
        let measure = |n: usize| match size {
            Some((extent, unit)) => Measure::Of(
                Extent::exact(extent.nominal * shares.get(n).copied().unwrap_or(Amount::ONE)),
                Some(unit),
            ),
            None => Measure::Of(
                Extent::exact(shares.get(n).copied().unwrap_or(Amount::ONE)),
                Some(Unit::Part),
            ),
        };
        out.push(self.several(i, end, cost, &names, measure, &[]));
    }

    /// `3-2-1: prosecco, bitter aperitif, soda`.
    fn shares_by_hyphens(&self, i: usize) -> Option<(Vec<Amount>, usize)> {
        let mut shares = Vec::new();
        let mut at = i;
        loop {
            let Kind::Number(n) = &self.tokens.get(at)?.kind else {
                return None;
            };
            shares.push(Amount::decimal(n).ok()?);
            at += 1;
            if !self.mark(at, "-") || self.tokens[at].spaced {
                break;
            }
            at += 1;
        }
        (shares.len() > 2).then_some((shares, at))
    }

    fn several(
        &self,
        i: usize,
        end: usize,
        cost: u32,
        names: &[Name],
        measure: impl Fn(usize) -> Measure,
        said: &[Assumption],
    ) -> Found {
        let pours = names
            .iter()
            .enumerate()
            .map(|(n, name)| {
                let (pour, mut assumptions) = finish(measure(n), name, None, Vec::new());
                assumptions.extend(said.iter().cloned());
                (pour, assumptions)
            })
            .collect();
        let mut found = self.found(i, end, cost, Item::Pours(pours));
        let first = names.first().and_then(|n| n.roles.first()).map_or(end, |r| r.0);
        found.roles = std::iter::once((i, first, Role::Amount))
            .chain(names.iter().flat_map(|n| n.roles.iter().copied()))
            .collect();
        found
    }

    /// One pour of an amount and a name.
    fn pour(&self, i: usize, much: &Much, name: Name, place: Option<Place>) -> Found {
        if let Some(wrong) = &name.wrong {
            return self.found(i, name.end, much.cost + name.cost, Item::Fault(wrong.clone()));
        }
        let name = self.size_after_a_comma(much, name);
        let end = name.end.max(much.next);
        let cost = much.cost + name.cost;
        let mut roles = much.roles.clone();
        roles.extend(name.roles.iter().copied());
        roles.sort_by_key(|r| r.0);
        let (mut pour, mut assumptions) = finish(much.measure.clone(), &name, place, much.notes.clone());
        assumptions.splice(0..0, much.assumptions.iter().cloned());
        count_by_last_word(&mut pour);
        count_what_is_cut(&mut pour);
        let mut found = self.found(i, end, cost, Item::Pours(vec![(pour, assumptions)]));
        found.roles = roles;
        found
    }

    /// `a bottle of white wine, 750 ml`: the size of what has none of its own.
    fn size_after_a_comma(&self, much: &Much, mut name: Name) -> Name {
        let Measure::Of(_, unit) = &much.measure else {
            return name;
        };
        if name.second.is_some()
            || !(is_vague(*unit) || *unit == Some(Unit::Bottle))
            || !self.mark(name.end, ",")
        {
            return name;
        }
        let from = name.end + 1;
        let to = (from..self.len())
            .find(|&j| self.boundary(j))
            .unwrap_or(self.len());
        if let Some(size) = self.amount_alone(from, to) {
            name.second = Some(size);
            name.roles.push((name.end, to, Role::Amount));
            name.end = to;
        }
        name
    }

    /// Whether what is named at `i` is counted by the piece: fruit, eggs, cubes.
    fn is_countable(&self, i: usize) -> bool {
        let i = self.is(i, Tag::Quality).unwrap_or(i);
        matches!(self.name_at(i), Some((_, Sort::Solid)))
            || self
                .words
                .get(i)
                .is_some_and(|w| matches!(w.folded.as_str(), "egg" | "yolk" | "white" | "espresso"))
            || self.name_at(i).is_some_and(|(end, _)| {
                let named = self.raw(i, end);
                crate::spec::assemble::goes_on_the_glass(named)
                    || crate::ingredient::library()
                        .usual(named)
                        .is_some_and(|found| found.counts_by_the_piece())
            })
    }

    fn tail_of(&self, name: &mut Name) {
        // Nothing but brackets and a strength can follow an amount that stands last.
        loop {
            let end = name.end;
            if self.mark(end, "([|,")
                || self
                    .tokens
                    .get(end)
                    .is_some_and(crate::spec::tokens::Token::is_number)
                || self.is(end, Tag::ToFill).is_some()
                || self.is(end, Tag::Float).is_some()
                || self.is(end, Tag::OnTop).is_some()
            {
                self.tail(name);
            }
            if name.end == end {
                return;
            }
        }
    }
}

/// `1 lime cut in 8 pieces`: fruit that is cut is counted by the piece.
fn count_what_is_cut(pour: &mut Pour) {
    let cut = ["cut in", "sliced in", "chopped in", "divided in"]
        .iter()
        .any(|how| pour.note.contains(how));
    if let Measure::Of(extent, unit @ None) = &mut pour.measure
        && cut
        && extent.nominal <= Amount::raw(12, 1)
    {
        *unit = Some(Unit::Piece);
    }
}

/// Units in which fruit and herbs are put on a drink as often as in it.
pub(in crate::spec) fn on_the_glass(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Sprig | Unit::Leaf | Unit::Piece
    )
}

/// `6-8 mint leaves`, `1 lime wedge`, `1 sugar cube`: the last word is the unit.
fn count_by_last_word(pour: &mut Pour) {
    if let Measure::Of(_, None | Some(Unit::Piece)) = &pour.measure
        && let [named] = pour.choices.as_mut_slice()
    {
        // `2 lime wedges squeezed`
        let plain = lexicon::without_qualities(&crate::names::key(&named.name));
        let counts = plain
            .rsplit_once(' ')
            .is_some_and(|(_, last)| Unit::spelt(last).is_some_and(on_the_glass));
        if counts && named.name.len() > plain.len() && named.name.to_lowercase().starts_with(&plain) {
            let said = named.name.split_off(plain.len());
            named.full.clone_from(&named.name);
            pour.note = [pour.note.as_str(), said.trim()].join(" ").trim().to_owned();
        }
    }
    if let Measure::Of(_, unit @ (None | Some(Unit::Piece))) = &mut pour.measure
        && let [named] = pour.choices.as_mut_slice()
        && let Some((rest, last)) = named.name.rsplit_once(' ')
        && let Some(
            counted @ (Unit::Leaf | Unit::Sprig | Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Cube),
        ) = Unit::spelt(last)
    {
        *unit = Some(counted);
        named.name = rest.to_owned();
    }
}

/// `1 white`: of an egg.
fn of_an_egg(measure: &Measure, name: &Name) -> Option<&'static str> {
    let [named] = name.choices.as_slice() else {
        return None;
    };
    let few = matches!(measure, Measure::Of(extent, None) if extent.nominal <= Amount::raw(12, 1));
    match crate::names::key(&named.name).as_str() {
        "white" | "whites" if few => Some("egg white"),
        "yolk" | "yolks" if few => Some("egg yolk"),
        _ => None,
    }
}

/// The pour of a measure and a name with what hangs on it.
fn finish(
    measure: Measure,
    name: &Name,
    place: Option<Place>,
    notes: Vec<String>,
) -> (Pour, Vec<Assumption>) {
    let mut pour = Pour {
        place: place.or(name.place).unwrap_or(Place::In),
        measure,
        choices: name.choices.clone(),
        strength_pct: None,
        per: None,
        note: String::new(),
    };
    // `1 lump cut loaf sugar`: a cube.
    if matches!(pour.measure, Measure::Of(_, Some(Unit::Cube)))
        && let [named] = pour.choices.as_mut_slice()
        && crate::names::key(&named.name).ends_with("loaf sugar")
    {
        "sugar".clone_into(&mut named.name);
    }
    if let (Some(egg), [named]) = (of_an_egg(&pour.measure, name), pour.choices.as_mut_slice()) {
        egg.clone_into(&mut named.name);
        egg.clone_into(&mut named.full);
    }
    let mut assumptions = Vec::new();
    let mut with_notes = name.clone();
    with_notes.notes.splice(0..0, notes);
    hang(&mut pour, &mut assumptions, &with_notes);
    (pour, assumptions)
}

/// Hang on a pour what a name has hanging on it.
fn hang(pour: &mut Pour, assumptions: &mut Vec<Assumption>, name: &Name) {
    by_the_dash(pour, assumptions);
    assumptions.extend(name.assumptions.iter().cloned());
    pour.strength_pct = name.strength.or(pour.strength_pct);
    pour.per = name.per.or(pour.per);
    if let Some(place) = name.place
        && pour.place == Place::In
    {
        pour.place = place;
    }
    let mut notes: Vec<String> = if pour.note.is_empty() {
        Vec::new()
    } else {
        vec![pour.note.clone()]
    };
    notes.extend(name.notes.iter().cloned());
    if let Some((extent, unit)) = name.second {
        match &mut pour.measure {
            measure @ (Measure::Fill | Measure::Usual) => *measure = Measure::Of(extent, Some(unit)),
            Measure::Of(first, own) if *own == Some(Unit::Bottle) => {
                *first = Extent::exact(first.nominal * extent.nominal);
                *own = Some(unit);
            }
            // `2 fingers amaro (60 ml)`: what is measured settles what is not.
            Measure::Of(first, own) if is_vague(*own) && !is_vague(Some(unit)) => {
                let said = own.map_or("", |u| u.written_after(first.nominal));
                notes.push(format!("{} {said}", first.nominal));
                *first = extent;
                *own = Some(unit);
            }
            Measure::Of(first, own) => {
                both(first.nominal, *own, extent.nominal, unit, &mut notes, assumptions)
            }
            Measure::Open(_) => {}
        }
    }
    if notes.iter().any(|n| n.contains("taste")) && matches!(pour.measure, Measure::Of(..)) {
        assumptions.push(Assumption::new(
            "\"to taste\"",
            "computed with the amount as written",
            "",
        ));
    }
    pour.note = notes.join(", ");
    // `simple (1:1 simple (1:1)`: one bracket by itself would open or close another where the pour is written.
    if pour.note.matches('(').count() != pour.note.matches(')').count() {
        pour.note.retain(|c| !matches!(c, '(' | ')'));
    }
}

/// `2 dashes orange`, `a dash of walnut`: what is dashed by a flavour is its bitters, where there are any and it is no juice.
fn by_the_dash(pour: &mut Pour, assumptions: &mut Vec<Assumption>) {
    if !matches!(pour.measure, Measure::Of(_, Some(Unit::Dash))) {
        return;
    }
    let [named] = pour.choices.as_mut_slice() else {
        return;
    };
    let folded = crate::names::key(&named.name);
    let library = crate::ingredient::library();
    // `bitter orange`, as some languages have it.
    let bitters = match folded.strip_prefix("bitter ") {
        Some(of) => format!("{of} bitters"),
        None => format!("{folded} bitters"),
    };
    let juice = library
        .usual(&folded)
        .is_some_and(|i| i.kind != IngredientKind::Fruit && !i.is_solid());
    let flavour = folded == "orange"
        || folded.starts_with("bitter ")
        || !juice && lexicon::sort_of(&folded) != Some(Sort::Liquid);
    if flavour && library.usual(&bitters).is_some() {
        assumptions.push(Assumption::new(
            format!("`{}` by the dash", named.name),
            format!("taken as {bitters}"),
            "write the full name",
        ));
        named.name.clone_from(&bitters);
        named.full = bitters;
    }
}

/// Whether two amounts can be no two ways to write one: they differ by more than a third.
fn far_apart(first: (Amount, Unit), second: (Amount, Unit)) -> bool {
    let measures = crate::measure::Measures::default();
    let ml = |(amount, unit): (Amount, Unit)| measures.size(unit).map(|s| (amount * s.nominal).to_f64());
    match (ml(first), ml(second)) {
        (Some(a), Some(b)) => (a - b).abs() > a.max(b) / 3.0,
        _ => false,
    }
}

/// Whether a unit is a matter of the hand or the house.
fn is_vague(unit: Option<Unit>) -> bool {
    matches!(
        unit,
        Some(
            Unit::Finger
                | Unit::Nip
                | Unit::SpiritMeasure
                | Unit::Wineglass
                | Unit::Gill
                | Unit::Glassful
                | Unit::Dram
                | Unit::Dessertspoon
                | Unit::Jigger
                | Unit::Pony
                | Unit::Shot
                | Unit::Splash
                | Unit::Pint
                | Unit::Quart
                | Unit::Gallon
                | Unit::Cup
                | Unit::Can
                | Unit::Scoop
                | Unit::Dose
                | Unit::Knob
                | Unit::Handful
                | Unit::Piece
        )
    )
}

/// A second amount beside the first: kept as a note, and checked against it.
fn both(
    first: Amount,
    unit: Option<Unit>,
    second: Amount,
    other: Unit,
    notes: &mut Vec<String>,
    assumptions: &mut Vec<Assumption>,
) {
    let measures = crate::measure::Measures::default();
    let ml = |amount: Amount, unit: Unit| measures.size(unit).map(|s| (amount * s.nominal).to_f64());
    let said =
        |amount: Amount, unit: Unit| format!("{} {}", unit.amount_text(amount), unit.written_after(amount));
    notes.push(format!("also {}", said(second, other)));
    if let (Some(unit), Some(b)) = (unit, ml(second, other))
        && let Some(a) = ml(first, unit)
        && (a - b).abs() > 0.03 * a.max(b)
    {
        assumptions.push(Assumption::new(
            format!("{} and {}", said(first, unit), said(second, other)),
            format!(
                "the two differ by {:.0} %: the first is computed",
                100.0 * (a - b).abs() / a.max(b)
            ),
            "write one amount",
        ));
    }
}
