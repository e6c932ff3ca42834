//! A pour whose name comes first, or that is a name and nothing else.

use super::finish::hang;
use super::much::Much;
use super::name::Name;
use super::{Found, Item, Mention, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Sort, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Extent, PourAmount, PourMethod, amounts};

/// What leads from a name to its amount.
#[derive(Clone, Copy)]
struct Lead {
    /// Where the amount stands.
    at: usize,
    /// Whether the name heads the line, with a comma behind it.
    whole_line: bool,
    /// Whether a semicolon parts the two.
    apart: bool,
}

impl Reader<'_> {
    /// `gin 50 ml`, `Gin: 2 oz`, `lime juice … 22.5`: the name first.
    pub(super) fn name_first(&self, i: usize, out: &mut Vec<Found>) {
        if self.tokens[i].is_number() {
            return;
        }
        for name in self.names(i) {
            let Some(lead) = (name.cost <= 14)
                .then(|| self.lead_to_the_amount(i, &name))
                .flatten()
            else {
                continue;
            };
            for way in self.much(lead.at) {
                match way {
                    Ok(much) if self.belongs_behind(i, &name, &much, lead) => {
                        out.push(self.name_with_amount(i, &name, much, lead.at));
                    }
                    Ok(_) => {}
                    Err((wrong, next)) => {
                        let (_, after) = self.unit_at(next);
                        out.push(self.found(i, after, name.cost + 2, Item::Fault(wrong)));
                    }
                }
            }
        }
    }

    /// What stands between a name and its amount: a dash, dots, a comma where the name has the line to itself.
    fn lead_to_the_amount(&self, i: usize, name: &Name) -> Option<Lead> {
        let mut at = name.end;
        // `orange. 20 ml lime`: a sentence ended before the amount.
        if self.sentence_ends(at - 1) && !self.mark(at, ".…-:=|") {
            return None;
        }
        let heads = i == 0
            || self.mark(i - 1, ",;")
            || self.sentence_ends(i - 1)
            || self.is(i - 1, Tag::Joint).is_some();
        let whole_line = heads && self.mark(at, ",");
        if whole_line {
            at += 1;
        }
        let coded = self.mark(at, "-")
            && !self.tokens[at].spaced
            && matches!(&self.tokens[at - 1].kind, Kind::Word(w) if w.len() > 1 && !w.chars().any(char::is_lowercase))
            && self
                .tokens
                .get(at + 1)
                .is_some_and(|t| !t.spaced && t.is_number() && self.name_at(at - 1).is_none());
        if coded {
            return None;
        }
        let mut apart = false;
        // `banana liqueur at 20`
        if self.words.get(at).is_some_and(|w| w.folded == "at")
            && self
                .tokens
                .get(at + 1)
                .is_some_and(crate::spec::tokens::Token::is_number)
            && self.name_at(i).is_some()
            && !self.mark(at + 2, "%°")
        {
            at += 1;
        }
        // `sorry, lemon is .75 not .5`
        if let Some(amount) = self.told_again(i)
            && amount > at
        {
            at = amount;
        }
        while self.mark(at, "-:=|…×")
            // Dots that lead to an amount are several, or stand by themselves; one right behind a word ends it.
            || self.mark(at, ".") && (at > name.end || self.tokens[at].spaced || self.mark(at + 1, "."))
            || self.mark(at, ";") && !self.tokens[at].spaced
            || self.words.get(at).is_some_and(|w| w.folded == "x")
        {
            apart |= self.mark(at, ";");
            at += 1;
        }
        Some(Lead {
            at,
            whole_line,
            apart,
        })
    }

    /// Whether an amount behind a name is of that name.
    fn belongs_behind(&self, i: usize, name: &Name, much: &Much, lead: Lead) -> bool {
        let Lead {
            at,
            whole_line,
            apart,
        } = lead;
        let PourAmount::Of(_, unit) = much.measure else {
            return false;
        };
        // `peated scotch, 3 sprays over the foam`
        let placed = self
            .place_after(much.next)
            .is_some_and(|(.., end)| self.boundary(end));
        let over = self.boundary(much.next) || self.stopped(much.next) || placed;
        // `Cinnamon sticks, 6`: a line of a list, of what is counted.
        let counted = whole_line
            && i == 0
            && much.next == self.len()
            && unit.is_none()
            && matches!(self.name_at(name.end - 1), Some((end, Sort::Solid)) if end == name.end)
                | matches!(self.name_at(i), Some((_, Sort::Solid)));
        if (whole_line || apart) && !counted && (!over || unit.is_none() && !apart) {
            return false;
        }
        // `Handout 4`: a bare number behind words that name nothing is none of a pour.
        let names_something = (i..name.end)
            .any(|j| lexicon::in_name(&self.words[j]) || lexicon::long_form(&self.words[j].folded).is_some());
        if unit.is_none() && !names_something {
            return false;
        }
        // `the aquavit one for the menu`: a number in words by itself counts nothing.
        if unit.is_none() && at == name.end && matches!(self.words[at].folded.as_str(), "one" | "a" | "an") {
            return false;
        }
        true
    }

    /// A name with the amount behind it, which stands at `at`.
    fn name_with_amount(&self, i: usize, name: &Name, mut much: Much, at: usize) -> Found {
        let bare = matches!(much.measure, PourAmount::Of(_, None));
        let more = self.second_at_the_end(&mut much) | self.more_of_it(&mut much);
        let after = self.is(much.next, Tag::Each).unwrap_or(much.next);
        let ends = self.boundary(after)
            || self.is(after, Tag::Joint).is_some()
            || self.is(after, Tag::With).is_some()
            || self.place_or_work(after);
        let glued = at == name.end && !self.tokens[at].spaced;
        let parted = at > name.end || more || glued || self.names_lead;
        let ends = ends || glued || self.names_lead;
        // Without a unit, a number may belong to what comes next: `gin 25 lemon`.
        let cost =
            much.cost + 2 * u32::from(!ends) + if parted { 0 } else { 1 } + u32::from(bare && !ends) * 2;
        much.cost = cost;
        let mut whole = name.clone();
        whole.roles.extend(much.roles.clone());
        whole.end = after;
        let mut found = self.pour(
            i,
            &Much {
                roles: Vec::new(),
                ..much.clone()
            },
            whole,
            None,
        );
        found.to = found.to.max(after);
        // What hangs on a name may stand after the amount: `gin 50 ml (47 %)`.
        let mut tail = Name {
            end: after,
            ..Name::default()
        };
        self.tail_of(&mut tail);
        if tail.end > after
            && let Item::Pours(pours) = &mut found.item
            && let Some((pour, said)) = pours.first_mut()
        {
            hang(pour, said, &tail);
            found.roles.extend(tail.roles.clone());
        }
        let to = tail.end.max(after);
        found.to = to;
        found.span = self.span(i, to);
        found.text = self.raw(i, to).to_owned();
        found
    }

    /// `Gin | 1.5 oz | 45 ml`: a second amount behind the first, at the end of a row.
    fn second_at_the_end(&self, much: &mut Much) -> bool {
        let at = much.next;
        if !self.mark(at, "/|=") {
            return false;
        }
        let Some(Ok(second)) = amounts::phrase(&self.tokens, at + 1) else {
            return false;
        };
        let (Some(unit), after) = self.unit_at(second.next) else {
            return false;
        };
        if !self.boundary(after) {
            return false;
        }
        much.also(second.extent.nominal, unit, after);
        true
    }

    /// `Sparkling wine: 1 x 750 ml + 1 half bottle 375 ml`: a second amount of the same, at the end of its part.
    fn more_of_it(&self, much: &mut Much) -> bool {
        let at = much.next;
        let PourAmount::Of(first, Some(own)) = &mut much.measure else {
            return false;
        };
        if !self.mark(at, "+") {
            return false;
        }
        // The last amount before the part ends: `1 half bottle 375 ml` is 375 ml.
        let end = (at + 1..self.len())
            .find(|&j| self.boundary(j))
            .unwrap_or(self.len());
        let Some((phrase, unit)) = (at + 1..end).rev().find_map(|j| {
            let phrase = amounts::phrase(&self.tokens[..end], j)?.ok()?;
            let (unit, after) = self.unit_at(phrase.next);
            (self.tokens[j].is_number() && after == end).then_some((phrase, unit?))
        }) else {
            return false;
        };
        let measures = crate::measure::Measures::default();
        let exact = |unit: Unit| {
            matches!(
                unit,
                Unit::Millilitre | Unit::Centilitre | Unit::Litre | Unit::Decilitre
            )
            .then(|| measures.size(unit).map(|s| s.nominal))
            .flatten()
        };
        let more = if unit == *own {
            phrase.extent.nominal
        } else if let (Some(size), Some(of)) = (exact(unit), exact(*own))
            && let Ok(ratio) = size.over(of)
        {
            phrase.extent.nominal * ratio
        } else {
            return false;
        };
        *first = Extent::exact(first.nominal + more);
        much.reach(end);
        true
    }

    pub(super) fn place_or_work(&self, i: usize) -> bool {
        self.tag(i, |t| {
            matches!(
                t,
                Tag::Work(_)
                    | Tag::Strain { .. }
                    | Tag::Top
                    | Tag::Float
                    | Tag::Glass
                    | Tag::Ice
                    | Tag::Preposition
                    | Tag::GarnishVerb
            )
            .then_some(())
        })
        .is_some()
    }

    /// A name that stands alone.
    pub(super) fn by_name_alone(&self, i: usize, out: &mut Vec<Found>) {
        // `no egg`, `without sugar`: said not to be there.
        if i > 0
            && matches!(
                self.words[i - 1].folded.as_str(),
                "no" | "without" | "w/o" | "not" | "zero" | "skip"
            )
        {
            let ends = self.names(i).into_iter().map(|n| n.end).max();
            if let Some(end) = ends {
                let mut found = self.found(i, end, 3, Item::Words);
                found.roles = vec![(i, end, Role::Note)];
                out.push(found);
            }
            return;
        }
        for name in self.names(i) {
            let Some(named) = name.choices.first() else {
                continue;
            };
            let folded = crate::names::key(&named.name);
            let counted = self
                .counted_by_itself(i, &name, &folded)
                .or_else(|| self.measured_by_a_unit_alone(i, &name))
                .or_else(|| self.measured_by_its_tail(i, &name));
            if let Some(found) = counted {
                out.push(found);
                continue;
            }
            out.extend(self.double_espresso(i, &name, &folded));
            out.push(
                self.put_on_top(i, &name, &folded)
                    .unwrap_or_else(|| self.mention_of(i, &name)),
            );
        }
    }

    /// `1` of what is counted, where nobody says how many: `egg white`.
    fn counted_by_itself(&self, i: usize, name: &Name, folded: &str) -> Option<Found> {
        let long = lexicon::long_form(folded);
        let counted = matches!(
            long.unwrap_or(folded),
            "egg white"
                | "egg yolk"
                | "whole egg"
                | "egg"
                | "sugar cube"
                | "yolk"
                | "fresh egg"
                | "new laid egg"
                | "raw egg"
        );
        // `because of egg`
        let spoken_of = i > 1
            && self.words[i - 1].folded == "of"
            && matches!(
                self.words[i - 2].folded.as_str(),
                "because" | "instead" | "smell" | "taste" | "free"
            );
        let warned = self
            .words
            .iter()
            .any(|w| matches!(w.folded.as_str(), "allergy" | "allergen" | "allergic"));
        // `Egg white 20 ml (EGG)`: an allergen.
        let warned = warned || i > 1 && self.mark(i - 1, "([") && self.mark(name.end, ")]");
        let much = Much::plain(PourAmount::Of(Extent::exact(Amount::ONE), None), i, 2);
        (counted && !spoken_of && !warned).then(|| self.pour(i, &much, name.clone(), None))
    }

    /// `Soda splash`, `Angostura dash`: one of a unit that needs no number, at the end of its part.
    fn measured_by_a_unit_alone(&self, i: usize, name: &Name) -> Option<Found> {
        let (Some(unit), end) = self.unit_at(name.end) else {
            return None;
        };
        let free = matches!(
            unit,
            Unit::Splash | Unit::Dash | Unit::Pinch | Unit::Drop | Unit::Barspoon
        );
        let heads = i == 0 || self.mark(i - 1, ",;") || self.sentence_ends(i - 1);
        let named = name.cost <= 14 && (i..name.end).any(|j| lexicon::in_name(&self.words[j]));
        if !(free && heads && named && self.boundary(end)) {
            return None;
        }
        let mut much = Much::plain(PourAmount::Of(Extent::exact(Amount::ONE), Some(unit)), end, 1);
        much.roles = vec![(name.end, end, Role::Unit)];
        Some(self.name_with_amount(i, name, much, name.end))
    }

    /// `gin (4 cl)`, `cloudberry liqueur to taste`: what hangs on the name tells how much.
    fn measured_by_its_tail(&self, i: usize, name: &Name) -> Option<Found> {
        let named = name.choices.first()?;
        // `gin (4 cl)`
        if let Some((extent, unit)) = name.second {
            let much = Much::plain(PourAmount::Of(extent, Some(unit)), i, 1);
            let alone = Name {
                second: None,
                ..name.clone()
            };
            return Some(self.pour(i, &much, alone, None));
        }
        // `cloudberry liqueur to taste`: an open pour, where it is a liquid; salt to taste is for the hand.
        let library = crate::ingredient::library();
        let liquid = lexicon::sort_of(&named.name) == Some(Sort::Liquid)
            || !lexicon::is_name(&named.name, self.context.own)
                && crate::ingredient::tells_its_kind(&named.name);
        if liquid && name.to_taste {
            let mut open = name.clone();
            open.notes.pop();
            let fizzes = library.usual(&named.name).is_some_and(|found| found.carbonated);
            let (measure, place) = if fizzes {
                (PourAmount::Fill, Some(PourMethod::Top))
            } else {
                (PourAmount::Open(None), None)
            };
            return Some(self.pour(i, &Much::plain(measure, i, 1), open, place));
        }
        None
    }

    fn double_espresso(&self, i: usize, name: &Name, folded: &str) -> Option<Found> {
        let shots = match folded {
            "double espresso" => 2,
            "single espresso" | "espresso shot" => 1,
            _ => return None,
        };
        let one = PourAmount::Of(Extent::exact(Amount::raw(shots, 1)), Some(Unit::Shot));
        let mut espresso = name.clone();
        if let Some(choice) = espresso.choices.first_mut() {
            choice.name = "espresso".to_owned();
            choice.full = "espresso".to_owned();
        }
        Some(self.pour(i, &Much::plain(one, i, 2), espresso, None))
    }

    /// `cinnamon on top`, `absinthe rinse`, `rum float`, `soda to top`
    fn put_on_top(&self, i: usize, name: &Name, folded: &str) -> Option<Found> {
        // `cinnamon on top`
        let solid = self.ends_in_a_solid(i, name.end)
            || folded.split(' ').next_back().is_some_and(|w| {
                matches!(
                    w,
                    "sugar" | "salt" | "powder" | "dust" | "crumb" | "crumbs" | "shavings"
                )
            });
        if matches!(name.place, Some(PourMethod::Top | PourMethod::Float)) && !name.fills && solid {
            let words = name.choices.first()?.name.clone();
            let mut found = self.found(i, name.end, name.cost, Item::Garnish(words));
            found.roles = vec![(i, name.end, Role::Garnish)];
            return Some(found);
        }
        // `absinthe rinse`, `rum float`, `soda to top`.
        if let Some(place) = name.place {
            // `whipped cream on top` is laid on, and fills no glass.
            let laid_on = place == PourMethod::Top
                && !name.fills
                && folded
                    .split(' ')
                    .next_back()
                    .is_some_and(|w| matches!(w, "cream" | "foam" | "espuma" | "air"));
            let (measure, place) = match place {
                PourMethod::Top if laid_on => (PourAmount::Usual, PourMethod::Float),
                PourMethod::Top => (PourAmount::Fill, PourMethod::Top),
                other => (PourAmount::Usual, other),
            };
            let much = Much::plain(measure, i, 0);
            let mut put = name.clone();
            put.place = Some(place);
            return Some(self.pour(i, &much, put, Some(place)));
        }
        None
    }

    /// A name and nothing that says how much of it.
    fn mention_of(&self, i: usize, name: &Name) -> Found {
        let named = &name.choices[0];
        let alone = self.name_at(i).filter(|(end, _)| *end <= name.end);
        let whole = alone.is_some_and(|(end, _)| self.span(i, end).end >= named.span.end);
        let mention = Mention {
            name: named.name.clone(),
            solid: matches!(alone, Some((_, Sort::Solid))),
            known: whole,
            percent: name.strength,
        };
        let mut found = self.found(
            i,
            name.end,
            name.cost + if alone.is_some() { 6 } else { 13 },
            Item::Mention(mention),
        );
        found.roles = vec![(i, name.end, Role::Mention)];
        found
    }
}
