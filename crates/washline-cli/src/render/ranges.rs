//! Ranges on the screen, and the rows of spans that books of drinks come to.

use std::fmt::Write as _;

use washline_core::balance::{Measured, Ranges, Span, SpanRow, Structure};
use washline_core::ingredient::Convention;

use super::style::{DIM, NAME};
use super::{lines, plain, table, wrapped};

/// The bands of every structure, or of one.
pub fn ranges(ranges: &Ranges, only: Option<Structure>, convention: Convention) -> String {
    let mut text = String::new();
    for structure in Structure::all().filter(|s| only.is_none_or(|o| o == *s)) {
        let _ = writeln!(
            text,
            "{NAME}{structure}{NAME:#}  {DIM}{}{DIM:#}",
            structure.rule()
        );
        let mut rows = table(&["", "usual", "seen", ">drinks"]);
        let mut sources: Vec<String> = Vec::new();
        let mut any = false;
        for measure in Measured::ALL {
            let band = ranges.band(structure, measure);
            let printed = |span: &Option<Span>| span.as_ref().map_or_else(|| "–".to_owned(), Span::printed);
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
            lines(&rows)
        } else {
            "  no published range: figures, and no verdict\n".to_owned()
        });
        for source in sources {
            text.push_str(&wrapped(&source, "  ", "    "));
        }
        text.push('\n');
    }
    text.push_str(&wrapped(
        &format!(
            "Acid as citric, {} convention. Usual: the handbook's, or the house's own. Seen: what published recipes span, worked out with this program from as many drinks as shown.",
            convention.word()
        ),
        "",
        "",
    ));
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
