//! From the first second to the last: the whole way, its end, and the glass afterwards.

use super::bath::Bath;
use super::conditions::within;
use super::step::{COARSE, FINE, Run};
use super::{Conditions, FILM_HALF_WIDTH_UM, HeatError, Ice, Method, VESSEL_HALF_WIDTH, Vessel};
use crate::liquid::Liquid;

/// One moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Since the drink met the ice, s.
    pub seconds: f64,
    /// Water that the drink has gained, g: from ice, from what clung to it and from what stood in the tin. Below 0
    /// where water has frozen on to very cold ice.
    pub water_g: f64,
    /// Of the drink, °C.
    pub temperature_c: f64,
    /// Where the drink, as dilute as it is now, would freeze, °C.
    pub freezing_c: f64,
    /// Ice that is left, g.
    pub ice_g: f64,
    /// Mean temperature of that ice, °C; the freezing point where there is none.
    pub ice_c: f64,
    /// Of the tin or glass, °C.
    pub vessel_c: f64,
    /// Heat and work that have come from room, hand and motor so far, J.
    pub from_outside_j: f64,
}

/// A way through time, earliest point first; never empty.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Points in order of time.
    pub points: Vec<Point>,
}

/// Where it stands at the end of the work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// How long it was worked, s.
    pub seconds: f64,
    /// Water gained, g.
    pub water_g: f64,
    /// 95 % half-width of that, g: from the rate, the water on the ice, the vessel, the heat of mixing and what the fit
    /// leaves open. Not from the temperature and ice that [`Conditions`] gives: those are the caller's.
    pub water_half_width_g: f64,
    /// Temperature of the drink, °C.
    pub temperature_c: f64,
    /// 95 % half-width of that, °C, from the same.
    pub half_width_c: f64,
    /// Where the drink would freeze, °C: it gets no colder than that.
    pub freezing_c: f64,
    /// Ice left, g.
    pub ice_g: f64,
    /// Mean temperature of the ice left, °C.
    pub ice_c: f64,
    /// Temperature of the vessel, °C.
    pub vessel_c: f64,
}

/// What the fit to the handbook's curves leaves open, as a share of the drink's mass (they are met within 0.025 of its
/// volume), 95 %.
const FIT: f64 = 0.02;
/// The heat of mixing is known within 5 % and makes a sixth of the melt: this share of it, 95 %.
const MIXING: f64 = 0.01;
/// Freezing points are known within this, K, 95 %.
const FREEZING_K: f64 = 0.3;

pub(super) fn checked(
    liquid: &Liquid,
    method: &Method,
    conditions: &Conditions,
    seconds: f64,
) -> Result<(), HeatError> {
    conditions.check()?;
    method.check()?;
    within("the time", "s", seconds, 0.0, 1e6)?;
    drink(liquid)
}

/// A drink, and not a speck of one: what is less than a drop has no heat that could be told from that of the tin.
pub(super) fn drink(liquid: &Liquid) -> Result<(), HeatError> {
    let grams = liquid.mass_g();
    if grams <= 0.0 {
        return Err(HeatError::NoDrink);
    }
    within("the drink's mass", "g", grams, 0.01, 1e9)
}

pub(super) fn point(bath: &Bath, run: &Run<'_>) -> Point {
    let seen = run.seen();
    Point {
        seconds: run.seconds,
        water_g: seen.water_g - bath.water_before_g,
        temperature_c: seen.drink_c,
        freezing_c: seen.freezing_c,
        ice_g: run.state[0],
        ice_c: seen.ice_c,
        vessel_c: seen.vessel_c,
        from_outside_j: run.state[3],
    }
}

fn course(
    liquid: &Liquid,
    method: &Method,
    conditions: &Conditions,
    times: impl Iterator<Item = f64>,
) -> Course {
    let bath = Bath::new(liquid, method, conditions);
    let mut run = Run::new(&bath, conditions.drink_c, FINE);
    let mut points = vec![point(&bath, &run)];
    for time in times {
        run.to(time);
        points.push(point(&bath, &run));
    }
    Course { points }
}

fn end(liquid: &Liquid, method: &Method, conditions: &Conditions, seconds: f64, tolerance: f64) -> Point {
    let bath = Bath::new(liquid, method, conditions);
    let mut run = Run::new(&bath, conditions.drink_c, tolerance);
    run.to(seconds);
    point(&bath, &run)
}

/// `liquid` worked by `method` under `conditions` for `seconds`: about a point a second, 120 at most. The first point is
/// the moment it meets the ice, when the water that clings to it has joined already.
///
/// # Errors
/// When a condition is out of range or there is no drink.
pub fn run(
    liquid: &Liquid,
    method: &Method,
    conditions: &Conditions,
    seconds: f64,
) -> Result<Course, HeatError> {
    checked(liquid, method, conditions, seconds)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 120")]
    let parts = seconds.ceil().clamp(1.0, 120.0) as u32;
    let times = (1..=parts).map(|i| seconds * f64::from(i) / f64::from(parts));
    Ok(course(liquid, method, conditions, times))
}

