//! The words of a name, up to what hangs on it: every place at which it may end.

use super::Reader;
use crate::measure::Unit;
use crate::spec::lexicon::{self, Tag};
use crate::spec::line::LONGEST;
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Per, amounts};

/// The words of a name before what hangs on it.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub(super) end: usize,
    pub(super) cost: u32,
    /// Words that were taken for another: (token, meant).
    pub(super) meant: Vec<(usize, Box<str>)>,
    pub(super) known: bool,
}

/// A name while it grows word by word: how far it has come, and where it may end.
struct Growing<'r, 'a> {
    reader: &'r Reader<'a>,
    /// Where it begins.
    from: usize,
    /// Whether a number stands before it, so that `mint leaves` are a count of leaves and no garnish.
    counted: bool,
    core: Core,
    /// Whether a known name may come next: a second one right after a first is another pour more often than a part of
    /// the name.
    fresh: bool,
    /// Where it may end, each as far as it had come there.
    ends: Vec<Core>,
}

impl Growing<'_, '_> {
    /// Take what stands next into the name; `false` where the name ends before it.
    fn takes_more(&mut self) -> bool {
        let reader = self.reader;
        let j = self.core.end;
        let inside = j > self.from;
        if inside && (self.takes_an_and(j) || self.takes_brackets(j)) {
            return true;
        }
        if inside && !reader.tokens[j].joined && reader.boundary(j) {
            return false;
        }
        if self.takes_a_known_name(j) {
            return true;
        }
        if inside && self.ends_before(j) {
            return false;
        }
        if let Some(taken) = reader.number_of_a_name(j) {
            self.core.end = j + taken;
            return true;
        }
        match &reader.tokens[j].kind {
            Kind::Ratio(ratio) => {
                self.take_a_ratio(j, ratio);
                true
            }
            Kind::Word(_) => self.takes_a_word(j),
            Kind::Mark('\'' | '.' | '°') if inside => {
                self.core.end += 1;
                true
            }
            _ => false,
        }
    }

    fn may_end_here(&mut self) {
        self.ends.push(self.core.clone());
    }

    fn takes_an_and(&mut self, j: usize) -> bool {
        let and = self.reader.inner_and(j);
        if and {
            self.core.cost += if self.reader.mark(j, "&") { 2 } else { 4 };
            self.core.end = j + 1;
            self.fresh = true;
        }
        and
    }

    /// `sweet (red) vermouth`: words in brackets inside a name.
    fn takes_brackets(&mut self, j: usize) -> bool {
        let reader = self.reader;
        if reader.mark(j, "(")
            && let Some(close) = (j + 1..reader.len().min(j + 4)).find(|&k| reader.mark(k, ")"))
            && (j + 1..close)
                .all(|k| matches!(reader.tokens[k].kind, Kind::Word(_)) && !reader.ends_a_name(k))
            && !self.core.known
            && (reader.name_at(close + 1).is_some() || reader.is(close + 1, Tag::Made).is_some())
        {
            self.core.end = close + 1;
            self.core.cost += 2;
            return true;
        }
        false
    }

    fn takes_a_known_name(&mut self, j: usize) -> bool {
        let reader = self.reader;
        let joined = reader.tokens[j].joined;
        let Some((next, sort)) = reader.name_at(j) else {
            return false;
        };
        if next - j == 1 && reader.ends_a_name(j) && !joined {
            return false;
        }
        if self.core.known && !self.fresh && !joined {
            // A fruit or herb that ends the line goes on the drink.
            let solid = sort == lexicon::Sort::Solid;
            self.core.cost += if solid && reader.boundary(next) { 8 } else { 5 };
        }
        self.core.known = true;
        self.fresh = false;
        self.core.end = next;
        for k in j..next {
            if let Some(meant) = &reader.words[k].meant {
                self.core.cost += 1;
                self.core.meant.push((k, meant.clone()));
            }
        }
        self.may_end_here();
        true
    }

