//! The kinds of things that are poured, and the words that name them, narrow them or leave them as they are: two
//! tables, read once.

use crate::names::Expected;
use std::collections::{HashMap, HashSet};
use std::sync::OnceLock;

use serde::Deserialize;

use super::hazard::hazard_words;
use super::named_allergen::allergen_words;
use super::phrases::{Phrases, words};
use super::{Ingredient, Stock, library};

const KINDS: &str = include_str!("../../../../fixtures/reference/kinds.csv");
const WORDS: &str = include_str!("../../../../fixtures/reference/kind_words.csv");

/// A figure of a kind that is said with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Tells {
    Strength,
    Sugar,
    Acid,
    Fat,
    Salt,
}

/// A kind, with the members of the library that show what it spans.
#[derive(Debug)]
pub(super) struct Kind {
    /// Its name: "rum".
    pub name: String,
    /// As it is said: "a rum".
    pub said: String,
    /// The library's ingredient that is usual for it.
    pub nominal: &'static Ingredient,
    /// What it spans, the usual one first.
    pub members: Vec<&'static Ingredient>,
    /// What is said of it.
    pub tells: Vec<Tells>,
    /// What it is without alcohol; `None` of what has none anyway.
    pub alcohol_free: Option<&'static Ingredient>,
    /// Whether it grows: nothing is put in that nobody knows of.
    pub produce: bool,
    /// Words that narrow it, with the members they leave.
    pub narrow: Phrases<Vec<&'static Ingredient>>,
}

/// What a word does that stands around the name of a kind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Role {
    /// Leaves the kind as it is.
    Around,
    /// The same, and may stand behind it.
    Behind,
    /// What follows is about it and no part of its name: "with".
    Link,
    /// It has no alcohol.
    Free,
    /// Years of age follow a number.
    Year,
    /// Behind the name of a kind it makes another thing of it: "whisky sour".
    Other,
    /// It fizzes.
    Fizzy,
    /// Narrows the kind wherever it stands: another word does so only where it stands next to the kind's name, for the
    /// "black" of "black tea rum" is the tea's.
    Far,
}

/// Everything of both tables.
#[derive(Debug)]
pub(super) struct Kinds {
    pub kinds: Vec<Kind>,
    /// Phrases that name a kind, by its place.
    pub heads: Phrases<usize>,
    /// Words that do not.
    pub roles: HashMap<Role, Phrases<()>>,
    /// Every word of the library and of these tables: what is not among them is not understood.
    pub known: HashSet<String>,
}

#[derive(Deserialize)]
struct KindRow {
    kind: String,
    said: String,
    nominal: String,
    members: String,
    tells: String,
    alcohol_free: String,
    produce: String,
}

#[derive(Deserialize)]
struct WordRow {
    kind: String,
    role: String,
    words: String,
    members: String,
}

pub(super) fn kinds() -> &'static Kinds {
    static READ: OnceLock<Kinds> = OnceLock::new();
    READ.get_or_init(|| match read(library(), KINDS, WORDS) {
        Ok(kinds) => kinds,
        Err(error) => panic!("the tables of kinds: {error}"),
    })
}

/// The items of a cell.
fn items(cell: &str) -> impl Iterator<Item = &str> {
    cell.split(';').map(str::trim).filter(|s| !s.is_empty())
}

