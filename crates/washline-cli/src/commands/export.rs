use std::fs::OpenOptions;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::exchange::{self, Format, Shelved};
use washline_core::names::{key, nearest};
use washline_core::store::House;

use super::Call;
use crate::error::CliError;
use crate::house;
use crate::outcome::Outcome;
use crate::render::exchange::{Written, written};
use crate::render::{self, plain};

/// Hand your list to a colleague, a spreadsheet or a web page: books as text, sheet, JSON or recipes.
///
/// Writes the books of the house, or the files named. The book text is the one that was added, to the byte where
/// nothing has changed since. What goes out as `book`, `json` or `csv` comes back the same with `washline import`.
/// In a sheet every cell that a spreadsheet would run as a formula or turn into a date has an apostrophe before it,
/// which import takes away again. Recipes are for others to read: they lose settings (which ounce), comments, given
/// water and ingredients that the book defines.
///
/// Example: washline export fixtures/books/lantern-halt.md --format csv
#[derive(Debug, Args)]
pub struct Export {
    /// Books to write in another format; without any, those of the house.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,

    /// csv, json, book or recipe-json-ld.
    #[arg(long, value_name = "FORMAT")]
    format: Option<String>,

    /// Only this book; given more than once, these.
    #[arg(long = "book", value_name = "TITLE")]
    books: Vec<String>,

    /// Write to this file, which must not exist; to a folder, a file for each book.
    #[arg(long, value_name = "PATH")]
    out: Option<PathBuf>,

    /// Write over a file that is there.
    #[arg(long, requires = "out")]
    replace: bool,

    /// What stands between the cells of a sheet: `,`, `;` or tab.
    #[arg(long, value_name = "MARK", default_value = ",")]
    delimiter: String,

    /// Begin a sheet with a byte-order mark: some spreadsheets read accents only then.
    #[arg(long)]
    bom: bool,
}

impl Export {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let format = match &self.format {
            Some(word) => format_named(word)?,
            None if call.json => Format::Json,
            None => Format::Book,
        };
        if call.json && self.out.is_none() && format != Format::Json {
            return Err(CliError::usage(format!(
                "--json prints JSON, --format {format} something else; expected one of them, or --out"
            )));
        }
        let delimiter = delimiter(&self.delimiter)?;
        let mut outcome = Outcome::default();
        let house = match self.opened(call, &mut outcome)? {
            Some(house) => house,
            None => return Ok(outcome),
        };
        let books = self.chosen(&house)?;
        let whole = |books: &[Shelved]| {
            let text = exchange::write(books, format, delimiter);
            if self.bom && format == Format::Csv {
                format!("\u{feff}{text}")
            } else {
                text
            }
        };
        if format == Format::Recipe {
            outcome.notes.push_str(
                "recipes have no settings, comments, given water or defined ingredients: those stay behind\n",
            );
        }
        let several = format == Format::Book && books.len() > 1;
        let Some(out) = &self.out else {
            if several {
                let titles: Vec<&str> = books.iter().map(|b| b.title.as_str()).collect();
                return Err(CliError::usage(format!(
                    "{} books, and a text holds one; expected --book TITLE or --out FOLDER/",
                    books.len()
                ))
                .hint(titles.join("; ")));
            }
            outcome.out = render::exchange::data(&whole(&books));
            return Ok(outcome);
        };
        let is_folder = out.is_dir() || out.as_os_str().to_string_lossy().ends_with(['/', '\\']);
        let mut files = Vec::new();
        if is_folder {
            std::fs::create_dir_all(out)
                .map_err(|e| CliError::input(format!("{} cannot be made: {e}", out.display())))?;
            // Looked at before anything is written: all of them, or none.
            let paths: Vec<PathBuf> = books
                .iter()
                .map(|b| out.join(file_name(&b.title, format)))
                .collect();
            if let Some(there) = paths.iter().find(|p| p.exists() && !self.replace) {
                return Err(is_there(there));
            }
            for (book, path) in books.iter().zip(paths) {
                let text = whole(std::slice::from_ref(book));
                put(&path, &text, self.replace)?;
                files.push(Written::of(&path, format, std::slice::from_ref(book), &text));
            }
        } else {
            if several {
                return Err(CliError::usage(format!(
                    "{} books, and a file of text holds one; expected --book TITLE or --out FOLDER/",
                    books.len()
                )));
            }
            let text = whole(&books);
            put(out, &text, self.replace)?;
            files.push(Written::of(out, format, &books, &text));
        }
        outcome.out = written(&files, call.json);
        Ok(outcome)
    }

    /// The house, or the files in a house in memory; `None` where they do not read, which the outcome says.
    fn opened(&self, call: &Call, outcome: &mut Outcome) -> Result<Option<House>, CliError> {
        if self.files.is_empty() {
            return Ok(Some(house::to_read(call.house.as_deref())?));
        }
        let sources = house::texts(&self.files)?;
        let mut house = House::in_memory()?;
        match house.add_books(&sources, "")? {
            Ok(_) => Ok(Some(house)),
            Err(faults) if call.json => {
                outcome.faulty = true;
                outcome.out = render::json::faults(&faults);
                Ok(None)
            }
            Err(faults) => {
                outcome.faulty = true;
                outcome.notes = render::faults(&faults, &sources);
                Ok(None)
            }
        }
    }

    fn chosen(&self, house: &House) -> Result<Vec<Shelved>, CliError> {
        let titles = house.titles()?;
        let wanted: Vec<String> = if self.books.is_empty() {
            titles.clone()
        } else {
            self.books.clone()
        };
        let mut books = Vec::new();
        for title in wanted {
            match house.shelved(&title)? {
                Some(book) => books.push(book),
                None => {
                    let near = nearest(&title, titles.iter().map(|t| (t.as_str(), t.as_str())), 3);
                    return Err(CliError::input(format!("no book `{title}` here")).near(&near));
                }
            }
        }
        if books.is_empty() {
            return Err(CliError::input("the house has no book yet").hint("washline add BOOK.md keeps one"));
        }
        Ok(books)
    }
}

