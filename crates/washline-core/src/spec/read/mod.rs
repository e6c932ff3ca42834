//! Reading a book: every fault of it in one run, each with its place.
//!
//! The reading rules: a level-1 heading names the book, a level-2 heading begins a drink (or an
//! ingredient, where `is: an ingredient` stands under it, or a preparation, where `makes: an ingredient`
//! does); `key: value` lines before the first drink are settings, under a drink its particulars; list
//! items (and bare lines that read as a step) are its steps in working order; `>` begins a note,
//! `<!-- … -->` is a comment. Anything else is a fault: a pour is never taken for prose.

use crate::names::Expected;
use std::borrow::Cow;
use std::collections::{HashMap, HashSet};
use std::ops::Range;

use super::assemble::{Part, assemble};
use super::lexicon::OwnNames;
use super::limits;
use super::line::{self, Item, LineRead};
use super::making;
use super::settings::{mass, price_per_package, volume, words_between_commas};
use super::table::{self, Row};
use super::{
    Book, Definition, Drink, Entry, Fault, GlassNamed, Making, Measure, Place, Process, Section, Settings,
    Source, Step, WaterGiven, Wrong,
};
use crate::ingredient::{Defined, Offer, Origin, Price};
use crate::measure::{Amount, Ounce};
use crate::names::{key, nearest};
use crate::tables::{Family, Structure};

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

/// The particulars a drink can have: key as it is written, other ways to say it.
const PARTICULARS: [(&str, &[&str]); 16] = [
    ("glass", &["glassware", "served in", "glas", "gls", "vessel"]),
    ("price", &["sells for"]),
    (
        "garnish",
        &[
            "gar",
            "garn",
            "g",
            "deco",
            "deko",
            "decoration",
            "garnishes",
            "finishing",
        ],
    ),
    ("structure", &[]),
    ("family", &[]),
    ("serve", &["total", "serve before ice"]),
    ("dilution", &["water"]),
    ("weighed", &[]),
    ("source", &["from"]),
    ("note", &["notes", "story"]),
    ("serves", &["serving size", "portions", "number of serves"]),
    ("each serve", &["pour per serve"]),
    ("part", &["1 part", "one part"]),
    ("then", &[]),
    ("season", &["seasons"]),
    ("tags", &["tag"]),
];

/// The particulars of a drink, as they are written.
pub fn particulars() -> impl Iterator<Item = &'static str> {
    PARTICULARS.iter().map(|(name, _)| *name)
}

/// The particular of a drink that a word calls, as it is written: `glassware` is `glass`.
#[must_use]
pub fn particular_named(said: &str) -> Option<&'static str> {
    let folded = key(said);
    PARTICULARS
        .iter()
        .find(|(name, others)| *name == folded || others.contains(&folded.as_str()))
        .map(|(name, _)| *name)
}

