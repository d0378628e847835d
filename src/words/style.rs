//! Numbers, units and times as a person reads them: gaps at thousands, a true minus, mm or inch.

use super::{System, wires, within};
use crate::job::{Candidate, WireRun};
use crate::language::{is_german, localised, said};
use crate::reason::Unit;
use crate::units::{Area, Length, Mass, Minutes, Money, RunOff};

/// Between a number and its unit: narrow and never broken.
pub const GAP: char = '\u{202f}';

/// How numbers are written for one reader: mm or inch, and what stands between a number and its unit.
///
/// Every number that is shown goes through one of these, so that window, report and command round alike. A decimal
/// sign or a currency of another place would be a field here and nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Style {
    /// mm or inch.
    pub system: System,
    /// Between a number and its unit, and between thousands.
    gap: char,
}

impl Default for Style {
    fn default() -> Self {
        Self::of(System::Metric)
    }
}

impl Style {
    /// For a window or a page: narrow gaps that are never broken.
    pub const fn of(system: System) -> Self {
        Self { system, gap: GAP }
    }
    /// For a terminal: ordinary spaces, which every font and every search has.
    pub const fn plain(system: System) -> Self {
        Self { system, gap: ' ' }
    }

    /// A number with so many decimals, gaps at thousands and a true minus.
    pub fn number(self, value: f64, decimals: usize) -> String {
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
                out.push(self.gap);
            }
            out.push(c);
        }
        out.push_str(&localised(rest.to_owned()));
        out
    }
    /// A number with about so many significant digits and no trailing zeros behind the point.
    pub fn significant(self, value: f64, digits: i32) -> String {
        if value == 0.0 {
            return "0".to_owned();
        }
        let magnitude = value.abs().log10().floor() as i32;
        let text = self.number(value, (digits - 1 - magnitude).clamp(0, 6) as usize);
        without_trailing_zeros(&text).to_owned()
    }
    /// Digits with the sign of a unit behind them; without a gap before a slash or a degree.
    pub fn with_unit(self, digits: &str, symbol: &str) -> String {
        if symbol.is_empty() || symbol.starts_with(['/', '°']) {
            format!("{digits}{symbol}")
        } else {
            format!("{digits}{}{symbol}", self.gap)
        }
    }
    /// A figure's number with its unit, about four digits.
    pub fn quantity(self, value: f64, unit: Unit) -> String {
        let (factor, symbol) = self.system.conversion(unit);
        let digits = match unit {
            Unit::Money => return self.money(Money::from_amount(value)),
            _ => self.significant(value * factor, 4),
        };
        self.with_unit(&digits, symbol)
    }
    /// Two ends of a range: "4 h – 6 h".
    fn range(low: &str, high: &str) -> String {
        format!("{low} – {high}")
    }
    /// "1 contour", "3 contours".
    pub fn count(self, n: usize, one: &str, many: &str) -> String {
        let what = if n == 1 { one } else { many };
        format!("{} {what}", self.number(n as f64, 0))
    }

    /// A length of contours: two decimals of a mm, four of an inch.
    pub fn length(self, length: Length) -> String {
        self.length_to(length, 2, 4)
    }
    /// A small length such as a radius or a gap: three decimals of a mm, four of an inch.
    pub fn fine(self, length: Length) -> String {
        self.length_to(length, 3, 4)
    }
    fn length_to(self, length: Length, mm: usize, inch: usize) -> String {
        let decimals = match self.system {
            System::Metric => mm,
            System::Inch => inch,
        };
        let digits = self.number(self.system.length_value(length), decimals);
        self.with_unit(&digits, self.system.length_unit())
    }
    /// A length as one types it: no trailing zeros.
    pub fn typed_length(self, length: Length) -> String {
        let digits = self.number(self.system.length_value(length), 4);
        self.with_unit(without_trailing_zeros(&digits), self.system.length_unit())
    }
    /// The diameter of a wire or a hole. Inches are said as the trade does: a wire of 0.25 mm is .010 in.
    pub fn diameter(self, d: Length) -> String {
        let digits = match self.system {
            System::Metric => {
                // A third decimal only where it says something: 0.25, but 0.254.
                let digits = self.number(d.mm(), 3);
                digits.strip_suffix('0').unwrap_or(&digits).to_owned()
            }
            System::Inch => within::inch_size(d),
        };
        let gap = self.gap;
        self.with_unit(&format!("Ø{gap}{digits}"), self.system.length_unit())
    }
    /// An area: one decimal of a mm², three of an in².
    pub fn area(self, area: Area) -> String {
        let (factor, symbol) = self.system.conversion(Unit::Mm2);
        let decimals = match self.system {
            System::Metric => 1,
            System::Inch => 3,
        };
        self.with_unit(&self.number(area.mm2() * factor, decimals), symbol)
    }
    /// Length of wire, whole metres or feet.
    pub fn wire(self, length: Length) -> String {
        self.with_unit(&self.wire_number(length), self.system.wire_unit())
    }
    /// Length of wire that somebody has measured, to the metre.
    pub fn wire_measured(self, length: Length) -> String {
        let digits = self.whole_wire(length.m() * self.system.conversion(Unit::WireM).0);
        self.with_unit(&digits, self.system.wire_unit())
    }
    /// Metres or feet of wire, with tenths below a hundred.
    fn whole_wire(self, value: f64) -> String {
        self.number(value, usize::from(value < 100.0))
    }
    /// The number of [`Self::wire`] alone, for columns.
    ///
    /// From ten thousand on three digits stand: no estimate knows it better than to a hundredth.
    pub fn wire_number(self, length: Length) -> String {
        let value = length.m() * self.system.conversion(Unit::WireM).0;
        let coarse = if value >= 1e4 {
            let unit = 10_f64.powi(value.log10().floor() as i32 - 2);
            (value / unit).round() * unit
        } else {
            value
        };
        self.whole_wire(coarse)
    }
    /// Mass of wire, the number alone, for columns: three digits where it is more than a unit.
    pub fn mass_number(self, mass: Mass) -> String {
        let value = mass.kg() * self.system.conversion(Unit::Kg).0;
        let decimals = match value {
            v if v < 9.995 => 2,
            v if v < 99.95 => 1,
            _ => 0,
        };
        self.number(value, decimals)
    }
    /// A difference of money, no finer than it deserves: whole units from ten on.
    pub fn money_apart(self, amount: Money) -> String {
        let v = amount.amount();
        self.number(v, if v.abs() < 9.995 { 2 } else { 0 })
    }
    /// Money on the axis of a chart, where nothing is nothing.
    pub fn money_on_axis(self, amount: f64) -> String {
        if amount == 0.0 {
            self.number(0.0, 0)
        } else {
            self.money(Money::from_amount(amount))
        }
    }
    /// A mass as a label says it: "5", "0.75".
    pub fn mass_in_short(self, mass: Mass) -> String {
        self.significant(mass.kg() * self.system.conversion(Unit::Kg).0, 3)
    }
    /// Mass.
    pub fn mass(self, mass: Mass) -> String {
        self.with_unit(&self.mass_number(mass), self.system.mass_unit())
    }
    /// Sign of the unit of roughness.
    pub fn roughness_unit(self) -> &'static str {
        self.system.conversion(Unit::Um).1
    }
    /// A range of roughness in µm, the numbers alone.
    pub fn roughness(self, [low, high]: [f64; 2]) -> String {
        let factor = self.system.conversion(Unit::Um).0;
        let end = |v: f64| self.significant(v * factor, 2);
        format!("{}–{}", end(low), end(high))
    }

    /// A candidate by name and diameter.
    pub fn candidate(self, c: &Candidate) -> String {
        format!("{} {}", said(&c.wire), self.candidate_size(c))
    }
    /// A candidate as it is called where room is short: "hard brass Ø 0.25 mm".
    pub fn spoken_candidate(self, c: &Candidate) -> String {
        format!("{} {}", wires::spoken(&c.wire), self.candidate_size(c))
    }
    /// Diameter of a candidate, and how it is run where that is not the usual way.
    pub fn candidate_size(self, c: &Candidate) -> String {
        let diameter = self.diameter(c.diameter);
        match c.run {
            WireRun::Usual => diameter,
            WireRun::Own { .. } | WireRun::Each(_) => {
                let (factor, symbol) = self.system.conversion(Unit::RunOff);
                let speeds = c.run.given();
                let digits: Vec<String> = (speeds.iter())
                    .map(|u| self.significant(u.m_per_min() * factor, 3))
                    .collect();
                let digits = digits.join(&format!("{0}/{0}", self.gap));
                format!("{diameter}, {}", self.with_unit(&digits, symbol))
            }
            WireRun::Reciprocating { .. } => {
                let speed = c.run.run_off(0, RunOff::ZERO).m_per_min();
                say!("{diameter}, reel, {}", self.quantity(speed, Unit::RunOff))
            }
        }
    }

    /// A time, no finer than its size deserves.
    pub fn time(self, minutes: Minutes) -> String {
        if !minutes.min_value().is_finite() {
            return "–".to_owned();
        }
        let rounded = worth_showing(minutes).min_value();
        if rounded < 10.0 {
            return self.with_unit(&self.significant(rounded, 2), "min");
        }
        let (hours, rest) = ((rounded / 60.0).floor(), rounded % 60.0);
        let rest_text = || self.with_unit(&self.number(rest, 0), "min");
        if hours < 1.0 {
            return rest_text();
        }
        let hours = self.with_unit(&self.number(hours, 0), "h");
        if rest < 0.5 {
            hours
        } else {
            format!("{hours} {}", rest_text())
        }
    }
    /// A time in hours and minutes to the minute, for a single step.
    pub fn step_time(self, minutes: Minutes) -> String {
        let m = minutes.min_value();
        if m < 60.0 {
            return self.with_unit(&self.number(m, 1), "min");
        }
        let whole = m.round();
        let hours = self.number((whole / 60.0).floor(), 0);
        let rest = format!("{:02.0}", whole % 60.0);
        format!(
            "{} {}",
            self.with_unit(&hours, "h"),
            self.with_unit(&rest, "min")
        )
    }
    /// "4 h 10 min – 6 h 20 min".
    pub fn time_range(self, low: Minutes, high: Minutes) -> String {
        Self::range(&self.time(low), &self.time(high))
    }
    /// Money in the shop's own currency: whole units from 1000, else two decimals.
    pub fn money(self, amount: Money) -> String {
        let v = amount.amount();
        self.number(v, if v.abs() < 100.0 { 2 } else { 0 })
    }
    /// Money without decimals where they mean nothing, for ranges.
    pub fn money_range(self, low: Money, high: Money) -> String {
        let decimals = if high.amount() < 10.0 { 2 } else { 0 };
        let end = |m: Money| self.number(m.amount(), decimals);
        Self::range(&end(low), &end(high))
    }
    /// Digits of a percentage: one decimal below 10, none above.
    fn percentage(self, share: f64) -> String {
        let percent = share.abs() * 100.0;
        let digits = self.number(percent, usize::from(percent < 9.95));
        self.with_unit(&digits, "%")
    }
    /// A share of a whole: "75 %", "2.5 %".
    pub fn share(self, share: f64) -> String {
        self.with_unit(&self.significant(share * 100.0, 3), "%")
    }
    /// A difference against the baseline in words: "31 % less", "4.2 % more", "the same".
    pub fn difference(self, share: f64) -> String {
        if !share.is_finite() {
            return "–".to_owned();
        }
        if share.abs() < SAME {
            return say!("the same").to_owned();
        }
        let word = if share < 0.0 {
            say!("less")
        } else {
            say!("more")
        };
        format!("{} {word}", self.percentage(share))
    }
    /// The same where room is short: in words, or with its sign in a language whose words are longer.
    pub fn difference_in_column(self, share: f64) -> String {
        if is_german() {
            self.signed_difference(share)
        } else {
            self.difference(share)
        }
    }
    /// A difference against the baseline with its sign: "−31 %", "+4.2 %", "±0 %".
    pub fn signed_difference(self, share: f64) -> String {
        if !share.is_finite() {
            return "–".to_owned();
        }
        if share.abs() < SAME {
            return self.with_unit("±0", "%");
        }
        let sign = if share < 0.0 { '−' } else { '+' };
        format!("{sign}{}", self.percentage(share))
    }
    /// A probability, never 0 or 100: "82 %", "more than 99 %".
    pub fn probability(self, p: f64) -> String {
        let percent = |digits: &str| self.with_unit(digits, "%");
        match p {
            p if p > 0.99 => say!("more than {}", percent("99")),
            p if p < 0.01 => say!("less than {}", percent("1")),
            p if p.is_finite() => percent(&self.number(p * 100.0, 0)),
            _ => "–".to_owned(),
        }
    }
}

