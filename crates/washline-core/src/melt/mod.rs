//! Water gained from ice, and how cold it gets.
//!
//! Three models: [`handbook()`], the published curves and constants; [`heat`], conservation of energy in time; and
//! [`fitted`], the same with rates fitted to what a house has weighed. A drink that has been weighed itself needs
//! none of them.

pub mod fitted;
mod handbook;
pub mod heat;
mod weighed;

pub use handbook::{MeltModel, Relation, built_long, handbook, water_g, water_ml};
pub use weighed::{OwnMelt, Weighed};
