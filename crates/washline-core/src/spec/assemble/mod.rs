//! From the readings of a section's lines to its steps in working order.
//!
//! What one line cannot tell the whole of the drink does: a name without an amount is one that was poured before, or
//! goes on the glass, or is asked about; a slice is muddled or hung on the rim; soda that the list gives an amount and
//! the method tops with is one pour and goes on top.

mod again;
mod aside;
mod line;
mod named;
mod reading;
mod shares;
mod stated;
mod worked;

use std::ops::Range;

use aside::{is_of_a_list, said, set_recipes_aside, set_the_story_aside};
use named::{content, fizzes, said_together, same};
use shares::equal_parts_below;
use stated::in_the_stated_unit;
use worked::presses;

use super::lexicon::{self, OwnNames};
use super::line::{Item, LineRead};
use super::{Account, Assumption, Entry, Line, Pour, PourAmount, PourMethod, Step, Technique, Unplaced};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::tables::Ice;

/// A part of a section as it was typed.
#[derive(Debug)]
pub(super) enum Part {
    /// A line that is no step: kept where it stands.
    Entry(Entry),
    /// A line of steps.
    Line(LineRead),
}

/// What the lines of a section come to.
#[derive(Debug, Default)]
pub(super) struct Assembled {
    pub entries: Vec<Entry>,
    /// The glass that the lines name: its name, its size as typed, its place in the source.
    pub glass: Option<(String, Option<String>, Range<usize>)>,
    pub serves: Option<Amount>,
    /// Whether the lines say that it is served hot.
    pub hot: bool,
    /// Sizes as typed: of one serve, of a part, of the whole that parts are shares of.
    pub serve_of: Option<String>,
    pub part: Option<String>,
    pub total: Option<String>,
    pub account: Vec<Account>,
    pub wrongs: Vec<Unplaced>,
}

/// Put the parts of a section together.
///
/// In a `talk` of several people what is said later stands in the place of what was said before.
pub(super) fn assemble(
    parts: Vec<Part>,
    preparing: bool,
    talk: bool,
    name: &str,
    own: &OwnNames,
) -> Assembled {
    let parts = if preparing {
        parts
    } else {
        set_recipes_aside(parts)
    };
    let parts = if preparing {
        parts
    } else {
        equal_parts_below(set_the_story_aside(in_the_stated_unit(parts)))
    };
    let mut assembler = Assembler::new(&parts, preparing, name, own);
    assembler.talk = talk;
    for (at, part) in parts.into_iter().enumerate() {
        match part {
            Part::Entry(entry) => assembler.entry(entry),
            Part::Line(line) => assembler.line(at, line),
        }
    }
    assembler.finish()
}

/// What was poured with an amount, so that its name can be known again.
struct Poured {
    words: Vec<String>,
}

struct Assembler<'a> {
    out: Assembled,
    preparing: bool,
    /// Whether people talk the drink over, so that the last word counts.
    talk: bool,
    poured: Vec<Poured>,
    /// The part and reading of the last work that presses: muddle, shake, blend, swizzle.
    last_press: Option<(usize, usize)>,
    /// The part of the last work of any sort.
    last_work: Option<usize>,
    /// The part of the last pour.
    last_pour: Option<usize>,
    /// `gin 30 %, vermouth 20 %, …`: percentages of names without amounts are shares where they come to the whole.
    shares: bool,
    /// Whether anything was worked, strained or served so far.
    worked: bool,
    served: bool,
    /// Whether what follows is done for one drink, what went before for all.
    per_serve: bool,
    /// The words of the drink's heading.
    heading: Vec<String>,
    /// The words of a correction whose pour comes next.
    correcting: Option<String>,
    /// What is to be said with the next step.
    pending: Vec<Assumption>,
    /// Where the pours begin that have a line to themselves: a list says what it means.
    listed: Vec<usize>,
    /// Where the pours begin that are counted in `pt`: pints of a bowl, or parts of a glass.
    short_pints: Vec<usize>,
    /// How many lines are a pour and nothing else.
    lines_of_the_list: usize,
    /// The vessel that the drink is said to be made in, with the work that is done in one and where it stands.
    made_in: Option<(Technique, String, Range<usize>)>,
    /// Whether anything is strained off its ice.
    strains: bool,
    /// Whether the words before were `some of the`.
    some_of: bool,
    /// Whether what was poured is called hot where it is named again.
    called_hot: bool,
    /// Whether the line that is read holds names and nothing else.
    only_names: bool,
    /// The words of what is put on at the end, as much as fills or as is usual.
    placed_later: Vec<Vec<String>>,
    /// The names that the house and the book have of their own.
    own: &'a OwnNames,
}

