//! Results: worked out when they are asked for and out of date, kept with a fingerprint of everything
//! they depend on, and read back from the database by every screen.

use std::collections::HashMap;

use rusqlite::{Connection, Row, params};
use sha2::{Digest, Sha256};

use super::worked::Context;
use super::{Fresh, House, StoreError};
use crate::balance::{
    Band, Budget, Evaluation, Figure, Figures, Finding, GlassFill, Measured, Severity, Structure, Verdict,
    evaluate,
};
use crate::build::{Built, build};
use crate::ingredient::{AllergenList, Convention, Declaration};
use crate::melt::MeltModel;
use crate::names::key;
use crate::resolve::{Resolved, ResolvedStep};
use crate::spec::{Assumption, Drink, Fault, Place};

/// Changes whenever the same spec and stock would come to other figures.
const MODEL: &str = "4";

/// What bringing the results up to date did.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Refreshed {
    /// Drinks worked out anew, as (drink, book).
    pub recomputed: Vec<(String, String)>,
    /// Drinks that can no longer be worked out, and why. They have no result until that is mended.
    pub broken: Vec<Fault>,
}

/// Where a drink stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FoundIn {
    /// The title of its book.
    pub book: String,
    /// The file the book came from.
    pub file: String,
    /// The line of its heading.
    pub line: usize,
    /// Which version of its spec.
    pub version: i64,
}

/// A drink with everything that is known of it, as the database has it.
#[derive(Clone, Debug, PartialEq)]
pub struct DrinkReport {
    /// Its name.
    pub name: String,
    /// Where it stands.
    pub found_in: FoundIn,
    /// Figures, verdicts and findings.
    pub evaluation: Evaluation,
    /// The bands its strength, sweetness and tartness were judged by, in that order.
    pub bands: [Band; 3],
    /// How its juices were counted.
    pub convention: Convention,
    /// The country whose standard drinks are counted.
    pub standard_drink: String,
    /// What was taken for granted.
    pub assumptions: Vec<Assumption>,
    /// What each step brings.
    pub pours: Vec<PourReport>,
    /// Allergens on the European list.
    pub allergens_eu: Declaration,
    /// Allergens on the list of the United States.
    pub allergens_us: Declaration,
    /// Cautions of its ingredients.
    pub cautions: Vec<String>,
    /// What it sells for, with the currency where the spec names one.
    pub price: Option<(String, Option<String>)>,
    /// Its garnish.
    pub garnish: Option<String>,
}

/// A pour, worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct PourReport {
    /// Its place among the steps, from 0.
    pub position: usize,
    /// What is poured.
    pub ingredient: String,
    /// The amount as written.
    pub written: String,
    /// How it goes in.
    pub place: Place,
    /// Volume at 20 °C, mL.
    pub volume_ml: f64,
    /// Mass, g.
    pub mass_g: f64,
    /// Ethanol, g.
    pub ethanol_g: f64,
    /// Sugar, g.
    pub sugar_g: f64,
    /// Titratable acid as citric, g.
    pub acid_g: f64,
}

pub(super) fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut text, b| {
        let _ = write!(text, "{b:02x}");
        text
    })
}

/// A spec of the house that is to be worked out.
pub(super) struct Current {
    pub(super) spec_version: i64,
    pub(super) book: i64,
    pub(super) title: String,
    pub(super) file: String,
    pub(super) line: usize,
    pub(super) version: i64,
    pub(super) drink_key: String,
    pub(super) text: String,
    fingerprint: Option<String>,
}

