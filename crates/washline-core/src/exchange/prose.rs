//! Method prose of a page cut into the steps of a book. What a sentence says that is no step stays as a note:
//! nothing is dropped, and a pour is never made up.

use crate::names::key;
use crate::spec::{self, Entry, Fault, PourMethod, Source, Step};

/// The entries that one line of a book comes to, or what is wrong with it.
pub(super) fn read_line(line: &str) -> Result<Vec<Entry>, Fault> {
    read_line_among(line, &[])
}

/// The same in a drink whose list names these already, so that the method may name them again.
fn read_line_among(line: &str, listed: &[Listed]) -> Result<Vec<Entry>, Fault> {
    // With pours before it and a serve, so that the line alone decides.
    let names = listed.iter().map(|l| l.name.as_str()).chain(["vodka"]);
    let pours: String = names.clone().map(|name| format!("- 30 ml {name}\n")).collect();
    let source = Source::new("", format!("# b\nserve: 90 ml\n\n## d\n{pours}- {line}\n"));
    let before = names.count();
    let mut reading = spec::read(&source);
    if !reading.faults.is_empty() {
        return Err(reading.faults.swap_remove(0));
    }
    let drink = reading.book.drinks().next();
    let mut entries = drink.map(|d| d.entries.clone()).unwrap_or_default();
    entries.drain(..before.min(entries.len()));
    Ok(entries)
}

/// An ingredient of the list, as the method may name it.
#[derive(Clone, Debug)]
pub(super) struct Listed {
    /// Its folded name.
    pub name: String,
    /// Whether the method has said where it goes.
    pub placed: bool,
}

/// What a sentence comes to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Act {
    /// A step, in words that a book reads.
    Step(String),
    /// A step that names the glass as well.
    Glass(String),
    /// An ingredient of the list goes in here.
    Put(usize, PourMethod),
    /// Words for the reader.
    Say(String),
}

/// Reads the sentences of one method, in order.
pub(super) struct Method<'a> {
    listed: &'a mut [Listed],
    worked: bool,
    has_glass: bool,
}

/// How a clause puts something in, by its verb.
fn put(clause: &str) -> Option<PourMethod> {
    let verb = clause.split(' ').find(|w| !w.ends_with("ly"))?;
    Some(match verb {
        "add" | "pour" | "combine" | "put" | "place" | "drop" | "dash" | "finish" => PourMethod::In,
        "top" | "lengthen" | "fill" => PourMethod::Top,
        "float" => PourMethod::Float,
        "rinse" => PourMethod::Rinse,
        "mist" | "spray" | "spritz" => PourMethod::Mist,
        _ => return None,
    })
}

/// What a clause can begin with.
const VERBS: [&str; 43] = [
    "add", "blend", "build", "chill", "combine", "dash", "discard", "double", "drop", "dry", "express",
    "fill", "fine", "finish", "flame", "float", "garnish", "grate", "lengthen", "mist", "mix", "muddle",
    "over", "place", "pour", "put", "rim", "rinse", "roll", "serve", "shake", "single", "spray", "spritz",
    "sprinkle", "squeeze", "stir", "strain", "swizzle", "throw", "top", "twist", "whip",
];

