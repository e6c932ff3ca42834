//! A list as a whole: one pass over every drink and over what lies between them. Each finding has the drinks it is
//! about and the numbers of its kind ([`AuditFinding`]); they come grouped by what to do ([`Todo`]), the most serious first.
//!
//! | file | looks at |
//! |---|---|
//! | `jigger.rs` | amounts that no jigger measures, ml beside oz, two ounces |
//! | `spread.rs` | gaps and crowding in strength, sweetness, tartness, volume and price; what the list has none of |
//! | `similarity.rs` | near twins, by a stated distance |
//! | `stock.rs` | what one drink alone pours, one ingredient under two names, what nobody pours |
//! | `missing.rs` | facts nobody has written down, old measurements |
//! | `differences.rs` | one drink in two books, two versions, two lists |
//!
//! What a check finds in each drink by itself (balance, glass, build) comes with it, but for mere notes. The audit
//! sees no database and no clock: what day it is, and what the other list holds, the caller says.

mod differences;
mod facts;
mod finding;
mod jigger;
mod missing;
mod similarity;
mod spread;
mod stock;

pub use facts::DrinkAt;
pub use finding::{
    AuditFinding, Drift, Fact, FigureDrift, Found, LonelyIngredient, MissingFact, MixedUnits, NearNames,
    NearTwins, OldMeasurement, OnlyInOne, PourDrift, ServingSize, Todo, TwoNames, TwoOunces, Uneven,
    UnpouredAmount, UnpouredPreparation,
};
pub use missing::OLD_DAYS;
pub use similarity::{Distance, TWINS, figures_apart, pours_apart};
pub use spread::{Along, FREE_PCT, LIGHT_PCT, SMALLEST, STRONG_PCT, Spread};

use std::collections::{BTreeSet, HashMap};

use jiff::civil::Date;

use facts::Facts;

use crate::balance::Severity;
use crate::computed::{ComputedDrink, Prepared};
use crate::ingredient::Ingredient;
use crate::service::cost::Prices;

/// What is audited, and against what.
#[derive(Clone, Debug, Default)]
pub struct Audited<'a> {
    /// The drinks of the list.
    pub drinks: &'a [ComputedDrink],
    /// What the house makes.
    pub prepared: &'a [Prepared],
    /// What its books define or make, each with the title of its book.
    pub defined: &'a [(String, Ingredient)],
    /// The version of each drink before the one that is poured, where there is one.
    pub earlier: &'a [ComputedDrink],
    /// Another list to look at beside it: how it is called, and its drinks.
    pub against: Option<(&'a str, &'a [ComputedDrink])>,
    /// The prices that hold.
    pub prices: Prices,
    /// What day it is: measurements and prices are old by it. `None` to leave them alone.
    pub today: Option<Date>,
    /// The most ethanol that the house serves in one drink, g.
    pub most_g: Option<f64>,
}

/// What an audit comes to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Audit {
    /// The findings: grouped by what to do, the group with the most serious one first, in each the most serious first.
    pub findings: Vec<AuditFinding>,
    /// How the list lies as a whole.
    pub spread: Spread,
}

impl Audit {
    /// The gravest thing that was found.
    #[must_use]
    pub fn gravest(&self) -> Option<Severity> {
        self.findings.iter().map(AuditFinding::severity).max()
    }

    /// The findings by what to do, in their order.
    #[must_use]
    pub fn by_todo(&self) -> Vec<(Todo, Vec<&AuditFinding>)> {
        let mut groups: Vec<(Todo, Vec<&AuditFinding>)> = Vec::new();
        for finding in &self.findings {
            match groups.last_mut().filter(|(todo, _)| *todo == finding.todo()) {
                Some((_, group)) => group.push(finding),
                None => groups.push((finding.todo(), vec![finding])),
            }
        }
        groups
    }
}

