//! Words and phrases of a name, looked up in a table: whole words on the folded key, the longest phrase first,
//! plural or singular alike.

use std::collections::HashMap;
use std::ops::Range;

use crate::names::key;

/// What phrases of folded words mean.
#[derive(Clone, Debug)]
pub(crate) struct Phrases<T> {
    meanings: HashMap<String, T>,
    longest: usize,
}

impl<T> Default for Phrases<T> {
    fn default() -> Phrases<T> {
        Phrases {
            meanings: HashMap::new(),
            longest: 0,
        }
    }
}

impl<T> Phrases<T> {
    /// Put a phrase in, as people write it; gives back what it meant before.
    pub(crate) fn put(&mut self, phrase: &str, meaning: T) -> Option<T> {
        let words = words(phrase);
        self.longest = self.longest.max(words.len());
        self.meanings.insert(words.join(" "), meaning)
    }

    /// What a phrase means, in the plural too.
    pub(crate) fn get(&self, words: &[String]) -> Option<&T> {
        if words.is_empty() || words.len() > self.longest {
            return None;
        }
        let phrase = words.join(" ");
        self.meanings
            .get(&phrase)
            .or_else(|| singulars(&phrase).find_map(|one| self.meanings.get(one.as_str())))
    }

    /// The words of its phrases.
    pub(crate) fn words(&self) -> impl Iterator<Item = &str> {
        self.meanings.keys().flat_map(|phrase| phrase.split(' '))
    }

    /// Everything that a phrase means.
    #[cfg(test)]
    pub(crate) fn meanings(&self) -> impl Iterator<Item = &T> {
        self.meanings.values()
    }

    /// The phrase that ends before `end` and not before `start`, the longest: its first word, and what it means.
    pub(crate) fn ending(&self, words: &[String], start: usize, end: usize) -> Option<(usize, &T)> {
        (start.max(end.saturating_sub(self.longest))..end)
            .find_map(|first| Some((first, self.get(&words[first..end])?)))
    }

    /// The phrases in a name, from left to right, none over another; at each place the longest.
    pub(crate) fn find(&self, words: &[String]) -> Vec<(Range<usize>, &T)> {
        let mut found = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let longest = self.longest.min(words.len() - at);
            let hit = (1..=longest)
                .rev()
                .find_map(|n| Some((n, self.get(&words[at..at + n])?)));
            match hit {
                Some((n, meaning)) => {
                    found.push((at..at + n, meaning));
                    at += n;
                }
                None => at += 1,
            }
        }
        found
    }
}

/// The folded words of a name, without brackets and stops; a decimal, a ratio and a percentage stay whole.
pub(crate) fn words(name: &str) -> Vec<String> {
    let folded = key(name);
    let letters: Vec<char> = folded.chars().collect();
    let digit = |at: Option<usize>| at.and_then(|i| letters.get(i)).is_some_and(char::is_ascii_digit);
    let mut plain = String::with_capacity(folded.len());
    for (at, &c) in letters.iter().enumerate() {
        match c {
            c if c.is_alphanumeric() || c == '%' => plain.push(c),
            '.' | ':' if digit(at.checked_sub(1)) && digit(Some(at + 1)) => plain.push(c),
            // `n/a` and `a/f` are one word, `v.s.o.p.` is.
            '/' | '.' if is_lone(&letters, at) => {}
            _ => plain.push(' '),
        }
    }
    plain.split_whitespace().map(str::to_owned).collect()
}

/// Whether the stroke or stop at `at` stands behind a single letter.
fn is_lone(letters: &[char], at: usize) -> bool {
    let letter = |i: usize| letters.get(i).is_some_and(|c| c.is_alphabetic());
    at >= 1 && letter(at - 1) && (at < 2 || !letters[at - 2].is_alphanumeric())
}

/// What one of it may be called, by a plural.
fn singulars(plural: &str) -> impl Iterator<Item = String> + '_ {
    const ENDINGS: [(&str, &str); 4] = [("ies", "y"), ("ves", "f"), ("es", ""), ("s", "")];
    ENDINGS.into_iter().filter_map(|(many, one)| {
        let stem = plural.strip_suffix(many)?;
        (stem.len() >= 2 && !stem.ends_with('s')).then(|| format!("{stem}{one}"))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_folded_and_numbers_stay_whole() {
        assert_eq!(words("Crème (fraîche), 2:1"), ["creme", "fraiche", "2:1"]);
        assert_eq!(words("n/a gin"), ["na", "gin"]);
        assert_eq!(words("cognac V.S.O.P."), ["cognac", "vsop"]);
        assert_eq!(words("0.0 % beer"), ["0.0%", "beer"]);
        assert_eq!(words("non-alc/beer"), ["non", "alc", "beer"]);
        assert!(words(" (,) ").is_empty());
    }

    #[test]
    fn the_longest_phrase_counts_and_plurals_too() {
        let mut table = Phrases::default();
        table.put("chestnut", 1);
        table.put("water chestnut", 2);
        table.put("berry", 3);
        table.put("leaf", 4);
        let seen = |name: &str| -> Vec<i32> { table.find(&words(name)).iter().map(|(_, m)| **m).collect() };
        assert_eq!(seen("water chestnuts and chestnut"), [2, 1]);
        assert_eq!(seen("mixed-berries, leaves"), [3, 4]);
        assert!(seen("chestnutty").is_empty());
    }
}
