//! What the house pays: every price that was given, with its history.

use crate::names::Expected;
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, Row, named_params};
use rust_decimal::Decimal;

use super::journal::fresh_id;
use super::{House, StoreError};
use crate::ingredient::{Bought, Lost, Offer, Package, Portion, Price, Prices, SoldBy, Tax, Yielding};
use crate::measure::{Amount, Currency};
use crate::names::key;
use crate::tables::{day, day_text};

impl House {
    /// The prices that hold on a day: the latest of each name given up to it, those of a book
    /// for its own drinks. Without a day, the latest of all.
    ///
    /// # Errors
    /// When the file cannot be read, or what stands in it is not what this program writes.
    pub fn prices(&self, on: Option<Date>) -> Result<Prices, StoreError> {
        let mut prices = Prices::default();
        for (book, price) in
            self.prices_where("?1 IS NULL OR p.since <= ?1", [on.map(|day| day.to_string())])?
        {
            prices.put(book.as_deref(), price);
        }
        Ok(prices)
    }

    /// Every price the house itself was ever given for a name, the latest first.
    ///
    /// # Errors
    /// As [`House::prices`].
    pub fn price_history(&self, name: &str) -> Result<Vec<Price>, StoreError> {
        let mut history: Vec<Price> = self
            .prices_where("p.book_id IS NULL AND p.name_key = ?1", [key(name)])?
            .into_iter()
            .map(|(_, price)| price)
            .collect();
        history.reverse();
        Ok(history)
    }

    /// Keep a price of the house's. One of the same name and day is replaced: so a slip is mended. Says
    /// whether there was one.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn keep_price(&mut self, price: &Price) -> Result<bool, StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let replaced: Option<i64> = transaction
            .query_row(
                "SELECT id FROM price WHERE book_id IS NULL AND name_key = ?1 AND since = ?2",
                [key(&price.name), day_text(price.since)],
                |row| row.get(0),
            )
            .optional()
            .map_err(&fail)?;
        match replaced {
            Some(id) => put(&transaction, id, None, price),
            None => insert(&transaction, None, price),
        }
        .map_err(&fail)?;
        transaction.commit(&format!("price of {}: {}", price.name, told(&price.offer)))?;
        Ok(replaced.is_some())
    }

    fn prices_where<P: rusqlite::Params>(
        &self,
        condition: &str,
        params: P,
    ) -> Result<Vec<(Option<String>, Price)>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT p.*, b.title FROM price p LEFT JOIN book b ON b.id = p.book_id WHERE b.removed_at IS NULL AND ({condition}) ORDER BY p.since, p.id"
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map(params, |row| {
                Ok((row.get::<_, Option<String>>("title")?, from_row(row)?))
            })
            .map_err(&fail)?;
        let mut found = Vec::new();
        for row in rows {
            let (book, price) = row.map_err(&fail)?;
            found.push((book, price.map_err(|why| self.content(why))?));
        }
        Ok(found)
    }
}

/// The word of an offer.
fn word(offer: &Offer) -> &'static str {
    match offer {
        Offer::Bought(_) => "bought",
        Offer::Free => "free",
        Offer::Withdrawn => "withdrawn",
    }
}

/// What is said of what something costs, in short.
fn told(offer: &Offer) -> String {
    match offer {
        Offer::Bought(bought) => paid(
            &bought.price.to_string(),
            bought.currency.map(Currency::code),
            &bought.package.written,
        ),
        other => word(other).to_owned(),
    }
}

/// What is paid for a package.
pub(super) fn paid(price: &str, currency: Option<&str>, package: &str) -> String {
    match currency {
        Some(currency) => format!("{price} {currency} for {package}"),
        None => format!("{price} for {package}"),
    }
}

/// The columns of a price besides its number.
const COLUMNS: [&str; 30] = [
    "name",
    "name_key",
    "book_id",
    "since",
    "offer",
    "package",
    "packs",
    "each_amount",
    "sold_by",
    "price",
    "currency",
    "tax_pct",
    "tax_included",
    "deposit",
    "yield_text",
    "yield_amount",
    "yield_low",
    "yield_high",
    "yield_unit",
    "yield_per",
    "waste_pct",
    "waste_low_pct",
    "waste_high_pct",
    "loss_pct",
    "loss_low_pct",
    "loss_high_pct",
    "portion",
    "portion_amount",
    "portion_unit",
    "source",
];

