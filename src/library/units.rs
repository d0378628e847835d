//! Units in which a number of a library file may be given, beside that of its field.

/// What a number in one unit is multiplied by to be one in another; `None` where that cannot be.
///
/// 1 in = 25.4 mm, 1 ft = 0.3048 m and 1 lb = 0.453 592 37 kg are exact (international yard and pound, 1959).
pub fn factor(from: &str, to: &str) -> Option<f64> {
    if from == to {
        return Some(1.0);
    }
    let (a, b) = (scaled(from)?, scaled(to)?);
    (a.0 == b.0).then(|| a.1 / b.1)
}

/// Units that can stand in place of one, itself among them, for a message.
pub fn alike(unit: &str) -> Vec<&'static str> {
    let Some((quantity, _)) = scaled(unit) else {
        return Vec::new();
    };
    let same = UNITS.iter().filter(|(_, q, _)| *q == quantity);
    same.map(|(name, ..)| *name).collect()
}

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Quantity {
    Length,
    Feed,
    CuttingRate,
    Time,
    TimeAHole,
    Mass,
    Density,
    Force,
    Stress,
    MoneyAnHour,
    MoneyAKilogram,
    PerHour,
    PerDegree,
}

const POUND: f64 = 0.453_592_37;

/// Name, what it measures, how many of the first unit of that quantity it is.
const UNITS: [(&str, Quantity, f64); 37] = {
    use Quantity::{
        CuttingRate, Density, Feed, Force, Length, Mass, MoneyAKilogram, MoneyAnHour, PerDegree,
        PerHour, Stress, Time, TimeAHole,
    };
    [
        ("mm", Length, 1.0),
        ("µm", Length, 1e-3),
        ("m", Length, 1e3),
        ("in", Length, 25.4),
        ("ft", Length, 304.8),
        ("mm/min", Feed, 1.0),
        ("m/min", Feed, 1e3),
        ("mm/s", Feed, 60.0),
        ("in/min", Feed, 25.4),
        ("ft/min", Feed, 304.8),
        ("mm²/min", CuttingRate, 1.0),
        ("mm2/min", CuttingRate, 1.0),
        ("in²/h", CuttingRate, 645.16 / 60.0),
        ("in2/h", CuttingRate, 645.16 / 60.0),
        ("min", Time, 1.0),
        ("s", Time, 1.0 / 60.0),
        ("h", Time, 60.0),
        ("min/hole", TimeAHole, 1.0),
        ("s/hole", TimeAHole, 1.0 / 60.0),
        ("kg", Mass, 1.0),
        ("g", Mass, 1e-3),
        ("lb", Mass, POUND),
        ("kg/m³", Density, 1.0),
        ("kg/m3", Density, 1.0),
        ("g/cm³", Density, 1e3),
        ("g/cm3", Density, 1e3),
        ("lb/in³", Density, POUND / (0.0254 * 0.0254 * 0.0254)),
        ("lb/in3", Density, POUND / (0.0254 * 0.0254 * 0.0254)),
        ("N", Force, 1.0),
        ("N/mm²", Stress, 1.0),
        ("MPa", Stress, 1.0),
        ("currency/h", MoneyAnHour, 1.0),
        ("currency/kg", MoneyAKilogram, 1.0),
        ("currency/lb", MoneyAKilogram, 1.0 / POUND),
        ("1/h", PerHour, 1.0),
        ("1/min", PerHour, 60.0),
        ("1/°", PerDegree, 1.0),
    ]
};

fn scaled(unit: &str) -> Option<(Quantity, f64)> {
    let found = UNITS.iter().find(|(name, ..)| *name == unit);
    found.map(|(_, quantity, scale)| (*quantity, *scale))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_of_one_quantity_are_converted_and_others_are_not() {
        let to = |from, to| factor(from, to).unwrap();
        assert_eq!(to("in", "mm"), 25.4);
        assert_eq!(to("mm", "mm"), 1.0);
        assert_eq!(to("h", "min"), 60.0);
        assert!((to("min", "h") - 1.0 / 60.0).abs() < 1e-15);
        // International yard and pound, 1959: exact.
        assert!((to("ft", "m") - 0.3048).abs() < 1e-15);
        assert!((to("lb", "kg") - 0.453_592_37).abs() < 1e-15);
        assert!((to("ft/min", "m/min") - 0.3048).abs() < 1e-15);
        // 25 in²/h are 268.8 mm²/min.
        assert!((25.0 * to("in²/h", "mm²/min") - 268.82).abs() < 0.005);
        // 1 lb/in³ = 27 679.9 kg/m³ (NIST SP 811, appendix B: 2.767 990 E+04; from memory).
        assert!((to("lb/in³", "kg/m³") - 27_679.90).abs() < 0.01);
        // 10 a pound are 22.05 a kilogram.
        assert!((10.0 * to("currency/lb", "currency/kg") - 22.046_226).abs() < 1e-6);
        for (from, to) in [
            ("mm", "kg"),
            ("in", "min"),
            ("inch", "mm"),
            ("mm", ""),
            ("", "mm"),
        ] {
            assert_eq!(factor(from, to), None, "{from} {to}");
        }
        assert_eq!(alike("kg"), ["kg", "g", "lb"]);
    }
}
