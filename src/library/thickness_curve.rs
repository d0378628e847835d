//! The shop's own thickness curve: a table of its points in place of the built-in hump.
//!
//! Between points the logarithm of the rate is interpolated over the logarithm of the thickness by monotone
//! cubic pieces: F. N. Fritsch and R. E. Carlson, "Monotone piecewise cubic interpolation", SIAM J. Numer.
//! Anal. 17 (1980) 238–246, with the slopes of F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5
//! (1984) 300–304 (both from memory). No overshoot: between two points the rate stays between theirs.

use crate::units::{CuttingRate, Length};

/// A measured point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    /// mm, 0.05 … 1000.
    pub thickness_mm: f64,
    /// mm²/min in cold-work tool steel with 0.25 mm hard plain brass, both nozzles close.
    pub rate_mm2_per_min: f64,
}

/// At least two points, ascending in thickness.
#[derive(Debug, Clone, PartialEq)]
pub struct ThicknessCurve(Vec<CurvePoint>);

/// Why points make no curve.
#[derive(Debug, Clone, PartialEq)]
pub enum CurveError {
    /// Fewer than two.
    TooFew,
    /// A cell out of range; counted from 1.
    OutOfRange {
        /// Point, counted from 1.
        point: usize,
        /// Whether it is the rate; else the thickness.
        rate: bool,
        /// What stands there.
        value: f64,
        /// Least allowed.
        low: f64,
        /// Most allowed.
        high: f64,
    },
    /// Not ascending: this point, counted from 1, is not thicker than the one before.
    Order(usize),
}

/// What the curve says at a thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurveReading {
    /// The rate in the reference conditions.
    pub rate: CuttingRate,
    /// Whether the thickness lies outside the points: the end point is then carried on by the built-in shape.
    pub extrapolated: bool,
}

impl ThicknessCurve {
    /// From points in ascending order of thickness.
    ///
    /// # Errors
    /// Names the first point that is out of range or out of order.
    pub fn new(points: Vec<CurvePoint>) -> Result<Self, CurveError> {
        if points.len() < 2 {
            return Err(CurveError::TooFew);
        }
        for (k, p) in points.iter().enumerate() {
            let cells = [
                (false, p.thickness_mm, 0.05, 1000.0),
                (true, p.rate_mm2_per_min, 0.1, 2000.0),
            ];
            for (rate, value, low, high) in cells {
                // Not `<`: no number must not pass.
                if !(low..=high).contains(&value) {
                    return Err(CurveError::OutOfRange {
                        point: k + 1,
                        rate,
                        value,
                        low,
                        high,
                    });
                }
            }
            if k > 0 && p.thickness_mm <= points[k - 1].thickness_mm {
                return Err(CurveError::Order(k + 1));
            }
        }
        Ok(Self(points))
    }
    /// The points.
    pub fn points(&self) -> &[CurvePoint] {
        &self.0
    }
    /// Rate in the reference conditions. `shape` is the built-in curve, which carries the ends on.
    pub fn at(&self, thickness: Length, shape: impl Fn(Length) -> f64) -> CurveReading {
        let (first, last) = (self.0[0], self.0[self.0.len() - 1]);
        let h = thickness.mm();
        let carried = |end: CurvePoint| CurveReading {
            rate: CuttingRate::from_mm2_per_min(
                end.rate_mm2_per_min * shape(thickness) / shape(Length::from_mm(end.thickness_mm)),
            ),
            extrapolated: true,
        };
        if h < first.thickness_mm {
            return carried(first);
        }
        if h > last.thickness_mm {
            return carried(last);
        }
        let x: Vec<f64> = self.0.iter().map(|p| p.thickness_mm.ln()).collect();
        let y: Vec<f64> = self.0.iter().map(|p| p.rate_mm2_per_min.ln()).collect();
        CurveReading {
            rate: CuttingRate::from_mm2_per_min(monotone_cubic(&x, &y, h.ln()).exp()),
            extrapolated: false,
        }
    }
}

