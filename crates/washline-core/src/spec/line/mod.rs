//! One list item: a pour in any of the forms people write it in, or a step of work.

mod method;
mod name;

use std::ops::Range;

use name::{is_ratio, strength_in};

use super::amounts::{self, Phrase};
use super::tokens::{Kind, Token, tokens};
use super::{Assumption, Extent, Line, Measure, Named, Place, Pour, Step, Wrong, process, technique};
use crate::measure::{Amount, Unit};

/// What one line holds: steps, and a glass where a line of work names one.
#[derive(Debug, Default)]
pub(in crate::spec) struct Read {
    pub lines: Vec<Line>,
    pub glass: Option<(String, Range<usize>)>,
}

impl From<Vec<Line>> for Read {
    fn from(lines: Vec<Line>) -> Read {
        Read { lines, glass: None }
    }
}

/// Read a list item: `text`, which begins at byte `start` of the source. Some lines hold more than one step.
/// `preparing` says that it stands in a preparation, where there is more to do than in a drink.
pub(in crate::spec) fn read(text: &str, start: usize, preparing: bool) -> Result<Read, Wrong> {
    let mut tokens = tokens(text, start);
    drop_list_number(&mut tokens);
    if tokens.is_empty() {
        return Err(Wrong::reject(
            start..start + text.len().max(1),
            "an empty step; expected a pour such as `50 ml dry gin` or work such as `shake`",
        ));
    }
    let reader = Reader {
        text,
        start,
        preparing,
    };
    reader.item(&tokens)
}

/// `1) 1.5 oz gin`: the number of a list is not an amount.
fn drop_list_number(tokens: &mut Vec<Token>) {
    if let [
        Token {
            kind: Kind::Number(n),
            ..
        },
        second,
        ..,
    ] = tokens.as_slice()
        && second.is_mark(')')
        && n.bytes().all(|b| b.is_ascii_digit())
    {
        tokens.drain(..2);
    }
    while tokens
        .first()
        .is_some_and(|t| matches!(t.kind, Kind::Mark('•' | '·' | '*' | '‣' | '◦' | '~' | '≈')))
    {
        tokens.remove(0);
    }
}

struct Reader<'a> {
    text: &'a str,
    start: usize,
    preparing: bool,
}

/// What a line says besides amount and name.
#[derive(Default)]
struct Extras {
    place: Option<Place>,
    notes: Vec<String>,
    assumptions: Vec<Assumption>,
    strength: Option<Amount>,
    /// A ratio in brackets belongs to the name: `simple (1:1)`.
    ratio: Option<String>,
}

