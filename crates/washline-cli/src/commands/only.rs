//! Which drinks a command is about: the language of `find`, asked of what it has opened.

use clap::Args;
use washline_core::computed::{ComputedDrink, Faults};
use washline_core::find::{Facts, Field, Query, Told, ask};
use washline_core::spec::Source;

use super::Call;
use crate::clock;
use crate::drink_source::DrinkSource;
use crate::error::CliError;
use crate::render;

/// A part of the drinks.
#[derive(Debug, Default, Args)]
pub struct Only {
    /// Only drinks of which this holds: `"pours lime and not egg"`, `"strength < 20"`; `washline find --fields` lists
    /// what can be asked. Several must all hold.
    #[arg(long = "where", value_name = "QUESTION")]
    questions: Vec<String>,
}

impl Only {
    /// Whether anything is asked.
    pub fn is_a_part(&self) -> bool {
        !self.questions.is_empty()
    }

    /// What is asked; `None` where nothing is, and all drinks are meant.
    pub fn query(&self, call: &Call) -> Result<Option<Query>, CliError> {
        let mut all: Vec<Query> = Vec::new();
        for question in &self.questions {
            all.push(read(question, call)?);
        }
        match all.len() {
            0 | 1 => Ok(all.pop()),
            _ => {
                let each: Vec<String> = all.iter().map(|query| format!("({query})")).collect();
                read(&each.join(" and "), call).map(Some)
            }
        }
    }

    /// The drinks of which it holds, all of them where nothing is asked, and what is to be said of those of which it cannot
    /// be told. What is kept of a house rules most others out before they are worked out.
    pub fn drinks(
        &self,
        call: &Call,
        drink_source: &DrinkSource,
    ) -> Result<(Vec<ComputedDrink>, String), CliError> {
        self.drinks_that_are(call, drink_source, |_| true)
    }

    /// The same of the drinks of which something else holds too.
    pub fn drinks_that_are(
        &self,
        call: &Call,
        drink_source: &DrinkSource,
        holds: impl FnMut(&ComputedDrink) -> bool,
    ) -> Result<(Vec<ComputedDrink>, String), CliError> {
        let Some(query) = self.query(call)? else {
            let mut drinks = drink_source.drinks()?;
            let mut holds = holds;
            drinks.retain(|drink| holds(drink));
            return Ok((drinks, String::new()));
        };
        let mut asked = Asked::of(&query, &facts(&query, call, drink_source)?, call, drink_source)?;
        asked.retain(holds);
        Ok(asked.leave())
    }

    /// The drinks that have one of these full names (any, where none is given), that stand on that list, where one is named,
    /// and of which it holds; and what is to be said of those of which it cannot be told.
    pub fn drinks_of(
        &self,
        call: &Call,
        drink_source: &DrinkSource,
        names: &[String],
        list: Option<&str>,
    ) -> Result<(Vec<ComputedDrink>, String), CliError> {
        let query = self.query(call)?;
        let mut drinks = drink_source.drinks_of(names, list, query.as_ref())?;
        let Some(query) = query else {
            return Ok((drinks, String::new()));
        };
        let facts = facts(&query, call, drink_source)?;
        let answers = match ask(&drinks, &query, &facts) {
            Ok(answers) => answers,
            // What a word of the question means is told by all drinks.
            Err(_) => {
                let all = drink_source.drinks()?;
                let all = all.iter().zip(told(&all, &query, &facts, call)?);
                let is_one = |of: &ComputedDrink| {
                    drinks
                        .iter()
                        .any(|d| d.found_in == of.found_in && d.name() == of.name())
                };
                let (left, answers): (Vec<_>, Vec<_>) = all
                    .filter(|(of, _)| is_one(of))
                    .map(|(of, told)| (of.clone(), told))
                    .unzip();
                drinks = left;
                answers
            }
        };
        let notes = leave(&mut drinks, answers);
        Ok((drinks, notes))
    }

    /// Leave only the drinks of which it holds. Gives what is to be said of those of which it cannot be told.
    pub fn keep(
        &self,
        call: &Call,
        drink_source: &DrinkSource,
        drinks: &mut Vec<ComputedDrink>,
    ) -> Result<String, CliError> {
        let Some(query) = self.query(call)? else {
            return Ok(String::new());
        };
        let facts = facts(&query, call, drink_source)?;
        keep(&query, &facts, call, drinks)
    }
}

