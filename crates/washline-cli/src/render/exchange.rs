//! Data in and out, other houses, copies and the state of a file: on the screen and in JSON.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::IsTerminal;
use std::path::Path;

use washline_core::exchange::{Format, Shelved};
use washline_core::store::Examined;
use washline_core::store::merge::{Item, Kind, MergeOutcome, Merged};

use washline_view::files::{BackedUp, Verified, Written, WrittenFile};
use washline_view::parts::Version;

use super::style::{BAD, DIM, GOOD, LOOK, NAME};
use super::{count, plain, wrapped, written};
use crate::clock;

/// A text for standard output, and whether it goes there to the byte: to a file or another program it does, to a
/// terminal harmless.
pub fn data(text: &str) -> (String, bool) {
    if std::io::stdout().is_terminal() {
        (plain(&text.replace("\r\n", "\n")), false)
    } else {
        (text.to_owned(), true)
    }
}

/// A file that was written.
pub fn file_of(path: &Path, format: Format, books: &[Shelved], text: &str) -> WrittenFile {
    WrittenFile {
        file: path.display().to_string().into(),
        format: format.into(),
        books: books.len(),
        drinks: books.iter().map(|b| b.book.drinks().count()).sum(),
        bytes: text.len(),
    }
}

/// What was written where.
pub fn files_written(files: &[WrittenFile], as_json: bool) -> String {
    if as_json {
        return written(&Written::of(files));
    }
    let mut out = String::new();
    for file in files {
        let _ = writeln!(
            out,
            "written: {} ({}, {})",
            plain(&file.file.0),
            count(file.books, "book", "books"),
            count(file.drinks, "drink", "drinks")
        );
    }
    out
}

/// A copy that was made.
pub fn backed_up(path: &Path, bytes: u64, as_json: bool) -> String {
    let file = path.display().to_string();
    if as_json {
        return written(&BackedUp {
            schema: Version,
            file: file.into(),
            bytes,
        });
    }
    format!("copied to {} ({} kB)\n", plain(&file), bytes.div_ceil(1000))
}

/// What looking through a file found; `rebuilt` so many results where it was mended first.
pub fn verified(path: &Path, examined: &Examined, rebuilt: Option<usize>, as_json: bool) -> String {
    let file = path.display().to_string();
    if as_json {
        return written(&Verified::of(&file, examined, rebuilt));
    }
    let whole = examined.damage.is_empty() && examined.foreign.is_empty();
    let mut out = format!("{NAME}{}{NAME:#}\n", plain(&file));
    if whole {
        let _ = writeln!(
            out,
            "  {}, {}, {}, {}",
            number(examined.books, "book", "books"),
            number(examined.drinks, "drink", "drinks"),
            number(examined.versions, "version", "versions"),
            number(examined.preparations, "preparation", "preparations")
        );
    }
    if let Some(rebuilt) = rebuilt {
        let _ = writeln!(out, "  worked out anew from the specs: {rebuilt}");
    }
    for (file, bytes) in &examined.beside {
        let said = format!(
            "beside it: {} ({} kB), not yet in the file; copy the house with washline backup, or both files together",
            plain(file),
            bytes.div_ceil(1000)
        );
        out.push_str(&wrapped(&said, "  ", "  "));
    }
    let mut line = |what: &str, wrong: &[String], cure: &str| {
        if wrong.is_empty() {
            let _ = writeln!(out, "  {GOOD}in order{GOOD:#}  {what}");
            return;
        }
        let _ = writeln!(out, "  {BAD}at fault{BAD:#}  {what}");
        for said in wrong {
            out.push_str(&wrapped(&plain(said), "            ", "            "));
        }
        out.push_str(&wrapped(cure, "            ", "            "));
    };
    line(
        "the file itself",
        &examined.damage,
        "washline verify --repair mends what can be worked out anew; else restore a backup: washline --house BACKUP.db",
    );
    if examined.damage.is_empty() {
        line(
            "every table, view and trigger is ours",
            &examined.foreign,
            "ask for the house as a book (washline export --format book), or restore a backup",
        );
    }
    if !whole {
        return out;
    }
    line(
        "every row points at one that is there",
        &examined.dangling,
        "another program has deleted rows; restore a backup, or add the books again",
    );
    line(
        "every row agrees with the text it comes from",
        &examined.at_odds,
        "another program or a fault of the disk has changed rows; add the book again, or restore a backup",
    );
    let unread: Vec<String> = examined
        .unread
        .iter()
        .map(|f| format!("{}:{}: {}", f.file, f.line, f.message))
        .collect();
    line(
        "every spec reads",
        &unread,
        "mend the spec or the ingredient it pours, and add the book again",
    );
    let stale: Vec<String> = examined
        .stale
        .iter()
        .map(|(drink, book)| format!("{drink} ({book})"))
        .collect();
    line(
        "every result is current",
        &stale,
        "washline list brings them up to date",
    );
    line(
        "every figure is what its spec comes to",
        &examined.wrong,
        "washline verify --repair works them out anew",
    );
    out
}

