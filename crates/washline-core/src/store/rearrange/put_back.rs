//! What was taken out put back, and old versions poured again.

use rusqlite::{OptionalExtension, params};

use super::{Done, NotRearranged, Rearranged, Section, Sort, Which, finish, versions_of};
use crate::names::key;
use crate::spec::Source;
use crate::store::book_texts::{Piece, pieces};
use crate::store::schema::quoted;
use crate::store::{House, StoreError};

impl House {
    /// Put back what was taken off a list, at the end of it, or a list that was taken out of the house. Otherwise as
    /// [`House::remove`].
    ///
    /// # Errors
    /// When the file cannot be written; why it is not done.
    pub fn put_back(&mut self, which: Which<'_>, try_only: bool) -> Done<Rearranged> {
        let before = self.broken()?;
        let keeping = self.begin_keeping()?;
        let house = keeping.house;
        let fail = house.fail();
        let what = match which.sort {
            Sort::List => {
                let (book, title) = found!(house.list_named(which.name, true));
                // What went with it: what stands in the text it had.
                let Some(text) = house.kept_text(book)? else {
                    return Ok(Err(NotRearranged::None(Vec::new())));
                };
                let (_, pieces) = pieces(&Source::new("", text), &house.settings()?);
                for name_key in pieces.iter().filter(|p| p.spec.is_some()).map(|p| &p.key) {
                    for table in ["drink", "preparation"].map(quoted) {
                        keeping
                            .execute(
                                &format!(
                                    "UPDATE {table} SET removed_at = NULL WHERE book_id = ?1 AND name_key = ?2"
                                ),
                                params![book, name_key],
                            )
                            .map_err(&fail)?;
                    }
                }
                keeping
                    .execute("UPDATE book SET removed_at = NULL WHERE id = ?1", [book])
                    .map_err(&fail)?;
                format!("put back the list \"{title}\"")
            }
            Sort::Drink | Sort::Preparation => {
                let section = found!(house.section(which, true));
                for on in section.each() {
                    let gone: bool = keeping
                        .query_row(
                            "SELECT removed_at IS NOT NULL FROM book WHERE id = ?1",
                            [on.book],
                            |row| row.get(0),
                        )
                        .map_err(&fail)?;
                    if gone {
                        return Ok(Err(NotRearranged::ListGone(on.title.clone())));
                    }
                    house.stand_again(on)?;
                }
                format!("put \"{}\" back on {}", section.name, section.titles())
            }
            Sort::Ingredient | Sort::Tasting | Sort::Note => {
                return Ok(Err(NotRearranged::None(Vec::new())));
            }
        };
        finish(keeping, &what, Vec::new(), &before, try_only).map(Ok)
    }

    /// The titles of the lists that were taken out of the house.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn removed_lists(&self) -> Result<Vec<String>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT title FROM book WHERE removed_at IS NOT NULL ORDER BY id")
            .map_err(&fail)?;
        let rows = select.query_map([], |row| row.get(0)).map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// Make an old version of a drink or preparation the current one, as a new version: nothing between is lost. One that
    /// was taken off its list is put back on it. Otherwise as [`House::remove`].
    ///
    /// # Errors
    /// When the file cannot be written; why it is not done.
    pub fn restore(&mut self, which: Which<'_>, version: i64, try_only: bool) -> Done<Rearranged> {
        let before = self.broken()?;
        let keeping = self.begin_keeping()?;
        let house = keeping.house;
        let section = match house.section(which, false)? {
            Ok(section) => section,
            Err(NotRearranged::None(_)) => {
                let gone = found!(house.section(which, true));
                let lists_gone = house.removed_lists()?;
                for on in gone.each() {
                    if lists_gone.contains(&on.title) {
                        return Ok(Err(NotRearranged::ListGone(on.title.clone())));
                    }
                    house.stand_again(on)?;
                }
                gone
            }
            Err(why) => return Ok(Err(why)),
        };
        let (versions, owner) = versions_of(section.table);
        let found: Option<String> = keeping
            .query_row(
                &format!("SELECT spec_text FROM {versions} WHERE {owner} = ?1 AND version = ?2"),
                params![section.id, version],
                |row| row.get(0),
            )
            .optional()
            .map_err(house.fail())?;
        let Some(text) = found else {
            let last = keeping
                .query_row(
                    &format!("SELECT max(version) FROM {versions} WHERE {owner} = ?1"),
                    [section.id],
                    |row| row.get(0),
                )
                .map_err(house.fail())?;
            return Ok(Err(NotRearranged::NoVersion(last)));
        };
        // Under the name it has now.
        let body = text.split_once('\n').map_or("", |(_, body)| body);
        for on in section.each() {
            found!(house.keep_version(on, &format!("## {}\n{body}", section.name)));
        }
        let what = format!("restore \"{}\" as in version {version}", section.name);
        finish(keeping, &what, Vec::new(), &before, try_only).map(Ok)
    }

    /// Put a section that was taken off its list at the end of it.
    fn stand_again(&self, section: &Section) -> Result<(), StoreError> {
        self.db
            .execute(
                &format!(
                    "UPDATE {} SET removed_at = NULL WHERE id = ?1",
                    quoted(section.table)
                ),
                [section.id],
            )
            .map_err(self.fail())?;
        let text = self.last_text(section)?;
        let name_key = key(&section.name);
        self.retext(section.book, |opening, pieces| {
            let before = pieces.last_mut().map_or(opening, |last| &mut last.raw);
            let ended = before.trim_end().len();
            before.truncate(ended);
            before.push_str("\n\n");
            pieces.push(Piece {
                key: name_key,
                raw: format!("{}\n", text.trim_end()),
                spec: Some(text),
            });
        })
    }
}
