//! What can be asked for: one table of every field, its words, what it takes and an example. The reader, the printed
//! list of the guide and the suggestions all come from it.

use crate::service::comparison::{FIGURES, FigureFacts};

/// Something of a drink that can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Field {
    /// Words of its name, notes or garnish: what is asked for where no field is named.
    Words,
    /// Words of its name.
    Name,
    /// Words of its notes.
    Note,
    /// Words of its garnish.
    Garnish,
    /// What goes into it, by name and by kind, through every preparation.
    Pours,
    /// The same, its garnish among it.
    Uses,
    /// An allergen of the European list or of that of the United States.
    Contains,
    /// Its structure.
    Structure,
    /// The family it is judged by.
    Family,
    /// Its glass.
    Glass,
    /// When it is poured.
    Season,
    /// A word that is put on it.
    Tag,
    /// The list it stands on.
    On,
    /// Where it stands: what the verdict on it is.
    Verdict,
    /// What was said when the version that is poured was last tasted.
    Tasted,
    /// The day the spec that is poured was kept.
    Changed,
    /// What it sells for.
    Price,
    /// What it costs to pour.
    Cost,
    /// A figure of it.
    Figure(&'static FigureFacts),
}

/// What is said after a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// Words.
    Words,
    /// Words, or nothing: then it asks whether there is any.
    WordsOrNothing,
    /// One of a list of words.
    Listed,
    /// `since` or `before` and a day.
    Day,
    /// A comparison with a number.
    Number,
}

/// What there is to know about a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FieldFacts {
    /// Which.
    pub field: Field,
    /// What it is called.
    pub word: &'static str,
    /// What it is called as well.
    pub also: &'static [&'static str],
    /// What is said after it.
    pub takes: Takes,
    /// What it asks for, for a reader.
    pub asks: &'static str,
    /// A question with it that reads.
    pub example: &'static str,
}

const fn row(
    field: Field,
    word: &'static str,
    also: &'static [&'static str],
    takes: Takes,
    asks: &'static str,
    example: &'static str,
) -> FieldFacts {
    FieldFacts {
        field,
        word,
        also,
        takes,
        asks,
        example,
    }
}

/// The fields that are no figures.
const WORDED: [FieldFacts; 18] = [
    row(
        Field::Words,
        "words",
        &["word", "says"],
        Takes::Words,
        "words of its name, notes or garnish; so do words by themselves",
        "words lantern",
    ),
    row(
        Field::Name,
        "name",
        &["named", "called"],
        Takes::Words,
        "words of its name",
        "name cloud",
    ),
    row(
        Field::Note,
        "note",
        &["notes"],
        Takes::WordsOrNothing,
        "words of its notes; by itself, that it has one",
        "note \"winter manager\"",
    ),
    row(
        Field::Garnish,
        "garnish",
        &["garnished"],
        Takes::WordsOrNothing,
        "words of its garnish; by itself, that it has one",
        "garnish \"lemon zest\"",
    ),
    row(
        Field::Pours,
        "pours",
        &["pour"],
        Takes::Words,
        "what goes into it, by name or kind, through every preparation",
        "pours lime and not egg",
    ),
    row(
        Field::Uses,
        "uses",
        &["use"],
        Takes::Words,
        "the same, with what garnishes it",
        "uses lemon",
    ),
    row(
        Field::Contains,
        "contains",
        &["contain"],
        Takes::Listed,
        "an allergen to declare",
        "not contains milk",
    ),
    row(
        Field::Structure,
        "structure",
        &["built as"],
        Takes::Listed,
        "how it is made",
        "structure sour",
    ),
    row(
        Field::Family,
        "family",
        &[],
        Takes::Listed,
        "what it is judged beside",
        "family martini",
    ),
    row(
        Field::Glass,
        "glass",
        &["in glass"],
        Takes::WordsOrNothing,
        "words of its glass; by itself, that it names one",
        "glass coupe",
    ),
    row(
        Field::Season,
        "season",
        &["seasons"],
        Takes::WordsOrNothing,
        "when it is poured, by itself or by its list; by itself, that it says so",
        "season autumn",
    ),
    row(
        Field::Tag,
        "tag",
        &["tags", "tagged"],
        Takes::WordsOrNothing,
        "a word put on it or on its list; by itself, that there is one",
        "tag low",
    ),
    row(
        Field::On,
        "on",
        &["list", "book"],
        Takes::Words,
        "the list it stands on, by its title or words of it",
        "not on \"Winter list\"",
    ),
    row(
        Field::Verdict,
        "verdict",
        &["stands"],
        Takes::Listed,
        "where it stands, or what is off",
        "verdict too sweet",
    ),
    row(
        Field::Tasted,
        "tasted",
        &["tasting"],
        Takes::WordsOrNothing,
        "what the last tasting of the spec poured now said; by itself, that there is one",
        "tasted right",
    ),
    row(
        Field::Changed,
        "changed",
        &["kept"],
        Takes::Day,
        "the day its spec was kept",
        "changed since 2026-10-01",
    ),
    row(
        Field::Price,
        "price",
        &["sells for"],
        Takes::Number,
        "what it sells for",
        "price >= 12",
    ),
    row(
        Field::Cost,
        "cost",
        &["costs", "pour cost"],
        Takes::Number,
        "what it costs to pour, every line of it priced",
        "cost < 2.50",
    ),
];

