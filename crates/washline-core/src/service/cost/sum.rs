//! A sum of money with the span it is known to, exact in decimal.

use std::collections::BTreeMap;

use rust_decimal::{Decimal, MathematicalOps};

/// A sum of money, or a share of one, with its span.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sum {
    /// What is computed.
    pub value: Decimal,
    /// Lower end: where everything yields the most.
    pub low: Decimal,
    /// Upper end: where everything yields the least.
    pub high: Decimal,
}

impl Sum {
    /// A sum without a span.
    #[must_use]
    pub fn exact(value: Decimal) -> Sum {
        Sum {
            value,
            low: value,
            high: value,
        }
    }

    /// Whether it has none.
    #[must_use]
    pub fn is_exact(&self) -> bool {
        self.low == self.high
    }

    /// Each end times a factor of 0 or more; `None` where that is larger than money can be.
    pub(super) fn times(&self, factor: Decimal) -> Option<Sum> {
        Some(Sum {
            value: self.value.checked_mul(factor)?,
            low: self.low.checked_mul(factor)?,
            high: self.high.checked_mul(factor)?,
        })
    }

    /// The largest divided by the smallest, and the other way round.
    pub(super) fn over(&self, other: &Sum) -> Option<Sum> {
        Some(Sum {
            value: self.value.checked_div(other.value)?,
            low: self.low.checked_div(other.high)?,
            high: self.high.checked_div(other.low)?,
        })
    }

    /// The product, smallest with smallest.
    pub(super) fn by(&self, other: &Sum) -> Option<Sum> {
        Some(Sum {
            value: self.value.checked_mul(other.value)?,
            low: self.low.checked_mul(other.low)?,
            high: self.high.checked_mul(other.high)?,
        })
    }
}

/// Adds sums up. What shares a cause (the limes of two lines) goes up and down together; what does not adds as
/// the root of the sum of squares, as independent things do (JCGM 100:2008, 5.1.2).
#[derive(Clone, Debug, Default)]
pub(super) struct Total {
    value: Decimal,
    /// Deviations below and above, by cause.
    causes: BTreeMap<String, (Decimal, Decimal)>,
}

impl Total {
    /// Add a sum whose span comes of `cause`; `None` where it is larger than money can be.
    pub(super) fn add(&mut self, value: Decimal) -> Option<()> {
        self.value = self.value.checked_add(value)?;
        Some(())
    }

    /// Add a deviation below and above by its cause.
    pub(super) fn spread(&mut self, cause: &str, below: Decimal, above: Decimal) -> Option<()> {
        let entry = self.causes.entry(cause.to_owned()).or_default();
        entry.0 = entry.0.checked_add(below)?;
        entry.1 = entry.1.checked_add(above)?;
        Some(())
    }

    /// What is added up so far, without its span.
    pub(super) fn value(&self) -> Decimal {
        self.value
    }

    /// Add what another has added up.
    pub(super) fn join(&mut self, other: &Total) -> Option<()> {
        self.add(other.value)?;
        for (cause, (below, above)) in &other.causes {
            self.spread(cause, *below, *above)?;
        }
        Some(())
    }

    /// The share `part` of `whole` of it.
    pub(super) fn share(&self, part: Decimal, whole: Decimal) -> Option<Total> {
        let share = |sum: Decimal| sum.checked_mul(part)?.checked_div(whole);
        let causes = self
            .causes
            .iter()
            .map(|(cause, (below, above))| Some((cause.clone(), (share(*below)?, share(*above)?))));
        Some(Total {
            value: share(self.value)?,
            causes: causes.collect::<Option<_>>()?,
        })
    }

    /// What they come to.
    pub(super) fn sum(&self) -> Option<Sum> {
        let root = |of: fn(&(Decimal, Decimal)) -> Decimal| -> Option<Decimal> {
            let mut squares = Decimal::ZERO;
            for deviation in self.causes.values().map(of) {
                squares = squares.checked_add(deviation.checked_mul(deviation)?)?;
            }
            squares.sqrt()
        };
        let (below, above) = (root(|d| d.0)?, root(|d| d.1)?);
        Some(Sum {
            value: self.value,
            low: (self.value - below).max(Decimal::ZERO),
            high: self.value.checked_add(above)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_spans_add_as_squares_and_one_cause_adds_plainly() {
        let dec = |n: i64| Decimal::from(n);
        let mut total = Total::default();
        total.add(dec(100)).unwrap();
        total.spread("limes", dec(1), dec(2)).unwrap();
        total.spread("limes", dec(2), dec(1)).unwrap();
        total.spread("dashes", dec(4), dec(4)).unwrap();
        let sum = total.sum().unwrap();
        // limes 3 and 3 together, dashes 4: 5 either way.
        assert_eq!((sum.low, sum.value, sum.high), (dec(95), dec(100), dec(105)));
    }
}
