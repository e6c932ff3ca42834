//! What nobody can list, answered as its kind: "caraway gin" is a gin. Its composition is what the members of the kind
//! in the library span, its allergens are unknown but for those its name says, and what was taken for granted is said.

use std::ops::Range;

use super::kind_table::{Kind, Role, Tells, kinds};
use super::phrases::words;
use super::stock::{Found, Meaning};
use super::{
    Basis, Convention, Declaration, Ingredient, Origin, Quantity, Shape, Status, Stock, Value,
    declared_by_name, hazards, library, never, us_of,
};
use crate::liquid::sucrose::sugar_g_per_l;
use crate::liquid::{Component, Family};
use crate::tables::IngredientKind;

/// A name of more words is no name.
const MOST_WORDS: usize = 14;

/// A name answered as its kind.
#[derive(Clone, Debug)]
pub struct KindAnswer {
    /// What is computed with: the usual member's composition over the span of the kind.
    pub ingredient: Ingredient,
    /// The kind: "rum"; of a thing that the stock itself names, that name.
    pub kind: String,
    /// The words that name the kind, folded.
    pub head: Vec<String>,
    /// The words that narrow it ("overproof", "2:1", "70 bx"), folded.
    pub deciding: Vec<String>,
    /// The words that nothing here knows, folded: neither kind nor flavour nor way of making. A caller that must
    /// account for each word asks about these.
    pub unknown: Vec<String>,
    /// Whether it is the kind without its alcohol.
    pub alcohol_free: bool,
    /// What was taken for granted, and how to settle it.
    pub said: String,
}

/// What stands where in a name.
struct Heading<'a> {
    /// The words that name it.
    head: Range<usize>,
    /// The kind they name.
    kind: Option<&'static Kind>,
    /// What the stock has under more words than those, the usual one first.
    own: Vec<&'a Ingredient>,
}

/// The ingredient that a name comes to by its kind, where a word of it tells the kind; `None` where none does, and of
/// what must never go in.
///
/// The last word that names something is what it is ("rum caramel" is a caramel); words before it, and after "with",
/// flavour it. Words that decide what is poured (overproof, reposado, single, dry, 2:1, by volume, 70 °Bx, 58 %) narrow it.
///
/// ```
/// use washline_core::ingredient::{as_kind, library};
/// let taken = as_kind(library(), "fat-washed rum").unwrap();
/// assert_eq!(taken.kind, "rum");
/// assert!(taken.ingredient.allergens_eu.unknown);
/// assert!(as_kind(library(), "tobacco-infused rum").is_none());
/// ```
#[must_use]
pub fn as_kind(stock: &Stock, name: &str) -> Option<KindAnswer> {
    if never(name).is_some() {
        return None;
    }
    let all = in_order(name);
    if all.is_empty() || all.len() > MOST_WORDS {
        return None;
    }
    let (mut words, alcohol_free) = Words::without_alcohol(&all);
    // What follows "with" flavours it; a name that begins with such a word has none.
    let links = playing(Role::Link, &words.all);
    let end = links
        .iter()
        .map(|range| range.start)
        .find(|start| *start > 0)
        .unwrap_or(words.all.len());
    let (heading, behind) = heading(stock, &words.all, end)?;
    words.account_for(&heading.head);
    for range in &links {
        words.account_for(range);
    }
    let fatty = heading.kind.is_some_and(|k| k.tells.contains(&Tells::Fat));
    let figures = Figures::take(&mut words, alcoholic(&heading), fatty);
    let left = Left::of(stock, &heading, &mut words, end)?;
    let unknown = unknown(&words, &behind);

    let kind = heading.kind;
    let free_of = alcohol_free.then(|| kind.and_then(|k| k.alcohol_free)).flatten();
    let span = Span {
        usual: free_of.unwrap_or(left.usual),
        members: left.members,
        strength_of: left.strength_of,
        alcohol_free: free_of.is_some(),
    };
    let sort = kind.map_or(left.usual.name.as_str(), |k| k.name.as_str());
    let mut values = span.values(sort);
    figures.set(&mut values, span.usual);
    let produce = grows(kind, left.usual);
    let (allergens_eu, allergens_us) = span.declarations(name, !produce || !unknown.is_empty());
    let mut ingredient = Ingredient {
        name: name.trim().to_owned(),
        kind: span.usual.kind.clone(),
        groups: span.groups(),
        aliases: Vec::new(),
        basis: span.usual.basis,
        carbonated: span.usual.carbonated || !playing(Role::Fizzy, &words.all).is_empty(),
        allergens_eu,
        allergens_us,
        caution: span.caution(&all.join(" ")),
        note: String::new(),
        values,
        origin: Origin::Library,
    };
    // What was put together can be poured, in either convention.
    for convention in [Convention::Handbook, Convention::Assay] {
        ingredient.liquid(convention, None).ok()?;
    }
    fit(&mut ingredient);
    let narrowed = left.narrowed && !span.alcohol_free;
    Some(KindAnswer {
        kind: sort.to_owned(),
        head: words.all[heading.head.clone()].to_vec(),
        said: said(&ingredient, kind, &span, narrowed, &unknown, produce),
        deciding: words.deciding,
        unknown,
        alcohol_free,
        ingredient,
    })
}