/// An ingredient of the library by its own name, no alias.
fn own(stock: &'static Stock, name: &str) -> Result<&'static Ingredient, Expected> {
    stock
        .get(name)
        .filter(|i| i.name == name)
        .ok_or_else(|| Expected::from(format!("no ingredient is named `{name}`")))
}

/// The ingredients that a cell of members lists: names, `group:`, `kind:`, and `-name` of what is left out.
fn members(stock: &'static Stock, cell: &str) -> Result<Vec<&'static Ingredient>, Expected> {
    let mut listed: Vec<&'static Ingredient> = Vec::new();
    for item in items(cell) {
        if let Some(group) = item.strip_prefix("group:") {
            listed.extend(stock.iter().filter(|i| i.groups.iter().any(|g| g == group)));
        } else if let Some(kind) = item.strip_prefix("kind:") {
            listed.extend(stock.iter().filter(|i| i.kind.word() == kind));
        } else if let Some(name) = item.strip_prefix('-') {
            let out = own(stock, name)?;
            listed.retain(|i| i.name != out.name);
        } else {
            listed.push(own(stock, item)?);
        }
        if listed.is_empty() {
            return Err(Expected::new(format!("`{item}` leaves no member")));
        }
    }
    let mut seen = HashSet::new();
    listed.retain(|i| seen.insert(i.name.as_str()));
    Ok(listed)
}

fn read(stock: &'static Stock, kinds: &str, phrases: &str) -> Result<Kinds, Expected> {
    let mut read: Vec<Kind> = Vec::new();
    let mut places: HashMap<String, usize> = HashMap::new();
    for row in rows::<KindRow>(kinds)? {
        let kind = kind(stock, &row).map_err(|why| Expected::from(format!("`{}`: {why}", row.kind)))?;
        if places.insert(row.kind.clone(), read.len()).is_some() {
            return Err(Expected::new(format!("`{}`: stands twice", row.kind)));
        }
        read.push(kind);
    }
    let rows = rows::<WordRow>(phrases)?;
    // `{fruit}` in a phrase stands for each word of the row of that role.
    let sorts: HashMap<String, Vec<String>> = rows
        .iter()
        .filter(|row| row.kind == "*")
        .map(|row| {
            let all = items(&row.words).map(str::to_owned).collect();
            (format!("{{{}}}", row.role), all)
        })
        .collect();
    let mut roles: HashMap<Role, Phrases<()>> = HashMap::new();
    let mut named: Vec<(&str, usize)> = Vec::new();
    for row in &rows {
        for phrase in items(&row.words) {
            let at = places.get(&row.kind).copied();
            match (row.role.as_str(), at) {
                ("head", Some(at)) => named.push((phrase, at)),
                ("narrow", Some(at)) => {
                    let left = members(stock, &row.members).map_err(|why| format!("`{phrase}`: {why}"))?;
                    if read[at].narrow.put(phrase, left).is_some() {
                        return Err(Expected::new(format!("`{phrase}` narrows {} twice", row.kind)));
                    }
                }
                (role, None) if row.kind == "*" => {
                    if let Some(role) = Role::named(role) {
                        roles.entry(role).or_default().put(phrase, ());
                    }
                }
                _ => {
                    return Err(Expected::new(format!(
                        "no kind `{}`, or no role `{}`",
                        row.kind, row.role
                    )));
                }
            }
        }
    }
    Ok(Kinds {
        heads: heads(&named, &sorts)?,
        known: known(stock, &rows),
        kinds: read,
        roles,
    })
}

/// The rows of a table.
fn rows<Row: for<'de> Deserialize<'de>>(table: &str) -> Result<Vec<Row>, Expected> {
    csv::Reader::from_reader(table.as_bytes())
        .deserialize()
        .map(|row| row.map_err(|e| Expected::new(e.to_string())))
        .collect()
}

/// A kind, as yet without the words that narrow it.
fn kind(stock: &'static Stock, row: &KindRow) -> Result<Kind, Expected> {
    let nominal = own(stock, &row.nominal)?;
    let mut members = members(stock, &row.members)?;
    members.retain(|m| m.name != nominal.name);
    members.insert(0, nominal);
    let tells = items(&row.tells)
        .map(|word| match word {
            "strength" => Ok(Tells::Strength),
            "sugar" => Ok(Tells::Sugar),
            "acid" => Ok(Tells::Acid),
            "fat" => Ok(Tells::Fat),
            "salt" => Ok(Tells::Salt),
            other => Err(Expected::new(format!("tells no `{other}`"))),
        })
        .collect::<Result<_, Expected>>()?;
    let alcohol_free = Some(row.alcohol_free.as_str()).filter(|name| !name.is_empty());
    Ok(Kind {
        nominal,
        members,
        tells,
        alcohol_free: alcohol_free.map(|name| own(stock, name)).transpose()?,
        produce: row.produce == "yes",
        narrow: Phrases::default(),
        said: row.said.clone(),
        name: row.kind.clone(),
    })
}

impl Role {
    /// The role that a word of the table names; `None` of a sort such as fruit, which stands for each of its words.
    fn named(word: &str) -> Option<Role> {
        Some(match word {
            "around" => Role::Around,
            "behind" => Role::Behind,
            "link" => Role::Link,
            "free" => Role::Free,
            "year" => Role::Year,
            "far" => Role::Far,
            "other" => Role::Other,
            "fizzy" => Role::Fizzy,
            _ => return None,
        })
    }
}

/// Every word of the library, of the table of words, of allergens and of hazards.
fn known(stock: &Stock, rows: &[WordRow]) -> HashSet<String> {
    let names = stock
        .iter()
        .flat_map(|ingredient| std::iter::once(&ingredient.name).chain(&ingredient.aliases))
        .map(String::as_str);
    let meanings = stock.meanings().map(|(said, _)| said);
    let phrases = rows.iter().flat_map(|row| items(&row.words));
    let mut known: HashSet<String> = names.chain(meanings).chain(phrases).flat_map(words).collect();
    known.extend(allergen_words().chain(hazard_words()));
    known
}

/// The phrases that name a kind: those written out, and under them those that a sort of fruit makes ("{fruit} brandy").
fn heads(named: &[(&str, usize)], sorts: &HashMap<String, Vec<String>>) -> Result<Phrases<usize>, Expected> {
    let sort = |phrase: &str| sorts.iter().find(|(sort, _)| phrase.contains(sort.as_str()));
    let mut heads: Phrases<usize> = Phrases::default();
    for &(phrase, at) in named {
        if let Some((sort, all)) = sort(phrase) {
            for word in all {
                heads.put(&phrase.replace(sort, word), at);
            }
        }
    }
    let mut written = HashMap::new();
    for &(phrase, at) in named.iter().filter(|(phrase, _)| sort(phrase).is_none()) {
        if written
            .insert(words(phrase), at)
            .is_some_and(|before| before != at)
        {
            return Err(Expected::new(format!("`{phrase}` names two kinds")));
        }
        heads.put(phrase, at);
    }
    Ok(heads)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tables_read_and_every_kind_has_a_word() {
        let kinds = read(library(), KINDS, WORDS).unwrap();
        for (at, kind) in kinds.kinds.iter().enumerate() {
            assert!(
                kinds.heads.meanings().any(|m| *m == at),
                "no word names the kind `{}`",
                kind.name
            );
        }
        assert!(kinds.kinds.len() > 100, "{}", kinds.kinds.len());
    }

    #[test]
    fn faults_name_what_is_wrong() {
        let kinds = "kind,said,nominal,members,tells,alcohol_free,produce\nrum,a rum,white rum,group:nothing,strength,,no\n";
        assert!(
            read(library(), kinds, "")
                .unwrap_err()
                .to_string()
                .contains("group:nothing")
        );
        let kinds = "kind,said,nominal,members,tells,alcohol_free,produce\nrum,a rum,white rum,white rum,strength,,no\n";
        let words = "kind,role,words,members\nrom,head,rum,\n";
        assert!(
            read(library(), kinds, words)
                .unwrap_err()
                .to_string()
                .contains("rom")
        );
    }
}
