//! The words of a name, up to what hangs on it: every place at which it may end.

use super::Reader;
use crate::measure::Unit;
use crate::spec::lexicon::{self, Tag};
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

impl Reader<'_> {
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

    pub(super) fn cores(&self, i: usize, counted: bool) -> Vec<Core> {
        let mut cores: Vec<Core> = Vec::new();
        let mut core = Core {
            end: i,
            cost: if self.is(i, Tag::Aside).is_some() { 4 } else { 0 },
            meant: Vec::new(),
            known: false,
        };
        // A second known name right after a first is another pour more often than a part of the name.
        let mut fresh = true;
        while core.end < self.len() && core.end - i < crate::spec::line::LONGEST {
            let j = core.end;
            let joined = self.tokens[j].joined;
            if j > i && self.inner_and(j) {
                core.cost += if self.mark(j, "&") { 2 } else { 4 };
                core.end = j + 1;
                fresh = true;
                continue;
            }
            // `sweet (red) vermouth`: words in brackets inside a name.
            if j > i
                && self.mark(j, "(")
                && let Some(close) = (j + 1..self.len().min(j + 4)).find(|&k| self.mark(k, ")"))
                && (j + 1..close)
                    .all(|k| matches!(self.tokens[k].kind, Kind::Word(_)) && !self.ends_a_name(k))
                && !core.known
                && (self.name_at(close + 1).is_some() || self.is(close + 1, Tag::Made).is_some())
            {
                core.end = close + 1;
                core.cost += 2;
                continue;
            }
            if j > i && !joined && self.boundary(j) {
                break;
            }
            if let Some((next, _)) = self.name_at(j)
                && (next - j > 1 || !self.ends_a_name(j) || joined)
            {
                if core.known && !fresh && !joined {
                    // A fruit or herb that ends the line goes on the drink.
                    let solid = matches!(self.name_at(j), Some((_, lexicon::Sort::Solid)));
                    core.cost += if solid && self.boundary(next) { 8 } else { 5 };
                }
                core.known = true;
                fresh = false;
                core.end = next;
                for k in j..next {
                    if let Some(meant) = &self.words[k].meant {
                        core.cost += 1;
                        core.meant.push((k, meant.clone()));
                    }
                }
                cores.push(core.clone());
                continue;
            }
            // `two ounces of`: an amount in words ends a name before it.
            if j > i
                && matches!(self.tokens[j].kind, Kind::Word(_))
                && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, j)
                && (self.unit_at(phrase.next).0.is_some()
                    || self.past_of(phrase.next) > phrase.next
                    || phrase.next > j + 1 && self.name_at(phrase.next).is_some())
            {
                break;
            }
            // `muddle mint lightly with syrup`: how it is worked.
            if j > i
                && core.known
                && !joined
                && self.words[j].folded.len() > 4
                && self.words[j].folded.ends_with("ly")
                && (self.is(j, Tag::Manner).is_some()
                    || self.is(j, Tag::Quality).is_none() && !lexicon::in_name(&self.words[j]))
            {
                break;
            }
            // `soda abt 60`
            if j > i
                && self.name_at(j).is_none()
                && let Some(end) = self.is(j, Tag::About)
                && self.tokens.get(end).is_some_and(Token::is_number)
            {
                break;
            }
            if let Some(taken) = self.number_of_a_name(j) {
                core.end = j + taken;
                continue;
            }
            match &self.tokens[j].kind {
                Kind::Ratio(ratio) => {
                    // `1to1`
                    if self.raw(j, j + 1).contains(char::is_alphabetic) {
                        core.meant.push((j, ratio.as_str().into()));
                    }
                    core.end += 1;
                    core.cost += u32::from(!core.known && j > i);
                    core.known = true;
                    fresh = true;
                    if let Some(by) = self.is(core.end, Tag::By) {
                        core.end = by;
                    }
                    cores.push(core.clone());
                }
                Kind::Word(_) => {
                    if !joined && j > i && self.ends_a_name(j) {
                        break;
                    }
                    // `20 dry shake`: no name is cut out of a longer word of work.
                    let of_work = self.tag(j, |t| matches!(t, Tag::Work(_)).then_some(()));
                    if !joined && j == i && of_work.is_some_and(|((), end)| end > j + 1) {
                        break;
                    }
                    if !joined
                        && j == i
                        // `lightly whipped cream`
                        && self.is(j, Tag::Quality).is_none_or(|end| end == j + 1)
                        && (self.never_begins(j) || self.ends_a_name(j) && !lexicon::in_name(&self.words[j]))
                    {
                        break;
                    }
                    if let Some(by) = self.is(j, Tag::By).filter(|_| j > i) {
                        core.end = by;
                        cores.push(core.clone());
                        continue;
                    }
                    let word = &self.words[j];
                    let quality = self
                        .is(j, Tag::Quality)
                        .or_else(|| self.is(j, Tag::Article).filter(|_| j > i));
                    let treatment = self.is(j, Tag::Treatment);
                    let cost = if quality.is_some() || word.folded == "of" {
                        0
                    } else if treatment.is_some() {
                        1
                    } else if counted && core.known && self.counts(j) {
                        0
                    } else if self.is(j, Tag::GarnishNoun).is_some() && !joined {
                        if core.known { 4 } else { 3 }
                    } else if lexicon::in_name(word) {
                        2
                    } else if lexicon::is_known(word) {
                        4
                    } else {
                        5
                    };
                    fresh = fresh || quality.is_some() || treatment.is_some();
                    if let Some(meant) = &word.meant {
                        core.meant.push((j, meant.clone()));
                    } else if let Some(long) = lexicon::long_form(&word.folded) {
                        core.meant.push((j, long.into()));
                        core.known = true;
                    }
                    core.cost += if joined { cost.min(1) } else { cost };
                    core.end = quality.or(treatment).unwrap_or(j + 1).max(j + 1);
                    if self.words[j].folded != "of"
                        && (self.boundary(core.end) || self.stops_here(core.end) || core.known)
                    {
                        cores.push(core.clone());
                    }
                }
                Kind::Mark('\'' | '.' | '°') if j > i => core.end += 1,
                _ => break,
            }
        }
        // What the loop stopped at ends a name, known or not.
        if core.end > i && cores.last().is_none_or(|last| last.end < core.end) {
            cores.push(core);
        }
        cores.retain(|c| (c.end > i) && !matches!(self.words[c.end - 1].folded.as_str(), "of" | "from"));
        // `fresh` by itself says how something is bought.
        for core in cores.iter_mut().filter(|c| !c.known) {
            let mut j = i;
            while j < core.end
                && let Some(next) = self.is(j, Tag::Quality).or_else(|| self.is(j, Tag::Article))
            {
                j = next;
            }
            if j >= core.end {
                core.cost += 12;
            }
        }
        cores
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