/// The words of a name, and which of them are accounted for: what is left over, nobody knows.
struct Words {
    all: Vec<String>,
    used: Vec<bool>,
    /// Those that narrow what it is.
    deciding: Vec<String>,
}

impl Words {
    /// The words of a name but for those of no alcohol, wherever they stand; and whether there are any of those.
    fn without_alcohol(all: &[String]) -> (Words, bool) {
        let free = playing(Role::Free, all);
        let kept: Vec<String> = all
            .iter()
            .enumerate()
            .filter(|(at, _)| !free.iter().any(|range| range.contains(at)))
            .map(|(_, word)| word.clone())
            .collect();
        let words = Words {
            used: vec![false; kept.len()],
            all: kept,
            deciding: Vec::new(),
        };
        (words, !free.is_empty())
    }

    fn account_for(&mut self, range: &Range<usize>) {
        self.used[range.clone()].fill(true);
    }

    /// Account for words that narrow it.
    fn let_decide(&mut self, range: &Range<usize>) {
        self.account_for(range);
        self.deciding.extend(self.all[range.clone()].iter().cloned());
    }
}

/// Where words stand that play a part around the name of a kind.
fn playing(role: Role, words: &[String]) -> Vec<Range<usize>> {
    let phrases = kinds().roles.get(&role);
    let found = phrases.map(|phrases| phrases.find(words)).unwrap_or_default();
    found.into_iter().map(|(range, ())| range).collect()
}

/// Which members of a kind the words of a name leave.
struct Left<'a> {
    /// The one that is usual for it.
    usual: &'a Ingredient,
    members: Vec<&'a Ingredient>,
    /// Whether a word left fewer of them.
    narrowed: bool,
    /// What its strength alone spans, where a word says so.
    strength_of: Option<Vec<&'a Ingredient>>,
}

impl<'a> Left<'a> {
    /// What the words before `end` leave, each of which is accounted for.
    fn of(stock: &'a Stock, heading: &Heading<'a>, words: &mut Words, end: usize) -> Option<Left<'a>> {
        let kind = heading.kind;
        let usual = heading.own.first().copied().or_else(|| kind.map(|k| k.nominal))?;
        let usual = stock.get(&usual.name).unwrap_or(usual);
        let members = match (heading.own.is_empty(), kind) {
            (true, Some(kind)) => kind.members.clone(),
            _ => heading.own.clone(),
        };
        let mut left = Left {
            usual,
            members,
            narrowed: !heading.own.is_empty(),
            strength_of: None,
        };
        if let Some(kind) = kind {
            for (range, members) in kind.narrow.find(&words.all[..end]) {
                if heading.lets_decide(&range, words, kind) {
                    words.let_decide(&range);
                    left.narrow(members);
                }
            }
        }
        if !left.members.iter().any(|m| m.name == usual.name) {
            left.usual = *left.members.first()?;
        }
        Some(left)
    }

    /// Leave only what is among `members`, as far as there is any.
    fn narrow(&mut self, members: &[&'a Ingredient]) {
        let both: Vec<&Ingredient> = members
            .iter()
            .copied()
            .filter(|m| self.members.iter().any(|l| l.name == m.name))
            .collect();
        if both.is_empty() && self.narrowed && self.usual.is_alcoholic() {
            // "cask-strength Irish whiskey": the strength of the one, the rest of the other.
            self.strength_of = Some(members.to_vec());
        } else {
            self.members = if both.is_empty() { members.to_vec() } else { both };
            self.narrowed = true;
        }
    }
}

impl Heading<'_> {
    /// Whether words that can narrow the kind do so, and nothing has said it already.
    fn lets_decide(&self, range: &Range<usize>, words: &Words, kind: &Kind) -> bool {
        let taken = |at: usize| words.used[at] && !self.head.contains(&at);
        // What the stock has under these words says it already.
        let said = !self.own.is_empty() && range.clone().any(|at| self.head.contains(&at));
        decides(&words.all, range, &self.head, kind) && !range.clone().any(taken) && !said
    }
}

