use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::balance::Palate;
use washline_core::build::{OverTime, over_time};
use washline_core::computed::ComputedDrink;
use washline_core::ingredient::Prices;
use washline_core::names::{key, meant, nearest};
use washline_core::service::cost::drink_cost;
use washline_core::spec::{Fault, Source};
use washline_core::store::House;
use washline_pages::drink::{self as pages, Tasted};

use super::Call;
use super::dated::Dated;
use crate::drink_source::{DrinkSource, Found};
use crate::error::CliError;
use crate::inputs;
use crate::output::Output;
use crate::render::{self, json};
use crate::{clock, files};

/// What exactly is in this one, step by step, and why these figures?
///
/// Example: washline show "Platform Fog"
#[derive(Debug, Args)]
pub struct Show {
    /// The drink, or the preparation.
    #[arg(value_name = "NAME")]
    name: String,

    /// Look in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// This version of it, as `washline history` gives them, with the ingredients, settings and ranges of today.
    #[arg(long, value_name = "N", conflicts_with = "book")]
    version: Option<i64>,

    /// How it goes on changing: on the ice it is worked with, and in its glass from the first sip to the last.
    #[arg(long)]
    over_time: bool,

    /// Write all that is known of the drink as a page, one side of A4 in print; `-` for standard output.
    #[arg(long, value_name = "FILE.html", conflicts_with_all = ["json", "over_time"])]
    html: Option<PathBuf>,

    #[command(flatten)]
    dated: Dated,
}

impl Show {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let opened = open_for_one(call, self.book.as_ref())?;
        let mut reports = opened.drink_source.drinks_named(&self.name)?;
        let mut preparations = opened.drink_source.preparations_named(&self.name)?;
        if let Some(version) = self.version {
            let full = reports
                .first()
                .map_or(self.name.as_str(), ComputedDrink::name)
                .to_owned();
            reports = at_version(&inputs::to_read(call.house.as_deref())?, &full, version)?;
            preparations.clear();
        }
        if reports.is_empty() && preparations.is_empty() {
            let own = opened.faults_of(&self.name);
            if call.json && !own.is_empty() {
                return Ok(Output {
                    out: json::show(&[], &[], &[], &own),
                    faulty: true,
                    ..Output::default()
                });
            }
            return Err(unknown(opened, &self.name)?);
        }
        if let Some(page) = &self.html {
            let out = self.page(call, page, &opened, &reports)?;
            return Ok(opened.leave(out));
        }
        let told: Vec<OverTime> = if self.over_time {
            reports.iter().map(|d| over_time(&d.resolved, &d.built)).collect()
        } else {
            Vec::new()
        };
        let out = if call.json {
            json::show(&reports, &told, &preparations, &opened.faults)
        } else if self.over_time {
            let mut text = String::new();
            for (report, told) in reports.iter().zip(&told) {
                text.push_str(&render::over_time::text(report.name(), told));
            }
            text + &render::cautions(&reports)
        } else {
            let drinks = if reports.is_empty() {
                String::new()
            } else {
                render::in_full(&reports)
            };
            let tastings = opened.drink_source.tastings(&self.name)?;
            let tasted = if tastings.is_empty() || reports.is_empty() {
                String::new()
            } else {
                format!("\nTasted\n{}", render::taste::lines(&tastings))
            };
            drinks + &tasted + &render::preparation::in_full(&preparations)
        };
        Ok(opened.leave(out))
    }
}

impl Show {
    /// The page of the one drink of that name.
    fn page(
        &self,
        call: &Call,
        page: &Path,
        opened: &Opened,
        drinks: &[ComputedDrink],
    ) -> Result<String, CliError> {
        files::check_page(page)?;
        let [drink] = drinks else {
            return Err(match drinks {
                [] => CliError::usage(format!(
                    "`{}` is a preparation, and --html is for a drink",
                    self.name
                ))
                .hint("`washline card` prints a card of it"),
                several => CliError::usage(format!(
                    "{} lists have a drink `{}`, and a page is of one",
                    several.len(),
                    self.name
                ))
                .hint("--book FILE tells which"),
            });
        };
        let on = self.dated.day()?;
        let prices = opened.drink_source.prices(call.house.as_deref(), Some(on))?;
        let costing = drink_cost(drink, &prices);
        let tastings: Vec<Tasted> = opened
            .drink_source
            .tastings(drink.name())?
            .into_iter()
            .rev()
            .map(|t| Tasted {
                at: clock::day_shown(Some(&t.at)),
                version: t.version,
                by: t.taster.clone(),
                said: match t.note.as_str() {
                    "" => Palate::written(&t.verdict),
                    note => format!("{}: {note}", Palate::written(&t.verdict)),
                },
            })
            .collect();
        let html = pages::html(&pages::Content {
            drink,
            costing: Some(&costing),
            over_time: &over_time(&drink.resolved, &drink.built),
            tastings: &tastings,
            today: on,
        })?;
        opened.page(call, page, html, self.book.as_slice())
    }
}

