//! What the house sets for all its books; a book's own settings stand over them.

use crate::names::Expected;
use rusqlite::params;

use super::{House, StoreError};
use crate::spec::Settings;

impl House {
    /// The settings of the house, each as it was written: key and value.
    ///
    /// # Errors
    /// When the file cannot be read.
    pub fn settings_written(&self) -> Result<Vec<(String, String)>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached("SELECT name, value FROM setting WHERE name <> 'library' ORDER BY name")
            .map_err(&fail)?;
        let rows = select
            .query_map([], |row| Ok((row.get("name")?, row.get("value")?)))
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// What the settings of the house come to.
    ///
    /// # Errors
    /// When the file cannot be read, or a setting in it is none.
    pub fn settings(&self) -> Result<Settings, StoreError> {
        let written = self.settings_written()?;
        let mut settings = Settings::default();
        // The ounce first: sizes may be written in it.
        for (key, value) in written.iter().filter(|(k, _)| k == "ounce").chain(&written) {
            match settings.set(key, value) {
                Ok(Some(_)) => {}
                Ok(None) => return Err(self.content(format!("the setting `{key}` is unknown"))),
                Err(expected) => {
                    return Err(self.content(format!("the setting `{key}: {value}`: {expected}")));
                }
            }
        }
        Ok(settings)
    }

    /// Set something for all books of the house. `Ok(None)` when `key` is no setting; the key and value
    /// as they are kept when it is.
    ///
    /// # Errors
    /// When the file cannot be written; what was expected, where the value is not one the setting can have.
    pub fn set(
        &mut self,
        key: &str,
        value: &str,
    ) -> Result<Result<Option<(String, String)>, Expected>, StoreError> {
        if let Some(particular @ ("season" | "tags")) = crate::spec::particular_named(key) {
            let expected =
                format!("`{particular}` is a list's or a drink's; expected it under a title or a name");
            return Ok(Err(expected.into()));
        }
        let written = match self.settings()?.set(key, value) {
            Ok(Some(written)) => written,
            other => return Ok(other),
        };
        self.keep_settings(std::slice::from_ref(&written))?;
        Ok(Ok(Some(written)))
    }

    /// Set several things at once, all of them or none.
    ///
    /// # Errors
    /// When the file cannot be written; what was expected, where one is no setting or cannot have its value.
    pub fn set_all(&mut self, settings: &[(String, String)]) -> Result<Result<(), Expected>, StoreError> {
        let mut known = self.settings()?;
        let mut all = Vec::new();
        for (key, value) in settings {
            match known.set(key, value) {
                Ok(Some(written)) => all.push(written),
                Ok(None) => return Ok(Err(Expected::new(format!("`{key}` is no setting")))),
                Err(expected) => return Ok(Err(expected.of(value, key))),
            }
        }
        self.keep_settings(&all).map(Ok)
    }

    fn keep_settings(&mut self, all: &[(String, String)]) -> Result<(), StoreError> {
        let fail = self.fail();
        let transaction = self.begin_keeping()?;
        for (key, value) in all {
            transaction
                .execute(
                    "INSERT INTO setting (name, value) VALUES (?1, ?2)
                     ON CONFLICT DO UPDATE SET value = excluded.value WHERE value <> excluded.value",
                    params![key, value],
                )
                .map_err(&fail)?;
        }
        let told: Vec<String> = all.iter().map(|(key, value)| format!("{key} {value}")).collect();
        transaction.commit(&format!("set: {}", told.join("; "))).map(drop)
    }

    /// Take a setting of the house away again. Says whether there was one.
    ///
    /// # Errors
    /// When the file cannot be written.
    pub fn unset(&mut self, key: &str) -> Result<bool, StoreError> {
        let fail = self.fail();
        let written = self.settings_written()?;
        let known = written
            .into_iter()
            .find(|(name, _)| crate::names::key(name) == crate::names::key(key));
        let Some((name, _)) = known else { return Ok(false) };
        let transaction = self.begin_keeping()?;
        transaction
            .execute("DELETE FROM setting WHERE name = ?1", [&name])
            .map_err(&fail)?;
        transaction.commit(&format!("unset: {name}"))?;
        Ok(true)
    }
}
