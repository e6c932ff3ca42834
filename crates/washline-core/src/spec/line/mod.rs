//! One line of a spec, cut into readings that account for every word of it.
//!
//! A line may hold one pour or a whole drink. From each place in it every reading that can begin there is tried: a pour,
//! work, a glass, ice, garnish, a word that joins, a word for the reader. Each has a cost: nothing for what is said as
//! the trade says it, much for words that nobody knows. The cheapest way through the line is how it is read, and every
//! token belongs to exactly one of its readings.

mod account;
mod finish;
mod garnish;
mod memo;
mod much;
mod name;
mod named;
mod placed;
mod pour;
mod serves;
mod serving;
mod shared;
mod work;

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};
use std::ops::Range;

pub use account::{Account, Role};
pub(in crate::spec) use finish::on_the_glass;
pub(in crate::spec) use memo::Memo;

use super::lexicon::{self, Entry, Looked, OwnNames, Tag};
use super::tokens::{Kind, Token, tokens};
use super::{Assumption, Measure, Pour, Step, Work, Wrong, amounts, process};
use crate::measure::Amount;

/// What a run of tokens was read as.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::spec) enum Item {
    /// One pour or several of one amount.
    Pours(Vec<(Pour, Vec<Assumption>)>),
    /// The name of something, without an amount: said again, or put on the drink.
    Mention(Mention),
    /// `top`, `rinse glass` with nothing named: said of what was poured before.
    Placed(super::Place),
    /// Work.
    Work(Work),
    /// Any other step that carries no amount of a pour.
    Step(Step),
    /// Ice by itself: in the tin or in the glass, by where it stands.
    Ice(String),
    /// A glass, with its size where the line gives one.
    Glass(String, Option<String>),
    /// Something put on the drink.
    Garnish(String),
    /// `serves 8`: how many drinks the amounts are for.
    Serves(Amount),
    /// `pour 90 ml a serve`: the size of one serve of it, as typed.
    ServeOf(String),
    /// `1 part = 30 ml`: the size as typed.
    PartIs(String),
    /// `shares of 90 ml`: the whole that parts are shares of, as typed.
    Total(String),
    /// What follows is done for one drink, what went before for all.
    PerServe,
    /// A word that heads a part of a spec.
    Header,
    /// Joins work to what it is done with.
    With,
    /// `no wait, ten`: what comes next, or this amount, stands in the place of what was said before.
    Correction(Option<Measure>),
    /// What is served hot.
    Hot,
    /// How something that is poured is made: nothing of it is poured by saying so.
    Recipe(String),
    /// A mark or word that only parts or joins.
    Joint,
    /// Words to the reader.
    Words,
    /// What cannot be told.
    Fault(Wrong),
    /// An amount of nothing: asked about where it may be a pour, for the reader in the prose below a list that reads.
    Unread(Wrong),
}

impl Item {
    /// Whether it is something that could not be read.
    pub(in crate::spec) fn is_unread(&self) -> bool {
        matches!(self, Item::Fault(_) | Item::Unread(_))
    }
}

/// The name of something that stands without an amount.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::spec) struct Mention {
    /// As typed.
    pub name: String,
    /// Whether it is a fruit, herb or spice.
    pub solid: bool,
    /// Whether the name is known, all of it.
    pub known: bool,
    /// `gin 30 %`: a percentage that hangs on it.
    pub percent: Option<Amount>,
}

/// A reading of the tokens `from..to`.
#[derive(Clone, Debug)]
pub(in crate::spec) struct Found {
    pub item: Item,
    pub from: usize,
    pub to: usize,
    /// Places in the source.
    pub span: Range<usize>,
    /// What stands there, as typed.
    pub text: String,
    /// Whether it begins where a line, a sentence or a part of one begins.
    pub begins: bool,
    /// The glass that is named among its words: `fill a large wine glass with ice`, `rinse a coupe with absinthe`.
    pub glass: Option<String>,
    cost: u32,
    roles: Vec<(usize, usize, Role)>,
}

impl Found {
    /// A whole line that says how something is made.
    pub(in crate::spec) fn recipe(label: String, text: String, span: Range<usize>) -> Found {
        Found::whole(Item::Recipe(label), text, span)
    }

    /// A whole line that is for the reader.
    pub(in crate::spec) fn words(text: String, span: Range<usize>) -> Found {
        Found::whole(Item::Words, text, span)
    }

    fn whole(item: Item, text: String, span: Range<usize>) -> Found {
        Found {
            item,
            from: 0,
            to: 0,
            span,
            text,
            begins: true,
            glass: None,
            cost: 0,
            roles: Vec::new(),
        }
    }
}

/// What a line came to: its readings in order, and what each word was read as.
#[derive(Clone, Debug, Default)]
pub(in crate::spec) struct LineRead {
    pub found: Vec<Found>,
    pub account: Vec<Account>,
    /// What it says, as typed.
    pub text: String,
    /// What stands before its colon, where it has one.
    pub label: Option<String>,
}

impl LineRead {
    /// The pour that it is, where it is that one pour and nothing else.
    pub fn only_pour(&self) -> Option<&(Pour, Vec<Assumption>)> {
        let mut said = self.found.iter().filter(|f| !matches!(f.item, Item::Joint));
        match (said.next().map(|f| &f.item), said.next()) {
            (Some(Item::Pours(pours)), None) if pours.len() == 1 => pours.first(),
            _ => None,
        }
    }

    /// Whether it pours as much of the same in the same place, whatever else it says.
    pub fn pours_the_same(&self, pour: &Pour) -> bool {
        let name = |pour: &Pour| pour.choices.first().map(|n| crate::names::key(&n.name));
        self.found.iter().any(|f| match &f.item {
            Item::Pours(pours) => pours.iter().any(|(said, _)| {
                said.measure == pour.measure && said.place == pour.place && name(said) == name(pour)
            }),
            _ => false,
        })
    }

    /// Put all that was read on other places of the source.
    pub fn place(&mut self, place: impl Fn(&Range<usize>) -> Range<usize>) {
        for found in &mut self.found {
            found.span = place(&found.span);
            match &mut found.item {
                Item::Pours(pours) => {
                    for named in pours.iter_mut().flat_map(|(pour, _)| &mut pour.choices) {
                        named.span = place(&named.span);
                    }
                }
                Item::Fault(wrong) | Item::Unread(wrong) => wrong.span = place(&wrong.span),
                _ => {}
            }
        }
        for account in &mut self.account {
            account.span = place(&account.span);
        }
    }
}

/// What reading a line takes besides the line.
#[derive(Clone, Copy)]
pub(in crate::spec) struct Context<'a> {
    /// Whether it stands in a preparation, where there is more to do than in a drink.
    pub preparing: bool,
    /// The names that the house and the book have of their own.
    pub own: &'a OwnNames,
}

/// Read a line: `text`, which begins at byte `start` of the source.
pub(in crate::spec) fn read(text: &str, start: usize, context: Context) -> LineRead {
    if let Some(translated) = super::translate::english(text, context.own) {
        let mut read = read_english(&translated.text, start, context);
        translated.put_back(&mut read, text, start);
        return read;
    }
    read_english(text, start, context)
}

