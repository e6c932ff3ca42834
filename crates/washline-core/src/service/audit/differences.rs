//! The same drink in two places: two books, a list and another, a version and the one before it. What changed in the
//! pours, and what that comes to in the glass.

use std::collections::{BTreeMap, BTreeSet};

use super::facts::{DrinkAt, Facts};
use super::finding::{AuditFinding, Drift, FigureDrift, Found, OnlyInOne, PourDrift};
use crate::service::comparison::compared;
use crate::tables::FigureName;

/// The figures that are told of a drift.
const TOLD: [FigureName; 5] = [
    FigureName::Strength,
    FigureName::Sweetness,
    FigureName::Tartness,
    FigureName::Volume,
    FigureName::Alcohol,
];

/// What differs between two specs of one drink, called `a` and `b`; `None` where nothing does.
fn drift(a: &Facts<'_>, b: &Facts<'_>, called: (String, String)) -> Option<AuditFinding> {
    let beside = compared(a.worked, b.worked);
    let pours: Vec<PourDrift> = beside
        .pours
        .iter()
        .filter(|p| p.differs())
        .map(|p| PourDrift {
            ingredient: p.ingredient.clone(),
            a: p.a.as_ref().map(|p| p.said()),
            b: p.b.as_ref().map(|p| p.said()),
        })
        .collect();
    let said: Vec<_> = beside.said.iter().filter(|s| s.a != s.b).cloned().collect();
    let glass: Vec<FigureDrift> = TOLD
        .iter()
        .map(|which| which.facts())
        .filter_map(|facts| {
            let of = beside.figures.iter().find(|f| f.facts == facts)?;
            let (apart, from, to) = (of.apart?, of.a.value?, of.b.value?);
            let drift = FigureDrift {
                facts: *facts,
                a: from,
                b: to,
                apart,
            };
            // The same as printed is the same.
            (facts.printed(from) != facts.printed(to)).then_some(drift)
        })
        .collect();
    if pours.is_empty() && said.is_empty() && glass.is_empty() {
        return None;
    }
    Some(AuditFinding {
        drinks: vec![a.at(), b.at()],
        found: Found::Drift(Drift {
            a: called.0,
            b: called.1,
            pours,
            said,
            told_apart: glass.iter().any(|g| !g.apart.too_small),
            glass,
        }),
    })
}

/// Drinks of one name in several books of the list: each with the one in the first of them.
pub(super) fn between_books(drinks: &[Facts<'_>], found: &mut Vec<AuditFinding>) {
    let mut first: BTreeMap<String, &Facts<'_>> = BTreeMap::new();
    for facts in drinks {
        match first.get(&facts.key()) {
            None => {
                first.insert(facts.key(), facts);
            }
            Some(earlier) => {
                let titles = (earlier.at().book, facts.at().book);
                found.extend(drift(earlier, facts, titles));
            }
        }
    }
}

/// Drinks beside the version of each before the one that is poured.
pub(super) fn between_versions(drinks: &[Facts<'_>], earlier: &[Facts<'_>], found: &mut Vec<AuditFinding>) {
    for now in drinks {
        let before = earlier
            .iter()
            .find(|e| e.key() == now.key() && e.worked.found_in.book == now.worked.found_in.book);
        if let Some(before) = before {
            let version = |f: &Facts<'_>| format!("version {}", f.worked.found_in.version);
            found.extend(drift(before, now, (version(before), version(now))));
        }
    }
}

/// The list beside another one, called `other`.
pub(super) fn against(
    drinks: &[Facts<'_>],
    theirs: &[Facts<'_>],
    other: &str,
    found: &mut Vec<AuditFinding>,
) {
    let mut lacking: Vec<DrinkAt> = Vec::new();
    let mut seen = BTreeSet::new();
    for ours in drinks {
        let mut twins = theirs.iter().filter(|t| t.key() == ours.key()).peekable();
        if twins.peek().is_none() && seen.insert(ours.key()) {
            lacking.push(ours.at());
        }
        for twin in twins {
            let book = twin.at().book;
            let theirs_called = if book == other {
                book
            } else {
                format!("{other}: {book}")
            };
            found.extend(drift(twin, ours, (theirs_called, ours.at().book)));
        }
    }
    let ours: BTreeSet<String> = drinks.iter().map(Facts::key).collect();
    let mut seen = BTreeSet::new();
    let gone: Vec<DrinkAt> = theirs
        .iter()
        .filter(|t| !ours.contains(&t.key()) && seen.insert(t.key()))
        .map(Facts::at)
        .collect();
    for (drinks, lacking) in [(lacking, other), (gone, "this list")] {
        if !drinks.is_empty() {
            found.push(AuditFinding {
                drinks,
                found: Found::OnlyInOne(OnlyInOne {
                    lacking: lacking.to_owned(),
                }),
            });
        }
    }
}
