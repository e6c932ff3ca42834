//! How often the verdicts are right: good drinks that are flagged, and drinks spoiled on purpose whose fault is found.
//!
//! Every drink is judged by published drinks other than itself: taken out are every drink of its folded name (what stands in
//! brackets aside) and of the same pours within 5 %, and everything that was learned from them is worked out anew.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use super::family::Kin;
use super::moves::{Imbalance, Moves, Played, Point, Role, point};
use super::published::{BOOKS, Era, FigureRow, Given, RecordRow, given};
use super::region::{EDGE_PCT, FEWEST, FEWEST_AT_ALL, OUTSIDE_PCT, Shape, limit, share_below_pct};
use super::{Family, Side, Structure, nominal};
use crate::build::build;
use crate::ingredient::{Convention, library};
use crate::names::key;
use crate::resolve::{Portion, Resolved, ResolvedStep, resolve};
use crate::spec::{self, Source};

/// Two amounts or figures within this share of each other are the same.
const SAME: f64 = 0.05;
/// A spoil that moves its figure by less than this share is too mild to be found, and left out.
const MILD: f64 = 0.2;
/// How drinks are spoiled: so many times as much of a thing.
pub const SPOILS: [(Role, f64); 6] = [
    (Role::Sweetener, 2.0),
    (Role::Sweetener, 0.4),
    (Role::Citrus, 2.0),
    (Role::Citrus, 0.4),
    (Role::Base, 1.7),
    (Role::Base, 0.5),
];

/// A drink that is judged, or judged by.
#[derive(Clone, Debug)]
pub struct Sample {
    /// Its name, folded, what stands in brackets aside.
    name: String,
    /// What it pours: ingredient and ml.
    pours: Vec<(String, f64)>,
    /// How it is made.
    structure: Structure,
    /// Its family, by the rules.
    family: Family,
    /// Where it lies.
    moves: Moves,
    /// It spoiled, each with the fault that is to be found and the family it is then of.
    spoiled: Vec<(Imbalance, Family, Moves)>,
    /// Whether it stands behind its family.
    stands: bool,
    /// Whether it has alcohol.
    alcohol: bool,
}

impl Sample {
    /// A resolved drink; `None` where nothing says how it is made.
    #[must_use]
    pub fn of(drink: &Resolved) -> Option<Sample> {
        let built = build(drink);
        let figures = nominal(drink, &built);
        let kin = Kin::of(drink, &built, &figures)?;
        let alcohol = kin.family != Family::ZeroProof;
        let moves = Moves::of(drink, &built, &figures);
        let played = Played::of(drink);
        let mut spoiled = Vec::new();
        for (role, factor) in SPOILS {
            let Some(liquids) = played.times(role, factor) else {
                continue;
            };
            let mut other = drink.clone();
            // The steps of a copy, and a liquid for each of them.
            for (step, liquid) in other.steps.iter_mut().zip(liquids) {
                if let ResolvedStep::Pour(pour) = step {
                    match &mut pour.portion {
                        Portion::Fixed(brought) => {
                            brought.liquid = liquid;
                            brought.volume_ml = liquid.volume_ml();
                        }
                        Portion::Fills { each_ml, .. } => *each_ml = liquid,
                    }
                }
            }
            let built = build(&other);
            let figures = nominal(&other, &built);
            let at = point(&figures, &built.glass);
            let measure = role.measure();
            let (was, is) = (moves.at[measure as usize], at[measure as usize]);
            if (is - was).abs() < MILD * was || was <= 0.0 {
                continue;
            }
            let side = if factor > 1.0 { Side::Above } else { Side::Below };
            if let Some(kin) = Kin::of(&other, &built, &figures) {
                spoiled.push((
                    Imbalance { measure, side },
                    kin.family,
                    Moves::of(&other, &built, &figures),
                ));
            }
        }
        let name = key(drink.name.split('(').next().unwrap_or_default());
        let mut pours: Vec<(String, f64)> = drink
            .steps
            .iter()
            .filter_map(|s| match s {
                ResolvedStep::Pour(p) => Some((key(&p.ingredient), p.usual().volume_ml)),
                _ => None,
            })
            .collect();
        pours.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        Some(Sample {
            name,
            pours,
            structure: built.structure?,
            family: kin.family,
            moves,
            spoiled,
            stands: alcohol,
            alcohol,
        })
    }

    /// Whether it stands behind its family, if it is a published one.
    #[must_use]
    pub fn stands(&self) -> bool {
        self.stands
    }