/// What a figure is asked for with, by its name.
fn example(facts: &FigureFacts) -> &'static str {
    match facts.name {
        "volume_ml" => "volume <= 5 oz",
        "abv_pct" => "strength < 14",
        "sugar_g_per_100ml" => "sweetness 5 to 8",
        "acid_g_per_100ml" => "tartness > 0.9",
        "sugar_to_acid" => "sugar to acid > 8",
        "water_gained_ml" => "water gained > 40 ml",
        "water_pct_of_mix" => "dilution under 30 %",
        "water_pct_of_finished" => "water of the finished drink > 25",
        "ethanol_g" => "alcohol at most 20 g",
        "standard_drinks" => "standard drinks > 2",
        "energy_kj" => "energy < 200 kcal",
        _ => "temperature > 0 °C",
    }
}

/// Every field that can be asked for, in the order they are told in.
pub fn fields() -> impl Iterator<Item = FieldFacts> {
    let figures = FIGURES.iter().map(|facts| {
        row(
            Field::Figure(facts),
            facts.word,
            facts.also,
            Takes::Number,
            "a figure of it in the glass",
            example(facts),
        )
    });
    WORDED.into_iter().chain(figures)
}

impl Field {
    /// The field of that word.
    #[must_use]
    pub fn named(word: &str) -> Option<Field> {
        let wanted = crate::names::key(word);
        fields().find(|f| f.is_called(&wanted)).map(|f| f.field)
    }

    /// What there is to know about it.
    #[must_use]
    pub fn facts(self) -> FieldFacts {
        match self {
            Field::Figure(facts) => row(
                self,
                facts.word,
                facts.also,
                Takes::Number,
                "a figure of it in the glass",
                example(facts),
            ),
            _ => WORDED.into_iter().find(|f| f.field == self).unwrap_or(WORDED[0]),
        }
    }
}

impl FieldFacts {
    /// Whether a folded word calls it.
    fn is_called(&self, folded: &str) -> bool {
        let name = match self.field {
            Field::Figure(facts) => crate::names::key(facts.name),
            _ => String::new(),
        };
        self.word == folded || self.also.contains(&folded) || name == folded
    }

    /// Whether words after it are always its own, so that its word between others begins another test.
    pub(super) fn opens(&self) -> bool {
        self.takes != Takes::Number
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::find::Query;

    #[test]
    fn every_field_is_known_by_every_word_of_it_and_no_word_is_two() {
        let mut seen = std::collections::HashSet::new();
        for facts in fields() {
            assert_eq!(facts.field.facts(), facts, "{}", facts.word);
            for word in std::iter::once(&facts.word).chain(facts.also) {
                assert!(seen.insert(*word), "{word} twice");
                assert_eq!(Field::named(word), Some(facts.field), "{word}");
            }
        }
    }

    #[test]
    fn every_example_reads_and_asks_for_its_field() {
        for facts in fields() {
            let query = Query::read(facts.example).unwrap_or_else(|e| panic!("{}: {e}", facts.example));
            assert!(query.asks_for(facts.field), "{}", facts.example);
        }
    }
}
