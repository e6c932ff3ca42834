//! Sheets: rows of a book as this program writes them, or a foreign columns with a map that says what they are.
//!
//! Nothing is guessed: a column whose heading is not known has to be mapped or left out by the caller, a decimal
//! comma is told by its whole column, a cell that a spreadsheet has turned into a date is refused.

mod cells;
mod cut;
mod dates;
mod foreign;
mod native;
mod numbers;
pub(super) mod out;

use self::cut::Sheet;
use self::out::COLUMNS;
use super::drafts::Drafts;
use super::{Options, Setting};
use crate::names::Expected;
use crate::names::{key, nearest};
use crate::spec::Source;

/// How a sheet is to be read, where the caller says so.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CsvOptions {
    /// What stands in which column: heading (or number, from 1) and field.
    pub map: Vec<(String, String)>,
    /// What stands between cells.
    pub delimiter: Option<u8>,
    /// The decimal mark.
    pub decimal: Option<Decimal>,
    /// The headings of the columns it holds for; all that hold numbers, where none is named.
    pub decimal_columns: Vec<String>,
}

/// The mark before the decimals of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Decimal {
    /// `22.5`; a comma parts thousands.
    Point,
    /// `22,5`.
    Comma,
}

/// What a column of a foreign sheet can hold, with the headings that are known to mean it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Field {
    Book,
    Drink,
    Amount,
    Unit,
    Ingredient,
    Pour,
    Step,
    Particular(&'static str),
    Note,
    Comment,
    PricePerLitre,
    LeftOut,
}

/// The fields a column can be mapped to: word, other headings that mean it, what it is.
pub const FIELDS: [(&str, &[&str], &str); 22] = [
    ("book", &["list", "menu"], "the book a drink belongs to"),
    (
        "drink",
        &["name", "cocktail", "drink name"],
        "the name of the drink",
    ),
    ("amount", &["quantity", "qty", "measure"], "how much"),
    ("unit", &["units", "uom"], "of which unit"),
    ("ingredient", &["ingredients", "component", "pours of"], "of what"),
    (
        "pour",
        &["pours"],
        "a whole pour (`50 ml dry gin`), or several on lines of their own",
    ),
    (
        "step",
        &["steps", "method", "build", "directions", "instructions"],
        "work: `shake, strain`",
    ),
    ("glass", &["glassware"], "the glass"),
    ("price", &["menu price", "sells for"], "what it sells for"),
    ("garnish", &["garnishes"], "the garnish"),
    ("structure", &[], "the structure, where the build does not tell"),
    (
        "family",
        &[],
        "the family it is judged by, where the rules tell another",
    ),
    (
        "serve",
        &["total"],
        "the serve before ice, that parts are shares of",
    ),
    ("dilution", &[], "water gained"),
    ("weighed", &[], "masses before and after"),
    ("season", &["seasons"], "when it is poured"),
    ("tags", &["tag"], "words put on it"),
    ("source", &["from"], "where the spec is from"),
    ("note", &["notes", "story"], "words for the reader"),
    ("comment", &["comments"], "words for the writer"),
    (
        "price per litre",
        &["price per liter"],
        "what the ingredient costs; kept as a comment",
    ),
    ("-", &[], "left out"),
];

impl Field {
    fn named(word: &str) -> Option<Field> {
        let wanted = key(word);
        let (known, ..) = FIELDS
            .iter()
            .find(|(name, ..)| *name == word.trim() || key(name) == wanted && !wanted.is_empty())?;
        Some(match *known {
            "book" => Field::Book,
            "drink" => Field::Drink,
            "amount" => Field::Amount,
            "unit" => Field::Unit,
            "ingredient" => Field::Ingredient,
            "pour" => Field::Pour,
            "step" => Field::Step,
            "note" => Field::Note,
            "comment" => Field::Comment,
            "price per litre" => Field::PricePerLitre,
            "-" => Field::LeftOut,
            particular => Field::Particular(particular),
        })
    }

    /// The field that a heading means by itself: `Amount`, `Ingredient 2`.
    fn meant(heading: &str) -> Option<Field> {
        let folded = key(heading);
        let word = folded.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end();
        let (name, ..) = FIELDS
            .iter()
            .find(|(name, others, _)| *name != "-" && (*name == word || others.contains(&word)))?;
        Field::named(name)
    }

    /// Whether the column holds numbers, whose decimal mark has to be known.
    fn is_number(self) -> bool {
        matches!(
            self,
            Field::Amount | Field::Particular("price") | Field::PricePerLitre
        )
    }
}

