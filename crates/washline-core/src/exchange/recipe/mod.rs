//! Recipes of the open vocabulary at schema.org, as JSON-LD: written for others, and read from pages saved to disk.
//!
//! Property names and types are those of the vocabulary: `Recipe` (`recipeIngredient`, `recipeInstructions`,
//! `recipeYield`, `recipeCategory`), `HowTo` (`tool`), `CreativeWork` (`isPartOf`, `keywords`, `creditText`, `offers`),
//! `DefinedTerm` (`inDefinedTermSet`), `Thing` (`name`, `description`). Tags and seasons are keywords that belong to a set
//! of words, and come back as such; those of the list are then the drink's own.
//!
//! **What going out loses**: comments and blank lines; the settings of the book (its ounce above all: an ounce is
//! then whoever's); ingredients the book defines; given water, the serve that parts are shares of, a structure that
//! the build does not tell. Coming back, pours stand before the work unless a step names them.
//!
//! **What coming in leaves out**: pictures, times, ratings, nutrition, videos, who else is linked. Ingredients,
//! method, yield, glass, description, keywords, author and category are kept.

mod find;
mod out;
mod portion;
mod serves;

use std::ops::Range;

use serde_json::Value;

use self::find::{gather, one_line, parsed, texts, told};
use self::serves::{Yield, serves, yields};
use super::drafts::{Drafts, Part, Placed};
use super::json_text::Locator;
use super::prose::{Act, Listed, Method};
use super::{Options, Setting, html};
use crate::measure::Amount;
use crate::spec::{Money, Source};

pub(super) use out::write;

/// The sets that the words on a drink belong to, by the particulars they stand in.
const TAGS: &str = "tags";
const SEASON: &str = "season";

/// Read the recipes of a page, or of a file that is JSON-LD by itself.
pub(super) fn read(number: usize, file: &Source, options: &Options, drafts: &mut Drafts<'_>) {
    let is_page = file.text.trim_start().starts_with('<');
    let page = if is_page {
        html::page(&file.text)
    } else {
        html::Page {
            title: String::new(),
            blocks: std::iter::once(0..file.text.len()).collect(),
        }
    };
    let mut seen: Vec<Value> = Vec::new();
    let mut found = 0;
    for block in page.blocks {
        let value = match parsed(&file.text[block.clone()]) {
            Ok(value) => value,
            Err((at, why)) => {
                let at = block.start + at;
                drafts.reject(
                    number,
                    at..at,
                    format!("a block of JSON-LD that is no JSON: {why}"),
                );
                continue;
            }
        };
        let mut recipes = Vec::new();
        gather(&value, &mut recipes);
        let mut reader = Reader {
            number,
            file,
            options,
            drafts,
            locator: Locator::new(&file.text, block),
        };
        for recipe in recipes {
            // Many pages carry one recipe twice, for different readers.
            if !seen.contains(recipe) {
                seen.push(recipe.clone());
                found += 1;
                reader.recipe(recipe, &page.title);
            }
        }
    }
    if found == 0 && !drafts.has_faults_of(number) {
        let message = if is_page {
            "no recipe in this page: it has no block of JSON-LD with `\"@type\": \"Recipe\"` (a page can show one without saying so)"
        } else {
            "no recipe here; expected an object with `\"@type\": \"Recipe\"`"
        };
        drafts.reject(number, 0..0, message);
    }
}

/// Reads the recipes of one block.
struct Reader<'a, 'b> {
    number: usize,
    file: &'a Source,
    options: &'a Options,
    drafts: &'a mut Drafts<'b>,
    locator: Locator<'a>,
}

/// A line of the list: the pours it came to, and what it lists, where that is one.
type Line = (Vec<Placed>, Option<Listed>);

/// The first tool of a recipe that is a glass.
fn glass(recipe: &Value) -> Option<String> {
    texts(recipe.get("tool"))
        .iter()
        .map(|tool| one_line(tool))
        .find(|tool| crate::tables::Glass::known(tool.split(',').next().unwrap_or_default()).is_some())
}

impl Reader<'_, '_> {
    fn placed(&self, text: impl Into<String>, span: &Range<usize>) -> Placed {
        Placed {
            text: text.into(),
            file: self.number,
            span: span.clone(),
        }
    }

