//! A page from its template, everything put into it escaped.

use std::fmt::Write as _;

use minijinja::{Environment, Value};
use washline_core::tables::cautions;

use crate::visible::{self, visible as plain};

/// A template of ours that does not hold: a fault of this crate, not of what was given to it.
#[derive(Debug, thiserror::Error)]
#[error("the template of the page does not hold: {0}")]
pub struct PageError(#[from] minijinja::Error);

/// What templates include.
const PARTS: [(&str, &str); 3] = [
    ("head.html", include_str!("../templates/head.html")),
    ("base.css", include_str!("../templates/base.css")),
    ("marks.html", include_str!("../templates/marks.html")),
];

/// The page that a template makes of its values. `name` ends in `.html`: what is put in is escaped for that.
pub(crate) fn page(name: &'static str, template: &'static str, values: Value) -> Result<String, PageError> {
    let mut environment = Environment::new();
    environment.set_formatter(visible::formatter);
    environment.add_global("estimates", on_paper(cautions::ESTIMATES));
    environment.add_global("estimates_in_a_line", cautions::ESTIMATES_IN_A_LINE);
    environment.add_global("before_guests", cautions::BEFORE_GUESTS);
    for (name, part) in PARTS {
        environment.add_template(name, part)?;
    }
    environment.add_template(name, template)?;
    Ok(environment.get_template(name)?.render(values)?)
}

/// A text with the quotation marks of print in the place of those of a keyboard.
fn on_paper(text: &str) -> String {
    let mut opens = false;
    let turned = text.chars().map(|c| match c {
        '"' => {
            opens = !opens;
            if opens { '“' } else { '”' }
        }
        other => other,
    });
    turned.collect()
}

/// A text as a string of CSS, quotes and all: everything but letters, digits and spaces of ASCII by its code point, so that
/// nothing in it can end the string or the style.
pub(crate) fn css_text(text: &str) -> Value {
    let mut css = String::from("\"");
    for c in plain(text).chars() {
        if c.is_ascii_alphanumeric() || c == ' ' {
            css.push(c);
        } else {
            let _ = write!(css, "\\{:x} ", u32::from(c));
        }
    }
    css.push('"');
    Value::from_safe_string(css)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_ends_a_string_of_css() {
        let css = css_text("a\"}</style>\\ü\u{202e}").to_string();
        assert_eq!(
            css,
            "\"a\\22 \\7d \\3c \\2f style\\3e \\5c \\fc \\5b U\\2b 202E\\5d \""
        );
    }
}
