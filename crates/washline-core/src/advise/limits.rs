//! The limits an answer keeps, which of them press, and the words for why.

use std::fmt::{self, Display};

use crate::balance::{BalanceFigure, Structure};

use super::candidate::Evaluated;
use super::problem::Problem;
use super::solve::{Limit as Pressing, Solution, solve};
use super::subject::{Ask, Origin};
use super::target::Target;

/// A limit that was kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Which.
    pub kind: LimitKind,
    /// Whether it presses: without it a smaller change would do, or any at all.
    pub binds: bool,
}

/// What a limit is about.
#[derive(Clone, Debug, PartialEq)]
pub enum LimitKind {
    /// A measure has to come to its target.
    Target(Target),
    /// The glass holds so much below its washline.
    Glass {
        /// The glass.
        name: String,
        /// Its brimful capacity, ml.
        capacity_ml: f64,
        /// Up to its washline, less the ice where there is any, ml.
        holds_ml: f64,
    },
    /// All that is poured stays between these, ml.
    Serve {
        /// The least.
        low_ml: f64,
        /// The most.
        high_ml: f64,
    },
    /// The user locked this pour.
    Locked {
        /// What it pours.
        ingredient: String,
    },
    /// No pour is cut below a third or more than doubled.
    Pours,
    /// It stays the sort of drink it is.
    Sort(Structure),
}

impl Display for LimitKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LimitKind::Target(target) => target.fmt(f),
            LimitKind::Glass {
                name,
                capacity_ml,
                holds_ml,
            } => {
                write!(f, "at most {holds_ml:.0} ml in the {name} of {capacity_ml:.0} ml")
            }
            LimitKind::Serve { low_ml, high_ml } => write!(f, "{low_ml:.0} to {high_ml:.0} ml poured in all"),
            LimitKind::Locked { ingredient } => write!(f, "{ingredient} is locked"),
            LimitKind::Pours => write!(f, "no pour below a third or more than doubled"),
            LimitKind::Sort(structure) => write!(f, "stays {}", structure.phrase()),
        }
    }
}

/// Why a pour is changed.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// The spec leaves it open.
    Open,
    /// With the old amount, and the other changes, a measure would be outside its target.
    Measure {
        /// Which.
        measure: BalanceFigure,
        /// What it would be.
        value: f64,
    },
    /// With the old amount the drink would rise above the washline.
    Glass {
        /// The glass.
        glass: String,
        /// What would be in it, ml.
        volume_ml: f64,
        /// What it holds, ml.
        holds_ml: f64,
    },
    /// With the old amount it would be another sort of drink.
    Sort,
    /// With the old amount more or less would be poured in all than the serve allows.
    Serve,
}

impl Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::Open => write!(f, "the spec leaves it open"),
            Reason::Measure { measure, value } => {
                let d = usize::from(measure.decimals());
                write!(f, "{} would be {value:.d$} {}", measure.name(), measure.unit())
            }
            Reason::Glass {
                glass,
                volume_ml,
                holds_ml,
            } => {
                write!(
                    f,
                    "{volume_ml:.0} ml would be too much for the {glass}, which holds {holds_ml:.0}"
                )
            }
            Reason::Sort => write!(f, "it would be another sort of drink"),
            Reason::Serve => write!(f, "all that is poured would change too much"),
        }
    }
}

/// Why nothing works.
#[derive(Clone, Debug, PartialEq)]
pub enum Because {
    /// A measure is still outside its target.
    StillOff {
        /// Which.
        measure: BalanceFigure,
        /// What it comes to.
        value: f64,
        /// Whether there is too little of it.
        low: bool,
        /// The target as printed.
        wanted: String,
    },
    /// It still does not fit its glass.
    StillOver {
        /// The glass.
        glass: String,
        /// What is in it, ml.
        volume_ml: f64,
        /// What it holds, ml.
        holds_ml: f64,
    },
    /// No pour may be changed at all.
    NothingToChange,
    /// Nothing that may be changed raises this measure.
    NothingRaises {
        /// Which.
        measure: BalanceFigure,
        /// Locked pours that would.
        locked: Vec<String>,
    },
    /// This limit is in the way.
    Presses(LimitKind),
    /// The limits leave room, but no amount that the bar measures lies in it.
    BetweenSteps,
    /// It would take more pours than three.
    TooManyPours,
}

