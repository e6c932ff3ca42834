//! Names: shown as typed, matched on a folded key, and the nearest ones when none matches.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

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
    let mut folded = String::with_capacity(name.len());
    let mut gap = false;
    for c in name
        .nfkd()
        .filter(|c| !is_combining_mark(*c))
        .flat_map(char::to_lowercase)
    {
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

/// A name's key with its words in alphabetical order, so that "rum white" is near "white rum".
fn sorted_words(key: &str) -> String {
    let mut words: Vec<&str> = key.split(' ').collect();
    words.sort_unstable();
    words.join(" ")
}

/// How alike two folded keys are, 0 to 1.
fn likeness(a: &str, b: &str) -> f64 {
    let whole = strsim::normalized_damerau_levenshtein(a, b);
    let sorted = strsim::normalized_damerau_levenshtein(&sorted_words(a), &sorted_words(b)) * 0.98;
    let start = strsim::jaro_winkler(a, b) * 0.9;
    // Each word typed against its best counterpart: finds "red vermouth" in "sweet red vermouth".
    let words_b: Vec<&str> = b.split(' ').collect();
    let words_a: Vec<&str> = a.split(' ').collect();
    let found: f64 = words_a
        .iter()
        .map(|w| {
            words_b
                .iter()
                .map(|v| strsim::normalized_damerau_levenshtein(w, v))
                .fold(0.0, f64::max)
        })
        .sum();
    #[expect(clippy::cast_precision_loss, reason = "word counts are small")]
    let covered = found / words_a.len().max(words_b.len()) as f64;
    whole.max(sorted).max(start).max(covered)
}

/// Up to `most` of `candidates` that `typed` may have meant, the nearest first. Candidates come as
/// (what to look at, what to suggest), so that an alias suggests its ingredient.
pub fn nearest<'a>(
    typed: &str,
    candidates: impl IntoIterator<Item = (&'a str, &'a str)>,
    most: usize,
) -> Vec<String> {
    const NEAR_ENOUGH: f64 = 0.6;
    let typed = key(typed);
    let mut scored: Vec<(f64, &str)> = candidates
        .into_iter()
        .map(|(seen, suggested)| (likeness(&typed, &key(seen)), suggested))
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

#[cfg(test)]
mod tests {
    use super::*;

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
