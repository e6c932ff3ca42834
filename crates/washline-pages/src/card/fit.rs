//! What fits on a printed card: the largest type at which all of a run does, or, at the smallest, as many cards as it
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
/// The type sizes to try, the largest first: 17 pt down to 8.5 pt, which is read at arm's length in a dim bar.
const SCALES: [f64; 9] = [1.7, 1.5, 1.35, 1.2, 1.1, 1.0, 0.95, 0.9, 0.85];
/// The sizes of a name, in type sizes.
const NAMES: [f64; 4] = [1.9, 1.6, 1.35, 1.1];
/// More lines of a name than this ask for a smaller size of it.
const NAME_LINES: f64 = 2.0;
/// Columns of the amounts, in type sizes: one alone, or two.
pub(crate) const ALONE_EM: f64 = 7.2;
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
    /// What stands there in a box: that it does not fit its glass.
    pub(crate) warned: String,
    /// How wide the drawn glass is for its height; `None` where none is drawn.
    pub(crate) drawn: Option<f64>,
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

/// How large the type of a run of cards is, and what room one has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Setting {
    /// Width and height of a card, mm.
    card_mm: (f64, f64),
    /// Type size, of [`BASE_PT`].
    pub(crate) scale: f64,
    /// Size of the names, in type sizes.
    pub(crate) name_em: f64,
}

impl Setting {
    /// The largest type at which a run takes no more cards than at the smallest. So what is too long for one card at any
    /// size does not by itself make the type of the others small.
    pub(crate) fn of(contents: &[Content], card_mm: (f64, f64)) -> Setting {
        let at = |scale: f64| {
            let setting = Setting {
                card_mm,
                scale,
                name_em: NAMES[0],
            };
            let fits = |em: &&f64| contents.iter().all(|c| setting.holds_name(c, **em));
            Setting {
                name_em: NAMES.iter().find(fits).copied().unwrap_or(NAMES[NAMES.len() - 1]),
                ..setting
            }
        };
        let cards = |setting: &Setting| -> usize { contents.iter().map(|c| fitted(c, setting).len()).sum() };
        let smallest = at(SCALES[SCALES.len() - 1]);
        let fewest = cards(&smallest);
        let larger = SCALES
            .into_iter()
            .map(at)
            .find(|setting| cards(setting) <= fewest);
        larger.unwrap_or(smallest)
    }

    fn holds_name(&self, content: &Content, em: f64) -> bool {
        lines(&content.name, (self.width_em() - drawn_em(content)) / em, true) <= NAME_LINES
    }

    /// The width of a card inside its margins, in type sizes.
    fn width_em(&self) -> f64 {
        (self.card_mm.0 - 2.0 * MARGIN_MM) / (BASE_PT * MM_PER_PT * self.scale)
    }

    fn room_em(&self) -> f64 {
        (self.card_mm.1 - 2.0 * MARGIN_MM) / (BASE_PT * MM_PER_PT * self.scale) - SPARE_EM
    }
}

/// How high the drawn glass is, in type sizes.
pub(crate) const GLASS_EM: f64 = 7.0;

/// The width that a drawn glass takes with the gap beside it, in type sizes.
fn drawn_em(content: &Content) -> f64 {
    content.drawn.map_or(0.0, |wide| GLASS_EM * wide + 1.2)
}

/// The height of the head of a card, in type sizes.
fn head(content: &Content, first: bool, setting: &Setting) -> f64 {
    let drawn = if first { drawn_em(content) } else { 0.0 };
    let (width, name_em) = (setting.width_em() - drawn, setting.name_em);
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
    let picture = if drawn > 0.0 { GLASS_EM } else { 0.0 };
    let warned = if first && !content.warned.is_empty() {
        lines(&content.warned, setting.width_em() - 1.4, true) * LEADING + 1.3
    } else {
        0.0
    };
    (name + under).max(picture) + 1.1 + warned
}

