//! What time it is, and times as they are given on the command line: the library asks no clock.

use jiff::Timestamp;
use jiff::civil;
use jiff::tz::TimeZone;
use washline_core::tables::{When, when_text};

use crate::error::CliError;

/// This moment.
pub fn now() -> When {
    Timestamp::now().into()
}

/// When something was done as it is shown: to the minute by the clock on the wall; a day as a day.
pub fn shown(when: Option<&When>) -> String {
    match when {
        Some(When::Moment(at)) => TimeZone::system()
            .to_datetime(*at)
            .strftime("%Y-%m-%d %H:%M")
            .to_string(),
        other => when_text(other),
    }
}

/// The day on which something was done, by the clock on the wall.
pub fn day_shown(when: Option<&When>) -> String {
    match when {
        Some(When::Moment(at)) => TimeZone::system().to_datetime(*at).date().to_string(),
        other => when_text(other),
    }
}

/// Today by the clock on the wall, as prices and pages are dated.
pub fn today() -> civil::Date {
    jiff::ZonedDateTime::now().date()
}

/// What `--at` says: a day, or a moment, by the clock on the wall where it names no other; this moment where it says
/// nothing.
pub fn moment(at: Option<&str>) -> Result<When, CliError> {
    let Some(said) = at.map(str::trim) else {
        return Ok(now());
    };
    // A day by itself has no moment, and is kept as a day.
    let said_in_full = When::of(said).filter(|when| !matches!(when, When::Other(_)));
    let on_the_wall = || {
        let local = (said.len() != 10).then(|| said.parse::<civil::DateTime>().ok())??;
        TimeZone::system().to_timestamp(local).ok().map(When::from)
    };
    said_in_full.or_else(on_the_wall).ok_or_else(|| {
        CliError::usage(format!(
            "--at {said}: expected a day such as 2025-11-24 or a moment such as 2025-11-24T18:30"
        ))
    })
}
