//! How a drink is worked: what stands behind a word of work, what ice is for, what its vessel says.

use std::ops::Range;

use super::Assembler;
use super::named::{how_much, is_content, is_solid};
use super::{plain_pour, plain_work};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::line::{Found, Item, goes_on_the_glass};
use crate::spec::{Assumption, Entry, Line, Pour, PourAmount, PourMethod, Step, Technique};
use crate::tables::{Ice, IngredientKind};

impl Assembler<'_> {
    /// Whether the drink is built, on ice that is not crushed.
    pub(super) fn is_built_on_cubes(&self) -> bool {
        let built = |e: &Entry| matches!(e, Entry::Step(l) if matches!(&l.step, Step::Work(w) if w.technique == Technique::Build));
        let fine = |e: &Entry| {
            matches!(e, Entry::Step(l) if matches!(&l.step, Step::OverIce(ice) if {
                let words = key(&ice.words);
                ["crush", "pebble", "shave", "snow", "nugget", "fine"].iter().any(|w| words.contains(w))
            }))
        };
        self.out.entries.iter().any(built) && !self.out.entries.iter().any(fine)
    }

    /// Whether one thing that is poured is stirred into another: `honey into tea`.
    pub(super) fn stirs_into(&self, behind: &[Option<Found>]) -> bool {
        let mut behind = behind.iter().flatten().filter(
            |f| !matches!(&f.item, Item::Words if matches!(key(&f.text).as_str(), "the" | "a" | "your")),
        );
        let names = |f: Option<&Found>| {
            f.is_some_and(|f| match &f.item {
                Item::Mention(m) => self.was_poured(&m.name),
                Item::Words => is_content(&f.text) && self.was_poured(&f.text),
                _ => false,
            })
        };
        names(behind.next())
            && behind
                .next()
                .is_some_and(|f| matches!(key(&f.text).as_str(), "into" | "in" | "into the" | "in the"))
            && names(behind.next())
    }

    /// Pours that stand behind a word of work are done before it.
    pub(super) fn with_work(&mut self, at: usize, technique: Technique, found: &mut [Option<Found>]) {
        let mut j = at + 1;
        let mut linked = false;
        while let Some(next) = found.get(j) {
            let Some(reading) = next else {
                j += 1;
                continue;
            };
            match &reading.item {
                Item::With => linked = true,
                Item::Words if !reading.begins && !is_content(&reading.text) => {}
                Item::Joint
                    if matches!(reading.text.as_str(), "," | "&" | "and" | "n" | "+")
                        && (linked || technique == Technique::Muddle)
                        && j > at + 1 => {}
                Item::Pours(_) => {
                    let direct = !reading.begins || linked || technique == Technique::Muddle;
                    if !direct {
                        return;
                    }
                    // `shake with ice, top soda`: on top is after the work.
                    if matches!(&reading.item, Item::Pours(pours) if pours.iter().any(|(p, _)| p.place != PourMethod::In))
                    {
                        return;
                    }
                    let Some(Found {
                        item: Item::Pours(pours),
                        span,
                        ..
                    }) = found[j].take()
                    else {
                        return;
                    };
                    let fruit = technique == Technique::Muddle || linked;
                    linked = true;
                    for (mut pour, said) in pours {
                        if fruit {
                            by_the_piece(&mut pour);
                        }
                        self.pour(pour, span.clone(), said);
                    }
                }
                Item::Mention(mention) if technique == Technique::Muddle || linked => {
                    let known = self.was_poured(&mention.name);
                    if !known && mention.solid {
                        // `muddle mint`: as much as a muddle of it usually is, which is said.
                        let (pour, said) = usual_pour(&mention.name, reading.span.clone());
                        self.push(Step::Pour(pour), reading.span.clone(), vec![said]);
                    } else if !known && mention.known {
                        let wrong = how_much(&reading.text, reading.span.clone(), mention.solid);
                        self.out.wrongs.push(wrong);
                    } else if !known {
                        return;
                    }
                    linked = true;
                    found[j] = None;
                }
                _ => return,
            }
            j += 1;
        }
    }

    /// Ice by itself goes into the tin where it stands at the head of a line before serving; else it is in the glass.
    pub(super) fn ice(&mut self, words: String, alone: bool) -> Step {
        if alone && !self.served || !self.worked && self.last_work.is_some() && alone {
            Step::Ice(Ice::said(&words))
        } else {
            self.served = true;
            let words = match words.split_whitespace().next() {
                Some("over" | "on" | "Over" | "On") => words,
                _ if words.to_lowercase().starts_with("full of ") => "over ice".to_owned(),
                _ => format!("over {words}"),
            };
            Step::OverIce(Ice::said(&words))
        }
    }

    /// `Everything in a shaker with ice, hard`: where nothing else says how a drink is worked, what it is made in does.
    pub(super) fn worked_where_it_is_made(&mut self) {
        let works = |e: &Entry| matches!(e, Entry::Step(l) if matches!(l.step, Step::Work(_)));
        let Some((technique, words, span)) = self
            .made_in
            .take()
            .filter(|_| !self.out.entries.iter().any(works))
        else {
            return;
        };
        let last = self.out.entries.iter().rposition(
            |e| matches!(e, Entry::Step(l) if matches!(&l.step, Step::Pour(p) if p.place == PourMethod::In)),
        );
        let Some(last) = last else { return };
        let said = Assumption::new(
            format!("`{words}`"),
            format!("worked as its vessel says: {}", technique.written()),
            "write `shake` or `stir` on a line of its own",
        );
        let line = Line {
            step: plain_work(technique),
            span,
            assumptions: vec![said],
        };
        self.out.entries.insert(last + 1, Entry::Step(line));
    }

    /// `ice to top, whisky, stir to chill`: stirred on the ice of the glass and strained off none, it is built.
    pub(super) fn stirred_in_the_glass(&mut self) {
        let step = |e: &Entry, is: &dyn Fn(&Step) -> bool| matches!(e, Entry::Step(l) if is(&l.step));
        let strained = |s: &Step| matches!(s, Step::Strain { .. } | Step::Unstrained | Step::Ice(_));
        let other_work = |s: &Step| matches!(s, Step::Work(w) if !matches!(w.technique, Technique::Stir | Technique::Build | Technique::Muddle));
        if self
            .out
            .entries
            .iter()
            .any(|e| step(e, &strained) || step(e, &other_work))
        {
            return;
        }
        // `build, stir gently`
        let iced = |s: &Step| {
            matches!(s, Step::OverIce(_)) || matches!(s, Step::Work(w) if w.technique == Technique::Build)
        };
        let Some(ice) = self.out.entries.iter().position(|e| step(e, &iced)) else {
            return;
        };
        for entry in &mut self.out.entries[ice..] {
            if let Entry::Step(line) = entry
                && let Step::Work(work) = &mut line.step
                && work.technique == Technique::Stir
            {
                work.technique = Technique::Build;
                line.assumptions.push(Assumption::new(
                    "stirred on the ice of the glass",
                    "built there, for it is strained off no other",
                    "write `strain` where it is stirred in a mixing glass",
                ));
            }
        }
    }

    /// A dry shake alone chills nothing: where a drink is strained off ice after it, or it is the last of the work, it is
    /// shaken on ice as well, which is said.
    pub(super) fn shake_on_ice_too(&mut self) {
        let technique = |e: &Entry| match e {
            Entry::Step(Line {
                step: Step::Work(work),
                ..
            }) => Some(work.technique),
            _ => None,
        };
        let on_ice = |t: Technique| !matches!(t, Technique::DryShake | Technique::Muddle | Technique::Build);
        if self.out.entries.iter().filter_map(technique).any(on_ice) {
            return;
        }
        let Some(dry) = self
            .out
            .entries
            .iter()
            .position(|e| technique(e) == Some(Technique::DryShake))
        else {
            return;
        };
        let strained = self
            .out
            .entries
            .iter()
            .any(|e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Strain { .. } | Step::Ice(_))));
        let Entry::Step(line) = &self.out.entries[dry] else {
            return;
        };
        let reverse = matches!(&line.step, Step::Work(work) if key(&work.words).contains("reverse"));
        if !strained && !reverse {
            return;
        }
        let shake = Line {
            step: plain_work(Technique::Shake),
            span: line.span.clone(),
            assumptions: vec![Assumption::new(
                "a dry shake alone",
                "shaken on ice as well: without it nothing is chilled",
                "write `shake` on a line of its own",
            )],
        };
        let ice = self
            .out
            .entries
            .iter()
            .rposition(|e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Ice(_))));
        let at = if reverse {
            dry
        } else {
            ice.filter(|ice| *ice > dry).unwrap_or(dry) + 1
        };
        self.out.entries.insert(at, Entry::Step(shake));
    }
}

