//! How good the fit is: errors as the root mean square of ln(predicted / actual).

use super::fit::{MachineFit, RowFit};
use crate::units::Minutes;

/// Errors over cuts that are not marked as outliers; 0.10 is about 10 %. `None` without such a cut.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Assessment {
    /// With the library alone, before learning.
    pub before: f64,
    /// With what was learned from these same cuts: flattering.
    pub after: f64,
    /// Each cut predicted from all others: honest.
    pub left_out: f64,
    /// Cuts it rests on.
    pub cuts: usize,
    /// Share of these cuts that lie within the 68 % range of the honest prediction.
    pub within_range: f64,
}

/// Over one machine's fit, or several together.
pub fn assess<'a>(fits: impl IntoIterator<Item = &'a MachineFit>) -> Option<Assessment> {
    let rows: Vec<&RowFit> = fits
        .into_iter()
        .flat_map(|f| &f.rows)
        .filter(|r| !r.outlier)
        .collect();
    if rows.is_empty() {
        return None;
    }
    let n = rows.len() as f64;
    let log = |r: &RowFit, predicted: Minutes| (predicted / r.actual).ln();
    let rms = |of: fn(&RowFit) -> Minutes| {
        let sum: f64 = rows.iter().map(|r| log(r, of(r)).powi(2)).sum();
        (sum / n).sqrt()
    };
    let within = rows
        .iter()
        .filter(|r| log(r, r.left_out).abs() <= r.left_out_log_sd)
        .count();
    Some(Assessment {
        before: rms(|r| r.before),
        after: rms(|r| r.after),
        left_out: rms(|r| r.left_out),
        cuts: rows.len(),
        within_range: within as f64 / n,
    })
}