const DEFINING: [(&str, &[&str]); 11] = [
    ("is", &[]),
    ("kind", &[]),
    ("strength", &["abv", "alcoholic strength"]),
    ("sugar", &["sugars"]),
    ("acid", &["acidity", "titratable acidity"]),
    ("brix", &["°brix"]),
    ("density", &[]),
    ("allergens", &[]),
    ("carbonated", &["fizzy"]),
    ("source", &["from"]),
    ("also", &["also called", "alias", "aliases"]),
];

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
        reader.fault(Wrong::reject(
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
        reader.wrongs.push(Wrong::reject(0..0, message));
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

/// What a line that only heads a part of a spec says of the lines under it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Heading {
    /// They are for the reader: allergens, the story.
    Aside,
    /// They are put on the drink.
    Garnish,
    /// They are read as any other.
    Steps,
}

impl Heading {
    /// The heading that a line is, where it is nothing else.
    fn of(line: &str) -> Option<Heading> {
        let words = line
            .trim_matches(|c: char| !c.is_alphabetic())
            .trim_end_matches(':');
        // `2. Method` is numbered; of `garnish 1` somebody wants one.
        let counts = line.starts_with(|c: char| c.is_ascii_digit()) && !line.contains('.')
            || line.ends_with(char::is_numeric);
        if counts || words.len() > 24 {
            return None;
        }
        Some(match key(words).as_str() {
            "allergens"
            | "allergen"
            | "allergen information"
            | "story"
            | "the story"
            | "inspiration"
            | "history"
            | "notes"
            | "note"
            | "mise en place"
            | "allergens declared"
            | "item code"
            | "comments"
            | "remarks"
            | "equipment"
            | "tools"
            | "description"
            | "purpose"
            | "tasting notes"
            | "storage"
            | "shelf life"
            | "backstory"
            | "about the drink"
            | "category"
            | "style"
            | "drink type"
            | "menu section"
            | "about"
            | "reminder"
            | "remember"
            | "tip"
            | "tips"
            | "fyi"
            | "nb"
            | "service note"
            | "service notes"
            | "training note"
            | "training notes"
            | "concept" => Heading::Aside,
            "garnish" | "decoration" | "to garnish" | "finish" => Heading::Garnish,
            "ingredients" | "method" | "glass" | "glassware" | "procedure" | "preparation" | "directions"
            | "serve" | "service" | "spec" | "recipe" | "technique" => Heading::Steps,
            _ => return None,
        })
    }
}

struct BookReader<'a> {
    source: &'a Source,
    book: Book,
    wrongs: Vec<Wrong>,
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
    fn fault(&mut self, wrong: Wrong) {
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
            self.fault(Wrong::reject(
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
            t if t.starts_with('#') => self.fault(Wrong::reject(
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
            self.fault(Wrong::reject(
                span,
                "a second level-1 heading; expected one book a file, its drinks under `## name`",
            ));
        } else if title.is_empty() {
            self.fault(Wrong::reject(
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
            self.wrongs.push(Wrong::reject(
                span.clone(),
                "a heading without words; expected the name of a drink",
            ));
        }
        if !self.names.insert(key(name)) {
            draft.faulty = true;
            self.wrongs.push(Wrong::reject(
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
            self.fault(Wrong::reject(
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
                .any(|(p, _)| begins || matches!(p.measure, Measure::Of(_, Some(_)))),
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
                || crate::ingredient::as_kind(stock, &named.name).is_some()
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
                matches!(p.measure, Measure::Of(_, Some(unit)) if !line::on_the_glass(unit))
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
                self.fault(Wrong::reject(start..start + text.len(), wrong));
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
                line.put_back(read, &self.source.text[start..], start);
            }
        }
        for (.., span) in &mut draft.particulars[particulars..] {
            *span = line.place(span, start);
        }
    }

    fn particular_or_step(&mut self, text: &str, span: Range<usize>) {
        let pair = text.split_once(':').map(|(k, v)| {
            // `**Method:** shake`: emphasis is for the reader.
            let marks: &[char] = &['*', '_', ' ', '\t'];
            let v = v.trim_start_matches(marks);
            (
                k.trim_matches(marks),
                v.trim_end_matches(marks),
                span.start + text.len() - v.len(),
            )
        });
        let Some((k, value, value_at)) =
            pair.filter(|(k, ..)| !k.is_empty() && k.chars().all(|c| !c.is_ascii_digit()))
        else {
            return self.bare(text, span);
        };
        let value_span = value_at..value_at + value.len();
        if is_heading_word(k) && self.draft.is_some() {
            // `Method: stir, strain`: what stands after the colon is read, the word is for the reader.
            return if value.is_empty() {
                self.entry(Entry::Note(text.to_owned()))
            } else {
                self.step(value, value_at)
            };
        }
        if self.draft.is_none() {
            match self.book.settings.set(k, value) {
                Ok(Some((k, v))) => self.entry(Entry::Particular(k, v)),
                Ok(None) => {
                    let keys = Settings::keys();
                    let near = nearest(k, keys.iter().map(|k| (k.as_str(), k.as_str())), 3);
                    let key_span = span.start..span.start + k.len();
                    self.fault(Wrong::reject(key_span, format!("`{k}` is no setting of a book; expected one such as `currency`, `ounce`, `acid convention`")).with(near));
                }
                Err(expected) => self.fault(Wrong::reject(
                    value_span,
                    format!("`{value}` for `{k}`: {expected}"),
                )),
            }
            return;
        }
        let known = PARTICULARS
            .iter()
            .chain(&DEFINING)
            .chain(&making::PARTICULARS)
            .find(|(name, others)| {
                let folded = key(k);
                *name == folded || others.contains(&folded.as_str())
            });
        match known {
            Some((name, _)) if value.is_empty() => {
                self.fault(Wrong::reject(
                    span,
                    format!("`{name}` has no value; expected one after the colon"),
                ));
            }
            // `Yield: 20 serves` of a drink says how many it is for.
            Some((name, _)) if *name == "yield" && !self.preparing() && !self.defining() => {
                self.take_what_it_yields(text, value, &value_span);
            }
            // `Water: 140 ml`, beside what else is poured.
            Some((name, _)) if *name == "dilution" && key(k) == "water" && volume(value, None).is_ok() => {
                self.step(text, span.start);
            }
            // `Vessel: punch bowl, 2.5 L; serve in punch cups`: more than a glass and its size.
            Some((name, _)) if *name == "glass" && glass(value, None).is_err() => self.take(value, value_at),
            // `Serve: coupe, over ice`: how it is served, and no volume.
            Some((name, _))
                if *name == "serve"
                    && key(k) == "serve"
                    && !self.preparing()
                    && volume(value, None).is_err() =>
            {
                // `Serve: 200 ml over ice` is read with its label, which says that it is one of them.
                match value.chars().any(|c| c.is_ascii_digit()) {
                    true => self.take(text, span.start),
                    false => self.take(value, value_at),
                }
            }
            Some((name, _)) => {
                let split = self.split_particular(name, value, value_at);
                let value = split.as_deref().unwrap_or(value);
                if value.is_empty() {
                    return;
                }
                if let Some(draft) = &mut self.draft {
                    draft.defines |= *name == "is";
                    draft
                        .particulars
                        .push(((*name).to_owned(), value.to_owned(), value_span));
                }
                self.entry(Entry::Particular((*name).to_owned(), value.to_owned()));
            }
            None => self.line_with_colon(k, text, &span),
        }
    }

    /// Whether the section being read gives an ingredient by its figures.
    fn defining(&self) -> bool {
        self.draft.as_ref().is_some_and(|d| d.defines)
    }

    /// What a drink yields: a number of serves, or words for the reader.
    fn take_what_it_yields(&mut self, text: &str, value: &str, span: &Range<usize>) {
        let count = serves(value);
        let counted = value.split(|c: char| !c.is_alphabetic()).map(key).any(|w| {
            matches!(
                w.as_str(),
                "serve"
                    | "serves"
                    | "serving"
                    | "servings"
                    | "portion"
                    | "portions"
                    | "drinks"
                    | "drink"
                    | "glasses"
                    | "covers"
            )
        });
        match (count, &mut self.draft) {
            (Ok(count), Some(draft)) if counted => {
                let count = count.to_string();
                draft
                    .particulars
                    .push(("serves".to_owned(), count.clone(), span.clone()));
                self.entry(Entry::Particular("serves".to_owned(), count));
            }
            _ => self.entry(Entry::Note(text.to_owned())),
        }
    }

    /// A line with a colon that begins with no particular: steps, unless a particular was mistyped.
    fn line_with_colon(&mut self, k: &str, text: &str, span: &Range<usize>) {
        // `Service: pour 100 ml of the batch into a flute`, `Batch size: 10 l (100 x 100 ml)`
        let sized =
            text.contains('(') && matches!(key(k).as_str(), "batch size" | "batch" | "makes" | "volume");
        if sized || Heading::of(k) == Some(Heading::Steps) {
            return self.take(text, span.start);
        }
        let particulars = || {
            PARTICULARS
                .iter()
                .chain(&DEFINING)
                .chain(&making::PARTICULARS)
                .map(|(name, _)| (*name, *name))
        };
        // `Sweetener: 5 ml agave syrup`: a label of the list that names nothing.
        let value = text
            .split_once(':')
            .map_or("", |(_, value)| value)
            .trim_start_matches([':', ' ', '*', '_', '\t']);
        let measured = |t: &str| t.starts_with(|c: char| c.is_numeric() || c == '.' || c == '~');
        let names = || {
            super::lexicon::names_anything(k, &self.sections.own)
                || crate::ingredient::as_kind(crate::ingredient::library(), k).is_some()
        };
        let only_words = |f: &line::Found| {
            matches!(
                f.item,
                Item::Words | Item::Joint | Item::Mention(_) | Item::Fault(_) | Item::Unread(_)
            )
        };
        let label = || k.split_whitespace().count() <= 4 && !names();
        if measured(value) && label() && self.read_line(k, span.start).found.iter().all(only_words) {
            let at = span.end - value.len();
            let read = self.read_line(value, at).found;
            let pours = read.iter().any(|f| matches!(f.item, Item::Pours(_)));
            if pours && !read.iter().any(|f| f.item.is_unread()) {
                return self.take_under(value, at, Some(k));
            }
        }
        if is_a_log(k) {
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        let read = self.read_line(text, span.start);
        // `Bitter: orange bitters, 2 dashes`: a label that names what it heads, where only the value reads.
        if read.found.iter().any(|f| f.item.is_unread()) && k.split_whitespace().count() <= 4 {
            let at = span.end - value.len();
            let alone = self.read_line(value, at).found;
            let pours = alone.iter().any(|f| matches!(f.item, Item::Pours(_)));
            let clean = !alone
                .iter()
                .any(|f| f.item.is_unread() || matches!(f.item, Item::Mention(_)));
            if pours && clean {
                return self.take_under(value, at, Some(k));
            }
        }
        let key_end = span.start + k.len();
        let unread = read
            .found
            .iter()
            .take_while(|f| f.span.start < key_end)
            .all(|f| match &f.item {
                Item::Words => true,
                Item::Mention(mention) => !mention.known,
                _ => false,
            });
        let near = nearest(k, particulars(), 3);
        let value_reads = read
            .found
            .iter()
            .any(|f| matches!(f.item, Item::Pours(_) | Item::Work(_) | Item::Garnish(_)));
        if unread && near.is_empty() && text.trim_end().ends_with(':') {
            // `dictated:` heads what follows.
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        // `Item code: B-114`: a label whose value names nothing that anybody pours is for the reader.
        let poured = read.found.iter().any(|f| match &f.item {
            Item::Fault(_) | Item::Unread(_) => true,
            Item::Pours(pours) => pours.iter().any(|(p, _)| {
                let measured = matches!(p.measure, Measure::Of(_, Some(_)));
                measured
                    || p.choices.iter().any(|n| {
                        let stock = crate::ingredient::library();
                        stock.usual(&n.name).is_some()
                            || self.sections.own.has_word(&key(&n.name))
                            || crate::ingredient::as_kind(stock, &n.name).is_some()
                    })
            }),
            Item::Work(_) | Item::Garnish(_) | Item::Step(_) | Item::Glass(..) | Item::Ice(_) => true,
            Item::Serves(_) | Item::ServeOf(_) | Item::PartIs(_) | Item::Total(_) | Item::PerServe => true,
            _ => false,
        });
        if Heading::of(k) == Some(Heading::Aside) && !value_reads {
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        // A slip of a particular's own name, and no other label.
        let near: Vec<_> = near
            .into_iter()
            .filter(|n| strsim::osa_distance(&key(k), n) <= 1 + usize::from(k.len() > 6))
            .collect();
        if near.is_empty() && !poured {
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        if unread && near.is_empty() && poured {
            let at = span.end - value.len();
            return self.take_under(value, at, Some(k));
        }
        if unread && (!near.is_empty() || !value_reads) {
            let (of, such) = if self.preparing() {
                ("a preparation", "`keeps`, `yield`, `strain loss`")
            } else {
                ("a drink", "`glass`, `price`, `garnish`")
            };
            let message = format!("`{k}` is no particular of {of}; expected one such as {such}");
            self.fault(Wrong::reject(span.start..key_end, message).with(near));
            return;
        }
        self.take(text, span.start);
    }

    /// The glass or garnish of a particular, where more than that stands in its value: what is poured or worked there is
    /// a step, and what is left is the particular.
    fn split_particular(&mut self, name: &str, value: &str, at: usize) -> Option<String> {
        if self.draft.is_none() || !matches!(name, "glass" | "garnish") {
            return None;
        }
        let is_glass =
            |g: GlassNamed| g.capacity_ml.is_some() || crate::tables::Glass::known(&g.name).is_some();
        if name == "glass" && glass(value, None).is_ok_and(is_glass) {
            return None;
        }
        let read = self.read_line(value, at);
        let is_step = |f: &line::Found| match &f.item {
            Item::Pours(pours) => pours.iter().any(|(p, _)| {
                matches!(p.measure, Measure::Fill)
                    || matches!(p.measure, Measure::Of(_, Some(unit)) if !line::on_the_glass(unit))
            }),
            Item::Work(_) => true,
            Item::Step(_) | Item::Ice(_) | Item::Garnish(_) | Item::Serves(_) => name == "glass",
            _ => false,
        };
        let first = read.found.iter().position(is_step)?;
        let kept =
            value[..read.found[first].span.start - at].trim_end_matches([' ', ',', ';', '-', '+', '&']);
        let kept = kept
            .strip_suffix(" and")
            .or(kept.strip_suffix(" over"))
            .unwrap_or(kept)
            .to_owned();
        let from = read.found[first].span.start;
        let rest = &value[from - at..];
        self.take(rest, from);
        Some(kept)
    }

    /// A line without bullet, colon or mark: a step if it reads as one.
    fn bare(&mut self, text: &str, span: Range<usize>) {
        if self.draft.is_none() {
            self.fault(Wrong::reject(
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

    /// The pours of what nobody knows, or of what is spelt otherwise, that would be another step as they are written: `1
    /// jigge` is no jigger of nothing. A garnish is put as its own line says it.
    fn what_would_read_otherwise(&self, drink: &mut Drink, preparing: bool) -> Vec<Wrong> {
        let context = line::Context {
            preparing,
            own: &self.sections.own,
        };
        let mut wrongs = Vec::new();
        for entry in &mut drink.entries {
            let Entry::Step(line) = entry else { continue };
            match &mut line.step {
                Step::Pour(pour) => {
                    let spelt_otherwise = line.assumptions.iter().any(|a| a.taken.starts_with("read as "));
                    // `float ml dark rum`: without an amount, a unit in the name gives it one.
                    let usual = pour.measure == Measure::Usual;
                    if !spelt_otherwise && !usual && self.is_plain(pour) {
                        continue;
                    }
                    if !usual && is_said_plainly(pour) {
                        continue;
                    }
                    let written = pour.to_string();
                    let again = self.lines.read(&written, 0, context);
                    if again.is_pour(&written) || again.pours_the_same(pour) {
                        continue;
                    }
                    let typed = self.source.text.get(line.span.clone()).unwrap_or_default().trim();
                    let message = format!(
                        "`{typed}`: an amount of what? on a line of its own `{written}` says something else; expected a pour such as `50 ml gin`"
                    );
                    wrongs.push(Wrong::ask(line.span.clone(), message, Vec::new()));
                }
                Step::Garnish(words) if !words.starts_with(char::is_alphanumeric) => {
                    // Each time a mark or more before its words falls away.
                    while let [found] = self
                        .lines
                        .read(&format!("garnish {words}"), 0, context)
                        .found
                        .as_slice()
                        && let Item::Garnish(said) = &found.item
                        && said.len() < words.len()
                    {
                        words.clone_from(said);
                    }
                }
                _ => {}
            }
        }
        // Marks alone are no garnish.
        drink.entries.retain(|entry| match entry {
            Entry::Step(line) => {
                !matches!(&line.step, Step::Garnish(words) if !words.contains(char::is_alphanumeric))
            }
            _ => true,
        });
        wrongs
    }

    /// Whether a pour is of what is known by that very name, and that names no glass.
    fn is_plain(&self, pour: &super::Pour) -> bool {
        pour.choices.iter().all(|named| {
            super::lexicon::is_name_as_spelt(&named.name, &self.sections.own)
                && !super::lexicon::is_tagged(&named.name, super::lexicon::Tag::Glass)
        })
    }

    /// Put the lines of a section together.
    fn assemble(&mut self, draft: &mut Draft) {
        let assembled = assemble(
            std::mem::take(&mut draft.parts),
            draft.makes,
            is_a_talk(&draft.drink.text),
            &draft.drink.name,
            &self.sections.own,
        );
        draft.drink.entries = assembled.entries;
        draft.drink.account = assembled.account;
        let mut wrongs = assembled.wrongs;
        if wrongs.is_empty() {
            let preparing = draft.makes;
            wrongs.extend(self.what_would_read_otherwise(&mut draft.drink, preparing));
        }
        draft.faulty |= !wrongs.is_empty();
        self.wrongs.extend(wrongs);
        // `Bombay Punch (for a party of 40)`
        let in_heading = {
            let name = draft.drink.name.as_str();
            // Of the same length as the name.
            let lower = name.to_ascii_lowercase();
            let told = [" for ", "(for ", "(serves ", " serves "]
                .iter()
                .find_map(|said| lower.find(said));
            let count = || {
                let from = told.map_or(0, |at| at + 1);
                let found = self.read_line(&name[from..], 0).found;
                found.into_iter().find_map(|f| match f.item {
                    Item::Serves(count) => Some(count),
                    _ => None,
                })
            };
            (told.is_some() && !draft.makes).then(count).flatten()
        };
        let mut found = |name: &str, value: String, span: Range<usize>| {
            if !draft.particulars.iter().any(|(k, ..)| k == name) {
                draft.particulars.push((name.to_owned(), value, span));
            }
        };
        let whole = draft.drink.span.clone();
        if draft
            .drink
            .entries
            .iter()
            .any(|e| matches!(e, Entry::Particular(k, _) if k == "then"))
        {
            found("then", "per serve".to_owned(), whole.clone());
        }
        if let Some((name, size, span)) = assembled.glass {
            let value = size.map_or_else(|| name.clone(), |size| format!("{name}, {size}"));
            found("glass", value, span);
        }
        if assembled.hot {
            found("structure", Structure::Hot.name().to_owned(), whole.clone());
        }
        if let Some(count) = assembled.serves.or(in_heading) {
            found("serves", count.to_string(), whole.clone());
        }
        for (key, size) in [
            ("each serve", assembled.serve_of),
            ("part", assembled.part),
            ("serve", assembled.total),
        ] {
            if let Some(size) = size {
                found(key, size, whole.clone());
            }
        }
    }

    fn drink(&mut self, draft: &mut Draft) -> Option<Section> {
        let ounce = self.book.settings.ounce.or(self.inherited.ounce);
        let mut seen: Vec<&str> = Vec::new();
        for (name, value, span) in &draft.particulars {
            let drink = &mut draft.drink;
            let once = !matches!(name.as_str(), "note" | "source");
            if once && seen.contains(&name.as_str()) {
                self.wrongs.push(Wrong::reject(
                    span.clone(),
                    format!("`{name}` stands twice; expected it once"),
                ));
                continue;
            }
            seen.push(name);
            let done: Result<(), Expected> = match name.as_str() {
                "glass" => glass(value, ounce).map(|g| drink.glass = Some(g)),
                "price" => value.parse().map(|p| drink.price = Some(p)),
                "structure" | "family" => {
                    let (known, names): (bool, Vec<&str>) = if name == "structure" {
                        drink.structure = Structure::named(value);
                        let names = Structure::all().map(Structure::name);
                        (drink.structure.is_some(), names.collect())
                    } else {
                        drink.family = Family::named(value);
                        (drink.family.is_some(), Family::all().map(Family::name).collect())
                    };
                    if !known {
                        let near = nearest(value, names.iter().map(|n| (*n, *n)), 3);
                        let message =
                            format!("`{value}` is no {name}; expected one of: {}", names.join(", "));
                        self.wrongs.push(Wrong::reject(span.clone(), message).with(near));
                        continue;
                    }
                    Ok(())
                }
                "serve" => volume(value, ounce).map(|(ml, _)| drink.serve_ml = Some(ml)),
                "serves" => serves(value).map(|n| drink.serves = Some(n)),
                "each serve" => volume(value, ounce).map(|(ml, _)| drink.each_serve_ml = Some(ml)),
                "part" => volume(value, ounce).map(|(ml, _)| drink.part_ml = Some(ml)),
                "dilution" => dilution(value, ounce).map(|w| drink.water = Some(w)),
                "weighed" => weighed(value).map(|w| drink.water = Some(w)),
                "garnish" | "source" | "note" | "allergens" => Ok(()),
                "season" | "tags" => words_between_commas(value).map(|_| ()),
                "then" if key(value) == "per serve" => {
                    drink.batch_steps = Some(drink.steps_before("then"));
                    Ok(())
                }
                "then" => Err(Expected::new("expected `then: per serve`")),
                other if making::PARTICULARS.iter().any(|(name, _)| *name == other) => {
                    Err(Expected::new(format!(
                        "`{other}` belongs to a preparation; expected `makes: an ingredient` in this section"
                    )))
                }
                other => Err(Expected::new(format!(
                    "`{other}` belongs to an ingredient; expected `is: an ingredient` in this section"
                ))),
            };
            if let Err(expected) = done {
                self.wrongs.push(Wrong::reject(
                    span.clone(),
                    format!("`{value}` for `{name}`: {expected}"),
                ));
            }
        }
        self.something_poured(draft, "- 50 ml dry gin");
        Some(Section::Drink(draft.drink.clone()))
    }

    fn something_poured(&mut self, draft: &Draft, example: &str) {
        let poured = draft.drink.lines().any(|l| matches!(l.step, Step::Pour(_)));
        if !draft.faulty && !poured {
            let span = draft.drink.span.clone();
            let message = format!(
                "nothing is poured into `{}`; expected a list such as `{example}`",
                draft.drink.name
            );
            self.wrongs.push(Wrong::reject(span, message));
        }
    }

    fn preparation(&mut self, draft: &mut Draft) -> Option<Section> {
        let ounce = self.book.settings.ounce.or(self.inherited.ounce);
        let mut making = Making::default();
        let mut seen: Vec<&str> = Vec::new();
        for (name, value, span) in &draft.particulars {
            let once = !matches!(name.as_str(), "note" | "source" | "gives" | "also");
            if once && seen.contains(&name.as_str()) {
                self.wrongs.push(Wrong::reject(
                    span.clone(),
                    format!("`{name}` stands twice; expected it once"),
                ));
                continue;
            }
            seen.push(name);
            let expected = match making.set(name, value, ounce) {
                Ok(true) if name == "serve" => volume(value, ounce)
                    .map(|(ml, _)| draft.drink.serve_ml = Some(ml))
                    .err(),
                Ok(true) => None,
                Ok(false) if name == "dilution" || name == "weighed" => Some(
                    "a preparation has its water in its list; expected a pour such as `- 400 g water`".into(),
                ),
                Ok(false) if PARTICULARS.iter().any(|(known, _)| known == name) => Some(Expected::from(
                    format!("`{name}` belongs to a drink, and this section makes an ingredient"),
                )),
                Ok(false) => Some(Expected::from(format!(
                    "`{name}` gives a figure, and this section is worked out from its list; expected `is: an ingredient` in the place of `makes:`"
                ))),
                Err(expected) => Some(expected),
            };
            if let Some(expected) = expected {
                self.wrongs.push(Wrong::reject(
                    span.clone(),
                    format!("`{value}` for `{name}`: {expected}"),
                ));
            }
        }
        let told = making.evaporates.is_some() || making.yields.is_some();
        for line in draft.drink.lines() {
            let wrong = match &line.step {
                Step::Garnish(_) => {
                    "a garnish belongs to a drink; for words to the reader begin the line with `>`"
                }
                Step::Ice(_) | Step::OverIce(_) | Step::Neat => {
                    "ice melts into a drink, not into a preparation; expected the water as a pour (`- 200 g water`)"
                }
                Step::Prepare(p) if p.process == Process::Reduce && !told => {
                    "boiled down by how much? expected `evaporates: 30 %` or `yield: 500 ml` under the name"
                }
                Step::Pour(pour) if matches!(pour.place, Place::Float | Place::Rinse | Place::Mist) => {
                    "a preparation has no glass to float on, rinse or spray; expected a pour such as `- 20 ml rum`"
                }
                Step::Pour(pour) if matches!(pour.measure, Measure::Open(_)) => {
                    "a preparation is the same every time; expected an amount, not \"to taste\""
                }
                Step::Pour(pour)
                    if pour.measure == Measure::Fill
                        && !matches!(making.yields, Some(super::Yield::Volume(_))) =>
                {
                    "filled up to what? expected `yield: 1 l` under the name"
                }
                _ => continue,
            };
            self.wrongs.push(Wrong::reject(line.span.clone(), wrong));
        }
        self.something_poured(draft, "- 500 g caster sugar");
        draft.drink.makes = Some(making);
        Some(Section::Preparation(draft.drink.clone()))
    }

    fn definition(&mut self, draft: &Draft) -> Option<Section> {
        if let Some(line) = draft.drink.lines().next() {
            self.wrongs.push(Wrong::reject(
                line.span.clone(),
                "a step in an ingredient given by its figures; expected `strength:`, `sugar:`, `acid:` and the like",
            ));
        }
        let ounce = self
            .book
            .settings
            .ounce
            .or(self.inherited.ounce)
            .unwrap_or_default();
        let mut builder = Defined::default();
        let mut price = None;
        for (name, value, span) in &draft.particulars {
            let done = match name.as_str() {
                "price" => price_per_package(value, ounce).map(|bought| price = Some(bought)),
                _ => builder.set(name, value),
            };
            if let Err(expected) = done {
                self.wrongs.push(Wrong::reject(
                    span.clone(),
                    format!("`{value}` for `{name}`: {expected}"),
                ));
            }
        }
        let name = draft.drink.name.clone();
        let source = draft.particulars.iter().find(|(k, ..)| k == "source");
        // Where nothing but its price is said, it is an ingredient that is known already.
        let only_price = price.is_some()
            && draft
                .particulars
                .iter()
                .all(|(k, ..)| matches!(k.as_str(), "is" | "price" | "source" | "note"));
        let made = match (only_price, source) {
            (true, None) => Err(Expected::new(
                "no source of its price; expected `source: invoice, 12 November` or the like",
            )),
            (true, Some(_)) => Ok(None),
            (false, _) => builder.ingredient(&name, Origin::Book).map(Some),
        };
        match made {
            Ok(ingredient) => Some(Section::Ingredient(Definition {
                span: draft.drink.span.clone(),
                entries: draft.drink.entries.clone(),
                ingredient,
                price: price.map(|bought| Price {
                    name: name.clone(),
                    offer: Offer::Bought(bought),
                    portion: None,
                    source: source.map_or_else(String::new, |(_, words, _)| words.clone()),
                    since: String::new(),
                }),
                name,
            })),
            Err(why) => {
                self.wrongs.push(Wrong::reject(
                    draft.drink.span.clone(),
                    format!("`{name}`: {why}"),
                ));
                None
            }
        }
    }
}

/// Whether a pour is measured by a unit and named by words that tell at least its kind, none of them a measure: a bartender
/// asks nothing, whatever its written form would say by itself.
fn is_said_plainly(pour: &super::Pour) -> bool {
    let library = crate::ingredient::library();
    let measured = matches!(&pour.measure, Measure::Of(_, Some(_)));
    measured
        && pour.choices.iter().all(|named| {
            let words = || named.name.split(' ');
            words().all(|w| {
                w.chars()
                    .all(|c| c.is_alphabetic() || matches!(c, '-' | '\'' | '’' | '&'))
            }) && words()
                .all(|w| w.len() < 2 || crate::measure::Unit::spelt(w).is_none_or(line::on_the_glass))
                // `irish coffee` is a glass as well.
                && !super::lexicon::is_tagged(&named.name, super::lexicon::Tag::Glass)
                && (library.usual(&named.name).is_some()
                    || crate::ingredient::as_kind(library, &named.name).is_some())
        })
}

/// The shortest line, in bytes, that a page may have broken.
const BROKEN_FROM: usize = 52;
/// The shortest line, in bytes, whose last word may join it to the next: shorter ones are notes to oneself.
const SHORTEST_BROKEN: usize = 24;
/// The longest line of a page that breaks its sentences, in bytes.
const WIDEST_PAGE: usize = 90;

/// Whether the sentence of line `at` goes on in the next one, broken there to fit a page: the line is long, ends with no
/// stop, and ends with a word that joins, or every line above it in its paragraph is as long and the next begins small.
fn goes_on(source: &Source, lines: &[Range<usize>], at: usize) -> bool {
    let text = |i: usize| lines.get(i).map_or("", |range| source.text[range.clone()].trim());
    let (line, next) = (text(at), text(at + 1));
    let marked = |t: &str| t.is_empty() || t.starts_with(['#', '>', '|', '<', '*']) || bullet(t).is_some();
    if line.len() < SHORTEST_BROKEN || marked(next) || line.starts_with(['#', '>', '|', '<']) {
        return false;
    }
    let labelled = next
        .split_once(':')
        .is_some_and(|(label, _)| label.split(' ').count() < 3);
    if labelled || line.ends_with(['.', ';', ':', '!', '?', ')', '|']) {
        return false;
    }
    let last = line.rsplit(' ').next().unwrap_or_default();
    let joins = matches!(
        key(last.trim_end_matches(',')).as_str(),
        "a" | "an"
            | "the"
            | "of"
            | "and"
            | "or"
            | "with"
            | "in"
            | "into"
            | "on"
            | "over"
            | "to"
            | "from"
            | "for"
            | "by"
            | "at"
            | "upon"
            | "your"
            | "its"
            | "until"
            | "some"
            | "add"
    );
    // `… fill with imported Ginger` / `Ale.`: a name that the page broke in two.
    let first = next.split(' ').next().unwrap_or_default();
    let broken = line.len() >= BROKEN_FROM
        && line.len() <= WIDEST_PAGE
        && crate::ingredient::library()
            .usual(&format!("{last} {}", first.trim_end_matches(['.', ',', ';'])))
            .is_some();
    if broken {
        return true;
    }
    let long_above = (0..=at)
        .rev()
        .map(text)
        .take_while(|t| !marked(t))
        .all(|t| t.len() >= BROKEN_FROM);
    let small = next.starts_with(char::is_lowercase) && line.len() >= BROKEN_FROM;
    joins && next.starts_with(char::is_alphanumeric) || small && long_above && line.len() <= WIDEST_PAGE
}

/// Whether a text has no headings at all.
fn is_loose(source: &Source) -> bool {
    source
        .lines()
        .all(|range| !source.text[range].trim_start().starts_with('#'))
}

/// `60 rum / 22 lime / 15 2:1 - shake - coupe`: begins with an amount and has slashes.
fn is_spec_line(text: &str) -> bool {
    let body = bullet(text).map_or(text, |at| &text[at..]);
    body.contains(" / ")
        && body
            .trim_start()
            .starts_with(|c: char| c.is_ascii_digit() || c == '.' || "½¼¾⅓⅔".contains(c))
}

/// `Change log`, `Previous spec`: what is said of it was once so, and nothing of it is poured.
fn is_a_log(label: &str) -> bool {
    let folded = key(label);
    [
        "change log",
        "changelog",
        "changes",
        "previous",
        "old spec",
        "last version",
    ]
    .iter()
    .any(|word| folded == *word || folded.starts_with(&format!("{word} ")))
}

/// Whether people talk a drink over, line by line behind their names: `K: 20 lime?`, `R: make it 25`.
fn is_a_talk(text: &str) -> bool {
    let lines: Vec<&str> = text
        .lines()
        .skip(1)
        .map(str::trim)
        .filter(|l| !l.is_empty())
        .collect();
    let speakers: Vec<&str> = lines
        .iter()
        .filter_map(|line| {
            let (label, said) = line.split_once(':')?;
            let name = label.len() <= 12
                && !label.contains(' ')
                && label.chars().all(char::is_alphabetic)
                && !said.is_empty()
                && !is_heading_word(label)
                && Heading::of(label).is_none()
                && particular_named(label).is_none()
                && !super::lexicon::begins_work(label)
                && !super::lexicon::names_anything(label, &OwnNames::default());
            name.then_some(label)
        })
        .collect();
    let again = speakers
        .iter()
        .enumerate()
        .any(|(i, who)| speakers[..i].contains(who));
    again && speakers.len() > 2 && 2 * speakers.len() > lines.len()
}

/// Words that head a part of a spec and say nothing themselves.
fn is_heading_word(word: &str) -> bool {
    matches!(
        key(word).as_str(),
        "ingredients"
            | "method"
            | "directions"
            | "instructions"
            | "preparation"
            | "steps"
            | "build order"
            | "for the drink"
    )
}

/// Where the words of a list item begin.
fn bullet(text: &str) -> Option<usize> {
    for mark in ["- ", "* ", "+ ", "• ", "‣ ", "◦ ", "– "] {
        if text.starts_with(mark) {
            return Some(mark.len());
        }
    }
    if matches!(text, "-" | "*" | "•") {
        return Some(text.len());
    }
    None
}

/// `coupe`, `coupe, 180 ml`, `coupe (180 ml)`.
fn glass(value: &str, ounce: Option<Ounce>) -> Result<GlassNamed, Expected> {
    const EXPECTED: &str = "expected a name and a capacity such as `coupe, 180 ml`";
    let cleaned = value.replace(['(', ')'], ",");
    let parts: Vec<&str> = cleaned
        .split(',')
        .map(str::trim)
        .filter(|p| !p.is_empty())
        .collect();
    let mut name: Vec<&str> = Vec::new();
    let mut capacity_ml = None;
    for (at, part) in parts.iter().copied().enumerate() {
        // `highball 350 ml`, `tumbler, double 35 cl`: words before the size.
        let digit = part.find(|c: char| c.is_ascii_digit()).filter(|d| *d > 0);
        let (words, size) = match digit {
            Some(digit) if volume(&part[digit..], ounce).is_ok() => (part[..digit].trim(), &part[digit..]),
            _ if at == 0 || volume(part, ounce).is_err() => (part, ""),
            _ => ("", part),
        };
        if !words.is_empty() {
            // Behind the name only what a glass is like.
            if at > 0 && !super::lexicon::is_glass_like(words) {
                return match (capacity_ml, at) {
                    (None, 1) => volume(words, ounce).and(Err(Expected::new(EXPECTED))),
                    _ => Err(Expected::new(EXPECTED)),
                };
            }
            // `coupe, chilled` is a chilled coupe.
            name.insert(0, words);
        }
        if !size.is_empty() {
            if capacity_ml.is_some() {
                return Err(Expected::new(EXPECTED));
            }
            match volume(size, ounce)?.0 {
                ml if ml.is_zero() => return Err(Expected::new("expected a capacity above 0")),
                ml => capacity_ml = Some(ml),
            }
        }
    }
    if name.is_empty() {
        return Err(Expected::new("expected a glass such as `coupe, 180 ml`"));
    }
    Ok(GlassNamed {
        name: name.join(" "),
        capacity_ml,
    })
}

/// How many drinks: `8`, `8 drinks`, `4-6` (the smaller).
fn serves(value: &str) -> Result<Amount, Expected> {
    const EXPECTED: &str = "expected a number of drinks such as `8`";
    let digits: String = value.trim().chars().take_while(char::is_ascii_digit).collect();
    match Amount::decimal(&digits) {
        Ok(count) if count >= Amount::ONE => Ok(count),
        _ => Err(Expected::new(EXPECTED)),
    }
}

/// `30 ml`, `25 % of the mix`, `20 % of the finished drink`.
fn dilution(value: &str, ounce: Option<Ounce>) -> Result<WaterGiven, Expected> {
    const WHICH: &str = "a share of what? expected `25 % of the mix`, `20 % of the finished drink` or a volume such as `30 ml`";
    let Some((number, of)) = value.split_once('%') else {
        return volume(value, ounce).map(|(ml, _)| WaterGiven::Volume(ml));
    };
    let share =
        Amount::decimal(&number.trim().replace(',', ".")).map_err(|e| Expected::new(e.to_string()))?;
    let of = key(of);
    if of.contains("finish") || of.contains("final") {
        if share >= Amount::raw(100, 1) {
            return Err(Expected::new(
                "expected a share below 100 % of the finished drink",
            ));
        }
        Ok(WaterGiven::OfFinished(share))
    } else if of.contains("mix") || of.contains("before") || of.contains("initial") {
        Ok(WaterGiven::OfMix(share))
    } else {
        Err(WHICH.into())
    }
}

/// `96 g before, 148 g after`.
fn weighed(value: &str) -> Result<WaterGiven, Expected> {
    const EXPECTED: &str = "expected two masses such as `96 g before, 148 g after`";
    let (before, after) = value.split_once(',').ok_or(EXPECTED)?;
    let grams = |text: &str, word: &str| {
        let text = text.trim();
        mass(text.strip_suffix(word).unwrap_or(text).trim())
            .map(|(g, _)| g)
            .map_err(|_| Expected::new(EXPECTED))
    };
    let (before_g, after_g) = (grams(before, "before")?, grams(after, "after")?);
    if before_g.is_zero() || after_g < before_g {
        return Err(Expected::new(
            "expected more grams after the ice than before it, and some before",
        ));
    }
    Ok(WaterGiven::Weighed { before_g, after_g })
}
