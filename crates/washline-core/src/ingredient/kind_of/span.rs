//! What the members of a kind span: each quantity of them, their allergens, their cautions.

use crate::ingredient::{
    Basis, Convention, Declaration, Ingredient, Quantity, Shape, Status, Value, declared_by_name, hazards,
    us_of,
};
use crate::liquid::{Component, Family};

/// The members that an answer is made of.
pub(super) struct Span<'a> {
    /// Whose composition is usual for it.
    pub(super) usual: &'a Ingredient,
    /// What it spans.
    pub(super) members: Vec<&'a Ingredient>,
    /// What its strength alone spans, where a word says so.
    pub(super) strength_of: Option<Vec<&'a Ingredient>>,
    /// Whether the members have alcohol and it has none.
    pub(super) alcohol_free: bool,
}

/// A total of several values: usual, lowest, highest.
#[derive(Clone, Copy, Default)]
pub(super) struct Total {
    pub(super) value: f64,
    pub(super) low: f64,
    pub(super) high: f64,
}

impl Total {
    fn times(self, factor: f64) -> Total {
        Total {
            value: factor * self.value,
            low: factor * self.low,
            high: factor * self.high,
        }
    }
}

impl Span<'_> {
    /// All of them, the usual one first.
    fn all(&self) -> impl Iterator<Item = &Ingredient> {
        std::iter::once(self.usual).chain(self.members.iter().copied())
    }

    /// What a member's grams are multiplied by to be counted like the usual one's: g per 100 g to g/L by its density.
    fn scale(&self, member: &Ingredient) -> f64 {
        if member.basis == self.usual.basis {
            return 1.0;
        }
        match self.usual.basis {
            Basis::Litre => 10.0 * density(member),
            Basis::Mass => 0.1 / density(member),
        }
    }

    /// The allergens of any of them, and those that a name says, in the European Union and in the United States;
    /// `open` says that there may be others.
    pub(super) fn declarations(&self, name: &str, open: bool) -> (Declaration, Declaration) {
        let named = declared_by_name(name);
        let mut eu = common(self.all().map(|m| &m.allergens_eu));
        let mut us = common(self.all().map(|m| &m.allergens_us));
        eu.join(&named);
        us.join(&us_of(&named));
        eu.unknown |= open;
        us.unknown |= open;
        (eu, us)
    }

    /// The cautions of the usual member, and those that the words of a name call for.
    pub(super) fn caution(&self, words: &str) -> String {
        let mut cautions: Vec<&str> = self.usual.caution.split("; ").filter(|c| !c.is_empty()).collect();
        for hazard in hazards(words) {
            if !cautions.contains(&hazard.message.as_str()) {
                cautions.push(&hazard.message);
            }
        }
        cautions.join("; ")
    }

    /// The kinds by which a line can name any of them.
    pub(super) fn groups(&self) -> Vec<String> {
        let all = |group: &&String| self.members.iter().all(|m| m.groups.contains(group));
        self.usual.groups.iter().filter(all).cloned().collect()
    }

    /// From the lowest of any to the highest that is usual for one: the far end of the strongest member is its own.
    fn over<'m>(
        &self,
        members: impl Iterator<Item = &'m Ingredient>,
        usual: Total,
        of: impl Fn(&Ingredient) -> Total,
    ) -> Total {
        let mut total = usual;
        for member in members {
            let own = of(member);
            total.low = total.low.min(own.low);
            total.high = total.high.max(own.value);
        }
        total
    }

    /// Its values: the usual member's, over what the members span.
    pub(super) fn values(&self, sort: &str) -> Vec<Value> {
        if self.members.len() == 1 && self.members[0].name == self.usual.name && self.strength_of.is_none() {
            return self
                .usual
                .values
                .iter()
                .filter(|v| v.quantity != Quantity::Density)
                .cloned()
                .collect();
        }
        let source = format!(
            "what {} of the library span, taken as {sort}; usual: {}",
            if self.members.len() == 1 {
                "one member".to_owned()
            } else {
                format!("{} members", self.members.len())
            },
            self.usual.name
        );
        let strength = Spanned::always(Quantity::Strength, self.strength());
        std::iter::once(strength)
            .chain(self.totals())
            .chain(self.extracts())
            .chain(self.sizes())
            .filter(|spanned| spanned.total.high > 0.0)
            .map(|spanned| spanned.value(&source))
            .collect()
    }

    /// Its strength, % vol.
    fn strength(&self) -> Total {
        let strength =
            |i: &Ingredient| single(i, Quantity::Strength, Convention::Handbook).unwrap_or_default();
        if self.alcohol_free {
            Total {
                value: 0.0,
                low: 0.0,
                high: 0.5,
            }
        } else if let Some(strong) = &self.strength_of {
            let first = strong.first().map(|i| strength(i)).unwrap_or_default();
            self.over(strong.iter().copied(), first, strength)
        } else {
            self.over(self.all(), strength(self.usual), strength)
        }
    }

    /// Sugars and acids by their totals: the members hold different ones, and a total is one doubt.
    fn totals(&self) -> Vec<Spanned> {
        let totals = [
            (Family::Sugar, Component::SugarsUnspecified),
            (Family::Acid, Component::AcidUnspecifiedAsCitric),
        ];
        let mut spanned = Vec::new();
        for (family, component) in totals {
            let both = [Convention::Handbook, Convention::Assay];
            let depends = self.all().any(|i| {
                i.values
                    .iter()
                    .any(|v| v.convention.is_some() && is_family(v.quantity, family))
            });
            for convention in both.into_iter().take(if depends { 2 } else { 1 }) {
                let of = |i: &Ingredient| total(i, family, convention).times(self.scale(i));
                let mut total = self.over(self.all(), of(self.usual), of);
                if self.alcohol_free {
                    total.low = 0.0;
                }
                spanned.push(Spanned {
                    quantity: Quantity::Part(component),
                    total,
                    convention: depends.then_some(convention),
                });
            }
        }
        spanned
    }

    /// What is dissolved in it beside sugar and acid.
    fn extracts(&self) -> impl Iterator<Item = Spanned> {
        let extracts = Component::all().filter(|c| c.facts().family == Family::Extract);
        extracts.map(|component| {
            let quantity = Quantity::Part(component);
            let of = |i: &Ingredient| {
                let own = single(i, quantity, Convention::Handbook).unwrap_or_default();
                own.times(self.scale(i))
            };
            Spanned::always(quantity, self.over(self.all(), of(self.usual), of))
        })
    }

    /// What is counted, spooned or pressed: only as far as each member has it.
    fn sizes(&self) -> impl Iterator<Item = Spanned> {
        let mut sizes: Vec<Quantity> = self
            .all()
            .flat_map(|i| i.values.iter().map(|v| v.quantity))
            .filter(|q| !matches!(q, Quantity::Strength | Quantity::Part(_) | Quantity::Density))
            .collect();
        sizes.sort_unstable();
        sizes.dedup();
        sizes.into_iter().filter_map(|size| {
            let of = |i: &Ingredient| single(i, size, Convention::Handbook);
            let first = self.all().find_map(of)?;
            let having = self.all().filter(|i| of(i).is_some());
            let total = self.over(having, first, |i| of(i).unwrap_or_default());
            Some(Spanned::always(size, total))
        })
    }
}