/// Whether it grows: nothing is put in that nobody knows of.
fn grows(kind: Option<&Kind>, usual: &Ingredient) -> bool {
    match kind {
        Some(kind) => kind.produce,
        None => matches!(
            usual.kind,
            IngredientKind::Fruit
                | IngredientKind::Herb
                | IngredientKind::Spice
                | IngredientKind::Vegetable
                | IngredientKind::Juice
        ),
    }
}

/// Whether a name that nobody lists tells what it is: a word of it is that of a kind.
///
/// ```
/// use washline_core::ingredient::tells_its_kind;
/// assert!(tells_its_kind("caraway gin"));
/// assert!(!tells_its_kind("signal lamp"));
/// ```
#[must_use]
pub fn tells_its_kind(name: &str) -> bool {
    as_kind(library(), name).is_some()
}

/// The names of the library's ingredients that a kind spans, the usual one first; `None` where there is no such kind.
///
/// ```
/// use washline_core::ingredient::kind_members;
/// assert!(kind_members("gin").unwrap().any(|name| name == "london dry gin"));
/// assert!(kind_members("signal lamp").is_none());
/// ```
#[must_use]
pub fn kind_members(kind: &str) -> Option<impl Iterator<Item = &'static str> + use<>> {
    let kind = kinds().kinds.iter().find(|k| k.name == kind)?;
    Some(kind.members.iter().map(|member| member.name.as_str()))
}

/// Whether words that can narrow a kind do so here: next to its name, with nothing but such words and those that leave it
/// as it is between, or wherever they stand where they can mean nothing else.
fn decides(words: &[String], range: &Range<usize>, head: &Range<usize>, kind: &Kind) -> bool {
    let roles = &kinds().roles;
    let is = |role: Role, words: &[String]| roles.get(&role).is_some_and(|p| p.get(words).is_some());
    if range.end > head.start || is(Role::Far, &words[range.clone()]) {
        return true;
    }
    let between = &words[range.end..head.start];
    let narrow = kind.narrow.find(between);
    let around = roles
        .get(&Role::Around)
        .map(|p| p.find(between))
        .unwrap_or_default();
    (0..between.len()).all(|at| {
        is_figure(&between[at])
            || narrow.iter().any(|(r, _)| r.contains(&at))
            || around.iter().any(|(r, ())| r.contains(&at))
    })
}

