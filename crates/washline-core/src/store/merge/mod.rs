//! Another house's specs, ingredients, settings, ranges and prices taken into this one: conflicts listed and decided
//! by the caller, all of it or nothing.
//!
//! A spec is followed through its versions: where one house's text is an earlier version of the other's, the later
//! one stands and nobody has to decide. Only where both have gone their own way is there a conflict. What is taken
//! comes with its versions, their dates and the tastings of them, and has to read here: else nothing is taken. What
//! a house has weighed, and its melt, are of its own ice and hands: they stay there.

mod books;
mod history;
mod things;

use std::collections::BTreeSet;
use std::path::Path;

use rusqlite::{Transaction, TransactionBehavior};

use super::copying::Copying;
use super::{House, StoreError, journal};
use crate::names::{key, nearest};
use crate::spec::{Fault, Source};
use crate::tables::When;

/// What can be taken, as the caller limits it.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[strum(serialize_all = "snake_case")]
pub enum Share {
    /// Books with their drinks, preparations and the ingredients they define.
    Specs,
    /// The house's own ingredients.
    Ingredients,
    /// The settings of the house.
    Settings,
    /// The ranges the house has set.
    Ranges,
    /// What the house pays.
    Prices,
    /// What palates said of specs that both houses have.
    Tastings,
}

crate::ingredient::words!(Share);

/// Whose is taken where both have something of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumString, strum::IntoStaticStr, strum::VariantNames)]
#[strum(serialize_all = "snake_case")]
pub enum Side {
    /// This house's stays.
    Ours,
    /// The other's is taken.
    Theirs,
    /// The one that was added later, where both say when.
    Newer,
}

crate::ingredient::words!(Side);

/// How conflicts are decided.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// What is taken at all; empty for everything.
    pub only: Vec<Share>,
    /// Whose, where nothing more is said; `None`: a conflict is left undecided, and nothing is taken.
    pub side: Option<Side>,
    /// Names of what stays as it is here (or stays out, where only they have it).
    pub ours: Vec<String>,
    /// Names of what is taken from there.
    pub theirs: Vec<String>,
}

/// What a thing in a merge is.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[strum(serialize_all = "snake_case")]
pub enum Kind {
    /// A book that only the other house has.
    Book,
    /// What stands under the title of a book: its settings and notes.
    Opening,
    /// A section that gives an ingredient by its figures.
    Definition,
    /// A preparation.
    Preparation,
    /// A drink.
    Drink,
    /// An ingredient of the house.
    Ingredient,
    /// A setting of the house.
    Setting,
    /// A range of the house.
    Range,
    /// A price of the house.
    Price,
    /// What was said of a drink.
    Tasting,
}

crate::ingredient::words!(Kind);

/// What becomes of it.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[strum(serialize_all = "snake_case")]
pub enum MergeOutcome {
    /// Both have something of their own and nobody has decided.
    Undecided,
    /// Only they had it: taken.
    New,
    /// Theirs is a later version of ours: taken.
    Later,
    /// A conflict, decided for theirs.
    Theirs,
    /// A conflict, decided for ours; or left out by name.
    Ours,
    /// Ours is a later version of theirs: it stays.
    Earlier,
    /// Both have the same.
    Same,
}

crate::ingredient::words!(MergeOutcome);

/// One thing that the other house has.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Item {
    /// What it is.
    pub kind: Kind,
    /// Its name.
    pub name: String,
    /// Its book, where it stands in one.
    pub book: Option<String>,
    /// What becomes of it.
    pub outcome: MergeOutcome,
    /// What this house has; empty where it has nothing.
    pub ours: String,
    /// What the other has.
    pub theirs: String,
    /// When ours was added, where that is known.
    pub ours_at: Option<When>,
    /// When theirs was.
    pub theirs_at: Option<When>,
}

/// What a merge did, or would do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Merged {
    /// Everything the other house has that was to be taken, in order.
    pub items: Vec<Item>,
    /// What would no longer read here, or not yet: then nothing was taken.
    pub faults: Vec<Fault>,
    /// Names in the choice that nothing has, each with the nearest that something has.
    pub unknown: Vec<(String, Vec<String>)>,
    /// Whether it was done.
    pub done: bool,
}

