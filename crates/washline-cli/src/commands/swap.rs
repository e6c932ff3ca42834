use std::path::PathBuf;

use clap::Args;
use washline_core::advise::{
    Hold, NotHeld, NotWritten, Swap as Swapping, SwapAsk, SwapError, Version, pours_near, swap, swapped_text,
};
use washline_core::computed::ComputedDrink;
use washline_core::names::key;
use washline_core::service::cost::{Prices, drink_cost};
use washline_core::spec::Source;

use super::book_file::{BookFile, for_one, not_held};
use super::dated::Dated;
use super::revise::not_kept;
use super::{Call, show};
use crate::asked::{Costs, Done, Told};
use crate::drink_source::DrinkSource;
use crate::error::CliError;
use crate::files;
use crate::inputs;
use crate::output::Output;
use crate::render::{plain, swap as render};
use washline_pages::change::{self as pages, Change};

/// This bottle, syrup or fruit is out: what does another one in its place do, and how much of it holds the balance?
///
/// Every figure, allergens and cost before and after, with the amount that holds exactly and the nearest that the
/// bar measures. What is held is counted in grams: 22.5 ml of syrup 1:1 are 15.64 ml of 2:1 for as much sugar, and
/// the water that then goes missing is told. A swap that cannot hold is refused with the figure that shows why.
///
/// Names are those of the stock, with a strength where that matters: `"overproof rum 57 %"`. Nothing is stored
/// without --keep, and no file is changed without --write.
///
/// Example: washline swap "Platform Fog" "dry vermouth" "bianco vermouth" --hold sweetness
#[derive(Debug, Args)]
#[command(
    override_usage = "washline swap [OPTIONS] <NAME> <OLD> <NEW>\n       washline swap [OPTIONS] --everywhere <OLD> <NEW>"
)]
pub struct Swap {
    /// The drink, what is poured now, and the one that is poured in its place; with --everywhere the last two.
    #[arg(value_names = ["NAME", "OLD", "NEW"], num_args = 2..=3, required = true)]
    words: Vec<String>,

    /// What the new pour brings as much of: volume, sweetness (grams of sugar), sweetness-equivalent (each sugar by
    /// how sweet it is), tartness (acid as citric), alcohol (grams of ethanol).
    #[arg(long, value_name = "WHAT", default_value = "volume")]
    hold: Hold,

    /// In every drink that pours it.
    #[arg(long)]
    everywhere: bool,

    /// Look in this book and not in the house; `-` for standard input. Prices are the house's all the same.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// Keep or write it with the missing water poured back.
    #[arg(long)]
    with_water: bool,

    /// Keep the measured amounts in the house as a new version of the spec.
    #[arg(long, conflicts_with = "book")]
    keep: bool,

    /// Write the measured amounts into this book, which holds the drink: only the lines of the swap are changed.
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,

    /// Write before and after as a page: two glasses, the map with an arrow, the lines that change; `-` for standard output.
    #[arg(long, value_name = "FILE.html", conflicts_with_all = ["json", "keep", "write"])]
    html: Option<PathBuf>,

    #[command(flatten)]
    dated: Dated,

    /// Exit with status 1 if a swap is refused.
    #[arg(long)]
    strict: bool,
}

