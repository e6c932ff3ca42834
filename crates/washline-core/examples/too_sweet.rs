//! Ask a house for what is too sweet: `cargo run --example too_sweet -- HOUSE.db`.
#![expect(clippy::print_stdout, reason = "an example prints")]

use std::path::Path;

use washline_core::balance::{BalanceFigure, Finding, Severity, Side};
use washline_core::store::{Access, House};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).ok_or("expected the file of a house")?;
    let (mut house, _) = House::open(Path::new(&path), Access::Read)?;
    for drink in house.flagged(Severity::Outside)? {
        let sweet = |finding: &&Finding| {
            matches!(
                finding,
                Finding::OffBalance {
                    measure: BalanceFigure::Sweetness,
                    side: Side::Above,
                    ..
                }
            )
        };
        if let Some(finding) = drink.evaluation.findings.iter().find(sweet) {
            println!("{} ({}): {finding}", drink.name(), drink.found_in.book);
        }
    }
    Ok(())
}