    /// Whether an amount in words, or a word that says how the name is worked, ends it.
    fn ends_before(&self, j: usize) -> bool {
        let reader = self.reader;
        // `two ounces of`
        if matches!(reader.tokens[j].kind, Kind::Word(_))
            && let Some(Ok(phrase)) = amounts::phrase(&reader.tokens, j)
            && (reader.unit_at(phrase.next).0.is_some()
                || reader.past_of(phrase.next) > phrase.next
                || phrase.next > j + 1 && reader.name_at(phrase.next).is_some())
        {
            return true;
        }
        // `muddle mint lightly with syrup`: how it is worked.
        if self.core.known
            && !reader.tokens[j].joined
            && reader.words[j].folded.len() > 4
            && reader.words[j].folded.ends_with("ly")
            && (reader.is(j, Tag::Manner).is_some()
                || reader.is(j, Tag::Quality).is_none() && !lexicon::in_name(&reader.words[j]))
        {
            return true;
        }
        // `soda abt 60`
        reader.name_at(j).is_none()
            && reader
                .is(j, Tag::About)
                .is_some_and(|end| reader.tokens.get(end).is_some_and(Token::is_number))
    }

    fn take_a_ratio(&mut self, j: usize, ratio: &str) {
        // `1to1`
        if self.reader.raw(j, j + 1).contains(char::is_alphabetic) {
            self.core.meant.push((j, ratio.into()));
        }
        self.core.end += 1;
        self.core.cost += u32::from(!self.core.known && j > self.from);
        self.core.known = true;
        self.fresh = true;
        if let Some(by) = self.reader.is(self.core.end, Tag::By) {
            self.core.end = by;
        }
        self.may_end_here();
    }

    fn takes_a_word(&mut self, j: usize) -> bool {
        let reader = self.reader;
        let joined = reader.tokens[j].joined;
        let inside = j > self.from;
        let stands = joined
            || if inside {
                !reader.ends_a_name(j)
            } else {
                reader.may_begin(j)
            };
        if !stands {
            return false;
        }
        if let Some(by) = reader.is(j, Tag::By).filter(|_| inside) {
            self.core.end = by;
            self.may_end_here();
            return true;
        }
        let word = &reader.words[j];
        let quality = reader
            .is(j, Tag::Quality)
            .or_else(|| reader.is(j, Tag::Article).filter(|_| inside));
        let treatment = reader.is(j, Tag::Treatment);
        let cost = if quality.is_some() {
            0
        } else if treatment.is_some() && word.folded != "of" {
            1
        } else {
            self.cost_of_word(j)
        };
        self.fresh = self.fresh || quality.is_some() || treatment.is_some();
        if let Some(meant) = &word.meant {
            self.core.meant.push((j, meant.clone()));
        } else if let Some(long) = lexicon::long_form(&word.folded) {
            self.core.meant.push((j, long.into()));
            self.core.known = true;
        }
        self.core.cost += if joined { cost.min(1) } else { cost };
        self.core.end = quality.or(treatment).unwrap_or(j + 1).max(j + 1);
        if word.folded != "of"
            && (reader.boundary(self.core.end) || reader.stops_here(self.core.end) || self.core.known)
        {
            self.may_end_here();
        }
        true
    }

    /// What a word costs in the name that says neither of what quality nor how treated it is.
    fn cost_of_word(&self, j: usize) -> u32 {
        let reader = self.reader;
        let word = &reader.words[j];
        if word.folded == "of" || self.counted && self.core.known && reader.counts(j) {
            0
        } else if reader.is(j, Tag::GarnishNoun).is_some() && !reader.tokens[j].joined {
            if self.core.known { 4 } else { 3 }
        } else if lexicon::in_name(word) {
            2
        } else if lexicon::is_known(word) {
            4
        } else {
            5
        }
    }

    /// The places at which it may end, and what it comes to in each.
    fn ends(self) -> Vec<Core> {
        let (reader, from, core, mut ends) = (self.reader, self.from, self.core, self.ends);
        // What it stopped at ends a name, known or not.
        if core.end > from && ends.last().is_none_or(|last| last.end < core.end) {
            ends.push(core);
        }
        ends.retain(|c| (c.end > from) && !matches!(reader.words[c.end - 1].folded.as_str(), "of" | "from"));
        // `fresh` by itself says how something is bought.
        for core in ends.iter_mut().filter(|c| !c.known) {
            let mut j = from;
            while j < core.end
                && let Some(next) = reader.is(j, Tag::Quality).or_else(|| reader.is(j, Tag::Article))
            {
                j = next;
            }
            if j >= core.end {
                core.cost += 12;
            }
        }
        ends
    }
}

