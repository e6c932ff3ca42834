//! A pour of an amount and a name, with what hangs on the name: strength, size, notes, a second amount.

use super::much::Much;
use super::name::Name;
use super::second_amount::{both, is_vague};
use super::{Found, Item, Reader, Role};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Sort, Tag};
use crate::spec::{Assumption, Extent, Pour, PourAmount, PourMethod};

impl Reader<'_> {
    /// One pour of an amount and a name.
    pub(super) fn pour(&self, i: usize, much: &Much, name: Name, place: Option<PourMethod>) -> Found {
        if let Some(wrong) = &name.wrong {
            return self.found(i, name.end, much.cost + name.cost, Item::Fault(wrong.clone()));
        }
        let name = self.size_after_a_comma(much, name);
        let end = name.end.max(much.next);
        let cost = much.cost + name.cost;
        let mut roles = much.roles.clone();
        roles.extend(name.roles.iter().copied());
        roles.sort_by_key(|r| r.0);
        let (mut pour, mut assumptions) = finish(much.measure.clone(), &name, place, much.notes.clone());
        assumptions.splice(0..0, much.assumptions.iter().cloned());
        count_by_last_word(&mut pour);
        count_what_is_cut(&mut pour);
        let mut found = self.found(i, end, cost, Item::Pours(vec![(pour, assumptions)]));
        found.roles = roles;
        found
    }

    /// `a bottle of white wine, 750 ml`: the size of what has none of its own.
    pub(super) fn size_after_a_comma(&self, much: &Much, mut name: Name) -> Name {
        let PourAmount::Of(_, unit) = &much.measure else {
            return name;
        };
        if name.second.is_some()
            || !(is_vague(*unit) || *unit == Some(Unit::Bottle))
            || !self.mark(name.end, ",")
        {
            return name;
        }
        let from = name.end + 1;
        let to = (from..self.len())
            .find(|&j| self.boundary(j))
            .unwrap_or(self.len());
        if let Some(size) = self.amount_alone(from, to) {
            name.second = Some(size);
            name.roles.push((name.end, to, Role::Amount));
            name.end = to;
        }
        name
    }

    pub(super) fn tail_of(&self, name: &mut Name) {
        // Nothing but brackets and a strength can follow an amount that stands last.
        loop {
            let end = name.end;
            if self.mark(end, "([|,")
                || self
                    .tokens
                    .get(end)
                    .is_some_and(crate::spec::tokens::Token::is_number)
                || self.is(end, Tag::ToFill).is_some()
                || self.is(end, Tag::Float).is_some()
                || self.is(end, Tag::OnTop).is_some()
            {
                self.tail(name);
            }
            if name.end == end {
                return;
            }
        }
    }
}

/// `1 lime cut in 8 pieces`: fruit that is cut is counted by the piece.
pub(super) fn count_what_is_cut(pour: &mut Pour) {
    let cut = ["cut in", "sliced in", "chopped in", "divided in"]
        .iter()
        .any(|how| pour.note.contains(how));
    if let PourAmount::Of(extent, unit @ None) = &mut pour.measure
        && cut
        && extent.nominal <= Amount::raw(12, 1)
    {
        *unit = Some(Unit::Piece);
    }
}

/// Units in which fruit and herbs are put on a drink as often as in it.
pub(in crate::spec) fn on_the_glass(unit: Unit) -> bool {
    matches!(
        unit,
        Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Sprig | Unit::Leaf | Unit::Piece
    )
}

/// `6-8 mint leaves`, `1 lime wedge`, `1 sugar cube`: the last word is the unit.
pub(super) fn count_by_last_word(pour: &mut Pour) {
    if let PourAmount::Of(_, None | Some(Unit::Piece)) = &pour.measure
        && let [named] = pour.choices.as_mut_slice()
    {
        // `2 lime wedges squeezed`
        let plain = lexicon::without_qualities(&crate::names::key(&named.name));
        let counts = plain
            .rsplit_once(' ')
            .is_some_and(|(_, last)| Unit::spelt(last).is_some_and(on_the_glass));
        if counts && named.name.len() > plain.len() && named.name.to_lowercase().starts_with(&plain) {
            let said = named.name.split_off(plain.len());
            named.full.clone_from(&named.name);
            pour.note = [pour.note.as_str(), said.trim()].join(" ").trim().to_owned();
        }
    }
    if let PourAmount::Of(_, unit @ (None | Some(Unit::Piece))) = &mut pour.measure
        && let [named] = pour.choices.as_mut_slice()
        && let Some((rest, last)) = named.name.rsplit_once(' ')
        && let Some(
            counted @ (Unit::Leaf | Unit::Sprig | Unit::Slice | Unit::Wheel | Unit::Wedge | Unit::Cube),
        ) = Unit::spelt(last)
    {
        *unit = Some(counted);
        named.name = rest.to_owned();
    }
}