/// What a quantity spans in the members of a kind.
pub(super) struct Spanned {
    pub(super) quantity: Quantity,
    pub(super) total: Total,
    /// The convention it holds in; `None` where it holds in each.
    pub(super) convention: Option<Convention>,
}

impl Spanned {
    fn always(quantity: Quantity, total: Total) -> Spanned {
        Spanned {
            quantity,
            total,
            convention: None,
        }
    }

    fn value(self, source: &str) -> Value {
        Value {
            quantity: self.quantity,
            value: self.total.value,
            low: self.total.low,
            high: self.total.high,
            shape: Shape::Rectangular,
            convention: self.convention,
            source: source.to_owned(),
            status: Status::Memory,
        }
    }
}

/// Its density, g/ml.
pub(super) fn density(ingredient: &Ingredient) -> f64 {
    let liquid = ingredient.liquid(Convention::Handbook, None);
    liquid.ok().and_then(|l| l.density_g_per_ml()).unwrap_or(1.0)
}

/// Bring the ends of the spans in to where there is room for them: members that are sweetest and fattest at once there are
/// none.
pub(super) fn fit(ingredient: &mut Ingredient) {
    const HALVINGS: usize = 12;
    for at in 0..ingredient.values.len() {
        let Value {
            quantity,
            value,
            high,
            convention,
            ..
        } = ingredient.values[at];
        let pours = |figure: f64| {
            let convention = convention.unwrap_or_default();
            ingredient
                .liquid_if(convention, None, &|q, usual| {
                    if q == quantity { figure } else { usual }
                })
                .is_ok()
        };
        if pours(high) {
            continue;
        }
        let (mut room, mut none) = (value, high);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (room + none);
            if pours(middle) {
                room = middle;
            } else {
                none = middle;
            }
        }
        ingredient.values[at].high = room;
    }
}

pub(super) fn single(ingredient: &Ingredient, quantity: Quantity, convention: Convention) -> Option<Total> {
    ingredient.value(quantity, convention).map(|v| Total {
        value: v.value,
        low: v.low,
        high: v.high,
    })
}

/// All sugars, or all acids as citric, of an ingredient, in its own basis.
pub(super) fn total(ingredient: &Ingredient, family: Family, convention: Convention) -> Total {
    let mut total = Total::default();
    for value in ingredient.values_in(convention) {
        if let Quantity::Part(component) = value.quantity
            && component.facts().family == family
        {
            let weight = if family == Family::Acid {
                component.facts().as_citric
            } else {
                1.0
            };
            total.value += weight * value.value;
            total.low += weight * value.low;
            total.high += weight * value.high;
        }
    }
    total
}

pub(super) fn is_family(quantity: Quantity, family: Family) -> bool {
    matches!(quantity, Quantity::Part(component) if component.facts().family == family)
}

/// What all of them declare: certain where it is certain in each. What only some hold is not said of the kind: its
/// allergens are unknown, and its name says what it says.
pub(super) fn common<'a>(mut all: impl Iterator<Item = &'a Declaration>) -> Declaration {
    let Some(mut common) = all.next().cloned() else {
        return Declaration::default();
    };
    for other in all {
        let possible = |group: &String| other.may_contain.contains(group);
        let certain = |group: &String| other.contains.contains(group);
        common.may_contain.retain(|g| possible(g) || certain(g));
        let less: Vec<String> = common.contains.iter().filter(|g| possible(g)).cloned().collect();
        common.contains.retain(certain);
        common.may_contain.extend(less);
    }
    common.unknown = false;
    common
}
