//! Steps of a preparation that are neither a pour nor work on ice: heat, infuse, press, clarify.
//!
//! The words are kept as typed. What they do to the liquid is worked out in [`crate::prepare`]; most do
//! nothing to it.

use serde::{Deserialize, Serialize};

use super::technique::time;
use super::tokens::{Kind, Token};
use super::{Step, Unplaced};
use crate::measure::Amount;

/// What a step of a preparation does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Process {
    /// Warmed: what is dissolved dissolves.
    Heat,
    /// Brought to the boil, or kept there: water and alcohol leave.
    Boil,
    /// Boiled down: how far has to be said.
    Reduce,
    /// Solids give their flavour: infused, steeped, macerated, soaked, washed with fat.
    Infuse,
    /// Solids are pressed, crushed or squeezed: what they give joins.
    Press,
    /// Passed through something that keeps solids back.
    Filter,
    /// What makes it cloudy is taken out; milk in it curdles and leaves its curds behind.
    Clarify,
    /// Charged with carbon dioxide.
    Carbonate,
    /// Fermented: sugar turns into alcohol and acid.
    Ferment,
    /// Anything that changes nothing in it: mixed, cooled, bottled.
    Handle,
}

/// How a line begins, and what that is: the longest match wins.
const OPENINGS: [(&str, Process); 82] = {
    use Process as P;
    [
        ("heat", P::Heat),
        ("gently heat", P::Heat),
        ("warm", P::Heat),
        ("melt", P::Heat),
        ("scald", P::Heat),
        ("pasteurise", P::Heat),
        ("pasteurize", P::Heat),
        ("bring to the boil", P::Boil),
        ("bring to a boil", P::Boil),
        ("bring to a simmer", P::Boil),
        ("boil", P::Boil),
        ("simmer", P::Boil),
        ("caramelise", P::Boil),
        ("caramelize", P::Boil),
        ("reduce", P::Reduce),
        ("boil down", P::Reduce),
        ("simmer down", P::Reduce),
        ("infuse", P::Infuse),
        ("steep", P::Infuse),
        ("macerate", P::Infuse),
        ("soak", P::Infuse),
        ("brew", P::Infuse),
        ("cold brew", P::Infuse),
        ("cook", P::Infuse),
        ("sous vide", P::Infuse),
        ("fat wash", P::Infuse),
        ("wash with fat", P::Infuse),
        ("press", P::Press),
        ("crush", P::Press),
        ("squeeze", P::Press),
        ("pound", P::Press),
        ("mash", P::Press),
        ("purée", P::Press),
        ("puree", P::Press),
        ("filter", P::Filter),
        ("strain through", P::Filter),
        ("fine strain through", P::Filter),
        ("sieve", P::Filter),
        ("pass through", P::Filter),
        ("skim", P::Filter),
        ("remove the solids", P::Filter),
        ("clarify", P::Clarify),
        ("milk wash", P::Clarify),
        ("curdle", P::Clarify),
        ("centrifuge", P::Clarify),
        ("carbonate", P::Carbonate),
        ("force carbonate", P::Carbonate),
        ("charge with", P::Carbonate),
        ("ferment", P::Ferment),
        ("mix", P::Handle),
        ("combine", P::Handle),
        ("dissolve", P::Handle),
        ("whisk", P::Handle),
        ("stir until", P::Handle),
        ("stir to dissolve", P::Handle),
        ("stir in", P::Handle),
        ("agitate", P::Handle),
        ("hydrate", P::Handle),
        ("rest", P::Handle),
        ("leave", P::Handle),
        ("let stand", P::Handle),
        ("stand", P::Handle),
        ("settle", P::Handle),
        ("age", P::Handle),
        ("cool", P::Handle),
        ("chill", P::Handle),
        ("refrigerate", P::Handle),
        ("freeze", P::Handle),
        ("thaw", P::Handle),
        ("cover", P::Handle),
        ("seal", P::Handle),
        ("vacuum", P::Handle),
        ("bottle", P::Handle),
        ("decant", P::Handle),
        ("store", P::Handle),
        ("label", P::Handle),
        ("toast", P::Handle),
        ("roast", P::Handle),
        ("chop", P::Handle),
        ("remove from the heat", P::Handle),
        ("take off the heat", P::Handle),
        ("keep cold", P::Handle),
    ]
};

/// A step of a preparation, in the writer's words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prepare {
    /// What it does.
    pub process: Process,
    /// The words as typed.
    pub words: String,
    /// For how long, seconds.
    pub seconds: Option<Amount>,
    /// How hot, °C.
    pub celsius: Option<f64>,
}

/// The longest opening at the head of `tokens`, and how many tokens it takes.
fn opening(tokens: &[Token]) -> Option<(Process, usize)> {
    let words: Vec<String> = tokens.iter().take(4).map(Token::word).collect();
    OPENINGS
        .iter()
        .filter_map(|(spelling, process)| {
            let n = spelling.split(' ').count();
            (words.get(..n)?.join(" ") == *spelling).then_some((*process, n))
        })
        .max_by_key(|(_, n)| *n)
}

