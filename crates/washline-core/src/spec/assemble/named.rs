//! A name without an amount: said again of what was poured, laid on the glass, or asked about.

use std::ops::Range;

use super::reading::{After, Reading, read_as_the_garnish};
use super::{Assembler, line_garnish, plain_pour};
use crate::ingredient::tells_its_kind;
use crate::measure::{Amount, Unit};
use crate::names::key;
use crate::spec::lexicon::{self, singular};
use crate::spec::line::{self, Mention, goes_on_the_glass};
use crate::spec::{Assumption, Entry, Pour, PourAmount, PourMethod, Step, Technique, Unplaced};
use crate::tables::IngredientKind;

/// What something that is named without an amount is there for.
#[derive(Clone, Copy)]
enum TakenAs {
    Seasoning,
    Mixer,
}

impl Assembler<'_> {
    /// Whether a pour counts, without a measure, something that nobody knows as a thing to drink.
    pub(super) fn counts_nothing_poured(&self, pour: &Pour) -> bool {
        let counted = pour.place == PourMethod::In
            && matches!(pour.measure, PourAmount::Of(_, None | Some(Unit::Piece)));
        counted
            && pour.choices.iter().all(|named| {
                !lexicon::names_anything(&named.name, self.own)
                    && !tells_its_kind(&named.name)
                    && crate::ingredient::library().usual(&named.name).is_none()
                    && crate::ingredient::never(&named.name).is_none()
            })
    }

    /// Whether words name anything that is poured: `20 on the vermouth`.
    pub(super) fn names_what_is_poured(&self, text: &str) -> bool {
        let words = content(text);
        self.poured
            .iter()
            .filter(|p| p.words.iter().any(|w| words.contains(w)))
            .count()
            > 1
    }

    /// Whether words are those of the drink's own heading.
    pub(super) fn is_own_name(&self, words: &str) -> bool {
        let words = content(words);
        !words.is_empty() && words.iter().all(|w| self.heading.contains(w))
    }

    /// Whether the words that name a glass are the last word of something poured.
    pub(super) fn is_a_pour(&self, name: &str) -> bool {
        let words = content(name);
        !words.is_empty()
            && self
                .poured
                .iter()
                .any(|p| p.words.len() > 1 && p.words.ends_with(&words))
    }

    /// Whether a name says again what was poured, or several names in one do: `lime and the syrup`.
    pub(super) fn was_poured(&self, name: &str) -> bool {
        let poured = |words: &[String]| {
            self.poured
                .iter()
                .any(|p| same(&p.words, words) || is_of_the_kind(&p.words, words))
        };
        // `6 mint leaves` in the list, named with the word that counts them.
        let mut counted = content(name);
        if counted.len() > 1
            && matches!(
                counted.last().map(String::as_str),
                Some("leaf" | "sprig" | "wedge" | "slice" | "wheel" | "piece" | "chunk" | "cube")
            )
        {
            counted.pop();
        }
        poured(&counted)
            || poured(&content(name))
            || said_together(name).iter().all(|part| poured(&content(part)))
    }

    /// A name without an amount, which is the reading at `i` of its line: said again of what was poured, put on the
    /// drink, seasoned or lengthened with, or asked about.
    pub(super) fn mention(
        &mut self,
        i: usize,
        mention: &Mention,
        text: &str,
        span: Range<usize>,
        at: &mut Reading,
    ) {
        let text = text.trim_end_matches(['.', ',']);
        let was_poured = self.was_poured(&mention.name);
        // `some of the coconut one`: poured, and nobody knows how much of what.
        if std::mem::take(&mut self.some_of) && !was_poured {
            self.out.wrongs.push(how_much(text, span, mention.solid));
            return;
        }
        // `the gin one`: what is spoken of.
        if text.to_lowercase().ends_with(" one") {
            at.note.push(text.to_owned());
            return;
        }
        if was_poured {
            // `pour over the hot milk`
            self.called_hot |= key(text)
                .split(' ')
                .any(|w| matches!(w, "hot" | "boiling" | "steaming"));
            if !(self.served && mention.solid) {
                return;
            }
        }
        let late = self.is_late(mention.solid, (at.part, i));
        if at.after == After::Garnish || late && goes_on_the_drink(mention) {
            self.push(line_garnish(text), span, vec![read_as_the_garnish(text)]);
            return;
        }
        // `Soda water` in the list, `top with soda` in the method: how much is said there.
        let words = content(&mention.name);
        if at.alone && self.placed_later.iter().any(|later| same(&words, later)) {
            return;
        }
        if self.swims_in_the_bowl(mention) {
            let said = Assumption::new(
                format!("`{text}`"),
                "fruit in the bowl, read as the garnish: none of its juice is counted",
                "write how much is pressed, or `garnish …`",
            );
            self.push(line_garnish(text), span, vec![said]);
            return;
        }
        if !self.served && self.seasons(&mention.name) {
            self.push_without_an_amount(mention, text, span, TakenAs::Seasoning);
            return;
        }
        // An unusual word in prose is for the reader; a name alone on its line may be a pour whose amount is missing.
        let library = crate::ingredient::library();
        let listed = || library.usual(&mention.name).is_some();
        let known = mention.known || !late && (listed() || tells_its_kind(&mention.name));
        if !known && (late || !at.alone || text.split_whitespace().count() > 2) {
            if at.alone && !late {
                self.said_in_passing(text);
            }
            at.note.push(text.to_owned());
            return;
        }
        if was_poured || self.is_own_name(&mention.name) {
            return;
        }
        // `50 gin, tonic`, `add seltzer`: what fizzes and has no amount lengthens the drink.
        if self.lengthens(mention) {
            self.push_without_an_amount(mention, text, span, TakenAs::Mixer);
            return;
        }
        self.out.wrongs.push(how_much(text, span, mention.solid));
    }

    /// Whether what is named at a place, a part and a reading in it, comes when the drink is made: a fruit or herb then
    /// goes on it.
    fn is_late(&self, solid: bool, place: (usize, usize)) -> bool {
        let (part, _) = place;
        self.served
            || solid && self.last_pour.is_some_and(|last| part > last)
            || self.worked && self.last_work.is_some_and(|last| part > last)
            || self.last_press.is_some_and(|p| p < place) && self.worked
    }

    /// `oranges, apples, sliced` in a bowl for twenty: they swim in it.
    fn swims_in_the_bowl(&self, mention: &Mention) -> bool {
        let solid = mention.solid
            || mention
                .name
                .split(',')
                .next()
                .is_some_and(|n| is_solid(n) || goes_on_the_glass(n));
        self.only_names && solid && self.out.serves.is_some_and(|n| n > Amount::raw(4, 1))
    }

    /// `Salt, pepper` in a list, `crack black pepper`: to season with.
    fn seasons(&self, name: &str) -> bool {
        let season = crate::ingredient::library()
            .usual(name)
            .is_some_and(|i| matches!(i.kind, IngredientKind::Spice | IngredientKind::Seasoning));
        let salted = matches!(
            singular(content(name).last().map_or("", String::as_str)).as_ref(),
            "salt" | "pepper"
        );
        season && (self.only_names || salted)
    }

    /// Pour what is named as much as is usual for what it is there for, and say so.
    fn push_without_an_amount(&mut self, mention: &Mention, text: &str, span: Range<usize>, taken: TakenAs) {
        let unsaid = format!("{text} without an amount");
        let (measure, place, said) = match taken {
            TakenAs::Seasoning => (
                PourAmount::Of(crate::spec::Extent::exact(Amount::ONE), Some(Unit::Pinch)),
                PourMethod::In,
                Assumption::new(
                    unsaid,
                    "a pinch, to season with: common practice, no source",
                    "write how much",
                ),
            ),
            TakenAs::Mixer => (
                PourAmount::Fill,
                PourMethod::Top,
                Assumption::new(
                    unsaid,
                    "poured to the washline, as a mixer is",
                    format!("write `top with {text}`, or how much"),
                ),
            ),
        };
        let mut pour = plain_pour(&mention.name, measure, span.clone());
        pour.place = place;
        self.push(Step::Pour(pour), span, vec![said]);
    }

    /// Whether what is named without an amount is a mixer that fizzes, and the drink is for one and has no other top.
    fn lengthens(&self, mention: &Mention) -> bool {
        let library = crate::ingredient::library();
        let mixer = library
            .usual(&mention.name)
            .is_some_and(|i| i.carbonated && matches!(i.kind, IngredientKind::Soda | IngredientKind::Water));
        let topped = self.out.entries.iter().any(|e| {
            matches!(e, Entry::Step(line) if matches!(&line.step, Step::Pour(p) if p.place == PourMethod::Top))
        });
        mixer && mention.known && !self.preparing && !topped && self.any_poured() && self.out.serves.is_none()
    }

    /// Whether a counted fruit, herb or the like is put on the drink and not in it.
    pub(super) fn is_garnish(&self, pour: &Pour, text: &str, at: (usize, usize), after: After) -> bool {
        // `half a passion fruit on top`, `1 g crumb on top`
        if !self.preparing
            && pour.place == PourMethod::Top
            && let (Some(named), PourAmount::Of(extent, unit)) = (pour.choices.first(), &pour.measure)
        {
            let solid = is_solid(&named.name) || goes_on_the_glass(&named.name);
            let liquid =
                lexicon::sort_of(&named.name) == Some(lexicon::Sort::Liquid) || tells_its_kind(&named.name);
            let little = *unit == Some(Unit::Gram) && extent.nominal <= Amount::raw(5, 1);
            return match unit {
                None => solid,
                // `a slice of lemon on top`
                Some(Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Sprig | Unit::Leaf) => {
                    !liquid || goes_on_the_glass(&named.name)
                }
                Some(unit) => !liquid && (line::on_the_glass(*unit) || little),
            };
        }
        if self.preparing
            || pour.place != PourMethod::In
            || after == After::Work(Technique::Muddle) && !self.served
        {
            return false;
        }
        let Some(named) = pour.choices.first() else {
            return false;
        };
        let PourAmount::Of(extent, unit) = &pour.measure else {
            return false;
        };
        // `a couple of marshmallows`: nothing that anybody drinks.
        if unit.is_none()
            && garnish_noun(&named.name)
            && lexicon::sort_of(&named.name).is_none()
            && !tells_its_kind(&named.name)
        {
            return true;
        }
        // `15 lime`, under a glass that is named first: nobody puts fifteen on a drink.
        if unit.is_none() && extent.nominal >= Amount::raw(10, 1) {
            return false;
        }
        // `1 sliced orange`
        let fruit = without_its_cut(&named.name);
        let solid = is_solid(fruit) || goes_on_the_glass(fruit) || garnish_noun(&named.name);
        let on_glass = match unit {
            Some(unit) => {
                line::on_the_glass(*unit) || *unit == Unit::Cube && !key(&named.name).contains("sugar")
            }
            None => solid,
        };
        let cut = matches!(
            unit,
            Some(Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Sprig | Unit::Leaf)
        );
        if !on_glass || !solid && !(cut && (self.served || self.worked)) {
            return false;
        }
        let pressed_later = self.last_press.is_some_and(|last| last > at);
        // `6 oranges, sliced` swim in the bowl.
        let sliced = key(text)
            .split(|c: char| !c.is_alphabetic())
            .any(|w| matches!(w, "sliced" | "quartered"));
        if sliced && unit.is_none() && !pressed_later {
            return true;
        }
        // The peel of a fruit is never poured: what is muddled of it is its oil.
        let peel = key(&named.name)
            .split(' ')
            .next_back()
            .is_some_and(|w| matches!(singular(w).as_ref(), "peel" | "rind" | "skin" | "zest" | "twist"));
        if peel && after != After::Work(Technique::Muddle) {
            return true;
        }
        if pressed_later {
            return false;
        }
        let numbered = text
            .trim_start()
            .starts_with(|c: char| c.is_numeric() || "½¼¾⅓⅔".contains(c))
            || !matches!(pour.measure, PourAmount::Of(extent, _) if extent.nominal == Amount::ONE);
        if unit == &Some(Unit::Leaf) && !self.served && numbered {
            return false;
        }
        !numbered
            || self.served
            || self.worked && self.last_work.is_some_and(|last| at.0 > last)
            || after == After::Garnish
    }
}