/// Audit a list.
///
/// ```
/// use washline_core::service::audit::{Audited, audit};
/// use washline_core::spec::Source;
/// use washline_core::store::House;
///
/// let mut house = House::in_memory()?;
/// let text = "# Halt\n\n## Owl\n- 60 ml dry gin\n- 23 ml lemon juice\n- 20 ml simple syrup 1:1 by mass\n- shake\n- strain\n";
/// house.add(&Source::new("halt.md", text))?.expect("it reads");
/// let drinks = house.drinks()?;
/// let audit = audit(&Audited { drinks: &drinks, ..Audited::default() });
/// let odd = audit.findings.iter().find(|f| f.kind() == "unpoured_amount").expect("23 ml");
/// assert_eq!(odd.to_string(), "Owl: 23 ml lemon juice is no measure of this bar");
/// # Ok::<(), washline_core::store::StoreError>(())
/// ```
#[must_use]
pub fn audit(audited: &Audited<'_>) -> Audit {
    let drinks: Vec<Facts<'_>> = audited.drinks.iter().map(Facts::of).collect();
    let mut findings = Vec::new();
    for facts in &drinks {
        let grave = facts
            .worked
            .evaluation
            .findings
            .iter()
            .filter(|f| f.severity() >= Severity::Edge);
        findings.extend(grave.map(|finding| AuditFinding {
            drinks: vec![facts.at()],
            found: Found::OfDrink(finding.clone()),
        }));
        if let Some(most_g) = audited.most_g {
            findings.extend(serving(facts, most_g));
        }
    }
    differences::between_books(&drinks, &mut findings);
    let earlier: Vec<Facts<'_>> = audited.earlier.iter().map(Facts::of).collect();
    differences::between_versions(&drinks, &earlier, &mut findings);
    if let Some((called, theirs)) = audited.against {
        let theirs: Vec<Facts<'_>> = theirs.iter().map(Facts::of).collect();
        differences::against(&drinks, &theirs, called, &mut findings);
    }
    jigger::amounts(&drinks, &mut findings);
    missing::facts(&drinks, &mut findings);
    if let Some(today) = audited.today {
        missing::old(&drinks, &audited.prices, today, &mut findings);
    }
    // One name in two books is one drink that has drifted, not two drinks of the list.
    let mut seen = BTreeSet::new();
    let distinct: Vec<&Facts<'_>> = drinks.iter().filter(|f| seen.insert(f.key())).collect();
    let spread = spread::spread(&distinct, &mut findings);
    similarity::twins(&distinct, &mut findings);
    stock::two_names(&drinks, &mut findings);
    stock::near_names(&drinks, &mut findings);
    stock::unpoured(&drinks, audited.prepared, audited.defined, &mut findings);
    stock::lonely(&drinks, &audited.prices, &mut findings);
    let worst = |todo: Todo| {
        findings
            .iter()
            .filter(|f| f.todo() == todo)
            .map(AuditFinding::severity)
            .max()
    };
    let order: HashMap<Todo, Option<Severity>> =
        findings.iter().map(|f| (f.todo(), worst(f.todo()))).collect();
    findings.sort_by_key(|f| {
        let group = order.get(&f.todo()).copied().flatten();
        (
            std::cmp::Reverse(group),
            f.todo(),
            std::cmp::Reverse(f.severity()),
        )
    });
    Audit { findings, spread }
}

/// More alcohol than the house serves in one drink; or so near that it cannot be told.
fn serving(facts: &Facts<'_>, most_g: f64) -> Option<AuditFinding> {
    let ethanol = facts.worked.evaluation.figures.ethanol_g;
    let value = ethanol.value?;
    // What is over as printed is over; within the interval it is too close to call.
    let over =
        (10.0 * value).round() > (10.0 * most_g).round() || ethanol.low.is_some_and(|low| low > most_g);
    let too_close =
        ethanol.low.is_some_and(|low| low < most_g) && ethanol.high.is_some_and(|high| high > most_g);
    (over || too_close).then(|| AuditFinding {
        drinks: vec![facts.at()],
        found: Found::ServingSize(ServingSize {
            ethanol_g: value,
            low_g: ethanol.low,
            high_g: ethanol.high,
            most_g,
            standard_drinks: facts.value("standard_drinks"),
            too_close,
        }),
    })
}
