//! JSON that is written as it is made: what a list of drinks comes to takes many times the room of its text.

use std::cell::{Cell, RefCell};
use std::io::{self, Write};

use serde::ser::{Error as _, SerializeSeq as _, SerializeStruct};
use serde::{Serialize, Serializer};
use washline_core::computed::Summary;
use washline_core::store::StoreError;

use super::{json, preparation};
use crate::plain::escaped;
use crate::shelf::{Passing, Rest};

/// Why it is not all written.
pub enum Stopped {
    /// The drinks could not be read.
    Store(StoreError),
    /// Nobody takes it, or the disk is full.
    Output(io::Error),
}

impl From<serde_json::Error> for Stopped {
    fn from(error: serde_json::Error) -> Stopped {
        Stopped::Output(error.into())
    }
}

impl From<StoreError> for Stopped {
    fn from(error: StoreError) -> Stopped {
        Stopped::Store(error)
    }
}

/// The drinks of a list one after the other as they pass, each of them seen, and what belongs to the list besides. Gives
/// how many faults there are.
pub fn check(
    out: impl Write,
    mut passing: Passing<'_>,
    mut seen: impl FnMut(&Summary),
) -> Result<usize, Stopped> {
    let mut out = Escaping::new(out);
    let mut serializer = serde_json::Serializer::pretty(&mut out);
    let mut object = serializer.serialize_struct("check", 5)?;
    object.serialize_field("schema", &json::SCHEMA)?;
    object.serialize_field("convention", passing.convention())?;
    let drinks = passing.summaries()?;
    let each = Each {
        drinks: RefCell::new(drinks.inspect(|drink| drink.iter().for_each(&mut seen))),
        stopped: Cell::new(None),
    };
    let written = object.serialize_field("drinks", &each);
    if let Some(error) = each.stopped.take() {
        return Err(Stopped::Store(error));
    }
    drop(each);
    written?;
    let Rest { preparations, faults } = passing.rest()?;
    object.serialize_field("preparations", &preparation::values(&preparations))?;
    object.serialize_field("faults", &faults)?;
    SerializeStruct::end(object)?;
    out.end().map_err(Stopped::Output)?;
    Ok(faults.len())
}

struct Each<I> {
    drinks: RefCell<I>,
    stopped: Cell<Option<StoreError>>,
}

impl<I: Iterator<Item = Result<Summary, StoreError>>> Serialize for Each<I> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut all = serializer.serialize_seq(None)?;
        for drink in &mut *self.drinks.borrow_mut() {
            match drink {
                Ok(drink) => all.serialize_element(&json::summary(&drink))?,
                Err(error) => {
                    let told = S::Error::custom(&error);
                    self.stopped.set(Some(error));
                    return Err(told);
                }
            }
        }
        all.end()
    }
}

/// Writes JSON with nothing hidden in it, as [`escaped`] does with a whole text.
struct Escaping<W> {
    to: W,
    held: String,
}

/// So much is held before it is let go, bytes.
const HELD: usize = 1 << 16;

impl<W: Write> Escaping<W> {
    fn new(to: W) -> Escaping<W> {
        Escaping {
            to,
            held: String::new(),
        }
    }

    fn let_go(&mut self) -> io::Result<()> {
        let held = std::mem::take(&mut self.held);
        self.to.write_all(escaped(held).as_bytes())
    }

    fn end(mut self) -> io::Result<()> {
        self.held.push('\n');
        self.let_go()?;
        self.to.flush()
    }
}

impl<W: Write> Write for Escaping<W> {
    /// What is written is whole characters, for it is pieces of texts.
    fn write(&mut self, piece: &[u8]) -> io::Result<usize> {
        let text = str::from_utf8(piece).map_err(|e| io::Error::new(io::ErrorKind::InvalidData, e))?;
        self.held.push_str(text);
        if self.held.len() >= HELD {
            self.let_go()?;
        }
        Ok(piece.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.let_go()?;
        self.to.flush()
    }
}

#[cfg(test)]
mod tests {
    use washline_core::computed::{Bar, Look};

    use super::*;

    #[test]
    fn what_is_written_in_pieces_is_what_is_written_at_once() {
        let long: Vec<String> = (0..20_000).map(|n| format!("{n} \u{202e}é \u{1}")).collect();
        let mut bytes = Vec::new();
        let mut out = Escaping::new(&mut bytes);
        serde_json::to_writer_pretty(&mut out, &long).unwrap();
        out.end().unwrap();
        assert_eq!(String::from_utf8(bytes).unwrap(), json::text(&long));
    }

    #[test]
    fn a_list_of_no_drinks_is_whole() {
        let mut bytes = Vec::new();
        let bar = Bar::default();
        let passing = Passing::of_books(Look::new(&[], &bar));
        assert!(check(&mut bytes, passing, |_| {}).is_ok());
        let text = String::from_utf8(bytes).unwrap();
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["drinks"], serde_json::json!([]));
        // As a list that is written at once.
        assert_eq!(text, json::text(&value));
    }
}
