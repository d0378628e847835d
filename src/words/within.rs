//! Lengths and speeds within a sentence: plain spaces, no more digits than the trade says aloud.
//!
//! Inches are written as on a drawing, without a zero before the point: .010 in. A wire's diameter has three
//! decimals where they say it within [`NOMINAL`], because metric wires are sold under the inch size next to
//! them (0.25 mm as .010 in, 0.30 mm as .012 in); else four. Radii, widths and gaps have four.

use super::System;
use crate::language::localised;
use crate::reason::{Unit, short};
use crate::units::{Length, Mass, RunOff};

/// A nominal inch size may differ from the metric one by this share: 25.4/25 − 1 is 1.6 %.
const NOMINAL: f64 = 0.02;

/// An inch value without a zero before the point.
fn inches(value: f64, places: usize) -> String {
    let text = localised(format!("{value:.places$}"));
    match text.strip_prefix("0") {
        Some(behind) if !behind.is_empty() => behind.to_owned(),
        _ => match text.strip_prefix("-0") {
            Some(behind) if !behind.is_empty() => format!("-{behind}"),
            _ => text,
        },
    }
}

/// Without zeros at the end.
fn trimmed(text: &str) -> &str {
    if text.contains(['.', ',']) {
        text.trim_end_matches('0').trim_end_matches(['.', ','])
    } else {
        text
    }
}

/// A length as it was entered, the number alone: "40", "1.5748".
fn entered_number(length: Length, system: System) -> String {
    match system {
        System::Metric => localised(length.mm().to_string()),
        System::Inch if is_nothing(length, system) => "0".to_owned(),
        System::Inch => trimmed(&inches(length.inch(), 4)).to_owned(),
    }
}

/// A length as it was entered: "40 mm", "1.5748 in".
pub fn entered(length: Length, system: System) -> String {
    let number = entered_number(length, system);
    format!("{number} {}", system.length_unit())
}

/// The ends of what may be entered: "0.05 and 1000 mm", ".002 and 39.3701 in".
pub fn between(low: Length, high: Length, system: System) -> String {
    let low = entered_number(low, system);
    say!("{low} and {}", entered(high, system))
}

/// The diameter of a wire: "0.25 mm", ".010 in".
pub fn diameter(d: Length, system: System) -> String {
    match system {
        System::Metric => entered(d, system),
        System::Inch => format!("{} in", inch_size(d)),
    }
}

/// The inch number that a diameter goes by: ".010" for 0.25 mm.
pub fn inch_size(d: Length) -> String {
    let inch = d.inch();
    let nominal = (inch * 1e3).round() / 1e3;
    let places = if (nominal - inch).abs() <= NOMINAL * inch {
        3
    } else {
        4
    };
    inches(inch, places)
}

/// A width, a gap or the radius that a plan leaves: "0.131 mm", ".0052 in".
pub fn fine(length: Length, system: System) -> String {
    match system {
        System::Metric => format!("{} mm", localised(format!("{:.3}", length.mm()))),
        System::Inch => format!("{} in", inches(length.inch(), 4)),
    }
}

/// Whether [`fine`] shows a length as nothing.
pub fn is_nothing(length: Length, system: System) -> bool {
    match system {
        System::Metric => length.mm().abs() < 5e-4,
        System::Inch => length.inch().abs() < 5e-5,
    }
}

/// A radius as drawn: "0.1 mm", ".0039 in".
pub fn radius(r: Length, system: System) -> String {
    match system {
        System::Metric => short_length(r, system),
        System::Inch => fine(r, system),
    }
}

/// A length in few digits: "40 mm", "1.5748 in".
pub fn short_length(length: Length, system: System) -> String {
    match system {
        System::Metric => format!("{} mm", short(length.mm())),
        System::Inch => entered(length, system),
    }
}

/// A length of wire: "12.5 m", "41.01 ft".
pub fn wire(length: Length, system: System) -> String {
    let (factor, sign) = system.conversion(Unit::WireM);
    format!("{} {sign}", short(length.m() * factor))
}

/// Wire used, in tenths: "12.5 m", "41.0 ft".
pub fn wire_used(length: Length, system: System) -> String {
    let (factor, sign) = system.conversion(Unit::WireM);
    format!(
        "{} {sign}",
        localised(format!("{:.1}", length.m() * factor))
    )
}

/// A mass of work: "120 kg", "264.6 lb".
pub fn mass(m: Mass, system: System) -> String {
    let (factor, sign) = system.conversion(Unit::Kg);
    format!("{} {sign}", short(m.kg() * factor))
}

/// A wire speed: "9.5 m/min", "31.17 ft/min".
pub fn run_off(u: RunOff, system: System) -> String {
    let (factor, sign) = system.conversion(Unit::RunOff);
    format!("{} {sign}", short(u.m_per_min() * factor))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wires_carry_their_inch_names() {
        // Sold as such: common practice, no source.
        for (mm, inch) in [
            (0.10, ".004 in"),
            (0.15, ".006 in"),
            (0.20, ".008 in"),
            (0.25, ".010 in"),
            (0.30, ".012 in"),
            (0.33, ".013 in"),
            (0.36, ".014 in"),
        ] {
            assert_eq!(diameter(Length::from_mm(mm), System::Inch), inch);
        }
        // Between the names the size itself: 0.07/25.4 = 0.002756.
        assert_eq!(diameter(Length::from_mm(0.07), System::Inch), ".0028 in");
        assert_eq!(diameter(Length::from_mm(0.25), System::Metric), "0.25 mm");
    }

    #[test]
    fn an_inch_has_25_4_mm_in_every_form() {
        let in_inch =
            |mm: f64, form: fn(Length, System) -> String| form(Length::from_mm(mm), System::Inch);
        assert_eq!(in_inch(40.0, entered), "1.5748 in");
        assert_eq!(in_inch(25.4, entered), "1 in");
        assert_eq!(in_inch(0.0, entered), "0 in");
        assert_eq!(in_inch(0.131, fine), ".0052 in");
        assert_eq!(in_inch(0.1, radius), ".0039 in");
        assert_eq!(in_inch(-0.254, fine), "-.0100 in");
        assert_eq!(
            between(Length::from_mm(0.05), Length::from_mm(1000.0), System::Inch),
            ".002 and 39.3701 in"
        );
        // 10 m are 10/0.3048 ft.
        let ten = RunOff::from_m_per_min(10.0);
        assert_eq!(run_off(ten, System::Inch), "32.81 ft/min");
        assert_eq!(run_off(ten, System::Metric), "10 m/min");
    }
}
