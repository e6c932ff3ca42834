//! What became of a thing: every version of a drink with what changed and what that did, and what the journal tells of
//! anything else.

use std::collections::BTreeSet;

use rusqlite::params;
use rusqlite::types::Value;
use similar::{ChangeTag, TextDiff};

use super::journal::{Change, Entry, key_text};
use super::schema::quoted;
use super::{House, StoreError, Tasting, Weighing, effects, when};
use crate::computed::{ComputedDrink, Prepared};
use crate::names::key;
use crate::spec::Fault;
use crate::tables::When;

/// A line that one version has and the one before it has not, or the other way round.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LineChange {
    /// It stood in the version before.
    Gone(String),
    /// It stands in this version.
    New(String),
}

/// A version of a drink.
#[derive(Clone, Debug)]
pub struct Version {
    /// Its number, from 1.
    pub number: i64,
    /// When it was kept, as the caller told.
    pub at: Option<When>,
    /// Whether it is the last one: the one poured, where the drink is on its list.
    pub is_last: bool,
    /// As typed, heading and all.
    pub text: String,
    /// Line by line, what is other than in the version before; empty of the first.
    pub changed: Vec<LineChange>,
    /// Worked out with the ingredients, settings and ranges of today, so that only the spec is another; or why it
    /// cannot be.
    pub drink: Result<ComputedDrink, Vec<Fault>>,
    /// What was said of it, the latest first.
    pub tastings: Vec<Tasting>,
    /// How it was weighed, in order.
    pub weighings: Vec<Weighing>,
}

/// A drink through all its versions.
#[derive(Clone, Debug)]
pub struct DrinkHistory {
    /// Its name now.
    pub name: String,
    /// The list it stands on, or stood on.
    pub list: String,
    /// The other lists on which the same drink stands.
    pub also_on: Vec<String>,
    /// Whether it is off the list.
    pub is_removed: bool,
    /// Since when it is off the list, where that was told.
    pub removed_at: Option<When>,
    /// Its versions, the latest first.
    pub versions: Vec<Version>,
    /// What else was done to it: taken off its list, put back, called otherwise; the latest first.
    pub events: Vec<Event>,
}

/// A version of a preparation.
#[derive(Clone, Debug)]
pub struct PreparationVersion {
    /// Its number, from 1.
    pub number: i64,
    /// When it was kept, as the caller told.
    pub at: Option<When>,
    /// Whether it is the last one.
    pub is_last: bool,
    /// As typed, heading and all.
    pub text: String,
    /// Line by line, what is other than in the version before; empty of the first.
    pub changed: Vec<LineChange>,
    /// What it comes to with what the house has today; `None` where it cannot be made.
    pub made: Option<Prepared>,
}

/// A preparation through all its versions.
#[derive(Clone, Debug)]
pub struct PreparationHistory {
    /// Its name now.
    pub name: String,
    /// The list it stands on, or stood on.
    pub list: String,
    /// Whether it is off the list.
    pub is_removed: bool,
    /// Since when it is off the list, where that was told.
    pub removed_at: Option<When>,
    /// Its versions, the latest first.
    pub versions: Vec<PreparationVersion>,
    /// What else was done to it, the latest first.
    pub events: Vec<Event>,
}

/// What an entry of the journal did to one thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// The entry.
    pub entry: Entry,
    /// What it did to that thing, each in words.
    pub effects: Vec<String>,
}

/// A row of `drink` or `preparation`, with its list.
struct Row {
    id: i64,
    book: i64,
    name: String,
    list: String,
    is_removed: bool,
    removed_at: Option<When>,
}