/// Whether the last words of a name are those of a liquid, and words before them say more of it.
pub(super) fn ends_in_a_liquid(name: &str) -> bool {
    let folded = key(name);
    folded
        .match_indices(' ')
        .any(|(at, _)| lexicon::sort_of(&folded[at + 1..]) == Some(lexicon::Sort::Liquid))
}

/// Whether a pour is of something carbonated.
pub(super) fn fizzes(pour: &Pour) -> bool {
    let library = crate::ingredient::library();
    pour.choices
        .first()
        .is_some_and(|n| match library.usual(&n.name) {
            Some(ingredient) => ingredient.carbonated,
            None => crate::ingredient::as_kind(library, &n.name).is_some_and(|k| k.ingredient.carbonated),
        })
}

pub(super) fn how_much(text: &str, span: Range<usize>, solid: bool) -> Unplaced {
    let text = text.trim_end_matches(['.', ',']);
    let example = if solid {
        format!("8 {text}")
    } else {
        format!("20 ml {text}")
    };
    let near = if solid {
        vec![format!("garnish {text}"), format!("8 g {text}")]
    } else {
        vec![format!("top with {text}"), example]
    };
    Unplaced::ask(
        span,
        format!(
            "no amount before `{text}`; expected a pour such as `50 ml gin`, or a step such as `shake`, `strain`, `garnish lime wheel`"
        ),
        near,
    )
}

