//! Which drinks a command is about: the language of `find`, asked of what it has opened.

use clap::Args;
use washline_core::computed::{ComputedDrink, Faults};
use washline_core::find::{Facts, Field, Query, Told, ask};
use washline_core::spec::Source;

use super::Call;
use crate::clock;
use crate::error::CliError;
use crate::render;
use crate::shelf::Shelf;

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

    /// Leave only the drinks of which it holds. Gives what is to be said of those of which it cannot be told.
    pub fn keep(
        &self,
        call: &Call,
        shelf: &Shelf,
        drinks: &mut Vec<ComputedDrink>,
    ) -> Result<String, CliError> {
        let Some(query) = self.query(call)? else {
            return Ok(String::new());
        };
        let facts = facts(&query, call, shelf)?;
        keep(&query, &facts, call, drinks)
    }
}

/// Leave only the drinks of which it holds, by what is known of them.
pub fn keep(
    query: &Query,
    facts: &Facts,
    call: &Call,
    drinks: &mut Vec<ComputedDrink>,
) -> Result<String, CliError> {
    let told = told(drinks, query, facts, call)?;
    let notes = render::find::left_out(drinks, &told);
    let mut answers = told.into_iter();
    drinks.retain(|_| answers.next() == Some(Told::Yes));
    Ok(notes)
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
pub fn facts(query: &Query, call: &Call, shelf: &Shelf) -> Result<Facts, CliError> {
    let mut facts = Facts::default();
    if query.asks_for(Field::Cost) {
        facts = facts.with_prices(shelf.prices(call.house.as_deref(), Some(&clock::today()))?);
    }
    if let Some(house) = shelf.house()
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
