//! Where names stand beside marks, so that none covers another, nor a mark.
//!
//! Two rounds, both in a fixed order. First every mark gets its number, the most crowded first: beside it, else
//! farther off at the end of a thin line. Then, the freest first, names take the place of numbers where there is
//! room. The same drinks come to the same picture every time.

/// An upright box, in the units of the picture; y grows downwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Area {
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
}

impl Area {
    /// The square about a point.
    pub(crate) fn about(x: f64, y: f64, reach: f64) -> Area {
        Area {
            left: x - reach,
            top: y - reach,
            right: x + reach,
            bottom: y + reach,
        }
    }

    /// Whether two boxes share more than an edge.
    pub(crate) fn meets(&self, other: &Area) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    fn holds(&self, other: &Area) -> bool {
        self.left <= other.left
            && other.right <= self.right
            && self.top <= other.top
            && other.bottom <= self.bottom
    }

    /// Whether a line runs through it (Liang and Barsky's clipping).
    fn is_crossed_by(&self, line: &Line) -> bool {
        let (dx, dy) = (line.x2 - line.x1, line.y2 - line.y1);
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (step, room) in [
            (-dx, line.x1 - self.left),
            (dx, self.right - line.x1),
            (-dy, line.y1 - self.top),
            (dy, self.bottom - line.y1),
        ] {
            if step.abs() < 1e-9 {
                if room <= 0.0 {
                    return false;
                }
            } else if step < 0.0 {
                from = from.max(room / step);
            } else {
                to = to.min(room / step);
            }
        }
        // To end on the edge is not to run through.
        to - from > 1e-9
    }
}

/// A thin line from a mark to its label.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) x1: f64,
    pub(crate) y1: f64,
    pub(crate) x2: f64,
    pub(crate) y2: f64,
}

impl Line {
    fn crosses(&self, other: &Line) -> bool {
        let side = |l: &Line, x: f64, y: f64| (l.x2 - l.x1) * (y - l.y1) - (l.y2 - l.y1) * (x - l.x1);
        side(self, other.x1, other.y1) * side(self, other.x2, other.y2) < 0.0
            && side(other, self.x1, self.y1) * side(other, self.x2, self.y2) < 0.0
    }
}

/// Something to be labelled.
#[derive(Clone, Debug)]
pub(crate) struct Wanted {
    /// The middle of its mark.
    pub(crate) x: f64,
    pub(crate) y: f64,
    /// How far its mark reaches from there.
    pub(crate) reach: f64,
    /// Its name; `None` where the picture has no room for names.
    pub(crate) name: Option<String>,
    /// What stands for it where there is no room for its name.
    pub(crate) number: String,
}

/// A label in its place.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Placed {
    /// The name or the number.
    pub(crate) text: String,
    /// The box it stands in.
    pub(crate) area: Area,
    /// The line to its mark, where it stands farther off.
    pub(crate) line: Option<Line>,
}

impl Placed {
    /// The box that it and its line take.
    fn reach(&self) -> Area {
        let mut area = self.area;
        if let Some(line) = &self.line {
            area.left = area.left.min(line.x1).min(line.x2);
            area.right = area.right.max(line.x1).max(line.x2);
            area.top = area.top.min(line.y1).min(line.y2);
            area.bottom = area.bottom.max(line.y1).max(line.y2);
        }
        area
    }
}

/// How high a line of text is, in type sizes, from the top of a capital to the foot of a g.
pub(crate) const HEIGHT_EM: f64 = 1.05;
/// How far below the top of that box the line stands on which letters stand.
pub(crate) const BASE_EM: f64 = 0.80;

/// The width of a text in type sizes, by the advance widths of the common sans serif faces (Arial and those
/// drawn to its metrics), a class of letters at a time. Texts are set to this width, whatever the face.
pub(crate) fn width_em(text: &str) -> f64 {
    text.chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '\'' | '’' => 0.22,
            'f' | 't' | 'I' | ' ' | '.' | ',' | ':' | ';' | '!' | '/' => 0.28,
            'r' | '-' | '(' | ')' | '"' => 0.34,
            'c' | 'k' | 's' | 'v' | 'x' | 'y' | 'z' | 'J' => 0.50,
            'm' => 0.83,
            'w' | 'A' | 'B' | 'E' | 'K' | 'P' | 'S' | 'V' | 'X' | 'Y' | '&' => 0.68,
            'C' | 'D' | 'H' | 'N' | 'R' | 'U' => 0.72,
            'G' | 'O' | 'Q' => 0.78,
            'M' | '%' => 0.86,
            'W' | '…' => 0.97,
            'F' | 'T' | 'Z' => 0.61,
            c => match unicode_width::UnicodeWidthChar::width(c) {
                Some(2) => 1.05,
                Some(0) => 0.0,
                _ => 0.56,
            },
        })
        .sum()
}

