//! Cells of a sheet that no spreadsheet takes for a formula or a date, and back.
//!
//! A spreadsheet runs a cell that begins with `=`, `+`, `-` or `@` as a formula, and turns `1/2`, `3-4` or
//! `May 5` into a date. Such a cell is written with an apostrophe before it, and so is one that begins with an
//! apostrophe of its own; reading takes one apostrophe away again, and the cell is as it was.

use super::dates;

/// What a spreadsheet, or one of its relatives, begins a formula with. Full-width forms count.
const FORMULA: [char; 11] = ['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠'];

/// A cell as it is written.
pub(super) fn guarded(cell: &str) -> String {
    if needs_guard(cell) {
        format!("'{cell}")
    } else {
        cell.to_owned()
    }
}

fn needs_guard(cell: &str) -> bool {
    cell.starts_with('\'') || cell.trim_start().starts_with(FORMULA) || dates::would_become_one(cell)
}

/// A cell as it was before it was guarded.
pub(super) fn unguarded(cell: &str) -> &str {
    cell.strip_prefix('\'').unwrap_or(cell)
}

/// The same for a sheet that somebody else made: an apostrophe stays where it guards nothing.
pub(super) fn unguarded_if_guarded(cell: &str) -> &str {
    match cell.strip_prefix('\'') {
        Some(rest) if needs_guard(rest) => rest,
        _ => cell,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_spreadsheet_would_run_or_turn_into_a_date_is_guarded() {
        for cell in [
            "=1+1", "+49", "-2", "@here", "＝1", "\t=1", " =1", "'quoted", "1/2", "3-4", "1/2/2024", "May 5",
            "5 May", "12-Sep",
        ] {
            assert_eq!(guarded(cell), format!("'{cell}"), "{cell}");
        }
        for cell in [
            "",
            "22.5",
            "1 1/2",
            "dry gin",
            "2:1 syrup",
            "May",
            "lime",
            "50 %",
            "n/a",
            "a-b",
        ] {
            assert_eq!(guarded(cell), cell);
        }
    }

    #[test]
    fn guarding_is_undone() {
        for cell in ["", "'", "''", "'=x", "=x", "1/2", "gin", "'1/2"] {
            assert_eq!(unguarded(&guarded(cell)), cell);
        }
        assert_eq!(unguarded_if_guarded("'tis"), "'tis");
        assert_eq!(unguarded_if_guarded("'1/2"), "1/2");
    }
}
