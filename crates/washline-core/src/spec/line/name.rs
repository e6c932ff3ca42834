//! A name with what hangs on it: a strength, a ratio, brackets, what stands after a comma.

use super::{Reader, Role};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::{Kind, Token};
use crate::spec::{Assumption, Extent, Named, Per, Place, Wrong, amounts};
use crate::tables::IngredientKind;

/// A name as read, and where the line goes on.
#[derive(Clone, Debug, Default)]
pub(super) struct Name {
    pub end: usize,
    pub cost: u32,
    pub choices: Vec<Named>,
    pub strength: Option<Amount>,
    /// What that counts, where the line says it.
    pub per: Option<Per>,
    pub place: Option<Place>,
    /// Whether it is poured until the glass is full.
    pub fills: bool,
    /// Whether it is poured as it tastes right: `to taste`, `appropriate amount`.
    pub to_taste: bool,
    pub notes: Vec<String>,
    pub assumptions: Vec<Assumption>,
    /// A second amount in brackets.
    pub second: Option<(Extent, Unit)>,
    pub wrong: Option<Wrong>,
    pub roles: Vec<(usize, usize, Role)>,
}

/// The words of a name before what hangs on it.
#[derive(Clone, Debug)]
struct Core {
    end: usize,
    cost: u32,
    /// Words that were taken for another: (token, meant).
    meant: Vec<(usize, Box<str>)>,
    known: bool,
}

