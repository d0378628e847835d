//! When somebody is in the shop, and when the job is begun.

use crate::language::said;
use serde::{Deserialize, Serialize};
use std::fmt;

/// Minutes of a day.
pub const DAY: f64 = 1440.0;
/// Minutes of a week.
pub const WEEK: f64 = 7.0 * DAY;
/// Days of a week as they are written, Monday first.
pub const DAYS: [&str; 7] = [
    key!("Mon"),
    key!("Tue"),
    key!("Wed"),
    key!("Thu"),
    key!("Fri"),
    key!("Sat"),
    key!("Sun"),
];

/// A time of the week, to the minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u16", into = "u16")]
pub struct WeekTime(u16);

impl WeekTime {
    /// From a day (0 Monday … 6 Sunday) and a minute of that day, both taken round the week.
    pub const fn new(day: u16, minute: u16) -> Self {
        Self((day % 7) * 1440 + minute % 1440)
    }
    /// The time that lies minutes after Monday 0:00, whole weeks taken off; fractions of a minute are dropped.
    pub fn after_monday(minutes: f64) -> Self {
        // Always 0 … 10 079, so the cast keeps its value.
        Self(minutes.rem_euclid(WEEK).floor() as u16 % 10_080)
    }
    /// 0 Monday … 6 Sunday.
    pub const fn day(self) -> u16 {
        self.0 / 1440
    }
    /// Minutes since midnight.
    pub const fn minute(self) -> u16 {
        self.0 % 1440
    }
    /// Minutes since Monday 0:00.
    pub fn minutes(self) -> f64 {
        f64::from(self.0)
    }
    /// From "Mon 15:00"; the day may be longer ("Monday"), small or capital.
    pub fn parse(text: &str) -> Option<Self> {
        let (day, time) = text.trim().split_once(char::is_whitespace)?;
        Some(Self::new(parse_day(day)?, parse_time(time)?))
    }
}

impl TryFrom<u16> for WeekTime {
    type Error = String;
    fn try_from(minutes: u16) -> Result<Self, String> {
        if minutes < 10_080 {
            Ok(Self(minutes))
        } else {
            Err(say!("{minutes} is no minute of a week, which has 10080"))
        }
    }
}

impl From<WeekTime> for u16 {
    fn from(t: WeekTime) -> Self {
        t.0
    }
}

impl fmt::Display for WeekTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let day = said(DAYS[usize::from(self.day())]);
        write!(f, "{day} {}", time_words(self.minute()))
    }
}

/// A minute of the day as "7:05".
pub fn time_words(minute: u16) -> String {
    format!("{}:{:02}", minute / 60, minute % 60)
}

/// 0 Monday … 6 Sunday, from at least two letters of an English or a German name.
fn parse_day(text: &str) -> Option<u16> {
    const NAMES: [&str; 7] = [
        "monday",
        "tuesday",
        "wednesday",
        "thursday",
        "friday",
        "saturday",
        "sunday",
    ];
    const GERMAN: [&str; 7] = [
        "montag",
        "dienstag",
        "mittwoch",
        "donnerstag",
        "freitag",
        "samstag",
        "sonntag",
    ];
    let small = text.trim().trim_end_matches('.').to_lowercase();
    let of = |names: &[&str; 7]| names.iter().position(|n| n.starts_with(&small));
    let found = of(&NAMES).or_else(|| of(&GERMAN))?;
    (small.len() >= 2).then_some(found as u16)
}

/// A minute of the day from "15:00", "7:5" is refused; "24:00" is the end of the day, and so 0.
pub fn parse_time(text: &str) -> Option<u16> {
    let (hours, minutes) = text.trim().split_once(':')?;
    let plain = |s: &str, most: usize| {
        !s.is_empty() && s.len() <= most && s.bytes().all(|b| b.is_ascii_digit())
    };
    if !plain(hours, 2) || !plain(minutes, 2) || minutes.len() != 2 {
        return None;
    }
    let (h, m): (u16, u16) = (hours.parse().ok()?, minutes.parse().ok()?);
    let all = h * 60 + m;
    (m < 60 && all <= 1440).then_some(all % 1440)
}

