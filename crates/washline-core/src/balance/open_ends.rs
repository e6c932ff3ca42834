//! What the writer left open shows in the figures: ranges, vague words, dashes and spoons, open pours,
//! choices.
//!
//! Each is varied by itself from its least to its most with all else as computed; the deviations of
//! independent things add as the root of the sum of squares. This is the span of what was written,
//! not yet of what limes and hands do.

use super::Figures;
use crate::build::build;
use crate::resolve::{Resolved, ResolvedPour, ResolvedStep};

/// Figures that a drink would have with one pour other than computed.
fn varied(drink: &Resolved) -> Figures {
    super::nominal(drink, &build(drink))
}

fn is_open(pour: &ResolvedPour) -> bool {
    pour.factor_span != (1.0, 1.0) || !pour.others.is_empty()
}

/// Set the lower and upper ends of every figure that something left open moves.
pub(super) fn spread(drink: &Resolved, figures: &mut Figures) {
    let open: Vec<usize> = drink
        .steps
        .iter()
        .enumerate()
        .filter(|(_, step)| matches!(step, ResolvedStep::Pour(pour) if is_open(pour)))
        .map(|(at, _)| at)
        .collect();
    if open.is_empty() {
        return;
    }
    let mut changed = drink.clone();
    // Squared deviations below and above, for each figure.
    let mut squares = figures.named().map(|_| (0.0_f64, 0.0_f64));
    for at in open {
        let Some(ResolvedStep::Pour(pour)) = drink.steps.get(at) else {
            continue;
        };
        let mut ends: Vec<ResolvedPour> = [pour.factor_span.0, pour.factor_span.1]
            .into_iter()
            .filter_map(|factor| {
                // A pour that fills is a millilitre of itself: only what is assumed of its volume varies.
                let liquid = if pour.fills {
                    pour.liquid
                } else {
                    pour.liquid.times(factor).ok()?
                };
                Some(ResolvedPour {
                    liquid,
                    volume_ml: pour.volume_ml * factor,
                    ..pour.clone()
                })
            })
            .collect();
        ends.extend(pour.others.iter().map(|other| ResolvedPour {
            liquid: *other,
            ..pour.clone()
        }));
        let mut extremes = squares.map(|_| (0.0_f64, 0.0_f64));
        for end in ends {
            changed.steps[at] = ResolvedStep::Pour(end);
            for ((extreme, (_, figure)), (_, nominal)) in extremes
                .iter_mut()
                .zip(varied(&changed).named())
                .zip(figures.named())
            {
                if let (Some(value), Some(nominal)) = (figure.value, nominal.value) {
                    extreme.0 = extreme.0.min(value - nominal);
                    extreme.1 = extreme.1.max(value - nominal);
                }
            }
        }
        changed.steps[at] = drink.steps[at].clone();
        for (square, extreme) in squares.iter_mut().zip(extremes) {
            square.0 += extreme.0 * extreme.0;
            square.1 += extreme.1 * extreme.1;
        }
    }
    for ((name, figure), (below, above)) in figures.named().into_iter().zip(squares) {
        if let (Some(value), Some(figure)) = (figure.value, figures.by_name(name))
            && (below > 0.0 || above > 0.0)
        {
            figure.low = Some((value - below.sqrt()).max(0.0));
            figure.high = Some(value + above.sqrt());
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::spec::Source;
    use crate::store::House;

    fn abv(lines: &str) -> crate::balance::Figure {
        let mut house = House::in_memory().unwrap();
        let source = Source::new("t", format!("# T\n\n## D\n{lines}- stir\n- strain\n"));
        assert_eq!(house.take_what_reads(&[source]).unwrap(), []);
        house.reports().unwrap()[0].evaluation.figures.abv_pct
    }

    #[test]
    fn what_is_exact_has_no_span_and_what_is_open_has_one() {
        let exact = abv("- 60 ml gin\n- 20 ml dry vermouth\n");
        assert_eq!((exact.low, exact.high), (None, None));
        let range = abv("- 60 ml gin\n- 20-30 ml dry vermouth\n");
        assert_eq!(range.value, exact.value);
        // Computed with the lower amount: the drink can only be weaker.
        assert_eq!(range.high, range.value);
        let most = abv("- 60 ml gin\n- 30 ml dry vermouth\n");
        approx::assert_abs_diff_eq!(range.low.unwrap(), most.value.unwrap(), epsilon = 1e-9);
    }

    #[test]
    fn a_choice_spans_its_candidates() {
        let choice = abv("- 60 ml vodka or mezcal\n- 20 ml dry vermouth\n");
        let other = abv("- 60 ml mezcal\n- 20 ml dry vermouth\n");
        approx::assert_abs_diff_eq!(choice.high.unwrap(), other.value.unwrap(), epsilon = 1e-9);
        let any = abv("- 60 ml gin\n- 20 ml any vermouth\n");
        assert!(any.low.unwrap() < any.value.unwrap() || any.high.unwrap() > any.value.unwrap());
    }
}
