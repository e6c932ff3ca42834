//! The reference library: generic ingredients with a source for every figure, read from the CSV
//! files in `fixtures/library/` that are built into the program.

use crate::names::Expected;
use std::collections::HashMap;
use std::sync::OnceLock;

use super::{
    AllergenList, Basis, Convention, Declaration, Ingredient, Meaning, Origin, Quantity, Shape, Status,
    Stock, Value,
};
use crate::names::key;
use crate::tables::IngredientKind;

const INGREDIENTS: &str = include_str!("../../../../fixtures/library/ingredients.csv");
const VALUES: &str = include_str!("../../../../fixtures/library/values.csv");
const AMBIGUOUS: &str = include_str!("../../../../fixtures/library/ambiguous.csv");

/// A row of a library file that does not hold together.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: {why}")]
pub struct LibraryError {
    /// The file.
    pub file: &'static str,
    /// The line in it.
    pub line: u64,
    /// What is wrong.
    pub why: String,
}

/// The texts that the library is read from.
#[cfg(feature = "store")]
pub(crate) const LIBRARY_TEXTS: [&str; 3] = [INGREDIENTS, VALUES, AMBIGUOUS];

/// The library built into this program. It is read once; a test proves that it reads.
///
/// # Panics
/// Never in a program whose tests passed: the files are part of it.
pub fn library() -> &'static Stock {
    static LIBRARY: OnceLock<Stock> = OnceLock::new();
    LIBRARY.get_or_init(|| match read(INGREDIENTS, VALUES, AMBIGUOUS) {
        Ok(stock) => stock,
        Err(error) => panic!("the built-in library: {error}"),
    })
}

/// A row of a file, its cells asked for by the heading of their column.
struct Row<'a> {
    headings: &'a [&'a str],
    cells: &'a csv::StringRecord,
}

impl<'a> Row<'a> {
    fn get(&self, heading: &str) -> &'a str {
        let at = self.headings.iter().position(|h| *h == heading);
        at.and_then(|i| self.cells.get(i)).unwrap_or("").trim()
    }
}

/// Go through the rows of one file.
fn rows(
    file: &'static str,
    text: &str,
    mut each: impl FnMut(Row<'_>) -> Result<(), Expected>,
) -> Result<(), LibraryError> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let fail = |line: u64, why: String| LibraryError { file, line, why };
    let first = reader.headers().map_err(|e| fail(1, e.to_string()))?.clone();
    let headings: Vec<&str> = first.iter().collect();
    let mut cells = csv::StringRecord::new();
    loop {
        match reader.read_record(&mut cells) {
            Ok(true) => {}
            Ok(false) => return Ok(()),
            Err(e) => return Err(fail(e.position().map_or(0, csv::Position::line), e.to_string())),
        }
        let line = cells.position().map_or(0, csv::Position::line);
        each(Row {
            headings: &headings,
            cells: &cells,
        })
        .map_err(|why| fail(line, why.into()))?;
    }
}

fn list(cell: &str) -> Vec<String> {
    cell.split(';')
        .map(str::trim)
        .filter(|s| !s.is_empty())
        .map(str::to_owned)
        .collect()
}

fn read(ingredients: &str, values: &str, ambiguous: &str) -> Result<Stock, LibraryError> {
    let mut read: Vec<Ingredient> = Vec::new();
    let mut place: HashMap<String, usize> = HashMap::new();
    rows("ingredients.csv", ingredients, |row| {
        let ingredient = ingredient(&row)?;
        let name = ingredient.name.clone();
        if place.insert(name, read.len()).is_some() {
            return Err(Expected::new(format!("`{}` stands twice", ingredient.name)));
        }
        read.push(ingredient);
        Ok(())
    })?;
    rows("values.csv", values, |row| {
        let name = row.get("name");
        let &at = place.get(name).ok_or_else(|| format!("no ingredient `{name}`"))?;
        let value = value(&row, name, read[at].basis)?;
        read[at].values.push(value);
        Ok(())
    })?;
    let mut stock = Stock::default();
    for ingredient in read {
        stock.put(ingredient);
    }
    rows("ambiguous.csv", ambiguous, |row| {
        let meaning = meaning(&row, &stock)?;
        stock.explain(key(row.get("said")), meaning);
        Ok(())
    })?;
    Ok(stock)
}

