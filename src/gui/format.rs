//! Numbers, units and times as a person reads them: thin-space thousands, a true minus, mm or inch.

use crate::estimate::range::worth_showing;
use crate::job::{Candidate, WireRun};
use crate::reason::Unit;
use crate::units::{Area, Length, MM_PER_INCH, Mass, Minutes, Money, RunOff};
use serde::{Deserialize, Serialize};

/// Which units the window shows. The job itself stays metric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum System {
    /// mm, mm², m, kg.
    #[default]
    Metric,
    /// in, in², ft, lb.
    Inch,
}

/// Metres in one foot, exact by definition.
const M_PER_FOOT: f64 = 0.3048;
/// Kilograms in one pound, exact by definition.
const KG_PER_POUND: f64 = 0.453_592_37;
/// Between a number and its unit: narrow and never broken.
pub const GAP: char = '\u{202f}';

/// A number with so many decimals, thin spaces at thousands and a true minus.
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "–".to_owned();
    }
    let plain = format!("{:.decimals$}", value.abs());
    let (whole, rest) = plain.split_at(plain.find('.').unwrap_or(plain.len()));
    let mut out = String::with_capacity(plain.len() + 4);
    // −0.0 is shown as 0.
    if value < 0.0 && plain.bytes().any(|b| (b'1'..=b'9').contains(&b)) {
        out.push('−');
    }
    for (k, c) in whole.chars().enumerate() {
        let left = whole.len() - k;
        // Four digits stay together, as usual in technical text.
        if k > 0 && left.is_multiple_of(3) && whole.len() > 4 {
            out.push(GAP);
        }
        out.push(c);
    }
    out.push_str(rest);
    out
}

/// A number with about so many significant digits and no trailing zeros behind the point.
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let magnitude = value.abs().log10().floor() as i32;
    let text = number(value, (digits - 1 - magnitude).clamp(0, 6) as usize);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

