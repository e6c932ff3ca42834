//! What changes of rows come to, in a bartender's words: so many drinks off a list, a price as it was before.

use std::collections::{BTreeMap, BTreeSet};

use super::journal::{Cells, Change, key_text, shown};
use super::prices::paid;
use super::{House, StoreError};
use crate::balance::BalanceFigure;

/// So many names are told in full; the rest is counted.
const NAMED: usize = 8;

/// The effects of changes, in order: lists first, then what stands on them, then the rest of the house.
pub(super) fn of(house: &House, changes: &[Change]) -> Result<Vec<String>, StoreError> {
    let mut told = Told {
        house,
        changes: collapsed(changes),
        said: Vec::new(),
    };
    told.sections("drink", "drink", "drinks")?;
    told.sections("preparation", "preparation", "preparations")?;
    told.versions("spec_version", "drink", "drink_id")?;
    told.versions("preparation_version", "preparation", "preparation_id")?;
    told.trials()?;
    told.weighings()?;
    told.lists()?;
    told.ingredients()?;
    told.simple();
    told.others();
    Ok(told.said)
}

/// One change a row, from what it was first to what it became last; rows that are as they were left out.
fn collapsed(changes: &[Change]) -> Vec<Change> {
    let mut order: Vec<Change> = Vec::new();
    let mut at: BTreeMap<(String, String), usize> = BTreeMap::new();
    for change in changes {
        let row = (change.table.clone(), key_text(&change.key));
        match at.get(&row) {
            Some(&i) => order[i].became.clone_from(&change.became),
            None => {
                at.insert(row, order.len());
                order.push(change.clone());
            }
        }
    }
    order.retain(|c| c.was != c.became);
    order
}

/// Names by their list, each with its place on it.
type Lists = BTreeMap<String, Vec<(i64, String)>>;

struct Told<'a> {
    house: &'a House,
    changes: Vec<Change>,
    said: Vec<String>,
}

