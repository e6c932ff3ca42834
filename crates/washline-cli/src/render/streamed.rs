//! JSON that is written as it is made: what a list of drinks comes to takes many times the room of its text.

use std::cell::{Cell, RefCell};
use std::io::{self, BufWriter, Write};

use serde::ser::{Error as _, SerializeSeq as _, SerializeStruct};
use serde::{Serialize, Serializer};
use washline_core::computed::Summary;
use washline_core::store::StoreError;

use washline_view::drink::Drink;
use washline_view::parts::Version;
use washline_view::preparation::Preparation;
use washline_view::shared::{Fault, each};

use super::writer::serializer;
use crate::drink_source::{Passing, Rest};

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
    let mut out = BufWriter::new(out);
    let mut serializer = serializer(&mut out);
    let mut object = serializer.serialize_struct("check", 5)?;
    object.serialize_field("schema", &Version)?;
    object.serialize_field("convention", passing.convention())?;
    let drinks = passing.summaries()?;
    let passed = Each {
        drinks: RefCell::new(drinks.inspect(|drink| drink.iter().for_each(&mut seen))),
        stopped: Cell::new(None),
    };
    let written = object.serialize_field("drinks", &passed);
    if let Some(error) = passed.stopped.take() {
        return Err(Stopped::Store(error));
    }
    drop(passed);
    written?;
    let Rest { preparations, faults } = passing.rest()?;
    object.serialize_field("preparations", &each::<_, Preparation<'_>>(&preparations))?;
    object.serialize_field("faults", &each::<_, Fault<'_>>(&faults))?;
    SerializeStruct::end(object)?;
    out.write_all(b"\n")
        .and_then(|()| out.flush())
        .map_err(Stopped::Output)?;
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
                Ok(drink) => all.serialize_element(&Drink::from(&drink))?,
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

#[cfg(test)]
mod tests {
    use washline_core::computed::{Bar, Look};

    use super::*;

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
        assert_eq!(text, super::super::written(&value));
    }
}
