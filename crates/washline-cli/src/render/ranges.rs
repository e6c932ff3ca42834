//! Ranges on the screen, and the rows of spans that books of drinks come to.

use std::fmt::Write as _;

use washline_core::balance::published;
use washline_core::balance::{BalanceFigure, Family, Ranges, Span, SpanRow, Structure};
use washline_core::ingredient::Convention;

use super::style::{DIM, NAME};
use super::{paragraph, plain, printed, table, wrapped};

/// The bands of every structure, or of one.
pub fn ranges(
    ranges: &Ranges,
    structures: &[Structure],
    families: &[Family],
    convention: Convention,
) -> String {
    let mut text = String::new();
    for family in families {
        text.push_str(&of_family(*family, convention));
    }
    if !structures.is_empty() && !families.is_empty() {
        let voice = "By how a drink is made: one voice beside the published drinks";
        text.push_str(&wrapped(&format!("{DIM}{voice}{DIM:#}"), "", "  "));
        text.push('\n');
    }
    for &structure in structures {
        text.push_str(&titled(structure.name(), structure.rule()));
        let mut rows = table(&["", "usual", "seen", ">drinks"]);
        let mut sources: Vec<String> = Vec::new();
        let mut any = false;
        for measure in BalanceFigure::ALL {
            let band = ranges.band(structure, measure);
            let printed = |span: &Option<Span>| span.as_ref().map_or_else(printed::none, Span::printed);
            if band.core.is_none() && band.outer.is_none() {
                continue;
            }
            any = true;
            for (word, span) in [("usual", &band.core), ("seen", &band.outer)] {
                let said = span
                    .as_ref()
                    .map(|s| format!("{word}: {} ({})", plain(&s.source), plain(&s.status)));
                sources.extend(said.filter(|said| !sources.contains(said)));
            }
            rows.add_row([
                format!("  {} {}", measure.name(), measure.unit()),
                printed(&band.core),
                printed(&band.outer),
                band.outer
                    .as_ref()
                    .and_then(|o| o.count)
                    .map_or_else(String::new, |n| n.to_string()),
            ]);
        }
        text.push_str(&if any {
            rows.lines()
        } else {
            "  no published range: figures, and no verdict\n".to_owned()
        });
        for measure in BalanceFigure::ALL {
            let band = ranges.band(structure, measure);
            let (Some(core), Some(outer)) = (&band.core, &band.outer) else {
                continue;
            };
            if !core.meets(outer.low, outer.high) {
                let told = format!(
                    "{}: what is called usual and what published drinks span do not meet",
                    measure.name()
                );
                text.push_str(&wrapped(&told, "  ", "    "));
            }
        }
        for source in sources {
            text.push_str(&wrapped(&source, "  ", "    "));
        }
        text.push('\n');
    }
    text.push_str(&paragraph(
        &format!(
            "Acid as citric, {} convention. By family: where the middle nine tenths and the middle half of the published drinks lie, and how often a verdict is right (washline ranges test). By structure: usual is the handbook's, or the house's own; seen is what the official list spans.",
            convention.word()
        ),
    ));
    text
}

/// A name, and the rule by which a drink has it.
fn titled(name: &str, rule: &str) -> String {
    wrapped(
        &format!("{DIM}{rule}{DIM:#}"),
        &format!("{NAME}{name}{NAME:#}  "),
        "  ",
    )
}

/// A family: its rule, where its published drinks lie, and how often a verdict is right.
fn of_family(family: Family, convention: Convention) -> String {
    let mut text = titled(family.name(), family.rule());
    text.push_str(&wrapped(family.why(), "  ", "  "));
    let Some(region) = published::region(family, convention) else {
        let few = "too few published drinks to say: figures and relatives, and no verdict";
        text.push_str(&(wrapped(few, "  ", "    ") + "\n"));
        return text;
    };
    let mut rows = table(&["", "nine tenths", "half"]);
    for measure in BalanceFigure::ALL {
        let d = usize::from(measure.decimals());
        let said = |(low, high): (f64, f64)| printed::range(low, high, d);
        rows.add_row([
            format!("  {} {}", measure.name(), measure.unit()),
            said(region.seen[measure as usize]),
            said(region.half[measure as usize]),
        ]);
    }
    text.push_str(&rows.lines());
    let from: Vec<&str> = region.from.iter().map(|f| f.name()).collect();
    let from = match from.as_slice() {
        [_] => String::new(),
        several => format!(", too few of its own: with {}", several.join(", ")),
    };
    text.push_str(&wrapped(
        &format!("{} published drinks{from}", region.count),
        "  ",
        "    ",
    ));
    if let Some(record) = published::record_of(Some(family), convention) {
        text.push_str(&wrapped(&format!("record: {}", record.said()), "  ", "    "));
    }
    text.push('\n');
    text
}

/// The rows as they stand in `fixtures/reference/bands.csv`.
pub fn span_rows(rows: &[SpanRow]) -> String {
    let mut text = String::from("structure,measure,band,low,high,decimals,count,convention,source,status\n");
    for row in rows {
        let decimals = row.measure.decimals();
        let d = usize::from(decimals);
        let _ = writeln!(
            text,
            "{},{},outer,{:.d$},{:.d$},{decimals},{},{},\"classics, computed with this program\",COMPUTED",
            row.structure,
            row.measure.word(),
            row.low,
            row.high,
            row.count,
            row.convention.map_or("", Convention::word)
        );
    }
    text
}
