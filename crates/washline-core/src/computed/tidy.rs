//! A book in its clean form: written anew as it was read, and compared with what it was before it is given.

use super::{Bar, Checked, ComputedDrink, Prepared, look_at};
use crate::names::key;
use crate::resolve::ResolvedStep;
use crate::spec::{
    Drink, Entry, Fault, Reading, Section, Settled, Source, clean, format_entries, format_opening, read_under,
};
use crate::tables::Figure;

/// A book in its clean form.
#[derive(Clone, Debug, Default)]
pub struct Tidied {
    /// The whole of it.
    pub text: String,
    /// The sections that are left as they are typed, in order.
    pub left: Vec<Left>,
    /// What cannot be read or worked out in it.
    pub faults: Vec<Fault>,
}

/// A section that is left as it is typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Left {
    /// Its name.
    pub name: String,
    /// The line its heading stands in, from 1.
    pub line: usize,
    /// Whether it cannot be read as it is typed; else its clean form would not read as the same drink.
    pub unread: bool,
}

/// One section on its way to its clean form.
struct Piece {
    name: String,
    line: usize,
    /// As typed, under a heading.
    typed: String,
    /// In its clean form; `None` where it does not read.
    clean: Option<String>,
}

/// Write a book in its clean form, as a bar reads it.
///
/// What does not read stays as it is typed. So does a section whose clean form would not come to the same: every drink
/// of the text that is given has the pours, the figures, the glass, the garnish and the notes that it had.
#[must_use]
pub fn tidy(source: &Source, bar: &Bar) -> Tidied {
    /// What is written may still be read a little more plainly; after so many times it no longer is.
    const MOST: usize = 4;
    let (mut tidied, mut read) = once(source, look_at(std::slice::from_ref(source), bar), bar);
    for _ in 1..MOST {
        let written = Source::new(source.file.clone(), tidied.text.as_str());
        let (again, read_again) = once(&written, read, bar);
        if again.text == tidied.text {
            break;
        }
        tidied.text = again.text;
        read = read_again;
    }
    tidied
}

/// The clean form of a text that reads as `before`, and what it reads as itself.
fn once(source: &Source, before: Checked, bar: &Bar) -> (Tidied, Checked) {
    let reading = read_under(source, &bar.settings);
    let opening = format_opening(&reading.book);
    let pieces = pieces(source, &reading, &before, bar);
    let faults = before.faults.clone();
    let mut otherwise: Vec<String> = Vec::new();
    // What reads otherwise is left as it is typed; with it, what pours from it is the same again.
    let (text, after) = loop {
        let text = whole(&opening, &pieces, &otherwise);
        if text == source.text {
            break (text, before);
        }
        let after = look_at(&[Source::new(source.file.clone(), text.as_str())], bar);
        let differing = differing(&before, &after);
        if differing.is_empty() {
            break (text, after);
        }
        let all = otherwise.len();
        otherwise.extend(differing);
        otherwise.sort();
        otherwise.dedup();
        if otherwise.len() == all {
            // Typed as it was and yet another drink: something beside it was read otherwise.
            otherwise = pieces.iter().map(|p| key(&p.name)).collect();
            break (source.text.clone(), before);
        }
    };
    let left = pieces
        .into_iter()
        .filter_map(|piece| {
            let unread = piece.clean.is_none();
            (unread || otherwise.contains(&key(&piece.name))).then_some(Left {
                name: piece.name,
                line: piece.line,
                unread,
            })
        })
        .collect();
    (Tidied { text, left, faults }, after)
}

/// The text of a book whose sections are clean, but for those of these folded names.
fn whole(opening: &str, pieces: &[Piece], typed: &[String]) -> String {
    let mut text = opening.to_owned();
    for piece in pieces {
        if !text.is_empty() {
            text.push('\n');
        }
        let clean = piece
            .clean
            .as_ref()
            .filter(|_| !typed.contains(&key(&piece.name)));
        text.push_str(clean.unwrap_or(&piece.typed).trim_end());
        text.push('\n');
    }
    text
}

fn pieces(source: &Source, reading: &Reading, before: &Checked, bar: &Bar) -> Vec<Piece> {
    let settings = reading.book.settings.over(&bar.settings);
    reading
        .sections
        .iter()
        .map(|typed| {
            let text = source.text.get(typed.range.clone()).unwrap_or_default();
            let text = text.replace("\r\n", "\n").replace('\r', "\n");
            let section = reading.book.sections.iter().find(|s| s.name() == typed.name);
            let clean = section.and_then(|section| {
                let entries = match section {
                    Section::Drink(drink) => {
                        let computed = before
                            .drinks
                            .iter()
                            .find(|d| d.found_in.line == drink.line && d.name() == drink.name)?;
                        clean(drink, &settled(computed), source, settings.ounce)
                    }
                    Section::Preparation(preparation) => {
                        before
                            .preparations
                            .iter()
                            .find(|p| p.found_in.line == preparation.line)?;
                        clean(preparation, &[], source, settings.ounce)
                    }
                    Section::Ingredient(definition) => definition.entries.clone(),
                };
                Some(format_entries(section.name(), &entries))
            });
            Piece {
                name: typed.name.clone(),
                line: typed.line,
                typed: if typed.headed {
                    text
                } else {
                    format!("## {}\n{text}", typed.name)
                },
                clean,
            }
        })
        .collect()
}

