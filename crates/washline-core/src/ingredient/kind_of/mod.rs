//! What nobody can list, answered as its kind: "caraway gin" is a gin. Its composition is what the members of the kind
//! in the library span, its allergens are unknown but for those its name says, and what was taken for granted is said.

mod figures;
mod heading;
mod left;
mod span;
mod words;

use self::figures::Figures;
use self::heading::{alcoholic, heading, in_order};
use self::left::Left;
use self::span::{Span, fit, single, total};
use self::words::{Words, playing, unknown};
use super::kind_table::{Kind, Role, Tells, kinds};
use super::{Basis, Convention, Ingredient, Origin, Quantity, Stock, library, never};
use crate::liquid::{Component, Family};
use crate::tables::IngredientKind;

/// A name of more words is no name.
const MOST_WORDS: usize = 14;

/// A name answered as its kind.
#[derive(Clone, Debug)]
pub struct KindAnswer {
    /// What is computed with: the usual member's composition over the span of the kind.
    pub ingredient: Ingredient,
    /// The kind: "rum"; of a thing that the stock itself names, that name.
    pub kind: String,
    /// The words that name the kind, folded.
    pub head: Vec<String>,
    /// The words that narrow it ("overproof", "2:1", "70 bx"), folded.
    pub deciding: Vec<String>,
    /// The words that nothing here knows, folded: neither kind nor flavour nor way of making. A caller that must
    /// account for each word asks about these.
    pub unknown: Vec<String>,
    /// Whether it is the kind without its alcohol.
    pub alcohol_free: bool,
    /// What was taken for granted, and how to settle it.
    pub said: String,
}

/// The ingredient that a name comes to by its kind, where a word of it tells the kind; `None` where none does, and of
/// what must never go in.
///
/// The last word that names something is what it is ("rum caramel" is a caramel); words before it, and after "with",
/// flavour it. Words that decide what is poured (overproof, reposado, single, dry, 2:1, by volume, 70 °Bx, 58 %) narrow it.
///
/// ```
/// use washline_core::ingredient::{as_kind, library};
/// let taken = as_kind(library(), "fat-washed rum").unwrap();
/// assert_eq!(taken.kind, "rum");
/// assert!(taken.ingredient.allergens_eu.unknown);
/// assert!(as_kind(library(), "tobacco-infused rum").is_none());
/// ```
#[must_use]
pub fn as_kind(stock: &Stock, name: &str) -> Option<KindAnswer> {
    if never(name).is_some() {
        return None;
    }
    let all = in_order(name);
    if all.is_empty() || all.len() > MOST_WORDS {
        return None;
    }
    let (mut words, alcohol_free) = Words::without_alcohol(&all);
    // What follows "with" flavours it; a name that begins with such a word has none.
    let links = playing(Role::Link, &words.all);
    let end = links
        .iter()
        .map(|range| range.start)
        .find(|start| *start > 0)
        .unwrap_or(words.all.len());
    let (heading, behind) = heading(stock, &words.all, end)?;
    words.account_for(&heading.head);
    for range in &links {
        words.account_for(range);
    }
    let fatty = heading.kind.is_some_and(|k| k.tells.contains(&Tells::Fat));
    let figures = Figures::take(&mut words, alcoholic(&heading), fatty);
    let left = Left::of(stock, &heading, &mut words, end)?;
    let unknown = unknown(&words, &behind);

    let kind = heading.kind;
    let free_of = alcohol_free.then(|| kind.and_then(|k| k.alcohol_free)).flatten();
    let span = Span {
        usual: free_of.unwrap_or(left.usual),
        members: left.members,
        strength_of: left.strength_of,
        alcohol_free: free_of.is_some(),
    };
    let sort = kind.map_or(left.usual.name.as_str(), |k| k.name.as_str());
    let mut values = span.values(sort);
    figures.set(&mut values, span.usual);
    let produce = grows(kind, left.usual);
    let (allergens_eu, allergens_us) = span.declarations(name, !produce || !unknown.is_empty());
    let mut ingredient = Ingredient {
        name: name.trim().to_owned(),
        kind: span.usual.kind.clone(),
        groups: span.groups(),
        aliases: Vec::new(),
        basis: span.usual.basis,
        carbonated: span.usual.carbonated || !playing(Role::Fizzy, &words.all).is_empty(),
        allergens_eu,
        allergens_us,
        caution: span.caution(&all.join(" ")),
        note: String::new(),
        values,
        origin: Origin::Library,
    };
    // What was put together can be poured, in either convention.
    for convention in [Convention::Handbook, Convention::Assay] {
        ingredient.liquid(convention, None).ok()?;
    }
    fit(&mut ingredient);
    let narrowed = left.narrowed && !span.alcohol_free;
    Some(KindAnswer {
        kind: sort.to_owned(),
        head: words.all[heading.head.clone()].to_vec(),
        said: said(&ingredient, kind, &span, narrowed, &unknown, produce),
        deciding: words.deciding,
        unknown,
        alcohol_free,
        ingredient,
    })
}

