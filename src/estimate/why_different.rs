//! Why two estimates differ, or an estimate and what happened: which minutes, and where the wire went.
//!
//! What saves wire is mostly time. Wire is time × run-off, so a difference of wire is split by the logarithmic
//! mean: Δ = L·ln(t₁/t₀) + L·ln(u₁/u₀), L = (W₁ − W₀)/ln(W₁/W₀). The two parts sum to the difference exactly, and
//! no order of changing one thing first is preferred (published: B. W. Ang, "The LMDI approach to decomposition
//! analysis: a practical guide", Energy Policy 33 (2005) 867–871; from memory).

use super::Figures;
use crate::plan::Share;
use crate::units::{Length, Minutes};

/// One part of the minutes on both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SharePart {
    /// Which.
    pub share: Share,
    /// Minutes that it took first.
    pub before: Minutes,
    /// Minutes that it takes then.
    pub after: Minutes,
}

impl SharePart {
    /// Minutes more (less where negative).
    pub fn difference(&self) -> Minutes {
        self.after - self.before
    }
}

/// Where a difference of wire comes from; the parts sum to it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WireSplit {
    /// All of it: metres more (less where negative).
    pub difference: Length,
    /// Because the wire runs for longer or shorter.
    pub by_time: Length,
    /// Because more or less of it runs off in a minute.
    pub by_run_off: Length,
    /// Wasted at threadings.
    pub by_threading: Length,
}

/// Why two totals differ.
#[derive(Debug, Clone, PartialEq)]
pub struct WhyDifferent {
    /// Minutes more (less where negative): the sum of the parts.
    pub minutes: Minutes,
    /// Rough, skims, corners, threading, stops, moves, breaks, allowance.
    pub parts: Vec<SharePart>,
    /// The wire; `None` where the wire used was not noted.
    pub wire: Option<WireSplit>,
    /// Whether rough, skims and corners were not noted apart, and are taken to have changed in proportion.
    pub cutting_in_proportion: bool,
}

/// What really happened with an estimated job.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Actual {
    /// Cutting, corners included, without stops and threading.
    pub cutting: Minutes,
    /// Threading, stops, moves and breaks together, where noted.
    pub others: Option<Minutes>,
    /// Wire, where noted.
    pub wire: Option<Length>,
}

/// Logarithmic mean of two numbers above 0; 0 where one is 0.
fn log_mean(a: f64, b: f64) -> f64 {
    if a <= 0.0 || b <= 0.0 {
        return 0.0;
    }
    let log = (a / b).ln();
    if log.abs() < 1e-9 {
        // The mean of two numbers that hardly differ, without dividing two small ones.
        0.5 * (a + b)
    } else {
        (a - b) / log
    }
}

/// Splits W₁ − W₀ of W = t·u into the part of t and the part of u.
///
/// The second part is what the first one leaves, so both sum to the difference to the last digit. Where one side
/// is zero the difference is the time's.
pub fn log_mean_split(before: (f64, f64), after: (f64, f64)) -> (f64, f64) {
    let (w0, w1) = (before.0 * before.1, after.0 * after.1);
    if w0 <= 0.0 || w1 <= 0.0 {
        return (w1 - w0, 0.0);
    }
    let by_time = log_mean(w1, w0) * (after.0 / before.0).ln();
    (by_time, (w1 - w0) - by_time)
}

fn of_wire(before: (Minutes, Length, Length), after: (Minutes, Length, Length)) -> WireSplit {
    // Minutes with the wire running, wire run, wire wasted.
    let run_off = |t: Minutes, w: Length| {
        if t.min_value() > 0.0 {
            w.m() / t.min_value()
        } else {
            0.0
        }
    };
    let (by_time, by_run_off) = log_mean_split(
        (before.0.min_value(), run_off(before.0, before.1)),
        (after.0.min_value(), run_off(after.0, after.1)),
    );
    let by_threading = after.2 - before.2;
    let (by_time, by_run_off) = (Length::from_m(by_time), Length::from_m(by_run_off));
    WireSplit {
        difference: by_time + by_run_off + by_threading,
        by_time,
        by_run_off,
        by_threading,
    }
}

/// Minutes with the wire running, wire run, and wire wasted at threadings.
fn wire_of(f: &Figures) -> (Minutes, Length, Length) {
    let wasted = f.wasted_wire();
    let running = f.passes.iter().map(|p| p.minutes).sum();
    (running, f.wire.median - wasted, wasted)
}

