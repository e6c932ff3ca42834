//! The ingredient library: every row makes a liquid, keeps the law, agrees with the food and trade
//! tables, and every word for it leads where a bartender would go.
//!
//! Published figures stand in `fixtures/reference/` with source and status, names in
//! `fixtures/library/aliases.txt` and `fixtures/cases/near_names.csv`. A check against a MEMORY figure
//! proves that nothing has moved, not that it is right.

use std::collections::{BTreeMap, BTreeSet, HashMap};

use serde::Deserialize;
use washline_core::ingredient::{
    Basis, Convention, Declaration, Found, Ingredient, Meaning, Quantity, Shape, Status, Stock, library,
};
use washline_core::liquid::{Component, Family, Liquid};
use washline_core::names::key;
use washline_core::tables::IngredientKind;

use crate::published_liquids::{none_missed, table};

const CONVENTIONS: [Convention; 2] = [Convention::Handbook, Convention::Assay];

fn liquid(ingredient: &Ingredient, convention: Convention) -> Liquid {
    ingredient
        .liquid(convention, None)
        .unwrap_or_else(|error| panic!("{error}"))
}

fn named(name: &str) -> &'static Ingredient {
    library()
        .iter()
        .find(|i| i.name == name)
        .unwrap_or_else(|| panic!("no ingredient is named `{name}`"))
}

fn number(text: &str) -> f64 {
    text.trim()
        .parse()
        .unwrap_or_else(|_| panic!("`{text}` is not a number"))
}

fn words(cell: &str) -> impl Iterator<Item = &str> {
    cell.split(';').filter(|w| !w.trim().is_empty())
}

// ------------------------------------------------------------------ every row

#[test]
fn every_liquid_is_finite_and_closes() {
    let mut missed = Vec::new();
    for (ingredient, convention) in library().iter().flat_map(|i| CONVENTIONS.map(|c| (i, c))) {
        let liquid = liquid(ingredient, convention);
        let mut fault =
            |what: String| missed.push(format!("{} ({}): {what}", ingredient.name, convention.word()));
        for (component, grams) in liquid.parts() {
            if !(grams.is_finite() && grams >= 0.0) {
                fault(format!("{} is {grams} g", component.facts().name));
            }
        }
        let derived = [
            liquid.volume_ml(),
            liquid.mass_g(),
            liquid.energy_kj(),
            liquid.sweetness_as_sucrose_g(),
            liquid.acid_as_citric_g(),
        ];
        if !derived.iter().all(|d| d.is_finite() && *d >= 0.0) {
            fault(format!("a derived figure is off: {derived:?}"));
        }
        // A litre is a litre, 100 g are 100 g; food tables round each part to 0.01 g.
        let (whole, size, tolerance) = match ingredient.basis {
            Basis::Litre => (liquid.volume_ml(), 1000.0, 0.01),
            Basis::Mass => (liquid.mass_g(), 100.0, 0.06),
        };
        if !((whole - size).abs() <= tolerance) {
            fault(format!("its parts come to {whole}, not {size}"));
        }
    }
    none_missed(&missed);
}

/// How far the model may be from a published density, g/ml. The published ones are mostly a
/// household cup or fluid ounce weighed to the gram, good to 2 %; what is dissolved in a juice is
/// known to about as much.
const DENSITY_LIMIT: f64 = 0.010;

/// Counted by the handbook with twice the sugar that the food tables find in it, so that its
/// modelled density is not that of the weighed juice.
const NOT_WEIGHED: (&str, Convention) = ("coconut water", Convention::Handbook);

#[test]
fn modelled_densities_are_near_the_published_ones() {
    let (mut missed, mut seen) = (Vec::new(), 0);
    for (ingredient, convention) in library().iter().flat_map(|i| CONVENTIONS.map(|c| (i, c))) {
        for value in ingredient
            .values_in(convention)
            .filter(|v| v.quantity == Quantity::Density)
        {
            seen += 1;
            if (ingredient.name.as_str(), convention) == NOT_WEIGHED {
                continue;
            }
            let modelled = liquid(ingredient, convention).density_g_per_ml().unwrap();
            if !((modelled - value.value).abs() <= DENSITY_LIMIT) {
                missed.push(format!(
                    "{} ({}): {modelled:.4}, published {}",
                    ingredient.name,
                    convention.word(),
                    value.value
                ));
            }
        }
    }
    assert!(seen >= 54, "{seen} densities");
    none_missed(&missed);
}

#[derive(Deserialize)]
struct FoodEnergy {
    ingredient: String,
    food: String,
    kj_per_100g: f64,
    kcal_per_100g: f64,
    source: String,
    locator: String,
    status: String,
}

