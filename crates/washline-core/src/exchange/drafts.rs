//! Books being put together from files: every line knows where it came from, so that what does not read is
//! shown in the file it stands in.

use std::ops::Range;

use super::{Import, Made, Options, Remark, Setting, Worded};
use crate::names::key;
use crate::spec::{self, Fault, Source, Unplaced};

/// A line of a book with the place it came from.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub text: String,
    pub file: usize,
    pub span: Range<usize>,
}

/// A section: its heading and its lines.
#[derive(Clone, Debug)]
pub(super) struct Part {
    pub name: Placed,
    pub lines: Vec<Placed>,
}

/// A book being put together.
#[derive(Clone, Debug)]
struct Draft {
    title: Placed,
    opening: Vec<Placed>,
    parts: Vec<Part>,
    /// A book that came as a book, kept to the byte.
    whole: Option<String>,
}

/// The books being put together, and what there is to say about them.
pub(super) struct Drafts<'a> {
    files: &'a [Source],
    drafts: Vec<Draft>,
    remarks: Vec<Remark>,
    faults: Vec<Fault>,
    worded: Worded,
}

impl<'a> Drafts<'a> {
    pub fn new(files: &'a [Source], worded: Worded) -> Drafts<'a> {
        Drafts {
            files,
            worded,
            drafts: Vec::new(),
            remarks: Vec::new(),
            faults: Vec::new(),
        }
    }

    /// What would settle a question, as its reader is told.
    pub fn worded(&self, setting: &Setting) -> String {
        (self.worded)(setting)
    }

    pub fn remark(&mut self, file: usize, at: usize, message: impl Into<String>) {
        let source = &self.files[file];
        self.remarks.push(Remark {
            file: source.file.clone(),
            line: source.position(at).0,
            message: message.into(),
        });
    }

    pub fn reject(&mut self, file: usize, span: Range<usize>, message: impl Into<String>) {
        self.faults
            .push(Unplaced::reject(span, message).at(&self.files[file]));
    }

    pub fn ask(
        &mut self,
        file: usize,
        span: Range<usize>,
        message: impl Into<String>,
        readings: Vec<String>,
    ) {
        self.faults
            .push(Unplaced::ask(span, message, readings).at(&self.files[file]));
    }

    /// The book of that title, begun if it is not there yet.
    pub fn book(&mut self, title: Placed) -> usize {
        match self
            .drafts
            .iter()
            .position(|s| key(&s.title.text) == key(&title.text))
        {
            Some(at) => at,
            None => {
                self.drafts.push(Draft {
                    title,
                    opening: Vec::new(),
                    parts: Vec::new(),
                    whole: None,
                });
                self.drafts.len() - 1
            }
        }
    }

    /// What stands under the title of a book. Two files may both say it, if they say the same.
    pub fn open(&mut self, book: usize, opening: Vec<Placed>) {
        let draft = &mut self.drafts[book];
        let same = |a: &[Placed], b: &[Placed]| a.iter().map(|l| &l.text).eq(b.iter().map(|l| &l.text));
        if draft.opening.is_empty() {
            draft.opening = opening;
        } else if !opening.is_empty() && !same(&draft.opening, &opening) {
            let (at, title) = (opening[0].clone(), draft.title.text.clone());
            self.reject(
                at.file,
                at.span,
                format!("the book `{title}` has another opening in a file before this one; expected its settings and notes once"),
            );
        }
    }

    /// Another section of a book.
    pub fn put(&mut self, book: usize, part: Part) {
        self.drafts[book].parts.push(part);
    }

    /// Whether a book has a section of that name already.
    pub fn has(&self, book: usize, name: &str) -> bool {
        self.drafts[book]
            .parts
            .iter()
            .any(|p| key(&p.name.text) == key(name))
    }

    /// Whether anything of a file could not be read so far.
    pub fn has_faults_of(&self, file: usize) -> bool {
        self.faults.iter().any(|f| f.file == self.files[file].file)
    }

    /// A file that is a book as it stands.
    pub fn take_book(&mut self, number: usize, file: &Source, options: &Options) {
        let reading = spec::read(file);
        self.faults.extend(reading.faults);
        let title = match reading.book.title {
            title if !title.is_empty() => title,
            _ => options.book.clone().unwrap_or_else(|| file.file.clone()),
        };
        let at = Placed {
            text: title,
            file: number,
            span: 0..0,
        };
        let known = self.drafts.len();
        let book = self.book(at.clone());
        if book < known {
            let message = format!("a second book called `{}`; expected each title once", at.text);
            self.reject(number, 0..0, message);
        } else {
            self.drafts[book].whole = Some(file.text.clone());
        }
    }

    /// The books, read to see whether they can be: what cannot is a fault of the file it came from.
    pub fn finish(mut self) -> Import {
        let mut books = Vec::new();
        for draft in std::mem::take(&mut self.drafts) {
            if let Some(text) = draft.whole {
                books.push(Made {
                    title: draft.title.text,
                    text,
                });
                continue;
            }
            let (text, from) = bound(&draft);
            let source = Source::new("", text.clone());
            for fault in spec::read(&source).faults {
                let made = text.lines().nth(fault.line - 1).unwrap_or_default();
                if let Some(place) = from.get(fault.line - 1) {
                    self.faults.push(moved(fault, made, place, self.files));
                }
            }
            books.push(Made {
                title: draft.title.text,
                text,
            });
        }
        self.faults
            .sort_by(|a, b| (&a.file, a.line, a.column).cmp(&(&b.file, b.line, b.column)));
        self.faults.dedup();
        self.remarks
            .sort_by(|a, b| (&a.file, a.line).cmp(&(&b.file, b.line)));
        Import {
            books,
            remarks: self.remarks,
            faults: self.faults,
        }
    }
}

/// The text of a book as the program writes it, and where each of its lines came from.
fn bound(draft: &Draft) -> (String, Vec<Placed>) {
    let mut text = String::new();
    let mut from: Vec<Placed> = Vec::new();
    let mut line = |words: &str, place: &Placed| {
        text.push_str(words);
        text.push('\n');
        from.push(place.clone());
    };
    line(&format!("# {}", draft.title.text), &draft.title);
    let mut last = &draft.title;
    let opening = without_end(&draft.opening);
    // A blank line sets the title off, as in every book that is written.
    if opening.first().is_some_and(|placed| !placed.text.is_empty()) {
        line("", &draft.title);
    }
    for placed in opening {
        line(&placed.text, placed);
        last = placed;
    }
    for part in &draft.parts {
        line("", last);
        line(&format!("## {}", part.name.text), &part.name);
        last = &part.name;
        for placed in without_end(&part.lines) {
            line(&placed.text, placed);
            last = placed;
        }
    }
    (text, from)
}

/// Lines without the empty ones at their end.
fn without_end(lines: &[Placed]) -> &[Placed] {
    let filled = lines
        .iter()
        .rposition(|l| !l.text.is_empty())
        .map_or(0, |at| at + 1);
    &lines[..filled]
}

/// A fault of a made line as a fault of what it was made from.
fn moved(fault: Fault, made: &str, place: &Placed, files: &[Source]) -> Fault {
    let source = &files[place.file];
    let (line, column) = source.position(place.span.start);
    let stands = source.text.get(place.span.clone()).unwrap_or_default();
    let words = made.strip_prefix("- ").unwrap_or(made);
    let message = if stands.contains(words) {
        fault.message
    } else {
        format!("{}; in the line `{made}`", fault.message)
    };
    Fault {
        file: source.file.clone(),
        line,
        column,
        span: place.span.clone(),
        kind: fault.kind,
        message,
        suggestions: fault.suggestions,
        cure: fault.cure,
    }
}
