//! What a house has besides its books: settings, ingredients, ranges, prices.

use std::collections::BTreeMap;

use rusqlite::params;
use rusqlite::types::Value;

use super::{Kind, Merge, item};
use crate::store::copying::{self, Columns};
use crate::store::{House, StoreError};
use crate::tables::When;

impl Merge<'_> {
    pub(super) fn settings(&mut self) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        let ours: BTreeMap<String, String> = self.ours.settings_written()?.into_iter().collect();
        for (name, theirs) in self.theirs.settings_written()? {
            let mut item = item(Kind::Setting, &name);
            item.ours = ours.get(&name).cloned().unwrap_or_else(|| "not set".to_owned());
            item.theirs.clone_from(&theirs);
            // One that is not set here counts too: what it changes, it changes for every drink of this house.
            if item.ours == theirs {
                self.same(item);
            } else if self.conflict(item) {
                self.transaction
                    .execute(
                        "INSERT INTO setting (name, value) VALUES (?1, ?2) ON CONFLICT DO UPDATE SET value = excluded.value",
                        params![name, theirs],
                    )
                    .map_err(&fail)?;
            }
        }
        Ok(())
    }

    pub(super) fn ranges(&mut self) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        let rows = |house: &House| copying::rows(&house.db, "house_range", "1", &[]).map_err(&fail);
        let ours: BTreeMap<String, Columns> = rows(self.ours)?
            .into_iter()
            .map(|r| (range_name(&r), r))
            .collect();
        for row in rows(self.theirs)? {
            let name = range_name(&row);
            let mut item = item(Kind::Range, &name);
            item.theirs = range_words(&row);
            item.ours = ours
                .get(&name)
                .map_or_else(|| "the published one".to_owned(), range_words);
            if ours.get(&name) == Some(&row) {
                self.same(item);
            } else if self.conflict(item) {
                self.transaction
                    .execute(
                        "DELETE FROM house_range WHERE structure = ?1 AND measure = ?2",
                        params![cell(&row, "structure"), cell(&row, "measure")],
                    )
                    .map_err(&fail)?;
                copying::insert(self.transaction, "house_range", &row).map_err(&fail)?;
            }
        }
        Ok(())
    }

    pub(super) fn ingredients(&mut self) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        let of = |house: &House| -> Result<BTreeMap<String, (i64, String, Facts)>, StoreError> {
            let mut all = BTreeMap::new();
            for row in copying::rows(&house.db, "ingredient", "origin = 'house'", &[]).map_err(&fail)? {
                let id = id_of(&row);
                let values = copying::rows(
                    &house.db,
                    "ingredient_value",
                    "ingredient_id = ?1",
                    &[Value::from(id)],
                )
                .map_err(&fail)?;
                all.insert(
                    cell(&row, "name_key"),
                    (id, cell(&row, "name"), facts(&row, &values)),
                );
            }
            Ok(all)
        };
        let ours = of(self.ours)?;
        for (name_key, (id, name, facts)) in of(self.theirs)? {
            let mut item = item(Kind::Ingredient, &name);
            let take = match ours.get(&name_key) {
                None => {
                    item.theirs = words(&facts, &Facts::new());
                    self.fresh(item)
                }
                Some((_, _, known)) if *known == facts => {
                    self.same(item);
                    false
                }
                Some((_, _, known)) => {
                    item.ours = words(known, &facts);
                    item.theirs = words(&facts, known);
                    self.conflict(item)
                }
            };
            if take {
                self.transaction
                    .execute(
                        "DELETE FROM ingredient WHERE origin = 'house' AND name_key = ?1",
                        [&name_key],
                    )
                    .map_err(&fail)?;
                self.copying().deep("ingredient", id, &[]).map_err(&fail)?;
            }
        }
        Ok(())
    }

    pub(super) fn prices(&mut self) -> Result<(), StoreError> {
        let fail = self.ours.fail();
        let of = |house: &House| -> Result<BTreeMap<String, Vec<Columns>>, StoreError> {
            let mut all: BTreeMap<String, Vec<Columns>> = BTreeMap::new();
            let rows = copying::rows(&house.db, "price", "book_id IS NULL ORDER BY since, id", &[]);
            for mut row in rows.map_err(&fail)? {
                let name = cell(&row, "name_key");
                row.retain(|(column, _)| column != "id");
                all.entry(name).or_default().push(row);
            }
            Ok(all)
        };
        let ours = of(self.ours)?;
        for (name_key, theirs) in of(self.theirs)? {
            let Some(last) = theirs.last() else { continue };
            let mut item = item(Kind::Price, &cell(last, "name"));
            item.theirs = price_words(last);
            item.theirs_at = When::of(&cell(last, "since"));
            let known = ours.get(&name_key);
            let take = match known.and_then(|k| k.last()) {
                None => self.fresh(item),
                Some(now) if now == last => {
                    self.same(item);
                    false
                }
                Some(now) => {
                    item.ours = price_words(now);
                    item.ours_at = When::of(&cell(now, "since"));
                    self.conflict(item)
                }
            };
            if !take {
                continue;
            }
            for row in &theirs {
                self.transaction
                    .execute(
                        "DELETE FROM price WHERE book_id IS NULL AND name_key = ?1 AND since = ?2",
                        params![name_key, cell(row, "since")],
                    )
                    .map_err(&fail)?;
                copying::insert(self.transaction, "price", row).map_err(&fail)?;
            }
            // A price of ours that is later than theirs would still hold.
            self.transaction
                .execute(
                    "DELETE FROM price WHERE book_id IS NULL AND name_key = ?1 AND since > ?2",
                    params![name_key, cell(last, "since")],
                )
                .map_err(&fail)?;
        }
        Ok(())
    }
}

