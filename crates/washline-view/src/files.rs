//! What went into files and came out of them.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::computed::{Left as LeftSection, Tidied};
use washline_core::exchange::{self, Format};
use washline_core::spec;
use washline_core::store::merge::{self, Kind, MergeOutcome};
use washline_core::store::{self, Refreshed};

use crate::books::Added;
use crate::parts::{Moment, Text, Version, Word, shape, spoken, texts};
use crate::shared::{DrinkOf, Fault, each};

spoken!(
    Format = "format",
    Kind = "kind",
    MergeOutcome = "outcome_of_a_merge"
);

/// The files that were written.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline export --out")]
pub struct Written<'a> {
    pub schema: Version,
    #[schemars(length(min = 1))]
    pub written: &'a [WrittenFile],
}

impl<'a> Written<'a> {
    #[must_use]
    pub fn of(written: &'a [WrittenFile]) -> Written<'a> {
        Written {
            schema: Version,
            written,
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "written_file")]
pub struct WrittenFile {
    pub file: Text<'static>,
    pub format: Word<Format>,
    #[schemars(range(min = 1))]
    pub books: usize,
    pub drinks: usize,
    #[schemars(range(min = 1))]
    pub bytes: usize,
}

/// What files came to: the text of books, what was done with them, and what could not be read.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline import")]
pub struct Imported<'a> {
    pub schema: Version,
    pub books: Vec<ImportedBook<'a>>,
    /// What was taken for granted, divided, or kept as a note.
    pub remarks: Vec<ImportRemark<'a>>,
    pub faults: Vec<Fault<'a>>,
    /// What keeping the books did; null where they were not to be kept, or could not be.
    pub added: Option<Added<'a>>,
}

impl<'a> Imported<'a> {
    pub fn of(import: &'a exchange::Import, added: Option<Added<'a>>) -> Imported<'a> {
        Imported {
            schema: Version,
            books: import
                .books
                .iter()
                .map(|book| ImportedBook {
                    title: (&book.title).into(),
                    text: (&book.text).into(),
                })
                .collect(),
            remarks: each(&import.remarks),
            faults: each(&import.faults),
            added,
        }
    }
}

#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "imported_book")]
pub struct ImportedBook<'a> {
    pub title: Text<'a>,
    /// The book as `washline add` takes it.
    pub text: Text<'a>,
}

shape! {
    ImportRemark<'a> = "import_remark" of remark: &'a exchange::Remark {
        file: Text<'a> = (&remark.file).into(),
        #[schemars(range(min = 1))]
        line: usize = remark.line,
        message: Text<'a> = (&remark.message).into(),
    }
}

/// The copy that was made.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline backup")]
pub struct BackedUp<'a> {
    pub schema: Version,
    pub file: Text<'a>,
    #[schemars(range(min = 1))]
    pub bytes: u64,
}

/// The page that was written.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline report FILE.html")]
pub struct Reported<'a> {
    pub schema: Version,
    /// The page, as it was named.
    pub file: Text<'a>,
    /// How many drinks are on it.
    pub drinks: usize,
    #[schemars(range(min = 1))]
    pub bytes: usize,
    /// What could not be read or worked out.
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Reported<'a> {
    pub fn of(file: &'a str, drinks: usize, bytes: usize, faults: &'a [spec::Fault]) -> Reported<'a> {
        Reported {
            schema: Version,
            file: file.into(),
            drinks,
            bytes,
            faults: each(faults),
        }
    }
}

/// A book in its clean form, as it was read.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline tidy")]
pub struct TidyBook<'a> {
    pub schema: Version,
    /// The book, or `<standard input>`.
    pub file: Text<'a>,
    /// All of it in its clean form.
    pub text: &'a str,
    /// Whether that is another text than was read.
    pub changed: bool,
    /// Whether it was put in the file.
    pub written: bool,
    /// Sections that are left as they are typed.
    pub left: Vec<Left<'a>>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> TidyBook<'a> {
    pub fn of(file: &'a str, tidied: &'a Tidied, changed: bool, written: bool) -> TidyBook<'a> {
        TidyBook {
            schema: Version,
            file: file.into(),
            text: &tidied.text,
            changed,
            written,
            left: each(&tidied.left),
            faults: each(&tidied.faults),
        }
    }
}

shape! {
    Left<'a> = "left" of left: &'a LeftSection {
        name: &'a str = &left.name,
        /// Where its heading stands, from 1.
        #[schemars(range(min = 1))]
        line: usize = left.line,
        /// Whether it does not read as it is typed; else its clean form would read otherwise.
        unread: bool = left.unread,
    }
}