    fn recipe(&mut self, recipe: &Value, page: &str) {
        let name = texts(recipe.get("name"))
            .first()
            .map(|n| one_line(n))
            .unwrap_or_default();
        let at = self.locator.find(recipe["name"].as_str().unwrap_or_default());
        if name.is_empty() {
            return self
                .drafts
                .reject(self.number, at, "a recipe without a name; expected `\"name\"`");
        }
        let title = self.title(recipe, page);
        let book = self.drafts.book(self.placed(title, &at));
        let name = self.free_name(book, name, &at);
        let said: Vec<String> = ["recipeYield", "yield"]
            .into_iter()
            .map(|k| yields(recipe.get(k)))
            .find(|y| !y.is_empty())
            .unwrap_or_default();
        let share = self.share(&said, &name, &at);

        let glass = glass(recipe);
        let mut body: Vec<Placed> = Vec::new();
        body.extend(
            glass
                .as_ref()
                .map(|tool| self.placed(format!("glass: {tool}"), &at)),
        );
        body.extend(self.particulars(recipe, &at));
        if let (Some(share), false) = (share, said.is_empty())
            && share != Amount::ONE
        {
            let words = one_line(&said.join(", ")).replace("-->", "");
            body.push(self.placed(format!("<!-- amounts for one, of a recipe for: {words} -->"), &at));
        }
        let lines = self.listed(recipe, share);
        if lines.is_empty() {
            let message = format!("`{name}` lists no ingredients; expected `\"recipeIngredient\"`");
            self.drafts.reject(self.number, at.clone(), message);
        }
        let (work, listed) = self.method(recipe, &name, &lines, glass.is_some());
        if let Some(last) = body.last().cloned() {
            body.push(Placed {
                text: String::new(),
                ..last
            });
        }
        for ((pours, _), listed) in lines.iter().zip(&listed) {
            // What the method has put somewhere stands there; what is no pour has no place to be put.
            if !listed.placed || listed.name.is_empty() {
                body.extend(pours.iter().cloned());
            }
        }
        body.extend(work);
        let part = Part {
            name: self.placed(name, &at),
            lines: body,
        };
        self.drafts.put(book, part);
    }

    /// The title of the book that a recipe goes into: as it was asked for, as the recipe or its page has it, or the file's
    /// name.
    fn title(&self, recipe: &Value, page: &str) -> String {
        let title = [
            self.options.book.clone(),
            texts(recipe.get("isPartOf")).into_iter().next(),
            Some(page.to_owned()),
        ]
        .into_iter()
        .flatten()
        .find(|t| !t.trim().is_empty())
        .unwrap_or_else(|| super::stem(&self.file.file).to_owned());
        one_line(&title)
    }

    /// The lines of the list, each as the pours it came to; and what it lists, where that is one.
    fn listed(&mut self, recipe: &Value, share: Option<Amount>) -> Vec<Line> {
        let list = ["recipeIngredient", "ingredients"]
            .into_iter()
            .find_map(|k| recipe.get(k));
        let (raw, one_each): (Vec<&str>, bool) = match list {
            Some(Value::Array(all)) => (all.iter().filter_map(Value::as_str).collect(), true),
            Some(Value::String(one)) => (vec![one.as_str()], false),
            _ => (Vec::new(), true),
        };
        let mut lines = Vec::new();
        for text in raw {
            let span = self.locator.find(text);
            let words = html::words(text);
            // A line break inside one of a list is how the page was wrapped.
            let all = if one_each { one_line(&words) } else { words };
            for line in all.lines() {
                lines.push(self.ingredient(line, share, &span));
            }
        }
        lines
    }

    /// The steps of the method, and which of the lines of the list they put somewhere.
    fn method(
        &mut self,
        recipe: &Value,
        name: &str,
        lines: &[Line],
        has_glass: bool,
    ) -> (Vec<Placed>, Vec<Listed>) {
        let mut work: Vec<Placed> = Vec::new();
        let mut said: Vec<(String, String)> = Vec::new();
        told(recipe.get("recipeInstructions"), &mut said);
        let mut listed: Vec<Listed> = lines
            .iter()
            .map(|(_, listed)| {
                listed.clone().unwrap_or(Listed {
                    name: String::new(),
                    placed: true,
                })
            })
            .collect();
        let mut method = Method::new(&mut listed, has_glass);
        for (raw, text) in said {
            let span = self.locator.find(&raw);
            for act in method.read(&text) {
                match act {
                    Act::Step(words) | Act::Glass(words) => {
                        work.push(self.placed(format!("- {words}"), &span))
                    }
                    Act::Say(words) => {
                        let message = format!("`{name}`: kept as a note: \"{words}\"");
                        self.drafts.remark(self.number, span.start, message);
                        work.push(self.placed(format!("> {words}"), &span));
                    }
                    Act::Put(at, place) => {
                        let (pours, _) = &lines[at];
                        work.extend(pours.iter().map(|p| Placed {
                            text: portion::at_place(&p.text, place),
                            ..p.clone()
                        }));
                    }
                }
            }
        }
        (work, listed)
    }