impl Reader<'_> {
    /// Every name that can begin at `i`.
    pub(super) fn names(&self, i: usize) -> Vec<Name> {
        self.names_of(i, false)
    }

    /// Every name that can begin at `i`; `counted` says that a number stands before it, so that `mint leaves` are a
    /// count of leaves and no garnish.
    pub(super) fn names_of(&self, i: usize, counted: bool) -> Vec<Name> {
        if let Some(names) = self.names.borrow().get(&(i, counted)) {
            return names.clone();
        }
        let names = self.look_for_names(i, counted);
        self.names.borrow_mut().insert((i, counted), names.clone());
        names
    }

    /// `syrup of cherry`, `liqueur of the orange`: what it is stands before what it is of.
    fn turned(&self, i: usize) -> Vec<Name> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let head = self
            .words
            .get(i)
            .and_then(|w| w.meant.as_deref())
            .unwrap_or_else(|| word(i));
        let turns = matches!(
            head,
            "syrup"
                | "liqueur"
                | "puree"
                | "cordial"
                | "vinegar"
                | "soda"
                | "nectar"
                | "shrub"
                | "tea"
                | "brandy"
        );
        if !turns || word(i + 1) != "of" {
            return Vec::new();
        }
        let from = self.is(i + 2, Tag::Article).unwrap_or(i + 2);
        if self.name_at(from).is_none() {
            return Vec::new();
        }
        let mut names = self.names(from);
        names.retain(|n| n.choices.len() == 1);
        for name in &mut names {
            for choice in &mut name.choices {
                choice.name = format!("{} {head}", choice.name);
                choice.full.clone_from(&choice.name);
                choice.span = self.span(i, name.end);
            }
            name.roles.push((i, from, Role::Name));
        }
        names
    }

    fn look_for_names(&self, i: usize, counted: bool) -> Vec<Name> {
        if let Some(rum) = self.rum_by_its_proof(i) {
            return vec![rum];
        }
        let turned = self.turned(i);
        if !turned.is_empty() {
            return turned;
        }
        let any = self.words.get(i).is_some_and(|w| w.folded == "any") && i + 1 < self.len();
        let from = i + usize::from(any);
        // Ice is no ingredient, whatever stands round it: `ice, top`.
        let ice = self.ice_phrase(from);
        self.cores(from, counted)
            .into_iter()
            .filter(|core| core.known || ice != Some(core.end) && !self.is_a_unit(from, core.end))
            .map(|core| self.with_tail(from, core, any))
            // A strength by itself names nothing.
            .filter(|name| name.choices.iter().all(|choice| !choice.name.is_empty()))
            .collect()
    }

    /// `float 151`: the number of the proof alone names an overproof rum.
    fn rum_by_its_proof(&self, i: usize) -> Option<Name> {
        let number = matches!(&self.tokens.get(i)?.kind, Kind::Number(n) if n.trim_end_matches('.') == "151");
        let ends = self.boundary(i + 1) || self.stops_here(i + 1) && !self.tokens[i + 1].is_number();
        if !number || !ends || self.unit_at(i + 1).0.is_some() {
            return None;
        }
        let mut name = Name {
            end: i + 1,
            strength: Some(Amount::raw(151, 2)),
            ..Name::default()
        };
        name.choices.push(Named {
            name: "151 rum".to_owned(),
            full: "151 rum".to_owned(),
            any: false,
            span: self.span(i, i + 1),
        });
        name.assumptions.push(Assumption::new(
            "151",
            "taken as a rum of 151 US proof, 75.5 % vol",
            "write its name and strength",
        ));
        name.roles.push((i, i + 1, Role::Name));
        Some(name)
    }

    /// Whether nothing but a unit stands there.
    fn is_a_unit(&self, from: usize, to: usize) -> bool {
        to == from + 1 && matches!(self.unit_at(from), (Some(_), end) if end == to)
    }

    /// Whether a word at `i` ends a name before it: a word of work, a glass, ice, a joining word.
    fn ends_a_name(&self, i: usize) -> bool {
        if self.is_a_blend(i) {
            return false;
        }
        self.tag(i, |tag| match tag {
            Tag::Work(_)
            | Tag::Strain { .. }
            | Tag::Unstrained
            | Tag::Neat
            | Tag::Up
            | Tag::Rest
            | Tag::NoGarnish
            | Tag::Top
            | Tag::ToFill
            | Tag::Float
            | Tag::Rinse
            | Tag::Mist
            | Tag::OnTop
            | Tag::Joint
            | Tag::With
            | Tag::Each
            | Tag::Serve
            | Tag::Ice
            | Tag::Vessel
            | Tag::GarnishVerb => Some(()),
            // `Method:` heads what follows; `bitter` may be a part of the name.
            Tag::Header => self
                .is(i, Tag::Header)
                .is_some_and(|end| self.mark(end, ":"))
                .then_some(()),
            // `pear cordial`, `red wine`: the name of a glass too.
            // So may be what a strength hangs on: `gin cup (25 %)`.
            Tag::Glass => {
                let of_a_name = lexicon::in_name(&self.words[i])
                    || self.mark(i + 1, "(") && self.strength_here(i + 2).is_some();
                (!of_a_name).then_some(())
            }
            Tag::Preposition => (self.words[i].folded != "of" && !self.made_from(i)).then_some(()),
            // `blended Scotch that I wash`: a clause for the reader; `just made` says how it is bought.
            Tag::Clause => self.is(i, Tag::Quality).is_none().then_some(()),
            _ => None,
        })
        .is_some()
    }

    /// `juice from lime`: a name, said the other way round.
    fn made_from(&self, i: usize) -> bool {
        self.words[i].folded == "from"
            && i > 0
            && matches!(
                self.words[i - 1].folded.as_str(),
                "juice" | "syrup" | "puree" | "oil" | "leaf"
            )
    }

    fn cores(&self, i: usize, counted: bool) -> Vec<Core> {
        let mut cores: Vec<Core> = Vec::new();
        let mut core = Core {
            end: i,
            cost: if self.is(i, Tag::Aside).is_some() { 4 } else { 0 },
            meant: Vec::new(),
            known: false,
        };
        // A second known name right after a first is another pour more often than a part of the name.
        let mut fresh = true;
        while core.end < self.len() && core.end - i < super::LONGEST {
            let j = core.end;
            let joined = self.tokens[j].joined;
            if j > i && self.inner_and(j) {
                core.cost += if self.mark(j, "&") { 2 } else { 4 };
                core.end = j + 1;
                fresh = true;
                continue;
            }
            // `sweet (red) vermouth`: words in brackets inside a name.
            if j > i
                && self.mark(j, "(")
                && let Some(close) = (j + 1..self.len().min(j + 4)).find(|&k| self.mark(k, ")"))
                && (j + 1..close)
                    .all(|k| matches!(self.tokens[k].kind, Kind::Word(_)) && !self.ends_a_name(k))
                && !core.known
                && (self.name_at(close + 1).is_some() || self.is(close + 1, Tag::Made).is_some())
            {
                core.end = close + 1;
                core.cost += 2;
                continue;
            }
            if j > i && !joined && self.boundary(j) {
                break;
            }
            if let Some((next, _)) = self.name_at(j)
                && (next - j > 1 || !self.ends_a_name(j) || joined)
            {
                if core.known && !fresh && !joined {
                    // A fruit or herb that ends the line goes on the drink.
                    let solid = matches!(self.name_at(j), Some((_, lexicon::Sort::Solid)));
                    core.cost += if solid && self.boundary(next) { 8 } else { 5 };
                }
                core.known = true;
                fresh = false;
                core.end = next;
                for k in j..next {
                    if let Some(meant) = &self.words[k].meant {
                        core.cost += 1;
                        core.meant.push((k, meant.clone()));
                    }
                }
                cores.push(core.clone());
                continue;
            }
            // `two ounces of`: an amount in words ends a name before it.
            if j > i
                && matches!(self.tokens[j].kind, Kind::Word(_))
                && let Some(Ok(phrase)) = amounts::phrase(&self.tokens, j)
                && (self.unit_at(phrase.next).0.is_some()
                    || self.past_of(phrase.next) > phrase.next
                    || phrase.next > j + 1 && self.name_at(phrase.next).is_some())
            {
                break;
            }
            // `muddle mint lightly with syrup`: how it is worked.
            if j > i
                && core.known
                && !joined
                && self.words[j].folded.len() > 4
                && self.words[j].folded.ends_with("ly")
                && (self.is(j, Tag::Manner).is_some()
                    || self.is(j, Tag::Quality).is_none() && !lexicon::in_name(&self.words[j]))
            {
                break;
            }
            // `soda abt 60`
            if j > i
                && self.name_at(j).is_none()
                && let Some(end) = self.is(j, Tag::About)
                && self.tokens.get(end).is_some_and(Token::is_number)
            {
                break;
            }
            if let Some(taken) = self.number_of_a_name(j) {
                core.end = j + taken;
                continue;
            }
            match &self.tokens[j].kind {
                Kind::Ratio(ratio) => {
                    // `1to1`
                    if self.raw(j, j + 1).contains(char::is_alphabetic) {
                        core.meant.push((j, ratio.as_str().into()));
                    }
                    core.end += 1;
                    core.cost += u32::from(!core.known && j > i);
                    core.known = true;
                    fresh = true;
                    if let Some(by) = self.is(core.end, Tag::By) {
                        core.end = by;
                    }
                    cores.push(core.clone());
                }
                Kind::Word(_) => {
                    if !joined && j > i && self.ends_a_name(j) {
                        break;
                    }
                    // `20 dry shake`: no name is cut out of a longer word of work.
                    let of_work = self.tag(j, |t| matches!(t, Tag::Work(_)).then_some(()));
                    if !joined && j == i && of_work.is_some_and(|((), end)| end > j + 1) {
                        break;
                    }
                    if !joined
                        && j == i
                        // `lightly whipped cream`
                        && self.is(j, Tag::Quality).is_none_or(|end| end == j + 1)
                        && (self.never_begins(j) || self.ends_a_name(j) && !lexicon::in_name(&self.words[j]))
                    {
                        break;
                    }
                    if let Some(by) = self.is(j, Tag::By).filter(|_| j > i) {
                        core.end = by;
                        cores.push(core.clone());
                        continue;
                    }
                    let word = &self.words[j];
                    let quality = self
                        .is(j, Tag::Quality)
                        .or_else(|| self.is(j, Tag::Article).filter(|_| j > i));
                    let treatment = self.is(j, Tag::Treatment);
                    let cost = if quality.is_some() || word.folded == "of" {
                        0
                    } else if treatment.is_some() {
                        1
                    } else if counted && core.known && self.counts(j) {
                        0
                    } else if self.is(j, Tag::GarnishNoun).is_some() && !joined {
                        if core.known { 4 } else { 3 }
                    } else if lexicon::in_name(word) {
                        2
                    } else if lexicon::is_known(word) {
                        4
                    } else {
                        5
                    };
                    fresh = fresh || quality.is_some() || treatment.is_some();
                    if let Some(meant) = &word.meant {
                        core.meant.push((j, meant.clone()));
                    } else if let Some(long) = lexicon::long_form(&word.folded) {
                        core.meant.push((j, long.into()));
                        core.known = true;
                    }
                    core.cost += if joined { cost.min(1) } else { cost };
                    core.end = quality.or(treatment).unwrap_or(j + 1).max(j + 1);
                    if self.words[j].folded != "of"
                        && (self.boundary(core.end) || self.stops_here(core.end) || core.known)
                    {
                        cores.push(core.clone());
                    }
                }
                Kind::Mark('\'' | '.' | '°') if j > i => core.end += 1,
                _ => break,
            }
        }
        // What the loop stopped at ends a name, known or not.
        if core.end > i && cores.last().is_none_or(|last| last.end < core.end) {
            cores.push(core);
        }
        cores.retain(|c| (c.end > i) && !matches!(self.words[c.end - 1].folded.as_str(), "of" | "from"));
        // `fresh` by itself says how something is bought.
        for core in cores.iter_mut().filter(|c| !c.known) {
            let mut j = i;
            while j < core.end
                && let Some(next) = self.is(j, Tag::Quality).or_else(|| self.is(j, Tag::Article))
            {
                j = next;
            }
            if j >= core.end {
                core.cost += 12;
            }
        }
        cores
    }

    /// Whether no name begins with a word: it joins, points or says how.
    fn never_begins(&self, i: usize) -> bool {
        // `strong black tea`: said of work too.
        self.is(i, Tag::Manner).is_some() && self.is(i, Tag::Quality).is_none()
            || self
                .is(i, Tag::About)
                .is_some_and(|end| self.tokens.get(end).is_some_and(Token::is_number))
            || [
                Tag::Preposition,
                Tag::Joint,
                Tag::With,
                Tag::Each,
                Tag::Serve,
                Tag::All,
                Tag::Clause,
            ]
            .into_iter()
            // `150 ml mix`: what was made ahead, where an amount stands before it.
            .any(|tag| self.is(i, tag).is_some() && !(tag == Tag::All && self.is_measured_batch(i)))
            || amounts::phrase(&self.tokens, i).is_some()
            // `96 ml straight from the bottle`
            || matches!(self.words[i].folded.as_str(), "straight" | "direct" | "directly")
                && self
                    .words
                    .get(i + 1)
                    .is_some_and(|w| matches!(w.folded.as_str(), "from" | "out" | "into"))
            || matches!(
                self.words[i].folded.as_str(),
                "make"
                    | "order"
                    | "size"
                    | "time"
                    | "base"
                    | "or"
                    | "and"
                    | "the"
                    | "it"
                    | "so"
                    | "is"
                    | "but"
                    | "not"
                    | "if"
                    | "i"
                    | "you"
                    | "we"
                    | "that"
            )
    }

    /// Whether a word for what was made ahead stands right behind a unit.
    fn is_measured_batch(&self, i: usize) -> bool {
        let batch = self.is(i, Tag::Batch).is_some() || self.words[i].folded == "mix";
        i > 1
            && batch
            && !self.tokens[i - 1].stops()
            && matches!(self.unit_at(i - 1), (Some(_), end) if end == i)
    }

    /// Whether a word counts what stands before it: leaves, wedges, slices.
    fn counts(&self, i: usize) -> bool {
        self.tag(i, |tag| match tag {
            Tag::Unit(
                Unit::Leaf | Unit::Sprig | Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Cube | Unit::Piece,
            ) => Some(()),
            _ => None,
        })
        .is_some()
    }

    /// `honey & thyme syrup`: an "and" inside a name, before a word for what both are made into.
    fn inner_and(&self, i: usize) -> bool {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if !(self.mark(i, "&") || matches!(word(i), "and" | "n")) {
            return false;
        }
        (i + 2..i + 4).any(|j| {
            matches!(
                word(j),
                "syrup"
                    | "cordial"
                    | "shrub"
                    | "liqueur"
                    | "bitter"
                    | "oleo"
                    | "puree"
                    | "soda"
                    | "cream"
                    | "tea"
                    | "infusion"
                    | "honey"
            )
        }) && (i + 1..i + 3).all(|j| {
            !self.tokens.get(j).is_some_and(Token::is_number) && !self.parts(j) && !self.ends_a_name(j)
        })
    }

    fn stops_here(&self, i: usize) -> bool {
        self.tokens[i].is_number() || self.ends_a_name(i)
    }

    /// A number that belongs to a name: `12-year rum`, `100-proof rye`, `151 rum`, `No. 4`.
    fn number_of_a_name(&self, i: usize) -> Option<usize> {
        let Kind::Number(number) = &self.tokens.get(i)?.kind else {
            return None;
        };
        let hyphen =
            usize::from(self.tokens.get(i + 1).is_some_and(Token::is_hyphen) && !self.tokens[i + 1].spaced);
        let word = self.words.get(i + 1 + hyphen).map_or("", |w| w.folded.as_str());
        if matches!(word, "year" | "yr" | "yo" | "yrs" | "y.o" | "ans") {
            let mut end = i + 2 + hyphen;
            if self
                .words
                .get(end)
                .is_some_and(|w| matches!(w.folded.as_str(), "old" | "aged"))
            {
                end += 1;
            }
            return Some(end - i);
        }
        if lexicon::is_proof(word) {
            return Some(2 + hyphen);
        }
        if self.mark(i + 1, "%") {
            // `20 % w/v saline`
            let counts = Per::read(self.words.get(i + 2).map_or("", |w| w.folded.as_str()));
            return (counts.is_some() && self.name_at(i + 3).is_some()).then_some(3);
        }
        let value: u32 = number.parse().ok()?;
        // `151 dark rum`
        let kind = match self.name_at(i + 1) {
            Some((end, _)) => self.words[end - 1].folded.as_str(),
            None => word,
        };
        let spirit = matches!(
            kind,
            "rum"
                | "rye"
                | "bourbon"
                | "whisky"
                | "whiskey"
                | "gin"
                | "vodka"
                | "tequila"
                | "mezcal"
                | "brandy"
                | "cognac"
                | "absinthe"
        );
        (spirit && (75..=192).contains(&value)).then_some(1)
    }

    /// A number of 100 or more before the name of a spirit, among `from..to`, with the strength it is the proof of.
    fn proof_in_name(&self, from: usize, to: usize) -> Option<(usize, Amount)> {
        (from..to).find_map(|j| {
            let Kind::Number(number) = &self.tokens[j].kind else {
                return None;
            };
            let value: i128 = number.parse().ok()?;
            (value >= 100 && self.number_of_a_name(j) == Some(1) && j + 1 < to)
                .then_some((j, Amount::raw(value, 2)))
        })
    }

    /// A core with everything that hangs on it.
    fn with_tail(&self, from: usize, core: Core, any: bool) -> Name {
        let mut name = Name {
            end: core.end,
            cost: core.cost,
            ..Name::default()
        };
        name.roles.push((from, core.end, Role::Name));
        let mut typed = self.typed(from, &core);
        // A strength inside the name: `100-proof rye`.
        if let Some((strength, a, b)) = strength_in(&self.tokens[from..core.end]) {
            name.take_strength(self, strength, from + a, from + b);
            typed = join(
                &typed_of(self, from, from + a, &core),
                &typed_of(self, from + b, core.end, &core),
            );
        }
        // `151 rum`: no age is so high, and every label of such a bottle says the proof.
        else if let Some((at, strength)) = self.proof_in_name(from, core.end) {
            name.strength = Some(strength);
            name.assumptions.push(Assumption::new(
                self.raw(at, at + 1),
                format!("taken as its US proof: {strength} % vol"),
                "write the strength in %",
            ));
        }
        self.alternatives(&mut name, &core, from, typed, any);
        loop {
            let until = name.end;
            self.tail(&mut name);
            if name.end == until {
                break;
            }
        }
        name
    }

    /// `vodka or gin`: the names that the writer leaves a choice of.
    fn alternatives(&self, name: &mut Name, core: &Core, from: usize, typed: String, any: bool) {
        let named = |typed: String, any: bool, a: usize, b: usize| Named {
            full: typed.clone(),
            name: typed,
            any,
            span: self.span(a, b),
        };
        // `3 oz pine`: short for it where it stands alone, and a tree in a longer name.
        let typed = match key(&typed).as_str() {
            "pine" if !self.context.own.has_word("pine") => {
                name.assumptions.push(Assumption::new(
                    format!("`{typed}`"),
                    "read as pineapple juice",
                    "write the word in full",
                ));
                "pineapple juice".to_owned()
            }
            _ => typed,
        };
        name.choices = vec![named(typed, any, from, core.end)];
        self.say_meant(name, &core.meant);
        while self.words.get(name.end).is_some_and(|w| w.folded == "or") {
            // `any rum or any brandy`; said once, it holds for all of them.
            let again = usize::from(self.words.get(name.end + 1).is_some_and(|w| w.folded == "any"));
            let next = name.end + 1 + again;
            let Some(other) = self
                .cores(next, false)
                .into_iter()
                .filter(|c| {
                    self.boundary(c.end)
                        || self.mark(c.end, "(")
                        || self.words[c.end].folded == "or"
                        || self.stops_here(c.end)
                })
                .min_by_key(|c| (c.cost, std::cmp::Reverse(c.end)))
            else {
                break;
            };
            if !other.known && other.cost > 6 {
                break;
            }
            let typed = self.typed(next, &other);
            name.choices.push(named(typed, any || again > 0, next, other.end));
            name.roles.push((name.end, other.end, Role::Name));
            name.cost += other.cost;
            name.end = other.end;
        }
        if let [first, others @ ..] = name.choices.as_slice()
            && !others.is_empty()
        {
            let others: Vec<&str> = others.iter().map(|n| n.name.as_str()).collect();
            name.assumptions.push(Assumption::new(
                format!("\"{} or {}\"", first.name, others.join(" or ")),
                format!("computed with {}", first.name),
                "write one of them",
            ));
        }
    }

    fn say_meant(&self, name: &mut Name, meant: &[(usize, Box<str>)]) {
        for (at, word) in meant {
            name.assumptions.push(Assumption::new(
                format!("`{}`", self.raw(*at, at + 1)),
                format!("read as {word}"),
                "write the word in full",
            ));
        }
    }

    /// The words of a core as typed, those that were mistyped as they were meant.
    fn typed(&self, from: usize, core: &Core) -> String {
        typed_of(self, from, core.end, core)
    }

    /// One thing that hangs on a name, where one does.
    pub(super) fn tail(&self, name: &mut Name) {
        let at = name.end;
        if let Some(end) = self.dissolved(at) {
            name.notes
                .push(self.raw(at, end).trim_start_matches([',', ' ']).to_owned());
            name.roles.push((at, end, Role::Qualifier));
            name.end = end;
            return;
        }
        // `fig leaf cordial*`: a mark that leads to a note below.
        if self.mark(at, "*†‡") && !self.tokens[at].spaced {
            name.roles.push((at, at + 1, Role::Note));
            name.end = at + 1;
            return;
        }
        if self.mark(at, "([") {
            self.bracket(name, at);
            return;
        }
        if let Some(end) = self.cut_up(at) {
            name.notes.push(self.raw(at, end).to_owned());
            name.roles.push((at, end, Role::Qualifier));
            name.end = end;
            return;
        }
        if let Some((strength, 0, b)) = self.strength_here(at) {
            name.take_strength(self, strength, at, at + b);
            name.end = at + b;
            name.roles.push((at, at + b, Role::Qualifier));
            return;
        }
        if let Some(end) = self.brix(at) {
            name.roles.push((at, end, Role::Qualifier));
            name.notes.push(self.raw(at, end).to_owned());
            name.end = end;
            return;
        }
        if let Some((_, taken)) = self.tokens.get(at..).and_then(crate::spec::process::temperature) {
            name.notes.push(self.raw(at, at + taken).to_owned());
            name.roles.push((at, at + taken, Role::Qualifier));
            name.end = at + taken;
            return;
        }
        let comma = self.mark(at, ",");
        let mut next = at + usize::from(self.mark(at, ",|"));
        // `soda……full up`, `soda: to fill`
        while next > at && self.mark(next, "….")
            || self.mark(next, "…:=")
            || self.mark(next, ".") && self.mark(next + 1, ".")
        {
            next += 1;
        }
        // `absinthe - rinse`, `grapefruit soda - top`: a dash that leads to where it goes, at the end of a line.
        if self.mark(next, "-")
            && self.parts(next)
            && self
                .place_after(next + 1)
                .is_some_and(|(.., end)| end == self.len())
        {
            next += 1;
        }
        if let Some((place, fills, end)) = self.place_after(next) {
            name.place = Some(place);
            name.fills |= fills;
            name.end = end;
            name.roles.push((at, end, Role::Work));
            return;
        }
        if let Some(end) = self.to_taste(next) {
            name.notes.push(self.raw(next, end).to_owned());
            name.to_taste = true;
            name.end = end;
            name.roles.push((at, end, Role::Qualifier));
            return;
        }
        if comma {
            self.after_comma(name, at);
        }
    }

    fn strength_here(&self, at: usize) -> Option<(Result<Amount, Wrong>, usize, usize)> {
        let end = (at + 6).min(self.len());
        strength_in(&self.tokens[at..end]).filter(|(_, from, _)| *from == 0)
    }

    /// `the hundred proof one`: a strength in words, among `from..to`, with its place.
    fn strength_in_words(&self, from: usize, to: usize) -> Option<(Amount, usize, usize)> {
        let at = self.is(from, Tag::Article).unwrap_or(from);
        if self.tokens.get(at)?.is_number() {
            return None;
        }
        let phrase = amounts::phrase(&self.tokens[..to], at)?.ok()?;
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let value = match word(phrase.next) {
            proof if lexicon::is_proof(proof) => phrase.extent.nominal * Amount::raw(1, 2),
            "percent" => phrase.extent.nominal,
            _ => return None,
        };
        let end = phrase.next + 1;
        let ends = end == to || end + 1 == to && matches!(word(end), "one" | "stuff" | "kind" | "abv");
        (ends && value <= Amount::raw(100, 1)).then_some((value, at, end))
    }

    /// `70 Bx`, `70 °Bx`, `65 brix`.
    fn brix(&self, at: usize) -> Option<usize> {
        matches!(self.tokens.get(at)?.kind, Kind::Number(_)).then_some(())?;
        let next = at + 1 + usize::from(self.mark(at + 1, "°º"));
        lexicon::is_brix(&self.words.get(next)?.folded).then_some(next + 1)
    }

    /// `to taste`, `more to taste`.
    fn to_taste(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let from = at
            + usize::from(matches!(
                word(at),
                "more" | "or" | "adjust" | "less" | "according" | "add" | "as"
            ));
        // `appropriate amount`, as some languages have it.
        if matches!(
            word(at),
            "appropriate" | "suitable" | "proper" | "adequate" | "right"
        ) && matches!(word(at + 1), "amount" | "quantity")
        {
            return Some(at + 2);
        }
        self.says_to_taste(from).then_some(from + 2)
    }

    /// `to taste`, and no more, at `at`.
    pub(super) fn says_to_taste(&self, at: usize) -> bool {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        word(at) == "to" && word(at + 1) == "taste"
    }

    /// A place said after the name: `top`, `to top`, `floated`, `rinse`, `on top`.
    pub(super) fn place_after(&self, at: usize) -> Option<(Place, bool, usize)> {
        let (place, end) = self.tag(at, |tag| match tag {
            Tag::ToFill => Some((Place::Top, true)),
            Tag::OnTop => Some((Place::Top, false)),
            Tag::Float => Some((Place::Float, false)),
            Tag::Rinse => Some((Place::Rinse, false)),
            Tag::Mist => Some((Place::Mist, false)),
            _ => None,
        })?;
        // `top` before another name lengthens with that one.
        let ends = self.boundary(end)
            || self.is(end, Tag::Joint).is_some()
            || self.is(end, Tag::Preposition).is_some()
            || self.mark(end, "(")
            || self.tokens[at].joined;
        let over = self.words[at].folded == "on" || self.words[at].folded == "over";
        (ends || over).then_some((place.0, place.1, end))
    }

    fn bracket(&self, name: &mut Name, at: usize) {
        let close = if self.mark(at, "(") { ")" } else { "]" };
        let Some(end) = (at + 1..self.len().min(at + 40)).find(|&j| self.mark(j, close)) else {
            return;
        };
        let (from, to) = (at + 1, end);
        // `(45) tequila (20) fino (2 dashes) bitters`: amounts in brackets stand before their names.
        if self.mark(0, "([")
            && self.amount_in(from, to)
            && !self.boundary(end + 1)
            && self.amount_in(1, (1..self.len()).find(|&j| self.mark(j, ")]")).unwrap_or(1))
        {
            return;
        }
        // `(1 part = 30 ml)` is said of the drink.
        if (from..to).any(|j| self.mark(j, "=")) {
            return;
        }
        if from >= to {
            name.end = end + 1;
            return;
        }
        let inside = &self.tokens[from..to];
        let mut role = Role::Qualifier;
        // `(in case there is none, 8 ml lemon)`, `(or 10 ml agave)`, `(infused with 20 g tea)`, `(1 L juice + 32 g
        // citric acid)`: another way, or how it is made; nothing of it is poured.
        let told = self.is(from, Tag::Clause).is_some()
            || self.words[from].folded == "or"
            || self.is(from, Tag::Treatment).is_some_and(|end| end < to)
            || self.measured(from, to) > 1
            || self.measured(from, to) == 1 && inside.iter().any(|t| matches!(t.kind, Kind::Ratio(_)));
        if told && inside.iter().any(Token::is_number) && strength_in(inside).is_none() {
            name.notes.push(self.raw(from, to).to_owned());
            name.roles.push((at, end + 1, Role::Note));
            name.end = end + 1;
            return;
        }
        // `plum purée (10 % sugar)`: what is in it beside alcohol.
        if inside[0].is_number()
            && inside.get(1).is_some_and(|t| t.is_mark('%'))
            && (from + 2..to).any(|j| {
                matches!(
                    self.words[j].folded.as_str(),
                    "sugar"
                        | "sweetened"
                        | "fat"
                        | "fruit"
                        | "juice"
                        | "cocoa"
                        | "cacao"
                        | "acid"
                        | "acidity"
                        | "salt"
                        | "brine"
                        | "pectin"
                )
            })
            && (from + 2..to).all(|j| {
                !self.tokens[j].is_number()
                    || matches!(crate::spec::technique::time(&self.tokens[j..]), Some(Ok(_)))
                    || self
                        .words
                        .get(j + 1)
                        .is_some_and(|w| matches!(w.folded.as_str(), "day" | "week" | "month"))
            })
        {
            name.notes.push(self.raw(from, to).to_owned());
            name.assumptions.push(Assumption::new(
                format!("({})", self.raw(from, to)),
                "kept as a note: what stands in the library under its name is computed",
                "make it a preparation, or an ingredient with its own figures",
            ));
            name.roles.push((at, end + 1, Role::Note));
            name.end = end + 1;
            return;
        }
        if let Some((_, a, b)) = strength_in(inside)
            && (inside[..a].iter().chain(&inside[b..])).any(Token::is_number)
        {
            // `(40 % ½)`: a second number that nobody would read.
            return;
        }
        if let Some((strength, a, b)) = strength_in(inside) {
            name.take_strength(self, strength, from + a, from + b);
            let rest = join(self.raw(from, from + a), self.raw(from + b, to));
            let rest = rest.trim_matches([',', ' ']);
            let mut last = from + a;
            while last > from && self.parts(last - 1) {
                last -= 1;
            }
            if last > from && b == inside.len() && self.stands_for(name, from, last) {
                // `Chacha (grape pomace spirit, 45 % abv)`
                name.take_listed(self.raw(from, last));
            } else if rest.contains(char::is_alphanumeric) && !rest.eq_ignore_ascii_case("abv") {
                // Marks without a word say nothing: `(40 % -)`.
                name.notes.push(rest.to_owned());
            }
        } else if let Some((place, fills, last)) = self.place_in_brackets(from, to)
            && (last == to || self.is_aside(last, to))
        {
            name.place = Some(place);
            name.fills |= fills;
            role = Role::Work;
        } else if is_ratio(inside) || self.is(from, Tag::By) == Some(to) {
            let ratio = self.raw(from, to);
            if let [only] = name.choices.as_mut_slice() {
                only.name = format!("{} {ratio}", only.name);
                only.full.clone_from(&only.name);
            }
        } else if let Some(second) = self.amount_alone(from, to) {
            name.second = Some(second);
            role = Role::Amount;
        } else if let [only] = name.choices.as_mut_slice()
            && self.name_at(from).is_some_and(|(last, _)| last == to)
            && !lexicon::is_name(&only.name, self.context.own)
            && !lexicon::is_name(&format!("{} {}", self.raw(from, to), only.name), self.context.own)
            && !lexicon::is_name(&format!("{} {}", only.name, self.raw(from, to)), self.context.own)
            && self.is(from, Tag::Quality).is_none()
        {
            // `blackcurrant liquor (crème de cassis)`: what nobody lists, by the name that it is listed under.
            let listed = self.raw(from, to);
            name.take_listed(listed);
        } else if self.stands_for(name, from, to) {
            // `morning mist (a herb liqueur)`: what nobody knows, by its kind.
            name.take_listed(self.raw(from, to));
        } else if let [
            Token {
                kind: Kind::Number(n),
                ..
            },
        ] = inside
            && n.parse::<u32>().is_ok_and(|n| (160..=1000).contains(&n))
            && let Ok(size) = Amount::decimal(n)
        {
            // `1 bottle lager (330)`: more than any strength.
            name.second = Some((Extent::exact(size), Unit::Millilitre));
            role = Role::Amount;
        } else if name.place == Some(Place::Top)
            && let at = from + usize::from(self.mark(from, "~≈"))
            && let at = self.is(at, Tag::About).unwrap_or(at)
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens[..to], at)
            && phrase.next == to
            && phrase.extent.nominal >= Amount::raw(20, 1)
        {
            // `ginger beer top (~100)`: millilitres.
            name.second = Some((phrase.extent, Unit::Millilitre));
            role = Role::Amount;
        } else if let [
            Token {
                kind: Kind::Number(n),
                ..
            },
        ] = inside
            && name.strength.is_none()
            && n.parse::<f64>().is_ok_and(|n| (35.0..=80.0).contains(&n))
            && let Ok(strength) = Amount::decimal(n)
        {
            // `blended whisky (43)`: a number by itself behind a bottle is what its label says.
            name.strength = Some(strength);
            name.cost += 3;
            name.assumptions.push(Assumption::new(
                format!("({n})"),
                format!("taken as its strength, {n} % vol"),
                format!("write `({n} %)`, or the amount with its unit"),
            ));
        } else if self.qualifies(name, from, to) {
        } else if inside[0].is_number()
            && let Some(Ok(phrase)) = amounts::phrase(&self.tokens[..to], from)
            && phrase.extent.nominal >= Amount::raw(5, 1)
            && (self.mark(phrase.next, ",") && self.only_words(phrase.next + 1, to)
                || self.words.get(phrase.next).is_some_and(|w| w.folded == "ish") && phrase.next + 1 == to)
        {
            // `float cream (30, lightly whipped)`, `cola to the line (150ish)`: millilitres.
            name.second = Some((phrase.extent, Unit::Millilitre));
            name.notes.push(
                self.raw(phrase.next, to)
                    .trim_start_matches([',', ' '])
                    .to_owned(),
            );
            role = Role::Amount;
        } else if inside[0].is_number() && (self.parts(from + 1) || to == from + 1) {
            // `cream (30, whipped)`: an amount that the brackets do not hide.
            return;
        } else if self.is_aside(from, to) {
            name.notes.push(self.raw(from, to).to_owned());
            name.cost += 1 + 2 * u32::from(inside.iter().any(Token::is_number));
        } else {
            return;
        }
        name.roles.push((at, end + 1, role));
        name.end = end + 1;
    }

    /// Whether the words at `from..to` name or tell the kind of what a name, that nobody knows, stands for.
    fn stands_for(&self, name: &Name, from: usize, to: usize) -> bool {
        let [only] = name.choices.as_slice() else {
            return false;
        };
        let library = crate::ingredient::library();
        let words = self.tokens[from..to]
            .iter()
            .all(|t| matches!(t.kind, Kind::Word(_)));
        words
            && self.is(from, Tag::Quality) != Some(to)
            && !lexicon::names_anything(&only.name, self.context.own)
            && library.usual(&only.name).is_none()
            && !crate::ingredient::tells_its_kind(&only.name)
            && crate::ingredient::never(&only.name).is_none()
            && (self
                .name_at(from)
                .is_some_and(|(last, sort)| last == to && sort == lexicon::Sort::Liquid)
                || crate::ingredient::tells_its_kind(self.raw(from, to)))
    }

    /// Whether nothing but an amount stands at `from..to`, with a unit or none.
    fn amount_in(&self, from: usize, to: usize) -> bool {
        match amounts::phrase(&self.tokens[..to.min(self.len())], from) {
            Some(Ok(phrase)) => self.unit_at(phrase.next).1 == to,
            _ => false,
        }
    }

    fn place_in_brackets(&self, from: usize, to: usize) -> Option<(Place, bool, usize)> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let skip = usize::from(matches!(word(from), "to" | "as" | "a") && to - from > 1);
        self.place_after(from)
            .or_else(|| self.place_after(from + skip))
            .filter(|(.., end)| *end <= to)
    }

    /// An amount with its unit and nothing else, at `from..to`: about is a matter of course in brackets.
    pub(super) fn amount_alone(&self, from: usize, to: usize) -> Option<(Extent, Unit)> {
        let mut at = from;
        while self.mark(at, "~≈") || self.is(at, Tag::About).is_some() {
            at = self.is(at, Tag::About).unwrap_or(at + 1);
        }
        let phrase = amounts::phrase(&self.tokens[..to], at)?.ok()?;
        let (unit, end) = self.unit_at(phrase.next);
        (end == to).then_some((phrase.extent, unit?))
    }

    /// Words that decide what a name is: `gin (navy strength)`, `vermouth, dry`, `cream (single)`, `vodka, olive oil washed`.
    fn qualifies(&self, name: &mut Name, from: usize, to: usize) -> bool {
        let [only] = name.choices.as_mut_slice() else {
            return false;
        };
        let measured = |j: usize| match amounts::phrase(&self.tokens, j) {
            Some(Ok(phrase)) => self.unit_at(phrase.next).0.is_some(),
            Some(Err(_)) => true,
            None => false,
        };
        if self.tokens[from..to].iter().any(Token::is_number) || (from..to).any(measured) {
            return false;
        }
        // `syrup, sugar 1:1`
        if to - from > 1 && matches!(self.tokens[to - 1].kind, Kind::Ratio(_)) {
            let words = format!("{} {}", self.raw(from, to - 1), only.name);
            if lexicon::is_name(&words, self.context.own) {
                only.name = format!("{words} {}", self.raw(to - 1, to));
                only.full.clone_from(&only.name);
                return true;
            }
            return false;
        }
        // `(pasteurised)`, `(fresh)` says how it is bought.
        let decides = matches!(
            self.words[from].folded.as_str(),
            "single" | "double" | "clear" | "cloudy" | "sweetened" | "unsweetened" | "thick"
        );
        if self.is(from, Tag::Quality) == Some(to) && !decides {
            return false;
        }
        let words = self.raw(from, to).trim_end_matches('.').to_owned();
        let before = format!("{words} {}", only.name);
        let after = format!("{} {words}", only.name);
        let own = self.context.own;
        // `gin, cordial and lemon`: a word that joins lists another pour.
        let lists = (from..to).any(|j| self.mark(j, "&") || self.is(j, Tag::Joint).is_some());
        let treated = self.is(to - 1, Tag::Treatment) == Some(to)
            || to - from > 1
                && !lists
                && self.is(from, Tag::Treatment).is_some()
                // `agave, salted rim`
                && self.is(to - 1, Tag::GarnishNoun).is_none();
        let whole = if lexicon::is_name(&before, own) || treated {
            before
        } else if lexicon::is_name(&after, own) && lexicon::sort_of(&words) != Some(lexicon::Sort::Liquid) {
            // `15 lemon, tonic` are two pours, and no bitter lemon.
            after
        } else {
            return false;
        };
        only.name.clone_from(&whole);
        only.full = whole;
        true
    }

    /// Words in brackets that change nothing: no work, and no liquid that is measured or counted.
    fn is_aside(&self, from: usize, to: usize) -> bool {
        let measured = self.measured(from, to) > 0;
        (from..to).all(|i| {
            let pours = self.name_at(i).is_some_and(|(end, sort)| {
                sort == lexicon::Sort::Liquid
                    && end <= to
                    && self.is(i, Tag::Quality).is_none()
                    && (measured
                        || self.words[i].folded == "egg"
                        || self.words[i..end].iter().any(|w| w.folded == "white"))
            });
            let works = self
                .tag(i, |tag| {
                    matches!(
                        tag,
                        Tag::Work(_) | Tag::Strain { .. } | Tag::Top | Tag::Float | Tag::Rinse | Tag::Mist
                    )
                    .then_some(())
                })
                .is_some();
            !pours && !works
        })
    }

    /// `white tea, cold brew`: how a tea or coffee is made, by another name of the kind.
    fn both_are_tea(&self, name: &Name, from: usize, to: usize) -> bool {
        let library = crate::ingredient::library();
        let is_tea = |said: &str| {
            library
                .usual(said)
                .is_some_and(|i| i.kind == IngredientKind::CoffeeAndTea)
        };
        name.choices.first().is_some_and(|n| is_tea(&n.name)) && is_tea(self.raw(from, to))
    }

    /// `dissolved in a little water`, `and dissolve in hot water`: what sugar needs to go into the drink, of which nobody
    /// says how much.
    fn dissolved(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut i = at + usize::from(self.mark(at, ","));
        i += usize::from(word(i) == "and");
        if !matches!(word(i), "dissolved" | "dissolve") {
            return None;
        }
        i += 1;
        i += usize::from(matches!(word(i), "in" | "with"));
        let mut water = i;
        while matches!(
            word(water),
            "a" | "little" | "some" | "hot" | "cold" | "boiling" | "enough" | "of" | "the" | "warm"
        ) {
            water += 1;
        }
        (word(water) == "water" || word(water) == "seltzer").then_some(water + 1)
    }

    /// Whether an amount comes at `i`, behind a mark that leads to it or none.
    fn amount_follows(&self, i: usize) -> bool {
        let at = i + usize::from(self.mark(i, ":-(,"));
        self.tokens.get(at).is_some_and(Token::is_number)
            && match amounts::phrase(&self.tokens, at) {
                Some(Ok(phrase)) => {
                    self.unit_at(phrase.next).0.is_some() || self.mark(phrase.next, "%") && at > i
                }
                _ => false,
            }
            // Of an amount that is followed by a name it is the name's.
            && self.ends_behind_amount(at)
    }

    /// Whether the part of the line ends behind the amount at `at`.
    fn ends_behind_amount(&self, at: usize) -> bool {
        match amounts::phrase(&self.tokens, at) {
            Some(Ok(phrase)) => {
                let (_, after) = self.unit_at(phrase.next);
                self.boundary(after) || self.mark(phrase.next, "%")
            }
            _ => false,
        }
    }

    /// Whether nothing among the tokens can be poured or worked.
    fn only_words(&self, from: usize, to: usize) -> bool {
        (from..to).all(|j| {
            let quality = self.is(j, Tag::Quality).is_some() || self.is(j, Tag::Treatment).is_some();
            let poured = self.name_at(j).is_some() && !quality;
            let works = self
                .tag(j, |t| {
                    matches!(
                        t,
                        Tag::Work(_)
                            | Tag::Strain { .. }
                            | Tag::Top
                            | Tag::Float
                            | Tag::Rinse
                            | Tag::Mist
                            | Tag::Each
                    )
                    .then_some(())
                })
                .is_some();
            matches!(self.tokens[j].kind, Kind::Word(_)) && !poured && !works
        })
    }

    /// `cut in 8 pieces`, `quartered`, `cut into wedges`: how a fruit is cut, up to where that ends.
    fn cut_up(&self, at: usize) -> Option<usize> {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        if !matches!(word(at), "cut" | "sliced" | "chopped" | "divided")
            || !matches!(word(at + 1), "in" | "into")
        {
            return None;
        }
        let next = match amounts::phrase(&self.tokens, at + 2) {
            Some(Ok(phrase)) => phrase.next,
            _ => at + 2,
        };
        matches!(
            word(next),
            "piece" | "wedge" | "slice" | "quarter" | "chunk" | "half" | "cube" | "eighth" | "sixth"
        )
        .then_some(next + 1)
    }

    /// What stands after a comma and belongs to the name.
    fn after_comma(&self, name: &mut Name, at: usize) {
        let from = at + 1;
        let to = (from..self.len())
            .find(|&j| self.boundary(j) || j > from && self.tokens[j].is_number())
            .unwrap_or(self.len());
        if from >= to {
            return;
        }
        let qualities = || {
            let mut j = from;
            while j < to {
                match self.is(j, Tag::Quality).or_else(|| self.is(j, Tag::Treatment)) {
                    Some(next) if next <= to => j = next,
                    _ => return false,
                }
            }
            true
        };
        let strength = strength_in(&self.tokens[from..to]).filter(|(_, a, b)| *a == 0 && from + b == to);
        if let Some((strength, a, b)) = self.strength_in_words(from, to) {
            name.take_strength(self, Ok(strength), a, b);
        } else if let Some((strength, a, b)) = strength {
            name.take_strength(self, strength, from + a, from + b);
        } else if self.words[from].folded == "juiced" && from + 1 == to {
            if let [only] = name.choices.as_mut_slice() {
                only.name = format!("{} juice", only.name);
                only.full.clone_from(&only.name);
            }
        } else if self.qualifies(name, from, to) {
        } else if self.amount_follows(to) && self.only_words(from, to)
            || self.both_are_tea(name, from, to)
            || qualities()
        {
            // `oolong tea, cold 200 ml`, `white wine, aromatic, 11.5 %: 90 ml`: words between a name and its amount.
            name.notes
                .push(self.raw(from, to).trim_end_matches('.').to_owned());
        } else {
            return;
        }
        name.roles.push((at, to, Role::Qualifier));
        name.end = to;
    }
}