impl House {
    /// The drinks of that name, on their lists or off them, each with every version it has had; one that stands on several
    /// lists once.
    ///
    /// ```
    /// use washline_core::spec::Source;
    /// use washline_core::store::{House, LineChange};
    /// use washline_core::tables::When;
    ///
    /// let day = |day| When::Day(jiff::civil::date(2026, 11, day));
    /// let mut house = House::in_memory()?;
    /// house.at(day(20));
    /// let list = "# Winter list\n\n## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n";
    /// house.add(&Source::new("winter.md", list))?.unwrap();
    /// house.at(day(27));
    /// house.add(&Source::new("winter.md", list.replace("10 ml", "15 ml")))?.unwrap();
    ///
    /// let owl = &house.drink_history("owl")?[0];
    /// assert_eq!((owl.versions[0].number, &owl.versions[0].at), (2, &Some(day(27))));
    /// assert_eq!(
    ///     owl.versions[0].changed,
    ///     [
    ///         LineChange::Gone("- 10 ml dry vermouth".to_owned()),
    ///         LineChange::New("- 15 ml dry vermouth".to_owned()),
    ///     ]
    /// );
    /// # Ok::<(), washline_core::store::StoreError>(())
    /// ```
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drink_history(&self, name: &str) -> Result<Vec<DrinkHistory>, StoreError> {
        let mut all = Vec::new();
        let titles = self.titles_by_id()?;
        let mut told: BTreeSet<i64> = BTreeSet::new();
        for row in self.rows_named("drink", name)? {
            // The same drink on another list is told with the first.
            if told.contains(&row.id) {
                continue;
            }
            let same = self.same_drinks(row.id)?;
            told.extend(same.iter().map(|(id, _)| *id));
            let mut versions = Vec::new();
            let mut shared = self.shared()?;
            let tastings = self.tastings_of(row.id)?;
            let weighings = self.weighings_of(row.id)?;
            let specs = self.specs(
                "SELECT s.id, d.book_id, b.title, b.file, d.line, s.version, d.id, s.spec_text, NULL, NULL, NULL
                 FROM spec_version s JOIN drink d ON d.id = s.drink_id JOIN book b ON b.id = d.book_id
                 WHERE d.id = ?1 ORDER BY s.version",
                [row.id],
            )?;
            let moments = self.moments("spec_version", "drink_id", row.id)?;
            let last = specs.last().map_or(0, |s| s.version);
            let mut before: Option<String> = None;
            for (spec, at) in specs.into_iter().zip(moments) {
                versions.push(Version {
                    number: spec.version,
                    at,
                    is_last: spec.version == last,
                    changed: before.as_ref().map_or_else(Vec::new, |b| between(b, &spec.text)),
                    drink: self.computed(&spec, &mut shared)?,
                    tastings: tastings
                        .iter()
                        .filter(|t| t.version == spec.version)
                        .cloned()
                        .collect(),
                    weighings: weighings
                        .iter()
                        .filter(|w| w.version == spec.version)
                        .cloned()
                        .collect(),
                    text: spec.text.clone(),
                });
                before = Some(spec.text);
            }
            versions.reverse();
            all.push(DrinkHistory {
                events: self.events_of_section("drink", row.id)?,
                name: row.name,
                list: row.list,
                also_on: same
                    .iter()
                    .filter_map(|(_, book)| titles.get(book).cloned())
                    .collect(),
                is_removed: row.is_removed,
                removed_at: row.removed_at,
                versions,
            });
        }
        Ok(all)
    }

