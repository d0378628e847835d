//! A calendar day, only as far as a log of cuts needs one.

use std::fmt;

/// A day of the Gregorian calendar; ordered by time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day {
    /// Year, 1900 … 9999.
    pub year: u16,
    /// Month, 1 … 12.
    pub month: u8,
    /// Day of the month, 1 … 31.
    pub day: u8,
}

impl Day {
    /// From "2026-03-31" (ISO 8601); `None` where that is no day.
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.split('-');
        let mut number = |digits: usize| -> Option<u16> {
            let part = parts.next()?;
            let plain = part.len() == digits && part.bytes().all(|b| b.is_ascii_digit());
            plain.then(|| part.parse().ok()).flatten()
        };
        let (year, month, day) = (number(4)?, number(2)? as u8, number(2)? as u8);
        let valid = parts.next().is_none()
            && (1900..=9999).contains(&year)
            && (1..=12).contains(&month)
            && (1..=days_in(year, month)).contains(&day);
        valid.then_some(Self { year, month, day })
    }
    /// The day that lies a number of days after 1 January 1970.
    ///
    /// Days to date by H. Hinnant, "chrono-compatible low-level date algorithms", 2013 (from memory).
    pub fn from_days_since_1970(days: u32) -> Self {
        let z = i64::from(days) + 719_468;
        let era = z / 146_097;
        let of_era = z % 146_097;
        let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year + year / 4 - year / 100);
        let shifted = (5 * of_year + 2) / 153;
        let day = of_year - (153 * shifted + 2) / 5 + 1;
        let month = if shifted < 10 {
            shifted + 3
        } else {
            shifted - 9
        };
        let year = year + era * 400 + i64::from(month <= 2);
        Self {
            year: year as u16,
            month: month as u8,
            day: day as u8,
        }
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

fn days_in(year: u16, month: u8) -> u8 {
    match month {
        4 | 6 | 9 | 11 => 30,
        2 if (year.is_multiple_of(4) && !year.is_multiple_of(100)) || year.is_multiple_of(400) => {
            29
        }
        2 => 28,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_and_impossible_ones_refused() {
        assert_eq!(Day::parse("2024-02-29").unwrap().to_string(), "2024-02-29");
        for wrong in [
            "2023-02-29",
            "2026-13-01",
            "2026-4-01",
            "31.03.2026",
            "",
            "2026-04-31",
            "2026-04-01-1",
        ] {
            assert_eq!(Day::parse(wrong), None, "{wrong}");
        }
        assert!(Day::parse("2026-01-31") < Day::parse("2026-02-01"));
    }

    #[test]
    fn days_since_1970() {
        // Known days: the epoch itself, a leap day, and 14 October 2024 (by Python’s calendar).
        for (n, text) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (20_010, "2024-10-14"),
        ] {
            assert_eq!(Day::from_days_since_1970(n).to_string(), text);
        }
    }
}
