//! What numbers or ticks a line and is no part of it: the number of a list, of a step, of a footnote.

use crate::spec::lexicon;
use crate::spec::tokens::{Kind, Token};

/// `3. Splash of soda on top`: a unit spelt out behind the number of a step, and no three splashes.
fn begins_a_sentence(word: &str) -> bool {
    let mut letters = word.chars();
    word.len() > 3 && letters.next().is_some_and(char::is_uppercase) && letters.all(char::is_lowercase)
}

/// `Brown-butter aquavit [1] .... 45 ml`: the mark of a footnote, behind a word.
pub(super) fn drop_footnote_marks(tokens: &mut Vec<Token>) {
    let mut at = 1;
    while at + 2 < tokens.len() {
        let mark = tokens[at].is_mark('[')
            && matches!(tokens[at - 1].kind, Kind::Word(_))
            && matches!(&tokens[at + 1].kind, Kind::Number(n) if n.len() == 1 && n != "0")
            && tokens[at + 2].is_mark(']');
        if mark {
            tokens.drain(at..at + 3);
        } else {
            at += 1;
        }
    }
}

/// `1) 1.5 oz gin`, `1. Pour 50 ml gin`: the number of a list is not an amount.
pub(super) fn drop_list_number(tokens: &mut Vec<Token>) {
    // `[x] gin`: ticked off.
    if let [first, middle, ..] = tokens.as_slice()
        && first.is_mark('[')
        && (middle.is_mark(']') || middle.word() == "x" && tokens.get(2).is_some_and(|t| t.is_mark(']')))
    {
        let end = if middle.is_mark(']') { 2 } else { 3 };
        if tokens.len() > end {
            tokens.drain(..end);
        }
    }
    // `Step 1: pour`
    if let [first, number, colon, _, ..] = tokens.as_slice()
        && first.word() == "step"
        && number.is_number()
        && colon.is_mark(':')
    {
        tokens.drain(..3);
    }
    // `1.1 Amontillado, 45 ml`: the number of a paragraph, where an amount stands at the end.
    if let [first, second, middle @ .., _, last] = tokens.as_slice()
        && matches!(&first.kind, Kind::Number(n) if n.len() == 3 && n.as_bytes()[1] == b'.')
        && matches!(&second.kind, Kind::Word(w) if crate::measure::Unit::spelt(w).is_none())
        && matches!(&last.kind, Kind::Word(w) if crate::measure::Unit::spelt(w).is_some())
        && tokens[tokens.len() - 2].is_number()
        && middle.last().is_some_and(|t| t.is_mark(','))
    {
        tokens.drain(..1);
    } else if let [first, second, ..] = tokens.as_slice()
        && matches!(&first.kind, Kind::Number(n) if n.len() == 3 && n.as_bytes()[1] == b'.')
        && matches!(&second.kind, Kind::Word(w) if lexicon::begins_work(w))
    {
        tokens.drain(..1);
    }
    if let [
        Token {
            kind: Kind::Number(n),
            ..
        },
        second,
        ..,
    ] = tokens.as_slice()
    {
        let plain = n.bytes().all(|b| b.is_ascii_digit());
        if second.is_mark(')') && plain {
            tokens.drain(..2);
        } else if n.ends_with('.')
            && n.len() <= 3
            && n[..n.len() - 1].bytes().all(|b| b.is_ascii_digit())
            && second.spaced
            && (!matches!(&second.kind, Kind::Word(w) if crate::measure::Unit::spelt(w).is_some() && !begins_a_sentence(w))
                || tokens.get(2).is_some_and(Token::is_number))
        {
            tokens.drain(..1);
        }
    }
    while tokens.first().is_some_and(|t| {
        matches!(
            t.kind,
            Kind::Mark('•' | '·' | '*' | '‣' | '◦' | '☐' | '□' | '>' | '→')
        )
    }) {
        tokens.remove(0);
    }
}
