//! What whoever imports a file can settle, as data: a command line words it as its options.

use std::fmt;

use super::Decimal;

/// What a file leaves open, with what would settle it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Setting {
    /// The format of the file: any of them.
    Format,
    /// What stands in columns: headings and fields, where known.
    Columns(Vec<(String, String)>),
    /// What stands in one column, as somebody said it: heading and field.
    Column(String, String),
    /// What stands between the cells.
    Delimiter(char),
    /// The mark before decimals.
    Decimal(Decimal),
    /// The encoding, by its name.
    Encoding(&'static str),
    /// How many serves the amounts are for; `None` where any number would do.
    Serves(Option<i128>),
}

/// How a setting is worded to whoever settles it.
pub type Worded = fn(&Setting) -> String;

/// As one says it who knows no options.
impl fmt::Display for Setting {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Setting::Format => f.write_str("a format"),
            Setting::Columns(columns) => {
                let said: Vec<String> = columns
                    .iter()
                    .map(|(h, field)| format!("`{h}` as {field}"))
                    .collect();
                write!(f, "columns: {}", said.join(", "))
            }
            Setting::Column(heading, field) => write!(f, "column `{heading}` as {field}"),
            Setting::Delimiter(mark) => write!(f, "`{mark}` between cells"),
            Setting::Decimal(Decimal::Point) => f.write_str("a decimal point"),
            Setting::Decimal(Decimal::Comma) => f.write_str("a decimal comma"),
            Setting::Encoding(name) => write!(f, "the encoding {name}"),
            Setting::Serves(Some(n)) => write!(f, "amounts for {n}"),
            Setting::Serves(None) => f.write_str("a number of serves"),
        }
    }
}
