//! Work: shake, stir, muddle, with its time, its ice and its manner.

use super::{Found, Item, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::Tag;
use crate::spec::tokens::Kind;
use crate::spec::{Step, Technique, Work, amounts, technique};
use crate::tables::Ice;

impl Reader<'_> {
    /// The technique that begins at `i`, words before it taken as its manner, and where the line goes on.
    pub(super) fn work_word(&self, i: usize) -> Option<(Technique, usize)> {
        let mut at = i;
        while let Some(next) = self.is(at, Tag::Manner)
            && at < i + 3
        {
            if let Some(found) = self.technique_at(at) {
                return Some(found);
            }
            at = next;
        }
        self.technique_at(at)
    }

    fn technique_at(&self, i: usize) -> Option<(Technique, usize)> {
        // `shaker, fine strain`, `shaker with ice`: the tin for what is done in it.
        if self.words.get(i).is_some_and(|w| w.folded == "shaker")
            && (i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1))
            && (self.boundary(i + 1) || self.is(i + 1, Tag::With).is_some())
            && !self.mark(i + 1, "|")
        {
            return Some((Technique::Shake, i + 1));
        }
        let (technique, end) = self.tag(i, |tag| match tag {
            Tag::Work(technique) => Some(technique),
            _ => None,
        })?;
        if self.is_a_blend(i) {
            return None;
        }
        // `throw the rest away` is no throwing.
        if technique == Technique::Throw
            && (end..self.len().min(end + 5))
                .take_while(|&j| !self.boundary(j))
                .any(|j| matches!(self.words[j].folded.as_str(), "away" | "out"))
        {
            return None;
        }
        self.is(i, Tag::All)
            .is_none_or(|longer| longer <= end)
            .then_some((technique, end))
    }

    /// Whether the word at `i` can hardly be anything but work: a build and a blend are things too.
    pub(super) fn is_a_verb_of_work(&self, i: usize) -> bool {
        matches!(
            self.technique_at(i),
            Some((
                Technique::Shake
                    | Technique::DryShake
                    | Technique::Stir
                    | Technique::Roll
                    | Technique::Throw
                    | Technique::Swizzle
                    | Technique::Muddle,
                _
            ))
        )
    }

    /// `aged rum blend`: what is bought blended.
    pub(super) fn is_a_blend(&self, i: usize) -> bool {
        // `black blended rum`
        if self.words[i].folded == "blended"
            && self
                .words
                .get(i + 1)
                .is_some_and(|w| crate::spec::lexicon::is_bought_blended(&w.folded))
        {
            return true;
        }
        i > 0
            && self.words[i].folded == "blend"
            && !self.boundary(i)
            && self.boundary(i + 1)
            && (crate::spec::lexicon::is_bought_blended(&self.words[i - 1].folded)
                || matches!(self.words[i - 1].folded.as_str(), "house" | "our" | "own"))
    }

    pub(super) fn work(&self, i: usize, out: &mut Vec<Found>) {
        let Some((technique, verb_end)) = self.work_word(i) else {
            return;
        };
        // `never shake it`, `do not stir`: said not to be done. `No, shake it` is an answer.
        let answers = i > 0
            && self.words[i - 1].folded == "no"
            && self.words.get(verb_end).is_some_and(|w| w.folded == "it");
        let not_done = i > 0
            && !answers
            && matches!(
                self.words[i - 1].folded.as_str(),
                "never" | "not" | "dont" | "no" | "without" | "cannot" | "cant"
            );
        // `stirred?`
        if not_done || self.mark(verb_end, "?") {
            let mut found = self.found(i, verb_end, 0, Item::Words);
            found.roles = vec![(i, verb_end, Role::Note)];
            out.push(found);
            return;
        }
        let mut work = Work {
            technique,
            seconds: None,
            ice: None,
            words: String::new(),
        };
        let mut words: Vec<String> = Vec::new();
        let mut at = i;
        // What stands before the verb says how it is done.
        while let Some(next) = self.is(at, Tag::Manner)
            && self.technique_at(at).is_none()
        {
            words.push(self.raw(at, next).to_owned());
            at = next;
        }
        at = verb_end;
        let mut stops = self.sentence_ends(verb_end - 1);
        let mut roles = vec![(i, verb_end, Role::Work)];
        while !stops && at < self.len() {
            let (time, ice) = (work.seconds, work.ice.is_some());
            let Some(next) = self.of_work(at, &mut work, &mut words) else {
                break;
            };
            let role = match () {
                () if work.seconds != time => Role::Time,
                () if work.ice.is_some() != ice => Role::Ice,
                () => Role::Work,
            };
            roles.push((at, next, role));
            stops = self.sentence_ends(next - 1);
            at = next;
        }
        work.words = words.join(" ").trim_end_matches('.').to_owned();
        let mut found = self.found(i, at, 0, Item::Work(work));
        found.roles = roles;
        out.push(found);
    }

    /// One thing that is said of work at `at`, and where the line goes on.
    fn of_work(&self, at: usize, work: &mut Work, words: &mut Vec<String>) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let time_at = at + usize::from(matches!(word(at), "for" | "about"));
        if let Some(Ok((seconds, taken))) = self.tokens.get(time_at..).and_then(technique::time) {
            work.seconds = Some(seconds);
            return Some(time_at + taken);
        }
        if self.is(at, Tag::With).is_some()
            || matches!(word(at), "on" | "over") && work.technique != Technique::Build
        {
            let from = self.is(at, Tag::With).unwrap_or(at + 1);
            let from = self.is(from, Tag::Article).unwrap_or(from);
            if let Some(ice) = self.amount_of_ice(from) {
                let with = self.is(at, Tag::With).is_some();
                if !with && ice.grams_end.is_none() || work.ice.is_some() {
                    return None;
                }
                // The mass is written before the words.
                let said = self
                    .raw(ice.grams_end.unwrap_or(from), ice.end)
                    .trim_end_matches('.');
                work.ice = Some(Ice {
                    words: said.to_owned(),
                    ..Ice::said(self.raw(from, ice.end))
                });
                return Some(ice.end);
            }
        }
        let end = self
            .how_often(at)
            .or_else(|| self.until_when(at))
            .or_else(|| self.in_a_vessel(at))
            .or_else(|| self.manner_of_work(at))
            .or_else(|| self.what_is_worked(at))?;
        words.push(self.raw(at, end).to_owned());
        Some(end)
    }

    /// `x 5`, `5 times`, `shake 1-3`: how often it is done, or to which of the pours.
    fn how_often(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        // `x 5`, `5 times`, `5x`.
        let times = word(at) == "x" || self.mark(at, "×");
        if times && matches!(self.tokens.get(at + 1).map(|t| &t.kind), Some(Kind::Number(_))) {
            return Some(at + 2);
        }
        // `shake 1-3`, `shake first 4`: which of the pours, by their numbers.
        let first = at + usize::from(word(at) == "first");
        if matches!(self.tokens.get(first).map(|t| &t.kind), Some(Kind::Number(n)) if n.len() == 1)
            && (first > at || self.mark(at + 1, "-"))
        {
            let end = first + 1 + if self.mark(first + 1, "-") { 2 } else { 0 };
            if end <= self.len() && (self.boundary(end) || self.is(end, Tag::With).is_some()) {
                return Some(end);
            }
        }
        if matches!(self.tokens[at].kind, Kind::Number(_))
            && matches!(
                word(at + 1),
                "time" | "x" | "stir" | "shake" | "turn" | "rotation" | "revolution"
            )
        {
            return Some(at + 2);
        }
        // `five or six times`
        let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
        matches!(word(phrase.next), "time" | "turn" | "rotation").then_some(phrase.next + 1)
    }

    /// `until frosted`, `so it foams`: when it is done.
    fn until_when(&self, at: usize) -> Option<usize> {
        if !matches!(self.words[at].folded.as_str(), "till" | "til" | "until" | "so") {
            return None;
        }
        let end = (at + 1..self.len().min(at + 9))
            .find(|&j| self.boundary(j) || self.is(j, Tag::Joint).is_some())
            .unwrap_or(self.len().min(at + 9));
        let numbered = self.tokens[at..end]
            .iter()
            .any(crate::spec::tokens::Token::is_number);
        (!numbered && end > at + 1).then_some(end)
    }

    /// `hard`, `all`: how it is done, and that it is done to all of it.
    fn manner_of_work(&self, at: usize) -> Option<usize> {
        [Tag::Manner, Tag::All].into_iter().find_map(|tag| {
            self.is(at, tag)
                .filter(|&end| self.name_at(at).is_none_or(|(name, _)| name <= end) && !self.boundary(at))
        })
    }

    /// `rest`, `the first three ingredients`, `it`: what was poured and is worked.
    fn what_is_worked(&self, at: usize) -> Option<usize> {
        let word = self.words[at].folded.as_str();
        // `shake rest with cubes`: what else was poured.
        if word == "rest" && !self.boundary(at) && !self.has_time(at + 1) {
            return Some(at + 1);
        }
        let next = self.is(at, Tag::Article).filter(|_| !self.boundary(at))?;
        self.is(next, Tag::All).or((word == "it").then_some(next))
    }

    /// Whether a time stands at `at`, behind `for` or not.
    fn has_time(&self, at: usize) -> bool {
        let at = at + usize::from(self.words.get(at).is_some_and(|w| w.folded == "for"));
        matches!(self.tokens.get(at..).and_then(technique::time), Some(Ok(_)))
    }

    /// `in the tin`, `in a mixing glass`.
    pub(super) fn in_a_vessel(&self, at: usize) -> Option<usize> {
        let mut next = self.is(at, Tag::Preposition)?;
        while let Some(after) = self.is(next, Tag::Article).or_else(|| {
            self.is(next, Tag::GlassLike)
                .filter(|_| self.is(next, Tag::Vessel).is_none())
        }) {
            next = after;
        }
        // `between two tins`
        if self
            .words
            .get(next)
            .is_some_and(|w| matches!(w.folded.as_str(), "two" | "2" | "both"))
        {
            next += 1;
        }
        self.is(next, Tag::Vessel)
    }

    /// Ice at `i`, with its mass where that is given: `ice`, `crushed ice`, `120 g ice`, `1 cup crushed ice`, `6 ice cubes`.
    pub(super) fn amount_of_ice(&self, i: usize) -> Option<IceRead> {
        if let Some(end) = self.ice_phrase(i) {
            return Some(IceRead { end, grams_end: None });
        }
        let phrase = amounts::phrase(&self.tokens, i)?.ok()?;
        let (unit, next) = self.unit_at(phrase.next);
        // `1 large cube`
        if let Some(end) = self.ice_phrase(phrase.next) {
            return Some(IceRead { end, grams_end: None });
        }
        // `about 600 ml. Heaps of ice`: another sentence.
        if self.stopped(next) {
            return None;
        }
        // `1 small piece ice`, `2 or 3 lumps of crystal ice`
        let next = match unit {
            None => self.is(next, Tag::About).unwrap_or(next),
            Some(_) => next,
        };
        let next = match self.unit_at(next) {
            (Some(Unit::Piece | Unit::Cube), after) if unit.is_none() => after,
            _ => next,
        };
        // `1 glass of crushed ice`
        let next = if unit.is_none() {
            self.is(next, Tag::Glass).unwrap_or(next)
        } else {
            next
        };
        let mut next = next + usize::from(self.words.get(next).is_some_and(|w| w.folded == "of"));
        // `1 scoop (about 200 g) crushed ice`
        if self.mark(next, "(")
            && let Some(close) = (next + 1..self.len().min(next + 6)).find(|&k| self.mark(k, ")"))
        {
            next = close + 1;
        }
        // `2 cubes`: the unit is the ice.
        if unit == Some(Unit::Cube)
            && let Some(end) = self.ice_phrase(phrase.next)
        {
            return Some(IceRead { end, grams_end: None });
        }
        // `1 scoop – ice, crushed`
        let next = next + usize::from(self.mark(next, "-:") && self.parts(next));
        let end = self.ice_phrase(next)?;
        let weighed = matches!(unit, Some(Unit::Gram | Unit::Kilogram));
        Some(IceRead {
            end,
            grams_end: weighed.then_some(next),
        })
    }

    /// Steps of serving: strain, unstrained, neat, rest.
    pub(super) fn step_of_serving(&self, i: usize, out: &mut Vec<Found>) {
        let step = self.tag(i, |tag| match tag {
            Tag::Strain { fine } => Some(Step::Strain { fine }),
            Tag::Unstrained => Some(Step::Unstrained),
            Tag::Neat => Some(Step::Neat),
            Tag::Up => Some(Step::Strain { fine: false }),
            _ => None,
        });
        // `collins, no ice`: said of the glass, and not of the work before it.
        let bare = matches!(
            (
                self.words[i].folded.as_str(),
                self.words.get(i + 1).map(|w| w.folded.as_str())
            ),
            ("no" | "without" | "w/o", Some("ice"))
        );
        if bare {
            let before = (0..i).rev().find(|&j| !self.mark(j, ",-(")).unwrap_or(i);
            if (0..=before).any(|j| before < i && self.is(j, Tag::Glass) == Some(before + 1)) {
                let mut found = self.found(i, i + 2, 0, Item::Step(Step::Neat));
                found.roles = vec![(i, i + 2, Role::Work)];
                out.push(found);
            }
        }
        if let Some((step, end)) = step {
            let end = self
                .is(end, Tag::Manner)
                .filter(|_| !self.sentence_ends(end - 1))
                .unwrap_or(end);
            // `strain through a coffee filter`
            let end = self
                .in_a_vessel(end)
                .filter(|_| matches!(step, Step::Strain { .. }) && !self.sentence_ends(end - 1))
                .unwrap_or(end);
            let mut found = self.found(i, end, 0, Item::Step(step));
            found.roles = vec![(i, end, Role::Work)];
            out.push(found);
        }
        if let Some(end) = self.is(i, Tag::Rest) {
            let next = end + usize::from(self.words.get(end).is_some_and(|w| w.folded == "for"));
            let timed = self.tokens.get(next..).and_then(technique::time);
            let (item, to) = match timed {
                Some(Ok((seconds, taken))) => (Item::Step(Step::Rest(seconds)), next + taken),
                Some(Err(wrong)) => (Item::Fault(wrong), end),
                None if self.words.get(next).is_some_and(|w| w.folded == "overnight") => {
                    (Item::Step(Step::Rest(Amount::raw(43_200, 1))), next + 1)
                }
                // `rest peels in sugar 4 h`: how something is made.
                None if !self.boundary(end) => (Item::Words, end),
                None => {
                    let message = "a rest has no time; expected `rest 2 min` or `rest 30 s`";
                    (
                        Item::Fault(crate::spec::Unplaced::reject(self.span(i, end), message)),
                        end,
                    )
                }
            };
            let cost = if matches!(item, Item::Fault(_)) { 3 } else { 0 };
            let mut found = self.found(i, to, cost, item);
            found.roles = vec![(i, to, Role::Work)];
            out.push(found);
        }
    }
}

/// Ice as read.
pub(super) struct IceRead {
    pub end: usize,
    /// Where its mass ends, where it is weighed.
    pub grams_end: Option<usize>,
}
