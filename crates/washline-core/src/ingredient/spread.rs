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
    /// Likeliest at its peak, never beyond its ends (JCGM 100:2008, 4.3.9).
    Triangular {
        /// Lower end.
        low: f64,
        /// Likeliest.
        peak: f64,
        /// Upper end.
        high: f64,
    },
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

    /// From `low` to `high`, likeliest at `peak`; `None` where that is no span.
    #[must_use]
    pub fn triangular(low: f64, peak: f64, high: f64) -> Option<Spread> {
        let mean = (low + peak + high) / 3.0;
        let squares = low * low + peak * peak + high * high;
        let products = low * peak + low * high + peak * high;
        let standard = ((squares - products).max(0.0) / 18.0).sqrt();
        let ends = |x: f64| (x - mean) / standard;
        let form = Form::Triangular {
            low: ends(low),
            peak: ends(peak),
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
    /// How it spreads; `None` where it is exact. A span whose usual figure is not its middle is triangular:
    /// a class's legal limits are rarer than the strength most of its bottles have.
    #[must_use]
    pub fn spread(&self) -> Option<Spread> {
        let middle = 0.5 * (self.low + self.high);
        match self.shape {
            Shape::Exact => None,
            Shape::Normal => Spread::normal(self.low, self.high),
            Shape::Rectangular if (self.value - middle).abs() <= 1e-9 * self.high => {
                Spread::rectangular(self.low, self.high)
            }
            Shape::Rectangular => Spread::triangular(self.low, self.value, self.high),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn the_guide_s_own_shapes() {
        // JCGM 100:2008, 4.3.7: a² = (b)²/3 with half-width b; 4.3.9 note: triangular, b²/6.
        let box_shaped = Spread::rectangular(96.0, 104.0).unwrap();
        assert_abs_diff_eq!(box_shaped.mean, 100.0, epsilon = 1e-12);
        assert_abs_diff_eq!(box_shaped.standard, 4.0 / 3.0_f64.sqrt(), epsilon = 1e-12); // 2.3 °C in 4.4.5
        let roof = Spread::triangular(96.0, 100.0, 104.0).unwrap();
        assert_abs_diff_eq!(roof.standard, 4.0 / 6.0_f64.sqrt(), epsilon = 1e-12); // 1.6 °C in 4.4.6
        let bell = Spread::normal(90.0, 110.0).unwrap();
        assert_abs_diff_eq!(bell.standard, 10.0 / 1.96, epsilon = 1e-3);
        assert_eq!(Spread::rectangular(5.0, 5.0), None);
    }
}