impl Because {
    /// Reasons in words, the limits in the way said together behind the others.
    #[must_use]
    pub fn words(all: &[Because]) -> Vec<String> {
        let (mut said, mut limits) = (Vec::new(), Vec::new());
        for one in all {
            match one {
                Because::Presses(limit) => limits.push(limit.to_string()),
                other => said.push(other.to_string()),
            }
        }
        if !limits.is_empty() {
            said.push(in_the_way(&limits.join(", ")));
        }
        said
    }
}

fn in_the_way(limits: &str) -> String {
    format!("in the way: {limits}")
}

impl Display for Because {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Because::StillOff {
                measure,
                value,
                low,
                wanted,
            } => {
                let d = usize::from(measure.decimals());
                let side = if *low { "below" } else { "above" };
                write!(
                    f,
                    "{} is {value:.d$} {}, {side} {wanted}",
                    measure.name(),
                    measure.unit()
                )
            }
            Because::StillOver {
                glass,
                volume_ml,
                holds_ml,
            } => {
                write!(
                    f,
                    "{volume_ml:.0} ml is too much for the {glass}, which holds {holds_ml:.0} ml"
                )
            }
            Because::NothingToChange => write!(f, "it has no pour that may be changed"),
            Because::NothingRaises { measure, locked } => {
                let raised = match measure {
                    BalanceFigure::Strength => "stronger",
                    BalanceFigure::Sweetness => "sweeter",
                    BalanceFigure::Tartness => "tarter",
                };
                write!(f, "no pour that may be changed makes it {raised}")?;
                match locked.as_slice() {
                    [] => Ok(()),
                    names => write!(f, " ({}: locked)", names.join(", ")),
                }
            }
            Because::Presses(limit) => f.write_str(&in_the_way(&limit.to_string())),
            Because::BetweenSteps => {
                write!(f, "what would do lies between the steps of the bar's measures")
            }
            Because::TooManyPours => write!(f, "it would take a change of more than three pours"),
        }
    }
}

/// Every limit, and whether it presses on the smallest change there would be without jiggers.
pub(super) fn limits(problem: &mut Problem<'_>, ask: &Ask, smooth: Option<&Solution>) -> Vec<Limit> {
    let pressing = smooth.map_or(&[][..], |s| s.pressing.as_slice());
    let presses = |is: &dyn Fn(&Pressing) -> bool| pressing.iter().any(is);
    let mut all: Vec<Limit> = problem
        .targets
        .iter()
        .enumerate()
        .map(|(i, target)| Limit {
            kind: LimitKind::Target(target.clone()),
            binds: presses(&|p| *p == Pressing::Target(i)),
        })
        .collect();
    if let Some(glass) = &problem.glass {
        all.push(Limit {
            kind: LimitKind::Glass {
                name: glass.name.clone(),
                capacity_ml: glass.capacity_ml,
                holds_ml: glass.holds_ml,
            },
            binds: presses(&|p| *p == Pressing::Glass),
        });
    }
    let (shrink, grow) = problem.serve_change_ml;
    all.push(Limit {
        kind: LimitKind::Serve {
            low_ml: (problem.poured_ml + shrink).max(0.0),
            high_ml: problem.poured_ml + grow,
        },
        binds: presses(&|p| *p == Pressing::Serve),
    });
    all.push(Limit {
        kind: LimitKind::Pours,
        binds: presses(&|p| matches!(p, Pressing::Pour(_))),
    });
    all.extend(problem.structure.map(|structure| Limit {
        kind: LimitKind::Sort(structure),
        binds: false,
    }));
    let locked = problem.subject.locked_places(ask).unwrap_or_default();
    for at in locked {
        let Some((_, pour)) = problem.subject.pours().find(|(a, _)| *a == at) else {
            continue;
        };
        let ingredient = pour.ingredient.clone();
        let binds = smooth.is_some_and(|smooth| unlocking_helps(problem, ask, at, smooth));
        all.push(Limit {
            kind: LimitKind::Locked { ingredient },
            binds,
        });
    }
    all
}

