//! A section at its end: its lines put together, and what a drink, a preparation, an ingredient must have.

use crate::ingredient::{Defined, Offer, Origin, Price};
use crate::names::{Expected, key, nearest};
use crate::spec::assemble::assemble;
use crate::spec::line::Item;
use crate::spec::making;
use crate::spec::settings::{price_per_package, volume, words_between_commas};
use crate::spec::{Definition, Entry, Making, PourAmount, PourMethod, Process, Section, Step, Unplaced};
use crate::tables::{Family, Structure};
use std::ops::Range;

use super::layout::is_a_talk;
use super::particulars::{PARTICULARS, dilution, glass, serves, weighed};
use super::{BookReader, Draft};

/// The particulars of a section as far as they were gone through, each of which stands once.
struct Once<'a> {
    seen: Vec<&'a str>,
    /// Those that may stand as often as they like.
    often: &'static [&'static str],
}

impl<'a> Once<'a> {
    fn but_for(often: &'static [&'static str]) -> Once<'a> {
        Once {
            seen: Vec::new(),
            often,
        }
    }

    /// What is wrong with one that stands again where it may not.
    fn again(&mut self, name: &'a str, span: &Range<usize>) -> Option<Unplaced> {
        if self.often.contains(&name) {
            return None;
        }
        if self.seen.contains(&name) {
            let message = format!("`{name}` stands twice; expected it once");
            return Some(Unplaced::reject(span.clone(), message));
        }
        self.seen.push(name);
        None
    }
}

