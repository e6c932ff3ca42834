//! What fits on a printed card: the largest type at which all of it does, or, at the smallest, as many cards as it
//! takes. Widths are those of a wide sans serif, so that a usual one has room to spare.

use super::{Item, Row};

/// Type of a card at scale 1, points.
pub(crate) const BASE_PT: f64 = 10.0;
/// Distance of lines, in type sizes.
pub(crate) const LEADING: f64 = 1.25;
/// Free edge of a card, mm.
pub(crate) const MARGIN_MM: f64 = 6.0;

/// Millimetres in a point.
const MM_PER_PT: f64 = 25.4 / 72.0;
/// Room inside the margins of a card of 105 by 148 mm.
const WIDTH_MM: f64 = 105.0 - 2.0 * MARGIN_MM;
const HEIGHT_MM: f64 = 148.0 - 2.0 * MARGIN_MM;
/// The type sizes to try, the largest first: 12 pt down to 6.5 pt.
const SCALES: [f64; 8] = [1.2, 1.1, 1.0, 0.92, 0.85, 0.78, 0.71, 0.65];
/// The sizes of a name, in type sizes.
const NAMES: [f64; 4] = [1.9, 1.6, 1.35, 1.1];
/// More lines of a name than this ask for a smaller size of it.
const NAME_LINES: f64 = 2.0;
/// Columns of the amounts, in type sizes: one alone, or two.
pub(crate) const ALONE_EM: f64 = 6.4;
pub(crate) const FIRST_EM: f64 = 3.7;
pub(crate) const SECOND_EM: f64 = 3.7;
const PADDING_EM: f64 = 0.7;
/// Room kept for what the estimate does not see, in type sizes.
const SPARE_EM: f64 = 0.6;
/// Pieces that a long text is broken into, characters.
const PIECE: usize = 500;

/// Everything that stands on a card.
pub(crate) struct Content {
    pub(crate) name: String,
    /// What stands under the name: glass, washline.
    pub(crate) under: Vec<String>,
    /// Whether the glass is drawn.
    pub(crate) drawn: bool,
    /// Whether amounts have two columns.
    pub(crate) both: bool,
    pub(crate) rows: Vec<Row>,
    pub(crate) below: Vec<Item>,
    pub(crate) cautions: Vec<String>,
    pub(crate) foot: String,
}

/// What stands on one card of it.
#[derive(Clone, Debug, Default)]
pub(crate) struct Part {
    pub(crate) scale: f64,
    pub(crate) name_em: f64,
    pub(crate) rows: Vec<Row>,
    pub(crate) below: Vec<Item>,
    pub(crate) cautions: Vec<String>,
}

/// How wide a character is, in type sizes.
fn wide(c: char, bold: bool) -> f64 {
    let em = match c {
        ' ' => 0.33,
        'm' | 'w' | 'M' | 'W' | '@' | '%' | '—' | '…' | '≈' | '½' | '¼' | '¾' | '⅓' | '⅔' | '⅛' | '⅜'
        | '⅝' | '⅞' => 1.0,
        'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' => 0.4,
        c if c.is_ascii_lowercase() || c.is_ascii_digit() => 0.6,
        c if c.is_ascii() => 0.74,
        c if unicode_width::UnicodeWidthChar::width(c) == Some(2) => 1.05,
        c if unicode_width::UnicodeWidthChar::width(c) == Some(0) => 0.0,
        _ => 0.85,
    };
    if bold { em * 1.08 } else { em }
}

/// How many lines a text takes in a column of `width` type sizes; words break where they must.
fn lines(text: &str, width: f64, bold: bool) -> f64 {
    let (mut count, mut column) = (1.0, 0.0);
    for word in text.split(' ') {
        let long: f64 = word.chars().map(|c| wide(c, bold)).sum();
        let space = if column > 0.0 { wide(' ', bold) } else { 0.0 };
        if column + space + long <= width {
            column += space + long;
            continue;
        }
        if column > 0.0 {
            count += 1.0;
        }
        // A word longer than the line is broken over as many as it takes.
        column = long;
        while column > width {
            count += 1.0;
            column -= (width - 1.05).max(1.0);
        }
    }
    count
}

/// The width of a card inside its margins at a scale, in type sizes.
fn width_em(scale: f64) -> f64 {
    WIDTH_MM / (BASE_PT * MM_PER_PT * scale)
}

