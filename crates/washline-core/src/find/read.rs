//! From the tree of a question to what it asks: each run of words is a field and what is said of it.

use std::ops::Range;

use super::fields::{FieldFacts, Takes};
use super::listed::{self, NotListed};
use super::tokens::{Sort, Token, Tree, tree};
use super::words::Phrase;
use super::{Ask, Comparison, Field, Is, Limit, QUESTION, Query, Test, fields};
use crate::computed::Faults;
use crate::names::{key, nearest};
use crate::spec::{Source, Unplaced};
use crate::tables::day;

/// Words that compare.
const COMPARES: [(&str, Comparison); 12] = [
    ("under", Comparison::Below),
    ("below", Comparison::Below),
    ("less than", Comparison::Below),
    ("over", Comparison::Above),
    ("above", Comparison::Above),
    ("more than", Comparison::Above),
    ("at most", Comparison::UpTo),
    ("up to", Comparison::UpTo),
    ("at least", Comparison::From),
    ("from", Comparison::From),
    ("is", Comparison::Is),
    ("exactly", Comparison::Is),
];

pub(super) fn read(text: &str) -> Result<Query, Faults> {
    let source = Source::new(QUESTION, text);
    let mut reader = Reader {
        text: &source.text,
        wrongs: Vec::new(),
        last: None,
        at: 0..0,
    };
    let ask = match tree(&source.text) {
        Ok(tree) => reader.tree(&tree),
        Err(wrong) => {
            reader.wrongs.push(wrong);
            None
        }
    };
    let wrongs = reader.wrongs;
    match ask.filter(|_| wrongs.is_empty()) {
        Some(ask) => Ok(Query { ask, source }),
        None => Err(Faults(wrongs.into_iter().map(|w| w.at(&source)).collect())),
    }
}

struct Reader<'a> {
    text: &'a str,
    wrongs: Vec<Unplaced>,
    /// The field that was asked for last.
    last: Option<Field>,
    /// Where the words that were read last stand.
    at: Range<usize>,
}

/// From the first of them to the last.
fn span(tokens: &[Token]) -> Range<usize> {
    tokens.first().map_or(0, |t| t.span.start)..tokens.last().map_or(0, |t| t.span.end)
}

fn word(token: &Token) -> Option<&str> {
    match &token.sort {
        Sort::Word(word) => Some(word),
        _ => None,
    }
}

/// The field that the first words of a run call, the most of them that do, with how many they are.
fn field_at(tokens: &[Token]) -> Option<(Field, usize)> {
    /// The words of the longest name of a field.
    const LONGEST: usize = 5;
    // What folds to nothing is no part of a name.
    let words: Vec<&str> = tokens
        .iter()
        .map_while(word)
        .take_while(|word| !key(word).is_empty())
        .take(LONGEST)
        .collect();
    (1..=words.len())
        .rev()
        .find_map(|taken| Some((Field::named(&words[..taken].join(" "))?, taken)))
}

