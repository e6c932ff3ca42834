use std::path::PathBuf;

use clap::Args;
use washline_core::computed::ComputedDrink;
use washline_core::names::key;
use washline_core::service::comparison::compared;

use super::named::structure_named;
use super::only::Only;
use super::{Call, show};
use crate::asked::By;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render;

/// Which of these is stronger, sweeter, dearer, and can that be told at all? Two drinks go pour by pour.
///
/// Sorts and filters by any figure. Intervals hold a figure in 95 % of cases; `≈` marks a drink that cannot be told
/// from the one above it in what is sorted by. Drinks of one bar share their limes, so what counts as apart is
/// counted with care: what is told apart is apart.
///
/// Example: washline compare --by tartness --where "strength < 20"
#[derive(Debug, Args)]
pub struct Compare {
    /// The drinks to compare; without any, all of them. Two are laid side by side. `NAME@2` is the second version of one.
    #[arg(value_name = "NAME")]
    names: Vec<String>,

    /// What to sort by, the most first: `strength`, `sweetness`, `tartness`, `volume`, `alcohol`, `energy`, `price`,
    /// `name`, or any figure by its name in JSON.
    #[arg(long, default_value = "strength", value_name = "FIGURE", value_parser = By::read)]
    by: By,

    /// The least first.
    #[arg(long)]
    least_first: bool,

    #[command(flatten)]
    only: Only,

    /// Only drinks of this structure.
    #[arg(long, value_name = "NAME")]
    structure: Option<String>,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

/// `NAME@N`: a drink and a version of it.
fn version_of(name: &str) -> Option<(&str, i64)> {
    let (name, version) = name.rsplit_once('@')?;
    Some((name.trim(), version.trim().parse().ok().filter(|n| *n > 0)?))
}

impl Compare {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let structure = self.structure.as_deref().map(structure_named).transpose()?;
        let opened = show::open(call, self.book.as_ref())?;
        let holds = |r: &ComputedDrink| structure.is_none_or(|s| r.evaluation.structure == Some(s));
        let (opened, mut reports, left_out) = if self.names.is_empty() {
            let (reports, left_out) = self.only.drinks_that_are(call, &opened.drink_source, holds)?;
            (opened, reports, left_out)
        } else {
            let (opened, mut reports) = self.named(call, opened)?;
            reports.retain(holds);
            let left_out = self.only.keep(call, &opened.drink_source, &mut reports)?;
            (opened, reports, left_out)
        };
        reports.sort_by(|a, b| {
            let (of_a, of_b) = (self.by.of(a).value, self.by.of(b).value);
            let order = match (of_a, of_b) {
                (Some(a), Some(b)) if self.least_first => a.total_cmp(&b),
                (Some(a), Some(b)) => b.total_cmp(&a),
                // What has no value stands last.
                (a, b) => b.is_some().cmp(&a.is_some()),
            };
            order.then_with(|| key(a.name()).cmp(&key(b.name())))
        });
        if self.by == By::Name && self.least_first {
            reports.reverse();
        }
        // Two that are laid side by side stand as they are named.
        if let [first, _] = self.names.as_slice() {
            reports.sort_by_key(|r| key(r.name()) != key(first));
        }
        let beside = match (self.names.len(), reports.as_slice()) {
            // Two by name, or one that stands in two books.
            (1 | 2, [a, b]) => Some(compared(a, b)),
            _ => None,
        };
        let out = if call.json {
            render::written(&render::compare::shape(
                &reports,
                self.by,
                beside.as_ref(),
                &opened.faults,
            ))
        } else {
            render::compare::text(&reports, self.by, beside.as_ref())
        };
        let mut output = opened.leave(out);
        output.notes.push_str(&left_out);
        Ok(output)
    }

    /// The drinks and versions that are named.
    fn named(
        &self,
        call: &Call,
        opened: show::Opened,
    ) -> Result<(show::Opened, Vec<ComputedDrink>), CliError> {
        let versions: Vec<(&str, i64)> = self.names.iter().filter_map(|n| version_of(n)).collect();
        let plain: Vec<String> = self
            .names
            .iter()
            .filter(|n| version_of(n).is_none())
            .cloned()
            .collect();
        let (opened, mut reports) = match plain.is_empty() {
            true => (opened, Vec::new()),
            false => show::drinks_of(opened, &plain)?,
        };
        if !versions.is_empty() {
            if self.book.is_some() {
                return Err(CliError::usage(
                    "a book has no versions: NAME@N is a drink of the house",
                ));
            }
            let house = inputs::to_read(call.house.as_deref())?;
            for (name, version) in versions {
                for mut drink in show::at_version(&house, name, version)? {
                    drink.drink.name = format!("{}@{version}", drink.drink.name);
                    reports.push(drink);
                }
            }
        }
        Ok((opened, reports))
    }
}
