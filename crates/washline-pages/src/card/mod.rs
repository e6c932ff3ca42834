//! Spec cards: Markdown, and a page to print.

mod fit;

use jiff::civil::Date;
use std::fmt::Write as _;

use minijinja::context;
use minijinja::value::Serde;
use serde::Serialize;
use washline_core::computed::Prepared;
use washline_core::prepare::Made;
use washline_core::service::card::{self, Card, CardAmount, CardLine};
use washline_core::service::cost::Costing;

use self::fit::MARGIN_MM;
use crate::glass::{Filled, Picture, picture};
use crate::template::{PageError, page as page_of};
use crate::visible::visible as plain;
use crate::words::{Choice, bounds, cut, money, not_priced, short};

/// The measures of a card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Units {
    /// Millilitres.
    #[default]
    Ml,
    /// Ounces, by the ounce of the book; the nearest mark of a jigger where it is not exact.
    Oz,
    /// Both.
    Both,
}

impl Units {
    /// All of them.
    pub const ALL: [Units; 3] = [Units::Ml, Units::Oz, Units::Both];
}

impl Choice for Units {
    fn word(self) -> &'static str {
        match self {
            Units::Ml => "ml",
            Units::Oz => "oz",
            Units::Both => "both",
        }
    }

    fn about(self) -> &'static str {
        match self {
            Units::Ml => "Millilitres",
            Units::Oz => {
                "Ounces, by the ounce of the book; the nearest mark of a jigger where it is not exact"
            }
            Units::Both => "Both",
        }
    }
}

/// The paper of a card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// One card a page of 105 by 148 mm.
    #[default]
    A6,
    /// One card a page of 148 by 210 mm.
    A5,
    /// Four cards a sheet of 210 by 297 mm, to be cut.
    A4,
    /// Four cards a sheet of 8.5 by 11 inches, to be cut.
    Letter,
}

impl Paper {
    /// All of them.
    pub const ALL: [Paper; 4] = [Paper::A6, Paper::A5, Paper::A4, Paper::Letter];

    /// Width and height of the sheet, mm.
    fn sheet_mm(self) -> (f64, f64) {
        match self {
            Paper::A6 => (105.0, 148.0),
            Paper::A5 => (148.0, 210.0),
            Paper::A4 => (210.0, 297.0),
            Paper::Letter => (215.9, 279.4),
        }
    }

    /// How many cards a sheet takes.
    fn per_sheet(self) -> usize {
        match self {
            Paper::A6 | Paper::A5 => 1,
            Paper::A4 | Paper::Letter => 4,
        }
    }

    /// Width and height of a card, mm.
    fn card_mm(self) -> (f64, f64) {
        let (wide, high) = self.sheet_mm();
        match self.per_sheet() {
            1 => (wide, high),
            _ => (wide / 2.0, high / 2.0),
        }
    }
}

impl Choice for Paper {
    fn word(self) -> &'static str {
        match self {
            Paper::A6 => "a6",
            Paper::A5 => "a5",
            Paper::A4 => "a4",
            Paper::Letter => "letter",
        }
    }

    fn about(self) -> &'static str {
        match self {
            Paper::A6 => "One card a page of 105 by 148 mm",
            Paper::A5 => "One card a page of 148 by 210 mm",
            Paper::A4 => "Four cards a sheet of 210 by 297 mm, to be cut",
            Paper::Letter => "Four cards a sheet of 8.5 by 11 inches, to be cut",
        }
    }
}

/// What a card is made of.
#[derive(Clone, Debug)]
pub enum Page {
    /// A drink.
    Drink {
        /// What stands on it.
        card: Box<Card>,
        /// What the drink costs, where that is asked for.
        costing: Option<Box<Costing>>,
    },
    /// A preparation.
    Preparation(Box<Prepared>),
}