#[test]
fn energies_are_near_the_food_table() {
    // 12 %, or 12.5 kJ (3 kcal) where there is hardly any: the food table takes energy factors food
    // by food (3.4 to 4.1 kcal a gram of carbohydrate), the Regulation one factor for all.
    let rows: Vec<FoodEnergy> = table("food_energy.csv");
    assert!(rows.len() >= 61, "{} rows", rows.len());
    // In this row the food table's sugars (12.08 g) are more than its carbohydrate (11.61 g), of which
    // its energy is made: the model takes the sugars.
    const AT_ODDS: &str = "peach nectar";
    let mut missed = Vec::new();
    for row in rows {
        assert!(
            !row.source.is_empty() && !row.locator.is_empty() && row.status == "COMPUTED",
            "{}",
            row.food
        );
        assert!(
            (row.kj_per_100g - 4.184 * row.kcal_per_100g).abs() < 0.06,
            "{}: kJ and kcal disagree",
            row.food
        );
        // The food table's juices are what assays find.
        let liquid = liquid(named(&row.ingredient), Convention::Assay);
        let modelled = liquid.energy_kj() / liquid.mass_g() * 100.0;
        let share = if row.ingredient == AT_ODDS { 0.14 } else { 0.12 };
        let limit = (share * row.kj_per_100g).max(12.5);
        if !((modelled - row.kj_per_100g).abs() <= limit) {
            missed.push(format!(
                "{}: {modelled:.0} kJ per 100 g, {} has {:.0}",
                row.ingredient, row.food, row.kj_per_100g
            ));
        }
    }
    none_missed(&missed);
}

#[test]
fn every_value_lies_in_its_span_and_says_its_source() {
    let mut missed = Vec::new();
    for ingredient in library().iter() {
        let mut once = BTreeSet::new();
        for value in &ingredient.values {
            let mut fault =
                |what: &str| missed.push(format!("{}, {}: {what}", ingredient.name, value.quantity.name()));
            if !(0.0 <= value.low
                && value.low <= value.value
                && value.value <= value.high
                && value.high.is_finite())
            {
                fault("outside its span");
            }
            if value.shape == Shape::Exact && value.low < value.high {
                fault("exact, but with a span");
            }
            if value.source.trim().len() < 4 {
                fault("no source");
            }
            if value.status == Status::Measured {
                fault("measured, but by whom? a library figure is no house's");
            }
            if value.status == Status::Read
                && (value.source.contains("recalled") || value.source == "from memory")
            {
                fault("read and recalled at once");
            }
            if !once.insert((value.quantity, value.convention.map(Convention::word))) {
                fault("stands twice");
            }
        }
        if ingredient.name.trim() != ingredient.name || ingredient.name.to_lowercase() != ingredient.name {
            missed.push(format!("{}: a name is lower case", ingredient.name));
        }
        // `none` is a finding, never a gap.
        for declared in [&ingredient.allergens_eu, &ingredient.allergens_us] {
            if declared.contains.iter().any(|w| declared.may_contain.contains(w)) {
                missed.push(format!(
                    "{}: contains and may contain {declared:?}",
                    ingredient.name
                ));
            }
        }
    }
    none_missed(&missed);
}

/// A law fixes these exactly, so that only the label's tolerance (0.3 % vol) is left of the span.
const FIXED_BY_LAW: [&str; 1] = ["bottled-in-bond whiskey"];

/// A figure from memory is never exact. Its span is at least a tenth of it from end to end (±5 %), or
/// one unit of its column (±0.5). A density only checks the model: ±0.25 %.
#[test]
fn figures_from_memory_are_wide() {
    let mut missed = Vec::new();
    for ingredient in library().iter() {
        for value in ingredient.values.iter().filter(|v| v.status == Status::Memory) {
            let wide = value.high - value.low;
            let least = match value.quantity {
                Quantity::Density => 0.005 * value.value,
                Quantity::BulkDensity if ingredient.groups.iter().any(|g| g == "fats") => 0.005 * value.value,
                Quantity::Strength if FIXED_BY_LAW.contains(&ingredient.name.as_str()) => 0.6,
                _ => (0.1 * value.value).min(1.0),
            };
            // Limits are written with four digits.
            if value.shape == Shape::Exact || wide < least * 0.999 {
                missed.push(format!(
                    "{}, {}: {} from {} to {}",
                    ingredient.name,
                    value.quantity.name(),
                    value.value,
                    value.low,
                    value.high
                ));
            }
        }
    }
    none_missed(&missed);
}

// ------------------------------------------------------------------ the law

#[derive(Deserialize)]
struct Limit {
    rule: String,
    covers: String,
    except: String,
    why_except: String,
    quantity: String,
    bound: String,
    limit: String,
    span: String,
    source: String,
    locator: String,
    status: String,
}

fn covered(covers: &str) -> Vec<&'static Ingredient> {
    library()
        .iter()
        .filter(|i| {
            words(covers).any(|cover| match cover.split_once(' ') {
                Some(("kind", kind)) => i.kind.word() == kind,
                Some(("group", group)) => i.groups.iter().any(|g| g == group),
                Some(("name", name)) => i.name == name,
                Some(("starts", start)) => i.name.starts_with(start),
                Some(("alias", start)) => i.aliases.iter().any(|a| a.starts_with(start)),
                _ => panic!("`{cover}`: kind, group, name, starts or alias"),
            })
        })
        .collect()
}

