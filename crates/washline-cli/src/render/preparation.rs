//! Preparations of the house: a line each, one in full, and as JSON.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;
use washline_core::balance::Severity;
use washline_core::computed::Prepared;
use washline_core::prepare::{Lost, Made, Warning};
use washline_core::spec::Assumption;
use washline_core::store::PreparedInShort;
use washline_pages::card::{keeps, keeps_of};

use super::glance::grave_mark;
use super::ingredient::{of_ingredient, said};
use super::style::{DIM, NAME};
use super::{TAKEN_FOR_GRANTED, item, marked, number, paragraph, plain, table, titled, wrapped};

/// Every preparation in a line or two: what it yields, what it comes to, how long it keeps, what to look at.
pub fn preparations(all: &[PreparedInShort]) -> String {
    let mut text = String::new();
    let mut from = 0;
    while from < all.len() {
        let book = &all[from].book;
        let to = all[from..]
            .iter()
            .position(|p| p.book != *book)
            .map_or(all.len(), |n| from + n);
        text.push('\n');
        text.push_str(&titled("Preparations", book));
        text.push_str(&overview(&all[from..to]));
        from = to;
    }
    text
}

fn overview(all: &[PreparedInShort]) -> String {
    let longest = all.iter().map(|p| plain(&p.name).width()).max().unwrap_or(0);
    let name_width = longest.clamp(12, 28);
    let heading = format!(
        "{}{:>6} {:>5} {:>9} {:>6} {:>8}  keeps",
        " ".repeat(name_width),
        "ml",
        "°Bx",
        "sugar g/L",
        "% vol",
        "acid g/L"
    );
    let mut text = format!("{DIM}{heading}{DIM:#}\n");
    for prepared in all {
        let name = plain(&prepared.name);
        let padding = if name.width() > name_width {
            // A long name has a line of its own.
            text.push_str(&name);
            text.push('\n');
            name_width
        } else {
            text.push_str(&name);
            name_width - name.width()
        };
        let figures = format!(
            "{}{:>6.0} {:>5.1} {:>9.0} {:>6} {:>8.1}  ",
            " ".repeat(padding),
            prepared.yield_ml,
            prepared.sugar_g_per_100g,
            prepared.sugar_g_per_l,
            number(Some(prepared.abv_pct), 1),
            prepared.acid_g_per_l
        );
        let indent = " ".repeat(name_width + 40);
        let kept = keeps(prepared.keeps.as_deref(), prepared.keeps_as.as_deref());
        text.push_str(&wrapped(&kept, &figures, &indent));
        for warning in prepared.warnings.iter().filter(|w| !w.is_note()) {
            text.push_str(&looked_at(warning));
        }
    }
    text
}

fn looked_at(warning: &Warning) -> String {
    let severity = if warning.is_note() {
        Severity::Note
    } else {
        Severity::Edge
    };
    marked(grave_mark(severity), warning)
}

/// Preparations with everything known of them.
pub fn in_full(all: &[Prepared]) -> String {
    let mut text = String::new();
    for prepared in all {
        text.push_str(&one_in_full(prepared));
    }
    text
}

fn one_in_full(prepared: &Prepared) -> String {
    let made = &prepared.made;
    let mut text = format!(
        "{NAME}{}{NAME:#}  {}{DIM}, made here, {} (version {}){DIM:#}\n",
        plain(prepared.name()),
        plain(made.ingredient.kind.word()),
        plain(&prepared.found_in.book),
        prepared.found_in.version
    );
    for line in prepared.text.lines().skip(1).skip_while(|l| l.is_empty()) {
        text.push_str(format!("  {}", plain(line)).trim_end());
        text.push('\n');
    }
    text.push('\n');
    let mut parts = table(&["  goes in", "", ">ml", ">g", ">joins g"]);
    for part in &made.parts {
        parts.add_row([
            format!("  {}", plain(&part.written)),
            plain(&part.ingredient),
            format!("{:.1}", part.volume_ml),
            format!("{:.1}", part.mass_g),
            format!("{:.1}", part.joined.mass_g()),
        ]);
    }
    text.push_str(&parts.lines());
    for left in left(&made.lost) {
        let _ = writeln!(text, "  {left}");
    }
    text.push('\n');
    text.push_str(&figures(made));
    if !made.warnings.is_empty() {
        text.push('\n');
    }
    for warning in &made.warnings {
        text.push_str(&looked_at(warning));
    }
    text.push('\n');
    text.push_str(&of_ingredient(&made.ingredient, None));
    text.push_str(&said("cautions", &made.cautions.join("; ")));
    text.push_str(&taken_for_granted(&made.assumptions));
    text.push('\n');
    text.push_str(&paragraph("Figures are estimates; how long a preparation keeps and what may be infused is for local food-safety law."));
    text
}

/// What it comes to.
fn figures(made: &Made) -> String {
    let measured = if made.measured {
        "as measured"
    } else {
        "as computed"
    };
    let mut figures = table(&["", ">", ""]);
    for (name, value, more) in [
        (
            "  yields",
            format!("{:.0} ml", made.yield_ml),
            format!("{:.0} g, {measured}", made.yield_g),
        ),
        (
            "  sugar",
            format!("{:.1} g/100 g", made.brix()),
            format!(
                "{:.0} g/L{}",
                made.sugar_g_per_l(),
                if made.liquid.abv_pct().unwrap_or(0.0) < 0.5 {
                    "; the °Brix of it as a syrup"
                } else {
                    ""
                }
            ),
        ),
        (
            "  strength",
            format!("{} % vol", number(made.liquid.abv_pct(), 1)),
            String::new(),
        ),
        (
            "  acid",
            format!("{:.1} g/L", made.acid_g_per_l()),
            format!("titratable, as citric, {} convention", made.convention.word()),
        ),
        (
            "  density",
            format!("{} g/ml", number(made.liquid.density_g_per_ml(), 4)),
            String::new(),
        ),
        ("  keeps", String::new(), keeps_of(made)),
    ] {
        figures.add_row([name.to_owned(), value, more]);
    }
    figures.lines()
}

/// What was taken for granted in one thing, with where to change it.
pub(super) fn taken_for_granted(assumptions: &[Assumption]) -> String {
    if assumptions.is_empty() {
        return String::new();
    }
    let mut text = format!("\n{NAME}{TAKEN_FOR_GRANTED}{NAME:#}\n");
    for a in assumptions {
        let change = if a.change.is_empty() {
            String::new()
        } else {
            format!(" (change: {})", washline_view::remedy::worded(&a.change))
        };
        text.push_str(&item(&format!("{}: {}{change}", a.about, a.taken)));
    }
    text
}

/// What left, in words.
fn left(lost: &Lost) -> Vec<String> {
    let mut words = Vec::new();
    let mut say = |amount: f64, unit: &str, what: &str| {
        if amount >= 0.05 {
            words.push(format!("{DIM}leaves:{DIM:#} {amount:.1} {unit} {what}"));
        }
    };
    say(lost.evaporated_g, "g", "of water, evaporated");
    say(lost.alcohol_g, "g", "of alcohol, driven off");
    say(lost.solids_g, "g", "of solids");
    say(lost.curds_g, "g", "of fat and protein, as curd");
    say(lost.strained_ml, "ml", "kept back in straining");
    words
}