/// Those of them that hold no text, or none of the price.
const NO_TEXT: [&str; 3] = ["name_key", "book_id", "tax_included"];

/// Keep the prices that a book gives, in its order; where they are what they were, nothing is written.
pub(super) fn keep_of_book<'a>(
    db: &Connection,
    book: i64,
    prices: impl Iterator<Item = &'a Price>,
) -> rusqlite::Result<()> {
    let own: Vec<&Price> = prices.collect();
    let mut select =
        db.prepare_cached("SELECT id, name_key, since FROM price WHERE book_id = ?1 ORDER BY id")?;
    let known: Vec<(i64, String, String)> = select
        .query_map([book], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))?
        .collect::<rusqlite::Result<_>>()?;
    let in_order = own
        .iter()
        .map(|p| (key(&p.name), day_text(p.since)))
        .eq(known.iter().map(|(_, name, since)| (name.clone(), since.clone())));
    if in_order {
        for (price, (id, ..)) in own.into_iter().zip(known) {
            put(db, id, Some(book), price)?;
        }
        return Ok(());
    }
    db.execute("DELETE FROM price WHERE book_id = ?1", [book])?;
    for price in own {
        insert(db, Some(book), price)?;
    }
    Ok(())
}

/// Insert a price: of the house, or of a book.
pub(super) fn insert(db: &Connection, book: Option<i64>, price: &Price) -> rusqlite::Result<()> {
    put(db, fresh_id(db, "price")?, book, price)
}

/// Put a price in the row of that number, which may be there already.
fn put(db: &Connection, id: i64, book: Option<i64>, price: &Price) -> rusqlite::Result<()> {
    let bought = match &price.offer {
        Offer::Bought(bought) => Some(bought),
        Offer::Free | Offer::Withdrawn => None,
    };
    let text = |amount: Amount| amount.to_string();
    let package = bought.map(|b| &b.package);
    let yields = bought.and_then(|b| b.yields.as_ref());
    let waste = bought.and_then(|b| b.waste.as_ref());
    let loss = bought.and_then(|b| b.loss.as_ref());
    let tax = bought.and_then(|b| b.tax);
    let portion = price.portion.as_ref();
    let marks: Vec<String> = COLUMNS.iter().map(|c| format!(":{c}")).collect();
    let again: Vec<String> = COLUMNS.iter().map(|c| format!("{c} = excluded.{c}")).collect();
    db.prepare_cached(&format!(
        "INSERT INTO price (id, {}) VALUES (:id, {}) ON CONFLICT (id) DO UPDATE SET {}",
        COLUMNS.join(", "),
        marks.join(", "),
        again.join(", ")
    ))?
    .execute(named_params! {
        ":id": id,
        ":name": price.name,
        ":name_key": key(&price.name),
        ":book_id": book,
        ":since": day_text(price.since),
        ":offer": word(&price.offer),
        ":package": package.map(|p| &p.written),
        ":packs": package.map(|p| text(p.packs)),
        ":each_amount": package.map(|p| text(p.each)),
        ":sold_by": package.map(|p| p.by.word()),
        ":price": bought.map(|b| b.price.to_string()),
        ":currency": bought.and_then(|b| b.currency).map(Currency::code),
        ":tax_pct": tax.map(|t| t.pct.to_string()),
        ":tax_included": tax.map(|t| t.included),
        ":deposit": bought.and_then(|b| b.deposit).map(|d| d.to_string()),
        ":yield_text": yields.map(|y| &y.written),
        ":yield_amount": yields.map(|y| text(y.amount)),
        ":yield_low": yields.map(|y| text(y.low)),
        ":yield_high": yields.map(|y| text(y.high)),
        ":yield_unit": yields.map(|y| y.by.word()),
        ":yield_per": yields.map(|y| text(y.per)),
        ":waste_pct": waste.map(|l| text(l.pct)),
        ":waste_low_pct": waste.map(|l| text(l.low_pct)),
        ":waste_high_pct": waste.map(|l| text(l.high_pct)),
        ":loss_pct": loss.map(|l| text(l.pct)),
        ":loss_low_pct": loss.map(|l| text(l.low_pct)),
        ":loss_high_pct": loss.map(|l| text(l.high_pct)),
        ":portion": portion.map(|p| &p.written),
        ":portion_amount": portion.map(|p| text(p.amount)),
        ":portion_unit": portion.map(|p| p.by.word()),
        ":source": price.source,
    })?;
    Ok(())
}