/// Low, nominal and high of what a law limits, under one convention.
fn limited(ingredient: &Ingredient, quantity: &str, convention: Convention) -> [f64; 3] {
    // A gram of sucrose inverts to 1.0526 g: the law counts liqueurs' sugar so (molar masses).
    const INVERT: f64 = 360.32 / 342.30;
    let sugars = |weight: &dyn Fn(Component) -> f64| {
        let mut sum = [0.0; 3];
        for value in ingredient.values_in(convention) {
            if let Quantity::Part(component) = value.quantity
                && component.facts().family == Family::Sugar
            {
                for (total, figure) in sum.iter_mut().zip([value.low, value.value, value.high]) {
                    *total += weight(component) * figure;
                }
            }
        }
        sum
    };
    let liquid = liquid(ingredient, convention);
    let share = |grams: f64| [100.0 * grams / liquid.mass_g(); 3];
    match quantity {
        "strength" => ingredient
            .value(Quantity::Strength, convention)
            .map_or([0.0; 3], |v| [v.low, v.value, v.high]),
        "sugar" => sugars(&|_| 1.0),
        "sugar as invert" => sugars(&|c| match c {
            Component::Sucrose | Component::SugarsUnspecified => INVERT,
            _ => 1.0,
        }),
        "solids" => share(liquid.mass_g() - liquid.grams(Component::Water)),
        "water" => share(liquid.grams(Component::Water)),
        "fat" => share(liquid.fat_g()),
        "sucrose" => share(liquid.grams(Component::Sucrose)),
        "fructose and glucose" => share(liquid.grams(Component::Fructose) + liquid.grams(Component::Glucose)),
        other => panic!("no quantity `{other}`"),
    }
}

/// Whether an ingredient keeps a rule; the fault in words when not.
fn keeps(rule: &Limit, ingredient: &Ingredient) -> Result<(), String> {
    let declares = |declared: &Declaration, maybe: bool| {
        declared.contains.contains(&rule.limit) || maybe && declared.may_contain.contains(&rule.limit)
    };
    match (rule.quantity.as_str(), rule.bound.as_str()) {
        ("declares", "contains") if declares(&ingredient.allergens_eu, false) => return Ok(()),
        ("declares", "contains or may contain") if declares(&ingredient.allergens_eu, true) => return Ok(()),
        ("declares", _) => return Err(format!("declares {}", ingredient.allergens_eu.written())),
        ("caution", _) if ingredient.caution.contains(&rule.limit) => return Ok(()),
        ("caution", _) => return Err(format!("its caution is `{}`", ingredient.caution)),
        _ => {}
    }
    let limit = number(&rule.limit);
    // The ends of a span may pass the limit by what a label may be off: 0.3 % vol in strength
    // (business guide to labelling, READ), 3 g/L in the sugar of sparkling wine (Annex III, READ).
    let (ends, slack) = match (rule.span.as_str(), rule.quantity.as_str()) {
        ("value", _) => (false, 0.0),
        ("whole", "strength") => (true, 0.3),
        ("whole", _) => (true, 0.0),
        ("label 3", _) => (true, 3.0),
        (other, _) => panic!("no span `{other}`"),
    };
    for convention in CONVENTIONS {
        let [low, value, high] = limited(ingredient, &rule.quantity, convention);
        let held = match rule.bound.as_str() {
            "at least" => value >= limit - 1e-9 && (!ends || low >= limit - slack - 1e-9),
            "at most" => value <= limit + 1e-9 && (!ends || high <= limit + slack + 1e-9),
            "under" => value < limit && (!ends || high < limit + slack),
            other => panic!("no bound `{other}`"),
        };
        if !held {
            return Err(format!(
                "{low:.1} to {high:.1}, nominal {value:.1} ({})",
                convention.word()
            ));
        }
    }
    Ok(())
}

#[test]
fn ingredients_keep_the_law() {
    let rules: Vec<Limit> = table("legal_limits.csv");
    assert!(rules.len() >= 80, "{} rules", rules.len());
    let mut missed = Vec::new();
    for rule in rules {
        assert!(
            !rule.source.is_empty() && !rule.locator.is_empty() && !rule.status.is_empty(),
            "{}",
            rule.rule
        );
        let except: Vec<&str> = words(&rule.except).collect();
        assert_eq!(
            except.is_empty(),
            rule.why_except.is_empty(),
            "{}: an exception says why",
            rule.rule
        );
        let covers = covered(&rule.covers);
        // Each part of a rule covers something, or it checks nothing.
        for part in words(&rule.covers) {
            assert!(
                !covered(part).is_empty(),
                "{}: `{part}` covers no ingredient",
                rule.rule
            );
        }
        let line = |i: &Ingredient, what: String| {
            format!(
                "{}: {} {} {} {}: {what}",
                i.name, rule.rule, rule.quantity, rule.bound, rule.limit
            )
        };
        let exempt = |i: &Ingredient| {
            except.contains(&i.name.as_str())
                || except.iter().any(|e| {
                    e.strip_prefix("group ")
                        .is_some_and(|g| i.groups.iter().any(|o| o == g))
                })
        };
        let mut held = 0;
        for ingredient in &covers {
            match keeps(&rule, ingredient) {
                _ if exempt(ingredient) => {}
                Ok(()) => held += 1,
                Err(what) => missed.push(line(ingredient, what)),
            }
        }
        if held == 0 && missed.is_empty() {
            missed.push(format!("{}: nothing is held to it", rule.rule));
        }
        for name in except.iter().filter(|e| !e.starts_with("group ")) {
            let excepted = covers.iter().find(|i| i.name == *name);
            let excepted =
                excepted.unwrap_or_else(|| panic!("{}: `{name}` is not covered, so no exception", rule.rule));
            if keeps(&rule, excepted).is_ok() {
                missed.push(line(
                    excepted,
                    "keeps the rule, so it needs no exception".to_owned(),
                ));
            }
        }
    }
    none_missed(&missed);
}

// ------------------------------------------------------------------ the trade's table

#[derive(Deserialize)]
struct TradeFigure {
    row: String,
    ingredient: String,
    convention: String,
    quantity: String,
    figure: String,
    differs: String,
    source: String,
    locator: String,
    status: String,
}

