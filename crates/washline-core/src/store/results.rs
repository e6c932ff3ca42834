//! Results: kept with a fingerprint of everything they depend on, for any SQLite client to ask.

use std::collections::HashMap;

use rusqlite::{Connection, params};
use sha2::{Digest, Sha256};

use super::current::Current;
use super::marks::{MODEL, as_json, hex};
use super::worked::Shared;
use super::{House, StoreError};
use crate::balance::{BalanceFigure, Evaluation, Severity};
use crate::computed::{ComputedDrink, Context, expect};
use crate::names::key;
use crate::resolve::Resolved;
use crate::spec::{Drink, PourMethod, Settings};
use crate::tables::Structure;

impl House {
    /// Keep the results of these specs, within the transaction that is open. Gives what came to something else.
    pub(super) fn keep_results(
        &self,
        specs: Vec<Current>,
        shared: &mut Shared,
    ) -> Result<Vec<(String, String)>, StoreError> {
        let fail = self.fail();
        let mut marks = Marks::new();
        let mut recomputed = Vec::new();
        expect(specs.len());
        for current in specs {
            let Ok(computed) = self.computed(&current, shared)? else {
                self.db
                    .execute(
                        "DELETE FROM result WHERE spec_version_id = ?1",
                        [current.spec_version],
                    )
                    .map_err(&fail)?;
                continue;
            };
            let fingerprint = fingerprint(&current, &computed, &mut marks);
            if current.fingerprint.as_ref() != Some(&fingerprint) {
                save(&self.db, current.spec_version, &fingerprint, &computed).map_err(&fail)?;
                recomputed.push((computed.name().to_owned(), current.title));
            }
        }
        Ok(recomputed)
    }

    /// The drinks with a finding of that severity or a graver one, up to date: a query over stored results says which,
    /// and only they are worked out.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn flagged(&mut self, from: Severity) -> Result<Vec<ComputedDrink>, StoreError> {
        self.refresh_named(&[])?;
        let flagged = self.poured_where(&at_least(from), [])?;
        self.work_out(flagged.into_iter())
    }
}

/// The condition on the row of a result that it has a finding of that severity or a graver one.
pub(super) fn at_least(from: Severity) -> String {
    let words: Vec<String> = [Severity::Note, Severity::Edge, Severity::Outside, Severity::Fault]
        .iter()
        .filter(|s| **s >= from)
        .map(|s| format!("'{}'", s.word()))
        .collect();
    format!(
        "r.id IN (SELECT result_id FROM finding WHERE severity IN ({}))",
        words.join(", ")
    )
}

/// Marks of ingredients, by book and name: each is taken once.
type Marks = HashMap<(i64, String), String>;

/// A mark of everything that the result of a drink depends on.
fn fingerprint(current: &Current, computed: &ComputedDrink, marks: &mut Marks) -> String {
    let Context { stock, settings, .. } = &computed.context;
    let mut hash = Sha256::new();
    hash.update(MODEL);
    hash.update(&current.text);
    // A season and a tag of its list are put on a drink and change nothing in it.
    let settings = Settings {
        season: None,
        tags: None,
        ..(**settings).clone()
    };
    hash.update(serde_json::to_vec(&settings).unwrap_or_default());
    hash.update(serde_json::to_vec(&computed.resolved.own_melt).unwrap_or_default());
    if computed.built.structure.is_some() {
        hash.update(serde_json::to_vec(&computed.bands()).unwrap_or_default());
    }
    for name in poured(&computed.resolved, &computed.drink) {
        let mark = marks.entry((current.book, name)).or_insert_with_key(|(_, name)| {
            stock
                .get(name)
                .map(|i| hex(&Sha256::digest(serde_json::to_vec(i).unwrap_or_default())))
                .unwrap_or_default()
        });
        hash.update(mark.as_bytes());
    }
    hex(&hash.finalize())
}

/// Every ingredient a drink depends on, garnishes that bring allergens among them.
fn poured(resolved: &Resolved, drink: &Drink) -> Vec<String> {
    let mut names: Vec<String> = resolved
        .pours()
        .map(|(_, pour)| pour.ingredient.clone())
        .chain(
            drink
                .garnishes()
                .flat_map(|g| g.split([',', ';']).map(|p| p.trim().to_owned())),
        )
        .collect();
    names.sort();
    names.dedup();
    names
}

fn place_word(place: PourMethod) -> &'static str {
    match place {
        PourMethod::In => "in",
        PourMethod::Top => "top",
        PourMethod::Float => "float",
        PourMethod::Rinse => "rinse",
        PourMethod::Mist => "mist",
    }
}

