//! What helps, worded as commands: nobody else names one.

use washline_core::exchange::{Decimal, Setting, Undecoding};
use washline_core::service::cost::Unpriced;
use washline_core::spec::Cure;
use washline_core::store::StoreError;
use washline_core::tables::Remedy;

/// A remedy as it is typed.
#[must_use]
pub fn worded(remedy: &Remedy) -> String {
    match remedy {
        Remedy::Words(words) => words.clone(),
        Remedy::Mend { drink } => format!("washline mend \"{drink}\""),
        Remedy::Measure => {
            "read labels, weigh, titrate: washline ingredient set NAME --strength … --sugar … --source label"
                .to_owned()
        }
        Remedy::MeasureAgain { of } => {
            format!("measure again: washline ingredient set \"{of}\" … --source …")
        }
        Remedy::Price { of } => format!("washline ingredient price \"{of}\" --package … --price …"),
        Remedy::Yield { of: None, .. } => "give its price a --yield".to_owned(),
        Remedy::Yield {
            of: Some(of),
            such_as,
        } => {
            let such_as = such_as
                .as_ref()
                .map_or_else(String::new, |such| format!(" \"{such}\""));
            format!("washline ingredient price \"{of}\" … --yield{such_as}")
        }
        Remedy::Portion => "give its price a --portion".to_owned(),
        Remedy::Bottle => "`bottle:` in the book, or `washline ingredient price`".to_owned(),
        Remedy::OtherServing => "`--serving ready` or `to-order`".to_owned(),
        Remedy::AddBook => "`washline add BOOK.md` starts a house there".to_owned(),
        Remedy::AskForBook => {
            "ask for it as a book (`washline export --format book`), or restore a backup".to_owned()
        }
    }
}

/// A sentence with what helps, where something does.
fn with(sentence: impl ToString, remedy: Option<Remedy>) -> String {
    match remedy {
        Some(remedy) => format!("{}: {}", sentence.to_string(), worded(&remedy)),
        None => sentence.to_string(),
    }
}

/// How what stands on a sheet of a tasting is typed back; `NAME` stands for the drink.
pub const TASTE: &str = "washline taste \"NAME\" --verdict \"too sweet\" --note \"…\" --by \"…\" --version N";

/// What settles what an imported file leaves open, as it is typed.
#[must_use]
pub fn setting(setting: &Setting) -> String {
    match setting {
        Setting::Format => "--format csv, json, recipe-json-ld or book".to_owned(),
        Setting::Columns(columns) => {
            let pairs: Vec<String> = columns.iter().map(|(h, field)| format!("{h}={field}")).collect();
            format!("--map \"{}\"", pairs.join(","))
        }
        Setting::Column(heading, field) => format!("--map {heading}={field}"),
        Setting::Delimiter(mark) => format!("--delimiter '{mark}'"),
        Setting::Decimal(Decimal::Comma) => "--decimal comma".to_owned(),
        Setting::Decimal(Decimal::Point) => "--decimal point".to_owned(),
        Setting::Encoding(name) => format!("--encoding {name}"),
        Setting::Serves(Some(n)) => format!("--serves {n}"),
        Setting::Serves(None) => "--serves N".to_owned(),
    }
}

/// What helps with bytes that are no text.
#[must_use]
pub fn undecoded(hint: &Undecoding) -> String {
    match hint {
        Undecoding::NameOne => {
            "expected a name such as utf-8, windows-1252, iso-8859-15 or utf-16le".to_owned()
        }
        Undecoding::NameAnother => "name the encoding it was saved in, or save it as UTF-8".to_owned(),
        Undecoding::Perhaps { encoding, begins } => format!(
            "as {encoding} the line begins `{begins}`: if that is right, add {}; else name the encoding it was saved in",
            setting(&Setting::Encoding(encoding))
        ),
    }
}

/// Why a line is not priced, and what helps.
#[must_use]
pub fn not_priced(why: &Unpriced) -> String {
    with(why, why.remedy())
}

/// Why a house cannot be opened, and what helps.
#[must_use]
pub fn not_opened(error: &StoreError) -> String {
    with(error, error.remedy())
}

/// What helps with every fault of a sort.
#[must_use]
pub fn of_faults(cure: Cure) -> &'static str {
    match cure {
        Cure::Define => {
            "What nobody lists is said once: in the book (`## its name`, `is: an ingredient`, `strength: 20 %`, `sugar: 180 g/L`, `source: label`, or `makes: an ingredient` and what goes into it), or with `washline ingredient add`."
        }
        Cure::Settle => {
            "A word that always means the same in your house is settled once: under the title of the book (`vermouth: dry vermouth`), or with `washline settings set`."
        }
    }
}