/// The words of a name, what stands in brackets or behind a comma put before the rest: "vermouth (dry)",
/// "bitters, orange"; and what something is of: "juice of limes".
fn in_order(name: &str) -> Vec<String> {
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
fn heading<'a>(stock: &'a Stock, words: &[String], end: usize) -> Option<(Heading<'a>, Vec<usize>)> {
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
        let passes = [Role::Behind, Role::Around]
            .iter()
            .filter_map(|role| table.roles.get(role))
            .find_map(|phrases| phrases.ending(words, 0, last));
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
        if let Some((first, ())) = passes {
            last = first;
        } else if let Some(figure) = figure_before(words, last) {
            last = figure;
        } else if is_figure(&words[last - 1]) {
            last -= 1;
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

/// The longest name of the stock that ends these words and begins before `floor`: its place, and what it leads to;
/// `None` inside where the stock asks which is meant.
fn longest<'a>(
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
fn is_figure(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}

/// The place of the number that the words before `last` count: "65 brix", "12 years old".
fn figure_before(words: &[String], last: usize) -> Option<usize> {
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

fn alcoholic(heading: &Heading<'_>) -> bool {
    match (heading.own.first(), heading.kind) {
        (Some(own), _) => own.is_alcoholic(),
        (None, Some(kind)) => kind.nominal.is_alcoholic(),
        (None, None) => false,
    }
}

/// Figures that stand in a name.
#[derive(Default)]
struct Figures {
    strength: Option<f64>,
    brix: Option<f64>,
    fat: Option<f64>,
}

impl Figures {
    /// Take them out of the words: `58 %`, `114 proof`, `70 bx`, an age.
    fn take(said: &mut Words, alcoholic: bool, fatty: bool) -> Figures {
        let mut figures = Figures::default();
        let years = kinds().roles.get(&Role::Year);
        for at in 0..said.all.len() {
            let words = &said.all;
            if said.used[at] || !is_figure(&words[at]) {
                continue;
            }
            let split = words[at]
                .find(|c: char| !(c.is_ascii_digit() || c == '.'))
                .unwrap_or(words[at].len());
            let (number, glued) = words[at].split_at(split);
            let Ok(number) = number.parse::<f64>() else {
                continue;
            };
            let (unit, span) = if glued.is_empty() {
                (words.get(at + 1).map_or("", String::as_str), 2)
            } else {
                (glued, 1)
            };
            let is_year = |n: usize| {
                let phrase: Vec<String> = if glued.is_empty() {
                    words.get(at + 1..at + 1 + n).unwrap_or_default().to_vec()
                } else {
                    vec![glued.to_owned()]
                };
                !phrase.is_empty() && years.is_some_and(|y| y.get(&phrase).is_some())
            };
            let taken = match unit {
                "%" | "abv" | "vol" if alcoholic && (0.5..=96.0).contains(&number) => {
                    figures.strength = Some(number);
                    span
                }
                "%" if fatty && (0.1..=90.0).contains(&number) => {
                    figures.fat = Some(number);
                    span
                }
                // American proof is twice the strength; the figure is said where it is used.
                "proof" if alcoholic && (1.0..=192.0).contains(&number) => {
                    figures.strength = Some(number / 2.0);
                    span
                }
                "bx" | "brix" if (1.0..=85.0).contains(&number) => {
                    figures.brix = Some(number);
                    span
                }
                _ if is_year(2) && glued.is_empty() => {
                    said.account_for(&(at..at + 3));
                    continue;
                }
                _ if is_year(1) => {
                    said.account_for(&(at..at + span));
                    continue;
                }
                _ => continue,
            };
            said.let_decide(&(at..at + taken));
            for more in ["abv", "vol", "alc"] {
                if said.all.get(at + taken).is_some_and(|w| w == more) {
                    said.account_for(&(at + taken..at + taken + 1));
                }
            }
        }
        figures
    }

    /// Put them over the span of the kind.
    fn set(&self, values: &mut Vec<Value>, usual: &Ingredient) {
        let basis = usual.basis;
        let value = |quantity, value: f64, wide: f64| Value {
            quantity,
            value,
            low: (value - wide).max(0.0),
            high: value + wide,
            shape: Shape::Rectangular,
            convention: None,
            source: "as its name says".to_owned(),
            status: Status::Memory,
        };
        if let Some(strength) = self.strength {
            // Regulation (EU) 1169/2011, Annex XII: a label may be 0.3 % vol off.
            values.retain(|v| v.quantity != Quantity::Strength);
            values.push(value(Quantity::Strength, strength, 0.3));
        }
        if let Some(fat) = self.fat {
            // A label counts in 100 g.
            let per = match basis {
                Basis::Litre => 10.0 * density(usual),
                Basis::Mass => 1.0,
            };
            let part = Quantity::Part(Component::Fat);
            values.retain(|v| v.quantity != part);
            values.push(value(part, per * fat, per * 1.0));
        }
        if let Some(brix) = self.brix {
            let grams = |brix: f64| match basis {
                Basis::Litre => sugar_g_per_l(brix),
                Basis::Mass => brix,
            };
            let at = grams(brix);
            values.retain(|v| !is_family(v.quantity, Family::Sugar));
            let part = Quantity::Part(Component::SugarsUnspecified);
            values.push(value(part, at, grams(brix + 1.0) - at));
        }
    }
}

impl Ingredient {
    /// The same at another strength of sugar, `brix` degrees Brix (g of sugar in 100 g, 1 to 85), give or take one degree:
    /// what a line says of a syrup stands over what is listed under its name. Its density follows.
    #[must_use]
    pub fn at_brix(&self, brix: f64) -> Ingredient {
        let mut at = self.clone();
        at.values.retain(|v| v.quantity != Quantity::Density);
        let figures = Figures {
            brix: Some(brix),
            ..Figures::default()
        };
        figures.set(&mut at.values, self);
        // `honey syrup 1:1 by volume` at 70 °Bx is no longer 1:1.
        let stem: Vec<&str> = self.name.split(' ').take_while(|w| !w.contains(':')).collect();
        at.name = format!("{} at {brix} °Bx", stem.join(" "));
        at
    }
}

fn is_family(quantity: Quantity, family: Family) -> bool {
    matches!(quantity, Quantity::Part(component) if component.facts().family == family)
}

/// The words that stand for nothing known.
fn unknown(words: &Words, behind: &[usize]) -> Vec<String> {
    let known = |word: &str| {
        let table = kinds();
        table.known.contains(word)
            || word
                .strip_suffix('s')
                .is_some_and(|one| table.known.contains(one))
    };
    words
        .all
        .iter()
        .enumerate()
        .filter(|(at, word)| !words.used[*at] && (behind.contains(at) || !known(word)))
        .map(|(_, word)| word.clone())
        .collect()
}

/// What all of them declare: certain where it is certain in each. What only some hold is not said of the kind: its
/// allergens are unknown, and its name says what it says.
fn common<'a>(mut all: impl Iterator<Item = &'a Declaration>) -> Declaration {
    let Some(mut common) = all.next().cloned() else {
        return Declaration::default();
    };
    for other in all {
        let possible = |group: &String| other.may_contain.contains(group);
        let certain = |group: &String| other.contains.contains(group);
        common.may_contain.retain(|g| possible(g) || certain(g));
        let less: Vec<String> = common.contains.iter().filter(|g| possible(g)).cloned().collect();
        common.contains.retain(certain);
        common.may_contain.extend(less);
    }
    common.unknown = false;
    common
}

/// The members that an answer is made of.
struct Span<'a> {
    /// Whose composition is usual for it.
    usual: &'a Ingredient,
    /// What it spans.
    members: Vec<&'a Ingredient>,
    /// What its strength alone spans, where a word says so.
    strength_of: Option<Vec<&'a Ingredient>>,
    /// Whether the members have alcohol and it has none.
    alcohol_free: bool,
}

/// A total of several values: usual, lowest, highest.
#[derive(Clone, Copy, Default)]
struct Total {
    value: f64,
    low: f64,
    high: f64,
}

impl Total {
    fn times(self, factor: f64) -> Total {
        Total {
            value: factor * self.value,
            low: factor * self.low,
            high: factor * self.high,
        }
    }
}

impl Span<'_> {
    /// All of them, the usual one first.
    fn all(&self) -> impl Iterator<Item = &Ingredient> {
        std::iter::once(self.usual).chain(self.members.iter().copied())
    }

    /// What a member's grams are multiplied by to be counted like the usual one's: g per 100 g to g/L by its density.
    fn scale(&self, member: &Ingredient) -> f64 {
        if member.basis == self.usual.basis {
            return 1.0;
        }
        match self.usual.basis {
            Basis::Litre => 10.0 * density(member),
            Basis::Mass => 0.1 / density(member),
        }
    }

    /// The allergens of any of them, and those that a name says, in the European Union and in the United States;
    /// `open` says that there may be others.
    fn declarations(&self, name: &str, open: bool) -> (Declaration, Declaration) {
        let named = declared_by_name(name);
        let mut eu = common(self.all().map(|m| &m.allergens_eu));
        let mut us = common(self.all().map(|m| &m.allergens_us));
        eu.join(&named);
        us.join(&us_of(&named));
        eu.unknown |= open;
        us.unknown |= open;
        (eu, us)
    }

    /// The cautions of the usual member, and those that the words of a name call for.
    fn caution(&self, words: &str) -> String {
        let mut cautions: Vec<&str> = self.usual.caution.split("; ").filter(|c| !c.is_empty()).collect();
        for hazard in hazards(words) {
            if !cautions.contains(&hazard.message.as_str()) {
                cautions.push(&hazard.message);
            }
        }
        cautions.join("; ")
    }

    /// The kinds by which a line can name any of them.
    fn groups(&self) -> Vec<String> {
        let all = |group: &&String| self.members.iter().all(|m| m.groups.contains(group));
        self.usual.groups.iter().filter(all).cloned().collect()
    }

    /// From the lowest of any to the highest that is usual for one: the far end of the strongest member is its own.
    fn over<'m>(
        &self,
        members: impl Iterator<Item = &'m Ingredient>,
        usual: Total,
        of: impl Fn(&Ingredient) -> Total,
    ) -> Total {
        let mut total = usual;
        for member in members {
            let own = of(member);
            total.low = total.low.min(own.low);
            total.high = total.high.max(own.value);
        }
        total
    }

    /// Its values: the usual member's, over what the members span.
    fn values(&self, sort: &str) -> Vec<Value> {
        if self.members.len() == 1 && self.members[0].name == self.usual.name && self.strength_of.is_none() {
            return self
                .usual
                .values
                .iter()
                .filter(|v| v.quantity != Quantity::Density)
                .cloned()
                .collect();
        }
        let source = format!(
            "what {} of the library span, taken as {sort}; usual: {}",
            if self.members.len() == 1 {
                "one member".to_owned()
            } else {
                format!("{} members", self.members.len())
            },
            self.usual.name
        );
        let strength = Spanned::always(Quantity::Strength, self.strength());
        std::iter::once(strength)
            .chain(self.totals())
            .chain(self.extracts())
            .chain(self.sizes())
            .filter(|spanned| spanned.total.high > 0.0)
            .map(|spanned| spanned.value(&source))
            .collect()
    }

    /// Its strength, % vol.
    fn strength(&self) -> Total {
        let strength =
            |i: &Ingredient| single(i, Quantity::Strength, Convention::Handbook).unwrap_or_default();
        if self.alcohol_free {
            Total {
                value: 0.0,
                low: 0.0,
                high: 0.5,
            }
        } else if let Some(strong) = &self.strength_of {
            let first = strong.first().map(|i| strength(i)).unwrap_or_default();
            self.over(strong.iter().copied(), first, strength)
        } else {
            self.over(self.all(), strength(self.usual), strength)
        }
    }

    /// Sugars and acids by their totals: the members hold different ones, and a total is one doubt.
    fn totals(&self) -> Vec<Spanned> {
        let totals = [
            (Family::Sugar, Component::SugarsUnspecified),
            (Family::Acid, Component::AcidUnspecifiedAsCitric),
        ];
        let mut spanned = Vec::new();
        for (family, component) in totals {
            let both = [Convention::Handbook, Convention::Assay];
            let depends = self.all().any(|i| {
                i.values
                    .iter()
                    .any(|v| v.convention.is_some() && is_family(v.quantity, family))
            });
            for convention in both.into_iter().take(if depends { 2 } else { 1 }) {
                let of = |i: &Ingredient| total(i, family, convention).times(self.scale(i));
                let mut total = self.over(self.all(), of(self.usual), of);
                if self.alcohol_free {
                    total.low = 0.0;
                }
                spanned.push(Spanned {
                    quantity: Quantity::Part(component),
                    total,
                    convention: depends.then_some(convention),
                });
            }
        }
        spanned
    }

    /// What is dissolved in it beside sugar and acid.
    fn extracts(&self) -> impl Iterator<Item = Spanned> {
        let extracts = Component::all().filter(|c| c.facts().family == Family::Extract);
        extracts.map(|component| {
            let quantity = Quantity::Part(component);
            let of = |i: &Ingredient| {
                let own = single(i, quantity, Convention::Handbook).unwrap_or_default();
                own.times(self.scale(i))
            };
            Spanned::always(quantity, self.over(self.all(), of(self.usual), of))
        })
    }

    /// What is counted, spooned or pressed: only as far as each member has it.
    fn sizes(&self) -> impl Iterator<Item = Spanned> {
        let mut sizes: Vec<Quantity> = self
            .all()
            .flat_map(|i| i.values.iter().map(|v| v.quantity))
            .filter(|q| !matches!(q, Quantity::Strength | Quantity::Part(_) | Quantity::Density))
            .collect();
        sizes.sort_unstable();
        sizes.dedup();
        sizes.into_iter().filter_map(|size| {
            let of = |i: &Ingredient| single(i, size, Convention::Handbook);
            let first = self.all().find_map(of)?;
            let having = self.all().filter(|i| of(i).is_some());
            let total = self.over(having, first, |i| of(i).unwrap_or_default());
            Some(Spanned::always(size, total))
        })
    }
}