fn cell(row: &Columns, column: &str) -> String {
    match row.iter().find(|(name, _)| name == column) {
        Some((_, Value::Text(text))) => text.clone(),
        Some((_, Value::Integer(number))) => number.to_string(),
        Some((_, Value::Real(number))) => number.to_string(),
        _ => String::new(),
    }
}

fn id_of(row: &Columns) -> i64 {
    cell(row, "id").parse().unwrap_or(0)
}

fn range_name(row: &Columns) -> String {
    let measure = cell(row, "measure");
    let word =
        crate::balance::BalanceFigure::from_word(&measure).map_or(measure.clone(), |m| m.name().to_owned());
    format!("{} {word}", cell(row, "structure"))
}

fn range_words(row: &Columns) -> String {
    format!(
        "{} to {} ({})",
        cell(row, "low"),
        cell(row, "high"),
        cell(row, "source")
    )
}

fn price_words(row: &Columns) -> String {
    match cell(row, "offer").as_str() {
        "bought" => format!(
            "{} for {} {}",
            cell(row, "package"),
            cell(row, "price"),
            cell(row, "currency")
        )
        .trim_end()
        .to_owned(),
        other => other.to_owned(),
    }
}

/// What is known of an ingredient: fact → words.
type Facts = BTreeMap<String, String>;

fn facts(row: &Columns, values: &[Columns]) -> Facts {
    let apart = ["id", "book_id", "origin", "name_key"];
    let mut all: Facts = row
        .iter()
        .filter(|(name, _)| !apart.contains(&name.as_str()))
        .map(|(name, _)| (name.replace('_', " "), cell(row, name)))
        .collect();
    for value in values {
        let name = format!("{} {}", cell(value, "quantity"), cell(value, "convention"));
        all.insert(
            name.trim().to_owned(),
            format!(
                "{} {} ({} to {}; {}, {})",
                cell(value, "value"),
                cell(value, "unit"),
                cell(value, "low"),
                cell(value, "high"),
                cell(value, "source"),
                cell(value, "status")
            ),
        );
    }
    all
}

/// The facts that others do not share, as words.
fn words(facts: &Facts, others: &Facts) -> String {
    let differing: Vec<String> = facts
        .iter()
        .filter(|(name, value)| others.get(*name) != Some(value) && !value.is_empty())
        .map(|(name, value)| format!("{name}: {value}"))
        .collect();
    differing.join("\n")
}
