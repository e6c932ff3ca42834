//! Drinks, lists, ingredients, preparations and tastings taken out of a house, called otherwise, and put back. What is
//! taken off a list keeps its versions; the text of the list goes along.

use rusqlite::params;

use super::book_texts::{self, Piece, pieces};
use super::books::keep_drink;
use super::schema::quoted;
use super::{House, Keeping, StoreError, effects, preparations};
use crate::names::{key, nearest};
use crate::spec::{Fault, Source, read_under};

/// The sorts of things that are taken out, called otherwise or put back.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    strum::EnumString,
    strum::IntoStaticStr,
    strum::VariantNames,
)]
#[strum(serialize_all = "snake_case")]
pub enum Sort {
    /// A drink of a list.
    Drink,
    /// A list with all that stands on it.
    List,
    /// An ingredient of the house, or one that a list defines.
    Ingredient,
    /// A preparation of a list.
    Preparation,
    /// A tasting of a drink.
    Tasting,
    /// A note in the text of a drink.
    Note,
}

crate::ingredient::words!(Sort);

/// One of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Which<'a> {
    /// What it is.
    pub sort: Sort,
    /// Its name; of a tasting or a note that of the drink.
    pub name: &'a str,
    /// The list it stands on, where more than one has it.
    pub list: Option<&'a str>,
    /// Of a tasting its day, or who tasted; of a note some of its words. Empty where there is only one.
    pub words: &'a str,
}

/// What taking out, calling otherwise or putting back did, or would do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Rearranged {
    /// What that does to the house, each in words.
    pub effects: Vec<String>,
    /// The drinks and preparations that pour it, as (name, list).
    pub poured_in: Vec<(String, String)>,
    /// What can no longer be worked out after it.
    pub broken: Vec<Fault>,
    /// The entry of the journal to take back; `None` where it was only tried, or nothing changed.
    pub entry: Option<i64>,
}

/// Why something is not done. Nothing was changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotRearranged {
    /// There is none of that name: the nearest names.
    #[error("there is none of that name")]
    None(Vec<String>),
    /// Several lists have one: their titles.
    #[error("it stands on several lists: {}", .0.join("; "))]
    SeveralLists(Vec<String>),
    /// Several fit: each in words.
    #[error("several fit: {}", .0.join("; "))]
    Several(Vec<String>),
    /// Something has that name already.
    #[error("there is `{0}` already")]
    Taken(String),
    /// Something of that name was taken out, and can be put back.
    #[error("there was `{0}`, which was taken out: put that back, or choose another name")]
    TakenBefore(String),
    /// It has no such version: the last one it has.
    #[error("it has no such version")]
    NoVersion(i64),
    /// The name cannot be one: what was expected.
    #[error("`{0}` cannot be a name: {1}")]
    NoName(String, String),
    /// The list it stood on is gone itself.
    #[error("its list `{0}` was taken out of the house: put the list back")]
    ListGone(String),
    /// The texts of these drinks do not read any more when it is put in.
    #[error("it cannot be written in {}", .0.join("; "))]
    CannotBeWritten(Vec<String>),
}

/// A drink or preparation on its list.
struct Section {
    table: &'static str,
    id: i64,
    name: String,
    book: i64,
    title: String,
    /// The same drink on other lists, where no list was named: what is done is done on all of them.
    same: Vec<Section>,
}

impl Section {
    /// On each list.
    fn each(&self) -> impl Iterator<Item = &Section> {
        std::iter::once(self).chain(&self.same)
    }

    /// The titles of these lists, in quotes.
    fn titles(&self) -> String {
        let titles: Vec<String> = self.each().map(|s| format!("\"{}\"", s.title)).collect();
        titles.join(" and ")
    }
}

type Done<T> = Result<Result<T, NotRearranged>, StoreError>;

/// Go on with what was found, or say why there is nothing to go on with.
macro_rules! found {
    ($what:expr) => {
        match $what? {
            Ok(found) => found,
            Err(why) => return Ok(Err(why)),
        }
    };
}

mod put_back;
mod remove;
mod rename;

