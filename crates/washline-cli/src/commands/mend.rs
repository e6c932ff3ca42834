use std::path::{Path, PathBuf};

use clap::Args;
use washline_core::advise::{Aim, Ask, AskError, MendOutcome, Mended, answer_written, mend};
use washline_core::computed::ComputedDrink;
use washline_core::names::{key, nearest};
use washline_core::service::cost::cost_of_change;
use washline_core::spec::{Source, format_drink, read_under};

use super::dated::Dated;
use super::{Call, show};
use crate::asked::Done;
use crate::error::CliError;
use crate::files::{self, Kept};
use crate::output::Output;
use crate::render::mend as render;
use crate::{clock, inputs};
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
        let (name, book) = self.named();
        if self.keep && book.is_some() {
            return Err(CliError::usage("--keep is for a drink of the house")
                .hint("`washline add` the book first, or `--write` the answer into it"));
        }
        let mut opened = show::open(call, book.as_ref())?;
        let mut drinks = match &name {
            Some(name) => opened.drink_source.drinks_named(name)?,
            None => opened.drink_source.drinks()?,
        };
        if let Some(list) = &self.of {
            self.only_of(list, &mut drinks)?;
        }
        if let (true, Some(name)) = (drinks.is_empty(), &name) {
            return Err(show::unknown(opened, name)?);
        }
        let mut mended = self.each(&drinks)?;
        let prices = opened
            .drink_source
            .prices(call.house.as_deref(), Some(clock::today()))?;
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
        let mut output = Output {
            faulty: !opened.faults.is_empty(),
            found: self.strict && mended.iter().any(|m| m.outcome == MendOutcome::NothingWorks),
            ..Output::default()
        };
        if self.keep || self.write.is_some() {
            let ([drink], [mended]) = (drinks.as_slice(), mended.as_slice()) else {
                let error = CliError::usage(format!(
                    "--keep and --write are for one drink, and {} were asked for",
                    mended.len()
                ));
                return Err(if name.is_some() {
                    error.hint("--of TITLE tells which")
                } else {
                    error
                });
            };
            done = self.carry_out(call, drink, mended)?;
        }
        let alone = name.is_some();
        if let Some(page) = &self.html {
            let changes: Vec<Change<'_>> = drinks
                .iter()
                .zip(&mended)
                .filter_map(|(d, m)| change(d, m))
                .collect();
            let read: Vec<PathBuf> = book.into_iter().collect();
            let html = pages::html(&changes, self.dated.day()?)?;
            output.out = files::page_or_text(
                page,
                html,
                call.house.as_deref(),
                opened.drink_source.house(),
                &read,
            )?;
            output.notes = std::mem::take(&mut opened.notes);
            return Ok(output);
        }
        output.notes = std::mem::take(&mut opened.notes);
        output.out = if call.json {
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
        Ok(output)
    }

    /// The drink named, and the book to look in: what stands for both may be either.
    fn named(&self) -> (Option<String>, Option<PathBuf>) {
        match (&self.what, &self.book) {
            (Some(what), None) if what == "-" || Path::new(what).is_file() => (None, Some(what.into())),
            (what, book) => (what.clone(), book.clone()),
        }
    }

    /// Leave the drinks of one list.
    fn only_of(&self, list: &str, drinks: &mut Vec<ComputedDrink>) -> Result<(), CliError> {
        let titles: Vec<String> = drinks
            .iter()
            .flat_map(|d| d.found_in.lists())
            .map(str::to_owned)
            .collect();
        drinks.retain(|d| d.found_in.is_on(list));
        if drinks.is_empty() && !titles.is_empty() {
            let near = nearest(list, titles.iter().map(|t| (t.as_str(), t.as_str())), 3);
            return Err(CliError::input(format!("it stands in no list `{list}`")).near(&near));
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
                let reading = read_under(&file.source, &drink.context.settings);
                let name = path.display();
                let own = reading.book.drinks().find(|d| key(&d.name) == key(drink.name()));
                let own = own.ok_or_else(|| {
                    CliError::input(format!("{name} holds no drink {} that reads", drink.name()))
                })?;
                if format_drink(own) != format_drink(&drink.drink) {
                    return Err(CliError::input(format!(
                        "{name} has another spec of {} than the one that was mended; nothing was written",
                        drink.name()
                    ))
                    .hint("mend the one in the file: `--book FILE --write FILE`"));
                }
                let text = answer_written(&subject, &file.source, own, answer).map_err(cannot)?;
                Some((file, text))
            }
        };
        if self.keep {
            let text = answer_written(&subject, &drink.source, &drink.drink, answer).map_err(cannot)?;
            let mut house = inputs::to_write(call.house.as_deref(), &mut String::new())?;
            let amended = house.amend(drink, &text)?.map_err(|faults| {
                CliError::input("the mended spec does not read; nothing was stored")
                    .after(crate::render::faults(&faults, &[]))
            })?;
            house.refresh()?;
            done.kept = Some((amended.from_version, amended.version));
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

/// A written book that is to be changed in place.
pub struct BookFile {
    /// Where it really is: a link stays a link.
    pub path: PathBuf,
    /// As it reads.
    pub source: Source,
    byte_order_mark: bool,
}

const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";

impl BookFile {
    pub fn read(path: &Path) -> Result<BookFile, CliError> {
        let name = path.display().to_string();
        let unread = |e: std::io::Error| inputs::unreadable(path, &name, &e);
        let real = path.canonicalize().map_err(unread)?;
        let bytes = std::fs::read(&real).map_err(unread)?;
        let byte_order_mark = bytes.starts_with(BYTE_ORDER_MARK);
        let source = Source::decode(name.clone(), bytes).map_err(|e| CliError::input(e.to_string()))?;
        Ok(BookFile {
            path: real,
            source,
            byte_order_mark,
        })
    }

    /// Put another text in its place, whole or not at all.
    pub fn replace(&self, call: &Call, text: &str) -> Result<(), CliError> {
        let mut bytes = Vec::new();
        if self.byte_order_mark {
            bytes.extend_from_slice(BYTE_ORDER_MARK);
        }
        bytes.extend_from_slice(text.as_bytes());
        files::rewrite(&self.path, &bytes, &Kept::new(call.house.as_deref(), None, &[])?)
    }
}
