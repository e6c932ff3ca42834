//! What is put on a drink and not in it.

use super::{Found, Item, Reader, Role};
use crate::names::key;
use crate::spec::amounts;
use crate::spec::lexicon::{self, Tag, singular};

impl Reader<'_> {
    pub(super) fn garnish(&self, i: usize, out: &mut Vec<Found>) {
        if let Some(end) = self.is(i, Tag::NoGarnish) {
            let mut found = self.found(i, end, 0, Item::Words);
            found.roles = vec![(i, end, Role::Garnish)];
            out.push(found);
            return;
        }
        if let Some(verb) = self.is(i, Tag::GarnishVerb) {
            self.after_a_verb(i, verb, out);
        }
        self.by_its_noun(i, out);
    }

    /// `garnish with a lime wheel`, `garnish: none`, `express an orange peel over the drink`.
    fn after_a_verb(&self, i: usize, verb: usize, out: &mut Vec<Found>) {
        // `garnish and serve`: with what was named.
        if let Some(end) = self.is(i, Tag::Serve).filter(|end| *end > verb) {
            let mut found = self.found(i, end, 0, Item::Words);
            found.roles = vec![(i, end, Role::Serve)];
            out.push(found);
            return;
        }
        let mut from = verb;
        while self.mark(from, ":")
            || self.is(from, Tag::With).is_some()
            || self.mark(from, "-") && self.parts(from)
        {
            from += 1;
        }
        if self
            .words
            .get(from)
            .is_some_and(|w| matches!(w.folded.as_str(), "none" | "no" | "nothing" | "n/a"))
        {
            let mut found = self.found(i, from + 1, 0, Item::Words);
            found.roles = vec![(i, from + 1, Role::Garnish)];
            out.push(found);
            return;
        }
        let only_garnish = self.words[i].folded.starts_with("garnish")
            || matches!(
                self.words[i].folded.as_str(),
                "to" | "for" | "decorate" | "dress" | "ornament" | "finish" | "add"
            );
        // `garnish …` takes the rest of its line, where nothing that is poured or worked hides in it.
        if i == 0 && self.words[i].folded == "garnish" && self.harmless_from(from) {
            let text = self.raw(from, self.len()).trim_end_matches(['.', ',', ' ']);
            if !text.is_empty() {
                let mut found = self.found(i, self.len(), 0, Item::Garnish(text.to_owned()));
                found.roles = vec![(i, self.len(), Role::Garnish)];
                out.push(found);
                return;
            }
        }
        for (end, cost) in self.ends_of_garnish(from) {
            let text = self.raw(if only_garnish { from } else { i }, end);
            let text = text.trim_end_matches(['.', ',', ' ']);
            if text.is_empty() {
                continue;
            }
            let cost = cost / 4 + u32::from(!self.words[i].folded.starts_with("garnish"));
            let mut found = self.found(i, end, cost, Item::Garnish(text.to_owned()));
            found.roles = vec![(i, end, Role::Garnish)];
            out.push(found);
        }
        if self.boundary(from) {
            let mut found = self.found(i, from, 4, Item::Words);
            found.roles = vec![(i, from, Role::Garnish)];
            out.push(found);
        }
    }

    /// Whether no pour and no work stands from `from` to the end of the line.
    fn harmless_from(&self, from: usize) -> bool {
        (from..self.len()).all(|j| {
            let works = self.tag(j, |tag| {
                matches!(
                    tag,
                    Tag::Work(_)
                        | Tag::Strain { .. }
                        | Tag::Top
                        | Tag::Float
                        | Tag::Rinse
                        | Tag::Mist
                        | Tag::Serve
                        | Tag::Glass
                )
                .then_some(())
            });
            let measured = match amounts::phrase(&self.tokens, j) {
                Some(Ok(phrase)) => self
                    .unit_at(phrase.next)
                    .0
                    .is_some_and(|u| !super::finish::on_the_glass(u)),
                Some(Err(_)) => true,
                None => false,
            };
            works.is_none() && !measured
        })
    }

    /// Where a garnish that begins at `from` may end, with what its words cost.
    fn ends_of_garnish(&self, from: usize) -> Vec<(usize, u32)> {
        let mut ends = Vec::new();
        let mut cost = 0;
        let mut j = from;
        while j < self.len() && j - from < 16 {
            if j > from && self.boundary(j) && !self.tokens[j].joined {
                break;
            }
            let stops = self
                .tag(j, |tag| {
                    matches!(
                        tag,
                        Tag::Work(_)
                            | Tag::Strain { .. }
                            | Tag::Unstrained
                            | Tag::Top
                            | Tag::Rinse
                            | Tag::Neat
                            | Tag::Up
                    )
                    .then_some(())
                })
                .is_some();
            if stops
                && j > from
                && self.is(j, Tag::GarnishNoun).is_none()
                && self.is(j - 1, Tag::Preposition).is_none()
            {
                break;
            }
            // `orange slice in a highball over cubes`
            if j > from && self.is(j, Tag::Preposition).is_some() {
                let next = self.is(j + 1, Tag::Article).unwrap_or(j + 1);
                let next = self.is(next, Tag::GlassLike).unwrap_or(next);
                if self.is(next, Tag::Glass).is_some() || self.ice_phrase(next).is_some() {
                    break;
                }
            }
            if self.is(j, Tag::Joint).is_some() {
                ends.push((j, cost));
                // `lime and mint`, `& drop in`.
                if self.tokens[j].is_number() {
                    break;
                }
                j += 1;
                continue;
            }
            if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, j) {
                let (unit, after) = self.unit_at(phrase.next);
                if unit.is_some_and(|u| !super::finish::on_the_glass(u) && u != crate::measure::Unit::Piece) {
                    break;
                }
                j = if unit.is_some() { after } else { phrase.next };
                continue;
            }
            if self.tokens[j].is_number() {
                break;
            }
            // A known liquid put in by no amount is no garnish unless it is one by its noun: `lemon oil`.
            let known = self.name_at(j).map(|(end, _)| end);
            let noun = self.is(j, Tag::GarnishNoun);
            if noun.is_none() && known.is_none() && !lexicon::is_known(&self.words[j]) {
                cost += 4;
            }
            j = noun.or(known).unwrap_or(j + 1).max(j + 1);
        }
        if j > from {
            ends.push((j.min(self.len()), cost));
        }
        ends
    }

    /// `lemon twist`, `orange peel`, `3 olives on a pick`, `wedge of lime`, `lime wheel garnish`.
    fn by_its_noun(&self, i: usize, out: &mut Vec<Found>) {
        let joins = self.is(i, Tag::Preposition).is_some()
            || self.is(i, Tag::Joint).is_some()
            || self.is(i, Tag::With).is_some()
            || self.is(i, Tag::Clause).is_some()
            || self
                .tag(i, |t| {
                    matches!(t, Tag::Work(_) | Tag::Strain { .. }).then_some(())
                })
                .is_some()
                && self.name_at(i).is_none();
        if joins && self.words[i].folded != "half" {
            return;
        }
        for (end, cost) in self.ends_of_garnish(i) {
            // `passionfruit half on top`
            let halved = end > i + 1
                && self.words[end - 1].folded == "half"
                && (self.boundary(end) || self.is(end, Tag::OnTop).is_some());
            let noun = halved || (i..end).any(|j| self.is(j, Tag::GarnishNoun).is_some_and(|e| e <= end));
            // `rinse with hot water and discard`: said of what was rinsed.
            let discards = (i..end).all(|j| matches!(self.words[j].folded.as_str(), "discard" | "discarded"));
            let noun = noun && !discards;
            if !noun {
                continue;
            }
            // `30 sweet vermouth`: no garnish is counted so high.
            let many = |n: &crate::spec::Extent| n.nominal > crate::measure::Amount::raw(12, 1);
            if matches!(amounts::phrase(&self.tokens, i), Some(Ok(phrase)) if many(&phrase.extent)) {
                continue;
            }
            // A liquid among the words is a pour: `soda and garnish`; its oil or peel is not.
            let pours = (i..end).any(|j| {
                self.name_at(j).is_some_and(|(e, sort)| {
                    sort == lexicon::Sort::Liquid
                        && e <= end
                        && self.is(e, Tag::GarnishNoun).is_none()
                        && self.is(j, Tag::GarnishNoun).is_none()
                        && !goes_on_the_glass(self.raw(j, e))
                })
            });
            if pours {
                continue;
            }
            let text = self.raw(i, end).trim_end_matches(['.', ' ']);
            let lower = text.to_lowercase();
            let stem = lower
                .strip_suffix("garnish")
                .or_else(|| lower.strip_suffix("garnished"))
                .map_or(text.len(), str::len);
            let text = text[..stem].trim_end();
            if text.is_empty() {
                continue;
            }
            let counted = 2 * u32::from(amounts::phrase(&self.tokens, i).is_some());
            // `half a shell for the garnish`
            let said = matches!(
                self.words.get(end).map(|w| w.folded.as_str()),
                Some("for" | "as" | "to")
            )
            .then(|| (end + 1..self.len().min(end + 4)).find(|&j| self.words[j].folded == "garnish"))
            .flatten();
            let (end, cost) = match said {
                Some(at) => (at + 1, 0),
                None => (end, 2 + counted + cost),
            };
            let mut found = self.found(i, end, cost, Item::Garnish(text.to_owned()));
            found.roles = vec![(i, end, Role::Garnish)];
            out.push(found);
        }
    }
}

/// Fruit whose name alone means its juice in a list of pours, and a piece of it on a glass.
pub(in crate::spec) fn goes_on_the_glass(name: &str) -> bool {
    matches!(
        singular(key(name).trim_end_matches('.')).as_ref(),
        "lime"
            | "lemon"
            | "orange"
            | "grapefruit"
            | "pineapple"
            | "cherry"
            | "mint"
            | "nutmeg"
            | "cinnamon"
            | "olive"
            | "cucumber"
            | "coffee bean"
            | "espresso dust"
            | "whipped cream"
            | "celery"
            | "basil"
            | "strawberry"
            | "raspberry"
            | "blackberry"
            | "apple"
            | "pear"
            | "chocolate"
            | "cocoa"
            | "fresh mint"
            | "big mint"
            | "lemon oil"
            | "orange oil"
            | "salt"
            | "pepper"
            | "dried orange"
            | "dehydrated orange"
            | "edible flower"
            | "cream"
    )
}
