//! How JSON is written: indented, numbers with six decimals, nothing hidden.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::ser::{Formatter, PrettyFormatter, Serializer};
use washline_pages::visible::is_hidden;

/// What a command prints for programs. It is written as it is walked through: no tree of it is ever made.
pub fn written(shape: &impl Serialize) -> String {
    let mut bytes = Vec::new();
    // Nothing here can fail to serialise: no map has other keys than strings, and memory takes what is written.
    let _ = shape.serialize(&mut serializer(&mut bytes));
    bytes.push(b'\n');
    String::from_utf8(bytes).unwrap_or_default()
}

/// What writes so.
pub(super) fn serializer<W: Write>(to: W) -> Serializer<W, Plain> {
    Serializer::with_formatter(to, Plain(PrettyFormatter::new()))
}

pub(super) struct Plain(PrettyFormatter<'static>);

/// The same as another formatter does.
macro_rules! as_pretty {
    ($($name:ident($($argument:ident: $type:ty)?)),+ $(,)?) => {$(
        fn $name<W: ?Sized + Write>(&mut self, writer: &mut W $(, $argument: $type)?) -> io::Result<()> {
            self.0.$name(writer $(, $argument)?)
        }
    )+};
}

impl Formatter for Plain {
    as_pretty!(
        begin_array(),
        end_array(),
        begin_array_value(first: bool),
        end_array_value(),
        begin_object(),
        end_object(),
        begin_object_key(first: bool),
        begin_object_value(),
        end_object_value(),
    );

    /// Six decimals: what is beyond is arithmetic, not knowledge.
    fn write_f64<W: ?Sized + Write>(&mut self, writer: &mut W, value: f64) -> io::Result<()> {
        self.0.write_f64(writer, (value * 1e6).round() / 1e6)
    }

    /// A character that cannot be seen is written as its escape: the same value, and nothing hidden.
    fn write_string_fragment<W: ?Sized + Write>(&mut self, writer: &mut W, fragment: &str) -> io::Result<()> {
        let mut seen = 0;
        for (at, c) in fragment.char_indices() {
            if c > '\u{7e}' && is_hidden(c) {
                writer.write_all(&fragment.as_bytes()[seen..at])?;
                for unit in c.encode_utf16(&mut [0; 2]) {
                    write!(writer, "\\u{unit:04x}")?;
                }
                seen = at + c.len_utf8();
            }
        }
        writer.write_all(&fragment.as_bytes()[seen..])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_hidden_and_nothing_beyond_six_decimals() {
        let text = written(&("a\u{202e}b\u{e0041}\u{7f}ä\n", 1.0 / 3.0, f64::NAN, 2_u8));
        assert_eq!(
            text,
            "[\n  \"a\\u202eb\\udb40\\udc41\\u007fä\\n\",\n  0.333333,\n  null,\n  2\n]\n"
        );
    }
}
