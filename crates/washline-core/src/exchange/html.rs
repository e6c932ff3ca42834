//! Pages saved to disk: their title, the encoding they declare, the blocks of JSON-LD in them, and the words of a
//! fragment without its tags. Tokenised as a browser does it.

use std::ops::Range;

use encoding_rs::Encoding;
use html5gum::emitters::default::DefaultEmitter;
use html5gum::{StartTag, Token, Tokenizer};

/// What is looked for in a page.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Page {
    /// The words of its title; empty where it has none.
    pub title: String,
    /// Where each block of JSON-LD stands, tags left out.
    pub blocks: Vec<Range<usize>>,
}

fn tokens(bytes: &[u8]) -> impl Iterator<Item = Token<usize>> {
    let mut emitter = DefaultEmitter::new_with_span();
    emitter.naively_switch_states(true);
    // Reading from memory cannot fail.
    Tokenizer::new_with_emitter(bytes, emitter).filter_map(Result::ok)
}

fn attribute(tag: &StartTag<usize>, name: &[u8]) -> Option<String> {
    tag.attributes
        .get(name)
        .map(|value| String::from_utf8_lossy(value).trim().to_lowercase())
}

/// Look through a page.
pub(super) fn page(text: &str) -> Page {
    let mut page = Page::default();
    let (mut block, mut in_title) = (None, false);
    for token in tokens(text.as_bytes()) {
        match token {
            Token::StartTag(tag) => match tag.name.as_slice() {
                b"script" => {
                    let kind = attribute(&tag, b"type").unwrap_or_default();
                    let kind = kind.split(';').next().unwrap_or_default().trim();
                    block = (kind == "application/ld+json").then_some(tag.span.end);
                }
                b"title" => in_title = page.title.is_empty(),
                _ => {}
            },
            Token::EndTag(tag) => match tag.name.as_slice() {
                b"script" => {
                    if let Some(start) = block.take()
                        && text.get(start..tag.span.start).is_some()
                    {
                        page.blocks.push(start..tag.span.start);
                    }
                }
                b"title" => in_title = false,
                _ => {}
            },
            Token::String(words) if in_title => page.title.push_str(&String::from_utf8_lossy(&words)),
            _ => {}
        }
    }
    page.title = page.title.split_whitespace().collect::<Vec<_>>().join(" ");
    page
}

/// The encoding that the head of a page declares: `<meta charset=…>` or its older form.
pub(super) fn declared_encoding(bytes: &[u8]) -> Option<&'static Encoding> {
    // A declaration counts in the first 1,024 bytes (HTML Standard, 4.2.5.5).
    let head = &bytes[..bytes.len().min(1024)];
    tokens(head).find_map(|token| match token {
        Token::StartTag(tag) if tag.name.as_slice() == b"meta" => {
            let label = attribute(&tag, b"charset").or_else(|| {
                let content = attribute(&tag, b"content")?;
                let (_, label) = content.split_once("charset=")?;
                Some(label.split([';', ' ']).next().unwrap_or_default().to_owned())
            })?;
            Encoding::for_label(label.as_bytes())
        }
        _ => None,
    })
}

/// The words of a fragment, its entities decoded and its tags gone; what begins a line on a page begins one here.
pub(super) fn words(fragment: &str) -> String {
    const BREAKS: [&[u8]; 12] = [
        b"br", b"p", b"div", b"li", b"ul", b"ol", b"tr", b"h1", b"h2", b"h3", b"h4", b"section",
    ];
    let mut text = String::new();
    let mut emitter = DefaultEmitter::new_with_span();
    emitter.naively_switch_states(false);
    let tokens: Vec<Token<usize>> = Tokenizer::new_with_emitter(fragment, emitter)
        .filter_map(Result::ok)
        .collect();
    for token in tokens {
        match token {
            Token::String(words) => text.push_str(&String::from_utf8_lossy(&words)),
            Token::StartTag(tag) if BREAKS.contains(&tag.name.as_slice()) => text.push('\n'),
            Token::EndTag(tag) if BREAKS.contains(&tag.name.as_slice()) => text.push('\n'),
            _ => {}
        }
    }
    let lines: Vec<String> = text
        .lines()
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|line| !line.is_empty())
        .collect();
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_are_found_with_their_places() {
        let text = "<!doctype html><title>Caf\u{e9} &amp; bar</title>\n<script>var a = '<script type=\"application/ld+json\">';</script>\n<script TYPE='application/ld+json; charset=utf-8' id=x>{\"a\": \"</p>\"}</script><script type=text/plain>{}</script>\n<script type=\"application/ld+json\">[]</script>";
        let page = page(text);
        assert_eq!(page.title, "Café & bar");
        let blocks: Vec<&str> = page.blocks.iter().map(|b| &text[b.clone()]).collect();
        assert_eq!(blocks, ["{\"a\": \"</p>\"}", "[]"]);
    }

    #[test]
    fn words_of_a_fragment() {
        assert_eq!(
            words("<p>&frac12; oz&nbsp;gin</p><p>2 &lt; 3</p>"),
            "½ oz gin\n2 < 3"
        );
        assert_eq!(words("plain"), "plain");
        assert_eq!(words("a &amp;amp; b"), "a &amp; b");
    }
}
