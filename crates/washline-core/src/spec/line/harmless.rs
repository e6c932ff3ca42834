//! Numbers that measure no pour: times, temperatures, strengths, codes, prices, counts of other things.

use super::Reader;
use crate::measure::Unit;
use crate::spec::lexicon::{self, Tag};
use crate::spec::process;
use crate::spec::tokens::Kind;

/// What the hand does once to a drink, and is counted: `one lift`, `3 turns`.
pub(super) fn is_a_turn_of_hand(word: &str) -> bool {
    matches!(
        word,
        "lift"
            | "turn"
            | "fold"
            | "swirl"
            | "spin"
            | "rotation"
            | "revolution"
            | "stir"
            | "pass"
            | "toss"
            | "pull"
            | "draw"
    )
}

impl Reader<'_> {
    /// A number that measures no pour: `4 °C`, `x 5`, `3 times`, a time, a price.
    pub(super) fn harmless_number(&self, i: usize) -> Option<usize> {
        self.of_another_quantity(i)
            .or_else(|| self.coded_or_priced(i))
            .or_else(|| self.counts_what_is_not_poured(i))
            .or_else(|| process::harmless(&self.tokens[i..]).map(|taken| i + taken))
    }

    /// A time, a temperature, a strength, a turn of the hand: what no amount of a pour is told in.
    fn of_another_quantity(&self, i: usize) -> Option<usize> {
        // `35!!`, a sentence of its own: what stands there already, said with a fist on the table.
        if self.mark(i + 1, "!") && (i == 0 || self.sentence_ends(i - 1)) {
            return Some(i + 1);
        }
        // `the 14th`
        if matches!(
            self.words.get(i + 1).map_or("", |w| w.folded.as_str()),
            "st" | "nd" | "rd" | "th"
        ) && !self.tokens[i + 1].spaced
        {
            return Some(i + 2);
        }
        // `shake each 100 ml to order`: of what is made already.
        if i > 0
            && matches!(self.words[i - 1].folded.as_str(), "each" | "every")
            && let (Some(_), end) = self.unit_at(i + 1)
            && self.name_at(self.past_of(end)).is_none()
        {
            return Some(end);
        }
        if let Some(Ok((_, taken))) = crate::spec::technique::time(&self.tokens[i..]) {
            return Some(i + taken);
        }
        if let Some((_, taken)) = process::temperature(&self.tokens[i..]) {
            return Some(i + taken);
        }
        // `22 % ABV` of the whole drink, `32 brix`.
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if self.mark(i + 1, "%") && self.name_at(i + 2).is_none() {
            let mut end = i + 2;
            while matches!(word(end), "abv" | "vol" | "alc" | "dilution" | "off") {
                end += 1;
            }
            return Some(end);
        }
        if (matches!(
            word(i + 1),
            "charge" | "pulse" | "stroke" | "tap" | "lap" | "pump" | "press" | "it" | "star" | "degree"
        ) || is_a_turn_of_hand(word(i + 1)))
            && self.name_at(i + 1).is_none_or(|(end, _)| end == i + 2)
        {
            return Some(i + 2);
        }
        // `1 tin = 6 shots`
        if let Some(end) = self.is(i + 1, Tag::Vessel)
            && self.mark(end, "=")
        {
            return Some(end);
        }
        if lexicon::is_brix(word(i + 1))
            || matches!(
                word(i + 1),
                "kcal" | "day" | "week" | "hr" | "year" | "yr" | "month" | "yo" | "y.o"
            )
        {
            return Some(i + 2);
        }
        // `8 g/L`: how strong a tea is.
        if let (Some(Unit::Gram | Unit::Millilitre), end) = self.unit_at(i + 1)
            && self.mark(end, "/")
            && matches!(word(end + 1), "l" | "litre" | "kg" | "ml")
        {
            return Some(end + 2);
        }
        // `steam it to 65 ish`: a temperature.
        let heats = self.words[..i].iter().any(|w| {
            matches!(
                w.folded.as_str(),
                "steam" | "heat" | "warm" | "simmer" | "bring" | "hot"
            )
        });
        if heats
            && i > 0
            && word(i - 1) == "to"
            && (self.boundary(i + 1) || matches!(word(i + 1), "ish" | "c" | "and" | "deg"))
        {
            return Some(i + 1 + usize::from(matches!(word(i + 1), "ish" | "c" | "deg")));
        }
        None
    }

    /// A number that tells one thing from another, or what it costs.
    fn coded_or_priced(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        // `BAR-031`: a code. `Gin 50 ml | 1.40`: what it costs, in a cell of its own.
        let coded = i > 1
            && self.mark(i - 1, "-")
            && !self.tokens[i - 1].spaced
            && !self.tokens[i].spaced
            && matches!(&self.tokens[i - 2].kind, Kind::Word(w) if w.len() > 1 && !w.chars().any(char::is_lowercase))
            && matches!((&self.tokens[i].kind, self.name_at(i - 2)), (Kind::Number(n), named) if n.starts_with('0') || named.is_none());
        let cost = i > 2
            && self.mark(i - 1, "|")
            && self.boundary(i + 1)
            && matches!(&self.tokens[i].kind, Kind::Number(n) if n.contains('.'))
            && (0..i - 1).any(|j| self.tokens[j].is_number() && self.unit_at(j + 1).0.is_some());
        if coded || cost {
            return Some(i + 1);
        }
        // `better @ 30/25/5/15`, `£9`, `no. 4`.
        if i > 0 && self.mark(i - 1, "@£$€#")
            || matches!(
                word(i.wrapping_sub(1)),
                "@" | "no"
                    | "number"
                    | "v"
                    | "version"
                    | "station"
                    | "table"
                    | "page"
                    | "not"
                    | "usd"
                    | "eur"
                    | "gbp"
                    | "aud"
                    | "price"
                    | "cost"
                    | "code"
                    | "item"
                    | "rev"
                    | "entry"
            )
        {
            let mut end = i + 1;
            while end < self.len()
                && (self.tokens[end].is_number() || self.mark(end, "/.,"))
                && !self.tokens[end].spaced
            {
                end += 1;
            }
            if let (Some(_), unit) = self.unit_at(end)
                && self.boundary(unit)
            {
                end = unit;
            }
            return Some(end);
        }
        None
    }

    /// How many there are of a tool, a vessel, or of what is named before it.
    fn counts_what_is_not_poured(&self, i: usize) -> Option<usize> {
        // `candied ginger, 1 pc`: how many of what stands before it.
        if let (Some(Unit::Piece), after) = self.unit_at(i + 1)
            && self.boundary(after)
            && i > 0
        {
            return Some(after);
        }
        // `4 straws`, `2 is enough`, `19 l keg`, `Handout 4 - sours`.
        let named = self.name_at(i + 1).is_some();
        if !named && (self.is(i + 1, Tag::Aside).is_some() || self.is(i + 1, Tag::Clause).is_some()) {
            return Some(self.is(i + 1, Tag::Aside).unwrap_or(i + 1));
        }
        if let (Some(unit), after) = self.unit_at(i + 1)
            && !matches!(unit, Unit::Bottle)
            && let Some(vessel) = self.is(after, Tag::Vessel)
            && self.boundary(vessel)
        {
            return Some(vessel);
        }
        if (1..=2).contains(&i)
            && !self.words[..i].iter().any(lexicon::in_name)
            && matches!(&self.tokens[i].kind, Kind::Number(n) if n.trim_end_matches('.').len() == 1)
            && self.boundary(i + 1)
            && i + 1 < self.len()
        {
            return Some(i + 1);
        }
        None
    }
}
