//! Their books: drinks and preparations by their versions, openings and definitions by their text.

use rusqlite::types::Value;

use super::history::{History, VERSIONED, Versioned, same};
use super::{Kind, Merge, MergeOutcome, item};
use crate::spec::{Fault, Settings, Source};
use crate::store::book_texts::{Piece, pieces};
use crate::store::copying;
use crate::store::{House, StoreError, books};

impl Merge<'_> {
    /// One of their books.
    pub(super) fn book(&mut self, title: &str) -> Result<Vec<Fault>, StoreError> {
        let fail = self.ours.fail();
        let Some(their_id) = self.theirs.book_id(title)? else {
            return Ok(Vec::new());
        };
        let Some(our_id) = self.ours.book_id(title)? else {
            let mut item = item(Kind::Book, title);
            let drinks = self.theirs.histories(VERSIONED[1], their_id)?;
            let count = drinks.iter().filter(|d| !d.removed).count();
            item.theirs = format!("{count} {}", if count == 1 { "drink" } else { "drinks" });
            if self.fresh(item) {
                self.copying().deep("book", their_id, &[]).map_err(&fail)?;
            }
            return Ok(Vec::new());
        };
        let (Some(ours), Some(theirs)) = (self.ours.shelved_ever(title)?, self.theirs.shelved(title)?) else {
            return Ok(Vec::new());
        };
        let file = self.file_of(our_id)?;
        let source = Source::new(file, ours.text);
        let settings = self.ours.settings()?;
        let (opening, mut kept) = pieces(&source, &settings);
        let (their_opening, taken) = pieces(&Source::new("", theirs.text), &self.theirs.settings()?);
        let mut changed = false;
        let opening = self.opening(title, opening, &their_opening, &mut changed);
        self.definitions(title, &mut kept, &taken, &mut changed);
        for of in VERSIONED {
            self.versioned(of, title, (our_id, their_id), &mut kept, &taken, &mut changed)?;
        }
        if !changed {
            return Ok(Vec::new());
        }
        self.keep_text(&source.file, &opening, &kept, &settings)
    }

    pub(super) fn file_of(&self, book: i64) -> Result<String, StoreError> {
        self.ours
            .db
            .query_row("SELECT file FROM book WHERE id = ?1", [book], |row| row.get(0))
            .map_err(self.ours.fail())
    }

    pub(super) fn opening(&mut self, title: &str, ours: String, theirs: &str, changed: &mut bool) -> String {
        let plain = |text: &str| text.replace("\r\n", "\n").trim_end().to_owned();
        if plain(&ours) == plain(theirs) {
            return ours;
        }
        let mut item = item(Kind::Opening, title);
        item.ours = plain(&ours);
        item.theirs = plain(theirs);
        if self.conflict(item) {
            *changed = true;
            theirs.to_owned()
        } else {
            ours
        }
    }

    /// The sections that give ingredients by their figures: they have no versions, only a text.
    pub(super) fn definitions(
        &mut self,
        title: &str,
        kept: &mut Vec<Piece>,
        taken: &[Piece],
        changed: &mut bool,
    ) {
        for piece in taken.iter().filter(|p| p.spec.is_none()) {
            let mut item = item(Kind::Definition, heading(&piece.raw));
            item.book = Some(title.to_owned());
            item.theirs = piece.raw.trim_end().to_owned();
            let known = kept.iter_mut().find(|p| p.key == piece.key);
            match known {
                Some(known) if known.raw.trim_end() == piece.raw.trim_end() => self.same(item),
                Some(known) => {
                    item.ours = known.raw.trim_end().to_owned();
                    if self.conflict(item) {
                        known.raw = ended(&piece.raw);
                        known.spec = None;
                        *changed = true;
                    }
                }
                None => {
                    if self.fresh(item) {
                        kept.push(Piece {
                            key: piece.key.clone(),
                            raw: ended(&piece.raw),
                            spec: None,
                        });
                        *changed = true;
                    }
                }
            }
        }
    }

    /// The drinks or the preparations of a book that both houses have.
    pub(super) fn versioned(
        &mut self,
        of: Versioned,
        title: &str,
        (our_book, their_book): (i64, i64),
        kept: &mut Vec<Piece>,
        taken: &[Piece],
        changed: &mut bool,
    ) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        let ours = self.ours.histories(of, our_book)?;
        for theirs in self.theirs.histories(of, their_book)? {
            let Some(last) = theirs.last().filter(|_| !theirs.removed) else {
                continue;
            };
            let mut item = item(of.kind, &theirs.name);
            item.book = Some(title.to_owned());
            item.theirs = last.typed.trim_end().to_owned();
            item.theirs_at.clone_from(&last.at);
            let known = ours.iter().find(|o| o.key == theirs.key);
            let Some((known, now)) = known.and_then(|k| Some((k, k.last()?))) else {
                if self.fresh(item) {
                    let place = [("book_id", Value::from(our_book))];
                    self.copying().deep(of.table, theirs.id, &place).map_err(&fail)?;
                    put(kept, taken, &theirs.key);
                    *changed = true;
                }
                continue;
            };
            item.ours = now.typed.trim_end().to_owned();
            item.ours_at.clone_from(&now.at);
            let take = if known.removed {
                item.ours = "no longer in the book".to_owned();
                self.conflict(item)
            } else if same(now, last) {
                self.same(item);
                false
            } else if known.versions.iter().any(|v| same(v, last)) {
                item.outcome = MergeOutcome::Earlier;
                self.items.push(item);
                false
            } else if theirs.versions.iter().any(|v| same(v, now)) {
                item.outcome = MergeOutcome::Later;
                self.items.push(item);
                true
            } else {
                self.conflict(item)
            };
            if take {
                self.versions(of, known, &theirs)?;
                put(kept, taken, &theirs.key);
                *changed = true;
            }
        }
        Ok(())
    }

    /// Their versions that this house has not, after its own, with their dates; the last one is poured then.
    pub(super) fn versions(&self, of: Versioned, ours: &History, theirs: &History) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        let mut number = ours.last().map_or(0, |v| v.number);
        let Some(last) = theirs.last() else { return Ok(()) };
        for version in &theirs.versions {
            let is_last = std::ptr::eq(version, last);
            let known = ours.versions.iter().any(|v| same(v, version));
            // What is taken has to be the last, even where an earlier version here was the same.
            let last_here = ours.last().is_some_and(|v| same(v, version));
            if known && (last_here || !is_last) {
                continue;
            }
            number += 1;
            let set = [
                (of.column, Value::from(ours.id)),
                ("version", Value::from(number)),
            ];
            self.copying()
                .deep(of.versions, version.id, &set)
                .map_err(&fail)?;
        }
        Ok(())
    }

    /// Keep a book as it is now, the way every book is kept: what does not read is a fault, and nothing is kept.
    pub(super) fn keep_text(
        &self,
        file: &str,
        opening: &str,
        pieces: &[Piece],
        settings: &Settings,
    ) -> Result<Vec<Fault>, StoreError> {
        let mut text = opening.to_owned();
        for piece in pieces {
            if !text.is_empty() && !text.ends_with("\n\n") && !text.ends_with("\r\n\r\n") {
                text.push_str(if text.ends_with('\n') { "\n" } else { "\n\n" });
            }
            text.push_str(&piece.raw);
        }
        let source = Source::new(file, text);
        let reading = crate::spec::read_under(&source, settings);
        if !reading.faults.is_empty() {
            return Ok(reading.faults);
        }
        let (books, faults) = self.ours.read(std::slice::from_ref(&source))?;
        match books.first() {
            Some(book) if faults.is_empty() => {
                let house = self.ours.settings()?;
                books::keep(self.transaction, book, &source, &house, self.at).map_err(self.ours.fail())?;
                Ok(Vec::new())
            }
            _ => Ok(faults),
        }
    }

    /// What was said of versions that both houses have, where this one has not heard it yet.
    pub(super) fn tastings(&mut self) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        for title in self.theirs.titles()? {
            let (Some(our_book), Some(their_book)) =
                (self.ours.book_id(&title)?, self.theirs.book_id(&title)?)
            else {
                continue;
            };
            let ours = self.ours.histories(VERSIONED[1], our_book)?;
            for theirs in self.theirs.histories(VERSIONED[1], their_book)? {
                let Some(known) = ours.iter().find(|o| o.key == theirs.key) else {
                    continue;
                };
                let mut new = 0_usize;
                for version in &theirs.versions {
                    let Some(here) = known.versions.iter().find(|v| same(v, version)) else {
                        continue;
                    };
                    let of = |house: &House, id: i64| {
                        let rows = copying::rows(
                            &house.db,
                            "tasting",
                            "spec_version_id = ?1 ORDER BY id",
                            &[Value::from(id)],
                        );
                        rows.map_err(&fail).map(|mut rows| {
                            for row in &mut rows {
                                row.retain(|(name, _)| name != "id" && name != "spec_version_id");
                            }
                            rows
                        })
                    };
                    let heard = of(self.ours, here.id)?;
                    for mut row in of(self.theirs, version.id)? {
                        if !heard.contains(&row) {
                            row.push(("spec_version_id".to_owned(), Value::from(here.id)));
                            copying::insert(self.transaction, "tasting", &row).map_err(&fail)?;
                            new += 1;
                        }
                    }
                }
                if new > 0 {
                    let mut item = item(Kind::Tasting, &theirs.name);
                    item.book = Some(title.clone());
                    item.theirs = format!("{new} {}", if new == 1 { "trial" } else { "trials" });
                    item.outcome = MergeOutcome::New;
                    self.items.push(item);
                }
            }
        }
        Ok(())
    }
}

/// The words of the heading of a section.
fn heading(raw: &str) -> &str {
    raw.lines()
        .next()
        .unwrap_or_default()
        .trim_start_matches('#')
        .trim()
}

fn ended(raw: &str) -> String {
    format!("{}\n", raw.trim_end())
}

/// Put a section of theirs in the place of ours, or at the end.
fn put(kept: &mut Vec<Piece>, taken: &[Piece], key: &str) {
    let Some(piece) = taken.iter().find(|p| p.key == key) else {
        return;
    };
    let new = Piece {
        key: piece.key.clone(),
        raw: ended(&piece.raw),
        spec: piece.spec.clone(),
    };
    match kept.iter_mut().find(|p| p.key == key) {
        Some(known) => *known = new,
        None => kept.push(new),
    }
}
