//! A line cut into tokens, each with its place in the source.
//!
//! Fractions are cut off the digits before them first (`1½` is one and a half, never eleven halves),
//! and only then are full-width digits and letters folded to plain ones.

use std::ops::Range;

use unicode_normalization::UnicodeNormalization;

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    /// Digits with points and commas among them, as typed.
    Number(String),
    /// A fraction: ½, or `3/4` with nothing between its parts; the integers above and below the line.
    Fraction(i128, i128),
    /// Numbers with colons between and nothing else: `2:1`, `1:1:1`.
    Ratio(String),
    /// Letters, with the apostrophes and full stops inside and after them. A hyphen between letters parts two words.
    Word(String),
    /// Anything else, folded.
    Mark(char),
}

#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub kind: Kind,
    pub span: Range<usize>,
    /// Whether white space stands before it.
    pub spaced: bool,
    /// Whether a hyphen joins it to the word before it: `washed` of `butter-washed`.
    pub joined: bool,
}

impl Token {
    pub fn is_mark(&self, mark: char) -> bool {
        self.kind == Kind::Mark(mark)
    }

    /// The word in lower case, without the full stop after an abbreviation; empty for other tokens.
    pub fn word(&self) -> String {
        match &self.kind {
            Kind::Word(word) => word.trim_end_matches('.').to_lowercase(),
            _ => String::new(),
        }
    }

    /// Digits or a fraction.
    pub fn is_number(&self) -> bool {
        matches!(self.kind, Kind::Number(_) | Kind::Fraction(..))
    }

    /// Whether it ends a sentence: a full stop after it, which an abbreviation has too.
    pub fn stops(&self) -> bool {
        matches!(&self.kind, Kind::Word(w) | Kind::Number(w) if w.ends_with('.'))
    }

    pub fn is_hyphen(&self) -> bool {
        self.is_mark('-')
    }
}

/// The value of a character that is a fraction by itself.
fn vulgar(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅙' => (1, 6),
        '⅚' => (5, 6),
        '⅐' => (1, 7),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        '⅑' => (1, 9),
        '⅒' => (1, 10),
        _ => return None,
    })
}

/// A character folded to the plain form of what it stands for.
fn plain(c: char) -> char {
    match c {
        '–' | '—' | '−' | '‐' | '‑' | '‒' => '-',
        '⁄' | '∕' | '÷' => '/',
        '’' | '‘' | '´' | '`' => '\'',
        '“' | '”' => '"',
        '×' => '×',
        c if c.is_ascii() => c,
        c if ('\u{ff01}'..='\u{ff5e}').contains(&c) => c.to_string().nfkc().next().unwrap_or(c),
        c => c,
    }
}

/// A run of digits at `i`, with where it ends; at most six, as no amount at a bar has more.
fn digits(at: &impl Fn(usize) -> Option<char>, mut i: usize) -> Option<(i128, usize)> {
    let from = i;
    let mut value = 0_i128;
    while let Some(digit) = at(i).and_then(|c| c.to_digit(10)) {
        value = value * 10 + i128::from(digit);
        i += 1;
        if i - from > 6 {
            return None;
        }
    }
    (i > from).then_some((value, i))
}

/// `3/4` with nothing between its parts.
fn slashed(at: &impl Fn(usize) -> Option<char>, i: usize) -> Option<(i128, i128, usize)> {
    let (top, slash) = digits(at, i)?;
    (at(slash) == Some('/')).then_some(())?;
    let (bottom, end) = digits(at, slash + 1)?;
    // `1/2.5` and `1/2/3` are something else.
    let more = matches!(at(end), Some('/'))
        || at(end) == Some('.') && at(end + 1).is_some_and(|c| c.is_ascii_digit());
    (!more).then_some((top, bottom, end))
}

/// The end of a ratio at `i`: `2:1`, `1.5:1`, `1:1:1`.
fn ratio(at: &impl Fn(usize) -> Option<char>, i: usize) -> Option<usize> {
    let number = |i: usize| {
        let (_, end) = digits(at, i)?;
        Some(match (at(end), digits(at, end + 1)) {
            (Some('.' | ','), Some((_, after))) => after,
            _ => end,
        })
    };
    let mut end = number(i)?;
    let mut parts = 1;
    while at(end) == Some(':')
        && let Some(next) = number(end + 1)
    {
        end = next;
        parts += 1;
    }
    (parts > 1).then_some(end)
}

