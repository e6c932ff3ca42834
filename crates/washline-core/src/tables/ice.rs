//! Ice as a bar names it. Its words stand here and nowhere else: what reads, draws, prices and melts a drink asks
//! for its [`IceForm`].

use serde::{Deserialize, Serialize};

use crate::measure::Amount;
use crate::names::key;

/// Ice that a line of a spec speaks of.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Ice {
    /// What pieces it is in.
    pub form: IceForm,
    /// Its mass, g, where the line gives one.
    pub mass_g: Option<Amount>,
    /// How many pieces, where the line counts them.
    pub count: Option<u32>,
    /// Whether the line says that it comes from a freezer: dry and well below 0 °C.
    pub from_freezer: bool,
    /// The writer's words, for the reader; of a line of work without the mass, which is written before them.
    pub words: String,
}

/// What pieces ice is in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum IceForm {
    /// Just "ice": whatever the bar has, which is taken to be cubes.
    #[default]
    Unsaid,
    /// Cubes of the usual size.
    Cubes,
    /// Crushed.
    Crushed,
    /// Cracked by hand.
    Cracked,
    /// Pebble or nugget ice.
    Pebble,
    /// Shaved or flaked.
    Shaved,
    /// A large cube, enough for a glass.
    LargeCube,
    /// A block.
    Block,
    /// A spear, for a tall glass.
    Spear,
    /// A sphere.
    Sphere,
}

/// The words for each form, folded; the longest that stands first in a phrase counts. A cube or rock by itself is
/// the one large piece that a glass is served on; several are the usual ones.
const WORDS: [(&str, IceForm); 46] = {
    use IceForm as F;
    [
        ("cubes", F::Cubes),
        ("cubed", F::Cubes),
        ("ice cubes", F::Cubes),
        ("small cube", F::Cubes),
        ("small cubes", F::Cubes),
        ("the rocks", F::Cubes),
        ("rocks", F::Cubes),
        ("crushed", F::Crushed),
        ("cracked", F::Cracked),
        ("pebble", F::Pebble),
        ("pebbles", F::Pebble),
        ("pebbled", F::Pebble),
        ("nugget", F::Pebble),
        ("shaved", F::Shaved),
        ("flaked", F::Shaved),
        ("flake", F::Shaved),
        ("cube", F::LargeCube),
        ("ice cube", F::LargeCube),
        ("rock", F::LargeCube),
        ("large cube", F::LargeCube),
        ("large cubes", F::LargeCube),
        ("large ice cube", F::LargeCube),
        ("large ice cubes", F::LargeCube),
        ("large ice", F::LargeCube),
        ("large rock", F::LargeCube),
        ("big cube", F::LargeCube),
        ("big cubes", F::LargeCube),
        ("big ice cube", F::LargeCube),
        ("big ice cubes", F::LargeCube),
        ("big ice", F::LargeCube),
        ("big rock", F::LargeCube),
        ("large piece", F::LargeCube),
        ("big piece", F::LargeCube),
        ("block", F::Block),
        ("blocks", F::Block),
        ("large block", F::Block),
        ("big block", F::Block),
        ("spear", F::Spear),
        ("spears", F::Spear),
        ("large spear", F::Spear),
        ("sphere", F::Sphere),
        ("spheres", F::Sphere),
        ("large sphere", F::Sphere),
        ("ball", F::Sphere),
        ("balls", F::Sphere),
        ("large ball", F::Sphere),
    ]
};

/// Words that may stand between those of a form.
const FILLERS: [&str; 4] = ["clear", "fresh", "good", "hand"];

/// Small numbers in words.
const NUMBERS: [(&str, u32); 7] = [
    ("one", 1),
    ("single", 1),
    ("two", 2),
    ("three", 3),
    ("four", 4),
    ("five", 5),
    ("six", 6),
];

impl Ice {
    /// The ice that a phrase speaks of: `crushed ice`, `over a large cube`, `with 120 g cracked ice`, `2 ice cubes`.
    /// Every phrase is some ice; one that says no more is [`IceForm::Unsaid`]. The words are kept as they are.
    #[must_use]
    pub fn said(phrase: &str) -> Ice {
        let folded = key(phrase);
        let words: Vec<&str> = folded
            .split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')'))
            .filter(|w| !w.is_empty() && !FILLERS.contains(w))
            .collect();
        let form = form_of(&words);
        let mass_g = mass_of(&words);
        let counted = |w: &&str| {
            let number = NUMBERS.iter().find(|(word, _)| word == w).map(|(_, n)| *n);
            number.or_else(|| w.parse().ok())
        };
        let count = (mass_g.is_none() && form.is_counted())
            .then(|| words.iter().find_map(counted))
            .flatten();
        Ice {
            form,
            mass_g,
            count,
            from_freezer: words.contains(&"freezer"),
            words: phrase.trim().to_owned(),
        }
    }
}