/// When somebody is in the shop: the same hours on some days of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct StaffedHours {
    /// Monday first.
    pub days: [bool; 7],
    /// From this minute of the day.
    pub from: u16,
    /// To this one; not after `from` means on the next day, the same means round the clock.
    pub to: u16,
}

impl Default for StaffedHours {
    /// Monday to Friday, 7:00 to 16:00 (judgement).
    fn default() -> Self {
        Self {
            days: [true, true, true, true, true, false, false],
            from: 7 * 60,
            to: 16 * 60,
        }
    }
}

impl StaffedHours {
    /// Whether there is a day at all, and the times are times.
    pub fn is_sane(&self) -> bool {
        self.days.contains(&true) && self.from < 1440 && self.to < 1440
    }
    /// Minutes of one shift.
    fn length(&self) -> f64 {
        let (from, to) = (f64::from(self.from), f64::from(self.to));
        if to > from {
            to - from
        } else {
            to + DAY - from
        }
    }
    /// The shift that runs at a moment, else the next: from and to in minutes after Monday 0:00 of week one.
    ///
    /// Shifts that touch are one only for as long as the first lasts; the next call goes on. Hours that are
    /// not sane have no shift.
    pub fn shift_at(&self, moment: f64) -> Option<(f64, f64)> {
        if !self.is_sane() || !moment.is_finite() {
            return None;
        }
        let today = (moment / DAY).floor();
        // Yesterday's shift may run past midnight; eight days on there is one for certain.
        (-1..=8)
            .map(|k| today + f64::from(k))
            .filter(|day| self.days[day.rem_euclid(7.0) as usize % 7])
            .map(|day| {
                let from = day * DAY + f64::from(self.from);
                (from, from + self.length())
            })
            .find(|(_, to)| *to > moment)
    }
    /// When to begin what is to run on alone: an hour before everybody leaves, on the day of a moment or the next on
    /// which somebody comes; that moment itself where it lies in the hour. Hours that are not sane have none.
    pub fn last_hour(&self, moment: f64) -> Option<WeekTime> {
        let (from, to) = self.shift_at(moment)?;
        Some(WeekTime::after_monday((to - 60.0).max(from).max(moment)))
    }
    /// Whether somebody is there at a moment.
    pub fn is_staffed(&self, moment: f64) -> bool {
        self.shift_at(moment)
            .is_some_and(|(from, _)| from <= moment)
    }
    /// From "Mon-Fri 7:00-16:00" or "Mon,Wed,Sat-Sun 22:00-6:00".
    pub fn parse(text: &str) -> Option<Self> {
        let (days_text, times) = text.trim().split_once(char::is_whitespace)?;
        let mut days = [false; 7];
        for part in days_text.split(',') {
            let (first, last) = part.split_once('-').unwrap_or((part, part));
            let (first, last) = (parse_day(first)?, parse_day(last)?);
            let span = (last + 7 - first) % 7;
            (0..=span).for_each(|k| days[usize::from((first + k) % 7)] = true);
        }
        let (from, to) = times.split_once('-')?;
        Some(Self {
            days,
            from: parse_time(from)?,
            to: parse_time(to)?,
        })
    }
}