impl House {
    /// Bring every result up to date: drinks whose spec, settings, ingredients, ranges or model are
    /// other than when they were worked out, and no others.
    ///
    /// # Errors
    /// When the file cannot be read or written.
    pub fn refresh(&mut self) -> Result<Refreshed, StoreError> {
        let data_version = self
            .db
            .query_row("PRAGMA data_version", [], |row| row.get(0))
            .map_err(self.fail())?;
        // Nobody has written since the last look: there is nothing to look at again.
        if let Some(fresh) = self.fresh.as_ref().filter(|f| f.data_version == data_version) {
            return Ok(Refreshed {
                recomputed: Vec::new(),
                broken: fresh.broken.clone(),
            });
        }
        let mut refreshed = Refreshed::default();
        let mut shared = self.shared()?;
        let mut marks: HashMap<(i64, String), String> = HashMap::new();
        let mut stale: Vec<(i64, String, Resolved, Built, Evaluation)> = Vec::new();
        let mut gone: Vec<i64> = Vec::new();
        let ranges = self.ranges_by_convention()?;
        refreshed.broken.extend(self.refresh_preparations(&mut shared)?);
        for current in self.current()? {
            let (_, drink, mut resolved, Context { stock, settings, .. }) =
                match self.resolved(&current, &mut shared)? {
                    Ok(resolved) => resolved,
                    Err(faults) => {
                        refreshed.broken.extend(moved(faults, current.line));
                        gone.push(current.spec_version);
                        continue;
                    }
                };
            let convention = resolved.convention as usize;
            let mut hash = Sha256::new();
            hash.update(MODEL);
            hash.update(&current.text);
            hash.update(serde_json::to_vec(&*settings).unwrap_or_default());
            hash.update(serde_json::to_vec(&resolved.own_melt).unwrap_or_default());
            let built = build(&resolved);
            resolved.assumptions.extend(built.assumption(&resolved));
            if let Some(structure) = built.structure {
                let bands = Measured::ALL.map(|m| ranges[convention].band(structure, m));
                hash.update(serde_json::to_vec(&bands).unwrap_or_default());
            }
            for name in poured(&resolved, &drink) {
                let mark = marks.entry((current.book, name)).or_insert_with_key(|(_, name)| {
                    stock
                        .get(name)
                        .map(|i| hex(&Sha256::digest(serde_json::to_vec(i).unwrap_or_default())))
                        .unwrap_or_default()
                });
                hash.update(mark.as_bytes());
            }
            let fingerprint = hex(&hash.finalize());
            if current.fingerprint.as_ref() != Some(&fingerprint) {
                let evaluation = evaluate(&resolved, &built, &ranges[convention]);
                refreshed.recomputed.push((resolved.name.clone(), current.title));
                stale.push((current.spec_version, fingerprint, resolved, built, evaluation));
            }
        }
        if !stale.is_empty() || !gone.is_empty() {
            let fail = self.fail();
            let transaction = self.begin()?;
            for spec_version in gone {
                transaction
                    .execute("DELETE FROM result WHERE spec_version_id = ?1", [spec_version])
                    .map_err(&fail)?;
            }
            for (spec_version, fingerprint, resolved, built, evaluation) in &stale {
                save(
                    &transaction,
                    *spec_version,
                    fingerprint,
                    resolved,
                    built,
                    evaluation,
                )
                .map_err(&fail)?;
            }
            transaction.commit().map_err(fail)?;
        }
        self.fresh = Some(Fresh {
            data_version,
            broken: refreshed.broken.clone(),
        });
        Ok(refreshed)
    }

    pub(super) fn current(&self) -> Result<Vec<Current>, StoreError> {
        self.specs(
            "SELECT c.id, c.book_id, c.book, b.file, c.line, c.version, c.drink_key, c.spec_text, r.fingerprint
             FROM current_spec c JOIN book b ON b.id = c.book_id LEFT JOIN result r ON r.spec_version_id = c.id
             ORDER BY c.book_id, c.drink_position",
        )
    }

    /// Specs by a query of id, book, its title and file, line, version, drink, text and fingerprint.
    pub(super) fn specs(&self, query: &str) -> Result<Vec<Current>, StoreError> {
        let fail = self.fail();
        let mut select = self.db.prepare_cached(query).map_err(&fail)?;
        let rows = select
            .query_map([], |row| {
                Ok(Current {
                    spec_version: row.get(0)?,
                    book: row.get(1)?,
                    title: row.get(2)?,
                    file: row.get(3)?,
                    line: usize::try_from(row.get::<_, i64>(4)?).unwrap_or(1),
                    version: row.get(5)?,
                    drink_key: row.get(6)?,
                    text: row.get(7)?,
                    fingerprint: row.get(8)?,
                })
            })
            .map_err(&fail)?;
        rows.collect::<rusqlite::Result<_>>().map_err(fail)
    }

    /// Every drink with everything known of it, by book and place in it, up to date.
    ///
    /// # Errors
    /// When the file cannot be read, or what stands in it is not what this program writes.
    pub fn reports(&mut self) -> Result<Vec<DrinkReport>, StoreError> {
        self.refresh()?;
        self.reports_where("1", [])
    }