impl System {
    /// The other one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::Metric => Self::Inch,
            Self::Inch => Self::Metric,
        }
    }
    /// Sign of the unit of length.
    pub fn length_unit(self) -> &'static str {
        match self {
            Self::Metric => "mm",
            Self::Inch => "in",
        }
    }
    /// Sign of the unit of wire length.
    pub fn wire_unit(self) -> &'static str {
        match self {
            Self::Metric => "m",
            Self::Inch => "ft",
        }
    }
    /// Sign of the unit of mass.
    pub fn mass_unit(self) -> &'static str {
        match self {
            Self::Metric => "kg",
            Self::Inch => "lb",
        }
    }
    /// A length in this system's unit.
    pub fn length_value(self, length: Length) -> f64 {
        match self {
            Self::Metric => length.mm(),
            Self::Inch => length.inch(),
        }
    }
    /// A length of contours: two decimals of a mm, four of an inch.
    pub fn length(self, length: Length) -> String {
        self.length_to(length, 2, 4)
    }
    /// A small length such as a radius or a gap.
    pub fn fine(self, length: Length) -> String {
        self.length_to(length, 3, 5)
    }
    fn length_to(self, length: Length, mm: usize, inch: usize) -> String {
        let decimals = match self {
            Self::Metric => mm,
            Self::Inch => inch,
        };
        let value = number(self.length_value(length), decimals);
        format!("{value}{GAP}{}", self.length_unit())
    }
    /// A length as one types it: no trailing zeros.
    pub fn typed_length(self, length: Length) -> String {
        let digits = number(self.length_value(length), 4);
        let digits = digits.trim_end_matches('0').trim_end_matches('.');
        format!("{digits}{GAP}{}", self.length_unit())
    }
    /// An area.
    pub fn area(self, area: Area) -> String {
        match self {
            Self::Metric => format!("{}{GAP}mm²", number(area.mm2(), 1)),
            Self::Inch => {
                let value = area.mm2() / (MM_PER_INCH * MM_PER_INCH);
                format!("{}{GAP}in²", number(value, 3))
            }
        }
    }
    /// Length of wire, whole metres or feet.
    pub fn wire(self, length: Length) -> String {
        format!("{}{GAP}{}", self.wire_number(length), self.wire_unit())
    }
    /// The number of [`Self::wire`] alone, for columns.
    pub fn wire_number(self, length: Length) -> String {
        let value = match self {
            Self::Metric => length.m(),
            Self::Inch => length.m() / M_PER_FOOT,
        };
        number(value, usize::from(value < 100.0))
    }
    /// Mass of wire, the number alone, for columns.
    pub fn mass_number(self, mass: Mass) -> String {
        let value = match self {
            Self::Metric => mass.kg(),
            Self::Inch => mass.kg() / KG_PER_POUND,
        };
        number(value, 2)
    }
    /// Mass.
    pub fn mass(self, mass: Mass) -> String {
        format!("{}{GAP}{}", self.mass_number(mass), self.mass_unit())
    }
    /// Sign of the unit of roughness.
    pub fn roughness_unit(self) -> &'static str {
        self.conversion(Unit::Um).1
    }
    /// A range of roughness in µm, the numbers alone.
    pub fn roughness(self, [low, high]: [f64; 2]) -> String {
        let (factor, _) = self.conversion(Unit::Um);
        format!(
            "{}–{}",
            significant(low * factor, 2),
            significant(high * factor, 2)
        )
    }
    /// A candidate by name and diameter.
    pub fn candidate(self, c: &Candidate) -> String {
        format!("{} {}", c.wire, self.candidate_size(c))
    }
    /// Diameter of a candidate, and how it is run where that is not the usual way.
    pub fn candidate_size(self, c: &Candidate) -> String {
        let diameter = self.diameter(c.diameter);
        let run = |r: RunOff| self.quantity(r.m_per_min(), Unit::RunOff);
        match c.run {
            WireRun::Usual => diameter,
            WireRun::Own { .. } | WireRun::Each(_) => {
                let (factor, symbol) = self.conversion(Unit::RunOff);
                let given: Vec<String> = (c.run.given().iter())
                    .map(|u| significant(u.m_per_min() * factor, 3))
                    .collect();
                let given = given.join(&format!("{GAP}/{GAP}"));
                format!("{diameter}, {given}{GAP}{symbol}")
            }
            WireRun::Reciprocating { .. } => {
                format!("{diameter}, reel, {}", run(c.run.run_off(0, RunOff::ZERO)))
            }
        }
    }
    /// A wire diameter.
    pub fn diameter(self, d: Length) -> String {
        match self {
            Self::Metric => format!("Ø{GAP}{}{GAP}mm", number(d.mm(), 2)),
            Self::Inch => format!("Ø{GAP}{}{GAP}in", number(d.inch(), 4)),
        }
    }
    /// The factor and the sign that turn a metric figure into this system.
    pub fn conversion(self, unit: Unit) -> (f64, &'static str) {
        if self == Self::Metric {
            return (1.0, unit.symbol());
        }
        match unit {
            Unit::Mm => (1.0 / MM_PER_INCH, "in"),
            Unit::Um => (1.0 / (MM_PER_INCH / 1000.0), "µin"),
            Unit::Mm2 => (1.0 / (MM_PER_INCH * MM_PER_INCH), "in²"),
            Unit::CuttingRate => (60.0 / (MM_PER_INCH * MM_PER_INCH), "in²/h"),
            Unit::Feed => (1.0 / MM_PER_INCH, "in/min"),
            Unit::RunOff => (1.0 / M_PER_FOOT, "ft/min"),
            Unit::WireM => (1.0 / M_PER_FOOT, "ft"),
            Unit::Kg => (1.0 / KG_PER_POUND, "lb"),
            Unit::Density => ((MM_PER_INCH / 1000.0).powi(3) / KG_PER_POUND, "lb/in³"),
            Unit::MoneyPerKg => (KG_PER_POUND, "/lb"),
            other => (1.0, other.symbol()),
        }
    }
    /// A figure's number with its unit.
    pub fn quantity(self, value: f64, unit: Unit) -> String {
        let (factor, symbol) = self.conversion(unit);
        let digits = match unit {
            Unit::Money => number(value, if value.abs() < 1000.0 { 2 } else { 0 }),
            _ => significant(value * factor, 4),
        };
        if symbol.is_empty() {
            digits
        } else if symbol.starts_with(['/', '°']) {
            format!("{digits}{symbol}")
        } else {
            format!("{digits}{GAP}{symbol}")
        }
    }
    /// Reads a length as typed: a number, by default in this system's unit, or with mm, cm, in or ".
    ///
    /// # Errors
    /// What is wrong and what to type instead.
    pub fn parse_length(self, text: &str) -> Result<Length, String> {
        let cleaned = plain_digits(text);
        let lower = cleaned.to_lowercase();
        let (digits, unit) = [
            ("mm", Some(1.0)),
            ("cm", Some(10.0)),
            ("inch", Some(MM_PER_INCH)),
            ("in", Some(MM_PER_INCH)),
            ("\"", Some(MM_PER_INCH)),
            ("″", Some(MM_PER_INCH)),
        ]
        .into_iter()
        .find_map(|(sign, f)| lower.strip_suffix(sign).map(|rest| (rest.trim(), f)))
        .unwrap_or((lower.as_str(), None));
        let factor = unit.unwrap_or(match self {
            Self::Metric => 1.0,
            Self::Inch => MM_PER_INCH,
        });
        match parse_ratio(digits) {
            Some(v) => Ok(Length::from_mm(v * factor)),
            None => Err(format!(
                "“{}” is no length. Type a number, such as 40 or 1.5 in.",
                text.trim()
            )),
        }
    }
}

