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
    for row in csv::Reader::from_reader(kinds.as_bytes()).deserialize() {
        let row: KindRow = row.map_err(|e| Expected::new(e.to_string()))?;
        let fail = |why: Expected| Expected::from(format!("`{}`: {why}", row.kind));
        let nominal = own(stock, &row.nominal).map_err(fail)?;
        let mut members = members(stock, &row.members).map_err(fail)?;
        members.retain(|m| m.name != nominal.name);
        members.insert(0, nominal);
        let tells = items(&row.tells)
            .map(|word| {
                Ok(match word {
                    "strength" => Tells::Strength,
                    "sugar" => Tells::Sugar,
                    "acid" => Tells::Acid,
                    "fat" => Tells::Fat,
                    "salt" => Tells::Salt,
                    other => return Err(fail(format!("tells no `{other}`").into())),
                })
            })
            .collect::<Result<_, Expected>>()?;
        let alcohol_free = Some(row.alcohol_free.as_str()).filter(|name| !name.is_empty());
        let kind = Kind {
            nominal,
            members,
            tells,
            alcohol_free: alcohol_free
                .map(|name| own(stock, name))
                .transpose()
                .map_err(fail)?,
            produce: row.produce == "yes",
            narrow: Phrases::default(),
            said: row.said.clone(),
            name: row.kind.clone(),
        };
        if places.insert(row.kind.clone(), read.len()).is_some() {
            return Err(fail("stands twice".into()));
        }
        read.push(kind);
    }
    let mut rows: Vec<WordRow> = Vec::new();
    for row in csv::Reader::from_reader(phrases.as_bytes()).deserialize() {
        rows.push(row.map_err(|e| Expected::new(e.to_string()))?);
    }
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
    let mut known: HashSet<String> = HashSet::new();
    let mut named: Vec<(&str, usize)> = Vec::new();
    for row in &rows {
        for phrase in items(&row.words) {
            known.extend(words(phrase));
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
                    let role = match role {
                        "around" => Role::Around,
                        "behind" => Role::Behind,
                        "link" => Role::Link,
                        "free" => Role::Free,
                        "year" => Role::Year,
                        "far" => Role::Far,
                        "other" => Role::Other,
                        "fizzy" => Role::Fizzy,
                        _ => continue,
                    };
                    roles.entry(role).or_default().put(phrase, ());
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
    let heads = heads(&named, &sorts)?;
    for ingredient in stock.iter() {
        for name in std::iter::once(&ingredient.name).chain(&ingredient.aliases) {
            known.extend(words(name));
        }
    }
    for (said, _) in stock.meanings() {
        known.extend(words(said));
    }
    known.extend(allergen_words().chain(hazard_words()));
    Ok(Kinds {
        kinds: read,
        heads,
        roles,
        known,
    })
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
