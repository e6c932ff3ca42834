//! Words that are looked for in other words: whole ones, next to each other, whether one or several is meant.

use super::fields;
use crate::names::key;

/// A phrase that is looked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Phrase(Vec<String>);

/// A word as it is compared: one of it and several of it are the same.
fn one_of(word: &str) -> String {
    for (many, one) in [("ies", "y"), ("sses", "ss"), ("ches", "ch"), ("shes", "sh")] {
        if let Some(stem) = word.strip_suffix(many).filter(|stem| stem.len() > 1) {
            return format!("{stem}{one}");
        }
    }
    match word.strip_suffix('s') {
        Some(stem) if stem.len() > 2 && !stem.ends_with('s') => stem.to_owned(),
        _ => word.to_owned(),
    }
}

/// The words of a text as they are compared.
fn split(text: &str) -> Vec<String> {
    key(text)
        .split(|c: char| !(c.is_alphanumeric() || matches!(c, ':' | '%' | '/' | '.')))
        .map(|word| word.trim_matches(['.', ':', '/']))
        .filter(|word| !word.is_empty())
        .map(one_of)
        .collect()
}

/// Words behind a name that say it is only like it: rum-type, agricole-style, egg-free.
const ONLY_LIKE: [&str; 3] = ["type", "style", "free"];

impl Phrase {
    pub fn new(said: &str) -> Phrase {
        Phrase(split(said))
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Whether its words stand in a text, next to each other.
    pub fn is_in(&self, text: &str) -> bool {
        self.places(&split(text)).next().is_some()
    }

    /// Whether how its words begin stands somewhere in a text in small letters without accents: where it does not, the
    /// words stand in it neither as they are nor shortened.
    #[cfg(feature = "store")]
    pub fn begins_may_stand_in(&self, text: &str) -> bool {
        const BEGINS: usize = 3;
        self.0.iter().all(|word| {
            let end = word.char_indices().nth(BEGINS).map_or(word.len(), |(at, _)| at);
            text.contains(&word[..end])
        })
    }

    /// Whether a text is these words and no others.
    pub fn is(&self, text: &str) -> bool {
        split(text) == self.0
    }

    /// Whether its words stand in the name of a thing as what that is or holds: not as what it is only like.
    pub fn names(&self, text: &str) -> bool {
        let words = split(text);
        self.places(&words).any(|end| {
            !words
                .get(end)
                .is_some_and(|next| ONLY_LIKE.contains(&next.as_str()))
        })
    }

    /// Where it ends, each time it stands among words.
    fn places<'a>(&'a self, words: &'a [String]) -> impl Iterator<Item = usize> + 'a {
        let length = self.0.len();
        words
            .windows(length.max(1))
            .enumerate()
            .filter(move |(_, run)| length > 0 && *run == self.0.as_slice())
            .map(move |(at, _)| at + length)
    }
}

/// Whether words must stand between quotation marks to be read as what they are.
pub(super) fn needs_quotes(said: &str) -> bool {
    let is_plain = |word: &str| {
        !key(word).is_empty()
            && word.chars().all(char::is_alphabetic)
            && !matches!(key(word).as_str(), "and" | "or" | "not")
            && fields().all(|f| {
                std::iter::once(&f.word)
                    .chain(f.also)
                    .all(|known| known.split(' ').all(|part| part != key(word)))
            })
    };
    !said.split(' ').all(is_plain)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whole_words_next_to_each_other_one_or_several() {
        let is_in = |phrase: &str, text: &str| Phrase::new(phrase).is_in(text);
        assert!(
            is_in("lime", "Lime wedges") && is_in("limes", "lime juice") && is_in("cherries", "a cherry")
        );
        assert!(is_in("lime juice", "fresh lime juice, strained") && !is_in("lime juice", "juice of lime"));
        assert!(!is_in("gin", "ginger beer") && !is_in("", "anything") && is_in("crème", "creme de menthe"));
        assert!(is_in("glass", "two glasses") && is_in("porters", "Porter's Lodge"));
        assert!(!Phrase::new("rum").names("alcohol-free rum-type drink"));
        assert!(Phrase::new("rum").names("rum-type rum"));
    }
}
