//! Mending a drink: what to change so that it comes into balance.

use rust_decimal::Decimal;

use crate::balance::{BalanceFigure, Figures, Structure};
use crate::measure::{Amount, Unit};

use super::limits::{Because, Limit, Reason, limits};
use super::problem::Problem;
use super::search::{Found, MOST_CHANGES, SAME, Search};
use super::solve::{Solution, solve};
use super::subject::{Ask, AskError, Origin, Subject};
use super::target::{NoTarget, Target, targets};

/// What mending a drink came to.
#[derive(Clone, Debug)]
pub struct Mended {
    /// The drink.
    pub drink: String,
    /// What sort of drink it is; it stays one.
    pub structure: Option<Structure>,
    /// What it comes to as it is; open pours as the resolver takes them.
    pub before: Figures,
    /// What it is to come to; empty where nothing can be said of that.
    pub targets: Vec<Target>,
    /// How it ended.
    pub outcome: MendOutcome,
    /// What to change, the fewest pours first; each improves on the one before it.
    pub answers: Vec<Answer>,
    /// Where nothing works: what comes closest, and why no nearer.
    pub closest: Option<Closest>,
    /// The limits that were kept, and which of them press.
    pub limits: Vec<Limit>,
}

/// How it ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::IntoStaticStr, strum::VariantNames)]
pub enum MendOutcome {
    /// It is where it should be: nothing to mend.
    #[strum(serialize = "in balance")]
    InBalance,
    /// There is an answer.
    #[strum(serialize = "mended")]
    Mended,
    /// Nothing within the limits works.
    #[strum(serialize = "nothing works")]
    NothingWorks,
    /// There is nothing to mend it towards.
    #[strum(serialize = "refused")]
    Refused(NoTarget),
}

impl MendOutcome {
    /// Its word in JSON.
    #[must_use]
    pub fn word(self) -> &'static str {
        self.into()
    }
}

/// A set of changes, all on the jigger grid, and what the drink then comes to.
#[derive(Clone, Debug)]
pub struct Answer {
    /// What to change, in the order of the spec.
    pub changes: Vec<Change>,
    /// The size of the change: Σ (Δ / max(pour, 5 ml))² over the written pours.
    pub objective: f64,
    /// What the drink comes to with exactly these amounts.
    pub figures: Figures,
    /// Whether every measure that has a usual band for this structure lies in it; `None` where none has one.
    pub in_core_band: Option<bool>,
    /// By how much the alcohol changes, g of ethanol.
    pub ethanol_g_change: f64,
    /// By how much the cost changes; `None` until the caller, who knows the prices, has set it.
    pub cost_change: Option<Decimal>,
}

/// One changed pour.
#[derive(Clone, Debug)]
pub struct Change {
    /// Its place among the steps; for an added pour, the step it stands before.
    pub at: usize,
    /// What is poured.
    pub ingredient: String,
    /// What the line calls it.
    pub called: String,
    /// The unit both amounts are in.
    pub unit: Unit,
    /// Whether the line names its unit.
    pub unit_written: bool,
    /// How it came to be changed.
    pub origin: Origin,
    /// The new amount.
    pub to: Amount,
    /// What the old amount comes to, ml; `None` where the spec left it open.
    pub from_ml: Option<f64>,
    /// What the new amount comes to, ml.
    pub to_ml: f64,
    /// Why: what would be off with the old amount.
    pub why: Vec<Reason>,
}

impl Change {
    /// The old amount as a book writes it: `22.5 ml`, `to taste`, or empty for an added pour.
    #[must_use]
    pub fn from_text(&self) -> String {
        match self.origin {
            Origin::Written(amount) => self.text(amount),
            Origin::Open => "to taste".to_owned(),
            Origin::Added => String::new(),
        }
    }

    /// The new amount as a book writes it.
    #[must_use]
    pub fn to_text(&self) -> String {
        self.text(self.to)
    }