/// Shares of less than this are shown as no difference: half the last digit that would be shown.
const SAME: f64 = 0.0005;

/// "2.50" as "2.5", "3.00" as "3"; whole numbers as they are.
fn without_trailing_zeros(digits: &str) -> &str {
    if digits.contains(['.', ',']) {
        digits.trim_end_matches('0').trim_end_matches(['.', ','])
    } else {
        digits
    }
}

/// Minutes rounded to what is worth showing of an estimate: 1 h above 100 h, 10 min above 10 h, 5 min above 2 h, else
/// 1 min, and two digits below 10 min (judgement). Never below 0.
pub fn worth_showing(minutes: Minutes) -> Minutes {
    let m = minutes.min_value().max(0.0);
    let to = |step: f64| Minutes::from_min((m / step).round() * step);
    match m {
        m if m > 6000.0 => to(60.0),
        m if m > 600.0 => to(10.0),
        m if m > 120.0 => to(5.0),
        m if m >= 10.0 => to(1.0),
        m if m > 0.0 => to(10.0_f64.powf(m.log10().floor() - 1.0)),
        _ => Minutes::ZERO,
    }
}

/// As [`Style::number`], where no unit and so no style matters.
pub fn number(value: f64, decimals: usize) -> String {
    Style::default().number(value, decimals)
}
/// As [`Style::significant`].
pub fn significant(value: f64, digits: i32) -> String {
    Style::default().significant(value, digits)
}
/// As [`Style::time`].
pub fn time(minutes: Minutes) -> String {
    Style::default().time(minutes)
}
/// As [`Style::step_time`].
pub fn step_time(minutes: Minutes) -> String {
    Style::default().step_time(minutes)
}
/// As [`Style::time_range`].
pub fn time_range(low: Minutes, high: Minutes) -> String {
    Style::default().time_range(low, high)
}
/// As [`Style::money`].
pub fn money(amount: Money) -> String {
    Style::default().money(amount)
}
/// As [`Style::money_range`].
pub fn money_range(low: Money, high: Money) -> String {
    Style::default().money_range(low, high)
}
/// As [`Style::difference`].
pub fn difference(share: f64) -> String {
    Style::default().difference(share)
}
/// As [`Style::count`].
pub fn count(n: usize, one: &str, many: &str) -> String {
    Style::default().count(n, one, many)
}

