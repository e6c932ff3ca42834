//! A page from its template, everything put into it escaped.

use minijinja::{Environment, Value};

use crate::visible;

/// A template of ours that does not hold: a fault of this crate, not of what was given to it.
#[derive(Debug, thiserror::Error)]
#[error("the template of the page does not hold: {0}")]
pub struct PageError(#[from] minijinja::Error);

/// The page that a template makes of its values. `name` ends in `.html`: what is put in is escaped for that.
pub(crate) fn page(name: &'static str, template: &'static str, values: Value) -> Result<String, PageError> {
    let mut environment = Environment::new();
    environment.set_formatter(visible::formatter);
    environment.add_template(name, template)?;
    Ok(environment.get_template(name)?.render(values)?)
}
