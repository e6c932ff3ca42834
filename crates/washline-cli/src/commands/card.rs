use std::path::PathBuf;

use clap::Args;
use washline_core::computed::ComputedDrink;
use washline_core::service::card::card;
use washline_core::service::cost::drink_cost;

use super::{Call, show};
use crate::asked::one_of;
use crate::clock;
use crate::error::CliError;
use crate::outcome::Outcome;
use crate::render;
use washline_pages::card::{self as pages, Page, Paper, Units};
use washline_pages::words::Choice;

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

    /// In which measures.
    #[arg(long, value_parser = one_of(Units::ALL), default_value = Units::Ml.word())]
    units: Units,

    /// A page for a browser to print, and not Markdown.
    #[arg(long)]
    html: bool,

    /// The paper, with --html.
    #[arg(long, value_parser = one_of(Paper::ALL), default_value = Paper::A6.word(), requires = "html")]
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
            pages::html(&pages, self.units, self.paper)?
        } else {
            pages::markdown(&pages, self.units)
        };
        Ok(Outcome {
            out,
            faulty: !opened.faults.is_empty(),
            notes: opened.notes,
            ..Outcome::default()
        })
    }
}
