//! Names: shown as typed, matched on a folded key, and the nearest ones when none matches.

use std::borrow::Cow;

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// What was expected where something else is written: a sentence that names what was wrong and the cure. Who knows the
/// place (a line, a column of a sheet, an option) says it before.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct Expected(Cow<'static, str>);

impl Expected {
    /// That sentence.
    pub fn new(what: impl Into<Cow<'static, str>>) -> Expected {
        Expected(what.into())
    }

    /// The same of what was typed under a key: "`soon` for `serve`: expected a volume".
    #[must_use]
    pub fn of(&self, value: &str, key: &str) -> Expected {
        Expected::new(format!("`{value}` for `{key}`: {self}"))
    }
}

/// Read `yes` or `no`.
///
/// # Errors
/// That one of them was expected.
pub fn yes_or_no(text: &str) -> Result<bool, Expected> {
    match key(text).as_str() {
        "yes" => Ok(true),
        "no" => Ok(false),
        _ => Err(Expected::new("expected yes or no")),
    }
}

impl From<&'static str> for Expected {
    fn from(what: &'static str) -> Expected {
        Expected::new(what)
    }
}

impl From<String> for Expected {
    fn from(what: String) -> Expected {
        Expected::new(what)
    }
}

impl From<Expected> for String {
    fn from(expected: Expected) -> String {
        expected.0.into_owned()
    }
}

/// The key a name is matched on: compatibility-composed, lower case, accents stripped, every run of
/// spaces, hyphens and underscores one space.
///
/// ```
/// use washline_core::names::key;
/// assert_eq!(key("Crème de  Cacao"), key("creme de cacao"));
/// assert_eq!(key("PIÑA"), key("pin\u{303}a"));
/// ```
#[must_use]
pub fn key(name: &str) -> String {
    // Nothing of plain letters decomposes, and most of what is typed is plain.
    if name.is_ascii() {
        return folded(name.chars().map(|c| c.to_ascii_lowercase()), name.len());
    }
    let letters = name
        .nfkd()
        .filter(|c| !is_combining_mark(*c))
        .flat_map(char::to_lowercase);
    folded(letters, name.len())
}

/// Lower-case letters with one space for every gap between them.
fn folded(letters: impl Iterator<Item = char>, length: usize) -> String {
    let mut folded = String::with_capacity(length);
    let mut gap = false;
    for c in letters {
        // German ß and the Scandinavian letters do not decompose; people type them both ways.
        let plain = match c {
            'ß' => "ss",
            'ø' => "o",
            'æ' => "ae",
            'œ' => "oe",
            'ł' => "l",
            '’' | '‘' | '`' | '´' | '\'' => "",
            c if c.is_whitespace() || c == '-' || c == '_' || c == '‐' || c == '–' => {
                gap = !folded.is_empty();
                continue;
            }
            _ => {
                // `20 %` and `20%` are one strength.
                if std::mem::take(&mut gap) && c != '%' {
                    folded.push(' ');
                }
                folded.push(c);
                continue;
            }
        };
        if std::mem::take(&mut gap) {
            folded.push(' ');
        }
        folded.push_str(plain);
    }
    folded
}

/// How alike two words or whole keys are, 0 to 1: letters dropped, added, changed or swapped with a neighbour. Less than
/// `least` counts nothing, and is not worked out where their lengths tell it.
#[expect(clippy::cast_precision_loss, reason = "names are short")]
fn spelling(a: &str, b: &str, least: f64) -> f64 {
    let (a_letters, b_letters) = (a.chars().count(), b.chars().count());
    let (longest, shortest) = (a_letters.max(b_letters), a_letters.min(b_letters));
    if longest == 0 {
        return 1.0;
    }
    if (shortest as f64) < least * longest as f64 {
        return 0.0;
    }
    1.0 - strsim::osa_distance(a, b) as f64 / longest as f64
}

/// How much of `a`, by letters, stands in `b`, 0 to 1: each word by its best counterpart. A word broken
/// off early ("bourb") counts nearly whole; one with no counterpart counts nothing.
fn found_in(a: &str, b: &str) -> f64 {
    const LEAST: f64 = 0.5;
    let (mut found, mut all) = (0.0, 0.0);
    for word in a.split(' ') {
        #[expect(clippy::cast_precision_loss, reason = "names are short")]
        let letters = word.chars().count() as f64;
        let best = b
            .split(' ')
            .map(|other| {
                let (long, short) = if word.len() > other.len() {
                    (word, other)
                } else {
                    (other, word)
                };
                let broken_off = short.len() >= 3 && long.starts_with(short);
                spelling(word, other, LEAST).max(if broken_off { 0.85 } else { 0.0 })
            })
            .fold(0.0, f64::max);
        all += letters;
        if best >= LEAST {
            found += letters * best;
        }
    }
    if all > 0.0 { found / all } else { 0.0 }
}