/// The words of a name that say what it is.
pub(super) fn content(name: &str) -> Vec<String> {
    key(name)
        .split_whitespace()
        .filter(|w| {
            !matches!(
                *w,
                "the"
                    | "a"
                    | "of"
                    | "fresh"
                    | "juice"
                    | "some"
                    | "your"
                    | "chilled"
                    | "hot"
                    | "cold"
                    | "raw"
                    | "remaining"
                    | "rest"
                    | "and"
                    | "with"
                    | "very"
                    | "proof"
                    | "homemade"
                    | "housemade"
                    | "house"
                    | "made"
                    | "home"
            )
        })
        .map(|w| singular(w.strip_suffix("-proof").unwrap_or(w)).into_owned())
        .collect()
}

/// The names that one run of words says together, without the verb that nobody knows before the first of them: `lime`
/// and `syrup` of `lime and the syrup`, `vodka` of `divide the vodka`.
pub(super) fn said_together(name: &str) -> Vec<String> {
    let folded = key(name);
    folded
        .split(" and ")
        .flat_map(|part| part.split(" & "))
        .map(|part| match part.rsplit_once("the ") {
            Some((before, what))
                if before.is_empty() || before.ends_with(' ') && !lexicon::names_a_liquid(before) =>
            {
                what
            }
            _ => part,
        })
        .map(str::to_owned)
        .collect()
}

