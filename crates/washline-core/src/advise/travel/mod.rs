//! Taking a drink to another bar: the same spec with that bar's limes, syrup, ounce, ice and glasses, what it comes to
//! there, which one difference matters most, and what to pour there so that it is as at home.
//!
//! The spec's amounts are the written ones: 2 oz stays 2 oz, and another ounce is another volume. The drink is read
//! under the sheet's settings over those of its own book, and poured from the house's stock with the sheet's
//! ingredients over it. What its book makes is made there too, of what is poured there, unless the sheet has it. Both
//! bars are counted by one convention: the sheet's where it names one.
//!
//! **Cause.** Each difference is put into the home bar alone. The shift of strength, sweetness and tartness is counted
//! in widths of the band each is judged by, so that the three can be compared; the cause is the difference whose own
//! shift goes furthest along the whole one (the projection of the one on the other). Where balance is as printed and
//! only the volume moves, it is the one that moves the volume most.
//!
//! **Pours.** [`mend`](super::mend) with the figures at home as its aims, met within half a jigger's step as any aim of
//! a single value is; of its answers the smallest change. It starts from the amounts as the bar's own
//! jiggers come nearest to them, and may add water where the ice there gives less of it. Where nothing comes home, the
//! closest is proposed only if it is nearer to home, all measures together, than the amounts as written.

mod gap;
mod restore;
mod robust;
mod sheet;
mod venue;

pub use gap::{Gap, GapKind};
pub use restore::{PourThere, Restoring};
pub use robust::{Robust, robust};
pub use sheet::StockSheet;

use crate::balance::{BalanceFigure, Evaluation, Figures, Finding, Ranges, Structure, Verdict};
use crate::computed::ComputedDrink;
use crate::ingredient::{Convention, Declaration, Stock};
use crate::spec::{Drink, Fault};

use gap::{between, gaps};
use restore::{AtHome, restore};
use venue::{Venue, known};

/// What all drinks of a house have in common.
#[derive(Clone, Copy, Debug)]
pub struct Home<'a> {
    /// The library, and over it the house's own ingredients; nothing of any book.
    pub pantry: &'a Stock,
    /// The house's ranges by convention: handbook, then assay.
    pub ranges: [&'a Ranges; 2],
}

/// A list of drinks in one other bar.
#[derive(Clone, Debug)]
pub struct Visit {
    /// The bar.
    pub bar: String,
    /// The file of its sheet.
    pub file: String,
    /// What a reader should know first.
    pub notes: Vec<String>,
    /// Each drink, in the order given.
    pub drinks: Vec<Arrival>,
}

/// What became of a drink.
#[derive(Clone, Debug)]
#[expect(clippy::large_enum_variant, reason = "nearly all of them arrive")]
pub enum Arrival {
    /// It can be poured there.
    Poured(Journey),
    /// It cannot be worked out there.
    Stranded {
        /// The drink.
        drink: String,
        /// Why not.
        faults: Vec<Fault>,
    },
}

/// A drink at home and in another bar.
#[derive(Clone, Debug)]
pub struct Journey {
    /// Its name.
    pub drink: String,
    /// The spec as it is read there.
    pub spec: Drink,
    /// How both bars' juices are counted.
    pub convention: Convention,
    /// Whether home is counted otherwise in its own book.
    pub recounted: bool,
    /// What it comes to at home.
    pub home: Evaluation,
    /// What the same spec comes to there.
    pub there: Evaluation,
    /// Measures whose verdict is another there: at home, there.
    pub verdicts_changed: Vec<(BalanceFigure, Verdict, Verdict)>,
    /// The difference that matters most; `None` where no figure moves as printed, or none by itself.
    pub cause: Option<Cause>,
    /// What to pour there, every pour in order.
    pub pours: Vec<PourThere>,
    /// How near that brings it to home.
    pub restoring: Restoring,
    /// What those pours come to.
    pub restored: Figures,
    /// Why no nearer, where it does not come near.
    pub because: Vec<String>,
    /// Allergens on the European list, of what is poured there.
    pub allergens_eu: Declaration,
    /// The same on the list of the United States.
    pub allergens_us: Declaration,
    /// Cautions of what is poured there.
    pub cautions: Vec<String>,
}

impl Journey {
    /// What sort of drink it is there.
    #[must_use]
    pub fn structure(&self) -> Option<Structure> {
        self.there.structure
    }

    /// What there is to say of the glass there; empty where it fits.
    #[must_use]
    pub fn glass_words(&self) -> String {
        let of_glass = |f: &&Finding| {
            matches!(
                f,
                Finding::GlassOverflows { .. }
                    | Finding::GlassBrimming { .. }
                    | Finding::GlassHalfEmpty { .. }
                    | Finding::NoRoomForTop { .. }
            )
        };
        let said: Vec<String> = self
            .there
            .findings
            .iter()
            .filter(of_glass)
            .map(ToString::to_string)
            .collect();
        said.join("; ")
    }

