//! Something called otherwise, and written so wherever it is poured.

use rusqlite::{OptionalExtension, params};

use super::{Done, NotRearranged, Rearranged, Section, Sort, Which, finish, headed, note_in, versions_of};
use crate::ingredient::{Found, Origin};
use crate::names::key;
use crate::spec::{Drink, Source, Step, format_drink, read_under};
use crate::store::schema::quoted;
use crate::store::{House, StoreError};

/// What was called otherwise, said for the journal, and what pours it.
struct Renamed {
    what: String,
    poured_in: Vec<(String, String)>,
}

impl House {
    /// Call something otherwise. A drink keeps its versions, tastings and weighings under its new name; where a
    /// preparation or an ingredient is poured, it is written by its new name. A note, and what a tasting says besides its
    /// verdict, are put in the new words. Otherwise as [`House::remove`].
    ///
    /// # Errors
    /// When the file cannot be written; why it is not done.
    pub fn rename(&mut self, which: Which<'_>, new: &str, try_only: bool) -> Done<Rearranged> {
        let new = new.trim();
        if key(new).is_empty() || new.contains(['\n', '\r']) {
            return Ok(Err(NotRearranged::NoName(
                new.to_owned(),
                "a line of words".to_owned(),
            )));
        }
        let before = self.broken()?;
        let keeping = self.begin_keeping()?;
        let house = keeping.house;
        let renamed = match which.sort {
            Sort::Drink | Sort::Preparation => house.rename_what_is_made(which, new)?,
            Sort::List => house.rename_list(which, new)?,
            Sort::Ingredient => house.rename_ingredient(which, new)?,
            Sort::Tasting => house.reword_tasting(which, new)?,
            Sort::Note => house.reword_note(which, new)?,
        };
        match renamed {
            Ok(done) => finish(keeping, &done.what, done.poured_in, &before, try_only).map(Ok),
            Err(why) => Ok(Err(why)),
        }
    }

    /// A drink, or a preparation wherever it is poured.
    fn rename_what_is_made(&self, which: Which<'_>, new: &str) -> Done<Renamed> {
        let section = found!(self.section(which, false));
        for on in section.each() {
            if let Some(why) = self.name_is_taken(on, new)? {
                return Ok(Err(why));
            }
        }
        let (mut poured_in, mut wanted) = (Vec::new(), Vec::new());
        if which.sort == Sort::Preparation {
            poured_in = self.poured_in(&key(&section.name), Some(section.book))?;
            wanted = self.written_otherwise(&section.name, Origin::Book, Some(section.book), new)?;
        }
        for on in section.each() {
            if !self.rename_section(on, new)? {
                let expected = "what reads as a heading".to_owned();
                return Ok(Err(NotRearranged::NoName(new.to_owned(), expected)));
            }
        }
        found!(self.write_otherwise(wanted));
        Ok(Ok(Renamed {
            what: format!("rename \"{}\" to \"{new}\"", section.name),
            poured_in,
        }))
    }

    fn rename_list(&self, which: Which<'_>, new: &str) -> Done<Renamed> {
        let fail = self.fail();
        let (book, title) = found!(self.list_named(which.name, false));
        if key(&title) != key(new) {
            let taken: Option<bool> = self
                .db
                .query_row(
                    "SELECT removed_at IS NOT NULL FROM book WHERE title_key = ?1",
                    [key(new)],
                    |row| row.get(0),
                )
                .optional()
                .map_err(&fail)?;
            match taken {
                Some(true) => return Ok(Err(NotRearranged::TakenBefore(new.to_owned()))),
                Some(false) => return Ok(Err(NotRearranged::Taken(new.to_owned()))),
                None => {}
            }
        }
        let settings = self.settings()?;
        let opening: String = self
            .db
            .query_row("SELECT opening_text FROM book WHERE id = ?1", [book], |row| {
                row.get(0)
            })
            .map_err(&fail)?;
        let opening = headed(&opening, &title, new, "#");
        if read_under(&Source::new("", opening.clone()), &settings)
            .book
            .title
            != new
        {
            let expected = "what reads as a title".to_owned();
            return Ok(Err(NotRearranged::NoName(new.to_owned(), expected)));
        }
        self.db
            .execute(
                "UPDATE book SET title = ?2, title_key = ?3, opening_text = ?4 WHERE id = ?1",
                params![book, new, key(new), opening],
            )
            .map_err(&fail)?;
        self.retext(book, |opening, _| *opening = headed(opening, &title, new, "#"))?;
        Ok(Ok(Renamed {
            what: format!("rename the list \"{title}\" to \"{new}\""),
            poured_in: Vec::new(),
        }))
    }

