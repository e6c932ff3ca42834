//! From the readings of a section's lines to its steps in working order.
//!
//! What one line cannot tell the whole of the drink does: a name without an amount is one that was poured before, or
//! goes on the glass, or is asked about; a slice is muddled or hung on the rim; soda that the list gives an amount and
//! the method tops with is one pour and goes on top.

mod again;
mod aside;
mod named;
mod shares;
mod worked;

use std::ops::Range;

use aside::{is_in_brackets, is_of_a_list, is_prose, said, set_recipes_aside, set_the_story_aside};
pub(super) use named::goes_on_the_glass;
use named::{content, ends_in_a_liquid, fizzes, is_content, said_together, same};
use shares::equal_parts_below;
use worked::{fills_the_glass, names_a_vessel, presses, stirs_in_the_glass, vessel_of_work, with_ice};

use super::lexicon::{self, OwnNames};
use super::line::{Found, Item, LineRead, Mention};
use super::{Account, Assumption, Entry, Line, Measure, Place, Pour, Step, Technique, Wrong};
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
    pub wrongs: Vec<Wrong>,
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
        equal_parts_below(set_the_story_aside(parts))
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

/// What is read at this moment.
#[derive(Clone, Copy, PartialEq, Eq)]
enum After {
    Nothing,
    Work(Technique),
    Garnish,
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
                                Measure::Fill
                                    | Measure::Usual
                                    | Measure::Of(_, Some(Unit::Splash | Unit::Dash))
                            );
                            let named = pour.choices.first().filter(|_| open && pour.place != Place::In)?;
                            Some(content(&named.name))
                        }));
                        poured.extend(pours.iter().filter_map(|(pour, _)| {
                            let named = pour.choices.first()?;
                            let listed = matches!(pour.measure, Measure::Of(..) | Measure::Open(_))
                                // `top soda` in the list, `churn, soda` in the method.
                                || pour.measure == Measure::Fill;
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

    fn line(&mut self, part: usize, line: LineRead) {
        if is_in_brackets(&line) {
            self.out
                .account
                .extend(line.account.into_iter().map(|account| Account {
                    role: super::Role::Note,
                    ..account
                }));
            self.out.entries.push(Entry::Note(line.text));
            return;
        }
        self.served_from_the_batch(&line);
        let prose = is_prose(&line);
        if self.talk {
            self.take_back_what_is_not_said_anew(&line);
        }
        if self.made_in.is_none()
            && let (Some(technique), Some(first), Some(last)) =
                (vessel_of_work(&line.text), line.found.first(), line.found.last())
        {
            self.made_in = Some((technique, line.text.clone(), first.span.start..last.span.end));
        }
        self.out.account.extend(line.account);
        let text = line.text;
        let mut found: Vec<Option<Found>> = line.found.into_iter().map(Some).collect();
        let mut after = After::Nothing;
        let mut note: Vec<String> = Vec::new();
        let leads_with_work = found
            .iter()
            .flatten()
            .find(|f| !matches!(f.item, Item::Joint | Item::Header | Item::With | Item::Words))
            .is_some_and(|f| matches!(f.item, Item::Work(_) | Item::Step(Step::Strain { .. })));
        let alone = found
            .iter()
            .flatten()
            .filter(|f| !matches!(f.item, Item::Joint))
            .count()
            == 1;
        let pours = found.iter().flatten().any(|f| matches!(f.item, Item::Pours(_)));
        self.only_names = found.iter().flatten().all(|f| match &f.item {
            Item::Mention(_) | Item::Joint => true,
            // `chuck in cucumber and mint`
            Item::Words => !is_content(&f.text),
            _ => false,
        });
        let beside_the_list = prose && self.lines_of_the_list > 1 && !self.preparing;
        let mut small: Option<(Measure, usize)> = None;
        let mut joint = None;
        // `in a mixing glass with ice`: the ice of what it is worked in.
        let mut vessel = false;
        let mut last_was_named = false;
        for i in 0..found.len() {
            let Some(reading) = found[i].take() else { continue };
            let span = reading.span.clone();
            let mentioned = std::mem::replace(
                &mut last_was_named,
                matches!(&reading.item, Item::Mention(m) if m.solid || goes_on_the_glass(&m.name)),
            );
            if !matches!(reading.item, Item::Mention(_)) {
                self.some_of = matches!(key(&reading.text).as_str(), "some of the" | "a little of the");
            }
            if let Some(glass) = reading.glass {
                self.glass(glass, None, span.clone());
            }
            match reading.item {
                Item::Joint | Item::Header => {
                    if matches!(reading.text.as_str(), "&" | "+" | "and" | "n") {
                        joint = Some(i);
                    }
                    if reading.text.ends_with('.') || reading.text == ";" {
                        after = After::Nothing;
                        vessel = false;
                    }
                }
                // `lemon with cloves`: what is put on the drink with something else.
                Item::With => {
                    if mentioned && !self.preparing {
                        after = After::Garnish;
                    }
                }
                Item::Placed(place) => self.placed(place, reading.text, &mut note),
                Item::PerServe => {
                    self.then_per_serve();
                }
                Item::Words => {
                    vessel |= names_a_vessel(&reading.text);
                    if is_content(&reading.text) {
                        self.said_in_passing(&reading.text);
                        note.push(reading.text);
                    }
                }
                Item::Recipe(label) => {
                    self.how_it_is_made(&label);
                    note.push(reading.text);
                }
                Item::Correction(Some(measure)) => self.correct(measure, None, &reading.text, span),
                Item::Correction(None) => self.correcting = Some(reading.text),
                Item::Hot => {
                    self.out.hot = true;
                    note.push(reading.text);
                }
                Item::Unread(_) if beside_the_list || self.talk && self.names_what_is_poured(&text) => {
                    self.is_for_the_reader(&reading.text, &span);
                    note.push(reading.text);
                }
                Item::Fault(wrong) | Item::Unread(wrong) => self.out.wrongs.push(wrong),
                Item::Work(mut work) => {
                    // `stir the sauce into the hot espresso`: mixed, and not stirred on ice.
                    if work.technique == Technique::Stir && self.stirs_into(&found[i + 1..]) {
                        work.technique = Technique::Build;
                    }
                    // `whip everything in the blender`
                    if work.technique == Technique::WhipShake
                        && vessel_of_work(&text) == Some(Technique::Blend)
                    {
                        work.technique = Technique::Blend;
                    }
                    // `stir in a small bar glass with shaved ice`, and nothing is strained.
                    if work.technique == Technique::Stir
                        && !self.strains
                        && stirs_in_the_glass(&found[i + 1..])
                    {
                        work.technique = Technique::Build;
                    }
                    // `build over ice, churn`: on cubes in the glass, a churn is a stir.
                    let churned = key(&reading.text).starts_with("churn");
                    if churned && self.is_built_on_cubes() {
                        work.technique = Technique::Build;
                    }
                    // `muddle 8 mint leaves`, `roll with 100 ml ginger beer`: poured first, then worked.
                    let technique = work.technique;
                    self.with_work(i, technique, &mut found);
                    self.worked = true;
                    self.push(Step::Work(work), span, Vec::new());
                    after = After::Work(technique);
                }
                // `DS/WS`: dry shake, wet shake.
                Item::Step(Step::Strain { .. })
                    if !self.worked
                        && reading.text.eq_ignore_ascii_case("ds")
                        && found[i + 1..]
                            .iter()
                            .flatten()
                            .any(|f| matches!(&f.item, Item::Work(w) if w.technique == Technique::Shake)) =>
                {
                    let work = super::Work {
                        technique: Technique::DryShake,
                        seconds: None,
                        ice: None,
                        words: String::new(),
                    };
                    self.worked = true;
                    self.push(Step::Work(work), span, Vec::new());
                }
                Item::Step(Step::OverIce(ice) | Step::Ice(ice))
                    if after == After::Work(Technique::DryShake) && with_ice(&ice.words) =>
                {
                    self.push(plain_work(Technique::Shake), span, Vec::new());
                }
                Item::Step(step) => {
                    self.worked = true;
                    match &step {
                        Step::Strain { .. } => {
                            self.served = true;
                            let strained = self.out.entries.iter().any(
                                |e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Strain { .. })),
                            );
                            let up = lexicon_up(&reading.text);
                            if up && strained {
                                continue;
                            }
                        }
                        Step::OverIce(_) | Step::Neat | Step::Unstrained => self.served = true,
                        _ => {}
                    }
                    self.push(step, span, Vec::new());
                    after = After::Nothing;
                }
                // `Ice: cubed`: a label, and the ice.
                Item::Ice(words)
                    if key(&words) == "ice"
                        && found[i + 1..]
                            .iter()
                            .flatten()
                            .any(|f| matches!(f.item, Item::Ice(_))) => {}
                // `dry shake first, then w/ ice`
                Item::Ice(words) if after == After::Work(Technique::DryShake) && with_ice(&words) => {
                    self.push(plain_work(Technique::Shake), span, Vec::new());
                }
                Item::Ice(words) => {
                    // `fill the glass with shaved ice, stir`, and nothing is strained: the glass that it is served in.
                    let in_the_glass = !self.strains && fills_the_glass(&reading.text);
                    let in_the_tin = vessel;
                    let alone = reading.begins && reading.from == 0 && !in_the_glass;
                    let step = self.ice(words, alone || in_the_tin);
                    self.push(step, span, Vec::new());
                }
                // `the vermouth and the cordial`: a cordial that was poured, and no glass.
                Item::Glass(name, None) if !key(&name).contains("glass") && self.is_a_pour(&name) => {}
                Item::Glass(name, size) => self.glass(name, size, span),
                Item::Garnish(words) => {
                    let said = if reading.text.to_lowercase().starts_with("garnish")
                        || reading.text.to_lowercase().ends_with("garnish")
                    {
                        Vec::new()
                    } else {
                        vec![Assumption::new(
                            format!("`{words}`"),
                            "read as the garnish",
                            "write `garnish …` on a line of its own",
                        )]
                    };
                    self.push(line_garnish(&words), span, said);
                    after = After::Garnish;
                }
                Item::Serves(count) => {
                    self.out.serves = Some(count);
                    self.out
                        .entries
                        .push(Entry::Particular("serves".to_owned(), count.to_string()));
                }
                Item::ServeOf(size) => {
                    self.out
                        .entries
                        .push(Entry::Particular("each serve".to_owned(), size.clone()));
                    self.out.serve_of = Some(size);
                    // `90 ml each over ice, top 30 soda`: what comes behind it goes into each.
                    let more = found[i + 1..]
                        .iter()
                        .flatten()
                        .any(|f| matches!(f.item, Item::Pours(_)));
                    if more && self.any_poured() && !self.per_serve {
                        self.then_per_serve();
                    }
                }
                Item::PartIs(size) => {
                    self.out
                        .entries
                        .push(Entry::Particular("part".to_owned(), size.clone()));
                    self.out.part = Some(size);
                }
                Item::Total(size) => {
                    self.out
                        .entries
                        .push(Entry::Particular("serve".to_owned(), size.clone()));
                    self.out.total = Some(size);
                }
                Item::Mention(Mention {
                    name,
                    percent: Some(share),
                    ..
                }) if self.shares => {
                    let measure = Measure::Of(super::Extent::exact(share), Some(Unit::Part));
                    self.push(
                        Step::Pour(plain_pour(&name, measure, span.clone())),
                        span,
                        Vec::new(),
                    );
                }
                // `a pinch of salt and pepper`: the same of each.
                Item::Mention(mention)
                    if mention.known
                        && small
                            .as_ref()
                            .is_some_and(|(_, at)| *at + 2 == i && joint == Some(at + 1)) =>
                {
                    let Some((measure, _)) = small.clone() else {
                        continue;
                    };
                    let said = Assumption::new(
                        format!("`{}`", reading.text),
                        "as much of it as of what stands before it",
                        "write how much",
                    );
                    self.push(
                        Step::Pour(plain_pour(&mention.name, measure.clone(), span.clone())),
                        span,
                        vec![said],
                    );
                    small = Some((measure, i));
                }
                Item::Mention(mention)
                    if !mention.known && !pours && !self.any_poured() && !ends_in_a_liquid(&mention.name) =>
                {
                    // What stands over the list without an amount and is nothing that is poured is a title.
                    note.push(reading.text);
                }
                Item::Mention(mention) => {
                    self.mention(part, i, mention, &reading.text, span, after, alone, &mut note);
                }
                Item::Pours(pours) => {
                    if let Some(taken_back) = self.correcting.take()
                        && let [(pour, _)] = pours.as_slice()
                        && let (Some(named), Measure::Of(..)) = (pour.choices.first(), &pour.measure)
                        && self.any_poured()
                    {
                        let words = content(&named.name);
                        let said = format!("{taken_back} {}", reading.text);
                        self.correct(pour.measure.clone(), Some(words), &said, span.clone());
                        if self.correcting.is_none() {
                            continue;
                        }
                        self.correcting = None;
                    }
                    // `30 turns`, `4 layers of cloth` in the method below a list: so many of nothing that is poured.
                    if beside_the_list
                        && let [(pour, _)] = pours.as_slice()
                        && self.counts_nothing_poured(pour)
                    {
                        self.is_for_the_reader(&reading.text, &span);
                        note.push(reading.text);
                        continue;
                    }
                    let several = pours.len() > 1;
                    // `pull a fresh espresso` of which the list says how much: named again.
                    if let [(pour, _)] = pours.as_slice()
                        && matches!(&pour.measure, Measure::Of(e, None | Some(Unit::Shot | Unit::Cube)) if e.nominal == Amount::ONE)
                        && !reading.text.starts_with(|c: char| c.is_numeric())
                        && pour.choices.first().is_some_and(|n| {
                            let words = content(&n.name);
                            self.measured_pours().iter().any(|(_, twin, _, unit)| {
                                *twin == words
                                    && matches!(
                                        unit,
                                        Some(
                                            Unit::Millilitre
                                                | Unit::Centilitre
                                                | Unit::Ounce
                                                | Unit::Gram
                                                | Unit::Cube
                                        )
                                    )
                            })
                        })
                    {
                        continue;
                    }
                    if let [(pour, _)] = pours.as_slice()
                        && matches!(pour.measure, Measure::Of(_, Some(Unit::Pint)))
                        && key(&reading.text).split(' ').any(|w| matches!(w, "pt" | "pts"))
                    {
                        self.short_pints.push(span.start);
                    }
                    if alone {
                        self.listed.push(span.start);
                    }
                    if let [(pour, _)] = pours.as_slice()
                        && matches!(
                            pour.measure,
                            Measure::Of(_, Some(Unit::Pinch | Unit::Dash | Unit::Drop | Unit::Spray))
                        )
                    {
                        small = Some((pour.measure.clone(), i));
                    }
                    for (mut pour, mut said) in pours {
                        // `two dashes of bitters and one of absinthe`: counted as what stands before it.
                        if let (Measure::Of(_, unit @ None), Some((Measure::Of(_, Some(last)), _))) =
                            (&mut pour.measure, &small)
                            && key(&reading.text).split(' ').nth(1) == Some("of")
                        {
                            *unit = Some(*last);
                        }
                        // Of several pours of one amount each stands where its name does.
                        let own = pour.choices.first().filter(|_| several).map(|n| n.span.clone());
                        let span = own.unwrap_or_else(|| span.clone());
                        if self.is_garnish(&pour, &reading.text, (part, i), after) {
                            let words = reading.text.trim_end_matches(['.', ',']).to_owned();
                            said = vec![Assumption::new(
                                format!("`{words}`"),
                                "read as the garnish",
                                "write `garnish …` on a line of its own",
                            )];
                            self.push(line_garnish(&words), span.clone(), said);
                            continue;
                        }
                        if self.is_said_again_by_hand(&pour, &reading.text, alone)
                            || beside_the_list && self.is_of_the_list(&pour, &span)
                        {
                            continue;
                        }
                        if leads_with_work && !self.preparing {
                            said.push(Assumption::new(
                                format!("`{}`", reading.text),
                                "a pour found among the words of the method",
                                "write it on a line of its own",
                            ));
                        }
                        self.pour(pour, span.clone(), said);
                    }
                }
            }
        }
        if !note.is_empty() {
            self.out.entries.push(Entry::Note(note.join(" ")));
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
    fn placed(&mut self, place: Place, text: String, note: &mut Vec<String>) {
        let last = self.out.entries.iter_mut().rev().find_map(|e| match e {
            Entry::Step(Line {
                step: Step::Pour(pour),
                ..
            }) if pour.place == Place::In && (place != Place::Top || fizzes(pour)) => Some(pour),
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
        if batched && !self.per_serve && self.any_poured() && matches!(pour.measure, Measure::Of(_, Some(_)))
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
        if matches!(pour.measure, Measure::Of(_, Some(Unit::Bottle)))
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
        let bare = matches!(pour.measure, Measure::Fill | Measure::Usual) && pour.place != Place::In;
        if let Some(named) = pour.choices.first() {
            let words = content(said_together(&named.name).first().map_or(&named.name, |n| n));
            if bare {
                // `5 ml absinthe (rinse)` in the list, `rinse the glass with absinthe` in the method.
                let before = self.take_pour(|other, theirs| {
                    let listed = other.place == Place::In && matches!(other.measure, Measure::Of(..));
                    // `1/2 oz 151-proof Demerara rum` in the list, `float the 151` in the method.
                    let as_strong = pour.strength_pct.is_some() && other.strength_pct == pour.strength_pct;
                    (listed || other.place == pour.place) && (same(theirs, &words) || as_strong)
                });
                if let Some((mut first, span, said)) = before {
                    first.place = pour.place;
                    self.push(Step::Pour(first), span, said);
                    return;
                }
            } else if pour.place == Place::In && matches!(pour.measure, Measure::Of(..)) {
                // The method first, `charge with soda`, and then the list, `60 ml soda water`: one pour, and on top.
                let before = self.take_pour(|other, theirs| {
                    other.place != Place::In
                        && matches!(other.measure, Measure::Fill | Measure::Usual)
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
fn plain_pour(name: &str, measure: Measure, span: Range<usize>) -> Pour {
    Pour {
        place: Place::In,
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