/// A line as it stands on a card.
#[derive(Clone, Debug, Default, Serialize)]
pub(crate) struct Row {
    /// Work; then nothing else.
    pub work: Option<String>,
    /// The amount in the first column.
    pub amount: String,
    /// That in the second.
    pub second: String,
    /// Whether the amount takes both columns.
    pub span: bool,
    /// Of what.
    pub name: String,
}

/// Something that stands below the lines.
#[derive(Clone, Debug, Serialize)]
pub(crate) struct Item {
    pub word: &'static str,
    pub words: String,
    pub list: Vec<String>,
}

/// An amount in the measures asked for: first column, second column, whether it takes both.
fn amount(amount: &CardAmount, units: Units) -> (String, String, bool) {
    let ml = amount.ml.clone().unwrap_or_default();
    let oz = amount.oz.as_ref().map(|oz| {
        if oz.exact {
            oz.text.clone()
        } else {
            format!("≈ {}", oz.text)
        }
    });
    match (&amount.written, &amount.ml, units) {
        // Parts, and numbers without a unit, with what they come to.
        (Some(written), Some(ml), _) => (format!("{written} ({ml} ml)"), String::new(), true),
        (Some(written), None, _) => (written.clone(), String::new(), true),
        (None, _, Units::Ml) => (format!("{ml} ml"), String::new(), false),
        (None, _, Units::Oz) => match oz {
            Some(oz) => (format!("{oz} oz"), String::new(), false),
            None => (format!("{ml} ml"), String::new(), false),
        },
        (None, _, Units::Both) => (ml, oz.unwrap_or_default(), false),
    }
}

fn rows(lines: &[CardLine], units: Units) -> Vec<Row> {
    lines
        .iter()
        .map(|line| match line {
            CardLine::Work(words) => Row {
                work: Some(plain(words)),
                ..Row::default()
            },
            CardLine::Pour { amount: of, name } => {
                let (first, second, span) = amount(of, units);
                Row {
                    work: None,
                    amount: plain(&first),
                    second,
                    span: span && units == Units::Both,
                    name: plain(name),
                }
            }
        })
        .collect()
}

/// What a costing says in a line.
#[must_use]
pub fn cost(costing: &Costing) -> String {
    if !costing.has_any_price() {
        return "not priced".to_owned();
    }
    let mut words = money(costing, costing.cost.value);
    if !costing.is_complete() {
        let _ = write!(words, " and what is not priced: {}", not_priced(costing));
    }
    if let Some(sale) = costing.price.and_then(|p| costing.at(p, None)) {
        let (least, _) = bounds(costing);
        let pct = washline_core::measure::rounded(sale.pour_cost_pct.value, 1);
        let _ = write!(
            words,
            "; sells for {}, pour cost {least}{pct} %",
            money(costing, sale.price)
        );
    }
    words
}

/// How long a preparation keeps, and what decides that; `not said` where nobody does.
#[must_use]
pub fn keeps_of(made: &Made) -> String {
    let words = made.keeps.as_ref().map(|keeping| keeping.words.as_str());
    keeps(words, made.keeps_as.as_deref())
}

/// The same of what is said and of the part that decides it, where the writer does not.
#[must_use]
pub fn keeps(words: Option<&str>, decided_by: Option<&str>) -> String {
    match (words, decided_by) {
        (Some(words), None) => plain(words),
        (Some(words), Some(part)) => format!("{}, as its {}", plain(words), plain(part)),
        (None, _) => "not said".to_owned(),
    }
}