    /// A version of the drinks of that name, one a list, worked out with the ingredients, settings and ranges of today;
    /// empty where none has that version, or it cannot be worked out.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn drinks_at(&self, name: &str, version: i64) -> Result<Vec<ComputedDrink>, StoreError> {
        let specs = self.specs(
            "SELECT s.id, d.book_id, b.title, b.file, d.line, s.version, d.id, s.spec_text, NULL, NULL, NULL
             FROM spec_version s JOIN drink d ON d.id = s.drink_id JOIN book b ON b.id = d.book_id
             WHERE d.name_key = ?1 AND s.version = ?2
               AND NOT EXISTS (SELECT 1 FROM same_drink n WHERE n.drink_id = d.id AND n.other_book_id < d.book_id)
             ORDER BY d.removed_at IS NOT NULL, b.id",
            params![key(name), version],
        )?;
        self.work_out(specs.into_iter())
    }

    /// How many versions the drinks of that name have at most; 0 where there is none.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn last_version(&self, name: &str) -> Result<i64, StoreError> {
        self.db
            .query_row(
                "SELECT ifnull(max(s.version), 0) FROM spec_version s JOIN drink d ON d.id = s.drink_id WHERE d.name_key = ?1",
                [key(name)],
                |row| row.get(0),
            )
            .map_err(self.fail())
    }

    /// The preparations of that name, on their lists or off them, each with every version it has had.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn preparation_history(&self, name: &str) -> Result<Vec<PreparationHistory>, StoreError> {
        let fail = self.fail();
        let mut all = Vec::new();
        for row in self.rows_named("preparation", name)? {
            let mut select = self
                .db
                .prepare_cached(
                    "SELECT version, spec_text FROM preparation_version WHERE preparation_id = ?1 ORDER BY version",
                )
                .map_err(&fail)?;
            let texts: Vec<(i64, String)> = select
                .query_map([row.id], |r| Ok((r.get(0)?, r.get(1)?)))
                .map_err(&fail)?
                .collect::<rusqlite::Result<_>>()
                .map_err(&fail)?;
            let moments = self.moments("preparation_version", "preparation_id", row.id)?;
            let last = texts.last().map_or(0, |(number, _)| *number);
            let mut versions: Vec<PreparationVersion> = Vec::new();
            for ((number, text), at) in texts.into_iter().zip(moments) {
                versions.push(PreparationVersion {
                    number,
                    at,
                    is_last: number == last,
                    changed: versions.last().map_or_else(Vec::new, |b| between(&b.text, &text)),
                    made: self.made_as(row.book, row.id, number, &text)?,
                    text,
                });
            }
            versions.reverse();
            all.push(PreparationHistory {
                events: self.events_of_section("preparation", row.id)?,
                name: row.name,
                list: row.list,
                is_removed: row.is_removed,
                removed_at: row.removed_at,
                versions,
            });
        }
        Ok(all)
    }

    /// What the journal tells of an ingredient, of the house or of a list: the latest first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn ingredient_events(&self, name: &str) -> Result<Vec<Event>, StoreError> {
        let changes = self.changes_where(
            "table_name = 'ingredient' AND (json_extract(was, '$.name_key') = ?1 OR json_extract(became, '$.name_key') = ?1)",
            [key(name)],
        )?;
        let ids: BTreeSet<String> = changes.iter().map(|(_, c)| key_text(&c.key)).collect();
        let mut all = self.changes_where("table_name IN ('ingredient', 'ingredient_value')", [])?;
        all.retain(|(_, c)| match c.table.as_str() {
            "ingredient" => ids.contains(&key_text(&c.key)),
            _ => ids.contains(&c.text("ingredient_id")),
        });
        self.events(all)
    }

    /// What the journal tells of what something costs: the latest first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn price_events(&self, name: &str) -> Result<Vec<Event>, StoreError> {
        let changes = self.changes_where(
            "table_name = 'price' AND (json_extract(was, '$.name_key') = ?1 OR json_extract(became, '$.name_key') = ?1)",
            [key(name)],
        )?;
        self.events(changes)
    }

    /// What the journal tells of a setting of the house: the latest first.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn setting_events(&self, name: &str) -> Result<Vec<Event>, StoreError> {
        let mut changes = self.changes_where("table_name = 'setting'", [])?;
        changes.retain(|(_, c)| key(&key_text(&c.key)) == key(name));
        self.events(changes)
    }

    /// Changes of a row that was there and stays: off its list, on it again, called otherwise.
    fn events_of_section(&self, table: &str, id: i64) -> Result<Vec<Event>, StoreError> {
        let mut changes = self.changes_where(
            "table_name = ?1 AND row_key = ?2",
            params![table, Value::from(id)],
        )?;
        changes.retain(|(_, c)| match (&c.was, &c.became) {
            (Some(was), Some(became)) => ["name", "removed_at"]
                .iter()
                .any(|column| was.get(*column) != became.get(*column)),
            _ => false,
        });
        self.events(changes)
    }

    fn events(&self, changes: Vec<(i64, Change)>) -> Result<Vec<Event>, StoreError> {
        let mut all: Vec<Event> = Vec::new();
        let numbers: BTreeSet<i64> = changes.iter().map(|(entry, _)| *entry).collect();
        for number in numbers.into_iter().rev() {
            let own: Vec<Change> = changes
                .iter()
                .filter(|(entry, _)| *entry == number)
                .map(|(_, change)| change.clone())
                .collect();
            let effects = effects::of(self, &own)?;
            if let Some(entry) = self.entry(number)?.filter(|_| !effects.is_empty()) {
                all.push(Event { entry, effects });
            }
        }
        Ok(all)
    }

    fn rows_named(&self, table: &str, name: &str) -> Result<Vec<Row>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT s.id, s.book_id, s.name, b.title, s.removed_at FROM {} s JOIN book b ON b.id = s.book_id
                 WHERE s.name_key = ?1 ORDER BY s.removed_at IS NOT NULL, b.id",
                quoted(table)
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map([key(name)], |row| {
                Ok(Row {
                    id: row.get(0)?,
                    book: row.get(1)?,
                    name: row.get(2)?,
                    list: row.get(3)?,
                    is_removed: row.get::<_, Option<String>>(4)?.is_some(),
                    removed_at: when(row, "removed_at")?,
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// When each version was kept, in order.
    fn moments(&self, versions: &str, owner: &str, id: i64) -> Result<Vec<Option<When>>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT added_at FROM {} WHERE {} = ?1 ORDER BY version",
                quoted(versions),
                quoted(owner)
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map([id], |row| when(row, "added_at"))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }
}

/// The lines that two texts do not share, headings aside: a drink is called otherwise, not made otherwise.
fn between(was: &str, is: &str) -> Vec<LineChange> {
    let body = |text: &str| -> String {
        let rest = text.split_once('\n').map_or("", |(_, rest)| rest);
        rest.trim_end().to_owned() + "\n"
    };
    let (was, is) = (body(was), body(is));
    TextDiff::from_lines(&was, &is)
        .iter_all_changes()
        .filter_map(|change| {
            let line = change.value().trim_end().to_owned();
            match change.tag() {
                ChangeTag::Delete => Some(LineChange::Gone(line)),
                ChangeTag::Insert => Some(LineChange::New(line)),
                ChangeTag::Equal => None,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_other_is_told() {
        let told = between("## A\n- x\n- y\n- z\n", "## B\n- x\n- z\n- w");
        assert_eq!(
            told,
            [
                LineChange::Gone("- y".to_owned()),
                LineChange::New("- w".to_owned())
            ]
        );
        assert!(between("## A\n- x\n\n", "## B\n- x").is_empty());
    }
}
