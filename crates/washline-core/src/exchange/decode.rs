//! From bytes to text: UTF-8, or another encoding that the caller or the page names. Never a guess.

use std::fmt;

use encoding_rs::{Encoding, UTF_8, WINDOWS_1252};

use super::html;
use crate::spec::Source;

/// Why the bytes of a file are no text: the first that is not, and what it would be in the encoding that is most
/// likely meant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Undecoded {
    /// The file.
    pub file: String,
    /// What is wrong.
    pub message: String,
    /// What can be done about it.
    pub hint: Undecoding,
}

/// What can be done about bytes that are no text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Undecoding {
    /// A name that is one of an encoding.
    NameOne,
    /// Another encoding, or UTF-8.
    NameAnother,
    /// This encoding, perhaps.
    Perhaps {
        /// Its name.
        encoding: &'static str,
        /// How the line begins, read so.
        begins: String,
    },
}

impl fmt::Display for Undecoded {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.file, self.message)
    }
}

impl std::error::Error for Undecoded {}

/// Decode the bytes of a file. A byte-order mark says what they are; else the encoding `named`; else UTF-8; else, in
/// a page, the encoding it declares.
///
/// # Errors
/// When the bytes are none of it, with what they would be as Windows-1252: that is offered, never taken.
pub fn decode(
    file: impl Into<String>,
    bytes: Vec<u8>,
    named: Option<&str>,
) -> Result<(Source, &'static str), Undecoded> {
    let file = file.into();
    let named = match named {
        None => None,
        Some(label) => Some(
            Encoding::for_label(label.trim().as_bytes()).ok_or_else(|| Undecoded {
                file: file.clone(),
                message: format!("cannot be read as `{label}`: no such encoding is known"),
                hint: Undecoding::NameOne,
            })?,
        ),
    };
    let marked = Encoding::for_bom(&bytes).map(|(encoding, _)| encoding);
    if let Some(encoding) = named.or(marked) {
        return read_as(file, &bytes, encoding);
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok((Source::new(file, text), UTF_8.name())),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let bytes = error.into_bytes();
            if let Some(declared) = html::declared_encoding(&bytes)
                && declared != UTF_8
            {
                return read_as(file, &bytes, declared);
            }
            Err(offered(file, &bytes, at))
        }
    }
}

fn read_as(
    file: String,
    bytes: &[u8],
    encoding: &'static Encoding,
) -> Result<(Source, &'static str), Undecoded> {
    let (text, used, malformed) = encoding.decode(bytes);
    if malformed {
        let broken = text.find('\u{fffd}').unwrap_or(0);
        let line = 1 + text[..broken].matches('\n').count();
        return Err(Undecoded {
            message: format!(
                "is not {}: line {line} has bytes that mean nothing in it",
                used.name()
            ),
            hint: Undecoding::NameAnother,
            file,
        });
    }
    Ok((Source::new(file, text.into_owned()), used.name()))
}

/// What stands at a byte that is not UTF-8, and how it would read in Windows-1252.
fn offered(file: String, bytes: &[u8], at: usize) -> Undecoded {
    let line = 1 + bytes[..at].iter().filter(|b| **b == b'\n').count();
    let start = bytes[..at].iter().rposition(|b| *b == b'\n').map_or(0, |n| n + 1);
    let end = bytes[at..]
        .iter()
        .position(|b| *b == b'\n')
        .map_or(bytes.len(), |n| at + n);
    let (preview, ..) = WINDOWS_1252.decode(&bytes[start..end]);
    let preview: String = preview.trim().chars().take(60).collect();
    Undecoded {
        message: format!("is not UTF-8: byte {:#04x} in line {line}", bytes[at]),
        hint: Undecoding::Perhaps {
            encoding: "windows-1252",
            begins: preview,
        },
        file,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn windows_1252_is_offered_with_a_preview_and_never_taken() {
        let bytes = b"name;x\ncr\xe8me \xbd;y\n".to_vec();
        let refused = decode("list.csv", bytes.clone(), None).unwrap_err();
        assert_eq!(refused.to_string(), "list.csv is not UTF-8: byte 0xe8 in line 2");
        assert!(matches!(refused.hint, Undecoding::Perhaps { begins, .. } if begins == "crème ½;y"));
        let (source, used) = decode("list.csv", bytes, Some("windows-1252")).unwrap();
        assert_eq!(
            (source.text.as_str(), used),
            ("name;x\ncrème ½;y\n", "windows-1252")
        );
    }

    #[test]
    fn marks_and_declarations_are_believed() {
        let utf16: Vec<u8> = [0xff, 0xfe]
            .into_iter()
            .chain("é".encode_utf16().flat_map(u16::to_le_bytes))
            .collect();
        assert_eq!(decode("x", utf16, None).unwrap().0.text, "é");
        assert_eq!(
            decode("x", b"\xef\xbb\xbf\xc3\xa9".to_vec(), None)
                .unwrap()
                .0
                .text,
            "é"
        );
        let page = b"<html><head><meta charset=\"iso-8859-1\"><title>caf\xe9</title>".to_vec();
        assert!(decode("x", page, None).unwrap().0.text.contains("café"));
        assert!(decode("x", b"\xc3".to_vec(), Some("utf-8")).is_err());
        assert!(decode("x", b"a".to_vec(), Some("klingon")).is_err());
    }
}
