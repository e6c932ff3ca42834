//! The text of a book: decoded, and with positions that can be pointed at.

use std::ops::Range;
use std::sync::OnceLock;

/// A text with the name it is known by in messages.
#[derive(Clone, Debug)]
pub struct Source {
    /// File name, or `<standard input>`.
    pub file: String,
    /// The text, without byte-order mark. Positions are byte offsets into it.
    pub text: String,
    /// Where its lines begin, found when a place is first asked for: a text may have a fault in every line.
    starts: OnceLock<Vec<usize>>,
}

impl PartialEq for Source {
    fn eq(&self, other: &Source) -> bool {
        (&self.file, &self.text) == (&other.file, &other.text)
    }
}

impl Eq for Source {}

/// The first byte that is not UTF-8.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "{file} is not UTF-8: byte {byte:#04x} at offset {offset} (line {line}){}",
    if *utf16 { "; it looks like UTF-16" } else { "" }
)]
pub struct NotUtf8 {
    /// The file.
    pub file: String,
    /// The offending byte.
    pub byte: u8,
    /// Its offset in the file, from 0.
    pub offset: usize,
    /// The line it stands in, from 1.
    pub line: usize,
    /// Whether the file begins with a UTF-16 byte-order mark.
    pub utf16: bool,
}

impl Source {
    /// A source of text already decoded.
    #[must_use]
    pub fn new(file: impl Into<String>, text: impl Into<String>) -> Source {
        let mut text = text.into();
        if text.starts_with('\u{feff}') {
            text.drain(..'\u{feff}'.len_utf8());
        }
        Source {
            file: file.into(),
            text,
            starts: OnceLock::new(),
        }
    }

    /// Decode the bytes of a file: UTF-8, with or without byte-order mark.
    ///
    /// # Errors
    /// Names the first bad byte of anything else.
    pub fn decode(file: impl Into<String>, bytes: Vec<u8>) -> Result<Source, NotUtf8> {
        let file = file.into();
        let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Source::new(file, text)),
            Err(error) => {
                let offset = error.utf8_error().valid_up_to();
                let bytes = error.as_bytes();
                let line = 1 + bytes[..offset].iter().filter(|b| **b == b'\n').count();
                Err(NotUtf8 {
                    file,
                    byte: bytes[offset],
                    offset,
                    line,
                    utf16,
                })
            }
        }
    }

    /// The lines of each section below its heading, with their numbers, from 0. Comments and notes to the reader are empty
    /// lines there. In a `loose` text, which has no headings, a blank line ends a section.
    pub(super) fn bodies(&self, loose: bool) -> Vec<Vec<(usize, &str)>> {
        let mut bodies = vec![Vec::new()];
        let mut in_comment = false;
        for (number, range) in self.lines().enumerate() {
            let line = &self.text[range];
            let text = line.trim();
            let comment = in_comment || text.starts_with("<!--");
            in_comment = comment && !text.ends_with("-->");
            if text.starts_with('#') || loose && text.is_empty() {
                bodies.push(Vec::new());
            } else if let Some(body) = bodies.last_mut() {
                let aside = comment || text.starts_with('>') || text.contains("<!--");
                body.push((number, if aside { "" } else { line }));
            }
        }
        bodies
    }

    /// The lines with their byte ranges, ends (LF, CRLF or CR) left out.
    pub fn lines(&self) -> impl Iterator<Item = Range<usize>> + '_ {
        let bytes = self.text.as_bytes();
        let mut start = 0;
        let mut done = false;
        std::iter::from_fn(move || {
            if done {
                return None;
            }
            let end = bytes[start..]
                .iter()
                .position(|b| matches!(b, b'\n' | b'\r'))
                .map(|i| start + i);
            let range = start..end.unwrap_or(bytes.len());
            match end {
                None => done = true,
                Some(end) => start = end + if bytes[end..].starts_with(b"\r\n") { 2 } else { 1 },
            }
            Some(range)
        })
    }

    /// The level-2 heading that a line (from 1) stands under, or is.
    #[must_use]
    pub fn heading_of(&self, line: usize) -> Option<&str> {
        let lines = self.lines().take(line).map(|range| self.text[range].trim());
        lines
            .filter_map(|text| text.strip_prefix("## "))
            .last()
            .map(str::trim)
    }

    /// Line and column, both from 1 and columns in characters, of a byte offset.
    #[must_use]
    pub fn position(&self, offset: usize) -> (usize, usize) {
        let starts = self
            .starts
            .get_or_init(|| self.lines().map(|line| line.start).collect());
        let line = starts.partition_point(|start| *start <= offset).max(1);
        let before = self.text.get(starts[line - 1]..offset).unwrap_or_default();
        let column = before.trim_end_matches(['\n', '\r']).chars().count() + 1;
        (line, column)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_line_end_and_a_byte_order_mark() {
        let source = Source::decode("x", b"\xef\xbb\xbfa\r\nb\rc\n".to_vec()).unwrap();
        let lines: Vec<&str> = source.lines().map(|r| &source.text[r]).collect();
        assert_eq!(lines, ["a", "b", "c", ""]);
        assert_eq!(source.position(source.text.find('c').unwrap()), (3, 1));
        let end = source.text.len();
        let places = [0, 1, 2, 3, 4, 5, end, end + 9].map(|at| source.position(at));
        assert_eq!(
            places,
            [(1, 1), (1, 2), (1, 2), (2, 1), (2, 2), (3, 1), (4, 1), (4, 1)]
        );
    }

    #[test]
    fn the_first_bad_byte_is_named() {
        let error = Source::decode("x", b"# A\ncr\xe8me".to_vec()).unwrap_err();
        assert_eq!((error.byte, error.offset, error.line), (0xe8, 6, 2));
        assert!(
            Source::decode("x", vec![0xff, 0xfe, b'a', 0])
                .unwrap_err()
                .to_string()
                .contains("UTF-16")
        );
    }
}