    /// The drinks of that name (one a book), up to date.
    ///
    /// # Errors
    /// As [`House::reports`].
    pub fn reports_named(&mut self, name: &str) -> Result<Vec<DrinkReport>, StoreError> {
        self.refresh()?;
        self.reports_where("c.drink_key = ?1", [key(name)])
    }

    /// The drinks with a finding of that severity or a graver one, up to date: a query over stored results.
    ///
    /// # Errors
    /// As [`House::reports`].
    pub fn flagged(&mut self, from: Severity) -> Result<Vec<DrinkReport>, StoreError> {
        self.refresh()?;
        let words: Vec<String> = [Severity::Note, Severity::Edge, Severity::Outside, Severity::Fault]
            .iter()
            .filter(|s| **s >= from)
            .map(|s| format!("'{}'", s.word()))
            .collect();
        self.reports_where(
            &format!(
                "r.id IN (SELECT result_id FROM finding WHERE severity IN ({}))",
                words.join(", ")
            ),
            [],
        )
    }

    fn reports_where<P: rusqlite::Params>(
        &self,
        condition: &str,
        params: P,
    ) -> Result<Vec<DrinkReport>, StoreError> {
        let fail = self.fail();
        let mut select = self
            .db
            .prepare_cached(&format!(
                "SELECT r.*, c.drink, c.book, b.file, c.line, c.version, c.price, c.price_currency, c.garnish
                 FROM current_spec c JOIN book b ON b.id = c.book_id JOIN result r ON r.spec_version_id = c.id
                 WHERE {condition} ORDER BY c.book_id, c.drink_position"
            ))
            .map_err(&fail)?;
        let rows = select
            .query_map(params, |row| Ok((row.get::<_, i64>("id")?, head(row)?)))
            .map_err(&fail)?;
        let ranges = self.ranges_by_convention()?;
        let mut reports = Vec::new();
        for row in rows {
            let (id, report) = row.map_err(&fail)?;
            let mut report = report.map_err(|why| self.content(why))?;
            self.fill_in(id, &mut report)?;
            if let Some(structure) = report.evaluation.structure {
                report.bands =
                    Measured::ALL.map(|m| ranges[report.convention as usize].band(structure, m).clone());
            }
            reports.push(report);
        }
        Ok(reports)
    }

