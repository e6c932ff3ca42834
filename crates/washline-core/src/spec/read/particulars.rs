//! The lines that have a key: what can be said of a drink, an ingredient, a preparation, and what each may say.

use crate::measure::{Amount, Ounce};
use crate::names::{Expected, key, nearest};
use crate::spec::line::{self, Item};
use crate::spec::making;
use crate::spec::settings::{mass, volume};
use crate::spec::{Entry, GlassNamed, PourAmount, Settings, Unplaced, WaterGiven};
use std::ops::Range;

use super::{BookReader, Heading, is_a_log, is_heading_word};

/// The particulars a drink can have: key as it is written, other ways to say it.
pub(super) const PARTICULARS: [(&str, &[&str]); 16] = [
    ("glass", &["glassware", "served in", "glas", "gls", "vessel"]),
    ("price", &["sells for"]),
    (
        "garnish",
        &[
            "gar",
            "garn",
            "g",
            "deco",
            "deko",
            "decoration",
            "garnishes",
            "finishing",
        ],
    ),
    ("structure", &[]),
    ("family", &[]),
    ("serve", &["total", "serve before ice"]),
    ("dilution", &["water"]),
    ("weighed", &[]),
    ("source", &["from"]),
    ("note", &["notes", "story"]),
    ("serves", &["serving size", "portions", "number of serves"]),
    ("each serve", &["pour per serve"]),
    ("part", &["1 part", "one part"]),
    ("then", &[]),
    ("season", &["seasons"]),
    ("tags", &["tag"]),
];

/// The particulars of a drink, as they are written.
pub fn particulars() -> impl Iterator<Item = &'static str> {
    PARTICULARS.iter().map(|(name, _)| *name)
}

/// The particular of a drink that a word calls, as it is written: `glassware` is `glass`.
#[must_use]
pub fn particular_named(said: &str) -> Option<&'static str> {
    let folded = key(said);
    PARTICULARS
        .iter()
        .find(|(name, others)| *name == folded || others.contains(&folded.as_str()))
        .map(|(name, _)| *name)
}

pub(super) const DEFINING: [(&str, &[&str]); 11] = [
    ("is", &[]),
    ("kind", &[]),
    ("strength", &["abv", "alcoholic strength"]),
    ("sugar", &["sugars"]),
    ("acid", &["acidity", "titratable acidity"]),
    ("brix", &["°brix"]),
    ("density", &[]),
    ("allergens", &[]),
    ("carbonated", &["fizzy"]),
    ("source", &["from"]),
    ("also", &["also called", "alias", "aliases"]),
];

/// The particulars of a drink, an ingredient or a preparation whose names come near a word.
fn near_particulars(word: &str) -> Vec<String> {
    let all = PARTICULARS
        .iter()
        .chain(&DEFINING)
        .chain(&making::PARTICULARS)
        .map(|(name, _)| (*name, *name));
    nearest(word, all, 3)
}

/// Whether readings pour something, and there is nothing among them that is not read or only named.
fn pours_and_all_is_read(read: &[line::Found]) -> bool {
    read.iter().any(|f| matches!(f.item, Item::Pours(_)))
        && !read
            .iter()
            .any(|f| f.item.is_unread() || matches!(f.item, Item::Mention(_)))
}

