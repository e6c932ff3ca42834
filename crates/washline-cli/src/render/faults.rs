//! Faults with the offending text underlined.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use washline_core::spec::{Fault, FaultKind, Source};

use super::plain;
use crate::visible::in_place;

/// The most of a line that is shown, bytes.
const SHOWN: usize = 2_000;

/// The lines that a span stands in, as much of them as is shown: a book may have a fault in every line, and a line no
/// end.
fn lines_of(text: &str, span: &Range<usize>) -> Range<usize> {
    let start = text[..span.start].rfind(['\n', '\r']).map_or(0, |at| at + 1);
    let end = text[span.end..]
        .find(['\n', '\r'])
        .map_or(text.len(), |at| span.end + at);
    start..end.min(text.floor_char_boundary(span.end.max(start + SHOWN)))
}

/// Every fault, each with its place; the sources are those they came from, where they are at hand.
pub fn faults(faults: &[Fault], sources: &[Source]) -> String {
    let renderer = Renderer::styled();
    let mut text = String::new();
    for fault in faults {
        let message = plain(&fault.message);
        let title = match fault.kind {
            FaultKind::Ask => Level::WARNING.with_name("which?").primary_title(message.as_str()),
            FaultKind::Reject => Level::ERROR.primary_title(message.as_str()),
        };
        let help = match (fault.suggestions.is_empty(), fault.kind) {
            (true, _) => None,
            (false, FaultKind::Ask) => {
                Some(format!("write one of: {}", plain(&fault.suggestions.join(" | "))))
            }
            (false, FaultKind::Reject) => Some(format!("nearest: {}", plain(&fault.suggestions.join(", ")))),
        };
        let source = sources
            .iter()
            .find(|s| s.file == fault.file && s.text.get(fault.span.clone()).is_some());
        let mut group = match source {
            Some(source) => {
                let lines = lines_of(&source.text, &fault.span);
                let span = fault.span.start - lines.start..fault.span.end - lines.start;
                Group::with_title(title).element(
                    Snippet::source(in_place(&source.text[lines]))
                        .line_start(fault.line)
                        .path(plain(&fault.file))
                        .annotation(AnnotationKind::Primary.span(span)),
                )
            }
            None => {
                let place = format!(
                    "{}:{}:{}: {message}",
                    plain(&fault.file),
                    fault.line,
                    fault.column
                );
                text.push_str(&place);
                text.push('\n');
                if let Some(help) = &help {
                    text.push_str(&format!("  {help}\n"));
                }
                continue;
            }
        };
        if let Some(help) = &help {
            group = group.element(Level::HELP.message(help.as_str()));
        }
        text.push_str(&renderer.render(&[group]));
        text.push_str("\n\n");
    }
    text
}