impl<'a> Assembler<'a> {
    fn new(parts: &[Part], preparing: bool, name: &str, own: &'a OwnNames) -> Assembler<'a> {
        let mut poured = Vec::new();
        let mut last_press = None;
        let mut last_work = None;
        let mut last_pour = None;
        let mut percents = Vec::new();
        let mut placed_later = Vec::new();
        for (at, part) in parts.iter().enumerate() {
            let Part::Line(line) = part else { continue };
            for (i, found) in line.found.iter().enumerate() {
                match &found.item {
                    Item::Pours(pours) => {
                        last_pour = Some(at);
                        placed_later.extend(pours.iter().filter_map(|(pour, _)| {
                            let open = matches!(
                                pour.measure,
                                PourAmount::Fill
                                    | PourAmount::Usual
                                    | PourAmount::Of(_, Some(Unit::Splash | Unit::Dash))
                            );
                            let named = pour
                                .choices
                                .first()
                                .filter(|_| open && pour.place != PourMethod::In)?;
                            Some(content(&named.name))
                        }));
                        poured.extend(pours.iter().filter_map(|(pour, _)| {
                            let named = pour.choices.first()?;
                            let listed = matches!(pour.measure, PourAmount::Of(..) | PourAmount::Open(_))
                                // `top soda` in the list, `churn, soda` in the method.
                                || pour.measure == PourAmount::Fill;
                            listed.then(|| Poured {
                                words: content(&named.name),
                            })
                        }));
                    }
                    Item::Mention(mention) => percents.extend(mention.percent),
                    Item::Work(work) => {
                        last_work = Some(at);
                        if presses(work.technique) {
                            last_press = Some((at, i));
                        }
                    }
                    _ => {}
                }
            }
        }
        Assembler {
            out: Assembled::default(),
            preparing,
            talk: false,
            poured,
            last_press,
            last_work,
            last_pour,
            shares: percents.len() > 1
                && (0.98..=1.02).contains(&percents.iter().fold(0.0, |sum, p| sum + p.to_f64() / 100.0)),
            worked: false,
            served: false,
            per_serve: false,
            heading: content(name),
            correcting: None,
            pending: Vec::new(),
            listed: Vec::new(),
            short_pints: Vec::new(),
            strains: parts.iter().any(|part| match part {
                Part::Line(line) => {
                    said(line).any(|i| matches!(i, Item::Step(Step::Strain { .. } | Step::Unstrained)))
                }
                Part::Entry(_) => false,
            }),
            some_of: false,
            called_hot: false,
            only_names: false,
            placed_later,
            made_in: None,
            lines_of_the_list: parts.iter().filter(|part| is_of_a_list(part)).count(),
            own,
        }
    }

    /// A line that is no step. The glass of a particular stands over one that was named in passing.
    fn entry(&mut self, entry: Entry) {
        let is_glass = |e: &Entry| matches!(e, Entry::Particular(k, _) if k == "glass");
        if is_glass(&entry) && self.out.glass.is_some() {
            self.out.entries.retain(|e| !is_glass(e));
            self.out.glass = None;
        }
        self.out.entries.push(entry);
    }

    /// What follows goes into each serve.
    fn then_per_serve(&mut self) {
        self.out
            .entries
            .push(Entry::Particular("then".to_owned(), "per serve".to_owned()));
        self.per_serve = true;
    }

    /// `Serve: 120 g over ice, top with 60 ml soda`, below what is made for eight: the soda goes into each.
    fn served_from_the_batch(&mut self, line: &LineRead) {
        let label = line.label.as_deref().map(key);
        let serve = matches!(
            label.as_deref(),
            Some("serve" | "to serve" | "service" | "at service")
        );
        let batch = self
            .out
            .entries
            .iter()
            .any(|e| matches!(e, Entry::Particular(k, _) if k == "serves"));
        let pours = said(line).any(|i| matches!(i, Item::Pours(_)));
        if serve && batch && pours && !self.per_serve && self.any_poured() {
            self.then_per_serve();
        }
    }

    /// An amount of nothing in the prose below a list: that nothing is poured is said.
    fn is_for_the_reader(&mut self, text: &str, span: &Range<usize>) {
        for account in &mut self.out.account {
            if account.span.start >= span.start && account.span.end <= span.end {
                account.role = super::Role::Note;
            }
        }
        self.say(Assumption::new(
            format!("`{text}`"),
            "words about the work; nothing of it is poured",
            "write a pour on a line of its own",
        ));
    }

    /// The last step so far.
    fn last_step(&mut self) -> Option<&mut Line> {
        self.out.entries.iter_mut().rev().find_map(|e| match e {
            Entry::Step(line) => Some(line),
            _ => None,
        })
    }

    /// Say something with the last step, or with the next where there is none yet.
    fn say(&mut self, said: Assumption) {
        match self.last_step() {
            Some(line) => line.assumptions.push(said),
            None => self.pending.push(said),
        }
    }

    /// Words for the reader that name something that could be poured: that nothing is poured is said.
    fn said_in_passing(&mut self, text: &str) {
        if !text.contains(' ') || !lexicon::names_a_liquid(text) {
            return;
        }
        self.say(Assumption::new(
            format!("`{text}`"),
            "words about the drink; nothing of it is poured",
            "write an amount for what is poured",
        ));
    }

    /// How a thing is made stands in the drink: that nothing of it is poured is said.
    fn how_it_is_made(&mut self, label: &str) {
        self.say(Assumption::new(
            format!("`{label}`"),
            "how it is made: nothing of it is poured",
            format!("`## {label}` with `makes: an ingredient` under it, for it to be computed from its list"),
        ));
    }

    fn any_poured(&self) -> bool {
        self.out
            .entries
            .iter()
            .any(|e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Pour(_))))
    }

    /// `top`, `rinse glass` with nothing named: the last pour that fizzes goes on top, the last pour of all is the rinse.
    fn placed(&mut self, place: PourMethod, text: String, note: &mut Vec<String>) {
        let last = self.out.entries.iter_mut().rev().find_map(|e| match e {
            Entry::Step(Line {
                step: Step::Pour(pour),
                ..
            }) if pour.place == PourMethod::In && (place != PourMethod::Top || fizzes(pour)) => Some(pour),
            _ => None,
        });
        match last {
            Some(pour) => pour.place = place,
            None => note.push(text),
        }
    }

    fn push(&mut self, step: Step, span: Range<usize>, mut assumptions: Vec<Assumption>) {
        assumptions.append(&mut self.pending);
        self.out.entries.push(Entry::Step(Line {
            step,
            span,
            assumptions,
        }));
    }

    /// A pour: once, where the list and the method both name it.
    fn pour(&mut self, mut pour: Pour, span: Range<usize>, said: Vec<Assumption>) {
        // `PER SERVE: 85 ml pre-batch`, `pour 100 ml of the batch`: what was made ahead is in the glass already, and what
        // follows goes into each.
        let batched = pour.choices.first().is_some_and(|named| {
            key(&named.name) == "mix" || lexicon::has_tag(&named.name, lexicon::Tag::Batch)
        });
        if batched
            && !self.per_serve
            && self.any_poured()
            && matches!(pour.measure, PourAmount::Of(_, Some(_)))
        {
            self.then_per_serve();
        }
        if self.talk && self.is_the_last_word(&pour) {
            return;
        }
        if self.is_its_share(&pour) {
            let note = format!("{} for each serve", super::write::pour_text(&pour));
            self.out.entries.push(Entry::Note(note));
            return;
        }
        // `14 bottles of the scotch left`: of what is poured by the measure, that is the stock.
        if matches!(pour.measure, PourAmount::Of(_, Some(Unit::Bottle)))
            && let Some(named) = pour.choices.first()
            && self
                .measured_pours()
                .iter()
                .any(|(_, words, _, unit)| *unit != Some(Unit::Bottle) && same(words, &content(&named.name)))
        {
            self.out.entries.push(Entry::Note(super::write::pour_text(&pour)));
            return;
        }
        if self.per_serve && batched {
            let size = super::write::amount(&pour);
            if self.out.serve_of.is_none() && self.out.serves.is_none() {
                self.out.serve_of = Some(size.clone());
                self.out
                    .entries
                    .push(Entry::Particular("each serve".to_owned(), size));
            } else {
                let note = format!("{} for each serve", super::write::pour_text(&pour));
                self.out.entries.push(Entry::Note(note));
            }
            return;
        }
        let bare =
            matches!(pour.measure, PourAmount::Fill | PourAmount::Usual) && pour.place != PourMethod::In;
        if let Some(named) = pour.choices.first() {
            let words = content(said_together(&named.name).first().map_or(&named.name, |n| n));
            if bare {
                // `5 ml absinthe (rinse)` in the list, `rinse the glass with absinthe` in the method.
                let before = self.take_pour(|other, theirs| {
                    let listed = other.place == PourMethod::In && matches!(other.measure, PourAmount::Of(..));
                    // `1/2 oz 151-proof Demerara rum` in the list, `float the 151` in the method.
                    let as_strong = pour.strength_pct.is_some() && other.strength_pct == pour.strength_pct;
                    (listed || other.place == pour.place) && (same(theirs, &words) || as_strong)
                });
                if let Some((mut first, span, said)) = before {
                    first.place = pour.place;
                    self.push(Step::Pour(first), span, said);
                    return;
                }
            } else if pour.place == PourMethod::In && matches!(pour.measure, PourAmount::Of(..)) {
                // The method first, `charge with soda`, and then the list, `60 ml soda water`: one pour, and on top.
                let before = self.take_pour(|other, theirs| {
                    other.place != PourMethod::In
                        && matches!(other.measure, PourAmount::Fill | PourAmount::Usual)
                        && same(&words, theirs)
                });
                if let Some((first, ..)) = before {
                    pour.place = first.place;
                }
            }
        }
        self.push(Step::Pour(pour), span, said);
    }

    fn glass(&mut self, name: String, size: Option<String>, span: Range<usize>) {
        // `tall, thin glass`: a comma would part a name from its size.
        let name = name.replace(',', "");
        let folded = key(&name);
        if folded.contains("ice filled") || folded.contains("iced ") {
            self.served = true;
            self.push(Step::OverIce(Ice::said("over ice")), span.clone(), Vec::new());
        }
        if self.worked {
            self.served = true;
        }
        let bare = matches!(
            folded.as_str(),
            "glass" | "the glass" | "cup" | "cups" | "mug" | "bowl"
        );
        if bare
            && (size.is_none() || self.out.glass.is_some())
            && (self.out.glass.is_some() || matches!(folded.as_str(), "glass" | "the glass"))
        {
            return;
        }
        // `teacup + saucer`, `strain into the rinsed glass`, `spray over the stem`: no other glass than the one that is known.
        let known = |name: &str| crate::tables::Glass::called(name).is_some();
        let named_before = self.out.glass.as_ref().is_some_and(|(before, ..)| known(before));
        if size.is_none() && named_before && (!known(&name) || folded == "saucer") {
            return;
        }
        let value = match &size {
            Some(size) => format!("{name}, {size}"),
            None => name.clone(),
        };
        let is_glass = |e: &Entry| matches!(e, Entry::Particular(k, _) if k == "glass");
        // A particular of the drink stands: `serve on a saucer` is no other glass.
        let particular = self.out.entries.iter().find_map(|e| match e {
            Entry::Particular(k, value) if k == "glass" && self.out.glass.is_none() => Some(value.clone()),
            _ => None,
        });
        if particular.is_some_and(|value| {
            lexicon::is_glass_like(&value) || crate::tables::Glass::called(&value).is_some()
        }) {
            return;
        }
        if let Some(before) = self.out.entries.iter_mut().find(|e| is_glass(e)) {
            *before = Entry::Particular("glass".to_owned(), value);
        } else {
            self.out
                .entries
                .push(Entry::Particular("glass".to_owned(), value));
        }
        self.out.glass = Some((name, size, span));
    }

    fn finish(mut self) -> Assembled {
        if !self.preparing {
            self.worked_where_it_is_made();
            self.stirred_in_the_glass();
            self.shake_on_ice_too();
            self.parts_in_short();
            self.whole_that_parts_are_of();
            self.size_of_parts();
            self.ask_what_is_poured_twice();
        }
        // `pour over the hot milk` makes a drink hot; `stir into the hot espresso, fill the glass with ice` does not.
        let iced =
            |e: &Entry| matches!(e, Entry::Step(l) if matches!(l.step, Step::OverIce(_) | Step::Ice(_)));
        self.out.hot |= self.called_hot && !self.out.entries.iter().any(iced);
        // One blank line says as much as two, where what stood between them was put elsewhere.
        self.out
            .entries
            .dedup_by(|a, b| *a == Entry::Blank && *b == Entry::Blank);
        // Ice named over and over is served over once.
        let mut seen = false;
        self.out.entries.retain(|e| match e {
            Entry::Step(Line {
                step: Step::OverIce(ice),
                ..
            }) if ice.words == "over ice" => {
                let keep = !seen;
                seen = true;
                keep
            }
            Entry::Step(Line {
                step: Step::OverIce(_),
                ..
            }) => {
                seen = true;
                true
            }
            _ => true,
        });
        self.out
    }
}

/// Work of a technique and nothing else.
fn plain_work(technique: Technique) -> Step {
    Step::Work(super::Work {
        technique,
        seconds: None,
        ice: None,
        words: String::new(),
    })
}

/// A pour of a name and nothing else.
fn plain_pour(name: &str, measure: PourAmount, span: Range<usize>) -> Pour {
    Pour {
        place: PourMethod::In,
        measure,
        choices: vec![super::Named {
            name: name.to_owned(),
            full: name.to_owned(),
            any: false,
            span,
        }],
        strength_pct: None,
        per: None,
        note: String::new(),
    }
}

fn line_garnish(words: &str) -> Step {
    Step::Garnish(words.to_owned())
}

fn lexicon_up(text: &str) -> bool {
    let folded = key(text);
    folded == "up" || folded.ends_with(" up")
}
