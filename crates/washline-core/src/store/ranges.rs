//! The house's own ranges, over the published ones.

use rusqlite::params;

use super::{House, StoreError};
use crate::balance::{BalanceFigure, Ranges, Span, Structure};
use crate::ingredient::Convention;

impl House {
    /// The ranges that hold here under a convention: the house's own stand in the place of the core.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn ranges(&self, convention: Convention) -> Result<Ranges, StoreError> {
        let fail = self.fail();
        let mut ranges = Ranges::published(convention);
        let mut rows = self
            .db
            .prepare_cached("SELECT structure, measure, low, high, decimals, source FROM house_range")
            .map_err(&fail)?;
        let rows = rows
            .query_map([], |row| {
                let (structure, measure): (String, String) = (row.get("structure")?, row.get("measure")?);
                let span = Span {
                    low: row.get("low")?,
                    high: row.get("high")?,
                    decimals: row.get("decimals")?,
                    count: None,
                    source: row.get("source")?,
                    status: "the house's own".to_owned(),
                    own: true,
                };
                Ok((structure, measure, span))
            })
            .map_err(&fail)?;
        for row in rows {
            let (structure, measure, span) = row.map_err(&fail)?;
            if let (Some(structure), Some(measure)) =
                (Structure::named(&structure), BalanceFigure::from_word(&measure))
            {
                let band = ranges.band_mut(structure, measure);
                band.core = Some(span);
            }
        }
        Ok(ranges)
    }

    /// The same under each convention, in the order of the enum.
    pub(super) fn ranges_by_convention(&self) -> Result<[Ranges; 2], StoreError> {
        Ok([
            self.ranges(Convention::Handbook)?,
            self.ranges(Convention::Assay)?,
        ])
    }

    /// Set the house's own range of a measure in a structure, with who says so.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn set_range(
        &mut self,
        structure: Structure,
        measure: BalanceFigure,
        low: f64,
        high: f64,
        source: &str,
    ) -> Result<(), StoreError> {
        self.set_ranges(&[(structure, measure, low, high)], source)
    }

    /// Set several at once, all of them or none.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn set_ranges(
        &mut self,
        ranges: &[(Structure, BalanceFigure, f64, f64)],
        source: &str,
    ) -> Result<(), StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        for (structure, measure, low, high) in ranges {
            transaction
                .execute(
                    "INSERT INTO house_range (structure, measure, low, high, decimals, source) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
                     ON CONFLICT DO UPDATE SET low = excluded.low, high = excluded.high, decimals = excluded.decimals, source = excluded.source",
                    params![structure.name(), measure.word(), low, high, measure.decimals(), source],
                )
                .map_err(&fail)?;
        }
        let told: Vec<String> = ranges
            .iter()
            .map(|(structure, measure, low, high)| {
                format!("{} of a {} {low} to {high}", measure.name(), structure.name())
            })
            .collect();
        transaction
            .commit(&format!("range: {}", told.join("; ")))
            .map(drop)
    }

    /// Take the house's own range away again: the published one holds. Says whether there was one.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn unset_range(&mut self, structure: Structure, measure: BalanceFigure) -> Result<bool, StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        let gone = transaction
            .execute(
                "DELETE FROM house_range WHERE structure = ?1 AND measure = ?2",
                params![structure.name(), measure.word()],
            )
            .map_err(&fail)?;
        transaction.commit(&format!(
            "range: {} of a {} as published",
            measure.name(),
            structure.name()
        ))?;
        Ok(gone > 0)
    }
}
