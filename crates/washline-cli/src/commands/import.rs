use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::exchange::{self, CsvOptions, Decimal, Options};
use washline_core::spec::Source;

use super::{Call, add, export};
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::inputs;
use crate::output::Output;
use crate::render::{self, plain};
use washline_view::files::Imported;
use washline_view::remedy;

/// Take in what others have: a sheet, a book as JSON, or recipes from web pages saved to disk.
///
/// What comes in becomes the text of a book, which is shown; `--add` keeps it in the house, all or nothing. What does
/// not read is shown with its place in the file, and nothing is left out silently: a pour stays where it stood, a
/// sentence of a method stays as a note. In a sheet the usual headings are known (drink, amount, unit, ingredient,
/// glass, price, method …); other columns have to be mapped, or left out with `-`. Decimal commas are told by the
/// whole column, a fraction that a spreadsheet has turned into a date is refused, and another encoding than
/// utf-8 is offered and never guessed. Amounts of a recipe for four are divided by four, exactly.
///
/// Example: washline import fixtures/exchange/night-list.csv --book "Night list"
#[derive(Debug, Args)]
pub struct Import {
    /// Files to read; `-` for standard input.
    #[arg(value_name = "FILE", required = true)]
    files: Vec<PathBuf>,

    /// csv, json, recipe-json-ld or book; told from the file where it is not given.
    #[arg(long, value_name = "FORMAT")]
    format: Option<String>,

    /// What stands in the columns of a sheet: "HEADING=field,…"; a heading or a number, from 1.
    #[arg(long = "map", value_name = "PAIRS")]
    map: Vec<String>,

    /// What stands between the cells of a sheet: `,`, `;` or tab; told from the file where it is not given.
    #[arg(long, value_name = "MARK")]
    delimiter: Option<String>,

    /// The decimal mark of a sheet: point or comma; told from each column where it is not given.
    #[arg(long, value_name = "MARK")]
    decimal: Option<String>,

    /// The columns that mark holds for: "HEADING,…"; all that hold numbers where none is named.
    #[arg(long, value_name = "HEADINGS")]
    decimal_columns: Option<String>,

    /// The encoding of the files, where it is not utf-8: windows-1252, iso-8859-15, utf-16le …
    #[arg(long, value_name = "NAME")]
    encoding: Option<String>,

    /// The title of the book that everything goes into, where the files name none.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,

    /// How many serves the amounts of a recipe are for, where the page does not say so.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=500))]
    serves: Option<u32>,

    /// Keep the books in the house, all or nothing.
    #[arg(long, conflicts_with = "to")]
    add: bool,

    /// Write each book to a file in this folder.
    #[arg(long, value_name = "FOLDER")]
    to: Option<PathBuf>,
}

impl Import {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let options = self.options()?;
        let mut output = Output::default();
        let files = self.sources(&mut output)?;
        let import = exchange::import(&files, &options).map_err(CliError::usage)?;
        output.faulty = !import.faults.is_empty();
        let sources: Vec<Source> = import.books.iter().map(|book| book.source(&files)).collect();
        if !call.json {
            for remark in &import.remarks {
                let said = format!("{}:{}: {}", remark.file, remark.line, remark.message);
                output.notes.push_str(&render::wrapped(&plain(&said), "", "  "));
            }
            output.notes.push_str(&render::faults(&import.faults, &files));
        }
        let mut kept = None;
        if self.add && !output.faulty {
            if !call.json {
                return add::keep(call, &sources, output.notes);
            }
            let stored = add::stored(call, &sources, &mut output.notes)?;
            output.faulty = stored.is_err();
            kept = Some(stored);
        } else if self.add && !call.json {
            output.notes.push_str(&render::not_stored(import.faults.len()));
            return Ok(output);
        }
        if let Some(folder) = &self.to {
            self.write_out(call, folder, &sources, &import.books, &mut output)?;
        }
        if call.json {
            output.out = render::written(&Imported::of(&import, kept.as_ref().map(add::shape)));
            return Ok(output);
        }
        if self.to.is_some() {
            return Ok(output);
        }
        match import.books.as_slice() {
            [] => {}
            [only] => (output.out, output.exact) = render::exchange::data(&only.text),
            several => {
                let titles: BTreeSet<&str> = several.iter().map(|b| b.title.as_str()).collect();
                return Err(CliError::usage(format!(
                    "{} books come of this, and one text holds one; expected --book TITLE (all in one), --to FOLDER or --add",
                    several.len()
                ))
                .hint(titles.into_iter().collect::<Vec<_>>().join("; "))
                .after(output.notes));
            }
        }
        Ok(output)
    }

    fn options(&self) -> Result<Options, CliError> {
        let mut map = Vec::new();
        for pair in self.map.iter().flat_map(|m| m.split(',')) {
            let (heading, field) = pair.rsplit_once('=').ok_or_else(|| {
                CliError::usage(format!(
                    "--map {pair}: expected HEADING=field, such as \"Menge=amount\""
                ))
                .hint("a heading that holds a comma can be named by the number of its column")
            })?;
            map.push((heading.trim().to_owned(), field.trim().to_owned()));
        }
        let decimal = match self.decimal.as_deref() {
            None => None,
            Some("point") => Some(Decimal::Point),
            Some("comma") => Some(Decimal::Comma),
            Some(other) => {
                return Err(CliError::usage(format!(
                    "--decimal {other}: expected point or comma"
                )));
            }
        };
        Ok(Options {
            format: self.format.as_deref().map(export::format_named).transpose()?,
            book: self.book.clone(),
            serves: self.serves,
            worded: remedy::setting,
            csv: CsvOptions {
                map,
                delimiter: self.delimiter.as_deref().map(export::delimiter).transpose()?,
                decimal,
                decimal_columns: self
                    .decimal_columns
                    .iter()
                    .flat_map(|c| c.split(','))
                    .map(|c| c.trim().to_owned())
                    .collect(),
            },
        })
    }

    fn sources(&self, output: &mut Output) -> Result<Vec<Source>, CliError> {
        inputs::bytes(&self.files)?
            .into_iter()
            .map(|(name, bytes)| {
                let (source, used) = exchange::decode(name, bytes, self.encoding.as_deref())
                    .map_err(|e| CliError::input(e.to_string()).hint(remedy::undecoded(&e.hint)))?;
                if used != "UTF-8" {
                    output
                        .notes
                        .push_str(&format!("{}: decoded as {used}\n", plain(&source.file)));
                }
                Ok(source)
            })
            .collect()
    }

    fn write_out(
        &self,
        call: &Call,
        folder: &Path,
        sources: &[Source],
        books: &[exchange::Made],
        output: &mut Output,
    ) -> Result<(), CliError> {
        let titles: Vec<&str> = books.iter().map(|b| b.title.as_str()).collect();
        let paths: Vec<PathBuf> = export::file_names(&titles, exchange::Format::Book)
            .iter()
            .map(|name| folder.join(name))
            .collect();
        let new: Vec<(&Path, &str)> = paths
            .iter()
            .zip(sources)
            .map(|(path, source)| (path.as_path(), source.text.as_str()))
            .collect();
        files::put(&new, false, &Kept::new(call.house.as_deref(), None, &self.files)?)?;
        for path in &paths {
            output
                .notes
                .push_str(&format!("written: {}\n", plain(&path.display().to_string())));
        }
        Ok(())
    }
}
