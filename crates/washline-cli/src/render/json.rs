//! Drinks for programs.

use washline_core::build::OverTime;
use washline_core::computed::{ComputedDrink, Prepared};
use washline_core::spec::Fault;
use washline_view::check::{Checked, Shown};

use super::written;

/// A list of drinks that are at hand, in the shape of a check.
pub fn drinks_alone(reports: &[ComputedDrink]) -> String {
    written(&Checked::of(reports, &[], &[]))
}

pub fn show(
    reports: &[ComputedDrink],
    told: &[OverTime],
    preparations: &[Prepared],
    faults: &[Fault],
) -> String {
    written(&Shown::of(reports, told, preparations, faults))
}
