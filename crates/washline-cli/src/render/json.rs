//! Drinks for programs.

use washline_core::build::OverTime;
use washline_core::computed::{ComputedDrink, Prepared};
use washline_core::spec::Fault;
use washline_view::check::{Checked, Shown};

use super::written;

pub fn check(reports: &[ComputedDrink], preparations: &[Prepared], faults: &[Fault]) -> String {
    written(&Checked::of(reports, preparations, faults))
}

pub fn show(
    reports: &[ComputedDrink],
    told: &[OverTime],
    preparations: &[Prepared],
    faults: &[Fault],
) -> String {
    written(&Shown::of(reports, told, preparations, faults))
}