/// Everything that stands on a card, whatever it is printed on.
struct Face {
    name: String,
    /// What stands under the name, each with its word.
    under: Vec<(&'static str, String)>,
    warned: String,
    glass: Option<Picture>,
    rows: Vec<Row>,
    below: Vec<Item>,
    cautions: Vec<String>,
    foot: String,
    ounces: Option<String>,
}

fn item(word: &'static str, words: &str) -> Item {
    Item {
        word,
        words: plain(words),
        list: Vec::new(),
    }
}

fn face(page: &Page, units: Units) -> Face {
    match page {
        Page::Drink { card, costing } => of_drink(card, costing.as_deref(), units),
        Page::Preparation(prepared) => of_preparation(prepared, units),
    }
}

fn of_drink(card: &Card, costing: Option<&Costing>, units: Units) -> Face {
    let mut under = vec![("Glass", plain(card.glass.as_deref().unwrap_or("not said")))];
    if let Some(washline) = &card.washline {
        under.push(("Washline", plain(&washline.to_string())));
    }
    if let Some(ice) = card.ice {
        under.push(("Ice", ice.written().to_owned()));
    }
    let mut below = Vec::new();
    if !card.garnishes.is_empty() {
        below.push(item("Garnish", &card.garnishes.join("; ")));
    }
    for (word, words) in [("Season", &card.seasons), ("Tags", &card.tags)] {
        if !words.is_empty() {
            below.push(item(word, &words.join(", ")));
        }
    }
    if !card.taste.is_empty() {
        below.push(Item {
            word: "By taste",
            words: String::new(),
            list: card.taste.iter().map(|t| plain(&t.to_string())).collect(),
        });
    }
    below.extend(costing.map(|c| item("Cost", &cost(c))));
    below.extend(card.notes.iter().map(|note| item("Note", note)));
    Face {
        name: plain(&card.name),
        under,
        warned: card.misfit.as_deref().map_or_else(String::new, plain),
        glass: card.washline.as_ref().and_then(|washline| {
            let share = washline.level_pct.unwrap_or(washline.glass.fill_pct) / 100.0;
            picture(&Filled {
                name: &washline.glass.name,
                capacity_ml: washline.glass.capacity_ml,
                level: share.min(1.0),
                ice: card.ice,
                ..Filled::default()
            })
        }),
        rows: rows(&card.lines, units),
        below,
        cautions: card.cautions.iter().map(|c| plain(c)).collect(),
        foot: plain(&format!(
            // What is in the glass stays on one line.
            "{}, version {} · {:.0}\u{a0}ml\u{a0}at\u{a0}{:.1}\u{a0}%\u{a0}vol",
            card.book, card.version, card.volume_ml, card.abv_pct
        )),
        ounces: ounce_note(card, units),
    }
}

fn of_preparation(prepared: &Prepared, units: Units) -> Face {
    let made = &prepared.made;
    let measured = if made.measured {
        "as measured"
    } else {
        "as computed"
    };
    let mut under = vec![
        (
            "Makes",
            format!("{:.0} ml, {:.0} g, {measured}", made.yield_ml, made.yield_g),
        ),
        ("Keeps", keeps_of(made)),
    ];
    let strength = made.liquid.abv_pct().unwrap_or(0.0);
    // The refractometer tells sugar where little else is dissolved.
    let sugar = if strength < 0.5 { "°Brix" } else { "Sugar g/100 g" };
    under.push((sugar, format!("{:.1}", made.brix())));
    if made.acid_g_per_l() >= 0.5 {
        under.push((
            "Acid",
            format!("{:.0} g/L, titratable, as citric", made.acid_g_per_l()),
        ));
    }
    if strength >= 0.5 {
        under.push(("Strength", format!("{strength:.1} % vol")));
    }
    let note = made.preparation.particular("note").into_iter().map(str::to_owned);
    let warned = made.warnings.iter().map(ToString::to_string);
    let mut cautions = vec![card::allergen_line(&made.ingredient.allergens_eu.sentence())];
    cautions.extend(made.cautions.iter().map(|c| plain(c)));
    Face {
        name: plain(prepared.name()),
        under,
        warned: String::new(),
        glass: None,
        rows: rows(&card::lines_of_preparation(prepared), units),
        below: note.chain(warned).map(|words| item("Note", &words)).collect(),
        cautions,
        foot: plain(&format!(
            "{}, version {}",
            prepared.found_in.book, prepared.found_in.version
        )),
        ounces: None,
    }
}

fn ounce_note(card: &Card, units: Units) -> Option<String> {
    let ounces = || {
        card.lines.iter().filter_map(|line| match line {
            CardLine::Pour { amount, .. } => amount.oz.as_ref(),
            CardLine::Work(_) => None,
        })
    };
    (units != Units::Ml && ounces().next().is_some()).then(|| {
        let size = short(card.ounce_ml.to_f64());
        let near = if ounces().all(|oz| oz.exact) {
            ""
        } else {
            "; ≈ the nearest mark of a jigger"
        };
        format!("oz of {size} ml{near}")
    })
}

// ---- Markdown

/// Text from a book as it stands in Markdown: nothing of it is markup.
pub(crate) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in plain(text).chars() {
        match c {
            '\n' => safe.push(' '),
            '\\' | '`' | '*' | '_' | '{' | '}' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '&' | '!' => {
                safe.push('\\');
                safe.push(c);
            }
            c => safe.push(c),
        }
    }
    safe
}

