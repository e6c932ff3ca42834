//! What time it is, and times as they are given on the command line: the library asks no clock.

use jiff::civil;
use jiff::tz::TimeZone;

use crate::error::CliError;

/// How a moment is written, in universal time.
const SHAPE: &str = "%Y-%m-%dT%H:%M:%SZ";

/// This moment.
pub fn now() -> String {
    jiff::Timestamp::now().strftime(SHAPE).to_string()
}

/// A moment as it is shown: to the minute by the clock on the wall; a day as a day.
pub fn shown(moment: &str) -> String {
    match moment.parse::<jiff::Timestamp>() {
        Ok(at) => TimeZone::system()
            .to_datetime(at)
            .strftime("%Y-%m-%d %H:%M")
            .to_string(),
        Err(_) => moment.to_owned(),
    }
}

/// Today, as prices are dated.
pub fn today() -> civil::Date {
    jiff::ZonedDateTime::now().date()
}

/// What `--at` says: a day as it is said, a moment in universal time; this moment where it says nothing.
pub fn moment(at: Option<&str>) -> Result<String, CliError> {
    let Some(said) = at.map(str::trim) else {
        return Ok(now());
    };
    // A day by itself has no moment, and is kept as a day.
    let is_day = said.len() == 10;
    if let (true, Ok(day)) = (is_day, said.parse::<civil::Date>()) {
        return Ok(day.to_string());
    }
    if let Ok(moment) = said.parse::<jiff::Timestamp>() {
        return Ok(moment.strftime(SHAPE).to_string());
    }
    if let Ok(local) = said.parse::<civil::DateTime>()
        && !is_day
        && let Ok(moment) = TimeZone::system().to_timestamp(local)
    {
        return Ok(moment.strftime(SHAPE).to_string());
    }
    Err(CliError::usage(format!(
        "--at {said}: expected a day such as 2025-11-24 or a moment such as 2025-11-24T18:30"
    )))
}