impl BookReader<'_> {
    /// Put the lines of a section together.
    pub(super) fn assemble(&mut self, draft: &mut Draft) {
        let assembled = assemble(
            std::mem::take(&mut draft.parts),
            draft.makes,
            is_a_talk(&draft.drink.text),
            &draft.drink.name,
            &self.sections.own,
        );
        draft.drink.entries = assembled.entries;
        draft.drink.account = assembled.account;
        let mut wrongs = assembled.wrongs;
        if wrongs.is_empty() {
            let preparing = draft.makes;
            wrongs.extend(self.what_would_read_otherwise(&mut draft.drink, preparing));
        }
        draft.faulty |= !wrongs.is_empty();
        self.wrongs.extend(wrongs);
        // `Bombay Punch (for a party of 40)`
        let in_heading = {
            let name = draft.drink.name.as_str();
            // Of the same length as the name.
            let lower = name.to_ascii_lowercase();
            let told = [" for ", "(for ", "(serves ", " serves "]
                .iter()
                .find_map(|said| lower.find(said));
            let count = || {
                let from = told.map_or(0, |at| at + 1);
                let found = self.read_line(&name[from..], 0).found;
                found.into_iter().find_map(|f| match f.item {
                    Item::Serves(count) => Some(count),
                    _ => None,
                })
            };
            (told.is_some() && !draft.makes).then(count).flatten()
        };
        let mut found = |name: &str, value: String, span: Range<usize>| {
            if !draft.particulars.iter().any(|(k, ..)| k == name) {
                draft.particulars.push((name.to_owned(), value, span));
            }
        };
        let whole = draft.drink.span.clone();
        if draft
            .drink
            .entries
            .iter()
            .any(|e| matches!(e, Entry::Particular(k, _) if k == "then"))
        {
            found("then", "per serve".to_owned(), whole.clone());
        }
        if let Some((name, size, span)) = assembled.glass {
            let value = size.map_or_else(|| name.clone(), |size| format!("{name}, {size}"));
            found("glass", value, span);
        }
        if assembled.hot {
            found("structure", Structure::Hot.name().to_owned(), whole.clone());
        }
        if let Some(count) = assembled.serves.or(in_heading) {
            found("serves", count.to_string(), whole.clone());
        }
        for (key, size) in [
            ("each serve", assembled.serve_of),
            ("part", assembled.part),
            ("serve", assembled.total),
        ] {
            if let Some(size) = size {
                found(key, size, whole.clone());
            }
        }
    }

    pub(super) fn drink(&mut self, draft: &mut Draft) -> Option<Section> {
        let ounce = self.book.settings.ounce.or(self.inherited.ounce);
        let mut once = Once::but_for(&["note", "source"]);
        for (name, value, span) in &draft.particulars {
            if let Some(wrong) = once.again(name, span) {
                self.wrongs.push(wrong);
                continue;
            }
            let drink = &mut draft.drink;
            let done: Result<(), Expected> = match name.as_str() {
                "glass" => glass(value, ounce).map(|g| drink.glass = Some(g)),
                "price" => value.parse().map(|p| drink.price = Some(p)),
                "structure" | "family" => {
                    let (known, names): (bool, Vec<&str>) = if name == "structure" {
                        drink.structure = Structure::named(value);
                        let names = Structure::all().map(Structure::name);
                        (drink.structure.is_some(), names.collect())
                    } else {
                        drink.family = Family::named(value);
                        (drink.family.is_some(), Family::all().map(Family::name).collect())
                    };
                    if !known {
                        let near = nearest(value, names.iter().map(|n| (*n, *n)), 3);
                        let message =
                            format!("`{value}` is no {name}; expected one of: {}", names.join(", "));
                        self.wrongs
                            .push(Unplaced::reject(span.clone(), message).with(near));
                        continue;
                    }
                    Ok(())
                }
                "serve" => volume(value, ounce).map(|(ml, _)| drink.serve_ml = Some(ml)),
                "serves" => serves(value).map(|n| drink.serves = Some(n)),
                "each serve" => volume(value, ounce).map(|(ml, _)| drink.each_serve_ml = Some(ml)),
                "part" => volume(value, ounce).map(|(ml, _)| drink.part_ml = Some(ml)),
                "dilution" => dilution(value, ounce).map(|w| drink.water = Some(w)),
                "weighed" => weighed(value).map(|w| drink.water = Some(w)),
                "garnish" | "source" | "note" | "allergens" => Ok(()),
                "season" | "tags" => words_between_commas(value).map(|_| ()),
                "then" if key(value) == "per serve" => {
                    drink.batch_steps = Some(drink.steps_before("then"));
                    Ok(())
                }
                "then" => Err(Expected::new("expected `then: per serve`")),
                other if making::PARTICULARS.iter().any(|(name, _)| *name == other) => {
                    Err(Expected::new(format!(
                        "`{other}` belongs to a preparation; expected `makes: an ingredient` in this section"
                    )))
                }
                other => Err(Expected::new(format!(
                    "`{other}` belongs to an ingredient; expected `is: an ingredient` in this section"
                ))),
            };
            if let Err(expected) = done {
                self.wrongs
                    .push(Unplaced::reject(span.clone(), expected.of(value, name)));
            }
        }
        self.something_poured(draft, "- 50 ml dry gin");
        Some(Section::Drink(draft.drink.clone()))
    }

    pub(super) fn something_poured(&mut self, draft: &Draft, example: &str) {
        let poured = draft.drink.lines().any(|l| matches!(l.step, Step::Pour(_)));
        if !draft.faulty && !poured {
            let span = draft.drink.span.clone();
            let message = format!(
                "nothing is poured into `{}`; expected a list such as `{example}`",
                draft.drink.name
            );
            self.wrongs.push(Unplaced::reject(span, message));
        }
    }

    pub(super) fn preparation(&mut self, draft: &mut Draft) -> Option<Section> {
        let ounce = self.book.settings.ounce.or(self.inherited.ounce);
        let mut making = Making::default();
        let mut once = Once::but_for(&["note", "source", "gives", "also"]);
        for (name, value, span) in &draft.particulars {
            if let Some(wrong) = once.again(name, span) {
                self.wrongs.push(wrong);
                continue;
            }
            let expected = match making.set(name, value, ounce) {
                Ok(true) if name == "serve" => volume(value, ounce)
                    .map(|(ml, _)| draft.drink.serve_ml = Some(ml))
                    .err(),
                Ok(true) => None,
                Ok(false) if name == "dilution" || name == "weighed" => Some(
                    "a preparation has its water in its list; expected a pour such as `- 400 g water`".into(),
                ),
                Ok(false) if PARTICULARS.iter().any(|(known, _)| known == name) => Some(Expected::from(
                    format!("`{name}` belongs to a drink, and this section makes an ingredient"),
                )),
                Ok(false) => Some(Expected::from(format!(
                    "`{name}` gives a figure, and this section is worked out from its list; expected `is: an ingredient` in the place of `makes:`"
                ))),
                Err(expected) => Some(expected),
            };
            if let Some(expected) = expected {
                self.wrongs
                    .push(Unplaced::reject(span.clone(), expected.of(value, name)));
            }
        }
        let told = making.evaporates.is_some() || making.yields.is_some();
        for line in draft.drink.lines() {
            let wrong = match &line.step {
                Step::Garnish(_) => {
                    "a garnish belongs to a drink; for words to the reader begin the line with `>`"
                }
                Step::Ice(_) | Step::OverIce(_) | Step::Neat => {
                    "ice melts into a drink, not into a preparation; expected the water as a pour (`- 200 g water`)"
                }
                Step::Prepare(p) if p.process == Process::Reduce && !told => {
                    "boiled down by how much? expected `evaporates: 30 %` or `yield: 500 ml` under the name"
                }
                Step::Pour(pour)
                    if matches!(
                        pour.place,
                        PourMethod::Float | PourMethod::Rinse | PourMethod::Mist
                    ) =>
                {
                    "a preparation has no glass to float on, rinse or spray; expected a pour such as `- 20 ml rum`"
                }
                Step::Pour(pour) if matches!(pour.measure, PourAmount::Open(_)) => {
                    "a preparation is the same every time; expected an amount, not \"to taste\""
                }
                Step::Pour(pour)
                    if pour.measure == PourAmount::Fill
                        && !matches!(making.yields, Some(crate::spec::Yield::Volume(_))) =>
                {
                    "filled up to what? expected `yield: 1 l` under the name"
                }
                _ => continue,
            };
            self.wrongs.push(Unplaced::reject(line.span.clone(), wrong));
        }
        self.something_poured(draft, "- 500 g caster sugar");
        draft.drink.makes = Some(making);
        Some(Section::Preparation(draft.drink.clone()))
    }

    pub(super) fn definition(&mut self, draft: &Draft) -> Option<Section> {
        if let Some(line) = draft.drink.lines().next() {
            self.wrongs.push(Unplaced::reject(
                line.span.clone(),
                "a step in an ingredient given by its figures; expected `strength:`, `sugar:`, `acid:` and the like",
            ));
        }
        let ounce = self
            .book
            .settings
            .ounce
            .or(self.inherited.ounce)
            .unwrap_or_default();
        let mut builder = Defined::default();
        let mut price = None;
        for (name, value, span) in &draft.particulars {
            let done = match name.as_str() {
                "price" => price_per_package(value, ounce).map(|bought| price = Some(bought)),
                _ => builder.set(name, value),
            };
            if let Err(expected) = done {
                self.wrongs
                    .push(Unplaced::reject(span.clone(), expected.of(value, name)));
            }
        }
        let name = draft.drink.name.clone();
        let source = draft.particulars.iter().find(|(k, ..)| k == "source");
        // Where nothing but its price is said, it is an ingredient that is known already.
        let only_price = price.is_some()
            && draft
                .particulars
                .iter()
                .all(|(k, ..)| matches!(k.as_str(), "is" | "price" | "source" | "note"));
        let made = match (only_price, source) {
            (true, None) => Err(Expected::new(
                "no source of its price; expected `source: invoice, 12 November` or the like",
            )),
            (true, Some(_)) => Ok(None),
            (false, _) => builder.ingredient(&name, Origin::Book).map(Some),
        };
        match made {
            Ok(ingredient) => Some(Section::Ingredient(Definition {
                span: draft.drink.span.clone(),
                entries: draft.drink.entries.clone(),
                ingredient,
                price: price.map(|bought| Price {
                    name: name.clone(),
                    offer: Offer::Bought(bought),
                    portion: None,
                    source: source.map_or_else(String::new, |(_, words, _)| words.clone()),
                    since: None,
                }),
                name,
            })),
            Err(why) => {
                self.wrongs.push(Unplaced::reject(
                    draft.drink.span.clone(),
                    format!("`{name}`: {why}"),
                ));
                None
            }
        }
    }
}
