//! Batches and events on the screen and in JSON.

use std::fmt::Write as _;

use rust_decimal::Decimal;
use washline_core::balance::Severity;
use washline_core::ingredient::Declaration;
use washline_core::measure::Currency;
use washline_core::service::batch::{Batch, BatchLine, Bill, Event, Serving, Shopping, When};
use washline_core::tables::FigureName;

use super::glance::grave_mark;
use super::preparation::taken_for_granted;
use super::style::{DIM, LOOK, NAME};
use super::{count, item, marked, number, paragraph, plain, printed, short, table, wrapped};

/// A volume or mass as it is measured.
fn amount(value: f64) -> String {
    if value >= 99.95 {
        format!("{value:.0}")
    } else {
        short((value * 10.0).round() / 10.0)
    }
}

fn serving(batch: &Batch) -> String {
    if batch.water_ml <= 0.0 && batch.water_to_come_ml <= 0.0 {
        return "poured as it is".to_owned();
    }
    match batch.serving {
        Serving::Ready => "water in it, poured ready".to_owned(),
        Serving::OverIce => "most of the water in it, poured over ice".to_owned(),
        Serving::ToOrder => format!(
            "no water in it, {} to order",
            batch.technique.map_or("work it", |t| t.written())
        ),
    }
}

/// A batch with everything it takes.
pub fn in_full(batch: &Batch) -> String {
    let said = format!(
        "{}, {}; {DIM}{}{DIM:#}",
        count(batch.serves as usize, "serve", "serves"),
        serving(batch),
        plain(&batch.book)
    );
    let mut text = wrapped(&said, &format!("{NAME}{}{NAME:#}  ", plain(&batch.drink)), "  ") + "\n";
    text.push_str(&what_goes_in(batch));
    text.push('\n');
    text.push_str(&figures_of(batch));
    for remark in &batch.remarks {
        let severity = if remark.is_grave() {
            Severity::Fault
        } else {
            Severity::Edge
        };
        text.push_str(&marked(grave_mark(severity), remark));
    }
    let _ = writeln!(text, "\n{NAME}Work{NAME:#}");
    for (i, step) in batch.order.iter().enumerate() {
        text.push_str(&wrapped(&plain(step), &format!("  {}. ", i + 1), "     "));
    }
    text.push_str(&list_to_shop(&batch.shopping));
    let _ = writeln!(text, "\n{NAME}Holds{NAME:#}");
    text.push_str(&wrapped(&plain(&holds(batch)), "  ", "  "));
    if batch.ice_g > 0.0 {
        text.push_str(&wrapped(
            &format!(
                "ice at service: {:.1} kg by the work and the glass (from memory)",
                batch.ice_g / 1000.0
            ),
            "  ",
            "  ",
        ));
    }
    text.push_str(&wrapped(
        &plain(&format!(
            "allergens, {}",
            Declaration::of_both_lists(&batch.allergens_eu, &batch.allergens_us)
        )),
        "  ",
        "  ",
    ));
    text.push_str(&cautions(std::slice::from_ref(batch)));
    text.push_str(&taken_for_granted(&batch.assumptions));
    text.push('\n');
    text.push_str(&paragraph(
        "Figures are estimates: taste before it is bottled; local food-safety and alcohol law decides.",
    ));
    text
}

fn what_goes_in(batch: &Batch) -> String {
    let mut rows = table(&["  into the vessel", "for one", ">ml", ">g", ""]);
    let mut service = Vec::new();
    for line in &batch.lines {
        match line.when {
            When::Batch => {
                rows.add_row([
                    format!("  {}", plain(&line.ingredient)),
                    plain(&line.written),
                    if line.solid {
                        printed::none()
                    } else {
                        amount(line.volume_ml)
                    },
                    amount(line.mass_g),
                    more(line),
                ]);
            }
            When::Service => service.push(line),
        }
    }
    if batch.water_ml > 0.0 {
        rows.add_row([
            "  water, for the melt".to_owned(),
            format!("{} ml", amount(batch.water_ml / batch.serves_exact)),
            amount(batch.water_ml),
            amount(batch.water_ml * 0.998_2),
            String::new(),
        ]);
    }
    let volume = batch.vessel.volume_ml();
    let room = match (batch.vessel_ml, batch.free_pct()) {
        (Some(vessel), Some(free)) if free >= 0.0 => {
            format!("in {} ml, {free:.0} % free", amount(vessel))
        }
        (Some(vessel), _) => format!("in {} ml", amount(vessel)),
        _ => format!(
            "a vessel of {} ml leaves {:.0} % free",
            amount(volume / (1.0 - batch.head_pct / 100.0)),
            batch.head_pct
        ),
    };
    rows.add_row([
        "  all together".to_owned(),
        format!("{} ml", amount(batch.pour_ml)),
        amount(volume),
        amount(batch.vessel.mass_g()),
        room,
    ]);
    let mut text = rows.lines();
    if !service.is_empty() {
        let mut rows = table(&["  to each serve", "", ">ml", ">g", "why then"]);
        for line in service {
            rows.add_row([
                format!("  {}", plain(&line.ingredient)),
                plain(&line.written),
                if line.solid && line.each_ml <= 0.0 {
                    printed::none()
                } else {
                    amount(line.each_ml)
                },
                amount(line.each_g),
                line.why.map_or_else(String::new, |why| why.words()),
            ]);
        }
        text.push('\n');
        text.push_str(&rows.lines());
    }
    text
}

