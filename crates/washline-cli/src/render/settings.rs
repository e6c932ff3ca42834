//! The settings of a house on the screen.

use washline_core::measure::{Dimension, UNITS};
use washline_core::spec::Settings;

use super::style::NAME;
use super::{plain, short, table, wrapped};

/// What is set, and how large every measure is then.
pub fn settings(written: &[(String, String)], settings: &Settings) -> String {
    let mut text = format!("{NAME}Set by the house{NAME:#}\n");
    if written.is_empty() {
        text.push_str("  nothing: the ounce is US, juices are counted as the handbook does\n");
    }
    for (key, value) in written {
        text.push_str(&format!("  {}: {}\n", plain(key), plain(value)));
    }
    text.push_str(&format!("\n{NAME}Measures{NAME:#}\n"));
    let measures = settings.to_measures();
    let mut rows = table(&["  one", ">is", "published sizes", "source"]);
    for facts in &UNITS {
        let Some(size) = measures.size(facts.unit) else {
            continue;
        };
        let unit = if facts.dimension == Dimension::Mass {
            "g"
        } else {
            "ml"
        };
        let span = if size.low == size.high {
            String::new()
        } else {
            format!(
                "{} to {} {unit}",
                short(size.low.to_f64()),
                short(size.high.to_f64())
            )
        };
        rows.add_row([
            format!("  {}", facts.written.0),
            format!("{} {unit}", short(size.nominal.to_f64())),
            span,
            size.source,
        ]);
    }
    text.push_str(&rows.lines());
    text.push_str(&wrapped(
        "A book can set its own: a line such as `dash: 0.8 ml` under its title.",
        "\n",
        "",
    ));
    text
}