fn row_em(row: &Row, both: bool, setting: &Setting) -> f64 {
    let width = setting.width_em();
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

fn item_em(item: &Item, setting: &Setting) -> f64 {
    let width = setting.width_em();
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

fn caution_em(caution: &str, setting: &Setting) -> f64 {
    lines(caution, setting.width_em() - 1.6, false) * LEADING
}

fn cautions_em(content: &Content, setting: &Setting) -> f64 {
    content.cautions.iter().map(|c| caution_em(c, setting)).sum()
}

/// Everything that is on every card: foot, the edges of its parts.
fn fixed_em(content: &Content, setting: &Setting) -> f64 {
    // The foot is never smaller than 7 points, nor larger than the text.
    let small = FOOT_PT / (BASE_PT * setting.scale);
    let foot = lines(&content.foot, setting.width_em() / small - DAY_EM, false) * small * LEADING + 0.4;
    let heading = if content.both { 1.1 } else { 0.0 };
    let care = if content.cautions.is_empty() { 0.0 } else { 1.3 };
    foot + heading + care + 0.5
}

/// Room for the day at the end of the foot, and for which card of how many it is, in its type sizes.
const DAY_EM: f64 = 10.5;

/// Type of the foot of a card, points.
pub(crate) const FOOT_PT: f64 = 8.5;

fn whole_em(content: &Content, setting: &Setting) -> f64 {
    let rows: f64 = content
        .rows
        .iter()
        .map(|r| row_em(r, content.both, setting))
        .sum();
    let below: f64 = content.below.iter().map(|i| item_em(i, setting)).sum();
    head(content, true, setting) + rows + below + cautions_em(content, setting) + fixed_em(content, setting)
}

/// The cards that a content takes.
pub(crate) fn fitted(content: &Content, setting: &Setting) -> Vec<Part> {
    if whole_em(content, setting) <= setting.room_em() {
        return vec![Part {
            rows: content.rows.clone(),
            below: content.below.clone(),
            cautions: content.cautions.clone(),
        }];
    }
    split(content, setting)
}

/// Cautions that take more of a card than this go on once, and not on each of its parts.
const MOST_CAUTIONS: f64 = 0.4;

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

/// Spread a content over cards, in order; what it cautions of stands on each of them.
fn split(content: &Content, setting: &Setting) -> Vec<Part> {
    let everywhere = cautions_em(content, setting) <= MOST_CAUTIONS * setting.room_em();
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
    for caution in content.cautions.iter().filter(|_| !everywhere) {
        all.extend(pieces(caution).into_iter().map(Piece::Caution));
    }
    let mut parts: Vec<Part> = Vec::new();
    let mut free = 0.0;
    for piece in all {
        let high = match &piece {
            Piece::Row(row) => row_em(row, content.both, setting),
            Piece::Below(item) => item_em(item, setting),
            Piece::Caution(caution) => caution_em(caution, setting),
        };
        if parts.is_empty() || high > free {
            free = setting.room_em() - head(content, parts.is_empty(), setting) - fixed_em(content, setting);
            let mut part = Part::default();
            if everywhere {
                free -= cautions_em(content, setting);
                part.cautions.clone_from(&content.cautions);
            }
            parts.push(part);
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

    const A6: (f64, f64) = (105.0, 148.0);

    fn content(rows: usize, name: &str, note: &str) -> Content {
        Content {
            name: name.to_owned(),
            under: vec!["coupe, 180 ml".to_owned()],
            warned: String::new(),
            drawn: Some(0.7),
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
    fn a_run_has_one_type_size_and_what_is_too_much_goes_on() {
        let (little, much) = (
            content(4, "Owl", "keep it cold"),
            content(11, "Owl", "so many words"),
        );
        let alone = Setting::of(&[content(4, "Owl", "keep it cold")], A6);
        let run = Setting::of(&[little, much], A6);
        assert!(alone.scale > run.scale);
        let longest = content(80, "Owl", &"a word and another ".repeat(200));
        let setting = Setting::of(&[content(80, "Owl", &"a word and another ".repeat(200))], A6);
        assert!((setting.scale - SCALES[SCALES.len() - 1]).abs() < 1e-9);
        assert!(setting.scale * BASE_PT >= 8.5);
        let parts = fitted(&longest, &setting);
        assert!(parts.len() > 2);
        // Nothing is lost, the order stays, and the cautions stand on every part.
        let rows: Vec<&str> = parts
            .iter()
            .flat_map(|p| &p.rows)
            .map(|r| r.name.as_str())
            .collect();
        assert_eq!(rows.len(), 80);
        assert!(rows[79].starts_with("ingredient 79"));
        let words: usize = parts
            .iter()
            .flat_map(|p| &p.below)
            .map(|i| i.words.split(' ').filter(|w| !w.is_empty()).count())
            .sum();
        assert_eq!(words, 800);
        assert!(parts.iter().all(|p| p.cautions == longest.cautions));
        // A larger card has larger type.
        assert!(Setting::of(&[content(4, "Owl", "keep it cold")], (148.0, 210.0)).scale > alone.scale);
    }

    #[test]
    fn words_longer_than_a_line_are_counted_broken() {
        assert!(lines(&"W".repeat(100), 20.0, true) >= 6.0);
        assert!((lines("one two", 20.0, false) - 1.0).abs() < 1e-9);
        assert_eq!(pieces(&"x".repeat(1200)).len(), 3);
    }
}
