//! Writing a book back: the inverse of reading, comments and order kept.

use std::fmt::{self, Display, Write as _};

use super::{Book, Entry, Extent, Pour, PourAmount, PourMethod, Step, Work};
use crate::measure::{Amount, Unit};

/// The text of a book. `format(read(text))` reads as the same book, and writes as the same text.
#[must_use]
pub fn format(book: &Book) -> String {
    let mut text = format_opening(book);
    for section in &book.sections {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(&format_entries(section.name(), section.entries()));
    }
    text
}

/// The title of a book with what stands under it, ended by a line end.
pub(crate) fn format_opening(book: &Book) -> String {
    let mut text = String::new();
    if !book.title.is_empty() {
        let _ = writeln!(text, "# {}\n", book.title);
    }
    entries(&mut text, &book.opening);
    ended(text)
}

/// The text of a section that has these lines.
pub(crate) fn format_entries(name: &str, lines: &[Entry]) -> String {
    let mut text = format!("## {name}\n");
    entries(&mut text, lines);
    ended(text)
}

/// A text without the blank lines at its end.
fn ended(mut text: String) -> String {
    let end = text.trim_end().len();
    text.truncate(end);
    if !text.is_empty() {
        text.push('\n');
    }
    text
}

/// The text of one drink's section, as [`format()`] writes it.
#[must_use]
pub fn format_drink(drink: &super::Drink) -> String {
    let mut text = format!("## {}\n", drink.name);
    entries(&mut text, &drink.entries);
    text
}

/// The text of one section's lines, without its heading.
fn entries(text: &mut String, entries: &[Entry]) {
    for entry in entries {
        let _ = match entry {
            Entry::Blank => writeln!(text),
            Entry::Comment(words) => writeln!(text, "<!-- {words} -->"),
            Entry::Note(words) => writeln!(text, "> {words}"),
            Entry::Particular(key, value) => writeln!(text, "{key}: {value}"),
            Entry::Step(line) => writeln!(text, "- {}", line.step),
        };
    }
}

impl Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Step::Pour(pour) => pour.fmt(f),
            Step::Work(work) => work.fmt(f),
            Step::Ice(ice) | Step::OverIce(ice) => f.write_str(&ice.words),
            Step::Strain { fine: true } => f.write_str("fine strain"),
            Step::Strain { fine: false } => f.write_str("strain"),
            Step::Unstrained => f.write_str("unstrained"),
            Step::Neat => f.write_str("neat"),
            Step::Rest(seconds) => write!(f, "rest {}", time(*seconds)),
            Step::Garnish(words) => write!(f, "garnish {words}"),
            Step::Prepare(prepare) => f.write_str(&prepare.words),
        }
    }
}

/// Seconds in the unit a bar would say them in.
fn time(seconds: Amount) -> String {
    let minute = Amount::raw(60, 1);
    let minutes = seconds * Amount::raw(1, 60);
    for (unit, long, least) in [("days", 86_400, 172_800), ("h", 3600, 7200)] {
        let many = seconds * Amount::raw(1, long);
        if seconds >= Amount::raw(least, 1) && many.exact_decimal().is_some_and(|m| !m.contains('.')) {
            return format!("{many} {unit}");
        }
    }
    if seconds >= Amount::raw(120, 1) && minutes.exact_decimal().is_some_and(|m| !m.contains('.')) {
        format!("{minutes} min")
    } else if seconds == minute {
        "1 min".to_owned()
    } else {
        format!("{seconds} s")
    }
}

impl Display for Work {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.technique.written())?;
        if let Some(seconds) = self.seconds {
            write!(f, " {}", time(seconds))?;
        }
        if let Some(ice) = &self.ice {
            match ice.mass_g {
                Some(grams) => write!(f, " with {grams} g {}", ice.words)?,
                None => write!(f, " with {}", ice.words)?,
            }
        }
        if !self.words.is_empty() {
            write!(f, " {}", self.words)?;
        }
        Ok(())
    }
}

impl Pour {
    /// The percentage of the line, as it is written: `20 % w/v`.
    #[must_use]
    pub fn percentage(&self) -> Option<String> {
        let strength = self.strength_pct?;
        Some(match self.per {
            Some(per) => format!("{strength} % {}", per.written()),
            None => format!("{strength} %"),
        })
    }
}

impl Display for Pour {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // `8 mint leaves`: the counting word stands in the name, where it was typed.
        let counted = matches!(self.choices.as_slice(), [only] if only.full != only.name);
        let amount = match &self.measure {
            PourAmount::Of(extent, unit) if counted => extent_text(extent, *unit),
            _ => amount(self),
        };
        let names: Vec<String> = self
            .choices
            .iter()
            .map(|named| {
                let name = if counted { &named.full } else { &named.name };
                if named.any {
                    format!("any {name}")
                } else {
                    name.clone()
                }
            })
            .collect();
        let words = [place(self), amount, names.join(" or ")];
        let words: Vec<&str> = words
            .iter()
            .map(String::as_str)
            .filter(|w| !w.is_empty())
            .collect();
        f.write_str(&words.join(" "))?;
        if let Some(percentage) = self.percentage() {
            write!(f, " ({percentage})")?;
        }
        // In brackets a note may hold a number; after a comma that would be a second amount.
        match self.note.as_str() {
            "" => Ok(()),
            note if note.contains(['(', ')']) => write!(f, ", {note}"),
            note => write!(f, " ({note})"),
        }
    }
}

/// A pour as a book writes it.
pub(super) fn pour_text(pour: &Pour) -> String {
    pour.to_string()
}

/// How a pour goes in, as a book says it.
fn place(pour: &Pour) -> String {
    match pour.place {
        PourMethod::In => "",
        PourMethod::Top if pour.measure == PourAmount::Fill => "top with",
        PourMethod::Top => "top",
        PourMethod::Float => "float",
        PourMethod::Rinse => "rinse",
        PourMethod::Mist => "mist",
    }
    .to_owned()
}

/// The amount of a pour with its unit, as a book writes it.
pub(crate) fn amount(pour: &Pour) -> String {
    match &pour.measure {
        PourAmount::Of(extent, unit) => {
            let unit_text = unit.map_or("", |u| u.written_after(extent.high));
            format!("{} {unit_text}", extent_text(extent, *unit))
                .trim_end()
                .to_owned()
        }
        PourAmount::Open(None) => "to taste".to_owned(),
        PourAmount::Open(Some(unit)) => format!("? {}", unit.facts().written.0),
        PourAmount::Fill | PourAmount::Usual => String::new(),
    }
}

fn extent_text(extent: &Extent, unit: Option<Unit>) -> String {
    let text = |amount: Amount| unit.map_or_else(|| amount.to_string(), |u| u.amount_text(amount));
    match extent.word {
        Some(word) => word.to_owned(),
        None if extent.is_exact() => text(extent.nominal),
        None => format!("{}-{}", text(extent.low), text(extent.high)),
    }
}
