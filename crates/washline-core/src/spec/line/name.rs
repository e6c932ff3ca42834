//! A name with what hangs on it: a strength, a ratio, brackets, what stands after a comma.

use super::{Extras, Reader, span};
use crate::measure::Amount;
use crate::spec::amounts;
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Assumption, Named, Place, Wrong};

impl Reader<'_> {
    /// A name with what hangs on it: brackets, commas, a strength, "or".
    pub(super) fn name(&self, tokens: &[Token]) -> Result<(Vec<Named>, Extras), Wrong> {
        let mut extras = Extras::default();
        let mut bare: Vec<Token> = Vec::new();
        let mut i = 0;
        while i < tokens.len() {
            if tokens[i].is_mark('(') || tokens[i].is_mark('[') {
                let close = if tokens[i].is_mark('(') { ')' } else { ']' };
                let end = (i..tokens.len())
                    .find(|&j| tokens[j].is_mark(close))
                    .unwrap_or(tokens.len());
                self.bracket(&tokens[i + 1..end], &mut extras)?;
                i = end + 1;
            } else if tokens[i].is_mark(',') || tokens[i].is_mark(';') {
                let rest = &tokens[i + 1..];
                self.after_comma(rest, &mut extras)?;
                break;
            } else {
                bare.push(tokens[i].clone());
                i += 1;
            }
        }
        if let Some((strength, from, to)) = strength_in(&bare) {
            self.say_proof(&bare[from..to], &mut extras);
            extras.strength = Some(strength?);
            bare.drain(from..to);
        }
        let choices: Vec<Named> = bare
            .split(|t| t.word() == "or")
            .filter(|name| !name.is_empty())
            .map(|name| {
                let any = name.len() > 1 && name[0].word() == "any";
                let name = if any { &name[1..] } else { name };
                let typed = self.raw_of(name);
                Named {
                    full: typed.clone(),
                    name: typed,
                    any,
                    span: span(name),
                }
            })
            .collect();
        let mut choices = choices;
        if let (Some(ratio), [only]) = (&extras.ratio, choices.as_mut_slice()) {
            only.name = format!("{} {ratio}", only.name);
            only.full.clone_from(&only.name);
        }
        match choices.as_mut_slice() {
            [] => return Err(Wrong::reject(span(tokens), "no ingredient name; expected one")),
            [_] => {}
            several => {
                let others: Vec<&str> = several[1..].iter().map(|n| n.name.as_str()).collect();
                extras.assumptions.push(Assumption::new(
                    format!("\"{} or {}\"", several[0].name, others.join(" or ")),
                    format!("computed with {}", several[0].name),
                    "write one of them",
                ));
            }
        }
        Ok((choices, extras))
    }

    /// Degrees of proof differ by country: which were taken is said.
    pub(super) fn say_proof(&self, tokens: &[Token], extras: &mut Extras) {
        let words: Vec<String> = tokens.iter().map(Token::word).collect();
        if words.iter().any(|w| w == "proof")
            && !words
                .iter()
                .any(|w| matches!(w.as_str(), "us" | "uk" | "american" | "british"))
        {
            let about = self.raw(tokens);
            extras.assumptions.push(Assumption::new(
                about,
                "US proof, twice the strength in % vol (100 UK degrees would be 57.1 % vol)",
                "write the strength in %",
            ));
        }
    }

    /// The text of tokens that may not be neighbours, each run as typed.
    pub(super) fn raw_of(&self, tokens: &[Token]) -> String {
        let mut text = String::new();
        for token in tokens {
            if token.spaced && !text.is_empty() {
                text.push(' ');
            }
            text.push_str(&self.text[token.span.start - self.start..token.span.end - self.start]);
        }
        text.trim().to_owned()
    }

    pub(super) fn bracket(&self, inside: &[Token], extras: &mut Extras) -> Result<(), Wrong> {
        if let Some((strength, from, to)) = strength_in(inside) {
            self.say_proof(&inside[from..to], extras);
            extras.strength = Some(strength?);
            return Ok(());
        }
        let words = self.raw(inside);
        if let Some(place) = place_named(inside) {
            extras.place = Some(place);
        } else if is_ratio(inside) {
            extras.ratio = Some(words);
        } else if !words.is_empty() {
            extras.notes.push(words);
        }
        Ok(())
    }

    pub(super) fn after_comma(&self, rest: &[Token], extras: &mut Extras) -> Result<(), Wrong> {
        if let Some((strength, from, to)) = strength_in(rest) {
            self.say_proof(&rest[from..to], extras);
            extras.strength = Some(strength?);
            return Ok(());
        }
        extras.place = place_named(rest).or(extras.place);
        let words = self.raw(rest);
        if rest.iter().any(Token::is_number) && amounts::phrase(rest, 0).is_some() {
            return Err(Wrong::reject(
                span(rest),
                format!("a second amount, `{words}`, on one line; expected a line of its own"),
            ));
        }
        if !words.is_empty() && place_named(rest).is_none() {
            extras.notes.push(words);
        }
        Ok(())
    }
}

