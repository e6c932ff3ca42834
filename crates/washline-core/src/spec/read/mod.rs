//! Reading a book: every fault of it in one run, each with its place.
//!
//! The reading rules: a level-1 heading names the book, a level-2 heading begins a drink (or an
//! ingredient, where `is: an ingredient` stands under it, or a preparation, where `makes: an ingredient`
//! does); `key: value` lines before the first drink are settings, under a drink its particulars; list
//! items (and bare lines that read as a step) are its steps in working order; `>` begins a note,
//! `<!-- … -->` is a comment. Anything else is a fault: a pour is never taken for prose.

use crate::names::key;
use crate::spec::assemble::Part;
use crate::spec::lexicon::OwnNames;
use crate::spec::limits;
use crate::spec::line::{self, Item, LineRead};
use crate::spec::table::{self, Row};
use crate::spec::versions;
use crate::spec::{Book, Drink, Entry, Fault, PourAmount, Section, Settings, Source, Step, Unplaced};
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::ops::Range;

mod as_written;
mod layout;
mod particulars;
mod section;

use layout::{Heading, bullet, goes_on, is_a_log, is_heading_word, is_loose, is_spec_line};
pub use particulars::{particular_named, particulars};

/// What a text came to.
#[derive(Clone, Debug, Default)]
pub struct Reading {
    /// The book, as far as it read. A drink with a fault in it is left out.
    pub book: Book,
    /// The drinks and preparations with a fault in them, as far as they read: their names can be looked up
    /// all the same.
    pub faulty: Vec<Drink>,
    /// Every fault.
    pub faults: Vec<Fault>,
    /// Where each section stands, in order, those with a fault among them.
    pub sections: Vec<Typed>,
}

/// A section as it is typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    /// Its name.
    pub name: String,
    /// The line it begins in, from 1.
    pub line: usize,
    /// Whether its heading is marked as one; in a text without headings, `range` is what stands below the name.
    pub headed: bool,
    /// Its text, as a byte range of the source.
    pub range: Range<usize>,
}

/// Read a book.
#[must_use]
pub fn read(source: &Source) -> Reading {
    read_under(source, &Settings::default())
}

/// Read a book, or a section of one, under settings that hold where it has none of its own.
#[must_use]
pub fn read_under(source: &Source, settings: &Settings) -> Reading {
    read_each(source, settings, &mut |section, _| Some(section))
}

/// What becomes of each section as it ends: whether it is sound comes with it, and what is given back is kept.
pub(crate) type Take<'a> = dyn FnMut(Section, bool) -> Option<Section> + 'a;

/// The same, each section handed over as it ends: all sections of a large book, as they are read, take many times the
/// room of its text.
pub(crate) fn read_each(source: &Source, settings: &Settings, take: &mut Take<'_>) -> Reading {
    let loose = is_loose(source);
    let beyond = limits::beyond(source, loose);
    if !beyond.is_empty() {
        return Reading {
            book: Book::default(),
            faulty: Vec::new(),
            faults: beyond,
            sections: Vec::new(),
        };
    }
    let mut reader = BookReader {
        source,
        book: Book::default(),
        wrongs: Vec::new(),
        draft: None,
        inherited: settings.clone(),
        in_comment: false,
        comment_opened: 0..0,
        section_start: 0,
        loose,
        names: HashSet::new(),
        faulty: Vec::new(),
        typed: Vec::new(),
        sections: Sections::default(),
        lines: line::Memo::default(),
        rows: table::rows(source, loose),
        take,
    };
    for (line, row) in versions::rows(source, loose) {
        reader.rows.insert(line, row);
    }
    reader.sections = Sections::of(source, reader.loose, &settings.own_names);
    let lines: Vec<Range<usize>> = source.lines().collect();
    let mut number = 0;
    while let Some(range) = lines.get(number).cloned() {
        let mut more = 0;
        match reader.rows.remove(&number).filter(|_| reader.draft.is_some()) {
            Some(row) => reader.row(row, range.start),
            None => {
                // A sentence that was broken to fit a page goes on in the next line.
                while reader.draft.is_some()
                    && !reader.in_comment
                    && !reader.rows.contains_key(&(number + more + 1))
                    && goes_on(source, &lines, number + more)
                {
                    more += 1;
                }
                reader.line(number + 1, range.start..lines[number + more].end);
            }
        }
        number += more + 1;
    }
    if reader.in_comment {
        let opened = reader.comment_opened.clone();
        reader.fault(Unplaced::reject(
            opened,
            "a comment that is never closed hides all that follows; expected `-->`",
        ));
    }
    reader.close(source.text.len());
    let sets = reader
        .book
        .opening
        .iter()
        .any(|e| matches!(e, Entry::Particular(..)));
    if reader.book.sections.is_empty() && !sets && reader.faulty.is_empty() && reader.wrongs.is_empty() {
        let message = "nothing to read: no drink stands here; expected `## name` and its steps under it";
        reader.wrongs.push(Unplaced::reject(0..0, message));
    }
    let mut faults: Vec<Fault> = reader.wrongs.into_iter().map(|w| w.at(source)).collect();
    faults.sort_by_key(|f| (f.line, f.column));
    faults.dedup();
    Reading {
        book: reader.book,
        faulty: reader.faulty,
        faults,
        sections: reader.typed,
    }
}

