use std::collections::HashSet;
use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::exchange::{self, Format, Shelved};
use washline_core::find::Query;
use washline_core::names::{key, nearest};
use washline_core::spec::Source;

use super::Call;
use super::only::{self, Only};
use crate::asked::NONE_HOLDS;
use crate::drink_source::{DrinkSource, Found};
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::output::Output;
use crate::render;
use crate::render::exchange::{file_of, files_written};

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

    #[command(flatten)]
    only: Only,

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
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
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
        let mut output = Output::default();
        let Found {
            drink_source,
            faults,
            sources,
        } = Found::open(call.house.as_deref(), &self.files)?;
        if !faults.is_empty() {
            output.faulty = true;
            if call.json {
                output.out = render::written(&washline_view::books::Added::nothing(&faults));
            } else {
                output.notes = render::faults(&faults, &sources);
            }
            return Ok(output);
        }
        let mut books = self.chosen(&drink_source, &sources)?;
        if let Some(query) = self.only.query(call)? {
            output
                .notes
                .push_str(&part(&query, call, &drink_source, &mut books)?);
        }
        let whole = |books: &[Shelved]| {
            let text = exchange::write(books, format, delimiter);
            if self.bom && format == Format::Csv {
                format!("\u{feff}{text}")
            } else {
                text
            }
        };
        if format == Format::Recipe {
            output.notes.push_str(
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
            (output.out, output.exact) = render::exchange::data(&whole(&books));
            return Ok(output);
        };
        let is_folder = out.is_dir() || out.as_os_str().to_string_lossy().ends_with(['/', '\\']);
        let kept = Kept::new(call.house.as_deref(), drink_source.house(), &self.files)?;
        // What goes where: a file for each book, or one for all.
        let parts: Vec<(PathBuf, &[Shelved])> = if is_folder {
            let titles: Vec<&str> = books.iter().map(|b| b.title.as_str()).collect();
            let names = file_names(&titles, format);
            names
                .iter()
                .map(|name| out.join(name))
                .zip(books.chunks(1))
                .collect()
        } else if several {
            return Err(CliError::usage(format!(
                "{} books, and a file of text holds one; expected --book TITLE or --out FOLDER/",
                books.len()
            )));
        } else {
            vec![(out.clone(), books.as_slice())]
        };
        let texts: Vec<String> = parts.iter().map(|(_, books)| whole(books)).collect();
        let new: Vec<(&Path, &str)> = parts
            .iter()
            .zip(&texts)
            .map(|((path, _), text)| (path.as_path(), text.as_str()))
            .collect();
        files::put(&new, self.replace, &kept)?;
        let files: Vec<_> = parts
            .iter()
            .zip(&texts)
            .map(|((path, books), text)| file_of(path, format, books, text))
            .collect();
        output.out = files_written(&files, call.json);
        Ok(output)
    }

    /// The books that are asked for: of the house, or of the files.
    fn chosen(&self, drink_source: &DrinkSource, sources: &[Source]) -> Result<Vec<Shelved>, CliError> {
        let of_files: Vec<Shelved> = sources.iter().map(Shelved::read).collect();
        let titles: Vec<String> = match drink_source {
            DrinkSource::House(house) => house.titles()?,
            DrinkSource::Books(..) => of_files.iter().map(|book| book.title.clone()).collect(),
        };
        if let Some((at, title)) = titles
            .iter()
            .enumerate()
            .find(|(at, title)| titles[..*at].iter().any(|other| key(other) == key(title)))
        {
            let file = sources.get(at).map_or("", |source| source.file.as_str());
            return Err(CliError::input(format!(
                "{file}: {}",
                exchange::second_book(title)
            )));
        }
        let wanted = if self.books.is_empty() {
            &titles
        } else {
            &self.books
        };
        let mut books = Vec::new();
        for title in wanted {
            let found = match drink_source {
                DrinkSource::House(house) => house.shelved(title)?,
                DrinkSource::Books(..) => of_files
                    .iter()
                    .find(|book| key(&book.title) == key(title))
                    .cloned(),
            };
            match found {
                Some(book) => books.push(book),
                None => {
                    let near = nearest(title, titles.iter().map(|t| (t.as_str(), t.as_str())), 3);
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

/// Leave of the books only the drinks of which a question holds; a book without any is left out. What is to be said of
/// that.
fn part(
    query: &Query,
    call: &Call,
    drink_source: &DrinkSource,
    books: &mut Vec<Shelved>,
) -> Result<String, CliError> {
    let settings = drink_source.settings()?;
    let facts = only::facts(query, call, drink_source)?;
    let (drinks, notes) = only::drinks(query, &facts, call, drink_source)?;
    let kept: HashSet<(String, String)> = drinks
        .iter()
        .flat_map(|d| d.found_in.lists().map(|list| (key(list), key(d.name()))))
        .collect();
    books.retain(|book| kept.iter().any(|(title, _)| *title == key(&book.title)));
    for book in books.iter_mut() {
        let title = key(&book.title);
        *book = book.with_only(&settings, &|name| kept.contains(&(title.clone(), key(name))));
    }
    if books.is_empty() {
        return Err(CliError::input(format!("{NONE_HOLDS}; nothing was written")).after(notes));
    }
    Ok(notes)
}

/// The format so called.
pub fn format_named(word: &str) -> Result<Format, CliError> {
    Format::from_word(word).ok_or_else(|| {
        let near = nearest(word, Format::WORDS.iter().map(|w| (*w, *w)), 1);
        let words = Format::WORDS.join(", ");
        CliError::usage(format!("--format {word}: expected one of: {words}")).near(&near)
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

/// File names for books of these titles, one each.
pub fn file_names(titles: &[&str], format: Format) -> Vec<String> {
    let ending = match format {
        Format::Csv => "csv",
        Format::Json => "json",
        Format::Book => "md",
        Format::Recipe => "jsonld",
    };
    washline_core::files::names(titles, ending)
}
