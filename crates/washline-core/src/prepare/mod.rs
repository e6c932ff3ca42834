//! House preparations: syrups, cordials, infusions, adjusted juices, shrubs, milk punches and pre-batches, from
//! what is written to an ingredient that drinks and other preparations pour.
//!
//! A preparation is resolved like a drink, walked through step by step, and comes to an [`Ingredient`] whose figures
//! are computed and whose spread follows from that of its parts. Preparations are made of preparations to any depth;
//! one that is made of itself is a fault that shows the loop.

mod caution;
mod compose;
mod keeping;
mod made;
mod making;
mod order;
mod plan;
mod remarks;
mod walk;
mod warning;

pub use keeping::{KEEPS_FROM_PCT, Perishables, ShelfLife, citrus_clock, is_raw, usual};
pub use made::{Brought, Lost, Made};
pub use warning::Warning;

use std::collections::HashSet;

use crate::ingredient::{Convention, Ingredient, Quantity, Shape, Status, Stock, Value};
use crate::names::key;
use crate::resolve::Resolved;
use crate::spec::{Assumption, Drink, Fault, Settings, Source, Step, Unplaced};
use crate::tables::IngredientKind;

/// A preparation as it is written, with where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Written<'a> {
    /// As read.
    pub preparation: &'a Drink,
    /// The text its places point into.
    pub source: &'a Source,
    /// The line its heading stands in in its book, from 1.
    pub line: usize,
    /// Whether it was read without a fault; what was not is looked through for names and not made.
    pub sound: bool,
}

impl Written<'_> {
    /// A fault, its place counted in the book.
    fn fault(&self, wrong: Unplaced) -> Fault {
        self.placed(wrong.at(self.source))
    }

    fn placed(&self, mut fault: Fault) -> Fault {
        let heading = self.source.position(self.preparation.span.start).0;
        fault.line = fault.line + self.line - heading.min(self.line);
        fault
    }

    fn name(&self) -> &str {
        &self.preparation.name
    }
}

/// The preparations of a book, made.
#[derive(Clone, Debug, Default)]
pub struct Preparations {
    /// Those that could be made, in the order they stand in the book.
    pub made: Vec<Made>,
    /// What is wrong with the others.
    pub faults: Vec<Fault>,
    /// The others: name and the line of the heading. Their names are known, and lead nowhere.
    pub failed: Vec<(String, usize)>,
}

impl Preparations {
    /// The one of that name or alias.
    #[must_use]
    pub fn named(&self, name: &str) -> Option<&Made> {
        let wanted = key(name);
        let own = self.made.iter().find(|m| key(&m.ingredient.name) == wanted);
        own.or_else(|| {
            self.made
                .iter()
                .find(|m| m.ingredient.aliases.iter().any(|a| key(a) == wanted))
        })
    }

    /// What is taken for granted in what a drink pours, through however many preparations: each once, with the
    /// preparation it is in.
    #[must_use]
    pub fn assumed_in(&self, resolved: &Resolved) -> Vec<Assumption> {
        let mut all = Vec::new();
        let mut seen = HashSet::new();
        let mut next: Vec<&str> = resolved
            .pours()
            .rev()
            .map(|(_, pour)| pour.ingredient.as_str())
            .collect();
        while let Some(name) = next.pop() {
            let Some(made) = self.made.iter().find(|m| m.ingredient.name == name) else {
                continue;
            };
            if !seen.insert(name) {
                continue;
            }
            next.extend(made.parts.iter().rev().map(|part| part.ingredient.as_str()));
            all.extend(made.assumptions.iter().map(|a| {
                Assumption::new(
                    format!("{}, in {name}", a.about),
                    a.taken.as_str(),
                    a.change.clone(),
                )
            }));
        }
        all
    }

