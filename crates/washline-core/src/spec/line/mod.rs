//! One line of a spec, cut into readings that account for every word of it.
//!
//! A line may hold one pour or a whole drink. From each place in it every reading that can begin there is tried: a pour,
//! work, a glass, ice, garnish, a word that joins, a word for the reader. Each has a cost: nothing for what is said as
//! the trade says it, much for words that nobody knows. The cheapest way through the line is how it is read, and every
//! token belongs to exactly one of its readings.

mod account;
mod beside;
mod finish;
mod found;
mod garnish;
mod harmless;
mod made;
mod memo;
mod much;
mod name;
mod named;
mod numbered;
mod placed;
mod pour;
mod prose;
mod retracted;
mod second_amount;
mod serves;
mod serving;
mod shared;
mod unpoured;
mod work;

use std::cell::RefCell;
use std::cmp::Reverse;
use std::collections::{BinaryHeap, HashMap};
use std::ops::Range;

pub use account::{Account, Role};
pub(in crate::spec) use finish::on_the_glass;
pub(in crate::spec) use found::{Found, Item, LineRead, Mention};
pub(in crate::spec) use garnish::goes_on_the_glass;
pub(in crate::spec) use memo::Memo;

use super::lexicon::{self, Entry, Looked, OwnNames, Tag};
use super::process;
use super::tokens::{Kind, Token, tokens};

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
    if let Some(kept) = super::crossed_out::without(text) {
        let mut all = read(&kept.text, start, context);
        all.put_back(&kept, text, start);
        return all;
    }
    if let Some(translated) = super::translate::english(text, context.own) {
        let mut read = read_english(&translated.text, start, context);
        read.put_back(&translated, text, start);
        return read;
    }
    read_english(text, start, context)
}

fn read_english(text: &str, start: usize, context: Context) -> LineRead {
    let mut tokens = tokens(text, start);
    numbered::drop_list_number(&mut tokens);
    numbered::drop_footnote_marks(&mut tokens);
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
            found = vec![reader.found(0, reader.len(), 0, Item::Words).all(Role::Note)];
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
        Some(vec![self.found(0, self.len(), 0, item).all(Role::Work)])
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
            out.push(self.found(i, i + 2, 0, Item::Joint).all(Role::Mark));
        }
        if self.parts(i) {
            out.push(self.found(i, i + 1, 0, Item::Joint).all(Role::Mark));
        }
        self.pours(i, out);
        self.work(i, out);
        self.serving(i, out);
        self.garnish(i, out);
        self.other(i, out);
    }

    /// Past `of the`, `of my` between an amount and its name.
    fn past_of(&self, at: usize) -> usize {
        let mut at = at;
        while self.words.get(at).is_some_and(|w| w.folded == "of") {
            at = self.is(at + 1, Tag::Article).unwrap_or(at + 1);
        }
        at
    }
}
