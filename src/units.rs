//! Quantities with their unit in the type, so that trade arithmetic type-checks and slips do not.
//!
//! The costly slips in this trade are mm/min for mm²/min, metres for millimetres and minutes for
//! seconds. `path * thickness / rate` compiles here; `path / rate` does not.

use crate::numbers;
use serde::{Deserialize, Serialize};
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// Millimetres in one inch, exact by definition (international yard and pound agreement, 1959).
pub const MM_PER_INCH: f64 = 25.4;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $from:ident, $to:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f64);

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
            #[doc = concat!("From a number of ", $unit, ".")]
            pub const fn $from(value: f64) -> Self {
                Self(value)
            }
            #[doc = concat!("As a number of ", $unit, ".")]
            pub const fn $to(self) -> f64 {
                self.0
            }
            /// The larger of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
            /// The smaller of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }
            /// Whether the number is neither infinite nor undefined.
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }
        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        /// The ratio of two like quantities has no unit.
        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl Sum for $name {
            fn sum<I: Iterator<Item = Self>>(values: I) -> Self {
                values.fold(Self::ZERO, Add::add)
            }
        }
    };
}

quantity!(
    /// A length; millimetres inside.
    Length, from_mm, mm, "millimetres"
);
quantity!(
    /// An area; square millimetres inside.
    Area, from_mm2, mm2, "square millimetres"
);
quantity!(
    /// Cut surface per time, the trade's measure of speed: feed times thickness.
    CuttingRate, from_mm2_per_min, mm2_per_min, "square millimetres a minute"
);
quantity!(
    /// Speed of the wire centre along its path.
    Feed, from_mm_per_min, mm_per_min, "millimetres a minute"
);
quantity!(
    /// Speed at which fresh wire runs through the work.
    RunOff, from_m_per_min, m_per_min, "metres a minute"
);
quantity!(
    /// A time in minutes.
    Minutes, from_min, min_value, "minutes"
);
quantity!(
    /// A mass.
    Mass, from_kg, kg, "kilograms"
);
quantity!(
    /// Mass per volume.
    Density, from_kg_per_m3, kg_per_m3, "kilograms a cubic metre"
);
quantity!(
    /// An amount in the shop's own currency; Kerfcast never converts currencies.
    Money, from_amount, amount, "currency units"
);