impl Reader<'_> {
    /// Every way in which the words at `i` may be a name; `counted` says that a number stands before them.
    pub(super) fn cores(&self, i: usize, counted: bool) -> Vec<Core> {
        let mut name = Growing {
            reader: self,
            from: i,
            counted,
            core: Core {
                end: i,
                cost: if self.is(i, Tag::Aside).is_some() { 4 } else { 0 },
                meant: Vec::new(),
                known: false,
            },
            fresh: true,
            ends: Vec::new(),
        };
        while name.core.end < self.len() && name.core.end - i < LONGEST && name.takes_more() {}
        name.ends()
    }

    /// Whether a name may begin with the word at `i`.
    fn may_begin(&self, i: usize) -> bool {
        // `20 dry shake`: no name is cut out of a longer word of work.
        let of_work = self.tag(i, |t| matches!(t, Tag::Work(_)).then_some(()));
        if of_work.is_some_and(|((), end)| end > i + 1) {
            return false;
        }
        // `lightly whipped cream`
        let quality = self.is(i, Tag::Quality).is_some_and(|end| end != i + 1);
        quality || !self.never_begins(i) && (!self.ends_a_name(i) || lexicon::in_name(&self.words[i]))
    }

    /// Whether a word at `i` ends a name before it: a word of work, a glass, ice, a joining word.
    fn ends_a_name(&self, i: usize) -> bool {
        if self.is_a_blend(i) {
            return false;
        }
        self.tag(i, |tag| match tag {
            Tag::Work(_)
            | Tag::Strain { .. }
            | Tag::Unstrained
            | Tag::Neat
            | Tag::Up
            | Tag::Rest
            | Tag::NoGarnish
            | Tag::Top
            | Tag::ToFill
            | Tag::Float
            | Tag::Rinse
            | Tag::Mist
            | Tag::OnTop
            | Tag::Joint
            | Tag::With
            | Tag::Each
            | Tag::Serve
            | Tag::Ice
            | Tag::Vessel
            | Tag::GarnishVerb => Some(()),
            // `Method:` heads what follows; `bitter` may be a part of the name.
            Tag::Header => self
                .is(i, Tag::Header)
                .is_some_and(|end| self.mark(end, ":"))
                .then_some(()),
            // `pear cordial`, `red wine`: the name of a glass too.
            // So may be what a strength hangs on: `gin cup (25 %)`.
            Tag::Glass => {
                let of_a_name = lexicon::in_name(&self.words[i])
                    || self.mark(i + 1, "(") && self.strength_here(i + 2).is_some();
                (!of_a_name).then_some(())
            }
            Tag::Preposition => (self.words[i].folded != "of" && !self.made_from(i)).then_some(()),
            // `blended Scotch that I wash`: a clause for the reader; `just made` says how it is bought.
            Tag::Clause => self.is(i, Tag::Quality).is_none().then_some(()),
            _ => None,
        })
        .is_some()
    }

    /// `juice from lime`: a name, said the other way round.
    fn made_from(&self, i: usize) -> bool {
        self.words[i].folded == "from"
            && i > 0
            && matches!(
                self.words[i - 1].folded.as_str(),
                "juice" | "syrup" | "puree" | "oil" | "leaf"
            )
    }

    /// Whether no name begins with a word: it joins, points or says how.
    fn never_begins(&self, i: usize) -> bool {
        // `strong black tea`: said of work too.
        self.is(i, Tag::Manner).is_some() && self.is(i, Tag::Quality).is_none()
            || self
                .is(i, Tag::About)
                .is_some_and(|end| self.tokens.get(end).is_some_and(Token::is_number))
            || [
                Tag::Preposition,
                Tag::Joint,
                Tag::With,
                Tag::Each,
                Tag::Serve,
                Tag::All,
                Tag::Clause,
            ]
            .into_iter()
            // `150 ml mix`: what was made ahead, where an amount stands before it.
            .any(|tag| self.is(i, tag).is_some() && !(tag == Tag::All && self.is_measured_batch(i)))
            || amounts::phrase(&self.tokens, i).is_some()
            // `96 ml straight from the bottle`
            || matches!(self.words[i].folded.as_str(), "straight" | "direct" | "directly")
                && self
                    .words
                    .get(i + 1)
                    .is_some_and(|w| matches!(w.folded.as_str(), "from" | "out" | "into"))
            || matches!(
                self.words[i].folded.as_str(),
                "make"
                    | "order"
                    | "size"
                    | "time"
                    | "base"
                    | "or"
                    | "and"
                    | "the"
                    | "it"
                    | "so"
                    | "is"
                    | "but"
                    | "not"
                    | "if"
                    | "i"
                    | "you"
                    | "we"
                    | "that"
            )
    }

    /// Whether a word for what was made ahead stands right behind a unit.
    fn is_measured_batch(&self, i: usize) -> bool {
        let batch = self.is(i, Tag::Batch).is_some() || self.words[i].folded == "mix";
        i > 1
            && batch
            && !self.tokens[i - 1].stops()
            && matches!(self.unit_at(i - 1), (Some(_), end) if end == i)
    }

    /// Whether a word counts what stands before it: leaves, wedges, slices.
    fn counts(&self, i: usize) -> bool {
        self.tag(i, |tag| match tag {
            Tag::Unit(
                Unit::Leaf | Unit::Sprig | Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Cube | Unit::Piece,
            ) => Some(()),
            _ => None,
        })
        .is_some()
    }

    /// `honey & thyme syrup`: an "and" inside a name, before a word for what both are made into.
    fn inner_and(&self, i: usize) -> bool {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if !(self.mark(i, "&") || matches!(word(i), "and" | "n")) {
            return false;
        }
        (i + 2..i + 4).any(|j| {
            matches!(
                word(j),
                "syrup"
                    | "cordial"
                    | "shrub"
                    | "liqueur"
                    | "bitter"
                    | "oleo"
                    | "puree"
                    | "soda"
                    | "cream"
                    | "tea"
                    | "infusion"
                    | "honey"
            )
        }) && (i + 1..i + 3).all(|j| {
            !self.tokens.get(j).is_some_and(Token::is_number) && !self.parts(j) && !self.ends_a_name(j)
        })
    }

    pub(super) fn stops_here(&self, i: usize) -> bool {
        self.tokens[i].is_number() || self.ends_a_name(i)
    }

    /// A number that belongs to a name: `12-year rum`, `100-proof rye`, `151 rum`, `No. 4`.
    pub(super) fn number_of_a_name(&self, i: usize) -> Option<usize> {
        let Kind::Number(number) = &self.tokens.get(i)?.kind else {
            return None;
        };
        let hyphen =
            usize::from(self.tokens.get(i + 1).is_some_and(Token::is_hyphen) && !self.tokens[i + 1].spaced);
        let word = self.words.get(i + 1 + hyphen).map_or("", |w| w.folded.as_str());
        if matches!(word, "year" | "yr" | "yo" | "yrs" | "y.o" | "ans") {
            let mut end = i + 2 + hyphen;
            if self
                .words
                .get(end)
                .is_some_and(|w| matches!(w.folded.as_str(), "old" | "aged"))
            {
                end += 1;
            }
            return Some(end - i);
        }
        if lexicon::is_proof(word) {
            return Some(2 + hyphen);
        }
        if self.mark(i + 1, "%") {
            // `20 % w/v saline`
            let counts = Per::read(self.words.get(i + 2).map_or("", |w| w.folded.as_str()));
            return (counts.is_some() && self.name_at(i + 3).is_some()).then_some(3);
        }
        let value: u32 = number.parse().ok()?;
        // `151 dark rum`
        let kind = match self.name_at(i + 1) {
            Some((end, _)) => self.words[end - 1].folded.as_str(),
            None => word,
        };
        let spirit = matches!(
            kind,
            "rum"
                | "rye"
                | "bourbon"
                | "whisky"
                | "whiskey"
                | "gin"
                | "vodka"
                | "tequila"
                | "mezcal"
                | "brandy"
                | "cognac"
                | "absinthe"
        );
        (spirit && (75..=192).contains(&value)).then_some(1)
    }
}