    /// An ingredient wherever it is poured, with its prices.
    fn rename_ingredient(&self, which: Which<'_>, new: &str) -> Done<Renamed> {
        let fail = self.fail();
        let (id, name, book) = found!(self.ingredient_named(which));
        let taken: bool = self
            .db
            .query_row(
                "SELECT EXISTS (SELECT 1 FROM ingredient WHERE name_key = ?1 AND id <> ?2 AND origin <> 'library' AND book_id IS ?3)",
                params![key(new), id, book],
                |row| row.get(0),
            )
            .map_err(&fail)?;
        if taken {
            return Ok(Err(NotRearranged::Taken(new.to_owned())));
        }
        let poured_in = self.poured_in(&key(&name), book)?;
        let origin = if book.is_some() {
            Origin::Book
        } else {
            Origin::House
        };
        let wanted = self.written_otherwise(&name, origin, book, new)?;
        self.db
            .execute(
                "UPDATE ingredient SET name = ?2, name_key = ?3 WHERE id = ?1",
                params![id, new, key(new)],
            )
            .map_err(&fail)?;
        // What it costs goes by its name.
        self.db
            .execute(
                "UPDATE price SET name = ?2, name_key = ?3 WHERE name_key = ?1 AND book_id IS ?4",
                params![key(&name), new, key(new), book],
            )
            .map_err(&fail)?;
        if let Some(book) = book {
            let name_key = key(&name);
            self.retext(book, |_, pieces| {
                for piece in pieces
                    .iter_mut()
                    .filter(|p| p.spec.is_none() && p.key == name_key)
                {
                    piece.raw = headed(&piece.raw, &name, new, "##");
                }
            })?;
        }
        found!(self.write_otherwise(wanted));
        Ok(Ok(Renamed {
            what: format!("rename the ingredient \"{name}\" to \"{new}\""),
            poured_in,
        }))
    }

    fn reword_tasting(&self, which: Which<'_>, new: &str) -> Done<Renamed> {
        let fail = self.fail();
        let drink = found!(self.section(which, false));
        let id = found!(self.tasting_of(&drink, which.words));
        self.db
            .execute(
                "UPDATE tasting SET note = ?2 WHERE id = ?1 AND note <> ?2",
                params![id, new],
            )
            .map_err(&fail)?;
        Ok(Ok(Renamed {
            what: format!("reword a tasting of \"{}\"", drink.name),
            poured_in: Vec::new(),
        }))
    }

    fn reword_note(&self, which: Which<'_>, new: &str) -> Done<Renamed> {
        let drink = found!(self.section(which, false));
        let mut text = self.last_text(&drink)?;
        let line = found!(Ok(note_in(&text, which.words)));
        // The mark and what stands round it stay as they were typed.
        let typed = &text[line.clone()];
        let mark = typed.find('>').map_or(0, |at| at + 1);
        let words = mark + typed[mark..].len() - typed[mark..].trim_start_matches([' ', '\t']).len();
        let end = typed.trim_end_matches(['\n', '\r']).len();
        text.replace_range(line.start + words.min(end)..line.start + end, new);
        for on in drink.each() {
            found!(self.keep_version(on, &text));
        }
        Ok(Ok(Renamed {
            what: format!("reword a note of \"{}\"", drink.name),
            poured_in: Vec::new(),
        }))
    }

