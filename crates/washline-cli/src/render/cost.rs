//! What drinks cost, and what ingredients are bought for: on the screen and in JSON.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use rust_decimal::Decimal;
use washline_core::ingredient::{Bought, Offer, Price, SoldBy, Tax};
use washline_core::measure::{Currency, rounded};
use washline_core::service::cost::{CostLine, Costing, LineCost, Part, Priced, Sum, one_of_each, unit_cost};
use washline_core::spec::Assumption;
use washline_core::tables::day_text;

use washline_pages::words::{bound_signs, bounds, currency, money, unpriced};
use washline_view::remedy::not_priced;

use super::preparation::taken_for_granted;
use super::style::{BAD, DIM, NAME};
use super::{count, in_brackets, item, paragraph, plain, printed, table, titled, under, width, wrapped};
use crate::asked::Asked;

/// ` (1.84 to 2.04)`, where a sum has a span that shows.
fn span(costing: &Costing, sum: &Sum, more: u32) -> String {
    in_brackets(
        costing.to_digits(sum.low, more),
        costing.to_digits(sum.high, more),
    )
}

/// Drinks line by line.
pub fn in_full(costings: &[Costing], asked: &Asked) -> String {
    let mut text = String::new();
    for costing in costings {
        text.push_str(&titled(&costing.name, &costing.book));
        let mut rows = table(&["  line", "amount", "bought as", ">pours a pack", ">cost", ""]);
        for line in &costing.lines {
            rows.add_row(row(costing, line));
        }
        text.push_str(&rows.lines());
        text.push_str(&total(costing));
        text.push_str(&selling(costing, asked));
        text.push('\n');
    }
    text.truncate(text.trim_end().len());
    text.push('\n');
    text.push_str(&closing(costings, asked));
    text
}

fn row(costing: &Costing, line: &CostLine) -> [String; 6] {
    let amount = match line.part {
        Part::Pour => line.written.clone(),
        Part::Ice if line.written.is_empty() => String::new(),
        Part::Ice => line.written.clone(),
        Part::Garnish => "garnish".to_owned(),
    };
    let (package, pours, cost, words) = match &line.cost {
        LineCost::Priced(priced) => (
            priced.package.clone(),
            pours(priced),
            costing.to_digits(priced.sum.value, 1).to_string(),
            span(costing, &priced.sum, 1).trim().to_owned(),
        ),
        LineCost::Free { source } => (
            String::new(),
            String::new(),
            "free".to_owned(),
            format!("({source})"),
        ),
        LineCost::Unpriced(why) => (
            String::new(),
            String::new(),
            printed::none(),
            format!("not priced: {}", not_priced(why)),
        ),
    };
    [
        format!("  {}", plain(&line.name)),
        plain(&amount),
        plain(&package),
        pours,
        cost,
        plain(&words),
    ]
}

/// What it is costed by and what is ordered by: `16.9, whole 16`.
fn pours(priced: &Priced) -> String {
    match (priced.pours_per_pack, priced.whole_pours_per_pack()) {
        (Some(pours), Some(whole)) => format!("{}, whole {whole}", rounded(pours, 1)),
        _ => String::new(),
    }
}

/// What is priced of a drink costs, with what is not.
fn total(costing: &Costing) -> String {
    let mut text = String::new();
    if costing.has_any_price() {
        let what = if costing.is_complete() {
            "costs"
        } else {
            "what is priced of it costs"
        };
        let _ = writeln!(
            text,
            "  {what} {NAME}{}{NAME:#}{}",
            money(costing, costing.cost.value),
            span(costing, &costing.cost, 0)
        );
    }
    if !costing.is_complete() {
        text.push_str(&under(BAD, "!", missing(costing)));
    }
    text
}

/// `not priced: 2 of 6 lines, 14.3 % of what is poured: honey syrup, lemon zest`.
fn missing(costing: &Costing) -> String {
    format!(
        "not priced: {} of {}, {:.1} % of what is poured: {}",
        costing.unpriced().count(),
        count(costing.lines.len(), "line", "lines"),
        costing.unpriced_pct,
        unpriced(costing)
    )
}