    /// Whether it is the same drink: by name, or by its pours.
    fn is_same(&self, other: &Sample) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= SAME * a.max(b);
        self.name == other.name
            || self.pours.len() == other.pours.len()
                && self
                    .pours
                    .iter()
                    .zip(&other.pours)
                    .all(|(a, b)| a.0 == b.0 && near(a.1, b.1))
    }

    /// Whether it lies where the other does.
    fn lies_with(&self, other: &Sample) -> bool {
        const LEAST: Point = [1.0, 1.0, 0.1, 1.0];
        (0..4).all(|i| {
            let (a, b) = (self.moves.at[i], other.moves.at[i]);
            (a - b).abs() <= SAME * a.max(b).max(LEAST[i])
        })
    }
}

/// The published drinks under a convention, worked out from their books, each with who gave it.
///
/// # Panics
/// Never in a program whose tests passed: the books are part of it.
#[must_use]
pub fn corpus(convention: Convention) -> Vec<(&'static Given, Sample)> {
    let mut of_book: HashMap<(&str, &str), &'static Given> = HashMap::new();
    for row in given() {
        of_book.insert((row.book.as_str(), row.drink.as_str()), row);
    }
    let mut all: Vec<(&'static Given, Sample)> = Vec::new();
    for (book, text) in BOOKS {
        let source = Source::new(book, text.to_owned());
        let reading = spec::read(&source);
        let mut settings = reading.book.settings.clone();
        settings.convention = Some(convention);
        for drink in reading.book.drinks() {
            let Some(row) = of_book.get(&(book, drink.name.as_str())) else {
                continue;
            };
            let Ok(resolved) = resolve(drink, library(), &settings, &source) else {
                continue;
            };
            let Some(mut sample) = Sample::of(&resolved) else {
                continue;
            };
            sample.stands = sample.alcohol
                && row.era == Era::Modern
                && !all
                    .iter()
                    .any(|(_, s)| s.stands && s.family == sample.family && s.lies_with(&sample));
            all.push((row, sample));
        }
    }
    all
}

/// What some drinks are judged by: where they lie, and what each gains when left out.
struct Judge {
    shape: Shape,
    left_out: Vec<f64>,
}

impl Judge {
    /// Of the drinks that stand behind a family; `None` where too few do.
    fn of(family: Family, drinks: &[&Sample]) -> Option<Judge> {
        let of = |families: &[Family]| -> Vec<&Sample> {
            let chosen = drinks.iter().filter(|d| d.stands && families.contains(&d.family));
            chosen.copied().collect()
        };
        let own = of(&[family]);
        let chosen = if own.len() >= FEWEST {
            own
        } else {
            of(family.relatives())
        };
        if chosen.len() < FEWEST_AT_ALL || family == Family::ZeroProof {
            return None;
        }
        let points: Vec<(Family, Point)> = chosen.iter().map(|d| (d.family, d.moves.at)).collect();
        let mut left_out = left_out(&chosen);
        left_out.sort_by(f64::total_cmp);
        Some(Judge {
            shape: Shape::of(family, &points)?,
            left_out,
        })
    }

    fn of_moves(&self, moves: &Moves) -> Judged {
        let gains = self.shape.gains(moves);
        let most = gains.first().map_or(0.0, |(_, g)| *g);
        let edge = limit(&self.left_out, EDGE_PCT);
        Judged {
            outside: most > limit(&self.left_out, OUTSIDE_PCT),
            off: most > edge,
            score: share_below_pct(&self.left_out, most) + 1e-3 * most,
            said: gains
                .into_iter()
                .filter(|(_, g)| *g > edge)
                .map(|(f, _)| f)
                .collect(),
        }
    }
}

/// What each of some drinks gains, when it is left out with every other of its name.
fn left_out(drinks: &[&Sample]) -> Vec<f64> {
    drinks
        .iter()
        .map(|drink| {
            let others = drinks.iter().filter(|o| o.name != drink.name);
            let points: Vec<(Family, Point)> = others.map(|o| (o.family, o.moves.at)).collect();
            Shape::of(drink.family, &points).map_or(0.0, |shape| shape.most(&drink.moves))
        })
        .collect()
}

struct Judged {
    outside: bool,
    off: bool,
    score: f64,
    said: Vec<Imbalance>,
}

/// How often something happens, with the interval that holds the rate in 95 % of cases (Wilson 1927, from memory).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rate {
    /// How often.
    pub hits: usize,
    /// Of how many.
    pub of: usize,
}

