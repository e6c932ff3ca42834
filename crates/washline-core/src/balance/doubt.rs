//! From what is not exactly known of the pours and the melt to how well the figures are known.
//!
//! Law of propagation of uncertainty, JCGM 100:2008, 5.1.2: with every input at its expectation, each is moved
//! by its standard uncertainty either way through the whole build, and half the difference is its part in the
//! figure (the numerical sensitivity of 5.1.3, note 2). Inputs are independent; what two pours share (one lime
//! juice, one size of dash) is one input and moves both. The interval is about the figure's expectation, which is
//! not the figure computed where an input's expectation is not its usual value, or the build is curved.

use super::coverage::{Coverage, Part};
use super::moves::Point;
use super::{BalanceFigure, Figure, Figures, nominal};
use crate::build::{
    Built, MeltDoubt, Melted, Off, Room, Shift, Variation, build_varied, fill_doubts, melt_doubts, melted,
    temperature_varied,
};
use crate::ingredient::{Form, Spread};
use crate::liquid::Liquid;
use crate::melt::MeltModel;
use crate::resolve::{Doubt, Effect, Input, Portion, Resolved, ResolvedStep};

/// How much one input adds to the doubt about a measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// Which measure.
    pub measure: BalanceFigure,
    /// What is not exactly known.
    pub input: String,
    /// What would settle it.
    pub settled_by: String,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// A share of the variance below which an input is not listed.
const LEAST_SHARE: f64 = 0.005;

/// How many figures there are.
const FIGURES: usize = Figures::COUNT;
/// A value for every figure.
type Row = [f64; FIGURES];

/// What is known of how a drink's figures spread.
pub(super) struct Known {
    /// The distribution of each measure, in order; `None` where the drink has no such figure.
    pub measured: [Option<Coverage>; 3],
    /// What the doubt about each is made of, the largest share first.
    pub budget: Vec<Budget>,
    /// A standard uncertainty of each input that is this drink's own and not common to it and the published drinks it is
    /// compared with: its amounts, and its ice where it is stated or weighed. What the library does not know of a juice
    /// or a bottle, and the handbook of melting, is the same for both.
    pub own: Vec<Point>,
    /// The state the drink came to on its ice.
    pub state: Option<Melted>,
}

/// One input with what it does to every figure, in the glass and before ice.
struct Moved {
    input: Input,
    glass: Way,
    before: Way,
}

/// What moving an input does to the figures of one stage.
enum Way {
    /// A standard uncertainty below, and above; and the shape of its distribution.
    Sides(Row, Row, Form),
    /// Each of the choices.
    Each(Vec<Row>),
}

impl Way {
    /// How far a figure's expectation is from its `middle`.
    fn shift(&self, at: usize, middle: f64) -> f64 {
        match self {
            Way::Sides(below, above, _) => 0.5 * (above[at] + below[at]) - middle,
            Way::Each(rows) => mean(rows, at) - middle,
        }
    }

    /// What it adds to the variance of a figure.
    fn part(&self, at: usize) -> Part {
        match self {
            Way::Sides(below, above, form) => Part::Spread {
                by: 0.5 * (above[at] - below[at]),
                form: *form,
            },
            Way::Each(rows) => {
                let mean = mean(rows, at);
                Part::Points(rows.iter().map(|r| r[at] - mean).collect())
            }
        }
    }
}

fn mean(rows: &[Row], at: usize) -> f64 {
    rows.iter().map(|r| r[at]).sum::<f64>() / rows.len() as f64
}

/// Set the interval of every figure, and say what the doubt is made of.
pub(super) fn propagate(
    drink: &Resolved,
    built: &Built,
    figures: &mut Figures,
    before: &mut Figures,
) -> Known {
    let state = melted(drink, built, &Off::default());
    figures.temperature_c = Figure::of(temperature_varied(
        drink,
        &Variation::default(),
        built,
        state.as_ref(),
    ));
    let (inputs, middle) = moved(drink, built, state.as_ref());
    intervals(inputs.iter().map(|m| &m.before), &middle.1, before);
    let coverages = intervals(inputs.iter().map(|m| &m.glass), &middle.0, figures);
    for stage in [before, figures] {
        // A ratio to next to nothing is no bell: it has no interval worth the name.
        let acid = stage.acid_g_per_100ml;
        if let (Some(value), Some(low), Some(high)) = (acid.value, acid.low, acid.high)
            && high - low > 0.6 * value
        {
            stage.sugar_to_acid = Figure::of(stage.sugar_to_acid.value);
        }
    }
    let mut budget = Vec::new();
    let measured = BalanceFigure::ALL.map(|measure| {
        let at = 1 + measure as usize;
        let coverage = coverages[at].clone();
        if coverage.is_some() {
            budget.extend(shares(measure, at, &inputs));
        }
        coverage
    });
    let own = inputs.iter().filter(|m| is_own(&m.input, built)).map(|m| {
        let by = |at: usize| match &m.glass {
            Way::Sides(below, above, _) => 0.5 * (above[at] - below[at]),
            // The ends of a span or of a choice, as far as a rectangle's standard uncertainty.
            Way::Each(rows) => match (rows.first(), rows.last()) {
                (Some(first), Some(last)) => (last[at] - first[at]) / 12.0_f64.sqrt(),
                _ => 0.0,
            },
        };
        [by(1), by(2), by(3), by(0)].map(|v| if v.is_finite() { v } else { 0.0 })
    });
    let own = own.collect();
    Known {
        measured,
        budget,
        own,
        state,
    }
}