fn more(line: &BatchLine) -> String {
    let mut words = Vec::new();
    if let Some((low, high)) = line.span_ml {
        words.push(format!(
            "{} to {} ml by the size of the measure",
            amount(low),
            amount(high)
        ));
    }
    if let Some(was) = &line.was {
        words.push(format!("in the place of {}", plain(was)));
    }
    if (line.factor - 1.0).abs() > 1e-9 {
        words.push(format!("times {}", short(line.factor)));
    }
    if let Some((_, to)) = line.clock_h {
        words.push(format!("within {to:.0} h of pressing"));
    }
    words.join("; ")
}

fn figures_of(batch: &Batch) -> String {
    let mut rows = table(&["", ">in the vessel", ">a serve in the glass", ">made by itself"]);
    let columns = [&batch.in_vessel, &batch.in_glass, &batch.single];
    for which in [
        FigureName::Volume,
        FigureName::Strength,
        FigureName::Sweetness,
        FigureName::Tartness,
    ] {
        let facts = which.facts();
        let mut cells = vec![format!("  {}", facts.label())];
        cells.extend(
            columns
                .iter()
                .map(|figures| number(figures.get(which).value, facts.places())),
        );
        rows.add_row(cells);
    }
    let mut text = rows.lines();
    let water = format!(
        "water: {} % of the mix, {} % of the finished drink; {} standard drinks a serve",
        number(batch.in_glass.water_pct_of_mix.value, 0),
        number(batch.in_glass.water_pct_of_finished.value, 0),
        number(batch.in_glass.standard_drinks.value, 1)
    );
    let _ = write!(text, "{DIM}{}{DIM:#}", wrapped(&water, "  ", "    "));
    text
}

fn holds(batch: &Batch) -> String {
    let holding = &batch.holding;
    let mut text = format!("{} ({}: {})", holding.words, holding.because, holding.source);
    if let Some((name, keeps)) = &batch.keeps_as {
        text.push_str(&format!("; the {name} in it keeps {keeps}"));
    }
    text
}

fn cautions(batches: &[Batch]) -> String {
    let mut text = format!("\n{NAME}Cautions{NAME:#}\n");
    let mut said: Vec<&str> = Vec::new();
    for caution in batches.iter().flat_map(|b| &b.cautions) {
        if !said.contains(&caution.text.as_str()) {
            said.push(&caution.text);
            text.push_str(&item(&format!("{} ({})", caution.text, caution.source)));
        }
    }
    text
}

fn money(sum: Decimal, currency: Option<Currency>) -> String {
    match currency {
        Some(currency) => format!("{} {}", currency.to_digits(sum, 0), currency.code()),
        None => washline_core::measure::rounded(sum, 2).to_string(),
    }
}