/// Rows of the trade table whose figure the library does not take, all for the reason written there.
const DIFFERING: [(&str, &str); 8] = [
    ("crème de cassis", "acid"),
    ("passion fruit juice", "sugar"),
    ("unsweetened cranberry juice", "sugar"),
    ("mandarin juice", "sugar"),
    ("espresso", "acid"),
    ("grapefruit juice", "sugar"),
    ("orange juice", "sugar"),
    ("unsweetened cranberry juice", "acid"),
];

#[test]
fn trade_figures_are_the_librarys() {
    let figures: Vec<TradeFigure> = table("trade_figures.csv");
    let rows: BTreeSet<&str> = figures.iter().map(|f| f.row.as_str()).collect();
    assert_eq!(rows.len(), 172);
    assert!(figures.len() >= 516, "{} figures", figures.len());
    // Which ingredient carries a row is the library's own list: both say the same.
    let carried = std::fs::read(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../fixtures/library/extract/trade_rows.csv"
    ))
    .unwrap();
    let carried: BTreeSet<(String, String, String)> = csv::Reader::from_reader(carried.as_slice())
        .records()
        .map(|r| {
            r.map(|r| (r[0].to_owned(), r[1].to_owned(), r[2].to_owned()))
                .unwrap()
        })
        .collect();
    let checked = figures
        .iter()
        .map(|f| (f.ingredient.clone(), f.row.clone(), f.convention.clone()));
    assert_eq!(carried, checked.collect());

    let mut missed = Vec::new();
    let mut differing = BTreeSet::new();
    for figure in &figures {
        let known = ["READ", "COMPUTED", "MEMORY"];
        assert!(
            !figure.source.is_empty() && !figure.locator.is_empty(),
            "{}",
            figure.row
        );
        assert!(
            known.iter().any(|k| figure.status.starts_with(k)),
            "{}: {}",
            figure.row,
            figure.status
        );
        let ingredient = named(&figure.ingredient);
        let convention = Convention::from_word(&figure.convention).unwrap_or_default();
        let litre = liquid(ingredient, convention).of_volume(1000.0).unwrap();
        let (got, least) = match figure.quantity.as_str() {
            "strength" => (litre.abv_pct().unwrap(), 0.01),
            "sugar" => (litre.sugar_g(), 0.006),
            "acid" => (litre.acid_as_citric_g(), 0.006),
            other => panic!("no quantity `{other}`"),
        };
        let expected = number(&figure.figure);
        // Sugars and acids within 2 %: the library splits them by kind and rounds each part.
        let limit = if figure.quantity == "strength" {
            least
        } else {
            (0.02 * expected).max(least)
        };
        let agrees = (got - expected).abs() <= limit;
        if !figure.differs.is_empty() {
            differing.insert((figure.ingredient.as_str(), figure.quantity.as_str()));
            if agrees {
                missed.push(format!(
                    "{}, {}: agrees after all, yet `{}`",
                    figure.ingredient, figure.quantity, figure.differs
                ));
            }
        } else if !agrees {
            missed.push(format!(
                "{}, {}: {got:.3}, the trade table has {expected}",
                figure.ingredient, figure.quantity
            ));
        }
    }
    none_missed(&missed);
    assert_eq!(differing, DIFFERING.into_iter().collect());
}

// ------------------------------------------------------------------ words

/// Every word that leads to an ingredient without being its name, one a line.
fn listing(stock: &Stock) -> String {
    let mut lines = BTreeSet::new();
    for ingredient in stock.iter() {
        for alias in &ingredient.aliases {
            lines.insert(format!("{alias} → {}", ingredient.name));
        }
    }
    for (said, meaning) in stock.meanings() {
        lines.insert(match meaning {
            Meaning::Taken {
                target, candidates, ..
            } => {
                let others: Vec<&str> = candidates
                    .iter()
                    .filter(|c| *c != target)
                    .map(String::as_str)
                    .collect();
                format!(
                    "{said} → {target}, shown as an assumption; could be {}",
                    others.join(", ")
                )
            }
            Meaning::Asked { candidates, .. } => format!("{said} → asks: {}", candidates.join(", ")),
        });
    }
    lines
        .into_iter()
        .fold(String::new(), |all, line| all + &line + "\n")
}

#[test]
fn every_alias_is_one_that_was_read_by_a_person() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/library/aliases.txt");
    let now = listing(library());
    if std::env::var_os("WASHLINE_WRITE_ALIASES").is_some() {
        std::fs::write(path, &now).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default();
    let (old, new): (BTreeSet<&str>, BTreeSet<&str>) = (kept.lines().collect(), now.lines().collect());
    let gone = old.difference(&new).map(|l| format!("- {l}"));
    let come = new.difference(&old).map(|l| format!("+ {l}"));
    let differing: Vec<String> = gone.chain(come).collect();
    assert!(
        differing.is_empty() && kept == now,
        "fixtures/library/aliases.txt is not what the library says:\n{}\nRead these lines as a bartender would. If each \
         leads to the right thing, write the list anew: WASHLINE_WRITE_ALIASES=1 cargo test -p washline-core --test core library",
        differing.join("\n")
    );
}