/// Cards as Markdown, a rule between two.
#[must_use]
pub fn markdown(pages: &[Page], units: Units) -> String {
    let mut text = String::new();
    for (at, page) in pages.iter().enumerate() {
        if at > 0 {
            text.push_str("\n---\n\n");
        }
        let face = face(page, units);
        let _ = writeln!(text, "# {}\n", escaped(&face.name));
        if !face.warned.is_empty() {
            let _ = writeln!(text, "**{}**\n", escaped(&face.warned));
        }
        for (word, words) in &face.under {
            let _ = writeln!(text, "**{word}:** {}  ", escaped(words));
        }
        text.push('\n');
        text.push_str(match units {
            Units::Both => "| ml | oz | |\n|---:|---:|:---|\n",
            Units::Ml | Units::Oz => "| | |\n|---:|:---|\n",
        });
        for row in &face.rows {
            let (amount, second, name) = (escaped(&row.amount), &row.second, escaped(&row.name));
            let _ = match (&row.work, units) {
                (Some(work), Units::Both) => writeln!(text, "| | | **{}** |", escaped(work)),
                (Some(work), _) => writeln!(text, "| | **{}** |", escaped(work)),
                (None, Units::Both) => writeln!(text, "| {amount} | {second} | {name} |"),
                (None, _) => writeln!(text, "| {amount} | {name} |"),
            };
        }
        text.push('\n');
        for item in &face.below {
            if item.list.is_empty() {
                let _ = writeln!(text, "**{}:** {}\n", item.word, escaped(&item.words));
            } else {
                let _ = writeln!(text, "**{}:**\n", item.word);
                for words in &item.list {
                    let _ = writeln!(text, "- {}", escaped(words));
                }
                text.push('\n');
            }
        }
        for caution in &face.cautions {
            let _ = writeln!(text, "> {}  ", escaped(caution));
        }
        let _ = writeln!(text, "\n{}", escaped(&face.foot));
        if let Some(note) = &face.ounces {
            let _ = writeln!(text, "\n{}", escaped(note));
        }
    }
    text
}

// ---- HTML

/// The glass of a card, drawn.
#[derive(Clone, Debug, Serialize)]
struct Drawn {
    width: f64,
    height: f64,
    /// How wide it is drawn, in type sizes.
    em: f64,
    parts: String,
    words: String,
}