/// Ascending numbers as a reader skims them: "1–4, 7, 9".
pub fn ranges(numbers: &[usize]) -> String {
    let runs = numbers.chunk_by(|a, b| *b == a + 1);
    let run = |run: &[usize]| match run {
        [first, _, .., last] => format!("{first}–{last}"),
        few => few
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join(", "),
    };
    runs.map(run).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_a_row_are_said_as_a_range() {
        assert_eq!(ranges(&[1, 2, 3, 4, 7, 9, 10]), "1–4, 7, 9, 10");
        assert_eq!((ranges(&[5]), ranges(&[])), ("5".to_owned(), String::new()));
    }

    const S: Style = Style::of(System::Metric);

    fn plain(s: &str) -> String {
        s.replace(GAP, " ")
    }

    #[test]
    fn numbers_read_well() {
        assert_eq!(plain(&S.number(1234.5, 1)), "1234.5");
        assert_eq!(plain(&S.number(12_345.0, 0)), "12 345");
        assert_eq!(plain(&S.number(-1_234_567.25, 2)), "−1 234 567.25");
        assert_eq!(S.number(-0.001, 1), "0.0");
        assert_eq!(S.number(f64::NAN, 1), "–");
        assert_eq!(S.significant(149.26, 4), "149.3");
        assert_eq!(S.significant(2.0, 4), "2");
    }

    #[test]
    fn times_are_no_finer_than_they_deserve() {
        let t = |m| plain(&S.time(Minutes::from_min(m)));
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
    fn inch_covers_every_metric_unit() {
        let q = |v, u| plain(&Style::of(System::Inch).quantity(v, u));
        assert_eq!(q(25.4, Unit::Mm), "1 in");
        assert_eq!(q(645.16, Unit::Mm2), "1 in²");
        assert_eq!(q(0.3048, Unit::WireM), "1 ft");
        assert_eq!(q(10.0, Unit::MoneyPerKg), "4.536/lb");
        // 150 mm²/min × 60 ÷ 645.16 = 13.95 in²/h.
        assert_eq!(q(150.0, Unit::CuttingRate), "13.95 in²/h");
    }

    #[test]
    fn differences_say_which_way() {
        assert_eq!(plain(&S.difference(-0.31)), "31 % less");
        assert_eq!(plain(&S.difference(0.042)), "4.2 % more");
        assert_eq!(S.difference(0.0), "the same");
        assert_eq!(S.difference(f64::NAN), "–");
    }

    #[test]
    fn minutes_are_shown_no_finer_than_they_deserve() {
        for (minutes, shown) in [
            (-1.0, 0.0),
            (0.0, 0.0),
            (4.26, 4.3),
            (59.7, 60.0),
            (120.4, 120.0),
            (312.4, 310.0),
            (605.0, 610.0),
            (13_770.0, 13_800.0),
        ] {
            let found = worth_showing(Minutes::from_min(minutes)).min_value();
            assert!((found - shown).abs() < 1e-9, "{minutes}: {found}");
        }
    }

    #[test]
    fn inches_are_said_in_thousandths() {
        // Common practice, no source: wires of 0.25, 0.20, 0.30 and 0.10 mm are .010, .008, .012 and .004 in.
        let d = |mm| plain(&Style::of(System::Inch).diameter(Length::from_mm(mm)));
        assert_eq!(d(0.25), "Ø .010 in");
        assert_eq!(d(0.20), "Ø .008 in");
        assert_eq!(d(0.30), "Ø .012 in");
        assert_eq!(d(0.10), "Ø .004 in");
        assert_eq!(d(50.8), "Ø 2.000 in");
        assert_eq!(plain(&S.diameter(Length::from_mm(0.25))), "Ø 0.25 mm");
    }

    #[test]
    fn shares_and_probabilities_read_well() {
        assert_eq!(plain(&S.signed_difference(-0.3106)), "−31 %");
        assert_eq!(plain(&S.signed_difference(0.04)), "+4.0 %");
        assert_eq!(plain(&S.signed_difference(-0.0004)), "±0 %");
        assert_eq!(S.signed_difference(f64::NAN), "–");
        assert_eq!(plain(&S.probability(0.998)), "more than 99 %");
        assert_eq!(plain(&S.probability(0.001)), "less than 1 %");
        assert_eq!(plain(&S.probability(0.82)), "82 %");
    }

    #[test]
    fn a_terminal_gets_ordinary_spaces() {
        let s = Style::plain(System::Metric);
        assert_eq!(s.time(Minutes::from_min(312.4)), "5 h 10 min");
        // What was estimated is known to a hundredth at the best; what was measured stays as it was written down.
        assert_eq!(s.wire(Length::from_m(12_345.0)), "12 300 m");
        assert_eq!(s.wire_measured(Length::from_m(12_345.0)), "12 345 m");
    }
}
