//! How a drink is served: its glass, the ice in it, and how many it is for.

use super::{Found, Item, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Step, Wrong, amounts, settings};
use crate::tables::Ice;

/// Whether a volume as typed may be that of one serve: what is larger is what it is kept in.
fn is_a_serve(typed: &str) -> bool {
    settings::volume(typed, None).is_ok_and(|(ml, _)| ml <= Amount::raw(600, 1))
}

/// What serves are counted in.
fn drinks(word: &str) -> bool {
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
                return Some(
                    self.is(end, Tag::Ice)
                        .filter(|_| !self.boundary(end))
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
        let mut from = i;
        let mut glass = None;
        if matches!(
            word,
            "add" | "fill" | "filled" | "cap" | "capped" | "top" | "topped" | "cover" | "load" | "pack"
        ) {
            from = i + 1;
            let mut like = from;
            while from < i + 12
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
        }
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
        // `into 2 shot glasses`: shared out among so many.
        if let Kind::Number(count) = &self.tokens[i].kind
            && at == i
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
                out.push(found);
            }
        }
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
    fn past_a_second(&self, at: usize) -> usize {
        let close = (at + 1..self.len().min(at + 8)).find(|&j| self.mark(j, ")]"));
        close
            .filter(|&close| self.mark(at, "([") && self.amount_alone(at + 1, close).is_some())
            .map_or(at, |close| close + 1)
    }

    /// `serves 8`, `for 12`, `makes 8`, `60 portions`, `20 serves`, `pour 90 ml a serve`.
    fn serves(&self, i: usize, out: &mut Vec<Found>) {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut push = |to: usize, cost: u32, item: Item| {
            let mut found = self.found(i, to, cost, item);
            found.roles = vec![(i, to, Role::Serve)];
            out.push(found);
        };
        let lead = match word(i) {
            "serve" | "serving" | "make" | "yield" | "portion" | "batch" | "approx" | "do" | "give"
            | "feed" => 1,
            "for" | "x" => 1,
            _ => 0,
        };
        let mut at = i + lead;
        while lead > 0
            && (self.mark(at, ":~≈=")
                || matches!(
                    word(at),
                    "about"
                        | "approx"
                        | "ca"
                        | "for"
                        | "of"
                        | "up"
                        | "to"
                        | "around"
                        | "size"
                        | "a"
                        | "party"
                        | "group"
                        | "table"
                ))
        {
            at += 1;
        }
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at) {
            let mut next = phrase.next;
            let whole = phrase
                .extent
                .nominal
                .exact_decimal()
                .is_some_and(|d| !d.contains('.'));
            // `on tap 4. Serve in a highball`: the number ends its sentence.
            let stops = at > 0 && (self.sentence_ends(next - 1) || self.stopped(next));
            let counted =
                !stops && drinks(word(next)) || matches!((word(next), word(next + 1)), ("x", w) if drinks(w));
            if counted {
                next += 1 + usize::from(word(next) == "x");
            }
            let plain = lead > 0
                && (word(i) != "x")
                && (self.boundary(next) || counted)
                && self.unit_at(phrase.next).0.is_none();
            if whole && phrase.extent.nominal >= Amount::ONE && (counted || plain) && (lead > 0 || counted) {
                let cost = u32::from(!counted && word(i) == "for");
                push(next, cost, Item::Serves(phrase.extent.nominal));
            }
            // `90 ml a serve`, `pour 90ml per serve`, `makes one 70cl bottle`.
            if let (Some(_), measured) = self.unit_at(phrase.next) {
                let after = self.past_a_second(measured);
                let per = match word(after) {
                    "a" | "per" | "each" | "one" => Some(after + 1),
                    "/" => Some(after + 1),
                    _ if self.mark(after, "/") => Some(after + 1),
                    _ => None,
                };
                let text = self.raw(at, measured);
                let each = matches!(word(after), "each" | "ea") && self.boundary(after + 1);
                let vessel = per.is_some_and(|per| self.is(per, Tag::Glass) == Some(per + 1));
                if let Some(per) = per
                    && (drinks(word(per)) || each || vessel)
                    && settings::volume(text, None).is_ok()
                {
                    push(
                        if each { per } else { per + 1 },
                        0,
                        Item::ServeOf(text.to_owned()),
                    );
                }
                // `to serve: 105 ml over cubes`
                let of_one = self.words.iter().any(|w| {
                    matches!(
                        w.folded.as_str(),
                        "serve" | "service" | "pour" | "portion" | "ladle" | "bottle"
                    )
                });
                let shared = self.is(after, Tag::Each).unwrap_or(after);
                let ends = |at: usize| {
                    self.boundary(at)
                        || self.is(at, Tag::Preposition).is_some()
                        || matches!(
                            word(at),
                            "straight" | "neat" | "cold" | "chilled" | "direct" | "directly"
                        )
                };
                if (of_one || shared > after)
                    && lead == 0
                    && self.name_at(after).is_none()
                    && ends(shared)
                    && settings::volume(text, None).is_ok_and(|(ml, _)| ml <= Amount::raw(500, 1))
                {
                    let end =
                        shared + usize::from(matches!(word(shared), "straight" | "direct" | "directly"));
                    push(
                        end,
                        if end > shared { 2 } else { 8 },
                        Item::ServeOf(text.to_owned()),
                    );
                }
                // `until it makes 110 ml in the glass`: what the whole comes to.
                let all_told = matches!(
                    (word(after), word(after + 1), word(after + 2)),
                    ("in", "the", "glass") | ("in", "total", _) | ("all", "in", _)
                );
                if all_told {
                    let end = if word(after + 1) == "the" {
                        after + 3
                    } else {
                        after + 2
                    };
                    push(end, 6, Item::Words);
                }
                if word(i) == "make" && matches!(word(after), "bottle" | "batch" | "jug" | "bowl") {
                    push(after + 1, 1, Item::Words);
                }
            }
        }
        // `makes one 70cl bottle`.
        if word(i) == "make"
            && let Some(Ok(one)) = amounts::phrase(&self.tokens, i + 1)
            && let Some(Ok(size)) = amounts::phrase(&self.tokens, one.next)
            && let (Some(_), after) = self.unit_at(size.next)
            && matches!(word(after), "bottle" | "batch" | "jug" | "bowl")
        {
            push(after + 1, 0, Item::Words);
        }
        // `pour 90 ml a serve`
        if word(i) == "pour"
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i + 1)
            && let (Some(_), after) = self.unit_at(phrase.next)
            && matches!(word(after), "a" | "per" | "each")
            && (drinks(word(after + 1)) || word(after) == "each")
            && settings::volume(self.raw(i + 1, after), None).is_ok()
        {
            let text = self.raw(i + 1, after).to_owned();
            push(
                after + 1 + usize::from(word(after) != "each"),
                0,
                Item::ServeOf(text),
            );
        }
        // `pour 150 over ice`, `serve 100 straight from the freezer`: millilitres of one serve.
        if matches!(word(i), "pour" | "serve" | "portion")
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i + 1)
            && phrase.extent.nominal >= Amount::raw(40, 1)
            && phrase.extent.nominal <= Amount::raw(400, 1)
            && self.unit_at(phrase.next).0.is_none()
            && (self.is(phrase.next, Tag::Preposition).is_some()
                || matches!(word(phrase.next), "straight" | "each"))
        {
            let text = format!("{} ml", phrase.extent.nominal);
            let end = phrase.next + usize::from(word(phrase.next) == "straight");
            push(end, 2, Item::ServeOf(text));
        }
        // `shares of 90 ml`, `total 90 ml`.
        if matches!(word(i), "share" | "total" | "proportion") || word(i) == "batch" && word(i + 1) == "size"
        {
            let mut at = i + 1;
            while self.mark(at, ":=-~")
                || self.is(at, Tag::About).is_some_and(|end| end == at + 1)
                || matches!(
                    word(at),
                    "just" | "under" | "over" | "below" | "above" | "nearly" | "about" | "circa"
                )
                || matches!(
                    word(at),
                    "of" | "size"
                        | "volume"
                        | "mix"
                        | "before"
                        | "dilution"
                        | "pre"
                        | "dil"
                        | "liquid"
                        | "is"
                        | "wet"
                )
            {
                at += 1;
            }
            if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at)
                && let (Some(_), end) = self.unit_at(phrase.next)
                && let size = self.raw(at, end).trim_end_matches('.')
                && settings::volume(size, None).is_ok()
            {
                push(end, 0, Item::Total(size.to_owned()));
            }
        }
        // `80 ml total pre-dilution`, `90 ml in all`
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i)
            && let (Some(_), after) = self.unit_at(phrase.next)
            && (matches!(word(after), "total" | "together" | "altogether")
                || word(after) == "in" && matches!(word(after + 1), "total" | "all"))
            && settings::volume(self.raw(i, after), None).is_ok()
        {
            let mut end = after + 1 + usize::from(word(after) == "in");
            while self.mark(end, "-")
                || matches!(
                    word(end),
                    "pre" | "before" | "dilution" | "dil" | "mix" | "volume"
                )
            {
                end += 1;
            }
            push(end, 0, Item::Total(self.raw(i, after).to_owned()));
        }
        // `20 x 100 ml bottles`
        if let Some(Ok(count)) = amounts::phrase(&self.tokens, i)
            && (word(count.next) == "x" || self.mark(count.next, "×"))
            && let Some(Ok(each)) = amounts::phrase(&self.tokens, count.next + 1)
            && let (Some(_), end) = self.unit_at(each.next)
            && (drinks(word(end))
                || self.is(end, Tag::Vessel).is_some()
                || self.is(end, Tag::Glass).is_some())
        {
            // `2 x 5 l jerrycans` are what it is kept in.
            let item = if is_a_serve(self.raw(count.next + 1, end)) {
                Item::Serves(count.extent.nominal)
            } else {
                Item::Words
            };
            push(end + 1, 0, item);
        }
        // `Batch size: 10 l (100 x 100 ml)`, `19 l keg (95 x 200 ml)`: how many there are of what size.
        if matches!(
            word(i),
            "batch" | "size" | "yield" | "make" | "total" | "volume" | "production" | "keg" | "prep"
        ) && let Some(open) = (i + 1..self.len().min(i + 10)).find(|&j| self.mark(j, "(["))
            && let Some(Ok(count)) = amounts::phrase(&self.tokens, open + 1)
            // `(50 serves x 100 ml)`
            && let times = count.next + usize::from(drinks(word(count.next)))
            && (word(times) == "x" || self.mark(times, "×@"))
            && let Some(Ok(each)) = amounts::phrase(&self.tokens, times + 1)
            && let (Some(_), end) = self.unit_at(each.next)
            && self.mark(end, ")]")
        {
            push(end + 1, 0, Item::Serves(count.extent.nominal));
        }
        // `batch pour: 60 ml (= 40 ml scotch + 10 ml ginger liqueur + 10 ml honey syrup)`: the sum of what is listed.
        if let Some(Ok(sum)) = amounts::phrase(&self.tokens, i)
            && let (Some(_), end) = self.unit_at(sum.next)
            && self.mark(end, "([")
            && self.mark(end + 1, "=:")
            && self
                .tokens
                .get(end + 2)
                .is_some_and(crate::spec::tokens::Token::is_number)
        {
            push(end + 2, 0, Item::Words);
        }
        // `whole glass holds 1½ oz`, of a drink in shares.
        if word(i) == "hold"
            && i > 0
            && self.is(i - 1, Tag::Glass).is_some()
            && let Some(Ok(all)) = amounts::phrase(&self.tokens, i + 1)
            && let (Some(_), end) = self.unit_at(all.next)
            && (self.boundary(end) || self.stopped(end))
            && let size = self.raw(i + 1, end).trim_end_matches('.')
            && settings::volume(size, None).is_ok()
        {
            push(end, 0, Item::Total(size.to_owned()));
        }
        // `portion 125 g`, `12 glasses of 200 g`, `makes 2.4 kg`: a mass of a serve or of the whole is for the reader.
        let of_each = i > 1 && word(i) == "of" && self.is(i - 1, Tag::Glass).is_some();
        if (matches!(word(i), "portion" | "serve" | "pour" | "make" | "yield" | "ladle") || of_each)
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i + 1)
            && let (Some(Unit::Gram | Unit::Kilogram), end) = self.unit_at(phrase.next)
            && self.name_at(self.past_of(end)).is_none()
        {
            push(end, 1, Item::Words);
        }
        // `1 tin = 6 shots`
        if i > 0
            && self.mark(i - 1, "=")
            && let Some(Ok(count)) = amounts::phrase(&self.tokens, i)
            && (drinks(word(count.next)) || word(count.next) == "shot")
            && self.boundary(count.next + 1)
        {
            push(count.next + 1, 0, Item::Serves(count.extent.nominal));
        }
        // `75 ml before ice`
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i)
            && let (Some(_), after) = self.unit_at(phrase.next)
            && matches!(
                (word(after), word(after + 1)),
                ("before" | "pre", "ice" | "dilution" | "shaking" | "stirring")
            )
            && settings::volume(self.raw(i, after), None).is_ok()
        {
            push(after + 2, 0, Item::Total(self.raw(i, after).to_owned()));
        }
        // `pours 4 pots`
        if matches!(word(i), "pour" | "fill" | "make" | "do")
            && let Some(Ok(count)) = amounts::phrase(&self.tokens, i + 1)
            && count.extent.nominal > Amount::ONE
            && self.unit_at(count.next).0.is_none()
            && let Some(end) = self
                .is(count.next, Tag::Glass)
                .or_else(|| matches!(word(count.next), "pot" | "glass").then_some(count.next + 1))
            && self.boundary(end)
        {
            push(end, 0, Item::Serves(count.extent.nominal));
        }
        if self.tokens[i].is_number()
            && let Some((at, count)) = self.title_of_a_bowl()
            && i == at
        {
            push(self.len(), 0, Item::Serves(count));
        }
        // `for 1 glass`, `for 1 cup`
        if word(i) == "for"
            && let Some(Ok(count)) = amounts::phrase(&self.tokens, i + 1)
            && count.extent.nominal >= Amount::ONE
            && let Some(end) = self.is(count.next, Tag::Glass)
            && self.boundary(end)
        {
            push(end, 0, Item::Serves(count.extent.nominal));
        }
        // `= 10 glasses`, `40 jars of 250 ml`, `8 portions of 100 ml`, `60 serves x 110 ml`, `100 x 85 ml`: how many, and
        // how large each is.
        let from = i + usize::from(matches!(word(i), "make" | "yield" | "serve" | "give" | "do"));
        if let Some(Ok(count)) = amounts::phrase(&self.tokens, from)
            && self.unit_at(count.next).0.is_none_or(|u| u == Unit::Shot)
            && count.extent.nominal > Amount::ONE
        {
            let holder = self
                .is(count.next, Tag::Glass)
                .or_else(|| drinks(word(count.next)).then_some(count.next + 1));
            let of = holder.unwrap_or(count.next);
            let led = matches!(word(of), "of" | "x" | "at") || self.mark(of, "×@");
            if led
                && (holder.is_some() || from > i)
                && let Some(Ok(each)) = amounts::phrase(&self.tokens, of + 1)
                && let (Some(_), end) = self.unit_at(each.next)
                && let size = self.raw(of + 1, end)
                && let end = self.is(end, Tag::About).unwrap_or(end)
                && self.boundary(end)
                && is_a_serve(size)
            {
                push(end, 0, Item::Serves(count.extent.nominal));
            }
        }
        // `portion 120 ml`
        let from = i + 1 + usize::from(self.mark(i + 1, ":"));
        if word(i) == "portion"
            && let Some(Ok(each)) = amounts::phrase(&self.tokens, from)
            && let (Some(_), end) = self.unit_at(each.next)
            && self.boundary(end)
            && let size = self.raw(from, end)
            && is_a_serve(size)
        {
            // `in % of the volume, portion 120 ml`: the whole that shares are of.
            let shares = (0..self.len()).any(|j| self.mark(j, "%"));
            let of: fn(String) -> Item = if shares { Item::Total } else { Item::ServeOf };
            push(end, 0, of(size.to_owned()));
        }
        // `yield 2 l`
        if word(i) == "yield"
            && let Some(Ok(all)) = amounts::phrase(&self.tokens, i + 1)
            && let (Some(_), end) = self.unit_at(all.next)
        {
            push(end, 1, Item::Words);
        }
        // `makes 24 x 90 ml`, `yields 120 x 150 ml`
        if matches!(word(i), "make" | "yield" | "give" | "do" | "serve" | "fill")
            && let Some(Ok(count)) = amounts::phrase(&self.tokens, i + 1)
            && (word(count.next) == "x" || self.mark(count.next, "×"))
            && let Some(Ok(each)) = amounts::phrase(&self.tokens, count.next + 1)
            && let (Some(_), end) = self.unit_at(each.next)
        {
            push(end, 0, Item::Serves(count.extent.nominal));
        }
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
            Err(expected) => Item::Fault(Wrong::reject(self.span(i, end), expected)),
        };
        let mut found = self.found(i, end, 0, item);
        found.roles = vec![(i, end, Role::Serve)];
        out.push(found);
    }
}