impl Told<'_> {
    fn of_table(&self, table: &str) -> Vec<Change> {
        self.changes
            .iter()
            .filter(|c| c.table == table)
            .cloned()
            .collect()
    }

    /// A row that something points at: among the changes, as it stands, or as it last was.
    fn row(&self, table: &str, id: &str) -> Result<Option<Cells>, StoreError> {
        let changed = self
            .changes
            .iter()
            .find(|c| c.table == table && key_text(&c.key) == id)
            .and_then(|c| c.became.clone().or_else(|| c.was.clone()));
        match (changed, id.parse()) {
            (Some(row), _) => Ok(Some(row)),
            (None, Ok(id)) => self.house.row_ever(table, id),
            (None, Err(_)) => Ok(None),
        }
    }

    fn cell(&self, table: &str, id: &str, column: &str) -> Result<String, StoreError> {
        let row = self.row(table, id)?;
        Ok(row.and_then(|r| r.get(column).map(shown)).unwrap_or_default())
    }

    /// Whether a row comes or goes as a whole.
    fn comes_or_goes(&self, table: &str, id: &str) -> bool {
        self.changes
            .iter()
            .any(|c| c.table == table && key_text(&c.key) == id && (c.was.is_none() || c.became.is_none()))
    }

    /// Whether a drink or preparation has another name: then so has the head of its text.
    fn is_renamed(&self, table: &str, id: &str) -> bool {
        let name = |row: &Option<Cells>| row.as_ref().and_then(|r| r.get("name").cloned());
        self.changes
            .iter()
            .any(|c| c.table == table && key_text(&c.key) == id && name(&c.was) != name(&c.became))
    }

    /// Drinks or preparations that come on to a list, or go off it, or have another name.
    fn sections(&mut self, table: &str, one: &str, several: &str) -> Result<(), StoreError> {
        let (mut on, mut off): (Lists, Lists) = Default::default();
        let mut renamed = Vec::new();
        for change in self.of_table(table) {
            let is_on = |row: &Option<Cells>| {
                row.as_ref()
                    .is_some_and(|r| r.get("removed_at").is_none_or(serde_json::Value::is_null))
            };
            let name = change.text("name");
            let place = change.text("position").parse().unwrap_or(0);
            let list = self.cell("book", &change.text("book_id"), "title")?;
            match (is_on(&change.was), is_on(&change.became)) {
                (true, false) => off.entry(list).or_default().push((place, name)),
                (false, true) => on.entry(list).or_default().push((place, name)),
                _ => {
                    let before = change.was.as_ref().and_then(|r| r.get("name").map(shown));
                    if let Some(before) = before.filter(|before| *before != name) {
                        renamed.push(format!("calls \"{before}\" \"{name}\""));
                    }
                }
            }
        }
        for (verb, to, lists) in [("takes", "off", off), ("puts", "on", on)] {
            for (list, mut names) in lists {
                names.sort();
                let names: Vec<String> = names.into_iter().map(|(_, name)| name).collect();
                let count = counted(names.len(), one, several);
                self.said
                    .push(format!("{verb} {count} {to} \"{list}\": {}", named(&names)));
            }
        }
        self.said.extend(renamed);
        Ok(())
    }

    /// Versions of what stays where it is.
    fn versions(&mut self, table: &str, owner: &str, column: &str) -> Result<(), StoreError> {
        let mut back: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut retyped = BTreeSet::new();
        for change in self.of_table(table) {
            let id = change.text(column);
            if self.comes_or_goes(owner, &id) {
                continue;
            }
            let name = self.cell(owner, &id, "name")?;
            let number: i64 = change.text("version").parse().unwrap_or(0);
            match (&change.was, &change.became) {
                (Some(_), None) => back.entry(name).or_default().push(format!("-{number}")),
                (None, Some(_)) => back.entry(name).or_default().push(number.to_string()),
                _ if self.is_renamed(owner, &id) => {}
                _ => {
                    retyped.insert(name);
                }
            }
        }
        for (name, numbers) in back {
            let gone = numbers
                .iter()
                .filter_map(|n| n.strip_prefix('-')?.parse::<i64>().ok());
            let come = numbers
                .iter()
                .filter_map(|n| n.parse::<i64>().ok())
                .filter(|n| *n > 0);
            if let Some(first) = gone.min() {
                self.said.push(format!(
                    "\"{name}\" is as it was in version {} again",
                    first.saturating_sub(1)
                ));
            } else if let Some(last) = come.max() {
                self.said.push(format!("\"{name}\" becomes version {last}"));
            }
        }
        self.said.extend(
            retyped
                .into_iter()
                .map(|name| format!("\"{name}\" is typed otherwise, and the same drink")),
        );
        Ok(())
    }

    fn trials(&mut self) -> Result<(), StoreError> {
        for change in self.of_table("tasting") {
            let spec = change.text("spec_version_id");
            let drink = self.cell("spec_version", &spec, "drink_id")?;
            if self.comes_or_goes("drink", &drink) && self.comes_or_goes("spec_version", &spec) {
                continue;
            }
            let name = self.cell("drink", &drink, "name")?;
            let mut about = vec![change.text("verdict"), day(&change.text("tasted_at"))];
            about.push(change.text("taster"));
            self.came_or_went(
                &change,
                &format!("the tasting of \"{name}\" ({})", joined(&about)),
            );
        }
        Ok(())
    }

    fn weighings(&mut self) -> Result<(), StoreError> {
        for change in self.of_table("weighing") {
            let drink = change.text("drink_id");
            if self.comes_or_goes("drink", &drink) {
                continue;
            }
            let name = self.cell("drink", &drink, "name")?;
            let about = [
                format!("{} g to {} g", change.text("before_g"), change.text("after_g")),
                day(&change.text("weighed_at")),
            ];
            self.came_or_went(
                &change,
                &format!("the weighing of \"{name}\" ({})", joined(&about)),
            );
        }
        Ok(())
    }

    fn lists(&mut self) -> Result<(), StoreError> {
        for change in self.of_table("book") {
            let title = change.text("title");
            // Taken out of the house, a list keeps its row.
            let is_in = |row: &Option<Cells>| {
                row.as_ref()
                    .filter(|r| r.get("removed_at").is_none_or(serde_json::Value::is_null))
                    .cloned()
            };
            match (is_in(&change.was), is_in(&change.became)) {
                (Some(_), None) => self
                    .said
                    .push(format!("takes the list \"{title}\" out of the house")),
                (None, Some(_)) => self.said.push(format!("puts the list \"{title}\" in the house")),
                (Some(was), Some(_)) => {
                    let before = was.get("title").map(shown).unwrap_or_default();
                    if before != title {
                        self.said.push(format!("calls the list \"{before}\" \"{title}\""));
                    } else {
                        self.said
                            .push(format!("what stands under the title of \"{title}\" is as it was"));
                    }
                }
                (None, None) => {}
            }
        }
        // Only where nothing else is told of a list is its bare text worth a word.
        for change in self.of_table("book_text") {
            let title = self.cell("book", &change.text("book_id"), "title")?;
            if self.said.is_empty() {
                self.said
                    .push(format!("the text of \"{title}\" is as it was typed before"));
            }
        }
        Ok(())
    }

    fn ingredients(&mut self) -> Result<(), StoreError> {
        let mut touched: BTreeMap<String, Vec<String>> = BTreeMap::new();
        let mut whole: BTreeSet<String> = BTreeSet::new();
        // One that goes and comes again in the same breath, with another number, has only changed.
        let of_books: Vec<Change> = self.of_table("ingredient");
        for change in &of_books {
            let id = key_text(&change.key);
            let name = self.ingredient(&id)?;
            match (&change.was, &change.became) {
                (Some(was), Some(became)) => {
                    let facts = became
                        .iter()
                        .filter(|(column, cell)| was.get(*column) != Some(cell))
                        .map(|(column, cell)| {
                            let before = was.get(column).map(shown).unwrap_or_default();
                            format!("{} {}", column.replace('_', " "), from_to(&before, &shown(cell)))
                        });
                    touched.entry(name).or_default().extend(facts);
                }
                (was, _) => {
                    whole.insert(id.clone());
                    let other = of_books.iter().find(|o| {
                        o.key != change.key
                            && o.text("name_key") == change.text("name_key")
                            && o.text("book_id") == change.text("book_id")
                            && o.was.is_none() != was.is_none()
                    });
                    if other.is_some() {
                        touched.entry(name).or_default();
                    } else if was.is_some() {
                        self.said.push(format!("takes the ingredient {name} out"));
                    } else {
                        self.said.push(format!("puts the ingredient {name} in"));
                    }
                }
            }
        }
        for change in self.of_table("ingredient_value") {
            let id = change.text("ingredient_id");
            if whole.contains(&id) {
                continue;
            }
            let name = self.ingredient(&id)?;
            let of = |row: &Option<Cells>| row.as_ref().map(figure).unwrap_or_default();
            let (was, became) = (of(&change.was), of(&change.became));
            if was != became {
                touched.entry(name).or_default().push(format!(
                    "{} {}",
                    change.text("quantity"),
                    from_to(&was, &became)
                ));
            } else {
                touched.entry(name).or_default();
            }
        }
        for (name, facts) in touched {
            self.said.push(match facts.is_empty() {
                true => format!("the ingredient {name} is told otherwise"),
                false => format!("the ingredient {name}: {}", facts.join("; ")),
            });
        }
        Ok(())
    }

    fn ingredient(&self, id: &str) -> Result<String, StoreError> {
        let name = self.cell("ingredient", id, "name")?;
        let list = self.cell("book", &self.cell("ingredient", id, "book_id")?, "title")?;
        Ok(match list.is_empty() {
            true => format!("\"{name}\""),
            false => format!("\"{name}\" of \"{list}\""),
        })
    }

    /// Rows that say all there is to say by themselves.
    fn simple(&mut self) {
        let mut prices: BTreeMap<String, (String, String, String)> = BTreeMap::new();
        for change in self.changes.clone() {
            let was = change.was.as_ref();
            let became = change.became.as_ref();
            match change.table.as_str() {
                "setting" => {
                    let of = |row: Option<&Cells>| {
                        row.and_then(|r| r.get("value").map(shown))
                            .unwrap_or_else(|| "not set".to_owned())
                    };
                    self.said.push(format!(
                        "{} {}",
                        change.text("name"),
                        from_to(&of(was), &of(became))
                    ));
                }
                "house_range" => {
                    let of = |row: Option<&Cells>| {
                        row.map_or_else(
                            || "the published range".to_owned(),
                            |r| format!("{} to {}", number(r.get("low")), number(r.get("high"))),
                        )
                    };
                    let measure = change.text("measure");
                    let measure =
                        BalanceFigure::from_word(&measure).map_or(measure.clone(), |m| m.name().to_owned());
                    self.said.push(format!(
                        "{} of a {} {}",
                        measure,
                        change.text("structure"),
                        from_to(&of(was), &of(became))
                    ));
                }
                "price" => {
                    let of = |row: Option<&Cells>| row.map(price).unwrap_or_default();
                    let day = change.text("since");
                    let at = prices
                        .entry(format!(
                            "{}|{}|{day}",
                            change.text("book_id"),
                            change.text("name_key")
                        ))
                        .or_insert_with(|| (change.text("name"), String::new(), String::new()));
                    // A price of a book that goes and comes again is one change.
                    if was.is_some() {
                        at.1 = of(was);
                    }
                    if became.is_some() {
                        at.2 = of(became);
                    }
                }
                "house_melt" => {
                    let is_on = |row: Option<&Cells>| {
                        row.is_some_and(|r| r.get("undone_at").is_none_or(|u| u.is_null()))
                    };
                    let name = format!(
                        "the house's own melt of the {} (fit {})",
                        change.text("technique"),
                        change.text("version")
                    );
                    match (is_on(was), is_on(became)) {
                        (true, false) => self.said.push(format!("puts {name} out of force")),
                        (false, true) => self.said.push(format!("puts {name} in force")),
                        _ => self.said.push(format!("{name} is told otherwise")),
                    }
                }
                _ => {}
            }
        }
        for (at, (name, was, became)) in prices {
            if was == became {
                continue;
            }
            let day = at.rsplit('|').next().unwrap_or_default();
            let since = match day {
                "" => String::new(),
                day => format!(" since {day}"),
            };
            let none = |words: String| {
                if words.is_empty() {
                    "none".to_owned()
                } else {
                    words
                }
            };
            self.said.push(format!(
                "the price of {name}{since}: {}",
                from_to(&none(was), &none(became))
            ));
        }
    }

    /// What has no words of its own.
    fn others(&mut self) {
        const TOLD: [&str; 15] = [
            "drink",
            "preparation",
            "spec_version",
            "preparation_version",
            "step",
            "tasting",
            "weighing",
            "book",
            "book_text",
            "ingredient",
            "ingredient_value",
            "setting",
            "house_range",
            "price",
            "house_melt",
        ];
        let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
        for change in &self.changes {
            if !TOLD.contains(&change.table.as_str()) {
                *counts.entry(&change.table).or_default() += 1;
            }
        }
        for (table, count) in counts {
            self.said.push(format!(
                "changes {}",
                counted(count, table, &format!("of {table}"))
            ));
        }
        if self.said.is_empty() && !self.changes.is_empty() {
            self.said.push("only where things stand in the text".to_owned());
        }
    }

    fn came_or_went(&mut self, change: &Change, what: &str) {
        self.said.push(match (&change.was, &change.became) {
            (Some(_), None) => format!("takes {what} away"),
            (None, Some(_)) => format!("puts {what} back"),
            _ => format!("{what} is told otherwise"),
        });
    }
}

