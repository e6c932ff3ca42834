//! One line of a spec changed as its writer says: another in its place, one more, one less, a particular set. Every other
//! byte of the text stays as it was typed.

use std::ops::Range;

use super::{
    Drink, PourMethod, Reading, Settings, Source, Step, Typed, particular_named, particulars, read_under,
};
use crate::names::{key, nearest};

/// What is to be changed in a drink.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// Another line in the place of one.
    Replace {
        /// The line as it stands, its mark aside.
        old: String,
        /// What is to stand there.
        new: String,
    },
    /// One more line: a pour behind the pours, anything else at the end.
    Add(String),
    /// A line taken away.
    Drop(String),
    /// A particular: `glass`, `price`, `garnish`.
    Set {
        /// Which.
        key: String,
        /// What it is to be; empty to take it away.
        value: String,
    },
}

/// Why a text cannot be changed so. Nothing is.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CannotChange {
    /// The text has no such drink.
    #[error("{file} holds no drink {drink}")]
    NoDrink {
        /// The text.
        file: String,
        /// The drink.
        drink: String,
    },
    /// The drink has no such line.
    #[error("no line `{line}` in {drink}{}", listed(lines))]
    NoLine {
        /// What was looked for.
        line: String,
        /// The drink.
        drink: String,
        /// Its lines, the nearest where some are near.
        lines: Vec<String>,
    },
    /// It has several.
    #[error("`{line}` stands in lines {}: write the whole line, or edit the text", numbers.iter().map(ToString::to_string).collect::<Vec<_>>().join(" and "))]
    Several {
        /// What was looked for.
        line: String,
        /// Where, lines of the text from 1.
        numbers: Vec<usize>,
    },
    /// What is to go, or to be put beside, stands in a line with other things.
    #[error("`{line}` stands in a line with other things, `{whole}`: change the whole line")]
    Shared {
        /// What was looked for.
        line: String,
        /// The line.
        whole: String,
    },
    /// A drink has no such particular.
    #[error("`{key}` is no particular of a drink{}", near_or(near))]
    NoParticular {
        /// As it was said.
        key: String,
        /// The nearest.
        near: Vec<String>,
    },
    /// A new line that is none, or more than one.
    #[error("`{0}` is not one line; expected the words of a single line")]
    NotALine(String),
    /// There is nothing to take away.
    #[error("{drink} has no `{key}` to take away")]
    NothingSet {
        /// Which particular.
        key: String,
        /// The drink.
        drink: String,
    },
    /// It is so already.
    #[error("that is what it says already; nothing changes")]
    Nothing,
    /// It would be another drink by name.
    #[error("a name is not changed so")]
    Name,
}

fn listed(lines: &[String]) -> String {
    if lines.is_empty() {
        return String::new();
    }
    let all: Vec<String> = lines.iter().map(|line| format!("`{line}`")).collect();
    format!("; nearest: {}", all.join(", "))
}

fn near_or(near: &[String]) -> String {
    if near.is_empty() {
        format!(
            "; expected one of: {}",
            particulars().collect::<Vec<_>>().join(", ")
        )
    } else {
        format!("; nearest: {}", near.join(", "))
    }
}

/// A piece of a section that can be pointed at: a line without its mark, or one step of a line of several.
struct Piece {
    /// Where it stands.
    span: Range<usize>,
    /// The line it stands in, mark and all, without its end.
    line: Range<usize>,
}

impl Piece {
    fn is_whole(&self, text: &str) -> bool {
        let before = &text[self.line.start..self.span.start];
        let after = &text[self.span.end..self.line.end];
        mark_of(before).len() == before.len() && after.trim().is_empty()
    }
}

/// What stands before the words of a line: spaces and the mark of a list.
fn mark_of(line: &str) -> &str {
    const MARKS: [char; 7] = ['-', '*', '+', '•', '‣', '◦', '–'];
    let indent = line.len() - line.trim_start().len();
    let rest = &line[indent..];
    let length = match rest.chars().next() {
        Some(c) if MARKS.contains(&c) && rest[c.len_utf8()..].starts_with([' ', '\t']) => {
            let behind = &rest[c.len_utf8()..];
            c.len_utf8() + behind.len() - behind.trim_start().len()
        }
        // `- ` with nothing behind it yet.
        Some(c) if MARKS.contains(&c) && rest[c.len_utf8()..].trim().is_empty() => rest.len(),
        _ => 0,
    };
    &line[..indent + length]
}

