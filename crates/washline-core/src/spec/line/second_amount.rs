//! A second amount beside the first: whether it is the same in other units, and what is made of it where it is not.

use crate::measure::{Amount, Unit};
use crate::spec::Assumption;

/// Whether two amounts can be no two ways to write one: they differ by more than a third.
pub(super) fn far_apart(first: (Amount, Unit), second: (Amount, Unit)) -> bool {
    let measures = crate::measure::Measures::default();
    let ml = |(amount, unit): (Amount, Unit)| measures.size(unit).map(|s| (amount * s.nominal).to_f64());
    match (ml(first), ml(second)) {
        (Some(a), Some(b)) => (a - b).abs() > a.max(b) / 3.0,
        _ => false,
    }
}

/// Whether a unit is a matter of the hand or the house.
pub(super) fn is_vague(unit: Option<Unit>) -> bool {
    matches!(
        unit,
        Some(
            Unit::Finger
                | Unit::Nip
                | Unit::SpiritMeasure
                | Unit::Wineglass
                | Unit::Gill
                | Unit::Glassful
                | Unit::Dram
                | Unit::Dessertspoon
                | Unit::Jigger
                | Unit::Pony
                | Unit::Shot
                | Unit::Splash
                | Unit::Pint
                | Unit::Quart
                | Unit::Gallon
                | Unit::Cup
                | Unit::Can
                | Unit::Scoop
                | Unit::Dose
                | Unit::Knob
                | Unit::Handful
                | Unit::Piece
        )
    )
}

/// A second amount beside the first: kept as a note, and checked against it.
pub(super) fn both(
    first: Amount,
    unit: Option<Unit>,
    second: Amount,
    other: Unit,
    notes: &mut Vec<String>,
    assumptions: &mut Vec<Assumption>,
) {
    let measures = crate::measure::Measures::default();
    let ml = |amount: Amount, unit: Unit| measures.size(unit).map(|s| (amount * s.nominal).to_f64());
    let said =
        |amount: Amount, unit: Unit| format!("{} {}", unit.amount_text(amount), unit.written_after(amount));
    notes.push(format!("also {}", said(second, other)));
    if let (Some(unit), Some(b)) = (unit, ml(second, other))
        && let Some(a) = ml(first, unit)
        && (a - b).abs() > 0.03 * a.max(b)
    {
        assumptions.push(Assumption::new(
            format!("{} and {}", said(first, unit), said(second, other)),
            format!(
                "the two differ by {:.0} %: the first is computed",
                100.0 * (a - b).abs() / a.max(b)
            ),
            "write one amount",
        ));
    }
}