/// How far from a mark a number may stand, and a name: a name at the end of a long line is harder to follow than
/// a number in a list.
const NUMBER_RINGS: [f64; 16] = [
    6.0, 9.0, 12.0, 16.0, 20.0, 25.0, 31.0, 38.0, 46.0, 55.0, 66.0, 80.0, 96.0, 115.0, 135.0, 160.0,
];
const NAME_RINGS: [f64; 4] = [9.0, 14.0, 20.0, 28.0];
/// Directions in sixteenths of a turn, sideways first: that is how one reads.
const DIRECTIONS: [u8; 16] = [0, 8, 1, 15, 7, 9, 2, 14, 6, 10, 3, 13, 5, 11, 4, 12];
/// How often the numbers are placed anew where one found no room.
const MOST_TRIES: usize = 12;
/// Free space about a label.
const GAP: f64 = 1.5;

/// Marks above which a map is so crowded that no name could be read: numbers stand beside their marks where there is room,
/// and nothing is led farther off.
const CROWDED: usize = 120;

/// Things by where they are: a picture in squares, so that what is near a place is found without asking all.
struct Grid {
    bounds: Area,
    cell: f64,
    across: usize,
    down: usize,
    cells: Vec<Vec<usize>>,
}

impl Grid {
    fn new(bounds: Area, cell: f64) -> Grid {
        let count = |long: f64| squares(long / cell) + 1;
        let (across, down) = (
            count(bounds.right - bounds.left),
            count(bounds.bottom - bounds.top),
        );
        Grid {
            bounds,
            cell,
            across,
            down,
            cells: vec![Vec::new(); across * down],
        }
    }

    /// The squares that an area touches; what lies beyond the picture is in the nearest of them.
    fn squares(&self, area: &Area) -> impl Iterator<Item = usize> + use<> {
        let at = |value: f64, from: f64, most: usize| squares((value - from) / self.cell).min(most - 1);
        let (left, right) = (
            at(area.left, self.bounds.left, self.across),
            at(area.right, self.bounds.left, self.across),
        );
        let (top, bottom) = (
            at(area.top, self.bounds.top, self.down),
            at(area.bottom, self.bounds.top, self.down),
        );
        let across = self.across;
        (top..=bottom).flat_map(move |y| (left..=right).map(move |x| y * across + x))
    }

    fn put(&mut self, area: &Area, thing: usize) {
        for at in self.squares(area) {
            self.cells[at].push(thing);
        }
    }

    /// Whatever may meet an area; some of it more than once.
    fn near(&self, area: &Area) -> impl Iterator<Item = usize> + '_ {
        self.squares(area).flat_map(|at| self.cells[at].iter().copied())
    }
}

/// How many whole squares a length is; none of what is not a length.
fn squares(long: f64) -> usize {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "between none and ten thousand"
    )]
    let whole = long.clamp(0.0, 10_000.0) as usize;
    whole
}

/// The picture so far.
struct Sheet<'a> {
    /// What labels stand within.
    bounds: Area,
    em: f64,
    /// What no label covers.
    kept: &'a [Area],
    wanted: &'a [Wanted],
    /// The marks, and the labels with their lines, by where they are.
    marks: Grid,
    labels: Grid,
    placed: Vec<Option<Placed>>,
}