/// `fill the glass with ice`: the glass, and no mixing glass.
pub(super) fn fills_the_glass(text: &str) -> bool {
    let folded = key(text);
    folded.starts_with("fill ")
        && folded.contains("glass")
        && !folded.contains("mixing")
        && !folded.contains("bar glass")
}

/// Whether work is done in a glass, on ice that is named with it: what comes behind it are the glass and its ice, and
/// only words that join between.
pub(super) fn stirs_in_the_glass(behind: &[Option<Found>]) -> bool {
    let mut behind = behind
        .iter()
        .flatten()
        .map(|f| &f.item)
        .filter(|item| !matches!(item, Item::Words | Item::With));
    matches!(behind.next(), Some(Item::Glass(..)))
        && matches!(
            behind.next(),
            Some(Item::Ice(_) | Item::Step(Step::OverIce(_) | Step::Ice(_)))
        )
}

/// `w/ ice`, `with ice`: what is worked on, and not what is poured over.
pub(super) fn with_ice(words: &str) -> bool {
    matches!(key(words).split(' ').next(), Some("w/" | "with" | "w" | "again"))
}

/// Whether words name a vessel that drinks are worked in.
pub(super) fn names_a_vessel(text: &str) -> bool {
    key(text)
        .split(' ')
        .any(|w| matches!(w, "shaker" | "tin" | "tins" | "mixing" | "blender" | "beaker"))
}