fn number(n: i64, one: &str, several: &str) -> String {
    count(usize::try_from(n).unwrap_or(0), one, several)
}

/// The heading of a group of things in a merge, in the order in which they are shown.
fn heading(outcome: MergeOutcome, dry: bool) -> &'static str {
    match (outcome, dry) {
        (MergeOutcome::Undecided, _) => "to decide",
        (MergeOutcome::New, true) => "would be new here",
        (MergeOutcome::New, false) => "new here",
        (MergeOutcome::Later, true) => "would be taken, a later version",
        (MergeOutcome::Later, false) => "taken, a later version",
        (MergeOutcome::Theirs, true) => "would be taken over ours",
        (MergeOutcome::Theirs, false) => "taken over ours",
        (MergeOutcome::Ours, _) => "ours stays",
        (MergeOutcome::Earlier, _) => "ours stays, a later version",
        (MergeOutcome::Same, _) => "the same in both",
    }
}

/// What a merge did, or would do.
pub fn merged(result: &Merged, dry: bool) -> String {
    let tentative = dry || !result.done;
    let mut out = String::new();
    let mut groups: BTreeMap<MergeOutcome, Vec<&Item>> = BTreeMap::new();
    for item in &result.items {
        groups.entry(item.outcome).or_default().push(item);
    }
    if groups.is_empty() {
        return "nothing there to take\n".to_owned();
    }
    for (outcome, items) in groups {
        let style = if outcome == MergeOutcome::Undecided {
            LOOK
        } else {
            NAME
        };
        if outcome == MergeOutcome::Same {
            let _ = writeln!(
                out,
                "{DIM}{}: {}{DIM:#}",
                heading(outcome, tentative),
                items.len()
            );
            continue;
        }
        let _ = writeln!(
            out,
            "{style}{} ({}){style:#}",
            heading(outcome, tentative),
            items.len()
        );
        for item in items {
            let place = item
                .book
                .as_ref()
                .map_or_else(String::new, |b| format!(" ({})", plain(b)));
            let about = match (item.kind, outcome) {
                (Kind::Book | Kind::Tasting, _) => format!(": {}", plain(&item.theirs)),
                (Kind::Setting | Kind::Range | Kind::Price, _) => {
                    let ours = if item.ours.is_empty() {
                        "nothing"
                    } else {
                        &item.ours
                    };
                    format!(": theirs {}, ours {}", plain(&item.theirs), plain(ours))
                }
                _ => String::new(),
            };
            let _ = writeln!(out, "  {} {}{place}{about}", item.kind.word(), plain(&item.name));
            let shown = matches!(
                outcome,
                MergeOutcome::Undecided | MergeOutcome::Theirs | MergeOutcome::Later
            );
            let lines = matches!(
                item.kind,
                Kind::Drink | Kind::Preparation | Kind::Definition | Kind::Opening | Kind::Ingredient
            );
            if shown && lines {
                out.push_str(&difference(item));
            }
        }
    }
    let taken = result
        .items
        .iter()
        .filter(|i| {
            matches!(
                i.outcome,
                MergeOutcome::New | MergeOutcome::Later | MergeOutcome::Theirs
            )
        })
        .count();
    if result.done {
        out.push_str(&if taken == 0 {
            "nothing to take\n".to_owned()
        } else {
            format!("taken: {taken}\n")
        });
    }
    out
}

/// The lines that only one of the two has, ours before theirs, each with its date.
fn difference(item: &Item) -> String {
    let mut out = String::new();
    let only = |a: &str, b: &str| -> Vec<String> {
        a.lines()
            .filter(|l| !l.trim().is_empty() && !b.lines().any(|o| o.trim() == l.trim()))
            .map(plain)
            .collect()
    };
    for (mark, whose, lines, at) in [
        ("-", "ours", only(&item.ours, &item.theirs), &item.ours_at),
        ("+", "theirs", only(&item.theirs, &item.ours), &item.theirs_at),
    ] {
        if lines.is_empty() {
            continue;
        }
        let at = at
            .as_ref()
            .map_or_else(String::new, |at| format!(", {}", plain(&clock::shown(Some(at)))));
        let _ = writeln!(out, "    {DIM}{whose}{at}{DIM:#}");
        for line in lines {
            let _ = writeln!(out, "    {mark} {line}");
        }
    }
    out
}