/// How like what was typed a name must be to be suggested.
const NEAR_ENOUGH: f64 = 0.6;

/// How alike two folded keys are, 0 to 1: as they stand, in any order of words, or with words left out or added.
fn likeness(a: &str, b: &str) -> f64 {
    let whole = spelling(a, b, NEAR_ENOUGH);
    let (there, back) = (found_in(a, b), found_in(b, a));
    let both = if there + back > 0.0 {
        2.0 * there * back / (there + back) * 0.97
    } else {
        0.0
    };
    // What was typed stands there, whatever else the name says: "tekila" is near "tequila blanco".
    let short = 0.75 * there + 0.2 * back;
    whole.max(both).max(short)
}

/// Up to `most` of `candidates` that `typed` may have meant, the nearest first. Candidates come as
/// (what to look at, what to suggest), so that an alias suggests its ingredient.
pub fn nearest<'a>(
    typed: &str,
    candidates: impl IntoIterator<Item = (&'a str, &'a str)>,
    most: usize,
) -> Vec<String> {
    let candidates: Vec<(String, &str)> = candidates
        .into_iter()
        .map(|(seen, name)| (key(seen), name))
        .collect();
    nearest_folded(
        typed,
        candidates.iter().map(|(seen, name)| (seen.as_str(), *name)),
        most,
    )
}

/// The same of candidates that are looked at by their folded keys.
pub(crate) fn nearest_folded<'a>(
    typed: &str,
    candidates: impl IntoIterator<Item = (&'a str, &'a str)>,
    most: usize,
) -> Vec<String> {
    let typed = key(typed);
    // No name is this long: what was typed is something else, and comparing it would take its square.
    if typed.chars().count() > 80 {
        return Vec::new();
    }
    let mut scored: Vec<(f64, &str)> = candidates
        .into_iter()
        .map(|(seen, suggested)| (likeness(&typed, seen), suggested))
        .filter(|(score, _)| *score >= NEAR_ENOUGH)
        .collect();
    scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let mut names: Vec<String> = Vec::new();
    for (_, name) in scored {
        if !names.iter().any(|n| n == name) {
            names.push(name.to_owned());
        }
        if names.len() == most {
            break;
        }
    }
    names
}

/// What a person means by `said` among `names`: the one that is so called, else the only one that begins so.
pub fn meant<'a>(said: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let wanted = key(said);
    let mut begun: Option<(&str, String)> = None;
    let mut several = wanted.is_empty();
    for name in names {
        let folded = key(name);
        if folded == wanted {
            return Some(name);
        }
        if folded.starts_with(&wanted) {
            several |= begun.as_ref().is_some_and(|(_, other)| *other != folded);
            begun = Some((name, folded));
        }
    }
    begun.filter(|_| !several).map(|(name, _)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unique_start_is_a_name() {
        let names = ["Waiting Room Sun", "Low Cloud", "Low Tide", "Low"];
        let of = |said: &str| meant(said, names);
        assert_eq!(of("waiting"), Some("Waiting Room Sun"));
        assert_eq!(of("low"), Some("Low"));
        assert_eq!(
            (of("low "), of("lo"), of("sun"), of("")),
            (Some("Low"), None, None, None)
        );
        // The same drink in two books is one name.
        assert_eq!(
            meant("wait", ["Waiting Room", "waiting room"]),
            Some("waiting room")
        );
    }

    #[test]
    fn keys_fold_case_accents_and_spacing() {
        assert_eq!(key("  Crème  de-cacao "), "creme de cacao");
        assert_eq!(key("Curaçao"), key("CURAC\u{327}AO"));
        assert_eq!(key("Porter’s"), "porters");
    }

    #[test]
    fn near_names_come_first() {
        let names = [
            "white rum",
            "lime juice",
            "lemon juice",
            "dry vermouth",
            "simple syrup 1:1 by mass",
        ];
        let near = |t: &str| nearest(t, names.iter().map(|n| (*n, *n)), 3);
        assert_eq!(near("whit rum")[0], "white rum");
        assert_eq!(near("lime jiuce")[0], "lime juice");
        assert_eq!(near("vermouth, dry")[0], "dry vermouth");
        assert!(near("zzzz").is_empty());
    }
}
