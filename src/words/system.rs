//! Metric or inch: signs of units, and what one is in the other.

use crate::reason::Unit;
use crate::units::{Length, MM_PER_INCH};
use serde::{Deserialize, Serialize};

/// Which units are shown. The job itself stays metric.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum System {
    /// mm, mm², m, kg.
    #[default]
    Metric,
    /// in, in², ft, lb.
    Inch,
}

/// Metres in one foot, exact by definition.
pub const M_PER_FOOT: f64 = 0.3048;
/// Kilograms in one pound, exact by definition.
pub const KG_PER_POUND: f64 = 0.453_592_37;

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
    /// A length in this system's unit.
    pub fn length_value(self, length: Length) -> f64 {
        match self {
            Self::Metric => length.mm(),
            Self::Inch => length.inch(),
        }
    }
}