impl House {
    /// The drink or preparation that is meant, on its list or off it.
    fn section(&self, which: Which<'_>, removed: bool) -> Done<Section> {
        let table = match which.sort {
            Sort::Preparation => "preparation",
            _ => "drink",
        };
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT s.id, s.name, s.book_id, b.title FROM {} s JOIN book b ON b.id = s.book_id
                 WHERE (s.removed_at IS NOT NULL) = ?1 ORDER BY b.id, s.position",
                quoted(table)
            ))
            .map_err(&fail)?;
        let all: Vec<Section> = select
            .query_map([removed], |row| {
                Ok(Section {
                    table,
                    id: row.get(0)?,
                    name: row.get(1)?,
                    book: row.get(2)?,
                    title: row.get(3)?,
                    same: Vec::new(),
                })
            })
            .map_err(&fail)?
            .collect::<rusqlite::Result<_>>()
            .map_err(&fail)?;
        let names: Vec<String> = all.iter().map(|s| s.name.clone()).collect();
        let wanted = key(which.name);
        let mut fitting: Vec<Section> = all
            .into_iter()
            .filter(|s| key(&s.name) == wanted && which.list.is_none_or(|list| key(list) == key(&s.title)))
            .collect();
        if fitting.is_empty() {
            return Ok(Err(NotRearranged::None(near(which.name, &names))));
        }
        let mut one = fitting.remove(0);
        if !fitting.is_empty() && !self.is_one(&one, &fitting, removed)? {
            let titles = one.each().chain(&fitting).map(|s| s.title.clone());
            return Ok(Err(NotRearranged::SeveralLists(titles.collect())));
        }
        one.same = fitting;
        Ok(Ok(one))
    }

    /// Whether these are one drink on several lists; off them, whether they were of the same words.
    fn is_one(&self, first: &Section, others: &[Section], removed: bool) -> Result<bool, StoreError> {
        if first.table != "drink" {
            return Ok(false);
        }
        if !removed {
            let ids: Vec<i64> = std::iter::once(first).chain(others).map(|s| s.id).collect();
            return self.are_one(&ids);
        }
        let text = self.last_text(first)?;
        for other in others {
            if self.last_text(other)? != text {
                return Ok(false);
            }
        }
        Ok(true)
    }

    fn list_named(&self, title: &str, removed: bool) -> Done<(i64, String)> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT id, title FROM book WHERE (removed_at IS NOT NULL) = ?1 ORDER BY id")
            .map_err(&fail)?;
        let all: Vec<(i64, String)> = select
            .query_map([removed], |row| Ok((row.get(0)?, row.get(1)?)))
            .map_err(&fail)?
            .collect::<rusqlite::Result<_>>()
            .map_err(&fail)?;
        let titles: Vec<String> = all.iter().map(|(_, title)| title.clone()).collect();
        let found = all.into_iter().find(|(_, known)| key(known) == key(title));
        Ok(found.ok_or_else(|| NotRearranged::None(near(title, &titles))))
    }

    /// An ingredient of the house, or of a list where one is named or the house has none: its row, name and list.
    fn ingredient_named(&self, which: Which<'_>) -> Done<(i64, String, Option<i64>)> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT i.id, i.name, i.book_id, b.title FROM ingredient i LEFT JOIN book b ON b.id = i.book_id
                 WHERE i.origin <> 'library' AND b.removed_at IS NULL ORDER BY i.origin DESC, i.id",
            )
            .map_err(&fail)?;
        type Found = (i64, String, Option<i64>, Option<String>);
        let all: Vec<Found> = select
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?)))
            .map_err(&fail)?
            .collect::<rusqlite::Result<_>>()
            .map_err(&fail)?;
        let names: Vec<String> = all.iter().map(|(_, name, ..)| name.clone()).collect();
        let fitting: Vec<Found> = all
            .into_iter()
            .filter(|(_, name, _, title)| {
                key(name) == key(which.name)
                    && which
                        .list
                        .is_none_or(|list| title.as_ref().is_some_and(|t| key(t) == key(list)))
            })
            .collect();
        Ok(match fitting.as_slice() {
            [] => Err(NotRearranged::None(near(which.name, &names))),
            // That of the house stands before those of lists.
            [(id, name, None, _), ..] => Ok((*id, name.clone(), None)),
            [(id, name, book, _)] => Ok((*id, name.clone(), *book)),
            several => Err(NotRearranged::SeveralLists(
                several.iter().filter_map(|(.., title)| title.clone()).collect(),
            )),
        })
    }

    fn tasting_of(&self, drink: &Section, words: &str) -> Done<i64> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(
                "SELECT t.id, t.verdict, t.tasted_at, t.taster FROM tasting t JOIN spec_version s ON s.id = t.spec_version_id
                 WHERE s.drink_id IN (SELECT value FROM json_each(?1)) ORDER BY t.tasted_at, t.id",
            )
            .map_err(&fail)?;
        let ids: Vec<i64> = drink.each().map(|s| s.id).collect();
        let all: Vec<(i64, String)> = select
            .query_map([format!("{ids:?}")], |r| {
                let (verdict, at, taster): (String, String, String) = (r.get(1)?, r.get(2)?, r.get(3)?);
                let mut words = format!("{verdict}, {at}");
                if !taster.is_empty() {
                    words.push_str(&format!(", {taster}"));
                }
                Ok((r.get(0)?, words))
            })
            .map_err(&fail)?
            .collect::<rusqlite::Result<_>>()
            .map_err(&fail)?;
        let wanted = key(words);
        let fitting: Vec<&(i64, String)> = all
            .iter()
            .filter(|(_, said)| key(said).contains(&wanted))
            .collect();
        Ok(match fitting.as_slice() {
            [(id, _)] => Ok(*id),
            [] => Err(NotRearranged::None(
                all.iter().map(|(_, said)| said.clone()).collect(),
            )),
            several => Err(NotRearranged::Several(
                several.iter().map(|(_, said)| said.clone()).collect(),
            )),
        })
    }

    /// The text of the last version of a drink or preparation.
    fn last_text(&self, section: &Section) -> Result<String, StoreError> {
        let (versions, owner) = versions_of(section.table);
        self.db
            .query_row(
                &format!("SELECT spec_text FROM {versions} WHERE {owner} = ?1 ORDER BY version DESC LIMIT 1"),
                [section.id],
                |row| row.get(0),
            )
            .map_err(self.fail())
    }

    /// Keep a text as the next version of a drink or preparation, under the name and in the place it has.
    fn keep_version(&self, section: &Section, text: &str) -> Done<()> {
        let fail = self.fail();
        let (position, line): (i64, i64) = self
            .db
            .query_row(
                &format!(
                    "SELECT position, line FROM {} WHERE id = ?1",
                    quoted(section.table)
                ),
                [section.id],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .map_err(&fail)?;
        let context = self.book_context(section.book)?;
        let mut reading = read_under(&Source::new("", text), &context.settings);
        let read = match section.table {
            "preparation" => reading.book.take_preparation(),
            _ => reading.book.take_drink(),
        };
        let Some(mut drink) = read.filter(|_| reading.faults.is_empty()) else {
            return Ok(Err(NotRearranged::CannotBeWritten(vec![section.name.clone()])));
        };
        drink.name.clone_from(&section.name);
        drink.line = usize::try_from(line).unwrap_or(1);
        let position = usize::try_from(position).unwrap_or_default();
        let at = self.now();
        match section.table {
            "preparation" => preparations::keep_one(&self.db, section.book, position, &drink, at),
            _ => keep_drink(&self.db, section.book, position, &drink, at),
        }
        .map_err(fail)?;
        Ok(Ok(()))
    }

    /// The drinks and preparations that pour something, as (name, list): all, or those of one list.
    fn poured_in(&self, name_key: &str, book: Option<i64>) -> Result<Vec<(String, String)>, StoreError> {
        let sections = self.pouring(name_key, book)?;
        Ok(sections.into_iter().map(|s| (s.name, s.title)).collect())
    }

    fn pouring(&self, name_key: &str, book: Option<i64>) -> Result<Vec<Section>, StoreError> {
        let fail = self.fail();
        let mut all = Vec::new();
        for (table, sql) in [
            (
                "preparation",
                "SELECT DISTINCT p.id, p.name, p.book_id, b.title FROM preparation_part q JOIN preparation p ON p.id = q.preparation_id
                 JOIN book b ON b.id = p.book_id
                 WHERE p.removed_at IS NULL AND q.ingredient_key = ?1 AND (?2 IS NULL OR p.book_id = ?2) ORDER BY p.book_id, p.position",
            ),
            (
                "drink",
                "SELECT DISTINCT c.drink_id, c.drink, c.book_id, c.book FROM pour p JOIN result r ON r.id = p.result_id
                 JOIN current_spec c ON c.id = r.spec_version_id
                 WHERE p.ingredient_key = ?1 AND (?2 IS NULL OR c.book_id = ?2) ORDER BY c.book_id, c.drink_position",
            ),
        ] {
            let mut select = self.db.prepare_cached(sql).map_err(&fail)?;
            let rows = select
                .query_map(params![name_key, book], |row| {
                    Ok(Section {
                        table,
                        id: row.get(0)?,
                        name: row.get(1)?,
                        book: row.get(2)?,
                        title: row.get(3)?,
                        same: Vec::new(),
                    })
                })
                .map_err(&fail)?;
            for row in rows {
                all.push(row.map_err(&fail)?);
            }
        }
        Ok(all)
    }

    /// Change the kept text of a list, and put everything on it at its place in that text.
    fn retext(&self, book: i64, change: impl FnOnce(&mut String, &mut Vec<Piece>)) -> Result<(), StoreError> {
        let Some(text) = self.kept_text(book)? else {
            return Ok(());
        };
        let fail = self.fail();
        let settings = self.settings()?;
        let (mut opening, mut all) = pieces(&Source::new("", text), &settings);
        change(&mut opening, &mut all);
        let text: String = std::iter::once(opening)
            .chain(all.into_iter().map(|p| p.raw))
            .collect();
        book_texts::keep(&self.db, book, &text).map_err(&fail)?;
        let reading = read_under(&Source::new("", text), &settings);
        let place = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        for (table, sections) in [
            ("drink", reading.book.drinks().collect::<Vec<_>>()),
            ("preparation", reading.book.preparations().collect()),
        ] {
            for (position, section) in sections.into_iter().enumerate() {
                self.db
                    .prepare_cached(&format!(
                        "UPDATE {} SET position = ?3, line = ?4 WHERE book_id = ?1 AND name_key = ?2
                         AND (position, line) IS NOT (?3, ?4)",
                        quoted(table)
                    ))
                    .and_then(|mut update| {
                        update.execute(params![
                            book,
                            key(&section.name),
                            place(position),
                            place(section.line)
                        ])
                    })
                    .map_err(&fail)?;
            }
        }
        Ok(())
    }
}