    /// What a drink pours that could not be made: a fault for each, placed in the drink's source.
    #[must_use]
    pub fn missing_in(&self, resolved: &Resolved, source: &Source) -> Vec<Fault> {
        if self.failed.is_empty() {
            return Vec::new();
        }
        resolved
            .pours()
            .filter_map(|(_, pour)| {
                let (name, at) = self.failed.iter().find(|(name, _)| *name == pour.ingredient)?;
                Some(missing(pour.span.clone(), name, *at).at(source))
            })
            .collect()
    }
}

fn missing(span: std::ops::Range<usize>, name: &str, line: usize) -> Unplaced {
    Unplaced::reject(
        span,
        format!("`{name}` cannot be worked out; mend it first (line {line} of the book)"),
    )
}

/// Make the preparations of a book, and put them into the stock that its drinks are poured from. Those that fail
/// are put there too, as names that lead nowhere, so that the drinks' own faults can be told.
#[must_use]
pub fn make(written: &[Written<'_>], stock: &mut Stock, settings: &Settings) -> Preparations {
    let mut all = Preparations::default();
    if written.is_empty() {
        return all;
    }
    let order = order::order(written, stock);
    let mut failed: HashSet<usize> = HashSet::new();
    for (at, wrong) in order.loops {
        all.faults.push(written[at].fault(wrong));
        failed.insert(at);
    }
    for at in order.looped {
        failed.insert(at);
        stock.put(placeholder(written[at]));
    }
    let mut made: Vec<(usize, Made)> = Vec::new();
    for at in order.sequence {
        let one = written[at];
        let mut wrongs: Vec<Unplaced> = Vec::new();
        for (line, name, other) in &order.needs[at] {
            if failed.contains(other) && !failed.contains(&at) {
                wrongs.push(missing(line.clone(), name, written[*other].line));
            }
        }
        let done = making::make(one, stock, settings, &made);
        match done {
            Ok(done) if wrongs.is_empty() && !failed.contains(&at) => {
                stock.put(done.ingredient.clone());
                made.push((at, done));
                continue;
            }
            Ok(_) => {}
            Err(faults) => all.faults.extend(faults.into_iter().map(|f| one.placed(f))),
        }
        all.faults.extend(wrongs.into_iter().map(|w| one.fault(w)));
        failed.insert(at);
        stock.put(placeholder(one));
    }
    made.sort_by_key(|(at, _)| *at);
    all.made = made.into_iter().map(|(_, m)| m).collect();
    let mut failed: Vec<usize> = failed.into_iter().collect();
    failed.sort_unstable();
    all.failed = failed
        .into_iter()
        .map(|at| (written[at].name().to_owned(), written[at].line))
        .collect();
    all.faults.sort_by_key(|f| (f.line, f.column));
    all
}

/// An ingredient that stands for a preparation that is not made: its name leads somewhere, its figures nowhere.
fn placeholder(written: Written<'_>) -> Ingredient {
    let making = written.preparation.makes.as_ref();
    Ingredient {
        name: written.name().to_owned(),
        kind: IngredientKind::HousePreparation,
        groups: Vec::new(),
        aliases: making.map(|m| m.also.clone()).unwrap_or_default(),
        basis: crate::ingredient::Basis::Litre,
        carbonated: false,
        allergens_eu: Default::default(),
        allergens_us: Default::default(),
        caution: String::new(),
        note: String::new(),
        // A strength on a line that pours it is no fault of that line.
        values: vec![Value {
            quantity: Quantity::Strength,
            value: 20.0,
            low: 20.0,
            high: 20.0,
            shape: Shape::Exact,
            convention: None,
            source: "not made".to_owned(),
            status: Status::Computed,
        }],
        origin: crate::ingredient::Origin::Book,
    }
}

/// Both conventions that juices are counted in, the one that holds first.
fn conventions(settings: &Settings) -> [Convention; 2] {
    match settings.convention.unwrap_or_default() {
        Convention::Handbook => [Convention::Handbook, Convention::Assay],
        Convention::Assay => [Convention::Assay, Convention::Handbook],
    }
}

/// Whether a step is a pour.
fn is_pour(step: &Step) -> bool {
    matches!(step, Step::Pour(_))
}
