//! A strength in or behind a name, in per cent, degrees of proof, or words.

use super::Reader;
use crate::measure::Amount;
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Per, Unplaced, amounts};

impl Reader<'_> {
    /// A number of 100 or more before the name of a spirit, among `from..to`, with the strength it is the proof of.
    pub(super) fn proof_in_name(&self, from: usize, to: usize) -> Option<(usize, Amount)> {
        (from..to).find_map(|j| {
            let Kind::Number(number) = &self.tokens[j].kind else {
                return None;
            };
            let value: i128 = number.parse().ok()?;
            (value >= 100 && self.number_of_a_name(j) == Some(1) && j + 1 < to)
                .then_some((j, Amount::raw(value, 2)))
        })
    }

    pub(super) fn strength_here(&self, at: usize) -> Option<(Result<Amount, Unplaced>, usize, usize)> {
        let end = (at + 6).min(self.len());
        strength_in(&self.tokens[at..end]).filter(|(_, from, _)| *from == 0)
    }

    /// `the hundred proof one`: a strength in words, among `from..to`, with its place.
    pub(super) fn strength_in_words(&self, from: usize, to: usize) -> Option<(Amount, usize, usize)> {
        let at = self.is(from, Tag::Article).unwrap_or(from);
        if self.tokens.get(at)?.is_number() {
            return None;
        }
        let phrase = amounts::phrase(&self.tokens[..to], at)?.ok()?;
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let value = match word(phrase.next) {
            proof if lexicon::is_proof(proof) => phrase.extent.nominal * Amount::raw(1, 2),
            "percent" => phrase.extent.nominal,
            _ => return None,
        };
        let end = phrase.next + 1;
        let ends = end == to || end + 1 == to && matches!(word(end), "one" | "stuff" | "kind" | "abv");
        (ends && value <= Amount::raw(100, 1)).then_some((value, at, end))
    }

    /// `70 Bx`, `70 °Bx`, `65 brix`.
    pub(super) fn brix(&self, at: usize) -> Option<usize> {
        matches!(self.tokens.get(at)?.kind, Kind::Number(_)).then_some(())?;
        let next = at + 1 + usize::from(self.mark(at + 1, "°º"));
        lexicon::is_brix(&self.words.get(next)?.folded).then_some(next + 1)
    }
}

/// An amount rounded to hundredths, so that it can be written as it is kept.
fn hundredths(amount: Amount) -> Amount {
    #[expect(clippy::cast_possible_truncation, reason = "a strength below a few hundred")]
    let rounded = (amount.to_f64() * 100.0).round() as i128;
    Amount::ratio(rounded, 100).unwrap_or(amount)
}

/// A strength among `tokens`: `47 %`, `47% abv`, `abv 47`, `100 proof`, `100-proof`, `57° proof UK`. Gives % vol and
/// the tokens it takes up.
pub(super) fn strength_in(tokens: &[Token]) -> Option<(Result<Amount, Unplaced>, usize, usize)> {
    let at = tokens.iter().position(|t| matches!(t.kind, Kind::Number(_)))?;
    let Kind::Number(text) = &tokens[at].kind else {
        return None;
    };
    let word = |i: usize| tokens.get(i).map(Token::word).unwrap_or_default();
    let mut next = at + 1;
    let british = |w: &str| matches!(w, "uk" | "british");
    let mut uk = british(&word(next));
    let country = uk || matches!(word(next).as_str(), "us" | "american");
    if (tokens.get(next).is_some_and(Token::is_hyphen) || country) && lexicon::is_proof(&word(next + 1)) {
        next += 1;
    }
    let proof = lexicon::is_proof(&word(next));
    let percent =
        tokens.get(next).is_some_and(|t| t.is_mark('%')) || matches!(word(next).as_str(), "abv" | "percent");
    if !proof && !percent {
        return None;
    }
    next += 1;
    uk = proof && (uk || british(&word(next)));
    while matches!(
        word(next).as_str(),
        "abv" | "vol" | "alc" | "us" | "uk" | "british" | "american"
    ) {
        next += 1;
    }
    // `20 % w/v`, `20 % (w/v)`, `6 % by mass`
    let by = usize::from(word(next) == "by");
    let bracket = tokens.get(next).is_some_and(|t| t.is_mark('('))
        && tokens.get(next + 2).is_some_and(|t| t.is_mark(')'));
    if percent && bracket && Per::read(&word(next + 1)).is_some() {
        next += 3;
    } else if percent && Per::read(&word(next + by)).is_some() {
        next += 1 + by;
    }
    let amount = Amount::decimal(&text.replace(',', "."));
    let span = tokens[at].span.start..tokens[next - 1].span.end;
    let value = match amount {
        // US proof is twice the strength; 100° UK proof is 57.1 % vol (4/7 of the degrees).
        Ok(n) if uk => hundredths(n * Amount::raw(4, 7)),
        Ok(n) if proof => n * Amount::raw(1, 2),
        Ok(n) => n,
        Err(e) => return Some((Err(Unplaced::reject(span, e.to_string())), at, next)),
    };
    if value > Amount::raw(100, 1) {
        let wrong = Unplaced::reject(span, format!("a strength of {value} % vol; expected 0 to 100"));
        return Some((Err(wrong), at, next));
    }
    Some((Ok(value), at, next))
}
