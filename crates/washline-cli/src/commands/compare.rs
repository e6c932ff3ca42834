use std::path::PathBuf;

use clap::{Args, ValueEnum};
use washline_core::names::key;
use washline_core::store::DrinkReport;

use super::{Call, show};
use crate::Outcome;
use crate::error::CliError;
use crate::render::{self, json};

/// House drinks side by side, sorted by any figure.
///
/// Example: washline compare --by tartness
#[derive(Debug, Args)]
pub struct Compare {
    /// The drinks to compare; without any, all of them.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// What to sort by, the most first.
    #[arg(long, value_enum, default_value_t)]
    by: By,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

/// A figure to sort by.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum By {
    /// Alcoholic strength in the glass.
    #[default]
    Strength,
    /// Sugar in the glass.
    Sweetness,
    /// Acid in the glass.
    Tartness,
    /// Volume in the glass.
    Volume,
    /// Ethanol.
    Alcohol,
    /// Energy.
    Energy,
    /// Name.
    Name,
}

impl By {
    fn of(self, report: &DrinkReport) -> f64 {
        let figures = &report.evaluation.figures;
        let figure = match self {
            By::Strength => figures.abv_pct,
            By::Sweetness => figures.sugar_g_per_100ml,
            By::Tartness => figures.acid_g_per_100ml,
            By::Volume => figures.volume_ml,
            By::Alcohol => figures.ethanol_g,
            By::Energy => figures.energy_kj,
            By::Name => return 0.0,
        };
        figure.value.unwrap_or(f64::NEG_INFINITY)
    }
}

impl Compare {
    pub fn run(self, call: &Call) -> Result<Outcome, CliError> {
        let mut opened = show::open(call, self.book.as_ref())?;
        let mut reports = opened.house.reports()?;
        if !self.names.is_empty() {
            let wanted: Vec<String> = self.names.iter().map(|n| key(n)).collect();
            for (name, wanted) in self.names.iter().zip(&wanted) {
                if !reports.iter().any(|r| key(&r.name) == *wanted) {
                    return Err(show::unknown(opened, name)?);
                }
            }
            reports.retain(|r| wanted.contains(&key(&r.name)));
        }
        reports.sort_by(|a, b| {
            self.by
                .of(b)
                .total_cmp(&self.by.of(a))
                .then_with(|| key(&a.name).cmp(&key(&b.name)))
        });
        let out = if call.json {
            json::check(&reports, &opened.faults)
        } else {
            render::compare(&reports)
        };
        Ok(Outcome {
            out,
            faulty: !opened.faults.is_empty(),
            notes: opened.notes,
            ..Outcome::default()
        })
    }
}
