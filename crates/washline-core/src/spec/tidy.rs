//! The clean form of a section: what its lines were read as, as a book writes it, and no word of it lost.
//!
//! The steps are written from the reading, so that what is handed over is what is computed. A word that no step, name or
//! particular carries (`layered`, `keep in the freezer`) is kept as the writer typed it: in brackets behind the pour it
//! follows, else as a note to the reader.

use std::borrow::Cow;
use std::collections::HashSet;
use std::ops::Range;

use super::lexicon::{self, OwnNames, Tag, singular};
use super::settings::volume;
use super::{Account, Drink, Entry, Line, Pour, PourAmount, Role, Source, Step};
use crate::measure::{Ounce, Unit};
use crate::names::key;

/// What is settled of a pour beside its line.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Settled<'a> {
    /// The unit that a bare number was taken for.
    pub unit: Option<Unit>,
    /// What is poured.
    pub ingredient: &'a str,
}

/// The lines of a drink or a preparation in their clean form. `settled` is told of each of its steps, in order; of none
/// where nothing is.
pub(crate) fn clean(
    drink: &Drink,
    settled: &[Option<Settled<'_>>],
    source: &Source,
    ounce: Option<Ounce>,
) -> Vec<Entry> {
    let mut at = 0;
    let mut entries: Vec<Entry> = Vec::new();
    for entry in &drink.entries {
        let entry = match entry {
            Entry::Step(line) => {
                let settled = settled.get(at).copied().flatten();
                at += 1;
                Entry::Step(Line {
                    step: clean_step(&line.step, settled),
                    ..line.clone()
                })
            }
            Entry::Particular(key, value) => {
                let value = clean_value(key, value, ounce);
                // What is made is no serve: its parts are shares of a total.
                let key = if key == "serve" && drink.makes.is_some() {
                    "total"
                } else {
                    key
                };
                Entry::Particular(key.to_owned(), value)
            }
            // Words that were gathered from a line are told with the words beside them, below.
            Entry::Note(words) if !stands_alone(words, &drink.text) || heads_a_part(words) => continue,
            other => other.clone(),
        };
        entries.push(entry);
    }
    for lost in lost_words(drink, &entries, source) {
        keep(&mut entries, lost);
    }
    let entries = if drink.makes.is_some() {
        entries
    } else {
        particulars_first(entries)
    };
    parted(entries)
}

/// Whether a note is a line of the section, and no words gathered from one.
fn stands_alone(note: &str, text: &str) -> bool {
    text.lines().any(|line| {
        let line = line.trim().trim_start_matches('>').trim();
        line == note.trim() || line.trim_start_matches(['-', '*', '#', ' ']) == note.trim()
    })
}

/// `Ingredients:`, `Garnish`: a word that headed a part of what was typed.
fn heads_a_part(note: &str) -> bool {
    let folded = key(note.trim_end_matches([':', ' ']));
    let words: Vec<lexicon::Looked> = folded.split_whitespace().map(lexicon::look).collect();
    folded == "garnish"
        || lexicon::runs(&words, &OwnNames::default())
            .iter()
            .any(|(length, entry)| *length == words.len() && entry.is(Tag::Header))
}

fn clean_step(step: &Step, settled: Option<Settled<'_>>) -> Step {
    match step {
        Step::Pour(pour) => Step::Pour(clean_pour(pour, settled)),
        Step::Work(work) => {
            let mut work = work.clone();
            work.words = uncapitalised(&work.words).into_owned();
            Step::Work(work)
        }
        Step::OverIce(ice) => {
            let mut ice = ice.clone();
            ice.words = over(&ice.words);
            Step::OverIce(ice)
        }
        // `in the shaker with ice`: the ice, once the shaker is left out.
        Step::Ice(ice) => {
            let mut ice = ice.clone();
            ice.words = match uncapitalised(ice.words.trim()).split_once(' ') {
                Some(("with" | "w" | "w/" | "in" | "on", rest)) => rest.to_owned(),
                _ => ice.words.clone(),
            };
            Step::Ice(ice)
        }
        Step::Garnish(words) => {
            let words = words
                .trim_start_matches(['&', '+', ',', '|', ':', ' '])
                .trim_end_matches(['.', ',', ' ']);
            let words = ["and ", "n ", "with ", "w "]
                .iter()
                .find_map(|joint| words.strip_prefix(joint))
                .unwrap_or(words);
            Step::Garnish(uncapitalised(words).into_owned())
        }
        other => other.clone(),
    }
}

/// `w crushed ice`, `with a big block`: over it.
fn over(words: &str) -> String {
    let words = uncapitalised(words.trim());
    match words.split_once(' ') {
        Some(("with" | "w" | "w/" | "in", rest)) => format!("over {rest}"),
        _ => words.into_owned(),
    }
}

fn clean_pour(pour: &Pour, settled: Option<Settled<'_>>) -> Pour {
    let mut pour = pour.clone();
    for named in &mut pour.choices {
        named.name = in_full(&named.name);
        named.full = in_full(&named.full);
    }
    let Some(settled) = settled else { return pour };
    if let PourAmount::Of(_, unit @ None) = &mut pour.measure
        && let Some(taken) = settled.unit
        // `1 egg white` is a count as it stands.
        && !matches!(taken, Unit::Piece | Unit::Fruit)
    {
        *unit = Some(taken);
    }
    let measured = matches!(
        pour.measure,
        PourAmount::Of(
            _,
            Some(Unit::Millilitre | Unit::Centilitre | Unit::Ounce | Unit::Part | Unit::Gram)
        )
    );
    if measured
        && let [only] = pour.choices.as_mut_slice()
        && let Some(name) = said_in_full(&only.name, settled.ingredient)
    {
        only.full.clone_from(&name);
        only.name = name;
    }
    pour
}

/// Fruit that is measured is its juice, and sugar by the jigger a syrup: nobody reads them otherwise.
fn said_in_full(name: &str, ingredient: &str) -> Option<String> {
    let (typed, ingredient) = (key(name), key(ingredient));
    let last = |text: &str| text.rsplit(' ').next().map(str::to_owned);
    if let Some(fruit) = ingredient.strip_suffix(" juice")
        && !typed.ends_with("juice")
        && last(&typed).map(|w| singular(&w).into_owned()) == last(fruit)
        && typed.split(' ').all(|w| w.chars().all(char::is_alphabetic))
    {
        return Some(format!("{name} juice"));
    }
    (typed == "sugar" && ingredient.starts_with("simple syrup")).then(|| format!("{name} syrup"))
}

/// A name with its shortenings written out: `OJ`, `dry verm`.
fn in_full(name: &str) -> String {
    let typed: Vec<&str> = name.split(' ').collect();
    let words: Vec<&str> = typed
        .iter()
        .enumerate()
        .map(|(at, word)| match lexicon::long_form(&key(word)) {
            // `passion fruit` is said in full already.
            Some(long)
                if typed
                    .get(at + 1)
                    .is_some_and(|next| long.ends_with(&format!(" {}", key(next)))) =>
            {
                word
            }
            Some(long) => long,
            None => word,
        })
        .collect();
    words.join(" ")
}

fn clean_value(name: &str, value: &str, ounce: Option<Ounce>) -> String {
    let size =
        |text: &str| volume(text.trim(), ounce).map_or_else(|_| text.trim().to_owned(), |(_, said)| said);
    match name {
        "glass" => {
            let (glass, rest) = value.split_once(',').unwrap_or((value, ""));
            let glass: Vec<String> = uncapitalised(glass.trim())
                .split(' ')
                .map(|word| match lexicon::look(word).meant {
                    Some(meant) if word.chars().all(|c| c.is_ascii_lowercase()) => meant.into_string(),
                    _ => word.to_owned(),
                })
                .collect();
            let glass = glass.join(" ");
            if rest.trim().is_empty() {
                glass
            } else {
                format!("{glass}, {}", size(rest))
            }
        }
        "each serve" | "part" | "serve" => size(value),
        _ => value.to_owned(),
    }
}

/// Words that begin with a capital for no other reason than that a line or a sentence did, or that are shouted.
fn uncapitalised(words: &str) -> Cow<'_, str> {
    let letters = || words.chars().filter(|c| c.is_alphabetic());
    if letters().count() > 3 && letters().all(char::is_uppercase) {
        return Cow::Owned(words.to_lowercase());
    }
    let mut chars = words.chars();
    match chars.next() {
        Some(first) if first.is_uppercase() && !chars.clone().any(char::is_uppercase) && words.len() > 1 => {
            Cow::Owned(first.to_lowercase().chain(chars).collect())
        }
        _ => Cow::Borrowed(words),
    }
}