fn room_em(scale: f64) -> f64 {
    HEIGHT_MM / (BASE_PT * MM_PER_PT * scale) - SPARE_EM
}

/// The size of the name and the height of the head of a card.
fn head(content: &Content, first: bool, scale: f64) -> (f64, f64) {
    let drawn = if first && content.drawn { 3.5 } else { 0.0 };
    let width = width_em(scale) - drawn;
    let fits = |em: &&f64| lines(&content.name, width / **em, true) <= NAME_LINES;
    let name_em = NAMES.iter().find(fits).copied().unwrap_or(1.1);
    let name = lines(&content.name, width / name_em, true) * name_em * 1.1 + 0.15 * name_em;
    let under: f64 = if first {
        content
            .under
            .iter()
            .map(|words| lines(words, width, false) * LEADING)
            .sum()
    } else {
        LEADING
    };
    let picture = if drawn > 0.0 { 3.6 } else { 0.0 };
    (name_em, (name + under).max(picture) + 1.1)
}

fn row_em(row: &Row, both: bool, scale: f64) -> f64 {
    let width = width_em(scale);
    if let Some(work) = &row.work {
        return lines(work, width - 0.8, true) * LEADING + 0.44;
    }
    let (first, all) = match (both, row.span) {
        (true, true) => (FIRST_EM + SECOND_EM, FIRST_EM + SECOND_EM),
        (true, false) => (FIRST_EM, FIRST_EM + SECOND_EM),
        (false, _) => (ALONE_EM, ALONE_EM),
    };
    let amount = lines(&row.amount, first - PADDING_EM, true);
    let second = lines(&row.second, SECOND_EM - PADDING_EM, true);
    let name = lines(&row.name, width - all, false);
    amount.max(second).max(name) * LEADING + 0.24
}

fn item_em(item: &Item, scale: f64) -> f64 {
    let width = width_em(scale);
    if item.list.is_empty() {
        return lines(&format!("{} {}", item.word, item.words), width, true) * LEADING + 0.3;
    }
    let list: f64 = item
        .list
        .iter()
        .map(|words| lines(&format!("○ {words}"), width - 0.9, false) * LEADING)
        .sum();
    list + LEADING + 0.6
}

fn caution_em(caution: &str, scale: f64) -> f64 {
    lines(caution, (width_em(scale) - 1.6) / 0.88, false) * 0.88 * LEADING
}

/// Everything that is on every card: foot, the edges of its parts.
fn fixed_em(content: &Content, scale: f64) -> f64 {
    let foot = lines(&content.foot, width_em(scale) / 0.75 - 4.0, false) * 0.75 * LEADING + 0.4;
    let heading = if content.both { 1.1 } else { 0.0 };
    let care = if content.cautions.is_empty() { 0.0 } else { 1.3 };
    foot + heading + care + 0.5
}

fn whole_em(content: &Content, scale: f64) -> f64 {
    let rows: f64 = content.rows.iter().map(|r| row_em(r, content.both, scale)).sum();
    let below: f64 = content.below.iter().map(|i| item_em(i, scale)).sum();
    let cautions: f64 = content.cautions.iter().map(|c| caution_em(c, scale)).sum();
    head(content, true, scale).1 + rows + below + cautions + fixed_em(content, scale)
}

/// The cards that a content takes.
pub(crate) fn fitted(content: &Content) -> Vec<Part> {
    if let Some(&scale) = SCALES
        .iter()
        .find(|scale| whole_em(content, **scale) <= room_em(**scale))
    {
        return vec![Part {
            scale,
            name_em: head(content, true, scale).0,
            rows: content.rows.clone(),
            below: content.below.clone(),
            cautions: content.cautions.clone(),
        }];
    }
    split(content)
}

/// One piece that goes on a card whole.
enum Piece {
    Row(Row),
    Below(Item),
    Caution(String),
}

/// A text in pieces, broken between words where it can be.
fn pieces(text: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    for word in text.split(' ') {
        let mut word: Vec<char> = word.chars().collect();
        while word.len() > PIECE {
            let rest = word.split_off(PIECE);
            all.push(word.into_iter().collect());
            word = rest;
        }
        let word: String = word.into_iter().collect();
        let last = all.len() - 1;
        if all[last].chars().count() + word.chars().count() < PIECE {
            if !all[last].is_empty() {
                all[last].push(' ');
            }
            all[last].push_str(&word);
        } else {
            all.push(word);
        }
    }
    all.retain(|piece| !piece.is_empty());
    all
}