    /// A name that no other drink of the book has.
    fn free_name(&mut self, book: usize, name: String, at: &Range<usize>) -> String {
        if !self.drafts.has(book, &name) {
            return name;
        }
        let mut free = name.clone();
        let mut n = 2;
        while self.drafts.has(book, &free) {
            free = format!("{name} ({n})");
            n += 1;
        }
        let message = format!("a second recipe `{name}`: called `{free}`");
        self.drafts.remark(self.number, at.start, message);
        free
    }

    /// What every amount is multiplied by to be that of one serve.
    fn share(&mut self, said: &[String], name: &str, at: &Range<usize>) -> Option<Amount> {
        let quoted = said
            .iter()
            .map(|s| format!("\"{}\"", one_line(s)))
            .collect::<Vec<_>>()
            .join(", ");
        let of = match (self.options.serves, serves(said)) {
            (_, Yield::Serves(n)) => n,
            (Some(n), _) => i128::from(n),
            (None, Yield::Unsaid) => {
                let other = self.drafts.worded(&Setting::Serves(None));
                let message = format!("`{name}`: no yield; taken as one serve ({other} says otherwise)");
                self.drafts.remark(self.number, at.start, message);
                return Some(Amount::ONE);
            }
            (None, Yield::Other) => {
                let message = format!(
                    "`{name}` yields {quoted}, which is no number of serves; amounts are as the page has them, expected {}",
                    self.drafts.worded(&Setting::Serves(None))
                );
                self.drafts.ask(self.number, at.clone(), message, Vec::new());
                return None;
            }
            (None, Yield::Unclear(readings)) => {
                let message = format!("`{name}` yields {quoted}: for how many are the amounts?");
                let readings = readings
                    .into_iter()
                    .map(|n| self.drafts.worded(&Setting::Serves(Some(n))));
                let readings = readings.collect();
                self.drafts.ask(self.number, at.clone(), message, readings);
                return None;
            }
        };
        let share = Amount::ratio(1, of).ok()?;
        if share != Amount::ONE {
            let message = format!(
                "`{name}`: amounts divided by {of}{}",
                if said.is_empty() {
                    String::new()
                } else {
                    format!(" (the page is for {quoted})")
                }
            );
            self.drafts.remark(self.number, at.start, message);
        }
        Some(share)
    }

    /// What stands over the steps: source, price, notes, keywords.
    fn particulars(&self, recipe: &Value, at: &Range<usize>) -> Vec<Placed> {
        let mut all = Vec::new();
        let first = |name: &str| texts(recipe.get(name)).into_iter().next().map(|t| one_line(&t));
        if let Some(price) = recipe["offers"]["price"].as_str() {
            let currency = recipe["offers"]["priceCurrency"].as_str().unwrap_or_default();
            let written = format!("{price} {currency}");
            if written.parse::<Money>().is_ok() {
                all.push(format!("price: {}", written.trim()));
            }
        }
        let source: Vec<String> = [
            first("creditText"),
            first("author"),
            first("publisher"),
            first("url"),
        ]
        .into_iter()
        .flatten()
        .filter(|t| !t.is_empty())
        .collect();
        if !source.is_empty() {
            all.push(format!("source: {}", source.join(", ").replace("<!--", "")));
        }
        for text in texts(recipe.get("description")) {
            all.extend(text.lines().map(|l| format!("> {}", one_line(l))));
        }
        let keywords: Vec<&Value> = match recipe.get("keywords") {
            Some(Value::Array(several)) => several.iter().collect(),
            one => one.into_iter().collect(),
        };
        let set_of = |word: &Value| word["inDefinedTermSet"]["name"].as_str().map(str::to_owned);
        for set in [TAGS, SEASON] {
            let words: Vec<String> = keywords
                .iter()
                .filter(|word| set_of(word).as_deref() == Some(set))
                .flat_map(|word| texts(Some(word)))
                .map(|word| one_line(&word))
                .filter(|word| !word.is_empty())
                .collect();
            if !words.is_empty() {
                all.push(format!("{set}: {}", words.join(", ")));
            }
        }
        let words: Vec<String> = keywords
            .into_iter()
            .filter(|word| !matches!(set_of(word).as_deref(), Some(TAGS | SEASON)))
            .chain(
                ["recipeCategory", "recipeCuisine"]
                    .into_iter()
                    .filter_map(|k| recipe.get(k)),
            )
            .flat_map(|word| texts(Some(word)))
            .collect();
        let words: Vec<String> = words
            .into_iter()
            .map(|t| one_line(&t).replace("-->", ""))
            .filter(|t| !t.is_empty() && t != "drink")
            .collect();
        if !words.is_empty() {
            all.push(format!("<!-- keywords: {} -->", words.join(", ")));
        }
        all.into_iter().map(|text| self.placed(text, at)).collect()
    }
}