    fn text(&self, amount: Amount) -> String {
        format!(
            "{} {}",
            self.unit.amount_text(amount),
            self.unit.written_after(amount)
        )
    }

    /// Whether there is more of it than before; `None` where nothing was written before.
    #[must_use]
    pub fn is_more(&self) -> Option<bool> {
        match self.origin {
            Origin::Written(amount) => Some(self.to > amount),
            Origin::Open => None,
            Origin::Added => Some(true),
        }
    }
}

/// What comes closest where nothing works.
#[derive(Clone, Debug)]
pub struct Closest {
    /// The changes and what the drink then comes to. Without changes: nothing comes closer than the drink as it is.
    pub answer: Answer,
    /// What is still off, and what keeps it from coming nearer.
    pub because: Vec<Because>,
}

/// Mend a drink: the smallest changes, in steps the bar can measure, that bring it to its targets. The rules stand
/// at the head of [this module](super).
///
/// # Errors
/// Every name in the ask that is none of the drink's, or that cannot be added.
pub fn mend(subject: &Subject<'_>, ask: &Ask) -> Result<Mended, Vec<AskError>> {
    let adjustables = subject.adjustables(ask)?;
    let before = crate::balance::nominal(subject.resolved, subject.built);
    let mut mended = Mended {
        drink: subject.drink.name.clone(),
        structure: subject.built.structure,
        before,
        targets: Vec::new(),
        outcome: MendOutcome::InBalance,
        answers: Vec::new(),
        closest: None,
        limits: Vec::new(),
    };
    match targets(subject.built.structure, &before, subject.ranges, &ask.aims) {
        Ok(found) => mended.targets = found,
        Err(none) => {
            mended.outcome = MendOutcome::Refused(none);
            return Ok(mended);
        }
    }
    let mut problem = Problem::new(*subject, adjustables, mended.targets.clone(), ask);
    let any_open = problem.adjustables.iter().any(|a| a.origin == Origin::Open);
    if !any_open && problem.deviation(&problem.start).met() {
        mended.limits = limits(&mut problem, ask, None);
        return Ok(mended);
    }
    let found = answers(&mut problem, any_open);
    for found in &found {
        mended.answers.push(answer(&mut problem, found));
    }
    // What presses is asked of the pours of the smallest change, or of all where there is none.
    let free: Vec<usize> = match found.last() {
        Some(smallest) => smallest.picks.iter().map(|(which, _)| *which).collect(),
        None => (0..problem.adjustables.len()).collect(),
    };
    let smooth = solve(&mut problem, &free);
    mended.limits = limits(&mut problem, ask, Some(&smooth));
    if mended.answers.is_empty() {
        mended.outcome = MendOutcome::NothingWorks;
        let found = Search::new(&mut problem).closest();
        mended.closest = Some(closest(
            &mut problem,
            found.as_ref(),
            &smooth,
            ask,
            &mended.limits,
        ));
    } else {
        mended.outcome = MendOutcome::Mended;
    }
    Ok(mended)
}

/// The cheapest answers with none (where pours are open), one, two and three written pours changed, as far as each
/// improves on the one before.
fn answers(problem: &mut Problem<'_>, any_open: bool) -> Vec<Found> {
    let mut found: Vec<Found> = Vec::new();
    let fewest = usize::from(!any_open);
    let mut search = Search::new(problem);
    for count in fewest..=MOST_CHANGES {
        let below = found.last().map_or(f64::INFINITY, |f| f.objective);
        // Nothing improves on changing no written pour at all.
        if below <= SAME {
            break;
        }
        found.extend(search.answer(count, below));
    }
    found
}