/// Spread a content over cards at the smallest type, in order.
fn split(content: &Content) -> Vec<Part> {
    let scale = SCALES[SCALES.len() - 1];
    let mut all: Vec<Piece> = content.rows.iter().cloned().map(Piece::Row).collect();
    for item in &content.below {
        let words = pieces(&item.words).into_iter().map(|words| Item {
            word: item.word,
            words,
            list: Vec::new(),
        });
        all.extend(words.map(Piece::Below));
        let lists = item
            .list
            .iter()
            .flat_map(|words| pieces(words))
            .map(|words| Item {
                word: item.word,
                words: String::new(),
                list: vec![words],
            });
        all.extend(lists.map(Piece::Below));
    }
    for caution in &content.cautions {
        all.extend(pieces(caution).into_iter().map(Piece::Caution));
    }
    let mut parts: Vec<Part> = Vec::new();
    let mut free = 0.0;
    for piece in all {
        let high = match &piece {
            Piece::Row(row) => row_em(row, content.both, scale),
            Piece::Below(item) => item_em(item, scale),
            Piece::Caution(caution) => caution_em(caution, scale),
        };
        if parts.is_empty() || high > free {
            let (name_em, head) = head(content, parts.is_empty(), scale);
            free = room_em(scale) - head - fixed_em(content, scale);
            parts.push(Part {
                scale,
                name_em,
                ..Part::default()
            });
        }
        free -= high;
        if let Some(part) = parts.last_mut() {
            match piece {
                Piece::Row(row) => part.rows.push(row),
                Piece::Below(item) => join(&mut part.below, item),
                Piece::Caution(caution) => part.cautions.push(caution),
            }
        }
    }
    parts
}

/// Pieces of one list stand in one list again.
fn join(below: &mut Vec<Item>, item: Item) {
    match below.last_mut() {
        Some(last) if last.word == item.word && !last.list.is_empty() && !item.list.is_empty() => {
            last.list.extend(item.list);
        }
        _ => below.push(item),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn content(rows: usize, name: &str, note: &str) -> Content {
        Content {
            name: name.to_owned(),
            under: vec!["coupe, 180 ml".to_owned()],
            drawn: true,
            both: true,
            rows: (0..rows)
                .map(|i| Row {
                    amount: "22.5".to_owned(),
                    second: "¾".to_owned(),
                    name: format!("ingredient {i} of a long name that goes on"),
                    ..Row::default()
                })
                .collect(),
            below: vec![Item {
                word: "Note",
                words: note.to_owned(),
                list: Vec::new(),
            }],
            cautions: vec!["Allergens (EU list): contains eggs.".to_owned()],
            foot: "Halt, version 1".to_owned(),
        }
    }

    #[test]
    fn little_stands_large_and_much_stands_small_or_on_more_cards() {
        let short = fitted(&content(4, "Owl", "keep it cold"));
        assert_eq!(short.len(), 1);
        let long = fitted(&content(16, "Owl", &"a word and another ".repeat(20)));
        assert_eq!(long.len(), 1);
        assert!(long[0].scale < short[0].scale);
        let longest = fitted(&content(80, "Owl", &"a word and another ".repeat(200)));
        assert!(longest.len() > 2);
        // Nothing is lost, and the order stays.
        let rows: Vec<&str> = longest
            .iter()
            .flat_map(|p| &p.rows)
            .map(|r| r.name.as_str())
            .collect();
        assert_eq!(rows.len(), 80);
        assert!(rows[79].starts_with("ingredient 79"));
        let words: usize = longest
            .iter()
            .flat_map(|p| &p.below)
            .map(|i| i.words.split(' ').filter(|w| !w.is_empty()).count())
            .sum();
        assert_eq!(words, 800);
        assert_eq!(longest.iter().map(|p| p.cautions.len()).sum::<usize>(), 1);
    }

    #[test]
    fn words_longer_than_a_line_are_counted_broken() {
        assert!(lines(&"W".repeat(100), 20.0, true) >= 6.0);
        assert!((lines("one two", 20.0, false) - 1.0).abs() < 1e-9);
        assert_eq!(pieces(&"x".repeat(1200)).len(), 3);
    }
}
