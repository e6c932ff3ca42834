//! What is said again: by the list and the method, by the last word of a talk, by hand and by the measure.

use std::ops::Range;

use super::Assembler;
use super::aside::said;
use super::named::{content, same};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::line::{Item, LineRead};
use crate::spec::{Assumption, Entry, Line, Pour, PourAmount, PourMethod, Step, Unplaced};

impl Assembler<'_> {
    /// `Splash of soda water` in the list and `splash of soda on top` in the method, `2 dashes bitters` and `dash the
    /// bitters over`: poured once, where the method puts it.
    pub(super) fn is_said_again_by_hand(&mut self, pour: &Pour, text: &str, alone: bool) -> bool {
        let by_hand = |measure: &PourAmount| {
            matches!(
                measure,
                PourAmount::Of(_, Some(Unit::Dash | Unit::Splash | Unit::Drop | Unit::Spray))
            )
        };
        let in_the_method = self.worked && !self.preparing && (!alone || pour.place != PourMethod::In);
        let (true, true, Some(named)) = (in_the_method, by_hand(&pour.measure), pour.choices.first()) else {
            return false;
        };
        let counted = key(text).split(' ').any(|w| {
            w.starts_with(|c: char| c.is_numeric())
                || matches!(w, "a" | "one" | "two" | "three" | "four" | "few")
        });
        let words = content(&named.name);
        let measure = pour.measure.clone();
        let before = self.take_pour(|other, theirs| {
            other.place == PourMethod::In
                && same(theirs, &words)
                && (other.measure == measure || !counted && by_hand(&other.measure))
        });
        let Some((mut first, span, said)) = before else {
            return false;
        };
        first.place = match pour.place {
            PourMethod::In => PourMethod::Top,
            place => place,
        };
        self.push(Step::Pour(first), span, said);
        true
    }

    /// `pour the 50 ml of rum over ice` below a list that says 50 ml of spiced rum: the pour of the list, named again. Where
    /// the amounts differ, it is asked about.
    pub(super) fn is_of_the_list(&mut self, pour: &Pour, span: &Range<usize>) -> bool {
        let (Some(named), PourMethod::In) = (pour.choices.first(), pour.place) else {
            return false;
        };
        let Some(ml) = jigger_ml(&pour.measure) else {
            return false;
        };
        let words = content(&named.name);
        let listed = self.out.entries.iter().find_map(|e| match e {
            Entry::Step(Line {
                step: Step::Pour(other),
                span,
                ..
            }) if self.listed.contains(&span.start) => {
                let theirs = content(&other.choices.first()?.name);
                same(&theirs, &words).then(|| (jigger_ml(&other.measure), theirs == words, other))
            }
            _ => None,
        });
        match listed {
            Some((Some(theirs), ..)) if (theirs - ml).abs() < 0.02 * ml => true,
            // Once it is served, the same by its full name as well: `someone keeps making it with 50 gin`.
            Some((Some(_), full, other)) if !full || self.served => {
                let (one, two) = (
                    crate::spec::write::pour_text(other),
                    crate::spec::write::pour_text(pour),
                );
                self.out.wrongs.push(poured_twice(one, two, span.clone()));
                true
            }
            _ => false,
        }
    }

    /// An amount that takes back the one before it: of the pour that is named, or of the last one.
    pub(super) fn correct(
        &mut self,
        measure: PourAmount,
        named: Option<Vec<String>>,
        text: &str,
        span: Range<usize>,
    ) {
        let last = self.out.entries.iter_mut().rev().find_map(|e| match e {
            Entry::Step(line) => match &mut line.step {
                Step::Pour(pour) => {
                    let same = named.as_ref().is_none_or(|words| {
                        pour.choices
                            .first()
                            .is_some_and(|n| same(&content(&n.name), words) || same(words, &content(&n.name)))
                    });
                    same.then_some((pour, &mut line.assumptions))
                }
                _ => None,
            },
            _ => None,
        });
        match last {
            Some((pour, said)) => {
                let before = crate::spec::write::amount(pour);
                pour.measure = match (measure, &pour.measure) {
                    (PourAmount::Of(extent, None), PourAmount::Of(_, unit)) => PourAmount::Of(extent, *unit),
                    (measure, _) => measure,
                };
                // `soda to top, ca. 60 ml`
                let taken = match before.as_str() {
                    "" => "how much of it is poured".to_owned(),
                    before => format!("stands in the place of {before}"),
                };
                said.push(Assumption::new(
                    format!("`{text}`"),
                    taken,
                    "write the amount that is poured, and no other",
                ));
            }
            // What is named was not poured before: `actually 25 ml lemon` is a pour like any other.
            None if named.is_some() => self.correcting = Some(text.to_owned()),
            None => self.out.wrongs.push(Unplaced::ask(
                span,
                format!("`{text}`: in the place of which amount? expected the pour with its amount"),
                Vec::new(),
            )),
        }
    }

    /// Take out the first pour that `is` takes, by itself and the words of its name, with its place and what is said of it.
    pub(super) fn take_pour(
        &mut self,
        is: impl Fn(&Pour, &[String]) -> bool,
    ) -> Option<(Pour, Range<usize>, Vec<Assumption>)> {
        let at = self.out.entries.iter().position(|e| match e {
            Entry::Step(Line {
                step: Step::Pour(other),
                ..
            }) => other
                .choices
                .first()
                .is_some_and(|named| is(other, &content(&named.name))),
            _ => false,
        })?;
        match self.out.entries.remove(at) {
            Entry::Step(Line {
                step: Step::Pour(pour),
                span,
                assumptions,
            }) => Some((pour, span, assumptions)),
            _ => None,
        }
    }

    /// `so 50 pisco, 25 lemon, 15 pineapple syrup`, at the end of a talk in which there was simple syrup: a list that says
    /// most of it anew stands in the place of all that was said before.
    pub(super) fn take_back_what_is_not_said_anew(&mut self, line: &LineRead) {
        let anew: Vec<Vec<String>> = said(line)
            .filter_map(|item| match item {
                Item::Pours(pours) => Some(
                    pours
                        .iter()
                        .filter_map(|(p, _)| Some(content(&p.choices.first()?.name))),
                ),
                _ => None,
            })
            .flatten()
            .collect();
        let is_anew = |words: &[String]| anew.iter().any(|n| same(n, words) || same(words, n));
        let before = self.measured_pours();
        if anew.len() < 3 || before.iter().filter(|(_, words, ..)| is_anew(words)).count() < 2 {
            return;
        }
        for (at, ..) in before.iter().rev().filter(|(_, words, ..)| !is_anew(words)) {
            if let Entry::Step(taken) = self.out.entries.remove(*at)
                && let Step::Pour(pour) = &taken.step
            {
                let text = crate::spec::write::pour_text(pour);
                self.say(Assumption::new(
                    format!("`{text}`"),
                    "not in the list that is said last: nothing of it is poured",
                    "write the drink as it is poured",
                ));
            }
        }
    }

    /// `20 pineapple syrup`, and two lines later `take it down to 15`, `so 15 pineapple syrup`: of what was poured before,
    /// the amount that is said last counts.
    pub(super) fn is_the_last_word(&mut self, pour: &Pour) -> bool {
        let (Some(named), PourAmount::Of(..), PourMethod::In) =
            (pour.choices.first(), &pour.measure, pour.place)
        else {
            return false;
        };
        let words = content(&named.name);
        let said = crate::spec::write::pour_text(pour);
        let first = self.out.entries.iter_mut().find_map(|e| match e {
            Entry::Step(line) => match &mut line.step {
                Step::Pour(other)
                    if other.place == PourMethod::In && matches!(other.measure, PourAmount::Of(..)) =>
                {
                    let theirs = content(&other.choices.first()?.name);
                    (same(&theirs, &words) || same(&words, &theirs)).then_some((other, &mut line.assumptions))
                }
                _ => None,
            },
            _ => None,
        });
        let Some((first, assumptions)) = first else {
            return false;
        };
        let before = crate::spec::write::pour_text(first);
        first.measure = match (pour.measure.clone(), &first.measure) {
            (PourAmount::Of(extent, None), PourAmount::Of(_, unit)) => PourAmount::Of(extent, *unit),
            (measure, _) => measure,
        };
        if before != said {
            assumptions.push(Assumption::new(
                format!("`{said}`"),
                format!("said last: stands in the place of {before}"),
                "write the drink as it is poured",
            ));
        }
        true
    }

    /// `sparkling water 4 l` for 40, and `100 ml sparkling water` on site: what each gets of what the list pours for all.
    pub(super) fn is_its_share(&self, pour: &Pour) -> bool {
        let (true, Some(count), Some(named)) = (self.per_serve, self.out.serves, pour.choices.first()) else {
            return false;
        };
        let measures = crate::measure::Measures::default();
        let ml = |amount: Amount, unit: Option<Unit>| {
            let size = measures.size(unit.unwrap_or(Unit::Millilitre))?;
            Some((amount * size.nominal).to_f64())
        };
        let PourAmount::Of(extent, unit) = &pour.measure else {
            return false;
        };
        let words = content(&named.name);
        let Some(each) = ml(extent.nominal, *unit) else {
            return false;
        };
        self.measured_pours().into_iter().any(|(_, twin, amount, unit)| {
            twin == words
                && ml(amount, unit).is_some_and(|all| (all / count.to_f64() - each).abs() < 0.05 * each)
        })
    }

    /// Every pour into the drink that is measured: its place among the entries, its words, its amount and unit.
    pub(super) fn measured_pours(&self) -> Vec<(usize, Vec<String>, Amount, Option<Unit>)> {
        let entries = self.out.entries.iter().enumerate();
        entries
            .filter_map(|(at, e)| match e {
                Entry::Step(Line {
                    step: Step::Pour(pour),
                    ..
                }) => match (&pour.measure, pour.choices.first()) {
                    (PourAmount::Of(extent, unit), Some(named)) if pour.place == PourMethod::In => {
                        Some((at, content(&named.name), extent.nominal, *unit))
                    }
                    _ => None,
                },
                _ => None,
            })
            .collect()
    }

    /// The same by a measure twice, with no work between, is a slip as often as meant: it is asked about.
    pub(super) fn ask_what_is_poured_twice(&mut self) {
        let pours = self.measured_pours();
        for (n, (at, words, ..)) in pours.iter().enumerate() {
            let by_the_jigger = |unit: &Option<Unit>| {
                matches!(
                    unit,
                    None | Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce | Unit::Gram)
                )
            };
            let Some((before, ..)) = pours[..n].iter().find(|(_, twin, _, unit)| {
                twin == words && by_the_jigger(unit) && by_the_jigger(&pours[n].3)
            }) else {
                continue;
            };
            let between = || self.out.entries[*before..*at].iter();
            let apart = between().any(|e| match e {
                Entry::Step(l) => !matches!(l.step, Step::Pour(_) | Step::Garnish(_)),
                Entry::Particular(k, _) => k == "then",
                _ => false,
            });
            let strained =
                between().any(|e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Strain { .. })));
            let (Entry::Step(first), Entry::Step(second)) =
                (&self.out.entries[*before], &self.out.entries[*at])
            else {
                continue;
            };
            let (Step::Pour(one), Step::Pour(two)) = (&first.step, &second.step) else {
                continue;
            };
            let more = key(&two.note)
                .split(' ')
                .any(|w| matches!(w, "more" | "another" | "extra" | "again"));
            let listed = [first, second]
                .iter()
                .all(|l| self.listed.contains(&l.span.start));
            let other = one.strength_pct != two.strength_pct;
            // `someone keeps making it with 50 gin`, below a drink that is strained: no pour of the list.
            let in_passing =
                strained && two.place == PourMethod::In && !self.listed.contains(&second.span.start);
            if apart && !in_passing || more || listed || other {
                continue;
            }
            let (one, two) = (
                crate::spec::write::pour_text(one),
                crate::spec::write::pour_text(two),
            );
            let wrong = poured_twice(one, two, second.span.clone());
            self.out.wrongs.push(wrong);
        }
    }
}

/// The question about a pour that stands in a spec twice.
pub(super) fn poured_twice(one: String, two: String, span: Range<usize>) -> Unplaced {
    Unplaced::ask(
        span,
        format!("the same is poured twice, `{one}` and `{two}`: both, or one of them?"),
        vec![one, two],
    )
}

/// What a jigger, a cylinder or the scale measures, in ml or g.
pub(super) fn jigger_ml(measure: &PourAmount) -> Option<f64> {
    let PourAmount::Of(extent, unit) = measure else {
        return None;
    };
    let unit = unit.unwrap_or(Unit::Millilitre);
    if !matches!(
        unit,
        Unit::Millilitre | Unit::Centilitre | Unit::Ounce | Unit::Gram
    ) {
        return None;
    }
    let size = crate::measure::Measures::default()
        .size(unit)
        .map_or(1.0, |s| s.nominal.to_f64());
    Some(extent.nominal.to_f64() * size)
}