    fn fill_in(&self, result: i64, report: &mut DrinkReport) -> Result<(), StoreError> {
        let fail = self.fail();
        let db = &self.db;
        let rows =
            |sql: &str, each: &mut dyn FnMut(&Row<'_>) -> rusqlite::Result<()>| -> Result<(), StoreError> {
                let mut select = db.prepare_cached(sql).map_err(&fail)?;
                let mut found = select.query([result]).map_err(&fail)?;
                while let Some(row) = found.next().map_err(&fail)? {
                    each(row).map_err(&fail)?;
                }
                Ok(())
            };
        let evaluation = &mut report.evaluation;
        rows(
            "SELECT stage, figure, value, low, high, standard_uncertainty FROM figure WHERE result_id = ?1",
            &mut |row| {
                let stage = row.get_ref("stage")?.as_str()?;
                let figures = if stage == "before" {
                    &mut evaluation.before
                } else {
                    &mut evaluation.figures
                };
                if let Some(figure) = figures.by_name(row.get_ref("figure")?.as_str()?) {
                    *figure = Figure {
                        value: row.get("value")?,
                        low: row.get("low")?,
                        high: row.get("high")?,
                        standard_uncertainty: row.get("standard_uncertainty")?,
                    };
                }
                Ok(())
            },
        )?;
        rows(
            "SELECT measure, verdict FROM verdict WHERE result_id = ?1",
            &mut |row| {
                let (measure, verdict) = (
                    row.get_ref("measure")?.as_str()?,
                    row.get_ref("verdict")?.as_str()?,
                );
                if let (Some(measure), Some(verdict)) =
                    (Measured::from_word(measure), Verdict::from_word(verdict))
                {
                    evaluation.verdicts[measure as usize] = verdict;
                }
                Ok(())
            },
        )?;
        rows(
            "SELECT measure, input, settled_by, share FROM budget WHERE result_id = ?1 ORDER BY position",
            &mut |row| {
                if let Some(measure) = Measured::from_word(row.get_ref("measure")?.as_str()?) {
                    evaluation.budget.push(Budget {
                        measure,
                        input: row.get("input")?,
                        settled_by: row.get("settled_by")?,
                        share: row.get("share")?,
                    });
                }
                Ok(())
            },
        )?;
        let mut unread = None;
        rows(
            "SELECT detail FROM finding WHERE result_id = ?1 ORDER BY position",
            &mut |row| {
                match serde_json::from_str::<Finding>(row.get_ref("detail")?.as_str()?) {
                    Ok(finding) => evaluation.findings.push(finding),
                    Err(error) => unread = Some(error.to_string()),
                }
                Ok(())
            },
        )?;
        rows(
            "SELECT about, taken, change FROM assumption WHERE result_id = ?1 ORDER BY position",
            &mut |row| {
                report.assumptions.push(Assumption {
                    about: row.get("about")?,
                    taken: row.get("taken")?,
                    change: row.get("change")?,
                });
                Ok(())
            },
        )?;
        rows(
            "SELECT * FROM pour WHERE result_id = ?1 ORDER BY position",
            &mut |row| {
                report.pours.push(PourReport {
                    position: usize::try_from(row.get::<_, i64>("position")?).unwrap_or(0),
                    ingredient: row.get("ingredient")?,
                    written: row.get("written")?,
                    place: place_named(row.get_ref("place")?.as_str()?),
                    volume_ml: row.get("volume_ml")?,
                    mass_g: row.get("mass_g")?,
                    ethanol_g: row.get("ethanol_g")?,
                    sugar_g: row.get("sugar_g")?,
                    acid_g: row.get("acid_g")?,
                });
                Ok(())
            },
        )?;
        match unread {
            Some(why) => Err(self.content(why)),
            None => Ok(()),
        }
    }
}

/// Faults found in a section by itself, moved to where it stands in its book.
pub(super) fn moved(faults: Vec<Fault>, line: usize) -> impl Iterator<Item = Fault> {
    faults.into_iter().map(move |mut fault| {
        fault.line += line.saturating_sub(1);
        fault
    })
}

/// Every ingredient a drink depends on, garnishes that bring allergens among them.
fn poured(resolved: &Resolved, drink: &Drink) -> Vec<String> {
    let mut names: Vec<String> = resolved
        .steps
        .iter()
        .filter_map(|step| match step {
            ResolvedStep::Pour(pour) => Some(pour.ingredient.clone()),
            _ => None,
        })
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

fn place_word(place: Place) -> &'static str {
    match place {
        Place::In => "in",
        Place::Top => "top",
        Place::Float => "float",
        Place::Rinse => "rinse",
        Place::Mist => "mist",
    }
}

fn place_named(word: &str) -> Place {
    [Place::Top, Place::Float, Place::Rinse, Place::Mist]
        .into_iter()
        .find(|p| place_word(*p) == word)
        .unwrap_or(Place::In)
}

/// A row of `result` with the drink it belongs to, figures and lists still empty; or what is wrong with it.
fn head(row: &Row<'_>) -> rusqlite::Result<Result<DrinkReport, String>> {
    let text = |c: &str| row.get::<_, String>(c);
    let structure: Option<String> = row.get("structure")?;
    let (melt_model, convention) = (text("melt_model")?, text("convention")?);
    let (eu, us, cautions) = (text("allergens_eu")?, text("allergens_us")?, text("cautions")?);
    let glass: Option<(String, f64, f64)> = match row.get::<_, Option<String>>("glass")? {
        Some(name) => Some((name, row.get("glass_capacity_ml")?, row.get("glass_fill_pct")?)),
        None => None,
    };
    let price: Option<String> = row.get("price")?;
    let found_in = FoundIn {
        book: text("book")?,
        file: text("file")?,
        line: usize::try_from(row.get::<_, i64>("line")?).unwrap_or(1),
        version: row.get("version")?,
    };
    let (name, standard_drink, garnish) = (text("drink")?, text("standard_drink")?, row.get("garnish")?);
    let currency: Option<String> = row.get("price_currency")?;
    let made = || -> Result<DrinkReport, String> {
        Ok(DrinkReport {
            evaluation: Evaluation {
                structure: match structure {
                    Some(name) => Some(Structure::try_from(name)?),
                    None => None,
                },
                melt_model: MeltModel::from_word(&melt_model).ok_or("an unknown melt model")?,
                before: Figures::default(),
                figures: Figures::default(),
                verdicts: [Verdict::NoBand; 3],
                glass: glass.map(|(name, capacity_ml, fill_pct)| GlassFill {
                    name,
                    capacity_ml,
                    fill_pct,
                }),
                budget: Vec::new(),
                findings: Vec::new(),
            },
            bands: Default::default(),
            convention: Convention::from_word(&convention).ok_or("an unknown convention")?,
            allergens_eu: Declaration::read(AllergenList::Eu, &eu)?,
            allergens_us: Declaration::read(AllergenList::Us, &us)?,
            cautions: cautions.lines().map(str::to_owned).collect(),
            assumptions: Vec::new(),
            pours: Vec::new(),
            price: price.map(|amount| (amount, currency)),
            name,
            found_in,
            standard_drink,
            garnish,
        })
    };
    Ok(made())
}

