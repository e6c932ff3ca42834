//! Check one drink: no database, no clock, nothing but its text.
#![expect(clippy::print_stdout, reason = "an example prints")]

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let text = "## Distant Signal\n- 60 ml white rum\n- 22.5 ml lime juice\n- 45 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
    for drink in washline_core::check(text)? {
        let abv = drink.evaluation.figures.abv_pct.value.unwrap_or(0.0);
        println!("{}: {abv:.1} % vol", drink.name());
        for finding in &drink.evaluation.findings {
            println!("  {finding}");
        }
    }
    Ok(())
}