impl Name {
    /// What stands in brackets is the name that it is listed under; what stood before them is kept as a note.
    fn take_listed(&mut self, listed: &str) {
        if let [only] = self.choices.as_mut_slice() {
            self.notes
                .push(std::mem::replace(&mut only.name, listed.to_owned()));
            only.full.clone_from(&only.name);
        }
    }

    fn take_strength(&mut self, reader: &Reader, strength: Result<Amount, Wrong>, from: usize, to: usize) {
        match strength {
            Ok(strength) => self.strength = Some(strength),
            Err(wrong) => self.wrong = Some(wrong),
        }
        // Degrees of proof differ by country: which were taken is said.
        let words: Vec<&str> = (from..to).map(|i| reader.words[i].folded.as_str()).collect();
        self.per = words.iter().find_map(|w| Per::read(w)).or(self.per);
        if words.iter().any(|w| lexicon::is_proof(w))
            && !words
                .iter()
                .any(|w| matches!(*w, "us" | "uk" | "american" | "british"))
        {
            self.assumptions.push(Assumption::new(
                reader.raw(from, to),
                "US proof, twice the strength in % vol (100 UK degrees would be 57.1 % vol)",
                "write the strength in %",
            ));
        }
    }
}

fn join(a: &str, b: &str) -> String {
    match (a.trim(), b.trim()) {
        ("", b) => b.to_owned(),
        (a, "") => a.to_owned(),
        (a, b) => format!("{a} {b}"),
    }
}

