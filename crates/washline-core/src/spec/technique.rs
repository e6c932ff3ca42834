//! Steps that are work and not pours: shake, strain, over ice, rest, garnish.

use super::tokens::{Kind, Token};
use super::{Step, Technique, Work, Wrong, amounts};
use crate::measure::{Amount, Unit};
use crate::tables::Ice;

/// How a line begins, and what that is: the longest match wins. One table for reading; the first
/// spelling of each is also how it is written.
const OPENINGS: [(&str, Opening); 66] = {
    use Opening as O;
    use Technique as T;
    [
        ("muddle", O::Work(T::Muddle)),
        ("dry shake", O::Work(T::DryShake)),
        ("shake dry", O::Work(T::DryShake)),
        ("dry-shake", O::Work(T::DryShake)),
        ("shake without ice", O::Work(T::DryShake)),
        ("reverse dry shake", O::Work(T::DryShake)),
        ("whip shake", O::Work(T::WhipShake)),
        ("whip-shake", O::Work(T::WhipShake)),
        ("whip", O::Work(T::WhipShake)),
        ("hard shake", O::Work(T::Shake)),
        ("wet shake", O::Work(T::Shake)),
        ("short shake", O::Work(T::Shake)),
        ("shake", O::Work(T::Shake)),
        ("stir", O::Work(T::Stir)),
        ("build", O::Work(T::Build)),
        ("roll", O::Work(T::Roll)),
        ("throw", O::Work(T::Throw)),
        ("swizzle", O::Work(T::Swizzle)),
        ("flash blend", O::Work(T::Blend)),
        ("blend", O::Work(T::Blend)),
        ("ice in the tin", O::Ice),
        ("ice into the tin", O::Ice),
        ("ice in the glass", O::Ice),
        ("ice", O::Ice),
        ("add ice", O::Ice),
        ("add crushed ice", O::Ice),
        ("fill with ice", O::Ice),
        ("fill with crushed ice", O::Ice),
        ("crushed ice", O::Ice),
        ("cracked ice", O::Ice),
        ("fine strain", O::Strain { fine: true }),
        ("fine-strain", O::Strain { fine: true }),
        ("double strain", O::Strain { fine: true }),
        ("double-strain", O::Strain { fine: true }),
        ("strain fine", O::Strain { fine: true }),
        ("single strain", O::Strain { fine: false }),
        ("strain", O::Strain { fine: false }),
        ("unstrained", O::Unstrained),
        ("dump", O::Unstrained),
        ("dirty dump", O::Unstrained),
        ("pour unstrained", O::Unstrained),
        ("over ice", O::OverIce),
        ("over fresh ice", O::OverIce),
        ("over crushed ice", O::OverIce),
        ("over cracked ice", O::OverIce),
        ("over pebble ice", O::OverIce),
        ("over cubed ice", O::OverIce),
        ("over cubes", O::OverIce),
        ("over a large cube", O::OverIce),
        ("over a big cube", O::OverIce),
        ("over one large cube", O::OverIce),
        ("over large cube", O::OverIce),
        ("over a sphere", O::OverIce),
        ("on the rocks", O::OverIce),
        ("on ice", O::OverIce),
        ("neat", O::Neat),
        ("serve up", O::Strain { fine: false }),
        ("straight up", O::Strain { fine: false }),
        ("no ice", O::Neat),
        ("rest", O::Rest),
        ("garnish", O::Garnish),
        ("express", O::Garnish),
        ("flame", O::Garnish),
        ("rim", O::Garnish),
        ("cap with ice", O::Ice),
        ("cap with crushed ice", O::Ice),
    ]
};

#[derive(Clone, Copy, Debug)]
enum Opening {
    Work(Technique),
    Ice,
    Strain { fine: bool },
    Unstrained,
    OverIce,
    Neat,
    Rest,
    Garnish,
}

/// The words a line of work can open with, for suggestions.
pub(super) fn openings() -> impl Iterator<Item = &'static str> {
    OPENINGS.iter().map(|(words, _)| *words)
}

/// The longest opening at the head of `tokens`, and how many tokens it takes.
fn opening(tokens: &[Token]) -> Option<(&'static str, Opening, usize)> {
    let words: Vec<String> = tokens.iter().take(5).map(Token::word).collect();
    OPENINGS
        .iter()
        .filter_map(|(spelling, opening)| {
            let n = spelling.split(' ').count();
            let said = words.get(..n)?.join(" ");
            (said == *spelling).then_some((*spelling, *opening, n))
        })
        .max_by_key(|(_, _, n)| *n)
}

/// How many words of `tokens` open a step.
pub(super) fn taken(tokens: &[Token]) -> Option<usize> {
    opening(tokens).map(|(_, _, taken)| taken)
}