/// `1 white`: of an egg.
pub(super) fn of_an_egg(measure: &PourAmount, name: &Name) -> Option<&'static str> {
    let [named] = name.choices.as_slice() else {
        return None;
    };
    let few = matches!(measure, PourAmount::Of(extent, None) if extent.nominal <= Amount::raw(12, 1));
    match crate::names::key(&named.name).as_str() {
        "white" | "whites" if few => Some("egg white"),
        "yolk" | "yolks" if few => Some("egg yolk"),
        _ => None,
    }
}

/// The pour of a measure and a name with what hangs on it.
pub(super) fn finish(
    measure: PourAmount,
    name: &Name,
    place: Option<PourMethod>,
    notes: Vec<String>,
) -> (Pour, Vec<Assumption>) {
    let mut pour = Pour {
        place: place.or(name.place).unwrap_or(PourMethod::In),
        measure,
        choices: name.choices.clone(),
        strength_pct: None,
        per: None,
        note: String::new(),
    };
    // `1 lump cut loaf sugar`: a cube.
    if matches!(pour.measure, PourAmount::Of(_, Some(Unit::Cube)))
        && let [named] = pour.choices.as_mut_slice()
        && crate::names::key(&named.name).ends_with("loaf sugar")
    {
        "sugar".clone_into(&mut named.name);
    }
    if let (Some(egg), [named]) = (of_an_egg(&pour.measure, name), pour.choices.as_mut_slice()) {
        egg.clone_into(&mut named.name);
        egg.clone_into(&mut named.full);
    }
    let mut assumptions = Vec::new();
    let mut with_notes = name.clone();
    with_notes.notes.splice(0..0, notes);
    hang(&mut pour, &mut assumptions, &with_notes);
    (pour, assumptions)
}

/// Hang on a pour what a name has hanging on it.
pub(super) fn hang(pour: &mut Pour, assumptions: &mut Vec<Assumption>, name: &Name) {
    by_the_dash(pour, assumptions);
    assumptions.extend(name.assumptions.iter().cloned());
    pour.strength_pct = name.strength.or(pour.strength_pct);
    pour.per = name.per.or(pour.per);
    if let Some(place) = name.place
        && pour.place == PourMethod::In
    {
        pour.place = place;
    }
    let mut notes: Vec<String> = if pour.note.is_empty() {
        Vec::new()
    } else {
        vec![pour.note.clone()]
    };
    notes.extend(name.notes.iter().cloned());
    if let Some((extent, unit)) = name.second {
        match &mut pour.measure {
            measure @ (PourAmount::Fill | PourAmount::Usual) => *measure = PourAmount::Of(extent, Some(unit)),
            PourAmount::Of(first, own) if *own == Some(Unit::Bottle) => {
                *first = Extent::exact(first.nominal * extent.nominal);
                *own = Some(unit);
            }
            // `2 fingers amaro (60 ml)`: what is measured settles what is not.
            PourAmount::Of(first, own) if is_vague(*own) && !is_vague(Some(unit)) => {
                let said = own.map_or("", |u| u.written_after(first.nominal));
                notes.push(format!("{} {said}", first.nominal));
                *first = extent;
                *own = Some(unit);
            }
            PourAmount::Of(first, own) => {
                both(first.nominal, *own, extent.nominal, unit, &mut notes, assumptions)
            }
            PourAmount::Open(_) => {}
        }
    }
    if notes.iter().any(|n| n.contains("taste")) && matches!(pour.measure, PourAmount::Of(..)) {
        assumptions.push(Assumption::new(
            "\"to taste\"",
            "computed with the amount as written",
            "",
        ));
    }
    pour.note = notes.join(", ");
    // `simple (1:1 simple (1:1)`: one bracket by itself would open or close another where the pour is written.
    if pour.note.matches('(').count() != pour.note.matches(')').count() {
        pour.note.retain(|c| !matches!(c, '(' | ')'));
    }
}

/// `2 dashes orange`, `a dash of walnut`: what is dashed by a flavour is its bitters, where there are any and it is no juice.
fn by_the_dash(pour: &mut Pour, assumptions: &mut Vec<Assumption>) {
    if !matches!(pour.measure, PourAmount::Of(_, Some(Unit::Dash))) {
        return;
    }
    let [named] = pour.choices.as_mut_slice() else {
        return;
    };
    let folded = crate::names::key(&named.name);
    let library = crate::ingredient::library();
    // `bitter orange`, as some languages have it.
    let bitters = match folded.strip_prefix("bitter ") {
        Some(of) => format!("{of} bitters"),
        None => format!("{folded} bitters"),
    };
    let juice = library
        .usual(&folded)
        .is_some_and(|i| i.kind != crate::tables::IngredientKind::Fruit && !i.is_solid());
    let flavour = folded == "orange"
        || folded.starts_with("bitter ")
        || !juice && lexicon::sort_of(&folded) != Some(Sort::Liquid);
    if flavour && library.usual(&bitters).is_some() {
        assumptions.push(Assumption::new(
            format!("`{}` by the dash", named.name),
            format!("taken as {bitters}"),
            "write the full name",
        ));
        named.name.clone_from(&bitters);
        named.full = bitters;
    }
}
