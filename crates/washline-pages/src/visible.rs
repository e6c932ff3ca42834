//! Characters that cannot be seen, or that turn the writing round, made visible: a name in a book, a path or an argument
//! must not be able to say one thing and show another.
//!
//! Which they are: control characters; the characters that Unicode calls default-ignorable (DerivedCoreProperties,
//! Default_Ignorable_Code_Point) but for the variation selectors that emoji carry; its bidirectional controls (UAX #9);
//! the separators of lines and paragraphs.

use std::fmt::Write as _;

use minijinja::{Output, State, Value, escape_formatter};

/// Whether a character shows nothing of itself.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{3164}' | '\u{fe00}'..='\u{fe0d}' | '\u{feff}' | '\u{ffa0}'
            | '\u{fff9}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}'
            | '\u{e0000}'..='\u{e0fff}')
}

/// A hidden character as it is shown: a control picture, or its code point.
pub fn shown(c: char, text: &mut String) {
    match u32::from(c) {
        low @ 0..0x20 => text.push(char::from_u32(0x2400 + low).unwrap_or('\u{fffd}')),
        0x7f => text.push('␡'),
        code => {
            let _ = write!(text, "[U+{code:04X}]");
        }
    }
}

/// Every hidden character made visible, but for line ends and for what joins letters of scripts that need it.
pub fn visible(text: &str) -> String {
    let mut all = String::with_capacity(text.len());
    let mut before = '\0';
    let mut rest = text.chars().peekable();
    while let Some(c) = rest.next() {
        match c {
            '\n' => all.push(c),
            '\t' => all.push(' '),
            // A joiner between two letters beyond the alphabets that have none, or between two signs.
            '\u{200c}' | '\u{200d}' if joins(before) && rest.peek().is_some_and(|next| joins(*next)) => {
                all.push(c)
            }
            c if is_hidden(c) => shown(c, &mut all),
            c => all.push(c),
        }
        before = c;
    }
    all
}

fn joins(c: char) -> bool {
    // Vowel signs and viramas of the Indic scripts are no letters, and are joined as letters are.
    let indic = matches!(c, '\u{900}'..='\u{dff}');
    indic || (c >= '\u{590}' && c.is_alphabetic()) || (c >= '\u{2190}' && !is_hidden(c))
}

/// The same for what this program has styled: its own colours stay.
pub fn visible_styled(text: &str) -> String {
    let mut all = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("\u{1b}[") {
        all.push_str(&visible(&rest[..at]));
        let after = &rest[at + 2..];
        let length = after
            .bytes()
            .take_while(|b| b.is_ascii_digit() || *b == b';')
            .count();
        if after[length..].starts_with('m') {
            all.push_str(&rest[at..at + 2 + length + 1]);
            rest = &after[length + 1..];
        } else {
            shown('\u{1b}', &mut all);
            all.push('[');
            rest = after;
        }
    }
    all + &visible(rest)
}

/// How a value stands in a page: escaped for it, with nothing hidden.
pub fn formatter(
    out: &mut Output<'_>,
    state: &mut State<'_, '_>,
    value: &Value,
) -> Result<(), minijinja::Error> {
    match value.as_str().filter(|_| !value.is_safe()) {
        Some(text) if text.chars().any(|c| c != '\n' && is_hidden(c)) => {
            escape_formatter(out, state, &Value::from(visible(text)))
        }
        _ => escape_formatter(out, state, value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_hidden_is_shown() {
        assert_eq!(visible("a\u{1b}[31mb\u{7}\r"), "a␛[31mb␇␍");
        assert_eq!(
            visible("a\u{202e}b\u{200b}c\u{feff}"),
            "a[U+202E]b[U+200B]c[U+FEFF]"
        );
        assert_eq!(visible("gin\u{200d}a \u{2028}"), "gin[U+200D]a [U+2028]");
        // Letters that are joined or kept apart, and a sign put together of several.
        for whole in [
            "می\u{200c}خواهم",
            "क\u{94d}\u{200d}ष",
            "👩\u{200d}🍳",
            "❤\u{fe0f}",
            "ä ß 中",
        ] {
            assert_eq!(visible(whole), whole);
        }
    }

    #[test]
    fn colours_of_our_own_stay() {
        assert_eq!(
            visible_styled("\u{1b}[1;31mred\u{1b}[0m \u{1b}[2J\u{9b}"),
            "\u{1b}[1;31mred\u{1b}[0m ␛[2J[U+009B]"
        );
    }
}
