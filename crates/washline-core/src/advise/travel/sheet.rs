//! A stock sheet: what another bar pours from and measures with, written as a book without drinks.

use crate::ingredient::{Convention, Defined, Ingredient, Origin, Stock};
use crate::measure::Unit;
use crate::names::{key, nearest};
use crate::spec::{Definition, Drink, Entry, Fault, Section, Settings, Source, Unplaced, read};

/// Another bar as its stock sheet has it: settings and ingredients, no drinks.
///
/// An ingredient is given by figures (`is: an ingredient`) or by how it is made (`makes: an ingredient`). Of one that
/// is known at home by the same name, what the sheet leaves out is as at home. What stands under `also:` it pours in
/// the place of: `also: simple syrup 1:1 by mass` says that whoever asks for that gets this.
///
/// ```
/// use washline_core::advise::StockSheet;
/// use washline_core::spec::Source;
/// let sheet = "# Tin Cup\nounce: US\n\n## Lime juice\nis: an ingredient\nacid: 45 g/l\nsource: titrated\n";
/// let sheet = StockSheet::read(&Source::new("tin-cup.md", sheet)).unwrap();
/// assert_eq!((sheet.title(), sheet.ingredients().count()), ("Tin Cup", 1));
/// let wrong = "# Tin Cup\n\n## Sling\n- 50 ml gin\n- shake\n";
/// let faults = StockSheet::read(&Source::new("tin-cup.md", wrong)).unwrap_err();
/// assert!(faults[0].message.contains("`Sling` is a drink"));
/// ```
#[derive(Clone, Debug)]
pub struct StockSheet {
    title: String,
    pub(super) source: Source,
    pub(super) settings: Settings,
    pub(super) items: Vec<Item>,
    /// The unit its jiggers are written in, where it has some of its own.
    pub(super) jiggers_in: Option<Unit>,
}

/// An ingredient of a stock sheet.
#[derive(Clone, Debug)]
pub(super) enum Item {
    /// By its figures.
    Figures(Definition),
    /// By how it is made.
    Made(Drink),
}

impl Item {
    pub(super) fn name(&self) -> &str {
        match self {
            Item::Figures(definition) => &definition.name,
            Item::Made(preparation) => &preparation.name,
        }
    }

    /// What else it is poured for.
    pub(super) fn also(&self) -> &[String] {
        match self {
            Item::Figures(definition) => definition
                .ingredient
                .as_ref()
                .map_or(&[], |i| i.aliases.as_slice()),
            Item::Made(preparation) => preparation.makes.as_ref().map_or(&[], |m| m.also.as_slice()),
        }
    }

    /// Whether it stands for this folded name.
    pub(super) fn answers_to(&self, folded: &str) -> bool {
        key(self.name()) == folded || self.also().iter().any(|a| key(a) == folded)
    }

    fn gives_acid(&self) -> bool {
        match self {
            Item::Figures(definition) => definition
                .entries
                .iter()
                .any(|e| matches!(e, Entry::Particular(k, _) if k == "acid")),
            Item::Made(_) => false,
        }
    }
}