/// The table of versions of drinks or preparations, and the column that says whose.
fn versions_of(table: &str) -> (String, String) {
    match table {
        "preparation" => (quoted("preparation_version"), quoted("preparation_id")),
        _ => (quoted("spec_version"), quoted("drink_id")),
    }
}

/// The line of the one note of a text that has these words in it, with its end.
fn note_in(text: &str, words: &str) -> Result<std::ops::Range<usize>, NotRearranged> {
    let wanted = key(words);
    let (mut at, mut notes) = (0, Vec::new());
    for line in text.split_inclusive('\n') {
        let end = at + line.len();
        if line.trim_start().starts_with('>') {
            notes.push((at..end, line.trim()));
        }
        at = end;
    }
    let said = |notes: &[&(std::ops::Range<usize>, &str)]| {
        notes.iter().map(|(_, note)| (*note).to_owned()).collect()
    };
    let fitting: Vec<_> = notes
        .iter()
        .filter(|(_, note)| key(note).contains(&wanted))
        .collect();
    match fitting.as_slice() {
        [(line, _)] => Ok(line.clone()),
        [] => Err(NotRearranged::None(said(&notes.iter().collect::<Vec<_>>()))),
        several => Err(NotRearranged::Several(said(several))),
    }
}

/// A text whose first line, its heading, has another name in it.
fn headed(text: &str, old: &str, new: &str, mark: &str) -> String {
    let end = text.find(['\n', '\r']).unwrap_or(text.len());
    let (head, rest) = text.split_at(end);
    match head.rfind(old) {
        Some(at) if !old.is_empty() => {
            format!("{}{new}{}{rest}", &head[..at], &head[at + old.len()..])
        }
        _ if head.trim_start().starts_with('#') => format!("{mark} {new}{rest}"),
        _ => format!("{mark} {new}\n\n{text}"),
    }
}

fn near(name: &str, names: &[String]) -> Vec<String> {
    nearest(name, names.iter().map(|n| (n.as_str(), n.as_str())), 3)
}

/// Tell what was done, and let it stand; or, where it is only tried, let go of it.
fn finish(
    keeping: Keeping<'_>,
    what: &str,
    poured_in: Vec<(String, String)>,
    before: &[Fault],
    try_only: bool,
) -> Result<Rearranged, StoreError> {
    let house = keeping.house;
    let entry: i64 = keeping
        .query_row("SELECT entry_id FROM journal_open", [], |row| row.get(0))
        .map_err(house.fail())?;
    let effects = effects::of(house, &house.changes(entry)?)?;
    if let Some(stale) = house.stale()? {
        let recomputed = house.bring_up_to_date(stale)?;
        if !try_only {
            house.told.borrow_mut().extend(recomputed);
        }
    }
    let mut broken = house.broken()?;
    broken.retain(|f| !before.iter().any(|b| b.message == f.message && b.file == f.file));
    let entry = if try_only { None } else { keeping.commit(what)? };
    Ok(Rearranged {
        effects,
        poured_in,
        broken,
        entry,
    })
}
