//! Amounts as people write them: decimals, fractions, mixed numbers, ranges, words.

use super::tokens::{Kind, Token};
use super::{Assumption, Extent, Unplaced};
use crate::measure::Amount;

/// An amount phrase: what it comes to, and where the line goes on.
#[derive(Debug)]
pub(super) struct Phrase {
    pub extent: Extent,
    pub next: usize,
    pub assumptions: Vec<Assumption>,
}

/// A number as typed: a point, or a comma in the way of much of Europe, before the decimals.
///
/// `metric` says that millilitres or grams follow, where `1.000` may be a thousand.
fn number(text: &str, token: &Token, metric: bool) -> Result<Amount, Unplaced> {
    let span = token.span.clone();
    let separators = text.matches(['.', ',']).count();
    let trimmed = text.strip_suffix('.').unwrap_or(text);
    if separators > 1
        && text
            .strip_suffix('.')
            .is_none_or(|t| t.matches(['.', ',']).count() > 1)
    {
        return Err(Unplaced::reject(
            span,
            format!("`{text}` has more than one decimal mark; expected a number such as 2.5"),
        ));
    }
    if let Some((whole, part)) = trimmed.split_once(['.', ','])
        && metric
        && part.len() == 3
        && !whole.is_empty()
        && whole != "0"
    {
        let plain = format!("{}.{}", whole, part.trim_end_matches('0'))
            .trim_end_matches('.')
            .to_owned();
        return Err(Unplaced::ask(
            span,
            format!("`{text}` is {plain} or, written the other way, {whole}{part}"),
            vec![plain, format!("{whole}{part}")],
        ));
    }
    Amount::decimal(&trimmed.replace(',', ".")).map_err(|e| Unplaced::reject(span, e.to_string()))
}

/// A word that stands for a number.
fn number_word(word: &str) -> Option<Amount> {
    let n = match word {
        "one" => 1,
        "two" => 2,
        "three" => 3,
        "four" => 4,
        "five" => 5,
        "six" => 6,
        "seven" => 7,
        "eight" => 8,
        "nine" => 9,
        "ten" => 10,
        "eleven" => 11,
        "twelve" => 12,
        "fifteen" => 15,
        "sixteen" => 16,
        "eighteen" => 18,
        "twenty" => 20,
        "thirty" => 30,
        "forty" => 40,
        "fifty" => 50,
        "sixty" => 60,
        "seventy" => 70,
        "eighty" => 80,
        "ninety" => 90,
        "hundred" => 100,
        _ => return None,
    };
    Some(Amount::raw(n, 1))
}

/// `a half`, `one quarter`, `three quarters` in words at `i`, and where the line goes on.
pub(super) fn part_in_words(tokens: &[Token], i: usize) -> Option<(Amount, usize)> {
    let part = |i: usize| match word_at(tokens, i).as_str() {
        "half" | "halves" => Some(Amount::raw(1, 2)),
        "quarter" | "quarters" => Some(Amount::raw(1, 4)),
        "third" | "thirds" => Some(Amount::raw(1, 3)),
        _ => None,
    };
    if let Some(part) = part(i) {
        return Some((part, i + 1));
    }
    let count = match word_at(tokens, i).as_str() {
        "a" | "an" => Amount::ONE,
        word => number_word(word)?,
    };
    Some((count * part(i + 1)?, i + 2))
}

fn word_at(tokens: &[Token], i: usize) -> String {
    tokens.get(i).map(Token::word).unwrap_or_default()
}

/// A plain integer at `i` with nothing odd about it.
fn integer(tokens: &[Token], i: usize) -> Option<i128> {
    match &tokens.get(i)?.kind {
        Kind::Number(n) if n.len() <= 9 && n.bytes().all(|b| b.is_ascii_digit()) => n.parse().ok(),
        _ => None,
    }
}