/// A section being read.
struct Draft {
    drink: Drink,
    /// Its lines, in order, those of steps as they were read.
    parts: Vec<Part>,
    /// Each particular with where its value stands.
    particulars: Vec<(String, String, Range<usize>)>,
    faulty: bool,
    defines: bool,
    makes: bool,
    /// The heading of the part of the spec that is being read.
    under: Option<Heading>,
}

struct BookReader<'a> {
    source: &'a Source,
    book: Book,
    wrongs: Vec<Unplaced>,
    draft: Option<Draft>,
    /// Settings that hold where the text has none.
    inherited: Settings,
    in_comment: bool,
    /// Where the comment being read was opened.
    comment_opened: Range<usize>,
    /// Where the section being read begins in the source.
    section_start: usize,
    /// A text without headings: each block between blank lines is a drink, its first line the name.
    loose: bool,
    /// The folded names of the sections so far.
    names: HashSet<String>,
    faulty: Vec<Drink>,
    typed: Vec<Typed>,
    /// What is known of the sections before any is read.
    sections: Sections,
    /// The lines that were read so far.
    lines: line::Memo,
    /// The lines (from 0) that are rows of tables.
    rows: HashMap<usize, Row>,
    take: &'a mut Take<'a>,
}

/// What has to be known of every section before one is read: which make an ingredient, and what they call it.
#[derive(Default)]
struct Sections {
    /// The lines (from 1) of the headings of preparations.
    making: HashSet<usize>,
    own: OwnNames,
}

impl Sections {
    /// In one pass over the text.
    fn of(source: &Source, loose: bool, inherited: &OwnNames) -> Sections {
        let mut making = HashSet::new();
        let mut names: Vec<&str> = Vec::new();
        let mut in_comment = false;
        let mut heading: Option<(usize, &str)> = None;
        let mut after_blank = true;
        for (number, range) in source.lines().enumerate() {
            let text = source.text[range].trim();
            let outside = !in_comment && !text.starts_with("<!--");
            in_comment = (in_comment || text.starts_with("<!--")) && !text.ends_with("-->");
            if !outside {
                continue;
            }
            if let Some(name) = text.strip_prefix("## ") {
                heading = Some((number + 1, name.trim()));
            } else if loose && after_blank && !text.is_empty() {
                heading = Some((number + 1, text));
            }
            after_blank = text.is_empty();
            let (Some((line, name)), Some((k, value))) = (heading, text.split_once(':')) else {
                continue;
            };
            match key(k).as_str() {
                "makes" => {
                    making.insert(line);
                    names.push(name);
                }
                "is" => names.push(name),
                "also" | "also called" | "alias" | "aliases" => {
                    names.extend(value.split([';', ',']).map(str::trim).filter(|n| !n.is_empty()));
                }
                _ => {}
            }
        }
        let own = if names.is_empty() {
            inherited.clone()
        } else {
            inherited.and(names.into_iter())
        };
        Sections { making, own }
    }
}