impl Reader<'_> {
    fn raw(&self, tokens: &[Token]) -> String {
        match (tokens.first(), tokens.last()) {
            (Some(a), Some(b)) => self.text[a.span.start - self.start..b.span.end - self.start]
                .trim()
                .to_owned(),
            _ => String::new(),
        }
    }

    fn line(&self, step: Step, tokens: &[Token], assumptions: Vec<Assumption>) -> Line {
        Line {
            step,
            span: span(tokens),
            assumptions,
        }
    }

    fn item(&self, tokens: &[Token]) -> Result<Read, Wrong> {
        if let Some(read) = self.slashed(tokens) {
            return read;
        }
        if let Some(read) = self.ending_in_a_glass(tokens) {
            return read;
        }
        if let Some(read) = self.several_works(tokens) {
            return read;
        }
        if let Some(step) = self.work(tokens) {
            return Ok(vec![self.line(step?, tokens, Vec::new())].into());
        }
        self.pours(tokens).map(Read::from)
    }

    /// The step of work that `tokens` begin with the words of. A preparation's own words go before a drink's
    /// of the same length.
    fn work(&self, tokens: &[Token]) -> Option<Result<Step, Wrong>> {
        let bar = technique::step(tokens, self.text, self.start);
        if self.preparing
            && let Some((prepare, taken)) = process::step(tokens, self.text, self.start)
            && technique::taken(tokens).is_none_or(|bar| taken >= bar)
        {
            return Some(prepare);
        }
        bar
    }

    fn pours(&self, tokens: &[Token]) -> Result<Vec<Line>, Wrong> {
        if let Some(found) = self.garnish_at_end(tokens) {
            return Ok(vec![found]);
        }
        if let Some(pours) = self.ratio_of_parts(tokens) {
            return pours;
        }
        if let Some(pours) = self.each(tokens) {
            return pours;
        }
        // `1 oz rum + 1 oz rye`: a plus before an amount joins two pours.
        let pluses: Vec<usize> = (1..tokens.len())
            .filter(|&i| tokens[i].is_mark('+') && amounts::phrase(tokens, i + 1).is_some())
            .collect();
        if !pluses.is_empty() {
            let mut lines = method::cut(tokens, &pluses)
                .into_iter()
                .map(|piece| self.pour(piece))
                .collect::<Result<Vec<_>, Wrong>>()?;
            if let Some(first) = lines.first_mut() {
                first.assumptions.push(Assumption::new(
                    format!("`{}`", self.raw(tokens)),
                    format!("read as {} pours", pluses.len() + 1),
                    "write a line for each",
                ));
            }
            return Ok(lines);
        }
        if method::names_a_garnish(tokens) {
            let words = self.raw(tokens);
            let said = Assumption::new(format!("`{words}`"), "read as the garnish", "write `garnish …`");
            return Ok(vec![self.line(Step::Garnish(words), tokens, vec![said])]);
        }
        Ok(vec![self.pour(tokens)?])
    }

    /// `lime wheel garnish`.
    fn garnish_at_end(&self, tokens: &[Token]) -> Option<Line> {
        let (last, before) = tokens.split_last()?;
        let is = matches!(last.word().as_str(), "garnish" | "garnished") && !before.is_empty();
        is.then(|| self.line(Step::Garnish(self.raw(before)), tokens, Vec::new()))
    }

    /// `2:1:1 gin / lemon juice / triple sec`, `equal parts gin, sweet vermouth, red bitter`.
    fn ratio_of_parts(&self, tokens: &[Token]) -> Option<Result<Vec<Line>, Wrong>> {
        let mut shares: Vec<Amount> = Vec::new();
        let mut at = 0;
        let equal = tokens.first()?.word() == "equal" && tokens.get(1)?.word() == "parts";
        if equal {
            at = 2;
            if tokens.get(at).is_some_and(|t| t.word() == "of" || t.is_mark(':')) {
                at += 1;
            }
        } else {
            loop {
                let Kind::Number(n) = &tokens.get(at)?.kind else {
                    return None;
                };
                shares.push(Amount::decimal(&n.replace(',', ".")).ok()?);
                at += 1;
                if !tokens.get(at).is_some_and(|t| t.is_mark(':') && !t.spaced) {
                    break;
                }
                at += 1;
            }
            // `2:1 syrup` is a strength of syrup; a ratio of pours names as many as it counts.
            if shares.len() < 2 || !tokens[at..].iter().any(|t| t.is_mark('/') || t.is_mark(',')) {
                return None;
            }
        }
        let names: Vec<&[Token]> = tokens[at..]
            .split(|t| t.is_mark('/') || t.is_mark(',') || t.is_mark(';') || (equal && t.word() == "and"))
            .filter(|n| !n.is_empty())
            .collect();
        if equal {
            shares = vec![Amount::ONE; names.len()];
        }
        if names.len() != shares.len() || names.is_empty() {
            return Some(Err(Wrong::reject(
                span(tokens),
                format!(
                    "{} shares for {} names; expected one for each",
                    shares.len(),
                    names.len()
                ),
            )));
        }
        let pours = names.iter().zip(shares).map(|(name, share)| {
            let (choices, extras) = self.name(name)?;
            let measure = Measure::Of(Extent::exact(share), Some(Unit::Part));
            Ok(self.finish(measure, choices, extras, name))
        });
        Some(pours.collect())
    }

    /// `30 ml each gin, lemon juice, triple sec`.
    fn each(&self, tokens: &[Token]) -> Option<Result<Vec<Line>, Wrong>> {
        let each = tokens.iter().position(|t| t.word() == "each")?;
        let phrase = match amounts::phrase(tokens, 0)? {
            Ok(phrase) => phrase,
            Err(wrong) => return Some(Err(wrong)),
        };
        let (unit, after_unit) = unit_at(tokens, phrase.next);
        let names = if each == after_unit {
            let from = each
                + 1
                + usize::from(
                    tokens
                        .get(each + 1)
                        .is_some_and(|t| t.word() == "of" || t.is_mark(':')),
                );
            &tokens[from.min(tokens.len())..]
        } else if each + 1 == tokens.len() {
            &tokens[after_unit..each]
        } else {
            return None;
        };
        let names: Vec<&[Token]> = names
            .split(|t| t.is_mark(',') || t.is_mark('/') || t.word() == "and")
            .filter(|n| !n.is_empty())
            .collect();
        if names.is_empty() {
            return Some(Err(Wrong::reject(
                span(tokens),
                "`each` of nothing; expected names after it",
            )));
        }
        let pours = names.into_iter().map(|name| {
            let (choices, mut extras) = self.name(name)?;
            extras.assumptions.extend(phrase.assumptions.clone());
            Ok(self.finish(Measure::Of(phrase.extent, unit), choices, extras, name))
        });
        Some(pours.collect())
    }

    /// One pour, in any order of amount and name.
    fn pour(&self, tokens: &[Token]) -> Result<Line, Wrong> {
        let words: Vec<String> = tokens.iter().map(Token::word).collect();
        let word = |i: usize| words.get(i).map_or("", String::as_str);
        // Where it goes: `top with soda`, `float 10 ml rum`, `rinse the glass with absinthe`.
        let place = match word(0) {
            "top" | "lengthen" | "fill" => Some((
                Place::Top,
                &["up", "off", "with", "the", "glass", "to", "fill"][..],
            )),
            "float" => Some((Place::Float, &["with", "of", "on", "a"][..])),
            "rinse" => Some((Place::Rinse, &["the", "glass", "with", "a", "of"][..])),
            "mist" | "spray" | "spritz" => Some((Place::Mist, &["the", "glass", "with", "of", "over"][..])),
            "add" | "pour" => Some((Place::In, &["the"][..])),
            _ => None,
        };
        if let Some((place, fillers)) = place {
            let mut at = 1;
            while fillers.contains(&word(at)) && at + 1 < tokens.len() {
                at += 1;
            }
            if at >= tokens.len() {
                return Err(Wrong::reject(
                    span(tokens),
                    format!("`{}` of nothing; expected an ingredient after it", word(0)),
                ));
            }
            return self.placed(place, &tokens[at..], tokens);
        }
        // `2 dashes bitters on top`
        if words.len() > 3 && words.ends_with(&["on".to_owned(), "top".to_owned()]) {
            return self.amount_and_name(&tokens[..words.len() - 2], tokens, Some(Place::Top));
        }
        // `absinthe rinse`, `rum float`
        let last = words.len() - 1;
        let at_end = match word(last) {
            "rinse" => Some(Place::Rinse),
            "float" => Some(Place::Float),
            "mist" => Some(Place::Mist),
            _ => None,
        };
        if let (Some(place), true) = (at_end, last > 0) {
            return self.placed(place, &tokens[..last], tokens);
        }
        self.amount_and_name(tokens, tokens, None)
    }

    fn placed(&self, place: Place, rest: &[Token], whole: &[Token]) -> Result<Line, Wrong> {
        let open = rest.iter().take_while(|t| !t.is_mark('(') && !t.is_mark('['));
        let numbered = open.clone().any(Token::is_number);
        let taste = rest.first().is_some_and(|t| t.is_mark('?') || t.word() == "to");
        if amounts::phrase(rest, 0).is_some() || taste || (numbered && strength_in(rest).is_none()) {
            return self.amount_and_name(rest, whole, Some(place));
        }
        let (choices, mut extras) = self.name(rest)?;
        extras.place = Some(place);
        let measure = if place == Place::Top {
            Measure::Fill
        } else {
            Measure::Usual
        };
        Ok(self.finish(measure, choices, extras, whole))
    }

    fn amount_and_name(
        &self,
        tokens: &[Token],
        whole: &[Token],
        place: Option<Place>,
    ) -> Result<Line, Wrong> {
        if let Some(wrong) = self.mistyped(tokens) {
            return Err(wrong);
        }
        let mut extras = Extras {
            place,
            ..Extras::default()
        };
        let mut at = 0;
        // `scant 3/4 oz`, `heaping barspoon`: kept as words, not as numbers.
        while let word @ ("scant" | "fat" | "heavy" | "generous" | "short" | "heaping" | "heaped" | "level"
        | "rounded" | "bare" | "about" | "approx" | "ca" | "circa" | "roughly") =
            tokens.get(at).map(Token::word).unwrap_or_default().as_str()
        {
            extras.assumptions.push(Assumption::new(
                format!("\"{word}\""),
                "kept as a note; the amount as written is computed",
                "write the amount",
            ));
            extras.notes.push(word.to_owned());
            at += 1;
        }
        if tokens.get(at).is_some_and(|t| t.is_mark('?')) {
            let (unit, next) = unit_at(tokens, at + 1);
            return self.with_name(Measure::Open(unit), &tokens[next..], extras, whole);
        }
        if tokens.get(at).map(Token::word).as_deref() == Some("to")
            && tokens.get(at + 1).map(Token::word).as_deref() == Some("taste")
        {
            return self.with_name(Measure::Open(None), &tokens[at + 2..], extras, whole);
        }
        if let Some(line) = self.juice_of(&tokens[at..], &extras, whole) {
            return line;
        }
        if let Some(phrase) = amounts::phrase(tokens, at) {
            let phrase = phrase?;
            if let Some(line) = self.number_in_a_name(tokens, at, &phrase) {
                return Err(line);
            }
            return self.amount_first(phrase, tokens, extras, whole);
        }
        // `dash aromatic bitters`: a missing number before a counted unit is one.
        if let (Some(unit), after) = unit_at(tokens, at)
            && let next = after + usize::from(tokens.get(after).is_some_and(|t| t.word() == "of"))
            && tokens.get(next).is_some_and(|t| matches!(t.kind, Kind::Word(_)))
            && !matches!(unit, Unit::Litre | Unit::Gram | Unit::Dash if tokens[at].word().len() == 1)
        {
            return self.with_name(
                Measure::Of(Extent::exact(Amount::ONE), Some(unit)),
                &tokens[next..],
                extras,
                whole,
            );
        }
        self.name_first(&tokens[at..], extras, whole)
    }

    /// Letters typed for digits: `O.5 oz`, `2 0z`.
    fn mistyped(&self, tokens: &[Token]) -> Option<Wrong> {
        if let [
            Token {
                kind: Kind::Word(w),
                span: a,
                ..
            },
            Token {
                kind: Kind::Number(n),
                spaced: false,
                span: b,
            },
            ..,
        ] = tokens
            && (w == "O" || w == "o" || w == "l" || w == "I")
        {
            let digit = if w.eq_ignore_ascii_case("o") { '0' } else { '1' };
            let meant = format!("{digit}{n}");
            return Some(Wrong::ask(
                a.start..b.end,
                format!("the letter `{w}` where a digit stands"),
                vec![meant],
            ));
        }
        for pair in tokens.windows(2) {
            if let [
                Token {
                    kind: Kind::Number(n),
                    span: a,
                    ..
                },
                Token {
                    kind: Kind::Word(w),
                    spaced: false,
                    span: b,
                },
            ] = pair
                && n == "0"
                && w.eq_ignore_ascii_case("z")
            {
                let amount = self.raw(&tokens[..1]);
                return Some(Wrong::ask(
                    a.start..b.end,
                    "`0z`, with a zero, where a unit stands",
                    vec![format!("{amount} oz")],
                ));
            }
        }
        None
    }

    /// `12-year rum` and `100-proof rye` with no amount before them: the number belongs to the name.
    fn number_in_a_name(&self, tokens: &[Token], at: usize, phrase: &Phrase) -> Option<Wrong> {
        tokens.get(phrase.next).filter(|t| t.is_hyphen() && !t.spaced)?;
        let word = tokens
            .get(phrase.next + 1)
            .filter(|t| !t.spaced && matches!(t.kind, Kind::Word(_)))?;
        if Unit::spelt(&word.word()).is_some() {
            return None;
        }
        Some(Wrong::ask(
            tokens[at].span.start..word.span.end,
            format!(
                "no amount before `{}`; expected one such as `50 ml`",
                self.raw(&tokens[at..])
            ),
            vec![format!("50 ml {}", self.raw(&tokens[at..]))],
        ))
    }

    /// `juice of half a lime`, `1/2 lime, juiced`.
    fn juice_of(&self, tokens: &[Token], extras: &Extras, whole: &[Token]) -> Option<Result<Line, Wrong>> {
        let word = |i: usize| tokens.get(i).map(Token::word).unwrap_or_default();
        if word(0) != "juice" || word(1) != "of" {
            return None;
        }
        let (extent, next) = match amounts::phrase(tokens, 2) {
            Some(Ok(phrase)) => (phrase.extent, phrase.next),
            Some(Err(wrong)) => return Some(Err(wrong)),
            None => (Extent::exact(Amount::ONE), 2),
        };
        let fruit = &tokens[next..];
        if fruit.is_empty() {
            return Some(Err(Wrong::reject(
                span(whole),
                "juice of nothing; expected a fruit",
            )));
        }
        Some(self.name(fruit).map(|(mut choices, mut found)| {
            for named in &mut choices {
                let fruit = named.name.strip_suffix('s').unwrap_or(&named.name).to_owned();
                named.name = format!("{fruit} juice");
                named.full = named.name.clone();
            }
            found.place = extras.place;
            self.finish(Measure::Of(extent, Some(Unit::Fruit)), choices, found, whole)
        }))
    }

    fn amount_first(
        &self,
        phrase: Phrase,
        tokens: &[Token],
        mut extras: Extras,
        whole: &[Token],
    ) -> Result<Line, Wrong> {
        extras.assumptions.extend(phrase.assumptions);
        let (mut unit, mut next) = unit_at(tokens, phrase.next);
        if unit == Some(Unit::Ounce) && tokens[phrase.next].word().starts_with("fl") {
            extras.assumptions.push(Assumption::new(
                "fl oz",
                "the ounce of the book: US, 29.57 ml, unless it sets another",
                "`ounce:` in the book",
            ));
        }
        if let Some(Token {
            kind: Kind::Number(typed),
            ..
        }) = phrase.next.checked_sub(1).and_then(|i| tokens.get(i))
            && typed.ends_with('.')
        {
            extras.assumptions.push(Assumption::new(
                format!("`{typed}`"),
                "an amount, and not the number of a list",
                "write the number without the full stop",
            ));
        }
        // `30ml/1oz lemon juice`: two units for one amount.
        if unit.is_some()
            && tokens.get(next).is_some_and(|t| t.is_mark('/'))
            && let Some(Ok(second)) = amounts::phrase(tokens, next + 1)
            && let (Some(other), after) = unit_at(tokens, second.next)
        {
            self.both(
                phrase.extent.nominal,
                unit,
                second.extent.nominal,
                other,
                &mut extras,
            );
            next = after;
        }
        // `6 large egg whites`, `1 of …`
        while tokens
            .get(next)
            .is_some_and(|t| matches!(t.word().as_str(), "of"))
        {
            next += 1;
        }
        if unit == Some(Unit::Piece) && tokens.get(next).is_none() {
            unit = None;
            next = phrase.next;
        }
        if tokens
            .get(next)
            .is_some_and(|t| t.is_mark('×') || t.word() == "x")
            && let Some(Ok(second)) = amounts::phrase(tokens, next + 1)
        {
            let (other, after) = unit_at(tokens, second.next);
            let extent = Extent::exact(phrase.extent.nominal * second.extent.nominal);
            return self.with_name(Measure::Of(extent, other), &tokens[after..], extras, whole);
        }
        self.with_name(Measure::Of(phrase.extent, unit), &tokens[next..], extras, whole)
    }

    /// A second amount beside the first: kept as a note, and checked against it.
    fn both(&self, first: Amount, unit: Option<Unit>, second: Amount, other: Unit, extras: &mut Extras) {
        let measures = crate::measure::Measures::default();
        let ml = |amount: Amount, unit: Unit| measures.size(unit).map(|s| (amount * s.nominal).to_f64());
        extras.notes.push(format!(
            "also {} {}",
            other.amount_text(second),
            other.written_after(second)
        ));
        if let (Some(unit), Some(b)) = (unit, ml(second, other))
            && let Some(a) = ml(first, unit)
            && (a - b).abs() > 0.03 * a.max(b)
        {
            extras.assumptions.push(Assumption::new(
                format!(
                    "{} {} and {} {}",
                    unit.amount_text(first),
                    unit.written_after(first),
                    other.amount_text(second),
                    other.written_after(second)
                ),
                format!(
                    "the two differ by {:.0} %: the first is computed",
                    100.0 * (a - b).abs() / a.max(b)
                ),
                "write one amount",
            ));
        }
    }

    /// `Gin 60ml`, `Lime juice - ¾ oz`, `Lime juice: 22.5`.
    fn name_first(&self, tokens: &[Token], extras: Extras, whole: &[Token]) -> Result<Line, Wrong> {
        // The last amount that runs to the end of the line, or to a comma or bracket, is the one.
        let end = tokens
            .iter()
            .position(|t| t.is_mark(',') || t.is_mark('('))
            .unwrap_or(tokens.len());
        for i in 1..end {
            // A number glued to a colon, hyphen or % is a part of the name: `syrup 2:1`, `rum (40 %)`.
            let glued = tokens[i - 1].is_mark(':') && !tokens[i].spaced
                || tokens.get(i + 1).is_some_and(|t| t.is_mark(':') && !t.spaced);
            if glued || !tokens[i].is_number() {
                continue;
            }
            let Some(phrase) = amounts::phrase(&tokens[..end], i) else {
                continue;
            };
            let phrase = phrase?;
            let (unit, next) = unit_at(&tokens[..end], phrase.next);
            if next < end {
                continue;
            }
            let mut name_end = i;
            while name_end > 0
                && (tokens[name_end - 1].is_hyphen()
                    || tokens[name_end - 1].is_mark(':')
                    || tokens[name_end - 1].is_mark('='))
            {
                name_end -= 1;
            }
            let mut name: Vec<Token> = tokens[..name_end].to_vec();
            name.extend_from_slice(&tokens[end..]);
            let mut extras = extras;
            extras.assumptions.extend(phrase.assumptions);
            return self.with_name(Measure::Of(phrase.extent, unit), &name, extras, whole);
        }
        let name = self.raw(tokens);
        // What is counted and never measured is one where no number stands.
        if matches!(
            crate::names::key(&name).as_str(),
            "egg white" | "egg yolk" | "whole egg" | "egg" | "sugar cube"
        ) {
            return self.with_name(
                Measure::Of(Extent::exact(Amount::ONE), None),
                tokens,
                extras,
                whole,
            );
        }
        let own = process::openings().filter(|_| self.preparing);
        let near = crate::names::nearest(&name, technique::openings().chain(own).map(|o| (o, o)), 2);
        Err(Wrong::ask(
            span(whole),
            format!(
                "no amount before `{name}`; expected a pour such as `50 ml gin`, or a step such as `shake`, `strain`, `garnish lime wheel`"
            ),
            near,
        ))
    }

    fn with_name(
        &self,
        mut measure: Measure,
        name: &[Token],
        found: Extras,
        whole: &[Token],
    ) -> Result<Line, Wrong> {
        if name.iter().all(|t| !matches!(t.kind, Kind::Word(_))) && !is_ratio(name) {
            return Err(Wrong::reject(
                span(whole),
                format!(
                    "`{}` has no ingredient; expected a name after the amount",
                    self.raw(whole)
                ),
            ));
        }
        let (mut choices, mut extras) = self.name(name)?;
        extras.place = found.place.or(extras.place);
        extras.notes.splice(0..0, found.notes);
        extras.assumptions.splice(0..0, found.assumptions);
        // `6-8 mint leaves`, `1 lime wedge`, `1 sugar cube`: the last word is the unit.
        if let Measure::Of(extent, unit @ (None | Some(Unit::Piece))) = &mut measure
            && let [named] = choices.as_mut_slice()
            && let Some((rest, last)) = named.name.rsplit_once(' ')
            && let Some(
                counted @ (Unit::Leaf | Unit::Sprig | Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Cube),
            ) = Unit::spelt(last)
        {
            let _ = extent;
            *unit = Some(counted);
            named.name = rest.to_owned();
        }
        Ok(self.finish(measure, choices, extras, whole))
    }

    fn finish(&self, measure: Measure, choices: Vec<Named>, extras: Extras, whole: &[Token]) -> Line {
        let mut measure = measure;
        let mut extras = extras;
        // A bracketed amount is the amount of a top (`top with sparkling wine (60ml)`), else a note beside the first.
        let notes = std::mem::take(&mut extras.notes);
        for note in notes {
            let inside = tokens(&note, 0);
            let second = match amounts::phrase(&inside, 0) {
                Some(Ok(phrase)) => match unit_at(&inside, phrase.next) {
                    (Some(unit), next) if next == inside.len() => Some((phrase.extent, unit)),
                    _ => None,
                },
                _ => None,
            };
            match (second, &measure) {
                (Some((extent, unit)), Measure::Fill | Measure::Usual) => {
                    measure = Measure::Of(extent, Some(unit))
                }
                (Some((extent, unit)), Measure::Of(first, Some(Unit::Bottle))) => {
                    measure = Measure::Of(Extent::exact(first.nominal * extent.nominal), Some(unit));
                }
                (Some((extent, unit)), Measure::Of(first, own)) => {
                    self.both(first.nominal, *own, extent.nominal, unit, &mut extras)
                }
                _ => extras.notes.push(note),
            }
        }
        if extras.notes.iter().any(|n| n.contains("taste")) && matches!(measure, Measure::Of(..)) {
            extras.assumptions.push(Assumption::new(
                "\"to taste\"",
                "computed with the amount as written",
                "",
            ));
        }
        let pour = Pour {
            place: extras.place.unwrap_or(Place::In),
            measure,
            choices,
            strength_pct: extras.strength,
            note: extras.notes.join(", "),
        };
        self.line(Step::Pour(pour), whole, extras.assumptions)
    }
}