fn list_to_shop(shopping: &Shopping) -> String {
    let mut text = String::new();
    if !shopping.make.is_empty() {
        let _ = writeln!(text, "\n{NAME}Make{NAME:#}");
        let mut rows = table(&["  preparation", ">ml", ">times its recipe", "keeps"]);
        for make in &shopping.make {
            rows.add_row([
                format!("  {}", plain(&make.preparation)),
                amount(make.volume_ml),
                short((make.makings * 100.0).round() / 100.0),
                make.keeps.as_deref().map_or_else(|| "not said".to_owned(), plain),
            ]);
        }
        text.push_str(&rows.lines());
    }
    if shopping.buy.is_empty() {
        return text;
    }
    let _ = writeln!(text, "\n{NAME}Buy{NAME:#}");
    let currency = shopping.bill.as_ref().and_then(|b| b.currency);
    let mut rows = table(&["  ingredient", ">needed", "packages", ">left over", ">cost"]);
    for buy in &shopping.buy {
        let packages = match buy.packages {
            Some(n) if buy.package.starts_with(|c: char| c.is_ascii_digit()) => {
                format!(
                    "{n} × {}{}",
                    plain(&buy.package),
                    if buy.assumed { " *" } else { "" }
                )
            }
            Some(n) => format!("{n} {}", plain(&buy.package)),
            None => printed::none(),
        };
        rows.add_row([
            format!("  {}", plain(&buy.ingredient)),
            buy.volume_ml.map_or_else(
                || format!("{} g", amount(buy.mass_g)),
                |ml| format!("{} ml", amount(ml)),
            ),
            packages,
            buy.left_over
                .map_or_else(printed::none, |(left, unit)| format!("{} {unit}", amount(left))),
            buy.cost.map_or_else(printed::none, |cost| money(cost, currency)),
        ]);
    }
    text.push_str(&rows.lines());
    if shopping
        .buy
        .iter()
        .any(|b| b.assumed && b.package != "fruit" && b.package != "egg")
    {
        let _ = writeln!(text, "  {DIM}* the usual bottle: no price names a package{DIM:#}");
    }
    if let Some(bill) = &shopping.bill {
        text.push_str(&total(bill, shopping.buy.len()));
    }
    text
}

fn total(bill: &Bill, lines: usize) -> String {
    let said = if bill.unpriced.is_empty() {
        format!("all of it costs {}", money(bill.total, bill.currency))
    } else {
        format!(
            "what is priced costs {}; {} of {lines} are not priced: {}",
            money(bill.total, bill.currency),
            bill.unpriced.len(),
            bill.unpriced.join(", ")
        )
    };
    wrapped(&plain(&said), "  ", "  ")
}

/// A whole event.
pub fn event(event: &Event) -> String {
    let mut text = format!(
        "{NAME}{} guests, {} each{NAME:#}  {} in all\n\n",
        event.guests,
        count_each(event.each),
        count(event.serves as usize, "drink", "drinks")
    );
    let mut rows = table(&[
        "  drink",
        ">serves",
        ">batch ml",
        ">water ml",
        ">a pour ml",
        ">% vol",
        "served",
    ]);
    for batch in &event.drinks {
        rows.add_row([
            format!("  {}", plain(&batch.drink)),
            batch.serves.to_string(),
            amount(batch.vessel.volume_ml()),
            amount(batch.water_ml),
            amount(batch.pour_ml),
            number(batch.in_vessel.abv_pct.value, 1),
            serving(batch),
        ]);
    }
    text.push_str(&rows.lines());
    for (drink, why) in &event.left_out {
        let _ = writeln!(
            text,
            "    {LOOK}~{LOOK:#}  {}: {}",
            plain(drink),
            plain(&why.to_string())
        );
    }
    for batch in &event.drinks {
        let added: Vec<&BatchLine> = batch.lines.iter().filter(|l| l.when == When::Service).collect();
        if !added.is_empty() {
            let names: Vec<String> = added
                .iter()
                .map(|l| format!("{} {}", l.written, l.ingredient).trim().to_owned())
                .collect();
            text.push_str(&wrapped(
                &plain(&format!("{}, to each serve: {}", batch.drink, names.join(", "))),
                "    ",
                "      ",
            ));
        }
        for remark in &batch.remarks {
            text.push_str(&wrapped(
                &plain(&format!("{}: {remark}", batch.drink)),
                &format!("    {LOOK}~{LOOK:#}  "),
                "       ",
            ));
        }
    }
    text.push_str(&list_to_shop(&event.shopping));
    let _ = writeln!(text, "\n{NAME}Ice{NAME:#}");
    text.push_str(&wrapped(
        &format!(
            "{:.1} kg for the work and the glasses; the trade buys {:.0} to {:.0} kg for so many drinks, with what melts in the box \
             (0.25 to 0.5 kg a drink, from memory)",
            event.ice_g / 1000.0,
            event.ice_bought_kg.0,
            event.ice_bought_kg.1
        ),
        "  ",
        "  ",
    ));
    text.push_str(&cautions(&event.drinks));
    text.push_str(&taken_for_granted(&event.shopping.assumptions));
    text.push('\n');
    text.push_str(&paragraph(
        "Figures are estimates; serve water beside it, nobody drives on an estimate, and local law decides.",
    ));
    text
}

fn count_each(each: f64) -> String {
    format!(
        "{} drink{}",
        short(each),
        if (each - 1.0).abs() < 1e-9 { "" } else { "s" }
    )
}