/// What a quantity spans in the members of a kind.
struct Spanned {
    quantity: Quantity,
    total: Total,
    /// The convention it holds in; `None` where it holds in each.
    convention: Option<Convention>,
}

impl Spanned {
    fn always(quantity: Quantity, total: Total) -> Spanned {
        Spanned {
            quantity,
            total,
            convention: None,
        }
    }

    fn value(self, source: &str) -> Value {
        Value {
            quantity: self.quantity,
            value: self.total.value,
            low: self.total.low,
            high: self.total.high,
            shape: Shape::Rectangular,
            convention: self.convention,
            source: source.to_owned(),
            status: Status::Memory,
        }
    }
}

/// Its density, g/ml.
fn density(ingredient: &Ingredient) -> f64 {
    let liquid = ingredient.liquid(Convention::Handbook, None);
    liquid.ok().and_then(|l| l.density_g_per_ml()).unwrap_or(1.0)
}

/// Bring the ends of the spans in to where there is room for them: members that are sweetest and fattest at once there are
/// none.
fn fit(ingredient: &mut Ingredient) {
    const HALVINGS: usize = 12;
    for at in 0..ingredient.values.len() {
        let Value {
            quantity,
            value,
            high,
            convention,
            ..
        } = ingredient.values[at];
        let pours = |figure: f64| {
            let convention = convention.unwrap_or_default();
            ingredient
                .liquid_if(convention, None, &|q, usual| {
                    if q == quantity { figure } else { usual }
                })
                .is_ok()
        };
        if pours(high) {
            continue;
        }
        let (mut room, mut none) = (value, high);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (room + none);
            if pours(middle) {
                room = middle;
            } else {
                none = middle;
            }
        }
        ingredient.values[at].high = room;
    }
}

