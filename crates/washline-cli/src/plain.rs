//! Text from outside, made safe to show.

pub use washline_pages::visible::{visible as plain, visible_styled};

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_are_made_visible() {
        assert_eq!(plain("a\u{1b}[31mb\u{7}"), "a␛[31mb␇");
        assert_eq!(plain("a\u{202e}b"), "a[U+202E]b");
    }
}
