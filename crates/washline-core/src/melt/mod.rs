//! Water gained from ice.
//!
//! Two models so far: [`handbook()`], the published curves and constants, and [`heat`], conservation of energy
//! in time, which also tells how cold it gets.

mod handbook;
pub mod heat;

pub use handbook::{MeltModel, Relation, built_long, handbook, water_g, water_ml};