/// The work that is done in the vessel that a line names.
pub(super) fn vessel_of_work(text: &str) -> Option<Technique> {
    let folded = key(text);
    let mut words = folded
        .split(' ')
        .map(|w| w.trim_matches(|c: char| !c.is_alphanumeric()));
    words
        .find_map(|w| match w {
            "shaker" | "shakers" => Some(Technique::Shake),
            "blender" => Some(Technique::Blend),
            _ => None,
        })
        .or_else(|| folded.contains("mixing glass").then_some(Technique::Stir))
}

/// `muddle 1/4 lime`, `shake with 1 lime`: fruit that is worked is counted by the piece.
pub(super) fn by_the_piece(pour: &mut Pour) {
    if let PourAmount::Of(extent, unit @ None) = &mut pour.measure
        && extent.nominal <= Amount::raw(4, 1)
        && pour
            .choices
            .first()
            .is_some_and(|n| goes_on_the_glass(&n.name) || is_solid(&n.name))
    {
        *unit = Some(Unit::Piece);
    }
}

/// `muddle mint`: a pour of as much as is usual, which is said.
pub(super) fn usual_pour(name: &str, span: Range<usize>) -> (Pour, Assumption) {
    let herb = crate::ingredient::library()
        .usual(name)
        .is_some_and(|i| i.kind == IngredientKind::Herb);
    let of = |n: i128, d: i128| Amount::raw(n, d);
    let (extent, unit) = if herb {
        (
            crate::spec::Extent {
                nominal: of(8, 1),
                low: of(4, 1),
                high: of(12, 1),
                word: None,
            },
            Unit::Leaf,
        )
    } else {
        (
            crate::spec::Extent {
                nominal: of(1, 1),
                low: of(1, 2),
                high: of(2, 1),
                word: None,
            },
            Unit::Piece,
        )
    };
    let pour = plain_pour(name, PourAmount::Of(extent, Some(unit)), span);
    let said = Assumption::new(
        format!("{name} without an amount"),
        format!(
            "{} {} (between {} and {}): common practice, no source",
            extent.nominal,
            unit.written_after(extent.nominal),
            extent.low,
            extent.high
        ),
        "write how much",
    );
    (pour, said)
}

pub(super) fn presses(technique: Technique) -> bool {
    !matches!(
        technique,
        Technique::Stir | Technique::Build | Technique::Throw | Technique::Roll
    )
}
