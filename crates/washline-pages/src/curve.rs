//! A curve over time, with numbers on both axes.

use std::fmt::Write as _;

use crate::scale::{coordinate, round_scale, steps, steps_between};
use crate::words::short;

/// Size of a curve, in the units of its picture; on paper 88 mm wide, so that no letter is under 8.5 points.
const WIDE: f64 = 300.0;
const HIGH: f64 = 108.0;
const EM: f64 = 10.5;

/// A curve through points of time and value, as SVG. `title` and `unit` are words of ours. `mark` is a time to be marked,
/// with what it says.
pub(crate) fn curve(title: &str, across: &str, points: &[(f64, f64)], mark: Option<(f64, &str)>) -> String {
    let values = || points.iter().map(|p| p.1).filter(|v| v.is_finite());
    let (low, high) = values().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    // What stays as it is needs no curve.
    if points.len() < 2 || high - low < 0.05 || !(high - low).is_finite() {
        return String::new();
    }
    let (x_step, x_end) = round_scale(points.iter().map(|p| p.0).fold(0.0, f64::max));
    let (y_step, _) = round_scale(2.0 * (high - low));
    let (bottom_value, top_value) = (
        (low.min(0.0) / y_step).floor() * y_step,
        ((high / y_step).ceil() * y_step).max((low.min(0.0) / y_step).floor() * y_step + y_step),
    );
    let (left, right, top, bottom) = (34.0, WIDE - 6.0, 18.0, HIGH - 26.0);
    let x = |v: f64| left + (right - left) * (v / x_end).clamp(0.0, 1.0);
    let y =
        |v: f64| bottom - (bottom - top) * ((v - bottom_value) / (top_value - bottom_value)).clamp(0.0, 1.0);
    let mut svg = format!(
        "<svg class=\"curve\" viewBox=\"0 0 {WIDE} {HIGH}\" role=\"img\" font-size=\"{EM}\"><title>{title}: {} to {} over {} {across}</title>",
        short((values().next().unwrap_or(low) * 10.0).round() / 10.0),
        short((values().next_back().unwrap_or(high) * 10.0).round() / 10.0),
        short((points.last().map_or(0.0, |p| p.0) * 10.0).round() / 10.0)
    );
    let _ = write!(svg, "<text x=\"0\" y=\"{EM}\" font-weight=\"700\">{title}</text>");
    for v in steps_between(bottom_value, y_step, top_value) {
        let at = coordinate(y(v));
        let _ = write!(
            svg,
            "<line class=\"gx\" x1=\"{left}\" x2=\"{right}\" y1=\"{at}\" y2=\"{at}\"/><text x=\"{}\" y=\"{at}\" dy=\".35em\" text-anchor=\"end\">{}</text>",
            left - 5.0,
            short((v * 1e6).round() / 1e6)
        );
    }
    for v in steps(x_step, x_end) {
        let at = coordinate(x(v));
        let _ = write!(
            svg,
            "<text x=\"{at}\" y=\"{}\" text-anchor=\"middle\">{}</text>",
            bottom + EM + 3.0,
            short(v)
        );
    }
    let _ = write!(
        svg,
        "<text x=\"{right}\" y=\"{}\" text-anchor=\"end\">{across} →</text>",
        HIGH - 2.0
    );
    if let Some((at, words)) = mark.filter(|(at, _)| *at > 0.0 && *at < x_end) {
        let place = coordinate(x(at));
        let _ = write!(
            svg,
            "<line class=\"gb\" x1=\"{place}\" x2=\"{place}\" y1=\"{top}\" y2=\"{bottom}\"/><text class=\"over\" x=\"{place}\" y=\"{}\" dx=\"4\">{words}</text>",
            top + 3.0
        );
    }
    let line: Vec<String> = points
        .iter()
        .filter(|p| p.1.is_finite())
        .map(|(t, v)| format!("{} {}", coordinate(x(*t)), coordinate(y(*v))))
        .collect();
    let _ = write!(svg, "<path class=\"cv\" d=\"M{}\"/></svg>", line.join("L"));
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_curve_needs_two_points_and_has_numbers() {
        assert_eq!(curve("water, ml", "s", &[(0.0, 1.0)], None), "");
        let svg = curve(
            "temperature, °C",
            "min",
            &[(0.0, 8.5), (1.0, 5.2), (20.0, -4.0)],
            None,
        );
        assert!(
            svg.contains("<title>temperature, °C: 8.5 to -4 over 20 min</title>"),
            "{svg}"
        );
        assert!(
            svg.contains(">-5<") && svg.contains(">20<") && !svg.contains("NaN"),
            "{svg}"
        );
        assert_eq!(curve("w", "s", &[(0.0, 0.0), (1.0, 0.0)], None), "");
        assert!(curve("w", "s", &[(0.0, 0.0), (1.0, 9.0)], Some((0.5, "stop"))).contains("stop"));
    }
}
