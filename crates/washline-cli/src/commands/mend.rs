use std::path::PathBuf;

use clap::Args;
use washline_core::advise::{Aim, Ask, AskError, MendOutcome, Mended, answer_written, held, mend};
use washline_core::computed::ComputedDrink;
use washline_core::names::nearest;
use washline_core::service::cost::cost_of_change;

use super::book_file::{BookFile, for_one, not_held};
use super::dated::Dated;
use super::revise::keep;
use super::{Call, show};
use crate::asked::Done;
use crate::error::CliError;
use crate::files;
use crate::inputs;
use crate::output::Output;
use crate::render::mend as render;
use washline_pages::change::{self as pages, Change};
use washline_pages::words::short;

/// A drink is off balance: which pour to change, by how much, in steps the bar can measure?
///
/// Strength, sweetness and tartness are brought into their usual range (or the range of published drinks, where
/// none is usual), with the smallest change J = Σ (Δ / max(pour, 5 ml))²: the best with one, two and three pours,
/// as far as each improves on the fewer. A pour `to taste` is solved for first.
///
/// No pour is cut below a third or more than doubled, the drink stays below the washline of its glass and the sort of drink
/// it is, and a pour is changed only for what it is for: a drink is never sweetened by pouring less gin.
///
/// Nothing is stored without --keep, and no file is changed without --write.
///
/// Example: washline mend fixtures/books/lantern-halt.md
#[derive(Debug, Args)]
pub struct Mend {
    /// A drink of the house, or a book whose drinks are to be mended (`-` for standard input). Without it, the
    /// whole house.
    #[arg(value_name = "NAME|FILE")]
    what: Option<String>,

    /// Look for the drink in this book and not in the house; `-` for standard input.
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,

    /// The list the drink stands in, where several have one of that name.
    #[arg(long, value_name = "TITLE")]
    of: Option<String>,

    /// Aim at a value or a span instead of the range: `tartness 0.85`, `strength 16 to 18`. A single value is met
    /// within 0.5 % vol, 0.5 g sugar or 0.05 g acid in 100 ml.
    #[arg(long, value_name = "AIM")]
    aim: Vec<Aim>,

    /// Leave the pours of this ingredient as they are.
    #[arg(long, value_name = "INGREDIENT")]
    lock: Vec<String>,

    /// Let something be added: `--may-add=INGREDIENT`; without a name simple syrup, lemon juice, lime juice, water
    /// before ice, and vodka where no spirit is poured.
    #[arg(
        long,
        value_name = "INGREDIENT",
        num_args = 0..=1,
        require_equals = true,
        default_missing_value = ""
    )]
    may_add: Vec<String>,

    /// How far all that is poured may grow or shrink together, %.
    #[arg(long, value_name = "PERCENT", default_value_t = Ask::SERVE_WITHIN_PCT)]
    serve_within: f64,

    /// Keep the first answer (or --answer) in the house as a new version of the spec.
    #[arg(long, conflicts_with = "book")]
    keep: bool,

    /// Write the first answer (or --answer) into this book, which holds the drink: only the amounts are replaced.
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,

    /// Which answer to keep or write.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    answer: usize,

    /// Write before and after as a page: two glasses, the map with an arrow, the lines that change; `-` for standard output.
    #[arg(long, value_name = "FILE.html", conflicts_with_all = ["json", "keep", "write"])]
    html: Option<PathBuf>,

    #[command(flatten)]
    dated: Dated,

    /// Exit with status 1 if nothing works for a drink.
    #[arg(long)]
    strict: bool,
}

/// Before and after the first answer; `None` where there is none.
fn change<'a>(drink: &'a ComputedDrink, mended: &Mended) -> Option<Change<'a>> {
    let answer = mended.answers.first()?;
    let pour = |ml: f64, name: &str| format!("{} ml {name}", short((ml * 100.0).round() / 100.0));
    Some(Change {
        drink,
        what: "mended".to_owned(),
        before: mended.before,
        after: answer.figures,
        glass_after: None,
        lines: answer
            .changes
            .iter()
            .map(|c| {
                let name = if c.called.is_empty() {
                    &c.ingredient
                } else {
                    &c.called
                };
                let before = c.from_ml.map_or_else(String::new, |ml| pour(ml, name));
                (before, pour(c.to_ml, name))
            })
            .collect(),
        notes: Vec::new(),
    })
}

impl Mend {
    pub fn run(self, call: &Call) -> Result<Output, CliError> {
        if !(0.0..=100.0).contains(&self.serve_within) {
            return Err(CliError::usage("expected --serve-within between 0 and 100 %"));
        }
        if let Some(page) = &self.html {
            files::check_page(page)?;
        }
        let (name, book) = show::name_or_book(self.what.as_ref(), self.book.as_ref());
        if self.keep && book.is_some() {
            return Err(CliError::usage("--keep is for a drink of the house")
                .hint("`washline add` the book first, or `--write` the answer into it"));
        }
        let opened = show::open(call, book.as_ref())?;
        let (opened, mut drinks) = show::meant_or_all(opened, name.as_deref())?;
        if let Some(list) = &self.of {
            self.only_of(list, &mut drinks)?;
        }
        let mut mended = self.each(&drinks)?;
        let prices = opened.prices(call)?;
        for (drink, mended) in drinks.iter().zip(&mut mended) {
            for answer in &mut mended.answers {
                let changes: Vec<(&str, f64)> = answer
                    .changes
                    .iter()
                    .map(|c| (c.ingredient.as_str(), c.to_ml - c.from_ml.unwrap_or(0.0)))
                    .collect();
                answer.cost_change = cost_of_change(drink, &prices, &changes);
            }
        }
        let mut done = Done::default();
        let found = self.strict && mended.iter().any(|m| m.outcome == MendOutcome::NothingWorks);
        if self.keep || self.write.is_some() {
            let ([drink], [mended]) = (drinks.as_slice(), mended.as_slice()) else {
                let error = for_one(mended.len());
                return Err(if name.is_some() {
                    error.hint("--of TITLE tells which")
                } else {
                    error
                });
            };
            done = self.carry_out(call, drink, mended)?;
        }
        let alone = name.is_some();
        let out = if let Some(page) = &self.html {
            let both = drinks.iter().zip(&mended);
            let changes: Vec<Change<'_>> = both.filter_map(|(d, m)| change(d, m)).collect();
            let html = pages::html(&changes, self.dated.day()?)?;
            opened.page(call, page, html, book.as_slice())?
        } else if call.json {
            crate::render::written(&washline_view::mend::Mend::of(
                &drinks,
                &mended,
                &opened.faults,
                &done,
                alone,
            ))
        } else {
            render::text(&drinks, &mended, &done, alone, !self.may_add.is_empty())
        };
        Ok(Output {
            found,
            ..opened.leave(out)
        })
    }

