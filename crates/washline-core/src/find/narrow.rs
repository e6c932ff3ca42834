//! What a question leaves out before a drink is worked out: by what is kept of it (its name, text, list, figures,
//! structure, pours). What cannot be told by that is worked out and asked; an answer is never given here.

use std::collections::HashSet;

use super::listed;
use super::poured::Wanted;
use super::words::Phrase;
use super::{Ask, Comparison, Field, Is, Limit, Query, Test};
use crate::computed::Context;
use crate::names::key;
use crate::service::comparison::FigureFacts;
use crate::tables::Structure;

/// What is kept of a drink.
pub(crate) struct Row<'a> {
    /// Its spec, as the pours are kept by.
    pub id: i64,
    pub name: &'a str,
    pub lists: &'a [&'a str],
    /// Its text, heading and all.
    pub text: &'a str,
    pub structure: Option<Structure>,
    pub seasons: &'a [String],
    pub tags: &'a [String],
    /// Its figures in the glass, in the order of [`Narrow::figures`].
    pub figures: &'a [Option<f64>],
}

/// A question as far as it is told by what is kept.
pub(crate) struct Narrow {
    may: May,
    figures: Vec<&'static FigureFacts>,
}

enum May {
    /// It is not told here.
    Untold,
    Not(Box<May>),
    All(Vec<May>),
    Any(Vec<May>),
    Name(Phrase),
    Note(Phrase),
    Words(Phrase),
    Tag(Phrase),
    Season(Phrase),
    Structure(Vec<Structure>),
    On(Phrase),
    /// The place among the figures, and what it is compared with.
    Figure(usize, Comparison, f64, f64),
    Pours(Phrase, Pouring),
}

/// The specs that pour a thing, by what is kept of pours: for certain, and perhaps.
#[derive(Default)]
pub(crate) struct Pouring {
    surely: HashSet<i64>,
    perhaps: HashSet<i64>,
}

/// Where pours are looked up.
pub(crate) trait Pours {
    type Error;
    /// The names of everything that is poured.
    fn names(&self) -> &[String];
    /// The contexts of all lists.
    fn contexts(&self) -> &[Context];
    /// The specs that pour a thing of that name.
    fn specs(&self, name: &str) -> Result<Vec<i64>, Self::Error>;
}

impl Narrow {
    pub fn of<P: Pours>(query: &Query, pours: &P) -> Result<Narrow, P::Error> {
        let mut figures = Vec::new();
        let may = May::of(query.ask(), pours, &mut figures)?;
        Ok(Narrow { may, figures })
    }

    /// The figures that it asks for.
    pub fn figures(&self) -> &[&'static FigureFacts] {
        &self.figures
    }

    /// Whether the drink has to be asked; one that has not is none of those asked for.
    pub fn may_be(&self, row: &Row<'_>) -> bool {
        self.may.told(row) != Some(false)
    }
}

impl May {
    fn of<P: Pours>(ask: &Ask, pours: &P, figures: &mut Vec<&'static FigureFacts>) -> Result<May, P::Error> {
        let mut each = |parts: &[Ask]| {
            let all = parts.iter().map(|part| May::of(part, pours, figures));
            all.collect::<Result<Vec<_>, _>>()
        };
        Ok(match ask {
            Ask::Test(test) => May::of_test(test, pours, figures)?,
            Ask::Not(ask) => May::Not(Box::new(May::of(ask, pours, figures)?)),
            Ask::All(parts) => May::All(each(parts)?),
            Ask::Any(parts) => May::Any(each(parts)?),
        })
    }

    fn of_test<P: Pours>(
        test: &Test,
        pours: &P,
        figures: &mut Vec<&'static FigureFacts>,
    ) -> Result<May, P::Error> {
        Ok(match (test.field, &test.is) {
            (Field::Name, Is::Said(said)) => May::Name(Phrase::new(said)),
            (Field::Note, Is::Said(said)) => May::Note(Phrase::new(said)),
            (Field::Words, Is::Said(said)) => May::Words(Phrase::new(said)),
            (Field::Tag, Is::Said(said)) => May::Tag(Phrase::new(said)),
            (Field::Season, Is::Said(said)) => May::Season(Phrase::new(said)),
            (Field::On, Is::Said(said)) => May::On(Phrase::new(said)),
            (Field::Structure, Is::Said(said)) => {
                listed::structures(said).map_or(May::Untold, May::Structure)
            }
            (Field::Pours, Is::Said(said)) => {
                May::Pours(Phrase::new(said), Pouring::of(&Wanted::new(said), pours)?)
            }
            (Field::Figure(facts), Is::Compared(comparison, limit)) => {
                May::of_figure(facts, *comparison, limit, figures)
            }
            (Field::Figure(facts), Is::Between(low, high)) => May::All(vec![
                May::of_figure(facts, Comparison::From, low, figures),
                May::of_figure(facts, Comparison::UpTo, high, figures),
            ]),
            _ => May::Untold,
        })
    }

