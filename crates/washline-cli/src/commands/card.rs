use std::path::PathBuf;

use clap::Args;
use washline_core::computed::ComputedDrink;
use washline_core::service::card::card;
use washline_core::service::cost::drink_cost;

use super::only::Only;
use super::{Call, show};
use crate::asked::{Paper, Units};
use crate::clock;
use crate::error::CliError;
use crate::outcome::Outcome;
use crate::render::{self, card::Page};

/// A printable spec card for behind the bar: amounts, order of work, glass and washline, garnish, cautions, taste.
///
/// Markdown, or with --html a page to print: one card to an A6 page, or four to an A4 sheet to be cut. Amounts in
/// ml, in ounces as a jigger has them, or both. No figures of cost unless --cost asks for them.
///
/// Example: washline card "Platform Fog" --html --paper a6 > card.html
#[derive(Debug, Args)]
pub struct Cards {
    /// The drinks; without any, all of them.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    #[command(flatten)]
    only: Only,

    /// In which measures.
    #[arg(long, value_enum, default_value_t)]
    units: Units,

    /// A page for a browser to print, and not Markdown.
    #[arg(long)]
    html: bool,

    /// The paper, with --html.
    #[arg(long, value_enum, default_value_t, requires = "html")]
    paper: Paper,

    /// With what it costs, at today's prices.
    #[arg(long)]
    cost: bool,
}

impl Cards {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let opened = show::open(call, self.book.as_ref())?;
        let mut worked = opened.shelf.drinks()?;
        let opened = show::only_named(opened, &self.names, &mut worked, ComputedDrink::name)?;
        let left_out = self.only.keep(call, &opened.shelf, &mut worked)?;
        let on = clock::today();
        let priced = || opened.shelf.prices(call.house.as_deref(), Some(&on));
        let prices = self.cost.then(priced).transpose()?;
        let pages: Vec<Page> = worked
            .iter()
            .map(|w| Page {
                card: card(w),
                costing: prices.as_ref().map(|prices| drink_cost(w, prices)),
            })
            .collect();
        let out = if call.json {
            render::card::json(&pages, &opened.faults)
        } else if self.html {
            render::card::html(&pages, self.units, self.paper)?
        } else {
            render::card::markdown(&pages, self.units)
        };
        Ok(Outcome {
            out,
            faulty: !opened.faults.is_empty(),
            notes: opened.notes + &left_out,
            ..Outcome::default()
        })
    }
}
