//! Text from outside, made safe to show.

use crate::visible::visible;

/// Text from a file or a database made safe for a terminal: what cannot be seen becomes visible.
pub fn plain(text: &str) -> String {
    visible(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_are_made_visible() {
        assert_eq!(plain("a\u{1b}[31mb\u{7}"), "a␛[31mb␇");
        assert_eq!(plain("a\u{202e}b"), "a[U+202E]b");
    }
}
