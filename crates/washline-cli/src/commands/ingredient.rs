use clap::{Args, Subcommand};
use washline_core::ingredient::{
    Convention, Defined, Found, Ingredient as Known, Origin, Stock, as_kind, library,
};
use washline_core::names::key;

use super::{Call, price};
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::{self, plain};
use washline_view::ingredient::Ingredients;

/// What the house pours, what is in it, and who says so.
#[derive(Debug, Subcommand)]
pub enum Ingredient {
    /// List what there is to pour: the reference library, over it the house's own, and what its books make.
    ///
    /// Example: washline ingredient list vermouth
    List {
        /// Only names, kinds or groups with this in them.
        #[arg(value_name = "WORD")]
        word: Option<String>,
        /// Only the house's own.
        #[arg(long)]
        own: bool,
    },
    /// Every value of one ingredient with its span, source and status.
    ///
    /// Example: washline ingredient show "lime juice"
    Show {
        /// The ingredient, by name or alias.
        name: String,
    },
    /// Add an ingredient from its label or a measurement.
    ///
    /// Example: washline ingredient add "smoked plum liqueur" --strength 20 --sugar 240 --source label
    Add {
        /// Its name, generic: no brand.
        name: String,
        #[command(flatten)]
        figures: Figures,
    },
    /// Set figures of an ingredient that is known; every drink that pours it is worked out anew.
    ///
    /// Example: washline ingredient set "lime juice" --acid 56 --source "titration, 3 November"
    Set {
        /// The ingredient, by name or alias.
        name: String,
        #[command(flatten)]
        figures: Figures,
    },
    Price(Box<price::Prices>),
}

/// What a label or an instrument says.
#[derive(Debug, Args)]
pub struct Figures {
    /// Alcoholic strength, % vol.
    #[arg(long, value_name = "PCT", alias = "abv")]
    strength: Option<String>,
    /// Sugar, g/L.
    #[arg(long, value_name = "G_PER_L")]
    sugar: Option<String>,
    /// Sugar by refractometer, °Bx (g per 100 g); only where there is no alcohol.
    #[arg(long, value_name = "DEGREES")]
    brix: Option<String>,
    /// Titratable acid as citric, g/L.
    #[arg(long, value_name = "G_PER_L")]
    acid: Option<String>,
    /// Density at 20 °C, g/ml: with the strength it tells the sugar.
    #[arg(long, value_name = "G_PER_ML")]
    density: Option<String>,
    /// What sort of thing it is: liqueur, juice, syrup, egg …
    #[arg(long)]
    kind: Option<String>,
    /// Allergens of the European list, `;` between them; `none` where there are none. Without it: unknown.
    #[arg(long, value_name = "WORDS")]
    allergens: Option<String>,
    /// Whether it fizzes.
    #[arg(long, value_name = "YES_OR_NO")]
    carbonated: Option<String>,
    /// Another name for it.
    #[arg(long, value_name = "NAME")]
    also: Vec<String>,
    /// Who says so: `label`, `refractometer, 3 March`, … It is kept with every value.
    #[arg(long, value_name = "WORDS")]
    source: String,
}

impl Figures {
    fn defined(&self) -> Result<Defined, CliError> {
        let mut defined = Defined::default();
        let given = [
            ("strength", &self.strength),
            ("sugar", &self.sugar),
            ("brix", &self.brix),
            ("acid", &self.acid),
            ("density", &self.density),
            ("kind", &self.kind),
            ("allergens", &self.allergens),
            ("carbonated", &self.carbonated),
        ];
        let source = Some(self.source.clone()).filter(|s| !s.trim().is_empty());
        for (name, value) in given.into_iter().chain([("source", &source)]) {
            if let Some(value) = value {
                defined
                    .set(name, value)
                    .map_err(|expected| CliError::usage(format!("--{name} {value}: {expected}")))?;
            }
        }
        for also in &self.also {
            defined.set("also", also).map_err(CliError::usage)?;
        }
        Ok(defined)
    }
}

impl Ingredient {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        match self {
            Ingredient::List { word, own } => list(call, word.as_deref(), own),
            Ingredient::Show { name } => show(call, &name),
            Ingredient::Price(command) => command.run(call),
            Ingredient::Add { name, figures } => {
                let defined = figures.defined()?;
                let made = defined
                    .ingredient(name.trim(), Origin::House)
                    .map_err(|why| CliError::usage(format!("{name}: {why}")))?;
                if key(&made.name).is_empty() {
                    return Err(CliError::usage("an ingredient needs a name"));
                }
                let stock = stock(call)?;
                if let Some(known) = stock.get(&name) {
                    return Err(CliError::input(format!(
                        "`{name}` is known already{}",
                        if key(&known.name) == key(&name) {
                            String::new()
                        } else {
                            format!(": it is {}", known.name)
                        }
                    ))
                    .hint(format!(
                        "washline ingredient set \"{}\" … sets its figures",
                        known.name
                    )));
                }
                keep(call, &made)
            }
            Ingredient::Set { name, figures } => {
                let defined = figures.defined()?;
                let stock = stock(call)?;
                let known = find(&stock, &name)?;
                let made = defined
                    .amend(known, Convention::Handbook)
                    .map_err(|why| CliError::usage(format!("{name}: {why}")))?;
                keep(call, &made)
            }
        }
    }
}

