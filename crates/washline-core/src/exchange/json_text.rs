//! Where a value of a JSON text stands in it, so that a fault can point at it.

use std::ops::Range;

/// Finds values in the order in which they stand.
pub(super) struct Locator<'a> {
    text: &'a str,
    within: Range<usize>,
    at: usize,
}

impl<'a> Locator<'a> {
    pub fn new(text: &'a str, within: Range<usize>) -> Locator<'a> {
        Locator {
            text,
            at: within.start,
            within,
        }
    }

    /// Where the next string of that value stands, without its quotation marks; the place reached so far where it
    /// is written in another way than is usual.
    pub fn find(&mut self, value: &str) -> Range<usize> {
        let here = self.at..self.at;
        if value.is_empty() {
            return here;
        }
        let escaped = serde_json::Value::from(value).to_string();
        // Many writers escape the solidus, and some every character that is not ASCII.
        let ways = [escaped.clone(), escaped.replace('/', "\\/"), ascii(&escaped)];
        let rest = self.text.get(self.at..self.within.end).unwrap_or_default();
        let found = ways
            .iter()
            .filter_map(|way| rest.find(way.as_str()).map(|at| (at, way.len())))
            .min();
        match found {
            Some((at, len)) => {
                let start = self.at + at;
                self.at = start + len;
                start + 1..start + len - 1
            }
            None => here,
        }
    }
}

/// A JSON string with every character beyond ASCII escaped.
fn ascii(quoted: &str) -> String {
    use std::fmt::Write as _;
    let mut text = String::with_capacity(quoted.len());
    for c in quoted.chars() {
        if c.is_ascii() {
            text.push(c);
        } else {
            let mut units = [0; 2];
            for unit in c.encode_utf16(&mut units) {
                let _ = write!(text, "\\u{unit:04x}");
            }
        }
    }
    text
}

/// The byte at a line and column as a JSON reader counts them: both from 1, columns in bytes.
pub(super) fn offset(text: &str, line: usize, column: usize) -> usize {
    let start: usize = text
        .split_inclusive('\n')
        .take(line.saturating_sub(1))
        .map(str::len)
        .sum();
    let mut at = (start + column.saturating_sub(1)).min(text.len());
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// Line breaks and tabs as they stand inside strings of many pages, made what JSON asks for. Byte offsets after one
/// move by a byte each.
pub(super) fn with_controls_escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let (mut inside, mut escaped) = (false, false);
    for c in text.chars() {
        match c {
            '"' if !escaped => inside = !inside,
            '\n' if inside => {
                out.push_str("\\n");
                escaped = false;
                continue;
            }
            '\r' if inside => {
                escaped = false;
                continue;
            }
            '\t' if inside => {
                out.push_str("\\t");
                escaped = false;
                continue;
            }
            _ => {}
        }
        escaped = c == '\\' && !escaped && inside;
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_found_in_order_however_they_are_escaped() {
        let text = r#"{"a": "1\/2 oz", "b": "cr\u00e8me", "c": "stir", "d": "stir"}"#;
        let mut locator = Locator::new(text, 0..text.len());
        assert_eq!(&text[locator.find("1/2 oz")], r"1\/2 oz");
        assert_eq!(&text[locator.find("crème")], r"cr\u00e8me");
        let first = locator.find("stir");
        assert!(locator.find("stir").start > first.start);
        assert!(locator.find("nothing").is_empty());
    }

    #[test]
    fn line_breaks_inside_strings_are_escaped_and_no_others() {
        let text = "{\n\"a\": \"one\ntwo\\\"\n\"\n}";
        let value: serde_json::Value = serde_json::from_str(&with_controls_escaped(text)).unwrap();
        assert_eq!(value["a"], "one\ntwo\"\n");
    }
}