impl Merged {
    /// The conflicts that nobody has decided.
    pub fn undecided(&self) -> impl Iterator<Item = &Item> {
        self.items.iter().filter(|i| i.outcome == MergeOutcome::Undecided)
    }

    /// Whether nothing stands in the way: every conflict decided, every name known, everything reads.
    #[must_use]
    pub fn can_be_done(&self) -> bool {
        self.undecided().next().is_none() && self.faults.is_empty() && self.unknown.is_empty()
    }
}

impl House {
    /// Take what the house in another file has. The other file is never written to: it is read into memory, and
    /// brought up to this program's schema there. Without a decision on every conflict, or where something would
    /// not read here, nothing is taken. `try_only` plans and takes nothing.
    ///
    /// # Errors
    /// When the other file is missing, damaged, no house or of a newer program; when this one cannot be written.
    pub fn merge(&mut self, other: &Path, choice: &Choice, try_only: bool) -> Result<Merged, StoreError> {
        if !other.exists() {
            return Err(StoreError::Missing(other.to_owned()));
        }
        let theirs = House::copied(other)?;
        if !self.writable && !try_only {
            return Err(StoreError::ReadOnly(self.path.clone()));
        }
        self.be_sure()?;
        let fail = self.fail();
        let house: &House = self;
        // On the connection that is open already, so that what is being taken can be read while it is.
        let transaction =
            Transaction::new_unchecked(&house.db, TransactionBehavior::Immediate).map_err(&fail)?;
        let at = house.now();
        journal::begin(&transaction, at).map_err(&fail)?;
        let before = house.faults_of_books()?;
        let mut merge = Merge {
            ours: house,
            theirs: &theirs,
            choice,
            transaction: &transaction,
            at,
            items: Vec::new(),
            named: BTreeSet::new(),
        };
        let mut faults = merge.all()?;
        let (items, named) = (merge.items, merge.named);
        let unknown = unknown(choice, &named, &items);
        let undecided = items.iter().any(|i| i.outcome == MergeOutcome::Undecided);
        if !undecided && unknown.is_empty() {
            faults.extend(
                house
                    .faults_of_books()?
                    .into_iter()
                    .filter(|f| !before.iter().any(|b| b.message == f.message && b.file == f.file)),
            );
        }
        faults.dedup();
        let done = !undecided && !try_only && faults.is_empty() && unknown.is_empty();
        if done {
            journal::end(&transaction, &told(other, &items)).map_err(&fail)?;
            if let Some(stale) = house.stale()? {
                house.told.borrow_mut().extend(house.bring_up_to_date(stale)?);
            }
            transaction.commit().map_err(&fail)?;
        } else {
            transaction.rollback().map_err(&fail)?;
        }
        Ok(Merged {
            items,
            faults,
            unknown,
            done,
        })
    }

    /// What does not read in the books of the house as they are.
    fn faults_of_books(&self) -> Result<Vec<Fault>, StoreError> {
        let mut all = Vec::new();
        for title in self.titles()? {
            // A book whose text an older program did not keep is read drink by drink where it is shown.
            let Ok(Some(shelved)) = self.shelved(&title) else {
                continue;
            };
            let (_, faults) = self.read(&[Source::new(title, shelved.text)])?;
            all.extend(faults);
        }
        Ok(all)
    }

    fn book_id(&self, title: &str) -> Result<Option<i64>, StoreError> {
        use rusqlite::OptionalExtension;
        self.db
            .query_row("SELECT id FROM book WHERE title_key = ?1", [key(title)], |row| {
                row.get(0)
            })
            .optional()
            .map_err(self.fail())
    }
}

/// What was taken from whom, counted.
fn told(other: &Path, items: &[Item]) -> String {
    let taken: Vec<&Item> = items
        .iter()
        .filter(|i| {
            matches!(
                i.outcome,
                MergeOutcome::New | MergeOutcome::Later | MergeOutcome::Theirs
            )
        })
        .collect();
    let kinds: BTreeSet<Kind> = taken.iter().map(|i| i.kind).collect();
    let counts: Vec<String> = kinds
        .into_iter()
        .map(|kind| {
            let count = taken.iter().filter(|i| i.kind == kind).count();
            format!("{count} {}{}", kind.word(), if count == 1 { "" } else { "s" })
        })
        .collect();
    format!("merge \"{}\": {}", other.display(), counts.join(", "))
}

