//! The finish that a pass usually leaves with a wire, and the run-off in skims that keeps it.
//!
//! Ra of a pass is what is usual with plain brass, times the wire's own ratio. Both are ranges; the range of the
//! product follows from both spreads in logarithms. It is a usual value, no promise of a machine.

use super::passes::DiameterFactors;
use super::wire_run::WireRun;
use crate::language::said;
use crate::library::{Library, PassRow, Wire};
use crate::reason::{Figure, Sign, Unit};
use crate::standing::Standing;
use crate::units::{Length, RunOff};

/// What a pass plan usually leaves on a wire.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finish {
    /// Usual roughness Ra after the last pass, low and high, µm.
    pub roughness_um: [f64; 2],
    /// A skim that is run slower than the wire is known to bear: the finish is then in doubt.
    pub in_doubt: Option<SlowSkim>,
}

/// A skim whose run-off may be too low to keep the finish.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlowSkim {
    /// Skim, 1 the first.
    pub skim: usize,
    /// Its run-off.
    pub run_off: RunOff,
    /// The lowest that usually keeps the finish with this wire and diameter.
    pub least: RunOff,
}

/// The finish of a plan of so many passes; `None` without a pass.
pub fn finish(
    passes: usize,
    wire: &Wire,
    diameter: Length,
    run: WireRun,
    library: &Library,
) -> Option<Finish> {
    let row = library.passes.get(passes.checked_sub(1)?)?;
    Some(Finish {
        roughness_um: roughness_um(row, wire),
        in_doubt: slow_skim(passes, wire, diameter, run, library),
    })
}

/// Usual Ra after a pass with a wire, low and high, µm.
pub fn roughness_um(row: &PassRow, wire: &Wire) -> [f64; 2] {
    let [low, high] = row.roughness_um;
    let middle = middle(row) * wire.roughness.value;
    let sd = (0.5 * (high / low).ln()).hypot(wire.roughness.log_sd().unwrap_or(0.0));
    [middle * (-sd).exp(), middle * sd.exp()]
}

/// The middle of a range of ratios is its geometric mean.
fn middle(row: &PassRow) -> f64 {
    (row.roughness_um[0] * row.roughness_um[1]).sqrt()
}

/// The lowest run-off in skims that usually keeps a wire's finish, at its diameter.
pub fn least_skim_run_off(wire: &Wire, diameter: Length, library: &Library) -> RunOff {
    let fine = DiameterFactors::at(diameter, library).run_off;
    RunOff::from_m_per_min(wire.skim_run_off.value * fine)
}

/// The slowest skim of a plan, where it is slower than the wire is known to bear.
///
/// Only where the shop says how fast it runs the wire: usual run-offs keep the usual finish, and wire that is
/// run back and forth is another matter.
fn slow_skim(
    passes: usize,
    wire: &Wire,
    diameter: Length,
    run: WireRun,
    library: &Library,
) -> Option<SlowSkim> {
    if !run.is_own() {
        return None;
    }
    let least = least_skim_run_off(wire, diameter, library);
    (1..passes)
        .map(|k| (k, run.run_off(k, RunOff::ZERO)))
        .min_by(|a, b| a.1.m_per_min().total_cmp(&b.1.m_per_min()))
        .filter(|(_, u)| *u < least)
        .map(|(skim, run_off)| SlowSkim {
            skim,
            run_off,
            least,
        })
}

/// Why the finish after pass `k` (0 the rough) is what it is.
pub fn explain_finish(k: usize, wire: &Wire, library: &Library) -> Option<Figure> {
    let row = library.passes.get(k)?;
    let usual = Figure::value(
        say!("usual Ra after {}", said(&row.name)),
        middle(row),
        Unit::Um,
        Standing::CommonPractice,
        say!("with plain brass, from memory; no promise of a machine"),
    )
    .with_range(row.roughness_um[0], row.roughness_um[1]);
    let ratio = Figure::library(
        say!("Ra of this wire against it"),
        &wire.roughness,
        Unit::Plain,
    );
    let [low, high] = roughness_um(row, wire);
    let terms = vec![(Sign::Plus, usual), (Sign::Times, ratio)];
    let note = say!("middle of what is usual; test it on your own machine");
    let value = middle(row) * wire.roughness.value;
    Some(Figure::formula(say!("usual Ra"), value, Unit::Um, terms, note).with_range(low, high))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_brass_leaves_the_ra_of_the_pass_table() {
        let l = Library::built_in();
        for row in &l.passes {
            let [low, high] = roughness_um(row, &l.wires[0]);
            assert!((low - row.roughness_um[0]).abs() < 1e-12);
            assert!((high - row.roughness_um[1]).abs() < 1e-12);
        }
    }

    #[test]
    fn zinc_rich_wires_leave_a_somewhat_better_ra() {
        // Common practice, no source: somewhat better; so no worse, and not half.
        let l = Library::built_in();
        for wire in l
            .wires
            .iter()
            .filter(|w| w.coating.contains("zinc") || w.coating.contains("gamma"))
        {
            let r = &wire.roughness;
            assert!(
                r.value < 1.0 && r.value > 0.5 && r.high <= Some(1.0),
                "{wire:?}"
            );
        }
        // By hand: skim 3 leaves 0.4 to 0.6 with plain brass, the middle √0.24 = 0.4899; times 0.9 is 0.4409.
        // Spreads ½·ln 1.5 = 0.2027 and ½·ln 1.25 = 0.1116 make 0.2314: 0.350 to 0.556.
        let zinc = l.wire("zinc-coated brass").unwrap();
        let [low, high] = roughness_um(&l.passes[3], zinc);
        assert!(
            (low - 0.3498).abs() < 5e-4 && (high - 0.5557).abs() < 5e-4,
            "{low} {high}"
        );
        let why = explain_finish(3, zinc, l).unwrap();
        assert!((why.recomputed().unwrap() - why.value).abs() < 1e-12);
        assert!((why.value - 0.4409).abs() < 5e-5);
    }

    #[test]
    fn only_a_run_off_below_what_the_wire_bears_puts_the_finish_in_doubt() {
        let l = Library::built_in();
        let (plain, d) = (&l.wires[0], Length::from_mm(0.25));
        let doubt = |run: &str, passes| {
            let run = WireRun::parse(run).unwrap();
            finish(passes, plain, d, run, l).unwrap().in_doubt
        };
        assert_eq!(doubt("usual", 4), None);
        assert_eq!(doubt("10/7", 4), None);
        assert_eq!(doubt("reel 200/80", 4), None);
        // No skim, no doubt.
        assert_eq!(doubt("10/3", 1), None);
        assert_eq!(doubt("10/9/8/5", 4).map(|s| s.skim), Some(3));
        // A fine wire is run slower altogether: 7 × 0.6.
        let least = least_skim_run_off(plain, Length::from_mm(0.10), l);
        assert!((least.m_per_min() - 4.2).abs() < 1e-12);
    }
}
