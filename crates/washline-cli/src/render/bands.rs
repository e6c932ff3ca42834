//! A figure's place in its bands, drawn in plain characters and readable without colour.
//!
//! ```text
//! ╌╌[──●──]╌╌    in the usual range
//! ╌○[─────]╌╌    below it, still seen
//!   [─────]╌╌◆   beyond what is seen
//! ╌╌╌╌●╌╌╌╌╌╌    no usual range; inside what is seen
//! ```
//!
//! and narrower where there is less room.

use std::cmp::Ordering;

use anstyle::Style;
use washline_core::balance::{Band, Verdict};
pub use washline_pages::words::mark;

use super::style;

/// How much room a figure's place is drawn in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Scale {
    /// Its place to a fifth of the usual range.
    Wide,
    /// To a third of it.
    Slim,
    /// Which of five parts: far below, below, usual, above, far above.
    Dots,
    /// The mark alone, and an arrow to the side it is off to.
    Mark,
}

impl Scale {
    /// How many cells it takes.
    pub const fn width(self) -> usize {
        match self {
            Scale::Wide => 13,
            Scale::Slim => 9,
            Scale::Dots => 5,
            Scale::Mark => 2,
        }
    }

    /// What its signs mean.
    pub const fn legend(self) -> &'static str {
        match self {
            Scale::Wide | Scale::Slim => {
                "[ ] where half of the published drinks of its family lie, ╌ nine tenths"
            }
            Scale::Dots => "─ where half of the published drinks of its family lie, ╌ nine tenths, · beyond",
            Scale::Mark => "↓ below and ↑ above where half of the published drinks of its family lie",
        }
    }
}

/// The cells of a drawn scale: the ends, and from where to where its parts go.
struct Drawn {
    both: &'static str,
    usual_only: &'static str,
    seen_only: &'static str,
    below: (usize, usize),
    usual: (usize, usize),
    above: (usize, usize),
}

const WIDE: Drawn = Drawn {
    both: " ╌╌[─────]╌╌ ",
    usual_only: "   [─────]   ",
    seen_only: " ╌╌╌╌╌╌╌╌╌╌╌ ",
    below: (1, 2),
    usual: (4, 8),
    above: (10, 11),
};
const SLIM: Drawn = Drawn {
    both: " ╌[───]╌ ",
    usual_only: "  [───]  ",
    seen_only: " ╌╌╌╌╌╌╌ ",
    below: (1, 1),
    usual: (3, 5),
    above: (7, 7),
};
const DOTS: Drawn = Drawn {
    both: "·╌─╌·",
    usual_only: "··─··",
    seen_only: "·╌╌╌·",
    below: (1, 1),
    usual: (2, 2),
    above: (3, 3),
};

/// The picture of `value` in `band`; spaces where there is no band.
pub fn picture(value: Option<f64>, band: &Band, verdict: Verdict, scale: Scale) -> String {
    let blank = || " ".repeat(scale.width());
    let Some(value) = value else {
        return blank();
    };
    if band.core.is_none() && band.outer.is_none() {
        return blank();
    }
    let style = tint(verdict);
    let mark = mark(verdict);
    let drawn = match scale {
        Scale::Wide => &WIDE,
        Scale::Slim => &SLIM,
        Scale::Dots => &DOTS,
        Scale::Mark => {
            let arrow = if verdict == Verdict::In {
                ' '
            } else {
                side(value, band)
            };
            return format!("{style}{mark}{style:#}{arrow}");
        }
    };
    let cells: Vec<char> = match (&band.core, &band.outer) {
        (Some(_), Some(_)) => drawn.both,
        (Some(_), None) => drawn.usual_only,
        (None, _) => drawn.seen_only,
    }
    .chars()
    .collect();
    let at = cell(value, band, drawn, cells.len());
    let (before, after): (String, String) = (cells[..at].iter().collect(), cells[at + 1..].iter().collect());
    format!("{before}{style}{mark}{style:#}{after}")
}

/// Which way a figure lies from what is usual, as an arrow.
fn side(value: f64, band: &Band) -> char {
    match band
        .core
        .as_ref()
        .or(band.outer.as_ref())
        .map(|span| span.place(value))
    {
        Some(Ordering::Less) => '↓',
        Some(Ordering::Greater) => '↑',
        _ => ' ',
    }
}

/// The cell a figure stands in.
fn cell(value: f64, band: &Band, drawn: &Drawn, width: usize) -> usize {
    use Ordering::{Equal, Greater, Less};
    let reach = band.reach();
    match (&band.core, &reach) {
        (Some(core), outer) => match (core.place(value), outer.as_ref().map(|o| o.place(value))) {
            (Equal, _) => share(value, core.low, core.high, drawn.usual),
            (Less, Some(Less) | None) => 0,
            (Greater, Some(Greater) | None) => width - 1,
            (Less, _) => outer
                .as_ref()
                .map_or(0, |o| share(value, o.low, core.low, drawn.below)),
            (Greater, _) => outer
                .as_ref()
                .map_or(width - 1, |o| share(value, core.high, o.high, drawn.above)),
        },
        (None, Some(outer)) => match outer.place(value) {
            Equal => share(value, outer.low, outer.high, (drawn.below.0, drawn.above.1)),
            Less => 0,
            Greater => width - 1,
        },
        (None, None) => 0,
    }
}

/// The cell of `from` to `to` that a value between two ends falls in.
fn share(value: f64, low: f64, high: f64, (from, to): (usize, usize)) -> usize {
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
    use washline_core::balance::{BalanceFigure, Ranges, Structure};
    use washline_core::ingredient::Convention;

    #[test]
    fn every_picture_has_its_width() {
        let ranges = Ranges::published(Convention::Handbook);
        for structure in Structure::all() {
            for measure in BalanceFigure::ALL {
                for value in [0.0, 0.5, 5.0, 8.9, 20.0, 99.0] {
                    for scale in [Scale::Wide, Scale::Slim, Scale::Dots, Scale::Mark] {
                        let band = ranges.band(structure, measure);
                        let picture = picture(Some(value), band, Verdict::NoBand, scale);
                        let bare = anstream::adapter::strip_str(&picture).to_string();
                        assert_eq!(bare.chars().count(), scale.width(), "{bare:?}");
                    }
                }
            }
        }
    }
}
