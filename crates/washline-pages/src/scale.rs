//! Scales with round numbers, and a figure's place on one: in hundredths of a width, so that a strip is as wide as the
//! column it stands in and its marks stay round.

use std::fmt::Write as _;

use washline_core::balance::{Band, Figure, Verdict};

use crate::words::{self, short};

/// The name of a mark in the page, told apart by shape: disc, half disc, ring, diamond, dot.
pub(crate) fn mark_id(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::In => "mi",
        Verdict::TooClose => "mt",
        Verdict::Edge => "me",
        Verdict::Outside => "mo",
        Verdict::NoBand => "mn",
    }
}

/// One decimal: a hundredth of a picture is a pixel or two.
pub(crate) fn coordinate(value: f64) -> String {
    short((value * 10.0).round() / 10.0)
}

/// A round step of which `most` is six or fewer.
fn round_step(most: f64) -> f64 {
    let most = if most.is_finite() && most > 0.0 { most } else { 1.0 };
    let rough = most / 6.0;
    let power = 10_f64.powf(rough.log10().floor());
    [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|step| *step >= rough)
        .unwrap_or(10.0 * power)
}

/// Round numbers from 0 over `most`: the step, and the end, which may lie half a step beyond the last.
pub(crate) fn round_scale(most: f64) -> (f64, f64) {
    let most = if most.is_finite() && most > 0.0 { most } else { 1.0 };
    let step = round_step(most);
    (step, (2.0 * most / step).ceil() * step / 2.0)
}

/// The steps of a scale from `low` to `end`, round numbers only.
pub(crate) fn steps_between(low: f64, step: f64, end: f64) -> Vec<f64> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "twenty steps at most"
    )]
    let count = ((end - low) / step + 1e-9).floor().clamp(1.0, 20.0) as u32;
    (0..=count).map(|i| low + f64::from(i) * step).collect()
}

/// The steps of a scale from 0.
pub(crate) fn steps(step: f64, end: f64) -> Vec<f64> {
    steps_between(0.0, step, end)
}

/// A stretch of a measure with round numbers in it, wide enough that what lies close together comes apart.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Window {
    low: f64,
    step: f64,
    high: f64,
}

impl Window {
    /// Around some values, at least so wide; it begins at nothing at the earliest.
    pub(crate) fn around(values: &[f64], least: f64) -> Window {
        let low = values.iter().copied().fold(f64::INFINITY, f64::min).max(0.0);
        let high = values.iter().copied().fold(low, f64::max);
        let spare = (0.12 * (high - low)).max((least - (high - low)) / 2.0);
        let step = round_step(high - low + 2.0 * spare);
        let low = (((low - spare) / step).floor() * step).max(0.0);
        Window {
            low,
            step,
            high: ((high + spare) / step).ceil() * step,
        }
    }

    /// Where a value stands in it, from 0 to 1.
    pub(crate) fn share(self, value: f64) -> f64 {
        ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0)
    }

    /// Its round numbers.
    pub(crate) fn steps(self) -> Vec<f64> {
        let rounded = |v: f64| (v * 1e6).round() / 1e6;
        steps_between(self.low, self.step, self.high)
            .into_iter()
            .map(rounded)
            .collect()
    }
}

/// A scale over hundredths of a width, with round numbers at its ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Scale {
    low: f64,
    high: f64,
    step: f64,
    /// Which grid of the page is its own.
    id: usize,
}

/// Numbers that an axis has at most.
const MOST_NUMBERS: usize = 4;
/// Free hundredths at each end of a strip: half a mark.
const MARGIN: f64 = 3.0;