    /// Leave the drinks of one list.
    fn only_of(&self, list: &str, drinks: &mut Vec<ComputedDrink>) -> Result<(), CliError> {
        let name = drinks.first().map_or("", ComputedDrink::name).to_owned();
        let titles: Vec<String> = drinks
            .iter()
            .flat_map(|d| d.found_in.lists())
            .map(str::to_owned)
            .collect();
        drinks.retain(|d| d.found_in.is_on(list));
        if drinks.is_empty() && !titles.is_empty() {
            let near = nearest(list, titles.iter().map(|t| (t.as_str(), t.as_str())), 3);
            return Err(show::not_on(&name, list).near(&near));
        }
        Ok(())
    }

    /// Mend each drink. A pour to be locked has to be poured by one of them.
    fn each(&self, drinks: &[ComputedDrink]) -> Result<Vec<Mended>, CliError> {
        let mut never: Vec<AskError> = Vec::new();
        let mut found: Vec<&str> = Vec::new();
        let mut all = Vec::new();
        for drink in drinks {
            let subject = drink.subject();
            let mut ask = Ask {
                aims: self.aim.clone(),
                locked: self.lock.clone(),
                may_add: self.additions(drink),
                serve_within_pct: self.serve_within,
            };
            let mut mended = mend(&subject, &ask);
            if let Err(wrong) = &mended {
                let missing = |name: &str| {
                    wrong
                        .iter()
                        .any(|w| matches!(w, AskError::NotPoured { name: n, .. } if n == name))
                };
                ask.locked.retain(|name| !missing(name));
                let elsewhere = wrong.iter().all(|w| matches!(w, AskError::NotPoured { .. }));
                if elsewhere {
                    never.extend(wrong.iter().cloned());
                    mended = mend(&subject, &ask);
                }
            }
            found.extend(
                self.lock
                    .iter()
                    .map(String::as_str)
                    .filter(|l| ask.locked.iter().any(|k| k == l)),
            );
            all.push(mended.map_err(|wrong| said(&wrong))?);
        }
        never.retain(|w| !matches!(w, AskError::NotPoured { name, .. } if found.contains(&name.as_str())));
        never.dedup_by(|a, b| matches!((a, b), (AskError::NotPoured { name: a, .. }, AskError::NotPoured { name: b, .. }) if a == b));
        if never.is_empty() {
            Ok(all)
        } else {
            Err(said(&never))
        }
    }

    /// What may be added to a drink.
    fn additions(&self, drink: &ComputedDrink) -> Vec<String> {
        let mut names = Vec::new();
        for name in &self.may_add {
            if name.is_empty() {
                names.extend(drink.subject().usual_additions());
            } else {
                names.push(name.clone());
            }
        }
        names
    }

    /// Keep or write the answer that is asked for.
    fn carry_out(&self, call: &Call, drink: &ComputedDrink, mended: &Mended) -> Result<Done, CliError> {
        let mut done = Done::default();
        if mended.answers.is_empty() {
            return Ok(done);
        }
        let Some(answer) = self.answer.checked_sub(1).and_then(|i| mended.answers.get(i)) else {
            return Err(CliError::usage(format!(
                "there is no answer {}: expected 1 to {}",
                self.answer,
                mended.answers.len()
            )));
        };
        let subject = drink.subject();
        let cannot = |e: washline_core::advise::CannotRewrite| CliError::input(e.to_string());
        // The file first: what cannot be written there is not kept in the house either.
        let new_file = match &self.write {
            None => None,
            Some(path) => {
                let file = BookFile::read(path)?;
                let own = held(&file.source, subject.settings, &drink.drink).map_err(not_held)?;
                let text = answer_written(&subject, &file.source, &own, answer).map_err(cannot)?;
                Some((file, text))
            }
        };
        if self.keep {
            let text = answer_written(&subject, &drink.source, &drink.drink, answer).map_err(cannot)?;
            done.kept = Some(keep(&inputs::path(call.house.as_deref())?, drink, &text)?);
        }
        if let Some((file, text)) = new_file {
            file.replace(call, &text)?;
            done.written = Some(file.path.display().to_string());
        }
        Ok(done)
    }
}

fn said(wrong: &[AskError]) -> CliError {
    let mut error = CliError::usage(
        wrong
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("; "),
    );
    for w in wrong {
        let (AskError::NotPoured { near, .. } | AskError::CannotAdd { near, .. }) = w;
        error = error.near(near);
    }
    error
}