/// What it sells for, and should.
fn selling(costing: &Costing, asked: &Asked) -> String {
    let mut text = String::new();
    let price = asked.price.or(costing.price);
    let (least, most) = bounds(costing);
    if let Some(sale) = price.and_then(|p| costing.at(p, asked.tax)) {
        let from = if asked.price.is_some() { "at" } else { "sells for" };
        let net = if sale.net == sale.price {
            String::new()
        } else {
            format!(", {} net", costing.rounded(sale.net))
        };
        let markup = sale
            .markup_pct
            .map_or_else(String::new, |m| format!(", a markup of {} %", rounded(m, 0)));
        text.push_str(&item(&format!(
            "{from} {}{net}: pour cost {least}{} %{}, margin {most}{} ({} % of the net price{markup})",
            money(costing, sale.price),
            rounded(sale.pour_cost_pct.value, 1),
            pct_span(&sale.pour_cost_pct),
            money(costing, sale.margin.value),
            rounded(sale.margin_pct.value, 1),
        )));
    } else if price.is_none() && asked.target_pct.is_none() {
        text.push_str("  no selling price: give one in the spec (`price: 13.50`) or with --price\n");
    }
    if let Some(target) = asked.target_pct
        && let Some(price) = costing.price_for(target, asked.tax)
    {
        let taxed = match asked.tax {
            Some(Tax { pct, included: false }) => format!(
                ", {} with its {} % of tax",
                money(costing, price * (Decimal::ONE + pct / Decimal::ONE_HUNDRED)),
                pct.normalize()
            ),
            _ => String::new(),
        };
        let _ = writeln!(
            text,
            "  for a pour cost of {} %: {least}{NAME}{}{NAME:#}{taxed}",
            target.normalize(),
            money(costing, price)
        );
    }
    for finding in costing.findings_at(price, asked.tax) {
        text.push_str(&under(BAD, "!", finding));
    }
    text
}

fn pct_span(sum: &Sum) -> String {
    in_brackets(rounded(sum.low, 1), rounded(sum.high, 1))
}

/// Share of a drink, % by volume, beyond which a list does not show what it earns.
const MOSTLY_PCT: f64 = 50.0;

/// A drink of a list.
fn listed(costing: &Costing, asked: &Asked, spans: bool) -> Vec<String> {
    let (least, most) = bound_signs(costing);
    let sale = asked
        .price
        .or(costing.price)
        .and_then(|p| costing.at(p, asked.tax));
    // What most of a drink is missing from says nothing of what it earns.
    let told = costing.unpriced_pct <= MOSTLY_PCT;
    let sale = sale.filter(|_| told);
    let dash = printed::none;
    let mut cells = vec![plain(&costing.name)];
    if costing.has_any_price() {
        cells.push(format!("{least}{}", costing.rounded(costing.cost.value)));
    } else {
        cells.push(dash());
    }
    if spans {
        let sum = costing.has_any_price().then_some(&costing.cost);
        cells.push(sum.map_or_else(String::new, |sum| span(costing, sum, 0).trim().to_owned()));
    }
    cells.push(
        asked
            .price
            .or(costing.price)
            .map_or_else(dash, |p| costing.rounded(p).to_string()),
    );
    cells.push(sale.as_ref().map_or_else(dash, |s| {
        format!("{least}{} %", rounded(s.pour_cost_pct.value, 1))
    }));
    cells.push(
        sale.as_ref()
            .map_or_else(dash, |s| format!("{most}{}", costing.rounded(s.margin.value))),
    );
    if let Some(target) = asked.target_pct {
        cells.push(
            costing
                .price_for(target, asked.tax)
                .filter(|_| told)
                .map_or_else(dash, |p| format!("{least}{}", costing.rounded(p))),
        );
    }
    cells.push(match costing.unpriced().count() {
        0 => String::new(),
        n => format!("{}, {:.0} %", count(n, "line", "lines"), costing.unpriced_pct),
    });
    cells
}

