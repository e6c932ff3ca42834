//! What is told of a list of drinks as a whole, gathered while they pass: none of them is held.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use washline_core::balance::{Family, Finding, Severity, Standing, published};
use washline_core::computed::Summary;
use washline_core::spec::Assumption;

use super::glance::{Layout, standing_mark, units};
use super::style::{BAD, NAME};
use super::{TAKEN_FOR_GRANTED, aside, count, item, plain, wrapped};

/// What was taken for granted in drinks: each once, with the first drink it was taken in and in how many it was.
#[derive(Default)]
pub struct Taken(BTreeMap<[String; 3], (String, usize)>);

impl Taken {
    pub fn put(&mut self, drink: &str, assumptions: &[Assumption]) {
        for Assumption { about, taken, change } in assumptions {
            let (_, times) = self
                .0
                .entry([
                    about.clone(),
                    taken.clone(),
                    washline_view::remedy::worded(change),
                ])
                .or_insert_with(|| (drink.to_owned(), 0));
            *times += 1;
        }
    }

    /// Every assumption in words.
    pub fn text(&self) -> String {
        if self.0.is_empty() {
            return String::new();
        }
        let mut text = format!("\n{NAME}{TAKEN_FOR_GRANTED}{NAME:#}\n");
        for ([about, taken, change], (drink, times)) in &self.0 {
            let who = match times {
                1 => format!("in {drink}"),
                several => format!("in {several} drinks"),
            };
            let change = if change.is_empty() {
                String::new()
            } else {
                format!("; change: {change}")
            };
            text.push_str(&item(&format!("{about}: {taken} ({who}{change})")));
        }
        text
    }
}

/// The cautions of drinks, each once, in the order in which they came.
#[derive(Default)]
pub struct Cautioned {
    said: Vec<String>,
    known: HashSet<String>,
}

impl Cautioned {
    pub fn put(&mut self, cautions: &[String]) {
        for caution in cautions {
            if self.known.insert(caution.clone()) {
                self.said.push(caution.clone());
            }
        }
    }

    /// The cautions that belong to a list of drinks.
    pub fn text(&self) -> String {
        let mut text = String::from("\n");
        if !self.said.is_empty() {
            text.push_str(&wrapped(&plain(&self.said.join("; ")), "Cautions: ", "  "));
        }
        text.push_str(&super::estimates());
        text
    }
}

/// What is counted of drinks that are looked at.
#[derive(Default)]
pub struct Tally {
    drinks: usize,
    standings: BTreeMap<Standing, usize>,
    conventions: BTreeSet<&'static str>,
    /// Families in which a verdict was given, and how often it is right in each.
    families: Vec<Family>,
    records: String,
    notes: usize,
    to_mend: bool,
    pub taken: Taken,
    pub cautioned: Cautioned,
}

impl Tally {
    pub fn put(&mut self, drink: &Summary) {
        let evaluation = &drink.evaluation;
        self.drinks += 1;
        *self.standings.entry(evaluation.standing()).or_default() += 1;
        self.conventions.insert(drink.convention.word());
        self.record(drink);
        for finding in &evaluation.findings {
            self.notes += usize::from(finding.severity() == Severity::Note);
            self.to_mend |= finding.severity() >= Severity::Outside;
        }
        self.taken.put(&drink.name, &drink.assumptions);
        self.cautioned.put(&drink.cautions);
    }

    /// How often a verdict is right, for each family in which one is given.
    fn record(&mut self, drink: &Summary) {
        let off = |f: &Finding| matches!(f, Finding::OffBalance { .. });
        let Some(placed) = drink.evaluation.placed.as_ref() else {
            return;
        };
        if self.families.contains(&placed.family) || !drink.evaluation.findings.iter().any(off) {
            return;
        }
        self.families.push(placed.family);
        if let Some(record) = published::record_of(Some(placed.family), drink.convention) {
            self.records
                .push_str(&item(&format!("{}: {}", placed.family, record.said())));
        }
    }

    /// Whether a drink is outside its range or its build at fault.
    pub fn to_mend(&self) -> bool {
        self.to_mend
    }

    /// How many drinks are in order, at the edge, outside, at fault, not read, with the mark of each; and what the
    /// scales mean.
    pub fn counts(&self, faults: usize) -> String {
        let mut said: Vec<String> = self
            .standings
            .iter()
            .map(|(standing, n)| {
                let (mark, style) = standing_mark(*standing);
                format!("{style}{mark} {}{style:#} {n}", standing.words())
            })
            .collect();
        if faults > 0 {
            said.push(format!("{BAD}{} not read{BAD:#}", count(faults, "line", "lines")));
        }
        let drinks = count(self.drinks, "drink", "drinks");
        let sign = if said.is_empty() { "" } else { ":" };
        let mut text = String::from("\n");
        text.push_str(&wrapped(
            &format!("{NAME}{drinks}{NAME:#}{sign} {}", said.join(", ")),
            "",
            "  ",
        ));
        if self.drinks > 0 {
            let scales = format!("{}; {}", Layout::scale_here().legend(), units(&self.conventions));
            text.push_str(&aside(&scales));
        }
        text + &self.records
    }

    /// What is not shown at a glance, counted in one line; nothing where there is nothing.
    pub fn set_aside(&self) -> String {
        let said: Vec<String> = [
            (
                self.taken.0.len(),
                "thing taken for granted",
                "things taken for granted",
            ),
            (self.notes, "note", "notes"),
            (self.cautioned.said.len(), "caution", "cautions"),
        ]
        .into_iter()
        .filter(|(n, ..)| *n > 0)
        .map(|(n, one, several)| count(n, one, several))
        .collect();
        if said.is_empty() {
            return String::new();
        }
        wrapped(
            &format!("{}: `check --why` tells them", said.join(", ")),
            "",
            "  ",
        )
    }
}
