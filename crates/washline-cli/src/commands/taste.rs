use clap::Args;
use washline_core::balance::Palate;
use washline_core::names::{key, meant, nearest};
use washline_core::store::{House, NewTasting, NotTasted};

use super::{Call, show};
use crate::error::CliError;
use crate::output::Output;
use crate::render::taste::{listed, tasted};
use crate::{clock, inputs};

/// Keep what the palate says of a drink: the figures narrow the search, tasting decides.
///
/// A verdict is `right`, or what is off: too strong, too weak, too sweet, too tart, flat; more than one, or words of
/// your own. It belongs to the version of the spec that was tasted. `washline ranges learn` makes ranges of the
/// drinks that were tasted right.
///
/// Example: washline taste "Platform Fog" --verdict "too tart" --by "the porter"
#[derive(Debug, Args)]
pub struct Taste {
    /// The drink.
    #[arg(value_name = "NAME")]
    name: String,

    /// What the palate says.
    #[arg(
        long,
        value_name = "WORDS",
        required_unless_present = "list",
        conflicts_with = "list"
    )]
    verdict: Option<String>,

    /// What else there is to say.
    #[arg(long, value_name = "WORDS", default_value = "", conflicts_with = "list")]
    note: String,

    /// Who tasted.
    #[arg(long, value_name = "WHO", default_value = "", conflicts_with = "list")]
    by: String,

    /// When: a day (2025-11-24) or a moment (2025-11-24T18:30, with or without an offset); now where it is not given.
    #[arg(long, value_name = "WHEN", conflicts_with = "list")]
    at: Option<String>,

    /// The book, where more than one has a drink of that name.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,

    /// Which version of the spec was tasted; the one poured now where it is not given.
    #[arg(long, value_name = "N", conflicts_with = "list")]
    version: Option<i64>,

    /// List the trials of the drink.
    #[arg(long)]
    list: bool,
}

impl Taste {
    /// The name in full, where the house has one that is meant by it.
    fn in_full(&mut self, house: &House) -> Result<(), CliError> {
        let listed = house.list()?;
        if let Some(name) = meant(&self.name, listed.iter().map(|l| l.name.as_str())) {
            self.name = name.to_owned();
        }
        Ok(())
    }

    pub fn run(mut self, call: &Call) -> Result<Output, CliError> {
        let out = if self.list {
            let house = inputs::to_read(call.house.as_deref())?;
            self.in_full(&house)?;
            let mut trials = house.tastings(&self.name)?;
            if let Some(book) = &self.book {
                let shared = house.list()?;
                let stands = |of: &str| {
                    key(of) == key(book)
                        || shared.iter().any(|l| {
                            l.book == of
                                && key(&l.name) == key(&self.name)
                                && l.also_on.iter().any(|list| key(list) == key(book))
                        })
                };
                trials.retain(|t| stands(&t.book));
            }
            if trials.is_empty() && !self.is_listed(&house)? {
                return Err(self.unknown(&house)?);
            }
            listed(&self.name, &trials, call.json)
        } else {
            let verdict = Palate::read(self.verdict.as_deref().unwrap_or_default())
                .map_err(|expected| CliError::usage(format!("--verdict: {expected}")))?;
            let at = clock::moment(self.at.as_deref())?;
            let path = inputs::path(call.house.as_deref())?;
            if !path.exists() {
                // A trial of a drink that nobody has makes no house.
                inputs::to_read(call.house.as_deref())?;
            }
            let mut notes = String::new();
            let mut house = inputs::to_write(call.house.as_deref(), &mut notes)?;
            self.in_full(&house)?;
            let trial = NewTasting {
                drink: &self.name,
                book: self.book.as_deref(),
                version: self.version,
                verdict: &verdict,
                note: self.note.trim(),
                taster: self.by.trim(),
                at,
            };
            match house.taste(&trial)? {
                Ok(kept) => tasted(&kept, call.json),
                Err(NotTasted::NoDrink) => return Err(self.unknown(&house)?),
                Err(NotTasted::SeveralBooks(titles)) => {
                    return Err(CliError::input(format!(
                        "`{}` stands in {} books; expected --book TITLE",
                        self.name,
                        titles.len()
                    ))
                    .hint(titles.join("; ")));
                }
                Err(NotTasted::NoVersion(last)) => {
                    let version = self.version.unwrap_or_default();
                    return Err(show::no_version(&self.name, version, last));
                }
            }
        };
        Ok(Output::of(out))
    }

    fn is_listed(&self, house: &House) -> Result<bool, CliError> {
        Ok(house.list()?.iter().any(|l| {
            key(&l.name) == key(&self.name)
                && self.book.as_ref().is_none_or(|b| {
                    std::iter::once(&l.book)
                        .chain(&l.also_on)
                        .any(|list| key(list) == key(b))
                })
        }))
    }

    fn unknown(&self, house: &House) -> Result<CliError, CliError> {
        let names = house.list()?;
        let near = nearest(
            &self.name,
            names.iter().map(|l| (l.name.as_str(), l.name.as_str())),
            3,
        );
        let place = self
            .book
            .as_ref()
            .map_or_else(|| "here".to_owned(), |b| format!("in `{b}`"));
        Ok(CliError::input(format!("no drink `{}` {place}", self.name)).near(&near))
    }
}