/// An ingredient, as yet without its values.
fn ingredient(row: &Row<'_>) -> Result<Ingredient, Expected> {
    Ok(Ingredient {
        name: row.get("name").to_owned(),
        kind: IngredientKind::from(row.get("kind")),
        groups: list(row.get("groups")),
        aliases: list(row.get("aliases")),
        basis: Basis::from_word(row.get("basis")).ok_or("basis is `litre` or `mass`")?,
        carbonated: match row.get("carbonated") {
            "yes" => true,
            "no" => false,
            other => return Err(Expected::new(format!("carbonated is yes or no, not `{other}`"))),
        },
        allergens_eu: Declaration::read(AllergenList::Eu, row.get("allergens_eu"))?,
        allergens_us: Declaration::read(AllergenList::Us, row.get("allergens_us"))?,
        caution: row.get("caution").to_owned(),
        note: row.get("note").to_owned(),
        values: Vec::new(),
        origin: Origin::Library,
    })
}

/// A value of the ingredient `name`, in the unit of its basis, within its span and with its source.
fn value(row: &Row<'_>, name: &str, basis: Basis) -> Result<Value, Expected> {
    let quantity = Quantity::named(row.get("quantity"))
        .ok_or_else(|| format!("no quantity `{}`", row.get("quantity")))?;
    let unit = quantity.unit(basis);
    if row.get("unit") != unit {
        return Err(Expected::new(format!(
            "{} of `{name}` is in {unit}, not `{}`",
            quantity.name(),
            row.get("unit")
        )));
    }
    let number = |c: &str| {
        row.get(c)
            .parse::<f64>()
            .ok()
            .filter(|v| v.is_finite())
            .ok_or_else(|| format!("{c} `{}` is not a number", row.get(c)))
    };
    let convention = match row.get("convention") {
        "" => None,
        word => Some(Convention::from_word(word).ok_or_else(|| format!("no convention `{word}`"))?),
    };
    let value = Value {
        quantity,
        value: number("value")?,
        low: number("low")?,
        high: number("high")?,
        shape: Shape::from_word(row.get("shape"))
            .ok_or_else(|| format!("no shape `{}`", row.get("shape")))?,
        convention,
        source: row.get("source").to_owned(),
        status: Status::from_word(row.get("status"))
            .ok_or_else(|| format!("no status `{}`", row.get("status")))?,
    };
    if !(value.low <= value.value && value.value <= value.high) || value.low < 0.0 {
        return Err(Expected::new(format!(
            "{} of `{name}` is not within its span",
            quantity.name()
        )));
    }
    if value.source.is_empty() {
        return Err(Expected::new(format!(
            "{} of `{name}` has no source",
            quantity.name()
        )));
    }
    Ok(value)
}

/// What a name of several things means, each of which the stock has.
fn meaning(row: &Row<'_>, stock: &Stock) -> Result<Meaning, Expected> {
    let candidates = list(row.get("candidates"));
    for candidate in candidates.iter().map(String::as_str).chain([row.get("target")]) {
        if !candidate.is_empty() && !stock.has(candidate) {
            return Err(Expected::new(format!("no ingredient `{candidate}`")));
        }
    }
    match row.get("action") {
        action @ ("default" | "either") => Ok(Meaning::Taken {
            target: row.get("target").to_owned(),
            candidates,
            why: row.get("why").to_owned(),
            spans: action == "either",
        }),
        "ask" => Ok(Meaning::Asked {
            candidates,
            why: row.get("why").to_owned(),
        }),
        other => Err(Expected::new(format!(
            "action is default, either or ask, not `{other}`"
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_library_reads_and_every_ingredient_makes_a_liquid() {
        let stock = library();
        assert!(stock.len() >= 172, "{}", stock.len());
        for ingredient in stock.iter() {
            for convention in [Convention::Handbook, Convention::Assay] {
                ingredient.liquid(convention, None).unwrap();
            }
        }
    }

    #[test]
    fn every_kind_of_the_library_is_a_known_one() {
        for ingredient in library().iter() {
            assert!(
                !matches!(ingredient.kind, IngredientKind::Other(_)),
                "{}: {:?}",
                ingredient.name,
                ingredient.kind
            );
        }
    }

    #[test]
    fn faults_name_file_and_line() {
        let bad = read("name,basis\ngin,barrel\n", "", "").unwrap_err();
        assert_eq!((bad.file, bad.line), ("ingredients.csv", 2));
    }
}
