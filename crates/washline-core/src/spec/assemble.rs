//! From the readings of a section's lines to its steps in working order.
//!
//! What one line cannot tell the whole of the drink does: a name without an amount is one that was poured before, or
//! goes on the glass, or is asked about; a slice is muddled or hung on the rim; soda that the list gives an amount and
//! the method tops with is one pour and goes on top.

use std::ops::Range;

use super::lexicon::{self, OwnNames, singular};
use super::line::{self, Found, Item, LineRead, Mention};
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
pub(super) fn assemble(parts: Vec<Part>, preparing: bool, name: &str, own: &OwnNames) -> Assembled {
    let parts = if preparing {
        parts
    } else {
        set_recipes_aside(parts)
    };
    let mut assembler = Assembler::new(&parts, preparing, name, own);
    for (at, part) in parts.into_iter().enumerate() {
        match part {
            Part::Entry(entry) => assembler.out.entries.push(entry),
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
        for (at, part) in parts.iter().enumerate() {
            let Part::Line(line) = part else { continue };
            for (i, found) in line.found.iter().enumerate() {
                match &found.item {
                    Item::Pours(pours) => {
                        last_pour = Some(at);
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
            lines_of_the_list: parts.iter().filter(|part| is_of_a_list(part)).count(),
            own,
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
        let prose = is_prose(&line);
        self.out.account.extend(line.account);
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
        let beside_the_list = prose && self.lines_of_the_list > 1 && !self.preparing;
        let mut small: Option<(Measure, usize)> = None;
        let mut joint = None;
        for i in 0..found.len() {
            let Some(reading) = found[i].take() else { continue };
            let span = reading.span.clone();
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
                    }
                }
                Item::With => {}
                Item::Placed(place) => self.placed(place, reading.text, &mut note),
                Item::PerServe => {
                    self.out
                        .entries
                        .push(Entry::Particular("then".to_owned(), "per serve".to_owned()));
                    self.per_serve = true;
                }
                Item::Words => {
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
                Item::Unread(_) if beside_the_list => {
                    self.is_for_the_reader(&reading.text, &span);
                    note.push(reading.text);
                }
                Item::Fault(wrong) | Item::Unread(wrong) => self.out.wrongs.push(wrong),
                Item::Work(work) => {
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
                Item::Ice(words) => {
                    let step = self.ice(words, reading.begins && reading.from == 0);
                    self.push(step, span, Vec::new());
                }
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
                        self.out
                            .entries
                            .push(Entry::Particular("then".to_owned(), "per serve".to_owned()));
                        self.per_serve = true;
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
                Item::Mention(mention) if !mention.known && !pours && !self.any_poured() => {
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
                        && matches!(&pour.measure, Measure::Of(e, None | Some(Unit::Shot)) if e.nominal == Amount::ONE)
                        && !reading.text.starts_with(|c: char| c.is_numeric())
                        && pour.choices.first().is_some_and(|n| {
                            let words = content(&n.name);
                            self.measured_pours().iter().any(|(_, twin, _, unit)| {
                                *twin == words
                                    && matches!(
                                        unit,
                                        Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce | Unit::Gram)
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

    /// Whether a pour counts, without a measure, something that nobody knows as a thing to drink.
    fn counts_nothing_poured(&self, pour: &Pour) -> bool {
        let counted =
            pour.place == Place::In && matches!(pour.measure, Measure::Of(_, None | Some(Unit::Piece)));
        counted
            && pour.choices.iter().all(|named| {
                !lexicon::names_anything(&named.name, self.own)
                    && !as_kind(&named.name)
                    && crate::ingredient::library().usual(&named.name).is_none()
                    && crate::ingredient::never(&named.name).is_none()
            })
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
        if let Some(line) = self.last_step() {
            line.assumptions.push(Assumption::new(
                format!("`{text}`"),
                "words about the drink; nothing of it is poured",
                "write an amount for what is poured",
            ));
        }
    }

    /// An amount that takes back the one before it: of the pour that is named, or of the last one.
    fn correct(&mut self, measure: Measure, named: Option<Vec<String>>, text: &str, span: Range<usize>) {
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
                let before = super::write::amount(pour);
                pour.measure = match (measure, &pour.measure) {
                    (Measure::Of(extent, None), Measure::Of(_, unit)) => Measure::Of(extent, *unit),
                    (measure, _) => measure,
                };
                said.push(Assumption::new(
                    format!("`{text}`"),
                    format!("stands in the place of {before}"),
                    "write the amount that is poured, and no other",
                ));
            }
            // What is named was not poured before: `actually 25 ml lemon` is a pour like any other.
            None if named.is_some() => self.correcting = Some(text.to_owned()),
            None => self.out.wrongs.push(Wrong::ask(
                span,
                format!("`{text}`: in the place of which amount? expected the pour with its amount"),
                Vec::new(),
            )),
        }
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
            self.out
                .entries
                .push(Entry::Particular("then".to_owned(), "per serve".to_owned()));
            self.per_serve = true;
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
            let words = content(&named.name);
            if bare {
                // `5 ml absinthe (rinse)` in the list, `rinse the glass with absinthe` in the method.
                let before = self.take_pour(|other, theirs| {
                    let listed = other.place == Place::In && matches!(other.measure, Measure::Of(..));
                    (listed || other.place == pour.place) && same(theirs, &words)
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

    /// Take out the first pour that `is` takes, by itself and the words of its name, with its place and what is said of it.
    fn take_pour(
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

    /// `sparkling water 4 l` for 40, and `100 ml sparkling water` on site: what each gets of what the list pours for all.
    fn is_its_share(&self, pour: &Pour) -> bool {
        let (true, Some(count), Some(named)) = (self.per_serve, self.out.serves, pour.choices.first()) else {
            return false;
        };
        let measures = crate::measure::Measures::default();
        let ml = |amount: Amount, unit: Option<Unit>| {
            let size = measures.size(unit.unwrap_or(Unit::Millilitre))?;
            Some((amount * size.nominal).to_f64())
        };
        let Measure::Of(extent, unit) = &pour.measure else {
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

    /// Pours that stand behind a word of work are done before it.
    fn with_work(&mut self, at: usize, technique: Technique, found: &mut [Option<Found>]) {
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
                    if matches!(&reading.item, Item::Pours(pours) if pours.iter().any(|(p, _)| p.place != Place::In))
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
    fn ice(&mut self, words: String, alone: bool) -> Step {
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
        if let Some(before) = self.out.entries.iter_mut().find(|e| is_glass(e)) {
            *before = Entry::Particular("glass".to_owned(), value);
        } else {
            self.out
                .entries
                .push(Entry::Particular("glass".to_owned(), value));
        }
        self.out.glass = Some((name, size, span));
    }

    /// Whether words are those of the drink's own heading.
    fn is_own_name(&self, words: &str) -> bool {
        let words = content(words);
        !words.is_empty() && words.iter().all(|w| self.heading.contains(w))
    }

    fn was_poured(&self, name: &str) -> bool {
        let words = content(name);
        self.poured
            .iter()
            .any(|p| same(&p.words, &words) || is_of_the_kind(&p.words, &words))
    }

    #[expect(
        clippy::too_many_arguments,
        reason = "what a name without an amount is depends on all of where it stands"
    )]
    fn mention(
        &mut self,
        part: usize,
        at: usize,
        mention: Mention,
        text: &str,
        span: Range<usize>,
        after: After,
        alone: bool,
        note: &mut Vec<String>,
    ) {
        let text = text.trim_end_matches(['.', ',']).to_owned();
        // `the gin one`: what is spoken of.
        if text.to_lowercase().ends_with(" one") {
            note.push(text);
            return;
        }
        // `pour over the hot milk`
        let beside = key(&text);
        if self.was_poured(&mention.name)
            && beside
                .split(' ')
                .any(|w| matches!(w, "hot" | "boiling" | "steaming"))
        {
            self.out.hot = true;
        }
        if self.was_poured(&mention.name) && !(self.served && mention.solid) {
            return;
        }
        let late = self.served
            || mention.solid && self.last_pour.is_some_and(|last| part > last)
            || self.worked && self.last_work.is_some_and(|last| part > last)
            || self.last_press.is_some_and(|p| p < (part, at)) && self.worked;
        if after == After::Garnish || late && (mention.solid || goes_on_the_glass(&mention.name)) {
            let said = Assumption::new(
                format!("`{text}`"),
                "read as the garnish",
                "write `garnish …` on a line of its own",
            );
            self.push(line_garnish(&text), span, vec![said]);
            return;
        }
        // An unusual word in prose is for the reader; a name alone on its line may be a pour whose amount is missing.
        let library = crate::ingredient::library();
        let listed = || library.usual(&mention.name).is_some();
        let known = mention.known || !late && (listed() || as_kind(&mention.name));
        if !known && (late || !alone || text.split_whitespace().count() > 2) {
            note.push(text);
            return;
        }
        if self.was_poured(&mention.name) || self.is_own_name(&mention.name) {
            return;
        }
        self.out.wrongs.push(how_much(&text, span, mention.solid));
    }

    /// Whether a counted fruit, herb or the like is put on the drink and not in it.
    fn is_garnish(&self, pour: &Pour, text: &str, at: (usize, usize), after: After) -> bool {
        // `half a passion fruit on top`, `1 g crumb on top`
        if !self.preparing
            && pour.place == Place::Top
            && let (Some(named), Measure::Of(extent, unit)) = (pour.choices.first(), &pour.measure)
        {
            let solid = is_solid(&named.name) || goes_on_the_glass(&named.name);
            let liquid = lexicon::sort_of(&named.name) == Some(lexicon::Sort::Liquid) || as_kind(&named.name);
            let little = *unit == Some(Unit::Gram) && extent.nominal <= Amount::raw(5, 1);
            return match unit {
                None => solid,
                Some(unit) => !liquid && (line::on_the_glass(*unit) || little),
            };
        }
        if self.preparing
            || pour.place != Place::In
            || after == After::Work(Technique::Muddle) && !self.served
        {
            return false;
        }
        let Some(named) = pour.choices.first() else {
            return false;
        };
        let Measure::Of(_, unit) = &pour.measure else {
            return false;
        };
        let solid = is_solid(&named.name) || goes_on_the_glass(&named.name) || garnish_noun(&named.name);
        let on_glass = match unit {
            Some(unit) => {
                line::on_the_glass(*unit) || *unit == Unit::Cube && !key(&named.name).contains("sugar")
            }
            None => solid,
        };
        let cut = matches!(
            unit,
            Some(Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Sprig | Unit::Leaf)
        );
        if !on_glass || !solid && !(cut && (self.served || self.worked)) {
            return false;
        }
        let pressed_later = self.last_press.is_some_and(|last| last > at);
        // `6 oranges, sliced` swim in the bowl.
        let sliced = key(text)
            .split(|c: char| !c.is_alphabetic())
            .any(|w| matches!(w, "sliced" | "quartered"));
        if sliced && unit.is_none() && !pressed_later {
            return true;
        }
        // The peel of a fruit is never poured: what is muddled of it is its oil.
        let peel = key(&named.name)
            .split(' ')
            .next_back()
            .is_some_and(|w| matches!(singular(w).as_ref(), "peel" | "rind" | "skin" | "zest" | "twist"));
        if peel && after != After::Work(Technique::Muddle) {
            return true;
        }
        if pressed_later {
            return false;
        }
        let numbered = text
            .trim_start()
            .starts_with(|c: char| c.is_numeric() || "½¼¾⅓⅔".contains(c))
            || !matches!(pour.measure, Measure::Of(extent, _) if extent.nominal == Amount::ONE);
        if unit == &Some(Unit::Leaf) && !self.served && numbered {
            return false;
        }
        !numbered
            || self.served
            || self.worked && self.last_work.is_some_and(|last| at.0 > last)
            || after == After::Garnish
    }

    /// A dry shake alone chills nothing: where a drink is strained off ice after it, or it is the last of the work, it is
    /// shaken on ice as well, which is said.
    fn shake_on_ice_too(&mut self) {
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
            step: Step::Work(super::Work {
                technique: Technique::Shake,
                seconds: None,
                ice: None,
                words: String::new(),
            }),
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

    /// `1 pt gin, 1 pt vermouth`: of a drink for one, all of which is counted so, a `pt` is a part and no pint.
    fn parts_in_short(&mut self) {
        let by_dashes = |unit: Option<Unit>| matches!(unit, Some(Unit::Dash | Unit::Drop | Unit::Splash));
        let pours = self.measured_pours();
        let pints = pours
            .iter()
            .filter(|(.., unit)| *unit == Some(Unit::Pint))
            .count();
        let all = pours
            .iter()
            .all(|(.., unit)| *unit == Some(Unit::Pint) || by_dashes(*unit));
        if !all || pints < 2 || self.short_pints.len() < pints || self.out.serves.is_some() {
            return;
        }
        for entry in &mut self.out.entries {
            if let Entry::Step(line) = entry
                && let Step::Pour(pour) = &mut line.step
                && let Measure::Of(_, unit @ Some(Unit::Pint)) = &mut pour.measure
            {
                *unit = Some(Unit::Part);
                line.assumptions.push(Assumption::new(
                    "`pt`",
                    "a part, for a pint of each is no drink for one",
                    "write `part` or `pint`, or how many it serves",
                ));
            }
        }
    }

    /// `2:1:1 gin, lemon, raspberry syrup, 60 ml gin`: a share that is measured as well says how large a part is.
    fn size_of_parts(&mut self) {
        let said = |e: &Entry| matches!(e, Entry::Particular(k, _) if k == "part");
        if self.out.entries.iter().any(said) {
            return;
        }
        let pours = self.measured_pours();
        let twin = pours.iter().find_map(|(at, words, share, unit)| {
            (*unit == Some(Unit::Part) && !share.is_zero()).then_some(())?;
            let (other, _, amount, unit) = pours.iter().find(|(other, twin, _, unit)| {
                other != at
                    && twin == words
                    && matches!(
                        unit,
                        None | Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce)
                    )
            })?;
            let size = amount.over(*share).ok()?;
            Some((*at, *other, size, *unit))
        });
        let Some((at, other, size, unit)) = twin.filter(|_| self.out.part.is_none()) else {
            return;
        };
        let unit = unit.unwrap_or(Unit::Millilitre);
        let size = format!("{} {}", unit.amount_text(size), unit.written_after(size));
        if let Entry::Step(line) = self.out.entries.remove(other)
            && let Step::Pour(pour) = &line.step
            && let Entry::Step(first) = &mut self.out.entries[at - usize::from(other < at)]
        {
            first.assumptions.push(Assumption::new(
                format!("`{}`", super::write::pour_text(pour)),
                format!("the size of its share: a part is {size}"),
                "write `1 part = …`",
            ));
        }
        self.out
            .entries
            .push(Entry::Particular("part".to_owned(), size.clone()));
        self.out.part = Some(size);
    }

    /// Every pour into the drink that is measured: its place among the entries, its words, its amount and unit.
    fn measured_pours(&self) -> Vec<(usize, Vec<String>, Amount, Option<Unit>)> {
        let entries = self.out.entries.iter().enumerate();
        entries
            .filter_map(|(at, e)| match e {
                Entry::Step(Line {
                    step: Step::Pour(pour),
                    ..
                }) => match (&pour.measure, pour.choices.first()) {
                    (Measure::Of(extent, unit), Some(named)) if pour.place == Place::In => {
                        Some((at, content(&named.name), extent.nominal, *unit))
                    }
                    _ => None,
                },
                _ => None,
            })
            .collect()
    }

    /// The same by a measure twice, with no work between, is a slip as often as meant: it is asked about.
    fn ask_what_is_poured_twice(&mut self) {
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
            let apart = self.out.entries[*before..*at].iter().any(|e| match e {
                Entry::Step(l) => !matches!(l.step, Step::Pour(_) | Step::Garnish(_)),
                Entry::Particular(k, _) => k == "then",
                _ => false,
            });
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
            if apart || more || listed || other {
                continue;
            }
            let (one, two) = (super::write::pour_text(one), super::write::pour_text(two));
            self.out.wrongs.push(Wrong::ask(
                second.span.clone(),
                format!("the same is poured twice, `{one}` and `{two}`: both, or one of them?"),
                vec![one, two],
            ));
        }
    }

    fn finish(mut self) -> Assembled {
        if !self.preparing {
            self.shake_on_ice_too();
            self.parts_in_short();
            self.size_of_parts();
            self.ask_what_is_poured_twice();
        }
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

/// Whether more stands behind the colon of a line than an amount: `watermelon juice: approx 3 melons, blitz, sieve`.
fn says_more(line: &LineRead) -> bool {
    let words = behind_the_label(line).split_whitespace().filter(|w| {
        w.chars().any(char::is_alphabetic)
            && Unit::spelt(w.trim_matches(|c: char| !c.is_alphanumeric())).is_none()
    });
    words.count() >= 3
}

/// What stands behind the label of a line.
fn behind_the_label(line: &LineRead) -> &str {
    match line.text.split_once(':') {
        Some((_, value)) => value.trim_start(),
        None => line.text.trim_start(),
    }
}

/// Whether an amount stands right behind the label of a line.
fn begins_with_an_amount(line: &LineRead) -> bool {
    behind_the_label(line).starts_with(|c: char| c.is_numeric() || c == '.')
}

/// What a line says, but for what joins it.
fn said(line: &LineRead) -> impl Iterator<Item = &Item> {
    line.found
        .iter()
        .map(|f| &f.item)
        .filter(|i| !matches!(i, Item::Joint))
}

/// Whether a part is a line that measures one pour and says nothing else.
fn is_of_a_list(part: &Part) -> bool {
    let Part::Line(line) = part else { return false };
    let mut said = said(line);
    match (said.next(), said.next()) {
        (Some(Item::Pours(pours)), None) => pours.iter().all(|(p, _)| matches!(p.measure, Measure::Of(..))),
        _ => false,
    }
}

/// Whether a line is prose: work, or words, beside what else it holds.
fn is_prose(line: &LineRead) -> bool {
    // A line that begins with a pour is one of the list, whatever stands behind it.
    let listed = matches!(said(line).next(), Some(Item::Pours(_)));
    let does = said(line).any(|item| {
        matches!(
            item,
            Item::Work(_)
                | Item::Step(_)
                | Item::Words
                | Item::Serves(_)
                | Item::ServeOf(_)
                | Item::Total(_)
                | Item::Glass(..)
                | Item::Header
                | Item::Hot
        )
    });
    does && !listed && said(line).count() > 1
}

/// `(egg)`, `(contains dairy)`: a line in brackets that neither measures nor works is for the reader.
fn is_in_brackets(line: &LineRead) -> bool {
    let text = line.text.trim();
    text.starts_with('(')
        && text.ends_with(')')
        && !text.contains(|c: char| c.is_ascii_digit())
        && line.found.iter().all(|f| match &f.item {
            Item::Joint | Item::Words | Item::Mention(_) => true,
            Item::Pours(pours) => pours
                .iter()
                .all(|(p, _)| matches!(p.measure, Measure::Of(_, None)) && p.place == Place::In),
            _ => false,
        })
}

/// The label of a line that says how something is made, as typed: what stands before its colon or bracket.
fn label_text(text: &str) -> &str {
    let label = text.split([':', '(', ',', '=']).next().unwrap_or_default();
    label.trim_matches(|c: char| !c.is_alphanumeric())
}

/// The words of such a label that say what it is.
fn label_of(text: &str) -> Vec<String> {
    content(label_text(text))
}

/// The label of a footnote or of a line of preparation: `*Homemade: pear cordial - 500 g …`, `Prep: brown butter bourbon
/// = 100 g …`. What stands before the dash or the equals sign, behind the word that heads it.
fn footnote_label(text: &str) -> Option<String> {
    let text = text.trim_start_matches(|c: char| !c.is_alphanumeric());
    let headed = text.split_once(':').filter(|(head, _)| {
        matches!(
            key(head).as_str(),
            "homemade"
                | "home made"
                | "house made"
                | "housemade"
                | "prep"
                | "recipe"
                | "to make"
                | "mise"
                | "batch recipe"
                | "in house"
                | "house"
                | "infusion"
                | "syrup"
                | "cordial"
                | "note"
                | "prep note"
                | "for the prep"
        )
    });
    let text = headed.map_or(text, |(_, rest)| rest.trim_start());
    let at = [" - ", " – ", " — ", "=", ":"]
        .iter()
        .filter_map(|mark| text.find(mark))
        .min()?;
    let label = text[..at].trim();
    (!label.is_empty() && !label.contains(|c: char| c.is_ascii_digit())).then(|| label.to_owned())
}

/// Whether a label names what is made in the house: more than the one word of a kind of bottle.
fn is_made(text: &str) -> bool {
    let label = label_of(text);
    let words = label_text(text).split_whitespace().count();
    // `PRE-BATCH: 900 ml vodka, 400 ml lemon`: that is the drink itself.
    if label.iter().any(|w| lexicon::has_tag(w, lexicon::Tag::Batch)) {
        return false;
    }
    words > 1 || label.len() > 1 || label.iter().any(|w| lexicon::has_tag(w, lexicon::Tag::Made))
}

/// Lines that say how something is made which other lines pour are for the reader: `syrup: 200 g sugar, 100 ml water`,
/// or its name on a line and its list below it.
fn set_recipes_aside(mut parts: Vec<Part>) -> Vec<Part> {
    let measured = |line: &LineRead| {
        let measured = |f: &&Found| match &f.item {
            Item::Pours(pours) => pours
                .iter()
                .any(|(p, _)| matches!(p.measure, Measure::Of(_, Some(_)))),
            _ => false,
        };
        line.found.iter().filter(measured).count()
    };
    // What every part pours, by its words.
    let poured: Vec<Vec<Vec<String>>> = parts
        .iter()
        .map(|part| match part {
            Part::Line(line) => line
                .found
                .iter()
                .filter_map(|f| match &f.item {
                    Item::Pours(pours) => Some(pours.iter()),
                    _ => None,
                })
                .flatten()
                .filter_map(|(pour, _)| Some(content(&pour.choices.first()?.name)))
                .collect(),
            Part::Entry(_) => Vec::new(),
        })
        .collect();
    let elsewhere = |label: &[String], own: &[usize]| {
        !label.is_empty()
            && poured
                .iter()
                .enumerate()
                .any(|(at, names)| !own.contains(&at) && names.iter().any(|name| same(name, label)))
    };
    let mut aside: Vec<(usize, String)> = Vec::new();
    let mut at = 0;
    while at < parts.len() {
        match &parts[at] {
            Part::Line(line) if measured(line) > 1 || line.label.is_some() && says_more(line) => {
                let labels = line.label.clone().into_iter().chain(footnote_label(&line.text));
                let label = labels.into_iter().find(|label| {
                    let made = is_made(label) || says_more(line) && !begins_with_an_amount(line);
                    made && elsewhere(&label_of(label), &[at])
                });
                aside.extend(label.map(|label| (at, label)));
            }
            Part::Entry(Entry::Note(text)) if text.ends_with(':') => {
                let below: Vec<usize> = (at + 1..parts.len())
                    .take_while(|&i| matches!(parts[i], Part::Line(_)))
                    .collect();
                let lists = below
                    .iter()
                    .filter(|&&i| matches!(&parts[i], Part::Line(l) if measured(l) > 0))
                    .count();
                if lists > 1 && is_made(text) && elsewhere(&label_of(text), &below) {
                    let label = text.trim_end_matches(':').to_owned();
                    aside.extend(below.into_iter().map(|i| (i, label.clone())));
                }
            }
            _ => {}
        }
        at += 1;
    }
    for (at, label) in aside {
        if let Part::Line(line) = &mut parts[at]
            && let (Some(first), Some(last)) = (line.found.first(), line.found.last())
        {
            let text = line.text.clone();
            let whole = Found::recipe(label, text, first.span.start..last.span.end);
            for account in &mut line.account {
                account.role = super::Role::Note;
            }
            line.found = vec![whole];
        }
    }
    parts
}

/// `muddle 1/4 lime`, `shake with 1 lime`: fruit that is worked is counted by the piece.
fn by_the_piece(pour: &mut Pour) {
    if let Measure::Of(extent, unit @ None) = &mut pour.measure
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
fn usual_pour(name: &str, span: Range<usize>) -> (Pour, Assumption) {
    let herb = crate::ingredient::library()
        .usual(name)
        .is_some_and(|i| i.kind == "herb");
    let of = |n: i128, d: i128| Amount::raw(n, d);
    let (extent, unit) = if herb {
        (
            super::Extent {
                nominal: of(8, 1),
                low: of(4, 1),
                high: of(12, 1),
                word: None,
            },
            Unit::Leaf,
        )
    } else {
        (
            super::Extent {
                nominal: of(1, 1),
                low: of(1, 2),
                high: of(2, 1),
                word: None,
            },
            Unit::Piece,
        )
    };
    let pour = plain_pour(name, Measure::Of(extent, Some(unit)), span);
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

/// Whether a pour is of something carbonated.
fn fizzes(pour: &Pour) -> bool {
    let library = crate::ingredient::library();
    pour.choices
        .first()
        .is_some_and(|n| match library.usual(&n.name) {
            Some(ingredient) => ingredient.carbonated,
            None => crate::ingredient::as_kind(library, &n.name).is_some_and(|k| k.ingredient.carbonated),
        })
}

fn line_garnish(words: &str) -> Step {
    Step::Garnish(words.to_owned())
}

fn lexicon_up(text: &str) -> bool {
    let folded = key(text);
    folded == "up" || folded.ends_with(" up")
}

fn how_much(text: &str, span: Range<usize>, solid: bool) -> Wrong {
    let text = text.trim_end_matches(['.', ',']);
    let example = if solid {
        format!("8 {text}")
    } else {
        format!("20 ml {text}")
    };
    let near = if solid {
        vec![format!("garnish {text}"), format!("8 g {text}")]
    } else {
        vec![format!("top with {text}"), example]
    };
    Wrong::ask(
        span,
        format!(
            "no amount before `{text}`; expected a pour such as `50 ml gin`, or a step such as `shake`, `strain`, `garnish lime wheel`"
        ),
        near,
    )
}

fn presses(technique: Technique) -> bool {
    !matches!(
        technique,
        Technique::Stir | Technique::Build | Technique::Throw | Technique::Roll
    )
}

/// The words of a name that say what it is.
fn content(name: &str) -> Vec<String> {
    key(name)
        .split_whitespace()
        .filter(|w| {
            !matches!(
                *w,
                "the"
                    | "a"
                    | "of"
                    | "fresh"
                    | "juice"
                    | "some"
                    | "your"
                    | "chilled"
                    | "hot"
                    | "cold"
                    | "raw"
                    | "remaining"
                    | "rest"
                    | "and"
                    | "with"
            )
        })
        .map(|w| singular(w).into_owned())
        .collect()
}

/// Whether what is said names what was poured: all of its words stand in the name of the pour.
fn same(poured: &[String], said: &[String]) -> bool {
    !said.is_empty() && said.iter().all(|w| poured.contains(w))
}

/// Whether a name that nobody lists is known by its kind.
fn as_kind(name: &str) -> bool {
    crate::ingredient::as_kind(crate::ingredient::library(), name).is_some()
}

/// Whether what is said is the kind of what was poured: `yolks` of eggs, `bubbles` of a brut sparkling wine.
fn is_of_the_kind(poured: &[String], said: &[String]) -> bool {
    let [word] = said else { return false };
    if matches!(word.as_str(), "yolk" | "white") {
        return poured.iter().any(|w| w == "egg");
    }
    let library = crate::ingredient::library();
    let typed = poured.join(" ");
    // `beer` of a saison that nobody lists.
    let kind = crate::ingredient::as_kind(library, &typed);
    let found = library.usual(&typed).or(kind.as_ref().map(|k| &k.ingredient));
    found.is_some_and(|i| {
        i.groups
            .iter()
            .map(String::as_str)
            .chain([i.kind.as_str()])
            .any(|kind| {
                let kind = key(kind);
                kind.split(' ').any(|w| singular(w) == word.as_str())
            })
    })
}

fn is_solid(name: &str) -> bool {
    lexicon::sort_of(name) == Some(lexicon::Sort::Solid)
}

fn garnish_noun(name: &str) -> bool {
    lexicon::has_tag(name, lexicon::Tag::GarnishNoun) || lexicon::is_tagged(name, lexicon::Tag::GarnishNoun)
}

/// Fruit whose name alone means its juice in a list of pours, and a piece of it on a glass.
pub(super) fn goes_on_the_glass(name: &str) -> bool {
    matches!(
        singular(key(name).trim_end_matches('.')).as_ref(),
        "lime"
            | "lemon"
            | "orange"
            | "grapefruit"
            | "pineapple"
            | "cherry"
            | "mint"
            | "nutmeg"
            | "cinnamon"
            | "olive"
            | "cucumber"
            | "coffee bean"
            | "espresso dust"
            | "whipped cream"
            | "celery"
            | "basil"
            | "strawberry"
            | "raspberry"
            | "blackberry"
            | "apple"
            | "pear"
            | "chocolate"
            | "cocoa"
            | "fresh mint"
            | "big mint"
            | "lemon oil"
            | "orange oil"
            | "salt"
            | "pepper"
            | "dried orange"
            | "dehydrated orange"
            | "edible flower"
            | "cream"
    )
}

/// Whether words say something beyond joining.
fn is_content(text: &str) -> bool {
    let folded = key(text.trim_matches(|c: char| !c.is_alphanumeric()));
    !folded.is_empty() && !lexicon::is_filler(&folded)
}
