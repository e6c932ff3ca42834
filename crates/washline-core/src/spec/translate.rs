//! Words of other languages that bars type, put into English before a line is read.
//!
//! A line is translated where it holds a run of words that is foreign beyond doubt; then the small words of it are too.
//! What was read keeps its places in the line as typed.

use std::borrow::Cow;
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

/// The runs that one word begins: the words behind it, folded, and what they mean with it; the longest first.
type Runs = Vec<(Vec<String>, Foreign)>;

/// Runs by their first word, folded.
static WORDS: LazyLock<HashMap<String, Runs>> = LazyLock::new(|| {
    let mut runs: HashMap<String, Runs> = HashMap::new();
    for row in TABLE.lines().skip(1) {
        let mut cells = row.split(',');
        let (Some(said), Some(language), Some(sort), Some(means)) =
            (cells.next(), cells.next(), cells.next(), cells.next())
        else {
            continue;
        };
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
        let mut words = pieces(said).map(|(_, w)| w);
        if let Some(first) = words.next() {
            runs.entry(first).or_default().push((words.collect(), foreign));
        }
    }
    for run in runs.values_mut() {
        run.sort_by_key(|(rest, _)| std::cmp::Reverse(rest.len()));
    }
    runs
});

/// What one word by itself means.
fn word(said: &str) -> Option<&'static Foreign> {
    let runs = WORDS.get(said)?;
    runs.iter().find(|(rest, _)| rest.is_empty()).map(|(_, f)| f)
}

/// What a word comes to in English.
struct Meant {
    language: &'static str,
    means: Cow<'static, str>,
    joins: bool,
}

impl Meant {
    fn of(foreign: &'static Foreign) -> Meant {
        Meant {
            language: foreign.language,
            means: Cow::Borrowed(foreign.means),
            joins: foreign.joins,
        }
    }
}

/// The last parts of words that German and Dutch write as one.
const LAST_PARTS: [(&str, &str, &str); 18] = [
    ("likor", "German", "liqueur"),
    ("likoer", "German", "liqueur"),
    ("sirup", "German", "syrup"),
    ("saft", "German", "juice"),
    ("puree", "German", "purée"),
    ("essig", "German", "vinegar"),
    ("limonade", "German", "soda"),
    ("wasser", "German", "water"),
    ("zeste", "German", "zest"),
    ("scheibe", "German", "slice"),
    ("tee", "German", "tea"),
    ("bitter", "German", "bitters"),
    ("schale", "German", "peel"),
    ("likeur", "Dutch", "liqueur"),
    ("siroop", "Dutch", "syrup"),
    ("sap", "Dutch", "juice"),
    ("azijn", "Dutch", "vinegar"),
    ("schijfje", "Dutch", "slice"),
];

/// `Brombeerlikör`: a word written as one, of a fruit or the like and what is made of it.
fn compound(folded: &str) -> Option<Meant> {
    LAST_PARTS.iter().find_map(|(part, language, means)| {
        let stem = folded.strip_suffix(part).filter(|s| s.len() > 2)?;
        // `Brombeer-` of Brombeere, `Holunder-`, `Orangen-` of Orange.
        let fruit = [stem, stem.trim_end_matches('n'), stem.trim_end_matches('s')]
            .into_iter()
            .flat_map(|s| [s.to_owned(), format!("{s}e")])
            .find_map(|s| word(&s).map(|f| f.means));
        // `Fichtennadelsirup`: of what nobody here can say, a syrup all the same.
        let alone = matches!(
            *part,
            "likor" | "likoer" | "sirup" | "essig" | "siroop" | "likeur"
        );
        let fruit = match fruit {
            Some(fruit) => fruit,
            None if alone && stem.len() > 3 => stem,
            None => return None,
        };
        Some(Meant {
            language,
            means: Cow::Owned(format!("{fruit} {means}")),
            joins: false,
        })
    })
}

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
    // Most lines hold no word that another language begins a run with, and no word long enough to be two in one.
    let may = |(_, w): &(Range<usize>, String)| WORDS.contains_key(w) || compound(w).is_some();
    if !words.iter().any(may) {
        return None;
    }
    // A line of nothing but words of the trade is English, but for runs of several that no other language shares.
    let plain = words.iter().all(|(_, w)| lexicon::is_word(w, own));
    let mut found: Vec<(Range<usize>, Meant)> = Vec::new();
    let mut sure = false;
    let mut i = 0;
    while i < words.len() {
        let runs = WORDS.get(&words[i].1).map_or(&[][..], Vec::as_slice);
        let run = runs.iter().find_map(|(rest, foreign)| {
            let n = rest.len() + 1;
            let said = words.get(i + 1..i + n)?;
            said.iter().map(|(_, w)| w).eq(rest).then_some(())?;
            let between = &text[words[i].0.start..words[i + n - 1].0.end];
            let whole = !between.contains(|c: char| c.is_ascii_digit() || ",;/():+".contains(c));
            // `d'orange`, `l'eau`, and not the `l` of a litre.
            let elided = n > 1
                || words[i].1 != "l" && words[i].1 != "d"
                || text[words[i].0.end..].starts_with(['\'', '’']);
            (whole && elided && (!plain || n > 1 && !lexicon::is_name(between, own))).then_some((n, foreign))
        });
        let Some((n, foreign)) = run else {
            if let Some(meant) = compound(&words[i].1) {
                sure = true;
                found.push((words[i].0.clone(), meant));
            }
            i += 1;
            continue;
        };
        let span = words[i].0.start..words[i + n - 1].0.end;
        // The word of an English name, or of the trade, stays what it is.
        // Behind a foreign word that joins it to another it is foreign: `liqueur de pêche`, but for `crème de pêche`.
        let joined = n == 1
            && i > 1
            && found
                .last()
                .is_some_and(|(at, meant)| meant.joins && *at == words[i - 1].0)
            && !lexicon::is_name(&text[words[i - 2].0.start..words[i].0.end], own);
        let known = n == 1 && !joined && lexicon::is_word(&words[i].1, own);
        if !foreign.joins && !known {
            sure = true;
        }
        if foreign.joins || !known {
            found.push((span, Meant::of(foreign)));
        }
        i += n;
    }
    if !sure {
        return None;
    }
    let mut english = Rewritten::default();
    let mut at = 0;
    for (span, meant) in found {
        english.copy(text, at..span.start);
        if english.text.ends_with(|c: char| c.is_alphanumeric()) {
            english.join(" ");
        }
        let said = (!meant.joins).then(|| {
            Assumption::new(
                format!("`{}`", &text[span.clone()]),
                format!("{}: {}", meant.language, meant.means),
                "write the word in English",
            )
        });
        english.change(span.clone(), &meant.means, said);
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