/// A list of drinks, one a line, then what is not priced in them.
pub fn list(costings: &[Costing], asked: &Asked, no_prices: bool) -> String {
    let mut text = String::new();
    let mut book = None;
    let target = asked
        .target_pct
        .map_or_else(String::new, |t| format!(">for {} %", t.normalize()));
    let mut rows = None;
    // A narrow screen has no room for the spans; one drink by itself shows them.
    let spans = width() >= 100;
    let mut headings = vec!["", ">cost"];
    if spans {
        headings.push("span");
    }
    headings.extend([">sells for", ">pour cost", ">margin"]);
    if asked.target_pct.is_some() {
        headings.push(&target);
    }
    headings.push(">not priced");
    for costing in costings {
        if book != Some(&costing.book) {
            if let Some(done) = rows.replace(table(&headings)) {
                text.push_str(&done.lines());
                text.push('\n');
            }
            book = Some(&costing.book);
            text.push_str(&titled(&costing.book, currency(costing)));
        }
        if let Some(rows) = &mut rows {
            rows.add_row(listed(costing, asked, spans));
        }
    }
    if let Some(done) = rows {
        text.push_str(&done.lines());
    }
    for (costing, finding) in costings.iter().flat_map(|c| {
        c.findings_at(asked.price.or(c.price), asked.tax)
            .into_iter()
            .map(move |f| (c, f))
    }) {
        text.push_str(&under(BAD, "!", format!("{}: {finding}", costing.name)));
    }
    if costings.iter().any(|c| c.unpriced_pct > MOSTLY_PCT) {
        let _ = writeln!(
            text,
            "{DIM}{}: more than half of it is not priced{DIM:#}",
            printed::NONE
        );
    }
    text.push_str(&asked_about(costings));
    if no_prices {
        text.push_str(&wrapped(
            "Nothing has a price yet. `washline ingredient price \"white rum\" --package \"700 ml\" --price 14.00 --currency EUR --source invoice` sets one; `--free` says that something costs nothing.",
            "\n",
            "",
        ));
    }
    text.push_str(&together(costings, asked));
    text.push_str(&closing(costings, asked));
    text
}

/// Everything that is not priced, once, with the drinks that it is in and its share of them.
fn asked_about(costings: &[Costing]) -> String {
    let mut missing: BTreeMap<(&str, String), (usize, f64)> = BTreeMap::new();
    for costing in costings {
        let poured: f64 = costing.lines.iter().map(|l| l.volume_ml).sum();
        let mut seen = Vec::new();
        for (line, why) in costing.unpriced() {
            let share = if poured > 0.0 {
                100.0 * line.volume_ml / poured
            } else {
                0.0
            };
            let entry = missing.entry((&line.name, why.to_string())).or_default();
            if !seen.contains(&&line.name) {
                entry.0 += 1;
                seen.push(&line.name);
            }
            entry.1 = entry.1.max(share);
        }
    }
    if missing.is_empty() {
        return String::new();
    }
    let mut rows = table(&["  not priced", ">in drinks", ">most of one", "why"]);
    let mut all: Vec<_> = missing.into_iter().collect();
    all.sort_by(|a, b| b.1.0.cmp(&a.1.0).then_with(|| a.0.cmp(&b.0)));
    for ((name, why), (drinks, share)) in all {
        let share = if share > 0.0 {
            format!("{share:.0} %")
        } else {
            String::new()
        };
        rows.add_row([
            format!("  {}", plain(name)),
            drinks.to_string(),
            share,
            plain(&why),
        ]);
    }
    format!("\n{}", rows.lines())
}

/// One of each that is priced in full.
fn together(costings: &[Costing], asked: &Asked) -> String {
    let mut text = String::new();
    for one in one_of_each(&asked.sales(costings))
        .iter()
        .filter(|o| o.drinks > 1)
    {
        let sum = |d| match one.currency {
            Some(currency) => format!("{} {currency}", currency.rounded(d)),
            None => rounded(d, 2).to_string(),
        };
        text.push_str(&wrapped(
            &format!(
                "One of each of the {} drinks priced in full: cost {}, net {}, pour cost {} %. What sells more moves that without any loss: look at the margins too.",
                one.drinks,
                sum(one.cost),
                sum(one.net),
                rounded(one.pour_cost_pct, 1)
            ),
            "\n",
            "",
        ));
    }
    text
}