impl Reader<'_> {
    fn said(&self, tokens: &[Token]) -> &str {
        self.text.get(span(tokens)).unwrap_or_default()
    }

    fn wrong(&mut self, tokens: &[Token], message: String, near: Vec<String>) {
        self.wrongs
            .push(Unplaced::reject(span(tokens), message).with(near));
    }

    fn tree(&mut self, tree: &Tree) -> Option<Ask> {
        match tree {
            Tree::Run(run) => self.run(run),
            Tree::Of(run, tree) => {
                let field = field_at(run).filter(|(field, taken)| {
                    *taken == run.len() && !matches!(field.facts().takes, Takes::Number | Takes::Day)
                });
                if let Some((field, _)) = field {
                    self.last = Some(field);
                } else {
                    let said = self.said(run).to_owned();
                    self.wrong(
                        run,
                        format!(
                            "a bracket follows `{said}` without a word; expected `and` or `or` before it"
                        ),
                        Vec::new(),
                    );
                }
                self.tree(tree)
            }
            Tree::Not(tree) => Some(Ask::Not(Box::new(self.tree(tree)?))),
            Tree::All(parts) => self.parts(parts).map(Ask::All),
            Tree::Any(parts) => self.parts(parts).map(Ask::Any),
        }
    }

    /// Every part, so that every fault is told.
    fn parts(&mut self, parts: &[Tree]) -> Option<Vec<Ask>> {
        let read: Vec<Option<Ask>> = parts.iter().map(|part| self.tree(part)).collect();
        read.into_iter().collect()
    }

    fn run(&mut self, run: &[Token]) -> Option<Ask> {
        let compares = run
            .iter()
            .position(|t| matches!(t.sort, Sort::Compares(_) | Sort::Differs));
        let (field, is) = match compares {
            Some(at) => self.compared(run, at)?,
            None => self.worded(run)?,
        };
        self.last = Some(field);
        let span = match is {
            Is::Said(_) => self.at.clone(),
            _ => span(run),
        };
        Some(Ask::Test(Test { field, is, span }))
    }

    /// A run with a mark that compares at a place.
    fn compared(&mut self, run: &[Token], at: usize) -> Option<(Field, Is)> {
        let (before, mark, after) = (&run[..at], &run[at..=at], &run[at + 1..]);
        let field = self.field_before(before, mark)?;
        let facts = field.facts();
        let Sort::Compares(comparison) = mark[0].sort else {
            let message = format!(
                "`{}` compares nothing; expected `not {} = …`",
                self.said(mark),
                facts.word
            );
            self.wrong(mark, message, Vec::new());
            return None;
        };
        if let Some(second) = after
            .iter()
            .position(|t| matches!(t.sort, Sort::Compares(_) | Sort::Differs))
        {
            match begun(&after[..second]) {
                Some(from) => self.begins(&after[from..second]),
                None => self.wrong(
                    &after[second..=second],
                    "a second comparison; expected `and` between the two".to_owned(),
                    Vec::new(),
                ),
            }
            return None;
        }
        if after.is_empty() {
            let message = format!(
                "nothing to compare with; expected a number such as `{}`",
                facts.example
            );
            self.wrong(mark, message, Vec::new());
            return None;
        }
        match facts.takes {
            Takes::Number => {
                let limit = self.limit(field, after)?;
                Some((field, Is::Compared(comparison, limit)))
            }
            // `structure = sour` says what `structure sour` says.
            _ if comparison == Comparison::Is => {
                self.last = Some(field);
                self.value(facts, after)
            }
            _ => {
                let message = format!(
                    "`{}` is no figure; expected words such as `{}`",
                    facts.word, facts.example
                );
                self.wrong(before, message, Vec::new());
                None
            }
        }
    }

    /// The field that stands before a comparison; where none does, the one that was asked for last.
    fn field_before(&mut self, before: &[Token], mark: &[Token]) -> Option<Field> {
        if before.is_empty() {
            if self.last.is_none() {
                let message = "nothing is compared; expected a figure before it such as `strength < 14`";
                self.wrong(mark, message.to_owned(), Vec::new());
            }
            return self.last;
        }
        if let Some((field, taken)) = field_at(before)
            && taken == before.len()
        {
            return Some(field);
        }
        // `pours lime strength < 14`: a figure begins within the words.
        match begun(before) {
            Some(from) => self.begins(&before[from..]),
            None => self.unknown(before),
        }
        None
    }

    /// Words that begin another test without a word that joins it.
    fn begins(&mut self, tokens: &[Token]) {
        let said = self.said(tokens).to_owned();
        self.wrong(
            tokens,
            format!("`{said}` begins another test; expected `and` or `or` before it"),
            Vec::new(),
        );
    }

    /// Words that call nothing that can be asked for.
    fn unknown(&mut self, tokens: &[Token]) {
        let said = self.said(tokens).to_owned();
        let near = near_fields(&said);
        let cure = if near.is_empty() {
            "; expected a figure such as strength, sweetness or cost"
        } else {
            ""
        };
        self.wrong(
            tokens,
            format!("`{said}` is nothing that can be asked for{cure}"),
            near,
        );
    }

    /// A run of words.
    fn worded(&mut self, run: &[Token]) -> Option<(Field, Is)> {
        if let Some((field, taken)) = field_at(run) {
            self.last = Some(field);
            return self.value(field.facts(), &run[taken..]).or_else(|| {
                // What is wrong with nothing is said of the field.
                if taken == run.len()
                    && let Some(last) = self.wrongs.last_mut()
                {
                    last.span = span(run);
                }
                None
            });
        }
        // A word that is nearly a field, with words behind it.
        if let [first, _, ..] = run
            && let Some(typed) = word(first)
            && let Some(meant) = nearly(typed)
        {
            self.wrong(
                &run[..1],
                format!("`{typed}` is nothing that can be asked for; expected quotes round the words, if words are meant"),
                vec![meant],
            );
            return None;
        }
        let field = self.last.unwrap_or(Field::Words);
        if field.facts().takes == Takes::Day {
            let message = format!(
                "what of `{}`? expected a field before it such as `name {}`, or a day",
                self.said(run),
                self.said(run)
            );
            self.wrong(run, message, Vec::new());
            return None;
        }
        self.value(field.facts(), run)
    }

    /// What is said of a field.
    fn value(&mut self, facts: FieldFacts, rest: &[Token]) -> Option<(Field, Is)> {
        let field = facts.field;
        let is = match facts.takes {
            Takes::Number => self.number(field, rest)?,
            Takes::Day => self.day(facts, rest)?,
            Takes::WordsOrNothing if rest.is_empty() => Is::Any,
            Takes::Words | Takes::WordsOrNothing | Takes::Listed => {
                let said = self.words(facts, rest)?;
                if facts.takes == Takes::Listed {
                    self.on_list(field, &said, rest)?;
                }
                Is::Said(said)
            }
        };
        Some((field, is))
    }

    /// Words, quoted or not.
    fn words(&mut self, facts: FieldFacts, rest: &[Token]) -> Option<String> {
        if rest.is_empty() {
            let message = format!(
                "`{}` of what? expected words behind it such as `{}`",
                facts.word, facts.example
            );
            self.wrong(rest, message, Vec::new());
            return None;
        }
        if let Some(from) = (1..rest.len())
            .find(|&from| field_at(&rest[from..]).is_some_and(|(field, _)| field.facts().opens()))
        {
            let said = self.said(&rest[from..=from]).to_owned();
            self.wrong(
                &rest[from..=from],
                format!("`{said}` begins another test; expected `and` or `or` before it, or quotes round all the words"),
                Vec::new(),
            );
            return None;
        }
        self.at = span(rest);
        let said = match rest {
            [
                Token {
                    sort: Sort::Quoted(words),
                    ..
                },
            ] => words.clone(),
            _ => {
                let words: Option<Vec<&str>> = rest.iter().map(word).collect();
                match words {
                    Some(words) => words.join(" "),
                    None => {
                        self.wrong(
                            rest,
                            "a quoted phrase beside other words; expected `and` between, or one pair of quotes round all"
                                .to_owned(),
                            Vec::new(),
                        );
                        return None;
                    }
                }
            }
        };
        if Phrase::new(&said).is_empty() {
            self.wrong(
                rest,
                format!("no word to look for; expected words such as `{}`", facts.example),
                Vec::new(),
            );
            return None;
        }
        Some(said)
    }

    /// That words stand on the list of their field.
    fn on_list(&mut self, field: Field, said: &str, rest: &[Token]) -> Option<()> {
        let listed = match field {
            Field::Structure => listed::structures(said).map(|_| ()),
            Field::Family => listed::family(said).map(|_| ()),
            Field::Verdict => listed::stands(said).map(|_| ()),
            Field::Contains => listed::allergen_named(said).map(|_| ()),
            _ => Ok(()),
        };
        listed
            .map_err(|NotListed { expected, near }| {
                // Where it is near something, the whole list only hides that.
                let cure = if near.is_empty() {
                    format!("; {expected}")
                } else {
                    String::new()
                };
                let message = format!("`{said}` is no {}{cure}", noun(field));
                self.wrong(rest, message, near);
            })
            .ok()
    }

    /// `14`, `under 14 % vol`, `5 to 8`.
    fn number(&mut self, field: Field, rest: &[Token]) -> Option<Is> {
        let facts = field.facts();
        let words: Vec<&str> = rest.iter().map_while(word).collect();
        let begins_number = |w: &&str| {
            w.trim_start_matches(['-', '−'])
                .starts_with(|c: char| c.is_ascii_digit() || c == '.')
        };
        let compares = COMPARES.iter().find(|(said, _)| {
            let said: Vec<&str> = said.split(' ').collect();
            words.len() >= said.len() && said.iter().zip(&words).all(|(a, b)| *a == key(b))
        });
        let taken = compares.map_or(0, |(said, _)| said.split(' ').count());
        let behind = &rest[taken..];
        let to = behind
            .iter()
            .position(|t| word(t).is_some_and(|w| matches!(key(w).as_str(), "to" | "–") || w == "-"));
        if !words.get(taken).is_some_and(begins_number) {
            let message = format!(
                "`{}` is a figure; expected a comparison such as `{}`, or quotes round the words, if words are meant",
                facts.word, facts.example
            );
            self.wrong(rest, message, Vec::new());
            return None;
        }
        if let Some(to) = to.filter(|_| matches!(compares, None | Some((_, Comparison::From)))) {
            let mut low = self.limit(field, &behind[..to])?;
            let high = self.limit(field, &behind[to + 1..])?;
            low.unit = low.unit.or(high.unit);
            if low.unit == high.unit && low.number > high.number {
                self.wrong(
                    behind,
                    "the larger number first; expected the smaller".to_owned(),
                    Vec::new(),
                );
                return None;
            }
            return Some(Is::Between(low, high));
        }
        let limit = self.limit(field, behind)?;
        Some(Is::Compared(compares.map_or(Comparison::Is, |(_, c)| *c), limit))
    }

    fn limit(&mut self, field: Field, tokens: &[Token]) -> Option<Limit> {
        let said = self.said(tokens).to_owned();
        let read = Limit::read(field, &said);
        read.map_err(|expected| {
            // `strength < 14 pours lime`
            match begun(tokens) {
                Some(from) if from > 0 => self.begins(&tokens[from..=from]),
                _ => {
                    let facts = field.facts();
                    let message = format!("`{said}`: {expected} such as `{}`", facts.example);
                    let message = message.replacen(": expected", "; expected", 1);
                    self.wrong(tokens, message, Vec::new());
                }
            }
        })
        .ok()
    }

    /// `since 2026-10-01`
    fn day(&mut self, facts: FieldFacts, rest: &[Token]) -> Option<Is> {
        let words: Vec<&str> = rest.iter().filter_map(word).collect();
        let is = match words.as_slice() {
            [when, said] if rest.len() == 2 => day(said).and_then(|day| match key(when).as_str() {
                "since" | "from" => Some(Is::Since(day)),
                "before" => Some(Is::Before(day)),
                _ => None,
            }),
            _ => None,
        };
        if is.is_none() {
            let message = format!(
                "`{}` when? expected `since` or `before` and a day such as `{}`",
                facts.word, facts.example
            );
            self.wrong(rest, message, Vec::new());
        }
        is
    }
}

/// Where a field begins within words, the first word aside.
fn begun(tokens: &[Token]) -> Option<usize> {
    (1..tokens.len()).find(|&from| field_at(&tokens[from..]).is_some())
}

/// What one of a list is called.
fn noun(field: Field) -> &'static str {
    match field {
        Field::Contains => "allergen to declare",
        Field::Verdict => "verdict",
        Field::Family => "family",
        _ => "structure",
    }
}

/// The fields nearest to a word.
fn near_fields(said: &str) -> Vec<String> {
    let all: Vec<FieldFacts> = fields().collect();
    let words = all
        .iter()
        .flat_map(|f| std::iter::once(&f.word).chain(f.also).map(|w| (*w, f.word)));
    nearest(said, words, 3)
}

/// The field that a word of five letters or more is one slip away from.
fn nearly(typed: &str) -> Option<String> {
    let typed = key(typed);
    if typed.chars().count() < 5 {
        return None;
    }
    fields()
        .find(|f| {
            std::iter::once(&f.word)
                .chain(f.also)
                .any(|w| strsim::osa_distance(w, &typed) == 1)
        })
        .map(|f| f.word.to_owned())
}
