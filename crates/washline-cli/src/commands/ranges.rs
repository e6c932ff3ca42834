use std::path::{Path, PathBuf};

use clap::Subcommand;
use washline_core::balance::record::{self, Sample};
use washline_core::balance::{BalanceFigure, Family, Ranges as Bands, Structure, spans};
use washline_core::computed::{Bar, Checked, look_at};
use washline_core::ingredient::Convention;
use washline_core::store::House;

use super::Call;
use super::named::{convention_named, measure_named, structure_named};
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render;
use washline_view::ranges::{Ranges as Shown, Records, Spans};

/// Where drinks of a structure usually sit, and the house's own idea of it.
#[derive(Debug, Subcommand)]
pub enum Ranges {
    /// Where the published drinks of a family lie, and how often a verdict is right.
    ///
    /// Beside them stand the handbook's ranges, by how a drink is made.
    ///
    /// Example: washline ranges show sour
    Show {
        /// Only this family or structure.
        structure: Option<String>,
        /// The convention acid is counted in.
        #[arg(long, default_value = "handbook", value_name = "handbook|assay")]
        convention: String,
    },
    /// Set the house's own usual range; it stands in the place of the handbook's.
    ///
    /// Example: washline ranges set "shaken sour" sweetness 5.5 8.0 --source "tasting, October"
    Set {
        /// The structure.
        structure: String,
        /// strength, sweetness or tartness.
        measure: String,
        /// The least.
        low: f64,
        /// The most.
        high: f64,
        /// Who says so.
        #[arg(long)]
        source: String,
    },
    /// Take the house's own range away again.
    ///
    /// Example: washline ranges unset "shaken sour" sweetness
    Unset {
        /// The structure.
        structure: String,
        /// strength, sweetness or tartness.
        measure: String,
    },
    /// Work out what the drinks of some books span, by structure, as rows of a table of bands.
    ///
    /// This is how the outer bands are made: 2.5th to 97.5th percentile where 20 or more drinks stand
    /// behind a structure, else smallest to largest; nothing for fewer than 5.
    ///
    /// Example: washline ranges span fixtures/books/classics.md
    Span {
        /// The books.
        #[arg(value_name = "FILE", required = true)]
        files: Vec<PathBuf>,
    },
    Learn(super::learn::Learn),
    /// How often the verdicts are right: good drinks that are flagged, spoiled ones whose fault is found.
    ///
    /// On the published drinks, each left out in turn, or on the drinks of a file; each is judged after every drink of its
    /// name or its pours is taken out. Spoiled is: sweetener × 2 and × 0.4, citrus × 2 and × 0.4, base × 1.7 and × 0.5, where
    /// that moves its figure by a fifth or more.
    ///
    /// Example: washline ranges test fixtures/books/lantern-halt.md
    Test {
        /// A book of good drinks; none for the published ones.
        #[arg(value_name = "FILE")]
        file: Option<PathBuf>,
        /// The convention acid is counted in.
        #[arg(long, default_value = "handbook", value_name = "handbook|assay")]
        convention: String,
        /// Print a table as it is built in: what the published drinks come to, or the record.
        #[arg(long, conflicts_with = "file", value_name = "figures|record")]
        table: Option<String>,
    },
}

impl Ranges {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        match self {
            Ranges::Show {
                structure,
                convention,
            } => show(call, structure.as_deref(), &convention),
            Ranges::Set {
                structure,
                measure,
                low,
                high,
                source,
            } => {
                let (structure, measure) = (structure_named(&structure)?, measure_named(&measure)?);
                set(call, structure, measure, (low, high), &source)
            }
            Ranges::Unset { structure, measure } => {
                unset(call, structure_named(&structure)?, measure_named(&measure)?)
            }
            Ranges::Learn(learn) => learn.run(call),
            Ranges::Test {
                table: Some(table), ..
            } => Ok(Output::of(match table.as_str() {
                "figures" => record::figure_table(),
                "record" => record::record_table(),
                other => {
                    return Err(CliError::usage(format!(
                        "--table {other}: expected figures or record"
                    )));
                }
            })),
            Ranges::Test { file, convention, .. } => {
                test(call, file.as_deref(), convention_named(&convention)?)
            }
            Ranges::Span { files } => span(call, &files),
        }
    }
}