/// Whether an input is this drink's own.
fn is_own(input: &Input, built: &Built) -> bool {
    match input {
        Input::Amount(..) | Input::Measure(_) | Input::Choice(..) | Input::WaterGiven => true,
        // How much of the glass is left for what fills it.
        Input::IceInGlass | Input::GlassSize => true,
        Input::Melt(_) | Input::WaterOnIce | Input::VesselHeat => {
            matches!(
                built.melt_model,
                MeltModel::House | MeltModel::Weighed | MeltModel::Given
            ) || built.balanced.is_some_and(|b| b.stated)
        }
        Input::Value(..)
        | Input::Total(..)
        | Input::Split(..)
        | Input::Thermometer
        | Input::PourTemperature => false,
    }
}

/// The figures as they are propagated: the ratio by its logarithm.
fn row(figures: &Figures) -> Row {
    let mut row = figures.named().map(|(_, f)| f.value.unwrap_or(f64::NAN));
    row[RATIO] = row[RATIO].ln();
    row
}

/// An input with the pours it is about.
struct Shared<'a> {
    input: &'a Input,
    spread: Spread,
    effects: Vec<(usize, &'a Effect)>,
}

/// Inputs in the order they are met, each once.
fn shared(drink: &Resolved) -> Vec<Shared<'_>> {
    let mut shared: Vec<Shared<'_>> = Vec::new();
    for (at, step) in drink.steps.iter().enumerate() {
        let ResolvedStep::Pour(pour) = step else { continue };
        for Doubt {
            input,
            spread,
            effect,
        } in &pour.doubts
        {
            match shared.iter_mut().find(|known| known.input == input) {
                Some(known) => known.effects.push((at, effect)),
                None => shared.push(Shared {
                    input,
                    spread: *spread,
                    effects: vec![(at, effect)],
                }),
            }
        }
    }
    shared
}

/// A drink with every input at its expectation, to be moved from there.
struct Centre<'a> {
    drink: &'a Resolved,
    built: &'a Built,
    /// The state it came to on its ice.
    state: Option<&'a Melted>,
    liquids: Vec<Liquid>,
    /// How much of each pour there is, as a factor of what is computed.
    amounts: Vec<f64>,
    /// What fills a glass that is not known, ml.
    fill_ml: Option<f64>,
}

impl<'a> Centre<'a> {
    fn of(
        drink: &'a Resolved,
        built: &'a Built,
        state: Option<&'a Melted>,
        inputs: &[Shared<'_>],
    ) -> Centre<'a> {
        let mut centre = Centre {
            drink,
            built,
            state,
            liquids: vec![Liquid::NOTHING; drink.steps.len()],
            amounts: vec![1.0; drink.steps.len()],
            fill_ml: None,
        };
        for (at, step) in drink.steps.iter().enumerate() {
            if let ResolvedStep::Pour(pour) = step {
                centre.liquids[at] = pour.some();
                if let Portion::Fills { usual_ml, .. } = &pour.portion {
                    centre.fill_ml = Some(*usual_ml);
                }
            }
        }
        for shared in inputs {
            for (at, effect) in &shared.effects {
                match (effect, &drink.steps[*at]) {
                    (Effect::Amount, _) => centre.amounts[*at] *= shared.spread.mean,
                    (Effect::Liquid { below, above }, ResolvedStep::Pour(pour)) => {
                        let half = centre.liquids[*at].moved(&pour.some(), below, 0.5);
                        centre.liquids[*at] = half.moved(&pour.some(), above, 0.5);
                    }
                    _ => {}
                }
            }
        }
        for (at, factor) in centre.amounts.iter().enumerate() {
            more(drink, at, *factor, &mut centre.liquids, &mut centre.fill_ml);
        }
        centre
    }

