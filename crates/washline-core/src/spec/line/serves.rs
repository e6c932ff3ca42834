//! How many a drink is for, how much each is, and what the whole comes to.

use super::serving::drinks;
use super::{Found, Item, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::Tag;
use crate::spec::{amounts, settings};

/// Whether a text is a volume.
fn is_a_volume(typed: &str) -> bool {
    settings::volume(typed, None).is_ok()
}

/// Whether a volume as typed may be that of one serve: what is larger is what it is kept in.
fn is_a_serve(typed: &str) -> bool {
    settings::volume(typed, None).is_ok_and(|(ml, _)| ml <= Amount::raw(600, 1))
}

impl Reader<'_> {
    /// All that a phrase at `i` may say of serves.
    pub(super) fn serves(&self, i: usize, out: &mut Vec<Found>) {
        // `under $3 pour cost`
        if i > 0 && self.mark(i - 1, "$£€") {
            return;
        }
        let (lead, at) = self.led(i);
        let mut said = Vec::new();
        self.counted(i, lead, at, &mut said);
        self.measured_out(i, lead, at, &mut said);
        said.extend(self.poured_into_each(i));
        said.extend(self.told_in_all(i));
        said.extend(self.so_many_of_a_size(i));
        said.extend(self.sum_in_brackets(i));
        said.extend(self.by_the_mass(i));
        said.extend(self.so_many(i));
        said.extend(self.portion(i));
        for (to, cost, item) in said {
            let mut found = self.found(i, to, cost, item);
            found.roles = vec![(i, to, Role::Serve)];
            out.push(found);
        }
    }

    fn said(&self, i: usize) -> &str {
        self.words.get(i).map_or("", |w| w.folded.as_str())
    }

    /// The number at `at`, and where the line goes on.
    fn count(&self, at: usize) -> Option<(Amount, usize)> {
        let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
        Some((phrase.extent.nominal, phrase.next))
    }

    /// The unit of an amount at `at`, and where the line goes on behind both.
    fn sized(&self, at: usize) -> Option<(Unit, usize)> {
        let (_, next) = self.count(at)?;
        match self.unit_at(next) {
            (Some(unit), end) => Some((unit, end)),
            (None, _) => None,
        }
    }

    /// How many words lead to a number of serves at `i`, one or none, and where the number would stand.
    fn led(&self, i: usize) -> (usize, usize) {
        let lead = usize::from(matches!(
            self.said(i),
            "serve"
                | "serving"
                | "make"
                | "yield"
                | "portion"
                | "batch"
                | "approx"
                | "do"
                | "give"
                | "feed"
                | "for"
                | "x"
        ));
        let mut at = i + lead;
        while lead > 0
            && (self.mark(at, ":~≈=")
                || matches!(
                    self.said(at),
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
        (lead, at)
    }

    /// `serves 8`, `8 drinks`, `for 20 people`
    fn counted(&self, i: usize, lead: usize, at: usize, said: &mut Vec<(usize, u32, Item)>) {
        let Some((count, after)) = self.count(at) else {
            return;
        };
        let whole = count.is_whole();
        // `on tap 4. Serve in a highball`: the number ends its sentence.
        let stops = at > 0 && (self.sentence_ends(after - 1) || self.stopped(after));
        let times = self.said(after) == "x";
        let counted = !stops && drinks(self.said(after)) || times && drinks(self.said(after + 1));
        let next = after + usize::from(counted) + usize::from(counted && times);
        let plain = lead > 0
            && self.said(i) != "x"
            && (self.boundary(next) || counted)
            && self.unit_at(after).0.is_none();
        if whole && count >= Amount::ONE && (counted || plain) {
            let cost = u32::from(!counted && self.said(i) == "for");
            said.push((next, cost, Item::Serves(count)));
        }
    }

    /// An amount with its unit at `at` that is one serve, or the whole: `90 ml a serve`, `to serve: 105 ml over cubes`,
    /// `until it makes 110 ml in the glass`, `makes one 70cl bottle`.
    fn measured_out(&self, i: usize, lead: usize, at: usize, said: &mut Vec<(usize, u32, Item)>) {
        let word = |i: usize| self.said(i);
        if word(i) == "make"
            && let Some((_, one)) = self.count(i + 1)
            && let Some((_, after)) = self.sized(one)
            && matches!(word(after), "bottle" | "batch" | "jug" | "bowl")
        {
            said.push((after + 1, 0, Item::Words));
        }
        let Some((_, measured)) = self.sized(at) else {
            return;
        };
        let after = self.past_a_second(measured);
        let text = self.raw(at, measured);
        let per = match word(after) {
            "a" | "per" | "each" | "one" | "/" => Some(after + 1),
            _ if self.mark(after, "/") => Some(after + 1),
            _ => None,
        };
        let each = matches!(word(after), "each" | "ea") && self.boundary(after + 1);
        let vessel = per.is_some_and(|per| self.is(per, Tag::Glass) == Some(per + 1));
        if let Some(per) = per
            && (drinks(word(per)) || each || vessel)
            && is_a_volume(text)
        {
            let end = if each { per } else { per + 1 };
            said.push((end, 0, Item::ServeOf(text.to_owned())));
        }
        let of_one = self.words.iter().any(|w| {
            matches!(
                w.folded.as_str(),
                "serve" | "service" | "pour" | "portion" | "ladle" | "bottle"
            )
        });
        let shared = self.is(after, Tag::Each).unwrap_or(after);
        let ends = self.boundary(shared)
            || self.is(shared, Tag::Preposition).is_some()
            || matches!(
                word(shared),
                "straight" | "neat" | "cold" | "chilled" | "direct" | "directly"
            );
        if (of_one || shared > after)
            && lead == 0
            && self.name_at(after).is_none()
            && ends
            && settings::volume(text, None).is_ok_and(|(ml, _)| ml <= Amount::raw(500, 1))
        {
            let end = shared + usize::from(matches!(word(shared), "straight" | "direct" | "directly"));
            let cost = if end > shared { 2 } else { 8 };
            said.push((end, cost, Item::ServeOf(text.to_owned())));
        }
        // What the whole comes to.
        match (word(after), word(after + 1), word(after + 2)) {
            ("in", "the", "glass") => said.push((after + 3, 6, Item::Words)),
            ("in", "total", _) | ("all", "in", _) => said.push((after + 2, 6, Item::Words)),
            _ => {}
        }
        if word(i) == "make" && matches!(word(after), "bottle" | "batch" | "jug" | "bowl") {
            said.push((after + 1, 1, Item::Words));
        }
    }

    /// `pour 90 ml a serve`, and `pour 150 over ice`, `serve 100 straight from the freezer`: millilitres of one serve.
    fn poured_into_each(&self, i: usize) -> Vec<(usize, u32, Item)> {
        let word = |i: usize| self.said(i);
        let mut said = Vec::new();
        if word(i) == "pour"
            && let Some((_, after)) = self.sized(i + 1)
            && matches!(word(after), "a" | "per" | "each")
            && (drinks(word(after + 1)) || word(after) == "each")
            && is_a_volume(self.raw(i + 1, after))
        {
            let end = after + 1 + usize::from(word(after) != "each");
            said.push((end, 0, Item::ServeOf(self.raw(i + 1, after).to_owned())));
        }
        if matches!(word(i), "pour" | "serve" | "portion")
            && let Some((amount, after)) = self.count(i + 1)
            && amount >= Amount::raw(40, 1)
            && amount <= Amount::raw(400, 1)
            && self.unit_at(after).0.is_none()
            && (self.is(after, Tag::Preposition).is_some() || matches!(word(after), "straight" | "each"))
        {
            let end = after + usize::from(word(after) == "straight");
            said.push((end, 2, Item::ServeOf(format!("{amount} ml"))));
        }
        said
    }

    /// What all of it comes to: `shares of 90 ml`, `total 90 ml`, `80 ml total pre-dilution`, `75 ml before ice`, `whole
    /// glass holds 1½ oz`.
    fn told_in_all(&self, i: usize) -> Vec<(usize, u32, Item)> {
        let word = |i: usize| self.said(i);
        let mut said = Vec::new();
        let mut total = |from: usize, to: usize, end: usize| {
            let size = self.raw(from, to).trim_end_matches('.');
            if is_a_volume(size) {
                said.push((end, 0, Item::Total(size.to_owned())));
            }
        };
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
            if let Some((_, end)) = self.sized(at) {
                total(at, end, end);
            }
        }
        if let Some((_, after)) = self.sized(i) {
            let all = matches!(word(after), "total" | "together" | "altogether")
                || word(after) == "in" && matches!(word(after + 1), "total" | "all");
            if all {
                let mut end = after + 1 + usize::from(word(after) == "in");
                while self.mark(end, "-")
                    || matches!(
                        word(end),
                        "pre" | "before" | "dilution" | "dil" | "mix" | "volume"
                    )
                {
                    end += 1;
                }
                total(i, after, end);
            }
            if matches!(
                (word(after), word(after + 1)),
                ("before" | "pre", "ice" | "dilution" | "shaking" | "stirring")
            ) {
                total(i, after, after + 2);
            }
        }
        if word(i) == "hold"
            && i > 0
            && self.is(i - 1, Tag::Glass).is_some()
            && let Some((_, end)) = self.sized(i + 1)
            && (self.boundary(end) || self.stopped(end))
        {
            total(i + 1, end, end);
        }
        said
    }

    /// How many of what size: `20 x 100 ml bottles`, `Batch size: 10 l (100 x 100 ml)`, `40 jars of 250 ml`, `makes 24 x
    /// 90 ml`.
    fn so_many_of_a_size(&self, i: usize) -> Vec<(usize, u32, Item)> {
        let word = |i: usize| self.said(i);
        let times = |at: usize| word(at) == "x" || self.mark(at, "×");
        let mut said = Vec::new();
        if let Some((count, next)) = self.count(i)
            && times(next)
            && let Some((_, end)) = self.sized(next + 1)
            && (drinks(word(end))
                || self.is(end, Tag::Vessel).is_some()
                || self.is(end, Tag::Glass).is_some())
        {
            // `2 x 5 l jerrycans` are what it is kept in.
            let item = if is_a_serve(self.raw(next + 1, end)) {
                Item::Serves(count)
            } else {
                Item::Words
            };
            said.push((end + 1, 0, item));
        }
        // `19 l keg (95 x 200 ml)`, `(50 serves x 100 ml)`
        if matches!(
            word(i),
            "batch" | "size" | "yield" | "make" | "total" | "volume" | "production" | "keg" | "prep"
        ) && let Some(open) = (i + 1..self.len().min(i + 10)).find(|&j| self.mark(j, "(["))
            && let Some((count, next)) = self.count(open + 1)
            && let of = next + usize::from(drinks(word(next)))
            && (word(of) == "x" || self.mark(of, "×@"))
            && let Some((_, end)) = self.sized(of + 1)
            && self.mark(end, ")]")
        {
            said.push((end + 1, 0, Item::Serves(count)));
        }
        // `= 10 glasses`, `8 portions of 100 ml`, `60 serves x 110 ml`, `100 x 85 ml`
        let from = i + usize::from(matches!(word(i), "make" | "yield" | "serve" | "give" | "do"));
        if let Some((count, next)) = self.count(from)
            && self.unit_at(next).0.is_none_or(|u| u == Unit::Shot)
            && count > Amount::ONE
        {
            let holder = self
                .is(next, Tag::Glass)
                .or_else(|| drinks(word(next)).then_some(next + 1));
            let of = holder.unwrap_or(next);
            let led = matches!(word(of), "of" | "x" | "at") || self.mark(of, "×@");
            if led
                && (holder.is_some() || from > i)
                && let Some((_, after)) = self.sized(of + 1)
                && let end = self.is(after, Tag::About).unwrap_or(after)
                && self.boundary(end)
                && is_a_serve(self.raw(of + 1, after))
            {
                said.push((end, 0, Item::Serves(count)));
            }
        }
        if matches!(word(i), "make" | "yield" | "give" | "do" | "serve" | "fill")
            && let Some((count, next)) = self.count(i + 1)
            && times(next)
            && let Some((_, end)) = self.sized(next + 1)
        {
            said.push((end, 0, Item::Serves(count)));
        }
        said
    }

    /// `batch pour: 60 ml (= 40 ml scotch + 10 ml ginger liqueur + 10 ml honey syrup)`: the sum of what is listed.
    fn sum_in_brackets(&self, i: usize) -> Option<(usize, u32, Item)> {
        let (_, end) = self.sized(i)?;
        let sum = self.mark(end, "([") && self.mark(end + 1, "=:") && self.tokens.get(end + 2)?.is_number();
        sum.then_some((end + 2, 0, Item::Words))
    }

    /// `portion 125 g`, `12 glasses of 200 g`, `makes 2.4 kg`: a mass of a serve or of the whole is for the reader, and so
    /// is `yield 2 l`.
    fn by_the_mass(&self, i: usize) -> Option<(usize, u32, Item)> {
        let word = self.said(i);
        let of_each = i > 1 && word == "of" && self.is(i - 1, Tag::Glass).is_some();
        let led = matches!(word, "portion" | "serve" | "pour" | "make" | "yield" | "ladle") || of_each;
        let (unit, end) = self.sized(i + 1).filter(|_| led)?;
        let mass = matches!(unit, Unit::Gram | Unit::Kilogram) && self.name_at(self.past_of(end)).is_none();
        (mass || word == "yield").then_some((end, 1, Item::Words))
    }

    /// A number of glasses or drinks: `1 tin = 6 shots`, `pours 4 pots`, `for 1 glass`, and of a title that tells it.
    fn so_many(&self, i: usize) -> Vec<(usize, u32, Item)> {
        let word = |i: usize| self.said(i);
        let mut said = Vec::new();
        if i > 0
            && self.mark(i - 1, "=")
            && let Some((count, next)) = self.count(i)
            && (drinks(word(next)) || word(next) == "shot")
            && self.boundary(next + 1)
        {
            said.push((next + 1, 0, Item::Serves(count)));
        }
        if matches!(word(i), "pour" | "fill" | "make" | "do")
            && let Some((count, next)) = self.count(i + 1)
            && count > Amount::ONE
            && self.unit_at(next).0.is_none()
            && let Some(end) = self
                .is(next, Tag::Glass)
                .or_else(|| matches!(word(next), "pot" | "glass").then_some(next + 1))
            && self.boundary(end)
        {
            said.push((end, 0, Item::Serves(count)));
        }
        if self.tokens[i].is_number()
            && let Some((at, count)) = self.title_of_a_bowl()
            && i == at
        {
            said.push((self.len(), 0, Item::Serves(count)));
        }
        if word(i) == "for"
            && let Some((count, next)) = self.count(i + 1)
            && count >= Amount::ONE
            && let Some(end) = self.is(next, Tag::Glass)
            && self.boundary(end)
        {
            said.push((end, 0, Item::Serves(count)));
        }
        said
    }

    /// `portion 120 ml`
    fn portion(&self, i: usize) -> Option<(usize, u32, Item)> {
        let from = i + 1 + usize::from(self.mark(i + 1, ":"));
        let (_, end) = self.sized(from).filter(|_| self.said(i) == "portion")?;
        let size = self.raw(from, end);
        if !self.boundary(end) || !is_a_serve(size) {
            return None;
        }
        // `in % of the volume, portion 120 ml`: the whole that shares are of.
        let shares = (0..self.len()).any(|j| self.mark(j, "%"));
        let of: fn(String) -> Item = if shares { Item::Total } else { Item::ServeOf };
        Some((end, 0, of(size.to_owned())))
    }
}