fn single(ingredient: &Ingredient, quantity: Quantity, convention: Convention) -> Option<Total> {
    ingredient.value(quantity, convention).map(|v| Total {
        value: v.value,
        low: v.low,
        high: v.high,
    })
}

/// All sugars, or all acids as citric, of an ingredient, in its own basis.
fn total(ingredient: &Ingredient, family: Family, convention: Convention) -> Total {
    let mut total = Total::default();
    for value in ingredient.values_in(convention) {
        if let Quantity::Part(component) = value.quantity
            && component.facts().family == family
        {
            let weight = if family == Family::Acid {
                component.facts().as_citric
            } else {
                1.0
            };
            total.value += weight * value.value;
            total.low += weight * value.low;
            total.high += weight * value.high;
        }
    }
    total
}

/// What was taken for granted, in words.
fn said(
    ingredient: &Ingredient,
    kind: Option<&Kind>,
    span: &Span<'_>,
    narrowed: bool,
    unknown: &[String],
    produce: bool,
) -> String {
    let mut said = match kind {
        Some(_) if narrowed && span.members.len() == 1 => format!("taken as {}", span.usual.name),
        Some(kind) if narrowed => format!("taken as {} like {}", kind.said, span.usual.name),
        Some(kind) if span.alcohol_free => {
            let plain = kind.said.trim_start_matches("an ").trim_start_matches("a ");
            let one = if plain == kind.said { "" } else { "an " };
            format!("taken as {one}alcohol-free {plain}")
        }
        Some(kind) => format!("taken as {}", kind.said),
        None => format!("taken as {}", span.usual.name),
    };
    let tells: &[Tells] = match kind {
        Some(_) if span.alcohol_free => &[Tells::Strength, Tells::Sugar],
        Some(kind) => &kind.tells,
        None => &[],
    };
    for tell in tells {
        if let Some(figure) = figure(ingredient, *tell) {
            said = format!("{said}, {figure}");
        }
    }
    if !unknown.is_empty() {
        said = format!("{said}; not understood: {}", unknown.join(" "));
    }
    let cure = if produce {
        "say which it is, or define it in the book"
    } else {
        "read its label or make it a preparation"
    };
    format!("{said}: {cure}")
}