/// The form that the first of its words says, the longest counting.
fn form_of(words: &[&str]) -> IceForm {
    let said = |at: usize| {
        let here = |spelling: &&(&str, IceForm)| {
            let mut said = words[at..].iter();
            spelling.0.split(' ').all(|word| said.next() == Some(&word))
        };
        WORDS
            .iter()
            .filter(here)
            .max_by_key(|(spelling, _)| spelling.len())
    };
    (0..words.len())
        .find_map(said)
        .map_or(IceForm::Unsaid, |(_, form)| *form)
}

/// The mass that words give: `120 g`, `120g`, `0.5 kg`.
fn mass_of(words: &[&str]) -> Option<Amount> {
    let grams = |number: &str, unit: &str| {
        let per = match unit {
            "g" | "gram" | "grams" => 1,
            "kg" => 1000,
            _ => return None,
        };
        Amount::decimal(&number.replace(',', "."))
            .ok()?
            .times(Amount::ratio(per, 1).ok()?)
            .ok()
    };
    words.iter().enumerate().find_map(|(at, word)| {
        let unit = word.find(|c: char| c.is_alphabetic()).unwrap_or(word.len());
        match word.split_at(unit) {
            ("", _) => None,
            (number, "") => grams(number, words.get(at + 1)?),
            (number, unit) => grams(number, unit),
        }
    })
}

impl IceForm {
    /// Every form.
    pub const ALL: [IceForm; 10] = {
        use IceForm as F;
        [
            F::Unsaid,
            F::Cubes,
            F::Crushed,
            F::Cracked,
            F::Pebble,
            F::Shaved,
            F::LargeCube,
            F::Block,
            F::Spear,
            F::Sphere,
        ]
    };

    /// The folded words that say a form, several words to some: what a reader of specs can take for ice.
    pub fn spellings() -> impl Iterator<Item = (&'static str, IceForm)> {
        WORDS.iter().copied()
    }

    /// What is in the glass, in words.
    #[must_use]
    pub fn written(self) -> &'static str {
        match self {
            IceForm::Unsaid | IceForm::Cubes => "cubes",
            IceForm::Crushed => "crushed ice",
            IceForm::Cracked => "cracked ice",
            IceForm::Pebble => "pebble ice",
            IceForm::Shaved => "shaved ice",
            IceForm::LargeCube => "one large cube",
            IceForm::Block => "one block",
            IceForm::Spear => "one spear",
            IceForm::Sphere => "one sphere",
        }
    }

    /// Whether a glass is served on one piece of it, and not packed with it.
    #[must_use]
    pub fn is_large(self) -> bool {
        matches!(
            self,
            IceForm::LargeCube | IceForm::Block | IceForm::Spear | IceForm::Sphere
        )
    }

    /// Whether it is broken small, so that it packs closely and melts fast.
    #[must_use]
    pub fn is_fine(self) -> bool {
        matches!(
            self,
            IceForm::Crushed | IceForm::Cracked | IceForm::Pebble | IceForm::Shaved
        )
    }

    /// Whether pieces of it are counted: nobody counts crushed ice.
    fn is_counted(self) -> bool {
        self == IceForm::Cubes || self.is_large()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phrases_say_their_form() {
        use IceForm as F;
        for (phrase, form) in [
            ("over ice", F::Unsaid),
            ("fill with fresh ice", F::Unsaid),
            ("on the rocks", F::Cubes),
            ("over cubed ice", F::Cubes),
            ("3 ice cubes", F::Cubes),
            ("Over Crushed Ice", F::Crushed),
            ("cap with crushed ice", F::Crushed),
            ("cracked ice cubes", F::Cracked),
            ("over pebble ice", F::Pebble),
            ("over shaved ice", F::Shaved),
            ("over a large cube", F::LargeCube),
            ("over one rock", F::LargeCube),
            ("2 large ice cubes", F::LargeCube),
            ("over an ice block", F::Block),
            ("over ice spear", F::Spear),
            ("over a large clear sphere", F::Sphere),
            ("one large, clear ice cube", F::LargeCube),
            ("over an ice ball", F::Sphere),
            // A word is a whole word.
            ("with ice, in a rocking tin", F::Unsaid),
        ] {
            assert_eq!(Ice::said(phrase).form, form, "{phrase}");
            assert_eq!(Ice::said(phrase).words, phrase);
        }
    }

    #[test]
    fn masses_and_counts_are_read() {
        for (phrase, mass, count) in [
            ("with 120 g cracked ice", Some("120"), None),
            ("0.5kg ice", Some("500"), None),
            ("2 ice cubes", None, Some(2)),
            ("over one large cube", None, Some(1)),
            ("over a large cube", None, None),
            ("ice", None, None),
        ] {
            let ice = Ice::said(phrase);
            assert_eq!(ice.mass_g.map(|g| g.to_string()).as_deref(), mass, "{phrase}");
            assert_eq!(ice.count, count, "{phrase}");
        }
        assert!(Ice::said("large cubes from the freezer").from_freezer);
        assert!(!Ice::said("over ice").from_freezer);
    }

    #[test]
    fn a_form_is_large_or_fine_or_neither() {
        for form in IceForm::ALL {
            assert!(!(form.is_large() && form.is_fine()), "{form:?}");
        }
    }
}
