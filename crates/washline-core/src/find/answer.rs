//! What a question comes to, drink by drink: yes, no, or not to be told.

use crate::names::Expected;
use std::borrow::Cow;

use jiff::civil::Date;

use super::listed::{self, Allergen, Stands};
use super::poured::Wanted;
use super::words::Phrase;
use super::{Ask, Comparison, Facts, Field, Is, Limit, LimitUnit, Query, Test};
use crate::balance::Palate;
use crate::computed::{ComputedDrink, Faults};
use crate::names::{key, nearest};
use crate::service::comparison::FigureFacts;
use crate::service::cost::drink_cost;
use crate::service::label::{Energy, label};
use crate::spec::{Entry, Fault, Money, Unplaced};
use crate::tables::{Family, Structure, day};

/// What was told of one drink.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Told {
    /// It is one of those asked for.
    Yes,
    /// It is not.
    No,
    /// It cannot be told, and why: what is not known of it.
    Unknown(Vec<String>),
}

/// The drinks that were asked for.
#[derive(Clone, Debug)]
pub struct Found<'a> {
    /// Those of which it holds, in their order.
    pub drinks: Vec<&'a ComputedDrink>,
    /// Those of which it cannot be told.
    pub untold: Vec<Untold<'a>>,
}

/// A drink of which a question cannot be told.
#[derive(Clone, Debug)]
pub struct Untold<'a> {
    /// The drink.
    pub drink: &'a ComputedDrink,
    /// What is not known of it.
    pub why: Vec<String>,
}

/// Find drinks by what their texts tell.
///
/// # Errors
/// Names in the question that nothing is called by.
pub fn find<'a>(drinks: &'a [ComputedDrink], query: &Query) -> Result<Found<'a>, Faults> {
    find_with(drinks, query, &Facts::default())
}

/// Find drinks by what their texts tell and what is known beside them.
///
/// # Errors
/// Names in the question that nothing is called by.
pub fn find_with<'a>(drinks: &'a [ComputedDrink], query: &Query, facts: &Facts) -> Result<Found<'a>, Faults> {
    let mut found = Found {
        drinks: Vec::new(),
        untold: Vec::new(),
    };
    for (drink, told) in drinks.iter().zip(ask(drinks, query, facts)?) {
        match told {
            Told::Yes => found.drinks.push(drink),
            Told::No => {}
            Told::Unknown(why) => found.untold.push(Untold { drink, why }),
        }
    }
    Ok(found)
}

/// Ask a question of drinks: an answer for each, in their order.
///
/// # Errors
/// Names in the question that nothing is called by.
pub fn ask(drinks: &[ComputedDrink], query: &Query, facts: &Facts) -> Result<Vec<Told>, Faults> {
    let mut faults: Vec<Fault> = Vec::new();
    let check = Check::of(query.ask(), drinks, &mut |wrong: Unplaced| {
        faults.push(wrong.at(query.source()))
    });
    if !faults.is_empty() {
        return Err(Faults(faults));
    }
    let answer = |drink| {
        let mut why = Vec::new();
        match check.answer(drink, facts, &mut why) {
            Some(true) => Told::Yes,
            Some(false) => Told::No,
            None => Told::Unknown(why),
        }
    };
    Ok(drinks.iter().map(answer).collect())
}