/// Whether what is said names what was poured: all of its words stand in the name of the pour.
pub(super) fn same(poured: &[String], said: &[String]) -> bool {
    !said.is_empty() && said.iter().all(|w| poured.contains(w))
}

/// Whether what is said is the kind of what was poured: `yolks` of eggs, `bubbles` of a brut sparkling wine.
pub(super) fn is_of_the_kind(poured: &[String], said: &[String]) -> bool {
    let [word] = said else { return false };
    if matches!(word.as_str(), "yolk" | "white") {
        return poured.iter().any(|w| w == "egg");
    }
    let library = crate::ingredient::library();
    let typed = poured.join(" ");
    // `beer` of a saison that nobody lists.
    let kind = crate::ingredient::as_kind(library, &typed);
    let found = library.usual(&typed).or(kind.as_ref().map(|k| &k.ingredient));
    found.is_some_and(|i| {
        i.groups
            .iter()
            .map(String::as_str)
            .chain([i.kind.word()])
            .any(|kind| {
                let kind = key(kind);
                kind.split(' ').any(|w| singular(w) == word.as_str())
            })
    })
}

pub(super) fn is_solid(name: &str) -> bool {
    lexicon::sort_of(name) == Some(lexicon::Sort::Solid)
}

pub(super) fn garnish_noun(name: &str) -> bool {
    lexicon::has_tag(name, lexicon::Tag::GarnishNoun) || lexicon::is_tagged(name, lexicon::Tag::GarnishNoun)
}

/// Whether what is named is laid on a drink that is made.
fn goes_on_the_drink(mention: &Mention) -> bool {
    // `Black pepper, pickled chilli.`
    let laid = |name: &str| {
        name.split(',')
            .any(|n| is_solid(n.trim()) || goes_on_the_glass(n.trim()) || garnish_noun(n.trim()))
    };
    mention.solid || goes_on_the_glass(&mention.name) || mention.name.contains(',') && laid(&mention.name)
}

/// A name without the words before it that say how a fruit is cut or how ripe it is.
fn without_its_cut(name: &str) -> &str {
    let mut left = name;
    while let Some((first, rest)) = left.split_once(' ') {
        let cut = matches!(
            key(first).as_str(),
            "sliced" | "quartered" | "chopped" | "ripe" | "peeled" | "diced" | "slice" | "halved"
        );
        if !cut {
            break;
        }
        left = rest;
    }
    left
}

/// Whether words say something beyond joining.
pub(super) fn is_content(text: &str) -> bool {
    let folded = key(text.trim_matches(|c: char| !c.is_alphanumeric()));
    !folded.is_empty() && !lexicon::is_filler(&folded)
}
