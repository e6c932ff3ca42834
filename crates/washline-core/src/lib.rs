//! Washline
pub mod liquid;
pub mod measure;
