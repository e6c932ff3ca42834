//! The words, quoted phrases, brackets and comparisons that a question is made of, and the tree that `and`, `or` and `not`
//! make of them: what it means is told later, so that every fault of a question is told in one run.

use std::ops::Range;

use winnow::combinator::{alt, cut_err, delimited, eof, opt, peek, preceded, repeat};
use winnow::error::{ErrMode, ParserError};
use winnow::prelude::*;
use winnow::stream::{LocatingSlice, Stream, TokenSlice};
use winnow::token::{any, none_of, one_of, take_till, take_while};

use super::Comparison;
use crate::names::key;
use crate::spec::Unplaced;

/// The longest question that is read, bytes.
const LONGEST: usize = 10_000;
/// So many brackets or `not` within each other.
const DEEPEST: usize = 60;

/// A piece of a question, with where it stands.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub sort: Sort,
    pub span: Range<usize>,
}

/// What sort of piece.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Sort {
    /// A word as it is typed.
    Word(String),
    /// What stands between quotation marks.
    Quoted(String),
    /// A quotation mark that is never closed.
    Unclosed,
    /// `<`, `at most` …
    Compares(Comparison),
    /// `!=`.
    Differs,
    And,
    Or,
    Not,
    Open,
    Close,
}

/// Marks that end a word.
fn is_mark(c: char) -> bool {
    matches!(
        c,
        '(' | ')' | '<' | '>' | '=' | '≤' | '≥' | '≠' | '"' | '“' | '”' | '„'
    )
}

fn is_of_word(c: char) -> bool {
    !c.is_whitespace() && !is_mark(c)
}

type Text<'a> = LocatingSlice<&'a str>;

/// Words between marks of the same sort; two marks beside each other stand for one.
fn quoted(input: &mut Text<'_>) -> ModalResult<Sort> {
    let straight = delimited(
        '"',
        repeat(0.., alt((none_of('"'), "\"\"".value('"')))).fold(String::new, |mut text, c: char| {
            text.push(c);
            text
        }),
        '"',
    );
    let curly = delimited(
        one_of(['“', '”', '„']),
        take_till(0.., ['“', '”']).map(str::to_owned),
        one_of(['“', '”']),
    );
    // An apostrophe within a word is none: only one before a word opens, and only one behind a word closes.
    let single = delimited(
        '\'',
        take_till(1.., ['\'', '"']).map(str::to_owned),
        (
            '\'',
            peek(alt((
                eof.void(),
                one_of(|c: char| c.is_whitespace() || is_mark(c)).void(),
            ))),
        ),
    );
    alt((straight, curly, single)).map(Sort::Quoted).parse_next(input)
}

fn mark(input: &mut Text<'_>) -> ModalResult<Sort> {
    use Comparison::{Above, Below, From, Is, UpTo};
    alt((
        '('.value(Sort::Open),
        ')'.value(Sort::Close),
        alt(("<=", "=<", "≤")).value(Sort::Compares(UpTo)),
        alt((">=", "=>", "≥")).value(Sort::Compares(From)),
        alt(("!=", "<>", "≠")).value(Sort::Differs),
        '<'.value(Sort::Compares(Below)),
        '>'.value(Sort::Compares(Above)),
        alt(("==", "=")).value(Sort::Compares(Is)),
        one_of(['"', '“', '”', '„']).value(Sort::Unclosed),
    ))
    .parse_next(input)
}

fn word(input: &mut Text<'_>) -> ModalResult<Sort> {
    take_while(1.., is_of_word)
        .map(|word: &str| match key(word).as_str() {
            "and" | "&" => Sort::And,
            "or" => Sort::Or,
            "not" => Sort::Not,
            _ => Sort::Word(word.to_owned()),
        })
        .parse_next(input)
}

fn spaces<'a>(input: &mut Text<'a>) -> ModalResult<&'a str> {
    take_while(0.., char::is_whitespace).parse_next(input)
}