/// The end of a ratio in letters at `i`: `1to1`, `2to1`.
fn ratio_in_words(at: &impl Fn(usize) -> Option<char>, i: usize) -> Option<(String, usize)> {
    let (first, end) = digits(at, i)?;
    let to = at(end).is_some_and(|c| c.eq_ignore_ascii_case(&'t'))
        && at(end + 1).is_some_and(|c| c.eq_ignore_ascii_case(&'o'));
    let (second, end) = to.then(|| digits(at, end + 2))??;
    Some((format!("{first}:{second}"), end))
}

/// Cut `text`, which begins at byte `start` of the source, into tokens.
pub(super) fn tokens(text: &str, start: usize) -> Vec<Token> {
    let chars: Vec<(usize, char)> = text.char_indices().collect();
    let at = |i: usize| chars.get(i).map(|&(_, c)| plain(c));
    let end = |i: usize| start + chars.get(i).map_or(text.len(), |&(o, _)| o);
    let mut tokens = Vec::new();
    let mut spaced = true;
    let mut hyphened = false;
    let mut i = 0;
    while let Some(c) = at(i) {
        let from = end(i);
        let digit = |i: usize| at(i).is_some_and(|c| c.is_ascii_digit());
        let mut joined = false;
        let kind = if c.is_whitespace() {
            spaced = true;
            i += 1;
            continue;
        } else if let Some((n, d)) = vulgar(c) {
            i += 1;
            Kind::Fraction(n, d)
        } else if let Some((n, d, next)) = slashed(&at, i) {
            i = next;
            Kind::Fraction(n, d)
        } else if let Some((text, next)) = ratio_in_words(&at, i) {
            i = next;
            Kind::Ratio(text)
        } else if let Some(next) = ratio(&at, i) {
            let text = (i..next).filter_map(at).collect();
            i = next;
            Kind::Ratio(text)
        } else if digit(i)
            || (c == '.'
                && digit(i + 1)
                && !matches!(tokens.last(), Some(Token { kind: Kind::Word(w), .. }) if !spaced && w.len() > 1)
                // `vodka....50`: dots that lead to a number.
                && !matches!(tokens.last(), Some(Token { kind: Kind::Mark('.'), .. }) if !spaced))
        {
            let number;
            (number, i) = number_at(&at, i);
            Kind::Number(number)
        } else if c.is_alphabetic() {
            let word;
            (word, i) = word_at(&at, i);
            Kind::Word(word)
        } else if c == '-'
            && !spaced
            && matches!(
                tokens.last(),
                Some(Token {
                    kind: Kind::Word(_),
                    ..
                })
            )
            && at(i + 1).is_some_and(char::is_alphabetic)
        {
            hyphened = true;
            i += 1;
            continue;
        } else {
            i += 1;
            Kind::Mark(c)
        };
        std::mem::swap(&mut joined, &mut hyphened);
        tokens.push(Token {
            kind,
            span: from..end(i),
            spaced,
            joined,
        });
        spaced = false;
    }
    tokens
}

/// The digits at `i`, with the marks inside them, and where the line goes on.
fn number_at(at: &impl Fn(usize) -> Option<char>, mut i: usize) -> (String, usize) {
    let digit = |i: usize| at(i).is_some_and(|c| c.is_ascii_digit());
    let mut number = String::new();
    while let Some(c) = at(i) {
        // `1'5 cl`: a comma as it is written by hand.
        let by_hand =
            c == '\'' && digit(i + 1) && !digit(i + 3) && number.bytes().all(|b| b.is_ascii_digit());
        let inside =
            c.is_ascii_digit() || c == '.' && !number.ends_with('.') || (c == ',' && digit(i + 1)) || by_hand;
        if !inside {
            break;
        }
        number.push(if by_hand { ',' } else { c });
        i += 1;
    }
    (number, i)
}

