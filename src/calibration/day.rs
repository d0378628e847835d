//! A calendar day, as a log of cuts and a quote need one.

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, Zoned};
use std::fmt;

/// A day of the Gregorian calendar, 1900 … 9999; ordered by time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(Date);

/// Hours that the clocks farthest ahead are before Greenwich.
const FARTHEST_AHEAD: i64 = 14;

impl Day {
    /// From "2026-03-31" (ISO 8601); `None` where that is no day.
    pub fn parse(text: &str) -> Option<Self> {
        // Jiff reads shorter and longer forms as well; a table of cuts has this one.
        let plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
        let date: Date = plain.then(|| text.parse().ok()).flatten()?;
        (1900..=9999).contains(&date.year()).then_some(Self(date))
    }
    /// The day so many days later; `None` beyond 9999.
    pub fn after(self, days: u32) -> Option<Self> {
        let later = self
            .0
            .checked_add(jiff::Span::new().try_days(days).ok()?)
            .ok()?;
        Some(Self(later))
    }
    /// Whole days since an earlier one; `None` where that is a later one.
    pub fn days_since(self, earlier: Self) -> Option<u32> {
        let days = self.0.since(earlier.0).ok()?.get_days();
        u32::try_from(days).ok()
    }
    /// The shop's own day: what its clock on the wall says.
    pub fn today() -> Self {
        Self(Zoned::now().date())
    }
    /// The last day that it may be anywhere: no cut of a later one can be finished.
    pub fn latest() -> Self {
        Self::at(
            Timestamp::now()
                .saturating_add(SignedDuration::from_hours(FARTHEST_AHEAD))
                .unwrap_or_default(),
            TimeZone::UTC,
        )
    }
    fn at(moment: Timestamp, zone: TimeZone) -> Self {
        Self(moment.to_zoned(zone).date())
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::tz::offset;

    #[test]
    fn days_are_read_and_impossible_ones_refused() {
        assert_eq!(Day::parse("2024-02-29").unwrap().to_string(), "2024-02-29");
        for wrong in [
            "2023-02-29",
            "2026-13-01",
            "2026-4-01",
            "31.03.2026",
            "",
            "20260331",
            "2026-04-31",
            "2026-04-01-1",
            "1026-04-01",
        ] {
            assert_eq!(Day::parse(wrong), None, "{wrong}");
        }
        assert!(Day::parse("2026-01-31") < Day::parse("2026-02-01"));
    }

    #[test]
    fn the_day_is_that_of_the_place() {
        // Half past one at Greenwich: still the evening before on the American east coast (four hours behind in
        // summer), and the same morning in Japan (nine ahead).
        let moment: Timestamp = "2026-07-01T01:30:00Z".parse().unwrap();
        for (hours, day) in [(-4, "2026-06-30"), (0, "2026-07-01"), (9, "2026-07-01")] {
            let zone = TimeZone::fixed(offset(hours));
            assert_eq!(Day::at(moment, zone).to_string(), day);
        }
    }

    #[test]
    fn today_is_not_after_the_latest_day() {
        assert!(Day::today() <= Day::latest());
    }
}