fn from_to(was: &str, became: &str) -> String {
    let none = |words: &str| if words.is_empty() { "none" } else { words }.to_owned();
    format!("{} → {}", none(was), none(became))
}

/// So many of something.
fn counted(n: usize, one: &str, several: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { several })
}

fn named(names: &[String]) -> String {
    let shown: Vec<&str> = names.iter().take(NAMED).map(String::as_str).collect();
    let more = names.len().saturating_sub(NAMED);
    match more {
        0 => shown.join("; "),
        more => format!("{}; and {more} more", shown.join("; ")),
    }
}

fn joined(parts: &[String]) -> String {
    let said: Vec<&str> = parts
        .iter()
        .map(String::as_str)
        .filter(|p| !p.is_empty())
        .collect();
    said.join(", ")
}

/// The day of a moment.
fn day(moment: &str) -> String {
    moment.get(..10).unwrap_or(moment).to_owned()
}

/// A number of the journal, as short as it can be said.
fn number(cell: Option<&serde_json::Value>) -> String {
    let text = cell.map(shown).unwrap_or_default();
    text.parse::<f64>().map_or(text, |n| n.to_string())
}

fn figure(row: &Cells) -> String {
    let text = |column: &str| row.get(column).map(shown).unwrap_or_default();
    format!(
        "{} {} ({} to {}; {})",
        number(row.get("value")),
        text("unit"),
        number(row.get("low")),
        number(row.get("high")),
        text("source")
    )
}

/// What is paid for what.
pub(super) fn price(row: &Cells) -> String {
    let text = |column: &str| row.get(column).map(shown).unwrap_or_default();
    match text("offer").as_str() {
        "bought" => paid(
            &text("price"),
            Some(text("currency").as_str()).filter(|c| !c.is_empty()),
            &text("package"),
        ),
        other => other.to_owned(),
    }
}