impl Swap {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        if let Some(page) = &self.html {
            files::check_page(page)?;
        }
        let (name, ask) = self.asked()?;
        let opened = show::open(call, self.book.as_ref())?;
        let (mut opened, drinks) = show::meant_or_all(opened, name.as_deref())?;
        let prices = opened.prices(call)?;
        let mut told = Vec::new();
        for worked in &drinks {
            if let Some(swap) = swap(worked, &ask).map_err(said)? {
                let cost = costs(worked, &swap, &prices);
                told.push(Told {
                    worked,
                    swap,
                    cost,
                    done: Done::default(),
                });
            }
        }
        if told.is_empty() {
            return Err(not_poured(&drinks, name.as_deref(), &ask));
        }
        if self.keep || self.write.is_some() {
            self.carry_out(call, &mut told, name.is_some(), &mut opened.notes)?;
        }
        let found = self.strict && told.iter().any(|t| t.swap.outcome.is_err());
        let also_in = match name {
            Some(_) => Vec::new(),
            None => also_in(&opened.drink_source, &told)?,
        };
        let out = if let Some(page) = &self.html {
            let changes: Vec<Change<'_>> = told.iter().filter_map(|t| self.change(t)).collect();
            let html = pages::html(&changes, self.dated.day()?)?;
            opened.page(call, page, html, self.book.as_slice())?
        } else if call.json {
            crate::render::written(&washline_view::swap::Swaps::of(
                &told,
                &ask,
                &also_in,
                &opened.faults,
            ))
        } else {
            render::text(&told, &ask, &also_in)
        };
        Ok(Output {
            found,
            ..opened.leave(out)
        })
    }

    /// Before and after a swap; `None` of one that is refused.
    fn change<'a>(&self, told: &Told<'a>) -> Option<Change<'a>> {
        let version = self.chosen(&told.swap)?;
        let swap = &told.swap;
        let mut lines: Vec<(String, String)> = swap
            .pours
            .iter()
            .map(|p| {
                (
                    format!("{} {}", p.from, swap.old).trim().to_owned(),
                    format!("{} {}", p.to, swap.new),
                )
            })
            .collect();
        if version.water.is_some() {
            lines.push((String::new(), "water, for what goes missing".to_owned()));
        }
        Some(Change {
            drink: told.worked,
            what: format!("{} for {}", swap.new, swap.old),
            before: swap.before.figures,
            after: version.drink.evaluation.figures,
            glass_after: None,
            lines,
            notes: swap
                .outcome
                .as_ref()
                .map(|s| s.cautions.clone())
                .unwrap_or_default(),
        })
    }

    fn asked(&self) -> Result<(Option<String>, SwapAsk), CliError> {
        let (name, old, new) = match (self.words.as_slice(), self.everywhere) {
            ([old, new], true) => (None, old, new),
            ([name, old, new], false) => (Some(name.clone()), old, new),
            (_, true) => {
                return Err(CliError::usage(
                    "with --everywhere expected OLD and NEW, and no drink",
                ));
            }
            (_, false) => {
                return Err(CliError::usage("expected a drink, OLD and NEW")
                    .hint("--everywhere for every drink that pours OLD"));
            }
        };
        Ok((
            name,
            SwapAsk {
                old: old.clone(),
                new: new.clone(),
                hold: self.hold,
                by_part: !self.everywhere,
            },
        ))
    }

    /// What is to be kept or written of a swap.
    fn chosen<'a>(&self, swap: &'a Swapping<'_>) -> Option<&'a Version> {
        let swapped = swap.outcome.as_ref().ok()?;
        match &swapped.watered {
            Some(watered) if self.with_water => Some(&watered.version),
            _ => Some(&swapped.measured),
        }
    }

    /// Keep and write what is asked for. Every text is made before anything is stored.
    fn carry_out(
        &self,
        call: &Call,
        told: &mut [Told<'_>],
        named: bool,
        notes: &mut String,
    ) -> Result<(), CliError> {
        if let (true, [one]) = (named, &*told)
            && let Err(refusal) = &one.swap.outcome
        {
            return Err(CliError::input(format!(
                "{}: {refusal}; nothing was stored",
                one.swap.drink
            )));
        }
        if named && told.len() > 1 {
            return Err(for_one(told.len()).hint("name the book with --book"));
        }
        let new_file = self
            .write
            .as_ref()
            .map(|path| self.new_file(path, told, named, notes))
            .transpose()?;
        if self.keep {
            let mut texts = Vec::new();
            for (at, one) in told.iter().enumerate() {
                if let Some(version) = self.chosen(&one.swap) {
                    let settings = &one.worked.context.settings;
                    let text = swapped_text(&one.worked.source, settings, &one.worked.drink, version)
                        .map_err(cannot)?;
                    texts.push((at, text));
                }
            }
            let mut house = inputs::to_write(call.house.as_deref(), &mut String::new())?;
            let changes: Vec<(&ComputedDrink, &str)> = texts
                .iter()
                .map(|(at, text)| (told[*at].worked, text.as_str()))
                .collect();
            let amended = house.amend_all(&changes)?.map_err(|faults| not_kept(&faults))?;
            for ((at, _), amended) in texts.iter().zip(amended) {
                told[*at].done.kept = Some((amended.from_version, amended.version));
            }
            house.refresh()?;
        }
        if let Some((file, text, changed)) = new_file {
            file.replace(call, &text)?;
            for at in changed {
                told[at].done.written = Some(file.path.display().to_string());
            }
        }
        Ok(())
    }

    /// The file with every swap in it, and which drinks those are.
    fn new_file(
        &self,
        path: &std::path::Path,
        told: &[Told<'_>],
        named: bool,
        notes: &mut String,
    ) -> Result<(BookFile, String, Vec<usize>), CliError> {
        let file = BookFile::read(path)?;
        let mut text = file.source.text.clone();
        let (mut changed, mut elsewhere) = (Vec::new(), Vec::new());
        for (at, one) in told.iter().enumerate() {
            let Some(version) = self.chosen(&one.swap) else {
                continue;
            };
            let source = Source::new(file.source.file.clone(), text.clone());
            match swapped_text(&source, &one.worked.context.settings, &one.worked.drink, version) {
                Ok(with) => {
                    text = with;
                    changed.push(at);
                }
                Err(NotWritten::NotHeld(NotHeld::NoDrink { .. })) if !named => {
                    elsewhere.push(one.swap.drink.as_str())
                }
                Err(error) => return Err(cannot(error)),
            }
        }
        if changed.is_empty() {
            return Err(CliError::input(format!(
                "{} holds none of these drinks; nothing was written",
                path.display()
            )));
        }
        if !elsewhere.is_empty() {
            notes.push_str(&format!(
                "not in {}: {}\n",
                plain(&path.display().to_string()),
                plain(&elsewhere.join(", "))
            ));
        }
        Ok((file, text, changed))
    }
}

fn cannot(error: NotWritten) -> CliError {
    match error {
        NotWritten::NotHeld(error) => not_held(error),
        other => CliError::input(other.to_string()),
    }
}

fn said(error: SwapError) -> CliError {
    let near = match &error {
        SwapError::NotAName { near, .. } => near.clone(),
        SwapError::Same { .. } => Vec::new(),
    };
    CliError::usage(error.to_string()).near(&near)
}

fn not_poured(drinks: &[ComputedDrink], name: Option<&str>, ask: &SwapAsk) -> CliError {
    match (drinks, name) {
        ([one, ..], Some(_)) => CliError::usage(format!("{} pours no `{}`", one.name(), ask.old)).hint(
            format!("it pours {}", pours_near(&one.subject(), &ask.old).join(", ")),
        ),
        _ => CliError::usage(format!("no drink here pours `{}`", ask.old)),
    }
}

fn costs(worked: &ComputedDrink, swap: &Swapping<'_>, prices: &Prices) -> Costs {
    let of = |version: &Version| drink_cost(&version.drink, prices);
    let swapped = swap.outcome.as_ref().ok();
    Costs {
        before: drink_cost(worked, prices),
        exact: swapped.map(|s| of(&s.exact)),
        measured: swapped.map(|s| of(&s.measured)),
        watered: swapped.and_then(|s| s.watered.as_ref()).map(|w| of(&w.version)),
    }
}

/// Preparations that pour the old ingredient: they are not changed.
fn also_in(drink_source: &DrinkSource, told: &[Told<'_>]) -> Result<Vec<String>, CliError> {
    let old: Vec<String> = told.iter().map(|t| key(&t.swap.old)).collect();
    let mut names: Vec<String> = drink_source
        .preparations()?
        .iter()
        .filter(|p| {
            p.made
                .parts
                .iter()
                .any(|part| old.contains(&key(&part.ingredient)))
        })
        .map(|p| p.name().to_owned())
        .collect();
    names.sort();
    names.dedup();
    Ok(names)
}
