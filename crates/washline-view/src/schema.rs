//! The schema of every shape: generated from the types, and closed, so that a key more or less is seen.

use schemars::transform::{Transform, transform_subschemas};
use schemars::{JsonSchema, Schema, generate::SchemaSettings};
use serde_json::{Value, json};

use crate::{
    audit, batch, books, card, change, check, compare, convert, cost, files, find, history, ingredient,
    journal, label, mend, price, ranges, settings, swap, tasting, travel, weighing,
};

/// Every shape by the name of its file, without `.schema.json`.
#[must_use]
pub fn all() -> Vec<(&'static str, Schema)> {
    vec![
        ("add", of::<books::Added>()),
        ("adjust", of::<convert::Adjust>()),
        ("audit", of::<audit::Audited>()),
        ("backup", of::<files::BackedUp>()),
        ("batch", of::<batch::Batched>()),
        ("blend", of::<convert::Blend>()),
        ("card", of::<card::Cards>()),
        ("change", of::<change::Changed>()),
        ("check", of::<check::Checked>()),
        ("compare", of::<compare::Compared>()),
        ("cost", of::<cost::Costs>()),
        ("error", of::<settings::Ended>()),
        ("find", of::<find::Found>()),
        ("history", of::<history::History>()),
        ("import", of::<files::Imported>()),
        ("ingredient", of::<ingredient::Ingredients>()),
        ("label", of::<label::Labels>()),
        ("learn", of::<tasting::Learned>()),
        ("mend", of::<mend::Mend>()),
        ("merge", of::<files::MergedHouse>()),
        ("mise", of::<card::Mise>()),
        ("prices", of::<price::Prices>()),
        ("ranges", of::<ranges::Ranges>()),
        ("record", of::<ranges::Records>()),
        ("remove", of::<journal::Rearranged>()),
        ("report", of::<files::Reported>()),
        ("settings", of::<settings::Settings>()),
        ("show", of::<check::Shown>()),
        ("spans", of::<ranges::Spans>()),
        ("swap", of::<swap::Swaps>()),
        ("taste", of::<tasting::Tastings>()),
        ("tidy", of::<files::TidyBook>()),
        ("travel", of::<travel::Travel>()),
        ("undo", of::<journal::Journal>()),
        ("verify", of::<files::Verified>()),
        ("weigh", of::<weighing::Weighings>()),
        ("written", of::<files::Written>()),
    ]
}

/// What a schema is called.
const HEAD: [&str; 3] = ["$schema", "title", "description"];

fn of<T: JsonSchema>() -> Schema {
    let settings = SchemaSettings::draft2020_12()
        .for_serialize()
        .with_transform(Closed);
    let mut schema = settings.into_generator().into_root_schema_for::<T>();
    // What it is stands before what is in it.
    let fields = std::mem::take(schema.ensure_object());
    let place = |key: &str| HEAD.iter().position(|head| *head == key);
    let (mut head, rest): (Vec<_>, Vec<_>) = fields.into_iter().partition(|(key, _)| place(key).is_some());
    head.sort_by_key(|(key, _)| place(key));
    schema.ensure_object().extend(head.into_iter().chain(rest));
    schema
}

/// An object has the keys that it has; a number is from 0, but where it says that it may be below.
#[derive(Clone, Debug)]
struct Closed;

impl Transform for Closed {
    fn transform(&mut self, schema: &mut Schema) {
        transform_subschemas(self, schema);
        schema.remove("format");
        // A comment is wrapped for those who read the type.
        if let Some(Value::String(said)) = schema.get_mut("description") {
            *said = said.replace('\n', " ");
        }
        merge_kinds(schema);
        let is_object = schema.get("type").is_some_and(|kind| kind == "object");
        if is_object
            && schema
                .get("additionalProperties")
                .is_none_or(|more| *more == false)
        {
            for (key, empty) in [
                ("properties", json!({})),
                ("required", json!([])),
                ("additionalProperties", json!(false)),
            ] {
                schema.ensure_object().entry(key).or_insert(empty);
            }
        }
        let is = |schema: &Schema, wanted: &str| match schema.get("type") {
            Some(Value::String(kind)) => kind == wanted,
            Some(Value::Array(kinds)) => kinds.iter().any(|kind| kind == wanted),
            _ => false,
        };
        let signed = schema.remove("$comment").is_some();
        if is(schema, "number") && !signed && schema.get("minimum").is_none() {
            schema.insert("minimum".to_owned(), 0.into());
        }
    }
}

/// Where an object is of one of several kinds, each kind is told with all of its keys, the common ones too: only so can
/// each be closed.
fn merge_kinds(schema: &mut Schema) {
    let kinds = ["oneOf", "anyOf"]
        .into_iter()
        .find(|word| schema.get("properties").is_some() && schema.get(*word).is_some());
    let Some(word) = kinds else { return };
    let common = schema.remove("properties");
    let required = schema.remove("required");
    schema.remove("type");
    schema.remove("unevaluatedProperties");
    schema.remove("additionalProperties");
    let Some(Value::Array(kinds)) = schema.get_mut(word) else {
        return;
    };
    for kind in kinds.iter_mut().filter_map(Value::as_object_mut) {
        for (key, common) in [("properties", &common), ("required", &required)] {
            match (kind.get_mut(key), common.clone()) {
                (Some(Value::Object(own)), Some(Value::Object(common))) => {
                    own.extend(common);
                }
                (Some(Value::Array(own)), Some(Value::Array(common))) => {
                    own.extend(common);
                }
                (None, Some(common)) => {
                    kind.insert(key.to_owned(), common);
                }
                _ => {}
            }
        }
    }
}