/// A question made ready to be asked of drink after drink.
enum Check<'q> {
    Not(Box<Check<'q>>),
    All(Vec<Check<'q>>),
    Any(Vec<Check<'q>>),
    Words(Field, Phrase),
    Has(Field),
    Pours(Wanted),
    Uses(Wanted),
    Contains(&'static Allergen),
    Structure(Vec<Structure>),
    Family(Family),
    Stands(Stands),
    On(Vec<String>),
    Tasted(Vec<Palate>, Phrase),
    Changed {
        from: Option<Date>,
        before: Option<Date>,
    },
    Number(Field, &'q Is),
}

/// A fault of a test.
type Say<'a> = &'a mut dyn FnMut(Unplaced);

impl<'q> Check<'q> {
    fn of(ask: &'q Ask, drinks: &[ComputedDrink], say: Say<'_>) -> Check<'q> {
        let mut each = |parts: &'q [Ask]| {
            parts
                .iter()
                .map(|part| Check::of(part, drinks, &mut *say))
                .collect()
        };
        match ask {
            Ask::Test(test) => Check::of_test(test, drinks, say),
            Ask::Not(ask) => Check::Not(Box::new(Check::of(ask, drinks, say))),
            Ask::All(parts) => Check::All(each(parts)),
            Ask::Any(parts) => Check::Any(each(parts)),
        }
    }

    fn of_test(test: &'q Test, drinks: &[ComputedDrink], say: Say<'_>) -> Check<'q> {
        let field = test.field;
        let said = match &test.is {
            Is::Said(said) => said.as_str(),
            Is::Any => return Check::Has(field),
            Is::Since(day) => {
                return Check::Changed {
                    from: Some(*day),
                    before: None,
                };
            }
            Is::Before(day) => {
                return Check::Changed {
                    from: None,
                    before: Some(*day),
                };
            }
            Is::Compared(..) | Is::Between(..) => return Check::Number(field, &test.is),
        };
        let wanted = |say: Say<'_>| {
            let wanted = Wanted::new(said);
            if !wanted.means_something(drinks) {
                let message = format!("nothing is called `{said}`: neither an ingredient nor a kind of one");
                say(Unplaced::reject(test.span.clone(), message).with(wanted.nearest(drinks)));
            }
            wanted
        };
        // What is on no list was told when the question was read.
        let none = Check::Any(Vec::new());
        match field {
            Field::Pours => Check::Pours(wanted(say)),
            Field::Uses => Check::Uses(wanted(say)),
            Field::Contains => listed::allergen_named(said).map_or(none, Check::Contains),
            Field::Structure => listed::structures(said).map_or(none, Check::Structure),
            Field::Family => listed::family(said).map_or(none, Check::Family),
            Field::Verdict => listed::stands(said).map_or(none, Check::Stands),
            Field::On => Check::On(titles(test, said, drinks, say)),
            Field::Tasted => Check::Tasted(Palate::read(said).unwrap_or_default(), Phrase::new(said)),
            _ => Check::Words(field, Phrase::new(said)),
        }
    }

    /// Whether it holds of a drink; `None` where that cannot be told, with why.
    fn answer(&self, drink: &ComputedDrink, facts: &Facts, why: &mut Vec<String>) -> Option<bool> {
        let mut untold = |reason: String| {
            if !why.contains(&reason) {
                why.push(reason);
            }
            None
        };
        match self {
            Check::Not(check) => check.answer(drink, facts, why).map(|holds| !holds),
            Check::All(parts) => {
                let told: Vec<_> = parts.iter().map(|part| part.answer(drink, facts, why)).collect();
                if told.contains(&Some(false)) {
                    return Some(false);
                }
                (!told.contains(&None)).then_some(true)
            }
            Check::Any(parts) => {
                let told: Vec<_> = parts.iter().map(|part| part.answer(drink, facts, why)).collect();
                if told.contains(&Some(true)) {
                    return Some(true);
                }
                (!told.contains(&None)).then_some(false)
            }
            // A tag is a word of its own.
            Check::Words(Field::Tag, phrase) => Some(drink.tags().into_iter().any(|tag| phrase.is(tag))),
            Check::Words(field, phrase) => Some(texts(*field, drink).any(|text| phrase.is_in(&text))),
            Check::Has(Field::Tasted) => match facts.kept(&drink.found_in.book, drink.name()) {
                Some(kept) => Some(kept.tasted.is_some()),
                None => untold(NO_TASTINGS.to_owned()),
            },
            Check::Has(field) => Some(texts(*field, drink).next().is_some()),
            Check::Pours(wanted) => Some(wanted.is_poured(drink)),
            Check::Uses(wanted) => Some(wanted.is_poured(drink) || wanted.garnishes(drink)),
            Check::Contains(allergen) => match allergen.in_label(&label(drink, None)) {
                Ok(contains) => Some(contains),
                Err(reason) => untold(reason.into()),
            },
            Check::Structure(all) => Some(drink.evaluation.structure.is_some_and(|s| all.contains(&s))),
            Check::Family(family) => Some(
                drink
                    .evaluation
                    .placed
                    .as_ref()
                    .is_some_and(|p| p.family == *family),
            ),
            Check::Stands(stands) => Some(stands.holds(&drink.evaluation)),
            Check::On(titles) => Some(drink.found_in.lists().any(|list| titles.contains(&key(list)))),
            Check::Tasted(palates, phrase) => match facts.kept(&drink.found_in.book, drink.name()) {
                Some(kept) => Some(kept.tasted.as_ref().is_some_and(|(verdict, note)| {
                    palates.iter().all(|palate| verdict.contains(palate))
                        || verdict
                            .iter()
                            .any(|palate| matches!(palate, Palate::Other(words) if phrase.is_in(words)))
                        || phrase.is_in(note)
                })),
                None => untold(NO_TASTINGS.to_owned()),
            },
            Check::Changed { from, before } => {
                let kept = facts.kept(&drink.found_in.book, drink.name());
                match kept.and_then(|kept| day(kept.changed.get(..10)?)) {
                    Some(day) => {
                        Some(from.is_none_or(|from| day >= from) && before.is_none_or(|before| day < before))
                    }
                    None if kept.is_some() => untold("nobody said when it was kept".to_owned()),
                    None => untold("a book keeps no days; the house does".to_owned()),
                }
            }
            Check::Number(field, is) => match number(*field, is, drink, facts) {
                Ok(holds) => Some(holds),
                Err(reason) => untold(reason.into()),
            },
        }
    }
}

