//! How numbers, verdicts and counts are printed, on a page as on a screen.

use washline_core::balance::Verdict;

/// One of a few things that can be asked for by a word.
pub trait Choice: Copy + 'static {
    /// The word for it.
    fn word(self) -> &'static str;
    /// What it is, in a line.
    fn about(self) -> &'static str;
}

/// "1 fault", "3 faults".
#[must_use]
pub fn count(n: usize, one: &str, several: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { several })
}

/// A figure with so many decimals, or a dash where it has no value.
#[must_use]
pub fn figure(value: Option<f64>, decimals: usize) -> String {
    value.map_or_else(|| "–".to_owned(), |v| format!("{v:.decimals$}"))
}

/// A number with at most four decimals and no trailing zeros.
#[must_use]
pub fn short(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The mark of a verdict, told apart by shape.
#[must_use]
pub fn mark(verdict: Verdict) -> char {
    match verdict {
        Verdict::In => '●',
        Verdict::Edge => '○',
        Verdict::Outside => '◆',
        Verdict::TooClose => '◐',
        Verdict::NoBand => '·',
    }
}

/// A text of at most so many characters, an ellipsis in the place of the rest.
#[must_use]
pub fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_long_says_so() {
        assert_eq!(cut("abcdef", 4), "abc…");
        assert_eq!(cut("abcd", 4), "abcd");
    }
}
