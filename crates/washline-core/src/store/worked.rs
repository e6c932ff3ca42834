//! Drinks of the house, worked out from its specs: what mends, swaps, batches and prices a drink starts here.

use std::collections::HashMap;
use std::sync::Arc;

use super::current::Current;
use super::{House, StoreError};
use crate::computed::{ComputedDrink, Context, FoundIn, RangesOfBoth, expect};
use crate::melt::OwnMelt;
use crate::melt::fitted::MeltFit;
use crate::names::key;
use crate::spec::{Fault, Settings, Source};

/// What drinks of the house share while they are worked out: each book's context, worked out once, the ranges, and
/// the house's own melt.
pub(super) struct Shared {
    contexts: HashMap<i64, Context>,
    /// The titles and the settings of the lists, read where a drink stands on several.
    lists: Option<(HashMap<i64, String>, HashMap<i64, Settings>)>,
    ranges: RangesOfBoth,
    fits: Vec<MeltFit>,
}

impl Shared {
    /// The ranges that drinks are judged by.
    pub(super) fn ranges(&self) -> &RangesOfBoth {
        &self.ranges
    }

    /// The melt of a spec that nobody has weighed yet.
    pub(super) fn own_melt(&self) -> OwnMelt {
        OwnMelt {
            weighed: None,
            fits: self.fits.clone(),
        }
    }
}

impl House {
    /// What the drinks of one pass share.
    pub(super) fn shared(&self) -> Result<Shared, StoreError> {
        Ok(Shared {
            contexts: HashMap::new(),
            lists: None,
            ranges: self.ranges_by_convention()?.map(Arc::new),
            fits: self.fits_in_force()?,
        })
    }

    /// Work a spec of the house out under the settings of its book; or every fault of it.
    pub(super) fn computed(
        &self,
        current: &Current,
        shared: &mut Shared,
    ) -> Result<Result<ComputedDrink, Vec<Fault>>, StoreError> {
        let mut context = self.context(current.book, shared)?;
        if !current.also_on.is_empty() {
            if shared.lists.is_none() {
                shared.lists = Some((self.titles_by_id()?, self.settings_by_list()?));
            }
            context.settings = self.with_words_of(&context.settings, &current.also_on, shared);
        }
        let titles = shared.lists.as_ref().map(|(titles, _)| titles);
        let found_in = FoundIn {
            book: current.title.clone(),
            also_on: current
                .also_on
                .iter()
                .filter_map(|id| titles?.get(id).cloned())
                .collect(),
            file: current.file.clone(),
            line: current.line,
            version: current.version,
        };
        let own = OwnMelt {
            weighed: self.weighed(current.spec_version)?,
            fits: shared.fits.clone(),
        };
        let source = Source::new(current.file.clone(), current.text.clone());
        Ok(ComputedDrink::of(source, found_in, context, &shared.ranges, own))
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

    /// Settings with the seasons and tags of more lists.
    fn with_words_of(&self, settings: &Arc<Settings>, more: &[i64], shared: &Shared) -> Arc<Settings> {
        let Some((_, all)) = &shared.lists else {
            return settings.clone();
        };
        let mut with = (**settings).clone();
        for list in more.iter().filter_map(|id| all.get(id)) {
            with.take_words_of(list);
        }
        Arc::new(with)
    }

    /// Every drink of the house that can be worked out, by book and place in it; one that stands on several lists once.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks(&self) -> Result<Vec<ComputedDrink>, StoreError> {
        self.refresh_named(&[])?;
        self.work_out(self.poured_where("1", [])?.into_iter())
    }

    /// The drinks of that name: one a book, unless it is the same drink on several. Empty where there is none that can be
    /// worked out.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks_named(&self, name: &str) -> Result<Vec<ComputedDrink>, StoreError> {
        let name = key(name);
        self.refresh_named(std::slice::from_ref(&name))?;
        let wanted = self.poured_where("c.drink_key = ?1", [name])?;
        self.work_out(wanted.into_iter())
    }

    /// Work these specs out; what cannot be is left out.
    pub(super) fn work_out(
        &self,
        specs: impl Iterator<Item = Current>,
    ) -> Result<Vec<ComputedDrink>, StoreError> {
        let mut shared = self.shared()?;
        let mut all = Vec::new();
        expect(specs.size_hint().0);
        for current in specs {
            all.extend(self.computed(&current, &mut shared)?.ok());
        }
        Ok(all)
    }
}
