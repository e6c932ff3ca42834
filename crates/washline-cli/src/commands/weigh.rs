use clap::{Args, ValueEnum};
use rust_decimal::Decimal;
use washline_core::names::{key, meant};
use washline_core::spec::Technique;
use washline_core::store::{House, Scale};
use washline_core::tables::When;

use super::{Call, show};
use crate::drink_source::DrinkSource;
use crate::error::CliError;
use crate::output::Output;
use crate::render::weigh as render;
use crate::{clock, inputs};

/// How much does our own ice melt? Keep a drink weighed before and after ice; with enough of them, fit the house's melt.
///
/// Weigh the liquid before it meets the ice and again strained off it, in grams. The weighings of a spec stand in the
/// place of any model for that spec; `--fit` makes the house's own rates of all of them, `--keep` puts the fit in force.
///
/// Example: washline weigh "Platform Fog" --before 106.2 --after 164 --temp -6
#[derive(Debug, Args)]
pub struct Weigh {
    /// The drink that was weighed; with --list, only its weighings.
    #[arg(value_name = "NAME", required_unless_present_any = ["list", "fit", "undo", "forget"])]
    name: Option<String>,

    /// Liquid before ice, g.
    #[arg(long, value_name = "G", requires = "after")]
    before: Option<String>,

    /// Liquid strained off the ice, g.
    #[arg(long, value_name = "G", requires = "before")]
    after: Option<String>,

    /// Temperature off the ice, °C.
    #[arg(long, value_name = "C", allow_hyphen_values = true, alias = "temperature")]
    temp: Option<f64>,

    /// Worked for so long, s.
    #[arg(long, value_name = "S")]
    seconds: Option<f64>,

    /// On so much ice, g.
    #[arg(long, value_name = "G")]
    ice: Option<f64>,

    /// When: a day (2025-11-24) or a moment (2025-11-24T18:30, with or without an offset); now where it is not given.
    #[arg(long, value_name = "WHEN")]
    at: Option<String>,

    /// What else there is to say: whose hands, which ice.
    #[arg(long, value_name = "WORDS", default_value = "")]
    note: String,

    /// The book, where more than one has a drink of that name.
    #[arg(long, value_name = "TITLE")]
    book: Option<String>,

    /// List what has been weighed.
    #[arg(long, conflicts_with_all = ["before", "fit", "undo", "forget"])]
    list: bool,

    /// Fit the house's melt of shaking or stirring to what has been weighed.
    #[arg(long, value_name = "HOW", value_enum, conflicts_with_all = ["before", "undo", "forget"])]
    fit: Option<How>,

    /// Put the fit in force.
    #[arg(long, requires = "fit")]
    keep: bool,

    /// Take the fit in force back; the one before it holds again, or the handbook.
    #[arg(long, value_name = "HOW", value_enum, conflicts_with_all = ["before", "forget"])]
    undo: Option<How>,

    /// Take back the weighing of that number.
    #[arg(long, value_name = "NUMBER", conflicts_with = "before")]
    forget: Option<i64>,
}

/// A way of working that a house can fit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum How {
    /// Shaken drinks.
    Shake,
    /// Stirred drinks.
    Stir,
}

impl How {
    fn technique(self) -> Technique {
        match self {
            How::Shake => Technique::Shake,
            How::Stir => Technique::Stir,
        }
    }
}