/// Why nothing can be told of tastings where no house is asked.
const NO_TASTINGS: &str = "a book keeps no tastings; the house does";

/// The titles, folded, that words call: the one so called, else those that the words stand in.
fn titles(test: &Test, said: &str, drinks: &[ComputedDrink], say: Say<'_>) -> Vec<String> {
    let mut all: Vec<&str> = Vec::new();
    for list in drinks.iter().flat_map(|d| d.found_in.lists()) {
        if !all.contains(&list) {
            all.push(list);
        }
    }
    let wanted = key(said);
    if all.iter().any(|title| key(title) == wanted) {
        return vec![wanted];
    }
    let phrase = Phrase::new(said);
    let found: Vec<String> = all.iter().filter(|t| phrase.is_in(t)).map(|t| key(t)).collect();
    if found.is_empty() && !all.is_empty() {
        let near = nearest(said, all.iter().map(|t| (*t, *t)), 3);
        let message = format!("no list is called `{said}`; the lists here: {}", shortly(&all));
        let message = if near.is_empty() {
            message
        } else {
            format!("no list is called `{said}`")
        };
        say(Unplaced::reject(test.span.clone(), message).with(near));
    }
    found
}

/// A few names, and how many more.
fn shortly(all: &[&str]) -> String {
    const SHOWN: usize = 5;
    let more = all.len().saturating_sub(SHOWN);
    let shown = all[..all.len().min(SHOWN)].join("; ");
    if more > 0 {
        format!("{shown} and {more} more")
    } else {
        shown
    }
}

