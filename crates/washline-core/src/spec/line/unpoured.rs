//! What is named or measured and not poured: what warms a glass, what a tool is, how far a glass is filled.

use super::Reader;
use crate::spec::amounts;
use crate::spec::lexicon::Tag;

impl Reader<'_> {
    /// `to 1 finger below the rim`, `2 cm from the top`, `to just under the brim`.
    pub(super) fn short_of_the_rim(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at = i + usize::from(matches!(word(i), "to" | "until" | "till"));
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at) {
            at = phrase.next;
            at += usize::from(matches!(word(at), "finger" | "cm" | "inch" | "mm" | "thumb"));
        } else if matches!(word(at), "just" | "slightly" | "almost") {
            at += 1;
        }
        let short = matches!(word(at), "below" | "under" | "from" | "short") && at > i;
        at += 1;
        at += usize::from(word(at) == "of");
        at = self.is(at, Tag::Article).unwrap_or(at);
        (short && matches!(word(at), "rim" | "top" | "brim" | "lip" | "edge")).then_some(at + 1)
    }

    /// `pre-heat the mug with hot water`, `chill the glass with ice and water`: nothing of that is poured.
    pub(super) fn warms_the_glass(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let verb = matches!(
            word(i),
            "heat" | "preheat" | "pre" | "prewarm" | "warm" | "chill" | "prechill" | "scald" | "fill"
        );
        if !verb {
            return None;
        }
        let end = (i + 1..self.len().min(i + 14))
            .find(|&j| j > i + 1 && self.boundary(j) && !self.tokens[j].joined);
        let end = end.unwrap_or(self.len());
        let holder =
            (i + 1..end).find(|&j| self.is(j, Tag::Glass).is_some() || self.is(j, Tag::Vessel).is_some())?;
        let water = (holder..end).find(|&j| {
            word(j) == "water"
                && matches!(
                    word(j - 1),
                    "hot" | "boiling" | "warm" | "kettle" | "iced" | "ice" | "cold"
                )
        })?;
        // `fill the mug with hot water` may be the drink's own; of a glass that is emptied again it is not.
        let emptied = word(i) != "fill"
            || self.words[water..]
                .iter()
                .any(|w| matches!(w.folded.as_str(), "discard" | "empty" | "dump" | "tip"));
        emptied.then_some(water + 1)
    }

    /// `do not top up with the old batch`: a pour that is said not to be done, to the end of the sentence.
    pub(super) fn said_not_to_be_done(&self, i: usize) -> Option<usize> {
        let placed = self.tag(i, |t| {
            matches!(t, Tag::Top | Tag::Float | Tag::Rinse | Tag::Mist).then_some(())
        });
        placed?;
        let not = i > 0
            && matches!(
                self.words[i - 1].folded.as_str(),
                "not" | "never" | "dont" | "cannot" | "without"
            );
        let end = (i + 1..self.len()).find(|&j| self.boundary(j) || self.is(j, Tag::Joint).is_some());
        not.then(|| end.unwrap_or(self.len()))
    }

    /// `a barspoon`, `the back of a spoon`, `a swizzle stick` at `i`, where nothing of it is named behind it.
    pub(super) fn tool_at(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at = self.is(i, Tag::Article)?;
        if word(at) == "back" && word(at + 1) == "of" {
            at = self.is(at + 2, Tag::Article).unwrap_or(at + 2);
        }
        while matches!(word(at), "long" | "bar" | "swizzle" | "small" | "cocktail") {
            at += 1;
        }
        let tool = matches!(
            word(at),
            "barspoon"
                | "spoon"
                | "stick"
                | "muddler"
                | "siphon"
                | "lele"
                | "pick"
                | "fork"
                | "knife"
                | "straw"
        );
        (tool && self.boundary(at + 1)).then_some(at + 1)
    }

    /// `heat 150 ml of milk`, `warm the cider`: work that makes a drink hot, before what it is done to.
    pub(super) fn heats(&self, i: usize) -> Option<usize> {
        let verb = matches!(
            self.words[i].folded.as_str(),
            "heat" | "warm" | "steam" | "simmer"
        );
        let begins =
            i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1) || self.is(i - 1, Tag::Joint).is_some();
        let next = self.is(i + 1, Tag::Article).unwrap_or(i + 1);
        let glass = self.is(next, Tag::Glass).is_some() || self.is(next, Tag::Vessel).is_some();
        let what = self.name_at(next).is_some()
            || self.is(next, Tag::All).is_some()
            || amounts::phrase(&self.tokens, next).is_some();
        (verb && begins && what && !glass).then_some(i + 1)
    }
}