/// A fraction at `i`: `3/4`, `3 / 4`, or one character.
fn fraction(tokens: &[Token], i: usize) -> Option<Result<(Amount, usize), Unplaced>> {
    let (top, bottom, next) = match tokens.get(i)?.kind {
        Kind::Fraction(top, bottom) => (top, bottom, i + 1),
        Kind::Number(_) => {
            let top = integer(tokens, i)?;
            if !tokens.get(i + 1)?.is_mark('/') || tokens.get(i + 1)?.spaced != tokens.get(i + 2)?.spaced {
                return None;
            }
            let bottom = integer(tokens, i + 2)?;
            // `60 rum / 22 lime` is two pours; `1 / 2 oz` a fraction with room in it.
            if tokens.get(i + 2)?.spaced && top >= bottom {
                return None;
            }
            (top, bottom, i + 3)
        }
        _ => return None,
    };
    let span = tokens[i].span.start..tokens[next - 1].span.end;
    // `30/40 ml` is no fraction that a jigger has, nor one that a recipe for several comes to: two amounts, perhaps.
    if bottom > 0 && !matches!(bottom, 1..=10 | 12 | 16 | 18 | 24 | 32 | 36 | 48 | 64 | 96) {
        return Some(Err(Unplaced::ask(
            span,
            format!("`{top}/{bottom}`: a fraction, or two amounts?"),
            vec![format!("{top}-{bottom}"), format!("{top}")],
        )));
    }
    // `11/2 oz`: a space may have been left out between a whole number and its fraction.
    if bottom > 1
        && next == i + 1
        && top >= 10
        && let (whole, part) = split_digits(top)
        && part > 0
        && part < bottom
    {
        return Some(Err(Unplaced::ask(
            span,
            format!(
                "`{top}/{bottom}`: {whole} {part}/{bottom} with its space left out, or {top} over {bottom}?"
            ),
            vec![
                format!("{whole} {part}/{bottom}"),
                Amount::raw(top, bottom).to_string(),
            ],
        )));
    }
    Some(match Amount::ratio(top, bottom) {
        Ok(amount) => Ok((amount, next)),
        Err(e) => Err(Unplaced::reject(
            span,
            format!("{e}; expected a fraction such as 3/4"),
        )),
    })
}

/// The digits of a number with the last one cut off, and the last one.
fn split_digits(number: i128) -> (i128, i128) {
    (number / 10, number % 10)
}

/// Whether metric units follow the token at `i`.
fn metric_after(tokens: &[Token], i: usize) -> bool {
    matches!(
        word_at(tokens, i).as_str(),
        "ml" | "mls" | "cc" | "g" | "gr" | "gram" | "grams" | "millilitres" | "milliliters"
    )
}

/// One value at `i`: a number, a fraction, a mixed number or a number word.
fn value(tokens: &[Token], i: usize) -> Option<Result<(Amount, usize), Unplaced>> {
    if let Some(found) = fraction(tokens, i) {
        return Some(found);
    }
    let token = tokens.get(i)?;
    match &token.kind {
        Kind::Number(text) => Some(in_digits(tokens, i, token, text)),
        Kind::Word(_) => in_words(tokens, i).map(Ok),
        _ => None,
    }
}

/// A value in digits at `i`: a whole number, a decimal, or a whole number and a fraction.
fn in_digits(tokens: &[Token], i: usize, token: &Token, text: &str) -> Result<(Amount, usize), Unplaced> {
    if let Some(wrong) = notation_of_a_machine(tokens, i) {
        return Err(wrong);
    }
    let whole = number(text, token, metric_after(tokens, i + 1))?;
    if integer(tokens, i).is_some()
        && let Some(mixed) = mixed_number(tokens, i, whole)
    {
        return mixed;
    }
    Ok((whole, i + 1))
}