/// A card as the template takes it.
#[derive(Clone, Debug, Serialize)]
struct Printed {
    name: String,
    first: bool,
    under: Vec<(&'static str, String)>,
    warned: String,
    glass: Option<Drawn>,
    second: bool,
    columns: usize,
    heading: bool,
    lines: Vec<Row>,
    below: Vec<Item>,
    cautions: Vec<String>,
    foot: String,
    /// The day, and which card of how many it is where there are several.
    page: String,
}

/// Cards as a page to print, all in one type size, with the day they are of. What does not fit a card at the smallest goes
/// on to another.
///
/// # Errors
/// Where the template does not hold.
pub fn html(pages: &[Page], units: Units, paper: Paper, today: Date) -> Result<String, PageError> {
    let faces: Vec<Face> = pages.iter().map(|page| face(page, units)).collect();
    let contents: Vec<fit::Content> = faces.iter().map(|face| content(face, units)).collect();
    let setting = fit::Setting::of(&contents, paper.card_mm());
    let printed: Vec<Printed> = faces
        .iter()
        .zip(&contents)
        .flat_map(|(face, content)| print(face, content, &setting, units, &today.to_string()))
        .collect();
    let sheets: Vec<&[Printed]> = printed.chunks(paper.per_sheet()).collect();
    let title = match faces.as_slice() {
        [one] => one.name.clone(),
        _ => "Spec cards".to_owned(),
    };
    let ((sheet_wide, sheet_high), (wide, high)) = (paper.sheet_mm(), paper.card_mm());
    page_of(
        "card.html",
        include_str!("../../templates/card.html"),
        context! {
            title, sheet_wide, sheet_high, wide, high, four => paper.per_sheet() > 1, sheets => Serde(&sheets),
            pt => round(fit::BASE_PT * setting.scale), name_em => setting.name_em, foot_pt => fit::FOOT_PT,
            leading => fit::LEADING, margin_mm => MARGIN_MM, glass_em => fit::GLASS_EM,
            alone_em => fit::ALONE_EM, first_em => fit::FIRST_EM, second_em => fit::SECOND_EM,
        },
    )
}

/// What of a face has to find room.
fn content(face: &Face, units: Units) -> fit::Content {
    let foot = match &face.ounces {
        Some(note) => format!("{}; {note}", face.foot),
        None => face.foot.clone(),
    };
    let shortened = |row: &Row| Row {
        work: row.work.as_ref().map(|w| cut(w, 300)),
        name: cut(&row.name, 300),
        amount: cut(&row.amount, 60),
        ..row.clone()
    };
    fit::Content {
        name: cut(&face.name, 160),
        under: face
            .under
            .iter()
            .map(|(word, words)| cut(&format!("{word} {words}"), 300))
            .collect(),
        warned: cut(&face.warned, 300),
        drawn: face.glass.as_ref().map(|g| g.width / g.height),
        both: units == Units::Both,
        rows: face.rows.iter().map(shortened).collect(),
        below: face.below.clone(),
        cautions: face.cautions.clone(),
        foot: cut(&foot, 300),
    }
}

fn print(
    face: &Face,
    content: &fit::Content,
    setting: &fit::Setting,
    units: Units,
    today: &str,
) -> Vec<Printed> {
    let both = units == Units::Both;
    let parts = fit::fitted(content, setting);
    let count = parts.len();
    parts
        .into_iter()
        .enumerate()
        .map(|(at, part)| Printed {
            name: content.name.clone(),
            first: at == 0,
            under: face
                .under
                .iter()
                .map(|(word, words)| (*word, cut(words, 290)))
                .collect(),
            warned: content.warned.clone(),
            glass: face.glass.as_ref().map(|glass| Drawn {
                width: glass.width,
                height: glass.height,
                em: round(fit::GLASS_EM * glass.width / glass.height),
                parts: glass.parts.clone(),
                words: face
                    .under
                    .iter()
                    .map(|(word, words)| format!("{word} {words}"))
                    .collect::<Vec<_>>()
                    .join("; "),
            }),
            second: both,
            columns: if both { 3 } else { 2 },
            heading: both && part.rows.iter().any(|r| r.work.is_none()),
            lines: part.rows,
            below: part.below,
            cautions: part.cautions,
            foot: content.foot.clone(),
            page: match count {
                1 => plain(today),
                _ => format!("{}, {} of {count}", plain(today), at + 1),
            },
        })
        .collect()
}

fn round(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}