/// A row as a price; or what is wrong with the row.
fn from_row(row: &Row<'_>) -> rusqlite::Result<Result<Price, Expected>> {
    let get = |column: &str| row.get::<_, Option<String>>(column);
    let mut cells = std::collections::HashMap::new();
    for column in COLUMNS.into_iter().filter(|c| !NO_TEXT.contains(c)) {
        if let Some(text) = get(column)? {
            cells.insert(column, text);
        }
    }
    let tax_included: Option<bool> = row.get("tax_included")?;
    Ok(price(&cells, tax_included))
}

fn price(
    cells: &std::collections::HashMap<&str, String>,
    tax_included: Option<bool>,
) -> Result<Price, Expected> {
    let text = |column: &str| cells.get(column).cloned().unwrap_or_default();
    let wrong = |column: &str| {
        Expected::from(format!(
            "the price of {}: {column} `{}`",
            text("name"),
            text(column)
        ))
    };
    let amount = |column: &str| text(column).parse::<Amount>().map_err(|_| wrong(column));
    let money = |column: &str| -> Result<Option<Decimal>, Expected> {
        let Some(text) = cells.get(column) else {
            return Ok(None);
        };
        let sum = Decimal::from_str_exact(text).map_err(|_| wrong(column))?;
        if sum.is_sign_negative() && !sum.is_zero() {
            return Err(wrong(column));
        }
        Ok(Some(sum))
    };
    let unit = |column: &str| SoldBy::named(&text(column)).ok_or_else(|| wrong(column));
    let lost = |pct: &str, low: &str, high: &str| -> Result<Option<Lost>, Expected> {
        if !cells.contains_key(pct) {
            return Ok(None);
        }
        let lost = Lost {
            pct: amount(pct)?,
            low_pct: amount(low)?,
            high_pct: amount(high)?,
        };
        if lost.high_pct >= Amount::raw(100, 1) {
            return Err(wrong(high));
        }
        Ok(Some(lost))
    };
    let offer = match text("offer").as_str() {
        "free" => Offer::Free,
        "withdrawn" => Offer::Withdrawn,
        "bought" => {
            let by = unit("sold_by")?;
            let yields = match cells.get("yield_text") {
                None => None,
                Some(written) => Some(Yielding {
                    written: written.clone(),
                    amount: amount("yield_amount")?,
                    low: amount("yield_low")?,
                    high: amount("yield_high")?,
                    by: unit("yield_unit")?,
                    per: amount("yield_per")?,
                    per_by: by,
                }),
            };
            let tax = match (money("tax_pct")?, tax_included) {
                (Some(pct), Some(included)) => Some(Tax { pct, included }),
                _ => None,
            };
            Offer::Bought(Bought {
                package: Package {
                    written: text("package"),
                    packs: amount("packs")?,
                    each: amount("each_amount")?,
                    by,
                },
                price: money("price")?.ok_or_else(|| wrong("price"))?,
                currency: cells
                    .get("currency")
                    .map(|code| Currency::named(code))
                    .transpose()
                    .map_err(|_| wrong("currency"))?,
                tax,
                deposit: money("deposit")?,
                yields,
                waste: lost("waste_pct", "waste_low_pct", "waste_high_pct")?,
                loss: lost("loss_pct", "loss_low_pct", "loss_high_pct")?,
            })
        }
        _ => return Err(wrong("offer")),
    };
    let portion = match cells.get("portion") {
        None => None,
        Some(written) => Some(Portion {
            written: written.clone(),
            amount: amount("portion_amount")?,
            by: unit("portion_unit")?,
        }),
    };
    Ok(Price {
        name: text("name"),
        offer,
        portion,
        source: text("source"),
        since: match text("since").as_str() {
            "" => None,
            said => Some(day(said).ok_or_else(|| wrong("since"))?),
        },
    })
}