/// The word at `i`, with what is a part of it: `w/o`, `b/s`, `w/v`, the stop of a shortening; and where the line goes on.
fn word_at(at: &impl Fn(usize) -> Option<char>, mut i: usize) -> (String, usize) {
    let digit = |i: usize| at(i).is_some_and(|c| c.is_ascii_digit());
    let mut word = String::new();
    while let Some(c) = at(i) {
        let letter = |i: usize| at(i).is_some_and(|c| c.is_alphanumeric());
        // `gin50`: a number hangs on a name, as none does on `e3`.
        let glued = c.is_ascii_digit() && word.len() >= 3 && word.chars().all(char::is_alphabetic);
        let inside = c.is_alphanumeric() && vulgar(c).is_none() && !glued
            || unicode_normalization::char::is_combining_mark(c)
            || c == '\''
            || c == '.'
                && !(digit(i + 1) && word.len() == 1)
                && at(i + 1) != Some('.')
                && !word.ends_with('.')
            || c == '&' && letter(i + 1) && !word.is_empty();
        if !inside {
            break;
        }
        word.push(c);
        i += 1;
    }
    // `w/v`: what a percentage counts.
    let counts = matches!(word.as_str(), "w" | "W" | "v" | "V" | "m" | "M")
        && at(i) == Some('/')
        && matches!(at(i + 1), Some('w' | 'W' | 'v' | 'V' | 'm' | 'M'))
        && !at(i + 2).is_some_and(char::is_alphanumeric);
    if counts {
        word.extend([at(i), at(i + 1)].into_iter().flatten());
        i += 2;
    }
    // `w/` is "with", `w/o` "without".
    if word.eq_ignore_ascii_case("w") && at(i) == Some('/') {
        word.push('/');
        i += 1;
        if matches!(at(i), Some('o' | 'O')) && !at(i + 1).is_some_and(char::is_alphanumeric) {
            word.push('o');
            i += 1;
        }
    }
    // `b/s` is a barspoon, `s/s` simple syrup.
    if matches!(word.as_str(), "b" | "B" | "s" | "S")
        && at(i) == Some('/')
        && matches!(at(i + 1), Some('s' | 'S'))
        && !at(i + 2).is_some_and(char::is_alphanumeric)
    {
        word.push_str("/s");
        i += 2;
    }
    (word, i)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<String> {
        tokens(text, 0)
            .into_iter()
            .map(|t| match t.kind {
                Kind::Number(n) => format!("#{n}"),
                Kind::Fraction(n, d) => format!("={n}/{d}"),
                Kind::Ratio(r) => format!(":{r}"),
                Kind::Word(w) => w,
                Kind::Mark(m) => format!("'{m}"),
            })
            .collect()
    }

    #[test]
    fn cutting() {
        assert_eq!(kinds("1½ oz"), ["#1", "=1/2", "oz"]);
        assert_eq!(kinds("１．５ ｏｚ gin"), ["#1.5", "oz", "gin"]);
        assert_eq!(kinds("45ml"), ["#45", "ml"]);
        assert_eq!(kinds("1e3 ml"), ["#1", "e3", "ml"]);
        assert_eq!(kinds("4,5 cl. gin"), ["#4,5", "cl.", "gin"]);
        assert_eq!(kinds("2-3 dashes"), ["#2", "'-", "#3", "dashes"]);
        assert_eq!(kinds("12-year rum"), ["#12", "'-", "year", "rum"]);
        assert_eq!(kinds("O.5 oz"), ["O", "#.5", "oz"]);
        assert_eq!(kinds("2 b/s agave"), ["#2", "b/s", "agave"]);
        assert_eq!(
            kinds("20 % w/v w/ v/vim"),
            ["#20", "'%", "w/v", "w/", "v", "'/", "vim"]
        );
        assert_eq!(kinds("1'5 cl"), ["#1,5", "cl"]);
        assert_eq!(kinds("1_5 oz"), ["#1", "'_", "#5", "oz"]);
        assert_eq!(kinds("stir / N&N"), ["stir", "'/", "N&N"]);
        assert_eq!(kinds("11/2 oz gin"), ["=11/2", "oz", "gin"]);
        assert_eq!(kinds("15 2:1, 1:1:1 a"), ["#15", ":2:1", "',", ":1:1:1", "a"]);
        assert_eq!(
            kinds("fat-washed w/ 30ml/1oz"),
            ["fat", "washed", "w/", "#30", "ml", "'/", "#1", "oz"]
        );
    }

    #[test]
    fn spans_point_into_the_source() {
        let text = "crème 1½ oz";
        for token in tokens(text, 100) {
            assert!(text.get(token.span.start - 100..token.span.end - 100).is_some());
        }
    }
}
