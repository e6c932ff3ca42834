//! How often the verdicts are right.

use washline_core::balance::record::{Rate, Record};
use washline_core::balance::{EDGE_PCT, FEWEST_OF_A_FAMILY, Family, OUTSIDE_PCT, word};

use super::style::NAME;
use super::{paragraph, plain, printed, printed::range_in_a_cell, table};

/// A rate with its count and interval: `7 % of 81 (3–15)`.
fn rate(rate: Rate) -> String {
    match (rate.pct(), rate.interval_pct()) {
        (Some(pct), Some((low, high))) => format!("{pct:.0} % ({})", range_in_a_cell(low, high, 0)),
        _ => printed::none(),
    }
}

/// The table of a record: by family, by fault, and over all.
pub fn record(families: &[(Family, Record)], all: &Record, of: &str) -> String {
    let mut text = format!(
        "{NAME}How often the verdicts are right{NAME:#}, on {}\n\n",
        plain(of)
    );
    let mut rows = table(&[
        "",
        ">good",
        ">outside",
        ">outside or edge",
        ">spoiled",
        ">found",
        ">right word",
        ">said first",
        ">curve",
    ]);
    let mut add = |name: &str, r: &Record| {
        rows.add_row([
            format!("  {name}"),
            r.off.of.to_string(),
            rate(r.outside),
            rate(r.off),
            r.found.of.to_string(),
            rate(r.found),
            rate(r.right),
            rate(r.first),
            r.auc.map_or_else(printed::none, |a| format!("{a:.2}")),
        ]);
    };
    for (family, record) in families {
        add(family.name(), record);
    }
    add("all", all);
    text.push_str(&rows.lines());
    text.push('\n');
    let mut faults = table(&["", ">spoiled", ">right word"]);
    for (fault, of) in &all.faults {
        faults.add_row([
            format!("  too {}", word(fault.measure, fault.side)),
            of.of.to_string(),
            rate(*of),
        ]);
    }
    text.push_str(&faults.lines());
    text.push('\n');
    text.push_str(&paragraph(
        &format!(
            "No verdict: {} of {} drinks with alcohol. Promised: outside at most {OUTSIDE_PCT:.0} % of good drinks, outside or edge {EDGE_PCT:.0} %. In brackets the interval that holds the rate in 95 % of cases. A family of fewer than {FEWEST_OF_A_FAMILY} published drinks is judged with those that pour alike. Spoiled: sweetener × 2 and × 0.4, citrus × 2 and × 0.4, base × 1.7 and × 0.5; where that moves its figure by less than a fifth it is left out. The curve: how often a spoiled drink lies further out than a good one.",
            all.silent.hits, all.silent.of
        ),
    ));
    text
}