/// The texts of a drink that words of a field are looked for in.
fn texts(field: Field, drink: &ComputedDrink) -> Box<dyn Iterator<Item = Cow<'_, str>> + '_> {
    let name = || std::iter::once(Cow::Borrowed(drink.name()));
    let garnish = || drink.drink.garnishes().map(Cow::Borrowed);
    let notes = || {
        drink.drink.entries.iter().filter_map(|entry| match entry {
            Entry::Note(words) => Some(Cow::Borrowed(words.as_str())),
            Entry::Particular(key, words) if key == "note" => Some(Cow::Borrowed(words.as_str())),
            _ => None,
        })
    };
    match field {
        Field::Name => Box::new(name()),
        Field::Garnish => Box::new(garnish()),
        Field::Note => Box::new(notes()),
        Field::Season => Box::new(drink.seasons().into_iter().map(Cow::Borrowed)),
        Field::Tag => Box::new(drink.tags().into_iter().map(Cow::Borrowed)),
        Field::Glass => Box::new(
            drink
                .drink
                .glass
                .iter()
                .map(|glass| Cow::Borrowed(glass.name.as_str())),
        ),
        _ => Box::new(name().chain(notes()).chain(garnish())),
    }
}

/// Whether a number is as a question asks; `Err` says why it cannot be told.
fn number(field: Field, is: &Is, drink: &ComputedDrink, facts: &Facts) -> Result<bool, Expected> {
    let money = |limit: &Limit, paid: &Money, compare: Comparison| match (limit.unit, paid.currency) {
        (Some(LimitUnit::Money(asked)), Some(own)) if asked != own => {
            Err(Expected::new(format!("its money is {own}")))
        }
        (Some(LimitUnit::Money(asked)), None) => {
            Err(Expected::new(format!("nothing says that its money is {asked}")))
        }
        _ => Ok(compare.holds(paid.amount, limit.number)),
    };
    let each = |holds: &dyn Fn(&Limit, Comparison) -> Result<bool, Expected>| match is {
        Is::Compared(comparison, limit) => holds(limit, *comparison),
        Is::Between(low, high) => Ok(holds(low, Comparison::From)? && holds(high, Comparison::UpTo)?),
        _ => Ok(false),
    };
    match field {
        Field::Price => {
            let own = drink.drink.price.as_ref().ok_or("no price on it")?;
            let currency = own.currency.or(drink.context.settings.currency);
            let paid = Money {
                amount: own.amount,
                currency,
            };
            each(&|limit, compare| money(limit, &paid, compare))
        }
        Field::Cost => {
            let prices = facts.prices.as_ref().ok_or("no prices at hand")?;
            let costing = drink_cost(drink, prices);
            let paid = Money {
                amount: costing.rounded(costing.cost.value),
                currency: costing.currency,
            };
            if costing.is_complete() {
                return each(&|limit, compare| money(limit, &paid, compare));
            }
            // It costs at least what is priced of it.
            let unpriced: Vec<&str> = costing.unpriced().map(|(line, _)| line.name.as_str()).collect();
            let reason = Expected::from(format!("not priced: {}", shortly(&unpriced)));
            each(&|limit, compare| {
                let beyond = costing.has_any_price() && money(limit, &paid, Comparison::Above)?;
                match compare {
                    Comparison::Below | Comparison::UpTo | Comparison::Is if beyond => Ok(false),
                    Comparison::Above | Comparison::From if beyond => Ok(true),
                    _ => Err(reason.clone()),
                }
            })
        }
        Field::Figure(facts) => each(&|limit, compare| figure(facts, limit, compare, drink)),
        _ => Ok(false),
    }
}

/// A figure beside a limit, both as the figure is printed.
fn figure(
    facts: &FigureFacts,
    limit: &Limit,
    compare: Comparison,
    drink: &ComputedDrink,
) -> Result<bool, Expected> {
    let kcal = limit.unit == Some(LimitUnit::Kilocalories);
    let value = if kcal {
        Some(Energy::of(&drink.built.glass).kcal)
    } else {
        drink.evaluation.figures.get(facts.which).value
    };
    let value = value.ok_or_else(|| format!("it has no {}", facts.word))?;
    let scale = 10_f64.powi(i32::from(facts.decimals));
    Ok(compare.holds((value * scale).round() / scale, limit.of(drink)))
}