/// `1_5` and `1e3` are numbers to a machine, not to a bar.
fn notation_of_a_machine(tokens: &[Token], i: usize) -> Option<Unplaced> {
    let next = tokens.get(i + 1).filter(|t| !t.spaced)?;
    let glued = match &next.kind {
        Kind::Mark('_') => true,
        Kind::Word(w) => {
            w.len() > 1 && w.to_lowercase().starts_with('e') && w[1..].bytes().all(|b| b.is_ascii_digit())
        }
        _ => false,
    };
    glued.then(|| {
        let end = tokens
            .get(i + 2)
            .filter(|t| !t.spaced)
            .map_or(next.span.end, |t| t.span.end);
        Unplaced::reject(
            tokens[i].span.start..end,
            "this is not how a bar writes an amount; expected a number such as 1000 or 1.5",
        )
    })
}

/// A whole number at `i` with the fraction behind it: `1 1/2`, `1½`, `1 & 1/2`, `1 and 1/2`, `1-1/2`.
fn mixed_number(tokens: &[Token], i: usize, whole: Amount) -> Option<Result<(Amount, usize), Unplaced>> {
    let joined = match tokens.get(i + 1) {
        Some(t) if t.is_mark('&') || t.word() == "and" => i + 2,
        Some(t) if t.is_hyphen() && !t.spaced && tokens.get(i + 2).is_some_and(|t| !t.spaced) => i + 2,
        _ => i + 1,
    };
    let hyphened = joined > i + 1 && tokens[i + 1].is_hyphen();
    match fraction(tokens, joined)? {
        // `0-1/2 oz` is a range.
        Ok((part, next)) if part < Amount::ONE && !(hyphened && whole.is_zero()) => Some(
            whole
                .plus(part)
                .map(|sum| (sum, next))
                .map_err(|e| Unplaced::reject(tokens[i].span.clone(), e.to_string())),
        ),
        Ok((part, next)) if !hyphened => {
            let span = tokens[i].span.start..tokens[next - 1].span.end;
            Some(Err(Unplaced::ask(
                span,
                format!(
                    "a whole number and then a fraction of 1 or more ({}): expected a proper fraction such as 1 1/2",
                    part.mixed_fraction()
                ),
                vec![(whole + part).mixed_fraction(), part.mixed_fraction()],
            )))
        }
        Ok(_) => None,
        Err(wrong) => Some(Err(wrong)),
    }
}

/// A value in words at `i`: `half a`, `three quarters of an`, `two hundred`, `twenty five`.
fn in_words(tokens: &[Token], i: usize) -> Option<(Amount, usize)> {
    let after = |mut i: usize| {
        while matches!(word_at(tokens, i).as_str(), "a" | "an" | "of") {
            i += 1;
        }
        i
    };
    let word = word_at(tokens, i);
    match word.as_str() {
        "half" => Some((Amount::raw(1, 2), after(i + 1))),
        "quarter" => Some((Amount::raw(1, 4), after(i + 1))),
        "third" => Some((Amount::raw(1, 3), after(i + 1))),
        "a" | "one" | "two" | "three" if let Some(found) = hundreds(tokens, i) => Some(found),
        "a" | "an" | "one" | "three" | "two" => {
            let next = word_at(tokens, i + 1);
            let count = number_word(&word).unwrap_or(Amount::ONE);
            let part = match next.as_str() {
                "half" => Some(Amount::raw(1, 2)),
                "quarter" | "quarters" => Some(Amount::raw(1, 4)),
                "third" | "thirds" => Some(Amount::raw(1, 3)),
                _ => None,
            };
            match part {
                Some(part) => Some((count * part, after(i + 2))),
                None if matches!(next.as_str(), "couple" | "few" | "") => None,
                None => Some((count, i + 1)),
            }
        }
        _ if let Some(found) = hundreds(tokens, i) => Some(found),
        w => number_word(w).map(|n| {
            // `twenty five`
            match number_word(&word_at(tokens, i + 1)) {
                Some(ones) if n >= Amount::raw(20, 1) && ones < Amount::raw(10, 1) => (n + ones, i + 2),
                _ => (n, i + 1),
            }
        }),
    }
}

