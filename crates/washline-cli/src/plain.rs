//! Text from outside, made safe to show.

/// Text from a file or a database made safe for a terminal: control characters become visible.
pub fn plain(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' => c,
            '\t' => ' ',
            c if u32::from(c) < 0x20 => char::from_u32(0x2400 + u32::from(c)).unwrap_or('\u{fffd}'),
            '\u{7f}' => '␡',
            c if c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}') => {
                '\u{fffd}'
            }
            c => c,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_are_made_visible() {
        assert_eq!(plain("a\u{1b}[31mb\u{7}"), "a␛[31mb␇");
        assert_eq!(plain("a\u{202e}b"), "a\u{fffd}b");
    }
}