    /// The figures in the glass and before ice, where pours are moved by `change`, and melt and room are so far off.
    fn stages(
        &self,
        change: &dyn Fn(&mut [Liquid], &mut Option<f64>),
        shift: Shift,
        room: Room,
    ) -> (Row, Row) {
        let (mut liquids, mut fill_ml) = (self.liquids.clone(), self.fill_ml);
        change(&mut liquids, &mut fill_ml);
        let variation = Variation {
            liquids: &liquids,
            fill_ml,
            shift,
            room,
            near: Some(self.built),
            ..Variation::default()
        };
        let built = build_varied(self.drink, &variation);
        let drinks = self.drink.standard_drink.count(built.before.ethanol_g());
        let before = Figures::of(&built.before, 0.0, built.before.volume_ml(), drinks);
        let mut glass = nominal(self.drink, &built);
        glass.temperature_c = Figure::of(temperature_varied(self.drink, &variation, &built, self.state));
        (row(&glass), row(&before))
    }

    /// An input so many standard uncertainties from its expectation.
    fn at(&self, shared: &Shared<'_>, deviation: f64) -> (Row, Row) {
        let change = |liquids: &mut [Liquid], fill_ml: &mut Option<f64>| {
            for (at, effect) in &shared.effects {
                match effect {
                    Effect::Amount => {
                        let factor = 1.0 + deviation * shared.spread.standard / shared.spread.mean;
                        more(self.drink, *at, factor, liquids, fill_ml);
                    }
                    Effect::Liquid { below, above } => {
                        // A pour that fills is a millilitre of itself, however much of it there is.
                        let fills = matches!(&self.drink.steps[*at], ResolvedStep::Pour(p) if p.fills());
                        let amount = if fills { 1.0 } else { self.amounts[*at] };
                        liquids[*at] = liquids[*at].moved(below, above, 0.5 * deviation * amount);
                    }
                }
            }
        };
        self.stages(&change, Shift::default(), Room::default())
    }

    /// A wide amount, followed from its least to its most in steps as likely as each other.
    fn span(&self, shared: &Shared<'_>, form: Form) -> (Way, Way) {
        let steps = (0..SPAN_STEPS).map(|step| {
            let share = (step as f64 + 0.5) / SPAN_STEPS as f64;
            self.at(shared, form.quantile(share))
        });
        let (glass, before) = steps.unzip();
        (Way::Each(glass), Way::Each(before))
    }
}

/// So many times as much of a pour.
fn more(drink: &Resolved, at: usize, factor: f64, liquids: &mut [Liquid], fill_ml: &mut Option<f64>) {
    match &drink.steps[at] {
        // A pour that fills is a millilitre of itself: its volume is what varies.
        ResolvedStep::Pour(pour) if pour.fills() => *fill_ml = fill_ml.map(|ml| ml * factor),
        _ => liquids[at] = liquids[at].times(factor.max(0.0)).unwrap_or(liquids[at]),
    }
}

fn two(below: (Row, Row), above: (Row, Row), form: Form) -> (Way, Way) {
    (
        Way::Sides(below.0, above.0, form),
        Way::Sides(below.1, above.1, form),
    )
}

/// An amount whose standard uncertainty is more than this share of it bends the figures: it is followed
/// through its span.
const WIDE: f64 = 0.2;
/// ... where the pour is at least so large, ml.
const WIDE_FROM_ML: f64 = 5.0;
/// In so many steps.
const SPAN_STEPS: usize = 12;