fn save(
    db: &Connection,
    spec_version: i64,
    fingerprint: &str,
    computed: &ComputedDrink,
) -> rusqlite::Result<()> {
    let (resolved, evaluation) = (&computed.resolved, &computed.evaluation);
    db.prepare_cached("DELETE FROM result WHERE spec_version_id = ?1")?
        .execute([spec_version])?;
    let glass = evaluation.glass.as_ref();
    db.prepare_cached(
        "INSERT INTO result (spec_version_id, fingerprint, structure, melt_model, convention, standard_drink, glass, glass_capacity_ml, glass_fill_pct, allergens_eu, allergens_us, cautions, family, placed, serves, garnish)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
    )?
    .execute(params![
        spec_version,
        fingerprint,
        evaluation.structure.map(Structure::name),
        evaluation.melt_model.word(),
        resolved.convention.word(),
        resolved.standard_drink.country,
        computed.glass(),
        glass.map(|g| g.capacity_ml),
        glass.map(|g| g.fill_pct),
        resolved.allergens_eu.written(),
        resolved.allergens_us.written(),
        resolved.cautions.join("\n"),
        evaluation.placed.as_ref().map(|p| p.family.name()),
        evaluation.placed.as_ref().and_then(|p| serde_json::to_string(p).ok()),
        resolved.serves,
        computed.garnish(),
    ])?;
    let result = db.last_insert_rowid();
    save_figures(db, result, evaluation)?;
    save_findings(db, result, evaluation)?;
    save_what_is_poured(db, result, computed)
}

/// A position as it is kept.
fn place(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}

/// The figures of a drink, the verdict of each measure and what the doubt comes from.
fn save_figures(db: &Connection, result: i64, evaluation: &Evaluation) -> rusqlite::Result<()> {
    let mut insert = db.prepare_cached(
        "INSERT INTO figure (result_id, stage, figure, value, low, high, standard_uncertainty) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for (stage, figures) in [("before", &evaluation.before), ("glass", &evaluation.figures)] {
        for (name, figure) in figures.named() {
            insert.execute(params![
                result,
                stage,
                name,
                figure.value,
                figure.low,
                figure.high,
                figure.standard_uncertainty
            ])?;
        }
    }
    let mut insert =
        db.prepare_cached("INSERT INTO verdict (result_id, measure, verdict) VALUES (?1, ?2, ?3)")?;
    for measure in BalanceFigure::ALL {
        insert.execute(params![
            result,
            measure.word(),
            evaluation.verdicts[measure as usize].word()
        ])?;
    }
    let mut insert = db.prepare_cached(
        "INSERT INTO budget (result_id, position, measure, input, settled_by, share) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
    )?;
    for (i, part) in evaluation.budget.iter().enumerate() {
        insert.execute(params![
            result,
            place(i),
            part.measure.word(),
            part.input,
            part.settled_by,
            part.share.min(1.0)
        ])?;
    }
    Ok(())
}

fn save_findings(db: &Connection, result: i64, evaluation: &Evaluation) -> rusqlite::Result<()> {
    let mut insert = db.prepare_cached(
        "INSERT INTO finding (result_id, position, kind, severity, measure, message, detail) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for (i, finding) in evaluation.findings.iter().enumerate() {
        let detail = as_json(finding)?;
        insert.execute(params![
            result,
            place(i),
            finding.kind(),
            finding.severity().word(),
            finding.measure().map(BalanceFigure::word),
            finding.to_string(),
            detail,
        ])?;
    }
    Ok(())
}

/// What was taken for granted, and each pour.
fn save_what_is_poured(db: &Connection, result: i64, computed: &ComputedDrink) -> rusqlite::Result<()> {
    let mut insert = db.prepare_cached(
        "INSERT INTO assumption (result_id, position, about, taken, change) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?;
    for (i, assumption) in computed.resolved.assumptions.iter().enumerate() {
        insert.execute(params![
            result,
            place(i),
            assumption.about,
            assumption.taken,
            assumption.change.to_string(),
        ])?;
    }
    let mut insert = db.prepare_cached(
        "INSERT INTO pour (result_id, position, ingredient, ingredient_key, written, place, volume_ml, mass_g, ethanol_g, sugar_g, acid_g)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
    )?;
    for pour in computed.pours() {
        insert.execute(params![
            result,
            place(pour.position),
            pour.ingredient,
            key(&pour.ingredient),
            pour.written,
            place_word(pour.place),
            pour.volume_ml,
            pour.mass_g,
            pour.ethanol_g,
            pour.sugar_g,
            pour.acid_g,
        ])?;
    }
    Ok(())
}