/// Place a label beside each mark, within `bounds`, off the boxes of `kept`; `None` where there was no room at
/// all. Letters are `em` high.
pub(crate) fn place(bounds: Area, kept: &[Area], wanted: &[Wanted], em: f64) -> Vec<Option<Placed>> {
    let cell = 3.0 * em;
    let mut marks = Grid::new(bounds, cell);
    for (i, w) in wanted.iter().enumerate() {
        marks.put(&Area::about(w.x, w.y, w.reach), i);
    }
    let crowd: Vec<usize> = wanted
        .iter()
        .map(|w| {
            let about = Area {
                left: w.x - 6.0 * em,
                top: w.y - 2.0 * em,
                right: w.x + 6.0 * em,
                bottom: w.y + 2.0 * em,
            };
            marks.near(&about).count()
        })
        .collect();
    let mut sheet = Sheet {
        bounds,
        em,
        kept,
        wanted,
        marks,
        labels: Grid::new(bounds, cell),
        placed: vec![None; wanted.len()],
    };
    let (rings, tries): (&[f64], usize) = if wanted.len() > CROWDED {
        (&[], 1)
    } else {
        (&NUMBER_RINGS, MOST_TRIES)
    };
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by_key(|&i| (std::cmp::Reverse(crowd[i]), i));
    let mut best: Option<(usize, Vec<Option<Placed>>)> = None;
    for _ in 0..tries {
        sheet.placed = vec![None; wanted.len()];
        sheet.labels = Grid::new(bounds, cell);
        for &i in &order {
            let found = sheet.room_for(i, &wanted[i].number, rings);
            sheet.put(i, found);
        }
        let without = sheet.placed.iter().filter(|p| p.is_none()).count();
        // Whatever found no room comes first the next time.
        order.sort_by_key(|&i| sheet.placed[i].is_some());
        if best.as_ref().is_none_or(|(fewest, _)| without < *fewest) {
            best = Some((without, sheet.placed.clone()));
        }
        if without == 0 {
            break;
        }
    }
    let placed = best.map(|(_, placed)| placed).unwrap_or_default();
    sheet.labels = Grid::new(bounds, cell);
    sheet.placed = vec![None; wanted.len()];
    for (i, found) in placed.into_iter().enumerate() {
        sheet.put(i, found);
    }
    if wanted.len() > CROWDED {
        return sheet.placed;
    }
    order.sort_by_key(|&i| (std::cmp::Reverse(crowd[i]), i));
    for &i in order.iter().rev() {
        let Some(name) = &wanted[i].name else { continue };
        let number = sheet.placed[i].take();
        let found = sheet.room_for(i, name, &NAME_RINGS).or(number);
        sheet.put(i, found);
    }
    sheet.placed
}

