use std::path::PathBuf;

use clap::Args;
use washline_core::store::House;
use washline_core::store::merge::{Choice, Share, Side};

use super::Call;
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::exchange::merged;
use crate::render::{self, plain};

/// Two bars, one list: take another house's specs, ingredients, settings, ranges and prices into yours.
///
/// Where one house has a later version of the same spec, the later one stands. Where both have gone their own way it
/// is a conflict, and nothing is taken until every one is decided: for all with `--take`, by name with `--ours` and
/// `--theirs`. Specs come with every version, its date and its tastings. All is taken or nothing, and nothing that
/// would not read here. What the other house has weighed stays there: it is of its ice and hands. The other file is
/// never written to.
///
/// Example: washline merge house-before.db --dry-run
#[derive(Debug, Args)]
pub struct Merge {
    /// The other house.
    #[arg(value_name = "FILE")]
    other: PathBuf,

    /// Whose stands in every conflict: ours, theirs or newer.
    #[arg(long, value_name = "WHOSE")]
    take: Option<String>,

    /// Leave what has this name as it is here (or out, where only they have it).
    #[arg(long, value_name = "NAME")]
    ours: Vec<String>,

    /// Take what has this name from there.
    #[arg(long, value_name = "NAME")]
    theirs: Vec<String>,

    /// Take only these: specs, ingredients, settings, ranges, prices, tastings.
    #[arg(long, value_name = "WHAT", value_delimiter = ',')]
    only: Vec<String>,

    /// Show what would be taken, and take nothing.
    #[arg(long)]
    dry_run: bool,
}

impl Merge {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let choice = self.choice()?;
        let path = inputs::path(call.house.as_deref())?;
        let same = |a: &PathBuf, b: &PathBuf| {
            a.canonicalize()
                .is_ok_and(|a| b.canonicalize().is_ok_and(|b| a == b))
        };
        if same(&path, &self.other) {
            return Err(CliError::usage(format!(
                "{} is this house itself; expected another",
                self.other.display()
            )));
        }
        let mut output = Output::default();
        // Where there is no house yet it is tried in memory: what cannot be taken makes none.
        let mut house = House::in_memory()?;
        let mut result = None;
        if !path.exists() {
            let tried = house.merge(&self.other, &choice, true)?;
            if self.dry_run || !tried.can_be_done() {
                result = Some(tried);
            }
        }
        let result = match result {
            Some(tried) => tried,
            None => {
                house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
                house.merge(&self.other, &choice, self.dry_run)?
            }
        };
        if let Some((name, near)) = result.unknown.first() {
            let error = CliError::usage(format!("`{name}` is nothing that there is to decide about"));
            return Err(error.near(near));
        }
        let refreshed = house.refresh()?;
        output.faulty = !result.faults.is_empty() || (!self.dry_run && !result.done);
        if call.json {
            output.out = render::written(&washline_view::files::MergedHouse::of(
                &result,
                self.dry_run,
                &refreshed,
            ));
            return Ok(output);
        }
        output.out = merged(&result, self.dry_run);
        output.notes.push_str(&render::faults(&result.faults, &[]));
        if !result.faults.is_empty() {
            output.notes.push_str(&plain(
                "nothing was taken: what stands above would not read here; take what it needs as well, or leave it out with --ours NAME\n",
            ));
        } else if !self.dry_run && !result.done {
            let count = result.undecided().count();
            output.notes.push_str(&format!(
                "nothing was taken: {} to decide, with --take ours|theirs|newer or by name with --ours and --theirs\n",
                render::count(count, "conflict", "conflicts")
            ));
        }
        Ok(output)
    }

    fn choice(&self) -> Result<Choice, CliError> {
        let side =
            match &self.take {
                None => None,
                Some(word) => Some(Side::from_word(word).ok_or_else(|| {
                    CliError::usage(format!("--take {word}: expected ours, theirs or newer"))
                })?),
            };
        let only = self
            .only
            .iter()
            .map(|word| {
                Share::from_word(word).ok_or_else(|| {
                    let words = Share::WORDS.join(", ");
                    CliError::usage(format!("--only {word}: expected some of: {words}"))
                })
            })
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Choice {
            only,
            side,
            ours: self.ours.clone(),
            theirs: self.theirs.clone(),
        })
    }
}
