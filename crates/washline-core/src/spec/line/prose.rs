//! Words to the reader: prose in which nothing is poured or done, up to where something may be.

use super::{Found, Item, Reader};
use crate::spec::amounts;
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};

impl Reader<'_> {
    /// Whether something is named within a few words from `from`, before the sentence or its part ends.
    pub(super) fn does_or_names_ahead(&self, from: usize) -> bool {
        (from..self.len().min(from + 6))
            .take_while(|&j| j == from || !self.boundary(j))
            .any(|j| self.name_at(j).is_some())
    }

    /// Part of a sentence in which nothing is named, measured or done: words to the reader.
    pub(super) fn prose(&self, i: usize) -> Option<usize> {
        let begins =
            i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1) || self.is(i - 1, Tag::Joint).is_some();
        if !begins || !matches!(self.tokens[i].kind, Kind::Word(_)) {
            return None;
        }
        let mut at = i;
        let mut words = 0;
        let allergens = self
            .words
            .iter()
            .any(|w| matches!(w.folded.as_str(), "allergen" | "allergy"))
            && !self.tokens.iter().any(Token::is_number);
        if allergens {
            return Some(self.len());
        }
        if i == 0 && self.may_be_counted() {
            return None;
        }
        while at < self.len() && (at == i || !self.sentence_ends(at - 1)) {
            if self.parts(at) {
                // A full stop of `no.`, a dash: on it goes only where the line ends there.
                break;
            }
            if self.does_or_names(at) || self.counts_in_words(at) || self.says_to_taste(at) {
                return None;
            }
            match &self.tokens[at].kind {
                Kind::Word(_) => words += 1,
                // `we need 40 serves`
                Kind::Number(_) if self.has_a_unit(at + 1) || self.counts_drinks(at + 1) => return None,
                Kind::Number(_) => {}
                Kind::Fraction(..) | Kind::Ratio(_) => return None,
                Kind::Mark(_) => {}
            }
            at += 1;
        }
        (words >= 3 || words == 2 && i > 0).then_some(at)
    }

    /// Whether a unit of more than one letter stands at a place; one letter may be anything.
    fn has_a_unit(&self, at: usize) -> bool {
        matches!(self.unit_at(at), (Some(_), end) if self.raw(at, end).len() > 1)
    }

    /// `a good handful`: a unit whose number is a word.
    fn counts_in_words(&self, at: usize) -> bool {
        at > 0
            && matches!(self.unit_at(at), (Some(_), end) if self.raw(at, end).len() > 2)
            && (self.is(at - 1, Tag::About).is_some() || self.is(at - 1, Tag::Article).is_some())
    }

    /// Whether work begins at a place, or a word that says where a pour goes.
    pub(super) fn works(&self, at: usize) -> bool {
        self.tag(at, |tag| {
            matches!(
                tag,
                Tag::Work(_)
                    | Tag::Strain { .. }
                    | Tag::Unstrained
                    | Tag::Top
                    | Tag::Float
                    | Tag::Rinse
                    | Tag::Mist
            )
            .then_some(())
        })
        .is_some()
    }

    /// Whether a known name, work or a word of serving begins at a place.
    pub(super) fn does_or_names(&self, at: usize) -> bool {
        self.name_at(at).is_some()
            || self.ice_phrase(at).is_some()
            || self.works(at)
            || self
                .tag(at, |tag| {
                    matches!(
                        tag,
                        Tag::Neat
                            | Tag::GarnishVerb
                            | Tag::GarnishNoun
                            | Tag::Glass
                            | Tag::Each
                            | Tag::PerServe
                    )
                    .then_some(())
                })
                .is_some()
    }

    /// Whether the line is a few words and a number that may be an amount of them: `chicha morada reduction 25`.
    fn may_be_counted(&self) -> bool {
        let amount = self.tokens.last().is_some_and(
            |t| matches!(&t.kind, Kind::Number(n) if n.parse::<u32>().is_ok_and(|n| (5..=200).contains(&n))),
        );
        amount
            && (3..=6).contains(&self.len())
            && (0..self.len() - 1).all(|at| {
                matches!(self.tokens[at].kind, Kind::Word(_))
                    && !lexicon::is_filler(&self.words[at].folded)
                    && self.is(at, Tag::Aside).is_none()
                    && self.is(at, Tag::Clause).is_none()
                    && !self.counts_drinks(at)
                    && self
                        .name_at(at)
                        .is_none_or(|(_, sort)| sort != lexicon::Sort::Solid)
            })
    }

    /// Whether a line that did not read has nothing in it that could be poured or done: no known name, no amount with a
    /// unit, no work. Then it is for the reader.
    pub(super) fn is_for_the_reader(&self, found: &[Found]) -> bool {
        let unread = found
            .iter()
            .any(|f| f.item.is_unread() || matches!(f.item, Item::Pours(_) | Item::Mention(_)));
        let words = self
            .tokens
            .iter()
            .filter(|t| matches!(t.kind, Kind::Word(_)))
            .count();
        if !unread || words < 3 || self.tokens[0].is_number() {
            return false;
        }
        // `chicha morada reduction 25`: a few words and a number that may be an amount of them.
        if self.may_be_counted() {
            return false;
        }
        (0..self.len()).all(|at| {
            let named = self.name_at(at).is_some();
            let measured = match amounts::phrase(&self.tokens, at) {
                Some(Ok(phrase)) => self.has_a_unit(phrase.next),
                Some(Err(_)) => true,
                None if self.counts_in_words(at) => true,
                None => self.says_to_taste(at),
            };
            !named && !measured && !self.works(at)
        }) && found.iter().all(|f| match &f.item {
            Item::Pours(pours) => pours.iter().all(|(p, _)| {
                p.choices.iter().all(|n| {
                    !crate::ingredient::tells_its_kind(&n.name) && crate::ingredient::never(&n.name).is_none()
                })
            }),
            _ => true,
        })
    }

    /// What was, or might be, is not poured: `try 30 next time`, `was 25`, `I'd had 20 ml in it`.
    fn is_of_another_time(&self, from: usize, to: usize) -> bool {
        const WORDS: [&str; 21] = [
            "try",
            "next",
            "offer",
            "upsell",
            "available",
            "practise",
            "practice",
            "consider",
            "bump",
            "swap",
            "replace",
            "yesterday",
            "tried",
            "previously",
            "used",
            "originally",
            "formerly",
            "was",
            "sub",
            "alternative",
            "substitute",
        ];
        let had = self.words[from..to].iter().any(|w| w.folded == "had");
        had || WORDS.contains(&self.words[from].folded.as_str())
    }

    /// `that I wash with butter`, `so it stays cold`: words to the reader, up to where a pour or work may begin.
    pub(super) fn clause(&self, i: usize) -> Option<usize> {
        let mut at = self.is(i, Tag::Clause)?;
        if self.is_of_another_time(i, at) {
            while at < self.len() && !self.sentence_ends(at - 1) {
                if self.mark(at, ",;)") || self.mark(at, "-") && self.parts(at) {
                    break;
                }
                at += 1;
            }
            return Some(at);
        }
        // What a drink contains is not poured by saying so.
        if matches!(self.words[i].folded.as_str(), "allergen" | "allergy" | "contain") {
            while at < self.len() && !self.sentence_ends(at - 1) {
                if self.tokens[at].is_number() && self.has_a_unit(at + 1) {
                    break;
                }
                at += 1;
            }
            return Some(at);
        }
        while at < self.len() && !self.parts(at) && !self.mark(at, "?") && !self.sentence_ends(at - 1) {
            let amount = match amounts::phrase(&self.tokens, at) {
                None => false,
                Some(Err(_)) => true,
                Some(Ok(phrase)) => {
                    let name = self.past_of(phrase.next);
                    // `so a whole bottle of wine`
                    let mut unit = phrase.next;
                    while let Some(end) = self.is(unit, Tag::About) {
                        unit = end;
                    }
                    self.tokens[at].is_number()
                        || self.unit_at(unit).0.is_some()
                        || self.name_at(name).is_some()
                }
            };
            let does = self.works(at)
                || self
                    .tag(at, |tag| {
                        matches!(
                            tag,
                            Tag::GarnishVerb | Tag::Joint | Tag::Each | Tag::ToFill | Tag::OnTop
                        )
                        .then_some(())
                    })
                    .is_some();
            // `goes in a sling glass`
            let glass = self.is(at, Tag::Preposition).is_some()
                && matches!(self.words[at].folded.as_str(), "in" | "into")
                && self
                    .glass_name(self.is(at + 1, Tag::Article).unwrap_or(at + 1))
                    .is_some();
            // `it was too sweet at 20`
            let amount = amount && !(self.words[at - 1].folded == "at" && self.boundary(at + 1));
            // `I have rum 50`: a name with its amount behind it.
            let counted = self.name_at(at).is_some_and(|(end, _)| {
                self.tokens.get(end).is_some_and(Token::is_number)
                    && (self.boundary(end + 1) || self.unit_at(end + 1).0.is_some())
            });
            if amount
                || does
                || counted
                || glass
                || self.equal_parts(at)
                || self.left_out(at).is_some()
                || self.correction(at).is_some()
                || matches!(self.tokens[at].kind, Kind::Ratio(_))
                || self.ice_phrase(at).is_some()
            {
                break;
            }
            at += 1;
        }
        Some(at)
    }
}
