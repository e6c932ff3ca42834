//! How a drink goes on changing.

use washline_core::build;

use crate::parts::{Signed, shape};
use crate::shared::each;

shape! {
    /// With --over-time: how the drink goes on changing.
    OverTime<'a> = "over_time" of told: &'a build::OverTime {
        /// Where the heat of the work went; null where it met no ice.
        heat: Option<Heat> = told.account.as_ref().map(Heat::from),
        /// On the ice it is worked with, from the first second.
        worked: Vec<Moment> = each(&told.worked),
        /// When the work is over.
        worked_seconds: f64 = told.worked_seconds,
        /// In its glass, from serving on.
        served: Vec<Moment> = each(&told.served),
        /// What it stands on.
        stands: &'a str = &told.stands,
    }
}

shape! {
    Heat = "heat" of heat: &build::HeatAccount {
        /// The mix before it met the ice, the warmth of mixing left out.
        #[schemars(range(min = -60, max = 120))]
        drink_before_c: f64 = heat.drink_before_c,
        /// With the water on it.
        ice_g: f64 = heat.ice_g,
        water_on_ice_g: f64 = heat.water_on_ice_g,
        #[schemars(range(min = -100, max = 0))]
        ice_c: f64 = heat.ice_c,
        ice_left_g: f64 = heat.ice_left_g,
        #[schemars(range(min = -100, max = 0))]
        ice_left_c: f64 = heat.ice_left_c,
        /// As far as it follows the drink.
        vessel_j_per_k: f64 = heat.vessel_j_per_k,
        vessel_before_c: Signed = heat.vessel_before_c.into(),
        vessel_after_c: Signed = heat.vessel_after_c.into(),
        /// From room, hands and work.
        from_outside_j: Signed = heat.from_outside_j.into(),
    }
}

shape! {
    Moment = "moment" of moment: &build::Moment {
        seconds: f64 = moment.seconds,
        /// Water gained since then; below 0 where water froze on to very cold ice.
        water_ml: Signed = moment.water_ml.into(),
        volume_ml: f64 = moment.volume_ml,
        abv_pct: f64 = moment.abv_pct,
        sugar_g_per_100ml: f64 = moment.sugar_g_per_100ml,
        acid_g_per_100ml: f64 = moment.acid_g_per_100ml,
        #[schemars(range(min = -60, max = 100))]
        temperature_c: f64 = moment.temperature_c,
    }
}
