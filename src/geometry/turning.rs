//! How much a path turns inside a sliding window, and what that costs.
//!
//! θ(x) is the sum of absolute direction changes inside a window of length s centred at x. The machine
//! runs at the share r = 1 − c·(1 − cos min(θ, π))/2 of its feed there. θ is piecewise linear along lines
//! and arcs with jumps at corners, so the time is integrated exactly, and a finely chopped arc costs the
//! same as the arc.

mod stretch;
mod window;

pub use stretch::Stretch;

use super::contour::Contour;
use super::segment::Segment;
use stretch::excess_of;
use window::Turning;

/// Length in mm that a closed path seems longer by because corners slow it: ∫ (1/r − 1) dx.
///
/// Divided by the feed it is the time that corners add. `window` in mm, `slowdown` c in 0 … 1 (below 1).
pub fn corner_excess(path: &Contour, window: f64, slowdown: f64) -> f64 {
    excess(&Turning::of(path), window, slowdown)
}

/// The same for an open chain of segments; before its first and behind its last nothing turns.
pub fn chain_excess(chain: &[Segment], window: f64, slowdown: f64) -> f64 {
    excess(&Turning::of_chain(chain), window, slowdown)
}

/// The stretches of a closed path from vertex 0 once around, for a window in mm.
pub fn stretches(path: &Contour, window: f64) -> Vec<Stretch> {
    collected(&Turning::of(path), window)
}

/// The stretches of an open chain from end to end.
pub fn chain_stretches(chain: &[Segment], window: f64) -> Vec<Stretch> {
    collected(&Turning::of_chain(chain), window)
}

fn excess(turning: &Turning, window: f64, slowdown: f64) -> f64 {
    if turning.total <= 0.0 || window <= 0.0 || slowdown <= 0.0 {
        return 0.0;
    }
    let mut sum = 0.0;
    turning.sweep(window / 2.0, |s| {
        sum += excess_of(s.to - s.from, s.theta, s.slope, slowdown);
    });
    sum.max(0.0)
}

fn collected(turning: &Turning, window: f64) -> Vec<Stretch> {
    let mut out = Vec::with_capacity(2 * turning.changes.len() + 1);
    if turning.total > 0.0 {
        turning.sweep(window.max(0.0) / 2.0, |s| out.push(s));
    }
    out
}

#[cfg(test)]
mod tests;