fn read_english(text: &str, start: usize, context: Context) -> LineRead {
    let mut tokens = tokens(text, start);
    drop_list_number(&mut tokens);
    drop_footnote_marks(&mut tokens);
    if tokens.is_empty() {
        return LineRead::default();
    }
    let words: Vec<Looked> = tokens
        .iter()
        .map(looked)
        .map(|word| match word.meant {
            Some(_) if context.own.has_word(&word.folded) => word.left_as_typed(),
            _ => word,
        })
        .collect();
    let mut reader = Reader {
        text,
        start,
        runs: (0..words.len())
            .map(|i| lexicon::runs(&words[i..], context.own))
            .collect(),
        tokens,
        words,
        names_lead: false,
        names: RefCell::default(),
        context,
    };
    reader.names_lead = reader.leads_with_names();
    let label = text.split_once(':').map(|(label, _)| label.trim().to_owned());
    let label = label.filter(|l| l.contains(char::is_alphabetic));
    if let Some(found) = reader.preparation() {
        let account = account::of(&reader, &found);
        return LineRead {
            found,
            account,
            text: text.to_owned(),
            label,
        };
    }
    let mut found = reader.cheapest();
    if reader.is_for_the_reader(&found) {
        let serves = |f: &Found| {
            matches!(
                f.item,
                Item::Serves(_) | Item::ServeOf(_) | Item::PartIs(_) | Item::Total(_)
            )
        };
        if found.iter().any(serves) {
            // `freezer bottle, 1 x 700 ml, gives 7 pours`: how many it is for is read, the rest is for the reader.
            for other in found.iter_mut().filter(|f| !serves(f)) {
                other.item = Item::Words;
                other.roles = vec![(other.from, other.to, Role::Note)];
            }
        } else {
            let mut whole = reader.found(0, reader.len(), 0, Item::Words);
            whole.roles = vec![(0, reader.len(), Role::Note)];
            found = vec![whole];
        }
    }
    let account = account::of(&reader, &found);
    LineRead {
        found,
        account,
        text: text.to_owned(),
        label,
    }
}

fn looked(token: &Token) -> Looked {
    match &token.kind {
        Kind::Word(word) => lexicon::look(word),
        Kind::Number(n) => lexicon::look(n),
        Kind::Ratio(r) => lexicon::look(r),
        Kind::Mark('%') => lexicon::look("%"),
        Kind::Mark('&') => lexicon::look("&"),
        Kind::Mark(_) | Kind::Fraction(..) => lexicon::look(""),
    }
}

/// What the hand does once to a drink, and is counted: `one lift`, `3 turns`.
fn is_a_turn_of_hand(word: &str) -> bool {
    matches!(
        word,
        "lift" | "turn" | "fold" | "swirl" | "spin" | "stir" | "pass" | "toss" | "pull" | "draw"
    )
}

/// `3. Splash of soda on top`: a unit spelt out behind the number of a step, and no three splashes.
fn begins_a_sentence(word: &str) -> bool {
    let mut letters = word.chars();
    word.len() > 3 && letters.next().is_some_and(char::is_uppercase) && letters.all(char::is_lowercase)
}

