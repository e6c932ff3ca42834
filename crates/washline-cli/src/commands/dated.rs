use clap::Args;
use jiff::civil;

use super::price::date;
use crate::clock;
use crate::error::CliError;

/// The day that stands on a page.
#[derive(Debug, Args)]
pub struct Dated {
    /// The day to print on the page, `2026-06-30`; without it, today.
    #[arg(long, value_name = "DATE", requires = "html")]
    today: Option<String>,
}

impl Dated {
    /// The day that is said, or today.
    pub fn day(&self) -> Result<civil::Date, CliError> {
        Ok(said(self.today.as_deref())?.unwrap_or_else(clock::today))
    }
}

/// The day that `--today` says; `None` where it says nothing.
pub fn said(today: Option<&str>) -> Result<Option<civil::Date>, CliError> {
    let of =
        |text: &str| date(text).map_err(|expected| CliError::usage(format!("--today {text}: {expected}")));
    today.map(of).transpose()
}
