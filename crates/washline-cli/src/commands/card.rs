use std::path::PathBuf;

use clap::Args;
use washline_core::computed::ComputedDrink;
use washline_core::service::card::card;
use washline_core::service::cost::drink_cost;
use washline_core::service::mise::mise;
use washline_core::spec::Fault;

use super::dated::Dated;
use super::only::Only;
use super::{Call, show};
use crate::asked::one_of;
use crate::error::CliError;
use crate::output::Output;
use crate::render;
use washline_pages::card::{self as pages, Page, Paper, Units};
use washline_pages::mise as ready_pages;
use washline_pages::tasting;
use washline_pages::words::Choice;
use washline_view::remedy;

/// A printable spec card for behind the bar: amounts, order of work, glass and washline, garnish, cautions, taste.
///
/// Markdown, or with --html a page to print: one card to an A6 or A5 page, or four to an A4 or Letter sheet to be cut.
/// Amounts in ml, in ounces as a jigger has them, or both. A preparation has a card too: what it makes, how long it keeps,
/// its Brix. No figures of cost unless --cost asks for them.
///
/// Example: washline card "Platform Fog" --html --paper a6 > card.html
#[derive(Debug, Args)]
pub struct Cards {
    /// The drinks and preparations; without any, all of them.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    #[command(flatten)]
    only: Only,

    /// In which measures.
    #[arg(long, value_parser = one_of(Units::ALL), default_value = Units::Ml.word())]
    units: Units,

    /// A page for a browser to print, and not Markdown.
    #[arg(long)]
    html: bool,

    /// The paper, with --html.
    #[arg(long, value_parser = one_of(Paper::ALL), default_value = Paper::A6.word(), requires = "html")]
    paper: Paper,

    #[command(flatten)]
    dated: Dated,

    /// With what it costs, at today's prices.
    #[arg(long)]
    cost: bool,

    /// In the place of cards one list of what to have ready for these drinks: preparations, juices, garnishes, ice, glasses.
    #[arg(long, conflicts_with_all = ["cost", "units", "paper"])]
    mise: bool,

    /// In the place of cards a sheet to carry to a tasting: room for what the palate says of each drink, which
    /// `washline taste` takes back.
    #[arg(long, conflicts_with_all = ["cost", "units", "paper", "mise", "json"])]
    tasting: bool,
}

impl Cards {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let opened = show::open(call, self.book.as_ref())?;
        let (mut drinks, mut made, mut left_out) = (Vec::new(), Vec::new(), String::new());
        if self.names.is_empty() {
            (drinks, left_out) = self.only.drinks(call, &opened.drink_source)?;
            made = opened.drink_source.preparations()?;
        }
        for name in &self.names {
            let (these, those) = (
                opened.drink_source.drinks_named(name)?,
                opened.drink_source.preparations_named(name)?,
            );
            if these.is_empty() && those.is_empty() {
                return Err(show::unknown(opened, name)?);
            }
            drinks.extend(these);
            made.extend(those);
        }
        if !self.names.is_empty() {
            left_out = self.only.keep(call, &opened.drink_source, &mut drinks)?;
        }
        if self.only.is_a_part() {
            // A question is asked of drinks.
            made.clear();
        }
        let on = self.dated.day()?;
        let mut output = Output {
            faulty: !opened.faults.is_empty(),
            notes: opened.notes.clone() + &left_out,
            ..Output::default()
        };
        if self.tasting {
            output.out = if self.html {
                tasting::html(&drinks, remedy::TASTE, on)?
            } else {
                tasting::markdown(&drinks, remedy::TASTE)
            };
            return Ok(output);
        }
        if self.mise {
            let ready = mise(&drinks);
            let titles: Vec<&str> = drinks.iter().map(|d| d.found_in.book.as_str()).collect();
            output.out = if call.json {
                render::written(&washline_view::card::Mise::of(&ready, &opened.faults))
            } else if self.html {
                ready_pages::html(&titles, &ready, on)?
            } else {
                ready_pages::markdown(&titles, &ready)
            };
            return Ok(output);
        }
        let priced = || opened.drink_source.prices(call.house.as_deref(), Some(on));
        let prices = self.cost.then(priced).transpose()?;
        let of_drink = |drink: &ComputedDrink| Page::Drink {
            card: Box::new(card(drink)),
            costing: prices.as_ref().map(|prices| Box::new(drink_cost(drink, prices))),
        };
        let pages: Vec<Page> = drinks
            .iter()
            .map(of_drink)
            .chain(made.into_iter().map(|m| Page::Preparation(Box::new(m))))
            .collect();
        if !call.json {
            for page in &pages {
                if let Page::Drink { card, .. } = page
                    && let Some(misfit) = &card.misfit
                {
                    output
                        .notes
                        .push_str(&render::plain(&format!("{}: {misfit}\n", card.name)));
                }
            }
        }
        output.out = if call.json {
            render::written(&of_pages(&pages, &opened.faults))
        } else if self.html {
            pages::html(&pages, self.units, self.paper, on)?
        } else {
            pages::markdown(&pages, self.units)
        };
        Ok(output)
    }
}

/// Cards for programs, those of drinks and those of preparations apart.
fn of_pages<'a>(all: &'a [Page], faults: &'a [Fault]) -> washline_view::card::Cards<'a> {
    let (mut cards, mut preparations) = (Vec::new(), Vec::new());
    for page in all {
        match page {
            Page::Drink { card, costing } => {
                cards.push((card.as_ref(), costing.as_ref().map(|c| pages::cost(c))));
            }
            Page::Preparation(prepared) => preparations.push(prepared.as_ref()),
        }
    }
    washline_view::card::Cards::of(cards, preparations, faults)
}
