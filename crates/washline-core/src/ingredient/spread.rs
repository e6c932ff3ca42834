//! How a quantity that is not exactly known spreads: its expectation, its standard uncertainty and its
//! shape (JCGM 100:2008, 4.3).

use super::{Shape, Value};

/// Half the central 95 % of a normal distribution, in standard deviations.
pub(crate) const NORMAL_95: f64 = 1.959_963_984_540_054;

/// What is known of a quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Its expectation.
    pub mean: f64,
    /// Its standard uncertainty; never 0.
    pub standard: f64,
    /// Its shape, in standard uncertainties from the expectation.
    pub form: Form,
}

/// The shape of a spread, its ends in standard uncertainties from the expectation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Form {
    /// Bell-shaped.
    Normal,
    /// As likely anywhere between its ends (JCGM 100:2008, 4.3.7).
    Rectangular {
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// As often below the usual figure as above it, and as likely anywhere between it and either end.
    Split {
        /// Lower end.
        low: f64,
        /// Usual.
        usual: f64,
        /// Upper end.
        high: f64,
    },
}

impl Form {
    /// Where, in standard uncertainties from the expectation, a `share` of it lies below: 0 to 1, straight-edged forms
    /// only; the expectation of a bell.
    #[must_use]
    pub fn quantile(&self, share: f64) -> f64 {
        match *self {
            Form::Normal => 0.0,
            Form::Rectangular { low, high } => low + share * (high - low),
            Form::Split { low, usual, .. } if share < 0.5 => low + 2.0 * share * (usual - low),
            Form::Split { usual, high, .. } => usual + (2.0 * share - 1.0) * (high - usual),
        }
    }
}

impl Spread {
    /// Bell-shaped, `low` to `high` the central 95 %; `None` where that is no span.
    #[must_use]
    pub fn normal(low: f64, high: f64) -> Option<Spread> {
        spread(0.5 * (low + high), (high - low) / (2.0 * NORMAL_95), Form::Normal)
    }

    /// Anywhere from `low` to `high`; `None` where that is no span.
    #[must_use]
    pub fn rectangular(low: f64, high: f64) -> Option<Spread> {
        let end = 3.0_f64.sqrt();
        spread(
            0.5 * (low + high),
            (high - low) / 12.0_f64.sqrt(),
            Form::Rectangular { low: -end, high: end },
        )
    }

    /// From `low` to `high` round a usual figure: as often below it as above. `None` where that is no span.
    #[must_use]
    pub fn around(low: f64, usual: f64, high: f64) -> Option<Spread> {
        let (below, above) = (usual - low, high - usual);
        if (below - above).abs() <= 1e-9 * (low.abs() + high.abs()) {
            return Spread::rectangular(low, high);
        }
        let off = 0.25 * (above - below);
        let variance = (below * below + above * above) / 6.0 - off * off;
        let (mean, standard) = (usual + off, variance.max(0.0).sqrt());
        let ends = |x: f64| (x - mean) / standard;
        let form = Form::Split {
            low: ends(low),
            usual: ends(usual),
            high: ends(high),
        };
        spread(mean, standard, form)
    }

    /// One standard uncertainty below and above the expectation, never below 0.
    #[must_use]
    pub fn either_side(&self) -> (f64, f64) {
        ((self.mean - self.standard).max(0.0), self.mean + self.standard)
    }
}

fn spread(mean: f64, standard: f64, form: Form) -> Option<Spread> {
    (standard > 0.0 && standard.is_finite() && mean.is_finite()).then_some(Spread { mean, standard, form })
}

impl Value {
    /// How it spreads; `None` where it is exact. A span whose usual figure is not its middle is drawn round that
    /// figure, so that what is computed from usual figures is in the middle of its own doubt.
    #[must_use]
    pub fn spread(&self) -> Option<Spread> {
        let middle = 0.5 * (self.low + self.high);
        match self.shape {
            Shape::Exact => None,
            // What stands in a table is rounded: a hundredth of the span is no lopsidedness.
            Shape::Normal if (self.value - middle).abs() <= 0.01 * (self.high - self.low) => {
                Spread::normal(self.low, self.high)
            }
            Shape::Normal | Shape::Rectangular => Spread::around(self.low, self.value, self.high),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_guide_s_own_shapes() {
        // JCGM 100:2008, 4.3.7: a² = (b)²/3 with half-width b;
        let box_shaped = Spread::rectangular(96.0, 104.0).unwrap();
        assert_abs_diff_eq!(box_shaped.mean, 100.0, epsilon = 1e-12);
        assert_abs_diff_eq!(box_shaped.standard, 4.0 / 3.0_f64.sqrt(), epsilon = 1e-12); // 2.3 °C in 4.4.5
        let bell = Spread::normal(90.0, 110.0).unwrap();
        assert_abs_diff_eq!(bell.standard, 10.0 / 1.96, epsilon = 1e-3);
        assert_eq!(Spread::rectangular(5.0, 5.0), None);
    }

    #[test]
    fn a_span_is_drawn_round_its_usual_figure() {
        let gin = Spread::around(37.5, 40.0, 47.0).unwrap();
        assert_abs_diff_eq!(
            gin.mean + gin.standard * gin.form.quantile(0.5),
            40.0,
            epsilon = 1e-12
        );
        // By hand: half the cases between 37.5 and 40, half between 40 and 47.
        assert_abs_diff_eq!(gin.mean, 0.5 * 38.75 + 0.5 * 43.5, epsilon = 1e-12);
        let squares = 0.5 * (2.5 * 2.5 / 12.0 + 38.75 * 38.75) + 0.5 * (49.0 / 12.0 + 43.5 * 43.5);
        assert_abs_diff_eq!(
            gin.standard,
            (squares - gin.mean * gin.mean).sqrt(),
            epsilon = 1e-9
        );
        assert_eq!(
            Spread::around(96.0, 100.0, 104.0),
            Spread::rectangular(96.0, 104.0)
        );
    }
}