/// As files and the command line have it, in English.
impl StaffedHours {
    /// As a person reads it: "Mon-Fri 7:00-16:00" in the language that is spoken.
    pub fn said(&self) -> String {
        self.with_days(said)
    }
    fn with_days(&self, name: impl Fn(&'static str) -> &'static str) -> String {
        let mut out = String::new();
        let mut k = 0;
        while k < 7 {
            if !self.days[k] {
                k += 1;
                continue;
            }
            let end = (k..7).take_while(|&i| self.days[i]).last().unwrap_or(k);
            out += if out.is_empty() { "" } else { "," };
            out += name(DAYS[k]);
            if end > k {
                out += "-";
                out += name(DAYS[end]);
            }
            k = end + 1;
        }
        format!("{out} {}-{}", time_words(self.from), time_words(self.to))
    }
}

/// As it is written in files, whatever is spoken.
impl fmt::Display for StaffedHours {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.with_days(|day| day))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_as_they_are_written() {
        for text in ["Mon 15:00", "Sun 0:00", "Fri 23:59", "Wed 7:05"] {
            let t = WeekTime::parse(text).expect(text);
            assert_eq!(t.to_string(), text);
        }
        assert_eq!(
            WeekTime::parse("tuesday 06:30"),
            Some(WeekTime::new(1, 390))
        );
        for wrong in [
            "",
            "Mon",
            "Mon 25:00",
            "Mon 7:5",
            "T 7:00",
            "Mon 7:60",
            "Moon 7:00",
            "Mon 24:01",
        ] {
            assert_eq!(WeekTime::parse(wrong), None, "{wrong}");
        }
        assert_eq!(WeekTime::after_monday(WEEK + 61.9), WeekTime::new(0, 61));
        assert_eq!(WeekTime::after_monday(-1.0), WeekTime::new(6, 1439));
    }

    #[test]
    fn hours_are_read_as_they_are_written() {
        for text in [
            "Mon-Fri 7:00-16:00",
            "Mon,Wed-Thu,Sun 22:00-6:00",
            "Mon-Sun 0:00-0:00",
        ] {
            let h = StaffedHours::parse(text).expect(text);
            assert_eq!(h.to_string(), text);
        }
        // Round the end of the week.
        let h = StaffedHours::parse("Fri-Mon 8:00-12:00").expect("days");
        assert_eq!(h.days, [true, false, false, false, true, true, true]);
        for wrong in [
            "",
            "Mon",
            "Mon-Fri",
            "7:00-16:00",
            "Mon-Fri 7-16",
            "Mon-Fri 7:00",
        ] {
            assert_eq!(StaffedHours::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn somebody_is_there_in_the_shift_and_not_outside() {
        let h = StaffedHours::default();
        let at = |text: &str| WeekTime::parse(text).expect(text).minutes();
        assert!(h.is_staffed(at("Mon 7:00")) && h.is_staffed(at("Fri 15:59")));
        assert!(!h.is_staffed(at("Mon 6:59")) && !h.is_staffed(at("Fri 16:00")));
        assert!(!h.is_staffed(at("Sat 10:00")));
        // From Friday evening the next shift is Monday's, a week on.
        let (from, to) = h.shift_at(at("Fri 18:00")).expect("a shift");
        assert_eq!((from, to), (WEEK + 420.0, WEEK + 960.0));
        // A night shift runs on past midnight, into a day without a shift of its own.
        let night = StaffedHours::parse("Fri 22:00-6:00").expect("hours");
        assert!(night.is_staffed(at("Sat 5:59")) && !night.is_staffed(at("Sat 6:00")));
        // What is to run through a night is begun an hour before everybody leaves.
        let hour = |text: &str| h.last_hour(at(text)).map(|t| t.to_string());
        for (now, begin) in [
            ("Mon 9:00", "Mon 15:00"),
            ("Mon 15:20", "Mon 15:20"),
            ("Mon 16:00", "Tue 15:00"),
            ("Fri 18:00", "Mon 15:00"),
        ] {
            assert_eq!(hour(now).as_deref(), Some(begin), "{now}");
        }
        // Round the clock there is always somebody.
        let always = StaffedHours::parse("Mon-Sun 6:00-6:00").expect("hours");
        assert!((0..1000).all(|k| always.is_staffed(f64::from(k) * 17.3)));
        // Nobody ever: no shift, and no endless search.
        let never = StaffedHours {
            days: [false; 7],
            ..h
        };
        assert_eq!(never.shift_at(0.0), None);
        assert_eq!(h.shift_at(f64::NAN), None);
    }
}
