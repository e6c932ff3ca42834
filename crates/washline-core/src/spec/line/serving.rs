//! How a drink is served: its glass, the ice in it, and how many it is for.

use super::{Found, Item, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Step, Unplaced, amounts, settings};
use crate::tables::Ice;

/// What serves are counted in.
pub(super) fn drinks(word: &str) -> bool {
    matches!(
        word,
        "serve"
            | "serving"
            | "portion"
            | "drink"
            | "people"
            | "guest"
            | "person"
            | "cover"
            | "pax"
            | "cocktail"
            | "pour"
            | "ppl"
            | "head"
    )
}

impl Reader<'_> {
    /// The end of a phrase of ice at `i`: `ice`, `crushed ice`, `a big rock`.
    pub(super) fn ice_phrase(&self, i: usize) -> Option<usize> {
        let mut at = i;
        while at < i + 4 {
            // A longer name is no ice: `ice cream`, `iced tea`.
            if self.name_at(at).is_some_and(|(end, _)| end > at + 1) {
                return None;
            }
            if let Some(end) = self.is(at, Tag::Ice) {
                // `ice-cold champagne`
                if self
                    .words
                    .get(end)
                    .is_some_and(|w| w.folded == "cold" && self.words[end - 1].folded == "ice")
                    && self.name_at(end + 1).is_some()
                {
                    return None;
                }
                // `rocks` by itself is a glass; `on the rocks`, `one rock` are ice.
                let led =
                    at > i || i > 0 && matches!(self.words[i - 1].folded.as_str(), "the" | "on" | "over");
                if !led
                    && self
                        .raw(at, end)
                        .trim_end_matches('.')
                        .eq_ignore_ascii_case("rocks")
                {
                    return None;
                }
                // `rocks glass` is a glass.
                if self.is(at, Tag::Glass).is_some_and(|glass| glass > end) {
                    return None;
                }
                // `over ice rocks glass`
                let glass = self.glass_name(end).is_some_and(|glass| glass > end + 1);
                return Some(
                    self.is(end, Tag::Ice)
                        .filter(|_| !self.boundary(end) && !glass)
                        .unwrap_or(end),
                );
            }
            at = self.is(at, Tag::IceLike).or_else(|| self.is(at, Tag::Article))?;
        }
        None
    }

    pub(super) fn serving(&self, i: usize, out: &mut Vec<Found>) {
        self.step_of_serving(i, out);
        self.ice(i, out);
        self.glass(i, out);
        self.serves(i, out);
        self.part_is(i, out);
    }

    /// `Ice: none`, `ice - n/a`: said to be poured without.
    fn without_ice(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let value = i + 1 + usize::from(self.mark(i + 1, ":-="));
        if word(i) != "ice" || !(i == 0 || self.boundary(i) || self.parts(i - 1)) {
            return None;
        }
        let end = match (word(value), word(value + 1)) {
            ("no" | "without", "ice") => value + 2,
            ("none" | "no" | "nil" | "n/a" | "na" | "neat" | "without", _) => value + 1,
            ("", _) if value > i + 1 && self.mark(value, "-") => value + 1,
            ("n", _) if self.mark(value + 1, "/") && word(value + 2) == "a" => value + 3,
            _ => return None,
        };
        self.boundary(end).then_some(end)
    }

    fn ice(&self, i: usize, out: &mut Vec<Found>) {
        if let Some(end) = self.without_ice(i) {
            let mut found = self.found(i, end, 0, Item::Step(Step::Neat));
            found.roles = vec![(i, end, Role::Ice)];
            out.push(found);
            return;
        }
        let word = self.words[i].folded.as_str();
        let mut push = |to: usize, cost: u32, item: Item| {
            let mut found = self.found(i, to, cost, item);
            found.roles = vec![(i, to, Role::Ice)];
            out.push(found);
        };
        if matches!(word, "over" | "on" | "onto" | "with" | "w/" | "w") {
            let from = self.is(i + 1, Tag::Article).unwrap_or(i + 1);
            if let Some(ice) = self.amount_of_ice(from) {
                push(
                    ice.end,
                    u32::from(word != "over" && word != "on"),
                    Item::Step(Step::OverIce(Ice::said(
                        self.raw(i, ice.end).trim_end_matches('.'),
                    ))),
                );
            }
        }
        // `ice`, `add crushed ice`, `fill the glass with ice`, `cap with more ice`, `ice in the tin`, `crushed ice to fill`.
        let fills = matches!(
            word,
            "add" | "fill" | "filled" | "cap" | "capped" | "top" | "topped" | "cover" | "load" | "pack"
        );
        let (from, glass) = if fills {
            self.what_is_filled(i + 1)
        } else {
            (i, None)
        };
        let from = self.is(from, Tag::Article).filter(|_| from > i).unwrap_or(from);
        if let Some(ice) = self.amount_of_ice(from) {
            let mut to = self.mass_behind(ice.end).unwrap_or(ice.end);
            if let Some(end) = self.in_a_vessel(to) {
                to = end;
            } else if self.is(to, Tag::ToFill).is_some_and(|end| self.boundary(end)) {
                to = self.is(to, Tag::ToFill).unwrap_or(to);
            } else if matches!(self.words.get(to).map(|w| w.folded.as_str()), Some("in" | "into")) {
                let glass = self.is(to + 1, Tag::Article).unwrap_or(to + 1);
                to = self
                    .is(glass, Tag::Glass)
                    .filter(|_| self.raw(glass, glass + 1) == "glass")
                    .unwrap_or(to);
            }
            let words = self.raw(if glass.is_some() { from } else { i }, to);
            push(to, 0, Item::Ice(words.trim_end_matches('.').to_owned()));
            if let (Some((like, end)), Some(found)) = (glass, out.last_mut()) {
                found.glass = Some(self.raw(like, end).to_owned());
                found.roles = vec![
                    (i, like, Role::Ice),
                    (like, end, Role::Glass),
                    (end, to, Role::Ice),
                ];
            }
        }
    }

    /// Past what is filled with ice, from `first`: `the glass ¾ full of`; and the glass that is named there.
    fn what_is_filled(&self, first: usize) -> (usize, Option<(usize, usize)>) {
        let mut from = first;
        let mut glass = None;
        let mut like = from;
        while from < first + 11
            && from < self.len()
            && (!self.boundary(from)
                || self.mark(from, ",") && self.is(from + 1, Tag::GlassLike).is_some()
                || self.words[from].folded == "bar" && self.tokens[from - 1].stops())
        {
            if self.mark(from, ",") {
                from += 1;
                continue;
            }
            if let Some(end) = self
                .is(from, Tag::Vessel)
                .filter(|_| self.is(from, Tag::Glass).is_none())
            {
                from = end;
                like = end;
                continue;
            }
            let icy = self.ice_phrase(from).is_some();
            if let Some(end) = self.glass_name(from).filter(|_| !icy) {
                glass = Some((like, end));
                from = end;
                continue;
            }
            // `fill the glass ¾ full of shaved ice`
            let part = self.tokens[from].is_number()
                && self
                    .words
                    .get(from + 1)
                    .is_some_and(|w| matches!(w.folded.as_str(), "full" | "with" | "of"));
            let passed = part
                || matches!(
                    self.words[from].folded.as_str(),
                    "with"
                        | "w/"
                        | "w"
                        | "up"
                        | "off"
                        | "of"
                        | "tin"
                        | "shaker"
                        | "in"
                        | "full"
                        | "half"
                        | "way"
                        | "third"
                        | "two"
                        | "nearly"
                        | "almost"
                        | "partly"
                        | "bar"
                );
            if !passed && self.is(from, Tag::GlassLike).filter(|_| !icy).is_none() {
                match self.is(from, Tag::Article) {
                    Some(end) => like = end,
                    None => break,
                }
            } else if passed {
                like = from + 1;
            }
            from += 1;
        }
        (from, glass)
    }

    /// The end of a mass of ice behind its words: `ice 117 g`, `crushed ice, 200 g`, `ice (117 g)`.
    fn mass_behind(&self, at: usize) -> Option<usize> {
        let bracket = self.mark(at, "(");
        let mut from = at + usize::from(self.mark(at, "(,:"));
        while self.mark(from, "….-=|") {
            from += 1;
        }
        let phrase = amounts::phrase(&self.tokens, from)?.ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        let led = from > at + 1 || self.mark(at, ":…=|");
        let measured = matches!(unit, Some(Unit::Gram | Unit::Kilogram))
            // `crushed ice……1 cup`
            || led && matches!(unit, Some(Unit::Cup | Unit::Scoop | Unit::Piece | Unit::Ounce | Unit::Handful));
        measured.then_some(())?;
        if bracket {
            self.mark(end, ")").then_some(end + 1)
        } else {
            // `ice, 20 g sugar` is ice and sugar.
            self.boundary(end).then_some(end)
        }
    }

    /// `coupe`, `strain into a chilled coupe`, `12 oz glass`, `coupe (180 ml)`.
    fn glass(&self, i: usize, out: &mut Vec<Found>) {
        let mut at = i;
        let mut led = false;
        // in, into, serve in, a
        while at < self.len() && at < i + 6 {
            let word = self.words[at].folded.as_str();
            let next = match word {
                "in" | "into" | "serve" | "served" | "to" | "onto" => Some(at + 1),
                "glass" | "glassware" if self.mark(at + 1, ":") => Some(at + 2),
                _ => self
                    .is(at, Tag::Article)
                    .filter(|_| !matches!(word, "this" | "that" | "them" | "it")),
            };
            let Some(next) = next else { break };
            led |= word != "a" && word != "the";
            if at > i && self.boundary(at) {
                break;
            }
            at = next;
        }
        // `serve tall`, `TALL, salt rim`: a long glass.
        let alone = at == i && (i == 0 || self.boundary(i) || self.parts(i - 1)) || led;
        if alone
            && self
                .words
                .get(at)
                .is_some_and(|w| matches!(w.folded.as_str(), "tall" | "long"))
            && self.boundary(at + 1)
        {
            let mut found = self.found(i, at + 1, 0, Item::Glass(self.raw(at, at + 1).to_owned(), None));
            found.roles = vec![(i, at + 1, Role::Glass)];
            out.push(found);
            return;
        }
        out.extend(self.shared_out(i).filter(|_| at == i));
        let from = at;
        let mut size: Option<String> = None;
        let mut like = from;
        while at < self.len() && at < from + 8 {
            if at > from && self.boundary(at) {
                break;
            }
            if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at)
                && let (Some(unit), next) = self.unit_at(phrase.next)
                && matches!(
                    unit,
                    Unit::Ounce
                        | Unit::Millilitre
                        | Unit::Centilitre
                        | Unit::Litre
                        | Unit::Decilitre
                        | Unit::Pint
                )
                && size.is_none()
            {
                size = Some(self.raw(at, next).replace('-', " "));
                at = next;
                like = at;
                continue;
            }
            if let Some(end) = self.glass_name(at) {
                let sized = self.size_after(end);
                let (size, to) = match sized {
                    Some((size, to)) => (Some(size), self.like_behind(to)),
                    None => (size, end),
                };
                let name = self.raw(like, end).trim_end_matches('.').to_owned();
                let begins = i == 0 || self.boundary(i) || self.parts(i - 1) || self.sentence_ends(i - 1);
                // `house gin cup`: the last word of a name as soon as a vessel.
                let bare = end == from + 1
                    && matches!(self.words[from].folded.as_str(), "cup" | "glass" | "mug" | "bowl");
                let cost = match (led || begins, bare) {
                    (true, _) => 0,
                    (false, false) => 1,
                    (false, true) => 6,
                };
                let mut found = self.found(i, to, cost, Item::Glass(name, size));
                found.roles = vec![(i, to, Role::Glass)];
                out.push(found);
                return;
            }
            match self.is(at, Tag::GlassLike) {
                Some(next) => at = next,
                None => break,
            }
        }
    }

    /// `into 2 shot glasses`: shared out among so many.
    fn shared_out(&self, i: usize) -> Option<Found> {
        if let Kind::Number(count) = &self.tokens[i].kind
            && let Ok(count) = Amount::decimal(count)
            && count > Amount::ONE
        {
            let mut next = i + 1;
            while let Some(end) = self.is(next, Tag::GlassLike) {
                next = end;
            }
            let plural = |end: usize| {
                self.raw(end - 1, end)
                    .trim_end_matches('.')
                    .to_lowercase()
                    .ends_with('s')
            };
            if let Some(end) = self.glass_name(next)
                && plural(end)
                && !self.raw(end - 1, end).to_lowercase().ends_with("ss")
            {
                let mut found = self.found(i, i + 1, 0, Item::Serves(count));
                found.roles = vec![(i, i + 1, Role::Serve)];
                return Some(found);
            }
        }
        None
    }

    /// `martini 6 oz, chilled`: what a glass is like, behind its size.
    fn like_behind(&self, at: usize) -> usize {
        let mut end = at + 1;
        while self.mark(at, ",")
            && let Some(next) = self.is(end, Tag::GlassLike)
        {
            end = next;
        }
        if end > at + 1 && self.boundary(end) {
            end
        } else {
            at
        }
    }

    /// The end of a glass's name at `i`, where no longer name of something to drink begins there.
    pub(super) fn glass_name(&self, i: usize) -> Option<usize> {
        // `N/N`
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if word(i) == "n" && self.mark(i + 1, "/+") && word(i + 2) == "n" {
            return Some(i + 3);
        }
        // `OF`, an old fashioned glass, where nothing comes after it that it could join.
        if self.raw(i, (i + 1).min(self.len())).trim_end_matches('.') == "OF" {
            let glass = usize::from(word(i + 1) == "glass");
            return (glass == 1 || self.boundary(i + 1) && (i == 0 || self.boundary(i) || self.parts(i - 1)))
                .then_some(i + 1 + glass);
        }
        let end = self.is(i, Tag::Glass)?;
        if self.name_at(i).is_some_and(|(name, _)| name > end)
            || self.is(i, Tag::Vessel).is_some_and(|v| v > end)
        {
            return None;
        }
        let mut end = end;
        if self.is(end, Tag::Glass).is_some_and(|next| next == end + 1)
            && matches!(self.words[end].folded.as_str(), "glass" | "mug" | "cup")
            && !self.boundary(end)
        {
            end += 1;
        }
        Some(end)
    }

    /// `(180 ml)`, `, 180 ml` after a glass.
    fn size_after(&self, at: usize) -> Option<(String, usize)> {
        let bracket = self.mark(at, "(");
        let from = at + usize::from(bracket);
        let phrase = amounts::phrase(&self.tokens, from)?.ok()?;
        let (unit, next) = self.unit_at(phrase.next);
        unit?;
        let text = self.raw(from, next).to_owned();
        if bracket {
            return self.mark(next, ")").then_some((text, next + 1));
        }
        // `plastic cups 9 oz`
        let sized = matches!(unit, Some(Unit::Ounce | Unit::Millilitre | Unit::Centilitre));
        (sized && (self.boundary(next) || self.stopped(next)))
            .then_some((text.trim_end_matches('.').to_owned(), next))
    }

    /// Whether the word at a place is what serves are counted in.
    pub(super) fn counts_drinks(&self, at: usize) -> bool {
        self.words.get(at).is_some_and(|w| drinks(&w.folded))
    }

    /// `Banquet punch, 24 cups`: where the number stands behind a title and nothing else, and what it is.
    pub(super) fn title_of_a_bowl(&self) -> Option<(usize, Amount)> {
        let at = self
            .tokens
            .iter()
            .position(crate::spec::tokens::Token::is_number)?;
        let count = amounts::phrase(&self.tokens, at)?.ok()?;
        let last = self.words.get(count.next)?.folded.as_str();
        let cups = drinks(last) || matches!(last, "cup" | "glass" | "mug");
        let title = at > 1
            && self.mark(at - 1, ",-|")
            && (0..at - 1).all(|j| matches!(self.tokens[j].kind, Kind::Word(_)) && self.unit_at(j).0.is_none())
            // `sparkling water, 2 cups`
            && lexicon::sort_of(self.raw(0, at - 1)).is_none();
        let several = count.extent.nominal > Amount::raw(3, 1);
        (title && cups && several && count.next + 1 == self.len()).then_some((at, count.extent.nominal))
    }

    /// Past `(7 3/4 oz)`, the same amount in another unit.
    pub(super) fn past_a_second(&self, at: usize) -> usize {
        let close = (at + 1..self.len().min(at + 8)).find(|&j| self.mark(j, ")]"));
        close
            .filter(|&close| self.mark(at, "([") && self.amount_alone(at + 1, close).is_some())
            .map_or(at, |close| close + 1)
    }

    /// `1 part = 30 ml`.
    fn part_is(&self, i: usize, out: &mut Vec<Found>) {
        let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i) else {
            return;
        };
        let (unit, next) = self.unit_at(phrase.next);
        // `1 oz as my part`, `30 ml is a part`
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if unit.is_some_and(|u| u.facts().dimension == crate::measure::Dimension::Volume)
            && matches!(word(next), "as" | "is" | "for")
            && matches!(
                word(next + 1),
                "my" | "the" | "one" | "a" | "each" | "every" | "our"
            )
            && word(next + 2) == "part"
            && settings::volume(self.raw(i, next), None).is_ok()
        {
            let mut found = self.found(i, next + 3, 0, Item::PartIs(self.raw(i, next).to_owned()));
            found.roles = vec![(i, next + 3, Role::Serve)];
            out.push(found);
            return;
        }
        let (Some(Unit::Part), next) = (unit, next) else {
            return;
        };
        let said = self.mark(next, "=:") || self.words.get(next).is_some_and(|w| w.folded == "is");
        if !said {
            return;
        }
        let Some(Ok(size)) = amounts::phrase(&self.tokens, next + 1) else {
            return;
        };
        let (Some(_), end) = self.unit_at(size.next) else {
            return;
        };
        let item = match settings::volume(self.raw(next + 1, end), None) {
            Ok(_) => Item::PartIs(self.raw(next + 1, end).to_owned()),
            Err(expected) => Item::Fault(Unplaced::reject(self.span(i, end), expected)),
        };
        let mut found = self.found(i, end, 0, item);
        found.roles = vec![(i, end, Role::Serve)];
        out.push(found);
    }
}
