//! What a pour says where it is written: a name misspelt twice over is read until it says the same, and what would be
//! another step by itself is asked about.

use super::BookReader;
use crate::spec::line::{self, Item};
use crate::spec::{Assumption, Drink, Entry, Pour, PourAmount, Step, Unplaced, lexicon};

/// How often words are read again to come to rest: a slip of a slip is settled by then.
const MOST_READINGS: usize = 3;

impl BookReader<'_> {
    /// The pours of what nobody knows, or of what is spelt otherwise, that would be another step as they are written: `1
    /// jigge` is no jigger of nothing. A garnish is put as its own line says it.
    pub(super) fn what_would_read_otherwise(&self, drink: &mut Drink, preparing: bool) -> Vec<Unplaced> {
        let context = line::Context {
            preparing,
            own: &self.sections.own,
        };
        let mut wrongs = Vec::new();
        for entry in &mut drink.entries {
            let Entry::Step(line) = entry else { continue };
            match &mut line.step {
                Step::Pour(pour) => {
                    let spelt_otherwise = line.assumptions.iter().any(|a| a.taken.starts_with("read as "));
                    // `float ml dark rum`: without an amount, a unit in the name gives it one.
                    let usual = pour.measure == PourAmount::Usual;
                    if !spelt_otherwise && !usual && self.is_plain(pour) {
                        continue;
                    }
                    if self.settle_as_written(pour, &mut line.assumptions, context) {
                        continue;
                    }
                    let written = pour.to_string();
                    let typed = self.source.text.get(line.span.clone()).unwrap_or_default().trim();
                    let message = format!(
                        "`{typed}`: an amount of what? on a line of its own `{written}` says something else; expected a pour such as `50 ml gin`"
                    );
                    wrongs.push(Unplaced::ask(line.span.clone(), message, Vec::new()));
                }
                Step::Garnish(words) if !words.starts_with(char::is_alphanumeric) => {
                    // Each time a mark or more before its words falls away.
                    while let [found] = self
                        .lines
                        .read(&format!("garnish {words}"), 0, context)
                        .found
                        .as_slice()
                        && let Item::Garnish(said) = &found.item
                        && said.len() < words.len()
                    {
                        words.clone_from(said);
                    }
                }
                _ => {}
            }
        }
        // Marks alone are no garnish.
        drink.entries.retain(|entry| match entry {
            Entry::Step(line) => {
                !matches!(&line.step, Step::Garnish(words) if !words.contains(char::is_alphanumeric))
            }
            _ => true,
        });
        wrongs
    }

    /// Whether a pour written on a line of its own is that pour. Words that come nearer to a name each time they are
    /// read (`tequila, reposad` is `reposad tequila`, which is reposado) are read until they stand.
    fn settle_as_written(
        &self,
        pour: &mut Pour,
        said: &mut Vec<Assumption>,
        context: line::Context<'_>,
    ) -> bool {
        let mut nearer = pour.clone();
        let mut told: Vec<Assumption> = Vec::new();
        for _ in 0..MOST_READINGS {
            let written = nearer.to_string();
            let again = self.lines.read(&written, 0, context);
            let Some((next, why)) = again.only_pour() else {
                break;
            };
            if next.to_string() == written {
                said.extend(told);
                *pour = nearer;
                return true;
            }
            if (&next.measure, next.place) != (&nearer.measure, nearer.place)
                || next.choices.len() != nearer.choices.len()
            {
                break;
            }
            told.extend(
                why.iter()
                    .filter(|w| !said.contains(w) && !told.contains(w))
                    .cloned()
                    .collect::<Vec<_>>(),
            );
            let mut next = next.clone();
            for (named, as_typed) in next.choices.iter_mut().zip(&nearer.choices) {
                named.span = as_typed.span.clone();
            }
            nearer = next;
        }
        let again = self.lines.read(&pour.to_string(), 0, context);
        again.pours_the_same(pour)
            || again.only_pour().is_some() && pour.measure != PourAmount::Usual && is_said_plainly(pour)
    }

    /// Whether a pour is of what is known by that very name, and that names no glass.
    fn is_plain(&self, pour: &Pour) -> bool {
        pour.choices.iter().all(|named| {
            lexicon::is_name_as_spelt(&named.name, &self.sections.own)
                && !lexicon::is_tagged(&named.name, lexicon::Tag::Glass)
        })
    }
}

/// Whether a pour is measured by a unit and named by words that tell at least its kind, none of them a measure: a bartender
/// asks nothing, whatever its written form would say by itself.
fn is_said_plainly(pour: &Pour) -> bool {
    let library = crate::ingredient::library();
    let measured = matches!(&pour.measure, PourAmount::Of(_, Some(_)));
    measured
        && pour.choices.iter().all(|named| {
            let words = || named.name.split(' ');
            words().all(|w| {
                w.chars()
                    .all(|c| c.is_alphabetic() || matches!(c, '-' | '\'' | '’' | '&'))
            }) && words()
                .all(|w| w.len() < 2 || crate::measure::Unit::spelt(w).is_none_or(line::on_the_glass))
                // `irish coffee` is a glass as well.
                && !lexicon::is_tagged(&named.name, lexicon::Tag::Glass)
                && (library.usual(&named.name).is_some()
                    || crate::ingredient::tells_its_kind(&named.name))
        })
}