    /// Whether any of strength, sweetness, tartness and volume is another there, as printed.
    #[must_use]
    pub fn moves(&self) -> bool {
        let (home, there) = (&self.home.figures, &self.there.figures);
        balance_moves(home, there) || volume_moves(home, there)
    }
}

/// The difference that explains most of a shift.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// Which.
    pub gap: Gap,
    /// How much of the whole shift it makes by itself: 1 all of it, more where others work against it.
    pub share: f64,
    /// The measure it moves most, in widths of its band; `None` where only the volume moves.
    pub measure: Option<BalanceFigure>,
    /// By how much it moves that measure, in its unit; the volume in ml.
    pub change: f64,
    /// The same in widths of the band; empty for the volume.
    pub widths: Option<f64>,
}

/// Everything that is worked out once for the drinks of one book.
struct Bench<'a> {
    of: &'a Stock,
    home: Option<Venue>,
    there: Venue,
    alone: Vec<(Gap, Venue)>,
}

/// Take drinks to another bar.
#[must_use]
pub fn travel(home: &Home<'_>, drinks: &[ComputedDrink], sheet: &StockSheet) -> Visit {
    let mut benches: Vec<Bench<'_>> = Vec::new();
    let mut arrivals = Vec::with_capacity(drinks.len());
    for traveller in drinks {
        // Drinks of one book share a stock.
        let at = benches
            .iter()
            .position(|b| std::ptr::eq(b.of, &*traveller.context.stock))
            .unwrap_or_else(|| {
                benches.push(bench(home, traveller, sheet));
                benches.len() - 1
            });
        arrivals.push(match journey(home, traveller, sheet, &benches[at]) {
            Ok(journey) => Arrival::Poured(journey),
            Err(faults) => Arrival::Stranded {
                drink: traveller.name().to_owned(),
                faults,
            },
        });
    }
    let stocks: Vec<&Stock> = benches.iter().map(|b| b.of).collect();
    let convention = drinks.first().map_or(Convention::default(), |t| {
        t.context.settings.convention.unwrap_or_default()
    });
    Visit {
        bar: sheet.title().to_owned(),
        file: sheet.file().to_owned(),
        notes: sheet.notes(&stocks, convention),
        drinks: arrivals,
    }
}

/// The convention both bars are counted by.
fn convention(traveller: &ComputedDrink, sheet: &StockSheet) -> Convention {
    let own = traveller.context.settings.convention;
    sheet.settings().convention.or(own).unwrap_or_default()
}

fn bench<'a>(home: &Home<'_>, traveller: &'a ComputedDrink, sheet: &StockSheet) -> Bench<'a> {
    let convention = convention(traveller, sheet);
    let (stock, settings) = (&*traveller.context.stock, &*traveller.context.settings);
    let own = settings.convention.unwrap_or_default();
    let there = Venue::of(home, traveller, sheet, None);
    let how = |item: &sheet::Item| match (known(stock, item), there.stock.get(item.name())) {
        (Some(here), Some(there)) => between(here, there, convention),
        _ => String::new(),
    };
    let word = |said: &str, meant: &str| {
        let here = settings.meanings.get(said).map(String::as_str);
        let here = here
            .or_else(|| stock.usual(said).map(|i| i.name.as_str()))
            .unwrap_or(crate::tables::printed::NONE);
        let figures = match (stock.get(here), there.stock.get(meant)) {
            (Some(a), Some(b)) => between(a, b, convention),
            _ => String::new(),
        };
        if figures.is_empty() {
            format!("{here} → {meant}")
        } else {
            format!("{meant}: {figures}")
        }
    };
    let alone = gaps(sheet, settings, &how, &word)
        .into_iter()
        .map(|gap| {
            let place = Venue::of(home, traveller, sheet, Some(&gap.kind));
            (gap, place)
        })
        .collect();
    Bench {
        of: stock,
        home: (own != convention).then(|| Venue::home(home, traveller, convention)),
        there,
        alone,
    }
}