/// What holds for all of it: tax, what was taken for granted.
fn closing(costings: &[Costing], asked: &Asked) -> String {
    let mut text = String::new();
    let mut taken: Vec<Assumption> = Vec::new();
    for assumption in costings.iter().flat_map(|c| &c.assumptions) {
        if !taken.contains(assumption) {
            taken.push(assumption.clone());
        }
    }
    text.push_str(&taken_for_granted(&taken));
    let tax = match asked.tax {
        None => "Selling prices are taken as they stand: whether they hold a tax is not stated (--tax 20, with --tax-included where they do).".to_owned(),
        Some(Tax { pct, included: true }) => format!("Selling prices hold {} % of tax; net is without it.", pct.normalize()),
        Some(Tax { pct, included: false }) => format!("Selling prices are without tax; {} % comes on top.", pct.normalize()),
    };
    let held = format!(
        "{tax} Costs are of what is poured, without labour, rent or energy. Spans: what comes of fruit and bottles, and amounts that are not exact."
    );
    text + &format!("\n{DIM}{}{DIM:#}\n", paragraph(&held).trim_end())
}

/// A price that was kept.
pub fn kept(price: &Price, replaced: bool) -> String {
    let what = match (&price.offer, replaced) {
        (Offer::Withdrawn, _) => "has no price from here on; the history stays",
        (_, true) => "stands in the place of the price of that day",
        (_, false) => "kept",
    };
    format!("{}{}: {what}\n", price_list(&[(None, price)]), plain(&price.name))
}

/// Prices, one a line, with what a unit of what they give comes to; what else is said of each stands under it.
pub fn price_list(all: &[(Option<&str>, &Price)]) -> String {
    let mut rows = table(&["", "package", ">price", "", ">comes to", "", "since"]);
    for (book, price) in all {
        let name = match book {
            Some(book) => format!("{} ({book})", price.name),
            None => price.name.clone(),
        };
        let bare = |word: &str| ["", word, "", "", ""].map(str::to_owned);
        let ([package, paid, currency, each, unit], mut said) = match &price.offer {
            Offer::Bought(bought) => bought_cells(bought),
            Offer::Free => (bare("free"), Vec::new()),
            Offer::Withdrawn => (bare("withdrawn"), Vec::new()),
        };
        said.extend(price.portion.as_ref().map(|p| format!("{} a drink", p.written)));
        said.push(price.source.clone());
        rows.add_row(
            [
                &name,
                &package,
                &paid,
                &currency,
                &each,
                &unit,
                &day_text(price.since),
            ]
            .map(|cell| plain(cell)),
        );
        rows.note(plain(&said.join("; ")));
    }
    rows.lines()
}

fn digits(currency: Option<Currency>, sum: Decimal, more: u32) -> String {
    match currency {
        Some(currency) => currency.to_digits(sum, more).to_string(),
        None => rounded(sum, 2 + more).to_string(),
    }
}

/// Package, price, currency, what a unit comes to and of which unit; and what else is said.
fn bought_cells(bought: &Bought) -> ([String; 5], Vec<String>) {
    let (each, unit) = match unit_cost(bought) {
        None => (String::new(), String::new()),
        Some((sum, by)) => {
            let (times, unit) = match by {
                SoldBy::Volume => (Decimal::ONE_THOUSAND, "a litre".to_owned()),
                SoldBy::Mass => (Decimal::ONE_THOUSAND, "a kilo".to_owned()),
                SoldBy::Count(_) => (Decimal::ONE, format!("a {}", by.word())),
            };
            let value = |d: Decimal| {
                d.checked_mul(times)
                    .map_or_else(String::new, |d| digits(bought.currency, d, 0))
            };
            let (low, high) = (value(sum.low), value(sum.high));
            let span = if low == high {
                unit
            } else {
                format!("{unit} ({low} to {high})")
            };
            (value(sum.value), span)
        }
    };
    let tax = match bought.tax {
        None => "tax not stated".to_owned(),
        Some(Tax { pct, included: true }) => format!("holds {} % of tax", pct.normalize()),
        Some(Tax { pct, included: false }) => format!("without {} % of tax", pct.normalize()),
    };
    let mut said = vec![tax];
    said.extend(bought.deposit.map(|d| format!("holds a deposit of {d}")));
    said.extend(bought.yields.as_ref().map(|y| y.written.clone()));
    said.extend(bought.waste.as_ref().map(|w| format!("waste {w}")));
    said.extend(bought.loss.as_ref().map(|l| format!("loss {l}")));
    let cells = [
        bought.package.written.clone(),
        digits(bought.currency, bought.price, 0),
        bought.currency.map_or("", Currency::code).to_owned(),
        each,
        unit,
    ];
    (cells, said)
}
