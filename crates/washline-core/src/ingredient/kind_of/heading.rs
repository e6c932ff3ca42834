//! Which words of a name say what it is: "rum caramel" is a caramel, "caraway gin" a gin.

use std::ops::Range;

use crate::ingredient::kind_table::{Kind, Role, kinds};
use crate::ingredient::phrases::words;
use crate::ingredient::stock::{Found, Meaning};
use crate::ingredient::{Ingredient, Stock};

/// What stands where in a name.
pub(super) struct Heading<'a> {
    /// The words that name it.
    pub(super) head: Range<usize>,
    /// The kind they name.
    pub(super) kind: Option<&'static Kind>,
    /// What the stock has under more words than those, the usual one first.
    pub(super) own: Vec<&'a Ingredient>,
}

/// The words of a name, what stands in brackets or behind a comma put before the rest: "vermouth (dry)",
/// "bitters, orange"; and what something is of: "juice of limes".
pub(super) fn in_order(name: &str) -> Vec<String> {
    let mut parts: Vec<String> = vec![String::new()];
    let mut within = String::new();
    let mut depth = 0_usize;
    for c in name.replace(" - ", ", ").replace(" – ", ", ").chars() {
        match c {
            '(' | '[' => depth += 1,
            ')' | ']' => {
                depth = depth.saturating_sub(1);
                within.push(' ');
            }
            _ if depth > 0 => within.push(c),
            ',' => parts.push(String::new()),
            _ => {
                if let Some(last) = parts.last_mut() {
                    last.push(c);
                }
            }
        }
    }
    parts.insert(1, within);
    let mut ordered: Vec<String> = parts[1..].iter().flat_map(|part| words(part)).collect();
    ordered.extend(words(&parts[0]));
    // "juice of limes"
    if let Some(of) = ordered.iter().position(|word| word == "of")
        && of > 0
        && kinds().heads.ending(&ordered, 0, of).is_some()
    {
        let mut turned = ordered.split_off(of + 1);
        ordered.pop();
        if let Some(last) = turned.last_mut()
            && let Some(one) = last.strip_suffix('s').filter(|one| kinds().known.contains(*one))
        {
            *last = one.to_owned();
        }
        turned.append(&mut ordered);
        return turned;
    }
    ordered
}

/// What names it: the last words before `end` that name a kind or something of the stock, passing over words that may
/// stand behind. Gives the words passed over that nothing knows, too.
pub(super) fn heading<'a>(
    stock: &'a Stock,
    words: &[String],
    end: usize,
) -> Option<(Heading<'a>, Vec<usize>)> {
    let table = kinds();
    let heads = table.heads.find(&words[..end]);
    // "gin and tonic" is two things.
    if let [.., (first, _), (second, _)] = heads.as_slice()
        && second.end == end
        && words[first.end..second.start] == ["and".to_owned()]
    {
        return None;
    }
    // "crème de" names what follows it.
    if let Some((range, at)) = heads.last()
        && words[range.end - 1] == "de"
        && range.end < end
    {
        let (head, own) = match longest(stock, &words[..end], range.start + 1) {
            Some((first, own)) => (first..end, own?),
            None => (range.clone(), Vec::new()),
        };
        let kind = Some(&table.kinds[**at]);
        return Some((Heading { head, kind, own }, Vec::new()));
    }
    let mut behind = Vec::new();
    let mut last = end;
    while last > 0 {
        let named = heads.iter().rfind(|(range, _)| range.end == last);
        // A word that narrows what was named before it is no name of its own: the "blanc" of "rum agricole blanc".
        let before = heads.iter().rfind(|(range, _)| range.end < last);
        let narrows = before.and_then(|(range, at)| {
            let (first, _) = table.kinds[**at].narrow.ending(words, range.end, last)?;
            Some(first)
        });
        if let (None, Some(first)) = (named, narrows) {
            last = first;
            continue;
        }
        let floor = named.map_or(last, |(range, _)| range.start);
        let own = longest(stock, &words[..last], floor);
        if let Some((range, at)) = named {
            let kind = &table.kinds[**at];
            // Bottles have makers' names behind them; a syrup has not.
            if !behind.is_empty() && !kind.nominal.is_alcoholic() {
                return None;
            }
            return match own {
                Some((first, Some(own))) => Some((first..last, Some(kind), own)),
                // The stock itself asks which is meant.
                Some((_, None)) => None,
                None => {
                    // "calvados" names a kind and one of its members.
                    let one = match stock.by_exact_key(&words[range.clone()].join(" ")) {
                        Some(Found::Sure(one)) if one.name != kind.nominal.name => vec![one],
                        _ => Vec::new(),
                    };
                    Some((range.clone(), Some(kind), one))
                }
            }
            .map(|(head, kind, own)| (Heading { head, kind, own }, behind));
        }
        match own {
            Some((_, None)) => return None,
            // What is known by itself, behind nothing that names a bottle; or with that, as one name.
            Some((first, Some(own))) if before.is_none_or(|(range, _)| first <= range.start) => {
                let heading = Heading {
                    head: first..last,
                    kind: before.map(|(_, at)| &table.kinds[**at]),
                    own,
                };
                return Some((heading, behind));
            }
            _ => {}
        }
        before?;
        if table
            .roles
            .get(&Role::Other)
            .is_some_and(|p| p.ending(words, 0, last).is_some())
        {
            return None;
        }
        if let Some(first) = passed_over(words, last) {
            last = first;
        } else if !table.known.contains(&words[last - 1]) {
            // A maker's name may stand behind what it makes; a thing that is known would be another thing.
            behind.push(last - 1);
            last -= 1;
        } else {
            return None;
        }
    }
    None
}

