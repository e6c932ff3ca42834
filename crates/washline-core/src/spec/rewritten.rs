//! A line put in other words before it is read, and the way back to its places as typed.
//!
//! A line in another language becomes English, a row of a table becomes the pour it stands for. What was read of the new
//! words is put back on the places they came from, so that faults and spans point into what was typed.

use std::ops::Range;

use super::{Assumption, Unplaced};

/// A part of the new words and where it comes from, both in bytes from where their line begins.
struct Segment {
    new: Range<usize>,
    typed: Range<usize>,
    /// Whether it stands as typed, byte for byte.
    copied: bool,
    said: Option<Assumption>,
}

/// A line in other words.
#[derive(Default)]
pub(super) struct Rewritten {
    /// The new words.
    pub text: String,
    segments: Vec<Segment>,
    /// What was typed and is for the reader only.
    left: Vec<Range<usize>>,
}

impl Rewritten {
    /// Go on with the words at `typed` of the line as they stand.
    pub fn copy(&mut self, line: &str, typed: Range<usize>) {
        let from = self.text.len();
        self.text.push_str(&line[typed.clone()]);
        self.segments.push(Segment {
            new: from..self.text.len(),
            typed,
            copied: true,
            said: None,
        });
    }

    /// Go on with `means` for what stands at `typed` of the line.
    pub fn change(&mut self, typed: Range<usize>, means: &str, said: Option<Assumption>) {
        let from = self.text.len();
        self.text.push_str(means);
        self.segments.push(Segment {
            new: from..self.text.len(),
            typed,
            copied: false,
            said,
        });
    }

    /// Go on with a mark or space that nobody typed.
    pub fn join(&mut self, text: &str) {
        self.text.push_str(text);
    }

    /// What stands at `typed` of the line is not read.
    pub fn leave(&mut self, typed: Range<usize>) {
        if !typed.is_empty() {
            self.left.push(typed);
        }
    }

    /// Say `said` of the pour that the first part belongs to.
    pub fn say(&mut self, said: Assumption) {
        if let Some(first) = self.segments.first_mut() {
            first.said = Some(said);
        }
    }

    /// The place as typed of a place in the new words, both from byte `start` of the source.
    pub fn place(&self, new: &Range<usize>, start: usize) -> Range<usize> {
        let (from, to) = (new.start.saturating_sub(start), new.end.saturating_sub(start));
        let mut hull: Option<Range<usize>> = None;
        for segment in &self.segments {
            if from >= segment.new.end || segment.new.start >= to {
                continue;
            }
            let part = if segment.copied {
                let at = |i: usize| {
                    segment.typed.start + i.clamp(segment.new.start, segment.new.end) - segment.new.start
                };
                at(from)..at(to)
            } else {
                segment.typed.clone()
            };
            hull = Some(match hull {
                Some(hull) => hull.start.min(part.start)..hull.end.max(part.end),
                None => part,
            });
        }
        let hull = hull.unwrap_or_else(|| {
            let before = self.segments.iter().rev().find(|s| s.new.end <= from);
            let at = before.map_or(0, |s| s.typed.end);
            at..at
        });
        start + hull.start..start + hull.end
    }

    /// What is to be said of the changed parts that stand within `new`, which counts from byte `start` of the source.
    pub fn said_within(&self, new: &Range<usize>, start: usize) -> Vec<Assumption> {
        self.segments
            .iter()
            .filter(|s| new.start <= s.new.start + start && s.new.end + start <= new.end)
            .filter_map(|s| s.said.clone())
            .collect()
    }

    /// What was typed and is for the reader only, in bytes from where the line begins.
    pub fn left(&self) -> &[Range<usize>] {
        &self.left
    }

    /// Put a fault of the new words back on its place as typed.
    pub fn put_back_fault(&self, wrong: &mut Unplaced, start: usize) {
        wrong.span = self.place(&wrong.span, start);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `rum  40` read as `40 ml rum`: places of either cell, and of both, are those as typed.
    #[test]
    fn places_go_back_to_where_they_were_typed() {
        let typed = "rum  40";
        let mut line = Rewritten::default();
        line.copy(typed, 5..7);
        line.join(" ml ");
        line.copy(typed, 0..3);
        assert_eq!(line.text, "40 ml rum");
        assert_eq!(line.place(&(100..102), 100), 105..107);
        assert_eq!(line.place(&(106..109), 100), 100..103);
        assert_eq!(line.place(&(107..108), 100), 101..102);
        assert_eq!(line.place(&(100..109), 100), 100..107);
        assert_eq!(line.place(&(103..105), 100), 107..107);
    }

    #[test]
    fn a_changed_part_has_the_whole_place_of_what_it_stands_for() {
        let typed = "jus de citron 2 cl";
        let mut line = Rewritten::default();
        line.change(0..13, "lemon juice", None);
        line.copy(typed, 13..18);
        assert_eq!(line.text, "lemon juice 2 cl");
        assert_eq!(line.place(&(0..5), 0), 0..13);
        assert_eq!(line.place(&(12..16), 0), 14..18);
    }
}
