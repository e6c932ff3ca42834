//! Words that join, head a part, or are for the reader.

use super::harmless::is_a_turn_of_hand;
use super::{Found, Item, Reader, Role, UNKNOWN_WORD};
use crate::measure::Dimension;
use crate::spec::lexicon::Tag;
use crate::spec::tokens::Kind;
use crate::spec::{Unplaced, amounts};

impl Reader<'_> {
    /// Words that join, head a part, or are for the reader.
    pub(super) fn other(&self, i: usize, out: &mut Vec<Found>) {
        self.joining(i, out);
        self.unpoured(i, out);
        self.speaking(i, out);
        self.token_by_itself(i, out);
    }

    /// Words to the reader, `i..to`.
    fn words_to_the_reader(&self, i: usize, to: usize, cost: u32) -> Found {
        self.found(i, to, cost, Item::Words).all(Role::Note)
    }

    /// Words that join readings, head a part of a spec, or take back what stands before them.
    fn joining(&self, i: usize, out: &mut Vec<Found>) {
        if let Some(end) = self.is(i, Tag::With) {
            out.push(self.found(i, end, 1, Item::With).all(Role::Joint));
            // `with a barspoon`, `with the back of a spoon`: what it is done with, and no measure of anything.
            out.extend(self.tool_at(end).map(|tool| self.words_to_the_reader(i, tool, 0)));
        }
        if let Some(end) = self.is(i, Tag::Joint) {
            out.push(self.found(i, end, 1, Item::Joint).all(Role::Joint));
        }
        if let Some(end) = self.is(i, Tag::Header)
            && (self.mark(end, ":") || i == 0 && end == self.len())
        {
            let to = if end < self.len() { end + 1 } else { end };
            out.push(self.found(i, to, 0, Item::Header).all(Role::Mark));
        }
        if let Some((end, amount)) = self.correction(i) {
            out.push(self.found(i, end, 1, Item::Correction(amount)).all(Role::Amount));
        } else if let Some((end, wrong)) = self.taken_back(i) {
            out.push(self.found(i, end, 0, Item::Fault(wrong)).all(Role::Asked));
        }
    }

    /// What is named, measured or done at `i` and pours nothing.
    fn unpoured(&self, i: usize, out: &mut Vec<Found>) {
        let words = |cost: u32| move |end: usize| self.words_to_the_reader(i, end, cost);
        out.extend(
            self.heats(i)
                .map(|end| self.found(i, end, 0, Item::Hot).all(Role::Serve)),
        );
        out.extend(self.warms_the_glass(i).map(words(0)));
        out.extend(self.said_not_to_be_done(i).map(words(0)));
        out.extend(self.portioned(i).map(words(0)));
        out.extend(self.kept_in(i).map(words(4)));
        // `to 1 finger below the rim`: how far it is filled.
        out.extend(self.short_of_the_rim(i).map(words(0)));
        // `soda from the siphon`
        out.extend(self.in_a_vessel(i).map(words(2)));
        out.extend(self.alternative(i).map(words(1)));
        if i == 0 {
            out.extend(self.title_of_a_bowl().map(|(at, _)| at).map(words(0)));
        }
        if let Some((end, item)) = self.wondered(i) {
            out.push(self.found(i, end, 0, item).all(Role::Note));
        }
        out.extend(self.left_out(i).map(words(0)));
        if let Some(end) = self.is(i, Tag::Hot) {
            out.push(self.found(i, end, 0, Item::Hot).all(Role::Serve));
        }
        if let Some((label, end)) = self.recipe_in_brackets(i) {
            out.push(self.found(i, end, 0, Item::Recipe(label)).all(Role::Note));
        }
        // `tea 5 g for 250 g of water`, `30 g tarragon for 700 ml vodka`: so much of one for so much of another is how a
        // thing is made.
        if let Some((label, end)) = self.made_of_one_for_another(i) {
            out.push(self.found(i, end, 1, Item::Recipe(label)).all(Role::Note));
        }
        out.extend(self.turns_of_hand(i).map(words(1)));
    }

    /// Words of serving and words to the reader: the less they say, the less they cost.
    fn speaking(&self, i: usize, out: &mut Vec<Found>) {
        if let Some(end) = self.is(i, Tag::Batch) {
            out.push(self.found(i, end, 2, Item::Words).all(Role::Serve));
        }
        if let Some(end) = self.is(i, Tag::PerServe)
            && (i == 0 || self.boundary(i) || self.parts(i - 1))
        {
            out.push(self.found(i, end, 0, Item::PerServe).all(Role::Serve));
        }
        let costs = [
            (Tag::Article, 2),
            (Tag::All, 2),
            (Tag::Serve, 2),
            (Tag::Manner, 2),
            (Tag::Preposition, 3),
            (Tag::Aside, 3),
            (Tag::Quality, 7),
            (Tag::Treatment, 7),
            (Tag::GlassLike, 7),
        ];
        for (tag, cost) in costs {
            out.extend(self.is(i, tag).map(|end| self.words_to_the_reader(i, end, cost)));
        }
        out.extend(self.clause(i).map(|end| self.words_to_the_reader(i, end, 4)));
        if let Some(end) = self.prose(i) {
            let words = u32::try_from(end - i).unwrap_or(u32::MAX);
            out.push(self.words_to_the_reader(i, end, 5 + words / 4));
        }
    }

    /// The token at `i` and nothing else, where no reading takes it: an amount that is none of anything is asked about.
    fn token_by_itself(&self, i: usize, out: &mut Vec<Found>) {
        match &self.tokens[i].kind {
            // A word of work is given up as a word to the reader only where nothing else will do.
            Kind::Word(_) if self.is_a_verb_of_work(i) => {
                out.push(self.words_to_the_reader(i, i + 1, 3 * UNKNOWN_WORD));
            }
            Kind::Word(_) => out.push(self.words_to_the_reader(i, i + 1, UNKNOWN_WORD)),
            Kind::Mark(_) if !self.parts(i) => {
                out.push(self.found(i, i + 1, 3, Item::Joint).all(Role::Mark));
            }
            Kind::Mark(_) => {}
            Kind::Number(_) | Kind::Fraction(..) | Kind::Ratio(_) => {
                out.extend(
                    self.harmless_number(i)
                        .map(|to| self.words_to_the_reader(i, to, 1)),
                );
                let wrong = Unplaced::ask(
                    self.span(i, i + 1),
                    format!(
                        "`{}`: an amount of what? expected a pour such as `50 ml gin`, or a step such as `shake 12 s`",
                        self.raw(i, (i + 4).min(self.len()))
                    ),
                    Vec::new(),
                );
                out.push(self.found(i, i + 1, 40, Item::Unread(wrong)).all(Role::Asked));
            }
        }
    }

    /// `bottle at 100 ml`: how much goes into each.
    fn portioned(&self, i: usize) -> Option<usize> {
        let fills = matches!(
            self.words[i].folded.as_str(),
            "bottle" | "bag" | "can" | "portion" | "keg"
        );
        if !fills || self.words.get(i + 1).is_none_or(|w| w.folded != "at") {
            return None;
        }
        let end = self.volume_at(i + 2)?;
        self.boundary(end).then_some(end)
    }

    /// `bottle in 1 litre swing tops`: what it is kept in.
    fn kept_in(&self, i: usize) -> Option<usize> {
        if !matches!(self.words[i].folded.as_str(), "in" | "into") {
            return None;
        }
        let after = self.volume_at(i + 1)?;
        if self.name_at(after).is_some() || self.ice_phrase(after).is_some() || self.boundary(after) {
            return None;
        }
        let end = (after..self.len())
            .find(|&j| self.boundary(j))
            .unwrap_or(self.len());
        let words = (after..end).all(|j| {
            matches!(self.tokens[j].kind, Kind::Word(_))
                && (!self.does_or_names(j) || self.is(j, Tag::Glass).is_some())
        });
        (words && self.words.get(after).is_some_and(|w| w.folded != "of")).then_some(end)
    }

    /// Where a volume ends that begins at `i`: `1 litre`.
    fn volume_at(&self, i: usize) -> Option<usize> {
        let phrase = amounts::phrase(&self.tokens, i)?.ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        (unit?.facts().dimension == Dimension::Volume).then_some(end)
    }

    /// `one lift`, `two turns`: how often something is done, counted in words.
    fn turns_of_hand(&self, i: usize) -> Option<usize> {
        matches!(self.tokens[i].kind, Kind::Word(_)).then_some(())?;
        let phrase = amounts::phrase(&self.tokens, i)?.ok()?;
        self.words
            .get(phrase.next)
            .is_some_and(|w| w.folded == "rotation" || is_a_turn_of_hand(&w.folded))
            .then_some(phrase.next + 1)
    }
}
