//! A calendar day, as a log of cuts and a quote need one.

use crate::language::is_german;
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
    /// From what a person types: ISO 8601, or "31.3.2026" as German writes it (DIN 5008); `None` where that is no day.
    pub fn typed(text: &str) -> Option<Self> {
        let german = || {
            let mut parts = text.split('.').map(str::trim);
            let mut part = |longest: usize| {
                let digits = parts.next()?;
                let plain = (1..=longest).contains(&digits.len())
                    && digits.bytes().all(|b| b.is_ascii_digit());
                plain.then(|| digits.parse::<i16>().ok()).flatten()
            };
            let (day, month, year) = (part(2)?, part(2)?, part(4)?);
            if parts.next().is_some() {
                return None;
            }
            Self::parse(&format!("{year:04}-{month:02}-{day:02}"))
        };
        Self::parse(text.trim()).or_else(german)
    }
    /// As the language that is spoken writes it: "31.03.2026" in German (DIN 5008), ISO 8601 in English.
    pub fn said(self) -> String {
        if is_german() {
            self.0.strftime("%d.%m.%Y").to_string()
        } else {
            self.to_string()
        }
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
    use crate::language::{self, Language};
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
    fn what_is_said_is_read_back_in_both_languages() {
        let day = Day::parse("2026-03-31").unwrap();
        for (language, text) in [
            (Language::English, "2026-03-31"),
            (Language::German, "31.03.2026"),
        ] {
            assert_eq!(language::within(language, || day.said()), text);
            assert_eq!(Day::typed(text), Some(day));
        }
        assert_eq!(Day::typed(" 31.3.2026 "), Some(day));
        for wrong in [
            "31.04.2026",
            "31.3.26",
            "31.3.",
            "3.31.2026",
            "1.2.3.2026",
            "+1.3.2026",
        ] {
            assert_eq!(Day::typed(wrong), None, "{wrong}");
        }
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
