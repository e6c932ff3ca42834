//! Something taken out of a house.

use rusqlite::params;

use super::{Done, Rearranged, Sort, Which, finish, note_in};
use crate::names::key;
use crate::store::House;
use crate::store::schema::quoted;

impl House {
    /// Take something out of the house. A drink or preparation leaves its list and keeps its versions, tastings and
    /// weighings; a drink that stands on several leaves all of them, unless one is named. A list goes with
    /// all that stands on it. `try_only` says what it would do, and does nothing.
    ///
    /// ```
    /// use washline_core::spec::Source;
    /// use washline_core::store::{House, Sort, Which};
    ///
    /// let mut house = House::in_memory()?;
    /// let list = "# Winter lsit\n\n## Owl\n- 60 ml dry gin\n- 10 ml dry vermouth\n- stir\n";
    /// house.add(&Source::new("winter.md", list))?.unwrap();
    /// let lists = Which { sort: Sort::List, name: "winter lsit", list: None, words: "" };
    /// let gone = house.remove(lists, false)?.unwrap();
    /// assert_eq!(gone.effects[0], "takes 1 drink off \"Winter lsit\": Owl");
    /// assert!(house.list()?.is_empty());
    /// house.put_back(lists, false)?.unwrap();
    /// assert_eq!(house.list()?.len(), 1);
    /// # Ok::<(), washline_core::store::StoreError>(())
    /// ```
    ///
    /// # Errors
    /// When the file cannot be written; why it is not done.
    pub fn remove(&mut self, which: Which<'_>, try_only: bool) -> Done<Rearranged> {
        let before = self.broken()?;
        let keeping = self.begin_keeping()?;
        let house = keeping.house;
        let fail = house.fail();
        let at = house.now_text();
        let mut poured_in = Vec::new();
        let mut stay = Vec::new();
        let what = match which.sort {
            Sort::Drink | Sort::Preparation => {
                let section = found!(house.section(which, false));
                if which.sort == Sort::Preparation {
                    poured_in = house.poured_in(&key(&section.name), Some(section.book))?;
                }
                let name_key = key(&section.name);
                for on in section.each() {
                    keeping
                        .execute(
                            &format!("UPDATE {} SET removed_at = ?2 WHERE id = ?1", quoted(on.table)),
                            params![on.id, at],
                        )
                        .map_err(&fail)?;
                    house.retext(on.book, |_, pieces| pieces.retain(|p| p.key != name_key))?;
                }
                format!("remove \"{}\" from {}", section.name, section.titles())
            }
            Sort::List => {
                let (book, title) = found!(house.list_named(which.name, false));
                stay = house.on_other_lists(book)?;
                for table in ["drink", "preparation"].map(quoted) {
                    keeping
                        .execute(
                            &format!(
                                "UPDATE {table} SET removed_at = ?2 WHERE book_id = ?1 AND removed_at IS NULL"
                            ),
                            params![book, at],
                        )
                        .map_err(&fail)?;
                }
                keeping
                    .execute("UPDATE book SET removed_at = ?2 WHERE id = ?1", params![book, at])
                    .map_err(&fail)?;
                format!("remove the list \"{title}\"")
            }
            Sort::Ingredient => {
                let (id, name, book) = found!(house.ingredient_named(which));
                poured_in = house.poured_in(&key(&name), book)?;
                keeping
                    .execute("DELETE FROM ingredient WHERE id = ?1", [id])
                    .map_err(&fail)?;
                if let Some(book) = book {
                    let name_key = key(&name);
                    keeping
                        .execute(
                            "DELETE FROM price WHERE book_id = ?1 AND name_key = ?2",
                            params![book, name_key],
                        )
                        .map_err(&fail)?;
                    house.retext(book, |_, pieces| {
                        pieces.retain(|p| p.spec.is_some() || p.key != name_key);
                    })?;
                }
                format!("remove the ingredient \"{name}\"")
            }
            Sort::Tasting => {
                let drink = found!(house.section(which, false));
                let id = found!(house.tasting_of(&drink, which.words));
                keeping
                    .execute("DELETE FROM tasting WHERE id = ?1", [id])
                    .map_err(&fail)?;
                format!("remove a tasting of \"{}\"", drink.name)
            }
            Sort::Note => {
                let drink = found!(house.section(which, false));
                let mut text = house.last_text(&drink)?;
                let line = found!(Ok(note_in(&text, which.words)));
                text.replace_range(line, "");
                for on in drink.each() {
                    found!(house.keep_version(on, &text));
                }
                format!("remove a note of \"{}\"", drink.name)
            }
        };
        let mut done = finish(keeping, &what, poured_in, &before, try_only)?;
        for (title, count) in stay {
            let stay = if count == 1 { "stays" } else { "stay" };
            done.effects
                .push(format!("{count} of them {stay} on \"{title}\""));
        }
        Ok(Ok(done))
    }
}