#[test]
fn a_word_leads_to_one_thing() {
    let stock = library();
    let mut missed = Vec::new();
    let mut owner: HashMap<String, &str> = HashMap::new();
    for ingredient in stock.iter() {
        for word in std::iter::once(&ingredient.name).chain(&ingredient.aliases) {
            if let Some(other) = owner.insert(key(word), &ingredient.name) {
                missed.push(format!("`{word}` is {other} and {}", ingredient.name));
            }
            match stock.find(word) {
                Found::Sure(found) if found.name == ingredient.name => {}
                other => missed.push(format!("`{word}` of {} leads to {other:?}", ingredient.name)),
            }
        }
    }
    for (said, meaning) in stock.meanings() {
        if let Some(other) = owner.get(said) {
            missed.push(format!("`{said}` is ambiguous and {other}"));
        }
        let (Meaning::Taken { candidates, why, .. } | Meaning::Asked { candidates, why }) = meaning;
        if candidates.len() < 2 || why.is_empty() {
            missed.push(format!("`{said}` is ambiguous between {candidates:?}: {why}"));
        }
        if let Meaning::Taken { target, .. } = meaning
            && candidates.first() != Some(target)
        {
            missed.push(format!(
                "`{said}` is taken as {target}, which does not stand first"
            ));
        }
        for candidate in candidates {
            if !stock.iter().any(|i| i.name == *candidate) {
                missed.push(format!("`{said}` could be `{candidate}`, which is no name"));
            }
        }
    }
    none_missed(&missed);
}

#[test]
fn no_word_is_a_mark() {
    // Certification, protection and trade marks say who vouches for a bottle, not what is in it.
    const MARKS: [&str; 18] = [
        "organic",
        "halal",
        "fairtrade",
        "fair trade",
        "trappist",
        "protected",
        "pdo",
        "pgi",
        "dop",
        "igp",
        "aoc",
        "aop",
        "docg",
        "doc",
        "rainforest",
        "certified",
        "vegan society",
        "marque",
    ];
    let mut missed = Vec::new();
    for ingredient in library().iter() {
        for word in std::iter::once(&ingredient.name).chain(&ingredient.aliases) {
            let folded = format!(" {} ", key(word));
            let marked =
                MARKS.iter().any(|m| folded.contains(&format!(" {m} "))) || word.contains(['®', '™', '©']);
            // The coarse flakes that American bars call so, whoever vouches for them.
            let kosher = folded.contains(" kosher ") && word != "kosher salt";
            if marked || kosher || word.chars().any(char::is_uppercase) {
                missed.push(format!("`{word}` of {}", ingredient.name));
            }
        }
    }
    none_missed(&missed);
}

/// What must never be taken silently: asked about, or taken with a sentence that says so.
#[test]
fn words_with_several_meanings_are_asked_or_said() {
    let stock = library();
    for word in ["Vermouth", "sherry", "wine", "schnapps", "horchata", "brine"] {
        let Found::Ask(candidates, why) = stock.find(word) else {
            panic!("`{word}` is not asked about")
        };
        assert!(candidates.len() >= 2 && !why.is_empty(), "{word}");
    }
    let taken = [
        ("lime", "lime juice"),
        ("fresh lemons", "lemon juice"),
        ("bitters", "aromatic bitters"),
        ("whiskey", "bourbon whiskey"),
        ("whisky", "blended scotch whisky"),
        ("simple syrup", "simple syrup 1:1 by mass"),
        ("rum", "white rum"),
        ("prosecco", "extra dry sparkling wine"),
        ("cranberry juice", "cranberry juice cocktail"),
        ("apricot juice", "apricot nectar"),
        ("honey syrup 1:1", "honey syrup 1:1 by volume"),
        ("cherry brandy", "cherry liqueur"),
        ("rice wine", "sake"),
        ("navy rum", "dark rum"),
        ("cream", "heavy cream"),
        ("coconut cream", "unsweetened coconut cream"),
        ("lemonade", "lemon-lime soda"),
        ("falernum", "falernum liqueur"),
        ("herbal liqueur", "yellow herbal liqueur"),
        ("coconut rum", "coconut rum liqueur"),
    ];
    for (word, target) in taken {
        let Found::Taken(ingredient, said) = stock.find(word) else {
            panic!("`{word}` is taken without a word, or not at all")
        };
        assert_eq!(ingredient.name, target, "{word}");
        assert!(
            said.contains(target) && said.contains("could also be"),
            "{word}: {said}"
        );
    }
    let mut missed = Vec::new();
    for (word, meaning) in stock.meanings() {
        let right = match (stock.find(word), meaning) {
            (Found::Taken(ingredient, said), Meaning::Taken { target, .. }) => {
                ingredient.name == *target && said.contains(target.as_str())
            }
            (Found::Ask(asked, _), Meaning::Asked { candidates, .. }) => asked == *candidates,
            _ => false,
        };
        if !right {
            missed.push(format!("`{word}`: {:?}", stock.find(word)));
        }
    }
    none_missed(&missed);
}

