//! A book in its clean form: what is said beside it.

use washline_core::computed::Tidied;

use super::{plain, wrapped};

/// What is left as it is typed, and why.
pub fn left(tidied: &Tidied) -> String {
    let named = |unread: bool| -> Vec<String> {
        tidied
            .left
            .iter()
            .filter(|l| l.unread == unread)
            .map(|l| plain(&l.name))
            .collect()
    };
    let mut out = String::new();
    for (unread, why) in [
        (true, "left as typed until it reads: "),
        (false, "left as typed, for it would read otherwise: "),
    ] {
        let names = named(unread);
        if !names.is_empty() {
            out.push_str(&wrapped(&names.join("; "), why, "  "));
        }
    }
    out
}

/// What became of the file.
pub fn written(file: &str, changed: bool) -> String {
    let file = plain(file);
    if changed {
        format!("{file}: written in its clean form\n")
    } else {
        format!("{file}: is in its clean form\n")
    }
}