/// Whether a smaller change would do were the pour at this place free.
fn unlocking_helps(problem: &mut Problem<'_>, ask: &Ask, at: usize, smooth: &Solution) -> bool {
    let all: Vec<usize> = (0..problem.adjustables.len()).collect();
    let without = solve(problem, &all);
    let smooth = if without.met || !smooth.met {
        &without
    } else {
        smooth
    };
    let unlocked = Ask {
        locked: Vec::new(),
        ..ask.clone()
    };
    let Ok(mut adjustables) = problem.subject.adjustables(&unlocked) else {
        return false;
    };
    let free_before: Vec<usize> = problem.adjustables.iter().map(|a| a.at).collect();
    adjustables.retain(|a| a.at == at || a.origin == Origin::Added || free_before.contains(&a.at));
    let mut other = Problem::new(problem.subject, adjustables, problem.targets.clone(), ask);
    let all: Vec<usize> = (0..other.adjustables.len()).collect();
    let solution = solve(&mut other, &all);
    match (smooth.met, solution.met) {
        (false, true) => true,
        (true, true) => solution.objective < smooth.objective * (1.0 - 1e-6) - 1e-9,
        _ => false,
    }
}

/// Why nothing comes nearer than `outcome`, `smooth` being what would do over all pours without jiggers.
pub(super) fn because(
    problem: &Problem<'_>,
    ask: &Ask,
    outcome: &Evaluated,
    smooth: &Solution,
    limits: &[Limit],
) -> Vec<Because> {
    let fit = problem.deviation(outcome);
    let mut all = Vec::new();
    for (target, gap) in problem.targets.iter().zip(fit.gaps) {
        if gap.abs() > 0.0 {
            let unit = target.measure.unit();
            all.push(Because::StillOff {
                measure: target.measure,
                value: outcome.figures.measured(target.measure).value.unwrap_or(0.0),
                low: gap < 0.0,
                wanted: format!("{} {unit}", target.span.printed()),
            });
        }
    }
    if let (true, Some(glass)) = (fit.over_ml > 0.0, &problem.glass) {
        all.push(Because::StillOver {
            glass: glass.name.clone(),
            volume_ml: outcome.volume_ml,
            holds_ml: glass.holds_ml,
        });
    }
    if problem.adjustables.is_empty() {
        all.push(Because::NothingToChange);
        return all;
    }
    let raising = nothing_raises(problem, ask, &fit.gaps);
    let stuck: Vec<BalanceFigure> = raising
        .iter()
        .filter_map(|b| match b {
            Because::NothingRaises { measure, .. } => Some(*measure),
            _ => None,
        })
        .collect();
    all.extend(raising);
    // Could it be done at all, were there no jiggers and no limit of three pours?
    if smooth.met {
        let moved = |s: &Solution| {
            s.units
                .iter()
                .zip(&problem.adjustables)
                .filter(|(units, a)| a.origin != Origin::Open && a.cost(**units) > 1e-9)
                .count()
        };
        all.push(if moved(smooth) > super::search::MOST_CHANGES {
            Because::TooManyPours
        } else {
            Because::BetweenSteps
        });
        return all;
    }
    for limit in limits.iter().filter(|l| l.binds) {
        let already_said = match &limit.kind {
            LimitKind::Target(target) => {
                stuck.contains(&target.measure)
                    || problem
                        .targets
                        .iter()
                        .zip(fit.gaps)
                        .any(|(t, gap)| t.measure == target.measure && gap.abs() > 0.0)
            }
            _ => false,
        };
        if !already_said {
            all.push(Because::Presses(limit.kind.clone()));
        }
    }
    all
}

/// The measures that are too low though nothing that may be changed raises them.
fn nothing_raises(problem: &Problem<'_>, ask: &Ask, gaps: &[f64; 3]) -> Vec<Because> {
    let locked = problem.subject.locked_places(ask).unwrap_or_default();
    let mix = &problem.subject.built.before;
    problem
        .targets
        .iter()
        .zip(gaps)
        .filter(|(_, gap)| **gap < 0.0)
        .filter(|(target, _)| !problem.adjustables.iter().any(|a| a.roles.raise(target.measure)))
        .map(|(target, _)| Because::NothingRaises {
            measure: target.measure,
            locked: problem
                .subject
                .pours()
                .filter(|(at, pour)| {
                    locked.contains(at) && super::roles::Roles::of(&pour.some(), mix).raise(target.measure)
                })
                .map(|(_, pour)| pour.ingredient.clone())
                .collect(),
        })
        .collect()
}