/// Words whose wrong reading changes the drink: strength, sugar, what a thing is pressed from.
#[test]
fn near_relations_stay_apart() {
    let pairs = [
        ("calvados", "apple brandy"),
        ("navy-strength rum", "overproof rum"),
        ("manzanilla", "fino"),
        ("dry white port", "white port"),
        ("triple sec", "low-strength triple sec"),
        ("falernum syrup", "falernum liqueur"),
        ("coconut-flavoured rum", "coconut rum liqueur"),
        ("elderflower cordial", "elderflower liqueur"),
        ("sweetened coconut cream", "unsweetened coconut cream"),
        ("almond milk", "sweetened almond milk"),
        ("sugar-free ginger beer", "light ginger beer"),
        ("diet tonic", "light tonic"),
        ("peach nectar", "peach purée"),
        ("sparkling sake", "sake"),
        ("hard seltzer", "seltzer"),
        ("alcohol-free gin", "gin"),
        ("old tom", "dry gin"),
        ("advocaat", "eggnog"),
        ("medium-dry amontillado", "amontillado"),
        ("verjus", "white grape juice"),
        ("pasteurised egg white", "egg white"),
        ("espresso", "black coffee"),
        ("lactic acid solution 10 %", "liquid lactic acid"),
    ];
    let led = |word: &str| match library().find(word) {
        Found::Sure(i) | Found::Taken(i, _) => i.name.clone(),
        other => panic!("`{word}`: {other:?}"),
    };
    for (one, other) in pairs {
        assert_ne!(led(one), led(other), "{one} and {other}");
    }
}

// ------------------------------------------------------------------ juices

/// Sugars and acids are among what a refractometer sees: no juice holds more of them than its soluble solids. Codex STAN
/// 247-2005 asks for so many °Brix of a juice made of concentrate (from memory); a sweet fruit has up to a third more.
#[test]
fn sugars_and_acids_never_exceed_soluble_solids() {
    for (juice, brix) in [
        ("apple juice", 11.5),
        ("grape juice", 16.0),
        ("grapefruit juice", 10.0),
        ("orange juice", 11.2),
        ("pineapple juice", 12.8),
        ("unsweetened cranberry juice", 7.5),
        ("pomegranate juice", 12.0),
        ("passion fruit juice", 12.0),
        ("tomato juice", 5.0),
        ("lemon juice", 8.0),
        ("lime juice", 8.0),
    ] {
        for convention in CONVENTIONS {
            let litre = liquid(named(juice), convention);
            let solids = 100.0 * (litre.sugar_g() + litre.acid_as_citric_g()) / litre.mass_g();
            assert!(
                solids <= 1.34 * brix,
                "{juice}: {solids:.1} g/100 g of {brix} °Brix"
            );
        }
    }
    // Of anything: not more than is not water.
    for ingredient in library().iter() {
        for convention in CONVENTIONS {
            let litre = liquid(ingredient, convention);
            let dry = litre.mass_g() - litre.grams(Component::Water) - litre.ethanol_g();
            assert!(litre.sugar_g() <= dry + 1e-9, "{}", ingredient.name);
        }
    }
}

/// Limes and lemons differ as the assays found, under either convention: 6.9 of 45.9 and 3.8 of 48.0 g/L are one standard
/// deviation (Penniston et al., J. Endourol., 2008).
#[test]
fn the_convention_changes_the_middle_of_a_juice_and_not_its_width() {
    for (juice, share) in [
        ("lime juice", 1.96 * 6.9 / 45.9),
        ("lemon juice", 1.96 * 3.8 / 48.0),
    ] {
        for convention in CONVENTIONS {
            let ingredient = named(juice);
            let acids: Vec<_> = ingredient
                .values_in(convention)
                .filter(|v| matches!(v.quantity, Quantity::Part(c) if c.facts().family == Family::Acid))
                .collect();
            let sum =
                |of: fn(&washline_core::ingredient::Value) -> f64| acids.iter().map(|v| of(v)).sum::<f64>();
            let half = 0.5 * (sum(|v| v.high) - sum(|v| v.low)) / sum(|v| v.value);
            assert!(
                (half - share).abs() < 0.005,
                "{juice}, {convention:?}: ±{half:.3}, assayed ±{share:.3}"
            );
        }
    }
}

#[test]
fn juices_follow_their_convention() {
    // g/100 ml: juice, acid and sugar as the handbook counts them (Arnold, Liquid Intelligence, 2014,
    // table of juices, secondary transcription), acid as assays find it (Penniston et al. 2008: citric
    // 4.80 in lemon, 4.59 in lime, 0.91 in orange; grapefruit has no other figure than the handbook's). Sugar of orange and
    // grapefruit is that of the food tables in both: what the handbook has, recalled, is soluble solids.
    for (juice, acid, sugar, assayed, status) in [
        ("lemon juice", 6.0, 1.6, 4.80, Status::Read),
        ("lime juice", 6.0, 1.6, 4.59, Status::Read),
        ("orange juice", 0.8, 8.5, 0.91, Status::Read),
        ("grapefruit juice", 2.4, 7.4, 2.4, Status::Read),
    ] {
        let ingredient = named(juice);
        let handbook = liquid(ingredient, Convention::Handbook);
        let assay = liquid(ingredient, Convention::Assay);
        let near = |got: Option<f64>, expected: f64, within: f64| {
            assert!(
                (got.unwrap() - expected).abs() <= within,
                "{juice}: {got:?}, expected {expected}"
            )
        };
        near(handbook.acid_g_per_100ml(), acid, 0.01);
        near(handbook.sugar_g_per_100ml(), sugar, 0.01);
        near(assay.acid_g_per_100ml(), assayed, 0.01);
        let citric = |c| ingredient.value(Quantity::Part(Component::Citric), c).unwrap();
        assert_eq!(citric(Convention::Handbook).status, status, "{juice}");
        assert_eq!(citric(Convention::Assay).status, status, "{juice}");
        assert!(citric(Convention::Handbook).source.contains("Arnold"), "{juice}");
        if juice != "grapefruit juice" {
            assert!(citric(Convention::Assay).source.contains("Penniston"), "{juice}");
        }
    }
    for juice in ["lemon juice", "lime juice"] {
        let assay = liquid(named(juice), Convention::Assay)
            .acid_g_per_100ml()
            .unwrap();
        assert!((4.5..=4.85).contains(&assay), "{juice}: {assay}");
        // Muddled, the fruit gives what its juice holds.
        for convention in CONVENTIONS {
            let pressed = liquid(named(&juice.replace("juice", "fruit")), convention);
            let poured = liquid(named(juice), convention);
            let (a, b) = (
                pressed.acid_g_per_100ml().unwrap(),
                poured.acid_g_per_100ml().unwrap(),
            );
            assert!((a - b).abs() <= 0.05, "{juice}: {a} pressed, {b} poured");
        }
    }
    // A bottle of concentrate has one acidity, whatever the convention.
    for bottle in ["bottled lemon juice", "bottled lime juice"] {
        let [one, other] = CONVENTIONS.map(|c| liquid(named(bottle), c).acid_as_citric_g());
        assert!((one - other).abs() < 1e-9, "{bottle}");
    }
}

