//! Weighings of drinks, and the fit that is made of them.

use schemars::JsonSchema;
use serde::Serialize;
use washline_core::melt::fitted::{self, MeltFit};
use washline_core::store;

use crate::parts::{Decimals, Moment, Signed, Text, Version, one_of, shape};
use crate::shared::{DrinkOf, each};

/// Weighings of drinks before and after ice, the fit that is made of them, and what was worked out anew.
#[derive(Debug, Serialize, JsonSchema)]
#[schemars(title = "washline weigh")]
pub struct Weighings<'a> {
    pub schema: Version,
    pub weighings: Vec<Weighing<'a>>,
    pub fit: Option<Fit<'a>>,
    /// Drinks worked out anew.
    pub recomputed: Vec<DrinkOf<'a>>,
}

impl<'a> Weighings<'a> {
    /// The fit with its version, where it is kept.
    pub fn of(
        weighings: &'a [store::Weighing],
        fit: Option<(&'a MeltFit, Option<i64>)>,
        refreshed: Option<&'a store::Refreshed>,
    ) -> Weighings<'a> {
        Weighings {
            schema: Version,
            weighings: each(weighings),
            fit: fit.map(Fit::from),
            recomputed: refreshed.map_or_else(Vec::new, |refreshed| each(&refreshed.recomputed)),
        }
    }
}

shape! {
    Weighing<'a> = "weighing" of weighing: &'a store::Weighing {
        #[schemars(range(min = 1))]
        id: i64 = weighing.id,
        drink: Text<'a> = (&weighing.drink).into(),
        book: Text<'a> = (&weighing.book).into(),
        /// Of the spec that was weighed.
        #[schemars(range(min = 1))]
        version: i64 = weighing.version,
        /// Exact decimal.
        before_g: Decimals = weighing.before_g.into(),
        /// Exact decimal.
        after_g: Decimals = weighing.after_g.into(),
        /// Water gained, % of the mass before ice.
        water_pct_of_mass: f64 = weighing.water_pct(),
        temperature_c: Option<Signed> = weighing.temperature_c.map(Signed),
        seconds: Option<f64> = weighing.seconds,
        ice_g: Option<f64> = weighing.ice_g,
        at: Moment<'a> = Moment(weighing.at.as_ref()),
        note: &'a str = &weighing.note,
    }
}

one_of!(
    /// What was fitted.
    FittedTechnique = "fitted_technique": "shake", "stir"
);

shape! {
    Fit<'a> = "fit" of of: (&'a MeltFit, Option<i64>) {
        technique: FittedTechnique<'a> = FittedTechnique(of.0.technique.written()),
        /// Null where it is not kept.
        #[schemars(range(min = 1))]
        version: Option<i64> = of.1,
        /// How many it stands on.
        #[schemars(range(min = 1))]
        weighings: usize = of.0.count,
        #[schemars(length(min = 2, max = 2))]
        parameters: Vec<Parameter<'a>> = each(&of.0.parameters),
        scatter_pct_of_mass: f64 = 100.0 * of.0.scatter_share,
        scatter_c: f64 = of.0.scatter_c,
        left_out_rms_pct: f64 = of.0.left_out_rms_pct,
        handbook_rms_pct: f64 = of.0.handbook_rms_pct,
        residuals: Vec<Residual<'a>> = each(&of.0.residuals),
    }
}

shape! {
    Parameter<'a> = "parameter" of parameter: &'a fitted::Parameter {
        name: &'a str = &parameter.name,
        unit: &'a str = &parameter.unit,
        value: f64 = parameter.value,
        /// 95 % interval.
        low: f64 = parameter.low,
        high: f64 = parameter.high,
        /// Held at the program's own value: the weighings cannot tell it.
        held: bool = parameter.held,
    }
}

shape! {
    Residual<'a> = "residual" of residual: &'a fitted::Residual {
        drink: Text<'a> = (&residual.name).into(),
        strength_pct: f64 = residual.strength_pct,
        measured_pct: Signed = residual.measured_pct.into(),
        fitted_pct: Signed = residual.fitted_pct.into(),
        left_out_pct: Signed = residual.left_out_pct.into(),
        handbook_pct: Signed = residual.handbook_pct.into(),
        outlier: bool = residual.outlier,
    }
}