fn span(tokens: &[Token]) -> Range<usize> {
    tokens.first().map_or(0, |t| t.span.start)..tokens.last().map_or(0, |t| t.span.end)
}

/// The unit at `i`, and where the line goes on. Two words are tried before one.
fn unit_at(tokens: &[Token], i: usize) -> (Option<Unit>, usize) {
    // `2-oz gin`: the hyphen joins the amount to its unit.
    let joined = tokens.get(i).is_some_and(|t| t.is_hyphen() && !t.spaced)
        && tokens
            .get(i + 1)
            .is_some_and(|t| !t.spaced && Unit::spelt(&t.word()).is_some());
    let i = if joined { i + 1 } else { i };
    let typed = |i: usize| match tokens.get(i).map(|t| &t.kind) {
        Some(Kind::Word(word)) => Some(word.trim_end_matches('.').to_owned()),
        _ => None,
    };
    let Some(first) = typed(i) else { return (None, i) };
    if let Some(second) = typed(i + 1)
        && let Some(unit) = Unit::spelt(&format!("{first} {second}"))
    {
        return (Some(unit), i + 2);
    }
    // `1 whole egg`, `1 cube sugar`: fine; but a name that begins with a unit's letter alone is a name.
    match Unit::spelt(&first) {
        Some(unit) => (Some(unit), i + 1),
        None => (None, i),
    }
}