// ------------------------------------------------------------------ near names

#[derive(Deserialize)]
struct NearName {
    typed: String,
    right: String,
    error: String,
}

#[test]
fn misspelt_names_find_their_ingredient() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../fixtures/cases/near_names.csv");
    let rows: Vec<NearName> = csv::Reader::from_path(path)
        .unwrap()
        .deserialize()
        .map(Result::unwrap)
        .collect();
    assert_eq!(rows.len(), 40);
    let mut kinds = BTreeSet::new();
    let (mut missed, mut wrong) = (Vec::new(), Vec::new());
    for row in &rows {
        assert!(!row.error.is_empty(), "{}", row.typed);
        kinds.insert(named(&row.right).kind.word());
        match library().find(&row.typed) {
            Found::Unknown if library().nearest(&row.typed).first() == Some(&row.right) => {}
            Found::Unknown => missed.push(format!(
                "`{}` ({}): {:?}, meant {}",
                row.typed,
                row.error,
                library().nearest(&row.typed),
                row.right
            )),
            Found::Sure(i) | Found::Taken(i, _) => {
                wrong.push(format!("`{}` is no misspelling: it is {}", row.typed, i.name))
            }
            Found::Ask(candidates, _) => {
                wrong.push(format!("`{}` is no misspelling: {candidates:?}", row.typed))
            }
        }
    }
    none_missed(&wrong);
    assert!(kinds.len() >= 28, "only these kinds: {kinds:?}");
    assert!(
        missed.len() <= 4,
        "{} of {} misspelt names are not found first:\n{}",
        missed.len(),
        rows.len(),
        missed.join("\n")
    );
}

#[test]
fn nothing_is_suggested_for_nonsense() {
    for typed in ["zzzz", "qwertyuiop", "xx", "!!"] {
        let (Found::Unknown, near) = (library().find(typed), library().nearest(typed)) else {
            panic!("`{typed}` is a name")
        };
        assert!(near.is_empty(), "`{typed}`: {near:?}");
    }
}

// ------------------------------------------------------------------ groups

fn group(name: &str) -> Vec<&'static Ingredient> {
    library().group(name)
}

#[test]
fn any_of_a_kind_is_of_that_kind() {
    type Is = fn(&Ingredient) -> bool;
    fn of(ingredient: &Ingredient, group: &str) -> bool {
        ingredient.groups.iter().any(|g| g == group)
    }
    fn strength(ingredient: &Ingredient) -> f64 {
        ingredient
            .figure(Quantity::Strength, Convention::Handbook)
            .unwrap_or(0.0)
    }
    // Named in both numbers, how many there are at least, which is computed, and what each must be.
    let rules: [(&str, &str, usize, &str, Is); 14] = [
        ("anise liqueur", "anise liqueurs", 3, "sambuca", |i| {
            i.kind == IngredientKind::Liqueur && (i.name.contains("anise") || i.name == "sambuca")
        }),
        ("berry", "berries", 8, "fresh strawberry", |i| {
            i.kind == IngredientKind::Fruit
        }),
        ("hot sauce", "hot sauces", 3, "hot pepper sauce", |i| {
            i.kind == IngredientKind::Sauce && i.name.contains("sauce")
        }),
        ("white spirit", "white spirits", 20, "vodka", |i| {
            i.kind == IngredientKind::Spirit && !of(i, "aged spirits") && (37.5..=65.0).contains(&strength(i))
        }),
        ("bitters", "bitters", 12, "aromatic bitters", |i| {
            i.kind == IngredientKind::Bitters
        }),
        ("gin", "gins", 5, "london dry gin", |i| {
            i.kind == IngredientKind::Spirit && (i.name.contains("gin") || i.name == "genever")
        }),
        ("rum", "rums", 8, "white rum", |i| {
            i.kind == IngredientKind::Spirit && i.name.contains("rum")
        }),
        ("whisky", "whiskies", 10, "bourbon whiskey", |i| {
            i.kind == IngredientKind::Spirit && strength(i) >= 40.0
        }),
        ("soda", "sodas", 20, "soda water", |i| {
            i.carbonated && strength(i) <= 0.0
        }),
        (
            "sweet vermouth",
            "sweet vermouths",
            3,
            "sweet red vermouth",
            |i| i.kind == IngredientKind::AromatisedWine,
        ),
        ("citrus juice", "citrus juices", 10, "lemon juice", |i| {
            i.kind == IngredientKind::Juice && strength(i) <= 0.0
        }),
        ("nut syrup", "nut syrups", 4, "orgeat", |i| {
            i.kind == IngredientKind::Syrup
                && i.allergens_eu
                    .contains
                    .iter()
                    .chain(&i.allergens_eu.may_contain)
                    .any(|w| w == "nuts")
        }),
        ("milk", "milks", 4, "whole milk", |i| {
            i.kind == IngredientKind::Dairy && !of(i, "cultured dairy")
        }),
        (
            "red bitter aperitif",
            "red bitter aperitifs",
            2,
            "red bitter aperitif",
            |i| i.kind == IngredientKind::BitterLiqueur,
        ),
    ];
    let mut missed = Vec::new();
    for (one, many, least, first, is) in rules {
        let members = group(many);
        let by = |m: &[&Ingredient]| m.iter().map(|i| i.name.clone()).collect::<Vec<_>>();
        assert_eq!(by(&group(one)), by(&members), "any {one}");
        assert!(members.len() >= least, "{many}: {}", members.len());
        assert_eq!(members[0].name, first, "any {one} is computed with the first");
        missed.extend(
            members
                .iter()
                .filter(|i| !is(i))
                .map(|i| format!("{} is no {one}", i.name)),
        );
    }
    none_missed(&missed);
}