/// What is settled of each step of a drink.
fn settled(computed: &ComputedDrink) -> Vec<Option<Settled<'_>>> {
    computed
        .resolved
        .steps
        .iter()
        .map(|step| match step {
            ResolvedStep::Pour(pour) => Some(Settled {
                unit: pour.taken_unit,
                ingredient: &pour.ingredient,
            }),
            _ => None,
        })
        .collect()
}

/// The folded names of the sections that came to something else.
fn differing(before: &Checked, after: &Checked) -> Vec<String> {
    let drinks = before.drinks.iter().filter(|d| {
        let again = after.drinks.iter().find(|a| key(a.name()) == key(d.name()));
        !again.is_some_and(|a| same_drink(d, a))
    });
    let preparations = before.preparations.iter().filter(|p| {
        let again = after.preparations.iter().find(|a| key(a.name()) == key(p.name()));
        !again.is_some_and(|a| same_preparation(p, a))
    });
    let ingredients = before.ingredients.iter().filter(|(_, i)| {
        !after.ingredients.iter().any(|(_, a)| a == i)
            && !before.preparations.iter().any(|p| key(p.name()) == key(&i.name))
    });
    drinks
        .map(|d| key(d.name()))
        .chain(preparations.map(|p| key(p.name())))
        .chain(ingredients.map(|(_, i)| key(&i.name)))
        .collect()
}

/// Whether a drink comes to the same: what is poured and how, the figures, what a reader is told.
fn same_drink(a: &ComputedDrink, b: &ComputedDrink) -> bool {
    let (x, y) = (&a.resolved, &b.resolved);
    x.steps.len() == y.steps.len()
        && x.steps.iter().zip(&y.steps).all(|(a, b)| same_step(a, b))
        && x.serves == y.serves
        && x.structure == y.structure
        && x.family == y.family
        && x.water == y.water
        && x.allergens_eu == y.allergens_eu
        && x.allergens_us == y.allergens_us
        && x.glass.as_ref().map(|g| (g.capacity_ml, g.service))
            == y.glass.as_ref().map(|g| (g.capacity_ml, g.service))
        && a.evaluation.structure == b.evaluation.structure
        && a.evaluation.verdicts == b.evaluation.verdicts
        && same_figures(a, b)
        && a.drink.price == b.drink.price
        && same_words(&a.drink, &b.drink)
}

fn same_step(a: &ResolvedStep, b: &ResolvedStep) -> bool {
    match (a, b) {
        (ResolvedStep::Pour(a), ResolvedStep::Pour(b)) => {
            a.ingredient == b.ingredient
                && a.place == b.place
                && a.fills() == b.fills()
                && a.hot == b.hot
                && close(a.temperature_c, b.temperature_c)
                && close(a.usual().volume_ml, b.usual().volume_ml)
                && close(a.usual().mass_g, b.usual().mass_g)
                && close(a.some().ethanol_g(), b.some().ethanol_g())
                && close(a.some().sugar_g(), b.some().sugar_g())
        }
        (ResolvedStep::Work(a), ResolvedStep::Work(b)) => {
            (a.technique, a.seconds, &a.ice, a.freezer_ice, a.tin_c)
                == (b.technique, b.seconds, &b.ice, b.freezer_ice, b.tin_c)
        }
        (ResolvedStep::OverIce(a), ResolvedStep::OverIce(b))
        | (ResolvedStep::Ice(a), ResolvedStep::Ice(b)) => {
            (a.form, a.mass_g, a.count, a.from_freezer) == (b.form, b.mass_g, b.count, b.from_freezer)
        }
        (a, b) => std::mem::discriminant(a) == std::mem::discriminant(b),
    }
}

fn same_figures(a: &ComputedDrink, b: &ComputedDrink) -> bool {
    let alike = |a: Figure, b: Figure| {
        [(a.value, b.value), (a.low, b.low), (a.high, b.high)]
            .iter()
            .all(|pair| match pair {
                (Some(a), Some(b)) => close(*a, *b),
                (None, None) => true,
                _ => false,
            })
    };
    a.evaluation
        .figures
        .named()
        .into_iter()
        .zip(b.evaluation.figures.named())
        .all(|((_, a), (_, b))| alike(a, b))
}

/// As equal as the arithmetic of two ways to one amount lets them be.
fn close(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

/// Whether every comment, note, garnish and particular of `a` stands in `b`.
fn same_words(a: &Drink, b: &Drink) -> bool {
    let text = |drink: &Drink| {
        let mut words = String::new();
        for entry in &drink.entries {
            match entry {
                Entry::Comment(said) | Entry::Note(said) => words.push_str(said),
                Entry::Particular(_, said) => words.push_str(said),
                Entry::Step(line) => words.push_str(&line.step.to_string()),
                Entry::Blank => {}
            }
            words.push('\n');
        }
        key(&words)
    };
    let after = text(b);
    let garnishes = |drink: &Drink| drink.garnishes().count();
    let kept = |entry: &Entry| match entry {
        Entry::Comment(said) => after.contains(&key(said)),
        Entry::Particular(name, said)
            if !matches!(name.as_str(), "glass" | "each serve" | "part" | "serve") =>
        {
            b.particular(name).is_some() && after.contains(&key(said))
        }
        _ => true,
    };
    garnishes(a) == garnishes(b) && a.entries.iter().all(kept)
}

fn same_preparation(a: &Prepared, b: &Prepared) -> bool {
    let (x, y) = (&a.made, &b.made);
    x.ingredient == y.ingredient
        && close(x.yield_ml, y.yield_ml)
        && close(x.yield_g, y.yield_g)
        && x.parts == y.parts
        && x.keeps == y.keeps
        && same_words(&x.preparation, &y.preparation)
}
