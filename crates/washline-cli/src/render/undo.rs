//! What was done to the house, and what taking some of it back does.

use washline_core::store::{Entry, Rearranged, Undone};

use washline_view::journal::Journal;

use super::style::{DIM, NAME};
use super::{item, plain, table, wrapped, written};
use crate::clock;

/// Every entry, the latest first.
pub fn listed(entries: &[Entry], as_json: bool) -> String {
    if as_json {
        return written(&Journal::from(entries));
    }
    if entries.is_empty() {
        return "nothing has been done to this house yet that could be taken back\n".to_owned();
    }
    let mut rows = table(&[">entry", "when", "what"]);
    for entry in entries {
        let undone = match entry.undone_by {
            Some(by) => format!(" (taken back by {by})"),
            None => String::new(),
        };
        rows.add_row([
            entry.number.to_string(),
            plain(&clock::shown(entry.at.as_ref())),
            plain(&entry.what) + &undone,
        ]);
    }
    rows.lines()
}

/// What taking an entry back did or would do.
pub fn planned(undone: &Undone, as_json: bool) -> String {
    if as_json {
        return written(&Journal::from(undone));
    }
    let entry = &undone.entry;
    let at = match clock::shown(entry.at.as_ref()) {
        at if at.is_empty() => at,
        at => format!(" {DIM}({}){DIM:#}", plain(&at)),
    };
    let verb = if undone.by.is_some() {
        "taken back"
    } else {
        "to be taken back"
    };
    let mut out = wrapped(
        &format!("{}{at}", plain(&entry.what)),
        &format!("{verb}: {NAME}{}{NAME:#} ", entry.number),
        "  ",
    );
    for effect in &undone.effects {
        out.push_str(&item(effect));
    }
    out + &taken_back(undone)
}

/// How to have it again, once it is done.
pub fn taken_back(undone: &Undone) -> String {
    match undone.by {
        Some(by) => format!("to have it again: `washline undo {by}`\n"),
        None => String::new(),
    }
}

/// What removing, renaming or putting back did or would do.
pub fn rearranged(done: &Rearranged, as_json: bool) -> String {
    if as_json {
        return written(&washline_view::journal::Rearranged::from(done));
    }
    let mut out = String::new();
    for effect in &done.effects {
        out.push_str(&wrapped(&plain(effect), "", "  "));
    }
    if !done.poured_in.is_empty() {
        let names: Vec<String> = done
            .poured_in
            .iter()
            .map(|(name, list)| format!("{name} ({list})"))
            .collect();
        out.push_str(&wrapped(
            &plain(&names.join("; ")),
            &format!("poured in {}: ", names.len()),
            "  ",
        ));
    }
    if !done.broken.is_empty() {
        out.push_str("without it these cannot be worked out:\n");
        out.push_str(&super::faults(&done.broken, &[]));
    }
    if done.effects.is_empty() {
        out.push_str("nothing to change\n");
    }
    out + &to_take_back(done)
}

/// How to take it back, once it is done.
pub fn to_take_back(done: &Rearranged) -> String {
    match done.entry {
        Some(entry) => format!("to take it back: `washline undo {entry}`\n"),
        None => String::new(),
    }
}