/// The stock of the house, or of the library alone where there is no house yet.
fn stock(call: &Call) -> Result<Stock, CliError> {
    Ok(match inputs::if_any(call.house.as_deref())? {
        Some(house) => house.pantry()?,
        None => library().clone(),
    })
}

/// The stock, and what the books of the house define or make for themselves.
fn stock_and_of_books(call: &Call) -> Result<(Stock, Vec<Known>), CliError> {
    let Some(house) = inputs::if_any(call.house.as_deref())? else {
        return Ok((library().clone(), Vec::new()));
    };
    let of_books = house.book_ingredients()?;
    Ok((
        house.pantry()?,
        of_books.into_iter().map(|(_, ingredient)| ingredient).collect(),
    ))
}

fn find<'a>(stock: &'a Stock, name: &str) -> Result<&'a Known, CliError> {
    match stock.find(name) {
        Found::Sure(ingredient) | Found::Taken(ingredient, _) => Ok(ingredient),
        Found::Ask(candidates, why) => Err(CliError::input(format!(
            "`{name}` could be {}: {why}",
            candidates.join(" or ")
        ))),
        Found::Unknown => Err(CliError::input(format!("no ingredient `{name}`"))
            .near(&stock.nearest(name))
            .hint(format!(
                "washline ingredient add \"{name}\" --strength … --sugar … --source label defines it"
            ))),
    }
}

fn keep(call: &Call, made: &Known) -> Result<Output, CliError> {
    let mut output = Output::default();
    let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
    house.refresh()?;
    house.keep_ingredient(made)?;
    let refreshed = house.refresh()?;
    if call.json {
        output.out = render::written(&Ingredients::of([made], Some(&refreshed)));
        return Ok(output);
    }
    output.out = render::ingredient(made);
    output.notes.push_str(&render::faults(&refreshed.broken, &[]));
    output.out.push_str(&render::worked_out_anew(&refreshed));
    Ok(output)
}

fn list(call: &Call, word: Option<&str>, own: bool) -> Result<Output, CliError> {
    let (stock, of_books) = stock_and_of_books(call)?;
    let wanted = word.map(key);
    let chosen: Vec<&Known> = stock
        .iter()
        .filter(|i| !own || i.origin == Origin::House)
        .chain(&of_books)
        .filter(|i| {
            wanted.as_ref().is_none_or(|w| {
                [i.name.as_str(), i.kind.word()]
                    .into_iter()
                    .chain(i.groups.iter().chain(&i.aliases).map(String::as_str))
                    .any(|text| key(text).contains(w.as_str()))
            })
        })
        .collect();
    let out = if call.json {
        render::written(&Ingredients::of(chosen.iter().copied(), None))
    } else {
        render::ingredients(&chosen)
    };
    Ok(Output::of(out))
}

fn show(call: &Call, name: &str) -> Result<Output, CliError> {
    let (stock, mut of_books) = stock_and_of_books(call)?;
    let found = stock.find(name);
    let mut output = Output::default();
    // What a book defines or makes for itself, where the house knows nothing else of that name for sure.
    of_books.retain(|i| key(&i.name) == key(name) || i.aliases.iter().any(|alias| key(alias) == key(name)));
    if !matches!(found, Found::Sure(_)) && !of_books.is_empty() {
        output.out = if call.json {
            render::written(&Ingredients::of(&of_books, None))
        } else {
            of_books.iter().map(render::ingredient).collect()
        };
        return Ok(output);
    }
    if let Found::Taken(_, said) = &found {
        output.notes = format!("{}: {}\n", plain(name), plain(said));
    }
    let by_kind = match found {
        Found::Unknown => as_kind(&stock, name),
        _ => None,
    };
    let ingredient = match &by_kind {
        Some(answer) => {
            output.notes = format!("{}\n", plain(&answer.said));
            &answer.ingredient
        }
        None => find(&stock, name)?,
    };
    output.out = if call.json {
        render::written(&Ingredients::of([ingredient], None))
    } else {
        render::ingredient(ingredient)
    };
    Ok(output)
}