impl<'a> Method<'a> {
    pub fn new(listed: &'a mut [Listed], has_glass: bool) -> Method<'a> {
        Method {
            listed,
            worked: false,
            has_glass,
        }
    }

    /// What a text of the method comes to, sentence by sentence.
    pub fn read(&mut self, text: &str) -> Vec<Act> {
        sentences(text)
            .into_iter()
            .flat_map(|s| self.sentence(s))
            .collect()
    }

    fn sentence(&mut self, sentence: &str) -> Vec<Act> {
        // `Strain into chilled coupes`, of a recipe for several: one of them.
        let one = sentence
            .strip_suffix('s')
            .filter(|one| !self.has_glass && !one.ends_with('s'));
        if let Some(Ok(entries)) = one.map(read_line)
            && entries.iter().any(|e| matches!(e, Entry::Particular(..)))
            && let Some(acts) = one.and_then(|one| self.work(one))
        {
            return acts;
        }
        let clauses = clauses(sentence);
        // `shake, then top with soda water`: more than work, though a book would take all of it for words of the shake.
        let puts = clauses.iter().skip(1).any(|c| put(&key(c)).is_some());
        if !puts && let Some(acts) = self.work(sentence) {
            return acts;
        }
        let mut acts = Vec::new();
        let mut whole = true;
        for clause in clauses {
            match self.clause(clause) {
                Some(found) => acts.extend(found),
                None => whole = false,
            }
        }
        if !whole || acts.is_empty() {
            acts.insert(0, Act::Say(sentence.to_owned()));
        }
        acts
    }

    /// Words that a book reads as work, glass or garnish, and not as a pour.
    fn work(&mut self, words: &str) -> Option<Vec<Act>> {
        let entries = read_line_among(words, self.listed)
            .or_else(|_| read_line(words))
            .ok()?;
        let mut names_glass = false;
        let mut works = false;
        for entry in &entries {
            match entry {
                Entry::Step(line) => match &line.step {
                    Step::Pour(_) => return None,
                    Step::Garnish(_) => {}
                    _ => works = true,
                },
                Entry::Particular(..) => names_glass = true,
                _ => {}
            }
        }
        // `add cherry liqueur` is no garnish, whatever it ends in.
        let garnishes = ["garnish", "express", "flame", "rim"];
        let first = key(words);
        let first = first.split(' ').next().unwrap_or_default();
        let only_garnish = !works && !names_glass && !garnishes.contains(&first);
        if entries.is_empty() || only_garnish || (names_glass && self.has_glass) {
            return None;
        }
        self.worked |= works;
        self.has_glass |= names_glass;
        let words = words.to_owned();
        Some(vec![if names_glass {
            Act::Glass(words)
        } else {
            Act::Step(words)
        }])
    }

    fn clause(&mut self, clause: &str) -> Option<Vec<Act>> {
        if let Some(acts) = self.work(clause) {
            return Some(acts);
        }
        let folded = key(clause);
        let Some(place) = put(&folded) else {
            // `serve over ice`, or an adverb before the work: `vigorously shake`.
            let (first, rest) = clause.trim_start().split_once(' ')?;
            let first = first.to_lowercase();
            return (first == "serve" || first.ends_with("ly"))
                .then(|| self.work(rest))
                .flatten();
        };
        let named = self.named(&folded);
        // What is put together before any work is in the list already; only where the words name ingredients and
        // nothing else is everything said by that.
        let before = !self.worked && place == PourMethod::In;
        if named.is_empty() || (before && !self.names_only(clause, named.len())) {
            return None;
        }
        Some(
            named
                .into_iter()
                .map(|at| {
                    self.listed[at].placed = true;
                    Act::Put(at, place)
                })
                .collect(),
        )
    }

    /// Whether a clause is a verb and so many names of the list, each whole: `add dry gin, lemon juice`.
    fn names_only(&self, clause: &str, count: usize) -> bool {
        let Some((_, names)) = clause.trim().split_once(' ') else {
            return false;
        };
        let names: Vec<String> = names
            .split([',', '&'])
            .flat_map(|n| n.split(" and "))
            .map(key)
            .collect();
        names.len() == count && names.iter().all(|n| self.listed.iter().any(|l| l.name == *n))
    }

    /// The ingredients of the list that a clause names, in its order.
    fn named(&self, clause: &str) -> Vec<usize> {
        let padded = format!(" {} ", clause.replace([',', '.', ';', '(', ')'], " "));
        let padded = padded.split_whitespace().collect::<Vec<_>>().join(" ");
        let padded = format!(" {padded} ");
        // Whole names first, the longest before the others, and each stretch of words for one of them only:
        // `hot pepper sauce` is not the pepper.
        let mut left: Vec<usize> = (0..self.listed.len())
            .filter(|&at| !self.listed[at].placed)
            .collect();
        left.sort_by_key(|&at| std::cmp::Reverse(self.listed[at].name.len()));
        let mut found: Vec<(usize, usize)> = Vec::new();
        let mut words_left = padded;
        for whole in [true, false] {
            left.retain(|&at| {
                let name = &self.listed[at].name;
                let spelt = if whole {
                    words_left
                        .find(&format!(" {name} "))
                        .map(|place| (place, name.len()))
                } else {
                    self.ending_of(at, &words_left)
                };
                let Some((place, length)) = spelt.filter(|_| !name.is_empty()) else {
                    return true;
                };
                words_left.replace_range(place + 1..=place + length, &"_".repeat(length));
                found.push((place, at));
                false
            });
        }
        found.sort_unstable();
        found.into_iter().map(|(_, at)| at).collect()
    }
}

impl Method<'_> {
    /// Where a clause has the last words of a name, which no other name has: `the bitters`.
    fn ending_of(&self, at: usize, clause: &str) -> Option<(usize, usize)> {
        let words: Vec<&str> = self.listed[at].name.split(' ').collect();
        (1..words.len()).find_map(|from| {
            let end = words[from..].join(" ");
            let mine = self
                .listed
                .iter()
                .enumerate()
                .all(|(i, other)| i == at || !format!(" {} ", other.name).contains(&format!(" {end} ")));
            let place = clause.find(&format!(" {end} ")).filter(|_| mine)?;
            Some((place, end.len()))
        })
    }
}