/// Particulars stand under the name, whatever line told them; those at the end for the reader stay where they are.
fn particulars_first(entries: Vec<Entry>) -> Vec<Entry> {
    let goes_up = |e: &Entry| matches!(e, Entry::Particular(key, _) if !matches!(key.as_str(), "then" | "garnish" | "note" | "source"));
    let first_step = entries
        .iter()
        .position(|e| matches!(e, Entry::Step(_)))
        .unwrap_or(entries.len());
    let head = entries[..first_step]
        .iter()
        .rposition(|e| matches!(e, Entry::Particular(key, _) if key != "then"))
        .map_or(0, |last| last + 1);
    let mut entries = entries;
    let body = entries.split_off(head);
    let (up, body): (Vec<Entry>, Vec<Entry>) = body.into_iter().partition(goes_up);
    entries.extend(up);
    if !entries.is_empty() {
        entries.push(Entry::Blank);
    }
    entries.extend(body);
    entries
}

/// A blank line wherever a list meets a particular, and never two, nor one at either end.
fn parted(entries: Vec<Entry>) -> Vec<Entry> {
    let mut out: Vec<Entry> = Vec::with_capacity(entries.len() + 2);
    for entry in entries {
        let meet = |a: &Entry, b: &Entry| matches!((a, b), (Entry::Step(_), Entry::Particular(..)));
        match out.last() {
            None if entry == Entry::Blank => continue,
            Some(Entry::Blank) if entry == Entry::Blank => continue,
            Some(last) if meet(last, &entry) || meet(&entry, last) => out.push(Entry::Blank),
            _ => {}
        }
        out.push(entry);
    }
    while out.last() == Some(&Entry::Blank) {
        out.pop();
    }
    out
}