/// The tokens `from..to` as typed, those that were mistyped as they were meant.
fn typed_of(reader: &Reader, from: usize, to: usize, core: &Core) -> String {
    // `IT. VERMOUTH`: the full stop of a shortening is no part of a name.
    let short = (from..to.saturating_sub(1))
        .any(|i| matches!(reader.tokens[i].kind, Kind::Word(_)) && reader.tokens[i].stops());
    if core.meant.is_empty() && !short {
        return bare(reader.raw(from, to)).to_owned();
    }
    let mut text = String::new();
    for i in from..to {
        let token = &reader.tokens[i];
        if !text.is_empty() {
            text.push_str(match (token.joined, token.spaced) {
                (true, _) => "-",
                (_, true) => " ",
                _ => "",
            });
        }
        match core.meant.iter().find(|(at, _)| *at == i) {
            // `passion fruit` is not `passion fruit fruit`.
            Some((_, meant))
                if i + 1 < to && meant.ends_with(&format!(" {}", reader.words[i + 1].folded)) =>
            {
                text.push_str(reader.raw(i, i + 1));
            }
            Some((_, meant)) => text.push_str(meant),
            None if matches!(token.kind, Kind::Word(_)) => {
                text.push_str(reader.raw(i, i + 1).trim_end_matches('.'));
            }
            None => text.push_str(reader.raw(i, i + 1)),
        }
    }
    bare(&text).to_owned()
}

