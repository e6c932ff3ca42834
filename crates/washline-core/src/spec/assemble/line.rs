//! One line put together: each of its readings in turn, by what stands before and behind it in the line.

use std::ops::Range;

use super::aside::{is_in_brackets, is_prose};
use super::named::{content, ends_in_a_liquid, is_content};
use super::reading::{After, Reading, read_as_the_garnish};
use super::worked::{fills_the_glass, names_a_vessel, stirs_in_the_glass, vessel_of_work, with_ice};
use super::{Assembler, lexicon_up, line_garnish, plain_pour, plain_work};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::line::{Found, Item, LineRead, Mention, goes_on_the_glass};
use crate::spec::{Account, Assumption, Entry, Extent, Pour, PourAmount, Role, Step, Technique, Work};

impl Assembler<'_> {
    pub(super) fn line(&mut self, part: usize, mut line: LineRead) {
        if is_in_brackets(&line) {
            self.out
                .account
                .extend(line.account.into_iter().map(|account| Account {
                    role: Role::Note,
                    ..account
                }));
            self.out.entries.push(Entry::Note(line.text));
            return;
        }
        self.served_from_the_batch(&line);
        if self.talk {
            self.take_back_what_is_not_said_anew(&line);
        }
        if self.made_in.is_none()
            && let (Some(technique), Some(first), Some(last)) =
                (vessel_of_work(&line.text), line.found.first(), line.found.last())
        {
            self.made_in = Some((technique, line.text.clone(), first.span.start..last.span.end));
        }
        self.only_names = line.found.iter().all(|f| match &f.item {
            Item::Mention(_) | Item::Joint => true,
            // `chuck in cucumber and mint`
            Item::Words => !is_content(&f.text),
            _ => false,
        });
        let beside_the_list = is_prose(&line) && self.lines_of_the_list > 1 && !self.preparing;
        let mut at = Reading::of(part, &mut line, beside_the_list);
        self.out.account.extend(line.account);
        for i in 0..at.found.len() {
            if let Some(reading) = at.found[i].take() {
                self.reading(i, reading, &mut at);
            }
        }
        if !at.note.is_empty() {
            self.out.entries.push(Entry::Note(at.note.join(" ")));
        }
    }

    /// One reading of a line.
    fn reading(&mut self, i: usize, reading: Found, at: &mut Reading) {
        let span = reading.span.clone();
        let mentioned = std::mem::replace(
            &mut at.mentioned,
            matches!(&reading.item, Item::Mention(m) if m.solid || goes_on_the_glass(&m.name)),
        );
        if !matches!(reading.item, Item::Mention(_)) {
            self.some_of = matches!(key(&reading.text).as_str(), "some of the" | "a little of the");
        }
        if let Some(glass) = reading.glass {
            self.glass(glass, None, span.clone());
        }
        let (text, leads) = (reading.text, reading.begins && reading.from == 0);
        match reading.item {
            Item::Joint | Item::Header => {
                if matches!(text.as_str(), "&" | "+" | "and" | "n") {
                    at.joint = Some(i);
                }
                if text.ends_with('.') || text == ";" {
                    at.after = After::Nothing;
                    at.vessel = false;
                }
            }
            // `lemon with cloves`: what is put on the drink with something else.
            Item::With => {
                if mentioned && !self.preparing {
                    at.after = After::Garnish;
                }
            }
            Item::Placed(place) => self.placed(place, text, &mut at.note),
            Item::PerServe => self.then_per_serve(),
            Item::Words => {
                at.vessel |= names_a_vessel(&text);
                if is_content(&text) {
                    self.said_in_passing(&text);
                    at.note.push(text);
                }
            }
            Item::Recipe(label) => {
                self.how_it_is_made(&label);
                at.note.push(text);
            }
            Item::Correction(Some(measure)) => self.correct(measure, None, &text, span),
            Item::Correction(None) => self.correcting = Some(text),
            Item::Hot => {
                self.out.hot = true;
                at.note.push(text);
            }
            Item::Unread(_) if at.beside_the_list || self.talk && self.names_what_is_poured(&at.text) => {
                self.is_for_the_reader(&text, &span);
                at.note.push(text);
            }
            Item::Fault(wrong) | Item::Unread(wrong) => self.out.wrongs.push(wrong),
            Item::Work(work) => self.work(i, work, &text, span, at),
            Item::Step(step) => self.step(i, step, &text, span, at),
            Item::Ice(words) => self.ice_said(i, words, &text, leads, span, at),
            // `the vermouth and the cordial`: a cordial that was poured, and no glass.
            Item::Glass(name, None) if !key(&name).contains("glass") && self.is_a_pour(&name) => {}
            Item::Glass(name, size) => self.glass(name, size, span),
            Item::Garnish(words) => {
                let lower = text.to_lowercase();
                let said = if lower.starts_with("garnish") || lower.ends_with("garnish") {
                    Vec::new()
                } else {
                    vec![read_as_the_garnish(&words)]
                };
                self.push(line_garnish(&words), span, said);
                at.after = After::Garnish;
            }
            Item::Serves(count) => {
                self.out.serves = Some(count);
                self.particular("serves", count.to_string());
            }
            Item::ServeOf(size) => {
                self.particular("each serve", size.clone());
                self.out.serve_of = Some(size);
                // `90 ml each over ice, top 30 soda`: what comes behind it goes into each.
                let more = at.behind(i).any(|item| matches!(item, Item::Pours(_)));
                if more && self.any_poured() && !self.per_serve {
                    self.then_per_serve();
                }
            }
            Item::PartIs(size) => {
                self.particular("part", size.clone());
                self.out.part = Some(size);
            }
            Item::Total(size) => {
                self.particular("serve", size.clone());
                self.out.total = Some(size);
            }
            Item::Mention(mention) => self.named(i, mention, text, span, at),
            Item::Pours(pours) => self.pours(i, pours, text, &span, at),
        }
    }

    fn particular(&mut self, name: &str, value: String) {
        self.out.entries.push(Entry::Particular(name.to_owned(), value));
    }

    fn work(&mut self, i: usize, mut work: Work, text: &str, span: Range<usize>, at: &mut Reading) {
        work.technique = match work.technique {
            // `stir the sauce into the hot espresso`: mixed, and not stirred on ice. `stir in a small bar glass with
            // shaved ice`, and nothing is strained.
            Technique::Stir
                if self.stirs_into(&at.found[i + 1..])
                    || !self.strains && stirs_in_the_glass(&at.found[i + 1..]) =>
            {
                Technique::Build
            }
            // `whip everything in the blender`
            Technique::WhipShake if vessel_of_work(&at.text) == Some(Technique::Blend) => Technique::Blend,
            // `build over ice, churn`: on cubes in the glass, a churn is a stir.
            _ if key(text).starts_with("churn") && self.is_built_on_cubes() => Technique::Build,
            technique => technique,
        };
        // `muddle 8 mint leaves`, `roll with 100 ml ginger beer`: poured first, then worked.
        let technique = work.technique;
        self.with_work(i, technique, &mut at.found);
        self.worked = true;
        self.push(Step::Work(work), span, Vec::new());
        at.after = After::Work(technique);
    }

    fn step(&mut self, i: usize, step: Step, text: &str, span: Range<usize>, at: &mut Reading) {
        // `DS/WS`: dry shake, wet shake.
        let dry_first = matches!(step, Step::Strain { .. })
            && !self.worked
            && text.eq_ignore_ascii_case("ds")
            && at
                .behind(i)
                .any(|item| matches!(item, Item::Work(w) if w.technique == Technique::Shake));
        if dry_first {
            self.worked = true;
            self.push(plain_work(Technique::DryShake), span, Vec::new());
            return;
        }
        match &step {
            Step::OverIce(ice) | Step::Ice(ice)
                if at.after == After::Work(Technique::DryShake) && with_ice(&ice.words) =>
            {
                self.push(plain_work(Technique::Shake), span, Vec::new());
                return;
            }
            Step::Strain { .. } => {
                self.worked = true;
                self.served = true;
                let strained = self
                    .out
                    .entries
                    .iter()
                    .any(|e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Strain { .. })));
                if lexicon_up(text) && strained {
                    return;
                }
            }
            Step::OverIce(_) | Step::Neat | Step::Unstrained => self.served = true,
            _ => {}
        }
        self.worked = true;
        self.push(step, span, Vec::new());
        at.after = After::Nothing;
    }

    fn ice_said(
        &mut self,
        i: usize,
        words: String,
        text: &str,
        leads: bool,
        span: Range<usize>,
        at: &Reading,
    ) {
        // `Ice: cubed`: a label, and the ice.
        if key(&words) == "ice" && at.behind(i).any(|item| matches!(item, Item::Ice(_))) {
            return;
        }
        // `dry shake first, then w/ ice`
        if at.after == After::Work(Technique::DryShake) && with_ice(&words) {
            self.push(plain_work(Technique::Shake), span, Vec::new());
            return;
        }
        // `fill the glass with shaved ice, stir`, and nothing is strained: the glass that it is served in.
        let in_the_glass = !self.strains && fills_the_glass(text);
        let step = self.ice(words, at.vessel || leads && !in_the_glass);
        self.push(step, span, Vec::new());
    }

    /// A name without an amount of its own.
    fn named(&mut self, i: usize, mention: Mention, text: String, span: Range<usize>, at: &mut Reading) {
        if let Some(share) = mention.percent.filter(|_| self.shares) {
            let measure = PourAmount::Of(Extent::exact(share), Some(Unit::Part));
            let pour = plain_pour(&mention.name, measure, span.clone());
            self.push(Step::Pour(pour), span, Vec::new());
            return;
        }
        // `a pinch of salt and pepper`: the same of each.
        if mention.known
            && let Some((measure, of)) = &at.small
            && *of + 2 == i
            && at.joint == Some(of + 1)
        {
            let said = Assumption::new(
                format!("`{text}`"),
                "as much of it as of what stands before it",
                "write how much",
            );
            let measure = measure.clone();
            let pour = plain_pour(&mention.name, measure.clone(), span.clone());
            self.push(Step::Pour(pour), span, vec![said]);
            at.small = Some((measure, i));
            return;
        }
        // What stands over the list without an amount and is nothing that is poured is a title.
        if !mention.known && !at.pours && !self.any_poured() && !ends_in_a_liquid(&mention.name) {
            at.note.push(text);
            return;
        }
        self.mention(i, &mention, &text, span, at);
    }

    fn pours(
        &mut self,
        i: usize,
        pours: Vec<(Pour, Vec<Assumption>)>,
        text: String,
        span: &Range<usize>,
        at: &mut Reading,
    ) {
        if let [(pour, _)] = pours.as_slice() {
            if self.corrects(pour, &text, span) {
                return;
            }
            // `30 turns`, `4 layers of cloth` in the method below a list: so many of nothing that is poured.
            if at.beside_the_list && self.counts_nothing_poured(pour) {
                self.is_for_the_reader(&text, span);
                at.note.push(text);
                return;
            }
            if self.is_one_that_the_list_measures(pour, &text) {
                return;
            }
            match pour.measure {
                PourAmount::Of(_, Some(Unit::Pint))
                    if key(&text).split(' ').any(|w| matches!(w, "pt" | "pts")) =>
                {
                    self.short_pints.push(span.start);
                }
                PourAmount::Of(_, Some(Unit::Pinch | Unit::Dash | Unit::Drop | Unit::Spray)) => {
                    at.small = Some((pour.measure.clone(), i));
                }
                _ => {}
            }
        }
        let several = pours.len() > 1;
        if several {
            self.correcting = None;
        }
        if at.alone {
            self.listed.push(span.start);
        }
        for (pour, said) in pours {
            // Of several pours of one amount each stands where its name does.
            let own = pour.choices.first().filter(|_| several).map(|n| n.span.clone());
            let span = own.unwrap_or_else(|| span.clone());
            self.one_pour(i, pour, said, &text, span, at);
        }
    }

    /// Whether a pour stands in the place of one that was taken back: `… no, 20 lime`.
    fn corrects(&mut self, pour: &Pour, text: &str, span: &Range<usize>) -> bool {
        let Some(taken_back) = self.correcting.take().filter(|_| self.any_poured()) else {
            return false;
        };
        let (Some(named), PourAmount::Of(..)) = (pour.choices.first(), &pour.measure) else {
            return false;
        };
        let said = format!("{taken_back} {text}");
        self.correct(
            pour.measure.clone(),
            Some(content(&named.name)),
            &said,
            span.clone(),
        );
        self.correcting.take().is_none()
    }

    /// `pull a fresh espresso` of which the list says how much: named again.
    fn is_one_that_the_list_measures(&self, pour: &Pour, text: &str) -> bool {
        let one = matches!(&pour.measure, PourAmount::Of(e, None | Some(Unit::Shot | Unit::Cube)) if e.nominal == Amount::ONE);
        one && !text.starts_with(|c: char| c.is_numeric())
            && pour.choices.first().is_some_and(|n| {
                let words = content(&n.name);
                self.measured_pours().iter().any(|(_, twin, _, unit)| {
                    *twin == words
                        && matches!(
                            unit,
                            Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce | Unit::Gram | Unit::Cube)
                        )
                })
            })
    }

    fn one_pour(
        &mut self,
        i: usize,
        mut pour: Pour,
        mut said: Vec<Assumption>,
        text: &str,
        span: Range<usize>,
        at: &Reading,
    ) {
        // `two dashes of bitters and one of absinthe`: counted as what stands before it.
        if let (PourAmount::Of(_, unit @ None), Some((PourAmount::Of(_, Some(last)), _))) =
            (&mut pour.measure, &at.small)
            && key(text).split(' ').nth(1) == Some("of")
        {
            *unit = Some(*last);
        }
        if self.is_garnish(&pour, text, (at.part, i), at.after) {
            let words = text.trim_end_matches(['.', ',']);
            self.push(line_garnish(words), span, vec![read_as_the_garnish(words)]);
            return;
        }
        if self.is_said_again_by_hand(&pour, text, at.alone)
            || at.beside_the_list && self.is_of_the_list(&pour, &span)
        {
            return;
        }
        if at.leads_with_work && !self.preparing {
            said.push(Assumption::new(
                format!("`{text}`"),
                "a pour found among the words of the method",
                "write it on a line of its own",
            ));
        }
        self.pour(pour, span, said);
    }
}
