//! A pour, in any order of amount and name, alone or several of one amount.

use super::finish::on_the_glass;
use super::much::Much;
use super::name::Name;
use super::{Found, Item, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Sort, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Extent, PourAmount, Unplaced, amounts};

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
            let wrong = Unplaced::ask(self.span(from, to), message, vec![meant]);
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
                && matches!(much.measure, PourAmount::Of(_, Some(_)))
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
        let PourAmount::Of(count, None) = &much.measure else {
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
            measure: PourAmount::Of(Extent::exact(count.nominal * size.nominal), Some(unit)),
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
        let PourAmount::Of(_, unit) = &much.measure else {
            return;
        };
        let said = self.raw(i, much.next);
        // `30 or 45`
        let either = (i..much.next).any(|j| self.words[j].folded == "or");
        let wrong = if either {
            let message = format!("`{said}`: which of the two, and of what? expected one amount and a name");
            Unplaced::ask(self.span(i, much.next), message, Vec::new())
        } else if self.is(i, Tag::About).is_some() {
            // `about 40`, of what was spoken of before.
            Unplaced::ask(
                self.span(i, much.next),
                format!("`{said}` of what? expected a name after the amount"),
                Vec::new(),
            )
        } else {
            Unplaced::reject(
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
        let mut much = Much::plain(PourAmount::Usual, i, 0);
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
        much.measure = PourAmount::Of(Extent::exact(count), Some(unit));
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

    /// `(50 ml)`: how much a double is here.
    fn size_in_brackets(&self, at: usize) -> Option<(PourAmount, usize)> {
        let phrase = self
            .mark(at, "(")
            .then(|| amounts::phrase(&self.tokens, at + 1))??
            .ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        self.mark(end, ")")
            .then_some((PourAmount::Of(phrase.extent, Some(unit?)), end + 1))
    }

    /// `double dark rum`: so many of the bar's measure of a spirit. `double cream` and `single malt` are names.
    fn by_the_single(&self, i: usize, out: &mut Vec<Found>) {
        let count = match self.words[i].folded.as_str() {
            "single" => 1,
            "double" | "dbl" => 2,
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
        let (measure, next) = self.size_in_brackets(i + 1).unwrap_or((
            PourAmount::Of(Extent::exact(Amount::raw(count, 1)), Some(Unit::Shot)),
            i + 1,
        ));
        let mut much = Much::plain(measure, self.past_of(next), 2);
        much.roles = vec![(i, next, Role::Amount)];
        for mut name in self.names(much.next) {
            let spirit = name.choices.first().is_some_and(|named| {
                library.usual(&named.name).is_some_and(|i| {
                    i.is_alcoholic() && !i.carbonated && i.kind != crate::tables::IngredientKind::Wine
                })
            });
            if !spirit {
                continue;
            }
            // `dbl gin (50)`
            let mut sized = much.clone();
            if let Some(from) = name.end.checked_sub(3)
                && self.mark(from, "(")
                && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, from + 1)
                && phrase.next + 1 == name.end
            {
                sized.measure = PourAmount::Of(phrase.extent, None);
                // How much a double is, and not how strong.
                name.strength = None;
                name.assumptions.clear();
            }
            out.push(self.pour(i, &sized, name, None));
        }
    }

    /// `cl 4 gin`, `ml 20 lemon juice`: the unit before its number, at the head of a line or of a part of it.
    fn unit_before_its_number(&self, i: usize, out: &mut Vec<Found>) {
        let heads = i == 0 || self.mark(i - 1, ",;/•") || self.sentence_ends(i - 1);
        let Some((unit, after, phrase)) = self.number_behind_its_unit(i).filter(|_| heads) else {
            return;
        };
        let mut much = Much::plain(
            PourAmount::Of(phrase.extent, Some(unit)),
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
        let mut much = Much::plain(PourAmount::Of(phrase.extent, Some(Unit::Glassful)), next, 0);
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
                let mut much = Much::plain(PourAmount::Of(share.extent, Some(Unit::Fruit)), at, 0);
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
                    let mut much =
                        Much::plain(PourAmount::Of(share.extent, Some(Unit::Fruit)), share.next, 0);
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
                    if let PourAmount::Of(extent, _) = &mut pour.measure {
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
                measure: PourAmount::Of(extent, unit),
                next,
                notes: Vec::new(),
                assumptions: Vec::new(),
                roles: roles.clone(),
                cost: 0,
            };
            out.push(self.pour(i, &much, name, None));
        }
        if !named {
            let wrong = Unplaced::reject(self.span(i, next), "juice of nothing; expected a fruit");
            out.push(self.found(i, next, 6, Item::Fault(wrong)));
        }
    }

    /// `15 ml. Fill slowly`: a full stop behind the unit before `i` and a capital end the sentence.
    pub(super) fn stopped(&self, i: usize) -> bool {
        self.tokens[i - 1].stops()
            && self.tokens.get(i).is_some_and(|t| {
                t.spaced && matches!(&t.kind, Kind::Word(w) if w.starts_with(char::is_uppercase))
            })
    }

    /// Whether what is named at `i` is counted by the piece: fruit, eggs, cubes.
    pub(super) fn is_countable(&self, i: usize) -> bool {
        let i = self.is(i, Tag::Quality).unwrap_or(i);
        matches!(self.name_at(i), Some((_, Sort::Solid)))
            || self
                .words
                .get(i)
                .is_some_and(|w| matches!(w.folded.as_str(), "egg" | "yolk" | "white" | "espresso"))
            || self.name_at(i).is_some_and(|(end, _)| {
                let named = self.raw(i, end);
                super::goes_on_the_glass(named)
                    || crate::ingredient::library()
                        .usual(named)
                        .is_some_and(|found| found.counts_by_the_piece())
            })
    }
}
