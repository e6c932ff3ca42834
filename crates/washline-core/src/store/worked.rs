//! Drinks of the house ready to be worked on: as written, resolved and built, with the stock they are
//! poured from. What mends, swaps, batches and prices a drink starts here.

use std::collections::HashMap;
use std::sync::Arc;

use super::results::Current;
use super::{FoundIn, House, StoreError};
use crate::advise::Subject;
use crate::balance::Ranges;
use crate::build::{Built, build};
use crate::ingredient::Stock;
use crate::melt::OwnMelt;
use crate::melt::house::HouseFit;
use crate::names::key;
use crate::prepare::Preparations;
use crate::resolve::{Resolved, ResolvedStep, resolve};
use crate::spec::{Drink, Fault, Settings, Source, Technique, read_under};

/// What the drinks of one book are poured from, and under which settings.
#[derive(Clone, Debug)]
pub struct Context {
    /// The library, over it the house's own ingredients, over them the book's.
    pub stock: Arc<Stock>,
    /// The book's settings over the house's.
    pub settings: Arc<Settings>,
    /// What the book makes for its drinks; the stock has it too.
    pub preparations: Arc<Preparations>,
}

/// A drink of the house, from its text to what is in the glass.
#[derive(Clone, Debug)]
pub struct Worked {
    /// Where it stands.
    pub found_in: FoundIn,
    /// Its text by itself, as typed.
    pub source: Source,
    /// The same as read.
    pub drink: Drink,
    /// What it is poured from.
    pub context: Context,
    /// The ranges that hold under its convention.
    pub ranges: Arc<Ranges>,
    /// Every pour as a liquid.
    pub resolved: Resolved,
    /// What it comes to.
    pub built: Built,
}

impl Worked {
    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.drink.name
    }

    /// The same for what advises on changes.
    #[must_use]
    pub fn subject(&self) -> Subject<'_> {
        Subject {
            drink: &self.drink,
            resolved: &self.resolved,
            built: &self.built,
            ranges: &self.ranges,
            stock: &self.context.stock,
            settings: &self.context.settings,
        }
    }
}

/// A drink read and resolved, with the text it was read from and what it is poured from.
pub(super) type Read = (Source, Drink, Resolved, Context);

/// What drinks of the house share while they are worked out: each book's context, worked out once, and the house's
/// own melt.
pub(super) struct Shared {
    contexts: HashMap<i64, Context>,
    fits: Vec<HouseFit>,
}

impl House {
    /// What the drinks of one pass share.
    pub(super) fn shared(&self) -> Result<Shared, StoreError> {
        Ok(Shared {
            contexts: HashMap::new(),
            fits: self.fits_in_force()?,
        })
    }

    /// Read and resolve a spec of the house under the settings of its book.
    pub(super) fn resolved(
        &self,
        current: &Current,
        shared: &mut Shared,
    ) -> Result<Result<Read, Vec<Fault>>, StoreError> {
        let context = self.context(current.book, shared)?;
        let source = Source::new(current.file.clone(), current.text.clone());
        let mut reading = read_under(&source, &context.settings);
        let Some(drink) = reading.book.take_drink() else {
            return Ok(Err(reading.faults));
        };
        let mut resolved = match resolve(&drink, &context.stock, &context.settings, &source) {
            Ok(resolved) => resolved,
            Err(faults) => return Ok(Err(faults)),
        };
        let worked_by = |technique: Technique| {
            let is = |s: &ResolvedStep| matches!(s, ResolvedStep::Work(work) if work.technique == technique);
            resolved.steps.iter().any(is)
        };
        // Only what bears on this drink: another fit leaves its result as it is.
        let fits = shared
            .fits
            .iter()
            .filter(|f| worked_by(f.technique))
            .cloned()
            .collect();
        resolved.own_melt = OwnMelt {
            weighed: self.weighed(current.spec_version)?,
            fits,
        };
        let missing = context.preparations.missing_in(&drink, &resolved, &source);
        if !missing.is_empty() {
            return Ok(Err(missing));
        }
        Ok(Ok((source, drink, resolved, context)))
    }

    /// The context of a book, worked out once.
    pub(super) fn context(&self, book: i64, shared: &mut Shared) -> Result<Context, StoreError> {
        Ok(match shared.contexts.get(&book) {
            Some(known) => known.clone(),
            None => {
                let context = self.book_context(book)?;
                shared.contexts.insert(book, context.clone());
                context
            }
        })
    }

    /// Every drink of the house that can be worked out, by book and place in it.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn worked(&self) -> Result<Vec<Worked>, StoreError> {
        self.worked_where(|_| true)
    }

    /// The drinks of that name, one a book; empty where there is none that can be worked out.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn worked_named(&self, name: &str) -> Result<Vec<Worked>, StoreError> {
        let wanted = key(name);
        self.worked_where(|current| current.drink_key == wanted)
    }

    fn worked_where(&self, wanted: impl Fn(&Current) -> bool) -> Result<Vec<Worked>, StoreError> {
        self.work_out(self.current()?.into_iter().filter(wanted))
    }

    /// Work these specs out; what cannot be is left out.
    pub(super) fn work_out(&self, specs: impl Iterator<Item = Current>) -> Result<Vec<Worked>, StoreError> {
        let ranges = self.ranges_by_convention()?.map(Arc::new);
        let mut shared = self.shared()?;
        let mut all = Vec::new();
        for current in specs {
            let Ok((source, drink, resolved, context)) = self.resolved(&current, &mut shared)? else {
                continue;
            };
            let built = build(&resolved);
            all.push(Worked {
                found_in: FoundIn {
                    book: current.title,
                    file: current.file,
                    line: current.line,
                    version: current.version,
                },
                source,
                drink,
                context,
                ranges: Arc::clone(&ranges[resolved.convention as usize]),
                resolved,
                built,
            });
        }
        Ok(all)
    }
}