/// The drinks of a drink_source of which it holds, and what is to be said of those of which it cannot be told.
pub fn drinks(
    query: &Query,
    facts: &Facts,
    call: &Call,
    drink_source: &DrinkSource,
) -> Result<(Vec<ComputedDrink>, String), CliError> {
    Ok(Asked::of(query, facts, call, drink_source)?.leave())
}

/// Drinks that were asked, and what each said: of a house only those that are not ruled out by what is kept of them.
pub struct Asked {
    pub drinks: Vec<ComputedDrink>,
    pub told: Vec<Told>,
    /// How many drinks there are in all.
    pub all: usize,
}

impl Asked {
    pub fn of(
        query: &Query,
        facts: &Facts,
        call: &Call,
        drink_source: &DrinkSource,
    ) -> Result<Asked, CliError> {
        let (drinks, all) = drink_source.drinks_that_may(query)?;
        // What a word of the question means is told by all of them.
        let (drinks, told) = match ask(&drinks, query, facts) {
            Ok(told) => (drinks, told),
            Err(_) => {
                let drinks = drink_source.drinks()?;
                let told = told(&drinks, query, facts, call)?;
                (drinks, told)
            }
        };
        Ok(Asked { drinks, told, all })
    }

    /// Those of which something else holds too.
    pub fn retain(&mut self, mut holds: impl FnMut(&ComputedDrink) -> bool) {
        let kept: Vec<bool> = self.drinks.iter().map(&mut holds).collect();
        let (mut drinks, mut told) = (kept.iter(), kept.iter());
        self.drinks.retain(|_| drinks.next() == Some(&true));
        self.told.retain(|_| told.next() == Some(&true));
    }

    /// The drinks that say yes, and what is to be said of those that cannot tell.
    pub fn leave(mut self) -> (Vec<ComputedDrink>, String) {
        let notes = leave(&mut self.drinks, self.told);
        (self.drinks, notes)
    }
}

/// Leave only the drinks that say yes. Gives what is to be said of those that cannot tell.
fn leave(drinks: &mut Vec<ComputedDrink>, told: Vec<Told>) -> String {
    let notes = render::find::left_out(drinks, &told);
    let mut answers = told.into_iter();
    drinks.retain(|_| answers.next() == Some(Told::Yes));
    notes
}

/// Leave only the drinks of which it holds, by what is known of them.
pub fn keep(
    query: &Query,
    facts: &Facts,
    call: &Call,
    drinks: &mut Vec<ComputedDrink>,
) -> Result<String, CliError> {
    let told = told(drinks, query, facts, call)?;
    Ok(leave(drinks, told))
}

/// Read a question; its faults are shown as those of a book are.
pub fn read(question: &str, call: &Call) -> Result<Query, CliError> {
    Query::read(question)
        .map_err(|faults| refused(&faults, &Source::new(render::find::QUESTION, question), call))
}

/// Ask it of drinks.
pub fn told(
    drinks: &[ComputedDrink],
    query: &Query,
    facts: &Facts,
    call: &Call,
) -> Result<Vec<Told>, CliError> {
    ask(drinks, query, facts).map_err(|faults| refused(&faults, query.source(), call))
}

/// What a question asks for beside the drinks themselves.
pub fn facts(query: &Query, call: &Call, drink_source: &DrinkSource) -> Result<Facts, CliError> {
    let mut facts = Facts::default();
    if query.asks_for(Field::Cost) {
        facts = facts.with_prices(drink_source.prices(call.house.as_deref(), Some(clock::today()))?);
    }
    if let Some(house) = drink_source.house()
        && (query.asks_for(Field::Tasted) || query.asks_for(Field::Changed))
    {
        facts = facts.with_kept(house.kept()?);
    }
    Ok(facts)
}

fn refused(faults: &Faults, source: &Source, call: &Call) -> CliError {
    if call.json {
        return CliError::usage(faults.to_string());
    }
    CliError::usage("the question does not read")
        .after(render::faults(&faults.0, std::slice::from_ref(source)))
        .hint("`washline find --fields` lists what can be asked")
}