impl Length {
    /// From metres of wire.
    pub const fn from_m(metres: f64) -> Self {
        Self(metres * 1000.0)
    }
    /// As metres.
    pub const fn m(self) -> f64 {
        self.0 / 1000.0
    }
    /// From inches.
    pub const fn from_inch(inches: f64) -> Self {
        Self(inches * MM_PER_INCH)
    }
    /// As inches.
    pub const fn inch(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}

impl Minutes {
    /// From hours.
    pub const fn from_hours(hours: f64) -> Self {
        Self(hours * 60.0)
    }
    /// As hours.
    pub const fn hours(self) -> f64 {
        self.0 / 60.0
    }
}

/// Cut surface: path length times thickness.
impl Mul for Length {
    type Output = Area;
    fn mul(self, other: Self) -> Area {
        Area(self.0 * other.0)
    }
}
/// Minutes for a cut surface at a cutting rate.
impl Div<CuttingRate> for Area {
    type Output = Minutes;
    fn div(self, rate: CuttingRate) -> Minutes {
        Minutes(self.0 / rate.0)
    }
}
/// Feed at which a cutting rate runs through a thickness.
impl Div<Length> for CuttingRate {
    type Output = Feed;
    fn div(self, thickness: Length) -> Feed {
        Feed(self.0 / thickness.0)
    }
}
/// Cutting rate of a feed through a thickness.
impl Mul<Length> for Feed {
    type Output = CuttingRate;
    fn mul(self, thickness: Length) -> CuttingRate {
        CuttingRate(self.0 * thickness.0)
    }
}
/// Minutes along a path at a feed.
impl Div<Feed> for Length {
    type Output = Minutes;
    fn div(self, feed: Feed) -> Minutes {
        Minutes(self.0 / feed.0)
    }
}
/// Path covered at a feed in a time.
impl Mul<Minutes> for Feed {
    type Output = Length;
    fn mul(self, time: Minutes) -> Length {
        Length(self.0 * time.0)
    }
}
/// Wire run in a time.
impl Mul<Minutes> for RunOff {
    type Output = Length;
    fn mul(self, time: Minutes) -> Length {
        Length::from_m(self.0 * time.0)
    }
}

/// Mass of a round wire of a length: cross-section times length times density.
pub fn wire_mass(length: Length, diameter: Length, density: Density) -> Mass {
    let section_m2 = std::f64::consts::PI / 4.0 * (diameter.mm() * 1e-3).powi(2);
    Mass(section_m2 * length.m() * density.0)
}

/// Mass of a prism, such as a slug: area times thickness times density.
pub fn prism_mass(area: Area, thickness: Length, density: Density) -> Mass {
    Mass(area.0 * 1e-6 * thickness.m() * density.0)
}

impl Minutes {
    /// A time as people write it: minutes ("208", "208.5", "208,5 min"), h:mm ("5:01"), h:mm:ss ("5:01:46"), or hours
    /// and minutes by letter ("3h28", "3 h 28 min 5 s", "3.5 h").
    ///
    /// `None` where it is no such time, is negative, could mean two times ("1,200"), or has 60 and more minutes or
    /// seconds behind a colon.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        let plain = |t: &str| {
            let value = numbers::read(t, None).number()?;
            (value >= 0.0 && !t.trim().starts_with(['+', '-', '−'])).then_some(value)
        };
        if text.contains(':') {
            let parts: Vec<f64> = text.split(':').map(plain).collect::<Option<_>>()?;
            let below_60 = parts[1..].iter().all(|v| *v < 60.0);
            let whole = parts[..parts.len() - 1].iter().all(|v| v.fract() == 0.0);
            let weights = [60.0, 1.0, 1.0 / 60.0];
            return (parts.len() <= 3 && below_60 && whole)
                .then(|| parts.iter().zip(weights).map(|(v, w)| v * w).sum())
                .map(Self::from_min);
        }
        let (mut minutes, mut rest, mut units) = (0.0, text.as_str(), 0);
        // Each unit at most once, from large to small; a bare number behind hours is minutes.
        for (letters, weight) in [
            (&["h"][..], 60.0),
            (&["min", "m"][..], 1.0),
            (&["sec", "s"][..], 1.0 / 60.0),
        ] {
            let found = letters.iter().find_map(|l| rest.split_once(l));
            if let Some((number, behind)) = found {
                minutes += plain(number)? * weight;
                rest = behind;
                units += 1;
            }
        }
        if !rest.trim().is_empty() || units == 0 {
            minutes += plain(rest)?;
        }
        Some(Self::from_min(minutes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn trade_arithmetic_type_checks() {
        // 100 mm of path through 50 mm at 149.254 mm²/min: 33.5 min.
        let minutes = Length::from_mm(100.0) * Length::from_mm(50.0)
            / CuttingRate::from_mm2_per_min(149.253_731);
        assert!((minutes.min_value() - 33.5).abs() < 1e-4);
        let wire = RunOff::from_m_per_min(10.0) * Minutes::from_min(33.5);
        assert!((wire.m() - 335.0).abs() < 1e-9);
    }

    #[test]
    fn an_inch_is_25_4_mm() {
        assert_eq!(Length::from_inch(1.0).mm(), 25.4);
        // 1 in² = 645.16 mm² exactly.
        assert!(((Length::from_inch(1.0) * Length::from_inch(1.0)).mm2() - 645.16).abs() < 1e-12);
    }

    #[test]
    fn times_as_people_write_them() {
        for (text, seconds) in [
            ("208", 12_480.0),
            ("208.5", 12_510.0),
            ("208,5 min", 12_510.0),
            ("5:01", 18_060.0),
            ("5:01:46", 18_106.0),
            ("0:00:30", 30.0),
            ("3h28", 12_480.0),
            ("3 h 28 min", 12_480.0),
            ("3 H 28 min 5 s", 12_485.0),
            ("3.5 h", 12_600.0),
            ("90 s", 90.0),
        ] {
            let found = Minutes::parse(text).map(|m| m.min_value() * 60.0);
            assert!(
                found.is_some_and(|f| (f - seconds).abs() < 1e-9),
                "{text}: {found:?}"
            );
        }
        for text in [
            "", "-3", "5:61", "1:2:3:4", "5:1.5:00", "h", "3 x", "nan", "inf", "1e999", "3:-1",
        ] {
            assert_eq!(Minutes::parse(text), None, "{text}");
        }
    }
}