/// One figure with its span, in words.
fn figure(ingredient: &Ingredient, tell: Tells) -> Option<String> {
    let own = Convention::Handbook;
    let (span, places, unit) = match tell {
        Tells::Strength => (single(ingredient, Quantity::Strength, own)?, 1, "% vol"),
        Tells::Sugar => (total(ingredient, Family::Sugar, own), 0, "of sugar"),
        Tells::Acid => (total(ingredient, Family::Acid, own), 0, "of acid"),
        Tells::Fat => (
            single(ingredient, Quantity::Part(Component::Fat), own)?,
            0,
            "of fat",
        ),
        Tells::Salt => (
            single(ingredient, Quantity::Part(Component::Salt), own)?,
            0,
            "of salt",
        ),
    };
    if span.high <= 0.0 {
        return None;
    }
    let shown = |x: f64| {
        let text = format!("{x:.places$}");
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    let per = match (tell, ingredient.basis) {
        (Tells::Strength, _) => "",
        (_, Basis::Litre) => "g/L ",
        (_, Basis::Mass) => "g per 100 g ",
    };
    Some(format!("{} to {} {per}{unit}", shown(span.low), shown(span.high)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CASES: &str = include_str!("../../../../fixtures/cases/kinds.csv");

    /// What a row of the cases expects.
    #[derive(serde::Deserialize)]
    struct Case {
        name: String,
        kind: String,
        usual: String,
        strength: String,
        unknown: String,
    }

    fn cases() -> Vec<Case> {
        csv::Reader::from_reader(CASES.as_bytes())
            .deserialize()
            .collect::<Result<_, _>>()
            .unwrap()
    }

    fn span(answer: &KindAnswer, quantity: Quantity) -> String {
        let value = single(&answer.ingredient, quantity, Convention::Handbook).unwrap_or_default();
        format!("{}-{}", value.low, value.high)
    }

    #[test]
    fn names_are_answered_as_their_kind() {
        let mut missed = Vec::new();
        for case in cases() {
            let answer = as_kind(library(), &case.name);
            let seen = answer.as_ref().map_or("none", |a| a.kind.as_str());
            if seen != case.kind {
                missed.push(format!("{}: {seen}, not {}", case.name, case.kind));
                continue;
            }
            let Some(answer) = answer else { continue };
            if !case.usual.is_empty() && !answer.said.contains(&case.usual) {
                missed.push(format!("{}: `{}` says no {}", case.name, answer.said, case.usual));
            }
            let strength = span(&answer, Quantity::Strength);
            if !case.strength.is_empty() && strength != case.strength {
                missed.push(format!("{}: {strength} % vol, not {}", case.name, case.strength));
            }
            if answer.unknown.join(" ") != case.unknown {
                missed.push(format!(
                    "{}: unknown `{}`, not `{}`",
                    case.name,
                    answer.unknown.join(" "),
                    case.unknown
                ));
            }
        }
        assert!(missed.is_empty(), "{}", missed.join("\n"));
    }

    /// Each quantity at each end of its span makes a liquid, as a search and a doubt vary it.
    #[test]
    fn every_answer_pours_at_both_ends_of_its_span() {
        let mut missed = Vec::new();
        let mut seen = std::collections::HashSet::new();
        for case in cases() {
            let Some(answer) = as_kind(library(), &case.name) else {
                continue;
            };
            seen.insert(answer.kind.clone());
            for value in &answer.ingredient.values {
                if !(0.0 <= value.low && value.low <= value.value && value.value <= value.high) {
                    missed.push(format!("{}: {value:?}", case.name));
                }
                for figure in [value.low, value.high] {
                    let convention = value.convention.unwrap_or_default();
                    let other = |q: Quantity, usual: f64| if q == value.quantity { figure } else { usual };
                    if let Err(error) = answer.ingredient.liquid_if(convention, None, &other) {
                        missed.push(format!(
                            "{}: {} at {figure}: {error}",
                            case.name,
                            value.quantity.name()
                        ));
                    }
                }
            }
        }
        assert!(missed.is_empty(), "{}", missed.join("\n"));
        let without: Vec<&str> = kinds()
            .kinds
            .iter()
            .map(|k| k.name.as_str())
            .filter(|k| !seen.contains(*k))
            .collect();
        assert!(without.is_empty(), "no case for {without:?}");
    }

    #[test]
    fn what_was_taken_for_granted_is_said() {
        let said = |name: &str| as_kind(library(), name).unwrap().said;
        assert_eq!(
            said("fat-washed rum"),
            "taken as a rum, 37.5 to 63 % vol: read its label or make it a preparation"
        );
        assert_eq!(
            said("n/a gin"),
            "taken as an alcohol-free gin, 0 to 0.5 % vol, 0 to 15 g/L of sugar: read its label or make it a preparation"
        );
        assert!(said("oldforge bourbon").contains("not understood: oldforge"));
    }

    #[test]
    fn allergens_are_unknown_but_for_those_the_name_says() {
        let declared = |name: &str| {
            as_kind(library(), name)
                .unwrap()
                .ingredient
                .allergens_eu
                .written()
        };
        assert_eq!(declared("brown-butter-washed rum"), "milk; unknown");
        assert_eq!(declared("toasted sourdough whisky"), "gluten; unknown");
        assert_eq!(declared("caraway gin"), "unknown");
        assert_eq!(declared("mixed red fruit"), "none");
        let us = as_kind(library(), "almond-washed rum")
            .unwrap()
            .ingredient
            .allergens_us;
        assert_eq!(us.written(), "tree nuts; unknown");
    }

    #[test]
    fn what_fizzes_fizzes() {
        let fizzes = |name: &str| as_kind(library(), name).unwrap().ingredient.carbonated;
        assert!(fizzes("sparkling jasmine tea") && fizzes("carbonated sloe vermouth") && fizzes("plum soda"));
        assert!(!fizzes("jasmine tea") && !fizzes("sloe vermouth"));
    }

    #[test]
    fn cautions_of_its_name_go_with_it() {
        let caution = |name: &str| as_kind(library(), name).unwrap().ingredient.caution;
        assert!(caution("wormwood gin").contains("thujone"));
        assert!(caution("white grapefruit").contains("medicines"));
        assert!(!caution("egg white, pasteurised").contains("raw egg"));
        assert!(as_kind(library(), "tonka rum").is_none());
    }

    #[test]
    fn what_the_house_has_stands_over_the_library() {
        let mut house = library().clone();
        let mut own = library().get("white rum").unwrap().clone();
        own.name = "harbour rum".to_owned();
        own.aliases.clear();
        own.origin = Origin::House;
        own.values[0].value = 41.5;
        house.put(own);
        let answer = as_kind(&house, "banana-infused harbour rum").unwrap();
        assert_eq!(
            answer.ingredient.figure(Quantity::Strength, Convention::Handbook),
            Some(41.5)
        );
    }

    #[test]
    fn long_and_empty_names_are_no_kind() {
        for name in ["", " ", "()", "of", "with rum", &"rum ".repeat(40)] {
            let answer = as_kind(library(), name);
            assert!(
                answer.is_none_or(|a| a.kind == "rum" && name == "with rum"),
                "{name}"
            );
        }
    }
}