/// Whether it grows: nothing is put in that nobody knows of.
fn grows(kind: Option<&Kind>, usual: &Ingredient) -> bool {
    match kind {
        Some(kind) => kind.produce,
        None => matches!(
            usual.kind,
            IngredientKind::Fruit
                | IngredientKind::Herb
                | IngredientKind::Spice
                | IngredientKind::Vegetable
                | IngredientKind::Juice
        ),
    }
}

/// Whether a name that nobody lists tells what it is: a word of it is that of a kind.
///
/// ```
/// use washline_core::ingredient::tells_its_kind;
/// assert!(tells_its_kind("caraway gin"));
/// assert!(!tells_its_kind("signal lamp"));
/// ```
#[must_use]
pub fn tells_its_kind(name: &str) -> bool {
    as_kind(library(), name).is_some()
}

/// The names of the library's ingredients that a kind spans, the usual one first; `None` where there is no such kind.
///
/// ```
/// use washline_core::ingredient::kind_members;
/// assert!(kind_members("gin").unwrap().any(|name| name == "london dry gin"));
/// assert!(kind_members("signal lamp").is_none());
/// ```
#[must_use]
pub fn kind_members(kind: &str) -> Option<impl Iterator<Item = &'static str> + use<>> {
    let kind = kinds().kinds.iter().find(|k| k.name == kind)?;
    Some(kind.members.iter().map(|member| member.name.as_str()))
}

/// What was taken for granted, in words.
fn said(
    ingredient: &Ingredient,
    kind: Option<&Kind>,
    span: &Span<'_>,
    narrowed: bool,
    unknown: &[String],
    produce: bool,
) -> String {
    let mut said = match kind {
        Some(_) if narrowed && span.members.len() == 1 => format!("taken as {}", span.usual.name),
        Some(kind) if narrowed => format!("taken as {} like {}", kind.said, span.usual.name),
        Some(kind) if span.alcohol_free => {
            let plain = kind.said.trim_start_matches("an ").trim_start_matches("a ");
            let one = if plain == kind.said { "" } else { "an " };
            format!("taken as {one}alcohol-free {plain}")
        }
        Some(kind) => format!("taken as {}", kind.said),
        None => format!("taken as {}", span.usual.name),
    };
    let tells: &[Tells] = match kind {
        Some(_) if span.alcohol_free => &[Tells::Strength, Tells::Sugar],
        Some(kind) => &kind.tells,
        None => &[],
    };
    for tell in tells {
        if let Some(figure) = figure(ingredient, *tell) {
            said = format!("{said}, {figure}");
        }
    }
    if !unknown.is_empty() {
        said = format!("{said}; not understood: {}", unknown.join(" "));
    }
    let cure = if produce {
        "say which it is, or define it in the book"
    } else {
        "read its label or make it a preparation"
    };
    format!("{said}: {cure}")
}

