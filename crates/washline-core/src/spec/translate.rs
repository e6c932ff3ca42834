//! Words of other languages that bars type, put into English before a line is read.
//!
//! A line is translated where it holds a run of words that is foreign beyond doubt; then the small words of it are too.
//! What was read keeps its places in the line as typed.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::LazyLock;

use super::Assumption;
use super::lexicon;
use super::rewritten::Rewritten;
use crate::names::key;

/// The words: what is said, the language, its sort, what it means in English.
const TABLE: &str = include_str!("../../../../fixtures/reference/other_languages.csv");

/// A run of foreign words.
struct Foreign {
    language: &'static str,
    means: &'static str,
    /// Whether it only joins: `de`, `con`.
    joins: bool,
}

/// Runs by their folded words.
static WORDS: LazyLock<HashMap<Vec<String>, Foreign>> = LazyLock::new(|| {
    TABLE
        .lines()
        .skip(1)
        .filter_map(|row| {
            let mut cells = row.split(',');
            let (said, language, sort, means) = (cells.next()?, cells.next()?, cells.next()?, cells.next()?);
            let foreign = Foreign {
                language: match language {
                    "de" => "German",
                    "fr" => "French",
                    "es" => "Spanish",
                    "it" => "Italian",
                    "pt" => "Portuguese",
                    _ => "Dutch",
                },
                means,
                joins: sort == "word",
            };
            Some((pieces(said).map(|(_, w)| w).collect(), foreign))
        })
        .collect()
});

/// The longest run, in words.
const LONGEST: usize = 5;

/// The words of a text, folded, with their places; an apostrophe parts two.
fn pieces(text: &str) -> impl Iterator<Item = (Range<usize>, String)> + '_ {
    let mut at = 0;
    std::iter::from_fn(move || {
        let rest = &text[at..];
        let from = at + rest.find(char::is_alphabetic)?;
        let to = text[from..]
            .find(|c: char| !c.is_alphabetic() && !unicode_normalization::char::is_combining_mark(c))
            .map_or(text.len(), |n| from + n);
        at = to;
        let folded = key(&text[from..to]);
        Some((from..to, lexicon::singular(&folded).into_owned()))
    })
}

/// The line in English, where it is in another language.
pub(super) fn english(text: &str, own: &lexicon::OwnNames) -> Option<Rewritten> {
    let words: Vec<(Range<usize>, String)> = pieces(text).collect();
    // A line of nothing but words of the trade is English.
    if words.iter().all(|(_, w)| lexicon::is_word(w, own)) {
        return None;
    }
    let mut found: Vec<(Range<usize>, &Foreign)> = Vec::new();
    let mut sure = false;
    let mut i = 0;
    while i < words.len() {
        let most = LONGEST.min(words.len() - i);
        let run = (1..=most).rev().find_map(|n| {
            let run: Vec<String> = words[i..i + n].iter().map(|(_, w)| w.clone()).collect();
            let between = &text[words[i].0.start..words[i + n - 1].0.end];
            let whole = !between.contains([',', ';', '/', '(', ')', ':', '+']);
            WORDS.get(&run).filter(|_| whole).map(|f| (n, f))
        });
        let Some((n, foreign)) = run else {
            i += 1;
            continue;
        };
        let span = words[i].0.start..words[i + n - 1].0.end;
        // The word of an English name, or of the trade, stays what it is.
        let known = n == 1 && lexicon::is_word(&words[i].1, own);
        if !foreign.joins && !known {
            sure = true;
        }
        if foreign.joins || !known {
            found.push((span, foreign));
        }
        i += n;
    }
    if !sure {
        return None;
    }
    let mut english = Rewritten::default();
    let mut at = 0;
    for (span, foreign) in found {
        english.copy(text, at..span.start);
        if english.text.ends_with(|c: char| c.is_alphanumeric()) {
            english.join(" ");
        }
        let said = (!foreign.joins).then(|| {
            Assumption::new(
                format!("`{}`", &text[span.clone()]),
                format!("{}: {}", foreign.language, foreign.means),
                "write the word in English",
            )
        });
        english.change(span.clone(), foreign.means, said);
        at = span.end;
        // `d'orange`: what an apostrophe joined stands by itself.
        if text[at..].starts_with(['\'', '’']) {
            english.join(" ");
            at += text[at..].chars().next().map_or(0, char::len_utf8);
        }
    }
    english.copy(text, at..text.len());
    Some(english)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_in_other_languages() {
        let own = lexicon::OwnNames::default();
        for (typed, expected) in [
            ("2 cl jus de citron", "2 cl lemon juice"),
            ("Zitronensaft 2cl", "lemon juice 2cl"),
            ("zumo de lima 2,5 cl", "lime juice 2,5 cl"),
        ] {
            let english = english(typed, &own).map(|t| t.text);
            assert_eq!(english.as_deref(), Some(expected), "{typed}");
        }
        for plain in ["50 ml gin", "2 oz lime", "crème de cassis 1 cl", "stir con brio"] {
            assert!(english(plain, &own).is_none(), "{plain}");
        }
    }
}
