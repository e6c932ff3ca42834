//! How something that is poured is made, said within a line: nothing of it is poured by saying so.

use super::Reader;
use crate::measure::Dimension;
use crate::spec::{amounts, process};

impl Reader<'_> {
    /// Two measured amounts in one part of a sentence, with `for` or `per` between them.
    pub(super) fn made_of_one_for_another(&self, i: usize) -> Option<(String, usize)> {
        let begins = i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1);
        if !begins || self.parts(i) {
            return None;
        }
        let end = (i..self.len())
            .find(|&j| j > i && self.boundary(j))
            .unwrap_or(self.len());
        let link = (i + 2..end).find(|&j| matches!(self.words[j].folded.as_str(), "for" | "per"))?;
        let measured = |from: usize, to: usize| {
            (from..to).find_map(|j| {
                let phrase = amounts::phrase(&self.tokens, j)?.ok()?;
                let (unit, after) = self.unit_at(phrase.next);
                let dimension = unit?.facts().dimension;
                (matches!(dimension, Dimension::Volume | Dimension::Mass) && after <= to).then_some(after)
            })
        };
        measured(i, link)?;
        let after = measured(link + 1, end).filter(|_| self.tokens[link + 1].is_number())?;
        // Of what, behind the second amount.
        (after < end).then(|| (self.raw(i, link).to_owned(), end))
    }

    /// `(honey water: 200 g honey, 100 ml water)`: how something is made, in brackets with its name before a colon.
    pub(super) fn recipe_in_brackets(&self, i: usize) -> Option<(String, usize)> {
        if !self.mark(i, "([") {
            return None;
        }
        let close = (i + 1..self.len()).find(|&j| self.mark(j, ")]"))?;
        let colon = (i + 1..close).find(|&j| self.mark(j, ":="))?;
        let label = self.raw(i + 1, colon);
        let words = (i + 1..colon).all(|j| !self.tokens[j].is_number());
        (words && colon > i + 1 && self.measured(colon + 1, close) > 1).then(|| (label.to_owned(), close + 1))
    }

    /// How many amounts of something are measured among the tokens `from..to`: times, temperatures, strengths and
    /// what is in a litre are none.
    pub(super) fn measured(&self, from: usize, to: usize) -> usize {
        let mut count = 0;
        let mut at = from;
        while at < to {
            if !self.tokens[at].is_number() {
                at += 1;
                continue;
            }
            if let Some(Ok((_, taken))) = crate::spec::technique::time(&self.tokens[at..]) {
                at += taken;
                continue;
            }
            if let Some((_, taken)) = process::temperature(&self.tokens[at..]) {
                at += taken;
                continue;
            }
            let next = match amounts::phrase(&self.tokens, at) {
                Some(Ok(phrase)) => phrase.next,
                _ => at + 1,
            };
            let (unit, after) = self.unit_at(next);
            let of_what = self.past_of(after);
            // `12 g/L` is a strength.
            let in_a_litre = unit.is_some() && self.mark(after, "/");
            let counts = unit.is_some() && !in_a_litre || self.name_at(next).is_some();
            if counts && !self.mark(next, "%") {
                count += 1;
            }
            at = of_what.max(at + 1);
        }
        count
    }
}
