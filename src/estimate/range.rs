//! How far off an estimate may be, and how far off the difference of two.
//!
//! All figures are medians with multiplicative spread, so a range is ×/÷ and never reaches below zero. A
//! figure carries its slopes: by how much its logarithm moves with each thing that is not known. Spreads
//! follow from the slopes and from what is believed about each thing, learned or not; in the difference of
//! two wires the slopes are subtracted first, so that what they share cancels.

use crate::library::Factor;
use crate::library::Library;
use crate::library::priors::{log_variance, spread};
use crate::process::WireRun;
use crate::process::cutting_rate::RoughConditions;
use crate::standing::Value;
use std::cell::{OnceCell, RefCell};
use std::ops::Mul;

/// A median with the range that holds about 68 %.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Ranged<T> {
    /// As likely too low as too high.
    pub median: T,
    /// One in six is below.
    pub low: T,
    /// One in six is above.
    pub high: T,
}

/// What comes on top of cutting and is not known exactly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Overhead {
    /// Automatic threading.
    Threading,
    /// Taking out slugs and the part.
    Stops,
    /// Rapid moves.
    Moves,
    /// Wire breaks.
    Breaks,
    /// Threading, where it is done by hand.
    ThreadingByHand,
    /// Wire wasted at a threading.
    ThreadingWaste,
    /// Set-up of a lot.
    Setup,
    /// Loading and aligning of a part.
    Loading,
    /// Dressing by hand where a part's tab was.
    Dressing,
    /// Programming of a lot.
    Programming,
    /// Inspection of a part.
    Inspection,
    /// Set-up of a start hole.
    HoleSetup,
    /// Drilling of a start hole.
    HoleDrilling,
    /// The same in carbide.
    HoleDrillingCarbide,
}

impl Overhead {
    /// All of them, in the order of their declaration.
    const ALL: [Self; 14] = [
        Self::Threading,
        Self::Stops,
        Self::Moves,
        Self::Breaks,
        Self::ThreadingByHand,
        Self::ThreadingWaste,
        Self::Setup,
        Self::Loading,
        Self::Dressing,
        Self::Programming,
        Self::Inspection,
        Self::HoleSetup,
        Self::HoleDrilling,
        Self::HoleDrillingCarbide,
    ];
    /// Where the library says how far it may be off.
    fn value(self, library: &Library) -> &Value {
        let o = &library.overheads;
        match self {
            Self::Threading => &o.automatic_threading,
            Self::Stops => &o.slug_removal,
            Self::Moves => &o.rapid,
            Self::Breaks => &o.breaks_in_rough,
            Self::ThreadingByHand => &o.manual_threading,
            Self::ThreadingWaste => &o.threading_waste,
            Self::Setup => &o.setup,
            Self::Loading => &o.loading,
            Self::Dressing => &o.dressing,
            Self::Programming => &o.programming,
            Self::Inspection => &o.inspection,
            Self::HoleSetup => &o.hole_setup,
            Self::HoleDrilling => &o.hole_drilling,
            Self::HoleDrillingCarbide => &o.hole_drilling_carbide,
        }
    }
}

/// Logarithmic slopes of a figure.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Slopes {
    /// Against the factors that can be learned; one may appear twice, its slopes then add.
    pub factors: Vec<(Factor, f64)>,
    /// Against what differs from one cut to the next: not shared by two estimates.
    pub cut: f64,
    /// Against the run-off of the single cut: not shared either.
    pub run_off_cut: f64,
    /// Against overheads.
    pub overheads: Vec<(Overhead, f64)>,
}

