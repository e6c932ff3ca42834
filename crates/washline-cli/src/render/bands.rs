//! A figure's place in its bands, drawn in plain characters and readable without colour.
//!
//! ```text
//! ╌╌[──●──]╌╌    in the usual range
//! ╌○[─────]╌╌    below it, still seen
//!   [─────]╌╌◆   beyond what is seen
//! ╌╌╌╌●╌╌╌╌╌╌    no usual range; inside what is seen
//! ```

use anstyle::Style;
use washline_core::balance::{Band, Verdict};
pub use washline_pages::words::mark;

use super::style;

/// How many cells the picture takes.
pub const WIDTH: usize = 13;

/// The picture of `value` in `band`; spaces where there is no band.
pub fn picture(value: Option<f64>, band: &Band, verdict: Verdict) -> String {
    let Some(value) = value else {
        return " ".repeat(WIDTH);
    };
    let mut cells: Vec<char> = match (&band.core, &band.outer) {
        (None, None) => return " ".repeat(WIDTH),
        (Some(_), Some(_)) => " ╌╌[─────]╌╌ ".chars().collect(),
        (Some(_), None) => "   [─────]   ".chars().collect(),
        (None, Some(_)) => " ╌╌╌╌╌╌╌╌╌╌╌ ".chars().collect(),
    };
    let place = |value: f64, low: f64, high: f64, from: usize, to: usize| {
        if high <= low {
            return from + (to - from) / 2;
        }
        let share = ((value - low) / (high - low)).clamp(0.0, 1.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            clippy::cast_precision_loss,
            reason = "a share of a few cells"
        )]
        let at = from + (share * (to - from) as f64).round() as usize;
        at
    };
    use std::cmp::Ordering::{Equal, Greater, Less};
    let reach = band.reach();
    let at = match (&band.core, &reach) {
        (Some(core), outer) => match (core.place(value), outer.as_ref().map(|o| o.place(value))) {
            (Equal, _) => place(value, core.low, core.high, 4, 8),
            (Less, Some(Less) | None) => 0,
            (Greater, Some(Greater) | None) => WIDTH - 1,
            (Less, _) => outer.as_ref().map_or(0, |o| place(value, o.low, core.low, 1, 2)),
            (Greater, _) => outer
                .as_ref()
                .map_or(WIDTH - 1, |o| place(value, core.high, o.high, 10, 11)),
        },
        (None, Some(outer)) => match outer.place(value) {
            Equal => place(value, outer.low, outer.high, 1, WIDTH - 2),
            Less => 0,
            Greater => WIDTH - 1,
        },
        (None, None) => 0,
    };
    cells[at] = mark(verdict);
    let style = tint(verdict);
    let (before, mark, after): (String, char, String) = (
        cells[..at].iter().collect(),
        cells[at],
        cells[at + 1..].iter().collect(),
    );
    format!("{before}{style}{mark}{style:#}{after}")
}

/// The colour of a verdict.
pub fn tint(verdict: Verdict) -> Style {
    match verdict {
        Verdict::In => style::GOOD,
        Verdict::Edge | Verdict::TooClose => style::LOOK,
        Verdict::Outside => style::BAD,
        Verdict::NoBand => style::DIM,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use washline_core::balance::{Measured, Ranges, Structure};
    use washline_core::ingredient::Convention;

    #[test]
    fn every_picture_has_its_width() {
        let ranges = Ranges::published(Convention::Handbook);
        for structure in Structure::all() {
            for measure in Measured::ALL {
                for value in [0.0, 0.5, 5.0, 8.9, 20.0, 99.0] {
                    let picture = picture(Some(value), ranges.band(structure, measure), Verdict::NoBand);
                    let bare = anstream::adapter::strip_str(&picture).to_string();
                    assert_eq!(bare.chars().count(), WIDTH, "{bare:?}");
                }
            }
        }
    }
}