/// The format so called.
pub fn format_named(word: &str) -> Result<Format, CliError> {
    Format::from_word(word).ok_or_else(|| {
        let words = Format::ALL.map(Format::word);
        let near = nearest(word, words.map(|w| (w, w)), 1);
        CliError::usage(format!("--format {word}: expected one of: {}", words.join(", "))).near(&near)
    })
}

/// A mark that can stand between cells.
pub fn delimiter(text: &str) -> Result<u8, CliError> {
    match text {
        "tab" | "\\t" => Ok(b'\t'),
        mark if mark.len() == 1 && !mark.contains(['"', '\n', '\r']) && mark.is_ascii() => {
            Ok(mark.as_bytes()[0])
        }
        other => Err(CliError::usage(format!(
            "--delimiter {other}: expected one mark such as `,`, `;` or tab"
        ))),
    }
}

/// A file name for a book: its folded title, with what no file system minds.
pub fn file_name(title: &str, format: Format) -> String {
    let stem: String = key(title)
        .chars()
        .map(|c| if c.is_alphanumeric() { c } else { '-' })
        .collect();
    let stem = stem
        .split('-')
        .filter(|p| !p.is_empty())
        .collect::<Vec<_>>()
        .join("-");
    let ending = match format {
        Format::Csv => "csv",
        Format::Json => "json",
        Format::Book => "md",
        Format::Recipe => "jsonld",
    };
    format!("{}.{ending}", if stem.is_empty() { "book" } else { &stem })
}

fn is_there(path: &Path) -> CliError {
    CliError::input(format!(
        "{} is there already; it was left as it is",
        plain(&path.display().to_string())
    ))
    .hint("--replace writes over it")
}

/// Write a text to a file: a new one, or in the place of the old one where that is asked for.
pub fn put(path: &Path, text: &str, replace: bool) -> Result<(), CliError> {
    let mut options = OpenOptions::new();
    options.write(true);
    if replace {
        options.create(true).truncate(true);
    } else {
        options.create_new(true);
    }
    let done = options
        .open(path)
        .and_then(|mut file| file.write_all(text.as_bytes()));
    done.map_err(|e| match e.kind() {
        std::io::ErrorKind::AlreadyExists => is_there(path),
        _ => CliError::input(format!("{} cannot be written: {e}", path.display())),
    })
}
