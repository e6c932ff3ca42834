//! Putting a drink right: the smallest change, in steps the bar can measure, that brings it into balance.
//!
//! # What is asked
//!
//! Strength, sweetness and tartness are to lie in the usual band of the structure; where none is usual, in the band
//! of what published drinks span ([`Target`]); or where the user aims ([`Aim`]). Bands are compared at the precision
//! they are printed with. A drink without a band is refused, with the reason ([`NoTarget`]).
//!
//! # What is smallest
//!
//! J = Σ (Δᵢ / max(pourᵢ, 5 ml))² over the written pours that change. An added pour was nothing before, so it costs
//! (Δ / 5 ml)². An open pour (`to taste`) has no amount to depart from and costs nothing: it is what is solved for
//! first, and of the amounts that will do the one is taken whose figures lie nearest the middle of the targets.
//!
//! Answers are the best with one, two and three written pours changed (with none, where pours are open), as far as
//! each exists and improves on the fewer.
//!
//! # What is kept
//!
//! - Pours the user locks; a written pour is never cut below a third or more than doubled (`steps.rs` has the grid
//!   and how far it goes).
//! - The glass: the drink stays below its washline. One that runs over is brought below it.
//! - The serve: all that is poured stays within 20 % of what it was, unless the user says otherwise or the glass
//!   needs it smaller.
//! - The sort of drink: a sour stays a sour.
//! - Roles ([`Roles`]): a pour is changed only for the sake of something it may be used for. Put back to its old
//!   amount, a measure it serves would be outside its target, or the drink would run over or be another sort; or,
//!   for a pour that lengthens, the serve would be too small or too large.
//!
//! # How it is found
//!
//! The continuous optimum is bounded, constrained least squares on the linearised model (`least_change.rs`), made
//! linear again until it stays (`solve.rs`); it says which limits press. The answers are found on the grid by an
//! exhaustive search that leaves out only what cannot be one (`search.rs`), every trial worked out by the model
//! itself. So what is printed is what these very amounts come to, and nothing on the grid is better.

mod adjust;
mod blend;
mod candidate;
mod held;
mod least_change;
mod limits;
mod mend;
mod problem;
mod rewrite;
mod roles;
mod search;
mod solve;
mod steps;
mod subject;
mod swap;
mod target;
mod travel;

pub use adjust::{Adjusted, By, CannotAdjust, POWDERS, Powder, adjust};
pub use blend::{Blended, CannotBlend, blend};
pub use held::{NotHeld, held};
pub use limits::{Because, Limit, LimitKind, Reason};
pub use mend::{Answer, Change, Closest, MendOutcome, Mended, mend};
pub use rewrite::{CannotRewrite, answer_written, rewritten};
pub use roles::Roles;
pub use search::MOST_CHANGES;
pub use subject::{Adjustable, Ask, AskError, LEAST_POUR_ML, Origin, Subject};
pub use swap::{
    AS_WEIGHED, Change as AllergenChange, Hold, LEAST_WATER_ML, NotWritten, Note, Refusal, Swap, SwapAsk,
    SwapError, Swapped, SwappedPour, Version, Watered, one_ml, pours_near, swap, swapped_text,
};
pub use target::{Aim, AimError, Basis, NoTarget, Target};
pub use travel::{
    Arrival, Cause, Gap, GapKind, Home, Journey, PourThere, Restoring, Robust, StockSheet, Visit, robust,
    travel, work_of,
};

/// The smallest change were there no jigger: for comparison with other solvers.
#[derive(Clone, Debug)]
pub struct Smooth {
    /// Every pour that may be changed, with what it would come to, ml.
    pub pours: Vec<(String, f64)>,
    /// J at this optimum.
    pub objective: f64,
    /// Whether it keeps every limit.
    pub met: bool,
}

/// Solve the continuous problem over all pours that may be changed: the same objective and limits without the grid,
/// the roles and the limit of three pours. `None` where there is nothing to mend towards.
///
/// # Errors
/// Every name in the ask that is none of the drink's, or that cannot be added.
pub fn smooth(subject: &Subject<'_>, ask: &Ask) -> Result<Option<Smooth>, Vec<AskError>> {
    let adjustables = subject.adjustables(ask)?;
    let before = crate::balance::nominal(subject.resolved, subject.built);
    let Ok(targets) = target::targets(subject.built.structure, &before, subject.ranges, &ask.aims) else {
        return Ok(None);
    };
    let mut problem = problem::Problem::new(*subject, adjustables, targets, ask);
    let all: Vec<usize> = (0..problem.adjustables.len()).collect();
    let solution = solve::solve(&mut problem, &all);
    Ok(Some(Smooth {
        pours: problem
            .adjustables
            .iter()
            .zip(&solution.units)
            .map(|(a, units)| (a.ingredient.clone(), units * a.ml_each))
            .collect(),
        objective: solution.objective,
        met: solution.met,
    }))
}