/// The ranges of a structure or a family, or of all.
fn show(call: &Call, named: Option<&str>, convention: &str) -> Result<Output, CliError> {
    let family = named.and_then(Family::named);
    let only = match (named, family) {
        // A word may name a family, a structure or both.
        (Some(name), Some(_)) => Structure::named(name),
        (Some(name), None) => Some(structure_named(name)?),
        (None, _) => None,
    };
    let convention = convention_named(convention)?;
    let bands = bands(call, convention)?;
    let structures: Vec<Structure> = Structure::all()
        .filter(|s| named.is_none() || only == Some(*s))
        .collect();
    let families: Vec<Family> = Family::all()
        .filter(|f| named.is_none() || family == Some(*f))
        .collect();
    Ok(Output::of(if call.json {
        render::written(&Shown::of(&bands, &structures, &families, convention))
    } else {
        render::ranges(&bands, &structures, &families, convention)
    }))
}

fn set(
    call: &Call,
    structure: Structure,
    measure: BalanceFigure,
    (low, high): (f64, f64),
    source: &str,
) -> Result<Output, CliError> {
    if !(low.is_finite() && high.is_finite() && 0.0 <= low && low <= high) {
        return Err(CliError::usage(format!(
            "{low} to {high}: expected two figures from 0, the smaller first"
        )));
    }
    if source.trim().is_empty() {
        return Err(CliError::usage("--source: expected who says so"));
    }
    let mut output = Output::default();
    let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
    house.set_range(structure, measure, low, high, source)?;
    finish(call, &mut house, structure, output)
}

fn unset(call: &Call, structure: Structure, measure: BalanceFigure) -> Result<Output, CliError> {
    let none = || {
        CliError::input(format!(
            "the house has no range of its own for {} of {structure}",
            measure.name()
        ))
    };
    if !inputs::path(call.house.as_deref())?.exists() {
        return Err(none());
    }
    let mut output = Output::default();
    let mut house = inputs::to_write(call.house.as_deref(), &mut output.notes)?;
    if !house.unset_range(structure, measure)? {
        return Err(none());
    }
    finish(call, &mut house, structure, output)
}

/// How often the verdicts are right, on the published drinks or on those of a file.
fn test(call: &Call, file: Option<&Path>, convention: Convention) -> Result<Output, CliError> {
    let corpus = record::corpus(convention);
    let mut output = Output::default();
    let (drinks, name): (Vec<Sample>, String) = match file {
        None => {
            let stand = corpus.iter().map(|(_, s)| s).filter(|s| s.stands());
            (stand.cloned().collect(), "published drinks".to_owned())
        }
        Some(file) => {
            let sources = inputs::texts(&[file.to_owned()])?;
            let checked = look_at(&sources, &Bar::default());
            output.notes = render::faults(&checked.faults, &sources);
            output.faulty = !checked.faults.is_empty();
            let drinks = checked.drinks.iter().filter_map(|d| Sample::of(&d.resolved));
            (drinks.collect(), format!("drinks of {}", file.display()))
        }
    };
    let (families, all) = record::record(&drinks, &corpus);
    output.out = if call.json {
        render::written(&Records::of(&families, &all, &name))
    } else {
        render::record(&families, &all, &name)
    };
    Ok(output)
}

/// What the drinks of some books span.
fn span(call: &Call, files: &[PathBuf]) -> Result<Output, CliError> {
    let sources = inputs::texts(files)?;
    let Checked { drinks, faults, .. } = look_at(&sources, &Bar::default());
    let rows = spans(drinks.iter().map(|r| (&r.evaluation, r.convention())));
    Ok(Output {
        out: if call.json {
            render::written(&Spans::of(&rows))
        } else {
            render::span_rows(&rows)
        },
        notes: render::faults(&faults, &sources),
        faulty: !faults.is_empty(),
        ..Output::default()
    })
}

fn bands(call: &Call, convention: Convention) -> Result<Bands, CliError> {
    Ok(match inputs::if_any(call.house.as_deref())? {
        Some(house) => house.ranges(convention)?,
        None => Bands::published(convention),
    })
}

fn finish(
    call: &Call,
    house: &mut House,
    structure: Structure,
    mut output: Output,
) -> Result<Output, CliError> {
    house.refresh()?;
    let bands = house.ranges(Convention::Handbook)?;
    output.out = if call.json {
        render::written(&Shown::of(&bands, &[structure], &[], Convention::Handbook))
    } else {
        render::ranges(&bands, &[structure], &[], Convention::Handbook)
    };
    Ok(output)
}
