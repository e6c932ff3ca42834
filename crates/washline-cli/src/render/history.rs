//! Versions of a drink or a preparation with what changed, and what was done to anything else.

use std::fmt::Write as _;

use washline_core::balance::Figure;
use washline_core::computed::{ComputedDrink, Prepared};
use washline_core::store::{Event, LineChange, PreparationVersion, Tasting, Version, Weighing};
use washline_core::tables::{FigureName, When};

pub use washline_view::history::Told;

use super::style::{BAD, DIM, GOOD, LOOK, NAME};
use super::{number, plain, printed, wrapped};
use crate::clock;

pub fn text(told: &Told) -> String {
    let mut out = String::new();
    for drink in &told.drinks {
        let lists: Vec<&str> = std::iter::once(&drink.list)
            .chain(&drink.also_on)
            .map(String::as_str)
            .collect();
        head(
            &mut out,
            &drink.name,
            &lists.join(" and "),
            &off_list(drink.is_removed, drink.removed_at.as_ref()),
        );
        events(&mut out, &drink.events);
        for (at, version) in drink.versions.iter().enumerate() {
            let before = drink.versions.get(at + 1);
            let poured = version.is_last && !drink.is_removed;
            version_head(
                &mut out,
                version.number,
                version.at.as_ref(),
                poured.then_some("poured now"),
            );
            lines(
                &mut out,
                &version.changed,
                before.is_none().then_some(&version.text),
            );
            out.push_str(&wrapped(&came_to(version, before), "    ", "      "));
            for tasting in &version.tastings {
                out.push_str(&wrapped(&tasted(tasting), "    ", "      "));
            }
            for weighing in &version.weighings {
                out.push_str(&wrapped(&weighed(weighing), "    ", "      "));
            }
        }
    }
    for preparation in &told.preparations {
        head(
            &mut out,
            &preparation.name,
            &preparation.list,
            &off_list(preparation.is_removed, preparation.removed_at.as_ref()),
        );
        events(&mut out, &preparation.events);
        for (at, version) in preparation.versions.iter().enumerate() {
            let before = preparation.versions.get(at + 1);
            let made = version.is_last && !preparation.is_removed;
            version_head(
                &mut out,
                version.number,
                version.at.as_ref(),
                made.then_some("made now"),
            );
            lines(
                &mut out,
                &version.changed,
                before.is_none().then_some(&version.text),
            );
            out.push_str(&wrapped(&made_of(version, before), "    ", "      "));
        }
    }
    for (what, of) in [
        ("the ingredient", &told.ingredient),
        ("the price", &told.price),
        ("the setting", &told.setting),
    ] {
        if !of.is_empty() {
            if !out.is_empty() {
                out.push('\n');
            }
            let _ = writeln!(out, "{NAME}{what}{NAME:#}");
            events(&mut out, of);
        }
    }
    out
}

fn head(out: &mut String, name: &str, list: &str, gone: &str) {
    if !out.is_empty() {
        out.push('\n');
    }
    let _ = writeln!(
        out,
        "{NAME}{}{NAME:#}  {DIM}{}{DIM:#}{gone}",
        plain(name),
        plain(list)
    );
}

/// That something is off its list, and since when where that is known; nothing of what stands on it.
fn off_list(is_removed: bool, at: Option<&When>) -> String {
    if !is_removed {
        return String::new();
    }
    let since = match clock::shown(at) {
        at if at.is_empty() => at,
        at => format!(" since {}", plain(&at)),
    };
    format!("  {LOOK}off the list{since}{LOOK:#}")
}

fn version_head(out: &mut String, number: i64, at: Option<&When>, now: Option<&str>) {
    let mut parts = vec![format!("{NAME}version {number}{NAME:#}")];
    parts.extend(Some(plain(&clock::shown(at))).filter(|at| !at.is_empty()));
    parts.extend(now.map(|now| format!("{GOOD}{now}{GOOD:#}")));
    let _ = writeln!(out, "  {}", parts.join("  "));
}

/// What changed; of the first version all of it.
fn lines(out: &mut String, changed: &[LineChange], whole: Option<&String>) {
    if let Some(text) = whole {
        for line in text.lines().skip(1).filter(|line| !line.trim().is_empty()) {
            let _ = writeln!(out, "    {}", plain(line.trim_end()));
        }
        return;
    }
    for change in changed {
        let (style, sign, line) = match change {
            LineChange::Gone(line) => (BAD, '-', line),
            LineChange::New(line) => (GOOD, '+', line),
        };
        if !line.trim().is_empty() {
            let line = line.strip_prefix("- ").unwrap_or(line);
            let _ = writeln!(out, "    {style}{sign} {}{style:#}", plain(line));
        }
    }
}

