//! Lines that hold more than a pour: several steps of work, a glass, a whole spec.

use std::ops::Range;

use super::{Read, Reader, span, unit_at};
use crate::spec::amounts;
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Assumption, Step, Wrong};

impl Reader<'_> {
    /// `60 rum / 22 lime / 15 2:1 - shake - coupe`: a whole spec on one line, cut at its slashes.
    pub(super) fn slashed(&self, tokens: &[Token]) -> Option<Result<Read, Wrong>> {
        let spaced = |i: usize| tokens[i].spaced && tokens.get(i + 1).is_some_and(|t| t.spaced);
        let cuts: Vec<usize> = (1..tokens.len())
            .filter(|&i| (tokens[i].is_mark('/') || tokens[i].is_hyphen()) && spaced(i))
            .collect();
        let pieces = cut(tokens, &cuts);
        let measured = |piece: &&&[Token]| matches!(amounts::phrase(piece, 0), Some(Ok(_)));
        if !cuts.iter().any(|&i| tokens[i].is_mark('/')) || pieces.iter().filter(measured).count() < 2 {
            return None;
        }
        Some(self.each_piece(&pieces))
    }

    pub(super) fn each_piece(&self, pieces: &[&[Token]]) -> Result<Read, Wrong> {
        let mut read = Read::default();
        for piece in pieces {
            match self.glass(piece) {
                Some(glass) => read.glass = Some(glass),
                None => {
                    let found = self.item(piece)?;
                    read.lines.extend(found.lines);
                    read.glass = found.glass.or(read.glass);
                }
            }
        }
        Ok(read)
    }

    /// `strain into a chilled coupe`, `serve in a rocks glass`, `coupe`: a glass at the end of a step, or alone.
    pub(super) fn ending_in_a_glass(&self, tokens: &[Token]) -> Option<Result<Read, Wrong>> {
        if unmeasured(tokens)
            && let Some(glass) = self.glass(tokens)
        {
            return Some(Ok(Read {
                lines: Vec::new(),
                glass: Some(glass),
            }));
        }
        let is_work = self.work(tokens).is_some();
        let joint = tokens
            .iter()
            .rposition(|t| matches!(t.word().as_str(), "in" | "into"))
            .filter(|&i| i > 0 && is_work)?;
        let glass = self.glass(&tokens[joint..])?;
        Some(self.item(&tokens[..joint]).map(|read| Read {
            glass: Some(glass),
            ..read
        }))
    }

    /// A glass that stands by itself between the steps.
    pub(super) fn glass(&self, piece: &[Token]) -> Option<(String, Range<usize>)> {
        let from = piece.iter().position(|t| {
            !matches!(
                t.word().as_str(),
                "in" | "into" | "serve" | "a" | "an" | "the" | "chilled" | "cold"
            )
        })?;
        let name = self.raw(&piece[from..]);
        let name = name.trim_end_matches('.');
        crate::tables::Glass::known(name)?;
        Some((name.to_owned(), span(&piece[from..])))
    }

    /// `shake, strain`, `shake and fine strain over ice`, `stir / coupe / lemon oil`: several steps of work on
    /// one line, perhaps with the glass, the garnish, or a pour among them (which is said).
    pub(super) fn several_works(&self, tokens: &[Token]) -> Option<Result<Read, Wrong>> {
        let is_work = |tokens: &[Token]| self.work(tokens).is_some();
        if !is_work(tokens) {
            return None;
        }
        let sentence_end = |i: usize| {
            i > 0 && matches!(&tokens[i - 1].kind, Kind::Word(w) if w.ends_with('.')) && tokens[i].spaced
        };
        let mut pieces: Vec<&[Token]> = Vec::new();
        let mut from = 0;
        for i in 0..tokens.len() {
            let mark = [',', ';', '/', '+'].into_iter().any(|m| tokens[i].is_mark(m))
                || (tokens[i].is_hyphen() && tokens[i].spaced);
            let joint = mark || matches!(tokens[i].word().as_str(), "and" | "then");
            let over = tokens[i].word() == "over";
            if i <= from || !(joint || over || sentence_end(i)) {
                continue;
            }
            let mut next = if joint { i + 1 } else { i };
            while tokens
                .get(next)
                .is_some_and(|t| matches!(t.word().as_str(), "then" | "and"))
            {
                next += 1;
            }
            let Some(rest) = tokens.get(next..).filter(|r| !r.is_empty()) else {
                continue;
            };
            let stop = (1..rest.len())
                .find(|&j| [',', ';', '/'].into_iter().any(|m| rest[j].is_mark(m)) || sentence_end(next + j))
                .unwrap_or(rest.len());
            let begins = is_work(rest)
                || (mark || sentence_end(i))
                    && (self.glass(&rest[..stop]).is_some()
                        || names_a_garnish(&rest[..stop])
                        || measured_pour(rest));
            if begins {
                pieces.push(&tokens[from..i]);
                from = next;
            }
        }
        if pieces.is_empty() {
            return None;
        }
        pieces.push(&tokens[from..]);
        let mut read = Read::default();
        for piece in pieces {
            if let Some(step) = self.work(piece) {
                match step {
                    Ok(step) => read.lines.push(self.line(step, piece, Vec::new())),
                    Err(wrong) => return Some(Err(wrong)),
                }
            } else if let Some(glass) = self.glass(piece) {
                read.glass = Some(glass);
            } else if names_a_garnish(piece) {
                let words = self.raw(piece);
                let said = Assumption::new(
                    format!("`{words}`"),
                    "read as the garnish",
                    "write `garnish …` on a line of its own",
                );
                read.lines
                    .push(self.line(Step::Garnish(words), piece, vec![said]));
            } else {
                match self.pours(piece) {
                    Ok(mut pours) => {
                        for pour in &mut pours {
                            let words = self.raw(piece);
                            pour.assumptions.push(Assumption::new(
                                format!("`{words}`"),
                                "a pour found among the words of the method",
                                "write it on a line of its own",
                            ));
                        }
                        read.lines.extend(pours);
                    }
                    Err(wrong) => return Some(Err(wrong)),
                }
            }
        }
        Some(Ok(read))
    }
}

/// Words that are put on a drink and not in it.
pub(super) fn names_a_garnish(tokens: &[Token]) -> bool {
    const GARNISHES: [&str; 16] = [
        "zest", "twist", "oil", "peel", "wheel", "wedge", "cherry", "olive", "nutmeg", "garnish", "rim",
        "sprig", "flag", "horse", "crown", "flower",
    ];
    let numbered = tokens.iter().any(Token::is_number);
    !numbered && tokens.iter().any(|t| GARNISHES.contains(&t.word().as_str()))
}

/// Without any number.
pub(super) fn unmeasured(tokens: &[Token]) -> bool {
    !tokens.iter().any(Token::is_number)
}

/// An amount with its unit, as a pour begins.
fn measured_pour(tokens: &[Token]) -> bool {
    matches!(amounts::phrase(tokens, 0), Some(Ok(phrase)) if unit_at(tokens, phrase.next).0.is_some())
}

/// The pieces between the tokens at `cuts`, those left out.
pub(super) fn cut<'a>(tokens: &'a [Token], cuts: &[usize]) -> Vec<&'a [Token]> {
    let mut pieces = Vec::new();
    let mut from = 0;
    for &at in cuts {
        pieces.push(&tokens[from..at]);
        from = at + 1;
    }
    pieces.push(&tokens[from..]);
    pieces.retain(|p| !p.is_empty());
    pieces
}
