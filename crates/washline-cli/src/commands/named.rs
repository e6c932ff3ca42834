//! What is named by its word on a command line: a convention, a structure, a measure.

use washline_core::balance::{BalanceFigure, Structure};
use washline_core::ingredient::Convention;
use washline_core::names::nearest;

use crate::error::CliError;

pub fn convention_named(word: &str) -> Result<Convention, CliError> {
    Convention::from_word(word)
        .ok_or_else(|| CliError::usage(format!("--convention {word}: expected handbook or assay")))
}

pub fn structure_named(name: &str) -> Result<Structure, CliError> {
    Structure::named(name).ok_or_else(|| {
        let near = nearest(name, Structure::all().map(|s| (s.name(), s.name())), 3);
        let all: Vec<&str> = Structure::all().map(Structure::name).collect();
        CliError::usage(format!(
            "no structure `{name}`; expected one of: {}",
            all.join(", ")
        ))
        .near(&near)
    })
}

pub fn measure_named(name: &str) -> Result<BalanceFigure, CliError> {
    BalanceFigure::named(name).ok_or_else(|| {
        CliError::usage(format!(
            "no measure `{name}`; expected strength, sweetness or tartness"
        ))
    })
}