/// `Brown-butter aquavit [1] .... 45 ml`: the mark of a footnote, behind a word.
fn drop_footnote_marks(tokens: &mut Vec<Token>) {
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
fn drop_list_number(tokens: &mut Vec<Token>) {
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

pub(super) struct Reader<'a> {
    text: &'a str,
    start: usize,
    tokens: Vec<Token>,
    words: Vec<Looked>,
    /// The runs of words that begin at each token, the longest first.
    runs: Vec<Vec<(usize, &'static Entry)>>,
    /// `gin 50 lemon 25 syrup 15 shake`: every amount of the line stands behind its name, with no mark between.
    names_lead: bool,
    /// The names that begin at each place, once they were looked for: with a number before it and without.
    names: RefCell<HashMap<(usize, bool), Vec<name::Name>>>,
    context: Context<'a>,
}

/// The longest run that is looked at for one reading, in tokens.
const LONGEST: usize = 24;

/// Cost of a word that nobody knows, by itself.
const UNKNOWN_WORD: u32 = 12;

impl Reader<'_> {
    fn len(&self) -> usize {
        self.tokens.len()
    }

    /// Whether names stand before their amounts all along the line: it begins with one and a number, has no mark, and
    /// behind the last amount stands no name.
    fn leads_with_names(&self) -> bool {
        let Some((mut at, _)) = self.name_at(0) else {
            return false;
        };
        while self.name_at(at).is_some() && at < self.len() {
            at = self.name_at(at).map_or(at + 1, |(end, _)| end);
        }
        if !self.tokens.get(at).is_some_and(Token::is_number) {
            return false;
        }
        let measured = (at..self.len()).filter(|&j| {
            self.tokens[j].is_number()
                && (self.counts_a_name(j) || self.unit_at(j + 1).0.is_some())
                && !matches!(super::technique::time(&self.tokens[j..]), Some(Ok(_)))
        });
        let all: Vec<usize> = measured.collect();
        let Some(&last) = all.last() else { return false };
        let (_, behind) = self.unit_at(last + 1);
        all.len() > 1 && !(at..=last).any(|j| self.parts(j)) && self.name_at(behind).is_none()
    }

    /// The text of the tokens `from..to`, as typed.
    fn raw(&self, from: usize, to: usize) -> &str {
        if from >= to {
            return "";
        }
        let (a, b) = (self.tokens[from].span.start, self.tokens[to - 1].span.end);
        self.text[a - self.start..b - self.start].trim()
    }

    fn span(&self, from: usize, to: usize) -> Range<usize> {
        if from >= to {
            let at = self
                .tokens
                .get(from)
                .map_or(self.start + self.text.len(), |t| t.span.start);
            return at..at;
        }
        self.tokens[from].span.start..self.tokens[to - 1].span.end
    }

    /// The longest run at `i` that `pick` takes, where no longer name begins there.
    fn tag<T>(&self, i: usize, pick: impl Fn(Tag) -> Option<T>) -> Option<(T, usize)> {
        for (length, entry) in self.runs.get(i)? {
            if let Some(found) = entry.pick(&pick) {
                return Some((found, i + length));
            }
            // A longer name stands over a shorter word of work: `blended scotch`, `ice cream`.
            if entry.name.is_some() && *length > 1 {
                return None;
            }
        }
        None
    }

    fn is(&self, i: usize, tag: Tag) -> Option<usize> {
        self.tag(i, |t| (t == tag).then_some(())).map(|((), end)| end)
    }

    /// The known name that begins at `i`, where no longer word of the trade does.
    fn name_at(&self, i: usize) -> Option<(usize, lexicon::Sort)> {
        for (length, entry) in self.runs.get(i)? {
            if let Some(sort) = entry.name {
                return Some((i + length, sort));
            }
        }
        None
    }

    fn mark(&self, i: usize, marks: &str) -> bool {
        matches!(self.tokens.get(i).map(|t| &t.kind), Some(Kind::Mark(c)) if marks.contains(*c))
    }

    /// Whether the token is a mark that parts readings.
    fn parts(&self, i: usize) -> bool {
        let Some(token) = self.tokens.get(i) else {
            return true;
        };
        match token.kind {
            Kind::Mark('-') => token.spaced || self.tokens.get(i + 1).is_none_or(|t| t.spaced),
            // `stir ~ coupe`, and not `~ 30 ml`.
            Kind::Mark('~') => {
                token.spaced
                    && self
                        .tokens
                        .get(i + 1)
                        .is_some_and(|t| t.spaced && matches!(t.kind, Kind::Word(_)))
            }
            Kind::Mark(c) => matches!(
                c,
                ',' | ';'
                    | '/'
                    | '|'
                    | '+'
                    | '('
                    | ')'
                    | '['
                    | ']'
                    | ':'
                    | '.'
                    | '='
                    | '→'
                    | '>'
                    | '•'
                    | '·'
                    | '*'
                    | '!'
                    | '&'
                    | '"'
                    | '\\'
                    | '_'
                    | '#'
                    | '{'
                    | '}'
            ),
            _ => false,
        }
    }

    /// Whether a reading may end before token `i`: the line ends, a mark parts, or a sentence ended before it.
    fn boundary(&self, i: usize) -> bool {
        i >= self.len() || self.parts(i) || i > 0 && self.sentence_ends(i - 1)
    }

    /// Whether a sentence ends with token `i`.
    fn sentence_ends(&self, i: usize) -> bool {
        let token = &self.tokens[i];
        token.stops()
            && match &token.kind {
                Kind::Word(w) if lexicon::is_short_with_a_stop(w) => false,
                Kind::Word(w) => {
                    // `oz.` is short, `ounces.` is not.
                    let unit = self.tag(i, |t| match t {
                        Tag::Unit(unit) => Some(unit),
                        _ => None,
                    });
                    // `barsp.` is short as well, `spoons.` and `pieces.` are not.
                    let short = unit.is_some_and(|(unit, _)| {
                        let (one, several) = unit.facts().written;
                        let word = w.trim_end_matches('.').to_lowercase();
                        w.len() <= 5
                            || w.len() <= 7 && word != one && word != several && !word.contains("spoon")
                    });
                    // `Makes 4 cups. Separate 4 eggs`: a unit that is written out, and the next sentence.
                    let whole = short
                        && w.len() > 4
                        && matches!(
                            self.words[i].folded.as_str(),
                            "cup" | "part" | "shot" | "dash" | "drop" | "piece" | "glass" | "can" | "pint" | "litre"
                        )
                        && self.tokens.get(i + 1).is_some_and(|t| {
                            matches!(&t.kind, Kind::Word(w) if w.len() > 2 && w.starts_with(char::is_uppercase))
                        })
                        && self.name_at(i + 1).is_none();
                    w.len() > 2 && lexicon::long_form(&self.words[i].folded).is_none() && (!short || whole)
                }
                // `lemon 22.5, syrup 15. Shake`, `Serves 12. The night before`: not at the head of a sentence, where it
                // numbers it, and before a word that is no unit.
                Kind::Number(_) => {
                    i > 0
                        && !self.parts(i - 1)
                        && !self.sentence_ends(i - 1)
                        && self.tokens.get(i + 1).is_none_or(|next| {
                            let word = matches!(next.kind, Kind::Word(_))
                                && self.unit_at(i + 1).0.is_none_or(finish::on_the_glass);
                            // `Jug, does 4. 120 ml vodka`
                            let serves = next.is_number()
                                && matches!(
                                    self.words[i - 1].folded.as_str(),
                                    "do" | "serve" | "make" | "feed" | "for" | "yield"
                                );
                            next.spaced && (word || serves)
                        })
                }
                _ => false,
            }
    }

    /// Whether the number at `i` stands right behind a word of a name.
    fn counts_a_name(&self, i: usize) -> bool {
        i > 0
            && (lexicon::in_name(&self.words[i - 1])
                || lexicon::long_form(&self.words[i - 1].folded).is_some())
    }

    fn found(&self, from: usize, to: usize, cost: u32, item: Item) -> Found {
        Found {
            item,
            from,
            to,
            span: self.span(from, to),
            text: self.raw(from, to).to_owned(),
            begins: from == 0 || self.parts(from - 1) || self.sentence_ends(from - 1),
            glass: None,
            cost,
            roles: Vec::new(),
        }
    }

    /// A step of a preparation takes the whole line: its own words go before a drink's of the same length.
    fn preparation(&self) -> Option<Vec<Found>> {
        if !self.context.preparing {
            return None;
        }
        let (step, taken) = process::step(&self.tokens, self.text, self.start)?;
        let bar = self.work_word(0).map_or(0, |(_, end)| end);
        if taken < bar {
            return None;
        }
        let item = match step {
            Ok(step) => Item::Step(step),
            Err(wrong) => Item::Fault(wrong),
        };
        let mut found = self.found(0, self.len(), 0, item);
        found.roles = vec![(0, self.len(), Role::Work)];
        Some(vec![found])
    }

    /// The cheapest way through the line; of ways that cost the same, the one whose readings begin earliest.
    ///
    /// Places are taken in the order of what it costs to come to them (Dijkstra, 1959), and none is looked at that costs
    /// more than the whole line does: in a line that reads well, that is one place for each reading.
    fn cheapest(&self) -> Vec<Found> {
        let n = self.len();
        let mut best: Vec<Option<Found>> = vec![None; n + 1];
        let mut cost: Vec<u32> = vec![u32::MAX; n + 1];
        let mut done = vec![false; n + 1];
        cost[0] = 0;
        let mut next = BinaryHeap::from([Reverse((0, 0))]);
        let mut options = Vec::new();
        while let Some(Reverse((so_far, i))) = next.pop() {
            if so_far > cost[n] {
                break;
            }
            if i == n || std::mem::replace(&mut done[i], true) {
                continue;
            }
            options.clear();
            self.readings(i, &mut options);
            for mut found in options.drain(..) {
                let to = found.to;
                let total = so_far.saturating_add(found.cost);
                let earlier = total == cost[to] && best[to].as_ref().is_some_and(|b| i < b.from);
                if total < cost[to] || earlier {
                    if total < cost[to] {
                        cost[to] = total;
                        next.push(Reverse((total, to)));
                    }
                    found.cost = total;
                    best[to] = Some(found);
                }
            }
        }
        let mut found = Vec::new();
        let mut at = n;
        while at > 0 {
            match best[at].take() {
                Some(reading) => {
                    at = reading.from;
                    found.push(reading);
                }
                // Every token can be read by itself, so this is never reached.
                None => at -= 1,
            }
        }
        found.reverse();
        found
    }

    /// Everything that can begin at `i`.
    fn readings(&self, i: usize, out: &mut Vec<Found>) {
        // `1) dry shake. 2) add ice`: the numbers of steps in one paragraph.
        if matches!(&self.tokens[i].kind, Kind::Number(n) if n.len() <= 2)
            && self.mark(i + 1, ")")
            && (i == 0 || self.boundary(i) || self.parts(i - 1))
            && !(0..i)
                .rev()
                .take_while(|&j| !self.mark(j, ")"))
                .any(|j| self.mark(j, "("))
        {
            let mut found = self.found(i, i + 2, 0, Item::Joint);
            found.roles = vec![(i, i + 2, Role::Mark)];
            out.push(found);
        }
        if self.parts(i) {
            let mut found = self.found(i, i + 1, 0, Item::Joint);
            found.roles = vec![(i, i + 1, Role::Mark)];
            out.push(found);
        }
        self.pours(i, out);
        self.work(i, out);
        self.serving(i, out);
        self.garnish(i, out);
        self.other(i, out);
    }

    /// Words that join, head a part, or are for the reader.
    fn other(&self, i: usize, out: &mut Vec<Found>) {
        let mut push = |to: usize, cost: u32, item: Item, role: Role| {
            let mut found = self.found(i, to, cost, item);
            found.roles = vec![(i, to, role)];
            out.push(found);
        };
        if let Some(end) = self.is(i, Tag::With) {
            push(end, 1, Item::With, Role::Joint);
            // `with a barspoon`, `with the back of a spoon`: what it is done with, and no measure of anything.
            if let Some(tool) = self.tool_at(end) {
                push(tool, 0, Item::Words, Role::Note);
            }
        }
        if let Some(end) = self.is(i, Tag::Joint) {
            push(end, 1, Item::Joint, Role::Joint);
        }
        if let Some(end) = self.is(i, Tag::Header)
            && (self.mark(end, ":") || i == 0 && end == self.len())
        {
            let to = if end < self.len() { end + 1 } else { end };
            push(to, 0, Item::Header, Role::Mark);
        }
        if let Some((end, amount)) = self.correction(i) {
            push(end, 1, Item::Correction(amount), Role::Amount);
        } else if let Some((end, wrong)) = self.taken_back(i) {
            push(end, 0, Item::Fault(wrong), Role::Asked);
        }
        if let Some(end) = self.heats(i) {
            push(end, 0, Item::Hot, Role::Serve);
        }
        if let Some(end) = self.warms_the_glass(i) {
            push(end, 0, Item::Words, Role::Note);
        }
        if let Some(end) = self.said_not_to_be_done(i) {
            push(end, 0, Item::Words, Role::Note);
        }
        // `bottle at 100 ml`: how much goes into each.
        let fills = matches!(
            self.words[i].folded.as_str(),
            "bottle" | "bag" | "can" | "portion" | "keg"
        );
        if fills
            && self.words.get(i + 1).is_some_and(|w| w.folded == "at")
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i + 2)
            && let (Some(unit), end) = self.unit_at(phrase.next)
            && unit.facts().dimension == crate::measure::Dimension::Volume
            && self.boundary(end)
        {
            push(end, 0, Item::Words, Role::Note);
        }
        // `bottle in 1 litre swing tops`: what it is kept in.
        if matches!(self.words[i].folded.as_str(), "in" | "into")
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i + 1)
            && let (Some(unit), after) = self.unit_at(phrase.next)
            && unit.facts().dimension == crate::measure::Dimension::Volume
            && self.name_at(after).is_none()
            && self.ice_phrase(after).is_none()
            && !self.boundary(after)
        {
            let end = (after..self.len())
                .find(|&j| self.boundary(j))
                .unwrap_or(self.len());
            let words = (after..end).all(|j| {
                matches!(self.tokens[j].kind, Kind::Word(_))
                    && (!self.does_or_names(j) || self.is(j, Tag::Glass).is_some())
            });
            if words && self.words.get(after).is_some_and(|w| w.folded != "of") {
                push(end, 4, Item::Words, Role::Note);
            }
        }
        // `to 1 finger below the rim`: how far it is filled.
        if let Some(end) = self.short_of_the_rim(i) {
            push(end, 0, Item::Words, Role::Note);
        }
        // `soda from the siphon`
        if let Some(end) = self.in_a_vessel(i) {
            push(end, 2, Item::Words, Role::Note);
        }
        if let Some(end) = self.alternative(i) {
            push(end, 1, Item::Words, Role::Note);
        }
        if i == 0
            && let Some((at, _)) = self.title_of_a_bowl()
        {
            push(at, 0, Item::Words, Role::Note);
        }
        if let Some((end, item)) = self.wondered(i) {
            push(end, 0, item, Role::Note);
        }
        if let Some(end) = self.left_out(i) {
            push(end, 0, Item::Words, Role::Note);
        }
        if let Some(end) = self.is(i, Tag::Hot) {
            push(end, 0, Item::Hot, Role::Serve);
        }
        if let Some((label, end)) = self.recipe_in_brackets(i) {
            push(end, 0, Item::Recipe(label), Role::Note);
        }
        // `tea 5 g for 250 g of water`, `30 g tarragon for 700 ml vodka`: so much of one for so much of another is how a
        // thing is made.
        if let Some((label, end)) = self.made_of_one_for_another(i) {
            push(end, 1, Item::Recipe(label), Role::Note);
        }
        // `one lift`, `two turns`: how often something is done, counted in words.
        if matches!(self.tokens[i].kind, Kind::Word(_))
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, i)
            && self
                .words
                .get(phrase.next)
                .is_some_and(|w| w.folded == "rotation" || is_a_turn_of_hand(&w.folded))
        {
            push(phrase.next + 1, 1, Item::Words, Role::Note);
        }
        if let Some(end) = self.is(i, Tag::Batch) {
            push(end, 2, Item::Words, Role::Serve);
        }
        if let Some(end) = self.is(i, Tag::PerServe)
            && (i == 0 || self.boundary(i) || self.parts(i - 1))
        {
            push(end, 0, Item::PerServe, Role::Serve);
        }
        for tag in [Tag::Article, Tag::All, Tag::Serve, Tag::Manner] {
            if let Some(end) = self.is(i, tag) {
                push(end, 2, Item::Words, Role::Note);
            }
        }
        if let Some(end) = self.is(i, Tag::Preposition) {
            push(end, 3, Item::Words, Role::Note);
        }
        if let Some(end) = self.is(i, Tag::Aside) {
            push(end, 3, Item::Words, Role::Note);
        }
        for tag in [Tag::Quality, Tag::Treatment, Tag::GlassLike] {
            if let Some(end) = self.is(i, tag) {
                push(end, 7, Item::Words, Role::Note);
            }
        }
        if let Some(end) = self.clause(i) {
            push(end, 4, Item::Words, Role::Note);
        }
        if let Some(end) = self.prose(i) {
            let words = u32::try_from(end - i).unwrap_or(u32::MAX);
            push(end, 5 + words / 4, Item::Words, Role::Note);
        }
        match &self.tokens[i].kind {
            // A word of work is given up as a word to the reader only where nothing else will do.
            Kind::Word(_) if self.is_a_verb_of_work(i) => {
                push(i + 1, 3 * UNKNOWN_WORD, Item::Words, Role::Note)
            }
            Kind::Word(_) => push(i + 1, UNKNOWN_WORD, Item::Words, Role::Note),
            Kind::Mark(_) if !self.parts(i) => push(i + 1, 3, Item::Joint, Role::Mark),
            Kind::Mark(_) => {}
            Kind::Number(_) | Kind::Fraction(..) | Kind::Ratio(_) => {
                if let Some(to) = self.harmless_number(i) {
                    push(to, 1, Item::Words, Role::Note);
                }
                let wrong = Wrong::ask(
                    self.span(i, i + 1),
                    format!(
                        "`{}`: an amount of what? expected a pour such as `50 ml gin`, or a step such as `shake 12 s`",
                        self.raw(i, (i + 4).min(self.len()))
                    ),
                    Vec::new(),
                );
                push(i + 1, 40, Item::Unread(wrong), Role::Asked);
            }
        }
    }

    /// `no wait, ten`, `make that 20 ml`, `no wait, ten of agave`: words that take back what was said, and the amount
    /// where nothing is named behind it.
    fn correction(&self, i: usize) -> Option<(usize, Option<Measure>)> {
        let mut at = self.is(i, Tag::Correction)?;
        while self.mark(at, ",-:.…") || self.is(at, Tag::Correction).is_some() {
            at = self.is(at, Tag::Correction).unwrap_or(at + 1);
        }
        // `no wait we cut that, 45`
        if at > i + 1 && amounts::phrase(&self.tokens, at).is_none() {
            let comma = (at..self.len().min(at + 6)).find(|&j| self.parts(j));
            if let Some(comma) = comma
                && self.mark(comma, ",-:")
                && (at..comma).all(|j| self.name_at(j).is_none() && !self.works(j))
                && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, comma + 1)
                && (self.boundary(phrase.next) || self.tokens[phrase.next - 1].stops())
            {
                at = comma + 1;
            }
        }
        // `no 4` is a number, `no, 4` another amount.
        if at == i + 1 && self.words[i].folded == "no" {
            return None;
        }
        let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        // `lets say 15. 20 lemon`
        let stops = unit.is_none()
            && self.tokens[phrase.next - 1].stops()
            && self.tokens.get(end).is_none_or(|t| t.spaced);
        let alone = stops || self.boundary(end) || self.is(end, Tag::Joint).is_some();
        Some(match alone {
            true => (end, Some(Measure::Of(phrase.extent, unit))),
            false => (at, None),
        })
    }

    /// `no wait I think it was lime`, `or maybe it was an ounce and a half`: what was said is doubted, and nothing tells
    /// what stands in its place.
    fn taken_back(&self, i: usize) -> Option<(usize, Wrong)> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let (end, message) = if let Some(end) = self.is(i, Tag::Correction) {
            let sure = matches!(word(end - 1), "wait" | "that" | "correction" | "sorry") && word(i) != "make";
            let more = end < self.len() && self.does_or_names_ahead(end);
            if !sure || !more || i == 0 {
                return None;
            }
            (end, "what does it take back? expected the drink as it is poured")
        } else if word(i) == "or" && i > 0 {
            let mut at = i + 1;
            while matches!(word(at), "it" | "was" | "is" | "even" | "like")
                || self.is(at, Tag::About).is_some()
                || self.is(at, Tag::Clause).is_some_and(|end| end == at + 1)
            {
                at += 1;
            }
            if at == i + 1 {
                return None;
            }
            let phrase = amounts::phrase(&self.tokens, at)?.ok()?;
            let (unit, end) = self.unit_at(phrase.next);
            unit?;
            let half = (word(end) == "and")
                .then(|| amounts::part_in_words(&self.tokens, end + 1))
                .flatten();
            let end = half.map_or(end, |(_, end)| end);
            self.boundary(end).then_some(())?;
            (end, "two amounts for one pour: which is it?")
        } else {
            return None;
        };
        let wrong = Wrong::ask(
            self.span(i, end),
            format!("`{}`: {message}", self.raw(i, end)),
            Vec::new(),
        );
        Some((end, wrong))
    }

    /// Whether something is named within a few words from `from`, before the sentence or its part ends.
    fn does_or_names_ahead(&self, from: usize) -> bool {
        (from..self.len().min(from + 6))
            .take_while(|&j| j == from || !self.boundary(j))
            .any(|j| self.name_at(j).is_some())
    }

    /// `to 1 finger below the rim`, `2 cm from the top`, `to just under the brim`.
    fn short_of_the_rim(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at = i + usize::from(matches!(word(i), "to" | "until" | "till"));
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at) {
            at = phrase.next;
            at += usize::from(matches!(word(at), "finger" | "cm" | "inch" | "mm" | "thumb"));
        } else if matches!(word(at), "just" | "slightly" | "almost") {
            at += 1;
        }
        let short = matches!(word(at), "below" | "under" | "from" | "short") && at > i;
        at += 1;
        at += usize::from(word(at) == "of");
        at = self.is(at, Tag::Article).unwrap_or(at);
        (short && matches!(word(at), "rim" | "top" | "brim" | "lip" | "edge")).then_some(at + 1)
    }

    /// `pre-heat the mug with hot water`, `chill the glass with ice and water`: nothing of that is poured.
    fn warms_the_glass(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let verb = matches!(
            word(i),
            "heat" | "preheat" | "pre" | "prewarm" | "warm" | "chill" | "prechill" | "scald" | "fill"
        );
        if !verb {
            return None;
        }
        let end = (i + 1..self.len().min(i + 14))
            .find(|&j| j > i + 1 && self.boundary(j) && !self.tokens[j].joined);
        let end = end.unwrap_or(self.len());
        let holder =
            (i + 1..end).find(|&j| self.is(j, Tag::Glass).is_some() || self.is(j, Tag::Vessel).is_some())?;
        let water = (holder..end).find(|&j| {
            word(j) == "water"
                && matches!(
                    word(j - 1),
                    "hot" | "boiling" | "warm" | "kettle" | "iced" | "ice" | "cold"
                )
        })?;
        // `fill the mug with hot water` may be the drink's own; of a glass that is emptied again it is not.
        let emptied = word(i) != "fill"
            || self.words[water..]
                .iter()
                .any(|w| matches!(w.folded.as_str(), "discard" | "empty" | "dump" | "tip"));
        emptied.then_some(water + 1)
    }

    /// `do not top up with the old batch`: a pour that is said not to be done, to the end of the sentence.
    fn said_not_to_be_done(&self, i: usize) -> Option<usize> {
        let placed = self.tag(i, |t| {
            matches!(t, Tag::Top | Tag::Float | Tag::Rinse | Tag::Mist).then_some(())
        });
        placed?;
        let not = i > 0
            && matches!(
                self.words[i - 1].folded.as_str(),
                "not" | "never" | "dont" | "cannot" | "without"
            );
        let end = (i + 1..self.len()).find(|&j| self.boundary(j) || self.is(j, Tag::Joint).is_some());
        not.then(|| end.unwrap_or(self.len()))
    }

    /// `a barspoon`, `the back of a spoon`, `a swizzle stick` at `i`, where nothing of it is named behind it.
    fn tool_at(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at = self.is(i, Tag::Article)?;
        if word(at) == "back" && word(at + 1) == "of" {
            at = self.is(at + 2, Tag::Article).unwrap_or(at + 2);
        }
        while matches!(word(at), "long" | "bar" | "swizzle" | "small" | "cocktail") {
            at += 1;
        }
        let tool = matches!(
            word(at),
            "barspoon"
                | "spoon"
                | "stick"
                | "muddler"
                | "siphon"
                | "lele"
                | "pick"
                | "fork"
                | "knife"
                | "straw"
        );
        (tool && self.boundary(at + 1)).then_some(at + 1)
    }

    /// `heat 150 ml of milk`, `warm the cider`: work that makes a drink hot, before what it is done to.
    fn heats(&self, i: usize) -> Option<usize> {
        let verb = matches!(
            self.words[i].folded.as_str(),
            "heat" | "warm" | "steam" | "simmer"
        );
        let begins =
            i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1) || self.is(i - 1, Tag::Joint).is_some();
        let next = self.is(i + 1, Tag::Article).unwrap_or(i + 1);
        let glass = self.is(next, Tag::Glass).is_some() || self.is(next, Tag::Vessel).is_some();
        let what = self.name_at(next).is_some()
            || self.is(next, Tag::All).is_some()
            || amounts::phrase(&self.tokens, next).is_some();
        (verb && begins && what && !glass).then_some(i + 1)
    }

    /// `or 10 ml agave if there is no honey`: another way, of which nothing is poured.
    fn alternative(&self, i: usize) -> Option<usize> {
        if self.words[i].folded != "or" || i == 0 || !self.tokens.get(i + 1)?.is_number() {
            return None;
        }
        self.end_of_a_pour(i + 1)
    }

    /// `Maybe olive oil on top? No.`: what is only thought of; nothing of it is poured where the answer is no.
    fn wondered(&self, i: usize) -> Option<(usize, Item)> {
        let begins = i == 0 || self.sentence_ends(i - 1) || self.parts(i - 1) || self.mark(i - 1, "?");
        if !begins
            || !matches!(
                self.words[i].folded.as_str(),
                "maybe" | "perhaps" | "possibly" | "should"
            )
        {
            return None;
        }
        let end = (i + 1..self.len())
            .take_while(|&j| !self.sentence_ends(j - 1) || j == i + 1)
            .find(|&j| self.mark(j, "?"))?;
        let answer = self.words.get(end + 1).map_or("", |w| w.folded.as_str());
        if matches!(answer, "no" | "nah" | "nope" | "not") {
            return Some((end + 2, Item::Words));
        }
        let wrong = Wrong::ask(
            self.span(i, end + 1),
            format!("`{}`: is it poured or not?", self.raw(i, end + 1)),
            Vec::new(),
        );
        (i + 1..end)
            .any(|j| matches!(self.name_at(j), Some((_, lexicon::Sort::Liquid))))
            .then_some((end + 1, Item::Fault(wrong)))
    }

    /// `instead of a full ounce of red bitter`, `in place of 20 ml lemon`: what is not poured.
    fn left_out(&self, i: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let at = match (word(i), word(i + 1), word(i + 2)) {
            ("instead" | "replacing", "of", _) | ("rather", "than", _) => i + 2,
            ("in", "place", "of") => i + 3,
            _ => return None,
        };
        let bare = self.is(at, Tag::Article).unwrap_or(at);
        self.end_of_a_pour(at)
            .or_else(|| self.end_of_a_pour(bare))
            .or_else(|| self.name_at(bare).map(|(end, _)| end))
    }

    /// Where the pour ends that is read best from `i`, where its amount stands.
    fn end_of_a_pour(&self, i: usize) -> Option<usize> {
        let mut pours = Vec::new();
        self.amount_first(i, &mut pours);
        pours
            .into_iter()
            .filter(|f| matches!(f.item, Item::Pours(_)))
            .min_by_key(|f| (f.cost, Reverse(f.to)))
            .map(|f| f.to)
    }

    /// Two measured amounts in one part of a sentence, with `for` or `per` between them.
    fn made_of_one_for_another(&self, i: usize) -> Option<(String, usize)> {
        let begins = i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1);
        if !begins || self.parts(i) {
            return None;
        }
        let end = (i..self.len())
            .find(|&j| j > i && self.boundary(j))
            .unwrap_or(self.len());
        let link = (i + 2..end).find(|&j| matches!(self.words[j].folded.as_str(), "for" | "per"))?;
        let measured = |from: usize, to: usize| {
            (from..to).find_map(|j| {
                let phrase = amounts::phrase(&self.tokens, j)?.ok()?;
                let (unit, after) = self.unit_at(phrase.next);
                let dimension = unit?.facts().dimension;
                use crate::measure::Dimension;
                (matches!(dimension, Dimension::Volume | Dimension::Mass) && after <= to).then_some(after)
            })
        };
        measured(i, link)?;
        let after = measured(link + 1, end).filter(|_| self.tokens[link + 1].is_number())?;
        // Of what, behind the second amount.
        (after < end).then(|| (self.raw(i, link).to_owned(), end))
    }

    /// `(honey water: 200 g honey, 100 ml water)`: how something is made, in brackets with its name before a colon.
    fn recipe_in_brackets(&self, i: usize) -> Option<(String, usize)> {
        if !self.mark(i, "([") {
            return None;
        }
        let close = (i + 1..self.len()).find(|&j| self.mark(j, ")]"))?;
        let colon = (i + 1..close).find(|&j| self.mark(j, ":="))?;
        let label = self.raw(i + 1, colon);
        let words = (i + 1..colon).all(|j| !self.tokens[j].is_number());
        (words && colon > i + 1 && self.measured(colon + 1, close) > 1).then(|| (label.to_owned(), close + 1))
    }

    /// How many amounts of something are measured among the tokens `from..to`: times, temperatures, strengths and
    /// what is in a litre are none.
    fn measured(&self, from: usize, to: usize) -> usize {
        let mut count = 0;
        let mut at = from;
        while at < to {
            if !self.tokens[at].is_number() {
                at += 1;
                continue;
            }
            if let Some(Ok((_, taken))) = super::technique::time(&self.tokens[at..]) {
                at += taken;
                continue;
            }
            if let Some((_, taken)) = process::temperature(&self.tokens[at..]) {
                at += taken;
                continue;
            }
            let next = match amounts::phrase(&self.tokens, at) {
                Some(Ok(phrase)) => phrase.next,
                _ => at + 1,
            };
            let (unit, after) = self.unit_at(next);
            let of_what = self.past_of(after);
            // `12 g/L` is a strength.
            let in_a_litre = unit.is_some() && self.mark(after, "/");
            let counts = unit.is_some() && !in_a_litre || self.name_at(next).is_some();
            if counts && !self.mark(next, "%") {
                count += 1;
            }
            at = of_what.max(at + 1);
        }
        count
    }

    /// Part of a sentence in which nothing is named, measured or done: words to the reader.
    fn prose(&self, i: usize) -> Option<usize> {
        let begins =
            i == 0 || self.parts(i - 1) || self.sentence_ends(i - 1) || self.is(i - 1, Tag::Joint).is_some();
        if !begins || !matches!(self.tokens[i].kind, Kind::Word(_)) {
            return None;
        }
        let mut at = i;
        let mut words = 0;
        let allergens = self
            .words
            .iter()
            .any(|w| matches!(w.folded.as_str(), "allergen" | "allergy"))
            && !self.tokens.iter().any(Token::is_number);
        if allergens {
            return Some(self.len());
        }
        if i == 0 && self.may_be_counted() {
            return None;
        }
        while at < self.len() && (at == i || !self.sentence_ends(at - 1)) {
            if self.parts(at) {
                // A full stop of `no.`, a dash: on it goes only where the line ends there.
                break;
            }
            if self.does_or_names(at) || self.counts_in_words(at) || self.says_to_taste(at) {
                return None;
            }
            match &self.tokens[at].kind {
                Kind::Word(_) => words += 1,
                // `we need 40 serves`
                Kind::Number(_) if self.has_a_unit(at + 1) || self.counts_drinks(at + 1) => return None,
                Kind::Number(_) => {}
                Kind::Fraction(..) | Kind::Ratio(_) => return None,
                Kind::Mark(_) => {}
            }
            at += 1;
        }
        (words >= 3 || words == 2 && i > 0).then_some(at)
    }

    /// Whether a unit of more than one letter stands at a place; one letter may be anything.
    fn has_a_unit(&self, at: usize) -> bool {
        matches!(self.unit_at(at), (Some(_), end) if self.raw(at, end).len() > 1)
    }

    /// `a good handful`: a unit whose number is a word.
    fn counts_in_words(&self, at: usize) -> bool {
        at > 0
            && matches!(self.unit_at(at), (Some(_), end) if self.raw(at, end).len() > 2)
            && (self.is(at - 1, Tag::About).is_some() || self.is(at - 1, Tag::Article).is_some())
    }

    /// Whether work begins at a place, or a word that says where a pour goes.
    fn works(&self, at: usize) -> bool {
        self.tag(at, |tag| {
            matches!(
                tag,
                Tag::Work(_)
                    | Tag::Strain { .. }
                    | Tag::Unstrained
                    | Tag::Top
                    | Tag::Float
                    | Tag::Rinse
                    | Tag::Mist
            )
            .then_some(())
        })
        .is_some()
    }

    /// Whether a known name, work or a word of serving begins at a place.
    fn does_or_names(&self, at: usize) -> bool {
        self.name_at(at).is_some()
            || self.ice_phrase(at).is_some()
            || self.works(at)
            || self
                .tag(at, |tag| {
                    matches!(
                        tag,
                        Tag::Neat
                            | Tag::GarnishVerb
                            | Tag::GarnishNoun
                            | Tag::Glass
                            | Tag::Each
                            | Tag::PerServe
                    )
                    .then_some(())
                })
                .is_some()
    }

    /// Whether the line is a few words and a number that may be an amount of them: `chicha morada reduction 25`.
    fn may_be_counted(&self) -> bool {
        let amount = self.tokens.last().is_some_and(
            |t| matches!(&t.kind, Kind::Number(n) if n.parse::<u32>().is_ok_and(|n| (5..=200).contains(&n))),
        );
        amount
            && (3..=6).contains(&self.len())
            && (0..self.len() - 1).all(|at| {
                matches!(self.tokens[at].kind, Kind::Word(_))
                    && !lexicon::is_filler(&self.words[at].folded)
                    && self.is(at, Tag::Aside).is_none()
                    && self.is(at, Tag::Clause).is_none()
                    && !self.counts_drinks(at)
                    && self
                        .name_at(at)
                        .is_none_or(|(_, sort)| sort != lexicon::Sort::Solid)
            })
    }

    /// Whether a line that did not read has nothing in it that could be poured or done: no known name, no amount with a
    /// unit, no work. Then it is for the reader.
    fn is_for_the_reader(&self, found: &[Found]) -> bool {
        let unread = found
            .iter()
            .any(|f| f.item.is_unread() || matches!(f.item, Item::Pours(_) | Item::Mention(_)));
        let words = self
            .tokens
            .iter()
            .filter(|t| matches!(t.kind, Kind::Word(_)))
            .count();
        if !unread || words < 3 || self.tokens[0].is_number() {
            return false;
        }
        // `chicha morada reduction 25`: a few words and a number that may be an amount of them.
        if self.may_be_counted() {
            return false;
        }
        (0..self.len()).all(|at| {
            let named = self.name_at(at).is_some();
            let measured = match amounts::phrase(&self.tokens, at) {
                Some(Ok(phrase)) => self.has_a_unit(phrase.next),
                Some(Err(_)) => true,
                None if self.counts_in_words(at) => true,
                None => self.says_to_taste(at),
            };
            !named && !measured && !self.works(at)
        }) && found.iter().all(|f| match &f.item {
            Item::Pours(pours) => pours.iter().all(|(p, _)| {
                p.choices.iter().all(|n| {
                    !crate::ingredient::tells_its_kind(&n.name) && crate::ingredient::never(&n.name).is_none()
                })
            }),
            _ => true,
        })
    }

    /// `that I wash with butter`, `so it stays cold`: words to the reader, up to where a pour or work may begin.
    fn clause(&self, i: usize) -> Option<usize> {
        let mut at = self.is(i, Tag::Clause)?;
        // What was, or might be, is not poured: `try 30 next time`, `was 25`.
        if matches!(
            self.words[i].folded.as_str(),
            "try"
                | "next"
                | "offer"
                | "upsell"
                | "available"
                | "practise"
                | "practice"
                | "consider"
                | "bump"
                | "swap"
                | "replace"
                | "yesterday"
                | "tried"
                | "previously"
                | "originally"
                | "formerly"
                | "was"
                | "sub"
                | "alternative"
                | "substitute"
        ) {
            while at < self.len() && !self.sentence_ends(at - 1) {
                if self.mark(at, ",;)") || self.mark(at, "-") && self.parts(at) {
                    break;
                }
                at += 1;
            }
            return Some(at);
        }
        // What a drink contains is not poured by saying so.
        if matches!(self.words[i].folded.as_str(), "allergen" | "allergy" | "contain") {
            while at < self.len() && !self.sentence_ends(at - 1) {
                if self.tokens[at].is_number() && self.has_a_unit(at + 1) {
                    break;
                }
                at += 1;
            }
            return Some(at);
        }
        while at < self.len() && !self.parts(at) && !self.mark(at, "?") && !self.sentence_ends(at - 1) {
            let amount = match amounts::phrase(&self.tokens, at) {
                None => false,
                Some(Err(_)) => true,
                Some(Ok(phrase)) => {
                    let name = self.past_of(phrase.next);
                    // `so a whole bottle of wine`
                    let mut unit = phrase.next;
                    while let Some(end) = self.is(unit, Tag::About) {
                        unit = end;
                    }
                    self.tokens[at].is_number()
                        || self.unit_at(unit).0.is_some()
                        || self.name_at(name).is_some()
                }
            };
            let does = self.works(at)
                || self
                    .tag(at, |tag| {
                        matches!(
                            tag,
                            Tag::GarnishVerb | Tag::Joint | Tag::Each | Tag::ToFill | Tag::OnTop
                        )
                        .then_some(())
                    })
                    .is_some();
            // `it was too sweet at 20`
            let amount = amount && !(self.words[at - 1].folded == "at" && self.boundary(at + 1));
            // `I have rum 50`: a name with its amount behind it.
            let counted = self.name_at(at).is_some_and(|(end, _)| {
                self.tokens.get(end).is_some_and(Token::is_number)
                    && (self.boundary(end + 1) || self.unit_at(end + 1).0.is_some())
            });
            if amount
                || does
                || counted
                || self.left_out(at).is_some()
                || self.correction(at).is_some()
                || matches!(self.tokens[at].kind, Kind::Ratio(_))
                || self.ice_phrase(at).is_some()
            {
                break;
            }
            at += 1;
        }
        Some(at)
    }

    /// Past `of the`, `of my` between an amount and its name.
    fn past_of(&self, at: usize) -> usize {
        let mut at = at;
        while self.words.get(at).is_some_and(|w| w.folded == "of") {
            at = self.is(at + 1, Tag::Article).unwrap_or(at + 1);
        }
        at
    }

    /// A number that measures no pour: `4 °C`, `x 5`, `3 times`, a time, a price.
    fn harmless_number(&self, i: usize) -> Option<usize> {
        if let Some(Ok((_, taken))) = super::technique::time(&self.tokens[i..]) {
            return Some(i + taken);
        }
        if let Some((_, taken)) = process::temperature(&self.tokens[i..]) {
            return Some(i + taken);
        }
        // `22 % ABV` of the whole drink, `32 brix`.
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if self.mark(i + 1, "%") && self.name_at(i + 2).is_none() {
            let mut end = i + 2;
            while matches!(word(end), "abv" | "vol" | "alc" | "dilution" | "off") {
                end += 1;
            }
            return Some(end);
        }
        if (matches!(
            word(i + 1),
            "charge" | "pulse" | "stroke" | "tap" | "lap" | "pump" | "press" | "it" | "star" | "degree"
        ) || is_a_turn_of_hand(word(i + 1)))
            && self.name_at(i + 1).is_none_or(|(end, _)| end == i + 2)
        {
            return Some(i + 2);
        }
        // `1 tin = 6 shots`
        if let Some(end) = self.is(i + 1, Tag::Vessel)
            && self.mark(end, "=")
        {
            return Some(end);
        }
        if lexicon::is_brix(word(i + 1))
            || matches!(
                word(i + 1),
                "kcal" | "day" | "week" | "hr" | "year" | "yr" | "month" | "yo" | "y.o"
            )
        {
            return Some(i + 2);
        }
        // `8 g/L`: how strong a tea is.
        if let (Some(crate::measure::Unit::Gram | crate::measure::Unit::Millilitre), end) =
            self.unit_at(i + 1)
            && self.mark(end, "/")
            && matches!(word(end + 1), "l" | "litre" | "kg" | "ml")
        {
            return Some(end + 2);
        }
        // `steam it to 65 ish`: a temperature.
        let heats = self.words[..i].iter().any(|w| {
            matches!(
                w.folded.as_str(),
                "steam" | "heat" | "warm" | "simmer" | "bring" | "hot"
            )
        });
        if heats
            && i > 0
            && word(i - 1) == "to"
            && (self.boundary(i + 1) || matches!(word(i + 1), "ish" | "c" | "and" | "deg"))
        {
            return Some(i + 1 + usize::from(matches!(word(i + 1), "ish" | "c" | "deg")));
        }
        // `BAR-031`: a code. `Gin 50 ml | 1.40`: what it costs, in a cell of its own.
        let coded = i > 1
            && self.mark(i - 1, "-")
            && !self.tokens[i - 1].spaced
            && !self.tokens[i].spaced
            && matches!(&self.tokens[i - 2].kind, Kind::Word(w) if w.len() > 1 && !w.chars().any(char::is_lowercase))
            && matches!((&self.tokens[i].kind, self.name_at(i - 2)), (Kind::Number(n), named) if n.starts_with('0') || named.is_none());
        let cost = i > 2
            && self.mark(i - 1, "|")
            && self.boundary(i + 1)
            && matches!(&self.tokens[i].kind, Kind::Number(n) if n.contains('.'))
            && (0..i - 1).any(|j| self.tokens[j].is_number() && self.unit_at(j + 1).0.is_some());
        if coded || cost {
            return Some(i + 1);
        }
        // `better @ 30/25/5/15`, `£9`, `no. 4`.
        if i > 0 && self.mark(i - 1, "@£$€#")
            || matches!(
                word(i.wrapping_sub(1)),
                "@" | "no"
                    | "number"
                    | "v"
                    | "version"
                    | "station"
                    | "table"
                    | "page"
                    | "not"
                    | "usd"
                    | "eur"
                    | "gbp"
                    | "aud"
                    | "price"
                    | "cost"
                    | "code"
                    | "item"
                    | "rev"
                    | "entry"
            )
        {
            let mut end = i + 1;
            while end < self.len()
                && (self.tokens[end].is_number() || self.mark(end, "/.,"))
                && !self.tokens[end].spaced
            {
                end += 1;
            }
            if let (Some(_), unit) = self.unit_at(end)
                && self.boundary(unit)
            {
                end = unit;
            }
            return Some(end);
        }
        // `candied ginger, 1 pc`: how many of what stands before it.
        if let (Some(crate::measure::Unit::Piece), after) = self.unit_at(i + 1)
            && self.boundary(after)
            && i > 0
        {
            return Some(after);
        }
        // `4 straws`, `2 is enough`, `19 l keg`, `Handout 4 - sours`.
        let named = self.name_at(i + 1).is_some();
        if !named && (self.is(i + 1, Tag::Aside).is_some() || self.is(i + 1, Tag::Clause).is_some()) {
            return Some(self.is(i + 1, Tag::Aside).unwrap_or(i + 1));
        }
        if let (Some(unit), after) = self.unit_at(i + 1)
            && !matches!(unit, crate::measure::Unit::Bottle)
            && let Some(vessel) = self.is(after, Tag::Vessel)
            && self.boundary(vessel)
        {
            return Some(vessel);
        }
        if (1..=2).contains(&i)
            && !self.words[..i].iter().any(lexicon::in_name)
            && matches!(&self.tokens[i].kind, Kind::Number(n) if n.trim_end_matches('.').len() == 1)
            && self.boundary(i + 1)
            && i + 1 < self.len()
        {
            return Some(i + 1);
        }
        process::harmless(&self.tokens[i..]).map(|taken| i + taken)
    }
}
