use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::advise::{Arrival, Home, StockSheet, Visit, robust, travel};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Convention;
use washline_core::spec::{Fault, Source};

use super::Call;
use super::dated::Dated;
use super::show::{self, Opened};
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::inputs;
use crate::output::Output;
use crate::render::{self, travel as render_travel};
use washline_pages::change::{self as pages, Change};
use washline_pages::note::note;

/// The list goes to another bar: what do its limes, syrup, ounce, ice and glasses make of it, and what to pour there?
///
/// A stock sheet is a book with settings and ingredients and no drinks: `ounce: US`, `jigger set: 25 ml, 50 ml`, `ice
/// temperature: -18 °C`, `coupe: 150 ml`; under `## lime juice` the lines `is: an ingredient`, `acid: 45 g/l`, `source:
/// titrated`. What it leaves out is as at home. `also: simple syrup 1:1 by mass` under an ingredient says what it is
/// poured in the place of. A glass it sizes stands over the size in the spec.
///
/// Amounts stay as written: 2 oz stays 2 oz. Both bars are counted by one acid convention, the sheet's where it names
/// one. The pours that restore the drink aim at its figures at home, on that bar's jiggers; nothing is stored.
///
/// Example: washline travel "Platform Fog" --to fixtures/books/stock-by-the-cup.md
#[derive(Debug, Args)]
pub struct Travel {
    /// A drink of the house, or a book whose drinks travel (`-` for standard input). Without it, the whole house.
    #[arg(value_name = "NAME|FILE")]
    what: Option<String>,

    /// Every drink, which is also what no name means.
    #[arg(long, conflicts_with = "what")]
    all: bool,

    /// The stock sheet of the other bar; again for more bars.
    #[arg(long, value_name = "STOCK", required_unless_present = "robust")]
    to: Vec<PathBuf>,

    /// Look for the drinks in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// Print a note for each bar, in Markdown: what to pour there, in its units, and why.
    #[arg(long, conflicts_with_all = ["json", "robust"])]
    note: bool,

    /// Write the note for each bar into this folder; a file that is there already is left as it is.
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["note", "robust"])]
    notes: Option<PathBuf>,

    /// Write home and there as a page: two glasses, the map with an arrow, the lines that change; `-` for standard output.
    #[arg(long, value_name = "FILE.html", conflicts_with_all = ["json", "note", "notes", "robust"])]
    html: Option<PathBuf>,

    #[command(flatten)]
    dated: Dated,

    /// Without another bar: which drinks keep their verdict over the usual spread of limes, syrups, strengths and
    /// melt, and which are fragile.
    #[arg(long, conflicts_with = "to")]
    robust: bool,

    /// Exit with status 1 if a verdict changes in another bar (with --robust: if a drink is fragile).
    #[arg(long)]
    strict: bool,
}

/// A drink at home and as it is written in another bar, with what to pour there; `None` where it cannot be worked out.
fn change<'a>(drink: &'a ComputedDrink, arrival: &Arrival, bar: &str) -> Option<Change<'a>> {
    let Arrival::Poured(journey) = arrival else {
        return None;
    };
    let lines = journey.pours.iter().filter(|p| p.changed).map(|p| {
        let name = if p.called.is_empty() {
            &p.ingredient
        } else {
            &p.called
        };
        let before = match p.from.as_str() {
            "" => String::new(),
            from => format!("{from} {name}"),
        };
        (before, p.line.clone())
    });
    let glass = journey.glass_words();
    Some(Change {
        drink,
        what: format!("poured as written at {bar}"),
        before: journey.home.figures,
        after: journey.there.figures,
        glass_after: journey
            .there
            .glass
            .as_ref()
            .map(|g| (g.name.clone(), g.capacity_ml)),
        lines: lines.collect(),
        notes: std::iter::once("The lines are what to pour there to be as at home.".to_owned())
            .chain((!glass.is_empty()).then_some(glass))
            .collect(),
    })
}