fn no_drink(name: &str) -> CliError {
    CliError::input(format!("no drink `{name}` here"))
}

/// A drink that stands on no list of that title.
pub fn not_on(name: &str, list: &str) -> CliError {
    CliError::input(format!("no drink `{name}` on a list `{list}`"))
}

/// A name that several lists have, where one is meant.
pub fn on_several(drinks: &[ComputedDrink]) -> CliError {
    let titles: Vec<&str> = drinks.iter().map(|d| d.found_in.book.as_str()).collect();
    CliError::input(format!("{} lists have a drink of that name", titles.len()))
        .hint(format!("name one with --of TITLE: {}", titles.join("; ")))
}

/// A version that a drink does not have.
pub fn no_version(name: &str, version: i64, last: i64) -> CliError {
    CliError::input(format!(
        "`{name}` has no version {version}; expected one from 1 to {last}"
    ))
}

/// A version of the drinks of that name, one a list.
pub fn at_version(house: &House, name: &str, version: i64) -> Result<Vec<ComputedDrink>, CliError> {
    let found = house.drinks_at(name, version)?;
    if !found.is_empty() {
        return Ok(found);
    }
    Err(match house.last_version(name)? {
        0 => no_drink(name),
        last if (1..=last).contains(&version) => CliError::input(format!(
            "version {version} of `{name}` cannot be worked out any more"
        ))
        .hint(format!("`washline history \"{name}\"` tells why")),
        last => no_version(name, version, last),
    })
}

/// A house, or a book, with what could not be read or worked out.
pub struct Opened {
    pub drink_source: DrinkSource,
    pub faults: Vec<Fault>,
    /// The faults for a reader.
    pub notes: String,
    /// The texts that were read, where it is no house.
    pub sources: Vec<Source>,
}

impl Opened {
    /// What a command leaves of it: its data, and what could not be read.
    pub fn leave(self, out: String) -> Output {
        Output {
            out,
            faulty: !self.faults.is_empty(),
            notes: self.notes,
            ..Output::default()
        }
    }

    /// The prices of today.
    pub fn prices(&self, call: &Call) -> Result<Prices, CliError> {
        self.drink_source
            .prices(call.house.as_deref(), Some(clock::today()))
    }

    /// Write a page that a command makes in the place of its text, or give it as that text where the page is `-`. Gives
    /// what to print. `read` are the files that were read.
    pub fn page(&self, call: &Call, page: &Path, html: String, read: &[PathBuf]) -> Result<String, CliError> {
        files::page_or_text(page, html, call.house.as_deref(), self.drink_source.house(), read)
    }

    /// What is wrong with the drink of that name, where it stands in a text that was read.
    fn faults_of(&self, name: &str) -> Vec<Fault> {
        let heading = |fault: &Fault| {
            let source = self.sources.iter().find(|s| s.file == fault.file)?;
            source.heading_of(fault.line)
        };
        let Some(full) = meant(name, self.faults.iter().filter_map(heading)) else {
            return Vec::new();
        };
        let of_it = |fault: &&Fault| heading(fault).is_some_and(|own| key(own) == key(full));
        self.faults.iter().filter(of_it).cloned().collect()
    }
}

/// Open the house, or the book that is named in its place, to look at all of it.
pub fn open(call: &Call, book: Option<&PathBuf>) -> Result<Opened, CliError> {
    let mut opened = open_for_one(call, book)?;
    let broken = opened.drink_source.refresh()?;
    if !call.json {
        opened.notes.push_str(&render::faults(&broken, &[]));
    }
    opened.faults.extend(broken);
    Ok(opened)
}

/// Open the house, or the book that is named in its place, to look at a drink of it: the others are left alone.
pub fn open_for_one(call: &Call, book: Option<&PathBuf>) -> Result<Opened, CliError> {
    let Found {
        drink_source,
        faults,
        sources,
    } = Found::open(
        call.house.as_deref(),
        book.map(std::slice::from_ref).unwrap_or_default(),
    )?;
    let notes = if call.json {
        String::new()
    } else {
        render::faults(&faults, &sources)
    };
    Ok(Opened {
        drink_source,
        faults,
        notes,
        sources,
    })
}

