//! A line as far as it was put together: what was read in it, and what is kept in mind from one reading to the next.

use crate::spec::line::{Found, Item, LineRead};
use crate::spec::{Assumption, PourAmount, Step, Technique};

/// What is read at this moment.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum After {
    Nothing,
    Work(Technique),
    Garnish,
}

/// A line as far as it was put together.
pub(super) struct Reading {
    /// Its place among the parts of the section.
    pub(super) part: usize,
    /// Its words.
    pub(super) text: String,
    /// Its readings; the one that is put together now, and those before it, are taken.
    pub(super) found: Vec<Option<Found>>,
    pub(super) after: After,
    /// The words that are kept as a note.
    pub(super) note: Vec<String>,
    /// The last pinch or dash, and which reading it is.
    pub(super) small: Option<(PourAmount, usize)>,
    /// The last `and`.
    pub(super) joint: Option<usize>,
    /// `in a mixing glass with ice`: the ice of what it is worked in.
    pub(super) vessel: bool,
    /// Whether the reading before named what goes on the glass.
    pub(super) mentioned: bool,
    /// Whether it is a sentence below a list that says what is poured.
    pub(super) beside_the_list: bool,
    /// Whether it begins with work.
    pub(super) leads_with_work: bool,
    /// Whether it is one thing and nothing else.
    pub(super) alone: bool,
    /// Whether it pours anything.
    pub(super) pours: bool,
}

impl Reading {
    pub(super) fn of(part: usize, line: &mut LineRead, beside_the_list: bool) -> Reading {
        let found = || line.found.iter();
        let leads_with_work = found()
            .find(|f| !matches!(f.item, Item::Joint | Item::Header | Item::With | Item::Words))
            .is_some_and(|f| matches!(f.item, Item::Work(_) | Item::Step(Step::Strain { .. })));
        let alone = found().filter(|f| !matches!(f.item, Item::Joint)).count() == 1;
        let pours = found().any(|f| matches!(f.item, Item::Pours(_)));
        Reading {
            part,
            text: std::mem::take(&mut line.text),
            found: std::mem::take(&mut line.found).into_iter().map(Some).collect(),
            after: After::Nothing,
            note: Vec::new(),
            small: None,
            joint: None,
            vessel: false,
            mentioned: false,
            beside_the_list,
            leads_with_work,
            alone,
            pours,
        }
    }

    /// What is read behind the reading at `i`.
    pub(super) fn behind(&self, i: usize) -> impl Iterator<Item = &Item> {
        self.found[i + 1..].iter().flatten().map(|f| &f.item)
    }
}

/// That words which name no garnish are taken as one.
pub(super) fn read_as_the_garnish(words: &str) -> Assumption {
    Assumption::new(
        format!("`{words}`"),
        "read as the garnish",
        "write `garnish …` on a line of its own",
    )
}