/// Without thin spaces, with a point for the decimal comma and an ASCII minus.
fn plain_digits(text: &str) -> String {
    let mut s: String = text
        .trim()
        .chars()
        .filter(|c| !matches!(c, '\u{202f}' | '\u{2009}' | '\u{a0}'))
        .map(|c| if c == '−' { '-' } else { c })
        .collect();
    if s.matches(',').count() == 1 && !s.contains('.') {
        s = s.replace(',', ".");
    }
    s
}

/// A number, or a fraction such as 3/8 or 1 1/2.
fn parse_ratio(text: &str) -> Option<f64> {
    let finite = |v: f64| v.is_finite().then_some(v);
    if let Ok(v) = text.parse::<f64>() {
        return finite(v);
    }
    let (whole, fraction) = text.rsplit_once(' ').unwrap_or(("0", text));
    let (n, d) = fraction.split_once('/')?;
    let whole: f64 = whole.trim().parse().ok()?;
    let (n, d): (f64, f64) = (n.trim().parse().ok()?, d.trim().parse().ok()?);
    finite(whole + n / d)
}

/// A plain number as typed.
///
/// # Errors
/// What is wrong and what to type instead.
pub fn parse_number(text: &str) -> Result<f64, String> {
    parse_ratio(&plain_digits(text))
        .ok_or_else(|| format!("“{}” is no number. Type digits, such as 60.", text.trim()))
}

/// A time, no finer than its size deserves.
pub fn time(minutes: Minutes) -> String {
    if !minutes.min_value().is_finite() {
        return "–".to_owned();
    }
    let rounded = worth_showing(minutes).min_value();
    if rounded < 10.0 {
        return format!("{}{GAP}min", significant(rounded, 2));
    }
    let (hours, rest) = ((rounded / 60.0).floor(), rounded % 60.0);
    if hours < 1.0 {
        format!("{rest:.0}{GAP}min")
    } else if rest < 0.5 {
        format!("{}{GAP}h", number(hours, 0))
    } else {
        format!("{}{GAP}h {rest:.0}{GAP}min", number(hours, 0))
    }
}

/// A time in hours and minutes to the minute, for a single step.
pub fn step_time(minutes: Minutes) -> String {
    let m = minutes.min_value();
    if m < 60.0 {
        format!("{}{GAP}min", number(m, 1))
    } else {
        let whole = m.round();
        format!(
            "{}{GAP}h {:02.0}{GAP}min",
            number((whole / 60.0).floor(), 0),
            whole % 60.0
        )
    }
}

/// "4 h 10 min to 6 h 20 min", as short as it can be.
pub fn time_range(low: Minutes, high: Minutes) -> String {
    format!("{} – {}", time(low), time(high))
}

/// Money in the shop's own currency: whole units from 1000, else two decimals.
pub fn money(amount: Money) -> String {
    let v = amount.amount();
    number(v, if v.abs() < 1000.0 { 2 } else { 0 })
}