impl Slopes {
    /// Of the cutting minutes; `skim_share` is the share of skims in them, 0 … 1.
    pub fn of_cutting(conditions: &RoughConditions<'_>, skim_share: f64) -> Self {
        // Faster means fewer minutes.
        let mut factors: Vec<_> = conditions
            .acting()
            .into_iter()
            .map(|(f, x)| (f, -x))
            .collect();
        if skim_share > 0.0 {
            factors.push((Factor::Skims, -skim_share));
        }
        Self {
            factors,
            cut: 1.0,
            ..Self::default()
        }
    }
    /// Of a wire length that runs off during those cutting minutes.
    ///
    /// A run-off of the shop's own is known; only what a single cut makes of it stays in doubt.
    pub fn of_wire(cutting: &Self, run: WireRun) -> Self {
        let mut slopes = cutting.clone();
        if run == WireRun::Usual {
            slopes.factors.push((Factor::RunOff, 1.0));
        }
        slopes.run_off_cut = 1.0;
        slopes
    }
    /// Of a sum of overheads alone, each with its share in that sum.
    pub fn of_overheads(shares: &[(Overhead, f64)]) -> Self {
        Self {
            overheads: shares.to_vec(),
            ..Self::default()
        }
    }
    /// All slopes multiplied.
    #[must_use]
    pub fn times(&self, share: f64) -> Self {
        let scaled = |v: &[(Factor, f64)]| v.iter().map(|(f, x)| (f.clone(), x * share)).collect();
        Self {
            factors: scaled(&self.factors),
            cut: self.cut * share,
            run_off_cut: self.run_off_cut * share,
            overheads: self
                .overheads
                .iter()
                .map(|&(o, x)| (o, x * share))
                .collect(),
        }
    }
    /// Of a sum of two figures of one and the same cut, when these are already weighted by their shares.
    #[must_use]
    pub fn plus(mut self, other: &Self) -> Self {
        self.factors.extend(other.factors.iter().cloned());
        self.overheads.extend(&other.overheads);
        self.cut += other.cut;
        self.run_off_cut += other.run_off_cut;
        self
    }
    /// Whether nothing that this one moves with says anything of the other. What is learned of one factor may say something of
    /// another.
    pub(super) fn shares_nothing_with(&self, other: &Self) -> bool {
        let of_other = |o: &Overhead| other.overheads.iter().any(|(p, _)| o == p);
        (self.factors.is_empty() || other.factors.is_empty())
            && self.cut * other.cut == 0.0
            && self.run_off_cut * other.run_off_cut == 0.0
            && !self.overheads.iter().any(|(o, _)| of_other(o))
    }
    /// Standard deviation of the figure's logarithm.
    pub fn log_sd(&self, library: &Library) -> f64 {
        Spreads::of(library).log_sd([self])
    }
    /// Standard deviation of the logarithm of this figure over another: what both share cancels, and the scatter
    /// from one cut to the next has no part in it.
    pub fn log_sd_against(&self, other: &Self, library: &Library) -> f64 {
        let both = [(self, 1.0), (other, -1.0)];
        Spreads::of(library).shared_variance(&both).sqrt()
    }
}

/// How far what is not known may be off by one library, each worked out once.
pub struct Spreads<'a> {
    library: &'a Library,
    /// Those of the factors asked for so far.
    factors: RefCell<Vec<(Factor, f64)>>,
    /// Those of the overheads, in the order of [`Overhead::ALL`].
    overheads: [OnceCell<f64>; Overhead::ALL.len()],
}

impl<'a> Spreads<'a> {
    /// Of a library.
    pub fn of(library: &'a Library) -> Self {
        Self {
            library,
            factors: RefCell::default(),
            overheads: Default::default(),
        }
    }
    /// Standard deviation of the logarithm of what moves with all of these slopes together.
    pub fn log_sd<const N: usize>(&self, slopes: [&Slopes; N]) -> f64 {
        let sum = |of: fn(&Slopes) -> f64| slopes.iter().map(|s| of(s)).sum::<f64>();
        let own = (sum(|s| s.cut) * spread::CUT).powi(2)
            + (sum(|s| s.run_off_cut) * spread::RUN_OFF_CUT).powi(2);
        (own + self.shared_variance(&slopes.map(|s| (s, 1.0)))).sqrt()
    }
    /// Variance of the logarithm of what moves with slopes so many times, but for the scatter of the single cut.
    fn shared_variance(&self, slopes: &[(&Slopes, f64)]) -> f64 {
        let mut of = [0.0; Overhead::ALL.len()];
        for (s, times) in slopes {
            for (overhead, x) in &s.overheads {
                of[*overhead as usize] += x * times;
            }
        }
        let overheads: f64 = of
            .iter()
            .enumerate()
            .filter(|(_, x)| **x != 0.0)
            .map(|(k, x)| (x * self.of_overhead(k)).powi(2))
            .sum();
        let factors = slopes
            .iter()
            .flat_map(|(s, times)| s.factors.iter().map(move |(f, x)| (f, x * times)));
        let learned = self.library.learned.as_ref();
        log_variance(factors, learned, |f| self.of_factor(f)) + overheads
    }
    fn of_overhead(&self, k: usize) -> f64 {
        let value = || overhead_log_sd(Overhead::ALL[k].value(self.library));
        *self.overheads[k].get_or_init(value)
    }
    fn of_factor(&self, factor: &Factor) -> f64 {
        let mut known = self.factors.borrow_mut();
        if let Some((_, sd)) = known.iter().find(|(f, _)| f == factor) {
            return *sd;
        }
        let sd = self.library.prior_log_sd(factor);
        known.push((factor.clone(), sd));
        sd
    }
}