/// What looking through the file of a house found.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline verify")]
pub struct Verified<'a> {
    pub schema: Version,
    /// The file.
    pub house: Text<'a>,
    /// Whether there is nothing to mend.
    pub sound: bool,
    /// With --repair: how many drinks and preparations have been worked out anew.
    pub rebuilt: Option<usize>,
    /// The schema version the file has.
    #[schemars(range(min = 0))]
    pub file_schema: i64,
    #[schemars(range(min = 0))]
    pub books: i64,
    #[schemars(range(min = 0))]
    pub drinks: i64,
    #[schemars(range(min = 0))]
    pub versions: i64,
    #[schemars(range(min = 0))]
    pub preparations: i64,
    /// What lies beside the file, belongs to it and is not yet in it.
    pub beside: Vec<BesideFile<'a>>,
    /// What is wrong with the file itself.
    pub damage: Vec<Text<'a>>,
    /// Tables, views, triggers and columns that are not ours, or missing. Nothing more is looked at then.
    pub foreign: Vec<Text<'a>>,
    /// Rows that point at rows that are not there.
    pub dangling: Vec<Text<'a>>,
    /// Rows that are at odds with themselves or with the text they come from.
    pub at_odds: Vec<Text<'a>>,
    /// Drinks whose stored figures are not what they come to now.
    pub stale: Vec<DrinkOf<'a>>,
    /// Figures stored as current that are not what the spec comes to.
    pub wrong: Vec<Text<'a>>,
    /// Specs that cannot be read or worked out any more.
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Verified<'a> {
    pub fn of(house: &'a str, examined: &'a store::Examined, rebuilt: Option<usize>) -> Verified<'a> {
        Verified {
            schema: Version,
            house: house.into(),
            sound: examined.is_sound(),
            rebuilt,
            file_schema: examined.schema,
            books: examined.books,
            drinks: examined.drinks,
            versions: examined.versions,
            preparations: examined.preparations,
            beside: each(&examined.beside),
            damage: texts(&examined.damage),
            foreign: texts(&examined.foreign),
            dangling: texts(&examined.dangling),
            at_odds: texts(&examined.at_odds),
            stale: each(&examined.stale),
            wrong: texts(&examined.wrong),
            faults: each(&examined.unread),
        }
    }
}

shape! {
    BesideFile<'a> = "beside_file" of of: &'a (String, u64) {
        file: Text<'a> = (&of.0).into(),
        #[schemars(range(min = 1))]
        bytes: u64 = of.1,
    }
}

/// What taking another house in did, or would do.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline merge")]
pub struct MergedHouse<'a> {
    pub schema: Version,
    pub dry_run: bool,
    /// Whether anything was taken: all or nothing.
    pub done: bool,
    /// Everything the other house has that was to be taken.
    pub items: Vec<Item<'a>>,
    /// What would not read here: then nothing was taken.
    pub faults: Vec<Fault<'a>>,
    /// Drinks worked out anew.
    pub recomputed: Vec<DrinkOf<'a>>,
}

impl<'a> MergedHouse<'a> {
    pub fn of(merged: &'a merge::Merged, dry_run: bool, refreshed: &'a Refreshed) -> MergedHouse<'a> {
        MergedHouse {
            schema: Version,
            dry_run,
            done: merged.done,
            items: each(&merged.items),
            faults: each(&merged.faults),
            recomputed: each(&refreshed.recomputed),
        }
    }
}

shape! {
    Item<'a> = "merge_item" of item: &'a merge::Item {
        kind: Word<Kind> = item.kind.into(),
        name: Text<'a> = (&item.name).into(),
        /// Its book, where it stands in one that both have.
        book: Option<Text<'a>> = item.book.as_ref().map(Text::from),
        /// undecided: a conflict that nobody has decided; new: only they had it; later, earlier: one is a later version of
        /// the other; ours, theirs: a conflict as it was decided; same.
        outcome: Word<MergeOutcome> = item.outcome.into(),
        /// What this house has; empty where it has nothing.
        ours: &'a str = &item.ours,
        theirs: &'a str = &item.theirs,
        /// When it was added, where that is known.
        #[schemars(length(min = 1))]
        ours_at: Option<Moment<'a>> = item.ours_at.as_ref().map(|at| Moment(Some(at))),
        #[schemars(length(min = 1))]
        theirs_at: Option<Moment<'a>> = item.theirs_at.as_ref().map(|at| Moment(Some(at))),
    }
}