    /// The texts of what pours something, with another name for it.
    fn written_otherwise(
        &self,
        name: &str,
        origin: Origin,
        book: Option<i64>,
        new: &str,
    ) -> Result<Vec<(Section, String)>, StoreError> {
        let mut all = Vec::new();
        for section in self.pouring(&key(name), book)? {
            let context = self.book_context(section.book)?;
            let text = self.last_text(&section)?;
            let mut reading = read_under(&Source::new("", text.clone()), &context.settings);
            let read = match section.table {
                "preparation" => reading.book.take_preparation(),
                _ => reading.book.take_drink(),
            };
            let Some(drink) = read else { continue };
            let mut spans: Vec<std::ops::Range<usize>> = drink
                .lines()
                .filter_map(|line| match &line.step {
                    Step::Pour(pour) => Some(pour),
                    _ => None,
                })
                .flat_map(|pour| &pour.choices)
                .filter(|choice| {
                    matches!(context.stock.find(&choice.name), Found::Sure(i) | Found::Taken(i, _)
                        if key(&i.name) == key(name) && i.origin == origin)
                })
                .map(|choice| choice.span.clone())
                .collect();
            spans.sort_by_key(|span| span.start);
            let mut written = text;
            for span in spans.into_iter().rev() {
                if written.get(span.clone()).is_some() {
                    written.replace_range(span, new);
                }
            }
            all.push((section, written));
        }
        Ok(all)
    }

    fn write_otherwise(&self, texts: Vec<(Section, String)>) -> Done<()> {
        let mut failed = Vec::new();
        for (section, text) in texts {
            if let Err(NotRearranged::CannotBeWritten(names)) = self.keep_version(&section, &text)? {
                failed.extend(names);
            }
        }
        Ok(if failed.is_empty() {
            Ok(())
        } else {
            Err(NotRearranged::CannotBeWritten(failed))
        })
    }

    /// Whether another section of the list has that name, or had it.
    fn name_is_taken(&self, section: &Section, new: &str) -> Result<Option<NotRearranged>, StoreError> {
        let fail = self.fail();
        for table in ["drink", "preparation"] {
            let found: Option<(i64, bool)> = self
                .db
                .query_row(
                    &format!(
                        "SELECT id, removed_at IS NOT NULL FROM {} WHERE book_id = ?1 AND name_key = ?2",
                        quoted(table)
                    ),
                    params![section.book, key(new)],
                    |row| Ok((row.get(0)?, row.get(1)?)),
                )
                .optional()
                .map_err(&fail)?;
            match found {
                Some((id, _)) if table == section.table && id == section.id => {}
                Some((_, true)) => return Ok(Some(NotRearranged::TakenBefore(new.to_owned()))),
                Some((_, false)) => return Ok(Some(NotRearranged::Taken(new.to_owned()))),
                None => {}
            }
        }
        Ok(None)
    }

    /// Give a drink or preparation another name: in its row, at the head of its last version and in the text of its list.
    /// Says whether that reads.
    fn rename_section(&self, section: &Section, new: &str) -> Result<bool, StoreError> {
        let fail = self.fail();
        let (versions, owner) = versions_of(section.table);
        let text = headed(&self.last_text(section)?, &section.name, new, "##");
        let settings = self.book_context(section.book)?.settings;
        let mut reading = read_under(&Source::new("", text.clone()), &settings);
        let read: Option<Drink> = match section.table {
            "preparation" => reading.book.take_preparation(),
            _ => reading.book.take_drink(),
        };
        let Some(drink) = read.filter(|drink| drink.name == new) else {
            return Ok(false);
        };
        self.db
            .execute(
                &format!(
                    "UPDATE {} SET name = ?2, name_key = ?3 WHERE id = ?1",
                    quoted(section.table)
                ),
                params![section.id, new, key(new)],
            )
            .map_err(&fail)?;
        self.db
            .execute(
                &format!(
                    "UPDATE {versions} SET spec_text = ?2, written_text = ?3 WHERE {owner} = ?1
                     AND version = (SELECT max(version) FROM {versions} WHERE {owner} = ?1)"
                ),
                params![section.id, text, format_drink(&drink)],
            )
            .map_err(&fail)?;
        let name_key = key(&section.name);
        self.retext(section.book, |_, pieces| {
            for piece in pieces
                .iter_mut()
                .filter(|p| p.spec.is_some() && p.key == name_key)
            {
                piece.raw = headed(&piece.raw, &section.name, new, "##");
            }
        })?;
        Ok(true)
    }
}