/// The last word of a kind says what its members are.
#[test]
fn every_group_holds_what_its_name_says() {
    let says: BTreeMap<&str, &[&str]> = BTreeMap::from([
        ("liqueurs", ["liqueur", "bitter liqueur"].as_slice()),
        ("amari", &["bitter liqueur"]),
        ("bitters", &["bitters"]),
        ("rums", &["spirit", "flavoured spirit"]),
        ("gins", &["spirit", "flavoured spirit"]),
        ("vodkas", &["spirit", "flavoured spirit"]),
        ("brandies", &["spirit"]),
        ("tequilas", &["spirit"]),
        ("vermouths", &["aromatised wine"]),
        ("quinquinas", &["aromatised wine"]),
        ("sherries", &["fortified wine"]),
        ("ports", &["fortified wine"]),
        ("beers", &["beer"]),
        ("ciders", &["cider"]),
        ("juices", &["juice"]),
        ("nectars", &["nectar"]),
        ("purées", &["purée"]),
        ("cordials", &["cordial"]),
        ("shrubs", &["cordial"]),
        ("syrups", &["syrup", "sweetener"]),
        ("orgeats", &["syrup"]),
        ("grenadines", &["syrup"]),
        ("honeys", &["sweetener"]),
        ("sugars", &["sugar"]),
        ("teas", &["coffee and tea", "juice drink"]),
        ("coffees", &["coffee and tea"]),
        ("milks", &["dairy", "plant milk", "coconut"]),
        ("creams", &["dairy", "coconut"]),
        ("eggs", &["egg"]),
        ("sauces", &["sauce"]),
        ("vinegars", &["vinegar"]),
        ("herbs", &["herb"]),
        ("berries", &["fruit"]),
        ("fruit", &["fruit"]),
        ("sodas", &["soda"]),
        ("tonics", &["soda"]),
        ("colas", &["soda"]),
    ]);
    // What a group mixes on purpose: the kind with alcohol and the kind without.
    const BOTH: [&str; 6] = [
        "bitters",
        "aromatic bitters",
        "fruit bitters",
        "beers",
        "ciders",
        "foamers",
    ];
    let mut groups: BTreeMap<&str, Vec<&Ingredient>> = BTreeMap::new();
    for ingredient in library().iter() {
        for group in &ingredient.groups {
            groups.entry(group).or_default().push(ingredient);
        }
    }
    assert!(groups.len() >= 160, "{}", groups.len());
    let mut missed = Vec::new();
    let mut heads = BTreeSet::new();
    for (name, members) in &groups {
        let head = name.rsplit(' ').next().unwrap();
        if let Some(kinds) = says.get(head) {
            heads.insert(head);
            for i in members.iter().filter(|i| !kinds.contains(&i.kind.word())) {
                missed.push(format!("{name} holds {}, a {}", i.name, i.kind));
            }
        }
        if members.len() < 2 {
            missed.push(format!("{name} holds only {}", members[0].name));
        }
        // From 1.2 % vol a label states a strength (Regulation (EU) 1169/2011).
        let strong =
            |i: &&&Ingredient| i.figure(Quantity::Strength, Convention::Handbook).unwrap_or(0.0) > 1.2;
        let with = members.iter().filter(strong).count();
        if with > 0 && with < members.len() && !BOTH.contains(name) {
            let without: Vec<&str> = members
                .iter()
                .filter(|i| !strong(i))
                .map(|i| i.name.as_str())
                .collect();
            missed.push(format!(
                "{name} mixes drinks with alcohol and {}",
                without.join(", ")
            ));
        }
        // Asked for in the singular, all of it is found.
        let one = name
            .strip_suffix("ies")
            .map(|stem| format!("{stem}y"))
            .or_else(|| name.strip_suffix('s').map(str::to_owned));
        for asked in [one.as_deref(), Some(*name)].into_iter().flatten() {
            if group(asked).len() != members.len() {
                missed.push(format!(
                    "any {asked}: {} of {}",
                    group(asked).len(),
                    members.len()
                ));
            }
        }
    }
    none_missed(&missed);
    assert_eq!(
        heads.len(),
        says.len(),
        "a word of the table heads no group: {heads:?}"
    );
}
