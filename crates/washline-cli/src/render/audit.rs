//! An audit: findings by what to do, and how the list lies as a whole.

use std::fmt::Write as _;

use rust_decimal::Decimal;
use washline_core::balance::Severity;
use washline_core::service::audit::{
    Along, Audit, AuditFinding, FREE_PCT, Found, LIGHT_PCT, STRONG_PCT, Spread,
};

use super::glance::grave_mark;
use washline_core::tables::cautions::ESTIMATES;
use washline_pages::words::grade;
use washline_view::remedy::worded;

use super::style::{DIM, NAME};
use super::{aside, count, item, paragraph, plain, table, wrapped};

/// Every gravity, the gravest first.
const GRAVITIES: [Severity; 4] = [Severity::Fault, Severity::Outside, Severity::Edge, Severity::Note];

/// An audit for a reader.
pub fn text(audit: &Audit, most_g: Option<f64>) -> String {
    let mut out = String::new();
    for (todo, findings) in audit.by_todo() {
        let _ = writeln!(out, "{NAME}{}{NAME:#}", todo.heading());
        let (lonely, findings): (Vec<_>, Vec<_>) = findings.into_iter().partition(|f| is_lonely(f));
        for (at, finding) in findings.iter().enumerate() {
            let (mark, style) = grave_mark(finding.severity());
            let first = format!("  {style}{mark}{style:#} ");
            out.push_str(&wrapped(&plain(&finding.to_string()), &first, "    "));
            // One cure for several in a row is said once, under the last of them.
            let cure = worded(&finding.cure());
            let next = findings.get(at + 1).map(|f| worded(&f.cure()));
            if next.as_ref() != Some(&cure) {
                out.push_str(&cured(&cure));
            }
        }
        out.push_str(&lone(&lonely));
        out.push('\n');
    }
    out.push_str(&spread(&audit.spread));
    let of = |severity: Severity| audit.findings.iter().filter(|f| f.severity() == severity).count();
    let counts = GRAVITIES.map(|severity| format!("{} {}", of(severity), grade(severity)));
    let findings = count(audit.findings.len(), "finding", "findings");
    out.push('\n');
    out.push_str(&wrapped(&format!("{findings}: {}", counts.join(", ")), "", "  "));
    let marks = GRAVITIES.map(|severity| format!("{} {}, ", grave_mark(severity).0, grade(severity)));
    out.push_str(&aside(&format!("{}→ what would put it right", marks.concat())));
    let limit = match most_g {
        Some(_) => "A house limit of alcohol is the house's own: what may be served in one drink",
        None => "How much alcohol one drink may hold",
    };
    let caution = format!("{limit}, to whom, and what a menu must say is for your local law. {ESTIMATES}");
    let _ = write!(out, "\n{DIM}{}{DIM:#}", paragraph(&caution));
    out
}

fn cured(cure: &str) -> String {
    wrapped(&plain(cure), &format!("     {DIM}→{DIM:#} "), "       ")
}

fn is_lonely(finding: &AuditFinding) -> bool {
    matches!(finding.found, Found::LonelyIngredient(_))
}

/// What one drink alone pours: a line a drink, the most such things first; with what it holds where prices tell.
fn lone(findings: &[&AuditFinding]) -> String {
    let mut drinks: Vec<(String, Vec<String>)> = Vec::new();
    let (mut money, mut currencies): (Decimal, Vec<Option<&String>>) = (Decimal::ZERO, Vec::new());
    for finding in findings {
        let Found::LonelyIngredient(lonely) = &finding.found else {
            continue;
        };
        let name = finding.drinks.first().map(|d| d.name.clone()).unwrap_or_default();
        let mut said = lonely.ingredient.clone();
        if lonely.made {
            said.push_str(" (made here)");
        }
        if let (Some(holding), Some(holds)) = (lonely.holding(), lonely.holds) {
            said.push_str(&format!(" ({holding})"));
            money += holds;
            if !currencies.contains(&lonely.currency.as_ref()) {
                currencies.push(lonely.currency.as_ref());
            }
        }
        match drinks.iter_mut().find(|(drink, _)| *drink == name) {
            Some((_, all)) => all.push(said),
            None => drinks.push((name, vec![said])),
        }
    }
    if drinks.is_empty() {
        return String::new();
    }
    drinks.sort_by_key(|(_, all)| std::cmp::Reverse(all.len()));
    let mut out = format!("  {DIM}-{DIM:#}  poured by one drink alone:\n");
    for (drink, all) in &drinks {
        out.push_str(&wrapped(
            &plain(&format!("{drink}: {}", all.join(", "))),
            "       ",
            "         ",
        ));
    }
    // Two currencies are never added.
    if let [code] = currencies.as_slice() {
        let code = code.map_or(String::new(), |c| format!(" {c}"));
        let _ = writeln!(
            out,
            "       as far as prices are known, that holds {money:.2}{code}, one package of each"
        );
    }
    // What may be bought can be swapped too: the cure that says more holds for all of them.
    let cures = findings.iter().map(|finding| worded(&finding.cure()));
    out.push_str(&cured(&cures.max_by_key(String::len).unwrap_or_default()));
    out
}

fn along_cell(along: &Along, value: f64) -> String {
    let d = usize::from(along.decimals);
    format!("{value:.d$}")
}

/// How the list lies as a whole.
fn spread(spread: &Spread) -> String {
    if spread.drinks == 0 {
        return "no drinks\n".to_owned();
    }
    let mut out = format!(
        "{NAME}The list{NAME:#}  {}\n",
        count(spread.drinks, "drink", "drinks")
    );
    let mut rows = table(&[
        "",
        ">drinks",
        ">least",
        ">quarter",
        ">median",
        ">three quarters",
        ">most",
        "unit",
    ]);
    for along in &spread.along {
        rows.add_row([
            format!("  {}", along.measure),
            along.count.to_string(),
            along_cell(along, along.smallest),
            along_cell(along, along.quarter),
            along_cell(along, along.median),
            along_cell(along, along.three_quarters),
            along_cell(along, along.largest),
            plain(&along.unit),
        ]);
    }
    out.push_str(&rows.lines());
    let listed = |counts: &[(String, usize)]| {
        let all: Vec<String> = counts.iter().map(|(word, n)| format!("{word} {n}")).collect();
        if all.is_empty() {
            "none".to_owned()
        } else {
            all.join(", ")
        }
    };
    let strengths = format!(
        "strength: {} over {STRONG_PCT} % vol, {} light (below {LIGHT_PCT}), {} without alcohol ({FREE_PCT} or less)",
        spread.strong, spread.light, spread.free
    );
    out.push_str(&item(&strengths));
    out.push_str(&item(&format!("structure: {}", listed(&spread.structures))));
    out.push_str(&item(&format!("base: {}", listed(&spread.bases))));
    out
}
