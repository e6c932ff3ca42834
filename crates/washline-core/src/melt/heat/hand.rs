//! How the work went: for how long, and on how wet an ice, so that a drink came to gain what it is known to.
//!
//! What is known of a melt (a curve, a scale, the writer's word) is one figure, water; heat and temperature belong to
//! it. A drink far from rest came to it in its own time: stirring half as fast is stirring half as long. A drink that
//! is nearly at rest does not tell the time, for more of it changes nothing: what it gained beyond the heat it had came
//! as water that clung to the ice. So one of the two is set, and the other only where that cannot do it.

use super::bath::Bath;
use super::step::{FINE, Run};
use super::time::{checked, point};
use super::{Conditions, HeatError, Method, Point};
use crate::liquid::Liquid;

/// For how long a drink was worked, and how wet its ice was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hand {
    /// How long, s.
    pub seconds: f64,
    /// Water on the ice, µm.
    pub film_um: f64,
}

/// Which of the two a known melt tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// The time: the work ends far from rest.
    Time,
    /// The water on the ice: the work ends near rest.
    Wetness,
}

/// Longest time that is looked at, in usual times of the method: what takes longer is at rest.
const LONGEST: f64 = 12.0;
/// Parts of the usual time in which the melt is looked at.
const PARTS: f64 = 12.0;
/// How near the water has to be met, as a share of the drink's mass.
const NEAR: f64 = 1e-6;

/// What is known of how a drink was worked, for a search of what is not.
#[derive(Clone, Copy, Debug)]
struct Trial<'a> {
    liquid: &'a Liquid,
    method: &'a Method,
    conditions: &'a Conditions,
}

impl Trial<'_> {
    fn with(self, film_um: f64) -> Bath {
        let mut conditions = *self.conditions;
        conditions.ice.film_um = film_um;
        Bath::new(self.liquid, self.method, &conditions)
    }

    fn after(self, hand: Hand) -> Point {
        let bath = self.with(hand.film_um);
        let mut run = Run::new(&bath, self.conditions.drink_c, FINE);
        run.to(hand.seconds);
        point(&bath, &run)
    }

    /// When the drink has first gained `water_g`; `None` where it never does.
    fn time(self, film_um: f64, water_g: f64) -> Option<f64> {
        let bath = self.with(film_um);
        let mut run = Run::new(&bath, self.conditions.drink_c, FINE);
        let gained = |run: &Run<'_>| run.seen().water_g - bath.water_before_g;
        let mut before = (run.clone(), gained(&run));
        if before.1 >= water_g {
            return Some(0.0);
        }
        let part = self.method.seconds / PARTS;
        while run.seconds < LONGEST * self.method.seconds {
            // Long waits in longer parts.
            run.to(run.seconds + part.max(0.2 * run.seconds));
            let now = gained(&run);
            if now >= water_g {
                return Some(crossing(before, (run.seconds, now), water_g, gained));
            }
            // A drink without ice gains nothing more, and one at rest next to nothing.
            if run.state[0] <= 0.0 {
                return None;
            }
            before = (run.clone(), now);
        }
        None
    }

    /// How wet the ice was for `water_g` to be gained in `seconds`: from none to the most that clings.
    fn film(self, seconds: f64, water_g: f64) -> f64 {
        let near = NEAR * self.liquid.mass_g();
        let off = |film_um: f64| self.after(Hand { seconds, film_um }).water_g - water_g;
        let mut low = (0.0, off(0.0));
        let mut high = (self.conditions.ice.film_um.max(10.0), 0.0);
        high.1 = off(high.0);
        // Nearly straight: what clings joins, and melts that much less.
        for _ in 0..6 {
            let slope = (high.1 - low.1) / (high.0 - low.0);
            if high.1.abs() <= near || slope <= 0.0 {
                break;
            }
            let next = (high.0 - high.1 / slope).max(0.0);
            let (at, gained) = (next, off(next));
            low = high;
            high = (at, gained);
            if (high.0 - low.0).abs() < 1e-9 {
                break;
            }
        }
        high.0
    }
}

/// Where the water passes `water_g` between two moments, by false position from the first of them.
fn crossing<'a>(
    (from, gained_from): (Run<'a>, f64),
    (until, gained_until): (f64, f64),
    water_g: f64,
    gained: impl Fn(&Run<'a>) -> f64,
) -> f64 {
    let mut low = (from.seconds, gained_from - water_g);
    let mut high = (until, gained_until - water_g);
    for _ in 0..4 {
        let at = low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1);
        let mut run = from.clone();
        run.to(at);
        let off = gained(&run) - water_g;
        if off.abs() < 1e-6 * water_g.abs() {
            return at;
        }
        if off < 0.0 {
            low = (at, off);
        } else {
            high = (at, off);
        }
    }
    low.0 + (high.0 - low.0) * low.1 / (low.1 - high.1)
}

/// How `liquid` was worked by `method` under `conditions` to gain `water_g`. What neither time nor wetness explains (more
/// than there was heat and water for) is come as near to as can be.
///
/// # Errors
/// When a condition is out of range or there is no drink.
pub fn hand(
    liquid: &Liquid,
    method: &Method,
    conditions: &Conditions,
    water_g: f64,
    told: Told,
) -> Result<Hand, HeatError> {
    checked(liquid, method, conditions, method.seconds)?;
    let trial = Trial {
        liquid,
        method,
        conditions,
    };
    let usual = Hand {
        seconds: method.seconds,
        film_um: conditions.ice.film_um,
    };
    let dry = Hand {
        film_um: 0.0,
        ..usual
    };
    Ok(match told {
        Told::Wetness if trial.after(dry).water_g <= water_g => Hand {
            film_um: trial.film(usual.seconds, water_g),
            ..usual
        },
        Told::Wetness => Hand {
            seconds: trial.time(0.0, water_g).unwrap_or(usual.seconds),
            ..dry
        },
        Told::Time => match trial.time(usual.film_um, water_g) {
            // Less than clung to the ice: that was less.
            Some(seconds) if seconds <= 0.0 => Hand {
                seconds: trial.time(0.0, water_g).unwrap_or(0.0),
                ..dry
            },
            Some(seconds) => Hand { seconds, ..usual },
            None => {
                let seconds = LONGEST * method.seconds;
                Hand {
                    seconds,
                    film_um: trial.film(seconds, water_g),
                }
            }
        },
    })
}
