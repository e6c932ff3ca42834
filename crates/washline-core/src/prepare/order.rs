//! In what order preparations are made, and where they go round in a circle.

use std::collections::HashMap;
use std::ops::Range;

use super::{Written, is_pour, placeholder};
use crate::ingredient::{Found, Stock};
use crate::names::key;
use crate::spec::{Step, Unplaced};

/// What has to be made before what.
pub(super) struct Order {
    /// Places of the preparations, each after all it is made of.
    pub sequence: Vec<usize>,
    /// Of each: the line, the name as written there, and the preparation it means.
    pub needs: Vec<Vec<(Range<usize>, String, usize)>>,
    /// The circles, each told once, at one that stands in it.
    pub loops: Vec<(usize, Unplaced)>,
    /// Every preparation that stands in a circle.
    pub looped: Vec<usize>,
}

/// Work out the order. A preparation's own name, inside it, means what that name means without it: the lime juice
/// that is adjusted to be this house's lime juice.
pub(super) fn order(written: &[Written<'_>], stock: &Stock) -> Order {
    let mut with_names = stock.clone();
    for one in written {
        with_names.put(placeholder(*one));
    }
    let places: HashMap<String, usize> = written
        .iter()
        .enumerate()
        .map(|(at, one)| (key(one.name()), at))
        .collect();
    let needs: Vec<Vec<(Range<usize>, String, usize)>> = written
        .iter()
        .enumerate()
        .map(|(at, one)| {
            let mut needs = Vec::new();
            for line in one.preparation.lines().filter(|l| is_pour(&l.step)) {
                let Step::Pour(pour) = &line.step else { continue };
                for named in &pour.choices {
                    for name in [&named.full, &named.name] {
                        let found = match with_names.find(name) {
                            Found::Sure(found) | Found::Taken(found, _) => found,
                            Found::Ask(..) | Found::Unknown => continue,
                        };
                        let Some(&other) = places.get(&key(&found.name)) else {
                            continue;
                        };
                        let means_another = other == at && stock.has(&found.name);
                        if !means_another && !needs.iter().any(|(_, _, known)| *known == other) {
                            needs.push((line.span.clone(), written[other].name().to_owned(), other));
                        }
                    }
                }
            }
            needs
        })
        .collect();
    let mut order = Order {
        sequence: Vec::new(),
        needs,
        loops: Vec::new(),
        looped: Vec::new(),
    };
    let mut marks = vec![Mark::New; written.len()];
    for at in 0..written.len() {
        order.visit(at, written, &mut marks);
    }
    order
}

#[derive(Clone, Copy, PartialEq)]
enum Mark {
    New,
    Open,
    Done,
}

impl Order {
    /// Everything a preparation is made of, before it. How deep they go is the writer's: there is a path in memory, and
    /// nothing calls itself.
    fn visit(&mut self, first: usize, written: &[Written<'_>], marks: &mut [Mark]) {
        if marks[first] != Mark::New {
            return;
        }
        marks[first] = Mark::Open;
        // Each with how many of its needs have been seen to.
        let mut path: Vec<(usize, usize)> = vec![(first, 0)];
        while let Some((at, seen)) = path.last_mut() {
            let at = *at;
            let Some((_, _, other)) = self.needs[at].get(*seen) else {
                marks[at] = Mark::Done;
                self.sequence.push(at);
                path.pop();
                continue;
            };
            let other = *other;
            *seen += 1;
            match marks[other] {
                Mark::Done => {}
                Mark::New => {
                    marks[other] = Mark::Open;
                    path.push((other, 0));
                }
                Mark::Open => {
                    let from = path.iter().position(|(p, _)| *p == other).unwrap_or(0);
                    let circle: Vec<usize> = path[from..].iter().map(|(p, _)| *p).collect();
                    self.tell(&circle, written);
                    self.looped.extend(circle);
                }
            }
        }
    }

    /// The circle, from the one that stands first in the book, with the line at which each pours the next.
    fn tell(&mut self, circle: &[usize], written: &[Written<'_>]) {
        let Some(start) = (0..circle.len()).min_by_key(|i| circle[*i]) else {
            return;
        };
        let round: Vec<usize> = (0..circle.len())
            .map(|i| circle[(start + i) % circle.len()])
            .collect();
        let mut steps = Vec::new();
        let mut place = None;
        for (i, &at) in round.iter().enumerate() {
            let next = round[(i + 1) % round.len()];
            let Some((span, ..)) = self.needs[at].iter().find(|(_, _, other)| *other == next) else {
                continue;
            };
            let line = written[at].fault(Unplaced::reject(span.clone(), "")).line;
            steps.push(format!(
                "`{}` pours `{}` (line {line})",
                written[at].name(),
                written[next].name()
            ));
            place = place.or(Some((at, span.clone())));
        }
        if let Some((at, span)) = place {
            let message = format!("made of itself: {}; expected an end to it", steps.join(", "));
            self.loops.push((at, Unplaced::reject(span, message)));
        }
    }
}
