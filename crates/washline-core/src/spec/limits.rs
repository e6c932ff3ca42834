//! How much a text may be: what no list of a bar comes near to is told before any of it is read, so that whatever is
//! given takes no more time and memory than its size.

use std::ops::Range;

use super::fault::{Fault, Unplaced};
use super::source::Source;

/// The longest line, bytes.
pub const LINE: usize = 10_000;
/// The most lines of a drink, or of what stands before the first; blank ones are not counted.
pub const LINES: usize = 500;
/// The most lines of a book, blank ones among them: twice as many as the most drinks have with twenty lines each.
pub const LINES_IN_ALL: usize = 1_000_000;
/// The longest name of a drink or a book, bytes.
pub const NAME: usize = 1_000;
/// The most drinks and preparations of a book.
pub const SECTIONS: usize = 25_000;
/// The most choices of one line (`gin or vodka or …`).
pub const CHOICES: usize = 20;
/// The most that is told of one text.
const TOLD: usize = 20;

/// What of a text is beyond the limits. `loose` is one without headings: each block between blank lines is a drink.
pub(super) fn beyond(source: &Source, loose: bool) -> Vec<Fault> {
    let mut wrongs: Vec<Unplaced> = Vec::new();
    let (mut sections, mut lines) = (0, 0);
    let mut after_blank = true;
    for (number, range) in source.lines().enumerate() {
        let text = source.text[range.clone()].trim();
        let heading = text.starts_with('#');
        if heading || loose && after_blank && !text.is_empty() {
            sections += usize::from(loose || text.starts_with("## "));
            lines = 0;
        }
        after_blank = text.is_empty();
        lines += usize::from(!after_blank);
        let mut told = |message: String| wrongs.push(Unplaced::reject(start_of(&range), message));
        if range.len() > LINE {
            told(format!(
                "a line of {} bytes; expected at most {LINE}: a step, a particular or a note a line",
                range.len()
            ));
        } else if heading && text.len() > NAME {
            told(format!(
                "a name of {} bytes; expected at most {NAME}: what else there is to say stands in a `note:`",
                text.len()
            ));
        } else if text.matches(" or ").count() >= CHOICES {
            told(format!(
                "{} choices in one line; expected at most {CHOICES}",
                text.matches(" or ").count() + 1
            ));
        }
        if lines == LINES + 1 {
            told(format!(
                "more than {LINES} lines without a heading; expected `## name` where the next drink begins"
            ));
        }
        if number == LINES_IN_ALL {
            told(format!(
                "more than {LINES_IN_ALL} lines in one book; expected at most that: cut it at its headings"
            ));
            break;
        }
        if sections == SECTIONS + 1 {
            told(format!(
                "more than {SECTIONS} drinks in one book; expected at most that: cut it at its headings"
            ));
            break;
        }
        if wrongs.len() == TOLD {
            break;
        }
    }
    wrongs.into_iter().map(|wrong| wrong.at(source)).collect()
}

/// The first byte of a line: what is too long is not shown whole.
fn start_of(line: &Range<usize>) -> Range<usize> {
    line.start..line.start
}