/// A figure of the version before and of this one; once where it shows the same.
fn moved(before: Option<Figure>, now: Figure, decimals: usize) -> String {
    let before = before.unwrap_or(now);
    printed::moved(&number(before.value, decimals), &number(now.value, decimals))
}

/// What a version comes to, beside the one before.
fn came_to(version: &Version, before: Option<&Version>) -> String {
    let drink = match &version.drink {
        Ok(drink) => drink,
        Err(faults) => {
            let why = faults
                .first()
                .map_or(String::new(), |f| format!(": {}", plain(&f.message)));
            return format!("{LOOK}cannot be worked out{LOOK:#}{why}");
        }
    };
    let was: Option<&ComputedDrink> = before.and_then(|b| b.drink.as_ref().ok());
    let of = |which: FigureName| {
        let figure_of = |d: &ComputedDrink| d.evaluation.figures.get(which);
        let facts = which.facts();
        format!(
            "{} {}",
            moved(was.map(figure_of), figure_of(drink), facts.places()),
            facts.unit
        )
    };
    let standing = |drink: &ComputedDrink| drink.evaluation.standing().words();
    let stands = printed::moved(standing(was.unwrap_or(drink)), standing(drink));
    format!(
        "strength {}, sweetness {}, tartness {}, water {}, {} in the glass; {stands}",
        of(FigureName::Strength),
        of(FigureName::Sweetness),
        of(FigureName::Tartness),
        of(FigureName::WaterGained),
        of(FigureName::Volume),
    )
}

/// What a version of a preparation comes to, beside the one before.
fn made_of(version: &PreparationVersion, before: Option<&PreparationVersion>) -> String {
    let Some(made) = &version.made else {
        return format!("{LOOK}cannot be made{LOOK:#}");
    };
    let was = before.and_then(|b| b.made.as_ref());
    let of = |value: &dyn Fn(&washline_core::prepare::Made) -> f64, decimals: usize| {
        let of = |version: &Prepared| number(value(&version.made), decimals);
        printed::moved(&of(was.unwrap_or(made)), &of(made))
    };
    let strength = |m: &washline_core::prepare::Made| m.liquid.abv_pct().unwrap_or(0.0);
    let mut parts = vec![format!("{} ml", of(&|m| m.yield_ml, 0))];
    if strength(&made.made) > 0.0 || was.is_some_and(|w| strength(&w.made) > 0.0) {
        parts.push(format!("strength {} % vol", of(&strength, 1)));
    }
    parts.push(format!(
        "sugar {} g/L",
        of(&washline_core::prepare::Made::sugar_g_per_l, 0)
    ));
    parts.push(format!(
        "acid {} g/L",
        of(&washline_core::prepare::Made::acid_g_per_l, 1)
    ));
    parts.join(", ")
}

fn tasted(tasting: &Tasting) -> String {
    let style = if tasting.is_right() { GOOD } else { LOOK };
    let said: Vec<String> = tasting.verdict.iter().map(ToString::to_string).collect();
    let mut about = vec![
        clock::shown(Some(&tasting.at)),
        tasting.taster.clone(),
        tasting.note.clone(),
    ];
    about.retain(|words| !words.is_empty());
    format!(
        "tasted {style}{}{style:#}  {DIM}{}{DIM:#}",
        plain(&said.join("; ")),
        plain(&about.join(", "))
    )
}

fn weighed(weighing: &Weighing) -> String {
    let mut text = format!(
        "weighed {}, {:.0} % water",
        printed::from_to(
            format!("{} g", weighing.before_g),
            format!("{} g", weighing.after_g)
        ),
        weighing.water_pct()
    );
    if let Some(celsius) = weighing.temperature_c {
        let _ = write!(text, ", {celsius} °C");
    }
    if let Some(at) = &weighing.at {
        let _ = write!(text, "  {DIM}{}{DIM:#}", plain(&clock::shown(Some(at))));
    }
    if !weighing.note.is_empty() {
        let _ = write!(text, "  {}", plain(&weighing.note));
    }
    text
}

/// What was done, one entry after the other.
fn events(out: &mut String, events: &[Event]) {
    for event in events {
        let undone = if event.entry.is_undone() {
            format!(" {DIM}(taken back){DIM:#}")
        } else {
            String::new()
        };
        let at = plain(&clock::shown(event.entry.at.as_ref()));
        let at = if at.is_empty() { "no day" } else { &at };
        out.push_str(&wrapped(
            &format!("{}{undone}", plain(&event.effects.join("; "))),
            &format!("  {DIM}{at}{DIM:#}  "),
            "    ",
        ));
    }
}
