//! A list as a whole.

use schemars::JsonSchema;
use schemars::{Schema, SchemaGenerator, json_schema};
use serde::{Serialize, Serializer};
use serde_json::Value;
use serde_json::json;
use std::borrow::Cow;
use washline_core::balance::{Severity, Structure};
use washline_core::service::audit::{self, AuditFinding, DrinkAt, Fact, Found, Todo};
use washline_core::spec;

use crate::drink::FindingKind;
use crate::parts::{CurrencyCode, Day, Decimals, Signed, Text, Version, Word, one_of, shape, spoken};
use crate::remedy::worded;
use crate::shared::{Fault, each};

spoken!(Todo = "todo");

/// A list as a whole: findings grouped by what to do, the group with the most serious one first, and how the drinks lie
/// across the list.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline audit")]
pub struct Audited<'a> {
    pub schema: Version,
    pub findings: Vec<Finding<'a>>,
    pub list: List<'a>,
    pub faults: Vec<Fault<'a>>,
}

impl<'a> Audited<'a> {
    pub fn of(audit: &'a audit::Audit, faults: &'a [spec::Fault]) -> Audited<'a> {
        Audited {
            schema: Version,
            findings: each(&audit.findings),
            list: (&audit.spread).into(),
            faults: each(faults),
        }
    }
}

shape! {
    List<'a> = "list" of spread: &'a audit::Spread {
        /// A drink that stands in several books counts once.
        drinks: usize = spread.drinks,
        along: Vec<Along<'a>> = each(&spread.along),
        structures: Vec<Count<'a>> = each(&spread.structures),
        bases: Vec<Count<'a>> = each(&spread.bases),
        /// Drinks over 25 % vol.
        strong: usize = spread.strong,
        /// Drinks with alcohol below 10 % vol.
        light: usize = spread.light,
        /// Drinks of 0.5 % vol or less.
        free: usize = spread.free,
    }
}

shape! {
    Count<'a> = "count" of of: &'a (String, usize) {
        name: Text<'a> = (&of.0).into(),
        #[schemars(range(min = 1))]
        drinks: usize = of.1,
    }
}

one_of!(
    /// What a list lies along.
    AlongMeasure = "along_measure": "strength", "sweetness", "tartness", "volume", "price"
);

shape! {
    /// How the list lies along one measure, its quarters between.
    Along<'a> = "along" of along: &'a audit::Along {
        measure: AlongMeasure<'a> = AlongMeasure(along.measure),
        unit: &'a str = &along.unit,
        #[schemars(range(min = 0, max = 2))]
        decimals: u8 = along.decimals,
        #[schemars(range(min = 1))]
        count: usize = along.count,
        smallest: f64 = along.smallest,
        quarter: f64 = along.quarter,
        median: f64 = along.median,
        three_quarters: f64 = along.three_quarters,
        largest: f64 = along.largest,
    }
}

shape! {
    Drink<'a> = "drink_at" of drink: &'a DrinkAt {
        name: Text<'a> = (&drink.name).into(),
        book: &'a str = &drink.book,
    }
}

/// One word for its kind, how grave it is, what is to be done, the drinks, a sentence, the numbers in it, the cure.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(rename = "audit_finding")]
pub struct Finding<'a> {
    #[schemars(skip)]
    pub kind: &'static str,
    pub severity: Word<Severity>,
    pub todo: Word<Todo>,
    pub drinks: Vec<Drink<'a>>,
    pub message: Text<'a>,
    /// The numbers of the sentence, by its kind.
    #[schemars(flatten, with = "Kind")]
    pub figures: Numbers<'a>,
    pub cure: Text<'a>,
}

impl<'a> From<&'a AuditFinding> for Finding<'a> {
    fn from(finding: &'a AuditFinding) -> Finding<'a> {
        Finding {
            kind: finding.kind(),
            severity: finding.severity().into(),
            todo: finding.todo().into(),
            drinks: each(&finding.drinks),
            message: finding.to_string().into(),
            figures: Numbers(&finding.found),
            cure: worded(&finding.cure()).into(),
        }
    }
}

/// The numbers of a finding: everything that is found but its kind.
#[derive(Debug)]
pub struct Numbers<'a>(&'a Found);

impl Serialize for Numbers<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let whole = serde_json::to_value(self.0);
        let Value::Object(mut fields) = whole.map_err(serde::ser::Error::custom)? else {
            return Err(serde::ser::Error::custom("a finding is an object"));
        };
        fields.remove("kind");
        fields.serialize(to)
    }
}

spoken!(Fact = "fact": "What is not known.");

/// Where a drink stands in two ways: what it pours.
#[derive(JsonSchema)]
#[schemars(rename = "pour_drift")]
pub struct PourDrift {
    pub ingredient: Text<'static>,
    /// Null where the first pours none.
    pub a: Option<String>,
    pub b: Option<String>,
}

/// What else is said.
#[derive(JsonSchema)]
#[schemars(rename = "said_drift")]
pub struct SaidDrift {
    pub what: crate::compare::SaidOf<'static>,
    pub a: String,
    pub b: String,
}