fn journey(
    home: &Home<'_>,
    traveller: &ComputedDrink,
    sheet: &StockSheet,
    bench: &Bench<'_>,
) -> Result<Journey, Vec<Fault>> {
    let convention = convention(traveller, sheet);
    let ranges = home.ranges[convention as usize];
    let recounted = match &bench.home {
        Some(place) => Some(place.pour(traveller)?),
        None => None,
    };
    let there = bench.there.pour(traveller)?;
    let (resolved, built, at_home) = match &recounted {
        Some(here) => (&here.resolved, &here.built, here.evaluation(ranges)),
        None => (
            &traveller.resolved,
            &traveller.built,
            traveller.evaluation.clone(),
        ),
    };
    let evaluation = there.evaluation(ranges);
    let verdicts_changed = BalanceFigure::ALL
        .into_iter()
        .map(|m| (m, at_home.verdicts[m as usize], evaluation.verdicts[m as usize]))
        .filter(|(_, home, there)| home != there)
        .collect();
    let cause = cause(traveller, bench, &at_home, &evaluation, ranges);
    // Another glass may be too small for what is as at home.
    let moves = balance_moves(&at_home.figures, &evaluation.figures)
        || volume_moves(&at_home.figures, &evaluation.figures)
        || at_home.glass != evaluation.glass;
    let restored = restore(
        AtHome {
            resolved,
            built,
            figures: &at_home.figures,
        },
        &there,
        &bench.there,
        traveller,
        sheet,
        (ranges, moves),
    );
    Ok(Journey {
        drink: traveller.name().to_owned(),
        convention,
        recounted: recounted.is_some(),
        verdicts_changed,
        cause,
        pours: restored.pours,
        restoring: restored.how,
        restored: restored.figures,
        because: restored.because,
        allergens_eu: there.resolved.allergens_eu.clone(),
        allergens_us: there.resolved.allergens_us.clone(),
        cautions: there.resolved.cautions.clone(),
        spec: there.drink,
        home: at_home,
        there: evaluation,
    })
}

/// Widths of a band where nobody has published one, in the units of the measures: about the handbook's for a shaken
/// sour (common practice, no source).
const USUAL_WIDTH: [f64; 3] = [5.0, 4.0, 0.2];

fn width(structure: Option<Structure>, measure: BalanceFigure, ranges: &Ranges) -> f64 {
    structure
        .map(|s| ranges.band(s, measure))
        .and_then(|band| band.core.as_ref().or(band.outer.as_ref()))
        .map(|span| span.high - span.low)
        .filter(|width| *width > 0.0)
        .unwrap_or(USUAL_WIDTH[measure as usize])
}

fn value(figures: &Figures, measure: BalanceFigure) -> f64 {
    figures.measured(measure).value.unwrap_or(0.0)
}

fn printed_differs(a: f64, b: f64, decimals: u8) -> bool {
    let d = usize::from(decimals);
    format!("{a:.d$}") != format!("{b:.d$}")
}

fn balance_moves(home: &Figures, there: &Figures) -> bool {
    BalanceFigure::ALL
        .into_iter()
        .any(|m| printed_differs(value(home, m), value(there, m), m.decimals()))
}

fn volume_moves(home: &Figures, there: &Figures) -> bool {
    printed_differs(
        home.volume_ml.value.unwrap_or(0.0),
        there.volume_ml.value.unwrap_or(0.0),
        0,
    )
}

fn cause(
    traveller: &ComputedDrink,
    bench: &Bench<'_>,
    home: &Evaluation,
    there: &Evaluation,
    ranges: &Ranges,
) -> Option<Cause> {
    let (here, there) = (&home.figures, &there.figures);
    let widths = BalanceFigure::ALL.map(|m| width(home.structure, m, ranges));
    let by_balance = balance_moves(here, there);
    if !by_balance && !volume_moves(here, there) {
        return None;
    }
    let shift = |to: &Figures| -> [f64; 3] {
        BalanceFigure::ALL.map(|m| (value(to, m) - value(here, m)) / widths[m as usize])
    };
    let whole = shift(there);
    let size: f64 = whole.iter().map(|x| x * x).sum();
    let volume = |to: &Figures| to.volume_ml.value.unwrap_or(0.0) - here.volume_ml.value.unwrap_or(0.0);
    let mut best: Option<Cause> = None;
    for (gap, place) in &bench.alone {
        // What cannot be poured with this alone tells nothing of it.
        let Ok(poured) = place.pour(traveller) else {
            continue;
        };
        let alone = poured.figures();
        let own = shift(&alone);
        let share = if by_balance {
            own.iter().zip(&whole).map(|(a, b)| a * b).sum::<f64>() / size
        } else {
            volume(&alone) / volume(there)
        };
        if share.is_nan() || share <= 0.01 || best.as_ref().is_some_and(|b| b.share >= share) {
            continue;
        }
        let most = BalanceFigure::ALL
            .into_iter()
            .max_by(|a, b| own[*a as usize].abs().total_cmp(&own[*b as usize].abs()))
            .filter(|_| by_balance);
        best = Some(Cause {
            gap: gap.clone(),
            share,
            measure: most,
            change: most.map_or_else(|| volume(&alone), |m| value(&alone, m) - value(here, m)),
            widths: most.map(|m| own[m as usize]),
        });
    }
    best
}

/// The step texts of a drink that are no pours, in order with their places: what is done with what is poured.
#[must_use]
pub fn work_of(drink: &Drink) -> Vec<(usize, String)> {
    drink
        .lines()
        .enumerate()
        .filter(|(_, line)| !matches!(line.step, crate::spec::Step::Pour(_)))
        .map(|(at, line)| (at, line.step.to_string()))
        .collect()
}
