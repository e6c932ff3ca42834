use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::balance::learn::{SHARE_PCT, learn};
use washline_core::computed::{Bar, ComputedDrink, look_at};
use washline_core::ingredient::Convention;
use washline_core::names::{key, nearest};
use washline_core::spec::Source;

use super::Call;
use super::named::structure_named;
use crate::error::CliError;
use crate::output::Output;
use crate::render::{self, plain};
use crate::{clock, inputs};
use washline_view::tasting::{Learned as LearnedRanges, Lesson};

/// Let the ranges follow your palate: work them out from the drinks that you have tasted and found right.
///
/// A range is the central 80 % of them, with the median, and how well so few drinks tell it; it is drawn towards the
/// published drinks of the structure, which weigh as much as eight of yours. Without published ones fewer than eight
/// tell nothing. A drink on two lists counts once; of a drink the last trial of the version that is poured counts.
///
/// Example: washline ranges learn --from fixtures/books/classics.md
#[derive(Debug, Args)]
pub struct Learn {
    /// Only this structure.
    #[arg(long)]
    structure: Option<String>,

    /// Which drinks: `tasted` (right), `all` of the house, or a file: a book, or names of drinks, one a line.
    #[arg(long, default_value = "tasted", value_name = "tasted|all|FILE")]
    from: String,

    /// The central share of the drinks that makes a range, %.
    #[arg(long, default_value_t = SHARE_PCT, value_name = "PERCENT")]
    share: f64,

    /// Make them the house's own ranges.
    #[arg(long)]
    keep: bool,
}

impl Learn {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let only = self.structure.as_deref().map(structure_named).transpose()?;
        if !(50.0..=95.0).contains(&self.share) {
            return Err(CliError::usage(format!(
                "--share {}: expected 50 to 95",
                self.share
            )));
        }
        let mut notes = String::new();
        let (mut reports, from) = self.drinks(call, &mut notes)?;
        if let Some(only) = only {
            reports.retain(|r| r.evaluation.structure == Some(only));
        }
        // Figures of two conventions are not of one scale: those of the more usual one are learned from.
        let handbook = reports
            .iter()
            .filter(|r| r.convention() == Convention::Handbook)
            .count();
        let convention = if 2 * handbook >= reports.len() {
            Convention::Handbook
        } else {
            Convention::Assay
        };
        let all = reports.len();
        reports.retain(|r| r.convention() == convention);
        let (learned, too_few) = learn(
            reports.iter().map(|r| (r.name(), &r.evaluation)),
            self.share,
            convention,
        );
        let ranges = match inputs::if_any(call.house.as_deref())? {
            Some(house) => house.ranges(convention)?,
            None => washline_core::balance::Ranges::published(convention),
        };
        let kept = self.keep && !learned.is_empty();
        if kept {
            let mut house = inputs::to_write(call.house.as_deref(), &mut notes)?;
            let today = clock::today();
            let source = format!(
                "learned from {} {from}, {today}",
                render::count(reports.len(), "drink", "drinks")
            );
            house.keep_learned(&learned, &source)?;
            house.refresh()?;
        }
        let lesson = Lesson {
            learned: &learned,
            too_few: &too_few,
            from: &from,
            drinks: reports.len(),
            left_out: all - reports.len(),
            share_pct: self.share,
            convention,
            ranges: &ranges,
            kept,
        };
        if learned.is_empty() && !call.json {
            let hint = if self.from == "tasted" {
                "washline taste NAME --verdict right records one; --from all learns from every drink of the house"
            } else {
                "more drinks of a structure, or published ranges as they are: washline ranges show"
            };
            return Err(CliError::input(format!("nothing to learn: {}", summary(&lesson)))
                .hint(hint)
                .after(notes));
        }
        Ok(Output {
            out: if call.json {
                render::written(&LearnedRanges::from(&lesson))
            } else {
                render::taste::lesson(&lesson)
            },
            notes,
            faulty: learned.is_empty(),
            ..Output::default()
        })
    }

    /// The drinks to learn from, and how they are called.
    fn drinks(&self, call: &Call, notes: &mut String) -> Result<(Vec<ComputedDrink>, String), CliError> {
        match self.from.as_str() {
            "tasted" => {
                let house = inputs::to_read(call.house.as_deref())?;
                let right = house.tasted_right()?;
                let mut reports = house.drinks()?;
                reports.retain(|r| right.iter().any(|(d, b)| *d == r.name() && *b == r.found_in.book));
                Ok((reports, "tasted right".to_owned()))
            }
            "all" => Ok((
                inputs::to_read(call.house.as_deref())?.drinks()?,
                "of the house".to_owned(),
            )),
            file => self.listed(call, Path::new(file), notes),
        }
    }

    /// Drinks of a book, or of the house by a list of names.
    fn listed(
        &self,
        call: &Call,
        file: &Path,
        notes: &mut String,
    ) -> Result<(Vec<ComputedDrink>, String), CliError> {
        let sources = inputs::texts(&[PathBuf::from(file)])?;
        let source = &sources[0];
        if source.text.lines().any(|l| l.trim_start().starts_with("## ")) {
            let checked = look_at(&sources, &Bar::default());
            notes.push_str(&render::faults(&checked.faults, &sources));
            return Ok((checked.drinks, format!("of {}", plain(&source.file))));
        }
        let house = inputs::to_read(call.house.as_deref())?;
        let reports = house.drinks()?;
        let names = names_in(source);
        let mut unknown = CliError::input(format!("{} names drinks that are not in the house", source.file));
        let mut missing = false;
        for name in &names {
            if !reports.iter().any(|r| key(r.name()) == key(name)) {
                missing = true;
                let near = nearest(name, reports.iter().map(|r| (r.name(), r.name())), 2);
                unknown = unknown.hint(format!("`{name}`: nearest {}", near.join(", ")));
            }
        }
        if missing {
            return Err(unknown);
        }
        let chosen = reports
            .into_iter()
            .filter(|r| names.iter().any(|n| key(n) == key(r.name())))
            .collect();
        Ok((chosen, format!("named in {}", plain(&source.file))))
    }
}

/// Names of drinks, one a line; list marks, empty lines and lines that begin with `#` fall away.
fn names_in(source: &Source) -> Vec<String> {
    source
        .text
        .lines()
        .map(|l| l.trim().trim_start_matches(['-', '*']).trim())
        .filter(|l| !l.is_empty() && !l.starts_with('#'))
        .map(str::to_owned)
        .collect()
}

fn summary(lesson: &Lesson<'_>) -> String {
    let few: Vec<String> = lesson
        .too_few
        .iter()
        .map(|(structure, n)| format!("{structure} {n}"))
        .collect();
    let few = if few.is_empty() {
        String::new()
    } else {
        format!(" ({})", few.join(", "))
    };
    format!(
        "{} {}{few}; a structure needs at least {}",
        render::count(lesson.drinks, "drink", "drinks"),
        lesson.from,
        washline_core::balance::learn::FEWEST
    )
}
