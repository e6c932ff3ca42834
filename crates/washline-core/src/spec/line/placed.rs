//! A pour whose place comes first: `top with soda`, `float 10 ml rum`, `rinse the glass with absinthe`.

use super::much::Much;
use super::{Found, Item, Reader, Role};
use crate::measure::Amount;
use crate::spec::lexicon::{Sort, Tag};
use crate::spec::{Extent, PourAmount, PourMethod, Unplaced, amounts};

impl Reader<'_> {
    /// Where a pour goes before its name: `top with soda`, `float 10 ml rum`, `rinse the glass with absinthe`.
    pub(super) fn placed(&self, i: usize, out: &mut Vec<Found>) {
        let Some((place, end)) = self.tag(i, |tag| match tag {
            Tag::Top => Some(PourMethod::Top),
            Tag::Float => Some(PourMethod::Float),
            Tag::Rinse => Some(PourMethod::Rinse),
            Tag::Mist => Some(PourMethod::Mist),
            _ => None,
        }) else {
            return;
        };
        let first = out.len();
        let glass = (place == PourMethod::Rinse)
            .then(|| self.glass_among(end))
            .flatten();
        self.placed_there(i, place, end, out);
        for found in &mut out[first..] {
            found.glass.clone_from(&glass);
        }
    }

    /// A glass named right behind a word of rinsing, by more than `glass`.
    fn glass_among(&self, from: usize) -> Option<String> {
        let mut at = self.is(from, Tag::Article).unwrap_or(from);
        let like = at;
        while let Some(end) = self
            .is(at, Tag::GlassLike)
            .filter(|_| self.is(at, Tag::Glass).is_none())
        {
            at = end;
        }
        let end = self.glass_name(at)?;
        let named = end > at + 1 || self.words[at].folded != "glass";
        named.then(|| self.raw(like, end).to_owned())
    }

    fn placed_there(&self, i: usize, place: PourMethod, end: usize, out: &mut Vec<Found>) {
        let at = self.past_the_lead(place, end);
        if self.ice_phrase(at).is_some() {
            return;
        }
        let role = (i, at, Role::Work);
        self.placed_amount(i, place, role, out);
        self.placed_name_and_amount(i, place, role, out);
        self.placed_name(i, place, role, out);
        if self.boundary(at) {
            // `rum 10 ml - float`, `soda 60 ml, top`: said of what was poured before.
            let mut said = self.found(i, at.max(end), 5, Item::Placed(place));
            said.roles = vec![(i, at.max(end), Role::Work)];
            out.push(said);
            let wrong = Unplaced::reject(
                self.span(i, end),
                format!(
                    "`{}` of nothing; expected an ingredient after it",
                    self.raw(i, end)
                ),
            );
            out.push(self.found(i, at.max(end), 9, Item::Fault(wrong)));
        }
    }

    /// Past the words between where a pour goes and what it is: `top it up with`, `rinse the inside of the glass with`.
    fn past_the_lead(&self, place: PourMethod, end: usize) -> usize {
        let mut at = end;
        while self.mark(at, ":") || self.mark(at, "-") && self.parts(at) {
            at += 1;
        }
        while at < self.len()
            && !self.boundary(at)
            && !self.says_to_taste(at)
            && (self.is(at, Tag::Article).is_some()
                || self.is(at, Tag::With).is_some()
                || matches!(
                    self.words[at].folded.as_str(),
                    "of" | "on"
                        | "from"
                        | "over"
                        | "up"
                        | "off"
                        | "to"
                        | "fill"
                        | "it"
                        | "in"
                        | "glass"
                        | "coupe"
                        | "inside"
                        | "out"
                        | "bottom"
                        | "all"
                        | "balance"
                        | "rest"
                        | "remainder"
                ) && self.name_at(at).is_none()
                || place == PourMethod::Top
                    && at > end
                    && self.words[at - 1].folded == "of"
                    && self.is(at, Tag::Glass).is_some()
                || place == PourMethod::Rinse
                    && self.name_at(at).is_none()
                    && (self.is(at, Tag::Glass).is_some()
                        || self.is(at, Tag::GlassLike).is_some()
                        || self.words[at].folded == "of"))
            && amounts::phrase(&self.tokens, at).is_none_or(|p| p.is_err() || self.words[at].folded == "a")
        {
            // `a dash of` is an amount.
            if self.words[at].folded == "a" && matches!(self.unit_at(at + 1), (Some(_), _)) {
                break;
            }
            at += 1;
        }
        at
    }

    /// `float 10 ml rum`, `top with a splash of soda`
    fn placed_amount(&self, i: usize, place: PourMethod, role: (usize, usize, Role), out: &mut Vec<Found>) {
        let at = role.1;
        for way in self.much(at) {
            match way {
                Ok(much) if self.ice_phrase(much.next).is_none() => {
                    for mut name in self.names(much.next) {
                        name.roles.push(role);
                        let mut found = self.pour(i, &much, name, Some(place));
                        found.roles.sort_by_key(|r| r.0);
                        out.push(found);
                    }
                }
                Ok(_) => {}
                Err((wrong, next)) => out.push(self.found(i, next, 2, Item::Fault(wrong))),
            }
        }
        if let (Some(unit), after) = self.unit_at(at)
            && self.raw(at, after).len() > 1
        {
            let next = after + usize::from(self.words.get(after).is_some_and(|w| w.folded == "of"));
            let much = Much {
                measure: PourAmount::Of(Extent::exact(Amount::ONE), Some(unit)),
                next,
                notes: Vec::new(),
                assumptions: Vec::new(),
                roles: vec![(at, after, Role::Unit)],
                cost: 0,
            };
            for mut name in self.names(next) {
                name.roles.push(role);
                out.push(self.pour(i, &much, name, Some(place)));
            }
        }
    }

    /// `top prosecco 60 ml`
    fn placed_name_and_amount(
        &self,
        i: usize,
        place: PourMethod,
        role: (usize, usize, Role),
        out: &mut Vec<Found>,
    ) {
        let at = role.1;
        for name in self.names(at) {
            // `top with tonic, about four ounces`
            let comma = self.mark(name.end, ",");
            for way in self.much(name.end + usize::from(comma)) {
                let Ok(mut much) = way else { continue };
                if comma
                    && self.is(name.end + 1, Tag::About).is_none()
                    && !matches!(much.measure, PourAmount::Of(_, Some(_)))
                {
                    continue;
                }
                // `120 ml or so`
                if self.words.get(much.next).is_some_and(|w| w.folded == "or")
                    && self.words.get(much.next + 1).is_some_and(|w| w.folded == "so")
                {
                    much.next += 2;
                }
                let stopped = self.stopped(much.next);
                if !stopped && (!self.boundary(much.next) || self.ice_phrase(much.next).is_some()) {
                    continue;
                }
                if comma
                    && matches!(&much.measure, PourAmount::Of(extent, None) if extent.nominal < Amount::raw(20, 1))
                {
                    continue;
                }
                let mut whole = name.clone();
                whole.roles.extend(much.roles.iter().copied());
                whole.roles.push(role);
                whole.end = much.next;
                let much = Much {
                    roles: Vec::new(),
                    ..much
                };
                out.push(self.pour(i, &much, whole, Some(place)));
            }
        }
    }

    /// `top with soda`, `rinse with absinthe`: as much as fills, or as is usual.
    fn placed_name(&self, i: usize, place: PourMethod, role: (usize, usize, Role), out: &mut Vec<Found>) {
        let at = role.1;
        for mut name in self.names(at) {
            // `finish with grated nutmeg`: on the drink, not in it.
            if matches!(place, PourMethod::Top | PourMethod::Float)
                && self.ends_in_a_solid(at, name.end)
                && !self.may_be_a_soda(at, name.end)
            {
                let words = self.raw(at, name.end).trim_end_matches(['.', ',']).to_owned();
                let mut found = self.found(i, name.end, name.cost, Item::Garnish(words));
                found.roles = vec![role, (at, name.end, Role::Garnish)];
                out.push(found);
                continue;
            }
            let known = name.cost == 0 || self.name_at(at).is_some();
            // `the spritz spec`: nothing that anybody knows is sprayed.
            if place == PourMethod::Mist && !known {
                continue;
            }
            name.roles.push(role);
            name.cost += if known { 0 } else { 2 };
            let measure = if place == PourMethod::Top {
                PourAmount::Fill
            } else {
                PourAmount::Usual
            };
            let much = Much::plain(measure, at, 0);
            let mut found = self.pour(i, &much, name, Some(place));
            found.roles.sort_by_key(|r| r.0);
            out.push(found);
        }
    }

    /// `top with ginger`: what a soda is called by, where nothing says that it is grated or laid on.
    fn may_be_a_soda(&self, from: usize, to: usize) -> bool {
        let name = self.raw(from, to).trim_end_matches(['.', ',']);
        let library = crate::ingredient::library();
        ["ale", "beer", "soda"]
            .iter()
            .any(|of| library.usual(&format!("{name} {of}")).is_some())
    }

    /// Whether the last known name among the tokens is that of a fruit, herb or spice.
    pub(super) fn ends_in_a_solid(&self, from: usize, to: usize) -> bool {
        let sorts = (from..to).filter_map(|j| self.name_at(j).filter(|(end, _)| *end <= to));
        matches!(sorts.max_by_key(|(end, _)| *end), Some((_, Sort::Solid)))
    }
}