/// Words that no entry carries.
struct Lost {
    /// As typed, with the words beside them that belong to them.
    text: String,
    at: Range<usize>,
    /// Whether they hang on the pour before them.
    on_a_pour: bool,
}

/// Put words that would be lost where they stood.
fn keep(entries: &mut Vec<Entry>, lost: Lost) {
    let before = |e: &Entry| matches!(e, Entry::Step(line) if line.span.start <= lost.at.start);
    let step = entries.iter().rposition(before);
    if lost.on_a_pour
        && !lost
            .text
            .contains(|c: char| c.is_numeric() || matches!(c, '(' | ')'))
        && let Some(Entry::Step(Line {
            step: Step::Pour(pour),
            ..
        })) = step.map(|at| &mut entries[at])
    {
        if !pour.note.is_empty() {
            pour.note.push_str(", ");
        }
        pour.note.push_str(&lost.text);
        return;
    }
    let mut at = step.map_or_else(
        || {
            entries
                .iter()
                .position(|e| matches!(e, Entry::Step(_)))
                .unwrap_or(entries.len())
        },
        |at| at + 1,
    );
    while matches!(entries.get(at), Some(Entry::Note(_))) {
        at += 1;
    }
    entries.insert(at, Entry::Note(lost.text));
}

/// The words of the section that stand in none of its entries, each with the words that belong to it.
fn lost_words(drink: &Drink, entries: &[Entry], source: &Source) -> Vec<Lost> {
    let written = words_of(entries);
    let account = &drink.account;
    let mut out: Vec<Lost> = Vec::new();
    let mut at = 0;
    while at < account.len() {
        if !is_lost(&account[at], &written) && !says_of_a_pour(account, at, source) {
            at += 1;
            continue;
        }
        let belongs =
            |a: &Account| !matches!(a.role, Role::Amount | Role::Unit | Role::Name | Role::Qualifier);
        let mut from = at;
        while from > 0 && belongs(&account[from - 1]) && !parts(source, &account[from - 1], &account[from]) {
            from -= 1;
        }
        let mut to = at + 1;
        while to < account.len() && belongs(&account[to]) && !parts(source, &account[to - 1], &account[to]) {
            to += 1;
        }
        let on_a_pour = from > 0
            && !belongs(&account[from - 1])
            && account[from..to].iter().all(hangs_on_a_name)
            && !parts(source, &account[from - 1], &account[from]);
        let span = account[from].span.start..account[to - 1].span.end;
        let text = source.text.get(span.clone()).unwrap_or_default();
        let text = trimmed(text);
        if !text.is_empty() {
            out.push(Lost {
                text: text.split_whitespace().collect::<Vec<_>>().join(" "),
                at: span,
                on_a_pour,
            });
        }
        at = to;
    }
    out
}