/// Every piece of a question.
fn tokens(text: &str) -> Option<Vec<Token>> {
    let piece = alt((quoted, mark, word))
        .with_span()
        .map(|(sort, span)| Token { sort, span });
    delimited(spaces, repeat(0.., (piece, spaces).map(|(piece, _)| piece)), eof)
        .parse(LocatingSlice::new(text))
        .ok()
}

/// What `and`, `or`, `not` and brackets make of a question.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Tree {
    /// Words that ask for one thing.
    Run(Vec<Token>),
    /// Words, and in brackets behind them what each of several is asked of.
    Of(Vec<Token>, Box<Tree>),
    Not(Box<Tree>),
    All(Vec<Tree>),
    Any(Vec<Tree>),
}

type Tokens<'t> = TokenSlice<'t, Token>;

/// Where the tree ends: so many tokens before the end of the question.
#[derive(Debug)]
struct Stop {
    left: usize,
}

impl ParserError<Tokens<'_>> for Stop {
    type Inner = Stop;

    fn from_input(input: &Tokens<'_>) -> Stop {
        Stop {
            left: input.eof_offset(),
        }
    }

    fn into_inner(self) -> Result<Stop, Stop> {
        Ok(self)
    }
}

type Read<T> = Result<T, ErrMode<Stop>>;

fn is<'t>(sort: Sort) -> impl Parser<Tokens<'t>, (), ErrMode<Stop>> {
    any.verify(move |token: &&Token| token.sort == sort).void()
}

/// One of several, or the only one of them by itself.
fn several(first: Tree, more: Vec<Tree>, all: fn(Vec<Tree>) -> Tree) -> Tree {
    if more.is_empty() {
        return first;
    }
    let mut parts = vec![first];
    parts.extend(more);
    all(parts)
}

fn either(input: &mut Tokens<'_>) -> Read<Tree> {
    let first = both.parse_next(input)?;
    let more = repeat(0.., preceded(is(Sort::Or), cut_err(both))).parse_next(input)?;
    Ok(several(first, more, Tree::Any))
}

fn both(input: &mut Tokens<'_>) -> Read<Tree> {
    let first = one.parse_next(input)?;
    let more = repeat(0.., preceded(is(Sort::And), cut_err(one))).parse_next(input)?;
    Ok(several(first, more, Tree::All))
}

fn one(input: &mut Tokens<'_>) -> Read<Tree> {
    let none = preceded(is(Sort::Not), cut_err(one)).map(|tree| Tree::Not(Box::new(tree)));
    alt((none, bracketed, asked)).parse_next(input)
}

fn bracketed(input: &mut Tokens<'_>) -> Read<Tree> {
    delimited(is(Sort::Open), cut_err(either), cut_err(is(Sort::Close))).parse_next(input)
}

fn asked(input: &mut Tokens<'_>) -> Read<Tree> {
    let piece = any.verify(|token: &&Token| {
        matches!(
            token.sort,
            Sort::Word(_) | Sort::Quoted(_) | Sort::Compares(_) | Sort::Differs
        )
    });
    let run: Vec<Token> = repeat(1.., piece.map(Token::clone)).parse_next(input)?;
    Ok(match opt(bracketed).parse_next(input)? {
        Some(tree) => Tree::Of(run, Box::new(tree)),
        None => Tree::Run(run),
    })
}

/// How deep brackets and `not` stand within each other, at most.
fn depth(tokens: &[Token]) -> usize {
    let mut deepest = 0;
    // The `not` before each bracket that is open, and those before what comes next.
    let (mut open, mut nots): (Vec<usize>, usize) = (Vec::new(), 0);
    for token in tokens {
        match token.sort {
            Sort::Open => open.push(std::mem::take(&mut nots)),
            Sort::Close => {
                open.pop();
                nots = 0;
            }
            Sort::Not => nots += 1,
            _ => nots = 0,
        }
        deepest = deepest.max(open.len() + open.iter().sum::<usize>() + nots);
    }
    deepest
}