/// The sentences of a text: cut at line breaks, semicolons, and full stops with a capital after them.
fn sentences(text: &str) -> Vec<&str> {
    let mut all = Vec::new();
    for line in text.split(['\n', ';']) {
        let mut from = 0;
        for (at, mark) in line.char_indices().filter(|(_, c)| matches!(c, '.' | '!')) {
            let after = &line[at + mark.len_utf8()..];
            let capital = after
                .trim_start()
                .chars()
                .next()
                .is_none_or(|c| c.is_uppercase() || c.is_numeric());
            if (after.starts_with(' ') && capital) || after.trim().is_empty() {
                all.push(&line[from..at]);
                from = at + mark.len_utf8();
            }
        }
        all.push(&line[from..]);
    }
    all.into_iter().map(str::trim).filter(|s| !s.is_empty()).collect()
}

/// The clauses of a sentence: cut at commas, `and` and `then` that a verb follows.
fn clauses(sentence: &str) -> Vec<&str> {
    let mut cuts = vec![(0, 0)];
    let lower = sentence.to_lowercase();
    // Folding may change lengths; then the sentence stays whole.
    if lower.len() == sentence.len() {
        for (at, _) in lower.char_indices() {
            let rest = &lower[at..];
            let Some(joint) = [
                ", and then ",
                ", then ",
                ", and ",
                " and then ",
                " then ",
                " and ",
                ", ",
            ]
            .into_iter()
            .find(|j| rest.starts_with(j)) else {
                continue;
            };
            if cuts.last().is_some_and(|(_, next)| at < *next) {
                continue;
            }
            let mut words = rest[joint.len()..].split([' ', ',']);
            let verb = words.find(|w| !w.ends_with("ly")).unwrap_or_default();
            // `dry shake`, `fine strain`: but `dry vermouth` is no work.
            let half = matches!(verb, "dry" | "fine" | "double" | "single" | "whip");
            let whole = !half
                || words
                    .next()
                    .is_some_and(|w| w.starts_with("shake") || w.starts_with("strain"));
            if VERBS.contains(&verb) && whole {
                cuts.push((at, at + joint.len()));
            }
        }
    }
    let ends = cuts.iter().skip(1).map(|(end, _)| *end).chain([sentence.len()]);
    cuts.iter()
        .zip(ends)
        .map(|((_, start), end)| sentence[*start..end].trim())
        .filter(|c| !c.is_empty())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn acts(names: &[&str], text: &str) -> Vec<Act> {
        let mut listed: Vec<Listed> = names
            .iter()
            .map(|n| Listed {
                name: key(n),
                placed: false,
            })
            .collect();
        Method::new(&mut listed, false).read(text)
    }

    fn step(words: &str) -> Act {
        Act::Step(words.to_owned())
    }

    #[test]
    fn work_is_found_and_the_sentence_kept() {
        let sentence = "Add all ingredients to a shaker with ice and shake until chilled";
        assert_eq!(acts(&["dry gin"], &format!("{sentence}.")), [step(sentence)]);
        assert_eq!(
            acts(&[], "Shake hard. Strain into a chilled coupe."),
            [
                step("Shake hard"),
                Act::Glass("Strain into a chilled coupe".to_owned())
            ]
        );
    }

    #[test]
    fn what_joins_after_the_work_is_put_there() {
        let names = ["dry gin", "lemon juice", "soda water", "aromatic bitters"];
        assert_eq!(
            acts(
                &names,
                "Shake the gin and lemon juice with ice, then top with soda water and add the bitters."
            ),
            [
                step("Shake the gin and lemon juice with ice"),
                Act::Put(2, PourMethod::Top),
                Act::Put(3, PourMethod::In)
            ]
        );
    }

    #[test]
    fn a_second_glass_and_mere_words_are_said() {
        let said = |text: &str| Act::Say(text.to_owned());
        assert_eq!(
            acts(
                &[],
                "Strain into a coupe. Serve in a coupe. Your guests will love it!"
            ),
            [
                Act::Glass("Strain into a coupe".to_owned()),
                said("Serve in a coupe"),
                said("Your guests will love it")
            ]
        );
    }
}