/// Whether a mention stands in a part of a sentence that is about what was poured (`pour the mix on the milk`, `press the
/// mint with the syrup`): said of it, and no step says it.
fn says_of_a_pour(account: &[Account], at: usize, source: &Source) -> bool {
    if account[at].role != Role::Mention {
        return false;
    }
    let joined = |a: usize, b: usize| !parts(source, &account[a], &account[b]);
    let mut from = at;
    while from > 0 && joined(from - 1, from) {
        from -= 1;
    }
    let mut to = at + 1;
    while to < account.len() && joined(to - 1, to) {
        to += 1;
    }
    let part = &account[from..to];
    let muddled = |a: &Account| {
        a.role == Role::Work && tagged(&a.text, |tag| tag == Tag::Work(super::Technique::Muddle))
    };
    let steps = |a: &Account| {
        matches!(
            a.role,
            Role::Work | Role::Name | Role::Garnish | Role::Glass | Role::Ice
        )
    };
    let more = part
        .iter()
        .any(|a| matches!(a.role, Role::Note | Role::Serve | Role::Joint));
    part.iter().any(muddled) || more && !part.iter().any(steps)
}

/// Whether the words, or the first of them, have a tag that `is` takes.
fn tagged(text: &str, is: impl Fn(Tag) -> bool) -> bool {
    let words: Vec<lexicon::Looked> = key(text).split_whitespace().map(lexicon::look).collect();
    (0..words.len()).any(|at| {
        lexicon::runs(&words[at..], &OwnNames::default())
            .iter()
            .any(|(_, entry)| entry.pick(|tag| is(tag).then_some(())).is_some())
    })
}

/// Whether a run can stand in brackets behind a name and still be read as words.
fn hangs_on_a_name(run: &Account) -> bool {
    matches!(run.role, Role::Note | Role::Joint)
        && !tagged(&run.text, |tag| {
            matches!(
                tag,
                Tag::Work(_)
                    | Tag::Strain { .. }
                    | Tag::Glass
                    | Tag::Ice
                    | Tag::Vessel
                    | Tag::OnTop
                    | Tag::GarnishNoun
                    | Tag::GarnishVerb
                    | Tag::Preposition
                    | Tag::By
                    | Tag::Top
            )
        })
}

/// Without the words and marks that only join it to what stood beside it.
fn trimmed(text: &str) -> &str {
    let marks: &[char] = &[',', '.', ';', ':', '-', '+', '&', '/', '|', '(', ')', ' ', '\t'];
    // `batch of 6 l (60 x 100 ml)`: brackets that both stand there are kept.
    let marks = match text.find('(').zip(text.find(')')) {
        Some((open, close)) if 0 < open && open < close => {
            &[',', '.', ';', ':', '-', '+', '&', '/', '|', ' ', '\t']
        }
        _ => marks,
    };
    let mut text = text.trim_matches(marks);
    for joint in ["and ", "then ", "And ", "Then "] {
        text = text.strip_prefix(joint).unwrap_or(text);
    }
    text.strip_suffix(" and").unwrap_or(text).trim_matches(marks)
}

/// Whether a mark or the end of a line stands between two runs.
fn parts(source: &Source, a: &Account, b: &Account) -> bool {
    let marks: &[char] = &[
        ',', '.', ';', ':', '/', '|', '(', ')', '[', ']', '!', '"', '\n', '\r',
    ];
    let between = source.text.get(a.span.end..b.span.start).unwrap_or("\n");
    let is_mark =
        |a: &Account| a.role == Role::Mark && !a.text.chars().any(char::is_alphanumeric) && a.text != "&";
    between.contains(marks) || is_mark(a) || is_mark(b) || a.text.ends_with(['.', '!', ';'])
}