/// `a hundred and twenty`, `two hundred`, `seven fifty` in words at `i`, and where the line goes on.
fn hundreds(tokens: &[Token], i: usize) -> Option<(Amount, usize)> {
    let below = |n: Amount, limit: i128| n < Amount::raw(limit, 1);
    // A full stop parts two numbers: `the first one. fifty ml`.
    let stops = |i: usize| tokens.get(i).is_some_and(Token::stops);
    let at = |i: usize| number_word(&word_at(tokens, i)).filter(|_| i == 0 || !stops(i - 1));
    if stops(i) {
        return None;
    }
    let (many, mut next) = match word_at(tokens, i).as_str() {
        "a" => (Amount::ONE, i + 1),
        "hundred" => (Amount::ONE, i),
        word => (number_word(word).filter(|n| below(*n, 10))?, i + 1),
    };
    let hundred = word_at(tokens, next) == "hundred";
    let mut total = many * Amount::raw(100, 1);
    if hundred {
        next += 1;
        let and = usize::from(word_at(tokens, next) == "and");
        match at(next + and) {
            Some(tens) if below(tens, 100) => {
                total = total + tens;
                next += and + 1;
            }
            _ => return Some((total, next)),
        }
    } else {
        // `seven fifty`
        let tens = at(next).filter(|n| !below(*n, 10) && below(*n, 100))?;
        total = total + tens;
        next += 1;
    }
    if let Some(ones) = at(next).filter(|n| below(*n, 10))
        && at(next - 1).is_some_and(|tens| !below(tens, 20))
    {
        total = total + ones;
        next += 1;
    }
    Some((total, next))
}

/// Words that stand for a small number of something, with what is computed and the span.
fn vague(tokens: &[Token], i: usize) -> Option<(Extent, usize)> {
    let skip = usize::from(matches!(word_at(tokens, i).as_str(), "a" | "an"));
    let (word, nominal, low, high) = match word_at(tokens, i + skip).as_str() {
        "couple" => ("couple", 2, 2, 3),
        "few" => ("few", 3, 2, 5),
        "several" => ("several", 4, 3, 6),
        "some" => ("some", 1, 1, 3),
        _ => return None,
    };
    let next = i + skip + 1;
    let next = if word_at(tokens, next) == "of" {
        next + 1
    } else {
        next
    };
    let of = |n| Amount::raw(n, 1);
    Some((
        Extent {
            nominal: of(nominal),
            low: of(low),
            high: of(high),
            word: Some(word),
        },
        next,
    ))
}