/// The drink named, and the book to look in: what stands for both may be either.
pub fn name_or_book(what: Option<&String>, book: Option<&PathBuf>) -> (Option<String>, Option<PathBuf>) {
    match (what, book) {
        (Some(what), None) if what == "-" || Path::new(what).is_file() => (None, Some(what.into())),
        (what, book) => (what.cloned(), book.cloned()),
    }
}

/// The drinks of what was opened that a person means by a name, all of them where none is given.
pub fn meant_or_all(opened: Opened, name: Option<&str>) -> Result<(Opened, Vec<ComputedDrink>), CliError> {
    let drinks = match name {
        Some(name) => opened.drink_source.drinks_named(name)?,
        None => opened.drink_source.drinks()?,
    };
    match name.filter(|_| drinks.is_empty()) {
        Some(name) => Err(unknown(opened, name)?),
        None => Ok((opened, drinks)),
    }
}

/// The full names of the drinks of what was opened that a person means.
pub fn full_names(opened: Opened, names: &[String]) -> Result<(Opened, Vec<String>), CliError> {
    let mut full: Vec<String> = Vec::new();
    if !names.is_empty() {
        let known = opened.drink_source.names()?;
        for name in names {
            match meant(name, known.iter().map(String::as_str)) {
                Some(name) => full.push(name.to_owned()),
                None => return Err(unknown(opened, name)?),
            }
        }
    }
    Ok((opened, full))
}

/// The drinks of what was opened that a person means by these names, all of them where none is given.
pub fn drinks_of(opened: Opened, names: &[String]) -> Result<(Opened, Vec<ComputedDrink>), CliError> {
    let (opened, full) = full_names(opened, names)?;
    let drinks = opened.drink_source.drinks_of(&full, None, None)?;
    let is_lost = |name: &&String| !drinks.iter().any(|d| key(d.name()) == key(name));
    match full.iter().find(is_lost) {
        // What cannot be worked out is no drink to go on with.
        Some(lost) => Err(unknown(opened, lost)?),
        None => Ok((opened, drinks)),
    }
}

/// Leave of what was opened only what has one of these names; all of it where none is given.
pub fn only_named<T>(
    opened: Opened,
    names: &[String],
    all: &mut Vec<T>,
    name_of: impl Fn(&T) -> &str,
) -> Result<Opened, CliError> {
    if names.is_empty() {
        return Ok(opened);
    }
    let mut wanted: Vec<String> = Vec::new();
    for name in names {
        match meant(name, all.iter().map(&name_of)) {
            Some(full) => wanted.push(key(full)),
            None => return Err(unknown(opened, name)?),
        }
    }
    all.retain(|one| wanted.contains(&key(name_of(one))));
    Ok(opened)
}

/// No figures for a drink of that name: because it could not be read or worked out, or because there is
/// none; then the nearest ones.
pub fn unknown(mut opened: Opened, name: &str) -> Result<CliError, CliError> {
    let own = opened.faults_of(name);
    if !own.is_empty() {
        let notes = render::faults(&own, &opened.sources);
        return Ok(CliError::input(format!("`{name}` cannot be read")).after(notes));
    }
    if let [made, ..] = opened.drink_source.preparations_named(name)?.as_slice() {
        let made = made.name();
        return Ok(
            CliError::input(format!("`{made}` is made for drinks, and is none itself"))
                .hint(format!("`washline show \"{made}\"` tells what it comes to")),
        );
    }
    let listed = opened.drink_source.names()?;
    if listed.iter().any(|listed| key(listed) == key(name)) {
        let broken = opened.drink_source.refresh()?;
        let notes = match opened.faults.is_empty() {
            true => render::faults(&broken, &[]),
            false => opened.notes,
        };
        return Ok(CliError::input(format!("`{name}` cannot be worked out")).after(notes));
    }
    let preparations = opened.drink_source.preparation_names()?;
    let names = listed.iter().chain(&preparations).map(String::as_str);
    let near = nearest(name, names.map(|n| (n, n)), 3);
    let error = no_drink(name).near(&near);
    Ok(match opened.faults.len() {
        0 => error,
        n => error
            .hint(format!(
                "{} of the book keep drinks from being read",
                render::count(n, "fault", "faults")
            ))
            .after(opened.notes),
    })
}