/// What that comes to in the glass.
#[derive(JsonSchema)]
#[schemars(rename = "figure_drift")]
pub struct FigureDrift {
    pub name: crate::compare::FigureWord<'static>,
    pub word: Text<'static>,
    pub unit: Text<'static>,
    #[schemars(range(min = 0, max = 2))]
    pub decimals: u8,
    pub a: f64,
    pub b: f64,
    pub difference: Signed,
    pub least_told: Option<f64>,
    pub too_small: bool,
}

/// In what way a list is uneven.
#[derive(JsonSchema)]
#[serde(tag = "what", rename_all = "snake_case")]
#[schemars(rename = "uneven")]
pub enum Uneven {
    Gap {
        measure: AlongMeasure<'static>,
        from: f64,
        to: f64,
        share_pct: f64,
    },
    Crowding {
        measure: AlongMeasure<'static>,
        from: f64,
        to: f64,
        count: usize,
        of: usize,
    },
    Strong {
        above_pct: f64,
        count: usize,
        of: usize,
    },
    NoLow {
        below_pct: f64,
        weakest_pct: f64,
    },
    NoneFree {
        up_to_pct: f64,
    },
    AllSour {
        from_g_per_100ml: f64,
        count: usize,
        of: usize,
    },
    OneStructure {
        structure: Word<Structure>,
        count: usize,
        of: usize,
    },
    OneBase {
        base: Text<'static>,
        count: usize,
        of: usize,
    },
}

/// The kinds of findings with their numbers: those of a drink's own check, and those of an audit.
struct Kind;

impl JsonSchema for Kind {
    fn schema_name() -> Cow<'static, str> {
        "audit_kind".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let kinds = |mut schema: Schema| match schema.remove("oneOf") {
            Some(Value::Array(kinds)) => kinds,
            _ => Vec::new(),
        };
        let of_drink = kinds(FindingKind::json_schema(generator)).into_iter().map(apart);
        let own = kinds(OwnKind::json_schema(generator));
        json_schema!({ "oneOf": of_drink.chain(own).collect::<Vec<_>>() })
    }
}

/// The schema of a kind with its numbers beside it, as one with its numbers under a key of their own.
fn apart(mut kind: Value) -> Value {
    let name = kind["properties"]
        .as_object_mut()
        .and_then(|all| all.shift_remove("kind"));
    if let Some(required) = kind["required"].as_array_mut() {
        required.retain(|key| key != "kind");
    }
    json!({
        "type": "object",
        "properties": { "kind": name, "figures": kind },
        "required": ["kind", "figures"],
    })
}

/// The kinds that only an audit finds.
#[derive(JsonSchema)]
#[serde(tag = "kind", content = "figures", rename_all = "snake_case")]
pub enum OwnKind {
    ServingSize {
        ethanol_g: f64,
        low_g: Option<f64>,
        high_g: Option<f64>,
        most_g: f64,
        standard_drinks: f64,
        too_close: bool,
    },
    Drift {
        /// Where the first stands: a book, a version.
        a: Text<'static>,
        b: Text<'static>,
        pours: Vec<PourDrift>,
        said: Vec<SaidDrift>,
        /// Figures that differ as printed.
        glass: Vec<FigureDrift>,
        /// Whether any of those differs by more than its uncertainty.
        told_apart: bool,
    },
    OnlyInOne {
        lacking: Text<'static>,
    },
    UnpouredAmount {
        ingredient: Text<'static>,
        written: Text<'static>,
        below: Option<Text<'static>>,
        above: Option<Text<'static>>,
    },
    MixedUnits {
        book: String,
        metric: usize,
        ounces: usize,
    },
    TwoOunces {
        #[schemars(range(min = 28, max = 30))]
        book_ounce_ml: f64,
        #[schemars(range(min = 28, max = 30))]
        other_ounce_ml: f64,
        #[schemars(length(min = 1))]
        shown_by: Vec<Text<'static>>,
    },
    MissingFact {
        fact: Word<Fact>,
        ingredients: Vec<Text<'static>>,
        /// Drinks, or ingredients where it is about them.
        of: usize,
    },
    OldMeasurement {
        ingredient: Text<'static>,
        what: Text<'static>,
        since: Day,
        #[schemars(range(min = 1))]
        days: i64,
        #[schemars(range(min = 1))]
        limit_days: i64,
    },
    Spread(Uneven),
    NearTwins {
        structure: Word<Structure>,
        distance: f64,
        /// In widths of the usual band.
        by_figures: f64,
        /// 1 less what is shared by mass.
        #[schemars(range(min = 0, max = 1))]
        by_pours: f64,
        limit: f64,
    },
    LonelyIngredient {
        ingredient: Text<'static>,
        made: bool,
        package: Option<Text<'static>>,
        /// What one package costs, net; a decimal as text.
        holds: Option<Decimals>,
        currency: Option<CurrencyCode<'static>>,
    },
    TwoNames {
        ingredient: Text<'static>,
        #[schemars(length(min = 2))]
        names: Vec<Text<'static>>,
    },
    NearNames {
        ingredient: Text<'static>,
        other: Text<'static>,
    },
    UnpouredPreparation {
        ingredient: Text<'static>,
        book: String,
        made: bool,
    },
}
