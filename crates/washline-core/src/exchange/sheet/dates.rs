//! Dates that a spreadsheet makes of fractions, and texts it would make one of.

/// Names of months as spreadsheets write them short in English, German, French, Spanish, Italian, Portuguese and
/// Dutch, with the number of the month. Folded: lower case, no accents, no full stop.
const MONTHS: [(&str, u32); 45] = [
    ("jan", 1),
    ("janv", 1),
    ("ene", 1),
    ("gen", 1),
    ("january", 1),
    ("feb", 2),
    ("fevr", 2),
    ("fev", 2),
    ("february", 2),
    ("mar", 3),
    ("mars", 3),
    ("mrz", 3),
    ("marz", 3),
    ("mrt", 3),
    ("march", 3),
    ("apr", 4),
    ("avr", 4),
    ("abr", 4),
    ("april", 4),
    ("may", 5),
    ("mai", 5),
    ("mag", 5),
    ("mei", 5),
    ("jun", 6),
    ("juin", 6),
    ("giu", 6),
    ("june", 6),
    ("jul", 7),
    ("juil", 7),
    ("lug", 7),
    ("july", 7),
    ("aug", 8),
    ("aout", 8),
    ("ago", 8),
    ("august", 8),
    ("sep", 9),
    ("sept", 9),
    ("set", 9),
    ("september", 9),
    ("oct", 10),
    ("okt", 10),
    ("ott", 10),
    ("nov", 11),
    ("dec", 12),
    ("dez", 12),
];

fn month(word: &str) -> Option<u32> {
    let folded = crate::names::key(word);
    let folded = folded.trim_end_matches('.');
    MONTHS.iter().find(|(name, _)| *name == folded).map(|(_, n)| *n)
}

/// The pieces of a text between `-`, `/`, `.` and spaces, where it has two or three of them and nothing else.
fn pieces(text: &str) -> Option<Vec<&str>> {
    let pieces: Vec<&str> = text
        .split(['-', '/', '.', ' '])
        .filter(|p| !p.is_empty())
        .collect();
    (2..=3).contains(&pieces.len()).then_some(pieces)
}

fn number(piece: &str) -> Option<u32> {
    (piece.len() <= 4 && piece.bytes().all(|b| b.is_ascii_digit()))
        .then(|| piece.parse().ok())
        .flatten()
}

/// Written with two digits or four.
fn is_year(piece: &str) -> bool {
    matches!(piece.len(), 2 | 4)
}

/// Cut by one sort of mark only.
fn one_separator(text: &str) -> bool {
    let marks: Vec<char> = text.chars().filter(|c| !c.is_ascii_digit()).collect();
    marks.windows(2).all(|pair| pair[0] == pair[1]) && !text.contains(' ')
}

/// Whether a spreadsheet would make a date of a text: `1/2`, `3-4`, `1/2/24`, `May 5`.
pub(super) fn would_become_one(text: &str) -> bool {
    let text = text.trim();
    let Some(pieces) = pieces(text) else { return false };
    let numbers = pieces.iter().filter(|p| number(p).is_some()).count();
    let months = pieces.iter().filter(|p| month(p).is_some()).count();
    if numbers + months != pieces.len() || numbers == 0 {
        return false;
    }
    // `1 1/2` is a number to a spreadsheet, `22.5` is one to most.
    months == 1 || (months == 0 && !text.contains([' ', '.']))
}

/// What a cell was before a spreadsheet made a date of it, where it is one: the fractions it may have been.
/// A fraction (`1/2`) or a range (`1-2`) is none.
pub(super) fn was_a_fraction(text: &str) -> Option<Vec<String>> {
    // `2024-01-02 00:00:00`, `2024-01-02T00:00:00`: a date with the time that comes along.
    let text = text.trim();
    let (date, time) = match text.split_once(['T', ' ']) {
        Some((date, time)) if time.contains(':') => (date, Some(time)),
        _ => (text, None),
    };
    if time.is_some_and(|t| {
        !t.chars()
            .all(|c| c.is_ascii_digit() || matches!(c, ':' | '.' | 'Z' | '+'))
    }) {
        return None;
    }
    let pieces = pieces(date)?;
    let numbers: Vec<Option<u32>> = pieces.iter().map(|p| number(p)).collect();
    let named = pieces.iter().find_map(|p| month(p));
    let (day, month) = match (numbers.as_slice(), named) {
        // `02-Jan`, `Jan-02`, `2. Jan 24`
        ([Some(day), None], Some(month)) | ([None, Some(day)], Some(month)) => (*day, month),
        ([Some(day), None, Some(_)], Some(month)) | ([None, Some(day), Some(_)], Some(month)) => {
            (*day, month)
        }
        // `2024-01-02`
        ([Some(_), Some(month), Some(day)], None) if pieces[0].len() == 4 && one_separator(date) => {
            (*day, *month)
        }
        // `1/2/2024`, `02.01.24`; `1-1/2` and `1 1/2` are mixed numbers
        ([Some(a), Some(b), Some(_)], None) if is_year(pieces[2]) && one_separator(date) => (*a, *b),
        _ => return None,
    };
    if day == 0 || month == 0 || day > 31 || month > 31 {
        return None;
    }
    let (low, high) = (day.min(month), day.max(month));
    Some(vec![format!("{low}/{high}"), format!("{low}-{high}")])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_tell_the_fraction_they_were() {
        for text in [
            "02-Jan",
            "1-Feb",
            "2-janv.",
            "01. Feb",
            "Jan-02",
            "2024-01-02",
            "2024-01-02 00:00:00",
            "2024-01-02T00:00:00",
            "1/2/2024",
            "02.01.2024",
            "2.1.24",
            "2 Jan 2024",
        ] {
            let was = was_a_fraction(text);
            assert_eq!(
                was.unwrap_or_default().first().map(String::as_str),
                Some("1/2"),
                "{text}"
            );
        }
        assert_eq!(was_a_fraction("04-Mär").unwrap_or_default(), ["3/4", "3-4"]);
    }

    #[test]
    fn amounts_are_no_dates() {
        for text in [
            "1/2", "1-2", "22.5", "2,25", "1 1/2", "to taste", "12", "", "60 ml", "2 dashes", "0.33",
            "1-1/2", "2.0.5",
        ] {
            assert_eq!(was_a_fraction(text), None, "{text}");
        }
    }
}