/// A drink of a text, with the lines it stands in.
struct Section<'a> {
    source: &'a Source,
    drink: Drink,
    /// Its lines below the heading, without their ends; comments left out.
    lines: Vec<Range<usize>>,
    /// Where its heading ends, or, in a text without headings, its name.
    heading_end: usize,
}

impl<'a> Section<'a> {
    fn find(source: &'a Source, name: &str, settings: &Settings) -> Result<Section<'a>, CannotChange> {
        let none = || CannotChange::NoDrink {
            file: source.file.clone(),
            drink: name.to_owned(),
        };
        let reading: Reading = read_under(source, settings);
        let wanted = key(name);
        let is_it = |typed: &&Typed| key(&typed.name) == wanted;
        // A spec by itself has one section, which may have no name of its own.
        let typed = match reading.sections.as_slice() {
            [only] if !only.headed => only,
            sections => sections.iter().find(is_it).ok_or_else(none)?,
        };
        let drink = reading
            .book
            .drinks()
            .chain(reading.faulty.iter().filter(|d| d.makes.is_none()))
            .find(|d| d.line == typed.line)
            .cloned()
            .ok_or_else(none)?;
        // Where the name ends: with its line, or where a text without a name begins.
        let heading_end = if typed.headed {
            source
                .lines()
                .find(|line| line.start <= drink.span.end && drink.span.end <= line.end)
                .map_or(drink.span.end, |line| line.end)
        } else {
            typed.range.start
        };
        let mut in_comment = false;
        let lines = source
            .lines()
            .filter(|line| heading_end < line.end && line.start < typed.range.end)
            .filter(|line| {
                let text = source.text[line.clone()].trim();
                let hidden = in_comment || text.starts_with("<!--");
                in_comment = hidden && !text.ends_with("-->");
                !hidden && !text.is_empty()
            })
            .collect();
        Ok(Section {
            source,
            drink,
            lines,
            heading_end,
        })
    }

    fn words(&self, line: &Range<usize>) -> Range<usize> {
        let text = &self.source.text[line.clone()];
        let mark = mark_of(text).len();
        line.start + mark..line.start + text.trim_end().len().max(mark)
    }

    /// Everything that can be pointed at: whole lines first, then the steps of lines that hold several.
    fn pieces(&self) -> Vec<Piece> {
        let mut all: Vec<Piece> = self
            .lines
            .iter()
            .map(|line| Piece {
                span: self.words(line),
                line: line.clone(),
            })
            .collect();
        for step in self.drink.lines() {
            let within = |line: &&Range<usize>| line.start <= step.span.start && step.span.end <= line.end;
            if let Some(line) = self.lines.iter().find(within)
                && !all.iter().any(|piece| piece.span == step.span)
            {
                all.push(Piece {
                    span: step.span.clone(),
                    line: line.clone(),
                });
            }
        }
        all
    }

    /// The one piece that is these words, spacing, case and accents aside.
    fn piece(&self, said: &str) -> Result<Piece, CannotChange> {
        // The mark of the line may be said with it.
        let bare = &said[mark_of(said).len()..];
        let wanted = key(bare.trim());
        let pieces = self.pieces();
        let text = |piece: &Piece| self.source.text[piece.span.clone()].trim().to_owned();
        let (mut found, others): (Vec<Piece>, Vec<Piece>) =
            pieces.into_iter().partition(|piece| key(&text(piece)) == wanted);
        // A line that holds one step is found twice: as a line and as a step.
        found.dedup_by(|b, a| a.line == b.line && a.is_whole(&self.source.text));
        match found.len() {
            1 => found.pop().ok_or(CannotChange::Nothing),
            0 => {
                let all: Vec<String> = others.iter().map(text).collect();
                let near = nearest(bare, all.iter().map(|line| (line.as_str(), line.as_str())), 3);
                Err(CannotChange::NoLine {
                    line: bare.trim().to_owned(),
                    drink: self.drink.name.clone(),
                    lines: if near.is_empty() { all } else { near },
                })
            }
            _ => Err(CannotChange::Several {
                line: bare.trim().to_owned(),
                numbers: found
                    .iter()
                    .map(|piece| self.source.position(piece.span.start).0)
                    .collect(),
            }),
        }
    }

    /// A whole line taken away with its end.
    fn without(&self, line: &Range<usize>) -> (Range<usize>, String) {
        let behind = &self.source.text[line.end..];
        let end = ["\r\n", "\n", "\r"]
            .into_iter()
            .find(|end| behind.starts_with(end))
            .map_or(0, str::len);
        if end > 0 {
            return (line.start..line.end + end, String::new());
        }
        // The last line of a text without an end goes with the end of the line before it.
        let before = &self.source.text[..line.start];
        let start = before.len() - (before.len() - before.trim_end_matches(['\r', '\n']).len()).min(1);
        (start..line.end, String::new())
    }

    fn line_end(&self) -> &'static str {
        let text = &self.source.text;
        if text.contains("\r\n") {
            "\r\n"
        } else if text.contains('\r') && !text.contains('\n') {
            "\r"
        } else {
            "\n"
        }
    }

