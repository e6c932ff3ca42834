//! Washline
pub mod balance;
pub mod build;
pub mod ingredient;
pub mod liquid;
pub mod measure;
pub mod melt;
pub mod names;
pub mod resolve;
pub mod spec;
pub mod store;