/// Spread of an overhead by its range in the library, which holds about 95 %: a quarter of the logarithm of high over low.
///
/// So the sum of the medians stays within a few per cent of the median of the sum.
pub fn overhead_log_sd(value: &Value) -> f64 {
    value.log_sd().map_or(spread::UNKNOWN, |half| half / 2.0)
}

/// The range that holds about 68 %: ×/÷ e^sd.
pub fn ranged<T: Copy + Mul<f64, Output = T>>(median: T, log_sd: f64) -> Ranged<T> {
    Ranged {
        median,
        low: median * (-log_sd).exp(),
        high: median * log_sd.exp(),
    }
}

/// Probability that a normal variable is below `z` standard deviations: ½·erfc(−z/√2).
pub fn normal_probability(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Flushing;
    use crate::units::Length;

    fn conditions(library: &Library, wire: usize) -> RoughConditions<'_> {
        RoughConditions::new(
            &library.materials[0],
            &library.wires[wire],
            Length::from_mm(0.25),
            Length::from_mm(60.0),
            Flushing::Close,
        )
    }

    #[test]
    fn the_uncalibrated_spread_of_four_parts() {
        // sqrt(0.35² + 0.20² + 0.07² + 0.10²) = 0.4212, from an independent script: machine, material,
        // wire and cut.
        let mut l = Library::built_in().clone();
        let range = |sd: f64| (Some((-sd).exp()), Some(sd.exp()));
        (
            l.materials[0].relative_speed.low,
            l.materials[0].relative_speed.high,
        ) = range(0.20);
        (
            l.wires[0].relative_speed.low,
            l.wires[0].relative_speed.high,
        ) = range(0.07);
        let sd = Slopes::of_cutting(&conditions(&l, 0), 0.0).log_sd(&l);
        assert!((sd - 0.4212).abs() < 5e-5, "{sd}");
        // 68 % is then about ×/÷ 1.5.
        assert!((ranged(1.0, sd).high - 1.52).abs() < 0.01);
    }

    #[test]
    fn what_two_wires_share_cancels() {
        let l = Library::built_in();
        let (a, b) = (conditions(l, 0), conditions(l, 5));
        let (a, b) = (Slopes::of_cutting(&a, 0.4), Slopes::of_cutting(&b, 0.4));
        // Left: the coated wire's own spread.
        let own = l.wires[5].relative_speed.log_sd().unwrap();
        assert!((b.log_sd_against(&a, l) - own).abs() < 1e-12);
        assert_eq!(a.log_sd_against(&a, l), 0.0);
    }

    #[test]
    fn the_spread_of_wire_that_cuts_and_wire_that_is_wasted() {
        // By hand: 80 % runs off while cutting, with 0.10 of the single cut's time and 0.04 of its run-off; 20 % is
        // wasted at threadings, 1 to 3 m: a quarter of ln 3 = 0.2747.
        let l = Library::built_in();
        let cut = Slopes {
            cut: 1.0,
            run_off_cut: 1.0,
            ..Slopes::default()
        };
        let wasted = Slopes::of_overheads(&[(Overhead::ThreadingWaste, 0.2)]);
        let sd = cut.times(0.8).plus(&wasted).log_sd(l);
        let expected =
            (0.08_f64.powi(2) + 0.032_f64.powi(2) + (0.2 * 0.274_653_072_f64).powi(2)).sqrt();
        assert!((sd - expected).abs() < 1e-9);
    }

    #[test]
    fn normal_probabilities() {
        // Φ to twelve digits, as scipy.stats.norm.cdf gives it (from memory; the first five digits stand in every
        // table of the normal distribution).
        for (z, p) in [
            (0.0, 0.5),
            (1.0, 0.841_344_746_069),
            (2.0, 0.977_249_868_052),
            (-1.0, 0.158_655_253_931),
            (-6.0, 9.865_876_450_38e-10),
        ] {
            assert!((normal_probability(z) - p).abs() < 1e-11 * p, "{z}");
        }
    }
}
