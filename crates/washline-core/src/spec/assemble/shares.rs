//! Shares of the whole: parts that are shortened, and how large one is.

use super::{Assembler, Part, plain_pour};
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::line::Item;
use crate::spec::{Assumption, Entry, Extent, PourAmount, PourMethod, Step, amounts, tokens};

/// `Equal parts, 3/4 oz each`, over names that stand alone: as much of each of them.
pub(super) fn equal_parts_below(mut parts: Vec<Part>) -> Vec<Part> {
    let mut at = 0;
    while at < parts.len() {
        let measure = match &parts[at] {
            Part::Line(line) if !line.found.iter().any(|f| matches!(f.item, Item::Pours(_))) => {
                equal_measure(&line.text)
            }
            _ => None,
        };
        // A blank line may stand between.
        let blank = |p: &&Part| matches!(p, Part::Entry(Entry::Blank));
        let blanks = parts[at + 1..].iter().take_while(blank).count();
        let below = parts[at + 1 + blanks..]
            .iter()
            .take_while(|p| named_alone(p).is_some())
            .count();
        let Some(measure) = measure.filter(|_| below > 1) else {
            at += 1;
            continue;
        };
        let Part::Line(over) = &mut parts[at] else { break };
        let text = over.text.clone();
        over.found.retain(|f| {
            matches!(
                f.item,
                Item::Glass(..) | Item::Joint | Item::Words | Item::Step(_) | Item::Work(_)
            )
        });
        for part in &mut parts[at + 1 + blanks..=at + blanks + below] {
            let Some(name) = named_alone(part) else { break };
            let Part::Line(line) = part else { break };
            if let Some(first) = line.found.iter_mut().find(|f| !matches!(f.item, Item::Joint)) {
                let pour = plain_pour(&name, measure.clone(), first.span.clone());
                let said = Assumption::new(
                    format!("`{text}`"),
                    "as much of each name that stands below it",
                    "write the amount before each",
                );
                first.item = Item::Pours(vec![(pour, vec![said])]);
            }
            line.found
                .retain(|f| matches!(f.item, Item::Joint | Item::Pours(_)));
        }
        at += blanks + below + 1;
    }
    parts
}

/// How much of each a line says that heads names: `equal parts`, `EQ PTS .75 ea`.
fn equal_measure(text: &str) -> Option<PourAmount> {
    let folded = key(text);
    let equal = [
        "equal part",
        "equal pt",
        "eq pt",
        "eq part",
        "equal measure",
        "equal amount",
        "equal proportion",
    ];
    equal.iter().any(|said| folded.contains(said)).then_some(())?;
    let tokens = tokens::tokens(text, 0);
    let each = (0..tokens.len()).find_map(|i| {
        let phrase = amounts::phrase(&tokens, i)?.ok()?;
        let word = |i: usize| tokens.get(i).map(tokens::Token::word).unwrap_or_default();
        let unit = Unit::spelt(&word(phrase.next));
        let after = phrase.next + usize::from(unit.is_some());
        (tokens[i].is_number() && matches!(word(after).as_str(), "each" | "ea" | "of" | "apiece"))
            .then_some(PourAmount::Of(phrase.extent, unit))
    });
    Some(each.unwrap_or(PourAmount::Of(Extent::exact(Amount::ONE), Some(Unit::Part))))
}

/// The name on a line that says nothing else.
fn named_alone(part: &Part) -> Option<String> {
    let Part::Line(line) = part else { return None };
    let mut said = line.found.iter().filter(|f| !matches!(f.item, Item::Joint));
    let (Some(only), None) = (said.next(), said.next()) else {
        return None;
    };
    match &only.item {
        Item::Mention(mention) => Some(mention.name.clone()),
        // `Brandy (on top)`
        Item::Pours(pours) => match pours.as_slice() {
            [(pour, _)]
                if pour.place != PourMethod::In
                    && matches!(pour.measure, PourAmount::Fill | PourAmount::Usual) =>
            {
                Some(pour.choices.first()?.name.clone())
            }
            _ => None,
        },
        _ => None,
    }
}

impl Assembler<'_> {
    /// `1 pt gin, 1 pt vermouth`: of a drink for one, all of which is counted so, a `pt` is a part and no pint.
    pub(super) fn parts_in_short(&mut self) {
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
                && let PourAmount::Of(_, unit @ Some(Unit::Pint)) = &mut pour.measure
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

    /// `100 ml per serve` over shares: the whole that they are shares of.
    pub(super) fn whole_that_parts_are_of(&mut self) {
        let in_parts = self
            .measured_pours()
            .iter()
            .any(|(.., unit)| *unit == Some(Unit::Part));
        if !in_parts || self.out.serves.is_some() || self.out.total.is_some() {
            return;
        }
        let Some(size) = self.out.serve_of.take() else {
            return;
        };
        for entry in &mut self.out.entries {
            if let Entry::Particular(name, _) = entry
                && name == "each serve"
            {
                "serve".clone_into(name);
            }
        }
        self.out.total = Some(size);
    }

    /// `2:1:1 gin, lemon, raspberry syrup, 60 ml gin`: a share that is measured as well says how large a part is.
    pub(super) fn size_of_parts(&mut self) {
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
                format!("`{}`", crate::spec::write::pour_text(pour)),
                format!("the size of its share: a part is {size}"),
                "write `1 part = …`",
            ));
        }
        self.out
            .entries
            .push(Entry::Particular("part".to_owned(), size.clone()));
        self.out.part = Some(size);
    }
}
