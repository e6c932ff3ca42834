use std::path::PathBuf;

use clap::Args;
use washline_core::service::cost::{Costing, drink_cost};

use super::Call;
use super::dated::said;
use super::only::Only;
use crate::clock;
use crate::drink_source::Found;
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::output::Output;
use crate::render;
use washline_core::spec::{Fault, Source};
use washline_pages::report::{self, Content, Unread};

/// The whole list as one page to look at, on a screen or on paper, for a tasting or a talk.
///
/// A map of sweet against tart, a strength ladder, and every drink with its place in its range.
///
/// The page is one file: it asks for nothing from elsewhere, and needs no script. Writes over an earlier page of
/// its own where all drinks were read, and over nothing else unless --replace says so.
///
/// Example: washline report menu.html fixtures/books/lantern-halt.md
#[derive(Debug, Args)]
pub struct Reports {
    /// The page to write; `-` for standard output.
    #[arg(value_name = "FILE.html")]
    page: PathBuf,

    /// Books to show; `-` for standard input. Without any, the house.
    #[arg(value_name = "FILE")]
    files: Vec<PathBuf>,

    #[command(flatten)]
    only: Only,

    /// With what each drink costs, at the latest prices, or those of --today.
    #[arg(long)]
    cost: bool,

    /// The day to print on the page, `2026-06-30`; without it, today.
    #[arg(long, value_name = "DATE")]
    today: Option<String>,

    /// Write over a file that is there, whatever it is.
    #[arg(long)]
    replace: bool,
}

impl Reports {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let said = said(self.today.as_deref())?;
        let to_screen = self.page.as_os_str() == "-";
        if !to_screen {
            files::check_page(&self.page).map_err(|error| {
                error.hint("the page comes first, then the books: washline report menu.html BOOK.md")
            })?;
        }
        let Found {
            mut drink_source,
            mut faults,
            sources,
        } = Found::open(call.house.as_deref(), &self.files)?;
        faults.extend(drink_source.refresh()?);
        let unread = unread(&faults, &sources);
        let (reports, left_out) = self.only.drinks(call, &drink_source)?;
        let costings = if self.cost {
            let prices = drink_source.prices(call.house.as_deref(), said)?;
            Some(
                reports
                    .iter()
                    .map(|w| drink_cost(w, &prices))
                    .collect::<Vec<Costing>>(),
            )
        } else {
            None
        };
        let html = report::html(&Content {
            reports: &reports,
            costings: costings.as_deref(),
            unread: &unread,
            today: Some(said.unwrap_or_else(clock::today)),
        })?;
        let mut output = Output {
            faulty: !faults.is_empty(),
            notes: left_out,
            ..Output::default()
        };
        if !call.json {
            output.notes.push_str(&render::faults(&faults, &sources));
        }
        if to_screen {
            if call.json {
                return Err(CliError::usage(
                    "the page goes to standard output: --json has no room there",
                ));
            }
            output.out = html;
            return Ok(output);
        }
        self.check_all_read(&unread)?;
        let kept = Kept::new(call.house.as_deref(), drink_source.house(), &self.files)?;
        files::put_page(&self.page, &html, self.replace, &kept)?;
        let file = self.page.display().to_string();
        output.out = if call.json {
            render::written(&washline_view::files::Reported::of(
                &file,
                reports.len(),
                html.len(),
                &faults,
            ))
        } else {
            render::report::written(&file, reports.len())
        };
        Ok(output)
    }

    /// Whether every drink was read, where a page is there: a good page is not written over by a part of it.
    fn check_all_read(&self, unread: &[Unread]) -> Result<(), CliError> {
        if unread.is_empty() || self.replace || !self.page.exists() {
            return Ok(());
        }
        let error = CliError::input(format!(
            "{}: left as it is, for not everything was read",
            self.page.display()
        ));
        let error = unread
            .iter()
            .fold(error, |error, one| error.hint(one.to_string()));
        Err(error.hint("put them right, name another file, or write over it with --replace"))
    }
}

/// What of the books is not on the page: a drink once, with the first thing that is wrong with it.
fn unread(faults: &[Fault], sources: &[Source]) -> Vec<Unread> {
    let mut all: Vec<Unread> = Vec::new();
    for fault in faults {
        let source = sources.iter().find(|s| s.file == fault.file);
        let drink = source.and_then(|s| s.heading_of(fault.line)).unwrap_or_default();
        let known = all
            .iter_mut()
            .find(|one| !drink.is_empty() && one.drink == drink && one.file == fault.file);
        match known {
            Some(one) => one.more += 1,
            None => all.push(Unread {
                drink: drink.to_owned(),
                file: fault.file.clone(),
                line: fault.line,
                message: fault.message.clone(),
                more: 0,
            }),
        }
    }
    all
}