impl StockSheet {
    /// Read a stock sheet.
    ///
    /// # Errors
    /// Every fault of it; a drink in it is one.
    pub fn read(source: &Source) -> Result<StockSheet, Vec<Fault>> {
        let reading = read(source);
        let mut faults = reading.faults;
        let a_drink = |drink: &Drink| {
            let message = format!(
                "`{}` is a drink, and a stock sheet has none; expected settings and ingredients (`is: an ingredient` under the heading)",
                drink.name
            );
            Unplaced::reject(drink.span.clone(), message).at(source)
        };
        faults.extend(reading.faulty.iter().filter(|d| d.makes.is_none()).map(a_drink));
        faults.extend(reading.book.drinks().map(a_drink));
        let jiggers_in = reading.book.opening.iter().find_map(|entry| match entry {
            Entry::Particular(name, value) if name == "jigger set" => Some(if value.contains("oz") {
                Unit::Ounce
            } else {
                Unit::Millilitre
            }),
            _ => None,
        });
        let items: Vec<Item> = reading
            .book
            .sections
            .into_iter()
            .filter_map(|section| match section {
                // A price says nothing of what is poured.
                Section::Ingredient(definition) => definition
                    .ingredient
                    .is_some()
                    .then_some(Item::Figures(definition)),
                Section::Preparation(preparation) => Some(Item::Made(preparation)),
                Section::Drink(_) => None,
            })
            .collect();
        let settings = reading.book.settings;
        if faults.is_empty() && items.is_empty() && settings == Settings::default() {
            let message = "nothing of a bar stands here; expected settings (`ounce: US`) or ingredients with their figures";
            faults.push(Unplaced::reject(0..0, message).at(source));
        }
        if !faults.is_empty() {
            faults.sort_by_key(|f| (f.line, f.column));
            return Err(faults);
        }
        let title = if reading.book.title.is_empty() {
            source.file.clone()
        } else {
            reading.book.title
        };
        Ok(StockSheet {
            title,
            source: source.clone(),
            settings,
            items,
            jiggers_in,
        })
    }

    /// The name of the bar: the sheet's title, else its file.
    #[must_use]
    pub fn title(&self) -> &str {
        &self.title
    }

    /// The file it was read from.
    #[must_use]
    pub fn file(&self) -> &str {
        &self.source.file
    }

    /// Its settings.
    #[must_use]
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The names of the ingredients it gives, in order.
    pub fn ingredients(&self) -> impl Iterator<Item = &str> {
        self.items.iter().map(Item::name)
    }

    /// What a reader should know before the figures: names that lead nowhere at home, juices counted in two ways.
    pub(super) fn notes(&self, known: &[&Stock], home: Convention) -> Vec<String> {
        let mut notes = Vec::new();
        for item in &self.items {
            let names: Vec<&str> = std::iter::once(item.name())
                .chain(item.also().iter().map(String::as_str))
                .collect();
            let at_home = known
                .iter()
                .find_map(|stock| names.iter().find_map(|n| stock.usual(n)));
            let Some(at_home) = at_home else {
                let all = known
                    .iter()
                    .flat_map(|s| s.iter())
                    .map(|i| (i.name.as_str(), i.name.as_str()));
                let near = nearest(item.name(), all, 3);
                notes.push(format!(
                    "`{}` is poured by nothing at home; say with `also:` what it stands for{}",
                    item.name(),
                    if near.is_empty() {
                        String::new()
                    } else {
                        format!(" (nearest: {})", near.join(", "))
                    }
                ));
                continue;
            };
            let two_ways = at_home.values.iter().any(|v| v.convention.is_some());
            if item.gives_acid()
                && two_ways
                && self.settings.convention.is_none()
                && home == Convention::Handbook
            {
                notes.push(format!(
                    "the acid of {} is the sheet's own, and home counts it by the handbook: after a titration, `acid convention: assay` in the sheet counts both alike",
                    at_home.name
                ));
            }
        }
        notes
    }
}

/// An ingredient of a sheet as it is poured there: over what is known at home of that name, what the sheet says.
pub(super) fn poured_there(
    definition: &Definition,
    at_home: Option<&Ingredient>,
    convention: Convention,
) -> Option<Ingredient> {
    let alone = definition.ingredient.clone();
    let Some(at_home) = at_home else { return alone };
    let mut figures = Defined::default();
    for entry in &definition.entries {
        if let Entry::Particular(name, value) = entry
            && name != "price"
        {
            // What was read once reads again.
            figures.set(name, value).ok()?;
        }
    }
    let mut amended = match figures.amend(at_home, convention) {
        Ok(amended) => amended,
        // What is left of it at home does not go with the sheet's figures: these alone, then.
        Err(_) => return alone,
    };
    amended.name.clone_from(&definition.name);
    amended.origin = Origin::Book;
    Some(amended)
}