/// Monotone cubic through (x, y) at a place inside; x ascending, at least two points.
fn monotone_cubic(x: &[f64], y: &[f64], at: f64) -> f64 {
    let n = x.len();
    let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
    let slope: Vec<f64> = (0..n - 1).map(|k| (y[k + 1] - y[k]) / h[k]).collect();
    let inner = |k: usize| {
        let (a, b) = (slope[k - 1], slope[k]);
        if a * b <= 0.0 {
            return 0.0;
        }
        let (wa, wb) = (2.0 * h[k] + h[k - 1], h[k] + 2.0 * h[k - 1]);
        (wa + wb) / (wa / a + wb / b)
    };
    // One-sided three-point slope at an end, limited so that the piece stays monotone.
    let end = |h0: f64, h1: f64, s0: f64, s1: f64| {
        let d = ((2.0 * h0 + h1) * s0 - h0 * s1) / (h0 + h1);
        if d * s0 <= 0.0 {
            0.0
        } else if s0 * s1 <= 0.0 && d.abs() > 3.0 * s0.abs() {
            3.0 * s0
        } else {
            d
        }
    };
    let derivative = |k: usize| match k {
        _ if n == 2 => slope[0],
        0 => end(h[0], h[1], slope[0], slope[1]),
        k if k == n - 1 => end(h[n - 2], h[n - 3], slope[n - 2], slope[n - 3]),
        k => inner(k),
    };
    let k = x.partition_point(|&v| v <= at).clamp(1, n - 1) - 1;
    let t = (at - x[k]) / h[k];
    let (t2, t3) = (t * t, t * t * t);
    (2.0 * t3 - 3.0 * t2 + 1.0) * y[k]
        + (t3 - 2.0 * t2 + t) * h[k] * derivative(k)
        + (3.0 * t2 - 2.0 * t3) * y[k + 1]
        + (t3 - t2) * h[k] * derivative(k + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve(points: &[(f64, f64)]) -> Result<ThicknessCurve, CurveError> {
        ThicknessCurve::new(
            points
                .iter()
                .map(|&(thickness_mm, rate_mm2_per_min)| CurvePoint {
                    thickness_mm,
                    rate_mm2_per_min,
                })
                .collect(),
        )
    }

    #[test]
    fn passes_through_its_points_without_overshoot_and_marks_what_lies_outside() {
        let points = [(10.0, 90.0), (20.0, 130.0), (50.0, 131.0), (120.0, 100.0)];
        let c = curve(&points).unwrap();
        let at = |h: f64| {
            // Any smooth hump will do to carry the ends on.
            c.at(Length::from_mm(h), |h| {
                (-0.2 * (h.mm() / 60.0).ln().powi(2)).exp()
            })
        };
        for (h, a) in points {
            let r = at(h);
            assert!(
                (r.rate.mm2_per_min() - a).abs() < 1e-9 && !r.extrapolated,
                "{h}"
            );
        }
        let mut last = 90.0;
        for k in 0..400 {
            let rate = at(10.0 + 0.1 * f64::from(k)).rate.mm2_per_min();
            assert!(rate >= last - 1e-9 && rate <= 131.0 + 1e-9);
            last = rate;
        }
        // Outside, the end point is carried on: joined without a step.
        assert!(at(9.999).extrapolated && (at(9.999).rate.mm2_per_min() - 90.0).abs() < 0.02);
        assert!(at(200.0).extrapolated && at(200.0).rate.mm2_per_min() < 100.0);
    }

    #[test]
    fn agrees_with_an_independent_implementation() {
        // scipy.interpolate.PchipInterpolator over logarithms; see tests/data/check_learning.py.
        let c = curve(&[(10.0, 90.0), (20.0, 130.0), (50.0, 150.0), (120.0, 100.0)]).unwrap();
        for (h, expected) in SCIPY {
            let found = c.at(Length::from_mm(h), |_| 1.0).rate.mm2_per_min();
            assert!((found / expected - 1.0).abs() < 1e-10, "{h}: {found}");
        }
    }
    const SCIPY: [(f64, f64); 4] = [
        (12.0, 101.747_988_742_762_16),
        (30.0, 142.307_999_074_379_98),
        (60.0, 146.675_685_661_900_7),
        (100.0, 114.219_048_559_383_41),
    ];

    #[test]
    fn the_offending_cell_is_named() {
        assert_eq!(curve(&[(10.0, 90.0)]), Err(CurveError::TooFew));
        assert_eq!(
            curve(&[(10.0, 90.0), (10.0, 91.0)]),
            Err(CurveError::Order(2))
        );
        let e = curve(&[(10.0, 90.0), (20.0, f64::NAN)]).unwrap_err();
        assert!(
            matches!(
                e,
                CurveError::OutOfRange {
                    point: 2,
                    rate: true,
                    ..
                }
            ),
            "{e:?}"
        );
    }
}