/// The step that `tokens` are, where they begin with the words of one. `text` is the line's text and
/// `start` its place in the source.
pub(super) fn step(tokens: &[Token], text: &str, start: usize) -> Option<Result<Step, Wrong>> {
    let (spelling, opening, taken) = opening(tokens)?;
    let rest = &tokens[taken..];
    let raw = |tokens: &[Token]| match (tokens.first(), tokens.last()) {
        (Some(a), Some(b)) => text[a.span.start - start..b.span.end - start].trim().to_owned(),
        _ => String::new(),
    };
    Some(match opening {
        Opening::Work(technique) => work(technique, spelling, rest, raw),
        Opening::Ice => Ok(Step::Ice(Ice::said(&raw(tokens)))),
        Opening::Strain { fine } => no_numbers(rest, "strain").map(|()| Step::Strain { fine }),
        Opening::Unstrained => no_numbers(rest, "unstrained").map(|()| Step::Unstrained),
        Opening::OverIce => no_numbers(rest, "ice").map(|()| Step::OverIce(Ice::said(&raw(tokens)))),
        Opening::Neat => no_numbers(rest, "neat").map(|()| Step::Neat),
        Opening::Rest => match time(rest) {
            Some(Ok((seconds, _))) => Ok(Step::Rest(seconds)),
            Some(Err(wrong)) => Err(wrong),
            None => Err(Wrong::reject(
                span_of(tokens),
                "a rest has no time; expected `rest 2 min` or `rest 30 s`",
            )),
        },
        Opening::Garnish => {
            let rest = if rest.first().is_some_and(|t| t.is_mark(':') || t.word() == "with") {
                &rest[1..]
            } else {
                rest
            };
            match raw(if spelling == "garnish" { rest } else { tokens }) {
                words if words.is_empty() => Err(Wrong::reject(
                    span_of(tokens),
                    "a garnish of nothing; expected `garnish lime wheel`",
                )),
                words => Ok(Step::Garnish(words)),
            }
        }
    })
}

fn span_of(tokens: &[Token]) -> std::ops::Range<usize> {
    tokens.first().map_or(0, |t| t.span.start)..tokens.last().map_or(0, |t| t.span.end)
}

/// A step of words only: a number in it would be a pour that goes unseen.
fn no_numbers(tokens: &[Token], of: &str) -> Result<(), Wrong> {
    match tokens.iter().find(|t| t.is_number()) {
        None => Ok(()),
        Some(_) => Err(Wrong::reject(
            span_of(tokens),
            format!("an amount inside a `{of}` step; expected the pour as a line of its own"),
        )),
    }
}

/// A time in seconds: `12 s`, `2 min`, `24 h`, `2 days`, `12"`.
pub(super) fn time(tokens: &[Token]) -> Option<Result<(Amount, usize), Wrong>> {
    let phrase = match amounts::phrase(tokens, 0)? {
        Ok(phrase) => phrase,
        Err(wrong) => return Some(Err(wrong)),
    };
    let unit = tokens.get(phrase.next)?;
    let seconds = match unit.word().as_str() {
        "s" | "sec" | "secs" | "second" | "seconds" => 1,
        "min" | "mins" | "minute" | "minutes" => 60,
        "h" | "hr" | "hrs" | "hour" | "hours" => 3600,
        "day" | "days" => 86_400,
        "week" | "weeks" => 604_800,
        _ if unit.is_mark('"') => 1,
        _ => return None,
    };
    Some(Ok((
        phrase.extent.nominal * Amount::raw(seconds, 1),
        phrase.next + 1,
    )))
}

/// The rest of a line of work: a time, a mass of ice, and words for the reader.
fn work(
    technique: Technique,
    spelling: &str,
    rest: &[Token],
    raw: impl Fn(&[Token]) -> String,
) -> Result<Step, Wrong> {
    let mut work = Work {
        technique,
        seconds: None,
        ice: None,
        words: String::new(),
    };
    let mut words: Vec<String> = Vec::new();
    if spelling.starts_with("reverse") || spelling.starts_with("short") || spelling.starts_with("flash") {
        words.push(spelling.split(' ').next().unwrap_or_default().to_owned());
    }
    let mut i = 0;
    while i < rest.len() {
        if let Some(time) = time(&rest[i..]) {
            let (seconds, next) = time?;
            work.seconds = Some(seconds);
            i += next;
            continue;
        }
        if let Kind::Number(_) | Kind::Fraction(_) = rest[i].kind {
            let phrase = match amounts::phrase(rest, i) {
                Some(phrase) => phrase?,
                None => {
                    return Err(Wrong::reject(
                        rest[i].span.clone(),
                        "a number without a unit in a step of work",
                    ));
                }
            };
            let unit = rest.get(phrase.next).and_then(|t| Unit::spelt(&t.word()));
            let ice = (phrase.next..rest.len()).find(|&j| rest[j].word() == "ice");
            match (unit, ice) {
                (Some(unit @ (Unit::Gram | Unit::Kilogram)), Some(ice)) => {
                    let per = if unit == Unit::Kilogram { 1000 } else { 1 };
                    let words = raw(&rest[phrase.next + 1..=ice]);
                    work.ice = Some(Ice {
                        mass_g: Some(phrase.extent.nominal * Amount::raw(per, 1)),
                        ..Ice::said(words.trim_start_matches("of "))
                    });
                    i = ice + 1;
                }
                _ => {
                    return Err(Wrong::reject(
                        rest[i].span.start..span_of(rest).end,
                        format!(
                            "`{}` in a step of work; expected a time (`{} 12 s`), a mass of ice (`with 120 g ice`), or the pour as a line of its own",
                            raw(&rest[i..]),
                            technique.written()
                        ),
                    ));
                }
            }
            continue;
        }
        words.push(raw(&rest[i..=i]));
        i += 1;
    }
    // Joining words mean nothing by themselves once the time or the ice has been taken out.
    while words
        .last()
        .is_some_and(|w| matches!(w.as_str(), "for" | "with" | "of" | "," | "and"))
    {
        words.pop();
    }
    while words
        .first()
        .is_some_and(|w| matches!(w.as_str(), "for" | "of" | "," | "and"))
        || words.first().is_some_and(|w| w == "with" && work.ice.is_some())
    {
        words.remove(0);
    }
    work.words = words.join(" ").replace(" ,", ",");
    Ok(Step::Work(work))
}