/// Money without decimals where they mean nothing, for ranges.
pub fn money_range(low: Money, high: Money) -> String {
    let decimals = if high.amount() < 10.0 { 2 } else { 0 };
    format!(
        "{} – {}",
        number(low.amount(), decimals),
        number(high.amount(), decimals)
    )
}

/// A difference against the baseline: "31 % less", "4 % more", "the same".
pub fn difference(share: f64) -> String {
    let percent = share.abs() * 100.0;
    if !share.is_finite() {
        return "–".to_owned();
    }
    if percent < 0.05 {
        return "the same".to_owned();
    }
    let digits = number(percent, usize::from(percent < 9.95));
    let word = if share < 0.0 { "less" } else { "more" };
    format!("{digits}{GAP}% {word}")
}

/// "1 contour", "3 contours".
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!(
        "{} {}",
        number(n as f64, 0),
        if n == 1 { one } else { many }
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(s: &str) -> String {
        s.replace(GAP, " ")
    }

    #[test]
    fn numbers_read_well() {
        assert_eq!(plain(&number(1234.5, 1)), "1234.5");
        assert_eq!(plain(&number(12_345.0, 0)), "12 345");
        assert_eq!(plain(&number(-1_234_567.25, 2)), "−1 234 567.25");
        assert_eq!(number(-0.001, 1), "0.0");
        assert_eq!(number(f64::NAN, 1), "–");
        assert_eq!(significant(149.26, 4), "149.3");
        assert_eq!(significant(2.0, 4), "2");
    }

    #[test]
    fn times_are_no_finer_than_they_deserve() {
        let t = |m| plain(&time(Minutes::from_min(m)));
        assert_eq!(t(312.4), "5 h 10 min");
        assert_eq!(t(61.2), "1 h 1 min");
        assert_eq!(t(605.0), "10 h 10 min");
        assert_eq!(t(120.0), "2 h");
        assert_eq!(t(13_770.0), "230 h");
        assert_eq!(t(59.7), "1 h");
        assert_eq!(t(4.26), "4.3 min");
        assert_eq!(t(0.0), "0 min");
    }

    #[test]
    fn lengths_are_read_in_either_unit() {
        // To a millionth of a mm, so that the last bits of a conversion do not matter.
        let mm = |s: System, t: &str| s.parse_length(t).map(|l| (l.mm() * 1e6).round() / 1e6);
        assert_eq!(mm(System::Metric, "40"), Ok(40.0));
        assert_eq!(mm(System::Metric, "62,5 mm"), Ok(62.5));
        assert_eq!(mm(System::Metric, "2 in"), Ok(50.8));
        assert_eq!(mm(System::Inch, "1 1/2"), Ok(38.1));
        assert_eq!(mm(System::Inch, "3/8\""), Ok(9.525));
        assert!(mm(System::Metric, "thick").is_err());
        assert!(mm(System::Metric, "").is_err());
        assert!(mm(System::Metric, "1/0").is_err());
        assert!(mm(System::Metric, "inf").is_err());
    }

    #[test]
    fn what_is_shown_is_read_back() {
        for system in [System::Metric, System::Inch] {
            let l = Length::from_mm(38.1);
            let back = system.parse_length(&system.typed_length(l)).unwrap();
            assert!((back.mm() - 38.1).abs() < 1e-9, "{back:?}");
        }
    }

    #[test]
    fn inch_covers_every_metric_unit() {
        let q = |v, u| plain(&System::Inch.quantity(v, u));
        assert_eq!(q(25.4, Unit::Mm), "1 in");
        assert_eq!(q(645.16, Unit::Mm2), "1 in²");
        assert_eq!(q(0.3048, Unit::WireM), "1 ft");
        assert_eq!(q(10.0, Unit::MoneyPerKg), "4.536/lb");
        // 150 mm²/min × 60 ÷ 645.16 = 13.95 in²/h.
        assert_eq!(q(150.0, Unit::CuttingRate), "13.95 in²/h");
    }

    #[test]
    fn differences_say_which_way() {
        assert_eq!(plain(&difference(-0.31)), "31 % less");
        assert_eq!(plain(&difference(0.042)), "4.2 % more");
        assert_eq!(difference(0.0), "the same");
        assert_eq!(difference(f64::NAN), "–");
    }
}
