//! How a figure spreads once every input has been propagated: its expectation, its standard uncertainty,
//! and the interval that holds it in 95 % of cases.
//!
//! The inputs add up to nearly a normal distribution, unless one that is not normal outweighs the rest.
//! So the largest such input keeps its own distribution, the others together are taken as normal, and the
//! two are convolved (JCGM 101:2008 gives this by simulation; for straight-edged distributions it has a
//! closed form).

use crate::ingredient::{Form, NORMAL_95};

/// A figure's distribution.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Coverage {
    /// Expectation.
    pub mean: f64,
    /// Standard deviation of the normal part.
    normal: f64,
    /// The largest input that is not normal, as its own distribution about 0.
    own: Option<Own>,
}

/// A distribution about 0 that is not normal.
#[derive(Clone, Debug, PartialEq)]
enum Own {
    /// Density made of steps: where it changes, and by how much.
    Straight(Vec<(f64, f64)>),
    /// A few values, each as likely.
    Points(Vec<f64>),
}

/// One input's part in a figure.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Part {
    /// Moves the figure by `by` a standard uncertainty.
    Spread { by: f64, form: Form },
    /// Moves the figure to one of these differences from its expectation, each as likely.
    Points(Vec<f64>),
}

impl Part {
    pub(super) fn variance(&self) -> f64 {
        match self {
            Part::Spread { by, .. } => by * by,
            Part::Points(values) => values.iter().map(|d| d * d).sum::<f64>() / values.len() as f64,
        }
    }

    fn own(&self) -> Option<Own> {
        match *self {
            Part::Spread {
                form: Form::Normal, ..
            } => None,
            Part::Spread {
                by,
                form: Form::Rectangular { low, high },
            } => {
                let (a, b) = in_order(by * low, by * high);
                let density = 1.0 / (b - a);
                Some(Own::Straight(vec![(a, density), (b, -density)]))
            }
            Part::Spread {
                by,
                form: Form::Split { low, usual, high },
            } => {
                let (a, b) = in_order(by * low, by * high);
                // A usual figure at one end would be a point: it is moved in by next to nothing.
                let little = 1e-6 * (b - a);
                let c = (by * usual).clamp(a + little, b - little);
                let (below, above) = (0.5 / (c - a), 0.5 / (b - c));
                Some(Own::Straight(vec![(a, below), (c, above - below), (b, -above)]))
            }
            Part::Points(ref values) => Some(Own::Points(values.clone())),
        }
    }
}

fn in_order(a: f64, b: f64) -> (f64, f64) {
    if a <= b { (a, b) } else { (b, a) }
}