impl Scale {
    /// A scale that holds all of some values; from nothing to one where there are none.
    pub(crate) fn over(id: usize, values: impl Iterator<Item = f64>) -> Scale {
        let (low, high) = values
            .filter(|v| v.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            });
        if low > high {
            return Scale {
                low: 0.0,
                high: 1.0,
                step: 0.5,
                id,
            };
        }
        let step = round_step((high - low).max(0.02 * high.abs()).max(0.01));
        Scale {
            low: (low / step + 1e-9).floor() * step,
            high: ((high / step - 1e-9).ceil() * step).max((low / step).floor() * step + step),
            step,
            id,
        }
    }

    fn share(self, value: f64) -> f64 {
        let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        MARGIN + (100.0 - 2.0 * MARGIN) * share
    }

    /// Where a value stands.
    pub(crate) fn at(self, value: f64) -> String {
        coordinate(self.share(value))
    }

    /// Where its round numbers stand, and what they say.
    pub(crate) fn ticks(self) -> Vec<(String, String)> {
        steps_between(self.low, self.step, self.high)
            .into_iter()
            .map(|v| (self.at(v), short((v * 1e6).round() / 1e6)))
            .collect()
    }

    /// The numbers of the scale as SVG, to stand over or under strips on it.
    pub(crate) fn axis(self) -> String {
        let mut svg = String::from("<svg class=\"axis\" aria-hidden=\"true\">");
        let ticks = self.ticks();
        // Never so many numbers that they run into each other.
        let every = ticks.len().div_ceil(MOST_NUMBERS);
        for (at, said) in ticks.into_iter().step_by(every.max(1)) {
            let _ = write!(svg, "<text x=\"{at}%\" y=\"11\">{said}</text>");
        }
        svg + "</svg>"
    }

    /// The lines at its round numbers, for the strips of the page to show.
    pub(crate) fn grid(self) -> String {
        let mut svg = format!("<g id=\"g{}\" class=\"gr\">", self.id);
        for (at, _) in self.ticks() {
            let _ = write!(svg, "<line x1=\"{at}%\" x2=\"{at}%\" y1=\"0\" y2=\"20\"/>");
        }
        svg + "</g>"
    }

    /// A figure's place on the scale, as SVG: the span of published drinks dashed, the middle half of them as a box, the
    /// figure's own interval as a bar, and its mark. In words for who does not see it.
    pub(crate) fn strip(self, figure: Figure, band: &Band, verdict: Verdict, said: &str) -> String {
        let mut svg = format!("<svg class=\"b\" role=\"img\"><title>{said}</title>");
        let _ = write!(svg, "<use href=\"#g{}\"/>", self.id);
        if let Some(seen) = band.reach() {
            let _ = write!(
                svg,
                "<line class=\"w\" x1=\"{}%\" x2=\"{}%\" y1=\"10\" y2=\"10\"/>",
                self.at(seen.low),
                self.at(seen.high)
            );
        }
        let wide = |low: f64, high: f64| {
            let (from, to) = (self.share(low), self.share(high));
            (coordinate(from), coordinate((to - from).max(0.4)))
        };
        if let Some(usual) = &band.core {
            let (from, wide) = wide(usual.low, usual.high);
            let _ = write!(svg, "<rect class=\"k\" x=\"{from}%\" width=\"{wide}%\"/>");
        }
        if let (Some(low), Some(high)) = (figure.low, figure.high) {
            let (from, wide) = wide(low, high);
            let _ = write!(svg, "<rect class=\"v\" x=\"{from}%\" width=\"{wide}%\"/>");
        }
        if let Some(value) = figure.value {
            let _ = write!(
                svg,
                "<use href=\"#s{}\" x=\"{}%\"/>",
                mark_id(verdict),
                self.at(value)
            );
        }
        svg + "</svg>"
    }
}

/// What a strip says in words: `16.0 (14.9 to 17.7), usual 15.1 to 19.2: in the usual range`. Numbers and words of ours.
pub(crate) fn said(figure: Figure, decimals: usize, ranges: &str, verdict: Verdict) -> String {
    let mut said = words::number(figure.value, decimals);
    if let Some(interval) = words::interval(figure, decimals) {
        let _ = write!(said, " ({interval})");
    }
    if !ranges.is_empty() {
        let _ = write!(said, ", {ranges}");
    }
    let _ = write!(said, ": {}", verdict.words());
    said
}

#[cfg(test)]
mod tests {
    use super::*;
    use washline_core::balance::{BalanceFigure, Ranges, Structure};
    use washline_core::ingredient::Convention;

    #[test]
    fn scales_are_round_and_hold_what_they_show() {
        for most in [0.03, 0.9, 1.38, 4.0, 18.57, 33.0, 40.0, 96.0] {
            let (step, end) = round_scale(most);
            assert!(end >= most && end < most + step + 1e-9, "{most}: {step} to {end}");
            assert!(
                (3..=7).contains(&steps(step, end).len()),
                "{most}: {step} to {end}"
            );
        }
        for odd in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            let (step, end) = round_scale(odd);
            assert!(step.is_finite() && end.is_finite() && step > 0.0);
        }
        for values in [
            vec![],
            vec![0.0],
            vec![12.5, 21.2],
            vec![0.44, 1.35],
            vec![7.0, 7.0],
            vec![-12.0, -3.0],
            vec![f64::NAN],
        ] {
            let scale = Scale::over(0, values.iter().copied());
            assert!(scale.high > scale.low, "{values:?}");
            for v in values.iter().filter(|v| v.is_finite()) {
                assert!(
                    scale.low <= *v + 1e-9 && *v <= scale.high + 1e-9,
                    "{values:?}: {scale:?}"
                );
            }
            assert!(
                (2..=9).contains(&scale.ticks().len()),
                "{values:?}: {:?}",
                scale.ticks()
            );
        }
    }

    #[test]
    fn a_figure_stands_in_its_range_beyond_it_or_where_there_is_none() {
        let ranges = Ranges::published(Convention::Handbook);
        let band = ranges.band(Structure::ShakenSour, BalanceFigure::Sweetness);
        let scale = Scale::over(0, [0.0, 20.0].into_iter());
        let place = |svg: &str| -> f64 {
            svg.split("<use href=\"#s")
                .nth(1)
                .unwrap()
                .split("x=\"")
                .nth(1)
                .unwrap()
                .split('%')
                .next()
                .unwrap()
                .parse()
                .unwrap()
        };
        let (at_0, at_7, at_20) = (
            place(&scale.strip(Figure::of(0.0), band, Verdict::In, "")),
            place(&scale.strip(Figure::of(7.0), band, Verdict::In, "")),
            place(&scale.strip(Figure::of(20.0), band, Verdict::In, "")),
        );
        assert!(at_0 < at_7 && at_7 < at_20 && at_0 >= 3.0 && at_20 <= 97.0);
        let none = scale.strip(Figure::default(), &Band::default(), Verdict::NoBand, "");
        assert!(!none.contains("href=\"#s") && !none.contains("<rect"));
    }
}