fn save(
    db: &Connection,
    spec_version: i64,
    fingerprint: &str,
    resolved: &Resolved,
    built: &Built,
    evaluation: &Evaluation,
) -> rusqlite::Result<()> {
    db.prepare_cached("DELETE FROM result WHERE spec_version_id = ?1")?
        .execute([spec_version])?;
    let glass = evaluation.glass.as_ref();
    db.prepare_cached(
        "INSERT INTO result (spec_version_id, fingerprint, structure, melt_model, convention, standard_drink, glass, glass_capacity_ml, glass_fill_pct, allergens_eu, allergens_us, cautions)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)",
    )?
    .execute(params![
        spec_version,
        fingerprint,
        evaluation.structure.map(Structure::name),
        evaluation.melt_model.word(),
        resolved.convention.word(),
        resolved.standard_drink.country,
        glass.map(|g| &g.name),
        glass.map(|g| g.capacity_ml),
        glass.map(|g| g.fill_pct),
        resolved.allergens_eu.written(),
        resolved.allergens_us.written(),
        resolved.cautions.join("\n"),
    ])?;
    let result = db.last_insert_rowid();
    let place = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
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
    for measure in Measured::ALL {
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
    let mut insert = db.prepare_cached(
        "INSERT INTO finding (result_id, position, kind, severity, measure, message, detail) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
    )?;
    for (i, finding) in evaluation.findings.iter().enumerate() {
        let detail = serde_json::to_string(finding)
            .map_err(|e| rusqlite::Error::ToSqlConversionFailure(Box::new(e)))?;
        insert.execute(params![
            result,
            place(i),
            finding.kind(),
            finding.severity().word(),
            finding.measure().map(Measured::word),
            finding.to_string(),
            detail,
        ])?;
    }
    let mut insert = db.prepare_cached(
        "INSERT INTO assumption (result_id, position, about, taken, change) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?;
    for (i, assumption) in resolved.assumptions.iter().enumerate() {
        insert.execute(params![
            result,
            place(i),
            assumption.about,
            assumption.taken,
            assumption.change
        ])?;
    }
    let mut insert = db.prepare_cached(
        "INSERT INTO pour (result_id, position, ingredient, ingredient_key, written, place, volume_ml, mass_g, ethanol_g, sugar_g, acid_g)
         VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)",
    )?;
    for (i, step) in resolved.steps.iter().enumerate() {
        let ResolvedStep::Pour(pour) = step else { continue };
        // A pour that fills the glass is one millilitre until the glass says how many.
        let times = if pour.fills {
            built.fill.map_or(pour.volume_ml, |f| f.volume_ml)
        } else {
            1.0
        };
        let liquid = pour.liquid.times(times).unwrap_or_default();
        insert.execute(params![
            result,
            place(i),
            pour.ingredient,
            key(&pour.ingredient),
            pour.written,
            place_word(pour.place),
            if pour.fills { times } else { pour.volume_ml },
            if pour.fills { liquid.mass_g() } else { pour.mass_g },
            liquid.ethanol_g(),
            liquid.sugar_g(),
            liquid.acid_as_citric_g(),
        ])?;
    }
    Ok(())
}
