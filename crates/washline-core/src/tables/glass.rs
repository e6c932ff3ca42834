//! Sorts of glass, with what each usually holds.

use std::collections::HashMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::rows;
use crate::names::key;

/// How much of a glass's brimful volume a drink fills to its washline, without ice.
/// Common practice, no source: 10 to 15 % is left free.
pub const WASHLINE_SHARE: f64 = 0.88;

/// How a glass is used, which decides how much of it the ice takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Service {
    /// Without ice.
    Up,
    /// On cubes.
    Ice,
    /// On crushed ice.
    #[serde(rename = "crushed ice")]
    Crushed,
    /// For sparkling drinks, without ice.
    Sparkling,
    /// For hot drinks.
    Hot,
    /// A measure of its own.
    Neat,
}

/// A sort of glass with its usual capacity.
#[derive(Clone, Debug, Deserialize)]
pub struct Glass {
    /// Its name.
    pub name: String,
    /// Usual brimful capacity, ml.
    pub capacity_ml: f64,
    /// Smallest usual, ml.
    pub low_ml: f64,
    /// Largest usual, ml.
    pub high_ml: f64,
    /// How it is used.
    pub service: Service,
    /// Other names, `;` between them.
    pub also: String,
    /// Who says so.
    pub source: String,
    /// How far to trust it.
    pub status: String,
}

pub(super) const TEXT: &str = include_str!("../../../../fixtures/reference/glasses.csv");

static GLASSES: LazyLock<Vec<Glass>> = LazyLock::new(|| rows("glasses.csv", TEXT));

/// The same by every folded name: every line of work asks whether it ends in one.
static GLASSES_BY_KEY: LazyLock<HashMap<String, &'static Glass>> = LazyLock::new(|| {
    let names = |g: &'static Glass| std::iter::once(g.name.as_str()).chain(g.also.split(';'));
    GLASSES
        .iter()
        .flat_map(|g| names(g).map(move |name| (folded(name), g)))
        .collect()
});

/// A name of a glass as it is looked up: folded, `N & N`, `N/N` and `N and N` one name, one glass of several.
fn folded(name: &str) -> String {
    let plain = key(name).replace(['&', '/', '+'], " and ");
    let words = plain.split_whitespace().map(|w| {
        let w = w.trim_end_matches(['.', ',']);
        match w.strip_suffix("es").or(w.strip_suffix('s')) {
            Some("glass") => "glass",
            _ if w.ends_with("ss") || w == "rocks" || w == "collins" => w,
            _ => w.strip_suffix('s').unwrap_or(w),
        }
    });
    words.collect::<Vec<_>>().join(" ")
}

impl Glass {
    /// All known sorts.
    pub fn all() -> impl Iterator<Item = &'static Glass> {
        GLASSES.iter()
    }

    /// The sort of that name, words before it left out where nobody knows them: `frozen martini glass`.
    #[must_use]
    pub fn called(name: &str) -> Option<&'static Glass> {
        let folded = folded(name);
        let words: Vec<&str> = folded.split(' ').collect();
        let long = match words.as_slice() {
            ["tall" | "long"] => Glass::known("highball"),
            ["short"] => Glass::known("rocks"),
            _ => None,
        };
        long.or_else(|| (0..words.len()).find_map(|from| Glass::known(&words[from..].join(" "))))
    }

    /// The sort of that name, by its own name or another.
    #[must_use]
    pub fn known(name: &str) -> Option<&'static Glass> {
        let wanted = folded(name);
        let bare = wanted.strip_suffix(" glass").unwrap_or(&wanted);
        GLASSES_BY_KEY
            .get(&wanted)
            .or_else(|| GLASSES_BY_KEY.get(bare))
            .copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_reads_and_names_are_unique() {
        let mut seen = std::collections::HashSet::new();
        for glass in Glass::all() {
            assert!(
                glass.low_ml <= glass.capacity_ml && glass.capacity_ml <= glass.high_ml,
                "{}",
                glass.name
            );
            for name in std::iter::once(glass.name.as_str()).chain(glass.also.split(';')) {
                assert!(seen.insert(folded(name)), "{name}");
            }
        }
        assert_eq!(Glass::known("Coupe Glass").unwrap().name, "coupe");
    }
}