/// An answer in full.
fn answer(problem: &mut Problem<'_>, found: &Found) -> Answer {
    for &(which, index) in &found.picks {
        let units = problem.adjustables[which].amounts[index].to_f64();
        problem.trial.set(which, units);
    }
    // What is printed is what the model makes of these very amounts.
    let outcome = problem.trial.work_out();
    let mut changes: Vec<Change> = found
        .picks
        .iter()
        .map(|&(which, index)| {
            let a = &problem.adjustables[which];
            Change {
                at: a.at,
                ingredient: a.ingredient.clone(),
                called: a.called.clone(),
                unit: a.unit,
                unit_written: a.unit_written,
                origin: a.origin,
                to: a.amounts[index],
                from_ml: (a.origin != Origin::Open).then_some(a.start * a.ml_each),
                to_ml: problem.trial.poured_ml(which),
                why: Vec::new(),
            }
        })
        .collect();
    for (change, &(which, _)) in changes.iter_mut().zip(&found.picks) {
        change.why = why(problem, found, which);
    }
    changes.sort_by_key(|c| (c.at, c.origin != Origin::Added));
    problem.set_back();
    let grams = |f: &Figures| f.ethanol_g.value.unwrap_or(0.0);
    Answer {
        changes,
        objective: found.objective,
        in_core_band: in_core_band(problem, &outcome.figures),
        ethanol_g_change: grams(&outcome.figures) - grams(&problem.start.figures),
        figures: outcome.figures,
        cost_change: None,
    }
}

/// Why a pour is changed: what would be off with its old amount, the others being changed.
fn why(problem: &mut Problem<'_>, found: &Found, which: usize) -> Vec<Reason> {
    let (start, origin) = {
        let a = &problem.adjustables[which];
        (a.start, a.origin)
    };
    if origin == Origin::Open {
        return vec![Reason::Open];
    }
    problem.trial.set(which, start);
    // Worked out, for what is said of it is a figure.
    let outcome = problem.trial.work_out();
    let fit = problem.deviation(&outcome);
    for &(w, index) in found.picks.iter().filter(|(w, _)| *w == which) {
        let units = problem.adjustables[w].amounts[index].to_f64();
        problem.trial.set(w, units);
    }
    let mut reasons: Vec<Reason> = super::search::serves(problem, which, &fit)
        .map(|measure| Reason::Measure {
            measure,
            value: outcome.figures.measured(measure).value.unwrap_or(0.0),
        })
        .collect();
    if let (true, Some(glass)) = (fit.over_ml > 0.0, &problem.glass) {
        reasons.push(Reason::Glass {
            glass: glass.name.clone(),
            volume_ml: outcome.volume_ml,
            holds_ml: glass.holds_ml,
        });
    }
    if !fit.same_sort {
        reasons.push(Reason::Sort);
    }
    if reasons.is_empty() {
        reasons.push(Reason::Serve);
    }
    reasons
}

fn in_core_band(problem: &Problem<'_>, figures: &Figures) -> Option<bool> {
    let structure = problem.structure?;
    let mut verdict = None;
    for measure in BalanceFigure::ALL {
        let value = figures.measured(measure).value.unwrap_or(0.0);
        let none_at_all = value < 0.5 * 10_f64.powi(-i32::from(measure.decimals()));
        if none_at_all && !structure.is_sour() {
            continue;
        }
        if let Some(core) = &problem.subject.ranges.band(structure, measure).core {
            let inside = core.place(value) == std::cmp::Ordering::Equal;
            verdict = Some(verdict.unwrap_or(true) && inside);
        }
    }
    verdict
}

/// What comes closest, and why no nearer.
fn closest(
    problem: &mut Problem<'_>,
    found: Option<&Found>,
    smooth: &Solution,
    ask: &Ask,
    limits: &[Limit],
) -> Closest {
    let as_it_is = Found {
        picks: Vec::new(),
        objective: 0.0,
        misses: 0,
        distance: 0.0,
        off_middle: 0.0,
    };
    let found = found.unwrap_or(&as_it_is);
    let answer = answer(problem, found);
    for &(which, index) in &found.picks {
        let units = problem.adjustables[which].amounts[index].to_f64();
        problem.trial.set(which, units);
    }
    let outcome = problem.trial.work_out();
    problem.set_back();
    let because = super::limits::because(problem, ask, &outcome, smooth, limits);
    Closest { answer, because }
}