/// One figure with its span, in words.
fn figure(ingredient: &Ingredient, tell: Tells) -> Option<String> {
    let own = Convention::Handbook;
    let (span, places, unit) = match tell {
        Tells::Strength => (single(ingredient, Quantity::Strength, own)?, 1, "% vol"),
        Tells::Sugar => (total(ingredient, Family::Sugar, own), 0, "of sugar"),
        Tells::Acid => (total(ingredient, Family::Acid, own), 0, "of acid"),
        Tells::Fat => (
            single(ingredient, Quantity::Part(Component::Fat), own)?,
            0,
            "of fat",
        ),
        Tells::Salt => (
            single(ingredient, Quantity::Part(Component::Salt), own)?,
            0,
            "of salt",
        ),
    };
    if span.high <= 0.0 {
        return None;
    }
    let shown = |x: f64| {
        let text = format!("{x:.places$}");
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    let per = match (tell, ingredient.basis) {
        (Tells::Strength, _) => "",
        (_, Basis::Litre) => "g/L ",
        (_, Basis::Mass) => "g per 100 g ",
    };
    Some(format!("{} to {} {per}{unit}", shown(span.low), shown(span.high)))
}

#[cfg(test)]
mod tests {
    use super::*;

    const CASES: &str = include_str!("../../../../../fixtures/cases/kinds.csv");

    /// What a row of the cases expects.
    #[derive(serde::Deserialize)]
    struct Case {
        name: String,
        kind: String,
        usual: String,
        strength: String,
        unknown: String,
    }

    fn cases() -> Vec<Case> {
        csv::Reader::from_reader(CASES.as_bytes())
            .deserialize()
            .collect::<Result<_, _>>()
            .unwrap()
    }

    fn span(answer: &KindAnswer, quantity: Quantity) -> String {
        let value = single(&answer.ingredient, quantity, Convention::Handbook).unwrap_or_default();
        format!("{}-{}", value.low, value.high)
    }

    #[test]
    fn names_are_answered_as_their_kind() {
        let mut missed = Vec::new();
        for case in cases() {
            let answer = as_kind(library(), &case.name);
            let seen = answer.as_ref().map_or("none", |a| a.kind.as_str());
            if seen != case.kind {
                missed.push(format!("{}: {seen}, not {}", case.name, case.kind));
                continue;
            }
            let Some(answer) = answer else { continue };
            if !case.usual.is_empty() && !answer.said.contains(&case.usual) {
                missed.push(format!("{}: `{}` says no {}", case.name, answer.said, case.usual));
            }
            let strength = span(&answer, Quantity::Strength);
            if !case.strength.is_empty() && strength != case.strength {
                missed.push(format!("{}: {strength} % vol, not {}", case.name, case.strength));
            }
            if answer.unknown.join(" ") != case.unknown {
                missed.push(format!(
                    "{}: unknown `{}`, not `{}`",
                    case.name,
                    answer.unknown.join(" "),
                    case.unknown
                ));
            }
        }
        assert!(missed.is_empty(), "{}", missed.join("\n"));
    }

    /// Each quantity at each end of its span makes a liquid, as a search and a doubt vary it.
    #[test]
    fn every_answer_pours_at_both_ends_of_its_span() {
        let mut missed = Vec::new();
        let mut seen = std::collections::HashSet::new();
        for case in cases() {
            let Some(answer) = as_kind(library(), &case.name) else {
                continue;
            };
            seen.insert(answer.kind.clone());
            for value in &answer.ingredient.values {
                if !(0.0 <= value.low && value.low <= value.value && value.value <= value.high) {
                    missed.push(format!("{}: {value:?}", case.name));
                }
                for figure in [value.low, value.high] {
                    let convention = value.convention.unwrap_or_default();
                    let other = |q: Quantity, usual: f64| if q == value.quantity { figure } else { usual };
                    if let Err(error) = answer.ingredient.liquid_if(convention, None, &other) {
                        missed.push(format!(
                            "{}: {} at {figure}: {error}",
                            case.name,
                            value.quantity.name()
                        ));
                    }
                }
            }
        }
        assert!(missed.is_empty(), "{}", missed.join("\n"));
        let without: Vec<&str> = kinds()
            .kinds
            .iter()
            .map(|k| k.name.as_str())
            .filter(|k| !seen.contains(*k))
            .collect();
        assert!(without.is_empty(), "no case for {without:?}");
    }

    #[test]
    fn what_was_taken_for_granted_is_said() {
        let said = |name: &str| as_kind(library(), name).unwrap().said;
        assert_eq!(
            said("fat-washed rum"),
            "taken as a rum, 37.5 to 63 % vol: read its label or make it a preparation"
        );
        assert_eq!(
            said("n/a gin"),
            "taken as an alcohol-free gin, 0 to 0.5 % vol, 0 to 15 g/L of sugar: read its label or make it a preparation"
        );
        assert!(said("oldforge bourbon").contains("not understood: oldforge"));
    }

    #[test]
    fn allergens_are_unknown_but_for_those_the_name_says() {
        let declared = |name: &str| {
            as_kind(library(), name)
                .unwrap()
                .ingredient
                .allergens_eu
                .written()
        };
        assert_eq!(declared("brown-butter-washed rum"), "milk; unknown");
        assert_eq!(declared("toasted sourdough whisky"), "gluten; unknown");
        assert_eq!(declared("caraway gin"), "unknown");
        assert_eq!(declared("mixed red fruit"), "none");
        let us = as_kind(library(), "almond-washed rum")
            .unwrap()
            .ingredient
            .allergens_us;
        assert_eq!(us.written(), "tree nuts; unknown");
    }

    #[test]
    fn what_fizzes_fizzes() {
        let fizzes = |name: &str| as_kind(library(), name).unwrap().ingredient.carbonated;
        assert!(fizzes("sparkling jasmine tea") && fizzes("carbonated sloe vermouth") && fizzes("plum soda"));
        assert!(!fizzes("jasmine tea") && !fizzes("sloe vermouth"));
    }

    #[test]
    fn cautions_of_its_name_go_with_it() {
        let caution = |name: &str| as_kind(library(), name).unwrap().ingredient.caution;
        assert!(caution("wormwood gin").contains("thujone"));
        assert!(caution("white grapefruit").contains("medicines"));
        assert!(!caution("egg white, pasteurised").contains("raw egg"));
        assert!(as_kind(library(), "tonka rum").is_none());
    }

    #[test]
    fn what_the_house_has_stands_over_the_library() {
        let mut house = library().clone();
        let mut own = library().get("white rum").unwrap().clone();
        own.name = "harbour rum".to_owned();
        own.aliases.clear();
        own.origin = Origin::House;
        own.values[0].value = 41.5;
        house.put(own);
        let answer = as_kind(&house, "banana-infused harbour rum").unwrap();
        assert_eq!(
            answer.ingredient.figure(Quantity::Strength, Convention::Handbook),
            Some(41.5)
        );
    }

    #[test]
    fn long_and_empty_names_are_no_kind() {
        for name in ["", " ", "()", "of", "with rum", &"rum ".repeat(40)] {
            let answer = as_kind(library(), name);
            assert!(
                answer.is_none_or(|a| a.kind == "rum" && name == "with rum"),
                "{name}"
            );
        }
    }
}
