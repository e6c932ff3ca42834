//! The words of a name, and what each of them does in it.

use std::ops::Range;

use super::heading::{Heading, is_figure};
use crate::ingredient::kind_table::{Kind, Role, kinds};

/// The words of a name, and which of them are accounted for: what is left over, nobody knows.
pub(super) struct Words {
    pub(super) all: Vec<String>,
    pub(super) used: Vec<bool>,
    /// Those that narrow what it is.
    pub(super) deciding: Vec<String>,
}

impl Words {
    /// The words of a name but for those of no alcohol, wherever they stand; and whether there are any of those.
    pub(super) fn without_alcohol(all: &[String]) -> (Words, bool) {
        let free = playing(Role::Free, all);
        let kept: Vec<String> = all
            .iter()
            .enumerate()
            .filter(|(at, _)| !free.iter().any(|range| range.contains(at)))
            .map(|(_, word)| word.clone())
            .collect();
        let words = Words {
            used: vec![false; kept.len()],
            all: kept,
            deciding: Vec::new(),
        };
        (words, !free.is_empty())
    }

    pub(super) fn account_for(&mut self, range: &Range<usize>) {
        self.used[range.clone()].fill(true);
    }

    /// Account for words that narrow it.
    pub(super) fn let_decide(&mut self, range: &Range<usize>) {
        self.account_for(range);
        self.deciding.extend(self.all[range.clone()].iter().cloned());
    }
}

/// Where words stand that play a part around the name of a kind.
pub(super) fn playing(role: Role, words: &[String]) -> Vec<Range<usize>> {
    let phrases = kinds().roles.get(&role);
    let found = phrases.map(|phrases| phrases.find(words)).unwrap_or_default();
    found.into_iter().map(|(range, ())| range).collect()
}

impl Heading<'_> {
    /// Whether words that can narrow the kind do so, and nothing has said it already.
    pub(super) fn lets_decide(&self, range: &Range<usize>, words: &Words, kind: &Kind) -> bool {
        let taken = |at: usize| words.used[at] && !self.head.contains(&at);
        // What the stock has under these words says it already.
        let said = !self.own.is_empty() && range.clone().any(|at| self.head.contains(&at));
        decides(&words.all, range, &self.head, kind) && !range.clone().any(taken) && !said
    }
}

/// Whether words that can narrow a kind do so here: next to its name, with nothing but such words and those that leave it
/// as it is between, or wherever they stand where they can mean nothing else.
pub(super) fn decides(words: &[String], range: &Range<usize>, head: &Range<usize>, kind: &Kind) -> bool {
    let roles = &kinds().roles;
    let is = |role: Role, words: &[String]| roles.get(&role).is_some_and(|p| p.get(words).is_some());
    if range.end > head.start || is(Role::Far, &words[range.clone()]) {
        return true;
    }
    let between = &words[range.end..head.start];
    let narrow = kind.narrow.find(between);
    let around = roles
        .get(&Role::Around)
        .map(|p| p.find(between))
        .unwrap_or_default();
    (0..between.len()).all(|at| {
        is_figure(&between[at])
            || narrow.iter().any(|(r, _)| r.contains(&at))
            || around.iter().any(|(r, ())| r.contains(&at))
    })
}

/// The words that stand for nothing known.
pub(super) fn unknown(words: &Words, behind: &[usize]) -> Vec<String> {
    let known = |word: &str| {
        let table = kinds();
        table.known.contains(word)
            || word
                .strip_suffix('s')
                .is_some_and(|one| table.known.contains(one))
    };
    words
        .all
        .iter()
        .enumerate()
        .filter(|(at, word)| !words.used[*at] && (behind.contains(at) || !known(word)))
        .map(|(_, word)| word.clone())
        .collect()
}
