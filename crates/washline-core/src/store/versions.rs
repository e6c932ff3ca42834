//! What a book holds, drinks and preparations alike: each with its place, and every version of it that was ever added.

use std::collections::HashSet;

use rusqlite::{Connection, OptionalExtension, params};

use super::journal::fresh_id;
use super::schema::quoted;
use crate::names::key;
use crate::spec::{Drink, format_drink};
use crate::tables::{When, when_text};

/// The tables that one sort of section is kept in.
pub(super) struct Shelf {
    table: &'static str,
    versions: &'static str,
    owner: &'static str,
}

/// Drinks.
pub(super) const DRINKS: Shelf = Shelf {
    table: "drink",
    versions: "spec_version",
    owner: "drink_id",
};

/// Preparations.
pub(super) const PREPARATIONS: Shelf = Shelf {
    table: "preparation",
    versions: "preparation_version",
    owner: "preparation_id",
};

/// What a section is to those that stood in its book.
pub(super) enum Kept {
    New,
    Changed,
    Unchanged,
}

/// What becomes of a section that is added.
pub(super) enum Standing {
    /// It is what it was.
    Stands(Kept),
    /// It is a new version, which the caller writes down.
    Anew {
        /// Of what.
        id: i64,
        /// Which version.
        version: i64,
        /// As the program writes it.
        written: String,
        /// Whether that is a new thing or a change.
        kept: Kept,
    },
}

pub(super) fn place(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}

impl Shelf {
    /// Give a section its place in a book, and tell whether it is another than the last version.
    pub(super) fn stand(
        &self,
        db: &Connection,
        book: i64,
        position: usize,
        section: &Drink,
    ) -> rusqlite::Result<Standing> {
        let [table, versions, owner] = [self.table, self.versions, self.owner].map(quoted);
        let name_key = key(&section.name);
        let found: Option<(i64, bool)> = db
            .prepare_cached(&format!(
                "SELECT id, removed_at IS NOT NULL AS gone FROM {table} WHERE book_id = ?1 AND name_key = ?2"
            ))?
            .query_row(params![book, name_key], |r| Ok((r.get("id")?, r.get("gone")?)))
            .optional()?;
        let (id, was_gone) = match found {
            Some((id, was_gone)) => {
                db.prepare_cached(&format!(
                    "UPDATE {table} SET name = ?2, position = ?3, line = ?4, removed_at = NULL
                     WHERE id = ?1 AND (name, position, line, removed_at) IS NOT (?2, ?3, ?4, NULL)"
                ))?
                .execute(params![
                    id,
                    section.name,
                    place(position),
                    place(section.line)
                ])?;
                (id, was_gone)
            }
            None => {
                let id = fresh_id(db, self.table)?;
                db.prepare_cached(&format!(
                    "INSERT INTO {table} (book_id, name, name_key, position, line, id) VALUES (?1, ?2, ?3, ?4, ?5, ?6)"
                ))?
                .execute(params![
                    book,
                    section.name,
                    name_key,
                    place(position),
                    place(section.line),
                    id
                ])?;
                (id, false)
            }
        };
        let last: Option<(i64, String, String)> = db
            .prepare_cached(&format!(
                "SELECT version, written_text, spec_text FROM {versions} WHERE {owner} = ?1 ORDER BY version DESC LIMIT 1"
            ))?
            .query_row([id], |r| {
                Ok((r.get("version")?, r.get("written_text")?, r.get("spec_text")?))
            })
            .optional()?;
        let written = format_drink(section);
        let version = match last {
            Some((version, last, typed)) if last == written => {
                // The same spec with other spacing: the text is kept as it is typed now, the version stands.
                if typed != section.text {
                    db.execute(
                        &format!("UPDATE {versions} SET spec_text = ?3 WHERE {owner} = ?1 AND version = ?2"),
                        params![id, version, section.text],
                    )?;
                }
                let kept = if was_gone { Kept::New } else { Kept::Unchanged };
                return Ok(Standing::Stands(kept));
            }
            Some((version, ..)) => version + 1,
            None => 1,
        };
        Ok(Standing::Anew {
            id,
            version,
            written,
            kept: if version == 1 || was_gone {
                Kept::New
            } else {
                Kept::Changed
            },
        })
    }

    /// Mark everything of a book that is not among `kept`, by folded name, as no longer in it. Gives their names.
    pub(super) fn remove_others(
        &self,
        db: &Connection,
        book: i64,
        kept: &HashSet<String>,
        at: Option<&When>,
    ) -> rusqlite::Result<Vec<String>> {
        let table = quoted(self.table);
        let mut select = db.prepare_cached(&format!(
            "SELECT id, name, name_key FROM {table} WHERE book_id = ?1 AND removed_at IS NULL ORDER BY position"
        ))?;
        let all: Vec<(i64, String, String)> = select
            .query_map([book], |r| Ok((r.get("id")?, r.get("name")?, r.get("name_key")?)))?
            .collect::<rusqlite::Result<_>>()?;
        let mut removed = Vec::new();
        for (id, name, name_key) in all {
            if !kept.contains(&name_key) {
                db.execute(
                    &format!("UPDATE {table} SET removed_at = ?2 WHERE id = ?1"),
                    params![id, when_text(at)],
                )?;
                removed.push(name);
            }
        }
        Ok(removed)
    }
}
