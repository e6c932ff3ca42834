//! What is taken back, only thought of, or left out: words that undo a pour or ask about it.

use std::cmp::Reverse;

use super::{Item, Reader};
use crate::spec::lexicon::{self, Tag};
use crate::spec::{PourAmount, Unplaced, amounts};

impl Reader<'_> {
    /// `no wait, ten`, `make that 20 ml`, `no wait, ten of agave`: words that take back what was said, and the amount
    /// where nothing is named behind it.
    pub(super) fn correction(&self, i: usize) -> Option<(usize, Option<PourAmount>)> {
        let mut at = self.is(i, Tag::Correction)?;
        while self.mark(at, ",-:.…") || self.is(at, Tag::Correction).is_some() {
            at = self.is(at, Tag::Correction).unwrap_or(at + 1);
        }
        // `no wait we cut that, 45`
        if at > i + 1 && amounts::phrase(&self.tokens, at).is_none() {
            let comma = (at..self.len().min(at + 6)).find(|&j| self.parts(j));
            if let Some(comma) = comma
                && self.mark(comma, ",-:")
                && (at..comma).all(|j| self.name_at(j).is_none() && !self.works(j))
                && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, comma + 1)
                && (self.boundary(phrase.next) || self.tokens[phrase.next - 1].stops())
            {
                at = comma + 1;
            }
        }
        // `no 4` is a number, `no, 4` another amount.
        if at == i + 1 && self.words[i].folded == "no" {
            return None;
        }
        // `sorry, lemon is .75`: a pour comes next, and stands in the place of the one before.
        if self.told_again(at).is_some() {
            return Some((at, None));
        }
        let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        // `lets say 15. 20 lemon`
        let stops = unit.is_none()
            && self.tokens[phrase.next - 1].stops()
            && self.tokens.get(end).is_none_or(|t| t.spaced);
        let alone = stops || self.boundary(end) || self.is(end, Tag::Joint).is_some();
        Some(match alone {
            true => (end, Some(PourAmount::Of(phrase.extent, unit))),
            false => (at, None),
        })
    }

    /// Where the amount stands of what is told again: `lemon is .75 not .5`, `gin should be 45`.
    pub(super) fn told_again(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let (end, _) = self.name_at(i)?;
        let at = match (word(end), word(end + 1)) {
            ("should" | "is", "be" | "now") => end + 2,
            ("is", _) => end + 1,
            _ => return None,
        };
        let corrected = i > 0
            && self.words[..i].iter().rev().take(3).any(|w| {
                matches!(
                    w.folded.as_str(),
                    "sorry" | "correction" | "wait" | "edit" | "update" | "actually"
                )
            });
        let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
        let (_, after) = self.unit_at(phrase.next);
        (self.tokens[at].is_number() && (corrected || self.left_out(after).is_some())).then_some(at)
    }

    /// `no wait I think it was lime`, `or maybe it was an ounce and a half`: what was said is doubted, and nothing tells
    /// what stands in its place.
    pub(super) fn taken_back(&self, i: usize) -> Option<(usize, Unplaced)> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let (end, message) = if let Some(end) = self.is(i, Tag::Correction) {
            let sure = matches!(word(end - 1), "wait" | "that" | "correction" | "sorry") && word(i) != "make";
            let more = end < self.len() && self.does_or_names_ahead(end);
            if !sure || !more || i == 0 {
                return None;
            }
            (end, "what does it take back? expected the drink as it is poured")
        } else if word(i) == "or" && i > 0 {
            let mut at = i + 1;
            while matches!(word(at), "it" | "was" | "is" | "even" | "like")
                || self.is(at, Tag::About).is_some()
                || self.is(at, Tag::Clause).is_some_and(|end| end == at + 1)
            {
                at += 1;
            }
            if at == i + 1 {
                return None;
            }
            let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
            let (unit, end) = self.unit_at(phrase.next);
            unit?;
            let half = (word(end) == "and")
                .then(|| amounts::part_in_words(&self.tokens, end + 1))
                .flatten();
            let end = half.map_or(end, |(_, end)| end);
            self.boundary(end).then_some(())?;
            (end, "two amounts for one pour: which is it?")
        } else {
            return None;
        };
        let wrong = Unplaced::ask(
            self.span(i, end),
            format!("`{}`: {message}", self.raw(i, end)),
            Vec::new(),
        );
        Some((end, wrong))
    }

    /// `or 10 ml agave if there is no honey`: another way, of which nothing is poured.
    pub(super) fn alternative(&self, i: usize) -> Option<usize> {
        if self.words[i].folded != "or" || i == 0 || !self.tokens.get(i + 1)?.is_number() {
            return None;
        }
        self.end_of_a_pour(i + 1)
    }

    /// `Maybe olive oil on top? No.`: what is only thought of; nothing of it is poured where the answer is no.
    pub(super) fn wondered(&self, i: usize) -> Option<(usize, Item)> {
        let begins = i == 0 || self.sentence_ends(i - 1) || self.parts(i - 1) || self.mark(i - 1, "?");
        if !begins
            || !matches!(
                self.words[i].folded.as_str(),
                "maybe" | "perhaps" | "possibly" | "should"
            )
        {
            return None;
        }
        let end = (i + 1..self.len())
            .take_while(|&j| !self.sentence_ends(j - 1) || j == i + 1)
            .find(|&j| self.mark(j, "?"))?;
        let answer = self.words.get(end + 1).map_or("", |w| w.folded.as_str());
        if matches!(answer, "no" | "nah" | "nope" | "not") {
            return Some((end + 2, Item::Words));
        }
        let wrong = Unplaced::ask(
            self.span(i, end + 1),
            format!("`{}`: is it poured or not?", self.raw(i, end + 1)),
            Vec::new(),
        );
        (i + 1..end)
            .any(|j| matches!(self.name_at(j), Some((_, lexicon::Sort::Liquid))))
            .then_some((end + 1, Item::Fault(wrong)))
    }

    /// `instead of a full ounce of red bitter`, `in place of 20 ml lemon`: what is not poured.
    pub(super) fn left_out(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        // `.75 not .5`
        if word(i) == "not" && self.tokens.get(i + 1).is_some_and(|t| t.is_number()) {
            let phrase = amounts::phrase(&self.tokens, i + 1)?.ok()?;
            let (_, end) = self.unit_at(phrase.next);
            return self.boundary(end).then_some(end);
        }
        let at = match (word(i), word(i + 1), word(i + 2)) {
            ("instead" | "replacing", "of", _) | ("rather", "than", _) => i + 2,
            ("in", "place", "of") => i + 3,
            _ => return None,
        };
        let bare = self.is(at, Tag::Article).unwrap_or(at);
        self.end_of_a_pour(at)
            .or_else(|| self.end_of_a_pour(bare))
            .or_else(|| self.name_at(bare).map(|(end, _)| end))
    }

    /// Where the pour ends that is read best from `i`, where its amount stands.
    fn end_of_a_pour(&self, i: usize) -> Option<usize> {
        let mut pours = Vec::new();
        self.amount_first(i, &mut pours);
        pours
            .into_iter()
            .filter(|f| matches!(f.item, Item::Pours(_)))
            .min_by_key(|f| (f.cost, Reverse(f.to)))
            .map(|f| f.to)
    }
}
