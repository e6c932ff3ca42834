//! Faults with the offending text underlined.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use washline_core::spec::{Fault, FaultKind, Source};

use super::plain;
use crate::visible::in_place;

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
            Some(source) => Group::with_title(title).element(
                Snippet::source(in_place(&source.text))
                    .path(plain(&fault.file))
                    .annotation(AnnotationKind::Primary.span(fault.span.clone())),
            ),
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