/// A name without the full stop behind it and the marks it is set in: `` `bourbon` ``.
fn bare(typed: &str) -> &str {
    typed.trim_end_matches('.').trim_matches('`').trim()
}

/// An amount rounded to hundredths, so that it can be written as it is kept.
fn hundredths(amount: Amount) -> Amount {
    #[expect(clippy::cast_possible_truncation, reason = "a strength below a few hundred")]
    let rounded = (amount.to_f64() * 100.0).round() as i128;
    Amount::ratio(rounded, 100).unwrap_or(amount)
}

/// `2:1`, perhaps with what it is counted by: `1:1 by mass`.
fn is_ratio(tokens: &[Token]) -> bool {
    let by: Vec<String> = tokens.iter().skip(1).map(Token::word).collect();
    let by: Vec<&str> = by.iter().map(String::as_str).collect();
    matches!(tokens.first().map(|t| &t.kind), Some(Kind::Ratio(_)))
        && matches!(
            by.as_slice(),
            [] | ["by", "mass" | "volume" | "weight" | "vol" | "wt"] | ["w", "", "w"] | ["v", "", "v"]
        )
}

/// A strength among `tokens`: `47 %`, `47% abv`, `abv 47`, `100 proof`, `100-proof`, `57° proof UK`. Gives % vol and
/// the tokens it takes up.
fn strength_in(tokens: &[Token]) -> Option<(Result<Amount, Wrong>, usize, usize)> {
    let at = tokens.iter().position(|t| matches!(t.kind, Kind::Number(_)))?;
    let Kind::Number(text) = &tokens[at].kind else {
        return None;
    };
    let word = |i: usize| tokens.get(i).map(Token::word).unwrap_or_default();
    let mut next = at + 1;
    let british = |w: &str| matches!(w, "uk" | "british");
    let mut uk = british(&word(next));
    let country = uk || matches!(word(next).as_str(), "us" | "american");
    if (tokens.get(next).is_some_and(Token::is_hyphen) || country) && lexicon::is_proof(&word(next + 1)) {
        next += 1;
    }
    let proof = lexicon::is_proof(&word(next));
    let percent =
        tokens.get(next).is_some_and(|t| t.is_mark('%')) || matches!(word(next).as_str(), "abv" | "percent");
    if !proof && !percent {
        return None;
    }
    next += 1;
    uk = proof && (uk || british(&word(next)));
    while matches!(
        word(next).as_str(),
        "abv" | "vol" | "alc" | "us" | "uk" | "british" | "american"
    ) {
        next += 1;
    }
    // `20 % w/v`, `20 % (w/v)`, `6 % by mass`
    let by = usize::from(word(next) == "by");
    let bracket = tokens.get(next).is_some_and(|t| t.is_mark('('))
        && tokens.get(next + 2).is_some_and(|t| t.is_mark(')'));
    if percent && bracket && Per::read(&word(next + 1)).is_some() {
        next += 3;
    } else if percent && Per::read(&word(next + by)).is_some() {
        next += 1 + by;
    }
    let amount = Amount::decimal(&text.replace(',', "."));
    let span = tokens[at].span.start..tokens[next - 1].span.end;
    let value = match amount {
        // US proof is twice the strength; 100° UK proof is 57.1 % vol (4/7 of the degrees).
        Ok(n) if uk => hundredths(n * Amount::raw(4, 7)),
        Ok(n) if proof => n * Amount::raw(1, 2),
        Ok(n) => n,
        Err(e) => return Some((Err(Wrong::reject(span, e.to_string())), at, next)),
    };
    if value > Amount::raw(100, 1) {
        let wrong = Wrong::reject(span, format!("a strength of {value} % vol; expected 0 to 100"));
        return Some((Err(wrong), at, next));
    }
    Some((Ok(value), at, next))
}