/// A drink on the table: `conditions` give its temperature as served, the ice in the glass (perhaps
/// [`Ice::NONE`]) and the glass; a point for each of `minutes`, which must rise, after the first at 0.
///
/// ```
/// use washline_core::liquid::Liquid;
/// use washline_core::melt::heat::{Conditions, Ice, Vessel, in_the_glass};
/// let stirred = Liquid::from_strength(27.0)?.of_volume(130.0)?;
/// let over_a_rock = Conditions::in_a_glass(-2.0, Ice::cubes(1.0, 50.0), Vessel::glass(20.0));
/// let course = in_the_glass(&stirred, &over_a_rock, &[2.0, 5.0, 10.0, 15.0])?;
/// assert!(course.last().water_g > course.at(300.0).water_g);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// When a condition is out of range or there is no drink.
pub fn in_the_glass(liquid: &Liquid, conditions: &Conditions, minutes: &[f64]) -> Result<Course, HeatError> {
    for &minute in minutes {
        checked(liquid, &Method::STAND, conditions, 60.0 * minute)?;
    }
    checked(liquid, &Method::STAND, conditions, 0.0)?;
    Ok(course(
        liquid,
        &Method::STAND,
        conditions,
        minutes.iter().map(|m| 60.0 * m),
    ))
}

/// Where `liquid` stands when it has been worked by `method` under `conditions` for `seconds`, and how sure that is.
///
/// # Errors
/// When a condition is out of range or there is no drink.
pub fn after(
    liquid: &Liquid,
    method: &Method,
    conditions: &Conditions,
    seconds: f64,
) -> Result<End, HeatError> {
    checked(liquid, method, conditions, seconds)?;
    let best = end(liquid, method, conditions, seconds, FINE);
    // Three others, each with one thing at the end of its half-width.
    let slower = Method {
        ice_w_per_m2_k: method.ice_w_per_m2_k / (1.0 + method.half_width),
        ..*method
    };
    let wetter = Conditions {
        ice: wetter(&conditions.ice),
        ..*conditions
    };
    let heavier = Conditions {
        vessel: heavier(&conditions.vessel),
        ..*conditions
    };
    let others = [
        end(liquid, &slower, conditions, seconds, COARSE),
        end(liquid, method, &wetter, seconds, COARSE),
        end(liquid, method, &heavier, seconds, COARSE),
    ];
    let root = |parts: [f64; 5]| parts.iter().map(|p| p * p).sum::<f64>().sqrt();
    let water = others.map(|o| o.water_g - best.water_g);
    let degrees = others.map(|o| o.temperature_c - best.temperature_c);
    let chills = conditions.ice.grams > 0.0 && seconds > 0.0;
    let (fit, mixing, freezing) = if chills {
        (FIT * liquid.mass_g(), MIXING * best.water_g.max(0.0), FREEZING_K)
    } else {
        (0.0, 0.0, 0.0)
    };
    Ok(End {
        seconds,
        water_g: best.water_g,
        water_half_width_g: root([water[0], water[1], water[2], fit, mixing]),
        temperature_c: best.temperature_c,
        half_width_c: root([degrees[0], degrees[1], degrees[2], freezing, 0.0]),
        freezing_c: best.freezing_c,
        ice_g: best.ice_g,
        ice_c: best.ice_c,
        vessel_c: best.vessel_c,
    })
}

/// Where `liquid` stands when it has been worked so: as [`after`], without how sure that is.
///
/// # Errors
/// When a condition is out of range or there is no drink.
pub fn reached(
    liquid: &Liquid,
    method: &Method,
    conditions: &Conditions,
    seconds: f64,
) -> Result<Point, HeatError> {
    checked(liquid, method, conditions, seconds)?;
    Ok(end(liquid, method, conditions, seconds, FINE))
}

fn wetter(ice: &Ice) -> Ice {
    Ice {
        film_um: ice.film_um + FILM_HALF_WIDTH_UM,
        ..*ice
    }
}

fn heavier(vessel: &Vessel) -> Vessel {
    Vessel {
        grams: vessel.grams * (1.0 + VESSEL_HALF_WIDTH),
        ..*vessel
    }
}

impl Course {
    /// The last point.
    #[must_use]
    pub fn last(&self) -> &Point {
        // A course has its first point from the beginning.
        &self.points[self.points.len() - 1]
    }

    /// As it stands at `seconds`, between the points by straight lines, at the nearest end outside them.
    #[must_use]
    pub fn at(&self, seconds: f64) -> Point {
        let after = self.points.partition_point(|p| p.seconds < seconds);
        if after == 0 {
            return self.points[0];
        }
        let Some(b) = self.points.get(after) else {
            return *self.last();
        };
        let a = &self.points[after - 1];
        let share = (seconds - a.seconds) / (b.seconds - a.seconds);
        let mix = |x: f64, y: f64| x + share * (y - x);
        Point {
            seconds,
            water_g: mix(a.water_g, b.water_g),
            temperature_c: mix(a.temperature_c, b.temperature_c),
            freezing_c: mix(a.freezing_c, b.freezing_c),
            ice_g: mix(a.ice_g, b.ice_g),
            ice_c: mix(a.ice_c, b.ice_c),
            vessel_c: mix(a.vessel_c, b.vessel_c),
            from_outside_j: mix(a.from_outside_j, b.from_outside_j),
        }
    }
}