/// Every input once, with what it does; and the figures where all are at their expectation.
fn moved(drink: &Resolved, built: &Built, state: Option<&Melted>) -> (Vec<Moved>, (Row, Row)) {
    let inputs = shared(drink);
    let centre = Centre::of(drink, built, state, &inputs);
    let (still, same) = (Shift::default(), Room::default());
    let as_it_is = |_: &mut [Liquid], _: &mut Option<f64>| {};
    let mut all = Vec::with_capacity(inputs.len() + 2);
    for shared in &inputs {
        let wide = matches!(shared.input, Input::Amount(..))
            && shared.spread.standard > WIDE * shared.spread.mean
            && shared.effects.iter().any(
                |(at, _)| matches!(&drink.steps[*at], ResolvedStep::Pour(p) if p.usual().volume_ml >= WIDE_FROM_ML),
            );
        let (glass, before) = match shared.spread.form {
            form @ (Form::Rectangular { .. } | Form::Split { .. }) if wide => centre.span(shared, form),
            form => two(centre.at(shared, -1.0), centre.at(shared, 1.0), form),
        };
        all.push(Moved {
            input: shared.input.clone(),
            glass,
            before,
        });
    }
    for (at, step) in drink.steps.iter().enumerate() {
        let ResolvedStep::Pour(pour) = step else { continue };
        if pour.others.is_empty() {
            continue;
        }
        let first = std::iter::once(centre.stages(&as_it_is, still, same));
        let others = pour
            .others
            .iter()
            .map(|other| centre.stages(&|liquids, _| liquids[at] = *other, still, same));
        let (glass, before) = first.chain(others).unzip();
        all.push(Moved {
            input: Input::Choice(at, pour.ingredient.as_str().into()),
            glass: Way::Each(glass),
            before: Way::Each(before),
        });
    }
    for MeltDoubt {
        input,
        form,
        below,
        above,
    } in melt_doubts(drink, built, state)
    {
        let (glass, before) = two(
            centre.stages(&as_it_is, below, same),
            centre.stages(&as_it_is, above, same),
            form,
        );
        all.push(Moved { input, glass, before });
    }
    for (input, room) in fill_doubts(drink, built) {
        // A top has a least size, and ice gives way to it: followed through the whole of what is usual.
        let steps = (0..SPAN_STEPS).map(|step| {
            let off = 2.0 * (step as f64 + 0.5) / SPAN_STEPS as f64 - 1.0;
            let room = Room {
                ice: off * room.ice,
                glass: off * room.glass,
            };
            centre.stages(&as_it_is, still, room)
        });
        let (glass, before) = steps.unzip();
        all.push(Moved {
            input,
            glass: Way::Each(glass),
            before: Way::Each(before),
        });
    }
    let middle = centre.stages(&as_it_is, still, same);
    (all, middle)
}

/// The place of the ratio of sugar to acid among the figures. It spreads as a ratio does: evenly in its logarithm.
const RATIO: usize = 4;

/// Set the intervals of the figures of one stage, about their `middle`; the distribution of each figure that has
/// a value.
fn intervals<'a>(
    ways: impl Iterator<Item = &'a Way> + Clone,
    middle: &Row,
    figures: &mut Figures,
) -> Vec<Option<Coverage>> {
    let mut coverages = Vec::with_capacity(FIGURES);
    for (at, (name, figure)) in figures.named().into_iter().enumerate() {
        let Some(value) = figure.value.filter(|_| middle[at].is_finite()) else {
            coverages.push(None);
            continue;
        };
        let mut mean = middle[at];
        let mut parts = Vec::new();
        for way in ways.clone() {
            let part = way.part(at);
            // A figure that one side does not have (a ratio without acid) says nothing of the other.
            if part.variance().is_finite() {
                mean += way.shift(at, middle[at]);
                parts.push(part);
            }
        }
        let coverage = Coverage::of(mean, &parts);
        let (mut low, mut high) = coverage.interval();
        let mut standard = parts.iter().map(Part::variance).sum::<f64>().sqrt();
        if at == RATIO {
            // What is normal in its logarithm is log-normal.
            (low, high) = (low.exp(), high.exp());
            let variance = standard * standard;
            standard = (mean + 0.5 * variance).exp() * (variance.exp() - 1.0).sqrt();
        }
        if let Some(figure) = figures.by_name(name)
            && low.is_finite()
            && high.is_finite()
            && low < high
        {
            // What is computed is always among what is possible, be it at its very end.
            let least = if name == "temperature_c" { f64::MIN } else { 0.0 };
            figure.low = Some(low.max(least).min(value));
            figure.high = Some(high.max(value));
            figure.standard_uncertainty = Some(standard);
        }
        coverages.push(Some(coverage));
    }
    coverages
}

/// The inputs of one figure by their share of its variance, those a reader takes for one added up.
fn shares(measure: BalanceFigure, at: usize, inputs: &[Moved]) -> Vec<Budget> {
    let parts: Vec<(f64, &Input)> = inputs
        .iter()
        .map(|m| (m.glass.part(at).variance(), &m.input))
        .filter(|(v, _)| v.is_finite())
        .collect();
    let total: f64 = parts.iter().map(|(v, _)| v).sum();
    if total <= 0.0 {
        return Vec::new();
    }
    let mut budget: Vec<Budget> = Vec::new();
    for (variance, input) in parts {
        let share = variance / total;
        if share < 0.1 * LEAST_SHARE {
            continue;
        }
        let said = input.to_string();
        match budget.iter_mut().find(|b| b.input == said) {
            Some(known) => known.share += share,
            None => budget.push(Budget {
                measure,
                input: said,
                settled_by: input.settled_by().to_owned(),
                share,
            }),
        }
    }
    budget.retain(|b| b.share >= LEAST_SHARE);
    budget.sort_by(|a, b| b.share.total_cmp(&a.share));
    budget
}