    /// The line of a particular, and where its value stands in it.
    fn particular_line(&self, name: &str) -> Result<Option<[Range<usize>; 2]>, CannotChange> {
        let mut found: Vec<[Range<usize>; 2]> = Vec::new();
        for line in &self.lines {
            let words = self.words(line);
            let text = &self.source.text[words.clone()];
            if let Some((said, value)) = text.split_once(':')
                && particular_named(said.trim_matches(['*', '_', ' '])) == Some(name)
            {
                let value_start = words.end - value.trim_start().len();
                found.push([line.clone(), value_start..words.end]);
            }
        }
        match found.len() {
            0 | 1 => Ok(found.pop()),
            _ => Err(CannotChange::Several {
                line: format!("{name}:"),
                numbers: found
                    .iter()
                    .map(|[line, _]| self.source.position(line.start).0)
                    .collect(),
            }),
        }
    }

    fn set(&self, name: &str, value: &str) -> Result<(Range<usize>, String), CannotChange> {
        let particular = particular_named(name).ok_or_else(|| CannotChange::NoParticular {
            key: name.trim().to_owned(),
            near: nearest(name, particulars().map(|p| (p, p)), 3),
        })?;
        let value = one_line(value)?;
        match self.particular_line(particular)? {
            Some([line, _]) if value.is_empty() => Ok(self.without(&line)),
            Some([_, old]) => Ok((old, value.to_owned())),
            None if value.is_empty() => Err(CannotChange::NothingSet {
                key: particular.to_owned(),
                drink: self.drink.name.clone(),
            }),
            None => {
                // Behind the last particular that stands above the steps, else under the heading.
                let steps = self
                    .drink
                    .lines()
                    .map(|l| l.span.start)
                    .min()
                    .unwrap_or(usize::MAX);
                let above = |line: &&Range<usize>| line.end <= steps;
                let is_particular = |line: &Range<usize>| {
                    let text = &self.source.text[self.words(line)];
                    text.split_once(':')
                        .is_some_and(|(said, _)| particular_named(said).is_some())
                };
                let at = self
                    .lines
                    .iter()
                    .take_while(above)
                    .filter(|line| is_particular(line))
                    .map(|line| line.end)
                    .last()
                    .unwrap_or(self.heading_end);
                Ok((at..at, format!("{}{particular}: {value}", self.line_end())))
            }
        }
    }