    fn of_figure(
        facts: &'static FigureFacts,
        comparison: Comparison,
        limit: &Limit,
        figures: &mut Vec<&'static FigureFacts>,
    ) -> May {
        // What is said in a unit may be of a drink's own ounce.
        let Some(limit) = limit.plain() else {
            return May::Untold;
        };
        let at = figures
            .iter()
            .position(|f| f.name == facts.name)
            .unwrap_or_else(|| {
                figures.push(facts);
                figures.len() - 1
            });
        May::Figure(at, comparison, limit, 10_f64.powi(-i32::from(facts.decimals)))
    }

    /// What is kept of a drink tells: it is, it is not, or that has to be worked out.
    fn told(&self, row: &Row<'_>) -> Option<bool> {
        match self {
            May::Untold => None,
            May::Not(may) => may.told(row).map(|holds| !holds),
            May::All(parts) => {
                let mut all = Some(true);
                for part in parts {
                    match part.told(row) {
                        Some(false) => return Some(false),
                        None => all = None,
                        Some(true) => {}
                    }
                }
                all
            }
            May::Any(parts) => {
                let mut any = Some(false);
                for part in parts {
                    match part.told(row) {
                        Some(true) => return Some(true),
                        None => any = None,
                        Some(false) => {}
                    }
                }
                any
            }
            May::Name(phrase) => Some(phrase.is_in(row.name)),
            May::Note(phrase) => perhaps(phrase, row),
            May::Words(phrase) if phrase.is_in(row.name) => Some(true),
            May::Words(phrase) => perhaps(phrase, row),
            May::Tag(phrase) => Some(row.tags.iter().any(|tag| phrase.is(tag))),
            May::Season(phrase) => Some(row.seasons.iter().any(|season| phrase.is_in(season))),
            May::Structure(all) => Some(row.structure.is_some_and(|s| all.contains(&s))),
            // Which of several titles is meant is told where all are known.
            May::On(phrase) if row.lists.iter().any(|list| phrase.is_in(list)) => None,
            May::On(_) => Some(false),
            May::Figure(at, comparison, limit, step) => {
                let value = row.figures.get(*at).copied().flatten()?;
                // Near the limit it is a matter of rounding.
                if (value - limit).abs() <= *step {
                    return None;
                }
                Some(comparison.holds(value, *limit))
            }
            May::Pours(_, pouring) if pouring.surely.contains(&row.id) => Some(true),
            May::Pours(_, pouring) if pouring.perhaps.contains(&row.id) => None,
            May::Pours(phrase, _) => perhaps(phrase, row),
        }
    }
}

/// Whether words may stand in what is under the heading, as they are or shortened: perhaps, or not at all.
fn perhaps(phrase: &Phrase, row: &Row<'_>) -> Option<bool> {
    let below = row.text.split_once(['\n', '\r']).map_or("", |(_, below)| below);
    let may_stand = !below.is_ascii() || phrase.begins_may_stand_in(&below.to_ascii_lowercase());
    (!may_stand).then_some(false)
}

impl Pouring {
    fn of<P: Pours>(wanted: &Wanted, pours: &P) -> Result<Pouring, P::Error> {
        let mut pouring = Pouring::default();
        let mut seen = HashSet::new();
        for name in pours.names() {
            if !seen.insert(key(name)) {
                continue;
            }
            let mut told = pours
                .contexts()
                .iter()
                .map(|context| wanted.is_called(name, context));
            let first = told.next();
            let all_alike = told.all(|is| Some(is) == first);
            match (first, all_alike) {
                (Some(true), true) => pouring.surely.extend(pours.specs(name)?),
                (Some(false), true) | (None, _) => {}
                (_, false) => pouring.perhaps.extend(pours.specs(name)?),
            }
        }
        Ok(pouring)
    }
}