impl Coverage {
    /// The distribution of a figure whose expectation is `mean` and that these inputs move.
    pub(super) fn of(mean: f64, parts: &[Part]) -> Coverage {
        let total: f64 = parts.iter().map(Part::variance).sum();
        let largest = parts
            .iter()
            .filter_map(|part| part.own().map(|own| (part.variance(), own)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            // A small one is as good as normal among many.
            .filter(|(variance, _)| *variance > 0.1 * total);
        match largest {
            Some((variance, own)) => Coverage {
                mean,
                // Never quite 0: the closed forms divide by it.
                normal: (total - variance).max(1e-8 * total).sqrt(),
                own: Some(own),
            },
            None => Coverage {
                mean,
                normal: total.sqrt(),
                own: None,
            },
        }
    }

    /// The share of cases in which the figure is below `x`.
    pub(super) fn below(&self, x: f64) -> f64 {
        let x = x - self.mean;
        if self.normal <= 0.0 {
            return if x < 0.0 { 0.0 } else { 1.0 };
        }
        let phi = |at: f64| cumulative((x - at) / self.normal);
        match &self.own {
            None => phi(0.0),
            Some(Own::Points(values)) => values.iter().map(|v| phi(*v)).sum::<f64>() / values.len() as f64,
            Some(Own::Straight(corners)) => corners
                .iter()
                .map(|(at, by)| {
                    let (d, s) = (x - at, self.normal);
                    let (p, q) = (phi(*at), s * density(d / s));
                    by * (d * p + q)
                })
                .sum::<f64>()
                .clamp(0.0, 1.0),
        }
    }

    /// The interval that holds the figure in 95 % of cases, as much left out below as above.
    pub(super) fn interval(&self) -> (f64, f64) {
        if self.own.is_none() {
            let half = NORMAL_95 * self.normal;
            return (self.mean - half, self.mean + half);
        }
        (self.quantile(0.025), self.quantile(0.975))
    }

    fn quantile(&self, share: f64) -> f64 {
        let reach = match &self.own {
            Some(Own::Points(values)) => values.iter().fold(0.0_f64, |m, v| m.max(v.abs())),
            Some(Own::Straight(corners)) => corners.iter().fold(0.0_f64, |m, (at, _)| m.max(at.abs())),
            None => 0.0,
        } + 6.0 * self.normal;
        let (mut low, mut high) = (self.mean - reach, self.mean + reach);
        // The share falls short at `low` and not at `high`; regula falsi with a halving when it stalls.
        let (mut f_low, mut f_high) = (-share, 1.0 - share);
        for turn in 0..60 {
            let x = if turn % 3 == 2 {
                0.5 * (low + high)
            } else {
                low - f_low * (high - low) / (f_high - f_low)
            };
            let f = self.below(x) - share;
            if f < 0.0 {
                (low, f_low) = (x, f);
            } else {
                (high, f_high) = (x, f);
            }
            if f.abs() < 1e-5 || high - low < 1e-9 * reach {
                return x;
            }
        }
        0.5 * (low + high)
    }
}

/// The standard normal distribution below `z`.
fn cumulative(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Its density.
fn density(z: f64) -> f64 {
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ingredient::Spread;
    use approx::assert_abs_diff_eq;

    fn part(by: f64, form: Form) -> Part {
        Part::Spread { by, form }
    }

    #[test]
    fn normal_inputs_have_the_usual_factor() {
        let figure = Coverage::of(10.0, &[part(3.0, Form::Normal), part(-4.0, Form::Normal)]);
        let (low, high) = figure.interval();
        assert_abs_diff_eq!(low, 10.0 - 1.96 * 5.0, epsilon = 1e-3);
        assert_abs_diff_eq!(high, 10.0 + 1.96 * 5.0, epsilon = 1e-3);
        assert_abs_diff_eq!(figure.below(10.0), 0.5, epsilon = 1e-12);
    }

    #[test]
    fn the_supplement_s_additive_model() {
        // JCGM 101:2008, 9.2.2 to 9.2.4, tables 2 to 4, from memory: Y is the sum of four inputs about 0.
        let uniform = |by: f64| part(by, Spread::rectangular(-1.0, 1.0).unwrap().form);
        let high = |parts: &[Part]| Coverage::of(0.0, parts).interval().1;
        assert_abs_diff_eq!(
            high(&[1.0, 1.0, 1.0, 1.0].map(|by| part(by, Form::Normal))),
            3.92,
            epsilon = 0.005
        );
        // Four like boxes are nearly a bell: 3.88.
        assert_abs_diff_eq!(high(&[1.0, 1.0, 1.0, 1.0].map(uniform)), 3.88, epsilon = 0.04);
        // One box of ten times the width outweighs the rest: 17.0, where k = 2 says 20.
        assert_abs_diff_eq!(high(&[1.0, 1.0, 1.0, 10.0].map(uniform)), 17.0, epsilon = 0.05);
    }

    #[test]
    fn one_box_alone_keeps_its_ends() {
        // JCGM 100:2008, 4.3.7 and G.1.2: 95 % of a rectangular distribution lies within 0.95 of its half-width,
        // k = 1.65 and not 2.
        let form = Spread::rectangular(-1.0, 1.0).unwrap().form;
        let (low, high) = Coverage::of(0.0, &[part(1.0 / 3.0_f64.sqrt(), form)]).interval();
        assert_abs_diff_eq!(low, -0.95, epsilon = 1e-3);
        assert_abs_diff_eq!(high, 0.95, epsilon = 1e-3);
    }

    #[test]
    fn two_equal_boxes_are_a_roof_within_a_few_percent() {
        // Exactly: 1.5528 half-widths (triangular); here one box and a normal of the other's width.
        let form = Spread::rectangular(-1.0, 1.0).unwrap().form;
        let by = 1.0 / 3.0_f64.sqrt();
        let (_, high) = Coverage::of(0.0, &[part(by, form), part(by, form)]).interval();
        assert_abs_diff_eq!(high, 1.5528, epsilon = 0.03);
    }

    #[test]
    fn a_lopsided_span_has_its_own_quantiles() {
        let spread = Spread::around(37.5, 40.0, 47.0).unwrap();
        for sign in [1.0, -1.0] {
            let figure = Coverage::of(sign * spread.mean, &[part(sign * spread.standard, spread.form)]);
            let (low, high) = figure.interval();
            // A twentieth of either half is left out: half of 0.025 below, and above.
            let expected = (37.5 + 0.05 * 2.5, 47.0 - 0.05 * 7.0);
            let (low, high) = if sign > 0.0 { (low, high) } else { (-high, -low) };
            assert_abs_diff_eq!(low, expected.0, epsilon = 0.01);
            assert_abs_diff_eq!(high, expected.1, epsilon = 0.01);
            // What is usual is in the middle.
            assert_abs_diff_eq!(figure.below(sign * 40.0), 0.5, epsilon = 1e-3);
        }
    }

    #[test]
    fn a_choice_of_two_lies_at_one_or_the_other() {
        let figure = Coverage::of(5.0, &[Part::Points(vec![-3.0, 3.0]), part(0.1, Form::Normal)]);
        let (low, high) = figure.interval();
        assert!(low > 1.7 && low < 2.0 && high > 8.0 && high < 8.3, "{low} {high}");
    }
}
