//! What a palate says of a drink.

use crate::names::Expected;
use std::fmt;

use crate::names::key;

/// A verdict of the palate on a drink: in order, or what is off, or other words.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Palate {
    /// Nothing is off.
    Right,
    /// Too strong.
    TooStrong,
    /// Too weak, thin.
    TooWeak,
    /// Too sweet.
    TooSweet,
    /// Too tart.
    TooTart,
    /// Without life: nothing stands out.
    Flat,
    /// In the taster's own words.
    Other(String),
}

/// The words for each, as it is written first, then as it is also said.
const WORDS: [(Palate, &[&str]); 6] = [
    (Palate::Right, &["right", "just right", "in balance", "balanced"]),
    (Palate::TooStrong, &["too strong", "strong", "too boozy"]),
    (
        Palate::TooWeak,
        &["too weak", "weak", "too thin", "thin", "watery", "too watery"],
    ),
    (Palate::TooSweet, &["too sweet", "sweet"]),
    (
        Palate::TooTart,
        &["too tart", "tart", "too sour", "sour", "too sharp"],
    ),
    (Palate::Flat, &["flat", "too flat", "dull"]),
];

impl Palate {
    /// What a taster says: one thing or several, between commas, semicolons or `and`.
    ///
    /// # Errors
    /// When nothing is said, or what is said speaks against itself: what was expected.
    pub fn read(said: &str) -> Result<Vec<Palate>, Expected> {
        const EXPECTED: &str = "expected `right`, or what is off: too strong, too weak, too sweet, too tart, flat, or words of your own";
        let mut all: Vec<Palate> = Vec::new();
        for words in said.split([',', ';']).flat_map(|part| part.split(" and ")) {
            let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
            if words.is_empty() {
                continue;
            }
            let folded = key(&words);
            let known = WORDS
                .iter()
                .find(|(_, spellings)| spellings.contains(&folded.as_str()));
            let palate = known.map_or(Palate::Other(words), |(palate, _)| palate.clone());
            if !all.contains(&palate) {
                all.push(palate);
            }
        }
        let has = |palate: Palate| all.contains(&palate);
        if all.is_empty() {
            return Err(Expected::new(EXPECTED));
        }
        if has(Palate::Right) && all.len() > 1 {
            return Err(Expected::new(format!("right and something else: {EXPECTED}")));
        }
        if has(Palate::TooStrong) && has(Palate::TooWeak) {
            return Err(Expected::new(format!(
                "too strong and too weak at once: {EXPECTED}"
            )));
        }
        Ok(all)
    }

    /// Several as they are kept: `too sweet; too weak`.
    #[must_use]
    pub fn written(all: &[Palate]) -> String {
        all.iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    }
}

impl fmt::Display for Palate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known = WORDS.iter().find(|(palate, _)| palate == self);
        match (known, self) {
            (Some((_, spellings)), _) => f.pad(spellings.first().copied().unwrap_or_default()),
            (None, Palate::Other(words)) => f.pad(words),
            (None, _) => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdicts_as_people_say_them() {
        let read = |said: &str| Palate::read(said).map(|all| Palate::written(&all));
        assert_eq!(read("Too tart").as_deref(), Ok("too tart"));
        assert_eq!(read("sweet, and weak").as_deref(), Ok("too sweet; too weak"));
        assert_eq!(read("just right").as_deref(), Ok("right"));
        assert_eq!(
            read("Smells of wet dog; flat").as_deref(),
            Ok("Smells of wet dog; flat")
        );
        for said in ["", " , ", "right, too sweet", "too strong and too weak"] {
            assert!(read(said).is_err(), "{said}");
        }
        // What is kept reads as the same again.
        assert_eq!(read("too sweet; too weak").as_deref(), Ok("too sweet; too weak"));
    }
}