impl Travel {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        if let Some(page) = &self.html {
            files::check_page(page)?;
        }
        let (name, book) = show::name_or_book(self.what.as_ref(), self.book.as_ref());
        let standard_input = |p: &PathBuf| p.as_os_str() == "-";
        if self.to.iter().chain(&book).filter(|p| standard_input(p)).count() > 1 {
            return Err(inputs::named_twice());
        }
        let sheets = self.sheets(call)?;
        let opened = show::open(call, book.as_ref())?;
        let (mut opened, drinks) = show::meant_or_all(opened, name.as_deref())?;
        let mut output = Output {
            faulty: !opened.faults.is_empty(),
            notes: std::mem::take(&mut opened.notes),
            ..Output::default()
        };
        if self.robust {
            self.how_robust(call, &drinks, &opened.faults, &mut output);
            return Ok(output);
        }
        let visits = visits(&mut opened, &drinks, &sheets)?;
        for arrival in visits.iter().flat_map(|visit| &visit.drinks) {
            match arrival {
                Arrival::Poured(journey) => {
                    output.found |= self.strict && !journey.verdicts_changed.is_empty()
                }
                Arrival::Stranded { .. } => output.faulty = true,
            }
        }
        let read: Vec<PathBuf> = self.to.iter().chain(&book).cloned().collect();
        if let Some(folder) = &self.notes {
            let kept = Kept::new(call.house.as_deref(), opened.drink_source.house(), &read)?;
            for line in write_notes(folder, &drinks, &visits, &kept)? {
                output.notes.push_str(&line);
            }
        }
        if let Some(page) = &self.html {
            let changes: Vec<Change<'_>> = visits
                .iter()
                .flat_map(|visit| {
                    drinks
                        .iter()
                        .zip(&visit.drinks)
                        .filter_map(|(d, a)| change(d, a, &visit.bar))
                })
                .collect();
            let html = pages::html(&changes, self.dated.day()?)?;
            output.out = opened.page(call, page, html, &read)?;
            return Ok(output);
        }
        output.out = if call.json {
            render::written(&washline_view::travel::Travel::to(
                &drinks,
                &visits,
                &opened.faults,
            ))
        } else if self.note {
            visits
                .iter()
                .map(|visit| note(&drinks, visit))
                .collect::<Vec<_>>()
                .join("\n")
        } else {
            render_travel::text(&drinks, &visits, name.is_some())
        };
        Ok(output)
    }

    /// How well drinks hold where things are not as at home.
    fn how_robust(&self, call: &Call, drinks: &[ComputedDrink], faults: &[Fault], output: &mut Output) {
        let subjects: Vec<_> = drinks.iter().map(ComputedDrink::subject).collect();
        let all = robust(&subjects);
        output.found = self.strict && all.iter().any(|r| r.is_fragile());
        output.out = if call.json {
            render::written(&washline_view::travel::Travel::robust(&all, faults))
        } else {
            render_travel::robust_text(&all)
        };
    }

    /// Every stock sheet, or everything that is wrong with them.
    fn sheets(&self, call: &Call) -> Result<Vec<StockSheet>, CliError> {
        let sources: Vec<Source> = inputs::texts(&self.to)?;
        let (mut sheets, mut faults): (Vec<StockSheet>, Vec<Fault>) = (Vec::new(), Vec::new());
        for source in &sources {
            match StockSheet::read(source) {
                Ok(sheet) => sheets.push(sheet),
                Err(wrong) => faults.extend(wrong),
            }
        }
        if faults.is_empty() {
            return Ok(sheets);
        }
        let error = CliError::input("the stock sheet does not read; nothing was worked out");
        Err(if call.json {
            faults.iter().fold(error, |error, f| {
                error.hint(format!("{}:{}: {}", f.file, f.line, f.message))
            })
        } else {
            error.after(render::faults(&faults, &sources))
        })
    }
}

/// A file for each bar; none where one of them is there already.
fn write_notes(
    folder: &Path,
    drinks: &[ComputedDrink],
    visits: &[Visit],
    kept: &Kept,
) -> Result<Vec<String>, CliError> {
    let stems: Vec<String> = visits
        .iter()
        .map(|visit| {
            let stem = Path::new(&visit.file)
                .file_stem()
                .filter(|_| !visit.file.starts_with('<'));
            let stem = stem.map_or_else(|| "bar".into(), |s| s.to_string_lossy());
            format!("{stem}-note")
        })
        .collect();
    let stems: Vec<&str> = stems.iter().map(String::as_str).collect();
    let paths: Vec<PathBuf> = washline_core::files::names(&stems, "md")
        .iter()
        .map(|name| folder.join(name))
        .collect();
    let texts: Vec<String> = visits.iter().map(|v| note(drinks, v)).collect();
    let new: Vec<(&Path, &str)> = paths
        .iter()
        .zip(&texts)
        .map(|(path, text)| (path.as_path(), text.as_str()))
        .collect();
    files::put(&new, false, kept)?;
    Ok(paths
        .iter()
        .zip(visits)
        .map(|(path, visit)| {
            let (bar, path) = (render::plain(&visit.bar), path.display().to_string());
            format!("a note for {bar} in {}\n", render::plain(&path))
        })
        .collect())
}

/// What the drinks are in each of the bars.
fn visits(
    opened: &mut Opened,
    drinks: &[ComputedDrink],
    sheets: &[StockSheet],
) -> Result<Vec<Visit>, CliError> {
    let pantry = opened.drink_source.pantry()?;
    let ranges = [
        opened.drink_source.ranges(Convention::Handbook)?,
        opened.drink_source.ranges(Convention::Assay)?,
    ];
    let home = Home {
        pantry: &pantry,
        ranges: [&ranges[0], &ranges[1]],
    };
    let to = |sheet: &StockSheet| travel(&home, drinks, sheet);
    Ok(sheets.iter().map(to).collect())
}