    fn add(&self, said: &str) -> Result<(Range<usize>, String), CannotChange> {
        let new = one_line(&said[mark_of(said).len()..])?;
        if new.is_empty() {
            return Err(CannotChange::NotALine(said.to_owned()));
        }
        // `tags: low` is a particular, and stands where those stand.
        if mark_of(said).is_empty()
            && let Some((name, value)) = new.split_once(':')
            && let Some(particular) = particular_named(name.trim_matches(['*', '_', ' ']))
        {
            match self.particular_line(particular) {
                Ok(None) => return self.set(particular, value),
                Ok(Some([line, _])) => {
                    return Ok((line.end..line.end, format!("{}{new}", self.line_end())));
                }
                Err(_) => {}
            }
        }
        let lines: Vec<(&Step, Range<usize>)> = self
            .drink
            .lines()
            .filter_map(|step| {
                let within =
                    |line: &&Range<usize>| line.start <= step.span.start && step.span.end <= line.end;
                Some((&step.step, self.lines.iter().find(within)?.clone()))
            })
            .collect();
        let goes_in = |step: &Step| matches!(step, Step::Pour(pour) if pour.place == PourMethod::In);
        // Behind the pours that stand before the last work on them: what is put on afterwards is another matter.
        let behind = if is_poured_in(new) {
            let work = lines.iter().rposition(|(step, _)| matches!(step, Step::Work(_)));
            let before = &lines[..work.unwrap_or(lines.len())];
            before
                .iter()
                .rev()
                .find(|(step, _)| goes_in(step))
                .or(before.last())
        } else {
            lines.last()
        };
        let (at, mark) = match behind {
            Some((_, line)) => (line.end, mark_of(&self.source.text[line.clone()])),
            None => (self.lines.last().map_or(self.heading_end, |line| line.end), "- "),
        };
        Ok((at..at, format!("{}{mark}{new}", self.line_end())))
    }

    fn edit(&self, change: &Edit) -> Result<(Range<usize>, String), CannotChange> {
        match change {
            Edit::Replace { old, new } => {
                let piece = self.piece(old)?;
                let new = one_line(&new[mark_of(new).len()..])?;
                if new.is_empty() {
                    return Err(CannotChange::NotALine(new.to_owned()));
                }
                Ok((piece.span, new.to_owned()))
            }
            Edit::Drop(old) => {
                let piece = self.piece(old)?;
                if !piece.is_whole(&self.source.text) {
                    return Err(CannotChange::Shared {
                        line: self.source.text[piece.span].to_owned(),
                        whole: self.source.text[piece.line].trim().to_owned(),
                    });
                }
                Ok(self.without(&piece.line))
            }
            Edit::Add(new) => self.add(new),
            Edit::Set { key, value } => self.set(key, value),
        }
    }
}

fn one_line(text: &str) -> Result<&str, CannotChange> {
    let text = text.trim();
    if text.contains(['\n', '\r']) || text.starts_with('#') || text.starts_with("<!--") {
        return Err(CannotChange::NotALine(text.to_owned()));
    }
    Ok(text)
}

/// Whether a line by itself is a pour into what is being worked, and no top or rinse.
fn is_poured_in(line: &str) -> bool {
    let source = Source::new("line", format!("## line\n- {line}\n"));
    let reading = super::read(&source);
    let drinks = reading.book.drinks().chain(&reading.faulty);
    drinks
        .flat_map(Drink::lines)
        .next()
        .is_some_and(|read| matches!(&read.step, Step::Pour(pour) if pour.place == PourMethod::In))
}

/// The text of `source` with changes of the drink of that name, one after the other.
///
/// ```
/// use washline_core::spec::{Edit, Settings, Source, changed};
/// let source = Source::new("t", "## Owl\n- 50 ml dry gin\n- 22.5 ml  lemon juice (strained)\n- shake\n");
/// let change = Edit::Replace { old: "50 ML Dry Gin".into(), new: "45 ml dry gin".into() };
/// let text = changed(&source, "owl", &[change], &Settings::default())?;
/// assert_eq!(text, "## Owl\n- 45 ml dry gin\n- 22.5 ml  lemon juice (strained)\n- shake\n");
/// # Ok::<(), washline_core::spec::CannotChange>(())
/// ```
///
/// # Errors
/// The first change that cannot be made, with why.
pub fn changed(
    source: &Source,
    drink: &str,
    changes: &[Edit],
    settings: &Settings,
) -> Result<String, CannotChange> {
    let mut source = source.clone();
    let before = source.text.clone();
    for change in changes {
        let (span, new) = Section::find(&source, drink, settings)?.edit(change)?;
        let mut text = source.text.clone();
        text.replace_range(span, &new);
        source = Source::new(source.file.clone(), text);
    }
    if source.text == before {
        return Err(CannotChange::Nothing);
    }
    Ok(source.text)
}