impl BookReader<'_> {
    fn fault(&mut self, wrong: Unplaced) {
        if let Some(draft) = &mut self.draft {
            draft.faulty = true;
        }
        self.wrongs.push(wrong);
    }

    fn entry(&mut self, entry: Entry) {
        // One blank line says as much as three.
        match &mut self.draft {
            Some(draft) => {
                if entry != Entry::Blank
                    || !matches!(draft.parts.last(), Some(Part::Entry(Entry::Blank)) | None)
                {
                    draft.parts.push(Part::Entry(entry));
                }
            }
            None => {
                let entries = &mut self.book.opening;
                if entry != Entry::Blank || !matches!(entries.last(), Some(Entry::Blank) | None) {
                    entries.push(entry);
                }
            }
        }
    }

    /// Read a line of steps.
    fn read_line(&self, text: &str, start: usize) -> LineRead {
        let context = line::Context {
            preparing: self.preparing(),
            own: &self.sections.own,
        };
        self.lines.read(text, start, context)
    }

    fn line(&mut self, number: usize, range: Range<usize>) {
        let typed = &self.source.text[range.clone()];
        // Of the same length, so that every place in it stays what it is.
        let raw: Cow<str> = if typed.contains(['\n', '\r']) {
            typed.replace(['\n', '\r'], " ").into()
        } else {
            typed.into()
        };
        let raw = raw.as_ref();
        let mut trimmed = raw.trim();
        // A comment at the end of a line stands by itself, before it.
        if !self.in_comment
            && let Some((before, comment)) = trimmed.split_once("<!--")
            && let Some(words) = comment.strip_suffix("-->")
            && !before.trim().is_empty()
        {
            self.entry(Entry::Comment(words.trim().to_owned()));
            trimmed = before.trim_end();
        }
        let start = range.start + (raw.len() - raw.trim_start().len());
        let span = start..start + trimmed.len();
        if self.in_comment || trimmed.starts_with("<!--") {
            let body = trimmed.strip_prefix("<!--").unwrap_or(trimmed);
            if !self.in_comment {
                self.comment_opened = span.clone();
            }
            self.in_comment = !body.ends_with("-->");
            self.entry(Entry::Comment(
                body.strip_suffix("-->").unwrap_or(body).trim().to_owned(),
            ));
            return;
        }
        if let Some(c) = trimmed.chars().find(|c| c.is_control() && *c != '\t') {
            let at = span.start + trimmed.find(c).unwrap_or(0);
            self.fault(Unplaced::reject(
                at..at + c.len_utf8(),
                format!("a control character (U+{:04X}); expected text", u32::from(c)),
            ));
            return;
        }
        if self.loose
            && !matches!(trimmed, t if t.starts_with('>'))
            && self.loose_line(number, trimmed, &span)
        {
            return;
        }
        match trimmed {
            "" => self.entry(Entry::Blank),
            t if t.starts_with("## ") || t == "##" => self.open(number, t[2..].trim(), span),
            t if t.starts_with("# ") || t == "#" => self.title(t[1..].trim(), span),
            t if t.starts_with("###") && self.draft.is_some() => {
                let words = t.trim_start_matches('#').trim();
                if !is_heading_word(words.trim_end_matches(':')) {
                    self.particular_or_step(words, span.end - words.len()..span.end);
                }
            }
            // `#bar-dev`: where it was said.
            t if self.draft.is_some()
                && t.starts_with('#')
                && t[1..].starts_with(char::is_alphabetic)
                && !t.contains(' ') =>
            {
                self.entry(Entry::Note(t.to_owned()));
            }
            t if t.starts_with('#') => self.fault(Unplaced::reject(
                span,
                "a heading of level 3 or a `#` without a space; expected `# book` or `## drink`",
            )),
            // `>> SHAKE`: a bullet; one `>` begins a note.
            t if t.starts_with(">>") => {
                let words = t.trim_start_matches(['>', ' ']);
                self.particular_or_step(words, span.end - words.len()..span.end);
            }
            t if t.starts_with('>') => self.entry(Entry::Note(t[1..].trim().to_owned())),
            t => match bullet(t) {
                Some(offset) if t[offset..].trim().is_empty() => self.entry(Entry::Blank),
                Some(offset) => self.step(&t[offset..], span.start + offset),
                None => self.particular_or_step(t, span),
            },
        }
    }

    /// A line of a text without headings. Says whether it has been seen to.
    fn loose_line(&mut self, number: usize, text: &str, span: &Range<usize>) -> bool {
        if text.is_empty() {
            // A blank line ends a spec that has begun.
            if self
                .draft
                .as_ref()
                .is_some_and(|d| d.parts.iter().any(|p| matches!(p, Part::Line(_))))
            {
                self.close(span.start);
            }
            return false;
        }
        if self.draft.is_some() {
            return false;
        }
        if let Some((k, _)) = text.split_once(':')
            && Settings::keys().iter().any(|known| key(known) == key(k))
        {
            return false;
        }
        if is_spec_line(text) {
            // A whole spec on one line has no name: it is called by its place.
            self.open(number, &format!("line {number}"), span.start..span.start);
            self.step(text, span.start);
            self.close(span.end);
        } else if self.is_pour(text) {
            // Pours that begin without a name: a pour is never taken for one.
            self.open(number, &format!("line {number}"), span.start..span.start);
            return false;
        } else {
            self.open(number, text, span.clone());
        }
        true
    }

    fn title(&mut self, title: &str, span: Range<usize>) {
        if self.draft.is_some() || !self.book.title.is_empty() {
            self.fault(Unplaced::reject(
                span,
                "a second level-1 heading; expected one book a file, its drinks under `## name`",
            ));
        } else if title.is_empty() {
            self.fault(Unplaced::reject(
                span,
                "a heading without words; expected the name of the house or list",
            ));
        } else {
            title.clone_into(&mut self.book.title);
        }
    }

    fn open(&mut self, line: usize, name: &str, span: Range<usize>) {
        self.close(span.start);
        let mut draft = Draft {
            drink: Drink {
                name: name.to_owned(),
                span: span.clone(),
                line,
                ..Drink::default()
            },
            parts: Vec::new(),
            particulars: Vec::new(),
            faulty: false,
            defines: false,
            makes: self.sections.making.contains(&line),
            under: None,
        };
        if name.is_empty() || key(name).is_empty() {
            draft.faulty = true;
            self.wrongs.push(Unplaced::reject(
                span.clone(),
                "a heading without words; expected the name of a drink",
            ));
        }
        if !self.names.insert(key(name)) {
            draft.faulty = true;
            self.wrongs.push(Unplaced::reject(
                span,
                format!("`{name}` stands in this book already; expected each name once"),
            ));
        }
        self.draft = Some(draft);
    }

    fn step(&mut self, text: &str, start: usize) {
        let lead = text.len() - text.trim_start().len();
        if self.draft.is_none() {
            let span = start..start + text.len();
            self.fault(Unplaced::reject(
                span,
                "a step before the first drink; expected `## name` above it",
            ));
            return;
        }
        self.take(text.trim(), start + lead);
    }

    /// Whether a line is a pour and cannot be a name: it begins with an amount, or holds one with its unit.
    fn is_pour(&self, text: &str) -> bool {
        let text = bullet(text).map_or(text, |at| &text[at..]).trim();
        let begins = text.starts_with(|c: char| c.is_numeric() || c == '.' || c == '~');
        let read = self.read_line(text, 0);
        let pours = |f: &line::Found| match &f.item {
            Item::Pours(pours) => pours
                .iter()
                .any(|(p, _)| begins || matches!(p.measure, PourAmount::Of(_, Some(_)))),
            _ => false,
        };
        !read.found.iter().any(|f| f.item.is_unread()) && read.found.iter().any(pours)
    }

    /// Whether somebody knows what is poured.
    fn is_something(&self, pour: &super::Pour) -> bool {
        let stock = crate::ingredient::library();
        pour.choices.iter().any(|named| {
            super::lexicon::is_name(&named.name, &self.sections.own)
                || stock.usual(&named.name).is_some()
                || crate::ingredient::tells_its_kind(&named.name)
                || crate::ingredient::never(&named.name).is_some()
        })
    }

    /// Whether words are a garnish and nothing else, where they are written as one.
    fn is_garnish(&self, words: &str) -> bool {
        let written = format!("garnish {words}");
        let read = self.read_line(&written, 0);
        read.found.len() == 1
            && Heading::of(&written).is_none()
            && matches!(&read.found[0].item, Item::Garnish(read) if read == words)
    }

    /// Whether the section being read makes an ingredient.
    fn preparing(&self) -> bool {
        self.draft.as_ref().is_some_and(|d| d.makes)
    }

    /// Read a line of steps and keep it where it stands.
    fn take(&mut self, text: &str, start: usize) {
        self.take_under(text, start, None);
    }

    /// Read what stands behind a label, which is kept.
    fn take_under(&mut self, text: &str, start: usize, label: Option<&str>) {
        if let Some(heading) = Heading::of(text) {
            if let Some(draft) = &mut self.draft {
                draft.under = Some(heading);
                draft.parts.push(Part::Entry(Entry::Note(text.to_owned())));
            }
            return;
        }
        let read = self.read_line(text, start);
        let under = self.draft.as_ref().and_then(|d| d.under);
        let measured = read.found.iter().any(|f| match &f.item {
            Item::Pours(pours) => pours.iter().any(|(p, _)| {
                matches!(p.measure, PourAmount::Of(_, Some(unit)) if !line::on_the_glass(unit))
                    // `use a 2 ml pipette` under `Notes`: nothing that anybody pours.
                    && (under != Some(Heading::Aside) || self.is_something(p))
            }),
            Item::Work(_) => true,
            _ => false,
        });
        match under {
            // What stands under `ALLERGENS` or `STORY` is for the reader, unless it is poured or worked.
            Some(Heading::Aside) if !measured => return self.entry(Entry::Note(text.to_owned())),
            Some(Heading::Garnish) if !measured => {
                let words = text.trim_end_matches('.').to_owned();
                if !words.contains(char::is_alphanumeric) {
                    return;
                }
                if self.is_garnish(&words) {
                    let step = super::Line {
                        step: Step::Garnish(words),
                        span: start..start + text.len(),
                        assumptions: Vec::new(),
                    };
                    return self.entry(Entry::Step(step));
                }
            }
            _ => {}
        }
        if read.found.is_empty() {
            if !text.is_empty() {
                let wrong = "an empty step; expected a pour such as `50 ml dry gin` or work such as `shake`";
                self.fault(Unplaced::reject(start..start + text.len(), wrong));
            }
            return;
        }
        let mut read = read;
        if let Some(label) = label {
            read.label = Some(label.to_owned());
        }
        if let Some(draft) = &mut self.draft {
            draft.parts.push(Part::Line(read));
        }
    }

    /// A row of a table that begins at byte `start`: the line it stands for is read, on its places as typed.
    fn row(&mut self, row: Row, start: usize) {
        let (line, labelled) = match row {
            Row::Rule => return,
            Row::Note(words) => return self.entry(Entry::Note(words)),
            Row::Ask(mut wrong) => {
                wrong.span = wrong.span.start + start..wrong.span.end + start;
                return self.fault(wrong);
            }
            Row::Pour(line) => (line, false),
            Row::Label(line) => (line, true),
        };
        let wrongs = self.wrongs.len();
        let held = |draft: &Draft| (draft.parts.len(), draft.particulars.len());
        let (parts, particulars) = self.draft.as_ref().map_or((0, 0), held);
        let span = start..start + line.text.len();
        if labelled {
            self.particular_or_step(&line.text, span);
        } else {
            self.bare(&line.text, span);
        }
        for wrong in &mut self.wrongs[wrongs..] {
            line.put_back_fault(wrong, start);
        }
        let Some(draft) = &mut self.draft else { return };
        for part in &mut draft.parts[parts..] {
            if let Part::Line(read) = part {
                read.put_back(&line, &self.source.text[start..], start);
            }
        }
        for (.., span) in &mut draft.particulars[particulars..] {
            *span = line.place(span, start);
        }
    }

    /// A line without bullet, colon or mark: a step if it reads as one.
    fn bare(&mut self, text: &str, span: Range<usize>) {
        if self.draft.is_none() {
            self.fault(Unplaced::reject(
                span,
                "words before the first drink; expected `key: value`, a note (`> …`) or `## name of a drink`",
            ));
            return;
        }
        // `Change log rev 4: cream reduced from 40 to 25 ml`
        if text.split_once(':').is_some_and(|(label, _)| is_a_log(label)) {
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        self.take(text, span.start);
    }

    /// Finish the section being read, which ends at byte `end`.
    fn close(&mut self, end: usize) {
        let text = self.source.text[self.section_start..end]
            .replace("\r\n", "\n")
            .replace('\r', "\n");
        let started = std::mem::replace(&mut self.section_start, end);
        let Some(mut draft) = self.draft.take() else {
            self.book.opening_text = text;
            return;
        };
        draft.drink.text = format!("{}\n", text.trim_end());
        // In a text without headings the first line is the name, where the drink has one.
        let below = if self.loose { draft.drink.span.end } else { started };
        self.typed.push(Typed {
            name: draft.drink.name.clone(),
            line: draft.drink.line,
            headed: !self.loose,
            range: below..end,
        });
        self.assemble(&mut draft);
        while draft.drink.entries.last() == Some(&Entry::Blank) {
            draft.drink.entries.pop();
        }
        let leading = draft
            .drink
            .entries
            .iter()
            .take_while(|e| **e == Entry::Blank)
            .count();
        draft.drink.entries.drain(..leading);
        let before = self.wrongs.len();
        let section = if draft.makes {
            self.preparation(&mut draft)
        } else if draft.defines {
            self.definition(&draft)
        } else {
            self.drink(&mut draft)
        };
        let sound = !draft.faulty && self.wrongs.len() == before;
        match section.and_then(|section| (self.take)(section, sound)) {
            Some(section) if sound => self.book.sections.push(section),
            Some(Section::Drink(drink) | Section::Preparation(drink)) => self.faulty.push(drink),
            _ => {}
        }
    }
}