/// The tree of a question, or what keeps it from having one.
pub(super) fn tree(text: &str) -> Result<Tree, Unplaced> {
    if text.len() > LONGEST {
        return Err(Unplaced::reject(
            0..0,
            format!("a question of {} bytes; expected at most {LONGEST}", text.len()),
        ));
    }
    let Some(tokens) = tokens(text) else {
        return Err(Unplaced::reject(
            0..text.len(),
            "not words and marks; expected a question",
        ));
    };
    if let Some(open) = tokens.iter().find(|t| t.sort == Sort::Unclosed) {
        return Err(Unplaced::reject(
            open.span.clone(),
            "a quotation mark that is never closed; expected another behind the words",
        ));
    }
    if depth(&tokens) > DEEPEST {
        return Err(Unplaced::reject(
            0..0,
            format!("brackets and `not` more than {DEEPEST} deep; expected fewer"),
        ));
    }
    let mut input = TokenSlice::new(&tokens);
    let (stop, read) = match either(&mut input) {
        Ok(tree) if input.is_empty() => return Ok(tree),
        Ok(_) => (input.eof_offset(), true),
        Err(ErrMode::Backtrack(stop) | ErrMode::Cut(stop)) => (stop.left, false),
        Err(ErrMode::Incomplete(_)) => (0, false),
    };
    Err(stopped(text, &tokens, stop, read))
}

/// Why a tree ends `left` tokens before the end of its question; `read` where what stands before makes a whole.
fn stopped(text: &str, tokens: &[Token], left: usize, read: bool) -> Unplaced {
    let at = tokens.len().saturating_sub(left);
    let before = at.checked_sub(1).and_then(|i| tokens.get(i));
    let Some(token) = tokens.get(at) else {
        let end = text.trim_end().len();
        let opened = tokens.iter().filter(|t| t.sort == Sort::Open).count();
        let closed = tokens.iter().filter(|t| t.sort == Sort::Close).count();
        let joins = |t: &&Token| matches!(t.sort, Sort::And | Sort::Or | Sort::Not | Sort::Open);
        return match before.filter(joins) {
            Some(join) => Unplaced::reject(
                join.span.clone(),
                format!(
                    "nothing behind `{}`; expected something to ask for",
                    &text[join.span.clone()]
                ),
            ),
            None if opened > closed => {
                let open = innermost_open(tokens);
                Unplaced::reject(
                    open.unwrap_or(end..end),
                    "a bracket that is never closed; expected `)` behind what belongs in it",
                )
            }
            None => Unplaced::reject(
                end..end,
                "nothing is asked; expected something such as `pours lime and not egg`",
            ),
        };
    };
    let said = &text[token.span.clone()];
    let message = match token.sort {
        Sort::Close
            if tokens[..at].iter().filter(|t| t.sort == Sort::Open).count()
                <= tokens[..at].iter().filter(|t| t.sort == Sort::Close).count() =>
        {
            "`)` closes no bracket; expected `(` before what belongs in it".to_owned()
        }
        Sort::Close => "nothing before `)`; expected something to ask for".to_owned(),
        Sort::Not if read => {
            "`not` follows without a word; expected `and not`, or quotes round the words it belongs to"
                .to_owned()
        }
        _ if read => format!("`{said}` follows without a word; expected `and` or `or` before it"),
        _ => format!("`{said}` joins nothing; expected something to ask for before it"),
    };
    Unplaced::reject(token.span.clone(), message)
}

/// The last bracket that is opened and not closed.
fn innermost_open(tokens: &[Token]) -> Option<Range<usize>> {
    let mut open = Vec::new();
    for token in tokens {
        match token.sort {
            Sort::Open => open.push(token.span.clone()),
            Sort::Close => {
                open.pop();
            }
            _ => {}
        }
    }
    open.pop()
}