impl BookReader<'_> {
    pub(super) fn particular_or_step(&mut self, text: &str, span: Range<usize>) {
        let pair = text.split_once(':').map(|(k, v)| {
            // `**Method:** shake`: emphasis is for the reader.
            let marks: &[char] = &['*', '_', ' ', '\t'];
            let v = v.trim_start_matches(marks);
            (
                k.trim_matches(marks),
                v.trim_end_matches(marks),
                span.start + text.len() - v.len(),
            )
        });
        let Some((k, value, value_at)) =
            pair.filter(|(k, ..)| !k.is_empty() && k.chars().all(|c| !c.is_ascii_digit()))
        else {
            return self.bare(text, span);
        };
        let value_span = value_at..value_at + value.len();
        if is_heading_word(k) && self.draft.is_some() {
            // `Method: stir, strain`: what stands after the colon is read, the word is for the reader.
            return if value.is_empty() {
                self.entry(Entry::Note(text.to_owned()))
            } else {
                self.step(value, value_at)
            };
        }
        if self.draft.is_none() {
            match self.book.settings.set(k, value) {
                Ok(Some((k, v))) => self.entry(Entry::Particular(k, v)),
                Ok(None) => {
                    let keys = Settings::keys();
                    let near = nearest(k, keys.iter().map(|k| (k.as_str(), k.as_str())), 3);
                    let key_span = span.start..span.start + k.len();
                    self.fault(Unplaced::reject(key_span, format!("`{k}` is no setting of a book; expected one such as `currency`, `ounce`, `acid convention`")).with(near));
                }
                Err(expected) => self.fault(Unplaced::reject(value_span, expected.of(value, k))),
            }
            return;
        }
        let known = PARTICULARS
            .iter()
            .chain(&DEFINING)
            .chain(&making::PARTICULARS)
            .find(|(name, others)| {
                let folded = key(k);
                *name == folded || others.contains(&folded.as_str())
            });
        match known {
            Some((name, _)) if value.is_empty() => {
                self.fault(Unplaced::reject(
                    span,
                    format!("`{name}` has no value; expected one after the colon"),
                ));
            }
            // `Yield: 20 serves` of a drink says how many it is for.
            Some((name, _)) if *name == "yield" && !self.preparing() && !self.defining() => {
                self.take_what_it_yields(text, value, &value_span);
            }
            // `Water: 140 ml`, beside what else is poured.
            Some((name, _)) if *name == "dilution" && key(k) == "water" && volume(value, None).is_ok() => {
                self.step(text, span.start);
            }
            // `Vessel: punch bowl, 2.5 L; serve in punch cups`: more than a glass and its size.
            Some((name, _)) if *name == "glass" && glass(value, None).is_err() => self.take(value, value_at),
            // `Serve: coupe, over ice`: how it is served, and no volume.
            Some((name, _))
                if *name == "serve"
                    && key(k) == "serve"
                    && !self.preparing()
                    && volume(value, None).is_err() =>
            {
                // `Serve: 200 ml over ice` is read with its label, which says that it is one of them.
                match value.chars().any(|c| c.is_ascii_digit()) {
                    true => self.take(text, span.start),
                    false => self.take(value, value_at),
                }
            }
            Some((name, _)) => {
                let split = self.split_particular(name, value, value_at);
                let value = split.as_deref().unwrap_or(value);
                if value.is_empty() {
                    return;
                }
                if let Some(draft) = &mut self.draft {
                    draft.defines |= *name == "is";
                    draft
                        .particulars
                        .push(((*name).to_owned(), value.to_owned(), value_span));
                }
                self.entry(Entry::Particular((*name).to_owned(), value.to_owned()));
            }
            None => self.line_with_colon(k, text, &span),
        }
    }

    /// Whether the section being read gives an ingredient by its figures.
    pub(super) fn defining(&self) -> bool {
        self.draft.as_ref().is_some_and(|d| d.defines)
    }

    /// What a drink yields: a number of serves, or words for the reader.
    pub(super) fn take_what_it_yields(&mut self, text: &str, value: &str, span: &Range<usize>) {
        let count = serves(value);
        let counted = value.split(|c: char| !c.is_alphabetic()).map(key).any(|w| {
            matches!(
                w.as_str(),
                "serve"
                    | "serves"
                    | "serving"
                    | "servings"
                    | "portion"
                    | "portions"
                    | "drinks"
                    | "drink"
                    | "glasses"
                    | "covers"
            )
        });
        match (count, &mut self.draft) {
            (Ok(count), Some(draft)) if counted => {
                let count = count.to_string();
                draft
                    .particulars
                    .push(("serves".to_owned(), count.clone(), span.clone()));
                self.entry(Entry::Particular("serves".to_owned(), count));
            }
            _ => self.entry(Entry::Note(text.to_owned())),
        }
    }

    /// A line with a colon that begins with no particular: steps, unless a particular was mistyped.
    pub(super) fn line_with_colon(&mut self, k: &str, text: &str, span: &Range<usize>) {
        // `Service: pour 100 ml of the batch into a flute`, `Batch size: 10 l (100 x 100 ml)`
        let sized =
            text.contains('(') && matches!(key(k).as_str(), "batch size" | "batch" | "makes" | "volume");
        if sized || Heading::of(k) == Some(Heading::Steps) {
            return self.take(text, span.start);
        }
        let value = text
            .split_once(':')
            .map_or("", |(_, value)| value)
            .trim_start_matches([':', ' ', '*', '_', '\t']);
        let at = span.end - value.len();
        if self.labels_an_amount(k, span.start, value, at) {
            return self.take_under(value, at, Some(k));
        }
        if is_a_log(k) {
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        let read = self.read_line(text, span.start).found;
        // `Bitter: orange bitters, 2 dashes`: a label that names what it heads, where only the value reads.
        if read.iter().any(|f| f.item.is_unread())
            && k.split_whitespace().count() <= 4
            && pours_and_all_is_read(&self.read_line(value, at).found)
        {
            return self.take_under(value, at, Some(k));
        }
        let key_span = span.start..span.start + k.len();
        let unread = read
            .iter()
            .take_while(|f| f.span.start < key_span.end)
            .all(|f| match &f.item {
                Item::Words => true,
                Item::Mention(mention) => !mention.known,
                _ => false,
            });
        let near = near_particulars(k);
        if unread && near.is_empty() && text.trim_end().ends_with(':') {
            // `dictated:` heads what follows.
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        let value_reads = read
            .iter()
            .any(|f| matches!(f.item, Item::Pours(_) | Item::Work(_) | Item::Garnish(_)));
        // A slip of a particular's own name, and no other label.
        let slip: Vec<_> = near
            .into_iter()
            .filter(|n| strsim::osa_distance(&key(k), n) <= 1 + usize::from(k.len() > 6))
            .collect();
        let poured = read.iter().any(|f| self.says_what_is_poured(&f.item));
        if Heading::of(k) == Some(Heading::Aside) && !value_reads || slip.is_empty() && !poured {
            self.entry(Entry::Note(text.to_owned()));
            return;
        }
        if unread && slip.is_empty() {
            return self.take_under(value, at, Some(k));
        }
        if unread {
            let (of, such) = if self.preparing() {
                ("a preparation", "`keeps`, `yield`, `strain loss`")
            } else {
                ("a drink", "`glass`, `price`, `garnish`")
            };
            let message = format!("`{k}` is no particular of {of}; expected one such as {such}");
            self.fault(Unplaced::reject(key_span, message).with(slip));
            return;
        }
        self.take(text, span.start);
    }

    /// `Sweetener: 5 ml agave syrup`: whether a label of the list names nothing, and what stands behind it is a pour.
    fn labels_an_amount(&mut self, label: &str, start: usize, value: &str, at: usize) -> bool {
        let measured = value.starts_with(|c: char| c.is_numeric() || c == '.' || c == '~');
        let names = || {
            crate::spec::lexicon::names_anything(label, &self.sections.own)
                || crate::ingredient::tells_its_kind(label)
        };
        if !measured || label.split_whitespace().count() > 4 || names() {
            return false;
        }
        let only_words = |f: &line::Found| {
            matches!(
                f.item,
                Item::Words | Item::Joint | Item::Mention(_) | Item::Fault(_) | Item::Unread(_)
            )
        };
        if !self.read_line(label, start).found.iter().all(only_words) {
            return false;
        }
        let read = self.read_line(value, at).found;
        read.iter().any(|f| matches!(f.item, Item::Pours(_))) && !read.iter().any(|f| f.item.is_unread())
    }

    /// `Item code: B-114`: of a label whose value names nothing that anybody pours, nothing is said of what is poured.
    fn says_what_is_poured(&self, item: &Item) -> bool {
        match item {
            Item::Fault(_) | Item::Unread(_) => true,
            Item::Pours(pours) => pours.iter().any(|(p, _)| {
                let measured = matches!(p.measure, PourAmount::Of(_, Some(_)));
                measured
                    || p.choices.iter().any(|n| {
                        let stock = crate::ingredient::library();
                        stock.usual(&n.name).is_some()
                            || self.sections.own.has_word(&key(&n.name))
                            || crate::ingredient::tells_its_kind(&n.name)
                    })
            }),
            Item::Work(_) | Item::Garnish(_) | Item::Step(_) | Item::Glass(..) | Item::Ice(_) => true,
            Item::Serves(_) | Item::ServeOf(_) | Item::PartIs(_) | Item::Total(_) | Item::PerServe => true,
            _ => false,
        }
    }

    /// The glass or garnish of a particular, where more than that stands in its value: what is poured or worked there is
    /// a step, and what is left is the particular.
    pub(super) fn split_particular(&mut self, name: &str, value: &str, at: usize) -> Option<String> {
        if self.draft.is_none() || !matches!(name, "glass" | "garnish") {
            return None;
        }
        let is_glass =
            |g: GlassNamed| g.capacity_ml.is_some() || crate::tables::Glass::known(&g.name).is_some();
        if name == "glass" && glass(value, None).is_ok_and(is_glass) {
            return None;
        }
        let read = self.read_line(value, at);
        let is_step = |f: &line::Found| match &f.item {
            Item::Pours(pours) => pours.iter().any(|(p, _)| {
                matches!(p.measure, PourAmount::Fill)
                    || matches!(p.measure, PourAmount::Of(_, Some(unit)) if !line::on_the_glass(unit))
            }),
            Item::Work(_) => true,
            Item::Step(_) | Item::Ice(_) | Item::Garnish(_) | Item::Serves(_) => name == "glass",
            _ => false,
        };
        let first = read.found.iter().position(is_step)?;
        let kept =
            value[..read.found[first].span.start - at].trim_end_matches([' ', ',', ';', '-', '+', '&']);
        let kept = kept
            .strip_suffix(" and")
            .or(kept.strip_suffix(" over"))
            .unwrap_or(kept)
            .to_owned();
        let from = read.found[first].span.start;
        let rest = &value[from - at..];
        self.take(rest, from);
        Some(kept)
    }
}

/// `coupe`, `coupe, 180 ml`, `coupe (180 ml)`.
pub(super) fn glass(value: &str, ounce: Option<Ounce>) -> Result<GlassNamed, Expected> {
    const EXPECTED: &str = "expected a name and a capacity such as `coupe, 180 ml`";
    let cleaned = value.replace(['(', ')'], ",");
    let parts: Vec<&str> = cleaned
        .split(',')
        .map(str::trim)
        .filter(|p| !p.is_empty())
        .collect();
    let mut name: Vec<&str> = Vec::new();
    let mut capacity_ml = None;
    for (at, part) in parts.iter().copied().enumerate() {
        // `highball 350 ml`, `tumbler, double 35 cl`: words before the size.
        let digit = part.find(|c: char| c.is_ascii_digit()).filter(|d| *d > 0);
        let (words, size) = match digit {
            Some(digit) if volume(&part[digit..], ounce).is_ok() => (part[..digit].trim(), &part[digit..]),
            _ if at == 0 || volume(part, ounce).is_err() => (part, ""),
            _ => ("", part),
        };
        if !words.is_empty() {
            // Behind the name only what a glass is like.
            if at > 0 && !crate::spec::lexicon::is_glass_like(words) {
                return match (capacity_ml, at) {
                    (None, 1) => volume(words, ounce).and(Err(Expected::new(EXPECTED))),
                    _ => Err(Expected::new(EXPECTED)),
                };
            }
            // `coupe, chilled` is a chilled coupe.
            name.insert(0, words);
        }
        if !size.is_empty() {
            if capacity_ml.is_some() {
                return Err(Expected::new(EXPECTED));
            }
            match volume(size, ounce)?.0 {
                ml if ml.is_zero() => return Err(Expected::new("expected a capacity above 0")),
                ml => capacity_ml = Some(ml),
            }
        }
    }
    if name.is_empty() {
        return Err(Expected::new("expected a glass such as `coupe, 180 ml`"));
    }
    Ok(GlassNamed {
        name: name.join(" "),
        capacity_ml,
    })
}

/// How many drinks: `8`, `8 drinks`, `4-6` (the smaller).
pub(super) fn serves(value: &str) -> Result<Amount, Expected> {
    const EXPECTED: &str = "expected a number of drinks such as `8`";
    let digits: String = value.trim().chars().take_while(char::is_ascii_digit).collect();
    match Amount::decimal(&digits) {
        Ok(count) if count >= Amount::ONE => Ok(count),
        _ => Err(Expected::new(EXPECTED)),
    }
}

/// `30 ml`, `25 % of the mix`, `20 % of the finished drink`.
pub(super) fn dilution(value: &str, ounce: Option<Ounce>) -> Result<WaterGiven, Expected> {
    const WHICH: &str = "a share of what? expected `25 % of the mix`, `20 % of the finished drink` or a volume such as `30 ml`";
    let Some((number, of)) = value.split_once('%') else {
        return volume(value, ounce).map(|(ml, _)| WaterGiven::Volume(ml));
    };
    let share =
        Amount::decimal(&number.trim().replace(',', ".")).map_err(|e| Expected::new(e.to_string()))?;
    let of = key(of);
    if of.contains("finish") || of.contains("final") {
        if share >= Amount::raw(100, 1) {
            return Err(Expected::new(
                "expected a share below 100 % of the finished drink",
            ));
        }
        Ok(WaterGiven::OfFinished(share))
    } else if of.contains("mix") || of.contains("before") || of.contains("initial") {
        Ok(WaterGiven::OfMix(share))
    } else {
        Err(WHICH.into())
    }
}

/// `96 g before, 148 g after`.
pub(super) fn weighed(value: &str) -> Result<WaterGiven, Expected> {
    const EXPECTED: &str = "expected two masses such as `96 g before, 148 g after`";
    let (before, after) = value.split_once(',').ok_or(EXPECTED)?;
    let grams = |text: &str, word: &str| {
        let text = text.trim();
        mass(text.strip_suffix(word).unwrap_or(text).trim())
            .map(|(g, _)| g)
            .map_err(|_| Expected::new(EXPECTED))
    };
    let (before_g, after_g) = (grams(before, "before")?, grams(after, "after")?);
    if before_g.is_zero() || after_g < before_g {
        return Err(Expected::new(
            "expected more grams after the ice than before it, and some before",
        ));
    }
    Ok(WaterGiven::Weighed { before_g, after_g })
}