/// From one estimate to another: two wires, or two jobs.
pub fn why_different(before: &Figures, after: &Figures) -> WhyDifferent {
    let parts: Vec<SharePart> = Share::ALL
        .into_iter()
        .map(|share| SharePart {
            share,
            before: before.share(share),
            after: after.share(share),
        })
        .collect();
    WhyDifferent {
        minutes: parts.iter().map(SharePart::difference).sum(),
        parts,
        wire: Some(of_wire(wire_of(before), wire_of(after))),
        cutting_in_proportion: false,
    }
}

/// From an estimate to what happened.
pub fn why_actual(estimate: &Figures, actual: &Actual) -> WhyDifferent {
    let cutting = |s: Share| matches!(s, Share::Rough | Share::Skims | Share::Corners);
    let sum = |of: &dyn Fn(Share) -> bool| -> Minutes {
        let shares = Share::ALL.into_iter().filter(|s| of(*s));
        shares.map(|s| estimate.share(s)).sum()
    };
    // What happened needs no allowance.
    let spent = |s: Share| !cutting(s) && s != Share::Allowance;
    let (estimated, others) = (sum(&cutting), sum(&spent));
    let ratio = |a: Minutes, b: Minutes| if b.min_value() > 0.0 { a / b } else { 1.0 };
    let of_cutting = ratio(actual.cutting, estimated);
    let of_others = actual.others.map_or(1.0, |o| ratio(o, others));
    let parts: Vec<SharePart> = Share::ALL
        .into_iter()
        .map(|share| {
            let before = estimate.share(share);
            let factor = if cutting(share) {
                of_cutting
            } else if share == Share::Allowance && actual.others.is_some() {
                0.0
            } else {
                of_others
            };
            SharePart {
                share,
                before,
                after: before * factor,
            }
        })
        .collect();
    let wire = actual.wire.map(|w| {
        let (minutes, run, wasted) = wire_of(estimate);
        of_wire((minutes, run, wasted), (actual.cutting, w - wasted, wasted))
    });
    WhyDifferent {
        minutes: parts.iter().map(SharePart::difference).sum(),
        parts,
        wire,
        cutting_in_proportion: true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reported_pair_saved_wire_by_saving_time() {
        // Common practice, no source: one reported pair, 301 min 46 s and 2 855 m against 208 min 2 s and 1 949 m.
        let (t0, w0): (f64, f64) = (301.0 + 46.0 / 60.0, 2855.0);
        let (t1, w1): (f64, f64) = (208.0 + 2.0 / 60.0, 1949.0);
        assert!((1.0 - t1 / t0 - 0.311).abs() < 5e-4 && (1.0 - w1 / w0 - 0.317).abs() < 5e-4);
        assert!((w0 / t0 - 9.46).abs() < 5e-3 && (w1 / t1 - 9.37).abs() < 5e-3);
        let (by_time, by_run_off) = log_mean_split((t0, w0 / t0), (t1, w1 / t1));
        assert!((by_time + 883.0).abs() < 1.0, "{by_time}");
        assert!((by_run_off + 23.0).abs() < 1.0, "{by_run_off}");
        assert!((by_time + by_run_off - (w1 - w0)).abs() < 1e-12 * w0);
    }

    #[test]
    fn the_split_is_exact_symmetric_and_defined_at_the_edges() {
        for (before, after) in [
            ((100.0, 10.0), (250.0, 9.0)),
            ((100.0, 10.0), (100.0 + 1e-9, 10.0)),
            ((1e-6, 12.0), (1e6, 3.0)),
        ] {
            let (t, u) = log_mean_split(before, after);
            let all = after.0 * after.1 - before.0 * before.1;
            assert!((t + u - all).abs() <= 1e-12 * all.abs());
            // Going back takes off what going there put on, whichever part.
            let (back_t, back_u) = log_mean_split(after, before);
            let size = all.abs().max(1.0);
            assert!((t + back_t).abs() < 1e-9 * size && (u + back_u).abs() < 1e-9 * size);
            // The other factor gets what its own logarithm says: no part is a mere rest.
            let l = log_mean(after.0 * after.1, before.0 * before.1);
            assert!((u - l * (after.1 / before.1).ln()).abs() < 1e-9 * size);
        }
        assert_eq!(log_mean_split((0.0, 10.0), (5.0, 10.0)), (50.0, 0.0));
        assert_eq!(log_mean_split((5.0, 10.0), (5.0, 10.0)), (0.0, 0.0));
    }
}