/// Names of the choice that no conflict and nothing new has.
fn unknown(choice: &Choice, named: &BTreeSet<String>, items: &[Item]) -> Vec<(String, Vec<String>)> {
    choice
        .ours
        .iter()
        .chain(&choice.theirs)
        .filter(|name| !named.contains(&key(name)))
        .map(|name| {
            let names = items
                .iter()
                .filter(|i| i.outcome != MergeOutcome::Same)
                .map(|i| (i.name.as_str(), i.name.as_str()));
            (name.clone(), nearest(name, names, 3))
        })
        .collect()
}

/// A merge under way.
struct Merge<'a> {
    ours: &'a House,
    theirs: &'a House,
    choice: &'a Choice,
    transaction: &'a Transaction<'a>,
    /// When it is taken, where anybody told.
    at: Option<&'a When>,
    items: Vec<Item>,
    /// The folded names of the choice that something has.
    named: BTreeSet<String>,
}

impl Merge<'_> {
    fn wants(&self, share: Share) -> bool {
        self.choice.only.is_empty() || self.choice.only.contains(&share)
    }

    fn copying(&self) -> Copying<'_> {
        Copying {
            from: &self.theirs.db,
            to: &self.ours.db,
        }
    }

    fn all(&mut self) -> Result<Vec<Fault>, StoreError> {
        if self.wants(Share::Settings) {
            self.settings()?;
        }
        if self.wants(Share::Ingredients) {
            self.ingredients()?;
        }
        if self.wants(Share::Ranges) {
            self.ranges()?;
        }
        if self.wants(Share::Prices) {
            self.prices()?;
        }
        let mut faults = Vec::new();
        if self.wants(Share::Specs) {
            for title in self.theirs.titles()? {
                faults.extend(self.book(&title)?);
            }
        }
        if self.wants(Share::Tastings) {
            self.tastings()?;
        }
        Ok(faults)
    }

    /// Whose a thing is, by its name or by what is said of all; `None` where nothing is.
    fn decided(&mut self, item: &Item) -> Option<Side> {
        let name = key(&item.name);
        let said = |names: &[String]| names.iter().any(|n| key(n) == name);
        let (ours, theirs) = (said(&self.choice.ours), said(&self.choice.theirs));
        if ours || theirs {
            self.named.insert(name);
        }
        match (ours, theirs, self.choice.side) {
            (true, ..) => Some(Side::Ours),
            (_, true, _) => Some(Side::Theirs),
            (.., Some(Side::Newer)) => match (&item.ours_at, &item.theirs_at) {
                (Some(ours), Some(theirs)) if ours < theirs => Some(Side::Theirs),
                (Some(ours), Some(theirs)) if ours > theirs => Some(Side::Ours),
                _ => None,
            },
            (.., said) => said,
        }
    }

    /// Decide a conflict, list it, and say whether theirs is to be taken.
    fn conflict(&mut self, mut item: Item) -> bool {
        item.outcome = match self.decided(&item) {
            Some(Side::Ours) => MergeOutcome::Ours,
            Some(_) => MergeOutcome::Theirs,
            None => MergeOutcome::Undecided,
        };
        let take = item.outcome == MergeOutcome::Theirs;
        self.items.push(item);
        take
    }

    /// List something that only they have, and say whether it is to be taken: unless the caller names it as ours.
    fn fresh(&mut self, mut item: Item) -> bool {
        let name = key(&item.name);
        let left = self.choice.ours.iter().any(|n| key(n) == name);
        if left || self.choice.theirs.iter().any(|n| key(n) == name) {
            self.named.insert(name);
        }
        item.outcome = if left {
            MergeOutcome::Ours
        } else {
            MergeOutcome::New
        };
        self.items.push(item);
        !left
    }

    fn same(&mut self, mut item: Item) {
        item.outcome = MergeOutcome::Same;
        self.items.push(item);
    }
}

fn item(kind: Kind, name: &str) -> Item {
    Item {
        kind,
        name: name.to_owned(),
        book: None,
        outcome: MergeOutcome::Same,
        ours: String::new(),
        theirs: String::new(),
        ours_at: None,
        theirs_at: None,
    }
}