impl Rate {
    fn count(&mut self, hit: bool) {
        self.hits += usize::from(hit);
        self.of += 1;
    }

    /// The rate, %; `None` of nothing.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
    pub fn pct(self) -> Option<f64> {
        (self.of > 0).then(|| 100.0 * self.hits as f64 / self.of as f64)
    }

    /// The interval of the rate, %.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
    pub fn interval_pct(self) -> Option<(f64, f64)> {
        const Z: f64 = 1.959_964;
        let (n, p) = (self.of as f64, self.pct()? / 100.0);
        let middle = (p + Z * Z / (2.0 * n)) / (1.0 + Z * Z / n);
        let half = Z / (1.0 + Z * Z / n) * (p * (1.0 - p) / n + Z * Z / (4.0 * n * n)).sqrt();
        Some((100.0 * (middle - half).max(0.0), 100.0 * (middle + half).min(1.0)))
    }
}

/// How often the verdicts on some drinks are right.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Record {
    /// Drinks with alcohol on which nothing can be said.
    pub silent: Rate,
    /// Good drinks that are said to be outside.
    pub outside: Rate,
    /// Good drinks that are said to be outside or at the edge.
    pub off: Rate,
    /// Spoiled drinks that are said to be off at all.
    pub found: Rate,
    /// Spoiled drinks of which the right word is among what is said.
    pub right: Rate,
    /// Spoiled drinks of which the right word is said first.
    pub first: Rate,
    /// By fault: how often the right word is among what is said.
    pub faults: Vec<(Imbalance, Rate)>,
    /// How often a spoiled drink is further out than a good one: the area under the curve; `None` where there are none.
    pub auc: Option<f64>,
    #[serde(skip)]
    good_scores: Vec<f64>,
    #[serde(skip)]
    bad_scores: Vec<f64>,
}

impl Record {
    fn good(&mut self, judged: Option<&Judged>) {
        self.silent.count(judged.is_none());
        if let Some(judged) = judged {
            self.outside.count(judged.outside);
            self.off.count(judged.off);
            self.good_scores.push(judged.score);
        }
    }

    fn spoiled(&mut self, fault: Imbalance, judged: Option<&Judged>) {
        let said: &[Imbalance] = judged.map_or(&[], |j| &j.said);
        self.found.count(!said.is_empty());
        self.right.count(said.contains(&fault));
        self.first.count(said.first() == Some(&fault));
        let right = said.contains(&fault);
        match self.faults.iter_mut().find(|(f, _)| *f == fault) {
            Some((_, rate)) => rate.count(right),
            None => {
                let mut rate = Rate::default();
                rate.count(right);
                self.faults.push((fault, rate));
            }
        }
        self.bad_scores.push(judged.map_or(0.0, |j| j.score));
    }

    fn finish(&mut self) {
        let pairs = self.good_scores.len() * self.bad_scores.len();
        let mut wins = 0.0;
        for good in &self.good_scores {
            for bad in &self.bad_scores {
                wins += if bad > good {
                    1.0
                } else if (bad - good).abs() < f64::EPSILON {
                    0.5
                } else {
                    0.0
                };
            }
        }
        #[expect(clippy::cast_precision_loss, reason = "counts of drinks")]
        let auc = (pairs > 0).then(|| wins / pairs as f64);
        self.auc = auc;
        self.faults.sort_by_key(|(fault, _)| *fault);
        (self.good_scores, self.bad_scores) = (Vec::new(), Vec::new());
    }
}