/// Where the words begin that end before `last` and may stand behind a name: a way of making, a figure.
fn passed_over(words: &[String], last: usize) -> Option<usize> {
    [Role::Behind, Role::Around]
        .iter()
        .filter_map(|role| kinds().roles.get(role))
        .find_map(|phrases| phrases.ending(words, 0, last))
        .map(|(first, ())| first)
        .or_else(|| figure_before(words, last))
        .or_else(|| is_figure(&words[last - 1]).then_some(last - 1))
}

/// The longest name of the stock that ends these words and begins before `floor`: its place, and what it leads to;
/// `None` inside where the stock asks which is meant.
pub(super) fn longest<'a>(
    stock: &'a Stock,
    words: &[String],
    floor: usize,
) -> Option<(usize, Option<Vec<&'a Ingredient>>)> {
    const LONGEST: usize = 6;
    let end = words.len();
    (end.saturating_sub(LONGEST)..floor.min(end)).find_map(|first| {
        let phrase = words[first..end].join(" ");
        let singular = phrase.strip_suffix('s').unwrap_or(&phrase).to_owned();
        let plural = format!("{phrase}s");
        let key = [phrase, singular, plural]
            .into_iter()
            .find(|key| stock.by_exact_key(key).is_some())?;
        match stock.by_exact_key(&key)? {
            Found::Sure(one) => Some((first, Some(vec![one]))),
            Found::Taken(one, _) => {
                let mut all = vec![one];
                if let Some(Meaning::Taken { candidates, .. }) = stock.meaning(&key) {
                    let others = candidates.iter().filter_map(|name| stock.get(name));
                    all.extend(others.filter(|i| i.name != one.name && i.kind == one.kind));
                }
                Some((first, Some(all)))
            }
            Found::Ask(..) => Some((first, None)),
            Found::Unknown => None,
        }
    })
}

/// Whether a word is a number, with or without what it counts.
pub(super) fn is_figure(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}

/// The place of the number that the words before `last` count: "65 brix", "12 years old".
pub(super) fn figure_before(words: &[String], last: usize) -> Option<usize> {
    let years = kinds().roles.get(&Role::Year);
    (1..=2).find_map(|n| {
        let number = last.checked_sub(n + 1)?;
        let unit = &words[number + 1..last];
        let counts = UNITS.contains(&unit.join(" ").as_str()) || years.is_some_and(|y| y.get(unit).is_some());
        (is_figure(&words[number]) && counts).then_some(number)
    })
}

/// What a number in a name counts, but years.
const UNITS: [&str; 6] = ["%", "abv", "vol", "proof", "bx", "brix"];

pub(super) fn alcoholic(heading: &Heading<'_>) -> bool {
    match (heading.own.first(), heading.kind) {
        (Some(own), _) => own.is_alcoholic(),
        (None, Some(kind)) => kind.nominal.is_alcoholic(),
        (None, None) => false,
    }
}
