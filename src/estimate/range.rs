//! How far off an estimate may be: spreads in logarithms, before any cut of the shop's own was logged.
//!
//! All figures are medians with multiplicative spread, so a range is ×/÷ and never reaches below zero.

use super::Ranged;
use crate::process::cutting_rate::{PEAK_THICKNESS, RoughConditions, diameter_factor};
use crate::process::{Flushing, Value};
use std::ops::Mul;

/// Standard deviations of logarithms (judgement).
pub mod spread {
    /// What every machine has of its own.
    pub const MACHINE: f64 = 0.35;
    /// Where the library gives no range for a material or a wire.
    pub const UNKNOWN: f64 = 0.20;
    /// On the logarithm of the diameter factor, as a share of it.
    pub const DIAMETER: f64 = 0.30;
    /// On the width of the thickness curve below its peak.
    pub const CURVE_BELOW: f64 = 0.06;
    /// On the width above its peak.
    pub const CURVE_ABOVE: f64 = 0.10;
    /// On the flushing factor, unless both nozzles are close.
    pub const FLUSHING: f64 = 0.15;
    /// On all skims together, times their share of the minutes.
    pub const SKIMS: f64 = 0.25;
    /// From one cut to the next in the same conditions.
    pub const CUT: f64 = 0.10;
    /// On the run-off that a machine is set to, beside the time.
    pub const RUN_OFF: f64 = 0.10;
}

/// Spread of the cutting minutes; `skim_share` is the share of skims in them, 0 … 1.
pub fn cutting_log_sd(conditions: &RoughConditions<'_>, skim_share: f64) -> f64 {
    let (machine, cut) = (spread::MACHINE, spread::CUT);
    let own = wire_log_sd(conditions).hypot(job_log_sd(conditions, skim_share));
    (machine * machine + cut * cut + own * own).sqrt()
}

/// The part of the spread that belongs to the wire alone, and so does not cancel between two wires.
pub fn wire_log_sd(conditions: &RoughConditions<'_>) -> f64 {
    let wire = conditions
        .wire
        .relative_speed
        .log_sd()
        .unwrap_or(spread::UNKNOWN);
    let diameter = spread::DIAMETER * diameter_factor(conditions.diameter).ln();
    wire.hypot(diameter)
}

/// The part that material, thickness, flushing and pass plan bring, common to all wires.
fn job_log_sd(conditions: &RoughConditions<'_>, skim_share: f64) -> f64 {
    let material = conditions
        .material
        .relative_speed
        .log_sd()
        .unwrap_or(spread::UNKNOWN);
    let width = if conditions.thickness < PEAK_THICKNESS {
        spread::CURVE_BELOW
    } else {
        spread::CURVE_ABOVE
    };
    let curve = width * (conditions.thickness / PEAK_THICKNESS).ln().powi(2);
    let flushing = if conditions.flushing == Flushing::Close {
        0.0
    } else {
        spread::FLUSHING
    };
    let skims = spread::SKIMS * skim_share;
    [material, curve, flushing, skims]
        .iter()
        .map(|s| s * s)
        .sum::<f64>()
        .sqrt()
}

/// Spread of a sum of independent parts, each a median with its own spread, as a spread of the sum.
pub fn combined_log_sd(parts: &[(f64, f64)]) -> f64 {
    let total: f64 = parts.iter().map(|p| p.0).sum();
    if total <= 0.0 {
        return 0.0;
    }
    parts
        .iter()
        .map(|(median, sd)| (median * sd).powi(2))
        .sum::<f64>()
        .sqrt()
        / total
}

/// Spread of an overhead by its range in the library.
pub fn overhead_log_sd(value: &Value) -> f64 {
    value.log_sd().unwrap_or(spread::UNKNOWN)
}

/// The range that holds about 68 %: ×/÷ e^sd.
pub fn ranged<T: Copy + Mul<f64, Output = T>>(median: T, log_sd: f64) -> Ranged<T> {
    Ranged {
        median,
        low: median * (-log_sd).exp(),
        high: median * log_sd.exp(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_uncalibrated_spread_of_four_parts() {
        // sqrt(0.35² + 0.20² + 0.07² + 0.10²) = 0.4212, from an independent script.
        let parts = [0.35_f64, 0.20, 0.07, 0.10];
        let sd = parts.iter().map(|p| p * p).sum::<f64>().sqrt();
        assert!((sd - 0.4212).abs() < 5e-5);
        // 68 % is then about ×/÷ 1.5.
        assert!((ranged(1.0, sd).high - 1.52).abs() < 0.01);
    }

    #[test]
    fn independent_parts_partly_cancel() {
        assert!(
            (combined_log_sd(&[(50.0, 0.3), (50.0, 0.3)]) - 0.3 / 2.0_f64.sqrt()).abs() < 1e-12
        );
        assert_eq!(combined_log_sd(&[]), 0.0);
    }
}