/// Read a sheet.
///
/// # Errors
/// Where an option fits no column.
pub(super) fn read(
    number: usize,
    file: &Source,
    options: &Options,
    drafts: &mut Drafts<'_>,
) -> Result<(), Expected> {
    let Some(mut sheet) = cut::sheet(number, file, &options.csv, drafts) else {
        return Ok(());
    };
    let folded: Vec<String> = sheet.header.iter().map(|h| key(h)).collect();
    let ours = options.csv.map.is_empty() && COLUMNS.iter().all(|c| folded.iter().any(|h| h == c));
    let fields = if ours {
        // Only the amounts of such a sheet are numbers that a spreadsheet may have written in another way.
        let field = |h: &String| {
            if h == "amount" {
                Field::Amount
            } else {
                Field::LeftOut
            }
        };
        folded.iter().map(field).collect()
    } else {
        match mapped(&sheet, &options.csv, drafts)? {
            Some(fields) => fields,
            None => return Ok(()),
        }
    };
    sheet.numbers(&fields, &options.csv, drafts)?;
    if ours {
        sheet.native(&folded, options, drafts);
    } else {
        sheet.foreign(&fields, options, drafts);
    }
    Ok(())
}

/// The field of every column; `None` where one is not known, which is then a fault.
fn mapped(
    sheet: &Sheet<'_>,
    options: &CsvOptions,
    drafts: &mut Drafts<'_>,
) -> Result<Option<Vec<Field>>, Expected> {
    let words: Vec<&str> = FIELDS.iter().map(|(name, ..)| *name).collect();
    let mut fields: Vec<Option<Field>> = vec![None; sheet.header.len()];
    for (heading, word) in &options.map {
        let columns = sheet.columns(heading)?;
        let field = Field::named(word).ok_or_else(|| {
            let near = nearest(word, words.iter().map(|w| (*w, *w)), 1);
            let hint = near
                .first()
                .map(|n| format!("; `{n}` perhaps"))
                .unwrap_or_default();
            let said = drafts.worded(&Setting::Column(heading.clone(), word.clone()));
            format!(
                "{said}: `{word}` is no field{hint}; expected one of: {}",
                words.join(", ")
            )
        })?;
        for column in columns {
            fields[column] = Some(field);
        }
    }
    let mut unknown = Vec::new();
    for (field, heading) in fields.iter_mut().zip(&sheet.header) {
        if field.is_none() {
            *field = Field::meant(heading);
        }
        if field.is_none() {
            // A column without a heading and without cells is nothing.
            let column = sheet
                .header
                .iter()
                .position(|h| std::ptr::eq(h, heading))
                .unwrap_or(0);
            if heading.is_empty()
                && sheet
                    .rows
                    .iter()
                    .all(|r| r.cells.get(column).is_none_or(String::is_empty))
            {
                *field = Some(Field::LeftOut);
            } else {
                unknown.push(heading.clone());
            }
        }
    }
    if !unknown.is_empty() {
        let example = unknown.iter().map(|h| (h.clone(), "…".to_owned())).collect();
        let message = format!(
            "{}: what stands there? say it with {}; the fields are {}",
            unknown
                .iter()
                .map(|h| format!("`{h}`"))
                .collect::<Vec<_>>()
                .join(", "),
            drafts.worded(&Setting::Columns(example)),
            words.join(", ")
        );
        drafts.ask(sheet.number, sheet.header_span.clone(), message, Vec::new());
        return Ok(None);
    }
    let fields: Vec<Field> = fields.into_iter().flatten().collect();
    let count = |wanted: Field| fields.iter().filter(|f| **f == wanted).count();
    let pours = count(Field::Ingredient);
    if count(Field::Drink) != 1 {
        let one = Setting::Columns(vec![("HEADING".to_owned(), "drink".to_owned())]);
        let message = format!(
            "{} columns hold the drink's name; expected one: {}",
            count(Field::Drink),
            drafts.worded(&one)
        );
        drafts.reject(sheet.number, sheet.header_span.clone(), message);
        return Ok(None);
    }
    for (field, word) in [(Field::Amount, "amount"), (Field::Unit, "unit")] {
        let n = count(field);
        // One unit may hold for a row; else each ingredient has its own.
        if n > 0 && n != pours {
            let message =
                format!("{n} columns of {word} for {pours} of ingredient; expected as many of both");
            drafts.reject(sheet.number, sheet.header_span.clone(), message);
            return Ok(None);
        }
    }
    Ok(Some(fields))
}

impl Sheet<'_> {}