impl Sheet<'_> {
    /// Put a label in its place. Where it stood before, nothing is found of it any more.
    fn put(&mut self, at: usize, label: Option<Placed>) {
        if let Some(placed) = &label {
            self.labels.put(&placed.reach(), at);
        }
        self.placed[at] = label;
    }

    fn room_for(&self, at: usize, text: &str, rings: &[f64]) -> Option<Placed> {
        let mark = &self.wanted[at];
        let (width, height) = (width_em(text) * self.em, HEIGHT_EM * self.em);
        let beside = std::iter::once((mark.reach + 2.0, false));
        beside
            .chain(rings.iter().map(|ring| (mark.reach + ring, true)))
            .flat_map(|(far, led)| DIRECTIONS.map(|d| (far, led, d)))
            .map(|(far, led, direction)| {
                let (dy, dx) = (f64::from(direction) * std::f64::consts::TAU / 16.0).sin_cos();
                let (x, y) = (mark.x + far * dx, mark.y - far * dy);
                let left = match dx {
                    d if d > 0.2 => x,
                    d if d < -0.2 => x - width,
                    _ => x - width / 2.0,
                };
                let top = match (dx.abs() > 0.2 && led, dy) {
                    (true, _) => y - height / 2.0,
                    (false, d) if d > 0.2 => y - height,
                    (false, d) if d < -0.2 => y,
                    _ => y - height / 2.0,
                };
                Placed {
                    text: text.to_owned(),
                    area: Area {
                        left,
                        top,
                        right: left + width,
                        bottom: top + height,
                    },
                    line: led.then_some(Line {
                        x1: mark.x + mark.reach * dx,
                        y1: mark.y - mark.reach * dy,
                        x2: x,
                        y2: y,
                    }),
                }
            })
            .find(|placed| self.is_free(at, placed))
    }

    fn is_free(&self, at: usize, label: &Placed) -> bool {
        let roomy = Area {
            left: label.area.left - GAP,
            top: label.area.top - GAP / 2.0,
            right: label.area.right + GAP,
            bottom: label.area.bottom + GAP / 2.0,
        };
        if !self.bounds.holds(&label.area) || self.kept.iter().any(|k| k.meets(&roomy)) {
            return false;
        }
        let own = &self.wanted[at];
        for other in self.marks.near(&label.reach()).map(|i| &self.wanted[i]) {
            if Area::about(other.x, other.y, other.reach).meets(&label.area) {
                return false;
            }
            // A line may leave from under marks that lie upon its own, but runs through no other.
            let apart = (other.x - own.x).hypot(other.y - own.y) > other.reach + own.reach;
            if let (Some(line), true) = (&label.line, apart)
                && Area::about(other.x, other.y, other.reach * 0.8).is_crossed_by(line)
            {
                return false;
            }
        }
        let line = label.line.as_ref();
        let free_of = |other: &Placed| {
            !other.area.meets(&roomy)
                && !line.is_some_and(|own| other.area.is_crossed_by(own))
                && other.line.as_ref().is_none_or(|theirs| {
                    !roomy.is_crossed_by(theirs) && !line.is_some_and(|own| own.crosses(theirs))
                })
        };
        let about = Area {
            left: roomy.left.min(label.reach().left),
            top: roomy.top.min(label.reach().top),
            right: roomy.right.max(label.reach().right),
            bottom: roomy.bottom.max(label.reach().bottom),
        };
        let mut others = self.labels.near(&about).filter_map(|i| self.placed[i].as_ref());
        others.all(free_of) && !line.is_some_and(|own| self.kept.iter().any(|k| k.is_crossed_by(own)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Area = Area {
        left: 0.0,
        top: 0.0,
        right: 700.0,
        bottom: 800.0,
    };

    fn drinks(n: u32, spread: f64) -> Vec<Wanted> {
        (0..n)
            .map(|i| {
                // A spiral: close in the middle, free outside.
                let (turn, far) = (f64::from(i) * 2.4, spread * f64::from(i).sqrt());
                Wanted {
                    x: 350.0 + far * turn.cos(),
                    y: 400.0 + far * turn.sin(),
                    reach: 4.0,
                    name: Some(format!("Drink with a name {i}")),
                    number: (i + 1).to_string(),
                }
            })
            .collect()
    }

    fn overlaps(placed: &[Option<Placed>], wanted: &[Wanted]) -> usize {
        let boxes: Vec<&Area> = placed.iter().flatten().map(|p| &p.area).collect();
        let lines: Vec<&Line> = placed.iter().flatten().filter_map(|p| p.line.as_ref()).collect();
        let among = boxes
            .iter()
            .enumerate()
            .flat_map(|(i, a)| boxes[i + 1..].iter().map(move |b| a.meets(b)))
            .filter(|met| *met)
            .count();
        let marked = boxes
            .iter()
            .flat_map(|a| {
                wanted
                    .iter()
                    .map(move |w| a.meets(&Area::about(w.x, w.y, w.reach)))
            })
            .filter(|met| *met)
            .count();
        let lined = boxes
            .iter()
            .flat_map(|a| lines.iter().map(move |l| a.is_crossed_by(l)))
            .filter(|met| *met)
            .count();
        among + marked + lined
    }

    #[test]
    fn no_label_covers_another_or_a_mark_or_a_line() {
        for (n, spread) in [
            (1, 1.0),
            (12, 30.0),
            (60, 20.0),
            (103, 16.0),
            (103, 12.0),
            (103, 9.0),
        ] {
            let wanted = drinks(n, spread);
            let placed = place(SHEET, &[], &wanted, 10.0);
            // A hundred marks within the width of a thumb are more than there is room for: the page says how many.
            let without = placed.iter().filter(|p| p.is_none()).count();
            assert!(without == 0 || spread < 10.0, "{without} of {n} at {spread}");
            assert!(without < 30, "{without} of {n} at {spread}");
            assert_eq!(overlaps(&placed, &wanted), 0, "{n} at {spread}");
            assert_eq!(placed, place(SHEET, &[], &wanted, 10.0));
        }
    }

    #[test]
    fn names_stand_where_there_is_room_and_numbers_where_there_is_not() {
        let free = drinks(12, 40.0);
        let named = |placed: &[Option<Placed>]| {
            let texts = placed.iter().flatten();
            texts.filter(|p| p.text.starts_with("Drink")).count()
        };
        assert_eq!(named(&place(SHEET, &[], &free, 10.0)), 12);
        let close = drinks(103, 9.0);
        let few = named(&place(SHEET, &[], &close, 10.0));
        assert!(few > 10 && few < 103, "{few}");
    }

    #[test]
    fn a_label_with_no_room_at_all_is_left_out() {
        let kept = [SHEET];
        assert_eq!(place(SHEET, &kept, &drinks(2, 20.0), 10.0), [None, None]);
    }

    #[test]
    fn lines_and_boxes() {
        let unit = Area::about(0.0, 0.0, 1.0);
        let line = |x1, y1, x2, y2| Line { x1, y1, x2, y2 };
        assert!(unit.is_crossed_by(&line(-2.0, 0.0, 2.0, 0.5)));
        assert!(unit.is_crossed_by(&line(0.0, 0.0, 0.1, 0.1)));
        assert!(!unit.is_crossed_by(&line(-2.0, 1.5, 2.0, 1.5)));
        assert!(!unit.is_crossed_by(&line(1.5, -2.0, 3.0, 2.0)));
        assert!(line(0.0, 0.0, 2.0, 2.0).crosses(&line(0.0, 2.0, 2.0, 0.0)));
        assert!(!line(0.0, 0.0, 1.0, 1.0).crosses(&line(2.0, 0.0, 3.0, 1.0)));
    }
}