/// Whether a run of the section says something that stands nowhere in what is written.
fn is_lost(run: &Account, written: &HashSet<String>) -> bool {
    if matches!(
        run.role,
        Role::Amount | Role::Unit | Role::Joint | Role::Mark | Role::Asked
    ) {
        return false;
    }
    let folded = key(&run.text);
    if no_garnish(&folded) {
        return !written.contains("no");
    }
    let words: Vec<&str> = folded
        .split(|c: char| !c.is_alphanumeric() && c != '\'')
        .filter(|w| !w.is_empty())
        .collect();
    let own = OwnNames::default();
    let looked: Vec<lexicon::Looked> = words.iter().map(|w| lexicon::look(w)).collect();
    let mut at = 0;
    while at < words.len() {
        let said = lexicon::runs(&looked[at..], &own)
            .into_iter()
            .find(|(length, entry)| {
                entry.pick(|tag| said_otherwise(tag).then_some(())).is_some()
                    && (run.role != Role::Note || *length == words.len())
            });
        if let Some((length, _)) = said {
            at += length.max(1);
            continue;
        }
        if !is_written(words[at], &looked[at], run.role, written) {
            return true;
        }
        at += 1;
    }
    false
}

fn no_garnish(folded: &str) -> bool {
    let words: Vec<lexicon::Looked> = folded.split(' ').map(lexicon::look).collect();
    lexicon::runs(&words, &OwnNames::default())
        .iter()
        .any(|(length, entry)| *length == words.len() && entry.is(Tag::NoGarnish))
}

/// Whether what a tagged word says is said by the form of what is written, and not by a word.
fn said_otherwise(tag: Tag) -> bool {
    matches!(
        tag,
        Tag::Up
            | Tag::Neat
            | Tag::Unstrained
            | Tag::Header
            | Tag::Top
            | Tag::ToFill
            | Tag::Float
            | Tag::Rinse
            | Tag::Mist
            | Tag::Joint
            | Tag::With
            | Tag::Preposition
            | Tag::Article
            | Tag::All
            | Tag::Serve
            | Tag::Each
            | Tag::PerServe
            | Tag::Unit(_)
            | Tag::GarnishVerb
            | Tag::About
    )
}

fn is_written(word: &str, looked: &lexicon::Looked, role: Role, written: &HashSet<String>) -> bool {
    let one = singular(word);
    if written.contains(one.as_ref()) || word.len() == 1 {
        return true;
    }
    if let Some(meant) = &looked.meant
        && written.contains(singular(meant).as_ref())
    {
        return true;
    }
    if let Some(long) = lexicon::long_form(word)
        && long.split(' ').all(|w| written.contains(singular(w).as_ref()))
    {
        return true;
    }
    // `5oz`, `30 sec`: amounts and times are written in their own way.
    let number = word.starts_with(|c: char| c.is_ascii_digit());
    match role {
        Role::Work => {
            // Other forms of one verb: shaken, built, thrown.
            let stem = word.get(..4).unwrap_or(word);
            let verb = tagged(word, |tag| matches!(tag, Tag::Work(_) | Tag::Strain { .. }));
            number
                || verb && written.iter().any(|w| w.starts_with(stem))
                || matches!(
                    word,
                    "double" | "dbl" | "ds" | "fs" | "single" | "wet" | "direct" | "dirty" | "ice" | "shk"
                )
                || super::technique::is_time(word)
        }
        Role::Glass | Role::Ice => number || matches!(word, "glass" | "ice"),
        Role::Name | Role::Qualifier | Role::Serve => number,
        _ => false,
    }
}

/// The words of what is written, folded and in the singular.
fn words_of(entries: &[Entry]) -> HashSet<String> {
    let mut words = HashSet::new();
    let mut take = |text: &str| {
        for word in key(text)
            .split(|c: char| !c.is_alphanumeric() && c != '\'')
            .filter(|w| !w.is_empty())
        {
            words.insert(singular(word).into_owned());
        }
    };
    for entry in entries {
        match entry {
            Entry::Blank => {}
            Entry::Comment(text) | Entry::Note(text) => take(text),
            Entry::Particular(key, value) => {
                take(key);
                take(value);
            }
            Entry::Step(line) => take(&line.step.to_string()),
        }
    }
    words
}
