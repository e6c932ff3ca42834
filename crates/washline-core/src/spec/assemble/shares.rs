//! Shares of the whole: parts that are shortened, and how large one is.

use super::Assembler;
use crate::measure::Unit;
use crate::spec::{Assumption, Entry, Measure, Step};

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
