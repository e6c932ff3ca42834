//! Several pours of one amount: `30 ml each gin, lemon juice`, `equal parts`, `2:1:1`.

use super::finish::finish;
use super::much::Much;
use super::name::Name;
use super::{Found, Item, Reader, Role, UNKNOWN_WORD};
use crate::measure::{Amount, Unit};
use crate::spec::lexicon::{self, Tag};
use crate::spec::tokens::Kind;
use crate::spec::{Assumption, Extent, PourAmount, Unplaced, amounts};

impl Reader<'_> {
    /// `30 ml each gin, lemon juice, triple sec`; `¾ oz each lime, pineapple & passion fruit syrup`.
    pub(super) fn each(&self, i: usize, much: &Much, out: &mut Vec<Found>) {
        let Some(mut at) = self.is(much.next, Tag::Each) else {
            return;
        };
        while self.words.get(at).is_some_and(|w| w.folded == "of") || self.mark(at, ":") {
            at += 1;
        }
        if let Some((names, end, cost)) = self.list_of_names(at, usize::MAX) {
            out.push(self.several(i, end, cost, &names, |_| much.measure.clone(), &much.assumptions));
        } else if self.boundary(at) {
            let wrong = Unplaced::reject(self.span(i, at), "`each` of nothing; expected names after it");
            out.push(self.found(i, at, 8, Item::Fault(wrong)));
        }
    }

    /// `gin, bianco vermouth, red bitter: 30 ml each`, `rye, cognac, vermouth in equal parts (1 oz)`.
    pub(super) fn each_at_the_end(&self, i: usize, out: &mut Vec<Found>) {
        let told = self
            .words
            .iter()
            .any(|w| matches!(w.folded.as_str(), "each" | "ea" | "equal" | "apiece"))
            || (i..self.len()).any(|j| self.mark(j, "=@"));
        if !told || self.name_at(i).is_none() || !(i == 0 || self.boundary(i) || self.parts(i - 1)) {
            return;
        }
        let Some((names, end, cost)) = self.list_of_names(i, usize::MAX) else {
            return;
        };
        if names.len() < 2 {
            return;
        }
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at = end;
        // `gin : vermouth : lime = 3 : 1 : 1.5`, `fino / cider @ 2:1`
        if self.mark(at, "=@")
            && let Some((shares, after)) = self.ratio_at(at + 1)
            && shares.len() == names.len()
        {
            let measure = |n: usize| {
                let share = shares.get(n).copied().unwrap_or(Amount::ONE);
                PourAmount::Of(Extent::exact(share), Some(Unit::Part))
            };
            out.push(self.several(i, after, cost, &names, measure, &[]));
            return;
        }
        while self.mark(at, ",:-") {
            at += 1;
        }
        let equal = usize::from(matches!(word(at), "in" | "as")) + at;
        if word(equal) == "equal" && matches!(word(equal + 1), "part" | "measure" | "amount") {
            let mut after = equal + 2;
            let mut size = None;
            let open = after + usize::from(self.mark(after, "(,-"));
            if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, open)
                && let (Some(unit), next) = self.unit_at(phrase.next)
            {
                size = Some((phrase.extent, unit));
                after = self.is(next, Tag::Each).unwrap_or(next);
                after += usize::from(self.mark(after, ")"));
            }
            let (extent, unit) = size.unwrap_or((Extent::exact(Amount::ONE), Unit::Part));
            let measure = |_| PourAmount::Of(extent, Some(unit));
            out.push(self.several(i, after, cost, &names, measure, &[]));
            return;
        }
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, at)
            && let (unit, next) = self.unit_at(phrase.next)
            && let Some(each) = self.is(next, Tag::Each)
        {
            let measure = |_| PourAmount::Of(phrase.extent, unit);
            out.push(self.several(i, each, cost, &names, measure, &phrase.assumptions));
        }
    }

    /// `3:1:1.5`, `3 : 1 : 1.5` at `i`, and where the line goes on.
    fn ratio_at(&self, i: usize) -> Option<(Vec<Amount>, usize)> {
        let number = |text: &str| Amount::decimal(&text.replace(',', ".")).ok();
        if let Kind::Ratio(ratio) = &self.tokens.get(i)?.kind {
            let shares: Option<Vec<Amount>> = ratio.split(':').map(number).collect();
            return Some((shares?, i + 1));
        }
        let mut shares = Vec::new();
        let mut at = i;
        while let Some(Kind::Number(n)) = self.tokens.get(at).map(|t| &t.kind) {
            shares.push(number(n)?);
            at += 1;
            if !self.mark(at, ":") {
                break;
            }
            at += 1;
        }
        (shares.len() > 1).then_some((shares, at))
    }

    /// Names parted by commas, slashes, "and" or "&".
    fn list_of_names(&self, from: usize, most: usize) -> Option<(Vec<Name>, usize, u32)> {
        // `cloudberry liqueur`: nobody lists it, and its last word says what it is.
        let as_kind = |name: &Name| {
            name.choices
                .first()
                .is_some_and(|n| crate::ingredient::tells_its_kind(&n.name))
        };
        let mut names: Vec<Name> = Vec::new();
        let mut at = from;
        let mut cost = 0;
        loop {
            let next = self
                .names(at)
                .into_iter()
                .filter(|n| {
                    self.boundary(n.end)
                        || self.mark(n.end, "=@")
                        || self.is(n.end, Tag::Joint).is_some()
                        || self.stops_list(n.end)
                        || self.words[n.end].folded == "to"
                })
                .min_by_key(|n| (n.cost, std::cmp::Reverse(n.end)));
            let Some(name) = next else { break };
            if name.cost > 9 && !as_kind(&name) {
                break;
            }
            cost += name.cost.min(9);
            let end = name.end;
            names.push(name);
            if names.len() >= most {
                return Some((names, end, cost));
            }
            let mut after = end;
            while self.mark(after, ",/&+;:")
                || self.is(after, Tag::Joint) == Some(after + 1)
                || self.words.get(after).is_some_and(|w| w.folded == "to")
            {
                after += 1;
            }
            let begins = after > end
                && matches!(self.tokens.get(after).map(|t| &t.kind), Some(Kind::Word(_)))
                && self
                    .names(after)
                    .iter()
                    .any(|n| n.cost <= 5 || n.cost <= 2 * UNKNOWN_WORD && as_kind(n));
            if !begins {
                self.share_the_head(&mut names);
                return Some((names, end, cost));
            }
            at = after;
        }
        let end = names.last()?.end;
        Some((names, end, cost))
    }

    /// `aromatic & orange bitters`: what the last name is, the others are too where that is what they are called.
    fn share_the_head(&self, names: &mut [Name]) {
        let head = match names.last().and_then(|n| n.choices.first()) {
            Some(last) => match last.name.rsplit_once(' ') {
                Some((_, head)) => head.to_owned(),
                None => return,
            },
            None => return,
        };
        let own = self.context.own;
        let others = names.len() - 1;
        for named in names[..others].iter_mut().flat_map(|n| n.choices.first_mut()) {
            let whole = format!("{} {head}", named.name);
            if !lexicon::is_name(&named.name, own) && lexicon::is_name(&whole, own) {
                named.name.clone_from(&whole);
                named.full = whole;
            }
        }
    }

    fn stops_list(&self, i: usize) -> bool {
        self.place_or_work(i)
            || self
                .tokens
                .get(i)
                .is_some_and(crate::spec::tokens::Token::is_number)
    }

    /// Whether `equal parts` stands at a place.
    pub(super) fn equal_parts(&self, i: usize) -> bool {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        word(i) == "equal" && matches!(word(i + 1), "part" | "measure" | "amount")
    }

    /// `2:1:1 gin / lemon juice / triple sec`, `equal parts gin, vermouth and red bitter, 1 oz each`.
    pub(super) fn shared(&self, i: usize, out: &mut Vec<Found>) {
        let word = |i: usize| self.words.get(i).map_or("", |w| w.folded.as_str());
        let mut at;
        let mut shares: Vec<Amount> = Vec::new();
        let bare = word(i) == "equal" && self.mark(i + 1, ":");
        let equal = self.equal_parts(i) || bare;
        if equal {
            at = i + 2;
            while word(at) == "of" || self.mark(at, ":") {
                at += 1;
            }
        } else if let Kind::Ratio(ratio) = &self.tokens[i].kind {
            for share in ratio.split(':') {
                let Ok(share) = Amount::decimal(&share.replace(',', ".")) else {
                    return;
                };
                shares.push(share);
            }
            at = i + 1;
            while word(at) == "of" || self.mark(at, ":-") || word(at) == "part" {
                at += 1;
            }
        } else if let Some((parts, next)) = self.shares_by_hyphens(i) {
            shares = parts;
            at = next;
            while self.mark(at, ":") {
                at += 1;
            }
        } else if let Kind::Fraction(a, b) = self.tokens[i].kind
            && a == b
        {
            // `50/50 gin and vermouth`
            shares = vec![Amount::ONE, Amount::ONE];
            at = i + 1;
        } else {
            return;
        }
        let Some((names, mut end, cost)) = self.list_of_names(at, usize::MAX) else {
            return;
        };
        if equal {
            shares = vec![Amount::ONE; names.len()];
        } else if names.len() < 2 {
            // `2:1 syrup` is a strength of syrup; a ratio of pours names as many as it counts.
            return;
        }
        if names.len() != shares.len() {
            let wrong = Unplaced::reject(
                self.span(i, end),
                format!(
                    "{} shares for {} names; expected one for each",
                    shares.len(),
                    names.len()
                ),
            );
            out.push(self.found(i, end, 3, Item::Fault(wrong)));
            return;
        }
        // `…, 1 oz each` at the end gives the size.
        let mut size = None;
        let mut after = end;
        while self.mark(after, ",-(") {
            after += 1;
        }
        if let Some(Ok(phrase)) = amounts::phrase(&self.tokens, after)
            && let (Some(unit), next) = self.unit_at(phrase.next)
            // `3/4 oz of each`
            && let Some(each) = self.is(self.past_of(next), Tag::Each)
        {
            size = Some((phrase.extent, unit));
            end = each + usize::from(self.mark(each, ")"));
        }
        let measure = |n: usize| match size {
            Some((extent, unit)) => PourAmount::Of(
                Extent::exact(extent.nominal * shares.get(n).copied().unwrap_or(Amount::ONE)),
                Some(unit),
            ),
            None => PourAmount::Of(
                Extent::exact(shares.get(n).copied().unwrap_or(Amount::ONE)),
                Some(Unit::Part),
            ),
        };
        out.push(self.several(i, end, cost, &names, measure, &[]));
    }

    /// `3-2-1: prosecco, bitter aperitif, soda`.
    fn shares_by_hyphens(&self, i: usize) -> Option<(Vec<Amount>, usize)> {
        let mut shares = Vec::new();
        let mut at = i;
        loop {
            let Kind::Number(n) = &self.tokens.get(at)?.kind else {
                return None;
            };
            shares.push(Amount::decimal(n).ok()?);
            at += 1;
            if !self.mark(at, "-") || self.tokens[at].spaced {
                break;
            }
            at += 1;
        }
        (shares.len() > 2).then_some((shares, at))
    }

    fn several(
        &self,
        i: usize,
        end: usize,
        cost: u32,
        names: &[Name],
        measure: impl Fn(usize) -> PourAmount,
        said: &[Assumption],
    ) -> Found {
        let pours = names
            .iter()
            .enumerate()
            .map(|(n, name)| {
                let (pour, mut assumptions) = finish(measure(n), name, None, Vec::new());
                assumptions.extend(said.iter().cloned());
                (pour, assumptions)
            })
            .collect();
        let mut found = self.found(i, end, cost, Item::Pours(pours));
        let first = names.first().and_then(|n| n.roles.first()).map_or(end, |r| r.0);
        found.roles = std::iter::once((i, first, Role::Amount))
            .chain(names.iter().flat_map(|n| n.roles.iter().copied()))
            .collect();
        found
    }
}