/// The amount phrase that begins at `i`, if one does.
pub(super) fn phrase(tokens: &[Token], i: usize) -> Option<Result<Phrase, Unplaced>> {
    if let Some((extent, next)) = vague(tokens, i) {
        let said = format!("{} (between {} and {})", extent.nominal, extent.low, extent.high);
        let word = extent.word.unwrap_or_default();
        let assumptions = vec![Assumption::new(format!("\"{word}\""), said, "write a number")];
        return Some(Ok(Phrase {
            extent,
            next,
            assumptions,
        }));
    }
    let (mut first, mut next) = match value(tokens, i)? {
        Ok(found) => found,
        Err(wrong) => return Some(Err(wrong)),
    };
    // `one and a quarter`, `two and a half`.
    if word_at(tokens, next) == "and"
        && let Some((part, end)) = part_in_words(tokens, next + 1)
    {
        first = first + part;
        next = end;
    }
    let exact = Phrase {
        extent: Extent::exact(first),
        next,
        assumptions: Vec::new(),
    };
    // A range: `2-3`, `2 to 3`; a hyphen with spaces round it could be anything.
    let Some(joint) = tokens.get(next) else {
        return Some(Ok(exact));
    };
    let is_to = matches!(joint.word().as_str(), "to" | "or");
    if !joint.is_hyphen() && !is_to {
        return Some(Ok(exact));
    }
    let Some(Ok((second, end))) = value(tokens, next + 1) else {
        return Some(Ok(exact));
    };
    if joint.is_hyphen() && joint.spaced && tokens.get(next + 1).is_some_and(|t| t.spaced) {
        let span = tokens[i].span.start..tokens[end - 1].span.end;
        let mut readings = vec![format!("{}-{}", first.mixed_fraction(), second.mixed_fraction())];
        if second < Amount::ONE {
            readings.insert(0, (first + second).mixed_fraction());
        }
        return Some(Err(Unplaced::ask(
            span,
            "a hyphen with spaces round it: a mixed number, a range, or a dash?",
            readings,
        )));
    }
    if second < first {
        let span = tokens[i].span.start..tokens[end - 1].span.end;
        return Some(Err(Unplaced::ask(
            span,
            format!(
                "a range from {} down to {}: expected the smaller first",
                first.mixed_fraction(),
                second.mixed_fraction()
            ),
            vec![format!("{}-{}", second.mixed_fraction(), first.mixed_fraction())],
        )));
    }
    let extent = Extent {
        nominal: first,
        low: first,
        high: second,
        word: None,
    };
    let assumptions = vec![Assumption::new(
        format!("the range {}-{}", first.mixed_fraction(), second.mixed_fraction()),
        format!("computed with {}", first.mixed_fraction()),
        "write one amount",
    )];
    Some(Ok(Phrase {
        extent,
        next: end,
        assumptions,
    }))
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokens;
    use super::*;

    fn read(text: &str) -> Result<String, String> {
        match phrase(&tokens(text, 0), 0) {
            None => Err("none".to_owned()),
            Some(Err(wrong)) => Err(format!("{:?}", wrong.kind)),
            Some(Ok(p)) if p.extent.is_exact() => Ok(p.extent.nominal.mixed_fraction()),
            Some(Ok(p)) => Ok(format!(
                "{}..{}",
                p.extent.low.mixed_fraction(),
                p.extent.high.mixed_fraction()
            )),
        }
    }

    #[test]
    fn amounts_as_people_write_them() {
        for (text, expected) in [
            ("2 oz", "2"),
            (".75 oz", "3/4"),
            ("1. oz", "1"),
            ("4,5 cl", "4 1/2"),
            ("1 1/2 oz", "1 1/2"),
            ("1½ oz", "1 1/2"),
            ("1 ½ oz", "1 1/2"),
            ("1⁄2 oz", "1/2"),
            ("1 & 1/2 oz", "1 1/2"),
            ("1-1/2 oz", "1 1/2"),
            ("half ounce", "1/2"),
            ("half an ounce", "1/2"),
            ("three quarters lime", "3/4"),
            ("two dashes", "2"),
            ("a barspoon", "1"),
            ("2-3 dashes", "2..3"),
            ("1–2 barspoons", "1..2"),
            ("1 to 1 1/2 oz", "1..1 1/2"),
            ("couple dashes", "2..3"),
            ("a few drops", "2..5"),
            ("½–1 tsp", "1/2..1"),
            ("1 -2 tsp", "1..2"),
        ] {
            assert_eq!(read(text).as_deref(), Ok(expected), "{text}");
        }
        for (text, expected) in [
            ("1 - 1/2 oz", "Ask"),
            ("1 3/2 oz", "Ask"),
            ("1.000 ml", "Ask"),
            ("3-2 oz", "Ask"),
            ("1/0 oz", "Reject"),
            ("2.0.5 oz", "Reject"),
            ("1e3 ml", "Reject"),
            ("1_5 oz", "Reject"),
            ("gin", "none"),
        ] {
            assert_eq!(read(text), Err(expected.to_owned()), "{text}");
        }
    }
}
