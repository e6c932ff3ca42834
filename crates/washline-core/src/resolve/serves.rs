//! A spec for several drinks: the figures are those of one.

use super::{Brought, Effect, Portion, Resolved, ResolvedPour, ResolvedStep};
use crate::liquid::{Liquid, LiquidError};
use crate::measure::Amount;
use crate::spec::{Assumption, Drink};

/// Share out what was made for several; what is done for each drink stays as it is.
pub(super) fn share_out(resolved: &mut Resolved, drink: &Drink) {
    let batch = drink.batch_steps.unwrap_or(resolved.steps.len());
    let made_ml: f64 = resolved.steps[..batch.min(resolved.steps.len())]
        .iter()
        .filter_map(|step| match step {
            ResolvedStep::Pour(pour) => Some(pour.fixed()?.volume_ml),
            _ => None,
        })
        .sum();
    let each_ml = drink.each_serve_ml.map(Amount::to_f64).filter(|ml| *ml > 0.0);
    let count = match (drink.serves.map(Amount::to_f64), each_ml) {
        (Some(count), _) => count,
        // What is poured of one drink is no size of a serve.
        (None, Some(each)) if made_ml > 2.5 * each => {
            resolved.assumptions.push(Assumption::new(
                "how many it serves",
                format!(
                    "{:.0} ml made, {each:.0} ml a serve: {:.1} serves",
                    made_ml,
                    made_ml / each
                ),
                "`serves: 8` under the drink's name",
            ));
            made_ml / each
        }
        _ => return,
    };
    if !(count > 1.0 && count.is_finite()) {
        resolved.serves = Some(1.0);
        return;
    }
    resolved.serves = Some(count);
    for step in resolved.steps.iter_mut().take(batch) {
        if let ResolvedStep::Pour(pour) = step
            && let Portion::Fixed(all) = pour.portion
            && let Ok(one) = share(pour, &all, 1.0 / count)
        {
            *pour = one;
        }
    }
}

/// A share of a pour.
fn share(pour: &ResolvedPour, all: &Brought, share: f64) -> Result<ResolvedPour, LiquidError> {
    let mut one = pour.clone();
    one.portion = Portion::Fixed(all.times(share)?);
    one.others = pour
        .others
        .iter()
        .map(|other| other.times(share))
        .collect::<Result<Vec<Liquid>, _>>()?;
    for doubt in &mut one.doubts {
        if let Effect::Liquid { below, above } = &mut doubt.effect {
            *below = below.times(share)?;
            *above = above.times(share)?;
        }
    }
    Ok(one)
}