/// An amount rounded to hundredths, so that it can be written as it is kept.
fn hundredths(amount: Amount) -> Amount {
    #[expect(clippy::cast_possible_truncation, reason = "a strength below a few hundred")]
    let rounded = (amount.to_f64() * 100.0).round() as i128;
    Amount::ratio(rounded, 100).unwrap_or(amount)
}

/// A place said after the name: `top`, `to top`, `floated`, `rinse`.
fn place_named(tokens: &[Token]) -> Option<Place> {
    let words: Vec<String> = tokens.iter().map(Token::word).collect();
    let words: Vec<&str> = words
        .iter()
        .map(String::as_str)
        .filter(|w| !matches!(*w, "to" | "on" | "as" | "a" | "the"))
        .collect();
    Some(match words.as_slice() {
        ["top" | "topped", ..] => Place::Top,
        ["float" | "floated", ..] => Place::Float,
        ["rinse" | "rinsed", ..] => Place::Rinse,
        ["mist" | "misted", ..] => Place::Mist,
        _ => return None,
    })
}

/// `2:1`, perhaps with what it is counted by: `1:1 by mass`.
pub(super) fn is_ratio(tokens: &[Token]) -> bool {
    let number = |i: usize| matches!(tokens.get(i).map(|t| &t.kind), Some(Kind::Number(_)));
    let by: Vec<String> = tokens.iter().skip(3).map(Token::word).collect();
    let by: Vec<&str> = by.iter().map(String::as_str).collect();
    number(0)
        && tokens.get(1).is_some_and(|t| t.is_mark(':'))
        && number(2)
        && matches!(by.as_slice(), [] | ["by", "mass" | "volume" | "weight"])
}

/// A strength among `tokens`: `47 %`, `47% abv`, `100 proof`, `100-proof`, `57° proof UK`. Gives % vol and the
/// tokens it takes up.
pub(super) fn strength_in(tokens: &[Token]) -> Option<(Result<Amount, Wrong>, usize, usize)> {
    let at = tokens.iter().position(|t| matches!(t.kind, Kind::Number(_)))?;
    let Kind::Number(text) = &tokens[at].kind else {
        return None;
    };
    let word = |i: usize| tokens.get(i).map(Token::word).unwrap_or_default();
    let mut next = at + 1;
    let british = |w: &str| matches!(w, "uk" | "british");
    let mut uk = british(&word(next));
    let country = uk || matches!(word(next).as_str(), "us" | "american");
    if (tokens.get(next).is_some_and(Token::is_hyphen) || country) && word(next + 1) == "proof" {
        next += 1;
    }
    let proof = word(next) == "proof";
    let percent = tokens.get(next).is_some_and(|t| t.is_mark('%')) || word(next) == "abv";
    if !proof && !percent {
        return None;
    }
    next += 1;
    uk = proof && (uk || british(&word(next)));
    while matches!(
        word(next).as_str(),
        "abv" | "vol" | "us" | "uk" | "british" | "american"
    ) {
        next += 1;
    }
    let amount = Amount::decimal(&text.replace(',', "."));
    let span = tokens[at].span.start..tokens[next - 1].span.end;
    let value = match amount {
        // US proof is twice the strength; 100° UK proof is 57.1 % vol (4/7 of the degrees).
        Ok(n) if uk => hundredths(n * Amount::raw(4, 7)),
        Ok(n) if proof => n * Amount::raw(1, 2),
        Ok(n) => n,
        Err(e) => return Some((Err(Wrong::reject(span, e.to_string())), at, next)),
    };
    if value > Amount::raw(100, 1) {
        let wrong = Wrong::reject(span, format!("a strength of {value} % vol; expected 0 to 100"));
        return Some((Err(wrong), at, next));
    }
    Some((Ok(value), at, next))
}
