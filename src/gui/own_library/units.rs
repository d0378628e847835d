//! Units of library cells as they are shown: those of the file, or their inch counterparts.

use crate::reason::Unit;
use crate::words::{Style, style::significant};

/// Units of cells that differ between the two systems.
const KNOWN: [Unit; 8] = [
    Unit::Mm,
    Unit::Feed,
    Unit::CuttingRate,
    Unit::RunOff,
    Unit::WireM,
    Unit::Kg,
    Unit::Density,
    Unit::MoneyPerKg,
];

/// What a number of the file is multiplied by to be shown, and the unit that then stands beside it.
pub fn shown_unit(style: Style, unit: &str) -> (f64, String) {
    let (before, bare) = match unit.strip_prefix("currency") {
        Some(rest) => (say!("currency"), rest),
        None => ("", unit),
    };
    match KNOWN.into_iter().find(|u| u.symbol() == bare) {
        Some(known) => {
            let (factor, symbol) = style.system.conversion(known);
            (factor, format!("{before}{symbol}"))
        }
        None => (1.0, format!("{before}{bare}")),
    }
}

/// A number of the file as it is shown, with its unit.
pub fn number_with_unit(value: f64, unit: &str, style: Style) -> String {
    let (number, behind) = shown_number(style)(value, unit);
    format!("{number}{behind}")
}

/// A number of the file as it is shown, and what stands behind it, for sentences.
pub fn shown_number(style: Style) -> impl Fn(f64, &str) -> (String, String) {
    move |value, unit| {
        let (factor, symbol) = shown_unit(style, unit);
        let behind = match symbol.as_str() {
            "" => String::new(),
            s if s.starts_with('°') => s.to_owned(),
            s => format!("\u{202f}{s}"),
        };
        (significant(value * factor, 6), behind)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::System;

    #[test]
    fn every_unit_of_length_and_mass_is_shown_in_inch_too() {
        let of = |unit| shown_unit(Style::of(System::Inch), unit);
        assert_eq!(of("mm"), (1.0 / 25.4, "in".to_owned()));
        assert_eq!(of("currency/kg"), (0.453_592_37, "currency/lb".to_owned()));
        assert_eq!(of("min"), (1.0, "min".to_owned()));
        // 1 lb/in³ = 27 679.9 kg/m³ (NIST SP 811, appendix B: 2.767 990 E+04; from memory).
        assert!((of("kg/m³").0 * 27_679.90 - 1.0).abs() < 1e-6);
        for unit in ["mm/min", "mm²/min", "m/min", "m", "kg"] {
            assert_ne!(of(unit).1, unit);
            assert_eq!(
                shown_unit(Style::of(System::Metric), unit),
                (1.0, unit.to_owned())
            );
        }
    }
}
