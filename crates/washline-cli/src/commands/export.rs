use std::collections::HashSet;
use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::exchange::{self, Format, Shelved};
use washline_core::find::{Facts, Query};
use washline_core::names::{key, nearest};
use washline_core::store::House;

use super::Call;
use super::only::{self, Only};
use crate::clock;
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::house;
use crate::outcome::Outcome;
use crate::render;
use crate::render::exchange::{file_of, files_written};
use crate::shelf::Shelf;

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
        let mut books = self.chosen(&house)?;
        let query = self.only.query(call)?;
        let (house, left_out) = match query {
            None => (house, String::new()),
            Some(query) => self.part(&query, call, house, &mut books)?,
        };
        outcome.notes.push_str(&left_out);
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
            (outcome.out, outcome.exact) = render::exchange::data(&whole(&books));
            return Ok(outcome);
        };
        let is_folder = out.is_dir() || out.as_os_str().to_string_lossy().ends_with(['/', '\\']);
        let kept = Kept::new(call.house.as_deref(), Some(&house), &self.files)?;
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
        outcome.out = files_written(&files, call.json);
        Ok(outcome)
    }

    /// The house, or the files in a house in memory; `None` where they do not read, which the outcome says.
    fn opened(&self, call: &Call, outcome: &mut Outcome) -> Result<Option<House>, CliError> {
        if self.files.is_empty() {
            return Ok(Some(house::to_read(call.house.as_deref())?));
        }
        let sources = house::texts(&self.files)?;
        let mut house = House::in_memory()?;
        match house.add_books(&sources)? {
            Ok(_) => Ok(Some(house)),
            Err(faults) if call.json => {
                outcome.faulty = true;
                outcome.out = render::written(&washline_view::books::Added::nothing(&faults));
                Ok(None)
            }
            Err(faults) => {
                outcome.faulty = true;
                outcome.notes = render::faults(&faults, &sources);
                Ok(None)
            }
        }
    }

    /// Leave of the books only the drinks of which a question holds; a book without any is left out.
    fn part(
        &self,
        query: &Query,
        call: &Call,
        house: House,
        books: &mut Vec<Shelved>,
    ) -> Result<(House, String), CliError> {
        let settings = house.settings()?;
        let shelf = Shelf::House(house);
        let facts = if self.files.is_empty() {
            only::facts(query, call, &shelf)?
        } else {
            // Files have no tastings, whatever house they are looked at in; what they do not price, the house does.
            let today = clock::today();
            let own = shelf.prices(None, Some(today))?;
            let house = house::path(call.house.as_deref())?;
            let prices = match house.exists() {
                true => own.over(house::to_read(Some(&house))?.prices(Some(today))?),
                false => own,
            };
            Facts::default().with_prices(prices)
        };
        let (drinks, notes) = only::drinks(query, &facts, call, &shelf)?;
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
            return Err(CliError::input("no drinks of which that holds; nothing was written").after(notes));
        }
        match shelf {
            Shelf::House(house) => Ok((house, notes)),
            Shelf::Books(..) => Err(CliError::internal("an export reads a house")),
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
