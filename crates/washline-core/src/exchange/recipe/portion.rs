//! Lines of ingredients brought to one serve, exactly.

use std::ops::Range;

use super::Reader;
use crate::exchange::drafts::Placed;
use crate::exchange::prose::{Listed, read_line};
use crate::measure::Amount;
use crate::names::key;
use crate::spec::{Entry, Pour, PourAmount, PourMethod, Step};

impl Reader<'_, '_> {
    /// A line of the list of ingredients as lines of a book, and what the method may call it.
    pub(super) fn ingredient(
        &mut self,
        line: &str,
        share: Option<Amount>,
        span: &Range<usize>,
    ) -> (Vec<Placed>, Option<Listed>) {
        let line = line
            .trim_start_matches(['•', '▢', '☐', '*', '-', '–', ' '])
            .trim();
        let note = |words: &str| format!("> {words}");
        let alone = |text: String, reader: &Self| (vec![reader.placed(text, span)], None);
        if line.is_empty() {
            return (Vec::new(), None);
        }
        if line.ends_with(':') {
            return alone(note(line), self);
        }
        if let Some(garnish) = garnish(line) {
            return alone(format!("- garnish {}", fewer(&garnish, share)), self);
        }
        // What does not read stays where it stands: the fault is found there, and the pour is not lost. The
        // method may say where it goes: `top with soda water`.
        let Ok(entries) = read_line(line) else {
            let listed = Listed {
                name: key(line),
                placed: false,
            };
            return (vec![self.placed(format!("- {line}"), span)], Some(listed));
        };
        let pours: Vec<&Pour> = entries
            .iter()
            .filter_map(|e| match e {
                Entry::Step(l) => match &l.step {
                    Step::Pour(pour) => Some(pour),
                    _ => None,
                },
                _ => None,
            })
            .collect();
        let [pour, ..] = pours.as_slice() else {
            let is_ice = entries
                .iter()
                .all(|e| matches!(e, Entry::Step(l) if matches!(l.step, Step::Ice(_) | Step::OverIce(_))));
            return alone(if is_ice { note(line) } else { format!("- {line}") }, self);
        };
        let named = pour.choices.first().map(|n| key(&n.name)).unwrap_or_default();
        if named.split(' ').any(|w| w == "ice") {
            // Ice is worked with, not poured; its melt comes from the method.
            return alone(note(line), self);
        }
        let listed = Listed {
            name: named,
            placed: false,
        };
        if share.is_none_or(|s| s == Amount::ONE) {
            return (vec![self.placed(format!("- {line}"), span)], Some(listed));
        }
        let share = share.unwrap_or(Amount::ONE);
        let mut divided = Vec::new();
        for pour in pours {
            match divide(pour, share) {
                Some((text, dropped)) => {
                    if dropped {
                        let message =
                            format!("\"{line}\": its note is left out, for it held an amount for all serves");
                        self.drafts.remark(self.number, span.start, message);
                    }
                    divided.push(self.placed(format!("- {text}"), span));
                }
                None => {
                    let message =
                        format!("`{line}` for one serve is no amount that can be written; write it for one");
                    self.drafts.reject(self.number, span.clone(), message);
                }
            }
        }
        (divided, Some(listed))
    }
}

/// A pour for one serve, exact; and whether its note was dropped because it held an amount.
fn divide(pour: &Pour, share: Amount) -> Option<(String, bool)> {
    let mut one = pour.clone();
    let mut dropped = false;
    if let PourAmount::Of(extent, _) = &mut one.measure {
        extent.nominal = extent.nominal.times(share).ok()?;
        extent.low = extent.low.times(share).ok()?;
        extent.high = extent.high.times(share).ok()?;
        extent.word = None;
        if one.note.contains(|c: char| c.is_numeric()) {
            one.note.clear();
            dropped = true;
        }
    }
    // Written and read again it must be the same amount: not every fraction is one that a book reads.
    let same = |text: &str| {
        read_line(text).is_ok_and(|entries| {
            matches!(entries.as_slice(), [Entry::Step(l)] if matches!(&l.step, Step::Pour(p) if amounts(p) == amounts(&one)))
        })
    };
    let written = one.to_string();
    if same(&written) {
        return Some((written, dropped));
    }
    let PourAmount::Of(extent, unit) = &one.measure else {
        return None;
    };
    let unit = unit.map_or("", |u| u.facts().written.0);
    let name = &one.choices.first()?.full;
    let decimal = format!("{} {unit} {name}", extent.nominal.exact_decimal()?);
    same(&decimal).then_some((decimal, dropped))
}

fn amounts(pour: &Pour) -> Option<(Amount, Amount, Amount)> {
    match &pour.measure {
        PourAmount::Of(extent, _) => Some((extent.nominal, extent.low, extent.high)),
        _ => None,
    }
}

/// The garnish of a line of ingredients that says it is one: `1 lime wheel, for garnish`.
fn garnish(line: &str) -> Option<String> {
    let lower = line.to_lowercase();
    let at = [
        ", for garnish",
        ", to garnish",
        " for garnish",
        " to garnish",
        "(for garnish)",
        "(garnish)",
        ", garnish",
    ]
    .into_iter()
    .filter_map(|end| lower.strip_suffix(end).map(str::len))
    .min();
    let words = match at {
        Some(at) => line.get(..at)?,
        None => {
            let rest = lower.strip_prefix("garnish:")?;
            line.get(line.len() - rest.len()..)?
        }
    };
    let words = words.trim().trim_end_matches(',');
    (!words.is_empty()).then(|| words.to_owned())
}

/// A garnish for several as that of one, where it can be counted out.
fn fewer(garnish: &str, share: Option<Amount>) -> String {
    let one = || {
        let (number, rest) = garnish.split_once(' ')?;
        let count = Amount::decimal(number).ok()?.times(share?).ok()?;
        let whole = count.exact_decimal().filter(|c| !c.contains('.') && c != "0")?;
        Some(format!("{whole} {rest}"))
    };
    one().unwrap_or_else(|| garnish.to_owned())
}

/// A pour with the place that the method gives it.
pub(super) fn at_place(line: &str, place: PourMethod) -> String {
    let words = line.strip_prefix("- ").unwrap_or(line);
    let verb = match place {
        PourMethod::In => return line.to_owned(),
        // A mixer without an amount is read as a top already.
        PourMethod::Top if words.starts_with("top ") => return line.to_owned(),
        PourMethod::Top if read_line(words).is_err() => "top with",
        PourMethod::Top => "top",
        PourMethod::Float => "float",
        PourMethod::Rinse => "rinse",
        PourMethod::Mist => "mist",
    };
    format!("- {verb} {words}")
}