/// How often the verdicts are right on some drinks, each judged by the published ones but itself: by family, families
/// of fewer than [`FEWEST`] drinks together with those that pour alike, and over all.
#[must_use]
pub fn record(drinks: &[Sample], corpus: &[(&'static Given, Sample)]) -> (Vec<(Family, Record)>, Record) {
    let mut by_family: Vec<(Family, Record)> = Vec::new();
    let mut all = Record::default();
    let mut whole: HashMap<Family, Option<Judge>> = HashMap::new();
    for drink in drinks.iter().filter(|d| d.alcohol) {
        let same: Vec<bool> = corpus.iter().map(|(_, s)| s.is_same(drink)).collect();
        let others: Vec<&Sample> = corpus
            .iter()
            .zip(&same)
            .filter(|(_, same)| !**same)
            .map(|((_, s), _)| s)
            .collect();
        let touched: Vec<Family> = corpus
            .iter()
            .zip(&same)
            .filter(|((_, s), same)| **same && s.stands)
            .map(|((_, s), _)| s.family)
            .collect();
        let mut without: HashMap<Family, Option<Judge>> = HashMap::new();
        let mut judged = |family: Family, moves: &Moves| -> Option<Judged> {
            // Where nothing is taken out, what was worked out once holds.
            let cache = if touched.iter().any(|t| family.relatives().contains(t)) {
                &mut without
            } else {
                &mut whole
            };
            let judge = cache.entry(family).or_insert_with(|| Judge::of(family, &others));
            judge.as_ref().map(|j| j.of_moves(moves))
        };
        let at = match by_family.iter().position(|(f, _)| *f == drink.family) {
            Some(at) => at,
            None => {
                by_family.push((drink.family, Record::default()));
                by_family.len() - 1
            }
        };
        let good = judged(drink.family, &drink.moves);
        by_family[at].1.good(good.as_ref());
        all.good(good.as_ref());
        for (fault, family, moves) in &drink.spoiled {
            let bad = judged(*family, moves);
            by_family[at].1.spoiled(*fault, bad.as_ref());
            all.spoiled(*fault, bad.as_ref());
        }
    }
    by_family.sort_by_key(|(f, _)| *f);
    for (_, record) in &mut by_family {
        record.finish();
    }
    all.finish();
    (by_family, all)
}

/// What the published drinks come to under both conventions, as the table that is built in.
#[must_use]
pub fn figure_table() -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in [Convention::Handbook, Convention::Assay]
        .into_iter()
        .flat_map(figure_rows)
    {
        // Plain numbers and words: nothing here can fail to be written.
        let _ = writer.serialize(row);
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// How often the verdicts are right on the published drinks, as the table that is built in.
#[must_use]
pub fn record_table() -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for convention in [Convention::Handbook, Convention::Assay] {
        let corpus = corpus(convention);
        let drinks: Vec<Sample> = corpus
            .iter()
            .map(|(_, s)| s)
            .filter(|s| s.stands)
            .cloned()
            .collect();
        let (families, all) = record(&drinks, &corpus);
        let families = families.iter().map(|(family, record)| (Some(*family), record));
        for (family, record) in families.chain([(None, &all)]) {
            let row = RecordRow {
                convention,
                family,
                silent: record.silent.hits,
                good: record.off.of,
                outside: record.outside.hits,
                off: record.off.hits,
                spoiled: record.found.of,
                found: record.found.hits,
                right: record.right.hits,
            };
            // Plain numbers and words: nothing here can fail to be written.
            let _ = writer.serialize(row);
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// The same as rows, under one convention.
#[must_use]
pub fn figure_rows(convention: Convention) -> Vec<FigureRow> {
    let corpus = corpus(convention);
    let standing: Vec<usize> = (0..corpus.len()).filter(|i| corpus[*i].1.stands).collect();
    let mut own: Vec<Option<f64>> = vec![None; corpus.len()];
    let mut of_kin = own.clone();
    let fill = |families: &[Family], into: &mut Vec<Option<f64>>| {
        let chosen: Vec<usize> = standing
            .iter()
            .copied()
            .filter(|i| families.contains(&corpus[*i].1.family))
            .collect();
        let drinks: Vec<&Sample> = chosen.iter().map(|i| &corpus[*i].1).collect();
        for (i, gain) in chosen.iter().zip(left_out(&drinks)) {
            into[*i] = Some(rounded(gain, 4));
        }
    };
    let mut circles: Vec<&[Family]> = Vec::new();
    for family in Family::all() {
        fill(&[family], &mut own);
        if !circles.contains(&family.relatives()) {
            circles.push(family.relatives());
            fill(family.relatives(), &mut of_kin);
        }
    }
    corpus
        .iter()
        .enumerate()
        .map(|(i, (row, sample))| FigureRow {
            book: row.book.clone(),
            drink: row.drink.clone(),
            convention,
            structure: sample.structure,
            family: sample.family,
            abv_pct: rounded(sample.moves.at[0], 2),
            sugar_g_per_100ml: rounded(sample.moves.at[1], 2),
            acid_g_per_100ml: rounded(sample.moves.at[2], 3),
            volume_ml: rounded(sample.moves.at[3], 1),
            stands: sample.stands,
            left_out: own[i],
            left_out_of_kin: of_kin[i],
        })
        .collect()
}

fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10_f64.powi(decimals);
    (value * scale).round() / scale
}