impl Weigh {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        let at = clock::moment(self.at.as_deref())?;
        if self.list {
            let house = inputs::to_read(call.house.as_deref())?;
            let mut all = house.weighings()?;
            if let Some(name) = &self.name {
                all.retain(|w| key(&w.drink) == key(name));
            }
            return Ok(Output::of(render::list(&all, call.json)));
        }
        let path = inputs::path(call.house.as_deref())?;
        if !path.exists() {
            // A weighing of a drink that nobody has makes no house.
            inputs::to_read(call.house.as_deref())?;
        }
        let mut notes = String::new();
        let mut house = inputs::to_write(call.house.as_deref(), &mut notes)?;
        house.refresh()?;
        let out = if let Some(how) = self.fit {
            self.fitted(&mut house, how.technique(), call.json)?
        } else if let Some(how) = self.undo {
            let Some(version) = house.undo_fit(how.technique())? else {
                return Err(CliError::input(format!(
                    "no fit of the {} is in force",
                    how.technique().written()
                )));
            };
            let holds = house.fit_in_force(how.technique())?;
            let refreshed = house.refresh()?;
            render::undone(how.technique(), version, holds.as_ref(), &refreshed, call.json)
        } else if let Some(id) = self.forget {
            if !house.forget_weighing(id)? {
                return Err(CliError::input(format!(
                    "no weighing {id}; `washline weigh --list` numbers them"
                )));
            }
            let refreshed = house.refresh()?;
            render::forgotten(id, &refreshed, call.json)
        } else {
            self.weighed(house, at, call)?
        };
        Ok(Output {
            out,
            notes,
            ..Output::default()
        })
    }

    fn fitted(&self, house: &mut House, technique: Technique, json: bool) -> Result<String, CliError> {
        let fit = house
            .fit_melt(technique)?
            .map_err(|why| CliError::input(format!("no fit of the {}: {why}", technique.written())))?;
        let kept = if self.keep {
            let version = house.keep_fit(&fit)?;
            Some((version, house.refresh()?))
        } else {
            None
        };
        Ok(render::fitted(&fit, kept.as_ref(), json))
    }

    fn weighed(&self, mut house: House, at: When, call: &Call) -> Result<String, CliError> {
        let name = self.name.as_deref().unwrap_or_default();
        let (Some(before), Some(after)) = (&self.before, &self.after) else {
            return Err(CliError::usage(
                "nothing weighed; expected `--before 106 --after 164`, or --list, --fit, --undo",
            ));
        };
        let (before_g, after_g) = (grams("--before", before)?, grams("--after", after)?);
        if after_g < before_g {
            return Err(CliError::input(format!(
                "{after_g} g after ice is less than {before_g} g before; expected the liquid alone, before and after"
            )));
        }
        for (what, value, low, high) in [
            ("--temp", self.temp, -40.0, 60.0),
            ("--seconds", self.seconds, 1.0, 3600.0),
            ("--ice", self.ice, 10.0, 5000.0),
        ] {
            if let Some(value) = value.filter(|v| !(low..=high).contains(v)) {
                return Err(CliError::input(format!(
                    "{what} {value}: expected {low} to {high}"
                )));
            }
        }
        let listed = house.list()?;
        let name = meant(name, listed.iter().map(|l| l.name.as_str())).unwrap_or(name);
        let mut reports = house.drinks_named(name)?;
        if let Some(book) = &self.book {
            reports.retain(|r| r.found_in.is_on(book));
        }
        let report = match reports.as_slice() {
            [] => {
                let faults = Vec::new();
                let notes = String::new();
                let opened = show::Opened {
                    drink_source: DrinkSource::House(house),
                    faults,
                    notes,
                    sources: Vec::new(),
                };
                return Err(show::unknown(opened, name)?);
            }
            [one] => one.clone(),
            several => {
                let titles: Vec<&str> = several.iter().map(|r| r.found_in.book.as_str()).collect();
                return Err(CliError::input(format!("`{name}` stands in several books"))
                    .hint(format!("--book with one of: {}", titles.join(", "))));
            }
        };
        let scale = Scale {
            before_g,
            after_g,
            temperature_c: self.temp,
            seconds: self.seconds,
            ice_g: self.ice,
            at: Some(at),
            note: self.note.trim(),
        };
        let Some(id) = house.weigh(report.name(), &report.found_in.book, &scale)? else {
            return Err(CliError::input(format!("`{name}` is no longer poured")));
        };
        let refreshed = house.refresh()?;
        let after = house.drinks_named(report.name())?;
        let after = after
            .into_iter()
            .find(|r| r.found_in.book == report.found_in.book);
        let all = house.weighings()?;
        let own: Vec<_> = all
            .into_iter()
            .filter(|w| {
                w.drink == report.name()
                    && w.book == report.found_in.book
                    && w.version == report.found_in.version
            })
            .collect();
        Ok(render::weighed(
            id,
            &own,
            &report,
            after.as_ref(),
            &refreshed,
            call.json,
        ))
    }
}

/// A mass on a bar scale: exact, above 0 and no more than a bucket.
fn grams(flag: &str, text: &str) -> Result<Decimal, CliError> {
    let bare = text.trim().trim_end_matches('g').trim().replace(',', ".");
    let digits = !bare.is_empty() && bare.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    digits
        .then(|| bare.parse::<Decimal>().ok())
        .flatten()
        .filter(|g| *g > Decimal::ZERO && *g <= Decimal::from(50_000))
        .ok_or_else(|| {
            CliError::usage(format!(
                "{flag} `{text}`: expected grams such as `106.2`, above 0 and up to 50000"
            ))
        })
}