/// The step that `tokens` are, where they begin with the words of one; with how many words that takes. `text` is
/// the line's text and `start` its place in the source.
pub(super) fn step(tokens: &[Token], text: &str, start: usize) -> Option<(Result<Step, Unplaced>, usize)> {
    let (process, taken) = opening(tokens)?;
    let raw = match (tokens.first(), tokens.last()) {
        (Some(a), Some(b)) => text[a.span.start - start..b.span.end - start].trim(),
        _ => "",
    };
    let mut prepare = Prepare {
        process,
        words: raw.trim_end_matches('.').to_owned(),
        seconds: None,
        celsius: None,
    };
    let rest = &tokens[taken..];
    let mut i = 0;
    while i < rest.len() {
        if let Some(said) = time(&rest[i..]) {
            match said {
                Ok((seconds, next)) => {
                    prepare.seconds = Some(prepare.seconds.map_or(seconds, |s| s + seconds));
                    i += next;
                }
                Err(wrong) => return Some((Err(wrong), taken)),
            }
        } else if let Some((celsius, next)) = temperature(&rest[i..]) {
            prepare.celsius = Some(celsius);
            i += next;
        } else if rest[i].is_number() {
            match harmless(&rest[i..]) {
                Some(next) => i += next,
                None => {
                    let span = rest[i].span.start..rest.last().map_or(rest[i].span.end, |t| t.span.end);
                    let message = "an amount inside a step of work would go uncounted; expected a time \
                                   (`infuse 40 min at 70 °C`), or the pour as a line of its own";
                    return Some((Err(Unplaced::reject(span, message)), taken));
                }
            }
        } else {
            i += 1;
        }
    }
    Some((Ok(Step::Prepare(prepare)), taken))
}

/// `70 °C`, `70C`, `158 °F`, `-18 °C`: degrees Celsius, and how many tokens they take.
pub(super) fn temperature(tokens: &[Token]) -> Option<(f64, usize)> {
    let sign = usize::from(tokens.first()?.is_hyphen());
    let value = match &tokens.get(sign)?.kind {
        Kind::Number(digits) => Amount::decimal(&digits.replace(',', ".")).ok()?,
        Kind::Fraction(top, bottom) => Amount::ratio(*top, *bottom).ok()?,
        _ => return None,
    };
    let value = value.to_f64();
    let value = if sign == 1 { -value } else { value };
    let mut at = sign + 1;
    let degree = tokens.get(at).is_some_and(|t| t.is_mark('°') || t.is_mark('º'))
        || tokens
            .get(at)
            .is_some_and(|t| matches!(t.word().as_str(), "degree" | "degrees" | "deg"));
    at += usize::from(degree);
    match tokens.get(at).map(Token::word).unwrap_or_default().as_str() {
        "c" | "celsius" | "℃" => Some((value, at + 1)),
        "f" | "fahrenheit" => Some(((value - 32.0) / 1.8, at + 1)),
        _ if degree => Some((value, at)),
        _ => None,
    }
}

/// A number that measures no pour: `3 times`, `100 micron`, `4000 rpm`, `2 bar`.
pub(super) fn harmless(tokens: &[Token]) -> Option<usize> {
    match tokens.get(1).map(Token::word).unwrap_or_default().as_str() {
        "time" | "times" | "x" | "cm" | "inch" | "inches" | "eur" | "usd" | "gbp" | "pounds" | "euro"
        | "euros" | "minute" | "am" | "pm" | "micron" | "microns" | "µm" | "μm" | "mm" | "rpm" | "bar"
        | "january" | "february" | "march" | "april" | "june" | "july" | "august" | "september"
        | "october" | "november" | "december" | "jan" | "feb" | "aug" | "sept" | "oct" | "nov" | "guests"
        | "psi" | "layers" | "watt" | "watts" => Some(2),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokens;
    use super::*;

    fn read(text: &str) -> Result<Prepare, Unplaced> {
        match step(&tokens(text, 0), text, 0).unwrap().0? {
            Step::Prepare(prepare) => Ok(prepare),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn times_and_temperatures_are_read_out_of_the_words() {
        let infuse = read("infuse 40 min at 70 °C").unwrap();
        assert_eq!(infuse.process, Process::Infuse);
        assert_eq!(infuse.seconds, Some(Amount::raw(2400, 1)));
        assert_eq!(infuse.celsius, Some(70.0));
        assert_eq!(infuse.words, "infuse 40 min at 70 °C");
        let steep = read("steep 2 days, covered").unwrap();
        assert_eq!(steep.seconds, Some(Amount::raw(172_800, 1)));
        assert!((read("sous vide 1 h 30 min at 140F").unwrap().celsius.unwrap() - 60.0).abs() < 1e-9);
        assert_eq!(read("freeze at -18 °C").unwrap().celsius, Some(-18.0));
        assert_eq!(read("boil down").unwrap().process, Process::Reduce);
        assert_eq!(read("filter through 100 micron cloth").unwrap().seconds, None);
    }

    #[test]
    fn a_pour_does_not_hide_in_words() {
        for text in [
            "mix 20 ml gin",
            "infuse 12 g tea 5 min",
            "crush 5 cardamom pods",
            "reduce to 500 ml",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
